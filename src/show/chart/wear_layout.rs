//! Where everything of a wear chart stands: scales, words of the levels, legend.

use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::wear::{Part, WearChart};
use super::words;

/// Room under the floor: figures of cycles, days of measures, what runs across.
pub(super) const FLOOR: i32 = 3 * LINE + 14;
/// Rows above the field for the words of today and of the breaks.
pub(super) const ABOVE: i32 = 2 * LINE + 24;
/// From the field's right edge to the words of a level.
pub(super) const LEADER: i32 = 26;
/// Width of a legend's sample with the gap after it.
pub(super) const SAMPLE: i32 = 90;
/// The least height of the field.
const LOWEST: i32 = 330;
const TICKS: i64 = 6;

/// Whole numbers from an edge of the field to the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Scale {
    pub first: i64,
    pub last: i64,
    /// Where `first` and `last` are drawn.
    pub from: i32,
    pub to: i32,
}

impl Scale {
    /// Where a value is drawn, rounded to the nearest unit; beyond the edges of the field too.
    pub fn at(&self, value: i64) -> i32 {
        let wide = (i128::from(self.last) - i128::from(self.first)).max(1);
        let off = i128::from(value) - i128::from(self.first);
        let room = i128::from(self.to - self.from);
        let moved = (2 * off * room + wide).div_euclid(2 * wide);
        // Far outside the paper is far enough.
        let place = i128::from(self.from) + moved.clamp(-100_000, 100_000);
        i32::try_from(place).unwrap_or(self.to)
    }
}

/// A level's words at the right edge.
pub(super) struct Label {
    pub lines: Vec<String>,
    pub stroke: Stroke,
    pub count: i64,
    /// Middle of the words.
    pub y: i32,
}

impl Label {
    pub fn height(&self) -> i32 {
        let lines = i32::try_from(self.lines.len()).unwrap_or(1);
        lines.saturating_mul(LINE) + 6
    }
}

/// One entry of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Key {
    Measure,
    Beyond,
    OldMeasure,
    Line,
    Foreseen,
    Band,
    Break,
    Earliest,
    Likely,
}

/// Where everything stands.
pub(super) struct Plot {
    pub cycles: Scale,
    pub counts: Scale,
    pub cycle_ticks: Vec<i64>,
    pub count_ticks: Vec<(i64, String)>,
    pub labels: Vec<Label>,
    pub legend: Vec<Vec<(i32, Key, String)>>,
}

impl Plot {
    /// Lays the field out from `top` to about `foot`, lower where the words need it.
    pub fn new(chart: &WearChart, top: i32, foot: i32) -> Self {
        let (low, high, count_ticks) = heights(chart);
        let mut labels = labels(chart);
        let stacked: i32 = labels.iter().map(Label::height).sum();
        let figures = figures(chart, &count_ticks);
        let left = MARGIN + words::widest(&figures, BODY) + 26;
        let widest = labels.iter().map(|it| words::widest(&it.lines, BODY));
        let right = style::WIDTH - MARGIN - LEADER - 4 - widest.max().unwrap_or(0);
        let (first, last) = across(chart);
        let legend = legend(chart, last);
        let rows = i32::try_from(legend.len()).unwrap_or(0);
        let upper = top + ABOVE;
        let lower = (foot - FLOOR - rows * LINE)
            .max(upper + LOWEST)
            .max(upper + stacked);
        let cycles = Scale {
            first,
            last,
            from: left,
            to: right,
        };
        let counts = Scale {
            first: low,
            last: high,
            from: lower,
            to: upper,
        };
        stack(&mut labels, &counts);
        Self {
            cycles,
            counts,
            cycle_ticks: cycle_ticks(first, last),
            count_ticks: count_ticks.into_iter().zip(figures).collect(),
            labels,
            legend,
        }
    }

    /// The lower edge of the field with its axis and legend.
    pub fn foot(&self) -> i32 {
        let rows = i32::try_from(self.legend.len()).unwrap_or(0);
        self.counts.from + FLOOR + rows * LINE
    }

