//! Which moments of writing can be trusted. The order of entries is certain, their clock is not:
//! a computer's clock may have been years ahead, or set back for a while.
//!
//! Pure: from what the clock said at each write, in order, to what of it contradicts the rest.
//! Where one clock clearly was the odd one, it alone is in doubt; where either may have been
//! wrong, both are. What is in doubt lies somewhere between its trustworthy neighbours.

use std::sync::{Arc, Mutex};

use chrono::TimeDelta;

use super::entry::Instant;

/// What the clock said once: at the writing of entries, or when a copy left the ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// The first entry that was written then; of a copy the newest entry in it.
    pub first: i64,
    /// The last entry that was written then.
    pub last: i64,
    /// What the clock said.
    pub at: Instant,
    /// Whether it is of a copy, and not of entries.
    pub copy: bool,
}

impl Reading {
    /// The first entry that surely was written then or later.
    const fn next(&self) -> i64 {
        if self.copy { self.last + 1 } else { self.first }
    }
}

/// Why a moment of writing is in doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// The clock was ahead: it jumped forward, and later entries have it back.
    Ahead,
    /// The clock was behind: earlier entries have it later already, and since then it has not
    /// jumped forward by as much.
    Behind,
    /// This clock or the one that contradicts it was wrong.
    Either,
}

/// Entries in a row whose moments of writing are in doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Doubted {
    /// The first of them.
    pub first: i64,
    /// The last.
    pub last: i64,
    /// What the clock said at the first.
    pub says: Instant,
    /// Why.
    pub why: Why,
    /// What a trustworthy clock said before them.
    pub after: Option<Reading>,
    /// What a trustworthy clock said after them.
    pub before: Option<Reading>,
}

/// Between which moments an entry was written; nothing where no trustworthy clock tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// Not before.
    pub earliest: Option<Instant>,
    /// Not after.
    pub latest: Option<Instant>,
}

/// How entries lie to a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cut {
    /// The newest entry that surely was written by then; 0 where there is none.
    pub known: i64,
    /// The newest entry of which it cannot be told; the same where it can be of all.
    pub unsure: i64,
}

impl Cut {
    /// The same for something that was written down in an entry: whatever is in the ledger
    /// from that entry on came later, whatever any clock says.
    pub fn told_in(self, entry: i64) -> Cut {
        Cut {
            known: self.known.min(entry - 1),
            unsure: self.unsure.min(entry - 1),
        }
    }

    /// The first and the last entry of which it cannot be told.
    pub fn unsure_entries(&self) -> Option<[i64; 2]> {
        (self.known < self.unsure).then_some([self.known + 1, self.unsure])
    }

    /// Whether it cannot be told of an entry.
    pub const fn is_unsure(&self, entry: i64) -> bool {
        self.known < entry && entry <= self.unsure
    }
}

/// What of a ledger's moments of writing can be trusted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clocks {
    /// In order; nothing where every one can be trusted.
    readings: Vec<(Reading, Option<Why>)>,
}

impl Clocks {
    /// Judges readings in the order in which they were made: entries by number, a copy after the
    /// newest entry in it. `longest` is the longest pause that the clock is believed without
    /// question.
    pub fn judge(readings: &[Reading], longest: TimeDelta) -> Clocks {
        let why = Scan::new(readings, longest).run();
        if why.iter().all(Option::is_none) {
            return Clocks::default();
        }
        Clocks {
            readings: readings.iter().copied().zip(why).collect(),
        }
    }

    /// Whether no moment of writing is in doubt.
    pub fn all_trusted(&self) -> bool {
        self.readings.is_empty()
    }

    fn place(&self, entry: i64) -> Option<usize> {
        let after = self.readings.partition_point(|(it, _)| it.next() <= entry);
        let found = self.readings.get(..after)?;
        found.iter().rposition(|(it, _)| !it.copy)
    }

    /// Whether the moment of an entry is in doubt.
    pub fn is_doubted(&self, entry: i64) -> bool {
        let found = self.place(entry).and_then(|at| self.readings.get(at));
        found.is_some_and(|(_, why)| why.is_some())
    }

    /// The last trustworthy reading before a place.
    fn trusted_before(&self, place: usize) -> Option<Reading> {
        let before = self.readings.get(..place)?;
        let found = before.iter().rfind(|(_, why)| why.is_none());
        found.map(|(it, _)| *it)
    }

    /// The first trustworthy reading after a place.
    fn trusted_after(&self, place: usize) -> Option<Reading> {
        let after = self.readings.get(place + 1..)?;
        let found = after.iter().find(|(_, why)| why.is_none());
        found.map(|(it, _)| *it)
    }

