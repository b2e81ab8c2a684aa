//! A site's file that starts from a state's, which starts from a built-in rule set; numbers in
//! sentences; what holds elsewhere.

use super::super::{RuleSet, Tells, left_open, offer};

const STATE: &str = include_str!("../../../demo/state-rules.toml");

/// A file of a site, with the state's file and others beside it.
fn adopt(text: &str, others: &[(&str, &str)]) -> Result<(RuleSet, String), String> {
    let beside = |name: &str| {
        let all = [("state.toml", STATE)];
        let mut all = all.iter().chain(others);
        all.find(|it| it.0 == name).map(|it| Ok(it.1.to_owned()))
    };
    RuleSet::parse_for_adoption(text, &beside).map_err(|it| it.to_string())
}

fn site(extends: &str, rest: &str) -> String {
    format!("extends = \"{extends}\"\nscheme = \"yard\"\ntitle = \"Our yard\"\n{rest}")
}

const OWN_DUTY: &str = "[[notice]]\nkey = \"tell-client\"\nwhat = \"word to the client\"\n\
    clock = \"discovery\"\nwithin = \"1 hours\"\nhow = \"telephone\"\nto = \"the client\"\n\
    citation = \"procedure 9\"\nstatus = \"read\"\nmeaning = \"The client is told.\"\n";

#[test]
fn a_chain_keeps_what_each_file_gives_and_leaves_out() {
    let remove = "[[remove]]\nkey = \"call-of-badge\"\nreason = \"told with the month\"\n";
    let (rule_set, kept) = adopt(&site("state.toml", &format!("{remove}{OWN_DUTY}")), &[]).unwrap();
    for rule_set in [rule_set, RuleSet::parse_adopted(&kept).unwrap()] {
        assert_eq!(rule_set.root(), "10 CFR");
        assert_eq!(rule_set.through, ["Merrowan"]);
        assert_eq!(rule_set.jurisdiction(), Some("Merrowan"));
        assert!(rule_set.duty("call-of-badge").is_none());
        assert!(rule_set.duty("tell-client").is_some());
        let meter = rule_set.interval("meter-calibration").unwrap();
        assert_eq!(meter.interval.months(), Some(3));
        let told = rule_set.caution_of(Tells::Duties);
        assert!(
            told.contains("LEFT OUT by this site's rules: the duty `call-of-badge`"),
            "{told}"
        );
        assert_eq!(rule_set.caution_of(Tells::Levels), rule_set.confirm);
        // Where another's rules hold the state's own do not, and the site's do.
        let away = rule_set.at_job("NRC").expect("another's");
        assert!(away.duty("call-of-badge").is_none());
        assert!(away.duty("tell-client").is_some());
        let written = away.duty("written-34-101").unwrap();
        assert!(
            written.citation.starts_with("10 CFR 34.101"),
            "{}",
            written.citation
        );
        assert!(written.contents.iter().all(|it| it.key != "material"));
    }
}

