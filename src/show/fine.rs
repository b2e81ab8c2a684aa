//! Doses on screens and pages: at most 0.1 mrem, which is 0.001 mSv. A share of a lump that a span
//! cuts is exact to the nanosievert in the ledger, in JSON and in CSV; a reader would take so many
//! figures for a measurement. Rounding is upwards, what is left downwards, and a figure that would
//! come onto a level by it stays whole.

use super::report::{Part, Report, Table};
use crate::quantity::{Dose, DoseUnit};

/// The units of people's doses, with the decimals that are 0.1 mrem. What a dosimeter shows in
/// others is a record as it stands.
const UNITS: &[(&str, usize)] = &[("mrem", 1), ("rem", 4), ("mSv", 3), ("Sv", 6)];

/// Said once where anything was rounded.
pub(super) const SAID: &str = "Doses are rounded up for the page, and what is left is rounded \
    down; --csv and --json have them whole.";

/// The same on a page, which has both beside it.
pub(super) const SAID_ON_PAGE: &str = "Doses are rounded up for the page, and what is left is \
    rounded down; CSV and JSON have them whole.";

/// Words before a figure that is a level, or compared with one.
const LEVELS: &[&str] = &["of", "above", "below", "least", ">="];

fn decimals_of(unit: &str) -> Option<usize> {
    let found = UNITS.iter().find(|(name, _)| *name == unit);
    found.map(|(_, decimals)| *decimals)
}

/// A report as people read it.
pub(super) fn fine(report: &Report) -> Report {
    let mut fine = report.clone();
    for part in fine.parts.iter_mut().chain(&mut fine.stops) {
        match part {
            Part::Line(text) | Part::Under(text) => *text = sentence(text),
            Part::Table(table) => cells(table),
            Part::Section(_) | Part::Picture(_) | Part::Gap => {}
        }
    }
    if fine != *report {
        fine.caution(SAID);
    }
    fine
}

/// The figures of a table: in columns whose heading has the unit, and elsewhere with it.
fn cells(table: &mut Table) {
    let unit_of = |heading: &str| decimals_of(heading.lines().last().unwrap_or_default());
    // A dose per exposure or per hour is a rate, and a level is nobody's dose.
    let is_other = |heading: &str| {
        let first = heading.split_whitespace().next().unwrap_or_default();
        let is_level = matches!(heading.lines().next(), Some("of" | "limit"));
        // The low end of an estimate rises by no rounding.
        is_level || matches!(first, "per" | "low") || heading.contains('/')
    };
    let columns = table.columns.iter();
    let kinds: Vec<(bool, Option<usize>, bool)> = columns
        .map(|(heading, _)| {
            (
                is_other(heading),
                unit_of(heading),
                heading.contains("left"),
            )
        })
        .collect();
    for row in &mut table.rows {
        for (cell, (other, decimals, left)) in row.iter_mut().zip(&kinds) {
            let lines = cell.lines().map(|line| match (other, decimals) {
                (true, _) => line.to_owned(),
                // A lower bound stays as it is.
                (false, Some(_)) if line.contains(">=") => line.to_owned(),
                (false, Some(decimals)) => {
                    let words = line.split(' ').map(|word| rounded(word, *decimals, !left));
                    words.collect::<Vec<_>>().join(" ")
                }
                (false, None) => sentence(line),
            });
            let fine = lines.collect::<Vec<_>>().join("\n");
            if !fine.is_empty() {
                *cell = fine;
            }
        }
    }
}

/// A sentence with its doses rounded: a figure, a blank and a unit of dose.
pub(super) fn sentence(text: &str) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let word = |at: Option<usize>| at.and_then(|at| words.get(at)).copied().unwrap_or_default();
    let bare = |it: &'_ str| {
        it.trim_end_matches([',', ';', ':', ')', '.', '|'])
            .to_owned()
    };
    let fine = words.iter().enumerate().map(|(at, it)| {
        let decimals = decimals_of(&bare(word(at.checked_add(1))));
        let before = word(at.checked_sub(1));
        match decimals {
            Some(decimals) if !LEVELS.contains(&before) => {
                let after = bare(word(at.checked_add(2)));
                rounded(it, decimals, after != "left" && !before.starts_with("left"))
            }
            _ => (*it).to_owned(),
        }
    });
    fine.collect::<Vec<_>>().join(" ")
}

/// A dose in a drawing, without its unit: rounded up, and down where it is a lower bound or the low
/// end of something.
pub(super) fn figure(dose: Dose, unit: DoseUnit, is_least: bool) -> String {
    let whole = dose.display(unit);
    let number = whole.trim_end_matches(unit.symbol()).trim_end();
    match decimals_of(unit.symbol()) {
        Some(decimals) => rounded(number, decimals, !is_least),
        None => number.to_owned(),
    }
}

/// The same with its unit.
pub(super) fn dose(dose: Dose, unit: DoseUnit, is_least: bool) -> String {
    format!("{} {}", figure(dose, unit, is_least), unit.symbol())
}

