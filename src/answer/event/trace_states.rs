//! The states of the ledger that a trace compares: what was written before an event, what may have
//! been, and what is written now.

use super::happened::Happened;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::Day;
use crate::ledger::{Cut, Snapshot, Stored};
use crate::record::{InstalledPart, RecordId};
use crate::trace::known::Learned;
use crate::trace::occurred::{DoneAt, Occurred};

/// One state of the ledger.
pub(crate) struct State<'h> {
    pub snapshot: Snapshot<'h>,
    pub house: House,
}

impl State<'_> {
    pub fn open(&self) -> OpenHouse<'_> {
        self.house.open(&self.snapshot)
    }
}

/// The two states that a trace compares.
pub(crate) struct Both<'h> {
    /// Before the event; nothing where the ledger is younger.
    pub then: Option<State<'h>>,
    /// The newest entry of that state, and that of the entries that may be of it.
    pub cut: Cut,
    /// The ledger with those entries; nothing where the order of every entry is known.
    pub perhaps: Option<State<'h>>,
    pub now: &'h OpenHouse<'h>,
    pub event: &'h Happened,
    /// When it occurred, in the ledger's zone, in which hours of inspections are written; of a
    /// moment that is not known the earliest, by which rules and lists are chosen.
    pub moment: DoneAt,
    /// From when to when it may have occurred.
    pub when: Occurred,
}

impl<'h> Both<'h> {
    pub fn load(now: &'h OpenHouse<'h>, event: &'h Happened) -> Result<Both<'h>, AnswerError> {
        // What was written when it may have occurred was not surely written before it.
        let cut = |at| now.snapshot.cut(&now.clocks, at);
        let first = event.occurred_when.earliest;
        let known = first.map(cut).transpose()?.map_or(0, |it| it.known);
        let unsure = cut(event.occurred_by)?.unsure;
        // Whatever stands from the event's own first entry on was written after the event.
        let cut = Cut { known, unsure }.told_in(event.record);
        let state = |entry: i64| -> Result<State<'h>, AnswerError> {
            let snapshot = now.snapshot.as_of(entry);
            let house = House::load(&snapshot)?;
            Ok(State { snapshot, house })
        };
        let none = (cut.known, cut.unsure);
        Ok(Both {
            then: (none.0 > 0).then(|| state(cut.known)).transpose()?,
            perhaps: (none.1 > none.0).then(|| state(cut.unsure)).transpose()?,
            cut,
            now,
            event,
            moment: local(now, event.occurred),
            when: Occurred::between(
                first.map(|it| local(now, it)),
                local(now, event.occurred_by),
            ),
        })
    }

    /// Whether a record was not surely written before the event.
    fn is_later(&self, record: RecordId) -> bool {
        record > self.cut.known
    }

    /// Whether a record was written before the event.
    pub fn learned(&self, record: RecordId) -> Learned {
        match record {
            it if it <= self.cut.known => Learned::Before,
            it if self.cut.is_unsure(it) => Learned::OrderUnknown,
            _ => Learned::After,
        }
    }

    /// The house as it was known then, or as it is where the ledger is younger.
    pub fn house_then(&self) -> &House {
        self.then.as_ref().map_or(&**self.now, |it| &it.house)
    }

    /// The house with what may have been written before the event; nothing where that is known
    /// of everything.
    pub fn perhaps_house(&self) -> Option<&House> {
        self.perhaps.as_ref().map(|it| &it.house)
    }

    /// When the part that was in an item at the event had been installed, by one house.
    pub fn installed(&self, house: &House, equipment: RecordId, component: &str) -> Option<Day> {
        self.parts(house, equipment, component)
            .filter(|it| self.is_installed_before(it))
            .map(|it| it.body.installed_on)
            .next_back()
    }

    /// The same, if everything had been before the event of which nobody can tell.
    pub fn installed_at_latest(
        &self,
        house: &House,
        item: RecordId,
        component: &str,
    ) -> Option<Day> {
        self.parts(house, item, component)
            .filter(|it| it.body.installed_on <= self.when.last.day)
            .filter(|it| self.learned(it.record) != Learned::After || self.is_installed_before(it))
            .map(|it| it.body.installed_on)
            .next_back()
    }

    /// Days on which such a part was installed, of which nobody can tell whether that was before
    /// the event: of its own day, or within its days.
    pub fn perhaps_installed(&self, equipment: RecordId, component: &str) -> Vec<Day> {
        let of_event = |it: &&Stored<InstalledPart>| {
            it.body.installed_on <= self.when.last.day && !self.is_installed_before(it)
        };
        let parts = self.parts(self.now, equipment, component);
        let parts = parts.filter(of_event);
        parts.map(|it| it.body.installed_on).collect()
    }

    fn parts<'p>(
        &self,
        house: &'p House,
        equipment: RecordId,
        component: &str,
    ) -> impl DoubleEndedIterator<Item = &'p Stored<InstalledPart>> {
        let parts = house.maintenance.parts_of(equipment).iter();
        parts.filter(move |it| it.body.component == component)
    }

    /// Whether a part was surely installed before the event. One that was installed on its day and
    /// written afterwards is taken as the repair.
    fn is_installed_before(&self, part: &Stored<InstalledPart>) -> bool {
        let (on, first) = (part.body.installed_on, self.when.first.map(|it| it.day));
        first.is_some_and(|day| on < day || on == day && !self.is_later(part.record))
    }
}

/// A moment on the wall's clock of the ledger's zone.
pub(crate) fn local(house: &House, at: crate::calendar::Instant) -> DoneAt {
    let zone = house.names.zone;
    let local = zone.local(at).naive_local();
    DoneAt {
        day: local.date(),
        at: Some(local.time()),
    }
}

/// The last day that the ledger's rows can hold: their days are texts of four-digit years, and
/// the calendar's own last day kinds before them.
pub(crate) fn last_day() -> Day {
    Day::from_ymd_opt(9999, 12, 31).unwrap_or(Day::MAX)
}
