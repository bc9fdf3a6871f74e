//! Encodings, line ends, and files that are no text.

use super::{read_bytes, refusal, texts, warned_lines};

fn utf16(text: &str, big: bool) -> Vec<u8> {
    let units = text.encode_utf16();
    units.flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() }).collect()
}

#[test]
fn every_encoding_gives_the_same_words() {
    let text = "pads ½ worn\nboot split";
    let with_mark = |mark: &[u8], rest: Vec<u8>| [mark, &rest].concat();
    let table = [
        text.as_bytes().to_vec(),
        with_mark(b"\xef\xbb\xbf", text.as_bytes().to_vec()),
        with_mark(b"\xff\xfe", utf16(text, false)),
        with_mark(b"\xfe\xff", utf16(text, true)),
        utf16(text, false),
        utf16(text, true),
    ];
    for bytes in table {
        let dictation = read_bytes(&bytes);
        assert_eq!(texts(&dictation), ["pads ½ worn", "boot split"]);
        assert!(dictation.warnings.is_empty(), "{:?}", dictation.warnings);
    }
}

#[test]
fn windows_1252_is_told() {
    let dictation = read_bytes(b"hose ok\r\npads \xbd worn \x96 90\xb0\r\ntyre \xc2\xbd");
    assert_eq!(texts(&dictation), ["hose ok", "pads ½ worn – 90°", "tyre ½"]);
    assert_eq!(warned_lines(&dictation), [2]);
}

#[test]
fn cut_utf16_is_told() {
    let mut bytes = [b"\xff\xfe".to_vec(), utf16("hose ok", false)].concat();
    bytes.push(b'x');
    let dictation = read_bytes(&bytes);
    assert_eq!(texts(&dictation), ["hose ok\u{fffd}"]);
    assert_eq!(dictation.warnings.len(), 1);
}

#[test]
fn a_mark_left_by_joining_files_is_no_word() {
    assert_eq!(texts(&read_bytes("hose ok\n\u{feff}boot split".as_bytes())), ["hose ok", "boot split"]);
}

#[test]
fn what_is_no_text_is_refused_with_advice() {
    let table: [(&[u8], &str); 11] = [
        (b"", "nothing in it"),
        (b" \r\n\t\n", "nothing in it"),
        (b"\xef\xbb\xbf", "nothing in it"),
        (b"\xff\xfe", "nothing in it"),
        (b"hose\nok\0\0boot", "not a text file"),
        (b"\x01\x02\x03\x04\x05", "not a text file"),
        (b"RIFF\x10\x20\x30\x40WAVEfmt ", "recording"),
        (b"\0\0\0\x18ftypabcd", "recording"),
        (b"PK\x03\x04rest", "document"),
        (b"%PDF-1.7", "document"),
        (b"\x89PNG\r\n", "picture"),
    ];
    for (bytes, what) in table {
        let problem = refusal(bytes);
        assert!(problem.what.contains(what), "{bytes:?}: {problem}");
        assert!(!problem.advice.is_empty());
        assert!(problem.to_string().starts_with("walk:"), "{problem}");
    }
    assert_eq!(refusal(b"hose\nok\0\0boot").line, Some(2));
}
