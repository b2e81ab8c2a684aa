//! Whether a duty arises: its questions and its doses.

use std::collections::BTreeMap;

use super::fact::{FactState, Since, name_of, since};
use super::facts::{Assessed, Facts, Known, Unmeasured};
use super::state::Applies;
use crate::calendar::Instant;
use crate::quantity::Dose;
use crate::rule::{Duty, KeyedText, LENS_EXTREMITY, Quantity, RuleSet};

/// Whether a duty arises, and why.
#[derive(Debug, Clone)]
pub(super) struct Case {
    pub applies: Applies,
    pub because: Vec<String>,
    pub unanswered: Vec<KeyedText>,
    pub unmeasured: Vec<String>,
    /// Whose dose may still turn out to be enough.
    pub awaited: Vec<String>,
    /// The newest entry that says that it does not arise.
    pub not_since: Option<i64>,
    /// When doses that matter became known, with the words for it.
    pub learned: BTreeMap<Instant, String>,
    /// What had to happen before it could arise, a line each; nothing where the event itself is
    /// enough.
    pub since: Vec<Option<Since>>,
}

impl Case {
    /// Says why a fact is so; several that are so for one reason in one line.
    fn say(&mut self, it: &FactState) {
        let alike = fact_words("", it);
        match self
            .because
            .last_mut()
            .filter(|said| said.ends_with(&alike))
        {
            Some(said) => said.insert_str(said.len() - alike.len(), &format!(", {}", it.key)),
            None => self.because.push(fact_words(&it.key, it)),
        }
    }

    /// When what it turns on was all there, where that is not the moment of the event.
    pub fn from(&self, event: Instant) -> Option<Since> {
        let last = self.since.iter().flatten().max_by_key(|it| it.at)?;
        // What came before the event changes nothing where something else of it came with it.
        let with_event = self.since.iter().any(Option::is_none) && last.at <= event;
        (!with_event).then(|| last.clone())
    }
}

/// How a dose stands to a threshold.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Reached {
    No,
    May,
    Yes,
}

/// One threshold for one person.
struct Mark {
    dose: Dose,
    at_or_above: bool,
    unsure: bool,
    words: String,
}

impl Mark {
    fn by(&self, it: &Assessed) -> Reached {
        let over = match self.at_or_above {
            true => it.dose >= self.dose,
            false => it.dose > self.dose,
        };
        // No dose at all adds nothing, whatever was there before.
        match (over && it.dose > Dose::ZERO, it.open) {
            (true, _) => Reached::Yes,
            (false, true) => Reached::May,
            (false, false) if self.unsure && it.dose > Dose::ZERO => Reached::May,
            (false, false) => Reached::No,
        }
    }
}

pub(super) fn case_of(
    rule_set: &RuleSet,
    duty: &Duty,
    facts: &Facts,
    states: &[FactState],
) -> Case {
    let mut case = Case {
        applies: Applies::Yes,
        because: Vec::new(),
        unanswered: Vec::new(),
        unmeasured: Vec::new(),
        awaited: Vec::new(),
        not_since: None,
        learned: BTreeMap::new(),
        since: Vec::new(),
    };
    let mut no = Vec::new();
    if !duty.of.is_empty() && !facts.happenings.iter().any(|it| duty.is_of(&it.key)) {
        let names: Vec<String> = duty.of.iter().map(|it| name_of(rule_set, it)).collect();
        no.push(format!("none of these happened: {}", names.join(", ")));
    }
    if !duty.of.is_empty() {
        case.since.push(since(rule_set, facts, &duty.of));
    }
    for question in &duty.questions {
        // A site that words a question of the rule set anew asks the same fact.
        if states.iter().any(|it| it.key == question.key) {
            no.extend(turns_on(
                std::slice::from_ref(&question.key),
                states,
                &mut case,
            ));
            continue;
        }
        match facts.answer(&question.key) {
            None => case.unanswered.push(question.clone()),
            Some(it) if it.yes => case.because.push(format!("{}: yes", question.key)),
            Some(it) => {
                case.not_since = case.not_since.max(Some(it.entry));
                no.push(format!(
                    "answered no: {} (entry {})",
                    question.text, it.entry
                ));
            }
        }
    }
    for line in &duty.when {
        no.extend(turns_on(line, states, &mut case));
    }
    if !case.unanswered.is_empty() {
        case.applies = Applies::May;
    }
    if duty.above_a_limit || !duty.doses.is_empty() {
        no.extend(doses(rule_set, duty, facts, &mut case));
    }
    if duty.after.is_none() && case.because.is_empty() && case.applies == Applies::Yes {
        case.because.push("every event of this kind".to_owned());
    }
    if !no.is_empty() {
        case.applies = Applies::No;
        case.because = no;
        case.unanswered.clear();
        case.unmeasured.clear();
        case.awaited.clear();
    }
    case
}

