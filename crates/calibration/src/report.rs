//! The figures, counted from outcomes.

use crate::trial::{NextOutcome, Outcome};

/// The bands that stated probabilities are sorted into; the upper end belongs to the next band, but for the last.
pub const BANDS: [f64; 11] = [0.0, 0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.995, 1.0];

#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    pub from: f64,
    pub to: f64,
    pub count: usize,
    pub said: f64,
    pub right: f64,
    /// Standard deviation of the share that is right, if what was said is so.
    pub chance: f64,
}

/// What was said and how often it was so, band by band; bands with nothing in them are left out.
pub fn bands(stated: &[(f64, bool)]) -> Vec<Band> {
    let band = |ends: &[f64]| {
        let within = |p: f64| p >= ends[0] && (p < ends[1] || ends[1] == 1.0);
        let inside: Vec<(f64, bool)> = stated.iter().copied().filter(|(p, _)| within(*p)).collect();
        let count = inside.len();
        let share = |sum: f64| sum / count as f64;
        Band {
            from: ends[0],
            to: ends[1],
            count,
            said: share(inside.iter().map(|(p, _)| p).sum()),
            right: share(inside.iter().filter(|(_, right)| *right).count() as f64),
            chance: share(inside.iter().map(|(p, _)| p * (1.0 - p)).sum::<f64>().max(0.0).sqrt()),
        }
    };
    BANDS.windows(2).map(band).filter(|band| band.count > 0).collect()
}

/// Σ (n_b / n) |right_b − said_b| over the bands.
pub fn calibration_error(bands: &[Band]) -> f64 {
    let all: usize = bands.iter().map(|band| band.count).sum();
    bands.iter().map(|band| band.count as f64 * (band.right - band.said).abs()).sum::<f64>() / all.max(1) as f64
}

/// So many of so many.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Share {
    pub of: usize,
    pub are: usize,
}

impl Share {
    fn of<'a>(outcomes: impl IntoIterator<Item = &'a Outcome>, is: impl Fn(&Outcome) -> bool) -> Share {
        outcomes.into_iter().fold(Share::default(), |share, outcome| Share {
            of: share.of + 1,
            are: share.are + usize::from(is(outcome)),
        })
    }

    pub fn part(self) -> f64 {
        self.are as f64 / self.of.max(1) as f64
    }

    fn said(self) -> String {
        format!("{:.1} % ({} of {})", 100.0 * self.part(), self.are, self.of)
    }
}

/// All outcomes of one run.
#[derive(Debug, Default)]
pub struct Figures {
    pub mixed: Vec<Outcome>,
    pub slipped: Vec<Outcome>,
    pub unstandard: Vec<Outcome>,
    pub next: Vec<NextOutcome>,
    /// Cases for which nothing was found at all.
    pub nothing: usize,
}

impl Figures {
    pub fn leaders(&self) -> Vec<(f64, bool)> {
        self.mixed.iter().map(|outcome| (outcome.leader, outcome.right)).collect()
    }

    pub fn stated(&self) -> Vec<(f64, bool)> {
        self.mixed.iter().flat_map(|outcome| outcome.stated.iter().copied()).collect()
    }

    /// Sound readings of a standard rim, so many of them.
    fn sound(&self, from: usize, to: usize) -> impl Iterator<Item = &Outcome> {
        let sound = |outcome: &&Outcome| outcome.slip.is_none() && outcome.standard;
        self.mixed.iter().filter(sound).filter(move |outcome| (from..=to).contains(&outcome.readings))
    }

    pub fn right(&self, from: usize, to: usize) -> Share {
        Share::of(self.sound(from, to), |outcome| outcome.right)
    }

