//! How the part sits in the machine, how its teeth run there and what they carry: reckoned once for the terminal, the pack and the JSON.

mod result;
pub mod teeth;
pub mod words;

use design::joint::{Joint, Own};
use geometry::outline::Outline;
use kurbo::Point;
use part::{Cut, Pressing, Wall, Work};
use quantity::Length;

use crate::planned::material;
use crate::shape::PartShape;
use crate::solve::Solved;

pub use result::result;

/// What follows from the designs taken together.
#[derive(Debug, Default)]
pub struct Designed {
    pub joints: Vec<Joint>,
    pub teeth: Vec<teeth::DesignedTeeth>,
}

pub fn designed(solved: &Solved<'_>) -> Designed {
    Designed { joints: joints(solved), teeth: teeth::of(solved) }
}

fn joints(solved: &Solved<'_>) -> Vec<Joint> {
    let designs = solved.features.iter().filter_map(|feature| feature.design());
    let seats: Vec<_> = designs.flat_map(|design| design.seats()).collect();
    // the shape is put together only where a wall is to be read off it
    let of_part = seats.iter().any(|seat| [seat.hole.wall, seat.shaft.wall].contains(&Wall::OfPart));
    let shape = of_part.then(|| PartShape::of(solved)).flatten();
    let Some(material) = standards::material(material(solved)) else { return Vec::new() };
    let own = Own { material, outside: shape.as_ref().and_then(outside), bore: shape.as_ref().and_then(bore) };
    seats.iter().filter_map(|seat| Joint::of(seat, own)).collect()
}

impl Designed {
    /// A cut with what the joints know of it: what pressing a bush takes and does.
    pub fn told(&self, mut cut: Cut) -> Cut {
        let joint = self.joints.iter().find(|joint| joint.feature == cut.feature);
        let grip = joint.and_then(|joint| joint.taken().grip.as_ref());
        if let (Work::Bush(bush), Some(grip)) = (&mut cut.work, grip) {
            bush.pressing = grip.closes.map(|closes| Pressing {
                closes: (closes.least, closes.most),
                push_n: grip.push_n.map(|push| (push.least, push.most)),
            });
        }
        cut
    }
}

/// Fineness with which an outline is walked along, mm.
const FINE: f64 = 0.01;

/// The largest circle about the axis that stays within the part's edge; none where the edge is open or leaves the axis out.
fn outside(shape: &PartShape) -> Option<Length> {
    let PartShape::Whole(region) = shape else { return None };
    region.outer.contains(Point::ZERO).then(|| reaches(&region.outer).map(|(least, _)| least * 2.0)).flatten()
}

/// The bore on the axis, the widest where it is stepped.
fn bore(shape: &PartShape) -> Option<Length> {
    let PartShape::Whole(region) = shape else { return None };
    let central = region.holes.iter().filter(|hole| hole.contains(Point::ZERO));
    central.filter_map(reaches).map(|(_, most)| most * 2.0).reduce(Length::max)
}

/// The least and the greatest distance of an outline from the axis.
fn reaches(outline: &Outline) -> Option<(Length, Length)> {
    let corners = outline.flatten(FINE);
    let nearest = |pair: &[Point]| {
        let along = pair[1] - pair[0];
        let square = along.hypot2();
        let part = if square > 0.0 { (-pair[0].to_vec2().dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
        (pair[0].to_vec2() + part * along).hypot()
    };
    let least = corners.windows(2).map(nearest).reduce(f64::min)?;
    let most = corners.iter().map(|corner| corner.to_vec2().hypot()).reduce(f64::max)?;
    Some((Length::from_mm(least), Length::from_mm(most)))
}
