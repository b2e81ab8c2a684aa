//! Inspections: rows of items under one head become one record, checked against the list that
//! is in force on the day.

use crate::answer::{House, OpenHouse, near};
use crate::calendar::Day;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::label::{label, or_fault};
use crate::intake::entry::paper::typed_in_before;
use crate::intake::entry::taken::Taken;
use crate::intake::file::columns::{Columns, Row};
use crate::intake::file::fields::Fields;
use crate::intake::file::grouped::{Batch, Shape, each_group};
use crate::ledger::{Instant, Writer};
use crate::record::{Body, Inspection, Line, LineResult, Occasion, Record, RecordId, Words};
use crate::rule::{Checklist, ChecklistItem, INACTIVE};

/// The columns of an inspection file: a row a line of the list.
pub const INSPECTION_COLUMNS: &[&str] = &[
    "item",
    "on",
    "at",
    "when",
    "performed_by",
    "with",
    "counter",
    "line",
    "result",
    "value",
    "note",
    "action",
    "remark",
    "row",
    "paper_form",
];

pub(crate) mod at {
    pub const ITEM: usize = 0;
    pub const ON: usize = 1;
    pub const AT: usize = 2;
    pub const WHEN: usize = 3;
    pub const BY: usize = 4;
    pub const WITH: usize = 5;
    pub const COUNTER: usize = 6;
    pub const LINE: usize = 7;
    pub const RESULT: usize = 8;
    pub const VALUE: usize = 9;
    pub const NOTE: usize = 10;
    pub const ACTION: usize = 11;
    pub const REMARK: usize = 12;
    pub const ROW: usize = 13;
    pub const PAPER_FORM: usize = 14;
}

/// Columns that each line has for itself.
pub(crate) const OF_A_LINE: &[&str] = &["with", "line", "result", "value", "note", "action"];

/// What stands for all items that have no row of their own and were good.
pub const ALL_OTHERS: &str = "all others";

/// Columns that a file must have.
pub const INSPECTION_NEEDED: &[&str] = &["item", "on", "when", "performed_by", "line"];

const SHAPE: Shape = Shape {
    names: INSPECTION_COLUMNS,
    needed: INSPECTION_NEEDED,
    head: &[at::ROW, at::ITEM, at::ON, at::AT, at::WHEN],
    what: "inspection",
};

/// Takes in inspections inside a write: all of them or none.
pub fn take_inspections(
    writer: &mut Writer<'_>,
    now: Instant,
    batch: Batch<'_>,
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let today = house.today(now);
    let mut faults = Faults::default();
    let mut taken = Taken::default();
    let transcribed = batch.is_transcribed();
    let batch = batch.open((writer, &house.names), &SHAPE, (&mut taken, &mut faults))?;
    let file = each_group(&SHAPE, batch, &mut faults, |columns, rows, faults| {
        let before = faults.list.len();
        let line = rows.first().and_then(|row| row.line);
        let read = {
            let snapshot = writer.snapshot()?;
            let mut reading = Reading {
                house: &house.open(&snapshot),
                today,
                columns,
                faults,
                corrected: None,
            };
            reading.inspection(rows)?
        };
        let Some(inspection) = read.filter(|_| faults.list.len() == before) else {
            return Ok(());
        };
        let problems = inspection.problems();
        if !problems.is_empty() {
            for problem in problems {
                faults.push(Fault::of_problem(line, problem));
            }
            return Ok(());
        }
        let from_paper = inspection.paper_form.is_some();
        let mut body = Body::from(inspection);
        columns.number(rows, &mut body);
        if let Some(fault) = typed_in_before(writer, &body, line)? {
            faults.push(fault);
            return Ok(());
        }
        let key = label(&house.names, &body);
        let written = writer.append(body, transcribed || from_paper);
        let written = or_fault(writer, &house.names, (line, &key), written, faults)?;
        if let Some(written) = written {
            taken.put(line, "inspection", key, written);
        }
        Ok(())
    })?;
    if faults.any() {
        return Err(faults.refuse(file.as_deref(), Vec::new()));
    }
    Ok(taken.ending(writer.head()))
}

/// What is wrong with the rows of one inspection, which corrects an entry.
pub(crate) fn faults_of(
    (house, corrected): (&OpenHouse<'_>, i64),
    today: Day,
    rows: &[Row],
) -> Result<Vec<Fault>, IntakeError> {
    let mut faults = Faults::default();
    let columns = Columns::whole(INSPECTION_COLUMNS);
    let mut reading = Reading {
        house,
        today,
        columns: &columns,
        faults: &mut faults,
        corrected: Some(corrected),
    };
    reading.inspection(rows)?;
    Ok(faults.list)
}

pub(crate) struct Reading<'a> {
    pub house: &'a OpenHouse<'a>,
    today: Day,
    columns: &'a Columns,
    faults: &'a mut Faults,
    /// The entry that is corrected: it is not in its own way.
    corrected: Option<i64>,
}

