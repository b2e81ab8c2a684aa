//! A rule file being written, field by field.

use std::fmt::Display;

use super::event::KeyedText;
use super::word::Status;

/// A text in quotes, with what TOML wants escaped.
pub(super) fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}

/// A file being written, field by field.
#[derive(Default)]
pub(super) struct Text(String);

impl Text {
    pub(super) fn into_string(self) -> String {
        self.0
    }

    pub(super) fn section(&mut self, header: &str) {
        self.0.push('\n');
        self.0.push_str(header);
        self.0.push('\n');
    }

    pub(super) fn text(&mut self, field: &str, value: &str) {
        self.bare(field, quoted(value));
    }

    pub(super) fn texts<'a>(&mut self, field: &str, values: impl Iterator<Item = &'a str>) {
        let each: Vec<String> = values.map(quoted).collect();
        self.bare(field, format!("[{}]", each.join(", ")));
    }

    pub(super) fn keyed(&mut self, field: &str, list: &[KeyedText]) {
        let texts = list.iter();
        let texts: Vec<String> = texts.map(|it| format!("{}: {}", it.key, it.text)).collect();
        self.texts(field, texts.iter().map(String::as_str));
    }

    pub(super) fn bare(&mut self, field: &str, value: impl Display) {
        self.0.push_str(&format!("{field} = {value}\n"));
    }

    pub(super) fn basis(&mut self, citation: &str, status: Status, meaning: &str) {
        self.text("citation", citation);
        self.text("status", status.name());
        self.text("meaning", meaning);
    }
}
