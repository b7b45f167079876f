//! Standard uncertainties against JCGM 100:2008 (the Guide to the expression of uncertainty in measurement).

mod shared;

use quantity::{Length, Measured, Unit};
use shared::{bench, read};

fn length(text: &str) -> Measured<Length> {
    let line = read(text).expect(text);
    let value = line.value().expect(text);
    value.length(&bench(Unit::Inch), line.instrument.as_deref()).expect(text)
}

fn sigma(text: &str) -> f64 {
    length(text).sigma.mm()
}

/// JCGM 100:2008 6.3.3: an interval of two standard uncertainties either way holds about 95 in 100.
#[test]
fn a_half_width_is_two_standard_uncertainties() {
    assert!((sigma("diameter 58.45 mm ± 0.02") - 0.01).abs() < 1e-12);
    assert!((sigma("diameter 2.301 ± 0.002, rule") - 0.0254).abs() < 1e-12);
}

/// JCGM 100:2008 4.3.7, equation (7): u² = a² / 3 for anything between -a and +a alike, a the half width; and by
/// 4.3.5 to 4.3.7 the gauges' own ± 2 µm, u = 2 / √3 µm each, halved in variance for the mean of two ends (5.1.2).
#[test]
fn a_bracket_is_uniform_between_its_gauges() {
    let measured = length("diameter goes 22.22 mm, not 22.25");
    assert!((measured.value.mm() - 22.235).abs() < 1e-12);
    let (a, gauge) = (0.015f64, 0.002f64);
    let expected = (a * a / 3.0 + gauge * gauge / 3.0 / 2.0).sqrt();
    assert!((measured.sigma.mm() - expected).abs() < 1e-12);
    // which gauge goes does not change how well the size is known
    assert!((sigma("diameter goes 22.25 mm, not 22.22") - expected).abs() < 1e-12);
}

/// JCGM 100:2008 F.2.2.1: an indication with steps of d has u = 0.29 d from its resolution alone.
#[test]
fn a_plain_size_is_rounded_to_its_last_place() {
    let resolution = |text: &str, instrument: f64| (sigma(text).powi(2) - instrument.powi(2)).sqrt();
    for (text, instrument, step) in [
        ("diameter 58.4 mm, micrometer", 0.004, 0.1),
        ("diameter 58.45 mm, caliper", 0.02, 0.01),
        ("diameter 2.30, caliper", 0.02, 0.254),
        ("diameter 45 thou, caliper", 0.02, 0.0254),
        ("diameter 45.5 thou, micrometer", 0.004, 0.00254),
        ("diameter 1 3/8, rule", 0.2, 25.4 / 32.0),
        ("diameter 1 3/64, rule", 0.2, 25.4 / 64.0),
    ] {
        let factor = resolution(text, instrument) / step;
        assert!((factor - 0.29).abs() <= 0.005, "{text}: {factor}");
    }
}

/// A drill or pin called by its name is not rounded at all: only the gauge's own uncertainty is left.
#[test]
fn a_named_size_is_not_rounded() {
    for text in ["diameter #40", "diameter letter F", "diameter 13/64, pin gauge"] {
        assert!((sigma(text) - 0.003).abs() < 1e-12, "{text}: {}", sigma(text));
    }
}

/// Common practice, without source.
#[test]
fn the_instrument_is_presumed_from_the_figures() {
    for (bare, named) in [
        ("diameter 1 3/8", "diameter 1 3/8, rule"),
        ("diameter 58 mm", "diameter 58 mm, rule"),
        ("diameter 2.3", "diameter 2.3, rule"),
        ("diameter 2.301", "diameter 2.301, caliper"),
        ("diameter 58.45 mm", "diameter 58.45 mm, caliper"),
        ("diameter 45 thou", "diameter 45 thou, caliper"),
        ("diameter 2.3012", "diameter 2.3012, micrometer"),
        ("diameter 58.452 mm", "diameter 58.452 mm, micrometer"),
        ("diameter #40", "diameter #40, pin gauge"),
    ] {
        assert_eq!(sigma(bare), sigma(named), "{bare}");
    }
}

#[test]
fn angles_likewise() {
    let sigma = |text: &str| {
        let line = read(text).expect(text);
        let angle = line.value().and_then(|value| value.angle(&bench(Unit::Inch), line.instrument.as_deref()));
        angle.expect(text).sigma.degrees()
    };
    assert!((sigma("helix angle 20 ± 1") - 0.5).abs() < 1e-12);
    let expected = (0.25f64 * 0.25 + 1.0 / 12.0).sqrt();
    assert!((sigma("helix angle 20, protractor") - expected).abs() < 1e-12);
    assert_eq!(sigma("helix angle 20"), sigma("helix angle 20, protractor"));
}

/// A slip of the pen, common practice without source: two neighbouring figures in each other's place, never a nought first.
#[test]
fn figures_swapped_as_they_were_written_down() {
    let meant = |text: &str, unit: Length| -> Vec<String> {
        let line = read(text).expect(text);
        let meant = line.value().expect(text).figures_swapped();
        meant.iter().map(|length| format!("{:.4}", *length / unit)).collect()
    };
    assert_eq!(meant("diameter 30.16 mm", Length::from_mm(1.0)), ["31.0600", "30.6100"]);
    assert_eq!(meant("diameter 0.7848 in", Length::from_inches(1.0)), ["0.8748", "0.7488", "0.7884"]);
    for text in ["diameter 3/8 in", "diameter goes 22.22 mm, not 22.25"] {
        assert!(meant(text, Length::from_mm(1.0)).is_empty(), "{text}");
    }
}
