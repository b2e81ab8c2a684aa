//! Handing in a sheet, or the start of one: what is wrong, what was understood and what it means,
//! and then one entry, however often it is sent.

use maud::{Markup, html};

use super::away::{kept_pages, unchecked};
use super::other_content::{FORM, other_content};
use super::sheet_form::{Choices, choices, fields};
use super::sheet_typed::{Part, cells, of_paper, of_row, prepared, row_of, rows};
use crate::answer::{House, SheetsAnswer, after_sheets, after_start};
use crate::intake::{
    IntakeError, PERSON_FIELDS, Refused, SheetBatch, Taken, take_sheets, take_start,
};
use crate::ledger::Mode;
use crate::page::shell::asked::{Asked, Fields, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::Wrong;
use crate::page::shell::frame::{Frame, crew};
use crate::page::shell::guard::secret;
use crate::page::shell::language;
use crate::page::shell::live;
use crate::rule::{Finding, Severity};
use crate::show::{Report, sheets_report, stops_report, with_start, with_taken};

/// The page of a sheet, or of its start.
pub fn page(desk: &Desk, asked: &Asked, person: &Person, part: Part) -> Result<Reply, IntakeError> {
    let now = desk.commands.now();
    let mut typed = asked.form.clone();
    if !asked.post {
        let draft = draft_number();
        let mine = (person.id.as_str(), draft.as_str());
        let code = asked.query.get("paper");
        typed = desk.read(|house| match code {
            "" => prepared(house, mine, (part, now)),
            code => of_paper(house, mine.1, code),
        })?;
    }
    let sheet = Sheet {
        desk,
        asked,
        person,
        part,
    };
    match typed.get("do").to_owned().as_str() {
        "look" => sheet.rehearse(&typed),
        "try" => sheet.try_out(&typed),
        "send" => sheet.send(&typed),
        "another" => {
            typed.set("sheet", draft_number());
            // The start of the shift belongs to the sheet that is on record.
            typed.set("shift_start", "");
            sheet.form(200, &typed, &Wrong::default(), &html! {})
        }
        "person" => {
            more_rows(&mut typed, None);
            sheet.form(200, &typed, &Wrong::default(), &html! {})
        }
        step => {
            if let Some(row) = step.strip_prefix("rezero ") {
                more_rows(&mut typed, row.parse().ok());
            }
            sheet.form(200, &typed, &Wrong::default(), &html! {})
        }
    }
}

/// The form with what was scanned for it.
pub fn scanned(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    part: Part,
    (status, typed, said): (u16, &Fields, &Wrong),
) -> Result<Reply, IntakeError> {
    let sheet = Sheet {
        desk,
        asked,
        person,
        part,
    };
    sheet.form(status, typed, said, &html! {})
}

/// The page's own number of a sheet, which makes a second sending the same sheet.
fn draft_number() -> String {
    let made = secret().unwrap_or_default();
    format!("P-{}", made.get(..12).unwrap_or_default())
}

/// One more row: a further part with the same dosimeter, or somebody else.
fn more_rows(typed: &mut Fields, again: Option<usize>) {
    let last = rows(typed) + 1;
    if let Some(row) = again.filter(|it| (1..last).contains(it)) {
        let parts = (1..last).filter(|it| {
            let same = |column| typed.get(&of_row(*it, column)) == typed.get(&of_row(row, column));
            same("worker") && same("dosimeter")
        });
        let next = (parts.count() + 1).to_string();
        for column in ["worker", "dosimeter", "late"] {
            let value = typed.get(&of_row(row, column)).to_owned();
            typed.set(&of_row(last, column), value);
        }
        typed.set(&of_row(last, "part"), next);
    }
    typed.set("rows", last.to_string());
}

/// A sheet in somebody's hands.
struct Sheet<'a> {
    desk: &'a Desk,
    asked: &'a Asked,
    person: &'a Person,
    part: Part,
}

/// What was taken, and what it means for whoever sent it.
type HandedIn = (Taken, Option<(Markup, Report)>);

