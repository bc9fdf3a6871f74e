//! Bad rate books: every problem is told with its place; good ones are read digit for digit.

use hoistnote::pricing::BookFault;

use super::{Checked, PARTS, book, file, read};
use crate::rate_book::{self as entry, HEAD};
use crate::reports::pin;
use hoistnote::diagnostic::Kind;
use hoistnote::pricing::RateBook;

/// Text behind the head, and each problem as "kind line:column".
fn problems(text: &str) -> Vec<String> {
    let found = read(text).err().unwrap_or_default();
    let shown = found.iter().map(|p| {
        let (_, line, column) = p.order();
        assert!(!p.what.is_empty() && !p.help.is_empty(), "{p:?}");
        format!("{} {line}:{column}", p.kind.name())
    });
    shown.collect()
}

#[test]
fn problems_are_told_where_they_are() {
    let behind_head: [(&str, &[&str]); 19] = [
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = -0.5\n", &["negative 8:9"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = nan\n", &["bad_number 8:9"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 0x10\n", &["bad_number 8:9"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = \"1\"\n", &["bad_number 8:9"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 99999999999\n", &["bad_number 8:9"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 0.12345678\n", &["bad_number 8:9"]),
        (
            "[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 1\nneeds = [\"b\"]\n[[operation]]\nid = \"b\"\nname = \"b\"\nhours = 1\nneeds = [\"a\"]\n",
            &["cycle 6:6"],
        ),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 1\nneeds = [\"a\"]\n", &["cycle 6:6"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 1\nneeds = [\"c\"]\n", &["unknown_reference 9:10"]),
        ("[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 1\nlabour = \"paint\"\n", &["unknown_reference 9:10"]),
        ("[[job]]\nid = \"j\"\nname = \"j\"\ncovers = [{ part = \"padd\" }]\n", &["unknown_part 8:20"]),
        ("[[job]]\nid = \"j\"\nname = \"j\"\ncovers = []\n", &["senseless 8:10"]),
        (
            "[[job]]\nid = \"j\"\nname = \"j\"\ncovers = [{ part = \"pad\" }]\noperations = [\"lift\"]\n",
            &["unknown_reference 9:15"],
        ),
        (
            "[[job]]\nid = \"j\"\nname = \"j\"\ncovers = [{ part = \"pad\" }]\nparts = [{ name = \"p\", price = 5, price_to = 4 }]\n",
            &["senseless 9:46"],
        ),
        (
            "[[job]]\nid = \"j\"\nname = \"j\"\ncovers = [{ part = \"pad\" }]\nparts = [{ name = \"p\", price_to = 4 }]\n",
            &["senseless 9:35"],
        ),
        (
            "[[operation]]\nid = \"a\"\nname = \"a\"\nhours = 1\nper = \"end\"\nhours_at = [{ at = [\"left\"], hours = -2 }, { at = [], hours = 1 }, { at = [\"rear\"], hours = 1 }]\n",
            &["senseless 10:20", "negative 10:38", "senseless 10:51"],
        ),
        ("[[tax]]\nname = \"t\"\npercent = 5\non = []\n", &["senseless 8:6"]),
        ("[supplies]\npercent = 5\nof = [\"supplies\"]\n", &["senseless 7:6"]),
        ("[[jop]]\nid = \"j\"\n", &["unreadable 5:3"]),
    ];
    for (text, expected) in behind_head {
        assert_eq!(problems(&format!("{HEAD}{text}")), expected, "{text}");
    }
    let job = entry::job("j", "job", "pad", "");
    assert!(problems(&format!("{HEAD}{job}")).is_empty());
    assert_eq!(problems(&format!("{HEAD}{job}{job}")), ["twice 11:6"]);
}

#[test]
fn a_word_that_is_none_hides_no_other_problem() {
    let job = |lines: &str| format!("[[job]]\nid = \"j\"\nname = \"j\"\nhours = -1\n{lines}");
    let tax = "[[tax]]\nname = \"t\"\npercent = -1\n";
    let covers = "covers = [{ part = \"pad\" }]\n";
    // behind the head's four lines, with a figure below zero before or behind each
    let table = [
        (job(&format!("{covers}per = \"wheel\"\n")), ["negative 8:9", "unreadable 10:7"]),
        (job(&format!("{covers}per = 4\n")), ["negative 8:9", "unreadable 10:7"]),
        (job(&format!("{covers}at = [\"left\", \"middle\"]\n")), ["negative 8:9", "unreadable 10:15"]),
        (job("covers = [{ part = \"pad\", actions = [\"swap\"] }]\n"), ["negative 8:9", "unreadable 9:38"]),
        (job("covers = [{ part = \"pad\", conditions = [\"odd\"] }]\n"), ["negative 8:9", "unreadable 9:41"]),
        (format!("{tax}on = [\"goods\"]\n"), ["negative 7:11", "unreadable 8:7"]),
        ("[supplies]\npercent = -1\nof = [\"goods\"]\n".into(), ["negative 6:11", "unreadable 7:7"]),
    ];
    for (text, expected) in table {
        assert_eq!(problems(&format!("{HEAD}{text}")), expected, "{text}");
    }
    let round = format!("round = \"up\"\n{HEAD}{tax}on = [\"parts\"]\n");
    assert_eq!(problems(&round), ["unreadable 1:9", "negative 8:11"]);
}

#[test]
fn a_head_is_needed() {
    let table: [(&str, &[&str]); 6] = [
        ("", &["missing 1:1", "missing 1:1"]),
        ("currency = \"USD\"\n", &["missing 1:1"]),
        ("currency = \"dollars\"\n[[labour]]\nid = \"m\"\nrate = 1\n", &["senseless 1:12"]),
        ("currency = \"USD\"\ndigits = 9\n[[labour]]\nid = \"m\"\nrate = 1\n", &["senseless 2:10"]),
        ("currency = \"USD\"\nround = \"up\"\n[[labour]]\nid = \"m\"\nrate = 1\n", &["unreadable 2:9"]),
        ("currency = \"USD\"\n[[labour]]\nid = \"m\"\nrate = 1\n[[labour]]\nid = \"m\"\nrate = 2\n", &["twice 6:6"]),
    ];
    for (text, expected) in table {
        assert_eq!(problems(text), expected, "{text}");
    }
}

#[test]
fn two_files_of_a_book_must_agree() {
    let files = [file("a.toml", HEAD), file("b.toml", "currency = \"EUR\"\n")];
    let found = RateBook::read(&files, PARTS).err().unwrap_or_default();
    let kinds: Vec<(BookFault, &str)> = found.iter().map(|p| (p.kind, p.at.file.path.as_str())).collect();
    assert_eq!(kinds, [(BookFault::TwoCurrencies, "b.toml")]);
}

#[test]
fn problems_show_their_line() {
    let text = format!("{HEAD}[[job]]\nid = \"j\"\nname = \"j\"\ncovers = [{{ part = \"buhsing\" }}]\n");
    let found = read(&text).err().unwrap_or_default();
    let shown: Vec<String> = found.iter().map(|p| p.render(100)).collect();
    pin("rate_book_problem", &shown.join("\n"));
}

#[test]
fn figures_are_read_digit_for_digit() -> Checked {
    // 0.07 and 1.005 have no exact binary form
    let text = format!(
        "{HEAD}[[tax]]\nname = \"t\"\npercent = 0.07\non = [\"parts\"]\n[[labour]]\nid = \"b\"\nrate = 1_001.005\n[[tax]]\nname = \"u\"\npercent = 1e-2\non = [\"parts\"]\n"
    );
    let book = book(&text);
    assert_eq!(book.taxes[0].percent.to_string(), "0.07");
    assert_eq!(book.labour[1].rate.to_string(), "1001.005");
    assert_eq!(book.taxes[1].percent, "0.01".parse()?);
    Ok(())
}
