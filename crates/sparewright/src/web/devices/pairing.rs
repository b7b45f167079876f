//! The pairing code: shown on the machine the notebook runs on, typed or scanned on the device that is to be let in.

use std::sync::Mutex;
use std::time::{Duration, Instant};

/// A code lets in one device, for so long.
const GOOD_FOR: Duration = Duration::from_secs(10 * 60);

/// After so many wrong ones the code is made anew: 10⁸ codes, ten tries in ten minutes.
const MOST_TRIES: u32 = 10;

/// Digits of a code.
const DIGITS: u32 = 8;

#[derive(Debug, Default)]
pub struct Pairing {
    current: Mutex<Option<Code>>,
}

#[derive(Debug)]
struct Code {
    digits: String,
    made: Instant,
    tries: u32,
}

impl Pairing {
    /// The code that is good now.
    pub fn code(&self) -> Option<String> {
        let mut current = self.current.lock().ok()?;
        if current.as_ref().is_none_or(|code| code.made.elapsed() > GOOD_FOR || code.tries >= MOST_TRIES) {
            *current = Some(Code { digits: digits()?, made: Instant::now(), tries: 0 });
        }
        current.as_ref().map(|code| code.digits.clone())
    }

    /// Is this the code? It is good once.
    pub fn take(&self, typed: &str) -> bool {
        let typed: String = typed.chars().filter(char::is_ascii_digit).collect();
        let Ok(mut current) = self.current.lock() else { return false };
        let Some(code) = current.as_mut() else { return false };
        code.tries += 1;
        let good = code.tries <= MOST_TRIES && code.made.elapsed() <= GOOD_FOR && same(&code.digits, &typed);
        if good {
            *current = None;
        }
        good
    }
}

/// Takes the same time whatever is wrong.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0
}

fn digits() -> Option<String> {
    let number = getrandom::u64().ok()?;
    Some(format!("{:0width$}", number % 10u64.pow(DIGITS), width = DIGITS as usize))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_good_once() {
        let pairing = Pairing::default();
        let code = pairing.code().expect("a code");
        assert_eq!(pairing.code().as_deref(), Some(code.as_str()), "it stays until it is used");
        assert!(pairing.take(&format!("{} {}", &code[..4], &code[4..])));
        assert!(!pairing.take(&code));
    }

    #[test]
    fn guessing_makes_a_new_code() {
        let pairing = Pairing::default();
        let code = pairing.code().expect("a code");
        for _ in 0..MOST_TRIES {
            assert!(!pairing.take("no code"));
        }
        assert!(!pairing.take(&code), "too late");
        assert_ne!(pairing.code(), Some(code));
    }
}
