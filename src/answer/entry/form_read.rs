//! The code of a printed form read back, and whether it was typed in before.

use chrono::Days;

use super::form_code::{
    FORM_MARK, ITEMS, KINDS_OF_ONE_EACH, LEDGER, OF_A_SHEET, OF_AN_INSPECTION, PrintedForm,
    PrintedInspection, PrintedMember, PrintedSheet, ReadForm, day_zero, tag,
};
use super::form_fault::FormFault;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::record::{Kind, RecordId, Role, Words};
use crate::text::{letters, read_letters};

/// How many days around its own a form is looked for among what was typed in: a day that was
/// printed and changed by hand is near.
const AROUND: u64 = 31;

/// Reads a code, as it was typed or as a phone read it, back to what was printed.
///
/// # Errors
/// [`FormFault`]; a ledger that fails.
pub fn read_form(house: &OpenHouse<'_>, typed: &str) -> Result<ReadForm, AnswerError> {
    let typed = typed.trim();
    let bare = behind(FORM_MARK, typed).unwrap_or(typed);
    let refuse = |fault: FormFault| AnswerError::from(fault);
    if behind(OF_A_LABEL, bare).is_some() {
        return Err(refuse(FormFault::Label(crate::text::short(bare))));
    }
    let symbols = read_letters(bare).map_err(|fault| {
        refuse(FormFault::Letters {
            code: crate::text::short(bare),
            fault,
        })
    })?;
    let mut reading = Reading {
        house,
        rest: symbols.iter(),
    };
    let kind = reading.symbol()?;
    if ![OF_A_SHEET, OF_AN_INSPECTION].contains(&kind) {
        return Err(refuse(FormFault::OtherForm));
    }
    let of: Vec<u8> = reading.rest.by_ref().take(LEDGER).copied().collect();
    if of != tag(&house.names.charter.ledger_id) {
        return Err(refuse(FormFault::OtherLedger));
    }
    let form = match kind {
        OF_A_SHEET => PrintedForm::Sheet(reading.sheet()?),
        _ => PrintedForm::Inspection(reading.inspection()?),
    };
    // Noughts fill the last group.
    if reading.rest.any(|it| *it != 0) {
        return Err(refuse(FormFault::OtherForm));
    }
    Ok(ReadForm {
        code: letters(&symbols),
        form,
    })
}

/// Before the code of a label.
const OF_A_LABEL: &str = "wearbook:";

/// What stands behind a mark, in small or capital letters.
fn behind<'t>(mark: &str, text: &'t str) -> Option<&'t str> {
    let (before, rest) = text.split_at_checked(mark.len())?;
    before.eq_ignore_ascii_case(mark).then_some(rest)
}

/// A code being read.
struct Reading<'a, 's> {
    house: &'a OpenHouse<'a>,
    rest: std::slice::Iter<'s, u8>,
}

impl Reading<'_, '_> {
    fn symbol(&mut self) -> Result<u8, AnswerError> {
        let next = self.rest.next().copied();
        next.ok_or_else(|| FormFault::OtherForm.into())
    }

    fn number(&mut self) -> Result<u64, AnswerError> {
        let (mut sum, mut by) = (0u64, 0u32);
        loop {
            let symbol = self.symbol()?;
            let part = u64::from(symbol & 15).checked_shl(by);
            sum |= part.ok_or(FormFault::OtherForm)?;
            if symbol & 16 == 0 {
                return Ok(sum);
            }
            by += 4;
        }
    }

    fn count(&mut self) -> Result<u64, AnswerError> {
        let count = self.number()?;
        match count <= self.rest.len() as u64 {
            true => Ok(count),
            false => Err(FormFault::OtherForm.into()),
        }
    }

    fn word<W: Words>(&mut self) -> Result<W, AnswerError> {
        let place = usize::try_from(self.number()?).ok();
        let word = place.and_then(|it| W::ALL.get(it)).copied();
        word.ok_or_else(|| FormFault::OtherForm.into())
    }

    fn day(&mut self) -> Result<Day, AnswerError> {
        let days = self.number()?;
        let day = day_zero().checked_add_days(Days::new(days));
        day.ok_or_else(|| FormFault::OtherForm.into())
    }

    fn record(&mut self, kind: Kind) -> Result<Option<RecordId>, AnswerError> {
        let rank = self.number()?;
        if rank == 0 {
            return Ok(None);
        }
        let found = self.house.snapshot.of_rank(kind, rank)?;
        let (record, id) = found.ok_or(FormFault::Missing(kind.word()))?;
        if self.house.names.known_label(record).is_none() {
            let entry = self.house.snapshot.newest(record)?;
            let kind = kind.word();
            return Err(FormFault::Void { kind, id, entry }.into());
        }
        Ok(Some(record))
    }

