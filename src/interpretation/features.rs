//! Owns the features a mention is judged by: signals and words of its territory, each named so that a person can read it.

use std::collections::HashMap;

use crate::lexicon::Cue;
use crate::matching::How;
use crate::text::{Clause, Kind};

use super::attributes::Telling;
use super::exception;
use super::mention::{Mention, Naming, Scene};
use super::polarity::{Says, Signal};
use super::reading::Reading;
use super::territory::{Stretch, Zone};
use super::tone::{Tone, tone};

/// Features of every mention; names sorted and without repeats.
pub fn features(
    r: &Reading,
    scene: &Scene,
    territories: &[Vec<Stretch>],
    offered_instead: &[Option<usize>],
    figures: Vec<Option<Telling>>,
) -> Vec<Vec<String>> {
    let mut members: HashMap<usize, usize> = HashMap::new();
    for m in &scene.mentions {
        *members.entry(m.group).or_default() += 1;
    }
    let mut heard = vec![false; scene.components.len()];
    let mut out = Vec::with_capacity(scene.mentions.len());
    let all = scene.mentions.iter().zip(territories).zip(offered_instead).zip(figures);
    for (i, (((m, territory), instead), figure)) in all.enumerate() {
        let next = scene.mentions.get(i + 1);
        let standing = Standing {
            before: std::mem::replace(&mut heard[m.component], true),
            offered_instead: instead.is_some(),
            listed: members.get(&m.group).is_some_and(|n| *n > 1),
            gone_through: next.is_some_and(|n| n.component == m.component && n.naming == Naming::ByPlace),
        };
        out.push(of_mention(r, scene, territory, m, &standing, figure));
    }
    out
}

/// How a mention stands among the others.
struct Standing {
    /// The part was spoken of before.
    before: bool,
    /// Named in one breath with others.
    listed: bool,
    /// Gone through place by place behind.
    gone_through: bool,
    /// Offered as another repair of the part before it.
    offered_instead: bool,
}

