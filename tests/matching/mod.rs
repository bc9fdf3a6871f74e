//! Matching of misheard and misspelt part names, on the built-in lexicon.

mod published;
mod sound_alike;
