//! Who is answered at all: the right host, the right origin, a session of this server, and on every
//! form what only its own pages carry. Nothing here knows what a page is.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::http::header::{CONTENT_TYPE, COOKIE, HOST, ORIGIN};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};
use chrono::TimeDelta;

use super::asked::Signed;
pub use super::secret::secret;
use crate::ledger::Instant;

/// How long a session lasts in which nobody asks anything, on this machine alone.
const REST: TimeDelta = TimeDelta::hours(12);

/// How long one lasts of somebody who signed in: at rest, and in all.
const SIGNED_IN_REST: TimeDelta = TimeDelta::minutes(30);
const SIGNED_IN_WHOLE: TimeDelta = TimeDelta::hours(8);

/// How many sessions there are at most; the one that rests longest makes room.
const SESSIONS: usize = 200;

/// How many addresses may wait for their first use.
const WAITING: usize = 8;

/// Why a request is refused before anybody looks at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Refusal(pub u16, pub &'static str);

const WRONG_HOST: Refusal = Refusal(421, "This server answers to the address that it printed.");
pub const WRONG_ORIGIN: Refusal =
    Refusal(403, "A page of another site sent this. Nothing was done.");
const WRONG_METHOD: Refusal = Refusal(405, "Pages are read and forms are sent, nothing else.");
const NO_FORM: Refusal = Refusal(415, "Forms are sent as forms.");
pub const NO_SESSION: Refusal = Refusal(
    403,
    "Open the address that `wearbook serve` printed. It works once; anyone signed in can make \
     another. What you typed is still in the browser: go back to it.",
);
pub const ENDED: Refusal = Refusal(
    403,
    "The session has ended. Nothing was done. What was typed is still in the browser: sign in \
     again and go back to it.",
);
pub const FAILED: Refusal = Refusal(
    500,
    "A fault of this program. What was written to the ledger stands; look before you send it \
     again.",
);
pub const BUSY: Refusal = Refusal(503, "Too many sign in at once. Try again in a moment.");
pub const BUSY_FILES: Refusal = Refusal(503, "Too many files come at once. Try again in a moment.");
pub const STALE: Refusal = Refusal(
    403,
    "This form is of another session. Nothing was done. Go back, load the page again and send it \
     again: a sheet keeps its number and is never taken twice.",
);
pub const TOO_LARGE: Refusal = Refusal(413, "That is more than a form can hold.");
pub const TOO_SLOW: Refusal = Refusal(408, "The form did not come in time.");

/// What may be asked of a server that is bound here.
pub fn may_pass(
    scheme: &str,
    hosts: &[String],
    method: &Method,
    headers: &HeaderMap,
) -> Result<(), Refusal> {
    let text = |name: HeaderName| headers.get(name).and_then(|it| it.to_str().ok());
    // Two hosts in one request could be read one way here and another way elsewhere.
    let once = headers.get_all(HOST).iter().count() == 1;
    let host = text(HOST).filter(|it| once && hosts.iter().any(|known| known == it));
    if host.is_none() {
        return Err(WRONG_HOST);
    }
    if method == Method::GET || method == Method::HEAD {
        return Ok(());
    }
    if method != Method::POST {
        return Err(WRONG_METHOD);
    }
    let of_here = |origin: &str| {
        let rest = origin.split_once("://");
        rest.is_some_and(|it| it.0 == scheme && hosts.iter().any(|known| known == it.1))
    };
    if headers.contains_key(ORIGIN) && !text(ORIGIN).is_some_and(of_here) {
        return Err(WRONG_ORIGIN);
    }
    let site = text(HeaderName::from_static("sec-fetch-site"));
    if site.is_some_and(|it| !matches!(it, "same-origin" | "none")) {
        return Err(WRONG_ORIGIN);
    }
    let form = text(CONTENT_TYPE).and_then(|it| it.split(';').next());
    match form.map(str::trim) {
        Some("application/x-www-form-urlencoded" | "multipart/form-data") => Ok(()),
        _ => Err(NO_FORM),
    }
}

