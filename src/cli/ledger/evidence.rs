//! `wearbook evidence ...`

use std::path::{Path, PathBuf};

use clap::Subcommand;

use crate::answer::{evidence, evidence_at};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{ShowArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::file::{Over, write_whole};
use crate::intake::{EvidenceFile, add_evidence, erase_evidence};
use crate::show::{Report, evidence_report, one_evidence_report};

#[derive(Debug, Subcommand)]
pub(crate) enum EvidenceVerb {
    /// Keep a photo or a paper with a record
    ///
    /// A photo (JPEG or PNG) is scaled to 2560 pixels on its longer side and encoded anew: where it
    /// was taken, and whatever else a camera writes into its file, is not kept. A PDF is kept as it
    /// is. At most 10 MB each.
    ///
    /// Example: wearbook evidence add kink.jpg --about E-1 --words "kink in the drive cable"
    Add {
        /// The file; what it is, its content says
        file: PathBuf,
        /// What it goes with: an entry by its number, an event, an item or a sheet by its name
        #[arg(long, value_name = "WHAT")]
        about: String,
        /// What it shows
        #[arg(long)]
        words: String,
        /// Keep a photo as it was sent, with the place and the camera that stand in its file
        #[arg(long)]
        keep_original: bool,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// List photos and papers
    ///
    /// Example: wearbook evidence list --about E-1
    List {
        /// Those that go with it, or with what was written about it
        #[arg(long, value_name = "WHAT")]
        about: Option<String>,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show what is known of one, and what holds it
    ///
    /// Example: wearbook evidence show 118
    Show {
        /// Its entry
        entry: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Write the file of one
    ///
    /// Example: wearbook evidence save 118 --out kink.jpg
    Save {
        /// Its entry
        entry: i64,
        /// The file; one that is there is not overwritten
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
    /// Erase what is kept of one, for good
    ///
    /// The chain keeps its digest, and that it was erased, when, by whom and why. What an open
    /// event or its time to keep holds cannot be erased.
    ///
    /// Example: wearbook evidence erase 118 --performed-by W01 --reason "shows a bystander"
    Erase {
        /// Its entry
        entry: i64,
        /// Id of the RSO or designee who decides it
        #[arg(long, value_name = "ID")]
        performed_by: String,
        /// Why
        #[arg(long)]
        reason: String,
        /// Where other entries keep the very same: it is gone there too
        #[arg(long)]
        also_there: bool,
        /// The day [default: today]
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        #[command(flatten)]
        write: WriteArgs,
    },
}

pub(crate) fn run(session: &mut Session<'_>, verb: EvidenceVerb) -> Result<(), Failure> {
    match verb {
        EvidenceVerb::Add {
            file,
            about,
            words,
            keep_original,
            write,
        } => {
            // A picture takes its time: nobody else waits for it.
            let file = match session.given.take() {
                Some(sent) => EvidenceFile::of(&file.to_string_lossy(), &sent, keep_original)?,
                None => EvidenceFile::read(&file, keep_original)?,
            };
            session.take(&write, |writer, _| {
                add_evidence(writer, &file, (&about, &words))
            })
        }
        EvidenceVerb::List { about, show } => {
            let answer = session.ask(None, |house| evidence(house, about.as_deref()))?;
            session.answer(&show, "evidence list", &answer, evidence_report)
        }
        EvidenceVerb::Show { entry, show } => {
            let now = session.clock.now();
            let answer = session.ask(None, |house| evidence_at(house, entry, house.today(now)))?;
            session.answer(&show, "evidence show", &answer, one_evidence_report)
        }
        EvidenceVerb::Save { entry, out } => save(session, entry, &out),
        EvidenceVerb::Erase {
            entry,
            performed_by,
            reason,
            also_there,
            on,
            write,
        } => {
            let on = on.map(|it| failure::day("on", &it)).transpose()?;
            let asked = (entry, performed_by.as_str(), on, reason.as_str());
            session.take(&write, |writer, now| {
                erase_evidence(writer, now, asked, also_there)
            })
        }
    }
}

fn save(session: &mut Session<'_>, entry: i64, out: &Path) -> Result<(), Failure> {
    let now = session.clock.now();
    let (it, bytes) = session.ask(None, |house| {
        let it = evidence_at(house, entry, house.today(now))?;
        let bytes = house.snapshot.evidence_content(&it.line.digest)?;
        Ok((it.line, bytes))
    })?;
    let Some(bytes) = bytes else {
        return Err(Failure::Refused {
            what: format!("the file of entry {entry} is not here: {}", it.state),
            hint: format!("wearbook evidence show {entry}"),
        });
    };
    write_whole(out, &bytes, Over::Nothing)?;
    let mut report = Report::new(format!("{} is written", out.display()));
    report.line(format!("{}: {}", it.kind, it.words));
    session.output.report(report)
}
