//! The one record that somebody means by a name: of a kind that may stand there, and in force.
//! What has no name of its own is named by any of its entries, `entry:118`; a bare number names
//! nothing.

use super::words::{did_you_mean, quoted, with_article};
use crate::answer::Names;
use crate::calendar::parse_day;
use crate::ledger::{LedgerError, Snapshot};
use crate::record::{Goal, Kind, Only, RecordId};

/// What is wrong with a name, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Wrong {
    pub what: String,
    pub right: String,
    /// Whether the ledger has never heard of it: words, where words may stand.
    pub unheard: bool,
}

type Found = Result<RecordId, Wrong>;

/// Finds records by their names.
pub(crate) struct Finder<'a> {
    pub snapshot: &'a Snapshot<'a>,
    pub names: &'a Names,
}

/// Kinds that have names of their own.
const NAMED: &[Kind] = &[
    Kind::Worker,
    Kind::Job,
    Kind::Instrument,
    Kind::Equipment,
    Kind::Event,
];

impl Finder<'_> {
    /// The record of this name that may stand there.
    pub fn find(&self, goal: Goal, name: &str) -> Result<Found, LedgerError> {
        for kind in goal.kinds {
            if let Some(record) = self.of_kind(*kind, name)? {
                return Ok(self.only(goal, record));
            }
        }
        if let Some(number) = name.strip_prefix("entry:")
            && goal.kinds.iter().any(|kind| !NAMED.contains(kind))
        {
            return self.of_entry(goal, number.trim());
        }
        if goal.kinds.contains(&Kind::Badge)
            && let Some(wrong) = self.several_periods(name)?
        {
            return Ok(Err(wrong));
        }
        self.unknown(goal, name).map(Err)
    }

    /// The record in force of a kind that has this name.
    fn of_kind(&self, kind: Kind, name: &str) -> Result<Option<RecordId>, LedgerError> {
        let names = self.names;
        Ok(match kind {
            Kind::Worker => names.find_worker(name).map(|it| it.number()),
            Kind::Job => names.find_job(name).map(|it| it.number()),
            Kind::Instrument => names.find_instrument(name).map(|it| it.number()),
            Kind::Equipment => names.find_equipment(name).map(|it| it.number()),
            Kind::Event => names.find_event(name).map(|it| it.number()),
            Kind::Badge => self.badge(name)?,
            Kind::Sheet => {
                let found = self.snapshot.find(kind, name)?;
                // The key of a sheet without a number of its own is no name.
                let found = found.filter(|_| !name.contains('/'));
                match found {
                    Some(record) if self.in_force(record)? => Some(record),
                    _ => None,
                }
            }
            _ => None,
        })
    }

    /// A badge by its number, or by number and first day where the number was used again.
    fn badge(&self, name: &str) -> Result<Option<RecordId>, LedgerError> {
        let (number, day) = match name.split_once('/') {
            Some((number, day)) => (number.trim(), parse_day(day.trim()).ok()),
            None => (name, None),
        };
        let mut periods = self.snapshot.wear_of_number(number)?;
        if name.contains('/') {
            periods.retain(|it| Some(it.first_day) == day);
        }
        Ok(match periods.as_slice() {
            [only] => Some(only.record),
            _ => None,
        })
    }

    fn several_periods(&self, name: &str) -> Result<Option<Wrong>, LedgerError> {
        let periods = self.snapshot.wear_of_number(name)?;
        if periods.is_empty() {
            return Ok(None);
        }
        let names: Vec<String> = periods.iter().map(|it| it.name()).collect();
        Ok(Some(Wrong {
            what: "could be each of several wear periods of this number".to_owned(),
            right: format!("name one by its first day: {}", quoted(&names)),
            unheard: false,
        }))
    }

    fn in_force(&self, record: RecordId) -> Result<bool, LedgerError> {
        let newest = self.snapshot.newest(record)?;
        Ok(self.snapshot.entry(newest)?.body.is_some())
    }

    /// The record of an entry.
    fn of_entry(&self, goal: Goal, number: &str) -> Result<Found, LedgerError> {
        let right = || {
            let kinds: Vec<&str> = goal.kinds.iter().map(|kind| kind.word()).collect();
            format!("`entry:N` with an entry of a {}", kinds.join(" or "))
        };
        let wrong = |what: String| Wrong {
            what,
            right: right(),
            unheard: false,
        };
        let seq: Option<i64> = number.parse().ok();
        let Some(seq) = seq.filter(|it| (1..=self.snapshot.known_at()).contains(it)) else {
            return Ok(Err(wrong("is no entry of this ledger".to_owned())));
        };
        let entry = self.snapshot.entry(seq)?;
        let kind = Kind::from_stored(&entry.kind);
        if !kind.is_some_and(|kind| goal.kinds.contains(&kind)) {
            let what = format!("is an entry of the kind {}", entry.kind_word());
            return Ok(Err(wrong(what)));
        }
        if !self.in_force(entry.record)? {
            return self.void(entry.record).map(Err);
        }
        Ok(self.only(goal, entry.record))
    }

    fn void(&self, record: RecordId) -> Result<Wrong, LedgerError> {
        let by = self.snapshot.newest(record)?;
        Ok(Wrong {
            what: format!("is void by entry {by}"),
            right: format!("to reinstate it: wearbook entry reinstate {by} --reason WHY"),
            unheard: false,
        })
    }

    /// A record that is of the right kind, and not the right one of that kind.
    fn only(&self, goal: Goal, record: RecordId) -> Found {
        if goal.only == Only::All || self.names.fits(goal, record) {
            return Ok(record);
        }
        let kind = self.names.type_word(record).unwrap_or_default();
        Err(Wrong {
            what: format!("is {}", with_article(kind)),
            right: what_of(goal),
            unheard: false,
        })
    }

    /// A name that leads to nothing of the right kind: void, of another kind, or never heard of.
    fn unknown(&self, goal: Goal, name: &str) -> Result<Wrong, LedgerError> {
        for kind in goal.kinds.iter().filter(|kind| NAMED.contains(kind)) {
            if let Some(record) = self.snapshot.find(*kind, name)?
                && !self.in_force(record)?
            {
                return self.void(record);
            }
        }
        for kind in NAMED.iter().filter(|kind| !goal.kinds.contains(kind)) {
            if let Some(record) = self.of_kind(*kind, name)? {
                let is = self.names.type_word(record).unwrap_or(kind.word());
                return Ok(Wrong {
                    what: format!("is {}, not {}", with_article(is), what_of(goal)),
                    right: format!("the id of {}", what_of(goal)),
                    unheard: false,
                });
            }
        }
        let mut near = Vec::new();
        for kind in goal.kinds {
            near.extend(self.near(*kind, name)?);
        }
        near.truncate(3);
        let numbered = goal.kinds.iter().all(|kind| !NAMED.contains(kind));
        let otherwise = match goal.kinds {
            [Kind::Worker] => "register the worker first",
            [Kind::Badge] => "register it first: wearbook badge issue",
            _ if numbered => "`entry:N` with the number of its entry",
            _ => "register it first",
        };
        Ok(Wrong {
            what: format!("is not {} that the ledger knows", what_of(goal)),
            right: did_you_mean(&near, otherwise),
            unheard: name.parse::<i64>().is_err() && !name.starts_with("entry:"),
        })
    }

    fn near(&self, kind: Kind, name: &str) -> Result<Vec<String>, LedgerError> {
        Ok(match kind {
            Kind::Worker => self.names.near_workers(name),
            Kind::Job => self.names.near_jobs(name),
            Kind::Instrument => self.names.near_instruments(name),
            Kind::Equipment => self.names.near_equipment(name),
            Kind::Event => self.names.near_events(name),
            Kind::Badge => {
                let alike = self.snapshot.numbers_like(name)?;
                crate::answer::near(name, alike.iter().map(String::as_str))
            }
            _ => Vec::new(),
        })
    }
}

/// What may stand there, in words.
pub(crate) fn what_of(goal: Goal) -> String {
    if let Some(words) = goal.only.words() {
        return with_article(words);
    }
    match goal.kinds {
        [Kind::Equipment, Kind::Instrument] => "equipment or an instrument".to_owned(),
        [Kind::Equipment] => "equipment".to_owned(),
        kinds => {
            let words: Vec<String> = kinds.iter().map(|it| with_article(it.word())).collect();
            words.join(" or ")
        }
    }
}
