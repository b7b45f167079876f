//! What holds of every part: closed formulas against brute force, meshes without gaps, offsets at their distance, strings
//! that come back.

#![allow(clippy::unwrap_used, clippy::panic)]

mod shared;

use std::collections::HashMap;

use geometry::Point;
use geometry::generate::rim;
use geometry::involute::inv;
use geometry::outline::Outline;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use quantity::Length;
use shared::{Numbers, leaning, part, toothing};
use solid::exchange::text::quoted;
use solid::label::label;
use solid::mesh::{Mesh, Raised, mesh};
use solid::plate::{Plate, TOLERANCE, drawn};
use solid::profile::{Room, Side, lay_out, profile};
use solid::ring::{Piece, Ring};
use solid::spline::Nearness;

/// By the shoelace over fine chords.
fn area_by_chords(ring: &Ring) -> f64 {
    Outline::polygon(&ring.flatten(1e-6)).area()
}

/// Each edge in two triangles, once each way; nothing else.
fn edges_pair_up(mesh: &Mesh) -> bool {
    let mut seen: HashMap<(usize, usize), u32> = HashMap::new();
    for [a, b, c] in &mesh.triangles {
        for edge in [(*a, *b), (*b, *c), (*c, *a)] {
            *seen.entry(edge).or_default() += 1;
        }
    }
    seen.iter().all(|((a, b), count)| *count == 1 && seen.get(&(*b, *a)) == Some(&1))
}

