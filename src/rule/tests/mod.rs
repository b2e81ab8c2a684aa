//! Rule set files as sites write them, right and wrong.

mod chain;
mod notification;
mod removed;
mod site;
mod wrong;

use super::RuleSet;

/// A site's own file: a head that starts from the United States' rule set, then `rest`.
pub(super) fn site(rest: &str) -> String {
    format!("rule_set = \"our site\"\ntitle = \"Our site\"\nextends = \"10 CFR\"\n{rest}")
}

/// A level of a site's file in one line: key, kind, who, window, dose.
pub(super) fn level(cells: [&str; 5]) -> String {
    let [key, kind, who, window, dose] = cells;
    format!(
        "[[level]]\nkey = \"{key}\"\nsort = \"{kind}\"\nquantity = \"deep\"\n\
         applies_to = \"{who}\"\nwindow = \"{window}\"\ndose = \"{dose}\"\n\
         citation = \"procedure 4\"\nstatus = \"read\"\nmeaning = \"ours\"\n"
    )
}

pub(super) fn read(text: &str) -> RuleSet {
    RuleSet::parse(text).unwrap_or_else(|problems| panic!("{problems}\n\n{text}"))
}

/// The problems of a file, one a line, as a person sees them.
pub(super) fn problems(text: &str) -> Vec<String> {
    match RuleSet::parse(text) {
        Ok(_) => Vec::new(),
        Err(problems) => problems
            .as_slice()
            .iter()
            .map(ToString::to_string)
            .collect(),
    }
}

pub(super) fn cautions(text: &str) -> Vec<String> {
    read(text)
        .cautions()
        .iter()
        .map(ToString::to_string)
        .collect()
}
