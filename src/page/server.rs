//! The server: it listens on this machine, lets few jobs at a time to the ledger, one writer after
//! the other, and ends when it is told to, after the requests in hand.

use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::{CONTENT_TYPE, LOCATION, SET_COOKIE};
use axum::http::{HeaderValue, Method};
use axum::response::Response;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use maud::Markup;
use tokio::sync::{Mutex, Semaphore};
use tokio::time::timeout;

use super::asked::{Asked, Fields, Reply};
use super::desk::Desk;
use super::frame::bare;
use super::guard::{
    NO_SESSION, Refusal, STALE, Sessions, TOO_LARGE, TOO_SLOW, WITH_ALL, cookie, may_pass,
    set_cookie,
};
use super::route::route;
use crate::show::STYLE;

/// At most so many jobs at the ledger.
const JOBS: usize = 4;
/// At most so many open connections.
const CONNECTIONS: usize = 128;
/// How long the head of a request may take, also between two requests.
const HEAD_TIME: Duration = Duration::from_secs(15);
/// How long a form may take.
const FORM_TIME: Duration = Duration::from_secs(20);
/// How long a connection may live, whatever it does.
const WHOLE_TIME: Duration = Duration::from_secs(600);
/// How long requests in hand have when the server ends.
const LAST_TIME: Duration = Duration::from_secs(30);
/// The most that a form may hold.
const FORM_BYTES: usize = 512 * 1024;

/// Why there is no server.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// An address that others can reach.
    #[error("`{0}` can be reached from other machines")]
    Beyond(IpAddr),
    /// The system refuses.
    #[error("{address}: {source}")]
    Io {
        /// The address.
        address: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// No randomness.
    #[error("the system gives no randomness: {0}")]
    Random(#[from] getrandom::Error),
}

/// A place to listen at, with the address that opens the first session.
pub struct Bound {
    listener: std::net::TcpListener,
    at: SocketAddr,
    sessions: Sessions,
    /// The address for the browser; it works once.
    pub address: String,
}

/// Takes a place on this machine. Others cannot reach it.
///
/// # Errors
/// An address beyond this machine, or one that is taken.
pub fn bind(host: IpAddr, port: u16) -> Result<Bound, ServeError> {
    if !host.is_loopback() {
        return Err(ServeError::Beyond(host));
    }
    let wanted = SocketAddr::new(host, port);
    let failed = |source| ServeError::Io {
        address: wanted.to_string(),
        source,
    };
    let listener = std::net::TcpListener::bind(wanted).map_err(failed)?;
    listener.set_nonblocking(true).map_err(failed)?;
    let at = listener.local_addr().map_err(failed)?;
    let sessions = Sessions::default();
    let address = format!("http://{at}/in/{}", sessions.invite()?);
    Ok(Bound {
        listener,
        at,
        sessions,
        address,
    })
}

/// What all requests share.
struct Shop {
    desk: Arc<Desk>,
    sessions: Sessions,
    at: SocketAddr,
    hosts: Vec<String>,
    jobs: Arc<Semaphore>,
    writer: Arc<Mutex<()>>,
}

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
        .max_blocking_threads(JOBS)
        .enable_all()
        .build()
        .map_err(failed)?;
    let port = at.port();
    let shop = Arc::new(Shop {
        desk: Arc::new(desk),
        sessions: bound.sessions,
        at,
        hosts: vec![at.to_string(), format!("localhost:{port}")],
        jobs: Arc::new(Semaphore::new(JOBS)),
        writer: Arc::default(),
    });
    let app = Router::new().fallback(answer).with_state(shop);
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(bound.listener).map_err(failed)?;
        let end = told_to_end().map_err(failed)?;
        ready();
        accept(&listener, app, end).await;
        Ok(())
    })
}

