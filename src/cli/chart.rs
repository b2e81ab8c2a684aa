//! `wearbook chart ...`

use std::path::{Path, PathBuf};

use clap::Subcommand;

use super::failure::{self, Failure};
use super::run::Session;
use crate::answer::{ranking_of, trace_of, wear_drawing, year_of};
use crate::show::chart::png;
use crate::show::{Report, ranking_chart_of, trace_chart_of, wear_chart_of, year_chart};

#[derive(Debug, Subcommand)]
pub(super) enum ChartVerb {
    /// Draw one person's year against the levels
    ///
    /// Example: wearbook chart worker W07 --year 2026 --out w07.svg
    Worker {
        /// The worker's id
        worker: String,
        /// The licensee's year [default: the current one]
        #[arg(long)]
        year: Option<i32>,
        /// The file: .svg or .png
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
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
        /// The file: .svg or .png
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
    },
    /// Draw the time line of what failed, from its fitting to the event
    ///
    /// Example: wearbook chart trace E-1 --out e1.png
    Trace {
        /// Name of the event
        event: String,
        /// The file: .svg or .png
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
    /// Draw what each item caught and let through, over all events
    ///
    /// Example: wearbook chart ranking --out items.svg
    Ranking {
        /// The file: .svg or .png
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
}

pub(super) fn run(session: &mut Session<'_>, verb: ChartVerb) -> Result<(), Failure> {
    let out = match verb {
        ChartVerb::Worker {
            worker,
            year,
            out,
            on,
        } => {
            draw(session, &worker, year, &out, on.as_deref())?;
            out
        }
        ChartVerb::Wear {
            equipment,
            line,
            out,
            on,
        } => {
            draw_wear(session, &equipment, line.as_deref(), &out, on.as_deref())?;
            out
        }
        ChartVerb::Trace { event, out } => {
            draw_trace(session, &event, &out)?;
            out
        }
        ChartVerb::Ranking { out } => {
            let kind = kind_of(&out)?;
            let answer = session.ask(None, ranking_of)?;
            write(
                &out,
                kind,
                ranking_chart_of(&answer, session.output.scripted)?,
            )?;
            out
        }
    };
    session
        .output
        .report(Report::new(format!("{} is drawn", out.display())))
}

/// Draws one person's year into a file, which appears whole or not at all.
pub(super) fn draw(
    session: &mut Session<'_>,
    worker: &str,
    year: Option<i32>,
    out: &Path,
    on: Option<&str>,
) -> Result<(), Failure> {
    let kind = kind_of(out)?;
    let on = on.map(|text| failure::day("on", text)).transpose()?;
    let now = session.clock.now();
    let (answer, unit) = session.ask(None, |snapshot, house| {
        let today = on.unwrap_or_else(|| house.today(now));
        let worker = house.names.worker(worker)?;
        let start = house.scheme_on(today)?.year_start;
        let year = year.unwrap_or_else(|| start.year_of(today));
        Ok((year_of(snapshot, house, worker, year, today)?, house.unit()))
    })?;
    let svg = year_chart(&answer, unit, session.output.scripted)?;
    write(out, kind, svg)
}

/// Draws the wear of one item of one piece of equipment.
fn draw_wear(
    session: &mut Session<'_>,
    equipment: &str,
    line: Option<&str>,
    out: &Path,
    on: Option<&str>,
) -> Result<(), Failure> {
    let kind = kind_of(out)?;
    let on = on.map(|text| failure::day("on", text)).transpose()?;
    let now = session.clock.now();
    let drawing = session.ask(None, |snapshot, house| {
        let today = on.unwrap_or_else(|| house.today(now));
        wear_drawing(snapshot, house, equipment, line, today)
    })?;
    let svg = wear_chart_of(&drawing, session.output.scripted)?;
    write(out, kind, svg)
}

/// Draws the time line of an event.
fn draw_trace(session: &mut Session<'_>, event: &str, out: &Path) -> Result<(), Failure> {
    let kind = kind_of(out)?;
    let answer = session.ask(None, |snapshot, house| trace_of(snapshot, house, event))?;
    match trace_chart_of(&answer, session.output.scripted)? {
        Some(svg) => write(out, kind, svg),
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
    std::fs::write(out, bytes).map_err(|source| {
        // A file that is about to be made cannot be missing: its folder is.
        let missing = match source.kind() {
            std::io::ErrorKind::NotFound => out.parent().unwrap_or(out),
            _ => out,
        };
        Failure::File {
            file: missing.display().to_string(),
            source,
        }
    })
}
