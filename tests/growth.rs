//! Nothing that is read takes more than linearly longer when it gets longer: each shape of input is doubled twice, and the time on
//! the processor may grow eight times at most where four is linear and sixteen would be quadratic.

use std::sync::OnceLock;
use std::time::Instant;

use hoistnote::dictation::read;
use hoistnote::interpretation::{Interpreter, Settings};
use hoistnote::lexicon::Lexicon;

/// Most that four times the input may cost.
const MOST: f64 = 8.0;
/// What takes less can't be measured well.
const LEAST_MS: f64 = 25.0;
/// Lengths of input at which doubling ends, however quick it still is.
const LARGEST: usize = 4 << 20;

fn interpreter() -> &'static Interpreter {
    static BUILT: OnceLock<Interpreter> = OnceLock::new();
    BUILT.get_or_init(|| Interpreter::new(Lexicon::builtin().unwrap_or_else(|e| panic!("{e}"))))
}

/// Milliseconds that this thread had a processor, where the system tells it; others at work on the machine don't count then.
fn on_processor() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split(' ').next()?.parse::<f64>().ok().map(|ns| ns / 1e6)
}

fn cost(input: &str) -> f64 {
    let run = || {
        let (wall, busy) = (Instant::now(), on_processor());
        if let Ok(dictation) = read("walk", input.as_bytes()) {
            std::hint::black_box(interpreter().document(&dictation, Settings::default()));
        }
        match (busy, on_processor()) {
            (Some(from), Some(to)) => to - from,
            _ => wall.elapsed().as_secs_f64() * 1e3,
        }
    };
    run().min(run())
}

/// A shape of input: what stands before, what is repeated with `#` for the number of the repetition, what stands behind.
type Shape = (&'static str, &'static str, &'static str);

fn grown((head, unit, tail): Shape, times: usize) -> String {
    let mut out = String::from(head);
    for n in 0..times {
        out.push_str(&unit.replace('#', &n.to_string()));
    }
    out + tail
}

/// How many times four times the input costs, and the size it was measured at.
fn growth(shape: Shape) -> (f64, usize) {
    let mut times = 64;
    while cost(&grown(shape, times)) < LEAST_MS && times * shape.1.len() < LARGEST {
        times *= 2;
    }
    let (once, four) = (grown(shape, times), grown(shape, times * 4));
    (cost(&four) / cost(&once).max(LEAST_MS / 4.0), four.len())
}

fn all_grow_linearly(shapes: &[Shape]) {
    let mut worse = Vec::new();
    for shape in shapes {
        let (ratio, size) = growth(*shape);
        println!("{ratio:6.1}  {size:>9} bytes  {:?}", (shape.0, shape.1));
        // measured again before it counts: the machine may have been busy with something else
        if ratio > MOST && growth(*shape).0 > MOST {
            worse.push((ratio, *shape));
        }
    }
    assert!(worse.is_empty(), "more than linear: {worse:#?}");
}

#[test]
fn readers_grow_linearly() {
    all_grow_linearly(&[
        ("WEBVTT\n\n", "00:01.000 --> 00:02.000\nso\n\n", ""),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n", "<v Jo><c.x><00:01.000>", "\n"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n", "<", "\n"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n", "&", "\n"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n", "a <i", "\n"),
        ("WEBVTT\n\n", "NOTE\n", ""),
        ("WEBVTT\n\n", "-->\n", ""),
        ("WEBVTT\n\n", "STYLE\n\n", ""),
        ("WEBVTT\n\nNOTE\n", "x\n", ""),
        ("", "1\n00:00:01,000 --> 00:00:02,000\nso #\n\n", ""),
        ("1\n00:00:01,000 --> 00:00:02,000\n", "{\\an8}{", "\n"),
        ("", "[0:05] so #\n", ""),
        ("", "0:05\n", "so"),
        ("", "w 1 0.5 0.2 so\n", ""),
        ("", "w 1 0.5 0.2 <ALT_BEGIN>\n", "w 1 1 1 so\n"),
        ("", ";; x\n", "w 1 1 1 so\n"),
        ("[", "{\"start\":#,\"end\":#,\"text\":\"so #\"},", "]"),
        ("", "{\"start\":#,\"end\":#,\"text\":\"so #\"}\n", ""),
        ("", "{\"start\":#,\n", ""),
        ("{\"words\":[", "{\"word\":\"so\",\"start\":#,\"end\":#},", "]}"),
        ("{\"text\":\"so it goes\",\"words\":[", "{\"word\":\"x#\",\"start\":1,\"end\":2},", "]}"),
        ("{\"text\":\"", "\\\\", "\"}"),
        ("{\"text\":\"", "\\ud83d", "\"}"),
        ("{", "\"text\":\"x\",", "\"start\":1}"),
        ("[", "[", ""),
        ("{\"text\":", "[", ""),
        ("{\"text\":\"x\",\"a\":", "{\"a\":", ""),
        ("[", ",", "]"),
        ("", "\n", "so"),
        ("", "\r", "so"),
        ("so", "\u{feff}", "so"),
        ("", "½", ""),
        ("", " ", "so"),
    ]);
}

