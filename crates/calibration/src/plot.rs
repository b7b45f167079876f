//! The reliability plot: what was said against how often it was so.

use crate::report::Band;

/// The side of the square, and the room round it for words.
const SIDE: f64 = 360.0;
const ROOM: f64 = 56.0;

const LEADING: &str = "#1f4e9c";
const STATED: &str = "#77776c";

pub fn reliability(leaders: &[Band], stated: &[Band]) -> String {
    let full = SIDE + 2.0 * ROOM;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {full} {full}\" font-family=\"sans-serif\" \
         font-size=\"12\" fill=\"#222\">\n<title>What was said against how often it was so</title>\n\
         <rect width=\"{full}\" height=\"{full}\" fill=\"#fbfaf6\"/>\n"
    );
    for tenth in 0..=10 {
        let part = f64::from(tenth) / 10.0;
        let thin = "stroke=\"#ccc\" stroke-width=\"0.5\"";
        out += &line((part, 0.0), (part, 1.0), thin);
        out += &line((0.0, part), (1.0, part), thin);
        if tenth % 2 == 0 {
            let percent = tenth * 10;
            out += &text(x(part), y(0.0) + 18.0, "text-anchor=\"middle\"", &percent.to_string());
            out += &text(x(0.0) - 8.0, y(part) + 4.0, "text-anchor=\"end\"", &percent.to_string());
        }
    }
    out += &line((0.0, 0.0), (1.0, 1.0), "stroke=\"#222\" stroke-width=\"0.7\" stroke-dasharray=\"5 4\"");
    for (bands, colour, radius) in [(stated, STATED, 2.5), (leaders, LEADING, 4.0)] {
        for band in bands {
            // two standard deviations of chance about what was said
            let (low, high) = ((band.said - 2.0 * band.chance).max(0.0), (band.said + 2.0 * band.chance).min(1.0));
            out += &line((band.said, low), (band.said, high), &format!("stroke=\"{colour}\""));
            let (x, y) = (x(band.said), y(band.right));
            out += &format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"{colour}\"/>\n");
        }
    }
    let middle = x(0.5);
    out += &text(middle, y(0.0) + 38.0, "text-anchor=\"middle\"", "said, %");
    let turned = format!("text-anchor=\"middle\" transform=\"rotate(-90 18 {middle})\"");
    out += &text(18.0, middle, &turned, "was so, %");
    out += &text(ROOM, 24.0, &format!("fill=\"{LEADING}\""), "● the leading finding");
    let about = "● every finding stated; bars: twice what chance alone allows";
    out += &text(ROOM, 42.0, &format!("fill=\"{STATED}\""), about);
    out + "</svg>\n"
}

fn x(part: f64) -> f64 {
    ROOM + SIDE * part
}

fn y(part: f64) -> f64 {
    ROOM + SIDE * (1.0 - part)
}

fn line(from: (f64, f64), to: (f64, f64), style: &str) -> String {
    let (x1, y1, x2, y2) = (x(from.0), y(from.1), x(to.0), y(to.1));
    format!("<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" {style}/>\n")
}

fn text(x: f64, y: f64, style: &str, words: &str) -> String {
    format!("<text x=\"{x:.1}\" y=\"{y:.1}\" {style}>{words}</text>\n")
}
