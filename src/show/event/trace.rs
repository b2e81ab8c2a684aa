//! The trace of an event as text, as one printable page, and as a table.

use super::trace_chart::trace_chart_of;
use super::trace_items::item_by_item;
use crate::answer::{TraceAnswer, TracePerson, TraceRow, TraceStep};
use crate::calendar::Day;
use crate::record::{Coverage, Words};
use crate::show::chart::ChartError;
use crate::show::entry::evidence::evidence_part;
use crate::show::page::page;
use crate::show::report::{Report, Table};
use crate::trace::barrier::BarrierLine;
use crate::trace::coverage::Covered;
use crate::trace::finding::counted;
use crate::trace::record::RecordWord;
use crate::trace::verdict::FlagWord;
use crate::wear::foreseen::FORESEEABLE_ASSUMES;

const CYCLES: &str = "Cycles are exposures on sheets, at least so many: source exchanges and dry \
cranks may be missing. Where a part was heading is an estimate.";

/// One cause in one line.
fn step_words(step: &TraceStep) -> String {
    let kind = step.kind.map(|it| format!("{it}, ")).unwrap_or_default();
    let installed = match step.installed_on {
        Some(on) => format!("; installed {on}"),
        None if step.is_human => String::new(),
        None => "; fitting not on record".to_owned(),
    };
    let lot = step.lot.as_deref().map(|it| format!(", lot {it}"));
    format!(
        "{kind}{} ({}; entry {}{installed}{}{})",
        step.words,
        step.because,
        step.entry,
        lot.unwrap_or_default(),
        perhaps_installed(&step.perhaps_installed)
    )
}

/// The days of fittings of which nobody can tell whether they were before the event.
fn perhaps_installed(days: &[Day]) -> String {
    let told = |it: &Day| format!("; one installed {it}, order unknown");
    days.iter().map(told).collect()
}

/// What counts neither for nor against, and why.
fn order_unknown(report: &mut Report, answer: &TraceAnswer) {
    if let Some([first, last]) = &answer.between {
        let span = match (first, last) {
            (Some(first), Some(last)) => format!("from {first} to {last}"),
            (None, Some(last)) => format!("at the latest {last}, and nothing bounds it before"),
            (_, None) => "at any time".to_owned(),
        };
        report.line(format!(
            "TIME NOT KNOWN: it happened {span}. What was done in that time counts neither for nor \
             against; what it would change is shown."
        ));
    }
    let Some([first, last]) = answer.order_unknown else {
        return;
    };
    let why = match answer.between {
        Some(_) => "written when it may have happened, or by a clock that cannot be trusted",
        None => "a clock cannot be trusted (see `wearbook findings`)",
    };
    let entries = match first == last {
        true => format!("entry {first} was"),
        false => format!("entries {first} to {last} were"),
    };
    report.line(format!(
        "ORDER UNKNOWN: whether {entries} written before the event cannot be told: {why}. That \
         counts neither for nor against; what it would change is shown."
    ));
}

/// On what state of the ledger it rests, in one line.
fn known_words(answer: &TraceAnswer) -> String {
    let list = match &answer.list {
        Some(list) => format!("the list in force was `{list}`"),
        None => "no checklist was in force that asks for anything".to_owned(),
    };
    match answer.known_at {
        0 => format!("Nothing was surely written in this ledger before the event; {list}."),
        entry => format!(
            "Judged by what was written before the event, up to entry {entry}; {list}. What was \
             written later is marked, and what it would change is shown."
        ),
    }
}

/// The two words of an item; a star where the RSO has not concluded the first.
fn coverage_word(row: &TraceRow) -> String {
    starred(&row.verdict.covered)
}

fn starred(covered: &Covered) -> String {
    let star = if covered.is_concluded() { "" } else { " *" };
    format!("{}{star}", covered.coverage.word())
}

/// What the star means at a barrier.
const STAR_BARRIER: &str = "*: by what people did, not yet concluded by the RSO: wearbook trace \
conclude EVENT BARRIER.";

/// Where the coverage of what stands beside the list comes from.
const BESIDE: &str = "Beside the list: whether it could follows from what such a check is for; the \
RSO decides.";

/// What the star means.
const STAR: &str = "*: by the checklist's data, not yet concluded by the RSO: wearbook \
trace conclude.";

/// The trace as one self-contained page with its picture; it tells of every item.
///
/// # Errors
/// [`ChartError`] if the picture cannot be drawn.
pub fn trace_page(answer: &TraceAnswer, scripted: bool) -> Result<String, ChartError> {
    let picture = trace_chart_of(answer, scripted)?;
    let mut report = with_picture(answer, picture, true);
    if scripted {
        report.caution("The clock of this ledger is scripted: a demonstration, not records.");
    }
    Ok(page(&report))
}

