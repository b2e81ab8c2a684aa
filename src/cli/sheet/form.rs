//! `wearbook form ...`: the forms of a day to print.

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use crate::answer::{MOST_COPIES, SheetFormAsked, all_equipment, inspection_to_print, sheet_form};
use crate::cli::equipment::inspect_taken::occasion;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{LanguageArg, OnArg, need_ending};
use crate::cli::frame::session::Session;
use crate::file::{Over, write_whole};
use crate::record::{ShiftName, Words};
use crate::show::{
    form_report, inspection_form, inspection_form_page, is_form_page, sheet_form_page,
};

#[derive(Debug, Subcommand)]
pub(crate) enum FormVerb {
    /// Print the form of an end-of-shift sheet, with crew, set and dosimeters as last time
    ///
    /// What must not go out is left blank unless it is named. Readings, times and signatures are
    /// never filled in. The form has a code by which it is typed in later: sheet enter --paper.
    ///
    /// Example: wearbook form sheet --out sheet.html --job JOB-11 --crew W02,W05
    Sheet(SheetFormArgs),
    /// Print the form of an inspection of some items
    ///
    /// The page has a code by which it is typed in later: inspect enter --paper. Without --out the
    /// questions are shown, without a code.
    ///
    /// Example: wearbook form inspect CU-2 RD-1 --out inspect.html
    Inspect(InspectFormArgs),
}

#[derive(Debug, Args)]
pub(crate) struct InspectFormArgs {
    /// Ids of equipment and instruments
    #[arg(required = true)]
    items: Vec<String>,
    /// The page to print
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// daily, quarterly, after an event or on receipt
    #[arg(long, default_value = "daily", value_name = "OCCASION")]
    when: String,
    #[command(flatten)]
    print: PrintArgs,
}

/// What is said of every form that is printed.
#[derive(Debug, Args)]
pub(crate) struct PrintArgs {
    /// Number of the form, where another with the same print goes out and has not come back yet
    /// [default: the first that nobody has typed in]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=MOST_COPIES))]
    copy: Option<u64>,
    #[command(flatten)]
    language: LanguageArg,
    #[command(flatten)]
    on: OnArg,
}

#[derive(Debug, Args)]
pub(crate) struct SheetFormArgs {
    /// The page to print
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Id of the job [default: that of the last sheet]
    #[arg(long)]
    job: Option<String>,
    /// Ids of the crew, with commas [default: that of the last sheet]
    #[arg(long, value_delimiter = ',', value_name = "IDS")]
    crew: Vec<String>,
    /// Ids of device, source, control unit, guide tubes and survey meter, with commas [default:
    /// those of the last sheet]
    #[arg(long, value_delimiter = ',', value_name = "IDS")]
    equipment: Vec<String>,
    /// day, evening or night [default: that of the last sheet]
    #[arg(long)]
    shift: Option<String>,
    #[command(flatten)]
    print: PrintArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: FormVerb) -> Result<(), Failure> {
    match verb {
        FormVerb::Sheet(args) => sheet(session, &args),
        FormVerb::Inspect(args) => inspect(session, &args),
    }
}

fn inspect(session: &mut Session<'_>, args: &InspectFormArgs) -> Result<(), Failure> {
    let when = occasion(&args.when)?;
    let chosen = args.print.language.chosen()?;
    let mut once: Vec<String> = Vec::new();
    for id in &args.items {
        if !once.iter().any(|it| it.eq_ignore_ascii_case(id)) {
            once.push(id.clone());
        }
    }
    let Some(out) = &args.out else {
        let right = "--out inspect.html as well";
        if args.print.copy.is_some() {
            let what = "only a printed form has a number";
            return Err(Failure::flag("copy", what, right));
        }
        if chosen.is_some() {
            let what = "only a printed form is in another language";
            return Err(Failure::flag("language", what, right));
        }
        let (items, list) = session.ask_on(&args.print.on, |house, on| {
            let items = all_equipment(house, &once, when, on)?;
            let list = house.checklist_on(on).map(|(_, list)| list.clone());
            Ok((items, list))
        })?;
        let list = list.ok_or_else(|| Failure::internal("a form of nothing"))?;
        for it in &items {
            session.output.report(inspection_form(it, when, &list))?;
        }
        return Ok(());
    };
    need_ending(out, "html", "a file name such as inspect.html")?;
    let form = session.ask_on(&args.print.on, |house, on| {
        inspection_to_print(house, &once, (when, on), args.print.copy)
    })?;
    let language = chosen.or(form.language).unwrap_or_default();
    write(out, &inspection_form_page(&form, language))?;
    let what = format!("the form of a {} inspection", when.word());
    let to = out.display().to_string();
    session
        .output
        .report(form_report(&what, &form.head.code, &to, (&[], &[])))
}

fn sheet(session: &mut Session<'_>, args: &SheetFormArgs) -> Result<(), Failure> {
    let shift = args.shift.as_deref().map(shift_named).transpose()?;
    need_ending(&args.out, "html", "a file name such as sheet.html")?;
    let chosen = args.print.language.chosen()?;
    let (crew, equipment) = (ids(&args.crew), ids(&args.equipment));
    let now = session.clock.now();
    let form = session.ask_on(&args.print.on, |house, on| {
        let asked = SheetFormAsked {
            job: args.job.as_deref(),
            crew: &crew,
            equipment: &equipment,
            shift,
            on,
            copy: args.print.copy,
        };
        sheet_form(house, asked, now)
    })?;
    let language = chosen.or(form.language).unwrap_or_default();
    write(&args.out, &sheet_form_page(&form, language))?;
    let to = args.out.display().to_string();
    let told = (&form.left_out[..], &form.against[..]);
    let what = "the form of an end-of-shift sheet";
    session
        .output
        .report(form_report(what, &form.head.code, &to, told))
}

/// What stands between commas.
fn ids(all: &[String]) -> Vec<String> {
    let all = all.iter().map(|it| it.trim());
    all.filter(|it| !it.is_empty()).map(str::to_owned).collect()
}

fn shift_named(text: &str) -> Result<ShiftName, Failure> {
    ShiftName::from_word(text).ok_or_else(|| {
        let what = format!("`{text}` is no shift");
        Failure::flag("shift", what, &ShiftName::list())
    })
}

fn write(out: &Path, page: &str) -> Result<(), Failure> {
    Ok(write_whole(out, page.as_bytes(), Over::Own(is_form_page))?)
}
