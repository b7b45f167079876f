//! A question to the records, as it is typed.

use quantity::{Askable, Asked, Pitch, PitchSystem, Value, asked};
use record::{Condition, Fact, Query};

use super::facts::{ANY, DEGREES, MM};
use crate::shop::bench;

/// How far off a size may be that is asked for exactly: nobody types more figures than were read.
const LEAST_DOUBT: f64 = 0.01;
/// Of a tooth size that is asked for: half of what the nearest standard sizes differ by, and less.
const MODULE_DOUBT: f64 = 0.002;
const ANGLE_DOUBT: f64 = 0.1;
/// As the records name the diameter of a hole's thread.
const THREAD: &str = "thread diameter";

/// What is looked for. `measures` is what the records have numbers of ([`record::Store::measures`]).
pub fn query(text: &str, measures: &[String], most: usize) -> Query {
    let mut query = Query { most, ..Query::default() };
    for asked in read(text, measures) {
        match asked {
            Asked::Word(word) => {
                // `17`, or `job 17`
                query.number = query.number.or(word.parse().ok());
                query.words.push(word);
            }
            Asked::Count { what, count } => query.conditions.push(one(&what, f64::from(count), 0.0)),
            Asked::Length { what, values } => {
                let what = what.map_or(ANY.to_string(), |what| singular(&what, measures) + MM);
                let any_of = values.iter().filter_map(|value| fact(&what, value)).collect();
                query.conditions.push(Condition { any_of });
            }
            Asked::Pitch(pitch) => {
                let module = pitch.module().mm();
                let mut condition = one(&format!("module{MM}"), module, module * MODULE_DOUBT);
                if may_be_a_thread(&pitch) {
                    let what = format!("{THREAD}{MM}");
                    condition.any_of.push(Fact { what, value: module, tolerance: LEAST_DOUBT });
                }
                query.conditions.push(condition);
                if let Some(angle) = pitch.pressure_angle {
                    let degrees = angle.angle.degrees();
                    query.conditions.push(one(&format!("pressure angle{DEGREES}"), degrees, ANGLE_DOUBT));
                }
            }
        }
    }
    query
}

/// What a question was understood as, one thing after another.
pub fn understood(text: &str, measures: &[String]) -> Vec<String> {
    let told = |asked: &Asked| match asked {
        Asked::Pitch(pitch) if may_be_a_thread(pitch) => format!("{asked} or thread M{}", pitch.value),
        asked => asked.to_string(),
    };
    read(text, measures).iter().map(told).collect()
}

/// `M8` is a thread of metric holes too; their names have one decimal at most.
fn may_be_a_thread(pitch: &Pitch) -> bool {
    let tenths = pitch.value * 10.0;
    pitch.system == PitchSystem::Module && pitch.pressure_angle.is_none() && (tenths - tenths.round()).abs() < 1e-6
}

fn read(text: &str, measures: &[String]) -> Vec<Asked> {
    let lengths = measures.iter().filter_map(|name| name.strip_suffix(MM));
    let lengths: Vec<String> = lengths.flat_map(|name| [name.to_string(), format!("{name}s")]).collect();
    let lengths: Vec<&str> = lengths.iter().map(String::as_str).collect();
    let counts = measures.iter().filter(|name| !name.ends_with(MM) && !name.ends_with(DEGREES));
    let counts: Vec<&str> = counts.map(String::as_str).collect();
    // a bare number is read in both units, and a question names no instruments
    asked(text, Askable { lengths: &lengths, counts: &counts }, &bench(quantity::Unit::Inch, &[]))
}

/// "holes 3/32" asks for what is kept as a hole.
fn singular(name: &str, measures: &[String]) -> String {
    let kept = |name: &str| measures.iter().any(|measure| measure.strip_suffix(MM) == Some(name));
    match name.strip_suffix('s') {
        Some(one) if !kept(name) => one.to_string(),
        _ => name.to_string(),
    }
}

fn one(what: &str, value: f64, tolerance: f64) -> Condition {
    Condition { any_of: vec![Fact { what: what.into(), value, tolerance }] }
}

/// As near as it is written: half the last place, or what is said behind the ±.
fn fact(what: &str, value: &Value) -> Option<Fact> {
    let (value, tolerance) = match value {
        Value::Plain { size, half_width: None } => (size.length, size.last_place() / 2.0),
        Value::Plain { size, half_width: Some(half) } => (size.length, half.length),
        Value::Between { goes, not } => ((goes.length + not.length) / 2.0, (not.length - goes.length) / 2.0),
        Value::Turned { .. } => return None,
    };
    Some(Fact { what: what.into(), value: value.mm(), tolerance: tolerance.mm().max(LEAST_DOUBT) })
}
