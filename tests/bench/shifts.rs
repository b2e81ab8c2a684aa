//! Shifts of the invented company, one sheet after the other, as the rows of a
//! sheet file.

use chrono::{Datelike, Weekday};
use wearbook::calendar::{Day, parse_day};

use crate::Outcome;
use crate::company::{Crew, FIRST_DAY, JOBS, Member};
use crate::dice::Dice;

/// The columns that are written, in this order.
pub const COLUMNS: &[&str] = wearbook::intake::SHEET_COLUMNS;

/// Hands out sheets in the order of days, without end.
pub struct Shifts {
    crews: Vec<Crew>,
    dice: Dice,
    day: Day,
    next_crew: usize,
    /// What each person's pocket dosimeter shows, in mR.
    shown: Vec<Vec<u64>>,
}

impl Shifts {
    pub fn new(crews: Vec<Crew>) -> Outcome<Shifts> {
        let shown = crews
            .iter()
            .map(|crew| vec![0; crew.members.len()])
            .collect();
        Ok(Shifts {
            crews,
            dice: Dice::new(2018),
            day: parse_day(FIRST_DAY)?,
            next_crew: 0,
            shown,
        })
    }

    /// The next sheet: one row a person.
    pub fn next_sheet(&mut self) -> Vec<Vec<String>> {
        loop {
            if self.next_crew == self.crews.len() {
                self.next_crew = 0;
                self.day = self.day + chrono::Days::new(1);
            }
            if matches!(self.day.weekday(), Weekday::Sat | Weekday::Sun) {
                self.next_crew = self.crews.len();
                continue;
            }
            let crew = self.next_crew;
            self.next_crew += 1;
            // Holidays, illness, rain.
            if !self.dice.once_in(24) {
                return self.sheet(crew);
            }
        }
    }

    fn sheet(&mut self, at: usize) -> Vec<Vec<String>> {
        let (Some(crew), Some(shown)) = (self.crews.get(at), self.shown.get_mut(at)) else {
            return Vec::new();
        };
        let dice = &mut self.dice;
        let head = head(crew, self.day, dice);
        let mut rows = Vec::new();
        for (member, shown) in crew.members.iter().zip(shown) {
            let cells = head.iter().cloned().chain(person(member, shown, dice));
            let mut row: Vec<String> = cells.collect();
            // What is asked of no sheet here, such as the badge's own number, is blank.
            row.resize(COLUMNS.len(), String::new());
            rows.push(row);
        }
        rows
    }
}

/// The cells from `sheet` to `attested_by`.
fn head(crew: &Crew, day: Day, dice: &mut Dice) -> Vec<String> {
    let week = day.iso_week().week() as usize + crew.number;
    let [shift, begins, ends, out, back] = match week % 10 {
        7 | 8 => ["evening", "15:00", "23:00", "14:40", "23:20"],
        9 => ["night", "22:00", "06:00", "21:40", "06:15"],
        _ => ["day", "07:00", "15:00", "06:30", "15:20"],
    };
    let years = day.year() - 2018;
    let half_year = usize::try_from(years).unwrap_or(0) * 2 + usize::from(day.month() > 6);
    let job = (crew.number + day.month() as usize / 2) % JOBS;
    let work = match dice.roll(100) {
        0 => "maintenance",
        1 | 2 => "transport",
        _ => "radiography",
    };
    let exposures = 5 + dice.roll(35);
    let minutes = format!("{}.{}", exposures * 2, 5 * dice.roll(2));
    vec![
        format!("{}-{day}-{shift}", crew.id),
        day.to_string(),
        shift.to_owned(),
        begins.to_owned(),
        ends.to_owned(),
        format!("J{job:02}"),
        work.to_owned(),
        crew.item("ED"),
        crew.source(half_year),
        crew.item("CU"),
        format!("{} {}", crew.item("GT1"), crew.item("GT2")),
        crew.item("SM"),
        exposures.to_string(),
        minutes,
        format!("1.{} mR/h", dice.roll(10)),
        format!("{} mR/h", 8 + dice.roll(20)),
        out.to_owned(),
        back.to_owned(),
        crew.members
            .first()
            .map(|it| it.id.clone())
            .unwrap_or_default(),
    ]
}

/// The cells from `worker` to `first_exposure`.
fn person(member: &Member, shown: &mut u64, dice: &mut Dice) -> Vec<String> {
    // Mostly 0 to 10 mR a shift, some 20 to 60.
    let dose = match dice.roll(100) {
        0..3 => 20 + dice.roll(40),
        _ => dice.roll(6) + dice.roll(6),
    };
    let (start, end) = if member.electronic {
        (0, dose * 10 + dice.roll(10))
    } else {
        if *shown > 80 {
            *shown = 0;
        }
        let start = *shown;
        *shown += dose;
        (start, *shown)
    };
    let unit = if member.electronic { " uSv" } else { " mR" };
    let unit = if dice.roll(3) == 0 { unit } else { "" };
    let off_scale = dice.once_in(20_000);
    // A slip of the pen now and then: such a sheet is held.
    let dosimeter = match dice.once_in(5_000) {
        true => member.dosimeter.replace("D-", "O-"),
        false => member.dosimeter.clone(),
    };
    let unit = if dosimeter == member.dosimeter || !unit.is_empty() {
        unit
    } else {
        " mR"
    };
    let cells = [
        member.id.as_str(),
        member.role,
        &dosimeter,
        "1",
        &format!("{start}{unit}"),
        &if off_scale {
            String::new()
        } else {
            format!("{end}{unit}")
        },
        if off_scale { "yes" } else { "no" },
        &member.ratemeter,
        "yes",
        if dice.once_in(300) { "no" } else { "yes" },
        "",
        "",
        "",
        "",
        if dice.once_in(50) {
            "rain, work stopped for an hour"
        } else {
            ""
        },
        "",
    ];
    cells.map(str::to_owned).to_vec()
}
