//! Where copies of the ledger are, and how old the newest is.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::review::to_do::ToDo;
use crate::calendar::{Day, Instant};
use crate::ledger::CopyFolder;
use crate::text::counted;

/// Hours after which a copy is too old, where something was written since.
const TOO_OLD_H: i64 = 48;

/// One folder of copies.
#[derive(Debug, Clone, Serialize)]
pub struct CopyLine {
    /// The folder.
    pub folder: String,
    /// How old the newest copy is and what it lacks, in one line.
    pub words: String,
    /// When the newest was made; nothing where there is none.
    pub made_at: Option<Instant>,
    /// How many entries came later.
    pub behind: Option<i64>,
    /// Whether somebody has to see to it: none, none for long, gone, or the last try failed.
    pub needs_somebody: bool,
}

impl CopyLine {
    /// What somebody has to do about it.
    pub(crate) fn to_do(&self) -> Option<ToDo> {
        let about = format!("copies in {}", self.folder);
        let ends = "wearbook ledger copies --dir DIR; if it is no folder for copies any more, the \
                    same with --forget";
        self.needs_somebody
            .then(|| ToDo::new("due", about, &self.words, ends))
    }
}

/// The folders of copies, on the day that it is. What stood on another day nobody noted.
pub(crate) fn copies(
    house: &OpenHouse<'_>,
    (on, now): (Day, Instant),
) -> Result<Vec<CopyLine>, AnswerError> {
    if house.today(now) != on {
        return Ok(Vec::new());
    }
    let (count, _) = house.snapshot.head()?;
    let all = house.snapshot.copy_folders()?;
    // Where none was ever made, a good copy elsewhere after the last try ends it: somebody named
    // another folder then.
    let made = all.iter().filter(|it| it.is_there && it.failed.is_none());
    let newest = made
        .filter_map(|it| it.newest.as_ref())
        .map(|it| it.1)
        .max();
    let is_over = |it: &CopyFolder| {
        let tried = it.failed.as_ref().map(|it| it.0);
        it.newest.is_none() && tried.is_none_or(|at| newest.is_some_and(|made| made >= at))
    };
    let all = all.into_iter().filter(|it| !is_over(it));
    Ok(all.map(|it| line(house, &it, count, now)).collect())
}

fn line(house: &House, it: &CopyFolder, count: i64, now: Instant) -> CopyLine {
    let at = |it: Instant| format!("{} {}", house.today(it), house.hour(it));
    let mut words = Vec::new();
    let made = it.newest.as_ref();
    let behind = made.map(|it| count - it.2);
    let hours = made.map(|it| (now - it.1).num_hours());
    match made {
        None => words.push("no copy yet".to_owned()),
        Some((file, made_at, ..)) => {
            let age = age(hours.unwrap_or_default());
            let lacks = match behind.unwrap_or_default() {
                0 => "nothing was written since".to_owned(),
                more => format!("{} since", counted(more, "entry", "entries")),
            };
            words.push(format!("{file} of {} is {age}, {lacks}", at(*made_at)));
        }
    }
    if made.is_some() && !it.is_there {
        words.push("IT IS NOT THERE any more".to_owned());
    }
    if let Some((moment, why)) = &it.failed {
        words.push(format!("the last try, {}, failed: {why}", at(*moment)));
    }
    match it.drilled_at {
        Some(moment) => words.push(format!("last drill {}", at(moment))),
        None if made.is_some() => {
            words.push("never tried (wearbook ledger copies --drill --dir DIR)".to_owned());
        }
        None => {}
    }
    let is_old = hours.is_some_and(|it| it > TOO_OLD_H) && behind != Some(0);
    CopyLine {
        folder: it.folder.display().to_string(),
        words: words.join("; "),
        made_at: made.map(|it| it.1),
        behind,
        needs_somebody: made.is_none() || !it.is_there || it.failed.is_some() || is_old,
    }
}

/// How long ago, in hours and then in days.
fn age(hours: i64) -> String {
    match hours {
        ..=0 => "less than an hour old".to_owned(),
        1..=47 => format!("{} old", counted(hours, "hour", "hours")),
        _ => format!("{} old", counted(hours / 24, "day", "days")),
    }
}
