//! The command line: everything it does is in the library.
use hoistnote::dictation::read;
use hoistnote::interpretation::*;
fn main() {
    let raw = match hoistnote::lexicon::builtin() {
        Ok(r) => r,
        Err(e) => {
            eprintln!("{e}");
            std::process::exit(1)
        }
    };
    let lex = match hoistnote::lexicon::Lexicon::compile(raw) {
        Ok(r) => r,
        Err(e) => {
            eprintln!("{e}");
            std::process::exit(1)
        }
    };
    let it = Interpreter::new(lex);
    let mut drives = DrivesOn::Right;
    for p in std::env::args().skip(1) {
        if p == "--left" {
            drives = DrivesOn::Left;
            continue;
        }
        if p == "--right" {
            drives = DrivesOn::Right;
            continue;
        }
        let bytes = std::fs::read(&p).unwrap_or_default();
        let d = match read(&p, &bytes) {
            Ok(d) => d,
            Err(e) => {
                eprintln!("{e}");
                println!("{{}}");
                continue;
            }
        };
        if std::env::var("MENTIONS").is_ok() {
            let a = it.analyse(&d, Settings { drives_on: drives, ..Settings::default() });
            for (i, m) in a.scene.mentions.iter().enumerate() {
                let sc = it.judge_scores(&a.features[i]);
                let best = (0..6).max_by(|x, y| sc[*x].total_cmp(&sc[*y])).unwrap_or(0);
                let w: Vec<&str> = a.reading.tokens[m.first..m.end].iter().map(|t| t.word.as_str()).collect();
                let pos: Vec<&str> = m.place.positions().iter().map(|p| p.as_str()).collect();
                println!(
                    "{}\t{}\t{}\t{}\t{}\t{:?}\t{:?}\tg{}{}",
                    a.reading.tokens[m.first].span.utterance + 1,
                    w.join(" "),
                    a.scene.components[m.component].id,
                    pos.join(","),
                    Class::ALL[best].as_str(),
                    m.naming,
                    m.how,
                    m.group,
                    if m.withdrawn { " withdrawn" } else { "" }
                );
            }
            continue;
        }
        let doc = it.document(&d, Settings { drives_on: drives, ..Settings::default() });
        println!("{}", serde_json::to_string(&doc).unwrap_or_default());
    }
}
