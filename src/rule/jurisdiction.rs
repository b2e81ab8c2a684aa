//! Whose licence it is and whose rules hold at a job: the citations of a rule set as the authority
//! there numbers them, what holds for the licensees of one authority alone, and the days for which
//! a licensee of another may work under it.

use serde::Serialize;

use super::entry::basis_of;
use super::event::{Authority, Duty, Within};
use super::read::{Fields, Reader};
use super::scheme::{Scheme, cited};
use super::word::Status;
use super::write::Text;

/// For how long a licensee of another authority may work under this one, and what it files before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reciprocity {
    /// Days in a calendar year, at all places together.
    pub days: Option<i64>,
    /// How many days before the first the form is filed.
    pub filed_before: Option<i64>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
}

impl Reciprocity {
    /// The citation, followed by `(to be confirmed)` where the text was not read.
    #[must_use]
    pub fn cited(&self) -> String {
        cited(&self.citation, self.status)
    }

    pub(super) fn write(&self, out: &mut Text) {
        if let Some(days) = self.days {
            out.bare("reciprocity_days", days);
        }
        if let Some(days) = self.filed_before {
            out.bare("reciprocity_filed_before", days);
        }
        out.text("reciprocity_citation", &self.citation);
        out.text("reciprocity_status", self.status.name());
    }
}

/// What another authority of the rule set binds everybody by, and which papers have its name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Above {
    /// Its name, in full.
    pub name: String,
    /// Where it is called.
    pub telephone: Option<String>,
    binds: Vec<(String, String)>,
    papers: Vec<String>,
}

impl Above {
    pub(super) fn of(other: &Authority) -> Above {
        Above {
            name: other.name.clone(),
            telephone: other.telephone.clone(),
            binds: other.binds.clone(),
            papers: other.names.clone(),
        }
    }
}

/// What follows the beginning of a citation: `34.2` is no beginning of `34.25`, and `34.` is.
fn after<'a>(whole: &'a str, from: &str) -> Option<&'a str> {
    let rest = whole.strip_prefix(from)?;
    let ends =
        from.ends_with('.') || !rest.starts_with(|it: char| it.is_ascii_digit() || it == '.');
    ends.then_some(rest)
}

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

