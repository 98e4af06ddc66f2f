//! Typesetting: a closed world of a template, data and fonts, out of which comes one PDF.
//!
//! Nothing is read from disk or network. File names are fixed, since the typesetter remembers
//! every name for ever; what changes goes in as bytes.

use std::sync::LazyLock;

use jiff::civil::Date;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World, WorldExt as _};
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use super::file_fault::{FileFault, FileFlaw, MOST_FAULTS, Place};

/// Renders of the past whose parts are kept for the next; the rest is forgotten.
const KEPT_RENDERS: usize = 2;

/// Families that papers are set in, and that ship with the typesetter.
const FAMILIES: [&str; 2] = ["Libertinus Serif", "DejaVu Sans Mono"];

/// Stands for a character that no shipped font holds.
const UNKNOWN: char = '\u{fffd}';

/// A paper that could not be made: a fault of a template, not of what was asked.
#[derive(Debug, thiserror::Error)]
pub enum DocumentError {
    /// The data could not be handed to the template.
    #[error("the paper's data could not be written")]
    Data(#[from] serde_json::Error),
    /// What is attached could not be written.
    #[error("what is attached to the paper could not be written")]
    Attached(#[from] std::io::Error),
    /// A name that is no file name.
    #[error("{0:?} is no file name of a template")]
    Name(String),
    /// The template or the export failed.
    #[error("the paper could not be set: {}", told(.0))]
    Typesetting(Vec<FileFault>),
}

fn told(faults: &[FileFault]) -> String {
    let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
    faults.join("; ")
}

struct Fonts {
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

static FONTS: LazyLock<Fonts> = LazyLock::new(|| {
    let fonts: Vec<Font> = typst_assets::fonts()
        .flat_map(|data| Font::iter(Bytes::new(data)))
        .filter(|font| FAMILIES.contains(&font.info().family.as_str()))
        .collect();
    Fonts {
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
    }
});

static LIBRARY: LazyLock<LazyHash<Library>> =
    LazyLock::new(|| LazyHash::new(<Library as LibraryExt>::default()));

/// A template, the files it reads, and the date it bears.
pub struct Papers<'a> {
    /// The template, as Typst source.
    pub template: &'a str,
    /// What it reads, by name.
    pub files: Vec<(&'a str, Vec<u8>)>,
}

struct ClosedWorld {
    main: Source,
    files: Vec<(FileId, Bytes)>,
}

impl World for ClosedWorld {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files
            .iter()
            .find(|(known, _)| *known == id)
            .map(|(_, bytes)| bytes.clone())
            .ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.fonts.get(index).cloned()
    }

    // A template has no clock: dates come in as data.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn file_id(name: &str) -> Result<FileId, DocumentError> {
    let path = VirtualPath::new(name).map_err(|_| DocumentError::Name(name.to_owned()))?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl Papers<'_> {
    /// Sets the paper and exports it as PDF/A-3a with PDF/UA-1.
    ///
    /// # Errors
    /// When the template does not compile or the result would not conform.
    pub fn pdf(self) -> Result<Vec<u8>, DocumentError> {
        let files = self
            .files
            .into_iter()
            .map(|(name, bytes)| Ok((file_id(name)?, Bytes::new(bytes))))
            .collect::<Result<_, DocumentError>>()?;
        let world = ClosedWorld {
            main: Source::new(file_id("main.typ")?, self.template.to_owned()),
            files,
        };
        let pdf = compile(&world);
        typst::comemo::evict(KEPT_RENDERS);
        pdf
    }
}

fn compile(world: &ClosedWorld) -> Result<Vec<u8>, DocumentError> {
    let said = |faults: &[SourceDiagnostic]| {
        let faults = faults.iter().take(MOST_FAULTS);
        DocumentError::Typesetting(faults.map(|fault| placed(world, fault)).collect())
    };
    let standards =
        PdfStandards::new(&[PdfStandard::A_3a, PdfStandard::Ua_1]).map_err(|fault| {
            let fault = FileFault::whole(FileFlaw::Template, fault.message().to_string());
            DocumentError::Typesetting(vec![fault])
        })?;
    let document = typst::compile(world)
        .output
        .map_err(|faults| said(&faults))?;
    let options = PdfOptions {
        creator: Smart::Custom(Some("offtake".to_owned())),
        standards,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|faults| said(&faults))
}

/// A fault with its line and column. What fails inside of what the typesetter brings along is told where the
/// template called it.
fn placed(world: &ClosedWorld, fault: &SourceDiagnostic) -> FileFault {
    let calls = fault.trace.iter().map(|call| call.span.into());
    let mut spans = [fault.span].into_iter().chain(calls);
    let main = world.main.id();
    let place = spans
        .find(|span| span.id() == Some(main))
        .and_then(|span| world.range(span))
        .map(|range| Place::of_byte(world.main.text(), range.start));
    let hints = fault.hints.iter().map(|hint| format!(" ({})", hint.v));
    FileFault {
        flaw: FileFlaw::Template,
        place,
        detail: format!("{}{}", fault.message, hints.collect::<String>()),
    }
}

/// The parts of a date, as a template takes them.
pub fn date_parts(date: Date) -> serde_json::Value {
    serde_json::json!({ "year": date.year(), "month": date.month(), "day": date.day() })
}

/// Text that the shipped fonts can show: characters that none of them holds become a sign that
/// says so, and controls are taken out (direction marks too, which could make a figure read
/// otherwise than it is). Reports whether anything visible was replaced.
pub fn showable(text: &str) -> (String, bool) {
    let mut replaced = false;
    let shown = text
        .chars()
        .filter_map(|character| match character {
            '\n' | '\t' | '\r' | '\u{2028}' | '\u{2029}' => {
                Some(if character == '\n' { '\n' } else { ' ' })
            }
            '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}'
            | '\u{ad}' => None,
            control if control.is_control() => None,
            known
                if FONTS
                    .fonts
                    .iter()
                    .any(|font| font.info().coverage.contains(u32::from(known)))
                    && !('\u{e000}'..='\u{f8ff}').contains(&known) =>
            {
                Some(known)
            }
            _ => {
                replaced = true;
                Some(UNKNOWN)
            }
        })
        .collect();
    (shown, replaced)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_font_holds_is_marked_and_controls_vanish() {
        assert_eq!(
            showable("Ø Sørensen ½″ Ελ Жд"),
            ("Ø Sørensen ½″ Ελ Жд".to_owned(), false)
        );
        assert_eq!(
            showable("管\u{202e}A\u{0}\u{feff}"),
            ("\u{fffd}A".to_owned(), true)
        );
        assert!(
            FONTS
                .fonts
                .iter()
                .any(|font| font.info().coverage.contains(u32::from(UNKNOWN)))
        );
    }
}
