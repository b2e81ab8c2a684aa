//! The invented company of the benchmarks: its people and things, as the CSV
//! files that an office would import before its sheets.

use std::path::Path;

use crate::Outcome;

/// The first day of the first shift.
pub const FIRST_DAY: &str = "2018-01-01";
/// Years for which sources are on the register, one more than the ledger is long.
const YEARS: usize = 9;

/// One person with what the person wears.
pub struct Member {
    pub id: String,
    pub role: &'static str,
    pub dosimeter: String,
    /// Electronic, showing microsievert; else a pocket dosimeter showing mR.
    pub electronic: bool,
    pub ratemeter: String,
}

/// People who work together, with their set of equipment.
pub struct Crew {
    pub id: String,
    pub number: usize,
    pub members: Vec<Member>,
}

impl Crew {
    /// A piece of the crew's equipment: `ED` device, `CU` control unit, `SM` meter.
    pub fn item(&self, kind: &str) -> String {
        format!("{kind}-{}", self.id)
    }

    /// The source assembly in a half-year, counted from the first.
    pub fn source(&self, half_year: usize) -> String {
        format!("SA-{}-{half_year:02}", self.id)
    }
}

/// 500 people in 170 crews of three and two, or 10 people in four.
pub fn crews(small: bool) -> Vec<Crew> {
    let (count, every) = if small { (4, 2) } else { (170, 17) };
    let mut person = 0;
    (0..count)
        .map(|number| {
            let size = if (number + 1) % every == 0 { 2 } else { 3 };
            let members = (0..size).map(|place| {
                person += 1;
                let electronic = person % 5 == 0;
                Member {
                    id: format!("W{person:03}"),
                    role: match (place, person % 4) {
                        (0, _) | (1, 0) => "radiographer",
                        (2, 0) => "trainee",
                        _ => "assistant",
                    },
                    dosimeter: format!("{}-{person:03}", if electronic { "EP" } else { "PD" }),
                    electronic,
                    ratemeter: format!("RM-{person:03}"),
                }
            });
            Crew {
                id: format!("K{number:03}"),
                number,
                members: members.collect(),
            }
        })
        .collect()
}

/// How many jobs there are; crews go from one to the next.
pub const JOBS: usize = 60;

const ZONES: [&str; 4] = [
    "America/Chicago",
    "America/New_York",
    "America/Denver",
    "America/Los_Angeles",
];

/// The files of the registers, each with the noun and verb of its import, in an
/// order in which nothing is named before it is known.
pub const REGISTER_FILES: [(&str, &str, &str); 6] = [
    ("job", "import", "jobs.csv"),
    ("worker", "import", "workers.csv"),
    ("equipment", "import", "equipment.csv"),
    ("equipment", "leak-tests", "leak-tests.csv"),
    ("instrument", "import", "instruments.csv"),
    ("instrument", "checks", "checks.csv"),
];

/// Writes the files of the registers.
pub fn write_registers(dir: &Path, crews: &[Crew]) -> Outcome<()> {
    write_jobs(dir)?;
    write_workers(dir, crews)?;
    write_equipment(dir, crews)?;
    write_leak_tests(dir, crews)?;
    write_instruments(dir, crews)?;
    write_checks(dir, crews)
}

fn write_jobs(dir: &Path) -> Outcome<()> {
    let mut out = csv::Writer::from_path(dir.join("jobs.csv"))?;
    out.write_record([
        "id",
        "place",
        "jurisdiction",
        "setting",
        "zone",
        "first_day",
    ])?;
    for (at, zone) in (0..JOBS).zip(ZONES.iter().cycle()) {
        let setting = if at % 6 == 0 {
            "permanent radiographic installation"
        } else {
            "temporary jobsite"
        };
        let (id, place) = (
            format!("J{at:02}"),
            format!("Pipeline section {at} (invented)"),
        );
        out.write_record([id.as_str(), &place, "NRC", setting, zone, FIRST_DAY])?;
    }
    Ok(out.flush()?)
}

fn write_workers(dir: &Path, crews: &[Crew]) -> Outcome<()> {
    const FIRST: [&str; 10] = [
        "Amara", "Bohdan", "Chiara", "Dilip", "Edda", "Farid", "Greta", "Hiro", "Ines", "Jonah",
    ];
    const LAST: [&str; 50] = [
        "Abiola",
        "Brask",
        "Cortez",
        "Dahl",
        "Egede",
        "Fontaine",
        "Gruber",
        "Haugen",
        "Ilves",
        "Jansen",
        "Kaya",
        "Lindqvist",
        "Moreau",
        "Novak",
        "Okafor",
        "Petrov",
        "Quist",
        "Rossi",
        "Sato",
        "Tamm",
        "Ueda",
        "Varga",
        "Weber",
        "Xu",
        "Yilmaz",
        "Zeman",
        "Aalto",
        "Berg",
        "Costa",
        "Dufour",
        "Eriksen",
        "Farkas",
        "Gomez",
        "Holm",
        "Ito",
        "Joshi",
        "Kowal",
        "Lopez",
        "Meyer",
        "Nagy",
        "Olsen",
        "Pires",
        "Ruiz",
        "Silva",
        "Toth",
        "Urban",
        "Vega",
        "Wolf",
        "Yang",
        "Zhou",
    ];
    let mut out = csv::Writer::from_path(dir.join("workers.csv"))?;
    out.write_record([
        "id",
        "name",
        "role",
        "category",
        "birth_date",
        "monitored_from",
    ])?;
    let names = LAST
        .iter()
        .flat_map(|last| FIRST.iter().map(move |first| (first, last)));
    let members = crews.iter().flat_map(|crew| &crew.members);
    for (at, (member, (first, last))) in members.zip(names).enumerate() {
        let name = format!("{first} {last}");
        let born = format!("{}-{:02}-{:02}", 1962 + at % 34, 1 + at % 12, 1 + at % 28);
        let from = format!("{}-03-01", 2008 + at % 10);
        out.write_record([
            member.id.as_str(),
            &name,
            member.role,
            "exposed",
            &born,
            &from,
        ])?;
    }
    Ok(out.flush()?)
}

