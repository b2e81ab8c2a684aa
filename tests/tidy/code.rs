//! The files of the repository, and Rust read as far as the habits need it:
//! code apart from texts and comments, and what ships apart from tests.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// One file: its path under the repository, and its code apart from its texts.
pub struct Source {
    pub path: String,
    pub text: String,
    /// The code with comments, strings and characters blanked, line for line.
    pub code: String,
    /// The same without what is compiled for tests only.
    pub shipped: String,
    /// Every string with the line it starts on, outside tests.
    pub strings: Vec<(usize, String)>,
}

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

pub fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Every file below a folder, sorted, as a path under the repository.
pub fn files_below(folder: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut folders: Vec<PathBuf> = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder of the repository") {
            let path = entry.expect("an entry of a folder").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let under = path.strip_prefix(root()).expect("a path below the root");
                found.push(under.to_string_lossy().replace('\\', "/"));
            }
        }
    }
    found.sort();
    found
}

/// Every Rust file of the program and of its tests, read once.
fn all() -> &'static [Source] {
    static ALL: OnceLock<Vec<Source>> = OnceLock::new();
    ALL.get_or_init(|| {
        let files = ["src", "tests"].map(files_below).concat();
        let sources = files.iter().filter(|path| path.ends_with(".rs"));
        let all: Vec<Source> = sources.map(|path| source(path)).collect();
        let for_tests = modules_for_tests(&all);
        let mut all = all;
        for source in &mut all {
            if for_tests.iter().any(|it| source.path.starts_with(it)) {
                source.shipped.clear();
                source.strings.clear();
            }
        }
        all
    })
}

fn source(path: &str) -> Source {
    let text = read(path);
    let (code, strings) = parted(&text);
    let shipped = without_tests(&code);
    let strings = strings
        .into_iter()
        .filter(|(at, _)| shipped.as_bytes()[*at] == b'"')
        .map(|(at, string)| (line_of(&text, at), string))
        .collect();
    Source {
        path: path.to_owned(),
        text,
        code,
        shipped,
        strings,
    }
}

/// The sources of the program and of its tests.
pub fn everything() -> impl Iterator<Item = &'static Source> {
    all().iter()
}

/// The sources of the program.
pub fn program() -> impl Iterator<Item = &'static Source> {
    all().iter().filter(|it| it.path.starts_with("src/"))
}

pub fn line_of(text: &str, at: usize) -> usize {
    text.as_bytes()[..at]
        .iter()
        .filter(|byte| **byte == b'\n')
        .count()
        + 1
}

/// Code with comments and literals blanked, and the strings by place. Every
/// byte keeps its place; a string keeps its first quotation mark.
pub fn parted(text: &str) -> (String, Vec<(usize, String)>) {
    let bytes = text.as_bytes();
    let mut code = bytes.to_vec();
    let mut strings = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let rest = &bytes[at..];
        let end = at
            + match rest[0] {
                b'/' if rest.starts_with(b"//") => until(rest, b"\n"),
                b'/' if rest.starts_with(b"/*") => block_comment(rest),
                b'"' => plain_string(rest),
                b'r' if is_raw(rest) && !in_a_word(bytes, at) => raw_string(rest),
                b'\'' => character(rest),
                _ => 0,
            };
        if end == at {
            at += 1;
            continue;
        }
        let is_string = rest[0] == b'"' || rest[0] == b'r';
        if is_string {
            strings.push((at, text[at..end].to_owned()));
        }
        for byte in &mut code[at..end] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
        if is_string {
            code[at] = b'"';
        }
        at = end;
    }
    (String::from_utf8_lossy(&code).into_owned(), strings)
}

pub fn until(rest: &[u8], mark: &[u8]) -> usize {
    let found = rest.windows(mark.len()).position(|window| window == mark);
    found.unwrap_or(rest.len())
}

pub fn block_comment(rest: &[u8]) -> usize {
    let (mut depth, mut at) = (0, 0);
    while at < rest.len() {
        match &rest[at..] {
            it if it.starts_with(b"/*") => (depth, at) = (depth + 1, at + 2),
            it if it.starts_with(b"*/") && depth == 1 => return at + 2,
            it if it.starts_with(b"*/") => (depth, at) = (depth - 1, at + 2),
            _ => at += 1,
        }
    }
    rest.len()
}

pub fn plain_string(rest: &[u8]) -> usize {
    let mut at = 1;
    while at < rest.len() && rest[at] != b'"' {
        at += if rest[at] == b'\\' { 2 } else { 1 };
    }
    at + 1
}

pub fn is_raw(rest: &[u8]) -> bool {
    let hashes = rest[1..].iter().take_while(|byte| **byte == b'#').count();
    rest.get(1 + hashes) == Some(&b'"')
}

