//! The capture page, with a microphone that beeps: recording, notes, a desk that goes away, a page that is closed.

use std::fs;
use std::io::Write;
use std::path::Path;

use super::Checked;
use super::desk::Desk;
use super::page::Page;

/// Size of the only recording of an inspection.
fn recorded(folder: &Path) -> Result<u64, Box<dyn std::error::Error>> {
    let mut sizes = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        if entry.path().extension().is_some_and(|e| e == "webm") {
            // the head of every Matroska and WebM file (RFC 8794, section 11.2.1)
            assert!(fs::read(entry.path())?.starts_with(&[0x1a, 0x45, 0xdf, 0xa3]));
            sizes.push(entry.metadata()?.len());
        }
    }
    match sizes.as_slice() {
        [only] => Ok(*only),
        _ => Err(format!("{} recordings", sizes.len()).into()),
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_recorded_reaches_the_disk_whatever_happens() -> Checked {
    let dir = tempfile::tempdir()?;
    let desk = Desk::open(dir.path(), &[])?;
    let page = Page::open(&desk).await?;
    let result = capture(&page, desk, dir.path()).await;
    page.close().await?;
    result
}

async fn capture(page: &Page, desk: Desk, folder: &Path) -> Checked {
    page.go(&desk.at("/capture")).await?;
    page.accessible("begin").await?;
    page.fill("#name", "unit 14 / van").await?;
    page.click("#begin button").await?;
    page.until("return location.pathname.endsWith('unit%2014%20van/capture') && document.getElementById('record')")
        .await?;
    let address = page.run("return location.pathname").await?;
    let path = address.as_str().ok_or("no address")?.to_string();
    page.until("return document.getElementById('safe').textContent.startsWith('Everything is safe')").await?;
    page.click("#record").await?;
    page.until("return / of 0:0[2-9] are safe/.test(document.getElementById('safe').textContent)").await?;
    page.accessible("capture").await?;
    page.picture("capture", 420, 760).await?;
    page.fill("#text", "LF brake pads 2 mm").await?;
    page.click("#note button").await?;
    page.until("return document.querySelectorAll('#kept li').length === 1").await?;
    let visit = fs::read_dir(folder)?.next().ok_or("no inspection")??.path();
    let before = recorded(&visit)?;
    assert!(before > 1000, "{before}");

    // the desk goes away while it records: the page says so and keeps what comes
    let host = desk.at("").trim_start_matches("http://").to_string();
    desk.kill()?;
    page.until("return document.getElementById('safe').textContent.includes('no connection')").await?;
    page.until("return Number(document.getElementById('safe').dataset.waiting) >= 2").await?;
    page.fill("#text", "spare wheel missing").await?;
    page.click("#note button").await?;
    page.click("#record").await?;
    page.until("return document.getElementById('record').textContent === 'Record' && document.querySelectorAll('#kept li').length === 2").await?;
    let made = page.run("return Number(document.getElementById('safe').dataset.bytes)").await?;
    let made = made.as_u64().ok_or("no size")?;
    assert!(made > recorded(&visit)?);

    // the page is closed; desk and page are opened again
    page.go("about:blank").await?;
    let beside = tempfile::tempdir()?;
    let config = beside.path().join("voice.toml");
    let script = "printf 'WEBVTT\\n\\n00:01.000 --> 00:02.000\\nThe horn is dead.\\n'";
    fs::write(
        &config,
        format!("[hear]\nrun = [\"/bin/sh\", \"-c\", {}]\n", serde_json::to_string(&format!("{script} # {{audio}}"))?),
    )?;
    let desk = Desk::open(folder, &["--listen", &host, "--config", config.to_str().ok_or("no path")?])?;
    page.go(desk.printed()).await?;
    page.go(&desk.at(&path)).await?;
    page.until("return document.getElementById('safe').dataset.waiting === '0'").await?;
    assert_eq!(recorded(&visit)?, made);
    let mut notes: Vec<String> = Vec::new();
    for entry in fs::read_dir(&visit)? {
        let file = entry?.path();
        if file.extension().is_some_and(|e| e == "txt") {
            notes.push(fs::read_to_string(file)?);
        }
    }
    let notes = notes.concat();
    assert!(notes.contains("] LF brake pads 2 mm\n") && notes.contains("spare wheel missing\n"), "{notes}");
    // and the inspection shows what was typed
    page.go(&desk.at(&path.replace("/capture", ""))).await?;
    page.until("return document.body.textContent.includes('brake pad')").await?;
    // as well as what was said, once the recogniser has written it down
    page.until("return document.body.textContent.includes('The horn is dead')").await
}

/// An inspection that is being dictated grows on an open page by itself.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_dictation_is_followed_on_the_page() -> Checked {
    let dir = tempfile::tempdir()?;
    fs::create_dir(dir.path().join("visit"))?;
    fs::write(dir.path().join("visit/notes.txt"), "unit 14\n")?;
    let desk = Desk::open(dir.path(), &[])?;
    let page = Page::open(&desk).await?;
    let mut live = std::process::Command::new(env!("CARGO_BIN_EXE_hoistnote"))
        .arg("live")
        .arg(dir.path().join("visit"))
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()?;
    let result = follow(&page, &desk, &mut live).await;
    live.kill()?;
    live.wait()?;
    page.close().await?;
    result
}

async fn follow(page: &Page, desk: &Desk, live: &mut std::process::Child) -> Checked {
    page.go(&desk.at("/inspection/visit")).await?;
    page.wait_for(".spoken").await?;
    page.run("window.isTheSame = true").await?;
    let input = live.stdin.as_mut().ok_or("no standard input")?;
    for (said, shown) in [("Left front. Brake pads are worn.", "brake pad"), ("The battery is dead.", "battery")] {
        writeln!(input, "{said}")?;
        input.flush()?;
        page.until(&format!(
            "return [...document.querySelectorAll('.card h3')].some((h) => h.textContent.includes('{shown}'))"
        ))
        .await?;
    }
    page.until("return window.isTheSame === true").await
}
