//! Columns under headings, and the cells of a row made what was meant.

use csv::StringRecord;

use crate::calendar::DayOrder;
use crate::intake::entry::fault::{Fault, Faults};
use crate::intake::entry::said::{Said, holds_days, holds_doses, is_bare};
use crate::record::{Body, lines_of};
use crate::text::{Lines, taken_back, unfit};

/// The columns that a kind of file may have, and where this file has them.
#[derive(Debug, Clone, Default)]
pub struct Columns {
    pub(crate) names: &'static [&'static str],
    pub(crate) at: Vec<Option<usize>>,
    pub(crate) width: usize,
    /// The columns of the file without a heading, in which nothing may stand.
    pub(crate) without: Vec<usize>,
    /// The file's own headings, where they are not our names.
    pub(crate) headings: Vec<Option<String>>,
    /// What a blank cell stands for, where something was said for the whole file.
    pub(crate) defaults: Vec<Option<String>>,
    /// The order of days that are not written year-month-day.
    pub(crate) dates: Option<DayOrder>,
    /// Words of the file's own, column by column, with ours.
    pub(crate) words: Vec<Vec<(String, String)>>,
    /// The unit of numbers without one, column by column.
    pub(crate) units: Vec<Option<String>>,
    /// Whether the headings are the file's own: then no number takes the ledger's unit unsaid.
    pub(crate) foreign: bool,
}

/// The column of the number that a row has in the office's own file.
pub(crate) const ROW: &str = "row";

/// One row: its physical line and its cells.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// The line; nothing where it was typed.
    pub line: Option<u64>,
    pub(crate) record: StringRecord,
}

