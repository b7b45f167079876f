//! A recovered rim: what it is called, its sizes, what it adds to the drawing.

use std::f64::consts::{FRAC_PI_2, TAU};

use geometry::generate::{SectorEnd, rim, sector};
use geometry::toothing::{Helix, Rack, Toothing, ToothingError, ToothingSpec};
use part::{Centres, Characteristic, Cut, CutsToo, DataLine, Design, Drawn, Hand, Probe, Shape, Toothed};
use quantity::{Angle, Length, Line, Measured, PitchSystem, Unit, print};
use serde_json::{Map, Value, json};

use super::geometry::Flanks;
use super::readings::{FORMS, Measurand};
use super::{ToothedRim, checking, cutters, drawing, making, running};

/// What the toothing is called, if a standard series has it.
#[derive(Clone, Debug, PartialEq)]
pub enum Name {
    Standard { system: PitchSystem, value: f64, rack: String, rack_id: String },
    None,
}

#[derive(Clone, Debug)]
pub struct RimDesign {
    pub feature: String,
    pub name: Name,
    pub whole: bool,
    /// In the whole circle.
    pub teeth: u32,
    /// Really there, and so to be cut.
    pub teeth_cut: u32,
    pub rack: Rack,
    /// Of the normal section, as the rack.
    pub module: Length,
    /// Helix angle on the pitch cylinder; none of spur teeth.
    pub helix: Option<Angle>,
    pub hand: Option<Hand>,
    /// Somebody looked whether the teeth lean, also where they do not.
    lean_read: bool,
    /// Of the teeth to make: as recovered, unless undercut is to be cured.
    pub profile_shift: f64,
    pub shift_found: f64,
    /// The least taken off the new teeth for backlash, as an arc of the pitch circle.
    pub thinning: Length,
    /// Rounds the edge of the new tips.
    pub tip_rounding: Length,
    /// The teeth as they were found, worn.
    pub found: Flanks,
    pub thinning_found: Length,
    pub tip_loss_found: Length,
    /// The teeth to make, or why such teeth cannot be made.
    pub toothing: Result<Toothing, ToothingError>,
    pub face_width: Option<Measured<Length>>,
    /// Class of ISO 1328-1 that is asked.
    pub accuracy: u32,
    pub centres: Vec<Centres>,
    /// Measuring pins the shop owns.
    pub pins: Vec<Length>,
    /// Gear cutters the shop owns, by module and pressure angle.
    pub cutters: Vec<(Length, Angle)>,
    /// Readings that such teeth cannot have given.
    objections: Vec<(usize, String)>,
}

/// What the fit of a candidate to the readings gives.
pub struct RimFit<'a> {
    pub rim: &'a ToothedRim,
    pub name: Name,
    pub rack: Rack,
    pub teeth: u32,
    pub module: Length,
    pub profile_shift: f64,
    pub helix: Option<Angle>,
    pub found: Flanks,
    pub thinning: Length,
    pub tip_loss: Length,
    pub pins: Vec<Length>,
    pub cutters: Vec<(Length, Angle)>,
}

/// New teeth are thinned for backlash by this part of the module, and may be thinner by as much again: two such wheels
/// run with 0.04 to 0.08 modules of backlash (common practice for cut spur teeth, without source).
pub const BACKLASH_THINNING: f64 = 0.02;
pub const THICKNESS_TOLERANCE: f64 = 0.02;

/// Drawn flanks keep this close to the true ones.
pub const DRAWN: Length = Length::from_micrometres(2.0);

impl RimDesign {
    pub fn new(fit: RimFit<'_>) -> RimDesign {
        let RimFit { rim, name, rack, teeth, module, helix, found, thinning, tip_loss, pins, cutters, .. } = fit;
        // a shift is stated to the thousandth of a module; what the readings add beyond is noise
        let shift_found = (fit.profile_shift * 1000.0).round() / 1000.0;
        let least_thinning = rim.thinning().unwrap_or(module * BACKLASH_THINNING);
        let teeth_with = |profile_shift, thinning| {
            let helix = helix.map(|angle| Helix { angle, face: rim.face_width().map(|face| face.value) });
            Toothing::new(ToothingSpec { teeth, module, rack, profile_shift, thinning, tip_diameter: None, helix })
        };
        let profile_shift = match teeth_with(shift_found, Length::ZERO) {
            Ok(as_found) if rim.cures_undercut() => shift_found.max(cured(&as_found)),
            Ok(_) | Err(_) => shift_found,
        };
        let toothing = teeth_with(profile_shift, least_thinning);
        RimDesign {
            objections: toothing.as_ref().map(|toothing| checking::objections(rim, toothing)).unwrap_or_default(),
            feature: rim.name.clone(),
            name,
            whole: rim.whole,
            teeth,
            teeth_cut: if rim.whole { teeth } else { rim.teeth_present().unwrap_or(teeth).min(teeth) },
            rack,
            module,
            helix,
            hand: rim.hand(),
            lean_read: rim.readings.iter().any(|reading| reading.means == Some(Measurand::HelixAngle)),
            profile_shift,
            shift_found,
            thinning: least_thinning,
            tip_rounding: rim.tip_rounding().unwrap_or(Length::ZERO),
            found,
            thinning_found: thinning,
            tip_loss_found: tip_loss,
            toothing,
            face_width: rim.face_width(),
            accuracy: rim.accuracy,
            centres: rim.centres(),
            pins,
            cutters,
        }
    }

