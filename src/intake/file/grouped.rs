//! Rows that stand together in a file and are one record: the lines of an inspection, the
//! points of a calibration.

use std::collections::HashSet;

use super::cells::Cells;
use super::columns::{Columns, Row};
use crate::answer::Names;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::said::TableFile;
use crate::intake::entry::take::keep;
use crate::intake::entry::taken::Taken;
use crate::ledger::Writer;

/// Where such rows come from.
#[derive(Debug)]
pub enum Batch<'a> {
    /// A file.
    File(TableFile<'a>),
    /// Typed rows, in the order of the columns.
    Typed(Vec<Vec<String>>),
    /// The same from a form that has a place for each: a fault says in which of them it is.
    Form(Vec<Vec<String>>),
}

/// The same, with its file open.
pub(crate) enum Opened {
    File(Box<Cells>),
    Typed(Vec<Row>),
}

impl Batch<'_> {
    /// Whether it is history that was written elsewhere.
    pub(crate) fn is_transcribed(&self) -> bool {
        matches!(self, Batch::File(file) if file.said.transcribed)
    }

    /// Opens the file, and writes down what has to be told of it.
    pub(crate) fn open(
        self,
        (writer, names): (&mut Writer<'_>, &Names),
        shape: &Shape,
        (taken, faults): (&mut Taken, &mut Faults),
    ) -> Result<Opened, IntakeError> {
        match self {
            Batch::Typed(rows) => Ok(Opened::Typed(rows.into_iter().map(Row::typed).collect())),
            Batch::Form(rows) => Ok(Opened::Typed(Row::all_typed(rows))),
            Batch::File(file) => {
                let (cells, saved) = file.open(writer, shape.names, shape.needed)?;
                if let Some(mapping) = saved {
                    keep(writer, names, mapping, taken, faults)?;
                }
                taken.notes.extend(cells.notes.iter().cloned());
                Ok(Opened::File(Box::new(cells)))
            }
        }
    }
}

/// What makes rows one record.
pub(crate) struct Shape {
    /// All columns.
    pub names: &'static [&'static str],
    /// Columns that a file must have.
    pub needed: &'static [&'static str],
    /// Columns whose cells are the same on all rows of one record. A row that leaves all of
    /// them blank goes with the row above.
    pub head: &'static [usize],
    /// What one record is, for messages.
    pub what: &'static str,
}

/// Reads all rows and gives the rows of each record to `take`, in order. Returns the file's
/// name.
pub(crate) fn each_group(
    shape: &Shape,
    batch: Opened,
    faults: &mut Faults,
    mut take: impl FnMut(&Columns, &[Row], &mut Faults) -> Result<(), IntakeError>,
) -> Result<Option<String>, IntakeError> {
    let mut group: Vec<Row> = Vec::new();
    let mut seen: HashSet<Vec<String>> = HashSet::new();
    let mut push = |columns: &Columns, row: Row, group: &mut Vec<Row>, faults: &mut Faults| {
        let head = head(shape, columns, &row);
        let follows = group.first().is_some_and(|first| {
            head.iter().all(String::is_empty) || { head == self::head(shape, columns, first) }
        });
        if !follows {
            if !group.is_empty() {
                take(columns, group, faults)?;
                group.clear();
            }
            if !seen.insert(head) {
                let what = format!("the rows of this {} do not stand together", shape.what);
                let right = "put all its rows on lines that follow each other";
                faults.push(Fault::new(row.line, "", "", what, right));
            }
        }
        group.push(row);
        Ok::<(), IntakeError>(())
    };
    let (columns, file) = match batch {
        Opened::Typed(rows) => {
            let columns = Columns::whole(shape.names);
            for row in rows {
                push(&columns, row, &mut group, faults)?;
            }
            (columns, None)
        }
        Opened::File(mut cells) => {
            let mut row = Row::default();
            while cells.next(&mut row, faults) {
                push(&cells.columns, row.clone(), &mut group, faults)?;
            }
            let file = cells.file().to_owned();
            (cells.columns, Some(file))
        }
    };
    if !group.is_empty() {
        take(&columns, &group, faults)?;
    }
    Ok(file)
}

fn head(shape: &Shape, columns: &Columns, row: &Row) -> Vec<String> {
    let cells = shape.head.iter();
    cells
        .map(|column| columns.cell(row, *column).to_lowercase())
        .collect()
}