    /// Where a measure is drawn.
    pub fn point(&self, cycles: i64, count: i64) -> (i32, i32) {
        (self.cycles.at(cycles), self.counts.at(count))
    }
}

/// All measures of all parts.
pub(super) fn marks(chart: &WearChart) -> impl Iterator<Item = &super::wear::Mark> {
    chart.parts.iter().flat_map(|part| &part.marks)
}

/// First and last cycles of the field: from the first part to today or the last measure, and on to
/// where the limit is reached, unless that would press what was measured into less than half.
fn across(chart: &WearChart) -> (i64, i64) {
    let starts = chart.parts.iter().map(|part| part.from);
    let measured = || marks(chart).map(|mark| mark.cycles);
    let first = starts.chain(measured()).min().unwrap_or(0);
    let known = measured()
        .max()
        .unwrap_or(first)
        .max(chart.cycles_now)
        .max(first + 10);
    let room = known.saturating_add(known.saturating_sub(first));
    let reaches = [chart.earliest, chart.likely].into_iter().flatten();
    let ahead = reaches
        .filter_map(|reach| reach.cycles)
        .filter(|it| *it <= room);
    let last = ahead.max().unwrap_or(known).max(known);
    let margin = last.saturating_sub(first) / 25 + 1;
    (first, last.saturating_add(margin))
}

/// The lowest and highest count of the field and its ticks: round figures of the unit.
fn heights(chart: &WearChart) -> (i64, i64, Vec<i64>) {
    let levels = [Some(chart.limit), chart.warn, chart.nominal];
    let counts = marks(chart).map(|mark| mark.count);
    let all: Vec<i64> = counts.chain(levels.into_iter().flatten()).collect();
    let low = all.iter().copied().min().unwrap_or(0);
    let high = all.iter().copied().max().unwrap_or(0);
    // At least two steps of the gauge of free height, so that one step never looks like a cliff.
    let step = chart.step.max(1);
    let free = (high.saturating_sub(low) / 6).max(step.saturating_mul(2));
    let low = low.saturating_sub(free);
    let high = high.saturating_add(free);
    let round = round_count(chart, high.saturating_sub(low));
    let first = low.div_euclid(round);
    let ticks: Vec<i64> = (0..=2 * TICKS)
        .filter_map(|n| first.checked_add(n)?.checked_mul(round))
        .filter(|tick| (low..=high).contains(tick))
        .collect();
    (low, high, ticks)
}

/// The figures of an axis, all with as many decimals as the finest of them.
fn figures(chart: &WearChart, ticks: &[i64]) -> Vec<String> {
    let mut figures: Vec<String> = ticks.iter().map(|it| chart.figure(*it)).collect();
    let decimals = |figure: &str| figure.split_once('.').map_or(0, |(_, behind)| behind.len());
    let most = figures.iter().map(|it| decimals(it)).max().unwrap_or(0);
    for figure in &mut figures {
        let has = decimals(figure);
        if has == 0 && most > 0 {
            figure.push('.');
        }
        figure.push_str(&"0".repeat(most - has));
    }
    figures
}

/// The smallest round step in the chart's unit of which at most [`TICKS`] fill `span`.
fn round_count(chart: &WearChart, span: i64) -> i64 {
    let size = chart.unit.size();
    let mut part = size;
    while part % 10 == 0 {
        part /= 10;
    }
    loop {
        for times in [1, 2, 5] {
            let step = part.saturating_mul(times);
            if step.saturating_mul(TICKS) >= span {
                return step;
            }
        }
        match part.checked_mul(10) {
            Some(more) => part = more,
            None => return i64::MAX,
        }
    }
}

fn cycle_ticks(first: i64, last: i64) -> Vec<i64> {
    let step = super::scale::round_step(last.saturating_sub(first), TICKS);
    let start = first.div_euclid(step);
    (0..=2 * TICKS)
        .filter_map(|n| start.checked_add(n)?.checked_mul(step))
        .filter(|tick| (first..=last).contains(tick))
        .collect()
}

