//! `sparewright scan PICTURE`

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use ::scan::{Known, KnownSize, Options, Stage};
use quantity::{Length, Size, print, read_size};

use super::{Outcome, Refusal, ShopChoice, say, say_json};
use crate::problems::{self, Dress};
use crate::scanned;
use crate::shop::bench;

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The scan: PNG, JPEG, TIFF or BMP
    picture: PathBuf,
    /// Dots to the inch, instead of what the file says
    #[arg(long, value_parser = dpi)]
    dpi: Option<f64>,
    /// Diameter of a round gauge that lies in the picture: "0.7500 in", "20 mm"
    #[arg(long, value_name = "SIZE")]
    gauge: Option<String>,
    /// A size of the part measured otherwise, to take the scale from: "bore 0.8755 in", "tips 58.4 mm", "roots 52.9 mm"
    #[arg(long, value_name = "WHAT SIZE", conflicts_with = "gauge")]
    known: Option<String>,
    /// A second scan of the same part, turned by a quarter, to tell the scanner's axes apart
    #[arg(long, value_name = "PICTURE")]
    turned: Option<PathBuf>,
    /// Write what was found, drawn over the scan, to this SVG file
    #[arg(long, value_name = "FILE.svg")]
    overlay: Option<PathBuf>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// Pictures of fewer pixels are measured before anybody waits.
const LONG_WORK: usize = 8_000_000;

/// A caliper's reading, where the size is known by one.
const KNOWN_SIGMA_MM: f64 = 0.02;

pub fn run(arguments: &Arguments) -> Outcome {
    let shop = arguments.shop.open(std::env::current_dir().ok().as_deref())?;
    let size = |name: &str, text: &str| {
        read_size(text, &bench(shop.unit, &shop.instruments))
            .map_err(|problem| Refusal(problems::render(name, text, &[problem], Dress::of_stderr())))
    };
    let gauge = arguments.gauge.as_deref().map(|text| size("--gauge", text)).transpose()?;
    let known = arguments.known.as_deref().map(|text| known(text, &size)).transpose()?;
    let unit = gauge.as_ref().or(known.as_ref().map(|(_, size)| size)).map_or(shop.unit, Size::unit);
    let options = Options {
        dpi: arguments.dpi,
        gauge: gauge.map(|size| scanned::gauge(size.length.mm())),
        known: known.map(|(what, size)| Known { what, size: size.length.mm(), sigma: KNOWN_SIGMA_MM }),
        ..Options::default()
    };
    let picture = scanned::open(&arguments.picture).map_err(Refusal)?;
    let seen = look(&picture, &arguments.picture)?;
    let turned = match &arguments.turned {
        Some(path) => Some(look(&scanned::open(path).map_err(Refusal)?, path)?),
        None => None,
    };
    let scan = ::scan::measure_seen(&seen, &options, turned.as_ref())
        .map_err(|error| Refusal(format!("{}: {error}", arguments.picture.display())))?;
    if let Some(path) = &arguments.overlay {
        write(path, &::scan::overlay::svg(&picture, &scan, &|mm| print::length(Length::from_mm(mm), unit, 3)))?;
    }
    if arguments.json { say_json(&scanned::result(&scan)) } else { say(&scanned::tell(&scan, unit)) }
}

/// Finds the edges, and says where it has got to if somebody watches and has to wait.
fn look(picture: &::scan::picture::Picture, path: &Path) -> Result<::scan::Seen, Refusal> {
    let watched = std::io::stderr().is_terminal() && picture.width() * picture.height() > LONG_WORK;
    let progress = |stage: Stage| {
        let doing = match stage {
            Stage::Ground => "telling the part from its ground",
            Stage::Borders => "following its borders",
            Stage::Edges => "placing its edges",
            Stage::Shapes => "finding circles and teeth",
        };
        if watched {
            eprintln!("{}: {doing} …", path.display());
        }
    };
    ::scan::look(picture, &progress).map_err(|error| Refusal(format!("{}: {error}", path.display())))
}

/// `bore 0.8755 in`: what was measured, and its size.
fn known(text: &str, size: &dyn Fn(&str, &str) -> Result<Size, Refusal>) -> Result<(KnownSize, Size), Refusal> {
    let (what, rest) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    let what = match what.to_lowercase().as_str() {
        "bore" => KnownSize::Bore,
        "tip" | "tips" => KnownSize::TipDiameter,
        "root" | "roots" => KnownSize::RootDiameter,
        _ => {
            return Err(Refusal(format!(
                "--known: “{what}” is no size the scale can be taken from: write bore, tips or roots and the diameter, as in \"bore 0.8755 in\"."
            )));
        }
    };
    Ok((what, size("--known", rest)?))
}

fn write(path: &Path, text: &str) -> Outcome {
    let temporary = path.with_extension("svg.part");
    std::fs::write(&temporary, text).and_then(|()| std::fs::rename(&temporary, path)).map_err(|error| {
        let _ = std::fs::remove_file(&temporary);
        Refusal(format!("{} cannot be written: {error}. Choose a folder that may be written to.", path.display()))
    })
}

fn dpi(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "a number of dots to the inch, such as 600".to_string())?;
    if (50.0..=9600.0).contains(&value) { Ok(value) } else { Err("between 50 and 9600 dots to the inch".into()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_to_the_inch_are_a_sensible_number() {
        assert_eq!(dpi("600"), Ok(600.0));
        assert!(dpi("0").is_err() && dpi("NaN").is_err() && dpi("1e9").is_err() && dpi("six").is_err());
    }
}
