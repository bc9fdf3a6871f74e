//! Owns matching of misheard and misspelt part names: an index of names by sound, and the windows of the talk compared with it.

mod buckets;
mod close;
mod judge;
mod key;
mod likeness;
mod plain;
mod slots;

use std::collections::HashSet;

pub use self::close::{CloseCall, Comparison};
pub use self::judge::Refusal;

use self::buckets::{Buckets, ByHash, Hash, word_hash};
use self::judge::{Window, judge};
use self::key::{Ear, Key, Sounds, alike, spoken, then};
use self::likeness::Likeness;
use self::slots::{Slot, slots};
use super::{How, PartHit};
use crate::lexicon::{Lexicon, Meaning, PhraseHit, Strength};
use crate::text::Token;

/// Longest window in tokens.
const WIDEST: usize = 5;
/// Shortest key that one wrong sound is forgiven in.
const FORGIVING: usize = 4;

/// A name and how it sounds.
#[derive(Debug)]
struct Name {
    target: Target,
    sounds: Sounds,
}

/// What a name stands for.
#[derive(Debug)]
enum Target {
    Part {
        part: usize,
        phrase: usize,
    },
    /// A unit of measurement: words that are closest to it are no part ("milly meters").
    Unit(Box<str>),
}

/// Pairs the tables are built from.
#[derive(Default)]
struct Tables {
    by_sound: Vec<(u64, u32)>,
    by_half: Vec<(u64, u32)>,
    by_rest: Vec<(u64, u32)>,
}

/// What is known of a word of the lexicon.
#[derive(Debug, Clone, Copy, Default)]
struct Word {
    /// Stands in a part name; only then are the sounds filled in.
    in_name: bool,
    sounds: Sounds,
}

/// Index of part names by sound and spelling, built once.
#[derive(Debug, Default)]
pub struct SoundIndex {
    names: Vec<Name>,
    words: ByHash<Word>,
    by_sound: Buckets,
    by_half: Buckets,
    by_rest: Buckets,
    ear: Ear,
}

/// A window that may be taken for a name.
#[derive(Debug, Clone, Copy)]
struct Found {
    first: usize,
    end: usize,
    name: usize,
    score: f64,
    /// Orders what competes: the score, a little for every word of the name, a little for the part's first name.
    rank: f64,
}

impl SoundIndex {
    /// Builds the index over all firm part names of the lexicon.
    pub fn build(lexicon: &Lexicon) -> SoundIndex {
        let mut index = SoundIndex::default();
        let shorts: HashSet<&str> = lexicon.parts.iter().flat_map(|p| &p.short).map(String::as_str).collect();
        // the compiled lexicon has "balljoint" beside "ball joint": the one with words says more
        let phrases = &lexicon.phrases;
        let texts: Vec<&str> = phrases.words().collect();
        let hashes: Vec<u64> = texts.iter().map(|w| word_hash(w)).collect();
        let joined = (0..phrases.len()).filter_map(|p| match phrases.words_of(p) {
            [a, b] => Some(Hash::new(0).text(texts[*a as usize]).text(texts[*b as usize]).finish()),
            _ => None,
        });
        let pairs: ByHash<()> = joined.map(|h| (h, ())).collect();
        let mut words = vec![Word::default(); texts.len()];
        let mut tables = Tables::default();
        for phrase in 0..phrases.len() {
            let Some(part) = firm_part(&lexicon.meanings[phrase]) else { continue };
            let (text, made_of) = (&phrases[phrase], phrases.words_of(phrase));
            let left_out = text.len() < 3
                || (text.len() == 3 && spoken(text) == *text)
                || (made_of.len() == 1 && pairs.contains_key(&hashes[made_of[0] as usize]))
                || shorts.contains(text);
            if left_out {
                continue;
            }
            let mut sounds = Sounds::default();
            for w in made_of.iter().map(|w| *w as usize) {
                if !words[w].in_name {
                    words[w] = Word { in_name: true, sounds: index.ear.sounds(&spoken(texts[w])) };
                }
                sounds = then(sounds, words[w].sounds);
            }
            let own: Vec<u64> = made_of.iter().map(|w| hashes[*w as usize]).collect();
            index.add(&own, sounds, Target::Part { part, phrase }, &mut tables);
        }
        // words that only mishearings are made of are no words of the trade
        let mut real = vec![false; texts.len()];
        for phrase in 0..phrases.len() {
            let misheard = |m: &Meaning| matches!(m, Meaning::Part { strength: Strength::Misheard, .. });
            if !lexicon.meanings[phrase].iter().all(misheard) {
                phrases.words_of(phrase).iter().for_each(|w| real[*w as usize] = true);
            }
        }
        index.words = hashes.into_iter().zip(words).zip(real).filter_map(|(w, real)| real.then_some(w)).collect();
        let mut units: Vec<&String> = lexicon.units.phrases.keys().collect();
        units.sort_unstable();
        for text in units {
            let sounds = index.sounds_of(&text.split(' ').collect::<Vec<_>>());
            let own: Vec<u64> = text.split(' ').map(word_hash).collect();
            for w in &own {
                index.words.entry(*w).or_default();
            }
            index.add(&own, sounds, Target::Unit(text.as_str().into()), &mut tables);
        }
        index.by_sound = Buckets::build(&tables.by_sound);
        index.by_half = Buckets::build(&tables.by_half);
        index.by_rest = Buckets::build(&tables.by_rest);
        index
    }

