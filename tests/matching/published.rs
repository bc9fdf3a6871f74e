//! Published check values of the measures and keys that sound-alike matching stands on.

use rphonetic::DoubleMetaphone;

fn close(got: f64, want: f64) -> bool {
    (got - want).abs() < 0.00005
}

/// The pairs published with the measure of W. E. Winkler (1990), the Jaro value first; recomputed by hand.
#[test]
fn jaro_and_jaro_winkler() {
    for (a, b, jaro, winkler) in [
        ("MARTHA", "MARHTA", 0.9444, 0.9611),
        ("DIXON", "DICKSONX", 0.7667, 0.8133),
        ("DWAYNE", "DUANE", 0.8222, 0.8400),
    ] {
        assert!(close(strsim::jaro(a, b), jaro), "{a} {b} {}", strsim::jaro(a, b));
        assert!(close(strsim::jaro_winkler(a, b), winkler), "{a} {b} {}", strsim::jaro_winkler(a, b));
    }
}

/// The usual pairs of the literature: CA–ABC tells the restricted distance (optimal string alignment, 3) from the full one of
/// Damerau and Levenshtein (2); MARTHA–MARHTA is one transposition; kitten–sitting needs three edits. Recomputed by hand.
#[test]
fn damerau_levenshtein() {
    for (a, b, restricted, full) in [("CA", "ABC", 3, 2), ("MARTHA", "MARHTA", 1, 1), ("kitten", "sitting", 3, 3)] {
        assert_eq!(strsim::osa_distance(a, b), restricted, "{a} {b}");
        assert_eq!(strsim::damerau_levenshtein(a, b), full, "{a} {b}");
    }
}

/// L. Philips, "The Double Metaphone Search Algorithm", C/C++ Users Journal (June 2000); the pairs stand in the public tests of
/// its implementations.
#[test]
fn double_metaphone() {
    let keys = DoubleMetaphone::default();
    for (name, primary, alternate) in [
        ("Smith", "SM0", "XMT"),
        ("Schmidt", "XMT", "SMT"),
        ("Thumb", "0M", "TM"),
        ("Catherine", "K0RN", "KTRN"),
        ("Katherine", "K0RN", "KTRN"),
    ] {
        let got = keys.double_metaphone(name);
        assert_eq!((got.primary().as_str(), got.alternate().as_str()), (primary, alternate), "{name}");
    }
}
