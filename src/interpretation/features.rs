//! Owns the features a mention is judged by: signals and words of its territory, each named so that a person can read it.

use crate::lexicon::Cue;
use crate::text::Kind;

use super::mention::{Naming, Scene};
use super::polarity::{Says, Signal};
use super::reading::Reading;
use super::territory::{Stretch, Zone};
use crate::matching::How;

/// Features of every mention; names sorted and without repeats.
pub fn features(r: &Reading, scene: &Scene, territories: &[Vec<Stretch>]) -> Vec<Vec<String>> {
    (0..scene.mentions.len()).map(|i| of_mention(r, scene, &territories[i], i)).collect()
}

fn of_mention(r: &Reading, scene: &Scene, territory: &[Stretch], i: usize) -> Vec<String> {
    let m = &scene.mentions[i];
    let mut out = vec!["bias".to_string()];
    let mut any = Tally::default();
    for s in territory {
        stretch_features(r, s, &mut out, &mut any);
    }
    out.extend(any.features());
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
    };
    out.push(format!("how={how}"));
    let preposition = match m.preposition {
        Some(Cue::Landmark) => "landmark",
        Some(Cue::Within) => "within",
        _ => "none",
    };
    out.push(format!("preposition={preposition}"));
    if any.is_silent() {
        out.push(format!("silent&preposition={preposition}"));
    }
    if preposition != "none" {
        out.push(format!("{preposition}&{}", any.leading()));
        if let Some(t) = preposition_word(r, m.first) {
            out.push(format!("prep={t}"));
        }
    }
    if m.plural {
        out.push(if determined(r, m.first) { "plural&determined" } else { "plural&bare" }.into());
    }
    if !m.own.is_empty() {
        out.push("own_place".into());
    }
    if !m.place.is_empty() {
        out.push("has_place".into());
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
    let earlier = scene.mentions[..i].iter().filter(|e| e.component == m.component).count();
    if earlier > 0 {
        out.push("spoken_of_before".into());
        if any.is_silent() {
            out.push("silent&spoken_of_before".into());
        }
    }
    let group = scene.mentions.iter().filter(|o| o.group == m.group).count();
    if group > 1 {
        out.push("listed".into());
    }
    let at = m.first as f64 / r.tokens.len().max(1) as f64;
    if at > 0.85 && r.tokens.len() > 200 {
        out.push("near_the_end".into());
        if earlier > 0 {
            out.push("near_the_end&spoken_of_before".into());
        }
    }
    let clause = &r.clauses[r.clause_of[m.first]];
    if clause.asks {
        out.push("asked".into());
    }
    if r.notes {
        out.push("typed".into());
    }
    let known = scene.components[m.component].system.as_str();
    out.push(format!("system={known}"));
    out.sort_unstable();
    out.dedup();
    out
}

fn determined(r: &crate::interpretation::reading::Reading, first: usize) -> bool {
    (first.saturating_sub(3)..first).any(|t| matches!(r.tokens[t].norm.as_str(), "the" | "your" | "these" | "those" | "all" | "both" | "his" | "her" | "my" | "our"))
}

fn preposition_word(r: &Reading, first: usize) -> Option<String> {
    (first.saturating_sub(4)..first).rev().find_map(|t| {
        r.signals_in(t, t + 1)
            .iter()
            .any(|s| matches!(s.says, Says::Cue(Cue::Landmark | Cue::Within)))
            .then(|| r.tokens[t].norm.clone())
    })
}

/// What the whole territory says, in sum.
#[derive(Debug, Default)]
struct Tally {
    defect: usize,
    sound: usize,
    unchecked: usize,
    serviced: usize,
    measured: usize,
    general: bool,
    first_says: Option<&'static str>,
    last_says: Option<&'static str>,
}

impl Tally {
    fn count(&mut self, s: &Signal) {
        let what = match s.says {
            Says::Defect(_) | Says::SomeDefect => {
                self.defect += 1;
                "defect"
            }
            Says::Sound { .. } => {
                self.sound += 1;
                "sound"
            }
            Says::Unchecked => {
                self.unchecked += 1;
                "unchecked"
            }
            Says::Serviced => {
                self.serviced += 1;
                "serviced"
            }
            _ => return,
        };
        self.first_says.get_or_insert(what);
        self.last_says = Some(what);
    }

