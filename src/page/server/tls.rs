//! The encrypted connection: with a certificate that is given, or by an authority of the site's
//! own, which is made on first use and installed on the devices.

use std::io::Write;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{Datelike, Days};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
    date_time_ymd,
};
use rustls::ServerConfig;
use rustls::crypto::ring;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use rustls::sign::CertifiedKey;
use sha2::{Digest, Sha256};

use crate::calendar::Day;

/// For how many days the authority holds.
const AUTHORITY_DAYS: u64 = 3_650;
/// For how many days the server's own certificate holds, which is made anew at each start.
/// Browsers refuse more than about thirteen months.
const SERVER_DAYS: u64 = 397;

/// The networks that are nobody's in the wide world. An authority of one's own speaks for nothing
/// else: whoever got hold of its key could pretend to be no other site.
const PRIVATE: &[(IpAddr, u8)] = &[
    (v4(10, 0), 8),
    (v4(172, 16), 12),
    (v4(192, 168), 16),
    (v4(169, 254), 16),
    (v4(127, 0), 8),
    (v6(0xfc00), 7),
    (v6(0xfe80), 10),
    (IpAddr::V6(std::net::Ipv6Addr::LOCALHOST), 128),
];
const PRIVATE_NAMES: &[&str] = &["localhost", "local", "internal", "home.arpa"];

const fn v4(a: u8, b: u8) -> IpAddr {
    IpAddr::V4(std::net::Ipv4Addr::new(a, b, 0, 0))
}

const fn v6(a: u16) -> IpAddr {
    IpAddr::V6(std::net::Ipv6Addr::new(a, 0, 0, 0, 0, 0, 0, 0))
}

/// Why there is no encryption.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    /// A file cannot be read or written.
    #[error("{}: {source}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file that is something else.
    #[error("there is no {what} in {}", path.display())]
    Without {
        /// What was looked for.
        what: &'static str,
        /// The file.
        path: PathBuf,
    },
    /// A key of another certificate.
    #[error("the key in {} is not the one of the certificate in {}", key.display(), cert.display())]
    OtherKey {
        /// The file of the key.
        key: PathBuf,
        /// The file of the certificate.
        cert: PathBuf,
    },
    /// A key that others can read.
    #[error("others than its owner can read the key in {}", path.display())]
    OpenKey {
        /// The file.
        path: PathBuf,
    },
    /// An address in the wide world.
    #[error("`{0}` is no address of a private network")]
    Public(String),
    /// Something else about certificates.
    #[error("{path}: {what}", path = path.display())]
    Unusable {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        what: String,
    },
}

/// How a server encrypts.
#[derive(Debug, Clone)]
pub struct Encryption {
    pub config: Arc<ServerConfig>,
    /// SHA-256 over the certificate by which a device knows it: the authority's, or the given one.
    pub fingerprint: String,
    /// The authority's certificate, to be installed on the devices.
    pub to_install: Option<PathBuf>,
}

fn file_error(path: &Path) -> impl Fn(std::io::Error) -> TlsError + '_ {
    |source| TlsError::File {
        path: path.to_owned(),
        source,
    }
}

fn unusable(path: &Path, what: impl std::fmt::Display) -> TlsError {
    TlsError::Unusable {
        path: path.to_owned(),
        what: what.to_string(),
    }
}

/// Pairs of signs, as browsers show it.
fn fingerprint(cert: &CertificateDer<'_>) -> String {
    let digest = Sha256::digest(cert.as_ref());
    let pairs: Vec<String> = digest.iter().map(|it| format!("{it:02X}")).collect();
    pairs.join(":")
}

fn certs_in(path: &Path) -> Result<Vec<CertificateDer<'static>>, TlsError> {
    let text = std::fs::read(path).map_err(file_error(path))?;
    let all: Result<Vec<_>, _> = CertificateDer::pem_slice_iter(&text).collect();
    let without = || TlsError::Without {
        what: "certificate as PEM",
        path: path.to_owned(),
    };
    all.ok().filter(|it| !it.is_empty()).ok_or_else(without)
}

fn key_in(path: &Path) -> Result<PrivateKeyDer<'static>, TlsError> {
    let text = std::fs::read(path).map_err(file_error(path))?;
    PrivateKeyDer::from_pem_slice(&text).map_err(|_| TlsError::Without {
        what: "private key as PEM",
        path: path.to_owned(),
    })
}

