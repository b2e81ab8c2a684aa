//! The trace of an event as text, as one printable page, and as a table.

use super::chart::ChartError;
use super::page::page;
use super::report::{Report, Table};
use super::trace_chart::trace_chart_of;
use crate::answer::{TraceAnswer, TraceCause, TraceRow, WearThen};
use crate::record::{Coverage, Words};
use crate::trace::record::order_unknown;
use crate::trace::required::Met;
use crate::trace::verdict::{Mark, Seen};

/// How many looks of an item are printed, the last ones; the JSON has all.
const LOOKS: usize = 5;

const CYCLES: &str = "Cycles are exposures on sheets, at least so many: source exchanges and dry \
cranks may be missing. Where a part was heading is an estimate.";

/// What failed, in one line.
fn cause_words(cause: &TraceCause) -> String {
    let fitted = cause.fitted_on.map_or_else(
        || "fitting not on record".to_owned(),
        |on| format!("fitted {on}"),
    );
    let lot = cause.lot.as_deref().map(|it| format!(", lot {it}"));
    format!(
        "{} of {} ({}), {fitted}{}: {} (entry {}: {})",
        cause.component,
        cause.piece,
        cause.sort,
        lot.unwrap_or_default(),
        cause.failure,
        cause.entry,
        cause.because
    )
}

/// On what state of the ledger it rests, in one line.
fn known_words(answer: &TraceAnswer) -> String {
    let list = match &answer.list {
        Some(list) => format!("the list in force was `{list}`"),
        None => "no checklist was in force that asks for anything".to_owned(),
    };
    match answer.known_at {
        0 => format!("Nothing was written in this ledger before the event; {list}."),
        entry => format!(
            "Judged by what was written before the event, up to entry {entry}; {list}. What was \
             written later is marked, and what it would change is told."
        ),
    }
}

/// The two words of an item; a star where the RSO has not concluded the first.
fn coverage_word(row: &TraceRow) -> String {
    let star = if row.verdict.covered.is_concluded() {
        ""
    } else {
        " *"
    };
    format!("{}{star}", row.verdict.covered.coverage.word())
}

/// What the star means.
const STAR: &str = "*: by the checklist's data, not yet concluded by the RSO: wearbook \
trace conclude.";

/// The trace as one self-contained page with its picture.
///
/// # Errors
/// [`ChartError`] if the picture cannot be drawn.
pub fn trace_page(answer: &TraceAnswer, scripted: bool) -> Result<String, ChartError> {
    let picture = trace_chart_of(answer, scripted)?;
    let mut report = with_picture(answer, picture);
    if scripted {
        report.caution("The clock of this ledger is scripted: a demonstration, not records.");
    }
    Ok(page(&report))
}

/// The trace.
pub fn trace_report(answer: &TraceAnswer) -> Report {
    with_picture(answer, None)
}

fn with_picture(answer: &TraceAnswer, picture: Option<String>) -> Report {
    let mut report = Report::new(format!(
        "Trace of {}: {}, {}",
        answer.event, answer.kind, answer.occurred
    ));
    report.line(answer.words.clone());
    match &answer.cause {
        Some(cause) => report.line(format!("failed: {}", cause_words(cause))),
        None => report.line(
            "failed: not known; every item that might show such an event is listed (say what \
             failed with `event cause`)",
        ),
    }
    report.line(known_words(answer));
    if let Some([first, last]) = answer.order_unknown {
        report.line(format!(
            "ORDER UNKNOWN: whether entries {first} to {last} were written before the event cannot \
             be told, a clock cannot be trusted (see `wearbook findings`). They count neither for \
             nor against; what they would change is told."
        ));
    }
    for it in &answer.withdrawn {
        report.line(format!("WITHDRAWN: {it}"));
    }
    report.line(answer.judges);
    if let Some(svg) = picture {
        report.picture(svg);
    }
    report.section("Verdicts");
    verdicts(&mut report, answer);
    // Of what cannot show it by the list's data nothing more is to be told.
    let told = |it: &&TraceRow| {
        let covered = &it.verdict.covered;
        covered.coverage != Coverage::CannotDetect || covered.is_concluded()
    };
    for (n, row) in answer.rows.iter().filter(told).enumerate() {
        match n {
            0 => report.section("Item by item"),
            _ => report.gap(),
        }
        details(&mut report, row);
    }
    barriers(&mut report, answer);
    extent(&mut report, answer);
    if !answer.suggestions.is_empty() {
        report.section("To think about; the RSO decides");
        for it in &answer.suggestions {
            report.under(format!("- {it}"));
        }
    }
    report.caution(CYCLES);
    report.caution(answer.confirm.clone());
    report
}

