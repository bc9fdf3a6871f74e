//! Who may ask for what, and what nobody gets. Each rule is broken once here.

use std::fs;

use serde_json::json;

use super::{Checked, NOTES, Server};

fn depot() -> std::io::Result<tempfile::TempDir> {
    let dir = tempfile::tempdir()?;
    fs::create_dir_all(dir.path().join("depot/unit-14/photos"))?;
    fs::write(dir.path().join("depot/unit-14/notes.txt"), NOTES)?;
    fs::write(dir.path().join("depot/unit-14/walk.wav"), (0..=255).collect::<Vec<u8>>())?;
    fs::write(dir.path().join("depot/unit-14/photos/a.png"), b"\x89PNG")?;
    fs::write(dir.path().join("secret.wav"), b"secret")?;
    fs::create_dir(dir.path().join("elsewhere"))?;
    fs::write(dir.path().join("elsewhere/notes.txt"), "secret talk\n")?;
    Ok(dir)
}

fn opened(dir: &tempfile::TempDir) -> Result<Server, Box<dyn std::error::Error>> {
    Server::open(&dir.path().join("depot"), &[])
}

/// The printed address gives a cookie that scripts can't read and other sites' requests don't carry; then the key is gone from it.
#[test]
fn the_key_becomes_a_cookie() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    let path = s.address().split_once(&s.host).map(|(_, p)| p.to_string()).unwrap_or_default();
    let answer = s.raw(&[&format!("GET {path} HTTP/1.1"), &format!("Host: {}", s.host)], b"")?;
    assert_eq!((answer.status, answer.header("location")), (303, Some("/")));
    let cookie = answer.header("set-cookie").unwrap_or_default();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let wrong = s.raw(&["GET /?key=00 HTTP/1.1", &format!("Host: {}", s.host)], b"")?;
    assert_eq!((wrong.status, wrong.header("set-cookie")), (403, None));
    Ok(())
}

#[test]
fn without_the_secret_there_is_nothing() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    for path in
        ["/", "/assets/desk.css", "/inspection/unit-14", "/inspection/unit-14/file/walk.wav", "/parts?q=b", "/changes"]
    {
        let answer = s.raw(&[&format!("GET {path} HTTP/1.1"), &format!("Host: {}", s.host)], b"")?;
        assert_eq!(answer.status, 403, "{path}");
        let other = "Cookie: hoistnote-1=0; other=1";
        assert_eq!(s.raw(&[&format!("GET {path} HTTP/1.1"), &format!("Host: {}", s.host), other], b"")?.status, 403);
        assert_eq!(s.get(path)?.status, 200, "{path}");
    }
    Ok(())
}

/// DNS rebinding: a name of somebody else that points here is not answered to, even with the cookie.
#[test]
fn other_names_are_not_answered_to() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    let port = s.host.rsplit(':').next().unwrap_or_default();
    let cookie = format!("Cookie: {}", s.cookie());
    for (host, status) in [
        (format!("rebound.example:{port}"), 421),
        (format!("127.0.0.1.example:{port}"), 421),
        ("127.0.0.1:1".to_string(), 421),
        ("127.0.0.1".to_string(), 421),
        (format!("192.168.0.1:{port}"), 421),
        (format!("localhost:{port}"), 200),
        (format!("[::1]:{port}"), 200),
    ] {
        let answer = s.raw(&["GET / HTTP/1.1", &format!("Host: {host}"), &cookie], b"")?;
        assert_eq!(answer.status, status, "{host}");
    }
    let twice = s.raw(&["GET / HTTP/1.1", &format!("Host: {}", s.host), "Host: rebound.example", &cookie], b"")?;
    assert!(matches!(twice.status, 400 | 421), "{}", twice.status);
    Ok(())
}