/// The head of an inspection, and what its lines are held against.
pub(crate) struct Head<'a> {
    pub item: RecordId,
    kind: &'static str,
    pub on: Day,
    when: Occasion,
    list: &'a Checklist,
}

impl<'a> Reading<'a> {
    pub fn fields<'f>(&'f mut self, row: &'f Row) -> Fields<'f> {
        Fields {
            columns: self.columns,
            row,
            faults: self.faults,
        }
    }

    fn inspection(&mut self, rows: &[Row]) -> Result<Option<Inspection>, IntakeError> {
        let Some(first) = rows.first() else {
            return Ok(None);
        };
        let house = self.house;
        let mut fields = self.fields(first);
        let (at, remark) = (fields.hour(at::AT, &[]), fields.text(at::REMARK));
        let counter = fields.count(at::COUNTER);
        let paper_form = fields.form_code(at::PAPER_FORM);
        let by = fields.needed(at::BY, "who inspected it: the id of a worker");
        let Some((head, list)) = self.head(first) else {
            return Ok(None);
        };
        self.counter(first, &head, counter)?;
        let lines = self.lines(rows, &head)?;
        Ok(by.map(|by| Inspection {
            at,
            by: house.names.worker_ref(&by),
            counter,
            item: head.item.into(),
            lines,
            list: list.into(),
            note: remark,
            on: head.on,
            paper_form,
            row: None,
            when: head.when,
        }))
    }

    fn head(&mut self, row: &Row) -> Option<(Head<'a>, RecordId)> {
        let (house, today) = (self.house, self.today);
        let mut fields = self.fields(row);
        let id = fields.needed(at::ITEM, "the id of equipment or an instrument");
        let on = fields.needed_day(at::ON);
        let when = fields.needed_word::<Occasion>(at::WHEN);
        let (id, on, when) = (id?, on?, when?);
        let Some(item) = house.names.find_item(&id) else {
            let near = house.names.near_items(&id);
            let right = crate::intake::file::words::did_you_mean(&near, "register it first");
            fields.fault(
                at::ITEM,
                "is no equipment or instrument that is known",
                right,
            );
            return None;
        };
        if on > today {
            let what = format!("is in the future: today is {today}");
            fields.fault(at::ON, what, "the day of the inspection");
            return None;
        }
        if let Some(from) = house
            .names
            .in_service(item.number())
            .filter(|from| on < *from)
        {
            let what = format!("is before {id} came into service on {from}");
            let right = format!("a day from {from} on, or correct the register entry of {id}");
            fields.fault(at::ON, what, right);
            return None;
        }
        let kind = house.names.type_word(item.number())?;
        let Some((list, checklist)) = house.checklist_on(on) else {
            let what = "has no checklist in force".to_owned();
            let right = format!("wearbook checklist adopt general --from {on}");
            fields.fault(at::ON, what, right);
            return None;
        };
        let head = Head {
            item: item.number(),
            kind,
            on,
            when,
            list: checklist,
        };
        Some((head, list))
    }

    /// A device's own counter of cycles never runs backwards.
    fn counter(
        &mut self,
        row: &Row,
        head: &Head<'_>,
        counter: Option<i64>,
    ) -> Result<(), IntakeError> {
        let Some(counter) = counter else {
            return Ok(());
        };
        let before = self
            .house
            .snapshot
            .inspections_of(head.item, Day::MIN, head.on)?
            .into_iter()
            .filter(|it| Some(it.entry) != self.corrected)
            .filter_map(|it| Some((it.counter?, it.on)))
            .next_back();
        if let Some((last, on)) = before.filter(|(last, _)| *last > counter) {
            let what = format!("is below the {last} of {on}: cycles do not go backwards");
            let right = "what the counter shows; blank, with a remark, if it was exchanged";
            self.fields(row).fault(at::COUNTER, what, right);
        }
        Ok(())
    }

    fn lines(&mut self, rows: &[Row], head: &Head<'_>) -> Result<Vec<Line>, IntakeError> {
        let mut given: Vec<Line> = Vec::new();
        let mut others = false;
        for row in rows {
            self.same_person(rows, row);
            if self.names(row, ALL_OTHERS) {
                others = self.all_others(row, others);
                continue;
            }
            given.extend(self.line(row, head)?);
        }
        let mut lines = Vec::new();
        for item in head.list.items_for(head.kind, head.when.stored()) {
            let item = &self.house.item_on(head.item, item, head.on);
            match given.iter().position(|line| line.item == item.key) {
                Some(at) => lines.push(given.remove(at)),
                None if !others => {}
                // It has a row, which has a fault of its own.
                None if rows.iter().any(|row| self.names(row, &item.key)) => {}
                // What has no limit is not asked for.
                None if item.is_inactive() => {}
                // Nobody can say of a mating check with whom it was made.
                None if item.pair.is_some() => {
                    if let Some(row) = rows.first() {
                        let what =
                            format!("does not stand for `{}`, which mates two items", item.key);
                        let right = "a row of its own, with the other item under `with`, or with \
                                     result `not done`";
                        self.faults
                            .push(Fault::new(row.line, "line", ALL_OTHERS, what, right));
                    }
                }
                None if item.measurement.is_some() => {
                    if let Some(row) = rows.first() {
                        let what = format!("does not stand for `{}`, which is measured", item.key);
                        let right = "a row of its own with its value, or with result `not done`";
                        self.faults
                            .push(Fault::new(row.line, "line", ALL_OTHERS, what, right));
                    }
                }
                None => lines.push(Line::good(&item.key)),
            }
        }
        // Items that the list asks for on another occasion: looking at more is no fault.
        lines.extend(given);
        Ok(lines)
    }

