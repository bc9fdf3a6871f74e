//! Owns the check of words: who else claims them, whether they can match at all, whether they match everywhere, what sounds
//! like them.

use std::collections::{HashMap, HashSet};

use crate::diagnostic::Spot;
use crate::interpretation::Interpreter;
use crate::lexicon::{Family, Lexicon, Meaning};
use crate::matching::{self, How, Mentions};
use crate::shop::problem::{Problem, ProblemKind};
use crate::shop::reading::{Entry, Key, ShopFile, Word};
use crate::text::{Token, tokenize_line};

/// A phrase that an entry claims.
struct Claim<'f> {
    file: &'f ShopFile,
    entry: &'f Entry,
    key: Key,
    word: &'f Word,
    folded: String,
    ours: bool,
}

impl Claim<'_> {
    /// The family, and the id within it.
    fn owner(&self) -> (Family, &str) {
        (self.entry.family, self.entry.id.as_ref().map_or("", |i| &i.text))
    }

    fn of_part(&self) -> bool {
        self.entry.family == Family::Part
    }

    /// Stands for its part whatever is spoken of.
    fn firm(&self) -> bool {
        self.of_part() && matches!(self.key, Key::Name | Key::Also | Key::Short)
    }

    fn spot(&self, label: impl Into<String>) -> Spot {
        Spot::new(&self.file.source, self.word.span.clone(), label)
    }

    fn called(&self) -> String {
        let (family, id) = self.owner();
        called(family, id)
    }
}

/// Looks at every phrase of `ours`.
pub(super) fn check(given: &[ShopFile], ours: &[ShopFile], interpreter: &Interpreter) -> Vec<Problem> {
    let lexicon = interpreter.lexicon();
    let claims = claims(given, ours, lexicon);
    let mut by_words: HashMap<&str, Vec<usize>> = HashMap::new();
    for (n, c) in claims.iter().enumerate() {
        by_words.entry(&c.folded).or_default().push(n);
    }
    let mut out = Vec::new();
    for (n, claim) in claims.iter().enumerate().filter(|(_, c)| c.ours) {
        let others = by_words.get(claim.folded.as_str()).into_iter().flatten().filter(|o| **o < n).map(|o| &claims[*o]);
        let others: Vec<&Claim> = others.collect();
        let problem = clash(claim, &others)
            .or_else(|| never(claim, interpreter))
            .or_else(|| everywhere(claim, lexicon))
            .or_else(|| duplicate(claim, &others));
        if problem.is_none() && claim.firm() && claim.key != Key::Short {
            out.extend(sound_alike(claim, interpreter));
        }
        out.extend(problem);
    }
    out
}

/// Every phrase that counts, lower files first: what `ours` drop or retire is left out.
fn claims<'f>(given: &'f [ShopFile], ours: &'f [ShopFile], lexicon: &Lexicon) -> Vec<Claim<'f>> {
    let mut dropped: HashSet<(Family, &str, String)> = HashSet::new();
    let mut retired: HashSet<&str> = HashSet::new();
    for entry in ours.iter().flat_map(|f| &f.entries) {
        let id = entry.id.as_ref().map_or("", |i| i.text.as_str());
        for (_, word) in entry.phrases.iter().filter(|(k, _)| *k == Key::Drop) {
            dropped.insert((entry.family, id, lexicon.fold(&word.text)));
        }
        if entry.retires {
            retired.insert(id);
        }
    }
    let mut out = Vec::new();
    for (file, ours) in given.iter().map(|f| (f, false)).chain(ours.iter().map(|f| (f, true))) {
        for entry in file.entries.iter().filter(|e| matters(e.family)) {
            let id = entry.id.as_ref().map_or("", |i| i.text.as_str());
            for (key, word) in entry.phrases.iter().filter(|(k, _)| *k != Key::Drop) {
                let folded = lexicon.fold(&word.text);
                let gone = !ours
                    && (dropped.contains(&(entry.family, id, folded.clone()))
                        || (entry.family == Family::Part && retired.contains(id)));
                if !gone {
                    out.push(Claim { file, entry, key: *key, word, folded, ours });
                }
            }
        }
    }
    out
}

