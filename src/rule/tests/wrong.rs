//! Files that are refused: every problem with its place and what would be right.

use super::super::{INTERVAL_KEYS, RULE_KEYS, RuleSet, RuleSetProblem, TOLERANCE_KEYS, builtin};
use super::{cautions, level, problems, site};

#[test]
fn every_problem_has_its_place_and_all_are_told_at_once() {
    let text = "\
rule_set = \"our site\"
titel = \"Our site\"
extends = \"10 CFR\"
unit = \"rems\"
year_start = \"02-29\"

[[level]]
key = \"Site Year\"
sort = \"limits\"
quantity = \"deep\"
applies_to = \"adult\"
window = \"any two years\"
dose = \"5,5 rem\"
status = \"red\"
meaning = \"\"

[[interval]]
key = \"meter-calibration\"
what = \"calibration\"
kind = \"each shift\"
months = 6
citation = \"procedure 4\"
status = \"read\"
meaning = \"ours\"
  \u{b5}nknown = 1
";
    let found = problems(&text.replace("\u{b5}nknown", "months_max"));
    let places: Vec<&str> = found
        .iter()
        .map(|line| line.split(':').next().unwrap_or(line))
        .collect();
    assert_eq!(
        places,
        [
            "line 1, column 1",   // no title
            "line 2, column 1",   // titel
            "line 4, column 8",   // rems
            "line 5, column 14",  // 02-29
            "line 7, column 1",   // no citation
            "line 8, column 7",   // Site Year
            "line 9, column 8",   // limits
            "line 12, column 10", // any two years
            "line 13, column 8",  // 5,5
            "line 14, column 10", // red
            "line 15, column 11", // empty
            "line 21, column 10", // each shift takes no months
            "line 25, column 3",  // months_max
        ],
        "{found:#?}"
    );
}

/// One wrong file each: what follows the head, the one problem, what would be right.
const WRONG: &[(&str, &str, &str)] = &[
    (
        "mode = 1\n",
        "line 4, column 1: the file has an unknown field `mode`",
        "the fields here are `extends`, `rule_set`, `title`, `unit`, `year_start`, `confirm`, \
         `si_in_parentheses`, `based_on`, `through`, `jurisdiction`, `cautions`, `level`, \
         `interval`, `tolerance`, `rule`, \
         `event`, `notice`, `fact`, `category`, `authority`, `retention`, `remove`, `pregnancy`, \
         `form`, `dose_bands`, `elsewhere_rule`, `elsewhere_tolerance`, `elsewhere_notice`, \
         `not_elsewhere`",
    ),
    (
        "[[levle]]\nkey = \"a\"\n",
        "line 4, column 3: the file has an unknown field `levle`",
        "did you mean `level`?",
    ),
    (
        "level = 3\n",
        "line 4, column 9: `level` is not a list of sections",
        "begin each with `[[level]]` in double brackets",
    ),
    (
        "si_in_parentheses = \"yes\"\n",
        "line 4, column 21: `si_in_parentheses` is neither true nor false",
        "write true or false, without quotes",
    ),
    (
        "[[rule]]\nkey = \"minor\"\ncitation = \"a\"\nstatus = \"read\"\nmeaning = \"b\"\n",
        "line 4, column 1: rule `minor` has no `remedy`",
        "say what to do when it is broken: `remedy = \"...\"`",
    ),
    (
        "[[tolerance]]\nkey = \"late-entry\"\nhours = 12\ncitation = \"a\"\nstatus = \"read\"\n\
         meaning = \"b\"\n",
        "line 4, column 1: `late-entry` is given as `hours`",
        "give it as `days`",
    ),
    (
        "[[tolerance]]\nkey = \"late-entry\"\ndays = 12\nhours = 1\ncitation = \"a\"\n\
         status = \"read\"\nmeaning = \"b\"\n",
        "line 4, column 1: tolerance `late-entry` has 2 values, not one",
        "give one of `permille`, `dose`, `rate`, `activity`, `hours`, `days`, `years`, `by_day`",
    ),
    (
        "[[tolerance]]\nkey = \"late-entry\"\ndays = 1.5\ncitation = \"a\"\nstatus = \"read\"\n\
         meaning = \"b\"\n",
        "line 6, column 8: `days` is not a whole number above zero",
        "write it without quotes and decimals: `days = 200`",
    ),
    (
        "[[interval]]\nkey = \"a\"\nwhat = \"b\"\nkind = \"within months before use\"\n\
         months = 99999\ncitation = \"a\"\nstatus = \"read\"\nmeaning = \"b\"\n",
        "line 8, column 10: `99999` months is no interval: write 1 to 1200",
        "write 1 to 1200",
    ),
    (
        "[pregnancy]\nlevel = \"pregnanc\"\ncitation = \"a\"\nstatus = \"read\"\nmeaning = \"b\"\n",
        "line 5, column 9: there is no level `pregnanc`",
        "levels of a declared pregnancy are `pregnancy`",
    ),
    (
        "[pregnancy]\nlevel = \"pregnancy\"\nfloor = \"1 rem\"\ncitation = \"a\"\n\
         status = \"read\"\nmeaning = \"b\"\n",
        "line 5, column 9: the floor is above the limit of `pregnancy`",
        "set it below that limit",
    ),
    (
        "[form]\nname = \"our form\"\nnot_required = \"NR\"\nitems = [\"1 name: Name\", \
         \"1 sex: Sex\"]\ncitation = \"a\"\nstatus = \"read\"\nmeaning = \"b\"\n",
        "line 7, column 26: there are two items with the number `1`",
        "give each its own number",
    ),
    (
        "unit = \"mSv\"\nunit = \"rem\"\n",
        "line 5, column 1: `unit` is given twice",
        "give each field once",
    ),
    (
        "unit = mSv\n",
        "line 4, column 8: not readable as TOML: string values must be quoted, expected literal \
         string",
        "write each field as `name = value`, texts in double quotes",
    ),
];

