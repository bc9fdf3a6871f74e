//! The desk in a real browser, from the list to the printed report, on the sample inspection.
//!
//! Run by `.ci/run` where Chromium and chromedriver are: `cargo test --test browser`. `CHROMIUM` and `CHROMEDRIVER` name them
//! where they are elsewhere; with `AXE` (the file axe.min.js of axe-core) every page is checked for accessibility as well, and with
//! `PICTURES` (a folder) screenshots are kept.

mod capture;
#[path = "../desk/running.rs"]
mod desk;
mod estimate;
mod page;

use std::fs;
use std::path::{Path, PathBuf};

use fantoccini::Locator;
use serde_json::Value;

use desk::Desk;
use page::Page;

type Checked = Result<(), Box<dyn std::error::Error>>;

/// The sample inspections, copied so that decisions land in the copy.
fn depot() -> Result<tempfile::TempDir, Box<dyn std::error::Error>> {
    let dir = tempfile::tempdir()?;
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/larkfield-depot");
    for entry in walkdir::WalkDir::new(&samples) {
        let entry = entry?;
        let to = dir.path().join(entry.path().strip_prefix(&samples)?);
        if entry.file_type().is_dir() {
            fs::create_dir_all(&to)?;
        } else {
            fs::copy(entry.path(), &to)?;
        }
    }
    Ok(dir)
}

/// No words of the drawing reach over its edge, and some are there.
const UNCUT: &str = "const svg = document.querySelector('.drawing'), box = svg.getBoundingClientRect(); \
                     const words = [...svg.querySelectorAll('text')].map((t) => t.getBoundingClientRect()); \
                     return words.length > 10 && words.every((w) => w.left >= box.left && w.right <= box.right)";

const UNIT_14: &str = "/inspection/2026-03-02%20unit%2014";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_whole_way() -> Checked {
    let dir = depot()?;
    let walk = dir.path().join("2026-03-02 unit 14/walkaround.vtt");
    let said = fs::read(&walk)?;
    let desk = Desk::open(dir.path(), &[])?;
    let page = Page::open(&desk).await?;
    let result = walk_through(&page, &desk, dir.path()).await;
    page.close().await?;
    result?;
    assert_eq!(fs::read(&walk)?, said, "the dictation was written to");
    Ok(())
}

async fn walk_through(page: &Page, desk: &Desk, folder: &Path) -> Checked {
    open(page, desk).await?;
    listen(page).await?;
    decide(page).await?;
    add(page).await?;
    two_pages(page).await?;
    look_again(folder)?;
    hand_over(page, desk).await
}

/// Adds something doubtful to unit 14, whatever the sample itself comes to.
fn look_again(folder: &Path) -> std::io::Result<()> {
    let notes = "bulb dark\nif that hose goes you lose all your coolant\n";
    fs::write(folder.join("2026-03-02 unit 14/second look.txt"), notes)
}

/// List, then the inspection; pointing at words lights the finding up, and the other way round.
async fn open(page: &Page, desk: &Desk) -> Checked {
    page.wait_for("table").await?;
    page.until("return document.body.textContent.includes('to look at first')").await?;
    page.accessible("list").await?;
    page.picture("list", 1200, 520).await?;
    page.go(&desk.at(UNIT_14)).await?;
    page.accessible("review").await?;
    page.picture("review", 1360, 900).await?;
    page.point_at("mark[data-findings]").await?;
    page.until("return document.querySelectorAll('.card.lit').length === 1").await?;
    page.point_at(".group .card h3").await?;
    page.until("return document.querySelectorAll('mark.lit').length > 0").await?;
    page.keys("?").await?;
    page.accessible("keys").await?;
    page.click("#help button").await?;
    page.click("[data-place^='wheels-rear-right']").await?;
    page.until("return !document.getElementById('filter').hidden && document.querySelectorAll('.card[data-id]:not([hidden])').length < 9").await?;
    page.keys("\u{e00c}").await?;
    page.until("return document.getElementById('filter').hidden").await?;
    Ok(())
}

