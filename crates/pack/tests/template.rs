//! Templates are measured where they are printed: in the content of the PDF and in the SVG.

#![expect(clippy::unwrap_used, reason = "tests")]

use kurbo::{Affine, Point, Rect, Vec2};
use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Document, Object, Stream};
use pack::{BAR_INCH, BAR_METRIC, Orientation, Pack, Paper, Template, Trace, to_pdf};

/// Points to the inch over mm to the inch: a PDF's unit in mm.
const MM_PER_POINT: f64 = 25.4 / 72.0;

/// How exactly a printed length must be right, mm.
const EXACT: f64 = 0.01;

#[test]
fn the_check_bars_are_as_long_as_they_say_in_the_pdf() {
    for paper in [Paper::A4, Paper::Letter] {
        let pages = stroked_lines(&[template(60.0, 40.0, paper)]);
        assert_eq!(pages.len(), 1);
        let lines = &pages[0];
        for length in [BAR_METRIC, BAR_INCH] {
            for way in [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)] {
                let bars = lines.iter().filter(|(a, b)| {
                    let along = *b - *a;
                    (along.dot(way).abs() - length).abs() < EXACT && along.cross(way).abs() < EXACT
                });
                assert_eq!(bars.count(), 1, "{length} along {way:?} on {paper:?}");
            }
        }
    }
}

#[test]
fn the_part_is_as_large_as_it_is_in_the_pdf() {
    let pages = stroked_lines(&[template(123.4, 56.7, Paper::A4)]);
    let sides = |length: f64, way: Vec2| {
        let (a, b) = *pages[0]
            .iter()
            .find(|(a, b)| ((*b - *a).dot(way).abs() - length).abs() < EXACT)
            .unwrap_or_else(|| panic!("no line of {length}"));
        (b - a).hypot()
    };
    assert!((sides(123.4, Vec2::new(1.0, 0.0)) - 123.4).abs() < EXACT);
    assert!((sides(56.7, Vec2::new(0.0, 1.0)) - 56.7).abs() < EXACT);
}

#[test]
fn the_check_bars_are_as_long_as_they_say_in_the_svg() {
    let template = template(60.0, 40.0, Paper::A4);
    let mut drawings = template.pages().unwrap();
    drawings.push(template.whole());
    for drawing in drawings {
        let svg = drawing.to_svg();
        let (width, height) = (attribute(&svg, "width"), attribute(&svg, "height"));
        let view: Vec<f64> = attribute(&svg, "viewBox").split(' ').map(|n| n.parse().unwrap()).collect();
        // A user unit is a millimetre both ways.
        assert_eq!(width, format!("{}mm", view[2]));
        assert_eq!(height, format!("{}mm", view[3]));
        for length in [BAR_METRIC, BAR_INCH] {
            for way in [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)] {
                let bars = svg_lines(&svg).into_iter().filter(|(a, b)| {
                    let along = *b - *a;
                    (along.dot(way).abs() - length).abs() < 1e-3 && along.cross(way).abs() < 1e-3
                });
                assert_eq!(bars.count(), 1, "{length} along {way:?}");
            }
        }
    }
}

/// Laid together by their register marks, the pages show every point of a large part, and the seams agree.
#[test]
fn a_large_part_is_whole_when_its_pages_are_laid_together() {
    let (width, height) = (500.0, 420.0);
    let template = template(width, height, Paper::A4);
    let drawings = template.pages().unwrap();
    assert!(drawings.len() >= 4);
    let bars_per_page = 4 + 2; // with the four: at most a side of the part at a like length
    let mut covered = vec![false; 50 * 42];
    for drawing in &drawings {
        let svg = drawing.to_svg();
        // The window on this page and where the part's origin lies: its crossing lines are drawn there even if unseen.
        let window = clip(&svg);
        assert!(svg_lines(&svg).len() > bars_per_page);
        let origin = origin_of(&svg, width, height);
        let Some(origin) = origin else { continue };
        for (i, seen) in covered.iter_mut().enumerate() {
            let part = Vec2::new((i % 50) as f64 * 10.0 + 5.0, -((i / 50) as f64 * 10.0 + 5.0));
            *seen |= window.contains(origin + part);
        }
    }
    assert!(covered.iter().all(|seen| *seen));
}

#[test]
fn what_is_no_template_is_refused() {
    let error = template(20_000.0, 9_000.0, Paper::A4).pages().unwrap_err();
    assert!(error.to_string().contains("20012 by 9012 mm"), "{error}");
    assert!(template(f64::INFINITY, 1.0, Paper::A4).pages().is_err());
    assert_eq!(Template::default().pages().map(|p| p.len()), Ok(1));
}

#[test]
fn the_paper_lies_the_way_that_takes_fewer_pages() {
    let way = |w, h| template(w, h, Paper::A4).sheet().unwrap().orientation;
    assert_eq!(way(240.0, 60.0), Orientation::Landscape);
    assert_eq!(way(60.0, 200.0), Orientation::Portrait);
}

