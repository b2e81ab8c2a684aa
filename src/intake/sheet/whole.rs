//! The end-of-shift sheet: rows of people under one head become one record.

use std::collections::HashMap;

use super::column::{SHEET_COLUMNS, SHEET_NEEDED, at};
use super::rows::{Rows, read_sheet};
use super::stop_scan::off_scale_in;
use crate::answer::{House, Names, Spelling, stops_of};
use crate::intake::dose::doubt::{Nearby, doubts};
use crate::intake::dose::doubt_reading::beyond_range;
use crate::intake::entry::fault::{Fault, Faults, IntakeError, only_new};
use crate::intake::entry::label::{of_sheet, refusal_fault};
use crate::intake::entry::paper::typed_in_before;
use crate::intake::entry::said::TableFile;
use crate::intake::entry::take::keep;
use crate::intake::entry::taken::{Taken, TakenItem};
use crate::intake::file::columns::{Columns, Row};
use crate::intake::register::RowDesk;
use crate::ledger::{Instant, LedgerError, Snapshot, Writer, Written};
use crate::record::{Body, RecordId, Role, Sheet, ShiftName, Words, Work};
use crate::rule::Finding;

/// Where the rows of sheets come from.
#[derive(Debug)]
pub enum SheetBatch<'a> {
    /// A file, the rows of one sheet together.
    File(TableFile<'a>),
    /// One typed sheet: a row a person, in the order of the columns.
    Typed(Vec<Vec<String>>),
}

/// Takes in sheets inside a write: all of them or none. A refusal says what the
/// readable sheets of the file mean for those on them.
pub fn take_sheets(
    writer: &mut Writer<'_>,
    now: Instant,
    batch: SheetBatch<'_>,
) -> Result<Taken, IntakeError> {
    let names = Names::load(&writer.snapshot()?)?;
    let mut taking = Taking {
        writer,
        names: &names,
        now,
        nearby: Nearby::default(),
        faults: Faults::default(),
        taken: Taken::default(),
        readable: Vec::new(),
        stops: Vec::new(),
        transcribed: false,
    };
    let (mut file, mut given) = (None, None);
    match batch {
        SheetBatch::Typed(rows) => {
            let columns = Columns::whole(SHEET_COLUMNS);
            taking.sheet(&columns, &Row::all_typed(rows))?;
        }
        SheetBatch::File(file_said) => {
            file = Some(taking.file(&file_said)?);
            given = Some(file_said);
        }
    }
    if taking.faults.any() {
        taking.torn_rows(given.as_ref());
        let (faults, stops) = taking.stops()?;
        return Err(faults.refuse(file.as_deref(), stops));
    }
    let (count, hash) = taking.writer.head();
    let mut taken = taking.taken;
    taken.head = crate::ledger::head_text(count, &hash);
    Ok(taken)
}

/// The rows of one sheet while a file is read.
#[derive(Default)]
struct Group {
    rows: Vec<Row>,
    /// Rows of the sheet before, to be filled again.
    spare: Vec<Row>,
    /// Sheets seen before, by their head, with the line: rows of one sheet must
    /// stand together, so that a file of any length is read in one pass.
    seen: HashMap<u64, u64>,
}

impl Group {
    fn belongs(&self, columns: &Columns, row: &Row) -> bool {
        let Some(first) = self.rows.first() else {
            return false;
        };
        let same = |column| columns.cell(first, column) == columns.cell(row, column);
        match columns.cell(row, at::SHEET) {
            "" => {
                columns.cell(first, at::SHEET).is_empty()
                    && same(at::DAY)
                    && same(at::SHIFT)
                    && same(at::DEVICE)
                    && same(at::JOB)
                    && same(at::WORK)
            }
            _ => same(at::SHEET),
        }
    }

    /// Keeps a row and gives a used one for it, to be read into.
    fn take(&mut self, row: &mut Row) {
        let used = self.spare.pop().unwrap_or_default();
        self.rows.push(std::mem::replace(row, used));
    }

    fn start(&mut self, columns: &Columns, row: &Row, faults: &mut Faults) {
        use std::hash::{DefaultHasher, Hash, Hasher};
        self.spare.append(&mut self.rows);
        let mut hasher = DefaultHasher::new();
        match columns.cell(row, at::SHEET) {
            "" => [at::DAY, at::SHIFT, at::DEVICE, at::JOB, at::WORK]
                .map(|column| columns.cell(row, column))
                .hash(&mut hasher),
            reference => reference.hash(&mut hasher),
        }
        let line = row.line.unwrap_or_default();
        if let Some(before) = self.seen.insert(hasher.finish(), line) {
            faults.push(Fault::new(
                row.line,
                "sheet",
                columns.cell(row, at::SHEET),
                format!("the rows of this sheet do not stand together; it began at line {before}"),
                "put all people of one sheet on lines that follow each other",
            ));
        }
    }
}

