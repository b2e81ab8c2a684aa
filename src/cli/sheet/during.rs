//! What was done during a shift: exposures, rates, hours of the device, the survey before storage,
//! and who signs.

use super::ask::{Asking, Question, faulty, hours};
use super::crew::Standing;
use super::row::{cell, put};
use crate::answer::meter_unit;
use crate::calendar::{Clock, read_time};
use crate::cli::frame::failure::Failure;
use crate::record::{Role, ShiftStart};

/// What was done during the shift. What makes no sense without a source, a device or a meter is
/// not asked where there is none.
pub(crate) fn during(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    standing: &Standing,
) -> Result<(), Failure> {
    if !standing.source.is_empty() {
        exposures(asking, head)?;
        let minutes = asking.cell("source_out_min", "minutes with the source out, in all", "")?;
        put(head, "source_out_min", minutes);
    }
    if !standing.meter.is_empty() {
        let rate = rate(
            asking,
            "boundary",
            "highest rate at the boundary",
            &standing.meter,
        )?;
        put(head, "boundary", rate);
    }
    if !standing.device.is_empty() {
        let label = "device left storage and was back, HH:MM HH:MM";
        let (out, back) = hours(asking, "device_out", label, false)?;
        put(head, "device_out", out);
        put(head, "device_back", back);
    }
    if !standing.device.is_empty() && !standing.meter.is_empty() {
        storage_survey(asking, head, &standing.meter)?;
    }
    if !standing.device.is_empty() {
        let locked = asking.yes("locked", "device locked in storage", None)?;
        put(head, "locked", if locked { "yes" } else { "no" });
    }
    Ok(())
}

/// The meter's check before use: as the start has it, else asked and marked as recorded late.
pub(crate) fn meter_checked(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    standing: &Standing,
    start: Option<&ShiftStart>,
) -> Result<(), Failure> {
    if standing.meter.is_empty() {
        return Ok(());
    }
    let checked = match start.and_then(|it| it.meter_checked) {
        Some(checked) => checked,
        None => {
            put(head, "meter_late", "yes");
            check_of(asking, &standing.meter)?
        }
    };
    put(head, "meter_checked", if checked { "yes" } else { "no" });
    Ok(())
}

/// Whether a meter was checked before use.
pub(crate) fn check_of(asking: &mut Asking<'_, '_>, meter: &str) -> Result<bool, Failure> {
    let label = format!("{meter} checked with a check source before use");
    asking.yes("meter_checked", &label, None)
}

/// How many exposures, and when the first was made: `24 07:40`.
fn exposures(asking: &mut Asking<'_, '_>, head: &mut [String]) -> Result<(), Failure> {
    let question = Question {
        key: "exposures",
        label: "exposures made and time of the first, such as 24 07:40",
        proposal: "",
    };
    let (begins, ends) = (cell(head, "begins"), cell(head, "ends"));
    let (count, first) = asking.ask(&question, |session, typed| {
        let (count, first) = typed.split_once(' ').unwrap_or((typed, ""));
        let given = [
            ("exposures", count),
            ("first_exposure", first.trim()),
            ("begins", &begins),
            ("ends", &ends),
        ];
        let fault = faulty(session, &given)?;
        let wrong = fault.or_else(|| outside_shift(first.trim(), &begins, &ends));
        Ok(match wrong {
            Some(wrong) => Err(wrong),
            None => Ok((count.to_owned(), first.trim().to_owned())),
        })
    })?;
    put(head, "exposures", count);
    put(head, "first_exposure", first);
    Ok(())
}

/// What is wrong with a first exposure that the shift's hours leave out. A shift that ends before
/// the hour at which it began goes over midnight.
fn outside_shift(first: &str, begins: &str, ends: &str) -> Option<String> {
    let clock = Clock::of([first, begins, ends]);
    let at = |hour: &str| read_time(hour, clock).ok();
    let (at_first, from, to) = (at(first)?, at(begins)?, at(ends)?);
    let inside = match from < to {
        true => from <= at_first && at_first <= to,
        false => from <= at_first || at_first <= to,
    };
    (!inside).then(|| {
        format!(
            "`{first}` is not within the shift, {begins} to {ends}; if those hours are wrong, type \
             the exposures alone and correct all three at the end: begins=, ends=, first_exposure="
        )
    })
}

