//! Everything that the ledger knows of one instrument or item of equipment.

use serde::Serialize;

use super::calibration::Judged;
use super::category::of_item;
use super::due::lines_of;
use super::due_line::DueLine;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::service::{LifeLine, line};
use crate::answer::dose::look_back::{LookBackLine, look_backs};
use crate::calendar::Day;
use crate::quantity::ActivityUnit;
use crate::record::{EquipmentType, InstalledPart, RecordId, ServicingType, Words};
use crate::source::{Nuclide, activity_on};

/// One point of a check.
#[derive(Debug, Clone, Serialize)]
pub struct PointLine {
    /// `found` or `left`.
    pub state: &'static str,
    /// The scale.
    pub scale: String,
    /// The true value, as written.
    pub true_value: String,
    /// What it showed, as written.
    pub reads: String,
    /// By how much it was off, in thousandths.
    pub error_permille: Option<i64>,
    /// Whether that is within the tolerance.
    pub within: Option<bool>,
}

/// By how much to multiply what an instrument shows: an estimate.
#[derive(Debug, Clone, Serialize)]
pub struct CorrectionLine {
    /// The scale, as written, where there are several.
    pub scale: Option<String>,
    /// Thousandths.
    pub permille: i64,
    /// From how many points.
    pub points: usize,
}

/// One check with its points.
#[derive(Debug, Clone, Serialize)]
pub struct CheckLine {
    /// The day.
    pub on: Day,
    /// Calibration or response check.
    #[serde(rename = "type")]
    pub kind: String,
    /// Who did it.
    pub by: String,
    /// The certificate's number.
    pub certificate: Option<String>,
    /// Whether it was right as left.
    pub passed: bool,
    /// The points.
    pub points: Vec<PointLine>,
    /// Why it did not come out right.
    pub reasons: Vec<String>,
    /// What it lacks of the points that the rule asks for.
    pub gaps: Vec<String>,
    /// By how much to multiply what it shows: estimates.
    pub corrections: Vec<CorrectionLine>,
    /// The entry.
    pub entry: i64,
}

/// One part as installed.
#[derive(Debug, Clone, Serialize)]
pub struct PartLine {
    /// Which part.
    pub component: String,
    /// Since when.
    pub installed_on: Day,
    /// Its own number.
    pub serial: Option<String>,
    /// The supplier's lot.
    pub lot: Option<String>,
    /// Its own nominal and limit, with the item that they are for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figures: Option<String>,
    /// Until when, where another took its place.
    pub until: Option<Day>,
    /// Exposures on sheets since: at least so many cycles.
    pub cycles_at_least: i64,
    /// The entry.
    pub entry: i64,
}

/// One thing whole.
#[derive(Debug, Clone, Serialize)]
pub struct ItemAnswer {
    /// Its id.
    pub id: String,
    /// What it is.
    #[serde(rename = "type")]
    pub kind: String,
    /// Serial number.
    pub serial: String,
    /// The day.
    pub on: Day,
    /// In service or withdrawn, and why.
    pub state: String,
    /// The source that a device holds, or the device that holds a source, with the activity of
    /// the day: an estimate.
    pub source: Option<String>,
    /// The category of the source, and of all sources together: estimates.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub category: Vec<String>,
    /// What falls due.
    pub due: Vec<DueLine>,
    /// Parts as installed.
    pub parts: Vec<PartLine>,
    /// Checks, the newest first.
    pub checks: Vec<CheckLine>,
    /// Look-backs.
    pub look_backs: Vec<LookBackLine>,
    /// What happened to it, the newest first.
    pub life: Vec<LifeLine>,
    /// The rule set's caution.
    pub confirm: String,
}

