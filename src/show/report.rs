//! What every answer is turned into before it is printed.

/// Which side of its column a cell stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A table of words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Headings with the side on which their cells stand.
    pub columns: Vec<(String, Align)>,
    /// Rows.
    pub rows: Vec<Vec<String>>,
    /// The whole key by which each row's finding is answered, where rows are findings: a cell may
    /// have only its end.
    pub keys: Vec<String>,
}

impl Table {
    /// A table with these headings; a heading that begins with `>` has its
    /// cells on the right.
    pub fn new(headings: &[&str]) -> Table {
        let columns = headings
            .iter()
            .map(|heading| match heading.strip_prefix('>') {
                Some(rest) => (rest.to_owned(), Align::Right),
                None => ((*heading).to_owned(), Align::Left),
            })
            .collect();
        Table {
            columns,
            rows: Vec::new(),
            keys: Vec::new(),
        }
    }

    /// Takes the unit out of every cell of figures and puts it into their
    /// headings, so that a page bears more columns; `at least` is `>=` there.
    pub fn in_unit(mut self, unit: &str) -> Table {
        let after = format!(" {unit}");
        for (at, (heading, align)) in self.columns.iter_mut().enumerate() {
            let mut found = false;
            if *align == Align::Right {
                for cell in self.rows.iter_mut().filter_map(|row| row.get_mut(at)) {
                    found |= cell.contains(&after);
                    *cell = cell.replace(&after, "").replace("at least ", ">= ");
                }
            }
            if found {
                heading.push_str(&format!("\n{unit}"));
            }
        }
        self
    }

    /// Adds a row.
    pub fn row<const N: usize>(&mut self, cells: [String; N]) {
        self.rows.push(cells.into());
    }
}

/// One part of a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A line of text, wrapped at the width.
    Line(String),
    /// A line of text that belongs under the one before.
    Under(String),
    /// The heading of what follows.
    Section(String),
    /// A drawing, SVG: on a page only.
    Picture(String),
    /// A table.
    Table(Table),
    /// An empty line.
    Gap,
}

/// What is printed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Report {
    /// The heading.
    pub heading: String,
    /// The parts, in order.
    pub parts: Vec<Part>,
    /// Cautions, printed below the parts.
    pub cautions: Vec<String>,
    /// What is to be said of the ledger itself, below the caution.
    pub of_ledger: Option<&'static str>,
    /// What stops somebody: printed last and largest, in a frame.
    pub stops: Vec<Part>,
}

impl Report {
    /// A report with a heading.
    pub fn new(heading: impl Into<String>) -> Report {
        Report {
            heading: heading.into(),
            ..Report::default()
        }
    }

    /// Adds a line.
    pub fn line(&mut self, text: impl Into<String>) {
        self.parts.push(Part::Line(text.into()));
    }

    /// Adds a line under the one before.
    pub fn under(&mut self, text: impl Into<String>) {
        self.parts.push(Part::Under(text.into()));
    }

    /// Begins a section.
    pub fn section(&mut self, title: impl Into<String>) {
        self.parts.push(Part::Section(title.into()));
    }

    /// Adds a drawing, which text leaves out.
    pub fn picture(&mut self, svg: impl Into<String>) {
        self.parts.push(Part::Picture(svg.into()));
    }

    /// Adds a table, unless it has no rows.
    pub fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.parts.push(Part::Table(table));
        }
    }

    /// Adds an empty line.
    pub fn gap(&mut self) {
        self.parts.push(Part::Gap);
    }

    /// What of it is about one name: lines under which the name stands, and rows that have it.
    /// Nothing where none are.
    #[must_use]
    pub fn about(&self, name: &str) -> Option<Report> {
        let names = |line: &str| line.split_whitespace().any(|it| it == name);
        let is_under = |it: &Part| matches!(it, Part::Under(_));
        let mut found = Vec::new();
        for parts in [&self.stops, &self.parts] {
            let mut before: &[Part] = &[];
            for group in parts.chunk_by(|_, next| is_under(next)) {
                match group {
                    [Part::Line(_), under @ ..] => {
                        let is_it = |it: &Part| matches!(it, Part::Under(line) if names(line));
                        if under.iter().any(is_it) {
                            found.extend_from_slice(group);
                        }
                    }
                    [Part::Table(table), ..] => {
                        let rows = table.rows.iter().enumerate();
                        let is_it = |(at, row): &(usize, &Vec<String>)| {
                            let key = table.keys.get(*at).is_some_and(|it| it == name);
                            key || row.iter().any(|it| it == name)
                        };
                        let rows: Vec<_> = rows.filter(is_it).map(|it| it.1.clone()).collect();
                        if !rows.is_empty() {
                            // What stands above a table holds for its rows.
                            found.extend_from_slice(before);
                            let (columns, keys) = (table.columns.clone(), Vec::new());
                            found.push(Part::Table(Table {
                                columns,
                                rows,
                                keys,
                            }));
                        }
                    }
                    _ => {}
                }
                before = match group {
                    [Part::Line(_), ..] => group,
                    _ => &[],
                };
            }
        }
        (!found.is_empty()).then(|| Report {
            parts: found,
            cautions: self.cautions.clone(),
            ..Report::default()
        })
    }

    /// The same below the heading of a page: its own begins a section.
    #[must_use]
    pub fn below_another(&self) -> Report {
        let mut report = self.clone();
        let heading = std::mem::take(&mut report.heading);
        if !heading.is_empty() {
            report.parts.insert(0, Part::Section(heading));
        }
        report
    }

    /// Every caution in one: a page has one, not a list of them.
    #[must_use]
    pub fn one_caution(&self) -> String {
        let sentence = |it: &String| match it.ends_with(['.', ':', '!', '?']) {
            true => it.clone(),
            false => format!("{it}."),
        };
        let all: Vec<String> = self.cautions.iter().map(sentence).collect();
        all.join(" ")
    }

    /// Adds a caution, once.
    pub fn caution(&mut self, text: impl Into<String>) {
        let text = text.into();
        if !text.is_empty() && !self.cautions.contains(&text) {
            self.cautions.push(text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_about_one_name_is_its_line_and_its_row_with_what_stands_above() {
        let mut report = Report::new("Findings");
        report.line("STOP  W07: over the limit");
        report.under("key:  over/W07/12");
        report.line("ACT   late, 2 times");
        report.under("rule: be early");
        let mut table = Table::new(&["who", "key"]);
        for (who, key) in [("W08", "13"), ("W09", "14")] {
            table.row([who.to_owned(), key.to_owned()]);
            table.keys.push(format!("late/{who}/{key}"));
        }
        report.table(table);
        report.line("To answer one: KEY");
        let one = report.about("over/W07/12").expect("one");
        assert_eq!(one.parts, report.parts[..2]);
        let two = report.about("late/W09/14").expect("two");
        assert_eq!(two.parts[..2], report.parts[2..4]);
        assert!(
            matches!(&two.parts[2..], [Part::Table(it)] if it.rows == [["W09", "14"]]),
            "{two:?}"
        );
        assert_eq!(report.about("over/W07/1"), None);
    }
}
