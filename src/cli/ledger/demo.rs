//! `wearbook demo`: builds a ledger of an invented company through the normal
//! commands with a scripted clock, and shows what it holds.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use clap::Args;
use include_dir::{Dir, include_dir};
use serde::Deserialize;

use super::serve::{PORT, ServeArgs, serve_by};
use crate::answer::{dose_of_crew, findings};
use crate::calendar::{Span, parse_day, parse_instant};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::read_file;
use crate::cli::frame::folder::no_file_name;
use crate::cli::frame::session::{Clock, Scripted, Session, Surroundings};
use crate::file::FolderBuilding;
use crate::rule::Severity;
use crate::show::{Report, crew_report, findings_report};
use crate::text::file_name;

#[derive(Debug, Args)]
pub(crate) struct DemoArgs {
    /// The folder to build it in
    #[arg(long, default_value = "wearbook-demo", value_name = "DIR")]
    pub out: PathBuf,
    /// Other files than the ones that come with the program
    #[arg(long, value_name = "DIR")]
    pub from: Option<PathBuf>,
    /// Show it in a browser, on the demonstration's own day; one that was built before is kept
    #[arg(long)]
    pub serve: bool,
    /// The port of --serve; 0 takes a free one
    #[arg(long, value_name = "PORT", default_value_t = PORT, requires = "serve")]
    pub port: u16,
}

/// The name of its ledger.
const LEDGER: &str = "demo.db";

/// The demonstration's files, as they travel in the program.
static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/demo");

/// The steps that make the ledger.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Script {
    /// The day on which the demonstration is shown.
    today: String,
    step: Vec<Step>,
}

/// One command with its moment.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Step {
    at: String,
    by: String,
    run: Vec<String>,
}

pub(crate) fn run(session: &mut Session<'_>, args: &DemoArgs) -> Result<(), Failure> {
    no_file_name(&args.out)?;
    let ledger = args.out.join(LEDGER);
    let is_built = ledger.exists();
    if is_built && !args.serve {
        return Err(Failure::Refused {
            what: format!("{} exists already", ledger.display()),
            hint: "remove it, or name another folder with --out DIR".to_owned(),
        });
    }
    let from = match &args.from {
        Some(from) => from.clone(),
        None => unpack(&args.out)?,
    };
    let script_path = from.join("script.toml");
    let text = read_file(&script_path)?;
    let script: Script = toml::from_str(&text).map_err(|error| Failure::Refused {
        what: format!("{}: {}", script_path.display(), error.message()),
        hint: "the demonstration's own script".to_owned(),
    })?;
    if !is_built {
        make_folder(&args.out)?;
        session.output.talk(&format!(
            "building {} in {} steps ...",
            ledger.display(),
            script.step.len()
        ))?;
        let building = FolderBuilding::begin(&args.out.join("demo"))?;
        build(session, &script, &from, &building.path().join(LEDGER))?;
        building.give(LEDGER, &ledger)?;
        show(session, &script, &args.out, &ledger)?;
    }
    match args.serve {
        true => open_page(session, &script, (&from, ledger), args.port),
        false => Ok(()),
    }
}

/// The page of the demonstration, at the end of the shift of its own day.
fn open_page(
    session: &mut Session<'_>,
    script: &Script,
    (from, ledger): (&Path, PathBuf),
    port: u16,
) -> Result<(), Failure> {
    let evening = format!("{}T22:00:00Z", script.today);
    let evening = parse_instant(&evening).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: "the demonstration's own script".to_owned(),
    })?;
    session.ledger_path = ledger;
    let args = ServeArgs {
        call: vec!["the RSO, 555-0100 (invented)".to_owned()],
        port,
        steps: Some(from.join("emergency-steps.txt")).filter(|it| it.exists()),
        ..ServeArgs::default()
    };
    serve_by(session, &args, Scripted(evening.to_utc()).shared())
}

fn make_folder(folder: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(folder).map_err(|source| Failure::File {
        file: folder.display().to_string(),
        source,
    })
}

/// Writes the files that come with the program beside the ledger, for whoever wants to look at
/// them too.
fn unpack(out: &Path) -> Result<PathBuf, Failure> {
    let folder = out.join("files");
    make_folder(&folder)?;
    FILES.extract(&folder).map_err(|source| Failure::File {
        file: folder.display().to_string(),
        source,
    })?;
    Ok(folder)
}