impl Columns {
    /// All columns in their own order, as typed input has them.
    pub fn whole(names: &'static [&'static str]) -> Columns {
        Columns {
            names,
            at: (0..names.len()).map(Some).collect(),
            width: names.len(),
            ..Columns::default()
        }
    }

    /// What was said of the whole file: what a blank stands for, days and units. A word for a
    /// column that there is not is a fault.
    pub(crate) fn told(&mut self, said: &Said, faults: &mut Faults) {
        self.dates = said.dates;
        self.defaults.resize(self.names.len(), None);
        for (name, value) in said.defaults.iter().chain(&said.once) {
            let place = self.place(name, "set", faults);
            put(&mut self.defaults, place, value);
        }
        self.words.resize(self.names.len(), Vec::new());
        for it in &said.words {
            let place = self.place(&it.column, "map", faults);
            if let Some(words) = place.and_then(|place| self.words.get_mut(place)) {
                words.push((it.theirs.clone(), it.value.clone()));
            }
        }
        self.units.resize(self.names.len(), None);
        for (name, unit) in &said.units {
            match name {
                Some(name) => {
                    let place = self.place(name, "unit", faults);
                    put(&mut self.units, place, unit);
                }
                // A row that names its own unit keeps it.
                None if self.names.contains(&"unit") => {
                    let place = self.place("unit", "unit", faults);
                    put(&mut self.defaults, place, unit);
                }
                None if self.names.iter().any(|it| holds_doses(it)) => {
                    for (name, slot) in self.names.iter().zip(&mut self.units) {
                        if holds_doses(name) && slot.is_none() {
                            *slot = Some(unit.clone());
                        }
                    }
                }
                None => faults.push(Fault::new(
                    None,
                    "unit",
                    unit,
                    "no column here holds doses or readings",
                    "--unit COLUMN=UNIT, such as `activity=Ci`",
                )),
            }
        }
    }

    fn place(&self, name: &str, flag: &str, faults: &mut Faults) -> Option<usize> {
        let found = self.names.iter().position(|it| *it == name);
        if found.is_none() {
            let near = crate::answer::near(name, self.names.iter().copied());
            let right = match near.first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => self.names.join(", "),
            };
            faults.push(Fault::new(None, flag, name, "is not a column", right));
        }
        found
    }

    pub(crate) fn of_header(
        names: &'static [&'static str],
        needed: &[&str],
        (line, header): (u64, &StringRecord),
        said: &Said,
        faults: &mut Faults,
    ) -> Columns {
        let mut at: Vec<Option<usize>> = vec![None; names.len()];
        let mut without = Vec::new();
        let line = Some(line);
        if let Some(fault) = other_sign(line, header) {
            faults.push(fault);
            return Columns {
                names,
                at,
                width: header.len(),
                ..Columns::default()
            };
        }
        for (place, found) in header.iter().enumerate() {
            let found = found.trim();
            if found.is_empty() {
                without.push(place);
                continue;
            }
            let is_it = |name: &&str| name.eq_ignore_ascii_case(found);
            match names.iter().position(is_it) {
                Some(column) => match at.get_mut(column) {
                    Some(slot @ None) => *slot = Some(place),
                    _ => faults.push(Fault::new(
                        line,
                        found,
                        "",
                        "this column stands twice",
                        "each column once",
                    )),
                },
                None => faults.push(not_known(names, line, found)),
            }
        }
        for name in needed {
            let there = names
                .iter()
                .position(|it| it == name)
                .and_then(|column| at.get(column).copied().flatten());
            if there.is_none() && !said.is_given(name) {
                faults.push(Fault::new(
                    line,
                    name,
                    "",
                    "this column is missing",
                    match said.takes_headings {
                        true => format!(
                            "a header with {}; headings of your own: --map {name}=HEADING",
                            needed.join(", ")
                        ),
                        false => format!("a header with {}", needed.join(", ")),
                    },
                ));
            }
        }
        Columns {
            names,
            at,
            width: header.len(),
            without,
            ..Columns::default()
        }
    }

    /// One column alone, of this name.
    pub(crate) fn one(name: &str) -> Columns {
        Columns {
            headings: vec![Some(name.to_owned())],
            ..Columns::whole(&[""])
        }
    }

    /// The name of a column, as the file has it.
    pub fn name(&self, column: usize) -> &str {
        match self.headings.get(column) {
            Some(Some(heading)) => heading,
            _ => self.names.get(column).copied().unwrap_or(""),
        }
    }

    /// The name of the column at a place of the file, from 0; blank where nothing is read there.
    pub(crate) fn at_place(&self, place: usize) -> &str {
        let column = self.at.iter().position(|it| *it == Some(place));
        column.map_or("", |column| self.name(column))
    }

    /// Whether a row of a file has a cell for each heading. Blank cells behind the last one do not
    /// count, nor do missing ones of columns without a heading.
    pub(crate) fn has_width_of(&self, row: &StringRecord) -> bool {
        let more = row.iter().skip(self.width);
        let mut missing = row.len()..self.width;
        more.map(str::trim).all(str::is_empty) && missing.all(|it| self.without.contains(&it))
    }

    /// The headings of the file that are read, each with its place from 1.
    pub(crate) fn places(&self) -> Vec<(String, usize)> {
        let places = self.at.iter().enumerate();
        places
            .filter_map(|(column, place)| Some((self.name(column).to_owned(), (*place)? + 1)))
            .collect()
    }

    /// Makes a row of a file what was meant: line ends of a note are plain ones, and what a
    /// spreadsheet was kept from running is as it was. What no text may hold is a fault, and is
    /// taken out so that the rest of the row is still looked at.
    pub(crate) fn tidy(&self, row: &mut Row, faults: &mut Faults) {
        self.say(row);
        for place in &self.without {
            let cell = row.record.get(*place).unwrap_or_default().trim();
            if !cell.is_empty() {
                let what = format!("stands in column {}, which has no heading", place + 1);
                faults.push(Fault::new(
                    row.line,
                    "",
                    cell,
                    what,
                    "a heading, or nothing below it",
                ));
            }
        }
        let touched = |cell: &str| {
            let cell = cell.trim();
            cell.contains('\r') || taken_back(cell) != cell || unfit(cell, Lines::One).is_some()
        };
        if !row.record.iter().any(touched) {
            return;
        }
        let mut cells: Vec<String> = row.record.iter().map(str::to_owned).collect();
        for (column, place) in self.at.iter().enumerate() {
            let Some(cell) = place.and_then(|place| cells.get_mut(place)) else {
                continue;
            };
            *cell = taken_back(cell.trim()).replace("\r\n", "\n");
            let name = self.names.get(column).copied().unwrap_or_default();
            let lines = lines_of(name);
            if let Some(unfit) = unfit(cell, lines) {
                let (what, right) = (unfit.what(), unfit.right());
                faults.push(Fault::new(row.line, self.name(column), cell, what, right));
                cell.retain(|sign| {
                    crate::text::unfit(sign.encode_utf8(&mut [0; 4]), lines).is_none()
                });
            }
        }
        row.record = StringRecord::from(cells);
    }

    /// Writes own words, days and bare numbers as they were said to be meant.
    fn say(&self, row: &mut Row) {
        let units = self.units.iter().any(Option::is_some);
        let words = self.words.iter().any(|it| !it.is_empty());
        if self.dates.is_none() && !units && !words {
            return;
        }
        let mut cells: Vec<String> = row.record.iter().map(str::to_owned).collect();
        for (column, place) in self.at.iter().enumerate() {
            let Some(cell) = place.and_then(|place| cells.get_mut(place)) else {
                continue;
            };
            let words = self.words.get(column).into_iter().flatten();
            let mut same = words.filter(|it| it.0.eq_ignore_ascii_case(cell.trim()));
            if let Some((_, ours)) = same.next() {
                cell.clone_from(ours);
                continue;
            }
            let name = self.names.get(column).copied().unwrap_or_default();
            if let Some(order) = self.dates.filter(|_| holds_days(name))
                && let Some(day) = order.read(cell)
            {
                *cell = day.to_string();
            }
            if let Some(Some(unit)) = self.units.get(column)
                && is_bare(cell.trim())
            {
                *cell = format!("{} {unit}", cell.trim());
            }
        }
        row.record = StringRecord::from(cells);
    }

    /// Keeps the number that a record's row has in the office's own file.
    pub(crate) fn number(&self, rows: &[Row], body: &mut Body) {
        let column = self.names.iter().position(|it| *it == ROW);
        let cell = column.and_then(|column| Some(self.cell(rows.first()?, column)));
        body.put_row(cell.filter(|it| !it.is_empty()).map(str::to_owned));
    }

    /// The cell of a row, trimmed; empty where the file has no such column.
    pub fn cell<'a>(&'a self, row: &'a Row, column: usize) -> &'a str {
        let cell = match self.at.get(column) {
            Some(Some(place)) => row.record.get(*place).unwrap_or("").trim(),
            _ => "",
        };
        match self.defaults.get(column) {
            Some(Some(default)) if cell.is_empty() => default,
            _ => cell,
        }
    }
}

