//! The key as a request presents it.

use crate::http::problem::{Problem, Slug};
use axum::http::HeaderMap;
use axum::http::header::AUTHORIZATION;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::fmt;

/// Characters of a key; more is not one of ours.
const MOST_CHARACTERS: usize = 200;

/// SHA-256 of a key: what is stored and compared. Keys have 128 random bits or more, so a plain
/// hash keeps them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeyHash([u8; 32]);

impl KeyHash {
    /// Of a key.
    pub fn of(key: &str) -> Self {
        Self(Sha256::digest(key.as_bytes()).into())
    }

    /// As it is stored: 64 hexadecimal digits.
    pub fn to_hex(&self) -> String {
        self.0.iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// The bytes.
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

/// Not even the hash goes to a log.
impl fmt::Debug for KeyHash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("KeyHash(..)")
    }
}

/// Takes the key out of `Authorization`: Bearer (RFC 6750), or the password of Basic (RFC 7617).
pub(super) fn key(headers: &HeaderMap) -> Result<KeyHash, Problem> {
    let Some(field) = headers.get(AUTHORIZATION) else {
        return Err(Problem::new(Slug::MissingKey));
    };
    let unknown = || Problem::new(Slug::InvalidKey);
    let text = field.to_str().map_err(|_| unknown())?;
    let (scheme, rest) = text.split_once(' ').ok_or_else(unknown)?;
    let key = match scheme.to_ascii_lowercase().as_str() {
        "bearer" => rest.trim().to_owned(),
        "basic" => password(rest.trim()).ok_or_else(unknown)?,
        _ => {
            return Err(Problem::new(Slug::MissingKey).with_detail(
                "The Authorization field is neither Bearer nor Basic. Send `Authorization: Bearer KEY`.",
            ));
        }
    };
    if key.is_empty() || key.len() > MOST_CHARACTERS {
        return Err(unknown());
    }
    Ok(KeyHash::of(&key))
}

fn password(encoded: &str) -> Option<String> {
    let bytes = STANDARD.decode(encoded).ok()?;
    let text = String::from_utf8(bytes).ok()?;
    text.split_once(':')
        .map(|(_, password)| password.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hash(field: &str) -> Option<KeyHash> {
        let mut headers = HeaderMap::new();
        headers.insert(AUTHORIZATION, field.parse().unwrap());
        key(&headers).ok()
    }

    #[test]
    fn both_schemes_present_the_same_key() {
        // RFC 7617 section 2: user "Aladdin", password "open sesame".
        let basic = hash("Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==");
        assert_eq!(basic, Some(KeyHash::of("open sesame")));
        assert_eq!(hash("bearer open sesame"), basic);
    }

    #[test]
    fn what_is_no_key_is_refused() {
        for field in [
            "Bearer",
            "Bearer ",
            "Basic !!!",
            "Basic QWxhZGRpbg==",
            "Digest x",
        ] {
            assert_eq!(hash(field), None, "{field}");
        }
    }
}
