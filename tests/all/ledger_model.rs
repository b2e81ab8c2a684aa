//! The ledger as a plain list: what a person would keep on cards. Nothing of the program's
//! own ledger is used here but the bodies themselves, which name their key and references.

use wearbook::record::{Body, Kind, RecordId};

/// One entry as a card.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    pub record: RecordId,
    pub kind: Kind,
    pub ends: Option<i64>,
    pub body: Option<Body>,
}

/// All entries in order: entry n is at place n - 1.
#[derive(Debug, Clone, Default)]
pub struct Model {
    pub cards: Vec<Card>,
}

/// What has to come of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// An entry of this record.
    New(RecordId),
    /// The entry that says it already, and the newest of the record where it is a later one.
    Already(i64, Option<i64>),
    /// The name of the refusal.
    Refused(&'static str),
    /// The entries that would be stranded.
    Stranded(Vec<i64>),
}

impl Model {
    pub fn count(&self) -> i64 {
        self.cards.len() as i64
    }

    pub fn card(&self, entry: i64) -> Option<&Card> {
        usize::try_from(entry - 1)
            .ok()
            .and_then(|at| self.cards.get(at))
    }

    /// Entry numbers of a record, oldest first, up to an entry.
    pub fn versions(&self, record: RecordId, until: i64) -> Vec<i64> {
        (1..=until)
            .filter(|entry| self.card(*entry).is_some_and(|it| it.record == record))
            .collect()
    }

    pub fn newest(&self, record: RecordId, until: i64) -> Option<i64> {
        self.versions(record, until).last().copied()
    }

    /// Every record in force at an entry with its newest version, by that version's number.
    pub fn in_force(&self, until: i64) -> Vec<(i64, RecordId, &Body)> {
        let records = (1..=until).filter(|entry| self.newest(*entry, until).is_some());
        let mut found: Vec<(i64, RecordId, &Body)> = records
            .filter_map(|record| {
                let entry = self.newest(record, until)?;
                let body = self.card(entry)?.body.as_ref()?;
                Some((entry, record, body))
            })
            .collect();
        found.sort_by_key(|(entry, ..)| *entry);
        found
    }

    /// The name that a record has now: that of its newest version with a body.
    fn key(&self, record: RecordId) -> String {
        let versions = self.versions(record, self.count());
        let last = versions
            .iter()
            .rev()
            .find_map(|it| self.card(*it)?.body.as_ref());
        last.map(Body::key).unwrap_or_default()
    }

    fn records(&self, kind: Kind) -> Vec<RecordId> {
        let all = (1..=self.count()).zip(&self.cards);
        all.filter(|(_, card)| card.kind == kind && card.ends.is_none())
            .map(|(record, _)| record)
            .collect()
    }

    fn holder(&self, body: &Body) -> Option<RecordId> {
        let mut records = self.records(body.kind()).into_iter();
        records.find(|record| self.key(*record) == body.key())
    }

    fn is_void(&self, record: RecordId) -> bool {
        let newest = self.newest(record, self.count());
        newest.is_some_and(|it| self.card(it).is_some_and(|card| card.body.is_none()))
    }

    /// The newest version of a record with this content.
    fn says(&self, record: RecordId, body: &Body) -> Option<i64> {
        let versions = self.versions(record, self.count());
        versions.into_iter().rev().find(|entry| {
            let said = self.card(*entry).and_then(|it| it.body.as_ref());
            said.is_some_and(|it| it.content() == body.content())
        })
    }

    /// The entries in force that point to a record.
    fn referrers(&self, record: RecordId) -> Vec<i64> {
        self.in_force(self.count())
            .into_iter()
            .filter(|(_, _, body)| body.references().iter().any(|it| it.record == record))
            .map(|(entry, ..)| entry)
            .collect()
    }

    fn dangles(&self, body: &Body) -> bool {
        let in_force = self.in_force(self.count());
        body.references().iter().any(|pointer| {
            !in_force.iter().any(|(_, record, target)| {
                *record == pointer.record && pointer.kinds.contains(&target.kind())
            })
        })
    }

