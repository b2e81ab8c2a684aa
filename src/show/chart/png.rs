//! A drawing turned into a PNG, with the bundled font and nothing of the machine's own.

use std::sync::Arc;

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg;

use super::ChartError;
use crate::file::has_mark;

/// DejaVu Sans, cut to Latin, Greek and basic Cyrillic; license beside it in `font/`.
pub(super) const FONT: &[u8] = include_bytes!("font/DejaVuSans-latin.ttf");
const FAMILY: &str = "DejaVu Sans";

/// Width in pixels of a chart printed at 160 mm with 300 dots an inch.
pub const PRINT_WIDTH: u32 = 1890;

/// Widest picture made; past it the memory for the pixels is not worth the sharpness.
const WIDEST: u32 = 10_000;

/// The SVG as the bytes of a PNG, `wide` pixels wide (1 to 10 000), on white.
///
/// The same SVG gives the same bytes on every machine: only the bundled font is used.
///
/// # Errors
/// [`ChartError::Picture`] if the text is no SVG, or the width is out of range.
pub fn png(svg: &str, wide: u32) -> Result<Vec<u8>, ChartError> {
    let tree = parse(svg)?;
    let size = tree.size();
    if wide == 0 || wide > WIDEST {
        return Err(ChartError::Picture(format!(
            "width `{wide}` is not 1 to {WIDEST} pixels"
        )));
    }
    // A width of at most 10 000 is exact in f32; the drawing's size is positive by its type.
    let scale = wide as f32 / size.width();
    let high = (size.height() * scale).round() as u32;
    let too_large = || ChartError::Picture(format!("{wide} by {high} pixels is too large"));
    if high > 4 * WIDEST {
        return Err(too_large());
    }
    let mut pixels = Pixmap::new(wide, high.max(1)).ok_or_else(too_large)?;
    pixels.fill(Color::WHITE);
    resvg::render(
        &tree,
        Transform::from_scale(scale, scale),
        &mut pixels.as_mut(),
    );
    let picture = pixels.encode_png();
    picture
        .map(|it| signed(&it))
        .map_err(|e| ChartError::Picture(e.to_string()))
}

/// Where the first chunk of a PNG ends: the signature of 8 bytes, and the header, which is 13
/// bytes long and stands between 8 and 4 (PNG, third edition, 5.2, 5.3, 11.2.1).
const AFTER_HEADER: usize = 33;

/// The text chunk that says which program made a picture (PNG, third edition, 11.3.3.2), with its
/// type.
const MADE_BY: &[u8] = b"tEXtSoftware\0wearbook";

/// A picture that says what made it.
fn signed(picture: &[u8]) -> Vec<u8> {
    let (head, rest) = picture.split_at(AFTER_HEADER.min(picture.len()));
    let data = u32::try_from(MADE_BY.len() - 4).unwrap_or(0);
    let check = crc32fast::hash(MADE_BY);
    let parts = [
        head,
        &data.to_be_bytes(),
        MADE_BY,
        &check.to_be_bytes(),
        rest,
    ];
    parts.concat()
}

/// How a chart of this program begins.
const SVG: &[u8] = br#"<svg xmlns="http://www.w3.org/2000/svg" role="img" width=""#;

/// Whether a file is a chart that this program drew: another one may take its place.
pub fn is_chart(path: &std::path::Path) -> bool {
    has_mark(path, SVG) || has_mark(path, MADE_BY)
}

/// The drawing as the rasteriser understands it.
pub(super) fn parse(svg: &str) -> Result<usvg::Tree, ChartError> {
    let mut fonts = usvg::fontdb::Database::new();
    fonts.load_font_data(FONT.to_vec());
    fonts.set_sans_serif_family(FAMILY);
    fonts.set_serif_family(FAMILY);
    let options = usvg::Options {
        font_family: FAMILY.to_owned(),
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    };
    usvg::Tree::from_str(svg, &options).map_err(|e| ChartError::Picture(e.to_string()))
}

#[cfg(test)]
mod tests {
    use super::super::words;
    use super::*;

    fn box_of(text: &str, size: i32) -> Option<usvg::Rect> {
        let svg = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='4000' height='400'>\
             <text x='0' y='200' style='font-kerning:none' font-family='DejaVu Sans' \
             font-size='{size}'>{text}</text></svg>"
        );
        let tree = parse(&svg).unwrap();
        tree.root().children().first().map(usvg::Node::bounding_box)
    }

    #[test]
    fn the_table_of_widths_is_that_of_the_bundled_font() {
        // Twenty of a kind between two full stops: side bearings and kerning stay small beside
        // the sum, so that a wrong advance of one letter shows.
        for code in 0x21..=0x7e_u8 {
            let c = char::from(code);
            let shown = match c {
                '<' => "&lt;".to_owned(),
                '&' => "&amp;".to_owned(),
                other => other.to_string(),
            };
            let drawn = box_of(&shown.repeat(20), 100).unwrap().width();
            let counted = words::width(&c.to_string().repeat(20), 100) as f32;
            assert!(
                (drawn - counted).abs() < 45.0,
                "`{c}`: drawn {drawn}, counted {counted}"
            );
        }
    }

    #[test]
    fn letters_of_latin_greek_and_cyrillic_names_are_drawn() {
        for text in [
            "\u{b5}", "\u{3bc}", "\u{141}", "\u{e9}", "\u{416}", "\u{1ec7}",
        ] {
            assert!(box_of(text, 100).is_some(), "{text}");
        }
    }

    #[test]
    fn a_picture_has_the_width_asked_for_and_a_white_ground() {
        let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='160mm' height='110mm'/>";
        let bytes = png(svg, 320).unwrap();
        let back = Pixmap::decode_png(&bytes).unwrap();
        assert_eq!((back.width(), back.height()), (320, 220));
        assert!(
            back.pixels()
                .iter()
                .all(|p| p.red() == 255 && p.alpha() == 255)
        );
    }

    #[test]
    fn what_is_no_drawing_or_no_width_is_refused() {
        assert!(matches!(png("<svg", 10), Err(ChartError::Picture(_))));
        let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='16' height='11'/>";
        for wide in [0, 10_001] {
            assert!(
                matches!(png(svg, wide), Err(ChartError::Picture(_))),
                "{wide}"
            );
        }
        let tall = "<svg xmlns='http://www.w3.org/2000/svg' width='1' height='90000'/>";
        assert!(matches!(png(tall, 10), Err(ChartError::Picture(_))));
    }
}
