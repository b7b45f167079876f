//! Every route of the HTTP interface answers as its own document says.

mod served;

use serde_json::{Value, json};
use served::{Reply, Served};

const BORE: &str = "title = \"Bush\"\nunits = \"in\"\n\n[[feature]]\nkind = \"bore\"\nreadings = [\"diameter goes 0.8750, not 0.8760\"]\n";

#[test]
fn the_document_names_every_route() {
    let served = Served::start();
    let document = served.get("/api/openapi.json").value();
    assert!(document["openapi"].as_str().is_some_and(|version| version.starts_with("3.1")), "{}", document["openapi"]);
    let mut documented: Vec<&str> = document["paths"].as_object().expect("paths").keys().map(String::as_str).collect();
    let router = include_str!("../src/web/router.rs");
    let routes = router.lines().filter_map(|line| line.trim().strip_prefix(".route(\"/api/")?.split('"').next());
    let mut routed: Vec<String> =
        routes.map(|path| format!("/api/{path}")).filter(|path| path != "/api/openapi.json").collect();
    routed.sort();
    documented.sort_unstable();
    assert_eq!(routed, documented);
}

/// One request for every answer that is documented, but for those that take a full disk or half a minute.
#[test]
fn every_route_answers_as_documented() {
    let served = Served::start();
    let document = served.get("/api/openapi.json").value();
    let job = served.keep(BORE);
    let toml = [("Content-Type", "application/toml")];
    let text = |method: &str, path: &str, body: &[u8]| served.ask(method, path, &toml, body);
    let at = |rest: &str| format!("/api/jobs/{job}{rest}");
    let gone = |rest: &str| format!("/api/jobs/777{rest}");
    let png = include_bytes!("../../../demo/apple-mill-sector.png");
    let changed = BORE.replace("Bush", "Bush of the mill");
    let clash = BORE.replace("Bush", "Another bush");
    let mark = json!({"key": "x", "seen": "", "value": "1"});
    let cases: Vec<(&str, &str, u16, Reply)> = vec![
        ("get", "/api/jobs", 200, served.get("/api/jobs")),
        ("post", "/api/jobs", 201, text("POST", "/api/jobs", BORE.as_bytes())),
        ("post", "/api/jobs", 422, text("POST", "/api/jobs", &[0xff])),
        ("get", "/api/jobs/{id}", 200, served.get(&at(""))),
        ("get", "/api/jobs/{id}", 404, served.get(&gone(""))),
        ("put", "/api/jobs/{id}", 200, served.json("PUT", &at(""), &json!({"version": 1, "text": changed}))),
        ("put", "/api/jobs/{id}", 409, served.json("PUT", &at(""), &json!({"version": 1, "text": clash}))),
        ("put", "/api/jobs/{id}", 404, served.json("PUT", &gone(""), &json!({"version": 1, "text": ""}))),
        ("put", "/api/jobs/{id}", 422, served.json("PUT", &at(""), &json!({"text": 1}))),
        ("get", "/api/jobs/{id}/result", 200, served.get(&at("/result"))),
        ("get", "/api/jobs/{id}/result", 404, served.get(&gone("/result"))),
        ("get", "/api/jobs/{id}/pack", 200, served.get(&at("/pack"))),
        ("get", "/api/jobs/{id}/pack", 404, served.get(&gone("/pack"))),
        ("get", "/api/jobs/{id}/pack", 422, {
            let broken = served.keep("title = \"x\"\n[[feature]]\nkind = \"boar\"\n");
            served.get(&format!("/api/jobs/{broken}/pack"))
        }),
        ("get", "/api/jobs/{id}/marks", 200, served.get(&at("/marks"))),
        ("get", "/api/jobs/{id}/marks", 404, served.get(&gone("/marks"))),
        ("put", "/api/jobs/{id}/marks", 200, served.json("PUT", &at("/marks"), &mark)),
        ("put", "/api/jobs/{id}/marks", 409, {
            served.json("PUT", &at("/marks"), &json!({"key": "x", "seen": "7", "value": "8"}))
        }),
        ("put", "/api/jobs/{id}/marks", 404, served.json("PUT", &gone("/marks"), &mark)),
        ("put", "/api/jobs/{id}/pictures/{name}", 200, served.ask("PUT", &at("/pictures/a.png"), &[], png)),
        ("put", "/api/jobs/{id}/pictures/{name}", 404, served.ask("PUT", &gone("/pictures/a.png"), &[], png)),
        ("put", "/api/jobs/{id}/pictures/{name}", 422, served.ask("PUT", &at("/pictures/a.png"), &[], b"no picture")),
        ("get", "/api/jobs/{id}/archive", 200, served.get(&at("/archive"))),
        ("get", "/api/jobs/{id}/archive", 404, served.get(&gone("/archive"))),
        ("get", "/api/export", 200, served.get("/api/export")),
        ("get", "/api/export", 422, too_much_to_export()),
        ("post", "/api/import", 200, served.ask("POST", "/api/import", &[], &served.get("/api/export").body)),
        ("post", "/api/import", 200, served.ask("POST", "/api/import", &[], BORE.as_bytes())),
        ("post", "/api/import", 413, served.ask("POST", "/api/import", &[("Content-Length", "900000000")], b"")),
        ("post", "/api/import", 422, served.ask("POST", "/api/import", &[], b"PK\x03\x04 and nothing more")),
        ("post", "/api/import", 422, served.ask("POST", "/api/import", &[], &[0xff])),
        ("get", "/api/jobs/{id}/history", 200, served.get(&at("/history"))),
        ("get", "/api/jobs/{id}/history", 404, served.get(&gone("/history"))),
        ("get", "/api/jobs/{id}/history/{version}", 200, served.get(&at("/history/1"))),
        ("get", "/api/jobs/{id}/history/{version}", 404, served.get(&at("/history/99"))),
        ("post", "/api/jobs/{id}/history/{version}", 200, served.ask("POST", &at("/history/1"), &[], b"")),
        ("post", "/api/jobs/{id}/history/{version}", 404, served.ask("POST", &gone("/history/1"), &[], b"")),
        ("post", "/api/shop/history/{version}", 404, served.ask("POST", "/api/shop/history/99", &[], b"")),
        ("get", "/api/shop/history/{version}", 404, served.get("/api/shop/history/99")),
        ("get", "/api/shop/history/{version}", 200, {
            let shop = String::from_utf8(served.get("/shop/shop.toml").body).expect("a text");
            let kept = served.post("/shop/text", &[("text", &shop), ("version", "0")]);
            assert!(kept.status < 400, "{}", kept.text());
            served.get("/api/shop/history/1")
        }),
        ("post", "/api/shop/history/{version}", 200, served.ask("POST", "/api/shop/history/1", &[], b"")),
        ("get", "/api/shop/history", 200, served.get("/api/shop/history")),
        ("post", "/api/backups", 201, served.ask("POST", "/api/backups", &[], b"")),
        ("get", "/api/backups", 200, served.get("/api/backups")),
        ("post", "/api/backups/{name}/restore", 200, {
            let name = served.get("/api/backups").value()[0]["name"].as_str().expect("a name").to_string();
            served.ask("POST", &format!("/api/backups/{name}/restore"), &[], b"")
        }),
        ("post", "/api/backups/{name}/restore", 404, {
            served.ask("POST", "/api/backups/..%2Fnotebook.store/restore", &[], b"")
        }),
        ("post", "/api/solve", 200, text("POST", "/api/solve", BORE.as_bytes())),
        ("post", "/api/solve", 200, text("POST", "/api/solve", b"nonsense = [")),
        ("post", "/api/solve", 422, text("POST", "/api/solve", &[0xff])),
        ("post", "/api/readings", 200, understood(&served, "diameter 7/8, caliper")),
        ("post", "/api/readings", 200, understood(&served, "diameter of 3im")),
        (
            "post",
            "/api/readings",
            422,
            served.json("POST", "/api/readings", &json!({"kind": "boar", "units": "in", "line": ""})),
        ),
        ("get", "/api/kinds", 200, served.get("/api/kinds")),
    ];
    for (method, path, status, reply) in &cases {
        let place = format!("{method} {path} {status}");
        assert_eq!(reply.status, *status, "{place}: {}", reply.text());
        let documented = &document["paths"][path][method]["responses"][status.to_string()];
        assert!(documented.is_object(), "{place} is not documented");
        let content = documented["content"].as_object().expect("a content");
        let kind = reply.header("content-type").expect("a type");
        let schema = &content
            .get(kind.split(';').next().unwrap_or_default())
            .unwrap_or_else(|| panic!("{place}: {kind}"))["schema"];
        if kind.starts_with("application/json") {
            fits(&reply.value(), schema, &document).unwrap_or_else(|why| panic!("{place}: {why}\n{}", reply.text()));
        }
    }
    // nothing that is documented was left out
    for (path, methods) in document["paths"].as_object().expect("paths") {
        for (method, operation) in methods.as_object().expect("methods") {
            for status in operation["responses"].as_object().expect("responses").keys() {
                let tried =
                    |(m, p, s, _): &&(&str, &str, u16, Reply)| m == method && p == path && s.to_string() == *status;
                assert!(cases.iter().any(|case| tried(&case)), "{method} {path} {status} was not tried");
            }
        }
    }
}

