//! What a photo or paper is, by its content: a picture is decoded within limits, turned upright,
//! scaled and encoded anew, so that nothing of what was sent is kept but what it shows.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, Rgb, RgbImage};

use crate::record::EvidenceType;
use crate::text::counted;

/// At most so many bytes are taken.
pub const MOST_BYTES: usize = 10 * MIB;

/// The longer side of a kept picture has at most so many pixels: a page of Letter at more than 200
/// to the inch.
pub const LONGEST_SIDE: u32 = 2560;

const MIB: usize = 1024 * 1024;

/// At most so many pixels are decoded. Fifty million take 200 MB of memory.
const MOST_PIXELS: u64 = 50_000_000;

/// The most memory that decoding may take at once.
const MOST_MEMORY: u64 = 400 * MIB as u64;

/// How well a picture is encoded, of 100: print and hairlines stay readable.
const QUALITY: u8 = 85;

/// What is kept of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Taken {
    pub kind: EvidenceType,
    pub bytes: Vec<u8>,
    /// Of a picture: pixels across and down.
    pub size: Option<(u32, u32)>,
}

/// Why a file is not taken, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NotTaken {
    pub what: String,
    pub right: String,
}

fn no(what: impl Into<String>, right: &str) -> NotTaken {
    NotTaken {
        what: what.into(),
        right: right.to_owned(),
    }
}

const RIGHT: &str = "a photo as JPEG or PNG, or a paper as PDF";

const SMALLER: &str = "a photo as JPEG, which is smaller; a long paper in parts";

/// Refuses what is longer than may be taken, before it is read.
pub(crate) fn too_long(bytes: u64) -> Option<NotTaken> {
    let most = MOST_BYTES as u64;
    let megabytes = bytes.div_ceil(MIB as u64);
    (bytes > most).then(|| {
        let what = format!(
            "is {megabytes} MB long; at most {} MB are kept",
            most / MIB as u64
        );
        no(what, SMALLER)
    })
}

/// Looks at a file and makes what is kept of it; `original` keeps a picture as it was sent, once
/// it is known to be one.
pub(crate) fn take(sent: &[u8], original: bool) -> Result<Taken, NotTaken> {
    if let Some(why) = too_long(sent.len() as u64) {
        return Err(why);
    }
    match sent {
        [] => Err(no("is empty", RIGHT)),
        [0xff, 0xd8, 0xff, ..] => picture(sent, ImageFormat::Jpeg, original),
        [0x89, b'P', b'N', b'G', ..] => picture(sent, ImageFormat::Png, original),
        [b'%', b'P', b'D', b'F', b'-', ..] => paper(sent),
        other => Err(known_otherwise(other)),
    }
}

/// What each square code in a picture of this program's own making says.
pub(crate) fn codes_in(made: &[u8]) -> Vec<String> {
    let Ok(picture) = image::load_from_memory(made) else {
        return Vec::new();
    };
    let grey = picture.to_luma8();
    let side = |it: u32| usize::try_from(it).unwrap_or(usize::MAX);
    let place = |it: usize| u32::try_from(it).unwrap_or(u32::MAX);
    let shade = |x: usize, y: usize| match grey.get_pixel_checked(place(x), place(y)) {
        Some(pixel) => pixel.0[0],
        None => u8::MAX,
    };
    let (width, height) = (side(grey.width()), side(grey.height()));
    let mut grey = rqrr::PreparedImage::prepare_from_greyscale(width, height, shade);
    let grids = grey.detect_grids();
    let read = grids.iter().filter_map(|it| it.decode().ok());
    read.map(|it| it.1).collect()
}

/// A PDF is kept as it is, and shown nowhere.
fn paper(sent: &[u8]) -> Result<Taken, NotTaken> {
    const TAIL: usize = 2048;
    let tail = sent.get(sent.len().saturating_sub(TAIL)..).unwrap_or(sent);
    if !tail.windows(5).any(|it| it == b"%%EOF") {
        return Err(no(
            "is a PDF without its end: it was cut short",
            "the whole file",
        ));
    }
    Ok(Taken {
        kind: EvidenceType::Pdf,
        bytes: sent.to_vec(),
        size: None,
    })
}

