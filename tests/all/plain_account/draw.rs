//! Raw numbers of a history, and how they are drawn.

use super::DAYS;

#[derive(Clone, Debug)]
pub(super) struct RawShift {
    pub(super) day: i64,
    pub(super) over: bool,
    pub(super) worn: Option<bool>,
    /// What the dosimeter showed; off-scale without a number.
    pub(super) shows: Option<i64>,
    /// A second dosimeter whose reading is held.
    pub(super) held: Option<i64>,
    pub(super) fixed: Option<Fixed>,
}

/// A determination of the deep dose.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fixed {
    pub(super) entry: i64,
    pub(super) dose: i64,
    pub(super) until: bool,
}

#[derive(Clone, Debug)]
pub(super) struct RawBadge {
    pub(super) first: i64,
    pub(super) last: i64,
    pub(super) results: Vec<RawResult>,
    pub(super) fixed: Option<Fixed>,
    /// What is of record, what is not.
    pub(super) settled: Option<(i64, Vec<i64>)>,
}

#[derive(Clone, Debug)]
pub(super) struct RawResult {
    pub(super) entry: i64,
    pub(super) deep: Option<Value>,
    pub(super) lens: Option<Value>,
    pub(super) accepted: bool,
    pub(super) corrects: Option<i64>,
    pub(super) held: bool,
}

/// A dose, or a minimum that it is below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Value {
    pub(super) dose: i64,
    pub(super) below: bool,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Raw {
    pub(super) shifts: Vec<RawShift>,
    pub(super) badges: Vec<RawBadge>,
    /// First day, days, deep dose.
    pub(super) prior: Vec<(i64, i64, i64)>,
    /// Doses that add: day, dose.
    pub(super) added: Vec<(i64, i64)>,
}

/// A plain congruential generator, so that a failing history can be drawn
/// again from its number.
pub(super) struct Draw(pub(super) u64);

impl Draw {
    pub(super) fn below(&mut self, n: i64) -> i64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n.unsigned_abs()).cast_signed()
    }

    pub(super) fn one_in(&mut self, n: i64) -> bool {
        self.below(n) == 0
    }
}

pub(super) fn draw(seed: u64) -> Raw {
    let mut draw = Draw(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let mut entry = 100;
    let mut next = || {
        entry += 1;
        entry
    };
    let mut raw = Raw::default();
    for _ in 0..draw.below(30) {
        let worn = [Some(true), Some(true), Some(true), Some(false), None];
        let off_scale = draw.one_in(8);
        raw.shifts.push(RawShift {
            day: draw.below(DAYS),
            over: draw.one_in(4),
            worn: worn[usize::try_from(draw.below(5)).unwrap()],
            shows: (!off_scale).then(|| draw.below(4) * draw.below(500_001)),
            held: draw.one_in(9).then(|| draw.below(900_001)),
            fixed: None,
        });
    }
    for shift in &mut raw.shifts {
        let wanted = if shift.shows.is_none() { 2 } else { 15 };
        if draw.one_in(wanted) {
            shift.fixed = Some(Fixed {
                entry: next(),
                dose: draw.below(3_000_001),
                until: draw.one_in(3),
            });
        }
    }
    let mut day = draw.below(20);
    while day < DAYS && raw.badges.len() < 7 {
        let last = day + draw.below(60);
        raw.badges
            .push(badge(&mut draw, &mut next, &raw, day, last));
        // The next on the same day, the day after, or after a gap.
        day = last + draw.below(3) * draw.below(9);
    }
    for _ in 0..draw.below(3) {
        let prior = (draw.below(DAYS), draw.below(60) + 1, draw.below(9_000_001));
        raw.prior.push(prior);
    }
    if draw.one_in(4) {
        raw.added.push((draw.below(DAYS), draw.below(2_000_001)));
    }
    raw
}

pub(super) fn badge(
    draw: &mut Draw,
    next: &mut impl FnMut() -> i64,
    raw: &Raw,
    first: i64,
    last: i64,
) -> RawBadge {
    // A result near the readings as often as far from them.
    let inside = raw
        .shifts
        .iter()
        .filter(|it| first <= it.day && it.day <= last);
    let sum: i64 = inside
        .map(|it| it.fixed.map_or(it.shows.unwrap_or(0), |fixed| fixed.dose))
        .sum();
    let value = |draw: &mut Draw| match draw.below(6) {
        0 => Value {
            dose: 100_000,
            below: true,
        },
        1 => Value {
            dose: sum,
            below: false,
        },
        2 => Value {
            dose: draw.below(200_001),
            below: false,
        },
        _ => Value {
            dose: sum + draw.below(3_000_001),
            below: false,
        },
    };
    let mut results = Vec::new();
    for _ in 0..[0, 1, 1, 1, 2][usize::try_from(draw.below(5)).unwrap()] {
        let earlier = results.first().map(|it: &RawResult| it.entry);
        results.push(RawResult {
            entry: next(),
            deep: (!draw.one_in(8)).then(|| value(draw)),
            lens: (!draw.one_in(3)).then(|| value(draw)),
            accepted: draw.one_in(2),
            corrects: earlier.filter(|_| draw.one_in(2)),
            held: draw.one_in(7),
        });
    }
    let fixed = draw.one_in(5).then(|| Fixed {
        entry: next(),
        dose: draw.below(4_000_001),
        until: draw.one_in(2),
    });
    let mut all: Vec<i64> = results.iter().map(|it| it.entry).collect();
    all.extend(fixed.map(|it| it.entry));
    let members = raw
        .shifts
        .iter()
        .filter(|it| first <= it.day && it.day <= last);
    all.extend(members.filter_map(|it| it.fixed).map(|it| it.entry));
    let settled = (!all.is_empty() && draw.one_in(3)).then(|| {
        let of_record =
            all[usize::try_from(draw.below(i64::try_from(all.len()).unwrap())).unwrap()];
        let mut aside: Vec<i64> = all.into_iter().filter(|it| *it != of_record).collect();
        if draw.one_in(5) {
            aside.pop();
        }
        (of_record, aside)
    });
    // An amended result has another entry, and no settlement speaks of it.
    if draw.one_in(6)
        && let Some(result) = results.last_mut()
    {
        result.entry = next();
        result.deep = result.deep.map(|it| Value {
            dose: it.dose / 2,
            ..it
        });
    }
    RawBadge {
        first,
        last,
        results,
        fixed,
        settled,
    }
}
