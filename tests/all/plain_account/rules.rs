//! The rules of the dose account, each held over random histories.

use wearbook::dose::index::DoseIndex;
use wearbook::dose::input::History;
use wearbook::dose::resolve::days_needed;
use wearbook::quantity::Dose;
use wearbook::rule::Quantity;

use super::draw::{About, Draw, Raw, RawFixed, RawResult, Value, draw};
use super::records::{history, on};
use super::{DAYS, histories, span_of};

pub(super) const BOTH: [Quantity; 2] = [Quantity::Deep, Quantity::Lens];

pub(super) fn all_days() -> wearbook::calendar::Span {
    span_of(-30, DAYS + 100)
}

pub(super) fn safe(
    history: &History,
    span: wearbook::calendar::Span,
    quantity: Quantity,
) -> (Dose, bool) {
    let index = DoseIndex::build(history).unwrap();
    let total = index.safe(span, quantity).unwrap();
    (total.known(), total.undetermined > 0)
}

/// A shift belongs to one badge, whatever is asked for: nothing vanishes between
/// two years.
#[test]
fn any_cut_of_time_adds_up_to_the_whole() {
    let mut apportioned = 0;
    for seed in histories() {
        let raw = draw(seed);
        let index = DoseIndex::build(&history(&raw)).unwrap();
        let mut draw = Draw(seed ^ 0x0C07);
        let mut cuts: Vec<i64> = (0..draw.below(4)).map(|_| draw.below(DAYS)).collect();
        cuts.extend([-30, DAYS + 100]);
        cuts.sort_unstable();
        cuts.dedup();
        for quantity in BOTH {
            let whole = index.account(all_days(), quantity).unwrap();
            let (mut sum, mut provisional, mut prior, mut parted) = (0, 0, 0, 0);
            for (nth, pair) in cuts.windows(2).enumerate() {
                let first = if nth == 0 { pair[0] } else { pair[0] + 1 };
                let part = index.account(span_of(first, pair[1]), quantity).unwrap();
                sum += part.known().nsv();
                provisional += part.provisional.nsv();
                prior += part.prior.nsv();
                parted += part.apportioned.nsv();
            }
            assert_eq!(
                sum,
                whole.known().nsv(),
                "history {seed}, {quantity:?}, {cuts:?}"
            );
            // What no cut goes through keeps its class.
            assert!(provisional <= whole.provisional.nsv(), "history {seed}");
            assert!(prior <= whole.prior.nsv(), "history {seed}");
            apportioned += usize::from(parted > 0);
        }
    }
    assert!(apportioned > 100, "{apportioned}");
}

/// What a window loads gives what the whole history gives.
#[test]
fn a_group_alone_gives_what_the_whole_history_gives() {
    for seed in histories() {
        let raw = draw(seed);
        let whole = history(&raw);
        let all = DoseIndex::build(&whole).unwrap();
        let mut draw = Draw(seed ^ 0x6A0E);
        let first = draw.below(DAYS);
        let last = first + draw.below(40);
        // A question about days also asks for the night before.
        let asked = span_of(first - 1, last);
        let days = days_needed(&whole.facts.dosimetry, asked);
        let mut part = whole.clone();
        part.shifts.retain(|it| days.contains(it.day));
        let alone = DoseIndex::build(&part).unwrap();
        let span = span_of(first, last);
        for quantity in BOTH {
            let (a, b) = (alone.used(span, quantity), all.used(span, quantity));
            assert_eq!(
                a.unwrap(),
                b.unwrap(),
                "history {seed}, {quantity:?}: {raw:#?}"
            );
        }
    }
}

/// In which order things became known changes no level and no stop.
#[test]
fn no_order_of_telling_changes_the_conservative() {
    for seed in histories() {
        let mut raw = draw(seed);
        // What was decided names what was known before it; without decisions
        // the order says nothing but who came first.
        raw.choices.clear();
        raw.fixed.iter_mut().for_each(|it| it.supersedes.clear());
        let told = history(&raw);
        let results = raw.badges.iter_mut().flat_map(|it| &mut it.results);
        for (nth, result) in (0_i64..).zip(results) {
            result.told = 9_000 - 7 * nth;
        }
        for (nth, one) in (0_i64..).zip(&mut raw.fixed) {
            one.told = 8_999 - 5 * nth;
        }
        let otherwise = history(&raw);
        for quantity in BOTH {
            for span in [all_days(), span_of(40, 90), span_of(91, 140)] {
                assert_eq!(
                    safe(&told, span, quantity),
                    safe(&otherwise, span, quantity),
                    "history {seed}, {quantity:?}: {raw:#?}"
                );
            }
        }
    }
}

