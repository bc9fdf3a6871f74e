//! Rebuilds when a lexicon file changes: the files are embedded in the binary.

fn main() {
    println!("cargo:rerun-if-changed=lexicon");
}
