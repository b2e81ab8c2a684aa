//! An answer as JSON, in one envelope.

use serde::Serialize;

use crate::text::in_json;

/// The number of the envelope's form. It changes when a field changes meaning
/// or goes; new fields do not change it.
const SCHEMA: i64 = 1;

#[derive(Serialize)]
struct Envelope<'a, T> {
    schema: i64,
    program: &'static str,
    what: &'a str,
    clock: &'static str,
    data: &'a T,
}

/// Renders an answer. Doses are integers in nanosievert (`..._nsv`), each with
/// a form for people beside it.
pub fn json<T: Serialize>(
    what: &str,
    scripted_clock: bool,
    answer: &T,
) -> Result<String, serde_json::Error> {
    let clock = if scripted_clock { "scripted" } else { "system" };
    let envelope = Envelope {
        schema: SCHEMA,
        program: concat!("wearbook ", env!("CARGO_PKG_VERSION")),
        what,
        clock,
        data: answer,
    };
    serde_json::to_string_pretty(&envelope).map(|text| in_json(text) + "\n")
}