/// Records whose file is over a gigabyte long, of which the most is a hole.
fn too_much_to_export() -> Reply {
    let served = Served::start();
    let file = std::fs::File::options().write(true).open(served.store()).expect("the store");
    file.set_len(1_100_000_000).expect("a hole");
    served.get("/api/export")
}

#[test]
fn jobs_go_from_one_notebook_to_another_with_all_that_was_done_to_them() {
    let (here, there) = (Served::start(), Served::start());
    there.keep("title = \"Was there before\"\n");
    let job = here.keep(BORE);
    let changed = BORE.replace("Bush", "Bush of the mill");
    here.json("PUT", &format!("/api/jobs/{job}"), &json!({"version": 1, "text": changed, "what": "named its mill"}));
    let archive = here.get(&format!("/api/jobs/{job}/archive")).body;
    let brought = there.ask("POST", "/api/import", &[], &archive).value();
    let id = brought["added"][0]["id"].as_i64().expect("a new job");
    assert_eq!(brought, json!({"added": [{"id": id, "was": job}], "grown": [], "known": [], "shop": false}));
    assert_eq!(there.text_of(id), changed);
    let (of_here, of_there) = (format!("/api/jobs/{job}/history"), format!("/api/jobs/{id}/history"));
    assert_eq!(here.get(&of_here).value(), there.get(&of_there).value());
    assert_eq!(there.get(&of_there).value()[0]["what"], "named its mill");
    let again = there.ask("POST", "/api/import", &[], &archive).value();
    assert_eq!(again, json!({"added": [], "grown": [], "known": [id], "shop": false}));
}

