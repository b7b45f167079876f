//! Invented helical rims: the same world, its teeth leaning, the lean read with a protractor.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use calibration::{Case, Sort, trial};
use geometry::toothing::{Helix, Toothing, ToothingSpec};
use quantity::Angle;

const STANDARD: Sort = Sort { of_no_standard: 0.0, readings: (4, 6), slips: 0.0 };
const RIMS: u64 = 150;
/// What an ink print of the tips is read to, by protractor: common practice.
const PRINT_SIGMA_DEG: f64 = 0.5;

#[test]
fn helical_rims_are_named_and_their_helix_with_its_uncertainty() {
    let (mut rims, mut right, mut said, mut truly, mut squares) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let mut wrong = Vec::new();
    for number in 0..RIMS {
        let mut case = Case::invent(STANDARD, 41, number);
        let angle = Angle::from_degrees(case.random.between(8.0, 45.0));
        let spur = *case.rim.worn.spec();
        let face = spur.module * case.random.between(8.0, 15.0);
        let tips = case.rim.worn.tip_diameter() - case.rim.worn.pitch_diameter();
        let pitch = case.rim.worn.pitch_diameter() / angle.cos();
        let helix = Some(Helix { angle, face: Some(face) });
        let Ok(worn) = Toothing::new(ToothingSpec { tip_diameter: Some(pitch + tips), helix, ..spur }) else {
            continue;
        };
        case.rim.worn = worn;
        let mut page = case.machinist.measure(&case.rim, 5, false, &mut case.random);
        let at_tips = worn.helix_at(worn.tip_diameter() / 2.0).degrees();
        page.lines.push(format!(
            "helix angle {:.1} ± {}",
            at_tips + PRINT_SIGMA_DEG * case.random.normal(),
            2.0 * PRINT_SIGMA_DEG
        ));
        page.lines.push(format!("face width {:.2} mm", face.mm()));
        let Some((of_truth, leader, known)) = trial::weighed(&case.rim, &page, |weighed, designs, _| {
            let known = weighed.known.iter().find(|known| known.name == "helix_deg").copied();
            (trial::truth(&case.rim, weighed, designs), weighed.findings[0].probability, known)
        }) else {
            wrong.push(format!("{number}: nothing found in {:?}", page.lines));
            rims += 1.0;
            continue;
        };
        let known = known.unwrap();
        rims += 1.0;
        right += f64::from(of_truth == leader);
        said += leader;
        truly += of_truth;
        squares += ((known.value - angle.degrees()) / known.sigma).powi(2).min(25.0);
        if of_truth != leader {
            wrong.push(format!(
                "{number}: {of_truth:.3} for the truth, {leader:.3} for another; {:?} {:?}",
                case.rim.standard.map(|(size, rack)| (size.label(), &rack.name)),
                page.lines
            ));
        }
    }
    let spread = f64::sqrt(squares / rims);
    let (said, truly) = (said / rims, truly / rims);
    let told = format!("{right} of {rims} right, {said:.3} said, {truly:.3} given to the truth\n{}", wrong.join("\n"));
    // a third are sectors, most of them with teeth that nobody counted
    assert!(rims > 100.0 && right >= 0.9 * rims, "{told}");
    // what was said is what came out, within two deviations of chance
    assert!((said - right / rims).abs() < 0.05, "{told}");
    assert!((0.6..1.4).contains(&spread), "errors are {spread:.2} of what is said");
}
