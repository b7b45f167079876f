//! The path language: `start X Y`, `line to X Y`, `arc to X Y about X Y`, `arc to X Y about X Y clockwise`.
//!
//! Coordinates are in the job's unit, the bore centre at 0 0, the middle of the teeth upward, X to the right.

use std::f64::consts::TAU;
use std::ops::Range;

use geometry::outline::{Outline, Segment};
use kurbo::Point;
use part::Placed;
use quantity::{LONGEST, Problem, Unit};

/// Start and end of an arc may stand this much off one circle, in mm: coordinates are written to a few decimals.
const OFF_CIRCLE: f64 = 0.05;

/// The outline as far as it can be understood, and what is wrong with the rest.
pub fn read(lines: &[Placed<String>], unit: Unit) -> (Outline, Vec<Problem>) {
    let mut segments = Vec::new();
    let mut problems = Vec::new();
    let mut pen: Option<Point> = None;
    for line in lines {
        match step(line, unit, pen) {
            Ok((segment, to)) => {
                segments.extend(segment);
                pen = Some(to);
            }
            Err(problem) => problems.push(problem),
        }
    }
    (Outline::new(segments), problems)
}

fn step(line: &Placed<String>, unit: Unit, pen: Option<Point>) -> Result<(Option<Segment>, Point), Problem> {
    let words: Vec<&str> = line.value.split([' ', ',', '\t']).filter(|word| !word.is_empty()).collect();
    let point =
        |x: &str, y: &str| -> Result<Point, Problem> { Ok(Point::new(number(x, line, unit)?, number(y, line, unit)?)) };
    match (words.as_slice(), pen) {
        (["start", x, y], None) => Ok((None, point(x, y)?)),
        (["start", ..], Some(_)) => {
            Err(problem(line, "The path was started already.", "expected `line to X Y` or `arc to X Y about X Y`"))
        }
        (_, None) => Err(problem(line, "The path has no start yet.", "expected `start X Y` first")),
        (["line", "to", x, y], Some(from)) => {
            let to = point(x, y)?;
            if from.distance(to) < 1e-6 {
                return Err(problem(line, "This line ends where it begins.", "expected another point"));
            }
            Ok((Some(Segment::Line { from, to }), to))
        }
        (["arc", "to", x, y, "about", cx, cy, rest @ ..], Some(from)) if rest.is_empty() || *rest == ["clockwise"] => {
            let (to, centre) = (point(x, y)?, point(cx, cy)?);
            arc(from, to, centre, rest.is_empty()).map(|segment| (Some(segment), to)).ok_or_else(|| {
                let (a, b) = (from.distance(centre) / unit.one().mm(), to.distance(centre) / unit.one().mm());
                problem(
                    line,
                    &format!("Its ends stand {a:.3} and {b:.3} {} from the centre.", unit.sign()),
                    "expected both at one radius",
                )
            })
        }
        _ => Err(problem(
            line,
            &format!("`{}` is no step of a path.", line.value),
            "expected `line to X Y` or `arc to X Y about X Y`",
        )
        .help("for an arc that turns clockwise, write `clockwise` behind it")),
    }
}

fn arc(from: Point, to: Point, centre: Point, anticlockwise: bool) -> Option<Segment> {
    let (radius, end_radius) = (from.distance(centre), to.distance(centre));
    if (radius - end_radius).abs() > OFF_CIRCLE || radius < 1e-6 {
        return None;
    }
    let start = (from - centre).atan2();
    let turn = ((to - centre).atan2() - start).rem_euclid(TAU);
    let sweep = if anticlockwise { turn } else { turn - TAU };
    Some(Segment::Arc { centre, radius, start, sweep })
}

fn number(text: &str, line: &Placed<String>, unit: Unit) -> Result<f64, Problem> {
    let value = text.replace('−', "-").parse::<f64>().ok().filter(|value| value.is_finite());
    let Some(value) = value else {
        return Err(problem(line, &format!("`{text}` is not a coordinate."), "expected a decimal number"));
    };
    let length = unit.one() * value;
    if length.abs() > LONGEST {
        return Err(problem(
            line,
            &format!("{text} lies further out than anything on a repair bench."),
            "expected a smaller coordinate",
        ));
    }
    Ok(length.mm())
}

fn problem(line: &Placed<String>, message: &str, expected: &str) -> Problem {
    let at: Range<usize> = line.at.clone();
    Problem::new(at, message, expected)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(texts: &[&str]) -> Vec<Placed<String>> {
        texts.iter().map(|text| Placed { value: (*text).to_string(), at: 0..text.len() }).collect()
    }

    #[test]
    fn a_half_disc_has_its_area() {
        let (outline, problems) =
            read(&lines(&["start 10 0", "arc to -10 0 about 0 0", "line to 10, 0"]), Unit::Millimetre);
        assert_eq!(problems, []);
        assert!(outline.is_closed());
        assert!((outline.area() - std::f64::consts::PI * 50.0).abs() < 1e-9);
    }

    #[test]
    fn each_wrong_step_says_why() {
        let wrong = lines(&[
            "line to 1 2",
            "start 0 0",
            "arc to 5 0 about 1 0",
            "line to 0 0",
            "curve to 3 4",
            "line to 1e9 0",
            "start 1 1",
        ]);
        let (_, problems) = read(&wrong, Unit::Inch);
        let said: Vec<&str> = problems.iter().map(|problem| problem.message.as_str()).collect();
        assert_eq!(
            said,
            [
                "The path has no start yet.",
                "Its ends stand 1.000 and 4.000 in from the centre.",
                "This line ends where it begins.",
                "`curve to 3 4` is no step of a path.",
                "1e9 lies further out than anything on a repair bench.",
                "The path was started already.",
            ]
        );
    }
}