#[test]
fn an_earlier_state_and_a_backup_are_brought_back_by_a_program() {
    let served = Served::start();
    let job = served.keep(BORE);
    let made = served.ask("POST", "/api/backups", &[], b"").value();
    let changed = BORE.replace("0.8750", "0.8740");
    served.json("PUT", &format!("/api/jobs/{job}"), &json!({"version": 1, "text": changed}));
    let first = served.get(&format!("/api/jobs/{job}/history/1")).value();
    assert_eq!((&first["text"], &first["who"]), (&json!(BORE), &json!("this machine")));
    let back = served.ask("POST", &format!("/api/jobs/{job}/history/1"), &[], b"").value();
    assert_eq!((back["version"].as_u64(), served.text_of(job)), (Some(3), BORE.to_string()));
    let later = served.keep("title = \"Later\"\n");
    let restore = |backup: &Value| {
        let name = backup["name"].as_str().expect("a name");
        served.ask("POST", &format!("/api/backups/{name}/restore"), &[], b"").value()
    };
    let before = restore(&made);
    assert_eq!(before["before_restoring"], true);
    assert_eq!(served.get(&format!("/api/jobs/{later}")).status, 404);
    restore(&before);
    assert_eq!(served.text_of(later), "title = \"Later\"\n");
}

