//! The order of operations: what must come before what, and among the orders that allow it the one with few set-ups.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::plan::Operation;

/// What an operation does, in the order that is natural where nothing forces another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Step {
    SawBlank,
    Face,
    Bore,
    MakeBush,
    PressBush,
    FinishBush,
    TurnOutside,
    TurnBlank,
    CutTeeth,
    SawOutline,
    SandOutline,
    Keyway,
    Drill,
    MakePlug,
    MatchDrill,
    Deburr,
    FinalCheck,
    Pack,
}

impl Step {
    pub const ALL: [Step; 18] = [
        Step::SawBlank,
        Step::Face,
        Step::Bore,
        Step::MakeBush,
        Step::PressBush,
        Step::FinishBush,
        Step::TurnOutside,
        Step::TurnBlank,
        Step::CutTeeth,
        Step::SawOutline,
        Step::SandOutline,
        Step::Keyway,
        Step::Drill,
        Step::MakePlug,
        Step::MatchDrill,
        Step::Deburr,
        Step::FinalCheck,
        Step::Pack,
    ];

    /// The steps that must be done before this one, and why that is so.
    pub const fn follows(self) -> &'static [Step] {
        use Step::{
            Bore, CutTeeth, Deburr, Drill, Face, FinalCheck, FinishBush, Keyway, MakeBush, MakePlug, MatchDrill, Pack,
            PressBush, SandOutline, SawBlank, SawOutline, TurnBlank, TurnOutside,
        };
        match self {
            SawBlank | MakeBush => &[],
            Face => &[SawBlank],
            // square to a clean face
            Bore => &[SawBlank, Face],
            PressBush => &[Bore, MakeBush],
            FinishBush => &[PressBush],
            // on an arbor through the bore that is the datum of everything
            TurnOutside | TurnBlank => &[SawBlank, Face, Bore, PressBush, FinishBush],
            CutTeeth => &[SawBlank, Face, Bore, PressBush, FinishBush, TurnOutside, TurnBlank],
            // a whole round blank is stiff and turns true; what is not wanted comes off afterwards
            SawOutline => &[SawBlank, Face, Bore, PressBush, FinishBush, TurnOutside, TurnBlank, CutTeeth],
            SandOutline => &[SawOutline],
            // an arbor seats best in a bore that is not broken by a keyway
            Keyway => &[SawBlank, Face, Bore, PressBush, FinishBush, TurnOutside, TurnBlank, CutTeeth],
            Drill => &[SawBlank, Face, Bore, PressBush, FinishBush, TurnOutside, TurnBlank, CutTeeth],
            MakePlug => &[Bore, PressBush, FinishBush],
            // the finished part is laid on its mate, lined up by the plug
            MatchDrill => &[
                SawBlank,
                Face,
                Bore,
                PressBush,
                FinishBush,
                TurnOutside,
                TurnBlank,
                CutTeeth,
                SandOutline,
                Keyway,
                Drill,
                MakePlug,
            ],
            // everything that raises a burr or marks a surface is behind it
            Deburr => Step::ALL.split_at(15).0,
            FinalCheck => Step::ALL.split_at(16).0,
            Pack => Step::ALL.split_at(17).0,
        }
    }
}

/// An operation before it has its number, with what tells one set-up from another.
#[derive(Clone, Debug)]
pub(crate) struct Draft {
    pub operation: Operation,
    /// The machine and how the work is held; equal keys are one set-up.
    pub holding: String,
}

/// Numbers the operations: each after all that it must follow, in an order that has the fewest set-ups of all that do so.
///
/// What is ready in the set-up that stands is always done first, for it could only cost a set-up later; so an order is
/// a row of holdings, and they are tried breadth first: the first row that does everything is a shortest one. Among
/// equally short rows the natural order of the steps decides.
pub(crate) fn arrange(drafts: Vec<Draft>) -> (Vec<Operation>, u32) {
    let row = fewest_set_ups(&drafts);
    let set_ups = row.len() as u32;
    let mut waiting: Vec<Option<Draft>> = drafts.into_iter().map(Some).collect();
    let mut done: Vec<Operation> = Vec::new();
    for in_one in row {
        for (place, index) in in_one.into_iter().enumerate() {
            let Some(Draft { mut operation, .. }) = waiting[index].take() else { continue };
            operation.number = done.len() as u32 + 1;
            operation.timing.new_set_up = place == 0;
            let before = done.iter().filter(|earlier| operation.step.follows().contains(&earlier.step));
            operation.after = before.map(|earlier| earlier.number).collect();
            done.push(operation);
        }
    }
    (done, set_ups)
}