    /// Takes a name in; `words` are the hashes of its words.
    fn add(&mut self, words: &[u64], sounds: Sounds, target: Target, tables: &mut Tables) {
        if sounds[0].len() < 2 {
            return;
        }
        let id = self.names.len() as u32;
        let keys = &sounds[..if sounds[0] == sounds[1] { 1 } else { 2 }];
        for key in keys {
            tables.by_sound.push((hash(*key), id));
            tables.by_half.extend(halves(*key, key.len()).into_iter().flatten().map(|h| (h, id)));
        }
        if (3..=WIDEST).contains(&words.len()) {
            tables.by_rest.extend((0..words.len()).map(|skip| (rest_hash(words, skip), id)));
        }
        self.names.push(Name { target, sounds });
    }

    /// Adds parts whose words were misheard or misspelt, outside the parts already found; a sound-alike that is longer than the
    /// parts inside it and says them more closely replaces them.
    pub fn extend(&self, tokens: &[Token], lexicon: &Lexicon, hits: &[PhraseHit], parts: &mut Vec<PartHit>) {
        let slots = slots(self, tokens, lexicon, hits, parts);
        let mut found = Vec::new();
        for first in 0..slots.len() {
            if slots[first].opens() {
                self.windows_at(first, &slots, tokens, lexicon, parts, &mut found);
            }
        }
        found.sort_by(|a: &Found, b| b.rank.total_cmp(&a.rank).then(a.first.cmp(&b.first)));
        let mut taken = vec![false; tokens.len()];
        let mut replaced = vec![false; tokens.len()];
        let mut added = Vec::new();
        for f in found {
            if taken[f.first..f.end].contains(&true) {
                continue;
            }
            taken[f.first..f.end].fill(true);
            let Target::Part { part, .. } = self.names[f.name].target else {
                continue;
            };
            replaced[f.first..f.end].fill(true);
            added.push(PartHit {
                first: f.first,
                end: f.end,
                parts: vec![part],
                how: How::SoundAlike,
                heads: 0,
                score: f.score,
            });
        }
        parts.retain(|p| !replaced[p.first..p.end].contains(&true));
        parts.append(&mut added);
        parts.sort_by_key(|p| p.first);
    }

    fn windows_at(
        &self,
        first: usize,
        slots: &[Slot],
        tokens: &[Token],
        lexicon: &Lexicon,
        parts: &[PartHit],
        found: &mut Vec<Found>,
    ) {
        let mut sounds = Sounds::default();
        let mut strange = false;
        let mut letters_in_a_row = false;
        for end in first + 1..=(first + WIDEST).min(slots.len()) {
            let slot = &slots[end - 1];
            if slot.barrier || slot.not_part {
                break;
            }
            letters_in_a_row |= end - first > 1 && slot.letter && slots[end - 2].letter;
            sounds = then(sounds, slot.sounds);
            strange |= slot.strange;
            if slot.place || (end - first == 1 && !strange && !slot.plural) || !whole_parts(first, end, slots, parts) {
                continue;
            }
            let mut best: Option<Found> = None;
            let mut consider = |window: &Window, name: u32| {
                let n = &self.names[name as usize];
                let (words, own) = match &n.target {
                    Target::Part { part, phrase } => {
                        (&lexicon.phrases[*phrase], lexicon.parts[*part].name == lexicon.phrases[*phrase])
                    }
                    Target::Unit(text) => (&**text, false),
                };
                if let Some(score) = judge(self, window, words, n.sounds) {
                    let rank = score + 0.03 * words.split(' ').count() as f64 + if own { 0.02 } else { 0.0 };
                    if best.is_none_or(|b| rank > b.rank) {
                        best = Some(Found { first, end, name: name as usize, score, rank });
                    }
                }
            };
            let window = Window::new(first, end, slots, tokens, sounds, false);
            self.candidates(&window, strange, &mut consider);
            if slot.strange && sounds.iter().any(|k| k.hisses()) {
                // a plural may be heard as the end of another word: "lynx" for "links"
                let sounds = sounds.map(Key::without_last);
                self.candidates(&Window { sounds, ..window }, false, &mut consider);
            }
            if letters_in_a_row {
                // "e g r valve": letters said one by one may be written together in the name
                let mut window = Window::new(first, end, slots, tokens, sounds, true);
                window.sounds = self.sounds_of(&window.words);
                self.candidates(&window, false, &mut consider);
            }
            found.extend(best);
        }
    }

