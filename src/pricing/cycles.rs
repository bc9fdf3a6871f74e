//! Owns the search for operations that are needed for themselves, by whatever way round.

use super::book::Operation;

/// How far the search is with an operation.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Seen {
    Never,
    OnTheWay,
    Done,
}

/// Each way round, as indexes of its operations.
pub(super) fn cycles(operations: &[Operation]) -> Vec<Vec<usize>> {
    let mut seen = vec![Seen::Never; operations.len()];
    let mut out = Vec::new();
    for start in 0..operations.len() {
        if seen[start] == Seen::Done {
            continue;
        }
        // an operation and how many of its needs were followed; no recursion, since a book may be long
        let mut way: Vec<(usize, usize)> = vec![(start, 0)];
        while let Some((at, followed)) = way.last_mut() {
            seen[*at] = Seen::OnTheWay;
            let Some(need) = operations[*at].needs.get(*followed).copied() else {
                seen[*at] = Seen::Done;
                way.pop();
                continue;
            };
            *followed += 1;
            match seen[need] {
                Seen::Never => way.push((need, 0)),
                Seen::OnTheWay => {
                    let from = way.iter().position(|(n, _)| *n == need).unwrap_or(0);
                    out.push(way[from..].iter().map(|(n, _)| *n).collect());
                }
                Seen::Done => {}
            }
        }
    }
    out
}
