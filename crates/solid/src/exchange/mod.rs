//! The solid as a file of ISO 10303-21, application protocol 214: a boundary of planes, cylinders, cones, extruded
//! splines and, for helical teeth, splines carried up a helix, in millimetres.
//!
//! A bore is one cylindrical face with a seam, so that it is picked as one. Every edge is shared by the two faces that meet
//! in it.

mod body;
mod leaning;
mod shapes;
pub mod text;

use text::{Arg, Data, Id, quoted};

use crate::chamfer::{Chamfers, on_plate};
use crate::plate::{Plate, Refused};

/// What is said of a solid in its file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    /// The product's name.
    pub name: String,
    /// What it is and how sure that is, a sentence or more.
    pub description: Vec<String>,
    /// "2031-05-01T00:00:00"
    pub time: String,
    pub organisation: String,
    /// The file's own name.
    pub file: String,
}

/// Points nearer than this are one to whoever reads the file, mm.
const UNCERTAINTY: f64 = 1e-6;
/// Longest string of the header's description, ISO 10303-21 clause 8.2.1.
const LONGEST: usize = 256;

pub fn write(plate: &Plate, chamfers: Chamfers, said: &Said) -> Result<String, Refused> {
    let screw = leaning::Screw::of(plate)?;
    let chamfers = on_plate(plate, chamfers)?;
    let mut data = Data::default();
    let context = representation_context(&mut data);
    let body = body::body(&mut data, plate, &chamfers, screw.as_ref(), &said.name)?;
    product(&mut data, said, context, body);
    Ok(format!("{}DATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n", header(said), data.finish()))
}

fn header(said: &Said) -> String {
    let described: Vec<String> = std::iter::once(&said.name)
        .chain(&said.description)
        .flat_map(|line| parts(line))
        .map(|line| quoted(&line))
        .collect();
    format!(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(({}),'2;1');\nFILE_NAME({},{},(''),({}),'sparewright {}','sparewright','');\n\
         FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\nENDSEC;\n",
        described.join(",\n"),
        quoted(&said.file),
        quoted(&said.time),
        quoted(&said.organisation),
        env!("CARGO_PKG_VERSION"),
    )
}

/// A line in parts that the header takes.
fn parts(line: &str) -> Vec<String> {
    let letters: Vec<char> = line.chars().collect();
    letters.chunks(LONGEST).map(|part| part.iter().collect()).collect()
}

fn representation_context(data: &mut Data) -> Id {
    let length = data.add_complex("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))");
    let angle = data.add_complex("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))");
    let solid_angle = data.add_complex("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())");
    let uncertainty = data.add_complex(&format!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({}),{},'distance_accuracy_value','points nearer than this are one')",
        text::real(UNCERTAINTY),
        length.named()
    ));
    data.add_complex(&format!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({}))GLOBAL_UNIT_ASSIGNED_CONTEXT(({},{},{}))\
         REPRESENTATION_CONTEXT('',''))",
        uncertainty.named(),
        length.named(),
        angle.named(),
        solid_angle.named()
    ))
}

/// The product that the body is the shape of.
fn product(data: &mut Data, said: &Said, context: Id, body: Id) {
    let application =
        data.add("APPLICATION_CONTEXT", &[Arg::Text("core data for automotive mechanical design processes")]);
    data.add(
        "APPLICATION_PROTOCOL_DEFINITION",
        &[Arg::Text("international standard"), Arg::Text("automotive_design"), Arg::Whole(2000), Arg::Ref(application)],
    );
    let of_product = data.add("PRODUCT_CONTEXT", &[Arg::Text(""), Arg::Ref(application), Arg::Text("mechanical")]);
    let description = said.description.join(" ");
    let product = data.add(
        "PRODUCT",
        &[Arg::Text(&said.name), Arg::Text(&said.name), Arg::Text(&description), Arg::Refs(&[of_product])],
    );
    data.add("PRODUCT_RELATED_PRODUCT_CATEGORY", &[Arg::Text("part"), Arg::Plain("$"), Arg::Refs(&[product])]);
    let formation = data.add("PRODUCT_DEFINITION_FORMATION", &[Arg::Text(""), Arg::Text(""), Arg::Ref(product)]);
    let of_definition = data
        .add("PRODUCT_DEFINITION_CONTEXT", &[Arg::Text("part definition"), Arg::Ref(application), Arg::Text("design")]);
    let definition = data
        .add("PRODUCT_DEFINITION", &[Arg::Text("design"), Arg::Text(""), Arg::Ref(formation), Arg::Ref(of_definition)]);
    let shape = data.add("PRODUCT_DEFINITION_SHAPE", &[Arg::Text(""), Arg::Text(""), Arg::Ref(definition)]);
    let placement = shapes::placement(data, [0.0; 3], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
    let representation = data.add(
        "ADVANCED_BREP_SHAPE_REPRESENTATION",
        &[Arg::Text(&said.name), Arg::Refs(&[placement, body]), Arg::Ref(context)],
    );
    data.add("SHAPE_DEFINITION_REPRESENTATION", &[Arg::Ref(shape), Arg::Ref(representation)]);
}
