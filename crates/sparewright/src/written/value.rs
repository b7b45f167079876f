//! One value of a file, taken for what it ought to be.

use std::ops::Range;

use quantity::{Bench, Money, Problem, Size, quoted, read_size};
use toml::Spanned;
use toml::de::DeValue;

use super::raw::Places;
use super::section::Section;

#[derive(Clone, Copy, Debug)]
pub(crate) struct Value<'a> {
    file: &'a str,
    value: &'a Spanned<DeValue<'a>>,
}

/// A string with the place of each of its characters.
#[derive(Clone, Debug)]
pub(crate) struct Text<'a> {
    pub(crate) value: &'a str,
    file: &'a str,
    outer: Range<usize>,
}

/// Takes what is right, and notes what is not.
pub(crate) fn or_note<T>(result: Result<T, Problem>, problems: &mut Vec<Problem>) -> Option<T> {
    result.map_err(|problem| problems.push(problem)).ok()
}

impl<'a> Value<'a> {
    pub(crate) fn new(file: &'a str, value: &'a Spanned<DeValue<'a>>) -> Value<'a> {
        Value { file, value }
    }

    pub(crate) fn at(&self) -> Range<usize> {
        self.value.span()
    }

    pub(crate) fn text(&self) -> Result<Text<'a>, Problem> {
        match self.value.get_ref() {
            DeValue::String(text) => Ok(Text::new(text, self.file, self.at())),
            DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) | DeValue::Datetime(_) => {
                let typed = self.file.get(self.at()).unwrap_or_default();
                Err(self.wrong("expected text in quotes").help(format!("write \"{typed}\"")))
            }
            DeValue::Array(_) | DeValue::Table(_) => Err(self.wrong("expected text in quotes")),
        }
    }

    pub(crate) fn yes(&self) -> Result<bool, Problem> {
        const EXPECTED: &str = "expected true or false";
        match self.value.get_ref() {
            DeValue::Boolean(yes) => Ok(*yes),
            DeValue::String(text) => Err(match text.to_lowercase().as_str() {
                "true" | "yes" | "y" | "on" => self.wrong(EXPECTED).help("write true, without quotes"),
                "false" | "no" | "n" | "off" => self.wrong(EXPECTED).help("write false, without quotes"),
                _ => self.wrong(EXPECTED),
            }),
            DeValue::Integer(_) | DeValue::Float(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
                Err(self.wrong(EXPECTED))
            }
        }
    }

    /// A whole number from `least` up to `most`.
    pub(crate) fn count(&self, least: u32, most: u32) -> Result<u32, Problem> {
        let expected = format!("expected a whole number from {least} to {most}");
        match self.value.get_ref() {
            DeValue::Integer(number) => {
                let count = i64::from_str_radix(number.as_str(), number.radix()).ok();
                let fits =
                    count.and_then(|count| u32::try_from(count).ok()).filter(|count| (least..=most).contains(count));
                fits.ok_or_else(|| {
                    let typed = self.file.get(self.at()).unwrap_or_default();
                    Problem::new(self.at(), format!("{typed} is out of range here."), expected)
                })
            }
            DeValue::String(text) if text.trim().parse::<u32>().is_ok() => {
                Err(self.wrong(&expected).help(format!("write {}, without quotes", text.trim())))
            }
            DeValue::String(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_)
            | DeValue::Table(_) => Err(self.wrong(&expected)),
        }
    }

    /// A plain number from `least` up to `most`: money, speeds, forces.
    pub(crate) fn number(&self, least: f64, most: f64) -> Result<f64, Problem> {
        let expected = format!("expected a number from {least} to {most}");
        let number = match self.value.get_ref() {
            DeValue::Float(number) => number.as_str().parse::<f64>().ok(),
            DeValue::Integer(number) => {
                i64::from_str_radix(number.as_str(), number.radix()).ok().map(|number| number as f64)
            }
            DeValue::String(text) if text.trim().parse::<f64>().is_ok() => {
                return Err(self.wrong(&expected).help(format!("write {}, without quotes", text.trim())));
            }
            DeValue::String(_) | DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
                return Err(self.wrong(&expected));
            }
        };
        number.filter(|number| (least..=most).contains(number)).ok_or_else(|| {
            let typed = self.file.get(self.at()).unwrap_or_default();
            Problem::new(self.at(), format!("{typed} is out of range here."), expected)
        })
    }

    /// A day: 2031-02-14, bare or in quotes.
    pub(crate) fn day(&self) -> Result<toml::value::Date, Problem> {
        const EXPECTED: &str = "expected a day as 2031-02-14: year, month, day";
        let date = match self.value.get_ref() {
            DeValue::Datetime(moment) => moment.date,
            DeValue::String(text) => text.trim().parse::<toml::value::Datetime>().ok().and_then(|moment| moment.date),
            _ => None,
        };
        date.ok_or_else(|| {
            let typed = self.file.get(self.at()).unwrap_or_default();
            Problem::new(self.at(), format!("{} is not a day of the calendar.", quoted(typed)), EXPECTED)
        })
    }

    /// An amount of money, exactly as it is written: not below `least`, and no finer than a hundredth.
    pub(crate) fn money(&self, least: Money, most: Money) -> Result<Money, Problem> {
        // a list or a word is refused as any number is, and so is what is out of range
        let whole = |money: Money| money.cents() as f64 / Money::IN_ONE as f64;
        self.number(whole(least), whole(most))?;
        let typed = self.file.get(self.at()).unwrap_or_default();
        Money::read(&typed.replace('_', "")).ok_or_else(|| {
            Problem::new(
                self.at(),
                format!("{typed} is no amount of money: that has at most two decimals."),
                "expected an amount as 60 or 6.50",
            )
        })
    }

    /// A size: bare in the bench's unit, or as text in any form the bench takes.
    pub(crate) fn size(&self, bench: &Bench<'_>) -> Result<Size, Problem> {
        match self.value.get_ref() {
            DeValue::String(_) => {
                let text = self.text()?;
                read_size(text.value, bench).map_err(|problem| text.problem(problem))
            }
            DeValue::Integer(_) | DeValue::Float(_) => {
                let typed = self.file.get(self.at()).unwrap_or_default();
                read_size(typed, bench).map_err(|problem| problem.shifted(self.at().start))
            }
            DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
                Err(self.wrong("expected a size").help("sizes look like 2.301, \"58.45 mm\", \"1 3/8\", \"#40\""))
            }
        }
    }

    pub(crate) fn list(&self) -> Result<Vec<Value<'a>>, Problem> {
        match self.value.get_ref() {
            DeValue::Array(list) => Ok(list.iter().map(|value| Value { file: self.file, value }).collect()),
            DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) => {
                let typed = self.file.get(self.at()).unwrap_or_default();
                let problem = self.wrong("expected a list in brackets");
                Err(match typed.len() < 80 && !typed.contains('\n') {
                    true => problem.help(format!("write [{typed}]")),
                    false => problem,
                })
            }
            DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Table(_) => {
                Err(self.wrong("expected a list in brackets"))
            }
        }
    }

    /// `what` names it in sentences: "a machine".
    pub(crate) fn section(&self, what: &'static str) -> Result<Section<'a>, Problem> {
        match self.value.get_ref() {
            DeValue::Table(table) => Ok(Section::new(self.file, table, self.at(), what)),
            DeValue::String(_)
            | DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_) => Err(self.wrong("expected names and values, in braces or under a heading")),
        }
    }

    /// Whether this is text, which some fields take beside something else.
    pub(crate) fn is_text(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::String(_))
    }

    pub(crate) fn is_table(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::Table(_))
    }

    pub(crate) fn is_list(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::Array(_))
    }

    /// Text, or a number as it was typed.
    pub(crate) fn as_typed(&self) -> Result<&'a str, Problem> {
        match self.value.get_ref() {
            DeValue::String(text) => Ok(text.trim()),
            DeValue::Integer(_) | DeValue::Float(_) => Ok(self.file.get(self.at()).unwrap_or_default()),
            DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
                Err(self.wrong("expected a number, or text in quotes"))
            }
        }
    }

    fn wrong(&self, expected: &str) -> Problem {
        let is = match self.value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a decimal number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table of names and values",
        };
        Problem::new(self.at(), format!("This is {is}, which does not fit here."), expected)
    }
}