/// What goes with every answer: nothing is kept, nothing is fetched from elsewhere, nothing runs
/// that is not a file of this server.
pub const WITH_ALL: &[(&str, &str)] = &[
    (
        "content-security-policy",
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; \
         connect-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; \
         frame-ancestors 'none'",
    ),
    // Labels are scanned; nothing else of a device is asked for.
    (
        "permissions-policy",
        "camera=(self), microphone=(), geolocation=()",
    ),
    ("cache-control", "no-store"),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

/// One browser.
#[derive(Debug, Clone)]
pub struct Session {
    /// Whoever is signed in.
    pub person: Option<Signed>,
    /// What its forms carry.
    pub token: String,
    began: Instant,
    last: Instant,
}

impl Session {
    /// Whether it is over: after a time of rest, and for whoever signed in after a time in all.
    fn is_over(&self, now: Instant) -> bool {
        let signed_in = self.person.as_ref().is_some_and(|it| it.by.is_some());
        match signed_in {
            true => now - self.last >= SIGNED_IN_REST || now - self.began >= SIGNED_IN_WHOLE,
            false => now - self.last >= REST,
        }
    }
}

/// The sessions of a server, and the addresses that wait for their first use.
#[derive(Debug, Default)]
pub struct Sessions {
    live: Mutex<HashMap<String, Session>>,
    waiting: Mutex<Vec<String>>,
}

/// A lock that a panic elsewhere does not close.
fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Sessions {
    /// Makes an address's secret that works once.
    ///
    /// # Errors
    /// A system that has no randomness to give.
    pub fn invite(&self) -> Result<String, getrandom::Error> {
        let made = secret()?;
        let mut waiting = held(&self.waiting);
        waiting.push(made.clone());
        if waiting.len() > WAITING {
            waiting.remove(0);
        }
        Ok(made)
    }

    /// Turns an address's secret into a session; nothing where it was used or is none.
    pub fn enter(&self, invited: &str, now: Instant) -> Option<String> {
        {
            let mut waiting = held(&self.waiting);
            let at = waiting.iter().position(|it| it == invited)?;
            waiting.remove(at);
        }
        self.open(None, now)
    }

    /// Opens a session. It has an id of its own: none that a browser had before becomes it.
    pub fn open(&self, person: Option<Signed>, now: Instant) -> Option<String> {
        let (id, token) = (secret().ok()?, secret().ok()?);
        let mut live = held(&self.live);
        live.retain(|_, it| !it.is_over(now));
        if live.len() >= SESSIONS {
            let oldest = live.iter().min_by_key(|it| it.1.last);
            if let Some(oldest) = oldest.map(|it| it.0.clone()) {
                live.remove(&oldest);
            }
        }
        let session = Session {
            person,
            token,
            began: now,
            last: now,
        };
        live.insert(id.clone(), session);
        Some(id)
    }

    /// The session of a browser, if it has not rested too long.
    pub fn of(&self, id: &str, now: Instant) -> Option<Session> {
        let mut live = held(&self.live);
        let session = live.get_mut(id)?;
        if session.is_over(now) {
            live.remove(id);
            return None;
        }
        session.last = now;
        Some(session.clone())
    }

    /// Ends a session.
    pub fn end(&self, id: &str) {
        held(&self.live).remove(id);
    }

    /// Whose session it is from now on, as its browser says. Its forms carry something new, so that
    /// one that was opened by somebody else is not sent in this person's name.
    pub fn sign_in(&self, id: &str, person: Option<String>) {
        if let (Some(session), Ok(token)) = (held(&self.live).get_mut(id), secret()) {
            session.person = person.map(|id| Signed { id, by: None });
            session.token = token;
        }
    }
}

/// The cookie's name: browsers share cookies between the ports of a host.
pub fn cookie_name(port: u16) -> String {
    format!("wearbook-{port}")
}

/// The session that a browser names.
pub fn cookie(headers: &HeaderMap, port: u16) -> Option<String> {
    let name = cookie_name(port);
    let all = headers.get_all(COOKIE).iter();
    let mut pairs = all
        .filter_map(|it| it.to_str().ok())
        .flat_map(|it| it.split(';'))
        .filter_map(|it| it.trim().split_once('='));
    let found = pairs.find(|it| it.0 == name);
    found.map(|it| it.1.to_owned())
}

/// The header that makes a browser keep a session; over an encrypted connection alone, where there
/// is one.
pub fn set_cookie(port: u16, id: &str, encrypted: bool) -> Option<HeaderValue> {
    let name = cookie_name(port);
    let secure = if encrypted { "; Secure" } else { "" };
    let text = format!("{name}={id}; HttpOnly; SameSite=Lax; Path=/{secure}");
    HeaderValue::from_str(&text).ok()
}

/// Where somebody is led who has signed in: an address of this server, else its first page. What
/// could be read as another server's, or would sign out again, is none.
pub fn way_back(wanted: &str) -> &str {
    let plain = |it: char| it.is_ascii_graphic() && it != '\\' && it != '#';
    let is_here = wanted.starts_with('/')
        && !wanted.starts_with("//")
        && wanted.len() <= 500
        && wanted.chars().all(plain);
    let first = wanted.trim_start_matches('/').split(['/', '?']).next();
    match is_here && !matches!(first, Some("sign-in" | "sign-out" | "in" | "who")) {
        true => wanted,
        false => "/",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_instant;

    fn now() -> Instant {
        parse_instant("2026-06-15T12:00:00Z").unwrap().to_utc()
    }

    #[test]
    fn an_address_is_good_for_one_session_alone() {
        let sessions = Sessions::default();
        let invited = sessions.invite().unwrap();
        assert_eq!(sessions.enter("something else", now()), None);
        let id = sessions.enter(&invited, now()).unwrap();
        assert_eq!(sessions.enter(&invited, now()), None);
        assert_ne!(id, invited);
        assert!(sessions.of(&id, now()).is_some());
    }

    #[test]
    fn a_session_ends_after_a_time_of_rest_and_not_before() {
        let sessions = Sessions::default();
        let id = sessions.enter(&sessions.invite().unwrap(), now()).unwrap();
        let nearly = now() + REST - TimeDelta::seconds(1);
        assert!(sessions.of(&id, nearly).is_some());
        assert!(
            sessions
                .of(&id, nearly + REST - TimeDelta::seconds(1))
                .is_some()
        );
        assert!(sessions.of(&id, nearly + REST + REST).is_none());
        assert!(sessions.of(&id, nearly).is_none(), "ended for good");
    }

    #[test]
    fn whoever_signs_in_gets_forms_of_their_own() {
        let sessions = Sessions::default();
        let id = sessions.enter(&sessions.invite().unwrap(), now()).unwrap();
        let before = sessions.of(&id, now()).unwrap().token;
        sessions.sign_in(&id, Some("W02".to_owned()));
        let after = sessions.of(&id, now()).unwrap();
        assert_ne!(after.token, before);
        assert_eq!(after.person.map(|it| it.id).as_deref(), Some("W02"));
    }

    #[test]
    fn whoever_signed_in_is_out_after_half_an_hour_of_rest_and_eight_hours_in_all() {
        let sessions = Sessions::default();
        let signed = || Signed {
            id: "W02".to_owned(),
            by: Some("a hash".to_owned()),
        };
        let id = sessions.open(Some(signed()), now()).unwrap();
        let resting = sessions.open(Some(signed()), now()).unwrap();
        for minutes in (29..480).step_by(29) {
            let at = now() + TimeDelta::minutes(minutes);
            assert!(sessions.of(&id, at).is_some(), "{minutes} minutes");
        }
        assert!(sessions.of(&id, now() + SIGNED_IN_WHOLE).is_none());
        assert!(sessions.of(&resting, now() + SIGNED_IN_REST).is_none());
        let ended = sessions.open(Some(signed()), now()).unwrap();
        sessions.end(&ended);
        assert!(sessions.of(&ended, now()).is_none());
    }

    #[test]
    fn the_way_back_leads_nowhere_but_here() {
        for (wanted, led) in [
            ("/sheet", "/sheet"),
            ("/people/W07?year=2026", "/people/W07?year=2026"),
            ("", "/"),
            ("sheet", "/"),
            ("//evil.example/", "/"),
            ("/\\evil.example/", "/"),
            ("https://evil.example/", "/"),
            ("/sheet\r\nSet-Cookie: x", "/"),
            ("/sign-out", "/"),
            ("/sign-in?to=/sign-in", "/"),
            ("/in/1234", "/"),
        ] {
            assert_eq!(way_back(wanted), led, "{wanted}");
        }
    }

    #[test]
    fn only_what_was_bound_is_answered() {
        let hosts = vec!["127.0.0.1:8080".to_owned(), "localhost:8080".to_owned()];
        let form = ("content-type", "application/x-www-form-urlencoded");
        for (method, headers, wanted) in [
            (Method::GET, vec![("host", "127.0.0.1:8080")], None),
            (Method::GET, vec![("host", "localhost:8080")], None),
            (Method::GET, vec![], Some(421)),
            (Method::GET, vec![("host", "127.0.0.1")], Some(421)),
            (Method::GET, vec![("host", "evil.example:8080")], Some(421)),
            (
                Method::GET,
                vec![("host", "127.0.0.1:8080"), ("host", "evil.example")],
                Some(421),
            ),
            (Method::DELETE, vec![("host", "127.0.0.1:8080")], Some(405)),
            (Method::POST, vec![("host", "127.0.0.1:8080")], Some(415)),
            (Method::POST, vec![("host", "127.0.0.1:8080"), form], None),
            (
                Method::POST,
                vec![("host", "127.0.0.1:8080"), form, ("origin", "null")],
                Some(403),
            ),
            (
                Method::POST,
                vec![
                    ("host", "127.0.0.1:8080"),
                    form,
                    ("origin", "http://evil.example"),
                ],
                Some(403),
            ),
            (
                Method::POST,
                vec![
                    ("host", "127.0.0.1:8080"),
                    form,
                    ("origin", "http://127.0.0.1:8080"),
                ],
                None,
            ),
            (
                Method::POST,
                vec![
                    ("host", "127.0.0.1:8080"),
                    form,
                    ("origin", "https://127.0.0.1:8080"),
                ],
                Some(403),
            ),
            (
                Method::POST,
                vec![
                    ("host", "127.0.0.1:8080"),
                    form,
                    ("sec-fetch-site", "cross-site"),
                ],
                Some(403),
            ),
        ] {
            let mut map = HeaderMap::new();
            for (name, value) in &headers {
                map.append(
                    HeaderName::from_static(name),
                    HeaderValue::from_static(value),
                );
            }
            let found = may_pass("http", &hosts, &method, &map).err().map(|it| it.0);
            assert_eq!(found, wanted, "{method} {headers:?}");
        }
    }
}
