//! The blank: how large it must be, and which piece on the rack it comes from.

use std::f64::consts::FRAC_PI_4;

use quantity::{Length, Unit, print};
use serde::Serialize;

use crate::shop::{Stock, StockForm};

/// Left on a diameter for skin and for a blank that does not run true; common practice for small work.
pub const ON_DIAMETER: Length = Length::from_mm(3.0);
/// Left on a length or thickness, half of it for facing each side; common practice.
pub const ON_LENGTH: Length = Length::from_mm(2.0);
/// Left round a profile that is sawn and sanded; common practice.
pub const ROUND_PROFILE: Length = Length::from_mm(6.0);
/// Of the allowance the least that still cleans up, on bought stock without skin.
pub const LEAST: Length = Length::from_mm(0.8);
/// What a blank without a bore is held by while its teeth are cut; common practice.
pub const SPIGOT: Length = Length::from_mm(25.0);
/// Width of a saw cut with its wander; common practice for a small bandsaw.
pub const KERF: Length = Length::from_mm(2.5);
/// Left in the chuck when the last piece is parted from a bar.
const GRIP: Length = Length::from_mm(15.0);

/// The finished body the blank must contain.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Body {
    Round {
        diameter: Length,
        length: Option<Length>,
    },
    Flat {
        width: Length,
        height: Length,
        thickness: Option<Length>,
    },
    /// Neither a diameter nor an extent is known.
    Unknown,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Blank {
    pub material: String,
    /// The finished size it must hold.
    pub body: Body,
    /// The size it is sawn to, allowances included.
    pub sawn: Body,
    /// Diameter that is turned down from: the bar's own, or the sawn round's.
    pub stands_at: Option<Length>,
    /// Place on the rack of the piece it comes from.
    pub from_rack: Option<usize>,
    /// How many blanks that piece gives.
    pub yields: u32,
    /// Pieces that come out of one blank.
    pub gives: u32,
    pub allowances: Allowances,
    /// "a round 4.718 in across, 0.52 in long"
    pub size: String,
    /// Metal that one takes, its saw cut with it, mm³.
    pub taken_mm3: Option<f64>,
    pub sentence: String,
}

/// What a blank is larger by than what is made of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Allowances {
    /// On a diameter, or round a profile.
    pub turning: Length,
    /// On the length, for both faces.
    pub facing: Length,
    /// What it is held by.
    pub holding: Length,
    /// Lost in the saw cut.
    pub sawing: Length,
}

/// The blank for a body, from the piece on the rack that wastes least; `holding` is what its length is more by.
pub(crate) fn choose(body: Body, holding: Length, material: &str, wanted: u32, rack: &[Stock], unit: Unit) -> Blank {
    let sawn = with_allowance(body, holding);
    let best = rack
        .iter()
        .enumerate()
        .filter(|(_, stock)| same_material(&stock.material, material))
        .filter_map(|(index, stock)| Some((index, stock, cut_from(stock, body, sawn)?)))
        .filter(|(_, _, yields)| yields.count > 0)
        .min_by(|a, b| {
            let short = |yields: &Yield| yields.count < wanted;
            short(&a.2).cmp(&short(&b.2)).then(a.2.metal.total_cmp(&b.2.metal))
        });
    let sentence = match &best {
        Some((_, stock, yields)) => taken(stock, yields.count, wanted, sawn, unit),
        None => format!("Nothing on the rack gives it: {} of {material} is to be had.", describe(sawn, unit)),
    };
    let stands_at = match (best.as_ref().map(|(_, stock, _)| stock.form), sawn) {
        (Some(StockForm::Bar { diameter }), _) | (_, Body::Round { diameter, .. }) => Some(diameter),
        (_, Body::Flat { .. } | Body::Unknown) => None,
    };
    let (turning, facing) = match body {
        Body::Round { .. } => (ON_DIAMETER, ON_LENGTH),
        // bought to thickness where that can be had
        Body::Flat { .. } => (ROUND_PROFILE, Length::ZERO),
        Body::Unknown => (Length::ZERO, Length::ZERO),
    };
    let taken_mm3 = best.as_ref().map_or_else(|| bought_mm3(sawn), |(_, _, yields)| Some(yields.metal));
    Blank {
        gives: 1,
        allowances: Allowances { turning, facing, holding, sawing: KERF },
        size: describe(sawn, unit),
        taken_mm3,
        material: material.to_string(),
        body,
        sawn,
        stands_at,
        from_rack: best.as_ref().map(|(index, ..)| *index),
        yields: best.map_or(0, |(_, _, yields)| yields.count),
        sentence,
    }
}

