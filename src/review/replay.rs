//! Owns the replay: extraction and decisions in, final list out. Pure, so that the same lines always give the same list.

use std::collections::HashMap;

use serde::Serialize;

use crate::findings::{Document, Evidence, Finding, ReviewState, Reviewed, Role};
use crate::lexicon::{UrgencyId, Verdict};
use crate::report;

use super::anchor::{Anchor, Mark};
use super::decision::{Change, Content, Decision, Entry, Line, Named, Subject};
use super::mend::{self, Limits};
use super::undo::Undoing;

/// What comes out of extraction and decisions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FinalList {
    /// The document with the final findings; what was passed over or found a part is no longer unplaced.
    #[serde(flatten)]
    pub document: Document,
    /// How the review of each finding stands, in the order of the findings.
    #[serde(skip)]
    pub items: Vec<Item>,
    /// Words without a part, and what became of them.
    #[serde(skip)]
    pub loose: Vec<Loose>,
    /// Findings that a person took out.
    pub dropped: Vec<Dropped>,
    /// Findings that were once not to be driven with, and what became of them.
    pub lifted: Vec<Lifted>,
    /// Decisions that apply to nothing any more.
    pub stale: Vec<Stale>,
    /// Lines of the log that could not be read, 1-based.
    pub unreadable: Vec<usize>,
    /// Lines of the log.
    pub revision: usize,
    /// The line that says it was handed over, if nothing was decided after it.
    pub handed_over: Option<usize>,
    /// What can be undone.
    #[serde(skip)]
    pub undoing: Undoing,
}

/// How the review of one finding stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// How far it is.
    pub state: ReviewState,
    /// Why it must be looked at before anything is handed over; empty where it need not be.
    pub doubts: Vec<String>,
    /// How the program had it, where a person changed it.
    pub extracted: Option<Content>,
    /// What it holds on to.
    pub anchor: Anchor,
}

impl Item {
    /// Whether it still keeps the list from being handed over.
    pub fn is_open(&self) -> bool {
        self.state == ReviewState::Open && !self.doubts.is_empty()
    }
}

/// Words that no part was found for.
#[derive(Debug, Clone, PartialEq)]
pub struct Loose {
    /// 1-based line.
    pub line: usize,
    /// The line, whole.
    pub text: String,
    /// Why they stand here.
    pub reason: String,
    /// Passed over, or cited by a finding that was added.
    pub is_settled: bool,
}

/// A finding that was taken out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dropped {
    /// As it stood.
    pub finding: Finding,
    /// Why.
    pub reason: String,
    /// 1-based line of the log.
    pub line: usize,
}

/// A finding that was once not to be driven with and is so no longer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lifted {
    /// As it stood when it was.
    pub finding: Finding,
    /// Why it is so no longer.
    pub reason: String,
}

/// A decision that applies to nothing any more, or to something that now reads otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stale {
    /// 1-based line of the log.
    pub line: usize,
    /// The decision.
    pub decision: Line,
    /// Why it does not apply.
    pub reason: String,
    /// Whether that was looked at.
    pub is_passed: bool,
}

impl FinalList {
    /// How many things must still be looked at before anything is handed over.
    pub fn open(&self) -> usize {
        self.items.iter().filter(|i| i.is_open()).count()
            + self.loose.iter().filter(|l| !l.is_settled).count()
            + self.stale.iter().filter(|s| !s.is_passed).count()
    }

    /// The finding with an id and how its review stands.
    pub fn find(&self, id: &str) -> Option<(&Finding, &Item)> {
        self.document.findings.iter().zip(&self.items).find(|(f, _)| f.id == id)
    }
}

/// Replays the lines of a log on an extraction.
pub fn final_list(extraction: &Document, entries: &[Entry], limits: Limits) -> FinalList {
    let undoing = Undoing::of(entries);
    let mut replay = Replay::new(extraction, limits);
    for line in undoing.counting() {
        if let Some(Entry::Decision(decided)) = entries.get(line - 1) {
            replay.apply(*line, decided);
        }
    }
    replay.finish(entries, undoing)
}

