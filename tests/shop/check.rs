//! Every kind of problem is found at its place, and a good file has none.

use std::collections::HashSet;
use std::sync::LazyLock;

use hoistnote::diagnostic::{Kind, Severity};
use hoistnote::interpretation::Interpreter;
use hoistnote::lexicon::{Cue, Family, Lexicon};
use hoistnote::shop::{Entry, Key, ProblemKind, ShopFile, builtin_as_files, check, compile};
use proptest::prelude::*;

use super::Checked;
use crate::phenomena::INTERPRETER;

static GIVEN: LazyLock<Vec<ShopFile>> = LazyLock::new(builtin_as_files);

/// Kind, line and column of a problem, and what it says.
type Row = (ProblemKind, usize, usize, String);

fn problems(bytes: &[u8]) -> Result<Vec<Row>, Box<dyn std::error::Error>> {
    let ours = [ShopFile::read("ours.toml", bytes)];
    // a file that can't be used leaves the lexicon as it is
    let with;
    let interpreter = if ours[0].usable() {
        with = Interpreter::new(compile(&ours)?.0);
        &with
    } else {
        INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?
    };
    let checked = check(&GIVEN, &ours, interpreter);
    let row = |p: &hoistnote::shop::Problem| {
        let (_, line, column) = p.order();
        (p.kind, line, column, format!("{}; {}", p.what, p.help))
    };
    Ok(checked.problems.iter().map(row).collect())
}

const HEAD: &str = "system = \"brakes\"\n";
const LIMIT: &str = "id = \"a\"\nfails = \"below\"\nclass = \"light\"\njurisdiction = \"us\"\nurgency = \"now\"\n";

/// A file, and the kind, line, column and words of a problem that it must have.
type Case<'w> = (String, ProblemKind, usize, usize, &'w str);

/// Cases that don't come out.
fn wrong(cases: &[Case]) -> Vec<String> {
    let run = |(text, kind, line, column, words): &Case| {
        let found = problems(text.as_bytes()).map_err(|e| e.to_string());
        let is = |(k, l, c, m): &Row| k == kind && (l, c) == (line, column) && m.contains(words);
        let hit = found.as_ref().is_ok_and(|f| f.iter().any(is));
        (!hit).then(|| format!("{text}\nwants {kind:?} at {line}:{column} with {words:?}, got {found:#?}"))
    };
    cases.iter().filter_map(run).collect()
}

