//! Owns the decision whether words of the talk are a part name misheard or misspelt.

use std::borrow::Cow;
use std::ops::Range;

use super::SoundIndex;
use super::key::{Sounds, alike, spoken};
use super::likeness::Likeness;
use super::near;
use super::slots::Slot;
use crate::text::Token;

/// Behind these only a noun can stand.
const DETERMINERS: [&str; 12] =
    ["the", "your", "his", "her", "my", "our", "their", "these", "those", "all", "both", "its"];
/// Before these a plain word is a verb.
const PARTICLES: [&str; 12] =
    ["off", "down", "up", "in", "out", "away", "through", "when", "if", "loose", "it", "them"];
/// Score of the same letters in other words: a sound-alike is never as sure as the very words.
const SURE: f64 = 0.97;

/// Consecutive tokens that may be a name.
#[derive(Debug, Clone)]
pub(super) struct Window<'a> {
    /// Words as the lexicon would fold them; letters in a row may be joined to one word.
    pub words: Vec<Cow<'a, str>>,
    /// First token of each word, and the end of the window.
    pub starts: Vec<usize>,
    pub slots: &'a [Slot],
    pub tokens: &'a [Token],
    /// How the whole sounds.
    pub sounds: Sounds,
}

impl<'a> Window<'a> {
    pub(super) fn new(
        first: usize,
        end: usize,
        slots: &'a [Slot],
        tokens: &'a [Token],
        sounds: Sounds,
        join_letters: bool,
    ) -> Window<'a> {
        let mut words: Vec<Cow<str>> = Vec::with_capacity(end - first);
        let mut starts = Vec::with_capacity(end - first + 1);
        for i in first..end {
            match words.last_mut() {
                Some(w) if join_letters && slots[i].letter && slots[i - 1].letter => {
                    w.to_mut().push_str(&tokens[i].norm)
                }
                _ => {
                    words.push(Cow::Borrowed(tokens[i].norm.as_str()));
                    starts.push(i);
                }
            }
        }
        starts.push(end);
        Window { words, starts, slots, tokens, sounds }
    }

    fn slots_of(&self, words: Range<usize>) -> &'a [Slot] {
        &self.slots[self.starts[words.start]..self.starts[words.end]]
    }

    fn has_joined_letters(&self) -> bool {
        self.starts[self.words.len()] - self.starts[0] > self.words.len()
    }

    /// Whether this one word may stand for another while all words round it are right: no word of the trade, no place.
    pub(super) fn may_stand_in(&self, word: usize) -> bool {
        self.slots_of(word..word + 1).iter().all(|s| !s.in_name && !s.place && !s.little)
    }
}

/// How sure it is that the window is this name, below 1; `None` where it is not.
pub(super) fn judge(index: &SoundIndex, window: &Window, name: &str, sounds: Sounds) -> Option<f64> {
    let meant: Vec<&str> = name.split(' ').collect();
    let said = &window.words;
    let shorter = said.len().min(meant.len());
    let front = (0..shorter).take_while(|&i| said[i] == meant[i]).count();
    let back = (0..shorter - front).take_while(|&i| said[said.len() - 1 - i] == meant[meant.len() - 1 - i]).count();
    let odd = front..said.len() - back;
    let odd_meant = &meant[front..meant.len() - back];
    if odd.is_empty() && odd_meant.is_empty() {
        // word for word the name, once letters said one by one are joined; without that it is found elsewhere
        return window.has_joined_letters().then_some(SURE);
    }
    // a word too many or too few is no mishearing
    if odd.is_empty() || odd_meant.is_empty() {
        return None;
    }
    let case = Case::new(index, window, &meant, sounds, front, back);
    case.fits().then(|| case.score())
}

/// Why words that come close to a name were not taken for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// A word too many or too few.
    WordCount,
    /// Abbreviations are right or they are not.
    Abbreviation,
    /// The words name another part, the vehicle, money or time.
    OtherMeaning,
    /// The words say what is wrong or what to do.
    Signal,
    /// A little word at the edge.
    LittleWord,
    /// Ordinary talk that only sounds like it.
    Talk,
    /// All words are known, and not the ones of the name.
    KnownWords,
    /// Not close enough.
    TooFar,
}

/// Why a window that [`judge`] did not take for a name was not.
pub(super) fn refusal(index: &SoundIndex, window: &Window, name: &str, sounds: Sounds) -> Refusal {
    let meant: Vec<&str> = name.split(' ').collect();
    let said = &window.words;
    let shorter = said.len().min(meant.len());
    let front = (0..shorter).take_while(|&i| said[i] == meant[i]).count();
    let back = (0..shorter - front).take_while(|&i| said[said.len() - 1 - i] == meant[meant.len() - 1 - i]).count();
    if front + back >= shorter {
        return Refusal::WordCount;
    }
    let case = Case::new(index, window, &meant, sounds, front, back);
    let other = case.odd_slots.iter().any(|s| s.aside || (s.part.is_some() && s.in_name));
    match () {
        () if case.spelled => Refusal::Abbreviation,
        () if other => Refusal::OtherMeaning,
        () if case.edge_little => Refusal::LittleWord,
        () if case.signal => Refusal::Signal,
        () if case.reads_as_talk() => Refusal::Talk,
        () if !case.strange => Refusal::KnownWords,
        () => Refusal::TooFar,
    }
}

