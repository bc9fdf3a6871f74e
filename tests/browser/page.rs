//! One window of Chromium, driven through chromedriver (W3C WebDriver).

use std::net::TcpListener;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fantoccini::actions::{InputSource, MouseActions, PointerAction};
use fantoccini::wd::{PrintConfigurationBuilder, PrintSize};
use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::{Value, json};

use super::desk::Desk;

type Made<T> = Result<T, Box<dyn std::error::Error>>;

/// Waiting longer than this is a failure.
const PATIENCE: Duration = Duration::from_secs(15);

pub struct Page {
    pub client: Client,
    driver: Child,
}

fn named(variable: &str, usual: &str) -> String {
    std::env::var(variable).unwrap_or_else(|_| usual.to_string())
}

impl Page {
    /// Opens a window on the printed address of a desk.
    pub async fn open(desk: &Desk) -> Made<Page> {
        let port = TcpListener::bind("127.0.0.1:0")?.local_addr()?.port();
        let driver = Command::new(named("CHROMEDRIVER", "/usr/bin/chromedriver"))
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--hide-scrollbars",
            "--use-fake-device-for-media-stream",
            "--use-fake-ui-for-media-stream",
            "--autoplay-policy=no-user-gesture-required",
            "--window-size=1360,900",
        ];
        let options = json!({ "goog:chromeOptions": {
            "binary": named("CHROMIUM", "/usr/bin/chromium"),
            "args": arguments,
        }});
        let Value::Object(options) = options else { return Err("no options".into()) };
        let start = Instant::now();
        let client = loop {
            let mut builder = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new());
            builder.capabilities(options.clone());
            match builder.connect(&format!("http://127.0.0.1:{port}")).await {
                Ok(client) => break client,
                Err(e) if start.elapsed() > PATIENCE => return Err(e.into()),
                Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
            }
        };
        let page = Page { client, driver };
        page.go(desk.printed()).await?;
        Ok(page)
    }

    /// Closes the window; a test that fails in between leaves the driver to be ended here.
    pub async fn close(self) -> Made<()> {
        Ok(self.client.clone().close().await?)
    }

    pub async fn go(&self, address: &str) -> Made<()> {
        Ok(self.client.goto(address).await?)
    }

    /// Runs a script in the page; a promise is waited for.
    pub async fn run(&self, script: &str) -> Made<Value> {
        Ok(self.client.execute(script, vec![]).await?)
    }

    /// Waits until a script gives something true.
    pub async fn until(&self, script: &str) -> Made<()> {
        let start = Instant::now();
        loop {
            let now = self.run(script).await?;
            if !matches!(now, Value::Null | Value::Bool(false)) {
                return Ok(());
            }
            if start.elapsed() > PATIENCE {
                let said = self.run("return document.getElementById('said')?.textContent").await?;
                return Err(format!("never became true: {script}; the page says {said}").into());
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    pub async fn wait_for(&self, css: &str) -> Made<()> {
        self.client.wait().at_most(PATIENCE).for_element(Locator::Css(css)).await?;
        Ok(())
    }

    pub async fn text(&self, css: &str) -> Made<String> {
        Ok(self.client.find(Locator::Css(css)).await?.text().await?)
    }

    pub async fn click(&self, css: &str) -> Made<()> {
        let element = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(css)).await;
        let element = element.map_err(|e| format!("no {css} to click: {e}"))?;
        let scroll = "arguments[0].scrollIntoView({block: 'center'})";
        self.client.execute(scroll, vec![serde_json::to_value(&element)?]).await?;
        element.click().await.map_err(|e| format!("{css}: {e}"))?;
        Ok(())
    }

    /// Empties a field and types into it.
    pub async fn fill(&self, css: &str, text: &str) -> Made<()> {
        let field = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(css)).await?;
        field.clear().await?;
        Ok(field.send_keys(text).await?)
    }

    /// Presses keys where the focus is.
    pub async fn keys(&self, keys: &str) -> Made<()> {
        Ok(self.client.active_element().await?.send_keys(keys).await?)
    }

    pub async fn point_at(&self, css: &str) -> Made<()> {
        let element = self.client.find(Locator::Css(css)).await?;
        let scroll = "arguments[0].scrollIntoView({block: 'center'})";
        self.client.execute(scroll, vec![serde_json::to_value(&element)?]).await?;
        let action = PointerAction::MoveToElement { element, duration: None, x: 0.0, y: 0.0 };
        Ok(self.client.perform_actions(MouseActions::new("mouse".into()).then(action)).await?)
    }

    /// Chooses the first finding of a part.
    pub async fn choose(&self, part: &str) -> Made<()> {
        let xpath = format!("//button[contains(@class, 'pick')][starts-with(., '{part}')]");
        let button = self.client.wait().at_most(PATIENCE).for_element(Locator::XPath(&xpath)).await;
        let button = button.map_err(|e| format!("no {part} to choose: {e}"))?;
        let scroll = "arguments[0].scrollIntoView({block: 'center'})";
        self.client.execute(scroll, vec![serde_json::to_value(&button)?]).await?;
        button.click().await.map_err(|e| format!("{part}: {e}"))?;
        Ok(())
    }

    /// Waits until the page says that this was saved, and until it shows it.
    pub async fn saved(&self, words: &str) -> Made<()> {
        self.until(&format!("return document.getElementById('said').textContent.includes({})", json!(words))).await?;
        self.until("return !document.querySelector('dialog[open]')").await?;
        let shown = "const m = document.getElementById('main'); return fetch(location.pathname + location.search).then((a) => a.text())\
                     .then((t) => t.includes(`data-revision=\"${m.dataset.revision}\"`))";
        self.until(shown).await
    }

    /// The page printed on paper of this size, in centimetres.
    pub async fn pdf(&self, width: f64, height: f64) -> Made<Vec<u8>> {
        let size = PrintSize { width, height };
        Ok(self
            .client
            .print(PrintConfigurationBuilder::default().size(size).build().map_err(|e| format!("{e:?}"))?)
            .await?)
    }

    /// A picture of the window, kept where `PICTURES` says.
    pub async fn picture(&self, name: &str, width: u32, height: u32) -> Made<()> {
        self.client.set_window_size(width, height).await?;
        if let Ok(folder) = std::env::var("PICTURES") {
            tokio::time::sleep(Duration::from_millis(300)).await;
            std::fs::write(format!("{folder}/{name}.png"), self.client.screenshot().await?)?;
        }
        Ok(())
    }

    /// What axe-core finds on the page, which must be nothing. Its rules are those of WCAG 2.2 A and AA and its own best practices.
    pub async fn accessible(&self, name: &str) -> Made<()> {
        let Ok(axe) = std::env::var("AXE") else { return Ok(()) };
        let script = std::fs::read_to_string(axe)?;
        let run = format!(
            "{script}; return window.axe.run().then((r) => r.violations.map((v) => \
             v.id + ': ' + v.help + ' ' + v.nodes.map((n) => n.html.slice(0, 200) + ' ' + n.failureSummary).join(' | ')))"
        );
        let found = self.run(&run).await?;
        if found != json!([]) {
            return Err(format!("on the page {name}: {found}").into());
        }
        Ok(())
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}
