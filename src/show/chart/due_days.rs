//! What falls due on the coming days: a row for each duty and day, with its mark on the day and
//! the date beside it. What is not in force now stands first, in a column of its own.

use super::canvas::{Canvas, Hang, Pen};
use super::page::{self, Page, SAMPLE};
use super::scale::DayScale;
use super::style::{self, BODY, LINE, MARGIN, Stroke};
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
    pub sort: DueSort,
    /// What is to be done.
    pub what: String,
    /// Of which things or people.
    pub items: Vec<String>,
}

/// What a row is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DueSort {
    /// A person.
    Person,
    /// A badge.
    Badge,
    /// An instrument.
    Instrument,
    /// A piece of equipment.
    Equipment,
}

const SORTS: [(DueSort, &str); 4] = [
    (DueSort::Person, "person"),
    (DueSort::Badge, "badge"),
    (DueSort::Instrument, "instrument"),
    (DueSort::Equipment, "equipment"),
];

/// Width of the words at the left.
const WORDS: i32 = 560;
/// Width of the column of what is not in force now.
const NOW: i32 = 220;
/// How many things a row names; the description has them all.
const NAMED: usize = 8;
/// Printed where there is nothing.
const NOTHING: &str = "nothing is due";

struct Row<'a> {
    row: &'a DueRow,
    lines: Vec<String>,
    top: i32,
}

impl Row<'_> {
    fn height(&self) -> i32 {
        page::height(self.lines.len().max(1), LINE) + 12
    }

    fn middle(&self) -> i32 {
        self.top + self.height() / 2
    }
}

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
            "{} not in force on {}; {} fall due up to {}. A mark stands on the last day in time.",
            self.late(),
            self.first,
            all - self.late(),
            self.last
        )
    }

    fn rows(&self, top: i32) -> Vec<Row<'_>> {
        let mut rows = Vec::new();
        let mut y = top;
        for row in &self.rows {
            let row = Row {
                row,
                lines: words::wrap(&words::clean(&row.words(NAMED)), BODY, WORDS),
                top: y,
            };
            y += row.height();
            rows.push(row);
        }
        rows
    }

    /// The chart as one SVG document, 160 mm wide; its height follows the number of rows.
    ///
    /// # Errors
    /// [`ChartError::Backwards`] if the strip ends before it begins; [`ChartError::Draw`] if the
    /// drawing backend fails.
    pub fn svg(&self) -> Result<String, ChartError> {
        let (first, last) = (self.first, self.last);
        if last < first {
            return Err(ChartError::Backwards { first, last });
        }
        let caption = self.caption();
        let page = Page::new(
            &self.title,
            &[(&caption, style::QUIET)],
            self.notes.iter().chain([&self.caution]),
        );
        let top = page.top() + 2 * LINE + 10;
        let rows = self.rows(top);
        let lower = rows
            .last()
            .map_or(top + 2 * LINE, |it| it.top + it.height());
        let keys = SORTS
            .into_iter()
            .map(|(sort, text)| (sort, text.to_owned()));
        let legend = page::legend(keys.collect());
        let foot = lower + LINE + page::height(legend.len(), LINE);
        let days = DayScale {
            first,
            last,
            left: MARGIN + WORDS + 20 + NOW,
            right: style::WIDTH - MARGIN,
        };
        let mut canvas = Canvas::new(foot + page.after());
        page.draw(&mut canvas, foot)?;
        canvas.layer("axes", |pen| axes(pen, &days, top, lower))?;
        canvas.layer("rows", |pen| {
            for row in &rows {
                draw(pen, row, &days)?;
            }
            if rows.is_empty() {
                let at = (MARGIN, top + LINE);
                pen.text(at, Hang::Left, BODY, style::INK, NOTHING)?;
            }
            Ok(())
        })?;
        let at = lower + LINE;
        page::draw_legend(&mut canvas, &legend, at, |pen, (x, y), sort| {
            mark(pen, (x + SAMPLE / 2, y), sort)
        })?;
        Ok(canvas.finish(&self.title, &self.description()))
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
                None => "not in force now".to_owned(),
            };
            text.push_str(&format!(" {when}: {}.", row.words(usize::MAX)));
        }
        for line in self.notes.iter().chain([&self.caution]) {
            text.push(' ');
            text.push_str(line);
        }
        text
    }
}

/// The column of now, the months, and a thin line every seven days from today.
fn axes(pen: &Pen, days: &DayScale, top: i32, lower: i32) -> Result<(), ChartError> {
    let thin = Stroke::solid(style::GRID, 2);
    let mut day = days.first;
    while days.holds(day) {
        let x = days.start(day);
        pen.path(&[(x, top), (x, lower)], thin)?;
        let Some(next) = day.checked_add_days(chrono::Days::new(7)) else {
            break;
        };
        day = next;
    }
    let frame = Stroke::solid(style::INK, 3);
    pen.path(&[(days.left, top), (days.right, top)], frame)?;
    let now = (days.left - NOW + 10, top - LINE / 2 - 6);
    pen.text(now, Hang::Left, BODY, style::INK, "now")?;
    let mut free = i32::MIN;
    for (first, name) in days.months(words::width("Mmm 2026", BODY) + 10) {
        let text = format!("{name} {}", chrono::Datelike::year(&first));
        let x = days.start(first);
        let wide = words::width(&text, BODY);
        if x < free || x + wide > days.right {
            continue;
        }
        pen.path(&[(x, top), (x, top - 10)], frame)?;
        let at = (x + 4, top - LINE / 2 - 6);
        pen.text(at, Hang::Left, BODY, style::QUIET, &text)?;
        free = x + wide + 12;
    }
    Ok(())
}

fn draw(pen: &Pen, row: &Row<'_>, days: &DayScale) -> Result<(), ChartError> {
    let y = row.middle();
    let mut line = row.top + 6 + LINE / 2;
    for text in &row.lines {
        pen.text((MARGIN, line), Hang::Left, BODY, style::INK, text)?;
        line += LINE;
    }
    let foot = row.top + row.height();
    let thin = Stroke::solid(style::GRID, 2);
    pen.path(&[(MARGIN, foot), (days.right, foot)], thin)?;
    let Some(day) = row.row.day else {
        let x = days.left - NOW + 24;
        mark(pen, (x, y), row.row.sort)?;
        let words = (x + 22, y);
        return pen.text(words, Hang::Left, BODY, style::LIMIT, "not in force");
    };
    let x = days.middle(day);
    mark(pen, (x, y), row.row.sort)?;
    let text = day.to_string();
    let wide = words::width(&text, BODY);
    let (at, hang) = if x + 22 + wide <= days.right {
        ((x + 22, y), Hang::Left)
    } else {
        ((x - 22, y), Hang::Right)
    };
    pen.patch(at, hang, style::INK, &text)
}

/// The mark of each sort: shapes that a copy keeps apart.
fn mark(pen: &Pen, (x, y): (i32, i32), sort: DueSort) -> Result<(), ChartError> {
    match sort {
        DueSort::Person => pen.dot((x, y), 11, style::INK),
        DueSort::Badge => {
            let sides = [(x - 14, y), (x, y - 14), (x + 14, y), (x, y + 14)];
            pen.shape(&sides, style::INVESTIGATION)
        }
        DueSort::Instrument => pen.fill((x - 10, y - 10), (x + 10, y + 10), style::DOSE),
        DueSort::Equipment => {
            let sides = [(x - 13, y + 10), (x + 13, y + 10), (x, y - 13)];
            pen.shape(&sides, style::ADMINISTRATIVE)
        }
    }
}