#[test]
fn each_kind_of_problem_is_found_at_its_place() -> Checked {
    use ProblemKind as P;
    let caliper = "[[part]]\nid = \"brake-caliper\"\n";
    let condition = "[[condition]]\nid = \"leak\"\n";
    let limit = |rest: &str| format!("[[limit]]\n{LIMIT}{rest}");
    let table: Vec<Case> = vec![
        (format!("{caliper}also = [\"clamper\"\n"), P::Syntax, 3, 8, "this list has no end"),
        (format!("{caliper}alos = [\"clamper\"]\n"), P::UnknownKey, 3, 1, "write `also`"),
        ("[[prat]]\n".into(), P::UnknownKey, 1, 3, "write `part`"),
        (format!("{caliper}also = [\"clamper\", 3]\n"), P::WrongValue, 3, 20, "expected a string"),
        ("[[condition]]\nid = \"leek\"\nsay = [\"zz\"]\n".into(), P::WrongValue, 2, 6, "write \"leak\""),
        ("part = \"x\"\n".into(), P::WrongValue, 1, 8, "[[part]]"),
        ("[[cue]]\nsay = [\"zz\"]\n".into(), P::MissingKey, 1, 1, "`id`"),
        ("[[part]]\nid = \"yard-winder\"\nname = \"yard winder\"\n".into(), P::MissingKey, 2, 6, "no system"),
        ("[[part]]\nid = \"brake-calliper\"\nalso = [\"zz\"]\n".into(), P::UnknownReference, 2, 6, "\"brake-caliper\""),
        ("[[part]]\nid = \"brake-calliper\"\nretire = true\n".into(), P::UnknownReference, 2, 6, "\"brake-caliper\""),
        (format!("{caliper}drop = [\"calipper\"]\n"), P::UnknownReference, 3, 9, "write \"calliper\""),
        ("[[usual]]\nsay = [\"zz\"]\nis = \"no-such-part\"\n".into(), P::UnknownReference, 3, 6, "no part"),
        (
            limit("parts = [\"brake-padd\"]\nunit = \"mm\"\nvalue = 3\nsource = \"x\"\n"),
            P::UnknownReference,
            7,
            10,
            "\"brake-pad\"",
        ),
        (format!("{caliper}also = [\"brake pad\"]\n"), P::Clash, 3, 9, "part \"brake-pad\" and part \"brake-caliper\""),
        (format!("{condition}say = [\"cracked\"]\n"), P::Clash, 3, 8, "condition \"crack\" and condition \"leak\""),
        (format!("{caliper}also = [\"clamper\", \"Clampers\"]\n"), P::Duplicate, 3, 20, "already"),
        (format!("{condition}say = [\"heater wheeze\"]\n"), P::NeverMatches, 3, 8, "part \"heater\" takes it"),
        (format!("{caliper}also = [\"?!\"]\n"), P::NeverMatches, 3, 9, ""),
        (format!("{caliper}also = [\"that one there\"]\n"), P::Everywhere, 3, 9, "match everywhere"),
        (format!("{condition}say = [\"with\"]\n"), P::Everywhere, 3, 8, "match everywhere"),
        (format!("{caliper}also = [\"horse\"]\n"), P::PlainWord, 3, 9, "move it to `weak`"),
        (format!("{caliper}also = [\"brake padd\"]\n"), P::SoundAlike, 3, 9, "sounds like \"brake pad\""),
        (limit("parts = [\"tire\"]\nunit = \"psi\"\nvalue = -1\nsource = \"x\"\n"), P::BadLimit, 9, 9, "above zero"),
        (limit("parts = [\"tire\"]\nunit = \"psi\"\nvalue = 30\nsource = \"\"\n"), P::BadLimit, 10, 10, "no source"),
        (
            limit("parts = [\"brake-pad\"]\nunit = \"psi\"\nvalue = 30\nsource = \"x\"\n"),
            P::BadLimit,
            8,
            8,
            "write one of mm",
        ),
        (
            limit("parts = [\"tire\"]\nunit = \"PSI\"\nvalue = 30\nsource = \"x\"\n"),
            P::WrongValue,
            8,
            8,
            "write \"psi\"",
        ),
        ("[[unit]]\nunit = \"mm\"\nfactor = 0\n".into(), P::BadLimit, 3, 10, "above zero"),
        (
            format!("{caliper}also = [\"clamper\"]\nexample = [{{ say = \"clamper\", means = \"brake-pad\" }}]\n"),
            P::FailedExample,
            4,
            12,
            "should name brake-pad, names brake-caliper",
        ),
        (
            format!("{caliper}example = [{{ say = \"x\", means = \"brake-padd\" }}]\n"),
            P::UnknownReference,
            3,
            12,
            "\"brake-pad\"",
        ),
        (
            format!(
                "{caliper}example = [{{ say = \"caliper leaking\", means = {{ part = \"brake-caliper\", is = \"sound\" }} }}]\n"
            ),
            P::FailedExample,
            3,
            12,
            "found: brake-caliper: defect leak",
        ),
    ];
    // each case that can be used compiles a lexicon of its own: side by side
    let (front, back) = table.split_at(table.len() / 2);
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let other = scope.spawn(|| wrong(back));
        let mut all = wrong(front);
        all.extend(other.join().unwrap_or_else(|_| vec!["a case panicked".into()]));
        all
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for kind in ProblemKind::ALL {
        assert!(kind == P::Encoding || table.iter().any(|row| row.1 == kind), "{kind:?} has no case");
    }
    Ok(())
}

#[test]
fn a_file_in_another_encoding_is_told_as_such() -> Checked {
    let utf16: Vec<u8> = "\u{feff}system = \"brakes\"\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    for (bytes, line, column, words) in
        [(b"# caf\xe9\nsystem = \"x\"\n".to_vec(), 1, 6, "windows-1252"), (utf16, 1, 1, "UTF-16LE")]
    {
        let found = problems(&bytes)?;
        let [(ProblemKind::Encoding, l, c, what)] = found.as_slice() else {
            return Err(format!("{found:?}").into());
        };
        assert_eq!((*l, *c), (line, column));
        assert!(what.contains(words), "{what}");
    }
    Ok(())
}

#[test]
fn a_good_file_has_no_problem() -> Checked {
    let text = format!(
        "{HEAD}\n[[part]]\nid = \"brake-caliper\"\nalso = [\"clamper\"]\n\
         example = [{{ say = \"left front clamper is leaking\", means = {{ part = \"brake-caliper\", \
         at = [\"left\", \"front\"], is = \"defect\", with = \"leak\" }} }}]\n\n\
         [[part]]\nid = \"yard-brake-winder\"\nname = \"yard brake winder\"\n\n\
         [[condition]]\nid = \"noise\"\nsay = [\"yodelling\"]\n\n\
         [[part]]\nid = \"furniture\"\nsystem = \"camper\"\nname = \"furniture of the camper\"\n"
    );
    assert_eq!(problems(text.as_bytes())?, vec![]);
    Ok(())
}