/// Families whose phrases are found in the talk by themselves.
fn matters(family: Family) -> bool {
    use Family::{Action, Condition, Cue, Degree, Inspect, Part, Place, Serviced, Sound, Unchecked, Urgency};
    matches!(
        family,
        Part | Condition | Action | Urgency | Degree | Sound | Unchecked | Inspect | Serviced | Place | Cue
    )
}

/// Another part, or another entry of the same family, has the same words.
fn clash(claim: &Claim, others: &[&Claim]) -> Option<Problem> {
    let with = others.iter().find(|o| {
        let rivals = o.entry.family == claim.entry.family && o.owner() != claim.owner();
        rivals && if claim.of_part() { claim.firm() && o.firm() } else { claim.key != Key::Weak && o.key != Key::Weak }
    })?;
    let what = format!("{} and {} both claim \"{}\"", with.called(), claim.called(), claim.word.text);
    let id = with.owner().1;
    let help = if claim.of_part() && !with.ours {
        let under = format!("id = \"{id}\", drop = [\"{}\"]", with.word.text);
        match with.key {
            Key::Name => format!("add to \"{id}\" instead of making a part of your own, or retire it"),
            _ => format!("take it out here, or away from the other part with an entry [[part]] {under}"),
        }
    } else {
        "leave it with one of them".to_string()
    };
    Some(Problem::new(ProblemKind::Clash, claim.spot("claimed here too"), what, help).with(with.spot("claimed first")))
}

fn duplicate(claim: &Claim, others: &[&Claim]) -> Option<Problem> {
    let same = others.iter().find(|o| {
        let restated = claim.key == Key::Name && o.key == Key::Name;
        o.owner() == claim.owner() && !restated && (claim.key == Key::Not) == (o.key == Key::Not)
    })?;
    let what = format!("{} has \"{}\" already", claim.called(), claim.word.text);
    let help = "take it out here: plurals, hyphens and British spelling are known by themselves";
    Some(Problem::new(ProblemKind::Duplicate, claim.spot(""), what, help).with(same.spot("here")))
}

/// The phrase, said alone, is not read as what it is meant for.
fn never(claim: &Claim, interpreter: &Interpreter) -> Option<Problem> {
    if claim.key == Key::Not || claim.entry.retires || !claim.file.usable() {
        return None;
    }
    let lexicon = interpreter.lexicon();
    let tokens = tokenize_line(&claim.word.text, &lexicon.folding);
    let told = |what: String, help: &str| Some(Problem::new(ProblemKind::NeverMatches, claim.spot(""), what, help));
    if !tokens.iter().any(Token::is_wordlike) {
        return told(format!("\"{}\" holds no words", claim.word.text), "write the words as they are said");
    }
    let found = matching::find(&tokens, lexicon, interpreter.sounds(), true);
    if is_read(claim, &found, tokens.len(), lexicon) {
        return None;
    }
    let taken = taker(&found, lexicon);
    let what = match &taken {
        Some(by) => format!("\"{}\" can never be read as {}: {by} takes it", claim.word.text, claim.called()),
        None => format!("\"{}\" can never be read as {}", claim.word.text, claim.called()),
    };
    told(
        what,
        "choose other words, or drop the phrase from what takes it; `hoistnote lexicon try` shows how it is read",
    )
}

/// Whether what was found is what the claim is for, over all its words.
fn is_read(claim: &Claim, found: &Mentions, len: usize, lexicon: &Lexicon) -> bool {
    let id = claim.owner().1;
    match claim.entry.family {
        Family::Part => found.parts.iter().any(|p| {
            p.first == 0 && p.end - p.heads <= len && p.end == len && p.parts.iter().any(|i| lexicon.parts[*i].id == id)
        }),
        Family::Place => found.places.iter().any(|p| p.first == 0 && p.end == len) || nowhere(claim, lexicon),
        family => found.signals.iter().any(|s| s.first == 0 && s.end == len && means(&s.meaning, family, id)),
    }
}