/// Whether a key is that of a certificate.
fn need_a_pair(
    (cert, certs): (&Path, &[CertificateDer<'static>]),
    (key, of): (&Path, &PrivateKeyDer<'static>),
) -> Result<(), TlsError> {
    let provider = ring::default_provider();
    match CertifiedKey::from_der(certs.to_vec(), of.clone_key(), &provider) {
        Ok(_) => Ok(()),
        Err(rustls::Error::InconsistentKeys(_)) => Err(TlsError::OtherKey {
            key: key.to_owned(),
            cert: cert.to_owned(),
        }),
        Err(error) => Err(unusable(cert, error)),
    }
}

fn config(
    path: &Path,
    certs: Vec<CertificateDer<'static>>,
    key: PrivateKeyDer<'static>,
) -> Result<Arc<ServerConfig>, TlsError> {
    let provider = Arc::new(ring::default_provider());
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .and_then(|it| it.with_no_client_auth().with_single_cert(certs, key))
        .map_err(|error| unusable(path, error))?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(Arc::new(config))
}

/// Encrypts with a certificate and its key from two files.
///
/// # Errors
/// What cannot be read, is something else, or does not go together.
pub fn given(cert: &Path, key: &Path) -> Result<Encryption, TlsError> {
    let (certs, of) = (certs_in(cert)?, key_in(key)?);
    need_a_pair((cert, &certs), (key, &of))?;
    let shown = certs.first().map(fingerprint).unwrap_or_default();
    Ok(Encryption {
        config: config(cert, certs, of)?,
        fingerprint: shown,
        to_install: None,
    })
}

/// Whether an authority of one's own may speak for an address.
fn is_private(address: IpAddr) -> bool {
    PRIVATE
        .iter()
        .any(|(network, bits)| match (network, address) {
            (IpAddr::V4(network), IpAddr::V4(it)) => {
                (u32::from(*network) ^ u32::from(it)) >> (32 - u32::from(*bits)) == 0
            }
            (IpAddr::V6(network), IpAddr::V6(it)) => {
                (u128::from(*network) ^ u128::from(it)) >> (128 - u32::from(*bits)) == 0
            }
            _ => false,
        })
}

fn is_private_name(name: &str) -> bool {
    let ends = |it: &str| name == it || name.ends_with(&format!(".{it}"));
    PRIVATE_NAMES.iter().any(|it| ends(it))
}

/// What an authority's certificate says of it, the days apart.
fn authority_params(today: Day) -> CertificateParams {
    let mut params = CertificateParams::default();
    params
        .distinguished_name
        .push(DnType::CommonName, "wearbook, authority of this site");
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let networks = PRIVATE.iter().map(|(network, bits)| {
        GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(*network, *bits))
    });
    let names = PRIVATE_NAMES
        .iter()
        .map(|it| GeneralSubtree::DnsName((*it).to_owned()));
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: networks.chain(names).collect(),
        excluded_subtrees: Vec::new(),
    });
    hold(&mut params, today, AUTHORITY_DAYS);
    params
}

/// From the day before, because clocks differ, and for so many days.
fn hold(params: &mut CertificateParams, today: Day, days: u64) {
    let moment = |day: Day| {
        let [month, of_month] = [day.month(), day.day()].map(|it| u8::try_from(it).unwrap_or(1));
        date_time_ymd(day.year(), month, of_month)
    };
    params.not_before = moment(today.pred_opt().unwrap_or(today));
    params.not_after = moment(today.checked_add_days(Days::new(days)).unwrap_or(today));
}

