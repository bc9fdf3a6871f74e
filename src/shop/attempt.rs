//! Owns the trying of words: how the lexicon reads each of them, what came close, and what comes out.

use serde::Serialize;

use crate::dictation::Dictation;
use crate::findings::Document;
use crate::interpretation::{Interpreter, Settings};
use crate::lexicon::{ConditionId, Lexicon, Meaning};
use crate::matching::{CloseCall, How, PartHit, Refusal};
use crate::text::Token;

/// How words were recognised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum By {
    /// The very words.
    Exact,
    /// By what is spoken of around them.
    Context,
    /// A known part and a noun behind it.
    Compound,
    /// They sound like the name.
    Sound,
    /// They are spelt like the name.
    Spelling,
    /// A trouble code.
    Code,
}

impl By {
    /// For people.
    pub fn words(self) -> &'static str {
        match self {
            By::Exact => "exactly",
            By::Context => "by context",
            By::Compound => "a known part and a noun behind it",
            By::Sound => "by sound",
            By::Spelling => "by spelling",
            By::Code => "by its code",
        }
    }
}

/// What some of the words were read as.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Read {
    /// First token, 0-based.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// The words as said.
    pub said: String,
    /// Line they stand in, 0-based, and their bytes in it.
    pub line: usize,
    /// First byte.
    pub from: usize,
    /// One past the last byte.
    pub to: usize,
    /// `part`, `place`, `condition`, …
    pub family: &'static str,
    /// What they stand for: ids; for a context word all that it may be.
    pub ids: Vec<String>,
    /// The phrase of the lexicon, where it is another than the words.
    pub phrase: Option<String>,
    /// How they were recognised.
    pub by: By,
    /// How sure, 0 to 1.
    pub score: f64,
}

/// Words that came close to a name and were not taken for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Close {
    /// The words as said.
    pub said: String,
    /// The part.
    pub part: String,
    /// The name they came close to.
    pub phrase: String,
    /// Whether they sound the same.
    pub same_sound: bool,
    /// How alike they are spelt, 0 to 1.
    pub spelling: f64,
    /// Why they were not taken.
    pub why_not: String,
}

/// All there is to tell of some words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Attempt {
    /// Each token: as said, and as it is compared.
    pub tokens: Vec<(String, String)>,
    /// What was read, in order.
    pub read: Vec<Read>,
    /// What came close.
    pub close: Vec<Close>,
    /// Words that are in no phrase and no list of plain words.
    pub unknown: Vec<String>,
    /// What comes out.
    pub document: Document,
}

/// Tries the words of a dictation.
pub fn attempt(dictation: &Dictation, interpreter: &Interpreter, settings: Settings) -> Attempt {
    let lexicon = interpreter.lexicon();
    let analysis = interpreter.analyse(dictation, settings);
    let (tokens, mentions) = (&analysis.reading.tokens, &analysis.reading.mentions);
    let said = |first: usize, end: usize| said(dictation, tokens, first, end);
    let mut read: Vec<Read> = Vec::new();
    let mut push = |first: usize, end: usize, family, ids: Vec<String>, phrase, by, score| {
        let (a, b) = (tokens[first].span, tokens[end - 1].span);
        let to = if a.utterance == b.utterance { b.end } else { a.end };
        let said = said(first, end);
        read.push(Read { first, end, said, line: a.utterance, from: a.start, to, family, ids, phrase, by, score });
    };
    for p in &mentions.parts {
        let ids = p.parts.iter().map(|i| lexicon.parts[*i].id.clone()).collect();
        let (by, phrase) = recognised(p, tokens, interpreter);
        push(p.first, p.end, "part", ids, phrase, by, p.score);
    }
    for &(first, end) in &mentions.loose_heads {
        push(first, end, "part", Vec::new(), None, By::Context, 1.0);
    }
    for p in &mentions.places {
        let words: Vec<&str> = lexicon.places[p.place].iter().map(|w| w.as_str()).collect();
        push(p.first, p.end, "place", vec![words.join(" ")], None, By::Exact, 1.0);
    }
    for s in &mentions.signals {
        let (family, id) = meaning(&s.meaning);
        push(s.first, s.end, family, id.into_iter().collect(), None, By::Exact, 1.0);
    }
    for (first, end, code) in &analysis.reading.codes {
        let part = lexicon.part_of_code(code).map(|p| lexicon.parts[p].id.clone());
        push(*first, *end, "trouble_code", vec![part.unwrap_or_else(|| code.clone())], None, By::Code, 1.0);
    }
    read.sort_by_key(|r| (r.first, std::cmp::Reverse(r.end), r.family));
    let covered = |t: usize| read.iter().any(|r| r.first <= t && t < r.end);
    let unknown = tokens.iter().enumerate().filter(|(n, t)| !covered(*n) && is_strange(t, lexicon));
    let unknown = unknown.map(|(_, t)| t.word.clone()).collect();
    let calls = interpreter.sounds().close_calls(tokens, lexicon, &mentions.parts);
    Attempt {
        tokens: tokens.iter().map(|t| (t.word.clone(), t.norm.clone())).collect(),
        close: calls.iter().map(|c| close(c, said(c.first, c.end), lexicon)).collect(),
        unknown,
        document: interpreter.document(dictation, settings),
        read,
    }
}