    /// "10 DP", "module 2.5".
    pub fn size_label(&self) -> String {
        match &self.name {
            Name::Standard { system, value, .. } => system.label(*value),
            Name::None => format!("no standard size (module {})", print::number(self.module.mm())),
        }
    }

    pub fn rack_name(&self) -> String {
        match &self.name {
            Name::Standard { rack, .. } => rack.clone(),
            Name::None => format!("{} teeth", print::angle(self.rack.pressure_angle)),
        }
    }

    pub fn tip_diameter(&self) -> Length {
        self.tip_diameter_at(self.profile_shift)
    }

    pub fn root_diameter(&self) -> Length {
        self.root_diameter_at(self.profile_shift)
    }

    fn tip_diameter_at(&self, shift: f64) -> Length {
        self.pitch_diameter() + self.module * (2.0 * (self.rack.addendum + shift))
    }

    fn root_diameter_at(&self, shift: f64) -> Length {
        self.pitch_diameter() - self.module * (2.0 * (self.rack.dedendum - shift))
    }

    /// d = m z/cos β (ISO 21771:2007).
    pub fn pitch_diameter(&self) -> Length {
        self.module * (f64::from(self.teeth) / self.helix.map_or(1.0, Angle::cos))
    }

    /// s = m (π/2 + 2 x tan α), without backlash, square to the teeth (ISO 21771:2007).
    pub fn full_thickness(&self) -> Length {
        self.full_thickness_at(self.profile_shift)
    }

    fn full_thickness_at(&self, shift: f64) -> Length {
        self.module * (FRAC_PI_2 + 2.0 * shift * self.rack.pressure_angle.tan())
    }

    /// "helix 21.0° right hand"
    pub fn leaning(&self, helix: Angle) -> String {
        let hand = self.hand.map_or(String::new(), |hand| format!(" {} hand", hand.name()));
        format!("helix {:.1}°{hand}", helix.degrees())
    }

    fn match_the_helix(&self, unit: Unit) -> String {
        let tenth = Angle::from_degrees(0.1).radians();
        let over = self.face_width.map_or("each tenth of a degree shows over the face".to_string(), |face| {
            format!("each tenth of a degree is {} over the face", print::length(face.value * tenth, unit, 2))
        });
        format!(
            "The helix angle is that of the pitch circle, reckoned from all readings together. On parallel axes it must be the mate's, and {over}: before the spaces are cut to depth, try one against the mate with marking blue."
        )
    }

    /// Where the backlash comes from.
    pub fn thinning_from(&self) -> &'static str {
        if self.thinning == self.module * BACKLASH_THINNING { "common practice" } else { "as the job says" }
    }

    /// How far a tooth goes along the axis while it goes once round; none of spur teeth.
    pub fn lead(&self) -> Option<Length> {
        self.toothing.as_ref().ok()?.lead()
    }

    /// What new teeth are thinned by, from the least to the most.
    pub fn thinnings(&self) -> [Length; 2] {
        [self.thinning, self.thinning + self.module * THICKNESS_TOLERANCE]
    }
}

/// The least shift without undercut, rounded up to what a shift is stated to.
fn cured(toothing: &Toothing) -> f64 {
    (toothing.least_shift_without_undercut() * 1000.0).ceil() / 1000.0
}

