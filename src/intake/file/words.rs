//! Words that refusals share.

pub(crate) fn did_you_mean(near: &[String], otherwise: &str) -> String {
    match near {
        [] => otherwise.to_owned(),
        names => format!("did you mean {}? else {otherwise}", quoted(names)),
    }
}

/// Names in backquotes, as a sentence lists them.
pub(crate) fn quoted(names: &[String]) -> String {
    names
        .iter()
        .map(|name| format!("`{name}`"))
        .collect::<Vec<_>>()
        .join(" or ")
}

pub(crate) fn with_article(word: &str) -> String {
    match word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        true => format!("an {word}"),
        false => format!("a {word}"),
    }
}

pub(crate) fn unknown_words(what: &str, words: &str, near: &[String]) -> String {
    match near {
        [] => format!("the ledger knows no {what} `{words}`"),
        near => format!(
            "the ledger knows no {what} `{words}`; did you mean {}?",
            quoted(near)
        ),
    }
}
