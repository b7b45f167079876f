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

use crate::fonts::{self, FONTS};
use crate::sheet::{Margins, Pack};

/// The pack as one PDF. The same pack gives the same bytes.
pub fn to_pdf(pack: &Pack) -> Result<Vec<u8>, PackError> {
    let options = PdfOptions {
        // Fixed, with no time stamp, so that bytes repeat.
        ident: Smart::Custom(format!("{}/{}", pack.reference, pack.title)),
        creator: Smart::Custom(Some("Sparewright".into())),
        ..PdfOptions::default()
    };
    let pdf = laid_out(pack)
        .and_then(|document| typst_pdf::pdf(&document, &options).map_err(|diagnostics| PackError::of(&diagnostics)));
    // Keeps what the last few packs share and lets the rest go, or a server grows with every pack it prints.
    typst::comemo::evict(5);
    pdf
}

fn laid_out(pack: &Pack) -> Result<PagedDocument, PackError> {
    let margins = crate::sheet::MARGINS;
    let data = serde_json::to_vec(&Data { pack, margins }).map_err(|error| PackError(error.to_string()))?;
    typst::compile(&Desk::with(data)).output.map_err(|diagnostics| PackError::of(&diagnostics))
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
        .filter(|c| !FONTS.iter().any(|font| fonts::has(font, *c)))
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
static BOOK: LazyLock<LazyHash<FontBook>> = LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FONTS.iter())));
static TEMPLATE: LazyLock<FileId> = LazyLock::new(|| file("sheet.typ"));
static DATA: LazyLock<FileId> = LazyLock::new(|| file("pack.json"));

fn file(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("a plain file name is a path");
    FileId::new(RootedPath::new(VirtualRoot::Project, path))
}

