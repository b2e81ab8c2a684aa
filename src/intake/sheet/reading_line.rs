//! A line of readings as a crew types it: what a dosimeter showed, in one part or several, and yes
//! or no to what was asked with it.

use super::reading::says_off_scale;

/// Which readings a line has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// The first: at the start of the shift.
    Start,
    /// The last: the first is on record.
    End,
    /// Both: nothing was recorded at the start.
    Both,
}

/// A part of a shift with one dosimeter: what it showed at the beginning and at the end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The first; blank where it is on record.
    pub start: String,
    /// As it was typed, also where it says that the dosimeter was off its scale.
    pub end: String,
    /// Whether that says so.
    pub off: bool,
}

/// One line: the readings, and yes or no to what was asked with them.
pub type Line = (Vec<Part>, Vec<bool>);

/// Reads `0 12 y y`, `0 off y y`, `0 12 / 0 8 y n`: all that is asked behind the readings, or
/// nothing of it.
pub fn read_line(typed: &str, asked: usize, wanted: Wanted) -> Result<Line, String> {
    let mut words: Vec<&str> = typed.split_whitespace().collect();
    let mut answers = Vec::new();
    while let Some(answer) = words.last().and_then(|it| yes(it)) {
        answers.insert(0, answer);
        words.pop();
    }
    if !answers.is_empty() && answers.len() != asked {
        return Err(match asked {
            0 => "nothing is asked after the readings".to_owned(),
            1 => "one answer after the readings, y or n".to_owned(),
            many => format!("{many} answers after the readings, each y or n, or none of them"),
        });
    }
    let mut parts = Vec::new();
    for words in words.split(|it| *it == "/") {
        let known = wanted == Wanted::End && parts.is_empty();
        let part = match (wanted, known) {
            (Wanted::Start, _) => start_alone(words).filter(|_| parts.is_empty()),
            (_, true) => end_alone(words),
            _ if !parts.is_empty() && says_off_scale(&words.join(" ")) => end_alone(words),
            _ => part(words),
        };
        let Some(part) = part else {
            let behind = " y".repeat(asked);
            return Err(match wanted {
                Wanted::Start => format!("the reading now, such as `0{behind}`"),
                Wanted::End => format!("the reading now, such as `12{behind}`, or `off{behind}`"),
                Wanted::Both => format!(
                    "two readings, such as `0 12{behind}`, or `0 off{behind}` when it is off its \
                     scale"
                ),
            });
        };
        parts.push(part);
    }
    Ok((parts, answers))
}

/// Whether a line of readings, as it was typed, has one that is off its scale.
pub fn has_off_scale(typed: &str) -> bool {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let parts = words.split(|it| *it == "/");
    let mut alone = parts.flat_map(|part| (1..=3).flat_map(|count| part.windows(count)));
    alone.any(|it| says_off_scale(&it.join(" ")))
}

fn start_alone(words: &[&str]) -> Option<Part> {
    match words {
        [] | [_, _, _, ..] => None,
        words => Some(Part {
            start: words.join(" "),
            end: String::new(),
            off: false,
        }),
    }
}

fn end_alone(words: &[&str]) -> Option<Part> {
    let end = words.join(" ");
    let off = says_off_scale(&end);
    let fits = off || matches!(words.len(), 1 | 2);
    fits.then(|| Part {
        start: String::new(),
        end,
        off,
    })
}

/// A start and an end, each with its unit behind it or not; or a start, and that the dosimeter was
/// off its scale in as many words as it takes.
fn part(words: &[&str]) -> Option<Part> {
    let parted = |at: usize| {
        let (start, end) = words.split_at_checked(at)?;
        let (start, end) = (start.join(" "), end.join(" "));
        (!says_off_scale(&start)).then_some((start, end))
    };
    let mut both = [2, 1].into_iter().filter_map(parted);
    let off = both.find(|it| says_off_scale(&it.1));
    let figures = match words.len() {
        2 => parted(1),
        4 => parted(2),
        _ => None,
    };
    let is_off = off.is_some();
    let (start, end) = off.or(figures)?;
    Some(Part {
        start,
        end,
        off: is_off,
    })
}

