//! New values for fields of a body, in the words of the registers: what a register or the file of
//! the sheets takes is taken, and what it refuses is refused in the same words.

use serde_json::{Value, json};

use super::fault::{Fault, Faults};
use crate::answer::near;
use crate::intake::file::columns::{Columns, Row};
use crate::intake::file::fields::Fields;
use crate::intake::file::named::{Finder, Wrong};
use crate::intake::file::words::with_article;
use crate::intake::register::removable;
use crate::intake::sheet::reading::{Shown, read_end, read_shown};
use crate::ledger::LedgerError;
use crate::quantity::{Dose, DoseUnit};
use crate::record::{Astray, Body, Draft, Goal, Instrument, Kind, Place, Shape};

/// A body with some of its fields replaced.
pub(crate) struct Correction<'a> {
    finder: &'a Finder<'a>,
    entry: i64,
    kind: Kind,
    draft: Draft,
}

/// A value as it is stored, or none, and what stands beside it.
struct Entered {
    value: Option<Value>,
    beside: Option<(&'static str, Value)>,
}

impl Entered {
    fn of(value: impl Into<Value>) -> Entered {
        Entered {
            value: Some(value.into()),
            beside: None,
        }
    }
}

impl<'a> Correction<'a> {
    /// Nothing is replaced yet.
    pub fn of(finder: &'a Finder<'a>, entry: i64, body: &Body) -> Correction<'a> {
        Correction {
            finder,
            entry,
            kind: body.kind(),
            draft: Draft::of(body),
        }
    }

    /// Replaces fields, each by its path; an empty value takes one away. The names come first:
    /// a reading without a unit takes that of its dosimeter.
    pub fn replace(
        &mut self,
        changes: &[(String, String)],
        faults: &mut Faults,
    ) -> Result<(), LedgerError> {
        for names in [true, false] {
            for (path, to) in changes {
                match self.draft.place(path) {
                    Ok(place) if is_name(place.shape) == names => {
                        self.put(&place, path, to, faults)?;
                    }
                    Ok(_) => {}
                    Err(astray) if names => faults.push(self.astray(path, &astray)),
                    Err(_) => {}
                }
            }
        }
        if !faults.any() {
            for problem in self.draft.missing() {
                faults.push(Fault::of_problem(None, problem));
            }
        }
        Ok(())
    }

    /// The body that came of it.
    pub fn body(self) -> Result<Body, LedgerError> {
        let seq = self.entry;
        let body = self.draft.body();
        body.map_err(|detail| LedgerError::Unreadable { seq, detail })
    }

    fn put(
        &mut self,
        place: &Place,
        path: &str,
        to: &str,
        faults: &mut Faults,
    ) -> Result<(), LedgerError> {
        if place.fixed {
            let what = "is written by the program and cannot be corrected";
            let right = format!(
                "to begin anew: wearbook entry void {} --reason WHY",
                self.entry
            );
            faults.push(Fault::new(None, path, "", what, right));
            return Ok(());
        }
        if to.is_empty() {
            // What must be there is missed when all is replaced.
            self.draft.put(place, None);
            return Ok(());
        }
        let columns = Columns::one(path);
        let row = Row::typed(vec![to.to_owned()]);
        let mut fields = Fields {
            columns: &columns,
            row: &row,
            faults,
        };
        let entered = self.read(place, place.shape, to, &mut fields)?;
        if let Some(Entered { value, beside }) = entered {
            self.draft.put(place, value);
            if let Some((stored, value)) = beside {
                self.draft.put_beside(place, stored, value);
            }
        }
        Ok(())
    }