fn verdicts(report: &mut Report, answer: &TraceAnswer) {
    if let Some(none) = &answer.no_item {
        report.line(format!("{}: nothing looks for this", none.coverage.word()));
        report.under(none.said_by());
    }
    report.table(verdict_table(answer));
    if answer
        .rows
        .iter()
        .any(|it| !it.verdict.covered.is_concluded())
    {
        report.line(STAR);
    }
}

fn verdict_table(answer: &TraceAnswer) -> Table {
    let mut table = Table::new(&["item", "coverage", "record", "flags"]);
    for row in &answer.rows {
        let flags: Vec<&str> = row.verdict.flags.iter().map(|it| it.flag.word()).collect();
        table.row([
            format!("{}\n{}", row.piece, row.item),
            coverage_word(row),
            row.verdict.record.word.to_string(),
            flags.join(",\n"),
        ]);
    }
    table
}

fn details(report: &mut Report, row: &TraceRow) {
    report.line(format!(
        "{} {}: {}; {}",
        row.piece,
        row.item,
        row.verdict.covered.coverage.word(),
        row.verdict.record.word
    ));
    for line in detail_lines(row) {
        report.under(line);
    }
    let mut table = Table::new(&["done", "for", "by", "found", "counts as", ">entry"]);
    for seen in last_looks(row) {
        table.row(look_cells(seen));
    }
    report.table(table);
    let more = row.verdict.seen.len().saturating_sub(last_looks(row).len());
    match more {
        0 => {}
        1 => report.under("and 1 earlier look: --json has them all"),
        _ => report.under(format!("and {more} earlier looks: --json has them all")),
    }
}

/// Everything about one verdict but its looks, a line each.
fn detail_lines(row: &TraceRow) -> Vec<String> {
    let verdict = &row.verdict;
    let mut lines = vec![
        format!(
            "looks at: {} ({}; {})",
            row.look,
            row.when.join(", "),
            row.basis
        ),
        format!("coverage: {}", verdict.covered.said_by()),
        format!("record: {}", verdict.record.because),
    ];
    if let Some(it) = &verdict.as_if_before {
        lines.push(format!(
            "if all had been written before the event whose order is unknown: {} ({})",
            it.word, it.because
        ));
    }
    if let Some(it) = &verdict.as_claimed {
        lines.push(format!(
            "if all were true that was written after the event: {} ({})",
            it.word, it.because
        ));
    }
    for it in &verdict.flags {
        let entry = format!("(entry {})", it.entry);
        let entry = if it.what.ends_with(&entry) {
            String::new()
        } else {
            format!(" {entry}")
        };
        lines.push(format!("FLAG {}: {}{entry}", it.flag.word(), it.what));
    }
    for it in &verdict.required {
        let met = match it.met {
            Met::By(entry) => format!("entry {entry}"),
            Met::OrderUnknown(entry) => format!("only {}", order_unknown(entry)),
            Met::ByClaim(entry) => format!("only entry {entry}, written after the event"),
            Met::No => "NOT ON RECORD".to_owned(),
        };
        lines.push(format!("had to be there: {}: {met}", it.what));
    }
    if let Some(it) = &verdict.last_good {
        let unsaid = match it.sheets_without_count {
            0 => String::new(),
            count => format!("; {count} sheets do not say how many"),
        };
        let days = if it.days == 1 { "day" } else { "days" };
        lines.push(format!(
            "last good {} by {} (entry {}): {} {days} and at least {} cycles before the \
             event{unsaid}",
            it.on, it.by, it.entry, it.days, it.cycles_at_least
        ));
    }
    lines.extend(row.wear.as_ref().map(wear_words));
    lines
}

fn wear_words(it: &WearThen) -> String {
    let mut text = format!(
        "wear as known then, an estimate: {} from {} measures, limit {}, at least {} cycles",
        it.outlook, it.points, it.limit, it.cycles_at_least
    );
    for (name, day) in [
        ("first credible at the limit", it.earliest),
        ("likely at the limit", it.likely),
        ("foreseeable since", it.foreseeable),
    ] {
        if let Some(day) = day {
            text.push_str(&format!("; {name} {day}"));
        }
    }
    text
}

/// The looks that are printed: the last ones, and each that does not simply count.
fn last_looks(row: &TraceRow) -> Vec<&Seen> {
    let seen = &row.verdict.seen;
    let first = seen.len().saturating_sub(LOOKS);
    let told = |(at, it): &(usize, &Seen)| {
        let plain = matches!(it.mark, Mark::Counts | Mark::OtherPart | Mark::After);
        *at >= first || !plain
    };
    seen.iter()
        .enumerate()
        .filter(told)
        .map(|(_, it)| it)
        .collect()
}

