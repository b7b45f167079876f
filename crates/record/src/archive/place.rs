//! The names that files in an archive may have.

use std::fmt;

use crate::error::{Error, Result};
use crate::name::plain_name;

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Place {
    Text(i64),
    History(i64),
    Picture(i64, String),
    /// A picture that the job had since this version and has no more.
    Earlier(i64, u32, String),
    Shop,
    ShopHistory,
}

impl Place {
    /// Every name has one spelling; whatever else it might be read as is refused.
    pub(super) fn read(name: &str) -> Result<Place> {
        let parts: Vec<&str> = name.split('/').collect();
        let place = match parts.as_slice() {
            ["shop.toml"] => Some(Place::Shop),
            ["shop-history.json"] => Some(Place::ShopHistory),
            ["jobs", job, "job.toml"] => number(job).map(Place::Text),
            ["jobs", job, "history.json"] => number(job).map(Place::History),
            ["jobs", job, "pictures", name] => match (number(job), plain_name(name)) {
                (Some(job), Ok(name)) => Some(Place::Picture(job, name.to_string())),
                _ => None,
            },
            ["jobs", job, "earlier", version, name] => {
                match (number(job), number(version).and_then(|version| u32::try_from(version).ok()), plain_name(name)) {
                    (Some(job), Some(version), Ok(name)) => Some(Place::Earlier(job, version, name.to_string())),
                    _ => None,
                }
            }
            _ => None,
        };
        place.ok_or_else(|| {
            Error::refused(format!(
                "`{}` has no place in an archive of records. Nothing was taken from it.",
                name.chars().take(80).collect::<String>().escape_debug()
            ))
        })
    }

    pub(super) fn job(&self) -> Option<i64> {
        match self {
            Place::Text(job) | Place::History(job) | Place::Picture(job, _) | Place::Earlier(job, _, _) => Some(*job),
            Place::Shop | Place::ShopHistory => None,
        }
    }

    /// Its name inside the job's folder.
    pub(super) fn in_job(&self) -> String {
        match self {
            Place::Text(_) => "job.toml".into(),
            Place::History(_) => "history.json".into(),
            Place::Picture(_, name) => format!("pictures/{name}"),
            Place::Earlier(_, version, name) => format!("earlier/{version}/{name}"),
            Place::Shop => "shop.toml".into(),
            Place::ShopHistory => "shop-history.json".into(),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.job() {
            Some(job) => write!(f, "jobs/{job}/{}", self.in_job()),
            None => f.write_str(&self.in_job()),
        }
    }
}

/// A number as it is printed: no sign, no leading zeros.
fn number(text: &str) -> Option<i64> {
    text.parse().ok().filter(|number: &i64| *number > 0 && number.to_string() == text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_read_as_it_is_written_and_no_other_way() {
        for name in [
            "shop.toml",
            "shop-history.json",
            "jobs/17/job.toml",
            "jobs/17/history.json",
            "jobs/17/pictures/sector, back.png",
            "jobs/17/earlier/3/sector.png",
        ] {
            assert_eq!(Place::read(name).expect("a place").to_string(), name);
        }
        for name in [
            "",
            "/shop.toml",
            "./shop.toml",
            "Shop.toml",
            "jobs/017/job.toml",
            "jobs/+17/job.toml",
            "jobs/0/job.toml",
            "jobs/-1/job.toml",
            "jobs/99999999999999999999/job.toml",
            "jobs/17/job.toml/",
            "jobs//job.toml",
            "jobs/17/pictures/../../shop.toml",
            "jobs/17/pictures/..",
            "jobs/17/pictures/a\\b.png",
            "jobs/17/pictures/",
            "jobs/17/earlier/99999999999/x.png",
            "../shop.toml",
            "etc/passwd",
            "jobs/17/job.toml\0",
        ] {
            assert!(Place::read(name).is_err(), "{name:?}");
        }
    }
}
