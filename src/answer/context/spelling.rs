//! What stands in a body, as people write it: records by the names that lead to them, doses in
//! the ledger's unit. A correction takes the same words.

use super::names::Names;
use crate::ledger::{LedgerError, Snapshot};
use crate::quantity::DoseUnit;
use crate::record::{Body, Cell, Goal, Kind, RecordId, differences, lines};
use serde::Serialize;

/// One field of an entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FieldLine {
    /// Its path, as `entry correct` takes it.
    pub field: String,
    /// Its value, as `entry correct` takes it.
    pub value: String,
    /// Whom or what it means, where it is the name of a record.
    pub means: Option<String>,
    /// Whether the program wrote it and nobody corrects it.
    pub fixed: bool,
}

/// A field in which two bodies differ, and what each has there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Its path.
    pub field: String,
    /// What the one has; nothing where it is blank.
    pub old: Option<String>,
    /// What the other has.
    pub new: Option<String>,
}

/// What stands for the fields of an entry that tells of a declared pregnancy itself, as older
/// programs chained them: only `private show` tells it.
pub(crate) fn masked() -> FieldLine {
    FieldLine {
        field: "content".to_owned(),
        value: "private".to_owned(),
        means: None,
        fixed: true,
    }
}

/// Writes bodies as people write them.
#[derive(Debug)]
pub struct Spelling<'a> {
    snapshot: &'a Snapshot<'a>,
    names: &'a Names,
}

impl<'a> Spelling<'a> {
    /// With the names that the registers have.
    pub fn new(snapshot: &'a Snapshot<'a>, names: &'a Names) -> Spelling<'a> {
        Spelling { snapshot, names }
    }

    fn unit(&self) -> DoseUnit {
        self.names.charter.dose_unit()
    }

    /// The fields of a body, each with its value.
    pub fn fields(&self, body: &Body) -> Result<Vec<FieldLine>, LedgerError> {
        if matches!(body, Body::Pregnancy(_) | Body::PregnancyEnd(_)) {
            return Ok(vec![masked()]);
        }
        let lines = lines(body).into_iter().map(|line| {
            let (value, means) = self.cell(&line.cell)?;
            Ok(FieldLine {
                field: line.path,
                value,
                means,
                fixed: line.fixed,
            })
        });
        let all: Vec<FieldLine> = lines.collect::<Result<_, LedgerError>>()?;
        // Two forms of a scope may name one day; people read it once.
        let mut once: Vec<FieldLine> = Vec::new();
        for line in all {
            let said = |it: &FieldLine| it.field == line.field && it.value == line.value;
            if !once.iter().any(said) {
                once.push(line);
            }
        }
        Ok(once)
    }

    /// The fields in which two bodies differ.
    pub fn differences(&self, old: &Body, new: &Body) -> Result<Vec<Difference>, LedgerError> {
        let words = |cell: Option<Cell>| match cell {
            Some(cell) => self.cell(&cell).map(|(value, _)| Some(value)),
            None => Ok(None),
        };
        let all = differences(old, new).into_iter().map(|(field, old, new)| {
            Ok(Difference {
                field,
                old: words(old)?,
                new: words(new)?,
            })
        });
        all.collect()
    }

    fn cell(&self, cell: &Cell) -> Result<(String, Option<String>), LedgerError> {
        Ok(match cell {
            Cell::Words(words) => (words.clone(), None),
            Cell::Dose(dose) => (dose.display(self.unit()), None),
            Cell::Below { code, minimum } => {
                (format!("{code} <{}", minimum.display(self.unit())), None)
            }
            Cell::To(goal, record) => self.record(*goal, *record)?,
            Cell::Joined(between, cells) => {
                let words: Result<Vec<String>, LedgerError> =
                    cells.iter().map(|it| Ok(self.cell(it)?.0)).collect();
                (words?.join(between), None)
            }
        })
    }

    /// The name that leads to a record, and whom or what it means.
    fn record(
        &self,
        goal: Goal,
        record: RecordId,
    ) -> Result<(String, Option<String>), LedgerError> {
        let names = self.names;
        if let Some(it) = names.worker_body(record) {
            return Ok((it.id.clone(), Some(it.name.clone())));
        }
        if let Some(it) = names.job_body(record) {
            return Ok((it.id.clone(), Some(it.place.clone())));
        }
        if let Some(word) = names.type_word(record) {
            return Ok((names.label(record), Some(word.to_owned())));
        }
        if let Some(name) = names.event_name(record) {
            return Ok((name.to_owned(), None));
        }
        let name = match self.kind(record)? {
            Some(Kind::Badge) if goal.kinds.contains(&Kind::Badge) => {
                let wear = self.snapshot.wear_of_record(record)?;
                wear.map(|wear| wear.name())
            }
            Some(Kind::Sheet) if goal.kinds.contains(&Kind::Sheet) => self.reference(record)?,
            _ => None,
        };
        if let Some(name) = name {
            return Ok((name, None));
        }
        let means = self.kind(record)?.map(|kind| kind.word().to_owned());
        Ok((format!("entry:{record}"), means))
    }

    fn kind(&self, record: RecordId) -> Result<Option<Kind>, LedgerError> {
        if !(1..=self.snapshot.known_at()).contains(&record) {
            return Ok(None);
        }
        Ok(Kind::from_stored(&self.snapshot.entry(record)?.kind))
    }

    /// A sheet's own number, where it leads to this sheet.
    fn reference(&self, record: RecordId) -> Result<Option<String>, LedgerError> {
        let newest = self.snapshot.body(self.snapshot.newest(record)?)?;
        let Some(Body::Sheet(sheet)) = newest else {
            return Ok(None);
        };
        let Some(reference) = sheet.reference else {
            return Ok(None);
        };
        let found = self.snapshot.find(Kind::Sheet, &reference)?;
        Ok((found == Some(record)).then_some(reference))
    }
}
