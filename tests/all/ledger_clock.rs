//! Which moments of writing can be trusted: specimens as a table, and what must hold of any
//! sequence of entries with any fault of the clock.

use chrono::{DateTime, TimeDelta, Utc};
use proptest::prelude::*;
use wearbook::ledger::{Clocks, Cut, Instant, Reading};

/// As the built-in rule sets have it.
const LONGEST: TimeDelta = TimeDelta::hours(720);

/// What was written in its order, a word each: `14.08` is 08:00 on 14 June 2026, `2035` and
/// `1970` are those years; `copy:14.08` is a copy that was made then.
fn readings(text: &str) -> Vec<Reading> {
    let mut all = Vec::new();
    let mut entry = 0;
    for word in text.split_whitespace() {
        let (copy, said) = match word.strip_prefix("copy:") {
            Some(said) => (true, said),
            None => (false, word),
        };
        entry += i64::from(!copy);
        let at = match said.split_once('.') {
            Some((day, rest)) => {
                let (hour, minute) = rest.split_once(':').unwrap_or((rest, "00"));
                format!("2026-06-{day}T{hour}:{minute}:00Z")
            }
            None if said.contains('-') => format!("{said}T12:00:00Z"),
            None => format!("{said}-01-01T00:00:00Z"),
        };
        all.push(Reading {
            first: entry,
            last: entry,
            at: at.parse().expect("a moment"),
            copy,
        });
    }
    all
}

fn judged(text: &str) -> Vec<i64> {
    let readings = readings(text);
    let clocks = Clocks::judge(&readings, LONGEST);
    let entries = readings.iter().filter(|it| !it.copy);
    entries
        .map(|it| it.first)
        .filter(|it| clocks.is_doubted(*it))
        .collect()
}

/// What it is, what was written, and the entries that are doubted.
const SPECIMENS: &[(&str, &str, &[i64])] = &[
    ("all is well", "14.08 14.09 14.09 15.08", &[]),
    (
        "a pause of two weeks is no fault",
        "1.08 1.09 15.08 15.09",
        &[],
    ),
    (
        "a pause of five years that nothing contradicts",
        "14.08 14.09 2031 2032",
        &[],
    ),
    (
        "one entry of 2035",
        "12.08 13.08 14.08 2035 14.09 15.08",
        &[4],
    ),
    (
        "and the very next entry shows it",
        "12.08 13.08 14.08 2035 14.09",
        &[4],
    ),
    (
        "several of one sitting",
        "12.08 13.08 14.08 2035 2035-01-02 14.09 15.08",
        &[4, 5],
    ),
    (
        "two years that are both wrong",
        "13.08 14.08 2035 2036 14.09",
        &[3, 4],
    ),
    (
        "twice",
        "12.08 13.08 14.08 2035 14.09 2035-02-01 14.10 15.08",
        &[4, 6],
    ),
    (
        "the last one says 2035 again",
        "12.08 13.08 14.08 2035 14.09 2036",
        &[4],
    ),
    (
        "the ledger was begun under it",
        "2035 14.08 14.09 14.10 15.08",
        &[1],
    ),
    ("a battery that died", "12.08 13.08 14.08 1970 15.08", &[4]),
    (
        "and was not set",
        "12.08 13.08 14.08 1970 1970-01-02 15.08",
        &[4, 5],
    ),
    (
        "and stands there still",
        "12.08 13.08 14.08 1970 1970-01-02",
        &[4, 5],
    ),
    // Set back by five days, and put right by as much: those behind are doubted alone, since
    // no jump of five days says that the clock had been ahead.
    (
        "set back for a while",
        "10.08 11.08 12.08 13.08 8.09 9.08 15.08",
        &[5, 6],
    ),
    (
        "past the newest before it, and still not set right",
        "10.08 11.08 12.08 12.09 10.10 11.08 12.08 12.12 13.08 15.12",
        &[5, 6, 7, 8, 9],
    ),
    // One hour: the clock may have been ahead since the night, or was set back.
    (
        "an hour back",
        "13.08 14.08 14.11 14.10:30 14.11:30 15.08",
        &[3, 4],
    ),
    ("at the very beginning", "14.08 14.07", &[1, 2]),
    (
        "a copy by the same clock bears nothing out",
        "12.08 13.08 14.08 copy:14.09 13.12 15.08",
        &[3, 4],
    ),
    (
        "a copy under a clock of 2035",
        "13.08 14.08 copy:2035 14.09 15.08",
        &[],
    ),
    (
        "an entry behind a copy",
        "13.08 14.08 copy:14.12 14.10 15.08",
        &[3],
    ),
];

