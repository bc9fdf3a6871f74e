//! x
fn main() {
    let lex = hoistnote::lexicon::Lexicon::compile(hoistnote::lexicon::builtin().ok().unwrap_or_default()).ok();
    let Some(lex) = lex else { return };
    println!("{} phrases {} parts", lex.phrases.len(), lex.parts.len());
    let it = hoistnote::interpretation::Interpreter::new(lex);
    let p = std::env::args().nth(1).unwrap_or_default();
    let d = hoistnote::dictation::read(&p, &std::fs::read(&p).unwrap_or_default());
    let Ok(d) = d else { return };
    let a = it.analyse(&d, Default::default());
    for s in &a.reading.signals {
        let w: Vec<&str> = a.reading.tokens[s.first..s.end].iter().map(|t| t.word.as_str()).collect();
        println!("S\t{}\t{}\t{:?}\t{}", a.reading.tokens[s.first].span.utterance + 1, w.join(" "), s.says, s.weak);
    }
    for (m, f) in a.scene.mentions.iter().zip(&a.features) {
        println!(
            "F {}:{}\t{}",
            a.reading.tokens[m.first].span.utterance + 1,
            a.scene.components[m.component].id,
            f.join("\t")
        );
    }
}
