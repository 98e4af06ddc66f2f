//! What is hashed of an entry, and whether entries follow each other.

use jiff::Timestamp;
use serde::Serialize;
use serde_json::Value;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::KeptEntry;
use crate::app::AppError;
use crate::store::audit::AuditRow;

/// What stands in the first entry for the hash of the one before.
pub const GENESIS: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// An entry as it is hashed. The canonical form sorts the members, so that their order here is no matter.
#[derive(Serialize)]
struct Hashed<'a> {
    number: i64,
    at: String,
    actor: HashedActor<'a>,
    deed: &'a str,
    subject: HashedSubject<'a>,
    detail: Value,
    previous: &'a str,
}

#[derive(Serialize)]
struct HashedActor<'a> {
    kind: &'a str,
    id: Option<Uuid>,
    label: &'a str,
    scopes: Vec<&'a str>,
}

#[derive(Serialize)]
struct HashedSubject<'a> {
    kind: &'a str,
    id: &'a str,
    version: Option<i64>,
}

fn damaged(source: serde_json::Error) -> AppError {
    AppError::Damaged {
        what: "audit entry",
        source,
    }
}

/// JSON in its canonical form (RFC 8785), for values without fractions: those are all that an entry
/// holds. Members are sorted by the UTF-16 of their names; texts are escaped as `serde_json` does it.
pub(super) fn canonical(value: &impl Serialize) -> Result<String, AppError> {
    let mut text = String::new();
    write(&serde_json::to_value(value).map_err(damaged)?, &mut text);
    Ok(text)
}

fn write(value: &Value, text: &mut String) {
    match value {
        Value::Object(members) => {
            let mut sorted: Vec<_> = members.iter().collect();
            sorted.sort_by(|(one, _), (other, _)| one.encode_utf16().cmp(other.encode_utf16()));
            text.push('{');
            for (index, (name, member)) in sorted.into_iter().enumerate() {
                if index > 0 {
                    text.push(',');
                }
                text.push_str(&Value::from(name.as_str()).to_string());
                text.push(':');
                write(member, text);
            }
            text.push('}');
        }
        Value::Array(items) => {
            text.push('[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    text.push(',');
                }
                write(item, text);
            }
            text.push(']');
        }
        plain => text.push_str(&plain.to_string()),
    }
}

/// SHA-256 of a content, in lower-case hex.
pub(in crate::app) fn sha256(content: impl AsRef<[u8]>) -> String {
    let hash = Sha256::digest(content.as_ref());
    hash.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// An instant as it is hashed and exported: UTC, with all six digits of a microsecond.
pub fn written_instant(at: Timestamp) -> String {
    at.strftime("%Y-%m-%dT%H:%M:%S%.6fZ").to_string()
}

/// The text whose SHA-256 is the hash of an entry: the entry without its own hash, as canonical JSON.
///
/// # Errors
/// [`AppError::Damaged`] when its detail is no JSON.
pub fn hashed_text(entry: &AuditRow) -> Result<String, AppError> {
    canonical(&Hashed {
        number: entry.number,
        at: written_instant(entry.at),
        actor: HashedActor {
            kind: &entry.actor,
            id: entry.actor_id,
            label: &entry.actor_label,
            scopes: entry.actor_scopes.split_whitespace().collect(),
        },
        deed: &entry.deed,
        subject: HashedSubject {
            kind: &entry.subject,
            id: &entry.subject_id,
            version: entry.subject_version,
        },
        detail: serde_json::from_str(&entry.detail).map_err(damaged)?,
        previous: &entry.previous,
    })
}

pub(super) fn hash(entry: &AuditRow) -> Result<String, AppError> {
    Ok(sha256(&hashed_text(entry)?))
}

/// Where a chain is broken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flaw {
    /// The number of the first entry that does not fit, or that is missing.
    pub number: i64,
    /// In a sentence.
    pub detail: String,
}

/// A chain as far as it was followed.
#[derive(Debug, Clone)]
pub struct Chain {
    number: i64,
    hash: String,
    kept: Option<KeptEntry>,
}

impl Chain {
    /// Before its first entry; `kept` is the note of an entry that must come by.
    pub fn new(kept: Option<KeptEntry>) -> Self {
        Self {
            number: 0,
            hash: GENESIS.to_owned(),
            kept,
        }
    }

