//! The teeth of a part as a whole: what limits, wear, mates, metals and loads do to the figures.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a helper that fails is a test that fails")]

mod shared;

use design::tooth::{CentresKnown, Known, Load, LoadAt, Mate, Metals, Running, Teeth};
use geometry::toothing::{Toothing, ToothingSpec};
use part::{Centres, Toothed};
use proptest::prelude::*;
use quantity::{Length, Measured};
use shared::{rack, teeth};
use standards::{materials, tooth_strength};

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

/// Module 1, thinned by 0.02 to 0.04 when new, found thinner by `worn`.
fn toothed(count: u32, shift: f64, worn: f64) -> Toothed {
    let full = teeth(rack(20.0, 1.0, 1.25, 0.3), count, shift, 0.0).unwrap();
    Toothed {
        label: format!("{count} teeth"),
        whole: true,
        teeth_cut: count,
        full,
        found: teeth(rack(20.0, 1.0, 1.25, 0.3), count, shift, worn).unwrap(),
        cut: [full.fed_deeper(mm(0.02)).unwrap(), full.fed_deeper(mm(0.04)).unwrap()],
        tip_tolerance: mm(0.015),
        tip_rounding: Length::ZERO,
        shift_found: shift,
        hand: None,
        face_width: Some(Measured { value: mm(10.0), sigma: mm(0.02) }),
        centres: Vec::new(),
    }
}

fn mate(count: u32, shift: f64, worn: f64) -> Mate {
    Mate::Found { toothed: Box::new(toothed(count, shift, worn)), thickness_sigma: mm(0.002) }
}

fn known(mate: Option<Mate>, original: &str, new: &str) -> Known {
    let [original, new] = [original, new].map(|name| standards::material(name).unwrap());
    Known { mate, metals: Metals { original, new, mate: original }, load: None }
}

fn running(made: Toothed, mate: Mate) -> Running {
    Running::new(&made, &mate).unwrap()
}

proptest! {
    /// At the reckoned distance the backlash is what both were thinned by, carried to the working circles: at the pitch circles where
    /// neither is shifted. The reading's uncertainty is added at both ends.
    #[test]
    fn backlash_is_what_was_taken_off(z1 in 18_u32..60, z2 in 18_u32..60, worn in 0.0_f64..0.2) {
        let running = running(toothed(z1, 0.0, 0.0), mate(z2, 0.0, worn));
        prop_assert!((running.backlash.least.mm() - (0.02 + worn - 0.004)).abs() < 1e-9);
        prop_assert!((running.backlash.most.mm() - (0.04 + worn + 0.004)).abs() < 1e-9);
        // dj/da = 2 tan α_w, here at 20°, over a step of a tenth of a millimetre: 0.0728 and a little for the curve of it
        prop_assert!((0.0727..0.082).contains(&running.per_tenth.backlash.mm()));
        prop_assert!(!running.interferes());
    }

    /// Wear of the mate, wider axes and thinner teeth add backlash; shorter or rounded tips take contact.
    #[test]
    fn what_moves_the_mesh(z1 in 20_u32..60, z2 in 20_u32..60, more in 0.01_f64..0.2) {
        let plain = running(toothed(z1, 0.0, 0.0), mate(z2, 0.0, 0.05));
        prop_assert!(running(toothed(z1, 0.0, 0.0), mate(z2, 0.0, 0.05 + more)).backlash.least > plain.backlash.least);
        let rounded = running(Toothed { tip_rounding: mm(more), ..toothed(z1, 0.0, 0.0) }, mate(z2, 0.0, 0.05));
        prop_assert!(rounded.contact_ratio.least < plain.contact_ratio.least);
        let reading = Centres { distance: Measured { value: plain.mesh.centre_distance() + mm(more), sigma: mm(0.01) }, mate_teeth: z2 };
        let wider = running(Toothed { centres: vec![reading], ..toothed(z1, 0.0, 0.0) }, mate(z2, 0.0, 0.05));
        prop_assert!(matches!(wider.centres, CentresKnown::Read(_)));
        // the same distance, read at the mate
        let at_mate = Toothed { centres: vec![Centres { mate_teeth: z1, ..reading }], ..toothed(z2, 0.0, 0.05) };
        let at_mate = Mate::Found { toothed: Box::new(at_mate), thickness_sigma: mm(0.002) };
        prop_assert_eq!(running(toothed(z1, 0.0, 0.0), at_mate).backlash, wider.backlash);
        prop_assert!(wider.mesh.circumferential_backlash() > plain.mesh.circumferential_backlash());
        prop_assert!(wider.contact_ratio.most < plain.contact_ratio.most);
        prop_assert!(wider.clearance[0] > plain.clearance[0]);
    }

    /// Following the advice leaves the usual backlash.
    #[test]
    fn the_thinning_advised_is_right(z1 in 20_u32..60, z2 in 20_u32..60, off in -0.2_f64..0.6) {
        let reading = Centres { distance: Measured { value: mm(0.5 * f64::from(z1 + z2) + off), sigma: mm(0.005) }, mate_teeth: z2 };
        let with = |thinning: f64| {
            let made = toothed(z1, 0.0, 0.0);
            let cut = [made.full.fed_deeper(mm(thinning)).unwrap(), made.full.fed_deeper(mm(thinning + 0.02)).unwrap()];
            running(Toothed { cut, centres: vec![reading], ..made }, mate(z2, 0.0, 0.05))
        };
        let Some(better) = with(0.02).better_thinning else { return Ok(()) };
        let after = with(better.mm());
        // thinner, at least as loose as is usual; thicker, never over full
        prop_assert!(after.backlash.least.mm() > 0.04 - 2e-3 && (better == Length::ZERO || after.backlash.least.mm() < 0.04 + 2e-3));
    }

    /// A metal against itself is its form; against another, its strength times the form, and turned round the reciprocal.
    #[test]
    fn metals_compared_both_ways(a in 0..materials().len(), b in 0..materials().len()) {
        let (a, b) = (&materials()[a].name, &materials()[b].name);
        let strength = |original: &str, new: &str| Teeth::new(toothed(30, 0.0, 0.0), &known(Some(mate(40, 0.0, 0.0)), original, new)).strength;
        let (there, back, same) = (strength(a, b), strength(b, a), strength(a, a));
        let form = there.form.middle();
        prop_assert_eq!(same.chosen.once.within, same.form);
        prop_assert!((there.chosen.once.likely * back.chosen.once.likely / (form * form) - 1.0).abs() < 1e-12);
        let (there, back) = (there.chosen.repeated.unwrap(), back.chosen.repeated.unwrap());
        prop_assert!((there.likely * back.likely / (form * form) - 1.0).abs() < 1e-12);
        prop_assert!(there.within.least <= there.likely && there.likely <= there.within.most);
    }
}

