//! The notebook in a real browser: a new user's way from an empty notebook to a printed pack, and what goes wrong on it.

mod served;

use served::browser::{Look, in_browser};
use served::{Served, slipped};

const DESK: Look = Look { width: 1280, dark: false };
const PHONE: Look = Look { width: 360, dark: false };

#[test]
fn from_an_empty_notebook_to_a_printed_pack() {
    let served = Served::start();
    in_browser(DESK, async |browser| {
        browser.goto(&served.url("/")).await;
        browser.click("form[action='/demo'] button").await;
        browser.link("Feed sector for the apple mill").await;
        assert_eq!(browser.text("h1").await, "Feed sector for the apple mill");
        let findings = browser.text("#findings").await;
        assert!(findings.contains("44-tooth, 10 DP, 14½°"), "{findings}");
        browser.until("document.querySelector('aside svg .outline')").await;
        let pack =
            browser.client.execute("return document.querySelector('[data-key=p]').href", vec![]).await.expect("a link");
        let path =
            pack.as_str().and_then(|pack| pack.split_once(&served.address.to_string())).expect("ours").1.to_string();
        let sheets = served.get(&path);
        assert!(sheets.body.starts_with(b"%PDF"), "{}", sheets.head);
        // the page itself prints too, without what can only be tapped
        let printed = browser.client.execute("return matchMedia('print').media", vec![]).await.expect("it answers");
        assert_eq!(printed.as_str(), Some("print"));
    });
}

#[test]
fn readings_are_typed_by_keyboard_alone() {
    let served = Served::start();
    in_browser(DESK, async |browser| {
        browser.goto(&served.url("/")).await;
        browser.keys("#title", "Crank bush\u{e007}").await;
        browser.keys("#new-name", "bore").await;
        browser.client.execute("document.querySelector('#new-kind').value = 'bore'", vec![]).await.expect("chosen");
        browser.click(".another button").await;
        // n goes to the line, and the line says how it may go on
        browser.until("document.querySelector('#line') && !document.querySelector('#new-name').value").await;
        browser.keys("body", "n").await;
        browser.until("document.activeElement.id === 'line'").await;
        browser.until("document.querySelector('.ways .way')").await;
        browser.keys("#line", "diameter goes 0.8750, not 0.876").await;
        browser.until("document.querySelector('#echo .understood')?.innerText.includes('22.238 mm')").await;
        browser.keys("#line", "\u{e007}").await;
        browser
            .until(
                "document.querySelector('.lines .line summary')?.innerText.includes('diameter goes 0.8750, not 0.876')",
            )
            .await;
        // the page has moved on under the hand: the line is empty and still under it
        browser.until("document.activeElement.id === 'line' && document.activeElement.value === ''").await;
        browser.until("document.querySelector('#findings').innerText.includes('7/8')").await;
        browser.keys("#line", "diamter 0.9im").await;
        browser.until("document.querySelector('#echo u')").await;
        browser.keys("#line", "\u{e007}").await;
        browser.until("document.querySelector('#echo .wrong')").await;
        assert_eq!(browser.count(".lines .line").await, 1, "what is not understood is not written down");
        browser.until("document.querySelector('#line').value === 'diamter 0.9im'").await;
    });
}

#[test]
fn a_slip_is_cured_on_its_line() {
    let served = Served::start();
    let job = served.keep(&slipped());
    in_browser(PHONE, async |browser| {
        browser.goto(&served.url(&format!("/jobs/{job}"))).await;
        assert_eq!(browser.text(".line.slip u").await, "1.4135");
        browser.click(".line.slip button.act:not(.quiet):not([name])").await;
        browser.until("!document.querySelector('.line.slip')").await;
        browser.until("document.body.innerText.includes('1.3884, micrometer (first read 1.4135)')").await;
    });
    assert!(served.text_of(job).starts_with("# The feed sector"), "remarks stay");
}

