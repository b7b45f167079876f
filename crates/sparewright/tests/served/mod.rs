//! The program itself, serving a notebook of its own, and a plain way to ask it.

#![allow(dead_code, reason = "each test file uses its part")]
#![allow(clippy::panic, reason = "a test that cannot go on says why")]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

pub mod browser;

/// A server on its own store, killed when dropped.
pub struct Served {
    child: Child,
    pub address: SocketAddr,
    folder: tempfile::TempDir,
    /// What it said on the terminal, but for the first line.
    output: BufReader<std::process::ChildStdout>,
}

/// An answer as it came over the wire.
#[derive(Debug)]
pub struct Reply {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Served {
    pub fn start() -> Served {
        let folder = tempfile::tempdir().expect("a folder for the store");
        Served::with(folder, &[])
    }

    /// Open to the shop's network; the code that lets a device in.
    pub fn start_for_shop() -> (Served, String) {
        let folder = tempfile::tempdir().expect("a folder for the store");
        let mut served = Served::with(folder, &["--shop-network"]);
        let mut line = String::new();
        served.output.read_line(&mut line).expect("it tells the code");
        let after = line.split("type the code ").nth(1).unwrap_or_else(|| panic!("no code in: {line}"));
        (served, after.chars().take(9).filter(char::is_ascii_digit).collect())
    }

    fn with(folder: tempfile::TempDir, more: &[&str]) -> Served {
        let (child, address, output) = run(&folder.path().join("notebook.store"), 0, more);
        Served { child, address, folder, output }
    }

    /// As when the power fails, and the machine is started again: the same store, the same port.
    pub fn kill(&mut self) {
        self.child.kill().expect("it can be killed");
        self.child.wait().expect("it ends");
    }

    pub fn start_again(&mut self) {
        let store = self.store();
        (self.child, self.address, self.output) = run(&store, self.address.port(), &[]);
    }

    pub fn store(&self) -> PathBuf {
        self.folder.path().join("notebook.store")
    }

    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    pub fn get(&self, path: &str) -> Reply {
        self.ask("GET", path, &[], b"")
    }

    pub fn post(&self, path: &str, form: &[(&str, &str)]) -> Reply {
        let body: Vec<String> = form.iter().map(|(name, value)| format!("{}={}", coded(name), coded(value))).collect();
        self.ask("POST", path, &[("Content-Type", "application/x-www-form-urlencoded")], body.join("&").as_bytes())
    }

    pub fn json(&self, method: &str, path: &str, value: &serde_json::Value) -> Reply {
        self.ask(method, path, &[("Content-Type", "application/json")], value.to_string().as_bytes())
    }

    /// Keeps a job; its number.
    pub fn keep(&self, text: &str) -> i64 {
        let reply = self.ask("POST", "/api/jobs", &[("Content-Type", "application/toml")], text.as_bytes());
        assert_eq!(reply.status, 201, "{}", reply.text());
        reply.value()["id"].as_i64().expect("a number")
    }

    pub fn text_of(&self, job: i64) -> String {
        self.get(&format!("/api/jobs/{job}")).value()["text"].as_str().expect("a text").to_string()
    }

    /// Asks with the headers of a program; one given here takes the place of the usual one.
    pub fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Reply {
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        let given = |name: &str| headers.iter().any(|(known, _)| known.eq_ignore_ascii_case(name));
        if !given("host") {
            head += &format!("Host: {}\r\n", self.address);
        }
        if !given("content-length") && method != "GET" {
            head += &format!("Content-Length: {}\r\n", body.len());
        }
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        raw(self.address, &[(head + "\r\n").as_bytes(), body].concat())
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn run(store: &std::path::Path, port: u16, more: &[&str]) -> (Child, SocketAddr, BufReader<std::process::ChildStdout>) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sparewright"))
        .args(["serve", "--no-browser", "--port", &port.to_string(), "--store"])
        .arg(store)
        .args(more)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut lines = BufReader::new(child.stdout.take().expect("its output"));
    let mut line = String::new();
    lines.read_line(&mut line).expect("it says where it is open");
    let address = line.split("http://").nth(1).and_then(|rest| rest.split('/').next()).unwrap_or_default();
    let address = address.parse().unwrap_or_else(|_| panic!("no address in: {line}"));
    (child, address, lines)
}

/// Sends these bytes and takes what comes.
pub fn raw(address: SocketAddr, bytes: &[u8]) -> Reply {
    let mut stream = TcpStream::connect(address).expect("it listens");
    stream.set_read_timeout(Some(Duration::from_secs(120))).expect("a timeout");
    // a server that has refused already may not take the rest
    let _ = stream.write_all(bytes);
    let mut all = Vec::new();
    let _ = stream.read_to_end(&mut all);
    Reply::of(&all)
}

impl Reply {
    pub fn of(all: &[u8]) -> Reply {
        let split = all.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or(all.len());
        let head = String::from_utf8_lossy(&all[..split]).into_owned();
        let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
        let body = all.get(split + 4..).unwrap_or_default();
        let chunked = head.to_lowercase().contains("transfer-encoding: chunked");
        let body = if chunked { unchunked(body) } else { body.to_vec() };
        Reply { status, head, body }
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn value(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(':'));
        lines.into_iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value.trim())
    }
}

fn unchunked(mut body: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = body.windows(2).position(|two| two == b"\r\n") {
        let length = usize::from_str_radix(&String::from_utf8_lossy(&body[..end]), 16).unwrap_or(0);
        let Some(chunk) = body.get(end + 2..end + 2 + length).filter(|chunk| !chunk.is_empty()) else { break };
        out.extend_from_slice(chunk);
        body = body.get(end + 4 + length..).unwrap_or_default();
    }
    out
}

fn coded(text: &str) -> String {
    let byte = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => char::from(byte).to_string(),
        byte => format!("%{byte:02X}"),
    };
    text.bytes().map(byte).collect()
}

const SECTOR: &str = include_str!("../../../../demo/apple-mill-sector.toml");

/// The sector without its pictures, one span read a turn of the thimble too large.
pub fn slipped() -> String {
    let plain: String =
        SECTOR.lines().filter(|line| !line.starts_with("scan")).map(|line| format!("{line}\n")).collect();
    let plain = plain.replace("[scan]\ngauge = \"0.7500 in\"\n", "");
    // the back comes from the picture
    let plain = plain.split("[[feature]]\nname = \"back profile\"").next().unwrap_or_default().to_string();
    plain.replace("span over 5 teeth 1.3885", "span over 5 teeth 1.4135")
}
