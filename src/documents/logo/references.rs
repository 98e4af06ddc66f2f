//! What attributes and styles of an SVG point to.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::png;
use crate::documents::file_fault::{FileFlaw, MOST_FAULTS};

const PNG_DATA: &str = "data:image/png;base64,";

/// A fault, before it has a place.
pub type Unplaced = (FileFlaw, String);

/// Looks at what a link points to: a part of the picture, or a PNG that stands in it whole. Answers the pixels of
/// that.
///
/// # Errors
/// When it points elsewhere, or the PNG is none.
pub fn target(value: &str) -> Result<u64, Unplaced> {
    let value = value.trim();
    if value.starts_with('#') {
        return Ok(0);
    }
    let Some(data) = value.strip_prefix(PNG_DATA) else {
        let shown: String = value.chars().take(60).collect();
        return Err((
            FileFlaw::RefersOutside,
            format!(
                "it refers to {shown:?}; a logo holds all of itself: refer to a part of it by #id, or put the picture in as {PNG_DATA}..."
            ),
        ));
    };
    let data: String = data.split_whitespace().collect();
    let bytes = STANDARD.decode(data).map_err(|error| {
        let detail = format!("the picture inside is not base64: {error}; put it in anew");
        (FileFlaw::NotAPicture, detail)
    })?;
    png::check(&bytes).map_err(|fault| {
        let detail = format!("the picture inside: {}", fault.detail);
        (fault.flaw, detail)
    })
}

/// Every fault of a style, or of an attribute that may hold `url(...)`.
pub fn style_faults(style: &str) -> Vec<Unplaced> {
    let css = without_comments(style).to_lowercase();
    let mut faults = Vec::new();
    if css.contains('\\') {
        faults.push((
            FileFlaw::PartNotAllowed,
            "the style holds a backslash; write its names out".to_owned(),
        ));
    }
    for (at, _) in css.match_indices('@').take(MOST_FAULTS) {
        let rule: String = css[at..]
            .chars()
            .take_while(|c| *c == '@' || *c == '-' || c.is_alphanumeric())
            .take(30)
            .collect();
        let flaw = match rule.as_str() {
            "@import" | "@font-face" => FileFlaw::RefersOutside,
            _ => FileFlaw::PartNotAllowed,
        };
        let detail =
            format!("the style holds the rule {rule:?}; a logo's style has none: leave it out");
        faults.push((flaw, detail));
    }
    for word in ["image-set(", "image(", "src("] {
        if css.contains(word) {
            let detail =
                format!("the style holds `{word}...)`; a logo holds all of itself: leave it out");
            faults.push((FileFlaw::RefersOutside, detail));
        }
    }
    // The text itself: data in base64 has capitals.
    for url in urls(&without_comments(style)) {
        faults.extend(target(&url).err());
    }
    faults
}

/// What each `url(...)` of a style names.
pub fn urls(css: &str) -> Vec<String> {
    let folded = css.to_ascii_lowercase();
    let starts = folded
        .match_indices("url(")
        .map(|(at, word)| at + word.len());
    starts
        .map(|start| {
            let inner = css[start..].split(')').next().unwrap_or_default();
            inner
                .trim_matches(|c: char| c.is_whitespace() || c == '"' || c == '\'')
                .to_owned()
        })
        .collect()
}

/// The style without its comments. Where a quote mark stands before the first, what looks like a comment may be
/// part of a text, and the style is taken as it is.
fn without_comments(css: &str) -> String {
    let before = css.split("/*").next().unwrap_or_default();
    if before.contains(['"', '\'']) {
        return css.to_owned();
    }
    let mut parts = css.split("/*");
    let mut kept = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        kept.push(' ');
        kept.push_str(part.split_once("*/").map_or("", |(_, rest)| rest));
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_style_may_point_inside_and_nowhere_else() {
        assert_eq!(style_faults("fill:url(#a);/* @author url(x) */"), []);
        let flaws = |style: &str| -> Vec<FileFlaw> {
            style_faults(style)
                .into_iter()
                .map(|(flaw, _)| flaw)
                .collect()
        };
        for (style, flaw) in [
            ("fill: URL( 'http://a.example/x' )", FileFlaw::RefersOutside),
            ("@IMPORT 'x.css';", FileFlaw::RefersOutside),
            ("@media print{}", FileFlaw::PartNotAllowed),
            ("fill:\\75rl(x)", FileFlaw::PartNotAllowed),
            (
                "font-family:\"/*\";fill:url(http://a.example/x)",
                FileFlaw::RefersOutside,
            ),
            ("fill:image-set('x' 1x)", FileFlaw::RefersOutside),
            (
                "fill:url(data:image/svg+xml;base64,PHN2Zy8+)",
                FileFlaw::RefersOutside,
            ),
            (
                "fill:url(data:image/png;base64,AAAA)",
                FileFlaw::NotAPicture,
            ),
        ] {
            assert_eq!(flaws(style), [flaw], "{style}");
        }
    }
}
