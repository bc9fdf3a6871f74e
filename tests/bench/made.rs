//! What the benches measure with: timing, and made-up talk and words.

use std::time::{Duration, Instant};

use hoistnote::lexicon::Lexicon;

/// The best of some rounds.
pub fn best<T>(rounds: usize, mut run: impl FnMut() -> T) -> Duration {
    (0..rounds)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(run());
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}

/// Milliseconds.
pub fn ms(d: Duration) -> f64 {
    d.as_secs_f64() * 1e3
}

/// An invented inspection: parts of the whole lexicon in plain sentences, some words misspelt.
pub fn inspection(lexicon: &Lexicon, words: usize) -> String {
    const SAYINGS: [&str; 12] = [
        "is leaking, that wants replacing soon",
        "looks fine to me",
        "is worn right down, about three millimetres left",
        "has a bit of play in it but I would leave it for now",
        "could not be seen with the cover on",
        "was done last time we had unit 14 in",
        "is cracked all the way round",
        "seems good, no noise, no movement",
        "is loose and it rattles when you shake it",
        "measures 12.4 volts so that one passes",
        "is rusty where it meets the bracket",
        "needs an eye kept on it",
    ];
    const OPENINGS: [&str; 6] =
        ["okay so the", "then the left front", "moving on to the", "up here the", "and the rear", "now the other"];
    let mut seed: u64 = 14;
    let mut pick = |n: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % n
    };
    let mut out = String::new();
    let mut count = 0;
    while count < words {
        let mut name = lexicon.parts[pick(lexicon.parts.len())].name.clone();
        if pick(8) == 0 && name.len() > 6 && name.is_ascii() {
            name.remove(2);
        }
        let line = format!("{} {name} {}.\n", OPENINGS[pick(OPENINGS.len())], SAYINGS[pick(SAYINGS.len())]);
        count += line.split_whitespace().count();
        out.push_str(&line);
    }
    out
}

/// Parts of a lexicon that must not hurt.
pub const MANY: usize = 50_000;

/// A shop's file with so many parts: invented names of words of four syllables, each with two nicknames.
pub fn many_parts(count: usize) -> String {
    const SYLLABLES: [&str; 20] = [
        "bra", "clo", "dri", "fen", "gor", "hul", "jin", "kel", "lom", "mur", "nat", "pil", "quo", "ras", "sil", "tun",
        "vor", "wex", "yad", "zem",
    ];
    const HEADS: [&str; 8] = ["bracket", "valve", "pump", "hose", "sensor", "cover", "lever", "plate"];
    let word = |n: usize| {
        format!(
            "{}{}{}{}",
            SYLLABLES[n % 20],
            SYLLABLES[n / 20 % 20],
            SYLLABLES[n / 400 % 20],
            SYLLABLES[n / 8_000 % 20]
        )
    };
    let mut out = String::from("system = \"many\"\n");
    for n in 0..count {
        let (a, b, c, head) = (word(n), word(n * 7 + 3), word(n * 13 + 5), HEADS[n % 8]);
        out.push_str(&format!(
            "[[part]]\nid = \"many-{n}\"\nname = \"{a} {b} {head}\"\nalso = [\"{a} {head} {c}\", \"{b} {a} unit\"]\n"
        ));
    }
    out
}