/// The text and, apart from it, times of all its words: both ways in which recognisers give them.
#[test]
fn long_texts_with_word_times_grow_linearly() {
    let with_times = |sentence: &str, times: usize, in_segment: bool| {
        let text = sentence.repeat(times);
        let words: Vec<String> = text
            .split_whitespace()
            .enumerate()
            .map(|(n, w)| format!("{{\"word\":\"{w}\",\"start\":{n}.0,\"end\":{n}.5}}"))
            .collect();
        let start = if in_segment { "\"start\":0," } else { "" };
        format!("{{{start}\"text\":\"{}\",\"words\":[{}]}}", text.trim(), words.join(","))
    };
    for (sentence, in_segment) in [("so it goes. ", false), ("so it goes. ", true), ("tire is bald ", true)] {
        let grow = || {
            let once = cost(&with_times(sentence, 500, in_segment)).max(LEAST_MS / 4.0);
            cost(&with_times(sentence, 2000, in_segment)) / once
        };
        let ratio = grow();
        println!("{ratio:6.1}  {sentence:?} in a segment: {in_segment}");
        assert!(ratio < MOST || grow() < MOST, "{sentence:?} in a segment: {in_segment}: {ratio}");
    }
}

#[test]
fn talk_grows_linearly() {
    all_grow_linearly(&[
        ("", "left front tire is bald, ", ""),
        ("", "left front tire is bald.\n", ""),
        ("", "tire ", ""),
        ("", "left ", ""),
        ("", "leaking ", ""),
        ("tire ", "leaking ", ""),
        ("", "ball joint boot ", ""),
        ("", "not ", "leaking tire"),
        ("", "it ", ""),
        ("tire is bald. ", "it is bad. ", ""),
        ("tire is bald. ", "no, sorry, the right one. ", ""),
        ("tire is bald. ", "same on the other side. ", ""),
        ("tire is bald. ", "scratch that. ", ""),
        ("", "everything else is fine except the left. ", ""),
        ("", "brake pads and ", "are worn"),
        ("", "brake pads or the whole ", ""),
        ("pads ", "LF 3 RF 1 ", ""),
        ("", "3 mm ", ""),
        ("", "twenty five and a half ", ""),
        ("", "one hundred thousand ", ""),
        ("", "12.4.", ""),
        ("", "4/32", ""),
        ("", "P 0 4 2 0 ", ""),
        ("", "P0420", ""),
        ("", "a", ""),
        ("", "brak", ""),
        ("", "ö", ""),
        ("", "-", "x"),
        ("", "'", "x"),
        ("", ".", "x"),
        ("", "x. ", ""),
        ("", "x-", ""),
        ("", "breakpad# is leeking ", ""),
        ("", "zq#x ", ""),
        ("", "the ", ""),
        ("", "to sum up, ", "tire is bald"),
        ("", "left front now. tire. ", ""),
        ("", "the rest of the ", ""),
        ("", "unit 14 ", ""),
        ("", "as for the bushing, if the other one was replaced, it will do two more weeks, ", ""),
    ]);
}
