//! Chance, from the operating system.

use crate::error::{Error, Result};

pub(crate) fn bytes<const N: usize>() -> Result<[u8; N]> {
    let mut out = [0; N];
    getrandom::fill(&mut out).map_err(|why| Error::refused(format!("The system gives no random numbers: {why}.")))?;
    Ok(out)
}

/// Decimal figures, each as likely as any other.
pub(crate) fn figures(count: usize) -> Result<String> {
    let mut out = String::with_capacity(count);
    while out.len() < count {
        let [byte] = bytes::<1>()?;
        // 250 is the largest multiple of ten in a byte
        if byte < 250 {
            out.push(char::from(b'0' + byte % 10));
        }
    }
    Ok(out)
}