/// Why what is neither JPEG, PNG nor PDF is not taken.
fn known_otherwise(sent: &[u8]) -> NotTaken {
    let brand = sent.get(4..12).unwrap_or_default();
    let is = |at: usize, words: &[u8]| sent.get(at..).is_some_and(|it| it.starts_with(words));
    let text = sent.trim_ascii_start();
    let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    let text = text.trim_ascii_start();
    match brand {
        b"ftypheic" | b"ftypheix" | b"ftyphevc" | b"ftypheim" | b"ftypheis" | b"ftypmif1"
        | b"ftypmsf1" | b"ftypavif" => no(
            "is a HEIC or AVIF photo, which this program cannot read",
            "set the phone's camera to its most compatible format, or send the photo from its \
             gallery as JPEG",
        ),
        _ if is(0, b"RIFF") && is(8, b"WEBP") => no(
            "is a WebP picture, which this program cannot read",
            "save it as JPEG or PNG",
        ),
        _ if is(0, b"GIF8") || is(0, b"BM") || is(0, b"II*\0") || is(0, b"MM\0*") => no(
            "is a GIF, BMP or TIFF picture, which this program cannot read",
            "save it as JPEG or PNG",
        ),
        _ if text.first() == Some(&b'<') => no(
            "is a text of markup, such as SVG or HTML: it can hold a script and is not kept",
            "print it to PDF, or photograph it",
        ),
        _ => no(
            "is neither a photo nor a PDF, whatever its name says",
            RIGHT,
        ),
    }
}

fn picture(sent: &[u8], format: ImageFormat, original: bool) -> Result<Taken, NotTaken> {
    if format == ImageFormat::Jpeg && !has_its_end(sent) {
        return Err(no(
            "is a photo without its end: it was cut short",
            "the whole file",
        ));
    }
    let upright = decoded(sent, format)?;
    if original {
        let kind = match format {
            ImageFormat::Png => EvidenceType::Png,
            _ => EvidenceType::Jpeg,
        };
        return Ok(Taken {
            kind,
            bytes: sent.to_vec(),
            size: Some((upright.width(), upright.height())),
        });
    }
    let (bytes, size) = encoded(upright)?;
    Ok(Taken {
        kind: EvidenceType::Jpeg,
        bytes,
        size: Some(size),
    })
}

/// Whether a JPEG comes to its end of image (ITU-T T.81, B.1.1 and B.2): a decoder fills up with
/// gray what was cut off.
fn has_its_end(sent: &[u8]) -> bool {
    const RESTARTS: std::ops::RangeInclusive<u8> = 0xD0..=0xD7;
    let byte = |at: usize| sent.get(at).copied();
    // After the start of image.
    let mut at = 2;
    loop {
        // Any number of fill bytes may stand before a marker.
        while byte(at) == Some(0xFF) && byte(at + 1) == Some(0xFF) {
            at += 1;
        }
        let (Some(0xFF), Some(marker)) = (byte(at), byte(at + 1)) else {
            return false;
        };
        at += 2;
        match marker {
            0xD9 => return true,
            0x01 => continue,
            marker if RESTARTS.contains(&marker) => continue,
            _ => {}
        }
        let (Some(high), Some(low)) = (byte(at), byte(at + 1)) else {
            return false;
        };
        at += usize::from(u16::from_be_bytes([high, low]));
        if marker != 0xDA {
            continue;
        }
        // What is coded lasts to the next marker that is none of its own.
        let is_own = |next: u8| next == 0 || RESTARTS.contains(&next);
        loop {
            match (byte(at), byte(at + 1)) {
                (_, None) | (None, _) => return false,
                (Some(0xFF), Some(next)) if !is_own(next) => break,
                _ => at += 1,
            }
        }
    }
}

/// A picture that is kept as it was sent, as one that can be shown: encoded anew.
pub fn shown_anew(kept: &[u8]) -> Option<Vec<u8>> {
    match take(kept, false) {
        Ok(taken) if taken.kind == EvidenceType::Jpeg => Some(taken.bytes),
        _ => None,
    }
}