/// One finding on its way.
#[derive(Clone)]
struct Work {
    anchor: Anchor,
    finding: Finding,
    state: ReviewState,
    extracted: Option<Content>,
    doubts: Vec<String>,
    /// As it stood when it was last not to be driven with.
    stop: Option<Finding>,
    /// Why it is so no longer.
    lifted: String,
}

impl Work {
    fn review(&mut self) -> &mut Reviewed {
        self.finding.review.get_or_insert_default()
    }

    fn remember_stop(&mut self) {
        if self.finding.urgency == Some(UrgencyId::Stop) {
            self.stop = Some(self.finding.clone());
        }
    }
}

struct Replay<'e> {
    extraction: &'e Document,
    limits: Limits<'e>,
    works: Vec<Work>,
    /// Ids that decisions use → ids of the list.
    meant: HashMap<String, String>,
    dropped: Vec<Dropped>,
    lifted: Vec<Lifted>,
    stale: Vec<Stale>,
    passed_lines: Vec<usize>,
    passed_decisions: Vec<usize>,
    handed_over: Option<usize>,
}

impl<'e> Replay<'e> {
    fn new(extraction: &'e Document, limits: Limits<'e>) -> Replay<'e> {
        let works = extraction.findings.iter().map(|f| {
            let mut work = Work {
                anchor: Anchor::of(f, &extraction.utterances),
                finding: f.clone(),
                state: ReviewState::Open,
                extracted: Some(f.into()),
                doubts: doubts(f),
                stop: None,
                lifted: String::new(),
            };
            work.remember_stop();
            work
        });
        Replay {
            extraction,
            limits,
            works: works.collect(),
            meant: HashMap::new(),
            dropped: Vec::new(),
            lifted: Vec::new(),
            stale: Vec::new(),
            passed_lines: Vec::new(),
            passed_decisions: Vec::new(),
            handed_over: None,
        }
    }

    /// Where in the list the finding is that an anchor means.
    fn at(&mut self, anchor: &Anchor) -> Option<usize> {
        let known = self.meant.get(&anchor.id).cloned();
        let wanted = known.map_or_else(|| anchor.clone(), |id| Anchor { id, ..Anchor::default() });
        let at = wanted.find(self.works.iter().enumerate().map(|(i, w)| (i, &w.anchor)))?;
        self.meant.insert(anchor.id.clone(), self.works[at].anchor.id.clone());
        Some(at)
    }

    fn apply(&mut self, line: usize, decided: &Line) {
        self.handed_over = None;
        if let Err(reason) = self.try_apply(line, &decided.decision) {
            self.stale.push(Stale { line, decision: decided.clone(), reason: reason.to_string(), is_passed: false });
        }
    }

    fn try_apply(&mut self, line: usize, decision: &Decision) -> Result<(), &'static str> {
        match decision {
            Decision::Accept { finding, before } => {
                let at = self.at(finding).ok_or(GONE)?;
                self.as_it_read(at, before)?;
                self.works[at].state = ReviewState::Accepted;
            }
            Decision::Correct { finding, after, reason, .. } => {
                let at = self.at(finding).ok_or(GONE)?;
                self.change(at, after, reason.as_deref().unwrap_or_default());
            }
            Decision::Drop { finding, before, reason } => {
                let at = self.at(finding).ok_or(GONE)?;
                if !mend::is_no_graver(&(&self.works[at].finding).into(), before) {
                    return self.reads_otherwise(at);
                }
                self.drop(at, reason, line);
            }
            Decision::Split { finding, after, .. } => {
                let at = self.at(finding).ok_or(GONE)?;
                let whole = self.works[at].clone();
                for (k, piece) in after.iter().enumerate() {
                    if k > 0 {
                        let mut work = whole.clone();
                        work.finding.id.clone_from(&piece.id);
                        work.anchor = Anchor { id: piece.id.clone(), ..Anchor::default() };
                        self.works.insert(at + k, work);
                    }
                    self.change(at + k, &piece.change, "");
                }
            }
            Decision::Merge { findings, .. } => self.merge(findings)?,
            Decision::Add { id, words, after } => self.add(id, words, after)?,
            Decision::Note { finding, after, .. } => {
                let at = self.at(finding).ok_or(GONE)?;
                self.works[at].review().note = (!after.is_empty()).then(|| after.clone());
            }
            Decision::PassOver { subject: Subject::Finding { finding, before }, .. } => {
                let at = self.at(finding).ok_or(GONE)?;
                self.as_it_read(at, before)?;
                self.works[at].state = ReviewState::PassedOver;
            }
            Decision::PassOver { subject: Subject::Words(mark), .. } => {
                self.passed_lines.push(mark.find(&self.extraction.utterances).ok_or(NO_WORDS)?);
            }
            Decision::PassOver { subject: Subject::Decision(stale), .. } => self.passed_decisions.push(*stale),
            Decision::HandOver { .. } => self.handed_over = Some(line),
            Decision::Undo { .. } | Decision::Redo { .. } => {}
        }
        Ok(())
    }

    /// What was decided on one reading does not hold for another.
    fn as_it_read(&mut self, at: usize, before: &Content) -> Result<(), &'static str> {
        if mend::is_same(&(&self.works[at].finding).into(), before) { Ok(()) } else { self.reads_otherwise(at) }
    }

    fn reads_otherwise(&mut self, at: usize) -> Result<(), &'static str> {
        self.works[at].doubts.push("it reads otherwise than when it was decided on".into());
        Err("the words are now read otherwise; look at the finding again")
    }

    fn change(&mut self, at: usize, change: &Change<Named>, reason: &str) {
        let work = &mut self.works[at];
        mend::apply(&mut work.finding, change, self.limits);
        if let Some(wording) = &change.wording {
            work.review().wording = (!wording.is_empty()).then(|| wording.clone());
        }
        work.state = ReviewState::Corrected;
        if !reason.is_empty() {
            work.lifted = reason.to_string();
        }
        work.remember_stop();
    }

    fn drop(&mut self, at: usize, reason: &str, line: usize) {
        let mut work = self.works.remove(at);
        if let Some(stop) = work.stop.take() {
            self.lifted.push(Lifted { finding: stop, reason: reason.to_string() });
        }
        self.dropped.push(Dropped { finding: work.finding, reason: reason.to_string(), line });
    }

    fn merge(&mut self, findings: &[Anchor]) -> Result<(), &'static str> {
        let mut ids = Vec::new();
        for anchor in findings {
            let at = self.at(anchor).ok_or("one of the findings is no longer in the list")?;
            let id = self.works[at].anchor.id.clone();
            if !ids.contains(&id) {
                ids.push(id);
            }
        }
        let Some((kept, others)) = ids.split_first() else { return Ok(()) };
        for id in others {
            let Some(at) = self.works.iter().position(|w| w.anchor.id == *id) else { continue };
            let other = self.works.remove(at);
            let Some(into) = self.works.iter_mut().find(|w| w.anchor.id == *kept) else { continue };
            mend::take_in(&mut into.finding, other.finding);
            into.state = ReviewState::Corrected;
            into.remember_stop();
            if into.stop.is_none() {
                (into.stop, into.lifted) = (other.stop, other.lifted);
            }
            self.meant.values_mut().filter(|v| *v == id).for_each(|v| v.clone_from(kept));
            self.meant.insert(id.clone(), kept.clone());
        }
        Ok(())
    }

    /// An addition stands even where its words are gone: a person said so.
    fn add(&mut self, id: &str, words: &[Mark], after: &Change<Named>) -> Result<(), &'static str> {
        let Some(part) = &after.part else { return Err("it names no part") };
        let found: Vec<Option<Evidence>> = words.iter().map(|m| m.evidence(&self.extraction.utterances)).collect();
        let is_whole = found.iter().all(Option::is_some);
        let mut finding = Finding {
            id: id.to_string(),
            component: mend::component(part),
            position: Vec::new(),
            verdict: Verdict::Defect,
            conditions: Vec::new(),
            urgency: None,
            actions: Vec::new(),
            alternatives: Vec::new(),
            measurements: Vec::new(),
            confidence: 1.0,
            evidence: found.into_iter().flatten().collect(),
            why: vec!["added by a person who read or heard the words".into()],
            review: None,
        };
        mend::apply(&mut finding, after, self.limits);
        let wording = after.wording.clone().filter(|w| !w.is_empty());
        let mut work = Work {
            anchor: Anchor { id: id.to_string(), ..Anchor::default() },
            finding,
            state: ReviewState::Added,
            extracted: None,
            doubts: Vec::new(),
            stop: None,
            lifted: String::new(),
        };
        work.review().wording = wording;
        work.remember_stop();
        let place = first_words(&work.finding);
        let at = self.works.iter().position(|w| first_words(&w.finding) > place).unwrap_or(self.works.len());
        self.works.insert(at, work);
        if is_whole {
            Ok(())
        } else {
            Err("the words it was made from are no longer in the dictation; it stands without")
        }
    }

    fn finish(mut self, entries: &[Entry], undoing: Undoing) -> FinalList {
        let mut document = Document { findings: Vec::new(), ..self.extraction.clone() };
        let mut items = Vec::new();
        for mut work in std::mem::take(&mut self.works) {
            if work.finding.urgency != Some(UrgencyId::Stop)
                && let Some(stop) = work.stop.take()
            {
                self.lifted.push(Lifted { finding: stop, reason: work.lifted.clone() });
            }
            if work.state != ReviewState::Open || work.finding.review.is_some() {
                work.review().state = work.state;
            }
            let changed = work.extracted.filter(|c| !mend::is_same(c, &(&work.finding).into()));
            let anchor = Anchor { id: work.finding.id.clone(), ..Anchor::of(&work.finding, &document.utterances) };
            items.push(Item { state: work.state, doubts: work.doubts, extracted: changed, anchor });
            document.findings.push(work.finding);
        }
        let cited = |line: usize| {
            let mut added = document.findings.iter().zip(&items).filter(|(_, i)| i.state == ReviewState::Added);
            added.any(|(f, _)| f.evidence.iter().any(|e| e.utterance == line))
        };
        let loose: Vec<Loose> = self
            .extraction
            .unplaced
            .iter()
            .map(|u| Loose {
                line: u.utterance,
                text: u.text.clone(),
                reason: u.reason.clone(),
                is_settled: self.passed_lines.contains(&u.utterance) || cited(u.utterance),
            })
            .collect();
        document.unplaced.retain(|u| loose.iter().any(|l| l.line == u.utterance && !l.is_settled));
        document.cautions.extend(self.lifted.iter().map(|l| caution(&l.finding, &l.reason)));
        for stale in &mut self.stale {
            stale.is_passed = self.passed_decisions.contains(&stale.line);
        }
        let unreadable = entries.iter().enumerate().filter(|(_, e)| matches!(e, Entry::Unreadable(_)));
        FinalList {
            document,
            items,
            loose,
            dropped: self.dropped,
            lifted: self.lifted,
            stale: self.stale,
            unreadable: unreadable.map(|(i, _)| i + 1).collect(),
            revision: entries.len(),
            handed_over: self.handed_over,
            undoing,
        }
    }
}

const GONE: &str = "no finding of the list is about these words any more";
const NO_WORDS: &str = "the words are no longer in the dictation";

fn first_words(f: &Finding) -> (usize, usize) {
    f.evidence.first().map_or((usize::MAX, 0), |e| (e.utterance, e.start))
}

/// Why a finding as the program made it must be looked at.
fn doubts(f: &Finding) -> Vec<String> {
    let mut out = Vec::new();
    if f.is_uncertain() {
        out.push(format!("the program is not certain of it (confidence {:.2})", f.confidence));
    }
    if f.verdict == Verdict::Sound && f.fails_limit() {
        out.push("called sound, but a figure said fails its limit".into());
    }
    out
}

/// What every reader must know of a finding that was once not to be driven with.
fn caution(f: &Finding, reason: &str) -> String {
    let words = f.evidence.iter().find(|e| e.role == Role::Urgency).or(f.evidence.first());
    let words = words.map(|e| format!(" (\"{}\")", report::shown(&e.text))).unwrap_or_default();
    let why = if reason.is_empty() { "no reason given" } else { reason };
    format!(
        "First read as not to be driven with, then judged otherwise at the desk: {}{words}. Reason: {}",
        report::part_at(&f.component, &f.position),
        report::shown(why)
    )
}
