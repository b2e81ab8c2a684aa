//! A rule set written out whole, as a file that reads back as the same rule set.

use super::event::Duty;
use super::event_entry::threshold_text;
use super::requirement::{RuleText, Tolerance, ToleranceValue};
use super::rule_set::RuleSet;
use super::written::{Text, quoted};
use crate::calendar::Interval;
use crate::quantity::{ActivityUnit, DoseRateUnit};

impl RuleSet {
    /// The text of a file that stands alone and reads back as this rule set. A ledger keeps this
    /// for a file with `extends`. Each unit prints every dose exactly.
    pub fn to_toml(&self) -> String {
        let mut out = Text::default();
        self.write_head(&mut out);
        self.write_levels(&mut out);
        if let Some(form) = &self.form {
            form.write(&mut out);
        }
        if let Some(bands) = &self.bands {
            bands.write(&mut out, self.unit);
        }
        for one in &self.intervals {
            out.section("[[interval]]");
            out.text("key", &one.key);
            out.text("what", &one.what);
            let (kind, months) = kind(one.interval);
            out.text("kind", kind);
            if let Some(months) = months {
                out.bare("months", months);
            }
            out.basis(&one.citation, one.status, &one.meaning);
        }
        for one in &self.tolerances {
            self.write_tolerance(&mut out, one, "[[tolerance]]");
        }
        for one in &self.rules {
            one.write(&mut out, "[[rule]]");
        }
        self.write_removed(&mut out);
        self.write_events(&mut out);
        self.write_retention(&mut out);
        self.write_elsewhere(&mut out);
        out.into_string()
    }

    pub(super) fn write_tolerance(&self, out: &mut Text, one: &Tolerance, header: &str) {
        out.section(header);
        out.text("key", &one.key);
        let field = one.value.field();
        match one.value {
            ToleranceValue::Dose(dose) => out.text(field, &dose.display(self.unit)),
            ToleranceValue::Rate(rate) => out.text(field, &rate.display(self.rate_unit())),
            ToleranceValue::Activity(activity) => {
                out.text(field, &activity.display(ActivityUnit::Becquerel));
            }
            ToleranceValue::ByDay(day) => out.text(field, &day.to_string()),
            ToleranceValue::Permille(n)
            | ToleranceValue::Hours(n)
            | ToleranceValue::Days(n)
            | ToleranceValue::Years(n) => {
                out.bare(field, n);
            }
        }
        out.basis(&one.citation, one.status, &one.meaning);
    }

    fn write_facts(&self, out: &mut Text) {
        for fact in &self.facts {
            out.section("[[fact]]");
            out.text("key", &fact.key);
            out.text("text", &fact.text);
            out.texts("yes_if", fact.yes_if.iter().map(String::as_str));
            out.texts("no_if", fact.no_if.iter().map(String::as_str));
            out.texts("assumed_if", fact.assumed_if.iter().map(String::as_str));
            out.texts("asked_if", fact.asked_if.iter().map(String::as_str));
            if let Some(measured) = fact.measured {
                out.text("measured", measured.name());
            }
        }
        for one in &self.categories {
            out.section("[[category]]");
            out.text("key", &one.key);
            out.text(
                "category_2",
                &one.category_2.display(ActivityUnit::TeraBecquerel),
            );
            out.basis(&one.citation, one.status, &one.meaning);
        }
        for one in &self.authorities {
            out.section("[[authority]]");
            out.text("key", &one.key);
            out.texts(
                "jurisdictions",
                one.jurisdictions.iter().map(String::as_str),
            );
            out.text("name", &one.name);
            if let Some(telephone) = &one.telephone {
                out.text("telephone", telephone);
            }
            out.bare("equivalent", one.equivalent);
            let times: Vec<String> = one
                .times
                .iter()
                .map(|(key, it)| format!("{key}: {it}"))
                .collect();
            out.texts("times", times.iter().map(String::as_str));
            let pairs = [
                ("citations", &one.citations),
                ("own", &one.own),
                ("binds", &one.binds),
            ];
            for (field, pairs) in pairs {
                let texts: Vec<String> = pairs.iter().map(|(a, b)| format!("{a}: {b}")).collect();
                out.texts(field, texts.iter().map(String::as_str));
            }
            out.texts("names", one.names.iter().map(String::as_str));
            if let Some(reciprocity) = &one.reciprocity {
                reciprocity.write(out);
            }
        }
    }

    fn write_events(&self, out: &mut Text) {
        for kind in &self.events {
            out.section("[[event]]");
            out.text("key", &kind.key);
            out.text("name", &kind.name);
            out.text("meaning", &kind.meaning);
            out.bare("withdraws", kind.withdraws);
            out.bare("calls_for_inspection", kind.calls_for_inspection);
            out.texts("failures", kind.failures.iter().map(String::as_str));
        }
        self.write_facts(out);
        for duty in &self.notifications {
            self.write_notification(out, duty, "[[notice]]");
        }
    }