#[test]
fn indexing_keeps_its_place_through_reload_lost_network_and_kill() {
    let mut served = Served::start();
    let job = served.keep(&slipped());
    in_browser(PHONE, async |browser| {
        browser.goto(&served.url(&format!("/jobs/{job}/spaces?piece=1"))).await;
        let number = |number: u32| format!("document.querySelector('#number').innerText === '{number}'");
        browser.until(&number(1)).await;
        for next in 2..=4 {
            rested().await;
            browser.keys("body", " ").await;
            browser.until(&number(next)).await;
        }
        browser.until("document.querySelector('#kept').innerText.includes('Written down: 3')").await;
        browser.client.refresh().await.expect("it comes again");
        browser.until(&number(4)).await;
        served.kill();
        rested().await;
        browser.keys("body", " ").await;
        browser.until(&number(5)).await;
        browser.until("document.querySelector('#kept').innerText.includes('not reached')").await;
        served.start_again();
        browser.until("document.querySelector('#kept').innerText.includes('Written down: 4')").await;
        browser.client.refresh().await.expect("it comes again");
        browser.until(&number(5)).await;
        rested().await;
        browser.keys("body", "b").await;
        browser.until(&number(4)).await;
    });
}

/// A hand rests between two cuts; what comes quicker is taken for one press.
async fn rested() {
    tokio::time::sleep(std::time::Duration::from_millis(700)).await;
}

#[test]
fn a_hand_that_shakes_cuts_one_space() {
    let served = Served::start();
    let job = served.keep(&slipped());
    in_browser(PHONE, async |browser| {
        browser.goto(&served.url(&format!("/jobs/{job}/spaces?piece=1"))).await;
        browser.until("document.querySelector('#number').innerText === '1'").await;
        rested().await;
        let twice = "for (let i = 0; i < 4; i += 1) document.querySelector('[data-step=on] button').click()";
        browser.client.execute(twice, vec![]).await.expect("it is pressed four times");
        browser.until("document.querySelector('#number').innerText === '2'").await;
        browser.until("document.querySelector('#kept').innerText.includes('Written down: 1')").await;
        browser.client.refresh().await.expect("it comes again");
        browser.until("document.querySelector('#number').innerText === '2'").await;
        // a tap that was aimed at the page before is not taken
        browser
            .client
            .execute("document.querySelector('[data-step=on] button').click()", vec![])
            .await
            .expect("it is pressed");
        assert_eq!(browser.text("#number").await, "2");
    });
}

#[test]
fn a_piece_is_measured_down_the_page() {
    let served = Served::start();
    let job = served.keep(&slipped().split("[[piece]]").next().unwrap_or_default().replace("1.4135", "1.3885"));
    in_browser(PHONE, async |browser| {
        browser.goto(&served.url(&format!("/jobs/{job}/checking?piece=1"))).await;
        let boxes = "document.querySelectorAll('input[name=text][inputmode=decimal]').length > 4";
        browser.until(boxes).await;
        let bore = "return [...document.querySelectorAll('.size')].findIndex((size) => size.querySelector('h2').innerText.startsWith('Bore diameter'))";
        let bore = browser.client.execute(bore, vec![]).await.expect("its place").as_i64().expect("a number");
        let figure = format!("#size-{bore}-text");
        browser.keys(&figure, "0,8754").await;
        browser.until(&format!("document.querySelector('#size-{bore} [data-put]')")).await;
        browser.click(&format!("#size-{bore} [data-put]")).await;
        browser.until(&format!("document.querySelector('#size-{bore} .echo .verdict')")).await;
        browser.keys(&figure, "\u{e007}").await;
        browser.until("document.querySelector('.wrote')?.innerText.includes('bore diameter')").await;
        // the next size is under the hand
        browser.until(&format!("document.activeElement.id === 'size-{}-text'", bore + 1)).await;
        browser.until("(() => { const box = document.activeElement.getBoundingClientRect(); return box.top > 0 && box.bottom < innerHeight })()").await;
    });
    assert!(served.text_of(job).contains("\"diameter 0.8754, "), "{}", served.text_of(job));
}

