//! Which laws are a rule set's own, and a text without what it cites of another.

use super::checklist::{Checklist, ChecklistItem, ItemStatus};
use super::event_entry::plain;
use super::offer::builtin;
use super::read::{Fields, Reader};
use super::rule_set::RuleSet;
use crate::quantity::{AmountUnit, DoseRate, DoseRateUnit, DoseUnit, MeterUnit};

/// What a basis says where nothing is left of it.
const NO_SOURCE: &str = "common practice, no source";

/// The laws of the built-in rule sets, each with the rule set whose it is.
fn known_laws() -> Vec<(&'static str, String)> {
    let (mut reader, document) = Reader::open(include_str!("rule_sets/laws.toml"));
    let mut fields = Fields::new("the file".to_owned(), 0, document.get_ref());
    let mut all = Vec::new();
    for rule_set in builtin() {
        let laws = plain(fields.texts(&mut reader, rule_set.name));
        all.extend(laws.into_iter().map(|law| (rule_set.name, law)));
    }
    all
}

/// Whether a law stands in a text, with no letter or digit beside it.
fn names(text: &str, law: &str) -> bool {
    text.match_indices(law).any(|(at, _)| {
        let joins = |sign: Option<char>| sign.is_some_and(char::is_alphanumeric);
        let before = text.get(..at).and_then(|it| it.chars().next_back());
        let after = text.get(at + law.len()..).and_then(|it| it.chars().next());
        !joins(before) && !joins(after)
    })
}

/// The laws of the built-in rule sets that are not a rule set's own.
#[derive(Debug)]
pub struct OtherLaws(Vec<String>);

impl RuleSet {
    /// The laws that are of a built-in rule set, neither this one nor the one that it starts from,
    /// and that it does not cite either.
    pub fn other_laws(&self) -> OtherLaws {
        let citations = super::open::every_citation(self);
        let is_own =
            |of: &str, law: &str| of == self.root() || citations.iter().any(|it| names(it, law));
        let all = known_laws().into_iter();
        let others = all.filter(|(of, law)| !is_own(of, law));
        OtherLaws(others.map(|it| it.1).collect())
    }
}

impl OtherLaws {
    fn in_text(&self, text: &str) -> bool {
        self.0.iter().any(|law| names(text, law))
    }

    /// A basis without the parts that cite another law. Of a part that says what it is the basis
    /// of, that stays: what is good does not become another law's by the part before it.
    pub fn left_out(&self, basis: &str) -> String {
        if !self.in_text(basis) {
            return basis.to_owned();
        }
        let mut another = false;
        let mut left: Vec<String> = Vec::new();
        for part in basis.split("; ") {
            // `34.25(b)` after a semicolon is of the law before it.
            let goes_on = part.starts_with(|it: char| it.is_ascii_digit()) && !part.contains(' ');
            another = self.in_text(part) || (another && goes_on);
            match (another, part.split_once(": ")) {
                (false, _) => left.push(part.to_owned()),
                (true, Some((of, _))) if !self.in_text(of) => {
                    left.push(format!("{of}: {NO_SOURCE}"));
                }
                (true, _) => {}
            }
        }
        match left.iter().all(|it| it.ends_with(NO_SOURCE)) {
            true => NO_SOURCE.to_owned(),
            false => left.join("; "),
        }
    }

    /// A sentence without the parentheses that cite another law.
    fn unbracketed(&self, text: &str) -> String {
        let mut out = String::new();
        let mut rest = text;
        while let Some((before, from)) = rest.split_once(" (") {
            out.push_str(before);
            let end = closing(from);
            let (inside, after) = end
                .and_then(|at| from.split_at_checked(at))
                .unwrap_or((from, ""));
            match self.in_text(inside) {
                true => rest = after.strip_prefix(')').unwrap_or(after),
                false => {
                    out.push_str(" (");
                    rest = from;
                }
            }
        }
        out.push_str(rest);
        out
    }
}

/// Where the parenthesis that is open ends.
fn closing(text: &str) -> Option<usize> {
    let mut open = 0;
    text.char_indices().find_map(|(at, sign)| {
        match sign {
            '(' => open += 1,
            ')' if open == 0 => return Some(at),
            ')' => open -= 1,
            _ => {}
        }
        None
    })
}

/// The unit in which a ledger in SI units tells a rate; nothing where mR/h is at home.
fn rate_unit(unit: DoseUnit) -> Option<DoseRateUnit> {
    match unit {
        DoseUnit::MicroSievert => Some(DoseRateUnit::MicroSievertPerHour),
        _ => unit.is_si().then_some(DoseRateUnit::MilliSievertPerHour),
    }
}

/// A sentence with each `200 mR/h` in a unit of the ledger, 1 mR/h counting as 10 uSv/h.
fn with_rates_in(text: &str, unit: DoseRateUnit) -> String {
    let mut out: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let symbol = word.trim_end_matches([';', ',', '.', ')', ':']);
        let number = out.last().filter(|_| is_exposure(symbol));
        let rate = number.and_then(|number| {
            let number = number.trim_start_matches('(');
            DoseRate::parse_meter_rate(&format!("{number} {symbol}"), None).ok()
        });
        match (rate, out.last_mut()) {
            (Some(rate), Some(number)) => {
                let open = if number.starts_with('(') { "(" } else { "" };
                let end = word.get(symbol.len()..).unwrap_or_default();
                *number = format!("{open}{}{end}", rate.display(unit));
            }
            _ => out.push(word.to_owned()),
        }
    }
    out.join(" ")
}

