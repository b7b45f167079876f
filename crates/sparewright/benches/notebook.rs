//! The notebook under load: a cold start, one job's page, and fifty devices on one shop's notebook at once.
//!
//! `cargo bench -p sparewright --bench notebook` prints the tables; `-- SECONDS` loads it for another time than a minute.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

const SECTOR: &str = include_str!("../../../demo/apple-mill-sector.toml");
const DEVICES: u64 = 50;
const JOBS: usize = 20;
/// What a person at a tablet takes between two taps, at the least.
const BETWEEN: Duration = Duration::from_millis(250);

fn main() {
    let seconds = std::env::args().filter_map(|argument| argument.parse().ok()).next().unwrap_or(60);
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("notebook.store");
    let began = Instant::now();
    let (mut child, address) = run(&store);
    let mut line = Line::open(address);
    assert_eq!(line.ask("GET", "/", "", "").0, 200);
    println!("start to first page      {:>8.1} ms", ms(began.elapsed()));

    let text: String =
        SECTOR.lines().filter(|line| !line.starts_with("scan")).map(|line| format!("{line}\n")).collect();
    let text = text.replace("[scan]\ngauge = \"0.7500 in\"\n", "");
    let text = text.split("[[feature]]\nname = \"back profile\"").next().unwrap_or_default().to_string();
    let jobs: Vec<u64> = (0..JOBS)
        .map(|number| {
            let text = text.replace("Feed sector", &format!("Feed sector {number}"));
            let (status, body) = line.ask("POST", "/api/jobs", "application/toml", &text);
            assert_eq!(status, 201);
            serde_json::from_slice::<serde_json::Value>(&body).expect("JSON")["id"].as_u64().expect("a number")
        })
        .collect();
    let page = format!("/jobs/{}", jobs[0]);
    let (first, _) = timed(|| line.ask("GET", &page, "", ""));
    let (again, (_, body)) = timed(|| line.ask("GET", &page, "", ""));
    println!("page of a job, solved    {first:>8.1} ms");
    println!("page of a job, again     {again:>8.1} ms, {:.1} kB over the wire", body.len() as f64 / 1e3);

    load(address, &jobs, seconds);
    let _ = child.kill();
    let _ = child.wait();
}

/// Every device reads pages, types, writes a note, and takes a step at the machine; nothing that was acknowledged may be missing.
fn load(address: SocketAddr, jobs: &[u64], seconds: u64) {
    let end = Instant::now() + Duration::from_secs(seconds);
    let written = AtomicU64::new(0);
    let times: Vec<Vec<(usize, f64)>> = std::thread::scope(|scope| {
        let devices: Vec<_> = (0..DEVICES)
            .map(|device| {
                let written = &written;
                scope.spawn(move || {
                    let mut line = Line::open(address);
                    let mut out = Vec::new();
                    let job = jobs[device as usize % jobs.len()];
                    let mut round = 0u64;
                    while Instant::now() < end {
                        let page = format!("/jobs/{job}");
                        let echo = format!("/jobs/{job}/echo");
                        let marks = format!("/api/jobs/{job}/marks");
                        out.push((0, timed(|| line.ask("GET", &page, "", "")).0));
                        out.push((
                            1,
                            timed(|| line.ask("POST", &echo, FORM, "at=feature-0&text=span+over+4+teeth+1.08")).0,
                        ));
                        let mark = format!("{{\"key\":\"load {device}\",\"value\":\"{round}\"}}");
                        let (time, (status, _)) = timed(|| line.ask("PUT", &marks, "application/json", &mark));
                        assert_eq!(status, 200);
                        out.push((2, time));
                        // one in ten writes a reading, which is solved anew
                        if round.is_multiple_of(10) {
                            let note = format!("at=feature-1&text=note+{device}+at+{round}");
                            let lines = format!("/jobs/{job}/lines");
                            let (time, (status, _)) = timed(|| line.ask("POST", &lines, FORM, &note));
                            if status == 303 {
                                written.fetch_add(1, Ordering::Relaxed);
                            }
                            out.push((3, time));
                        }
                        round += 1;
                        std::thread::sleep(BETWEEN);
                    }
                    out
                })
            })
            .collect();
        devices.into_iter().map(|device| device.join().expect("a device")).collect()
    });
    println!("\n{DEVICES} devices for {seconds} s        asked   p50 ms   p99 ms   worst");
    for (kind, name) in ["page of a job", "echo of a line", "step at the machine", "reading written"].iter().enumerate()
    {
        let mut of: Vec<f64> = times.iter().flatten().filter(|(one, _)| *one == kind).map(|(_, time)| *time).collect();
        of.sort_by(f64::total_cmp);
        let at = |part: f64| {
            of.get(((of.len() as f64 * part) as usize).min(of.len().saturating_sub(1))).copied().unwrap_or(0.0)
        };
        println!("{name:<22} {:>8} {:>8.1} {:>8.1} {:>7.1}", of.len(), at(0.5), at(0.99), at(1.0));
    }
    let mut line = Line::open(address);
    let kept: usize = jobs
        .iter()
        .map(|job| {
            let (_, body) = line.ask("GET", &format!("/api/jobs/{job}"), "", "");
            let kept: serde_json::Value = serde_json::from_slice(&body).expect("JSON");
            kept["text"].as_str().expect("a text").matches("\"note ").count()
        })
        .sum();
    let written = written.load(Ordering::Relaxed);
    println!("acknowledged {written} readings, kept {kept}");
    assert!(kept as u64 >= written, "something acknowledged is missing");
}

const FORM: &str = "application/x-www-form-urlencoded";

/// A connection that stays open, as a browser's does.
struct Line {
    stream: BufReader<TcpStream>,
    host: SocketAddr,
}

impl Line {
    fn open(host: SocketAddr) -> Line {
        let stream = TcpStream::connect(host).expect("it listens");
        stream.set_nodelay(true).expect("no delay");
        Line { stream: BufReader::new(stream), host }
    }

    fn ask(&mut self, method: &str, path: &str, kind: &str, body: &str) -> (u16, Vec<u8>) {
        let kind = if kind.is_empty() { String::new() } else { format!("Content-Type: {kind}\r\n") };
        let accept = if method == "GET" && !path.starts_with("/api") { "Accept-Encoding: gzip\r\n" } else { "" };
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\n{kind}{accept}Content-Length: {}\r\n\r\n{body}",
            self.host,
            body.len()
        );
        self.stream.get_mut().write_all(request.as_bytes()).expect("it is sent");
        let (mut status, mut length) = (0, 0);
        loop {
            let mut head = String::new();
            self.stream.read_line(&mut head).expect("an answer");
            if head.trim().is_empty() {
                break;
            }
            if status == 0 {
                status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
            }
            if let Some((name, value)) = head.split_once(':')
                && name.eq_ignore_ascii_case("content-length")
            {
                length = value.trim().parse().unwrap_or(0);
            }
        }
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body).expect("the whole answer");
        (status, body)
    }
}

fn run(store: &std::path::Path) -> (Child, SocketAddr) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sparewright"))
        .args(["serve", "--no-browser", "--port", "0", "--store"])
        .arg(store)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut line = String::new();
    BufReader::new(child.stdout.take().expect("its output")).read_line(&mut line).expect("it says where it is open");
    let address = line.split("http://").nth(1).and_then(|rest| rest.split('/').next()).unwrap_or_default();
    (child, address.parse().expect("an address"))
}

fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let began = Instant::now();
    let done = work();
    (ms(began.elapsed()), done)
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}
