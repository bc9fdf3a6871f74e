//! Phones at the desk: let in by a code that is good once, and spoken to in secret.

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;

use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};

use super::running::Desk;
use super::{Checked, Server};

fn code(page: &str) -> Result<String, Box<dyn std::error::Error>> {
    let (_, after) = page.split_once("class=\"code\">").ok_or("no code on the page")?;
    Ok(after.chars().take(6).collect())
}

#[test]
fn a_phone_is_let_in_once_by_its_code() -> Checked {
    let dir = tempfile::tempdir()?;
    let s = Server::open(dir.path(), &[])?;
    let host = format!("Host: {}", s.host);
    let phone =
        |path: &str, more: &[&str]| s.raw(&[&[format!("GET {path} HTTP/1.1").as_str(), &host], more].concat(), b"");
    // what a phone gets that has only a code, or none
    for (path, status) in [
        ("/pair", 200),
        ("/assets/desk.css", 403),
        ("/", 403),
        ("/capture", 403),
        ("/let-in", 403),
        ("/assets/review.js", 403),
    ] {
        assert_eq!(phone(path, &[])?.status, status, "{path}");
    }
    assert!(phone("/pair?code=", &[])?.header("set-cookie").is_none(), "no code was made yet");
    let good = code(&s.get("/let-in")?.text())?;
    let wrong = format!("{:06}", (good.parse::<u32>()? + 1) % 1_000_000);
    let answer = phone(&format!("/pair?code={wrong}"), &[])?;
    assert!(answer.status == 200 && answer.header("set-cookie").is_none() && answer.text().contains("not good"));
    let answer = phone(&format!("/pair?code={good}"), &[])?;
    assert_eq!((answer.status, answer.header("location")), (303, Some("/capture")));
    let cookie = answer.header("set-cookie").and_then(|c| c.split(';').next()).ok_or("no cookie")?;
    assert_eq!(phone("/capture", &[&format!("Cookie: {cookie}")])?.status, 200);
    assert!(phone(&format!("/pair?code={good}"), &[])?.header("set-cookie").is_none(), "good only once");
    // a page elsewhere can't have a code made
    let elsewhere = ["Sec-Fetch-Site: cross-site", &format!("Cookie: {cookie}")];
    assert_eq!(phone("/let-in", &elsewhere)?.status, 403);
    Ok(())
}

#[test]
fn guessing_ends_a_code() -> Checked {
    let dir = tempfile::tempdir()?;
    let s = Server::open(dir.path(), &[])?;
    let good = code(&s.get("/let-in")?.text())?;
    let host = format!("Host: {}", s.host);
    let try_it = |code: &str| s.raw(&[&format!("GET /pair?code={code} HTTP/1.1"), &host], b"");
    for n in 0..5 {
        let guess = format!("{:06}", (good.parse::<u32>()? + 1 + n) % 1_000_000);
        try_it(&guess)?;
    }
    assert!(try_it(&good)?.header("set-cookie").is_none());
    Ok(())
}

/// One answer over an encrypted connection that trusts only this certificate.
fn secret(desk: &Desk, certificate: &Path, name: &str, head: &[String]) -> Result<String, Box<dyn std::error::Error>> {
    let mut roots = RootCertStore::empty();
    roots.add(CertificateDer::from_pem_file(certificate).map_err(|e| format!("{e:?}"))?)?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let configuration = ClientConfig::builder_with_provider(provider).with_safe_default_protocol_versions()?;
    let mut configuration = configuration.with_root_certificates(roots).with_no_client_auth();
    // as browsers offer it
    configuration.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
    let connection = ClientConnection::new(Arc::new(configuration), ServerName::try_from(name.to_string())?)?;
    let port = desk.at("").rsplit(':').next().unwrap_or_default().to_string();
    let mut stream = StreamOwned::new(connection, TcpStream::connect(format!("127.0.0.1:{port}"))?);
    stream.write_all(format!("{}\r\nConnection: close\r\n\r\n", head.join("\r\n")).as_bytes())?;
    let mut bytes = Vec::new();
    // a server may end without the last word of the protocol
    let _ = stream.read_to_end(&mut bytes);
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

#[test]
fn the_desk_is_encrypted_with_a_certificate_of_its_own() -> Checked {
    let dir = tempfile::tempdir()?;
    let shop = dir.path().join("shop");
    fs::create_dir(&shop)?;
    let keys = dir.path().join("keys");
    let keys = keys.to_str().ok_or("no name")?;
    let name = "desk.larkfield.example";
    let open = || Desk::open(&shop, &["--tls", keys, "--name", name]);
    let desk = open()?;
    let certificate = Path::new(keys).join("certificate.pem");
    let made = fs::read(&certificate)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(fs::metadata(Path::new(keys).join("key.pem"))?.permissions().mode() & 0o777, 0o600);
    }
    assert!(desk.printed().starts_with(&format!("https://{name}:")), "{}", desk.printed());
    let (_, host) = desk.at("").split_once("://").map(|(a, b)| (a.to_string(), b.to_string())).ok_or("no host")?;
    let (_, key) = desk.printed().split_once("/?").ok_or("no key")?;
    // by its name and by its number, both in the certificate
    let port = host.rsplit(':').next().unwrap_or_default();
    for (name, host) in [(name, host.clone()), ("127.0.0.1", format!("127.0.0.1:{port}"))] {
        let head = [format!("GET /?{key} HTTP/1.1"), format!("Host: {host}")];
        let answer = secret(&desk, &certificate, name, &head)?;
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
        assert!(answer.to_ascii_lowercase().contains("; secure"), "{answer}");
    }
    // nobody who talks in the open is answered
    let mut open_talk = TcpStream::connect(format!("127.0.0.1:{port}"))?;
    open_talk.write_all(format!("GET /?{key} HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes())?;
    let mut bytes = Vec::new();
    let _ = open_talk.read_to_end(&mut bytes);
    assert!(!String::from_utf8_lossy(&bytes).contains("303"));
    // the next run has the same certificate: phones need not be asked again
    desk.kill()?;
    drop(open()?);
    assert_eq!(fs::read(&certificate)?, made);
    // half of a pair is told, not made anew over
    fs::remove_file(Path::new(keys).join("key.pem"))?;
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoistnote"));
    let output = command.arg("desk").arg(&shop).args(["--tls", keys]).output()?;
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.code() == Some(1) && told.contains("certificate.pem and key.pem"), "{told}");
    assert_eq!(fs::read(&certificate)?, made);
    Ok(())
}
