//! Whose licence it is and whose rules hold at a job: the citations of a rule set as the authority
//! there numbers them, what holds for the licensees of one authority alone, and the days for which
//! a licensee of another may work under it.

use super::authority::{Authority, Reciprocity};
use super::entry::basis_of;
use super::read::{Fields, Reader};
use super::scheme::Scheme;

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
        let at = citation.find(of).filter(|_| self.equivalent);
        let Some((words, citation)) = at.and_then(|at| citation.split_at_checked(at)) else {
            return citation.to_owned();
        };
        format!("{words}{}", self.cite_sections(of, citation))
    }

    fn cite_sections(&self, of: &str, citation: &str) -> String {
        let parts: Vec<(Option<String>, Option<String>)> = citation
            .split("; ")
            .map(|part| {
                let whole = whole_of(of, part);
                let own = whole.as_ref().and_then(|it| self.mapped(it));
                (whole, own)
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
            let rest = whole.strip_prefix(from.as_str())?;
            // `34.2` is no beginning of `34.25`, and `34.` is.
            let ends = from.ends_with('.')
                || !rest.starts_with(|it: char| it.is_ascii_digit() || it == '.');
            ends.then(|| (from.len(), format!("{to}{rest}")))
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
            ("common practice, no source", "common practice, no source"),
            ("as 10 CFR 34.25(b), roughly", "as ZR 5-25(b), roughly"),
        ] {
            assert_eq!(state().cite("10 CFR", federal), wanted);
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
