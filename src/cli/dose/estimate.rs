//! `wearbook dose reconstruct` and `dose plan`: estimates; nothing is written.

use std::path::PathBuf;

use clap::Args;

use crate::answer::{
    AnswerError, BodyPart, Moment, PlanAsked, ReconstructAsked, SourceAsked, near, plan,
    reconstruct_dose,
};
use crate::calendar::TimeOfDay;
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::ShowArgs;
use crate::cli::frame::moment::moment;
use crate::cli::frame::session::Session;
use crate::intake::{
    POSITION_COLUMNS, PositionBatch, Positions, Said, TableFile, read_positions, shields_of,
};
use crate::quantity::{Activity, Dose};
use crate::show::{plan_report, reconstruct_report};

/// Which source, and which constant.
#[derive(Debug, Args)]
pub(crate) struct SourceArgs {
    /// Id of a source assembly, or of the device that holds it
    #[arg(long, value_name = "ID", conflicts_with = "nuclide")]
    source: Option<String>,
    /// Nuclide of a source that is not registered, such as Ir-192
    #[arg(long)]
    nuclide: Option<String>,
    /// Its activity with the unit, such as "85 Ci"; with --source instead of the register's
    #[arg(long)]
    activity: Option<String>,
    /// The day of that activity [default: the day asked for]
    #[arg(long, value_name = "DATE", requires = "activity")]
    activity_on: Option<String>,
    /// Another constant: a name, or a value such as "0.48 R m2/(h Ci)"
    #[arg(long, value_name = "CONSTANT")]
    constant: Option<String>,
    /// An unusual activity or constant is meant as it stands
    #[arg(long)]
    as_stated: bool,
}

impl SourceArgs {
    fn read(self) -> Result<SourceAsked, Failure> {
        let activity = self
            .activity
            .map(|text| Activity::parse(&text, None))
            .transpose()
            .map_err(|error| Failure::flag("activity", error, "such as `85 Ci` or `1.5 TBq`"))?;
        let on = self
            .activity_on
            .map(|text| failure::day("activity-on", &text))
            .transpose()?;
        Ok(SourceAsked {
            source: self.source,
            nuclide: self.nuclide,
            activity,
            activity_on: on,
            constant: self.constant,
            as_stated: self.as_stated,
        })
    }
}

/// `wearbook dose reconstruct`
#[derive(Debug, Args)]
pub(crate) struct ReconstructArgs {
    #[command(flatten)]
    source: SourceArgs,
    /// When it began, local time, such as 2026-05-19T10:40
    #[arg(long, value_name = "TIME")]
    at: String,
    /// A CSV file of positions: what,from,distance,minutes,shield,part
    #[arg(long, value_name = "FILE", conflicts_with = "position")]
    positions: Option<PathBuf>,
    /// One position, again for the next
    #[arg(long, value_name = "FIELD=VALUE, ...")]
    position: Vec<String>,
    /// Part of the body of positions that name none: whole body (deep dose; counts for every
    /// part), chest (deep dose of the trunk), head (lens, and deep dose), hand or foot
    /// (extremity) [default: whole body]
    #[arg(long, value_name = "PART")]
    part: Option<String>,
    /// Set it beside the readings and badge of this worker
    #[arg(long, value_name = "ID")]
    worker: Option<String>,
    /// The day on which the worker's shift began [default: the day of --at]
    #[arg(long, value_name = "DATE", requires = "worker")]
    day: Option<String>,
    /// The formula, where the constant is from, and what others make of it
    #[arg(long)]
    why: bool,
    #[command(flatten)]
    show: ShowArgs,
}

/// `wearbook dose plan`
#[derive(Debug, Args)]
pub(crate) struct PlanArgs {
    #[command(flatten)]
    source: SourceArgs,
    /// For which day or local time, such as 2026-06-16 or 2026-06-16T08:00 [default: today]
    #[arg(long, value_name = "TIME")]
    on: Option<String>,
    /// Shielding, such as "lead 10 mm", "2 HVL"; several with +
    #[arg(long, value_name = "SHIELD")]
    shield: Option<String>,
    /// What one person may receive, such as "50 mrem"
    #[arg(long, value_name = "DOSE")]
    budget: Option<String>,
    /// Where the constant is from, and what others make of it
    #[arg(long)]
    why: bool,
    #[command(flatten)]
    show: ShowArgs,
}

/// Reads `what=..., distance=..., minutes=...`.
fn typed(text: &str) -> Result<Vec<String>, Failure> {
    let mut row = vec![String::new(); POSITION_COLUMNS.len()];
    let parts = text.split(',').map(str::trim).filter(|it| !it.is_empty());
    for part in parts {
        let right = format!("fields {}", POSITION_COLUMNS.join(", "));
        let Some((field, value)) = part.split_once('=') else {
            let what = format!("`{part}` is not FIELD=VALUE");
            return Err(Failure::flag("position", what, &right));
        };
        let field = field.trim();
        let place = POSITION_COLUMNS.iter().position(|it| *it == field);
        let Some(cell) = place.and_then(|it| row.get_mut(it)) else {
            let near = near(field, POSITION_COLUMNS.iter().copied());
            let near = near.first().map(|it| format!("did you mean `{it}`? "));
            let what = format!("`{field}` is not a field of a position");
            let right = near.unwrap_or_default() + &right;
            return Err(Failure::flag("position", what, &right));
        };
        value.trim().clone_into(cell);
    }
    Ok(row)
}

