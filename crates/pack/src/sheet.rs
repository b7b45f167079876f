//! What stands on paper: sheets made of blocks, with nothing said about how they are set.

use serde::Serialize;

use crate::drawing::Drawing;

/// One document: sheets that belong together.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Pack {
    pub title: String,
    pub subtitle: String,
    /// As it shall be printed.
    pub date: String,
    pub reference: String,
    pub shop: String,
    /// At the foot of every page.
    pub footer: String,
    pub sheets: Vec<Sheet>,
}

/// One sheet, starting on a fresh page, as many pages as it needs.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Sheet {
    pub title: String,
    /// What the sheet is for, in half a sentence, beside its title.
    pub kind: String,
    pub paper: Paper,
    pub orientation: Orientation,
    pub blocks: Vec<Block>,
}

#[derive(Clone, Copy, Debug, Default, Eq, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    #[default]
    A4,
    Letter,
}

#[derive(Clone, Copy, Debug, Default, Eq, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Orientation {
    #[default]
    Portrait,
    Landscape,
}

#[derive(Clone, Debug, Serialize)]
#[serde(tag = "block", rename_all = "kebab-case")]
pub enum Block {
    Heading {
        text: String,
        /// A few quiet words beside it.
        beside: String,
    },
    Paragraph {
        text: Rich,
    },
    /// A data block: a name and a value a row, thin rules between.
    KeyValues {
        rows: Vec<KeyValue>,
    },
    Table(Table),
    Steps {
        steps: Vec<Step>,
    },
    /// Many boxes to tick, each with its line: one for each tooth when indexing.
    Ticks {
        columns: u32,
        ticks: Vec<Tick>,
    },
    Figure {
        drawing: Drawing,
        caption: Rich,
    },
    /// A drawing of the whole page at the paper's own size, under the running head.
    FullPage {
        drawing: Drawing,
    },
    Beside {
        left: Vec<Block>,
        right: Vec<Block>,
        /// Share of the width that is the left's, between 0 and 1.
        share: f64,
    },
    Caution {
        title: String,
        lines: Vec<Rich>,
    },
    /// A probability as a plain number in 100, and its sentence.
    Probability {
        in_100: String,
        text: Rich,
        /// A lesser one, set quietly.
        minor: bool,
    },
    /// Lines to write on, each with its label.
    WriteIn {
        labels: Vec<String>,
    },
    Space {
        mm: f64,
    },
    Rule,
    PageBreak,
}

/// Text in runs. Whatever a run holds is printed as it stands; nothing in it is markup.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Rich(pub Vec<Run>);

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Run {
    pub style: Style,
    pub text: String,
}

#[derive(Clone, Copy, Debug, Eq, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Style {
    Plain,
    Strong,
    /// Figures and readings, in fixed width.
    Mono,
    Quiet,
    /// What is wrong.
    Wrong,
}

#[derive(Clone, Debug, Serialize)]
pub struct KeyValue {
    pub key: Rich,
    pub value: Rich,
    /// A quiet remark behind the value; may be empty.
    pub note: Rich,
}

#[derive(Clone, Debug, Default, Serialize)]
pub struct Table {
    pub columns: Vec<Column>,
    /// Repeated on every page; may be empty.
    pub header: Vec<Rich>,
    pub rows: Vec<Row>,
}

#[derive(Clone, Copy, Debug, Serialize)]
pub struct Column {
    pub align: Align,
    pub width: Width,
    /// Set in fixed-width figures.
    pub figures: bool,
    /// Empty cells are left to be written in: such rows are high enough for a pencil.
    pub to_write: bool,
}

#[derive(Clone, Copy, Debug, Default, Eq, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Align {
    #[default]
    Left,
    Right,
    Centre,
}

#[derive(Clone, Copy, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Width {
    /// As wide as its longest cell; only for columns known to be narrow.
    Narrow,
    /// A share of what is left.
    Share(f64),
    Mm(f64),
}

/// A row; missing cells are empty.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Row {
    pub cells: Vec<Rich>,
    pub tone: Tone,
}

#[derive(Clone, Copy, Debug, Default, Eq, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Tone {
    #[default]
    Plain,
    Strong,
    Quiet,
    Wrong,
}

/// One operation.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Step {
    pub number: String,
    pub title: Rich,
    /// Tool, set-up, speed, feed, depth: name and value each.
    pub details: Vec<(String, Rich)>,
    pub notes: Vec<Rich>,
    /// What to measure before going on; may be empty.
    pub check: Rich,
    /// What can hurt here; may be empty.
    pub caution: Rich,
}

#[derive(Clone, Debug, Default, Serialize)]
pub struct Tick {
    pub label: String,
    pub text: String,
}

