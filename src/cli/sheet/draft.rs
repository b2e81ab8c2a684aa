//! The draft of a sheet: every answer is kept in a file beside the ledger as soon as it is given,
//! so that a closed terminal loses nothing but the line that was being typed.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::row::put;
use super::written::{passes, stops_so_far};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::{SHEET_COLUMNS, has_off_scale};
use crate::record::{Role, Words, Work};
use crate::rule::Finding;
use crate::show::{Report, stops_report};

/// How many drafts of one ledger can lie beside it.
const MOST: usize = 99;

/// One answer that was typed.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Answer {
    /// Which question it answers.
    asked: String,
    /// As it was typed; `-` for what was left blank.
    typed: String,
}

/// The shift that a draft is of, once it is known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct About {
    pub day: String,
    pub shift: String,
    pub job: String,
    pub device: String,
    /// Each with what they wear.
    pub crew: Vec<String>,
}

/// What the file holds.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Kept {
    /// Which prompt asked.
    of: String,
    /// When it was begun, at the ledger's place.
    begun: String,
    /// What its readings, checks and surveys are of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    about: Option<About>,
    answers: Vec<Answer>,
}

/// The answers of one prompt.
#[derive(Debug)]
pub(crate) struct Draft {
    /// Its file, once something was kept.
    path: Option<PathBuf>,
    kept: Kept,
    /// Answers of a draft that was taken up, until their questions are asked again.
    waiting: Vec<Answer>,
    /// Whether the file could not be written: that is said once.
    lost: bool,
    /// What stops somebody in drafts that were left or dropped just now: said last.
    left: Vec<Finding>,
}

/// Offers what was typed for this prompt and not written, or begins anew.
pub(crate) fn begin(session: &mut Session<'_>, of: &str) -> Result<Draft, Failure> {
    let now = session.clock.now();
    let begun = session.ask(None, |house| {
        Ok(format!("{} at {}", house.today(now), house.hour(now)))
    })?;
    let mut left = Vec::new();
    for (path, kept) in drafts(&session.ledger_path, of) {
        offer(session, &kept)?;
        let stops = match take_up(session)? {
            TakeUp::Yes => {
                return Ok(Draft {
                    left,
                    ..Draft::again(path, kept)
                });
            }
            TakeUp::No => stops_in(session, &kept)?,
            TakeUp::Drop => {
                let stops = stops_in(session, &kept)?;
                fs::remove_file(&path).map_err(|source| Failure::File {
                    file: path.display().to_string(),
                    source,
                })?;
                stops
            }
        };
        session.output.tell_stops(&stops)?;
        session.output.talk_report(&stops_report(&stops))?;
        left.extend(stops);
    }
    let kept = Kept {
        of: of.to_owned(),
        begun,
        about: None,
        answers: Vec::new(),
    };
    Ok(Draft {
        path: None,
        kept,
        waiting: Vec::new(),
        lost: false,
        left,
    })
}

/// Says what a draft is of, and whether somebody's dosimeter was off its scale.
fn offer(session: &mut Session<'_>, kept: &Kept) -> Result<(), Failure> {
    let count = kept.answers.len();
    let language = session.output.language;
    let (count, begun) = (count.to_string(), kept.begun.as_str());
    let mut report = Report::new(match kept.answers.len() {
        1 => language.fill(
            "There is a draft that was begun on {}: 1 answer, not written.",
            &[begun],
        ),
        _ => language.fill(
            "There is a draft that was begun on {}: {} answers, not written.",
            &[begun, &count],
        ),
    });
    report.under(match &kept.about {
        Some(it) => {
            let shift = language.say(&it.shift);
            language.fill("{} {}, job {}", &[&it.day, &shift, &it.job])
        }
        None => language.say("it was left before its shift was known"),
    });
    for (worker, dosimeter) in off_scale(session, kept)? {
        report.under(language.fill("{} {}: OFF-SCALE", &[&worker, &dosimeter]));
    }
    session.output.talk_report(&report)
}

/// Who was off-scale by a draft, and which dosimeter.
fn off_scale(session: &mut Session<'_>, kept: &Kept) -> Result<Vec<(String, String)>, Failure> {
    let mut all: Vec<(String, String)> = Vec::new();
    for answer in &kept.answers {
        let of = answer.asked.strip_prefix("reading.");
        let Some((worker, dosimeter)) = of.and_then(|it| it.split_once('.')) else {
            continue;
        };
        if has_off_scale(&answer.typed) || passes(session, dosimeter, &answer.typed)? {
            all.push((worker.to_owned(), dosimeter.to_owned()));
        }
    }
    Ok(all)
}

/// The stops of readings in a draft that is not taken up.
fn stops_in(session: &mut Session<'_>, kept: &Kept) -> Result<Vec<Finding>, Failure> {
    let mut stops = Vec::new();
    for (worker, dosimeter) in off_scale(session, kept)? {
        let mut row = vec![String::new(); SHEET_COLUMNS.len()];
        if let Some(about) = &kept.about {
            put(&mut row, "day", about.day.clone());
            put(&mut row, "shift", about.shift.clone());
            put(&mut row, "job", about.job.clone());
        }
        put(&mut row, "work", Work::Radiography.word());
        put(&mut row, "role", Role::Radiographer.word());
        put(&mut row, "worker", worker.clone());
        put(&mut row, "dosimeter", dosimeter);
        put(&mut row, "off_scale", "yes");
        let found = stops_so_far(session, None, &[row])?;
        stops.extend(found.into_iter().filter(|it| it.subject == worker));
    }
    Ok(stops)
}