#[test]
fn all_problems_of_a_file_are_told_at_once() -> Checked {
    let text = "[[part]]\nid = \"brake-caliper\"\nnmae = \"x\"\nalos = [\"y\"]\nshort = 3\n[[condition]]\nid = \"leek\"\n[[corner]]\n";
    let found = problems(text.as_bytes())?;
    let places: Vec<(usize, usize)> = found.iter().map(|p| (p.1, p.2)).collect();
    assert_eq!(places, [(3, 1), (4, 1), (5, 9), (7, 6), (8, 3)], "{found:#?}");
    Ok(())
}

/// What can be wrong with the built-in files so that they don't do what they say; words that get in each other's way are another
/// matter (`hoistnote lexicon check` lists them).
#[test]
fn the_built_in_files_are_sound() -> Checked {
    let interpreter = INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?;
    let checked = check(&[], &GIVEN, interpreter);
    let words = [ProblemKind::Clash, ProblemKind::NeverMatches, ProblemKind::Everywhere];
    let wrong = checked.problems.iter().filter(|p| p.kind.severity() == Severity::Error && !words.contains(&p.kind));
    let wrong: Vec<String> = wrong.map(|p| format!("{:?}: {}", p.order(), p.what)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(checked.entries > 3000);
    // examples: every family of cues, every part that has nicknames
    let entries = || GIVEN.iter().flat_map(|f| &f.entries);
    let shown: HashSet<(Family, &str)> = entries()
        .filter(|e| !e.examples.is_empty())
        .filter_map(|e| Some((e.family, e.id.as_ref()?.text.as_str())))
        .collect();
    let nicknamed = |e: &&Entry| e.phrases.iter().any(|(k, _)| matches!(k, Key::Also | Key::Short | Key::Weak));
    let parts = entries().filter(|e| e.family == Family::Part).filter(nicknamed).filter_map(|e| e.id.as_ref());
    let without: Vec<&str> =
        parts.map(|id| id.text.as_str()).filter(|id| !shown.contains(&(Family::Part, *id))).collect();
    assert!(without.is_empty(), "no example: {without:?}");
    for cue in Cue::ALL {
        assert!(shown.contains(&(Family::Cue, cue.as_str())), "no example: {}", cue.as_str());
    }
    Ok(())
}

#[test]
fn what_a_shop_drops_renames_and_retires_is_gone() -> Checked {
    let text = "[[part]]\nid = \"brake-caliper\"\nname = \"clamper\"\ndrop = [\"caliper\"]\n[[part]]\nid = \"horn\"\nretire = true\n\
                [[condition]]\nid = \"leak\"\ndrop = [\"puking\"]\n[[limit]]\nid = \"us-heavy-tread\"\nparts = [\"tire\"]\n\
                unit = \"mm\"\nvalue = 4\nfails = \"below\"\nclass = \"heavy\"\njurisdiction = \"us\"\nurgency = \"now\"\nsource = \"ours\"\n";
    let ours = [ShopFile::read("ours.toml", text.as_bytes())];
    let lexicon: Lexicon = compile(&ours)?.0;
    let caliper = lexicon.part_by_id("brake-caliper").ok_or("gone")?;
    assert_eq!(lexicon.parts[caliper].name, "clamper");
    assert_eq!(lexicon.strong_part("brake caliper"), Some(caliper), "the former name is still known");
    assert_eq!(lexicon.strong_part("caliper"), None);
    assert_eq!(lexicon.part_by_id("horn"), None);
    let meanings = |p: &str| lexicon.phrase(p).map_or(0, |n| lexicon.meanings[n].len());
    assert_eq!(meanings("puking"), 0);
    let limits: Vec<f64> = lexicon.limits.iter().filter(|l| l.id == "us-heavy-tread").map(|l| l.value).collect();
    assert_eq!(limits, [4.0]);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever the bytes, the reading tells places inside the file and does not panic.
    #[test]
    fn any_bytes_can_be_read(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let file = ShopFile::read("any.toml", &bytes);
        for p in &file.problems {
            let record = p.record();
            prop_assert!(record.at.line <= file.source.text.lines().count() + 1);
            p.render(80);
        }
    }

    /// The same for files that are nearly right: pieces of good files in any order.
    #[test]
    fn broken_files_can_be_read(pieces in prop::collection::vec(
        prop::sample::select(vec![
            "[[part]]\n", "id = \"horn\"\n", "also = [\"a\", ", "\"b\"]\n", "name = 3\n", "[usual.near]\n", "[spelling]\n", "\"",
            "example = [{ say = \"x\", means = \"\" }]\n", "[[limit]]\n", "value = nan\n", "#", "é", "\u{feff}", "\r\n", "'''",
        ]), 0..12)) {
        let file = ShopFile::read("any.toml", pieces.concat().as_bytes());
        file.problems.iter().for_each(|p| { p.render(80); });
    }
}