/// Everything of one thing, on a day.
pub fn item_of(house: &OpenHouse<'_>, id: &str, on: Day) -> Result<ItemAnswer, AnswerError> {
    let item = house.names.item(id)?;
    let state = match house.service.out_of_service(item.number(), on) {
        Some(out) => format!("out of service since {} ({})", out.on, out.reason),
        None => "in service".to_owned(),
    };
    let serial = match house.names.equipment_body(item.number()) {
        Some(it) => it.serial.clone(),
        None => house
            .names
            .instrument_body(item.number())
            .map(|it| it.serial.clone())
            .unwrap_or_default(),
    };
    let checks = check_lines(house, item.number(), on);
    let look_backs = look_backs(house, item.number(), on)?;
    Ok(ItemAnswer {
        id: house.names.label(item.number()),
        kind: house
            .names
            .type_word(item.number())
            .unwrap_or("unknown")
            .to_owned(),
        serial,
        on,
        state,
        source: source_line(house, item.number(), on),
        category: of_item(house, item.number(), on)?,
        due: lines_of(house, item.number(), on)?,
        parts: parts(house, item.number(), on)?,
        checks,
        look_backs,
        life: life(house, item.number(), on)?,
        confirm: house.rule_set_on(on)?.confirm.clone(),
    })
}

/// The checks of an instrument up to a day, the newest first.
pub(crate) fn check_lines(house: &House, item: RecordId, on: Day) -> Vec<CheckLine> {
    let checks = house.service.checks_of(item).iter().rev();
    checks
        .filter(|it| it.check.body.on <= on)
        .map(check_line)
        .collect()
}

pub(crate) fn check_line(judged: &Judged) -> CheckLine {
    let check = &judged.check.body;
    let assessment = judged.assessment.as_ref();
    let points = check
        .points
        .iter()
        .enumerate()
        .map(|(at, point)| {
            let result = assessment.and_then(|it| it.points.get(at));
            PointLine {
                state: if point.as_left { "left" } else { "found" },
                scale: point.scale.clone().unwrap_or_default(),
                true_value: point.true_value.clone(),
                reads: point.reads.clone().unwrap_or_else(|| "sounded".to_owned()),
                error_permille: result.and_then(|it| it.error_permille),
                within: result.map(|it| it.within),
            }
        })
        .collect();
    CheckLine {
        on: check.on,
        kind: check.kind.word().to_owned(),
        by: check.by.clone(),
        certificate: check.certificate.clone(),
        passed: judged.passed(),
        points,
        reasons: assessment.map(|it| it.reasons.clone()).unwrap_or_default(),
        gaps: assessment.map(|it| it.gaps.clone()).unwrap_or_default(),
        corrections: corrections(judged),
        entry: judged.check.entry,
    }
}

fn corrections(judged: &Judged) -> Vec<CorrectionLine> {
    let Some(assessment) = &judged.assessment else {
        return Vec::new();
    };
    let written = &judged.check.body.points;
    let lines = assessment.corrections.iter().map(|it| {
        let at = assessment
            .points
            .iter()
            .position(|point| point.scale == it.scale);
        CorrectionLine {
            scale: at
                .and_then(|at| written.get(at))
                .and_then(|point| point.scale.clone()),
            permille: it.permille,
            points: it.points,
        }
    });
    lines.collect()
}

/// The activity of a source on a day, with its nuclide.
pub(crate) fn activity_text(house: &House, source: RecordId, on: Day) -> Option<String> {
    let body = house.names.equipment_body(source)?;
    let (name, stated, reference) = (body.nuclide.as_ref()?, body.activity_bq?, body.activity_on?);
    let unit = ActivityUnit::beside(house.unit());
    let decayed = name
        .parse::<Nuclide>()
        .ok()
        .and_then(|nuclide| activity_on(nuclide, stated, reference, on).ok());
    Some(match decayed {
        Some(now) => format!(
            "{name} {} on {on} (an estimate, decayed from {} on {reference})",
            now.display_today(unit),
            stated.display(unit)
        ),
        None => format!("{name} {} on {reference}", stated.display(unit)),
    })
}

/// A source with its activity on a day, in few words.
pub(crate) fn activity_short(house: &House, source: RecordId, on: Day) -> Option<String> {
    let body = house.names.equipment_body(source)?;
    let (name, stated, reference) = (body.nuclide.as_ref()?, body.activity_bq?, body.activity_on?);
    let nuclide = name.parse::<Nuclide>().ok()?;
    let now = activity_on(nuclide, stated, reference, on).ok()?;
    let now = now.display_today(ActivityUnit::beside(house.unit()));
    Some(format!("{} {name} {now}", house.names.label(source)))
}