/// Everything that taking in sheets needs.
struct Taking<'a, 'w> {
    writer: &'a mut Writer<'w>,
    names: &'a Names,
    now: Instant,
    nearby: Nearby,
    faults: Faults,
    taken: Taken,
    /// Sheets of a file that has faults, or what can be read of them: they are
    /// not written, but what they say about people is printed.
    readable: Vec<Sheet>,
    /// The stops of those that were looked at already.
    stops: Vec<Finding>,
    /// Whether the file is history that was written elsewhere.
    transcribed: bool,
}

impl Taking<'_, '_> {
    /// Takes in the sheets of a file; its name. One whose headings are refused is looked through
    /// for who was off-scale.
    fn file(&mut self, file: &TableFile<'_>) -> Result<String, IntakeError> {
        let opened = file.open(self.writer, SHEET_COLUMNS, SHEET_NEEDED);
        let (mut cells, saved) = match opened {
            Err(IntakeError::Refused(mut refused)) => {
                self.readable = off_scale_in(file, None, self.names, self.now);
                self.look_for_stops()?;
                refused.stops = std::mem::take(&mut self.stops);
                return Err(IntakeError::Refused(refused));
            }
            opened => opened?,
        };
        if let Some(mapping) = saved {
            let (taken, faults) = (&mut self.taken, &mut self.faults);
            keep(self.writer, self.names, mapping, taken, faults)?;
        }
        self.transcribed = file.said.transcribed;
        self.taken.notes.append(&mut cells.notes);
        let (mut group, mut row) = (Group::default(), Row::default());
        self.writer.before_many()?;
        let tally = self.writer.tally().clone();
        tally.begin("taking in the sheets", cells.bytes());
        while cells.next(&mut row, &mut self.faults) {
            tally.reach(cells.bytes_read());
            if !group.belongs(&cells.columns, &row) {
                self.sheet(&cells.columns, &group.rows)?;
                group.start(&cells.columns, &row, &mut self.faults);
            }
            group.take(&mut row);
        }
        self.sheet(&cells.columns, &group.rows)?;
        tally.begin("finishing the indexes", 0);
        self.writer.after_many()?;
        tally.begin("working out what the sheets mean", 0);
        Ok(cells.file().to_owned())
    }

    /// A row that has no cells to speak of may say all the same who was off-scale.
    fn torn_rows(&mut self, file: Option<&TableFile<'_>>) {
        let torn = self.faults.list.iter().filter(|it| it.field.is_empty());
        let torn: Vec<u64> = torn.filter_map(|it| it.line).collect();
        if let Some(file) = file.filter(|_| !torn.is_empty()) {
            let found = off_scale_in(file, Some(&torn), self.names, self.now);
            self.readable.extend(found);
        }
    }

    fn sheet(&mut self, columns: &Columns, rows: &[Row]) -> Result<(), IntakeError> {
        let Some(first) = rows.first() else {
            return Ok(());
        };
        let line = first.line;
        let read = read_sheet(columns, rows, self.names, self.now, &mut self.faults);
        let sheet = match read {
            Rows::Sound(sheet) => sheet,
            Rows::Faulty(sheet) => {
                return self.keep(sheet);
            }
            Rows::Unreadable => return Ok(()),
        };
        if self.faults.any() {
            return self.keep(sheet);
        }
        let transcribed = self.transcribed || sheet.paper.is_some();
        let key = of_sheet(self.names, &sheet);
        let mut body = Body::from(sheet);
        if let Some(fault) = typed_in_before(self.writer, &body, line)? {
            self.faults.push(fault);
            return match body {
                Body::Sheet(sheet) => self.keep(*sheet),
                _ => Ok(()),
            };
        }
        match self.write(&mut body, transcribed) {
            Ok(written) => {
                self.taken.items.push(TakenItem {
                    line,
                    kind: "sheet",
                    key,
                    written,
                });
                Ok(())
            }
            Err(LedgerError::Refused(refusal)) => {
                let snapshot = self.writer.snapshot()?;
                let fault = refusal_fault(&snapshot, self.names, line, &key, &refusal)?;
                self.faults.push(fault);
                match body {
                    Body::Sheet(sheet) => self.keep(*sheet),
                    _ => Ok(()),
                }
            }
            Err(other) => Err(other.into()),
        }
    }

    /// Writes a sheet with its doubts, unless the ledger has it. The doubts
    /// depend on what else is in the ledger, and are not part of what the crew
    /// said: a sheet that is there already gets none.
    fn write(&mut self, body: &mut Body, transcribed: bool) -> Result<Written, LedgerError> {
        if let Some(already) = self.writer.find(body)? {
            return Ok(already);
        }
        if let Body::Sheet(sheet) = body {
            self.nearby.load(&self.writer.snapshot()?, sheet)?;
            sheet.held = doubts(sheet, self.names, &self.nearby, None);
        }
        let written = self.writer.append_found_new(body, transcribed)?;
        if let Body::Sheet(sheet) = body {
            self.nearby.remember(sheet, written.record());
        }
        Ok(written)
    }