/// A click on a time plays the recording from there.
async fn listen(page: &Page) -> Checked {
    page.until("return document.querySelector('audio').readyState > 0").await?;
    page.click("#line-4 .at").await?;
    page.until(
        "const s = document.querySelector('audio'); return !s.paused && s.currentTime >= 20.5 && s.currentTime < 30",
    )
    .await?;
    page.keys(" ").await?;
    page.until("return document.querySelector('audio').paused").await?;
    page.until("return document.querySelector('.shot img').naturalWidth > 0").await
}

/// Each action by its key.
async fn decide(page: &Page) -> Checked {
    page.choose("spare tire").await?;
    page.keys("a").await?;
    page.saved("accepted spare tire").await?;
    page.choose("brake hose").await?;
    page.keys("c").await?;
    page.accessible("correct").await?;
    page.picture("correct", 1200, 1000).await?;
    page.click("#finding-form [name=verdict][value=defect]").await?;
    page.click("#finding-form [name=urgency][value=now]").await?;
    page.click("#finding-form [name=urgency][value=soon]").await?;
    page.fill("#finding-form [name=wording]", "The hose to the left front brake has cracked.").await?;
    page.click("#finding-form button[value=save]").await?;
    page.saved("corrected brake hose: urgency, wording for the customer").await?;
    page.choose("exhaust hanger").await?;
    page.keys("d").await?;
    page.accessible("drop").await?;
    page.fill("#reason-form textarea", "said of another van").await?;
    page.click("#reason-form button[value=save]").await?;
    page.saved("dropped exhaust hanger: said of another van").await?;
    page.keys("u").await?;
    page.saved("took decision").await?;
    page.until(
        "return [...document.querySelectorAll('.pick')].some((p) => p.textContent.startsWith('exhaust hanger'))",
    )
    .await?;
    page.keys("r").await?;
    page.saved("made decision").await?;
    page.until(
        "return ![...document.querySelectorAll('.pick')].some((p) => p.textContent.startsWith('exhaust hanger'))",
    )
    .await?;
    page.choose("flex pipe").await?;
    page.keys("x").await?;
    // refused, and the mark is still there for what comes next
    page.keys("m").await?;
    page.until("return document.getElementById('said').textContent.includes('at least two')").await?;
    page.choose("low beam").await?;
    page.keys("m").await?;
    page.saved("merged low beam, flex pipe").await?;
    page.choose("wiper blade").await?;
    page.keys("s").await?;
    page.saved("split wiper blade into 2").await?;
    page.keys("n").await?;
    page.fill("#reason-form textarea", "ordered").await?;
    page.click("#reason-form button[value=save]").await?;
    page.saved("noted: ordered").await?;
    // not to be driven: not without a reason
    page.choose("tire").await?;
    page.keys("c").await?;
    page.click("#finding-form [name=urgency][value=soon]").await?;
    page.click("#finding-form button[value=save]").await?;
    page.until("return document.querySelector('#finding-form .problem').textContent.includes('not to be driven')")
        .await?;
    page.click("#finding-form button[value=cancel]").await
}