/// A rate; a bare number takes the unit of the meter's face, where that has but one.
fn rate(
    asking: &mut Asking<'_, '_>,
    column: &str,
    label: &str,
    meter: &str,
) -> Result<String, Failure> {
    let unit = asking
        .session
        .ask(None, |house| Ok(meter_unit(house, meter)))?;
    let language = asking.language();
    let of_unit = unit
        .clone()
        .unwrap_or_else(|| language.say("with its unit"));
    let label = format!("{}, {of_unit}", language.say(label));
    let question = Question {
        key: column,
        label: &label,
        proposal: "",
    };
    asking.asked(&question, str::to_owned, |session, typed| {
        let bare = typed.chars().all(|it| it.is_ascii_digit() || it == '.');
        let rate = match &unit {
            Some(unit) if bare && !typed.is_empty() => format!("{typed} {unit}"),
            _ => typed.to_owned(),
        };
        let fault = faulty(session, &[(column, &rate)])?;
        Ok(fault.map_or(Ok(rate), Err))
    })
}

/// The survey before storage: its rate, how far from the device, and the meter where it is
/// another: `0.6 1m`, `22 surface`, `0.6 30cm SM-02`.
fn storage_survey(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    meter: &str,
) -> Result<(), Failure> {
    let unit = asking
        .session
        .ask(None, |house| Ok(meter_unit(house, meter)))?;
    let language = asking.language();
    let shown = unit.clone().unwrap_or_else(|| language.say("with unit"));
    let label = language.fill(
        "survey before storage: rate ({}) and distance, such as 0.6 1m",
        &[&shown],
    );
    let question = Question {
        key: "storage_survey",
        label: &label,
        proposal: "",
    };
    let survey = asking.asked(&question, str::to_owned, |session, typed| {
        let survey = match survey(typed, unit.as_deref()) {
            Ok(survey) => survey,
            Err(wrong) => return Ok(Err(wrong)),
        };
        let given = [
            ("storage_survey", survey.rate.as_str()),
            ("storage_distance", survey.distance.as_str()),
            ("storage_meter", survey.meter.as_str()),
        ];
        if let Some(wrong) = faulty(session, &given)? {
            return Ok(Err(wrong));
        }
        if survey.meter.is_empty() {
            return Ok(Ok(survey));
        }
        let known = session.ask(None, |house| {
            Ok(house.names.find_instrument(&survey.meter).is_some())
        })?;
        Ok(match known {
            true => Ok(survey),
            false => Err(format!("no survey meter `{}` is on record", survey.meter)),
        })
    })?;
    // The meter is the shift's where the line names none, and the record says so.
    let used = match (survey.rate.is_empty(), survey.meter.is_empty()) {
        (true, _) => String::new(),
        (false, true) => meter.to_owned(),
        (false, false) => survey.meter,
    };
    put(head, "storage_survey", survey.rate);
    put(head, "storage_distance", survey.distance);
    put(head, "storage_meter", used);
    Ok(())
}

#[derive(Debug, Default, PartialEq, Eq)]
struct Survey {
    rate: String,
    distance: String,
    meter: String,
}