/// Reads a string of ISO 10303-21 back, from the rules of its clause 6.4.3 and not from our writer.
fn read_back(written: &str) -> String {
    let inner = written.strip_prefix('\'').and_then(|rest| rest.strip_suffix('\'')).unwrap();
    assert!(inner.chars().all(|c| (' '..='~').contains(&c)), "{inner}");
    let (mut out, mut rest) = (String::new(), inner);
    while !rest.is_empty() {
        let (digits, start) = if rest.starts_with("\\X2\\") {
            (4, 4)
        } else if rest.starts_with("\\X4\\") {
            (8, 4)
        } else {
            (0, 0)
        };
        if digits > 0 {
            let (codes, after) = rest[start..].split_once("\\X0\\").unwrap();
            assert!(!codes.is_empty() && codes.len().is_multiple_of(digits), "{inner}");
            let code = |at: usize| u32::from_str_radix(&codes[at..at + digits], 16).unwrap();
            out.extend((0..codes.len()).step_by(digits).map(|at| char::from_u32(code(at)).unwrap()));
            rest = after;
        } else if let Some(after) = rest.strip_prefix("''") {
            out.push('\'');
            rest = after;
        } else if let Some(after) = rest.strip_prefix("\\\\") {
            out.push('\\');
            rest = after;
        } else {
            let c = rest.chars().next().unwrap();
            assert!(c != '\'' && c != '\\', "{inner}");
            out.push(c);
            rest = &rest[1..];
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, rng_seed: RngSeed::Fixed(8), ..ProptestConfig::default() })]

    #[test]
    fn area_and_volume_are_those_of_fine_chords(seed in any::<u64>()) {
        let plate = part(&mut Numbers(seed)).plate;
        let by_chords: f64 = plate.rings().map(area_by_chords).sum();
        prop_assert!((plate.area() / by_chords - 1.0).abs() < 1e-6, "{} {by_chords}", plate.area());
        prop_assert!((plate.volume() - plate.area() * plate.thickness.mm()).abs() < 1e-9 * plate.volume());
    }

    #[test]
    fn a_mesh_has_no_gap_and_keeps_to_its_chord(seed in any::<u64>(), chord in 0.002..0.2_f64, lettered: bool) {
        let plate = part(&mut Numbers(seed)).plate;
        let written = if lettered { label(&plate, "Äpfel 8-½ “&”") } else { None };
        let letters = written.map_or_else(Raised::default, |label| Raised { outlines: label.outlines, height: 0.6 });
        let mesh = mesh(&plate, chord, &letters).unwrap();
        prop_assert!(edges_pair_up(&mesh));
        let on_top: f64 = letters.outlines.iter().map(|outline| Outline::polygon(outline).area()).sum::<f64>().abs() * 0.6;
        let off = mesh.volume() - plate.volume() - on_top;
        prop_assert!(off.abs() <= chord * plate.perimeter() * plate.thickness.mm(), "{off}");
    }

    /// Turned back by its height, every corner of a leaning wall stands on the edge of the section; so do the middles of its triangles,
    /// within the chord.
    #[test]
    fn a_leaning_mesh_has_no_gap_and_keeps_to_its_helix(seed in any::<u64>(), chord in 0.01..0.1_f64) {
        let plate = leaning(&mut Numbers(seed));
        let mesh = mesh(&plate, chord, &Raised::default()).unwrap();
        prop_assert!(edges_pair_up(&mesh));
        let off = mesh.volume() - plate.volume();
        prop_assert!(off.abs() <= chord * plate.perimeter() * plate.thickness.mm(), "{off}");
        let pieces = plate.outer.pieces();
        let root = plate.outer.flatten(0.01).iter().map(|at| at.to_vec2().hypot()).fold(f64::INFINITY, f64::min);
        let height = plate.thickness.mm();
        for triangle in mesh.triangles.iter().step_by(401) {
            let corners = triangle.map(|corner| mesh.corners[corner]);
            let outer = corners.iter().all(|[x, y, _]| x.hypot(*y) > root - chord);
            if !outer || corners.iter().all(|corner| corner[2] == corners[0][2]) {
                continue;
            }
            let middle: [f64; 3] = std::array::from_fn(|d| corners.iter().map(|corner| corner[d]).sum::<f64>() / 3.0);
            for ([x, y, z], within) in corners.into_iter().map(|at| (at, 0.0)).chain([(middle, chord)]) {
                let (sin, cos) = (-plate.twist * (z - 0.5 * height)).sin_cos();
                let at = Point::new(x * cos - y * sin, x * sin + y * cos);
                let away = pieces.iter().map(|piece| piece.distance(at)).fold(f64::INFINITY, f64::min);
                // the distance from a spline is looked for along its chords
                prop_assert!(away <= within + 1e-3, "{away} of {within}");
            }
        }
    }

    /// From every place of the cut, the nearest edge of the part is half the cut's width away.
    #[test]
    fn a_cut_keeps_its_distance(seed in any::<u64>(), kerf in 0.05..1.0_f64) {
        let plate = part(&mut Numbers(seed)).plate;
        let path = profile(&plate, Length::from_mm(kerf), Side::Waste).unwrap();
        let edges: Vec<Ring> = plate.rings().map(|ring| ring.of_arcs(1e-4)).collect();
        for at in path.rings().flat_map(|ring| ring.flatten(0.05)) {
            let pieces = edges.iter().flat_map(|ring| ring.pieces());
            let nearest = pieces.map(|piece| piece.distance(at)).fold(f64::INFINITY, f64::min);
            prop_assert!((nearest - 0.5 * kerf).abs() < 0.002, "{nearest} at {at:?}, half of {kerf}");
        }
    }

    #[test]
    fn pieces_on_a_plate_keep_apart(seed in any::<u64>(), pieces in 1..9_usize, gap in 0.5..5.0_f64) {
        let plate = part(&mut Numbers(seed)).plate;
        let path = profile(&plate, Length::from_mm(0.3), Side::Waste).unwrap();
        let across = path.outer.bounds().size();
        let size = 2.5 * across.width.hypot(across.height);
        let room = Room { length: size, width: 0.8 * size, gap };
        let layout = lay_out(&path, pieces, room).unwrap();
        prop_assert_eq!(layout.places.len() + layout.left_over, pieces);
        prop_assert!(!layout.places.is_empty());
        let put: Vec<Ring> = layout.places.iter().map(|place| place.put(&path.outer)).collect();
        for (i, ring) in put.iter().enumerate() {
            let corners = ring.flatten(0.1);
            for at in &corners {
                prop_assert!(at.x > gap - 0.03 && at.y > gap - 0.03 && at.x < room.length - gap + 0.03 && at.y < room.width - gap + 0.03);
            }
            for other in &put[..i] {
                let box_of = other.bounds().inflate(gap, gap);
                let near = corners.iter().filter(|at| box_of.contains(**at));
                for at in near {
                    let apart = other.pieces().iter().map(|piece| piece.distance(*at)).fold(f64::INFINITY, f64::min);
                    prop_assert!(apart > gap - 0.03, "{apart}, wanted {gap}");
                }
            }
        }
    }

    #[test]
    fn a_set_back_piece_is_smaller_by_its_edges(seed in any::<u64>(), by in 0.01..0.1_f64) {
        let plate = part(&mut Numbers(seed)).plate;
        let back = plate.set_back(Length::from_mm(by)).unwrap();
        let taken = plate.area() - back.area();
        // corners add and take as much as a few squares of the distance; a tooth has six or so
        prop_assert!((taken / (by * plate.perimeter()) - 1.0).abs() < 0.1, "{taken} {by}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_string_comes_back(text in any::<String>()) {
        prop_assert_eq!(read_back(&quoted(&text)), text);
    }

    #[test]
    fn strings_of_signs_come_back(text in "[\\\\'X240é½齿𝄞 \u{1}]{0,40}") {
        prop_assert_eq!(read_back(&quoted(&text)), text);
    }
}

