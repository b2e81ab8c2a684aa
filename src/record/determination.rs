//! The RSO's decisions on doses that no dosimeter gives.

use serde::{Deserialize, Serialize};

use super::badge::Badge;
use super::body::Record;
use super::dose::{DoseQuantity, dose_problem};
use super::field::{Field, Pointer, RecordId, Shape, Shaped, fields};
use super::kind::Kind;
use super::problem::{Problem, days_in_order};
use super::reference::Id;
use super::sheet::Sheet;
use super::words::{Words, words};
use super::worker::Worker;
use super::{Claim, Dosimeter};
use crate::calendar::Day;
use crate::quantity::{Dose, DoseUnit};

words! {
    /// How a determination stands to what the dosimeters say.
    Relation {
        /// It takes the place of what it is about.
        Replaces = "replaces",
        /// It is added.
        Adds = "adds",
        /// It stands until a badge result comes.
        UntilResult = "until result",
    }
}

words! {
    /// How the dose was found.
    Method {
        /// From what co-workers at the same task received.
        CoWorker = "co-worker",
        /// From time, distance and shielding.
        TimeAndDistance = "time and distance",
        /// From the person's own neighbouring periods.
        OwnPeriods = "own periods",
        /// From another dosimeter worn at the time.
        OtherDosimeter = "other dosimeter",
        /// The limit's share for the time.
        Notional = "notional",
        /// The RSO ruled radiation out, with a reason.
        NoExposure = "no exposure",
        /// From chromosomes in the blood.
        Cytogenetic = "cytogenetic",
        /// From what a physician sees: skin, blood counts, time to vomiting.
        Clinical = "clinical",
    }
}

/// What a determination is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Scope {
    /// One person's readings of one dosimeter on one sheet.
    Reading {
        /// The dosimeter.
        dosimeter: Id<Dosimeter>,
        /// Its part, where it was set back to zero during the shift; the first
        /// where none is given.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        part: Option<i64>,
        /// The sheet.
        sheet: Id<Sheet>,
    },
    /// A badge's wear period.
    Badge {
        /// The badge's record.
        badge: Id<Badge>,
        /// The last day that it covers, of a badge that is still worn.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        last_day: Option<Day>,
    },
    /// A span of days, such as from issuance to loss of a badge.
    Days {
        /// First day.
        first_day: Day,
        /// Last day.
        last_day: Day,
    },
}

/// The fields of each scope, in the order of the registers' columns.
const READING: &[Field] = &[
    Field::of("dosimeter", (<Id<Dosimeter>>::SHAPE, true)),
    Field::of("part", (i64::SHAPE, false)),
    Field::of("sheet", (<Id<Sheet>>::SHAPE, true)),
];
const BADGE: &[Field] = &[
    Field::of("badge", (<Id<Badge>>::SHAPE, true)),
    Field::of("last_day", (Day::SHAPE, false)),
];
const DAYS: &[Field] = &[
    Field::of("first_day", (Day::SHAPE, true)),
    Field::of("last_day", (Day::SHAPE, true)),
];

impl Shaped for Scope {
    const SHAPE: Shape = Shape::OneOf(&[("reading", READING), ("badge", BADGE), ("days", DAYS)]);

    fn point(&self, pointers: &mut Vec<Pointer>) {
        match self {
            Scope::Reading {
                dosimeter, sheet, ..
            } => pointers.extend([Pointer::to(*dosimeter), Pointer::to(*sheet)]),
            Scope::Badge { badge, .. } => pointers.push(Pointer::to(*badge)),
            Scope::Days { .. } => {}
        }
    }
}