/// A finding that was missed, from words marked with the mouse; the part is completed from the lexicon.
async fn add(page: &Page) -> Checked {
    let mark = "const t = document.querySelector('#line-2 .said').firstChild; const r = document.createRange(); \
                const at = t.textContent.indexOf('pulls a bit'); r.setStart(t, at); r.setEnd(t, at + 'pulls a bit'.length); \
                getSelection().removeAllRanges(); getSelection().addRange(r); return t.textContent";
    page.run(mark).await?;
    page.keys("w").await?;
    page.until("return document.querySelector('#marked-words q').textContent === 'pulls a bit'").await?;
    page.fill("#finding-form [name=part]", "brake hyd").await?;
    page.until("return [...document.querySelectorAll('#parts option')].some((o) => o.value.startsWith('brake hyd'))")
        .await?;
    page.click("#finding-form button[value=save]").await?;
    page.saved("added brake hyd").await?;
    // the same by key alone: the line after, its second word, and from there to the fourth
    page.run("getSelection().removeAllRanges()").await?;
    page.choose("horn").await?;
    page.keys("w").await?;
    page.accessible("add").await?;
    page.picture("add", 1200, 1000).await?;
    let at = "const b = document.activeElement; return b.closest('.words') && document.getElementById('marked-line').textContent";
    assert_eq!(page.run(at).await?, Value::from("2:18"));
    page.keys(UP).await?;
    assert_eq!(page.run(at).await?, Value::from("2:14"));
    page.keys(DOWN).await?;
    page.keys(RIGHT).await?;
    page.keys(" ").await?;
    page.until("return document.querySelector('#marked-words q').textContent === 'works'").await?;
    page.keys(&format!("{SHIFT}{RIGHT}{RIGHT}{SHIFT}")).await?;
    page.until("return document.querySelector('#marked-words q').textContent === 'works. Washer fluid'").await?;
    page.keys("\tlicense plate lamp\n").await?;
    page.saved("added license plate").await?;
    let log = "return fetch(`${location.pathname}/findings.json`).then((a) => a.status)";
    assert_eq!(page.run(log).await?, Value::from(409), "the list is not ready yet");
    Ok(())
}

const UP: &str = "\u{e013}";
const DOWN: &str = "\u{e015}";
const RIGHT: &str = "\u{e014}";
const SHIFT: &str = "\u{e008}";

/// The second page is told, saves nothing and shows what there is.
async fn two_pages(page: &Page) -> Checked {
    let revision = page.run("return document.getElementById('main').dataset.revision").await?;
    let revision: usize = revision.as_str().ok_or("no revision")?.parse()?;
    let token = page.run("return document.querySelector('meta[name=token]').content").await?;
    let other = format!(
        "return fetch('{UNIT_14}/decide', {{method: 'POST', headers: {{'content-type': 'application/json', \
         'x-hoistnote-token': {token}}}, body: JSON.stringify({{revision: {revision}, reading: document.getElementById('main').dataset.reading, edit: {{do: 'pass_words', line: 1}}}})}})\
         .then((a) => {{ document.body.dispatchEvent(new KeyboardEvent('keydown', {{key: 'a', bubbles: true}})); return a.status; }})"
    );
    // as a second page would, before this one has looked for changes
    page.choose("horn").await?;
    assert_eq!(page.run(&other).await?, Value::from(200));
    page.until("return document.getElementById('said').textContent.match(/Not saved: .*passed over line 1/)").await?;
    page.until(&format!("return document.getElementById('main').dataset.revision === '{}'", revision + 1)).await?;
    Ok(())
}

/// All that is left is passed over by key; then the reports open, and one is printed.
async fn hand_over(page: &Page, desk: &Desk) -> Checked {
    page.go(&desk.at(&format!("{UNIT_14}/hand-over"))).await?;
    page.until("return document.body.textContent.includes('Not yet')").await?;
    page.accessible("not yet").await?;
    page.go(&desk.at(UNIT_14)).await?;
    for _ in 0..20 {
        let open = page.run("return document.querySelectorAll('.first .card').length").await?;
        if open == 0 {
            break;
        }
        page.click(".first .pick").await?;
        let before = page.run("return document.getElementById('main').dataset.revision").await?;
        page.keys("p").await?;
        page.until(&format!("return document.getElementById('main').dataset.revision !== {before}")).await?;
    }
    page.until("return document.querySelector('.state').textContent.includes('Ready to hand over')").await?;
    page.accessible("ready").await?;
    page.run("document.getElementById('said').replaceChildren(); addEventListener('resize', () => document.querySelector('.picture').scrollIntoView(), {once: true})")
        .await?;
    page.picture("drawing", 1300, 1000).await?;
    page.until(UNCUT).await?;
    page.go(&desk.at(&format!("{UNIT_14}/hand-over"))).await?;
    page.accessible("hand over").await?;
    page.click("[data-do=hand-over]").await?;
    page.until("return document.body.textContent.includes('Handed over as it stands')").await?;
    page.go(&desk.at(&format!("{UNIT_14}/report.html"))).await?;
    let text = page.text("body").await?;
    for words in ["not to be driven", "The hose to the left front brake has cracked.", "so I wouldn't drive it"] {
        assert!(text.contains(words), "the report does not say {words}: {text}");
    }
    assert!(!text.contains("exhaust hanger"), "what was dropped is in the report");
    page.until(UNCUT).await?;
    page.accessible("report").await?;
    for (width, height) in [(21.0, 29.7), (21.59, 27.94)] {
        let pdf = page.pdf(width, height).await?;
        assert!(pdf.starts_with(b"%PDF-") && pdf.len() > 10_000, "{} bytes", pdf.len());
    }
    page.go(&desk.at(&format!("{UNIT_14}/work-list.html"))).await?;
    page.accessible("work list").await?;
    page.go(&desk.at("/")).await?;
    page.until("return document.body.textContent.includes('handed over')").await
}

