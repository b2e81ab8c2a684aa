//! Charts: plain numbers in, an SVG text or the bytes of a PNG out.
//!
//! Every chart is drawn to be read in black and white at half an A4 page (160 mm wide): one unit
//! of the drawing is 0.1 mm, no text is below 7 point, and no meaning hangs on colour alone.
//! Each has a `<title>`, a `<desc>` that says the same in words, and `role="img"`. The layers of
//! a drawing are `<g class="...">`, so that a reader's tool (and our tests) can find the curve.
//!
//! This room may use `quantity` and `calendar`. It computes no dose: whoever calls it has
//! already decided what is of record and what each level is.
//!
//! `font/` holds the one font of the PNG. It is DejaVu Sans 2.37 cut down to Latin, Greek and
//! basic Cyrillic with fonttools 4.68:
//!
//! ```text
//! pyftsubset DejaVuSans.ttf --no-hinting --name-IDs='*' \
//!   --layout-features=kern,mark,mkmk,ccmp --output-file=DejaVuSans-latin.ttf \
//!   --unicodes=U+0020-007E,U+00A0-024F,U+0300-036F,U+0370-03FF,U+0400-045F,U+0490-0491,\
//! U+1E00-1EFF,U+2010-2027,U+2030-203A,U+20AC,U+2122,U+2190-2193,U+2212,U+2248,U+2260,\
//! U+2264-2265
//! ```
//!
//! A name in another script is whole in the SVG (the viewer's fonts draw it); in the PNG its
//! letters are empty boxes or left out.

mod axis;
pub mod crew_bars;
pub mod due_days;
mod frame;
mod marks;
pub mod months;
pub mod png;
pub mod ranking;
mod rows;
pub mod scatter;
mod share_bars;
pub mod style;
mod svg;
pub mod trace;
mod trace_plot;
pub mod wear;
mod wear_plot;
mod words;
pub mod worker_year;
mod year_plot;

#[cfg(test)]
mod cases;
#[cfg(test)]
mod crew_inspect;
#[cfg(test)]
mod every_drawing;
#[cfg(test)]
mod inspect;
#[cfg(test)]
mod trace_inspect;
#[cfg(test)]
mod wear_cases;
#[cfg(test)]
mod wear_inspect;
#[cfg(test)]
mod year_inspect;

use crate::calendar::Day;

/// Why a chart could not be drawn.
#[derive(Debug, thiserror::Error)]
pub enum ChartError {
    /// The first day of the span is after its last.
    #[error("a chart's span ends on {last}, before its first day {first}")]
    Backwards {
        /// First day asked for.
        first: Day,
        /// Last day asked for.
        last: Day,
    },
    /// The drawing backend failed.
    #[error("the chart could not be drawn: {0}")]
    Draw(String),
    /// The SVG could not be turned into pixels.
    #[error("the picture could not be made from the drawing: {0}")]
    Picture(String),
}
