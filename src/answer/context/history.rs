//! A worker's shifts of a span, as the computations take them.

use std::collections::HashMap;
use std::sync::{Arc, PoisonError};

use super::badge::AllDosimetry;
use super::error::AnswerError;
use super::load::{AllParts, HeldItem, House, OpenHouse, hull};
use crate::answer::event::in_event::InEvents;
use crate::calendar::Span;
use crate::dose::input::{History, Reading, Shift, Unmeasured};
use crate::dose::resolve::days_needed;
use crate::dose::work_status::Settling;
use crate::ledger::{ReadingRow, ShiftRow};
use crate::quantity::{Indication, IndicationUnit};
use crate::record::{DoubtType, Outcome, RecordId};

impl OpenHouse<'_> {
    /// One worker's shifts of a span, as the computations take them.
    pub fn history(&self, worker: RecordId, span: Span) -> Result<History, AnswerError> {
        let mut facts = self.facts(worker)?.clone();
        let span = self.with_events(worker, span)?;
        let mut dosimetry = self.dosimetry(Some(worker), span)?;
        facts.dosimetry = dosimetry.remove(&worker).unwrap_or_default();
        // Whatever reaches into the span is decided whole.
        let days = days_needed(&facts.dosimetry, span);
        let rows = self.snapshot.shifts_of(worker, days.first, days.last)?;
        let shifts = rows.into_iter().map(|row| self.shift(row)).collect();
        let mut history = History { facts, shifts };
        self.leave_open(&mut history, span)?;
        Ok(history)
    }

    /// Everybody's shifts of a span, by worker.
    pub fn histories(&self, span: Span) -> Result<HashMap<RecordId, History>, AnswerError> {
        let mut needed = span;
        for worker in self.facts.keys() {
            needed = hull(needed, self.with_events(*worker, span)?);
        }
        let span = needed;
        let mut all: HashMap<RecordId, History> = self
            .facts
            .iter()
            .map(|(record, facts)| {
                (
                    *record,
                    History {
                        facts: facts.clone(),
                        shifts: Vec::new(),
                    },
                )
            })
            .collect();
        let (days, mut dosimetry) = self.dosimetry_of_all(span)?;
        for (worker, history) in &mut all {
            history.facts.dosimetry = dosimetry.remove(worker).unwrap_or_default();
        }
        self.snapshot.shifts(days.first, days.last, |row| {
            if let Some(history) = all.get_mut(&row.worker) {
                history.shifts.push(self.shift(row));
            }
        })?;
        for history in all.values_mut() {
            self.leave_open(history, span)?;
        }
        Ok(all)
    }

    /// Everybody's parts in events in which somebody can have been exposed, as a state of the
    /// ledger has them.
    fn all_in_events(&self) -> Result<Arc<AllParts>, AnswerError> {
        let state = self.snapshot.state();
        let kept = || {
            self.in_events
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
        };
        if let Some(all) = kept().get(&state) {
            return Ok(Arc::clone(all));
        }
        // Not while the lock is held: what is loaded here asks for other doses.
        let all = Arc::new(InEvents::load(self, Span::OPEN_END)?.into_parts());
        Ok(Arc::clone(kept().entry(state).or_insert(all)))
    }

    /// A span with all days of the events that touch it, and the nights before them.
    fn with_events(&self, worker: RecordId, span: Span) -> Result<Span, AnswerError> {
        let all = self.all_in_events()?;
        let events = all.get(&worker).into_iter().flatten();
        let touching = events.filter(|it| it.days.iter().any(|day| span.contains(*day)));
        Ok(touching
            .flat_map(|it| &it.days)
            .fold(span, |span, day| Span {
                first: span.first.min(day.pred_opt().unwrap_or(*day)),
                last: span.last.max(*day),
            }))
    }

    /// Notes what events of the span left open in somebody's doses.
    fn leave_open(&self, history: &mut History, span: Span) -> Result<(), AnswerError> {
        let all = self.all_in_events()?;
        let events = all.get(&history.facts.record).into_iter().flatten();
        let mut touching = events.filter(|it| it.days.iter().any(|day| span.contains(*day)));
        let Some(first) = touching.next() else {
            return Ok(());
        };
        let settling = Settling::of(history)?;
        let open = std::iter::once(first).chain(touching);
        let open: Vec<Unmeasured> = open.filter_map(|it| settling.unmeasured(it)).collect();
        history.facts.unmeasured = open;
        Ok(())
    }

    /// Everybody's dosimetry for a question about a span, and the days of which it needs the
    /// shifts: which badge each of them was worn with is resolved from all badges of those days.
    fn dosimetry_of_all(&self, span: Span) -> Result<(Span, AllDosimetry), AnswerError> {
        // Most wear periods are shorter, so that one inspection is enough.
        let month = chrono::Days::new(31);
        let mut loaded = Span {
            first: span.first.checked_sub_days(month).unwrap_or(span.first),
            last: span.last.checked_add_days(month).unwrap_or(span.last),
        };
        loop {
            let all = self.dosimetry(None, loaded)?;
            let needed = all
                .values()
                .map(|it| days_needed(it, span))
                .fold(span, hull);
            if hull(loaded, needed) == loaded {
                return Ok((needed, all));
            }
            loaded = hull(loaded, needed);
        }
    }
}