impl Sheet<'_> {
    fn frame<'f>(&'f self, title: &'f str) -> Frame<'f> {
        Frame {
            title,
            person: Some(self.person),
            token: &self.asked.token,
            narrow: true,
        }
    }

    /// The form with everything that was typed.
    fn form(
        &self,
        status: u16,
        typed: &Fields,
        wrong: &Wrong,
        above: &Markup,
    ) -> Result<Reply, IntakeError> {
        let choices = self.choices(typed)?;
        let frame = self.frame(self.part.title());
        let body = html! {
            h1 { (self.part.title()) }
            (wrong.summary())
            (above)
            form id=(FORM) method="post" action=(self.part.address())
                data-draft=(self.part.draft()) data-title=(self.part.title()) data-live="yes"
                autocomplete="off" {
                (frame.secret())
                // What a phone's Enter key does.
                button.unseen name="do" value="look" tabindex="-1" aria-hidden="true" { "Check" }
                (fields(typed, &choices, wrong, self.part))
                (unchecked(&self.desk.call))
                button.first.big name="do" value="look" {
                    "Check" small { "shows what was understood; writes nothing yet" }
                }
            }
            (kept_pages(false))
        };
        Ok(Reply::Page(status, frame.page(&body)))
    }

    fn choices(&self, typed: &Fields) -> Result<Choices, IntakeError> {
        let now = self.desk.commands.now();
        self.desk.read(|house| choices(house, typed, now))
    }

    fn take(&self, typed: &Fields, mode: Mode) -> Result<HandedIn, IntakeError> {
        let author = self.desk.author(self.person);
        let rows = cells(typed, self.part);
        let language = self.asked.language;
        let stops = |found: &[Finding]| language::stops(language, found);
        self.desk.write(&author, mode, |writer, now| {
            let taken = match self.part {
                Part::Start => take_start(writer, now, rows)?,
                Part::End => take_sheets(writer, now, SheetBatch::Typed(rows))?,
            };
            let snapshot = writer.snapshot()?;
            let house = House::load(&snapshot)?;
            let entries = taken.new_entries();
            let told = match (self.part, entries.first()) {
                (_, None) => None,
                (Part::Start, Some(entry)) => after_start(&house.open(&snapshot), *entry, now)?
                    .map(|it| (stops(&it.findings), with_start(Report::default(), &it))),
                (Part::End, Some(_)) => {
                    let answer = after_sheets(&house.open(&snapshot), &entries, house.today(now))?;
                    let answer = for_sender(answer, self.person);
                    let of_people = answer.people.iter().flat_map(|it| &it.findings);
                    let all = of_people.chain(&answer.findings);
                    let first = language::stops(language, all);
                    Some((first, sheets_report(&answer)))
                }
            };
            Ok((taken, told))
        })
    }

    /// Shows what was understood and what it means.
    fn rehearse(&self, typed: &Fields) -> Result<Reply, IntakeError> {
        let choices = self.choices(typed)?;
        let (taken, told) = match self.take(typed, Mode::Rehearse) {
            Ok(done) => done,
            Err(error) => return self.refused(typed, error),
        };
        let (first, report) = match (taken.new_count(), told) {
            (0, _) => (html! {}, with_taken(None, &taken, false)),
            (_, told) => told.unwrap_or_default(),
        };
        let frame = self.frame("Is this right?");
        let body = html! {
            h1 { "Is this right?" }
            p { "Nothing is written yet." }
            (understood(typed, &choices))
            (first)
            (crew(&[report]))
            form method="post" action=(self.part.address()) data-draft=(self.part.draft())
                data-title=(self.part.title()) {
                (frame.secret())
                @for (name, value) in typed.0.iter().filter(|it| it.0 != "do") {
                    input type="hidden" name=(name) value=(value);
                }
                (unchecked(&self.desk.call))
                button.first.big name="do" value="send" { "Put on record" }
                button.big.second name="do" value="change" { "Change something" }
            }
        };
        Ok(frame.reply(&body))
    }

    /// Writes it; a second time it is the same sheet.
    fn send(&self, typed: &Fields) -> Result<Reply, IntakeError> {
        let choices = self.choices(typed)?;
        let (taken, told) = match self.take(typed, Mode::Commit) {
            Ok(done) => done,
            Err(error) => return self.refused(typed, error),
        };
        let (first, told) = told.unzip();
        let frame = self.frame("On record");
        let body = html! {
            h1 { "On record" }
            div.go data-sent=(typed.get("sheet")) {
                p {
                    (self.part.title()) " " (typed.get("sheet")) ", "
                    @for item in &taken.items { "entry " (item.written.entry()) " " }
                }
            }
            @if let Some(first) = first { (first) }
            (crew(&[with_taken(told, &taken, false)]))
            (understood(typed, &choices))
            p { a.btn href="/" { "Today" } }
            (kept_pages(true))
        };
        Ok(frame.reply(&body))
    }

    /// What would be said of what is there so far.
    fn try_out(&self, typed: &Fields) -> Result<Reply, IntakeError> {
        Ok(match self.take(typed, Mode::Rehearse) {
            Ok((_, told)) => {
                let (first, report) = told.unwrap_or_default();
                live::reply(&Wrong::default(), &first, report)
            }
            Err(IntakeError::Refused(refused)) => {
                let report = stops_report(&refused.stops);
                let first = language::stops(self.asked.language, &refused.stops);
                live::reply(&self.wrong(typed, &refused), &first, report)
            }
            Err(other) => return Err(other),
        })
    }

    /// The form again, with what is wrong and everything that was typed; and whatever the readable
    /// lines say that must stop somebody.
    fn refused(&self, typed: &Fields, error: IntakeError) -> Result<Reply, IntakeError> {
        let IntakeError::Refused(refused) = error else {
            return Err(error);
        };
        // What differs from an entry is shown beside it, field by field.
        let (differ, wrong): (Vec<_>, Vec<_>) = refused
            .faults
            .iter()
            .cloned()
            .partition(|it| it.on_record.is_some());
        let refused = Refused {
            faults: wrong,
            ..*refused
        };
        let wrong = self.wrong(typed, &refused);
        let above = html! { (self.stops(&refused)) (other_content(&differ, self.person)) };
        self.form(422, typed, &wrong, &above)
    }

    /// The faults, each with the name of its field on the form.
    fn wrong(&self, typed: &Fields, refused: &Refused) -> Wrong {
        let several = cells(typed, self.part).len() > 1;
        Wrong::of(refused, |fault| {
            let nth = fault.line.and_then(|it| usize::try_from(it).ok());
            match PERSON_FIELDS.contains(&fault.field.as_str()) {
                true => of_row(
                    row_of(typed, nth.filter(|_| several).unwrap_or(1)),
                    &fault.field,
                ),
                false => fault.field.clone(),
            }
        })
    }

    fn stops(&self, refused: &Refused) -> Markup {
        let report = Report {
            heading: String::new(),
            ..stops_report(&refused.stops)
        };
        html! { (language::stops(self.asked.language, &refused.stops)) (crew(&[report])) }
    }
}

