//! Days in figures whose order somebody has to say: `03/04/2025` is March in one country and
//! April in the next.

use super::day::{Day, parse_day};

/// The order in which day, month and year stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayOrder {
    /// Month first.
    Mdy,
    /// Day first.
    Dmy,
    /// Year first.
    Ymd,
}

impl DayOrder {
    /// The words in which an order is said.
    pub const WORDS: &'static str = "mdy, dmy or ymd";

    /// The order of a word.
    pub fn from_word(word: &str) -> Option<DayOrder> {
        match word.to_ascii_lowercase().as_str() {
            "mdy" => Some(DayOrder::Mdy),
            "dmy" => Some(DayOrder::Dmy),
            "ymd" => Some(DayOrder::Ymd),
            _ => None,
        }
    }

    /// The word in which it is said.
    pub fn word(self) -> &'static str {
        match self {
            DayOrder::Mdy => "mdy",
            DayOrder::Dmy => "dmy",
            DayOrder::Ymd => "ymd",
        }
    }

    /// How it is said and what it means.
    pub fn words(self) -> &'static str {
        match self {
            DayOrder::Mdy => "mdy, month before day",
            DayOrder::Dmy => "dmy, day before month",
            DayOrder::Ymd => "ymd, year first",
        }
    }

    /// The day of a text in this order. The year has all four digits: of `62` nobody knows the
    /// century. Nothing where the text is no such day.
    pub fn read(self, text: &str) -> Option<Day> {
        let parts = in_figures(text)?;
        let [year, month, day] = match self {
            DayOrder::Mdy => [parts[2], parts[0], parts[1]],
            DayOrder::Dmy => [parts[2], parts[1], parts[0]],
            DayOrder::Ymd => parts,
        };
        let long = [year, month, day].map(str::len);
        if long[0] != 4 || long[1] > 2 || long[2] > 2 {
            return None;
        }
        parse_day(&format!("{year}-{month:0>2}-{day:0>2}")).ok()
    }
}

/// The three figures of a day that is written with strokes or points, or with dashes and not
/// year-month-day.
pub fn in_figures(text: &str) -> Option<[&str; 3]> {
    let text = text.trim();
    let sign = text.chars().find(|it| !it.is_ascii_digit())?;
    if !['/', '.', '-'].contains(&sign) {
        return None;
    }
    let mut parts = text.split(sign);
    let three = [parts.next()?, parts.next()?, parts.next()?];
    let figures = |it: &&str| !it.is_empty() && it.bytes().all(|it| it.is_ascii_digit());
    let all = parts.next().is_none() && three.iter().all(figures);
    // Year-month-day is never read otherwise, also where there is no such day.
    let ours = sign == '-' && three.map(str::len) == [4, 2, 2];
    (all && !ours).then_some(three)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::day::tests::{any_day, day};
    use chrono::Datelike;
    use proptest::prelude::*;

    #[test]
    fn a_day_in_figures_is_read_in_the_order_that_was_said() {
        for (text, mdy, dmy, ymd) in [
            ("03/04/2025", "2025-03-04", "2025-04-03", "-"),
            ("3/4/2025", "2025-03-04", "2025-04-03", "-"),
            ("13/04/2025", "-", "2025-04-13", "-"),
            ("13.04.2025", "-", "2025-04-13", "-"),
            ("04-13-2025", "2025-04-13", "-", "-"),
            ("2025/04/13", "-", "-", "2025-04-13"),
            ("31/02/2025", "-", "-", "-"),
            ("03/04/25", "-", "-", "-"),
            ("03/04.2025", "-", "-", "-"),
            ("2025-04-31", "-", "-", "-"),
            ("2025-04-13", "-", "-", "-"),
            ("April", "-", "-", "-"),
        ] {
            let read = |it: DayOrder| it.read(text).map_or("-".to_owned(), |it| it.to_string());
            let read = [DayOrder::Mdy, DayOrder::Dmy, DayOrder::Ymd].map(read);
            assert_eq!(read, [mdy, dmy, ymd], "{text}");
        }
        assert_eq!(DayOrder::Dmy.read("13/04/2025"), Some(day("2025-04-13")));
    }

    proptest! {
        #[test]
        fn any_day_reads_back_in_its_own_order(it in any_day()) {
            let (y, m, d) = (it.year(), it.month(), it.day());
            prop_assert_eq!(DayOrder::Mdy.read(&format!("{m}/{d}/{y}")), Some(it));
            prop_assert_eq!(DayOrder::Dmy.read(&format!("{d:02}.{m:02}.{y}")), Some(it));
            prop_assert_eq!(DayOrder::Ymd.read(&format!("{y}/{m}/{d}")), Some(it));
        }
    }
}