/// A fitted flank against the involute itself: along the tangent to the base circle, which is the involute's normal, a point
/// lies off by the tangent's length less the arc it unwinds.
#[test]
fn flanks_keep_within_the_tolerance_of_the_involute() {
    for (teeth, angle, shift) in [(44, 14.5, 0.0), (27, 20.0, 0.2), (18, 25.0, 0.0), (60, 20.0, -0.3), (12, 20.0, 0.5)]
    {
        let wheel = toothing(teeth, 2.5, angle, shift).unwrap();
        for tolerance in [TOLERANCE, Length::from_mm(1e-5), Length::from_mm(0.01)] {
            let nearness = Nearness { tolerance: tolerance.mm(), drawn: drawn(tolerance).mm() };
            let ring = Ring::fitted(&rim(&wheel, drawn(tolerance)), nearness).unwrap();
            let (base, form) = (wheel.base_diameter().mm() / 2.0, wheel.form_radius().mm());
            // half the angle of a tooth at the base circle, from its middle on the y axis: half the thickness on the pitch
            // circle, π/2 + 2x tan α modules less the thinning, over the pitch radius, and inv α more (ISO 21771:2007)
            let alpha = angle.to_radians();
            let thickness = std::f64::consts::FRAC_PI_2 + 2.0 * shift * alpha.tan() - 0.03;
            let half = thickness / f64::from(teeth) + inv(alpha);
            let mut looked = 0;
            for piece in ring.pieces() {
                let Piece::Spline(_) = piece else { continue };
                for at in (0..=100).map(|i| piece.at(f64::from(i) / 100.0)) {
                    let radius = at.to_vec2().hypot();
                    let turn = (at.x.atan2(at.y)).abs();
                    if radius < form + 1e-6 || turn > std::f64::consts::PI / f64::from(teeth) {
                        continue;
                    }
                    let pressure = (base / radius).acos();
                    // r ψ(r) would be the half thickness there: the angle off, times the base radius, is the way along the normal
                    let off = base * (turn - (half - inv(pressure)));
                    assert!(off.abs() <= tolerance.mm(), "{off} of {tolerance:?} at {radius}, {teeth} teeth");
                    looked += 1;
                }
            }
            assert!(looked > 100, "{looked}");
        }
    }
}

