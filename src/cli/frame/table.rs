//! The flags of every command that takes in a file: which table, what its headings mean, and
//! how it writes what could mean two things.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::failure::Failure;
use super::flags::text_of;
use super::session::Session;
use crate::calendar::DayOrder;
use crate::intake::{IntakeError, Merged, Said, TableFile, preview};
use crate::ledger::KnownAt;
use crate::record::MappedWord;
use crate::show::preview_report;

/// A command that takes in a file of rows.
pub(crate) fn with_table(command: Command) -> Command {
    let flag = |name: &'static str, long: &'static str, value: &'static str| {
        Arg::new(name)
            .long(long)
            .value_name(value)
            .help_heading("The file")
    };
    let many = |arg: Arg| arg.action(ArgAction::Append);
    command
        .arg(flag("sheet_name", "sheet", "NAME").help("The table of an XLSX or ODS file"))
        .arg(
            flag("header_row", "header-row", "N")
                .help("The row of the headings [default: 1]")
                .value_parser(clap::value_parser!(u64).range(1..)),
        )
        .arg(many(flag("map", "map", "COLUMN=HEADING")).help(
            "Our column and the file's heading; other headings are not read. \
                     COLUMN:VALUE=WORD: what a word in the cells means",
        ))
        .arg(
            flag("merged", "merged", "HOW")
                .help("What merged cells of a spreadsheet stand for: fill (each) or first"),
        )
        .arg(flag("use_map", "use-map", "NAME").help("A saved mapping"))
        .arg(
            flag("save_map", "save-map", "NAME")
                .conflicts_with("use_map")
                .help("Save the mapping under this name"),
        )
        .arg(
            many(flag("set", "set", "COLUMN=VALUE"))
                .help("What a blank or missing cell of a column means"),
        )
        .arg(
            flag("dates", "dates", "ORDER")
                .help("How the file writes days such as 03/04/2025: mdy, dmy or ymd"),
        )
        .arg(
            many(flag("unit_of", "unit", "UNIT"))
                .help("Unit of doses and readings without one, such as mrem; or COLUMN=UNIT"),
        )
        .arg(
            Arg::new("transcribed")
                .long("transcribed")
                .action(ArgAction::SetTrue)
                .help_heading("The file")
                .help("It is history, written elsewhere at the time: entries and reviews say so"),
        )
        .arg(
            Arg::new("preview")
                .long("preview")
                .action(ArgAction::SetTrue)
                .help_heading("The file")
                .help("Show the first rows as they are understood; nothing is written"),
        )
}

/// What was said with the file of a command; nothing where it takes none.
pub(crate) fn asked(matches: &ArgMatches) -> Result<(Said, bool), Failure> {
    let mut leaf = matches;
    while let Some((_, below)) = leaf.subcommand() {
        leaf = below;
    }
    let Ok(Some(preview)) = leaf.try_get_one::<bool>("preview") else {
        return Ok((Said::default(), false));
    };
    let all = |name: &str| -> Vec<String> {
        let values = leaf.try_get_many::<String>(name).ok().flatten();
        values.map_or(Vec::new(), |it| it.cloned().collect())
    };
    let pairs = |name, flag, such| -> Result<Vec<_>, Failure> {
        all(name).iter().map(|it| pair(it, flag, such)).collect()
    };
    let dates = match text_of(leaf, "dates") {
        None => None,
        Some(word) => Some(DayOrder::from_word(&word).ok_or_else(|| {
            let what = format!("`{word}` is no order of a day");
            Failure::flag("dates", what, DayOrder::WORDS)
        })?),
    };
    let units = all("unit_of");
    let units = units.iter().map(|it| match it.split_once('=') {
        Some((column, unit)) => (Some(column.trim().to_owned()), unit.trim().to_owned()),
        None => (None, it.trim().to_owned()),
    });
    let merged = match text_of(leaf, "merged") {
        None => None,
        Some(word) => Some(Merged::from_word(&word).ok_or_else(|| {
            let what = format!("`{word}` is no meaning of merged cells");
            Failure::flag("merged", what, Merged::WORDS)
        })?),
    };
    let such = "such as --map \"deep=DDE (mrem)\", or of a word in the cells \
                --map \"work:radiography=RT\"";
    // No column of ours has a colon in its name.
    let mapped = pairs("map", "map", such)?;
    let (words, columns) = mapped.into_iter().partition(|it| it.0.contains(':'));
    let said = Said {
        takes_headings: true,
        sheet: text_of(leaf, "sheet_name"),
        header_row: leaf.get_one::<u64>("header_row").copied(),
        columns,
        words: own_words(words, such)?,
        merged,
        use_map: text_of(leaf, "use_map"),
        save_map: text_of(leaf, "save_map"),
        defaults: pairs("set", "set", "such as --set \"basis=office spreadsheet\"")?,
        once: Vec::new(),
        dates,
        transcribed: leaf.get_flag("transcribed"),
        units: units.collect(),
        content: None,
    };
    Ok((said, *preview))
}

/// `work:radiography=RT`: the office writes `RT` and means radiography.
fn own_words(words: Vec<(String, String)>, such: &str) -> Result<Vec<MappedWord>, Failure> {
    let one = |(ours, theirs): (String, String)| match ours.split_once(':') {
        Some((column, value)) if !column.trim().is_empty() && !value.trim().is_empty() => {
            Ok(MappedWord {
                column: column.trim().to_owned(),
                theirs,
                value: value.trim().to_owned(),
            })
        }
        _ => {
            let what = format!("`{ours}={theirs}` is not COLUMN:VALUE=WORD");
            Err(Failure::flag("map", what, such))
        }
    };
    words.into_iter().map(one).collect()
}

fn pair(text: &str, flag: &'static str, such: &str) -> Result<(String, String), Failure> {
    let parts = text.split_once('=');
    let parts = parts.map(|(column, value)| (column.trim(), value.trim()));
    match parts {
        Some((column, value)) if !column.is_empty() && !value.is_empty() => {
            Ok((column.to_owned(), value.to_owned()))
        }
        _ => {
            let wanted = if flag == "map" {
                "COLUMN=HEADING or COLUMN:VALUE=WORD"
            } else {
                "COLUMN=VALUE"
            };
            Err(Failure::flag(
                flag,
                format!("`{text}` is not {wanted}"),
                such,
            ))
        }
    }
}

/// Shows the first rows of a file where that was asked for. Then nothing else is done.
pub(crate) fn previewed(
    session: &mut Session<'_>,
    file: &TableFile<'_>,
    names: &'static [&'static str],
    needed: &[&str],
) -> Result<bool, Failure> {
    if !session.preview {
        return Ok(false);
    }
    let ledger = session.open()?;
    let shown = ledger.read(KnownAt::Now, |snapshot| {
        preview(snapshot, file, names, needed)
    });
    let shown: Result<_, IntakeError> = shown;
    session.output.report(preview_report(&shown?))?;
    Ok(true)
}
