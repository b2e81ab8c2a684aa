//! `wearbook equipment labels`, and the same of instruments and badges.

use std::path::PathBuf;

use clap::Args;

use crate::answer::{LabelsOf, labels, language_of_last_crew};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{LanguageArg, OnArg, need_ending};
use crate::cli::frame::session::Session;
use crate::file::{Over, write_whole};
use crate::show::{is_labels_page, label_size, label_sizes, labels_page, labels_report};

#[derive(Debug, Args)]
pub(crate) struct LabelsArgs {
    /// Ids, or numbers of badges [default: all that are in service or out]
    ids: Vec<String>,
    /// The page to print
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Size of a label: 2.625x1in (30 on Letter), 63.5x38.1mm (21 on A4), or plain (to be cut)
    #[arg(long, default_value = "plain", value_name = "SIZE")]
    size: String,
    /// Address of the page, where trucks and office reach it under one: a code is then an address
    #[arg(long, value_name = "URL")]
    base: Option<String>,
    #[command(flatten)]
    language: LanguageArg,
    #[command(flatten)]
    on: OnArg,
}

pub(crate) fn run(
    session: &mut Session<'_>,
    of: LabelsOf,
    args: &LabelsArgs,
) -> Result<(), Failure> {
    let Some(size) = label_size(&args.size) else {
        let what = format!("`{}` is no size of a label", args.size);
        return Err(Failure::flag("size", what, &label_sizes()));
    };
    need_ending(&args.out, "html", "a file name such as labels.html")?;
    let chosen = args.language.chosen()?;
    let base = args.base.as_deref().map(base).transpose()?;
    let (answer, own) = session.ask_on(&args.on, |house, on| {
        let answer = labels(house, (of, &args.ids), base, on)?;
        Ok((answer, language_of_last_crew(house, on)?))
    })?;
    let language = chosen.or(own).unwrap_or_default();
    if answer.labels.is_empty() {
        let why = match answer.without.as_slice() {
            [] => "nothing is there to be labelled".to_owned(),
            all => all.join("; "),
        };
        return Err(Failure::Refused {
            what: format!("no label was made: {why}"),
            hint: "name one by its id".to_owned(),
        });
    }
    let page = labels_page(&answer, size, (of == LabelsOf::Badges, language));
    write_whole(&args.out, page.as_bytes(), Over::Own(is_labels_page))?;
    let report = labels_report(&answer, &args.out.display().to_string());
    session.output.report(report)
}

/// An address of a server, and of nothing on it.
fn base(text: &str) -> Result<&str, Failure> {
    let rest = ["https://", "http://"]
        .iter()
        .find_map(|it| text.strip_prefix(it));
    let host = rest.map(|it| it.trim_end_matches('/'));
    let plain = |it: char| it.is_ascii_alphanumeric() || "-.:[]/_".contains(it);
    match host.is_some_and(|it| !it.is_empty() && it.chars().all(plain)) {
        true => Ok(text),
        false => Err(Failure::flag(
            "base",
            format!("`{text}` is no address of a server"),
            "such as https://office.example:8443",
        )),
    }
}
