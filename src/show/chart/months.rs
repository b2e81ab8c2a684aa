//! The collective dose month by month, as bars: of record solid, provisional hatched, what was
//! received before the ledger and what is apportioned open.

use super::canvas::{Canvas, Hang, Pen};
use super::page::{self, Page, SAMPLE};
use super::scale::{DayScale, DoseScale, round_step};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::{ChartError, words};
use crate::calendar::{Day, Span};
use crate::quantity::{Dose, DoseUnit};

/// All that the chart shows.
#[derive(Debug, Clone)]
pub struct Months {
    /// As `Collective deep dose 2026-01-01 to 2026-12-31`.
    pub title: String,
    /// The span, first and last day included.
    pub span: Span,
    /// The unit that all figures are printed in; of a collective dose, times people.
    pub unit: DoseUnit,
    /// The months of the span in their order.
    pub months: Vec<Month>,
    /// The span together, in words.
    pub total: String,
    /// The day that the chart is for.
    pub today: Day,
    /// Lines printed below.
    pub notes: Vec<String>,
    /// The line that says whom to ask; printed last, whole.
    pub caution: String,
}

/// One month.
#[derive(Debug, Clone)]
pub struct Month {
    /// Its first day.
    pub first: Day,
    /// Its last day.
    pub last: Day,
    /// Settled by result or determination.
    pub of_record: Dose,
    /// Readings only.
    pub provisional: Dose,
    /// Earlier with this licensee, and shares of lumps that the month cuts.
    pub other: Dose,
    /// Whether the sum is only a lower bound.
    pub at_least: bool,
}

impl Month {
    fn parts(&self) -> [(Dose, Key); 3] {
        [
            (self.of_record, Key::OfRecord),
            (self.provisional, Key::Provisional),
            (self.other, Key::Other),
        ]
    }

