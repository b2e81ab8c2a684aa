//! Where pages are and what they are called: addresses, titles, and which page leads to which form.

use super::acts::title_of_act;
use super::pages::{PAGES, Shown, encoded};

/// The commands that are pages, with the flags that their addresses may carry.
pub fn commands() -> impl Iterator<Item = (&'static [&'static str], &'static [&'static str])> {
    PAGES.iter().map(|it| (it.words, it.flags))
}

/// Whether a page leads to a form.
fn leads_to(page: &Shown, words: &[&str]) -> bool {
    let form = format!("/do/{}", words.join("/"));
    page.then.iter().any(|it| it.trim_end_matches("/*") == form)
}

/// The pages that lead to a form about something: what each is called, and its address.
pub fn back(words: &[&str], name: &str) -> Vec<(String, String)> {
    let found = PAGES.iter().filter(|it| leads_to(it, words));
    let found = found.filter(|it| !name.is_empty() || !it.at.contains(&"*"));
    found
        .map(|page| (page.titled(name), page.address(name)))
        .collect()
}

/// The page on which somebody chooses what a form is about.
pub fn choice(words: &[&str]) -> Option<&'static Shown> {
    let noun = words.first();
    let mut found = PAGES.iter().filter(|it| leads_to(it, words));
    found
        .find(|it| it.words.first() == noun || !it.at.contains(&"*"))?
        .of_all()
}

impl Shown {
    /// Its title, with the name of what it is about.
    pub fn titled(&self, name: &str) -> String {
        match self.at.contains(&"*") && !name.is_empty() {
            true => format!("{}: {name}", self.title),
            false => self.title.to_owned(),
        }
    }

    /// Its address about something of this name.
    pub fn address(&self, name: &str) -> String {
        let parts = self.at.iter().map(|part| match *part {
            "*" => encoded(name),
            part => part.to_owned(),
        });
        format!("/{}", parts.collect::<Vec<_>>().join("/"))
    }

    /// The page that lists what a page of one thing is about; itself where it is about all.
    pub fn of_all(&'static self) -> Option<&'static Shown> {
        let before: Vec<&str> = self
            .at
            .iter()
            .copied()
            .take_while(|it| *it != "*")
            .collect();
        PAGES.iter().find(|it| it.at == before)
    }
}

/// What the page or the form of an address is called.
pub fn title_of(to: &str) -> String {
    let (to, _) = to.split_once('?').unwrap_or((to, ""));
    let parts: Vec<&str> = to.split('/').filter(|it| !it.is_empty()).collect();
    match parts.as_slice() {
        ["do", words @ ..] => title_of_act(words),
        ["month"] => "Month".to_owned(),
        ["more"] => "More".to_owned(),
        ["photo"] => "Add a photo or paper".to_owned(),
        ["evidence", _, "file"] => "Its file".to_owned(),
        path => find(path).map_or_else(String::new, |it| it.0.title.to_owned()),
    }
}

/// Where pages lead to: the forms that follow from them.
#[cfg(test)]
pub fn forms() -> impl Iterator<Item = &'static str> {
    let all = PAGES.iter().flat_map(|it| it.then);
    all.filter_map(|it| it.strip_prefix("/do/"))
}

/// The page of an address, and the name in it.
pub fn find<'a>(path: &[&'a str]) -> Option<(&'static Shown, Option<&'a str>)> {
    let fits = |it: &&Shown| {
        let pairs = it.at.iter().zip(path);
        it.at.len() == path.len() && pairs.clone().all(|(at, is)| *at == "*" || at == is)
    };
    let page = PAGES.iter().find(fits)?;
    let place = page.at.iter().position(|it| *it == "*");
    Some((page, place.and_then(|at| path.get(at).copied())))
}

/// Whether a page stands at an address.
pub fn is_at(page: &Shown, to: &str) -> bool {
    page.at
        .iter()
        .copied()
        .eq(to.split('/').filter(|it| !it.is_empty()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_from_a_page_is_a_page_or_a_form() {
        for to in PAGES.iter().flat_map(|it| it.then) {
            let (to, _) = to.split_once('?').unwrap_or((to, ""));
            let parts: Vec<&str> = to.split('/').filter(|it| !it.is_empty()).collect();
            let is_there = match parts.split_first() {
                Some((&"do", words)) => {
                    super::super::acts::commands().any(|(command, _)| words.starts_with(command))
                }
                // A photo or paper itself, and the form that takes one in, are no reports.
                Some((&"evidence", ["*", "file"]) | (&"photo", [])) => true,
                _ => find(&parts).is_some(),
            };
            assert!(is_there, "{to}");
        }
    }

    #[test]
    fn every_page_and_form_has_a_title_of_its_own_that_is_no_command() {
        let mut seen = std::collections::BTreeSet::new();
        let forms = super::super::acts::commands().map(|(words, _)| title_of_act(words));
        let pages = PAGES.iter().map(|it| it.title.to_owned());
        for title in pages.chain(forms) {
            let first = title.chars().next();
            assert!(first.is_some_and(char::is_uppercase), "{title}");
            assert!(!title.contains(['/', '*', '_']), "{title}");
            assert!(seen.insert(title.clone()), "twice: {title}");
        }
        for to in PAGES.iter().flat_map(|it| it.then) {
            assert!(!title_of(to).is_empty(), "{to}");
        }
    }
}