    fn names(&self, row: &Row, key: &str) -> bool {
        let cell = self.columns.cell(row, at::LINE);
        cell.eq_ignore_ascii_case(key)
    }

    fn same_person(&mut self, rows: &[Row], row: &Row) {
        let Some(first) = rows.first() else { return };
        for column in [at::BY, at::COUNTER, at::REMARK, at::PAPER_FORM] {
            let (cell, of_first) = (
                self.columns.cell(row, column),
                self.columns.cell(first, column),
            );
            if !cell.is_empty() && cell != of_first {
                let what = format!("differs from `{of_first}` on the first row of this inspection");
                let right = "the same on all its rows, or blank below the first";
                self.fields(row).fault(column, what, right);
            }
        }
    }

    fn all_others(&mut self, row: &Row, again: bool) -> bool {
        let result = self.columns.cell(row, at::RESULT);
        if again {
            let mut fields = self.fields(row);
            fields.fault(at::LINE, "stands twice in one inspection", "once");
        }
        if !(result.is_empty() || result.eq_ignore_ascii_case("good")) {
            let right = "good; what is not good has a row of its own";
            self.fields(row)
                .fault(at::RESULT, "cannot be said of several items", right);
        }
        true
    }

    fn line(&mut self, row: &Row, head: &Head<'_>) -> Result<Option<Line>, IntakeError> {
        let item = self.item(row, head);
        let mut fields = self.fields(row);
        let result = fields.word::<LineResult>(at::RESULT);
        let (note, action) = (fields.text(at::NOTE), fields.text(at::ACTION));
        let value = fields.text(at::VALUE);
        if result.is_none() && value.is_none() {
            if fields.cell(at::RESULT).is_empty() {
                fields.fault(at::RESULT, "is missing", LineResult::list());
            }
            return Ok(None);
        }
        let Some(item) = item else {
            return Ok(None);
        };
        if result == Some(LineResult::Defect) {
            let key = &item.key;
            if note.is_none() {
                let right = format!("what is wrong with `{key}`, in words");
                self.fields(row).fault(at::NOTE, "is missing", right);
            }
            if action.is_none() {
                let right = format!(
                    "what was done about `{key}`, such as `removed from service, tagged, RSO \
                     informed`"
                );
                self.fields(row).fault(at::ACTION, "is missing", right);
            }
        }
        let item = &self.house.item_on(head.item, item, head.on);
        if item.is_inactive() && result == Some(LineResult::Good) {
            let what = format!("is a verdict, and `{}` has none: {INACTIVE}", item.key);
            let right = "the value alone, or defect with what is seen";
            self.fields(row).fault(at::RESULT, what, right);
        }
        let value = match value {
            None => None,
            Some(value) => match self.value(row, head, item, &value, note.is_some())? {
                Some(value) => Some(value),
                None => return Ok(None),
            },
        };
        let with = self.with(row, head.on, item, result);
        Ok(Some(Line {
            action,
            item: item.key.clone(),
            note,
            result: result.unwrap_or(LineResult::Measured),
            value,
            with,
        }))
    }

    fn item<'l>(&mut self, row: &Row, head: &Head<'l>) -> Option<&'l ChecklistItem> {
        let (list, kind) = (head.list, head.kind);
        let mut fields = self.fields(row);
        let key = fields.needed(at::LINE, "the key of an item of the list")?;
        let found = list.item(&key.to_lowercase());
        let mine = list.items.iter().filter(|it| it.on == kind);
        match found {
            Some(item) if item.on == kind => Some(item),
            Some(item) => {
                let what = format!(
                    "belongs to the list of the {}, and this is a {kind}",
                    item.on
                );
                fields.fault(at::LINE, what, "an item of the list for this item");
                None
            }
            None => {
                let near = near(&key, mine.map(|it| it.key.as_str()));
                let right = crate::intake::file::words::did_you_mean(
                    &near,
                    "see the keys with `wearbook checklist show`",
                );
                let what = format!("is no item of the list `{}`", list.key);
                fields.fault(at::LINE, what, right);
                None
            }
        }
    }
}
