//! Owns tokens, numbers and clauses: everything about the words that needs no knowledge of parts.

mod clause;
mod fold;
mod number;
mod token;

pub use clause::{Boundary, Clause, clauses};
pub use fold::Folding;
pub(crate) use fold::in_order;
pub use number::{Measure, Pair, Unit, UnitTable, measures, trouble_codes};
pub use token::{Kind, Span, Token, fold_phrase, tokenize, tokenize_line};
