//! What is wrong with a scheme or checklist file, and where.

use std::fmt;

/// One thing that is wrong with a scheme or checklist file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[error("line {line}, column {column}: {what}")]
pub struct SchemeProblem {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong: one line, lower case, the value in backquotes.
    pub what: String,
    /// What would be right.
    pub right: String,
}

/// Everything that is wrong with such a file, in the order of the file; never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SchemeProblems(Vec<SchemeProblem>);

impl SchemeProblems {
    /// Sorts them as they stand in the file.
    pub(super) fn of(mut problems: Vec<SchemeProblem>) -> Self {
        problems.sort();
        problems.dedup();
        Self(problems)
    }

    /// The problems, in the order of the file.
    #[must_use]
    pub fn as_slice(&self) -> &[SchemeProblem] {
        &self.0
    }
}

impl IntoIterator for SchemeProblems {
    type Item = SchemeProblem;
    type IntoIter = std::vec::IntoIter<SchemeProblem>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl fmt::Display for SchemeProblems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (n, problem) in self.0.iter().enumerate() {
            if n > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}\n  hint: {}", problem.right)?;
        }
        Ok(())
    }
}

impl std::error::Error for SchemeProblems {}
