//! Taking in whatever is not a sheet: register rows, answers, dispositions.

use super::fault::{Fault, Faults, IntakeError};
use super::label::{label_in, or_fault};
use super::private::{declare, named};
use super::said::TableFile;
use super::taken::{Taken, taken};
use crate::answer::{Names, NoSuchName, Sought};
use crate::calendar::Day;
use crate::intake::dose::doubt_badge::append_with_doubts;
use crate::intake::file::cells::Cells;
use crate::intake::file::columns::{Columns, Row};
use crate::intake::register::{Register, RowBodies, RowDesk, Then, read_row};
use crate::ledger::{HeldRow, Instant, LedgerError, Snapshot, Writer, Written};
use crate::record::{
    Body, Decision, Disposition, DoubtType, Kept, Mapping, Outcome, Pregnancy, Words,
};

/// The rows of a register, from a file or typed.
#[derive(Debug)]
pub enum Rows<'a> {
    /// A file.
    File(TableFile<'a>),
    /// Values in the order of the columns.
    Typed(Vec<String>),
}

/// Takes in rows of a register: all of them or none.
pub fn take_register(
    writer: &mut Writer<'_>,
    now: Instant,
    register: &Register,
    rows: Rows<'_>,
) -> Result<Taken, IntakeError> {
    let mut taking = Taking::begin(writer, now)?;
    match rows {
        Rows::Typed(values) => {
            let columns = Columns::whole(register.names);
            taking.row(register, &columns, &Row::typed(values))?;
        }
        Rows::File(file) => {
            let (cells, saved) = file.open(taking.writer, register.names, &register.needed())?;
            if let Some(mapping) = saved {
                let (names, taken) = (&taking.names, &mut taking.taken);
                keep(taking.writer, names, mapping, taken, &mut taking.faults)?;
            }
            taking.transcribed = file.said.transcribed;
            taking.file(register, cells)?;
        }
    }
    taking.end()
}

/// Keeps the mapping of a file. One of its name with other content is a fault like those of the
/// rows, which are looked at all the same.
pub(crate) fn keep(
    writer: &mut Writer<'_>,
    names: &Names,
    mapping: Mapping,
    taken: &mut Taken,
    faults: &mut Faults,
) -> Result<(), IntakeError> {
    let key = mapping.name.clone();
    let written = writer.append(mapping.into(), false);
    if let Some(written) = or_fault(writer, names, (None, &key), written, faults)? {
        taken.put(None, "mapping", key, written);
    }
    Ok(())
}

/// Rows being taken in.
struct Taking<'a, 'w> {
    writer: &'a mut Writer<'w>,
    names: Names,
    now: Instant,
    faults: Faults,
    taken: Taken,
    file: Option<String>,
    transcribed: bool,
}

impl<'a, 'w> Taking<'a, 'w> {
    fn begin(writer: &'a mut Writer<'w>, now: Instant) -> Result<Taking<'a, 'w>, LedgerError> {
        let names = Names::load(&writer.snapshot()?)?;
        Ok(Taking {
            writer,
            names,
            now,
            faults: Faults::default(),
            taken: Taken::default(),
            file: None,
            transcribed: false,
        })
    }

    fn file(&mut self, register: &Register, mut cells: Cells) -> Result<(), IntakeError> {
        let mut row = Row::default();
        while cells.next(&mut row, &mut self.faults) {
            self.row(register, &cells.columns, &row)?;
        }
        self.taken.notes.append(&mut cells.notes);
        self.file = Some(cells.file().to_owned());
        Ok(())
    }

    fn row(
        &mut self,
        register: &Register,
        columns: &Columns,
        row: &Row,
    ) -> Result<(), IntakeError> {
        let read = {
            let desk = RowDesk {
                names: &self.names,
                snapshot: &self.writer.snapshot()?,
                today: self.names.newest_day(self.now),
                amends: None,
            };
            read_row(register, columns, row, &desk, &mut self.faults)?
        };
        let Some(RowBodies { first, then, notes }) = read else {
            return Ok(());
        };
        if let Body::Pregnancy(it) = &first {
            let withdrawn_on = match then {
                Some(Then::Withdrawn(day)) => Some(day),
                _ => None,
            };
            return self.declare(it, withdrawn_on, row.line);
        }
        let Some(written) = self.append(first, row.line)? else {
            return Ok(());
        };
        for note in notes {
            self.taken.notes.push(match row.line {
                Some(line) => format!("line {line}: {note}"),
                None => note,
            });
        }
        if let Some(body) = then.and_then(|it| it.body(written.record())) {
            self.append(body, row.line)?;
        }
        Ok(())
    }

    /// Keeps a declared pregnancy in the private table: no entry says it.
    fn declare(
        &mut self,
        it: &Pregnancy,
        withdrawn_on: Option<Day>,
        line: Option<u64>,
    ) -> Result<(), IntakeError> {
        let kept = Kept::Declaration {
            conception_on: it.conception_on,
            notice_on: it.notice_on,
            withdrawn_on,
        };
        match declare(self.writer, &self.names, it.worker, &kept, line)? {
            Ok(written) => {
                let (kind, key) = named(&self.names, it.worker);
                self.taken.put(line, kind, key, written);
            }
            Err(fault) => self.faults.push(fault),
        }
        Ok(())
    }

