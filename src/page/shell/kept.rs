//! A photo or paper as a browser is given it: shown where this program made it, else saved.

use axum::body::Body;
use axum::http::HeaderValue;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::Response;

/// A photo or paper.
#[derive(Debug)]
pub struct Kept {
    /// Its type.
    pub kind: &'static str,
    /// The name under which a browser saves it: letters, digits, hyphens and a dot.
    pub name: String,
    /// Whether it may be shown in a page; else it is saved.
    pub inline: bool,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl Kept {
    /// The same as HTTP.
    pub fn response(self) -> Response {
        let how = if self.inline { "inline" } else { "attachment" };
        let how = HeaderValue::from_str(&format!("{how}; filename=\"{}\"", self.name));
        let how = how.unwrap_or(HeaderValue::from_static("attachment"));
        let mut response = Response::new(Body::from(self.bytes));
        let headers = response.headers_mut();
        headers.insert(CONTENT_TYPE, HeaderValue::from_static(self.kind));
        headers.insert(CONTENT_DISPOSITION, how);
        response
    }
}
