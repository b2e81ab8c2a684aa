//! Raw numbers of a history, and how they are drawn.

use super::DAYS;

#[derive(Clone, Debug)]
pub(super) struct RawShift {
    pub(super) day: i64,
    pub(super) over: bool,
    pub(super) worn: Option<bool>,
    /// The badge that the sheet names, by its place.
    pub(super) named: Option<usize>,
    /// What the dosimeter showed; off-scale without a number.
    pub(super) shows: Option<i64>,
    /// A second dosimeter that counts.
    pub(super) second: Option<i64>,
    /// A further dosimeter whose reading is on hold.
    pub(super) held: Option<i64>,
    /// It is held because it shows more than it can show.
    pub(super) beyond: bool,
}

impl RawShift {
    /// Whether a dosimeter was off its scale.
    pub(super) fn off(&self) -> bool {
        self.shows.is_none() || self.beyond
    }
}

/// What a determination is about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum About {
    /// The first dosimeter of a shift.
    Reading(usize),
    /// A whole shift.
    Shift(usize),
    /// First day, last day.
    Days(i64, i64),
    /// A badge, and the last day that it covers of one still worn.
    Badge(usize, i64),
}

#[derive(Clone, Debug)]
pub(super) struct RawFixed {
    pub(super) entry: i64,
    /// When it was first told; smaller than the entry once it was corrected.
    pub(super) told: i64,
    pub(super) about: About,
    pub(super) until: bool,
    /// Of the lens; else of the deep dose.
    pub(super) lens: bool,
    pub(super) dose: i64,
    /// The most that it can be.
    pub(super) high: i64,
    /// Only known to be above its dose.
    pub(super) above: bool,
    pub(super) supersedes: Vec<i64>,
}

#[derive(Clone, Debug)]
pub(super) struct RawBadge {
    pub(super) first: i64,
    /// Unset while it is worn.
    pub(super) last: Option<i64>,
    pub(super) planned: i64,
    /// On hold, and nobody ruled on it.
    pub(super) held: bool,
    pub(super) results: Vec<RawResult>,
}

