//! The code of a printed form: which ledger, what it is for, the day, and what was printed on it,
//! as numbers of records. It carries no name and nothing private, and no print is written down.

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::ledger::{LedgerError, Snapshot};
use crate::record::{Kind, Occasion, RecordId, Role, ShiftName, Words, Work};
use crate::text::letters;

/// Before the code in what a phone reads. Capitals, so that the square has few points.
pub const FORM_MARK: &str = "WEARBOOK:FORM:";

/// Somebody who was printed on the form of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedMember {
    /// Who.
    pub worker: RecordId,
    /// What the person acts as.
    pub role: Option<Role>,
    /// The dosimeters.
    pub dosimeters: Vec<RecordId>,
    /// The alarm ratemeter.
    pub ratemeter: Option<RecordId>,
}

/// What was printed on the form of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedSheet {
    /// The day on which the shift begins.
    pub day: Day,
    /// Day, evening or night.
    pub shift: ShiftName,
    /// What is done.
    pub work: Work,
    /// The job.
    pub job: Option<RecordId>,
    /// Device, source, control unit and survey meter.
    pub one_each: [Option<RecordId>; 4],
    /// The guide tubes.
    pub guide_tubes: Vec<RecordId>,
    /// The crew.
    pub crew: Vec<PrintedMember>,
    /// Which of several forms with the same print it is, counted from 1.
    pub copy: u64,
}

/// What was printed on the form of an inspection.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedInspection {
    /// The day.
    pub on: Day,
    /// What it is made for.
    pub when: Occasion,
    /// The items, in their order.
    pub items: Vec<RecordId>,
    /// Which of several forms with the same print it is, counted from 1.
    pub copy: u64,
}

/// A form that was printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PrintedForm {
    /// An end-of-shift sheet.
    Sheet(PrintedSheet),
    /// An inspection.
    Inspection(PrintedInspection),
}

/// A form with its code as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadForm {
    /// The code, in capitals and groups.
    pub code: String,
    /// What was printed.
    pub form: PrintedForm,
}

/// The first number of each, which also says in which form the rest is written. The first two have
/// no number of the copy and no mark: they were printed before, and are read.
pub(super) const OF_A_SHEET_BEFORE: u8 = 1;
pub(super) const OF_AN_INSPECTION_BEFORE: u8 = 2;
pub(super) const OF_A_SHEET: u8 = 3;
pub(super) const OF_AN_INSPECTION: u8 = 4;

/// The ledger in a code: four numbers of five bits.
pub(super) const LEDGER: usize = 4;

/// The kinds whose records a form names.
pub(super) const ITEMS: [Kind; 2] = [Kind::Equipment, Kind::Instrument];

/// The code of a form.
///
/// # Errors
/// A ledger that fails; a day that no code holds.
pub fn code_of(house: &OpenHouse<'_>, form: &PrintedForm) -> Result<String, AnswerError> {
    let mut writing = Writing {
        snapshot: house.snapshot,
        symbols: Vec::new(),
        named: Named::default(),
    };
    let first = match form {
        PrintedForm::Sheet(_) => OF_A_SHEET,
        PrintedForm::Inspection(_) => OF_AN_INSPECTION,
    };
    writing.symbols.push(first);
    writing.symbols.extend(tag(&house.names.charter.ledger_id));
    match form {
        PrintedForm::Sheet(it) => {
            writing.number(it.copy);
            writing.sheet(it)?;
        }
        PrintedForm::Inspection(it) => {
            writing.number(it.copy);
            writing.inspection(it)?;
        }
    }
    let mark = writing.named.mark();
    writing.symbols.extend(mark);
    Ok(letters(&writing.symbols))
}

/// The records that a form names, by the hashes of their first entries. Copies of one ledger that
/// went different ways count the same records differently: the mark tells them apart, but for one
/// chance in 32 768.
#[derive(Default)]
pub(super) struct Named(Vec<u8>);

/// The mark in a code: three numbers of five bits.
pub(super) const MARK: usize = 3;

impl Named {
    pub fn put(&mut self, snapshot: &Snapshot<'_>, record: RecordId) -> Result<(), LedgerError> {
        self.0.extend(snapshot.entry(record)?.hash.0);
        Ok(())
    }

    pub fn mark(&self) -> [u8; MARK] {
        let sum = crc32fast::hash(&self.0);
        [0, 5, 10].map(|by| (sum >> by & 31) as u8)
    }
}

/// The ledger as a code has it.
pub(super) fn tag(ledger: &str) -> [u8; LEDGER] {
    let sum = crc32fast::hash(ledger.as_bytes());
    [0, 5, 10, 15].map(|by| (sum >> by & 31) as u8)
}

/// The first day that a code can say.
pub(super) fn day_zero() -> Day {
    Day::from_ymd_opt(2000, 1, 1).unwrap_or(Day::MIN)
}