fn source_line(house: &House, item: RecordId, on: Day) -> Option<String> {
    match house.names.equipment_body(item)?.kind {
        EquipmentType::Device => {
            let (source, entry) = house.maintenance.source_in(item, on)?;
            let activity = activity_text(house, source, on).unwrap_or_default();
            let id = house.names.label(source);
            Some(format!("holds {id}, {activity}; entry {entry}"))
        }
        EquipmentType::Source => {
            let activity = activity_text(house, item, on).unwrap_or_default();
            let device = house.maintenance.device_of(item, on);
            Some(match device {
                Some(device) => format!("{activity}; in {}", house.names.label(device)),
                None => activity,
            })
        }
        _ => None,
    }
}

fn parts(house: &OpenHouse<'_>, item: RecordId, on: Day) -> Result<Vec<PartLine>, AnswerError> {
    let all = house.maintenance.parts_of(item);
    let mut lines = Vec::new();
    for (at, part) in all.iter().enumerate() {
        let body = &part.body;
        if body.installed_on > on {
            continue;
        }
        let until = all
            .iter()
            .skip(at + 1)
            .find(|it| it.body.component == body.component)
            .map(|it| it.body.installed_on)
            .filter(|until| *until <= on);
        // The day of the exchange is the new part's: at least so many, for each of them.
        let last = until.map_or(Some(on), |it| it.pred_opt()).unwrap_or(on);
        let uses = house.snapshot.uses_of(item, body.installed_on, last)?;
        lines.push(PartLine {
            component: body.component.clone(),
            installed_on: body.installed_on,
            serial: body.serial.clone(),
            lot: body.lot.clone(),
            figures: figures(body),
            until,
            cycles_at_least: uses.iter().filter_map(|it| it.exposures).sum(),
            entry: part.entry,
        });
    }
    Ok(lines)
}

fn figures(part: &InstalledPart) -> Option<String> {
    let (line, nominal) = (part.line.as_ref()?, part.nominal.as_ref()?);
    let limit = part.limit.as_ref()?;
    Some(format!("{line}: new {nominal}, limit {limit}"))
}

fn life(house: &OpenHouse<'_>, item: RecordId, on: Day) -> Result<Vec<LifeLine>, AnswerError> {
    let mut lines = house.service.life_of(item);
    for it in house.maintenance.servicings_of(item) {
        let what = match it.body.kind {
            ServicingType::Servicing => format!("serviced: {}", it.body.what),
            ServicingType::Battery => format!("battery changed: {}", it.body.what),
        };
        lines.push(line(it.body.on, what, &it.body.by, it.entry));
    }
    for it in house.maintenance.leak_tests_of(item) {
        let less = if it.body.below { "less than " } else { "" };
        let removable = it.body.removable_bq.display(ActivityUnit::Becquerel);
        let what = format!("leak test, {}: {less}{removable}", it.body.part.word());
        lines.push(line(it.body.on, what, &it.body.by, it.entry));
    }
    for it in house.maintenance.loadings() {
        if it.body.device.number() == item {
            let source = house.names.label(it.body.source.number());
            let activity =
                activity_text(house, it.body.source.number(), it.body.on).unwrap_or_default();
            let what = format!("source {source} put in: {activity}");
            lines.push(line(it.body.on, what, &it.body.by, it.entry));
        } else if it.body.source.number() == item {
            let what = format!("put into {}", house.names.label(it.body.device.number()));
            lines.push(line(it.body.on, what, &it.body.by, it.entry));
        }
    }
    for it in house.snapshot.inspections_of(item, Day::MIN, on)? {
        // Daily checks by the hundred would hide the rest: `inspect list` has them.
        if it.occasion != crate::record::Occasion::Daily {
            let by = it.worker.map(|worker| house.names.label(worker));
            let by = by.or(it.inspected).unwrap_or_default();
            let what = format!("inspected, {}", it.occasion.word());
            lines.push(line(it.on, what, &by, it.entry));
        }
    }
    if let Some(it) = house.snapshot.mated_with(item, Day::MIN, on)?.pop() {
        let by = it.of.worker.map(|worker| house.names.label(worker));
        let by = by.or(it.of.inspected).unwrap_or_default();
        let with = house.names.label(it.of.item);
        let what = format!(
            "last mating check, {} with {with}: {}",
            it.line,
            it.result.word()
        );
        lines.push(line(it.of.on, what, &by, it.of.entry));
    }
    lines.retain(|it| it.on <= on);
    lines.sort_by_key(|it| std::cmp::Reverse((it.on, it.entry)));
    Ok(lines)
}
