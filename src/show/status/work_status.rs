//! Who may work.

use crate::answer::{DutyLine, WorkStatusAnswer, WorkStatusLine};
use crate::show::dose::account::share;
use crate::show::dose::nobody::nobodys_lines;
use crate::show::dose::private::gone_words;
use crate::show::report::{Report, Table};
use crate::show::review::finding::{Checked, by_check};

/// Who may work.
pub fn work_status_report(answer: &WorkStatusAnswer) -> Report {
    let stopped: Vec<_> = answer.lines.iter().filter(|it| !it.may_work).collect();
    let mut report = Report::new(format!(
        "Who may work on {}: {} may, {} may not",
        answer.on,
        answer.lines.len() - stopped.len(),
        stopped.len()
    ));
    for left_out in &answer.left_out {
        report.line(left_out.clone());
    }
    report.gap();
    report.table(people(answer).in_unit(&answer.unit));
    duties(&mut report, &answer.lines);
    let acting = answer.lines.iter().filter(|it| it.may_work);
    let reasons = stopped.into_iter().chain(acting).flat_map(|it| &it.reasons);
    let rows: Vec<Checked<'_>> = reasons
        .map(|it| Checked {
            ends: it.ends,
            ..Checked::new(&it.finding)
        })
        .collect();
    by_check(&mut report, &rows);
    for line in answer.lines.iter().filter(|it| !it.clocks.is_empty()) {
        report.gap();
        report.line(format!("{} {}, clocks that run:", line.worker, line.name));
        line.clocks.iter().for_each(|it| report.under(it.clone()));
    }
    let open: Vec<_> = answer
        .lines
        .iter()
        .filter(|it| !it.not_known.is_empty())
        .collect();
    if !open.is_empty() {
        report.gap();
        report.line("Not known, and to be checked before work:");
        for line in open {
            for words in &line.not_known {
                report.under(format!("{} {words}", line.worker));
            }
        }
    }
    for line in &answer.lines {
        for it in &line.gone {
            report.line(format!("{}: {}", line.worker, gone_words(it)));
        }
    }
    nobodys_lines(&mut report, &answer.nobodys);
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

/// The people, a row each; what is left of a level only where it is for one person.
fn people(answer: &WorkStatusAnswer) -> Table {
    let mut table = match answer.of_everybody {
        true => Table::new(&["", "id", "name"]),
        false => Table::new(&["", "id", "name", "nearest level", ">share", ">left of it"]),
    };
    for line in &answer.lines {
        let (level, share, left) = match &line.nearest {
            Some(it) => (it.words(), share(it), it.left_short.clone()),
            None => ("-".into(), "-".into(), "-".into()),
        };
        let mut row = vec![
            match (line.may_work, line.reasons.is_empty()) {
                (false, _) => "STOP",
                (true, false) => "may, ACT",
                (true, true) => "may",
            }
            .to_owned(),
            line.worker.clone(),
            line.name.clone(),
        ];
        if !answer.of_everybody {
            row.extend([level, share, left]);
        }
        table.rows.push(row);
    }
    table
}

/// One person's qualifications, each with its last day; of a crew the one of
/// each person that falls due first.
fn duties(report: &mut Report, lines: &[WorkStatusLine]) {
    let mut table = Table::new(&["id", "qualification", "valid through", "rule"]);
    let mut rows = 0_usize;
    for line in lines {
        let first = line
            .duties
            .iter()
            .min_by_key(|it| (it.in_force, it.until.is_none(), it.until));
        let shown: Vec<&DutyLine> = match lines {
            [_] => line.duties.iter().collect(),
            _ => first.into_iter().collect(),
        };
        for it in shown {
            rows += 1;
            table.row([
                line.worker.clone(),
                it.what.clone(),
                match (it.in_force, it.until) {
                    _ if !it.required => "not required".to_owned(),
                    (false, _) => {
                        let since = it.words.strip_prefix(&it.what).unwrap_or(&it.words);
                        format!("NO:{since}")
                    }
                    (true, None) => "no end stated".to_owned(),
                    (true, Some(until)) => until.to_string(),
                },
                it.citation.clone(),
            ]);
        }
    }
    if rows > 0 {
        report.gap();
        report.table(table);
    }
    let all = lines
        .iter()
        .flat_map(|line| line.duties.iter().map(move |it| (line, it)));
    for (line, it) in all.filter(|(_, it)| !it.required) {
        report.under(format!("{}: {} ({})", line.worker, it.words, it.citation));
    }
}
