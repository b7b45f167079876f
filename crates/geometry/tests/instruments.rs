//! Closed formulas against instruments laid on the generated profile, to 1e-6 mm; the drawing is exact to a tenth of that.

#![allow(clippy::unwrap_used, clippy::panic)] // a helper that fails is a test that fails

use geometry::generate::{SectorEnd, rim, sector};
use geometry::instrument::Specimen;
use geometry::toothing::{Rack, Toothing, ToothingSpec};
use quantity::{Angle, Length};

const AGREE: f64 = 1e-6;
const DRAWN: f64 = 5e-8;

const TEETH: [u32; 10] = [10, 11, 13, 17, 24, 31, 50, 77, 120, 199];
const ANGLES: [f64; 3] = [14.5, 20.0, 25.0];
const SHIFTS: [f64; 5] = [-0.4, 0.0, 0.25, 0.5, 0.8];

fn spec(module: f64, alpha_deg: f64, teeth: u32, shift: f64) -> ToothingSpec {
    ToothingSpec {
        teeth,
        module: Length::from_mm(module),
        rack: Rack { pressure_angle: Angle::from_degrees(alpha_deg), addendum: 1.0, dedendum: 1.25, tip_radius: 0.3 },
        profile_shift: shift,
        thinning: Length::from_mm(0.03 * module),
        tip_diameter: None,
        helix: None,
    }
}

/// All that exist; a shift that points the teeth or severs them is skipped, and the callers count what is left.
fn wheels() -> impl Iterator<Item = Toothing> {
    TEETH.into_iter().flat_map(|teeth| {
        ANGLES.into_iter().flat_map(move |alpha| {
            let module = if teeth % 2 == 0 { 2.54 } else { 1.0 };
            SHIFTS.into_iter().filter_map(move |shift| Toothing::new(spec(module, alpha, teeth, shift)).ok())
        })
    })
}

fn drawn(wheel: &Toothing, teeth: u32) -> Specimen {
    let outline = sector(wheel, teeth, Length::from_mm(DRAWN), SectorEnd::MiddleOfSpace);
    assert!(outline.is_chain());
    Specimen::new(&outline, DRAWN).unwrap()
}

fn agree(what: &str, wheel: &Toothing, measured: f64, formula: f64) {
    assert!((measured - formula).abs() < AGREE, "{what}: measured {measured}, formula {formula}, {:?}", wheel.spec());
}

#[test]
fn spans() {
    let (mut compared, mut beyond_range) = (0, 0);
    for wheel in wheels() {
        let Some(range) = wheel.span_range() else { continue };
        // The anvils reach as deep as the flank.
        let depth = 0.5 * wheel.tip_diameter().mm() - wheel.form_radius().mm();
        let best = wheel.best_span().unwrap();
        assert!(range.contains(&best));
        for k in [*range.start(), best, *range.end()] {
            let reading = drawn(&wheel, k).span(0, k as usize, depth, 0.0).unwrap();
            agree("span", &wheel, reading.length, wheel.span(k).mm());
            // The contact wanders with the chord it falls on: the radius is only as good as a chord is long.
            for radius in reading.contact_radius {
                assert!((radius - wheel.span_contact_radius(k).mm()).abs() < 0.01 * wheel.module().mm());
            }
            compared += 1;
        }
        // Beyond the range square anvils no longer touch flanks and read something else. The loss grows with the square of the
        // overshoot; nearer to the flank's end than this it drowns in the drawing.
        let clear = 0.02 * wheel.module().mm();
        let (form, tip) = (wheel.form_radius().mm() - clear, 0.5 * wheel.tip_diameter().mm() + clear);
        let beyond = [*range.start() - 1, *range.end() + 1].into_iter();
        for k in beyond.filter(|k| (1..wheel.teeth() / 2).contains(k)) {
            if (form..=tip).contains(&wheel.span_contact_radius(k).mm()) {
                continue;
            }
            let reading = drawn(&wheel, k).span(0, k as usize, depth, 0.0).unwrap();
            assert!((reading.length - wheel.span(k).mm()).abs() > AGREE, "span over {k} works too, {:?}", wheel.spec());
            beyond_range += 1;
        }
    }
    assert!(compared > 300 && beyond_range > 100, "{compared} {beyond_range}");
}

#[test]
fn pins() {
    let mut compared = 0;
    for wheel in wheels() {
        let piece = drawn(&wheel, 2);
        let usual = wheel.usual_pin();
        let fit = |pin: &Length| wheel.centre_to_outside_of_pin(*pin).is_ok();
        for pin in [0.9, 1.0, 1.12].map(|part| part * usual).into_iter().filter(fit) {
            let seat = piece.seat_pin(0, pin.mm()).unwrap();
            let outside = seat.centre.to_vec2().hypot() + 0.5 * pin.mm();
            agree("pin", &wheel, outside, wheel.centre_to_outside_of_pin(pin).unwrap().mm());
            for (clearance, contact) in seat.clearance.into_iter().zip(seat.contact) {
                assert!(clearance.abs() < AGREE, "clearance {clearance}, {:?}", wheel.spec());
                let apart = contact.to_vec2().hypot() - wheel.pin_contact_radius(pin).unwrap().mm();
                assert!(apart.abs() < 0.01 * wheel.module().mm());
            }
            compared += 1;
        }
    }
    assert!(compared > 250, "{compared}");
}

