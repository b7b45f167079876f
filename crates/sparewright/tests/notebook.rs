//! The notebook over HTTP: what is written down, who is let in, what is refused.

mod served;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use serde_json::json;
use served::{Served, raw, slipped};

#[test]
fn a_reading_is_written_down_as_typed_and_remarks_stay() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let reply =
        served.post(&format!("/jobs/{job}/lines"), &[("at", "feature-0"), ("text", "bore: length 0.438, caliper")]);
    assert_eq!(reply.status, 303, "{}", reply.text());
    let text = served.text_of(job);
    assert!(text.contains("\"length 0.438, caliper\","), "it went to the bore: {text}");
    assert!(text.starts_with("# The feed sector"), "remarks stay");

    let wrong = served.post(&format!("/jobs/{job}/lines"), &[("at", "feature-0"), ("text", "tip radius 2.3im")]);
    assert_eq!(wrong.status, 422);
    assert!(wrong.text().contains("tip radius 2.3<u>im</u>"), "the characters are marked");
    assert!(wrong.text().contains("value=\"tip radius 2.3im\""), "and what was typed is still there");
    assert_eq!(served.text_of(job), text);
}

#[test]
fn a_slip_is_marked_and_mended_on_its_line() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let page = served.get(&format!("/jobs/{job}")).text();
    assert!(page.contains("span over 5 teeth <u>1.4135</u>, micrometer"));
    let mended = "span over 5 teeth 1.3884, micrometer (first read 1.4135)";
    assert!(page.contains(&format!("value=\"{mended}\"")), "one tap mends it");
    let was = "span over 5 teeth 1.4135, micrometer";
    let change = [("at", "feature-0"), ("line", "5"), ("was", was), ("text", mended)];
    assert_eq!(served.post(&format!("/jobs/{job}/lines/change"), &change).status, 303);
    assert!(served.text_of(job).contains(mended));
    assert!(!served.get(&format!("/jobs/{job}")).text().contains("class=\"line slip\""));
    // a second tap on a page that is old changes nothing
    let again = served.post(&format!("/jobs/{job}/lines/change"), &change);
    assert_eq!(again.status, 422);
    assert!(again.text().contains("changed meanwhile"));
}

#[test]
fn two_tabs_that_change_one_line_both_have_their_say() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let was = "tip radius 2.300, caliper";
    let change = |was: &str, text: &str| {
        let form = [("at", "feature-0"), ("line", "2"), ("was", was), ("text", text)];
        served.post(&format!("/jobs/{job}/lines/change"), &form)
    };
    assert_eq!(change(was, "tip radius 2.301, caliper").status, 303);
    let late = change(was, "tip radius 2.302, caliper");
    assert_eq!(late.status, 422);
    let page = late.text();
    for told in [
        "tip radius 2.301, caliper",
        "tip radius 2.302, caliper",
        "Feed sector for the apple mill",
        "Write mine in its place",
    ] {
        assert!(page.contains(told), "{told}: {page}");
    }
    assert!(page.contains("name=\"was\" value=\"tip radius 2.301, caliper\""), "one press writes it: {page}");
    assert_eq!(change("tip radius 2.301, caliper", "tip radius 2.302, caliper").status, 303);
    assert!(served.text_of(job).contains("tip radius 2.302, caliper"));
}

#[test]
fn a_refusal_says_of_what_and_keeps_what_was_typed() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let from = served.url(&format!("/jobs/{job}/pictures"));
    let form = [("Content-Type", "application/x-www-form-urlencoded"), ("Referer", from.as_str())];
    let refused = served.ask("POST", &format!("/jobs/{job}/features"), &form, b"kind=spring&name=back+spring");
    assert_eq!(refused.status, 422);
    let page = refused.text();
    assert!(page.contains("no such kind") && page.contains("back spring"), "{page}");
    assert!(page.contains(&format!("href=\"/jobs/{job}\"")) && page.contains("Feed sector for the apple mill"));
    assert!(page.contains(&format!("href=\"/jobs/{job}/pictures\"")), "the way back: {page}");
    for nowhere in ["/jobs/abc", "/jobs/abc/checking", "/jobs/7777"] {
        let page = served.get(nowhere);
        assert_eq!(page.status, 404, "{nowhere}");
        assert!(page.text().contains("There is no such job") || page.text().contains("no job"), "{}", page.text());
        assert!(page.text().contains("<html"), "{nowhere}");
    }
}