    pub(super) fn write_notification(&self, out: &mut Text, duty: &Duty, header: &str) {
        out.section(header);
        out.text("key", &duty.key);
        out.text("what", &duty.what);
        out.texts("of", duty.of.iter().map(String::as_str));
        let when: Vec<String> = duty.when.iter().map(|it| it.join(" | ")).collect();
        out.texts("when", when.iter().map(String::as_str));
        if let Some(report) = &duty.report {
            out.text("report", report);
        }
        out.keyed("questions", &duty.questions);
        let doses = duty.doses.iter();
        let doses: Vec<String> = doses
            .map(|it| threshold_text(it, &it.dose.display(self.unit)))
            .collect();
        out.texts("doses", doses.iter().map(String::as_str));
        out.bare("above_a_limit", duty.above_a_limit);
        out.text("clock", duty.clock.name());
        if let Some(after) = &duty.after {
            out.text("after", after);
        }
        out.text("within", &duty.within.to_string());
        out.text("how", duty.how.name());
        out.text("to", &duty.to);
        out.keyed("contents", &duty.contents);
        let only = duty.contents_if.iter();
        let only: Vec<String> = only.map(|(key, fact)| format!("{key}: {fact}")).collect();
        out.texts("contents_if", only.iter().map(String::as_str));
        out.basis(&duty.citation, duty.status, &duty.meaning);
    }

    fn write_head(&self, out: &mut Text) {
        out.text("rule_set", &self.key);
        out.text("title", &self.title);
        out.text("unit", self.unit.symbol());
        out.bare("si_in_parentheses", self.si_in_parentheses);
        out.text("year_start", &self.year_start.to_string());
        out.text("confirm", &self.confirm);
        if let Some(base) = &self.based_on {
            out.text("based_on", base);
        }
        if !self.through.is_empty() {
            out.texts("through", self.through.iter().map(String::as_str));
        }
        let without = &self.elsewhere.without;
        if !without.is_empty() {
            let texts: Vec<String> = without.iter().map(|(a, b)| format!("{a}: {b}")).collect();
            out.texts("not_elsewhere", texts.iter().map(String::as_str));
        }
        if let Some(jurisdiction) = &self.jurisdiction {
            out.text("jurisdiction", jurisdiction);
        }
        if !self.cautions.is_empty() {
            let each = self.cautions.iter();
            let texts: Vec<String> = each
                .map(|one| quoted(&format!("{}: {}", one.about, one.what)))
                .collect();
            out.bare("cautions", format!("[{}]", texts.join(", ")));
        }
    }

    fn write_levels(&self, out: &mut Text) {
        for level in &self.levels {
            out.section("[[level]]");
            out.text("key", &level.key);
            out.text("sort", level.kind.name());
            out.text("quantity", level.quantity.name());
            out.text("applies_to", level.applies_to.name());
            out.text("window", &level.window.to_string());
            out.text("dose", &level.dose.display(self.unit));
            out.text("reached", level.reached.name());
            out.bare("needs_authorization", level.needs_authorization);
            if let Some(other) = &level.instead_of {
                out.text("instead_of", other);
            }
            out.bare("cut_by_missing_quarters", level.cut_by_missing_quarters);
            if let Some(stops) = level.stops {
                out.bare("stops", stops);
            }
            out.basis(&level.citation, level.status, &level.meaning);
        }
        if let Some(rule) = &self.pregnancy {
            out.section("[pregnancy]");
            out.text("level", &rule.level);
            if let Some(floor) = rule.floor {
                out.text("floor", &floor.display(self.unit));
            }
            out.basis(&rule.citation, rule.status, &rule.meaning);
        }
    }

    pub(super) const fn rate_unit(&self) -> DoseRateUnit {
        if self.unit.is_si() {
            DoseRateUnit::MilliSievertPerHour
        } else {
            DoseRateUnit::MilliremPerHour
        }
    }
}

impl RuleText {
    pub(super) fn write(&self, out: &mut Text, header: &str) {
        out.section(header);
        out.text("key", &self.key);
        out.basis(&self.citation, self.status, &self.meaning);
        out.text("remedy", &self.remedy);
    }
}

const fn kind(interval: Interval) -> (&'static str, Option<u32>) {
    match interval {
        Interval::NotToExceedMonths(months) => ("not to exceed months", Some(months)),
        Interval::OnceEachQuarter => ("once each quarter", None),
        Interval::NotToExceedMonthsOrBeforeNextUse(months) => {
            ("not to exceed months or before next use", Some(months))
        }
        Interval::WithinMonthsBeforeUse(months) => ("within months before use", Some(months)),
        Interval::BeforeUseEachDay => ("before use each day", None),
        Interval::EachShift => ("each shift", None),
    }
}
