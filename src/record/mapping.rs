//! How a file that comes again is read: which heading holds which of our columns, and what was said
//! of it.

use serde::{Deserialize, Serialize};

use super::field::{Shape, Shaped, fields};
use super::problem::{need, need_id};
use super::{Kind, Problem, Record};
use crate::calendar::DayOrder;

/// A column and its heading.
impl Shaped for (String, String) {
    const SHAPE: Shape = Shape::Text;
}

/// A word of the office's own in the cells of a column.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MappedWord {
    /// Our column.
    pub column: String,
    /// What the file has.
    pub theirs: String,
    /// What it stands for.
    pub value: String,
}

fields! { MappedWord {
    column.needs("the name of a column"),
    theirs.needs("the word in the file"),
    value.needs("what it stands for"),
} }

/// A saved mapping of a file's headings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// Our column and the file's heading, in the order of our columns' names.
    pub columns: Vec<(String, String)>,
    /// The order of its days: `mdy`, `dmy` or `ymd`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dates: Option<String>,
    /// Our column and what a blank cell of it stands for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub defaults: Vec<(String, String)>,
    /// The row of its headings, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub header_row: Option<i64>,
    /// What merged cells stand for: `fill` or `first`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub merged: Option<String>,
    /// What it is called.
    pub name: String,
    /// The table of a spreadsheet file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
    /// Our column and the unit of its bare numbers; [`EVERY_DOSE`] for all that hold doses.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub units: Vec<(String, String)>,
    /// Words of the office in the cells, and ours.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<MappedWord>,
}

/// What stands for all columns of doses and readings.
pub const EVERY_DOSE: &str = "doses";

fields! { Mapping {
    columns.written(Shape::Pairs),
    dates,
    defaults.written(Shape::Pairs),
    header_row,
    merged,
    name,
    sheet,
    units.written(Shape::Pairs),
    words,
} }

impl Record for Mapping {
    const KIND: Kind = Kind::Mapping;

    fn key(&self) -> String {
        self.name.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "name", &self.name);
        if self.columns.is_empty() && self.words.is_empty() {
            problems.push(Problem::missing("columns", "a column and its heading"));
        }
        for (column, heading) in &self.columns {
            need(&mut problems, "columns", column, "the name of a column");
            need(&mut problems, column, heading, "the file's heading");
        }
        let pairs = self.columns.iter().zip(self.columns.iter().skip(1));
        for ((column, _), (next, _)) in pairs {
            if column >= next {
                problems.push(Problem::new(
                    "columns",
                    next,
                    "stands twice or out of order",
                    "each column once, in the order of the alphabet",
                ));
            }
        }
        let order = self.dates.as_deref();
        if let Some(order) = order.filter(|it| DayOrder::from_word(it).is_none()) {
            let what = "is no order of a day";
            problems.push(Problem::new("dates", order, what, DayOrder::WORDS));
        }
        if let Some(row) = self.header_row.filter(|it| *it < 1) {
            let what = "is no row";
            problems.push(Problem::new(
                "header_row",
                row.to_string(),
                what,
                "1 or more",
            ));
        }
        problems
    }
}