fn of_mention(
    r: &Reading,
    scene: &Scene,
    territory: &[Stretch],
    m: &Mention,
    standing: &Standing,
    figure: Option<Telling>,
) -> Vec<String> {
    let mut out = vec!["bias".to_string()];
    let mut said = Vec::new();
    for s in territory {
        // "RF 2": where places are gone through, a bare figure is a measurement
        let figure =
            m.naming == Naming::ByPlace && s.zone == Zone::After && !r.measures_in(m.end, m.end + 2).is_empty();
        let tone = stretch_features(r, s, figure, &mut out);
        if let Some(turn) = turn(r, s).filter(|_| tone != Tone::Silent && s.zone > Zone::Before) {
            out.push(format!("{turn}={}", tone.as_str()));
        }
        if tone != Tone::Silent && s.zone >= Zone::Next {
            let link = if speaks_on(r, s) { "spoken_on" } else { "apart" };
            out.push(format!("{link}={}", tone.as_str()));
        }
        if tone != Tone::Silent {
            said.push((s.zone, tone, mood(r, s)));
        }
    }
    if standing.offered_instead {
        out.push("offered_instead".into());
    }
    if let Some(tone) = exception::cue_before(r, m.from()).and_then(|cue| exception::tone_before(r, cue)) {
        out.push(format!("excepted_from={}", tone.as_str()));
    }
    if let Some(told) = figure.map(Telling::as_str) {
        out.push(format!("figure={told}"));
        // where nothing else is said, the figure is the verdict
        if said.iter().all(|x| matches!(x.1, Tone::Measured | Tone::Action)) {
            out.push(format!("only_figure={told}"));
        }
    }
    let preposition = match m.preposition {
        Some(Cue::Landmark) => "landmark",
        Some(Cue::Within) => "within",
        _ => "none",
    };
    verdict_features(&said, preposition, &mut out);
    let naming = match m.naming {
        Naming::Named => "named",
        Naming::ByPlace => "by_place",
        Naming::SameAgain => "same_again",
    };
    out.push(format!("naming={naming}"));
    let how = match m.how {
        How::Exact => "exact",
        How::Context => "context",
        How::Compound => "compound",
        How::SoundAlike => "sound_alike",
        How::Code => "code",
    };
    out.push(format!("how={how}"));
    out.push(format!("preposition={preposition}"));
    if preposition != "none"
        && let Some(t) = preposition_word(r, m.first)
    {
        out.push(format!("prep={t}"));
    }
    let bare = m.plural && !determined(r, m.first);
    if bare && let Some(first) = out.iter().find(|f| f.starts_with("first=") && !f.contains(['@', '&'])).cloned() {
        out.push(format!("plural&bare&{first}"));
    }
    if m.plural {
        out.push(if determined(r, m.first) { "plural&determined" } else { "plural&bare" }.into());
    }
    if !m.own.is_empty() {
        out.push("own_place".into());
    }
    if m.rest {
        out.push("rest".into());
    }
    if let Some(t) = m.first.checked_sub(1).map(|t| &r.tokens[t]).filter(|t| t.kind == Kind::Word) {
        out.push(format!("word-1={}", t.word));
    }
    if let Some(t) = r.tokens.get(m.end).filter(|t| t.kind == Kind::Word) {
        out.push(format!("word+1={}", t.word));
    }
    let silent = said.is_empty();
    if standing.before {
        out.push("spoken_of_before".into());
        if silent {
            out.push("silent&spoken_of_before".into());
        }
    }
    if standing.gone_through {
        // "fronts at three, rears at eight": a figure without a unit says something too
        out.push(if silent && figure.is_none() { "gone_through&silent" } else { "gone_through" }.into());
    }
    if standing.listed {
        out.push("listed".into());
    }
    let at = m.first as f64 / r.tokens.len().max(1) as f64;
    if at > 0.85 && r.tokens.len() > 200 {
        out.push("near_the_end".into());
        if standing.before {
            out.push("near_the_end&spoken_of_before".into());
        }
    }
    let clause = &r.clauses[r.clause_of[m.first]];
    if clause.asks {
        out.push("asked".into());
        if silent {
            out.push("asked&silent".into());
        }
    }
    if clause.first == m.first || m.place_words.iter().any(|w| w.0 == clause.first) {
        out.push("opens_clause".into());
        if silent {
            out.push("opens_clause&silent".into());
        }
    }
    if r.notes {
        out.push("typed".into());
        if silent {
            out.push("typed&silent".into());
        }
    }
    let part = &scene.components[m.component].id;
    out.push(format!("part={part}"));
    out.push(format!("said={}", r.tokens[m.end - 1].norm));
    out.push(if m.end - m.first > 1 { "several_words" } else { "one_word" }.into());
    if silent {
        out.push(if m.end - m.first > 1 { "silent&several_words" } else { "silent&one_word" }.into());
    }
    if let Some(gap) = gap(r, territory, m.end) {
        out.push(format!("gap={gap}"));
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// How far behind the part the first thing is said of it.
fn gap(r: &Reading, territory: &[Stretch], end: usize) -> Option<&'static str> {
    let told = |s: &Signal| !matches!(s.says, Says::Cue(_) | Says::Degree(_) | Says::Urgency(_));
    let first = territory
        .iter()
        .filter(|s| s.zone > Zone::Before)
        .find_map(|s| r.signals_in(s.first, s.end).iter().find(|x| told(x)).map(|x| x.first))?;
    Some(match first.saturating_sub(end) {
        0..=2 => "close",
        3..=6 => "near",
        7..=14 => "off",
        _ => "far",
    })
}

/// The turning word a clause opens with: what comes behind "but" outweighs what stood before it.
fn turn(r: &Reading, s: &Stretch) -> Option<&'static str> {
    match r.tokens[s.first].norm.as_str() {
        "but" | "though" | "although" | "however" | "only" => Some("but"),
        "so" | "then" => Some("so"),
        "because" | "since" | "cause" => Some("because"),
        _ => None,
    }
}