/// More states than this are not looked through: the row is then found by always taking the natural next holding. A
/// part has some hundred.
const MOST_STATES: usize = 1_000;

/// The drafts of each set-up in turn, by their places.
fn fewest_set_ups(drafts: &[Draft]) -> Vec<Vec<usize>> {
    let mut reached: Vec<State> = vec![State { done: vec![false; drafts.len()], from: None, in_one: Vec::new() }];
    let mut seen: BTreeSet<Vec<bool>> = BTreeSet::new();
    let mut next = 0;
    while next < reached.len() {
        let state = &reached[next];
        let mut ready = ready(drafts, &state.done);
        if ready.is_empty() {
            return row(&reached, next);
        }
        ready.sort_by_key(|&index| (drafts[index].operation.step, index));
        let mut tried: Vec<&str> = Vec::new();
        let mut found = Vec::new();
        for index in ready {
            let holding = drafts[index].holding.as_str();
            if tried.contains(&holding) || (reached.len() > MOST_STATES && !tried.is_empty()) {
                continue;
            }
            tried.push(holding);
            let mut done = state.done.clone();
            let in_one = do_in_one(drafts, &mut done, holding);
            if seen.insert(done.clone()) {
                found.push(State { done, from: Some(next), in_one });
            }
        }
        reached.extend(found);
        next += 1;
    }
    Vec::new()
}

struct State {
    done: Vec<bool>,
    /// The state before, and what was done since in one set-up.
    from: Option<usize>,
    in_one: Vec<usize>,
}

fn row(reached: &[State], last: usize) -> Vec<Vec<usize>> {
    let back = std::iter::successors(Some(&reached[last]), |state| state.from.map(|from| &reached[from]));
    let mut row: Vec<Vec<usize>> = back.map(|state| state.in_one.clone()).filter(|in_one| !in_one.is_empty()).collect();
    row.reverse();
    row
}

fn ready(drafts: &[Draft], done: &[bool]) -> Vec<usize> {
    let left: Vec<Step> = Step::ALL
        .into_iter()
        .filter(|step| (0..drafts.len()).any(|at| !done[at] && drafts[at].operation.step == *step))
        .collect();
    let free: Vec<Step> =
        left.iter().copied().filter(|step| !left.iter().any(|other| step.follows().contains(other))).collect();
    (0..drafts.len()).filter(|&at| !done[at] && free.contains(&drafts[at].operation.step)).collect()
}

