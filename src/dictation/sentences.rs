//! Owns parting a running text into sentences, and joining its lines.

/// A text of several lines as one, as with captions.
pub(super) fn one_line(text: &str) -> String {
    let parts: Vec<&str> = text.split(['\n', '\r']).map(str::trim).filter(|p| !p.is_empty()).collect();
    parts.join(" ")
}

/// Parts a line after each full stop, question or exclamation mark, whatever the case of the next
/// word, since recognisers differ there; "approx. 3 mm" stays whole.
pub(super) fn sentences(line: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let (mut start, mut stopped) = (0, None);
    for (at, c) in line.char_indices() {
        match stopped {
            Some(from) if !c.is_whitespace() => {
                if at > from && !c.is_numeric() {
                    parts.push(line.get(start..at).unwrap_or_default());
                    start = at;
                }
                stopped = None;
            }
            _ => {}
        }
        if matches!(c, '.' | '?' | '!') {
            stopped = Some(at + 1);
        }
    }
    parts.push(line.get(start..).unwrap_or_default());
    parts
}