/// Takes every step, for whoever watches.
fn build(
    session: &mut Session<'_>,
    script: &Script,
    from: &Path,
    ledger: &Path,
) -> Result<(), Failure> {
    let watched = session.watch();
    let steps = u64::try_from(script.step.len()).unwrap_or(0);
    watched.tally.begin("building the demonstration", steps);
    for (step, done) in script.step.iter().zip(0..) {
        watched.tally.reach(done);
        take_step(session, step, from, ledger)?;
    }
    Ok(())
}

/// Runs one step as a command of its own; what it prints is kept back unless it
/// fails.
fn take_step(
    session: &mut Session<'_>,
    step: &Step,
    from: &Path,
    ledger: &Path,
) -> Result<(), Failure> {
    let at = parse_instant(&step.at).map_err(|error| Failure::Refused {
        what: format!("step `{}`: {error}", step.run.join(" ")),
        hint: String::new(),
    })?;
    let mut words: Vec<OsString> = vec!["wearbook".into()];
    for word in &step.run {
        let file = from.join(word);
        let is_file = word.contains('.') && file.is_file();
        words.push(if is_file {
            file.into_os_string()
        } else {
            word.into()
        });
    }
    words.extend([
        "--ledger".into(),
        ledger.as_os_str().to_owned(),
        "--by".into(),
    ]);
    words.push(step.by.clone().into());
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = (session.program.run)(
        &words,
        Surroundings {
            clock: &mut Scripted(at.to_utc()),
            os_user: "demo".to_owned(),
            input: &mut std::io::empty(),
            asks: false,
            hidden: None,
            out: &mut out,
            err: &mut err,
            width: 100,
            screen: None,
            if_broken_off: &mut |_| {},
        },
    );
    if code == 0 {
        return Ok(());
    }
    session.output.talk(&String::from_utf8_lossy(&err))?;
    Err(Failure::Refused {
        what: format!(
            "the step at {} failed: wearbook {}",
            step.at,
            step.run.join(" ")
        ),
        hint: String::new(),
    })
}

fn show(
    session: &mut Session<'_>,
    script: &Script,
    out: &Path,
    ledger: &Path,
) -> Result<(), Failure> {
    let today = parse_day(&script.today).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: String::new(),
    })?;
    session.ledger_path = ledger.to_owned();
    let now = session.clock.now();
    let (crew, found) = session.ask(None, |house| {
        let start = house.rule_set_on(today)?.year_start;
        let year = start.year(start.year_of(today));
        let month = Span {
            first: today
                .checked_sub_days(chrono::Days::new(31))
                .unwrap_or(today),
            last: today,
        };
        Ok((
            dose_of_crew(house, year, today)?,
            findings(house, (month, today, now), false)?,
        ))
    })?;
    session.output.report(crew_report(&crew))?;
    session.output.raw("\n")?;
    let mut urgent = found.clone();
    urgent
        .lines
        .retain(|line| line.finding.severity != Severity::Watch);
    session.output.report(findings_report(&urgent, false))?;
    session.output.raw("\n")?;
    let nearest = crew
        .lines
        .iter()
        .max_by_key(|line| line.conservative.known_nsv)
        .map(|line| line.worker.clone())
        .unwrap_or_default();
    for kind in ["svg", "png"] {
        let file = out.join(format!("{}.{kind}", file_name(&nearest)));
        crate::cli::dose::chart::draw(session, &nearest, None, &file, Some(today))?;
    }
    let mut report = Report::new("");
    let chart = file_name(&nearest);
    let folder = out.display();
    report.line(format!(
        "{nearest}'s year is drawn in {folder}: {chart}.svg, {chart}.png"
    ));
    report.gap();
    report.line("To look further, in the demonstration's own day:");
    let path = ledger.display();
    for command in [
        format!("wearbook findings --on {today} --ledger {path}"),
        format!("wearbook dose show {nearest} --on {today} --why --ledger {path}"),
        format!("wearbook hold list --ledger {path}"),
        format!("wearbook ledger verify --full --ledger {path}"),
    ] {
        report.under(command);
    }
    session.output.report(report)
}