/// The mood of talk that is not about this vehicle.
pub const GENERAL: &str = "general";

/// Whether the clause of a stretch speaks in general, of a case, or asks.
pub fn mood(r: &Reading, s: &Stretch) -> &'static str {
    r.moods[r.clause_of[s.first]]
}

/// The mood of every clause.
pub fn moods(clauses: &[Clause], signals: &[Signal]) -> Vec<&'static str> {
    let mut out = Vec::with_capacity(clauses.len());
    let mut at = 0;
    // "where they let go, once the plastic is old, is the neck": the mood of a sentence holds on to its end
    let mut so_far: Vec<Cue> = Vec::new();
    let mut sentence = None;
    for c in clauses {
        if sentence.replace(c.sentence) != Some(c.sentence) {
            so_far.clear();
            at += signals[at..].partition_point(|s| s.first < c.first);
        }
        let mut specific = false;
        while let Some(signal) = signals.get(at).filter(|s| s.first < c.end) {
            at += 1;
            match signal.says {
                Says::Cue(Cue::Specific) => specific |= signal.first >= c.first,
                Says::Cue(cue @ (Cue::Hypothetical | Cue::General | Cue::Hearsay)) if !so_far.contains(&cue) => {
                    so_far.push(cue);
                }
                _ => {}
            }
        }
        out.push(if c.asks {
            "asked"
        } else if specific {
            "this"
        } else if so_far.contains(&Cue::Hypothetical) {
            "case"
        } else if so_far.contains(&Cue::General) {
            GENERAL
        } else if so_far.contains(&Cue::Hearsay) {
            "hearsay"
        } else {
            "plain"
        });
    }
    out
}

/// Whether a later sentence speaks on about the part: it opens with a pronoun or is only a few words.
fn speaks_on(r: &Reading, s: &Stretch) -> bool {
    let c = r.clauses[r.clause_of[s.first]];
    let words = (c.first..c.end).filter(|&t| r.tokens[t].is_wordlike()).count();
    words <= 4 || r.has_cue(c.first, (c.first + 3).min(c.end), Cue::ThisOne)
}

/// The first thing said behind the part decides most; what was said in front of it and what follows come next.
fn verdict_features(said: &[(Zone, Tone, &str)], preposition: &str, out: &mut Vec<String>) {
    let firm = |t: Tone| !matches!(t, Tone::Measured | Tone::Action | Tone::WeakSound | Tone::WeakDefect);
    let behind: Vec<&(Zone, Tone, &str)> = said.iter().filter(|x| x.0 > Zone::Before).collect();
    let front = said.iter().filter(|x| x.0 <= Zone::Before).max_by_key(|x| (firm(x.1), x.0));
    // what is said of this vehicle outweighs what was said before of vehicles in general
    let real = |d: &str| matches!(d, "this" | "plain");
    let first = behind
        .iter()
        .find(|x| firm(x.1) && real(x.2))
        .or_else(|| behind.iter().find(|x| firm(x.1)))
        // a figure by itself says less than the work it leads to
        .or_else(|| behind.iter().find(|x| x.1 != Tone::Measured))
        .or_else(|| behind.first());
    if behind.iter().any(|x| x.1 == Tone::Action && real(x.2)) {
        out.push("work_asked".into());
    }
    if behind.iter().take_while(|x| Some(*x) != first).any(|x| firm(x.1)) {
        out.push("talk_first".into());
    }
    let second = behind.iter().skip_while(|x| Some(*x) != first).skip(1).find(|x| firm(x.1));
    match first {
        Some((z, t, d)) => {
            let (z, t) = (z.as_str(), t.as_str());
            out.push(format!("first={t}"));
            out.push(format!("first={t}@{z}"));
            out.push(format!("first={t}&{d}"));
            out.push(format!("first={t}&preposition={preposition}"));
            out.push(format!("first={t}@{z}&{d}&{preposition}"));
            if let Some((_, t2, _)) = second {
                out.push(format!("then={}", t2.as_str()));
                out.push(format!("first={t}&then={}", t2.as_str()));
            }
        }
        None => out.push(format!("first=silent&preposition={preposition}")),
    }
    if let Some((z, t, d)) = front {
        out.push(format!("front={}@{}", t.as_str(), z.as_str()));
        out.push(format!("front={}&{d}", t.as_str()));
        out.push(format!("front={}&preposition={preposition}", t.as_str()));
        let f = first.map_or("silent", |x| x.1.as_str());
        out.push(format!("front={}&first={f}", t.as_str()));
    } else if first.is_none() {
        out.push("silent".into());
        out.push(format!("silent&preposition={preposition}"));
    }
}

