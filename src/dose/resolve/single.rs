//! What each shift says where nothing else speaks for it, and what of a night
//! shift reaches into the day after.

use crate::calendar::Span;
use crate::dose::input::{Determination, Relation};
use crate::dose::resolve::build::Build;
use crate::dose::resolve::conflict::{Conflict, Dispute};
use crate::dose::resolve::{Live, Single};
use crate::dose::total::Amount;
use crate::quantity::{Dose, Overflow};

impl Build<'_, '_> {
    pub(super) fn singles(&mut self) -> Result<(), Overflow> {
        let mut singles = Vec::with_capacity(self.live.len());
        for (at, live) in self.live.iter().enumerate() {
            let spoken = self.spoken.get(at).copied().unwrap_or_default();
            let figure = self.figure(at, spoken.mode)?;
            self.differing(live);
            let bundle = spoken.safe.and_then(|place| self.units.bundles.get(place));
            let carries = match bundle {
                _ if !live.crosses || live.special => Amount::Elsewhere,
                None => figure.safe,
                Some(bundle) if bundle.days.last == live.day => {
                    let share = bundle.lump.as_ref().map(|lump| lump.share_of(at));
                    let share = share.unwrap_or(Dose::ZERO);
                    let open = bundle.safe.is_undetermined() && figure.safe.is_undetermined();
                    Amount::of(share.max(figure.safe.known().unwrap_or(Dose::ZERO)), open)
                }
                Some(_) => Amount::Elsewhere,
            };
            singles.push(Single {
                account: if spoken.account {
                    Amount::Elsewhere
                } else {
                    figure.account
                },
                class: figure.class,
                held: figure.held,
                safe: if bundle.is_some() {
                    Amount::Elsewhere
                } else {
                    figure.safe
                },
                carries,
            });
        }
        self.units.singles = singles;
        Ok(())
    }

    /// Two determinations of one reading or shift that replace and differ.
    fn differing(&mut self, live: &Live) {
        let Some(work) = self.history.shifts.get(live.at) else {
            return;
        };
        let mut all: Vec<&Determination> = self.by_shift.on(work.sheet).to_vec();
        all.retain(|one| one.quantity == self.quantity && one.relation == Relation::Replaces);
        all.sort_by_key(|one| one.entry);
        for (nth, one) in all.iter().enumerate() {
            let same = |it: &&&Determination| it.scope == one.scope;
            if all.iter().take(nth).any(|it| it.scope == one.scope) {
                continue;
            }
            let sides: Vec<(i64, Dose)> = all
                .iter()
                .filter(same)
                .map(|it| (it.entry, it.dose))
                .collect();
            if sides.iter().any(|(_, dose)| *dose != one.dose) {
                let day = Span {
                    first: live.day,
                    last: live.day,
                };
                let conflict =
                    Conflict::new(Dispute::Determinations, None, day, self.quantity, &sides);
                self.conflicts.push(conflict);
            }
        }
    }
}