#[test]
fn each_mistake_gets_one_answer_that_says_what_would_be_right() {
    for (rest, what, right) in WRONG {
        let problems = RuleSet::parse(&site(rest)).expect_err(rest);
        let found: Vec<(String, &str)> = problems
            .as_slice()
            .iter()
            .map(|one| (one.to_string(), one.right.as_str()))
            .collect();
        assert_eq!(found, [((*what).to_owned(), *right)], "{rest}");
    }
}

#[test]
fn levels_that_contradict_are_refused() {
    // Levels of one file on top of 10 CFR, and what must be said.
    let table: &[(&[[&str; 5]], &str)] = &[
        (
            &[["a", "limit", "adult", "licensee year", "3 rem"]],
            "line 4, column 1: two levels of one kind say the same or contradict: \
             `deep-year` (licensee year, 50 mSv) and `a` (licensee year, 30 mSv)",
        ),
        (
            &[["a", "limit", "adult", "quarter", "6 rem"]],
            "line 4, column 1: the shorter time has the higher limit: \
             `deep-year` (licensee year, 50 mSv) and `a` (quarter, 60 mSv)",
        ),
        (
            &[["a", "limit", "adult", "any five years", "4 rem"]],
            "line 4, column 1: the shorter time has the higher limit: \
             `deep-year` (licensee year, 50 mSv) and `a` (any five years, 40 mSv)",
        ),
        (
            &[["a", "administrative", "adult", "licensee year", "5.001 rem"]],
            "line 4, column 1: a level of sort `administrative` is above the limit: \
             `deep-year` (licensee year, 50 mSv) and `a` (licensee year, 50.01 mSv)",
        ),
        (
            &[["a", "administrative", "adult", "licensee year", "5 rem"]],
            "",
        ),
        (
            &[[
                "minor-deep-year",
                "limit",
                "minor",
                "licensee year",
                "6 rem",
            ]],
            "line 4, column 1: people under 18 have a looser limit than adults: \
             `deep-year` (licensee year, 50 mSv) and `minor-deep-year` (licensee year, 60 mSv)",
        ),
        (
            &[["a", "limit", "adult", "shift", "1 rem"]],
            "line 4, column 1: level `a` is of sort `limit` over `shift`",
        ),
        (
            &[["a", "limit", "adult", "rest of pregnancy", "1 rem"]],
            "line 4, column 1: level `a` sums a pregnancy of `adult`",
        ),
        (
            &[
                ["a", "investigation", "adult", "month", "100 mrem"],
                ["a", "investigation", "adult", "month", "200 mrem"],
            ],
            "line 15, column 7: there are two levels with the key `a`",
        ),
        (
            &[
                ["a", "investigation", "adult", "quarter", "125 mrem"],
                ["b", "investigation", "adult", "quarter", "375 mrem"],
            ],
            "",
        ),
    ];
    for (levels, wanted) in table {
        let text = site(&levels.iter().copied().map(level).collect::<String>());
        assert_eq!(problems(&text).join("\n"), *wanted, "{text}");
    }
}

