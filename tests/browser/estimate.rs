//! The estimate in the browser: answers, other ways, plans.

use std::path::Path;

use super::desk::Desk;
use super::page::Page;
use super::{Checked, UNIT_14, depot};

/// A line of the estimate is put off, then approved after all; a phone shows all of it.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn estimate() -> Checked {
    let dir = depot()?;
    let rates = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/rates/larkfield");
    let desk = Desk::open(dir.path(), &["--rates", &rates.display().to_string()])?;
    let page = Page::open(&desk).await?;
    let result = answer(&page, &desk).await;
    page.close().await?;
    result
}

async fn answer(page: &Page, desk: &Desk) -> Checked {
    page.go(&desk.at(UNIT_14)).await?;
    page.click(".tools a[href$='/estimate']").await?;
    page.picture("estimate", 1360, 900).await?;
    page.accessible("estimate").await?;
    assert!(page.text("main section h2").await?.contains("Do not drive"));
    page.fill(".stop .asked input", "soonish").await?;
    page.click(".stop .asked [data-answer=later]").await?;
    page.until("return document.getElementById('said').textContent.includes('write how long it may wait')").await?;
    page.fill(".stop .asked input", "2w").await?;
    page.click(".stop .asked [data-answer=later]").await?;
    page.saved("put off tire, right rear, to be asked again after 2 weeks").await?;
    assert!(page.text(".halt").await?.contains("Not to be driven, and not in this total: tire"));
    page.accessible("estimate answered").await?;
    page.click(".left .asked [data-answer=approve]").await?;
    page.saved("approved tire").await?;
    assert!(page.text(".stop .approved").await?.contains("Approved"));
    // another way, a sum and two visits
    page.click(".others .way").await?;
    page.until(
        "return document.querySelector('.choice')?.textContent.includes('Your choice against the cheapest set')",
    )
    .await?;
    page.fill(".plans [name=budget]", "800").await?;
    page.click(".plans option[value='2']").await?;
    page.click(".plans button").await?;
    page.until("return location.search.includes('pin=') && location.search.includes('budget=800') && location.search.includes('visits=2')").await?;
    assert!(page.text("main").await?.contains("What 800.00 USD does best"));
    page.accessible("estimate planned").await?;
    page.picture("estimate-planned", 1360, 900).await?;
    // an answer keeps the choice
    page.click("section.now .asked [data-answer=approve]").await?;
    page.saved("approved").await?;
    page.until(
        "return document.querySelector('.choice') && document.body.textContent.includes('What 800.00 USD does best')",
    )
    .await?;
    page.picture("estimate-phone", 400, 860).await?;
    page.until("return document.documentElement.scrollWidth <= document.documentElement.clientWidth").await?;
    page.accessible("estimate on a phone").await
}
