//! The cells of a sheet of a workbook by their places.

use std::collections::BTreeMap;

use super::cell_text::CellText;

/// The cells of a table that are not blank, row by row.
pub(crate) type Sparse = BTreeMap<u64, BTreeMap<usize, Held>>;

/// What a cell holds.
#[derive(Clone)]
pub(crate) struct Held {
    pub(crate) text: CellText,
    pub(crate) is_day: bool,
}

/// The letters of a column, from 1.
pub fn letters(column: usize) -> String {
    let mut letters = Vec::new();
    let mut left = column;
    while left > 0 {
        let digit = u8::try_from((left - 1) % 26).unwrap_or(0);
        letters.push(char::from(b'A' + digit));
        left = (left - 1) / 26;
    }
    letters.iter().rev().collect()
}

/// What is wrong with a file and what would be right.
pub(crate) type Wrong = (String, &'static str);

/// A range of merged cells: rows from 1, columns from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Range {
    pub first: (u64, usize),
    pub last: (u64, usize),
}

impl std::fmt::Display for Range {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let ((row, column), (last_row, last_column)) = (self.first, self.last);
        let (first, last) = (letters(column + 1), letters(last_column + 1));
        write!(f, "{first}{row}:{last}{last_row}")
    }
}

impl Range {
    /// Reads `B2:B4`; nothing for what is none.
    pub fn parse(text: &str) -> Option<Range> {
        let (first, last) = text.split_once(':')?;
        Some(Range {
            first: place(first)?,
            last: place(last)?,
        })
    }
}

/// `B4` as its row from 1 and its column from 0.
fn place(text: &str) -> Option<(u64, usize)> {
    let text: String = text.chars().filter(|it| *it != '$').collect();
    let (column, row) = text.split_at(text.find(|it: char| it.is_ascii_digit())?);
    let mut number = 0_usize;
    for sign in column.bytes() {
        let digit = sign.to_ascii_uppercase().checked_sub(b'A')?;
        number = number
            .checked_mul(26)?
            .checked_add(usize::from(digit) + 1)?;
    }
    Some((row.parse().ok()?, number.checked_sub(1)?))
}
