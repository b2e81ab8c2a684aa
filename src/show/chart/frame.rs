//! The frame of every chart: words above and below, a field with plotters' axes, the levels named
//! at its right edge, the legend. A chart fills it with its series.

use std::cell::RefCell;

use plotters::chart::{ChartBuilder, ChartContext};
use plotters::coord::CoordTranslate;
use plotters::coord::cartesian::Cartesian2d;
use plotters::drawing::IntoDrawingArea;
use plotters::style::{Color, RGBColor};

use super::axis::Axis;
use super::marks::{Key, SAMPLE};
use super::style::{self, BODY, LINE, MARGIN, Stroke, TITLE};
use super::svg::{Hang, Patch, Spot, Svg};
use super::{ChartError, words};

/// From the field's right edge to the words of a level.
const LEADER: i32 = 26;
/// The widest that the words of a level may be.
const LEVEL_WORDS: i32 = 330;
/// The least height of a field.
const LOWEST: i32 = 330;
/// From the field's foot to the end of the ticks' words.
const TICKS: i32 = 52;

/// All that stands around the series.
pub(super) struct Frame<'a> {
    pub title: &'a str,
    /// Lines under the title, with their colours.
    pub head: Vec<(&'a str, RGBColor)>,
    pub x: Axis,
    pub y: Axis,
    /// Which of the grid's lines are drawn: the upright ones, the level ones.
    pub grid: [bool; 2],
    /// Which of the axes have a line: the lower one, the left one.
    pub edges: [bool; 2],
    /// Rows of words under those of the ticks, each at its place.
    pub under: Vec<Vec<(i64, String)>>,
    pub levels: Vec<Level>,
    /// Room above the field and, beside that of the levels' words, at its right.
    pub above: i32,
    pub right: i32,
    /// Room at the left, where the words of the ticks do not decide.
    pub left: Option<i32>,
    /// Height of the field; without one it fills half an A4 page.
    pub height: Option<i32>,
    pub legend: Vec<Key>,
    /// Height of what the chart draws below the legend.
    pub panel: i32,
    /// Lines printed below.
    pub notes: Vec<&'a str>,
    /// The line that says whom to ask; printed last, whole.
    pub caution: &'a str,
}

/// A line across the field with its words.
pub(super) struct Level {
    pub lines: Vec<String>,
    pub at: i64,
    pub stroke: Stroke,
}

impl Level {
    /// A level with its words on lines short enough, its figure below them.
    pub fn new(label: &str, figure: String, at: i64, stroke: Stroke) -> Self {
        let mut lines = words::wrap(&words::clean(label), BODY, LEVEL_WORDS);
        lines.push(figure);
        Self { lines, at, stroke }
    }

    fn height(&self) -> i32 {
        height(self.lines.len()) + 6
    }
}

/// The field as it stands on the paper.
pub(super) struct Plot {
    pub pen: Svg,
    pub left: i32,
    pub right: i32,
    pub top: i32,
    pub lower: i32,
    /// Where the chart's own panel begins.
    pub foot: i32,
    /// What names the drawing on a page of several.
    name: String,
    coord: Cartesian2d<Axis, Axis>,
    taken: RefCell<Vec<Patch>>,
}

impl<'a> Frame<'a> {
    pub fn new(title: &'a str, x: Axis, y: Axis, notes: &'a [String], caution: &'a str) -> Self {
        Self {
            title,
            head: Vec::new(),
            x,
            y,
            grid: [false, true],
            edges: [true, true],
            under: Vec::new(),
            levels: Vec::new(),
            above: LINE + 20,
            right: 0,
            left: None,
            height: None,
            legend: Vec::new(),
            panel: 0,
            notes: notes.iter().map(String::as_str).collect(),
            caution,
        }
    }

    /// The whole drawing: the ground lies under the axes, the series above them.
    pub fn draw(
        self,
        description: &str,
        ground: impl FnOnce(&Plot),
        series: impl FnOnce(&Plot),
    ) -> Result<String, ChartError> {
        let around = Around::of(&self);
        let (top, floor) = (around.top, self.floor());
        let rest = floor + height(around.legend.len()) + self.panel + around.after();
        let stacked: i32 = self.levels.iter().map(Level::height).sum();
        let filled = (style::HEIGHT - rest - top).max(LOWEST).max(stacked);
        let lower = top + self.height.unwrap_or(filled);
        let pen = Svg::new(lower + rest);
        pen.layer("paper", || {
            pen.fill((0, 0), (style::WIDTH, lower + rest), style::PAPER);
        });
        let foot = lower + rest - around.after();
        pen.layer("words", || around.draw(&pen, foot));

        let (left, right) = self.sides();
        let area = pen.clone().into_drawing_area();
        let mut chart = ChartBuilder::on(&area)
            .margin_top(top)
            .margin_right(style::WIDTH - right)
            .margin_bottom(rest - floor)
            .x_label_area_size(floor)
            .y_label_area_size(left)
            .build_cartesian_2d(self.x.clone(), self.y.clone())
            .map_err(|it| ChartError::Draw(it.to_string()))?;
        let plot = Plot {
            pen: pen.clone(),
            left,
            right,
            top,
            lower,
            foot: foot - self.panel,
            name: self.title.to_owned(),
            coord: chart.as_coord_spec().clone(),
            taken: RefCell::default(),
        };
        ground(&plot);
        pen.layer("axes", || self.mesh(&mut chart, right - left))?;
        pen.layer("under", || plot.draw_under(&self.under));
        if !self.levels.is_empty() {
            pen.layer("levels", || plot.draw_levels(&self.levels));
        }
        series(&plot);
        pen.layer("legend", || around.draw_legend(&pen, plot.foot));
        let mut text = description.to_owned();
        for line in self.notes.iter().chain([&self.caution]) {
            text.push(' ');
            text.push_str(line);
        }
        Ok(pen.finish(self.title, text.trim_end()))
    }

