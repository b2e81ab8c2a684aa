//! Cells as values. Each reader returns nothing and lists a fault where the
//! cell cannot be read; a blank cell is simply not given.

use super::columns::{Columns, Row};
use crate::calendar::{CalendarError, Clock, Day, in_figures, parse_day, read_day, read_time};
use crate::intake::entry::fault::{Fault, Faults};
use crate::quantity::{Activity, Dose, DoseUnit, QuantityError};
use crate::record::{WordPair, Words, word_list};
use crate::text::{letters, read_letters};

/// One row with its columns and the place for its faults.
pub(crate) struct Fields<'a> {
    pub columns: &'a Columns,
    pub row: &'a Row,
    pub faults: &'a mut Faults,
}

impl<'a> Fields<'a> {
    pub fn cell(&self, column: usize) -> &'a str {
        self.columns.cell(self.row, column)
    }

    pub fn fault(&mut self, column: usize, what: impl Into<String>, right: impl Into<String>) {
        let fault = Fault::new(
            self.row.line,
            self.columns.name(column),
            self.cell(column),
            what,
            right,
        );
        self.faults.push(fault);
    }

    /// A cell that cannot be read as a quantity. Where the reason quotes only a
    /// part of the cell, the whole stands before it.
    pub fn unreadable(&mut self, column: usize, error: &QuantityError, right: &str) {
        let what = error.to_string();
        if what.contains(&format!("`{}`", self.cell(column))) {
            self.fault(column, what, right);
        } else {
            self.fault(column, format!("cannot be read: {what}"), right);
        }
    }

    /// A text, where one is given.
    pub fn text(&self, column: usize) -> Option<String> {
        let cell = self.cell(column);
        (!cell.is_empty()).then(|| cell.to_owned())
    }

    /// The code of a printed form, as it is kept however it was typed.
    pub fn form_code(&mut self, column: usize) -> Option<String> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        match read_letters(cell) {
            Ok(symbols) => Some(letters(&symbols)),
            Err(fault) => {
                self.fault(column, fault.to_string(), fault.right());
                None
            }
        }
    }

    /// A text that must be given.
    pub fn needed(&mut self, column: usize, right: &str) -> Option<String> {
        let text = self.text(column);
        if text.is_none() {
            self.fault(column, "is missing", right);
        }
        text
    }

    pub fn day(&mut self, column: usize) -> Option<Day> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        match self.day_of(cell) {
            Ok(day) => Some(day),
            Err(error) => {
                let of_file = self.row.line.is_some() && in_figures(cell).is_some();
                match self.columns.dates.filter(|_| of_file) {
                    Some(order) => {
                        let what = format!("is no day that is written {}", order.words());
                        self.fault(
                            column,
                            what,
                            "a day in that order, with a year of four digits",
                        );
                    }
                    None if of_file => {
                        let what = format!("`{cell}` could mean two things");
                        let right = "the order of the file's days: --dates mdy, dmy or ymd; or a \
                                     date such as `2026-06-14`";
                        self.fault(column, what, right);
                    }
                    None => {
                        self.fault(column, error.to_string(), "a date such as `2026-06-14`");
                    }
                }
                None
            }
        }
    }

    /// Where an order was said, days in figures were read in it already, and another order does
    /// not come in by a day that fits it alone.
    fn day_of(&self, cell: &str) -> Result<Day, CalendarError> {
        match self.columns.dates {
            Some(_) if in_figures(cell).is_some() => parse_day(cell),
            _ => read_day(cell),
        }
    }

    /// An hour as the ledger keeps it. The other hours of the row, in the columns of `beside`,
    /// tell the clock by which it is told.
    pub fn hour(&mut self, column: usize, beside: &[usize]) -> Option<String> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        let others = beside.iter().filter(|it| **it != column);
        let clock = Clock::of(others.map(|it| self.cell(*it)));
        match read_time(cell, clock) {
            Ok(time) => Some(time.format("%H:%M").to_string()),
            Err(error) => {
                self.fault(column, error.to_string(), "a time such as `06:40`");
                None
            }
        }
    }

    pub fn needed_day(&mut self, column: usize) -> Option<Day> {
        if self.cell(column).is_empty() {
            self.fault(column, "is missing", "a date such as `2026-06-14`");
            return None;
        }
        self.day(column)
    }

    pub fn word<W: Words>(&mut self, column: usize) -> Option<W> {
        self.word_of(column, W::PAIRS)
            .and_then(|word| W::from_stored(word.stored))
    }

    /// One of a few words.
    pub fn word_of(&mut self, column: usize, words: &'static [WordPair]) -> Option<WordPair> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        let meant = WordPair::meant(cell, words);
        if let [only] = meant.as_slice() {
            return Some(**only);
        }
        let list = word_list(words);
        if meant.is_empty() {
            let near = crate::answer::near(cell, words.iter().map(|it| it.shown));
            let right = match near.first() {
                Some(near) => format!("{list}; did you mean `{near}`?"),
                None => list,
            };
            self.fault(column, "is not an allowed value", right);
        } else {
            let all: Vec<WordPair> = meant.into_iter().copied().collect();
            let what = "could mean several of the words for this";
            self.fault(column, what, word_list(&all));
        }
        None
    }

    pub fn needed_word<W: Words>(&mut self, column: usize) -> Option<W> {
        if self.cell(column).is_empty() {
            self.fault(column, "is missing", W::list());
            return None;
        }
        self.word(column)
    }

    pub fn yes(&mut self, column: usize) -> Option<bool> {
        match self.cell(column) {
            "" => None,
            cell if is_one_of(cell, &["yes", "y", "true"]) => Some(true),
            cell if is_one_of(cell, &["no", "n", "false"]) => Some(false),
            _ => {
                self.fault(
                    column,
                    "is neither yes nor no",
                    "yes or no, or blank if not known",
                );
                None
            }
        }
    }

    pub fn count(&mut self, column: usize) -> Option<i64> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        match cell.parse::<i64>() {
            Ok(count) if count >= 0 => Some(count),
            _ => {
                self.fault(column, "is not a whole number", "such as `24`");
                None
            }
        }
    }

    pub fn needed_count(&mut self, column: usize, right: &str) -> Option<i64> {
        if self.cell(column).is_empty() {
            self.fault(column, "is missing", right);
            return None;
        }
        self.count(column)
    }

    /// Minutes with at most one decimal, as seconds.
    pub fn minutes(&mut self, column: usize) -> Option<i64> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        let seconds = tenths(cell).and_then(|tenths| tenths.checked_mul(6));
        if seconds.is_none() {
            self.fault(
                column,
                "is not a number of minutes",
                "such as `36` or `36.5`",
            );
        }
        seconds
    }

    pub fn dose(&mut self, column: usize, bare: DoseUnit) -> Option<Dose> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        // Under headings of its own, a file's numbers are in its own unit.
        let bare = (!self.columns.foreign).then_some(bare);
        match Dose::parse(cell, bare) {
            Ok(dose) => Some(dose),
            Err(QuantityError::NoUnit { .. }) if bare.is_none() => {
                let right = "the unit of the file's doses: --unit mrem, --unit mSv or another";
                self.fault(column, "has no unit", right);
                None
            }
            Err(error) => {
                self.unreadable(column, &error, "a dose such as `12 mrem` or `0.12 mSv`");
                None
            }
        }
    }

    pub fn activity(&mut self, column: usize) -> Option<Activity> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        match Activity::parse(cell, None) {
            Ok(activity) => Some(activity),
            Err(error) => {
                self.unreadable(column, &error, "an activity such as `85 Ci` or `3.1 TBq`");
                None
            }
        }
    }
}

fn is_one_of(cell: &str, words: &[&str]) -> bool {
    words.iter().any(|it| it.eq_ignore_ascii_case(cell))
}

fn tenths(cell: &str) -> Option<i64> {
    let (whole, part) = cell.split_once('.').unwrap_or((cell, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(part) || part.len() > 1 {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let part: i64 = part.parse().ok()?;
    whole.checked_mul(10)?.checked_add(part)
}

#[cfg(test)]
mod tests {
    use super::tenths;

    #[test]
    fn minutes_have_at_most_one_decimal() {
        for (cell, expected) in [
            ("36", Some(360)),
            ("36.5", Some(365)),
            ("36,5", None),
            ("36.55", None),
            ("-1", None),
            ("", None),
            (".5", None),
            ("99999999999999999999", None),
        ] {
            assert_eq!(tenths(cell), expected, "{cell}");
        }
    }
}