/// What the blank is sawn to, as a machinist asks for it.
pub(crate) fn describe(sawn: Body, unit: Unit) -> String {
    let size = |length: Length| print::length(length, unit, 1);
    let known = |length: Option<Length>, is: &str, called: &str| match length {
        Some(length) => format!("{} {is}", size(length)),
        None => format!("{called} still to be measured"),
    };
    match sawn {
        Body::Round { diameter, length } => {
            format!("a round {} across, {}", size(diameter), known(length, "long", "length"))
        }
        Body::Flat { width, height, thickness } => {
            format!("a piece {} by {}, {}", size(width), size(height), known(thickness, "thick", "thickness"))
        }
        Body::Unknown => "a piece that holds the template with 3 mm to spare all round".to_string(),
    }
}

pub(crate) fn describe_stock(stock: &Stock, unit: Unit) -> String {
    let size = |length: Length| print::length(length, unit, 1);
    match stock.form {
        StockForm::Bar { diameter } => {
            format!("{} bar {}, {} long", stock.material, size(diameter), size(stock.length))
        }
        StockForm::Slab { thickness, width } => {
            format!("{} slab {} thick, {} by {}", stock.material, size(thickness), size(width), size(stock.length))
        }
    }
}

/// Bars this much thicker than the part, that take more cuts than that, are turned to chips: the right bar is bought.
const MUCH_TOO_THICK: f64 = 1.5;
pub(crate) const MANY_CUTS: usize = 4;

/// Is this bar far too thick for the part?
pub(crate) fn is_far_too_thick(bar: Length, diameter: Length) -> bool {
    bar > diameter * MUCH_TOO_THICK
}

/// Round bar as merchants keep it, in sixty-fourths of an inch and in millimetres; common practice, without source.
const TRADE_INCH_64THS: &[u32] = &[
    8, 12, 16, 20, 24, 28, 32, 36, 40, 44, 48, 56, 64, 72, 80, 88, 96, 104, 112, 120, 128, 144, 160, 176, 192, 224,
    256, 288, 320, 384, 448, 512,
];
const TRADE_MM: &[u32] = &[
    3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 30, 32, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 110,
    120, 130, 140, 150, 160, 180, 200,
];

/// The thinnest bar of the trade that this diameter cleans up from, as it is asked for.
pub(crate) fn trade_bar(diameter: Length, unit: Unit) -> String {
    let least = diameter + LEAST;
    let named = match unit {
        Unit::Inch => TRADE_INCH_64THS
            .iter()
            .map(|&parts| Length::from_inches(f64::from(parts) / 64.0))
            .find(|bar| *bar >= least)
            .map(|bar| format!("{} in bar", print::fraction(bar, 64))),
        Unit::Millimetre => TRADE_MM
            .iter()
            .find(|&&size| Length::from_mm(f64::from(size)) >= least)
            .map(|size| format!("{size} mm bar")),
    };
    named.unwrap_or_else(|| format!("bar of {} or a little over", print::length(least, unit, 1)))
}

/// Two names of one material; aliases count.
pub(crate) fn same_material(a: &str, b: &str) -> bool {
    match (standards::material(a), standards::material(b)) {
        (Some(a), Some(b)) => a.name == b.name,
        _ => a.trim().eq_ignore_ascii_case(b.trim()),
    }
}

struct Yield {
    count: u32,
    /// Metal used for one blank, mm³: what is wasted least is chosen.
    metal: f64,
}

