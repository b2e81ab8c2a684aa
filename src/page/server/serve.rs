//! The server: it listens, with or without encryption, lets few jobs at a time to the ledger, one
//! writer after the other, and ends when it is told to, after the requests in hand.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{ORIGIN, SET_COOKIE};
use axum::http::{HeaderMap, HeaderValue, Method};
use axum::response::Response;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use maud::{Markup, html};
use tokio::sync::{Semaphore, SemaphorePermit};
use tokio::time::timeout;
use tokio_rustls::TlsAcceptor;

use super::bound::{Bound, ServeError, hosts, scheme};
use super::own_pin;
use super::pin::is_right;
use super::route::route;
use super::shop::{HASH_TIME, Shop, file, not_done, page, see, with_cookie, work};
use super::sign_in::{self, Ended, Strangers, Typed};
use crate::page::office::calendar::{self, calendar};
use crate::page::office::upload::{self, Sent, has_files, pairs, read_fields};
use crate::page::shell::asked::{Asked, Fields, Reply, parts_of};
use crate::page::shell::desk::Desk;
use crate::page::shell::frame::{bare, outside};
use crate::page::shell::guard::{
    BUSY, BUSY_FILES, ENDED, FAILED, NO_SESSION, Refusal, WITH_ALL, WRONG_ORIGIN, cookie, may_pass,
    way_back,
};
use crate::page::shell::in_hand::Hand;
use crate::page::shell::language;
use crate::page::shell::pages::encoded;
use crate::show::STYLE;
use crate::text::Language;

/// At most so many jobs at the ledger: one that writes, and others that read.
const JOBS: usize = 4;
/// At most so many PINs are hashed at a time: each takes 64 MiB.
const HASHES: usize = 2;
/// How long two ends may take to agree on a key.
const SHAKE_TIME: Duration = Duration::from_secs(15);
/// At most so many open connections.
const CONNECTIONS: usize = 128;
/// How long the head of a request may take, also between two requests.
const HEAD_TIME: Duration = Duration::from_secs(15);
/// How long a connection may live, whatever it does.
const WHOLE_TIME: Duration = Duration::from_secs(600);
/// How long requests in hand have when the server ends.
const LAST_TIME: Duration = Duration::from_secs(30);
/// At most so many forms with files in hand.
const UPLOADS: usize = 2;
/// How long somebody waits for one's turn to send files.
const UPLOAD_TIME: Duration = Duration::from_secs(30);

/// The scripts, without which every page works too.
const SCRIPTS: &[(&str, &str)] = &[
    ("words.js", include_str!("../words.js")),
    ("page.js", include_str!("../page.js")),
    ("live.js", include_str!("../live.js")),
    ("scan.js", include_str!("../scan.js")),
    ("worker.js", include_str!("../worker.js")),
];

/// Answers until Ctrl-C; says when it listens for both.
///
/// # Errors
/// A system that gives no threads or no connections.
pub fn serve(bound: Bound, desk: Desk, ready: impl FnOnce()) -> Result<(), ServeError> {
    let at = bound.at;
    let failed = |source| ServeError::Io {
        address: at.to_string(),
        source,
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(JOBS + HASHES)
        .enable_all()
        .build()
        .map_err(failed)?;
    let shop = Arc::new(Shop {
        desk: Arc::new(desk),
        sessions: bound.sessions,
        strangers: Strangers::default(),
        at,
        scheme: scheme(&bound.door),
        hosts: hosts(&bound.door, at),
        jobs: Arc::new(Semaphore::new(JOBS - 1)),
        hashes: Arc::new(Semaphore::new(HASHES)),
        uploads: Semaphore::new(UPLOADS),
        in_hand: Arc::default(),
        writer: Arc::default(),
    });
    let app = Router::new().fallback(answer).with_state(shop);
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(bound.listener).map_err(failed)?;
        let end = told_to_end().map_err(failed)?;
        ready();
        let tls = bound.door.encryption.map(|it| TlsAcceptor::from(it.config));
        accept(&listener, tls, app, end).await;
        Ok(())
    })
}