    /// The number of the last entry that fits; 0 before the first.
    pub const fn number(&self) -> i64 {
        self.number
    }

    /// The last entry that fits.
    pub fn head(&self) -> Option<KeptEntry> {
        (self.number > 0).then(|| KeptEntry {
            number: self.number,
            hash: self.hash.clone(),
        })
    }

    /// Follows the chain to its next entry.
    ///
    /// # Errors
    /// When that is not the next, or not as it was written.
    pub fn follow(&mut self, entry: &AuditRow) -> Result<(), Flaw> {
        let (last, wanted) = (self.number, self.number + 1);
        if entry.number != wanted {
            return Err(Flaw {
                number: wanted,
                detail: format!(
                    "entry {wanted} is missing: after {last} comes {}",
                    entry.number
                ),
            });
        }
        let flaw = |detail: &str| Flaw {
            number: wanted,
            detail: format!("entry {wanted} {detail}"),
        };
        if entry.previous != self.hash {
            return Err(match last {
                0 => flaw("is not the first: it names the hash of one before it"),
                _ => flaw(&format!(
                    "does not follow on entry {last} as that stands now: one of the two was changed, or entries between them were taken out"
                )),
            });
        }
        if hash(entry).ok().as_ref() != Some(&entry.hash) {
            return Err(flaw(
                "was changed: what it says now does not give the hash that it holds",
            ));
        }
        if let Some(kept) = &self.kept
            && kept.number == wanted
            && kept.hash != entry.hash
        {
            return Err(flaw(&format!(
                "is not the one that was kept: its hash was {}; it and all that follows may have been written anew",
                kept.hash
            )));
        }
        self.number = wanted;
        self.hash.clone_from(&entry.hash);
        Ok(())
    }