/// A change needs the secret, the token and its own origin; what lacks one of them changes nothing.
#[test]
fn a_change_needs_everything() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    let reading = s.reading("unit-14")?;
    let body = json!({"revision": 0, "reading": reading, "edit": {"do": "pass_words", "line": 1}}).to_string();
    let cookie = format!("Cookie: {}", s.cookie());
    let token = format!("x-hoistnote-token: {}", s.token);
    let origin = format!("Origin: http://{}", s.host);
    let table: [(&str, Vec<&str>); 8] = [
        ("no cookie", vec![&token, &origin]),
        ("no token", vec![&cookie, &origin]),
        ("another token", vec![&cookie, &origin, "x-hoistnote-token: 00"]),
        ("no origin", vec![&cookie, &token]),
        ("origin of somebody else", vec![&cookie, &token, "Origin: http://rebound.example"]),
        ("opaque origin", vec![&cookie, &token, "Origin: null"]),
        ("origin of another port", vec![&cookie, &token, "Origin: http://127.0.0.1:1"]),
        ("sent by another site", vec![&cookie, &token, &origin, "Sec-Fetch-Site: same-site"]),
    ];
    for path in ["/inspection/unit-14/decide", "/teach"] {
        for (what, headers) in &table {
            assert_eq!(s.post_with(path, headers, body.as_bytes())?.status, 403, "{what}");
        }
    }
    assert!(!dir.path().join("depot/unit-14/decisions.ndjson").exists());
    assert_eq!(s.post_with("/inspection/unit-14/decide", &[&cookie, &token, &origin], body.as_bytes())?.status, 200);
    Ok(())
}

#[test]
fn every_answer_carries_the_headers() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    for path in ["/", "/inspection/unit-14", "/assets/review.js", "/nowhere", "/inspection/unit-14/file/walk.wav"] {
        let answer = s.get(path)?;
        let policy = answer.header("content-security-policy").unwrap_or_default();
        assert!(policy.starts_with("default-src 'none'; script-src 'self'; style-src 'self'"), "{path}: {policy}");
        assert!(
            !policy.contains("unsafe") && !policy.contains('*') && policy.contains("frame-ancestors 'none'"),
            "{policy}"
        );
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"), "{path}");
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"), "{path}");
        assert_eq!(answer.header("x-frame-options"), Some("DENY"), "{path}");
    }
    Ok(())
}

#[test]
fn no_path_leads_out_of_the_folder() -> Checked {
    let dir = depot()?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        let depot = dir.path().join("depot");
        symlink(dir.path().join("secret.wav"), depot.join("unit-14/link.wav"))?;
        symlink(dir.path().join("elsewhere"), depot.join("elsewhere"))?;
        symlink(dir.path().join("elsewhere/notes.txt"), depot.join("unit-14/linked.txt"))?;
        symlink(dir.path(), depot.join("unit-14/photos/up"))?;
    }
    let s = opened(&dir)?;
    for path in [
        "/inspection/unit-14/file/../../secret.wav",
        "/inspection/unit-14/file/..%2f..%2fsecret.wav",
        "/inspection/unit-14/file/%2e%2e/%2e%2e/secret.wav",
        "/inspection/unit-14/file//etc/passwd",
        "/inspection/unit-14/file/%2fetc%2fpasswd",
        "/inspection/unit-14/file/link.wav",
        "/inspection/unit-14/file/photos/up/secret.wav",
        "/inspection/unit-14/file/notes.txt",
        "/inspection/unit-14/file/decisions.ndjson",
        "/inspection/elsewhere",
        "/inspection/..",
        "/inspection/%2e%2e",
        "/inspection/..%2felsewhere",
        "/inspection/.",
        "/inspection/%00",
        "/assets/..%2f..%2fCargo.toml",
    ] {
        let answer = s.get(path)?;
        assert!(matches!(answer.status, 400 | 404), "{path}: {}", answer.status);
        assert!(!answer.text().contains("secret"), "{path}");
    }
    let page = s.get("/inspection/unit-14")?.text();
    assert!(!page.contains("secret talk") && !page.contains("link.wav"), "a link was followed");
    assert!(s.get("/")?.text().contains("elsewhere: a link, not followed"));
    Ok(())
}

/// A recording is played from the middle: RFC 9110, section 14.
#[test]
fn recordings_come_in_ranges() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    let path = "/inspection/unit-14/file/walk.wav";
    let whole = s.get(path)?;
    assert_eq!((whole.status, whole.body.len(), whole.header("accept-ranges")), (200, 256, Some("bytes")));
    let table: [(&str, u16, &[u8]); 5] = [
        ("bytes=10-12", 206, &[10, 11, 12]),
        ("bytes=254-", 206, &[254, 255]),
        ("bytes=-1", 206, &[255]),
        ("bytes=250-900", 206, &[250, 251, 252, 253, 254, 255]),
        ("bytes=256-", 416, &[]),
    ];
    for (range, status, bytes) in table {
        let answer = s.get_with(path, &[&format!("Range: {range}")])?;
        assert_eq!(answer.status, status, "{range}");
        if status == 206 {
            assert_eq!(answer.body, bytes, "{range}");
        }
    }
    assert_eq!(s.get_with(path, &["Range: bytes=10-12"])?.header("content-range"), Some("bytes 10-12/256"));
    Ok(())
}

