//! What is wrong with a rule set or checklist file, and where.

use std::fmt;

/// One thing that is wrong with a rule set or checklist file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[error("line {line}, column {column}: {what}")]
pub struct RuleSetProblem {
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
pub struct RuleSetProblems(Vec<RuleSetProblem>);

impl RuleSetProblems {
    /// Sorts them as they stand in the file.
    pub(super) fn of(mut problems: Vec<RuleSetProblem>) -> Self {
        problems.sort();
        problems.dedup();
        Self(problems)
    }

    /// The problems, in the order of the file.
    pub fn as_slice(&self) -> &[RuleSetProblem] {
        &self.0
    }
}

impl IntoIterator for RuleSetProblems {
    type Item = RuleSetProblem;
    type IntoIter = std::vec::IntoIter<RuleSetProblem>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl fmt::Display for RuleSetProblems {
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

impl std::error::Error for RuleSetProblems {}
