//! A source at an hour, with the constant to be used: what estimates of dose and rate start from.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::calendar::{Day, TimeOfDay};
use crate::dose::reconstruct::{Shield, Slip, activity_slip, constant_slip, source_activity_slip};
use crate::quantity::{Activity, ActivityUnit, Dose, DoseRateUnit, DoseUnit, Length};
use crate::record::EquipmentType;
use crate::source::constant::{constant, constants_of};
use crate::source::layer::layer_of;
use crate::source::rate::{Source, kept, rates};
use crate::source::usual::{Named, named};
use crate::source::{Constant, Nuclide, Spread, activity_on};

/// Which source is meant.
#[derive(Debug, Clone, Default)]
pub struct SourceAsked {
    /// The id of a source assembly, or of the device that holds it.
    pub source: Option<String>,
    /// Else its nuclide.
    pub nuclide: Option<String>,
    /// An activity that stands instead of the register's.
    pub activity: Option<Activity>,
    /// The day of that activity.
    pub activity_on: Option<Day>,
    /// The name of a constant, or a constant with its unit.
    pub constant: Option<String>,
    /// An unusual activity or constant is meant as it stands.
    pub as_stated: bool,
}

/// The constant that an estimate uses, and the others.
#[derive(Debug, Clone, Serialize)]
pub struct ConstantView {
    /// Its name.
    pub key: String,
    /// Its figures with their unit.
    pub figures: String,
    /// What it is a rate of.
    pub quantity: String,
    /// How the source is encapsulated in it.
    pub capsule: String,
    /// Where it comes from.
    pub source: String,
    /// The others in use for the nuclide, each with what it would make of the high figure.
    pub others: Vec<String>,
}

/// A source at an hour.
#[derive(Debug, Clone, Serialize)]
pub struct StrengthView {
    /// Its id, where it is registered.
    pub source: Option<String>,
    /// Its nuclide.
    pub nuclide: String,
    /// The stated activity with its day.
    pub stated: String,
    /// Whether the hour lies before the reference date.
    pub before_reference: bool,
    /// The hour, local.
    pub at: String,
    /// The activity then: becquerel on the low side, central, on the high side.
    pub activity_bq: [i64; 3],
    /// The same, central, as text.
    pub activity: String,
    /// The half-life with its source.
    pub half_life: String,
    /// The constant.
    pub constant: ConstantView,
    /// What is to be known besides.
    pub notes: Vec<String>,
}

/// The source with what the computations take.
pub(crate) struct Strength {
    pub source: Source,
    pub constant: Constant,
    pub activity: Spread,
    pub view: StrengthView,
}

fn slip(field: &'static str, value: &str, what: &str, right: &str) -> AnswerError {
    AnswerError::Unlikely(vec![Slip {
        position: None,
        field,
        value: value.to_owned(),
        what: what.to_owned(),
        right: right.to_owned(),
    }])
}

impl Strength {
    /// Finds the source, its activity at that hour and the constant.
    pub fn find(
        house: &House,
        asked: &SourceAsked,
        day: Day,
        time: TimeOfDay,
    ) -> Result<Strength, AnswerError> {
        let (id, source, mut notes) = match &asked.source {
            Some(id) => registered(house, asked, id, day)?,
            None => (None, stated(asked, day)?, Vec::new()),
        };
        if !asked.as_stated
            && let Some(slip) = activity_slip(source.nuclide, source.stated)
        {
            if asked.activity.is_some() {
                return Err(AnswerError::Unlikely(vec![slip]));
            }
            notes.push(format!(
                "the register's activity {}: {}",
                slip.value, slip.what
            ));
        }
        let constant = constant_of(asked, source.nuclide)?;
        let activity = source.activity_at(day, time);
        let central = source.central_at(day, time).map_err(|it| {
            slip(
                "activity-on",
                &source.on.to_string(),
                &it.to_string(),
                "a later day",
            )
        })?;
        if source.on > day {
            notes.push(format!(
                "{day} lies BEFORE the reference date {}: the activity is computed backwards, to \
                 more than the certificate states; are both dates right?",
                source.on
            ));
        }
        let unit = house.unit();
        let view = StrengthView {
            source: id,
            nuclide: source.nuclide.to_string(),
            stated: format!("{} on {}", shown(source.stated, None, unit), source.on),
            before_reference: source.on > day,
            at: format!("{day} {}", time.format("%H:%M")),
            activity_bq: [activity.low.floor(), activity.central, activity.high.ceil()]
                .map(|it| it as i64),
            activity: shown(central, Some(2), unit),
            half_life: format!(
                "{} d ({})",
                source.nuclide.half_life_days(),
                source.nuclide.half_life_source()
            ),
            constant: constant_view(source.nuclide, &constant, unit),
            notes,
        };
        Ok(Strength {
            source,
            constant,
            activity,
            view,
        })
    }
}

