//! The command line: everything it does is in the library.
use hoistnote::dictation::*;
use hoistnote::interpretation::*;
fn main() {
    let raw = match hoistnote::lexicon::builtin() { Ok(r)=>r, Err(e)=>{eprintln!("{e}"); std::process::exit(1)} };
    let lex = match hoistnote::lexicon::Lexicon::compile(raw) { Ok(r)=>r, Err(e)=>{eprintln!("{e}"); std::process::exit(1)} };
    let it = Interpreter::new(lex);
    let mut drives=DrivesOn::Right;
    for p in std::env::args().skip(1) {
        if p=="--left" {drives=DrivesOn::Left; continue}
        if p=="--right" {drives=DrivesOn::Right; continue}
        let text = std::fs::read_to_string(&p).unwrap_or_default();
        let mut format = Format::Notes;
        let stamp = regex::Regex::new(r"^\[(\d+:)?\d+:\d+\]\s*").ok();
        let mut lines: Vec<String> = Vec::new();
        if text.starts_with("WEBVTT") || text.contains(" --> ") {
            format=Format::WebVtt;
            for block in text.split("\n\n") {
                if let Some((_, t)) = block.split_once(" --> ") {
                    if let Some((_, w)) = t.split_once('\n') { lines.push(w.replace('\n'," ").trim().to_string()); }
                }
            }
        } else {
            for l in text.lines().filter(|l| !l.trim().is_empty()) {
                if let Some(m)=stamp.as_ref().and_then(|s| s.find(l)) { format=Format::TimedText; lines.push(l[m.end()..].to_string()); } else { lines.push(l.to_string()); }
            }
        }
        let utterances = lines.into_iter().map(|text| Utterance{text,start_ms:None,end_ms:None,speaker:None}).collect();
        let d = Dictation{path:p.clone(),format,sha256:String::new(),utterances};
        let doc = it.document(&d, Settings{drives_on:drives});
        println!("{}", serde_json::to_string(&doc).unwrap_or_default());
    }
}
