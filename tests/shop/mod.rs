//! What a shop does with its lexicon.

mod check;

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;