    /// Appends; a refusal of the ledger becomes a fault of the row, so that the
    /// other rows are still looked at.
    fn append(&mut self, body: Body, line: Option<u64>) -> Result<Option<Written>, IntakeError> {
        let kind = body.kind().word();
        let key = label_in(&self.writer.snapshot()?, &self.names, &body)?;
        let written = append_with_doubts(self.writer, body, self.transcribed);
        let (row, faults) = ((line, key.as_str()), &mut self.faults);
        let written = or_fault(self.writer, &self.names, row, written, faults)?;
        if let Some(written) = written {
            let snapshot = self.writer.snapshot()?;
            self.taken.held.extend(held_words(&snapshot, &written)?);
            self.taken.put(line, kind, key, written);
        }
        Ok(written)
    }

    /// Refuses everything where there is a fault.
    fn end(self) -> Result<Taken, IntakeError> {
        if self.faults.any() {
            return Err(self.faults.refuse(self.file.as_deref(), Vec::new()));
        }
        Ok(self.taken.ending(self.writer.head()))
    }
}

/// What of a new version of a sheet, badge, result or source is held, as `hold resolve` names it,
/// and why.
pub(crate) fn held_words(
    snapshot: &Snapshot<'_>,
    written: &Written,
) -> Result<Vec<String>, LedgerError> {
    let Written::New { entry, .. } = written else {
        return Ok(Vec::new());
    };
    let held = match snapshot.body(*entry)? {
        Some(Body::Badge(it)) => it.held,
        Some(Body::BadgeResult(it)) => it.held,
        Some(Body::Equipment(it)) => it.held,
        Some(Body::Sheet(it)) => it.held,
        _ => Vec::new(),
    };
    let words = held.iter().enumerate().map(|(at, it)| {
        let item = at + 1;
        format!(
            "{entry}.{item} is on hold, {}: {}",
            it.kind.word(),
            it.about
        )
    });
    Ok(words.collect())
}

/// Writes one record, or refuses it with everything that is wrong.
pub(crate) fn take_one(
    writer: &mut Writer<'_>,
    names: &Names,
    body: Body,
    faults: Faults,
) -> Result<Taken, IntakeError> {
    let mut faults = faults;
    let kind = body.kind().word();
    let key = label_in(&writer.snapshot()?, names, &body)?;
    if !faults.any() {
        for problem in body.problems() {
            faults.push(Fault::of_problem(None, problem));
        }
    }
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    let written = writer.append(body, false);
    let Some(written) = or_fault(writer, names, (None, &key), written, &mut faults)? else {
        return Err(faults.refuse(None, Vec::new()));
    };
    Ok(taken(kind, key, written, writer.head()))
}

/// Appends bodies that were made elsewhere (an adopted rule set), all or none.
pub fn append_all(writer: &mut Writer<'_>, bodies: Vec<Body>) -> Result<Taken, IntakeError> {
    let mut taken = Taken::default();
    for body in bodies {
        let (kind, key) = (body.kind().word(), body.key());
        let written = writer.append(body, false)?;
        taken.put(None, kind, key, written);
    }
    Ok(taken.ending(writer.head()))
}

/// Answers a finding. The finding must be one that stands now: `stands` says so.
pub fn answer_finding(
    writer: &mut Writer<'_>,
    decision: Decision,
    stands: impl FnOnce(&Snapshot<'_>) -> Result<bool, IntakeError>,
) -> Result<Taken, IntakeError> {
    if !stands(&writer.snapshot()?)? {
        return Err(NoSuchName {
            what: Sought::OpenFinding,
            name: decision.finding.clone(),
            near: Vec::new(),
        }
        .into());
    }
    let key = decision.finding.clone();
    let written = writer.append(decision.into(), false)?;
    Ok(taken("decision", key, written, writer.head()))
}

/// Rules on a held item: the entry that holds it and the place among its items.
pub fn rule_on(
    writer: &mut Writer<'_>,
    (entry, item): (i64, i64),
    outcome: Outcome,
    reason: &str,
) -> Result<Taken, IntakeError> {
    let row = find_held(&writer.snapshot()?, entry, item)?;
    // A dose that counts for nobody would be in no account and in no list; the result of a
    // badge that nobody has stands under every list until somebody has it.
    let unknown = DoubtType::from_stored(&row.kind) == Some(DoubtType::UnknownWorker);
    if unknown && outcome == Outcome::Counts {
        return Err(IntakeError::BadChange {
            detail: format!("{entry}.{item} cannot count as it stands: {}", row.about),
            right: format!(
                "say who was meant: wearbook hold resolve {entry}.{item} --is ID --reason WHY; \
                 register a new person first"
            ),
        });
    }
    let record = row.record;
    let disposition = Disposition {
        entry,
        item,
        outcome,
        reason: reason.to_owned(),
        record: record.into(),
    };
    let key = format!("{entry}.{item}");
    let written = writer.append(disposition.into(), false)?;
    Ok(taken("disposition", key, written, writer.head()))
}

/// The held item of this name, or those that there are.
pub(crate) fn find_held(
    snapshot: &Snapshot<'_>,
    entry: i64,
    item: i64,
) -> Result<HeldRow, IntakeError> {
    let held = snapshot.held()?;
    let near = held.iter().filter(|row| row.disposition.is_none()).take(3);
    let near = near
        .map(|row| format!("{}.{}", row.entry, row.item))
        .collect();
    let found = held
        .into_iter()
        .find(|row| (row.entry, row.item) == (entry, item));
    found.ok_or_else(|| {
        let name = format!("{entry}.{item}");
        NoSuchName {
            what: Sought::OnHold,
            name,
            near,
        }
        .into()
    })
}