#[test]
fn the_odd_clock_is_doubted_and_where_nobody_can_tell_both_are() {
    for (what, text, doubted) in SPECIMENS {
        assert_eq!(judged(text), *doubted, "{what}: {text}");
    }
}

#[test]
fn what_is_doubted_lies_between_its_trustworthy_neighbours() {
    let text = "12.08 13.08 2035 2035-01-02 14.09 15.08";
    let all = readings(text);
    let clocks = Clocks::judge(&all, LONGEST);
    let at = |place: usize| all[place].at;
    let bounds = clocks.bounds(3, at(2));
    assert_eq!((bounds.earliest, bounds.latest), (Some(at(1)), Some(at(4))));
    let runs = clocks.doubted();
    assert_eq!(runs.len(), 1);
    assert_eq!((runs[0].first, runs[0].last), (3, 4));
    let own = clocks.bounds(5, at(4));
    assert_eq!((own.earliest, own.latest), (Some(at(4)), Some(at(4))));
    // Between entries 2 and 5 nobody can tell which of 3 and 4 came before noon of the 13th.
    let noon: Instant = "2026-06-13T12:00:00Z".parse().expect("a moment");
    let cut = clocks.cut(noon, 6);
    assert_eq!((cut.known, cut.unsure), (2, 4));
    // What is told in entry 4 was so before entry 4, and entry 5 came after it all the same.
    let told = cut.told_in(4);
    assert_eq!((told.known, told.unsure), (2, 3));
    assert!(told.is_unsure(3) && !told.is_unsure(4));
}

/// Where entries lie to a moment.
fn verdict(clocks: &Clocks, readings: &[Reading], moment: Instant) -> Cut {
    let newest = readings.last().map_or(0, |it| it.last);
    if !clocks.all_trusted() {
        return clocks.cut(moment, newest);
    }
    let known = readings.iter().filter(|it| it.at <= moment);
    let known = known.map(|it| it.last).max().unwrap_or(0);
    Cut {
        known,
        unsure: known,
    }
}

/// `before`, `after` or `unknown`, for one entry.
fn word(cut: Cut, entry: i64) -> &'static str {
    match entry {
        it if it <= cut.known => "before",
        it if it <= cut.unsure => "unknown",
        _ => "after",
    }
}

fn start() -> Instant {
    "2026-01-05T08:00:00Z".parse().expect("a moment")
}

/// True moments of writing: minutes, hours and nights apart, never more than two weeks.
fn honest() -> impl Strategy<Value = Vec<Instant>> {
    let gap = prop_oneof![5 => 1..90_i64, 3 => 600..1000_i64, 1 => 1_440..20_000_i64];
    proptest::collection::vec(gap, 6..40).prop_map(|gaps| {
        let mut at = start();
        let mut all = vec![at];
        for gap in gaps {
            at += TimeDelta::minutes(gap);
            all.push(at);
        }
        all
    })
}

/// A clock that is wrong by more than any pause: two months to ten years, either way.
fn far() -> impl Strategy<Value = TimeDelta> {
    (60..3650_i64, any::<bool>())
        .prop_map(|(days, ahead)| TimeDelta::days(if ahead { days } else { -days }))
}