#[test]
fn the_line_that_the_page_makes_of_a_figure_reads() {
    let served = Served::start();
    assert_eq!(served.post("/demo", &[]).status, 303);
    let mut tried = 0;
    for job in 1..=5 {
        let page = served.get(&format!("/jobs/{job}/checking?piece=1")).text();
        for form in page.split("<section class=\"size\"").skip(1).filter(|part| part.contains("inputmode=\"decimal\""))
        {
            let value = |name: &str| {
                let rest = form.split(&format!("name=\"{name}\" value=\"")).nth(1).unwrap_or_default();
                rest.split('"').next().unwrap_or_default().to_string()
            };
            let (feature, lead) = (value("feature"), value("lead"));
            if lead.is_empty() {
                continue;
            }
            let sent = [("piece", "1"), ("feature", feature.as_str()), ("lead", lead.as_str()), ("text", "0.0123")];
            let echo = served.post(&format!("/jobs/{job}/checking/echo"), &sent).text();
            assert!(echo.contains("class=\"verdict\""), "{lead} of {feature} in job {job}: {echo}");
            tried += 1;
        }
    }
    assert!(tried >= 20, "{tried} sizes were tried");
}

#[test]
fn what_is_being_typed_is_echoed_and_carried_on() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let echo = |text: &str| served.post(&format!("/jobs/{job}/echo"), &[("at", "feature-0"), ("text", text)]).text();
    assert!(echo("span over 4 teeth 1.0843, mic").contains("data-fill=\"span over 4 teeth 1.0843, micrometer\""));
    assert!(echo("sp").contains("data-fill=\"span over \""));
    // 1.0843 in is 27.541 mm
    assert!(echo("span over 4 teeth 1.0843, micrometer").contains("27.541 mm"));
    assert!(echo("keyway width 0.1875").contains("of bore"), "it can only be the bore's");
}

#[test]
fn the_same_result_everywhere() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let page = served.get(&format!("/api/jobs/{job}/result")).value();
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.toml");
    std::fs::write(&file, slipped()).expect("written");
    let printed = std::process::Command::new(env!("CARGO_BIN_EXE_sparewright"))
        .args(["solve", "--json"])
        .arg(&file)
        .output()
        .expect("it runs");
    let printed: serde_json::Value = serde_json::from_slice(&printed.stdout).expect("JSON");
    assert_eq!(page, printed);
    assert!(served.get(&format!("/jobs/{job}/pack.pdf")).body.starts_with(b"%PDF"));
}

#[test]
fn a_piece_is_judged_as_it_is_typed_and_kept_in_the_job() {
    let served = Served::start();
    let job = served.keep(&slipped().split("[[piece]]").next().unwrap_or_default().replace("1.4135", "1.3885"));
    let size = [("piece", "2"), ("feature", "bore"), ("lead", "diameter "), ("tail", ", telescopic gauge")];
    let post = |path: &str, text: &str| {
        let form: Vec<(&str, &str)> = size.iter().copied().chain([("text", text)]).collect();
        served.post(&format!("/jobs/{job}{path}"), &form)
    };
    assert!(post("/checking/echo", "0.9000").text().contains("Not good."));
    assert!(post("/checking/echo", "0.87im").text().contains("<u>im</u>"));
    assert_eq!(post("/checking", "0.87im").status, 422);
    assert_eq!(post("/checking", "0.9000").status, 303);
    let text = served.text_of(job);
    assert!(text.contains("number = 2") && text.contains("\"diameter 0.9000, telescopic gauge\""), "{text}");
    let page = served.get(&format!("/jobs/{job}/checking?piece=2")).text();
    assert!(page.contains("over the upper limit"), "{page}");
    let gone = [("piece", "2"), ("feature", "bore"), ("was", "diameter 0.9000, telescopic gauge")];
    assert_eq!(served.post(&format!("/jobs/{job}/checking/remove"), &gone).status, 303);
    assert!(!served.text_of(job).contains("0.9000, telescopic"));
}

#[test]
fn a_place_is_kept_through_a_kill_and_two_devices_are_told() {
    let mut served = Served::start();
    let job = served.keep(&slipped());
    let marks = format!("/api/jobs/{job}/marks");
    let step = |served: &Served, seen: &str, value: &str| {
        served.json("PUT", &marks, &json!({"key": "spaces of piece 1", "seen": seen, "value": value}))
    };
    assert_eq!(step(&served, "", "1").status, 200);
    assert_eq!(step(&served, "1", "2").status, 200);
    served.kill();
    served.start_again();
    assert_eq!(served.get(&marks).value(), json!({"spaces of piece 1": "2"}));
    let late = step(&served, "1", "3");
    assert_eq!((late.status, late.value()), (409, json!({"value": "2"})));
    assert_eq!(step(&served, "1", "2").status, 200, "sent twice, done once");
}

