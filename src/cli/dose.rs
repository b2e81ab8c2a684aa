//! `wearbook dose ...`

use super::args::DoseVerb;
use super::failure::Failure;
use super::run::{Session, days, form};
use crate::answer::{dose_of, dose_of_crew, forecast_of};
use crate::show::{crew_report, dose_report, forecast_report};

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
