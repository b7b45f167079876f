//! The new teeth against the original's: how much load they carry for the same damage. Loads are seldom known; this needs none.

use geometry::toothing::{Toothing, ToothingSpec};
use part::Toothed;
use quantity::Length;
use standards::{Material, tooth_strength};

use super::bending::{Bending, lewis_factor};
use super::contact::{elastic, elasticity_factor};
use crate::joint::Span;

/// Where one tooth has the whole load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadAt {
    /// The outer point of single contact, where a mate's is known.
    OuterSingleContact,
    /// The tip, where nothing is known of the mate: a little more than it ever gets.
    Tip,
}

/// Forms compared, and the metals.
#[derive(Clone, Debug)]
pub struct Strength {
    pub load_at: LoadAt,
    /// At the thin end of its limits, its weakest.
    pub new: Bending,
    /// As the rack has it.
    pub old: Bending,
    /// What the form of the new tooth carries in bending for each 1 of the original's, over both their limits.
    pub form: Span<f64>,
    /// The same by Lewis's plain rule.
    pub lewis: Span<f64>,
    pub original: &'static Material,
    /// Of the metal that is to be made of.
    pub chosen: Metal,
    /// What other metals would give.
    pub others: Vec<Metal>,
}

/// What teeth of a metal carry for each 1 of the original's.
#[derive(Clone, Debug)]
pub struct Metal {
    pub material: &'static Material,
    /// Load after load at the root; none where the table of tooth strengths has no such metal.
    pub repeated: Option<Compared>,
    /// One blow, until a tooth breaks off.
    pub once: Compared,
    /// One blow, until a tooth stays bent: of a metal that does so.
    pub set: Option<Compared>,
    /// On its flanks, until they pit.
    pub contact: Option<Compared>,
    /// On the mate's flanks, which feel a stiffer metal more.
    pub mates_contact: f64,
}

/// A ratio, the most likely one and what the spread of hardness and of form leaves open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    pub likely: f64,
    pub within: Span<f64>,
}

/// Other metals a repair shop would think of.
const OTHERS: [&str; 6] =
    ["grey cast iron", "ductile iron", "mild steel", "medium carbon steel", "bronze", "aluminium bronze"];

/// From here on the new teeth are called much stronger than the old, and from the other, weaker. Books on strength differ by 10 to 15
/// in a hundred: less than this says little.
pub const MUCH_STRONGER: f64 = 1.5;
pub const WEAKER: f64 = 0.85;

/// What the strength is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Metals {
    pub original: &'static Material,
    pub new: &'static Material,
    pub mate: &'static Material,
}

impl Strength {
    /// `outer`: the outer point of single contact on the new teeth, where the mesh is known.
    pub fn new(made: &Toothed, outer: Option<Length>, metals: Metals) -> Strength {
        let original = ToothingSpec { profile_shift: made.shift_found, tip_diameter: None, ..*made.full.spec() };
        let original = in_normal_section(&Toothing::new(original).unwrap_or(made.full));
        let cut = made.cut.map(|cut| in_normal_section(&cut));
        let load = |teeth: &Toothing| outer.unwrap_or(teeth.tip_diameter() / 2.0);
        let bend = |teeth: &Toothing| Bending::new(teeth, load(teeth));
        // the original's thickness when new lay somewhere between full and what is left of it
        let olds = [original, in_normal_section(&made.found)];
        let over = |capacity: &dyn Fn(&Toothing) -> f64| {
            let pairs = cut.iter().flat_map(|new| olds.iter().map(move |old| (new, old)));
            Span::over(pairs.map(|(new, old)| capacity(new) / capacity(old))).unwrap_or(Span { least: 1.0, most: 1.0 })
        };
        let form = over(&|teeth| 1.0 / bend(teeth).factor());
        let compare = |material| Metal::new(material, metals, form);
        let wanted = |name: &&str| ![metals.new.name.as_str(), metals.original.name.as_str()].contains(name);
        Strength {
            load_at: if outer.is_some() { LoadAt::OuterSingleContact } else { LoadAt::Tip },
            new: bend(&cut[1]),
            old: bend(&original),
            form,
            lewis: over(&|teeth| lewis_factor(teeth, load(teeth))),
            original: metals.original,
            chosen: compare(metals.new),
            others: OTHERS
                .iter()
                .filter(|name| wanted(name))
                .filter_map(|name| standards::material(name))
                .map(compare)
                .collect(),
        }
    }

    /// So much stronger in bending that what was meant to break first may no longer be the teeth.
    pub fn is_much_stronger(&self) -> bool {
        self.bending().any(|compared| compared.likely >= MUCH_STRONGER)
    }

    pub fn is_weaker(&self) -> bool {
        self.bending().any(|compared| compared.likely < WEAKER)
    }

    fn bending(&self) -> impl Iterator<Item = Compared> {
        self.chosen.repeated.into_iter().chain([self.chosen.once]).chain(self.chosen.set)
    }
}

/// Helical teeth bend as the spur teeth of their normal section do, but for what their slant adds, which new and old have in common
/// (ISO 6336-3:2006, which has z/(cos² β_b cos β) for the count and Y_β for the slant; from memory).
fn in_normal_section(teeth: &Toothing) -> Toothing {
    teeth.virtual_spur().unwrap_or(*teeth)
}

impl Metal {
    fn new(material: &'static Material, metals: Metals, form: Span<f64>) -> Metal {
        let old = metals.original;
        let same = material.name == old.name;
        let one = |value: f64| (value, value);
        // one metal is as strong as itself, however much its kind varies
        let compare = |new: (f64, f64), old: (f64, f64)| match same {
            true => Compared { likely: form.middle(), within: form },
            false => Compared::of(new, old, form),
        };
        let numbers = || Some((tooth_strength(material)?, tooth_strength(old)?));
        let mate = elastic(metals.mate);
        let stiffer = (elasticity_factor(elastic(old), mate) / elasticity_factor(elastic(material), mate)).powi(2);
        // what the original withstood once: bent for good where it could, else broken
        let old_set = old.yield_mpa.unwrap_or(old.uts_mpa);
        Metal {
            material,
            repeated: numbers().map(|(new, old)| compare(new.bending, old.bending)),
            once: compare(one(material.uts_mpa), one(old.uts_mpa)),
            set: material.yield_mpa.map(|limit| compare(one(limit), one(old_set))),
            contact: numbers().map(|(new, old)| match same {
                true => Compared { likely: 1.0, within: Span { least: 1.0, most: 1.0 } },
                false => {
                    let squared = |(lo, hi): (f64, f64)| (lo * lo, hi * hi);
                    Compared::of(squared(new.contact), squared(old.contact), Span { least: stiffer, most: stiffer })
                }
            }),
            mates_contact: stiffer,
        }
    }
}

impl Compared {
    /// Strengths from lo to hi each, and a factor for the form.
    fn of(new: (f64, f64), old: (f64, f64), form: Span<f64>) -> Compared {
        Compared {
            likely: form.middle() * (new.0 + new.1) / (old.0 + old.1),
            within: Span { least: form.least * new.0 / old.1, most: form.most * new.1 / old.0 },
        }
    }
}
