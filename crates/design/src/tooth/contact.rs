//! Contact of two flanks after ISO 6336-2.

use std::f64::consts::PI;

use geometry::mesh::Mesh;
use quantity::Angle;
use standards::Material;

/// Z_H, the zone factor: how the flanks are curved at the pitch point.
///
/// Z_H = √(2 cos α_w/(cos² α sin α_w)) for spur teeth. No unit. Span α_w > 0. Exact. Source: ISO 6336-2:2006, equation 14 (from memory).
///
/// ```
/// let twenty = quantity::Angle::from_degrees(20.0);
/// assert!((design::tooth::zone_factor(twenty, twenty) - 2.495).abs() < 5e-4);
/// ```
pub fn zone_factor(pressure_angle: Angle, working: Angle) -> f64 {
    (2.0 * working.cos() / (pressure_angle.cos().powi(2) * working.sin())).sqrt()
}

/// Z_E, the elasticity factor of two metals, each by its modulus in MPa and its Poisson's ratio; √MPa.
///
/// Z_E = 1/√(π ((1 − ν_1²)/E_1 + (1 − ν_2²)/E_2)). Exact for Hertz's contact of cylinders.
/// Source: ISO 6336-2:2006, equation 19 (from memory).
///
/// ```
/// let steel = (206_000.0, 0.3);
/// assert!((design::tooth::elasticity_factor(steel, steel) - 189.8).abs() < 0.05);
/// ```
pub fn elasticity_factor(one: (f64, f64), other: (f64, f64)) -> f64 {
    let softness = |(modulus, poisson): (f64, f64)| (1.0 - poisson * poisson) / modulus;
    (PI * (softness(one) + softness(other))).powf(-0.5)
}

/// Modulus in MPa, and Poisson's ratio.
pub fn elastic(material: &Material) -> (f64, f64) {
    (material.youngs_modulus_gpa * 1000.0, material.poisson)
}

/// Z_ε, the contact ratio factor of spur teeth.
///
/// Z_ε = √((4 − ε_α)/3). No unit. Span 1 ≤ ε_α ≤ 2, which it is kept within. Source: ISO 6336-2:2006, equation 23 (from memory).
///
/// ```
/// assert!((design::tooth::contact_ratio_factor(1.6) - 0.894).abs() < 5e-4);
/// ```
pub fn contact_ratio_factor(contact_ratio: f64) -> f64 {
    ((4.0 - contact_ratio.clamp(1.0, 2.0)) / 3.0).sqrt()
}

/// Z_B and Z_D: from the pitch point to the inner point of single contact of the first and of the second wheel, where the stress is
/// higher; never under 1.
///
/// M² = ρ_C1 ρ_C2/(ρ_1 ρ_2), the curvatures at the pitch point over those at that point. No unit. Exact.
/// Source: ISO 6336-2:2006, equations 15 to 17 (from memory), there written with diameters.
pub fn single_contact_factors(mesh: &Mesh) -> [f64; 2] {
    match curvature_products(mesh) {
        Some((at_pitch_point, at_inner)) => at_inner.map(|product| (at_pitch_point / product).sqrt().max(1.0)),
        None => [1.0; 2],
    }
}

/// ρ_1 ρ_2 at the pitch point, and at the inner points of single contact of the first and of the second; none where there is no
/// single contact between the base circles.
fn curvature_products(mesh: &Mesh) -> Option<(f64, [f64; 2])> {
    let path = mesh.contact_path()?;
    let pitch = mesh.toothings()[0].base_pitch();
    let product = |along: quantity::Length| along.mm() * (path.line - along).mm();
    let radius = 0.5 * mesh.toothings()[0].base_diameter();
    let at_pitch_point = product(radius * mesh.working_pressure_angle().tan());
    let inner = [product(path.to - pitch), product(path.from + pitch)];
    inner.iter().all(|product| *product > 0.0).then_some((at_pitch_point, inner))
}

/// Nominal contact stress at the pitch point, MPa.
///
/// σ_H0 = Z_H Z_E Z_ε √(F_t (u + 1)/(d_1 b u)). Units: F_t N, d_1 and b mm, Z_E √MPa. Spur teeth. Source: ISO 6336-2:2006, equation 6
/// (from memory).
pub fn contact_stress(factors: f64, force_n: f64, pinion_diameter_mm: f64, face_mm: f64, ratio: f64) -> f64 {
    factors * (force_n * (ratio + 1.0) / (pinion_diameter_mm * face_mm * ratio)).sqrt()
}
