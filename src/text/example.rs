//! Examples in messages, in the units that the reader counts in.

/// What messages have in rem and curie, and the same in SI units; longer ones first.
const IN_SI: &[(&str, &str)] = &[
    (
        "`1 to 9 mrem`, `up to 9 mrem`, `9 mrem`, `at least 1 mrem`",
        "`0.01 to 0.09 mSv`, `up to 0.09 mSv`, `0.09 mSv`, `at least 0.01 mSv`",
    ),
    ("`12 mrem` or `0.12 mSv`", "`0.12 mSv`"),
    ("`500 mrem`, `5 mSv`", "`5 mSv`"),
    ("`500 mrem/h`, `5 mSv/h`", "`5 mSv/h`"),
    ("`85 Ci` or `3.1 TBq`", "`3.1 TBq`"),
    ("`85 Ci` or `1.5 TBq`", "`1.5 TBq`"),
    ("`2 m`, `7 ft` or", "`2 m` or"),
    ("`2 to 5 rem`", "`20 to 50 mSv`"),
    ("`above 5 rem`", "`above 50 mSv`"),
    ("`200 mR`", "`2 mSv`"),
    ("`12 mrem`", "`0.12 mSv`"),
    ("`<10 mrem`", "`<0.1 mSv`"),
    ("`50 mrem`", "`0.5 mSv`"),
    ("\"50 mrem\"", "\"0.5 mSv\""),
    ("\"0 mrem\"", "\"0 mSv\""),
    ("`12 mR`", "`0.12 mSv`"),
    ("`85 Ci`", "`3.1 TBq`"),
    ("\"85 Ci\"", "\"3.1 TBq\""),
    ("1 Ci (37 GBq)", "37 GBq"),
    ("`0.48 R m2/(h Ci)`", "`130 uSv m2/(h GBq)`"),
    ("`US NRC`", "the authority's name"),
    ("mR, mrem, uSv or mSv", "uSv or mSv"),
    ("mrem, rem, mSv or uSv", "mSv or uSv"),
    ("mrem or rem, uSv or mSv", "uSv or mSv"),
    ("mrem, mSv or uSv", "mSv or uSv"),
];

/// Before the units that a value may be written in.
const UNITS: &str = "write it with one of ";

/// What would be right, for somebody who counts doses in sievert.
pub fn in_si(right: &str) -> String {
    let put = |text: String, (rem, si): &(&str, &str)| text.replace(rem, si);
    IN_SI.iter().fold(right.to_owned(), put)
}

/// What is wrong with a value, for the same: of the units that it lists, those of the SI. The
/// value stands before them and stays as it was typed.
pub fn si_units_of(what: &str) -> String {
    let Some((value, units)) = what.split_once(UNITS) else {
        return what.to_owned();
    };
    let units: Vec<&str> = units.split(", ").filter(|it| is_si(it)).collect();
    format!("{value}{UNITS}{}", units.join(", "))
}

fn is_si(unit: &str) -> bool {
    let first = unit.split('/').next().unwrap_or(unit);
    let traditional = [
        "mrem", "rem", "urem", "mR", "R", "uR", "Ci", "mCi", "uCi", "in", "ft",
    ];
    !traditional.contains(&first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_example_is_in_the_units_of_its_reader() {
        let rows = [
            (
                "a dose such as `12 mrem` or `0.12 mSv`",
                "a dose such as `0.12 mSv`",
            ),
            ("such as `85 Ci` or `3.1 TBq`", "such as `3.1 TBq`"),
            ("such as `85 Ci`", "such as `3.1 TBq`"),
            ("write `2026-06-14`", "write `2026-06-14`"),
        ];
        for (right, expected) in rows {
            assert_eq!(in_si(right), expected);
        }
    }

    #[test]
    fn a_value_stays_as_it_was_typed() {
        let what = "`12 mrem, 3` has no unit: write it with one of mrem, rem, mSv, mrem/h, uSv/h";
        let said = "`12 mrem, 3` has no unit: write it with one of mSv, uSv/h";
        assert_eq!(si_units_of(what), said);
        assert_eq!(si_units_of("`12 mrem` is no day"), "`12 mrem` is no day");
    }
}
