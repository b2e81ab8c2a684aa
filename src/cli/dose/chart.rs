//! `wearbook chart ...`

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use crate::answer::{
    AnswerError, OpenHouse, calendar, collective, dose_of_crew, ranking_of, reconcile, trace_of,
    wear_drawing, year_of,
};
use crate::calendar::{Day, Span};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{BetweenArgs, OnArg, days};
use crate::cli::frame::session::Session;
use crate::file::{Over, write_whole};
use crate::quantity::DoseUnit;
use crate::show::chart::png::{self, is_chart};
use crate::show::{
    Report, collective_chart, crew_chart, due_chart, ranking_chart_of, reconcile_chart,
    trace_chart_of, wear_chart_of, year_chart,
};

#[derive(Debug, Subcommand)]
pub(crate) enum ChartVerb {
    /// Draw one person's year against the levels, with the forecast
    ///
    /// Example: wearbook chart worker W07 --year 2026 --out w07.svg
    Worker {
        /// The worker's id
        worker: String,
        #[command(flatten)]
        year: YearArgs,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw everybody's year as bars against the levels
    ///
    /// Example: wearbook chart crew --year 2026 --out crew.svg
    Crew {
        #[command(flatten)]
        year: YearArgs,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw readings against badge results with the rule set's band
    ///
    /// Example: wearbook chart reconcile --year 2026 --out badges.svg
    Reconcile {
        /// One worker's id [default: everybody]
        worker: Option<String>,
        #[command(flatten)]
        year: YearArgs,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw what falls due on the coming days, of things, people and badges
    ///
    /// Example: wearbook chart due --within 90 --out due.svg
    Due {
        /// So many days ahead
        #[arg(
            long,
            value_name = "DAYS",
            default_value_t = 90,
            value_parser = clap::value_parser!(u32).range(1..=1000)
        )]
        within: u32,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw the collective dose of a year month by month
    ///
    /// Example: wearbook chart collective --year 2026 --out collective.svg
    Collective {
        #[command(flatten)]
        year: YearArgs,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw how a part wore, its line, band and limit
    ///
    /// Example: wearbook chart wear CU-2 --line cable-diameter --out cu2.svg
    Wear {
        /// The equipment's id
        equipment: String,
        /// The item of the checklist [default: the one measured most often]
        #[arg(long, value_name = "KEY")]
        line: Option<String>,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw the time line of what failed, from its fitting to the event
    ///
    /// Example: wearbook chart trace E-1 --out e1.png
    Trace {
        /// Name of the event
        event: String,
        #[command(flatten)]
        paper: PaperArgs,
    },
    /// Draw what each item caught and let through, over all events
    ///
    /// Example: wearbook chart ranking --out items.svg
    Ranking {
        #[command(flatten)]
        paper: PaperArgs,
    },
}

/// Which year.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct YearArgs {
    /// The licensee's year [default: the current one]
    #[arg(long)]
    year: Option<i32>,
}

/// Where a chart goes, and for which day it is.
#[derive(Debug, Clone, Args)]
pub(crate) struct PaperArgs {
    /// The file: .svg or .png
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    on: OnArg,
}

pub(crate) fn run(session: &mut Session<'_>, verb: ChartVerb) -> Result<(), Failure> {
    let (ChartVerb::Worker { paper, .. }
    | ChartVerb::Crew { paper, .. }
    | ChartVerb::Reconcile { paper, .. }
    | ChartVerb::Due { paper, .. }
    | ChartVerb::Collective { paper, .. }
    | ChartVerb::Wear { paper, .. }
    | ChartVerb::Trace { paper, .. }
    | ChartVerb::Ranking { paper }) = &verb;
    let out = paper.out.clone();
    let kind = kind_of(&out)?;
    let svg = match verb {
        ChartVerb::Worker {
            worker,
            year,
            paper,
        } => draw_worker(session, &worker, year.year, paper.on.day()?),
        ChartVerb::Crew { year, paper } => draw_crew(session, year, &paper),
        ChartVerb::Reconcile {
            worker,
            year,
            paper,
        } => draw_reconcile(session, worker.as_deref(), year, &paper),
        ChartVerb::Due { within, paper } => draw_due(session, within, &paper),
        ChartVerb::Collective { year, paper } => draw_collective(session, year, &paper),
        ChartVerb::Wear {
            equipment,
            line,
            paper,
        } => draw_wear(session, &equipment, line.as_deref(), &paper),
        ChartVerb::Trace { event, paper } => draw_trace(session, &event, &paper),
        ChartVerb::Ranking { paper } => {
            let answer = session.ask_until(None, paper.on.day()?, ranking_of)?;
            Ok(ranking_chart_of(&answer, session.output.scripted)?)
        }
    }?;
    if session.output.keeps() {
        let mut report = Report::default();
        report.picture(svg);
        return session.output.report(report);
    }
    write(&out, kind, svg)?;
    session
        .output
        .report(Report::new(format!("{} is drawn", out.display())))
}

/// Draws one person's year into a file.
pub(crate) fn draw(
    session: &mut Session<'_>,
    worker: &str,
    year: Option<i32>,
    out: &Path,
    on: Option<Day>,
) -> Result<(), Failure> {
    let kind = kind_of(out)?;
    let svg = draw_worker(session, worker, year, on)?;
    write(out, kind, svg)
}

fn draw_worker(
    session: &mut Session<'_>,
    worker: &str,
    year: Option<i32>,
    on: Option<Day>,
) -> Result<String, Failure> {
    let now = session.clock.now();
    let (answer, unit) = session.ask(None, |house| {
        let today = on.unwrap_or_else(|| house.today(now));
        let worker = house.names.worker(worker)?;
        let start = house.rule_set_on(today)?.year_start;
        let year = year.unwrap_or_else(|| start.year_of(today));
        Ok((year_of(house, worker.number(), year, today)?, house.unit()))
    })?;
    Ok(year_chart(&answer, unit, session.output.scripted)?)
}

/// Asks about a year of the licensee: its span, and today, which is its last day where it is over.
fn ask_of_year<T>(
    session: &mut Session<'_>,
    year: YearArgs,
    paper: &PaperArgs,
    question: impl FnOnce(&OpenHouse<'_>, Span, Day) -> Result<T, AnswerError>,
) -> Result<(T, DoseUnit), Failure> {
    let days = days(year.year, &BetweenArgs::default(), &paper.on)?;
    let now = session.clock.now();
    session.ask(None, |house| {
        let (span, on) = days.settle(house, now)?;
        Ok((question(house, span, on)?, house.unit()))
    })
}

fn draw_crew(
    session: &mut Session<'_>,
    year: YearArgs,
    paper: &PaperArgs,
) -> Result<String, Failure> {
    let (answer, unit) = ask_of_year(session, year, paper, dose_of_crew)?;
    Ok(crew_chart(&answer, unit, session.output.scripted)?)
}

fn draw_reconcile(
    session: &mut Session<'_>,
    worker: Option<&str>,
    year: YearArgs,
    paper: &PaperArgs,
) -> Result<String, Failure> {
    let (answer, unit) = ask_of_year(session, year, paper, |house, span, on| {
        let worker = worker.map(|id| house.names.worker(id)).transpose()?;
        // What ends after today has no result to be held against.
        let last = span.last.min(on).max(span.first);
        reconcile(house, worker.map(|it| it.number()), Span { last, ..span })
    })?;
    Ok(reconcile_chart(&answer, unit, session.output.scripted)?)
}

fn draw_due(session: &mut Session<'_>, within: u32, paper: &PaperArgs) -> Result<String, Failure> {
    let on = paper.on.day()?;
    let now = session.clock.now();
    let answer = session.ask(None, |house| {
        let today = on.unwrap_or_else(|| house.today(now));
        calendar(house, today, within, now)
    })?;
    Ok(due_chart(&answer, session.output.scripted)?)
}

fn draw_collective(
    session: &mut Session<'_>,
    year: YearArgs,
    paper: &PaperArgs,
) -> Result<String, Failure> {
    let (answer, unit) = ask_of_year(session, year, paper, collective)?;
    Ok(collective_chart(&answer, unit, session.output.scripted)?)
}

/// Draws the wear of one measured item of the checklist on one item of equipment.
fn draw_wear(
    session: &mut Session<'_>,
    equipment: &str,
    line: Option<&str>,
    paper: &PaperArgs,
) -> Result<String, Failure> {
    let drawing = session.ask_on(&paper.on, |house, today| {
        wear_drawing(house, equipment, line, today)
    })?;
    Ok(wear_chart_of(&drawing, session.output.scripted)?)
}

/// Draws the time line of an event.
fn draw_trace(
    session: &mut Session<'_>,
    event: &str,
    paper: &PaperArgs,
) -> Result<String, Failure> {
    let answer = session.ask_until(None, paper.on.day()?, |house| trace_of(house, event))?;
    match trace_chart_of(&answer, session.output.scripted)? {
        Some(svg) => Ok(svg),
        None => Err(Failure::Refused {
            what: format!("no item has anything to show for {}", answer.event),
            hint: format!("wearbook trace {}", answer.event),
        }),
    }
}

/// How a chart is written.
#[derive(Clone, Copy)]
enum Kind {
    Svg,
    Png,
}

fn kind_of(out: &Path) -> Result<Kind, Failure> {
    let ending = out.extension().and_then(|it| it.to_str());
    match ending.unwrap_or_default().to_lowercase().as_str() {
        "svg" => Ok(Kind::Svg),
        "png" => Ok(Kind::Png),
        _ => Err(Failure::Flag {
            flag: "out",
            what: format!("`{}` is neither .svg nor .png", out.display()),
            right: "a file name such as w07.svg".to_owned(),
        }),
    }
}

fn write(out: &Path, kind: Kind, svg: String) -> Result<(), Failure> {
    let bytes = match kind {
        Kind::Svg => svg.into_bytes(),
        Kind::Png => png::png(&svg, png::PRINT_WIDTH)?,
    };
    Ok(write_whole(out, &bytes, Over::Own(is_chart))?)
}
