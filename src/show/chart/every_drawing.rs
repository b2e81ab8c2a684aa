//! Tests: what holds of every drawing.

use super::inspect::{Drawing, number, points};
use super::svg::Patch;
use super::{crew_inspect, png, style, trace_inspect, wear_inspect, words, year_inspect};

/// Every drawing of the tests by its name.
fn all() -> Vec<(String, String)> {
    let mut all = year_inspect::drawings();
    all.extend(crew_inspect::drawings());
    all.extend(wear_inspect::drawings());
    all.extend(trace_inspect::drawings());
    all
}

/// Writes every drawing as SVG and PNG for a person to look at:
/// `WEARBOOK_CHARTS=DIR cargo test --lib charts_to_look_at -- --ignored`.
#[test]
#[ignore = "writes pictures to look at"]
fn charts_to_look_at() {
    let dir = std::path::PathBuf::from(std::env::var("WEARBOOK_CHARTS").unwrap());
    for (name, svg) in all() {
        std::fs::write(dir.join(format!("{name}.svg")), &svg).unwrap();
        let picture = png::png(&svg, 1200).unwrap();
        std::fs::write(dir.join(format!("{name}.png")), picture).unwrap();
    }
}

#[test]
fn every_drawing_has_its_size_its_role_a_title_and_its_caution_in_picture_and_words() {
    for (name, svg) in all() {
        let drawing = Drawing::of(&svg);
        let root = drawing.0.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{name}");
        assert_eq!(root.attribute("width"), Some("160.0mm"), "{name}");
        let title = root.children().find(|n| n.has_tag_name("title"));
        assert!(title.is_some_and(|it| it.text().is_some()), "{name}");
        let drawn = drawing.words("words").join(" ");
        let caution = if name.starts_with("ranking") {
            "few events prove little"
        } else {
            "Caution: "
        };
        assert!(drawn.contains(caution), "{name}: {drawn}");
        assert!(
            drawing.told().contains(caution),
            "{name}: {}",
            drawing.told()
        );
        let ascii = svg.is_ascii() || name.starts_with("hostile");
        assert!(ascii, "{name}: axes and words of ours are ASCII");
    }
}

#[test]
fn no_text_touches_another_or_leaves_the_paper_or_is_small() {
    for (name, svg) in all() {
        let drawing = Drawing::of(&svg);
        let high = drawing.0.root_element().attribute("viewBox").unwrap();
        let high: i32 = high.rsplit(' ').next().unwrap().parse().unwrap();
        let mut placed: Vec<(String, Patch)> = Vec::new();
        for node in drawing.0.descendants().filter(|n| n.has_tag_name("text")) {
            let text = node.text().unwrap_or_default().trim().to_owned();
            let size = number(node, "font-size").round() as i32;
            assert!(size >= 25, "{name}: `{text}` is below 7 point");
            let wide = words::width(&text, size);
            let (x, y) = (number(node, "x") as i32, number(node, "y") as i32);
            let left = match node.attribute("text-anchor").unwrap() {
                "start" => x,
                "middle" => x - wide / 2,
                _ => x - wide,
            };
            let patch = Patch {
                left,
                right: left + wide,
                top: y - size / 2,
                bottom: y + size / 2,
            };
            let inside = patch.left >= 0 && patch.right <= style::WIDTH;
            let inside = inside && patch.top >= 0 && patch.bottom <= high;
            assert!(inside, "{name}: {text} {patch:?}");
            for (other, there) in &placed {
                assert!(!patch.meets(there), "{name}: `{text}` on `{other}`");
            }
            placed.push((text, patch));
        }
    }
}

/// What is clipped may run on under the edge; nothing else leaves the paper.
#[test]
fn nothing_is_cut_off_at_the_edge_of_the_paper() {
    for (name, svg) in all() {
        let drawing = Drawing::of(&svg);
        let high = drawing.0.root_element().attribute("viewBox").unwrap();
        let high: f64 = high.rsplit(' ').next().unwrap().parse().unwrap();
        for node in drawing.0.descendants() {
            let mut above = node.ancestors();
            if above.any(|it| it.attribute("clip-path").is_some()) {
                continue;
            }
            let places = match node.tag_name().name() {
                "polyline" | "polygon" => points(node),
                "circle" => vec![(number(node, "cx"), number(node, "cy"))],
                _ => continue,
            };
            for (x, y) in places {
                let inside = (0.0..=f64::from(style::WIDTH)).contains(&x);
                assert!(
                    inside && (0.0..=high).contains(&y),
                    "{name}: {x},{y} in {high}"
                );
            }
        }
    }
}

/// Text at least 4.5:1 on the paper, marks at least 3:1 on paper and band; what is only a ground
/// or a grid carries no meaning alone and is named here.
#[test]
fn every_word_and_mark_stands_out() {
    let grounds = [style::PAPER, style::GRID, style::BAND].map(hex);
    for (name, svg) in all() {
        let drawing = Drawing::of(&svg);
        for node in drawing.0.descendants() {
            let colours = ["fill", "stroke"]
                .iter()
                .filter_map(|it| node.attribute(*it));
            for colour in colours {
                let Some(found) = rgb(colour) else { continue };
                if node.has_tag_name("text") {
                    let ratio = style::contrast(found, style::PAPER);
                    assert!(ratio >= 4.5, "{name}: text in {colour}: {ratio:.2}:1");
                } else if !grounds.contains(&colour.to_uppercase()) {
                    for ground in [style::PAPER, style::BAND] {
                        let ratio = style::contrast(found, ground);
                        assert!(ratio >= 3.0, "{name}: mark in {colour}: {ratio:.2}:1");
                    }
                }
            }
        }
    }
}

#[test]
fn the_same_numbers_give_the_same_drawing() {
    assert_eq!(all(), all());
}

fn hex(c: plotters::style::RGBColor) -> String {
    format!("#{:02X}{:02X}{:02X}", c.0, c.1, c.2)
}

fn rgb(text: &str) -> Option<plotters::style::RGBColor> {
    let digits = text.strip_prefix('#')?;
    let part = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    Some(plotters::style::RGBColor(part(0)?, part(2)?, part(4)?))
}
