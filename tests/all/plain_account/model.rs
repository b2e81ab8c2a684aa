//! The plain model: the rules again, day by day, in plain numbers.

use super::draw::{Fixed, Raw, RawBadge, RawResult, RawShift, Value};

/// What the plain model finds in a span.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Plain {
    pub(super) record: i64,
    pub(super) provisional: i64,
    pub(super) prior: i64,
    pub(super) apportioned: i64,
    pub(super) undetermined: bool,
    pub(super) held: i64,
    pub(super) safe: i64,
    pub(super) safe_open: bool,
}

/// One shift's figures of a quantity.
#[derive(Clone, Copy)]
pub(super) struct Says {
    pub(super) dose: i64,
    pub(super) open: bool,
    pub(super) record: bool,
    pub(super) safe: i64,
    pub(super) safe_open: bool,
    pub(super) held: bool,
}

/// `result` says whether a result states the quantity for this shift.
pub(super) fn says(shift: &RawShift, lens: bool, result: bool) -> Says {
    let fixed = shift.fixed.filter(|it| !(result && (it.until || lens)));
    let second = shift.held.unwrap_or(0);
    let held = shift.held.is_some();
    match (fixed, shift.shows) {
        (Some(fixed), shows) => {
            let mut first = fixed.dose;
            if fixed.until {
                first = first.max(shows.unwrap_or(0));
            }
            Says {
                dose: fixed.dose,
                open: false,
                record: !fixed.until && !lens,
                safe: first.max(second),
                safe_open: false,
                held,
            }
        }
        (None, Some(shows)) => Says {
            dose: shows,
            open: false,
            record: false,
            safe: shows.max(second),
            safe_open: false,
            held,
        },
        (None, None) => Says {
            dose: 0,
            open: true,
            record: false,
            safe: second,
            safe_open: true,
            held,
        },
    }
}

/// What is decided of one badge.
pub(super) struct Verdict {
    /// Lump and whether it is of record; the shifts speak if none.
    pub(super) lump: Option<(i64, bool)>,
    /// The whole on the safe side; the shifts' own if none.
    pub(super) safe: Option<(i64, bool)>,
    /// Whether a result states the quantity.
    pub(super) result: bool,
}

/// What a badge's reports and shifts come to.
struct Sums<'r> {
    /// Results that count and state the quantity: entry, value, accepted.
    stated: Vec<(i64, Value, bool)>,
    /// The highest of those that wait for a ruling.
    waiting: Option<i64>,
    /// The highest deep dose, where the quantity is the lens.
    deep: Option<i64>,
    dose: i64,
    open: bool,
    /// The readings of the shifts that are not open.
    others: i64,
    safe: i64,
    safe_open: bool,
    held: bool,
    /// Determinations of single shifts that replace.
    replaced: Vec<Fixed>,
    members: &'r [&'r RawShift],
}

fn sums<'r>(badge: &RawBadge, members: &'r [&'r RawShift], lens: bool) -> Sums<'r> {
    let of = |it: &RawResult| if lens { it.lens } else { it.deep };
    let corrected = |entry: i64| {
        let mut counting = badge.results.iter().filter(|it| !it.held);
        counting.any(|it| it.corrects == Some(entry))
    };
    let live = || badge.results.iter().filter(|it| !corrected(it.entry));
    let counting = || live().filter(|it| !it.held);
    let mut stated: Vec<(i64, Value, bool)> = counting()
        .filter_map(|it| Some((it.entry, of(it)?, it.accepted)))
        .collect();
    stated.sort_by_key(|it| it.0);
    let waiting = live().filter(|it| it.held).filter_map(of);
    let deep = counting().filter(|_| lens).filter_map(|it| it.deep);
    let all: Vec<Says> = members
        .iter()
        .map(|it| says(it, lens, !stated.is_empty()))
        .collect();
    let fixed = members.iter().filter_map(|it| it.fixed);
    Sums {
        waiting: waiting.map(|it| it.dose).max(),
        deep: deep.map(|it| it.dose).max(),
        dose: all.iter().map(|it| it.dose).sum(),
        open: all.iter().any(|it| it.open),
        others: all.iter().filter(|it| !it.open).map(|it| it.dose).sum(),
        safe: all.iter().map(|it| it.safe).sum(),
        safe_open: all.iter().any(|it| it.safe_open),
        held: all.iter().any(|it| it.held),
        replaced: fixed.filter(|it| !it.until && !lens).collect(),
        stated,
        members,
    }
}

impl Sums<'_> {
    fn replaced_sum(&self) -> i64 {
        self.replaced.iter().map(|it| it.dose).sum()
    }
}