#[derive(Clone, Debug)]
pub(super) struct RawResult {
    pub(super) entry: i64,
    pub(super) told: i64,
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

/// What was chosen between claims.
#[derive(Clone, Debug)]
pub(super) struct RawChoice {
    pub(super) entry: i64,
    pub(super) stands: Vec<i64>,
    pub(super) rest: Option<i64>,
    pub(super) aside: Vec<i64>,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Raw {
    pub(super) shifts: Vec<RawShift>,
    pub(super) badges: Vec<RawBadge>,
    pub(super) fixed: Vec<RawFixed>,
    pub(super) choices: Vec<RawChoice>,
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

    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[usize::try_from(self.below(i64::try_from(all.len()).unwrap())).unwrap()]
    }
}

pub(super) fn draw(seed: u64) -> Raw {
    let mut draw = Draw(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let mut entry = 100;
    let mut next = || {
        entry += 2;
        entry
    };
    let mut raw = Raw::default();
    badges(&mut draw, &mut raw);
    for _ in 0..draw.below(25) {
        let off_scale = draw.one_in(8);
        let named = draw.one_in(4) && !raw.badges.is_empty();
        let mut shift = RawShift {
            day: draw.below(DAYS),
            over: draw.one_in(4),
            worn: draw.of(&[Some(true), Some(true), Some(true), Some(false), None]),
            named: named.then(|| {
                let count = i64::try_from(raw.badges.len()).unwrap();
                usize::try_from(draw.below(count)).unwrap()
            }),
            shows: (!off_scale).then(|| draw.below(4) * draw.below(500_001)),
            second: draw.one_in(9).then(|| draw.below(900_001)),
            held: draw.one_in(9).then(|| draw.below(900_001)),
            beyond: false,
        };
        // Without a draw of its own, so that the histories stay what they were.
        shift.beyond = shift.held.is_some_and(|it| it % 2 == 1);
        raw.shifts.push(shift);
    }
    for place in 0..raw.badges.len() {
        let results = results(&mut draw, &mut next, &raw, place);
        raw.badges[place].results = results;
    }
    fixed(&mut draw, &mut next, &mut raw);
    choices(&mut draw, &mut next, &mut raw);
    amend(&mut draw, &mut next, &mut raw);
    for _ in 0..draw.below(3) {
        let prior = (draw.below(DAYS), draw.below(60) + 1, draw.below(9_000_001));
        raw.prior.push(prior);
    }
    if draw.one_in(4) {
        raw.added.push((draw.below(DAYS), draw.below(2_000_001)));
    }
    raw
}

/// One badge after the other: the next on the same day, the day after, after a
/// gap, or while the last is not handed in yet; the newest maybe still worn.
fn badges(draw: &mut Draw, raw: &mut Raw) {
    let mut day = draw.below(20);
    while day < DAYS && raw.badges.len() < 7 {
        let planned = day + draw.below(60);
        let last = match draw.below(6) {
            0 => planned + draw.below(12),
            1 => day + draw.below(planned - day + 1),
            _ => planned,
        };
        raw.badges.push(RawBadge {
            first: day,
            last: Some(last),
            planned,
            held: false,
            results: Vec::new(),
        });
        // Nobody is issued two on one day.
        day = (planned + draw.below(3) * draw.below(9)).max(day + 1);
    }
    if draw.one_in(3)
        && let Some(newest) = raw.badges.last_mut()
    {
        newest.last = None;
    }
    if draw.one_in(3) && !raw.badges.is_empty() {
        second(draw, raw);
    }
}

/// A further badge of the same person, issued while another is worn.
fn second(draw: &mut Draw, raw: &mut Raw) {
    let count = i64::try_from(raw.badges.len()).unwrap();
    let other = &raw.badges[usize::try_from(draw.below(count)).unwrap()];
    let same = draw.one_in(3);
    let first = match same {
        true => other.first,
        false => other.first + draw.below(other.planned - other.first + 1),
    };
    let planned = match same {
        true => other.planned,
        false => first + draw.below(50),
    };
    let last = match draw.below(6) {
        0 => None,
        1 => Some(planned + draw.below(12)),
        _ => Some(planned),
    };
    raw.badges.push(RawBadge {
        first,
        last,
        planned,
        held: draw.one_in(3),
        results: Vec::new(),
    });
}

fn results(
    draw: &mut Draw,
    next: &mut impl FnMut() -> i64,
    raw: &Raw,
    place: usize,
) -> Vec<RawResult> {
    let badge = &raw.badges[place];
    let last = badge.last.unwrap_or(badge.planned);
    // A result near the readings as often as far from them.
    let inside = raw.shifts.iter();
    let inside = inside.filter(|it| badge.first <= it.day && it.day <= last);
    let sum: i64 = inside.map(|it| it.shows.unwrap_or(0)).sum();
    let value = |draw: &mut Draw| {
        let (dose, below) = match draw.below(6) {
            0 => (100_000, true),
            1 => (sum, false),
            2 => (draw.below(200_001), false),
            _ => (sum + draw.below(3_000_001), false),
        };
        Value { dose, below }
    };
    let mut results = Vec::new();
    for _ in 0..draw.of(&[0, 1, 1, 1, 2]) {
        let earlier = results.first().map(|it: &RawResult| it.entry);
        let entry = next();
        results.push(RawResult {
            entry,
            told: entry,
            deep: (!draw.one_in(8)).then(|| value(draw)),
            lens: draw.one_in(3).then(|| value(draw)),
            accepted: draw.one_in(2),
            corrects: earlier.filter(|_| draw.one_in(2)),
            held: draw.one_in(7),
        });
    }
    results
}

fn fixed(draw: &mut Draw, next: &mut impl FnMut() -> i64, raw: &mut Raw) {
    for _ in 0..draw.of(&[0, 1, 1, 2, 3, 5]) {
        let of = |count: usize| i64::try_from(count).unwrap();
        let shift = |draw: &mut Draw| usize::try_from(draw.below(of(raw.shifts.len()))).unwrap();
        let about = match draw.below(5) {
            0 | 1 if !raw.shifts.is_empty() => About::Reading(shift(draw)),
            2 if !raw.shifts.is_empty() => About::Shift(shift(draw)),
            3 if !raw.badges.is_empty() => {
                let place = usize::try_from(draw.below(of(raw.badges.len()))).unwrap();
                let badge = &raw.badges[place];
                About::Badge(place, badge.first + draw.below(40))
            }
            _ if raw.shifts.is_empty() => About::Days(30, 40),
            _ => {
                // Around a shift, so that it is about something.
                let first = raw.shifts[shift(draw)].day - draw.below(3);
                About::Days(first, first + draw.of(&[0, 0, 3, 20, 70]))
            }
        };
        let earlier: Vec<i64> = raw
            .fixed
            .iter()
            .map(|it| it.entry)
            .chain(
                raw.badges
                    .iter()
                    .flat_map(|it| &it.results)
                    .map(|it| it.entry),
            )
            .collect();
        let entry = next();
        let supersedes = match draw.one_in(4) && !earlier.is_empty() {
            true => vec![draw.of(&earlier)],
            false => Vec::new(),
        };
        let dose = draw.of(&[0, 400_000, 1_000_000, 3_000_000]) + draw.below(500_001);
        let range = draw.of(&[0, 0, 0, 0, 700_000, 5_000_000]);
        raw.fixed.push(RawFixed {
            entry,
            told: entry,
            about,
            until: draw.one_in(2),
            lens: draw.one_in(5),
            dose,
            high: dose + range,
            above: draw.one_in(8),
            supersedes,
        });
    }
}

fn choices(draw: &mut Draw, next: &mut impl FnMut() -> i64, raw: &mut Raw) {
    let results = raw.badges.iter().flat_map(|it| &it.results);
    let mut all: Vec<i64> = results.map(|it| it.entry).collect();
    all.extend(raw.fixed.iter().map(|it| it.entry));
    for _ in 0..draw.of(&[0, 0, 1, 2]) {
        if all.len() < 2 {
            return;
        }
        let stands = draw.of(&all);
        let other = draw.of(&all);
        if other == stands {
            continue;
        }
        // Two reports of one badge speak of the same shifts: nothing is left for one of them, and
        // no command decides so.
        let reports = |entry: i64| move |it: &RawResult| it.entry == entry;
        let of_one_badge = raw.badges.iter().any(|it| {
            it.results.iter().any(reports(stands)) && it.results.iter().any(reports(other))
        });
        let both = draw.one_in(3) && !of_one_badge;
        raw.choices.push(RawChoice {
            entry: next(),
            stands: if both {
                vec![stands, other]
            } else {
                vec![stands]
            },
            rest: both.then_some(other),
            aside: if both { Vec::new() } else { vec![other] },
        });
    }
}

/// A corrected record has another entry, of which no choice speaks; it was told
/// when it was first told.
fn amend(draw: &mut Draw, next: &mut impl FnMut() -> i64, raw: &mut Raw) {
    if draw.one_in(6)
        && let Some(one) = raw.fixed.last_mut()
    {
        one.entry = next();
        one.dose /= 2;
        one.high /= 2;
    }
    if draw.one_in(6)
        && let Some(result) = raw.badges.iter_mut().find_map(|it| it.results.last_mut())
    {
        result.entry = next();
        result.deep = result.deep.map(|it| Value {
            dose: it.dose / 2,
            ..it
        });
    }
}
