//! What a shop wrote, set apart: a job goes into a process of its own, its outcomes come back.
//!
//! A typesetter's template is a program, and a page's can grow without end. Neither can be bounded from within, so
//! the process is: it has a time and a memory, knows nothing but the job, and nothing is lost with it. This is what
//! both sides say to each other; who starts the process is `app/apart.rs`.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::file_fault::FileFault;
use super::page::own;
use super::quote::PaperFiles;
use super::typst_world::{DocumentError, Papers};

/// What came of one print: its bytes, or everything that the engine said against the template.
pub type Outcome = Result<Vec<u8>, Vec<FileFault>>;

/// Work for the process.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Job {
    /// Papers of one template: for each, the files that it reads.
    Papers {
        /// The template, as Typst source.
        template: String,
        /// The files of each print, by name, in base64.
        prints: Vec<Vec<(String, String)>>,
    },
    /// Pages of one template: for each, the data.
    Pages {
        /// The template.
        template: String,
        /// The data of each.
        data: Vec<Value>,
    },
}

/// Neither side can understand the other: a fault of this program.
#[derive(Debug, thiserror::Error)]
pub enum ApartFault {
    /// What was said is not what the other side says.
    #[error("a message of the printing process does not read")]
    Message(#[from] serde_json::Error),
    /// Bytes that are not written as bytes are.
    #[error("bytes of the printing process do not read")]
    Bytes(#[from] base64::DecodeError),
    /// A paper that could not be begun.
    #[error("the paper could not be begun")]
    Paper(#[from] DocumentError),
}

impl Job {
    /// Papers of a template.
    pub fn papers(template: &str, prints: Vec<PaperFiles>) -> Self {
        let encoded = |files: PaperFiles| {
            let files = files.into_iter();
            files
                .map(|(name, bytes)| (name.to_owned(), STANDARD.encode(bytes)))
                .collect()
        };
        Self::Papers {
            template: template.to_owned(),
            prints: prints.into_iter().map(encoded).collect(),
        }
    }

    /// The job as it is sent.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn message(&self) -> Result<Vec<u8>, ApartFault> {
        Ok(serde_json::to_vec(self)?)
    }
}

/// Does a job and says what came of it. This is what the process runs.
///
/// # Errors
/// When the job cannot be understood.
pub fn answer(job: &[u8]) -> Result<Vec<u8>, ApartFault> {
    let outcomes: Vec<Outcome> = match serde_json::from_slice(job)? {
        Job::Papers { template, prints } => prints
            .iter()
            .map(|files| print(&template, files))
            .collect::<Result<_, _>>()?,
        Job::Pages { template, data } => own::write(&template, &data)
            .into_iter()
            .map(|page| page.map(String::into_bytes))
            .collect(),
    };
    let written: Vec<Result<String, Vec<FileFault>>> = outcomes
        .into_iter()
        .map(|outcome| outcome.map(|bytes| STANDARD.encode(bytes)))
        .collect();
    Ok(serde_json::to_vec(&written)?)
}

/// What the process said.
///
/// # Errors
/// When it cannot be understood.
pub fn outcomes(answer: &[u8]) -> Result<Vec<Outcome>, ApartFault> {
    let written: Vec<Result<String, Vec<FileFault>>> = serde_json::from_slice(answer)?;
    let outcome = |written: Result<String, _>| match written {
        Ok(text) => Ok(Ok(STANDARD.decode(text)?)),
        Err(faults) => Ok(Err(faults)),
    };
    written.into_iter().map(outcome).collect()
}

fn print(template: &str, files: &[(String, String)]) -> Result<Outcome, ApartFault> {
    let files = files
        .iter()
        .map(|(name, text)| Ok((name.as_str(), STANDARD.decode(text)?)))
        .collect::<Result<_, base64::DecodeError>>()?;
    match (Papers { template, files }).pdf() {
        Ok(pdf) => Ok(Ok(pdf)),
        Err(DocumentError::Typesetting(faults)) => Ok(Err(faults)),
        Err(other) => Err(other.into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::documents::file_fault::Place;

    fn told(template: &str) -> Vec<(Option<Place>, String)> {
        let job = Job::papers(template, vec![vec![("quote.json", b"{\"a\": 1}".to_vec())]]);
        let answer = answer(&job.message().unwrap()).unwrap();
        let faults = outcomes(&answer)
            .unwrap()
            .remove(0)
            .err()
            .unwrap_or_default();
        faults
            .into_iter()
            .map(|fault| (fault.place, fault.detail))
            .collect()
    }

    #[test]
    fn a_template_reads_what_it_is_given_and_nothing_else() {
        let whole = "#set document(title: \"a\", date: datetime(year: 2026, month: 1, day: 2))\n#set text(lang: \"en\")\n#assert(json(\"quote.json\").a == 1)";
        assert_eq!(told(whole), []);
        for (reading, column) in [
            ("#read(\"/etc/passwd\")", 7),
            ("#read(\"../Cargo.toml\")", 7),
            ("#read(\"Cargo.toml\")", 7),
            ("#image(\"logo.png\")", 8),
            ("#include \"main2.typ\"", 10),
            ("#import \"@preview/cetz:0.4.0\"", 9),
        ] {
            let faults = told(&format!("{whole}\n{reading}"));
            let [(Some(place), said)] = faults.as_slice() else {
                panic!("{reading}: {faults:?}");
            };
            assert_eq!((place.line, place.column), (4, column), "{said}");
        }
        assert_eq!(
            told(&format!("{whole}\n#datetime.today()")).len(),
            1,
            "there is no clock"
        );
    }

    #[test]
    fn every_fault_that_the_typesetter_tells_has_its_place() {
        let faults = told("= A\n#let x = (\n\n#y(\n");
        assert!(faults.len() > 1, "{faults:?}");
        assert!(
            faults.iter().all(|(place, _)| place.is_some()),
            "{faults:?}"
        );
        let untitled = told("Text");
        assert!(!untitled.is_empty(), "PDF/UA needs a title");
    }
}