#[test]
fn two_who_change_one_text_are_joined_or_told() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let base = served.text_of(job);
    let save = |text: String| served.json("PUT", &format!("/api/jobs/{job}"), &json!({"version": 1, "text": text}));
    assert_eq!(save(base.replace("2.300, caliper", "2.301, caliper")).status, 200);
    let joined = save(base.replace("0.438, caliper", "0.439, caliper"));
    assert_eq!(joined.status, 200);
    let text = joined.value()["text"].as_str().expect("a text").to_string();
    assert!(text.contains("2.301, caliper") && text.contains("0.439, caliper"));
    let clash = save(base.replace("2.300, caliper", "2.302, caliper"));
    assert_eq!(clash.status, 409);
    assert!(clash.value()["text"].as_str().is_some_and(|theirs| theirs.contains("2.301")));
}

#[test]
fn another_sites_page_gets_nothing_and_changes_nothing() {
    let served = Served::start();
    let host = served.address.to_string();
    let rebound = served.ask("GET", "/", &[("Host", "apples.example:7144")], b"");
    assert_eq!(rebound.status, 421);
    let none = raw(served.address, b"GET / HTTP/1.0\r\n\r\n");
    assert_ne!(none.status, 200);
    for origin in ["http://apples.example", "null", "https://127.0.0.1"] {
        let reply = served.ask(
            "POST",
            "/demo",
            &[("Origin", origin), ("Content-Type", "application/x-www-form-urlencoded")],
            b"",
        );
        assert_eq!(reply.status, 403, "{origin}");
    }
    let site = [("Sec-Fetch-Site", "cross-site"), ("Sec-Fetch-Mode", "no-cors")];
    assert_eq!(served.ask("GET", "/api/jobs", &site, b"").status, 403);
    assert_eq!(served.get("/api/jobs").value(), json!([]), "nothing was put in");
    let own = format!("http://{host}");
    assert_eq!(served.ask("POST", "/demo", &[("Origin", &own)], b"").status, 303);
    let page = served.get("/");
    let policy = page.header("content-security-policy").expect("a policy");
    assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"));
    assert!(!page.text().contains("style=") && !page.text().contains("onclick"));
    assert_eq!(page.header("x-content-type-options"), Some("nosniff"));
}

#[test]
fn no_path_from_outside_is_a_file() {
    let served = Served::start();
    let job = served.keep(&slipped());
    for path in [
        "/assets/x/../../../../etc/passwd",
        "/assets/x/..%2f..%2f..%2fetc%2fpasswd",
        "/assets/x/notebook.store",
        &format!("/jobs/{job}/pictures/..%2f..%2fetc%2fpasswd/file"),
        &format!("/jobs/{job}/pictures/%2fetc%2fpasswd/overlay.svg"),
        "/jobs/..%2f1",
        "/jobs/99999",
        "/jobs/-1",
    ] {
        let reply = served.get(path);
        assert!((400..500).contains(&reply.status), "{path}: {}", reply.status);
        assert!(!reply.text().contains("root:"), "{path}");
    }
    // a job that names a file beside the program's own is not read from there
    let outside = served.keep("title = \"x\"\nunits = \"in\"\n[[feature]]\nkind = \"bore\"\nscan = \"/etc/passwd\"\n");
    let page = served.get(&format!("/jobs/{outside}")).text();
    assert!(page.contains("No picture called"), "{page}");
    let bad = served.ask("PUT", &format!("/api/jobs/{job}/pictures/..%2fx.png"), &[], b"\x89PNG");
    assert_eq!(bad.status, 422);
}

#[test]
fn too_much_and_too_slow_is_refused() {
    let served = Served::start();
    let head = |length: &str| {
        format!("POST /api/jobs HTTP/1.1\r\nHost: {}\r\nContent-Length: {length}\r\n\r\n", served.address)
    };
    assert_eq!(raw(served.address, head("99999999999").as_bytes()).status, 413);
    let long = vec![b'#'; 3 * 1024 * 1024];
    assert_eq!(served.ask("POST", "/api/jobs", &[], &long).status, 413);
    let no_text = served.ask("POST", "/api/jobs", &[], &[0xff, 0xfe, 0x00]);
    assert_eq!(no_text.status, 422);
    // one who never sends the rest is told so, and others are served meanwhile
    let mut slow = TcpStream::connect(served.address).expect("it listens");
    slow.write_all(head("1000").as_bytes()).expect("the head goes");
    slow.write_all(b"title").expect("a little goes");
    assert_eq!(served.get("/").status, 200);
    slow.set_read_timeout(Some(Duration::from_secs(60))).expect("a timeout");
    let mut answer = Vec::new();
    let _ = slow.read_to_end(&mut answer);
    assert_eq!(served::Reply::of(&answer).status, 408);
}

