//! What a command writes into files, for a browser: one file as it is, several as a ZIP. They stand
//! in a folder of their own that nobody else can read, and are gone before the answer is.

use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};

use maud::{Markup, html};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::{Frame, all, nothing_here};
use crate::page::shell::kept::Kept;
use crate::page::shell::pages::{PAGES, Shown, encoded};
use crate::page::shell::rights::{Deed, may};
use crate::show::Report;

/// The most that is given to a browser: it stands in memory.
const MOST_BYTES: u64 = 64 << 20;

/// Files that a command writes.
struct Files {
    /// The last part of its address.
    key: &'static str,
    /// What the button says.
    words: &'static str,
    /// The page that has the button; `*` stands for a name, which follows the command.
    on: &'static [&'static str],
    /// The command.
    command: &'static [&'static str],
    /// Whether it is told where by `--out`, or by its place.
    by_flag: bool,
    /// The name of its one file; where it writes several, that of the ZIP.
    name: &'static str,
    deed: Deed,
}

const FILES: &[Files] = &[
    Files {
        key: "backup",
        words: "Download a copy of the ledger, without the PINs",
        on: &["ledger"],
        command: &["ledger", "backup"],
        by_flag: false,
        name: "wearbook.db",
        deed: Deed::Decide,
    },
    Files {
        key: "export",
        words: "Download every table and all entries",
        on: &["ledger"],
        command: &["ledger", "export"],
        by_flag: false,
        name: "export.zip",
        deed: Deed::Decide,
    },
    Files {
        key: "statements",
        words: "Download a page for each person",
        on: &["statements"],
        command: &["dose", "statement", "--all"],
        by_flag: true,
        name: "statements.zip",
        deed: Deed::ReadAll,
    },
    Files {
        key: "review",
        words: "Download the review",
        on: &["month", "*"],
        command: &["review"],
        by_flag: true,
        name: "review.zip",
        deed: Deed::ReadAll,
    },
    Files {
        key: "papers",
        words: "Download the papers",
        on: &["jobs", "*"],
        command: &["pack"],
        by_flag: true,
        name: "papers.zip",
        deed: Deed::ReadAll,
    },
    Files {
        key: "equipment-labels",
        words: "Download labels to print",
        on: &["equipment"],
        command: &["equipment", "labels"],
        by_flag: true,
        name: "equipment-labels.html",
        deed: Deed::ReadAll,
    },
    Files {
        key: "instrument-labels",
        words: "Download labels to print",
        on: &["instruments"],
        command: &["instrument", "labels"],
        by_flag: true,
        name: "instrument-labels.html",
        deed: Deed::ReadAll,
    },
    Files {
        key: "badge-labels",
        words: "Download labels to print",
        on: &["badges"],
        command: &["badge", "labels"],
        by_flag: true,
        name: "badge-labels.html",
        deed: Deed::ReadAll,
    },
    Files {
        key: "calendar",
        words: "Download it for a calendar program",
        on: &["due"],
        command: &["due"],
        by_flag: true,
        name: "due.ics",
        deed: Deed::ReadAll,
    },
    Files {
        key: "draft",
        words: "Download the draft",
        on: &["events", "*", "draft"],
        command: &["report", "draft"],
        by_flag: true,
        name: "draft.zip",
        deed: Deed::ReadAll,
    },
    Files {
        key: "sheet-form",
        words: "Print the form of an end-of-shift sheet",
        on: &["paper"],
        command: &["form", "sheet"],
        by_flag: true,
        name: "sheet.html",
        deed: Deed::HandIn,
    },
    Files {
        key: "daily-form",
        words: "Print the form of a daily inspection",
        on: &["equipment", "*", "form"],
        command: &["form", "inspect", "--when=daily"],
        by_flag: true,
        name: "daily-inspection.html",
        deed: Deed::ReadAll,
    },
    Files {
        key: "quarterly-form",
        words: "Print the form of a quarterly inspection",
        on: &["equipment", "*", "form"],
        command: &["form", "inspect", "--when=quarterly"],
        by_flag: true,
        name: "quarterly-inspection.html",
        deed: Deed::ReadAll,
    },
    Files {
        key: "daily-form-of-instrument",
        words: "Print the form of a daily inspection",
        on: &["instruments", "*"],
        command: &["form", "inspect", "--when=daily"],
        by_flag: true,
        name: "daily-inspection.html",
        deed: Deed::ReadAll,
    },
    Files {
        key: "quarterly-form-of-instrument",
        words: "Print the form of a quarterly inspection",
        on: &["instruments", "*"],
        command: &["form", "inspect", "--when=quarterly"],
        by_flag: true,
        name: "quarterly-inspection.html",
        deed: Deed::ReadAll,
    },
];

/// The commands that write files for a browser, with their flags.
pub fn commands() -> impl Iterator<Item = (&'static [&'static str], &'static [&'static str])> {
    FILES
        .iter()
        .map(|it| (it.command, if it.by_flag { &["--out"][..] } else { &[] }))
}

