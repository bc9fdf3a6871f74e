//! SAE J2012:2013 (ISO 15031-6): a trouble code is a letter P, C, B or U, a digit 0–3 and three hexadecimal digits.

use hoistnote::text::{Folding, tokenize_line, trouble_codes};

fn codes(said: &str) -> Vec<String> {
    trouble_codes(&tokenize_line(said, &Folding::default())).into_iter().map(|c| c.2).collect()
}

/// Codes of the standard's public list, written together and read out.
#[test]
fn codes_of_the_list() {
    for code in [
        "P0011", "P0016", "P0101", "P0113", "P0118", "P0128", "P0131", "P0135", "P0141", "P0171", "P0172", "P0174",
        "P0300", "P0301", "P0325", "P0335", "P0340", "P0401", "P0420", "P0430", "P0442", "P0455", "P0500", "P0562",
        "P0700", "P0A7F",
    ] {
        assert_eq!(codes(&format!("code {code} stored")), [code]);
        let letters: Vec<String> = code.chars().map(|c| c.to_string()).collect();
        assert_eq!(codes(&format!("{} stored", letters.join(" "))), [code], "read out");
    }
}

#[test]
fn spoken_and_malformed_codes() {
    assert_eq!(codes("p zero four two zero"), ["P0420"]);
    assert_eq!(codes("u one zero zero one"), ["U1001"]);
    assert_eq!(codes("P two four six three"), ["P2463"]);
    for not_a_code in ["P4420", "X0420", "P04", "part 0420"] {
        assert!(codes(not_a_code).is_empty(), "{not_a_code}");
    }
}