/// Takes connections until the server is told to end, and then waits for those in hand.
async fn accept(
    listener: &tokio::net::TcpListener,
    tls: Option<TlsAcceptor>,
    app: Router,
    end: impl Future<Output = ()>,
) {
    let open = Arc::new(Semaphore::new(CONNECTIONS));
    let graceful = GracefulShutdown::new();
    let mut http = hyper::server::conn::http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD_TIME);
    let mut end = std::pin::pin!(end);
    loop {
        let Ok(place) = Arc::clone(&open).acquire_owned().await else {
            break;
        };
        let stream = tokio::select! {
            taken = listener.accept() => match taken {
                Ok((stream, _)) => stream,
                // Too many open files, or a client that is gone: the next one may do better.
                Err(_) => {
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                }
            },
            () = &mut end => break,
        };
        let service = TowerToHyperService::new(app.clone());
        let (http, watcher, tls) = (http.clone(), graceful.watcher(), tls.clone());
        tokio::spawn(async move {
            // What breaks off is the client's affair: it asks again.
            match tls {
                None => {
                    let served = http.serve_connection(TokioIo::new(stream), service);
                    let _ = timeout(WHOLE_TIME, watcher.watch(served)).await;
                }
                Some(tls) => {
                    if let Ok(Ok(stream)) = timeout(SHAKE_TIME, tls.accept(stream)).await {
                        let served = http.serve_connection(TokioIo::new(stream), service);
                        let _ = timeout(WHOLE_TIME, watcher.watch(served)).await;
                    }
                }
            }
            drop(place);
        });
    }
    let _ = timeout(LAST_TIME, graceful.shutdown()).await;
}

/// Ctrl-C, or the system's word to end: both are heard from here on.
#[cfg(unix)]
fn told_to_end() -> std::io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Ctrl-C.
#[cfg(not(unix))]
fn told_to_end() -> std::io::Result<impl Future<Output = ()>> {
    Ok(async {
        let _ = tokio::signal::ctrl_c().await;
    })
}

async fn answer(State(shop): State<Arc<Shop>>, request: Request) -> Response {
    let path = request
        .uri()
        .path_and_query()
        .map(|it| it.as_str().to_owned());
    let mut response = match take(&shop, request).await {
        Ok(response) => response,
        Err(ENDED) => page(ENDED.0, ended(way_back(path.as_deref().unwrap_or("/")))),
        Err(Refusal(status, words)) => page(status, bare("Not answered", words)),
    };
    for (name, value) in WITH_ALL {
        let headers = response.headers_mut();
        headers.insert(*name, HeaderValue::from_static(value));
    }
    response
}

/// What is said to whoever sends something in a session that is over.
fn ended(to: &str) -> Markup {
    let body = html! {
        p { (ENDED.1) }
        p { a.btn href=(sign_in_at(to)) { "Sign in" } }
    };
    outside("The session has ended", &body)
}

/// Where to sign in, and to come back.
fn sign_in_at(to: &str) -> String {
    match to {
        "/" => "/sign-in".to_owned(),
        _ => format!("/sign-in?to={}", encoded(to)),
    }
}

/// Everything that stands between a request and its page.
async fn take(shop: &Arc<Shop>, request: Request) -> Result<Response, Refusal> {
    let (parts, body) = request.into_parts();
    may_pass(shop.scheme, &shop.hosts, &parts.method, &parts.headers)?;
    let path = parts_of(parts.uri.path());
    let (post, signs_in) = (parts.method == Method::POST, shop.desk.signs_in);
    let query = Fields(pairs(parts.uri.query().unwrap_or_default().as_bytes()));
    let names: Vec<&str> = path.iter().map(String::as_str).collect();
    if let Some(open) = open_to_all(shop, &names, post)? {
        return Ok(open);
    }
    if let (["calendar", secret], false) = (&*names, post) {
        return Ok(subscribed(shop, secret).await);
    }
    let chosen = language::chosen(&parts.headers);
    let before = cookie(&parts.headers, shop.at.port());
    if names == ["sign-in"] && signs_in {
        // A form of another site's would have no origin of this one.
        return match (post, parts.headers.contains_key(ORIGIN)) {
            (true, true) => sign_in(shop, (body, chosen), before).await,
            (true, false) => Err(WRONG_ORIGIN),
            (false, _) => Ok(sign_in_form(200, &typed(&query), (None, chosen))),
        };
    }
    let to_sign_in = sign_in_at(way_back(&whole(&parts.uri)));
    let is_open = |id: &str| shop.sessions.of(id, shop.desk.commands.now());
    let session = before.and_then(|id| Some((is_open(&id)?, id)));
    let (session, id) = match session {
        Some(session) => session,
        None if !signs_in => return Err(NO_SESSION),
        None if post => return Err(ENDED),
        None => return Ok(see(&to_sign_in)),
    };
    let (sent, turn) = match post {
        true => received(shop, &parts.headers, body, &session.token).await?,
        false => (Sent::default(), None),
    };
    if names == ["another"] && post && !signs_in {
        return one_more(shop);
    }
    if let (["pin"], true, Some(signed)) = (names.as_slice(), post && signs_in, &session.person) {
        return own_pin::change(shop, (&id, signed, &session.token), chosen, &sent.fields).await;
    }
    let stays = signs_in && names != ["sign-out"];
    let asked = Asked {
        post,
        path,
        query,
        form: sent.fields,
        files: sent.files,
        hand: Hand {
            files: Arc::clone(&shop.in_hand),
            session: id.clone(),
        },
        person: session.person,
        token: session.token,
        chosen,
        language: chosen.unwrap_or_default(),
    };
    let reply = job(shop, asked).await;
    drop(turn);
    match reply {
        // Whoever may not be signed in any more has typed something, perhaps.
        Reply::SignOut if stays => {
            shop.sessions.end(&id);
            shop.in_hand.forget(&id);
            (!post).then(|| see(&to_sign_in)).ok_or(ENDED)
        }
        reply => Ok(replied(shop, &id, reply)),
    }
}