/// The page that has the button for what a command writes.
pub fn page_of(line: &[&str]) -> Option<&'static Shown> {
    let files = FILES.iter().find(|it| line.starts_with(it.command))?;
    PAGES.iter().find(|it| it.at == files.on)?.of_all()
}

/// What an address of files is for.
pub fn deed(key: &str) -> Option<Deed> {
    FILES.iter().find(|it| it.key == key).map(|it| it.deed)
}

/// Buttons for the files of a page.
pub fn offered(on: &[&str], name: Option<&str>, asked: &Asked, person: &Person) -> Markup {
    let here = FILES
        .iter()
        .filter(|it| it.on == on && may(person, it.deed, None));
    let year = asked.query.get("year");
    html! {
        @for files in here {
            form.download method="post" action={
                "/files/" (files.key)
                @if let Some(name) = name { "/" (encoded(name)) }
            } {
                input type="hidden" name="token" value=(asked.token);
                @if !year.is_empty() { input type="hidden" name="year" value=(year); }
                button { (files.words) }
            }
        }
    }
}

/// Gives the files of an address.
pub fn page(desk: &Desk, asked: &Asked, person: &Person, path: &[&str]) -> Reply {
    let found = path.split_first();
    let found = found.and_then(|(key, rest)| {
        let files = FILES.iter().find(|it| it.key == *key)?;
        let named = files.on.contains(&"*");
        (named == (rest.len() == 1) && rest.len() <= 1).then_some((files, rest.first().copied()))
    });
    let Some((files, name)) = found else {
        return nothing_here(asked, person);
    };
    match written(desk, asked, person, files, name) {
        Ok(bytes) => Reply::Kept(Kept {
            kind: "application/octet-stream",
            name: files.name.to_owned(),
            inline: false,
            bytes,
        }),
        Err(reports) => {
            let frame = Frame {
                title: files.words,
                person: Some(person),
                token: &asked.token,
                narrow: true,
            };
            Reply::Page(422, frame.page(&all(&reports)))
        }
    }
}

/// Lets the command write, and reads what it wrote.
fn written(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    files: &Files,
    name: Option<&str>,
) -> Result<Vec<u8>, Vec<Report>> {
    let failed = |error: std::io::Error| {
        let kind = error.kind();
        vec![Report::new(format!(
            "error: the files could not be made here: {kind}"
        ))]
    };
    let folder = tempfile::tempdir().map_err(failed)?;
    // One file has its own name already: by its ending the command knows what is wanted.
    let is_one = !files.name.ends_with(".zip");
    let out = folder.path().join(if is_one { files.name } else { "out" });
    let place = out.display().to_string();
    let mut words: Vec<String> = files.command.iter().map(|it| (*it).to_owned()).collect();
    let year = asked.form.get("year");
    if !year.is_empty() {
        words.push(format!("--year={year}"));
    }
    match files.by_flag {
        true => words.push(format!("--out={place}")),
        false => words.extend(["--".to_owned(), place]),
    }
    if let Some(name) = name {
        words.extend(["--".to_owned(), name.to_owned()]);
    }
    let said = desk.commands.run(&words, None, &desk.author(person));
    if said.code != 0 {
        return Err(said.reports);
    }
    let all = in_folder(&out).map_err(failed)?;
    let sizes = all.iter().filter_map(|it| it.metadata().ok());
    if sizes.map(|it| it.len()).sum::<u64>() > MOST_BYTES {
        let mut report = Report::new(format!(
            "error: the files are larger than {} MB together",
            MOST_BYTES >> 20
        ));
        let by_hand = files.command.join(" ");
        report.line(format!("hint: at the command line: wearbook {by_hand}"));
        return Err(vec![report]);
    }
    match out.is_file() {
        true => std::fs::read(&out).map_err(failed),
        false => zipped(&out, &all).map_err(failed),
    }
}

/// The files of a folder and of the folders in it, by name; of a file, itself.
fn in_folder(out: &Path) -> std::io::Result<Vec<PathBuf>> {
    if out.is_file() {
        return Ok(vec![out.to_owned()]);
    }
    let here: std::io::Result<Vec<PathBuf>> =
        std::fs::read_dir(out)?.map(|it| Ok(it?.path())).collect();
    let mut all = Vec::new();
    for path in here? {
        all.extend(in_folder(&path)?);
    }
    all.sort();
    Ok(all)
}

fn zipped(folder: &Path, all: &[PathBuf]) -> std::io::Result<Vec<u8>> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for path in all {
        let name = path.strip_prefix(folder).unwrap_or(path).to_string_lossy();
        zip.start_file(name, SimpleFileOptions::default())?;
        zip.write_all(&std::fs::read(path)?)?;
    }
    Ok(zip.finish()?.into_inner())
}
