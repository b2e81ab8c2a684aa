//! How parts wear, as tables and as a chart.

use crate::answer::{InactiveItem, ItemWear, WearAnswer, WearDrawing, WearList};
use crate::calendar::Day;
use crate::rule::Sense;
use crate::show::chart::ChartError;
use crate::show::chart::wear::{BandPoint, Mark, Part, Reaches, WearChart};
use crate::show::report::{Report, Table};
use crate::wear::forecast::{Axis, Foreseen, Outlook};
use crate::wear::foreseen::FORESEEABLE_ASSUMES;
use crate::wear::series::Series;

const ESTIMATE: &str = "Where a part is heading is an estimate: the line through its measurements, \
with its 95 % band. Cycles are exposures on sheets, at least so many: exchanges and dry cranks \
may be missing.";

fn day_text(day: Option<Day>) -> String {
    day.map_or_else(String::new, |day| day.to_string())
}

/// The outlook in a word or two, for a table.
const fn short(outlook: Outlook) -> &'static str {
    match outlook {
        Outlook::Beyond => "beyond",
        Outlook::MayBeBeyond => "beyond?",
        Outlook::Refuted => "off line",
        Outlook::Heading => "heading",
        Outlook::MayBeHeading => "heading?",
        Outlook::NotHeading => "not heading",
        Outlook::TooFew => "too few",
        Outlook::NoSpread => "one place",
    }
}

fn foreseen(it: Option<Foreseen>) -> String {
    it.map_or_else(String::new, |it| {
        let by = match it.by {
            Axis::Cycles => "by cycles",
            Axis::Days => "by days",
        };
        format!("{} {by}", it.day)
    })
}

/// Everything that is measured, the most pressing first.
pub fn wear_list_report(answer: &WearList) -> Report {
    let warned = answer.lines.iter().filter(|it| it.forecast.warns).count();
    let mut report = Report::new(format!(
        "Wear on {}: of {}, {warned} to be checked before the next inspection",
        answer.on,
        crate::text::counted(answer.lines.len(), "measured part", "measured parts")
    ));
    let mut table = Table::new(&["", "part", ">last", ">limit", ">n", "earliest", "outlook"]);
    for line in &answer.lines {
        table.row([
            if line.forecast.warns { "LOOK" } else { "" }.to_owned(),
            format!("{}\n{}", line.equipment, line.line),
            line.last.clone().unwrap_or_default(),
            line.limit
                .replace("not below", ">=")
                .replace("not above", "<="),
            line.points.to_string(),
            day_text(line.forecast.earliest.map(|it| it.day)),
            short(line.forecast.outlook).to_owned(),
        ]);
    }
    report.gap();
    report.table(table);
    for line in &answer.lines {
        if let Some(by) = &line.limit_of {
            let (id, key) = (&line.equipment, &line.line);
            report.line(format!("{id} {key}: the limit is {} {by}", line.limit));
        }
    }
    inactive(&mut report, &answer.inactive);
    report.gap();
    report.line(
        "n: measurements of the part that is there; earliest: the first day on which a \
        measurement may \
         be past the limit (95 %).",
    );
    report.line(
        "?: not sure enough to rule it out; too few: fewer than four measurements make no line, \
        and \
         a part without others of its kind needs six, or a slope that is sure (95 %); off line: \
         the last measurement is worse than the line before it led to (99.5 %), so no day is told.",
    );
    report.caution(ESTIMATE);
    report.caution(answer.confirm.clone());
    report
}

/// What waits for its figures, an item a line, with the items on which it does.
fn inactive(report: &mut Report, items: &[InactiveItem]) {
    let mut keys: Vec<&str> = items.iter().map(|it| it.line.as_str()).collect();
    keys.sort_unstable();
    keys.dedup();
    for key in keys {
        let mine: Vec<&InactiveItem> = items.iter().filter(|it| it.line == key).collect();
        let told: Vec<String> = mine
            .iter()
            .map(|it| match it.facts.last() {
                None => it.equipment.clone(),
                Some(fact) => format!("{} (last {}, {})", it.equipment, fact.value, fact.on),
            })
            .collect();
        let why = mine.first().map(|it| it.why).unwrap_or_default();
        report.gap();
        report.line(format!("INACTIVE {key}: {}", told.join(", ")));
        report.under(why);
    }
}

fn outlook(report: &mut Report, item: &ItemWear) {
    let line = &item.now;
    let forecast = &line.forecast;
    let mark = if forecast.warns { "LOOK " } else { "" };
    report.line(format!(
        "{mark}{} ({}): {}, from {} measurements; limit {} ({})",
        line.line,
        line.component,
        forecast.outlook.words(),
        forecast.points,
        line.limit,
        line.limit_of.as_ref().unwrap_or(&line.basis)
    ));
    if let Some(cycles) = forecast.likely_cycles {
        let day = foreseen(forecast.likely);
        report.under(format!(
            "likely at its limit after {} of this part; {day}",
            crate::text::counted(cycles, "cycle", "cycles")
        ));
    }
    if forecast.earliest.is_some() || forecast.earliest_cycles.is_some() {
        let cycles = forecast.earliest_cycles.map_or(String::new(), |it| {
            format!("after {}; ", crate::text::counted(it, "cycle", "cycles"))
        });
        let day = foreseen(forecast.earliest);
        report.under(format!(
            "a measurement may first be at it {cycles}{day} (95 %)"
        ));
    }
    report.under(format!(
        "cycles of this part now: at least {}; next inspection due {}",
        line.cycles_at_least,
        line.next_inspection
            .map_or("not known".to_owned(), |it| it.to_string())
    ));
    // Of a part that nothing is said against nobody asks since when.
    if forecast.warns || item.foreseeable.is_some() {
        let entry = item.foreseeable.map(|it| format!(" (entry {})", it.entry));
        report.under(format!(
            "foreseeable {}{}; an estimate",
            item.foreseeable_words,
            entry.unwrap_or_default()
        ));
        report.under(format!("that day assumes: {FORESEEABLE_ASSUMES}"));
    }
    for assumed in &forecast.assumes {
        report.under(format!("assumes: {assumed}"));
    }
}