impl Rich {
    pub fn new() -> Rich {
        Rich::default()
    }

    pub fn plain(self, text: impl Into<String>) -> Rich {
        self.run(Style::Plain, text)
    }

    pub fn strong(self, text: impl Into<String>) -> Rich {
        self.run(Style::Strong, text)
    }

    pub fn mono(self, text: impl Into<String>) -> Rich {
        self.run(Style::Mono, text)
    }

    pub fn quiet(self, text: impl Into<String>) -> Rich {
        self.run(Style::Quiet, text)
    }

    pub fn wrong(self, text: impl Into<String>) -> Rich {
        self.run(Style::Wrong, text)
    }

    pub fn run(mut self, style: Style, text: impl Into<String>) -> Rich {
        self.0.push(Run { style, text: text.into() });
        self
    }

    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|run| run.text.is_empty())
    }
}

impl<T: Into<String>> From<T> for Rich {
    fn from(text: T) -> Rich {
        Rich::new().plain(text)
    }
}

impl Block {
    pub fn heading(text: impl Into<String>) -> Block {
        Block::Heading { text: text.into(), beside: String::new() }
    }

    pub fn paragraph(text: impl Into<Rich>) -> Block {
        Block::Paragraph { text: text.into() }
    }

    pub fn figure(drawing: Drawing, caption: impl Into<Rich>) -> Block {
        Block::Figure { drawing, caption: caption.into() }
    }

    pub fn caution(title: impl Into<String>, lines: impl IntoIterator<Item = Rich>) -> Block {
        Block::Caution { title: title.into(), lines: lines.into_iter().collect() }
    }
}

impl KeyValue {
    pub fn new(key: impl Into<Rich>, value: impl Into<Rich>) -> KeyValue {
        KeyValue { key: key.into(), value: value.into(), note: Rich::new() }
    }

    pub fn note(mut self, note: impl Into<Rich>) -> KeyValue {
        self.note = note.into();
        self
    }
}

impl Column {
    /// Words, taking a share of the width.
    pub fn words(share: f64) -> Column {
        Column { align: Align::Left, width: Width::Share(share), figures: false, to_write: false }
    }

    /// Figures, right-aligned, as wide as they need.
    pub fn figures() -> Column {
        Column { align: Align::Right, width: Width::Narrow, figures: true, to_write: false }
    }

    /// To be written in by hand, so many mm wide.
    pub fn to_write(mm: f64) -> Column {
        Column { align: Align::Right, width: Width::Mm(mm), figures: true, to_write: true }
    }

    pub fn align(self, align: Align) -> Column {
        Column { align, ..self }
    }

    pub fn width(self, width: Width) -> Column {
        Column { width, ..self }
    }
}

impl Row {
    pub fn new<R: Into<Rich>>(cells: impl IntoIterator<Item = R>) -> Row {
        Row { cells: cells.into_iter().map(Into::into).collect(), tone: Tone::Plain }
    }

    pub fn tone(self, tone: Tone) -> Row {
        Row { tone, ..self }
    }
}

/// A drawing goes to the page as its SVG and its size.
impl Serialize for Drawing {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeStruct as _;
        let size = self.size();
        let mut fields = serializer.serialize_struct("Drawing", 4)?;
        fields.serialize_field("svg", &self.to_svg())?;
        fields.serialize_field("width", &size.width)?;
        fields.serialize_field("height", &size.height)?;
        fields.serialize_field("title", self.title.as_deref().unwrap_or_default())?;
        fields.end()
    }
}

impl Paper {
    /// Width and height upright, mm. A4: ISO 216:2007; Letter: 8½ by 11 in.
    pub fn size(self) -> kurbo::Size {
        match self {
            Paper::A4 => kurbo::Size::new(210.0, 297.0),
            Paper::Letter => kurbo::Size::new(215.9, 279.4),
        }
    }
}

/// White round the text of a page, mm: left room for a folder's holes, top and bottom for the running head and foot.
#[derive(Clone, Copy, Debug, Serialize)]
pub(crate) struct Margins {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

pub(crate) const MARGINS: Margins = Margins { left: 22.0, right: 17.0, top: 24.0, bottom: 20.0 };

impl Sheet {
    /// The room for text and figures on each of its pages, mm.
    pub fn room(&self) -> kurbo::Size {
        let size = self.orientation.of(self.paper);
        kurbo::Size::new(size.width - MARGINS.left - MARGINS.right, size.height - MARGINS.top - MARGINS.bottom)
    }
}

impl Orientation {
    pub fn of(self, paper: Paper) -> kurbo::Size {
        let size = paper.size();
        match self {
            Orientation::Portrait => size,
            Orientation::Landscape => kurbo::Size::new(size.height, size.width),
        }
    }
}
