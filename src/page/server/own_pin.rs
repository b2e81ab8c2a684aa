//! Changing the PIN that one signs in with: the old one is asked again and counts as at the
//! sign-in, and every other session of the person is over.

use std::sync::Arc;

use axum::response::Response;
use maud::{Markup, html};
use tokio::sync::OwnedSemaphorePermit;
use tokio::time::timeout;

use super::pin::{PinError, is_right, keep_pin, least, type_for};
use super::shop::{HASH_TIME, Shop, not_done, page, with_session, work};
use super::sign_in::{self, Ended, Tried, Typed};
use crate::answer::language_of;
use crate::intake::IntakeError;
use crate::ledger::{Ledger, PinType};
use crate::page::shell::asked::{Asked, Fields, Signed};
use crate::page::shell::desk::{Desk, Person, person_on};
use crate::page::shell::frame::Frame;
use crate::page::shell::guard::{BUSY, FAILED, Refusal};
use crate::page::shell::language::page_in;
use crate::text::Language;

/// What the last try led to.
enum Told<'a> {
    Nothing,
    Done,
    Refused(&'a str),
}

/// The page before anything is typed.
pub fn form(asked: &Asked, person: &Person) -> Markup {
    shown(&asked.token, person, &Told::Nothing)
}

fn shown(token: &str, person: &Person, told: &Told<'_>) -> Markup {
    let frame = Frame {
        title: "Change your PIN",
        person: Some(person),
        token,
        narrow: true,
    };
    let hint = format!(
        "for your role a {} of at least {} characters",
        type_for(person.role).shown(),
        least(type_for(person.role))
    );
    frame.page(&html! {
        h1 { "Change your PIN" }
        @match told {
            Told::Nothing => {},
            Told::Done => {
                div.go role="status" { p { "Changed. Your other sessions are over." } }
            },
            Told::Refused(words) => {
                div.refused role="alert" { p { (words) } p { "Nothing was changed." } }
            },
        }
        form method="post" action="/pin" autocomplete="off" {
            (frame.secret())
            (secret("old", "The PIN or passphrase that you have", "current-password", ""))
            (secret("new", "The new one", "new-password", &hint))
            (secret("again", "The new one again", "new-password", ""))
            button.first.big { "Change it" }
        }
        p.small {
            "It stands beside the chain of entries: no record, export or backup has it. Forgotten? \
             The RSO sets a new one at the office's machine."
        }
    })
}

fn secret(name: &str, label: &str, autocomplete: &str, hint: &str) -> Markup {
    html! {
        div.field {
            label for=(name) {
                (label)
                @if !hint.is_empty() { span.hint { (hint) } }
            }
            div.unit {
                input id=(name) name=(name) type="password" maxlength="128" required
                    autocomplete=(autocomplete);
            }
        }
    }
}

/// What was made of the two that were typed.
enum Made {
    OldIsWrong,
    Kept(PinType, String),
    Refused(PinError),
}

/// A change in somebody's hands.
struct Change<'a> {
    shop: &'a Arc<Shop>,
    session: &'a str,
    token: &'a str,
    person: Person,
    language: Language,
    old: Typed,
    new: String,
}

/// Takes the old one and the new one. The old one is tried as at the sign-in: it waits its turn to
/// be hashed, counts as wrong before anybody looks at it, and locks the person after as many.
pub async fn change(
    shop: &Arc<Shop>,
    (session, signed, token): (&str, &Signed, &str),
    chosen: Option<Language>,
    form: &Fields,
) -> Result<Response, Refusal> {
    let turn = timeout(HASH_TIME, Arc::clone(&shop.hashes).acquire_owned()).await;
    let turn = turn.ok().and_then(Result::ok).ok_or(BUSY)?;
    let (all, who) = (Arc::clone(shop), signed.id.clone());
    let known = work(shop, false, move || person(&all.desk, &who)).await;
    let (person, own) = match known.ok_or(FAILED)? {
        Ok(Some(known)) => known,
        _ => return Ok(page(422, not_done())),
    };
    let short = |name| form.get(name).chars().take(200).collect::<String>();
    let change = Change {
        shop,
        session,
        token,
        person,
        language: chosen.or(own).unwrap_or_default(),
        old: Typed {
            name: signed.id.clone(),
            pin: short("old"),
            to: String::new(),
        },
        new: short("new"),
    };
    if change.new != form.get("again") {
        return Ok(change.refused(422, "The two new ones are not the same."));
    }
    if change.new == change.old.pin {
        return Ok(change.refused(422, "The new one is the one that you have."));
    }
    change.tried(turn).await
}

