//! What each item caught and let through, as bars of single events: caught to the right, filled;
//! let through to the left, hollow.

use serde::Serialize;

use super::ChartError;
use super::axis::Axis;
use super::frame::{Frame, Plot};
use super::marks::{Fill, Part};
use super::rows::{self, Rows};
use super::style::{self, MARGIN, Stroke};
use super::svg::Hang;

/// Half the height of a bar.
const HALF: i32 = 13;
/// Widest column of names.
const NAMES: i32 = 620;
/// Room of the words at the right.
const SIDE: i32 = 340;
/// Widest bar of one event.
const WIDEST: i64 = 60;
/// Room of a count beside a bar.
const COUNT: i32 = 60;

const TITLE_WORDS: &str = "Caught and let through, per item";
const NOTHING: &str = "nothing caught, nothing let through";
const LEGEND: &str = "left, hollow: let through; right, filled: caught; share caught (95 %)";

/// All that the chart shows.
#[derive(Debug, Clone, Serialize)]
pub struct RankingChart {
    /// The items, in their order.
    pub bars: Vec<RankBar>,
    /// Lines printed below.
    pub notes: Vec<String>,
}

/// One item.
#[derive(Debug, Clone, Serialize)]
pub struct RankBar {
    /// Its name.
    pub name: String,
    /// Defects that it caught.
    pub caught: u64,
    /// Failures that got past it.
    pub let_through: u64,
    /// Lower end, share caught, upper end, in percent.
    pub share: Option<[i64; 3]>,
}

impl RankBar {
    fn words(&self) -> String {
        match self.share {
            Some([lower, share, upper]) => format!("{share} % ({lower} to {upper} %)"),
            None => "none counted".to_owned(),
        }
    }
}

impl RankingChart {
    /// The chart as one SVG document, 160 mm wide, as high as its items need.
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        let names = self.bars.iter().map(|it| rows::cut(&it.name, NAMES));
        let rows = Rows::new(names.collect());
        let most = |of: fn(&RankBar) -> u64| number(self.bars.iter().map(of).max().unwrap_or(0));
        let (through, caught) = (most(|it| it.let_through), most(|it| it.caught));
        let left = rows.left(0) + COUNT;
        let room = style::WIDTH - MARGIN - left;
        // Few events are no wider than they need.
        let need = through.saturating_add(caught).saturating_mul(WIDEST);
        let wide = i32::try_from(need).map_or(i32::MAX, |it| it.min(room - SIDE - COUNT));
        let events = Axis::bare(-through, caught.max(1 - through));
        // What few events prove is read before the bars.
        let notes = self.notes.iter().map(|it| (it.as_str(), style::INK));
        let head = notes.chain([(LEGEND, style::QUIET)]).collect();
        let key = |fill, text: &str| (vec![Part::Bar(fill)], text.to_owned());
        let frame = Frame {
            head,
            grid: [false, false],
            edges: [false, false],
            left: Some(left),
            right: room - wide.max(1),
            height: Some(rows.height()),
            legend: vec![key(Fill::Open, "let through"), key(Fill::Solid, "caught")],
            ..Frame::new(TITLE_WORDS, events, rows.axis(), &[], "")
        };
        frame.draw(
            &self.description(),
            |_| (),
            |plot| {
                plot.pen.layer("bars", || {
                    for (bar, n) in self.bars.iter().zip(0..) {
                        draw(plot, bar, rows.middle(plot, n));
                    }
                });
                plot.pen.layer("names", || rows.draw_names(plot));
                if self.bars.is_empty() {
                    let at = (MARGIN, plot.top + 30);
                    plot.pen.say(at, Hang::Left, style::INK, NOTHING);
                }
                let nought = plot.x(0);
                let ends = [(nought, plot.top), (nought, plot.lower)];
                plot.pen.path(&ends, Stroke::solid(style::INK, 3));
            },
        )
    }

    fn description(&self) -> String {
        let mut text = self.notes.join(" ");
        for bar in &self.bars {
            text.push_str(&format!(
                " {}: caught {}, let through {}, share caught {}.",
                bar.name,
                bar.caught,
                bar.let_through,
                bar.words()
            ));
        }
        text
    }
}

fn number(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

fn draw(plot: &Plot, bar: &RankBar, y: i32) {
    let (pen, nought) = (&plot.pen, plot.x(0));
    let caught = plot.x(number(bar.caught));
    let through = plot.x(-number(bar.let_through));
    if caught > nought {
        pen.bar((nought, y - HALF), (caught, y + HALF), Fill::Solid);
    }
    if through < nought {
        pen.bar((through, y - HALF), (nought, y + HALF), Fill::Open);
    }
    let text = bar.let_through.to_string();
    pen.say((through - 12, y), Hang::Right, style::INK, &text);
    let text = bar.caught.to_string();
    pen.say((caught + 12, y), Hang::Left, style::INK, &text);
    let end = style::WIDTH - MARGIN;
    pen.say((end, y), Hang::Right, style::INK, &bar.words());
}
