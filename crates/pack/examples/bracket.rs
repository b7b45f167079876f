//! A pack of every kind of block about an invented bracket, written to the target folder to be looked at.

use std::f64::consts::{FRAC_PI_2, PI};
use std::time::Instant;

use kurbo::{Point, Rect, Size};
use pack::{
    Aim, Along, Block, Column, Drawing, KeyValue, Label, Line, Pack, Rich, Row, Scale, Sheet, Step, Table, Template,
    Tick, Tone, Trace, View, to_pdf,
};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "target".into());
    std::fs::create_dir_all(&folder)?;
    std::fs::write(format!("{folder}/bracket.svg"), bracket(Scale::FULL).to_svg())?;
    let pack = pack()?;
    for round in ["cold", "warm", "warm"] {
        let start = Instant::now();
        let pdf = to_pdf(&pack)?;
        println!("{round}: {} bytes in {:.0?}", pdf.len(), start.elapsed());
        std::fs::write(format!("{folder}/bracket.pdf"), pdf)?;
    }
    Ok(())
}

fn pack() -> Result<Pack, pack::TooLarge> {
    Ok(Pack {
        title: "Idler bracket for the rope walk".into(),
        subtitle: "One piece and two spares, grey cast iron".into(),
        date: "3 March 2031".into(),
        reference: "Job 0147".into(),
        shop: "Orchard Museum workshop".into(),
        footer: "Made to order from the broken original.".into(),
        sheets: vec![
            summary(),
            drawing(),
            operations(),
            indexing(),
            inspection(),
            template().sheet()?,
            large().sheet()?,
        ],
    })
}

fn summary() -> Sheet {
    let (small, scale) = Drawing::fitting(Size::new(90.0, 60.0), Scale::FULL, bracket);
    let sheet = Sheet {
        title: "What it was made to be".into(),
        kind: "findings, and what was measured".into(),
        ..Sheet::default()
    };
    Sheet {
        blocks: vec![
            Block::Probability {
                in_100: "97".into(),
                text: Rich::from("A bracket with ")
                    .strong("two ⌀ 7/16 in holes, 2 3/8 in apart")
                    .plain(", the end rounded to 3/4 in radius. Every reading but one agrees within its instrument."),
                minor: false,
            },
            Block::Probability {
                in_100: "2".into(),
                text: Rich::from("Holes 11 mm, 60 mm apart. ")
                    .quiet("Speaks against it: the hole distance, by 0.33 mm."),
                minor: true,
            },
            Block::Beside {
                share: 0.44,
                left: vec![
                    Block::Heading { text: "Readings".into(), beside: "as they were taken".into() },
                    Block::KeyValues {
                        rows: vec![
                            KeyValue::new(Rich::new().mono("thickness 0.375"), "0.0000").note("caliper"),
                            KeyValue::new(Rich::new().mono("hole goes 0.437, not 0.439"), "+0.0005"),
                            KeyValue::new(Rich::new().mono("between centres 2.400"), Rich::new().wrong("+0.0250")),
                        ],
                    },
                    Block::paragraph(
                        Rich::new()
                            .wrong("Reads one thimble turn too large. ")
                            .plain("2.375 would agree with everything else."),
                    ),
                ],
                right: vec![Block::figure(
                    small,
                    Rich::from(format!("Scale {scale}. "))
                        .plain("Holes are match-made: drilled through the mating part, left undone in the spares."),
                )],
            },
            Block::caution(
                "Before you start",
                [
                    Rich::from(
                        "Grey iron is cut dry and its dust is fine: extract it and wear a mask; eye protection at every operation.",
                    ),
                    Rich::from(
                        "The original may be painted with red lead. Do not sand or torch it. Local rules and licensed practice go before this sheet.",
                    ),
                ],
            ),
            Block::heading("Gear data block"),
            Block::KeyValues {
                rows: [
                    ("Number of teeth", "44"),
                    ("Diametral pitch", "10"),
                    ("Pressure angle", "14½°"),
                    ("Span over 4 teeth", "27.541 +0.000 −0.050 mm"),
                    ("Backlash", "0.10 … 0.15 mm"),
                    ("Runout, ≤", "25 µm"),
                ]
                .map(|(key, value)| KeyValue::new(key, value))
                .into(),
            },
        ],
        ..sheet
    }
}