/// Cut alike of the same metal, a tooth carries what the old one did, less what thinning for backlash takes.
#[test]
fn the_same_tooth_carries_nearly_the_same() {
    let teeth = Teeth::new(toothed(44, 0.0, 0.03), &known(None, "grey cast iron", "grey cast iron"));
    assert_eq!(teeth.strength.load_at, LoadAt::Tip);
    assert!(teeth.strength.form.least > 0.95 && teeth.strength.form.most < 1.03, "{:?}", teeth.strength.form);
    assert!((teeth.strength.lewis.middle() / teeth.strength.form.middle() - 1.0).abs() < 0.05);
    assert!(!teeth.strength.is_much_stronger() && !teeth.strength.is_weaker());
    assert!(teeth.running.is_none());
}

/// Steel for iron is what shops do, and what the warning is for: σ_F lim 0.455 HB + 69 against 0.256 HB + 8 (ISO 6336-5:2003, from
/// memory) at 121 and 213.5 HB, the iron's range kept within the line's end at 240, is 124 to 63 MPa.
#[test]
fn steel_for_iron_is_called_much_stronger() {
    let teeth = Teeth::new(toothed(27, 0.0, 0.0), &known(Some(mate(17, 0.0, 0.0)), "grey cast iron", "mild steel"));
    let strength = &teeth.strength;
    let expected = (0.455 * 121.0 + 69.0) / (0.256 * 213.5 + 8.0) * strength.form.middle();
    assert!((strength.chosen.repeated.unwrap().likely - expected).abs() < 1e-9);
    assert!(strength.is_much_stronger());
    assert_eq!(strength.load_at, LoadAt::OuterSingleContact);
    assert!(
        strength.others.iter().all(|metal| !["grey cast iron", "mild steel"].contains(&metal.material.name.as_str()))
    );
}

#[test]
fn every_material_has_tooth_strengths() {
    for material in materials() {
        let strength = tooth_strength(material).unwrap_or_else(|| panic!("{}", material.name));
        assert!(0.0 < strength.bending.0 && strength.bending.0 <= strength.bending.1, "{}", material.name);
        assert!(0.0 < strength.contact.0 && strength.contact.0 <= strength.contact.1, "{}", material.name);
        // no fatigue limit of a notched tooth lies above what a plain bar bears once
        assert!(strength.bending.1 < material.uts_mpa, "{}", material.name);
    }
}

