//! What the conservative total takes of claims that share a shift: the highest that
//! they could make together.
//!
//! Two claims of different reach may both turn out to be right, the one for its
//! shifts and the other for the rest; two of the same shifts may not. Where
//! none of those that turn out right covers a shift, its own figures count.
//! No order of entry changes it, and one claim more never lowers it, but for
//! a result that the RSO accepted and a determination that takes the place of
//! readings alone.

use crate::calendar::{Day, Span};
use crate::dose::resolve::claim::known;
use crate::dose::resolve::live::Source;
use crate::dose::resolve::share::Lump;
use crate::dose::resolve::why::Why;
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};

/// Claims that share shifts, and the shifts.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    /// The claim that is named first.
    pub source: Source,
    /// Its entry.
    pub entry: i64,
    /// From the first day of all to the last.
    pub days: Span,
    /// Why the conservative total may be above the account.
    pub why: Why,
    /// Whether it counts apart, in a planned special exposure.
    pub special: bool,
    /// Whether it is dose received with this licensee.
    pub own: bool,
    /// The class, where account and conservative total are one figure.
    pub class: Class,
    /// Whether it says that nobody measured the quantity.
    pub(super) unassessed: bool,
    pub(super) claims: Vec<Part>,
    pub(super) members: Vec<Member>,
    /// The sets of claims that could be right together, as bits; none where
    /// there are too many to try.
    pub(super) choices: Option<Vec<u32>>,
    /// What the account counts of its claims.
    pub(super) counted: Vec<Lump>,
}

/// One claim of a group.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// The claim; none where a shift speaks for itself.
    pub(super) source: Option<Source>,
    /// The days on which the conservative total counts it, whole.
    pub(super) days: Span,
    pub(super) at_most: Dose,
    /// What the shifts show counts for it, where that is more.
    pub(super) or_readings: bool,
    /// It takes the place of readings: of them what waits for somebody is left.
    pub(super) replaces: bool,
    /// It is of the deep dose, and ends where a result states the quantity.
    pub(super) stands_in: bool,
    /// It is a report that states the quantity, on hold or not.
    pub(super) states: bool,
    /// Its members by their places in the group.
    pub(super) covers: Vec<usize>,
    /// Whether it has no upper bound whatever its shifts have.
    pub(super) open: bool,
    /// Whether somebody has to answer for its open shifts yet.
    pub(super) waits: bool,
    /// It stands so only if a badge on hold is ruled out.
    pub(super) otherwise: bool,
}

/// One shift of a group.
#[derive(Clone, Debug)]
pub(super) struct Member {
    pub(super) at: usize,
    pub(super) day: Day,
    /// What its readings show, where nothing else counts for it.
    pub(super) own: Dose,
    /// What of them waits for somebody.
    pub(super) waiting: Dose,
    pub(super) open: bool,
    pub(super) special: bool,
    /// What the account counts of it where no claim speaks for it.
    pub(super) counted: Dose,
    /// It ran over midnight, and a claim that covers it counts on the day after:
    /// where that claim is not right, what it shows does.
    pub(super) reaches_over: bool,
}

impl Group {
    /// One dose that stands for itself.
    pub(super) fn of_one(
        source: Source,
        entry: i64,
        days: Span,
        safe_days: Span,
        (safe, class, why): (Amount, Class, Why),
        (special, own): (bool, bool),
    ) -> Group {
        Group {
            source,
            entry,
            days,
            why,
            special,
            own,
            class,
            unassessed: safe == Amount::NotAssessed,
            claims: vec![Part {
                source: Some(source),
                days: safe_days,
                at_most: known(safe),
                or_readings: false,
                replaces: false,
                stands_in: false,
                states: false,
                covers: Vec::new(),
                open: safe.is_undetermined(),
                waits: false,
                otherwise: false,
            }],
            members: Vec::new(),
            choices: Some(vec![1]),
            counted: Vec::new(),
        }
    }

    /// Whether the conservative total of a span counts anything of it.
    pub(crate) fn is_in(&self, span: Span) -> bool {
        !self.special
            && (self.claims.iter().any(|it| it.days.overlaps(&span))
                || self.members.iter().any(|it| span.contains(it.day)))
    }

    /// The first day on which the conservative total counts anything of it.
    pub(crate) fn first_day(&self) -> Day {
        let claims = self.claims.iter().map(|it| it.days.first);
        claims.min().unwrap_or(self.days.first)
    }

    /// The days on which what the conservative total counts of it can grow, each claim
    /// being counted whole from its first day on.
    pub(crate) fn steps(&self) -> impl Iterator<Item = Day> {
        let shifts = self.members.iter().map(|it| it.day);
        self.claims.iter().map(|it| it.days.first).chain(shifts)
    }

