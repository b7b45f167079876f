//! The steps of a plan, one file for each sort of work; here what they share: machines, tools and instruments picked from
//! the shop, what is lacking written down once.

mod blanking;
mod bore;
mod bush;
mod finishing;
mod gauging;
mod helix;
mod holding;
mod holes;
mod keyway;
mod outline;
mod teeth;
mod timing;
mod turning;

use part::{Bush, Cut, HoleWork, KeywayWork, Place, TeethWork, Work};
use quantity::{Length, print};
use standards::Material;
use standards::cutting::{self, MillingCutter, Pass, Stiffness, ToolMaterial, WayRound};
use standards::fits::Limits;

use crate::blank::Blank;
use crate::cutters::CutterPick;
use crate::indexing::IndexSheet;
use crate::mass::Metal;
use crate::order::{Draft, Step};
use crate::plan::{Brief, Feed, FeedPer, MachinePick, Operation, Pieces, Running};
use crate::safety;
use crate::shop::{Machine, MachineKind, Purchase, Shop, SmallTool, Speeds};
use crate::speeds::{self, Doing, table_feed};
use crate::time::Timing;
use crate::tools::{Lack, ToolKind, ToolPick};
use gauging::Side;

/// What a thickness or a length that no characteristic names is held to; common practice for repair work.
const LENGTH_LIMITS: Limits = Limits { lower: Length::from_mm(-0.1), upper: Length::from_mm(0.1) };

/// A length this close to the part's thickness is the same, read with two instruments; common practice.
pub const SAME_LENGTH: Length = Length::from_mm(0.1);
/// Two nominal sizes this close are one dimension, written in two units.
const SAME_DIMENSION: Length = Length::from_mm(0.002);

pub(crate) struct Planner<'a> {
    pub brief: &'a Brief,
    pub shop: &'a Shop,
    pub drafts: Vec<Draft>,
    pub lacking: Vec<Lack>,
    pub indexing: Option<IndexSheet>,
    pub cutters: Vec<CutterPick>,
    pub blank: Blank,
    pub notes: Vec<String>,
    /// Why cutting times are not known.
    pub untimed: Vec<String>,
    /// What no piece has done to it before it is in its place.
    pub in_place: Vec<String>,
    /// Metal that is bought or taken from the rack.
    pub metals: Vec<Metal>,
    material: Option<&'static Material>,
}

/// What a machine must be able to do; none where it does not matter.
#[derive(Clone, Copy, Default)]
struct Need {
    swing: Option<Length>,
    throat: Option<Length>,
    travel: Option<Length>,
    drill: Option<Length>,
}

/// What turns the tool or the work.
struct Spindle {
    speeds: Speeds,
    largest_drill: Option<Length>,
    stiffness: Stiffness,
}

