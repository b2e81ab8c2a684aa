//! The code of a printed form read back, and whether it was typed in before.

use chrono::Days;

use super::form_code::{
    FORM_MARK, ITEMS, KINDS_OF_ONE_EACH, LEDGER, MARK, Named, OF_A_SHEET, OF_A_SHEET_BEFORE,
    OF_AN_INSPECTION, OF_AN_INSPECTION_BEFORE, PrintedForm, PrintedInspection, PrintedMember,
    PrintedSheet, ReadForm, code_of, day_zero, tag,
};
use super::form_fault::FormFault;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::ledger::{LedgerError, Snapshot, Stored};
use crate::record::{Body, Inspection, Kind, RecordId, Role, Sheet, Words};
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
        named: Named::default(),
    };
    let (is_sheet, has_mark) = match reading.symbol()? {
        OF_A_SHEET_BEFORE => (true, false),
        OF_AN_INSPECTION_BEFORE => (false, false),
        OF_A_SHEET => (true, true),
        OF_AN_INSPECTION => (false, true),
        _ => return Err(refuse(FormFault::OtherForm)),
    };
    let of: Vec<u8> = reading.rest.by_ref().take(LEDGER).copied().collect();
    if of != tag(&house.names.charter.ledger_id) {
        return Err(refuse(FormFault::OtherLedger));
    }
    let copy = if has_mark { reading.number()? } else { 1 };
    let form = match is_sheet {
        true => PrintedForm::Sheet(reading.sheet()?),
        false => PrintedForm::Inspection(reading.inspection()?),
    };
    if has_mark {
        let mark: Vec<u8> = reading.rest.by_ref().take(MARK).copied().collect();
        if mark != reading.named.mark() {
            return Err(refuse(FormFault::OtherCopy));
        }
    }
    // Noughts fill the last group.
    if reading.rest.any(|it| *it != 0) {
        return Err(refuse(FormFault::OtherForm));
    }
    Ok(ReadForm {
        code: letters(&symbols),
        form: form.copied(copy),
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
    named: Named,
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
        self.named.put(self.house.snapshot, record)?;
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
            copy: 1,
        })
    }

    fn inspection(&mut self) -> Result<PrintedInspection, AnswerError> {
        let (on, when) = (self.day()?, self.word()?);
        let mut items = Vec::new();
        for _ in 0..self.count()? {
            let kind = ITEMS.get(usize::from(self.symbol()?));
            items.push(self.one(*kind.ok_or(FormFault::OtherForm)?)?);
        }
        let copy = 1;
        Ok(PrintedInspection {
            on,
            when,
            items,
            copy,
        })
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
    let before = typed_in_sheets(house.snapshot, &code, sheet.day)?;
    let before: Vec<i64> = before.iter().map(|it| it.entry).collect();
    match before.is_empty() {
        true => Ok((code, sheet)),
        false => Err(FormFault::TypedIn(before).into()),
    }
}

/// The sheets that were typed in from a form, around its day or their own.
///
/// # Errors
/// A ledger that fails.
pub fn typed_in_sheets(
    snapshot: &Snapshot<'_>,
    code: &str,
    day: Day,
) -> Result<Vec<Stored<Sheet>>, LedgerError> {
    let (first, last) = around(day);
    let mut sheets = snapshot.sheets(first, last)?;
    sheets.retain(|it| {
        let paper = it.body.paper.as_ref();
        paper.and_then(|it| it.form.as_deref()) == Some(code)
    });
    Ok(sheets)
}

/// The first number of a copy of a form that nobody has typed in.
pub(super) fn free_number(house: &OpenHouse<'_>, form: &PrintedForm) -> Result<u64, AnswerError> {
    for number in 1..MOST_COPIES {
        let code = code_of(house, &form.clone().copied(number))?;
        let is_free = match form {
            PrintedForm::Sheet(it) => typed_in_sheets(house.snapshot, &code, it.day)?.is_empty(),
            PrintedForm::Inspection(it) => {
                let mut found = Vec::new();
                for item in &it.items {
                    found.extend(typed_in_inspections(house.snapshot, &code, (*item, it.on))?);
                }
                found.is_empty()
            }
        };
        if is_free {
            return Ok(number);
        }
    }
    Ok(MOST_COPIES)
}

/// The most forms with the same print.
pub const MOST_COPIES: u64 = 99;

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
        let found = typed_in_inspections(house.snapshot, &code, (*item, it.on))?;
        match found.first() {
            Some(inspection) => before.push(inspection.0),
            None => open.push(*item),
        }
    }
    if open.is_empty() {
        return Err(FormFault::TypedIn(before).into());
    }
    it.items = open;
    Ok((code, it))
}

/// The inspections of an item that were typed in from a form, around a day.
///
/// # Errors
/// A ledger that fails.
pub fn typed_in_inspections(
    snapshot: &Snapshot<'_>,
    code: &str,
    (item, on): (RecordId, Day),
) -> Result<Vec<(i64, Inspection)>, LedgerError> {
    let (first, last) = around(on);
    let mut all = Vec::new();
    for row in snapshot.inspections_of(item, first, last)? {
        if let Some(Body::Inspection(it)) = snapshot.body(row.entry)?
            && it.paper_form.as_deref() == Some(code)
        {
            all.push((row.entry, *it));
        }
    }
    Ok(all)
}

fn around(day: Day) -> (Day, Day) {
    let first = day.checked_sub_days(Days::new(AROUND)).unwrap_or(Day::MIN);
    let last = day.checked_add_days(Days::new(AROUND)).unwrap_or(Day::MAX);
    (first, last)
}
