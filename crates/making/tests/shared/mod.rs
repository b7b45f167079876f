//! An invented small shop and invented parts.
#![allow(dead_code, reason = "each test file uses its own part of it")]
#![allow(clippy::unwrap_used, reason = "the sizes are known to be in the tables")]

pub mod random;

use making::price::Order;
use making::shop::*;
use making::{Brief, Duty};
use part::*;
use quantity::{Angle, Instrument, Length, Money, Unit};
use standards::fits::{Limits, limits};

pub fn inches(value: f64) -> Length {
    Length::from_inches(value)
}

pub fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

pub fn shop() -> Shop {
    let drills = standards::drills()
        .iter()
        .filter(|drill| drill.series != standards::DrillSeries::Metric && drill.diameter <= inches(1.0));
    let machine = |name: &str, kind, speeds| Machine {
        name: name.into(),
        kind,
        speeds,
        swing: None,
        travel: None,
        throat: None,
        largest_drill: None,
        table_screw: None,
        press_force_kilonewton: None,
        stiffness: Default::default(),
    };
    let instrument = |name: &str| Instrument {
        name: name.into(),
        aliases: Vec::new(),
        uncertainty: Some(mm(0.005)),
        angle_uncertainty: None,
        measures: Vec::new(),
    };
    Shop {
        name: "Orchard museum workshop".into(),
        unit: Unit::Inch,
        charges: Charges {
            currency: "crowns".into(),
            hour: Some(Money::from_cents(4800)),
            minimum: Some(Money::from_cents(6000)),
            materials: [("grey cast iron", 650), ("mild steel", 320), ("bronze", 1900)]
                .map(|(material, cents)| MaterialPrice {
                    material: material.into(),
                    per_kilogram: Money::from_cents(cents),
                })
                .into(),
            ..Charges::default()
        },
        minutes: Default::default(),
        drawers: Drawers {
            drills: drills
                .map(|drill| OwnedDrill { label: drill.label(), diameter: drill.diameter, series: drill.series })
                .collect(),
            reamers: [
                ("3/4 in reamer", 0.75),
                ("7/8 in reamer", 0.875),
                ("1/2 in reamer", 0.5),
                ("0.0985 in reamer", 0.0985),
            ]
            .map(|(label, size)| RoundTool { label: label.into(), diameter: inches(size) })
            .into(),
            taps: ["1/4-20", "M6"].iter().filter_map(|name| standards::thread(name)).collect(),
            pins: (50..1000).map(|thou| inches(f64::from(thou) / 1000.0)).collect(),
            gear_cutters: vec![CutterSet {
                size_label: "10 DP".into(),
                module: inches(0.1),
                pressure_angle_degrees: 14.5,
                numbering: CutterNumbering::RackIsOne,
                numbers: vec![2.0, 3.0, 4.0, 5.0, 6.0, 8.0],
                bore: Some(inches(0.875)),
                diameter: Some(inches(2.375)),
            }],
            end_mills: vec![RoundTool { label: "1/4 in end mill".into(), diameter: inches(0.25) }],
            slot_cutters: vec![inches(0.125)],
            broaches: vec![inches(0.1875), inches(0.25)],
            arbors: vec![
                Arbor { label: "3/4 in mandrel".into(), takes: (inches(0.75), inches(0.75)) },
                Arbor { label: "expanding arbor".into(), takes: (inches(0.85), inches(1.1)) },
            ],
            small_tools: SmallTool::ALL.into(),
            carbide: Vec::new(),
            bought_at: Vec::new(),
        },
        machines: vec![
            Machine {
                swing: Some(inches(9.0)),
                travel: Some(inches(20.0)),
                ..machine("bench lathe", MachineKind::Lathe, Speeds::Stepped(vec![60.0, 120.0, 250.0, 480.0, 900.0]))
            },
            machine("small mill", MachineKind::Mill, Speeds::Stepped(vec![60.0, 110.0, 200.0, 380.0, 700.0, 1300.0])),
            machine(
                "drill press",
                MachineKind::DrillPress,
                Speeds::Stepped(vec![250.0, 620.0, 1240.0, 2340.0, 3100.0]),
            ),
            Machine { throat: Some(inches(14.0)), ..machine("bandsaw", MachineKind::Saw, Speeds::None) },
            machine("disc sander", MachineKind::Sander, Speeds::None),
            machine("arbor press", MachineKind::ArborPress, Speeds::None),
            machine("bench and vice", MachineKind::Bench, Speeds::None),
        ],
        dividing: vec![DividingHead {
            name: "dividing head".into(),
            ratio: 40,
            plates: vec![
                IndexPlate { name: "plate 1".into(), circles: vec![15, 16, 17, 18, 19, 20] },
                IndexPlate { name: "plate 2".into(), circles: vec![21, 23, 27, 29, 31, 33] },
                IndexPlate { name: "plate 3".into(), circles: vec![37, 39, 41, 43, 47, 49] },
            ],
            swing: Some(inches(8.0)),
            ..DividingHead::default()
        }],
        rack: vec![
            Stock {
                material: "grey cast iron".into(),
                form: StockForm::Bar { diameter: inches(5.0) },
                length: inches(12.0),
            },
            Stock {
                material: "mild steel".into(),
                form: StockForm::Bar { diameter: inches(0.625) },
                length: inches(36.0),
            },
            Stock {
                material: "mild steel".into(),
                form: StockForm::Bar { diameter: inches(1.5) },
                length: inches(36.0),
            },
            Stock {
                material: "mild steel".into(),
                form: StockForm::Slab { thickness: inches(0.375), width: inches(6.0) },
                length: inches(24.0),
            },
        ],
        instruments: ["rule", "caliper", "micrometer", "depth micrometer", "pin gauge"].map(instrument).into(),
    }
}

