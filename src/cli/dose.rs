//! `wearbook dose ...`

use super::args::{DoseVerb, ShowArgs};
use super::estimate;
use super::failure::Failure;
use super::run::{Session, days, form};
use super::statement;
use crate::answer::{clearance, dose_of, dose_of_crew, forecast_of, lists, reconcile};
use crate::rule::Severity;
use crate::show::{
    clearance_report, crew_report, dose_report, forecast_report, lists_report, reconcile_report,
};

pub(super) fn run(session: &mut Session<'_>, verb: DoseVerb) -> Result<(), Failure> {
    let now = session.clock.now();
    match verb {
        DoseVerb::Show {
            worker,
            span,
            why,
            show,
        } => {
            let days = days(&span)?;
            let answer = session.ask(span.known_at, |snapshot, house| {
                let worker = house.names.worker(&worker)?;
                let (span, on) = days.settle(house, now)?;
                dose_of(snapshot, house, worker, span, on)
            })?;
            session
                .output
                .answer(form(&show), "dose show", &answer, || {
                    dose_report(&answer, why)
                })
        }
        DoseVerb::Forecast { worker, on, show } => {
            let on = on
                .as_deref()
                .map(|text| super::failure::day("on", text))
                .transpose()?;
            let answer = session.ask(None, |snapshot, house| {
                let worker = house.names.worker(&worker)?;
                forecast_of(
                    snapshot,
                    house,
                    worker,
                    on.unwrap_or_else(|| house.today(now)),
                )
            })?;
            session
                .output
                .answer(form(&show), "dose forecast", &answer, || {
                    forecast_report(&answer)
                })
        }
        DoseVerb::Reconcile {
            worker,
            span,
            check,
            show,
        } => {
            let days = days(&span)?;
            let answer = session.ask(span.known_at, |snapshot, house| {
                let worker = worker.map(|id| house.names.worker(&id)).transpose()?;
                let (span, _) = days.settle(house, now)?;
                reconcile(snapshot, house, worker, span)
            })?;
            session
                .output
                .answer(form(&show), "dose reconcile", &answer, || {
                    reconcile_report(&answer)
                })?;
            let act = answer
                .findings
                .iter()
                .any(|it| it.severity != Severity::Watch);
            if check && act {
                Err(Failure::Found)
            } else {
                Ok(())
            }
        }
        DoseVerb::Lists { span, share, show } => {
            let days = days(&span)?;
            let answer = session.ask(span.known_at, |snapshot, house| {
                let (span, on) = days.settle(house, now)?;
                lists(snapshot, house, span, on, share)
            })?;
            session
                .output
                .answer(form(&show), "dose lists", &answer, || lists_report(&answer))
        }
        DoseVerb::Statement {
            worker,
            year,
            all,
            out,
            on,
            show,
        } => {
            let asked = statement::Asked {
                worker,
                year,
                all,
                out,
                on,
            };
            statement::run(session, asked, &show)
        }
        DoseVerb::Reconstruct(args) => estimate::reconstruct(session, *args),
        DoseVerb::Plan(args) => estimate::plan_retrieval(session, *args),
        DoseVerb::Crew { span, show } => {
            let days = days(&span)?;
            let answer = session.ask(span.known_at, |snapshot, house| {
                let (span, on) = days.settle(house, now)?;
                dose_of_crew(snapshot, house, span, on)
            })?;
            session
                .output
                .answer(form(&show), "dose crew", &answer, || crew_report(&answer))
        }
    }
}

/// `wearbook clearance`
pub(super) fn who_may_work(
    session: &mut Session<'_>,
    worker: Option<String>,
    on: Option<String>,
    check: bool,
    show: &ShowArgs,
) -> Result<(), Failure> {
    let now = session.clock.now();
    let on = on
        .as_deref()
        .map(|text| super::failure::day("on", text))
        .transpose()?;
    let answer = session.ask(None, |snapshot, house| {
        let worker = worker.map(|id| house.names.worker(&id)).transpose()?;
        clearance(
            snapshot,
            house,
            worker,
            on.unwrap_or_else(|| house.today(now)),
            now,
        )
    })?;
    session
        .output
        .answer(form(show), "clearance", &answer, || {
            clearance_report(&answer)
        })?;
    let stopped = answer.lines.iter().any(|it| !it.may_work);
    if check && stopped {
        Err(Failure::Found)
    } else {
        Ok(())
    }
}