/// Ten teeth are undercut; cured they stand further from the mate, and on the old axes they bind.
#[test]
fn curing_an_undercut_asks_for_room() {
    let was = toothed(10, 0.0, 0.0);
    let found = Teeth::new(was.clone(), &known(Some(mate(42, 0.0, 0.0)), "bronze", "bronze"));
    // x_min = (hf − ρ (1 − sin α)) − z sin²α/2 = 1.0526 − 0.5849
    assert!(
        found.undercut.was && found.undercut.is && (found.undercut.cure - 0.4677).abs() < 1e-4,
        "{:?}",
        found.undercut
    );
    assert!((found.undercut.centres.mm() - 0.4677).abs() < 0.06 && found.undercut.lost > Length::ZERO);
    let shifted = toothed(10, 0.468, 0.0);
    let cured = Teeth::new(
        Toothed { shift_found: 0.0, found: was.found, ..shifted },
        &known(Some(mate(42, 0.0, 0.0)), "bronze", "bronze"),
    );
    assert!(cured.undercut.was && !cured.undercut.is);
    let running = cured.meshing().unwrap();
    assert!((running.mesh.centre_distance().mm() - 26.0).abs() < 1e-9, "the old axes");
    assert!(running.may_bind());
    assert!(cured.strength.form.least > 1.2, "whole roots are stronger: {:?}", cured.strength.form);
}

/// A tip that reaches below the mate's flank strikes its fillet unless that is undercut: long tips on a wheel of many teeth.
#[test]
fn long_tips_strike() {
    let spec = |made: &Toothed, longer: f64| ToothingSpec {
        tip_diameter: Some(made.full.tip_diameter() + mm(2.0 * longer)),
        ..*made.full.spec()
    };
    let made = toothed(22, 0.0, 0.0);
    let longer = |by: f64| {
        let long = Toothing::new(spec(&made, by)).unwrap();
        running(Toothed { full: long, cut: [long; 2], ..made.clone() }, mate(22, 0.0, 0.0))
    };
    assert!(!longer(0.0).interferes());
    let struck = longer(0.4);
    assert!(struck.interferes() && struck.strikes == [false, true] && struck.clearance[1] < Length::ZERO);
}

/// Of a mate only its count is known: the same rack, as thick as full and as thin as new teeth may be.
#[test]
fn a_mate_of_which_only_the_count_is_known() {
    let reading = Centres { distance: Measured { value: mm(35.0), sigma: mm(0.01) }, mate_teeth: 40 };
    let made = Toothed { centres: vec![reading], ..toothed(30, 0.0, 0.0) };
    let teeth = Teeth::new(made.clone(), &known(None, "bronze", "bronze"));
    let running = teeth.meshing().unwrap();
    assert!(running.supposed);
    let unsure = 4.0 * 20_f64.to_radians().tan() * 0.01;
    assert!((running.backlash.least.mm() - (0.02 - unsure)).abs() < 1e-9);
    assert!((running.backlash.most.mm() - (0.08 + unsure)).abs() < 1e-9);
    // out of reach, and a count no rack generates
    for (distance, count, words) in [(50.0, 40, "do not reach"), (20.0, 3, "cannot be drawn")] {
        let reading = Centres { distance: Measured { value: mm(distance), sigma: mm(0.01) }, mate_teeth: count };
        let teeth = Teeth::new(Toothed { centres: vec![reading], ..made.clone() }, &known(None, "bronze", "bronze"));
        let why = teeth.running.unwrap().unwrap_err().to_string();
        assert!(why.contains(words), "{why}");
    }
}

/// Stresses are in proportion to the load, contact to its root; without a face width there are none.
#[test]
fn stresses_of_a_load() {
    let with = |torque_nm: f64, face: Option<f64>| {
        let face_width = face.map(|face| Measured { value: mm(face), sigma: mm(0.01) });
        let known = Known {
            load: Some(Load { torque_nm, speed_rpm: None }),
            ..known(Some(mate(40, 0.0, 0.0)), "mild steel", "mild steel")
        };
        Teeth::new(Toothed { face_width, ..toothed(30, 0.0, 0.0) }, &known).stresses
    };
    let (one, two) = (with(1.0, Some(10.0)).unwrap(), with(2.0, Some(10.0)).unwrap());
    // F_t = 2 T/d on d = 30 mm
    assert!((one.force_n - 2000.0 / 30.0).abs() < 1e-9 && one.velocity_factor == 1.0);
    assert!((two.bending_mpa / one.bending_mpa - 2.0).abs() < 1e-12);
    assert!((two.contact_mpa.unwrap() / one.contact_mpa.unwrap() - 2_f64.sqrt()).abs() < 1e-12);
    assert!((two.reserve_contact.unwrap() / one.reserve_contact.unwrap() - 0.5).abs() < 1e-12);
    assert!(with(1.0, None).is_none());
}