/// Keys of facts with the one reason for all of them.
fn fact_words(keys: &str, it: &FactState) -> String {
    match it.entry {
        Some(entry) => format!("{keys}: {} (entry {entry})", it.because),
        None => format!("{keys}: {}", it.because),
    }
}

/// Holds a line of facts of which one must be so. Returns why none is, where none is.
fn turns_on(line: &[String], states: &[FactState], case: &mut Case) -> Option<String> {
    let found = line
        .iter()
        .filter_map(|key| states.iter().find(|it| it.key == *key));
    let found: Vec<&FactState> = found.collect();
    let so = || found.iter().filter(|it| it.known == Known::Yes);
    if let Some(it) = so().next() {
        case.say(it);
        // One of them is enough: the first that was so.
        let all: Option<Vec<&Since>> = so().map(|it| it.since.as_ref()).collect();
        let first = all.and_then(|all| all.into_iter().min_by_key(|it| it.at).cloned());
        case.since.push(first);
        return None;
    }
    let open: Vec<&&FactState> = found
        .iter()
        .filter(|it| it.known == Known::Unknown)
        .collect();
    if open.is_empty() {
        let said = found.iter().filter_map(|it| it.entry).max();
        case.not_since = case.not_since.max(said);
        let all: Vec<String> = found.iter().map(|it| fact_words(&it.key, it)).collect();
        return Some(all.join("; "));
    }
    for it in open {
        case.unanswered.push(KeyedText {
            key: it.key.clone(),
            text: it.text.clone(),
        });
    }
    None
}

/// Holds every person's doses against the thresholds. Returns why none is reached, where none is.
fn doses(rule_set: &RuleSet, duty: &Duty, facts: &Facts, case: &mut Case) -> Option<String> {
    let mut highest = Reached::No;
    let mut below = Vec::new();
    let mut people: Vec<(&str, Quantity)> = Vec::new();
    for it in &facts.doses {
        if !people.contains(&(it.person.as_str(), it.quantity)) {
            people.push((&it.person, it.quantity));
        }
    }
    for (person, quantity) in people {
        let of = |it: &&Assessed| it.person == person && it.quantity == quantity;
        let known: Vec<&Assessed> = facts.doses.iter().filter(of).collect();
        let Some(last) = known.last() else {
            continue;
        };
        let marks = marks(rule_set, duty, facts, person, quantity);
        let top = marks.iter().map(|mark| (mark.by(last), mark));
        // Of several thresholds that are reached the first is named: the rule's own order.
        let Some((reached, mark)) = top.reduce(|a, b| if b.0 > a.0 { b } else { a }) else {
            continue;
        };
        let words = dose_words(rule_set, last);
        if reached == Reached::May && !case.awaited.iter().any(|it| it == person) {
            case.awaited.push(person.to_owned());
        }
        match reached {
            // Where lens and skin are as the deep dose, one figure says it.
            Reached::No if same_as_another(facts, last) => {}
            Reached::No => below.push(words),
            Reached::May => case.because.push(format!("{words}: may be {}", mark.words)),
            Reached::Yes => case.because.push(format!("{words}: {}", mark.words)),
        }
        highest = highest.max(reached);
        if reached != Reached::No {
            for mark in &marks {
                learned(rule_set, facts, &known, mark, case);
            }
        }
    }
    highest = highest.max(unmeasured(duty, facts, case));
    if highest == Reached::No {
        return Some(why_below(rule_set, duty, facts, &below));
    }
    if highest != Reached::Yes {
        // A clock of learning counts from a dose that somebody knows.
        case.applies = match duty.is_of_a_learned_dose() {
            true => Applies::Waits,
            false => Applies::May,
        };
    }
    None
}