/// A pin that the formulas refuse does not touch both flanks, or does not stand out.
#[test]
fn refused_pins_do_not_fit() {
    use geometry::toothing::MeasureError;
    let mut seen = [false; 3];
    for wheel in wheels() {
        let piece = drawn(&wheel, 2);
        for pin in [0.3, 0.6, 0.8, 0.95, 1.6, 2.0].map(|part| part * wheel.usual_pin()) {
            let Err(error) = wheel.centre_to_outside_of_pin(pin) else { continue };
            let seat = piece.seat_pin(0, pin.mm()).unwrap();
            let (form, tip) = (wheel.form_radius().mm(), 0.5 * wheel.tip_diameter().mm());
            let deepest =
                seat.contact.map(|contact| contact.to_vec2().hypot()).into_iter().fold(f64::INFINITY, f64::min);
            match error {
                MeasureError::PinOnRoot { .. } | MeasureError::PinOnFillet { .. } => {
                    assert!(deepest < form + 0.01 * wheel.module().mm(), "{error} {deepest} {form}");
                    seen[0] = true;
                }
                MeasureError::PinBelowTips { .. } => {
                    assert!(seat.centre.to_vec2().hypot() + 0.5 * pin.mm() <= tip + AGREE);
                    seen[1] = true;
                }
                MeasureError::PinAboveFlank { .. } => {
                    // It hangs between the corners of the tips.
                    assert!(deepest > tip - 1e-3 * wheel.module().mm(), "{error} {deepest} {tip}");
                    seen[2] = true;
                }
                other => panic!("{other}"),
            }
        }
    }
    assert!(seen == [true; 3], "{seen:?}");
}

#[test]
fn thicknesses_and_heights() {
    for wheel in wheels() {
        let piece = drawn(&wheel, 1);
        let (form, tip) = (wheel.form_radius().mm(), 0.5 * wheel.tip_diameter().mm());
        agree("tip", &wheel, 2.0 * piece.greatest_radius(), wheel.tip_diameter().mm());
        agree("root", &wheel, 2.0 * piece.least_radius(), wheel.root_diameter().mm());
        let mut wider = f64::INFINITY;
        for part in [0.05, 0.3, 0.5, 0.7, 0.95] {
            let radius = Length::from_mm(form + part * (tip - form));
            let arc = wheel.thickness_at(radius).unwrap().mm();
            agree("arc", &wheel, piece.thickness_at_radius(0, radius.mm()).unwrap(), arc);
            let half = wheel.half_angle_at(radius).unwrap().radians();
            assert!(half < wider, "teeth taper");
            wider = half;
            let depth = wheel.chordal_height(radius).unwrap();
            let chord = wheel.chordal_thickness(radius).unwrap().mm();
            agree("chord", &wheel, piece.thickness_at_depth(0, depth.mm()).unwrap(), chord);
            agree("depth", &wheel, wheel.thickness_at_depth(depth).unwrap().mm(), chord);
        }
        assert!(wheel.thickness_at_depth(Length::from_mm(tip)).is_err());
        assert!(wheel.thickness_at(Length::from_mm(tip * 1.001)).is_err());
    }
}

/// Whole rims: over two pins, across the tips, chords from tip to tip; odd and even counts, wide lands and narrow.
#[test]
fn whole_rims() {
    for (module, alpha, teeth, shift) in [
        (1.0, 20.0, 17, 0.0),
        (1.0, 14.5, 40, 0.0),
        (2.54, 14.5, 33, 0.2),
        (1.0, 25.0, 9, 0.1),
        (2.0, 20.0, 24, -0.3),
        (1.0, 20.0, 61, 0.8),
    ] {
        let wheel = Toothing::new(spec(module, alpha, teeth, shift)).unwrap();
        let outline = rim(&wheel, Length::from_mm(DRAWN));
        assert!(outline.is_closed() && !outline.crosses_itself());
        let piece = Specimen::new(&outline, DRAWN).unwrap();
        assert_eq!(piece.teeth_present(), teeth as usize);
        let pin = wheel.usual_pin();
        let over = piece.over_pins(1, teeth as usize / 2, pin.mm()).unwrap();
        agree("over pins", &wheel, over, wheel.over_pins(pin).unwrap().mm());
        agree("across", &wheel, piece.across_jaws(), wheel.across_tips().mm());
        for pitches in [1, 4, teeth as usize / 2, teeth as usize - 1] {
            let chord = wheel.chord_across_pitches(pitches as u32).mm();
            agree("tips", &wheel, piece.tip_chord(2, pitches).unwrap(), chord);
        }
    }
}

/// Tips cut down to stubs make lands wider than the gaps left opposite, so that jaws find a full diameter on an odd count.
#[test]
fn across_wide_lands_of_odd_count() {
    let stub = ToothingSpec { tip_diameter: Some(Length::from_mm(14.2)), ..spec(1.0, 20.0, 15, 0.0) };
    for spec in [stub, spec(1.0, 20.0, 15, 0.0)] {
        let wheel = Toothing::new(spec).unwrap();
        let piece = Specimen::new(&rim(&wheel, Length::from_mm(DRAWN)), DRAWN).unwrap();
        agree("across", &wheel, piece.across_jaws(), wheel.across_tips().mm());
    }
    let wheel = Toothing::new(stub).unwrap();
    assert_eq!(wheel.across_tips(), wheel.tip_diameter());
}
