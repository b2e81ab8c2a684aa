//! `wearbook inspect ...`

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::inspect_paper::in_hand;
use super::inspect_prompt;
use super::inspect_taken::{hand_in, hand_in_with, put, show_taken};
use crate::answer::{inspection_of, inspections, near};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{LanguageArg, ShowArgs, SpanArgs, WriteArgs, mode};
use crate::cli::frame::session::Session;
use crate::cli::frame::table::previewed;
use crate::intake::{ALL_OTHERS, Batch, INSPECTION_COLUMNS, INSPECTION_NEEDED, TableFile};
use crate::show::{inspection_report, inspections_report};

#[derive(Debug, Subcommand)]
pub(crate) enum InspectVerb {
    /// Write down an inspection: by flags, or item by item at a terminal
    ///
    /// Example: wearbook inspect enter --item CU-2 --on 2026-06-14 --at 06:20 --when quarterly
    /// --performed-by W05 --line "cable-diameter, value=5.9 mm"
    /// --line "connector-mating=good, with=D-2" --line "all others=good"
    Enter(Box<EnterArgs>),
    /// Take in inspections from a CSV, XLSX or ODS file, one row an item of the list
    ///
    /// Example: wearbook inspect import june.csv
    Import {
        /// The file; `wearbook inspect template` prints its header
        file: PathBuf,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Print the header of an empty inspection file
    ///
    /// Example: wearbook inspect template
    Template,
    /// List inspections
    ///
    /// Example: wearbook inspect list CU-2 --year 2026
    List {
        /// Only of this item
        item: Option<String>,
        #[command(flatten)]
        span: SpanArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show one inspection item by item
    ///
    /// Example: wearbook inspect show 118
    Show {
        /// Its entry
        entry: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
}

#[derive(Debug, Default, Args)]
pub(crate) struct EnterArgs {
    /// Id of the equipment or instrument
    #[arg(long)]
    pub item: Option<String>,
    /// Day of the inspection
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Hour, HH:MM
    #[arg(long)]
    pub at: Option<String>,
    /// daily, quarterly, after an event or on receipt
    #[arg(long, value_name = "OCCASION")]
    pub when: Option<String>,
    /// Who inspected it: id of a worker
    #[arg(long, value_name = "ID")]
    pub performed_by: Option<String>,
    /// What the device's own counter of cycles shows
    #[arg(long)]
    pub counter: Option<String>,
    /// One item: "KEY=good", "KEY, value=5.9 mm", "KEY=defect, note=bent, action=removed from
    /// service"
    #[arg(long, value_name = "FIELDS")]
    pub line: Vec<String>,
    /// Anything else
    #[arg(long)]
    pub remark: Option<String>,
    /// Code of the printed form that it is typed in from: what was printed is proposed
    #[arg(long, value_name = "CODE")]
    pub paper: Option<String>,
    /// Photo or scan of that form, kept with the entry
    #[arg(long, value_name = "FILE")]
    pub photo: Option<PathBuf>,
    #[command(flatten)]
    pub language: LanguageArg,
    #[command(flatten)]
    pub write: crate::cli::frame::flags::WriteFlags,
}

pub(crate) fn run(session: &mut Session<'_>, verb: InspectVerb) -> Result<(), Failure> {
    match verb {
        InspectVerb::Enter(args) => enter(session, &args),
        InspectVerb::Import { file, write } => {
            let said = session.said.clone();
            let file = TableFile {
                path: &file,
                said: &said,
            };
            if previewed(session, &file, INSPECTION_COLUMNS, INSPECTION_NEEDED)? {
                return Ok(());
            }
            let by = write.by.as_deref();
            let mode = mode(write.dry_run);
            let handed = hand_in(session, by, mode, Batch::File(file))?;
            show_taken(session, handed, write.dry_run)
        }
        InspectVerb::Template => session
            .output
            .raw(&format!("{}\n", INSPECTION_COLUMNS.join(","))),
        InspectVerb::List { item, span, show } => {
            let asked = span.days()?;
            let now = session.clock.now();
            let answer = session.ask(span.known.known_at, |house| {
                let (span, _) = asked.settle(house, now)?;
                inspections(house, item.as_deref(), span)
            })?;
            session.answer(&show, "inspect list", &answer, inspections_report)
        }
        InspectVerb::Show { entry, show } => {
            let answer = session.ask(None, |house| inspection_of(house, entry))?;
            session.answer(&show, "inspect show", &answer, inspection_report)
        }
    }
}

fn enter(session: &mut Session<'_>, args: &EnterArgs) -> Result<(), Failure> {
    let by = args.write.by.as_deref();
    let form = in_hand(session, args.paper.as_deref(), args.photo.as_ref())?;
    let head = [
        ("item", &args.item),
        ("on", &args.on),
        ("at", &args.at),
        ("when", &args.when),
        ("performed_by", &args.performed_by),
        ("counter", &args.counter),
        ("remark", &args.remark),
    ];
    let typed = head.iter().any(|(_, value)| value.is_some()) || !args.line.is_empty();
    if !typed {
        if !session.asks {
            return Err(Failure::Refused {
                what: "there is no terminal to ask at, and no flag was given".to_owned(),
                hint: "wearbook inspect enter --help, or: wearbook inspect import FILE.csv"
                    .to_owned(),
            });
        }
        session.speak(&args.language, by)?;
        return inspect_prompt::run(session, by, args.write.dry_run, form.as_ref());
    }
    let mut base = vec![String::new(); INSPECTION_COLUMNS.len()];
    for (column, value) in head {
        put(&mut base, column, value.clone().unwrap_or_default());
    }
    if let Some(form) = &form {
        form.fill(&mut base)?;
    }
    let rows = args
        .line
        .iter()
        .map(|text| line_row(&base, text))
        .collect::<Result<Vec<_>, _>>()?;
    let rows = if rows.is_empty() { vec![base] } else { rows };
    let how = (by, mode(args.write.dry_run));
    let photo = form.as_ref().and_then(|it| it.photo.as_ref());
    let handed = hand_in_with(session, how, Batch::Typed(rows), photo)?;
    show_taken(session, handed, args.write.dry_run)
}

/// Fields of `--line` besides its item.
const LINE_FIELDS: &[&str] = &["value", "note", "action", "with", "result"];

/// Reads `cable-diameter, value=5.9 mm` or `crank=defect, note=..., action=...`.
fn line_row(base: &[String], text: &str) -> Result<Vec<String>, Failure> {
    let mut row = base.to_vec();
    let parts = text.split(',').map(str::trim).filter(|it| !it.is_empty());
    for (at, part) in parts.enumerate() {
        let (field, value) = part
            .split_once('=')
            .map_or((part, ""), |(field, value)| (field.trim(), value.trim()));
        if at == 0 {
            put(&mut row, "line", field);
            put(&mut row, "result", value);
            continue;
        }
        if !LINE_FIELDS.contains(&field) || value.is_empty() {
            let near = near(field, LINE_FIELDS.iter().copied());
            let near = near.first().map(|it| format!("did you mean `{it}`? "));
            return Err(Failure::Flag {
                flag: "line",
                what: format!("`{part}` is not FIELD=VALUE of an item"),
                right: near.unwrap_or_default()
                    + &format!(
                        "`KEY=good`, or `{ALL_OTHERS}=good`, then {}",
                        LINE_FIELDS.join(", ")
                    ),
            });
        }
        put(&mut row, field, value);
    }
    Ok(row)
}
