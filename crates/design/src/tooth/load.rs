//! Stresses where torque and speed are known.

use std::f64::consts::PI;

use geometry::toothing::Toothing;
use part::Toothed;
use standards::{Material, tooth_strength};

use super::bending::{Bending, lewis_factor};
use super::contact::{
    contact_ratio_factor, contact_stress, elastic, elasticity_factor, single_contact_factors, zone_factor,
};
use super::running::Running;

/// What the wheel is turned with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// On this wheel, N m.
    pub torque_nm: f64,
    /// Turns in a minute; what turns by hand has none.
    pub speed_rpm: Option<f64>,
}

/// How teeth are finished, which tells how hard they strike one another at speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finish {
    Cast,
    Milled,
    Hobbed,
    Ground,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stresses {
    /// F_t, N, at the pitch circle.
    pub force_n: f64,
    pub velocity_m_s: f64,
    /// K_v, for milled teeth.
    pub velocity_factor: f64,
    /// At the root, K_v in it; MPa.
    pub bending_mpa: f64,
    /// By Lewis's plain rule, which knows no notch; MPa.
    pub lewis_mpa: f64,
    /// On the flanks, where a mate is known; MPa.
    pub contact_mpa: Option<f64>,
    /// How many times the load could be larger: load after load at the root; one blow, until the metal gives at the root; on the
    /// flanks. Weakest of what the metal may have.
    pub reserve_repeated: Option<f64>,
    pub reserve_once: f64,
    pub reserve_contact: Option<f64>,
}

/// σ_FE = Y_ST σ_F lim: the notch of the test gears, ISO 6336-3:2006, equation 5 (from memory).
const TEST_GEAR_NOTCH: f64 = 2.0;

impl Stresses {
    /// `face_mm`: the face width. Stresses are of the new teeth at their weakest.
    pub fn new(
        made: &Toothed,
        bending: &Bending,
        running: Option<&Running>,
        (new, mate): (&Material, &Material),
        face_mm: f64,
        load: Load,
    ) -> Stresses {
        let diameter = made.full.pitch_diameter().mm();
        let force_n = tangential_force(load.torque_nm, diameter);
        let velocity_m_s = load.speed_rpm.map_or(0.0, |speed| velocity(diameter, speed));
        let velocity_factor = velocity_factor(Finish::Milled, velocity_m_s);
        let worst = force_n * velocity_factor;
        let per_face = worst / (face_mm * made.full.module().mm());
        let bending_mpa = per_face * bending.factor();
        let contact_mpa = running.map(|running| contact(made, running, (new, mate), face_mm, worst));
        let strength = tooth_strength(new);
        Stresses {
            force_n,
            velocity_m_s,
            velocity_factor,
            bending_mpa,
            lewis_mpa: per_face / lewis_factor(&made.cut[1], bending.load_radius),
            contact_mpa,
            reserve_repeated: strength.map(|strength| TEST_GEAR_NOTCH * strength.bending.0 / bending_mpa),
            reserve_once: new.yield_mpa.unwrap_or(new.uts_mpa) / bending_mpa,
            // stress on flanks grows with the root of the load
            reserve_contact: strength.zip(contact_mpa).map(|(strength, stress)| (strength.contact.0 / stress).powi(2)),
        }
    }
}

fn contact(made: &Toothed, running: &Running, (new, mate): (&Material, &Material), face_mm: f64, force_n: f64) -> f64 {
    let [own, other] = running.mesh.toothings();
    let ratio = |a: &Toothing, b: &Toothing| f64::from(a.teeth()) / f64::from(b.teeth());
    let factors = zone_factor(made.full.pressure_angle(), running.working_angle)
        * elasticity_factor(elastic(new), elastic(mate))
        * contact_ratio_factor(running.contact_ratio.least)
        * single_contact_factors(&running.mesh)[0];
    contact_stress(factors, force_n, own.pitch_diameter().mm(), face_mm, ratio(other, own))
}

/// F_t = 2 T/d. Units: T N m, d mm, F_t N.
///
/// ```
/// // 0.5 kW at 1800 turns a minute on 18 teeth of module 1.25: 235.8 N (Shigley's Mechanical Engineering Design, 10th ed., problem 14-3)
/// let force = design::tooth::tangential_force(design::tooth::torque_of_power(0.5, 1800.0), 22.5);
/// assert!((force - 235.8).abs() < 0.05);
/// ```
pub fn tangential_force(torque_nm: f64, diameter_mm: f64) -> f64 {
    2000.0 * torque_nm / diameter_mm
}

/// T = P/ω, N m, of kilowatts and turns in a minute.
pub fn torque_of_power(power_kw: f64, speed_rpm: f64) -> f64 {
    power_kw * 1000.0 / (2.0 * PI * speed_rpm / 60.0)
}

/// v = π d n, m/s, of mm and turns in a minute.
pub fn velocity(diameter_mm: f64, speed_rpm: f64) -> f64 {
    PI * diameter_mm / 1000.0 * speed_rpm / 60.0
}

/// K_v, by which teeth at speed are loaded more than at rest.
///
/// Cast (3.05 + v)/3.05; milled (6.1 + v)/6.1; hobbed (3.56 + √v)/3.56; ground √((5.56 + √v)/5.56). v in m/s. Rules of C. G. Barth and
/// of practice: Shigley's Mechanical Engineering Design, 10th ed., equations 14-6 (from memory; their worked figures are met).
pub fn velocity_factor(finish: Finish, velocity_m_s: f64) -> f64 {
    let v = velocity_m_s;
    match finish {
        Finish::Cast => (3.05 + v) / 3.05,
        Finish::Milled => (6.1 + v) / 6.1,
        Finish::Hobbed => (3.56 + v.sqrt()) / 3.56,
        Finish::Ground => ((5.56 + v.sqrt()) / 5.56).sqrt(),
    }
}
