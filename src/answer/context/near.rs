//! Names that are spelled nearly like another one.

/// At most three names that are spelled nearly like this one. First come those that differ in
/// signs between letters and figures and in noughts before them alone, as `D1` from `D-01`.
pub fn near<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Vec<String> {
    const NEAR_ENOUGH: f64 = 0.75;
    let name = name.to_lowercase();
    let parts = parts_of(&name);
    let likeness = |it: &str| {
        let it = it.to_lowercase();
        match parts_of(&it) == parts {
            true => 2.0,
            false => strsim::jaro_winkler(&name, &it),
        }
    };
    if parts.is_empty() {
        return Vec::new();
    }
    let mut found: Vec<(f64, &str)> = known
        .map(|it| (likeness(it), it))
        .filter(|(likeness, _)| *likeness >= NEAR_ENOUGH)
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    found
        .into_iter()
        .take(3)
        .map(|(_, it)| it.to_owned())
        .collect()
}

/// The runs of letters and of figures of a name, without noughts before a figure.
fn parts_of(name: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    for word in name.split(|it: char| !it.is_alphanumeric()) {
        let mut rest = word;
        while let Some(first) = rest.chars().next() {
            let figures = first.is_ascii_digit();
            let end = rest.find(|it: char| it.is_ascii_digit() != figures);
            let (part, after) = rest.split_at(end.unwrap_or(rest.len()));
            parts.push(match part.trim_start_matches('0') {
                "" if figures => "0",
                trimmed if figures => trimmed,
                _ => part,
            });
            rest = after;
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_finds_those_that_are_nearly_spelled_so() {
        let ids = ["D-01", "D-1-1", "D-11", "PD-08", "RM-07", "W02", "W12"];
        for (typed, first) in [
            ("D1", "D-01"),
            ("d-1", "D-01"),
            ("D 001", "D-01"),
            ("d11", "D-11"),
            ("d1-1", "D-1-1"),
            ("w2", "W02"),
            ("W-2", "W02"),
            ("rm7", "RM-07"),
            ("pd_8", "PD-08"),
            ("xyz", "none"),
            ("-", "none"),
        ] {
            let near = near(typed, ids.into_iter());
            assert_eq!(
                near.first().map_or("none", String::as_str),
                first,
                "{typed}"
            );
        }
        assert_eq!(parts_of("j-012-3a0"), ["j", "12", "3", "a", "0"]);
        assert_ne!(parts_of("d-1-1"), parts_of("d-11"));
    }
}
