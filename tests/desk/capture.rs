//! What the capture page sends, byte for byte: kept once, in its place, and nowhere else.

use std::fs;

use super::{Answer, Checked, Server};

fn send(s: &Server, path: &str, body: &[u8]) -> Result<Answer, Box<dyn std::error::Error>> {
    let token = format!("x-hoistnote-token: {}", s.token);
    let origin = format!("Origin: http://{}", s.host);
    s.post_with(path, &[&token, &origin, &format!("Cookie: {}", s.cookie())], body)
}

#[test]
fn pieces_of_a_recording_are_kept_once_and_without_gaps() -> Checked {
    let dir = tempfile::tempdir()?;
    let s = Server::open(dir.path(), &[])?;
    let piece = |at: usize, body: &[u8]| {
        send(&s, &format!("/inspection/unit%2014/piece?recording=20260302_101500&at={at}"), body)
    };
    // sent, sent again since the answer was lost, sent again longer, sent too early, sent with other bytes
    let table: [(usize, &[u8], u16, Option<u64>); 7] = [
        (0, b"abc", 200, Some(3)),
        (0, b"abc", 200, Some(3)),
        (3, b"def", 200, Some(6)),
        (3, b"defgh", 200, Some(8)),
        (9, b"x", 409, Some(8)),
        (2, b"zz", 422, None),
        (0, b"abc", 200, Some(8)),
    ];
    for (at, body, status, kept) in table {
        let answer = piece(at, body)?;
        assert_eq!(answer.status, status, "{at} {body:?}: {}", answer.text());
        if let Some(kept) = kept {
            assert_eq!(answer.json()?["kept"], kept, "{at} {body:?}");
        }
    }
    assert_eq!(fs::read(dir.path().join("unit 14/20260302_101500.webm"))?, b"abcdefgh");
    // what was answered is on the disk however the server ends
    s.kill()?;
    assert_eq!(fs::read(dir.path().join("unit 14/20260302_101500.webm"))?, b"abcdefgh");
    Ok(())
}

#[test]
fn notes_and_photos_are_kept_once() -> Checked {
    let dir = tempfile::tempdir()?;
    let s = Server::open(dir.path(), &[])?;
    let png = fs::read(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/samples/larkfield-depot/2026-03-02 unit 14/photos/20260302_101702.png"
    ))?;
    for _ in 0..2 {
        for (path, body) in [
            ("note", &b"spare wheel  missing\n"[..]),
            ("note?stamp=20260302_101500&seconds=67", b"LF brake pads 2 mm"),
            ("photo?stamp=20260302_101702", &png),
        ] {
            let answer = send(&s, &format!("/inspection/unit%2014/{path}"), body)?;
            assert_eq!(answer.status, 200, "{path}: {}", answer.text());
        }
    }
    let visit = dir.path().join("unit 14");
    assert_eq!(fs::read_to_string(visit.join("notes.txt"))?, "spare wheel missing\n");
    assert_eq!(fs::read_to_string(visit.join("20260302_101500 notes.txt"))?, "[0:01:07] LF brake pads 2 mm\n");
    assert_eq!(fs::read(visit.join("photos/20260302_101702.png"))?, png);
    assert_eq!(fs::read_dir(visit.join("photos"))?.count(), 1);
    let other = [&png[..], b"more"].concat();
    assert_eq!(send(&s, "/inspection/unit%2014/photo?stamp=20260302_101702", &other)?.status, 200);
    assert_eq!(fs::read_dir(visit.join("photos"))?.count(), 2);
    Ok(())
}

#[test]
fn nothing_is_written_anywhere_else_or_for_anybody_else() -> Checked {
    let dir = tempfile::tempdir()?;
    fs::create_dir(dir.path().join("shop"))?;
    fs::create_dir(dir.path().join("elsewhere"))?;
    let shop = dir.path().join("shop");
    #[cfg(unix)]
    std::os::unix::fs::symlink(dir.path().join("elsewhere"), shop.join("link"))?;
    let s = Server::open(&shop, &[])?;
    let table = [
        ("/inspection/..%2Felsewhere/note", &b"x"[..]),
        ("/inspection/..%5Celsewhere/note", b"x"),
        ("/inspection/.hidden/note", b"x"),
        ("/inspection/a%00b/note", b"x"),
        #[cfg(unix)]
        ("/inspection/link/note", b"x"),
        ("/inspection/v/piece?recording=..%2F..%2Fpwned000&at=0", b"x"),
        ("/inspection/v/piece?recording=20260302_101500&at=9999999999999", b"x"),
        ("/inspection/v/photo?stamp=20260302_101500", b"<svg onload=alert(1)>"),
        ("/inspection/v/note?stamp=x&seconds=3", b"x"),
        ("/inspection/v/note", b"  \n "),
    ];
    for (path, body) in table {
        let answer = send(&s, path, body)?;
        assert_eq!(answer.status, 422, "{path}: {}", answer.text());
    }
    for more in [vec![], vec![format!("Cookie: {}", s.cookie()), format!("Origin: http://{}", s.host)]] {
        let more: Vec<&str> = more.iter().map(String::as_str).collect();
        assert_eq!(s.post_with("/inspection/v/note", &more, b"x")?.status, 403);
    }
    assert_eq!(fs::read_dir(dir.path().join("elsewhere"))?.count(), 0);
    let written: Vec<_> =
        walkdir::WalkDir::new(&shop).into_iter().flatten().filter(|e| e.file_type().is_file()).collect();
    assert!(written.iter().all(|e| e.metadata().is_ok_and(|m| m.len() == 0)), "{written:?}");
    Ok(())
}
