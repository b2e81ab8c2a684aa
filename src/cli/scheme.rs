//! `wearbook scheme ...`

use std::path::{Path, PathBuf};

use clap::Subcommand;

use super::failure::{self, Failure};
use super::flags::{ShowArgs, WriteArgs, form, mode, read_file};
use super::session::Session;
use crate::answer::schemes;
use crate::intake::adopt_scheme;
use crate::record::Adoption;
use crate::rule::{Level, Scheme, Tells, builtin, left_open, offer};
use crate::show::{scheme_report, schemes_report, taken_report};

#[derive(Debug, Subcommand)]
pub(super) enum SchemeVerb {
    /// List the adopted schemes and the built-in ones
    ///
    /// Example: wearbook scheme list
    List {
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Print a scheme with its citations
    ///
    /// Example: wearbook scheme show "10 CFR"
    Show {
        /// A built-in name, a file, or nothing for the one in force
        scheme: Option<String>,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Check a scheme file: every problem with line and column, and what it leaves open
    ///
    /// Example: wearbook scheme check site.toml
    Check {
        /// The file
        file: PathBuf,
    },
    /// Put a scheme in force from a day on
    ///
    /// Example: wearbook scheme adopt site.toml --from 2026-07-01
    Adopt {
        /// A built-in name or a file
        scheme: String,
        /// First day
        #[arg(long, value_name = "DATE")]
        from: String,
        /// Why, where it changes what was said of days that are past
        #[arg(long, value_name = "WHY")]
        reason: Option<String>,
        #[command(flatten)]
        write: WriteArgs,
    },
}

pub(super) fn run(session: &mut Session<'_>, verb: SchemeVerb) -> Result<(), Failure> {
    match verb {
        SchemeVerb::List { show } => {
            // The built-in ones can be listed before there is a ledger.
            if !session.ledger_path.exists() {
                let names: Vec<&str> = builtin().iter().map(|it| it.name).collect();
                let report = || schemes_report(None, builtin());
                return session
                    .output
                    .answer(form(&show), "scheme list", &names, report);
            }
            let now = session.clock.now();
            let lines = session.ask(None, |snapshot, house| {
                schemes(snapshot, house, house.today(now))
            })?;
            let report = || schemes_report(Some(&lines), builtin());
            session
                .output
                .answer(form(&show), "scheme list", &lines, report)
        }
        SchemeVerb::Show {
            scheme: Some(name),
            show,
        } => {
            let scheme = read_scheme(&name)?.0.for_licence(None);
            let levels = levels(&scheme);
            session
                .output
                .answer(form(&show), "scheme show", &levels, || {
                    scheme_report(&scheme)
                })
        }
        SchemeVerb::Show { scheme: None, show } => {
            let now = session.clock.now();
            let scheme =
                session.ask(None, |_, house| house.scheme_on(house.today(now)).cloned())?;
            let levels = levels(&scheme);
            session
                .output
                .answer(form(&show), "scheme show", &levels, || {
                    scheme_report(&scheme)
                })
        }
        SchemeVerb::Check { file } => {
            let (scheme, _) = read_scheme_file(&file)?;
            let mut report = scheme_report(&scheme.for_licence(None));
            report.heading = format!("{} can be adopted as `{}`", file.display(), scheme.key);
            report.parts.clear();
            let open = left_open(&scheme);
            if !open.is_empty() {
                report.section("What it leaves open");
            }
            for it in open {
                report.line(it.what);
                if !it.which.is_empty() {
                    report.under(it.which.join(", "));
                }
            }
            session.output.report(report)
        }
        SchemeVerb::Adopt {
            scheme,
            from,
            reason,
            write,
        } => {
            let from = failure::day("from", &from)?;
            let (scheme, text) = read_scheme(&scheme)?;
            let mut ledger = session.open()?;
            let adoption = Adoption {
                from,
                name: scheme.key.clone(),
                reason,
                text,
            };
            let (taken, changes) = adopt_scheme(
                &mut ledger,
                &session.author(write.by.as_deref()),
                session.clock.now(),
                mode(write.dry_run),
                adoption,
            )?;
            let mut report = taken_report(&taken, write.dry_run);
            for (heading, all) in changes.parts().into_iter().filter(|it| !it.1.is_empty()) {
                report.section(heading);
                for it in all {
                    report.under(it);
                }
            }
            let own = session.ask(None, |_, house| {
                Ok(house.names.charter.jurisdiction.clone())
            })?;
            let held = scheme.for_licence(own.as_deref());
            for caution in held.cautions() {
                report.caution(format!("{}: {}", caution.about, caution.what));
            }
            report.caution(held.caution_of(Tells::Both));
            session.output.report(report)
        }
    }
}

/// The levels for programs: a dose has its unit in the key, and a form for
/// people beside it.
fn levels(scheme: &Scheme) -> Vec<serde_json::Value> {
    let plain = |level: &Level| {
        let mut value = serde_json::json!(level);
        if let Some(map) = value.as_object_mut() {
            map.remove("dose");
            map.insert("dose_nsv".to_owned(), level.dose.nsv().into());
            map.insert("dose_shown".to_owned(), scheme.print(level.dose).into());
        }
        value
    };
    scheme.levels.iter().map(plain).collect()
}

/// A built-in scheme by name, or a file; with the text that the ledger keeps.
pub(super) fn read_scheme(name: &str) -> Result<(Scheme, String), Failure> {
    match offer(name) {
        Some(offer) => {
            let read = Scheme::parse_for_adoption(offer.text, &|_| None);
            read.map_err(|problems| Failure::Scheme {
                what: "scheme",
                file: name.to_owned(),
                problems,
            })
        }
        None if Path::new(name).exists() => read_scheme_file(Path::new(name)),
        None => {
            let near = crate::answer::near(name, builtin().iter().map(|it| it.name));
            Err(crate::answer::NoSuchName {
                what: "built-in scheme or scheme file".to_owned(),
                name: name.to_owned(),
                near,
            }
            .into())
        }
    }
}

fn read_scheme_file(path: &Path) -> Result<(Scheme, String), Failure> {
    let text = read_file(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let beside = |name: &str| {
        let path = folder.join(name);
        let why = |error: std::io::Error| format!("{}: {error}", path.display());
        path.is_file()
            .then(|| std::fs::read_to_string(&path).map_err(why))
    };
    Scheme::parse_for_adoption(&text, &beside).map_err(|problems| Failure::Scheme {
        what: "scheme",
        file: path.display().to_string(),
        problems,
    })
}