impl<'a> Text<'a> {
    pub(crate) fn new(value: &'a str, file: &'a str, outer: Range<usize>) -> Text<'a> {
        Text { value, file, outer }
    }

    /// The problem, which points into the value, in the file.
    pub(crate) fn problem(&self, mut problem: Problem) -> Problem {
        problem.at = self.place(problem.at.clone());
        problem
    }

    /// The place in the file of a part of the value.
    pub(crate) fn place(&self, within: Range<usize>) -> Range<usize> {
        Places::of(self.file, self.outer.clone(), self.value)
            .map_or_else(|| self.outer.clone(), |places| places.place(within))
    }

    /// What stands between the quotes.
    pub(crate) fn at(&self) -> Range<usize> {
        Places::of(self.file, self.outer.clone(), self.value)
            .map_or_else(|| self.outer.clone(), |places| places.whole())
    }

    /// The text without space around it; it must not be empty.
    pub(crate) fn filled(&self) -> Result<&'a str, Problem> {
        let text = self.value.trim();
        match text.is_empty() {
            true => {
                Err(Problem::new(self.outer.clone(), "There is nothing between the quotes.", "expected a few words"))
            }
            false => Ok(text),
        }
    }

    /// The one of these words that this is.
    pub(crate) fn one_of<T>(&self, words: impl IntoIterator<Item = (&'static str, T)>) -> Result<T, Problem> {
        let typed = self.value.trim();
        let mut known = Vec::new();
        for (word, meaning) in words {
            if word.eq_ignore_ascii_case(typed) {
                return Ok(meaning);
            }
            known.push(word);
        }
        let words: Vec<String> = known.iter().map(|word| format!("\"{word}\"")).collect();
        let problem = Problem::new(
            self.at(),
            format!("{} is none of the words known here.", quoted(typed)),
            format!("expected {}", words.join(" or ")),
        );
        Err(match quantity::nearest(typed, known) {
            Some(meant) => problem.help(format!("did you mean `{meant}`?")),
            None => problem,
        })
    }
}