#[test]
fn a_picture_that_is_none_is_refused() {
    let served = Served::start();
    let job = served.keep(&slipped());
    for bytes in [&b"no picture"[..], b"\x89PNG\r\n\x1a\nbroken", b"\xff\xd8\xff\xe0broken", b""] {
        let reply = served.ask("PUT", &format!("/api/jobs/{job}/pictures/x.png"), &[], bytes);
        assert_eq!(reply.status, 422, "{}", reply.text());
        assert!(reply.value()["why"].as_str().is_some_and(|why| why.ends_with('.')));
    }
    // 60 000 by 60 000 pixels in a few bytes
    let mut bomb = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
    bomb.extend_from_slice(&[0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60, 8, 0, 0, 0, 0, 0, 0, 0, 0]);
    let reply = served.ask("PUT", &format!("/api/jobs/{job}/pictures/x.png"), &[], &bomb);
    assert_eq!(reply.status, 422);
}

/// Fifty devices at once, each reading pages and writing readings; the bench `notebook` measures what is only counted here.
#[test]
fn many_devices_at_once_lose_nothing() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let _ = served.get(&format!("/jobs/{job}"));
    let (devices, each) = (12, 4);
    std::thread::scope(|scope| {
        for device in 0..devices {
            let served = &served;
            scope.spawn(move || {
                for number in 0..each {
                    let note = format!("note {number} of device {device}");
                    let reply = served.post(&format!("/jobs/{job}/lines"), &[("at", "feature-1"), ("text", &note)]);
                    assert_eq!(reply.status, 303, "{}", reply.text());
                }
            });
        }
    });
    let text = served.text_of(job);
    for device in 0..devices {
        for number in 0..each {
            assert!(text.contains(&format!("note {number} of device {device}")), "{device} {number}");
        }
    }
}

/// This machine's address in its network, if it has one.
fn network_address() -> Option<std::net::IpAddr> {
    let socket = std::net::UdpSocket::bind("0.0.0.0:0").ok()?;
    // nothing is sent; RFC 5737's address is nobody's
    socket.connect("192.0.2.1:9").ok()?;
    socket.local_addr().ok().map(|address| address.ip()).filter(|address| !address.is_loopback())
}

#[test]
fn a_device_of_the_shop_is_let_in_by_its_code_alone() {
    let (mut served, code) = Served::start_for_shop();
    let Some(address) = network_address() else {
        eprintln!("this machine has no network; only its own browser can be tried");
        return;
    };
    served.address.set_ip(address);
    let router = include_str!("../src/web/router.rs");
    let routes = router.lines().filter_map(|line| line.trim().strip_prefix(".route(\"")?.split('"').next());
    let closed: Vec<&str> = routes.filter(|path| *path != "/pair" && !path.starts_with("/assets/")).collect();
    assert!(closed.len() > 60, "the routes are no longer found in the router");
    for path in closed {
        let path = path.replace("{id}", "1").replace("{version}", "1").replace("{name}", "x").replace("{place}", "1");
        for method in ["GET", "POST", "PUT"] {
            let reply = served.ask(method, &path, &[], b"");
            match path.starts_with("/api/") {
                true => assert_eq!(reply.status, 401, "{method} {path}"),
                false => assert_eq!(reply.header("location"), Some("/pair"), "{method} {path}"),
            }
        }
    }
    let localhost = format!("localhost:{}", served.address.port());
    assert_eq!(served.ask("GET", "/pair", &[("Host", &localhost)], b"").status, 421);
    let pair = |code: &str| served.post("/pair", &[("code", code), ("name", "tablet at the mill")]);
    assert_eq!(pair("00000000").status, 422);
    let paired = pair(&code);
    let cookie = paired.header("set-cookie").expect("a cookie").to_string();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
    assert_eq!(pair(&code).status, 422, "a code is good once");
    let token = cookie.split(';').next().expect("the token").to_string();
    let shown = |token: &str| served.ask("GET", "/", &[("Cookie", token)], b"");
    assert_eq!(shown(&token).status, 200);
    assert_eq!(shown("sparewright-device=0123").header("location"), Some("/pair"));
    let devices = served.ask("GET", "/devices", &[("Cookie", &token)], b"").text();
    let number = devices.split("name=\"device\" value=\"").nth(1).and_then(|rest| rest.split('"').next());
    let form = format!("device={}", number.expect("a device may send itself away"));
    let sent = [("Cookie", token.as_str()), ("Content-Type", "application/x-www-form-urlencoded")];
    served.ask("POST", "/devices/revoke", &sent, form.as_bytes());
    assert_eq!(shown(&token).header("location"), Some("/pair"), "a device that was sent away stays out");
}