/// A look as cells: done, occasion, by, found, how it counts, entry.
fn look_cells(seen: &Seen) -> [String; 6] {
    let look = &seen.look;
    let value = look.value.as_deref().map(|it| format!(" {it}"));
    let later = seen.later.as_ref().map(|it| {
        let value = it.value.as_deref().map(|it| format!(" {it}"));
        let value = value.unwrap_or_default();
        format!("; now {}{value} (entry {})", it.found(), it.entry)
    });
    let from_paper = if look.transcribed { ", from paper" } else { "" };
    let written = match seen.mark {
        Mark::Claimed if look.clock_doubted => ", by a clock that cannot be trusted".to_owned(),
        Mark::Claimed => format!(
            ", written {}",
            look.written_at.get(..10).unwrap_or_default()
        ),
        _ => String::new(),
    };
    [
        look.moment.to_string(),
        look.occasion.word().to_owned(),
        look.by.clone(),
        format!("{}{}", look.found(), value.unwrap_or_default()),
        format!(
            "{}{written}{from_paper}{}",
            seen.mark.word(),
            later.unwrap_or_default()
        ),
        look.entry.to_string(),
    ]
}

fn barriers(report: &mut Report, answer: &TraceAnswer) {
    report.section("Barriers and people");
    let mut table = Table::new(&["barrier", "stood", "in words", ">entry"]);
    for it in &answer.barriers {
        table.row([
            it.barrier.to_owned(),
            it.state.unwrap_or("not told").to_owned(),
            it.what.clone(),
            it.entry.map(|it| it.to_string()).unwrap_or_default(),
        ]);
    }
    report.table(table);
    if answer.people.is_empty() {
        return;
    }
    report.gap();
    let mut table = Table::new(&["person", "had a part in it", "dosimeter"]);
    for it in &answer.people {
        table.row([
            it.person.clone(),
            it.role.clone(),
            worn(it.monitored).to_owned(),
        ]);
    }
    report.table(table);
    report.line(format!(
        "Their doses: wearbook notice show {}, wearbook dose show ID --from {} --to {}",
        answer.event, answer.on, answer.on
    ));
}

/// Whether a dosimeter was worn, in words.
const fn worn(monitored: Option<bool>) -> &'static str {
    match monitored {
        Some(true) => "worn",
        Some(false) => "NONE: dose not known",
        None => "not said",
    }
}

fn extent(report: &mut Report, answer: &TraceAnswer) {
    let (asked, clean): (Vec<_>, Vec<_>) = answer.extent.iter().partition(|it| !it.why.is_empty());
    if answer.extent.is_empty() {
        return;
    }
    report.section("Other equipment, as known now");
    if !asked.is_empty() {
        let mut table = Table::new(&["piece", "why", "now"]);
        for it in asked {
            table.row([
                it.piece.clone(),
                it.why.join("\n"),
                if it.withdrawn {
                    "out of service"
                } else {
                    "in service"
                }
                .to_owned(),
            ]);
        }
        report.table(table);
    }
    if !clean.is_empty() {
        let names: Vec<&str> = clean.iter().map(|it| it.piece.as_str()).collect();
        report.line(format!(
            "Same component and nothing on record against it: {}",
            names.join(", ")
        ));
    }
}

/// The verdicts as one table, for CSV.
pub fn trace_table(answer: &TraceAnswer) -> Report {
    let mut table = Table::new(&[
        "event",
        "piece",
        "item",
        "coverage",
        "concluded",
        "record",
        "because",
        "as claimed",
        "flags",
        "last good",
        "cycles at least",
    ]);
    for row in &answer.rows {
        let verdict = &row.verdict;
        let good = verdict.last_good.as_ref();
        let flags: Vec<&str> = verdict.flags.iter().map(|it| it.flag.word()).collect();
        let concluded = if verdict.covered.is_concluded() {
            "yes"
        } else {
            "no"
        };
        let claimed = verdict.as_claimed.as_ref();
        table.row([
            answer.event.clone(),
            row.piece.clone(),
            row.item.clone(),
            verdict.covered.coverage.word().to_owned(),
            concluded.to_owned(),
            verdict.record.word.to_string(),
            verdict.record.because.clone(),
            claimed.map(|it| it.word.to_string()).unwrap_or_default(),
            flags.join("; "),
            good.map(|it| it.on.to_string()).unwrap_or_default(),
            good.map(|it| it.cycles_at_least.to_string())
                .unwrap_or_default(),
        ]);
    }
    let mut report = Report::new("");
    report.table(table);
    report
}