/// After accepting or passing over, the selection is on what came next in the list, wherever the finding itself went; after the last,
/// and after anything else, it stays.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_selection_goes_on() -> Checked {
    let dir = depot()?;
    look_again(dir.path())?;
    let desk = Desk::open(dir.path(), &[])?;
    let page = Page::open(&desk).await?;
    let result = select(&page, &desk).await;
    page.close().await?;
    result
}

/// What stands in the list, from top to bottom.
async fn listed(page: &Page) -> Result<Vec<String>, Box<dyn std::error::Error>> {
    let all = "return [...document.querySelectorAll('.card')].map((c) => c.dataset.id ?? `line ${c.dataset.loose}`)";
    Ok(serde_json::from_value(page.run(all).await?)?)
}

/// Which of them is chosen, and whether the keyboard is there.
async fn chosen(page: &Page) -> Result<String, Box<dyn std::error::Error>> {
    let at = "const c = document.querySelectorAll('.card.chosen'); \
              if (c.length !== 1 || !c[0].contains(document.activeElement)) return `${c.length} chosen`; \
              return c[0].dataset.id ?? `line ${c[0].dataset.loose}`";
    Ok(serde_json::from_value(page.run(at).await?)?)
}

/// Presses a key and waits until the page shows the list with what it decided.
async fn decided(page: &Page, key: &str) -> Checked {
    let before = page.run("return document.getElementById('main').dataset.revision").await?;
    page.keys(key).await?;
    page.until(&format!("return document.getElementById('main').dataset.revision !== {before}")).await
}

async fn select(page: &Page, desk: &Desk) -> Checked {
    page.go(&desk.at(UNIT_14)).await?;
    page.click(".first .card[data-id] .pick").await?;
    let before = listed(page).await?;
    assert_eq!(chosen(page).await?, before[0]);
    decided(page, "a").await?;
    assert_ne!(listed(page).await?[0], before[0], "what was accepted stays at the top");
    assert_eq!(chosen(page).await?, before[1], "accepted, the selection did not go on");
    decided(page, "p").await?;
    assert_eq!(chosen(page).await?, before[2], "passed over, the selection did not go on");
    page.keys("j").await?;
    page.keys("k").await?;
    assert_eq!(chosen(page).await?, before[2], "down and up again");
    // words without a part vanish once they are passed over
    page.click(".first .card[data-loose] .pick").await?;
    let (here, before) = (chosen(page).await?, listed(page).await?);
    let at = before.iter().position(|c| *c == here).ok_or("not listed")?;
    decided(page, "p").await?;
    assert!(!listed(page).await?.contains(&here));
    assert_eq!(chosen(page).await?, before[at + 1]);
    // nothing comes after the last
    let last = before.last().ok_or("nothing listed")?;
    page.click(&format!("[id='finding-{last}'] .pick")).await?;
    decided(page, "a").await?;
    assert_eq!(chosen(page).await?, *last);
    decided(page, "u").await?;
    assert_eq!(chosen(page).await?, *last, "undone, the selection moved");
    Ok(())
}