/// Whether no phrase and no list of plain words has the word.
pub fn is_strange(token: &Token, lexicon: &Lexicon) -> bool {
    token.is_wordlike()
        && matches!(token.kind, crate::text::Kind::Word)
        && lexicon.phrases.word(&token.norm).is_none()
        && !lexicon.common.contains(&token.word)
        && !lexicon.common.contains(&token.norm)
}

fn said(dictation: &Dictation, tokens: &[Token], first: usize, end: usize) -> String {
    let (a, b) = (tokens[first].span, tokens[end - 1].span);
    if a.utterance == b.utterance {
        return dictation.utterances[a.utterance].text[a.start..b.end].to_string();
    }
    tokens[first..end].iter().map(|t| t.word.as_str()).collect::<Vec<_>>().join(" ")
}

/// How a part was recognised, and by which of its names where the words are not the name itself.
fn recognised(p: &PartHit, tokens: &[Token], interpreter: &Interpreter) -> (By, Option<String>) {
    match p.how {
        How::Exact => (By::Exact, None),
        How::Context => (By::Context, None),
        How::Compound => (By::Compound, None),
        How::Code => (By::Code, None),
        How::SoundAlike => {
            let (lexicon, sounds) = (interpreter.lexicon(), interpreter.sounds());
            let words = tokens[p.first..p.end].iter().map(|t| t.norm.as_str()).collect::<Vec<_>>().join(" ");
            let part = &lexicon.parts[p.parts[0]];
            let names = std::iter::once(&part.name).chain(&part.also).map(|n| lexicon.fold(n));
            let compared = names.map(|n| (sounds.compare(&words, &n), n));
            let best = compared.max_by(|a, b| a.0.spelling.total_cmp(&b.0.spelling));
            match best {
                Some((c, name)) if c.same_sound => (By::Sound, Some(name)),
                Some((_, name)) => (By::Spelling, Some(name)),
                None => (By::Sound, None),
            }
        }
    }
}

fn meaning(m: &Meaning) -> (&'static str, Option<String>) {
    let denied = |id: Option<ConditionId>| id.map(|id| format!("denied: {}", id.as_str()));
    match m {
        Meaning::Sound { negated, .. } => ("sound", denied(*negated)),
        Meaning::Function { lost } => ("works", denied(*lost)),
        other => (other.family().key(), other.id().map(str::to_string)),
    }
}

fn close(call: &CloseCall, said: String, lexicon: &Lexicon) -> Close {
    let c = call.comparison;
    let why_not = match call.refusal {
        Refusal::WordCount => "a word too many or too few is no mishearing",
        Refusal::Abbreviation => "abbreviations count only as they are written in the lexicon",
        Refusal::OtherMeaning => "some of the words are another part, the vehicle, money or time",
        Refusal::Signal => "some of the words say what is wrong or what to do",
        Refusal::LittleWord => "it begins or ends with a little word",
        Refusal::Talk => "it reads as ordinary talk",
        Refusal::KnownWords => "its words are known, or made of known ones, and they are not the name",
        Refusal::TooFar => "it is not close enough",
    };
    Close {
        said,
        part: lexicon.parts[call.part].id.clone(),
        phrase: lexicon.phrases[call.phrase].to_string(),
        same_sound: c.same_sound,
        spelling: c.spelling,
        why_not: why_not.to_string(),
    }
}