/// The fitted ring against chords drawn ten times finer than its tolerance allows: roots too.
#[test]
fn roots_keep_within_the_tolerance() {
    for (teeth, shift) in [(12, 0.0), (17, 0.0), (40, 0.5)] {
        let wheel = toothing(teeth, 3.0, 20.0, shift).unwrap();
        let nearness = Nearness { tolerance: TOLERANCE.mm(), drawn: drawn(TOLERANCE).mm() };
        let ring = Ring::fitted(&rim(&wheel, drawn(TOLERANCE)), nearness).unwrap();
        let fine = rim(&wheel, Length::from_mm(1e-6)).flatten(1e-6);
        let pitch = std::f64::consts::TAU / f64::from(teeth);
        let tooth = |at: &Point| at.to_vec2().atan2().abs() < pitch;
        let near: Vec<Point> = fine.into_iter().filter(tooth).collect();
        let pieces: Vec<&Piece> = ring.pieces().iter().filter(|piece| tooth(&piece.start())).collect();
        let inside = near.iter().filter(|at| at.to_vec2().atan2().abs() < 0.4 * pitch).step_by(7);
        for at in inside {
            let off = pieces.iter().map(|piece| piece.distance(*at)).fold(f64::INFINITY, f64::min);
            // a spline's distance is told to its chords, which may lie a thousandth off
            assert!(off <= TOLERANCE.mm() + 1e-3, "{off}");
        }
    }
}

#[test]
fn what_is_no_body_is_refused() {
    use geometry::outline::Region;
    use solid::plate::Refused;
    let square =
        |half: f64| Outline::polygon(&[(-half, -half), (half, -half), (half, half), (-half, half)].map(Point::from));
    let disc = |x: f64, radius: f64| Outline::circle(Point::new(x, 0.0), radius);
    let bow = Outline::polygon(&[(0.0, 0.0), (10.0, 0.0), (0.0, 10.0), (10.0, 10.0)].map(Point::from));
    let open = Outline::new(square(5.0).segments()[..3].to_vec());
    for (what, outer, holes, thickness, why) in [
        ("crossed", bow, vec![], 5.0, Refused::CrossesItself),
        ("open", open, vec![], 5.0, Refused::NotClosed),
        ("nothing", Outline::default(), vec![], 5.0, Refused::NotClosed),
        ("no thickness", square(5.0), vec![], 0.0, Refused::NoThickness),
        ("less than none", square(5.0), vec![], -1.0, Refused::NoThickness),
        ("not a number", square(5.0), vec![], f64::NAN, Refused::NoThickness),
        ("through the edge", square(5.0), vec![disc(5.0, 1.0)], 5.0, Refused::HoleThroughEdge),
        ("outside", square(5.0), vec![disc(9.0, 1.0)], 5.0, Refused::HoleThroughEdge),
        ("round the part", square(5.0), vec![disc(0.0, 20.0)], 5.0, Refused::HoleThroughEdge),
        ("edge in a hole", square(5.0), vec![disc(0.0, 5.2)], 5.0, Refused::HoleThroughEdge),
        ("holes meet", square(9.0), vec![disc(0.0, 3.0), disc(4.0, 3.0)], 5.0, Refused::HolesMeet),
        ("hole in hole", square(9.0), vec![disc(0.0, 3.0), disc(0.0, 1.0)], 5.0, Refused::HolesMeet),
    ] {
        let made = Plate::new(&Region { outer, holes }, Length::from_mm(thickness), TOLERANCE);
        assert_eq!(made, Err(why), "{what}");
    }
    let plate = shared::wheel(30, 2.0, 3, 10.0);
    let by = |mm: f64| plate.set_back(Length::from_mm(mm)).err();
    assert_eq!((by(0.1), by(50.0)), (None, Some(Refused::SetBackTooFar)));
    assert_eq!(profile(&plate, Length::from_mm(150.0), Side::Part).err(), Some(Refused::KerfTooWide));
    for chamfers in [(6.0, 0.0), (0.0, 6.0), (0.0, 5.0)] {
        let chamfers = solid::chamfer::Chamfers { bore: chamfers.0, outside: chamfers.1 };
        let said = solid::exchange::Said::default();
        assert_eq!(
            solid::exchange::write(&plate, chamfers, &said).err(),
            Some(Refused::ChamferTooLarge),
            "{chamfers:?}"
        );
    }
}