/// A code being made.
struct Writing<'a> {
    snapshot: &'a Snapshot<'a>,
    symbols: Vec<u8>,
    named: Named,
}

impl Writing<'_> {
    /// Four bits at a time, the lowest first; the fifth says that more follow.
    fn number(&mut self, mut it: u64) {
        loop {
            let low = (it & 15) as u8;
            it >>= 4;
            let more = if it > 0 { 16 } else { 0 };
            self.symbols.push(low | more);
            if it == 0 {
                break;
            }
        }
    }

    /// Words are counted in their order: new ones go to its end.
    fn word<W: Words>(&mut self, it: W) {
        let place = W::ALL
            .iter()
            .position(|other| other.stored() == it.stored());
        self.number(place.unwrap_or_default() as u64);
    }

    fn day(&mut self, it: Day) {
        let days = it.signed_duration_since(day_zero()).num_days();
        self.number(u64::try_from(days).unwrap_or_default());
    }

    /// A record by its place among its kind; nought for none.
    fn record(&mut self, kind: Kind, it: Option<RecordId>) -> Result<(), LedgerError> {
        let rank = match it {
            Some(record) => {
                self.named.put(self.snapshot, record)?;
                self.snapshot.rank(kind, record)?
            }
            None => 0,
        };
        self.number(rank);
        Ok(())
    }

    fn records(&mut self, kind: Kind, all: &[RecordId]) -> Result<(), LedgerError> {
        self.number(all.len() as u64);
        for it in all {
            self.record(kind, Some(*it))?;
        }
        Ok(())
    }

    fn sheet(&mut self, it: &PrintedSheet) -> Result<(), LedgerError> {
        self.day(it.day);
        self.word(it.shift);
        self.word(it.work);
        self.record(Kind::Job, it.job)?;
        for (kind, record) in KINDS_OF_ONE_EACH.into_iter().zip(it.one_each) {
            self.record(kind, record)?;
        }
        self.records(Kind::Equipment, &it.guide_tubes)?;
        self.number(it.crew.len() as u64);
        for member in &it.crew {
            self.record(Kind::Worker, Some(member.worker))?;
            match member.role {
                None => self.number(0),
                Some(role) => {
                    let place = Role::ALL.iter().position(|it| *it == role);
                    self.number(place.map_or(0, |it| it as u64 + 1));
                }
            }
            self.records(Kind::Instrument, &member.dosimeters)?;
            self.record(Kind::Instrument, member.ratemeter)?;
        }
        Ok(())
    }

    fn inspection(&mut self, it: &PrintedInspection) -> Result<(), LedgerError> {
        self.day(it.on);
        self.word(it.when);
        self.number(it.items.len() as u64);
        for item in &it.items {
            let kind = self.snapshot.entry(*item)?.kind;
            let place = ITEMS.iter().position(|it| it.stored() == kind);
            self.symbols.push(place.unwrap_or_default() as u8);
            let kind = place.and_then(|it| ITEMS.get(it)).unwrap_or(&ITEMS[0]);
            self.record(*kind, Some(*item))?;
        }
        Ok(())
    }
}

/// Device, source, control unit and survey meter by their kinds.
pub(super) const KINDS_OF_ONE_EACH: [Kind; 4] = [
    Kind::Equipment,
    Kind::Equipment,
    Kind::Equipment,
    Kind::Instrument,
];

impl PrintedForm {
    /// What people call it.
    pub const fn name(&self) -> &'static str {
        match self {
            PrintedForm::Sheet(_) => "the form of an end-of-shift sheet",
            PrintedForm::Inspection(_) => "the form of an inspection",
        }
    }

    /// The same print with another number of the copy.
    pub(super) fn copied(mut self, number: u64) -> PrintedForm {
        match &mut self {
            PrintedForm::Sheet(it) => it.copy = number,
            PrintedForm::Inspection(it) => it.copy = number,
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn in_order<W: Words>() -> Vec<&'static str> {
        W::ALL.iter().map(|it| it.stored()).collect()
    }

    /// A form that was printed before reads the same after: a code counts words by their places, so
    /// what stands here only ever grows at its end.
    #[test]
    fn the_words_that_a_code_counts_keep_their_places() {
        let orders = [
            (in_order::<ShiftName>(), "day, evening, night"),
            (
                in_order::<Work>(),
                "radiography, source exchange, maintenance, transport, retrieval",
            ),
            (
                in_order::<Occasion>(),
                "daily, quarterly, after an event, on receipt",
            ),
            (
                in_order::<Role>(),
                "rso, rso designee, radiographer, assistant, trainee, other, inspector",
            ),
        ];
        for (order, wanted) in orders {
            assert_eq!(order.join(", "), wanted);
        }
    }
}
