//! Answers about the whole crew as charts: SVG text, which a page can hold as it is.

use crate::answer::{
    CalendarAnswer, CollectiveAnswer, CrewAnswer, CrewLine, NobodysLine, ReconcileAnswer,
    ReconcileLine, Subject, TotalView,
};
use crate::calendar::Span;
use crate::dose::reconcile::Agreement;
use crate::quantity::{Dose, DoseUnit};
use crate::rule::Quantity;
use crate::show::chart::ChartError;
use crate::show::chart::crew_bars::{CrewBars, PersonRow, RowLevel};
use crate::show::chart::due_days::{DueDays, DueRow, DueType};
use crate::show::chart::months::{Month, Months};
use crate::show::chart::scatter::{Point, PointType, Scatter};
use crate::show::dose::account::opening_note;
use crate::show::dose::year::{SCRIPTED, type_of};
use crate::show::fine;

/// Everybody's dose over a span against the levels, as SVG.
///
/// # Errors
/// [`ChartError::Draw`] if the drawing backend fails.
pub fn crew_chart(
    answer: &CrewAnswer,
    unit: DoseUnit,
    scripted: bool,
) -> Result<String, ChartError> {
    let mut notes = vec![
        "Levels use the conservative total. (!): it has reached a level of this span.".to_owned(),
    ];
    notes.extend(nobodys(&answer.nobodys));
    let cut = |line: &CrewLine| line.levels.iter().any(|it| it.cut.nsv > 0);
    if answer.lines.iter().any(cut) {
        notes.push("Levels are drawn less what quarters without records take off.".to_owned());
    }
    let open = answer.lines.iter().any(|it| it.conservative.at_least);
    CrewBars {
        title: format!(
            "Crew, {} {} to {}",
            answer.terms.dose(Quantity::Deep),
            answer.first,
            answer.last
        ),
        caption: format!(
            "In {}, with the levels as of {}; collective {}",
            answer.unit,
            answer.on,
            bounded(open, &answer.collective)
        ),
        unit,
        rows: answer.lines.iter().map(person).collect(),
        notes: with_clock(notes, scripted),
        caution: answer.confirm.clone(),
    }
    .svg()
}

fn person(line: &CrewLine) -> PersonRow {
    let [of_record, provisional, other] = parts(&line.account);
    PersonRow {
        label: format!("{} {}", line.worker, line.name),
        of_record,
        provisional,
        other,
        conservative: Dose::from_nsv(line.conservative.known_nsv),
        at_least: line.account.at_least || line.conservative.at_least,
        levels: line
            .levels
            .iter()
            .map(|it| RowLevel {
                label: format!("{}, {}", it.kind, it.over),
                dose: Dose::from_nsv(it.limit.nsv.saturating_sub(it.cut.nsv)),
                kind: type_of(it),
            })
            .collect(),
    }
}

/// Of record, provisional, and the rest, which adds up to the known total.
fn parts(total: &TotalView) -> [Dose; 3] {
    let sure = total.of_record.nsv.saturating_add(total.provisional.nsv);
    [
        Dose::from_nsv(total.of_record.nsv),
        Dose::from_nsv(total.provisional.nsv),
        Dose::from_nsv(total.known_nsv.saturating_sub(sure)),
    ]
}

/// What a mark beyond the band says.
const ONE_PERIOD: &str = "Assumes that both dosimeters were worn together. Single periods lie \
beyond the band at times: whether the two differ is judged over periods together (dose \
reconcile).";

/// Readings against badges with the band, as SVG.
///
/// # Errors
/// [`ChartError::Draw`] if the drawing backend fails.
pub fn reconcile_chart(
    answer: &ReconcileAnswer,
    unit: DoseUnit,
    scripted: bool,
) -> Result<String, ChartError> {
    let points: Vec<Point> = answer.lines.iter().filter_map(point).collect();
    let mut notes = vec![answer.band.clone(), ONE_PERIOD.to_owned()];
    let left_out = answer.lines.len().saturating_sub(points.len());
    if left_out > 0 {
        notes.push(format!(
            "{} not drawn: no result yet, or nothing to compare.",
            crate::text::counted(left_out, "period is", "periods are")
        ));
    }
    Scatter {
        title: format!(
            "Readings against badges, periods that ended {} to {}",
            answer.first, answer.last
        ),
        quantity: answer.terms.heading().to_owned(),
        unit,
        points,
        band_permille: answer.band_permille,
        minimum: answer.minimum_nsv.map(Dose::from_nsv),
        notes: with_clock(notes, scripted),
        caution: answer.confirm.clone(),
    }
    .svg()
}