impl<'a> Planner<'a> {
    pub fn new(brief: &'a Brief, shop: &'a Shop) -> Planner<'a> {
        let material = standards::material(&brief.material);
        let mut planner = Planner {
            brief,
            shop,
            drafts: Vec::new(),
            lacking: Vec::new(),
            indexing: None,
            cutters: Vec::new(),
            blank: blanking::blank(brief, shop),
            notes: Vec::new(),
            untimed: Vec::new(),
            in_place: Vec::new(),
            metals: Vec::new(),
            material,
        };
        planner.note_material();
        planner.note_mass();
        planner.note_ring();
        let main = Metal::of("blank", &planner.blank, Pieces::All, planner.blank.from_rack.is_some());
        planner.metals.push(main);
        planner
    }

    pub fn all_steps(&mut self) {
        self.saw_blank();
        self.face();
        self.bores();
        self.bushes();
        self.turned_outsides();
        self.teeth();
        self.outline();
        self.keyways();
        self.holes();
        self.finish();
    }

    fn note_material(&mut self) {
        let name = &self.brief.material;
        let Some(material) = self.material else {
            self.notes.push(format!(
                "No cutting speeds are known for {name:?}: begin at those of mild steel and slow down if the tool colours."
            ));
            self.untimed_metal(&name.clone());
            return;
        };
        if let Some(original) = self.brief.original_material.as_deref().and_then(standards::material)
            && original.name != material.name
        {
            let ratio = material.uts_mpa / original.uts_mpa;
            let how = if ratio < 0.95 { "weaker: have the part's strength looked at" } else { "as strong or stronger" };
            self.notes.push(format!(
                "The original was {}; {} is {how} (tensile strength {:.0} MPa against {:.0}, typical values).",
                original.name, material.name, material.uts_mpa, original.uts_mpa
            ));
        }
    }

    fn len(&self, length: Length) -> String {
        print::length(length, self.shop.unit, 2)
    }

    fn fine(&self, length: Length) -> String {
        print::length(length, self.shop.unit, 3)
    }

    fn how_many(&self) -> u32 {
        self.brief.pieces.saturating_add(self.brief.spares).max(1)
    }

    /// `0.8759 to 0.8764 in`
    fn between(&self, lower: Length, upper: Length) -> String {
        format!("{} to {}", print::figures(lower, self.shop.unit, 3), self.fine(upper))
    }

    /// The size to work to, both limits.
    fn range(&self, nominal: Length, limits: Limits) -> String {
        let (lower, upper) = limits.sizes(nominal);
        self.between(lower, upper)
    }

    /// The size as a title names it: the nominal one, but where its limits leave it out, they.
    fn named(&self, nominal: Length, limits: Limits) -> String {
        if holds_nominal(limits) { self.fine(nominal) } else { self.range(nominal, limits) }
    }

    /// The limits that the checking sheet has for this dimension, where it has it; else these.
    fn limits_of(&self, names: &[&str], nominal: Length, else_these: Limits) -> Limits {
        let same = |name: &str| {
            self.brief.characteristics.iter().find(|characteristic| {
                characteristic.name == name && (characteristic.nominal - nominal).abs() < SAME_DIMENSION
            })
        };
        let found = names.iter().find_map(|name| same(name)).and_then(|found| found.lower.zip(found.upper));
        found.map_or(else_these, |(lower, upper)| Limits { lower: lower - nominal, upper: upper - nominal })
    }

    /// What a length from end to end is held to: one thing with the part's thickness, where there is one about as long.
    fn length_limits(&self, length: Length) -> Limits {
        let named = |name: &'static str, within: Length| {
            let mut all = self.brief.characteristics.iter();
            let found = all.find(|one| one.name == name && (one.nominal - length).abs() <= within)?;
            found.lower.zip(found.upper).map(|(lower, upper)| Limits { lower: lower - length, upper: upper - length })
        };
        named("thickness", SAME_LENGTH).or_else(|| named("length", SAME_DIMENSION)).unwrap_or(LENGTH_LIMITS)
    }

    /// An operation on the part with its step's cautions; the rest is filled in by its maker.
    fn draft(&self, step: Step, title: impl Into<String>, machine: MachinePick, set_up: impl Into<String>) -> Draft {
        let makes_chips = !matches!(step, Step::PressBush | Step::FinalCheck | Step::Pack);
        let mut draft = self.draft_in(self.material.filter(|_| makes_chips), step, title, machine, set_up);
        draft.operation.cautions.extend(self.heavy_caution());
        draft
    }

    /// An operation on this metal.
    fn draft_in(
        &self,
        metal: Option<&'static Material>,
        step: Step,
        title: impl Into<String>,
        machine: MachinePick,
        set_up: impl Into<String>,
    ) -> Draft {
        let set_up = set_up.into();
        let mut cautions: Vec<String> = safety::cautions(step).iter().map(|text| (*text).to_string()).collect();
        cautions.extend(metal.and_then(|metal| metal.caution.clone()));
        Draft {
            holding: format!("{}; {set_up}", machine.name),
            operation: Operation {
                number: 0,
                step,
                title: title.into(),
                features: Vec::new(),
                machine,
                tools: Vec::new(),
                set_up,
                instructions: Vec::new(),
                running: Vec::new(),
                passes: None,
                checks: Vec::new(),
                notes: Vec::new(),
                cautions,
                pieces: Pieces::All,
                after: Vec::new(),
                timing: Timing::default(),
            },
        }
    }

    fn push(&mut self, draft: Draft) {
        self.drafts.push(draft);
    }

    /// Writes down once what is not owned.
    fn lack(&mut self, tool: &ToolPick, wanted_for: &str, ways: Vec<String>) {
        if tool.owned || self.lacking.iter().any(|lack| lack.kind == tool.kind && lack.label == tool.label) {
            return;
        }
        let ways = self.with_price(tool.kind, ways);
        self.lacking.push(Lack {
            kind: tool.kind,
            label: tool.label.clone(),
            wanted_for: wanted_for.to_string(),
            ways,
        });
    }

    /// The ways, and what the tool costs where the shop knows it and no way has said so.
    fn with_price(&self, kind: ToolKind, mut ways: Vec<String>) -> Vec<String> {
        let purchase = match kind {
            ToolKind::Drill => Some(Purchase::Drill),
            ToolKind::Reamer => Some(Purchase::Reamer),
            ToolKind::Tap => Some(Purchase::Tap),
            ToolKind::Pin => Some(Purchase::Pin),
            ToolKind::EndMill => Some(Purchase::EndMill),
            ToolKind::SlotCutter => Some(Purchase::SlotCutter),
            ToolKind::Broach => Some(Purchase::Broach),
            ToolKind::Arbor => Some(Purchase::Arbor),
            // a cutter's and a plate's ways say it themselves
            ToolKind::GearCutter
            | ToolKind::DividingHead
            | ToolKind::Instrument
            | ToolKind::Small
            | ToolKind::Machine
            | ToolKind::Stock
            | ToolKind::Mate => None,
        };
        let known = purchase.filter(|purchase| self.shop.drawers.bought_at.iter().any(|(known, _)| known == purchase));
        if let Some(purchase) = known {
            ways.push(format!("Bought: {}.", self.shop.price_sentence(purchase)));
        }
        ways
    }

    /// The first machine of a kind that is large enough, and its spindle.
    fn machine(&mut self, kind: MachineKind, need: Need, wanted_for: &str) -> (MachinePick, Spindle) {
        let mut too_small: Option<(String, Vec<String>)> = None;
        for machine in self.shop.machines_of(kind) {
            let short = self.shortfalls(machine, need);
            if short.is_empty() {
                let pick = MachinePick { kind, name: machine.name.clone(), owned: true, note: None };
                let spindle = Spindle {
                    speeds: machine.speeds.clone(),
                    largest_drill: machine.largest_drill,
                    stiffness: machine.stiffness,
                };
                return (pick, spindle);
            }
            too_small.get_or_insert((machine.name.clone(), short));
        }
        let (name, note) = match too_small {
            Some((name, short)) => {
                (format!("larger {}", kind.name()), Some(format!("The {name} will not do: {}.", short.join("; "))))
            }
            None => (kind.name().to_string(), Some(format!("The shop lists no {}.", kind.name()))),
        };
        let pick = MachinePick { kind, name, owned: false, note: note.clone() };
        let ways = note.into_iter().chain(self.instead_of(kind)).collect();
        self.lack(&pick.as_tool(), wanted_for, ways);
        (pick, Spindle { speeds: Speeds::None, largest_drill: None, stiffness: Stiffness::Light })
    }

    fn shortfalls(&self, machine: &Machine, need: Need) -> Vec<String> {
        let compare = |what: &str, has: Option<Length>, wants: Option<Length>| {
            let (has, wants) = (has?, wants?);
            (has < wants).then(|| format!("{what} {} and {} is needed", self.len(has), self.len(wants)))
        };
        [
            compare("it swings", machine.swing, need.swing),
            compare("its throat is", machine.throat, need.throat),
            compare("its travel is", machine.travel, need.travel),
            compare("its largest drill is", machine.largest_drill, need.drill),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn small(&mut self, tool: SmallTool, wanted_for: &str) -> ToolPick {
        let pick = match self.shop.owns(tool) {
            true => ToolPick::owned(ToolKind::Small, tool.name()),
            false => ToolPick::missing(ToolKind::Small, tool.name()),
        };
        let way = match tool {
            SmallTool::TurningTool | SmallTool::PartingTool | SmallTool::BoringBar => {
                let time = self.shop.time_sentence(WayRound::GrindTurningTool);
                let way = format!("Grind one from a tool-steel blank: {time}.");
                self.lack(&pick, wanted_for, vec![way]);
                return pick;
            }
            SmallTool::CentreDrill => "Centre with a short stiff drill, or a punch mark for rough holes.",
            SmallTool::Countersink => "A larger drill turned by hand serves.",
            SmallTool::FlyCutterHolder => "A round bar with a cross hole and a set screw serves.",
            SmallTool::Files => "Buy a second-cut flat and a half-round file; no job is finished without.",
            SmallTool::Scriber => "A sharp hard point and layout dye serve.",
            SmallTool::TransferPunch => "A drill that just fits the mate's hole spots as well, turned by hand.",
            SmallTool::GuideBushes => "Turn a plug to the bore with a slot for the broach, and cut shims of sheet.",
            SmallTool::Indicator => "Set true with a scriber or a feeler against the turning work; slower and coarser.",
        };
        self.lack(&pick, wanted_for, vec![way.to_string()]);
        pick
    }

    /// Speed and feed of a tool; nothing where the material is not in the tables.
    fn running(
        &self,
        tool: &str,
        doing: Doing,
        diameter: Length,
        spindle: &Spindle,
        material: Option<&'static Material>,
        feed: FeedOf,
    ) -> Vec<Running> {
        let Some(material) = material.filter(|_| diameter > Length::ZERO) else {
            return Vec::new();
        };
        // "turning tool, roughing from 5 in" is a turning tool
        let named = SmallTool::named(tool.split(',').next().unwrap_or(tool));
        let edge = named.map_or(ToolMaterial::HighSpeedSteel, |tool| self.shop.made_of(tool));
        let speed = speeds::speed_with(material, doing, diameter, &spindle.speeds, edge);
        let feed = feed.look_up(material, diameter, speed.real);
        let tipped = if edge == ToolMaterial::Carbide { " (carbide)" } else { "" };
        let mut sentence = format!("{}{tipped}: {}", safety::capital(tool), speed.sentence(self.shop.unit));
        if let Some(feed) = &feed {
            sentence = format!("{sentence}, feed {}", feed.sentence(self.shop.unit));
        }
        sentence.push('.');
        if let Some(note) = &speed.note {
            sentence = format!("{sentence} {note}");
        }
        match cutting::fluid(material) {
            _ if material.dry => sentence.push_str(" Cut dry."),
            Some(fluid) => sentence.push_str(&format!(" On the cut: {fluid}.")),
            None => {}
        }
        vec![Running { tool: tool.to_string(), speed, feed, travel: None, sentence }]
    }

    fn bores_of(&self) -> Vec<(&'a Cut, &'a HoleWork)> {
        self.hole_cuts().into_iter().filter(|(cut, hole)| is_bore(cut, hole)).collect()
    }

    fn hole_cuts(&self) -> Vec<(&'a Cut, &'a HoleWork)> {
        self.of(|work| match work {
            Work::Hole(hole) => Some(hole),
            _ => None,
        })
    }

    fn teeth_cuts(&self) -> Vec<(&'a Cut, &'a TeethWork)> {
        self.of(|work| match work {
            Work::Teeth(teeth) => Some(teeth),
            _ => None,
        })
    }

    fn bush_cuts(&self) -> Vec<(&'a Cut, &'a Bush)> {
        self.of(|work| match work {
            Work::Bush(bush) => Some(bush),
            _ => None,
        })
    }

    fn keyway_cuts(&self) -> Vec<(&'a Cut, &'a KeywayWork)> {
        self.of(|work| match work {
            Work::Keyway(keyway) => Some(keyway),
            _ => None,
        })
    }

    fn of<T>(&self, pick: impl Fn(&'a Work) -> Option<&'a T>) -> Vec<(&'a Cut, &'a T)> {
        self.brief.cuts.iter().filter_map(|cut| Some((cut, pick(&cut.work)?))).collect()
    }

    fn turns(&self) -> Vec<Turned<'a>> {
        self.brief
            .cuts
            .iter()
            .filter_map(|cut| match &cut.work {
                Work::Turn { diameter, limits, length, pressed } => {
                    Some(Turned { cut, diameter: *diameter, limits: *limits, length: *length, pressed: *pressed })
                }
                Work::Teeth(_) | Work::Hole(_) | Work::Bush(_) | Work::Keyway(_) | Work::Profile { .. } => None,
            })
            .collect()
    }

    /// The hole everything else is made true to: the bush's where there is one, as finished.
    fn datum(&self) -> Option<Length> {
        let bush = self.bush_cuts().first().map(|(_, bush)| bush.inside);
        bush.or_else(|| self.bores_of().first().map(|(_, bore)| self.bored_to(bore)))
    }

    /// The size a bore has until the part leaves the shop: that of a bush to be pressed in is finished in its place.
    fn bored_to(&self, bore: &HoleWork) -> Length {
        if self.is_bush() { bore.diameter - bore::LEFT_IN_BUSH } else { bore.diameter }
    }

    /// Is the part itself a bush, pressed into its place when it is done?
    fn is_bush(&self) -> bool {
        !self.bores_of().is_empty() && self.turns().iter().any(|turned| turned.pressed)
    }

    fn owns(&self, kind: MachineKind) -> bool {
        self.shop.machines_of(kind).next().is_some()
    }

    fn thickness(&self) -> Option<Length> {
        self.brief
            .thickness
            .or(self.brief.face_width)
            .or_else(|| self.teeth_cuts().iter().find_map(|(_, teeth)| teeth.face_width))
            .or_else(|| self.bores_of().iter().find_map(|(_, bore)| bore.depth).filter(|_| self.is_turned()))
    }

    fn pieces_for(&self, cut: &Cut) -> Pieces {
        if cut.match_made { Pieces::Fitted } else { Pieces::All }
    }
}

/// An outside cylinder with its cut.
struct Turned<'a> {
    cut: &'a Cut,
    diameter: Length,
    limits: Limits,
    length: Option<Length>,
    pressed: bool,
}

