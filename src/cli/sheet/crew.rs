//! The job, the equipment and the crew of a sheet: as last time, or a line each, by the numbers of
//! a short list or by ids.

use super::ask::{Asking, Question, Read};
use super::draft::About;
use super::list::{LISTED, Numbers, against, against_last, more_by_id, type_words};
use super::people::crew;
use super::row::cell;
use crate::answer::{LastEquipment, LastTime, Member, Names, Offered, OfferedType, SheetOffer};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::record::{EquipmentType, Words, Work};
use crate::show::Report;
use crate::text::Language;

/// What stands on a sheet however the shift goes: ids, each under its column.
#[derive(Debug, Clone, Default)]
pub(crate) struct Standing {
    pub job: String,
    pub work: String,
    pub device: String,
    pub source: String,
    pub control_unit: String,
    pub guide_tubes: Vec<String>,
    pub meter: String,
    pub crew: Vec<Member>,
}

impl Standing {
    /// The cells of the sheet.
    pub fn cells(&self) -> [(&'static str, String); 7] {
        [
            ("job", self.job.clone()),
            ("work", self.work.clone()),
            ("device", self.device.clone()),
            ("source", self.source.clone()),
            ("control_unit", self.control_unit.clone()),
            ("guide_tubes", self.guide_tubes.join(" ")),
            ("meter", self.meter.clone()),
        ]
    }
}

/// The job, the equipment and the crew.
pub(crate) fn standing(
    asking: &mut Asking<'_, '_>,
    (offer, heading): (&SheetOffer, &str),
) -> Result<Standing, Failure> {
    if let Some(last) = offer.last.as_ref().filter(|it| !it.job.is_empty()) {
        let stops = last_time(asking, last, heading)?;
        // What must not go out again is not taken by pressing Enter.
        let usual = stops.is_empty().then_some(true);
        if asking.yes("same", "the same job, equipment and crew", usual)? {
            let standing = as_last_time(last);
            if left_out(asking, &standing)? {
                return Ok(standing);
            }
        }
    }
    let last = offer.last.as_ref();
    let mut standing = Standing {
        job: job(asking, offer)?,
        work: asking
            .word("work", "kind of work", last.map(|it| it.work))?
            .word()
            .to_owned(),
        ..Standing::default()
    };
    let bare = standing.clone();
    loop {
        equipment(asking, offer, &mut standing)?;
        if left_out(asking, &standing)? {
            break;
        }
        standing = bare.clone();
    }
    standing.crew = crew(asking, offer)?;
    Ok(standing)
}

/// Holds a draft that was taken up to the shift, device and crew that it was typed for.
pub(crate) fn of_this_shift(
    asking: &mut Asking<'_, '_>,
    head: &[String],
    standing: &Standing,
) -> Result<(), Failure> {
    let about = About {
        day: cell(head, "day"),
        shift: cell(head, "shift"),
        job: standing.job.clone(),
        device: standing.device.clone(),
        crew: standing.crew.iter().map(as_kept).collect(),
    };
    if asking.draft.belongs(about) {
        return Ok(());
    }
    asking.say(
        "the draft was typed for another shift, device or crew: what was read, checked and \
         surveyed then is not filled in here and is asked again",
    )
}

/// Whether radiography without a source or without a survey meter on its sheet is meant: what hangs
/// on them is not asked then.
fn left_out(asking: &mut Asking<'_, '_>, standing: &Standing) -> Result<bool, Failure> {
    let all_equipment = [("source", &standing.source), ("meter", &standing.meter)];
    let asks = standing.work == Work::Radiography.word();
    for (what, _) in all_equipment.iter().filter(|it| asks && it.1.is_empty()) {
        let key = format!("left_out.{what}");
        if !asking.yes(&key, &format!("no {what}: leave it out"), None)? {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Says what was so last time, and what stands against that crew now.
fn last_time(
    asking: &mut Asking<'_, '_>,
    last: &LastTime,
    heading: &str,
) -> Result<Vec<String>, Failure> {
    let language = asking.language();
    let mut report = Report::new(language.say(heading));
    let work = language.say(last.work.word());
    report.under(language.fill("{} at {}", &[&work, &last.job]));
    if !last.equipment.is_empty() {
        let all = last.equipment.iter().map(|it| it.id.as_str());
        let all = all.collect::<Vec<_>>().join(" ");
        report.under(language.fill("equipment: {}", &[&all]));
    }
    for member in &last.crew {
        report.under(in_words(language, member));
    }
    let ids: Vec<&str> = last.crew.iter().map(|it| it.worker.as_str()).collect();
    let mut stops = against(asking.session, &ids)?;
    stops.extend(against_last(asking.session, last)?);
    for stop in &stops {
        report.line(language.fill("NOT AS IT STANDS: {}", &[stop]));
    }
    asking.session.output.talk_report(&report)?;
    Ok(stops)
}

pub(crate) fn as_last_time(last: &LastTime) -> Standing {
    let mut standing = Standing {
        job: last.job.clone(),
        work: last.work.word().to_owned(),
        crew: last.crew.clone(),
        ..Standing::default()
    };
    for it in &last.equipment {
        put_as_it_stands(&mut standing, it.column, &it.id);
    }
    standing
}

/// One of the crew as a line: `W07 as radiographer, dosimeter PD-07, ratemeter RM-07`.
fn in_words(language: Language, member: &Member) -> String {
    let role = language.say(member.role.map_or("", Words::word));
    let or_none = |ids: String| match ids.is_empty() {
        true => language.say("none"),
        false => ids,
    };
    let dosimeters = or_none(
        member
            .dosimeters
            .join(&format!(" {} ", language.say("and"))),
    );
    let ratemeter = or_none(member.ratemeter.clone());
    language.fill(
        "{} as {}, dosimeter {}, ratemeter {}",
        &[&member.worker, &role, &dosimeters, &ratemeter],
    )
}

/// The same as a draft keeps it, in whichever language it was typed.
fn as_kept(member: &Member) -> String {
    in_words(Language::English, member)
}

fn job(asking: &mut Asking<'_, '_>, offer: &SheetOffer) -> Result<String, Failure> {
    let mut report = Report::new("");
    let mut listed = Vec::new();
    for (number, (id, place)) in (1..).zip(offer.jobs.iter().take(LISTED)) {
        listed.push((number.to_string(), id.clone()));
        report.under(format!("{number} {id}, {place}"));
    }
    if let Some(words) = more_by_id(offer.jobs.len(), LISTED) {
        report.under(asking.language().say(&words));
    }
    asking.session.output.talk_report(&report)?;
    let question = Question {
        key: "job",
        label: "job, by number or id",
        proposal: offer.last.as_ref().map_or("", |it| it.job.as_str()),
    };
    asking.ask(&question, |session, typed| {
        let numbered = listed.iter().find(|it| it.0 == typed);
        let (known, near) = session.ask(None, |house| {
            let job = house.names.find_job(typed);
            let known = job.map(|it| house.names.label(it.number()));
            Ok((known, house.names.near_jobs(typed)))
        })?;
        if let Some(id) = known.or_else(|| numbered.map(|it| it.1.clone())) {
            return Ok(Ok(id));
        }
        Ok(as_it_stands(typed, "job").ok_or_else(|| not_on_record(typed, "job", &near)))
    })
}

/// What somebody means as it stands although nobody has registered it: `job=J-99`.
fn as_it_stands(typed: &str, field: &str) -> Option<String> {
    let (name, value) = typed.split_once('=')?;
    let value = value.trim();
    (name.trim() == field && !value.is_empty()).then(|| value.to_owned())
}

fn not_on_record(typed: &str, field: &str, near: &[String]) -> String {
    if typed.is_empty() {
        return format!("a {field} is needed");
    }
    let near = match near {
        [] => ".".to_owned(),
        near => format!("; did you mean {}?", near.join(" or ")),
    };
    format!("no {field} `{typed}` is on record{near} To write it anyway: {field}={typed}")
}

fn equipment(
    asking: &mut Asking<'_, '_>,
    offer: &SheetOffer,
    standing: &mut Standing,
) -> Result<(), Failure> {
    let mut numbers = Numbers::new();
    let mut report = Report::new("");
    let mut kinds: Vec<(OfferedType, Vec<String>)> = Vec::new();
    asking.session.ask(None, |house| {
        for of_type in offer.equipment.chunk_by(|a, b| a.kind == b.kind) {
            // Five kinds share a screen.
            let listed = of_type.iter().take(LISTED / 3);
            let listed = listed.map(|it| format!("{}:{}", numbers.give(house, it.clone()), it.id));
            let more = more_by_id(of_type.len(), LISTED / 3);
            let words = listed.chain(more).collect();
            kinds.extend(of_type.first().map(|it| (it.kind, words)));
        }
        Ok(())
    })?;
    for (kind, of_type) in kinds {
        let language = asking.language();
        let of_type: Vec<String> = of_type.iter().map(|it| language.say(it)).collect();
        let words = language.say(type_words(kind));
        report.under(format!("{words}: {}", of_type.join("  ")));
    }
    asking.session.output.talk_report(&report)?;
    // What must not go out again is not taken by pressing Enter.
    let mut usual = offer.last.as_ref();
    if let Some(it) = usual
        && !against_last(asking.session, it)?.is_empty()
    {
        usual = None;
    }
    let last = usual.map(|it| {
        let typed = |it: &LastEquipment| match it.known {
            true => it.id.clone(),
            false => format!("{}={}", it.column, it.id),
        };
        let all: Vec<String> = it.equipment.iter().map(typed).collect();
        all.join(" ")
    });
    let question = Question {
        key: "equipment",
        label: "equipment and survey meter, by numbers or ids in one line",
        proposal: last.as_deref().unwrap_or_default(),
    };
    let bare = standing.clone();
    *standing = asking.ask(&question, |session, typed| {
        all_equipment_of(session, typed, (&numbers, &bare))
    })?;
    Ok(())
}

/// Reads the items of one line.
fn all_equipment_of(
    session: &mut Session<'_>,
    typed: &str,
    (numbers, bare): (&Numbers, &Standing),
) -> Result<Read<Standing>, Failure> {
    let mut read = bare.clone();
    let mut unknown = Vec::new();
    for word in typed.split_whitespace() {
        if let Some((field, id)) = word.split_once('=') {
            if !put_as_it_stands(&mut read, field, id) {
                return Ok(Err(format!(
                    "`{word}`: device=ID, source=ID, control_unit=ID, guide_tubes=ID or meter=ID"
                )));
            }
            continue;
        }
        match numbers.find(session, word, near_equipment)? {
            Ok(it) if put_equipment(&mut read, &it) => {}
            Ok(it) => {
                let of = type_words(it.kind);
                return Ok(Err(format!(
                    "{} ({of}): a sheet has one device, source, control unit and survey \
                         meter, and guide tubes",
                    it.id
                )));
            }
            // Each that is wrong, so that the line is typed once more and not once for each.
            Err(wrong) => unknown.push((word, session.output.said(&wrong))),
        }
    }
    Ok(match unknown.last() {
        None => Ok(read),
        Some((word, _)) => {
            let all: Vec<&str> = unknown.iter().map(|it| it.1.as_str()).collect();
            let all = all.join("; ");
            Err(format!(
                "{all} To write it anyway: device={word}, meter={word} ..."
            ))
        }
    })
}

fn near_equipment(names: &Names, word: &str) -> Vec<String> {
    let mut near = names.near_equipment(word);
    near.extend(names.near_instruments(word));
    near
}

/// Puts an item under its column; `false` where the column has one or there is none for it.
fn put_equipment(standing: &mut Standing, it: &Offered) -> bool {
    let field = match it.kind {
        OfferedType::Equipment(EquipmentType::Device) => "device",
        OfferedType::Equipment(EquipmentType::Source) => "source",
        OfferedType::Equipment(EquipmentType::Control) => "control_unit",
        OfferedType::Equipment(EquipmentType::GuideTube) => "guide_tubes",
        OfferedType::Meter => "meter",
        _ => return false,
    };
    put_as_it_stands(standing, field, &it.id)
}

fn put_as_it_stands(standing: &mut Standing, field: &str, id: &str) -> bool {
    let one = match field {
        "device" => &mut standing.device,
        "source" => &mut standing.source,
        "control_unit" => &mut standing.control_unit,
        "meter" => &mut standing.meter,
        "guide_tubes" => {
            standing.guide_tubes.push(id.to_owned());
            return true;
        }
        _ => return false,
    };
    let free = one.is_empty();
    id.clone_into(one);
    free && !id.is_empty()
}
