//! Shop files: the built-in one, each part of the format, and what is wrong with bad ones.

use making::shop::{CutterNumbering, MachineKind, Purchase, Shop, SmallTool, Speeds, StockForm};
use quantity::{Length, Minutes, Money, Problem, Unit};
use sparewright::problems::{Dress, render};
use sparewright::shop::{BUILT_IN, built_in, built_in_instruments, read};
use standards::DrillSeries;
use standards::cutting::{Stiffness, ToolMaterial};
use standards::times::Allowance;

#[test]
fn the_built_in_shop_is_right() {
    let (shop, problems) = read(BUILT_IN);
    assert!(problems.is_empty(), "{}", render("small-shop.toml", BUILT_IN, &problems, Dress::Plain));
    assert_eq!(shop, Some(built_in()));
}

#[test]
fn the_built_in_shop_owns_what_it_says() {
    let shop = built_in();
    assert_eq!(shop.unit, Unit::Inch);
    let drill = |label: &str| shop.drawers.drills.iter().any(|drill| drill.label == label);
    for owned in ["#1", "#40", "letter F", "13/64 in", "7/8 in", "2.50 mm", "4.20 mm"] {
        assert!(drill(owned), "{owned}");
    }
    for gap in ["#19", "#43", "#61", "letter O", "31/64 in", "12.50 mm", "2.60 mm"] {
        assert!(!drill(gap), "{gap}");
    }
    // smallest first, none twice
    assert!(
        shop.drawers
            .drills
            .windows(2)
            .all(|pair| pair[0].diameter <= pair[1].diameter && pair[0].label != pair[1].label)
    );
    // number drills 1 to 60 but three, letters but one, 1/16 to 1/2 by 64ths but one and five larger, 1 to 13 by halves but one and seven
    let of = |series| shop.drawers.drills.iter().filter(|drill| drill.series == series).count();
    assert_eq!(
        [DrillSeries::Number, DrillSeries::Letter, DrillSeries::Fraction, DrillSeries::Metric].map(of),
        [57, 25, 33, 31]
    );

    let pins = |inches: f64| {
        shop.drawers.pins.iter().any(|pin| (*pin - Length::from_inches(inches)).abs() < Length::from_mm(1e-9))
    };
    assert!(pins(0.1728) && pins(0.061) && pins(0.250) && !pins(0.125));
    let set = &shop.drawers.gear_cutters[0];
    assert_eq!(
        (set.size_label.as_str(), set.pressure_angle_degrees, set.numbering),
        ("10 DP", 14.5, CutterNumbering::RackIsOne)
    );
    assert!((set.module.mm() - 2.54).abs() < 1e-12);
    assert!(set.numbers.contains(&3.0));
    assert_eq!(shop.drawers.gear_cutters[2].numbering, CutterNumbering::TwelveIsOne);
    for kind in MachineKind::ALL {
        assert_eq!(shop.machines_of(kind).count(), 1, "{}", kind.name());
    }
    assert!(SmallTool::ALL.into_iter().all(|tool| shop.owns(tool)));
    let head = &shop.dividing[0];
    assert_eq!((head.ratio, head.plates.len()), (40, 3));
    // the second plate of the usual three: Practical Treatise on Milling and Milling Machines, p. 55
    assert_eq!(head.plates[1].circles, [21, 23, 27, 29, 31, 33]);
    // ± 0.0003 in is two standard uncertainties, JCGM 100:2008 6.3.3
    let sigma = |shop: &[quantity::Instrument], name: &str| {
        shop.iter().find(|own| own.name == name).and_then(|own| own.uncertainty)
    };
    assert_eq!(sigma(&shop.instruments, "micrometer"), Some(Length::from_inches(0.00015)));
    assert_eq!(sigma(&shop.instruments, "caliper"), sigma(&built_in_instruments(), "caliper"));
}

fn right(file: &str) -> Shop {
    let file = format!("units = \"in\"\n{file}\n[charges]\nhour = 50\n");
    let (shop, problems) = read(&file);
    assert!(problems.is_empty(), "{}", render("shop.toml", &file, &problems, Dress::Plain));
    shop.expect("a shop")
}

