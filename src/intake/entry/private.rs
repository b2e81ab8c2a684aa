//! What is private about a person: kept beside the chain, and erased with a reason.

use super::fault::{Fault, Faults, IntakeError};
use super::taken::{Taken, taken};
use crate::answer::{House, Names};
use crate::calendar::Day;
use crate::ledger::{Gone, LedgerError, PrivateRow, Writer, Written};
use crate::record::{Id, Kept, Kind, Sex, Words, Worker, header_problem};

/// What of a person can be erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Erase {
    /// Declarations of pregnancies: all of them, or that of one notice.
    Declaration(Option<Day>),
    /// The number that identifies the person, with its kind.
    Identification,
    /// The person's sex.
    Sex,
    /// Whatever is not there any more: the RSO has found out what it was.
    Lost,
}

impl Erase {
    fn is_of(self, content: &Result<Kept, Gone>) -> bool {
        let kept = match content {
            Ok(kept) => kept,
            Err(why) => return self == Erase::Lost && !matches!(why, Gone::Erased { .. }),
        };
        match (self, kept) {
            (Erase::Declaration(None), Kept::Declaration { .. })
            | (Erase::Identification, Kept::Identification { .. })
            | (Erase::Sex, Kept::Sex(_)) => true,
            (Erase::Declaration(Some(day)), Kept::Declaration { notice_on, .. }) => {
                day == *notice_on
            }
            _ => false,
        }
    }
}

/// What is typed of a person.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Typed {
    /// A number that identifies the person.
    pub number: Option<String>,
    /// Which kind of number that is.
    pub kind: Option<String>,
    /// The person's sex.
    pub sex: Option<String>,
}

/// What the chain says of a private record that is replaced: the content tells what was.
const CHANGED: &str = "the private record was changed";

/// The kind and name of a private record, as a receipt has it: whose it is and not what.
pub(crate) fn named(names: &Names, worker: Id<Worker>) -> (&'static str, String) {
    (
        Kind::Private.word(),
        format!("of {}", names.label(worker.number())),
    )
}

/// Keeps a declaration of pregnancy, or what is added to it: its withdrawal. One that says
/// something else than the one on file is a fault.
pub(crate) fn declare(
    writer: &mut Writer<'_>,
    names: &Names,
    worker: Id<Worker>,
    kept: &Kept,
    line: Option<u64>,
) -> Result<Result<Written, Fault>, IntakeError> {
    let there = on_file(writer, worker, kept)?;
    if let (None, Some(fault)) = (&there, lacks_conception(writer, kept, line)?) {
        return Ok(Err(fault));
    }
    let (
        Some(row),
        Kept::Declaration {
            conception_on,
            notice_on,
            withdrawn_on,
        },
    ) = (there, kept)
    else {
        return Ok(Ok(writer.keep_private(worker, kept, None)?));
    };
    let Ok(Kept::Declaration {
        conception_on: known,
        withdrawn_on: ended,
        ..
    }) = row.content
    else {
        return Ok(Ok(writer.keep_private(worker, kept, None)?));
    };
    let id = names.label(worker.number());
    let right = format!(
        "the same, or, where the one on file is wrong: wearbook private erase {id} declaration \
         --reason WHY, then this again"
    );
    let differs = |field: &str, value: String, has: String| {
        let what = format!(
            "differs from the private record of entry {}, which has {has}",
            row.entry
        );
        Ok(Err(Fault::new(line, field, &value, what, right.clone())))
    };
    for (field, known, day) in [
        ("conception_on", known, conception_on),
        ("withdrawn_on", ended, withdrawn_on),
    ] {
        if let (Some(known), Some(day)) = (known, day)
            && known != *day
        {
            return differs(field, day.to_string(), format!("`{known}`"));
        }
    }
    // What is left out stays as it is on file; what is new is added.
    let whole = Kept::Declaration {
        conception_on: known.or(*conception_on),
        notice_on: *notice_on,
        withdrawn_on: ended.or(*withdrawn_on),
    };
    let same = (known, ended) == (known.or(*conception_on), ended.or(*withdrawn_on));
    let (entry, record) = (row.entry, row.record);
    Ok(Ok(match same {
        false => writer.keep_private(worker, &whole, Some((entry, CHANGED)))?,
        true => Written::Already {
            entry,
            record,
            corrected_by: None,
        },
    }))
}