/// What stands before the pages stands before these too.
#[test]
fn nobody_else_changes_or_takes_the_records() {
    let served = Served::start();
    let job = served.keep(BORE);
    let back = format!("/api/jobs/{job}/history/1");
    for path in [back.as_str(), "/api/import", "/api/backups", "/api/backups/x/restore", "/api/shop/history/1"] {
        let reply = served.ask("POST", path, &[("Origin", "http://evil.example")], BORE.as_bytes());
        assert_eq!(reply.status, 403, "{path}");
        assert!(reply.value()["why"].is_string(), "{path}");
    }
    for path in ["/api/export", "/api/backups", "/api/shop/history", &format!("/api/jobs/{job}/archive")] {
        assert_eq!(served.ask("GET", path, &[("Host", "evil.example")], b"").status, 421, "{path}");
    }
    assert_eq!(served.get("/api/backups").value(), json!([]));
    assert_eq!(served.get("/api/jobs").value().as_array().map(Vec::len), Some(1));
}

fn understood(served: &Served, line: &str) -> Reply {
    served.json("POST", "/api/readings", &json!({"kind": "bore", "units": "in", "line": line}))
}

/// The value and uncertainty of a reading, by hand: 7/8 in = 22.225 mm.
#[test]
fn a_reading_is_understood_as_it_is_in_a_job() {
    let served = Served::start();
    let reply = understood(&served, "diameter 7/8, caliper").value();
    assert!((reply["value_mm"].as_f64().expect("a number") - 22.225).abs() < 1e-9);
    let wrong = understood(&served, "diameter 3im").value();
    assert_eq!(wrong["understood"], Value::Null);
    assert_eq!(wrong["problems"][0]["at"], json!([10, 12]));
}

/// The part of JSON Schema 2020-12 that such documents use.
fn fits(value: &Value, schema: &Value, document: &Value) -> Result<(), String> {
    if let Some(name) = schema["$ref"].as_str() {
        return fits(
            value,
            document.pointer(name.trim_start_matches('#')).ok_or(format!("{name} is not there"))?,
            document,
        );
    }
    for ways in ["oneOf", "anyOf"] {
        if let Some(ways) = schema[ways].as_array() {
            return ways
                .iter()
                .map(|way| fits(value, way, document))
                .find(Result::is_ok)
                .unwrap_or(Err(format!("{value} is none of {ways:?}")));
        }
    }
    let types: Vec<&str> = match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(some) => some.iter().filter_map(Value::as_str).collect(),
        _ => return Ok(()),
    };
    let is = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_f64() => "number",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    if !(types.contains(&is) || is == "integer" && types.contains(&"number")) {
        return Err(format!("{value} is no {types:?}"));
    }
    if let Some(items) = value.as_array() {
        items.iter().try_for_each(|item| fits(item, &schema["items"], document))?;
    }
    let Some(fields) = value.as_object() else { return Ok(()) };
    for needed in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        if !fields.contains_key(needed) {
            return Err(format!("{needed} is missing"));
        }
    }
    let known = schema["properties"].as_object();
    for (name, field) in fields {
        match known.and_then(|known| known.get(name)) {
            Some(schema) => fits(field, schema, document).map_err(|why| format!("{name}: {why}"))?,
            None if known.is_some() => return Err(format!("{name} is not documented")),
            None => fits(field, &schema["additionalProperties"], document).map_err(|why| format!("{name}: {why}"))?,
        }
    }
    Ok(())
}