    /// Between which moments an entry was written; what it says itself where that is trusted.
    pub fn bounds(&self, entry: i64, says: Instant) -> Bounds {
        match self.place(entry).filter(|_| self.is_doubted(entry)) {
            Some(place) => Bounds {
                earliest: self.trusted_before(place).map(|it| it.at),
                latest: self.trusted_after(place).map(|it| it.at),
            },
            None => Bounds {
                earliest: Some(says),
                latest: Some(says),
            },
        }
    }

    /// Every run of entries whose moments are in doubt.
    pub fn doubted(&self) -> Vec<Doubted> {
        let mut runs: Vec<Doubted> = Vec::new();
        let mut open = false;
        for (place, (it, why)) in self.readings.iter().enumerate() {
            let Some(why) = *why else {
                open = false;
                continue;
            };
            if it.copy {
                continue;
            }
            match runs.last_mut().filter(|run| open && run.why == why) {
                Some(run) => run.last = it.last,
                None => runs.push(Doubted {
                    first: it.first,
                    last: it.last,
                    says: it.at,
                    why,
                    after: self.trusted_before(place),
                    before: self.trusted_after(place),
                }),
            }
            open = true;
        }
        runs
    }

    /// How entries lie to a moment, where some are in doubt.
    pub fn cut(&self, moment: Instant, newest: i64) -> Cut {
        let trusted = || self.readings.iter().filter(|(_, why)| why.is_none());
        let known = trusted().filter(|(it, _)| it.at <= moment);
        let later = trusted().find(|(it, _)| it.at > moment);
        Cut {
            known: known.map(|(it, _)| it.last).max().unwrap_or(0),
            unsure: later.map_or(newest, |(it, _)| it.next() - 1),
        }
    }
}

/// What the clock said at the entry before a write, and at the write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClockSays {
    /// The entry before.
    pub entry: i64,
    /// What the clock said there.
    pub before: Instant,
    /// What it said at the write.
    pub now: Instant,
}

/// Where a ledger notes it for somebody who outlives it.
#[derive(Debug, Clone, Default)]
pub struct ClockNote(Arc<Mutex<Option<ClockSays>>>);

impl ClockNote {
    pub(super) fn put(&self, entry: i64, before: Instant, now: Instant) {
        if let Ok(mut note) = self.0.lock() {
            *note = Some(ClockSays { entry, before, now });
        }
    }

    /// Takes the note of the last write, if there was one.
    pub fn take(&self) -> Option<ClockSays> {
        self.0.lock().ok()?.take()
    }
}

/// Of two sides that contradict each other, and nothing else tells which is wrong, the one with
/// so many times fewer readings is the odd one.
const MANY: usize = 3;

/// A clock that ran ahead may have been set wrong the night before.
const NIGHT: TimeDelta = TimeDelta::days(1);

/// The clock went back, and has not jumped forward by as much since.
struct SetBack {
    /// The reading that shows it.
    first: usize,
    /// By how much at the least.
    by: TimeDelta,
    /// What the clock said last.
    last: Instant,
    /// How many readings there are since.
    count: usize,
    /// Whether all that stands contradicts it.
    against_all: bool,
    /// Whether the clock may as well have been ahead before.
    either: bool,
}

/// One pass over the readings.
struct Scan<'r> {
    readings: &'r [Reading],
    longest: TimeDelta,
    why: Vec<Option<Why>>,
    /// Readings that no later one has shown to be the odd ones, by place; their moments never
    /// run backwards.
    standing: Vec<usize>,
    set_back: Option<SetBack>,
}