/// The trace: the finding, one table, and the items that could have shown it; with `all` every
/// item, every inspection that had to be there and what the verdicts rest on.
pub fn trace_report(answer: &TraceAnswer, all: bool) -> Report {
    with_picture(answer, None, all)
}

fn with_picture(answer: &TraceAnswer, picture: Option<String>, all: bool) -> Report {
    let mut report = Report::new(format!(
        "Trace of {}: {}, {}",
        answer.event, answer.kind, answer.occurred
    ));
    for it in &answer.testimonies {
        let against = it.disputes.map(|it| format!(" against inspection {it}"));
        let item = it.item.as_deref().map(|it| format!(", {it}"));
        report.line(format!(
            "TESTIMONY{}{}: {} ({}, entry {})",
            against.unwrap_or_default(),
            item.unwrap_or_default(),
            it.words,
            it.at,
            it.entry
        ));
    }
    for it in &answer.finding {
        report.line(it.clone());
    }
    order_unknown(&mut report, answer);
    report.line(answer.judges);
    if let Some(svg) = picture {
        report.picture(svg);
    }
    verdicts(&mut report, answer, all);
    item_by_item(&mut report, answer, all);
    barriers(&mut report, answer, all);
    evidence_part(&mut report, &answer.evidence);
    extent(&mut report, answer);
    if !answer.suggestions.is_empty() {
        report.section("To think about; the RSO decides");
        for it in &answer.suggestions {
            report.under(format!("- {it}"));
        }
    }
    if all {
        report.section("On what this rests");
        report.line(format!("first words: {}", answer.words));
        for step in &answer.steps {
            report.line(format!("failed: {}", step_words(step)));
        }
        report.line(known_words(answer));
    }
    report.caution(CYCLES);
    if answer.rows.iter().any(|it| it.wear.is_some()) {
        report.caution(format!(
            "Foreseeable, by what was written before the event: {FORESEEABLE_ASSUMES}"
        ));
    }
    report.caution(answer.confirm.clone());
    report
}

/// Whether the table has a row without being asked for all: what could have shown it, what the
/// RSO concluded, what a defect or a person speaks of.
fn is_told(row: &TraceRow) -> bool {
    let verdict = &row.verdict;
    let can = matches!(
        verdict.covered.coverage,
        Coverage::CanDetect | Coverage::AroseAfter
    );
    let spoken = verdict
        .flags
        .iter()
        .any(|it| it.flag == FlagWord::Testimony);
    let known = verdict.record.word == RecordWord::KnownDefectUsed
        && verdict.covered.coverage != Coverage::CannotDetect;
    can || verdict.covered.is_concluded() || spoken || known
}

fn verdicts(report: &mut Report, answer: &TraceAnswer, all: bool) {
    let none = answer.steps.iter().any(|it| it.no_item.is_some());
    let told = !answer.rows.is_empty() || !answer.beside.is_empty() || answer.steps.len() > 1;
    if told || none || !answer.also_concluded.is_empty() {
        report.section("Could it detect it? What the record shows");
    }
    let steps = answer.steps.len().max(1);
    let (mut starred, mut rest) = (false, 0);
    for step in 1..=steps {
        let of_step: Vec<&TraceRow> = answer.rows.iter().filter(|it| it.step == step).collect();
        let told = of_step.iter().any(|it| is_told(it));
        let shown = |it: &&&TraceRow| {
            let open = it.verdict.covered.coverage == Coverage::NotEstablished;
            all || is_told(it) || !told && open
        };
        let rows: Vec<&TraceRow> = of_step.iter().filter(shown).copied().collect();
        rest += of_step.len() - rows.len();
        starred |= rows.iter().any(|it| !it.verdict.covered.is_concluded());
        if let Some(cause) = answer.steps.get(step - 1).filter(|_| steps > 1) {
            if step > 1 {
                report.gap();
            }
            report.line(format!("{step}. {}", step_words(cause)));
        }
        let none = answer
            .steps
            .get(step - 1)
            .and_then(|it| it.no_item.as_ref());
        if let Some(none) = none {
            report.line(format!("{}: nothing covers this", none.coverage.word()));
            report.under(none.said_by());
        }
        report.table(verdict_table(&rows));
    }
    beside(report, answer);
    for it in &answer.also_concluded {
        report.line(it.clone());
    }
    if starred {
        report.line(STAR);
    }
    let name = &answer.event;
    match rest {
        0 => {}
        1 => report.line(format!(
            "1 other item cannot detect it or is not established: wearbook trace show {name} --all"
        )),
        _ => report.line(format!(
            "{rest} other items cannot detect it or are not established: wearbook trace show \
             {name} --all"
        )),
    }
}

