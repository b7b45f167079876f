#[test]
fn loads() {
    assert_eq!(standards::drills().len(), 80 + 26 + 96 + 227);
    println!(
        "{:?}",
        standards::gear_sizes()
            .iter()
            .map(|s| s.label())
            .collect::<Vec<_>>()
    );
    for r in standards::racks() {
        println!("{} {} <= {:.4}", r.id, r.tip_radius, r.largest_tip_radius());
    }
    for i in standards::instruments() {
        println!(
            "{} {:?} {:?}",
            i.name,
            i.length_uncertainty(standards::USUAL_LENGTH),
            i.angle_uncertainty().map(|a| a.degrees())
        );
    }
    println!("{}", standards::materials().len());
}
