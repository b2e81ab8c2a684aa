//! What a site's own rule set leaves out, with its reason.

use crate::rule::{RuleSet, Tells};

fn site(rest: &str) -> String {
    format!(
        "rule_set = \"ours\"\ntitle = \"Ours\"\nextends = \"10 CFR\"\nconfirm = \"Ask the \
        RSO.\"\n\n\
         {rest}"
    )
}

#[test]
fn a_level_and_a_duty_can_be_left_out_with_a_reason_that_outputs_of_them_tell() {
    let text = site(
        "[[remove]]\nkey = \"lens-year\"\nreason = \"measured elsewhere, condition 14\"\n\n\
         [[remove]]\nkey = \"written-34-101\"\nreason = \"told by the state's own form\"\n",
    );
    let (rule_set, kept) = RuleSet::parse_for_adoption(&text, &|_| None).unwrap();
    for rule_set in [rule_set, RuleSet::parse_adopted(&kept).unwrap()] {
        assert!(rule_set.level("lens-year").is_none());
        assert!(rule_set.duty("written-34-101").is_none());
        assert!(rule_set.level("deep-year").is_some());
        assert_eq!(rule_set.confirm, "Ask the RSO.");
        assert_eq!(rule_set.caution_of(Tells::Neither), rule_set.confirm);
        let of_levels = rule_set.caution_of(Tells::Levels);
        assert!(of_levels.contains("lens-year") && !of_levels.contains("written-34-101"));
        let of_duties = rule_set.caution_of(Tells::Duties);
        assert!(of_duties.contains("written-34-101") && !of_duties.contains("lens-year"));
        let confirm = rule_set.caution_of(Tells::Both);
        for said in [
            "Ask the RSO. LEFT OUT by this site's rules: the limit `lens-year` (10 CFR 20.1201",
            "measured elsewhere, condition 14.",
            "the duty `written-34-101` (10 CFR 34.101(a)",
            "told by the state's own form.",
        ] {
            assert!(confirm.contains(said), "{said} in {confirm}");
        }
        assert_eq!(confirm.matches("LEFT OUT").count(), 2, "{confirm}");
    }
}

#[test]
fn what_is_left_out_without_a_reason_or_is_not_there_is_refused() {
    let level = "[[level]]\nkey = \"lens-year\"\nsort = \"limit\"\nquantity = \"lens\"\n\
        applies_to = \"adult\"\nwindow = \"licensee year\"\ndose = \"1 rem\"\n\
        needs_authorization = false\ncut_by_missing_quarters = false\ncitation = \"x\"\n\
        status = \"read\"\nmeaning = \"x\"\n\n";
    let remove = "[[remove]]\nkey = \"lens-year\"\nreason = \"x\"\n";
    let rows = [
        ("[[remove]]\nkey = \"lens-year\"\n".to_owned(), "reason"),
        (
            "[[remove]]\nkey = \"lens-year\"\nreason = \" \"\n".to_owned(),
            "line 8, column 10: `reason` is empty\n  hint: say why: `reason = \"no permanent",
        ),
        (
            "[[remove]]\nkey = \"lens-yaer\"\nreason = \"x\"\n".to_owned(),
            "did you mean `lens-year`?",
        ),
        (format!("{level}{remove}"), "is left out and given"),
        (
            "[[remove]]\nkey = \"call-30-50-b\"\nreason = \"x\"\n".to_owned(),
            "follows `call-30-50-b`",
        ),
    ];
    for (rest, said) in rows {
        let problems = RuleSet::parse(&site(&rest)).unwrap_err().to_string();
        assert!(problems.contains(said), "{said} in {problems}");
    }
}

#[test]
fn a_rule_that_no_check_asks_for_is_refused_and_a_file_with_little_in_it_gets_one_sentence() {
    let rule = "[[rule]]\nkey = \"limit-exceded\"\ncitation = \"x\"\nstatus = \"read\"\n\
        meaning = \"x\"\nremedy = \"x\"\n";
    let problems = RuleSet::parse(&site(rule)).unwrap_err();
    assert_eq!(problems.as_slice().len(), 1, "{problems}");
    assert!(
        problems
            .to_string()
            .contains("did you mean `limit-exceeded`?"),
        "{problems}"
    );
    let bare = site("").replace(
        "extends = \"10 CFR\"\n",
        "unit = \"mSv\"\nyear_start = \"01-01\"\n",
    );
    let problems = RuleSet::parse(&bare).unwrap_err();
    let about_what_lacks = problems.as_slice().iter();
    let lacks: Vec<_> = about_what_lacks
        .filter(|it| it.right.contains("extends"))
        .collect();
    assert!(lacks.len() <= 2, "{problems}");
}
