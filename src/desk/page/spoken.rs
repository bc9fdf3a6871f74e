//! Owns the dictation as it is shown: every line whole, with its time, the words behind findings marked, photos at their time.

use maud::{Markup, html};

use super::super::media::{Shot, is_timed, recordings, shots};
use super::super::state::Opened;
use super::{at, encoded};
use crate::findings::{Evidence, UtteranceOut};
use crate::report::{shown, time};

/// Recordings, photos and lines.
pub fn spoken(opened: &Opened) -> Markup {
    let i = &opened.inspection;
    let media = |file: &str| format!("{}/file/{}", at(&i.name), encoded(file));
    let sources = &opened.extraction.sources;
    let recordings = recordings(opened);
    let unread = i.recordings.iter().filter(|r| !recordings.contains(&Some(r)));
    let shots = shots(opened);
    let by_line = marks(opened);
    html! {
        section.spoken aria-label="What was said" {
            @if shots.iter().any(|s| s.moment.is_none()) {
                div.photos { @for s in shots.iter().filter(|s| s.moment.is_none()) { (photo(s, &media(s.name))) } }
            }
            @for recording in unread { div.source { h2 { (shown(recording)) } (sound(recording, &media(recording))) } }
            @for (k, (source, first)) in sources.iter().enumerate() {
                @let end = sources.get(k + 1).map_or(usize::MAX, |s| s.1);
                @let mut later = shots.iter().filter_map(|s| Some((s.moment.filter(|m| m.0 == k)?.1, s))).peekable();
                div.source {
                    @if sources.len() > 1 { h2 { (shown(source)) } }
                    @if let Some(recording) = recordings[k] {
                        (sound(recording, &media(recording)))
                    } @else if is_timed(opened, *first) {
                        p.aside { "No recording of this in the folder." }
                    }
                    ol.lines {
                        @for u in opened.list.document.utterances.iter().filter(|u| u.n >= *first && u.n < end) {
                            (line(u, &by_line[u.n - 1], recordings[k].is_some()))
                            @let next = next_start(opened, u.n, end);
                            @while let Some((_, shot)) = later.next_if(|(ms, _)| next.is_none_or(|s| *ms < s)) {
                                li.shot { (photo(shot, &media(shot.name))) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn sound(name: &str, address: &str) -> Markup {
    html! { audio controls preload="metadata" src=(address) aria-label={ "Recording " (shown(name)) } {} }
}

/// When the next line of the same dictation that has a time begins.
fn next_start(opened: &Opened, n: usize, end: usize) -> Option<u64> {
    opened.list.document.utterances.iter().skip(n).take_while(|u| u.n < end).find_map(|u| u.start_ms)
}

fn photo(shot: &Shot, address: &str) -> Markup {
    let name = shown(shot.name);
    html! {
        figure {
            a href=(address) target="_blank" rel="noopener" { img src=(address) alt={ "Photo " (name) } loading="lazy"; }
            figcaption {
                @match (shot.moment, shot.taken) {
                    (Some((_, ms)), _) => { (time(ms)) " " },
                    (None, Some(taken)) => { time datetime=(taken) { (taken.strftime("%Y-%m-%d %H:%M")) } " " },
                    (None, None) => {},
                }
                (name)
            }
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
