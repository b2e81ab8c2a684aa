//! A row of a trace: an item, with what the last inspection of it said.

use serde::Serialize;

use crate::calendar::Day;
use crate::rule::ItemMeasurement;
use crate::trace::verdict::Verdict;

/// The item that stands for "nothing looks for this" in a conclusion.
pub const NO_ITEM: &str = "none";

/// How a measured item stood at the event, by what was written before it: an estimate.
#[derive(Debug, Clone, Serialize)]
pub struct WearThen {
    /// How many figures there were.
    pub points: usize,
    /// The limit, with its sense.
    pub limit: String,
    /// Where it was heading, in words.
    pub outlook: String,
    /// The same on the latest day of the event, where that is another one.
    pub outlook_at_latest: Option<String>,
    /// The first day on which a measure might have been past the limit.
    pub earliest: Option<Day>,
    /// When the line reached it.
    pub likely: Option<Day>,
    /// From when on the limit was to be foreseen.
    pub foreseeable: Option<Day>,
    /// The same in words, or that it was not, or that too few measures tell.
    pub foreseeable_words: String,
    /// Exposures on sheets from the fitting to the event: at least so many cycles.
    pub cycles_at_least: i64,
    /// Slope of the line in a day and its height on a day, for a drawing.
    #[serde(skip)]
    pub line: Vec<(Day, i64)>,
}

/// One item with its verdict.
#[derive(Debug, Clone, Serialize)]
pub struct TraceRow {
    /// The item's key.
    pub item: String,
    /// Of which step of the causes, from 1.
    pub step: usize,
    /// The item that was looked at, or should have been.
    pub equipment: String,
    /// What it is.
    #[serde(rename = "type")]
    pub kind: String,
    /// Its component.
    pub component: String,
    /// What is looked at.
    pub how: String,
    /// When.
    pub when: Vec<&'static str>,
    /// Where the item comes from.
    pub basis: String,
    /// The verdict.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// How it wore, as known then.
    pub wear: Option<WearThen>,
    /// For a drawing.
    #[serde(skip)]
    pub measurement: Option<ItemMeasurement>,
}
