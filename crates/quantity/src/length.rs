//! Length and angle: newtypes with a private number and named ways in and out.

use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use serde::{Deserialize, Serialize};

/// The international inch, exactly (ISO 80000-3; the 1959 agreement).
pub const MM_PER_INCH: f64 = 25.4;

/// A length. Inside it is a number of millimetres; inches are for people.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length(f64);

impl Length {
    pub const ZERO: Length = Length(0.0);

    pub const fn from_mm(mm: f64) -> Length {
        Length(mm)
    }

    pub const fn from_inches(inches: f64) -> Length {
        Length(inches * MM_PER_INCH)
    }

    pub const fn from_micrometres(micrometres: f64) -> Length {
        Length(micrometres / 1000.0)
    }

    pub const fn mm(self) -> f64 {
        self.0
    }

    pub const fn inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }

    pub const fn micrometres(self) -> f64 {
        self.0 * 1000.0
    }

    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }

    pub const fn min(self, other: Length) -> Length {
        Length(self.0.min(other.0))
    }

    pub const fn max(self, other: Length) -> Length {
        Length(self.0.max(other.0))
    }

    /// Neither NaN nor infinite.
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}

/// An angle. Inside it is a number of radians; degrees are for people.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Angle(f64);

impl Angle {
    pub const ZERO: Angle = Angle(0.0);
    pub const TURN: Angle = Angle(std::f64::consts::TAU);

    pub const fn from_radians(radians: f64) -> Angle {
        Angle(radians)
    }

    pub const fn from_degrees(degrees: f64) -> Angle {
        Angle(degrees.to_radians())
    }

    pub const fn radians(self) -> f64 {
        self.0
    }

    pub const fn degrees(self) -> f64 {
        self.0.to_degrees()
    }

    pub const fn abs(self) -> Angle {
        Angle(self.0.abs())
    }

    pub fn sin(self) -> f64 {
        self.0.sin()
    }

    pub fn cos(self) -> f64 {
        self.0.cos()
    }

    pub fn tan(self) -> f64 {
        self.0.tan()
    }
}

impl fmt::Display for Length {
    /// `12.345 mm`; for trade forms see [`crate::print`].
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match f.precision() {
            Some(places) => write!(f, "{:.places$} mm", self.0),
            None => write!(f, "{} mm", self.0),
        }
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match f.precision() {
            Some(places) => write!(f, "{:.places$}°", self.degrees()),
            None => write!(f, "{}°", self.degrees()),
        }
    }
}

/// The arithmetic that keeps the dimension: sums, differences, multiples, and the ratio of two.
macro_rules! linear {
    ($quantity:ident) => {
        impl Add for $quantity {
            type Output = $quantity;
            fn add(self, other: $quantity) -> $quantity {
                $quantity(self.0 + other.0)
            }
        }
        impl AddAssign for $quantity {
            fn add_assign(&mut self, other: $quantity) {
                self.0 += other.0;
            }
        }
        impl Sub for $quantity {
            type Output = $quantity;
            fn sub(self, other: $quantity) -> $quantity {
                $quantity(self.0 - other.0)
            }
        }
        impl SubAssign for $quantity {
            fn sub_assign(&mut self, other: $quantity) {
                self.0 -= other.0;
            }
        }
        impl Neg for $quantity {
            type Output = $quantity;
            fn neg(self) -> $quantity {
                $quantity(-self.0)
            }
        }
        impl Mul<f64> for $quantity {
            type Output = $quantity;
            fn mul(self, factor: f64) -> $quantity {
                $quantity(self.0 * factor)
            }
        }
        impl Mul<$quantity> for f64 {
            type Output = $quantity;
            fn mul(self, quantity: $quantity) -> $quantity {
                $quantity(self * quantity.0)
            }
        }
        impl Div<f64> for $quantity {
            type Output = $quantity;
            fn div(self, divisor: f64) -> $quantity {
                $quantity(self.0 / divisor)
            }
        }
        impl Div for $quantity {
            type Output = f64;
            fn div(self, other: $quantity) -> f64 {
                self.0 / other.0
            }
        }
        impl std::iter::Sum for $quantity {
            fn sum<I: Iterator<Item = $quantity>>(items: I) -> $quantity {
                $quantity(items.map(|item| item.0).sum())
            }
        }
    };
}

linear!(Length);
linear!(Angle);
