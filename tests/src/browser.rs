//! A real browser without a window: Chromium, driven over the W3C `WebDriver` protocol
//! (<https://www.w3.org/TR/webdriver2/>) by a driver of its own on a free port.

use crate::program::free_address;
use anyhow::{Context as _, Result, bail, ensure};
use serde_json::{Value, json};
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Longest the driver may take to listen, and a page to show what is waited for.
const PATIENCE: Duration = Duration::from_secs(30);
/// The key of an element's id in an answer (`WebDriver`, section 12, web element identifier).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";
/// Where Debian puts them.
const DRIVER: &str = "/usr/bin/chromedriver";
const CHROMIUM: &str = "/usr/bin/chromium";

/// How a page is looked at.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Width of the page, CSS pixels.
    pub width: u32,
    /// Height of the window.
    pub height: u32,
    /// Dark colours wanted.
    pub dark: bool,
}

/// A desktop in light colours.
pub const DESKTOP: Look = Look {
    width: 1280,
    height: 900,
    dark: false,
};

/// One browser window; ended when dropped.
#[derive(Debug)]
pub struct Browser {
    driver: Child,
    base: String,
    client: reqwest::Client,
    profile: tempfile::TempDir,
}

/// Keys that are no letters (`WebDriver`, section 17.4.2).
pub mod keys {
    /// Enter.
    pub const ENTER: &str = "\u{E007}";
    /// Tab.
    pub const TAB: &str = "\u{E004}";
    /// Control, held to the end of what is pressed.
    pub const CONTROL: &str = "\u{E009}";
}

impl Browser {
    /// Starts a driver and a window. The profile is new: nothing is kept from before.
    pub async fn start() -> Result<Self> {
        ensure!(
            Path::new(DRIVER).exists() && Path::new(CHROMIUM).exists(),
            "{DRIVER} or {CHROMIUM} is missing; tests/run installs Debian's chromium and chromium-driver"
        );
        let address = free_address()?;
        let driver = Command::new(DRIVER)
            .arg(format!("--port={}", address.port()))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .context("chromedriver")?;
        let mut browser = Self {
            driver,
            base: format!("http://{address}"),
            client: reqwest::Client::builder().no_proxy().build()?,
            profile: tempfile::tempdir()?,
        };
        browser.ready().await?;
        browser.open_window().await?;
        Ok(browser)
    }

    async fn ready(&self) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        let status = format!("{}/status", self.base);
        while Instant::now() < end {
            if self.client.get(&status).send().await.is_ok() {
                return Ok(());
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        bail!("chromedriver did not listen in time")
    }

    async fn open_window(&mut self) -> Result<()> {
        let profile = format!("--user-data-dir={}", self.profile.path().display());
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--hide-scrollbars",
            &profile,
        ];
        let wanted = json!({"capabilities": {"alwaysMatch": {
            "browserName": "chrome",
            "pageLoadStrategy": "normal",
            "goog:chromeOptions": {"binary": CHROMIUM, "args": arguments},
        }}});
        let session = self.call("/session", &wanted).await?;
        let id = session["sessionId"].as_str().context("no session")?;
        self.base = format!("{}/session/{id}", self.base);
        self.look(DESKTOP).await
    }

    /// One command; the error says what the driver said.
    async fn call(&self, path: &str, body: &Value) -> Result<Value> {
        let url = format!("{}{path}", self.base);
        let answer = self.client.post(url).json(body).send().await?;
        Self::value(path, answer).await
    }

    async fn ask(&self, path: &str) -> Result<Value> {
        let answer = self
            .client
            .get(format!("{}{path}", self.base))
            .send()
            .await?;
        Self::value(path, answer).await
    }

    async fn value(path: &str, answer: reqwest::Response) -> Result<Value> {
        let status = answer.status();
        let mut answer: Value = answer.json().await?;
        let value = answer["value"].take();
        ensure!(
            status.is_success(),
            "{path}: {} {}",
            value["error"],
            value["message"]
        );
        Ok(value)
    }

    /// A command of Chromium's own protocol.
    async fn chromium(&self, command: &str, parameters: &Value) -> Result<Value> {
        let body = json!({"cmd": command, "params": parameters});
        self.call("/goog/cdp/execute", &body).await
    }

    /// Sets size and colours, as a screen of that kind has them.
    pub async fn look(&self, look: Look) -> Result<()> {
        let size = json!({
            "width": look.width, "height": look.height, "deviceScaleFactor": 1,
            "mobile": look.width < 600,
        });
        self.chromium("Emulation.setDeviceMetricsOverride", &size)
            .await?;
        let colours = if look.dark { "dark" } else { "light" };
        // Nothing glides: what is clicked stays where it is.
        let media = json!({"media": "", "features": [
            {"name": "prefers-color-scheme", "value": colours},
            {"name": "prefers-reduced-motion", "value": "reduce"},
        ]});
        self.chromium("Emulation.setEmulatedMedia", &media).await?;
        Ok(())
    }

    /// Shows the page as it is printed, until a look is chosen.
    pub async fn on_paper(&self) -> Result<()> {
        let media = json!({"media": "print", "features": []});
        self.chromium("Emulation.setEmulatedMedia", &media).await?;
        Ok(())
    }

