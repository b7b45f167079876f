//! Teeth on the design sheet.

use design::tooth::{Metal, Running, Stresses};
use kurbo::Size;
use pack::{Block, Column, KeyValue, Rich, Row, Table, Tone};
use quantity::{Length, print};

use super::super::Work;
use super::super::findings::capital;
use super::mesh_picture;
use crate::designed::teeth::DesignedTeeth;
use crate::designed::teeth::words::{compared, figures};

pub fn blocks(work: &Work<'_>, one: &DesignedTeeth<'_>, room: Size) -> Vec<Block> {
    let beside = one.teeth.meshing().map_or_else(String::new, |running| format!("in mesh with {}", running.mate_label));
    let mut out = vec![Block::Heading { text: capital(one.feature), beside }];
    let warnings = one.warnings();
    if !warnings.is_empty() {
        out.push(Block::caution("Before cutting", warnings.into_iter().map(Rich::from)));
    }
    match &one.teeth.running {
        Some(Ok(running)) => {
            out.extend(mesh_picture::blocks(work, one, running, room));
            out.push(Block::KeyValues { rows: mesh(one, running) });
        }
        Some(Err(_)) | None => out.push(Block::paragraph(one.mesh_in_short())),
    }
    out.push(Block::KeyValues { rows: tooth(one) });
    out.extend(strength(one));
    out.extend(one.teeth.stresses.as_ref().map(|stresses| Block::KeyValues { rows: loads(one, stresses) }));
    out.extend(broken(one));
    out.push(caution());
    out
}

fn mesh(one: &DesignedTeeth<'_>, running: &Running) -> Vec<KeyValue> {
    let size = |length: Length| print::length(length, one.unit, 2).replace('-', "−");
    let more = &running.per_tenth;
    let tenth = print::length(Length::from_mm(0.1), one.unit, 2);
    vec![
        KeyValue::new("Centre distance", capital(&one.centres(running))),
        KeyValue::new("Working pressure angle", Rich::new().mono(format!("{:.2}", running.working_angle))),
        KeyValue::new("Contact ratio", Rich::new().mono(figures(running.contact_ratio))),
        KeyValue::new("Backlash", Rich::new().mono(one.lengths(running.backlash)))
            .note("as an arc of the pitch circles: limits of the new teeth, the mate as found"),
        KeyValue::new(
            "Clearance at the bottom",
            Rich::new().mono(format!("{} and {}", size(running.clearance[0]), size(running.clearance[1]))),
        )
        .note("mate's tips to the new root, new tips to the mate's"),
        KeyValue::new(
            "Flanks clear of fillets by",
            Rich::new().mono(format!("{} and {}", size(running.flank_room[0]), size(running.flank_room[1]))),
        )
        .note("in radius, new and mate; below zero the tips dig in"),
        KeyValue::new(
            format!("Axes {tenth} further apart"),
            Rich::new().mono(
                format!(
                    "backlash {}, contact ratio {:+.3}",
                    print::signed(more.backlash, one.unit, 3),
                    more.contact_ratio
                )
                .replace('-', "−"),
            ),
        )
        .note(format!("pressure angle {:+.2}", more.working_angle).replace('-', "−")),
    ]
}

fn tooth(one: &DesignedTeeth<'_>) -> Vec<KeyValue> {
    let made = &one.teeth.made;
    let undercut = &one.teeth.undercut;
    let size = |length: Length| print::length(length, one.unit, 3);
    let thinnings = made.cut.map(|cut| made.full.pitch_thickness() - cut.pitch_thickness());
    let shift = made.full.spec().profile_shift;
    let signed = |shift: f64| format!("{shift:+.3}").replace('-', "−");
    let told = match (undercut.was, undercut.is) {
        (false, _) => "no undercut".to_string(),
        (true, false) => format!("was {}, undercut; now cured", signed(made.shift_found)),
        (true, true) => format!(
            "undercut as it was; {} would cure it (undercut = \"cure\"), with the axes {} further apart or the mate shifted by as much less",
            signed(undercut.cure),
            size(undercut.centres)
        ),
    };
    let tips = match made.tip_rounding > Length::ZERO {
        true => {
            KeyValue::new("Tips", format!("rounded {}", size(made.tip_rounding))).note("counted in the contact ratio")
        }
        false => KeyValue::new("Tips", "as turned, edges broken").note("no relief: at such speeds none is needed"),
    };
    vec![
        KeyValue::new("Profile shift", Rich::new().mono(signed(shift))).note(told),
        KeyValue::new(
            "Thinner than full",
            Rich::new().mono(format!("{} to {}", size(thinnings[0]), size(thinnings[1]))),
        )
        .note(format!(
            "cutter fed {} to {} deeper than the rack",
            size(made.fed_deeper(0)),
            size(made.fed_deeper(1))
        )),
        tips,
    ]
}

fn strength(one: &DesignedTeeth<'_>) -> Vec<Block> {
    let strength = &one.teeth.strength;
    let header = ["each 1 of the original's becomes", "load after load", "one blow, breaks", "stays bent", "flanks"];
    let row = |metal: &Metal, tone| {
        let cell = |it: Option<design::tooth::Compared>| it.map_or_else(|| "–".to_string(), compared);
        Row::new([
            metal.material.name.clone(),
            cell(metal.repeated),
            cell(Some(metal.once)),
            cell(metal.set),
            cell(metal.contact),
        ])
        .tone(tone)
    };
    let rows = std::iter::once(row(&strength.chosen, Tone::Strong))
        .chain(strength.others.iter().map(|metal| row(metal, Tone::Quiet)));
    vec![
        Block::Heading {
            text: "Strength against the original".into(),
            beside: format!("original of {}", strength.original.name),
        },
        Block::paragraph(one.form_in_words()),
        Block::Table(Table {
            columns: vec![
                Column::words(1.3),
                Column::figures(),
                Column::figures(),
                Column::figures(),
                Column::figures(),
            ],
            header: header.iter().map(|text| Rich::from(*text)).collect(),
            rows: rows.collect(),
        }),
    ]
}

fn loads(one: &DesignedTeeth<'_>, stresses: &Stresses) -> Vec<KeyValue> {
    let _ = one;
    vec![KeyValue::new("Bending", Rich::new().mono(format!("{:.0} MPa", stresses.bending_mpa)))]
}

fn broken(one: &DesignedTeeth<'_>) -> Vec<Block> {
    let _ = one;
    Vec::new()
}

fn caution() -> Block {
    Block::caution("Gears trap and throw", [Rich::from("Guard the mesh before the machine turns.")])
}