    fn sum(&self) -> i64 {
        let sum = |a: i64, (b, _): &(Dose, Key)| a.saturating_add(b.nsv());
        self.parts().iter().fold(0, sum).max(0)
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Key {
    OfRecord,
    Provisional,
    Other,
    AtLeast,
}

const FLOOR: i32 = 2 * LINE + 8;

struct Plot {
    days: DayScale,
    doses: DoseScale,
    step: i64,
    legend: Vec<Vec<(i32, Key, String)>>,
}

impl Plot {
    fn foot(&self) -> i32 {
        self.doses.lower + FLOOR + page::height(self.legend.len(), LINE)
    }
}

impl Months {
    fn most(&self) -> i64 {
        self.months.iter().map(Month::sum).max().unwrap_or(0)
    }

    /// The step to which the figures over the bars are rounded up: three digits or four.
    fn rounding(&self) -> i64 {
        let mut step = 1_i64;
        while step.saturating_mul(1000) < self.most() {
            step = step.saturating_mul(10);
        }
        step
    }

    fn plot(&self, top: i32, foot: i32) -> Plot {
        let mut keys = vec![
            (Key::OfRecord, "of record".to_owned()),
            (Key::Provisional, "provisional (readings)".to_owned()),
        ];
        if self.months.iter().any(|it| it.other > Dose::ZERO) {
            keys.push((Key::Other, "earlier here, apportioned".to_owned()));
        }
        if self.months.iter().any(|it| it.at_least) {
            keys.push((Key::AtLeast, "lower bound, at least".to_owned()));
        }
        let legend = page::legend(keys);
        let need = self.most().saturating_add(self.most() / 5).max(10);
        let step = round_step(need, 6);
        let ceiling = need.saturating_add(step - 1) / step * step;
        let figures: Vec<String> = super::year_layout::ticks(step, ceiling)
            .map(|it| page::figure(Dose::from_nsv(it), self.unit))
            .collect();
        let lower = foot - FLOOR - page::height(legend.len(), LINE);
        Plot {
            days: DayScale {
                first: self.span.first,
                last: self.span.last,
                left: MARGIN + words::widest(&figures, BODY) + 22,
                right: style::WIDTH - MARGIN,
            },
            doses: DoseScale {
                top: ceiling,
                upper: top,
                lower: lower.max(top + 330),
            },
            step,
            legend,
        }
    }

    /// The chart as one SVG document, 160 mm wide and 110 mm high.
    ///
    /// # Errors
    /// [`ChartError::Backwards`] if the span ends before it begins; [`ChartError::Draw`] if the
    /// drawing backend fails.
    pub fn svg(&self) -> Result<String, ChartError> {
        let Span { first, last } = self.span;
        if last < first {
            return Err(ChartError::Backwards { first, last });
        }
        let caption = self.caption();
        let page = Page::new(
            &self.title,
            &[(&self.total, style::INK), (&caption, style::QUIET)],
            self.notes.iter().chain([&self.caution]),
        );
        let plot = self.plot(page.top() + LINE + 10, style::HEIGHT - page.after());
        let mut canvas = Canvas::new(plot.foot() + page.after());
        page.draw(&mut canvas, plot.foot())?;
        canvas.layer("axes", |pen| self.axes(pen, &plot))?;
        canvas.layer("bars", |pen| {
            for month in &self.months {
                bar(pen, month, &plot)?;
            }
            Ok(())
        })?;
        canvas.layer("figures", |pen| self.figures(pen, &plot))?;
        if plot.days.holds(self.today) {
            canvas.layer("today", |pen| {
                let x = plot.days.middle(self.today);
                let ends = [(x, plot.doses.lower), (x, plot.doses.upper - LINE)];
                pen.path(&ends, style::TODAY)
            })?;
        }
        let top = plot.doses.lower + FLOOR;
        page::draw_legend(&mut canvas, &plot.legend, top, sample)?;
        Ok(canvas.finish(&self.title, &self.description()))
    }

    fn caption(&self) -> String {
        format!(
            "In person-{}; figures over the bars are rounded up to {}. Dotted: as of {}.",
            self.unit.symbol(),
            Dose::from_nsv(self.rounding()).display(self.unit),
            self.today
        )
    }

    fn axes(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let (days, doses) = (&plot.days, &plot.doses);
        for nsv in super::year_layout::ticks(plot.step, doses.top) {
            let y = doses.y(nsv);
            let line = Stroke::solid(style::GRID, 2);
            pen.path(&[(days.left, y), (days.right, y)], line)?;
            let text = page::figure(Dose::from_nsv(nsv), self.unit);
            pen.text((days.left - 20, y), Hang::Right, BODY, style::QUIET, &text)?;
        }
        let mut year = None;
        for (day, name) in days.months(words::width("Mmm", BODY) + 14) {
            let to = days.start(days.month_end(day));
            let half = words::width(&name, BODY) / 2;
            let x = (days.start(day) + to) / 2;
            let x = x.max(days.left + half).min(days.right - half);
            let at = (x, doses.lower + 26);
            pen.text(at, Hang::Middle, BODY, style::QUIET, &name)?;
            let this = chrono::Datelike::year(&day);
            if year != Some(this) {
                let at = (x.max(days.left + 40), doses.lower + 26 + LINE);
                let text = this.to_string();
                pen.text(at, Hang::Middle, BODY, style::QUIET, &text)?;
            }
            year = Some(this);
        }
        let floor = [(days.left, doses.lower), (days.right, doses.lower)];
        pen.path(&floor, Stroke::solid(style::INK, 3))
    }

    fn figures(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let step = self.rounding();
        let mut free = i32::MIN;
        for month in &self.months {
            if month.sum() == 0 && !month.at_least {
                continue;
            }
            let up = month.sum().saturating_add(step - 1) / step * step;
            let bound = if month.at_least { ">= " } else { "" };
            let text = format!("{bound}{}", page::figure(Dose::from_nsv(up), self.unit));
            let (left, right) = sides(plot, month);
            let half = words::width(&text, BODY) / 2;
            let x = (left + right) / 2;
            let x = x.max(plot.days.left + half).min(plot.days.right - half);
            // Where bars are narrow a figure is left out rather than set on its neighbour; the
            // description has them all.
            if x - half < free {
                continue;
            }
            free = x + half + 6;
            let above = if month.at_least { 40 } else { 18 };
            let at = (x, plot.doses.y(month.sum()) - above);
            pen.patch(at, Hang::Middle, style::INK, &text)?;
        }
        Ok(())
    }

    /// The chart in words.
    fn description(&self) -> String {
        let mut text = format!("{} {}", self.total, self.caption());
        for month in &self.months {
            let bound = if month.at_least { "at least " } else { "" };
            text.push_str(&format!(
                " {} to {}: {bound}{}, of record {}, provisional {}, other {}.",
                month.first,
                month.last,
                Dose::from_nsv(month.sum()).display(self.unit),
                month.of_record.display(self.unit),
                month.provisional.display(self.unit),
                month.other.display(self.unit),
            ));
        }
        for line in self.notes.iter().chain([&self.caution]) {
            text.push(' ');
            text.push_str(line);
        }
        text
    }
}

/// The edges of a month's bar.
fn sides(plot: &Plot, month: &Month) -> (i32, i32) {
    let (from, to) = (plot.days.start(month.first), plot.days.middle(month.last));
    let gap = ((to - from) / 6).max(1);
    (from + gap, (to - gap).max(from + gap + 2))
}

fn bar(pen: &Pen, month: &Month, plot: &Plot) -> Result<(), ChartError> {
    let (left, right) = sides(plot, month);
    let mut sum = 0_i64;
    let mut from = plot.doses.lower;
    for (part, key) in month.parts() {
        sum = sum.saturating_add(part.nsv());
        let to = plot.doses.y(sum);
        if to < from {
            fill(pen, (left, to), (right, from), key)?;
            from = to;
        }
    }
    if month.at_least {
        arrow(pen, (left + right) / 2, from - 4)?;
    }
    Ok(())
}

fn fill(pen: &Pen, from: (i32, i32), to: (i32, i32), key: Key) -> Result<(), ChartError> {
    if key == Key::OfRecord {
        pen.fill(from, to, style::DOSE)?;
    }
    if key == Key::Provisional {
        pen.hatch(from, to, style::HATCH)?;
    }
    pen.frame(from, to, Stroke::solid(style::DOSE, 3))
}

fn arrow(pen: &Pen, x: i32, y: i32) -> Result<(), ChartError> {
    pen.shape(&[(x - 11, y), (x + 11, y), (x, y - 20)], style::INK)
}

fn sample(pen: &Pen, (x, y): (i32, i32), key: Key) -> Result<(), ChartError> {
    match key {
        Key::AtLeast => arrow(pen, x + SAMPLE / 2, y + 10),
        key => fill(pen, (x, y - 11), (x + SAMPLE, y + 11), key),
    }
}
