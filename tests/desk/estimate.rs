//! The estimate at the desk: priced from the list as decided so far, answered line by line into the log of the inspection.

use std::fs;

use hoistnote::history;
use hoistnote::pricing::Answer as Said;
use hoistnote::review::Log;
use scraper::{Html, Selector};
use serde_json::{Value, json};

use super::{Answer, Checked, NOTES, Server};
use crate::rate_book::{self as entry, HEAD};

type Made<T> = Result<T, Box<dyn std::error::Error>>;

fn book() -> String {
    let hose = "hours = 0.5\nparts = [{ name = \"brake hose\", price = 20 }]";
    let tire = "hours = 0.25\nparts = [{ name = \"tire\", price = 100 }]";
    let entries = [
        "name = \"Larkfield depot (invented figures)\"\n".into(),
        HEAD.into(),
        entry::job("hose", "replace a brake hose", "brake-hose", hose),
        entry::job("tire", "fit a tire", "tire", tire),
    ];
    entries.concat()
}

struct Depot {
    dir: tempfile::TempDir,
}

impl Depot {
    fn new() -> Made<Depot> {
        let dir = tempfile::tempdir()?;
        fs::create_dir_all(dir.path().join("depot/unit-14"))?;
        fs::write(dir.path().join("depot/unit-14/notes.txt"), NOTES)?;
        fs::write(dir.path().join("rates.toml"), book())?;
        Ok(Depot { dir })
    }

    fn opened(&self) -> Made<Server> {
        let book = self.dir.path().join("rates.toml").display().to_string();
        Server::open(&self.dir.path().join("depot"), &["--rates", &book])
    }

    fn log(&self) -> Log {
        Log::of(&self.dir.path().join("depot/unit-14"))
    }
}

/// The page as text, one blank between words.
fn words(page: &str) -> String {
    let html = Html::parse_document(page);
    html.root_element().text().flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
}

fn page(s: &Server) -> Made<String> {
    let answer = s.get("/inspection/unit-14/estimate")?;
    assert_eq!(answer.status, 200, "{}", answer.text());
    Ok(answer.text())
}

/// The findings behind the line that names something.
fn line(page: &str, name: &str) -> Made<Vec<String>> {
    let html = Html::parse_document(page);
    let (lines, asked) = (Selector::parse("article, .line, .left")?, Selector::parse("[data-findings]")?);
    let named = html.select(&lines).find(|l| l.text().any(|t| t.contains(name))).ok_or("no such line")?;
    let ids = named.select(&asked).next().and_then(|a| a.attr("data-findings")).ok_or("not asked for")?;
    Ok(ids.split(' ').map(str::to_string).collect())
}

fn body(s: &Server, revision: usize, findings: &[String], answer: &str, horizon: &str) -> Made<Value> {
    let reading = s.reading("unit-14")?;
    Ok(json!({"revision": revision, "reading": reading, "findings": findings, "answer": answer, "horizon": horizon}))
}

fn say(s: &Server, revision: usize, findings: &[String], answer: &str, horizon: &str) -> Made<Answer> {
    s.post("/inspection/unit-14/answer", &body(s, revision, findings, answer, horizon)?)
}

/// Hand-worked: the hose takes 0.5 h at 60.00 and a part of 20.00; the tire 0.25 h and a part of 100.00.
#[test]
fn lines_are_answered_on_the_page() -> Checked {
    let depot = Depot::new()?;
    let s = depot.opened()?;
    let first = page(&s)?;
    let text = words(&first);
    let (tire, hose) = (text.find("fit a tire").ok_or("no tire")?, text.find("replace a brake hose").ok_or("no hose")?);
    assert!(tire < hose, "what must not be driven with comes first: {text}");
    assert!(text.contains("Total, USD 165.00") && text.contains("Not yet reviewed"), "{text}");
    assert!(text.contains("LF brake hose cracked"), "the words are there: {text}");
    let (tire, hose) = (line(&first, "fit a tire")?, line(&first, "replace a brake hose")?);

    let approved = say(&s, 0, &hose, "approve", "")?;
    assert_eq!((approved.status, &approved.json()?["revision"]), (200, &json!(1)), "{}", approved.text());
    assert!(words(&page(&s)?).contains("Approved"));
    let later = say(&s, 1, &tire, "later", "2w")?;
    assert!(later.text().contains("put off tire") && later.text().contains("2 weeks"), "{}", later.text());
    let text = words(&page(&s)?);
    assert!(text.contains("Total, USD 50.00") && text.contains("Declined or put off, not in the total"), "{text}");
    assert!(text.contains("Not to be driven, and not in this total: tire"), "{text}");
    assert!(text.contains("Until then the vehicle must not be driven."), "{text}");

    // minds are changed: the last answer counts
    let again = line(&page(&s)?, "put off")?;
    assert_eq!(again, tire);
    assert_eq!(say(&s, 2, &again, "approve", "")?.status, 200);
    assert!(words(&page(&s)?).contains("Total, USD 165.00"));
    assert_eq!(say(&s, 3, &hose, "decline", "")?.status, 200);
    assert!(words(&page(&s)?).contains("Total, USD 115.00"));

    // the hose needs doing now: a week is usual
    let answers = history::answers(&depot.log().read()?.entries);
    let kept: Vec<(Said, Option<String>)> =
        answers.iter().map(|a| (a.answer, a.horizon.map(|h| h.to_string()))).collect();
    assert_eq!(kept, [(Said::Approve, None), (Said::Decline, Some("1 week".into()))]);
    Ok(())
}

