//! The notebook's records, history, shop, devices and backups over HTTP and in a browser.

mod served;

use served::browser::{Look, in_browser};
use served::{Reply, Served};

const BUSH: &str = include_str!("../../../demo/apple-mill-bush.toml");
const SHAFT: &str = include_str!("../../../demo/apple-mill-shaft.toml");

/// A form with a file in it, as a browser sends it (RFC 7578).
fn send_file(served: &Served, path: &str, name: &str, bytes: &[u8]) -> Reply {
    let head = format!(
        "--line\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\nContent-Type: application/octet-stream\r\n\r\n"
    );
    let body = [head.as_bytes(), bytes, b"\r\n--line--\r\n"].concat();
    served.ask("POST", path, &[("Content-Type", "multipart/form-data; boundary=line")], &body)
}

fn ok(reply: Reply) -> String {
    assert_eq!(reply.status, 200, "{} {}", reply.head, reply.text());
    reply.text()
}

fn seen(reply: Reply) -> String {
    assert_eq!(reply.status, 303, "{} {}", reply.head, reply.text());
    reply.header("location").expect("a place").to_string()
}

#[test]
fn jobs_are_found_by_words_and_by_what_they_are_as_soon_as_they_are_kept() {
    let served = Served::start();
    let (bush, shaft) = (served.keep(BUSH), served.keep(SHAFT));
    let links = |page: &str| {
        [bush, shaft].into_iter().filter(|id| page.contains(&format!("href=\"/jobs/{id}\""))).collect::<Vec<_>>()
    };
    let asked = |q: &str| links(&ok(served.get(&format!("/?q={q}"))));
    assert_eq!(asked(""), [bush, shaft]);
    assert_eq!(asked("shaft%205%2F8"), [shaft]);
    assert_eq!(asked("bore%205%2F8%20bronze"), [bush]);
    assert_eq!(asked("nothing%20of%20the%20kind"), [0; 0]);
    let page = ok(served.get("/?q=bore%205%2F8%20app"));
    assert!(page.contains("bore 5/8 in"), "what was understood is said: {page}");
    let listed = served.get("/api/jobs?q=shaft%205%2F8").value();
    assert_eq!(listed.as_array().map(Vec::len), Some(1), "{listed}");
    assert_eq!(listed[0]["id"], shaft);
    // what is asked is shown as text, whatever it is
    assert!(ok(served.get("/?q=%3Cscript%3E")).contains("&lt;script&gt;"));
}

#[test]
fn every_change_is_told_and_any_state_brought_back() {
    let served = Served::start();
    let job = served.keep(BUSH);
    let changed = BUSH.replace("pieces = 1", "pieces = 7");
    assert_ne!(changed, BUSH);
    served.json(
        "PUT",
        &format!("/api/jobs/{job}"),
        &serde_json::json!({"version": 1, "text": changed, "what": "ordered more"}),
    );
    let history = ok(served.get(&format!("/jobs/{job}/history")));
    assert!(history.contains("ordered more") && history.contains("brought in"), "{history}");
    let state = ok(served.get(&format!("/jobs/{job}/history/2")));
    assert!(state.contains("<del>") && state.contains("<ins>") && state.contains("pieces = 7"), "{state}");
    assert_eq!(seen(served.post(&format!("/jobs/{job}/history/1"), &[])), format!("/jobs/{job}"));
    assert_eq!(served.text_of(job), BUSH);
    assert_eq!(served.get(&format!("/jobs/{job}/history/9")).status, 404);

    let copy = seen(served.post(&format!("/jobs/{job}/copy"), &[]));
    assert_eq!(served.text_of(copy.trim_start_matches("/jobs/").parse().expect("a number")), BUSH);
    assert_eq!(seen(served.post(&format!("{copy}/remove"), &[])), "/");
    assert!(!ok(served.get("/")).contains(&format!("href=\"{copy}\"")));
    assert!(ok(served.get("/?removed=true")).contains(&format!("href=\"{copy}/history\"")));
}

#[test]
fn everything_goes_out_and_comes_into_another_notebook() {
    let (from, to) = (Served::start(), Served::start());
    let job = from.keep(BUSH);
    from.keep(SHAFT);
    let archive = from.get("/records.zip");
    assert_eq!((archive.status, archive.header("content-type")), (200, Some("application/zip")));
    assert!(ok(send_file(&to, "/import", "records.zip", &archive.body)).contains("2 jobs are new here"));
    assert_eq!(to.text_of(1), BUSH);
    assert!(ok(send_file(&to, "/import", "records.zip", &archive.body)).contains("2 were here already"));
    // one job as a file, and a bare job file
    let one = from.get(&format!("/jobs/{job}/job.zip"));
    assert!(ok(send_file(&to, "/import", "job.zip", &one.body)).contains("one was here already"));
    let place = seen(send_file(&to, "/import", "shaft.toml", SHAFT.as_bytes()));
    assert_eq!(place, "/jobs/3");
    for bad in [&b"PK\x03\x04 and then nothing"[..], b"\xff\xfe", b""] {
        assert_eq!(send_file(&to, "/import", "../../x.zip", bad).status, 422);
    }
    assert_eq!(to.get("/api/jobs").value().as_array().map(Vec::len), Some(3));
}

