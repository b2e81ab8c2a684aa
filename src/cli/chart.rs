//! `wearbook chart ...`

use std::path::Path;

use super::args::ChartVerb;
use super::failure::{self, Failure};
use super::run::Session;
use crate::answer::year_of;
use crate::show::chart::png;
use crate::show::{Report, year_chart};

pub(super) fn run(session: &mut Session<'_>, verb: ChartVerb) -> Result<(), Failure> {
    let ChartVerb::Worker {
        worker,
        year,
        out,
        on,
    } = verb;
    draw(session, &worker, year, &out, on.as_deref())?;
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
    let kind = out
        .extension()
        .and_then(|it| it.to_str())
        .unwrap_or_default()
        .to_lowercase();
    if !matches!(kind.as_str(), "svg" | "png") {
        return Err(Failure::Flag {
            flag: "out",
            what: format!("`{}` is neither .svg nor .png", out.display()),
            right: "a file name such as w07.svg".to_owned(),
        });
    }
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
    let bytes = match kind.as_str() {
        "svg" => svg.into_bytes(),
        _ => png::png(&svg, png::PRINT_WIDTH)?,
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