/// Encrypts by the authority in a folder, which is made if it is not there. Its key never leaves
/// the folder; that of the server lives as long as the server.
///
/// # Errors
/// An address in the wide world, or a folder that cannot be used.
pub fn authority(
    folder: &Path,
    addresses: &[IpAddr],
    names: &[String],
    today: Day,
) -> Result<Encryption, TlsError> {
    if let Some(it) = addresses.iter().find(|it| !is_private(**it)) {
        return Err(TlsError::Public(it.to_string()));
    }
    if let Some(it) = names.iter().find(|it| !is_private_name(it)) {
        return Err(TlsError::Public(it.clone()));
    }
    let (cert, key) = (folder.join("authority.pem"), folder.join("authority.key"));
    if !cert.exists() {
        make(folder, &cert, &key, today)?;
    }
    need_closed(&key)?;
    let certs = certs_in(&cert)?;
    need_a_pair((&cert, &certs), (&key, &key_in(&key)?))?;
    let text = std::fs::read_to_string(&key).map_err(file_error(&key))?;
    let pair = KeyPair::from_pem(&text).map_err(|error| unusable(&key, error))?;
    let authority = authority_params(today);
    let issuer = Issuer::from_params(&authority, &pair);
    let (chain, of) =
        server_cert(&issuer, addresses, names, today).map_err(|error| unusable(&cert, error))?;
    let shown = certs.first().map(fingerprint).unwrap_or_default();
    Ok(Encryption {
        config: config(&cert, vec![chain], of)?,
        fingerprint: shown,
        to_install: Some(cert),
    })
}

/// The server's own certificate and key, of this start.
fn server_cert(
    issuer: &Issuer<'_, &KeyPair>,
    addresses: &[IpAddr],
    names: &[String],
    today: Day,
) -> Result<(CertificateDer<'static>, PrivateKeyDer<'static>), rcgen::Error> {
    let pair = KeyPair::generate()?;
    let mut params = CertificateParams::new(names.to_vec())?;
    let addresses = addresses.iter().map(|it| SanType::IpAddress(*it));
    params.subject_alt_names.extend(addresses);
    params
        .distinguished_name
        .push(DnType::CommonName, "wearbook, server of this site");
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.use_authority_key_identifier_extension = true;
    hold(&mut params, today, SERVER_DAYS);
    let cert = params.signed_by(&pair, issuer)?;
    let key = PrivateKeyDer::Pkcs8(pair.serialize_der().into());
    Ok((cert.der().clone(), key))
}

/// Makes the authority: its key first, which its owner alone can read.
fn make(folder: &Path, cert: &Path, key: &Path, today: Day) -> Result<(), TlsError> {
    std::fs::create_dir_all(folder).map_err(file_error(folder))?;
    let made = KeyPair::generate().and_then(|pair| {
        let signed = authority_params(today).self_signed(&pair)?;
        Ok((pair.serialize_pem(), signed.pem()))
    });
    let (key_text, cert_text) = made.map_err(|error| unusable(cert, error))?;
    // What a start that was cut short left here signs nothing yet.
    let _ = std::fs::remove_file(key);
    closed(key)
        .and_then(|mut it| it.write_all(key_text.as_bytes()))
        .map_err(file_error(key))?;
    std::fs::write(cert, cert_text).map_err(file_error(cert))
}

/// A new file that its owner alone can read.
#[cfg(unix)]
fn closed(path: &Path) -> std::io::Result<std::fs::File> {
    use std::os::unix::fs::OpenOptionsExt;
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true).mode(0o600).open(path)
}

/// A new file; who may read it, the folder says.
#[cfg(not(unix))]
fn closed(path: &Path) -> std::io::Result<std::fs::File> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true).open(path)
}

#[cfg(unix)]
fn need_closed(key: &Path) -> Result<(), TlsError> {
    use std::os::unix::fs::PermissionsExt;
    let found = std::fs::metadata(key).map_err(file_error(key))?;
    match found.permissions().mode() & 0o077 {
        0 => Ok(()),
        _ => Err(TlsError::OpenKey {
            path: key.to_owned(),
        }),
    }
}