    /// Whether the chain may end here, when that many numbers were given out.
    ///
    /// # Errors
    /// When entries are missing at its end.
    pub fn end(&self, given: i64) -> Result<(), Flaw> {
        let number = self.number + 1;
        let kept = self.kept.as_ref().map_or(0, |kept| kept.number);
        if given.max(kept) <= self.number {
            return Ok(());
        }
        let detail = if given > self.number {
            format!(
                "entry {number} is missing: {given} were written, and nothing comes after {}",
                self.number
            )
        } else {
            format!(
                "entry {kept}, which was kept, is not there: the chain ends at {}",
                self.number
            )
        };
        Err(Flaw { number, detail })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(number: i64, previous: &str) -> AuditRow {
        let mut entry = AuditRow {
            number,
            at: "2026-11-25T08:05:36.5Z".parse().unwrap(),
            actor: "key".to_owned(),
            actor_id: Some(Uuid::from_u128(7)),
            actor_label: "Büro \"2\"".to_owned(),
            actor_scopes: "check estimate".to_owned(),
            deed: "quote_issued".to_owned(),
            subject: "quote".to_owned(),
            subject_id: "Q-2026-0001".to_owned(),
            subject_version: Some(1),
            detail: r#"{"net":"100.00"}"#.to_owned(),
            previous: previous.to_owned(),
            hash: String::new(),
        };
        entry.hash = hash(&entry).unwrap();
        entry
    }

    fn chain_of(count: i64) -> Vec<AuditRow> {
        let mut entries: Vec<AuditRow> = Vec::new();
        for number in 1..=count {
            let previous = entries.last().map_or(GENESIS, |last| &last.hash).to_owned();
            entries.push(entry(number, &previous));
        }
        entries
    }

    fn flaw(entries: &[AuditRow], kept: Option<KeptEntry>) -> Option<i64> {
        let mut chain = Chain::new(kept);
        let broken = entries.iter().find_map(|entry| chain.follow(entry).err());
        broken
            .or_else(|| chain.end(entries.len() as i64).err())
            .map(|flaw| flaw.number)
    }

    #[test]
    fn what_is_hashed_is_spelled_out() {
        // The form that `docs/audit.md` promises: no spaces, members sorted, whole microseconds.
        let wanted = format!(
            "{{\"actor\":{{\"id\":\"00000000-0000-0000-0000-000000000007\",\"kind\":\"key\",\"label\":\"Büro \\\"2\\\"\",\"scopes\":[\"check\",\"estimate\"]}},\"at\":\"2026-11-25T08:05:36.500000Z\",\"deed\":\"quote_issued\",\"detail\":{{\"net\":\"100.00\"}},\"number\":1,\"previous\":\"{GENESIS}\",\"subject\":{{\"id\":\"Q-2026-0001\",\"kind\":\"quote\",\"version\":1}}}}"
        );
        assert_eq!(hashed_text(&entry(1, GENESIS)).unwrap(), wanted);
        // FIPS 180-4: the digest of "abc".
        assert_eq!(
            sha256("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn canonical_json_is_as_in_rfc_8785() {
        // Section 3.2.3: the names of its sorting example, and the escapes of section 3.2.2.2.
        let given = serde_json::json!({
            "\u{20ac}": "Euro Sign",
            "\r": "Carriage Return",
            "\u{fb33}": "Hebrew Letter Dalet With Dagesh",
            "1": ["One", 56, null, true],
            "\u{1f600}": "Emoji: Grinning Face",
            "\u{80}": "Control",
            "\u{f6}": "\u{20ac}$\u{f}\nA'B\"\\\"/",
        });
        let wanted = "{\"\\r\":\"Carriage Return\",\"1\":[\"One\",56,null,true],\"\u{80}\":\"Control\",\"\u{f6}\":\"\u{20ac}$\\u000f\\nA'B\\\"\\\\\\\"/\",\"\u{20ac}\":\"Euro Sign\",\"\u{1f600}\":\"Emoji: Grinning Face\",\"\u{fb33}\":\"Hebrew Letter Dalet With Dagesh\"}";
        assert_eq!(canonical(&given).unwrap(), wanted);
    }

    #[test]
    fn a_whole_chain_is_followed_to_its_end() {
        assert_eq!(flaw(&chain_of(0), None), None);
        let entries = chain_of(4);
        assert_eq!(flaw(&entries, None), None);
        let kept = KeptEntry {
            number: 2,
            hash: entries[1].hash.clone(),
        };
        assert_eq!(flaw(&entries, Some(kept)), None);
    }

    #[test]
    fn every_change_is_found_at_its_entry() {
        let changes: [fn(&mut AuditRow); 8] = [
            |entry| entry.actor_label = "another".to_owned(),
            |entry| entry.actor_id = None,
            |entry| entry.actor_scopes.clear(),
            |entry| entry.deed = "quote_accepted".to_owned(),
            |entry| entry.subject_version = Some(2),
            |entry| entry.detail = r#"{"net":"1.00"}"#.to_owned(),
            |entry| entry.detail = "{".to_owned(),
            |entry| entry.at = "2026-11-25T08:05:36.500001Z".parse().unwrap(),
        ];
        for (index, change) in changes.iter().enumerate() {
            let mut entries = chain_of(4);
            change(&mut entries[2]);
            assert_eq!(flaw(&entries, None), Some(3), "change {index}");
        }
    }

    #[test]
    fn entries_taken_out_or_written_anew_are_missed() {
        let mut entries = chain_of(5);
        entries.remove(2);
        assert_eq!(flaw(&entries, None), Some(3));
        // With the hash made anew, the next one no longer follows.
        let mut entries = chain_of(5);
        entries[2].actor_label = "another".to_owned();
        entries[2].hash = hash(&entries[2]).unwrap();
        assert_eq!(flaw(&entries, None), Some(4));
        // At the end: fewer than were given out.
        let chain = {
            let mut chain = Chain::new(None);
            chain.follow(&chain_of(1)[0]).unwrap();
            chain
        };
        assert_eq!(chain.end(3).unwrap_err().number, 2);
    }

    #[test]
    fn a_chain_written_anew_is_known_by_the_hash_that_was_kept() {
        let mut entries = chain_of(3);
        let kept = KeptEntry {
            number: 3,
            hash: entries[2].hash.clone(),
        };
        entries[1].actor_label = "another".to_owned();
        entries[1].hash = hash(&entries[1]).unwrap();
        entries[2].previous = entries[1].hash.clone();
        entries[2].hash = hash(&entries[2]).unwrap();
        assert_eq!(flaw(&entries, None), None);
        assert_eq!(flaw(&entries, Some(kept.clone())), Some(3));
        entries.pop();
        assert_eq!(flaw(&entries, Some(kept)), Some(3));
    }
}
