//! The job, the equipment and the crew of a sheet: as last time, or a line each, by the numbers of
//! a short list or by ids.

use super::failure::Failure;
use super::run::Session;
use super::sheet_ask::{Asking, Question, Read};
use crate::answer::{
    House, LastPiece, LastTime, Member, Offered, OfferedSort, SheetOffer, against_crew, member_of,
    near_ids, offered,
};
use crate::record::{EquipmentSort, Role, Words};
use crate::show::Report;

/// What stands on a sheet however the shift goes: ids, each under its column.
#[derive(Debug, Clone, Default)]
pub(super) struct Standing {
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

/// The numbers of a list. One that is somebody's or something's id is left out, so that no number
/// means two things.
struct Numbers {
    listed: Vec<(usize, Offered)>,
    next: usize,
}

impl Numbers {
    fn new() -> Numbers {
        Numbers {
            listed: Vec::new(),
            next: 1,
        }
    }

    fn give(&mut self, house: &House, it: Offered) -> usize {
        let mut numbers = self.next..;
        let free = numbers.find(|it| offered(house, &it.to_string()).is_none());
        let number = free.unwrap_or(self.next);
        self.next = number + 1;
        self.listed.push((number, it));
        number
    }

    /// What a word on a line means: an id, else a number of the list.
    fn find(&self, session: &mut Session<'_>, word: &str) -> Result<Read<Offered>, Failure> {
        let (known, near) = session.ask(None, |_, house| {
            Ok((offered(house, word), near_ids(house, word)))
        })?;
        let number = word.parse::<usize>().ok();
        let listed = self.listed.iter().find(|it| Some(it.0) == number);
        let found = known.or_else(|| listed.map(|it| it.1.clone()));
        Ok(found.ok_or_else(|| match (number, near.as_slice()) {
            (Some(number), _) => format!("there is no {number} on the list, and no id `{word}`"),
            (None, []) => format!("nobody and nothing on record is `{word}`"),
            (None, near) => format!(
                "nobody and nothing on record is `{word}`; did you mean {}?",
                near.join(" or ")
            ),
        }))
    }
}

/// The job, the equipment and the crew.
pub(super) fn standing(
    asking: &mut Asking<'_, '_>,
    offer: &SheetOffer,
) -> Result<Standing, Failure> {
    if let Some(last) = &offer.last {
        let stops = last_time(asking, last)?;
        // What must not go out again is not taken by pressing Enter.
        let usual = stops.is_empty().then_some(true);
        if asking.yes("same", "the same job, equipment and crew", usual)? {
            return Ok(as_last_time(last));
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
    equipment(asking, offer, &mut standing)?;
    standing.crew = crew(asking, offer)?;
    Ok(standing)
}

/// Says what was so last time, and what stands against that crew now.
fn last_time(asking: &mut Asking<'_, '_>, last: &LastTime) -> Result<Vec<String>, Failure> {
    let mut report = Report::new("Last time:");
    report.under(format!("{} at {}", last.work.word(), last.job));
    if !last.equipment.is_empty() {
        let all = last.equipment.iter().map(|it| it.id.as_str());
        report.under(format!("equipment: {}", all.collect::<Vec<_>>().join(" ")));
    }
    for member in &last.crew {
        report.under(in_words(member));
    }
    let ids: Vec<&str> = last.crew.iter().map(|it| it.worker.as_str()).collect();
    let stops = against(asking.session, &ids)?;
    for stop in &stops {
        report.line(format!("NOT AS IT STANDS: {stop}"));
    }
    asking.session.output.talk_report(&report)?;
    Ok(stops)
}

/// What stands against people today.
fn against(session: &mut Session<'_>, crew: &[&str]) -> Result<Vec<String>, Failure> {
    let now = session.clock.now();
    session.ask(None, |snapshot, house| {
        against_crew(snapshot, house, crew, house.today(now), now)
    })
}

fn as_last_time(last: &LastTime) -> Standing {
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
pub(super) fn in_words(member: &Member) -> String {
    let role = member.role.map_or("", Words::word);
    let or_none = |ids: String| match ids.is_empty() {
        true => "none".to_owned(),
        false => ids,
    };
    format!(
        "{} as {role}, dosimeter {}, ratemeter {}",
        member.worker,
        or_none(member.dosimeters.join(" and ")),
        or_none(member.ratemeter.clone())
    )
}

fn job(asking: &mut Asking<'_, '_>, offer: &SheetOffer) -> Result<String, Failure> {
    let mut report = Report::new("");
    let mut listed = Vec::new();
    for (number, (id, place)) in (1..).zip(&offer.jobs) {
        listed.push((number.to_string(), id.clone()));
        report.under(format!("{number} {id}, {place}"));
    }
    asking.session.output.talk_report(&report)?;
    let question = Question {
        key: "job",
        label: "job, by number or id",
        proposal: offer.last.as_ref().map_or("", |it| it.job.as_str()),
    };
    asking.ask(&question, |session, typed| {
        let numbered = listed.iter().find(|it| it.0 == typed);
        let (known, near) = session.ask(None, |_, house| {
            let job = house.names.job(typed).ok();
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
        [] => String::new(),
        near => format!("; did you mean {}?", near.join(" or ")),
    };
    format!("no {field} `{typed}` is on record{near}; if it is so all the same: {field}={typed}")
}

fn equipment(
    asking: &mut Asking<'_, '_>,
    offer: &SheetOffer,
    standing: &mut Standing,
) -> Result<(), Failure> {
    let mut numbers = Numbers::new();
    let mut report = Report::new("");
    let mut sorts: Vec<(OfferedSort, Vec<String>)> = Vec::new();
    asking.session.ask(None, |_, house| {
        for it in &offer.equipment {
            let number = numbers.give(house, it.clone());
            let words = format!("{number}:{}", it.id);
            match sorts.last_mut().filter(|(sort, _)| *sort == it.sort) {
                Some((_, of_sort)) => of_sort.push(words),
                None => sorts.push((it.sort, vec![words])),
            }
        }
        Ok(())
    })?;
    for (sort, of_sort) in sorts {
        report.under(format!("{}: {}", sort_words(sort), of_sort.join("  ")));
    }
    asking.session.output.talk_report(&report)?;
    let last = offer.last.as_ref().map(|it| {
        let typed = |it: &LastPiece| match it.known {
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
        let mut read = bare.clone();
        for word in typed.split_whitespace() {
            if let Some((field, id)) = word.split_once('=') {
                if !put_as_it_stands(&mut read, field, id) {
                    return Ok(Err(format!(
                        "`{word}`: {} or meter=ID",
                        "device=ID, source=ID, control_unit=ID, guide_tubes=ID"
                    )));
                }
                continue;
            }
            match numbers.find(session, word)? {
                Ok(it) if put_equipment(&mut read, &it) => {}
                Ok(it) => {
                    let of = sort_words(it.sort);
                    return Ok(Err(format!(
                        "{} is a {of}: one device, source, control unit and survey meter a sheet, \
                         and guide tubes",
                        it.id
                    )));
                }
                Err(wrong) => {
                    return Ok(Err(format!(
                        "{wrong}; if it is so all the same: device={word}, meter={word} ..."
                    )));
                }
            }
        }
        Ok(Ok(read))
    })?;
    Ok(())
}

/// Puts a piece under its column; `false` where the column has one or there is none for it.
fn put_equipment(standing: &mut Standing, it: &Offered) -> bool {
    let field = match it.sort {
        OfferedSort::Equipment(EquipmentSort::Device) => "device",
        OfferedSort::Equipment(EquipmentSort::Source) => "source",
        OfferedSort::Equipment(EquipmentSort::Control) => "control_unit",
        OfferedSort::Equipment(EquipmentSort::GuideTube) => "guide_tubes",
        OfferedSort::Meter => "meter",
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

/// What a sort is called in a list.
fn sort_words(sort: OfferedSort) -> &'static str {
    match sort {
        OfferedSort::Worker => "worker",
        OfferedSort::Dosimeter => "dosimeter",
        OfferedSort::Ratemeter => "alarm ratemeter",
        OfferedSort::Meter => "survey meter",
        OfferedSort::Equipment(sort) => sort.word(),
    }
}

/// The crew, a line each.
fn crew(asking: &mut Asking<'_, '_>, offer: &SheetOffer) -> Result<Vec<Member>, Failure> {
    let numbers = list_of_people(asking, offer)?;
    let before = offer.last.as_ref().map(|it| it.crew.clone());
    let before = before.unwrap_or_default();
    let mut crew: Vec<Member> = Vec::new();
    loop {
        let number = crew.len() + 1;
        let key = format!("person.{number}");
        let ends = if crew.is_empty() { "" } else { "; - ends" };
        let label = format!("person {number}: who, dosimeter, ratemeter{ends}");
        let proposal = before.get(crew.len()).map(typed_as).unwrap_or_default();
        let question = Question {
            key: &key,
            label: &label,
            proposal: &proposal,
        };
        let member = asking.ask(&question, |session, typed| {
            if typed.is_empty() {
                let needed = "at least one person, such as `1`, or `W01 PD-01 RM-01`";
                return Ok(match crew.is_empty() {
                    true => Err(needed.to_owned()),
                    false => Ok(None),
                });
            }
            Ok(one_person(session, (offer, &numbers), &crew, typed)?.map(Some))
        })?;
        let Some(member) = member else {
            return Ok(crew);
        };
        for stop in against(asking.session, &[&member.worker])? {
            asking.say(&format!("NOT AS IT STANDS: {stop}"))?;
        }
        crew.push(member);
    }
}

/// A member as a line that says the same again.
fn typed_as(member: &Member) -> String {
    if member.name.is_empty() {
        // A name that nobody has registered is typed again by whoever knows it.
        return String::new();
    }
    let mut words = vec![member.worker.clone()];
    words.extend(member.dosimeters.clone());
    words.extend((!member.ratemeter.is_empty()).then(|| member.ratemeter.clone()));
    if words.len() == 1 {
        words.push("none".to_owned());
    }
    words.join(" ")
}

/// One of the list: `W07 Mirko Sandpiper, radiographer: PD-07 RM-07`.
fn listed(member: &Member) -> String {
    let role = member.role.map_or("", Words::word);
    let mut worn: Vec<&str> = member.dosimeters.iter().map(String::as_str).collect();
    worn.extend((!member.ratemeter.is_empty()).then_some(member.ratemeter.as_str()));
    let worn = match worn.is_empty() {
        true => String::new(),
        false => format!(": {}", worn.join(" ")),
    };
    format!("{} {}, {role}{worn}", member.worker, member.name)
}

fn list_of_people(asking: &mut Asking<'_, '_>, offer: &SheetOffer) -> Result<Numbers, Failure> {
    let mut numbers = Numbers::new();
    let mut report = Report::new("Each of the crew in a line, by numbers or ids:");
    asking.session.ask(None, |_, house| {
        for member in &offer.people {
            let it = Offered {
                id: member.worker.clone(),
                sort: OfferedSort::Worker,
            };
            let number = numbers.give(house, it);
            report.under(format!("{number} {}", listed(member)));
        }
        for (sort, what) in [
            (OfferedSort::Dosimeter, "dosimeters"),
            (OfferedSort::Ratemeter, "alarm ratemeters"),
        ] {
            let all = offer.worn.iter().filter(|it| it.sort == sort);
            let all = all.map(|it| format!("{}:{}", numbers.give(house, it.clone()), it.id));
            let all: Vec<String> = all.collect();
            if !all.is_empty() {
                report.under(format!("{what}: {}", all.join("  ")));
            }
        }
        Ok(())
    })?;
    report.line(
        "The person alone keeps what stands behind the name; `none` for neither dosimeter nor \
         ratemeter; another role is typed behind: `1 trainee`.",
    );
    asking.session.output.talk_report(&report)?;
    Ok(numbers)
}

/// Reads one line of the crew.
fn one_person(
    session: &mut Session<'_>,
    (offer, numbers): (&SheetOffer, &Numbers),
    crew: &[Member],
    typed: &str,
) -> Result<Read<Member>, Failure> {
    let mut words: Vec<&str> = typed.split_whitespace().collect();
    let whole = session.ask(None, |_, house| {
        Ok(house
            .names
            .find_worker(typed)
            .map(|it| house.names.label(it.number())))
    })?;
    if let Some(id) = &whole {
        words = vec![id];
    }
    let mut worn = Worn::default();
    let mut worker = None;
    for word in words {
        if let Err(wrong) = worn.word(session, numbers, &mut worker, word)? {
            return Ok(Err(wrong));
        }
    }
    let Some(worker) = worker else {
        return Ok(Err(
            "who is it? the number or id of a worker comes first".to_owned()
        ));
    };
    if crew.iter().any(|it| it.worker == worker) {
        return Ok(Err(format!("{worker} is on this sheet already")));
    }
    let others = crew
        .iter()
        .flat_map(|it| it.dosimeters.iter().chain([&it.ratemeter]));
    if let Some(shared) = others.into_iter().find(|it| worn.chosen.contains(it)) {
        return Ok(Err(format!(
            "{shared} is on another of this crew; if it is so all the same: dosimeter={shared} or \
             ratemeter={shared}"
        )));
    }
    let now = session.clock.now();
    let listed = offer.people.iter().find(|it| it.worker == worker).cloned();
    let known = match listed {
        Some(listed) => Some(listed),
        None => session.ask(None, |snapshot, house| {
            member_of(snapshot, house, &worker, now)
        })?,
    };
    Ok(worn.member(worker, known))
}

/// What a line says that somebody wore.
#[derive(Default)]
struct Worn {
    role: Option<Role>,
    dosimeters: Vec<String>,
    ratemeter: String,
    /// Those that were not given `as it stands`.
    chosen: Vec<String>,
    said: bool,
}

impl Worn {
    fn word(
        &mut self,
        session: &mut Session<'_>,
        numbers: &Numbers,
        worker: &mut Option<String>,
        word: &str,
    ) -> Result<Read<()>, Failure> {
        if let Some((field, id)) = word.split_once('=').filter(|it| !it.1.is_empty()) {
            match field {
                "worker" => *worker = Some(id.to_owned()),
                "dosimeter" => self.dosimeters.push(id.to_owned()),
                "ratemeter" => id.clone_into(&mut self.ratemeter),
                _ => {
                    return Ok(Err(format!(
                        "`{word}`: worker=ID, dosimeter=ID, ratemeter=ID"
                    )));
                }
            }
            self.said |= field != "worker";
            return Ok(Ok(()));
        }
        if worker.is_some() && word.eq_ignore_ascii_case("none") {
            self.said = true;
            return Ok(Ok(()));
        }
        if let Some(role) = Role::from_word(&word.replace('-', " ")) {
            self.role = Some(role);
            return Ok(Ok(()));
        }
        let found = match numbers.find(session, word)? {
            Ok(found) => found,
            Err(wrong) => {
                let field = if worker.is_none() {
                    "worker"
                } else {
                    "dosimeter"
                };
                let wrong = format!("{wrong}; if it is so all the same: {field}={word}");
                return Ok(Err(wrong));
            }
        };
        match found.sort {
            OfferedSort::Worker if worker.is_none() => *worker = Some(found.id),
            OfferedSort::Worker => return Ok(Err("one person a line".to_owned())),
            OfferedSort::Dosimeter => {
                self.chosen.push(found.id.clone());
                self.dosimeters.push(found.id);
                self.said = true;
            }
            OfferedSort::Ratemeter if self.ratemeter.is_empty() => {
                self.chosen.push(found.id.clone());
                self.ratemeter = found.id;
                self.said = true;
            }
            OfferedSort::Ratemeter => return Ok(Err("one ratemeter a person".to_owned())),
            other => {
                let of = sort_words(other);
                return Ok(Err(format!("{} is a {of}, nothing to wear", found.id)));
            }
        }
        Ok(Ok(()))
    }

    fn member(self, worker: String, known: Option<Member>) -> Read<Member> {
        let known = known.unwrap_or_else(|| Member {
            worker: worker.clone(),
            name: String::new(),
            role: None,
            dosimeters: Vec::new(),
            ratemeter: String::new(),
        });
        let role = self.role.or(known.role);
        if role.is_none() {
            let list = Role::list();
            return Err(format!(
                "what does {worker} act as? add it to the line: {list}"
            ));
        }
        let nothing = known.dosimeters.is_empty() && known.ratemeter.is_empty();
        if !self.said && nothing {
            return Err(format!(
                "what does {worker} wear? add the dosimeter and the ratemeter, or `none`"
            ));
        }
        Ok(match self.said {
            true => Member {
                role,
                dosimeters: self.dosimeters,
                ratemeter: self.ratemeter,
                ..known
            },
            false => Member { role, ..known },
        })
    }
}