impl House {
    fn shift(&self, row: ShiftRow) -> Shift {
        let doubts = self
            .held
            .get(&row.entry)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let readings = row
            .readings
            .iter()
            .zip(1..)
            .map(|reading| self.reading(row.entry, row.person, reading, doubts))
            .collect();
        Shift {
            sheet: row.sheet,
            entry: row.entry,
            day: row.day,
            crosses_midnight: row.crosses_midnight,
            shift: row.shift,
            badge_worn: row.badge_worn,
            badge: row.badge.as_deref().map(Arc::from),
            work: row.work,
            readings,
        }
    }

    fn reading(
        &self,
        entry: i64,
        person: i64,
        (row, nth): (&ReadingRow, i64),
        doubts: &[HeldItem],
    ) -> Reading {
        let unit = row
            .unit
            .as_deref()
            .and_then(|unit| IndicationUnit::parse(unit).ok());
        let shown = |count: Option<i64>| Some(Indication::new(count?, unit?));
        let label = row
            .dosimeter
            .and_then(|record| self.labels.get(&record))
            .cloned();
        let (held, disposition) = self.held_of(entry, person, (row.part, nth), doubts);
        Reading {
            record: row.dosimeter,
            dosimeter: label.unwrap_or_else(|| Arc::from("unknown dosimeter")),
            part: row.part,
            start: shown(row.start_count),
            end: shown(row.end_count),
            off_scale: row.off_scale,
            held,
            disposition,
        }
    }

    /// Why a reading is held, and what was ruled: by the doubts about that reading alone, and those
    /// about the person on that sheet. A reading with several doubts
    /// counts again only when each of them was ruled to count.
    pub(crate) fn held_of(
        &self,
        entry: i64,
        person: i64,
        (part, nth): (i64, i64),
        doubts: &[HeldItem],
    ) -> (Vec<DoubtType>, Option<Outcome>) {
        let mine = doubts.iter().filter(|doubt| {
            doubt.kind.keeps_dose_out()
                && doubt.person == Some(person)
                && doubt.part.is_none_or(|it| it == part)
                && doubt.reading.is_none_or(|it| it == nth)
        });
        let mut held = Vec::new();
        let mut open = false;
        let mut out = false;
        for doubt in mine {
            held.push(doubt.kind);
            match self.dispositions.get(&(entry, doubt.item)) {
                None => open = true,
                Some(Outcome::DoesNotCount) => out = true,
                Some(Outcome::Counts) => {}
            }
        }
        let disposition = match (held.is_empty(), out, open) {
            (true, _, _) | (false, false, true) => None,
            (false, true, _) => Some(Outcome::DoesNotCount),
            (false, false, false) => Some(Outcome::Counts),
        };
        (held, disposition)
    }
}
