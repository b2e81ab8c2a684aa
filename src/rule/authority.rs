//! Whom to call and to write to under the jurisdiction of a job.

use serde::Serialize;

use super::event::{Duty, Within};
use super::word::{Status, has_citation};
use super::written::Text;

/// Whom to call and to write to under the jurisdictions of a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Authority {
    /// Its name in files, unique in the rule set.
    pub key: String,
    /// The jurisdictions that are its, as jobs name them.
    pub jurisdictions: Vec<String>,
    /// Its name, in full.
    pub name: String,
    /// Where it is called, at any hour.
    pub telephone: Option<String>,
    /// Whether it has rules of its own in the place of those cited.
    pub equivalent: bool,
    /// Its own times, by the key of the notice.
    pub times: Vec<(String, Within)>,
    /// Its own numbers, by the beginning of the citation that they stand for.
    pub citations: Vec<(String, String)>,
    /// What holds for its licensees alone: `rule` or `tolerance`, and the key.
    pub own: Vec<(String, String)>,
    /// Beginnings of citations that bind everybody as they are, under every other authority too,
    /// each with the word for whose they are.
    pub binds: Vec<(String, String)>,
    /// Papers that are called by its name: under another authority they have another.
    pub names: Vec<String>,
    /// What the others of the rule set bind and name; nothing in its own file.
    pub above: Vec<Above>,
    /// For how long licensees of others may work under it.
    pub reciprocity: Option<Reciprocity>,
}

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

/// Letters and figures alone, small: as two people may write one name.
pub(super) fn letters(text: &str) -> String {
    let letters = text.chars().filter(|it| it.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}

impl Authority {
    /// Whether a jurisdiction, as a job or a license names it, is its.
    pub fn is_of(&self, jurisdiction: &str) -> bool {
        let asked = letters(jurisdiction);
        self.jurisdictions.iter().any(|it| letters(it) == asked)
    }

    /// Whether both are one.
    pub fn is(&self, other: &Authority) -> bool {
        match self.key.is_empty() || other.key.is_empty() {
            true => self.jurisdictions.iter().any(|it| other.is_of(it)),
            false => self.key == other.key,
        }
    }

    /// A citation of the rule set `of` as this authority numbers it: each section by the longest
    /// beginning that its map has, and what the map has not as the state equivalent.
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
    pub fn binding(&self, citation: &str) -> Option<&Above> {
        let binds = |it: &&Above| {
            it.binds
                .iter()
                .any(|(from, _)| after(citation, from).is_some())
        };
        self.above.iter().find(binds)
    }

    /// Its own time for a notice.
    pub fn own_time(&self, notification: &str) -> Option<Within> {
        let mut own = self.times.iter();
        own.find(|(key, _)| key == notification).map(|it| it.1)
    }

    /// Whether the time of the rule set `of` is taken for a duty, for want of one of its own.
    /// Nothing is sooner than at once, and what binds everybody has no other.
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
        let parts = sections(citation);
        let owned: Vec<(Option<String>, Option<String>)> = parts
            .iter()
            .map(|(_, part)| {
                let whole = whole_of(of, part);
                let own = whole
                    .as_ref()
                    .and_then(|it| self.mapped(it).or_else(|| self.bound(it)));
                (whole, own.or_else(|| self.bound(part)))
            })
            .collect();
        if owned.iter().all(|it| it.1.is_none()) {
            return format!("state equivalent of {citation}");
        }
        let told = owned.into_iter().zip(parts);
        let told = told.map(|(it, (between, part))| match it {
            (_, Some(own)) => format!("{between}{own}"),
            (Some(whole), None) => format!("{between}state equivalent of {whole}"),
            (None, None) => format!("{between}{part}"),
        });
        told.collect()
    }

    fn mapped(&self, whole: &str) -> Option<String> {
        let fits = self.citations.iter().filter_map(|(from, to)| {
            let rest = after(whole, from)?;
            Some((from.len(), format!("{to}{rest}")))
        });
        fits.max_by_key(|it| it.0).map(|it| it.1)
    }
}

/// The sections of a citation, each with what stands before it: a semicolon, or a comma where a
/// section number follows. After a comma a paragraph goes on with the section before it.
pub(super) fn sections(citation: &str) -> Vec<(&'static str, &str)> {
    let mut found = Vec::new();
    for part in citation.split("; ") {
        let mut between = if found.is_empty() { "" } else { "; " };
        let (mut start, mut from) = (0, 0);
        while let Some(at) = part.get(from..).and_then(|it| it.find(", ")) {
            from += at + 2;
            let rest = part.get(from..).unwrap_or_default();
            if section_length(rest) > 0 {
                found.push((between, part.get(start..from - 2).unwrap_or_default()));
                (between, start) = (", ", from);
            }
        }
        found.push((between, part.get(start..).unwrap_or_default()));
    }
    found
}

/// How long a section number is at the beginning of a text, with its paragraphs: `34.43(c)`.
pub(super) fn section_length(text: &str) -> usize {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let part = digits(text);
    let after = text.get(part..).and_then(|it| it.strip_prefix('.'));
    let section = after.map_or(0, digits);
    // Of fewer figures it is a number of something else.
    if part == 0 || section < 2 {
        return 0;
    }
    let mut length = part + 1 + section;
    while let Some(inside) = text.get(length..).and_then(|it| it.strip_prefix('(')) {
        let end = inside.find(')');
        let is_paragraph = |it: &str| {
            (1..=4).contains(&it.len()) && it.bytes().all(|it| it.is_ascii_alphanumeric())
        };
        match end.filter(|it| inside.get(..*it).is_some_and(is_paragraph)) {
            Some(end) => length += end + 2,
            None => break,
        }
    }
    length
}

/// A part of a citation with the name of its rule set: after the first a number may stand alone.
/// Nothing of words, and of what is another's.
pub(super) fn whole_of(of: &str, part: &str) -> Option<String> {
    let is_number = part.starts_with(|it: char| it.is_ascii_digit());
    match part.starts_with(of) {
        true => Some(part.to_owned()),
        false => (is_number && !part.contains("CFR")).then(|| format!("{of} {part}")),
    }
}
has_citation!(Reciprocity);
