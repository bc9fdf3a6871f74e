//! Compiles the lexicon when the binary is built, so that it need not be done at every start.

use std::error::Error;
use std::path::Path;

use lexicon::{Lexicon, RawLexicon, folder_files};

#[allow(dead_code, unused_imports)]
mod text;

/// The modules of the lexicon that need no compiled lexicon themselves.
#[allow(dead_code, unused_imports)]
mod lexicon {
    mod compile;
    mod entries;
    mod example;
    mod guidance;
    mod inflect;
    mod load;
    mod nouns;
    mod phrases;
    mod sides;
    mod spans;
    mod usual;

    pub(super) use compile::Lexicon;
    pub(super) use load::{RawLexicon, folder_files};
}

/// What the tokenizer knows of dictations.
mod dictation {
    pub(crate) struct Utterance {
        pub(crate) text: String,
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=lexicon");
    let mut files = Vec::new();
    for (path, text) in folder_files(Path::new("lexicon"))? {
        files.push((path.strip_prefix("lexicon")?.display().to_string(), text));
    }
    files.sort_unstable();
    let mut raw = RawLexicon::default();
    for (name, text) in files.iter().filter(|(name, _)| !name.starts_with("proofs/")) {
        raw.add(name, text)?;
    }
    let compiled = postcard::to_allocvec(&Lexicon::compile(raw)?)?;
    std::fs::write(Path::new(&std::env::var("OUT_DIR")?).join("lexicon.bin"), compiled)?;
    Ok(())
}