#[test]
fn what_one_file_of_a_chain_left_out_another_gives_again_or_tells_as_the_others() {
    let remove = "[[remove]]\nkey = \"lens-year\"\nreason = \"condition 14\"\n";
    let region = site("state.toml", remove).replace("yard", "region");
    let others = [("region.toml", region.as_str())];
    let (rule_set, _) = adopt(&site("region.toml", ""), &others).unwrap();
    assert_eq!(rule_set.through, ["Merrowan", "region"]);
    let told = rule_set.caution_of(Tells::Levels);
    assert!(
        told.contains("LEFT OUT by the rules of region: the limit `lens-year`"),
        "{told}"
    );
    let again = "[[level]]\nkey = \"lens-year\"\nsort = \"limit\"\nquantity = \"lens\"\n\
        applies_to = \"adult\"\nwindow = \"licensee year\"\ndose = \"15 rem\"\n\
        needs_authorization = false\ncut_by_missing_quarters = false\ncitation = \"x\"\n\
        status = \"read\"\nmeaning = \"x\"\n";
    let (rule_set, _) = adopt(&site("region.toml", again), &others).unwrap();
    assert!(rule_set.level("lens-year").is_some());
    assert_eq!(rule_set.caution_of(Tells::Both), rule_set.confirm);
    // A change that the file between made is said of it.
    let looser = "[[tolerance]]\nkey = \"badge-to-processor\"\nhours = 48\ncitation = \"x\"\n\
        status = \"read\"\nmeaning = \"x\"\n";
    let region = site("10 CFR", looser).replace("yard", "region");
    let (rule_set, kept) = adopt(&site("region.toml", ""), &[("region.toml", &region)]).unwrap();
    let said = |rule_set: &RuleSet| {
        rule_set
            .cautions()
            .iter()
            .map(ToString::to_string)
            .collect()
    };
    let told: Vec<String> = said(&rule_set);
    assert_eq!(told, ["`badge-to-processor`: is looser than in `10 CFR`"]);
    let again: Vec<String> = said(&RuleSet::parse_adopted(&kept).unwrap());
    assert_eq!(again, told);
}

#[test]
fn a_chain_that_leads_nowhere_is_refused_at_its_line() {
    let round = site("yard.toml", "");
    let broken = "extends = \"10 CFR\"\nscheme = \"b\"\ntitle = \"b\"\nunti = 3\n";
    let others = [("yard.toml", round.as_str()), ("broken.toml", broken)];
    for (extends, said) in [
        (
            "yard.toml",
            "line 1, column 11: `yard.toml`, from which it starts, is refused",
        ),
        ("yard.toml", "starts from itself in the end"),
        ("broken.toml", "unknown field `unti`"),
        (
            "broken.toml",
            "hint: mend it first: wearbook rules check broken.toml",
        ),
        (
            "none.toml",
            "no built-in rule set `none.toml` to start from",
        ),
    ] {
        let refused = adopt(&site(extends, ""), &others).unwrap_err();
        assert!(refused.contains(said), "{said}: {refused}");
    }
}

/// The state's three months reach the sentence; a number that nobody changed is as before.
#[test]
fn a_sentence_has_the_number_that_holds() {
    let (state, kept) = adopt(STATE, &[]).unwrap();
    for rule_set in [state, RuleSet::parse_adopted(&kept).unwrap()] {
        let of = |key: &str| rule_set.rule(key).unwrap().meaning.clone();
        assert!(
            of("meter-calibration").contains("not to exceed 3 months"),
            "{}",
            of("meter-calibration")
        );
        assert!(
            of("leak-test").contains("not to exceed 6 months"),
            "{}",
            of("leak-test")
        );
        assert!(
            of("response-check").contains("to within 30 %"),
            "{}",
            of("response-check")
        );
    }
    for it in super::super::builtin() {
        let (rule_set, kept) = RuleSet::parse_for_adoption(it.text, &|_| None).unwrap();
        let places = |text: &str| text.contains("{") && !text.contains("{{");
        for rule in &rule_set.rules {
            assert!(
                !places(&rule.meaning) && !places(&rule.remedy),
                "{}: {}",
                it.name,
                rule.key
            );
        }
        assert_eq!(
            RuleSet::parse_adopted(&kept).unwrap(),
            rule_set,
            "{}",
            it.name
        );
    }
    let rule = "[[rule]]\nkey = \"minor\"\ncitation = \"a\"\nstatus = \"read\"\n\
        meaning = \"at most {leak-tset}\"\nremedy = \"b\"\n";
    let refused = adopt(&site("10 CFR", rule), &[]).unwrap_err();
    assert!(refused.contains("did you mean `{leak-test}`?"), "{refused}");
}