#[test]
fn every_part_of_the_format() {
    let shop = right("[[drills]]\nseries = \"number\"\nfrom = \"#50\"\nto = 48\nmissing = [\"49\"]\nsizes = [\"#40\"]");
    let labels: Vec<&str> = shop.drawers.drills.iter().map(|drill| drill.label.as_str()).collect();
    assert_eq!(labels, ["#50", "#48", "#40"]);

    let shop = right("[reamers]\nfrom = \"1/4\"\nto = \"3/8\"\nstep = \"1/16\"\nsizes = [\"6 mm\", 0.2505]");
    let labels: Vec<&str> = shop.drawers.reamers.iter().map(|reamer| reamer.label.as_str()).collect();
    assert_eq!(labels, ["6 mm", "1/4 in", "0.2505 in", "5/16 in", "3/8 in"]);

    let shop = right(
        "[[pins]]\nfrom = 0.1\nto = 0.105\nstep = 0.001\nmissing = [0.103]\n[[pins]]\nfrom = \"2 mm\"\nto = \"2.2 mm\"\nstep = \"0.1 mm\"",
    );
    let pins: Vec<f64> = shop.drawers.pins.iter().map(|pin| (pin.mm() * 1e4).round() / 1e4).collect();
    assert_eq!(pins, [2.0, 2.1, 2.2, 2.54, 2.5654, 2.5908, 2.6416, 2.667]);

    let shop = right(
        "[[gear_cutters]]\nsize = \"5 dp 20\"\nstub = true\nnumbers = [3.5, \"4 1/2\", \"5½\", 6]\nnumber_1 = \"12 teeth\"",
    );
    let set = &shop.drawers.gear_cutters[0];
    assert_eq!((set.size_label.as_str(), set.numbers.as_slice()), ("5 DP stub", [3.5, 4.5, 5.5, 6.0].as_slice()));
    assert_eq!(set.numbering, CutterNumbering::TwelveIsOne);

    let shop = right(
        "[[machines]]\nkind = \"lathe\"\nspeeds = { from = 50, to = 2500.5 }\nswing = \"200 mm\"\n[[machines]]\nkind = \"Mill\"\nname = \"little mill\"",
    );
    assert_eq!(shop.machines[0].speeds, Speeds::Variable { lowest: 50.0, highest: 2500.5 });
    assert_eq!((shop.machines[0].name.as_str(), shop.machines[0].swing), ("lathe", Some(Length::from_mm(200.0))));
    assert_eq!((shop.machines[1].kind, &shop.machines[1].speeds), (MachineKind::Mill, &Speeds::None));

    let shop = right("[[dividing]]\nratio = 60\nplates = [[15, 16], [21]]");
    assert_eq!(
        shop.dividing[0].plates.iter().map(|plate| plate.circles.clone()).collect::<Vec<_>>(),
        [vec![15, 16], vec![21]]
    );

    let shop = right(
        "carbide = [\"turning tool\"]\n[buying]\n\"gear cutter\" = 55.5\n[[machines]]\nkind = \"lathe\"\nstiffness = \"medium\"\n[[dividing]]\nratio = 40\nplates = \"double-sided\"\ndirect_holes = [24, 30, 36]\nstop_pin = true\nchange_gears = \"universal-head\"\ngear_size = \"module 1.5\"\ngear_centres = \"150 mm\"\nreads_to = \"1 min 30 sec\"",
    );
    assert_eq!(shop.made_of(SmallTool::TurningTool), ToolMaterial::Carbide);
    assert_eq!(shop.made_of(SmallTool::BoringBar), ToolMaterial::HighSpeedSteel);
    assert_eq!(shop.drawers.bought_at, [(Purchase::GearCutter, Money::from_cents(5550))]);
    assert_eq!(shop.machines[0].stiffness, Stiffness::Medium);
    let head = &shop.dividing[0];
    assert_eq!((head.direct_holes.as_slice(), head.stop_pin, head.reads_to), ([24, 30, 36].as_slice(), true, Some(90)));
    let gears = head.change_gears.as_ref().expect("gears");
    // Practical Treatise on Milling and Milling Machines, p. 55
    assert_eq!(gears.teeth, [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100]);
    assert_eq!((gears.module, gears.centres), (Some(Length::from_mm(1.5)), Some(Length::from_mm(150.0))));

    let shop = right(
        "[[rack]]\nmaterial = \"cast iron\"\ndiameter = 2\nlength = 6\npieces = 3\n[[rack]]\nmaterial = \"brass\"\nthickness = \"1/4\"\nwidth = 2\nlength = 12",
    );
    assert_eq!(shop.rack.len(), 4);
    assert_eq!(shop.rack[0].material, "grey cast iron");
    assert_eq!(
        shop.rack[3].form,
        StockForm::Slab { thickness: Length::from_inches(0.25), width: Length::from_inches(2.0) }
    );

    let shop = right(
        "[[instruments]]\nname = \"bevel protractor\"\nwithin = 0.2\n[[instruments]]\nname = \"height gauge\"\nwithin = \"0.04 mm\"\n[[instruments]]\nname = \"clinometer\"\nwithin = \"0.1 degrees\"\n[[instruments]]\nname = \"bore micrometer\"\nwithin = \"0.004 mm\"\nmeasures = [\"holes\"]",
    );
    let own = |name: &str| shop.instruments.iter().find(|own| own.name == name).expect(name);
    assert!((own("protractor").angle_uncertainty.expect("an angle").degrees() - 0.1).abs() < 1e-12);
    assert_eq!(own("bore micrometer").measures, [quantity::Measures::Holes]);
    assert_eq!(own("height gauge").uncertainty, Some(Length::from_mm(0.02)));
    assert!((own("clinometer").angle_uncertainty.expect("an angle").degrees() - 0.05).abs() < 1e-12);
}