/// On a phone nothing is wider than the screen, and what is pressed is large enough.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_phone() -> Checked {
    let dir = depot()?;
    let desk = Desk::open(dir.path(), &[])?;
    let page = Page::open(&desk).await?;
    let result = phone(&page, &desk).await;
    page.close().await?;
    result
}

async fn phone(page: &Page, desk: &Desk) -> Checked {
    for path in ["/", UNIT_14, &format!("{UNIT_14}/hand-over")] {
        page.go(&desk.at(path)).await?;
        page.picture(&format!("phone{}", path.len()), 400, 860).await?;
        page.until("return document.documentElement.scrollWidth <= document.documentElement.clientWidth").await?;
        page.accessible("phone").await?;
    }
    page.go(&desk.at(UNIT_14)).await?;
    // words are marked by two presses of a finger
    page.choose("horn").await?;
    page.click("#bar [data-do=add]").await?;
    page.click(".words button:nth-child(3)").await?;
    page.click(".words button:nth-child(4)").await?;
    page.until("return document.querySelector('#marked-words q').textContent === 'Washer fluid'").await?;
    page.until("return [...document.querySelectorAll('.words button')].every((b) => b.offsetHeight >= 44 && b.offsetWidth >= 44)")
        .await?;
    page.picture("phone-words", 400, 860).await?;
    page.until("return document.documentElement.scrollWidth <= document.documentElement.clientWidth").await?;
    page.accessible("words on a phone").await?;
    page.click("#finding-form [value=cancel]").await?;
    page.until("return [...document.querySelectorAll('#bar button')].every((b) => b.hidden || b.offsetHeight >= 44)")
        .await
}

/// Teaching is offered after a correction, shows what would be written and what would change, and writes when told to.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn teaching() -> Checked {
    let dir = depot()?;
    let ours: PathBuf = dir.path().join("ours");
    fs::create_dir(&ours)?;
    fs::create_dir(dir.path().join("depot"))?;
    fs::rename(dir.path().join("2026-03-04 unit 22"), dir.path().join("depot/unit 22"))?;
    fs::write(
        dir.path().join("depot/unit 22/notes.txt"),
        "unit 22\nleft front clamper is seized, replace it\nbattery ok\n",
    )?;
    let desk = Desk::open(&dir.path().join("depot"), &["--lexicon", &ours.display().to_string()])?;
    let page = Page::open(&desk).await?;
    let result = teach(&page, &desk, &ours).await;
    page.close().await?;
    result
}

async fn teach(page: &Page, desk: &Desk, ours: &Path) -> Checked {
    page.go(&desk.at("/inspection/unit%2022")).await?;
    let mark = "const t = [...document.querySelector('#line-2 .said').childNodes].find((n) => n.textContent.includes('clamper')); \
                const n = t.firstChild ?? t; const r = document.createRange(); const at = n.textContent.indexOf('clamper'); \
                r.setStart(n, at); r.setEnd(n, at + 7); getSelection().removeAllRanges(); getSelection().addRange(r); return 1";
    page.run(mark).await?;
    page.keys("w").await?;
    page.fill("#finding-form [name=part]", "brake caliper").await?;
    page.click("#finding-form button[value=save]").await?;
    page.saved("added brake caliper").await?;
    page.click("#said button").await?;
    page.until("return document.getElementById('teach-text').textContent.includes('clamper')").await?;
    page.accessible("teach").await?;
    assert_eq!(fs::read_dir(ours)?.count(), 0, "written before it was asked for");
    page.click("#teach-form button[value=write]").await?;
    page.saved("Written").await?;
    assert!(fs::read_to_string(ours.join("desk-brakes.toml"))?.contains("clamper"));
    page.client.find(Locator::Css("main")).await?;
    Ok(())
}