/// Everything that becomes ready in this holding, in the natural order.
fn do_in_one(drafts: &[Draft], done: &mut [bool], holding: &str) -> Vec<usize> {
    let mut in_one = Vec::new();
    loop {
        let here = ready(drafts, done).into_iter().filter(|&index| drafts[index].holding == holding);
        let Some(first) = here.min_by_key(|&index| (drafts[index].operation.step, index)) else { return in_one };
        done[first] = true;
        in_one.push(first);
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::plan::{MachinePick, Pieces};
    use crate::shop::MachineKind;
    use crate::time::Timing;

    fn draft(step: Step, holding: u8) -> Draft {
        Draft {
            holding: holding.to_string(),
            operation: Operation {
                number: 0,
                step,
                title: String::new(),
                features: Vec::new(),
                machine: MachinePick { kind: MachineKind::Bench, name: String::new(), owned: true, note: None },
                tools: Vec::new(),
                set_up: holding.to_string(),
                instructions: Vec::new(),
                running: Vec::new(),
                passes: None,
                checks: Vec::new(),
                notes: Vec::new(),
                cautions: Vec::new(),
                pieces: Pieces::All,
                after: Vec::new(),
                timing: Timing::default(),
            },
        }
    }

    /// The fewest set-ups of all orders there are, every one of them tried.
    fn by_trying_all(drafts: &[Draft], done: &mut Vec<bool>, holding: &str) -> u32 {
        let ready = ready(drafts, done);
        let with = ready.into_iter().map(|index| {
            done[index] = true;
            let fresh = u32::from(drafts[index].holding != holding);
            let rest = by_trying_all(drafts, done, &drafts[index].holding);
            done[index] = false;
            fresh + rest
        });
        with.min().unwrap_or(0)
    }

    /// What any machinist would say, written apart from the graph.
    const BEFORE: &[(Step, Step)] = &[
        (Step::SawBlank, Step::Face),
        (Step::Face, Step::Bore),
        (Step::Bore, Step::PressBush),
        (Step::MakeBush, Step::PressBush),
        (Step::PressBush, Step::TurnBlank),
        (Step::PressBush, Step::FinishBush),
        (Step::FinishBush, Step::TurnBlank),
        (Step::FinishBush, Step::MatchDrill),
        (Step::Bore, Step::TurnOutside),
        (Step::TurnBlank, Step::CutTeeth),
        (Step::CutTeeth, Step::SawOutline),
        (Step::SawOutline, Step::SandOutline),
        (Step::SandOutline, Step::MatchDrill),
        (Step::PressBush, Step::MatchDrill),
        (Step::MakePlug, Step::MatchDrill),
        (Step::CutTeeth, Step::Keyway),
        (Step::Bore, Step::Drill),
        (Step::MatchDrill, Step::Deburr),
        (Step::Deburr, Step::FinalCheck),
        (Step::FinalCheck, Step::Pack),
    ];

    proptest! {
        /// Whatever is held wherever: no set-up is kept at the price of the order, and nothing is lost.
        #[test]
        fn order_comes_before_set_ups(drafts in prop::collection::vec((prop::sample::select(Step::ALL.to_vec()), 0_u8..4), 0..24)) {
            let given: Vec<Draft> = drafts.iter().map(|(step, holding)| draft(*step, *holding)).collect();
            let (done, set_ups) = arrange(given);
            prop_assert_eq!(done.len(), drafts.len());
            for (index, operation) in done.iter().enumerate() {
                for earlier in &done[..index] {
                    prop_assert!(!BEFORE.contains(&(operation.step, earlier.step)), "{:?} before {:?}", earlier.step, operation.step);
                    let must = operation.step.follows().contains(&earlier.step);
                    prop_assert_eq!(operation.after.contains(&earlier.number), must);
                }
                prop_assert_eq!(operation.number as usize, index + 1);
            }
            let changes = done.windows(2).filter(|pair| pair[0].set_up != pair[1].set_up).count();
            prop_assert_eq!(set_ups as usize, changes + usize::from(!done.is_empty()));
            let marked = done.iter().filter(|operation| operation.timing.new_set_up).count();
            prop_assert_eq!(marked, set_ups as usize);
            // a whole job on one machine in one holding is one set-up
            let held: BTreeSet<u8> = drafts.iter().map(|(_, holding)| *holding).collect();
            prop_assert!(held.len() != 1 || set_ups == 1);
        }
    }

    proptest! {
        /// Against every order there is: none has fewer set-ups.
        #[test]
        fn no_order_has_fewer_set_ups(drafts in prop::collection::vec((prop::sample::select(Step::ALL.to_vec()), 0_u8..3), 0..8)) {
            let given: Vec<Draft> = drafts.iter().map(|(step, holding)| draft(*step, *holding)).collect();
            let fewest = by_trying_all(&given, &mut vec![false; given.len()], "");
            prop_assert_eq!(arrange(given).1, fewest);
        }
    }

    /// A job with hundreds of features still gets an order, and at once.
    #[test]
    fn a_large_job_is_arranged_too() {
        let steps = [Step::Bore, Step::Drill, Step::Keyway, Step::MatchDrill, Step::MakePlug];
        let given: Vec<Draft> = (0..200).map(|index| draft(steps[index % 5], (index % 67) as u8)).collect();
        assert_eq!(arrange(given).0.len(), 200);
    }

    #[test]
    fn the_natural_order_is_an_order() {
        for (index, step) in Step::ALL.into_iter().enumerate() {
            assert!(
                Step::ALL[index..].iter().all(|later| !step.follows().contains(later)),
                "{step:?} waits for a later step"
            );
        }
    }
}
