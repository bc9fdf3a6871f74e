//! Owns who may ask for what: the names this server answers to, the secret in its address, the token of every change, and the
//! headers that keep a browser from doing more with a page than is meant.
//!
//! A page of another origin can make a browser send requests here (cross-site requests, or after its own name was pointed at this
//! machine: DNS rebinding). The first lack the token and a fitting Origin, the second the right Host; neither has the secret.

use std::io;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{
    self, CACHE_CONTROL, CONTENT_SECURITY_POLICY, COOKIE, HOST, LOCATION, ORIGIN, REFERRER_POLICY, SET_COOKIE,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};

use super::page;
use super::pairing::Pairing;
use super::state::Desk;

/// Header that carries the token of a change.
pub const TOKEN: &str = "x-hoistnote-token";
/// What a page may load and do.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// The page that asks for a code loads nothing, and its form goes nowhere else.
const ASKING: &str =
    "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Secrets and name of one run of the server.
#[derive(Debug)]
pub struct Guard {
    at: SocketAddr,
    /// Where others reach it.
    reached: IpAddr,
    /// A name that it answers to besides.
    name: Option<String>,
    is_secure: bool,
    secret: String,
    token: String,
    /// Codes that let phones in.
    pub pairing: Pairing,
}

impl Guard {
    /// New secrets for a server at this address, which others reach at `reached` or by its name.
    pub fn new(at: SocketAddr, reached: IpAddr, name: Option<String>, is_secure: bool) -> io::Result<Guard> {
        let name = name.map(|n| n.to_ascii_lowercase());
        Ok(Guard { at, reached, name, is_secure, secret: random()?, token: random()?, pairing: Pairing::default() })
    }

    /// What the user opens.
    pub fn address(&self) -> String {
        format!("{}/?key={}", self.origin(), self.secret)
    }

    /// Where a phone is let in.
    pub fn pair_address(&self) -> String {
        format!("{}/pair", self.origin())
    }

    /// Whether what is sent is encrypted.
    pub fn is_secure(&self) -> bool {
        self.is_secure
    }

    /// Whether anybody but this machine can reach it.
    pub fn is_open(&self) -> bool {
        !self.at.ip().is_loopback()
    }

    fn scheme(&self) -> &'static str {
        if self.is_secure { "https" } else { "http" }
    }

    fn origin(&self) -> String {
        let port = self.at.port();
        match &self.name {
            Some(name) => format!("{}://{name}:{port}", self.scheme()),
            None => format!("{}://{}", self.scheme(), SocketAddr::new(self.reached, port)),
        }
    }

    /// What every change must carry.
    pub fn token(&self) -> &str {
        &self.token
    }

    /// Cookies are not kept apart by port: the name does it.
    fn cookie(&self) -> String {
        format!("hoistnote-{}", self.at.port())
    }

    /// A number or `localhost`, and this server's port. Names that others can point here are not answered to.
    fn is_own(&self, host: &str) -> bool {
        let Some((name, port)) = host.rsplit_once(':') else { return false };
        if port != self.at.port().to_string() {
            return false;
        }
        let number: Option<IpAddr> = name.trim_start_matches('[').trim_end_matches(']').parse().ok();
        match number {
            Some(ip) => ip.is_loopback() || !self.at.ip().is_loopback(),
            None => name == "localhost" || self.name.as_ref().is_some_and(|own| name.eq_ignore_ascii_case(own)),
        }
    }

    fn knows(&self, headers: &HeaderMap) -> bool {
        let name = self.cookie();
        let cookies = headers.get_all(COOKIE).iter().filter_map(|c| c.to_str().ok()).flat_map(|c| c.split(';'));
        let mut values = cookies.filter_map(|c| c.trim().split_once('=')).filter(|(n, _)| *n == name).map(|(_, v)| v);
        values.any(|v| is_same(v, &self.secret))
    }

    /// What is wrong with a request, if anything.
    fn refusal(&self, request: &Request) -> Option<(StatusCode, &'static str)> {
        let headers = request.headers();
        let text = |name: header::HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
        let host = text(HOST).unwrap_or_default();
        if headers.get_all(HOST).iter().count() != 1 || !self.is_own(host) {
            return Some((StatusCode::MISDIRECTED_REQUEST, "This server does not answer to that name."));
        }
        let origin = headers.get(ORIGIN).map(|o| o.to_str().unwrap_or_default());
        let own = format!("{}://{host}", self.scheme());
        let from_elsewhere = origin.is_some_and(|o| o != own)
            || headers.get("sec-fetch-site").is_some_and(|s| s != "same-origin" && s != "none");
        if from_elsewhere {
            return Some((StatusCode::FORBIDDEN, "Asked for by a page of somebody else."));
        }
        let is_change = !matches!(*request.method(), Method::GET | Method::HEAD);
        if is_change && origin.is_none() {
            return Some((StatusCode::FORBIDDEN, "A change must say which page it comes from."));
        }
        if !self.knows(headers) {
            return Some((
                StatusCode::FORBIDDEN,
                "Open the whole address that was printed when the desk was started, with its key.",
            ));
        }
        let token = headers.get(TOKEN).and_then(|v| v.to_str().ok()).unwrap_or_default();
        if is_change && !is_same(token, &self.token) {
            return Some((StatusCode::FORBIDDEN, "The page is of an earlier run of the desk; open it again."));
        }
        None
    }
}

