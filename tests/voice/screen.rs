//! What a technician sees while talking.

use hoistnote::dictation::read;
use hoistnote::interpretation::{Interpreter, Settings};
use hoistnote::lexicon::Lexicon;
use hoistnote::review::coverage;
use hoistnote::voice::{Moment, growth, screen};
use textwrap::core::display_width;

use super::Checked;

const DEMO: &str = include_str!("../../samples/demo-walkaround.vtt");

/// The demo up to so many captions, on a screen of this size.
fn shown(captions: usize, columns: usize, rows: usize) -> Result<Vec<String>, Box<dyn std::error::Error>> {
    let interpreter = Interpreter::new(Lexicon::builtin()?);
    let at = |n: usize| -> Result<_, Box<dyn std::error::Error>> {
        let text: Vec<&str> = DEMO.split("\n\n").take(n + 2).collect();
        Ok(interpreter.document(&read("walk.vtt", text.join("\n\n").as_bytes())?, Settings::default()))
    };
    let (before, now) = (at(captions - 1)?, at(captions)?);
    let gaps = coverage(&now, interpreter.lexicon());
    let moment = Moment {
        document: &now,
        news: &growth(Some(&before), &now),
        gaps: gaps.as_ref(),
        soon: "and it stays here un",
        last: now.utterances.last().map_or("", |u| u.text.as_str()),
        kept: captions,
        now_ms: 64_000,
    };
    Ok(screen(&moment, columns, rows))
}

#[test]
fn the_middle_of_the_demo() -> Checked {
    let lines = shown(22, 80, 36)?;
    insta::with_settings!({snapshot_path => "../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("live_screen", lines.join("\n"));
    });
    Ok(())
}

/// However small or large the screen: nothing runs over its edge, and what was heard last is on it.
#[test]
fn screens_of_any_size() -> Checked {
    for (columns, rows) in [(30, 12), (40, 16), (80, 24), (100, 50), (200, 80)] {
        let lines = shown(25, columns, rows)?;
        assert!(lines.len() <= rows && lines.iter().all(|l| display_width(l) <= columns), "{columns} by {rows}");
        assert!(lines.iter().any(|l| l.starts_with('"')), "{columns} by {rows}: {lines:?}");
    }
    Ok(())
}
