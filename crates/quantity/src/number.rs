//! A number before its unit is known: `2.301`, `3/8`, `1-3/8`, `1 3/8`, `14½`.

use crate::cursor::Cursor;
use crate::problem::{Problem, quoted};
use crate::token::vulgar;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Number {
    Decimal { value: f64, places: u8 },
    Fraction { whole: u32, numerator: u32, denominator: u32 },
}

/// An `f64` printed in full has 17 figures and, at a bench, few leading zeros; more digits are no number of a person's.
const MOST_DIGITS: usize = 24;
/// A whole number before a fraction; beyond this it is no size.
const LARGEST_WHOLE: f64 = 1e6;

impl Number {
    /// Reads one number at the cursor; `None`, and nothing taken, where none stands there.
    pub(crate) fn read(cursor: &mut Cursor<'_>) -> Result<Option<Number>, Problem> {
        let Some(number) = Number::peek(cursor) else {
            return Ok(None);
        };
        refuse_decimal_comma(cursor)?;
        cursor.advance();
        let Number::Decimal { value, places: 0 } = number else {
            return Ok(Some(number));
        };
        // `1 3/8`: a whole number followed by a fraction
        match Number::peek(cursor) {
            Some(Number::Fraction { whole: 0, numerator, denominator }) if (0.0..LARGEST_WHOLE).contains(&value) => {
                cursor.advance();
                Ok(Some(Number::Fraction { whole: value as u32, numerator, denominator }))
            }
            Some(_) | None => Ok(Some(number)),
        }
    }

    pub(crate) fn peek(cursor: &Cursor<'_>) -> Option<Number> {
        cursor.peek().and_then(|token| Number::parse(token.text))
    }

    pub(crate) fn parse(text: &str) -> Option<Number> {
        if let Some((numerator, denominator)) = text.chars().last().and_then(vulgar) {
            let whole = text.trim_end_matches(|c| vulgar(c).is_some());
            // one such character only: `1½½` is nothing
            if text[whole.len()..].chars().count() > 1 {
                return None;
            }
            let whole = match whole {
                "" => 0,
                whole => plain_digits(whole)?,
            };
            return Some(Number::Fraction { whole, numerator, denominator });
        }
        if let Some((left, denominator)) = text.split_once('/') {
            let (whole, numerator) = left.split_once('-').unwrap_or(("0", left));
            return Some(Number::Fraction {
                whole: plain_digits(whole)?,
                numerator: plain_digits(numerator)?,
                denominator: plain_digits(denominator)?,
            });
        }
        let digits = unsigned(text);
        if digits.is_empty() || digits.len() > MOST_DIGITS || !digits.chars().all(|c| c.is_ascii_digit() || c == '.') {
            return None;
        }
        let places = digits.split_once('.').map_or(0, |(_, after)| after.len());
        let value: f64 = digits.parse().ok()?;
        let value = if digits.len() < text.len() { -value } else { value };
        Some(Number::Decimal { value, places: u8::try_from(places).ok()? })
    }

    /// Infinite or NaN where a denominator is zero.
    pub(crate) fn value(self) -> f64 {
        match self {
            Number::Decimal { value, .. } => value,
            Number::Fraction { whole, numerator, denominator } => {
                f64::from(whole) + f64::from(numerator) / f64::from(denominator)
            }
        }
    }
}

/// Whether the text is a number with a minus sign before it, of either form.
pub(crate) fn is_negative(text: &str) -> bool {
    let rest = unsigned(text);
    rest.len() < text.len() && Number::parse(rest).is_some()
}

fn unsigned(text: &str) -> &str {
    text.strip_prefix(['-', '−']).unwrap_or(text)
}

fn plain_digits(text: &str) -> Option<u32> {
    text.chars().all(|c| c.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}

/// `2,301`: a comma with figures close on both sides would be read as the end of the size; nobody means that.
fn refuse_decimal_comma(cursor: &Cursor<'_>) -> Result<(), Problem> {
    let (Some(left), Some(comma), Some(right)) = (cursor.peek(), cursor.peek_at(1), cursor.peek_at(2)) else {
        return Ok(());
    };
    let close = comma.text == "," && comma.at.start == left.at.end && right.at.start == comma.at.end;
    let figures = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    if !(close && figures(left.text) && right.text.starts_with(|c: char| c.is_ascii_digit())) {
        return Ok(());
    }
    let typed = format!("{},{}", left.text, right.text);
    Err(Problem::new(
        left.at.start..right.at.end,
        format!("{} has a comma inside the number.", quoted(&typed)),
        "expected a number with a decimal point",
    )
    .help(format!("decimals are written with a point, and thousands without any sign: {}.{}", left.text, right.text)))
}