/// A dose determined by the RSO or the RSO's designee (10 CFR 34.47(d), (e)).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Determination {
    /// What it rests on, in words.
    pub basis: String,
    /// Who determined it.
    pub by: Id<Worker>,
    /// The dose of record, nanosievert: one figure, whatever range it lies in.
    pub dose_nsv: Dose,
    /// The most that it can be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high_nsv: Option<Dose>,
    /// The least that it can be. Without a high end the dose has no upper bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_nsv: Option<Dose>,
    /// How it was found.
    pub method: Method,
    /// The day of the determination.
    pub on: Day,
    /// Which dose.
    pub quantity: DoseQuantity,
    /// How it stands to what the dosimeters say.
    pub relation: Relation,
    /// What it is about.
    pub scope: Scope,
    /// The second person, where the dose is the determiner's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_by: Option<Id<Worker>>,
    /// Results and determinations that it takes the place of, for the reason
    /// that `basis` gives.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supersedes: Vec<Version>,
    /// Whose dose.
    pub worker: Id<Worker>,
}

fields! { Determination {
    basis.needs("what it rests on: tasks, other dosimeters, doses"),
    by.shown("performed_by"),
    dose_nsv.shown("dose"),
    high_nsv.shown("high"),
    low_nsv.shown("low"),
    method,
    on,
    quantity,
    relation,
    scope.flat(),
    second_by,
    supersedes.fixed(),
    worker,
} }

impl Determination {
    /// The most that it can be: what duties and levels count.
    pub fn at_most(&self) -> Dose {
        self.high_nsv.unwrap_or(self.dose_nsv)
    }

    /// Whether it is only known to be above something.
    pub fn is_open(&self) -> bool {
        self.low_nsv.is_some() && self.high_nsv.is_none()
    }

    /// As `5 rem`, `at least 5 rem, no upper bound`, `5 rem (2 rem to 5 rem)`.
    pub fn figure(&self, unit: DoseUnit) -> String {
        let dose = self.dose_nsv.display(unit);
        match (self.low_nsv, self.high_nsv) {
            (None, None) => dose,
            (Some(low), None) if low == self.dose_nsv => {
                format!("at least {dose}, no upper bound")
            }
            (Some(low), None) => {
                format!("{dose}, at least {}, no upper bound", low.display(unit))
            }
            (None, Some(high)) => format!("{dose} (up to {})", high.display(unit)),
            (Some(low), Some(high)) => {
                format!("{dose} ({} to {})", low.display(unit), high.display(unit))
            }
        }
    }

    /// Low and high end must have the figure of record between them.
    fn range_problems(&self) -> Vec<Problem> {
        let shown = |dose: Dose| dose.display(DoseUnit::Millirem);
        let mut problems = Vec::new();
        if let Some(low) = self.low_nsv
            && (low > self.dose_nsv || low < Dose::ZERO)
        {
            problems.push(Problem::new(
                "low",
                shown(low),
                format!(
                    "is not from zero to the dose of record, {}",
                    shown(self.dose_nsv)
                ),
                "the least that the dose can be; the dose of record lies within low and high",
            ));
        }
        if let Some(high) = self.high_nsv {
            if high < self.dose_nsv {
                problems.push(Problem::new(
                    "high",
                    shown(high),
                    format!("is below the dose of record, {}", shown(self.dose_nsv)),
                    "the most that the dose can be; the dose of record lies within low and high",
                ));
            }
            problems.extend(dose_problem("high", high, self.quantity));
        }
        problems
    }
}

/// One version of a result or determination.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Version {
    /// The entry that says it.
    pub entry: RecordId,
    /// The record.
    pub record: Id<Claim>,
}

fields! { Version { entry.written(Shape::Entry).fixed(), record.fixed() } }

/// What the RSO decided between results and determinations that contradict each
/// other: which are of record. It holds for the versions that it names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resolution {
    /// Who decides: RSO or designee.
    pub by: Id<Worker>,
    /// The day.
    pub on: Day,
    /// Why.
    pub reason: String,
    /// Of those that stand, the one that speaks only for the shifts that no
    /// other of them speaks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rest: Option<Version>,
    /// The second person, where the dose is the decider's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second_by: Option<Id<Worker>>,
    /// Those that are not of record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<Version>,
    /// Those that are, besides the one that speaks for the rest.
    pub stands: Vec<Version>,
    /// Whose dose.
    pub worker: Id<Worker>,
}

