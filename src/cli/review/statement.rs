//! `wearbook dose statement`: a worker's year on one page, or everybody's in a
//! folder.

use std::path::{Path, PathBuf};

use crate::answer::{StatementAnswer, statement};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs};
use crate::cli::frame::folder::no_file_name;
use crate::cli::frame::session::Session;
use crate::file::{FolderBuilding, Over, write_whole};
use crate::show::{Report, csv, statement_page, statement_report, statements_table};
use crate::text::file_name;

/// What the flags ask for.
pub(crate) struct Asked {
    pub worker: Option<String>,
    pub year: Option<i32>,
    pub all: bool,
    pub out: Option<PathBuf>,
    pub on: OnArg,
}

pub(crate) fn run(session: &mut Session<'_>, asked: Asked, show: &ShowArgs) -> Result<(), Failure> {
    let answers = session.ask_on(&asked.on, |house, today| {
        let start = house.rule_set_on(today)?.year_start;
        let year = asked.year.unwrap_or_else(|| start.year_of(today));
        let workers = match (&asked.worker, asked.all) {
            (Some(id), _) => vec![house.names.worker(id)?.number()],
            (None, _) => house.workers().iter().map(|it| it.record).collect(),
        };
        // Once a command, and before a figure goes out: a row that lies says who is wronged.
        house.snapshot.prove(Some(&workers))?;
        let all: Result<Vec<_>, _> = workers
            .into_iter()
            .map(|worker| statement(house, worker, year, today))
            .collect();
        // Whoever was not monitored in that year has no statement of it.
        all.map(|all| all.into_iter().filter(|it| it.concerns).collect::<Vec<_>>())
    })?;
    match (&asked.worker, asked.all, &asked.out) {
        (Some(_), false, out) => one(session, &answers, out.as_deref(), show),
        (None, true, Some(dir)) => everybody(session, &answers, dir),
        (None, true, None) => each(session, &answers, show),
        _ => Err(Failure::Refused {
            what: "a statement is of one worker, or of --all".to_owned(),
            hint: "wearbook dose statement W07 --year 2025, or: --all --year 2025".to_owned(),
        }),
    }
}

fn one(
    session: &mut Session<'_>,
    answers: &[StatementAnswer],
    out: Option<&Path>,
    show: &ShowArgs,
) -> Result<(), Failure> {
    let Some(answer) = answers.first() else {
        return Err(Failure::Refused {
            what: "this person was not monitored in that year".to_owned(),
            hint: String::new(),
        });
    };
    let Some(file) = out else {
        return session.answer(show, "dose statement", answer, statement_report);
    };
    let text = match file.extension().and_then(|it| it.to_str()) {
        Some("html") => statement_page(answer, session.output.scripted),
        Some("csv") => csv(&statements_table(answers)).map_err(Failure::internal)?,
        _ => {
            return Err(Failure::Flag {
                flag: "out",
                what: format!("`{}` is neither .html nor .csv", file.display()),
                right: "a file name such as w07-2025.html".to_owned(),
            });
        }
    };
    write_whole(file, text.as_bytes(), Over::Nothing)?;
    session
        .output
        .report(Report::new(format!("{} is written", file.display())))
}

/// Prints everybody's, one after the other.
fn each(
    session: &mut Session<'_>,
    answers: &[StatementAnswer],
    show: &ShowArgs,
) -> Result<(), Failure> {
    if show.csv && show.table.is_none() {
        let table = csv(&statements_table(answers)).map_err(Failure::internal)?;
        return session.output.raw(&table);
    }
    if show.is_data() {
        let all = serde_json::json!({ "statements": answers });
        return session.answer(show, "dose statements", &all, |_| Report::default());
    }
    for answer in answers {
        session.output.report(statement_report(answer))?;
    }
    Ok(())
}

fn everybody(
    session: &mut Session<'_>,
    answers: &[StatementAnswer],
    dir: &Path,
) -> Result<(), Failure> {
    no_file_name(dir)?;
    let folder = FolderBuilding::begin(dir)?;
    let table = csv(&statements_table(answers)).map_err(Failure::internal)?;
    let write = |name: &str, text: &str| {
        write_whole(&folder.path().join(name), text.as_bytes(), Over::Nothing)
    };
    write("statements.csv", &table)?;
    for answer in answers {
        let name = format!("{}-{}.html", file_name(&answer.worker), answer.year);
        write(&name, &statement_page(answer, session.output.scripted))?;
    }
    folder.finish()?;
    let owed: Vec<_> = answers
        .iter()
        .filter(|it| it.must_be_given.is_some())
        .collect();
    let mut report = Report::new(format!(
        "{} statements are in {}",
        answers.len(),
        dir.display()
    ));
    report.line(format!("{} must be given unasked:", owed.len()));
    for answer in owed {
        let why = answer.must_be_given.clone().unwrap_or_default();
        report.under(format!("{} {}: {why}", answer.worker, answer.name));
    }
    let estimates = answers.iter().filter(|it| it.estimate).count();
    report.line(format!(
        "{estimates} are estimates: results are missing or a dose is not determined"
    ));
    report.caution(
        answers
            .first()
            .map(|it| it.confirm.clone())
            .unwrap_or_default(),
    );
    session.output.report(report)
}