fn drawing() -> Sheet {
    Sheet {
        title: "Drawing".into(),
        kind: "true scale, dimensions in inches".into(),
        blocks: vec![
            Block::figure(bracket(Scale::FULL), "Scale 1:1. Long-dash double-dot: the casting before machining."),
            Block::figure(section(), "Section through the boss, scale 2:1."),
        ],
        ..Sheet::default()
    }
}

fn operations() -> Sheet {
    let step = |number: u32, title: &str| Step {
        number: number.to_string(),
        title: title.into(),
        details: vec![
            ("Tool".into(), "5/8 in four-flute end mill, high-speed steel, the short one in the second drawer".into()),
            ("Set-up".into(), "vice on the mill table, parallels under the flange, indicated within 0.001 in".into()),
            ("Speed".into(), Rich::new().mono("420 rev/min")),
            ("Feed".into(), Rich::new().mono("3 in/min")),
            ("Depth".into(), Rich::new().mono("0.040 in")),
        ],
        notes: vec!["Two cuts of 0.040 and one of 0.010 for finish. Dry, brush the dust away, never blow.".into()],
        check: Rich::from("Thickness ").mono("0.375 +0.002 −0.000").plain(", micrometer, three places."),
        caution: Rich::new(),
    };
    let mut steps: Vec<Step> = ["Mill the flange", "Mill the face", "Saw to the line", "Drill the bore"]
        .into_iter()
        .zip(1..)
        .map(|(title, number)| step(number, title))
        .collect();
    steps[2].details.truncate(1);
    steps[2].caution = "Keep the off-cut from falling between blade and table.".into();
    steps[3].check = Rich::new();
    Sheet {
        title: "Operations".into(),
        kind: "in order, first piece; tick each when it is done".into(),
        blocks: vec![
            Block::Steps { steps },
            Block::Table(Table {
                columns: vec![Column::words(2.0), Column::figures(), Column::figures(), Column::words(3.0)],
                header: ["What", "Minutes", "Money", "Remark"].map(Rich::from).into(),
                rows: vec![
                    Row::new(["First piece, set-up and cutting", "145", "108.75", "of which 60 setting up"]),
                    Row::new(["Each spare", "52", "39.00", "same set-up, one after another"]).tone(Tone::Quiet),
                    Row::new(["A cutter the shop lacks", "", "64.00", "10 DP 14½° No. 3; ask before buying"])
                        .tone(Tone::Wrong),
                    Row::new(["Together", "249", "250.75", ""]).tone(Tone::Strong),
                ],
            }),
        ],
        ..Sheet::default()
    }
}

fn indexing() -> Sheet {
    let ticks = (1..=44)
        .map(|tooth| Tick {
            label: format!("{tooth}"),
            text: format!("{} + {:>2}", tooth * 10 / 11, tooth * 10 % 11 * 3),
        })
        .collect();
    Sheet {
        title: "Indexing".into(),
        kind: "44 divisions, head 40:1, circle of 33, 30 holes each".into(),
        blocks: vec![
            Block::paragraph(
                "Whole turns and holes from the start; a box for each tooth. Always turn the same way, and take up the play before each cut.",
            ),
            Block::Ticks { columns: 4, ticks },
        ],
        ..Sheet::default()
    }
}

fn inspection() -> Sheet {
    let rows = (1..=40).map(|n| {
        Row::new([
            format!("{n}"),
            format!("Place {n}: hole distance, micrometer over pins"),
            "2.3740".into(),
            "2.3760".into(),
            String::new(),
            String::new(),
        ])
    });
    Sheet {
        title: "Inspection".into(),
        kind: "write what you read".into(),
        blocks: vec![
            Block::Table(Table {
                columns: vec![
                    Column::figures(),
                    Column::words(3.0),
                    Column::figures(),
                    Column::figures(),
                    Column::to_write(24.0),
                    Column::to_write(24.0),
                ],
                header: ["No.", "Characteristic", "From", "To", "Piece 1", "Piece 2"].map(Rich::from).into(),
                rows: rows.collect(),
            }),
            Block::Rule,
            Block::WriteIn { labels: vec!["Measured by".into(), "Date".into()] },
        ],
        ..Sheet::default()
    }
}

fn outline() -> Vec<Trace> {
    let (r, x) = (19.05, 60.325);
    let body = Trace::from(Point::new(-20.0, -r))
        .line_to(Point::new(x, -r))
        .arc_round(Point::new(x, 0.0), PI)
        .line_to(Point::new(-20.0, r))
        .close();
    vec![body, Trace::circle(Point::ORIGIN, 5.556), Trace::circle(Point::new(x, 0.0), 5.556)]
}

