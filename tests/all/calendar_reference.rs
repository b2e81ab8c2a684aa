//! Due dates against an independent computation: `tests/reference/due_dates.csv` and
//! `due_status.csv` (python-dateutil; wording of 10 CFR 34.27).

use std::collections::HashMap;

use wearbook::calendar::{Day, DueStatus, Interval, YearStart, months_on};

const DUE_DATES: &str = include_str!("../reference/due_dates.csv");
const DUE_STATUS: &str = include_str!("../reference/due_status.csv");

fn day(text: &str) -> Day {
    // The table has days before 1900 too, which nobody may type.
    text.parse().unwrap()
}

fn records(text: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(text.as_bytes())
        .records()
        .map(Result::unwrap)
        .collect()
}

#[test]
fn a_due_day_is_the_same_day_of_the_month_or_its_last() {
    let mut used = 0;
    for row in records(DUE_DATES).iter().filter(|row| &row[0] == "single") {
        let (start, months, due) = (day(&row[1]), row[2].parse().unwrap(), day(&row[3]));
        let interval = Interval::NotToExceedMonths(months);
        assert_eq!(months_on(start, months), due, "{row:?}");
        assert_eq!(
            interval.due_after(start, YearStart::default()),
            Some(due),
            "{row:?}"
        );
        let days = due.signed_duration_since(start).num_days();
        assert_eq!(days.to_string(), row[4], "{row:?}");
        used += 1;
    }
    assert_eq!(used, 228);
}

#[test]
fn a_chain_of_acts_on_their_due_days_keeps_the_day_it_has_come_to() {
    let mut last: HashMap<String, Day> = HashMap::new();
    let mut step: HashMap<String, u32> = HashMap::new();
    let mut used = 0;
    for row in records(DUE_DATES)
        .iter()
        .filter(|row| row[0].starts_with("chain"))
    {
        let (start, months) = (day(&row[1]), row[2].parse::<u32>().unwrap());
        let each = *step.entry(row[1].to_owned()).or_insert(months);
        let from = last.get(&row[1]).copied().unwrap_or(start);
        let due = Interval::NotToExceedMonths(each).due_after(from, YearStart::default());
        assert_eq!(due, Some(day(&row[3])), "{row:?}");
        let jump = row[6]
            .strip_prefix("one jump from the first start gives ")
            .unwrap();
        assert_eq!(months_on(start, months), day(&jump[..10]), "{row:?}");
        last.insert(row[1].to_owned(), day(&row[3]));
        used += 1;
    }
    assert_eq!(used, 31);
}

#[test]
fn not_to_exceed_is_in_time_on_the_due_day_and_late_the_day_after() {
    let mut used = 0;
    for row in records(DUE_STATUS) {
        let (start, months, on) = (day(&row[0]), row[1].parse().unwrap(), day(&row[2]));
        let after_due: i64 = row[3].parse().unwrap();
        let due = on - chrono::Duration::days(after_due);
        let wanted = match &row[4] {
            "in time" => DueStatus::InTime { until: due },
            "late" => DueStatus::Overdue {
                since: due + chrono::Duration::days(1),
            },
            other => panic!("{other}"),
        };
        let interval = Interval::NotToExceedMonths(months);
        assert_eq!(
            interval.status(Some(start), on, YearStart::default()),
            wanted,
            "{row:?}"
        );
        used += 1;
    }
    assert_eq!(used, 20);
}