    /// The axes and the grid, by plotters.
    fn mesh(
        &self,
        chart: &mut ChartContext<'_, Svg, Cartesian2d<Axis, Axis>>,
        wide: i32,
    ) -> Result<(), ChartError> {
        let aside =
            i64::from(wide) * self.x.aside / self.x.last.saturating_sub(self.x.first).max(1);
        let mut mesh = chart.configure_mesh();
        mesh.bold_line_style(style::GRID.stroke_width(2))
            .axis_style(style::INK.stroke_width(3))
            .set_all_tick_mark_size(10)
            .x_label_offset(i32::try_from(aside).unwrap_or(0));
        if !self.grid[0] {
            mesh.disable_x_mesh();
        }
        if !self.grid[1] {
            mesh.disable_y_mesh();
        }
        if !self.edges[0] {
            mesh.disable_x_axis();
        }
        if !self.edges[1] {
            mesh.disable_y_axis();
        }
        mesh.draw().map_err(|it| ChartError::Draw(it.to_string()))
    }

    /// Room under the field, above the legend.
    fn floor(&self) -> i32 {
        let ticks = if self.x.ticks.is_empty() { 0 } else { TICKS };
        ticks + height(self.under.len()) + 12
    }

    /// The left edge of the field.
    pub fn left_edge(&self) -> i32 {
        let ticks: Vec<&str> = self.y.ticks.iter().map(|it| it.1.as_str()).collect();
        (self.left).unwrap_or(MARGIN + words::widest(&ticks, BODY) + 22)
    }

    /// The left and the right edge of the field.
    fn sides(&self) -> (i32, i32) {
        let left = self.left_edge();
        let levels = (self.levels.iter()).map(|it| words::widest(&it.lines, BODY) + LEADER + 4);
        let right = style::WIDTH - MARGIN - self.right - levels.max().unwrap_or(0);
        (left, right)
    }
}

/// The words around a drawing, broken into lines, and its legend in rows.
struct Around {
    title: Vec<String>,
    head: Vec<(String, RGBColor)>,
    notes: Vec<String>,
    legend: Vec<Vec<(i32, Key)>>,
    top: i32,
}

impl Around {
    fn of(frame: &Frame<'_>) -> Self {
        let wide = style::WIDTH - 2 * MARGIN;
        let broken = |text: &str, size| words::wrap(&words::clean(text), size, wide);
        let title = broken(frame.title, TITLE);
        let head = frame.head.iter();
        let head: Vec<(String, RGBColor)> = head
            .flat_map(|(text, colour)| broken(text, BODY).into_iter().map(|it| (it, *colour)))
            .collect();
        let titled = height(title.len()) / LINE * (TITLE + 10);
        let notes = frame.notes.iter().chain([&frame.caution]);
        Self {
            top: MARGIN + titled + height(head.len()) + frame.above,
            notes: notes.flat_map(|it| broken(it, BODY)).collect(),
            legend: rows(&frame.legend),
            title,
            head,
        }
    }

    /// How much room the foot needs.
    fn after(&self) -> i32 {
        height(self.notes.len()) + 20 + MARGIN
    }

    fn draw(&self, pen: &Svg, foot: i32) {
        let mut y = MARGIN + TITLE / 2;
        for line in &self.title {
            pen.text((MARGIN, y), Hang::Left, TITLE, style::INK, line);
            y += TITLE + 10;
        }
        for (n, (line, colour)) in self.head.iter().enumerate() {
            pen.say((MARGIN, y + height(n)), Hang::Left, *colour, line);
        }
        for (n, line) in self.notes.iter().enumerate() {
            let y = foot + 20 + LINE / 2 + height(n);
            pen.say((MARGIN, y), Hang::Left, style::INK, line);
        }
    }

    fn draw_legend(&self, pen: &Svg, foot: i32) {
        let top = foot - height(self.legend.len());
        for (n, row) in self.legend.iter().enumerate() {
            let y = top + height(n) + LINE / 2;
            for (x, (sample, text)) in row {
                pen.mark((x + SAMPLE / 2, y), sample);
                pen.say((x + SAMPLE + 16, y), Hang::Left, style::INK, text);
            }
        }
    }
}

