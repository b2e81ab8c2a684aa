//! The rows of a sheet as they are typed: by flags, or field by field at a prompt.

use clap::Args;

use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{LanguageArg, WriteFlags};
use crate::intake::{PERSON_FIELDS, SHEET_COLUMNS};

/// What a sheet and its start both say.
#[derive(Debug, Default, Args)]
pub(crate) struct HeadArgs {
    /// The office's number of the sheet
    #[arg(long)]
    pub sheet: Option<String>,
    /// Day on which the shift begins
    #[arg(long, value_name = "DATE")]
    pub day: Option<String>,
    /// day, evening or night
    #[arg(long)]
    pub shift: Option<String>,
    /// When the shift begins, HH:MM
    #[arg(long)]
    pub begins: Option<String>,
    /// Id of the job
    #[arg(long)]
    pub job: Option<String>,
    /// radiography, source exchange, maintenance, transport or retrieval
    #[arg(long)]
    pub work: Option<String>,
    /// Id of the exposure device
    #[arg(long)]
    pub device: Option<String>,
    /// Id of the source assembly
    #[arg(long)]
    pub source: Option<String>,
    /// Id of the control unit
    #[arg(long)]
    pub control_unit: Option<String>,
    /// Ids of the guide tubes, separated by spaces
    #[arg(long)]
    pub guide_tubes: Option<String>,
    /// Id of the survey meter
    #[arg(long)]
    pub meter: Option<String>,
    /// Whether the meter was checked before use, yes or no
    #[arg(long)]
    pub meter_checked: Option<String>,
    /// One person: "worker=W01, role=radiographer, dosimeter=PD-01, start=0 mR, end=12 mR, ..."
    #[arg(long, value_name = "FIELDS")]
    pub person: Vec<String>,
    /// Anything else
    #[arg(long)]
    pub note: Option<String>,
}

#[derive(Debug, Default, Args)]
pub(crate) struct StartArgs {
    #[command(flatten)]
    pub head: HeadArgs,
    #[command(flatten)]
    pub language: LanguageArg,
    #[command(flatten)]
    pub write: WriteFlags,
}

impl HeadArgs {
    /// The values, each under its column.
    pub fn cells(&self) -> Vec<(&'static str, &Option<String>)> {
        vec![
            ("sheet", &self.sheet),
            ("day", &self.day),
            ("shift", &self.shift),
            ("begins", &self.begins),
            ("job", &self.job),
            ("work", &self.work),
            ("device", &self.device),
            ("source", &self.source),
            ("control_unit", &self.control_unit),
            ("guide_tubes", &self.guide_tubes),
            ("meter", &self.meter),
            ("meter_checked", &self.meter_checked),
            ("note", &self.note),
        ]
    }
}

/// Values in the order of the columns.
pub(crate) fn row_of(given: &[(&str, &Option<String>)]) -> Vec<String> {
    SHEET_COLUMNS
        .iter()
        .map(|column| {
            let value = given.iter().find(|(name, _)| name == column);
            value
                .and_then(|(_, value)| (*value).clone())
                .unwrap_or_default()
        })
        .collect()
}

/// The place of a column.
pub(crate) fn place(column: &str) -> usize {
    SHEET_COLUMNS
        .iter()
        .position(|it| *it == column)
        .unwrap_or(0)
}

/// Puts a value under a column.
pub(crate) fn put(row: &mut [String], column: &str, value: impl Into<String>) {
    if let Some(cell) = row.get_mut(place(column)) {
        *cell = value.into();
    }
}

/// Reads `worker=W01, role=radiographer, ...` over the head's row.
pub(crate) fn person_row(head: &[String], text: &str) -> Result<Vec<String>, Failure> {
    let mut row = head.to_vec();
    for part in text
        .split(',')
        .map(str::trim)
        .filter(|part| !part.is_empty())
    {
        let right = || format!("fields {}", PERSON_FIELDS.join(", "));
        let Some((field, value)) = part.split_once('=') else {
            return Err(Failure::Flag {
                flag: "person",
                what: format!("`{part}` is not FIELD=VALUE"),
                right: right(),
            });
        };
        let field = field.trim();
        if !PERSON_FIELDS.contains(&field) {
            let near = crate::answer::near(field, PERSON_FIELDS.iter().copied());
            let near = near.first().map(|it| format!("did you mean `{it}`? "));
            return Err(Failure::Flag {
                flag: "person",
                what: format!("`{field}` is not a field of a person"),
                right: near.unwrap_or_default() + &right(),
            });
        }
        put(&mut row, field, value.trim());
    }
    Ok(row)
}

pub(crate) fn cell(row: &[String], column: &str) -> String {
    row.get(place(column)).cloned().unwrap_or_default()
}
