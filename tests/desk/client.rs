//! Requests to a desk that runs, byte for byte, so that tests can send what no browser would.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};

use super::running::Desk;

type Made<T> = Result<T, Box<dyn std::error::Error>>;

/// A desk over a folder, with what it takes to be let in.
pub struct Server {
    desk: Desk,
    /// `127.0.0.1:port`.
    pub host: String,
    key: String,
    /// Token of changes, as the pages carry it.
    pub token: String,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn json(&self) -> Made<Value> {
        Ok(serde_json::from_slice(&self.body)?)
    }

    /// The value of a header.
    pub fn header(&self, name: &str) -> Option<&str> {
        let fits = |l: &&str| l.split_once(':').is_some_and(|(n, _)| n.eq_ignore_ascii_case(name));
        self.head.lines().find(fits).and_then(|l| l.split_once(':')).map(|(_, v)| v.trim())
    }
}

impl Server {
    /// Opens a desk with more arguments.
    pub fn open(folder: &Path, more: &[&str]) -> Made<Server> {
        let desk = Desk::open(folder, more)?;
        let host = desk.at("").strip_prefix("http://").ok_or("no address")?.to_string();
        let (_, key) = desk.printed().split_once("/?key=").ok_or("no key")?;
        let key = key.to_string();
        let mut server = Server { desk, host, key, token: String::new() };
        let page = server.get("/")?.text();
        let (_, after) = page.split_once("name=\"token\" content=\"").ok_or("no token on the page")?;
        server.token = after.split('"').next().unwrap_or_default().to_string();
        Ok(server)
    }

    /// Ends it at once, as `kill -9` does.
    pub fn kill(&self) -> std::io::Result<()> {
        self.desk.kill()
    }

    /// The printed address.
    pub fn address(&self) -> &str {
        self.desk.printed()
    }

    /// The cookie that the address gives.
    pub fn cookie(&self) -> String {
        format!("hoistnote-{}={}", self.host.rsplit(':').next().unwrap_or_default(), self.key)
    }

    /// Sends a request head, line by line, and a body.
    pub fn raw(&self, head: &[&str], body: &[u8]) -> Made<Answer> {
        let mut stream = TcpStream::connect(&self.host)?;
        stream.set_read_timeout(Some(Duration::from_secs(20)))?;
        let mut request = head.join("\r\n");
        request.push_str("\r\nConnection: close\r\n\r\n");
        stream.write_all(request.as_bytes())?;
        // a server that refuses early may close before all is sent
        let _ = stream.write_all(body);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let end = bytes.windows(4).position(|w| w == b"\r\n\r\n").ok_or("no head in the answer")?;
        let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).ok_or("no status")?;
        let mut body = bytes[end + 4..].to_vec();
        if head.to_ascii_lowercase().contains("transfer-encoding: chunked") {
            body = unchunked(&body);
        }
        Ok(Answer { status, head, body })
    }

    /// Asks for a page as the user's browser would.
    pub fn get(&self, path: &str) -> Made<Answer> {
        self.get_with(path, &[])
    }

    pub fn get_with(&self, path: &str, more: &[&str]) -> Made<Answer> {
        let (first, host) = (format!("GET {path} HTTP/1.1"), format!("Host: {}", self.host));
        let cookie = format!("Cookie: {}", self.cookie());
        self.raw(&[&[first.as_str(), &host, &cookie], more].concat(), b"")
    }

    /// Sends a change as the page would.
    pub fn post(&self, path: &str, body: &Value) -> Made<Answer> {
        let token = format!("x-hoistnote-token: {}", self.token);
        let origin = format!("Origin: http://{}", self.host);
        self.post_with(path, &[&token, &origin, &format!("Cookie: {}", self.cookie())], body.to_string().as_bytes())
    }

    pub fn post_with(&self, path: &str, more: &[&str], body: &[u8]) -> Made<Answer> {
        let (first, host) = (format!("POST {path} HTTP/1.1"), format!("Host: {}", self.host));
        let length = format!("Content-Length: {}", body.len());
        self.raw(&[&[first.as_str(), &host, &length, "Content-Type: application/json"], more].concat(), body)
    }

    /// Decides something on an inspection.
    pub fn decide(&self, name: &str, revision: usize, edit: Value) -> Made<Answer> {
        let reading = self.reading(name)?;
        self.decide_on(name, revision, &reading, edit)
    }

    /// The reading that the page of an inspection shows.
    pub fn reading(&self, name: &str) -> Made<String> {
        let page = self.get(&format!("/inspection/{name}"))?.text();
        let (_, after) = page.split_once("data-reading=\"").ok_or("no reading on the page")?;
        Ok(after.split('"').next().unwrap_or_default().to_string())
    }

    /// Decides on what a page showed earlier.
    pub fn decide_on(&self, name: &str, revision: usize, reading: &str, edit: Value) -> Made<Answer> {
        let body = json!({ "revision": revision, "reading": reading, "edit": edit });
        self.post(&format!("/inspection/{name}/decide"), &body)
    }
}

fn unchunked(mut bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = bytes.windows(2).position(|w| w == b"\r\n") {
        let size = usize::from_str_radix(String::from_utf8_lossy(&bytes[..end]).trim(), 16).unwrap_or(0);
        let from = end + 2;
        if size == 0 || bytes.len() < from + size {
            break;
        }
        out.extend_from_slice(&bytes[from..from + size]);
        bytes = bytes.get(from + size + 2..).unwrap_or_default();
    }
    out
}