/// A plate with its lower left corner at the origin, a hole there.
fn template(width: f64, height: f64, paper: Paper) -> Template {
    Template {
        title: "Plate".into(),
        paper,
        outline: vec![Trace::rectangle(Rect::new(0.0, 0.0, width, height))],
        ..Template::default()
    }
}

fn attribute<'a>(svg: &'a str, name: &str) -> &'a str {
    let start = svg.find(&format!(" {name}=\"")).unwrap() + name.len() + 3;
    svg[start..].split('"').next().unwrap()
}

/// The straight two-point paths of an SVG.
fn svg_lines(svg: &str) -> Vec<(Point, Point)> {
    svg.split(" d=\"M")
        .skip(1)
        .filter_map(|rest| {
            let (from, to) = rest.split('"').next()?.split_once('L')?;
            Some((point(from)?, point(to)?))
        })
        .collect()
}

fn point(text: &str) -> Option<Point> {
    let (x, y) = text.split_once(' ')?;
    Some(Point::new(x.parse().ok()?, y.parse().ok()?))
}

fn clip(svg: &str) -> Rect {
    let rect = &svg[svg.find("<clipPath").unwrap()..];
    let n = |name| attribute(rect, name).parse::<f64>().unwrap();
    Rect::from_origin_size((n("x"), n("y")), (n("width"), n("height")))
}

/// Where the plate's lower left corner lies on the page, from the plate's own path, and that the path has its size.
fn origin_of(svg: &str, width: f64, height: f64) -> Option<Point> {
    let path = svg.split(" d=\"M").find(|rest| rest.contains('Z'))?;
    let corners: Vec<Point> = path.split(['"', 'Z']).next()?.split('L').filter_map(point).collect();
    assert!(((corners[1] - corners[0]).hypot() - width).abs() < 1e-3);
    assert!(((corners[2] - corners[1]).hypot() - height).abs() < 1e-3);
    corners.first().copied()
}

/// The straight lines stroked on each page of the templates' PDF, in mm.
fn stroked_lines(templates: &[Template]) -> Vec<Vec<(Point, Point)>> {
    let pack = Pack {
        title: "Test".into(),
        sheets: templates.iter().map(|t| t.sheet().unwrap()).collect(),
        ..Pack::default()
    };
    let document = Document::load_mem(&to_pdf(&pack).unwrap()).unwrap();
    document
        .get_pages()
        .values()
        .map(|page| {
            let mut lines = Vec::new();
            let content = document.get_page_content(*page);
            let page = document.get_dictionary(*page).unwrap();
            let resources = followed(&document, page.get(b"Resources").unwrap()).clone();
            let content = Content::decode(&content).unwrap();
            run(&document, &content.operations, resources.as_dict().unwrap(), Affine::scale(MM_PER_POINT), &mut lines);
            lines
        })
        .collect()
}

/// Follows a content stream's transforms into its forms, keeping each straight segment that is stroked.
fn run(
    document: &Document,
    operations: &[Operation],
    resources: &Dictionary,
    start: Affine,
    lines: &mut Vec<(Point, Point)>,
) {
    let (mut map, mut saved) = (start, Vec::new());
    let (mut path, mut at) = (Vec::new(), Point::ORIGIN);
    for operation in operations {
        let n: Vec<f64> = operation.operands.iter().filter_map(|o| o.as_float().ok().map(f64::from)).collect();
        match operation.operator.as_str() {
            "q" => saved.push(map),
            "Q" => map = saved.pop().unwrap(),
            "cm" => map *= Affine::new([n[0], n[1], n[2], n[3], n[4], n[5]]),
            "m" => at = map * Point::new(n[0], n[1]),
            "l" => {
                let to = map * Point::new(n[0], n[1]);
                path.push((at, to));
                at = to;
            }
            "S" | "s" => lines.append(&mut path),
            "f" | "f*" | "n" | "B" | "B*" => path.clear(),
            "Do" => {
                let name = operation.operands[0].as_name().unwrap();
                let forms = followed(document, resources.get(b"XObject").unwrap());
                let form = followed(document, forms.as_dict().unwrap().get(name).unwrap());
                form_lines(document, form.as_stream().unwrap(), resources, map, lines);
            }
            _ => {}
        }
    }
}

fn form_lines(document: &Document, form: &Stream, outer: &Dictionary, map: Affine, lines: &mut Vec<(Point, Point)>) {
    let own = match form.dict.get(b"Matrix") {
        Ok(matrix) => {
            let n: Vec<f64> = matrix.as_array().unwrap().iter().map(|o| f64::from(o.as_float().unwrap())).collect();
            Affine::new([n[0], n[1], n[2], n[3], n[4], n[5]])
        }
        Err(_) => Affine::IDENTITY,
    };
    let content = form.decompressed_content().unwrap_or_else(|_| form.content.clone());
    let operations = Content::decode(&content).unwrap().operations;
    let resources = match form.dict.get(b"Resources") {
        Ok(own) => followed(document, own).as_dict().unwrap(),
        Err(_) => outer,
    };
    run(document, &operations, resources, map * own, lines);
}

fn followed<'a>(document: &'a Document, object: &'a Object) -> &'a Object {
    document.dereference(object).unwrap().1
}