/// Reads the line of a survey: a figure, then a distance or `surface`, then a meter.
fn survey(typed: &str, unit: Option<&str>) -> Result<Survey, String> {
    let figure = |it: &str| it.chars().all(|it| it.is_ascii_digit() || it == '.');
    let mut words: Vec<String> = Vec::new();
    for word in typed.split_whitespace() {
        match words.last_mut() {
            // A unit stands behind its figure.
            Some(last) if figure(last) && !figure(word) && is_unit(word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    let mut survey = Survey::default();
    for (at, word) in words.into_iter().enumerate() {
        let begins_with_digit = word.starts_with(|it: char| it.is_ascii_digit());
        if at == 0 {
            survey.rate = match unit {
                Some(unit) if figure(&word) => format!("{word} {unit}"),
                _ => word,
            };
        } else if survey.distance.is_empty() && word == "superficie" {
            survey.distance = "surface".to_owned();
        } else if survey.distance.is_empty() && (word == "surface" || begins_with_digit) {
            survey.distance = word;
        } else if survey.meter.is_empty() {
            survey.meter = word;
        } else {
            return Err(
                "a rate, a distance and a meter, such as `0.6 1m` or `22 surface SM-02`".to_owned(),
            );
        }
    }
    Ok(survey)
}

fn is_unit(word: &str) -> bool {
    word.ends_with("/h") || word.ends_with("/hr") || ["m", "cm", "mm", "ft", "in"].contains(&word)
}

/// The signature of the radiographer to whom the device was assigned, who attests the sheet with
/// it. Nobody's name is proposed here. Somebody else's is an attestation and no signature.
pub(crate) fn signed(
    asking: &mut Asking<'_, '_>,
    standing: &Standing,
    (rows, on_paper): (&mut [Vec<String>], bool),
) -> Result<(), Failure> {
    const ASSIGNED: [Role; 3] = [Role::Radiographer, Role::Rso, Role::RsoDesignee];
    let question = Question {
        key: "signed_by",
        label: match on_paper {
            true => "signed on the paper by: id (the radiographer's)",
            false => "signed, this sheet is true: your own id (the radiographer's)",
        },
        proposal: "",
    };
    let by = asking.ask(&question, |session, typed| {
        if typed.is_empty() {
            return Ok(Err("it needs a signature: the id of a worker".to_owned()));
        }
        if let Some(("worker", written)) = typed.split_once('=') {
            return Ok(Ok(written.to_owned()));
        }
        let (known, near) = session.ask(None, |house| {
            let known = house.names.find_worker(typed);
            let known = known.map(|it| house.names.label(it.number()));
            Ok((known, house.names.near_workers(typed)))
        })?;
        Ok(known.ok_or_else(|| {
            let near = match near.as_slice() {
                [] => ".".to_owned(),
                near => format!("; did you mean {}?", near.join(" or ")),
            };
            format!("no worker `{typed}` is on record{near} To write it anyway: worker={typed}")
        }))
    })?;
    let member = standing.crew.iter().find(|it| it.worker == by);
    let assigned = member
        .and_then(|it| it.role)
        .is_some_and(|it| ASSIGNED.contains(&it));
    if !assigned && !standing.device.is_empty() {
        asking.say(&format!(
            "{by} is no radiographer of this crew: that attests the sheet, and the signature of \
             the radiographer is missing; it is added below: signed_by=ID"
        ))?;
    }
    for row in rows {
        put(row, "attested_by", by.clone());
        if assigned {
            put(row, "signed_by", by.clone());
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First exposure, begin, end, whether it is within the shift.
    #[test]
    fn a_first_exposure_lies_within_the_hours_of_its_shift() {
        for (first, begins, ends, within) in [
            ("07:40", "07:00", "15:00", true),
            ("0740", "0700", "1500", true),
            ("07:00", "07:00", "15:00", true),
            ("15:00", "07:00", "15:00", true),
            ("16:40", "07:00", "15:00", false),
            ("06:59", "07:00", "15:00", false),
            ("23:10", "22:00", "02:30", true),
            ("01:10", "22:00", "02:30", true),
            ("12:00", "22:00", "02:30", false),
            ("3:10 PM", "2:00 PM", "10:00 PM", true),
            ("", "07:00", "15:00", true),
            ("07:40", "", "", true),
        ] {
            let wrong = outside_shift(first, begins, ends);
            assert_eq!(
                wrong.is_none(),
                within,
                "{first} {begins} {ends}: {wrong:?}"
            );
        }
    }

    #[test]
    fn a_survey_is_typed_in_one_line() {
        for (typed, expected) in [
            ("0.6 1m", "0.6 mR/h|1m|"),
            ("0.6 mR/h 1 m", "0.6 mR/h|1 m|"),
            ("22 surface SM-02", "22 mR/h|surface|SM-02"),
            ("0.2uSv/h 30 cm 7", "0.2uSv/h|30 cm|7"),
            ("22", "22 mR/h||"),
            ("", "||"),
        ] {
            let read = survey(typed, Some("mR/h")).unwrap();
            let shown = format!("{}|{}|{}", read.rate, read.distance, read.meter);
            assert_eq!(shown, expected, "{typed}");
        }
        assert!(survey("1 1m SM-1 SM-2", None).is_err());
    }
}