/// Asks for position after position, until one is named with nothing.
fn asked(session: &mut Session<'_>) -> Result<Vec<Vec<String>>, Failure> {
    // In the order of the columns after the first.
    const ASKED: &[&str] = &[
        "from which hour, such as 10:40; Enter: after the one before",
        "distance with its unit, such as 2 m",
        "minutes",
        "shield, such as lead 10 mm or 2 HVL; Enter: none",
        "whole body, chest, head, hand or foot; Enter: whole body",
    ];
    let mut rows: Vec<Vec<String>> = Vec::new();
    loop {
        let number = rows.len() + 1;
        let label = format!("{number}: what was done there; Enter alone ends");
        let what = session.field(&label, "")?;
        if what.is_empty() && !rows.is_empty() {
            return Ok(rows);
        }
        let mut row = vec![what];
        for question in ASKED {
            row.push(session.field(&format!("   {question}"), "")?);
        }
        rows.push(row);
    }
}

/// Figures that cannot be meant become a refusal that names their lines.
fn with_lines(failure: Failure, positions: &Positions) -> Failure {
    match failure {
        Failure::Answer(AnswerError::Unlikely(slips)) => Failure::Intake(positions.refused(slips)),
        other => other,
    }
}

pub(crate) fn reconstruct(session: &mut Session<'_>, args: ReconstructArgs) -> Result<(), Failure> {
    let at = moment("at", &args.at)?;
    let day = args
        .day
        .map(|text| failure::day("day", &text))
        .transpose()?;
    let said = Said::default();
    let batch = match &args.positions {
        Some(path) => PositionBatch::File(TableFile { path, said: &said }),
        None if args.position.is_empty() && session.asks => PositionBatch::Typed(asked(session)?),
        None if args.position.is_empty() => {
            return Err(Failure::Refused {
                what: "no position was given".to_owned(),
                hint: "--position \"what=..., distance=2 m, minutes=3\", or --positions FILE.csv"
                    .to_owned(),
            });
        }
        None => PositionBatch::Typed(
            args.position
                .iter()
                .map(|text| typed(text))
                .collect::<Result<_, _>>()?,
        ),
    };
    let source = args.source.read()?;
    let unnamed = match args.part.as_deref() {
        None => BodyPart::WholeBody,
        Some(word) => BodyPart::from_word(word).ok_or_else(|| {
            let known: Vec<&str> = BodyPart::ALL.into_iter().map(BodyPart::word).collect();
            let right = format!("one of {}", known.join(", "));
            Failure::flag(
                "part",
                format!("`{word}` is no part of the body here"),
                &right,
            )
        })?,
    };
    let mut positions = read_positions(batch, unnamed)?;
    let asked = ReconstructAsked {
        source,
        at,
        positions: std::mem::take(&mut positions.list),
        worker: args.worker,
        day,
    };
    let now = session.clock.now();
    let answer = session
        .ask(None, |house| reconstruct_dose(house, &asked, now))
        .map_err(|it| with_lines(it, &positions))?;
    session.answer(&args.show, "dose reconstruct", &answer, |it| {
        reconstruct_report(it, args.why)
    })
}

pub(crate) fn plan_retrieval(session: &mut Session<'_>, args: PlanArgs) -> Result<(), Failure> {
    let at = match args.on.as_deref() {
        None => None,
        Some(text) if text.contains(['T', ' ']) => Some(moment("on", text)?),
        Some(text) => Some(Moment::Local(failure::day("on", text)?, TimeOfDay::MIN)),
    };
    let shields = shields_of(args.shield.as_deref().unwrap_or_default())
        .map_err(|(what, right)| Failure::flag("shield", what, &right))?;
    let budget = args
        .budget
        .map(|text| Dose::parse(&text, None))
        .transpose()
        .map_err(|error| Failure::flag("budget", error, "such as `50 mrem`"))?;
    if budget.is_some_and(|it| it <= Dose::ZERO) {
        return Err(Failure::flag("budget", "is no dose", "such as `50 mrem`"));
    }
    let source = args.source.read()?;
    let now = session.clock.now();
    let answer = session
        .ask(None, |house| {
            let asked = PlanAsked {
                source,
                at: at.unwrap_or(Moment::Fixed(now)),
                shields,
                budget,
            };
            plan(house, &asked, now)
        })
        .map_err(|it| with_lines(it, &Positions::default()))?;
    session.answer(&args.show, "dose plan", &answer, |it| {
        plan_report(it, args.why)
    })
}
