//! What a forecast assumes, and why it draws no chances, in words.

use super::question::Question;
use super::rate::FEW_DAYS;
use super::worked::{FEWEST_SHIFTS, TooFew};
use crate::calendar::Span;
use crate::stat::prediction::Behind;

/// What a forecast takes for granted, the chief thing first; with it the days that chances are
/// drawn from, if there are enough.
pub fn assumptions(question: &Question, drawn: Option<(Span, &Behind)>) -> Vec<String> {
    let mut words = vec![
        "it assumes that work continues as before: the same work, sources, crew and shielding"
            .to_owned(),
        "so far is the conservative total; what is undetermined is not in it".to_owned(),
    ];
    let rates = [
        ("the rate so far", question.plain),
        ("the worst quarter", question.worst_quarter),
    ];
    for (name, rate) in rates {
        if let Some(rate) = rate.filter(|it| it.days < FEW_DAYS) {
            let days = counted(rate.days, "day");
            words.push(format!(
                "{name} is that of {days} only: one shift more or less changes it much"
            ));
        }
    }
    let worked = &question.worked;
    if !worked.absences.is_empty() {
        let spans: Vec<String> = worked.absences.iter().map(ToString::to_string).collect();
        words.push(format!(
            "days without a shift do not count from {}",
            spans.join(", from ")
        ));
    }
    let Some((like, behind)) = drawn else {
        return words;
    };
    words.push(format!(
        "the chances let the number of shifts, their doses and whole weeks and months vary as \
         much as they did from {like}; no day to come is taken as an absence"
    ));
    words.push(format!(
        "from {} of work no chance below {} can be told from zero",
        counted(behind.stretches(), "stretch"),
        per_cent(behind.least())
    ));
    words
}

/// Why no chances are drawn.
pub fn reason(why: TooFew) -> String {
    match why {
        TooFew::Shifts(count) => {
            let are = if count == 1 { "is" } else { "are" };
            format!(
                "{} {are} too few to draw chances from (at least {FEWEST_SHIFTS}): rates only",
                counted(count, "recent shift")
            )
        }
        TooFew::Days(days) => {
            let are = if days == 1 { "is" } else { "are" };
            format!(
                "{} of work {are} too few to draw chances from (at least {FEW_DAYS}): rates only",
                counted(days, "day")
            )
        }
        TooFew::Nothing => {
            "no recent shift brought a dose: there is nothing to draw chances from".to_owned()
        }
        TooFew::Uneven => "a few doses make up most of the recent dose: too uneven to draw \
                           chances from, rates only"
            .to_owned(),
    }
}

/// A count with its noun.
fn counted(count: impl TryInto<i64>, noun: &str) -> String {
    let count = count.try_into().unwrap_or(i64::MAX);
    match (count, noun.ends_with("ch")) {
        (1, _) => format!("1 {noun}"),
        (_, true) => format!("{count} {noun}es"),
        (_, false) => format!("{count} {noun}s"),
    }
}

/// A share in per cent, rounded up to a tenth.
pub fn per_cent(share: f64) -> String {
    format!("{:.1} %", ((share * 1000.0).ceil() / 10.0).min(100.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_singular() {
        for (why, begins) in [
            (TooFew::Shifts(1), "1 recent shift is too few"),
            (TooFew::Shifts(0), "0 recent shifts are too few"),
            (TooFew::Shifts(19), "19 recent shifts are too few"),
            (TooFew::Days(1), "1 day of work is too few"),
            (TooFew::Days(83), "83 days of work are too few"),
        ] {
            assert!(reason(why).starts_with(begins), "{}", reason(why));
        }
    }

    #[test]
    fn a_chance_is_rounded_up_only() {
        for (share, words) in [(0.00101, "0.2 %"), (0.25, "25.0 %"), (0.9999, "100.0 %")] {
            assert_eq!(per_cent(share), words);
        }
    }
}
