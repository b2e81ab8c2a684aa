//! `wearbook rules ...`

use std::path::{Path, PathBuf};

use clap::Subcommand;

use crate::answer::rule_sets;
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{OnArg, ShowArgs, WriteArgs, read_file};
use crate::cli::frame::session::Session;
use crate::intake::adopt_rule_set;
use crate::record::Adoption;
use crate::rule::{Level, RuleSet, Tells, builtin, left_open, offer};
use crate::show::{rule_set_report, rule_sets_report, taken_report};

#[derive(Debug, Subcommand)]
pub(crate) enum RulesVerb {
    /// List the adopted rule sets and the built-in ones
    ///
    /// Example: wearbook rules list
    List {
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Print a rule set with its citations
    ///
    /// Example: wearbook rules show "10 CFR"
    Show {
        /// A built-in name, a file, or nothing for the one in force
        rule_set: Option<String>,
        /// Its numbers and rules too, each with what it asks for
        #[arg(long)]
        texts: bool,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Check a rule set file: every problem with line and column, and what it leaves open
    ///
    /// Example: wearbook rules check site.toml
    Check {
        /// The file
        file: PathBuf,
    },
    /// Put a rule set in force from a day on
    ///
    /// Example: wearbook rules adopt site.toml --from 2026-07-01
    Adopt {
        /// A built-in name or a file
        rule_set: String,
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

pub(crate) fn run(session: &mut Session<'_>, verb: RulesVerb) -> Result<(), Failure> {
    match verb {
        RulesVerb::List { on, show } => {
            // The built-in ones can be listed before there is a ledger.
            if !session.ledger_path.exists() {
                let names: Vec<&str> = builtin().iter().map(|it| it.name).collect();
                return session.answer(&show, "rules list", &names, |_| {
                    rule_sets_report(None, builtin())
                });
            }
            let lines = session.ask_on(&on, rule_sets)?;
            session.answer(&show, "rules list", &lines, |lines| {
                rule_sets_report(Some(lines), builtin())
            })
        }
        RulesVerb::Show {
            rule_set,
            texts,
            on,
            show,
        } => {
            let (on, now) = (on.day()?, session.clock.now());
            let rule_set = match rule_set {
                Some(name) => read_rule_set(&name)?.0.for_license(None),
                None => session.ask(None, |house| {
                    let on = on.unwrap_or_else(|| house.today(now));
                    house.rule_set_on(on).cloned()
                })?,
            };
            let levels = levels(&rule_set);
            session.answer(&show, "rules show", &levels, |_| {
                rule_set_report(&rule_set, texts)
            })
        }
        RulesVerb::Check { file } => {
            let (rule_set, _) = read_rule_set_file(&file)?;
            let mut report = rule_set_report(&rule_set.for_license(None), false);
            report.heading = format!("{} can be adopted as `{}`", file.display(), rule_set.key);
            report.parts.clear();
            let open = left_open(&rule_set);
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
        RulesVerb::Adopt {
            rule_set,
            from,
            reason,
            write,
        } => {
            let from = failure::day("from", &from)?;
            let (rule_set, text) = read_rule_set(&rule_set)?;
            let adoption = Adoption {
                from,
                name: rule_set.key.clone(),
                reason,
                text,
            };
            let (taken, changes) =
                session.write(&write, |writer, now| adopt_rule_set(writer, now, adoption))?;
            let mut report = taken_report(&taken, write.dry_run);
            for (heading, all) in changes.parts().into_iter().filter(|it| !it.1.is_empty()) {
                report.section(heading);
                for it in all {
                    report.under(it);
                }
            }
            let own = session.ask(None, |house| Ok(house.names.charter.jurisdiction.clone()))?;
            let held = rule_set.for_license(own.as_deref());
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
fn levels(rule_set: &RuleSet) -> Vec<serde_json::Value> {
    let plain = |level: &Level| {
        let mut value = serde_json::json!(level);
        if let Some(map) = value.as_object_mut() {
            map.remove("dose");
            map.insert("dose_nsv".to_owned(), level.dose.nsv().into());
            map.insert("dose_shown".to_owned(), rule_set.print(level.dose).into());
        }
        value
    };
    rule_set.levels.iter().map(plain).collect()
}

/// A built-in rule set by name, or a file; with the text that the ledger keeps.
pub(crate) fn read_rule_set(name: &str) -> Result<(RuleSet, String), Failure> {
    match offer(name) {
        Some(offer) => {
            let read = RuleSet::parse_for_adoption(offer.text, &|_| None);
            read.map_err(|problems| Failure::RuleSet {
                what: "rule set",
                file: name.to_owned(),
                problems,
            })
        }
        None if Path::new(name).exists() => read_rule_set_file(Path::new(name)),
        None => {
            let near = crate::answer::near(name, builtin().iter().map(|it| it.name));
            Err(crate::answer::NoSuchName {
                what: crate::answer::Sought::RuleSet,
                name: name.to_owned(),
                near,
            }
            .into())
        }
    }
}

fn read_rule_set_file(path: &Path) -> Result<(RuleSet, String), Failure> {
    let text = read_file(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let beside = |name: &str| {
        let path = folder.join(name);
        let why = |error: std::io::Error| format!("{}: {error}", path.display());
        path.is_file()
            .then(|| std::fs::read_to_string(&path).map_err(why))
    };
    RuleSet::parse_for_adoption(&text, &beside).map_err(|problems| Failure::RuleSet {
        what: "rule set",
        file: path.display().to_string(),
        problems,
    })
}
