//! The order of operations: what must come before what, and among the orders that allow it the one with few set-ups.

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
}

impl Step {
    pub const ALL: [Step; 16] = [
        Step::SawBlank,
        Step::Face,
        Step::Bore,
        Step::MakeBush,
        Step::PressBush,
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
    ];

    /// The steps that must be done before this one, and why that is so.
    pub const fn follows(self) -> &'static [Step] {
        use Step::{
            Bore, CutTeeth, Deburr, Drill, Face, FinalCheck, Keyway, MakeBush, MakePlug, MatchDrill, PressBush,
            SandOutline, SawBlank, SawOutline, TurnBlank, TurnOutside,
        };
        match self {
            SawBlank | MakeBush => &[],
            Face => &[SawBlank],
            // square to a clean face
            Bore => &[SawBlank, Face],
            PressBush => &[Bore, MakeBush],
            // on an arbor through the bore that is the datum of everything
            TurnOutside | TurnBlank => &[SawBlank, Face, Bore, PressBush],
            CutTeeth => &[SawBlank, Face, Bore, PressBush, TurnOutside, TurnBlank],
            // a whole round blank is stiff and turns true; what is not wanted comes off afterwards
            SawOutline => &[SawBlank, Face, Bore, PressBush, TurnOutside, TurnBlank, CutTeeth],
            SandOutline => &[SawOutline],
            // an arbor seats best in a bore that is not broken by a keyway
            Keyway => &[SawBlank, Face, Bore, PressBush, TurnOutside, TurnBlank, CutTeeth],
            Drill => &[SawBlank, Face, Bore, PressBush, TurnOutside, TurnBlank, CutTeeth],
            MakePlug => &[Bore, PressBush],
            // the finished part is laid on its mate, lined up by the plug
            MatchDrill => &[
                SawBlank,
                Face,
                Bore,
                PressBush,
                TurnOutside,
                TurnBlank,
                CutTeeth,
                SandOutline,
                Keyway,
                Drill,
                MakePlug,
            ],
            Deburr => &[
                SawBlank,
                Face,
                Bore,
                MakeBush,
                PressBush,
                TurnOutside,
                TurnBlank,
                CutTeeth,
                SawOutline,
                SandOutline,
                Keyway,
                Drill,
                MakePlug,
                MatchDrill,
            ],
            FinalCheck => &[
                SawBlank,
                Face,
                Bore,
                MakeBush,
                PressBush,
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
            ],
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

/// Numbers the operations: each after all that it must follow, staying in a set-up as long as something is ready in it.
pub(crate) fn arrange(drafts: Vec<Draft>) -> (Vec<Operation>, u32) {
    let mut waiting = drafts;
    let mut done: Vec<Operation> = Vec::new();
    let (mut holding, mut set_ups) = (String::new(), 0);
    while let Some(next) = next_ready(&waiting, &holding) {
        let Draft { mut operation, holding: new } = waiting.remove(next);
        if new != holding {
            set_ups += 1;
            holding = new;
        }
        operation.number = done.len() as u32 + 1;
        operation.after = done
            .iter()
            .filter(|earlier| operation.step.follows().contains(&earlier.step))
            .map(|earlier| earlier.number)
            .collect();
        done.push(operation);
    }
    (done, set_ups)
}

fn next_ready(waiting: &[Draft], holding: &str) -> Option<usize> {
    let ready = |draft: &Draft| {
        let follows = draft.operation.step.follows();
        !waiting.iter().any(|other| follows.contains(&other.operation.step))
    };
    (0..waiting.len())
        .filter(|&index| ready(&waiting[index]))
        .min_by_key(|&index| (waiting[index].holding != holding, waiting[index].operation.step, index))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::plan::{MachinePick, Pieces};
    use crate::shop::MachineKind;

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
            },
        }
    }

    /// What any machinist would say, written apart from the graph.
    const BEFORE: &[(Step, Step)] = &[
        (Step::SawBlank, Step::Face),
        (Step::Face, Step::Bore),
        (Step::Bore, Step::PressBush),
        (Step::MakeBush, Step::PressBush),
        (Step::PressBush, Step::TurnBlank),
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
            // a whole job on one machine in one holding is one set-up
            let held: std::collections::BTreeSet<u8> = drafts.iter().map(|(_, holding)| *holding).collect();
            prop_assert!(held.len() != 1 || set_ups == 1);
        }
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