fn verdict(badge: &RawBadge, members: &[&RawShift], lens: bool) -> Verdict {
    let sums = sums(badge, members, lens);
    if sums.stated.is_empty() {
        return without_result(badge, &sums, lens);
    }
    let period = badge.fixed.filter(|it| !it.until && !lens);
    let mut meets: Vec<i64> = sums.replaced.iter().map(|it| it.entry).collect();
    meets.extend(period.map(|it| it.entry));
    // What determinations make of it.
    let mut by_rso = verdict_of(None, sums.safe, sums.safe_open);
    if let Some(period) = period {
        let held = if sums.held { sums.safe } else { 0 };
        let whole = period.dose.max(sums.replaced_sum()).max(held);
        by_rso = verdict_of(Some((period.dose, true)), whole, false);
    }
    let named = |entry: i64| {
        let settled = badge.settled.as_ref();
        settled.is_some_and(|(of, aside)| *of == entry || aside.contains(&entry))
    };
    let of_record = badge.settled.as_ref().map(|it| it.0);
    let waiting = sums.waiting.unwrap_or(0);
    if sums.stated.iter().all(|it| named(it.0)) {
        if meets.iter().any(|it| Some(*it) == of_record) {
            return by_rso.at_least(waiting);
        }
        let result = sums.stated.iter().find(|it| Some(it.0) == of_record);
        if let Some((_, value, _)) = result
            && meets.iter().all(|it| named(*it))
        {
            let readings = value.below || sums.held;
            let whole = value.dose.max(if readings { sums.safe } else { 0 });
            return verdict_of(Some((counted(*value), true)), whole, false).at_least(waiting);
        }
    }
    let first = sums.stated[0].1;
    let highest = sums.stated.iter().map(|it| it.1.dose).max().unwrap_or(0);
    let rso_dose = period.map_or((sums.dose, sums.open), |it| (it.dose, false));
    let agree = !sums.held
        && rso_dose == (counted(first), false)
        && sums.stated.iter().all(|it| counted(it.1) == counted(first));
    if !meets.is_empty() && !agree {
        return by_rso.at_least(highest).at_least(waiting);
    }
    result_stands(badge, &sums, lens, highest).at_least(waiting)
}

fn verdict_of(lump: Option<(i64, bool)>, whole: i64, open: bool) -> Verdict {
    Verdict {
        lump,
        safe: Some((whole, open)),
        result: true,
    }
}

impl Verdict {
    fn at_least(self, dose: i64) -> Verdict {
        Verdict {
            safe: self.safe.map(|(whole, open)| (whole.max(dose), open)),
            ..self
        }
    }
}

fn without_result(badge: &RawBadge, sums: &Sums<'_>, lens: bool) -> Verdict {
    if let Some(fixed) = badge.fixed {
        let mut whole = fixed
            .dose
            .max(sums.waiting.unwrap_or(0))
            .max(sums.replaced_sum());
        if fixed.until || sums.held {
            whole = whole.max(sums.safe);
        }
        return Verdict {
            lump: Some((fixed.dose, !fixed.until && !lens)),
            safe: Some((whole, false)),
            result: false,
        };
    }
    let other = sums.waiting.max(sums.deep);
    Verdict {
        lump: None,
        safe: other.map(|other| (other.max(sums.safe), sums.safe_open)),
        result: false,
    }
}