/// As `44.2 Ci (1.64 TBq)`, or `1.64 TBq` for people who count dose in sievert.
fn shown(activity: Activity, decimals: Option<u32>, unit: DoseUnit) -> String {
    let curie = activity.display_rounded(ActivityUnit::Curie, decimals.unwrap_or(3));
    let decimals = decimals.map_or(4, |it| it + 1);
    let becquerel = activity.display_rounded(ActivityUnit::TeraBecquerel, decimals);
    match unit.is_si() {
        true => becquerel,
        false => format!("{curie} ({becquerel})"),
    }
}

/// The source that a nuclide and an activity state.
fn stated(asked: &SourceAsked, day: Day) -> Result<Source, AnswerError> {
    let Some(name) = &asked.nuclide else {
        return Err(slip(
            "source",
            "",
            "is missing",
            "--source ID, or --nuclide, --activity and --activity-on",
        ));
    };
    let nuclide = nuclide_of(name)?;
    let Some(stated) = asked.activity else {
        return Err(slip(
            "activity",
            "",
            "is missing: without it there is no dose",
            &rate_of_a_unit(nuclide),
        ));
    };
    Ok(Source {
        nuclide,
        stated,
        on: asked.activity_on.unwrap_or(day),
    })
}

/// What is needed for a dose, and what can be said without it: the rate of a unit of activity.
fn rate_of_a_unit(nuclide: Nuclide) -> String {
    let needed = "--activity and --activity-on, as the source certificate has them, such as \
                  --activity \"85 Ci\"";
    let Some(constant) = constants_of(nuclide).first() else {
        return needed.to_owned();
    };
    let curie = Spread::one(37_000_000_000.0);
    let metre = Length::from_nm(1_000_000_000);
    let rate = rates(constant, curie, metre, Spread::one(1.0)).high;
    match kept(rate) {
        Ok(rate) => format!(
            "{needed}; 1 Ci (37 GBq) of {nuclide} gives {} at 1 m without shielding, an estimate",
            rate.display(DoseRateUnit::MilliSievertPerHour)
        ),
        Err(_) => needed.to_owned(),
    }
}

fn nuclide_of(name: &str) -> Result<Nuclide, AnswerError> {
    name.parse().map_err(|_| {
        let known: Vec<&str> = Nuclide::ALL.iter().map(|it| it.name()).collect();
        let right = match named(name) {
            Named::Nothing(near) if !near.is_empty() => {
                format!(
                    "did you mean {}? one of {}",
                    near.join(" or "),
                    known.join(", ")
                )
            }
            _ => format!("one of {}", known.join(", ")),
        };
        slip(
            "nuclide",
            name,
            "is not a nuclide that is known here",
            &right,
        )
    })
}

type Registered = (Option<String>, Source, Vec<String>);

/// The source of the register, or the one in a device that day.
fn registered(
    house: &House,
    asked: &SourceAsked,
    id: &str,
    day: Day,
) -> Result<Registered, AnswerError> {
    let mut notes = Vec::new();
    let mut item = house.names.equipment(id)?.number();
    let kind = |item| house.names.equipment_body(item).map(|it| it.kind);
    if kind(item) == Some(EquipmentType::Device)
        && let Some((source, _)) = house.maintenance.source_in(item, day)
    {
        notes.push(format!(
            "{id} held {} that day, by its loadings",
            house.names.label(source)
        ));
        item = source;
    }
    let body = house.names.equipment_body(item);
    let known = body.and_then(|it| Some((it.nuclide.as_ref()?, it.activity_bq?, it.activity_on?)));
    let Some((name, stated, on)) = known else {
        return Err(slip(
            "source",
            id,
            "is no source assembly, nor a device with one on record",
            "the id of a source (`wearbook equipment list`); or --nuclide, --activity and \
             --activity-on as the certificate has them",
        ));
    };
    let nuclide = nuclide_of(name)?;
    let register = Source {
        nuclide,
        stated,
        on,
    };
    if house.names.in_service(item).is_some_and(|it| it > day) {
        notes.push("the source was not yet in service that day, by the register".to_owned());
    }
    let label = Some(house.names.label(item));
    let Some(given) = asked.activity else {
        return Ok((label, register, notes));
    };
    let given_on = asked.activity_on.unwrap_or(day);
    let could = activity_on(nuclide, stated, on, given_on).map_err(|it| {
        slip(
            "activity-on",
            &given_on.to_string(),
            &it.to_string(),
            "a later day",
        )
    })?;
    if let Some(slip) = source_activity_slip(given, could, asked.as_stated) {
        return Err(AnswerError::Unlikely(vec![slip]));
    }
    if given < could {
        notes.push(format!(
            "the activity given is below the register's, {} that day; the figure with the \
             register's would be higher",
            shown(could, Some(2), house.unit())
        ));
    }
    let source = Source {
        nuclide,
        stated: given,
        on: given_on,
    };
    Ok((label, source, notes))
}

