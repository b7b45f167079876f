//! A scan as reading lines, such as a person could have typed.

use quantity::Unit;
use scan::teeth::{Rim, Uncertain};
use scan::{Hole, HoleKind, Scan};

use crate::job::FromPicture;

/// What no scan of a real part escapes, at each edge, as a part of a pixel: glare, a scanner's grey curve, a burr. It moves
/// all edges outward or inward alike. Common practice; published single edges are good to 0.03 to 0.12 of a pixel.
const EDGE: f64 = 0.1;

/// A count of teeth extrapolated from a sector is given where it is surer than this, in teeth.
const SURE_COUNT: f64 = 0.12;

/// Flanks are touched by a span between these parts of the tooth's height.
const TOUCHES: std::ops::Range<f64> = 0.3..0.9;

/// What a scan gives a feature of a kind.
pub fn readings(scan: &Scan, kind: &str, count: Option<u32>, unit: Unit) -> Result<FromPicture, String> {
    let writer = Writer { scan, unit };
    match kind {
        "toothed rim" => rim(&writer),
        "bore" => bore(&writer),
        "holes" => holes(&writer, count),
        "outline" => outline(&writer),
        other => Err(format!("A scan shows nothing of a {other}: take its readings by hand.")),
    }
}

/// The pixel's part of an edge in mm.
pub fn edge(scan: &Scan) -> f64 {
    EDGE * scan.scale.mean()
}

/// With what a scale and real edges add: `edges` of them stand apart by the value.
pub fn with_all(scan: &Scan, found: Uncertain, edges: f64) -> Uncertain {
    let scale = scan.scale.sigma * found.value;
    Uncertain::new(found.value, found.sigma.hypot(scale).hypot(edges * edge(scan)))
}

struct Writer<'a> {
    scan: &'a Scan,
    unit: Unit,
}

impl Writer<'_> {
    fn length(&self, lead: &str, found: Uncertain, edges: f64) -> String {
        let found = with_all(self.scan, found, edges);
        let places = if self.unit == Unit::Inch { 5 } else { 4 };
        let write = |mm: f64| format!("{:.places$}", mm / self.unit.one().mm());
        // nearly sure: two standard uncertainties
        let half = (2.0 * found.sigma).max(2.0 * 10f64.powi(-(places as i32)) * self.unit.one().mm());
        let sign = self.unit.sign();
        format!("{lead} {} {sign} ± {} {sign}, scan", write(found.value), write(half))
    }
}

fn rim(writer: &Writer<'_>) -> Result<FromPicture, String> {
    let Some(rim) = &writer.scan.rim else {
        return Err("The scan shows no run of even teeth: check that the part is whole in the picture.".into());
    };
    if let Some(why) = &rim.not_involute {
        return Err(format!("The teeth in the scan are not a gear's ({why}): take their readings by hand."));
    }
    let mut lines = Vec::new();
    if rim.whole || rim.teeth.sigma < SURE_COUNT {
        lines.push(format!("{:.0} teeth", rim.teeth.value));
    }
    if !rim.whole {
        lines.push(format!("{} teeth present", rim.present()));
    }
    match rim.broken() {
        0 => {}
        1 => lines.push("1 tooth broken".into()),
        broken => lines.push(format!("{broken} teeth broken")),
    }
    lines.push(writer.length("outside diameter", rim.tip_radius.times(2.0), 2.0));
    lines.push(writer.length("root diameter", rim.root_radius.times(2.0), 2.0));
    for (teeth, span) in spans(rim) {
        lines.push(writer.length(&format!("span over {teeth} teeth"), span, 2.0));
    }
    Ok(FromPicture { lines, whole: Some(rim.whole), ..FromPicture::default() })
}

/// The shortest and the longest span that lie well on the flanks: W_k = (k − 1) p_b + s_b, which touches at the radius
/// √(r_b² + (W/2)²) (ISO 21771:2007). Worked out from all flanks, so that no single tooth's wear is in them.
fn spans(rim: &Rim) -> Vec<(u32, Uncertain)> {
    let (Some(flanks), Some(pitch), Some(thickness)) = (rim.involute(), rim.base_pitch(), rim.base_thickness()) else {
        return Vec::new();
    };
    let height = rim.tip_radius.value - rim.root_radius.value;
    let most = if rim.whole { flanks.teeth / 2 } else { rim.present() as u32 };
    let fits: Vec<(u32, Uncertain)> = (2..=most)
        .map(|teeth| {
            let steps = f64::from(teeth - 1);
            let value = steps * pitch.value + thickness.value;
            (teeth, Uncertain::new(value, (steps * pitch.sigma).hypot(thickness.sigma)))
        })
        .filter(|(_, span)| {
            let radius = flanks.base_radius.hypot(0.5 * span.value);
            TOUCHES.contains(&((radius - rim.root_radius.value) / height))
        })
        .collect();
    match fits.as_slice() {
        [] => Vec::new(),
        [one] => vec![*one],
        [first, .., last] => vec![*first, *last],
    }
}