impl<'r> Scan<'r> {
    fn new(readings: &'r [Reading], longest: TimeDelta) -> Scan<'r> {
        Scan {
            readings,
            longest,
            why: vec![None; readings.len()],
            standing: Vec::new(),
            set_back: None,
        }
    }

    fn run(mut self) -> Vec<Option<Why>> {
        let mut place = 0;
        while let Some(reading) = self.readings.get(place) {
            self.next(place, reading.at);
            place = self.begin_again().unwrap_or(place + 1);
        }
        self.why
    }

    fn at(&self, place: usize) -> Instant {
        self.readings
            .get(place)
            .map_or(Instant::MIN_UTC, |it| it.at)
    }

    fn top(&self) -> Option<Instant> {
        self.standing.last().map(|it| self.at(*it))
    }

    fn doubt(&mut self, place: usize, why: Why) {
        if let Some(it) = self.why.get_mut(place) {
            *it = Some(why);
        }
    }

    fn next(&mut self, place: usize, now: Instant) {
        if self.is_set_right(now) {
            self.set_back = None;
        }
        if self.set_back.is_some() {
            self.goes_on(place, now);
            return;
        }
        while self.drop_far_ahead(now) {}
        match self.top() {
            Some(top) if now < top => self.goes_back(place, now, top),
            _ => self.standing.push(place),
        }
    }

    /// Whether a clock that was set back has jumped forward by as much, or by more than any pause.
    fn is_set_right(&self, now: Instant) -> bool {
        let caught_up = self.top().is_none_or(|top| top <= now);
        let jumped = |it: &SetBack| now - it.last >= it.by.min(self.longest);
        caught_up && self.set_back.as_ref().is_some_and(jumped)
    }

    /// A further reading of a clock that was set back.
    fn goes_on(&mut self, place: usize, now: Instant) {
        let (top, longest) = (self.top(), self.longest);
        let Some(back) = &mut self.set_back else {
            return;
        };
        let advance = now - back.last;
        back.last = now;
        back.count += 1;
        let why = if back.either {
            Why::Either
        } else {
            Why::Behind
        };
        match top {
            // It was set anew, and still is behind.
            Some(top) if now < top && (advance < TimeDelta::zero() || advance > longest) => {
                back.by = top - now;
                let either = self.is_either(now, top - now);
                self.contradict(place, now, either);
            }
            _ => self.doubt(place, why),
        }
    }

    /// The clock says less than what stands.
    fn goes_back(&mut self, place: usize, now: Instant, top: Instant) {
        let by = top - now;
        let against_all = self.first_above(now) == 0;
        let either = self.is_either(now, by);
        self.contradict(place, now, either);
        self.set_back = Some(SetBack {
            first: place,
            by,
            last: now,
            count: 1,
            against_all,
            either,
        });
    }

    fn contradict(&mut self, place: usize, now: Instant, either: bool) {
        if !either {
            self.doubt(place, Why::Behind);
            return;
        }
        self.doubt(place, Why::Either);
        let above = self.standing.split_off(self.first_above(now));
        for it in &above {
            self.doubt(*it, Why::Either);
        }
        self.standing.extend(above);
    }

    /// The first place in `standing` that is later than a moment.
    fn first_above(&self, now: Instant) -> usize {
        self.standing.partition_point(|it| self.at(*it) <= now)
    }

    /// Takes out what stands after a jump that is longer than any pause, where the clock is back
    /// near to what it said before the jump. Says whether there was any.
    fn drop_far_ahead(&mut self, now: Instant) -> bool {
        let above = self.first_above(now);
        let mut from = None;
        let mut ran = TimeDelta::zero();
        for n in (above.max(1)..self.standing.len()).rev() {
            let (Some(before), Some(it)) = (self.standing.get(n - 1), self.standing.get(n)) else {
                break;
            };
            let base = self.at(*before);
            let step = self.at(*it) - base;
            if step <= self.longest {
                ran += step;
                continue;
            }
            // A clock that ran on for a year after the jump is not back a day after it.
            let back = now - base + self.longest;
            if back >= TimeDelta::zero() && ran <= back {
                from = Some(n);
            }
        }
        let Some(from) = from else {
            return false;
        };
        for it in self.standing.split_off(from) {
            self.doubt(it, Why::Ahead);
        }
        true
    }

    /// Whether the clock may have been ahead before, and is right now: somewhere before it
    /// jumped forward by as much as it went back, or too little stands to say which is wrong.
    fn is_either(&self, now: Instant, by: TimeDelta) -> bool {
        if self.standing.len() < MANY && self.first_above(now) == 0 {
            return true;
        }
        let earliest = now - by - NIGHT;
        let window = self.standing.partition_point(|it| self.at(*it) < earliest);
        let window = self.standing.get(window.saturating_sub(1)..);
        let mut steps = window.unwrap_or_default().windows(2);
        steps.any(|step| match step {
            [one, other] => self.at(*other) - self.at(*one) >= by,
            _ => false,
        })
    }

    /// Where everything that stands was written under one clock and many times more under
    /// another since, the few at the beginning are the odd ones: the place from which to judge
    /// anew.
    fn begin_again(&mut self) -> Option<usize> {
        let outnumbered =
            |it: &SetBack| it.against_all && it.count >= MANY * self.standing.len().max(1);
        let back = self.set_back.take_if(|it| outnumbered(it))?;
        let ran = back.last - self.at(back.first);
        if back.by.max(ran) <= self.longest {
            self.set_back = Some(back);
            return None;
        }
        for it in std::mem::take(&mut self.standing) {
            self.doubt(it, Why::Ahead);
        }
        for it in self.why.iter_mut().skip(back.first) {
            *it = None;
        }
        Some(back.first)
    }
}