/// A window beside a name: the words both share at their ends, and the odd ones between.
struct Case<'a> {
    window: &'a Window<'a>,
    /// Words of the window that the name does not have at that place.
    odd: Range<usize>,
    odd_slots: &'a [Slot],
    /// How many words of the name stand in their place of the odd ones.
    odd_meant: usize,
    /// Words that are right in front of the odd ones and behind them.
    front: usize,
    back: usize,
    /// Right words that are more than little words.
    anchors: usize,
    whole: Likeness,
    rest: Likeness,
    same_sound: bool,
    near_sound: bool,
    rest_sounds_same: bool,
    /// Sounds in the name.
    length: usize,
    /// An abbreviation is among the odd words or is what they should be.
    spelled: bool,
    /// A little word stands at the edge of the window and is no word of the name.
    edge_little: bool,
    signal: bool,
    strange: bool,
}

impl<'a> Case<'a> {
    fn new(
        index: &SoundIndex,
        window: &'a Window<'a>,
        meant: &[&str],
        sounds: Sounds,
        front: usize,
        back: usize,
    ) -> Case<'a> {
        let said = &window.words;
        let odd = front..said.len() - back;
        let odd_meant = &meant[front..meant.len() - back];
        let odd_slots = window.slots_of(odd.clone());
        let right = window.slots_of(0..front).iter().chain(window.slots_of(said.len() - back..said.len()));
        let anchors = right.filter(|s| !s.little).count();
        let whole = Likeness::of(said, meant);
        let same_sound = alike(window.sounds, sounds);
        let length = sounds[0].len().max(sounds[1].len());
        let is_spelled = |w: &str| w.len() > 1 && spoken(w) != w;
        // "batter he", "suck at": an unstressed ending may come out as a little word where much else is right
        let ending = same_sound && length >= 7 && anchors > 0 && whole.edit >= 0.75 && odd.len() > 1;
        Case {
            odd_slots,
            odd_meant: odd_meant.len(),
            front,
            back,
            anchors,
            rest: Likeness::of(&said[odd.clone()], odd_meant),
            same_sound,
            near_sound: sounds.iter().any(|k| window.sounds.iter().any(|w| near(*k, *w))),
            rest_sounds_same: alike(index.sounds_of(&said[odd.clone()]), index.sounds_of(odd_meant)),
            length,
            spelled: odd_meant.iter().any(|w| is_spelled(w)) || said[odd.clone()].iter().any(|w| is_spelled(w)),
            edge_little: (front == 0 && odd_slots[0].little) || (back == 0 && little_last(odd_slots) && !ending),
            signal: odd_slots.iter().any(|s| s.signal),
            strange: odd_slots.iter().any(|s| s.strange),
            whole,
            odd,
            window,
        }
    }

    fn fits(&self) -> bool {
        if self.is_ruled_out() {
            false
        } else if self.rest.same() {
            // the same letters cut into other words, or letters said by name
            let chance = self.edge_little && self.anchors == 0;
            !chance && !reads_as_sentence(self.window, &self.odd)
        } else if self.window.words.len() == 1 {
            if self.strange { self.single() } else { self.same_sound && self.homophone() }
        } else if self.strange && self.same_sound {
            self.whole.edit >= 0.72
                && self.rest.winkler >= 0.65
                && self.length >= 3
                && (!self.signal || self.whole.edit >= 0.85)
                && (!self.edge_little || self.whole.edit >= 0.75)
        } else if self.strange && self.near_sound {
            self.strange_and_near()
        } else if self.same_sound {
            self.known_words()
        } else {
            self.all_but_one()
        }
    }

    fn is_ruled_out(&self) -> bool {
        if self.rest.same() {
            return false;
        }
        // an exact part inside stays unless the name says it too, or the whole is beyond doubt
        let beyond_doubt = self.same_sound && self.length >= 7 && self.whole.edit >= 0.8;
        let drops_part = self.odd_slots.iter().any(|s| s.part.is_some() && s.in_name) && !beyond_doubt;
        // little words that are right say nothing: the rest must be close by itself
        let unheld = self.anchors == 0 && self.front + self.back > 0 && self.rest.edit < 0.8;
        // abbreviations are short and many: they are right or they are not
        drops_part || unheld || self.spelled || self.odd_slots.iter().any(|s| s.aside)
    }

    /// One strange word: it must be long enough and very like the name.
    fn single(&self) -> bool {
        let w = &self.whole;
        if self.same_sound {
            let close = w.edit >= 0.7 && w.winkler >= 0.88 || w.letters >= 8 && w.edit >= 0.8;
            close && self.length >= 3 && (w.letters >= 5 || (w.letters == 4 && w.same_letters))
        } else {
            w.letters >= 7 && w.edit >= 0.8 && w.winkler >= 0.9
        }
    }

    /// One sound is wrong, and a word is there that nobody knows.
    fn strange_and_near(&self) -> bool {
        let close = if self.anchors > 0 {
            // in a short word one letter makes another word
            let enough = if self.rest.shorter >= 6 { 0.65 } else { 0.72 };
            self.whole.edit >= 0.75 && self.rest.edit >= enough && self.rest.winkler >= 0.8
        } else {
            self.whole.edit >= 0.8
        };
        close && !self.signal && !self.edge_little && !self.reads_as_talk()
    }

    /// Every word is known, and together they sound like the name.
    fn known_words(&self) -> bool {
        if self.edge_little {
            return false;
        }
        if self.anchors == 0 {
            let plain =
                self.odd_slots.iter().any(|s| s.common || !s.in_name) && !self.odd_slots.last().is_some_and(|s| s.verb);
            return plain && !self.signal && self.length >= 4 && self.whole.letters >= 7 && self.whole.edit >= 0.8;
        }
        // so many sounds in a row do not agree by chance
        let long = self.length >= 8 && self.whole.edit >= 0.75;
        let enough = match () {
            () if self.signal => 0.84,
            () if long => 0.78,
            () if self.odd.len() == 1 && self.front > 0 => 0.79,
            () if self.odd.len() == 1 => 0.86,
            () if little_last(self.odd_slots) => 0.78,
            () => 0.84,
        };
        // nouns of the trade that sound alike ("seat bolt", "seat belt") both mean themselves
        let trade = self.odd_slots.iter().all(|s| s.in_name && !s.common && !s.signal);
        !trade
            && (self.rest_sounds_same || long)
            && self.whole.edit >= 0.72
            && self.rest.winkler >= enough
            && !self.reads_as_talk()
    }

    /// All words are right but one, and that one is close.
    fn all_but_one(&self) -> bool {
        self.anchors >= 2
            && (self.strange || self.back > 0)
            && self.odd.len() == 1
            && self.odd_meant == 1
            && self.window.may_stand_in(self.odd.start)
            && self.rest.winkler >= 0.88
            && !self.reads_as_talk()
    }

    /// Ordinary talk: an article that points at a part ("see the air bag"), or a part and what it does ("the spring sits").
    fn reads_as_talk(&self) -> bool {
        let words = &self.window.words;
        let points = words[self.odd.clone()]
            .iter()
            .any(|w| matches!(&**w, "the" | "this" | "that" | "my" | "your" | "his" | "her"));
        let at_end = self.front > 0 && self.back == 0;
        let part_before = self.window.slots_of(0..self.front).iter().any(|s| s.partish || s.aside);
        let verb = self.odd_slots.iter().any(|s| s.verb || (s.plural && part_before));
        // "sweaty", "rusty": such adjectives stand before any part
        let adjective = self.front == 0 && self.odd.len() == 1 && words[0].len() > 4 && words[0].ends_with('y');
        points || adjective || (at_end && verb)
    }

    /// A plural of a plain word that is a reordering of the name and sounds like it ("breaks"), where only a noun can stand.
    fn homophone(&self) -> bool {
        let (slots, tokens, at) = (self.window.slots, self.window.tokens, self.window.starts[0]);
        let noun = at.checked_sub(1).is_some_and(|i| slots[i].place || DETERMINERS.contains(&tokens[i].word.as_str()));
        let verb = tokens.get(at + 1).is_some_and(|t| PARTICLES.contains(&t.word.as_str()));
        self.odd_meant == 1 && self.whole.same_letters && self.whole.winkler >= 0.85 && noun && !verb
    }

    fn score(&self) -> f64 {
        let sound = if self.same_sound { 1.0 } else { 1.0 - 1.0 / self.length.max(2) as f64 };
        SURE * (0.5 * self.whole.edit + 0.2 * self.whole.winkler + 0.3 * sound)
    }
}

fn little_last(slots: &[Slot]) -> bool {
    slots.last().is_some_and(|s| s.little)
}

/// "before you bolt it", "I see clips": a pronoun or a verb that sounds like a letter, used as such.
fn reads_as_sentence(window: &Window, odd: &Range<usize>) -> bool {
    let by_name = window.words[odd.clone()]
        .iter()
        .all(|w| w.len() > 1 && matches!(&**w, "you" | "see" | "be" | "are" | "why" | "oh"));
    let word = |i: Option<usize>| i.and_then(|i| window.tokens.get(i)).map_or("", |t| t.word.as_str());
    let before = word(window.starts[0].checked_sub(1));
    let behind = word(window.starts.last().copied());
    let leads = [
        "i", "you", "we", "they", "if", "when", "before", "after", "once", "as", "to", "can", "can't", "don't", "will",
        "could", "did", "do",
    ];
    let follows = [
        "it", "them", "that", "this", "the", "a", "an", "these", "those", "up", "on", "in", "down", "back", "to",
        "your", "my",
    ];
    by_name && (leads.contains(&before) || follows.contains(&behind))
}