#[test]
fn a_level_stands_for_another_only_with_an_authorization() {
    let own = level(["wide", "limit", "adult", "licensee year", "10 rem"]);
    let for_other = |extra: &str| site(&own.replace("dose =", &format!("{extra}\ndose =")));
    let right = "needs_authorization = true\ninstead_of = \"deep-year\"";
    assert_eq!(problems(&for_other(right)), [""; 0]);
    assert_eq!(
        cautions(&for_other(right)),
        ["`wide`: adds an authorized level to `10 CFR`"]
    );
    let lens = "needs_authorization = true\ninstead_of = \"lens-year\"";
    assert_eq!(
        problems(&for_other(lens)),
        ["line 4, column 1: level `wide` cannot stand for `lens-year`"]
    );
    let nothing = "needs_authorization = true\ninstead_of = \"none\"";
    assert_eq!(
        problems(&for_other(nothing)),
        ["line 4, column 1: there is no level `none` that `wide` can stand for"]
    );
    let plain = problems(&for_other("instead_of = \"deep-year\""));
    assert!(plain[0].contains("without an authorization"), "{plain:?}");
}

#[test]
fn a_limit_always_stops_and_a_shift_that_is_over_never() {
    for (own, mark, wanted) in [
        (
            ["own", "limit", "adult", "quarter", "1 rem"],
            "stops = false",
            "line 4, column 1: level `own` is a limit that stops no one",
        ),
        (
            ["own", "shift", "adult", "shift", "50 mrem"],
            "stops = true",
            "line 4, column 1: level `own` is of one shift and stops",
        ),
        (
            ["own", "shift", "adult", "shift", "50 mrem"],
            "stops = false",
            "",
        ),
    ] {
        let text = site(&level(own).replace("dose =", &format!("{mark}\ndose =")));
        assert_eq!(problems(&text).join("\n"), wanted, "{text}");
    }
}

#[test]
fn a_rule_set_to_start_from_must_be_a_built_in_one() {
    let unknown = site("").replace("10 CFR", "10 CRF");
    let problems = RuleSet::parse(&unknown).expect_err("unknown");
    let found: Vec<&RuleSetProblem> = problems.as_slice().iter().collect();
    assert_eq!(found.len(), 1, "{problems}");
    assert_eq!((found[0].line, found[0].column), (3, 11));
    assert_eq!(found[0].right, "did you mean `10 CFR`?");
    let own_name = site("").replace("our site", "10 CFR");
    let problems = RuleSet::parse(&own_name).expect_err("own name");
    assert_eq!(problems.as_slice().len(), 1, "{problems}");
}

#[test]
fn a_file_that_starts_from_nothing_must_have_every_rule_that_checks_ask_for() {
    for (section, keys) in [
        ("interval", INTERVAL_KEYS),
        ("tolerance", TOLERANCE_KEYS),
        ("rule", RULE_KEYS),
    ] {
        for key in keys {
            let from = format!("[[{section}]]\nkey = \"{key}\"\n");
            let text = builtin()[0].text;
            assert!(text.contains(&from), "{from}");
            let text = text.replace(&from, &format!("[[{section}]]\nkey = \"gone\"\n"));
            let wanted = format!("line 1, column 1: the file has no {section} `{key}`");
            let mut found = problems(&text);
            // A rule under a key that no check asks for is a mistake of its own.
            found.retain(|it| !it.ends_with("no check asks for a rule `gone`"));
            assert_eq!(found, [wanted]);
            let adopted = RuleSet::parse_adopted(&text);
            assert!(
                adopted.is_ok(),
                "adopted before {key} was asked for: {adopted:?}"
            );
        }
    }
    let empty = problems("");
    // The five fields of its head, the levels, and one sentence for all the rest.
    assert_eq!(empty.len(), 7, "{empty:#?}");
}