#[test]
fn too_much_is_refused() -> Checked {
    let dir = depot()?;
    let s = opened(&dir)?;
    let long = json!({"revision": 0, "reading": "", "edit": {"do": "note", "id": "x", "text": "x".repeat(100_000)}});
    assert_eq!(s.post("/inspection/unit-14/decide", &long)?.status, 413);
    let odd =
        [json!({}), json!([1]), json!({"revision": -1, "edit": {}}), json!({"revision": 0, "edit": {"do": "rm"}})];
    for body in odd {
        let status = s.post("/inspection/unit-14/decide", &body)?.status;
        assert!(matches!(status, 400 | 422), "{body}: {status}");
    }
    let huge = dir.path().join("depot/unit-14/huge.txt");
    fs::File::create(&huge)?.set_len(17 << 20)?;
    assert!(s.get("/inspection/unit-14")?.text().contains("too many for a dictation"));
    Ok(())
}

/// Everything said or named is shown as text.
#[test]
fn nothing_said_becomes_markup() -> Checked {
    let dir = depot()?;
    let nasty = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>";
    fs::write(
        dir.path().join("depot/unit-14/notes.txt"),
        format!("unit 14\nbrake hose cracked {nasty} replace it\n{nasty} is leaking\n"),
    )?;
    let folder = dir.path().join("depot/<b onmouseover=alert(1)>x");
    fs::create_dir(&folder)?;
    fs::write(folder.join("a<script>.txt"), "battery ok\n")?;
    let s = opened(&dir)?;
    let page = s.get("/inspection/unit-14")?.text();
    let id = page.split("data-id=\"").nth(1).and_then(|r| r.split('"').next()).ok_or("no finding")?.to_string();
    let change = json!({"part": nasty, "wording": nasty});
    assert_eq!(s.decide("unit-14", 0, json!({"do": "correct", "id": id, "change": change}))?.status, 200);
    assert_eq!(s.decide("unit-14", 1, json!({"do": "note", "id": id, "text": nasty}))?.status, 200);
    for n in 1..=3 {
        s.decide("unit-14", n + 1, json!({"do": "pass_words", "line": n}))?;
    }
    for path in [
        "/",
        "/inspection/unit-14",
        "/inspection/unit-14/hand-over",
        "/inspection/unit-14/report.html",
        "/inspection/unit-14/work-list.html",
        "/inspection/%3Cb%20onmouseover=alert(1)%3Ex",
    ] {
        let answer = s.get(path)?;
        assert_eq!(answer.status, 200, "{path}");
        let text = answer.text().replace("<script src=\"/assets/", "");
        assert!(
            !text.contains("<script") && !text.contains("<img src=x") && !text.contains("<b onmouseover"),
            "{path}"
        );
    }
    Ok(())
}

/// A cell that a spreadsheet would run is defused (OWASP, CSV injection).
#[test]
fn cells_are_defused() -> Checked {
    let dir = depot()?;
    fs::write(dir.path().join("depot/unit-14/notes.txt"), "=1+2 brake hose cracked, replace it\n")?;
    let s = opened(&dir)?;
    let page = s.get("/inspection/unit-14")?.text();
    let id = page.split("data-id=\"").nth(1).and_then(|r| r.split('"').next()).ok_or("no finding")?.to_string();
    let change = json!({"part": "@SUM(A1)"});
    assert_eq!(s.decide("unit-14", 0, json!({"do": "correct", "id": id, "change": change}))?.status, 200);
    let csv = s.get("/inspection/unit-14/findings.csv")?;
    assert_eq!(csv.status, 200, "{}", csv.text());
    let text = csv.text();
    let cells: Vec<&str> = text.lines().skip(1).flat_map(|l| l.split(',')).map(|c| c.trim_matches('"')).collect();
    assert!(cells.contains(&"'@SUM(A1)") && cells.iter().any(|c| c.starts_with("'=1+2")), "{text}");
    assert!(!cells.iter().any(|c| c.starts_with(['=', '+', '@'])), "{text}");
    Ok(())
}