fn determined(r: &Reading, first: usize) -> bool {
    (first.saturating_sub(3)..first).any(|t| {
        matches!(
            r.tokens[t].norm.as_str(),
            "the" | "your" | "these" | "those" | "all" | "both" | "his" | "her" | "my" | "our"
        )
    })
}

fn preposition_word(r: &Reading, first: usize) -> Option<String> {
    (first.saturating_sub(4)..first).rev().find_map(|t| {
        r.signals_in(t, t + 1)
            .iter()
            .any(|s| matches!(s.says, Says::Cue(Cue::Landmark | Cue::Within)))
            .then(|| r.tokens[t].norm.clone())
    })
}

/// Words of a clause that is nothing but a verdict.
const WORDS_OF_A_VERDICT: usize = 2;

/// Adds the features of one stretch and returns its tone.
fn stretch_features(r: &Reading, s: &Stretch, figure: bool, out: &mut Vec<String>) -> Tone {
    let z = s.zone.as_str();
    let mut signals = s.signals(r);
    if s.holds_exception(r) && s.before_the_part() {
        out.push(format!("{z}:excepted"));
    }
    for x in &signals {
        let firmness = if x.weak { "weak_" } else { "" };
        out.push(format!("{z}:{firmness}{}", says_name(x.says)));
        if !matches!(x.says, Says::Cue(_)) {
            out.push(format!("tells={}:{}", says_name(x.says), r.phrase(x.first, x.end)));
        }
    }
    if r.has_code(s.first, s.end) {
        out.push(format!("{z}:trouble_code"));
    }
    let measured = figure || r.measured_in(s.first, s.end);
    if measured {
        out.push(format!("{z}:measured"));
    }
    words(r, s, out);
    // "Battery. Dead." — a word that is weak in a sentence is the verdict when it stands alone
    if (s.first..s.end).filter(|&t| r.tokens[t].is_wordlike()).count() <= WORDS_OF_A_VERDICT {
        signals.iter_mut().for_each(|x| x.weak = false);
    }
    tone(&signals, measured)
}

fn words(r: &Reading, s: &Stretch, out: &mut Vec<String>) {
    if s.zone == Zone::Later {
        return;
    }
    let z = s.zone.as_str();
    let mut last: Option<&str> = None;
    for t in &r.tokens[s.first..s.end] {
        let w = match t.kind {
            Kind::Word => t.word.as_str(),
            Kind::Number(_) => "#",
            Kind::Mark('?') => "?",
            _ => {
                last = None;
                continue;
            }
        };
        out.push(format!("{z}/{w}"));
        out.push(format!("/{w}"));
        if let Some(l) = last {
            out.push(format!("/{l} {w}"));
        }
        last = Some(w);
    }
}

fn says_name(says: Says) -> String {
    match says {
        Says::Defect(_) | Says::SomeDefect => "defect".into(),
        Says::Sound { denies: None } => "sound".into(),
        Says::Sound { denies: Some(_) } => "denied_defect".into(),
        Says::Unchecked => "unchecked".into(),
        Says::Serviced => "serviced".into(),
        Says::Action(a) => format!("action={}", a.as_str()),
        Says::NoAction(_) => "no_action".into(),
        Says::Urgency(u) => format!("urgency={}", u.as_str()),
        Says::Degree(d) => format!("degree={}", d.as_str()),
        Says::Cue(c) => format!("cue={}", c.as_str()),
    }
}
