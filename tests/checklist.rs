//! Points that nobody spoke of, and the lexicon data behind checklists, plain words and drawings.

use std::collections::BTreeSet;
use std::path::Path;

use hoistnote::checklist::{Missing, coverage};
use hoistnote::findings::Document;
use hoistnote::interpretation::Settings;
use hoistnote::lexicon::{ConditionId, Lexicon, Position};

use crate::phenomena::INTERPRETER;

type Checked = Result<(), Box<dyn std::error::Error>>;

fn lexicon() -> Result<&'static Lexicon, &'static str> {
    Ok(INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?.lexicon())
}

fn document(said: &str) -> Result<Document, Box<dyn std::error::Error>> {
    let dictation = hoistnote::dictation::read("case", said.as_bytes())?;
    let interpreter = INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?;
    Ok(interpreter.document(&dictation, Settings::default()))
}

/// What is missing of a point of the list for cars and vans.
fn missing(said: &str, point: &str) -> Result<Option<Missing>, Box<dyn std::error::Error>> {
    let list = lexicon()?.guidance.checklist("light").ok_or("no checklist light")?;
    assert!(list.point.iter().any(|p| p.name == point), "no point {point}");
    let gaps = coverage(&document(said)?, list).gaps;
    Ok(gaps.into_iter().find(|g| g.name == point).map(|g| g.missing))
}

#[test]
fn what_was_spoken_of_and_what_was_not() -> Checked {
    use Position::{Front, Rear};
    let pads = "pads, shoes or linings";
    let table = [
        ("The horn works.", "horn", None),
        ("The horn works.", "brake fluid", Some(Missing::All)),
        // bad or not checked is spoken of all the same: it stands among the findings
        ("The horn is broken.", "horn", None),
        ("I couldn't check the horn.", "horn", None),
        ("Front brake pads are thin.", pads, Some(Missing::At(vec![Rear]))),
        ("Rear brake shoes are fine.", pads, Some(Missing::At(vec![Front]))),
        ("Front brake pads are thin. Rear brake shoes are fine.", pads, None),
        ("Brake pads are thin.", pads, Some(Missing::PlaceNotSaid)),
        ("Left front brake pads are thin.", pads, Some(Missing::At(vec![Rear]))),
        ("Windshield wipers always wear out on these vans, they all do that.", "wipers", Some(Missing::OnlyGeneral)),
    ];
    for (said, point, expected) in table {
        assert_eq!(missing(said, point)?, expected, "{said} ({point})");
    }
    Ok(())
}

/// Nothing said of any part: every point is missing. And the counts add up.
#[test]
fn silence_covers_nothing() -> Checked {
    for list in &lexicon()?.guidance.checklists {
        let c = coverage(&document("Good morning.")?, list);
        assert_eq!((c.gaps.len(), c.points), (list.point.len(), list.point.len()));
        assert!(c.gaps.iter().all(|g| g.missing == Missing::All));
    }
    Ok(())
}

/// The lists name only parts that exist and say where their headings come from.
#[test]
fn checklists_name_only_parts_that_exist() -> Checked {
    let lexicon = lexicon()?;
    let lists = &lexicon.guidance.checklists;
    assert_eq!(lists.iter().map(|c| c.id.as_str()).collect::<Vec<_>>(), ["light", "heavy", "trailer"]);
    for list in lists {
        assert!(["2014/45/EU", "49 CFR 396"].iter().any(|s| list.source.contains(s)), "{}", list.source);
        for point in &list.point {
            assert!(!point.parts.is_empty(), "{}: {} can never be spoken of", list.id, point.name);
            for id in &point.parts {
                assert!(lexicon.part_by_id(id).is_some(), "{}: {}: no part {id}", list.id, point.name);
            }
        }
    }
    Ok(())
}

/// 2014/45/EU Annex I, headings 0 to 8 (9 is for buses); 49 CFR 396 Appendix A, groups 1 to 13 (14 is for buses, 15 for what
/// has a rear impact guard).
#[test]
fn headings_are_the_published_ones() -> Checked {
    let headings = |id: &str| -> Result<Vec<u32>, Box<dyn std::error::Error>> {
        let list = lexicon()?.guidance.checklist(id).ok_or("no such list")?;
        let mut numbers = Vec::new();
        for point in &list.point {
            numbers.push(point.heading.split(' ').next().ok_or("no number")?.parse()?);
        }
        assert!(numbers.is_sorted());
        numbers.dedup();
        Ok(numbers)
    };
    assert_eq!(headings("light")?, (0..=8).collect::<Vec<u32>>());
    assert_eq!(headings("heavy")?, (1..=13).collect::<Vec<u32>>());
    assert_eq!(headings("trailer")?, [1, 2, 5, 6, 8, 9, 10, 11, 15]);
    Ok(())
}

/// Every condition can be explained for any part, every system is explained and has its place on a drawing.
#[test]
fn plain_words_leave_nothing_out() -> Checked {
    let lexicon = lexicon()?;
    let guidance = &lexicon.guidance;
    for condition in ConditionId::ALL {
        let why = guidance.why_it_matters(*condition, "no-such-part", "no such system");
        assert!(why.is_some_and(|w| w.ends_with('.')), "{condition:?}");
    }
    let systems: BTreeSet<&str> = lexicon.parts.iter().map(|p| p.system.as_str()).collect();
    for system in systems {
        assert!(guidance.in_plain_words("no-such-part", system).is_some(), "{system} is not explained");
        assert!(guidance.seat("no-such-part", system).is_some(), "{system} has no place on a drawing");
    }
    Ok(())
}

/// Ids and systems in the files for handing over are those of parts; an entry that names none that exists would say nothing.
#[test]
fn entries_name_only_what_exists() -> Checked {
    let lexicon = lexicon()?;
    let systems: BTreeSet<&str> = lexicon.parts.iter().map(|p| p.system.as_str()).collect();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lexicon/handover");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let table: toml::Table = toml::from_str(&std::fs::read_to_string(&path)?)?;
        for entry in table.values().filter_map(toml::Value::as_array).flatten() {
            let list = |key: &str| entry.get(key).and_then(toml::Value::as_array).into_iter().flatten();
            for id in list("parts").filter_map(toml::Value::as_str) {
                assert!(lexicon.part_by_id(id).is_some(), "{}: no part {id}", path.display());
                seen += 1;
            }
            for system in list("within").filter_map(toml::Value::as_str) {
                assert!(systems.contains(system), "{}: no system {system}", path.display());
                seen += 1;
            }
        }
    }
    assert!(seen > 300, "the reading of the files found next to none: {seen}");
    Ok(())
}

/// The closest entry counts: by part before by system before for any; a shop's own, laid on top, before the built-in one.
#[test]
fn the_closest_entry_counts() -> Checked {
    let guidance = &lexicon()?.guidance;
    let why = |part: &str, system: &str| guidance.why_it_matters(ConditionId::Weak, part, system).unwrap_or_default();
    assert!(why("battery", "electrical").contains("battery"));
    assert!(why("brake-pedal", "brakes").contains("brakes"));
    assert!(!why("horn", "electrical").contains("battery"));
    let mut raw = hoistnote::lexicon::builtin()?;
    raw.add("ours.toml", "[[plain]]\nparts = [\"battery\"]\nis = \"the big box\"\n")?;
    let ours = Lexicon::compile(raw)?;
    assert_eq!(ours.guidance.in_plain_words("battery", "electrical"), Some("the big box"));
    Ok(())
}
