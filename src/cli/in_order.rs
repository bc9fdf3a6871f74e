//! Owns working on many things at once on all cores, with what comes of them in the order of the things.

use rayon::prelude::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};

use super::outcome::Failure;

/// How many things are worked on before their results are taken: enough to keep every core busy, few enough to keep memory small
/// and results coming.
pub(super) fn at_once() -> usize {
    rayon::current_num_threads() * 8
}

/// Works on all items and hands each result on as soon as all before it were.
///
/// # Errors
/// The first that `take` gives; no further items are begun then.
pub(super) fn in_order<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(R) -> Result<(), Failure>,
) -> Result<(), Failure> {
    for some in items.chunks(at_once()) {
        let results: Vec<R> = some.par_iter().with_max_len(1).map(&work).collect();
        results.into_iter().try_for_each(&mut take)?;
    }
    Ok(())
}
