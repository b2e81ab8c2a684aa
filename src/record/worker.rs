//! Monitored people and the dated facts about them. A changed role or a
//! declared pregnancy is a new record with its day, never an amendment: last
//! year's findings must stay last year's.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::problem::{days_in_order, need_id};
use super::words::{WordPair, Words, words};
use super::{Id, Kind, Problem, Record};
use crate::calendar::Day;
use crate::text::Language;

words! {
    /// What somebody is qualified as.
    Role {
        /// Radiation safety officer, 10 CFR 34.42.
        Rso = "rso",
        /// Whom the RSO lets act for him, 10 CFR 34.47(d).
        RsoDesignee = "rso designee",
        /// Radiographer, 10 CFR 34.43(a).
        Radiographer = "radiographer",
        /// Radiographer's assistant, 10 CFR 34.43(c).
        Assistant = "assistant",
        /// In training, not yet meeting 10 CFR 34.43(c).
        Trainee = "trainee",
        /// Anybody else who is monitored.
        Other = "other",
        /// Who looks over the books for an authority: reads everything, works with nothing and is
        /// not monitored by this role.
        Inspector = "inspector",
    }
}

words! {
    /// Which limits hold for a person besides those that age decides.
    #[derive(Default)]
    Category {
        /// An occupationally exposed worker.
        #[default]
        Exposed = "exposed",
        /// An apprentice or student.
        Apprentice = "apprentice",
        /// Not designated as exposed; the limits of the public hold.
        Other = "other",
    }
}

words! {
    /// Whether monitoring begins or stops.
    MonitoringChange {
        /// Monitoring begins on this day.
        Starts = "starts",
        /// This is the last monitored day.
        Ends = "ends",
    }
}

words! {
    /// How a declaration of pregnancy stops to hold.
    PregnancyEnding {
        /// Withdrawn in writing.
        Withdrawn = "withdrawn",
        /// No longer pregnant.
        Ended = "ended",
    }
}

impl Words for Language {
    const ALL: &'static [Language] = &[Language::English, Language::Spanish];
    const PAIRS: &'static [WordPair] = &[
        WordPair {
            stored: "en",
            shown: "en",
            also: &["English"],
        },
        WordPair {
            stored: "es",
            shown: "es",
            also: &["Spanish", "español"],
        },
    ];

    fn word(self) -> &'static str {
        self.tag()
    }

    fn stored(self) -> &'static str {
        self.tag()
    }
}

/// A monitored person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Worker {
    /// Date of birth; without it nobody can tell a minor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub birth_date: Option<Day>,
    /// Which limits hold besides those that age decides.
    pub category: Category,
    /// The office's own short name of the person.
    pub id: String,
    /// In which language the person reads pages, prompts, forms and labels; none: English.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub language: Option<Language>,
    /// The first monitored day.
    pub monitored_from: Day,
    /// Full name.
    pub name: String,
    /// The role on the first monitored day.
    pub role: Role,
}

fields! { Worker {
    birth_date, category, id, language, monitored_from, name.needs("the full name"), role,
} }

/// A person's role from a day on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RoleChange {
    /// The first day of the role.
    pub from: Day,
    /// The role.
    pub role: Role,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { RoleChange { from, role, worker } }

words! {
    /// Of what somebody is alerted.
    AlertScope {
        /// All of it, at once.
        Everything = "everything",
        /// What is about the person.
        Oneself = "oneself",
        /// The clocks of the law and of this ledger.
        Deadlines = "deadlines",
        /// Sets and items: what must not be used, falls due or wears.
        Equipment = "equipment",
    }
}

/// That somebody is alerted of something, besides what the role brings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AlertReader {
    /// The first day.
    pub from: Day,
    /// Of what.
    pub of: AlertScope,
    /// The last day; none while nobody knows one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Day>,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { AlertReader { from, of, until, worker } }

/// A change of monitoring after the first day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Monitoring {
    /// Starts or ends.
    pub change: MonitoringChange,
    /// The first or the last monitored day.
    pub on: Day,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { Monitoring { change, on, worker } }

