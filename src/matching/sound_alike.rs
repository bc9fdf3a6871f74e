//! Owns matching of misheard and misspelt part names.

use super::PartHit;
use crate::lexicon::{Lexicon, PhraseHit};
use crate::text::Token;

/// Index of part names by sound and spelling, built once.
#[derive(Debug, Default)]
pub struct SoundIndex {}

impl SoundIndex {
    /// Builds the index over all firm part names of the lexicon.
    pub fn build(_lexicon: &Lexicon) -> SoundIndex {
        SoundIndex {}
    }

    /// Adds parts whose words were misheard or misspelt, outside the parts already found.
    pub fn extend(&self, _tokens: &[Token], _lexicon: &Lexicon, _hits: &[PhraseHit], _parts: &mut Vec<PartHit>) {}
}
