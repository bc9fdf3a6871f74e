//! Owns trouble codes, written together or read out letter by letter.

use super::super::token::{Kind, Token};
use super::words::{small, tens};

/// Trouble codes with the structure of SAE J2012 (letter P, C, B or U; digit 0–3; three hexadecimal digits), written together
/// or read out letter by letter. Each is (first token, one past the last, code).
pub fn trouble_codes(tokens: &[Token]) -> Vec<(usize, usize, String)> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let t = &tokens[i];
        let letter = t.word.chars().next().filter(|c| matches!(c, 'p' | 'c' | 'b' | 'u'));
        let Some(letter) = letter.filter(|_| t.word.len() == 1 || t.word.len() == 5) else {
            i += 1;
            continue;
        };
        if t.word.len() == 5 {
            if is_code(&t.word) {
                out.push((i, i + 1, t.word.to_uppercase()));
            }
            i += 1;
            continue;
        }
        let mut code = letter.to_string();
        let mut k = i + 1;
        while code.len() < 5 {
            let Some(n) = tokens.get(k) else { break };
            let piece = match n.kind {
                Kind::Number(_) if n.norm.chars().all(|c| c.is_ascii_digit()) => n.norm.clone(),
                Kind::Word => match (small(&n.word), tens(&n.word)) {
                    (Some(v), _) => format!("{v}"),
                    (_, Some(v)) => {
                        match tokens.get(k + 1).and_then(|t| small(&t.word)).filter(|u| *u > 0.0 && *u < 10.0) {
                            Some(u) if code.len() <= 3 => {
                                k += 1;
                                format!("{}", v + u)
                            }
                            _ => format!("{v}"),
                        }
                    }
                    _ if n.word.len() == 1 && n.word.chars().all(|c| c.is_ascii_hexdigit()) && code.len() > 1 => {
                        n.word.clone()
                    }
                    _ if n.word == "o" => "0".to_string(),
                    _ => break,
                },
                Kind::Mark(',' | '.') if code.len() < 4 => String::new(),
                _ => break,
            };
            code.push_str(&piece);
            k += 1;
        }
        if is_code(&code) {
            out.push((i, k, code.to_uppercase()));
            i = k;
        } else {
            i += 1;
        }
    }
    out
}

fn is_code(code: &str) -> bool {
    let b = code.as_bytes();
    b.len() == 5
        && matches!(b[0].to_ascii_lowercase(), b'p' | b'c' | b'b' | b'u')
        && (b'0'..=b'3').contains(&b[1])
        && b[2..].iter().all(u8::is_ascii_hexdigit)
}
