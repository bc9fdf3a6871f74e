#![no_main]
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| hoistnote_fuzz::lexicon(bytes));
