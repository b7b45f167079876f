//! Embedded data files, and the source that every row of them must name.
//!
//! A CSV file declares its sources in its head, `# source <key>: <citation>`, and every row has the columns `source` (a
//! key) and `confidence`. A TOML file declares them in its table `[sources]`; every entry names one the same way.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde::de::DeserializeOwned;

/// How far a value can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Confidence {
    /// Read in the cited source.
    Published,
    /// The cited source is named, but the value was recalled, not read there.
    Memory,
    /// Worked out from a definition or a stated formula.
    Computed,
    /// What shops usually do; no document is cited.
    Practice,
}

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    pub citation: &'static str,
    pub confidence: Confidence,
}

/// One data file, as it stands in the repository under `data/`.
#[derive(Clone, Copy, Debug)]
pub struct DataFile {
    pub path: &'static str,
    pub text: &'static str,
}

/// A data file embedded in the program.
macro_rules! data_file {
    ($path:literal) => {
        $crate::table::DataFile {
            path: $path,
            text: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../data/", $path)),
        }
    };
}
pub(crate) use data_file;

/// Why a file could not be read. Seen only by whoever edits a data file: the tests read every one of them.
pub(crate) type Malformed = String;

/// The source columns of a CSV row and the source fields of a TOML entry.
#[derive(Debug, Deserialize)]
pub(crate) struct Cited {
    source: String,
    confidence: Confidence,
}

/// The sources a file declares.
pub(crate) struct Sources(BTreeMap<String, &'static str>);

impl Sources {
    pub(crate) fn from_toml(declared: BTreeMap<String, String>) -> Sources {
        // the tables live as long as the program, and so do their citations
        Sources(declared.into_iter().map(|(key, citation)| (key, &*citation.leak())).collect())
    }

    fn from_head(text: &'static str) -> Sources {
        let declared = text.lines().filter_map(|line| line.strip_prefix("# source ")?.split_once(':'));
        Sources(declared.map(|(key, citation)| (key.trim().to_string(), citation.trim())).collect())
    }

    pub(crate) fn cite(&self, cited: &Cited) -> Result<Source, Malformed> {
        match self.0.get(&cited.source) {
            Some(citation) => Ok(Source { citation, confidence: cited.confidence }),
            None => Err(format!("source `{}` is not declared", cited.source)),
        }
    }
}

/// The rows of CSV files, each handed to `row` together with its source.
pub(crate) fn csv_rows<R: DeserializeOwned, T>(
    files: &[DataFile],
    row: impl Fn(R, Source) -> Result<T, Malformed>,
) -> Result<Vec<T>, Malformed> {
    let mut out = Vec::new();
    for file in files {
        let sources = Sources::from_head(file.text);
        let at = |line: Option<u64>, why: String| format!("data/{}, line {}: {why}", file.path, line.unwrap_or(0));
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(file.text.as_bytes());
        let headers = reader.headers().map_err(|why| at(Some(1), why.to_string()))?.clone();
        for record in reader.records() {
            let record = record.map_err(|why| at(None, why.to_string()))?;
            let line = record.position().map(csv::Position::line);
            let cited: Cited = record.deserialize(Some(&headers)).map_err(|why| at(line, why.to_string()))?;
            let source = sources.cite(&cited).map_err(|why| at(line, why))?;
            let raw: R = record.deserialize(Some(&headers)).map_err(|why| at(line, why.to_string()))?;
            out.push(row(raw, source).map_err(|why| at(line, why))?);
        }
    }
    Ok(out)
}

/// A whole TOML file.
pub(crate) fn toml_file<R: DeserializeOwned>(file: &DataFile) -> Result<R, Malformed> {
    toml::from_str(file.text).map_err(|why| format!("data/{}: {why}", file.path))
}

/// `13/64`, `1 1/2`, `2`, `2.25`: a number of the trade as it stands in a table.
pub(crate) fn number(text: &str) -> Result<f64, Malformed> {
    let parse = |text: &str| text.parse::<f64>().map_err(|_| format!("`{text}` is not a number"));
    let (whole, fraction) = match text.split_once([' ', '-']) {
        Some((whole, fraction)) => (parse(whole)?, fraction),
        None => (0.0, text),
    };
    match fraction.split_once('/') {
        Some((numerator, denominator)) => Ok(whole + parse(numerator)? / parse(denominator)?),
        None => Ok(whole + parse(fraction)?),
    }
}

/// What every embedded table relies on; the tests read each of them.
pub(crate) const WELL_FORMED: &str = "the embedded data files are well formed";
