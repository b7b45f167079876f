//! Readings as an invented machinist takes and writes them: which, with what, how well, and with which slip.

use quantity::{Length, MM_PER_INCH, Unit};
use standards::TeethSide;

use crate::ask::{Ask, widest_chord};
use crate::random::Random;
use crate::shop;
use crate::world::Rim;

/// One page of the notebook.
#[derive(Clone, Debug)]
pub struct Page {
    pub unit: Unit,
    /// Lines that count teeth, then one for each of `taken`.
    pub lines: Vec<String>,
    pub taken: Vec<Ask>,
    /// The line that is wrong.
    pub slip: Option<Slipped>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Slipped {
    pub line: usize,
    pub cause: &'static str,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tool {
    Micrometer,
    Caliper,
    Rule,
}

/// A machinist: a hand, and habits of writing.
#[derive(Clone, Debug)]
pub struct Machinist {
    unit: Unit,
    /// Multiplies every instrument's uncertainty.
    hand: f64,
    micrometer: bool,
    /// Decimals of millimetres or of inches from a micrometer, and from a caliper.
    fine: [usize; 2],
    names_instruments: bool,
}

impl Machinist {
    pub fn new(inch: bool, random: &mut Random) -> Machinist {
        let inch = if random.chance(0.88) { inch } else { !inch };
        let rarely = |random: &mut Random, often: usize, seldom: usize| if random.chance(0.8) { often } else { seldom };
        let fine = if inch { [rarely(random, 4, 3), 3] } else { [rarely(random, 2, 3), rarely(random, 2, 1)] };
        Machinist {
            unit: if inch { Unit::Inch } else { Unit::Millimetre },
            hand: random.between(0.7, 1.2),
            micrometer: random.chance(0.92),
            fine,
            names_instruments: random.chance(0.75),
        }
    }

    /// Takes so many readings, and slips in one of them if told to and if there is a slip that would show.
    pub fn measure(&self, rim: &Rim, count: usize, slips: bool, random: &mut Random) -> Page {
        let asks = choose(rim, count, random);
        let mut page = Page { unit: self.unit, lines: Vec::new(), taken: asks.clone(), slip: None };
        if rim.counted {
            page.lines.push(format!("{} teeth", rim.worn.teeth()));
        }
        if !rim.whole {
            page.lines.push(format!("{} teeth present", rim.present));
        }
        let wrong = slips.then(|| self.slip(rim, &asks, random)).flatten();
        for (index, ask) in asks.iter().enumerate() {
            let tool = self.tool(*ask, random);
            let slip = wrong.as_ref().filter(|wrong| wrong.0 == index);
            let tool = slip.map_or(tool, |slip| slip.1);
            // an instrument is read, and then misread
            let value = self.feel(*ask, rim, tool, random).unwrap_or(f64::NAN);
            let read = slip.map_or(value, |slip| value * slip.3 + slip.2);
            if let Some(slip) = slip {
                page.slip = Some(Slipped { line: page.lines.len(), cause: slip.4 });
            }
            page.lines.push(self.write(*ask, read, tool));
        }
        page
    }

    /// One more reading, sound; none if it cannot be taken.
    pub fn add(&self, rim: &Rim, ask: Ask, random: &mut Random) -> Option<String> {
        let tool = self.tool(ask, random);
        let value = self.feel(ask, rim, tool, random)?;
        Some(self.write(ask, value, tool))
    }

    fn tool(&self, ask: Ask, random: &mut Random) -> Tool {
        match ask {
            Ask::Span(_) | Ask::OverPins(_) if self.micrometer => Tool::Micrometer,
            Ask::OutsideDiameter | Ask::OverTheTips | Ask::WholeDepth if random.chance(0.05) => Tool::Rule,
            Ask::OutsideDiameter if self.micrometer && random.chance(0.3) => Tool::Micrometer,
            _ => Tool::Caliper,
        }
    }

    /// What the instrument shows: the truth at some place of an uneven rim, with the instrument's and the hand's error.
    fn feel(&self, ask: Ask, rim: &Rim, tool: Tool, random: &mut Random) -> Option<f64> {
        let truth = ask.truth(rim)?;
        let sigma = self.hand * standard_uncertainty(tool, truth);
        // the error of a real instrument has an end
        let error = random.normal().clamp(-2.8, 2.8) * sigma;
        Some(truth + error + rim.uneven * random.normal())
    }

