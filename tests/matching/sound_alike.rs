//! Tables of misheard and misspelt names, and of plain talk that must not become a part.

use std::sync::LazyLock;

use hoistnote::dictation::Utterance;
use hoistnote::lexicon::{Lexicon, builtin};
use hoistnote::matching::{How, Mentions, SoundIndex, find};
use hoistnote::text::{Token, tokenize, tokenize_line};
use proptest::prelude::*;

static TOOLS: LazyLock<Option<(Lexicon, SoundIndex)>> = LazyLock::new(|| {
    let lexicon = Lexicon::compile(builtin().ok()?).ok()?;
    let index = SoundIndex::build(&lexicon);
    Some((lexicon, index))
});

fn tools() -> &'static (Lexicon, SoundIndex) {
    let Some(tools) = &*TOOLS else { panic!("the built-in lexicon does not compile") };
    tools
}

fn matched(tokens: &[Token]) -> Mentions {
    let (lexicon, index) = tools();
    find(tokens, lexicon, index, false)
}

/// The sound-alikes of a line: part id and the words taken for it.
fn heard(line: &str) -> Vec<(String, String)> {
    let (lexicon, _) = tools();
    let tokens = tokenize_line(line, &lexicon.folding);
    let words = |first: usize, end: usize| line[tokens[first].span.start..tokens[end - 1].span.end].to_string();
    let parts = matched(&tokens).parts;
    let alike = parts.iter().filter(|p| p.score < 1.0);
    alike.map(|p| (lexicon.parts[p.parts[0]].id.clone(), words(p.first, p.end))).collect()
}

#[test]
fn misheard_names_are_found() {
    for (line, part, words) in [
        ("The break hose is split on the left", "brake-hose", "break hose"),
        ("Lord Balljoynt has a lot of play", "ball-joint", "Balljoynt"),
        ("Right front tired rod end is loose", "tie-rod-end", "tired rod end"),
        ("The cattle it converter rattles", "catalytic-converter", "cattle it converter"),
        ("Rear you joint is dry", "u-joint", "you joint"),
        ("Outer see V boot is torn", "cv-boot", "see V boot"),
        ("c v boot is torn", "cv-boot", "c v boot"),
        ("I checked the carry a bearing", "center-support-bearing", "carry a bearing"),
        ("intake man a fold is cracked", "intake-manifold", "intake man a fold"),
        ("king pen has no play", "kingpin", "king pen"),
        ("Viper blades are smearing", "wiper-blade", "Viper blades"),
        ("The cool ant is low", "coolant", "cool ant"),
        ("drag lynx is tight", "drag-link", "drag lynx"),
        ("The sub fame is rusted", "subframe", "sub fame"),
        ("The deferential leaks", "differential", "deferential"),
        ("e g r valve is sooted up", "egr-valve", "e g r valve"),
        ("hand break cable is stretched", "parking-brake-cable", "hand break cable"),
        ("the coal spring snapped", "coil-spring", "coal spring"),
        ("throttle bawdy is dirty", "throttle-body", "throttle bawdy"),
        ("front breaks are good", "brakes", "breaks"),
    ] {
        assert_eq!(heard(line), [(part.to_string(), words.to_string())], "{line}");
    }
}

#[test]
fn misspelt_names_are_found() {
    for (line, part, words) in [
        ("radaitor leaking", "radiator", "radaitor"),
        ("calibre seized", "brake-caliper", "calibre"),
        ("axel seal weeping", "axle-shaft-seal", "axel seal"),
        ("brake shoos worn", "brake-shoe", "brake shoos"),
        ("alernator noisy", "alternator", "alernator"),
        ("serpantine belt cracked", "serpentine-belt", "serpantine belt"),
        ("transmision leaking", "transmission", "transmision"),
        ("thermastat stuck", "thermostat", "thermastat"),
        ("wheel baring noisy", "wheel-bearing", "wheel baring"),
        ("clutch peddle sticky", "clutch-pedal", "clutch peddle"),
        ("exaust manifold ticking", "exhaust-manifold", "exaust manifold"),
    ] {
        assert_eq!(heard(line), [(part.to_string(), words.to_string())], "{line}");
    }
}

