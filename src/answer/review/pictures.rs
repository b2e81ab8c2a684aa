//! What the drawings of a review are made from.

use super::month::{ReviewAnswer, as_it_stood};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::dose::collective::{CollectiveAnswer, collective};
use crate::answer::dose::crew::{CrewAnswer, dose_of_crew};
use crate::answer::dose::reconcile::{ReconcileAnswer, reconcile};
use crate::answer::equipment::calendar::{CalendarAnswer, calendar};
use crate::answer::equipment::wear::wear_list;
use crate::answer::equipment::wear_drawing::{WearDrawing, wear_drawing};
use crate::answer::event::person::end_of;
use crate::calendar::{Instant, Span};
use crate::quantity::DoseUnit;

/// The drawings' figures.
#[derive(Debug)]
pub struct ReviewPictures {
    /// Everybody's year against the levels.
    pub crew: CrewAnswer,
    /// The collective dose of the year.
    pub collective: CollectiveAnswer,
    /// Readings against badges of the year.
    pub reconcile: ReconcileAnswer,
    /// What falls due in the coming 90 days.
    pub due: CalendarAnswer,
    /// Parts that are heading for their limit.
    pub wear: Vec<WearDrawing>,
    /// The unit of figures for people.
    pub unit: DoseUnit,
}

const AHEAD: u32 = 90;

/// The figures for the drawings of a review.
pub fn review_pictures(
    house: &OpenHouse<'_>,
    review: &ReviewAnswer,
    now: Instant,
) -> Result<ReviewPictures, AnswerError> {
    let on = review.on;
    let stood = as_it_stood(house, on, now)?;
    let house = &match &stood {
        Some((snapshot, stood)) => stood.open(snapshot),
        None => *house,
    };
    let now = end_of(house, on).min(now);
    let start = house.rule_set_on(on)?.year_start;
    let year = start.year(start.year_of(on));
    let so_far = Span {
        last: year.last.min(on),
        ..year
    };
    let mut wear = Vec::new();
    for it in wear_list(house, on)?.lines {
        if it.forecast.warns {
            let item = Some(it.line.as_str());
            wear.push(wear_drawing(house, &it.equipment, item, on)?);
        }
    }
    Ok(ReviewPictures {
        crew: dose_of_crew(house, so_far, on)?,
        collective: collective(house, year, on)?,
        reconcile: reconcile(house, None, so_far)?,
        due: calendar(house, on, AHEAD, now)?,
        wear,
        unit: house.unit(),
    })
}