/// A picture upright, as its metadata say. Its size is looked at before a pixel is decoded.
fn decoded(sent: &[u8], format: ImageFormat) -> Result<DynamicImage, NotTaken> {
    let broken = |_| {
        no(
            format!(
                "begins as a {} photo and cannot be read as one: it is broken or was cut short",
                if format == ImageFormat::Png {
                    "PNG"
                } else {
                    "JPEG"
                }
            ),
            "take or send the photo again",
        )
    };
    let reader = || ImageReader::with_format(Cursor::new(sent), format);
    let (across, down) = reader().into_dimensions().map_err(broken)?;
    let pixels = u64::from(across) * u64::from(down);
    if pixels > MOST_PIXELS {
        let million = counted(
            pixels.div_ceil(1_000_000),
            "million pixel",
            "million pixels",
        );
        let most = MOST_PIXELS / 1_000_000;
        let what =
            format!("unpacks to {across} x {down}, {million}; at most {most} million are decoded");
        return Err(no(what, "the photo at a lower resolution"));
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = reader();
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(broken)?;
    let orientation = decoder.orientation().map_err(broken)?;
    let picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    let mut picture = match across.max(down) > LONGEST_SIDE {
        true => picture.thumbnail(LONGEST_SIDE, LONGEST_SIDE),
        false => picture,
    };
    picture.apply_orientation(orientation);
    Ok(picture)
}

/// A picture as JPEG: what a camera wrote beside its pixels is not in it.
fn encoded(picture: DynamicImage) -> Result<(Vec<u8>, (u32, u32)), NotTaken> {
    let picture = on_white(picture);
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
    picture
        .write_with_encoder(encoder)
        .map_err(|_| no("cannot be encoded as a JPEG", RIGHT))?;
    Ok((bytes, picture.dimensions()))
}

/// What is transparent becomes white, as on paper.
fn on_white(picture: DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.into_rgb8();
    }
    let with_alpha = picture.into_rgba8();
    RgbImage::from_fn(with_alpha.width(), with_alpha.height(), |x, y| {
        let [red, green, blue, alpha] = with_alpha.get_pixel(x, y).0;
        let over = |it: u8| {
            let (it, alpha) = (u16::from(it), u16::from(alpha));
            u8::try_from((it * alpha + 255 * (255 - alpha)) / 255).unwrap_or(u8::MAX)
        };
        Rgb([over(red), over(green), over(blue)])
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::codecs::png::PngEncoder;
    use image::{ExtendedColorType, ImageEncoder};

    /// A picture that is dark on the left and light on the right.
    fn half(across: u32, down: u32) -> RgbImage {
        RgbImage::from_fn(across, down, |x, _| match x < across / 2 {
            true => Rgb([10, 10, 10]),
            false => Rgb([240, 240, 240]),
        })
    }

    fn jpeg(picture: &RgbImage) -> Vec<u8> {
        let mut bytes = Vec::new();
        let encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
        picture.write_with_encoder(encoder).unwrap();
        bytes
    }

    /// EXIF (CIPA DC-008): a little-endian TIFF with an orientation, and a text beside it.
    fn with_exif(jpeg: &[u8], orientation: u8, text: &str) -> Vec<u8> {
        let mut tiff = b"II*\0\x08\0\0\0\x01\0".to_vec();
        tiff.extend([
            0x12,
            0x01,
            3,
            0,
            1,
            0,
            0,
            0,
            orientation,
            0,
            0,
            0,
            0,
            0,
            0,
            0,
        ]);
        tiff.extend(text.as_bytes());
        let length = u16::try_from(tiff.len() + 8).unwrap().to_be_bytes();
        let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1];
        bytes.extend(length);
        bytes.extend(b"Exif\0\0");
        bytes.extend(tiff);
        bytes.extend(&jpeg[2..]);
        bytes
    }

    fn shown(bytes: &[u8]) -> RgbImage {
        image::load_from_memory_with_format(bytes, ImageFormat::Jpeg)
            .unwrap()
            .into_rgb8()
    }

    #[test]
    fn a_photo_is_turned_upright_and_what_the_camera_wrote_beside_it_is_gone() {
        let sent = with_exif(&jpeg(&half(64, 32)), 6, "GPS 36.15N 95.99W");
        let taken = take(&sent, false).unwrap();
        // Orientation 6: turned by 90 degrees clockwise the dark half is on top.
        assert_eq!(taken.size, Some((32, 64)));
        let picture = shown(&taken.bytes);
        assert!(picture.get_pixel(16, 5).0[0] < 60 && picture.get_pixel(16, 58).0[0] > 200);
        let holds = |bytes: &[u8], words: &[u8]| bytes.windows(words.len()).any(|it| it == words);
        assert!(holds(&sent, b"36.15N") && holds(&sent, b"Exif"));
        assert!(!holds(&taken.bytes, b"36.15N") && !holds(&taken.bytes, b"Exif"));
        let kept = take(&sent, true).unwrap();
        assert_eq!(kept.bytes, sent, "kept on purpose as it was sent");
    }

    #[test]
    fn a_large_photo_is_scaled_and_a_small_one_is_not() {
        for (size, kept) in [
            ((5000, 2500), (2560, 1280)),
            ((300, 5120), (150, 2560)),
            ((640, 480), (640, 480)),
        ] {
            let taken = take(&jpeg(&half(size.0, size.1)), false).unwrap();
            assert_eq!(taken.size, Some(kept), "{size:?}");
            assert_eq!(shown(&taken.bytes).dimensions(), kept, "{size:?}");
        }
    }

    #[test]
    fn what_is_transparent_becomes_white_and_not_black() {
        let mut png = Vec::new();
        PngEncoder::new(&mut png)
            .write_image(&[0; 8 * 8 * 4], 8, 8, ExtendedColorType::Rgba8)
            .unwrap();
        let taken = take(&png, false).unwrap();
        assert_eq!(taken.kind, EvidenceType::Jpeg);
        assert!(shown(&taken.bytes).pixels().all(|it| it.0[0] > 250));
    }

    /// A PNG of one color with these sides: zeros pack a thousandfold.
    fn bomb(side: u32) -> Vec<u8> {
        let mut png = Vec::new();
        let row = usize::try_from(side).unwrap();
        let pixels = vec![0; row * row];
        PngEncoder::new(&mut png)
            .write_image(&pixels, side, side, ExtendedColorType::L8)
            .unwrap();
        png
    }

    #[test]
    fn a_bomb_is_refused_by_the_size_that_it_claims() {
        let packed = bomb(7_200);
        assert!(packed.len() < MOST_BYTES / 10, "{}", packed.len());
        let why = take(&packed, false).unwrap_err();
        assert!(
            why.what.contains("7200 x 7200, 52 million pixels"),
            "{}",
            why.what
        );
        // A header that lies about what follows.
        let mut lying = bomb(16);
        lying.splice(16..24, [0, 0, 0x0b, 0xb8, 0, 0, 0x0b, 0xb8]);
        assert!(take(&lying, false).is_err());
    }

    #[test]
    fn what_is_no_photo_is_told_by_its_content() {
        let photo = jpeg(&half(64, 64));
        for (sent, said) in [
            (&b""[..], "is empty"),
            (b"a note", "neither a photo nor a PDF"),
            (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
            (b"RIFF\x10\0\0\0WEBPVP8 ", "WebP"),
            (b"GIF89a", "GIF"),
            (b"\xef\xbb\xbf <svg><script/></svg>", "can hold a script"),
            (b"<!doctype html>", "can hold a script"),
            (b"%PDF-1.7\nhalf of it", "cut short"),
            (b"\xff\xd8\xff\xe0 nothing more", "cut short"),
            (b"\xff\xd8\xff\xd9", "cannot be read as one"),
            (&photo[..300], "cut short"),
            (&photo[..photo.len() - 2], "cut short"),
        ] {
            let why = take(sent, false).unwrap_err();
            assert!(why.what.contains(said), "{said}: {}", why.what);
        }
        let paper = b"%PDF-1.7\n1 0 obj\nendobj\ntrailer\n%%EOF\n";
        assert_eq!(take(paper, false).unwrap().bytes, paper);
        let long = too_long(200 * 1024 * 1024).unwrap();
        assert_eq!(long.what, "is 200 MB long; at most 10 MB are kept");
        assert_eq!(too_long(10 * 1024 * 1024), None);
    }
}