#[test]
fn plain_talk_is_left_alone() {
    for line in [
        "That's the boot of the problem",
        "We should seal the deal",
        "I'm a big fan of unit 14",
        "give me a break and let's break for lunch",
        "he breaks everything he touches",
        "the front breaks off",
        "before you bolt it up",
        "I see clips everywhere",
        "both struts are fine",
        "both latch and lock",
        "clean the whole knuckle",
        "he leaned his whole weight on the bar",
        "unit 9 is an electric van",
        "the battery tested good",
        "the spark plugs were done last year",
        "the transmission has its own cooler",
        "have a look at how the spring sits",
        "the door beeps at me",
        "a sweaty cover on the bench",
        "you can see the air bag from here",
        "put a seal on the order",
        "if the transfer case ever howls",
        "the brakes held fine on the slope",
        "unit 14 has the long wheelbase",
        "liver and onions, petals on the lawn",
        "down to two milly meters",
        "slow motor, big filter, forty dollar hose",
        "someone left a jack under a lift",
        "that is not a see for yourself job",
        "clean it with a rag",
        "time will tell, wait and see",
    ] {
        assert_eq!(heard(line), [], "{line}");
    }
}

#[test]
fn places_stay_outside() {
    assert_eq!(heard("left break hose"), [("brake-hose".to_string(), "break hose".to_string())]);
    assert_eq!(heard("break hose right"), [("brake-hose".to_string(), "break hose".to_string())]);
}

#[test]
fn marks_part_and_line_ends_do_not() {
    let (lexicon, _) = tools();
    assert_eq!(heard("we take a break. Hose clamp is fine"), []);
    let line = |text: &str| Utterance { text: text.into(), ..Utterance::default() };
    let tokens = tokenize(&[line("and the drag"), line("lynx is tight")], &lexicon.folding);
    let parts = matched(&tokens).parts;
    assert!(parts.iter().any(|p| p.how == How::SoundAlike && lexicon.parts[p.parts[0]].id == "drag-link"));
}

#[test]
fn very_words_keep_their_part() {
    for line in ["brake hose", "tie rod end", "coolant", "wheel bearing", "wiper blades", "ball joint", "brake pedal"] {
        let (lexicon, _) = tools();
        let tokens = tokenize_line(line, &lexicon.folding);
        assert!(matched(&tokens).parts.iter().all(|p| p.score == 1.0), "{line}");
        assert_eq!(heard(line), [], "{line}");
    }
}

#[test]
fn common_words_are_one_sorted_list() {
    let text = include_str!("../../lexicon/common.toml");
    let words: Vec<&str> = text.split('"').skip(1).step_by(2).collect();
    assert!(words.len() > 3000);
    for pair in words.windows(2) {
        assert!(pair[0] < pair[1], "{} {}", pair[0], pair[1]);
    }
    for trade in ["brake", "tire", "belt", "door", "axle", "hose", "body"] {
        assert!(!words.contains(&trade), "{trade}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any text: no panic, and the parts stay in order without overlap.
    #[test]
    fn any_text_is_survived(line in "\\PC{0,120}") {
        check(&line)?;
    }

    #[test]
    fn any_jumble_is_survived(line in "([a-zéßœ0-9/']{1,9}[ .,-]){0,30}") {
        check(&line)?;
    }
}

fn check(line: &str) -> Result<(), TestCaseError> {
    let (lexicon, _) = tools();
    let tokens = tokenize_line(line, &lexicon.folding);
    let parts = matched(&tokens).parts;
    for p in &parts {
        prop_assert!(p.first < p.end && p.end <= tokens.len() && p.score > 0.0 && p.score <= 1.0);
    }
    for pair in parts.windows(2) {
        prop_assert!(pair[0].end <= pair[1].first);
    }
    Ok(())
}