fn point(line: &ReconcileLine) -> Option<Point> {
    let kind = match line.kind {
        Agreement::NoResult | Agreement::NotComparable => return None,
        Agreement::TooSmall | Agreement::Within => PointType::Within,
        Agreement::ReadingsHigher | Agreement::ReadingsLower => PointType::Beyond,
        Agreement::ReadingsIncomplete => PointType::Incomplete,
    };
    Some(Point {
        label: format!("{} {}", line.worker, line.badge),
        result: Dose::from_nsv(line.result_nsv?),
        below_minimum: line.below_minimum,
        readings: Dose::from_nsv(line.readings.nsv),
        kind,
    })
}

/// What falls due on the coming days, as SVG.
///
/// # Errors
/// [`ChartError::Draw`] if the drawing backend fails.
pub fn due_chart(answer: &CalendarAnswer, scripted: bool) -> Result<String, ChartError> {
    let mut notes = Vec::new();
    if !answer.out_of_service.is_empty() {
        let names = answer.out_of_service.join(", ");
        notes.push(format!("Out of service and not listed: {names}."));
    }
    DueDays {
        title: format!("What falls due, {} to {}", answer.on, answer.last),
        first: answer.on,
        last: answer.last,
        rows: answer
            .lines
            .iter()
            .map(|it| DueRow {
                day: it.day,
                kind: match it.subject {
                    Subject::Person => DueType::Person,
                    Subject::Badge => DueType::Badge,
                    Subject::Instrument => DueType::Instrument,
                    Subject::Equipment => DueType::Equipment,
                },
                what: it.what.clone(),
                items: it.items.clone(),
            })
            .collect(),
        notes: with_clock(notes, scripted),
        caution: answer.confirm.clone(),
    }
    .svg()
}

/// The collective dose by month, as SVG.
///
/// # Errors
/// [`ChartError::Draw`] if the drawing backend fails.
pub fn collective_chart(
    answer: &CollectiveAnswer,
    unit: DoseUnit,
    scripted: bool,
) -> Result<String, ChartError> {
    let months = answer.months.iter().map(|it| {
        let [of_record, provisional, other] = parts(&it.account);
        Month {
            first: it.first,
            last: it.last,
            of_record,
            provisional,
            other,
            at_least: it.at_least,
        }
    });
    let mut notes = vec![format!(
        "{} as the records say, not the conservative total.",
        answer.terms.heading()
    )];
    notes.extend(opening_note(answer.opening));
    notes.extend(nobodys(&answer.nobodys));
    Months {
        title: format!(
            "Collective {} {} to {}",
            answer.terms.dose(Quantity::Deep),
            answer.first,
            answer.last
        ),
        span: Span {
            first: answer.first,
            last: answer.last,
        },
        unit,
        months: months.collect(),
        total: format!(
            "Together: {}",
            bounded(answer.at_least, &answer.total.short)
        ),
        today: answer.on,
        notes: with_clock(notes, scripted),
        caution: answer.confirm.clone(),
    }
    .svg()
}

/// A figure as a lower bound where it is one, and does not say so itself.
/// A lower bound is rounded down here, where nothing has it whole.
fn bounded(at_least: bool, figure: &str) -> String {
    let figure = figure.strip_prefix("at least ").unwrap_or(figure);
    match at_least {
        true => format!("at least {}", fine::least(figure)),
        false => fine::sentence(figure),
    }
}

fn nobodys(lines: &[NobodysLine]) -> Option<String> {
    match lines.len() {
        0 => None,
        1 => Some("One result is unassigned and is in no figure here.".to_owned()),
        more => Some(format!(
            "{more} unassigned badge results are not in any figure here."
        )),
    }
}

fn with_clock(mut notes: Vec<String>, scripted: bool) -> Vec<String> {
    if scripted {
        notes.push(SCRIPTED.to_owned());
    }
    notes
}