/// Takes connections until the server is told to end, and then waits for those in hand.
async fn accept(listener: &tokio::net::TcpListener, app: Router, end: impl Future<Output = ()>) {
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
        let connection = http.serve_connection(TokioIo::new(stream), service);
        let connection = graceful.watch(connection);
        tokio::spawn(async move {
            // What breaks off is the client's affair: it asks again.
            let _ = timeout(WHOLE_TIME, connection).await;
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
    let mut response = match take(&shop, request).await {
        Ok(response) => response,
        Err(Refusal(status, words)) => page(status, bare("Not answered", words)),
    };
    for (name, value) in WITH_ALL {
        let headers = response.headers_mut();
        headers.insert(*name, HeaderValue::from_static(value));
    }
    response
}

fn page(status: u16, body: Markup) -> Response {
    file(status, "text/html; charset=utf-8", body.into_string())
}

fn file(status: u16, kind: &'static str, text: String) -> Response {
    let mut response = Response::new(Body::from(text));
    // A number that is no status is never written above.
    *response.status_mut() = axum::http::StatusCode::from_u16(status).unwrap_or_default();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}

fn see(to: &str) -> Response {
    let mut response = Response::new(Body::empty());
    *response.status_mut() = axum::http::StatusCode::SEE_OTHER;
    let to = HeaderValue::from_str(to).unwrap_or(HeaderValue::from_static("/"));
    response.headers_mut().insert(LOCATION, to);
    response
}

/// Everything that stands between a request and its page.
async fn take(shop: &Arc<Shop>, request: Request) -> Result<Response, Refusal> {
    let (parts, body) = request.into_parts();
    may_pass(&shop.hosts, &parts.method, &parts.headers)?;
    let path = parts_of(parts.uri.path());
    let now = shop.desk.commands.now();
    let port = shop.at.port();
    let post = parts.method == Method::POST;
    match path
        .iter()
        .map(String::as_str)
        .collect::<Vec<_>>()
        .as_slice()
    {
        ["style.css"] => {
            let style = format!("{STYLE}\n{}", include_str!("page.css"));
            return Ok(file(200, "text/css; charset=utf-8", style));
        }
        ["page.js"] => {
            let script = include_str!("page.js").to_owned();
            return Ok(file(200, "text/javascript; charset=utf-8", script));
        }
        ["in", invited] if !post => {
            let id = shop.sessions.enter(invited, now).ok_or(NO_SESSION)?;
            let mut response = see("/");
            let cookie = set_cookie(port, &id).ok_or(NO_SESSION)?;
            response.headers_mut().insert(SET_COOKIE, cookie);
            return Ok(response);
        }
        _ => {}
    }
    let id = cookie(&parts.headers, port).ok_or(NO_SESSION)?;
    let session = shop.sessions.of(&id, now).ok_or(NO_SESSION)?;
    let mut form = Fields::default();
    if post {
        form = read_form(body).await?;
        if form.get("token") != session.token {
            return Err(STALE);
        }
        form.0.retain(|it| it.0 != "token");
    }
    if path == ["another"] && post {
        let invited = shop.sessions.invite().map_err(|_| NO_SESSION)?;
        let address = format!("http://{}/in/{invited}", shop.at);
        let words = format!("For another browser on this machine; it works once: {address}");
        return Ok(page(200, bare("One more browser", &words)));
    }
    let asked = Asked {
        post,
        path,
        query: Fields(pairs(parts.uri.query().unwrap_or_default().as_bytes())),
        form,
        person: session.person,
        token: session.token,
    };
    let reply = job(shop, asked).await;
    Ok(match reply {
        Reply::Page(status, body) => page(status, body),
        Reply::File(kind, text) => file(200, kind, text),
        Reply::See(to) => see(&to),
        Reply::SignIn(person) => {
            shop.sessions.sign_in(&id, Some(person));
            see("/")
        }
        Reply::SignOut => {
            shop.sessions.sign_in(&id, None);
            see("/")
        }
    })
}

/// One short read or write, away from the threads that listen. Writers wait for each other here,
/// so that they take no reader's place, and a client that goes away ends no writer's turn.
async fn job(shop: &Arc<Shop>, asked: Asked) -> Reply {
    let writer = match asked.post {
        true => Some(Arc::clone(&shop.writer).lock_owned().await),
        false => None,
    };
    let place = Arc::clone(&shop.jobs).acquire_owned().await;
    let desk = Arc::clone(&shop.desk);
    let done = tokio::task::spawn_blocking(move || {
        let reply = route(&desk, &asked);
        drop((writer, place));
        reply
    });
    done.await.unwrap_or_else(|_| {
        let words = "A fault of this program. What was written to the ledger stands; look before \
                     you send it again.";
        Reply::Page(500, bare("Something failed", words))
    })
}

async fn read_form(body: Body) -> Result<Fields, Refusal> {
    let bytes = timeout(FORM_TIME, to_bytes(body, FORM_BYTES)).await;
    let bytes = bytes.map_err(|_| TOO_SLOW)?.map_err(|_| TOO_LARGE)?;
    Ok(Fields(pairs(&bytes)))
}

/// The fields of a form. Line ends of a browser are those of the ledger.
fn pairs(bytes: &[u8]) -> Vec<(String, String)> {
    let all = form_urlencoded::parse(bytes);
    all.map(|(name, value)| (name.into_owned(), value.replace("\r\n", "\n")))
        .collect()
}

fn parts_of(path: &str) -> Vec<String> {
    let parts = path.split('/').filter(|it| !it.is_empty());
    parts
        .map(|it| {
            percent_encoding::percent_decode_str(it)
                .decode_utf8_lossy()
                .into_owned()
        })
        .collect()
}
