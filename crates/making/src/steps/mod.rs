//! The steps of a plan, one file for each sort of work; here what they share: machines, tools and instruments picked from
//! the shop, what is lacking written down once.

mod blanking;
mod bore;
mod finishing;
mod holes;
mod keyway;
mod outline;
mod teeth;
mod turning;

use part::{Bush, Cut, HoleWork, KeywayWork, Place, TeethWork, Work};
use quantity::{Length, print};
use standards::Material;
use standards::cutting::{self, MillingCutter, Pass};
use standards::fits::Limits;

use crate::blank::Blank;
use crate::indexing::IndexSheet;
use crate::order::{Draft, Step};
use crate::plan::{Brief, Check, Feed, FeedPer, MachinePick, Operation, Pieces, Running};
use crate::safety;
use crate::shop::{Machine, MachineKind, Shop, SmallTool, Speeds};
use crate::speeds::{self, Doing, table_feed};
use crate::tools::{Lack, ToolKind, ToolPick};

/// Tighter than this, a caliper is not trusted; common practice (its error limits are 0.02 to 0.03 mm).
const CALIPER_TOLERANCE: Length = Length::from_mm(0.1);

pub(crate) struct Planner<'a> {
    pub brief: &'a Brief,
    pub shop: &'a Shop,
    pub drafts: Vec<Draft>,
    pub lacking: Vec<Lack>,
    pub indexing: Option<IndexSheet>,
    pub blank: Blank,
    pub notes: Vec<String>,
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

