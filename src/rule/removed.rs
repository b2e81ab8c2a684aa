//! Levels and duties that a site's own rule set leaves out, each with the reason that every output
//! tells which it changes.

use super::draft::{Keyed, Sections};
use super::left_out::{Removed, RemovedType, Tells};
use super::read::{Fields, Reader, nearest};
use super::rule_set::RuleSet;
use super::word::{AppliesTo, cited};
use super::written::Text;

impl Keyed for Removed {
    fn key(&self) -> &str {
        &self.key
    }
}

/// A section `[[remove]]`.
pub(super) fn removed(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Removed> {
    let right =
        "say why: `reason = \"no permanent radiographic installation here, license condition 14\"`";
    let reason = fields.must(reader, "reason", right);
    let what = fields.text(reader, "what").map(|it| it.value);
    let right = "leave it out: the program writes it";
    let of = fields.parsed(reader, "of", right, |text| {
        RemovedType::from_name(text).ok_or("neither a level nor a duty")
    });
    let by = fields.text(reader, "by").map(|it| it.value);
    let applies_to = fields.parsed(reader, "applies_to", right, |text| {
        AppliesTo::from_name(text).ok_or("a group that no level is for")
    });
    Some(Removed {
        key,
        reason: reason?.value,
        what,
        of: of.map(|it| it.value),
        by,
        applies_to: applies_to.map(|it| it.value),
    })
}

/// Takes what is left out away from the levels and the duties; `by` is the rule set that does.
pub(super) fn take_away(reader: &mut Reader<'_>, sections: &mut Sections, by: Option<&str>) {
    let told: Vec<(String, usize)> = sections.removed.told.clone();
    // What the file that this one starts from left out, and this one gives, is there again.
    let (levels, duties) = (&sections.levels, &sections.notifications);
    sections.removed.entries.retain(|it| {
        let key = &it.value.key;
        it.at.is_some() || !(levels.is_told(key) || duties.is_told(key))
    });
    for entry in &mut sections.removed.entries {
        let key = entry.value.key.clone();
        let at = told.iter().find(|it| it.0 == key).map_or(0, |it| it.1);
        if sections.levels.is_told(&key) || sections.notifications.is_told(&key) {
            let what = format!("`{key}` is left out and given");
            let right = "leave it out of `[[remove]]`: one of the same key takes its place";
            reader.problem(at, what, right.to_owned());
            continue;
        }
        let levels = &mut sections.levels.entries;
        let duties = &mut sections.notifications.entries;
        let level = levels.iter().position(|it| it.value.key == key);
        let duty = duties.iter().position(|it| it.value.key == key);
        match (level, duty, &entry.value.what) {
            (Some(place), _, _) => {
                let it = levels.remove(place).value;
                let what = format!("the {} `{key}` ({})", it.kind.level_name(), it.cited());
                entry.value.what = Some(what);
                entry.value.of = Some(RemovedType::Level);
                entry.value.applies_to = Some(it.applies_to);
                entry.value.by = by.map(str::to_owned);
            }
            (None, Some(place), _) => {
                let it = duties.remove(place).value;
                for after in duties
                    .iter()
                    .filter(|one| one.value.after.as_ref() == Some(&key))
                {
                    let goes = told.iter().any(|(it, _)| *it == after.value.key);
                    if !goes {
                        let what = format!("`{}` follows `{key}`", after.value.key);
                        reader.problem(
                            at,
                            what,
                            "leave it out too, each with its reason".to_owned(),
                        );
                    }
                }
                let cited = cited(&it.citation, it.status);
                entry.value.what = Some(format!("the duty `{key}` ({cited})"));
                entry.value.of = Some(RemovedType::Duty);
                entry.value.by = by.map(str::to_owned);
            }
            // A rule set written out whole has it no more, and says what it was.
            (None, None, Some(_)) => {}
            (None, None, None) => {
                let mut keys: Vec<&str> = levels.iter().map(|it| it.value.key.as_str()).collect();
                keys.extend(duties.iter().map(|it| it.value.key.as_str()));
                let right = match nearest(&key, &keys) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "name the key of a level or of a notice, and start with `extends`"
                        .to_owned(),
                };
                reader.problem(at, format!("there is no `{key}` to leave out"), right);
            }
        }
    }
}

impl RuleSet {
    /// What of the rule set that it started from it leaves out, with the reasons.
    pub fn removed(&self) -> &[Removed] {
        &self.removed
    }

    /// The caution that goes with an output, with what is left out of it and why.
    pub fn caution_of(&self, tells: Tells) -> String {
        let mut words = self.confirm.clone();
        for it in self.removed.iter().filter(|it| tells.is_changed_by(it.of)) {
            words.push(' ');
            words.push_str(&self.left_out(it, ""));
        }
        words
    }

    /// That something is left out, `though` it would hold here, by whom and why.
    pub fn left_out(&self, it: &Removed, though: &str) -> String {
        let by = match it.by.as_deref().filter(|by| *by != self.key) {
            Some(by) => format!("the rules of {by}"),
            None => "this site's rules".to_owned(),
        };
        let what = it.what.as_deref().unwrap_or(&it.key);
        format!("LEFT OUT by {by}{though}: {what}: {}.", it.reason)
    }

    pub(super) fn write_removed(&self, out: &mut Text) {
        for it in &self.removed {
            out.section("[[remove]]");
            out.text("key", &it.key);
            out.text("reason", &it.reason);
            if let Some(what) = &it.what {
                out.text("what", what);
            }
            if let Some(of) = it.of {
                out.text("of", of.name());
            }
            if let Some(by) = &it.by {
                out.text("by", by);
            }
            if let Some(whom) = it.applies_to {
                out.text("applies_to", whom.name());
            }
        }
    }
}
