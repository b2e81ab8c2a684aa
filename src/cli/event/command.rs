//! `wearbook event ...`

use clap::{Args, Subcommand};

use crate::answer::{event_of, events};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{KnownArgs, OnArg, ShowArgs, WriteArgs};
use crate::cli::frame::moment::{moment, roughly};
use crate::cli::frame::session::Session;
use crate::intake::{
    AboutEvent, NewCause, NewEvent, NewHappening, NewNote, NewPeople, add_people, open_event,
    write_about,
};
use crate::record::CauseType;
use crate::show::{Report, event_report, events_report, taken_report};

/// The commands of events.
#[derive(Debug, Subcommand)]
pub(crate) enum EventVerb {
    /// Open an event: what is known of it at first
    ///
    /// Example: wearbook event open --kind disconnect --occurred 2026-05-19T13:40
    ///   --equipment DEV-2 --person "W03=cranked" --words "the source stayed out"
    Open(OpenArgs),
    /// Say what else happened in it: a source that came off and then could not be found
    ///
    /// Example: wearbook event happening E-1 lost-source --at 2026-05-19T16:00
    ///   --words "not in the tube and not in the device"
    Happening(HappeningArgs),
    /// Say who else was in it, or what of a person's body was near the source
    ///
    /// Example: wearbook event person E-1 --near W03=hand
    ///   --bystander "a family=lived beside it; member of the public; 4 people; 1 to 9 mrem"
    Person(PersonArgs),
    /// Add a line to its time line
    ///
    /// Example: wearbook event note E-1 --at 2026-05-19T13:41
    ///   --words "survey meter stayed high" --barrier survey=present
    Note(NoteArgs),
    /// Say what failed, or what people did, or that nothing was found; each change is kept
    ///
    /// Without --direct, --contributing or --leads-to it takes the place of every cause that was
    /// said before; with one of them it stands beside them.
    ///
    /// Example: wearbook event cause E-1 --of CU-2 --component "drive cable"
    ///   --failure disconnect --because "connector neck worn, seen under a lens"
    Cause(CauseArgs),
    /// Say what is to be done, or was, so that it does not happen again
    ///
    /// Example: wearbook event action E-1 --words "all cables through the gauge"
    ///   --performed-by "A. Reyes" --due 2026-06-01
    Action(ActionArgs),
    /// Say that a record belongs to it
    ///
    /// Example: wearbook event link E-1 812 --worker W03 --dosimeter PD-06
    Link(LinkArgs),
    /// End it; says what is missing
    ///
    /// Example: wearbook event close E-1 --performed-by W01 --words "worn connector"
    Close(CloseArgs),
    /// List the events
    ///
    /// Example: wearbook event list --open
    List {
        /// Only those that are open
        #[arg(long)]
        open: bool,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show one event with everything that was written about it
    ///
    /// Example: wearbook event show E-1
    Show {
        /// Its name
        event: String,
        #[command(flatten)]
        known: KnownArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
}

#[derive(Debug, Args)]
pub(crate) struct OpenArgs {
    /// A kind of the rule set, such as disconnect; a wrong one lists them
    #[arg(long)]
    kind: String,
    /// When it occurred, local time at the job: 2026-05-19T13:40, or as it is known: a day, a
    /// month, a year, "before 2026-05-19", "between 2026-05-01 and 2026-05-19", unknown
    #[arg(long, value_name = "WHEN")]
    occurred: String,
    /// When somebody became aware of it, the same way [default: at once]
    #[arg(long, value_name = "WHEN")]
    discovered: Option<String>,
    /// What happened, in the first words
    #[arg(long)]
    words: String,
    /// Its name [default: the next E-N]
    #[arg(long)]
    name: Option<String>,
    /// Id of the job: gives the time zone and whom to tell
    #[arg(long, value_name = "ID")]
    job: Option<String>,
    /// Where, in words
    #[arg(long)]
    place: Option<String>,
    /// Id of equipment or an instrument in it, again for the next
    #[arg(long, value_name = "ID")]
    equipment: Vec<String>,
    #[command(flatten)]
    who: WhoArgs,
    #[command(flatten)]
    write: WriteArgs,
}

/// Who had a part in it.
#[derive(Debug, Args)]
pub(crate) struct WhoArgs {
    /// A person and what the person did, again for the next
    #[arg(long, value_name = "ID=WHAT")]
    person: Vec<String>,
    /// Somebody without a dosimeter near it, again for the next
    #[arg(long, value_name = "WHO=WHAT")]
    unmonitored: Vec<String>,
    /// People who are no workers of this license, with an estimate of the dose of each, again for
    /// the next: "a family=lived beside it; member of the public; 4 people; 1 to 9 mrem"
    #[arg(long, value_name = "WHO=WHAT; CATEGORY; HOW MANY; DOSE")]
    bystander: Vec<String>,
    /// Part of a person's body that handled an unshielded source or a tube that held one, or
    /// came within 1 ft (0.3 m) of it: hand, foot, head, trunk; again for the next
    #[arg(long, value_name = "ID=PART")]
    near: Vec<String>,
}

impl WhoArgs {
    fn people(self) -> NewPeople {
        NewPeople {
            people: self.person,
            unmonitored: self.unmonitored,
            bystanders: self.bystander,
            near: self.near,
        }
    }
}

#[derive(Debug, Args)]
pub(crate) struct PersonArgs {
    /// Name of the event
    event: String,
    #[command(flatten)]
    who: WhoArgs,
    /// Why it is said only now
    #[arg(
        long,
        value_name = "WHY",
        default_value = "learned after the event was opened"
    )]
    reason: String,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct HappeningArgs {
    /// Name of the event
    event: String,
    /// A kind of the rule set, such as lost-source; a wrong one lists them
    happening: String,
    /// When, as for --occurred of `event open` [default: unknown, and clocks count from the
    /// event]
    #[arg(long, value_name = "WHEN")]
    at: Option<String>,
    /// What is known about it
    #[arg(long)]
    words: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct NoteArgs {
    /// Name of the event
    event: String,
    /// When it was so, local time at the job, or as it is known, as `event open` takes it
    #[arg(long, value_name = "WHEN")]
    at: String,
    /// What happened
    #[arg(long)]
    words: String,
    /// Who says it, or of whom it tells
    #[arg(long, value_name = "ID")]
    person: Option<String>,
    /// How a barrier stood, such as "survey=absent"
    #[arg(long, value_name = "BARRIER=STATE")]
    barrier: Option<String>,
    /// The entry of an inspection against whose record it speaks
    #[arg(long, value_name = "ENTRY")]
    disputes: Option<i64>,
    /// The item of the checklist that it speaks of
    #[arg(long, value_name = "KEY")]
    item: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct CauseArgs {
    /// Name of the event
    event: String,
    /// Id of the item that failed
    #[arg(long, value_name = "ID", requires_all = ["component", "failure"])]
    of: Option<String>,
    /// Its component, in the checklist's words
    #[arg(long, requires = "of")]
    component: Option<String>,
    /// How it failed: a failure mode of the checklist
    #[arg(long, requires = "of")]
    failure: Option<String>,
    /// What people did or left out: survey-not-made, lock-not-used, ratemeter-off,
    /// boundary-not-kept, procedure-not-followed or other
    #[arg(long, value_name = "WORD", conflicts_with = "of")]
    human: Option<String>,
    /// It was looked for and not found
    #[arg(long, conflicts_with_all = ["of", "human"],
          required_unless_present_any = ["of", "human"])]
    not_found: bool,
    /// It failed at last; other causes stand beside it
    #[arg(long, conflicts_with_all = ["contributing", "leads_to", "not_found"])]
    direct: bool,
    /// It helped; other causes stand beside it
    #[arg(long, conflicts_with = "not_found")]
    contributing: bool,
    /// The entry of the cause to which it led; it contributed
    #[arg(long, value_name = "ENTRY", conflicts_with = "not_found")]
    leads_to: Option<i64>,
    /// What it rests on
    #[arg(long, value_name = "WHY")]
    because: String,
    /// Since when it is believed [default: now]
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct ActionArgs {
    /// Name of the event
    event: String,
    /// What is to be done, or was
    #[arg(long, required_unless_present = "carries_out")]
    words: Option<String>,
    /// Who does it
    #[arg(long, value_name = "NAME")]
    performed_by: String,
    /// By when it is to be done
    #[arg(long, value_name = "DATE")]
    due: Option<String>,
    /// When it was done
    #[arg(long, value_name = "DATE")]
    done: Option<String>,
    /// The entry of the planned action that this carries out
    #[arg(long, value_name = "ENTRY", requires = "done")]
    carries_out: Option<i64>,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct LinkArgs {
    /// Name of the event
    event: String,
    /// A sheet's reference, or an entry of a sheet, badge, result, determination, inspection,
    /// servicing or part
    #[arg(value_name = "ENTRY")]
    item: String,
    /// Of a sheet: whose reading
    #[arg(long, value_name = "ID")]
    worker: Option<String>,
    /// Of a sheet: which dosimeter
    #[arg(long, value_name = "ID", requires = "worker")]
    dosimeter: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct CloseArgs {
    /// Name of the event
    event: String,
    /// What was concluded
    #[arg(long)]
    words: String,
    /// Id of the RSO or designee who ends it
    #[arg(long, value_name = "ID")]
    performed_by: String,
    /// The day [default: today]
    #[arg(long, value_name = "DATE")]
    on: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: EventVerb) -> Result<(), Failure> {
    match verb {
        EventVerb::Open(args) => open(session, args),
        EventVerb::Happening(args) => happening(session, args),
        EventVerb::Person(args) => person(session, args),
        EventVerb::Note(args) => {
            let about = AboutEvent::Note(NewNote {
                at: roughly("at", &args.at)?,
                barrier: args.barrier,
                disputes: args.disputes,
                item: args.item,
                person: args.person,
                words: args.words,
            });
            write(session, &args.event, &about, &args.write)
        }
        EventVerb::Cause(args) => cause(session, args),
        EventVerb::Action(args) => action(session, args),
        EventVerb::Link(args) => {
            let about = AboutEvent::Link {
                item: args.item,
                worker: args.worker,
                dosimeter: args.dosimeter,
            };
            write(session, &args.event, &about, &args.write)
        }
        EventVerb::Close(args) => {
            let about = AboutEvent::End {
                by: args.performed_by,
                on: args.on.map(|it| failure::day("on", &it)).transpose()?,
                words: args.words,
            };
            write(session, &args.event, &about, &args.write)
        }
        EventVerb::List { open, on, show } => {
            let answer = session.ask_until(None, on.day()?, |house| events(house, open))?;
            session.answer(&show, "event list", &answer, events_report)
        }
        EventVerb::Show { event, known, show } => {
            let (on, now) = (known.on.day()?, session.clock.now());
            let answer = session.ask_until(known.known_at, on, |house| {
                let on = on.unwrap_or_else(|| house.today(now));
                event_of(house, &event, on, now)
            })?;
            session.answer(&show, "event show", &answer, event_report)
        }
    }
}

fn person(session: &mut Session<'_>, args: PersonArgs) -> Result<(), Failure> {
    let people = args.who.people();
    let what = (args.event.as_str(), &people, args.reason.as_str());
    let taken = session.write(&args.write, |writer, now| add_people(writer, now, what))?;
    let mut report = taken_report(&taken, args.write.dry_run);
    report.line("Who may work on: wearbook board");
    report.line(format!(
        "What it changes for the reports owed: wearbook report show {}",
        args.event
    ));
    session.output.report(report)
}

fn happening(session: &mut Session<'_>, args: HappeningArgs) -> Result<(), Failure> {
    let at = args.at.as_deref();
    let about = AboutEvent::Happening(NewHappening {
        happening: args.happening,
        at: at.map(|text| roughly("at", text)).transpose()?,
        words: args.words,
    });
    let mut report = written(session, &args.event, &about, &args.write)?;
    let event = &args.event;
    report.line(format!("What it changes: wearbook report show {event}"));
    session.output.report(report)
}

fn cause(session: &mut Session<'_>, args: CauseArgs) -> Result<(), Failure> {
    let found = match (args.of, args.component, args.failure) {
        (Some(of), Some(component), Some(failure)) => Some([of, component, failure]),
        _ => None,
    };
    let at = args.at.map(|text| moment("at", &text)).transpose()?;
    let kind = match (args.direct, args.contributing || args.leads_to.is_some()) {
        (true, _) => Some(CauseType::Direct),
        (false, true) => Some(CauseType::Contributing),
        (false, false) => None,
    };
    let about = AboutEvent::Cause(NewCause {
        at,
        because: args.because,
        found,
        human: args.human,
        leads_to: args.leads_to,
        kind,
    });
    write(session, &args.event, &about, &args.write)
}

fn action(session: &mut Session<'_>, args: ActionArgs) -> Result<(), Failure> {
    let day = |flag, text: Option<String>| text.map(|text| failure::day(flag, &text)).transpose();
    let about = AboutEvent::Action {
        by: args.performed_by,
        done: day("done", args.done)?,
        due: day("due", args.due)?,
        plan: args.carries_out,
        words: args.words,
    };
    write(session, &args.event, &about, &args.write)
}

fn open(session: &mut Session<'_>, args: OpenArgs) -> Result<(), Failure> {
    let discovered = args.discovered.as_deref();
    let new = NewEvent {
        name: args.name,
        kind: args.kind,
        occurred: roughly("occurred", &args.occurred)?,
        discovered: discovered
            .map(|text| roughly("discovered", text))
            .transpose()?,
        place: args.place,
        job: args.job,
        equipment: args.equipment,
        who: args.who.people(),
        words: args.words,
    };
    let taken = session.write(&args.write, |writer, now| open_event(writer, now, &new))?;
    let mut report = taken_report(&taken, args.write.dry_run);
    let name = taken
        .items
        .first()
        .map(|it| it.key.as_str())
        .unwrap_or_default();
    report.line(format!(
        "Reports owed, to whom by when: wearbook report show {name}"
    ));
    report.line(
        "What stands in it is out of service until an inspection `after an event` finds it good.",
    );
    session.output.report(report)
}

/// Writes something about an event, and says what the ledger did.
fn write(
    session: &mut Session<'_>,
    event: &str,
    about: &AboutEvent,
    write: &WriteArgs,
) -> Result<(), Failure> {
    let report = written(session, event, about, write)?;
    session.output.report(report)
}

/// The same without printing it yet.
pub(crate) fn written(
    session: &mut Session<'_>,
    event: &str,
    about: &AboutEvent,
    write: &WriteArgs,
) -> Result<Report, Failure> {
    let taken = session.write(write, |writer, now| write_about(writer, now, event, about))?;
    Ok(taken_report(&taken, write.dry_run))
}