impl Desk {
    fn with(data: Vec<u8>) -> Desk {
        Desk { template: Source::new(*TEMPLATE, include_str!("sheet.typ").into()), data: Bytes::new(data) }
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
        if id == *TEMPLATE { Ok(self.template.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == *DATA { Ok(self.data.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{Block, Column, KeyValue, Rich, Row, Sheet, Step, Table, Tick, Width};
    use typst::layout::{Abs, Frame, FrameItem, Point, Transform};

    /// What a user may well write, and what would be read as markup if it were not data.
    const WRITTEN: [&str; 14] = [
        "#let x = 1; #panic(\"no\")",
        "*strong* _soft_ `raw` $x^2$",
        "= Heading",
        "- item + item / term: what",
        "<label> @reference // comment /* more */",
        "back\\slash \"quotes\" 'single' ~ --- ...",
        "https://example.invalid/#fragment",
        "14½° ⌀ 7/16 ± 0.001 ≥ 25 µm − 3 × 2",
        "Втулка, шестерня",
        "Zahnkränze, čep, łożysko, piñón",
        "ρ = 7.2, Δ ≤ 0.01",
        "[brackets] {braces} (round)",
        "5% & 3^2_1 | pipe",
        "#",
    ];

    #[test]
    fn what_a_user_writes_is_printed_as_written() {
        for written in WRITTEN {
            let texts = texts(&everywhere(written));
            let printed: String = texts.iter().map(|t| t.text.as_str()).collect();
            let bare = |s: &str| s.chars().filter(|c| !c.is_whitespace() && *c != '\u{200b}').collect::<String>();
            let times = bare(&printed).matches(&bare(written)).count();
            // Title, subtitle, the sheet's own two, 26 places in blocks; head and foot may cut theirs.
            assert!(times >= 30, "{written}: {times} times in {printed}");
        }
    }

    #[test]
    fn no_text_leaves_the_room_it_has() {
        let long = "Donaudampfschifffahrtsgesellschaft".repeat(4);
        let sentence = "A sentence that goes on and on about nothing in particular. ".repeat(14);
        for written in [long.as_str(), sentence.as_str(), "short", ""] {
            let document = laid_out(&everywhere(written)).expect("any text can be set");
            for page in document.pages() {
                let (width, height) = (page.frame.width(), page.frame.height());
                let mut items = Vec::new();
                collect(&page.frame, Transform::identity(), &mut items);
                for item in items {
                    assert!(
                        item.from.x >= Abs::mm(10.0)
                            && item.to.x <= width - Abs::mm(16.9)
                            && item.from.y >= Abs::zero()
                            && item.to.y <= height,
                        "{:?} to {:?} of {width:?}: {}",
                        item.from,
                        item.to,
                        item.text
                    );
                }
            }
        }
    }

    #[test]
    fn every_family_asked_for_is_built_in() {
        for family in [fonts::SANS, fonts::MONO, fonts::SIGNS] {
            assert!(BOOK.contains_family(&family.to_lowercase()), "{family}");
        }
        assert_eq!(FONTS.len(), fonts::ALL.len());
    }

    #[test]
    fn signs_of_the_trade_can_be_printed_and_others_are_named() {
        let signs = "0123456789.,+−±×÷/°′″½¼¾⅛⅜⅝⅞⌀µμΩ≤≥≈≠√∞αβγδ…–—‘’“”éüßñØø€£¢²³";
        assert!(unprintable(signs).is_empty(), "{:?}", unprintable(signs));
        assert_eq!(unprintable("gear 齿轮 \n 齿"), ['轮', '齿']);
    }

    #[test]
    fn bytes_repeat() {
        let pack = everywhere("Втулка ½");
        assert_eq!(to_pdf(&pack).ok(), to_pdf(&pack).ok());
        assert!(to_pdf(&pack).is_ok_and(|pdf| pdf.starts_with(b"%PDF-")));
    }

    #[test]
    fn a_pack_without_sheets_or_blocks_is_still_a_document() {
        for sheets in [vec![], vec![Sheet::default()]] {
            let pack = Pack { sheets, ..Pack::default() };
            assert!(to_pdf(&pack).is_ok());
        }
    }

    /// The same words in every place that takes words.
    fn everywhere(written: &str) -> Pack {
        let rich = || Rich::from(written);
        let row = || Row::new([rich(), rich(), rich(), rich()]);
        let narrow = |column: Column| column.width(Width::Mm(20.0));
        Pack {
            title: written.into(),
            subtitle: written.into(),
            date: "1 May 2031".into(),
            reference: "Job 1".into(),
            shop: written.into(),
            footer: written.into(),
            sheets: vec![Sheet {
                title: written.into(),
                kind: written.into(),
                blocks: vec![
                    Block::Heading { text: written.into(), beside: written.into() },
                    Block::paragraph(Rich::new().strong(written)),
                    Block::paragraph(Rich::new().mono(written).wrong(".").quiet(written)),
                    Block::KeyValues { rows: vec![KeyValue::new(rich(), rich()).note(rich())] },
                    Block::Table(Table {
                        columns: vec![
                            Column::words(1.0),
                            Column::words(2.0),
                            narrow(Column::figures()),
                            Column::to_write(30.0),
                        ],
                        // Not from a user, and never long: it stands on each page.
                        header: vec!["What".into(), "Why".into()],
                        rows: vec![row(), row()],
                    }),
                    Block::Steps {
                        steps: vec![Step {
                            number: "1".into(),
                            title: rich(),
                            details: vec![("Tool".into(), rich()), ("Speed".into(), rich())],
                            notes: vec![rich()],
                            check: rich(),
                            caution: rich(),
                        }],
                    },
                    Block::Ticks { columns: 2, ticks: vec![Tick { label: "1".into(), text: written.into() }] },
                    Block::caution(written, [rich()]),
                    Block::Probability { in_100: "97".into(), text: rich(), minor: false },
                    Block::Beside {
                        left: vec![Block::paragraph(written)],
                        right: vec![Block::KeyValues { rows: vec![KeyValue::new(rich(), rich())] }],
                        share: 0.6,
                    },
                    Block::WriteIn { labels: vec![written.into()] },
                ],
                ..Sheet::default()
            }],
        }
    }

    struct Printed {
        from: Point,
        to: Point,
        text: String,
    }

    fn texts(pack: &Pack) -> Vec<Printed> {
        let document = laid_out(pack).expect("any text can be set");
        let mut items = Vec::new();
        for page in document.pages() {
            collect(&page.frame, Transform::identity(), &mut items);
        }
        items
    }

    fn collect(frame: &Frame, at: Transform, into: &mut Vec<Printed>) {
        for (place, item) in frame.items() {
            let here = at.pre_concat(Transform::translate(place.x, place.y));
            match item {
                FrameItem::Group(group) => {
                    collect(&group.frame, here.pre_concat(group.transform), into);
                }
                FrameItem::Text(text) => {
                    // A space at the end of a line hangs over; nothing of it is seen.
                    let hanging = match text.glyphs.last() {
                        Some(glyph) if text.text.ends_with(' ') => glyph.x_advance.at(text.size),
                        Some(_) | None => Abs::zero(),
                    };
                    into.push(Printed {
                        from: Point::zero().transform(here),
                        to: Point::new(text.width() - hanging, Abs::zero()).transform(here),
                        text: text.text.to_string(),
                    });
                }
                FrameItem::Shape(..) | FrameItem::Image(..) | FrameItem::Link(..) | FrameItem::Tag(..) => {}
            }
        }
    }
}
