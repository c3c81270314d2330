//! Who is answered: only pages that this very server gave out.
//!
//! A page of another site can send requests to the loopback address, and a name that someone else
//! owns can be pointed at it. So the host must be the loopback address with this server's port, the
//! origin, where a browser tells one, must be the server itself, the path must begin with a random
//! word that only the printed address has, and what changes anything must be sent as JSON, which no
//! form of another page can do.

use super::words;
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};

/// Longest message that is taken: as long as the longest file.
pub(super) const LONGEST: usize = 1_000_000;

/// What is let in.
#[derive(Clone, Debug)]
pub struct Guard {
    /// Begins the path of every address.
    token: String,
    /// As the address has it.
    port: u16,
}

/// Why a request is turned away.
pub(super) type Turned = (StatusCode, &'static str);

impl Guard {
    /// With a random word and the port that is listened at.
    pub fn new(token: String, port: u16) -> Guard {
        Guard { token, port }
    }

    /// The address of the page.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// Turns a request away, or doesn't.
    pub(super) fn look(
        &self,
        method: &Method,
        uri: &Uri,
        headers: &HeaderMap,
    ) -> Result<(), Turned> {
        let foreign = Err((StatusCode::FORBIDDEN, words::NOT_FROM_THERE));
        let own = ["127.0.0.1", "localhost"].map(|name| format!("{name}:{}", self.port));
        let hosts: Vec<&HeaderValue> = headers.get_all(header::HOST).iter().collect();
        let host = match hosts.as_slice() {
            [host] => own.iter().find(|own| host.as_bytes() == own.as_bytes()),
            _ => None,
        };
        let Some(host) = host else { return foreign };
        let origins: Vec<&HeaderValue> = headers.get_all(header::ORIGIN).iter().collect();
        let here = format!("http://{host}");
        let changes = *method != Method::GET && *method != Method::HEAD;
        match origins.as_slice() {
            [] if !changes => {}
            [origin] if origin.as_bytes() == here.as_bytes() => {}
            _ => return foreign,
        }
        // The maker may open the page from a link, but no other page may ask for anything.
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        let opened = headers.get("sec-fetch-mode").is_some_and(|mode| mode == "navigate");
        if matches!(site, Some(b"cross-site" | b"same-site")) && !opened {
            return foreign;
        }
        let word = uri.path().strip_prefix('/').and_then(|path| path.split('/').next());
        if !word.is_some_and(|word| alike(word.as_bytes(), self.token.as_bytes())) {
            return Err((StatusCode::NOT_FOUND, words::NOT_HERE));
        }
        let json = headers.get(header::CONTENT_TYPE).is_some_and(|kind| kind == "application/json");
        if changes && !json {
            return Err((StatusCode::UNSUPPORTED_MEDIA_TYPE, words::NOT_SO));
        }
        Ok(())
    }
}

/// Whether two words are the same, in a time that doesn't tell how much of them is.
fn alike(one: &[u8], other: &[u8]) -> bool {
    let differ = one.iter().zip(other).fold(0, |differ, (a, b)| differ | (a ^ b));
    one.len() == other.len() && differ == 0
}

/// What a page of ours may do: show what this server sends, and nothing else.
const PAGE: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The job sheet has a style of its own, pictures in itself, and no script.
pub(super) const SHEET: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; \
    base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox";

/// What every answer carries.
pub(super) fn headers(into: &mut HeaderMap) {
    let fixed = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (header::X_FRAME_OPTIONS, "DENY"),
    ];
    for (name, value) in fixed {
        into.insert(name, HeaderValue::from_static(value));
    }
    for name in ["cross-origin-opener-policy", "cross-origin-resource-policy"] {
        into.insert(name, HeaderValue::from_static("same-origin"));
    }
    into.entry(header::CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(PAGE));
}