/// Letters and figures alone, small: as two people may write one name.
fn letters(text: &str) -> String {
    let letters = text.chars().filter(|it| it.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}

impl Authority {
    /// Whether a jurisdiction, as a job or a licence names it, is its.
    #[must_use]
    pub fn is_of(&self, jurisdiction: &str) -> bool {
        let asked = letters(jurisdiction);
        self.jurisdictions.iter().any(|it| letters(it) == asked)
    }

    /// Whether both are one.
    #[must_use]
    pub fn is(&self, other: &Authority) -> bool {
        match self.key.is_empty() || other.key.is_empty() {
            true => self.jurisdictions.iter().any(|it| other.is_of(it)),
            false => self.key == other.key,
        }
    }

    /// A citation of the rule set `of` as this authority numbers it: each section by the longest
    /// beginning that its map has, and what the map has not as the state equivalent.
    #[must_use]
    pub fn cite(&self, of: &str, citation: &str) -> String {
        if !self.equivalent {
            return citation.to_owned();
        }
        let at = citation.find(of);
        let Some((words, sections)) = at.and_then(|at| citation.split_at_checked(at)) else {
            return self.bound(citation).unwrap_or_else(|| citation.to_owned());
        };
        let own = self.cite_parts(of, sections);
        format!(
            "{words}{}",
            own.unwrap_or_else(|| self.cite_sections(of, sections))
        )
    }

    /// The other authority that binds everybody by what is cited.
    #[must_use]
    pub fn binding(&self, citation: &str) -> Option<&Above> {
        let binds = |it: &&Above| {
            it.binds
                .iter()
                .any(|(from, _)| after(citation, from).is_some())
        };
        self.above.iter().find(binds)
    }

    /// Its own time for a notice.
    #[must_use]
    pub fn own_time(&self, notice: &str) -> Option<Within> {
        let mut own = self.times.iter();
        own.find(|(key, _)| key == notice).map(|it| it.1)
    }

    /// Whether the time of the rule set `of` is taken for a duty, for want of one of its own.
    /// Nothing is sooner than at once, and what binds everybody has no other.
    #[must_use]
    pub fn borrows_time(&self, of: &str, duty: &Duty) -> bool {
        let is_length = !matches!(duty.within, Within::AtOnce | Within::WithTheReport);
        self.equivalent
            && is_length
            && duty.citation.starts_with(of)
            && self.own_time(&duty.key).is_none()
            && self.binding(&duty.citation).is_none()
    }

    /// What is cited with the word for whose it is, where another authority binds everybody by it.
    fn bound(&self, whole: &str) -> Option<String> {
        let mut all = self.above.iter().flat_map(|it| &it.binds);
        let found = all.find(|(from, _)| after(whole, from).is_some());
        found.map(|(_, word)| format!("{word} {whole}"))
    }

    /// A sentence with the papers that are called by another authority as this one calls them, or
    /// as their equivalent.
    #[must_use]
    pub fn name_papers(&self, text: &str) -> String {
        let papers = self.above.iter().flat_map(|it| &it.papers);
        papers.fold(text.to_owned(), |text, paper| match self.mapped(paper) {
            _ if !self.equivalent => text,
            Some(own) => text.replace(paper, &own),
            None => text
                .replace(&format!("equivalent of {paper}"), paper)
                .replace(paper, &format!("state equivalent of {paper}")),
        })
    }

    /// `10 CFR Parts 19 and 20`, whole parts, each by its own name where the map has it.
    fn cite_parts(&self, of: &str, citation: &str) -> Option<String> {
        let list = citation.strip_prefix(of)?.strip_prefix(" Parts ")?;
        let numbers: Vec<&str> = list.split(", ").flat_map(|it| it.split(" and ")).collect();
        let is_number = |it: &&str| !it.is_empty() && it.bytes().all(|it| it.is_ascii_digit());
        if !numbers.iter().all(is_number) {
            return None;
        }
        let own = |number: &&str| {
            let part = format!("{of} {number}");
            let own = self
                .mapped(&format!("{part}."))
                .or_else(|| self.mapped(&part));
            own.map(|it| it.trim_end_matches('.').to_owned())
                .ok_or_else(|| format!("state equivalent of {of} Part {number}"))
        };
        let told: Vec<Result<String, String>> = numbers.iter().map(own).collect();
        if told.iter().all(Result::is_err) {
            return None;
        }
        let told: Vec<String> = told
            .into_iter()
            .map(|it| it.unwrap_or_else(|it| it))
            .collect();
        let (last, before) = told.split_last()?;
        Some(match before {
            [] => last.clone(),
            before => format!("{} and {last}", before.join(", ")),
        })
    }

    fn cite_sections(&self, of: &str, citation: &str) -> String {
        let parts: Vec<(Option<String>, Option<String>)> = citation
            .split("; ")
            .map(|part| {
                let whole = whole_of(of, part);
                let own = whole
                    .as_ref()
                    .and_then(|it| self.mapped(it).or_else(|| self.bound(it)));
                (whole, own.or_else(|| self.bound(part)))
            })
            .collect();
        if parts.iter().all(|it| it.1.is_none()) {
            return format!("state equivalent of {citation}");
        }
        let told = parts
            .into_iter()
            .zip(citation.split("; "))
            .map(|(it, part)| match it {
                (_, Some(own)) => own,
                (Some(whole), None) => format!("state equivalent of {whole}"),
                (None, None) => part.to_owned(),
            });
        told.collect::<Vec<_>>().join("; ")
    }

    fn mapped(&self, whole: &str) -> Option<String> {
        let fits = self.citations.iter().filter_map(|(from, to)| {
            let rest = after(whole, from)?;
            Some((from.len(), format!("{to}{rest}")))
        });
        fits.max_by_key(|it| it.0).map(|it| it.1)
    }
}

/// A part of a citation with the name of its rule set: after a semicolon a number may stand alone.
/// Nothing of words, and of what is another's.
pub(super) fn whole_of(of: &str, part: &str) -> Option<String> {
    let is_number = part.starts_with(|it: char| it.is_ascii_digit());
    match part.starts_with(of) {
        true => Some(part.to_owned()),
        false => (is_number && !part.contains("CFR")).then(|| format!("{of} {part}")),
    }
}

impl Scheme {
    /// The rule set whose sections it cites: its own, or the one that it started from.
    #[must_use]
    pub fn root(&self) -> &str {
        self.based_on.as_deref().unwrap_or(&self.key)
    }

    /// Whose licensees it is for, where it says.
    #[must_use]
    pub fn jurisdiction(&self) -> Option<&str> {
        self.jurisdiction.as_deref()
    }

    /// Whether it is for the licensees of this jurisdiction, by whichever name.
    #[must_use]
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
    #[must_use]
    pub fn authorities(&self) -> &[Authority] {
        &self.authorities
    }

    /// The rule set as it holds for a licence of a jurisdiction; of none, for its own licensees.
    #[must_use]
    pub fn for_licence(&self, jurisdiction: Option<&str>) -> Scheme {
        let held = jurisdiction.or(self.jurisdiction());
        held.and_then(|it| self.under(it))
            .unwrap_or_else(|| self.clone())
    }

    /// The rule set as it holds for a licensee of this jurisdiction; nothing where it holds as it
    /// is written.
    #[must_use]
    pub fn under(&self, jurisdiction: &str) -> Option<Scheme> {
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
        let stays = |sort: &str, key: &str, citation: &str| {
            let is_it = |(of, own): &(String, String)| of == sort && own == key;
            !(citation.starts_with(&root) && others.iter().any(is_it))
        };
        let mut scheme = self.clone();
        scheme
            .tolerances
            .retain(|it| stays("tolerance", &it.key, &it.citation));
        scheme
            .rules
            .retain(|it| stays("rule", &it.key, &it.citation));
        let cite = |citation: &mut String| *citation = mine.cite(&root, citation);
        scheme
            .levels
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        scheme
            .intervals
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        scheme
            .tolerances
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        scheme
            .rules
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        scheme
            .categories
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        scheme
            .retention
            .iter_mut()
            .for_each(|it| cite(&mut it.citation));
        if let Some(rule) = &mut scheme.pregnancy {
            cite(&mut rule.citation);
        }
        if let Some(form) = &mut scheme.form {
            cite(&mut form.citation);
            form.name = mine.name_papers(&form.name);
            form.meaning = mine.name_papers(&form.meaning);
        }
        if let Some(bands) = &mut scheme.bands {
            cite(&mut bands.citation);
        }
        scheme.say_as(&mine, &self.parts());
        Some(scheme)
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
        let scheme = Scheme::parse(text).unwrap_or_else(|it| panic!("{it}"));
        scheme.authority("Z.Z.").expect("it")
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
        let federal = Scheme::parse(offer.text).expect("a built-in scheme");
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
        let federal = Scheme::parse(offer.text).expect("a built-in scheme");
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
