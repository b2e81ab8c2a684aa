//! Where the server listens, who can reach it there, and by which names it may be asked for.

use std::net::{IpAddr, SocketAddr};

use super::tls::Encryption;
use crate::page::shell::guard::Sessions;

/// Why there is no server.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// An address that others can reach, without what that asks for.
    #[error("`{0}` can be reached from other machines")]
    Beyond(IpAddr),
    /// Any address of this machine: which one is asked for, nobody could check.
    #[error("`{0}` is every address of this machine")]
    Any(IpAddr),
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

/// Where to listen, and how.
#[derive(Debug, Clone)]
pub struct Door {
    /// One address of this machine.
    pub host: IpAddr,
    /// The port; 0 for a free one.
    pub port: u16,
    /// A name by which the machine is asked for besides.
    pub name: Option<String>,
    /// Whether people sign in.
    pub signs_in: bool,
    /// How it encrypts.
    pub encryption: Option<Encryption>,
}

/// A place to listen at, with the address for the browser.
pub struct Bound {
    pub listener: std::net::TcpListener,
    pub at: SocketAddr,
    pub door: Door,
    pub sessions: Sessions,
    /// The address for the browser; where nobody signs in, it works once.
    pub address: String,
}

/// Takes a place to listen at. Others can reach it only where people sign in and the connection is
/// encrypted.
///
/// # Errors
/// An address that others can reach without that, or one that is taken.
pub fn bind(door: Door) -> Result<Bound, ServeError> {
    if door.host.is_unspecified() {
        return Err(ServeError::Any(door.host));
    }
    let guarded = door.signs_in && door.encryption.is_some();
    if !door.host.is_loopback() && !guarded {
        return Err(ServeError::Beyond(door.host));
    }
    let wanted = SocketAddr::new(door.host, door.port);
    let failed = |source| ServeError::Io {
        address: wanted.to_string(),
        source,
    };
    let listener = std::net::TcpListener::bind(wanted).map_err(failed)?;
    listener.set_nonblocking(true).map_err(failed)?;
    let at = listener.local_addr().map_err(failed)?;
    let sessions = Sessions::default();
    let home = format!("{}://{at}/", scheme(&door));
    let address = match door.signs_in {
        true => home,
        false => format!("{home}in/{}", sessions.invite()?),
    };
    Ok(Bound {
        listener,
        at,
        door,
        sessions,
        address,
    })
}

pub fn scheme(door: &Door) -> &'static str {
    match door.encryption {
        Some(_) => "https",
        None => "http",
    }
}

/// What a browser may call the server: what was bound, and no other name.
pub fn hosts(door: &Door, at: SocketAddr) -> Vec<String> {
    let port = at.port();
    let mut hosts = vec![at.to_string()];
    let local = door.host.is_loopback().then(|| "localhost".to_owned());
    hosts.extend(
        local
            .iter()
            .chain(&door.name)
            .map(|it| format!("{it}:{port}")),
    );
    // The usual port is left out.
    if port == if door.encryption.is_some() { 443 } else { 80 } {
        let end = format!(":{port}");
        let short = hosts.iter().filter_map(|it| it.strip_suffix(&end));
        let short: Vec<String> = short.map(str::to_owned).collect();
        hosts.extend(short);
    }
    hosts
}
