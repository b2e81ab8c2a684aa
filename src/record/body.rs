//! What every kind of record says of itself.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::field::{Pointer, Shaped};
use super::kind::Kind;
use super::problem::Problem;
use crate::calendar::Day;

/// Takes a body from one form to the next: the older JSON, or a struct of the older form, in; the
/// newer one's JSON out. What it does never changes once a ledger can hold the newer form.
pub type Step = fn(Value) -> Result<Value, serde_json::Error>;

/// One kind of record: how it names itself, what it refuses of its own accord
/// and which other records it points to.
pub trait Record: Shaped + Serialize + DeserializeOwned + Clone + PartialEq {
    /// The kind's word, as stored in `entry.kind`.
    const KIND: Kind;

    /// How a body of each earlier form becomes one of the next: the first step reads form 1.
    const STEPS: &'static [Step] = &[];

    /// The form that this program writes, stored in `entry.version`.
    const FORM: i64 = Self::STEPS.len() as i64 + 1;

    /// What makes two records of this kind the same thing, in stored words.
    fn key(&self) -> String;

    /// The first day of the world that this record is about, where it is about one: a question
    /// for an earlier day does not know it. What tells of an earlier dose (a result, a
    /// determination, a disposition, the return of a badge) is about none, however late it comes.
    fn about(&self) -> Option<Day> {
        None
    }

    /// The number of its row in the office's own file, where its kind keeps one: the same row
    /// again is the same record, also where the file was mended.
    fn row(&self) -> Option<&str> {
        None
    }

    /// Keeps that number.
    fn put_row(&mut self, _row: Option<String>) {}

    /// What in this record contradicts itself, each with the field and what would be right.
    fn contradictions(&self) -> Vec<Problem> {
        Vec::new()
    }

    /// What this record cannot mean: texts that say nothing, and contradictions.
    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        self.missing(&mut problems);
        problems.extend(self.contradictions());
        problems
    }

    /// The records that this one points to.
    fn references(&self) -> Vec<Pointer> {
        let mut pointers = Vec::new();
        self.point(&mut pointers);
        pointers
    }

    /// The record without what the program itself added when it was written
    /// (the doubts of a sheet or a badge): the part by which two are compared.
    fn content(&self) -> Self {
        self.clone()
    }
}

/// A record that keeps the number of its row.
macro_rules! numbered {
    () => {
        fn row(&self) -> Option<&str> {
            self.row.as_deref()
        }

        fn put_row(&mut self, row: Option<String>) {
            self.row = row;
        }
    };
}

pub(super) use numbered;