/// A shop with nothing in it.
pub fn bare_shop() -> Shop {
    Shop {
        drawers: Drawers::default(),
        machines: Vec::new(),
        dividing: Vec::new(),
        rack: Vec::new(),
        instruments: Vec::new(),
        ..shop()
    }
}

pub fn brief(title: &str, material: &str, cuts: Vec<Cut>) -> Brief {
    Brief {
        title: title.into(),
        material: material.into(),
        original_material: Some(material.into()),
        pieces: 1,
        spares: 3,
        thickness: Some(inches(0.375)),
        face_width: None,
        extent: Some((inches(3.5), inches(4.0))),
        cuts,
        characteristics: Vec::new(),
        gauged: Vec::new(),
        has_mate: true,
        duty: Duty::Ordinary,
        sweep: None,
        order: Order::default(),
    }
}

pub fn cut(feature: &str, work: Work) -> Cut {
    Cut { feature: feature.into(), work, match_made: false }
}

pub fn teeth(count: u32, cut: u32, module: Length, angle: f64) -> TeethWork {
    let blank = module * f64::from(count + 2);
    let deeper = |thinning: f64| module * (thinning / (2.0 * angle.to_radians().tan()));
    TeethWork {
        teeth: count,
        teeth_cut: cut,
        whole: count == cut,
        module,
        helix: None,
        size_label: quantity::PitchSystem::DiametralPitch.label(module.mm().recip() * 25.4),
        pressure_angle: Angle::from_degrees(angle),
        rack: "full depth".into(),
        blank_diameter: blank,
        blank_limits: Limits { lower: -module * 0.02, upper: Length::ZERO },
        root_diameter: blank - module * (2.0 * 2.157),
        depth_limits: Limits { lower: deeper(0.02) - module * 0.01, upper: deeper(0.04) },
        root_limits: Limits { lower: -deeper(0.04) * 2.0, upper: -deeper(0.02) * 2.0 },
        depth: module * 2.157,
        extra_depth: deeper(0.03),
        face_width: None,
        profile_shift: 0.0,
        space: Vec::new(),
    }
}

pub fn hole(diameter: Length, finish: HoleFinish, places: Vec<Place>) -> HoleWork {
    HoleWork { diameter, limits: limits("H7", diameter).unwrap(), finish, depth: None, places }
}

pub fn centre() -> Vec<Place> {
    vec![Place { radius: Some(Length::ZERO), angle: Some(Angle::ZERO) }]
}

pub fn bush(outside: Length, inside: Length) -> Bush {
    Bush {
        pressing: None,
        outside,
        outside_limits: limits("p6", outside).unwrap(),
        inside,
        inside_limits: limits("H8", inside).unwrap(),
        length: None,
        material: "bronze".into(),
    }
}

/// The feed sector of an apple mill: 11 teeth of 44, bushed, its pin holes match-made.
pub fn sector() -> Brief {
    let pin_hole = Place { radius: Some(inches(1.0625)), angle: None };
    brief(
        "Feed sector for the apple mill",
        "grey cast iron",
        vec![
            cut("teeth", Work::Teeth(teeth(44, 11, inches(0.1), 14.5))),
            cut("bore", Work::Hole(hole(inches(0.875), HoleFinish::Reamed, centre()))),
            cut("bore", Work::Bush(bush(inches(0.875), inches(0.75)))),
            Cut {
                match_made: true,
                ..cut("pin holes", Work::Hole(hole(inches(0.0985), HoleFinish::Reamed, vec![pin_hole; 2])))
            },
            cut("back profile", Work::Profile { length: inches(9.0) }),
        ],
    )
}

/// A whole gear with a keyway.
pub fn gear() -> Brief {
    let keyway = KeywayWork {
        bore: inches(0.75),
        width: inches(0.1875),
        width_limits: limits("JS9", inches(0.1875)).unwrap(),
        depth: inches(0.099),
        depth_limits: Limits { lower: Length::ZERO, upper: mm(0.2) },
    };
    brief(
        "Take-off gear",
        "mild steel",
        vec![
            cut("teeth", Work::Teeth(teeth(12, 12, inches(0.1), 14.5))),
            cut("bore", Work::Hole(hole(inches(0.75), HoleFinish::Reamed, centre()))),
            cut("bore", Work::Keyway(keyway)),
        ],
    )
}

pub fn turned(feature: &str, diameter: Length, length: Length) -> Cut {
    cut(feature, Work::Turn { diameter, limits: limits("h6", diameter).unwrap(), length: Some(length), pressed: false })
}

pub fn pin() -> Brief {
    Brief {
        thickness: None,
        extent: None,
        ..brief("Pawl pin", "mild steel", vec![turned("pin", inches(0.5), inches(2.0))])
    }
}