    /// The page as a PDF document, as it comes out of a printer.
    pub async fn printed(&self) -> Result<Vec<u8>> {
        let options = json!({"printBackground": false, "preferCSSPageSize": true});
        let answer = self.chromium("Page.printToPDF", &options).await?;
        let data = answer["data"].as_str().context("no document")?;
        Ok(base64::Engine::decode(
            &base64::engine::general_purpose::STANDARD,
            data,
        )?)
    }

    /// Opens an address, and waits until the page is painted: Chromium drops keys before that.
    pub async fn open(&self, url: &str) -> Result<()> {
        self.call("/url", &json!({ "url": url })).await?;
        self.painted().await;
        Ok(())
    }

    /// Waits until the page is painted.
    pub async fn painted(&self) {
        let painted = "const done = arguments[arguments.length - 1]; \
            requestAnimationFrame(() => requestAnimationFrame(() => done(true)))";
        // A page that leads on by itself has no end of that; whoever opened it waits for the next.
        let _ = self.script_later(painted, &[]).await;
    }

    /// Where the page is from.
    pub async fn address(&self) -> Result<String> {
        let url = self.ask("/url").await?;
        Ok(url.as_str().unwrap_or_default().to_owned())
    }

    /// Runs a script in the page and returns what it returns.
    pub async fn script(&self, script: &str, arguments: &[Value]) -> Result<Value> {
        let body = json!({"script": script, "args": arguments});
        self.call("/execute/sync", &body).await
    }

    /// Runs a script in the page that calls its last argument when it is done.
    pub async fn script_later(&self, script: &str, arguments: &[Value]) -> Result<Value> {
        let body = json!({"script": script, "args": arguments});
        self.call("/execute/async", &body).await
    }

    /// The text of the page as it is seen.
    pub async fn text(&self) -> Result<String> {
        let text = self.script("return document.body.innerText", &[]).await?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// Waits until the page holds a text.
    pub async fn wait_for(&self, text: &str) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        while Instant::now() < end {
            if self.text().await.is_ok_and(|shown| shown.contains(text)) {
                return Ok(());
            }
            tokio::time::sleep(Duration::from_millis(40)).await;
        }
        bail!(
            "\"{text}\" was not shown on {}: {}",
            self.address().await?,
            self.text().await?
        )
    }

    /// Waits until a script returns true.
    pub async fn wait_until(&self, script: &str) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        while Instant::now() < end {
            if self
                .script(script, &[])
                .await
                .is_ok_and(|done| done == true)
            {
                return Ok(());
            }
            tokio::time::sleep(Duration::from_millis(40)).await;
        }
        bail!("{script} did not become true on {}", self.address().await?)
    }

    /// Presses keys one after the other, wherever the focus is; CONTROL is held to the end.
    pub async fn press(&self, pressed: &str) -> Result<()> {
        let mut actions = Vec::new();
        let mut held = Vec::new();
        for key in pressed.chars().map(String::from) {
            actions.push(json!({"type": "keyDown", "value": key}));
            if key == keys::CONTROL {
                held.push(key);
            } else {
                actions.push(json!({"type": "keyUp", "value": key}));
            }
        }
        actions.extend(
            held.into_iter()
                .map(|key| json!({"type": "keyUp", "value": key})),
        );
        let body = json!({"actions": [{"type": "key", "id": "keyboard", "actions": actions}]});
        self.call("/actions", &body).await?;
        Ok(())
    }

    /// Clicks the first element that a CSS selector finds.
    pub async fn click(&self, selector: &str) -> Result<()> {
        let wanted = json!({"using": "css selector", "value": selector});
        let element = self.call("/element", &wanted).await?;
        let id = element[ELEMENT].as_str().context("no element")?;
        self.call(&format!("/element/{id}/click"), &json!({}))
            .await?;
        Ok(())
    }

    /// A picture of the whole page, written to a file.
    pub async fn picture(&self, file: &Path) -> Result<()> {
        let whole = json!({"captureBeyondViewport": true, "format": "png"});
        let picture = self.chromium("Page.captureScreenshot", &whole).await?;
        let data = picture["data"].as_str().context("no picture")?;
        let bytes = base64::Engine::decode(&base64::engine::general_purpose::STANDARD, data)?;
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(file, bytes)?;
        Ok(())
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Ends the window first: a driver that is only killed leaves its browser behind.
        if let Some((host, path)) = self.base.trim_start_matches("http://").split_once('/') {
            let _ = end_session(host, path);
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// `DELETE` of the session, without a runtime: a drop cannot wait for one.
fn end_session(host: &str, path: &str) -> Result<()> {
    let mut stream = TcpStream::connect(host)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    write!(
        stream,
        "DELETE /{path} HTTP/1.1\r\nHost: {host}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    )?;
    // The answer comes when the browser is gone; the driver keeps the connection, so its first bytes do.
    stream.read_exact(&mut [0; 12])?;
    Ok(())
}

/// A folder beside the build for what the browser tests make.
pub fn folder() -> Result<PathBuf> {
    let tests = std::env::current_exe().context("where the tests are")?;
    // target/PROFILE/deps/browser-HASH
    let target = tests
        .ancestors()
        .nth(3)
        .context("the folder of the build")?;
    Ok(target.join("browser"))
}
