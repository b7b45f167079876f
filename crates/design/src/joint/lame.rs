//! Thick rings under pressure, and the pressure between two that sit in one another: Lamé.

use quantity::Length;

/// How stiff a material is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// Young's modulus, MPa.
    pub youngs_mpa: f64,
    pub poisson: f64,
}

/// A ring, or a disc where it has no bore; long or short, free to grow along its axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Zero for a solid shaft.
    pub inside: Length,
    /// Infinite for a hole in a wide block.
    pub outside: Length,
    pub elastic: Elastic,
}

/// A ring with pressure on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    elastic: Elastic,
    /// σr = a − b/r², σt = a + b/r²; MPa and MPa·mm².
    a: f64,
    b: f64,
}

/// Two rings on one cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    pub seat: Length,
    pub hub: Ring,
    pub shaft: Ring,
}

impl Ring {
    /// The ring with these pressures, MPa, on its inside and outside.
    ///
    /// σr = A − B/r², σt = A + B/r², A = (pᵢrᵢ² − pₒrₒ²)/(rₒ² − rᵢ²), B = (pᵢ − pₒ)rᵢ²rₒ²/(rₒ² − rᵢ²); plane stress, elastic.
    /// Source: Lamé's solution of the thick cylinder, as in Timoshenko, Strength of Materials, part II.
    pub fn pressed(&self, inside_mpa: f64, outside_mpa: f64) -> Pressed {
        let (inner, outer) = (self.inside.mm() / 2.0, self.outside.mm() / 2.0);
        let (a, b) = if outer.is_infinite() {
            (-outside_mpa, (inside_mpa - outside_mpa) * inner * inner)
        } else {
            let across = outer * outer - inner * inner;
            (
                (inside_mpa * inner * inner - outside_mpa * outer * outer) / across,
                (inside_mpa - outside_mpa) * inner * inner * outer * outer / across,
            )
        };
        Pressed { elastic: self.elastic, a, b }
    }
}

impl Pressed {
    /// Radial stress at a diameter, MPa; pressure is negative.
    pub fn radial(&self, at: Length) -> f64 {
        self.a - self.falling(at)
    }

    /// Hoop stress at a diameter, MPa; tension is positive.
    pub fn hoop(&self, at: Length) -> f64 {
        self.a + self.falling(at)
    }

    /// By how much a circle of this diameter grows: ε = (σt − νσr)/E.
    pub fn grows(&self, at: Length) -> Length {
        at * ((self.hoop(at) - self.elastic.poisson * self.radial(at)) / self.elastic.youngs_mpa)
    }

    fn falling(&self, at: Length) -> f64 {
        // a solid shaft has no such part, not even at its centre
        if self.b == 0.0 { 0.0 } else { self.b / (at.mm() / 2.0).powi(2) }
    }
}

impl Pair {
    /// The pressure between the two, MPa, for an interference on the diameter; none where there is no interference.
    ///
    /// p = δ / (d·[(1/Eₒ)((D² + d²)/(D² − d²) + νₒ) + (1/Eᵢ)((d² + b²)/(d² − b²) − νᵢ)]): what the hub's bore grows and the
    /// shaft shrinks under one megapascal is found from the rings themselves, and the pressure from their sum.
    /// Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 3-56 (radial there), from memory.
    pub fn pressure(&self, interference: Length) -> f64 {
        let opens = self.hub.pressed(1.0, 0.0).grows(self.seat);
        let closes = -self.shaft.pressed(0.0, 1.0).grows(self.seat);
        interference.max(Length::ZERO) / (opens + closes)
    }

    pub fn hub_under(&self, pressure: f64) -> Pressed {
        self.hub.pressed(pressure, 0.0)
    }

    pub fn shaft_under(&self, pressure: f64) -> Pressed {
        self.shaft.pressed(0.0, pressure)
    }
}
