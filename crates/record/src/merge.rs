//! Two edits of one text, put together line by line where they keep out of each other's way.

use std::ops::Range;
use std::time::Duration;

use similar::{Algorithm, DiffOp, TextDiff};

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Merge {
    /// Holds both edits whole.
    Both(String),
    /// They touch the same lines, or together they make something that neither is: no TOML any more.
    Clash,
}

/// Puts together what `ours` and `theirs` made of `base`.
///
/// Lines that touch count as the same: two who add a line at one place have to settle the order between themselves.
/// Where both did the very same, it is done once.
pub fn merge(base: &str, ours: &str, theirs: &str) -> Merge {
    if ours == theirs || theirs == base {
        return Merge::Both(ours.to_string());
    }
    if ours == base {
        return Merge::Both(theirs.to_string());
    }
    let Some(both) = interleaved(base, ours, theirs) else {
        return Merge::Clash;
    };
    let is_toml = |text: &str| text.parse::<toml::Table>().is_ok();
    if is_toml(ours) && is_toml(theirs) && !is_toml(&both) { Merge::Clash } else { Merge::Both(both) }
}

/// Base lines that an edit replaces, none where it only adds, and what stands there then.
#[derive(Debug, PartialEq, Eq)]
struct Hunk<'a> {
    base: Range<usize>,
    new: &'a [&'a str],
}

fn interleaved(base: &str, ours: &str, theirs: &str) -> Option<String> {
    let base = lines(base);
    let (ours, theirs) = (lines(ours), lines(theirs));
    let ours = hunks(&base, &ours);
    let theirs = hunks(&base, &theirs);
    let mut out = String::new();
    let mut done = 0;
    let (mut ours, mut theirs) = (ours.iter().peekable(), theirs.iter().peekable());
    loop {
        let next = match (ours.peek(), theirs.peek()) {
            (None, None) => break,
            (Some(one), None) | (None, Some(one)) => *one,
            (Some(one), Some(other)) if one == other => {
                ours.next();
                *other
            }
            (Some(one), Some(other)) if apart(&one.base, &other.base) => *one,
            (Some(one), Some(other)) if apart(&other.base, &one.base) => *other,
            (Some(_), Some(_)) => return None,
        };
        let _ = match theirs.peek().is_some_and(|one| std::ptr::eq(*one, next)) {
            true => theirs.next(),
            false => ours.next(),
        };
        out.extend(base[done..next.base.start].iter().chain(next.new).copied());
        done = next.base.end;
    }
    out.extend(base[done..].iter().copied());
    Some(out)
}

/// With at least a line of the base between them.
fn apart(first: &Range<usize>, second: &Range<usize>) -> bool {
    first.end < second.start
}

/// With their line ends, so that these are kept too.
fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

/// A diff that is not found by then is a coarser one, never a wrong one.
pub(crate) const DEADLINE: Duration = Duration::from_millis(500);

fn hunks<'a>(base: &[&str], new: &'a [&'a str]) -> Vec<Hunk<'a>> {
    let diff = TextDiff::configure().algorithm(Algorithm::Myers).timeout(DEADLINE).diff_slices(base, new);
    let mut out: Vec<Hunk<'a>> = Vec::new();
    let mut begun: Option<(Range<usize>, Range<usize>)> = None;
    let mut close = |begun: &mut Option<(Range<usize>, Range<usize>)>| {
        out.extend(begun.take().map(|(base, at)| Hunk { base, new: &new[at] }));
    };
    for op in diff.ops() {
        match op {
            DiffOp::Equal { .. } => close(&mut begun),
            DiffOp::Delete { .. } | DiffOp::Insert { .. } | DiffOp::Replace { .. } => {
                let (was, now) = (op.old_range(), op.new_range());
                begun = Some(match begun.take() {
                    Some((base, at)) => (base.start..was.end, at.start..now.end),
                    None => (was, now),
                });
            }
        }
    }
    close(&mut begun);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edits_apart_are_both_kept() {
        let base = "a = 1\nb = 2\nc = 3\n";
        for (ours, theirs, both) in [
            ("a = 9\nb = 2\nc = 3\n", "a = 1\nb = 2\nc = 8\n", "a = 9\nb = 2\nc = 8\n"),
            ("a = 1\nb = 2\nc = 3\nd = 4\n", "b = 2\nc = 3\n", "b = 2\nc = 3\nd = 4\n"),
            (base, "x = 0\n", "x = 0\n"),
            ("x = 0\n", base, "x = 0\n"),
            ("a = 1\nb = 7\nc = 3\n", "a = 1\nb = 7\nc = 3\n", "a = 1\nb = 7\nc = 3\n"),
            // one of them did the same and more
            ("a = 5\nb = 2\nc = 3\n", "a = 5\nb = 2\nc = 6\n", "a = 5\nb = 2\nc = 6\n"),
        ] {
            assert_eq!(merge(base, ours, theirs), Merge::Both(both.into()), "{ours:?} with {theirs:?}");
        }
    }

    #[test]
    fn edits_of_the_same_or_touching_lines_clash() {
        let base = "a = 1\nb = 2\nc = 3\n";
        for (ours, theirs) in [
            ("a = 1\nb = 7\nc = 3\n", "a = 1\nb = 8\nc = 3\n"),
            ("a = 1\nb = 7\nc = 3\n", "a = 1\nb = 2\nc = 8\n"),
            ("a = 1\nb = 2\nc = 3\nd = 4\n", "a = 1\nb = 2\nc = 3\ne = 5\n"),
            ("", "a = 1\nb = 2\nc = 8\n"),
        ] {
            assert_eq!(merge(base, ours, theirs), Merge::Clash, "{ours:?} with {theirs:?}");
        }
    }

    #[test]
    fn what_would_be_no_toml_clashes() {
        let base = "title = \"x\"\nunits = \"in\"\n[make]\n";
        let ours = "title = \"x\"\nmaterial = \"brass\"\nunits = \"in\"\n[make]\n";
        let theirs = "title = \"x\"\nunits = \"in\"\n[make]\npieces = 1\n";
        assert!(matches!(merge(base, ours, theirs), Merge::Both(_)));
        let twice = "material = \"iron\"\ntitle = \"x\"\nunits = \"in\"\n[make]\n";
        assert_eq!(merge(base, ours, twice), Merge::Clash);
    }
}
