//! Owns what a person asks for, on the page or at the command line, and the decision that it amounts to on the list as it stands.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use thiserror::Error;

use crate::findings::{Finding, ReviewState, UtteranceOut};
use crate::lexicon::{Lexicon, UrgencyId};

use super::anchor::{Anchor, Mark};
use super::decision::{Change, Content, Decision, Named, Piece, Subject};
use super::final_list::{FinalList, Item};
use super::mend;

/// Longer texts are no reason, note or wording.
const LONGEST: usize = 2_000;
/// More findings than this are not merged at once.
const MOST: usize = 100;

/// What a person asks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[allow(missing_docs)] // each is worded at the decision of its name
pub enum Edit {
    Accept {
        id: String,
    },
    Correct {
        id: String,
        change: Change<String>,
        #[serde(default)]
        reason: String,
    },
    Drop {
        id: String,
        reason: String,
    },
    Split {
        id: String,
    },
    Merge {
        ids: Vec<String>,
    },
    Add {
        words: Vec<Marked>,
        change: Change<String>,
    },
    Note {
        id: String,
        text: String,
    },
    Pass {
        id: String,
    },
    PassWords {
        line: usize,
        #[serde(default)]
        reason: String,
    },
    PassDecision {
        line: usize,
    },
    HandOver,
    Undo,
    Redo,
}

/// Words of a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marked {
    /// 1-based line.
    pub line: usize,
    /// The words; empty for the whole line.
    #[serde(default)]
    pub words: String,
}

/// Why something can't be decided.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{0}")]
pub struct Refusal(pub String);

fn refuse<T>(why: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal(why.into()))
}

/// The decision that an edit amounts to.
///
/// # Errors
/// A [`Refusal`] that says what is in the way and what to do.
pub fn decide(edit: &Edit, list: &FinalList, lexicon: &Lexicon) -> Result<Decision, Refusal> {
    let utterances = &list.document.utterances;
    Ok(match edit {
        Edit::Accept { id } => {
            let (f, item) = find(list, id)?;
            if item.state == ReviewState::Accepted {
                return refuse("it is accepted already");
            }
            Decision::Accept { finding: anchor(item), before: f.into() }
        }
        Edit::Correct { id, change, reason } => {
            let (f, item) = find(list, id)?;
            let after = checked(change, lexicon)?;
            let before = mend::whole(f, &after);
            if mend::before(f, &after) == after {
                return refuse("nothing was changed; change something, or accept the finding");
            }
            let lifts = f.urgency == Some(UrgencyId::Stop) && after.urgency.is_some_and(|u| u != Some(UrgencyId::Stop));
            let reason = text(reason, "reason")?;
            if lifts && reason.is_empty() {
                return refuse(
                    "the vehicle was not to be driven with this; say why that no longer holds (the customer is told)",
                );
            }
            let reason = (!reason.is_empty()).then_some(reason);
            Decision::Correct { finding: anchor(item), before: Box::new(before), after: Box::new(after), reason }
        }
        Edit::Drop { id, reason } => {
            let (f, item) = find(list, id)?;
            let reason = text(reason, "reason")?;
            if reason.is_empty() {
                return refuse("a finding is dropped for a reason; give one");
            }
            Decision::Drop { finding: anchor(item), before: f.into(), reason }
        }
        Edit::Split { id } => {
            let (f, item) = find(list, id)?;
            Decision::Split { finding: anchor(item), before: f.into(), after: pieces(f, list.revision) }
        }
        Edit::Merge { ids } => merge(ids, list)?,
        Edit::Add { words, change } => {
            let after = checked(change, lexicon)?;
            if after.part.is_none() {
                return refuse("an added finding needs a part; name one");
            }
            let words = words.iter().map(|w| mark(w, utterances)).collect::<Result<Vec<Mark>, Refusal>>()?;
            if words.is_empty() {
                return refuse("mark the words in the dictation that say it");
            }
            Decision::Add { id: new_id(&words[0].around, list.revision, 0), words, after }
        }
        Edit::Note { id, text: note } => {
            let (f, item) = find(list, id)?;
            let before = f.review.as_ref().and_then(|r| r.note.clone()).unwrap_or_default();
            Decision::Note { finding: anchor(item), before, after: text(note, "note")? }
        }
        Edit::Pass { id } => {
            let (f, item) = find(list, id)?;
            if item.state == ReviewState::PassedOver {
                return refuse("it is passed over already");
            }
            let subject = Subject::Finding { finding: anchor(item), before: Box::new(f.into()) };
            Decision::PassOver { subject, reason: String::new() }
        }
        Edit::PassWords { line, reason } => {
            if list.loose.iter().any(|l| l.line == *line && l.is_settled) {
                return refuse(format!("the words of line {line} are passed over already, or a finding has them"));
            }
            let words = Marked { line: *line, words: String::new() };
            Decision::PassOver { subject: Subject::Words(mark(&words, utterances)?), reason: text(reason, "reason")? }
        }
        Edit::PassDecision { line } => {
            if !list.stale.iter().any(|s| s.line == *line) {
                return refuse(format!("line {line} of the decisions still applies, or is no decision"));
            }
            if list.stale.iter().any(|s| s.line == *line && s.is_passed) {
                return refuse(format!("line {line} of the decisions is passed over already"));
            }
            Decision::PassOver { subject: Subject::Decision(*line), reason: String::new() }
        }
        Edit::HandOver => match list.open() {
            0 => Decision::HandOver { revision: list.revision },
            n => return refuse(format!("{n} to be looked at first; accept, correct, drop or pass over each of them")),
        },
        Edit::Undo => match list.undoing.next_undo() {
            Some(line) => Decision::Undo { line },
            None => return refuse("nothing is left to undo"),
        },
        Edit::Redo => match list.undoing.next_redo() {
            Some(line) => Decision::Redo { line },
            None => return refuse("nothing is left to redo"),
        },
    })
}