/// Hand-worked: a set of hoses takes 1 h at 60.00 and a part of 40.00, the hose alone 30.00 and 20.00: the set costs 50.00 more.
#[test]
fn a_way_is_chosen_and_its_price_told() -> Checked {
    let depot = Depot::new()?;
    let set =
        "hours = 1\nparts = [{ name = \"hoses\", price = 40 }, { name = \"banjo bolts\", price = 5, optional = true }]";
    let text = format!("{}{}", book(), entry::job("hoses", "replace all brake hoses", "brake-hose", set));
    fs::write(depot.dir.path().join("rates.toml"), text)?;
    let s = depot.opened()?;
    let address = "/inspection/unit-14/estimate";
    /// Where a link leads, by what it is called.
    fn leads(page: &str, name: &str) -> Made<String> {
        let html = Html::parse_document(page);
        let links = Selector::parse("a.way")?;
        let named = |a: &scraper::ElementRef| a.attr("aria-label").is_some_and(|l| l.contains(name));
        let link = html.select(&links).find(named).ok_or_else(|| format!("no link {name}: {page}"))?;
        Ok(link.attr("href").unwrap_or_default().to_string())
    }
    let shown = |query: &str| -> Made<String> {
        let answer = s.get(&format!("{address}{query}"))?;
        assert_eq!(answer.status, 200, "{}", answer.text());
        Ok(answer.text())
    };
    let first = page(&s)?;
    assert!(words(&first).contains("Total: 165.00 USD"), "{}", words(&first));
    let query = leads(&first, "Take this way: replace all brake hoses")?;
    assert_eq!(query, "?pin=hoses");
    let pinned = shown(&query)?;
    let text = words(&pinned);
    assert!(text.contains("Your choice against the cheapest set (165.00): +50.00."), "{text}");
    assert!(text.contains("Total: 215.00 USD") && text.contains("Done this way as you chose."), "{text}");
    let bolts = shown(&leads(&pinned, "Take it: banjo bolts")?)?;
    assert!(words(&bolts).contains("Total: 220.00 USD"), "{}", words(&bolts));
    assert_eq!(leads(&bolts, "Take back: banjo bolts")?, query);
    let back = words(&shown(&leads(&pinned, "Leave it to the sums: replace all brake hoses")?)?);
    assert!(back.contains("Total: 165.00 USD") && !back.contains("Your choice"), "{back}");
    let other = words(&shown(&leads(&first, "Not this way: replace a brake hose")?)?);
    assert!(other.contains("Total: 215.00 USD") && other.contains("Not done: replace a brake hose"), "{other}");

    // the tire must not be driven with: 15.00 and 100.00
    let planned = words(&shown("?budget=120&visits=2")?);
    for told in [
        "What 120.00 USD does best",
        "comes to 115.00",
        "Put off brake hose",
        "All visits together, against 165.00 at once",
    ] {
        assert!(planned.contains(told), "{told}: {planned}");
    }
    let short = words(&shown("?budget=100")?);
    assert!(short.contains("It does not pay for all that must not be driven with: 15.00 USD is lacking."), "{short}");
    let idle = words(&shown("?pin=clutch&pin=hoses")?);
    assert!(idle.contains("Serves none of the findings any more: clutch") && idle.contains("215.00 USD"), "{idle}");
    for (wrong, why) in [
        ("?budget=much", "no sum of money"),
        ("?visits=40", "visits are 1 to 3"),
        ("?pin=hose%40middle", "no place middle"),
    ] {
        assert!(words(&shown(wrong)?).contains(why), "{wrong}");
    }
    assert_eq!(depot.log().read()?.revision(), 0, "nothing of that is an answer");
    Ok(())
}