    fn is_silent(&self) -> bool {
        self.defect + self.sound + self.unchecked + self.serviced + self.measured == 0
    }

    fn leading(&self) -> &'static str {
        self.first_says.unwrap_or("silent")
    }

    fn features(&self) -> Vec<String> {
        let mut out = vec![format!("first={}", self.leading()), format!("last={}", self.last_says.unwrap_or("silent"))];
        let cap = |n: usize| n.min(3);
        out.push(format!("sum=d{}s{}u{}v{}", cap(self.defect), cap(self.sound), cap(self.unchecked), cap(self.serviced)));
        if self.general {
            out.push(format!("general&first={}", self.leading()));
            out.push(format!("general&last={}", self.last_says.unwrap_or("silent")));
        }
        out
    }
}

fn stretch_features(r: &Reading, s: &Stretch, out: &mut Vec<String>, tally: &mut Tally) {
    let z = s.zone.as_str();
    let signals = r.signals_in(s.first, s.end);
    let has = |c: Cue| signals.iter().any(|x| x.says == Says::Cue(c));
    let clause = r.clauses[r.clause_of[s.first]];
    let mut flags = Vec::new();
    for (cue, name) in [(Cue::Hypothetical, "hyp"), (Cue::General, "gen"), (Cue::Specific, "spec"), (Cue::Hearsay, "heard"), (Cue::ThisOne, "this")] {
        if has(cue) {
            flags.push(name);
        }
    }
    tally.general |= has(Cue::General) || has(Cue::Hypothetical);
    if clause.asks {
        flags.push("asked");
    }
    // "all fine except the left lamp": what stands before the exception means the opposite for the part behind it
    let exception = signals.iter().rev().find(|x| x.says == Says::Cue(Cue::Except)).map(|x| x.first);
    for x in signals {
        let mut x = *x;
        if let Some(at) = exception
            && matches!(s.zone, Zone::Before | Zone::Lead)
            && x.first < at
            && let Some(o) = x.opposite
        {
            x.says = o;
            out.push(format!("{z}:excepted"));
        }
        if s.zone == Zone::After && exception.is_some_and(|at| x.first > at) {
            continue;
        }
        tally.count(&x);
        let name = says_name(x.says);
        let weak = if x.weak { "~" } else { "" };
        out.push(format!("{z}:{name}{weak}"));
        if matches!(x.says, Says::Cue(_) | Says::Degree(_)) {
            continue;
        }
        let coarse = coarse_name(x.says);
        out.push(format!("{z}:{coarse}"));
        out.push(format!("any:{coarse}"));
        for f in &flags {
            out.push(format!("{z}:{coarse}|{f}"));
        }
    }
    if r.measures.iter().any(|m| m.first >= s.first && m.first < s.end && m.unit.is_some()) {
        out.push(format!("{z}:measured"));
        tally.measured += 1;
    }
    if r.codes.iter().any(|c| c.0 >= s.first && c.0 < s.end) {
        out.push(format!("{z}:trouble_code"));
    }
    words(r, s, out);
}

fn words(r: &Reading, s: &Stretch, out: &mut Vec<String>) {
    let z = match s.zone {
        Zone::Later => "next",
        other => other.as_str(),
    };
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

fn coarse_name(says: Says) -> &'static str {
    match says {
        Says::Defect(_) | Says::SomeDefect => "defect",
        Says::Sound { denies: None } => "sound",
        Says::Sound { denies: Some(_) } => "denied_defect",
        Says::Unchecked => "unchecked",
        Says::Serviced => "serviced",
        Says::Action(_) => "action",
        Says::NoAction(_) => "no_action",
        Says::Urgency(_) => "urgency",
        Says::Degree(_) => "degree",
        Says::Cue(_) => "cue",
    }
}

fn says_name(says: Says) -> String {
    match says {
        Says::Defect(c) => format!("defect={}", c.as_str()),
        Says::Action(a) => format!("action={}", a.as_str()),
        Says::Urgency(u) => format!("urgency={}", u.as_str()),
        Says::Degree(d) => format!("degree={}", d.as_str()),
        Says::Cue(c) => format!("cue={}", c.as_str()),
        other => coarse_name(other).to_string(),
    }
}