    /// Keeps a sheet that will not be written; a long file's are looked at by
    /// the thousand, so that they do not fill the memory.
    fn keep(&mut self, mut sheet: Sheet) -> Result<(), IntakeError> {
        const TOGETHER: usize = 1000;
        sheet.held = beyond_range(&sheet, self.names);
        self.readable.push(sheet);
        if self.readable.len() >= TOGETHER {
            self.look_for_stops()?;
        }
        Ok(())
    }

    fn look_for_stops(&mut self) -> Result<(), IntakeError> {
        // Questions about people need the indexes.
        self.writer.after_many()?;
        let snapshot = self.writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let today = house.today(self.now);
        let found = stops_of(&house.open(&snapshot), &self.readable, today)?;
        self.stops.extend(found);
        self.readable.clear();
        Ok(())
    }

    /// Everything on the readable rows that must stop somebody. Sheets that stood
    /// before the first fault are in the write, which will be taken back.
    fn stops(mut self) -> Result<(Faults, Vec<Finding>), IntakeError> {
        self.look_for_stops()?;
        let snapshot = self.writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let today = house.today(self.now);
        let mut stops = Vec::new();
        for item in &self.taken.items {
            if let Some(sheet) = snapshot.sheet_at(item.written.entry())? {
                stops.extend(stops_of(&house.open(&snapshot), &[sheet], today)?);
            }
        }
        stops.extend(self.stops);
        Ok((self.faults, stops))
    }
}

/// Finds the doubts of an amended sheet, against everything but itself.
pub(crate) fn look_at_again(
    snapshot: &Snapshot<'_>,
    sheet: &mut Sheet,
    record: RecordId,
) -> Result<(), LedgerError> {
    let names = Names::load(snapshot)?;
    let mut nearby = Nearby::default();
    nearby.load(snapshot, sheet)?;
    sheet.held = doubts(sheet, &names, &nearby, Some(record));
    Ok(())
}

/// What the file of the sheets would refuse of an amended sheet and would not have refused of the
/// one before.
pub(crate) fn new_sheet_faults(
    desk: &RowDesk<'_>,
    now: Instant,
    before: &Sheet,
    after: &Sheet,
) -> Result<Vec<Fault>, LedgerError> {
    let faults = |sheet: &Sheet| {
        let rows = rows_of(desk, sheet)?;
        let mut faults = Faults::default();
        let columns = Columns::whole(SHEET_COLUMNS);
        read_sheet(&columns, &rows, desk.names, now, &mut faults);
        Ok::<_, LedgerError>(faults.list)
    };
    let old = faults(before)?;
    Ok(only_new(&old, faults(after)?))
}

/// What the file of the sheets would refuse of these cells, column and value, in a sheet that is
/// otherwise sound: each answer of a prompt is checked by it when it is given.
pub fn sheet_cell_fault(names: &Names, now: Instant, given: &[(&str, &str)]) -> Option<Fault> {
    let today = names.newest_day(now).to_string();
    let sound = [
        ("day", today.as_str()),
        ("shift", ShiftName::Day.word()),
        ("job", "any"),
        ("work", Work::Radiography.word()),
        ("worker", "anybody"),
        ("role", Role::Other.word()),
    ];
    let cells = SHEET_COLUMNS.iter().map(|column| {
        let mut all = given.iter().chain(&sound);
        let found = all.find(|(name, _)| name == column);
        found
            .map(|(_, value)| (*value).to_owned())
            .unwrap_or_default()
    });
    let rows = [Row::typed(cells.collect())];
    let mut faults = Faults::default();
    read_sheet(
        &Columns::whole(SHEET_COLUMNS),
        &rows,
        names,
        now,
        &mut faults,
    );
    let about = |fault: &Fault| given.iter().any(|(name, _)| *name == fault.field);
    faults.list.into_iter().find(about)
}

/// The rows of a sheet as its file would have them: one for each dosimeter and part.
fn rows_of(desk: &RowDesk<'_>, sheet: &Sheet) -> Result<Vec<Row>, LedgerError> {
    let body = Body::from(sheet.clone());
    let fields = Spelling::new(desk.snapshot, desk.names).fields(&body)?;
    let mut rows = Vec::new();
    for (person, at) in sheet.people.iter().zip(1..) {
        for reading in 1..=person.readings.len().max(1) {
            let cells = SHEET_COLUMNS.iter().map(|name| {
                let of_person = format!("people.{at}.{name}");
                let of_reading = format!("people.{at}.readings.{reading}.{name}");
                let paths = [(*name).to_owned(), of_person, of_reading];
                let field = fields.iter().find(|it| paths.contains(&it.field));
                field.map(|it| it.value.clone()).unwrap_or_default()
            });
            rows.push(Row::typed(cells.collect()));
        }
    }
    Ok(rows)
}
