//! The customer's report on paper, printed by Chromium and measured by poppler. Both are found on the path; run by `.ci/run` where
//! they are.

use std::path::Path;
use std::process::Command;

use super::{Checked, file, hoistnote, run};

fn output(command: &mut Command) -> Result<String, Box<dyn std::error::Error>> {
    let output = command.output().map_err(|e| format!("{command:?}: {e}"))?;
    Ok(String::from_utf8(output.stdout)?)
}

/// Prints a page; gives the size of the paper in points and the text of each sheet.
fn printed(html: &Path, folder: &Path) -> Result<(String, Vec<String>), Box<dyn std::error::Error>> {
    let pdf = folder.join("out.pdf");
    let quiet = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"];
    let mut chromium = Command::new("chromium");
    chromium.args(quiet).arg(format!("--user-data-dir={}", folder.join("profile").display()));
    chromium.arg("--no-pdf-header-footer").arg(format!("--print-to-pdf={}", pdf.display()));
    output(chromium.arg(format!("file://{}", html.display())))?;
    let info = output(Command::new("pdfinfo").arg(&pdf))?;
    let size = info.lines().find_map(|l| l.strip_prefix("Page size:")).ok_or("no page size")?.trim().to_string();
    let text = output(Command::new("pdftotext").args(["-layout"]).arg(&pdf).arg("-"))?;
    Ok((size, text.split('\u{c}').filter(|p| !p.trim().is_empty()).map(str::to_string).collect()))
}

/// ISO 216: A4 is 210 mm × 297 mm, 595 × 842 points; ANSI Letter is 8.5 in × 11 in, 612 × 792 points.
#[test]
#[ignore = "needs chromium, pdfinfo and pdftotext on the path"]
fn the_report_prints_on_a4_and_letter() -> Checked {
    let dir = tempfile::tempdir()?;
    let (page, _, _) = run(hoistnote().args(["demo", "--format", "html"]))?;
    for (size, points) in [("A4", "594.96 x 841.92"), ("letter", "612 x 792")] {
        let sized = page.replacen("@page { margin", &format!("@page {{ size: {size}; margin"), 1);
        assert_ne!(sized, page, "the paper was not set");
        let html = file(dir.path(), "report.html", sized)?;
        let (paper, sheets) = printed(&html, dir.path())?;
        assert!(paper.starts_with(points), "{size}: {paper}");
        assert!((3..=9).contains(&sheets.len()), "{size}: {} sheets", sheets.len());
        assert!(sheets[0].contains("This vehicle is not to be driven"), "{size}: {}", sheets[0]);
        for (n, sheet) in sheets.iter().enumerate() {
            assert!(sheet.contains("Not yet reviewed"), "{size}, sheet {}: {sheet}", n + 1);
            assert!(sheet.contains(&format!("{} of {}", n + 1, sheets.len())), "{size}, sheet {}: {sheet}", n + 1);
        }
    }
    Ok(())
}