    fn one(&mut self, kind: Kind) -> Result<RecordId, AnswerError> {
        let found = self.record(kind)?;
        found.ok_or_else(|| FormFault::OtherForm.into())
    }

    fn records(&mut self, kind: Kind) -> Result<Vec<RecordId>, AnswerError> {
        (0..self.count()?).map(|_| self.one(kind)).collect()
    }

    fn sheet(&mut self) -> Result<PrintedSheet, AnswerError> {
        let (day, shift, work) = (self.day()?, self.word()?, self.word()?);
        let job = self.record(Kind::Job)?;
        let mut one_each = [None; 4];
        for (kind, place) in KINDS_OF_ONE_EACH.into_iter().zip(&mut one_each) {
            *place = self.record(kind)?;
        }
        let guide_tubes = self.records(Kind::Equipment)?;
        let mut crew = Vec::new();
        for _ in 0..self.count()? {
            let worker = self.one(Kind::Worker)?;
            let role = match self.number()?.checked_sub(1) {
                None => None,
                Some(place) => {
                    let role = usize::try_from(place).ok().and_then(|it| Role::ALL.get(it));
                    Some(*role.ok_or(FormFault::OtherForm)?)
                }
            };
            crew.push(PrintedMember {
                worker,
                role,
                dosimeters: self.records(Kind::Instrument)?,
                ratemeter: self.record(Kind::Instrument)?,
            });
        }
        Ok(PrintedSheet {
            day,
            shift,
            work,
            job,
            one_each,
            guide_tubes,
            crew,
        })
    }

    fn inspection(&mut self) -> Result<PrintedInspection, AnswerError> {
        let (on, when) = (self.day()?, self.word()?);
        let mut items = Vec::new();
        for _ in 0..self.count()? {
            let kind = ITEMS.get(usize::from(self.symbol()?));
            items.push(self.one(*kind.ok_or(FormFault::OtherForm)?)?);
        }
        Ok(PrintedInspection { on, when, items })
    }
}

/// The form of a sheet that nobody has typed in yet.
///
/// # Errors
/// [`FormFault`]; a ledger that fails.
pub fn sheet_form_of(
    house: &OpenHouse<'_>,
    typed: &str,
) -> Result<(String, PrintedSheet), AnswerError> {
    let ReadForm { code, form } = read_form(house, typed)?;
    let is = form.name();
    let PrintedForm::Sheet(sheet) = form else {
        return Err(FormFault::Other {
            is,
            wanted: "the form of a sheet",
            command: "wearbook inspect enter --paper CODE",
        }
        .into());
    };
    let (first, last) = around(sheet.day);
    let sheets = house.snapshot.sheets(first, last)?;
    let mine = sheets.iter().filter(|it| {
        let paper = it.body.paper.as_ref();
        paper.and_then(|it| it.form.as_ref()) == Some(&code)
    });
    let before: Vec<i64> = mine.map(|it| it.entry).collect();
    match before.is_empty() {
        true => Ok((code, sheet)),
        false => Err(FormFault::TypedIn(before).into()),
    }
}

/// The form of an inspection, with those of its items that nobody has typed in yet.
///
/// # Errors
/// [`FormFault`]; a ledger that fails.
pub fn inspection_form_of(
    house: &OpenHouse<'_>,
    typed: &str,
) -> Result<(String, PrintedInspection), AnswerError> {
    let ReadForm { code, form } = read_form(house, typed)?;
    let is = form.name();
    let PrintedForm::Inspection(mut it) = form else {
        return Err(FormFault::Other {
            is,
            wanted: "the form of an inspection",
            command: "wearbook sheet enter --paper CODE",
        }
        .into());
    };
    let mut before = Vec::new();
    let mut open = Vec::new();
    for item in &it.items {
        match typed_in(house, &code, (*item, it.on))? {
            Some(entry) => before.push(entry),
            None => open.push(*item),
        }
    }
    if open.is_empty() {
        return Err(FormFault::TypedIn(before).into());
    }
    it.items = open;
    Ok((code, it))
}

/// The entry by which one item of a form was typed in.
fn typed_in(
    house: &OpenHouse<'_>,
    code: &str,
    (item, on): (RecordId, Day),
) -> Result<Option<i64>, AnswerError> {
    let (first, last) = around(on);
    for row in house.snapshot.inspections_of(item, first, last)? {
        if let Some(crate::record::Body::Inspection(it)) = house.snapshot.body(row.entry)?
            && it.paper_form.as_deref() == Some(code)
        {
            return Ok(Some(row.entry));
        }
    }
    Ok(None)
}

fn around(day: Day) -> (Day, Day) {
    let first = day.checked_sub_days(Days::new(AROUND)).unwrap_or(Day::MIN);
    let last = day.checked_add_days(Days::new(AROUND)).unwrap_or(Day::MAX);
    (first, last)
}
