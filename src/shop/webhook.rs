//! Notices of quote changes: what they are called, when they are tried again, how they are signed.
//!
//! After the Standard Webhooks specification, version 1.0.0.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use hmac::{Hmac, KeyInit as _, Mac as _};
use jiff::{SignedDuration, Timestamp};
use sha2::Sha256;

use super::quote::State;

/// How every secret begins.
const PREFIX: &str = "whsec_";

/// Waits between tries, in seconds, as the specification proposes: the first try is made at once,
/// the last some three days later.
const WAITS: [i64; 9] = [5, 300, 1_800, 7_200, 18_000, 36_000, 50_400, 72_000, 86_400];

/// The kind of notice that a revision of a quote gives when it comes to a state.
pub const fn kind(state: State) -> &'static str {
    match state {
        State::Draft => "quote.drafted",
        State::Issued => "quote.issued",
        State::Accepted => "quote.accepted",
        State::Declined => "quote.declined",
        State::Withdrawn => "quote.withdrawn",
        State::Expired => "quote.expired",
        State::Superseded => "quote.superseded",
    }
}

/// When to try again after so many tries; `None` when it has been tried often enough. `spread` (0
/// to 255) moves the time by up to a tenth, so that receivers that were down are not met by
/// everything at once.
pub fn next_try(tries: i64, now: Timestamp, spread: u8) -> Option<Timestamp> {
    let wait = usize::try_from(tries.saturating_sub(1))
        .ok()
        .and_then(|index| WAITS.get(index))?;
    let extra = wait * i64::from(spread) / 2_550;
    now.checked_add(SignedDuration::from_secs(wait + extra))
        .ok()
}

/// A secret out of random bytes, as it is shown.
pub fn secret_of(bytes: &[u8; 32]) -> String {
    format!("{PREFIX}{}", STANDARD.encode(bytes))
}

/// The signatures of a message, one for each secret, with a space between; the newest first.
///
/// A secret that cannot be read signs nothing.
pub fn signatures(secrets: &[&str], id: &str, at: Timestamp, body: &str) -> String {
    let signed = secrets
        .iter()
        .filter_map(|secret| signature(secret, id, at, body));
    signed.collect::<Vec<_>>().join(" ")
}

fn signature(secret: &str, id: &str, at: Timestamp, body: &str) -> Option<String> {
    let key = STANDARD.decode(secret.strip_prefix(PREFIX)?).ok()?;
    let mut mac = Hmac::<Sha256>::new_from_slice(&key).ok()?;
    mac.update(format!("{id}.{}.{body}", at.as_second()).as_bytes());
    Some(format!(
        "v1,{}",
        STANDARD.encode(mac.finalize().into_bytes())
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of the specification's reference libraries: the same secret, id, time and body
    /// give the same signature.
    #[test]
    fn a_message_is_signed_as_the_reference_libraries_sign_it() {
        let signed = signatures(
            &["whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"],
            "msg_p5jXN8AQM9LWM0D4loKWxJek",
            Timestamp::from_second(1_614_265_330).unwrap(),
            r#"{"test": 2432232314}"#,
        );
        assert_eq!(signed, "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=");
    }

    #[test]
    fn every_secret_in_force_signs() {
        let secrets = [secret_of(&[1; 32]), secret_of(&[2; 32])];
        let secrets: Vec<&str> = secrets.iter().map(String::as_str).collect();
        let signed = signatures(&secrets, "msg_1", Timestamp::UNIX_EPOCH, "{}");
        let parts: Vec<&str> = signed.split(' ').collect();
        assert_eq!(parts.len(), 2);
        assert_ne!(parts[0], parts[1]);
        assert!(parts.iter().all(|part| part.starts_with("v1,")));
    }

    #[test]
    fn tries_grow_rarer_and_end() {
        let now = Timestamp::UNIX_EPOCH;
        let mut before = 0;
        for tries in 1..=9 {
            let at = next_try(tries, now, 0).unwrap().as_second();
            assert!(at > before, "{tries}");
            let late = next_try(tries, now, 255).unwrap().as_second();
            assert!(late >= at && late <= at + at / 10, "{tries}");
            before = at;
        }
        assert_eq!(next_try(10, now, 0), None);
    }
}