fields! { Resolution {
    by.shown("performed_by"),
    on,
    reason.needs("why this figure is of record"),
    rest.fixed(),
    second_by,
    set_aside.fixed(),
    stands.fixed(),
    worker.fixed(),
} }

/// A planned special exposure (10 CFR 20.1206): its dose counts apart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedExposure {
    /// The day of the written authorization, before the exposure.
    pub authorized_on: Day,
    /// What it was for and who authorized it.
    pub basis: String,
    /// First day.
    pub first_day: Day,
    /// Last day.
    pub last_day: Day,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { PlannedExposure {
    authorized_on,
    basis.needs("what it was for and who authorized it"),
    first_day,
    last_day,
    worker,
} }

impl Record for Determination {
    const KIND: Kind = Kind::Determination;

    fn key(&self) -> String {
        let scope = match &self.scope {
            Scope::Reading {
                dosimeter,
                part,
                sheet,
            } => match part.unwrap_or(1) {
                1 => format!("sheet {sheet} dosimeter {dosimeter}"),
                part => format!("sheet {sheet} dosimeter {dosimeter} part {part}"),
            },
            Scope::Badge { badge, .. } => format!("badge {badge}"),
            Scope::Days {
                first_day,
                last_day,
            } => format!("{first_day} to {last_day}"),
        };
        let over: String = self
            .supersedes
            .iter()
            .map(|it| format!(" over {}", it.entry))
            .collect();
        format!("{}/{scope}{over}/{}", self.worker, self.quantity.stored())
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        problems.extend(dose_problem("dose", self.dose_nsv, self.quantity));
        problems.extend(self.range_problems());
        if let Scope::Days {
            first_day,
            last_day,
        } = self.scope
        {
            days_in_order(&mut problems, first_day, last_day);
        }
        if let Scope::Reading {
            part: Some(part), ..
        } = self.scope
            && part < 1
        {
            problems.push(Problem::new(
                "part",
                part.to_string(),
                "is no part of a dosimeter's shift",
                "1, 2, 3, as the sheet numbers them",
            ));
        }
        let ranged = self.low_nsv.is_some() || self.high_nsv.is_some();
        if self.method == Method::NoExposure && (self.dose_nsv != Dose::ZERO || ranged) {
            problems.push(Problem::new(
                "dose",
                "",
                "is not zero although radiation was ruled out",
                "zero, or another method",
            ));
        }
        problems
    }
}

impl Resolution {
    /// Everything that it names, with how it stands.
    pub fn named(&self) -> impl Iterator<Item = (&'static str, Version)> {
        let stands = self.stands.iter().map(|it| ("stands", *it));
        let rest = self.rest.map(|it| ("rest", it));
        let aside = self.set_aside.iter().map(|it| ("set aside", *it));
        stands.chain(rest).chain(aside)
    }
}

impl Record for Resolution {
    const KIND: Kind = Kind::Resolution;

    fn key(&self) -> String {
        let mut entries: Vec<RecordId> = self.named().map(|(_, it)| it.entry).collect();
        entries.sort_unstable();
        let entries: Vec<String> = entries.iter().map(ToString::to_string).collect();
        entries.join("+")
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if self.stands.is_empty() {
            problems.push(Problem::missing(
                "stands",
                "the result or determination of record",
            ));
        }
        problems
    }
}

impl Record for PlannedExposure {
    const KIND: Kind = Kind::PlannedExposure;

    fn about(&self) -> Option<Day> {
        Some(self.first_day)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.worker, self.first_day)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        days_in_order(&mut problems, self.first_day, self.last_day);
        if self.authorized_on >= self.first_day {
            problems.push(Problem::new(
                "authorized_on",
                self.authorized_on.to_string(),
                format!("is not before the first day {}", self.first_day),
                "the day of the written authorization, before the exposure",
            ));
        }
        problems
    }
}
