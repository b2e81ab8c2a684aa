//! The look of all charts: palette, strokes, dashes, sizes.
//!
//! One drawing unit is 0.1 mm on paper. Each kind of line has its own dash and width, so that a
//! grey copy reads as well as the screen; the colours are dark enough on white for text
//! (contrast of at least 4.5:1 by the WCAG 2.2 formula, held by a test).

use plotters::style::RGBColor;

/// Width of a chart in drawing units: 160 mm, the text width of an A4 page.
pub const WIDTH: i32 = 1600;
/// Least height of a chart: 110 mm, so that it takes half an A4 page.
pub const HEIGHT: i32 = 1100;
/// Clear space at the left, right, top and bottom.
pub const MARGIN: i32 = 30;

/// Font size of the title (10 point).
pub const TITLE: i32 = 36;
/// Font size of figures and labels (7.4 point).
pub const BODY: i32 = 26;
/// From one line of body text to the next.
pub const LINE: i32 = 33;

/// Fonts asked for: the PNG has the first; a browser takes the first that it finds.
pub const FONTS: &str = "DejaVu Sans, Verdana, sans-serif";

/// Page.
pub const PAPER: RGBColor = RGBColor(255, 255, 255);
/// Text, frames, marks.
pub const INK: RGBColor = RGBColor(26, 28, 32);
/// Words that stand back: axis figures, notes.
pub const QUIET: RGBColor = RGBColor(74, 80, 88);
/// Lines of the grid; no text.
pub const GRID: RGBColor = RGBColor(205, 209, 214);
/// The dose itself.
pub const DOSE: RGBColor = RGBColor(18, 66, 120);
/// A limit of law.
pub const LIMIT: RGBColor = RGBColor(140, 20, 30);
/// The site's own administrative level.
pub const ADMINISTRATIVE: RGBColor = RGBColor(122, 66, 0);
/// An investigation level.
pub const INVESTIGATION: RGBColor = RGBColor(78, 42, 120);
/// A level of one shift.
pub const SHIFT: RGBColor = RGBColor(0, 90, 80);

/// How a line is drawn: colour, width, and the dash (drawn, left out, drawn, ...; empty = solid).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stroke {
    /// Colour of the line.
    pub colour: RGBColor,
    /// Width in drawing units.
    pub width: u32,
    /// Lengths drawn and left out in turn, in drawing units; empty for a solid line.
    pub dash: &'static [i32],
}

impl Stroke {
    /// A solid line.
    #[must_use]
    pub const fn solid(colour: RGBColor, width: u32) -> Self {
        Self {
            colour,
            width,
            dash: &[],
        }
    }

    /// A dashed line.
    #[must_use]
    pub const fn dashed(colour: RGBColor, width: u32, dash: &'static [i32]) -> Self {
        Self {
            colour,
            width,
            dash,
        }
    }
}

/// Dose of record: the heaviest line.
pub const OF_RECORD: Stroke = Stroke::solid(DOSE, 8);
/// Provisional dose: the same line, thin.
pub const PROVISIONAL: Stroke = Stroke::solid(DOSE, 3);
/// Of record, after a day that nobody has determined: a lower bound only.
pub const OF_RECORD_AT_LEAST: Stroke = Stroke::dashed(DOSE, 8, &[14, 9]);
/// Provisional, after a day that nobody has determined: a lower bound only.
pub const PROVISIONAL_AT_LEAST: Stroke = Stroke::dashed(DOSE, 3, &[14, 9]);
/// Today.
pub const TODAY: Stroke = Stroke::dashed(INK, 2, &[3, 7]);
/// A limit of law.
pub const LIMIT_LINE: Stroke = Stroke::solid(LIMIT, 5);
/// An administrative level.
pub const ADMINISTRATIVE_LINE: Stroke = Stroke::dashed(ADMINISTRATIVE, 4, &[44, 14]);
/// An investigation level.
pub const INVESTIGATION_LINE: Stroke = Stroke::dashed(INVESTIGATION, 4, &[30, 9, 5, 9]);
/// A level of one shift.
pub const SHIFT_LINE: Stroke = Stroke::dashed(SHIFT, 4, &[6, 9]);

/// The field in which the next measure of a part will lie; no text on it alone.
pub const BAND: RGBColor = RGBColor(226, 230, 236);
/// The edges of that field.
pub const BAND_EDGE: Stroke = Stroke::solid(QUIET, 2);
/// Stripes of a bar that rests on readings only.
pub const HATCH: Stroke = Stroke::solid(DOSE, 2);
/// The middle of a forecast.
pub const FAN_MIDDLE: Stroke = Stroke::dashed(QUIET, 4, &[22, 14]);
/// The line of the part that is installed.
pub const WEAR_LINE: Stroke = Stroke::solid(DOSE, 7);
/// The same, foreseen.
pub const FORESEEN: Stroke = Stroke::dashed(DOSE, 7, &[22, 14]);
/// The line of an earlier part.
pub const OLD_WEAR_LINE: Stroke = Stroke::solid(DOSE, 4);
/// Where a new part was installed.
pub const BREAK: Stroke = Stroke::dashed(QUIET, 3, &[16, 8]);

/// Relative luminance, WCAG 2.2.
#[cfg(test)]
fn luminance(c: RGBColor) -> f64 {
    let part = |v: u8| {
        let s = f64::from(v) / 255.0;
        if s <= 0.04045 {
            s / 12.92
        } else {
            ((s + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * part(c.0) + 0.7152 * part(c.1) + 0.0722 * part(c.2)
}

/// Contrast of two colours, WCAG 2.2: 1 to 21.
#[cfg(test)]
pub(super) fn contrast(a: RGBColor, b: RGBColor) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_contrast_of_black_and_white_is_twenty_one_and_of_a_mid_grey_is_as_published() {
        let grey = RGBColor(0x76, 0x76, 0x76);
        let black = RGBColor(0, 0, 0);
        assert!((contrast(PAPER, black) - 21.0).abs() < 1e-9);
        // #767676 is the lightest grey that text may have on white.
        assert!((contrast(grey, PAPER) - 4.54).abs() < 0.005);
        assert!(contrast(RGBColor(0x77, 0x77, 0x77), PAPER) < 4.5);
    }

    #[test]
    fn every_colour_of_a_word_or_mark_stands_out_on_paper() {
        for c in [
            INK,
            QUIET,
            DOSE,
            LIMIT,
            ADMINISTRATIVE,
            INVESTIGATION,
            SHIFT,
        ] {
            let ratio = contrast(PAPER, c);
            assert!(ratio >= 4.5, "{c:?} has only {ratio:.2}:1");
            let ratio = contrast(BAND, c);
            assert!(ratio >= 3.0, "{c:?} has only {ratio:.2}:1 on the band");
        }
    }

    #[test]
    fn no_two_kinds_of_line_look_alike_without_colour() {
        let all = [
            OF_RECORD,
            PROVISIONAL,
            OF_RECORD_AT_LEAST,
            PROVISIONAL_AT_LEAST,
            TODAY,
            LIMIT_LINE,
            ADMINISTRATIVE_LINE,
            INVESTIGATION_LINE,
            SHIFT_LINE,
            BAND_EDGE,
            WEAR_LINE,
            FORESEEN,
            FAN_MIDDLE,
            OLD_WEAR_LINE,
            BREAK,
        ];
        for (i, a) in all.iter().enumerate() {
            for b in all.iter().skip(i + 1) {
                assert!((a.width, a.dash) != (b.width, b.dash), "{a:?} and {b:?}");
            }
        }
    }
}