#[test]
fn a_scan_is_measured_and_its_outline_mended() {
    let served = Served::start();
    assert_eq!(served.post("/demo", &[]).status, 303);
    let list = served.get("/api/jobs").value();
    let all = list.as_array().expect("a list");
    let job = all
        .iter()
        .find(|job| job["title"].as_str().is_some_and(|title| title.starts_with("Feed sector")))
        .expect("the sector");
    let job = job["id"].as_i64().expect("a number");
    in_browser(DESK, async |browser| {
        browser.goto(&served.url(&format!("/jobs/{job}/pictures/apple%2Dmill%2Dsector.png"))).await;
        browser.until("document.querySelectorAll('#mend .point').length > 3").await;
        assert!(browser.text(".tell").await.contains("bore"));
        let before =
            browser.client.execute("return document.querySelector('#path').value", vec![]).await.expect("a path");
        browser
            .client
            .execute("document.querySelector('#mend .point[data-index=\"2\"]').focus()", vec![])
            .await
            .expect("chosen");
        browser.keys("#mend .point[data-index='2']", "\u{e013}\u{e013}").await;
        let after =
            browser.client.execute("return document.querySelector('#path').value", vec![]).await.expect("a path");
        assert_ne!(before, after);
        // dragged, the point follows the mouse all the way
        let x = "Number(document.querySelector('#mend .point[data-index=\"3\"]').getBoundingClientRect().x)";
        let stood = browser.client.execute(&format!("return {x}"), vec![]).await.expect("a place").as_f64();
        browser.drag("#mend .point[data-index='3']", 24.0, 16.0).await;
        let moved = browser.client.execute(&format!("return {x}"), vec![]).await.expect("a place").as_f64();
        let moved = moved.expect("a figure") - stood.expect("a figure");
        assert!((moved - 24.0).abs() < 1.5, "{moved} px");
        let dragged =
            browser.client.execute("return document.querySelector('#path').value", vec![]).await.expect("a path");
        assert_ne!(after, dragged);
        // two fingers parted to three times as far show it three times as large
        browser.part_fingers("#pane").await;
        let near = "return document.getElementById('sheet').style.transform";
        let near = browser.client.execute(near, vec![]).await.expect("a view");
        let near =
            near.as_str().and_then(|view| view.split("scale(").nth(1)?.trim_end_matches(')').parse::<f64>().ok());
        assert!(near.is_some_and(|scale| (scale - 3.0).abs() < 0.1), "{near:?}");
        browser.click(".mend button").await;
        browser.until("location.pathname.endsWith('/jobs/' + location.pathname.split('/')[2])").await;
    });
    assert!(served.text_of(job).contains("path = ["), "{}", served.text_of(job));
}

/// WCAG 2.2 A and AA as far as a machine can tell (axe-core), on every page, on paper ground and dark, wide and narrow.
#[test]
fn nobody_is_kept_out_of_any_page() {
    let served = Served::start();
    assert_eq!(served.post("/demo", &[]).status, 303);
    let slip = served.keep(&slipped());
    let broken = served.keep("title = \"Broken\"\nunits = \"in\"\n[[feature]]\nkind = \"bore\"\nreadings = [\"diameter 3im\", \"length of\"]\nfit = \"pres\"\n");
    let pages = [
        "/".to_string(),
        "/keys".into(),
        "/pair".into(),
        "/nowhere".into(),
        format!("/jobs/{slip}"),
        format!("/jobs/{slip}?line=span%20ovr%204"),
        format!("/jobs/{slip}/text"),
        format!("/jobs/{slip}/machine/1"),
        format!("/jobs/{slip}/machine/7"),
        format!("/jobs/{slip}/spaces"),
        format!("/jobs/{slip}/checking?piece=1"),
        format!("/jobs/{slip}/pictures"),
        format!("/jobs/{slip}/history"),
        "/jobs/3/files".into(),
        "/shop".into(),
        "/devices".into(),
        "/backups".into(),
        "/import".into(),
        format!("/jobs/{broken}"),
        "/jobs/1/pictures/apple%2Dmill%2Dsector.png".into(),
    ];
    for look in [DESK, Look { width: 360, dark: true }] {
        in_browser(look, async |browser| {
            for page in &pages {
                browser.goto(&served.url(page)).await;
                if page.contains(".png") {
                    browser.until("document.querySelector('#mend .point')").await;
                }
                assert_eq!(browser.barriers().await, Vec::<String>::new(), "{page} {look:?}");
                // nothing is wider than the glass
                browser.until("document.documentElement.scrollWidth <= innerWidth").await;
            }
        });
    }
}

/// A thousand letters without a space, in the line and on the page.
#[test]
fn words_without_an_end_stay_on_the_glass() {
    let served = Served::start();
    let long = "a".repeat(900);
    let job = served.keep(&format!(
        "title = \"{long}\"\nunits = \"in\"\n[[feature]]\nname = \"{}\"\nkind = \"bore\"\nreadings = [\"note {long}\", \"{long}\"]\n",
        "b".repeat(80)
    ));
    in_browser(PHONE, async |browser| {
        for page in
            [format!("/jobs/{job}?line={long}"), format!("/jobs/{job}"), format!("/jobs/{job}/text"), "/".into()]
        {
            browser.goto(&served.url(&page)).await;
            browser.until("document.documentElement.scrollWidth <= innerWidth").await;
        }
    });
}
