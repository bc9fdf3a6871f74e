//! Owns fitting: multinomial logistic regression with an L2 penalty, by stochastic gradient steps with per-weight rates
//! (AdaGrad: Duchi, Hazan, Singer, JMLR 12, 2011). The order is fixed, so the same examples give the same weights.

use std::collections::BTreeMap;

use hoistnote::interpretation::{Class, Scores, softmax};

use crate::gold::Example;

/// Examples a feature must stand in to get a weight.
const LEAST_EXAMPLES: usize = 3;
const ROUNDS: usize = 150;
/// Rounds at the end whose weights are averaged (Polyak, Juditsky, SIAM J. Control Optim. 30(4), 1992).
const AVERAGED: usize = 50;
const RATE: f64 = 0.1;
const PENALTY: f64 = 14.0;
/// A fault said right behind a part, of this vehicle, counts for more than the examples alone would have it: one dropped is worse than
/// one invented.
const PLAIN_FAULTS: [&str; 2] = ["first=defect@after&plain&none", "first=defect@after&this&none"];
const LEAN_TO_FAULT: f64 = 0.3;
/// Weights smaller than this in all columns are left out of the file.
const SMALLEST: f64 = 0.02;

/// Fits the weights and writes them as the judge reads them.
pub fn fit(examples: &[&Example]) -> String {
    // how many examples a feature stands in, and what they weigh
    let mut count: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
    for e in examples {
        for f in &e.features {
            let (n, weight) = count.entry(f).or_default();
            *n += 1;
            *weight += e.weight;
        }
    }
    let names: Vec<&str> = count.iter().filter(|(_, c)| c.0 >= LEAST_EXAMPLES).map(|(f, _)| *f).collect();
    let index: BTreeMap<&str, usize> = names.iter().enumerate().map(|(i, f)| (*f, i)).collect();
    let rows: Vec<Vec<usize>> =
        examples.iter().map(|e| e.features.iter().filter_map(|f| index.get(f.as_str()).copied()).collect()).collect();
    let expected: Vec<Scores> = names.iter().map(|n| prior(n)).collect();
    let mut w: Vec<Scores> = expected.clone();
    let mut squares: Vec<Scores> = vec![[1.0; 6]; names.len()];
    let often: Vec<f64> = names.iter().map(|n| count[n].1).collect();
    let mut order: Vec<usize> = (0..rows.len()).collect();
    let mut state: u64 = 0x9E37_79B9_7F4A_7C15;
    let mut sum: Vec<Scores> = vec![[0.0; 6]; names.len()];
    for round in 0..ROUNDS {
        // a fixed pseudo-random order (xorshift: Marsaglia, J. Stat. Soft. 8(14), 2003)
        for i in (1..order.len()).rev() {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            order.swap(i, (state % (i as u64 + 1)) as usize);
        }
        for &n in &order {
            let row = &rows[n];
            let mut s: Scores = [0.0; 6];
            for &f in row {
                for (a, b) in s.iter_mut().zip(&w[f]) {
                    *a += b;
                }
            }
            let mut p = softmax(&s);
            p[examples[n].class as usize] -= 1.0;
            let weight = examples[n].weight;
            for &f in row {
                for k in 0..6 {
                    let g = weight * (p[k] + PENALTY * (w[f][k] - expected[f][k]) / often[f]);
                    squares[f][k] += g * g;
                    w[f][k] -= RATE * g / squares[f][k].sqrt();
                }
            }
        }
        if round >= ROUNDS - AVERAGED {
            for (total, row) in sum.iter_mut().zip(&w) {
                for (t, x) in total.iter_mut().zip(row) {
                    *t += x / AVERAGED as f64;
                }
            }
        }
    }
    for n in PLAIN_FAULTS.iter().filter_map(|f| index.get(f)) {
        sum[*n][Class::Defect as usize] += LEAN_TO_FAULT;
    }
    let mut out = String::from(
        "# Weights of the judge, made by the trainer from the work dictations; do not edit by hand.\n# feature",
    );
    for c in Class::ALL {
        out.push('\t');
        out.push_str(c.as_str());
    }
    out.push('\n');
    for (name, row) in names.iter().zip(&sum) {
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

/// What is expected of a feature before any example is seen: the words behind a part decide, nearer ones more; a part that only
/// tells where, or of which nothing is said, amounts to nothing. Columns as in [`Class::ALL`].
fn prior(name: &str) -> Scores {
    let class = |tone: &str, x: f64| -> Scores {
        match tone {
            "defect" => [x, 0.0, 0.0, 0.0, 0.0, 0.0],
            "weak_defect" | "action" => [x * 0.6, 0.0, 0.0, 0.0, 0.0, 0.0],
            "sound" => [0.0, x, 0.0, 0.0, 0.0, 0.0],
            "weak_sound" => [0.0, x * 0.6, 0.0, 0.0, 0.0, 0.0],
            "measured" => [x * 0.2, x * 0.5, 0.0, 0.0, 0.0, 0.0],
            "serviced" => [0.0, 0.0, x, 0.0, 0.0, 0.0],
            "unchecked" => [0.0, 0.0, 0.0, x, 0.0, 0.0],
            _ => [0.0; 6],
        }
    };
    let nothing = |x: f64| [0.0, 0.0, 0.0, 0.0, 0.0, x];
    if let Some((tone, rest)) = name.strip_prefix("first=").and_then(|n| n.split_once('@')) {
        return match rest {
            "after" => class(tone, 3.0),
            "next" => class(tone, 2.2),
            "later" => class(tone, 1.2),
            _ => [0.0; 6],
        };
    }
    if let Some((tone, zone)) = name.strip_prefix("front=").and_then(|n| n.split_once('@')) {
        return class(tone, if zone == "lead" { 1.8 } else { 1.2 });
    }
    if let Some(tone) = name.strip_prefix("but=") {
        return class(tone, 2.0);
    }
    // what is pointed at, or spoken on about with a pronoun, is this vehicle's
    if let Some(tone) = name.strip_prefix("first=").and_then(|n| n.strip_suffix("&this")) {
        let mut row = class(tone, 1.2);
        row[Class::General as usize] = -1.2;
        return row;
    }
    if let Some(tone) = name.strip_prefix("spoken_on=") {
        return class(tone, 1.0);
    }
    // work that is asked for is asked for because something is wrong
    if let Some((_, action)) = name.split_once(":action=") {
        return if matches!(action, "monitor" | "diagnose") {
            [0.3, 0.0, 0.0, 0.3, 0.0, 0.0]
        } else {
            [0.7, 0.0, 0.0, 0.0, 0.0, 0.0]
        };
    }
    // one of many that are fine is not fine
    if let Some(tone) = name.strip_prefix("excepted_from=") {
        return match tone {
            "sound" | "weak_sound" | "measured" => [2.5, 0.0, 0.0, 0.5, 0.0, 0.0],
            "silent" => [1.5, 0.0, 0.0, 0.5, 0.0, 0.0],
            "defect" | "weak_defect" => [0.0, 1.5, 0.0, 0.0, 0.0, 0.0],
            _ => [0.0; 6],
        };
    }
    if let Some(tone) = name.strip_prefix("so=") {
        return class(tone, 1.2);
    }
    match name {
        "first=defect&general" | "first=weak_defect&general" => [-1.5, 0.0, 0.0, 0.0, 1.0, 0.5],
        "first=defect&case" | "first=weak_defect&case" => [-0.8, 0.0, 0.0, 0.0, 0.5, 0.5],
        "first=sound&general" => [0.0, -1.0, 0.0, 0.0, 0.5, 0.5],
        "first=defect&asked" | "first=sound&asked" => [-0.4, -0.4, 0.0, 0.0, 0.0, 0.5],
        "work_asked" => [1.0, -0.5, 0.0, 0.0, 0.0, 0.0],
        // common practice, no source
        "only_figure=poor" => [1.5, -0.5, 0.0, 0.0, 0.0, 0.0],
        "only_figure=fine" => [-0.5, 1.5, 0.0, 0.0, 0.0, 0.0],
        "offered_instead" => nothing(3.0),
        "preposition=landmark" => nothing(2.5),
        "preposition=within" => nothing(1.2),
        "silent" => nothing(1.5),
        "gone_through&silent" => nothing(2.0),
        "bias" => [0.5, 0.3, 0.0, 0.0, -0.5, 0.5],
        _ => [0.0; 6],
    }
}
