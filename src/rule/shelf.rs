//! The files beside a rule set file: one that `extends` names is read, and may itself start from
//! another, up to a built-in rule set.

use super::plain::plain;
use super::problem::RuleSetProblems;
use super::rule_set::RuleSet;

/// Reads the text of a file that another starts from, with the places of its sentences open.
pub(super) type ReadBase = fn(&str, &Shelf<'_>) -> Result<RuleSet, RuleSetProblems>;

/// Reads a file by its path from the folder of the first: its text, or why it cannot be read;
/// nothing where there is none.
pub type ReadBeside<'r> = dyn Fn(&str) -> Option<Result<String, String>> + 'r;

/// Where a file finds others.
pub(super) struct Shelf<'r> {
    base: ReadBase,
    read: Option<&'r ReadBeside<'r>>,
    /// The files that start from one another up to this one, by their paths.
    chain: Vec<String>,
}

/// What became of a name.
pub(super) enum Taken {
    Read(Box<RuleSet>),
    /// What is wrong, and what would be right.
    Not(String, String),
    /// There is no such file.
    None,
}

impl<'r> Shelf<'r> {
    /// Without files, for a text that stands alone.
    pub(super) fn new(base: ReadBase, read: Option<&'r ReadBeside<'r>>) -> Self {
        Self {
            base,
            read,
            chain: Vec::new(),
        }
    }

    /// A built-in rule set, whose sentences take their numbers from the file that starts from it.
    pub(super) fn built_in(&self, text: &str) -> Result<RuleSet, RuleSetProblems> {
        (self.base)(text, &Shelf::new(self.base, None))
    }

    /// The rule set of a file, by its path from the file that names it.
    pub(super) fn take(&self, name: &str) -> Taken {
        let from = self.chain.last().and_then(|it| it.rsplit_once('/'));
        let path = match from {
            Some((folder, _)) if !name.starts_with('/') => format!("{folder}/{name}"),
            _ => name.to_owned(),
        };
        let Some(text) = self.read.and_then(|read| read(&path)) else {
            return Taken::None;
        };
        if self.chain.contains(&path) {
            let what = format!("`{name}` starts from itself in the end");
            return Taken::Not(
                what,
                "let one of them start from a built-in rule set".to_owned(),
            );
        }
        let text = match text {
            Ok(text) => text,
            Err(why) => return Taken::Not(why, "name a file that can be read".to_owned()),
        };
        let mut chain = self.chain.clone();
        chain.push(path.clone());
        let shelf = Shelf {
            base: self.base,
            read: self.read,
            chain,
        };
        match plain(&text).and_then(|text| (self.base)(&text, &shelf)) {
            Ok(base) => Taken::Read(Box::new(base)),
            Err(problems) => {
                let first = problems.as_slice().first().map(ToString::to_string);
                let what = format!(
                    "`{name}`, from which it starts, is refused: {}",
                    first.unwrap_or_default()
                );
                Taken::Not(what, format!("mend it first: wearbook rules check {path}"))
            }
        }
    }
}