/// Adds something that nobody accepted and that supersedes nothing.
fn with_one_more(raw: &Raw, draw: &mut Draw) -> Option<Raw> {
    let mut more = raw.clone();
    let entry = 50_000;
    let dose = draw.below(3_000_001);
    let count = i64::try_from(raw.badges.len()).unwrap();
    let place = (count > 0).then(|| usize::try_from(draw.below(count)).unwrap());
    let result = |held| RawResult {
        entry,
        told: entry,
        deep: Some(Value { dose, below: false }),
        lens: None,
        accepted: false,
        corrects: None,
        held,
    };
    let fixed = |about| RawFixed {
        entry,
        told: entry,
        about,
        until: true,
        lens: false,
        dose,
        high: dose,
        above: false,
        supersedes: Vec::new(),
    };
    match (draw.below(4), place) {
        (0, Some(place)) => more.badges[place].results.push(result(false)),
        (1, Some(place)) => more.badges[place].results.push(result(true)),
        (2, _) => {
            let first = draw.below(DAYS);
            let days = About::Days(first, first + draw.below(30));
            more.fixed.push(fixed(days));
        }
        (3, Some(place)) => {
            let last = raw.badges[place].first + draw.below(30);
            more.fixed.push(fixed(About::Badge(place, last)));
        }
        _ => return None,
    }
    Some(more)
}

#[test]
fn nothing_but_a_decision_lowers_the_conservative() {
    let mut raised = 0;
    for seed in histories() {
        let raw = draw(seed);
        let mut draw = Draw(seed ^ 0x5AFE);
        let Some(more) = with_one_more(&raw, &mut draw) else {
            continue;
        };
        let (before, after) = (history(&raw), history(&more));
        // A report closes a badge of which no return is recorded: a shift after
        // its planned days is no longer its own, which is no new claim.
        if raw.badges.iter().any(|it| it.last.is_none()) {
            continue;
        }
        for quantity in BOTH {
            for span in [all_days(), span_of(40, 90), span_of(91, 140)] {
                let (was, is) = (safe(&before, span, quantity), safe(&after, span, quantity));
                assert!(
                    is.0 >= was.0,
                    "history {seed}, {quantity:?}, {was:?} {is:?}, {:?}: {raw:#?}",
                    on(0)
                );
                raised += usize::from(is.0 > was.0);
            }
        }
    }
    assert!(raised > 100, "{raised}");
}

/// The same fact, told of a reading, its day or its badge, where the three cover
/// one shift with one dosimeter.
#[test]
fn one_fact_gives_one_figure_however_it_is_told() {
    let mut tried = 0;
    for seed in histories() {
        let mut raw = draw(seed);
        raw.fixed.clear();
        raw.choices.clear();
        let Some(at) = raw
            .shifts
            .iter()
            .position(|it| it.second.is_none() && it.held.is_none())
        else {
            continue;
        };
        // One badge, and one shift on the day.
        let day = raw.shifts[at].day;
        raw.badges.truncate(1);
        let Some(badge) = raw.badges.first_mut() else {
            continue;
        };
        (badge.first, badge.last, badge.planned) = (day - 3, Some(day + 3), day + 3);
        raw.shifts = vec![raw.shifts[at].clone()];
        raw.shifts[0].worn = Some(true);
        raw.shifts[0].named = None;
        let mut draw = Draw(seed ^ 0x2E);
        let (until, dose) = (draw.one_in(2), draw.below(2_000_001));
        let tell = |about| {
            let mut told = raw.clone();
            told.fixed.push(RawFixed {
                entry: 90,
                told: 90,
                about,
                until,
                lens: false,
                dose,
                high: dose,
                above: false,
                supersedes: Vec::new(),
            });
            let index = DoseIndex::build(&history(&told)).unwrap();
            BOTH.map(|quantity| index.used(all_days(), quantity).unwrap())
        };
        let first = tell(About::Reading(0));
        for about in [
            About::Shift(0),
            About::Days(day, day),
            About::Badge(0, day + 3),
        ] {
            let found = tell(about);
            for (a, b) in first.iter().zip(&found) {
                assert_eq!(
                    (
                        a.account.known(),
                        a.account.extent(),
                        a.safe.known(),
                        a.safe.extent()
                    ),
                    (
                        b.account.known(),
                        b.account.extent(),
                        b.safe.known(),
                        b.safe.extent()
                    ),
                    "history {seed}, {about:?}: {raw:#?}"
                );
            }
        }
        tried += 1;
    }
    assert!(tried > 300, "{tried}");
}