/// Lets a request through, or answers it here.
pub async fn check(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let guard = &desk.guard;
    if let Some(entered) = enter(guard, &request).or_else(|| pair(guard, &request)) {
        return sealed(entered);
    }
    if let Some((status, why)) = guard.refusal(&request) {
        return sealed((status, format!("{why}\n")).into_response());
    }
    sealed(next.run(request).await)
}

/// The printed address: the key becomes a cookie and leaves the address bar.
fn enter(guard: &Guard, request: &Request) -> Option<Response> {
    let host = request.headers().get(HOST)?.to_str().ok()?;
    let key = request.uri().query()?.strip_prefix("key=")?;
    if request.method() != Method::GET || request.uri().path() != "/" || !guard.is_own(host) {
        return None;
    }
    if !is_same(key, &guard.secret) {
        return None;
    }
    Some(let_in(guard, "/"))
}

/// Gives the cookie, and goes on to a page.
fn let_in(guard: &Guard, to: &str) -> Response {
    let secure = if guard.is_secure { "; Secure" } else { "" };
    let cookie = format!("{}={}; Path=/; HttpOnly; SameSite=Strict{secure}", guard.cookie(), guard.secret);
    (StatusCode::SEE_OTHER, [(LOCATION, to.to_string()), (SET_COOKIE, cookie)], Body::empty()).into_response()
}

/// What a device sees that has only a code: the page that asks for it, and nothing else.
fn pair(guard: &Guard, request: &Request) -> Option<Response> {
    let host = request.headers().get(HOST)?.to_str().ok()?;
    if request.method() != Method::GET || !guard.is_own(host) || guard.knows(request.headers()) {
        return None;
    }
    if request.uri().path() != "/pair" {
        return None;
    }
    let typed = request.uri().query().and_then(|q| q.strip_prefix("code="));
    if typed.is_some_and(|code| guard.pairing.opens(code)) {
        return Some(let_in(guard, "/capture"));
    }
    let page = Html(page::ask(typed.is_some()));
    Some(([(CONTENT_SECURITY_POLICY, ASKING)], page).into_response())
}

/// Puts the headers on that every answer has; a page may have a policy of its own.
fn sealed(mut response: Response) -> Response {
    let headers = response.headers_mut();
    headers.entry(CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(POLICY));
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    for (name, value) in [
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        (REFERRER_POLICY, "no-referrer"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// Takes as long whatever differs.
fn is_same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

/// 192 bits in hexadecimal.
fn random() -> io::Result<String> {
    let mut bytes = [0_u8; 24];
    getrandom::fill(&mut bytes).map_err(|e| io::Error::other(e.to_string()))?;
    Ok(bytes.iter().map(|b| format!("{b:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_to_its_own_names_only() -> io::Result<()> {
        let at = |ip: [u8; 4], name: Option<&str>| {
            Guard::new(SocketAddr::from((ip, 8100)), ip.into(), name.map(str::to_string), false)
        };
        let (local, open) = (at([127, 0, 0, 1], None)?, at([0, 0, 0, 0], Some("desk.larkfield.example"))?);
        let table = [
            ("127.0.0.1:8100", true, true),
            ("localhost:8100", true, true),
            ("[::1]:8100", true, true),
            ("127.0.0.1:8101", false, false),
            ("127.0.0.1", false, false),
            ("192.168.7.7:8100", false, true),
            ("rebound.example:8100", false, false),
            ("localhost.example:8100", false, false),
            ("127.0.0.1.example:8100", false, false),
            ("", false, false),
            ("desk.larkfield.example:8100", false, true),
            ("desk.larkfield.example:81", false, false),
        ];
        for (host, locally, openly) in table {
            assert_eq!((local.is_own(host), open.is_own(host)), (locally, openly), "{host}");
        }
        Ok(())
    }
}