fn is_exposure(symbol: &str) -> bool {
    let unit = AmountUnit::parse(symbol);
    matches!(
        unit,
        Ok(AmountUnit::Rate(
            MeterUnit::Milliroentgen | MeterUnit::Roentgen | MeterUnit::MicroRoentgen
        ))
    )
}

impl Checklist {
    /// The list as a ledger tells it: without the laws of others, rates in the ledger's unit.
    /// What the ledger keeps stays as it was adopted.
    pub fn tell(&mut self, laws: &OtherLaws, unit: DoseUnit) {
        let rates = rate_unit(unit);
        self.confirm = laws.unbracketed(&self.confirm);
        for item in &mut self.items {
            item.tell(laws);
            if let Some(rates) = rates {
                item.rates_in(rates);
            }
        }
    }
}

impl ChecklistItem {
    fn tell(&mut self, laws: &OtherLaws) {
        let basis = laws.left_out(&self.basis);
        if basis != self.basis && basis == NO_SOURCE {
            self.status = ItemStatus::CommonPractice;
        }
        self.basis = basis;
        let texts = [&mut self.how, &mut self.good];
        for text in texts.into_iter().chain(&mut self.caution) {
            *text = laws.unbracketed(text);
        }
    }

    fn rates_in(&mut self, unit: DoseRateUnit) {
        let texts = [&mut self.how, &mut self.good, &mut self.basis];
        for text in texts.into_iter().chain(&mut self.caution) {
            *text = with_rates_in(text, unit);
        }
        let told = AmountUnit::Rate(MeterUnit::Dose(unit));
        let measured = self.measurement.as_mut().map(|it| &mut it.unit);
        let open = self.open.as_mut().map(|it| &mut it.unit);
        for own in measured.into_iter().chain(open) {
            if own.kind() == told.kind() {
                *own = told;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laws(name: &str) -> OtherLaws {
        let offer = super::super::offer(name).expect("a built-in rule set");
        RuleSet::parse(offer.text).expect("it reads").other_laws()
    }

    /// Rule set, basis, what is left of it.
    #[test]
    fn a_basis_is_left_with_what_is_of_the_rule_sets_own_law() {
        let us = "WAC 246-243-240; 32 IAC 350 Appendix B";
        let canada = "SOR/2000-207 s. 31(1)(g)";
        let both = format!("{us}; {canada}");
        let good = format!("{both}; what is good: 10 CFR 34.20(c)(1)");
        let no_source = format!("what is good: {NO_SOURCE}");
        for (rule_set, basis, wanted) in [
            ("10 CFR", both.as_str(), us),
            ("Canada", &both, canada),
            ("Canada", &good, &format!("{canada}; {no_source}")),
            ("EU", &both, NO_SOURCE),
            ("IAEA", &good, NO_SOURCE),
            (
                "IAEA",
                "10 CFR 34.21; 34.25(b); our manual 3.1",
                "our manual 3.1",
            ),
            (
                "IAEA",
                "10 CFR 34.21; 3.1 of our manual",
                "3.1 of our manual",
            ),
            (
                "IAEA",
                "as seen in the WACO yard",
                "as seen in the WACO yard",
            ),
            ("IAEA", NO_SOURCE, NO_SOURCE),
            (
                "EU",
                "32 IAC 350; figures: common practice, no source; warning mark: a norm, unverified",
                "figures: common practice, no source; warning mark: a norm, unverified",
            ),
        ] {
            assert_eq!(
                laws(rule_set).left_out(basis),
                wanted,
                "{rule_set}: {basis}"
            );
        }
    }

    #[test]
    fn a_law_that_a_site_cites_itself_is_its_own() {
        let text = "extends = \"IAEA\"\nscheme = \"own\"\ntitle = \"own\"\n[[rule]]\n\
            key = \"reconcile\"\ncitation = \"SOR/2000-203 s. 1\"\nstatus = \"read\"\n\
            meaning = \"m\"\nremedy = \"r\"\n";
        let other = RuleSet::parse(text)
            .unwrap_or_else(|it| panic!("{it}"))
            .other_laws();
        let basis = "SOR/2000-203 s. 2; 10 CFR 34.1; GSR Part 3";
        assert_eq!(other.left_out(basis), "SOR/2000-203 s. 2; GSR Part 3");
    }

    /// 1 mR/h counts as 1 mrem/h, which is 10 uSv/h (10 CFR 20.1004: 1 rem is 0.01 Sv).
    #[test]
    fn a_rate_in_a_sentence_is_told_in_the_unit_of_the_ledger() {
        for (text, wanted) in [
            (
                "not above 200 mR/h, as before",
                "not above 2 mSv/h, as before",
            ),
            (
                "from 2 mR/h on (10 mR/h; 0.5 R/h)",
                "from 0.02 mSv/h on (0.1 mSv/h; 5 mSv/h)",
            ),
            ("many mR/h", "many mR/h"),
            ("5 mm", "5 mm"),
        ] {
            assert_eq!(
                with_rates_in(text, DoseRateUnit::MilliSievertPerHour),
                wanted
            );
        }
    }

    #[test]
    fn a_caution_loses_the_parenthesis_of_another_law_alone() {
        let text = "Out of service (10 CFR 34.31(b)(1)). Locked (by key) and shielded.";
        let wanted = "Out of service. Locked (by key) and shielded.";
        assert_eq!(laws("EU").unbracketed(text), wanted);
        assert_eq!(laws("10 CFR").unbracketed(text), text);
    }
}
