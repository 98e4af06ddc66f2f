//! PNG: decoded to its end, within bounds.

use std::io::Cursor;

use png::{Decoder, DecodingError, Limits};

use super::{MOST_PIXELS, MOST_SIDE, looks_like};
use crate::documents::file_fault::{FileFault, FileFlaw};

/// Memory that decoding may take: every pixel at four channels of two bytes, and some for chunks.
const MOST_MEMORY: usize = 72 * 1024 * 1024;
/// How a PNG begins (ISO/IEC 15948, 5.2).
const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";
/// How it ends: an empty IEND chunk with its checksum.
const END: &[u8] = b"\0\0\0\0IEND\xaeB`\x82";

/// Decodes a picture; how many pixels it has.
///
/// # Errors
/// What is wrong with it.
pub fn check(bytes: &[u8]) -> Result<u64, FileFault> {
    if !bytes.starts_with(SIGNATURE) {
        return Err(FileFault::whole(
            FileFlaw::NotAPicture,
            format!(
                "the file does not begin as a PNG does; it looks like {}: save the picture as PNG and send that",
                looks_like(bytes)
            ),
        ));
    }
    let limits = Limits { bytes: MOST_MEMORY };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), limits);
    let info = decoder.read_header_info().map_err(damaged)?;
    let (width, height) = (info.width, info.height);
    let pixels = u64::from(width) * u64::from(height);
    if width > MOST_SIDE || height > MOST_SIDE || pixels > MOST_PIXELS {
        return Err(FileFault::whole(
            FileFlaw::PictureTooLarge,
            format!(
                "the picture has {width} x {height} pixels; a logo has {MOST_SIDE} at most either way, and {MOST_PIXELS} in all: save it smaller"
            ),
        ));
    }
    whole(decoder)?;
    if !bytes.ends_with(END) {
        return Err(FileFault::whole(
            FileFlaw::NotAPicture,
            "there is something behind the end of the picture; save it anew as PNG",
        ));
    }
    Ok(pixels)
}

fn whole(decoder: Decoder<Cursor<&[u8]>>) -> Result<(), FileFault> {
    let mut reader = decoder.read_info().map_err(damaged)?;
    if reader.info().animation_control.is_some() {
        return Err(FileFault::whole(
            FileFlaw::PartNotAllowed,
            "the picture moves; a logo stands still: save one frame of it",
        ));
    }
    let size = reader
        .output_buffer_size()
        .filter(|size| *size <= MOST_MEMORY)
        .ok_or_else(|| damaged(DecodingError::LimitsExceeded))?;
    reader.next_frame(&mut vec![0; size]).map_err(damaged)?;
    reader.finish().map_err(damaged)
}

fn damaged(error: DecodingError) -> FileFault {
    match error {
        DecodingError::LimitsExceeded => FileFault::whole(
            FileFlaw::PictureTooLarge,
            format!("the picture unpacks to more than {MOST_MEMORY} bytes; save it smaller"),
        ),
        other => FileFault::whole(
            FileFlaw::NotAPicture,
            format!("the PNG is damaged or breaks off ({other}); save it anew and send it whole"),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of one grey, as the encoder of the same library writes it.
    fn grey(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, width, height);
        encoder.set_color(png::ColorType::Grayscale);
        let mut writer = encoder.write_header().unwrap();
        let pixels = vec![128; (width * height) as usize];
        writer.write_image_data(&pixels).unwrap();
        writer.finish().unwrap();
        bytes
    }

    #[test]
    fn a_whole_picture_is_taken_and_every_shorter_one_is_not() {
        let bytes = grey(20, 7);
        assert_eq!(check(&bytes), Ok(140));
        for length in 0..bytes.len() {
            assert!(check(&bytes[..length]).is_err(), "{length} bytes");
        }
        let longer = [bytes.as_slice(), b"<script>"].concat();
        assert_eq!(check(&longer).unwrap_err().flaw, FileFlaw::NotAPicture);
    }

    #[test]
    fn a_changed_byte_is_noticed() {
        let bytes = grey(20, 7);
        // Every chunk has a checksum (ISO/IEC 15948, 5.3).
        for place in 0..bytes.len() {
            let mut other = bytes.clone();
            other[place] ^= 0x10;
            assert!(check(&other).is_err(), "byte {place}");
        }
    }

    #[test]
    fn bounds_are_on_each_side_and_on_the_whole() {
        assert!(check(&grey(4_000, 2_000)).is_ok());
        for (width, height) in [(4_001, 10), (10, 4_001), (2_900, 2_900)] {
            let fault = check(&grey(width, height)).unwrap_err();
            assert_eq!(fault.flaw, FileFlaw::PictureTooLarge);
            assert!(fault.detail.contains(&format!("{width} x {height}")));
        }
    }
}