/// One log: what the command line writes counts on the page, and what the page writes counts for the command line.
#[test]
fn the_command_line_and_the_page_keep_the_same_answers() -> Checked {
    let (depot, other) = (Depot::new()?, Depot::new()?);
    let s = depot.opened()?;
    let hose = line(&page(&s)?, "replace a brake hose")?;
    assert_eq!(say(&s, 0, &hose, "later", "500mi")?.status, 200);
    let run = |command: &[&str]| -> Made<String> {
        let out = assert_cmd::Command::new(env!("CARGO_BIN_EXE_hoistnote"))
            .args(command)
            .arg(other.dir.path().join("depot/unit-14"))
            .arg("--rates")
            .arg(other.dir.path().join("rates.toml"))
            .output()?;
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        Ok(String::from_utf8(out.stdout)?)
    };
    run(&["price", "--later", &format!("{}=500mi", hose[0])])?;
    let lines = |d: &Depot| -> Made<Value> {
        let mut line: Value = serde_json::from_str(fs::read_to_string(d.log().path())?.trim_end())?;
        line["when"] = Value::Null;
        Ok(line)
    };
    assert_eq!(lines(&depot)?, lines(&other)?);
    // the printed page is that of the command
    let mut revision = 1;
    for edit in (1..=5).map(|l| json!({"do": "pass_words", "line": l})) {
        revision += usize::from(s.decide("unit-14", revision, edit)?.status == 200);
    }
    fs::copy(depot.log().path(), other.log().path())?;
    let printed = s.get("/inspection/unit-14/estimate.html")?;
    assert_eq!(printed.status, 200, "{}", printed.text());
    assert!(printed.header("content-security-policy").is_some_and(|p| !p.contains("script-src")));
    assert_eq!(words(&printed.text()), words(&run(&["price", "--format", "html"])?));
    // what the customer says does not make it another list
    assert_eq!(s.decide("unit-14", revision, json!({"do": "hand_over"}))?.status, 200);
    assert_eq!(say(&s, revision + 1, &hose, "approve", "")?.status, 200);
    assert!(s.get("/inspection/unit-14/hand-over")?.text().contains("Handed over as it stands."));
    Ok(())
}

/// A change needs all that other changes need, the log as it was seen, and an answer that can be meant.
#[test]
fn answers_are_guarded() -> Checked {
    let depot = Depot::new()?;
    let s = depot.opened()?;
    let hose = line(&page(&s)?, "replace a brake hose")?;
    let sent = body(&s, 0, &hose, "approve", "")?.to_string();
    let cookie = format!("Cookie: {}", s.cookie());
    let token = format!("x-hoistnote-token: {}", s.token);
    let origin = format!("Origin: http://{}", s.host);
    let table: [(&str, Vec<&str>, u16); 6] = [
        ("no cookie", vec![&token, &origin], 403),
        ("no token", vec![&cookie, &origin], 403),
        ("no origin", vec![&cookie, &token], 403),
        ("origin of somebody else", vec![&cookie, &token, "Origin: http://rebound.example"], 403),
        ("sent by another site", vec![&cookie, &token, &origin, "Sec-Fetch-Site: cross-site"], 403),
        ("a second name", vec![&cookie, &token, &origin, "Host: rebound.example"], 421),
    ];
    for (what, headers, status) in table {
        let answer = s.post_with("/inspection/unit-14/answer", &headers, sent.as_bytes())?;
        assert!(answer.status == status || (status == 421 && answer.status == 400), "{what}: {}", answer.status);
    }
    let unknown = vec!["ffffffffff".to_string()];
    let mixed = vec![hose[0].clone(), unknown[0].clone()];
    let refused: [(&[String], &str, &str, &str); 6] = [
        (&hose, "later", "soonish", "write how long it may wait as 10d"),
        (&hose, "approve", "2w", "approvals take none"),
        (&unknown, "decline", "", "no finding has the id"),
        (&mixed, "decline", "", "no finding has the id"),
        (&[], "decline", "", "choose one"),
        (&hose, "perhaps", "", "perhaps"),
    ];
    for (findings, answer, horizon, why) in refused {
        let told = say(&s, 0, findings, answer, horizon)?;
        assert!(told.status == 422 && told.text().contains(why), "{answer} {horizon}: {} {}", told.status, told.text());
    }
    assert_eq!(depot.log().read()?.revision(), 0, "nothing of all that was written");

    assert_eq!(say(&s, 0, &hose, "decline", "3m")?.status, 200);
    let late = say(&s, 0, &hose, "approve", "")?;
    assert_eq!(late.status, 409);
    assert!(late.json()?["changed"][0].as_str().is_some_and(|t| t.contains("declined brake hose")), "{}", late.text());
    let stale = body(&s, 1, &hose, "approve", "")?;
    fs::write(depot.dir.path().join("depot/unit-14/notes.txt"), format!("{NOTES}horn does not work\n"))?;
    assert_eq!(s.post("/inspection/unit-14/answer", &stale)?.status, 409);
    assert_eq!(depot.log().read()?.revision(), 1);
    Ok(())
}

