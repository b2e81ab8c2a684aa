//! Tests: whether a drawing can be read, whatever it shows.

use resvg::usvg::roxmltree::Document;

use super::canvas::Patch;
use super::inspect::number;
use super::{style, words};

/// No text touches another, leaves the paper or is small; every word and mark stands out by the
/// WCAG 2.2 formula; title and description are there.
pub(super) fn readable(name: &str, svg: &str) {
    let document = Document::parse(svg).unwrap_or_else(|e| panic!("{name}: {e}"));
    let high = document.root_element().attribute("viewBox").unwrap();
    let high: i32 = high.rsplit(' ').next().unwrap().parse().unwrap();
    let mut placed: Vec<(String, Patch)> = Vec::new();
    for node in document.descendants().filter(|n| n.has_tag_name("text")) {
        let text = node.text().unwrap().trim().to_owned();
        let size = number(node, "font-size").round() as i32;
        assert!(size >= 25, "{name}: `{text}` is below 7 point");
        let wide = words::width(&text, size);
        let x = number(node, "x") as i32;
        let left = match node.attribute("text-anchor").unwrap() {
            "start" => x,
            "middle" => x - wide / 2,
            _ => x - wide,
        };
        let y = number(node, "y") as i32;
        let half = size / 2;
        let patch = Patch {
            left,
            right: left + wide,
            top: y - half,
            bottom: y + half,
        };
        let inside = patch.left >= 0 && patch.right <= style::WIDTH;
        assert!(
            inside && patch.top >= 0 && patch.bottom <= high,
            "{name}: {text} {patch:?}"
        );
        for (other, there) in &placed {
            assert!(!patch.meets(there), "{name}: `{text}` on `{other}`");
        }
        placed.push((text, patch));
    }
    for tag in ["title", "desc"] {
        let said = document.descendants().find(|n| n.has_tag_name(tag));
        assert!(said.is_some_and(|n| n.text().is_some()), "{name}: {tag}");
    }
    stands_out(name, &document);
}

/// Text at least 4.5:1 on the paper, marks at least 3:1 on paper and band; what is only a ground
/// or a grid carries no meaning alone and is named here.
fn stands_out(name: &str, document: &Document) {
    let grounds = [style::PAPER, style::GRID, style::BAND].map(hex);
    for node in document.descendants() {
        for colour in ["fill", "stroke"]
            .iter()
            .filter_map(|it| node.attribute(*it))
        {
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

fn hex(c: plotters::style::RGBColor) -> String {
    format!("#{:02X}{:02X}{:02X}", c.0, c.1, c.2)
}

fn rgb(text: &str) -> Option<plotters::style::RGBColor> {
    let digits = text.strip_prefix('#')?;
    let part = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    Some(plotters::style::RGBColor(part(0)?, part(2)?, part(4)?))
}
