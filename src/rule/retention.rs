//! How long records are kept, and what must be in them. Nothing is ever deleted from a ledger;
//! this says what of the paper behind it may be put away.

use super::entry::basis;
use super::keep::{Keep, RecordType, Retention};
use super::offer::has_section;
use super::read::{Fields, Reader};
use super::rule_set::RuleSet;
use super::written::Text;

/// A section `[[retention]]`.
pub(super) fn retention(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Retention> {
    let what = fields.must(reader, "what", "name the record: `what = \"leak tests\"`");
    let contents = fields.text(reader, "contents");
    let mut records = Vec::new();
    let mut good = true;
    for one in fields
        .texts(reader, "records")
        .into_iter()
        .flat_map(|it| it.value)
    {
        match RecordType::ALL.iter().find(|it| it.name() == one.value) {
            Some(kind) => records.push(*kind),
            None => {
                let names: Vec<&str> = RecordType::ALL.iter().map(|it| it.name()).collect();
                let right = format!("name some of {}", super::read::quoted(&names));
                reader.problem(
                    one.at,
                    format!("`{}` is no type of record", one.value),
                    right,
                );
                good = false;
            }
        }
    }
    let right = "write `3 years`, `until the license ends`, `3 years after the license ends`, \
                 `while in force` or `as long as its record`";
    if fields.take("keep").is_none() {
        fields.needs(reader, "keep", right);
    }
    let keep = fields.parsed(reader, "keep", right, Keep::parse);
    let basis = basis(reader, fields)?;
    good.then_some(())?;
    Some(Retention {
        key,
        what: what?.value,
        contents: contents.map(|it| it.value),
        records,
        keep: keep?.value,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

impl RuleSet {
    /// Whether it was adopted before the built-in rule set that it starts from said how long
    /// records are kept.
    pub fn retention_came_later(&self) -> bool {
        self.retention.is_empty() && has_section(self.root(), "[[retention]]")
    }

    /// How long records are kept; none where the rule set does not say.
    pub fn retention(&self) -> &[Retention] {
        &self.retention
    }

    pub(super) fn write_retention(&self, out: &mut Text) {
        for row in &self.retention {
            out.section("[[retention]]");
            out.text("key", &row.key);
            out.text("what", &row.what);
            if let Some(contents) = &row.contents {
                out.text("contents", contents);
            }
            out.texts("records", row.records.iter().map(|it| it.name()));
            out.text("keep", &row.keep.to_string());
            out.basis(&row.citation, row.status, &row.meaning);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_to_keep_is_read_as_it_is_written_out() {
        let years = [1, 2, 100].into_iter();
        let counted = years.flat_map(|it| [Keep::Years(it), Keep::AfterLicenseEnd(it)]);
        for keep in counted.chain([Keep::LicenseEnd, Keep::WhileInForce, Keep::AsItsRecord]) {
            assert_eq!(Keep::parse(&keep.to_string()), Ok(keep), "{keep}");
        }
    }
}
