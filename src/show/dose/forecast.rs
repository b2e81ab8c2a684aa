//! Where a worker's year is heading.

use crate::answer::{ChangeLine, ForecastAnswer, ForecastLine};
use crate::calendar::Day;
use crate::rule::Quantity;
use crate::show::report::{Report, Table};

/// A forecast with what it assumes.
pub fn forecast_report(answer: &ForecastAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} {}: forecast from {} to {} (an estimate)",
        answer.worker, answer.name, answer.on, answer.until
    ));
    report.line(format!(
        "conservative {} so far: {}",
        answer.terms.dose(Quantity::Deep),
        answer.so_far.shown
    ));
    if let Some(why) = &answer.withheld {
        report.line(format!("no forecast: {why}"));
        report.caution(answer.confirm.clone());
        return report;
    }
    if let Some(change) = &answer.change {
        let own = answer.ends.iter().any(|it| it.like.first == change.first);
        let stand = match (own, answer.ends.len()) {
            (false, _) => "they have no line of their own below",
            (true, 1) => "they alone stand below",
            (true, _) => "both stand below",
        };
        report.line(format!("{}; {stand}", change_words(change)));
        let leads = answer.ends.first();
        if change.more && leads.is_none_or(|it| it.like.first != change.first) {
            report.under(
                "they are too few to draw chances from, so that the chances below may be too low",
            );
        }
    }
    if let Some(why) = &answer.too_few {
        report.line(why.clone());
    }
    report.gap();
    report.table(ends(answer).in_unit(&answer.unit));
    report.gap();
    report.table(levels(answer).in_unit(&answer.unit));
    report.gap();
    for line in &answer.assumes {
        report.under(line.clone());
    }
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

/// How the last days differ, in a sentence.
pub(crate) fn change_words(it: &ChangeLine) -> String {
    let [low, high] = &it.expected;
    format!(
        "the last {} brought {} than the time before: {} in {}, where {} to {} was to be expected \
         in 80 of 100",
        days(it.days),
        if it.more { "MORE" } else { "less" },
        it.dose.shown,
        shifts(it.shifts),
        low.shown,
        high.shown
    )
}

/// `1 day`, `2 days`.
pub(crate) fn days(count: i64) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} day{s}")
}

fn shifts(count: usize) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} shift{s}")
}

/// The year's end, a line for each way of going on.
fn ends(answer: &ForecastAnswer) -> Table {
    let until = format!(">middle\n{}", answer.until);
    let mut table = match answer.ends.is_empty() {
        true => Table::new(&["if it goes on as", &format!(">{}", answer.until)]),
        false => Table::new(&["if it goes on as", &until, ">90 of 100 from", ">to"]),
    };
    let mut row = |name: String, cells: [String; 3]| match answer.ends.is_empty() {
        true => {
            let [middle, ..] = cells;
            table.row([name, middle]);
        }
        false => {
            let [middle, low, high] = cells;
            table.row([name, middle, low, high]);
        }
    };
    for it in &answer.ends {
        let name = format!(
            "in {}, {} from {}",
            shifts(it.shifts),
            days(it.days),
            it.like.first
        );
        let [low, middle, high] = &it.band;
        row(name, [middle, low, high].map(|it| it.shown.clone()));
    }
    let rates = [
        (
            "at the year's rate so far",
            &answer.at_plain_rate,
            answer.rate_days,
        ),
        (
            "at the rate of the worst quarter",
            &answer.at_worst_quarter,
            answer.worst_days,
        ),
    ];
    for (name, dose, of) in rates {
        if let Some(dose) = dose {
            let of = of.map_or(String::new(), |it| format!(", {}", days(it)));
            row(
                format!("{name}{of}"),
                [dose.shown.clone(), String::new(), String::new()],
            );
        }
    }
    table
}

/// The levels; what no level has, has no column.
fn levels(answer: &ForecastAnswer) -> Table {
    let some = |has: fn(&ForecastLine) -> bool| answer.levels.iter().any(has);
    let chances = some(|it| it.above.is_some() || it.passed);
    let dates = some(|it| it.dates.iter().any(Option::is_some));
    let plain = some(|it| it.at_plain_rate.is_some());
    let worst = some(|it| it.at_worst_quarter.is_some());
    let columns = [
        (true, "level"),
        (true, ">of"),
        (chances, ">chance"),
        (dates, "passed: earliest, middle, latest"),
        (plain, "at the year's rate"),
        (worst, "worst quarter's"),
    ];
    let shown = |all: &[(bool, String)]| -> Vec<String> {
        let all = all.iter().filter(|it| it.0);
        all.map(|it| it.1.clone()).collect()
    };
    let headings: Vec<&str> = columns.iter().filter(|it| it.0).map(|it| it.1).collect();
    let mut table = Table::new(&headings);
    let day = |day: Option<Day>| day.map_or(String::new(), |it| it.to_string());
    for line in &answer.levels {
        let chance = match line.passed {
            true => "passed".to_owned(),
            false => line.chance_words().unwrap_or_default(),
        };
        let name = match line.until == answer.until {
            true => line.level.clone(),
            false => format!("{}\nto {}", line.level, line.until),
        };
        let passed = match line.dates.iter().any(Option::is_some) {
            true => line
                .dates
                .map(|it| it.map_or(format!("not by {}", line.until), |it| it.to_string()))
                .join("\n"),
            false => String::new(),
        };
        table.rows.push(shown(&[
            (true, name),
            (true, line.dose.shown.clone()),
            (chances, chance),
            (dates, passed),
            (plain, day(line.at_plain_rate)),
            (worst, day(line.at_worst_quarter)),
        ]));
    }
    table
}