/// Each section of a citation is the state's or its equivalent, after a comma as after a semicolon;
/// a paragraph after a comma is of the section before it.
#[test]
fn every_section_of_a_citation_is_the_states_or_its_equivalent() {
    let (state, _) = adopt(STATE, &[]).unwrap();
    let authority = state.authority("Merrowan").unwrap();
    for (federal, own) in [
        ("10 CFR 34.25(b)(3)", "MRC 12-34.25(b)(3)"),
        (
            "10 CFR 34.25(b)(3), 34.47(c), (g)",
            "MRC 12-34.25(b)(3), MRC 12-34.47(c), (g)",
        ),
        (
            "10 CFR 30.41(c), 37.71",
            "MRC 12-30.41(c), state equivalent of 10 CFR 37.71",
        ),
        (
            "10 CFR 37.53, 34.35(c)",
            "state equivalent of 10 CFR 37.53, MRC 12-34.35(c)",
        ),
        (
            "10 CFR 34.47(a)(1), 34.47(b); 34.49(c)",
            "MRC 12-34.47(a)(1), MRC 12-34.47(b); MRC 12-34.49(c)",
        ),
        (
            "10 CFR 37.49, 37.71(a), (b)",
            "state equivalent of 10 CFR 37.49, 37.71(a), (b)",
        ),
    ] {
        assert_eq!(authority.cite("10 CFR", federal), own);
    }
    let open = left_open(&state);
    let numbers = open
        .iter()
        .find(|it| it.what.starts_with("numbers of its own"));
    let numbers = &numbers.unwrap().which;
    for number in ["37.71", "40.61"] {
        assert!(numbers.iter().any(|it| it == number), "{numbers:?}");
    }
}

/// No sentence of a state's licensee has a federal section number that stands alone.
#[test]
fn a_section_number_in_a_sentence_is_the_states_or_its_equivalent() {
    let (state, _) = adopt(STATE, &[]).unwrap();
    let federal = RuleSet::parse(offer("10 CFR").unwrap().text).unwrap();
    for (rule_set, jurisdiction, before) in [
        (&state, "Merrowan", "MRC 12-"),
        (&federal, "TX", "the state equivalent of 10 CFR "),
        (&state, "TX", "the state equivalent of 10 CFR "),
    ] {
        let held = rule_set.at_job(jurisdiction).unwrap();
        let company = &held.rule("two-person").unwrap().meaning;
        assert!(
            company.contains(&format!("who meets {before}34.43(c)")),
            "{company}"
        );
        let rules = held.rules.iter().flat_map(|it| [&it.meaning, &it.remedy]);
        let levels = held.levels.iter().map(|it| &it.meaning);
        let intervals = held.intervals.iter().map(|it| &it.meaning);
        let tolerances = held.tolerances.iter().map(|it| &it.meaning);
        for text in rules.chain(levels).chain(intervals).chain(tolerances) {
            for part in ["19.", "20.", "21.", "30.", "34.", "37.", "71."] {
                for (at, _) in text.match_indices(part) {
                    let rest = &text[at + part.len()..];
                    let is_section = rest.bytes().take(2).all(|it| it.is_ascii_digit());
                    let ahead = &text[..at];
                    let other = ahead.ends_with(|it: char| it.is_ascii_digit());
                    let told = ahead.ends_with("MRC 12-")
                        || ahead.ends_with("state equivalent of 10 CFR ");
                    assert!(!is_section || rest.len() < 2 || other || told, "{text}");
                }
            }
        }
    }
    let nrc = state.at_job("NRC").unwrap();
    assert!(
        nrc.rule("two-person")
            .unwrap()
            .meaning
            .contains("who meets 34.43(c)")
    );
}

