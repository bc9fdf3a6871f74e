//! Owns the replay: extraction and decisions in, final list out. Pure, so that the same lines always give the same list.

use std::collections::HashMap;

use crate::findings::{Document, Evidence, Finding, ReviewState, Reviewed, Role};
use crate::lexicon::{UrgencyId, Verdict};
use crate::report;

use super::anchor::{Anchor, Mark};
use super::decision::{Change, Content, Decision, Entry, Line, Named, Subject};
use super::final_list::{Dropped, FinalList, Item, Lifted, Loose, Stale};
use super::mend::{self, Limits};
use super::undo::Undoing;

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
        if let Err(unfit) = self.try_apply(line, &decided.decision) {
            let (reason, finding) = match unfit {
                Unfit::Nothing(reason) => (reason, None),
                Unfit::Otherwise(id) => (OTHERWISE, Some(id)),
            };
            let decision = decided.clone();
            self.stale.push(Stale { line, decision, reason: reason.to_string(), finding, is_passed: false });
        }
    }

    fn try_apply(&mut self, line: usize, decision: &Decision) -> Result<(), Unfit> {
        match decision {
            Decision::Accept { finding, before } => {
                let at = self.at(finding).ok_or(GONE)?;
                self.as_it_read(at, before)?;
                self.works[at].state = ReviewState::Accepted;
            }
            Decision::Correct { finding, before, after, reason } => {
                let at = self.at(finding).ok_or(GONE)?;
                let as_it_read = mend::leaves_as_read(&self.works[at].finding, before, after);
                self.change(at, after, reason.as_deref().unwrap_or_default());
                if !as_it_read {
                    return self.reads_otherwise(at);
                }
            }
            Decision::Drop { finding, before, reason } => {
                let at = self.at(finding).ok_or(GONE)?;
                if !mend::is_no_graver(&(&self.works[at].finding).into(), before) {
                    return self.reads_otherwise(at);
                }
                self.drop(at, reason, line);
            }
            Decision::Split { finding, before, after } => {
                let at = self.at(finding).ok_or(GONE)?;
                let whole = self.works[at].clone();
                let as_it_read = mend::is_same(&(&whole.finding).into(), before);
                for (k, piece) in after.iter().enumerate() {
                    if k > 0 {
                        let mut work = whole.clone();
                        work.finding.id.clone_from(&piece.id);
                        work.anchor = Anchor { id: piece.id.clone(), ..Anchor::default() };
                        self.works.insert(at + k, work);
                    }
                    self.change(at + k, &piece.change, "");
                    if !as_it_read {
                        // each piece has to be looked at; one of them stands for the decision
                        let _ = self.reads_otherwise(at + k);
                    }
                }
                if !as_it_read {
                    return Err(Unfit::Otherwise(whole.finding.id));
                }
            }
            Decision::Merge { findings, before } => {
                let mut as_it_read = true;
                for (anchor, content) in findings.iter().zip(before) {
                    let at = self.at(anchor).ok_or(ONE_GONE)?;
                    as_it_read &= mend::is_same(&(&self.works[at].finding).into(), content);
                }
                self.merge(findings)?;
                if let Some(at) = findings.first().and_then(|kept| self.at(kept))
                    && !as_it_read
                {
                    return self.reads_otherwise(at);
                }
            }
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
    fn as_it_read(&mut self, at: usize, before: &Content) -> Result<(), Unfit> {
        if mend::is_same(&(&self.works[at].finding).into(), before) { Ok(()) } else { self.reads_otherwise(at) }
    }

    /// The finding has to be looked at again, whatever was decided on it before.
    fn reads_otherwise(&mut self, at: usize) -> Result<(), Unfit> {
        let work = &mut self.works[at];
        work.state = ReviewState::Open;
        work.doubts.push("it reads otherwise than when it was decided on".into());
        Err(Unfit::Otherwise(work.finding.id.clone()))
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

    fn merge(&mut self, findings: &[Anchor]) -> Result<(), Unfit> {
        let mut ids = Vec::new();
        for anchor in findings {
            let at = self.at(anchor).ok_or(ONE_GONE)?;
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
    fn add(&mut self, id: &str, words: &[Mark], after: &Change<Named>) -> Result<(), Unfit> {
        let Some(part) = &after.part else { return Err(Unfit::Nothing("it names no part")) };
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
        if is_whole { Ok(()) } else { Err(Unfit::Nothing(WORDS_GONE)) }
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
            let about = stale.finding.as_ref().and_then(|id| items.iter().find(|i| i.anchor.id == *id));
            // a finding that was looked at since, or that is open itself, needs no second look
            let is_seen = stale.finding.is_some() && about.is_none_or(|i| !i.is_open());
            stale.is_passed = is_seen || self.passed_decisions.contains(&stale.line);
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

/// Why a decision does not apply.
enum Unfit {
    /// There is nothing that it is about.
    Nothing(&'static str),
    /// The finding with this id now reads otherwise.
    Otherwise(String),
}

const GONE: Unfit = Unfit::Nothing("no finding of the list is about these words any more");
const ONE_GONE: Unfit = Unfit::Nothing("one of the findings is no longer in the list");
const NO_WORDS: Unfit = Unfit::Nothing("the words are no longer in the dictation");
const WORDS_GONE: &str = "the words it was made from are no longer in the dictation; it stands without";
const OTHERWISE: &str = "the words are now read otherwise; the finding has to be looked at again";

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
