//! Owns what a reader collects: utterances with their lines, warnings, and the checks all formats share.

use super::{Problem, Utterance};

/// The longest time taken for true: a thousand hours.
pub(super) const MAX_MS: u64 = 1000 * 3_600_000;

/// What has been read so far.
pub(super) struct Reading {
    path: String,
    cues: Vec<(usize, Utterance)>,
    /// Where in the cues another recording's times begin.
    restarts: Vec<usize>,
    pub(super) warnings: Vec<Problem>,
}

impl Reading {
    pub(super) fn new(path: &str) -> Self {
        Self { path: path.to_owned(), cues: Vec::new(), restarts: Vec::new(), warnings: Vec::new() }
    }

    /// Keeps an utterance that begins at a line of the file, unless nothing is said in it.
    pub(super) fn keep(&mut self, line: usize, utterance: Utterance) {
        if !utterance.text.is_empty() {
            self.cues.push((line, utterance));
        }
    }

    /// Keeps words that carry no time.
    pub(super) fn keep_untimed(&mut self, line: usize, text: &str) {
        let text = text.trim().to_owned();
        self.keep(line, Utterance { text, ..Utterance::default() });
    }

    /// Says that the times of what follows are those of another recording.
    pub(super) fn restart_clock(&mut self) {
        self.restarts.push(self.cues.len());
    }

    pub(super) fn warn(&mut self, line: usize, what: impl Into<String>, advice: &str) {
        self.warnings.push(self.problem(line, what, advice));
    }

    pub(super) fn problem(&self, line: usize, what: impl Into<String>, advice: &str) -> Problem {
        Problem::whole(&self.path, what, advice).at_line(line)
    }

    pub(super) fn is_empty(&self) -> bool {
        self.cues.is_empty()
    }

    /// The utterances in the order of the file, and all warnings by line.
    pub(super) fn finish(mut self) -> (Vec<Utterance>, Vec<Problem>) {
        if self.cues.is_empty() {
            let what = "no words in it";
            let advice = "check that the recording or export was finished";
            self.warnings.push(Problem::whole(&self.path, what, advice));
        }
        let cues = std::mem::take(&mut self.cues);
        let mut kept: Vec<(usize, Utterance)> = Vec::with_capacity(cues.len());
        let mut last_start = None;
        for (index, (line, mut utterance)) in cues.into_iter().enumerate() {
            let restarted = self.restarts.binary_search(&index).is_ok();
            if restarted {
                last_start = None;
            }
            self.check_end(line, &mut utterance);
            self.check_order(line, &utterance, &mut last_start);
            match kept.last_mut() {
                Some((_, before)) if !restarted && repeats(before, &utterance) => {
                    before.end_ms = before.end_ms.max(utterance.end_ms);
                    let what = "the same words again while they still stand";
                    self.warn(line, what, "taken as said once");
                }
                _ => kept.push((line, utterance)),
            }
        }
        self.warnings.sort_by_key(|problem| problem.line);
        (kept.into_iter().map(|(_, utterance)| utterance).collect(), self.warnings)
    }

    fn check_end(&mut self, line: usize, utterance: &mut Utterance) {
        if let (Some(start), Some(end)) = (utterance.start_ms, utterance.end_ms)
            && end < start
        {
            utterance.end_ms = None;
            self.warn(line, "ends before it starts", "the end time was left out");
        }
    }

    fn check_order(&mut self, line: usize, utterance: &Utterance, last: &mut Option<u64>) {
        if let Some(start) = utterance.start_ms {
            if last.is_some_and(|before| start < before) {
                let what = "starts before the line above it";
                self.warn(line, what, "kept where it stands in the file");
            }
            *last = Some(start);
        }
    }
}

/// Rolling captions show the same words in two overlapping cues; words said twice don't overlap.
fn repeats(before: &Utterance, after: &Utterance) -> bool {
    let overlap = match (before.start_ms, before.end_ms, after.start_ms) {
        (Some(from), Some(to), Some(start)) => from <= start && start < to,
        _ => false,
    };
    overlap && before.text == after.text && before.speaker == after.speaker
}