    fn write(&self, ask: Ask, value: f64, tool: Tool) -> String {
        let (number, name) = match (tool, self.unit) {
            (Tool::Rule, Unit::Inch) => (sixty_fourths(value / MM_PER_INCH), "rule"),
            (Tool::Rule, Unit::Millimetre) => (format!("{:.0}", value), "rule"),
            (Tool::Micrometer, unit) => (self.decimal(value, unit, self.fine[0]), "micrometer"),
            (Tool::Caliper, unit) => (self.decimal(value, unit, self.fine[1]), "caliper"),
        };
        let named = if self.names_instruments { format!(", {name}") } else { String::new() };
        format!("{} {number}{}{named}", ask.words(self.unit), ask.tail(self.unit))
    }

    fn decimal(&self, value: f64, unit: Unit, places: usize) -> String {
        match unit {
            Unit::Inch => format!("{:.places$}", value / MM_PER_INCH),
            Unit::Millimetre => format!("{value:.places$}"),
        }
    }

    /// A slip that shows: the reading, the tool, what is added in mm, what it is multiplied with, and the cause.
    fn slip(&self, rim: &Rim, asks: &[Ask], random: &mut Random) -> Option<(usize, Tool, f64, f64, &'static str)> {
        for _ in 0..100 {
            let index = random.below(asks.len());
            let ask = asks[index];
            let tool = match self.tool(ask, random) {
                Tool::Rule => Tool::Caliper,
                tool => tool,
            };
            let Some((add, times, cause)) = self.kind_of_slip(rim, ask, tool, random) else { continue };
            let truth = ask.truth(rim)?;
            let off = (truth * times + add - truth).abs();
            if off > least_that_shows(ask, rim, tool, truth) && truth * times + add > 0.1 {
                return Some((index, tool, add, times, cause));
            }
        }
        None
    }