/// A legend in rows no wider than the paper: each key with its place.
fn rows(keys: &[Key]) -> Vec<Vec<(i32, Key)>> {
    let mut rows: Vec<Vec<(i32, Key)>> = Vec::new();
    let mut x = style::WIDTH;
    for key in keys {
        let wide = SAMPLE + 16 + words::width(&key.1, BODY) + 40;
        if x + wide > style::WIDTH - MARGIN {
            rows.push(Vec::new());
            x = MARGIN;
        }
        rows.last_mut()
            .into_iter()
            .for_each(|row| row.push((x, key.clone())));
        x += wide;
    }
    rows
}

/// Height of so many lines of text in body size.
pub(super) fn height(lines: usize) -> i32 {
    i32::try_from(lines).unwrap_or(0).saturating_mul(LINE)
}

impl Plot {
    /// Where a pair of values stands.
    pub fn at(&self, x: i64, y: i64) -> Spot {
        self.coord.translate(&(x, y))
    }

    /// Where a value of the x axis stands.
    pub fn x(&self, value: i64) -> i32 {
        self.at(value, 0).0
    }

    /// Where a value of the y axis stands.
    pub fn y(&self, value: i64) -> i32 {
        self.at(0, value).1
    }

    /// Draws what must not leave the field, nor a strip of it.
    pub fn clipped(&self, what: &str, left: i32, right: i32, draw: impl FnOnce()) {
        let name = format!("{what}{}", self.name);
        self.pen
            .clipped(&name, (left, self.top), (right, self.lower), draw);
    }

    /// The highest value of the y axis.
    pub fn most(&self) -> i64 {
        self.coord.get_y_range().end
    }

    /// Takes room, whatever stands there.
    pub fn take(&self, room: Patch) {
        self.taken.borrow_mut().push(room);
    }

    /// Whether nothing that was asked for before stands there; then it is taken.
    pub fn free(&self, room: Patch) -> bool {
        room.free(&mut self.taken.borrow_mut())
    }

    /// Words at a place where they are free to stand, on a patch of paper.
    pub fn say_where_free(&self, at: Spot, hang: Hang, colour: RGBColor, text: &str) -> bool {
        let free = self.free(Patch::of(at, hang, text));
        if free {
            self.pen.patch(at, hang, colour, text);
        }
        free
    }

    /// An upright line with its words above it, in the lower of two rows where there is room.
    /// Words that fit in neither are left out; the description has them all.
    pub fn upright(&self, (x, top): Spot, stroke: Stroke, text: &str) {
        let half = words::width(text, BODY) / 2;
        let at = x.clamp(MARGIN + half + 5, style::WIDTH - MARGIN - half - 5);
        let low = top - LINE / 2 - 12;
        self.pen.path(&[(x, self.lower), (x, top - 6)], stroke);
        for spot in [(at, low), (at, low - LINE)] {
            if self.free(Patch::of(spot, Hang::Middle, text)) {
                return self.pen.say(spot, Hang::Middle, style::INK, text);
            }
        }
    }

    /// Rows of words below the ticks; what would stand on its neighbour is left out.
    fn draw_under(&self, rows: &[Vec<(i64, String)>]) {
        for (n, row) in rows.iter().enumerate() {
            let y = self.lower + TICKS + height(n) + LINE / 2;
            for (at, text) in row {
                let half = words::width(text, BODY) / 2;
                let x = self
                    .x(*at)
                    .clamp(MARGIN + half, style::WIDTH - MARGIN - half);
                if self.free(Patch::of((x, y), Hang::Middle, text)) {
                    self.pen.say((x, y), Hang::Middle, style::QUIET, text);
                }
            }
        }
    }

    /// Each level with its words, as near to its line as they fit without touching.
    fn draw_levels(&self, levels: &[Level]) {
        let mut all: Vec<(i32, &Level)> = levels.iter().map(|it| (self.y(it.at), it)).collect();
        all.sort_by_key(|(_, level)| std::cmp::Reverse(level.at));
        let mut edge = self.top;
        for (y, level) in &mut all {
            *y = (*y).max(edge + level.height() / 2);
            edge = *y + level.height() / 2;
        }
        let mut edge = self.lower;
        for (y, level) in all.iter_mut().rev() {
            *y = (*y).min(edge - level.height() / 2);
            edge = *y - level.height() / 2;
        }
        for (middle, level) in all {
            let (y, right) = (self.y(level.at), self.right);
            let colour = level.stroke.colour;
            self.pen.path(&[(self.left, y), (right, y)], level.stroke);
            let thin = Stroke::solid(colour, 2);
            self.pen
                .path(&[(right, y), (right + LEADER - 6, middle)], thin);
            let first = middle - level.height() / 2 + 3 + LINE / 2;
            for (n, line) in level.lines.iter().enumerate() {
                let at = (right + LEADER, first + height(n));
                self.pen.say(at, Hang::Left, colour, line);
            }
        }
    }
}
