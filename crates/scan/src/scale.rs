//! Millimetres to a pixel, along and across, and how far they can be believed.

use crate::ScanError;
use crate::circle::{self, Oval, Spot};
use crate::edge::{Contour, Sharpness};

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Millimetres to a pixel.
    pub x_mm: f64,
    pub y_mm: f64,
    pub source: Source,
    /// Standard uncertainty of lengths, as a part of them.
    pub sigma: f64,
    /// Standard uncertainty of the ratio of the two axes.
    pub sigma_axes: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// What the file or the command line says, unchecked.
    Dpi,
    /// A round gauge in the picture.
    Gauge,
    /// A size of the part that was measured otherwise.
    Known,
}

/// Flatbeds err by tenths of a per cent, and differently along and across: seen up to 0.6 % along one axis. Taken as
/// uniform within that, u = a/√3 (JCGM 100:2008, 4.3.7); the mean of both axes errs less.
pub const SIGMA_UNCHECKED: f64 = 0.0035;
pub const SIGMA_AXES_UNCHECKED: f64 = 0.0035;

const MM_PER_INCH: f64 = 25.4;

/// A gauge is looked for within this part of its size: a scale is never off by more.
const GAUGE_WITHIN: f64 = 0.03;

/// Turned steel in a repair shop's drawer is known to this, where nothing better is said.
pub const GAUGE_SIGMA_MM: f64 = 0.003;

impl Scale {
    pub fn of_dpi(x: f64, y: f64) -> Scale {
        Scale {
            x_mm: MM_PER_INCH / x,
            y_mm: MM_PER_INCH / y,
            source: Source::Dpi,
            sigma: SIGMA_UNCHECKED,
            sigma_axes: SIGMA_AXES_UNCHECKED,
        }
    }

    /// Millimetres to a pixel in the mean.
    pub fn mean(&self) -> f64 {
        (self.x_mm * self.y_mm).sqrt()
    }

    /// Everything longer by this factor, from now on known by another source.
    #[must_use]
    pub fn corrected(self, factor: f64, source: Source, sigma: f64) -> Scale {
        Scale { x_mm: self.x_mm * factor, y_mm: self.y_mm * factor, source, sigma, ..self }
    }

    /// The axes' ratio set right: what is drawn longer along x by this logarithm is so because of the scanner.
    #[must_use]
    pub fn evened(self, stretch: f64, sigma_axes: f64) -> Scale {
        Scale { x_mm: self.x_mm * (-0.5 * stretch).exp(), y_mm: self.y_mm * (0.5 * stretch).exp(), sigma_axes, ..self }
    }
}

/// A gauge found: which contour, and the scale by it.
#[derive(Clone, Copy, Debug)]
pub struct Gauged {
    pub contour: usize,
    pub scale: Scale,
}

/// Finds the round outer contour nearest to the gauge's diameter.
pub fn by_gauge(
    contours: &[Contour],
    sharpness: &Sharpness,
    claimed: Option<Scale>,
    diameter: f64,
    sigma: f64,
) -> Result<Gauged, ScanError> {
    let mut best: Option<(f64, usize, Oval)> = None;
    for (index, contour) in contours.iter().enumerate() {
        if contour.area <= 0.0 || contour.cut_off || contour.points.len() < 24 {
            continue;
        }
        // of a circle the area goes with the square of its width
        let across = 2.0 * (contour.area / std::f64::consts::PI).sqrt();
        let off = claimed.map_or(0.0, |scale| (across * scale.mean() / diameter).ln().abs());
        if off > 2.0 * GAUGE_WITHIN {
            continue;
        }
        let spots: Vec<Spot> =
            contour.points.iter().map(|point| Spot { x: point.x, y: point.y, sigma: point.sigma }).collect();
        let Some(round) = circle::circle(&spots) else { continue };
        let Some(mut oval) = circle::oval(&spots, &round) else { continue };
        oval.radius += sharpness.bend(oval.radius);
        let off = claimed.map_or(0.0, |scale| (2.0 * oval.radius * scale.mean() / diameter).ln().abs());
        // most of it lies on one ellipse, hardly out of round
        let uneven = round.rest / round.radius;
        if off > GAUGE_WITHIN || uneven > 0.01 || round.share < 0.8 || oval.stretch.abs() > 0.02 {
            continue;
        }
        // without a claimed scale, the roundest
        let score = if claimed.is_some() { off } else { uneven };
        if best.is_none_or(|(least, ..)| score < least) {
            best = Some((score, index, oval));
        }
    }
    let Some((_, contour, oval)) = best else { return Err(ScanError::NoGauge) };
    let mean = diameter / (2.0 * oval.radius);
    let relative = (oval.sigma_radius / oval.radius).hypot(sigma / diameter);
    let scale = Scale { x_mm: mean, y_mm: mean, source: Source::Gauge, sigma: relative, sigma_axes: 0.0 }
        .evened(oval.stretch, oval.sigma_stretch.hypot(sigma / diameter));
    Ok(Gauged { contour, scale })
}
