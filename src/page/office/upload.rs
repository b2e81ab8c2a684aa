//! What a form brings with it: fields, and files beside them. Files are bounded, stay in memory and
//! never become files of this machine; nothing of one is read before the form has shown what only
//! this server's pages carry.

use std::future::poll_fn;
use std::pin::Pin;
use std::time::Duration;

use axum::body::{Body, to_bytes};
use axum::http::HeaderMap;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use hyper::body::Body as _;
use multer::{Constraints, Multipart, SizeLimit};
use tokio::time::timeout;

use crate::page::shell::asked::Fields;
use crate::page::shell::guard::{Refusal, STALE, TOO_LARGE, TOO_SLOW};
use crate::page::shell::in_hand::Upload;

/// How long a form may take, and one with files.
const FORM_TIME: Duration = Duration::from_secs(20);
const FILES_TIME: Duration = Duration::from_secs(120);
/// The most that a form may hold besides its files.
const FORM_BYTES: usize = 512 * 1024;
/// The most that a form may hold with all its files.
pub const WHOLE_BYTES: usize = 16 * 1024 * 1024;
/// So much of a larger one is read and thrown away, for so long: a browser that is cut off while it
/// sends does not read why.
const THROWN_BYTES: usize = 4 * WHOLE_BYTES;
const THROWN_TIME: Duration = Duration::from_secs(10);
/// At most so many files come with a form.
const FILES: usize = 8;
/// At most so many fields.
const FIELDS: usize = 1000;
/// The longest name of a file that is kept.
const NAME_CHARS: usize = 120;

const TOO_LARGE_FILE: Refusal = Refusal(
    413,
    "A form may hold at most 16 MB with all its files. Nothing was done. What is larger is taken \
     in at the command line.",
);
const TOO_MANY: Refusal = Refusal(413, "That is more files or fields than a form can hold.");
const BROKEN: Refusal = Refusal(
    400,
    "The form came in pieces that do not fit together. Nothing was done. Go back and send it \
     again.",
);

/// A form as it came.
#[derive(Debug, Clone, Default)]
pub struct Sent {
    pub fields: Fields,
    pub files: Vec<Upload>,
}

/// Whether a form can have files.
pub fn has_files(headers: &HeaderMap) -> bool {
    type_of(headers).is_some_and(|it| it.starts_with("multipart/form-data"))
}

fn type_of(headers: &HeaderMap) -> Option<&str> {
    headers.get(CONTENT_TYPE).and_then(|it| it.to_str().ok())
}

/// Reads a form of a page that carries this token.
///
/// # Errors
/// One that is too large or too slow, does not hold together, or is of another session.
pub async fn read(headers: &HeaderMap, body: Body, token: &str) -> Result<Sent, Refusal> {
    if !has_files(headers) {
        let mut fields = read_fields(body).await?;
        if fields.get("token") != token {
            return Err(STALE);
        }
        fields.0.retain(|it| it.0 != "token");
        return Ok(Sent {
            fields,
            files: Vec::new(),
        });
    }
    let length = headers.get(CONTENT_LENGTH);
    let length = length.and_then(|it| it.to_str().ok()?.parse::<usize>().ok());
    if let Some(length) = length.filter(|it| *it > WHOLE_BYTES) {
        if length <= THROWN_BYTES {
            let _ = timeout(THROWN_TIME, thrown_away(body)).await;
        }
        return Err(TOO_LARGE_FILE);
    }
    let boundary = type_of(headers).and_then(|it| multer::parse_boundary(it).ok());
    let boundary = boundary.ok_or(BROKEN)?;
    timeout(FILES_TIME, read_parts(body, boundary, token))
        .await
        .map_err(|_| TOO_SLOW)?
}

/// Reads to the end and keeps nothing.
async fn thrown_away(mut body: Body) {
    while let Some(Ok(_)) = poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await {}
}

/// Reads a form without files.
///
/// # Errors
/// One that is too large or too slow.
pub async fn read_fields(body: Body) -> Result<Fields, Refusal> {
    let bytes = timeout(FORM_TIME, to_bytes(body, FORM_BYTES)).await;
    let bytes = bytes.map_err(|_| TOO_SLOW)?.map_err(|_| TOO_LARGE)?;
    Ok(Fields(pairs(&bytes)))
}

/// The fields of a form. Line ends of a browser are those of the ledger.
pub fn pairs(bytes: &[u8]) -> Vec<(String, String)> {
    let all = form_urlencoded::parse(bytes);
    all.map(|(name, value)| (name.into_owned(), value.replace("\r\n", "\n")))
        .collect()
}

async fn read_parts(body: Body, boundary: String, token: &str) -> Result<Sent, Refusal> {
    let limit = |bytes: usize| u64::try_from(bytes).unwrap_or(u64::MAX);
    let sizes = SizeLimit::new().whole_stream(limit(WHOLE_BYTES));
    let constraints = Constraints::new().size_limit(sizes);
    let mut parts = Multipart::with_constraints(body.into_data_stream(), boundary, constraints);
    let mut sent = Sent::default();
    let (mut shown, mut room) = (false, FORM_BYTES);
    while let Some(part) = parts.next_field().await.map_err(refusal)? {
        let field = part.name().unwrap_or_default().to_owned();
        let file = part.file_name().map(own_name);
        if !shown && (file.is_some() || field != "token") {
            return Err(STALE);
        }
        let bytes = part.bytes().await.map_err(refusal)?;
        if let Some(name) = file {
            // A field in which nobody chose a file is sent without a name and without a byte.
            if !(name.is_empty() && bytes.is_empty()) {
                sent.files.push(Upload {
                    field,
                    name: Some(name)
                        .filter(|it| !it.is_empty())
                        .unwrap_or("file".to_owned()),
                    bytes: bytes.as_ref().into(),
                });
            }
        } else {
            room = room
                .checked_sub(field.len() + bytes.len())
                .ok_or(TOO_LARGE)?;
            let value = String::from_utf8(bytes.to_vec()).map_err(|_| BROKEN)?;
            match shown {
                true => sent.fields.0.push((field, value.replace("\r\n", "\n"))),
                false if value == token => shown = true,
                false => return Err(STALE),
            }
        }
        if sent.files.len() > FILES || sent.fields.0.len() > FIELDS {
            return Err(TOO_MANY);
        }
    }
    match shown {
        true => Ok(sent),
        false => Err(STALE),
    }
}

fn refusal(error: multer::Error) -> Refusal {
    match error {
        multer::Error::FieldSizeExceeded { .. } | multer::Error::StreamSizeExceeded { .. } => {
            TOO_LARGE_FILE
        }
        _ => BROKEN,
    }
}

/// What a file is called, without its folders and without what nobody can see or type.
fn own_name(sent: &str) -> String {
    let last = sent.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain = |it: char| it.is_alphanumeric() || " .-_()+,=@#".contains(it);
    let named = last.chars().map(|it| if plain(it) { it } else { '_' });
    let named: String = named.take(NAME_CHARS).collect();
    named.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_keeps_its_name_and_loses_its_folders() {
        for (sent, kept) in [
            ("june.csv", "june.csv"),
            ("../../etc/passwd", "passwd"),
            ("C:\\Users\\x\\Mai 5.xlsx", "Mai 5.xlsx"),
            ("--ledger=x", "--ledger=x"),
            ("a\u{202e}b\n<c>.csv", "a_b__c_.csv"),
            ("résultats.csv", "résultats.csv"),
            ("..", ".."),
            ("", ""),
        ] {
            assert_eq!(own_name(sent), kept);
        }
    }
}
