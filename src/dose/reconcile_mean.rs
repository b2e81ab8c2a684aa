//! Readings against badge results over many periods together: whether they differ on average, and
//! whether that matters.
//!
//! The test is the interval of the mean logarithm of readings over result. It is looked at every
//! month, so it is a confidence sequence (`stat/sequence`), which holds at every look. The rule
//! set's band says only whether a difference that is there matters.
//!
//! It assumes that periods scatter independently and alike about one ratio; a dosimeter that
//! changes in the middle shows later.

use crate::dose::input::Reported;
use crate::dose::reconcile::{Agreement, Band, Comparison};
use crate::quantity::{Dose, Overflow};
use crate::rule::RuleSet;
use crate::stat::interval::{Side, student_factor};
use crate::stat::sequence::factor_at_any_time;

/// How sure the interval holds the true ratio at all looks together. Of a hundred people whose
/// two dosimeters agree, at most ten are ever said to differ, however often one looks.
pub const ANY_TIME_CONFIDENCE: f64 = 0.90;
/// How sure a difference does not matter, one-sided: an ordinary interval.
pub const BAND_CONFIDENCE: f64 = 0.95;

/// What the periods show together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Nothing can be said: no band, or too few periods.
    TooFew,
    /// The interval holds the ratio 1.
    NotShown,
    /// They differ, and surely by less than the band.
    WithinBand,
    /// Readings are lower, by more than the band or nearly.
    ReadingsLower,
    /// Readings are higher.
    ReadingsHigher,
}

impl Verdict {
    /// Whether somebody has to look.
    pub fn differs(self) -> bool {
        matches!(self, Verdict::ReadingsLower | Verdict::ReadingsHigher)
    }

    /// As printed.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::TooFew => "too few periods to tell",
            Verdict::NotShown => "no difference shown",
            Verdict::WithinBand => "differs, by less than the band",
            Verdict::ReadingsLower => "differs: readings below the badges",
            Verdict::ReadingsHigher => "differs: readings above the badges",
        }
    }

    /// What may explain it, at either dosimeter: leads, not conclusions.
    pub fn explanations(self) -> &'static [&'static str] {
        match self {
            Verdict::ReadingsLower => Agreement::ReadingsLower.usual_explanations(),
            Verdict::ReadingsHigher => Agreement::ReadingsHigher.usual_explanations(),
            _ => &[],
        }
    }
}

/// Some periods of one worker together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanRatio {
    /// Wear periods with readings and a result.
    pub compared: u32,
    /// Ratios that they give: periods too small for a comparison are added up until they are not.
    pub ratios: u32,
    /// Periods left out because the result is only known to be below the processor's minimum.
    pub below_minimum: u32,
    /// What the readings of the compared periods show together.
    pub readings: Dose,
    /// What their results come to.
    pub results: Dose,
    /// The mean logarithm of readings over result.
    pub mean: Option<f64>,
    /// How far its interval reaches to both sides.
    pub half: Option<f64>,
    /// Whether the mean itself lies beyond the band.
    pub beyond: bool,
    /// What comes of it.
    pub verdict: Verdict,
}

impl MeanRatio {
    /// What these periods, by day, show together.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(periods: &[Comparison], rule_set: &RuleSet) -> Result<MeanRatio, Overflow> {
        let band = Band::of(rule_set);
        let minimum = band.map_or(Dose::ZERO, |it| it.minimum);
        let mut found = MeanRatio {
            compared: 0,
            ratios: 0,
            below_minimum: 0,
            readings: Dose::ZERO,
            results: Dose::ZERO,
            mean: None,
            half: None,
            beyond: false,
            verdict: Verdict::TooFew,
        };
        let mut logs: Vec<f64> = Vec::new();
        let (mut readings, mut results) = (Dose::ZERO, Dose::ZERO);
        for period in periods {
            let result = match (&period.result, period.agreement) {
                (None, _) | (_, Agreement::ReadingsIncomplete | Agreement::NotComparable) => {
                    continue;
                }
                (Some(Reported::BelowMinimum { .. }), _) => {
                    found.below_minimum += 1;
                    continue;
                }
                (Some(Reported::Dose(result)), _) => *result,
            };
            found.compared += 1;
            found.readings = found.readings.checked_add(period.readings)?;
            found.results = found.results.checked_add(result)?;
            readings = readings.checked_add(period.readings)?;
            results = results.checked_add(result)?;
            if readings < minimum && results < minimum {
                continue;
            }
            // No ratio has a logarithm where one of them shows nothing; such a period is looked
            // into by itself.
            if readings > Dose::ZERO && results > Dose::ZERO {
                logs.push((readings.nsv() as f64 / results.nsv() as f64).ln());
            }
            (readings, results) = (Dose::ZERO, Dose::ZERO);
        }
        found.ratios = u32::try_from(logs.len()).unwrap_or(u32::MAX);
        if let Some(band) = band.filter(|_| !logs.is_empty()) {
            found.judge(&logs, band.log());
        }
        Ok(found)
    }

    fn judge(&mut self, logs: &[f64], edge: f64) {
        let n = logs.len() as f64;
        let mean = logs.iter().sum::<f64>() / n;
        self.mean = Some(mean);
        self.beyond = mean.abs() > edge;
        let squares: f64 = logs.iter().map(|it| (it - mean).powi(2)).sum();
        let error = (squares / (n - 1.0) / n).sqrt();
        let inspections = factor_at_any_time(logs.len() as u64, ANY_TIME_CONFIDENCE);
        let once = student_factor(logs.len() as u64 - 1, BAND_CONFIDENCE, Side::Upper);
        let (Ok(Some(inspections)), Ok(once)) = (inspections, once) else {
            return;
        };
        self.half = Some(inspections * error);
        self.verdict = if mean.abs() <= inspections * error {
            Verdict::NotShown
        } else if mean.abs() + once * error < edge {
            Verdict::WithinBand
        } else if mean < 0.0 {
            Verdict::ReadingsLower
        } else {
            Verdict::ReadingsHigher
        };
    }

    /// The mean ratio with the ends of its interval, as far as there are any.
    pub fn ratio(&self) -> Option<(f64, Option<(f64, f64)>)> {
        let mean = self.mean?;
        let ends = self
            .half
            .map(|half| ((mean - half).exp(), (mean + half).exp()));
        Some((mean.exp(), ends))
    }
}
