//! The rule sets and checklists that come with the program.

/// A built-in rule set or checklist: an offer that a ledger may adopt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offer {
    /// Its key, as in `rule_set = "10 CFR"` or `checklist = "general"`.
    pub name: &'static str,
    /// The full text, which an adoption writes into the ledger.
    pub text: &'static str,
}

const OFFERS: &[Offer] = &[
    Offer {
        name: "10 CFR",
        text: concat!(
            include_str!("rule_sets/us-10cfr.toml"),
            include_str!("rule_sets/events.toml")
        ),
    },
    Offer {
        name: "Canada",
        text: concat!(
            include_str!("rule_sets/canada.toml"),
            include_str!("rule_sets/events.toml")
        ),
    },
    Offer {
        name: "EU",
        text: concat!(
            include_str!("rule_sets/eu.toml"),
            include_str!("rule_sets/events.toml")
        ),
    },
    Offer {
        name: "IAEA",
        text: concat!(
            include_str!("rule_sets/iaea.toml"),
            include_str!("rule_sets/events.toml")
        ),
    },
];

/// Every built-in rule set, the default first.
pub fn builtin() -> &'static [Offer] {
    OFFERS
}

/// The built-in rule set of this name, in capitals or not.
pub fn offer(name: &str) -> Option<&'static Offer> {
    let named = |offer: &&Offer| offer.name.eq_ignore_ascii_case(name);
    OFFERS.iter().find(named)
}

const CHECKLISTS: &[Offer] = &[Offer {
    name: "general",
    text: include_str!("checklists/general.toml"),
}];

/// Every built-in checklist, the default first.
pub fn checklists() -> &'static [Offer] {
    CHECKLISTS
}

/// The built-in checklist of this name.
pub fn checklist_offer(name: &str) -> Option<&'static Offer> {
    CHECKLISTS.iter().find(|offer| offer.name == name)
}

/// Whether a built-in rule set has such a section, by its header.
pub(super) fn has_section(rule_set: &str, header: &str) -> bool {
    offer(rule_set).is_some_and(|it| it.text.lines().any(|line| line == header))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rule::RuleSet;

    #[test]
    fn every_offer_reads_and_has_its_name() {
        for offer in builtin() {
            let rule_set = RuleSet::parse(offer.text).unwrap_or_else(|problems| {
                panic!("{}:\n{problems}", offer.name);
            });
            assert_eq!(rule_set.key, offer.name);
            assert_eq!(rule_set.cautions(), []);
        }
    }
}