#[test]
fn text_that_is_no_rule_set_at_all_is_refused_without_a_panic() {
    for text in [
        "\u{feff}",
        "{",
        "[[level]",
        "= = =",
        "\0\0",
        "a.b.c = 1",
        "[level]",
        "\"\"\"",
    ] {
        let problems = RuleSet::parse(text).expect_err(text);
        assert!(!problems.as_slice().is_empty(), "{text}");
    }
}

proptest::proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in ".{0,200}") {
        let _ = RuleSet::parse(&text);
    }

    #[test]
    fn a_built_in_rule_set_with_a_piece_cut_out_never_makes_it_panic(
        from in 0..20_000_usize, length in 1..400_usize,
    ) {
        let text: String = builtin()[1]
            .text
            .chars()
            .enumerate()
            .filter(|(n, _)| *n < from || *n >= from + length)
            .map(|(_, c)| c)
            .collect();
        if let Err(problems) = RuleSet::parse(&text) {
            proptest::prop_assert!(!problems.as_slice().is_empty());
        }
    }
}

/// Each mistake of an event or a notice with its answer.
#[test]
fn a_mistaken_event_or_notification_is_told_with_its_place() {
    let base = "extends = \"10 CFR\"\nscheme = \"site\"\ntitle = \"x\"\nconfirm = \"x\"\n";
    let notification = |rest: &str| {
        format!(
            "{base}[[notice]]\nkey = \"own\"\nwhat = \"a call\"\nhow = \"telephone\"\nto = \"us\"\n\
             citation = \"site\"\nstatus = \"read\"\nmeaning = \"x\"\n{rest}\n"
        )
    };
    let good = "clock = \"discovery\"\nwithin = \"2 hours\"";
    assert!(RuleSet::parse(&notification(good)).is_ok());
    for (text, part) in [
        (
            notification("clock = \"noon\"\nwithin = \"2 hours\""),
            "`noon`",
        ),
        (
            notification("clock = \"discovery\"\nwithin = \"soon\""),
            "`soon` is no time",
        ),
        (
            notification("clock = \"first report\"\nwithin = \"2 days\""),
            "go together",
        ),
        (
            notification("clock = \"first report\"\nafter = \"none\"\nwithin = \"2 days\""),
            "is no notice",
        ),
        (
            notification("clock = \"first report\"\nafter = \"own\"\nwithin = \"2 days\""),
            "follows itself",
        ),
        (
            format!(
                "{}\n{}",
                notification("clock = \"first report\"\nafter = \"two\"\nwithin = \"2 days\""),
                "[[notice]]\nkey = \"two\"\nwhat = \"a call\"\nhow = \"telephone\"\nto = \"us\"\n\
                 citation = \"site\"\nstatus = \"read\"\nmeaning = \"x\"\n\
                 clock = \"first report\"\nafter = \"own\"\nwithin = \"2 days\"\n"
            ),
            "follows itself",
        ),
        (
            notification(&format!("{good}\nof = [\"flood\"]")),
            "is no event",
        ),
        (
            notification(&format!("{good}\ndoses = [\"deep 5\"]")),
            "not a dose that",
        ),
        (
            notification(&format!("{good}\nquestions = [\"why\"]")),
            "a key of its own",
        ),
        (
            format!("{base}[[event]]\nkey = \"flood\"\nmeaning = \"x\"\n"),
            "has no `name`",
        ),
    ] {
        let problems = RuleSet::parse(&text).expect_err(&text).to_string();
        assert!(problems.contains(part), "{part}: {problems}");
    }
}
