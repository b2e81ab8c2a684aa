//! `wearbook alerts`: what is new to a reader, on the screen or by mail.

use clap::Args;

use super::mail::MailArgs;
use crate::answer::{AlertsAnswer, alerts, alerts_for};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs};
use crate::cli::frame::session::Session;
use crate::ledger::Telling;
use crate::show::{Report, alerts_report};
use crate::text::counted;

/// `wearbook alerts`
#[derive(Debug, Args)]
pub(crate) struct AlertsArgs {
    /// Who is told: only what is new to this worker's id [default: everything that stands]
    #[arg(long = "for", id = "reader", value_name = "ID")]
    reader: Option<String>,
    /// Say that the reader saw what was told, so that STOPs and clocks come no more: all of it, or
    /// the alerts with these keys. It is said now, of what stands now
    #[arg(long, value_name = "KEY", num_args = 0.., requires = "reader",
          conflicts_with_all = ["peek", "mail_to", "on", "check", "json", "csv"])]
    seen: Option<Vec<String>>,
    /// Look only: it counts as told to nobody
    #[arg(long)]
    peek: bool,
    /// Exit with 3 if there is something
    #[arg(long)]
    check: bool,
    #[command(flatten)]
    on: OnArg,
    #[command(flatten)]
    mail: MailArgs,
    #[command(flatten)]
    show: ShowArgs,
}

pub(crate) fn run(session: &mut Session<'_>, args: &AlertsArgs) -> Result<(), Failure> {
    let (on, now) = (args.on.day()?, session.clock.now());
    let Some(reader) = &args.reader else {
        let all = session.ask(None, |house| {
            alerts(house, on.unwrap_or_else(|| house.today(now)), now)
        })?;
        session.answer(&args.show, "alerts", &all, alerts_report)?;
        return Failure::found_if(args.check && !all.rows.is_empty());
    };
    if let Some(keys) = &args.seen {
        return seen(session, reader, keys);
    }
    let post = args.mail.post()?;
    let (record, all) = session.ask(None, |house| {
        let record = house.names.worker(reader)?.number();
        let on = on.unwrap_or_else(|| house.today(now));
        Ok((record, alerts_for(house, reader, (on, now))?))
    })?;
    let found = !all.rows.is_empty();
    if let (Some(post), true) = (&post, found) {
        post.send(&all, now)?;
    }
    session.answer(&args.show, "alerts", &all, alerts_report)?;
    // What another day would say, or a look, was told to nobody.
    if !args.peek && on.is_none() {
        note(session, record, &all)?;
    }
    Failure::found_if(args.check && found)
}

fn note(session: &mut Session<'_>, record: i64, all: &AlertsAnswer) -> Result<(), Failure> {
    let now = session.clock.now();
    let tellings: Vec<Telling<'_>> = all
        .stands
        .iter()
        .map(|it| Telling {
            key: &it.key,
            degree: it.degree,
            now: it.is_new,
        })
        .collect();
    Ok(session.open()?.note_alerts(record, &tellings, now)?)
}

fn seen(session: &mut Session<'_>, reader: &str, keys: &[String]) -> Result<(), Failure> {
    let now = session.clock.now();
    let (record, all) = session.ask(None, |house| {
        let record = house.names.worker(reader)?.number();
        let is_for_some = !keys.is_empty();
        let all = is_for_some.then(|| alerts_for(house, reader, (house.today(now), now)));
        Ok((record, all.transpose()?))
    })?;
    let count = match &all {
        None => session.open()?.see_alerts(record, now)?,
        Some(all) => {
            let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
            let these = all.named(&keys).map_err(|key| no_such(reader, key))?;
            let these: Vec<(&str, i64)> = these
                .iter()
                .map(|it| (it.key.as_str(), it.degree))
                .collect();
            session.open()?.see_alerts_of(record, &these, now)?
        }
    };
    let what = counted(count, "alert is seen", "alerts are seen");
    let mut report = Report::new(format!("{what} by {reader}"));
    report.line("What gets worse is told again, and so is what ends and comes back.");
    report.line("A STOP that was seen still stands: it ends with what it asks for.");
    session.output.report(report)
}

fn no_such(reader: &str, key: &str) -> Failure {
    let key: String = key.chars().take(40).collect();
    Failure::Refused {
        what: format!(
            "no alert that stands for {reader} has the key `{}`: it ended, or got worse since; \
             none was marked",
            key.escape_debug()
        ),
        hint: format!("what stands, each with its key: wearbook alerts --for {reader} --peek"),
    }
}
