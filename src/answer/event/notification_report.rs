//! The draft of the written report on an event: the contents that its rules want, one by one,
//! each as far as the ledger has it. Who is who stands in a part of its own.

use serde::Serialize;

use super::happened::{Happened, happened, local};
use super::notification::{how_words, settle};
use super::notification_line::{Told, told};
use super::notification_people::all_doses;
use super::person::authority_of;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::moment::Moment;
use crate::answer::entry::evidence::{EvidenceLine, evidence_of_event};
use crate::calendar::Instant;
use crate::notification::Applies;
use crate::rule::{How, KeyedText, Tells};

/// One content of a report.
#[derive(Debug, Clone, Serialize)]
pub struct DraftContent {
    /// What the rule wants.
    pub wanted: String,
    /// What the ledger has of it, a paragraph each.
    pub text: Vec<String>,
    /// What of it is missing.
    pub missing: Option<String>,
}

/// What one rule wants.
#[derive(Debug, Clone, Serialize)]
pub struct DraftSection {
    /// The duty's key.
    pub duty: String,
    /// What it is.
    pub what: String,
    /// Its rule, and whether that text was read.
    pub citation: String,
    /// By telephone or in writing.
    pub how: String,
    /// Whom.
    pub to: String,
    /// Whether it applies, or only may.
    pub applies: bool,
    /// By when, local time with its offset; of several clocks the first.
    pub deadline: Option<String>,
    /// What was told of it already, and to whom.
    pub given: Vec<String>,
    /// Said where no rule here lists what the report must have: what the ledger knows stands in
    /// the place of such a list.
    pub no_list: Option<&'static str>,
    /// The contents.
    pub contents: Vec<DraftContent>,
}

/// Never taken for a complete report: nobody here knows what one has.
const NO_LIST: &str = "no content list here: ask your authority";

/// What the ledger can tell of an event, in the order of a report.
const KNOWN: &[(&str, &str)] = &[
    ("problem", "what happened"),
    ("place", "where and when"),
    ("equipment", "the equipment in it"),
    ("material", "the source"),
    ("cause", "the cause"),
    ("restored", "what was done about it"),
    (
        "corrective",
        "what is done so that it does not happen again",
    ),
    ("doses", "doses"),
    ("qualifications", "qualifications of the people in it"),
];

/// Who is who, with the dose by name.
#[derive(Debug, Clone, Serialize)]
pub struct PrivateLine {
    /// What the report calls the person.
    pub called: String,
    /// The id, or the name as written.
    pub id: String,
    /// Full name, where the ledger has one.
    pub name: Option<String>,
    /// The birth date, where the ledger has one.
    pub born: Option<String>,
    /// The dose.
    pub dose: String,
}

/// The draft.
#[derive(Debug, Clone, Serialize)]
pub struct DraftAnswer {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// The event.
    pub event: String,
    /// Who holds the license.
    pub licensee: String,
    /// The license.
    pub license: String,
    /// When it was drafted, local time with its offset.
    pub at: String,
    /// A rule each.
    pub sections: Vec<DraftSection>,
    /// Photos and papers that go with the event, as enclosures.
    pub enclosures: Vec<EvidenceLine>,
    /// Who is who.
    pub private: Vec<PrivateLine>,
    /// Words in it that are somebody's id and may be ordinary words: left as they stand.
    pub unsure: Vec<String>,
    /// The rule that keeps who is who out of public records.
    pub privacy_rule: Option<String>,
    /// That the rules were adopted for later days alone; nothing where they were in force.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub judged_by: Option<String>,
    /// What to do where the rule set knows no duties.
    pub ask: Option<String>,
    /// The rule set's caution.
    pub confirm: String,
}

impl DraftAnswer {
    /// How many contents are missing, or in part.
    pub fn missing(&self) -> usize {
        let contents = self.sections.iter().flat_map(|it| &it.contents);
        contents.filter(|it| it.missing.is_some()).count()
    }

    /// How many people of the part that is detached lack something that the rule wants of them.
    pub fn missing_of_people(&self) -> usize {
        let lacks = |it: &&PrivateLine| it.name.is_none() || it.born.is_none();
        self.private.iter().filter(lacks).count()
    }

    /// What is to be said where the contents of a report are not known: nothing can be missing of
    /// a list that is not there.
    pub fn no_list(&self) -> Option<&'static str> {
        self.sections.iter().find_map(|it| it.no_list)
    }
}

/// Everything that the ledger knows of an event.
fn all_known(told: &Told<'_>) -> Vec<DraftContent> {
    let all = KNOWN.iter().map(|(key, text)| {
        let (key, text) = ((*key).to_owned(), (*text).to_owned());
        let content = KeyedText { key, text };
        let fill = told.contents.fill(&content);
        DraftContent {
            wanted: content.text,
            text: fill.text,
            missing: fill.missing,
        }
    });
    all.collect()
}

