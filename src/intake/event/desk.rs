//! What is looked at while words about an event become a record.

use crate::answer::{Moment, OpenHouse, Roughly};
use crate::calendar::{Day, LocalTime, WHEN_RIGHT, When, Zone};
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::ledger::Instant;
use crate::quantity::Dose;
use crate::record::{Bystander, EventPerson, NearPart, Words};
use crate::rule::Checklist;

const BYSTANDER: &str = "`WHO=WHAT; CATEGORY; HOW MANY; DOSE`, such as `a family=lived beside it; \
    member of the public; 4 people; 1 to 9 mrem`";
const DOSE: &str = "`1 to 9 mrem`, `up to 9 mrem`, `9 mrem`, `at least 1 mrem` or `dose unknown`";

/// The dose of each of some people as it was estimated, at the least and at the most.
fn estimate(text: &str) -> Result<(Option<Dose>, Option<Dose>), String> {
    let one = |text: &str| Dose::parse(text.trim(), None).map_err(|it| it.to_string());
    if text.eq_ignore_ascii_case("dose unknown") {
        return Ok((None, None));
    }
    if let Some(high) = text.strip_prefix("up to ") {
        return Ok((None, Some(one(high)?)));
    }
    // `above` as in a determination: where exactly it begins nobody can tell of an estimate.
    let low = text.strip_prefix("at least ");
    if let Some(low) = low.or_else(|| text.strip_prefix("above ")) {
        return Ok((Some(one(low)?), None));
    }
    let Some((low, high)) = text.split_once(" to ") else {
        let dose = one(text)?;
        return Ok((Some(dose), Some(dose)));
    };
    // The unit is said once, behind both.
    let bare = !low.chars().any(char::is_alphabetic);
    let unit = high.trim().split_once(' ').filter(|_| bare);
    let low = unit.map_or_else(|| low.to_owned(), |(_, unit)| format!("{low} {unit}"));
    Ok((Some(one(&low)?), Some(one(high)?)))
}

/// What is looked at while words become a record.
pub(crate) struct EventDesk<'a> {
    pub house: &'a OpenHouse<'a>,
    pub now: Instant,
    pub faults: Faults,
}