#[cfg(not(unix))]
fn need_closed(_: &Path) -> Result<(), TlsError> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_day;
    use rustls::pki_types::{ServerName, UnixTime};
    use rustls::{ClientConfig, ClientConnection, RootCertStore, ServerConnection};

    #[derive(Debug)]
    struct At(UnixTime);

    impl rustls::time_provider::TimeProvider for At {
        fn current_time(&self) -> Option<UnixTime> {
            Some(self.0)
        }
    }

    fn day() -> Day {
        parse_day("2026-06-15").unwrap()
    }

    /// Shakes hands in memory as a device that has the authority installed; the error, if any.
    fn shaken(root: &Path, config: &Arc<ServerConfig>, name: &str) -> Option<String> {
        let mut roots = RootCertStore::empty();
        roots.add(certs_in(root).unwrap().remove(0)).unwrap();
        let noon = At(UnixTime::since_unix_epoch(std::time::Duration::from_secs(
            1_781_524_800,
        )));
        let client =
            ClientConfig::builder_with_details(Arc::new(ring::default_provider()), Arc::new(noon))
                .with_safe_default_protocol_versions()
                .unwrap()
                .with_root_certificates(roots)
                .with_no_client_auth();
        let name = ServerName::try_from(name.to_owned()).unwrap();
        let mut client = ClientConnection::new(Arc::new(client), name).unwrap();
        let mut server = ServerConnection::new(Arc::clone(config)).unwrap();
        while client.is_handshaking() || server.is_handshaking() {
            let mut sent = Vec::new();
            client.write_tls(&mut sent).unwrap();
            server.read_tls(&mut &sent[..]).unwrap();
            server.process_new_packets().ok();
            sent.clear();
            server.write_tls(&mut sent).unwrap();
            client.read_tls(&mut &sent[..]).unwrap();
            if let Err(error) = client.process_new_packets() {
                return Some(error.to_string());
            }
        }
        None
    }

    #[test]
    fn a_device_that_has_the_authority_trusts_the_server_at_its_address_alone() {
        let dir = tempfile::tempdir().unwrap();
        let here: Vec<IpAddr> = vec!["192.168.7.2".parse().unwrap()];
        let names = vec!["truck.local".to_owned()];
        let made = authority(dir.path(), &here, &names, day()).unwrap();
        let root = made.to_install.clone().unwrap();
        assert_eq!(shaken(&root, &made.config, "192.168.7.2"), None);
        assert_eq!(shaken(&root, &made.config, "truck.local"), None);
        assert!(shaken(&root, &made.config, "192.168.7.3").is_some());
        // The next start has the same authority, and another address.
        let there: Vec<IpAddr> = vec!["10.0.0.9".parse().unwrap()];
        let again = authority(dir.path(), &there, &[], day()).unwrap();
        assert_eq!(again.fingerprint, made.fingerprint);
        assert_eq!(shaken(&root, &again.config, "10.0.0.9"), None);
        assert_eq!(made.fingerprint.len(), 32 * 3 - 1);
    }

    #[test]
    fn an_authority_speaks_for_no_address_of_the_wide_world() {
        let dir = tempfile::tempdir().unwrap();
        for address in ["203.0.113.7", "172.32.0.1", "2001:db8::1"] {
            let all = [address.parse().unwrap()];
            let refused = authority(dir.path(), &all, &[], day());
            assert!(matches!(refused, Err(TlsError::Public(_))), "{address}");
        }
        let names = ["example.com".to_owned()];
        let refused = authority(dir.path(), &[], &names, day());
        assert!(matches!(refused, Err(TlsError::Public(_))));
        assert!(!dir.path().join("authority.key").exists());
        // What somebody signs with a stolen key, devices refuse all the same.
        let here = ["10.0.0.9".parse().unwrap()];
        let made = authority(dir.path(), &here, &[], day()).unwrap();
        let text = std::fs::read_to_string(dir.path().join("authority.key")).unwrap();
        let pair = KeyPair::from_pem(&text).unwrap();
        let params = authority_params(day());
        let issuer = Issuer::from_params(&params, &pair);
        let (cert, key) = server_cert(&issuer, &[], &names, day()).unwrap();
        let stolen = config(dir.path(), vec![cert], key).unwrap();
        let root = made.to_install.unwrap();
        assert!(shaken(&root, &stolen, "example.com").is_some());
    }

    #[cfg(unix)]
    #[test]
    fn the_authoritys_key_is_read_by_its_owner_alone() {
        use std::os::unix::fs::PermissionsExt;
        let dir = tempfile::tempdir().unwrap();
        let here = ["10.0.0.9".parse().unwrap()];
        authority(dir.path(), &here, &[], day()).unwrap();
        let key = dir.path().join("authority.key");
        let mode = || std::fs::metadata(&key).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(), 0o600);
        std::fs::set_permissions(&key, std::fs::Permissions::from_mode(0o644)).unwrap();
        let refused = authority(dir.path(), &here, &[], day());
        assert!(matches!(refused, Err(TlsError::OpenKey { .. })));
    }
}