/// No pregnancy lasts longer, in days: no conception is believed to be earlier before a notice,
/// and where none is stated it is taken to be as early as that.
pub const LONGEST_PREGNANCY: i64 = 310;

/// A pregnancy declared in writing with the estimated date of conception,
/// 10 CFR 20.1003.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pregnancy {
    /// The estimated date of conception; not asked for where no limit counts from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conception_on: Option<Day>,
    /// The day of the written notice.
    pub notice_on: Day,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { Pregnancy { conception_on, notice_on, worker } }

/// The end of a declared pregnancy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PregnancyEnd {
    /// Withdrawn or ended.
    pub how: PregnancyEnding,
    /// The day.
    pub on: Day,
    /// The declaration.
    pub pregnancy: Id<Pregnancy>,
}

fields! { PregnancyEnd { how, on, pregnancy } }

/// A recorded authorization of a level that needs one, such as the 50 mSv in
/// a single year of 2013/59/Euratom Art. 9(2).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Authorization {
    /// The authority and its reference.
    pub basis: String,
    /// First day.
    pub first_day: Day,
    /// Last day.
    pub last_day: Day,
    /// The key of the rule set's level.
    pub level: String,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { Authorization {
    basis.needs("the authority and its reference"),
    first_day,
    last_day,
    level.needs("the key of the level, as `rules show` has it"),
    worker,
} }

impl Record for Worker {
    const KIND: Kind = Kind::Worker;

    fn key(&self) -> String {
        self.id.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "id", &self.id);
        if let Some(birth) = self.birth_date
            && birth >= self.monitored_from
        {
            problems.push(Problem::new(
                "birth_date",
                birth.to_string(),
                format!(
                    "is not before the first monitored day {}",
                    self.monitored_from
                ),
                "the date of birth",
            ));
        }
        problems
    }
}

impl Record for RoleChange {
    const KIND: Kind = Kind::RoleChange;

    fn about(&self) -> Option<Day> {
        Some(self.from)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.worker, self.from)
    }
}

impl Record for AlertReader {
    const KIND: Kind = Kind::AlertReader;

    fn about(&self) -> Option<Day> {
        Some(self.from)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.worker, self.of.stored(), self.from)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if let Some(until) = self.until
            && until < self.from
        {
            problems.push(Problem::new(
                "until",
                until.to_string(),
                format!("is before the first day {}", self.from),
                "the last day of it, or a blank",
            ));
        }
        problems
    }
}

impl Record for Monitoring {
    const KIND: Kind = Kind::Monitoring;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.worker, self.on)
    }
}

impl Record for Pregnancy {
    const KIND: Kind = Kind::Pregnancy;

    fn key(&self) -> String {
        format!("{}/{}", self.worker, self.notice_on)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        let Some(conception_on) = self.conception_on else {
            return problems;
        };
        if conception_on > self.notice_on {
            problems.push(Problem::new(
                "conception_on",
                conception_on.to_string(),
                format!("is after the written notice of {}", self.notice_on),
                "the estimated date of conception, on or before the notice",
            ));
        }
        if (self.notice_on - conception_on).num_days() > LONGEST_PREGNANCY {
            problems.push(Problem::new(
                "conception_on",
                conception_on.to_string(),
                format!(
                    "is more than {LONGEST_PREGNANCY} days before the notice of {}",
                    self.notice_on
                ),
                "the estimated date of conception of this pregnancy",
            ));
        }
        problems
    }
}

impl Record for PregnancyEnd {
    const KIND: Kind = Kind::PregnancyEnd;

    fn key(&self) -> String {
        self.pregnancy.to_string()
    }
}

impl Record for Authorization {
    const KIND: Kind = Kind::Authorization;

    fn about(&self) -> Option<Day> {
        Some(self.first_day)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.worker, self.level, self.first_day)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        days_in_order(&mut problems, self.first_day, self.last_day);
        problems
    }
}
