//! Owns the sound of words: letters and digits spelled as they are said, and keys that are equal for words that sound alike.

use std::borrow::Cow;

use rphonetic::DoubleMetaphone;

/// Names of the letters a to z, as a recogniser that hears them as words writes them.
const LETTERS: [&str; 26] = [
    "ay",
    "bee",
    "see",
    "dee",
    "ee",
    "ef",
    "gee",
    "aitch",
    "eye",
    "jay",
    "kay",
    "el",
    "em",
    "en",
    "o",
    "pee",
    "cue",
    "are",
    "es",
    "tee",
    "you",
    "vee",
    "doubleyou",
    "ex",
    "why",
    "zee",
];
const DIGITS: [&str; 10] = ["o", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
/// Two consonants that may close a short word; other pairs make it an abbreviation that is spelled out (`egr`, `obd`).
const CLOSINGS: [&str; 36] = [
    "ck", "ct", "dd", "ff", "ft", "gg", "ld", "lf", "lk", "ll", "lm", "lp", "lt", "mp", "nd", "ng", "nk", "nt", "pt",
    "rb", "rc", "rd", "rk", "rm", "rn", "rp", "rt", "sh", "sk", "sp", "ss", "st", "th", "tt", "xt", "zz",
];

/// Two consonants that may open a short word; with others it is spelled out (`pto`).
const OPENINGS: [&str; 31] = [
    "bl", "br", "ch", "cl", "cr", "dr", "fl", "fr", "gl", "gn", "gr", "kn", "ph", "pl", "pr", "sc", "sh", "sk", "sl",
    "sm", "sn", "sp", "sq", "st", "sw", "th", "tr", "tw", "wh", "wr", "ts",
];

/// The letters of a word as it is said: `cv` → `seevee`, `o2` → `otwo`, `axle` → `axle`. Anything but letters is left out.
pub(super) fn spoken(word: &str) -> Cow<'_, str> {
    if word.bytes().all(|b| b.is_ascii_lowercase()) && !is_spelled(word) {
        return Cow::Borrowed(word);
    }
    let mut out = String::new();
    match word {
        "10" => out.push_str("ten"),
        "11" => out.push_str("eleven"),
        "12" => out.push_str("twelve"),
        "5th" => out.push_str("fifth"),
        _ => {
            for run in runs(word) {
                if run.starts_with(|c: char| c.is_ascii_digit()) {
                    out.extend(run.bytes().map(|b| DIGITS[usize::from(b - b'0')]));
                } else if run != "o" && (is_spelled(run) || (word.len() > run.len() && run.len() < 3)) {
                    out.extend(run.bytes().filter(u8::is_ascii_lowercase).map(|b| LETTERS[usize::from(b - b'a')]));
                } else {
                    // the sound keys know no other letters
                    out.extend(run.chars().filter(char::is_ascii_lowercase));
                }
            }
        }
    }
    Cow::Owned(out)
}

/// Stretches of lower-case letters and of digits; other characters part them and are dropped.
fn runs(word: &str) -> impl Iterator<Item = &str> {
    let kind = |c: char| (c.is_alphabetic(), c.is_ascii_digit());
    let mut rest = word;
    std::iter::from_fn(move || {
        rest = rest.trim_start_matches(|c| kind(c) == (false, false));
        let first = rest.chars().next()?;
        let end = rest.find(|c| kind(c) != kind(first)).unwrap_or(rest.len());
        let (run, tail) = rest.split_at(end);
        rest = tail;
        Some(run)
    })
}

/// Whether a word is said letter by letter: it has no vowel, or it is too short and closes like no word does.
fn is_spelled(word: &str) -> bool {
    let b = word.as_bytes();
    let vowel = |c: u8| b"aeiouy".contains(&c);
    match b.len() {
        1 => !matches!(b[0], b'a' | b'i' | b'o'),
        3 if word.is_ascii() && b.iter().any(|&c| vowel(c)) => match [vowel(b[0]), vowel(b[1]), vowel(b[2])] {
            [true, false, false] => !CLOSINGS.contains(&&word[1..]),
            [false, false, true] => !OPENINGS.contains(&&word[..2]),
            _ => false,
        },
        2..=4 => !b.iter().any(|&c| vowel(c)),
        _ => false,
    }
}

/// Sound of a phrase: up to 32 consonant classes, four bits each, the last one lowest. The empty key is zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Key(pub u128);

/// Classes of Double Metaphone; vowels count at the start of the whole phrase only, `0` (th) sounds like `T` and `J` like `X` (sh, ch).
const CLASSES: &[u8] = b"AHPTKFSXMNLR";
const VOWEL: u128 = 1;
const BREATH: u128 = 2;
const HISS: u128 = 7;

impl Key {
    /// Number of classes.
    pub(super) fn len(self) -> usize {
        (128 - self.0.leading_zeros() as usize).div_ceil(4)
    }

    fn push(&mut self, class: u128) {
        let first = self.0 == 0;
        if self.len() < 32 && self.0 & 15 != class && (first || (class != VOWEL && class != BREATH)) {
            self.0 = self.0 << 4 | class;
        }
    }

