//! Tests of wear charts: what is plotted is what was given, and it can be read.

use resvg::usvg::roxmltree::{Document, Node};

use super::png;
use super::readable::readable;
use super::wear::{BandPoint, Mark};
use super::wear_cases::cases;
use crate::quantity::Amount;

/// Writes every case as SVG and PNG for a person to look at:
/// `WEARBOOK_CHARTS=DIR cargo test --lib wear_charts_to_look_at -- --ignored`.
#[test]
#[ignore = "writes pictures to look at"]
fn wear_charts_to_look_at() {
    let dir = std::path::PathBuf::from(std::env::var("WEARBOOK_CHARTS").unwrap());
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        std::fs::write(dir.join(format!("wear-{name}.svg")), &svg).unwrap();
        let picture = png::png(&svg, 1200).unwrap();
        std::fs::write(dir.join(format!("wear-{name}.png")), picture).unwrap();
    }
}

fn layer<'a>(document: &'a Document, class: &str) -> Node<'a, 'a> {
    document
        .descendants()
        .find(|n| n.attribute("class") == Some(class))
        .unwrap()
}

fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn points(node: Node) -> Vec<(f64, f64)> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    let list = node.attribute("points").unwrap();
    list.split_whitespace().map(pair).collect()
}

fn polylines(node: Node) -> Vec<Vec<(f64, f64)>> {
    let lines = node.descendants().filter(|n| n.has_tag_name("polyline"));
    lines.map(points).collect()
}

/// Figures of an axis, each with its place.
type Figures = Vec<(f64, f64)>;

/// The figures of both axes, read off the drawing: across, then up.
fn figures(document: &Document) -> (Figures, Figures) {
    let axes = layer(document, "axes");
    let texts = axes.descendants().filter(|n| n.has_tag_name("text"));
    let (mut across, mut up) = (Vec::new(), Vec::new());
    for node in texts {
        let Ok(value) = node.text().unwrap().trim().parse::<f64>() else {
            continue;
        };
        if node.attribute("text-anchor") == Some("end") {
            up.push((value, number(node, "y")));
        } else {
            across.push((value, number(node, "x")));
        }
    }
    (across, up)
}

/// Reads values back from places, by the first and last figure of each axis.
struct Ruler {
    across: (f64, f64),
    up: (f64, f64),
}

impl Ruler {
    fn of(document: &Document) -> Self {
        let (across, up) = figures(document);
        let line = |figures: &[(f64, f64)]| {
            let (a, b) = (figures[0], *figures.last().unwrap());
            let per = (b.0 - a.0) / (b.1 - a.1);
            (per, a.0 - per * a.1)
        };
        Ruler {
            across: line(&across),
            up: line(&up),
        }
    }

    /// Cycles and base units of a place, and how far each may be off: two units of the drawing.
    fn read(&self, (x, y): (f64, f64), size: i64) -> ((f64, f64), (f64, f64)) {
        let size = size as f64;
        (
            (
                self.across.0 * x + self.across.1,
                (self.up.0 * y + self.up.1) * size,
            ),
            (self.across.0.abs() * 2.0, self.up.0.abs() * 2.0 * size),
        )
    }
}

/// Where the marks of the measures stand: dots, and the middle of crossed boxes.
fn drawn_marks(document: &Document) -> Vec<(f64, f64)> {
    let marks = layer(document, "marks");
    let mut all = Vec::new();
    for node in marks.descendants() {
        match node.tag_name().name() {
            "circle" if number(node, "r") == 10.0 => {
                all.push((number(node, "cx"), number(node, "cy")));
            }
            "polyline" => {
                let ends = points(node);
                if ends.len() == 5 {
                    let middle = |a: f64, b: f64| f64::midpoint(a, b);
                    all.push((middle(ends[0].0, ends[2].0), middle(ends[0].1, ends[2].1)));
                }
            }
            _ => {}
        }
    }
    all
}

#[test]
fn each_measure_has_one_mark_at_its_cycles_and_figure() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let ruler = Ruler::of(&document);
        let drawn = drawn_marks(&document);
        let given: Vec<&Mark> = chart.parts.iter().flat_map(|part| &part.marks).collect();
        assert_eq!(drawn.len(), given.len(), "{name}");
        for (mark, place) in given.iter().zip(drawn) {
            let ((cycles, count), slack) = ruler.read(place, chart.unit.size());
            assert!(
                (cycles - mark.cycles as f64).abs() <= slack.0,
                "{name}: {mark:?} {cycles}"
            );
            assert!(
                (count - mark.count as f64).abs() <= slack.1,
                "{name}: {mark:?} {count}"
            );
        }
    }
}

#[test]
fn a_measure_beyond_the_limit_is_crossed_and_one_at_it_is_not() {
    let cases = cases();
    let (_, chart) = cases.iter().find(|it| it.0 == "beyond").unwrap();
    let svg = chart.svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let boxes = polylines(layer(&document, "marks"));
    assert_eq!(boxes.iter().filter(|it| it.len() == 5).count(), 1);
    assert!(svg.contains("5.75 mm (beyond the limit)"));
    assert!(svg.contains("5.8 mm;") && !svg.contains("5.8 mm (beyond"));
}