impl Blank {
    /// What the saw goes through for one, mm²: across a bar, or along two sides of a piece of slab.
    pub(crate) fn section_mm2(&self) -> f64 {
        match (self.from_rack, self.stands_at, self.sawn) {
            (Some(_), Some(bar), Body::Round { .. }) => FRAC_PI_4 * bar.mm().powi(2),
            (_, _, Body::Round { diameter, .. }) => FRAC_PI_4 * diameter.mm().powi(2),
            (_, _, Body::Flat { width, height, thickness }) => {
                (width + height).mm() * thickness.unwrap_or_default().mm()
            }
            (_, _, Body::Unknown) => 0.0,
        }
    }
}

/// Metal to be bought for one, sawn off here: its saw cut with it.
pub(crate) fn bought_mm3(sawn: Body) -> Option<f64> {
    crate::mass::volume(match sawn {
        Body::Round { diameter, length } => Body::Round { diameter, length: length.map(|length| length + KERF) },
        Body::Flat { width, height, thickness } => Body::Flat { width: width + KERF, height: height + KERF, thickness },
        Body::Unknown => Body::Unknown,
    })
}

fn with_allowance(body: Body, holding: Length) -> Body {
    match body {
        Body::Round { diameter, length } => {
            Body::Round { diameter: diameter + ON_DIAMETER, length: length.map(|length| length + ON_LENGTH + holding) }
        }
        Body::Flat { width, height, thickness } => Body::Flat {
            width: width + ROUND_PROFILE,
            height: height + ROUND_PROFILE,
            // bought to thickness where that can be had
            thickness,
        },
        Body::Unknown => Body::Unknown,
    }
}

fn cut_from(stock: &Stock, body: Body, sawn: Body) -> Option<Yield> {
    match (stock.form, body, sawn) {
        (StockForm::Bar { diameter: bar }, Body::Round { diameter, .. }, Body::Round { length, .. }) => {
            let length = length?;
            (bar >= diameter + LEAST).then(|| Yield {
                count: pieces_along(stock.length - GRIP, length),
                metal: bar.mm().powi(2) * FRAC_PI_4 * (length + KERF).mm(),
            })
        }
        (StockForm::Slab { thickness, width }, Body::Round { .. }, Body::Round { diameter: sawn, length }) => {
            (thickness >= length? - ON_LENGTH + LEAST).then(|| Yield {
                count: pieces_along(stock.length, sawn).saturating_mul(pieces_along(width, sawn)),
                metal: (sawn + KERF).mm().powi(2) * thickness.mm(),
            })
        }
        (
            StockForm::Slab { thickness: slab, width: across },
            Body::Flat { thickness, .. },
            Body::Flat { width, height, .. },
        ) => {
            let upright = pieces_along(stock.length, height).saturating_mul(pieces_along(across, width));
            let lying = pieces_along(stock.length, width).saturating_mul(pieces_along(across, height));
            // bright stock of the very thickness is what is looked for first
            let hair = Length::from_mm(0.05);
            (slab + hair >= thickness?).then(|| Yield {
                count: upright.max(lying),
                metal: (width + KERF).mm() * (height + KERF).mm() * slab.mm(),
            })
        }
        _ => None,
    }
}

fn pieces_along(stock: Length, piece: Length) -> u32 {
    if piece <= Length::ZERO || stock < piece {
        return 0;
    }
    // the last piece needs no cut behind it
    ((stock + KERF) / (piece + KERF)).floor().min(1e6) as u32
}

fn taken(stock: &Stock, yields: u32, wanted: u32, sawn: Body, unit: Unit) -> String {
    let piece = match (stock.form, sawn) {
        (StockForm::Bar { .. }, Body::Round { length: Some(length), .. }) => {
            format!("a length of {}", print::length(length, unit, 1))
        }
        _ => describe(sawn, unit),
    };
    let from = format!("From the {} on the rack saw {piece}", describe_stock(stock, unit));
    match yields >= wanted {
        true => format!("{from}."),
        false => {
            format!("{from}. It gives {yields} of the {wanted} wanted; the rest needs more stock.")
        }
    }
}
