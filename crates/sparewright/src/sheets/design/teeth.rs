//! Teeth on the design sheet.

use design::tooth::{Metal, Running, Stresses};
use pack::{Block, Column, Rich, Row, Table, Tone};
use quantity::{Length, print};
use standards::{Sign, signs_of_breakage};

use super::super::Work;
use super::super::findings::capital;
use super::mesh_picture;
use crate::designed::teeth::DesignedTeeth;
use crate::designed::teeth::words::{self, compared, figures};

pub fn section(work: &Work<'_>) -> Vec<Block> {
    let teeth = &work.solved.designed.teeth;
    let mut out = Vec::new();
    // a mesh has its picture on the page that it is told on
    if !work.solved.designed.joints.is_empty() && teeth.iter().any(|one| one.teeth.meshing().is_some()) {
        out.push(Block::PageBreak);
    }
    out.extend(teeth.iter().flat_map(|one| self::one(work, one)));
    if !teeth.is_empty() {
        out.push(Block::caution("Gears draw in and throw", words::CAUTIONS.map(Rich::from)));
    }
    out
}

fn one(work: &Work<'_>, one: &DesignedTeeth) -> Vec<Block> {
    let mut out = vec![Block::Heading { text: capital(&one.feature), beside: one.teeth.made.label.clone() }];
    let warnings = one.warnings();
    if !warnings.is_empty() {
        out.push(Block::caution("Before cutting", warnings.into_iter().map(Rich::from)));
    }
    let mut rows = tooth(one);
    match one.teeth.meshing() {
        Some(running) => {
            out.push(mesh_picture::block(work, one, running));
            rows.extend(mesh(one, running));
        }
        None => out.push(Block::paragraph(no_mesh(one))),
    }
    out.push(facts(rows));
    out.extend(one.undercut_in_words().map(Block::paragraph));
    out.extend(strength(one));
    if let Some(stresses) = &one.teeth.stresses {
        out.push(Block::Heading {
            text: "Under the load given".into(),
            beside: one.load_in_words().unwrap_or_default(),
        });
        out.push(facts(loads(one, stresses)));
    }
    out.extend(broken(one));
    out
}

/// What it is, its figure, and a quiet word on it.
struct Fact(String, String, String);

fn fact(name: impl Into<String>, figure: impl Into<String>, note: impl Into<String>) -> Fact {
    Fact(name.into(), figure.into(), note.into())
}

fn facts(facts: Vec<Fact>) -> Block {
    let row = |Fact(name, figure, note): Fact| Row {
        cells: vec![name.into(), Rich::new().mono(figure), Rich::new().quiet(note)],
        tone: Tone::Plain,
    };
    Block::Table(Table {
        columns: vec![Column::words(0.9), Column::words(0.95), Column::words(1.7)],
        header: Vec::new(),
        rows: facts.into_iter().map(row).collect(),
    })
}

/// The teeth as they are cut.
fn tooth(one: &DesignedTeeth) -> Vec<Fact> {
    let made = &one.teeth.made;
    let size = |length: Length| print::figures(length, one.unit, 3);
    let thin = made.cut.map(|cut| made.full.pitch_thickness() - cut.pitch_thickness());
    let between = |ends: [Length; 2]| format!("{} to {} {}", size(ends[0]), size(ends[1]), one.unit.sign());
    let tips = match made.tip_rounding > Length::ZERO {
        true => fact("Tips rounded", print::length(made.tip_rounding, one.unit, 2), "counted in the contact ratio"),
        false => fact("Tips", "not relieved", "edges broken; only fast teeth are relieved"),
    };
    vec![
        fact("Profile shift", words::shift(made.full.spec().profile_shift), one.shift_known()),
        fact(
            "Thinner than full by",
            between(thin),
            format!("for backlash: cutter fed {} to {} deeper", size(made.fed_deeper(0)), size(made.fed_deeper(1))),
        ),
        tips,
    ]
}

fn mesh(one: &DesignedTeeth, running: &Running) -> Vec<Fact> {
    let size = |length: Length| print::figures(length, one.unit, 2).replace('-', "−");
    let both = |of: [Length; 2]| format!("{} and {} {}", size(of[0]), size(of[1]), one.unit.sign());
    let more = &running.per_tenth;
    let tenth = print::length(Length::from_mm(0.1), one.unit, 2);
    let overlap = running.overlap_ratio.map(|ratio| {
        fact("Overlap ratio", format!("{ratio:.2}"), "from the slant; on parallel axes, the mate of the other hand")
    });
    let mut facts = vec![
        fact("Centre distance", one.distance(running), one.distance_known(running)),
        fact("Working pressure angle", format!("{:.2}", running.working_angle), ""),
        fact("Contact ratio", figures(running.contact_ratio), "over the limits of tips and thickness"),
        fact("Backlash", one.lengths(running.backlash), one.backlash_in_words(running)),
        fact("Clearance at the bottom", both(running.clearance), "mate's tips to the new root, new tips to the mate's"),
        fact("Flanks clear of fillets by", both(running.flank_room), one.fillets_in_words(running)),
        fact(
            format!("Axes {tenth} wider"),
            format!("{} {}", print::signed(more.backlash, one.unit, 2), one.unit.sign()),
            format!(
                "of backlash; contact ratio {:+.2}, angle {:+.2}°",
                more.contact_ratio,
                more.working_angle.degrees()
            )
            .replace('-', "−"),
        ),
    ];
    // after the contact ratio
    facts.splice(3..3, overlap);
    facts
}