/// The first result is of record, and nothing contradicts it but another
/// result, or readings that leave nothing for an off-scale shift.
fn result_stands(badge: &RawBadge, sums: &Sums<'_>, lens: bool, highest: i64) -> Verdict {
    let (_, first, accepted) = sums.stated[0];
    let mut whole = first.dose;
    if !accepted {
        // Estimates until a result stay in until it is accepted.
        let estimate = |it: &&&RawShift| {
            let until = it.fixed.is_some_and(|fixed| fixed.until && !lens);
            says(it, lens, !until).safe
        };
        let estimated: i64 = sums.members.iter().map(|it| estimate(&it)).sum();
        let period = badge.fixed.filter(|_| !lens).map_or(0, |it| it.dose);
        whole = whole.max(estimated).max(period);
    }
    let differ = sums.stated.iter().any(|it| it.1 != first);
    if !accepted || first.below || sums.held || differ {
        whole = whole.max(sums.safe);
    }
    if differ {
        whole = whole.max(highest);
    }
    if sums.open && sums.others > counted(first) {
        return verdict_of(None, whole.max(sums.safe), sums.safe_open);
    }
    verdict_of(
        Some((counted(first), true)),
        whole,
        !accepted && sums.safe_open,
    )
}

pub(super) fn counted(value: Value) -> i64 {
    if value.below { 0 } else { value.dose }
}

/// What each day of a badge's period has of its lump.
pub(super) fn by_day(
    badge: &RawBadge,
    members: &[&RawShift],
    lump: i64,
    all: &[Says],
) -> Vec<(i64, i64)> {
    let mut shares = Vec::new();
    let closed: i64 = all.iter().filter(|it| !it.open).map(|it| it.dose).sum();
    let open = i64::try_from(all.iter().filter(|it| it.open).count()).unwrap();
    if open > 0 && closed <= lump {
        let mut nth = 0;
        for (shift, one) in members.iter().zip(all) {
            if one.open {
                let rest = lump - closed;
                shares.push((shift.day, rest * (nth + 1) / open - rest * nth / open));
                nth += 1;
            } else {
                shares.push((shift.day, one.dose));
            }
        }
    } else if closed > 0 {
        let mut before = 0_i128;
        for (shift, one) in members.iter().zip(all).filter(|it| !it.1.open) {
            let after = before + i128::from(one.dose);
            let step = |n: i128| i128::from(lump) * n / i128::from(closed);
            shares.push((
                shift.day,
                i64::try_from(step(after) - step(before)).unwrap(),
            ));
            before = after;
        }
    } else {
        let days = badge.last - badge.first + 1;
        for n in 0..days {
            shares.push((badge.first + n, lump * (n + 1) / days - lump * n / days));
        }
    }
    assert_eq!(shares.iter().map(|it| it.1).sum::<i64>(), lump);
    shares
}

/// The badge of a shift: on the day of an exchange the later one.
pub(super) fn badge_of(raw: &Raw, shift: &RawShift) -> Option<usize> {
    if shift.worn != Some(true) {
        return None;
    }
    let inside = |it: &RawBadge| it.first <= shift.day && shift.day <= it.last;
    raw.badges.iter().rposition(inside)
}

/// One badge with what is decided of it and what each day has of its lump.
struct Judged {
    verdict: Verdict,
    days: Vec<(i64, i64)>,
}