/// What stands beside the checklist and could have shown it.
fn beside(report: &mut Report, answer: &TraceAnswer) {
    let mut table = Table::new(&[
        "beside the list",
        "could it?",
        "what the record shows",
        "last before",
    ]);
    for it in &answer.beside {
        let mut record = vec![it.told.clone()];
        let other = it
            .as_if_before
            .map(|it| format!("if before: {}", it.word()));
        record.extend(other);
        let entry = it.entry.map(|it| format!(" (entry {it})"));
        let rule = it.rule.as_deref().unwrap_or("no rule of the rule set");
        table.row([
            format!("{} {}\n{rule}", it.equipment, it.check.word()),
            it.coverage.word().to_owned(),
            record.join("\n"),
            format!("{}{}", it.last, entry.unwrap_or_default()),
        ]);
    }
    let told = !table.rows.is_empty();
    if !table.rows.is_empty() && !answer.rows.is_empty() {
        report.gap();
    }
    report.table(table);
    if told {
        report.line(BESIDE);
    }
}

fn verdict_table(rows: &[&TraceRow]) -> Table {
    let mut table = Table::new(&[
        "item",
        "could it?",
        "what the record shows",
        "last inspection before",
    ]);
    for row in rows {
        let mut record = vec![row.verdict.record.word.word().to_owned()];
        let flags = row.verdict.flags.iter().map(|it| it.flag.word());
        record.extend(flags.map(|it| format!("! {it}")));
        record.dedup();
        let last = counted(&row.verdict).map(|inspection| {
            let value = inspection.value.as_deref().map(|it| format!(" {it}"));
            let found = inspection.found();
            format!(
                "{} {}\n{found}{}",
                inspection.moment.day,
                inspection.by,
                value.unwrap_or_default()
            )
        });
        table.row([
            format!("{}\n{}", row.equipment, row.item),
            coverage_word(row),
            record.join("\n"),
            last.unwrap_or_else(|| "none".to_owned()),
        ]);
    }
    table
}

fn barriers(report: &mut Report, answer: &TraceAnswer, all: bool) {
    report.section("Barriers and people");
    let human = answer.barriers.iter().any(|it| it.covered.is_some());
    let mut table = match human {
        true => Table::new(&["barrier", "could it?", "stood", "description", ">entry"]),
        false => Table::new(&["barrier", "stood", "description", ">entry"]),
    };
    let mut untold: Vec<&str> = Vec::new();
    for it in &answer.barriers {
        let Some(state) = it
            .state
            .or_else(|| (all || human).then_some("not recorded"))
        else {
            untold.push(it.barrier);
            continue;
        };
        let entry = it.entry.map(|it| it.to_string()).unwrap_or_default();
        let (barrier, what) = (it.barrier.to_owned(), it.what.clone());
        match human {
            true => {
                let covered = it.covered.as_ref();
                let could = covered.map(starred).unwrap_or_default();
                table.row([barrier, could, state.to_owned(), what, entry]);
            }
            false => table.row([barrier, state.to_owned(), what, entry]),
        }
    }
    report.table(table);
    if !untold.is_empty() {
        report.line(format!("Not recorded: {}; ask.", untold.join(", ")));
    }
    let open = |it: &BarrierLine| it.covered.as_ref().is_some_and(|it| !it.is_concluded());
    if answer.barriers.iter().any(open) && answer.rows.is_empty() {
        report.line(STAR_BARRIER);
    }
    if answer.people.is_empty() {
        return;
    }
    report.gap();
    let mut table = Table::new(&["person", "role", "dosimeter"]);
    for it in &answer.people {
        table.row([it.person.clone(), it.role.clone(), worn(it)]);
    }
    report.table(table);
    report.line(format!(
        "Their doses: wearbook report show {}, wearbook dose show ID --from {} --to {}",
        answer.event, answer.on, answer.until
    ));
}

/// Whether a dosimeter was worn, in words.
fn worn(it: &TracePerson) -> String {
    match (it.monitored, &it.estimate) {
        (Some(true), _) => "worn".to_owned(),
        (Some(false), Some(dose)) => format!("NONE: {dose}, estimated"),
        (Some(false), None) => "NONE: dose not known".to_owned(),
        (None, _) => "not said".to_owned(),
    }
}

fn extent(report: &mut Report, answer: &TraceAnswer) {
    let (asked, clean): (Vec<_>, Vec<_>) = answer.extent.iter().partition(|it| !it.why.is_empty());
    if answer.extent.is_empty() {
        return;
    }
    report.section("Other equipment, as known now");
    if !asked.is_empty() {
        let mut table = Table::new(&["equipment", "why", "now"]);
        for it in asked {
            table.row([
                it.equipment.clone(),
                it.why.join("\n"),
                if it.out_of_service {
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
        let names: Vec<&str> = clean.iter().map(|it| it.equipment.as_str()).collect();
        report.line(format!(
            "Same component and nothing on record against it: {}",
            names.join(", ")
        ));
    }
}
