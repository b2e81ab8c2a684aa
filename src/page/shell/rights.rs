//! Who may do what at the page: one table, asked before anything is read or written.

use super::desk::Person;

/// What an address is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Deed {
    /// Sign out, and the way to one's own pages.
    Move,
    /// See one's own day, and who may go out.
    SeeDay,
    /// Hand in sheets, starts of shift and checks, and open an event.
    HandIn,
    /// Read what is about one person.
    ReadPerson,
    /// Read what is about everybody.
    ReadAll,
    /// Decide, and write any other entry.
    Decide,
}

/// Whether it may be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum May {
    Yes,
    /// Where it is about oneself.
    Own,
    No,
}

use May::{No, Own, Yes};

/// The table: the crew, the RSO and the designee, an inspector, by the role records of the day.
#[rustfmt::skip]
const RIGHTS: &[(Deed, May, May, May)] = &[
    //                 crew  office  inspector
    (Deed::Move,       Yes,  Yes,    Yes),
    (Deed::SeeDay,     Yes,  Yes,    Yes),
    (Deed::HandIn,     Yes,  Yes,    No),
    (Deed::ReadPerson, Own,  Yes,    Yes),
    (Deed::ReadAll,    No,   Yes,    Yes),
    (Deed::Decide,     No,   Yes,    No),
];

/// Whether a person may do something; `about` is the person whom the address names.
pub fn may(person: &Person, deed: Deed, about: Option<&str>) -> bool {
    let row = RIGHTS.iter().find(|it| it.0 == deed);
    let may = row.map_or(No, |(_, crew, office, inspector)| match person {
        _ if person.is_office() => *office,
        _ if person.is_inspector() => *inspector,
        _ => *crew,
    });
    match may {
        Yes => true,
        Own => about.is_some_and(|it| it.eq_ignore_ascii_case(&person.id)),
        No => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Role;

    /// Written out a second time, so that a row which is moved by mistake is seen.
    #[test]
    fn a_crew_hands_in_and_sees_its_own_the_office_decides_and_an_inspector_reads() {
        let of = |role| Person {
            id: "W08".to_owned(),
            name: String::new(),
            role,
            signed_in: true,
        };
        let all = [
            Deed::Move,
            Deed::SeeDay,
            Deed::HandIn,
            Deed::ReadPerson,
            Deed::ReadAll,
            Deed::Decide,
        ];
        assert_eq!(RIGHTS.len(), all.len());
        for (role, own, other) in [
            (None, "yyyynn", "yyynnn"),
            (Some(Role::Radiographer), "yyyynn", "yyynnn"),
            (Some(Role::Assistant), "yyyynn", "yyynnn"),
            (Some(Role::Trainee), "yyyynn", "yyynnn"),
            (Some(Role::Other), "yyyynn", "yyynnn"),
            (Some(Role::Rso), "yyyyyy", "yyyyyy"),
            (Some(Role::RsoDesignee), "yyyyyy", "yyyyyy"),
            (Some(Role::Inspector), "yynyyn", "yynyyn"),
        ] {
            for (about, wanted) in [("w08", own), ("W07", other)] {
                let found: String = all
                    .iter()
                    .map(|it| match may(&of(role), *it, Some(about)) {
                        true => 'y',
                        false => 'n',
                    })
                    .collect();
                assert_eq!(found, wanted, "{role:?} about {about}");
            }
        }
    }
}
