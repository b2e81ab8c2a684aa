//! What each item caught and let through, as bars of single events: caught to the right, filled;
//! let through to the left, hollow.

use serde::Serialize;

use super::canvas::{Canvas, Hang};
use super::page;
use super::style::{self, BODY, LINE, MARGIN, Stroke, TITLE};
use super::{ChartError, words};

/// Height of one item.
const ROW: i32 = LINE + 18;
/// Height of a bar.
const BAR: i32 = 26;
/// Widest column of names.
const NAMES: i32 = 620;
/// Room of the words at the right.
const SIDE: i32 = 340;
/// Widest bar of one event.
const WIDEST: i32 = 60;
/// Room of a count beside a bar.
const COUNT: i32 = 60;

const TITLE_WORDS: &str = "Caught and let through, per item";
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

/// How long a bar is.
struct Lengths {
    /// The longest bars of both sides together, in events.
    most: u64,
    /// The room that both sides have.
    room: i32,
    nought: i32,
}

impl Lengths {
    /// The length of so many events, rounded down; few events are no wider than they need.
    fn of(&self, count: u64) -> i32 {
        let room = u64::from(self.room.unsigned_abs());
        let widest = self.most.saturating_mul(u64::from(WIDEST.unsigned_abs()));
        let long = count.saturating_mul(room.min(widest)) / self.most.max(1);
        i32::try_from(long).unwrap_or(self.room)
    }
}

impl RankingChart {
    /// The chart as one SVG document, 160 mm wide, as high as its items need.
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the drawing backend fails.
    pub fn svg(&self) -> Result<String, ChartError> {
        let wide = style::WIDTH - 2 * MARGIN;
        let mut above = Vec::new();
        for note in &self.notes {
            above.extend(words::wrap(&words::clean(note), BODY, wide));
        }
        above.push(LEGEND.to_owned());
        let top = MARGIN + TITLE + 20 + page::height(above.len(), LINE) + 10;
        let count = i32::try_from(self.bars.len()).unwrap_or(0).max(1);
        let height = (top + count.saturating_mul(ROW) + MARGIN).max(300);
        let mut canvas = Canvas::new(height);
        canvas.layer("paper", |pen| {
            pen.fill((0, 0), (style::WIDTH, height), style::PAPER)
        })?;
        canvas.layer("words", |pen| {
            let at = (MARGIN, MARGIN + TITLE / 2);
            pen.text(at, Hang::Left, TITLE, style::INK, TITLE_WORDS)?;
            let mut y = MARGIN + TITLE + 20 + LINE / 2;
            for line in &above {
                pen.text((MARGIN, y), Hang::Left, BODY, style::INK, line)?;
                y += LINE;
            }
            if self.bars.is_empty() {
                let at = (MARGIN, top + LINE);
                pen.text(
                    at,
                    Hang::Left,
                    BODY,
                    style::INK,
                    "nothing caught, nothing let through",
                )?;
            }
            Ok(())
        })?;
        self.draw(&mut canvas, top)?;
        Ok(canvas.finish(TITLE_WORDS, &self.description()))
    }

    /// The lengths of bars, and the place of nought.
    fn scale(&self) -> Lengths {
        let most = |of: fn(&RankBar) -> u64| self.bars.iter().map(of).max().unwrap_or(0);
        let (through, caught) = (most(|it| it.let_through), most(|it| it.caught));
        let names: Vec<&str> = self.bars.iter().map(|it| it.name.as_str()).collect();
        let left = MARGIN + words::widest(&names, BODY).min(NAMES) + COUNT;
        let room = style::WIDTH - MARGIN - SIDE - COUNT - left;
        let mut lengths = Lengths {
            most: through.saturating_add(caught),
            room,
            nought: left,
        };
        lengths.nought = left + lengths.of(through);
        lengths
    }

    fn draw(&self, canvas: &mut Canvas, top: i32) -> Result<(), ChartError> {
        let lengths = self.scale();
        let nought = lengths.nought;
        let place = |n: usize| top + i32::try_from(n).unwrap_or(0).saturating_mul(ROW);
        canvas.layer("bars", |pen| {
            for (n, bar) in self.bars.iter().enumerate() {
                let middle = place(n) + ROW / 2;
                let (upper, lower) = (middle - BAR / 2, middle + BAR / 2);
                let caught = nought + lengths.of(bar.caught);
                let through = nought - lengths.of(bar.let_through);
                if bar.caught > 0 {
                    pen.fill((nought, upper), (caught, lower), style::DOSE)?;
                }
                if bar.let_through > 0 {
                    let line = Stroke::solid(style::INK, 4);
                    pen.frame((through, upper), (nought, lower), line)?;
                }
            }
            Ok(())
        })?;
        canvas.layer("figures", |pen| {
            for (n, bar) in self.bars.iter().enumerate() {
                let y = place(n) + ROW / 2;
                let name = words::wrap(&words::clean(&bar.name), BODY, NAMES);
                let name = name.first().map(String::as_str).unwrap_or_default();
                pen.text((MARGIN, y), Hang::Left, BODY, style::INK, name)?;
                let caught = nought + lengths.of(bar.caught);
                let through = nought - lengths.of(bar.let_through);
                let text = bar.let_through.to_string();
                pen.text((through - 12, y), Hang::Right, BODY, style::INK, &text)?;
                let text = bar.caught.to_string();
                pen.text((caught + 12, y), Hang::Left, BODY, style::INK, &text)?;
                let end = style::WIDTH - MARGIN;
                pen.text((end, y), Hang::Right, BODY, style::INK, &bar.words())?;
            }
            Ok(())
        })?;
        canvas.layer("nought", |pen| {
            let foot = place(self.bars.len());
            pen.path(
                &[(nought, top), (nought, foot)],
                Stroke::solid(style::INK, 3),
            )
        })
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