    fn read(
        &self,
        place: &Place,
        shape: Shape,
        text: &str,
        fields: &mut Fields<'_>,
    ) -> Result<Option<Entered>, LedgerError> {
        Ok(match shape {
            Shape::Yes { yes, no } => yes_or_no(fields, yes, no).map(Entered::of),
            Shape::Count => fields.count(0).map(Entered::of),
            Shape::Minutes => seconds(text, fields).map(Entered::of),
            Shape::Day => fields.day(0).map(|it| Entered::of(it.to_string())),
            Shape::Hour => fields.hour(0, &[]).map(Entered::of),
            Shape::Dose { bare } => {
                let unit = self.finder.names.charter.dose_unit();
                dose(text, bare.then_some(unit), fields).map(|it| Entered::of(it.nsv()))
            }
            Shape::Activity => fields.activity(0).map(|it| Entered::of(it.bq())),
            Shape::AtMost { below } => removable(fields, 0).map(|(less, it)| Entered {
                value: Some(it.bq().into()),
                beside: Some((below, less.into())),
            }),
            Shape::Shown => {
                let face = self.dosimeter(place).and_then(Instrument::face_unit);
                read_shown(fields, 0, face).map(|it| Entered::of(it.to_string()))
            }
            Shape::ShownOrOff { off } => {
                read_end(fields, 0, self.dosimeter(place)).map(|it| match it {
                    Shown::Figure(it) => Entered::of(it.to_string()),
                    Shown::OffScale => Entered {
                        value: None,
                        beside: Some((off, true.into())),
                    },
                })
            }
            Shape::Word(words) => fields.word_of(0, words).map(|it| Entered::of(it.stored)),
            Shape::To(goal) => self.record(goal, None, text, fields)?,
            Shape::Named { goal, anybody } => {
                let now = self.words_now(place);
                self.record(goal, Some((anybody, &now)), text, fields)?
            }
            Shape::List { of, between } => {
                self.list(place, *of, (between.unwrap_or(" "), text), fields)?
            }
            Shape::Reported => reported(text, fields).map(Entered::of),
            Shape::Text | Shape::Pairs => Some(Entered::of(text)),
            // Fixed, or no field of its own.
            Shape::Entry | Shape::Group(_) | Shape::OneOf(_) => None,
        })
    }

    /// The dosimeter of a reading, where the register has it.
    fn dosimeter(&self, place: &Place) -> Option<&Instrument> {
        let dosimeter = self.draft.beside(place, "dosimeter")?.as_i64()?;
        self.finder.names.instrument_body(dosimeter)
    }

    /// The words that stand in place of records now.
    fn words_now(&self, place: &Place) -> Vec<&str> {
        match self.draft.get(place) {
            Some(Value::Array(list)) => list.iter().filter_map(Value::as_str).collect(),
            other => other.and_then(Value::as_str).into_iter().collect(),
        }
    }

    /// A record by its name. Where words may stand: whether for good, and which stand there now.
    fn record(
        &self,
        goal: Goal,
        words: Option<(bool, &[&str])>,
        name: &str,
        fields: &mut Fields<'_>,
    ) -> Result<Option<Entered>, LedgerError> {
        match self.finder.find(goal, name)? {
            Ok(record) => Ok(Some(Entered::of(record))),
            Err(Wrong {
                what,
                right,
                unheard,
            }) => {
                if let Some((anybody, now)) = words
                    && (now.contains(&name) || (anybody && unheard))
                {
                    return Ok(Some(Entered::of(name)));
                }
                fields.fault(0, what, right);
                Ok(None)
            }
        }
    }

    /// Everything that one cell holds.
    fn list(
        &self,
        place: &Place,
        of: Shape,
        (between, text): (&str, &str),
        fields: &mut Fields<'_>,
    ) -> Result<Option<Entered>, LedgerError> {
        let parts: Vec<&str> = match between {
            " " => text.split_whitespace().collect(),
            between => text.split(between).map(str::trim).collect(),
        };
        let mut values: Vec<Value> = Vec::new();
        let mut sound = true;
        for part in parts.into_iter().filter(|part| !part.is_empty()) {
            let row = Row::typed(vec![part.to_owned()]);
            let mut cell = Fields {
                columns: fields.columns,
                row: &row,
                faults: fields.faults,
            };
            match self.read(place, of, part, &mut cell)? {
                Some(it) if it.value.as_ref().is_some_and(|it| values.contains(it)) => {
                    fields.fault(0, format!("has `{part}` twice"), "each id once");
                    sound = false;
                }
                Some(it) => values.extend(it.value),
                None => sound = false,
            }
        }
        Ok(sound.then(|| Entered::of(values)))
    }

