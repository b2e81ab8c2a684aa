//! Tests: one reader of drawings, and what holds of every one of them.

use resvg::usvg::roxmltree::{Document, Node};

use super::svg::Patch;
use super::{crew_inspect, png, style, trace_inspect, wear_inspect, words, year_inspect};

/// A drawing read back.
pub(super) struct Drawing<'a>(Document<'a>);

/// A place on the paper.
pub(super) type Place = (f64, f64);

pub(super) fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn points(node: Node) -> Vec<Place> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    let list = node.attribute("points").unwrap();
    list.split_whitespace().map(pair).collect()
}

/// The middle of a mark, by any of its parts.
fn middle(node: Node) -> Option<Place> {
    let half = |a: f64, b: f64| f64::midpoint(a, b);
    match node.tag_name().name() {
        "circle" => Some((number(node, "cx"), number(node, "cy"))),
        "rect" => Some((
            number(node, "x") + number(node, "width") / 2.0,
            number(node, "y") + number(node, "height") / 2.0,
        )),
        "polyline" => {
            let ends = points(node);
            Some((half(ends[0].0, ends[1].0), half(ends[0].1, ends[1].1)))
        }
        // A diamond; a triangle stands with half its width below its tip.
        "polygon" => match points(node)[..] {
            [a, _, b, _] => Some((half(a.0, b.0), a.1)),
            [a, b, tip] => Some((tip.0, tip.1 + (b.0 - a.0) / 2.0)),
            _ => None,
        },
        _ => None,
    }
}

impl<'a> Drawing<'a> {
    pub fn of(svg: &'a str) -> Self {
        Self(Document::parse(svg).unwrap())
    }

    /// What stands in a layer of that class.
    pub fn layer(&self, class: &str) -> impl Iterator<Item = Node<'_, 'a>> {
        let layers = self.0.descendants();
        let layer = layers.filter(move |n| n.attribute("class") == Some(class));
        layer.flat_map(|it| it.descendants())
    }

    pub fn count(&self, class: &str, tag: &str) -> usize {
        self.layer(class).filter(|n| n.has_tag_name(tag)).count()
    }

    /// Words of every text in a layer with its place.
    pub fn texts(&self, class: &str) -> Vec<(String, f64, f64)> {
        let texts = self.layer(class).filter(|n| n.has_tag_name("text"));
        texts
            .map(|n| (n.text().unwrap().to_owned(), number(n, "x"), number(n, "y")))
            .collect()
    }

    pub fn words(&self, class: &str) -> Vec<String> {
        self.texts(class).into_iter().map(|it| it.0).collect()
    }

    pub fn lines(&self, class: &str) -> Vec<Vec<Place>> {
        let lines = self.layer(class).filter(|n| n.has_tag_name("polyline"));
        lines.map(points).collect()
    }

    /// Frames of boxes: left, top, right, bottom.
    pub fn frames(&self, class: &str) -> Vec<[f64; 4]> {
        let lines = self.lines(class).into_iter().filter(|it| it.len() == 5);
        lines
            .map(|it| [it[0].0, it[0].1, it[2].0, it[2].1])
            .collect()
    }

    /// Where the marks of a layer stand, each once.
    pub fn marks(&self, class: &str) -> Vec<Place> {
        let mut all: Vec<Place> = self.layer(class).filter_map(middle).collect();
        all.dedup_by(|a, b| (a.0 - b.0).abs() < 1.0 && (a.1 - b.1).abs() < 1.0);
        all
    }

    /// Left, top, right and foot of the field, by the lines of its axes.
    pub fn field(&self) -> [f64; 4] {
        let mut lines = self.lines("axes");
        lines.retain(|it| it.len() == 2);
        let level = |it: &&Vec<Place>| it[0].1 == it[1].1;
        let long = |it: &&Vec<Place>| ((it[1].0 - it[0].0) + (it[1].1 - it[0].1)).abs() as i64;
        let across = lines.iter().filter(level).max_by_key(long).unwrap();
        let up = lines
            .iter()
            .filter(|it| !level(it))
            .max_by_key(long)
            .unwrap();
        [across[0].0, up[0].1, across[1].0, up[1].1]
    }

    /// The figures of an axis with their places: across, or up.
    fn figures(&self, up: bool) -> Vec<Place> {
        let texts = self.layer("axes").filter(|n| n.has_tag_name("text"));
        let (anchor, place) = if up { ("end", "y") } else { ("middle", "x") };
        texts
            .filter(|n| n.attribute("text-anchor") == Some(anchor))
            .filter_map(|n| {
                let number_of = n.text().unwrap().split(' ').next()?.parse().ok()?;
                Some((number_of, number(n, place)))
            })
            .collect()
    }

    /// Reads values back from places by the first and last figure of an axis; with how much one
    /// unit of the paper is.
    pub fn ruler(&self, up: bool) -> (impl Fn(f64) -> f64, f64) {
        let figures = self.figures(up);
        let (a, b) = (figures[0], *figures.last().unwrap());
        let per = (b.0 - a.0) / (b.1 - a.1);
        (move |place: f64| a.0 + (place - a.1) * per, per.abs())
    }

    pub fn told(&self) -> &str {
        let desc = self.0.descendants().find(|n| n.has_tag_name("desc"));
        desc.unwrap().text().unwrap()
    }
}

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