/// Words that only look like a place are found by not being found.
fn nowhere(claim: &Claim, lexicon: &Lexicon) -> bool {
    let Some(phrase) = lexicon.phrase(&claim.folded) else { return false };
    lexicon.meanings[phrase].iter().any(|m| matches!(m, Meaning::Place { .. }))
}

fn means(m: &Meaning, family: Family, id: &str) -> bool {
    m.family() == family && m.id().is_none_or(|own| own == id)
}

/// What takes the words instead.
fn taker(found: &Mentions, lexicon: &Lexicon) -> Option<String> {
    if let Some(p) = found.parts.first() {
        let ids: Vec<&str> = p.parts.iter().map(|i| lexicon.parts[*i].id.as_str()).collect();
        let how = match p.how {
            How::Compound => "with the noun behind it ",
            How::SoundAlike => "by its sound ",
            _ => "",
        };
        let more = if ids.len() > 3 { format!(" or {} more", ids.len() - 3) } else { String::new() };
        let named = ids[..ids.len().min(3)].join("\" or \"");
        return Some(format!("part \"{named}\"{more} {how}").trim_end().to_string());
    }
    if let Some(p) = found.places.first() {
        let words: Vec<&str> = lexicon.places[p.place].iter().map(|w| w.as_str()).collect();
        return Some(format!("the place \"{}\"", words.join(" ")));
    }
    let s = found.signals.first()?;
    Some(called(s.meaning.family(), s.meaning.id().unwrap_or_default()))
}

/// What an entry is called.
fn called(family: Family, id: &str) -> String {
    match id {
        "" => format!("`{}`", family.key()),
        id => format!("{} \"{id}\"", family.key()),
    }
}

/// Little words, or one plain English word as a firm name.
fn everywhere(claim: &Claim, lexicon: &Lexicon) -> Option<Problem> {
    if matches!(claim.key, Key::Weak | Key::Not)
        || matches!(claim.entry.family, Family::Cue | Family::Place | Family::Degree)
    {
        return None;
    }
    let words: Vec<&str> = claim.folded.split(' ').collect();
    let text = &claim.word.text;
    // "put one in" says something all the same; as the name of a part it would not
    if (claim.of_part() || words.len() == 1) && words.iter().all(|w| matching::is_little(w)) {
        let what = format!("\"{text}\" would match everywhere: it is made of words that stand in every other sentence");
        let help = "write more of what is said, or take it out";
        return Some(Problem::new(ProblemKind::Everywhere, claim.spot(""), what, help));
    }
    if claim.firm() && words.len() == 1 && lexicon.common.contains(words[0]) {
        let what =
            format!("\"{text}\" is a plain English word and would be taken for {} wherever it is said", claim.called());
        let help = "move it to `weak`: there it counts only while its system is spoken of";
        return Some(Problem::new(ProblemKind::PlainWord, claim.spot(""), what, help));
    }
    None
}

/// A name of another part sounds the same.
fn sound_alike(claim: &Claim, interpreter: &Interpreter) -> Option<Problem> {
    let lexicon = interpreter.lexicon();
    let own = claim.owner().1;
    let (part, phrase) = interpreter
        .sounds()
        .sounding_like(&claim.folded, lexicon)
        .into_iter()
        .find(|(part, _)| lexicon.parts[*part].id != own)?;
    let other = &lexicon.parts[part].id;
    let what = format!(
        "\"{}\" sounds like \"{}\", a name of part \"{other}\": a recogniser may write one for the other",
        claim.word.text, &lexicon.phrases[phrase]
    );
    let help =
        "say a word more (\"…\" with the name of its system), or live with it: such lines are marked as heard by sound";
    Some(Problem::new(ProblemKind::SoundAlike, claim.spot(""), what, help))
}
