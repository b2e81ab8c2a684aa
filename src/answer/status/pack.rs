//! The papers of a job: what must be at a field station or temporary jobsite, in the order of
//! 10 CFR 34.89(b), with what the ledger does not hold named.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::sought::{NoSuchName, Sought};
use crate::answer::entry::sheet_start::survey_words;
use crate::answer::equipment::item::{CheckLine, check_lines};
use crate::calendar::{Day, Span};
use crate::record::{
    CheckType, LineResult, RecordId, Ref, Sheet, SourceCheckType, StartPart, Words,
};
use crate::rule::{AT_SITE, AtSite, RuleText};

/// One paper.
#[derive(Debug, Clone, Serialize)]
pub struct PackPart {
    /// Its name in files.
    pub key: String,
    /// What it is.
    pub what: String,
    /// Whether the ledger holds it.
    pub held: bool,
    /// The headings of its rows.
    pub headings: Vec<&'static str>,
    /// Its rows, all of them.
    pub rows: Vec<Vec<String>>,
}

/// The papers of a job.
#[derive(Debug, Clone, Serialize)]
pub struct PackAnswer {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// The job.
    pub job: String,
    /// Where it is.
    pub place: String,
    /// Whose rules hold there.
    pub jurisdiction: String,
    /// Temporary or fixed.
    pub setting: String,
    /// Who holds the license.
    pub licensee: String,
    /// The license.
    pub license: String,
    /// The day.
    pub on: Day,
    /// The days that were asked for; nothing where the papers are of the whole job.
    pub asked: Option<Span>,
    /// The first and the last day of the job's sheets in the papers.
    pub days: Option<Span>,
    /// How many sheets the job has up to the day, and how many of them are in the papers.
    pub sheets: (usize, usize),
    /// How many entries the ledger has, and the hash of the last of them.
    pub head: String,
    /// The papers, in the order of the rule.
    pub parts: Vec<PackPart>,
    /// The rule.
    pub rule: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// The papers of a job on a day: of the whole job, or of some of its days.
///
/// # Errors
/// A job that the ledger does not know.
pub fn pack(
    house: &OpenHouse<'_>,
    job: &str,
    asked: Option<Span>,
    on: Day,
) -> Result<PackAnswer, AnswerError> {
    let record = house.names.job(job)?;
    let body = house
        .names
        .job_body(record.number())
        .ok_or_else(|| NoSuchName {
            what: Sought::Job,
            name: job.to_owned(),
            near: Vec::new(),
        })?;
    let mut sheets = Vec::new();
    for entry in house
        .snapshot
        .sheets_of_job(record.number(), Day::MIN, on)?
    {
        sheets.extend(house.snapshot.sheet_at(entry)?.map(|sheet| (entry, sheet)));
    }
    let all = sheets.len();
    sheets.retain(|(_, it)| asked.is_none_or(|asked| asked.contains(it.day)));
    let days = sheets.first().zip(sheets.last());
    let days = days.map(|((_, first), (_, last))| Span {
        first: first.day,
        last: last.day,
    });
    // What was found before the job began is no paper of it, unless it is still open.
    let found = Span {
        first: asked.or(days).map_or(on, |it| it.first),
        last: asked.map_or(on, |it| it.last.min(on)),
    };
    let rule_set = house.rule_set_on(on)?;
    let (count, hash) = house.snapshot.head()?;
    let items = Items::of(&sheets);
    // Which papers a crew has with it hangs on the job.
    let there = house.rule_set_at(Some(body), on)?;
    let papers = there.rule("job-site-papers");
    let problems = problems(house, &items, found)?;
    let charter = &house.names.charter;
    Ok(PackAnswer {
        ledger: charter.ledger_id.clone(),
        job: body.id.clone(),
        place: body.place.clone(),
        jurisdiction: body.jurisdiction.clone(),
        setting: body.setting.word().to_owned(),
        licensee: charter.licensee.clone(),
        license: charter.licence.clone(),
        on,
        asked,
        days,
        sheets: (all, sheets.len()),
        head: crate::ledger::head_text(count, &hash),
        parts: parts(house, &sheets, &items, problems, on, papers),
        rule: match papers {
            Some(rule) => rule.cited(),
            None => "your authority says what must be there".to_owned(),
        },
        confirm: rule_set.confirm.clone(),
    })
}

/// The papers in the order of the rule.
fn parts(
    house: &House,
    sheets: &[(i64, Sheet)],
    items: &Items,
    problems: Rows,
    on: Day,
    papers: Option<&RuleText>,
) -> Vec<PackPart> {
    let mut problems = Some(problems);
    let part = |at_site: &AtSite| {
        let (headings, rows) = match at_site.key {
            "utilization" => utilization(house, sheets),
            "problems" => problems.take().unwrap_or_default(),
            "alarms" => alarms(house, sheets),
            "readings" => readings(house, sheets),
            "meters" => latest(house, &items.meters, on),
            "instruments" => latest(house, &items.instruments, on),
            "surveys" => surveys(house, sheets),
            "shipping" => shipping(house, sheets, items),
            _ => Rows::default(),
        };
        PackPart {
            key: at_site.key.to_owned(),
            what: match (at_site.key, papers) {
                ("shipping", _) if !rows.is_empty() => {
                    "shipping papers by number: bring the papers themselves".to_owned()
                }
                ("parts", Some(rule)) => rule.meaning.clone(),
                _ => at_site.what.to_owned(),
            },
            // The numbers of papers are here only where somebody wrote them down.
            held: at_site.held || !rows.is_empty(),
            headings,
            rows,
        }
    };
    AT_SITE.iter().map(part).collect()
}

/// Everything that the sheets of a job used.
#[derive(Default)]
struct Items {
    equipment: BTreeSet<RecordId>,
    meters: BTreeSet<RecordId>,
    instruments: BTreeSet<RecordId>,
}

impl Items {
    fn of(sheets: &[(i64, Sheet)]) -> Items {
        let mut items = Items::default();
        for (_, sheet) in sheets {
            let used = sheet.equipment();
            let used = used.iter().filter_map(|(_, it)| it.number());
            items.equipment.extend(used);
            items
                .meters
                .extend(sheet.meter.iter().filter_map(Ref::number));
            for person in &sheet.people {
                let worn = person.readings.iter().map(|it| it.dosimeter.number());
                let ratemeter = person.ratemeter.as_ref().map(Ref::number);
                items.instruments.extend(worn.chain(ratemeter).flatten());
            }
        }
        items
    }
}

type Rows = (Vec<&'static str>, Vec<Vec<String>>);

fn words<T>(house: &House, it: Option<&Ref<T>>) -> String {
    it.map_or_else(|| "-".to_owned(), |it| house.names.words(it))
}

fn utilization(house: &House, sheets: &[(i64, Sheet)]) -> Rows {
    let rows = sheets.iter().map(|(entry, it)| {
        let serial = it.device.as_ref().and_then(Ref::known);
        let serial = serial.and_then(|it| house.names.equipment_body(it.number()));
        vec![
            it.day.to_string(),
            words(house, it.device.as_ref()),
            serial.map_or_else(String::new, |it| it.serial.clone()),
            words(house, it.source.as_ref()),
            it.device_out.clone().unwrap_or_else(|| "-".to_owned()),
            match (it.device_back.clone(), it.locked) {
                (Some(back), Some(true)) => format!("{back}, locked"),
                (Some(back), Some(false)) => format!("{back}, NOT LOCKED"),
                (back, _) => back.unwrap_or_else(|| "-".to_owned()),
            },
            words(house, it.signed_by.as_ref().or(it.attested_by.as_ref())),
            entry.to_string(),
        ]
    });
    (
        vec![
            "day", "device", "serial", "source", "out", "back", "signed", "entry",
        ],
        rows.collect(),
    )
}

fn problems(house: &OpenHouse<'_>, items: &Items, days: Span) -> Result<Rows, AnswerError> {
    let mut rows = Vec::new();
    let all = items.equipment.iter().chain(&items.meters);
    for item in all {
        let mut open = BTreeSet::new();
        for defect in house.maintenance.defects_of(*item) {
            if defect.cleared_on.is_none_or(|it| it > days.last) {
                open.insert((defect.line.of.entry, &defect.line.line));
            }
        }
        for line in house.snapshot.lines_of(*item, Day::MIN, days.last)? {
            let in_days = days.first <= line.of.on;
            if line.result != LineResult::Defect
                || !in_days && !open.contains(&(line.of.entry, &line.line))
            {
                continue;
            }
            let by = match line.of.worker {
                Some(worker) => house.names.label(worker),
                None => line.of.inspected.clone().unwrap_or_default(),
            };
            rows.push(vec![
                line.of.on.to_string(),
                house.names.label(*item),
                line.line,
                line.note.unwrap_or_default(),
                line.action.unwrap_or_default(),
                by,
                line.of.entry.to_string(),
            ]);
        }
    }
    rows.sort();
    let headings = vec!["day", "what", "item", "problem", "done", "by", "entry"];
    Ok((headings, rows))
}

fn alarms(house: &House, sheets: &[(i64, Sheet)]) -> Rows {
    let rows = sheets.iter().flat_map(|(entry, sheet)| {
        let with = sheet.people.iter().filter(|it| it.ratemeter.is_some());
        with.map(move |it| {
            vec![
                sheet.day.to_string(),
                house.names.words(&it.worker),
                words(house, it.ratemeter.as_ref()),
                match it.alarm_tested {
                    Some(true) if it.late.contains(&StartPart::Alarm) => "sounded (recorded late)",
                    Some(true) => "sounded",
                    Some(false) => "NOT TESTED",
                    None => "not said",
                }
                .to_owned(),
                entry.to_string(),
            ]
        })
    });
    let headings = vec!["day", "person", "ratemeter", "alarm", "entry"];
    (headings, rows.collect())
}

fn readings(house: &House, sheets: &[(i64, Sheet)]) -> Rows {
    let rows = sheets.iter().flat_map(|(entry, sheet)| {
        let people = sheet.people.iter().zip(1..);
        people.flat_map(move |(person, place)| {
            person.readings.iter().zip(1..).map(move |(it, nth)| {
                let shown = |it: Option<crate::quantity::Indication>| {
                    it.map_or_else(|| "-".to_owned(), |it| it.to_string())
                };
                vec![
                    sheet.day.to_string(),
                    house.names.words(&person.worker),
                    house.names.words(&it.dosimeter),
                    match person.late.contains(&StartPart::Reading) {
                        true => format!("{} (recorded late)", shown(it.start)),
                        false => shown(it.start),
                    },
                    match (sheet.is_off_scale(place, nth, it), it.end) {
                        (true, None) => "OFF-SCALE".to_owned(),
                        (true, Some(end)) => format!("OFF-SCALE at {end}"),
                        (false, end) => shown(end),
                    },
                    entry.to_string(),
                ]
            })
        })
    });
    (
        vec!["day", "person", "dosimeter", "start", "end", "entry"],
        rows.collect(),
    )
}

/// The shipping papers on record of the job's sources, of the days of its sheets.
fn shipping(house: &House, sheets: &[(i64, Sheet)], items: &Items) -> Rows {
    let days = sheets.first().zip(sheets.last());
    let of_job = |day: Day| days.is_some_and(|(it, last)| it.1.day <= day && day <= last.1.day);
    let all = house.maintenance.source_checks().iter();
    let papers = all.filter(|it| it.body.kind == SourceCheckType::ShippingPaper);
    let mut rows = Vec::new();
    for it in papers.filter(|it| of_job(it.body.on)) {
        let sources = it.body.sources.iter().map(|it| it.number());
        let used: Vec<String> = sources
            .filter(|it| items.equipment.contains(it))
            .map(|it| house.names.label(it))
            .collect();
        if !used.is_empty() {
            rows.push(vec![
                it.body.on.to_string(),
                it.body.reference.clone().unwrap_or_default(),
                used.join(" "),
                it.entry.to_string(),
            ]);
        }
    }
    (vec!["day", "paper", "sources", "entry"], rows)
}

fn surveys(house: &House, sheets: &[(i64, Sheet)]) -> Rows {
    let rows = sheets.iter().filter_map(|(entry, it)| {
        let at = |it: &Option<String>| it.clone().unwrap_or_else(|| "-".to_owned());
        let before_storage = survey_words(house, it);
        (it.boundary.is_some() || before_storage.is_some()).then(|| {
            vec![
                it.day.to_string(),
                words(house, it.meter.as_ref()),
                at(&it.boundary),
                at(&before_storage),
                entry.to_string(),
            ]
        })
    });
    (
        vec!["day", "meter", "at the boundary", "before storage", "entry"],
        rows.collect(),
    )
}

/// The latest calibration or response check of each instrument.
fn latest(house: &House, items: &BTreeSet<RecordId>, on: Day) -> Rows {
    let rows = items.iter().map(|item| {
        let full = |it: &CheckLine| {
            it.kind == CheckType::Calibration.word() || it.kind == CheckType::Response.word()
        };
        let last = check_lines(house, *item, on).into_iter().find(full);
        let kind = house.names.type_word(*item).unwrap_or("unknown item");
        let id = house.names.label(*item);
        match last {
            Some(it) => vec![
                id,
                kind.to_owned(),
                it.on.to_string(),
                it.kind.clone(),
                if it.passed { "passed" } else { "FAILED" }.to_owned(),
                it.by.clone(),
                it.entry.to_string(),
            ],
            None => vec![
                id,
                kind.to_owned(),
                "NONE ON RECORD".to_owned(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
            ],
        }
    });
    (
        vec!["what", "kind", "day", "check", "result", "by", "entry"],
        rows.collect(),
    )
}