/// The measures of one item.
pub fn wear_report(answer: &WearAnswer) -> Report {
    let mut report = Report::new(format!("{} on {}", answer.equipment, answer.on));
    if answer.items.is_empty() && answer.inactive.is_empty() {
        report.line("The checklist in force measures no wearing part of it.");
    }
    for item in &answer.items {
        report.gap();
        outlook(&mut report, item);
        for part in &item.parts {
            report.gap();
            let installed = part.installed_on.map_or(
                "part there before any fitting on record".to_owned(),
                |day| format!("part installed on {day}"),
            );
            let ended = part
                .ended
                .map_or(String::new(), |day| format!(", until {day}"));
            report.line(format!("{} {installed}{ended}:", item.now.component));
            let mut table =
                Table::new(&["day", ">cycles", ">measure", "written as", "by", ">entry"]);
            for point in &part.points {
                table.row([
                    point.on.to_string(),
                    format!(">= {}", point.cycles_at_least),
                    point.value.clone(),
                    point.result.clone(),
                    point.by.clone(),
                    point.entry.to_string(),
                ]);
            }
            if part.points.is_empty() {
                report.under("never measured");
            }
            report.table(table);
        }
    }
    for item in &answer.inactive {
        report.gap();
        report.line(format!(
            "INACTIVE {} ({}): {}",
            item.line, item.component, item.why
        ));
        let mut table = Table::new(&["day", ">measure", "written as", "by", ">entry"]);
        for fact in &item.facts {
            table.row([
                fact.on.to_string(),
                fact.value.clone(),
                fact.result.clone(),
                fact.by.clone(),
                fact.entry.to_string(),
            ]);
        }
        report.table(table);
    }
    report.caution(ESTIMATE);
    report.caution(answer.confirm.clone());
    report
}

/// The chart as SVG.
pub fn wear_chart_of(drawing: &WearDrawing, scripted: bool) -> Result<String, ChartError> {
    let measurement = &drawing.measurement;
    let unit = measurement.unit;
    let last = drawing.series.len().saturating_sub(1);
    let parts: Vec<Part> = drawing
        .series
        .iter()
        .enumerate()
        .map(|(at, series)| part(drawing, series, at == last))
        .collect();
    let from = parts.last().map_or(0, |it| it.from);
    let forecast = &drawing.forecast;
    let reaches = |cycles: Option<i64>, day: Option<Foreseen>| {
        (cycles.is_some() || day.is_some()).then(|| Reaches {
            cycles: cycles.map(|it| it.saturating_add(from)),
            day: day.map(|it| it.day),
        })
    };
    let mut notes = forecast.assumes.clone();
    notes.push("cycles are exposures on sheets: at least so many".to_owned());
    if scripted {
        notes.push("made with a scripted clock: a demonstration".to_owned());
    }
    let chart = WearChart {
        title: format!("{} {}", drawing.equipment, drawing.item.component),
        measurement: drawing.item.how.clone(),
        unit,
        limit: measurement.limit.count(),
        bad_below: measurement.sense == Sense::NotBelow,
        warn: measurement.warn.map(|it| it.count()),
        nominal: measurement.nominal.map(|it| it.count()),
        step: measurement.step.count(),
        parts,
        today: drawing.on,
        cycles_now: drawing.cycles,
        likely: reaches(forecast.likely_cycles, forecast.likely),
        earliest: reaches(forecast.earliest_cycles, forecast.earliest),
        outlook: forecast.outlook.words().to_owned(),
        notes,
        caution: drawing.confirm.clone(),
    };
    chart.svg()
}

fn part(drawing: &WearDrawing, series: &Series, is_last: bool) -> Part {
    const STEPS: u32 = 40;
    let from = series.installed.map_or(0, |it| it.cycles);
    let marks: Vec<Mark> = series
        .points
        .iter()
        .map(|point| Mark {
            cycles: point.cycles.saturating_add(from),
            count: point.count,
            day: point.day,
        })
        .collect();
    let first = series.points.first().map_or(0, |it| it.cycles);
    let mut to = series.points.last().map_or(0, |it| it.cycles);
    if is_last {
        let now = drawing.cycles.saturating_sub(from);
        let ahead = drawing.forecast.likely_cycles.unwrap_or(now);
        // Twice what was measured is as far as a line may be drawn on.
        let most = to.saturating_add(to.saturating_sub(first));
        to = to.max(now).max(ahead.min(most));
    }
    let band = series
        .band((&drawing.measurement, drawing.others), first, to, STEPS)
        .unwrap_or_default();
    Part {
        installed: series.installed.map(|it| it.day),
        from,
        marks,
        band: band
            .iter()
            .map(|it| BandPoint {
                cycles: it.cycles.saturating_add(from),
                line: it.line,
                lower: it.lower,
                upper: it.upper,
            })
            .collect(),
    }
}