    fn from_code(code: &str) -> Key {
        let mut key = Key::default();
        for b in code.bytes() {
            let b = match b {
                b'0' => b'T',
                b'J' => b'X',
                b => b,
            };
            if let Some(i) = CLASSES.iter().position(|&c| c == b) {
                key.push(i as u128 + 1);
            }
        }
        key
    }

    /// The key of this phrase with one more word behind it: word boundaries leave no trace.
    pub(super) fn then(self, next: Key) -> Key {
        let mut out = self;
        for i in (0..next.len()).rev() {
            out.push(next.0 >> (4 * i) & 15);
        }
        out
    }

    /// Whether it ends in the sound of a plural.
    pub(super) fn hisses(self) -> bool {
        self.0 & 15 == HISS
    }

    /// The key without its last class.
    pub(super) fn without_last(self) -> Key {
        Key(self.0 >> 4)
    }

    /// The first `n` classes.
    pub(super) fn head(self, n: usize) -> Key {
        Key(self.0.checked_shr(4 * (self.len() - n.min(self.len())) as u32).unwrap_or(0))
    }

    /// The last `n` classes. Without the head's length, so that it compares by value.
    pub(super) fn tail(self, n: usize) -> Key {
        if n >= 32 { self } else { Key(self.0 & ((1 << (4 * n)) - 1)) }
    }

    /// Whether one class put in, left out or changed makes the other key.
    pub(super) fn near(self, other: Key) -> bool {
        let (long, short) = if self.len() >= other.len() { (self, other) } else { (other, self) };
        if long.len() - short.len() > 1 {
            return false;
        }
        let same = (0..short.len()).take_while(|&i| long.0 >> (4 * i) & 15 == short.0 >> (4 * i) & 15).count();
        let skip = if long.len() == short.len() { (same + 1).min(short.len()) } else { same };
        long.0.checked_shr(4 * (same + 1) as u32).unwrap_or(0) == short.0.checked_shr(4 * skip as u32).unwrap_or(0)
    }
}

/// Both sounds of a word or phrase: the likelier and the other one (`wiper` may sound like `viper`).
pub(super) type Sounds = [Key; 2];

/// Joins two phrases sound by sound.
pub(super) fn then(a: Sounds, b: Sounds) -> Sounds {
    let first = a[0].then(b[0]);
    [first, if a[0] == a[1] && b[0] == b[1] { first } else { a[1].then(b[1]) }]
}

/// Whether two phrases may sound the same.
pub(super) fn alike(a: Sounds, b: Sounds) -> bool {
    a.iter().any(|k| b.contains(k))
}

/// Finds the sounds of words.
#[derive(Debug)]
pub(super) struct Ear(DoubleMetaphone);

impl Default for Ear {
    fn default() -> Ear {
        Ear(DoubleMetaphone::new(Some(16)))
    }
}

impl Ear {
    /// Sounds of a word whose letters [`spoken`] gave.
    pub(super) fn sounds(&self, letters: &str) -> Sounds {
        let code = self.0.double_metaphone(letters);
        let (first, other) = (Key::from_code(&code.primary()), Key::from_code(&code.alternate()));
        [first, if other == Key::default() { first } else { other }]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn abbreviations_are_spelled() {
        for (word, want) in [
            ("cv", "seevee"),
            ("u", "you"),
            ("o2", "otwo"),
            ("02", "otwo"),
            ("egr", "eegeeare"),
            ("pto", "peeteeo"),
            ("dry", "dry"),
            ("axle", "axle"),
            ("oil", "oil"),
            ("arm", "arm"),
            ("v8", "veeeight"),
            ("12", "twelve"),
            ("a/c", "aysee"),
            ("café", "caf"),
            ("", ""),
        ] {
            assert_eq!(spoken(word), want, "{word}");
        }
    }

    #[test]
    fn word_boundaries_leave_no_trace() {
        let ear = Ear::default();
        let key = |phrase: &str| phrase.split(' ').map(|w| ear.sounds(&spoken(w))).fold(Sounds::default(), then);
        for (heard, meant) in [
            ("cattle it converter", "catalytic converter"),
            ("break hose", "brake hose"),
            ("man a fold gas kit", "manifold gasket"),
            ("you joint", "u joint"),
            ("see v boot", "cv boot"),
            ("viper blade", "wiper blade"),
            ("carry a bearing", "carrier bearing"),
        ] {
            assert!(alike(key(heard), key(meant)), "{heard}");
        }
    }

    #[test]
    fn near_is_one_edit() {
        let key = Key::from_code;
        for (a, b, want) in [
            ("PRKS", "PRKS", true),
            ("PRKS", "PRK", true),
            ("PRKS", "RKS", true),
            ("PRKS", "PTKS", true),
            ("PRKS", "PKS", true),
            ("PRKS", "PKRS", false),
            ("PRKS", "TRK", false),
            ("P", "", true),
            ("PR", "", false),
        ] {
            assert_eq!(key(a).near(key(b)), want, "{a} {b}");
            assert_eq!(key(b).near(key(a)), want, "{b} {a}");
        }
    }
}
