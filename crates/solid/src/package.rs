//! The check piece as a file of ISO/IEC 25422 (3MF): a package of XML with one mesh in millimetres.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use crate::mesh::Mesh;

/// What is said of the piece in its file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    pub title: String,
    pub description: String,
}

const TYPES: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\n\
    <Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\n\
    <Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/>\n\
    </Types>\n";

const RELATIONS: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\n\
    <Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>\n\
    </Relationships>\n";

/// The same mesh gives the same bytes. Fails only where the package grows beyond what a zip holds.
pub fn write(mesh: &Mesh, said: &Said) -> Result<Vec<u8>, String> {
    let fail = |error: &dyn std::fmt::Display| format!("the package could not be written: {error}");
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    let mut package = ZipWriter::new(Cursor::new(Vec::new()));
    let model = model(mesh, said);
    for (name, text) in [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS), ("3D/3dmodel.model", &model)] {
        package.start_file(name, options).map_err(|error| fail(&error))?;
        package.write_all(text.as_bytes()).map_err(|error| fail(&error))?;
    }
    package.finish().map(Cursor::into_inner).map_err(|error| fail(&error))
}

fn model(mesh: &Mesh, said: &Said) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <model unit=\"millimeter\" xml:lang=\"en\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n",
    );
    let _ = writeln!(out, "<metadata name=\"Title\">{}</metadata>", escaped(&said.title));
    let _ = writeln!(out, "<metadata name=\"Description\">{}</metadata>", escaped(&said.description));
    out.push_str("<resources>\n<object id=\"1\" type=\"model\">\n<mesh>\n<vertices>\n");
    for [x, y, z] in &mesh.corners {
        let [x, y, z] = [x, y, z].map(|value| crate::profile::number(*value));
        let _ = writeln!(out, "<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>");
    }
    out.push_str("</vertices>\n<triangles>\n");
    for [a, b, c] in &mesh.triangles {
        let _ = writeln!(out, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
    }
    out.push_str(
        "</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n<item objectid=\"1\"/>\n</build>\n</model>\n",
    );
    out
}

/// Text for XML: its signs escaped, what XML 1.0 forbids left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' | '\r' => out.push(' '),
            c if c.is_control() || ('\u{FFFE}'..='\u{FFFF}').contains(&c) => {}
            c => out.push(c),
        }
    }
    out
}