impl Design for RimDesign {
    fn sentence(&self, unit: Unit) -> String {
        let shift = match self.shift_found {
            0.0 => String::new(),
            x => format!(", profile shift {x:+.3}").replace('-', "−"),
        };
        let what = match &self.name {
            Name::Standard { rack, .. } => {
                format!("{}-tooth, {}, {rack}{shift}", self.teeth, self.size_label())
            }
            Name::None => {
                format!(
                    "{} teeth of no standard size, base pitch {}",
                    self.teeth,
                    print::length(Length::from_mm(self.found.base_pitch()), unit, 3)
                )
            }
        };
        let what = match self.helix {
            Some(helix) => format!("{what}, {}", self.leaning(helix)),
            None => what,
        };
        if self.whole { format!("{what}, whole wheel") } else { format!("{what}, sector of {} teeth", self.teeth_cut) }
    }

    fn remarks(&self, unit: Unit) -> Vec<String> {
        let mut out = Vec::new();
        if self.name != Name::None && self.thinning_found > self.module * 0.01 {
            out.push(format!(
                "The teeth are {} thinner than full, from backlash allowance and wear.",
                print::length(self.thinning_found, unit, 2)
            ));
        }
        if self.tip_loss_found > self.module * 0.02 {
            out.push(format!("The tips have lost {} of radius.", print::length(self.tip_loss_found, unit, 2)));
        }
        match &self.toothing {
            Ok(toothing) if toothing.is_undercut() => out.push("The roots are undercut.".into()),
            Ok(_) => {}
            Err(error) => out.push(format!("Such teeth cannot be generated: {error}")),
        }
        if self.name == Name::None && self.cut_too().is_empty() {
            let otherwise = if self.helix.is_none() { ", or have the rim cut by wire from the profile" } else { "" };
            out.push(format!(
                "No standard cutter gives such flanks: grind a single-point cutter to the drawn space{otherwise}."
            ));
        }
        if self.name == Name::None && !self.lean_read {
            out.push("If its teeth lean, write `helix angle A`: helical teeth of a standard look like none until that is read; `helix angle 0` says that they are straight.".into());
        }
        if self.helix.is_some() {
            out.push(self.match_the_helix(unit));
            if self.hand.is_none() {
                out.push("Which way the teeth lean is not said: write hand = \"right\" if they run like the thread of an ordinary screw, or \"left\".".into());
            }
        }
        out
    }

    fn record(&self) -> Map<String, Value> {
        let size = match &self.name {
            Name::Standard { system, value, .. } => {
                json!({"system": system.name(), "value": value})
            }
            Name::None => Value::Null,
        };
        let rack = match &self.name {
            Name::Standard { rack_id, .. } => json!(rack_id),
            Name::None => Value::Null,
        };
        let fields = json!({
            "teeth": self.teeth,
            "teeth_cut": self.teeth_cut,
            "size": size,
            "rack": rack,
            "module_mm": self.module.mm(),
            "pressure_angle_deg": self.rack.pressure_angle.degrees(),
            "profile_shift": self.shift_found,
            "helix_deg": self.helix.map_or(0.0, Angle::degrees),
            "tip_diameter_mm": self.tip_diameter_at(self.shift_found).mm(),
            "root_diameter_mm": self.root_diameter_at(self.shift_found).mm(),
            "base_pitch_mm": self.found.base_pitch(),
            "tooth_thickness_mm": (self.full_thickness_at(self.shift_found) - self.thinning_found).mm(),
            "tooth_thickness_full_mm": self.full_thickness_at(self.shift_found).mm(),
        });
        let mut out = match fields {
            Value::Object(map) => map,
            _ => Map::new(),
        };
        if self.helix.is_some() {
            out.insert("hand".into(), json!(self.hand));
            out.insert("lead_mm".into(), json!(self.lead().map(Length::mm)));
        }
        out
    }

