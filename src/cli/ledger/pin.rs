//! `wearbook worker pin`: what a person signs in with at the page.

use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::page::{PinError, keep_pin};
use crate::record::Words;
use crate::show::Report;

/// Sets it, from standard input or from the terminal, or takes it away.
pub(crate) fn run(
    session: &mut Session<'_>,
    worker: &str,
    (from_stdin, remove): (bool, bool),
) -> Result<(), Failure> {
    let now = session.clock.now();
    let (record, id, name, role) = session.ask(None, |house| {
        let record = house.names.worker(worker)?.number();
        let body = house.names.worker_body(record);
        let role = house.names.role_on(record, house.today(now));
        let (id, name) = body.map(|it| (it.id.clone(), it.name.clone())).unzip();
        let id = id.unwrap_or_default();
        Ok((record, id, name.unwrap_or_default(), role))
    })?;
    let ledger = session.open()?;
    if remove {
        let report = match ledger.set_pin(record, None)? {
            true => format!("{id} {name} cannot sign in any more"),
            false => format!("{id} {name} has no PIN, and had none"),
        };
        return session.output.report(Report::new(report));
    }
    let pin = typed(session, &id, from_stdin)?;
    let (kind, hash) = keep_pin(role, &pin).map_err(|error| refused(&error))?;
    ledger.set_pin(record, Some((kind, &hash)))?;
    let role = role.map_or("no role on record", Words::word);
    let mut report = Report::new(format!("{id} {name} signs in with this {}", kind.shown()));
    report.line(format!("Role today: {role}. Sessions of before are over."));
    report.caution(
        "It stands beside the chain of entries: no record, export or backup has it. Whoever can \
         open the ledger's file needs none.",
    );
    session.output.report(report)
}

fn typed(session: &mut Session<'_>, id: &str, from_stdin: bool) -> Result<String, Failure> {
    if from_stdin {
        return session.given_line();
    }
    if !session.asks {
        return Err(Failure::Refused {
            what: "there is no terminal to type a PIN at".to_owned(),
            hint: format!("wearbook worker pin {id} --stdin < FILE"),
        });
    }
    let first = session.secret(&format!("PIN or passphrase of {id} (not shown)"))?;
    let again = session.secret("The same again")?;
    match first == again {
        true => Ok(first),
        false => Err(Failure::Refused {
            what: "the two are not the same; nothing was changed".to_owned(),
            hint: format!("wearbook worker pin {id}"),
        }),
    }
}

fn refused(error: &PinError) -> Failure {
    let hint = match error {
        PinError::Short { least, .. } => format!(
            "at least {least} characters for this role; RSO, designee and inspector need a \
             passphrase of 12, everybody else a PIN of 6"
        ),
        PinError::Simple => "digits without an order, or a few words".to_owned(),
        PinError::Long | PinError::Hash(_) => String::new(),
    };
    Failure::Refused {
        what: error.to_string(),
        hint,
    }
}
