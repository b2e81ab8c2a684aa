//! What falls due on the coming days: a row for each duty and day, with its mark on the day and
//! the date beside it. What is not in force now stands first, in a column of its own.

use super::axis::{Axis, middle};
use super::frame::{Frame, Plot};
use super::marks::{Part, Shape};
use super::rows::Rows;
use super::style::{self, BODY, MARGIN};
use super::svg::{Hang, Patch};
use super::{ChartError, words};
use crate::calendar::Day;

/// All that the chart shows.
#[derive(Debug, Clone)]
pub struct DueDays {
    /// As `What falls due, 2026-06-05 to 2026-09-03`.
    pub title: String,
    /// Today, which the strip begins with.
    pub first: Day,
    /// The last day of the strip.
    pub last: Day,
    /// The rows from the top down.
    pub rows: Vec<DueRow>,
    /// Lines printed below.
    pub notes: Vec<String>,
    /// The line that says whom to ask; printed last, whole.
    pub caution: String,
}

/// Several things for which the same is due on the same day.
#[derive(Debug, Clone)]
pub struct DueRow {
    /// The last day on which it is in time; nothing where it is not in force now.
    pub day: Option<Day>,
    /// What it is about, which chooses the mark.
    pub kind: DueType,
    /// What is to be done.
    pub what: String,
    /// Of which things or people.
    pub items: Vec<String>,
}

/// What a row is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DueType {
    /// A person.
    Person,
    /// A badge.
    Badge,
    /// An instrument.
    Instrument,
    /// An item of equipment.
    Equipment,
}

impl DueType {
    /// The mark of each kind: shapes that a copy keeps apart.
    fn mark(self) -> Part {
        match self {
            Self::Person => Part::Full(Shape::Circle, 11, style::INK),
            Self::Badge => Part::Full(Shape::Diamond, 14, style::INVESTIGATION),
            Self::Instrument => Part::Full(Shape::Square, 10, style::DOSE),
            Self::Equipment => Part::Full(Shape::Triangle, 14, style::ADMINISTRATIVE),
        }
    }
}

const KINDS: [(DueType, &str); 4] = [
    (DueType::Person, "person"),
    (DueType::Badge, "badge"),
    (DueType::Instrument, "instrument"),
    (DueType::Equipment, "equipment"),
];

/// Width of the words at the left.
const WORDS: i32 = 560;
/// Width of the column of what is not in force now.
const NOW: i32 = 220;
/// How many things a row names; the description has them all.
const NAMED: usize = 8;
/// Printed where there is nothing.
const NOTHING: &str = "nothing is due";

impl DueRow {
    fn words(&self, named: usize) -> String {
        let shown: Vec<&str> = self.items.iter().map(String::as_str).take(named).collect();
        let more = match self.items.len().saturating_sub(named) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        format!("{}: {}{more}", self.what, shown.join(", "))
    }
}

impl DueDays {
    fn late(&self) -> usize {
        let late = self.rows.iter().filter(|it| it.day.is_none());
        late.map(|it| it.items.len()).sum()
    }

    fn caption(&self) -> String {
        let all: usize = self.rows.iter().map(|it| it.items.len()).sum();
        format!(
            "{} overdue on {}; {} fall due up to {}. A mark stands on the last valid day.",
            self.late(),
            self.first,
            all - self.late(),
            self.last
        )
    }

    /// The chart as one SVG document, 160 mm wide; its height follows the number of rows.
    ///
    /// # Errors
    /// [`ChartError::Backwards`] if the strip ends before it begins; [`ChartError::Draw`] if the
    /// axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        let (first, last) = (self.first, self.last);
        if last < first {
            return Err(ChartError::Backwards { first, last });
        }
        let caption = self.caption();
        let named = self.rows.iter().map(|it| it.words(NAMED));
        let rows = Rows::new(
            named
                .map(|it| words::wrap(&words::clean(&it), BODY, WORDS))
                .collect(),
        );
        let days = Axis::days(first, last, 12);
        let keys = KINDS.into_iter();
        let frame = Frame {
            head: vec![(&caption, style::QUIET)],
            grid: [true, false],
            under: vec![days.years(first)],
            left: Some(MARGIN + WORDS + 20 + NOW),
            height: Some(rows.height()),
            legend: keys
                .map(|(kind, text)| (vec![kind.mark()], text.to_owned()))
                .collect(),
            ..Frame::new(&self.title, days, rows.axis(), &self.notes, &self.caution)
        };
        frame.draw(
            &self.description(),
            |_| (),
            |plot| {
                plot.pen.layer("rows", || {
                    rows.draw_names(plot);
                    for (row, n) in self.rows.iter().zip(0..) {
                        self.draw(plot, row, rows.middle(plot, n));
                    }
                    if self.rows.is_empty() {
                        let at = (MARGIN, plot.top + 30);
                        plot.pen.say(at, Hang::Left, style::INK, NOTHING);
                    }
                });
            },
        )
    }

    fn draw(&self, plot: &Plot, row: &DueRow, y: i32) {
        let Some(day) = row.day else {
            let x = plot.left - NOW + 24;
            plot.pen.mark((x, y), &[row.kind.mark()]);
            return plot
                .pen
                .say((x + 22, y), Hang::Left, style::LIMIT, "not in force");
        };
        let x = plot.x(middle(self.first, day.clamp(self.first, self.last)));
        plot.pen.mark((x, y), &[row.kind.mark()]);
        let text = day.to_string();
        let right = Patch::of((x + 22, y), Hang::Left, &text).right;
        let (at, hang) = if right <= plot.right {
            ((x + 22, y), Hang::Left)
        } else {
            ((x - 22, y), Hang::Right)
        };
        plot.pen.patch(at, hang, style::INK, &text);
    }

    /// The chart in words.
    fn description(&self) -> String {
        let mut text = self.caption();
        if self.rows.is_empty() {
            text.push_str(&format!(" There is {NOTHING}."));
        }
        for row in &self.rows {
            let when = match row.day {
                Some(day) => day.to_string(),
                None => "overdue now".to_owned(),
            };
            text.push_str(&format!(" {when}: {}.", row.words(usize::MAX)));
        }
        text
    }
}
