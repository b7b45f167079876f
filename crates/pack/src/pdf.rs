//! Setting a pack on paper. The sheets go to the typesetter as data, so nothing a user wrote is read as markup.

use std::fmt;
use std::sync::LazyLock;

use serde::Serialize;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use crate::fonts;
use crate::sheet::{Margins, Pack};

/// The pack as one PDF. The same pack gives the same bytes.
pub fn to_pdf(pack: &Pack) -> Result<Vec<u8>, PackError> {
    let data = Data {
        pack,
        margins: crate::sheet::MARGINS,
    };
    let data = serde_json::to_vec(&data).map_err(|error| PackError(error.to_string()))?;
    let document = typst::compile::<PagedDocument>(&Desk::with(data));
    let pdf = document.output.and_then(|document| {
        let options = PdfOptions {
            // Fixed, with no time stamp, so that bytes repeat.
            ident: Smart::Custom(format!("{}/{}", pack.reference, pack.title)),
            creator: Smart::Custom(Some("Sparewright".into())),
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&document, &options)
    });
    // Keeps what the last few sheets share and lets the rest go, or a server grows with every pack it prints.
    typst::comemo::evict(5);
    pdf.map_err(|diagnostics| PackError::of(&diagnostics))
}

/// What the template reads.
#[derive(Serialize)]
struct Data<'a> {
    pack: &'a Pack,
    margins: Margins,
}

/// A pack that could not be set.
#[derive(Debug)]
pub struct PackError(String);

impl PackError {
    fn of(diagnostics: &[SourceDiagnostic]) -> PackError {
        let messages: Vec<&str> = diagnostics.iter().map(|d| d.message.as_str()).collect();
        PackError(messages.join("; "))
    }
}

impl fmt::Display for PackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the pack could not be set: {}", self.0)
    }
}

impl std::error::Error for PackError {}

/// The characters of a text that none of the fonts has; they would print as empty boxes.
pub fn unprintable(text: &str) -> Vec<char> {
    let mut missing: Vec<char> = text
        .chars()
        .filter(|c| !c.is_control() && !c.is_whitespace())
        .filter(|c| {
            !FONTS
                .iter()
                .any(|font| font.info().coverage.contains(*c as u32))
        })
        .collect();
    missing.sort_unstable();
    missing.dedup();
    missing
}

/// All that the typesetter can see: the template, the data and the fonts.
struct Desk {
    template: Source,
    data: Bytes,
}

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));
static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    fonts::ALL
        .into_iter()
        .filter_map(|font| Font::new(Bytes::new(font), 0))
        .collect()
});
static BOOK: LazyLock<LazyHash<FontBook>> =
    LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FONTS.iter())));
static TEMPLATE: LazyLock<FileId> = LazyLock::new(|| file("sheet.typ"));
static DATA: LazyLock<FileId> = LazyLock::new(|| file("pack.json"));

fn file(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("a plain file name is a path");
    FileId::new(RootedPath::new(VirtualRoot::Project, path))
}

impl Desk {
    fn with(data: Vec<u8>) -> Desk {
        Desk {
            template: Source::new(*TEMPLATE, include_str!("sheet.typ").into()),
            data: Bytes::new(data),
        }
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &BOOK
    }

    fn main(&self) -> FileId {
        *TEMPLATE
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == *TEMPLATE {
            Ok(self.template.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == *DATA {
            Ok(self.data.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