/// The fault of a declaration without the date of conception, where a limit in force on the day
/// of the notice counts from it.
fn lacks_conception(
    writer: &Writer<'_>,
    kept: &Kept,
    line: Option<u64>,
) -> Result<Option<Fault>, IntakeError> {
    let Kept::Declaration {
        conception_on: None,
        notice_on,
        ..
    } = kept
    else {
        return Ok(None);
    };
    let house = House::load(&writer.snapshot()?)?;
    Ok(house.counts_from_conception(*notice_on).map(|rule| {
        let what = format!("is missing, and a limit counts from it ({rule})");
        let right = "the estimated date of conception, as the written declaration states it";
        Fault::new(line, "conception_on", "", what, right)
    }))
}

/// The private record in force of the same thing.
fn on_file(
    writer: &Writer<'_>,
    worker: Id<Worker>,
    kept: &Kept,
) -> Result<Option<PrivateRow>, LedgerError> {
    let rows = writer.snapshot()?.private(Some(worker.number()))?;
    let same = |it: &PrivateRow| it.content.as_ref().is_ok_and(|it| it.same_item(kept));
    Ok(rows.into_iter().find(same))
}

/// Keeps what identifies a person, or puts it in the place of what was there.
pub fn set_private(writer: &mut Writer<'_>, id: &str, typed: &Typed) -> Result<Taken, IntakeError> {
    let names = Names::load(&writer.snapshot()?)?;
    let worker = names.worker(id)?;
    let mut all = Taken::default();
    for kept in read(typed)? {
        let there = on_file(writer, worker, &kept)?;
        let written = match there {
            Some(row) if row.content.as_ref() == Ok(&kept) => Written::Already {
                entry: row.entry,
                record: row.record,
                corrected_by: None,
            },
            Some(row) => writer.keep_private(worker, &kept, Some((row.entry, CHANGED)))?,
            None => writer.keep_private(worker, &kept, None)?,
        };
        let (kind, key) = named(&names, worker);
        let one = taken(kind, key, written, writer.head());
        all.add(one);
    }
    Ok(all)
}

fn read(typed: &Typed) -> Result<Vec<Kept>, IntakeError> {
    let mut faults = Faults::default();
    let mut fault = |field: &str, value: &str, what: &str, right: &str| {
        faults.push(Fault::new(None, field, value, what, right));
    };
    let mut all = Vec::new();
    const KIND: &str = "which type of number it is, as the authority's form names it";
    match (&typed.number, &typed.kind) {
        (Some(number), Some(kind)) => {
            for (field, text) in [("number", number), ("type", kind)] {
                // A number that is private is not said again.
                if text.trim().is_empty() {
                    fault(field, "", "says nothing", "the number, and its type");
                } else if let Some(it) = header_problem(field, text) {
                    fault(field, "", &it.what, &it.right);
                }
            }
            all.push(Kept::Identification {
                number: number.trim().to_owned(),
                kind: kind.trim().to_owned(),
            });
        }
        (Some(_), None) => fault("type", "", "is missing beside the number", KIND),
        (None, Some(kind)) => fault(
            "number",
            kind,
            "is missing: a type alone was given",
            "the number",
        ),
        (None, None) => {}
    }
    if let Some(word) = &typed.sex {
        match Sex::from_word(word) {
            Some(sex) => all.push(Kept::Sex(sex)),
            None => fault("sex", word, "is none of the words", &Sex::list()),
        }
    }
    if all.is_empty() && !faults.any() {
        let right = "--number with --type, or --sex; a declaration: wearbook worker pregnancy";
        faults.push(Fault::new(
            None,
            "number",
            "",
            "is missing, and so is all else",
            right,
        ));
    }
    match faults.any() {
        true => Err(faults.refuse(None, Vec::new())),
        false => Ok(all),
    }
}

/// Erases what is private of a person: the content goes, and the chain says that it went.
pub fn erase_private(
    writer: &mut Writer<'_>,
    (id, what): (&str, Erase),
    reason: &str,
) -> Result<Taken, IntakeError> {
    let names = Names::load(&writer.snapshot()?)?;
    let worker = names.worker(id)?;
    let rows = writer.snapshot()?.private(Some(worker.number()))?;
    let mut all = Taken::default();
    for row in rows {
        if !what.is_of(&row.content) {
            continue;
        }
        let written = writer.erase_private(row.entry, reason)?;
        let (kind, key) = named(&names, worker);
        let one = taken(kind, format!("{key}, erased"), written, writer.head());
        all.add(one);
    }
    if all.items.is_empty() {
        return Err(IntakeError::BadChange {
            detail: format!("nothing of that type is kept of {id}"),
            right: format!("to see what it has: wearbook private show {id}"),
        });
    }
    Ok(all)
}