pub fn raw_string(rest: &[u8]) -> usize {
    let hashes = rest[1..].iter().take_while(|byte| **byte == b'#').count();
    let end = [b"\"".as_slice(), &vec![b'#'; hashes]].concat();
    2 + hashes + until(&rest[2 + hashes..], &end) + end.len()
}

pub fn in_a_word(bytes: &[u8], at: usize) -> bool {
    at > 0 && is_word(bytes[at - 1]) && bytes[at - 1] != b'b'
}

pub fn is_word(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'_'
}

/// A character, or nothing for a lifetime.
pub fn character(rest: &[u8]) -> usize {
    if rest.get(1) == Some(&b'\\') {
        return 3 + until(&rest[3..], b"'") + 1;
    }
    let width = match rest.get(1) {
        Some(byte) if *byte >= 0xf0 => 4,
        Some(byte) if *byte >= 0xe0 => 3,
        Some(byte) if *byte >= 0xc0 => 2,
        _ => 1,
    };
    if rest.get(1 + width) == Some(&b'\'') {
        width + 2
    } else {
        0
    }
}

/// Blanks every item under `#[cfg(test)]`.
pub fn without_tests(code: &str) -> String {
    const MARK: &str = "#[cfg(test)]";
    let mut shipped = code.as_bytes().to_vec();
    for (at, _) in code.match_indices(MARK) {
        let after = at + MARK.len();
        let end = after + item_end(&code.as_bytes()[after..]);
        for byte in &mut shipped[at..end] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
    }
    String::from_utf8_lossy(&shipped).into_owned()
}

/// The end of an item: its semicolon, or the brace that closes its body.
pub fn item_end(code: &[u8]) -> usize {
    let (mut braces, mut others) = (0_i32, 0_i32);
    for (at, byte) in code.iter().enumerate() {
        match byte {
            b'(' | b'[' => others += 1,
            b')' | b']' => others -= 1,
            b'{' => braces += 1,
            b'}' => {
                braces -= 1;
                if braces == 0 {
                    return at + 1;
                }
            }
            b';' if braces == 0 && others == 0 => return at + 1,
            _ => {}
        }
    }
    code.len()
}

/// Paths of modules that a file declares for tests only.
pub fn modules_for_tests(all: &[Source]) -> Vec<String> {
    let mut found = Vec::new();
    for source in all {
        for (at, mark) in source.code.match_indices("#[cfg(test)]") {
            let item = source.code[at + mark.len()..].trim_start();
            let Some(name) = item.strip_prefix("mod ").and_then(|it| it.split_once(';')) else {
                continue;
            };
            if name.0.bytes().all(is_word) {
                // The modules of `a/mod.rs` stand in `a/`, those of `a/b.rs` in `a/b/`.
                let folder = match source.path.strip_suffix("mod.rs") {
                    Some(folder) => folder.to_owned(),
                    None => format!("{}/", source.path.trim_end_matches(".rs")),
                };
                found.extend([
                    format!("{folder}{}.rs", name.0),
                    format!("{folder}{}/", name.0),
                ]);
            }
        }
    }
    found
}

/// Every place of a word that stands alone.
pub fn places<'a>(code: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    let bytes = code.as_bytes();
    let open = |at: Option<usize>| {
        at.and_then(|it| bytes.get(it))
            .is_none_or(|it| !is_word(*it))
    };
    code.match_indices(word)
        .map(|(at, _)| at)
        .filter(move |at| {
            open(at.checked_sub(1))
                && (!is_word(word.as_bytes()[word.len() - 1]) || open(Some(at + word.len())))
        })
}

pub fn none_of(problems: &[String]) {
    assert!(problems.is_empty(), "\n{}\n", problems.join("\n"));
}

#[test]
fn code_is_told_from_comments_texts_and_tests() {
    let text = r##"
fn one<'a>(it: &'a str) -> char { /* a(); /* b(); */ */ '"' } // c();
const TWO: &str = "d(); \" // e();";
const THREE: &str = r#"f(); " g();"#; const FOUR: &[u8] = b"h();"; let k = '\'';
#[cfg(test)]
mod tests { fn five() { let i = [0; 2]; j(); } }
#[cfg(test)]
const SIX: [u8; 2] = [l(), 0];
fn seven() { m(); }
"##;
    let (code, strings) = parted(text);
    let called = |code: &str| -> String {
        let calls = code.match_indices("();").map(|(at, _)| &code[at - 1..at]);
        calls.collect::<Vec<_>>().join(" ")
    };
    assert_eq!(called(&code), "j m");
    assert_eq!(called(&without_tests(&code)), "m");
    assert!(without_tests(&code).contains("fn seven"));
    assert!(!without_tests(&code).contains("SIX"));
    assert_eq!(strings.len(), 3);
    assert_eq!(code.len(), text.len());
    assert_eq!(code.lines().count(), text.lines().count());
}