/// Why no dose of anybody is enough.
fn why_below(rule_set: &RuleSet, duty: &Duty, facts: &Facts, below: &[String]) -> String {
    let mut parts = Vec::new();
    if !below.is_empty() {
        parts.push(format!("below it: {}", below.join("; ")));
    }
    // Of what nobody assessed nobody knows that it is below.
    let (answered, open) = not_assessed(rule_set, duty, facts);
    for (entry, people) in answered {
        let people = people.join(", ");
        parts.push(format!(
            "not assessed, answered no (entry {entry}): {people}"
        ));
    }
    if !open.is_empty() {
        parts.push(format!(
            "not assessed, and not in question: {}",
            open.join(", ")
        ));
    }
    if parts.is_empty() {
        parts.push("no dose of anybody in it is known or in question".to_owned());
    }
    parts.join("; ")
}

/// Whether the person's deep dose is the same.
fn same_as_another(facts: &Facts, it: &Assessed) -> bool {
    let deep = facts
        .doses
        .iter()
        .rev()
        .find(|other| other.person == it.person && other.quantity == Quantity::Deep);
    let same = |deep: &Assessed| (deep.dose, deep.of_record) == (it.dose, it.of_record);
    it.quantity != Quantity::Deep && deep.is_some_and(same)
}

/// The people of an answer of the RSO, by the answer's entry.
type ByAnswer = BTreeMap<i64, Vec<String>>;

/// People with a dose, and a quantity of the rule that nobody assessed for them, which opens no
/// clock and is said: those that the RSO answered for, and those of whom nobody asks it.
fn not_assessed(rule_set: &RuleSet, duty: &Duty, facts: &Facts) -> (ByAnswer, Vec<String>) {
    let mut people: Vec<&str> = Vec::new();
    for it in &facts.doses {
        if !people.contains(&it.person.as_str()) {
            people.push(&it.person);
        }
    }
    let (mut answered, mut open) = (ByAnswer::new(), Vec::new());
    for person in people {
        for quantity in duty.doses.iter().map(|it| it.quantity) {
            let known = |it: &Assessed| it.person == person && it.quantity == quantity;
            if facts.doses.iter().any(known) {
                continue;
            }
            let words = format!("{person} {}", rule_set.terms().short(quantity));
            match answered_no(duty, facts, person, quantity) {
                Some(entry) => answered.entry(entry).or_default().push(words),
                None => open.push(words),
            }
        }
    }
    (answered, open)
}

/// The entry by which the RSO said that such a dose of a person cannot be so much.
fn answered_no(duty: &Duty, facts: &Facts, person: &str, quantity: Quantity) -> Option<i64> {
    let no = |question: &str| facts.answer(question).filter(|it| !it.yes);
    let asked = |it: &Unmeasured| it.person == person && it.quantities.contains(&quantity);
    let of_duty = || no(&duty.key).filter(|_| facts.unmeasured.iter().any(asked));
    let beside = match quantity {
        Quantity::Lens | Quantity::Extremity => no(LENS_EXTREMITY),
        _ => None,
    };
    beside.or_else(of_duty).map(|it| it.entry)
}

