//! A shop's logo: whether a file is a picture that documents can show, and how they show it.
//!
//! A logo stands in papers that are kept and on a page that customers open. So it must be whole, moderate in size,
//! and hold all of itself: nothing that runs, and nothing that is fetched from elsewhere.

mod png;
mod references;
mod svg;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::file_fault::{FileFault, FileFlaw, MOST_FAULTS};
use crate::shop::own::PictureKind;

/// Bytes that a logo may have.
pub const MOST_BYTES: usize = 512 * 1024;
/// Pixels that a logo may have across or down.
pub const MOST_SIDE: u32 = 4_000;
/// Pixels that a logo may have in all.
pub const MOST_PIXELS: u64 = 8_000_000;

/// A logo with its picture, ready to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LogoPicture {
    /// What kind of picture.
    pub kind: PictureKind,
    /// The picture.
    pub bytes: Vec<u8>,
    /// What it shows, for those who cannot see it.
    pub text: String,
}

impl LogoPicture {
    /// The picture as an address that holds it whole. Shown so, it can run no script and fetch nothing.
    pub fn address(&self) -> String {
        format!(
            "data:{};base64,{}",
            self.kind.media_type(),
            STANDARD.encode(&self.bytes)
        )
    }
}

/// Looks a picture through.
///
/// # Errors
/// Everything that keeps it from being a logo.
pub fn check(kind: PictureKind, bytes: &[u8]) -> Result<(), Vec<FileFault>> {
    if bytes.len() > MOST_BYTES {
        return Err(vec![FileFault::whole(
            FileFlaw::PictureTooLarge,
            format!(
                "the picture has {} bytes; a logo has {MOST_BYTES} at most: save it with fewer pixels, or as SVG",
                bytes.len()
            ),
        )]);
    }
    let mut faults = match kind {
        PictureKind::Png => png::check(bytes).err().into_iter().collect(),
        PictureKind::Svg => svg::check(bytes),
    };
    faults.truncate(MOST_FAULTS);
    match faults.is_empty() {
        true => Ok(()),
        false => Err(faults),
    }
}

/// What a file looks like by how it begins, in words.
fn looks_like(bytes: &[u8]) -> &'static str {
    const KINDS: [(&[u8], &str); 8] = [
        (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
        (b"\xff\xd8\xff", "a JPEG picture"),
        (b"GIF8", "a GIF picture"),
        (b"RIFF", "a WebP picture or a sound"),
        (b"%PDF", "a PDF document"),
        (b"BM", "a bitmap (BMP)"),
        (b"\x1f\x8b", "a file compressed with gzip"),
        (b"PK\x03\x04", "a ZIP archive"),
    ];
    let known = KINDS.iter().find(|(begin, _)| bytes.starts_with(begin));
    match known {
        Some((_, name)) => name,
        None if bytes.is_empty() => "an empty file",
        None if bytes.trim_ascii_start().starts_with(b"<") => "a text with markup",
        None => "something else",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_told_by_how_it_begins() {
        assert_eq!(looks_like(b"\xff\xd8\xff\xe0JFIF"), "a JPEG picture");
        assert_eq!(looks_like(b" <svg"), "a text with markup");
        assert_eq!(looks_like(b""), "an empty file");
    }
}