pub(super) fn plain(raw: &Raw, lens: bool, from: i64, to: i64) -> Plain {
    let mut found = Plain::default();
    let mut shifts: Vec<&RawShift> = raw.shifts.iter().collect();
    shifts.sort_by_key(|it| it.day);
    let mut judged = Vec::new();
    for (nth, badge) in raw.badges.iter().enumerate() {
        let mine = shifts.iter().filter(|it| badge_of(raw, it) == Some(nth));
        let members: Vec<&RawShift> = mine.copied().collect();
        judged.push(judge(&mut found, badge, &members, lens, from, to));
    }
    for (place, shift) in shifts.iter().enumerate() {
        let badge = badge_of(raw, shift);
        let about = badge.and_then(|it| judged.get(it));
        let one = says(shift, lens, about.is_some_and(|it| it.verdict.result));
        let inside = from <= shift.day && shift.day <= to;
        if inside && about.is_none_or(|it| it.verdict.lump.is_none()) {
            if one.record {
                found.record += one.dose;
            } else {
                found.provisional += one.dose;
            }
            found.undetermined |= one.open;
            found.held += i64::from(one.held);
        }
        let carried = shift.over && shift.day + 1 == from;
        match about.and_then(|it| it.verdict.safe.map(|safe| (it, safe.1))) {
            None if inside || carried => {
                found.safe += one.safe;
                found.safe_open |= one.safe_open;
            }
            Some((about, open))
                if carried && badge.is_some_and(|it| raw.badges[it].last == shift.day) =>
            {
                // What the lump has for it, or what its dosimeter showed.
                let before = shifts.iter().take(place);
                let nth = before.filter(|it| badge_of(raw, it) == badge).count();
                let share = share_at(&about.days, nth, &shifts, raw, badge);
                found.safe += share.max(one.safe);
                found.safe_open |= open && one.safe_open;
            }
            _ => {}
        }
    }
    lumps(&mut found, raw, lens, from, to);
    found
}

/// Decides one badge and counts its lump.
fn judge(
    found: &mut Plain,
    badge: &RawBadge,
    members: &[&RawShift],
    lens: bool,
    from: i64,
    to: i64,
) -> Judged {
    let verdict = verdict(badge, members, lens);
    let all: Vec<Says> = members
        .iter()
        .map(|it| says(it, lens, verdict.result))
        .collect();
    let mut days = Vec::new();
    if let Some((lump, record)) = verdict.lump {
        days = by_day(badge, members, lump, &all);
        let inside = days.iter().filter(|(day, _)| from <= *day && *day <= to);
        let inside: i64 = inside.map(|(_, dose)| dose).sum();
        match (from <= badge.first && badge.last <= to, record) {
            (true, true) => found.record += lump,
            (true, false) => found.provisional += lump,
            (false, _) => found.apportioned += inside,
        }
    }
    if let Some((whole, open)) = verdict.safe
        && badge.first <= to
        && from <= badge.last
    {
        found.safe += whole;
        found.safe_open |= open;
    }
    Judged { verdict, days }
}

/// Dose of other employers, and doses that add.
fn lumps(found: &mut Plain, raw: &Raw, lens: bool, from: i64, to: i64) {
    for today in from..=to {
        for (first, days, dose) in &raw.prior {
            let n = today - first;
            if (0..*days).contains(&n) {
                let step = dose * (n + 1) / days - dose * n / days;
                if from <= *first && first + days - 1 <= to {
                    found.prior += step;
                } else {
                    found.apportioned += step;
                }
            }
        }
        for (_, dose) in raw.added.iter().filter(|(day, _)| *day == today) {
            if lens {
                found.provisional += dose;
            } else {
                found.record += dose;
            }
            found.safe += dose;
        }
    }
    let reaching = raw
        .prior
        .iter()
        .filter(|(first, days, _)| *first <= to && from < first + days);
    found.safe += reaching.map(|it| it.2).sum::<i64>();
}

/// The share of a badge's nth shift, where its lump is spread by shifts.
pub(super) fn share_at(
    days: &[(i64, i64)],
    place: usize,
    shifts: &[&RawShift],
    raw: &Raw,
    badge: Option<usize>,
) -> i64 {
    let mine: Vec<i64> = shifts
        .iter()
        .filter(|it| badge_of(raw, it) == badge)
        .map(|it| it.day)
        .collect();
    let by_shift: Vec<i64> = days.iter().map(|it| it.0).collect();
    if mine == by_shift {
        return days[place].1;
    }
    // In proportion, an open shift has no share and no line.
    let day = mine[place];
    let same: Vec<i64> = days
        .iter()
        .filter(|it| it.0 == day)
        .map(|it| it.1)
        .collect();
    match same.as_slice() {
        [one] if by_shift.len() < mine.len() => *one,
        _ => 0,
    }
}
