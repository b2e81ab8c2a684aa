//! A dose from positions, and the plan of a retrieval.

use crate::answer::{BesideView, EstimateView, PlanAnswer, ReconstructAnswer, StrengthView};
use crate::show::report::{Report, Table};

/// A dose from positions at a source.
pub fn reconstruct_report(answer: &ReconstructAnswer, why: bool) -> Report {
    let mut report = Report::new(format!(
        "Dose from time, distance and shielding at {}: an estimate",
        answer.strength.at
    ));
    report.gap();
    source_lines(&mut report, &answer.strength);
    report.gap();
    let mut table = Table::new(&[
        "what", "part", "distance", "time", "shield", ">low", ">central", ">high",
    ]);
    for line in &answer.positions {
        let from = line.from.as_ref().map(|it| format!("\nfrom {it}"));
        table.row([
            line.what.clone(),
            line.part.clone(),
            line.distance.clone(),
            format!("{}{}", line.time, from.unwrap_or_default()),
            line.shield.clone(),
            line.dose.low.shown.clone(),
            line.dose.central.shown.clone(),
            line.dose.high.shown.clone(),
        ]);
    }
    let totals = [
        ("all, whole body", &answer.whole_body),
        ("all, head (the whole body's too)", &answer.head),
        ("all, hand (the whole body's too)", &answer.hand),
        ("all, foot (the whole body's too)", &answer.foot),
    ];
    for (what, it) in totals {
        if let Some(it) = it {
            total_row(&mut table, what, it);
        }
    }
    report.table(table.in_unit(&answer.unit));
    report.gap();
    if why {
        report.line(format!("How: {}.", answer.formula));
        used_constant(&mut report, &answer.strength);
        with_constants(&mut report, answer);
        layer_lines(&mut report, &answer.layers);
    } else {
        constant_in_short(&mut report, &answer.strength);
    }
    notes(&mut report, &answer.strength, &answer.notes);
    if let Some(beside) = &answer.beside {
        beside_lines(&mut report, beside);
    }
    report.gap();
    report.line(
        "Nothing was written. To make a determination of it (RELATION: adds, replaces or \
                 until result; the high figure stands here with the range of every constant in \
                 use, the RSO chooses):",
    );
    for command in &answer.determination {
        report.under(command.clone());
    }
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

fn total_row(table: &mut Table, what: &str, it: &EstimateView) {
    table.row([
        what.to_owned(),
        String::new(),
        String::new(),
        String::new(),
        String::new(),
        it.low.shown.clone(),
        it.central.shown.clone(),
        it.high.shown.clone(),
    ]);
}

fn source_lines(report: &mut Report, it: &StrengthView) {
    let id = it.source.as_ref().map(|id| format!("{id}, "));
    report.line(format!(
        "Source: {}{} {}, {} from {}; half-life {}.",
        id.unwrap_or_default(),
        it.nuclide,
        it.activity,
        match it.before_reference {
            true => "computed BACKWARDS",
            false => "decayed",
        },
        it.stated,
        it.half_life
    ));
}

fn used_constant(report: &mut Report, it: &StrengthView) {
    let constant = &it.constant;
    report.line(format!(
        "Constant: {}, {}; {}; {}.",
        constant.figures, constant.quantity, constant.capsule, constant.source
    ));
}

/// The constant in one line; where it is from, and what others make of it, only when asked for.
fn constant_in_short(report: &mut Report, it: &StrengthView) {
    let constant = &it.constant;
    report.line(format!(
        "Constant: {}, {}; where it is from, other constants, layers: --why",
        constant.figures, constant.quantity
    ));
}

/// What each other constant in use makes of the same positions.
fn with_constants(report: &mut Report, answer: &ReconstructAnswer) {
    if answer.with_constants.is_empty() {
        return;
    }
    report.line(
        "Other constants in use, other quantities among them (--constant NAME), low to high:",
    );
    for it in &answer.with_constants {
        let parts: Vec<String> = it
            .parts
            .iter()
            .map(|(part, it)| format!("{part} {} to {}", it.low.shown, it.high.shown))
            .collect();
        report.under(format!(
            "with constant {}: {} ({})",
            it.key,
            parts.join("; "),
            it.constant
        ));
    }
}

fn layer_lines(report: &mut Report, layers: &[String]) {
    for layer in layers {
        report.line(format!("Half-value layer: {layer}."));
    }
}

fn constant_lines(report: &mut Report, it: &StrengthView, layers: &[String]) {
    let constant = &it.constant;
    used_constant(report, it);
    if !constant.others.is_empty() {
        report.line(
            "Other constants in use, other quantities among them (--constant NAME), and what the \
             high figure would be with each:",
        );
        for other in &constant.others {
            report.under(other.clone());
        }
    }
    layer_lines(report, layers);
}

fn notes(report: &mut Report, strength: &StrengthView, notes: &[String]) {
    for note in strength.notes.iter().chain(notes) {
        let stop = if note.ends_with('?') { "" } else { "." };
        report.line(format!("Mind: {note}{stop}"));
    }
}

fn beside_lines(report: &mut Report, it: &BesideView) {
    report.gap();
    report.line(format!("Beside it {} {}, {}:", it.worker, it.name, it.day));
    if it.lines.is_empty() {
        report.under("no reading of that day and no badge result is on record");
    }
    for line in &it.lines {
        let word = if line.differs { "DIFFERS: " } else { "" };
        report.under(format!(
            "{word}{}: {} (entry {}); {}",
            line.what, line.shows, line.entry, line.words
        ));
    }
    report.under(format!("compared with: {}", it.tolerance));
    report.under(
        "a pocket dosimeter shows exposure, which is lower than ambient dose: the least that it \
         may show is by the exposure constant",
    );
}

/// Before a retrieval.
pub fn plan_report(answer: &PlanAnswer, why: bool) -> Report {
    let mut report = Report::new(format!(
        "Rates around the bare source at {}: an estimate, high side",
        answer.strength.at
    ));
    report.line("For those who are trained and licensed for source recovery; measure first.");
    report.gap();
    source_lines(&mut report, &answer.strength);
    let behind = answer.shield.as_ref();
    if let Some(shield) = behind {
        report.line(format!("Shielding: {shield}."));
    }
    match &answer.budget {
        Some(it) => report.line(format!("Budget: {} for one person.", it.shown)),
        None => report.line("No budget: --budget DOSE gives the time to it."),
    }
    report.gap();
    distances(&mut report, answer);
    report.gap();
    boundaries(&mut report, answer);
    report.gap();
    people(&mut report, answer);
    report.gap();
    match why {
        true => constant_lines(&mut report, &answer.strength, &answer.layers),
        false => constant_in_short(&mut report, &answer.strength),
    }
    notes(&mut report, &answer.strength, &answer.notes);
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

fn distances(report: &mut Report, answer: &PlanAnswer) {
    let (shield, budget) = (answer.shield.is_some(), answer.budget.is_some());
    let mut headings = vec![">distance", ">rate, bare"];
    if budget {
        headings.push(">to budget");
    }
    if shield {
        headings.push(">rate, shielded");
        if budget {
            headings.push(">to budget, shielded");
        }
    }
    let mut table = Table::new(&headings);
    for line in &answer.distances {
        let [bare, shielded] = line.times();
        let mut row = vec![line.distance.clone(), line.bare.shown.clone()];
        row.extend(bare);
        if let Some(rate) = &line.shielded {
            row.push(rate.shown.clone());
            row.extend(shielded);
        }
        table.rows.push(row);
    }
    report.table(table.in_unit(&answer.rate_unit));
}

fn boundaries(report: &mut Report, answer: &PlanAnswer) {
    let mut headings = vec![">rate", ">at, bare"];
    if answer.shield.is_some() {
        headings.push(">at, shielded");
    }
    headings.push("what it means");
    let mut table = Table::new(&headings);
    for line in &answer.boundaries {
        let mut row = vec![line.rate.shown.clone(), line.bare.clone()];
        row.extend(line.shielded.clone());
        row.push(line.meaning.clone());
        table.rows.push(row);
    }
    report.table(table.in_unit(&answer.rate_unit));
}

fn people(report: &mut Report, answer: &PlanAnswer) {
    report.line("Whom the budget fits, whole body, conservative total, by what is on record:");
    let mut table = Table::new(&["", "id", "name", "why"]);
    for line in &answer.people {
        let word = match (line.may_work, line.fits) {
            (false, _) => "STOP",
            (true, Some(false)) => "NO",
            (true, Some(true)) => "fits",
            (true, None) => "may",
        };
        table.row([
            word.to_owned(),
            line.worker.clone(),
            line.name.clone(),
            line.why.clone(),
        ]);
    }
    report.table(table);
    report.line("What a person has left: wearbook work-status ID.");
    report.line("Who is trained and licensed for source recovery is not checked here.");
}
