//! Files whose headings are not ours: which of our columns stands under which heading, and
//! what holds for the whole file.

use csv::StringRecord;

use super::columns::Columns;
use crate::answer::near;
use crate::intake::entry::fault::{Fault, Faults};
use crate::intake::entry::said::Said;

impl Columns {
    /// Finds the headings of a mapping in a header. Other headings are left alone: a report has
    /// many that say nothing here.
    pub(crate) fn of_mapping(
        names: &'static [&'static str],
        needed: &[&str],
        (line, header): (u64, &StringRecord),
        said: &Said,
        faults: &mut Faults,
    ) -> Columns {
        let mut columns = Columns {
            names,
            at: vec![None; names.len()],
            width: header.len(),
            headings: vec![None; names.len()],
            foreign: true,
            ..Columns::default()
        };
        for (name, heading) in &said.columns {
            columns.map((name, heading), (line, header), faults);
        }
        for name in needed {
            let is_mapped = said.columns.iter().any(|(column, _)| column == name);
            let is_given = said.is_given(name);
            if is_mapped || is_given {
                continue;
            }
            let right = format!("--map {name}=HEADING, or for the whole file --set {name}=VALUE");
            faults.push(Fault::new(
                None,
                name,
                "",
                "is neither mapped nor given",
                right,
            ));
        }
        columns
    }

    /// Puts one of our columns under a heading of the file.
    fn map(
        &mut self,
        (name, heading): (&str, &str),
        (line, header): (u64, &StringRecord),
        faults: &mut Faults,
    ) {
        let Some(column) = self.names.iter().position(|it| *it == name) else {
            let near = near(name, self.names.iter().copied());
            let right = match near.first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => self.names.join(", "),
            };
            let what = "is not a column that a heading can be mapped to";
            faults.push(Fault::new(None, "map", name, what, right));
            return;
        };
        let is_it = |it: &str| it.trim().eq_ignore_ascii_case(heading);
        let mut found = (0..header.len()).filter(|place| header.get(*place).is_some_and(is_it));
        match (found.next(), found.next()) {
            (Some(only), None) => {
                if let Some(slot) = self.at.get_mut(column) {
                    *slot = Some(only);
                }
                if let Some(slot) = self.headings.get_mut(column) {
                    *slot = Some(heading.to_owned());
                }
            }
            (Some(_), Some(_)) => faults.push(Fault::new(
                Some(line),
                name,
                heading,
                "stands over several columns of the file",
                "a heading that stands once",
            )),
            (None, _) => {
                let near = near(heading, header.iter().map(str::trim));
                let right = match near.as_slice() {
                    [] => format!("one of: {}", header.iter().collect::<Vec<_>>().join(", ")),
                    near => format!("did you mean `{}`?", near.join("` or `")),
                };
                let what = "is not a heading of the file";
                faults.push(Fault::new(Some(line), name, heading, what, right));
            }
        }
    }
}