/// What is known of an event of which no duty here wants a report in writing.
fn without_duty(told: &Told<'_>) -> DraftSection {
    DraftSection {
        duty: String::new(),
        what: "What the ledger knows".to_owned(),
        citation: format!(
            "no duty of {} here asks for a report in writing",
            told.rule_set.key
        ),
        how: how_words(How::Written).to_owned(),
        to: "your authority".to_owned(),
        applies: false,
        deadline: None,
        given: Vec::new(),
        no_list: Some(NO_LIST),
        contents: all_known(told),
    }
}

/// A section for each duty that applies or may, in the order of the rule set, whatever is more
/// pressing now.
fn sections(it: &Happened, told: &Told<'_>) -> Vec<DraftSection> {
    let mut sections: Vec<DraftSection> = Vec::new();
    for duty in told.rule_set.notifications() {
        let mut clocks = told
            .notifications
            .duties
            .iter()
            .filter(|it| it.duty == duty.key);
        let on = clocks.clone().find(|it| it.applies != Applies::No);
        // A call without a list of contents needs no draft.
        let listed = !duty.contents.is_empty();
        let Some(first) = on.filter(|it| listed || it.how == How::Written) else {
            continue;
        };
        let asked = duty.contents.iter().filter(|content| {
            let is_it = |(of, key): &(String, String)| *of == duty.key && *key == content.key;
            !told.not_asked.iter().any(is_it)
        });
        let contents = asked.map(|content| {
            let fill = told.contents.fill(content);
            DraftContent {
                wanted: content.text.clone(),
                text: fill.text,
                missing: fill.missing,
            }
        });
        sections.push(DraftSection {
            duty: duty.key.clone(),
            what: duty.what.clone(),
            citation: first.citation.clone(),
            how: how_words(first.how).to_owned(),
            to: first.to.clone(),
            applies: clocks.any(|it| it.applies == Applies::Yes),
            deadline: first.deadline.map(|at| local(it, at)),
            given: it
                .done
                .iter()
                .filter(|one| one.body.duty == duty.key || one.body.duty == duty.report())
                .map(|one| told.contents.given(it, &one.body))
                .collect(),
            no_list: (!listed).then_some(NO_LIST),
            contents: match listed {
                true => contents.collect(),
                false => all_known(told),
            },
        });
    }
    if sections.is_empty() {
        sections.push(without_duty(told));
    }
    sections
}

/// The draft of the written report on an event.
///
/// # Errors
/// A name that leads nowhere.
pub fn draft_of(
    house: &OpenHouse<'_>,
    name: &str,
    (at, now): (Option<Moment>, Instant),
) -> Result<DraftAnswer, AnswerError> {
    let it = happened(house, name)?;
    let now = at.map_or(Ok(now), |at| settle(at, it.zone))?;
    let told = told(house, &it, now)?;
    let sections = sections(&it, &told);
    let private = told.people.iter().zip(&told.contents.people);
    let private = private.map(|(person, called)| {
        let body = person.worker.and_then(|it| house.names.worker_body(it));
        PrivateLine {
            called: called.called.clone(),
            id: called.label.clone(),
            name: called.name.clone(),
            born: body.and_then(|it| it.birth_date).map(|it| it.to_string()),
            dose: all_doses(house, person),
        }
    });
    let enclosures = evidence_of_event(house, &it)?
        .into_iter()
        .map(|one| EvidenceLine {
            words: told.contents.masked(&one.words),
            about: told.contents.masked(&one.about),
            ..one
        });
    let charter = &house.names.charter;
    let authority = authority_of(house, told.rule_set, &it);
    let cite = |citation: &str| match &authority {
        Some(it) => it.cite(told.rule_set.root(), citation),
        None => citation.to_owned(),
    };
    Ok(DraftAnswer {
        ledger: charter.ledger_id.clone(),
        event: it.body.name.clone(),
        licensee: charter.licensee.clone(),
        license: charter.licence.clone(),
        at: local(&it, now),
        sections,
        enclosures: enclosures.collect(),
        private: private.collect(),
        unsure: told.contents.unsure.clone(),
        privacy_rule: told
            .rule_set
            .rule("private-part")
            .map(|it| cite(&it.citation)),
        judged_by: house.judged_by_later(it.day()),
        ask: told.notifications.ask.clone(),
        confirm: house
            .rule_set_at(it.job(house), house.judged_on(it.day()))?
            .caution_of(Tells::Both),
    })
}