/// What a shop asks for and has timed, exactly as it is written.
#[test]
fn charges_are_read_to_the_hundredth() {
    let (shop, problems) = read(
        "units = \"mm\"\n[charges]\ncurrency = \"marks\"\nhour = 48.05\nmargin = 12.5\nround_to = 0.5\nkilogram = { brass = 1_000.10 }\n[quote]\nholds_days = 14\nterms = [\"Carriage is yours.\"]\n[minutes]\n\"Set up lathe\" = 11\n",
    );
    assert_eq!(problems, []);
    let shop = shop.expect("a shop");
    let charges = &shop.charges;
    assert_eq!((charges.hour, charges.minimum), (Some(Money::from_cents(4805)), None));
    assert_eq!((charges.margin_percent, charges.round_to), (Some(12.5), Some(Money::from_cents(50))));
    assert_eq!(charges.materials[0].per_kilogram, Money::from_cents(100_010));
    assert_eq!((charges.currency.as_str(), charges.quote_holds_days), ("marks", Some(14)));
    assert_eq!(charges.terms, ["Carriage is yours."]);
    assert_eq!(shop.allowed(Allowance::SetUpLathe), Minutes::new(11.0));
    assert_eq!(shop.allowed(Allowance::SetUpMill), Allowance::SetUpMill.usual());
}

#[test]
fn a_metric_shop_writes_bare_millimetres() {
    let (shop, problems) = read("units = \"mm\"\n[charges]\nhour = 1\n[pins]\nsizes = [4, 4.5, \"0.1728 in\"]");
    assert_eq!(problems, []);
    let pins: Vec<f64> = shop.expect("a shop").drawers.pins.iter().map(|pin| pin.mm()).collect();
    assert!(pins.iter().zip([4.0, 4.38912, 4.5]).all(|(a, b)| (a - b).abs() < 1e-9), "{pins:?}");
}

const BAD_FILES: &[(&str, &str)] = &[
    ("nothing at all", ""),
    ("no units and no charges", "name = \"Mine\""),
    (
        "words, names and numbers",
        r#"units = "in"
owner = "me"
small_tools = ["files", "hammer", "boring bra", 3]

[charges]
hour = -5
minimum = "90"
margin = 600
round_to = 0
currency = 3
kilogram = { "brass" = 12, "yellow brass" = 13, "unobtainium" = 1, "bronze" = "dear", "acetal" = 12.345 }
rate = 40

[quote]
holds_days = 0
terms = ["", 7]

[minutes]
"set up lath" = 10
"index a space" = "long"
"Set up mill" = 5
"set up mill" = 1000

[[drills]]
series = "numbers"
from = 1
to = 60

[[drills]]
series = "number"
from = 0
to = 60

[[drills]]
series = "fraction"
from = "1/16"
to = "1/2"
step = "1/7"
missing = ["3/4", "1/8"]

[[drills]]
series = "letter"
from = "A"

[[drills]]
series = "metric"
sizes = [2.5, 2.51, true]
step = "wide"

[[reamers]]
from = "1/4"
to = "1/8"
step = "1/16"

[[reamers]]
from = "1/4"

[[pins]]
from = 0.061
to = 0.250
step = 0.001
missing = [0.3, "big"]

[[gear_cutters]]
size = "10 dp"
numbers = [0, 3, 3.2, "three"]

[[gear_cutters]]
size = "ten"
number_1 = "8"

[[arbors]]
name = "stub"

[[arbors]]
takes = ["1/2"]

[[machines]]
kind = "lath"
speeds = [60, 0, "fast"]
swing = "wide"
colour = "green"

[[machines]]
name = "press"
kind = "drill press"
speeds = { from = 500, to = 100 }

[[machines]]
kind = "mill"
speeds = { from = 500 }

[[dividing]]
plates = "three-plates"

[[dividing]]
ratio = 40
plates = [[15, 1], 16]

[[dividing]]
ratio = 40
plates = "three-plate"
direct_holes = [24, 1]
stop_pin = "yes"
change_gears = "universal"
reads_to = "7 sec"

[[dividing]]
ratio = 40
change_gears = [24, 8, "big"]
gear_size = "modul 1.5"

[[dividing]]
ratio = 40
gear_centres = "wide"
reads_to = "ten seconds"

[[machines]]
kind = "saw"
stiffness = "stiff"

[buying]
"gear cuter" = 55
"reamer" = "dear"

[[rack]]
material = "grey cast irn"
diameter = 2
width = 2

[[instruments]]
name = "micrometer"

[[instruments]]
name = "caliper"
within = 0

[[instruments]]
name = "protractor"
within = "steep"

[[instruments]]
name = "bore gauge"
within = 0.0002
measures = "hole"
"#,
    ),
];

#[test]
fn bad_files() {
    let mut out = String::new();
    for (what, file) in BAD_FILES {
        let (shop, problems): (Option<Shop>, Vec<Problem>) = read(file);
        let read = if shop.is_some() { "a shop" } else { "no shop" };
        out += &format!("== {what}: {read}\n\n{}\n", render("shop.toml", file, &problems, Dress::Plain));
    }
    insta::assert_snapshot!(out);
}