impl Change<'_> {
    fn refused(&self, status: u16, words: &str) -> Response {
        page(status, self.shown(self.token, &Told::Refused(words)))
    }

    fn shown(&self, token: &str, told: &Told<'_>) -> Markup {
        page_in(self.language, &["pin"], shown(token, &self.person, told))
    }

    async fn tried(&self, turn: OwnedSemaphorePermit) -> Result<Response, Refusal> {
        let (all, old) = (Arc::clone(self.shop), self.old.clone());
        let begun = work(self.shop, true, move || {
            sign_in::begin(&all.desk, &all.strangers, &old)
        });
        let tried = match begun.await.ok_or(FAILED)? {
            Ok(Ok(tried)) => tried,
            Ok(Err(left)) => return Ok(self.refused(429, &sign_in::wait_words(left))),
            Err(_) => return Ok(page(422, not_done())),
        };
        let (hash, role) = (tried.hash.clone(), self.person.role);
        let (old, new) = (self.old.pin.clone(), self.new.clone());
        let hashed = tokio::task::spawn_blocking(move || {
            let made = match is_right(hash.as_deref(), &old) {
                false => Made::OldIsWrong,
                true => match keep_pin(role, &new) {
                    Ok((kind, hash)) => Made::Kept(kind, hash),
                    Err(error) => Made::Refused(error),
                },
            };
            drop(turn);
            made
        });
        let made = hashed.await.map_err(|_| FAILED)?;
        self.ended(tried, made).await
    }

    async fn ended(&self, tried: Tried, made: Made) -> Result<Response, Refusal> {
        let (all, who) = (Arc::clone(self.shop), self.person.id.clone());
        let right = !matches!(made, Made::OldIsWrong);
        let ended = work(self.shop, true, move || {
            let ended = sign_in::end(&all.desk, tried, right)?;
            if let Made::Kept(kind, hash) = &made {
                keep(&all.desk, &who, (*kind, hash))?;
            }
            Ok::<_, IntakeError>((ended, made))
        });
        let now = self.shop.desk.commands.now();
        Ok(match ended.await.ok_or(FAILED)? {
            Ok((_, Made::Kept(_, hash))) => self.done(hash)?,
            Ok((_, Made::Refused(error))) => self.refused(422, &format!("The new one: {error}.")),
            Ok((Ended::Wrong(failed), _)) => self.refused(403, &sign_in::wrong_words(failed, now)),
            Ok(_) | Err(_) => page(422, not_done()),
        })
    }

    /// The old sessions end with the old hash; this browser gets a new one.
    fn done(&self, hash: String) -> Result<Response, Refusal> {
        let now = self.shop.desk.commands.now();
        let sessions = &self.shop.sessions;
        sessions.end(self.session);
        let signed = Signed {
            id: self.person.id.clone(),
            by: Some(hash),
        };
        let id = sessions.open(Some(signed), now).ok_or(FAILED)?;
        let token = sessions.of(&id, now).ok_or(FAILED)?.token;
        let body = self.shown(&token, &Told::Done);
        Ok(with_session(self.shop, page(200, body), &id))
    }
}

/// Whoever is signed in, and the language of the record.
fn person(desk: &Desk, id: &str) -> Result<Option<(Person, Option<Language>)>, IntakeError> {
    let now = desk.commands.now();
    desk.read(|house| {
        let found = person_on(house, id, house.today(now));
        let found = found.map(|it| Person {
            signed_in: true,
            ..it
        });
        Ok(found.map(|it| (it, language_of(&house.names, id))))
    })
}

fn keep(desk: &Desk, id: &str, pin: (PinType, &str)) -> Result<(), IntakeError> {
    let record = desk.read(|house| Ok(house.names.worker(id)?.number()))?;
    Ledger::open(&desk.ledger)?.set_pin(record, Some(pin))?;
    Ok(())
}