/// Yes or no, as it is typed.
pub fn yes(typed: &str) -> Option<bool> {
    match typed.to_lowercase().as_str() {
        "y" | "yes" => Some(true),
        "n" | "no" => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(yes: bool) -> &'static str {
        if yes { "yes" } else { "no" }
    }

    fn shown(typed: &str, wanted: Wanted) -> Option<String> {
        let (parts, answers) = read_line(typed, 2, wanted).ok()?;
        let parts = parts.iter().map(|it| {
            let end = if it.off { "off" } else { &it.end };
            format!("{}>{end}", it.start)
        });
        let answers = answers.iter().map(|it| word(*it).to_owned());
        Some(parts.chain(answers).collect::<Vec<_>>().join(" "))
    }

    #[test]
    fn readings_are_typed_in_one_line() {
        for (typed, expected) in [
            ("0 12", Some("0>12")),
            ("0 OFF", Some("0>off")),
            ("0 o/s y n", Some("0>off yes no")),
            ("0mR 12mR", Some("0mR>12mR")),
            ("0 mR 12 mR yes no", Some("0 mR>12 mR yes no")),
            ("0 mR off", Some("0 mR>off")),
            ("0 >200 y y", Some("0>off yes yes")),
            ("0 > 200", Some("0>off")),
            ("0 mR > 200 mR n y", Some("0 mR>off no yes")),
            ("0 >=200 mR", Some("0>off")),
            ("0 200+", Some("0>off")),
            ("0 mR 200+ y y", Some("0 mR>off yes yes")),
            ("0 mR 200 mR+", Some("0 mR>off")),
            ("0 O.S.", Some("0>off")),
            ("0 pegged", Some("0>off")),
            ("0 mR off scale", Some("0 mR>off")),
            ("0 Off-Scale", Some("0>off")),
            ("0 over 200 mR", Some("0>off")),
            ("0 12 / off y y", Some("0>12 >off yes yes")),
            ("0 12 / 0 > 200", Some("0>12 0>off")),
            ("off off", None),
            ("0 >", Some("0>>")),
            ("0 12 / 0 8", Some("0>12 0>8")),
            ("0 12 / 0 8 n y", Some("0>12 0>8 no yes")),
            ("0 12 y", None),
            ("0 12 y y y", None),
            ("12", None),
            ("", None),
            ("y y", None),
            ("0 12 8", None),
        ] {
            assert_eq!(shown(typed, Wanted::Both).as_deref(), expected, "{typed}");
        }
    }

    #[test]
    fn a_reading_whose_start_is_on_record_and_one_at_the_start_are_one_figure() {
        for (typed, wanted, expected) in [
            ("12", Wanted::End, Some(">12")),
            ("12 mR y n", Wanted::End, Some(">12 mR yes no")),
            ("off", Wanted::End, Some(">off")),
            (">200", Wanted::End, Some(">off")),
            ("> 200 mR y n", Wanted::End, Some(">off yes no")),
            ("200+", Wanted::End, Some(">off")),
            ("off scale y y", Wanted::End, Some(">off yes yes")),
            ("O.S.", Wanted::End, Some(">off")),
            ("12 / off", Wanted::End, Some(">12 >off")),
            ("12 / 0 pegged", Wanted::End, Some(">12 0>off")),
            ("12 / 0 8", Wanted::End, Some(">12 0>8")),
            ("12 / 8", Wanted::End, None),
            ("", Wanted::End, None),
            ("0 y y", Wanted::Start, Some("0> yes yes")),
            ("0 mR", Wanted::Start, Some("0 mR>")),
            ("0 / 0", Wanted::Start, None),
            ("y y", Wanted::Start, None),
        ] {
            assert_eq!(shown(typed, wanted).as_deref(), expected, "{typed}");
        }
    }
}