#[test]
fn an_estimate_needs_a_rate_book() -> Checked {
    let depot = Depot::new()?;
    let s = Server::open(&depot.dir.path().join("depot"), &[])?;
    for path in ["/inspection/unit-14", "/inspection/unit-14/hand-over"] {
        assert!(!s.get(path)?.text().contains("/estimate"), "{path}");
        assert!(depot.opened()?.get(path)?.text().contains("/inspection/unit-14/estimate\""), "{path}");
    }
    let told = s.get("/inspection/unit-14/estimate")?;
    assert!(told.status == 409 && told.text().contains("--rates BOOK"), "{}", told.text());
    Ok(())
}

#[test]
fn the_estimate_to_print_waits_for_the_review() -> Checked {
    let depot = Depot::new()?;
    assert_eq!(depot.opened()?.get("/inspection/unit-14/estimate.html")?.status, 409);
    Ok(())
}

/// The desk does not open with a book that has something wrong in it.
#[test]
fn a_bad_rate_book_is_told_with_its_line() -> Checked {
    let depot = Depot::new()?;
    let table = [
        (book().replace("hours = 0.5", "hours = -0.5"), "rates.toml:10:"),
        (book().replace("rate = 60", "rate = "), "rates.toml:5:"),
    ];
    let path = depot.dir.path().join("rates.toml");
    for (book, place) in table {
        fs::write(&path, book)?;
        let out = assert_cmd::Command::new(env!("CARGO_BIN_EXE_hoistnote"))
            .arg("desk")
            .arg(depot.dir.path().join("depot"))
            .arg("--rates")
            .arg(&path)
            .timeout(std::time::Duration::from_secs(20))
            .output()?;
        let told = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!((out.status.code(), out.stdout.len()), (Some(1), 0), "{told}");
        assert!(told.contains(place), "{told}");
    }
    Ok(())
}

/// Everything said, named or corrected is shown as text.
#[test]
fn nothing_said_becomes_markup() -> Checked {
    let depot = Depot::new()?;
    let nasty = "<img src=x onerror=alert(1)>\"'><script>alert(1)</script>";
    let said = format!("unit 14 {nasty}\nLF brake hose cracked {nasty}, replace\n");
    fs::write(depot.dir.path().join("depot/unit-14/notes.txt"), said)?;
    fs::write(depot.dir.path().join("rates.toml"), book().replace("replace a brake hose", "<b>hose</b> <img src=x>"))?;
    let s = depot.opened()?;
    let hose = line(&page(&s)?, "<b>hose</b>")?;
    let change = json!({"part": nasty, "wording": nasty});
    assert_eq!(s.decide("unit-14", 0, json!({"do": "correct", "id": hose[0], "change": change}))?.status, 200);
    assert_eq!(say(&s, 1, &hose, "decline", "")?.status, 200);
    let shown = page(&s)?;
    assert!(words(&shown).contains(nasty), "{shown}");
    let html = Html::parse_document(&shown);
    let scripts = Selector::parse("script:not([src^='/assets/']), img, b, [onerror]")?;
    assert_eq!(html.select(&scripts).count(), 0, "{shown}");
    Ok(())
}
