//! Whose license it is and whose rules hold at a job: the citations of a rule set as the authority
//! there numbers them, what holds for the licensees of one authority alone, and the days for which
//! a licensee of another may work under it.

use super::authority::{Authority, Reciprocity, letters};
use super::entry::basis_of;
use super::read::{Fields, Reader};
use super::rule_set::RuleSet;

/// The fields of an authority that tell of reciprocity.
pub(super) fn reciprocity(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
) -> Option<Reciprocity> {
    let days = fields.whole(reader, "reciprocity_days").map(|it| it.value);
    let before = fields.whole(reader, "reciprocity_filed_before");
    let filed_before = before.map(|it| it.value);
    let given = fields.take("reciprocity_citation").is_some();
    if days.is_none() && filed_before.is_none() && !given {
        return None;
    }
    let (citation, status) = basis_of(
        reader,
        fields,
        ["reciprocity_citation", "reciprocity_status"],
    )?;
    Some(Reciprocity {
        days,
        filed_before,
        citation,
        status,
    })
}

impl RuleSet {
    /// The rule set whose sections it cites: its own, or the one that it started from.
    pub fn root(&self) -> &str {
        self.based_on.as_deref().unwrap_or(&self.key)
    }

    /// Whose licensees it is for, where it says.
    pub fn jurisdiction(&self) -> Option<&str> {
        self.jurisdiction.as_deref()
    }

    /// Whether it is for the licensees of this jurisdiction, by whichever name.
    pub fn is_for(&self, jurisdiction: &str) -> bool {
        let Some(own) = self.jurisdiction() else {
            return false;
        };
        letters(own) == letters(jurisdiction)
            || self
                .authorities
                .iter()
                .any(|it| it.is_of(own) && it.is_of(jurisdiction))
    }

    /// The authorities that it names.
    pub fn authorities(&self) -> &[Authority] {
        &self.authorities
    }

    /// The rule set as it holds for a license of a jurisdiction; of none, for its own licensees.
    pub fn for_license(&self, jurisdiction: Option<&str>) -> RuleSet {
        let held = jurisdiction.or(self.jurisdiction());
        held.and_then(|it| self.under(it))
            .unwrap_or_else(|| self.clone())
    }