fn strength(one: &DesignedTeeth) -> Vec<Block> {
    let strength = &one.teeth.strength;
    let header = ["teeth of", "load after load", "one blow: breaks", "stays bent", "flanks"];
    let row = |metal: &Metal, tone| {
        let cell = |it: Option<design::tooth::Compared>| it.map_or_else(|| "–".to_string(), compared);
        let cells = [cell(metal.repeated), cell(Some(metal.once)), cell(metal.set), cell(metal.contact)];
        Row::new(std::iter::once(metal.material.name.clone()).chain(cells)).tone(tone)
    };
    let chosen = std::iter::once(row(&strength.chosen, Tone::Strong));
    let rows = chosen.chain(strength.others.iter().map(|metal| row(metal, Tone::Quiet)));
    let mut out = vec![Block::Heading {
        text: "Strength against the original".into(),
        beside: match one.metal_supposed {
            true => format!("the original supposed of {}", strength.original.name),
            false => format!("the original of {}", strength.original.name),
        },
    }];
    out.extend(one.strength_in_words().into_iter().map(Block::paragraph));
    out.push(Block::Table(Table {
        columns: vec![Column::words(1.0), Column::figures(), Column::figures(), Column::figures(), Column::figures()],
        header: header.iter().map(|text| Rich::from(*text)).collect(),
        rows: rows.collect(),
    }));
    out.push(Block::paragraph(Rich::new().quiet(one.strength_from())));
    out
}

fn loads(one: &DesignedTeeth, stresses: &Stresses) -> Vec<Fact> {
    let repeated =
        stresses.reserve_repeated.map_or_else(String::new, |reserve| format!(", {reserve:.1} times it for ever"));
    let mut out = vec![
        fact(
            "Force at the pitch circle",
            print::force(stresses.force_n, one.unit),
            format!(
                "at {:.2} m/s, where milled teeth feel {:.2} of it (Barth)",
                stresses.velocity_m_s, stresses.velocity_factor
            ),
        ),
        fact(
            "Bending at the root",
            one.stress(stresses.bending_mpa),
            format!("bears {:.1} times this load once{repeated}", stresses.reserve_once),
        ),
        fact("By Lewis's plain rule", one.stress(stresses.lewis_mpa), "which knows nothing of the notch at the fillet"),
    ];
    out.extend(stresses.contact_mpa.map(|mpa| {
        let reserve = stresses.reserve_contact;
        let bears = reserve.map_or_else(String::new, |reserve| match reserve < 1.0 {
            true => format!("pits in time, already at {reserve:.1} of this load"),
            false => format!("bears {reserve:.1} times this load before it pits"),
        });
        fact("Contact of the flanks", one.stress(mpa), bears)
    }));
    out
}

/// What was seen and what follows; else what to look for.
fn broken(one: &DesignedTeeth) -> Vec<Block> {
    if let Some(sign) = one.broke {
        let seen = Rich::new().plain(format!("{} ", sign.means)).quiet(format!("Seen: {}", sign.looks));
        let heading = Block::Heading { text: "What broke the original".into(), beside: sign.name.clone() };
        let follows = sign.follows.iter().map(|what| Block::paragraph(format!("– {what}")));
        return [heading, Block::paragraph(seen)].into_iter().chain(follows).collect();
    }
    let told = |sign: &Sign| {
        let text = Rich::new().strong(format!("{}. ", sign.name)).plain(format!("{} ", sign.looks));
        Block::paragraph(text.quiet(format!("{} {}", sign.means, sign.follows.join(" "))))
    };
    let ids = Rich::new().plain("Look at the break before it rusts, and write what you see into the job: ");
    let ids = signs_of_breakage().iter().enumerate().fold(ids, |text, (index, sign)| {
        text.plain(if index == 0 { "" } else { " or " }).mono(format!("broke = \"{}\"", sign.id))
    });
    let heading = Block::Heading { text: "What broke the original?".into(), beside: "common practice".into() };
    [heading, Block::paragraph(ids.plain("."))].into_iter().chain(signs_of_breakage().iter().map(told)).collect()
}

/// Why there is no picture, and what to give.
fn no_mesh(one: &DesignedTeeth) -> Rich {
    match &one.teeth.running {
        Some(Err(why)) => Rich::new().wrong(format!("It cannot be set in mesh: {why}")),
        Some(Ok(_)) | None => Rich::new()
            .plain("What it runs with is not known. Give ")
            .mono("centre distance V with a mate of N teeth")
            .plain(", or what was read on the mate as ")
            .mono("[[mate]]")
            .plain(", and the two are set in mesh here."),
    }
}
