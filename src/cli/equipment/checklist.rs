//! `wearbook checklist ...`

use std::path::{Path, PathBuf};

use clap::Subcommand;

use crate::answer::{House, NoSuchName, Sought, near};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{OnArg, ShowArgs, WriteArgs, read_file};
use crate::cli::frame::session::Session;
use crate::intake::append_all;
use crate::record::ListAdoption;
use crate::rule::{Checklist, checklist_offer, checklists, diff};
use crate::show::{checklist_report, checklists_report, diff_report, taken_report};

#[derive(Debug, Subcommand)]
pub(crate) enum ChecklistVerb {
    /// List the built-in checklists and those that were adopted
    ///
    /// Example: wearbook checklist list
    List {
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show what an inspection covers
    ///
    /// Example: wearbook checklist show --of "control unit" --when quarterly
    Show {
        /// A built-in name, a file, or nothing for the one in force
        checklist: Option<String>,
        /// Only for one kind of thing, such as "exposure device"
        #[arg(long, value_name = "KIND")]
        of: Option<String>,
        /// Only for daily, quarterly, after an event or on receipt
        #[arg(long, value_name = "OCCASION")]
        when: Option<String>,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Check a checklist file: every problem with line and column
    ///
    /// Example: wearbook checklist check our-list.toml
    Check {
        /// The file
        file: PathBuf,
    },
    /// Put a checklist in force from a day on
    ///
    /// Example: wearbook checklist adopt general --from 2026-06-01
    Adopt {
        /// A built-in name or a file
        checklist: String,
        /// First day
        #[arg(long, value_name = "DATE")]
        from: String,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Show what differs between two checklists
    ///
    /// Example: wearbook checklist compare general our-list.toml
    Compare {
        /// A built-in name or a file
        old: String,
        /// A built-in name, a file, or nothing for the one in force
        new: Option<String>,
        #[command(flatten)]
        show: ShowArgs,
    },
}

pub(crate) fn run(session: &mut Session<'_>, verb: ChecklistVerb) -> Result<(), Failure> {
    match verb {
        ChecklistVerb::List { show } => {
            let adopted = match session.ledger_path.exists() {
                true => session.ask(None, |house| crate::answer::checklists_of(house.snapshot))?,
                false => Vec::new(),
            };
            session.answer(&show, "checklist list", &adopted, |adopted| {
                checklists_report(adopted, checklists())
            })
        }
        ChecklistVerb::Show {
            checklist,
            of,
            when,
            on,
            show,
        } => {
            let list = named_or_in_force(session, checklist.as_deref(), &on)?;
            let (of, when) = (of.as_deref(), when.as_deref());
            let shown = checklist_report(&list, of, when);
            if shown.is_empty() {
                let what = format!("the list `{}` has nothing for that", list.key);
                let right = "kinds and occasions as `wearbook checklist show` lists them";
                return Err(Failure::flag("of", what, right));
            }
            let plain = crate::show::checklist_plain(&list, of, when);
            session.answer(&show, "checklist show", &plain, |_| shown.report)
        }
        ChecklistVerb::Check { file } => {
            let list = read_list(&file.display().to_string())?;
            let mut report = crate::show::Report::new(format!(
                "{} can be adopted as `{}`: {}",
                file.display(),
                list.key,
                crate::text::counted(list.items.len(), "item", "items")
            ));
            report.caution(list.confirm.clone());
            session.output.report(report)
        }
        ChecklistVerb::Adopt {
            checklist,
            from,
            write,
        } => adopt(session, &checklist, &from, &write),
        ChecklistVerb::Compare { old, new, show } => {
            let old = named(session, &old)?;
            let new = named_or_in_force(session, new.as_deref(), &OnArg::default())?;
            let changes = diff(&old, &new);
            session.answer(&show, "checklist compare", &changes, |changes| {
                diff_report(&old, &new, changes)
            })
        }
    }
}

fn adopt(
    session: &mut Session<'_>,
    checklist: &str,
    from: &str,
    write: &WriteArgs,
) -> Result<(), Failure> {
    let from = failure::day("from", from)?;
    let (list, text) = read_for_adoption(checklist)?;
    let adoption = ListAdoption {
        from,
        name: list.key.clone(),
        text,
    };
    let taken = session.write(write, |writer, _| append_all(writer, vec![adoption.into()]))?;
    let mut report = taken_report(&taken, write.dry_run);
    report.caution(list.confirm.clone());
    session.output.report(report)
}

fn named_or_in_force(
    session: &mut Session<'_>,
    name: Option<&str>,
    on: &OnArg,
) -> Result<Checklist, Failure> {
    if let Some(name) = name {
        return named(session, name);
    }
    let list = session.ask_on(on, |house, on| {
        Ok(house.checklist_on(on).map(|(_, list)| list.clone()))
    })?;
    list.ok_or_else(|| Failure::Refused {
        what: "no checklist is in force today".to_owned(),
        hint: "wearbook checklist adopt general --from DATE, or name a list".to_owned(),
    })
}

/// A list that the ledger adopted, in the form of its latest adoption; else a built-in one or
/// a file.
fn named(session: &mut Session<'_>, name: &str) -> Result<Checklist, Failure> {
    let adopted = match session.ledger_path.exists() {
        true => session.ask(None, |house| Ok(house.checklist_named(name).cloned()))?,
        false => None,
    };
    if let Some(list) = adopted.filter(|_| checklist_offer(name).is_none()) {
        return Ok(list);
    }
    let mut list = read_list(name)?;
    if session.ledger_path.exists() {
        let now = session.clock.now();
        let told = |house: &House, mut list: Checklist| {
            house.tell_list(&mut list, house.today(now));
            list
        };
        list = session.ask(None, move |house| Ok(told(house, list)))?;
    }
    Ok(list)
}

/// A built-in list by name, or a file.
fn read_list(name: &str) -> Result<Checklist, Failure> {
    read_for_adoption(name).map(|(list, _)| list)
}

/// The same, with the text that the ledger keeps.
fn read_for_adoption(name: &str) -> Result<(Checklist, String), Failure> {
    let text = match checklist_offer(name) {
        Some(offer) => offer.text.to_owned(),
        None if Path::new(name).exists() => read_file(Path::new(name))?,
        None => {
            let near = near(name, checklists().iter().map(|it| it.name));
            return Err(NoSuchName {
                what: Sought::Checklist,
                name: name.to_owned(),
                near,
            }
            .into());
        }
    };
    Checklist::parse_for_adoption(&text).map_err(|problems| Failure::RuleSet {
        what: "checklist",
        file: name.to_owned(),
        problems,
    })
}