fn write_equipment(dir: &Path, crews: &[Crew]) -> Outcome<()> {
    let mut out = csv::Writer::from_path(dir.join("equipment.csv"))?;
    out.write_record([
        "id",
        "type",
        "serial",
        "nuclide",
        "activity",
        "activity_on",
        "in_service",
    ])?;
    for crew in crews {
        let things = [
            ("ED", "exposure device"),
            ("CU", "control unit"),
            ("GT1", "guide tube"),
            ("GT2", "guide tube"),
        ];
        for (short, kind) in things {
            let (id, serial) = (crew.item(short), format!("X{short}{}", crew.number));
            out.write_record([id.as_str(), kind, &serial, "", "", "", "2017-06-01"])?;
        }
        for half_year in 0..2 * YEARS {
            let month = if half_year % 2 == 0 { "01-01" } else { "07-01" };
            let on = format!("{}-{month}", 2018 + half_year / 2);
            let (id, serial) = (
                crew.source(half_year),
                format!("S{}{half_year}", crew.number),
            );
            let kind = "source assembly";
            out.write_record([id.as_str(), kind, &serial, "Ir-192", "100 Ci", &on, &on])?;
        }
    }
    Ok(out.flush()?)
}

fn write_instruments(dir: &Path, crews: &[Crew]) -> Outcome<()> {
    let mut out = csv::Writer::from_path(dir.join("instruments.csv"))?;
    out.write_record([
        "id",
        "type",
        "serial",
        "unit",
        "range",
        "scale",
        "scales",
        "alarm_preset",
        "in_service",
    ])?;
    let since = "2017-06-01";
    for crew in crews {
        let (meter, serial) = (crew.item("SM"), format!("M{}", crew.number));
        let scales = "10 mR/h / 100 mR/h / 1000 mR/h";
        let kind = "survey meter";
        out.write_record([
            meter.as_str(),
            kind,
            &serial,
            "",
            "",
            "linear",
            scales,
            "",
            since,
        ])?;
        for member in &crew.members {
            let (kind, unit, range) = if member.electronic {
                ("electronic dosimeter", "uSv", "100 mSv")
            } else {
                ("pocket dosimeter", "mR", "200 mR")
            };
            let serial = format!("D{}", member.id);
            let id = member.dosimeter.as_str();
            out.write_record([id, kind, &serial, unit, range, "", "", "", since])?;
            let (id, serial) = (member.ratemeter.as_str(), format!("R{}", member.id));
            let kind = "alarm ratemeter";
            out.write_record([id, kind, &serial, "", "", "", "", "500 mR/h", since])?;
        }
    }
    Ok(out.flush()?)
}

/// Each source is tested on its first day, which is current for the half-year that it serves.
fn write_leak_tests(dir: &Path, crews: &[Crew]) -> Outcome<()> {
    let mut out = csv::Writer::from_path(dir.join("leak-tests.csv"))?;
    out.write_record(["item", "on", "part", "removable", "performed_by"])?;
    for crew in crews {
        for half_year in 0..2 * YEARS {
            let month = if half_year % 2 == 0 { "01-01" } else { "07-01" };
            let on = format!("{}-{month}", 2018 + half_year / 2);
            let id = crew.source(half_year);
            out.write_record([id.as_str(), &on, "source", "< 5 Bq", "Wipe Lab"])?;
        }
    }
    Ok(out.flush()?)
}

/// A check of every instrument each half-year.
fn write_checks(dir: &Path, crews: &[Crew]) -> Outcome<()> {
    let mut out = csv::Writer::from_path(dir.join("checks.csv"))?;
    out.write_record([
        "instrument",
        "on",
        "type",
        "result",
        "performed_by",
        "certificate",
    ])?;
    for half_year in 0..2 * YEARS {
        let month = if half_year % 2 == 0 { "01" } else { "07" };
        for crew in crews {
            let on = format!(
                "{}-{month}-{:02}",
                2018 + half_year / 2,
                1 + crew.number % 5
            );
            let mut check =
                |id: &str, kind: &str| out.write_record([id, &on, kind, "pass", "Edda Brask", ""]);
            check(&crew.item("SM"), "calibration")?;
            for member in &crew.members {
                check(&member.dosimeter, "response check")?;
                check(&member.ratemeter, "calibration")?;
            }
        }
    }
    Ok(out.flush()?)
}
