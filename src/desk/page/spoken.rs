//! Owns the dictation as it is shown: every line whole, with its time, the words behind findings marked, photos at their time.

use maud::{Markup, html};

use super::super::state::Opened;
use super::{at, encoded};
use crate::findings::{Evidence, UtteranceOut};
use crate::report::{shown, time};
use crate::review::taken_at;

/// Recording, photos and lines.
pub fn spoken(opened: &Opened) -> Markup {
    let i = &opened.inspection;
    let recording = i.recordings.first();
    let media = |file: &str| format!("{}/file/{}", at(&i.name), encoded(file));
    let mut photos: Vec<(Option<u64>, &String)> =
        i.photos.iter().map(|p| (recording.and_then(|r| taken_at(p, r)), p)).collect();
    photos.sort_unstable();
    let timeless = photos.iter().take_while(|p| p.0.is_none());
    let mut later = photos.iter().filter_map(|(at, p)| Some(((*at)?, *p))).peekable();
    let by_line = marks(opened);
    html! {
        section.spoken aria-label="What was said" {
            @if let Some(recording) = recording {
                audio #recording controls preload="metadata" src=(media(recording)) aria-label="Recording" {}
            } @else { p.aside { "No recording in this folder." } }
            @if photos.iter().any(|p| p.0.is_none()) {
                div.photos { @for (_, p) in timeless { (photo(p, &media(p), None)) } }
            }
            @for (source, first) in &opened.extraction.sources {
                @let last = opened.extraction.sources.iter().map(|s| s.1).find(|f| f > first).unwrap_or(usize::MAX);
                @if opened.extraction.sources.len() > 1 { h2.source { (shown(source)) } }
                ol.lines {
                    @for u in opened.list.document.utterances.iter().filter(|u| u.n >= *first && u.n < last) {
                        (line(u, &by_line[u.n - 1], recording.is_some()))
                        @while let Some((ms, p)) = later.next_if(|(ms, _)| next_start(opened, u.n).is_none_or(|s| *ms < s)) {
                            li.shot { (photo(p, &media(p), Some(ms))) }
                        }
                    }
                }
            }
        }
    }
}

fn next_start(opened: &Opened, n: usize) -> Option<u64> {
    opened.list.document.utterances.iter().skip(n).find_map(|u| u.start_ms)
}

fn photo(name: &str, address: &str, taken: Option<u64>) -> Markup {
    let name = shown(name);
    html! {
        figure {
            a href=(address) target="_blank" rel="noopener" { img src=(address) alt={ "Photo " (name) } loading="lazy"; }
            figcaption { @if let Some(ms) = taken { (time(ms)) " " } (name) }
        }
    }
}

/// For each line, the stretches of it that findings rest on, with their ids; sorted, no two overlap.
fn marks(opened: &Opened) -> Vec<Vec<(usize, usize, Vec<String>)>> {
    let document = &opened.list.document;
    let mut spans: Vec<Vec<(usize, usize, &str)>> = vec![Vec::new(); document.utterances.len()];
    for f in &document.findings {
        for Evidence { utterance, start, end, .. } in &f.evidence {
            if let Some(line) = utterance.checked_sub(1).and_then(|n| spans.get_mut(n)) {
                line.push((*start, *end, &f.id));
            }
        }
    }
    let cut = |(line, spans): (&UtteranceOut, Vec<(usize, usize, &str)>)| {
        let mut edges: Vec<usize> = spans.iter().flat_map(|s| [s.0, s.1]).collect();
        edges.retain(|e| line.text.is_char_boundary(*e));
        edges.sort_unstable();
        edges.dedup();
        let mut out: Vec<(usize, usize, Vec<String>)> = Vec::new();
        for pair in edges.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let mut ids: Vec<String> =
                spans.iter().filter(|s| s.0 <= from && to <= s.1).map(|s| s.2.to_string()).collect();
            ids.dedup();
            if !ids.is_empty() {
                out.push((from, to, ids));
            }
        }
        out
    };
    document.utterances.iter().zip(spans).map(cut).collect()
}

fn line(u: &UtteranceOut, marks: &[(usize, usize, Vec<String>)], plays: bool) -> Markup {
    let mut at = 0;
    html! {
        li id={ "line-" (u.n) } data-line=(u.n) {
            @match u.start_ms {
                Some(ms) if plays => button.at type="button" data-ms=(ms) aria-label={ "Play from " (time(ms)) } { (time(ms)) },
                Some(ms) => span.at { (time(ms)) },
                None => span.at { (u.n) },
            }
            @if let Some(speaker) = &u.speaker { span.speaker { (shown(speaker)) ":" } }
            span.said {
                @for (from, to, ids) in marks {
                    @let before = std::mem::replace(&mut at, *to);
                    (shown(u.text.get(before..*from).unwrap_or_default()))
                    mark data-findings=(ids.join(" ")) { (shown(u.text.get(*from..*to).unwrap_or_default())) }
                }
                (shown(u.text.get(at..).unwrap_or_default()))
            }
        }
    }
}
