//! The files of one run: what is made before anything is timed, and where.

use std::path::{Path, PathBuf};

use wearbook::calendar::parse_day;
use wearbook::intake::REGISTERS;

use crate::Outcome;
use crate::badges::{self, BADGE_FILES};
use crate::company::{self, REGISTER_FILES};
use crate::shifts::{COLUMNS, Shifts};

/// The day of the last report: the end of the eighth year is still without one.
const LAST_REPORT: &str = "2025-12-31";

/// How large the run is.
#[derive(Clone, Copy)]
pub struct Size {
    /// Readings of the first import.
    pub first: usize,
    /// Readings of each later import, about a month.
    pub month: usize,
    pub small: bool,
}

impl Size {
    pub fn new(small: bool) -> Size {
        let part = if small { 50 } else { 1 };
        Size {
            first: 1_000_000 / part,
            month: 12_000 / part,
            small,
        }
    }
}

/// The folder of the run.
pub struct Files {
    pub dir: PathBuf,
}

impl Files {
    pub fn first(&self) -> PathBuf {
        self.dir.join("first.csv")
    }

    pub fn month(&self, number: usize) -> PathBuf {
        self.dir.join(format!("month-{number}.csv"))
    }

    /// Sheets to be handed in one by one.
    pub fn singles(&self) -> PathBuf {
        self.dir.join("singles.csv")
    }

    /// The ledger with the registers and no sheet.
    pub fn registers(&self) -> PathBuf {
        self.dir.join("registers.db")
    }

    /// The full ledger.
    pub fn ledger(&self) -> PathBuf {
        self.dir.join("ledger.db")
    }

    /// The bare table of the same rows.
    pub fn bare(&self) -> PathBuf {
        self.dir.join("bare.db")
    }

    /// The full ledger with a badge and a result a person and month besides.
    pub fn badged(&self) -> PathBuf {
        self.dir.join("badged.db")
    }

    /// Makes it, once, from the full ledger.
    pub fn make_badged(&self) -> Outcome<()> {
        if self.badged().exists() {
            return Ok(());
        }
        let made = self.dir.join("badged.part");
        std::fs::copy(self.ledger(), &made)?;
        import_all(&made, &self.dir, &BADGE_FILES)?;
        Ok(std::fs::rename(made, self.badged())?)
    }

    pub fn scratch(&self) -> PathBuf {
        self.dir.join("scratch.db")
    }

    /// Writes the CSV files and the ledger with the registers. Returns how many
    /// sheets and readings the first import has.
    pub fn make(&self, size: Size, months: usize, singles: usize) -> Outcome<(usize, usize)> {
        let crews = company::crews(size.small);
        company::write_registers(&self.dir, &crews)?;
        if self.registers().exists() {
            std::fs::remove_file(self.registers())?;
        }
        crate::ours::create(&self.registers())?;
        import_all(&self.registers(), &self.dir, &REGISTER_FILES)?;
        badges::write(&self.dir, &crews, parse_day(LAST_REPORT)?)?;
        if self.badged().exists() {
            std::fs::remove_file(self.badged())?;
        }
        let mut shifts = Shifts::new(crews)?;
        let counts = write_sheets(&self.first(), &mut shifts, |_, rows| rows >= size.first)?;
        for month in 0..months {
            write_sheets(&self.month(month), &mut shifts, |_, rows| {
                rows >= size.month
            })?;
        }
        write_sheets(&self.singles(), &mut shifts, |sheets, _| sheets >= singles)?;
        Ok(counts)
    }
}

fn import_all(ledger: &Path, dir: &Path, files: &[(&str, &str, &str)]) -> Outcome<()> {
    for (noun, import, file) in files {
        let register = REGISTERS
            .iter()
            .find(|it| (it.noun, it.import) == (*noun, *import))
            .ok_or_else(|| format!("no register {noun} {import}"))?;
        crate::ours::import_register(ledger, register, &dir.join(file))?;
    }
    Ok(())
}

fn write_sheets(
    path: &Path,
    shifts: &mut Shifts,
    enough: impl Fn(usize, usize) -> bool,
) -> Outcome<(usize, usize)> {
    let mut out = csv::Writer::from_path(path)?;
    out.write_record(COLUMNS)?;
    let (mut sheets, mut rows) = (0, 0);
    while !enough(sheets, rows) {
        for row in shifts.next_sheet() {
            out.write_record(&row)?;
            rows += 1;
        }
        sheets += 1;
    }
    out.flush()?;
    Ok((sheets, rows))
}

/// The rows of a sheet file, sheet by sheet.
pub fn read_sheets(path: &Path) -> Outcome<Vec<Vec<Vec<String>>>> {
    let mut sheets: Vec<Vec<Vec<String>>> = Vec::new();
    for row in csv::Reader::from_path(path)?.records() {
        let row: Vec<String> = row?.iter().map(str::to_owned).collect();
        match sheets.last_mut() {
            Some(sheet) if sheet.first().and_then(|it| it.first()) == row.first() => {
                sheet.push(row);
            }
            _ => sheets.push(vec![row]),
        }
    }
    Ok(sheets)
}