    fn plainly_right<'a>(outcomes: impl IntoIterator<Item = &'a Outcome>) -> Share {
        Share::of(outcomes, |outcome| outcome.plainly_right)
    }

    pub fn cried_on_sound(&self) -> Share {
        Share::of(self.sound(2, 99), |outcome| outcome.false_alarms > 0)
    }

    pub fn right_despite_slip(&self) -> Share {
        Share::of(&self.slipped, |outcome| outcome.right)
    }

    pub fn slip_found(&self) -> Share {
        Share::of(&self.slipped, |outcome| outcome.slip.as_ref().is_some_and(|slip| slip.named))
    }

    /// Of the slips with a usual cause that were found, those with the right cause.
    pub fn cause_named(&self) -> Share {
        let slip = |outcome: &Outcome| outcome.slip.clone().filter(|slip| slip.named && slip.cause != "no usual slip");
        let usual = self.slipped.iter().filter(|outcome| slip(outcome).is_some());
        Share::of(usual, |outcome| slip(outcome).is_some_and(|slip| slip.cause_named))
    }

    pub fn said_unstandard(&self) -> Share {
        Share::of(&self.unstandard, |outcome| outcome.right)
    }

    /// The same where the stated uncertainty (k = 2) promises it.
    pub fn base_pitch_as_promised(&self) -> Share {
        let promised = self.unstandard.iter().filter(|outcome| 2.0 * outcome.base_pitch_sigma < 0.002);
        Share::of(promised, |outcome| outcome.base_pitch_error.abs() < 0.002)
    }

    pub fn base_pitch_near(&self) -> Share {
        Share::of(&self.unstandard, |outcome| outcome.base_pitch_error.abs() < 0.002)
    }

    /// Half of the rims without a standard have a base pitch found nearer than this.
    pub fn median_base_pitch_error(&self) -> f64 {
        let mut errors: Vec<f64> = self.unstandard.iter().map(|outcome| outcome.base_pitch_error.abs()).collect();
        errors.sort_by(f64::total_cmp);
        errors.get(errors.len() / 2).copied().unwrap_or(f64::NAN)
    }

    fn milliseconds(&self) -> impl Iterator<Item = f64> {
        let all = self.mixed.iter().chain(&self.slipped).chain(&self.unstandard);
        all.map(|outcome| 1e3 * outcome.took.as_secs_f64())
    }

    pub fn mean_milliseconds(&self) -> f64 {
        self.milliseconds().sum::<f64>() / self.milliseconds().count().max(1) as f64
    }

    pub fn slowest_milliseconds(&self) -> f64 {
        self.milliseconds().fold(0.0, f64::max)
    }

    /// Tables in Markdown.
    pub fn markdown(&self) -> String {
        let mut out = String::new();
        let (leaders, stated) = (bands(&self.leaders()), bands(&self.stated()));
        out += &table("cases", &leaders);
        let (error, count) = (calibration_error(&leaders), self.mixed.len());
        out += &format!("\nExpected calibration error of the leading finding: {error:.4}, over {count} cases.\n");
        out += "\nThe same for every probability of at least 1 % that was stated, leading or not:\n\n";
        out += &table("findings", &stated);
        out += &format!("\nExpected calibration error of those: {:.4}.\n\n", calibration_error(&stated));
        out += "| what | share |\n| --- | --- |\n";
        out +=
            &self.shares().iter().map(|(what, share)| format!("| {what} | {} |\n", share.said())).collect::<String>();
        let median = 100.0 * self.median_base_pitch_error();
        out +=
            &format!("\nHalf of the base pitches of rims without a standard are found to {median:.3} % or better.\n");
        let mean =
            |pick: fn(&NextOutcome) -> f64| self.next.iter().map(pick).sum::<f64>() / self.next.len().max(1) as f64;
        out += &format!(
            "\nOne more reading, over {} cases of 2 to 4 readings that leave a doubt: the mean probability of the true \
             design is {:.3} before it, {:.3} after the reading proposed first, {:.3} after one at random.\n",
            self.next.len(),
            mean(|next| next.before),
            mean(|next| next.proposed),
            mean(|next| next.random)
        );
        out + &format!("\nNothing at all was found for {} cases.\n", self.nothing)
    }

    fn shares(&self) -> Vec<(String, Share)> {
        let mut out = Vec::new();
        for (from, to) in [(2, 3), (2, 2), (3, 3), (4, 4), (5, 8), (5, 5), (6, 6), (7, 8)] {
            let readings = if from == to { format!("{from}") } else { format!("{from} to {to}") };
            out.push((format!("{readings} sound readings: the leading finding is right"), self.right(from, to)));
        }
        let split = |whole: bool, counted: bool| {
            let these = self.sound(5, 8).filter(move |outcome| (outcome.whole, outcome.counted) == (whole, counted));
            Share::of(these, |outcome| outcome.right)
        };
        out.push(("of those with 5 or more: whole rims".into(), split(true, true)));
        out.push(("sectors, the teeth of the circle known".into(), split(false, true)));
        out.push(("sectors, not known".into(), split(false, false)));
        for (what, outcomes) in [
            ("2 to 3 sound readings", self.sound(2, 3).collect::<Vec<_>>()),
            ("5 to 8 sound readings", self.sound(5, 8).collect()),
            ("one slip among 5 to 8 readings", self.slipped.iter().collect()),
            ("no standard, 5 to 8 readings", self.unstandard.iter().collect()),
        ] {
            out.push((format!("the plain way, {what}: right"), Figures::plainly_right(outcomes)));
        }
        for (from, to) in [(2, 3), (5, 8)] {
            let any = || self.mixed.iter().filter(|outcome| (from..=to).contains(&outcome.readings));
            let what = format!("{from} to {to} readings, sound or not, of any rim");
            out.push((format!("{what}: the leading finding is right"), Share::of(any(), |outcome| outcome.right)));
            out.push((format!("the plain way, {what}: right"), Figures::plainly_right(any())));
        }
        out.push(("sound readings in which a slip is cried".into(), self.cried_on_sound()));
        out.push(("one slip among 5 to 8 readings: the leading finding is right".into(), self.right_despite_slip()));
        out.push(("and the slip is found".into(), self.slip_found()));
        out.push(("and, of the usual ones found, its cause is named".into(), self.cause_named()));
        out.push(("no standard, 5 to 8 readings: said so".into(), self.said_unstandard()));
        out.push(("and base pitch within 0.2 %".into(), self.base_pitch_near()));
        out.push((
            "of those that promise it, by a stated uncertainty of 0.2 % or less (k = 2)".into(),
            self.base_pitch_as_promised(),
        ));
        out
    }

    /// The bands, for a spreadsheet.
    pub fn csv(&self) -> String {
        let mut out = String::from("of,from,to,count,said,right,chance\n");
        for (of, stated) in [("leading", self.leaders()), ("stated", self.stated())] {
            for Band { from, to, count, said, right, chance } in bands(&stated) {
                out += &format!("{of},{from},{to},{count},{said:.4},{right:.4},{chance:.4}\n");
            }
        }
        out
    }
}

fn table(of: &str, bands: &[Band]) -> String {
    let percent = |part: f64| format!("{:.1} %", 100.0 * part);
    let row = |band: &Band| {
        let said = format!("{:.1}–{:.1} %", 100.0 * band.from, 100.0 * band.to);
        let [mean, right, chance] = [band.said, band.right, band.chance].map(percent);
        format!("| {said} | {} | {mean} | {right} | {chance} |\n", band.count)
    };
    let head = format!("| said | {of} | mean said | were right | by chance ± |\n| --- | ---: | ---: | ---: | ---: |\n");
    head + &bands.iter().map(row).collect::<String>()
}