    /// The rule set as it holds for a licensee of this jurisdiction; nothing where it holds as it
    /// is written.
    pub fn under(&self, jurisdiction: &str) -> Option<RuleSet> {
        let mine = self.authority(jurisdiction)?;
        let root = self.root().to_owned();
        // What is only for licensees of another, unless this file has its own in that place.
        let others: Vec<(String, String)> = self
            .authorities
            .iter()
            .filter(|it| !it.is(&mine))
            .flat_map(|it| it.own.clone())
            .collect();
        if !mine.equivalent && others.is_empty() {
            return None;
        }
        let stays = |kind: &str, key: &str, citation: &str| {
            let is_it = |(of, own): &(String, String)| of == kind && own == key;
            !(citation.starts_with(&root) && others.iter().any(is_it))
        };
        let mut rule_set = self.clone();
        rule_set
            .tolerances
            .retain(|it| stays("tolerance", &it.key, &it.citation));
        rule_set
            .rules
            .retain(|it| stays("rule", &it.key, &it.citation));
        let cite = |citation: &mut String| *citation = mine.cite(&root, citation);
        rule_set
            .levels
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        rule_set
            .intervals
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        rule_set
            .tolerances
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        rule_set
            .rules
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        rule_set
            .categories
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        rule_set
            .retention
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        if let Some(rule) = &mut rule_set.pregnancy {
            cite(&mut rule.citation);
        }
        if let Some(form) = &mut rule_set.form {
            cite(&mut form.citation);
            form.name = mine.name_papers(&form.name);
            form.meaning = mine.name_papers(&form.meaning);
        }
        if let Some(bands) = &mut rule_set.bands {
            cite(&mut bands.citation);
        }
        rule_set.say_as(&mine, &self.parts());
        Some(rule_set)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state() -> Authority {
        let text = "extends = \"10 CFR\"\nscheme = \"own\"\ntitle = \"own\"\n\
            jurisdiction = \"ZZ\"\n[[authority]]\nkey = \"zz\"\njurisdictions = [\"ZZ\"]\n\
            name = \"the office\"\nequivalent = true\n\
            citations = [\"10 CFR 34: ZR 5\", \"10 CFR 34.25: ZR 5-25\", \
            \"10 CFR 20.2: ZR 4-2\"]\n";
        let rule_set = RuleSet::parse(text).unwrap_or_else(|it| panic!("{it}"));
        rule_set.authority("Z.Z.").expect("it")
    }

    #[test]
    fn a_citation_is_the_states_number_or_its_equivalent() {
        for (federal, wanted) in [
            ("10 CFR 34.25(b)(1)", "ZR 5-25(b)(1)"),
            ("10 CFR 34.2503", "state equivalent of 10 CFR 34.2503"),
            ("10 CFR 34", "ZR 5"),
            ("10 CFR 20.2203(a)", "state equivalent of 10 CFR 20.2203(a)"),
            (
                "10 CFR 20.2203(a), (b); 34.25(b)",
                "state equivalent of 10 CFR 20.2203(a), (b); ZR 5-25(b)",
            ),
            (
                "10 CFR 37, App. A; 10 CFR 20, App. E",
                "state equivalent of 10 CFR 37, App. A; 10 CFR 20, App. E",
            ),
            ("49 CFR 171.15", "49 CFR 171.15"),
            // What no state has in its place.
            ("10 CFR 21.21(a)(3)", "federal 10 CFR 21.21(a)(3)"),
            (
                "10 CFR 21.21(a)(3) (to be confirmed)",
                "federal 10 CFR 21.21(a)(3) (to be confirmed)",
            ),
            ("NUREG-0713", "federal NUREG-0713"),
            (
                "10 CFR 20.2104(e); HPPOS Q55",
                "state equivalent of 10 CFR 20.2104(e); federal HPPOS Q55",
            ),
            // Whole parts.
            (
                "10 CFR Parts 19, 20 and 34",
                "state equivalent of 10 CFR Part 19, state equivalent of 10 CFR Part 20 and ZR 5",
            ),
            (
                "10 CFR Parts 19 and 30",
                "state equivalent of 10 CFR Parts 19 and 30",
            ),
            ("common practice, no source", "common practice, no source"),
            ("as 10 CFR 34.25(b), roughly", "as ZR 5-25(b), roughly"),
        ] {
            assert_eq!(state().cite("10 CFR", federal), wanted);
        }
    }

    #[test]
    fn a_paper_of_another_authoritys_name_is_the_states_own_or_its_equivalent() {
        let text = "the dose record, equivalent of NRC Form 5 (NRC Form 5)";
        let unmapped = "the dose record, state equivalent of NRC Form 5 (state equivalent of NRC \
                        Form 5)";
        assert_eq!(state().name_papers(text), unmapped);
        let mut own = state();
        own.citations
            .push(("NRC Form 5".to_owned(), "ZR form 5".to_owned()));
        let mapped = "the dose record, equivalent of ZR form 5 (ZR form 5)";
        assert_eq!(own.name_papers(text), mapped);
    }

    #[test]
    fn a_sentence_runs_on_with_an_article_before_an_equivalent() {
        let offer = super::super::offer("10 CFR").expect("it");
        let federal = RuleSet::parse(offer.text).expect("a built-in rule set");
        let authority = federal.authority("ZZ").expect("another's");
        let say = federal.as_said_by(&authority);
        for (text, wanted) in [
            (
                "who meets 34.43(c), told at once (20.2202)",
                "who meets the state equivalent of 10 CFR 34.43(c), told at once (state \
                 equivalent of 10 CFR 20.2202)",
            ),
            ("by 10 CFR 21.21(a)(3)", "by federal 10 CFR 21.21(a)(3)"),
            (
                "10 CFR Parts 19, 20 and 34, and 12 forms",
                "state equivalent of 10 CFR Parts 19, 20 and 34, and 12 forms",
            ),
        ] {
            assert_eq!(say(text), wanted);
        }
    }

    #[test]
    fn what_is_for_one_authoritys_licensees_holds_for_no_others() {
        let offer = super::super::offer("10 CFR").expect("it");
        let federal = RuleSet::parse(offer.text).expect("a built-in rule set");
        assert!(federal.under("NRC").is_none());
        assert!(federal.tolerance("annual-report").is_some());
        let state = federal.under("TX").expect("another's");
        assert!(state.tolerance("annual-report").is_none());
        assert!(state.rule("worker-report").is_none());
        // The request of a worker is another paragraph and stays.
        assert!(state.tolerance("worker-report").is_some());
        let level = state.level("deep-year").expect("it");
        assert_eq!(
            level.citation,
            "state equivalent of 10 CFR 20.1201(a)(1)(i)"
        );
    }
}
