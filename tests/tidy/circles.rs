//! No circle of files: what a file uses never leads back to it.

use std::collections::{BTreeMap, BTreeSet};

use super::code::*;

/// A module by the names that lead to it: `src/dose/checks/crew.rs` is `dose::checks::crew`.
type Module = Vec<String>;

fn module(path: &str) -> Option<Module> {
    let path = path.strip_prefix("src/")?.strip_suffix(".rs")?;
    let path = path.strip_suffix("/mod").unwrap_or(path);
    let names: Module = path.split('/').map(str::to_owned).collect();
    (names != ["lib"] && names != ["main"]).then_some(names)
}

/// The paths of a tree of names, such as `a::{b, c::{d, e}}`.
fn leaves(tree: &str) -> Vec<String> {
    let Some((before, list)) = tree.split_once('{') else {
        let name = tree.split(" as ").next().unwrap_or(tree);
        return vec![name.split_whitespace().collect()];
    };
    let list = list.trim_end().strip_suffix('}').unwrap_or(list);
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for it in list.chars() {
        depth += i32::from(it == '{') - i32::from(it == '}');
        match (it, depth) {
            (',', 0) => parts.push(String::new()),
            _ => parts.last_mut().expect("a part").push(it),
        }
    }
    let parts = parts.iter().map(|it| it.trim()).filter(|it| !it.is_empty());
    let each = parts.flat_map(leaves);
    each.map(|it| format!("{}{it}", before.trim())).collect()
}

/// The paths that a file uses, whether to use or to hand on.
fn used(code: &str) -> Vec<(String, bool)> {
    let mut found = Vec::new();
    let mut rest = String::with_capacity(code.len());
    let mut at = 0;
    for start in places(code, "use ") {
        let begins = start == 0 || code[..start].ends_with(['\n', ' ', '{']);
        let Some(end) = code[start..].find(';').filter(|_| begins && start >= at) else {
            continue;
        };
        let line = code[..start].rsplit('\n').next().unwrap_or_default();
        let tree = &code[start + "use ".len()..start + end];
        let hands_on = line.trim_start().starts_with("pub");
        found.extend(leaves(tree).into_iter().map(|it| (it, hands_on)));
        rest.push_str(&code[at..start]);
        at = start + end;
    }
    rest.push_str(&code[at..]);
    for start in ["crate::", "super::", "self::"] {
        for place in places(&rest, start) {
            if rest[..place].ends_with(|it: char| it.is_alphanumeric() || it == '_' || it == ':') {
                continue;
            }
            let of_path = |it: &char| it.is_alphanumeric() || *it == '_' || *it == ':';
            let path: String = rest[place..].chars().take_while(of_path).collect();
            found.push((path.trim_end_matches(':').to_owned(), false));
        }
    }
    found
}

struct Files {
    /// What each file uses and hands on.
    of: BTreeMap<Module, Vec<(String, bool)>>,
}

impl Files {
    /// A path as names from the top, where it leads into the program.
    fn whole(&self, from: &Module, path: &str) -> Option<Module> {
        let mut names: Vec<String> = path.split("::").map(str::to_owned).collect();
        let mut base = from.clone();
        match names.first().map(String::as_str) {
            Some("crate") => {
                base.clear();
                names.remove(0);
            }
            Some("self") => {
                names.remove(0);
            }
            Some("super") => {
                while names.first().is_some_and(|it| it == "super") {
                    names.remove(0);
                    base.pop();
                }
            }
            Some(name) => {
                let mut child = base.clone();
                child.push(name.to_owned());
                self.of.get(&child)?;
            }
            None => return None,
        }
        base.extend(names);
        Some(base)
    }

    /// The file in which a name stands, through those that hand it on.
    fn home(&self, name: &[String], steps: usize) -> Option<Module> {
        let cut = (1..=name.len())
            .rev()
            .find(|it| self.of.contains_key(&name[..*it]))?;
        let file = name[..cut].to_vec();
        let Some(next) = name.get(cut).filter(|_| steps > 0) else {
            return Some(file);
        };
        let handed = self.of[&file].iter().filter(|(_, hands_on)| *hands_on);
        for (path, _) in handed {
            let ends = path.rsplit("::").next() == Some(next.as_str());
            let on = self
                .whole(&file, path)
                .filter(|it| ends && it.as_slice() != name);
            if let Some(mut on) = on {
                on.extend(name[cut + 1..].iter().cloned());
                return self.home(&on, steps - 1);
            }
        }
        Some(file)
    }

    fn arrows(&self) -> BTreeMap<&Module, BTreeSet<Module>> {
        let homes = |(file, paths): (&Module, &Vec<(String, bool)>)| {
            let mine = paths.iter().filter(|(_, hands_on)| !hands_on);
            let to = mine.filter_map(|(path, _)| self.home(&self.whole(file, path)?, 5));
            to.filter(|it| it != file).collect::<BTreeSet<_>>()
        };
        let each = self.of.iter();
        each.map(|it| (it.0, homes(it))).collect()
    }
}

/// The files of which each leads back to itself, as sets.
fn circles(files: &[(&str, &str)]) -> Vec<BTreeSet<String>> {
    let of = files.iter();
    let of = of.filter_map(|(path, code)| Some((module(path)?, used(code))));
    let files = Files { of: of.collect() };
    let arrows = files.arrows();
    let reach = |from: &Module| {
        let (mut seen, mut ahead) = (BTreeSet::new(), vec![from.clone()]);
        while let Some(file) = ahead.pop() {
            for next in arrows.get(&file).into_iter().flatten() {
                if seen.insert(next.clone()) {
                    ahead.push(next.clone());
                }
            }
        }
        seen
    };
    let reached: BTreeMap<&Module, BTreeSet<Module>> =
        arrows.keys().map(|it| (*it, reach(it))).collect();
    let mut found = BTreeSet::new();
    for (file, to) in reached.iter().filter(|(file, to)| to.contains(**file)) {
        let back = |it: &&Module| reached.get(it).is_some_and(|it| it.contains(*file));
        let circle = to.iter().filter(back).map(|it| it.join("/"));
        found.insert(circle.collect::<BTreeSet<_>>());
    }
    found.into_iter().collect()
}

#[test]
fn no_file_leads_back_to_itself() {
    let files: Vec<(&str, &str)> = program()
        .map(|it| (it.path.as_str(), it.shipped.as_str()))
        .collect();
    let found = circles(&files).into_iter();
    let found: Vec<String> = found
        .map(|it| it.into_iter().collect::<Vec<_>>().join(", "))
        .collect();
    none_of(&found);
}

#[test]
fn a_circle_is_seen_through_what_hands_a_name_on() {
    let circle = |a: &str, b: &str, top: &str| {
        let files = [("src/x/a.rs", a), ("src/x/b.rs", b), ("src/x/mod.rs", top)];
        circles(&files)
            .iter()
            .map(BTreeSet::len)
            .collect::<Vec<_>>()
    };
    let top = "mod a; mod b;\npub use a::A;\npub use b::{B, C};";
    assert_eq!(circle("use super::b::B;", "use super::a::A;", top), [2]);
    assert_eq!(
        circle("use super::{B, C};", "fn b(_: super::A) {}", top),
        [2]
    );
    assert_eq!(
        circle("use crate::x::B;", "use crate::x::{self, A};", top),
        [2]
    );
    assert_eq!(circle("use super::b::B;", "", top), [0; 0]);
    // A name that stands in the folder's own file.
    let own = "mod a; mod b;\nuse a::A;\npub struct T;";
    assert_eq!(circle("use super::T;", "", own), [2]);
}
