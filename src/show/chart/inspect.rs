//! Tests: one reader of drawings.

use resvg::usvg::roxmltree::{Document, Node};

/// A drawing read back.
pub(super) struct Drawing<'a>(pub(super) Document<'a>);

/// A place on the paper.
pub(super) type Place = (f64, f64);

pub(super) fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

pub(super) fn points(node: Node) -> Vec<Place> {
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