/// Which table a feed is read from.
#[derive(Clone, Copy)]
enum FeedOf {
    Drill,
    Reamer,
    Turning(Pass),
    Teeth(MillingCutter, u32),
}

impl FeedOf {
    fn look_up(self, material: &Material, diameter: Length, real: Option<f64>) -> Option<Feed> {
        let per_turn = |lo, hi| Feed { per: FeedPer::Turn, lo, hi, per_minute: None };
        match self {
            FeedOf::Drill => cutting::drill_feed(material, diameter).map(|feed| per_turn(feed, feed)),
            FeedOf::Reamer => cutting::reamer_feed(material, diameter).map(|feed| per_turn(feed.lo, feed.hi)),
            FeedOf::Turning(pass) => cutting::turning_feed(material, pass).map(|feed| per_turn(feed.lo, feed.hi)),
            FeedOf::Teeth(cutter, teeth) => cutting::tooth_feed(material, cutter).map(|feed| Feed {
                per: FeedPer::Tooth,
                lo: feed.lo,
                hi: feed.hi,
                per_minute: real.map(|real| table_feed(real, teeth, (feed.lo + feed.hi) / 2.0)),
            }),
        }
    }
}

/// A hole about the centre, located from nothing else: the datum of the part.
fn is_bore(cut: &Cut, hole: &HoleWork) -> bool {
    let central = |place: &Place| place.radius.is_some_and(|radius| radius.abs() < Length::from_mm(1e-6));
    !cut.match_made && hole.places.iter().all(central)
}

/// A size may be said by its nominal only where that is one that passes.
fn holds_nominal(limits: Limits) -> bool {
    limits.lower <= Length::ZERO && limits.upper >= Length::ZERO
}

/// The size that is worked to: the nominal one or, where that does not pass, the middle of its limits.
fn aim(nominal: Length, limits: Limits) -> Length {
    if holds_nominal(limits) { nominal } else { nominal + (limits.lower + limits.upper) / 2.0 }
}
