//! Edge points on the bed, in millimetres, y up.

use crate::edge::Contour;
use crate::scale::Scale;

/// A point of an edge with its normal from part to ground and its standard uncertainty along it, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    pub x: f64,
    pub y: f64,
    pub nx: f64,
    pub ny: f64,
    pub sigma: f64,
}

/// A contour on the bed: outer ones counter-clockwise, holes clockwise.
pub fn places(contour: &Contour, scale: &Scale) -> Vec<Place> {
    let sigma_scale = (scale.x_mm * scale.y_mm).sqrt();
    let mut out: Vec<Place> = contour
        .points
        .iter()
        .map(|point| {
            let (nx, ny) = (point.nx / scale.x_mm, -point.ny / scale.y_mm);
            let length = nx.hypot(ny);
            Place {
                x: point.x * scale.x_mm,
                y: -point.y * scale.y_mm,
                nx: nx / length,
                ny: ny / length,
                sigma: point.sigma * sigma_scale,
            }
        })
        .collect();
    out.reverse();
    out
}
