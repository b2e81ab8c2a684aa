//! Cells of CSV files that a spreadsheet would run as a formula.
//!
//! The signs are those of OWASP, "CSV Injection", which also has the apostrophe. It is written so
//! that it can be taken back without loss: a cell that had apostrophes of its own before such a
//! sign gets one more, and of those that are read one goes.

use std::borrow::Cow;

/// Signs that begin a formula, half and full width.
const BEGINS: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

fn begins_a_formula(cell: &str) -> bool {
    let rest = cell.trim_start_matches('\'');
    rest.starts_with(['\t', '\r']) || rest.trim_start().starts_with(BEGINS)
}

/// A figure such as `-12` or `+0.5`, which is no formula.
fn is_plain_number(cell: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|it| it.is_ascii_digit());
    let unsigned = cell.strip_prefix(['-', '+']).unwrap_or(cell);
    match unsigned.split_once('.') {
        Some((whole, part)) => digits(whole) && digits(part),
        None => digits(unsigned),
    }
}

/// A cell that every spreadsheet shows as it stands: with an apostrophe before what it would
/// run.
pub fn shown_as_text(cell: &str) -> Cow<'_, str> {
    if begins_a_formula(cell) && !is_plain_number(cell) {
        Cow::Owned(format!("'{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

/// The cell that [`shown_as_text`] was given.
pub fn taken_back(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if begins_a_formula(rest) => rest,
        _ => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_a_spreadsheet_would_run_is_written_as_text() {
        for (cell, written) in [
            ("=1+1", "'=1+1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("+cmd", "'+cmd"),
            ("-2+3", "'-2+3"),
            (" =1", "' =1"),
            ("\t=1", "'\t=1"),
            ("\rx", "'\rx"),
            ("＝1", "'＝1"),
            ("－1", "'－1"),
            ("-12 mrem", "'-12 mrem"),
            ("-", "'-"),
            ("-12", "-12"),
            ("+0.5", "+0.5"),
            ("-1.", "'-1."),
            ("-1e5", "'-1e5"),
            ("'=1", "''=1"),
            ("O'Neil", "O'Neil"),
            ("'tis", "'tis"),
            ("W-07", "W-07"),
            ("", ""),
        ] {
            assert_eq!(shown_as_text(cell), written, "{cell:?}");
            assert_eq!(taken_back(written), cell, "{cell:?}");
        }
    }

    proptest! {
        #[test]
        fn every_cell_comes_back(start in "['=+@\\- \t]{0,4}", rest in ".{0,6}") {
            let cell = format!("{start}{rest}");
            let written = shown_as_text(&cell);
            prop_assert_eq!(taken_back(&written), cell.as_str());
        }
    }
}