/// What it is, the section that says it, and what then holds.
type Difference = (&'static str, String, fn(&RuleSet) -> bool);

/// How the texts of states are known to differ.
fn differences() -> Vec<Difference> {
    let basis = "citation = \"ZR 1\"\nstatus = \"to be confirmed\"\nmeaning = \"m\"\n";
    vec![
        (
            "readings are kept three years after the license ends",
            format!(
                "[[retention]]\nkey = \"readings\"\nwhat = \"readings\"\nrecords = [\"sheet\"]\n\
                 keep = \"3 years after the license ends\"\n{basis}"
            ),
            |it| {
                it.to_toml()
                    .contains("keep = \"3 years after the license ends\"")
            },
        ),
        (
            "badges are exchanged monthly",
            format!(
                "[[interval]]\nkey = \"badge-exchange\"\nwhat = \"exchange\"\n\
                 kind = \"not to exceed months\"\nmonths = 1\n{basis}"
            ),
            |it| {
                it.rule("badge-exchange")
                    .unwrap()
                    .meaning
                    .contains("within 1 month of its issue")
            },
        ),
        (
            "a pocket dosimeter is right within 30 %",
            format!("[[tolerance]]\nkey = \"dosimeter-response\"\npermille = 300\n{basis}"),
            |it| it.tolerance("dosimeter-response").unwrap().permille() == Some(300),
        ),
        (
            "a survey meter is calibrated every three months",
            format!(
                "[[interval]]\nkey = \"meter-calibration\"\nwhat = \"calibration\"\n\
                 kind = \"not to exceed months\"\nmonths = 3\n{basis}"
            ),
            |it| it.interval("meter-calibration").unwrap().interval.months() == Some(3),
        ),
        (
            "records are kept two years, which is looser and is said",
            format!(
                "[[retention]]\nkey = \"readings\"\nwhat = \"readings\"\nrecords = [\"sheet\"]\n\
                 keep = \"2 years\"\n{basis}"
            ),
            |it| {
                it.cautions()
                    .iter()
                    .any(|it| it.what.contains("kept shorter"))
            },
        ),
        (
            "the report of an event gives the source, and a lost badge goes to the processor",
            format!(
                "[[rule]]\nkey = \"lost-badge\"\n{basis}remedy = \"The RSO estimates, and the \
                 processor is told.\"\n"
            ),
            |it| {
                it.rule("lost-badge")
                    .unwrap()
                    .remedy
                    .contains("processor is told")
            },
        ),
    ]
}

/// Each difference of a state's text that is known can be said in a file, and holds.
#[test]
fn every_known_difference_of_a_state_can_be_said() {
    for (what, rest, holds) in differences() {
        let text = site("10 CFR", &format!("jurisdiction = \"ZZ\"\n{rest}"));
        let (rule_set, kept) = adopt(&text, &[]).unwrap_or_else(|it| panic!("{what}: {it}"));
        assert!(holds(&rule_set), "{what}");
        assert!(
            holds(&RuleSet::parse_adopted(&kept).unwrap()),
            "{what}: as kept"
        );
    }
}

/// A duty's time stands in the duty, where an authority can have its own. A sentence that says a
/// number of hours or days has it in a place `{...}`; what no duty is of is named here.
#[test]
fn no_sentence_of_the_federal_text_says_a_time_that_a_state_may_have_otherwise() {
    const OF_NO_DUTY: &[&str] = &["planned-special-exposure"];
    let text = offer("10 CFR").unwrap().text;
    let rules = text.split("\n[[").filter(|it| it.starts_with("rule]]"));
    let mut said = 0;
    for rule in rules {
        let rule = rule.replace("\\\n", "");
        let words: Vec<&str> = rule.split_whitespace().collect();
        let has_time = words.windows(2).any(|pair| {
            let unit = pair[1].trim_end_matches(|it: char| !it.is_alphanumeric());
            pair[0].bytes().all(|it| it.is_ascii_digit()) && ["hours", "days"].contains(&unit)
        });
        let is_named = OF_NO_DUTY
            .iter()
            .any(|it| rule.contains(&format!("key = \"{it}\"")));
        assert_eq!(has_time, is_named, "{rule}");
        said += 1;
    }
    assert!(said > 60, "{said} rules");
}
