//! Properties of the findings document that hold for any talk: nothing is quoted that was not said, nothing said is lost.

use hoistnote::dictation::{Dictation, read};
use hoistnote::findings::Document;
use hoistnote::interpretation::{Analysis, Settings};
use hoistnote::lexicon::Meaning;
use proptest::collection::vec;
use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::test_runner::Config;
use proptest::{prop_assert, proptest};

use super::must_hold::{INTERPRETER, nothing_is_lost, quotes_are_the_sources_own};

/// Phrases of one kind of meaning, so that rare kinds come up as often as parts do.
fn phrases(wanted: impl Fn(&Meaning) -> bool) -> Vec<&'static str> {
    let lexicon = INTERPRETER.lexicon();
    let meant = |n: &usize| lexicon.meanings[*n].iter().any(&wanted);
    (0..lexicon.phrases.len()).filter(meant).map(|n| &lexicon.phrases[n]).collect()
}

fn pick(from: Vec<&'static str>) -> impl Strategy<Value = String> {
    (0..from.len().max(1)).prop_map(move |n| from.get(n).copied().unwrap_or_default().to_string())
}

/// Words of talk: parts, places, signals, cues, corrections, numbers, codes, marks, and noise.
fn word() -> impl Strategy<Value = String> {
    let tails = [
        ".",
        ",",
        "?",
        "…",
        "\n",
        "\n",
        ". ",
        "; ",
        " — ",
        "and",
        "the",
        "it's",
        "one",
        "P 0 4 2 0",
        "p0128",
        "3 mm",
        "4/32",
        "11.4 volts",
        "make that 5",
        "scratch that",
        "no, sorry, right rear",
        "same on the other side",
        "the other one",
        "everything else is fine",
        "except the left",
        "A:",
        "both of them",
        "ditto",
    ];
    prop_oneof![
        4 => pick(phrases(|m| matches!(m, Meaning::Part { .. }))),
        3 => pick(phrases(|m| matches!(m, Meaning::Condition { .. } | Meaning::Sound { .. }))),
        2 => pick(phrases(|m| matches!(m, Meaning::Place { .. } | Meaning::Head))),
        2 => pick(phrases(|m| matches!(m, Meaning::Cue(_)))),
        1 => pick(phrases(|m| !matches!(m, Meaning::Part { .. } | Meaning::Cue(_)))),
        5 => (0..tails.len()).prop_map(move |n| tails[n].to_string()),
        1 => any::<u16>().prop_map(|n| n.to_string()),
        1 => "\\PC{0,6}",
        1 => Just("größe ½ ﬁ İ".to_string()),
    ]
}

fn talk() -> impl Strategy<Value = String> {
    vec((word(), prop_oneof![4 => Just(" "), 1 => Just("\n"), 1 => Just("")]), 0..60)
        .prop_map(|words| words.into_iter().flat_map(|(w, gap)| [w, gap.to_string()]).collect())
}

fn documented(text: &str) -> Option<(Dictation, Analysis, Document)> {
    let dictation = read("talk.txt", text.as_bytes()).ok()?;
    let analysis = INTERPRETER.analyse(&dictation, Settings::default());
    let document = INTERPRETER.document(&dictation, Settings::default());
    Some((dictation, analysis, document))
}

proptest! {
    #![proptest_config(Config { cases: 192, failure_persistence: None, ..Config::default() })]

    #[test]
    fn quotes_are_the_sources_own_bytes(text in talk()) {
        if let Some((dictation, _, document)) = documented(&text) {
            quotes_are_the_sources_own(&dictation, &document);
        }
    }

    #[test]
    fn nothing_said_is_lost(text in talk()) {
        if let Some((dictation, analysis, document)) = documented(&text) {
            nothing_is_lost(&dictation, &analysis, &document);
        }
    }

    #[test]
    fn what_is_withdrawn_is_shown(text in talk()) {
        if let Some((_, analysis, document)) = documented(&text) {
            let shown = |m: usize| {
                let name = &analysis.scene.components[analysis.scene.mentions[m].component].id;
                document.withdrawn.iter().any(|w| w.component.id == *name)
            };
            for (n, m) in analysis.scene.mentions.iter().enumerate() {
                prop_assert!(!m.withdrawn || shown(n));
            }
        }
    }
}

#[test]
fn a_place_taken_back_before_the_part_it_stands_for_is_read() {
    let text = "servicebrake air brake system\nround the back delete that same on the other side air brake system bead\n\
                air brake system air brake system air brake system drop a minute air brake system";
    let parted =
        documented(text).map(|(dictation, _, document)| (dictation.utterances.len(), document.utterances.len()));
    assert_eq!(parted, Some((3, 3)));
}