    /// Names that sound like the window, or, where it has words nobody knows, nearly like it; and names that share all words but one.
    fn candidates(&self, window: &Window, strange: bool, consider: &mut impl FnMut(&Window, u32)) {
        let [a, b] = window.sounds;
        for key in [a, b].iter().take(if a == b { 1 } else { 2 }) {
            for &name in self.by_sound.get(hash(*key)) {
                if self.names[name as usize].sounds.contains(key) {
                    consider(window, name);
                }
            }
            if strange {
                for len in key.len().saturating_sub(1)..=key.len() + 1 {
                    for h in halves(*key, len).into_iter().flatten() {
                        for &name in self.by_half.get(h) {
                            let sounds = self.names[name as usize].sounds;
                            if sounds.iter().any(|s| *s != *key && s.near(*key)) {
                                consider(window, name);
                            }
                        }
                    }
                }
            }
        }
        let count = window.words.len();
        if (3..=WIDEST).contains(&count) {
            let hashes: Vec<u64> = window.words.iter().map(|w| word_hash(w)).collect();
            for skip in 0..count {
                let odd = &window.words[skip];
                if window.may_stand_in(skip) && odd.len() > 3 {
                    for &name in self.by_rest.get(rest_hash(&hashes, skip)) {
                        consider(window, name);
                    }
                }
            }
        }
    }

    /// Names that sound just like a folded phrase and are written much like it, the phrase itself left out: part and phrase.
    pub fn sounding_like(&self, phrase: &str, lexicon: &Lexicon) -> Vec<(usize, usize)> {
        let words: Vec<&str> = phrase.split(' ').collect();
        let sounds = self.sounds_of(&words);
        let mut out = Vec::new();
        for &name in sounds.iter().flat_map(|key| self.by_sound.get(hash(*key))) {
            let Name { target: Target::Part { part, phrase: other }, sounds: theirs } = &self.names[name as usize]
            else {
                continue;
            };
            let text = &lexicon.phrases[*other];
            let likeness = Likeness::of(&words, &text.split(' ').collect::<Vec<_>>());
            let close = likeness.edit >= 0.75 && likeness.letters > 3;
            if text != phrase && alike(sounds, *theirs) && close && !likeness.same() && !out.contains(&(*part, *other))
            {
                out.push((*part, *other));
            }
        }
        out
    }

    fn word(&self, word: &str) -> Option<&Word> {
        self.words.get(&word_hash(word))
    }

    fn sounds_of_word(&self, word: &str) -> Sounds {
        match self.word(word) {
            Some(w) if w.in_name => w.sounds,
            _ => self.ear.sounds(&spoken(word)),
        }
    }

    fn sounds_of<S: AsRef<str>>(&self, words: &[S]) -> Sounds {
        words.iter().map(|w| self.sounds_of_word(w.as_ref())).fold(Sounds::default(), then)
    }
}

/// Whether a word only holds sentences together or is among the plainest adjectives.
pub fn is_little(word: &str) -> bool {
    plain::LITTLE.contains(word)
}

/// Whether a word stands for the vehicle itself, money or time.
pub fn is_aside(word: &str) -> bool {
    plain::ASIDE.contains(word)
}

/// The one part a phrase stands for firmly.
fn firm_part(meanings: &[Meaning]) -> Option<usize> {
    let mut firm = meanings.iter().filter_map(|m| match m {
        Meaning::Part { part, strength: Strength::Strong } => Some(*part),
        _ => None,
    });
    firm.next().filter(|_| firm.next().is_none())
}

/// Whether one wrong sound makes one key the other, where the key is long enough to forgive it.
fn near(a: Key, b: Key) -> bool {
    a.len() >= FORGIVING && a.near(b)
}

/// Whether the window holds every part it touches whole, and is more than one of them.
fn whole_parts(first: usize, end: usize, slots: &[Slot], parts: &[PartHit]) -> bool {
    slots[first..end].iter().filter_map(|s| s.part).all(|p| {
        let p = &parts[p];
        p.first >= first && p.end <= end && p.end - p.first < end - first
    })
}

fn hash(key: Key) -> u64 {
    Hash::new(1).number(key.0 as u64).number((key.0 >> 64) as u64).finish()
}

/// Hashes of the first and the last half of a key for comparison with keys of `len` classes: with one edit between two keys,
/// one half of the longer or shorter one is untouched.
fn halves(key: Key, len: usize) -> [Option<u64>; 2] {
    if len < FORGIVING || key.len() + 1 < FORGIVING {
        return [None, None];
    }
    let (front, back) = (len / 2, len - len / 2);
    let one = |seed: u64, k: Key| {
        Some(Hash::new(seed).number(len as u64).number(k.0 as u64).number((k.0 >> 64) as u64).finish())
    };
    [one(2, key.head(front)), one(3, key.tail(back))]
}

/// Hash of all words but one, each given by its own hash; the place of the missing word counts.
fn rest_hash(words: &[u64], skip: usize) -> u64 {
    let start = Hash::new(4).number(skip as u64);
    words.iter().enumerate().filter(|(i, _)| *i != skip).fold(start, |h, (_, w)| h.number(*w)).finish()
}