#[test]
fn lines_and_bands_run_through_what_was_given_and_never_leave_the_field() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let ruler = Ruler::of(&document);
        let field = polylines(layer(&document, "axes"));
        let field = field.iter().rfind(|it| it.len() == 3).unwrap();
        let (left, top) = field[0];
        let (right, foot) = field[2];
        for (class, edges) in [("lines", false), ("bands", true)] {
            let mut seen = 0;
            for place in polylines(layer(&document, class)).concat() {
                seen += 1;
                let inside = (left - 0.5..=right + 0.5).contains(&place.0)
                    && (top - 0.5..=foot + 0.5).contains(&place.1);
                assert!(inside, "{name}: {place:?} is outside the field");
                let ((cycles, count), slack) = ruler.read(place, chart.unit.size());
                let near = |points: &[BandPoint], pick: fn(&BandPoint) -> i64| {
                    points.windows(2).any(|pair| {
                        let (a, b) = (pair[0], pair[1]);
                        let (from, to) = (a.cycles as f64, b.cycles as f64);
                        let wide = (to - from).max(1.0);
                        let share = (cycles - from) / wide;
                        let edge = slack.0 / wide;
                        let (low, high) = (pick(&a) as f64, pick(&b) as f64);
                        let wanted = low + share * (high - low);
                        (-edge..=1.0 + edge).contains(&share)
                            && (count - wanted).abs() <= slack.1 + (high - low).abs() * edge
                    })
                };
                let known = chart.parts.iter().any(|part| {
                    if edges {
                        near(&part.band, |it| it.lower) || near(&part.band, |it| it.upper)
                    } else {
                        near(&part.band, |it| it.line)
                    }
                });
                assert!(known, "{name}: {class} has {count} at {cycles}");
            }
            let lined = chart.parts.iter().any(|part| !part.band.is_empty());
            assert_eq!(seen > 0, lined, "{name}: {class}");
        }
    }
}

#[test]
fn levels_today_and_breaks_stand_at_their_figures() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let ruler = Ruler::of(&document);
        let levels = polylines(layer(&document, "levels"));
        for wanted in [Some(chart.limit), chart.warn, chart.nominal]
            .into_iter()
            .flatten()
        {
            let hit = levels.iter().any(|line| {
                let ((_, count), slack) = ruler.read(line[0], chart.unit.size());
                line[0].1 == line[1].1 && (count - wanted as f64).abs() <= slack.1
            });
            assert!(hit, "{name}: no line at {wanted}");
        }
        let breaks: Vec<i64> = chart
            .parts
            .iter()
            .filter(|part| part.fitted.is_some())
            .map(|part| part.from)
            .collect();
        for (class, wanted) in [("today", vec![chart.cycles_now]), ("breaks", breaks)] {
            let lines = polylines(layer(&document, class));
            for cycles in wanted {
                let hit = lines.iter().any(|line| {
                    let ((at, _), slack) = ruler.read(line[0], chart.unit.size());
                    line[0].0 == line[1].0 && (at - cycles as f64).abs() <= slack.0
                });
                assert!(hit, "{name}: {class} has no line at {cycles}");
            }
        }
    }
}

#[test]
fn every_wear_drawing_is_well_formed_and_says_what_it_shows() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap_or_else(|e| panic!("{name}: {e}"));
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{name}");
        let child = |tag| {
            let mut children = root.children();
            children
                .find(|n| n.has_tag_name(tag))
                .and_then(|n| n.text())
        };
        assert_eq!(child("title"), Some(chart.title.as_str()), "{name}");
        let said = child("desc").unwrap();
        let show = |count| Amount::from_count(chart.unit.kind(), count).display(chart.unit);
        let mut wanted = vec![
            chart.caution.clone(),
            chart.outlook.clone(),
            show(chart.limit),
        ];
        for part in &chart.parts {
            wanted.extend(part.fitted.map(|day| format!("Part fitted {day}")));
            let each = part.marks.iter();
            wanted.extend(
                each.map(|it| format!("{} at {} cycles {}", it.day, it.cycles, show(it.count))),
            );
        }
        for part in wanted {
            assert!(said.contains(&part), "{name}: `{part}` is not in: {said}");
        }
        assert!(svg.is_ascii() || !chart.title.is_ascii(), "{name}");
        let json = serde_json::to_string(&chart).unwrap();
        assert!(json.contains("\"cycles_now\""), "{name}");
    }
}

#[test]
fn every_wear_chart_can_be_read() {
    for (name, chart) in cases() {
        readable(name, &chart.svg().unwrap());
    }
}

#[test]
fn odd_figures_are_drawn_without_a_fault() {
    let mut odd = cases().swap_remove(2).1;
    odd.parts[0].marks[0].count = i64::MAX;
    odd.parts[0].marks[1].cycles = i64::MAX;
    odd.parts[0].band[3].lower = i64::MIN;
    odd.step = 0;
    let svg = odd.svg().unwrap();
    assert!(Document::parse(&svg).is_ok());
    assert!(png::png(&svg, 300).is_ok());
    odd.parts.clear();
    let svg = odd.svg().unwrap();
    assert!(svg.contains("never measured"));
}