const BEGUN: &str = "title = \"Bush\"\nunits = \"in\"\n\n[[feature]]\nname = \"bore\"\nkind = \"bore\"\nreadings = [\"diameter goes 0.8750, not 0.8760\"]\n";

#[test]
fn a_new_job_is_no_mistake_and_its_features_have_names_of_their_own() {
    let served = Served::start();
    assert_eq!(served.post("/jobs", &[("title", "Bush of the mill"), ("units", "in")]).status, 303);
    let page = served.get("/jobs/1").text();
    assert!(!page.contains("class=\"refused\"") && page.contains("Put the first feature in"), "{page}");
    for _ in 0..2 {
        assert_eq!(served.post("/jobs/1/features", &[("kind", "bore"), ("name", "")]).status, 303);
    }
    let text = served.text_of(1);
    assert!(text.contains("name = \"bore\"") && text.contains("name = \"bore 2\""), "{text}");
    assert!(!served.get("/jobs/1").text().contains("already"));
    let taken = served.post("/jobs/1/features", &[("kind", "bore"), ("name", "Bore 2")]);
    assert!(
        taken.status == 422 && taken.text().contains("already") && taken.text().contains("To the job"),
        "{}",
        taken.text()
    );
    let named = served.post("/jobs/1/features/fill", &[("at", "feature-1"), ("name", "outer end")]);
    assert_eq!(named.status, 303);
    assert!(served.text_of(1).contains("name = \"outer end\""));
}

#[test]
fn what_pieces_say_of_a_feature_is_not_lost_unasked() {
    let served = Served::start();
    let piece = "\n[[piece]]\nnumber = 1\n[piece.readings]\nteeth = [\"runout 0.0015, indicator\", \"tip diameter 4.5985, micrometer\"]\n";
    let job = served.keep(&format!("{}{piece}", slipped()));
    let gone = |sure: &[(&'static str, &'static str)]| {
        let form: Vec<(&str, &str)> = [("at", "feature-0"), ("name", "teeth")].iter().chain(sure).copied().collect();
        served.post(&format!("/jobs/{job}/features/remove"), &form)
    };
    let before = served.text_of(job);
    let asked = gone(&[]);
    assert_eq!(asked.status, 422);
    assert!(asked.text().contains("Piece 1 has 2 readings of it."), "{}", asked.text());
    assert_eq!(served.text_of(job), before, "nothing is gone yet");
    assert_eq!(gone(&[("sure", "true")]).status, 303);
    let page = served.get(&format!("/jobs/{job}")).text();
    assert!(!page.contains("There is no feature called"), "{page}");
}

#[test]
fn another_unit_is_asked_for_and_a_wrong_field_stays_open() {
    let served = Served::start();
    let job = served.keep(BEGUN);
    let head = |form: &[(&str, &str)]| served.post(&format!("/jobs/{job}/head"), form);
    let asked = head(&[("units", "mm")]);
    assert_eq!(asked.status, 422);
    assert!(asked.text().contains("figures without a unit: one reading."), "{}", asked.text());
    assert!(served.text_of(job).contains("units = \"in\""));
    assert_eq!(head(&[("units", "mm"), ("sure", "units")]).status, 303);
    assert!(served.text_of(job).contains("units = \"mm\""));
    let before = served.text_of(job);
    let wrong = head(&[("title", "Another"), ("material", "unobtainium")]);
    assert_eq!(wrong.status, 422);
    let page = wrong.text();
    assert!(page.contains("<details class=\"about-job\" open") && page.contains("value=\"unobtainium\""), "{page}");
    assert!(page.contains("is not in the table of materials"));
    assert_eq!(served.text_of(job), before, "all of it or nothing");
}