    /// A path that leads to no field.
    fn astray(&self, path: &str, astray: &Astray) -> Fault {
        let show = format!("wearbook entry show {} prints the fields", self.entry);
        let (what, right) = match astray {
            Astray::NoSuchField(known) => {
                let last = path.rsplit('.').next().unwrap_or_default();
                let last = match self.shown_as(last) {
                    Some(shown) => shown,
                    None => last,
                };
                let right = match near(last, known.iter().copied()).first() {
                    Some(near) => format!("did you mean `{near}`? {show}"),
                    None => show,
                };
                (
                    format!("is no field of {}", with_article(self.kind.word())),
                    right,
                )
            }
            Astray::OnlySoMany(0) => (
                "leads nowhere: there is none".to_owned(),
                format!("1 for the first; {show}"),
            ),
            Astray::OnlySoMany(count) => (
                format!("leads nowhere: there are {count}"),
                format!(
                    "a place from 1 to {count}, or {} to add one; {show}",
                    count + 1
                ),
            ),
            Astray::NotOneField(under) => {
                let example = under.first().copied().unwrap_or("NAME");
                // What the program writes is put into no field by hand.
                let right = match path {
                    "supersedes" => {
                        "a determination of its own: wearbook determination enter with --supersedes"
                            .to_owned()
                    }
                    _ => format!("one that is under it, such as `{path}.{example}`; {show}"),
                };
                ("is no single field".to_owned(), right)
            }
            Astray::NothingUnder => ("leads nowhere: nothing is under it".to_owned(), show),
        };
        Fault::new(None, path, "", what, right)
    }

    /// The name that people use for a field of this stored name.
    fn shown_as(&self, stored: &str) -> Option<&'static str> {
        let field = self.kind.fields().iter().find(|it| it.stored == stored)?;
        Some(field.shown)
    }
}

fn is_name(shape: Shape) -> bool {
    match shape {
        Shape::To(_) | Shape::Named { .. } => true,
        Shape::List { of, .. } => is_name(*of),
        _ => false,
    }
}

fn yes_or_no(fields: &mut Fields<'_>, yes: &'static str, no: &'static str) -> Option<bool> {
    if (yes, no) == ("yes", "no") {
        return fields.yes(0);
    }
    let cell = fields.cell(0);
    let found = [(yes, true), (no, false)]
        .into_iter()
        .find(|(word, _)| word.eq_ignore_ascii_case(cell));
    if found.is_none() {
        let what = "is not an allowed value";
        fields.fault(0, what, format!("{yes} or {no}"));
    }
    found.map(|(_, is)| is)
}

/// Minutes, or the seconds that are no tenth of a minute: `2195 s`.
fn seconds(text: &str, fields: &mut Fields<'_>) -> Option<i64> {
    let seconds = text.strip_suffix('s').map(str::trim);
    match seconds.and_then(|it| it.parse().ok()) {
        Some(seconds) => Some(seconds),
        None => fields.minutes(0),
    }
}

fn dose(text: &str, bare: Option<DoseUnit>, fields: &mut Fields<'_>) -> Option<Dose> {
    match Dose::parse(text, bare) {
        Ok(dose) => Some(dose),
        Err(error) => {
            // A bound or a range is more than one field: nothing of it is half corrected.
            let bound = ["above", "over", "at least", "up to"].iter();
            let is_bound = bound.clone().any(|it| text.starts_with(it)) || text.contains(" to ");
            let right = match is_bound {
                true => {
                    "a dose such as `12 mrem`; a bound or a range is a determination of its own: \
                     wearbook determination enter with --supersedes and this entry"
                }
                false => "a dose such as `12 mrem` or `0.12 mSv`",
            };
            fields.unreadable(0, &error, right);
            None
        }
    }
}

/// What a report has of one quantity: `210 mrem`, `<10 mrem`, or its code with the least that it
/// stands for, `M <10 mrem`.
fn reported(text: &str, fields: &mut Fields<'_>) -> Option<Value> {
    const RIGHT: &str = "a dose such as `12 mrem`, or `<10 mrem`; a code of the report for less \
                         than it can measure with its minimum: `M <10 mrem`";
    let (code, dose) = match text.rsplit_once('<') {
        Some((code, least)) => (Some(code.trim()), least),
        None => (None, text),
    };
    let dose = match Dose::parse(dose, None) {
        Ok(dose) => dose.nsv(),
        Err(error) => {
            fields.unreadable(0, &error, RIGHT);
            return None;
        }
    };
    Some(match code {
        None => json!({"below": false, "nsv": dose, "written": text}),
        Some(code) => {
            let written = if code.is_empty() { text } else { code };
            json!({"below": true, "minimum_nsv": dose, "nsv": 0, "written": written})
        }
    })
}
