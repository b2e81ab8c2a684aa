//! Merged cells of a spreadsheet. They show one value over several cells, and nobody can see
//! whether it is meant for each: they are refused by their range unless that was said.

use std::collections::BTreeMap;

use super::grid::{Range, Sparse, Wrong};
use crate::intake::entry::said::Merged;

const RIGHT: &str = "--merged fill: each of them has the value; --merged first: the first alone";

/// What came of the merged cells of a table.
#[derive(Debug, Default)]
pub(crate) struct Spread {
    /// Cells that cannot be taken as they stand, by row and column.
    pub wrong: BTreeMap<u64, BTreeMap<usize, Wrong>>,
    /// What has to be told.
    pub notes: Vec<String>,
}

/// Gives merged cells from the headings down their values, as was said.
pub(crate) fn spread(
    cells: &mut Sparse,
    ranges: &[Range],
    header_row: u64,
    (said, most_columns): (Option<Merged>, usize),
) -> Result<Spread, Wrong> {
    let mut spread = Spread::default();
    let mut told = Vec::new();
    for range in ranges {
        let ((row, column), (last_row, last_column)) = (range.first, range.last);
        // A title above the headings is nobody's value; a blank is none either.
        let value = cells.get(&row).and_then(|it| it.get(&column)).cloned();
        let Some(value) = value.filter(|_| last_row >= header_row) else {
            continue;
        };
        let columns = column..=last_column.min(column.saturating_add(most_columns));
        match said {
            None if row <= header_row => {
                let what = format!("has merged cells `{range}` among its headings");
                return Err((what, RIGHT));
            }
            None => {
                let what = format!(
                    "is merged over {range}: it is not clear whether the value is meant for each"
                );
                let wrong = spread.wrong.entry(row).or_default();
                wrong.extend(columns.map(|it| (it, (what.clone(), RIGHT))));
            }
            Some(Merged::First) => told.push(range.to_string()),
            Some(Merged::Fill) => {
                told.push(range.to_string());
                // Rows with nothing else in them stay blank.
                for (_, filled) in cells.range_mut(row..=last_row) {
                    filled.extend(columns.clone().map(|it| (it, value.clone())));
                }
            }
        }
    }
    if let (Some(said), false) = (said, told.is_empty()) {
        let counts = match said {
            Merged::Fill => "each of the cells has the value",
            Merged::First => "the first of the cells has the value, the others are blank",
        };
        spread
            .notes
            .push(format!("merged cells {}: {counts}", told.join(", ")));
    }
    Ok(spread)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_read_and_written_as_a_spreadsheet_names_it() {
        for (text, first, last) in [
            ("A1:A3", (1, 0), (3, 0)),
            ("B2:D2", (2, 1), (2, 3)),
            ("AA10:AB12", (10, 26), (12, 27)),
        ] {
            let range = Range::parse(text).expect("a range");
            assert_eq!((range.first, range.last), (first, last), "{text}");
            assert_eq!(range.to_string(), text);
        }
        for text in ["A1", "A:B", "1:2", "", "A1:", "a b:c"] {
            assert_eq!(Range::parse(text), None, "{text}");
        }
    }
}
