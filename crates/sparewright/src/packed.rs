//! A job carried all the way: solved, planned, set on paper, recorded.

use jiff::civil::Date;
use making::shop::Shop;
use serde_json::{Value, json};

use crate::checked::checked;
use crate::job::Job;
use crate::planned::planned;
use crate::result::result;
use crate::shape::PartShape;
use crate::sheets::{self, Work};
use crate::solve::solve;
use crate::trades;

/// What leaves for the bench.
#[derive(Debug)]
pub struct Packed {
    pub pdf: Vec<u8>,
    /// For the customer; none where there is no price.
    pub quote: Option<Vec<u8>>,
    /// Why there is no price, as sentences.
    pub unpriced: Vec<String>,
    /// For the pieces, to cut out and tie on.
    pub labels_pdf: Vec<u8>,
    pub labels_svg: String,
    /// None where nothing could be drawn.
    pub template_svg: Option<String>,
    /// What other trades open.
    pub trades: trades::Files,
    pub result: Value,
    /// Characters of the job that the sheets have no letters for.
    pub unprintable: Vec<char>,
}

pub fn packed(job: &Job, shop: &Shop, date: &Date) -> Result<Packed, String> {
    let solved = solve(job, shop);
    let shape = PartShape::of(&solved);
    if solved.features.iter().all(|feature| feature.design().is_none()) {
        return Err("Nothing is known yet that could be made: measure the part first. `sparewright solve` says what is missing.".into());
    }
    if let Some(faults) = shape.as_ref().map(PartShape::faults).filter(|faults| !faults.is_empty()) {
        return Err(format!("Such a part cannot be made. {}", faults.join(" ")));
    }
    let plan = planned(&solved, shape.as_ref(), shop);
    let checked = checked(&solved);
    let work = Work {
        solved: &solved,
        shape: shape.as_ref(),
        plan: &plan,
        checked: &checked,
        shop,
        date: date.strftime("%-d %B %Y").to_string(),
    };
    let set = |pack: &pack::Pack| pack::to_pdf(pack).map_err(|error| format!("The sheets could not be set: {error}"));
    let pdf = set(&sheets::pack(&work))?;
    let quote = sheets::quote::quote(&work).map(|quote| set(&quote)).transpose()?;
    let labels = sheets::labels::labels(&work);
    let labels_pdf = set(&sheets::labels::pack(&work, &labels))?;
    let trades = trades::files(&solved, &shop.name, date);
    let mut result = result(&solved, Some(&plan));
    if let Value::Object(fields) = &mut result {
        fields.insert("plan".into(), json!(plan));
        fields.insert("trades".into(), json!(trades.result));
    }
    Ok(Packed {
        pdf,
        quote,
        unpriced: plan.price.unknown.clone(),
        labels_pdf,
        labels_svg: labels.whole().to_svg_outlined(),
        template_svg: sheets::template::template(&work).map(|template| template.whole().to_svg()),
        trades,
        result,
        unprintable: unprintable(job),
    })
}

fn unprintable(job: &Job) -> Vec<char> {
    let features = || job.features.iter().chain(job.mates.iter().map(|mate| &mate.feature));
    let lines = features().flat_map(|feature| &feature.entry.lines).map(|line| line.value.text.as_str());
    let names = features().map(|feature| feature.name.as_str());
    let of_pieces = job.pieces.iter().flat_map(|piece| piece.to.iter().chain(&piece.remark)).map(String::as_str);
    let read = job.pieces.iter().flat_map(|piece| &piece.readings).flat_map(|of| &of.lines);
    let read = read.map(|line| line.value.text.as_str());
    let of_job = lines.chain(names).chain([job.title.as_str()]);
    let mut out: Vec<char> = of_job.chain(of_pieces).chain(read).flat_map(pack::unprintable).collect();
    out.sort_unstable();
    out.dedup();
    out
}

impl Packed {
    /// File names and contents.
    pub fn files(&self, stem: &str) -> Vec<(String, Vec<u8>)> {
        let mut out = vec![(format!("{stem}.pdf"), self.pdf.clone())];
        out.extend(self.quote.as_ref().map(|quote| (format!("{stem}-quote.pdf"), quote.clone())));
        out.extend(self.template_svg.as_ref().map(|svg| (format!("{stem}-template.svg"), svg.clone().into_bytes())));
        out.push((format!("{stem}-labels.pdf"), self.labels_pdf.clone()));
        out.push((format!("{stem}-labels.svg"), self.labels_svg.clone().into_bytes()));
        out.extend(self.trades.files.iter().map(|(suffix, bytes)| (format!("{stem}{suffix}"), bytes.clone())));
        out.push((format!("{stem}.json"), format!("{:#}\n", self.result).into_bytes()));
        out
    }
}