/// A lower bound in words, `6475.2158 mrem`, rounded down.
pub(super) fn least(text: &str) -> String {
    let (figure, unit) = text.split_once(' ').unwrap_or((text, ""));
    let bare = unit.split([' ', ',']).next().unwrap_or_default();
    match decimals_of(bare) {
        Some(decimals) => format!("{} {unit}", rounded(figure, decimals, false)),
        None => text.to_owned(),
    }
}

/// One word: a figure of more decimals rounded to so many, and anything else as it stands. What
/// would become a multiple of half a millirem could come onto a level: it keeps one decimal more.
fn rounded(word: &str, decimals: usize, up: bool) -> String {
    let figure = word.trim_start_matches(['(', '+', '-']);
    let sign = word.strip_suffix(figure).unwrap_or_default();
    let (before, after) = figure.split_once('.').unwrap_or_default();
    let is_figure = |it: &str| !it.is_empty() && it.bytes().all(|it| it.is_ascii_digit());
    if !is_figure(before) || !is_figure(after) {
        return word.to_owned();
    }
    // A smaller decrease is the careful one.
    let up = up != sign.contains('-');
    let mut half: u64 = 5;
    for kept in decimals..after.len() {
        let Some(figure) = cut(before, after, kept, up) else {
            break;
        };
        if !figure.is_multiple_of(half) {
            let digits = format!("{figure:0width$}", width = kept + 1);
            let (whole, part) = digits.split_at(digits.len() - kept);
            return format!("{sign}{whole}.{part}");
        }
        half = half.saturating_mul(10);
    }
    word.to_owned()
}

/// A figure with so many decimals, without its point.
fn cut(before: &str, after: &str, kept: usize, up: bool) -> Option<u64> {
    let (kept, rest) = after.split_at_checked(kept)?;
    let figure: u64 = format!("{before}{kept}").parse().ok()?;
    let more = up && rest.bytes().any(|it| it != b'0');
    figure.checked_add(u64::from(more))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_dose_shows_a_tenth_of_a_millirem_and_never_less_than_it_is() {
        for (text, wanted) in [
            ("deep 1751.5958 mrem", "deep 1751.6 mrem"),
            ("6475.2158 mrem, 12 mrem", "6475.3 mrem, 12 mrem"),
            (
                "1.3023142 rem (13.023142 mSv), estimate",
                "1.3024 rem (13.024 mSv), estimate",
            ),
            ("0.0131 mSv", "0.014 mSv"),
            ("12.38 mrem left", "12.3 mrem left"),
            ("+2.1142 mrem", "+2.2 mrem"),
            ("-2.1942 mrem", "-2.1 mrem"),
            // Onto a level, or a level itself.
            ("1302.4042 mrem", "1302.41 mrem"),
            ("4999.96 mrem", "4999.96 mrem"),
            ("12.03 mrem left", "12.03 mrem left"),
            ("the limit of 37.55 mrem", "the limit of 37.55 mrem"),
            ("at least 12.34 mrem", "at least 12.34 mrem"),
            // No dose of a person, or a record as it stands.
            ("0.718 mrem/h", "0.718 mrem/h"),
            ("`12.34 mrem`", "`12.34 mrem`"),
            ("12.345 uSv", "12.345 uSv"),
            ("10 CFR 20.1201(a), 5 mrem", "10 CFR 20.1201(a), 5 mrem"),
        ] {
            assert_eq!(sentence(text), wanted, "{text}");
        }
    }

    #[test]
    fn a_table_rounds_its_doses_and_neither_rates_nor_levels() {
        let mut table = Table::new(&["id", ">of", ">dose", ">per\nexposure", ">left"]);
        table.row(
            [
                "7.123 x",
                "37.55 mrem",
                "37.52 mrem",
                "0.718 mrem",
                "0.037 mrem",
            ]
            .map(Into::into),
        );
        let mut report = Report::new("");
        report.table(table.in_unit("mrem"));
        let fine = fine(&report);
        let Some(Part::Table(table)) = fine.parts.first() else {
            panic!("no table");
        };
        assert_eq!(table.rows, [["7.123 x", "37.55", "37.6", "0.718", "0.03"]]);
        assert_eq!(fine.cautions, [SAID]);
        assert!(super::super::csv(&report).unwrap().contains(",37.52,"));
    }

    proptest! {
        /// Over every dose and every level of half a millirem: what is below the level shows below
        /// it, and never lower than it is.
        #[test]
        fn no_rounding_comes_onto_a_level(nsv in 0_i64..60_000_000, half in 0_i64..12_000) {
            let unit = DoseUnit::Millirem;
            let shown = |it: i64| Dose::from_nsv(it).display(unit);
            let text = sentence(&shown(nsv));
            let again = Dose::parse(&text, None).unwrap().nsv();
            let level = half * 5_000;
            prop_assert!(again >= nsv && again < nsv + 1_000, "{}", text);
            prop_assert_eq!(again < level, nsv < level, "{}", text);
            // A lower bound never claims more than it is, nor less by a tenth of a millirem.
            let least = dose(Dose::from_nsv(nsv), unit, true);
            let again = Dose::parse(&least, None).unwrap().nsv();
            prop_assert!(again <= nsv && again > nsv - 1_000, "{}", least);
            prop_assert_eq!(again > level, nsv > level, "{}", least);
        }
    }
}
