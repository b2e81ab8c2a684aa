//! What all requests share, and how their work is done away from the threads that listen.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::http::HeaderValue;
use axum::http::header::{CONTENT_TYPE, LOCATION, SET_COOKIE};
use axum::response::Response;
use maud::Markup;
use tokio::sync::{Mutex, Semaphore};

use super::sign_in::Strangers;
use crate::page::shell::desk::Desk;
use crate::page::shell::frame::bare;
use crate::page::shell::guard::{Sessions, set_cookie};
use crate::page::shell::in_hand::InHand;

/// How long somebody waits for one's turn to be hashed.
pub const HASH_TIME: Duration = Duration::from_secs(15);

/// What all requests share.
pub struct Shop {
    pub desk: Arc<Desk>,
    pub sessions: Sessions,
    pub strangers: Strangers,
    pub at: SocketAddr,
    pub scheme: &'static str,
    pub hosts: Vec<String>,
    pub jobs: Arc<Semaphore>,
    pub hashes: Arc<Semaphore>,
    pub uploads: Semaphore,
    pub in_hand: Arc<InHand>,
    pub writer: Arc<Mutex<()>>,
}

pub fn page(status: u16, body: Markup) -> Response {
    file(
        status,
        "text/html; charset=utf-8",
        body.into_string().into(),
    )
}

pub fn file(status: u16, kind: &'static str, content: Body) -> Response {
    let mut response = Response::new(content);
    // A number that is no status is never written above.
    *response.status_mut() = axum::http::StatusCode::from_u16(status).unwrap_or_default();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}

pub fn see(to: &str) -> Response {
    let mut response = Response::new(Body::empty());
    *response.status_mut() = axum::http::StatusCode::SEE_OTHER;
    let to = HeaderValue::from_str(to).unwrap_or(HeaderValue::from_static("/"));
    response.headers_mut().insert(LOCATION, to);
    response
}

/// Another address, and the session of whoever goes there.
pub fn with_cookie(shop: &Shop, to: &str, id: &str) -> Response {
    with_session(shop, see(to), id)
}

/// An answer that makes the browser keep a session.
pub fn with_session(shop: &Shop, mut response: Response, id: &str) -> Response {
    if let Some(cookie) = set_cookie(shop.at.port(), id, shop.scheme == "https") {
        response.headers_mut().insert(SET_COOKIE, cookie);
    }
    response
}

/// What is said to somebody who is not signed in where the ledger refuses: nothing of it.
pub fn not_done() -> Markup {
    bare(
        "Not done",
        "The ledger cannot be read or written just now. Try again, or ask at the office's machine.",
    )
}

/// One short read or write. Writers wait for each other here and have a place of their own: whoever
/// reads a long page keeps no crew waiting, and a client that goes away ends no writer's turn.
/// Nothing where the work broke down.
pub async fn work<T: Send + 'static>(
    shop: &Arc<Shop>,
    writes: bool,
    then: impl FnOnce() -> T + Send + 'static,
) -> Option<T> {
    let (mut writer, mut reader) = (None, None);
    match writes {
        true => writer = Some(Arc::clone(&shop.writer).lock_owned().await),
        false => reader = Arc::clone(&shop.jobs).acquire_owned().await.ok(),
    }
    let done = tokio::task::spawn_blocking(move || {
        let done = then();
        drop((writer, reader));
        done
    });
    done.await.ok()
}
