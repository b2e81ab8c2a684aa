//! Units against published factors: `tests/reference/units.csv` (10 CFR 20.1004 and 20.1005,
//! NIST SP 811 Appendix B).

use wearbook::quantity::{
    Activity, ActivityUnit, Dose, DoseUnit, Indication, IndicationUnit, Length, LengthUnit,
};

const UNITS: &str = include_str!("../reference/units.csv");

/// Rows about units that the program has no use for: absorbed dose and kerma, charge, constants
/// of nuclides, times, and rates in other times than an hour.
const NOT_OURS: &[&str] = &[
    "rad Gy",
    "mrad µGy",
    "Gy rad",
    "cGy rad",
    "µGy mrad",
    "Bq pCi",
    "R C/kg",
    "mR C/kg",
    "mR µC/kg",
    "C/kg R",
    "C/kg mR",
    "R/h mR/min",
    "mR/h µR/s",
    "yd m",
    "R·ft²/(h·Ci) R·m²/(h·Ci)",
    "R·m²/(h·Ci) R·ft²/(h·Ci)",
    "R·cm²/(h·mCi) R·m²/(h·Ci)",
    "mSv·m²/(h·MBq) rem·m²/(h·Ci)",
    "µSv·m²/(h·GBq) mrem·m²/(h·Ci)",
    "µGy·m²/(h·GBq) mrad·m²/(h·Ci)",
    "h s",
    "min h",
    "d h",
    "R Gy (air kerma, electronic equilibrium)",
    "rad rem",
    "Gy Sv",
];

struct Row {
    from: String,
    to: String,
    numerator: i128,
    denominator: i128,
    value: String,
    kind: String,
}

fn rows() -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(UNITS.as_bytes());
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            Row {
                from: record[0].to_owned(),
                to: record[1].to_owned(),
                numerator: record[2].parse().unwrap(),
                denominator: record[3].parse().unwrap(),
                value: record[4].trim_end_matches(".0").to_owned(),
                kind: record[5].to_owned(),
            }
        })
        .collect()
}

/// The sizes of both units and what the program reads and prints, where it has both units.
struct Ours {
    from_size: i64,
    to_size: i64,
    one_printed: String,
    value_read: Option<i64>,
}

fn ours(row: &Row) -> Option<Ours> {
    let text = format!("{} {}", row.value, row.to);
    if let (Ok(from), Ok(to)) = (DoseUnit::parse(&row.from), DoseUnit::parse(&row.to)) {
        return Some(Ours {
            from_size: from.size(),
            to_size: to.size(),
            one_printed: Dose::from_nsv(from.size()).display(to),
            value_read: Dose::parse(&text, None).ok().map(Dose::nsv),
        });
    }
    if let (Ok(from), Ok(to)) = (ActivityUnit::parse(&row.from), ActivityUnit::parse(&row.to)) {
        return Some(Ours {
            from_size: from.size(),
            to_size: to.size(),
            one_printed: Activity::from_bq(from.size()).display(to),
            value_read: Activity::parse(&text, None).ok().map(Activity::bq),
        });
    }
    if let (Ok(from), Ok(to)) = (LengthUnit::parse(&row.from), LengthUnit::parse(&row.to)) {
        return Some(Ours {
            from_size: from.size(),
            to_size: to.size(),
            one_printed: Length::from_nm(from.size()).display(to),
            value_read: Length::parse(&text, None).ok().map(Length::nm),
        });
    }
    let (from, to) = (
        IndicationUnit::parse(&row.from),
        IndicationUnit::parse(&row.to),
    );
    let (from, to) = (from.ok()?, to.ok()?);
    (from.is_exposure() && to.is_exposure()).then(|| Ours {
        from_size: from.size(),
        to_size: to.size(),
        one_printed: Indication::new(from.size(), to).to_string(),
        value_read: Indication::parse(&text, None)
            .ok()
            .map(|shown| shown.count()),
    })
}

/// Whether a fraction in lowest terms has an end in decimals.
fn ends(denominator: i128) -> bool {
    let mut left = denominator;
    for prime in [2, 5] {
        while left % prime == 0 {
            left /= prime;
        }
    }
    left == 1
}

#[test]
fn every_published_factor_between_our_units_holds_exactly() {
    let (mut used, mut unused) = (0, Vec::new());
    for row in rows() {
        let name = format!("{} {}", row.from, row.to);
        let Some(ours) = ours(&row).filter(|_| row.kind == "exact") else {
            if row.kind != "convention" {
                unused.push(name);
            }
            continue;
        };
        let (from, to) = (i128::from(ours.from_size), i128::from(ours.to_size));
        assert_eq!(from * row.denominator, to * row.numerator, "{name}");
        let (number, _) = ours.one_printed.split_once(' ').unwrap();
        if ends(row.denominator) {
            assert_eq!(number, row.value, "{name}");
            assert_eq!(ours.value_read, Some(ours.from_size), "{name}");
        } else {
            // No end in decimals: printed to the last place, and not read, since the published
            // figure is itself rounded.
            let places = number
                .split_once('.')
                .map_or(0, |(_, decimals)| decimals.len());
            let published: f64 = row.value.parse().unwrap();
            assert!(places >= 5, "{name}");
            assert_eq!(number, format!("{published:.places$}"), "{name}");
            assert_eq!(ours.value_read, None, "{name}");
        }
        used += 1;
    }
    assert_eq!(used, 25);
    assert_eq!(unused, NOT_OURS);
}

#[test]
fn exposure_becomes_dose_by_the_stated_convention_and_in_no_other_way() {
    let mut used = 0;
    for row in rows().iter().filter(|row| row.kind == "convention") {
        let text = format!("1 {}", row.from);
        let reading = Indication::parse(&text, None).unwrap();
        let dose = Dose::parse(&format!("{} {}", row.value, row.to), None).unwrap();
        assert_eq!(reading.as_dose_by_convention(), dose, "{text}");
        assert!(Dose::parse(&text, None).is_err(), "{text}");
        used += 1;
    }
    assert_eq!(used, 2);
}