#[test]
fn the_shop_is_edited_in_tables_and_what_it_changes_changes() {
    let served = Served::start();
    let job = served.keep(BUSH);
    let price =
        || served.get(&format!("/api/jobs/{job}/result")).value()["price"]["asked"]["total"].as_f64().expect("a price");
    let before = price();
    let row = |cells: &[(&str, &str)]| served.post("/shop/row", cells);
    let rates = [
        ("section", "charges"),
        ("version", "0"),
        ("row", "0"),
        ("c0", "crowns"),
        ("c1", "120"),
        ("c2", "90"),
        ("c3", "10"),
        ("c4", "1"),
    ];
    assert_eq!(seen(row(&rates)), "/shop#charges");
    assert!(price() > before, "an hour costs twice as much now");
    let file = ok(served.get("/shop/shop.toml"));
    assert!(file.contains("hour     = 120") && file.contains("# What the time and the metal cost."), "remarks stay");
    assert!(ok(served.get("/shop/history")).contains("rates: hour 120"));

    // a row is added, changed and taken out again
    let add = [("section", "charges.kilogram"), ("version", "2"), ("c0", "bell metal"), ("c1", "21.50")];
    let wrong = row(&add);
    assert_eq!(wrong.status, 422, "no such metal is known");
    assert!(wrong.text().contains("bell metal") && wrong.text().contains("role=\"alert\""));
    let saw = [("section", "machines"), ("version", "2"), ("c0", "second saw"), ("c1", "saw"), ("c6", "9 1/2")];
    seen(row(&saw));
    assert!(ok(served.get("/shop/shop.toml")).contains("name = \"second saw\"\nkind = \"saw\"\nthroat = \"9 1/2\""));
    // made from a state that is old by now, on another row: both are kept
    let minutes = [("section", "minutes"), ("version", "2"), ("row", "1"), ("c0", "index a space"), ("c1", "0.5")];
    seen(row(&minutes));
    let file = ok(served.get("/shop/shop.toml"));
    assert!(file.contains("second saw") && file.contains("= 0.5"));
    // on the same row: told
    let again = [("section", "minutes"), ("version", "2"), ("row", "1"), ("c0", "index a space"), ("c1", "0.6")];
    assert_eq!(row(&again).status, 409);

    // the file as a whole
    assert_eq!(send_file(&served, "/shop/text", "shop.toml", b"units = \"furlong\"").status, 422);
    seen(send_file(&served, "/shop/text", "shop.toml", b"name = \"A bare bench\"\nunits = \"mm\"\n"));
    assert!(ok(served.get("/shop")).contains("A bare bench"));
    seen(served.post("/shop/history/1", &[]));
    assert_eq!(price(), before);
}

#[test]
fn a_backup_is_made_and_gone_back_to() {
    let served = Served::start();
    let job = served.keep(BUSH);
    seen(served.post("/backups", &[]));
    served.keep(SHAFT);
    let page = ok(served.get("/backups"));
    let path =
        page.split("action=\"").find_map(|part| part.split('"').next().filter(|path| path.ends_with("/restore")));
    let path = path.expect("a backup").to_string();
    assert_eq!(seen(served.post(&path, &[])), "/");
    assert_eq!(served.get("/api/jobs").value().as_array().map(Vec::len), Some(1));
    assert_eq!(served.text_of(job), BUSH);
    assert!(ok(served.get("/backups")).contains("kept because an older state took its place"));
    // no path from outside is ever used
    for bad in ["..%2F..%2Frecords.db", "records.db", "notebook.store", "%2Fetc%2Fhostname"] {
        assert_eq!(served.post(&format!("/backups/{bad}/restore"), &[]).status, 404, "{bad}");
    }
}

#[test]
fn searched_as_typed_and_restored_in_a_browser() {
    let served = Served::start();
    served.keep(BUSH);
    in_browser(Look { width: 1280, dark: false }, async |browser| {
        browser.goto(&served.url("/backups")).await;
        browser.click("form.acts button").await;
        browser.until("document.querySelector('.records li')").await;
        served.keep(SHAFT);
        browser.goto(&served.url("/")).await;
        assert!(browser.text("#found").await.contains("2 jobs"));
        // nothing but typing
        browser.keys("#q", "shaft 5/8").await;
        browser.until("document.querySelector('#found').innerText.includes('One job with')").await;
        browser.goto(&served.url("/backups")).await;
        browser.click(".records summary").await;
        browser.click(".records form button").await;
        browser.until("document.querySelector('#found')?.innerText.includes('One job')").await;
    });
}

#[test]
fn the_records_pages_hold_to_the_guidelines_and_to_the_width() {
    let served = Served::start();
    let job = served.keep(BUSH);
    served.post("/backups", &[]);
    served.post("/shop/row", &[("section", "minutes"), ("version", "0"), ("c0", "take a reading"), ("c1", "2")]);
    for look in [Look { width: 360, dark: false }, Look { width: 1280, dark: true }] {
        in_browser(look, async |browser| {
            for path in [
                "/".to_string(),
                format!("/jobs/{job}/history"),
                format!("/jobs/{job}/history/1"),
                "/shop".into(),
                "/shop?open=machines&row=0#machines".into(),
                "/shop/text".into(),
                "/shop/history/2".into(),
                "/devices".into(),
                "/backups".into(),
                "/import".into(),
            ] {
                browser.goto(&served.url(&path)).await;
                assert_eq!(browser.barriers().await, [""; 0], "{path} at {look:?}");
                let width = browser.client.execute("return document.documentElement.scrollWidth", vec![]).await;
                let width = width.expect("measured").as_u64().expect("a number");
                assert!(width <= u64::from(look.width.max(500)), "{path} is {width} wide at {look:?}");
            }
        });
    }
}