enum TakeUp {
    Yes,
    No,
    Drop,
}

fn take_up(session: &mut Session<'_>) -> Result<TakeUp, Failure> {
    loop {
        let typed = session.field("take it up: yes, no (it stays) or drop (it is deleted)", "")?;
        let typed = session.output.language.typed(&typed.to_lowercase());
        let drops = session.output.said("drop");
        match typed.as_str() {
            "y" | "yes" => return Ok(TakeUp::Yes),
            "n" | "no" => return Ok(TakeUp::No),
            it if it == "drop" || it == drops => return Ok(TakeUp::Drop),
            _ => {
                let wrong = session.output.said("  type yes, no or drop");
                session.output.talk(&wrong)?;
            }
        }
    }
}

/// The file of a draft: beside the ledger, with its name.
fn place(ledger: &Path, number: usize) -> PathBuf {
    let mut name = ledger.file_name().unwrap_or_default().to_owned();
    name.push(format!(".draft-{number}"));
    ledger.with_file_name(name)
}

/// The drafts of a prompt, the oldest file first. What cannot be read is another user's or not a
/// draft; it stays as it is.
fn drafts(ledger: &Path, of: &str) -> Vec<(PathBuf, Kept)> {
    let all = (1..=MOST).map(|number| place(ledger, number));
    let read = all.filter_map(|path| {
        let text = fs::read_to_string(&path).ok()?;
        let kept: Kept = serde_json::from_str(&text).ok()?;
        (kept.of == of && !kept.answers.is_empty()).then_some((path, kept))
    });
    read.collect()
}

impl Draft {
    fn again(path: PathBuf, mut kept: Kept) -> Draft {
        Draft {
            path: Some(path),
            waiting: std::mem::take(&mut kept.answers),
            kept,
            lost: false,
            left: Vec::new(),
        }
    }

    /// Says which shift it is of. What was read, checked and surveyed on another is no answer
    /// here: then it is forgotten, and that is told with `false`.
    pub fn belongs(&mut self, about: About) -> bool {
        let same = |it: &About| About {
            job: about.job.clone(),
            ..it.clone()
        };
        let typed_for = self.kept.about.as_ref().map(same);
        let belongs = self.waiting.is_empty() || typed_for.as_ref() == Some(&about);
        if !belongs {
            self.waiting.clear();
        }
        self.kept.about = Some(about);
        belongs
    }

    /// What stops somebody in drafts that were not taken up.
    pub fn left(&mut self) -> Vec<Finding> {
        std::mem::take(&mut self.left)
    }

    /// The answer that was typed to a question before.
    pub fn answered(&mut self, asked: &str) -> Option<String> {
        let at = self.waiting.iter().position(|it| it.asked == asked)?;
        Some(self.waiting.remove(at).typed)
    }

    /// Whether the draft answers a question that is still to be asked again.
    pub fn answered_next(&self, asked: &str) -> bool {
        self.waiting.iter().any(|it| it.asked == asked)
    }

    /// Whether anything was typed.
    pub fn any(&self) -> bool {
        !self.kept.answers.is_empty() || !self.waiting.is_empty()
    }

    /// Whether what was typed is in the file.
    pub fn is_kept(&self) -> bool {
        self.path.is_some() && !self.lost
    }

    /// Keeps an answer; `Some` says why it could not be kept, once.
    pub fn keep(&mut self, ledger: &Path, asked: &str, typed: &str) -> Option<String> {
        self.kept.answers.push(Answer {
            asked: asked.to_owned(),
            typed: typed.to_owned(),
        });
        match self.write(ledger) {
            Ok(()) => {
                self.lost = false;
                None
            }
            Err(_) if self.lost => None,
            Err(error) => {
                self.lost = true;
                Some(error.to_string())
            }
        }
    }

    /// Writes the whole beside the old file and puts it in its place, so that there is a whole
    /// draft at any moment.
    fn write(&mut self, ledger: &Path) -> std::io::Result<()> {
        let path = match &self.path {
            Some(path) => path.clone(),
            None => free_place(ledger)?,
        };
        self.path = Some(path.clone());
        let mut whole = self.kept.clone();
        whole.answers.extend(self.waiting.iter().cloned());
        let text = serde_json::to_string(&whole).map_err(std::io::Error::other)?;
        let mut beside = path.as_os_str().to_owned();
        beside.push(".new");
        let beside = PathBuf::from(beside);
        let mut file = owner_only().truncate(true).open(&beside)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(&beside, &path)
    }

    /// Removes the file: the sheet is written.
    pub fn done(&mut self) -> Result<(), Failure> {
        let Some(path) = self.path.take() else {
            return Ok(());
        };
        fs::remove_file(&path).map_err(|source| Failure::File {
            file: path.display().to_string(),
            source,
        })
    }
}

/// The first number that no draft has; the file is made at once, so that no other prompt takes it.
fn free_place(ledger: &Path) -> std::io::Result<PathBuf> {
    for number in 1..=MOST {
        let path = place(ledger, number);
        match owner_only().create_new(true).open(&path) {
            Ok(_) => return Ok(path),
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(std::io::Error::other("there are too many drafts already"))
}

/// For a file that nobody but its owner can read: doses stand in it.
fn owner_only() -> fs::OpenOptions {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    options
}
