//! The clear text encoding of ISO 10303-21: strings, numbers, entities.

use std::fmt::Write as _;

/// The number an entity goes by.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub struct Id(usize);

/// The data section as it grows.
#[derive(Debug, Default)]
pub struct Data {
    text: String,
    count: usize,
}

/// One argument of an entity.
#[derive(Clone, Copy, Debug)]
pub enum Arg<'a> {
    Ref(Id),
    Refs(&'a [Id]),
    Rows(&'a [Vec<Id>]),
    Real(f64),
    Reals(&'a [f64]),
    Whole(usize),
    Wholes(&'a [usize]),
    Text(&'a str),
    Yes(bool),
    /// Written as it stands: `$`, `.UNSPECIFIED.`
    Plain(&'a str),
}

impl Data {
    /// `NAME(arguments)`
    pub fn add(&mut self, name: &str, arguments: &[Arg<'_>]) -> Id {
        self.begin();
        self.text.push_str(name);
        self.text.push('(');
        for (i, argument) in arguments.iter().enumerate() {
            if i > 0 {
                self.text.push(',');
            }
            self.argument(argument);
        }
        self.text.push_str(");\n");
        Id(self.count)
    }

    /// An instance of several entities in one, written by the caller.
    pub fn add_complex(&mut self, body: &str) -> Id {
        self.begin();
        self.text.push_str(body);
        self.text.push_str(";\n");
        Id(self.count)
    }

    pub fn finish(self) -> String {
        self.text
    }

    fn begin(&mut self) {
        self.count += 1;
        let _ = write!(self.text, "#{}=", self.count);
    }

    fn argument(&mut self, argument: &Arg<'_>) {
        match argument {
            Arg::Ref(id) => id.write(&mut self.text),
            Arg::Refs(ids) => self.list(ids, |text, id| id.write(text)),
            Arg::Rows(rows) => {
                for (i, row) in rows.iter().enumerate() {
                    self.text.push(if i == 0 { '(' } else { ',' });
                    self.list(row, |text, id| id.write(text));
                }
                self.text.push(')');
            }
            Arg::Real(value) => self.text.push_str(&real(*value)),
            Arg::Reals(values) => self.list(values, |text, value| text.push_str(&real(*value))),
            Arg::Whole(value) => {
                let _ = write!(self.text, "{value}");
            }
            Arg::Wholes(values) => self.list(values, |text, value| {
                let _ = write!(text, "{value}");
            }),
            Arg::Text(text) => self.text.push_str(&quoted(text)),
            Arg::Yes(yes) => self.text.push_str(if *yes { ".T." } else { ".F." }),
            Arg::Plain(text) => self.text.push_str(text),
        }
    }

    fn list<T>(&mut self, items: &[T], write: impl Fn(&mut String, &T)) {
        self.text.push('(');
        for (i, item) in items.iter().enumerate() {
            if i > 0 {
                self.text.push(',');
            }
            write(&mut self.text, item);
        }
        self.text.push(')');
    }
}

impl Id {
    fn write(self, text: &mut String) {
        let _ = write!(text, "#{}", self.0);
    }

    pub fn named(self) -> String {
        format!("#{}", self.0)
    }
}

/// A real, ISO 10303-21 clause 6.4.2: a decimal point always stands in it, an exponent is a capital E. Shortest that reads
/// back the same; what is not a number becomes nought.
pub fn real(value: f64) -> String {
    if !value.is_finite() || value == 0.0 {
        return "0.".into();
    }
    let plain = format!("{value:?}");
    match plain.split_once('e') {
        Some((mantissa, exponent)) if mantissa.contains('.') => format!("{mantissa}E{exponent}"),
        Some((mantissa, exponent)) => format!("{mantissa}.E{exponent}"),
        None => plain.strip_suffix('0').filter(|cut| cut.ends_with('.')).map_or(plain.clone(), str::to_string),
    }
}

/// A string, ISO 10303-21 clause 6.4.3: an apostrophe or a backslash stands twice; whatever is not a printable character of
/// ASCII is written by its number in ISO 10646, `\X2\` with four hexadecimal digits each, `\X4\` with eight beyond those.
pub fn quoted(text: &str) -> String {
    let mut out = String::from("'");
    let mut open: Option<usize> = None;
    for c in text.chars() {
        let digits = match c {
            ' '..='~' => None,
            c if (c as u32) < 0x1_0000 => Some(4),
            _ => Some(8),
        };
        if open != digits {
            if open.is_some() {
                out.push_str("\\X0\\");
            }
            match digits {
                Some(4) => out.push_str("\\X2\\"),
                Some(_) => out.push_str("\\X4\\"),
                None => {}
            }
            open = digits;
        }
        match digits {
            Some(digits) => {
                let _ = write!(out, "{:0digits$X}", c as u32);
            }
            None if c == '\'' => out.push_str("''"),
            None if c == '\\' => out.push_str("\\\\"),
            None => out.push(c),
        }
    }
    if open.is_some() {
        out.push_str("\\X0\\");
    }
    out.push('\'');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reals_have_a_point() {
        for (value, text) in [
            (0.0, "0."),
            (-0.0, "0."),
            (5.0, "5."),
            (100.0, "100."),
            (-12.7, "-12.7"),
            (1e-7, "1.E-7"),
            (1.5e-9, "1.5E-9"),
            (1e20, "1.E20"),
            (f64::NAN, "0."),
            (f64::INFINITY, "0."),
        ] {
            assert_eq!(real(value), text);
        }
    }

    /// The examples of ISO 10303-21, 6.4.3.1 and 6.4.3.3 (from memory): 'CAT', 'Don''t', '' and the two-byte directive.
    #[test]
    fn strings_by_the_standard() {
        for (text, written) in [
            ("CAT", "'CAT'"),
            ("Don't", "'Don''t'"),
            ("", "''"),
            ("a\\b", "'a\\\\b'"),
            ("14½°", "'14\\X2\\00BD00B0\\X0\\'"),
            ("齿", "'\\X2\\9F7F\\X0\\'"),
            ("a𝄞b", "'a\\X4\\0001D11E\\X0\\b'"),
            ("é𝄞", "'\\X2\\00E9\\X0\\\\X4\\0001D11E\\X0\\'"),
            ("tab\there", "'tab\\X2\\0009\\X0\\here'"),
        ] {
            assert_eq!(quoted(text), written);
        }
    }
}
