//! Names that are safe to write on any disk.

use crate::error::{Error, Result};

const LONGEST_NAME: usize = 100;
/// Names that one common system keeps for devices, whatever stands behind the dot.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A plain file name: no folder, nothing hidden, nothing that some system would take for something else.
pub fn plain_name(name: &str) -> Result<&str> {
    let refuse =
        |why: &str| Err(Error::refused(format!("`{}` cannot be the name of a picture: {why}.", name.escape_debug())));
    let stem = name.split('.').next().unwrap_or_default().to_ascii_lowercase();
    let device = DEVICES.contains(&stem.as_str())
        || ["com", "lpt"]
            .iter()
            .any(|port| stem.strip_prefix(port).is_some_and(|n| n.len() == 1 && n.parse::<u8>().is_ok()));
    if name.is_empty() {
        refuse("it is empty")
    } else if name.chars().count() > LONGEST_NAME {
        refuse("it is too long")
    } else if let Some(c) = name.chars().find(|c| c.is_control() || "/\\:*?\"<>|".contains(*c)) {
        refuse(&format!("it has `{}` in it", c.escape_debug()))
    } else if name.starts_with('.') || name.ends_with(['.', ' ']) || name.starts_with(' ') {
        refuse("it begins or ends with a dot or a space")
    } else if device {
        refuse("some systems keep it for a device")
    } else {
        Ok(name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_names_pass() {
        for good in ["sector.png", "Feed sector, back.jpeg", "blé.tiff", "a", "console.png", "com10.png"] {
            assert!(plain_name(good).is_ok(), "{good}");
        }
        for bad in [
            "", "..", ".", "../x", "/etc/x", "a/b", "a\\b", "c:x", ".hidden", "x.", " x", "x ", "nul", "NUL.png",
            "com1.png", "a\0b", "a\nb",
        ] {
            assert!(plain_name(bad).is_err(), "{bad:?}");
        }
        assert!(plain_name(&"x".repeat(101)).is_err());
    }
}