#[test]
fn a_step_that_is_sent_twice_is_made_once() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let step = |seen: &str, to: &str| {
        served.post(&format!("/jobs/{job}/spaces"), &[("piece", "1"), ("seen", seen), ("to", to)])
    };
    let space = || {
        let page = served.get(&format!("/jobs/{job}/spaces?piece=1")).text();
        page.split("data-done=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap_or_default().to_string()
    };
    assert_eq!(step("0", "1").status, 303);
    assert_eq!(step("0", "1").status, 303);
    assert_eq!(space(), "1");
    assert_eq!(step("1", "2").status, 303);
    assert_eq!(space(), "2");
}

#[test]
fn spaces_go_round_as_the_operation_plans() {
    let served = Served::start();
    let job = served.keep(&slipped());
    let page = served.get(&format!("/jobs/{job}/spaces?piece=1")).text();
    let figure = |name: &str| -> u32 {
        page.split(&format!("{name}=\""))
            .nth(1)
            .and_then(|rest| rest.split('"').next()?.parse().ok())
            .unwrap_or_default()
    };
    let (cut, steps) = (figure("data-cut"), figure("data-steps"));
    let result = served.get(&format!("/api/jobs/{job}/result")).value();
    let operations = result["plan"]["operations"].as_array().cloned().unwrap_or_default();
    let depths = operations
        .iter()
        .find(|one| one["title"].as_str().is_some_and(|title| title.contains("teeth")))
        .and_then(|one| one["passes"]["each"].as_array().map(Vec::len));
    if let Some(depths) = depths {
        assert_eq!(steps as usize, cut as usize * depths, "one round for each depth");
    }
    assert!(page.contains("Round 1 of") && page.contains("On the first"), "{page}");
    // all of it done: the last says what shows that no move was missed, and leads back
    let (all, piece) = (steps.to_string(), [("piece", "1"), ("seen", "0")]);
    let form: Vec<(&str, &str)> = piece.iter().copied().chain([("to", all.as_str())]).collect();
    assert_eq!(served.post(&format!("/jobs/{job}/spaces"), &form).status, 303);
    let page = served.get(&format!("/jobs/{job}/spaces?piece=1")).text();
    assert!(
        page.contains("All spaces are cut.") && page.contains("Back to operation") && page.contains("without cutting"),
        "{page}"
    );
}

#[test]
fn a_count_of_a_scan_that_contradicts_what_is_written_is_asked_about() {
    let served = Served::start();
    assert_eq!(served.post("/demo", &[]).status, 303);
    let list = served.get("/api/jobs").value();
    let sector = list.as_array().and_then(|all| {
        all.iter().find(|job| job["title"].as_str().is_some_and(|title| title.starts_with("Feed sector")))
    });
    let job = sector.and_then(|job| job["id"].as_i64()).expect("the sector");
    assert_eq!(served.post(&format!("/jobs/{job}/lines"), &[("at", "feature-0"), ("text", "17 teeth")]).status, 303);
    let take = |sure: &[(&'static str, &'static str)]| {
        let form: Vec<(&str, &str)> = [("at", "feature-0"), ("take", "true")].iter().chain(sure).copied().collect();
        served.post(&format!("/jobs/{job}/pictures/apple-mill-sector.png/take"), &form)
    };
    let asked = take(&[]);
    assert_eq!(asked.status, 422, "{}", asked.text());
    assert!(asked.text().contains("44 teeth") && asked.text().contains("17 teeth"), "{}", asked.text());
    assert_eq!(take(&[("sure", "true")]).status, 303);
}

#[test]
fn words_that_are_cut_short_and_commas_are_understood() {
    let served = Served::start();
    let job = served.keep(BEGUN);
    let echo = |text: &str| served.post(&format!("/jobs/{job}/echo"), &[("at", "feature-0"), ("text", text)]).text();
    assert!(echo("dia 0.875").to_lowercase().contains("did you mean: diameter"), "{}", echo("dia 0.875"));
    assert!(echo("diameter 0,9490").contains("data-fill=\"diameter 0.9490\""), "{}", echo("diameter 0,9490"));
    let rim = served
        .keep("title = \"Rim\"\nunits = \"in\"\n[[feature]]\nkind = \"toothed rim\"\nreadings = [\"30 teeth\"]\n");
    let angle = served.post(&format!("/jobs/{rim}/echo"), &[("at", "feature-0"), ("text", "helix angle 21.2")]).text();
    assert!(!angle.contains(", caliper") && !angle.contains(", micrometer"), "{angle}");
}
