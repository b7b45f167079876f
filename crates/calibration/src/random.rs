//! Numbers that look random and are the same on every machine and in every year.

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// A stream of its own for each pair.
    pub fn new(seed: u64, stream: u64) -> Random {
        let mut random = Random(seed ^ stream.wrapping_mul(0xD1B5_4A32_D192_ED03));
        random.next();
        random
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to 1, 1 excluded.
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// As often between 1 and 2 as between 10 and 20.
    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// Standard normal, by the polar form of G. E. P. Box and M. E. Muller (1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }

    pub fn exponential(&mut self, mean: f64) -> f64 {
        -mean * (1.0 - self.unit()).ln()
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// One of them, each as often as its weight; none of none.
    pub fn pick<T>(&mut self, items: impl IntoIterator<Item = (f64, T)>) -> Option<T> {
        let items: Vec<(f64, T)> = items.into_iter().filter(|(weight, _)| *weight > 0.0).collect();
        let mut left = self.unit() * items.iter().map(|(weight, _)| weight).sum::<f64>();
        let mut last = None;
        for (weight, item) in items {
            last = Some(item);
            left -= weight;
            if left < 0.0 {
                break;
            }
        }
        last
    }

    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            items.swap(at, self.below(at + 1));
        }
    }
}
