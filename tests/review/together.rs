//! What was said and what was typed at one visit, put together.

use hoistnote::dictation;
use hoistnote::interpretation::Settings;
use hoistnote::review::Extraction;

use super::{Checked, interpreter};

fn joined(files: &[(&str, &str)]) -> Result<Extraction, Box<dyn std::error::Error>> {
    let mut documents = Vec::new();
    for (name, text) in files {
        documents.push(interpreter().document(&dictation::read(name, text.as_bytes())?, Settings::default()));
    }
    Ok(Extraction::join("visit", documents, Vec::new()))
}

/// The findings, each with its part, its place and the lines it rests on.
fn findings(extraction: &Extraction) -> Vec<String> {
    let shown = |f: &hoistnote::findings::Finding| {
        let mut lines: Vec<usize> = f.evidence.iter().map(|e| e.utterance).collect();
        lines.sort_unstable();
        lines.dedup();
        let at: Vec<&str> = f.position.iter().map(|p| p.as_str()).collect();
        format!("{} {} {} {lines:?}", f.component.id, at.join(" "), f.verdict.as_str())
    };
    extraction.document.findings.iter().map(shown).collect()
}

fn vtt(lines: &[&str]) -> String {
    let cue = |(n, l): (usize, &&str)| format!("\n00:{:02}.000 --> 00:{:02}.000\n{l}\n", n * 5, n * 5 + 4);
    format!("WEBVTT\n{}", lines.iter().enumerate().map(cue).collect::<String>())
}

#[test]
fn a_finding_said_and_typed_is_one() -> Checked {
    let said = ["Left front. Brake pads are worn, they need replacing.", "Battery is fine."];
    let table: [(&str, &[&str]); 6] = [
        // the same again
        ("LF brake pads worn\n", &["brake-pad front left defect [1, 3]", "battery  sound [2]"]),
        // without its place
        ("brake pads worn\n", &["brake-pad front left defect [1, 3]", "battery  sound [2]"]),
        // with a figure
        ("LF brake pads 2 mm, replace\n", &["brake-pad front left defect [1, 3]", "battery  sound [2]"]),
        // elsewhere
        (
            "RF brake pads worn\n",
            &["brake-pad front left defect [1]", "battery  sound [2]", "brake-pad front right defect [3]"],
        ),
        // all four are more than the one
        (
            "brake pads worn on all four corners\n",
            &["brake-pad front left defect [1]", "battery  sound [2]", "brake-pad front rear left right defect [3]"],
        ),
        // the other way: both are shown
        ("battery is dead\n", &["brake-pad front left defect [1]", "battery  sound [2]", "battery  defect [3]"]),
    ];
    for (typed, wanted) in table {
        let e = joined(&[("walk.vtt", &vtt(&said)), ("notes.txt", typed)])?;
        assert_eq!(findings(&e), wanted, "{typed}");
        assert_eq!(e.source_of(3), "notes.txt");
    }
    Ok(())
}

#[test]
fn figures_that_differ_are_both_shown() -> Checked {
    let e =
        joined(&[("walk.vtt", &vtt(&["Left front brake pads are at 3 mm."])), ("notes.txt", "LF brake pads 4 mm\n")])?;
    assert_eq!(findings(&e).len(), 2);
    Ok(())
}

#[test]
fn notes_with_times_stand_among_the_words_by_time() -> Checked {
    let said = ["Left front. Brake pads are worn.", "The hose is cracked.", "Battery is fine."];
    let notes = "[0:01] unit 14\n[0:06] rr shock lkg\n[0:07] LF brake pads replace\n";
    let e = joined(&[("notes.txt", notes), ("walk.vtt", &vtt(&said))])?;
    let lines: Vec<(usize, Option<&str>, &str)> =
        e.document.utterances.iter().map(|u| (u.n, u.speaker.as_deref(), u.text.as_str())).collect();
    let wanted = [
        (1, None, said[0]),
        (2, Some("typed"), "unit 14"),
        (3, None, said[1]),
        (4, Some("typed"), "rr shock lkg"),
        (5, Some("typed"), "LF brake pads replace"),
        (6, None, said[2]),
    ];
    assert_eq!(lines, wanted);
    let found = findings(&e);
    assert!(found.contains(&"shock-absorber rear right defect [4]".to_string()), "{found:?}");
    // what was typed moves no corner of the talk
    assert!(found.iter().any(|f| f.starts_with("brake-hose front left") && f.ends_with("[3]")), "{found:?}");
    assert!(found.iter().any(|f| f.starts_with("brake-pad front left") && f.ends_with("[1, 5]")), "{found:?}");
    for f in &e.document.findings {
        for w in &f.evidence {
            assert_eq!(e.document.utterances[w.utterance - 1].text.get(w.start..w.end), Some(w.text.as_str()));
        }
    }
    Ok(())
}

/// Names tell which dictation notes were typed beside.
#[test]
fn notes_named_after_a_dictation_stand_among_its_words() -> Checked {
    let (a, b) = (vtt(&["Battery is fine."]), vtt(&["Horn works."]));
    let e = joined(&[("a.vtt", &a), ("b.vtt", &b), ("b notes.txt", "[0:01] rr shock lkg\n")])?;
    assert_eq!(e.sources, [("a.vtt".to_string(), 1), ("b.vtt".to_string(), 2)]);
    assert_eq!(e.document.utterances[2].text, "rr shock lkg");
    Ok(())
}

/// Two dictations have two clocks: nothing is put among their words.
#[test]
fn notes_with_times_stand_apart_where_there_are_two_dictations() -> Checked {
    let (a, b) = (vtt(&["Battery is fine."]), vtt(&["Horn works."]));
    let e = joined(&[("a.vtt", &a), ("b.vtt", &b), ("notes.txt", "[0:01] rr shock lkg\n[0:02] wipers torn\n")])?;
    let names: Vec<&str> = e.sources.iter().map(|s| s.0.as_str()).collect();
    assert_eq!(names, ["a.vtt", "b.vtt", "notes.txt"]);
    Ok(())
}
