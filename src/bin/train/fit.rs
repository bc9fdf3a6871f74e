//! Owns fitting: multinomial logistic regression with an L2 penalty, by full-batch gradient steps with per-weight rates
//! (AdaGrad: Duchi, Hazan, Singer, JMLR 12, 2011). No randomness, so the same examples give the same weights.

use std::collections::BTreeMap;

use hoistnote::interpretation::{Class, Scores};

use crate::gold::Example;

/// Examples a feature must stand in to get a weight.
const LEAST_EXAMPLES: usize = 3;
const ROUNDS: usize = 160;
const RATE: f64 = 0.35;
const PENALTY: f64 = 0.6;
/// Weights smaller than this in all columns are left out of the file.
const SMALLEST: f64 = 0.02;

/// The class with the highest score.
pub fn best(scores: &Scores) -> Class {
    let top = (0..scores.len()).max_by(|a, b| scores[*a].total_cmp(&scores[*b])).unwrap_or(0);
    Class::ALL[top]
}

/// Fits the weights and writes them as the judge reads them.
pub fn fit(examples: &[Example]) -> String {
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    for e in examples {
        for f in &e.features {
            *count.entry(f).or_default() += 1;
        }
    }
    let names: Vec<&str> = count.iter().filter(|(_, n)| **n >= LEAST_EXAMPLES).map(|(f, _)| *f).collect();
    let index: BTreeMap<&str, usize> = names.iter().enumerate().map(|(i, f)| (*f, i)).collect();
    let rows: Vec<Vec<usize>> =
        examples.iter().map(|e| e.features.iter().filter_map(|f| index.get(f.as_str()).copied()).collect()).collect();
    let mut w: Vec<Scores> = vec![[0.0; 6]; names.len()];
    let mut squares: Vec<Scores> = vec![[1e-6; 6]; names.len()];
    for _ in 0..ROUNDS {
        let mut gradient: Vec<Scores> = w.iter().map(|r| r.map(|x| x * PENALTY)).collect();
        for (row, e) in rows.iter().zip(examples) {
            let mut s: Scores = [0.0; 6];
            for &f in row {
                for (a, b) in s.iter_mut().zip(&w[f]) {
                    *a += b;
                }
            }
            let mut p = softmax(&s);
            p[e.class as usize] -= 1.0;
            for &f in row {
                for (g, d) in gradient[f].iter_mut().zip(&p) {
                    *g += d;
                }
            }
        }
        for ((row, g), sq) in w.iter_mut().zip(&gradient).zip(squares.iter_mut()) {
            for k in 0..6 {
                sq[k] += g[k] * g[k];
                row[k] -= RATE * g[k] / sq[k].sqrt();
            }
        }
    }
    let mut out = String::from("# Weights of the judge, made by the trainer from the work dictations; do not edit by hand.\n# feature");
    for c in Class::ALL {
        out.push('\t');
        out.push_str(c.as_str());
    }
    out.push('\n');
    for (name, row) in names.iter().zip(&w) {
        if row.iter().any(|x| x.abs() >= SMALLEST) {
            out.push_str(name);
            for x in row {
                out.push_str(&format!("\t{x:.2}"));
            }
            out.push('\n');
        }
    }
    out
}

fn softmax(s: &Scores) -> Scores {
    let top = s.iter().copied().fold(f64::MIN, f64::max);
    let mut p = s.map(|x| (x - top).exp());
    let sum: f64 = p.iter().sum();
    p.iter_mut().for_each(|x| *x /= sum);
    p
}