/// How far a dose that nobody measured reaches, by the RSO's answer; without one it may.
fn unmeasured(duty: &Duty, facts: &Facts, case: &mut Case) -> Reached {
    let concerns = |it: &&Unmeasured| {
        let mut marks = duty.doses.iter();
        duty.above_a_limit || marks.any(|mark| it.quantities.contains(&mark.quantity))
    };
    let people = facts.unmeasured.iter().filter(concerns);
    let mut people: Vec<String> = people.map(|it| it.person.clone()).collect();
    // An event that names nobody does not say that nobody was there.
    if facts.unmeasured.is_empty() && facts.doses.is_empty() {
        people.push("anyone who was near (the event names no one)".to_owned());
    }
    if people.is_empty() {
        return Reached::No;
    }
    let answer = facts.answer(&duty.key);
    // One "no" of the RSO says of all of them that it cannot be so much.
    if let Some(it) = answer.filter(|it| !it.yes) {
        case.not_since = case.not_since.max(Some(it.entry));
        return Reached::No;
    }
    let at = facts.discovered.at;
    if !duty.is_of_a_learned_dose() {
        let words = "it was learned, with a dose that was not measured".to_owned();
        case.learned.entry(at).or_insert(words);
    }
    let mut words = format!("the dose of {} was not measured", people.join(", "));
    if let Some(it) = answer {
        words.push_str(&format!(
            ", answered yes: it may be so much (entry {})",
            it.entry
        ));
    }
    case.because.push(words);
    let awaited = people.iter().filter(|it| !case.awaited.contains(it));
    let awaited: Vec<String> = awaited.cloned().collect();
    case.awaited.extend(awaited);
    match (answer.is_some(), duty.is_of_a_learned_dose()) {
        (true, false) => Reached::Yes,
        // That it may be so much is no dose that somebody learned.
        (true, true) => Reached::May,
        (false, _) => {
            case.unmeasured = people;
            Reached::May
        }
    }
}

/// The thresholds of a duty for one person's dose.
fn marks(
    rule_set: &RuleSet,
    duty: &Duty,
    facts: &Facts,
    person: &str,
    quantity: Quantity,
) -> Vec<Mark> {
    let own = duty.doses.iter().filter(|it| it.quantity == quantity);
    let mut marks: Vec<Mark> = own
        .map(|it| Mark {
            dose: it.dose,
            at_or_above: it.at_or_above,
            unsure: false,
            words: match it.at_or_above {
                true => format!("{} or more", rule_set.print(it.dose)),
                false => format!("above {}", rule_set.print(it.dose)),
            },
        })
        .collect();
    if duty.above_a_limit {
        let mut limits: Vec<_> = facts.limits.iter().collect();
        limits.retain(|it| it.person == person && it.quantity == quantity);
        marks.extend(limits.into_iter().map(|it| Mark {
            dose: it.left,
            at_or_above: it.at_or_above,
            unsure: it.unsure,
            words: format!("above the {}", it.limit),
        }));
    }
    marks
}

/// Notes each moment at which a dose came into question, or into certainty: each starts a clock
/// of learning. What was once in question keeps its start, the earlier side.
fn learned(rule_set: &RuleSet, facts: &Facts, known: &[&Assessed], mark: &Mark, case: &mut Case) {
    let mut before = Reached::No;
    for it in known {
        let reached = mark.by(it);
        // Of a dose in question the clock has not started: nobody knows it.
        if reached > before && reached == Reached::Yes {
            let of_event = facts.discovered.at;
            let at = match it.of_record {
                true => it.known_at,
                false => it.known_at.min(of_event),
            };
            let mut words = format!("known: {}", dose_words(rule_set, it));
            if let Some(entry) = it.clock_doubted.filter(|_| at == it.known_at) {
                words.push_str(&format!(
                    "; the clock of entry {entry} cannot be trusted, this is the earliest that is \
                     possible"
                ));
            }
            case.learned.entry(at).or_insert(words);
        }
        before = reached;
    }
}

fn dose_words(rule_set: &RuleSet, it: &Assessed) -> String {
    let sure = if it.open { "at least " } else { "" };
    let class = it.class();
    format!(
        "{} {} {sure}{} ({class})",
        it.person,
        rule_set.terms().short(it.quantity),
        rule_set.print(it.dose)
    )
}
