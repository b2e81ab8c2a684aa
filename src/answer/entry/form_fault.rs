//! Why the code of a printed form leads to none.

use crate::text::LettersFault;

/// Why a code leads to no form.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormFault {
    /// It was mistyped.
    #[error("the code `{code}` {fault}")]
    Letters {
        /// As it was typed.
        code: String,
        /// What is wrong with it.
        fault: LettersFault,
    },
    /// The code of a label, or of something else.
    #[error("`{0}` is the code of a label, not of a form")]
    Label(String),
    /// Another ledger printed it.
    #[error("this form was printed from another ledger")]
    OtherLedger,
    /// A copy of this ledger printed it that says something else.
    #[error(
        "this form was printed from a copy of this ledger that went another way: its code names \
         other people or items here"
    )]
    OtherCopy,
    /// A program of another version printed it.
    #[error("this form was printed by another version of this program")]
    OtherForm,
    /// It names a record that is void.
    #[error("the {kind} `{id}`, which this form names, is void")]
    Void {
        /// What it is.
        kind: &'static str,
        /// Its id.
        id: String,
        /// Its newest entry.
        entry: i64,
    },
    /// It names a record that this copy of the ledger does not have.
    #[error("this form names a {0} that this ledger does not have")]
    Missing(&'static str),
    /// A form of something else was wanted.
    #[error("this is {is}, and {wanted} is wanted")]
    Other {
        /// What it is.
        is: &'static str,
        /// What was wanted.
        wanted: &'static str,
        /// The command that takes it.
        command: &'static str,
    },
    /// A sheet has no place for it, or no second one.
    #[error("`{0}` has no place on a sheet, or not beside what has its place")]
    NoPlace(String),
    /// It was typed in before.
    #[error("this form was typed in already: {}", entries(.0))]
    TypedIn(Vec<i64>),
}

fn entries(all: &[i64]) -> String {
    let all: Vec<String> = all.iter().map(|it| format!("entry {it}")).collect();
    all.join(", ")
}
