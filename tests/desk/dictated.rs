//! An inspection that is being dictated, as the desk shows it.

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{Checked, Server};

#[test]
fn words_show_up_while_they_are_said() -> Checked {
    let dir = tempfile::tempdir()?;
    let server = Server::open(dir.path(), &[])?;
    let mut live = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
        .arg("live")
        .arg(dir.path().join("visit"))
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    let mut input = live.stdin.take().ok_or("no standard input")?;
    let mut state = String::new();
    for (n, said, found) in
        [(1, "Left front. Brake pads are worn.", "brake pad, left front"), (2, "The battery is dead.", "battery")]
    {
        writeln!(input, "{said}")?;
        input.flush()?;
        let start = Instant::now();
        // a part may stand on the page as not spoken of: its line has to be there too
        let is_there = |page: &str| page.contains(&format!("id=\"line-{n}\"")) && page.contains(found);
        while !is_there(&server.get("/inspection/visit")?.text()) {
            assert!(start.elapsed() < Duration::from_secs(30), "{found} never shows up");
            std::thread::sleep(Duration::from_millis(50));
        }
        // what an open page asks every other second tells it to look again
        let now = server.get("/inspection/visit/changes")?.text().to_string();
        assert_ne!(now, state);
        state = now;
    }
    drop(input);
    live.wait()?;
    Ok(())
}
