//! Owns the explanation of one finding: the words, the part, the verdict and what weighed most, corrections, limits.

use anstyle::Style;

use crate::findings::{Document, Evidence, Finding};

use super::reasons::{self, Reason};
use super::table::Page;
use super::{quote, sheet, wording};

/// Why a finding is what it is, in lines of at most `width` columns.
pub fn why(document: &Document, finding: &Finding, width: usize) -> String {
    let bold = Style::new().bold();
    let mut page = Page { width: width.max(40), text: String::new() };
    page.paragraph(&sheet::part_at(&finding.component, &finding.position), bold, "", "");
    page.paragraph(
        &format!("finding {} of {}", wording::shown(&finding.id), wording::shown(&document.source.path)),
        Style::new().dimmed(),
        "",
        "",
    );

    page.heading("The words", None, bold);
    words(&mut page, document, finding);

    page.heading("The part", None, bold);
    line(&mut page, &part(finding));
    let (judged, plain): (Vec<Reason>, Vec<Reason>) =
        finding.why.iter().map(|w| reasons::read(w)).partition(|r| matches!(r, Reason::Judged { .. }));
    let mut told: Vec<String> = Vec::new();
    for reason in &judged {
        if let Reason::Judged { words, how, .. } = reason {
            let text = format!("\"{}\": {how}", wording::shown(words));
            if !told.contains(&text) {
                line(&mut page, &text);
                told.push(text);
            }
        }
    }

    page.heading("The verdict", None, bold);
    line(&mut page, &verdict(finding));
    for reason in &judged {
        if let Reason::Judged { words, weights, .. } = reason {
            line(&mut page, &format!("what weighed most for \"{}\":", wording::shown(words)));
            for w in weights {
                page.paragraph(&wording::shown(w), Style::new(), "      ", "           ");
            }
        }
    }
    for reason in &plain {
        if let Reason::Plain(text) = reason {
            line(&mut page, &wording::shown(text));
        }
    }

    corrections(&mut page, document, finding);
    limits(&mut page, finding);
    page.text
}

fn line(page: &mut Page, text: &str) {
    page.paragraph(text, Style::new(), "  - ", "    ");
}

/// Each line of the dictation that counts, whole, with what was taken from it.
fn words(page: &mut Page, document: &Document, finding: &Finding) {
    if finding.evidence.is_empty() {
        line(page, "no words are kept for this finding");
    }
    let mut rest: &[Evidence] = &finding.evidence;
    while let Some(first) = rest.first() {
        let n = rest.iter().take_while(|e| e.utterance == first.utterance).count();
        let (here, later) = rest.split_at(n);
        let text =
            document.utterances.get(first.utterance.wrapping_sub(1)).map_or(first.text.as_str(), |u| u.text.as_str());
        page.quotes(&[quote::whole(document, first.utterance, text)]);
        for e in here {
            let taken = format!("{}: \"{}\"", wording::role(e.role), wording::shown(&e.text));
            page.paragraph(&taken, Style::new().dimmed(), "               ", "                 ");
        }
        rest = later;
    }
}

fn part(finding: &Finding) -> String {
    let c = &finding.component;
    let system = if c.system.is_empty() {
        "its system is not known".to_string()
    } else {
        format!("system: {}", wording::shown(&c.system))
    };
    let place = wording::place(&finding.position);
    let place = if place.is_empty() { "place not said".to_string() } else { format!("place: {place}") };
    format!("{} ({}); {system}; {place}", sheet::part(c), wording::shown(&c.id))
}

fn verdict(finding: &Finding) -> String {
    let mut parts = vec![wording::verdict(finding.verdict).to_string()];
    parts.extend(finding.conditions.iter().map(wording::condition));
    parts.push(finding.urgency.map_or("urgency not said", wording::urgency).to_string());
    parts.extend(sheet::to_do(finding));
    parts.push(wording::doubt(finding).unwrap_or_else(|| format!("confidence {:.2}", finding.confidence)));
    parts.join("; ")
}

fn corrections(page: &mut Page, document: &Document, finding: &Finding) {
    let same: Vec<_> = document.withdrawn.iter().filter(|w| w.component.id == finding.component.id).collect();
    if same.is_empty() {
        return;
    }
    page.heading("Corrections", None, Style::new().bold());
    for w in same {
        line(page, &format!("taken back: {}", sheet::part_at(&w.component, &w.position)));
        page.quotes(&quote::quotes(document, &w.evidence));
    }
}

fn limits(page: &mut Page, finding: &Finding) {
    if finding.measurements.is_empty() {
        return;
    }
    page.heading("Figures and limits", None, Style::new().bold());
    for m in &finding.measurements {
        let held = match &m.limit {
            Some(l) => {
                format!("{} (rule {}; {})", wording::measurement(m), wording::shown(&l.rule), wording::shown(&l.source))
            }
            None => format!("{}, no limit known for it here", wording::measurement(m)),
        };
        line(page, &held);
    }
}
