//! Which heading of a processor's report holds which of our columns.

use serde::{Deserialize, Serialize};

use super::field::{Shape, Shaped, fields};
use super::problem::{need, need_id};
use super::{Kind, Problem, Record};

/// A column and its heading.
impl Shaped for (String, String) {
    const SHAPE: Shape = Shape::Text;
}

/// A saved mapping of a report's headings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// Our column and the report's heading, in the order of our columns' names.
    pub columns: Vec<(String, String)>,
    /// What it is called.
    pub name: String,
}

fields! { Mapping { columns.written(Shape::Pairs), name } }

impl Record for Mapping {
    const KIND: Kind = Kind::Mapping;

    fn key(&self) -> String {
        self.name.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "name", &self.name);
        if self.columns.is_empty() {
            problems.push(Problem::missing("columns", "a column and its heading"));
        }
        for (column, heading) in &self.columns {
            need(&mut problems, "columns", column, "the name of a column");
            need(&mut problems, column, heading, "the report's heading");
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
        problems
    }
}