    fn kind_of_slip(&self, rim: &Rim, ask: Ask, tool: Tool, random: &mut Random) -> Option<(f64, f64, &'static str)> {
        let inch = self.unit == Unit::Inch;
        let sign = if random.chance(0.5) { 1.0 } else { -1.0 };
        let truth = ask.truth(rim)?;
        let to = |wrong: f64| wrong - truth;
        match random.below(7) {
            0..=1 if tool == Tool::Micrometer => {
                Some((sign * if inch { 0.025 * MM_PER_INCH } else { 0.5 }, 1.0, "one turn of the thimble"))
            }
            0..=2 => Some(if inch {
                (sign * 0.1 * MM_PER_INCH, 1.0, "a tenth of an inch")
            } else {
                (sign, 1.0, "one millimetre")
            }),
            3 => match ask {
                Ask::Span(_) => Some((
                    sign * rim.worn.base_pitch().mm(),
                    1.0,
                    if sign > 0.0 { "one tooth too many in the span" } else { "one tooth too few in the span" },
                )),
                Ask::Chord(pitches) => {
                    let wrong = if sign > 0.0 { pitches + 1 } else { pitches.saturating_sub(1) };
                    let wrong = rim.worn.chord_across_pitches(wrong).mm();
                    Some((
                        to(wrong),
                        1.0,
                        if sign > 0.0 { "one pitch too many in the chord" } else { "one pitch too few in the chord" },
                    ))
                }
                _ => None,
            },
            4 => match ask {
                Ask::OutsideDiameter | Ask::OverTheTips | Ask::RootDiameter => {
                    Some((0.0, 0.5, "a radius written for a diameter"))
                }
                Ask::TipRadius | Ask::RootRadius => Some((0.0, 2.0, "a diameter written for a radius")),
                _ => None,
            },
            5 => Some(if inch {
                (0.0, MM_PER_INCH, "millimetres written as inches")
            } else {
                (0.0, 1.0 / MM_PER_INCH, "inches written as millimetres")
            }),
            _ if ask == Ask::OutsideDiameter && rim.worn.teeth() % 2 == 1 => {
                Some((to(rim.worn.across_tips().mm()), 1.0, "an odd tooth count measured as if it were even"))
            }
            // two figures swapped, or anything else
            _ => {
                let nobody_knows = "no usual slip";
                Some((sign * random.log_between(0.2, 0.1 * truth.max(4.0)), 1.0, nobody_knows))
            }
        }
    }
}

/// A slip smaller than what wear and makers leave open is no slip that anybody could see.
fn least_that_shows(ask: Ask, rim: &Rim, tool: Tool, truth: f64) -> f64 {
    let module = rim.worn.module().mm();
    let noise = standard_uncertainty(tool, truth).hypot(rim.uneven);
    match ask {
        _ if ask.is_of_root() => 10.0 * noise + 0.3 * module,
        _ if ask.is_of_tips() => 10.0 * noise + 0.2 * module,
        Ask::Chord(_) => 10.0 * noise + 0.2 * module,
        _ => 10.0 * noise + 0.03 * module,
    }
}

fn standard_uncertainty(tool: Tool, value: f64) -> f64 {
    let name = match tool {
        Tool::Micrometer => "micrometer",
        Tool::Caliper => "caliper",
        Tool::Rule => "rule",
    };
    standards::instrument(name)
        .and_then(|instrument| instrument.length_uncertainty(Length::from_mm(value)))
        .map_or(0.05, Length::mm)
}

/// `2 5/16`, `1 63/64`, as a rule in sixty-fourths is read.
fn sixty_fourths(inches: f64) -> String {
    let all = (inches * 64.0).round().max(1.0) as u32;
    let (whole, mut part, mut of) = (all / 64, all % 64, 64);
    while part > 0 && part % 2 == 0 {
        part /= 2;
        of /= 2;
    }
    match (whole, part) {
        (whole, 0) => format!("{whole} in"),
        (0, part) => format!("{part}/{of} in"),
        (whole, part) => format!("{whole} {part}/{of} in"),
    }
}

/// Which readings: with few, those that a page of advice would name first; with more, others and some twice.
fn choose(rim: &Rim, count: usize, random: &mut Random) -> Vec<Ask> {
    let tips = match (rim.whole, rim.worn.teeth() % 2) {
        (false, _) => Ask::TipRadius,
        (true, 1) => {
            if random.chance(0.75) {
                Ask::OverTheTips
            } else {
                Ask::OutsideDiameter
            }
        }
        (true, _) => {
            if random.chance(0.6) {
                Ask::OutsideDiameter
            } else {
                Ask::OverTheTips
            }
        }
    };
    let mut spans: Vec<Ask> = (2..=40).map(Ask::Span).filter(|ask| ask.truth(rim).is_some()).collect();
    // as far apart as the flanks allow, but not always
    if random.chance(0.7) && spans.len() > 2 {
        let last = spans.len() - 1;
        spans.swap(1, last);
    } else {
        random.shuffle(&mut spans);
    }
    let mut pins = usable_pins(rim);
    random.shuffle(&mut pins);
    let pin = pins.first().copied();
    let mut first: Vec<Ask> = match count {
        2 if rim.counted && spans.len() > 1 && random.chance(0.85) => vec![spans[0], spans[1]],
        2 => [Some(tips), spans.first().copied().or(pin)].into_iter().flatten().collect(),
        _ if random.chance(0.85) || pin.is_none() => {
            [Some(tips), spans.first().copied(), spans.get(1).copied()].into_iter().flatten().collect()
        }
        _ => [Some(tips), spans.first().copied(), pin].into_iter().flatten().collect(),
    };
    let root = if rim.whole { Ask::RootDiameter } else { Ask::RootRadius };
    let depth = Length::from_mm((rim.worn.module().mm() * random.between(0.8, 1.1) * 50.0).round() / 50.0);
    let mut more: Vec<Ask> = vec![root, Ask::WholeDepth, Ask::Thickness(depth)];
    if !rim.whole {
        more.push(Ask::Chord(widest_chord(rim)));
    }
    more.extend(spans.iter().take(3));
    more.extend(pins.iter().take(2));
    more.retain(|ask| !first.contains(ask) && ask.truth(rim).is_some());
    random.shuffle(&mut more);
    // flanks tell more than roots; a page of advice says so
    more.sort_by_cached_key(|ask| ask.is_of_flanks() || random.chance(0.4));
    more.dedup();
    while first.len() < count {
        let again = more.is_empty() || random.chance(0.06);
        match (again, more.pop()) {
            (false, Some(ask)) => first.push(ask),
            _ => first.push(first[random.below(first.len())]),
        }
    }
    first
}

/// The shop's pins that touch the flanks and stand above the tips, laid as this rim needs it.
fn usable_pins(rim: &Rim) -> Vec<Ask> {
    let usual = standards::gear_pins(TeethSide::External).next().map_or(1.728, |pin| pin.constant);
    let near = |pin: &Length| (0.8..1.35).contains(&(pin.mm() / (usual * rim.worn.module().mm())));
    let ask = |pin: &Length| if rim.whole { Ask::OverPins(*pin) } else { Ask::CentreToPin(*pin) };
    shop::pins().iter().filter(|pin| near(pin)).map(ask).filter(|ask| ask.truth(rim).is_some()).collect()
}
