//! In what form to answer: `?format=` first, then `Accept` (RFC 9110 section 12.5.1).

use super::problem::{Problem, Slug};
use axum::extract::{FromRequestParts, Query};
use axum::http::header::ACCEPT;
use axum::http::request::Parts;
use std::convert::Infallible;

/// A form an address can answer in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offer {
    /// Its media type, without parameters.
    pub media: &'static str,
    /// Its name in `?format=`.
    pub format: &'static str,
}

/// JSON.
pub const JSON: Offer = Offer {
    media: "application/json",
    format: "json",
};
/// A page for people.
pub const HTML: Offer = Offer {
    media: "text/html",
    format: "html",
};
/// Comma-separated values (RFC 4180).
pub const CSV: Offer = Offer {
    media: "text/csv",
    format: "csv",
};
/// A spreadsheet workbook (ISO/IEC 29500).
pub const XLSX: Offer = Offer {
    media: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    format: "xlsx",
};
/// A printable document.
pub const PDF: Offer = Offer {
    media: "application/pdf",
    format: "pdf",
};
/// OASIS UBL, in XML.
pub const UBL: Offer = Offer {
    media: "application/xml",
    format: "ubl",
};
/// A drawing.
pub const SVG: Offer = Offer {
    media: "image/svg+xml",
    format: "svg",
};

/// A drawing for CAD.
pub const DXF: Offer = Offer {
    media: "application/dxf",
    format: "dxf",
};

impl Offer {
    /// Whether it is that form.
    pub fn is(self, other: Self) -> bool {
        self == other
    }
}

/// What the client would like.
#[derive(Debug, Clone, Default)]
pub struct Negotiator {
    format: Option<String>,
    accept: Option<String>,
}

impl<S: Send + Sync> FromRequestParts<S> for Negotiator {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Infallible> {
        let format = Query::<Vec<(String, String)>>::try_from_uri(&parts.uri)
            .ok()
            .and_then(|Query(pairs)| pairs.into_iter().find(|(name, _)| name == "format"))
            .map(|(_, value)| value);
        // Several Accept fields mean the same as one with commas (RFC 9110 section 5.3).
        let fields: Vec<&str> = parts
            .headers
            .get_all(ACCEPT)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .collect();
        let accept = (!fields.is_empty()).then(|| fields.join(","));
        Ok(Self { format, accept })
    }
}

impl Negotiator {
    /// With the form that a parameter of the address asks for, when one does; it goes before `Accept`.
    #[must_use]
    pub fn asked(self, format: Option<&str>) -> Self {
        Self {
            format: format.map(str::to_owned).or(self.format),
            ..self
        }
    }

    /// The form that suits best. The first offer is the one for clients that do not mind.
    ///
    /// # Errors
    /// 406 that lists the offers, when none suits.
    pub fn choose(&self, offers: &[Offer]) -> Result<Offer, Problem> {
        let chosen = match (&self.format, &self.accept) {
            (Some(format), _) => offers.iter().find(|offer| offer.format == *format),
            (None, Some(accept)) => best(accept, offers),
            (None, None) => offers.first(),
        };
        chosen.copied().ok_or_else(|| self.refuse(offers))
    }

    fn refuse(&self, offers: &[Offer]) -> Problem {
        let list: Vec<_> = offers
            .iter()
            .map(|offer| format!("{} (?format={})", offer.media, offer.format))
            .collect();
        let wanted = match (&self.format, &self.accept) {
            (Some(format), _) => format!("?format={format}"),
            (None, accept) => format!("Accept: {}", accept.as_deref().unwrap_or_default()),
        };
        let wanted: String = wanted.chars().take(120).collect();
        Problem::new(Slug::NotAcceptable).with_detail(format!(
            "The request asks for {wanted:?}. This address answers as {}.",
            list.join(", ")
        ))
    }
}

/// The offer with the greatest weight; of equal ones the first.
fn best<'a>(accept: &str, offers: &'a [Offer]) -> Option<&'a Offer> {
    let ranges: Vec<Range<'_>> = accept.split(',').filter_map(Range::parse).collect();
    if ranges.is_empty() {
        return offers.first();
    }
    let mut best: Option<(u16, &Offer)> = None;
    for offer in offers {
        // The most specific range that fits an offer gives its weight.
        let weight = ranges
            .iter()
            .filter_map(|range| {
                range
                    .fits(offer.media)
                    .map(|precision| (precision, range.weight))
            })
            .max()
            .map_or(0, |(_, weight)| weight);
        if weight > best.map_or(0, |(heaviest, _)| heaviest) {
            best = Some((weight, offer));
        }
    }
    best.map(|(_, offer)| offer)
}

/// One media range of an `Accept` field; its weight in thousandths.
struct Range<'a> {
    kind: &'a str,
    part: &'a str,
    weight: u16,
}

impl<'a> Range<'a> {
    fn parse(text: &'a str) -> Option<Self> {
        let mut parts = text.split(';').map(str::trim);
        let media = parts.next().filter(|media| !media.is_empty())?;
        // Some old clients send a lone `*`.
        let (kind, part) = match media {
            "*" => ("*", "*"),
            media => media.split_once('/')?,
        };
        let weight = parts
            .find_map(|part| part.strip_prefix("q=").or_else(|| part.strip_prefix("Q=")))
            .map_or(Some(1.0), |weight| weight.parse::<f64>().ok())
            .filter(|weight| (0.0..=1.0).contains(weight))?;
        Some(Self {
            kind,
            part,
            weight: (weight * 1000.0).round() as u16,
        })
    }

    /// How precisely it names that media type; `None` when it does not.
    fn fits(&self, media: &str) -> Option<u8> {
        let (kind, part) = media.split_once('/')?;
        match (self.kind, self.part) {
            ("*", "*") => Some(0),
            (k, "*") if k.eq_ignore_ascii_case(kind) => Some(1),
            (k, p) if k.eq_ignore_ascii_case(kind) && p.eq_ignore_ascii_case(part) => Some(2),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chosen(accept: &str) -> Option<&'static str> {
        let negotiator = Negotiator {
            format: None,
            accept: Some(accept.to_owned()),
        };
        negotiator
            .choose(&[JSON, CSV, PDF])
            .ok()
            .map(|offer| offer.format)
    }

    #[test]
    fn the_most_specific_range_weighs() {
        // Precedence as in RFC 9110 section 12.5.1.
        assert_eq!(chosen("*/*"), Some("json"));
        assert_eq!(chosen("text/csv"), Some("csv"));
        assert_eq!(chosen("*/*;q=0.1, application/pdf"), Some("pdf"));
        assert_eq!(chosen("application/*, application/json;q=0"), Some("pdf"));
        assert_eq!(chosen("TEXT/*;q=0.5"), Some("csv"));
        assert_eq!(chosen("image/png"), None);
        assert_eq!(chosen(""), Some("json"));
        assert_eq!(chosen("*"), Some("json"));
    }
}