/// The finding whose id this is, or the only one whose id begins with it.
fn find<'l>(list: &'l FinalList, id: &str) -> Result<(&'l Finding, &'l Item), Refusal> {
    if let Some(found) = list.find(id) {
        return Ok(found);
    }
    let begins = |f: &&Finding| !id.is_empty() && f.id.starts_with(id);
    let mut fits = list.document.findings.iter().filter(begins);
    match (fits.next(), fits.next()) {
        (Some(one), None) => list.find(&one.id).ok_or_else(|| Refusal(String::new())),
        (Some(_), Some(_)) => refuse(format!("more than one finding has an id that begins with {id}; give more of it")),
        (None, _) => refuse(format!("no finding has the id {id}; it may have been dropped or merged")),
    }
}

fn anchor(item: &Item) -> Anchor {
    item.anchor.clone()
}

fn merge(ids: &[String], list: &FinalList) -> Result<Decision, Refusal> {
    if ids.len() < 2 || ids.len() > MOST {
        return refuse("choose at least two findings to merge, the one to keep first");
    }
    let mut findings: Vec<Anchor> = Vec::new();
    let mut before: Vec<Content> = Vec::new();
    for id in ids {
        let (f, item) = find(list, id)?;
        if findings.iter().any(|a| a.id == f.id) {
            return refuse(format!("{id} is named twice"));
        }
        findings.push(anchor(item));
        before.push(f.into());
    }
    Ok(Decision::Merge { findings, before })
}

/// One piece for each place; for each condition where there is one place; else two that are alike.
fn pieces(f: &Finding, revision: usize) -> Vec<Piece> {
    let places = mend::corners(&f.position);
    let by_place = || places.iter().map(|p| Change { place: Some(p.clone()), ..Change::default() });
    let by_condition =
        || f.conditions.iter().map(|c| Change { conditions: Some(vec![c.clone()]), ..Change::default() });
    let changes: Vec<Change<Named>> = match (places.len(), f.conditions.len()) {
        (2.., _) => by_place().collect(),
        (_, 2..) => by_condition().collect(),
        _ => vec![Change::default(), Change::default()],
    };
    let id = |k: usize| if k == 0 { f.id.clone() } else { new_id(&f.id, revision, k) };
    changes.into_iter().enumerate().map(|(k, change)| Piece { id: id(k), change }).collect()
}

fn mark(words: &Marked, utterances: &[UtteranceOut]) -> Result<Mark, Refusal> {
    let Some(u) = words.line.checked_sub(1).and_then(|n| utterances.get(n)) else {
        return refuse(format!("the dictation has no line {}; it has {}", words.line, utterances.len()));
    };
    if !u.text.contains(&words.words) {
        return refuse(format!("line {} does not say \"{}\"; mark words of one line", words.line, words.words));
    }
    Ok(Mark { line: words.line, words: words.words.clone(), around: u.text.clone() })
}

/// Ids of what people make: ten hexadecimal digits, like those of the program.
fn new_id(of: &str, revision: usize, k: usize) -> String {
    let digest = Sha256::digest(format!("{of}\n{revision}\n{k}"));
    digest.iter().take(5).map(|b| format!("{b:02x}")).collect()
}

fn checked(change: &Change<String>, lexicon: &Lexicon) -> Result<Change<Named>, Refusal> {
    let part = change.part.as_deref().map(|p| named(p, lexicon)).transpose()?;
    let figures = change.measurements.as_deref().unwrap_or_default();
    if figures.iter().any(|f| !f.value.is_finite()) {
        return refuse("a measurement is no number");
    }
    let mut place = change.place.clone();
    if let Some(place) = &mut place {
        place.sort_unstable();
        place.dedup();
    }
    Ok(Change {
        part,
        place,
        verdict: change.verdict,
        conditions: change.conditions.clone(),
        urgency: change.urgency,
        actions: change.actions.clone(),
        measurements: change.measurements.clone(),
        wording: change.wording.as_deref().map(|w| text(w, "wording")).transpose()?,
    })
}

/// The part that a name, an id or a nickname means; any other name is a part that the lexicon does not know.
fn named(words: &str, lexicon: &Lexicon) -> Result<Named, Refusal> {
    let words = text(words, "part")?;
    if words.is_empty() {
        return refuse("the part is empty; name one");
    }
    let known = lexicon
        .part_by_id(&words)
        .or_else(|| lexicon.parts.iter().position(|p| p.name.eq_ignore_ascii_case(&words)))
        .or_else(|| lexicon.strong_part(&lexicon.fold(&words)))
        .and_then(|at| lexicon.parts.get(at));
    Ok(match known {
        Some(p) => Named { id: p.id.clone(), name: p.name.clone(), system: p.system.clone() },
        None => Named { id: words.to_lowercase().replace([' ', '/'], "-"), name: words, system: String::new() },
    })
}

/// A text as a person typed it, on one line and not endless.
fn text(typed: &str, what: &str) -> Result<String, Refusal> {
    let text = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.len() > LONGEST {
        return refuse(format!("the {what} has {} bytes; {LONGEST} are the most", text.len()));
    }
    Ok(text)
}