/// An address for one more browser on this machine.
fn one_more(shop: &Shop) -> Result<Response, Refusal> {
    let invited = shop.sessions.invite().map_err(|_| NO_SESSION)?;
    let address = format!("{}://{}/in/{invited}", shop.scheme, shop.at);
    let words = format!("For another browser on this machine; it works once: {address}");
    Ok(page(200, bare("One more browser", &words)))
}

/// The form of a request; of one with files, with the turn of whoever sends it, which ends with its
/// answer.
async fn received<'a>(
    shop: &'a Shop,
    headers: &HeaderMap,
    body: Body,
    token: &str,
) -> Result<(Sent, Option<SemaphorePermit<'a>>), Refusal> {
    let mut turn = None;
    if has_files(headers) {
        let waited = timeout(UPLOAD_TIME, shop.uploads.acquire()).await;
        turn = Some(waited.ok().and_then(Result::ok).ok_or(BUSY_FILES)?);
    }
    Ok((upload::read(headers, body, token).await?, turn))
}

/// What is answered to everybody: the inspection of the pages, and an address that works once.
fn open_to_all(shop: &Shop, path: &[&str], post: bool) -> Result<Option<Response>, Refusal> {
    Ok(match path {
        ["style.css"] => {
            let style = format!("{STYLE}\n{}", include_str!("../page.css"));
            Some(file(200, "text/css; charset=utf-8", style.into()))
        }
        [name] if let Some(script) = SCRIPTS.iter().find(|it| it.0 == *name) => Some(file(
            200,
            "text/javascript; charset=utf-8",
            script.1.to_owned().into(),
        )),
        ["language", word] if !post => {
            let kept = language::kept(word).and_then(|it| HeaderValue::from_str(&it).ok());
            kept.map(|kept| {
                let mut response = see("/");
                response.headers_mut().insert(SET_COOKIE, kept);
                response
            })
        }
        ["in", invited] if !post && !shop.desk.signs_in => {
            let now = shop.desk.commands.now();
            let id = shop.sessions.enter(invited, now).ok_or(NO_SESSION)?;
            Some(with_cookie(shop, "/", &id))
        }
        _ => None,
    })
}

/// The calendar, for whoever has an address of it; anybody else gets a sentence.
async fn subscribed(shop: &Arc<Shop>, secret: &str) -> Response {
    let (desk, secret) = (Arc::clone(&shop.desk), secret.to_owned());
    match work(shop, false, move || calendar(&desk, &secret)).await {
        Some(Ok(Ok(text))) => file(200, calendar::TYPE, text.into()),
        Some(Ok(Err((status, words)))) => file(status, "text/plain; charset=utf-8", words.into()),
        Some(Err(_)) => page(503, not_done()),
        None => page(FAILED.0, bare("Not answered", FAILED.1)),
    }
}

