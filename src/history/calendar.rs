//! Owns follow-ups as a calendar: RFC 5545. What is due on a day is an event of that day, so that every calendar shows it; what is due
//! by distance is a to-do without a day.

use sha2::{Digest, Sha256};

use super::follow_up::FollowUp;

/// RFC 5545, 3.1: lines should not be longer, not counting their end.
const OCTETS: usize = 75;

/// The follow-ups as one calendar object.
pub fn calendar(follow_ups: &[FollowUp]) -> String {
    let mut out = Lines::default();
    out.put("BEGIN", "VCALENDAR");
    out.put("VERSION", "2.0");
    out.put("PRODID", "-//hoistnote//follow-ups//EN");
    out.put("CALSCALE", "GREGORIAN");
    for f in follow_ups {
        let kind = if f.day().is_some() { "VEVENT" } else { "VTODO" };
        out.put("BEGIN", kind);
        out.put("UID", &uid(f));
        out.put("DTSTAMP", &stamp(&f.answered));
        if let Some(day) = f.day() {
            out.put("DTSTART;VALUE=DATE", &day.strftime("%Y%m%d").to_string());
            out.put("TRANSP", "TRANSPARENT");
        }
        out.put("SUMMARY", &escaped(&format!("Ask again: {}", f.title())));
        let mut lines = vec![format!("{}; due {}", f.facts(), f.when())];
        lines.extend(f.words.iter().map(|w| format!("\"{w}\"")));
        lines.push(format!("inspection {}, finding {}", f.inspection, f.finding));
        out.put("DESCRIPTION", &escaped(&lines.join("\n")));
        out.put("END", kind);
    }
    out.put("END", "VCALENDAR");
    out.text
}

/// The same for the same finding of the same inspection, so that a calendar that is read again shows it once.
fn uid(f: &FollowUp) -> String {
    let digest = Sha256::digest(format!("{}\n{}", f.inspection, f.finding));
    let hex: String = digest.iter().take(12).map(|b| format!("{b:02x}")).collect();
    format!("{hex}@hoistnote")
}

/// "2026-11-25T12:30:00.5Z" as "20261125T123000Z".
fn stamp(answered: &str) -> String {
    let time = answered.parse::<jiff::Timestamp>().unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    time.strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// RFC 5545, 3.3.11: backslash, semicolon, comma and line ends; other control characters are not allowed at all.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[derive(Default)]
struct Lines {
    text: String,
}

impl Lines {
    /// One content line, folded between characters.
    fn put(&mut self, name: &str, value: &str) {
        let mut room = OCTETS;
        for c in format!("{name}:{value}").chars() {
            if c.len_utf8() > room {
                self.text.push_str("\r\n ");
                room = OCTETS - 1;
            }
            room -= c.len_utf8();
            self.text.push(c);
        }
        self.text.push_str("\r\n");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 5545, 3.3.11 and 3.1.
    #[test]
    fn text_is_escaped_and_folded_as_the_rfc_has_it() {
        let said = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.";
        assert_eq!(escaped(said), "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.");
        assert_eq!(escaped("a;b,c\\d"), "a\\;b\\,c\\\\d");
        let mut lines = Lines::default();
        lines.put("DESCRIPTION", &"ä".repeat(100));
        for line in lines.text.split("\r\n") {
            assert!(line.len() <= OCTETS, "{} octets", line.len());
        }
        let unfolded = lines.text.replace("\r\n ", "");
        assert_eq!(unfolded, format!("DESCRIPTION:{}\r\n", "ä".repeat(100)));
    }

    #[test]
    fn times_are_written_in_basic_form() {
        assert_eq!(stamp("2026-11-25T12:30:00.5Z"), "20261125T123000Z");
    }
}