    fn data(&self, unit: Unit) -> Vec<DataLine> {
        let size = |length: Length| print::length(length, unit, 3);
        let mut out = vec![DataLine::new("Number of teeth", self.teeth.to_string())];
        if !self.whole {
            out[0].name = "Number of teeth, whole circle".into();
            out.push(DataLine::new("Teeth cut", self.teeth_cut.to_string()));
        }
        let of = if self.helix.is_some() { "Normal module" } else { "Module" };
        match &self.name {
            Name::Standard { system: PitchSystem::Module, value, .. } => {
                out.push(DataLine::new(of, format!("{} mm", print::number(*value))))
            }
            Name::Standard { system, value, .. } => {
                out.push(DataLine::new(capital(system.name()), system.label(*value)));
                out.push(DataLine::new(of, print::length(self.module, Unit::Millimetre, 4)));
            }
            Name::None => {
                out.push(DataLine::new(format!("{of}, nearest fit"), print::length(self.module, Unit::Millimetre, 4)))
            }
        }
        out.push(DataLine::new("Pressure angle", print::angle(self.rack.pressure_angle)));
        out.push(DataLine::new("Basic rack", self.rack_name()));
        if let (Some(helix), Some(lead)) = (self.helix, self.lead()) {
            let hand = self.hand.map_or("not said", Hand::name);
            out.push(DataLine::new("Helix angle", format!("{:.2}°", helix.degrees())));
            out.push(DataLine::new("Hand of helix", hand));
            out.push(DataLine::new("Lead", size(lead)));
        }
        out.push(DataLine::new("Profile shift", format!("{:.3}", self.profile_shift).replace('-', "−")));
        out.push(DataLine::new("Pitch diameter", size(self.pitch_diameter())));
        out.push(DataLine::new(
            "Tip diameter",
            limits(self.tip_diameter(), self.module * checking::TIP_TOLERANCE, unit),
        ));
        out.push(DataLine::new(
            "Root diameter, as cut",
            limits(
                self.root_diameter() + checking::root_limits(self).upper,
                checking::root_limits(self).tolerance(),
                unit,
            ),
        ));
        let depth = (self.tip_diameter() - self.root_diameter()) / 2.0;
        let deeper = checking::extra_depth(self);
        out.push(DataLine::new("Whole depth", size(depth)));
        out.push(DataLine::new("Cut deeper for backlash", format!("about {}", size(deeper))));
        if let Ok(toothing) = &self.toothing {
            out.push(DataLine::new("Base diameter", size(toothing.base_diameter())));
            out.push(DataLine::new("Base pitch", size(toothing.normal_base_pitch())));
            out.push(DataLine::new(
                if self.helix.is_some() { "Normal tooth thickness (arc)" } else { "Tooth thickness (arc)" },
                limits(self.full_thickness() - self.thinning, self.module * THICKNESS_TOLERANCE, unit),
            ));
            if let (Ok(chord), Ok(height)) = (
                toothing.chordal_thickness(self.pitch_diameter() / 2.0),
                toothing.chordal_height(self.pitch_diameter() / 2.0),
            ) {
                out.push(DataLine::new(
                    "Chordal thickness at height",
                    format!("{} at {}", print::figures(chord, unit, 3), size(height)),
                ));
            }
        }
        out
    }

    fn shapes(&self) -> Vec<Shape> {
        self.shapes_within(DRAWN)
    }

    fn shapes_within(&self, within: Length) -> Vec<Shape> {
        match &self.toothing {
            Ok(toothing) if self.whole => vec![Shape::Boundary(rim(toothing, within))],
            Ok(toothing) => vec![Shape::Piece(sector(toothing, self.teeth_cut, within, SectorEnd::MiddleOfSpace))],
            Err(_) => Vec::new(),
        }
    }

    fn twist(&self) -> Option<f64> {
        if self.helix.is_none() {
            return Some(0.0);
        }
        // a right-hand screw turns counter-clockwise as it comes nearer
        let turns = match self.hand? {
            Hand::Right => 1.0,
            Hand::Left => -1.0,
        };
        let lead = self.toothing.as_ref().ok()?.lead()?;
        Some(turns * TAU / lead.mm())
    }

    fn objections(&self) -> Vec<(usize, String)> {
        self.objections.clone()
    }

    fn cut_too(&self) -> Vec<CutsToo> {
        cutters::cut_too(self)
    }

    fn drawn(&self, unit: Unit) -> Drawn {
        match &self.toothing {
            Ok(toothing) => drawing::drawn(self, toothing, unit),
            Err(_) => Drawn::default(),
        }
    }

    fn toothed(&self) -> Option<Toothed> {
        running::toothed(self)
    }

    fn characteristics(&self, unit: Unit) -> Vec<Characteristic> {
        checking::characteristics(self, unit)
    }

    fn characteristic_read(&self, line: &Line, unit: Unit) -> Option<Characteristic> {
        checking::characteristic_read(self, line, unit)
    }

    fn pin_influence(&self, characteristic: &Characteristic) -> f64 {
        checking::pin_influence(self, characteristic)
    }

    fn says_the_same(&self, one: &Characteristic, other: &Characteristic) -> bool {
        checking::says_the_same(one, other)
    }

    fn cuts(&self) -> Vec<Cut> {
        making::cuts(self)
    }

    fn probe(&self, line: &Line) -> Option<Probe> {
        checking::probe(self, &part::meaning(line, FORMS)?)
    }
}

/// `0.1551 +0.0000 −0.0020 in`
fn limits(upper: Length, tolerance: Length, unit: Unit) -> String {
    format!("{} {} {} {}", print::figures(upper, unit, 3), "+0", print::signed(-tolerance, unit, 3), unit.sign())
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
