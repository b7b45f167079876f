//! A real browser with a fresh profile, driven from a test.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::actions::{Actions, InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction, TouchActions};
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};

/// A page checked against WCAG 2.0 to 2.2, levels A and AA.
const AXE: &str = include_str!("../assets/axe.min.js");

pub struct Browser {
    driver: Child,
    pub client: Client,
    /// Its profile; it goes with the browser.
    _profile: tempfile::TempDir,
}

/// How a page is looked at.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    pub width: u32,
    pub dark: bool,
}

/// Runs a test in a browser of its own.
pub fn in_browser(look: Look, test: impl AsyncFnOnce(&Browser)) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    runtime.block_on(async {
        let browser = Browser::open(look).await;
        test(&browser).await;
        browser.close().await;
    });
}

impl Browser {
    pub async fn open(look: Look) -> Browser {
        let (driver, port) = started();
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut arguments = vec![
            "--headless".to_string(),
            "--no-sandbox".into(),
            "--disable-gpu".into(),
            "--disable-background-networking".into(),
            "--disable-component-update".into(),
            "--disable-sync".into(),
            "--disable-dev-shm-usage".into(),
            // a page that scrolls gently is not where a click was aimed
            "--force-prefers-reduced-motion".into(),
            format!("--user-data-dir={}", profile.path().display()),
            format!("--window-size={},900", look.width),
        ];
        if look.dark {
            arguments.push("--force-dark-mode".into());
            arguments.push("--blink-settings=preferredColorScheme=0".into());
        }
        let wanted = json!({"goog:chromeOptions": {"args": arguments}});
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted.as_object().expect("a table").clone())
            .connect(&format!("http://127.0.0.1:{port}"))
            .await
            .expect("a browser opens");
        Browser { driver, client, _profile: profile }
    }

    pub async fn close(mut self) {
        let _ = self.client.clone().close().await;
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }

    pub async fn goto(&self, url: &str) {
        self.client.goto(url).await.expect("the page comes");
    }

    /// Waits for something that is there, and gives its text.
    pub async fn text(&self, selector: &str) -> String {
        let found = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(selector)).await;
        found.unwrap_or_else(|error| panic!("{selector}: {error}")).text().await.expect("its text")
    }

    pub async fn click(&self, selector: &str) {
        let found = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(selector)).await;
        let found = found.unwrap_or_else(|error| panic!("{selector}: {error}"));
        found.click().await.unwrap_or_else(|error| panic!("{selector}: {error}"));
    }

    pub async fn link(&self, text: &str) {
        let found = self.client.wait().at_most(PATIENCE).for_element(Locator::LinkText(text)).await;
        found.unwrap_or_else(|error| panic!("{text}: {error}")).click().await.expect("it can be clicked");
    }

    /// Types as a person does.
    pub async fn keys(&self, selector: &str, keys: &str) {
        let found = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(selector)).await;
        found.unwrap_or_else(|error| panic!("{selector}: {error}")).send_keys(keys).await.expect("it takes keys");
    }

    /// Takes hold of something with the mouse and drags it, in pixels of the screen.
    pub async fn drag(&self, selector: &str, x: f64, y: f64) {
        let element = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(selector)).await;
        let element = element.unwrap_or_else(|error| panic!("{selector}: {error}"));
        let duration = Some(Duration::from_millis(60));
        let mouse = MouseActions::new("mouse".into())
            .then(PointerAction::MoveToElement { element, duration, x: 0.0, y: 0.0 })
            .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
            .then(PointerAction::MoveBy { duration, x: 0.5 * x, y: 0.5 * y })
            .then(PointerAction::MoveBy { duration, x: 0.5 * x, y: 0.5 * y })
            .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
        self.client.perform_actions(mouse).await.unwrap_or_else(|error| panic!("{selector}: {error}"));
    }

    /// Lays two fingers beside the middle of something, 20 pixels to each side, and parts them to 60.
    pub async fn part_fingers(&self, selector: &str) {
        let element = self.client.wait().at_most(PATIENCE).for_element(Locator::Css(selector)).await;
        let element = element.unwrap_or_else(|error| panic!("{selector}: {error}"));
        let duration = Some(Duration::from_millis(60));
        let finger = |id: &str, side: f64| {
            TouchActions::new(id.into())
                .then(PointerAction::MoveToElement { element: element.clone(), duration, x: 20.0 * side, y: 0.0 })
                .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
                .then(PointerAction::MoveBy { duration, x: 20.0 * side, y: 0.0 })
                .then(PointerAction::MoveBy { duration, x: 20.0 * side, y: 0.0 })
                .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT })
        };
        let both = Actions::from(finger("left", -1.0)).and(finger("right", 1.0));
        self.client.perform_actions(both).await.unwrap_or_else(|error| panic!("{selector}: {error}"));
    }

    pub async fn count(&self, selector: &str) -> usize {
        self.client.find_all(Locator::Css(selector)).await.expect("they are counted").len()
    }

    /// Waits until a condition in the page holds.
    pub async fn until(&self, condition: &str) {
        let patience = PATIENCE.as_millis() / 50;
        for _ in 0..patience {
            if self.client.execute(&format!("return !!({condition})"), vec![]).await.ok() == Some(Value::Bool(true)) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let seen = self.client.execute("return document.body.innerText", vec![]).await.unwrap_or_default();
        panic!("never came: {condition}\nThe page says:\n{}", seen.as_str().unwrap_or_default());
    }

    /// What is wrong with the page for those who see, hear or reach it otherwise; empty where nothing is.
    pub async fn barriers(&self) -> Vec<String> {
        let script = format!(
            "{AXE};\nconst done = arguments[0];\naxe.run(document, {{runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}})\
             .then((found) => done(found.violations.map((one) => one.id + ': ' + one.help + ' ' + one.nodes.slice(0, 3).map((node) => node.html).join(' | '))))\
             .catch((error) => done(['axe: ' + error]));"
        );
        let found = self.client.execute_async(&script, vec![]).await.expect("the check runs");
        serde_json::from_value(found).expect("a list of words")
    }
}

/// A driver and the port that it listens on. It takes a free port of one kind of address and then wants the same number of
/// the other kind; another driver that starts in that moment may hold it, and this one ends. It is then started again.
fn started() -> (Child, String) {
    for _ in 0..10 {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .spawn()
            .expect("chromedriver is installed; tests/outside/browser.sh does it on Debian");
        let mut lines = BufReader::new(driver.stdout.take().expect("its output")).lines().map_while(Result::ok);
        let port =
            lines.find_map(|line| Some(line.split("successfully on port ").nth(1)?.trim_end_matches('.').to_string()));
        if let Some(port) = port {
            // a driver whose output is not read stands still when the pipe is full
            std::thread::spawn(move || lines.for_each(drop));
            return (driver, port);
        }
        let _ = driver.wait();
    }
    panic!("chromedriver never said its port");
}

/// A loaded machine is slow; a page that never comes is told after this.
const PATIENCE: Duration = Duration::from_secs(60);
