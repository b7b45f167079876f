//! Money in exact hundredths, and minutes at the bench.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

use serde::Serialize;

/// An amount of money in whole hundredths of the shop's currency, whatever that is called. Sums are exact; what is
/// worked out by a factor is rounded once, to the nearest hundredth.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(i64);

impl Money {
    pub const ZERO: Money = Money(0);
    /// Hundredths in one.
    pub const IN_ONE: i64 = 100;

    pub const fn from_cents(cents: i64) -> Money {
        Money(cents)
    }

    pub const fn cents(self) -> i64 {
        self.0
    }

    /// As it is written: `60`, `6.5`, `12.50`; none where it is no amount or finer than a hundredth.
    pub fn read(text: &str) -> Option<Money> {
        let (whole, part) = text.split_once('.').map_or((text, "0"), |(whole, part)| (whole, part));
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        if !digits(whole) || !digits(part) || part.trim_end_matches('0').len() > 2 {
            return None;
        }
        let tenths_and_hundredths: i64 = format!("{:0<2}", part.trim_end_matches('0')).parse().ok()?;
        Some(Money(whole.parse::<i64>().ok()?.checked_mul(Money::IN_ONE)?.checked_add(tenths_and_hundredths)?))
    }

    /// This much times a factor, to the nearest hundredth, halves away from zero. Exact for amounts below 10¹³.
    pub fn times(self, factor: f64) -> Money {
        Money((self.0 as f64 * factor).round() as i64)
    }

    /// What one of so many comes to, to the hundredth above: so many of it are not less than the whole.
    pub fn each_of(self, count: u32) -> Money {
        let count = i64::from(count.max(1));
        Money(self.0.div_euclid(count) + i64::from(self.0.rem_euclid(count) > 0))
    }

    /// The next whole multiple of a step that is not below it.
    pub fn up_to(self, step: Money) -> Money {
        match step.0 {
            ..=0 => self,
            step => Money(
                self.0.div_euclid(step).saturating_add(i64::from(self.0.rem_euclid(step) > 0)).saturating_mul(step),
            ),
        }
    }
}

impl fmt::Display for Money {
    /// `1284.50`; whole amounts with their noughts, so that figures stand under one another.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "−" } else { "" };
        let cents = self.0.unsigned_abs();
        f.pad(&format!("{sign}{}.{:02}", cents / 100, cents % 100))
    }
}

impl Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Money) {
        *self = *self + other;
    }
}

impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(self.0.saturating_sub(other.0))
    }
}

/// So many alike.
impl Mul<u32> for Money {
    type Output = Money;
    fn mul(self, count: u32) -> Money {
        Money(self.0.saturating_mul(i64::from(count)))
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(all: I) -> Money {
        all.fold(Money::ZERO, Add::add)
    }
}

/// A number with two decimals, which JSON readers take for money.
impl Serialize for Money {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.0 as f64 / Money::IN_ONE as f64)
    }
}

/// Time at the bench or a machine.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Minutes(f64);

impl Minutes {
    pub const ZERO: Minutes = Minutes(0.0);

    pub const fn new(minutes: f64) -> Minutes {
        Minutes(minutes)
    }

    pub const fn get(self) -> f64 {
        self.0
    }

    pub fn hours(self) -> f64 {
        self.0 / 60.0
    }
}

impl fmt::Display for Minutes {
    /// `4 min`, `1 h 25 min`; below ten minutes to a tenth would say more than anyone knows.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = self.0.max(0.0).round();
        let (hours, minutes) = ((whole / 60.0).floor(), whole % 60.0);
        let text = match (hours > 0.0, minutes > 0.0) {
            (true, true) => format!("{hours} h {minutes} min"),
            (true, false) => format!("{hours} h"),
            (false, _) => format!("{minutes} min"),
        };
        f.pad(&text)
    }
}

impl Add for Minutes {
    type Output = Minutes;
    fn add(self, other: Minutes) -> Minutes {
        Minutes(self.0 + other.0)
    }
}

impl AddAssign for Minutes {
    fn add_assign(&mut self, other: Minutes) {
        self.0 += other.0;
    }
}

impl Sub for Minutes {
    type Output = Minutes;
    fn sub(self, other: Minutes) -> Minutes {
        Minutes(self.0 - other.0)
    }
}

impl Mul<f64> for Minutes {
    type Output = Minutes;
    fn mul(self, factor: f64) -> Minutes {
        Minutes(self.0 * factor)
    }
}

impl Sum for Minutes {
    fn sum<I: Iterator<Item = Minutes>>(all: I) -> Minutes {
        all.fold(Minutes::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn money_as_it_is_written() {
        for (text, cents) in [("60", 6000), ("6.5", 650), ("0.05", 5), ("12.50", 1250), ("3.200", 320), ("0", 0)] {
            assert_eq!(Money::read(text), Some(Money::from_cents(cents)), "{text}");
        }
        for text in ["", "-1", "1.005", ".5", "5.", "1e3", "1,5", "99999999999999999999", "１"] {
            assert_eq!(Money::read(text), None, "{text}");
        }
    }

    proptest! {
        /// What is printed reads back as the same amount, and nothing is lost in a sum.
        #[test]
        fn money_is_exact(cents in 0_i64..1_000_000_000, other in 0_i64..1_000_000_000, step in 1_i64..10_000) {
            let money = Money::from_cents(cents);
            prop_assert_eq!(Money::read(&money.to_string()), Some(money));
            prop_assert_eq!((money + Money::from_cents(other) - money).cents(), other);
            let up = money.up_to(Money::from_cents(step));
            prop_assert!(up >= money && up - money < Money::from_cents(step) && up.cents() % step == 0);
        }
    }

    #[test]
    fn minutes_as_a_shop_says_them() {
        for (minutes, said) in [(0.2, "0 min"), (4.4, "4 min"), (60.0, "1 h"), (84.6, "1 h 25 min"), (119.7, "2 h")] {
            assert_eq!(Minutes::new(minutes).to_string(), said);
        }
    }
}
