//! Fifty invented parts, and ten with helical teeth, read by an independent geometry kernel and an independent mesh library. `tests/outside/check.sh`
//! sets them up and runs this.

#![allow(clippy::unwrap_used, clippy::panic)]

mod shared;

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use shared::{Numbers, bores, leaning, part};
use solid::chamfer::{Chamfers, taken_off};
use solid::exchange::{self, Said};
use solid::mesh::{Raised, mesh};
use solid::package;

const PARTS: u64 = 50;
const LEANING: u64 = 10;
const CHORD: f64 = 0.01;

#[test]
#[ignore = "needs a geometry kernel: tests/outside/check.sh sets it up"]
fn an_independent_kernel_finds_each_solid_whole() {
    let python = std::env::var("OUTSIDE_PYTHON").expect("tests/outside/check.sh names the Python with the kernel");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("solids");
    std::fs::create_dir_all(&folder).unwrap();
    let mut list = String::new();
    let (mut splines, mut chamfered) = (0, 0);
    for seed in 0..PARTS {
        let part = part(&mut Numbers(seed));
        let said = Said { name: format!("Part {seed}, 14½° “größe”"), ..Said::default() };
        let text = exchange::write(&part.plate, part.chamfers, &said).unwrap();
        let off = taken_off(&part.plate, part.chamfers).unwrap();
        splines += usize::from(text.contains("B_SPLINE_CURVE"));
        chamfered += usize::from(off > 0.0);
        let bores: Vec<String> =
            bores(&part.plate).iter().map(|(at, radius)| format!("{},{},{radius}", at.x, at.y)).collect();
        let file = folder.join(format!("{seed}.stp"));
        std::fs::write(&file, text).unwrap();
        // the face is the whole outline only without chamfers, and only full circles have a closed formula for theirs
        let circles = part.plate.rings().all(|ring| ring.as_circle().is_some());
        let (relative, area) =
            if off == 0.0 { (1e-8, part.plate.area()) } else { (if circles { 1e-8 } else { 2e-6 }, 0.0) };
        let volume = part.plate.volume() - off;
        let height = part.plate.thickness.mm();
        let _ = writeln!(list, "solid\t{}\t{volume}\t{relative}\t{area},{height}\t{}", file.display(), bores.join(";"));
        let mesh = mesh(&part.plate, CHORD, &Raised::default()).unwrap();
        let file = folder.join(format!("{seed}.3mf"));
        std::fs::write(&file, package::write(&mesh, &package::Said::default()).unwrap()).unwrap();
        let tolerance = CHORD * part.plate.perimeter() * part.plate.thickness.mm();
        let _ = writeln!(list, "mesh\t{}\t{}\t{tolerance}", file.display(), part.plate.volume());
    }
    for seed in 0..LEANING {
        let plate = leaning(&mut Numbers(seed));
        let text = exchange::write(&plate, Chamfers { bore: 0.3, outside: 0.0 }, &Said::default()).unwrap();
        let volume = plate.volume() - taken_off(&plate, Chamfers { bore: 0.3, outside: 0.0 }).unwrap();
        let file = folder.join(format!("leaning-{seed}.stp"));
        std::fs::write(&file, text).unwrap();
        // a screwed face is integrated by the kernel's own quadrature
        let _ = writeln!(list, "solid\t{}\t{volume}\t2e-6\t0,{}\t", file.display(), plate.thickness.mm());
        let mesh = mesh(&plate, CHORD, &Raised::default()).unwrap();
        let file = folder.join(format!("leaning-{seed}.3mf"));
        std::fs::write(&file, package::write(&mesh, &package::Said::default()).unwrap()).unwrap();
        let tolerance = CHORD * plate.perimeter() * plate.thickness.mm();
        let _ = writeln!(list, "mesh\t{}\t{}\t{tolerance}", file.display(), plate.volume());
    }
    assert!(splines > 15 && chamfered > 15, "{splines} with splines, {chamfered} with chamfers");
    let path = folder.join("list.tsv");
    std::fs::write(&path, list).unwrap();
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/outside/read.py");
    let read = Command::new(python).arg(script).arg(&path).output().unwrap();
    let said = String::from_utf8_lossy(&read.stdout);
    assert!(read.status.success(), "{said}{}", String::from_utf8_lossy(&read.stderr));
    assert!(said.contains("60 solids and 60 meshes read"), "{said}");
}