fn written(said: &[DateTime<Utc>]) -> Vec<Reading> {
    let reading = |(n, at): (usize, &Instant)| Reading {
        first: n as i64 + 1,
        last: n as i64 + 1,
        at: *at,
        copy: false,
    };
    said.iter().enumerate().map(reading).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// Entries of which some, never two in a row, were written under a clock that was far off; one
    /// more of that kind is added. No entry whose clock was right is placed otherwise than before.
    #[test]
    fn one_more_entry_under_a_wrong_clock_moves_no_other(
        truth in honest(),
        faults in proptest::collection::vec(proptest::option::weighted(0.15, far()), 40),
        wrong in far(),
        place in 0..40_usize,
        asked in 0..40_usize,
    ) {
        let place = 3 + place % (truth.len() - 3);
        let mut said = truth.clone();
        let mut is_wrong = vec![false; truth.len()];
        // The first three are right: of a ledger of three entries nobody can tell which is not.
        for n in 3..truth.len() {
            let near = is_wrong[n - 1] || n + 1 == place || n == place;
            if let Some(by) = faults[n].filter(|_| !near) {
                said[n] = truth[n] + by;
                is_wrong[n] = true;
            }
        }
        let moment = truth[asked % truth.len()] + TimeDelta::seconds(30);
        let without = written(&said);
        let mut with = said.clone();
        with.insert(place, truth[place] + wrong);
        let with = written(&with);
        let before = verdict(&Clocks::judge(&without, LONGEST), &without, moment);
        let after = verdict(&Clocks::judge(&with, LONGEST), &with, moment);
        for n in (0..truth.len()).filter(|n| !is_wrong[*n]) {
            let (one, other) = (n as i64 + 1, n as i64 + 1 + i64::from(n >= place));
            prop_assert_eq!(
                word(before, one), word(after, other),
                "entry {} of {:?} with {} at {}", one, said, truth[place] + wrong, place
            );
            let true_word = if truth[n] <= moment { "before" } else { "after" };
            prop_assert!([true_word, "unknown"].contains(&word(before, one)));
        }
    }

    /// The same for a clock that is off by no more than a pause: what was told of another entry may
    /// become unknown, and never turns into its opposite.
    #[test]
    fn a_clock_that_is_a_little_off_turns_nothing_round(
        truth in honest(),
        minutes in -20_000..20_000_i64,
        place in 0..40_usize,
        asked in 0..40_usize,
    ) {
        let place = place % truth.len();
        let moment = truth[asked % truth.len()] + TimeDelta::seconds(30);
        let mut with = truth.clone();
        with.insert(place, truth[place] + TimeDelta::minutes(minutes));
        let with = written(&with);
        let after = verdict(&Clocks::judge(&with, LONGEST), &with, moment);
        for (n, at) in truth.iter().enumerate() {
            let true_word = if *at <= moment { "before" } else { "after" };
            let told = word(after, n as i64 + 1 + i64::from(n >= place));
            prop_assert!([true_word, "unknown"].contains(&told), "entry {n} of {with:?}");
        }
    }

    /// A clock is set back for some entries. Whatever of them stands behind an earlier entry never
    /// counts as before an event that came after that one and before them.
    ///
    /// A pause as long as what the clock is seen to have been set back by looks as if it had been
    /// put right, and nothing in the ledger tells one from the other: here it is put right then.
    #[test]
    fn a_check_by_a_clock_set_back_does_not_count_as_before_the_event(
        truth in honest(),
        minutes in 1..600_000_i64,
        first in 0..40_usize,
        count in 1..12_usize,
        event in 0..40_usize,
    ) {
        // Of a ledger that was begun and then set back for three times as long nobody can tell.
        let first = 4 + first % (truth.len() - 4);
        let back = TimeDelta::minutes(minutes);
        let before = truth[first - 1];
        let seen = before - (truth[first] - back);
        let paused = |n: usize| truth[n] - truth[n - 1] >= seen;
        let looks_right = |n: &usize| paused(*n) && truth[*n] - back >= before;
        let last = (first + count).min(truth.len());
        let last = (first + 1..last).find(looks_right).unwrap_or(last);
        let mut said = truth.clone();
        for at in &mut said[first..last] {
            *at -= back;
        }
        let all = written(&said);
        let clocks = Clocks::judge(&all, LONGEST);
        // The event came between two entries that are both before the clock was put right.
        let event = event % last;
        let moment = truth[event] + TimeDelta::seconds(30);
        let cut = verdict(&clocks, &all, moment);
        for n in first..last {
            let behind = said[n] < before;
            if behind && moment < truth[n] {
                prop_assert_ne!(word(cut, n as i64 + 1), "before", "entry {} of {:?}", n + 1, said);
            }
        }
        // What stands from the event's own entry on came later, whatever its clock says.
        for told_in in 1..=truth.len() as i64 {
            let cut = cut.told_in(told_in);
            for entry in told_in..=truth.len() as i64 {
                prop_assert_eq!(word(cut, entry), "after");
            }
        }
    }
}
