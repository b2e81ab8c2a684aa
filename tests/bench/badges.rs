//! Badges of the invented company: one a person and month, each with a result.

use std::path::Path;

use chrono::Datelike;
use wearbook::calendar::{Day, last_of_month, parse_day};

use crate::Outcome;
use crate::company::{Crew, FIRST_DAY};
use crate::dice::Dice;

/// The files, each with the noun and verb of its import.
pub const BADGE_FILES: [(&str, &str, &str); 2] = [
    ("badge", "issues", "badges.csv"),
    ("badge", "results", "results.csv"),
];

/// Writes a badge and a result for every person and month from the first shift
/// to a last day.
pub fn write(dir: &Path, crews: &[Crew], last: Day) -> Outcome<usize> {
    let mut issues = csv::Writer::from_path(dir.join("badges.csv"))?;
    issues.write_record(["badge", "type", "worker", "first_day", "last_day"])?;
    let mut results = csv::Writer::from_path(dir.join("results.csv"))?;
    results.write_record([
        "badge",
        "first_day",
        "report",
        "reported_on",
        "deep",
        "lens",
        "shallow",
        "minimum",
        "below_code",
    ])?;
    let mut dice = Dice::new(34);
    let mut first = parse_day(FIRST_DAY)?;
    let mut count = 0;
    loop {
        let end = last_of_month(first);
        let reported = end + chrono::Days::new(18);
        if reported > last {
            break;
        }
        let month = format!("{}{:02}", first.year() % 100, first.month());
        for member in crews.iter().flat_map(|crew| &crew.members) {
            let badge = format!("B-{month}-{}", member.id);
            let (from, to) = (first.to_string(), end.to_string());
            issues.write_record([badge.as_str(), "whole body", &member.id, &from, &to])?;
            // A month is some twenty shifts of a few mrem.
            let deep = dice.roll(120);
            let dose = |more: u64| match deep + more {
                low if low < 10 => "M".to_owned(),
                dose => format!("{dose} mrem"),
            };
            let (report, on) = (format!("R-{month}"), reported.to_string());
            results.write_record([
                badge.as_str(),
                &from,
                &report,
                &on,
                &dose(0),
                &dose(1),
                &dose(2),
                "10 mrem",
                "M",
            ])?;
            count += 1;
        }
        first = end + chrono::Days::new(1);
    }
    issues.flush()?;
    results.flush()?;
    Ok(count)
}