fn bracket(scale: Scale) -> Drawing {
    let (r, x) = (19.05, 60.325);
    let mut drawing = Drawing::new(View::at(scale, Point::ORIGIN)).titled("Bracket with two holes");
    let traces = outline();
    drawing.region(&traces);
    drawing.stroke(&Trace::rectangle(Rect::new(-23.0, -22.0, x + 22.0, 22.0)), Line::Phantom);
    drawing.stroke(&Trace::line(Point::new(-14.0, -r), Point::new(-14.0, r)), Line::Hidden);
    for hole in [Point::ORIGIN, Point::new(x, 0.0)] {
        drawing.centre_mark(hole, 5.556, 3.0);
    }
    drawing.linear(
        Point::ORIGIN,
        Point::new(x, 0.0),
        Along::Horizontal,
        28.0 * scale.factor().max(0.6),
        Label::new("2.375").below("±0.001"),
    );
    drawing.linear(Point::new(-20.0, -r), Point::new(-20.0, r), Along::Vertical, -12.0, "1.500");
    if scale.factor() >= 1.0 {
        drawing.linear(Point::new(-20.0, -r), Point::new(-14.0, -r), Along::Horizontal, -10.0, "0.236");
        drawing.linear(Point::ORIGIN, Point::new(x, r), Along::Aligned, 6.0, "2.491");
        drawing.angular(Point::ORIGIN, (-0.9, -0.3), 7.0, 4.0, "34.4°");
        drawing.angular(Point::new(x, 0.0), (-FRAC_PI_2, -0.4), r, 8.0, "67.1°");
        drawing.note(Point::new(40.0, -r), Aim::Free, "saw, sand to the line");
    }
    drawing.diameter(Point::ORIGIN, 5.556, Aim::Free, Label::new("2 × ⌀ 0.4375").below("+0.0010 −0"));
    drawing.radius(Point::new(x, 0.0), r, Aim::At { angle: 0.7, reach: 8.0 }, "0.750");
    drawing
}

fn section() -> Drawing {
    let mut drawing = Drawing::new(View::at(Scale::fit(Size::new(30.0, 20.0), Size::new(70.0, 70.0)), Point::ORIGIN));
    let wall = |x: f64| Trace::rectangle(Rect::new(x, 0.0, x + 9.0, 18.0));
    let walls = [wall(-15.0), wall(6.0)];
    drawing.region(&walls);
    drawing.hatch(&walls, PI / 4.0, 3.0);
    drawing.stroke(&Trace::line(Point::new(-6.0, 18.0), Point::new(6.0, 18.0)), Line::Outline);
    drawing.stroke(&Trace::line(Point::new(-6.0, 0.0), Point::new(6.0, 0.0)), Line::Outline);
    drawing.centre_line(Point::new(0.0, 0.0), Point::new(0.0, 18.0), 3.0);
    drawing.linear(
        Point::new(-6.0, 18.0),
        Point::new(6.0, 18.0),
        Along::Horizontal,
        8.0,
        Label::new("⌀ 12.000").below("H7"),
    );
    drawing.linear(Point::new(15.0, 0.0), Point::new(15.0, 18.0), Along::Vertical, 8.0, "18.0");
    drawing
}

fn template() -> Template {
    let x = 60.325;
    Template {
        title: "Idler bracket".into(),
        notes: vec!["Stick on the blank with the flange to the left; punch the crosses before sawing. Saw outside the line, sand to it.".into()],
        outline: outline(),
        lines: vec![(Trace::line(Point::new(-14.0, -19.05), Point::new(-14.0, 19.05)), Line::Hidden)],
        centres: vec![(Point::ORIGIN, 5.556), (Point::new(x, 0.0), 5.556)],
        labels: vec![(Point::new(0.0, -13.0), "drill 7/16".into())],
        ..Template::default()
    }
}

fn large() -> Template {
    Template {
        title: "Ring segment for the rope walk".into(),
        outline: vec![
            Trace::from(Point::new(150.0, 0.0))
                .arc_round(Point::ORIGIN, PI)
                .line_to(Point::new(-110.0, 0.0))
                .arc_round(Point::ORIGIN, -PI)
                .close(),
        ],
        centres: vec![(Point::new(0.0, 130.0), 4.0), (Point::ORIGIN, 0.0)],
        ..Template::default()
    }
}