fn not_known(names: &'static [&'static str], line: Option<u64>, found: &str) -> Fault {
    // What is the same thing comes before what is only spelt alike, as `late` is.
    let same = ["day", "on"]
        .into_iter()
        .filter(|_| found.eq_ignore_ascii_case("date"));
    let mut same = same.filter(|it| names.contains(it));
    let near = crate::answer::near(found, names.iter().copied());
    let right = match same.next().or(near.first().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("columns are {}", names.join(", ")),
    };
    Fault::new(line, found, "", "this column is not known", right)
}

/// A header whose columns are separated by another sign than a comma.
fn other_sign(line: Option<u64>, header: &StringRecord) -> Option<Fault> {
    let only = header.get(0).filter(|_| header.len() == 1)?;
    let sign = [';', '\t', '|', ',']
        .into_iter()
        .find(|it| only.contains(*it))?;
    let (shown, first) = match sign {
        '\t' => ("a tab".to_owned(), "`sep=` and a tab".to_owned()),
        sign => (format!("`{sign}`"), format!("`sep={sign}`")),
    };
    let what = format!("its columns are separated by {shown}");
    let right = match sign {
        // Then the first line named another.
        ',' => "a first line `sep=,`, or none".to_owned(),
        _ => format!(
            "save the file as CSV with commas and a decimal point, or begin it with a line {first}"
        ),
    };
    Some(Fault::new(line, "", "", what, right))
}

fn put(slots: &mut [Option<String>], place: Option<usize>, text: &str) {
    if let Some(slot) = place.and_then(|place| slots.get_mut(place)) {
        *slot = Some(text.to_owned());
    }
}

impl Row {
    /// A typed row: values in the order of the columns.
    pub fn typed(values: Vec<String>) -> Row {
        Row {
            line: None,
            record: StringRecord::from(values),
        }
    }

    /// Typed rows. Where there are several, a fault says in which of them it is.
    pub fn all_typed(rows: Vec<Vec<String>>) -> Vec<Row> {
        let several = rows.len() > 1;
        let mut all: Vec<Row> = rows.into_iter().map(Row::typed).collect();
        for (row, nth) in all.iter_mut().zip(1..).filter(|_| several) {
            row.line = Some(nth);
        }
        all
    }
}

/// What stands next in a file.
pub(crate) enum Next {
    Row,
    Blank,
    /// A row that cannot be read, which was said.
    Faulty,
    End,
    /// Nothing that could be read follows, which was said.
    Torn,
}

#[cfg(test)]
mod tests {
    use super::not_known;

    #[test]
    fn a_column_that_is_not_known_is_told_the_one_that_is_meant() {
        for (names, found, right) in [
            (&["late", "day"][..], "Date", "did you mean `day`?"),
            (&["item", "on"], "date", "did you mean `on`?"),
            (&["late", "day"], "lats", "did you mean `late`?"),
            (&["id", "name"], "date", "columns are id, name"),
        ] {
            assert_eq!(not_known(names, Some(1), found).right, right, "{found}");
        }
    }
}
