//! The collective dose month by month, as bars: of record solid, provisional hatched, what was
//! received before the ledger and what is apportioned open.

use super::ChartError;
use super::axis::{Axis, figure, middle, start};
use super::frame::{Frame, Plot};
use super::marks::{Fill, Part, Shape};
use super::style;
use super::svg::Hang;
use crate::calendar::{Day, Span};
use crate::quantity::{Dose, DoseUnit};
use crate::show::fine;

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
    /// Resolved by result or determination.
    pub of_record: Dose,
    /// Readings only.
    pub provisional: Dose,
    /// Earlier with this licensee, and shares of lumps that the month cuts.
    pub other: Dose,
    /// Whether the sum is only a lower bound.
    pub at_least: bool,
}

impl Month {
    fn parts(&self) -> [(Dose, Fill); 3] {
        [
            (self.of_record, Fill::Solid),
            (self.provisional, Fill::Hatched),
            (self.other, Fill::Open),
        ]
    }

    fn sum(&self) -> i64 {
        let sum = |a: i64, (b, _): &(Dose, Fill)| a.saturating_add(b.nsv());
        self.parts().iter().fold(0, sum).max(0)
    }
}

const AT_LEAST: &[Part] = &[Part::Full(Shape::Triangle, 12, style::INK)];

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

    /// The chart as one SVG document, 160 mm wide and 110 mm high.
    ///
    /// # Errors
    /// [`ChartError::Backwards`] if the span ends before it begins; [`ChartError::Draw`] if the
    /// axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        let Span { first, last } = self.span;
        if last < first {
            return Err(ChartError::Backwards { first, last });
        }
        let caption = self.caption();
        let mut legend = vec![
            (vec![Part::Bar(Fill::Solid)], "of record".to_owned()),
            (
                vec![Part::Bar(Fill::Hatched)],
                "provisional (readings)".to_owned(),
            ),
        ];
        if self.months.iter().any(|it| it.other > Dose::ZERO) {
            legend.push((
                vec![Part::Bar(Fill::Open)],
                "earlier here, apportioned".to_owned(),
            ));
        }
        if self.months.iter().any(|it| it.at_least) {
            legend.push((AT_LEAST.to_vec(), "lower bound, at least".to_owned()));
        }
        let days = Axis::days(first, last, 14);
        let doses = Axis::doses(self.most().saturating_add(self.most() / 5), self.unit);
        let frame = Frame {
            head: vec![(&self.total, style::INK), (&caption, style::QUIET)],
            under: vec![days.years(first)],
            legend,
            ..Frame::new(&self.title, days, doses, &self.notes, &self.caution)
        };
        frame.draw(
            &self.description(),
            |_| (),
            |plot| {
                let pen = &plot.pen;
                pen.layer("bars", || {
                    self.months.iter().for_each(|it| self.bar(plot, it))
                });
                pen.layer("figures", || {
                    self.months.iter().for_each(|it| self.over(plot, it))
                });
                if (first..=last).contains(&self.today) {
                    let x = plot.x(middle(first, self.today));
                    let ends = [(x, plot.lower), (x, plot.top - 30)];
                    pen.layer("today", || pen.path(&ends, style::TODAY));
                }
            },
        )
    }

    fn caption(&self) -> String {
        format!(
            "In person-{}; figures over the bars are rounded up to {}, lower \
             bounds down. Dotted: as of {}.",
            self.unit.symbol(),
            Dose::from_nsv(self.rounding()).display(self.unit),
            self.today
        )
    }

    /// The edges of a month's bar.
    fn sides(&self, plot: &Plot, month: &Month) -> (i32, i32) {
        let day = self.span.first;
        let from = plot.x(start(day, month.first));
        let to = plot.x(middle(day, month.last));
        let gap = ((to - from) / 6).max(1);
        (from + gap, (to - gap).max(from + gap + 2))
    }

    fn bar(&self, plot: &Plot, month: &Month) {
        let (left, right) = self.sides(plot, month);
        let mut sum = 0_i64;
        let mut from = plot.y(0);
        for (part, fill) in month.parts() {
            sum = sum.saturating_add(part.nsv());
            let to = plot.y(sum);
            if to < from {
                plot.pen.bar((left, to), (right, from), fill);
                from = to;
            }
        }
        if month.at_least {
            plot.pen.mark(((left + right) / 2, from - 14), AT_LEAST);
        }
    }

    /// The figure over a bar. Where bars are narrow it is left out rather than set on its
    /// neighbour; the description has them all.
    fn over(&self, plot: &Plot, month: &Month) {
        if month.sum() == 0 && !month.at_least {
            return;
        }
        let step = self.rounding();
        // A lower bound is rounded down: more than it is nobody knows.
        let up = match month.at_least {
            true => month.sum() / step * step,
            false => month.sum().saturating_add(step - 1) / step * step,
        };
        let bound = if month.at_least { ">= " } else { "" };
        let text = format!("{bound}{}", figure(Dose::from_nsv(up), self.unit));
        let (left, right) = self.sides(plot, month);
        let above = if month.at_least { 44 } else { 18 };
        let at = ((left + right) / 2, plot.y(month.sum()) - above);
        plot.say_where_free(at, Hang::Middle, style::INK, &text);
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
                fine::dose(Dose::from_nsv(month.sum()), self.unit, month.at_least),
                fine::dose(month.of_record, self.unit, false),
                fine::dose(month.provisional, self.unit, false),
                fine::dose(month.other, self.unit, false),
            ));
        }
        text
    }
}