    /// Whether a claim is part of it.
    pub(crate) fn counts(&self, source: Source) -> bool {
        self.claims.iter().any(|it| it.source == Some(source))
    }

    /// The shifts of it, by their places.
    pub(crate) fn shifts(&self) -> impl Iterator<Item = usize> {
        self.members.iter().map(|it| it.at)
    }

    /// Whether a claim that covers a shift of this day counts on the days after
    /// it as well.
    pub(super) fn reaches_past(&self, at: usize, day: Day) -> bool {
        let place = self.members.iter().position(|it| it.at == at);
        let covers = |it: &&Part| place.is_some_and(|place| it.covers.contains(&place));
        self.claims
            .iter()
            .filter(covers)
            .any(|it| it.days.last > day)
    }

    /// Whether a shift of it has no upper bound.
    pub(super) fn is_open_at(&self, at: usize) -> bool {
        self.members.iter().any(|it| it.at == at && it.open)
    }

    /// What the conservative total of a span counts of it.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub(crate) fn safe(&self, span: Span) -> Result<Amount, Overflow> {
        if self.unassessed {
            return Ok(Amount::NotAssessed);
        }
        let open_claim = self.claims.iter().any(|part| {
            let mut covers = part.covers.iter().filter_map(|at| self.members.get(*at));
            part.days.overlaps(&span) && (part.open || part.waits && covers.any(|it| it.open))
        });
        let inside = |it: &&Member| span.contains(it.day) && !it.special;
        let open = open_claim || self.members.iter().filter(inside).any(|it| it.open);
        let known = match &self.choices {
            Some(choices) => {
                let mut most = Dose::ZERO;
                for choice in choices {
                    most = most.max(self.sum(span, *choice)?);
                }
                most
            }
            None => {
                let meets = self.claims.iter();
                let meets = meets.filter(|it| it.days.overlaps(&span) && !it.otherwise);
                let own = self.members.iter().map(|it| it.own);
                Dose::sum(meets.map(|it| it.at_most).chain(own))?
            }
        };
        Ok(Amount::of(known.max(self.counted(span)?), open))
    }

    /// What the account counts of it in a span: where it adds up what the conservative total takes
    /// for two words about one dose, the conservative total is not below it.
    fn counted(&self, span: Span) -> Result<Dose, Overflow> {
        let lumps = self.counted.iter().filter_map(|it| it.within(span));
        let inside = |it: &&Member| span.contains(it.day) && !it.special;
        let alone = self.members.iter().filter(inside).map(|it| it.counted);
        Dose::sum(lumps.map(|(_, amount)| known(amount)).chain(alone))
    }

    /// What a span has if just these claims are right: the whole of each that
    /// meets it, and what the shifts that none of them covers show.
    fn sum(&self, span: Span, choice: u32) -> Result<Dose, Overflow> {
        let right = || {
            let all = self.claims.iter().enumerate();
            all.filter(|(nth, _)| choice & (1 << nth) != 0)
                .map(|(_, it)| it)
        };
        let mut sum = Dose::ZERO;
        for part in right().filter(|it| it.days.overlaps(&span)) {
            let mut value = part.at_most;
            if part.or_readings {
                let members = part.covers.iter();
                let shown = members.filter_map(|place| {
                    let member = self.members.get(*place)?;
                    // What stands in ends where a right report states the quantity.
                    let stated = right().any(|it| it.states && it.covers.contains(place));
                    let replaced = right().any(|it| {
                        let ends = it.stands_in && stated;
                        it.replaces && !ends && it.covers.contains(place)
                    });
                    Some(match replaced {
                        true => member.waiting,
                        false => member.own,
                    })
                });
                value = value.max(Dose::sum(shown)?);
            }
            sum = sum.checked_add(value)?;
        }
        for (place, member) in self.members.iter().enumerate() {
            let alone = !right().any(|it| it.covers.contains(&place));
            let over = member.reaches_over && member.day.succ_opt() == Some(span.first);
            if alone && (over || span.contains(member.day)) && !member.special {
                sum = sum.checked_add(member.own)?;
            }
        }
        Ok(sum)
    }
}

/// The group of each shift, by its place.
pub(super) fn grouped(groups: &[Group], shifts: usize) -> Vec<Option<usize>> {
    let mut of = vec![None; shifts];
    for (nth, group) in groups.iter().enumerate() {
        for at in group.shifts() {
            if let Some(slot) = of.get_mut(at) {
                *slot = Some(nth);
            }
        }
    }
    of
}