    fn write(&mut self, record: Option<RecordId>, kind: Kind, body: Option<Body>) -> Outcome {
        let entry = self.count() + 1;
        let card = Card {
            record: record.unwrap_or(entry),
            kind,
            ends: record.and_then(|it| self.newest(it, self.count())),
            body,
        };
        self.cards.push(card);
        Outcome::New(record.unwrap_or(entry))
    }

    pub fn append(&mut self, body: Body) -> Outcome {
        let holder = self.holder(&body);
        // The same content in any version of any record that has or had this name.
        let named_so = self.records(body.kind()).into_iter().filter_map(|record| {
            let entry = self.says(record, &body)?;
            Some((Some(record) != holder, record, entry))
        });
        if let Some((_, record, entry)) = named_so.min() {
            if self.is_void(record) {
                return Outcome::Refused("Voided");
            }
            let newest = self.newest(record, self.count());
            return Outcome::Already(entry, newest.filter(|it| *it != entry));
        }
        match holder {
            Some(record) if self.is_void(record) => Outcome::Refused("Voided"),
            Some(_) => Outcome::Refused("SameKey"),
            None if self.dangles(&body) => Outcome::Refused("NoSuchRecord"),
            None => self.write(None, body.kind(), Some(body)),
        }
    }

    /// Why the entry cannot be ended; else its card.
    fn ending(&self, entry: i64, reason: &str) -> Result<Card, Outcome> {
        let refuse = |name| Err(Outcome::Refused(name));
        if reason.trim().is_empty() {
            return refuse("NoReason");
        }
        match self.card(entry) {
            None => refuse("NoSuchEntry"),
            Some(card) if self.newest(card.record, self.count()) != Some(entry) => {
                refuse("NotNewest")
            }
            Some(card) => Ok(card.clone()),
        }
    }

    pub fn amend(&mut self, entry: i64, body: Body, reason: &str) -> Outcome {
        let old = match self.ending(entry, reason) {
            Ok(old) => old,
            Err(refused) => return refused,
        };
        if old.kind != body.kind() {
            return Outcome::Refused("OtherKind");
        }
        if self.dangles(&body) {
            return Outcome::Refused("NoSuchRecord");
        }
        if let Some(before) = &old.body {
            if before.content() == body.content() {
                return Outcome::Refused("NothingChanges");
            }
            let referrers = self.referrers(old.record);
            if is_another_thing(before, &body) && !referrers.is_empty() {
                return Outcome::Stranded(referrers);
            }
        }
        match self.holder(&body) {
            Some(other) if other != old.record && self.is_void(other) => Outcome::Refused("Voided"),
            Some(other) if other != old.record => Outcome::Refused("SameKey"),
            _ => self.write(Some(old.record), old.kind, Some(body)),
        }
    }

    pub fn void(&mut self, entry: i64, reason: &str) -> Outcome {
        let old = match self.ending(entry, reason) {
            Ok(old) => old,
            Err(refused) => return refused,
        };
        if old.body.is_none() {
            return Outcome::Refused("Voided");
        }
        if old.kind == Kind::Charter {
            return Outcome::Refused("CharterStays");
        }
        match self.referrers(old.record) {
            referrers if referrers.is_empty() => self.write(Some(old.record), old.kind, None),
            referrers => Outcome::Stranded(referrers),
        }
    }

    pub fn reinstate(&mut self, entry: i64, reason: &str) -> Outcome {
        let void = match self.ending(entry, reason) {
            Ok(void) => void,
            Err(refused) => return refused,
        };
        let before = void.ends.and_then(|it| self.card(it)?.body.clone());
        match (void.body, before) {
            (None, Some(body)) => self.amend(entry, body, reason),
            _ => Outcome::Refused("NothingChanges"),
        }
    }
}

/// Whether references to the one would mean something else with the other.
fn is_another_thing(before: &Body, after: &Body) -> bool {
    match (before, after) {
        (Body::Instrument(a), Body::Instrument(b)) => a.kind != b.kind,
        (Body::Equipment(a), Body::Equipment(b)) => a.kind != b.kind,
        (Body::Pregnancy(a), Body::Pregnancy(b)) => a.worker != b.worker,
        _ => false,
    }
}
