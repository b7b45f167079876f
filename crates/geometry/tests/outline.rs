//! Outlines: exact areas and boxes, movements, self-crossing.

#![allow(clippy::unwrap_used, clippy::panic)] // a helper that fails is a test that fails

use std::f64::consts::{FRAC_PI_2, PI};

use geometry::outline::{Outline, Region, Segment};
use geometry::{Point, Vec2};
use proptest::prelude::*;

fn square(side: f64) -> Outline {
    Outline::polygon(&[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].map(Point::from))
}

/// A slot: two half circles of radius 1 joined by lines 3 long.
fn slot() -> Outline {
    let arc = |x: f64, start: f64| Segment::Arc { centre: Point::new(x, 0.0), radius: 1.0, start, sweep: PI };
    let line = |from, to| Segment::Line { from: Point::from(from), to: Point::from(to) };
    Outline::new(vec![
        line((0.0, -1.0), (3.0, -1.0)),
        arc(3.0, -FRAC_PI_2),
        line((3.0, 1.0), (0.0, 1.0)),
        arc(0.0, FRAC_PI_2),
    ])
}

#[test]
fn areas_lengths_and_boxes_are_exact() {
    assert!(slot().is_closed() && !slot().crosses_itself());
    assert!((slot().area() - (6.0 + PI)).abs() < 1e-12);
    assert!((slot().length() - (6.0 + 2.0 * PI)).abs() < 1e-12);
    let bounds = slot().bounding_box().unwrap();
    for (found, expected) in [(bounds.x0, -1.0), (bounds.x1, 4.0), (bounds.y0, -1.0), (bounds.y1, 1.0)] {
        assert!((found - expected).abs() < 1e-12, "{bounds:?}");
    }
    let plate = Region { outer: square(10.0), holes: vec![Outline::circle(Point::new(5.0, 5.0), 2.0).reversed()] };
    assert!((plate.area() - (100.0 - 4.0 * PI)).abs() < 1e-12);
    assert!(plate.contains(Point::new(1.0, 1.0)) && !plate.contains(Point::new(5.5, 6.0)));
    assert!(Outline::default().bounding_box().is_none() && !Outline::default().is_closed());
}

#[test]
fn crossings_are_found() {
    let bow = Outline::polygon(&[(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)].map(Point::from));
    assert!(bow.is_closed() && bow.crosses_itself());
    let spike = Outline::polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 0.0), (0.0, 2.0)].map(Point::from));
    assert!(spike.crosses_itself(), "a corner that touches an edge");
    assert!(!square(3.0).crosses_itself() && !Outline::circle(Point::ORIGIN, 3.0).crosses_itself());
    let open = Outline::new(square(1.0).segments()[..3].to_vec());
    assert!(!open.is_closed() && open.clone().close().is_closed());
}

#[test]
fn flattening_keeps_to_its_tolerance() {
    for tolerance in [0.1, 1e-3, 1e-6] {
        let points = Outline::circle(Point::ORIGIN, 20.0).flatten(tolerance);
        for pair in points.windows(2) {
            let sag = 20.0 - pair[0].midpoint(pair[1]).to_vec2().hypot();
            assert!(sag <= tolerance * (1.0 + 1e-6), "{sag}");
        }
    }
}

proptest! {
    /// Moving changes neither area nor length; mirroring turns the area's sign; reversing too.
    #[test]
    fn movements_keep_size(angle in -7.0..7.0, x in -50.0..50.0, y in -50.0..50.0) {
        let moved = slot().rotated(angle).translated(Vec2::new(x, y));
        prop_assert!(moved.is_closed());
        prop_assert!((moved.area() - slot().area()).abs() < 1e-9);
        prop_assert!((moved.mirrored().area() + slot().area()).abs() < 1e-9);
        prop_assert!((moved.mirrored().mirrored().area() - slot().area()).abs() < 1e-9);
        prop_assert!(moved.mirrored().is_closed());
        prop_assert!((moved.reversed().area() + slot().area()).abs() < 1e-9);
        let inside = Point::new(1.5, 0.3).to_vec2();
        let there = Vec2::from_angle(angle).rotate_scale(inside) + Vec2::new(x, y);
        prop_assert!(moved.contains(there.to_point()));
        prop_assert!(moved.mirrored().contains(Point::new(-there.x, there.y)));
    }
}