impl<'a> EventDesk<'a> {
    /// One on which nothing is wrong yet.
    pub fn new(house: &'a OpenHouse<'a>, now: Instant) -> EventDesk<'a> {
        EventDesk {
            house,
            now,
            faults: Faults::default(),
        }
    }

    pub fn fault(
        &mut self,
        field: &str,
        value: &str,
        what: impl Into<String>,
        right: impl Into<String>,
    ) {
        self.faults
            .push(Fault::new(None, field, value, what, right));
    }

    /// A moment with its offset. One that the clocks went over twice or not at all is refused
    /// where its offset is not said, and so is one that is still to come.
    pub fn moment(&mut self, field: &str, moment: Moment, zone: Zone) -> String {
        let at = match moment {
            Moment::Fixed(at) => zone.local(at),
            Moment::Local(day, time) => match zone.at(day, time) {
                LocalTime::Once(at) => at,
                LocalTime::Twice(at, later) => {
                    let text = format!("{day}T{}", time.format("%H:%M"));
                    let what = format!("is two moments in {zone}: the clocks went back over it");
                    let right = format!("`{text}{}` or `{text}{}`", at.offset(), later.offset());
                    self.fault(field, &text, what, right);
                    at
                }
                LocalTime::Never => {
                    let text = format!("{day}T{}", time.format("%H:%M"));
                    let what = format!("is no time in {zone}: the clocks went forward over it");
                    self.fault(field, &text, what, "what a clock on the wall there showed");
                    zone.local(self.now)
                }
            },
        };
        let text = at.format("%Y-%m-%dT%H:%M%:z").to_string();
        if at.to_utc() > self.now {
            let what = format!(
                "is in the future: it is {}",
                zone.local(self.now).format("%F %R %:z")
            );
            self.fault(field, &text, what, "when it was, not when it is to be");
        }
        text
    }

    /// What is known of a moment: one to the minute with its offset, else its words. What cannot
    /// have been yet is refused.
    pub fn roughly(&mut self, field: &str, moment: &Roughly, zone: Zone) -> String {
        let words = match moment {
            Roughly::At(at) => return self.moment(field, *at, zone),
            Roughly::Words(words) => words.clone(),
        };
        let read = When::parse(&words, zone);
        if let Ok(When {
            earliest: Some(earliest),
            ..
        }) = read
            && earliest > self.now
        {
            let what = format!(
                "is in the future: it is {}",
                zone.local(self.now).format("%F %R %:z")
            );
            self.fault(field, &words, what, "when it was, not when it is to be");
        }
        if let Err(error) = read {
            self.fault(field, &words, error.to_string(), WHEN_RIGHT);
        }
        words
    }

    /// `WHO=PART`: a part of somebody's body that may have been near an unshielded source.
    pub fn near(&mut self, people: &mut [EventPerson], text: &str) {
        let part = text.split_once('=');
        let part =
            part.and_then(|(who, part)| Some((who.trim(), NearPart::from_word(part.trim())?)));
        let Some((who, part)) = part else {
            let right = format!("`ID=PART`, a part of {}", NearPart::list());
            self.fault("near", text, "does not say which part of the body", right);
            return;
        };
        let person = self.house.names.worker_ref(who);
        match people.iter_mut().find(|it| it.person == person) {
            Some(it) if it.near.contains(&part) => {}
            Some(it) => it.near.push(part),
            None => {
                let right = "a person whom --person, --unmonitored or --bystander names";
                self.fault("near", text, "is not a person of this event", right);
            }
        }
    }

    /// `WHO=WHAT; CATEGORY; HOW MANY; DOSE`: people who are no workers of this license.
    pub fn bystander(&mut self, text: &str) -> Option<EventPerson> {
        const FIELD: &str = "bystander";
        let Some((who, rest)) = text.split_once('=') else {
            self.fault(FIELD, text, "does not say who", BYSTANDER);
            return None;
        };
        let person = self.house.names.worker_ref(who.trim());
        if person.number().is_some() {
            let right = "a worker of this license: --person, or --unmonitored where no dosimeter \
                         was worn";
            self.fault(FIELD, who.trim(), "is a registered worker", right);
            return None;
        }
        let mut all_equipment = rest.split(';').map(str::trim);
        let mut it = EventPerson {
            category: None,
            count: None,
            high_nsv: None,
            low_nsv: None,
            monitored: Some(false),
            near: Vec::new(),
            person,
            role: all_equipment.next().unwrap_or_default().to_owned(),
        };
        let mut dose_said = false;
        for equipment in all_equipment {
            let number = equipment
                .strip_suffix("people")
                .or_else(|| equipment.strip_suffix("person"));
            let count = number.and_then(|it| it.trim().parse().ok());
            if let Some(category) = Bystander::from_word(equipment) {
                it.category = Some(category);
            } else if count.is_some() {
                it.count = count;
            } else {
                match estimate(equipment) {
                    Ok((low, high)) => (it.low_nsv, it.high_nsv, dose_said) = (low, high, true),
                    Err(what) => {
                        let right = format!(
                            "one of: {}; how many, `4 people`; the dose of each, {DOSE}",
                            Bystander::list()
                        );
                        self.fault(FIELD, equipment, what, right);
                        return None;
                    }
                }
            }
        }
        if it.category.is_none() {
            let what = "does not say which limits hold for them";
            self.fault(FIELD, text, what, Bystander::list());
        }
        if !dose_said {
            self.fault(FIELD, text, "does not say the dose of each", DOSE);
        }
        Some(it)
    }

    pub fn present(&self, zone: Zone) -> String {
        zone.local(self.now).format("%Y-%m-%dT%H:%M%:z").to_string()
    }

    /// `WHO=what the person did`.
    pub fn person(
        &mut self,
        field: &str,
        text: &str,
        monitored: Option<bool>,
    ) -> Option<EventPerson> {
        let Some((who, role)) = text.split_once('=') else {
            let right = "`ID=what the person did`, such as `W07=cranked the source out`";
            self.fault(field, text, "does not say what the person did", right);
            return None;
        };
        Some(EventPerson {
            category: None,
            count: None,
            high_nsv: None,
            low_nsv: None,
            monitored,
            near: Vec::new(),
            person: self.house.names.worker_ref(who.trim()),
            role: role.trim().to_owned(),
        })
    }

    pub fn list(&self, day: Day) -> Result<&Checklist, IntakeError> {
        let list = self.house.checklist_on(day).map(|(_, list)| list);
        Ok(list.ok_or(crate::answer::AnswerError::NoChecklist { day })?)
    }
}