/// A reply as HTTP, with what it does to the session.
fn replied(shop: &Shop, id: &str, reply: Reply) -> Response {
    if matches!(reply, Reply::SignOut | Reply::SignIn(_)) {
        shop.in_hand.forget(id);
    }
    match reply {
        Reply::Page(status, body) => page(status, body),
        Reply::File(kind, text) => file(200, kind, text.into()),
        Reply::Kept(kept) => kept.response(),
        Reply::See(to) => see(&to),
        Reply::SignIn(person) => {
            shop.sessions.sign_in(id, Some(person));
            see("/")
        }
        Reply::SignOut if shop.desk.signs_in => {
            shop.sessions.end(id);
            see("/sign-in")
        }
        Reply::SignOut => {
            shop.sessions.sign_in(id, None);
            see("/")
        }
    }
}

/// An address with its question.
fn whole(uri: &axum::http::Uri) -> String {
    uri.path_and_query()
        .map_or("/", |it| it.as_str())
        .to_owned()
}

/// What was typed at the sign-in, and no more of it than a name or a PIN can have: whoever sends it
/// is nobody yet, and it is remembered.
fn typed(form: &Fields) -> Typed {
    let short = |name| form.get(name).chars().take(200).collect();
    Typed {
        name: short("name"),
        pin: short("pin"),
        to: way_back(form.get("to")).to_owned(),
    }
}

/// The form of the sign-in, with what is wrong.
fn sign_in_form(
    status: u16,
    typed: &Typed,
    (wrong, language): (Option<&str>, Option<Language>),
) -> Response {
    let language = language.unwrap_or_default();
    page(
        status,
        language::page_in(language, &["sign-in"], sign_in::form(typed, wrong)),
    )
}

/// Takes a name and a PIN. Whose turn it is to be hashed is asked first, so that nobody's attempt
/// counts that was never looked at.
async fn sign_in(
    shop: &Arc<Shop>,
    (body, language): (Body, Option<Language>),
    before: Option<String>,
) -> Result<Response, Refusal> {
    let typed = typed(&read_fields(body).await?);
    let turn = timeout(HASH_TIME, Arc::clone(&shop.hashes).acquire_owned()).await;
    let turn = turn.ok().and_then(Result::ok).ok_or(BUSY)?;
    let again = |status, words: &str| Ok(sign_in_form(status, &typed, (Some(words), language)));
    let (all, asked) = (Arc::clone(shop), typed.clone());
    let begun = work(shop, true, move || {
        sign_in::begin(&all.desk, &all.strangers, &asked)
    })
    .await;
    let tried = match begun {
        Some(Ok(Ok(tried))) => tried,
        Some(Ok(Err(left))) => return again(429, &sign_in::wait_words(left)),
        Some(Err(_)) => return Ok(page(422, not_done())),
        None => return Err(FAILED),
    };
    let (hash, pin) = (tried.hash.clone(), typed.pin.clone());
    let hashed = move || (is_right(hash.as_deref(), &pin), turn);
    let Ok((right, turn)) = tokio::task::spawn_blocking(hashed).await else {
        return Err(FAILED);
    };
    drop(turn);
    let all = Arc::clone(shop);
    let ended = work(shop, true, move || sign_in::end(&all.desk, tried, right)).await;
    let now = shop.desk.commands.now();
    match ended {
        Some(Ok(Ended::In(signed))) => {
            if let Some(before) = before {
                shop.sessions.end(&before);
            }
            let id = shop.sessions.open(Some(signed), now).ok_or(FAILED)?;
            Ok(with_cookie(shop, &typed.to, &id))
        }
        Some(Ok(Ended::TooShort(id))) => again(
            403,
            &format!(
                "This PIN is right, but your role reads or decides everything: it needs a \
                 passphrase of at least 12 characters (wearbook worker pin {id})."
            ),
        ),
        Some(Ok(Ended::Wrong(failed))) => again(403, &sign_in::wrong_words(failed, now)),
        Some(Err(_)) => Ok(page(422, not_done())),
        None => Err(FAILED),
    }
}

/// A page, away from the threads that listen.
async fn job(shop: &Arc<Shop>, mut asked: Asked) -> Reply {
    let desk = Arc::clone(&shop.desk);
    let done = work(shop, asked.post, move || match route(&desk, &mut asked) {
        Reply::Page(status, body) => {
            let path: Vec<&str> = asked.path.iter().map(String::as_str).collect();
            Reply::Page(status, language::page_in(asked.language, &path, body))
        }
        other => other,
    })
    .await;
    done.unwrap_or_else(|| Reply::Page(FAILED.0, bare("Something failed", FAILED.1)))
}