fn labels(chart: &WearChart) -> Vec<Label> {
    let bad = if chart.bad_below {
        "below: out"
    } else {
        "above: out"
    };
    let mut labels = Vec::new();
    let mut push = |words: &[&str], count: i64, stroke| {
        let mut lines: Vec<String> = words.iter().map(|it| (*it).to_owned()).collect();
        lines.insert(1.min(lines.len()), chart.show(count));
        labels.push(Label {
            lines,
            stroke,
            count,
            y: 0,
        });
    };
    push(&["limit", bad], chart.limit, style::LIMIT_LINE);
    if let Some(warn) = chart.warn {
        push(&["warning"], warn, style::ADMINISTRATIVE_LINE);
    }
    if let Some(nominal) = chart.nominal {
        push(&["new"], nominal, style::SHIFT_LINE);
    }
    labels.sort_by_key(|label| std::cmp::Reverse(label.count));
    labels
}

/// Sets the words of the levels as near to their lines as they fit without touching.
fn stack(labels: &mut [Label], counts: &Scale) {
    let mut lowest_top = counts.to;
    for label in labels.iter_mut() {
        let half = label.height() / 2;
        label.y = counts.at(label.count).max(lowest_top + half);
        lowest_top = label.y + half;
    }
    let mut highest_foot = counts.from;
    for label in labels.iter_mut().rev() {
        let half = label.height() / 2;
        label.y = label.y.min(highest_foot - half);
        highest_foot = label.y - half;
    }
}

/// Whether a part's line goes on past its last measure.
pub(super) fn foresees(part: &Part) -> bool {
    let last = part.marks.iter().map(|mark| mark.cycles).max();
    let ends = part.band.last().map(|it| it.cycles);
    matches!((last, ends), (Some(last), Some(ends)) if last < ends)
}

/// The legend's entries in rows, each with its place: only what is on the chart.
fn legend(chart: &WearChart, last: i64) -> Vec<Vec<(i32, Key, String)>> {
    let mut keys: Vec<(Key, String)> = Vec::new();
    let mut push = |key, words: &str| keys.push((key, words.to_owned()));
    let (old, now) = match chart.parts.split_last() {
        Some((now, old)) => (old, Some(now)),
        None => (&[][..], None),
    };
    if now.is_some_and(|part| !part.marks.is_empty()) {
        push(Key::Measure, "measure");
    }
    if old.iter().any(|part| !part.marks.is_empty()) {
        push(Key::OldMeasure, "earlier part");
    }
    if marks(chart).any(|mark| chart.is_beyond(mark.count)) {
        push(Key::Beyond, "beyond the limit");
    }
    if chart.parts.iter().any(|part| !part.band.is_empty()) {
        push(Key::Line, "line");
        push(Key::Band, "where the next measure lies: 95 %, two-sided");
    }
    if chart.parts.iter().any(foresees) {
        push(Key::Foreseen, "foreseen");
    }
    let first = chart.parts.first().map_or(0, |part| part.from);
    if chart
        .parts
        .iter()
        .any(|part| part.fitted.is_some() && part.from > first)
    {
        push(Key::Break, "new part fitted");
    }
    for (key, name, reach) in [
        (
            Key::Earliest,
            "earliest credible (95 %, one-sided)",
            &chart.earliest,
        ),
        (Key::Likely, "likely", &chart.likely),
    ] {
        if let Some(reach) = reach {
            let off = match reach.cycles {
                Some(cycles) if cycles > last => " (off the chart)",
                Some(_) => "",
                None => " (by days, not on the chart)",
            };
            let words = WearChart::reach_in_words(reach);
            push(key, &format!("{name}: {words}{off}"));
        }
    }
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut x = MARGIN;
    for (key, text) in keys {
        let wide = SAMPLE + words::width(&text, BODY) + 40;
        if x + wide > style::WIDTH - MARGIN && !row.is_empty() {
            rows.push(std::mem::take(&mut row));
            x = MARGIN;
        }
        row.push((x, key, text));
        x += wide;
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows
}
