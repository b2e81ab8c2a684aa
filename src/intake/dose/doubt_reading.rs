//! What is doubtful about a reading: a dosimeter that nobody knows, an end below its start, more
//! than the dosimeter can show.

use crate::answer::Names;
use crate::intake::file::words::unknown_words;
use crate::quantity::Indication;
use crate::record::{Doubt, DoubtType, Reading, Ref, Sheet};

/// Everything that is doubtful about one reading: its place among those of the person, from 1.
pub(crate) fn doubts_of_reading(
    sheet: &Sheet,
    (at, reading): (i64, &Reading),
    place: i64,
    names: &Names,
    found: &mut Vec<Doubt>,
) {
    let mut push = |kind: DoubtType, about: String| {
        found.push(Doubt {
            about,
            part: Some(reading.part),
            person: Some(place),
            reading: Some(at),
            kind,
            with: None,
        });
    };
    let label = || names.words(&reading.dosimeter);
    if let Ref::Written(words) = &reading.dosimeter {
        let near = names.near_instruments(words);
        push(
            DoubtType::UnknownDosimeter,
            unknown_words("dosimeter", words, &near),
        );
    }
    if let (Some(start), Some(end)) = (reading.start, reading.end)
        && end.count() < start.count()
    {
        let about = format!(
            "`{}` ends at {end}, below its start of {start}; if it was recharged in between, give \
             each part on its own line",
            label()
        );
        push(DoubtType::EndBelowStart, about);
    }
    let body = reading
        .dosimeter
        .known()
        .and_then(|record| names.instrument_body(record.number()));
    let Some(body) = body else { return };
    if let Some((above, top)) = above_range(reading, names) {
        let about = format!(
            "`{}` reads {above}, above its range of {top}: off-scale",
            label()
        );
        push(DoubtType::AboveRange, about);
    }
    if let Some(first) = body.in_service
        && sheet.day < first
    {
        let about = format!(
            "`{}` is in service from {first} on, the shift was on {}",
            label(),
            sheet.day
        );
        push(DoubtType::NotInService, about);
    }
}

/// What a dosimeter shows that is more than it can show, and the top of its range.
pub(crate) fn above_range(reading: &Reading, names: &Names) -> Option<(Indication, Indication)> {
    let dosimeter = reading.dosimeter.known()?;
    let top = names.instrument_body(dosimeter.number())?.top_of_range()?;
    let mut shown = [reading.start, reading.end].into_iter().flatten();
    shown
        .find(|it| it.count() > top.count())
        .map(|it| (it, top))
}

/// The doubts of a sheet that is not written which say that a dosimeter was off its scale.
pub(crate) fn beyond_range(sheet: &Sheet, names: &Names) -> Vec<Doubt> {
    let mut found = Vec::new();
    for (person, place) in sheet.people.iter().zip(1..) {
        for (reading, nth) in person.readings.iter().zip(1..) {
            doubts_of_reading(sheet, (nth, reading), place, names, &mut found);
        }
    }
    found.retain(|it| it.kind == DoubtType::AboveRange);
    found
}

/// Whether a line of readings as it was typed, `0 215 y y`, has more than the dosimeter can show.
pub fn passes_range(names: &Names, dosimeter: &str, typed: &str) -> bool {
    let body = names.find_item(dosimeter);
    let body = body.and_then(|it| names.instrument_body(it.number()));
    let Some((body, top)) = body.and_then(|it| Some((it, it.top_of_range()?))) else {
        return false;
    };
    let words: Vec<&str> = typed.split_whitespace().collect();
    let mut figures = (1..=2).flat_map(|count| words.windows(count));
    figures.any(|it| {
        let shown = Indication::parse(&it.join(" "), body.face_unit());
        shown.is_ok_and(|it| it.count() > top.count())
    })
}
