//! The file of decisions.

use std::fs;

use hoistnote::review::{Decision, Entry, LOG_NAME, Line, Log, LogError};
use serde_json::json;

use super::Checked;

fn note(n: usize) -> Line {
    Line { when: format!("2026-03-02T10:15:{:02}Z", n % 60), decision: Decision::Undo { line: n } }
}

#[test]
fn lines_come_back_as_they_were_written() -> Checked {
    let dir = tempfile::tempdir()?;
    let log = Log::of(dir.path());
    assert_eq!(log.read()?.revision(), 0);
    for n in 0..3 {
        assert_eq!(log.append(n, &note(n))?.revision(), n + 1);
    }
    let entries = log.read()?.entries;
    assert_eq!(entries, (0..3).map(|n| Entry::Decision(Box::new(note(n)))).collect::<Vec<_>>());
    Ok(())
}

/// Two writers: the second is told, and shown what there is.
#[test]
fn who_has_not_seen_the_last_line_writes_nothing() -> Checked {
    let dir = tempfile::tempdir()?;
    let log = Log::of(dir.path());
    log.append(0, &note(1))?;
    match log.append(0, &note(2)) {
        Err(LogError::Changed { seen: 0, now }) => assert_eq!(now.revision(), 1),
        other => panic!("{other:?}"),
    }
    assert_eq!(log.read()?.revision(), 1);
    Ok(())
}

/// Lines that belong together are all there or none of them.
#[test]
fn several_lines_are_written_together() -> Checked {
    let dir = tempfile::tempdir()?;
    let log = Log::of(dir.path());
    assert_eq!(log.append_all(0, &[note(1), note(2)])?.revision(), 2);
    assert!(matches!(log.append_all(1, &[note(3), note(4)]), Err(LogError::Changed { .. })));
    let entries = log.read()?.entries;
    assert_eq!(entries, (1..3).map(|n| Entry::Decision(Box::new(note(n)))).collect::<Vec<_>>());
    Ok(())
}

#[test]
fn many_writers_at_once_lose_nothing() -> Checked {
    let dir = tempfile::tempdir()?;
    let saved: usize = std::thread::scope(|scope| {
        let writer = |_| {
            scope.spawn(|| {
                let log = Log::of(dir.path());
                let seen = |n: usize| log.read().map_or(n, |c| c.revision());
                (0..25).filter(|n| log.append(seen(*n), &note(*n)).is_ok()).count()
            })
        };
        let writers: Vec<_> = (0..4).map(writer).collect();
        writers.into_iter().map(|w| w.join().unwrap_or_default()).sum()
    });
    let contents = Log::of(dir.path()).read()?;
    assert_eq!((contents.revision(), contents.torn), (saved, None));
    assert!(contents.entries.iter().all(|e| matches!(e, Entry::Decision(_))) && saved >= 25);
    Ok(())
}

#[test]
fn a_torn_last_line_is_set_aside_and_told() -> Checked {
    let dir = tempfile::tempdir()?;
    let log = Log::of(dir.path());
    log.append(0, &note(1))?;
    let mut text = fs::read_to_string(log.path())?;
    text.push_str("{\"when\":\"2026-03-02T1");
    fs::write(log.path(), &text)?;
    let contents = log.read()?;
    assert_eq!((contents.revision(), contents.torn.as_deref()), (1, Some("{\"when\":\"2026-03-02T1")));
    let contents = log.append(1, &note(2))?;
    assert_eq!((contents.revision(), contents.torn), (2, None));
    assert_eq!(fs::read_to_string(dir.path().join("decisions.torn"))?, "{\"when\":\"2026-03-02T1\n");
    assert_eq!(log.read()?.revision(), 2);
    Ok(())
}

/// Lines that others write into the same log are kept and count as lines.
#[test]
fn lines_of_other_kinds_are_kept() -> Checked {
    let dir = tempfile::tempdir()?;
    let log = Log::of(dir.path());
    let other =
        json!({"when": "2026-03-02T10:15:00Z", "what": "decline", "finding": {"id": "3f9a"}, "until": "two weeks"});
    log.append(0, &other)?;
    log.append(1, &note(1))?;
    let mut text = fs::read_to_string(log.path())?;
    text.push_str("garbage\n{\"when\":\"2026-03-02T10:15:00Z\",\"what\":\"accept\"}\n");
    fs::write(log.path(), text)?;
    let mut entries = log.read()?.entries;
    assert!(matches!(entries.pop(), Some(Entry::Unreadable(_))), "a damaged decision is told, not passed by");
    assert_eq!(entries.first(), Some(&Entry::Other(other)));
    assert_eq!(entries.last(), Some(&Entry::Unreadable("garbage".into())));
    assert_eq!(log.append(4, &note(3))?.revision(), 5);
    Ok(())
}

/// No kind of decision is taken for one of somebody else's when it is damaged. The kinds are those that reading knows of.
#[test]
fn a_damaged_decision_of_any_kind_is_told() -> Checked {
    let unknown = serde_json::from_value::<Line>(json!({"when": "", "what": "?"}));
    let known = unknown.err().ok_or("any kind is read")?.to_string();
    let kinds: Vec<&str> = known.split('`').skip(3).step_by(2).collect();
    assert!(kinds.len() > 10 && kinds.contains(&"pass_over"), "{known}");
    for kind in kinds {
        let damaged = json!({"when": "2026-03-02T10:15:00Z", "what": kind}).to_string();
        assert_eq!(Entry::parse(&damaged), Entry::Unreadable(damaged));
    }
    Ok(())
}

/// A link in place of the log would make the program write elsewhere.
#[cfg(unix)]
#[test]
fn a_link_is_not_written_through() -> Checked {
    let dir = tempfile::tempdir()?;
    let elsewhere = dir.path().join("elsewhere");
    fs::write(&elsewhere, "untouched")?;
    std::os::unix::fs::symlink(&elsewhere, dir.path().join(LOG_NAME))?;
    let log = Log::of(dir.path());
    assert!(log.append(0, &note(1)).is_err() && log.read().is_err());
    assert_eq!(fs::read_to_string(elsewhere)?, "untouched");
    Ok(())
}

/// Everything a disk may hold reads as something.
#[test]
fn no_bytes_make_a_log_unreadable() -> Checked {
    let dir = tempfile::tempdir()?;
    let log = Log::of(dir.path());
    for bytes in [&b"\0\0\0\n\xff\xfe\n{}\n[1]\n"[..], b"", b"\n\n\n", b"{\"what\":\"accept\"}\n", b"\xff"] {
        fs::write(log.path(), bytes)?;
        let seen = log.read()?.revision();
        assert_eq!(log.append(seen, &note(1))?.revision(), seen + 1);
    }
    Ok(())
}