fn constant_of(asked: &SourceAsked, nuclide: Nuclide) -> Result<Constant, AnswerError> {
    let all = constants_of(nuclide);
    let Some(text) = &asked.constant else {
        let first = all.first().copied();
        return first.ok_or_else(|| slip("constant", "", "is not known", "--constant VALUE"));
    };
    if let Some(known) = constant(nuclide, text) {
        return Ok(known);
    }
    let given: Constant = text.parse().map_err(|_| {
        let keys: Vec<&str> = all.iter().map(|it| it.key).collect();
        let right = format!("such as `0.48 R m2/(h Ci)`, or a name: {}", keys.join(", "));
        slip(
            "constant",
            text,
            "is neither a constant with its unit nor a name",
            &right,
        )
    })?;
    match constant_slip(nuclide, &given) {
        Some(slip) if !asked.as_stated => Err(AnswerError::Unlikely(vec![slip])),
        _ => Ok(given),
    }
}

fn constant_view(nuclide: Nuclide, used: &Constant, unit: DoseUnit) -> ConstantView {
    let high = used.nsv_per_hour_bq().high;
    let others = constants_of(nuclide)
        .iter()
        .filter(|it| it.key != used.key)
        .map(|it| {
            let ratio = it.nsv_per_hour_bq().high / high;
            let words = it.words(unit.is_si());
            format!("{}: {words} ({}), x {ratio:.2}", it.key, it.source)
        })
        .collect();
    ConstantView {
        key: used.key.to_owned(),
        figures: used.figures(unit.is_si()),
        quantity: used.measure.words(unit.is_si()).to_owned(),
        capsule: used.capsule.to_owned(),
        source: used.source.to_owned(),
        others,
    }
}

/// Which half-value layers the shields use, in words; each once.
pub(crate) fn layer_words<'a>(
    nuclide: Nuclide,
    shields: impl Iterator<Item = &'a Shield>,
) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for shield in shields {
        let words = match shield {
            Shield::Layers(_) => {
                "half-value layers as they were given; no spread is known of them".to_owned()
            }
            Shield::Of(material, _) => match layer_of(nuclide, *material) {
                Some(it) => format!(
                    "{} for {nuclide}: {} mm to {} mm ({})",
                    material.word(),
                    it.millimetres.low,
                    it.millimetres.high,
                    it.source
                ),
                None => continue,
            },
        };
        if !said.contains(&words) {
            said.push(words);
        }
    }
    said
}

/// Which way a figure of an estimate is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    Down,
    Nearest,
    Up,
}

/// A whole number with three digits that count.
pub(crate) fn three_digits(number: i64, way: Way) -> i64 {
    let mut step = 1_i64;
    while number / step >= 1000 {
        step *= 10;
    }
    let down = number - number.rem_euclid(step);
    let over = number - down;
    let up = match way {
        Way::Down => false,
        Way::Nearest => over * 2 >= step,
        Way::Up => over > 0,
    };
    match up {
        true => down.saturating_add(step),
        false => down,
    }
}

/// An estimated dose in three digits.
pub(crate) fn rounded(dose: Dose, way: Way, unit: DoseUnit) -> String {
    Dose::from_nsv(three_digits(dose.nsv(), way)).display(unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_digits_are_kept_and_the_high_figure_never_falls() {
        for (number, down, nearest, up) in [
            (0, 0, 0, 0),
            (999, 999, 999, 999),
            (1_000, 1_000, 1_000, 1_000),
            (1_001, 1_000, 1_000, 1_010),
            (123_456, 123_000, 123_000, 124_000),
            (123_500, 123_000, 124_000, 124_000),
            (999_999, 999_000, 1_000_000, 1_000_000),
        ] {
            let all = [Way::Down, Way::Nearest, Way::Up].map(|it| three_digits(number, it));
            assert_eq!(all, [down, nearest, up], "{number}");
        }
    }
}
