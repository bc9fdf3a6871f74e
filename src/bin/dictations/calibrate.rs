//! Owns calibration: what a probability of the judge is worth, measured on dictations it was not trained on.

use hoistnote::interpretation::{Judge, best, softmax};

use rayon::prelude::*;

use crate::fit;
use crate::gold::Example;

const BINS: usize = 10;

/// Trains without one folder at a time and counts, for each tenth of the probability, how often a verdict on the folder left out
/// was right in part, place and kind. Lines for the weights file.
pub fn calibration(folders: &[Vec<Example>]) -> String {
    if folders.len() < 2 {
        return String::new();
    }
    let mut bins = [(0.0, 0.0); BINS];
    let judges: Vec<Judge> = (0..folders.len())
        .into_par_iter()
        .map(|held| {
            let rest = folders.iter().enumerate().filter(|(k, _)| *k != held).flat_map(|(_, f)| f.iter());
            Judge::parse(&fit::fit(&rest.collect::<Vec<_>>()))
        })
        .collect();
    for (judge, held) in judges.iter().zip(folders) {
        for e in held {
            let scores = judge.scores(&e.features);
            let class = best(&scores);
            if !class.is_verdict() {
                continue;
            }
            let p = softmax(&scores)[class as usize];
            let bin = &mut bins[((p * BINS as f64) as usize).min(BINS - 1)];
            bin.0 += if class == e.class && e.fits { e.weight } else { 0.0 };
            bin.1 += e.weight;
        }
    }
    let mut out = String::new();
    for (n, share) in rising(&bins).iter().enumerate() {
        out.push_str(&format!("calibration={n}\t{share:.2}\n"));
    }
    out
}

/// The shares made to rise with the probability: neighbours that fall are pooled (Ayer et al., Ann. Math. Stat. 26, 1955).
fn rising(bins: &[(f64, f64); BINS]) -> Vec<f64> {
    let mut pools: Vec<(f64, f64, usize)> = Vec::new();
    for (n, (right, all)) in bins.iter().enumerate() {
        // a bin hardly seen leans on what its probability claims
        let claimed = (n as f64 + 0.5) / BINS as f64;
        pools.push((right + 2.0 * claimed, all + 2.0, 1));
        while let [.., a, b] = pools[..] {
            if a.0 / a.1 <= b.0 / b.1 {
                break;
            }
            pools.truncate(pools.len() - 2);
            pools.push((a.0 + b.0, a.1 + b.1, a.2 + b.2));
        }
    }
    pools.iter().flat_map(|(right, all, n)| std::iter::repeat_n(right / all, *n)).collect()
}