fn bore(writer: &Writer<'_>) -> Result<FromPicture, String> {
    let bore = writer.scan.holes.iter().find(|hole| hole.kind == HoleKind::Bore);
    let bore = bore.ok_or("The scan shows no round bore: measure it by hand.")?;
    Ok(FromPicture { lines: vec![writer.length("diameter", bore.diameter, 2.0)], ..FromPicture::default() })
}

/// Holes of one size: all of them, or the `count` that are most alike.
fn holes(writer: &Writer<'_>, count: Option<u32>) -> Result<FromPicture, String> {
    let all: Vec<&Hole> = writer.scan.holes.iter().filter(|hole| hole.kind == HoleKind::Hole).collect();
    let wanted = count.map_or(all.len(), |count| count as usize);
    if all.is_empty() || wanted > all.len() {
        let shows = match all.len() {
            0 => "no round hole beside the bore".to_string(),
            1 => "one round hole beside the bore".to_string(),
            some => format!("{some} round holes beside the bore"),
        };
        return Err(format!("The scan shows {shows}: check the count, and that the holes are free of dirt."));
    }
    let mut by_size = all;
    by_size.sort_by(|a, b| a.diameter.value.total_cmp(&b.diameter.value));
    let spread = |run: &[&Hole]| match (run.first(), run.last()) {
        (Some(first), Some(last)) => last.diameter.value / first.diameter.value,
        _ => f64::INFINITY,
    };
    let run = by_size.windows(wanted.max(1)).min_by(|a, b| spread(a).total_cmp(&spread(b))).unwrap_or_default();
    if spread(run) > ONE_SIZE {
        return Err(format!(
            "The {} holes in the scan differ in size: say with count how many belong to this feature.",
            run.len()
        ));
    }
    let number = run.len() as f64;
    let mean = |pick: &dyn Fn(&Hole) -> Uncertain| {
        let sum = run
            .iter()
            .map(|hole| pick(hole))
            .fold(Uncertain::default(), |sum, one| Uncertain::new(sum.value + one.value, sum.sigma.hypot(one.sigma)));
        sum.times(1.0 / number)
    };
    let from_bore = |hole: &Hole| Uncertain::new(hole.x.hypot(hole.y), hole.sigma_place);
    let radius = mean(&from_bore);
    // what the holes differ by is told by the width given with the mean
    let differ = run.iter().map(|hole| (from_bore(hole).value - radius.value).powi(2)).sum::<f64>() / number;
    let mut lines = vec![
        writer.length("diameter", mean(&|hole| hole.diameter), 2.0),
        writer.length("from bore centre", Uncertain::new(radius.value, radius.sigma.hypot(differ.sqrt())), 0.0),
    ];
    let mut turns: Vec<(f64, f64)> =
        run.iter().map(|hole| ((-hole.x).atan2(hole.y), hole.sigma_place / hole.x.hypot(hole.y).max(1e-6))).collect();
    turns.sort_by(|a, b| a.0.total_cmp(&b.0));
    let clocking = writer.scan.rim.as_ref().map_or(0.0, |rim| rim.phase.sigma);
    for (turn, sigma) in turns {
        let half = (2.0 * sigma.hypot(clocking).hypot(0.7 * writer.scan.scale.sigma_axes)).to_degrees().max(0.001);
        lines.push(format!("at {:.3} degrees ± {half:.3} degrees, scan", turn.to_degrees()));
    }
    Ok(FromPicture { lines, count: Some(run.len() as u32), ..FromPicture::default() })
}

/// Drilled with one drill: diameters differ by less.
const ONE_SIZE: f64 = 1.06;

fn outline(writer: &Writer<'_>) -> Result<FromPicture, String> {
    let profile =
        writer.scan.profile.as_ref().ok_or(
            "The scan shows no outline beside the teeth that lines and arcs could follow: give a path by hand.",
        )?;
    let places = if writer.unit == Unit::Inch { 4 } else { 3 };
    let path = profile.path(writer.unit.one().mm(), places);
    Ok(FromPicture { path, ..FromPicture::default() })
}