impl<'a> Planner<'a> {
    pub fn new(brief: &'a Brief, shop: &'a Shop) -> Planner<'a> {
        let material = standards::material(&brief.material);
        let mut planner = Planner {
            brief,
            shop,
            drafts: Vec::new(),
            lacking: Vec::new(),
            indexing: None,
            blank: blanking::blank(brief, shop),
            notes: Vec::new(),
            material,
        };
        planner.note_material();
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
            return;
        };
        if let Some(original) = self.brief.original_material.as_deref().and_then(standards::material)
            && original.name != material.name
        {
            let ratio = material.uts_mpa / original.uts_mpa;
            let how = if ratio < 0.95 { "weaker: have the part's strength looked at" } else { "as strong or stronger" };
            self.notes.push(format!(
                "The original was {}; {} is {how} (tensile strength {:.0} to {:.0} MPa, typical values).",
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

    /// An operation with its step's cautions; the rest is filled in by its maker.
    fn draft(&self, step: Step, title: impl Into<String>, machine: MachinePick, set_up: impl Into<String>) -> Draft {
        let set_up = set_up.into();
        let mut cautions: Vec<String> = safety::cautions(step).iter().map(|text| (*text).to_string()).collect();
        let makes_chips = !matches!(step, Step::PressBush | Step::FinalCheck | Step::MakeBush | Step::MakePlug);
        if let Some(caution) = self.material.filter(|_| makes_chips).and_then(|material| material.caution.clone()) {
            cautions.push(caution);
        }
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
        self.lacking.push(Lack {
            kind: tool.kind,
            label: tool.label.clone(),
            wanted_for: wanted_for.to_string(),
            ways,
        });
    }

    /// The first machine of a kind that is large enough, and its spindle speeds.
    fn machine(&mut self, kind: MachineKind, need: Need, wanted_for: &str) -> (MachinePick, Speeds) {
        let mut too_small: Option<(String, Vec<String>)> = None;
        for machine in self.shop.machines_of(kind) {
            let short = self.shortfalls(machine, need);
            if short.is_empty() {
                let pick = MachinePick { kind, name: machine.name.clone(), owned: true, note: None };
                return (pick, machine.speeds.clone());
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
        let ways = note.into_iter().chain(instead_of(kind).iter().map(|way| (*way).to_string())).collect();
        self.lack(&pick.as_tool(), wanted_for, ways);
        (pick, Speeds::None)
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
                "Grind one from a tool-steel blank."
            }
            SmallTool::CentreDrill => "Centre with a short stiff drill, or a punch mark for rough holes.",
            SmallTool::Countersink => "A larger drill turned by hand serves.",
            SmallTool::FlyCutterHolder => "A round bar with a cross hole and a set screw serves.",
            SmallTool::Files => "Buy a second-cut flat and a half-round file; no job is finished without.",
            SmallTool::Scriber => "A sharp hard point and layout dye serve.",
            SmallTool::TransferPunch => "A drill that just fits the mate's hole spots as well, turned by hand.",
            SmallTool::Indicator => "Set true with a scriber or a feeler against the turning work; slower and coarser.",
        };
        self.lack(&pick, wanted_for, vec![way.to_string()]);
        pick
    }

    fn instrument(&mut self, name: &str, wanted_for: &str) -> ToolPick {
        let known = |instrument: &quantity::Instrument| {
            instrument.name.eq_ignore_ascii_case(name)
                || instrument.aliases.iter().any(|alias| alias.eq_ignore_ascii_case(name))
        };
        let pick = match self.shop.instruments.iter().find(|instrument| known(instrument)) {
            Some(instrument) => ToolPick::owned(ToolKind::Instrument, instrument.name.clone()),
            None => ToolPick::missing(ToolKind::Instrument, name),
        };
        self.lack(&pick, wanted_for, vec![format!("Borrow a {name}: without it this size cannot be vouched for.")]);
        pick
    }

    /// A dimension with limits, and what it is measured with.
    fn check(
        &mut self,
        feature: &str,
        what: &str,
        nominal: Length,
        limits: Option<Limits>,
        side: Side,
        wanted_for: &str,
    ) -> Check {
        let (lower, upper) = match limits {
            Some(limits) => {
                let (lower, upper) = limits.sizes(nominal);
                (Some(lower), Some(upper))
            }
            None => (None, None),
        };
        let tolerance = limits.map(|limits| limits.tolerance());
        let instrument = self.instrument_for(side, tolerance, lower.zip(upper), wanted_for);
        let size = match (lower, upper) {
            (Some(lower), Some(upper)) => {
                format!("{} to {}", print::figures(lower, self.shop.unit, 3), self.fine(upper))
            }
            _ => self.len(nominal),
        };
        let how = instrument.note.as_ref().map_or(String::new(), |note| format!(" {note}"));
        let sentence = format!("{}: {size}, by {}.{how}", capital(what), instrument.label);
        Check {
            feature: feature.to_string(),
            what: what.to_string(),
            nominal: Some(nominal),
            lower,
            upper,
            instrument,
            sentence,
        }
    }

    fn instrument_for(
        &mut self,
        side: Side,
        tolerance: Option<Length>,
        sizes: Option<(Length, Length)>,
        wanted_for: &str,
    ) -> ToolPick {
        let fine = tolerance.is_some_and(|tolerance| tolerance < CALIPER_TOLERANCE);
        match side {
            Side::Inside => {
                if let Some(pins) = sizes.and_then(|(lower, upper)| self.go_and_not_go(lower, upper)) {
                    return pins;
                }
                match fine {
                    true => self
                        .instrument("micrometer", wanted_for)
                        .noted("Over a telescopic or small-hole gauge set in the hole."),
                    false => {
                        self.instrument("caliper", wanted_for).noted("Inside jaws; a small hole shows a little under.")
                    }
                }
            }
            Side::Outside if fine => self.instrument("micrometer", wanted_for),
            Side::Outside => self.instrument("caliper", wanted_for),
            Side::Depth if fine => self.instrument("depth micrometer", wanted_for),
            Side::Depth => self.instrument("caliper", wanted_for).noted("Depth rod, or the machine's own dial."),
        }
    }

    /// Two owned pins that bracket a hole: one within its lower half goes, one just above its upper limit does not.
    fn go_and_not_go(&self, lower: Length, upper: Length) -> Option<ToolPick> {
        let middle = (lower + upper) / 2.0;
        let beyond = Length::from_mm(0.03).max(upper - lower);
        let pins = &self.shop.drawers.pins;
        let go = pins
            .iter()
            .copied()
            .filter(|pin| *pin >= lower && *pin <= middle)
            .max_by(|a, b| a.mm().total_cmp(&b.mm()))?;
        let not_go = pins
            .iter()
            .copied()
            .filter(|pin| *pin > upper && *pin <= upper + beyond)
            .min_by(|a, b| a.mm().total_cmp(&b.mm()))?;
        Some(ToolPick::owned(ToolKind::Pin, format!("pins: {} goes, {} does not", self.fine(go), self.fine(not_go))))
    }

    /// Speed and feed of a tool; nothing where the material is not in the tables.
    fn running(
        &self,
        tool: &str,
        doing: Doing,
        diameter: Length,
        spindle: &Speeds,
        material: Option<&'static Material>,
        feed: FeedOf,
    ) -> Vec<Running> {
        let Some(material) = material.filter(|_| diameter > Length::ZERO) else {
            return Vec::new();
        };
        let speed = speeds::speed(material, doing, diameter, spindle);
        let feed = feed.look_up(material, diameter, speed.real);
        let mut sentence = format!("{}: {}", capital(tool), speed.sentence(self.shop.unit));
        if let Some(feed) = &feed {
            sentence = format!("{sentence}, feed {}", feed.sentence(self.shop.unit));
        }
        sentence.push('.');
        if let Some(note) = &speed.note {
            sentence = format!("{sentence} {note}");
        }
        if material.dry {
            sentence.push_str(" Cut dry.");
        }
        vec![Running { tool: tool.to_string(), speed, feed, sentence }]
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
                Work::Turn { diameter, limits, length } => {
                    Some(Turned { cut, diameter: *diameter, limits: *limits, length: *length })
                }
                Work::Teeth(_) | Work::Hole(_) | Work::Bush(_) | Work::Keyway(_) | Work::Profile { .. } => None,
            })
            .collect()
    }

    /// The hole everything else is made true to: the bush's where there is one, as finished.
    fn datum(&self) -> Option<Length> {
        let bush = self.bush_cuts().first().map(|(_, bush)| bush.inside);
        bush.or_else(|| self.bores_of().first().map(|(_, bore)| bore.diameter))
    }

    fn thickness(&self) -> Option<Length> {
        self.brief
            .thickness
            .or(self.brief.face_width)
            .or_else(|| self.teeth_cuts().iter().find_map(|(_, teeth)| teeth.face_width))
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
    length: Length,
}

#[derive(Clone, Copy)]
enum Side {
    Inside,
    Outside,
    Depth,
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

/// What a shop without the machine does; common practice.
const fn instead_of(kind: MachineKind) -> &'static [&'static str] {
    match kind {
        MachineKind::Lathe => &["Have it bored and turned out; a boring head on a mill does the bore."],
        MachineKind::Mill => {
            &["Have it milled out, or mill in the lathe with the cutter on an arbor and the head on the cross slide."]
        }
        MachineKind::DrillPress => &["A mill drills as well, or the lathe with the part on its faceplate."],
        MachineKind::Saw => &["A hacksaw in the vice, or chain-drill and break out."],
        MachineKind::Sander => &["Files, to the template's line."],
        MachineKind::ArborPress => {
            &["A vice with soft jaws, or draw it in with a bolt, nut and washers; never a hammer on iron."]
        }
        MachineKind::Bench => &["A stout vice on anything that does not move."],
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}
