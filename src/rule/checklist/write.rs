//! A checklist written out whole, as a file that reads back as the same checklist.

use super::super::written::Text;
use super::joint;
use super::{Checklist, ChecklistItem, ItemMeasurement, OpenMeasurement};

impl Checklist {
    /// The text of a file that stands alone and reads back as this checklist: what it started
    /// from is written out, so that a later version of the built-in list changes nothing that
    /// was adopted.
    pub fn written_out(&self) -> String {
        let mut out = Text::default();
        out.text("checklist", &self.key);
        out.text("title", &self.title);
        out.text("confirm", &self.confirm);
        if let Some(base) = &self.based_on {
            out.text("based_on", base);
        }
        for failure in &self.failures {
            out.section("[[failure]]");
            out.text("key", &failure.key);
            out.text("name", &failure.name);
            out.text("meaning", &failure.meaning);
        }
        for item in &self.items {
            write_item(&mut out, item);
        }
        for one in &self.joints {
            joint::write(&mut out, one);
        }
        out.into_string()
    }
}

fn write_item(out: &mut Text, item: &ChecklistItem) {
    out.section("[[item]]");
    out.text("key", &item.key);
    out.text("on", &item.on);
    out.text("component", &item.component);
    out.text("look", &item.how);
    out.text("good", &item.good);
    out.texts("when", item.when.iter().map(|when| when.name()));
    out.texts("detects", item.detects.iter().map(String::as_str));
    out.text("basis", &item.basis);
    out.text("status", item.status.name());
    if let Some(pair) = &item.pair {
        out.text("pair", pair);
    }
    if let Some(caution) = &item.caution {
        out.text("caution", caution);
    }
    for (field, text) in item.spanish.fields() {
        if let Some(text) = text {
            out.text(field, text);
        }
    }
    if let Some(measurement) = &item.measurement {
        write_measurement(out, measurement);
    }
    if let Some(open) = &item.open {
        write_open(out, open);
    }
}

fn write_open(out: &mut Text, open: &OpenMeasurement) {
    out.section("[item.measure]");
    out.text("step", &open.step.display(open.unit));
    out.text("sense", open.sense.name());
}

fn write_measurement(out: &mut Text, measurement: &ItemMeasurement) {
    out.section("[item.measure]");
    for (field, amount) in [
        ("nominal", measurement.nominal),
        ("limit", Some(measurement.limit)),
        ("warn", measurement.warn),
        ("step", Some(measurement.step)),
        ("lowest", Some(measurement.lowest)),
        ("highest", Some(measurement.highest)),
    ] {
        if let Some(amount) = amount {
            out.text(field, &amount.display(measurement.unit));
        }
    }
    out.text("sense", measurement.sense.name());
}