/// What a sender may read: the own dose, and of the others the shift's and what stops them.
fn for_sender(mut answer: SheetsAnswer, sender: &Person) -> SheetsAnswer {
    let others = answer.people.iter_mut();
    for other in others.filter(|it| it.worker != sender.id && !sender.is_office()) {
        other.levels.clear();
        other.year.short = NOT_SHOWN.to_owned();
        other.findings.retain(|it| it.severity == Severity::Stop);
    }
    answer
}

/// What stands for somebody else's year.
const NOT_SHOWN: &str = "not shown";

/// What was typed, a line a person.
fn understood(typed: &Fields, choices: &Choices) -> Markup {
    let rows = (1..=rows(typed)).filter(|it| !typed.get(&of_row(*it, "worker")).is_empty());
    html! {
        div.wide tabindex="0" {
            table {
                thead { tr {
                    th scope="col" { "who" } th scope="col" { "dosimeter" }
                    th.r scope="col" { "start" } th.r scope="col" { "end" }
                } }
                tbody {
                    @for row in rows {
                        @let cell = |column: &str| typed.get(&of_row(row, column)).to_owned();
                        tr {
                            @let reading = |column: &str| {
                                choices.reading(&cell("dosimeter"), &cell(column))
                            };
                            th scope="row" translate="no" { (choices.name(&cell("worker"))) }
                            td.w translate="no" { (cell("dosimeter")) }
                            td.r translate="no" { (reading("start")) }
                            td.r {
                                span translate="no" { (reading("end")) }
                                @if cell("off_scale") == "yes" { " off scale" } }
                        }
                    }
                }
            }
        }
    }
}
