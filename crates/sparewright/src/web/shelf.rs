//! Where jobs are kept, as the pages see it.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;

/// A job as it is kept.
#[derive(Clone, Debug)]
pub struct Kept {
    pub id: i64,
    pub version: i64,
    pub text: String,
}

/// How a change went.
#[derive(Clone, Debug)]
pub enum Saved {
    Done,
    /// Another device had changed something else; both changes are kept.
    Merged,
    /// Another device had changed the same; nothing was written.
    Conflict(String),
}

#[derive(Debug, Default)]
pub struct Shelf {
    jobs: Mutex<BTreeMap<i64, Kept>>,
    progress: Mutex<BTreeMap<(i64, String), String>>,
    pictures: Mutex<BTreeMap<(i64, String), Vec<u8>>>,
    devices: Mutex<Vec<(String, String)>>,
}
type Fails<T> = Result<T, String>;

fn gone<T>(_: T) -> String {
    "The store is not answering.".into()
}

impl Shelf {
    pub fn open(_path: Option<&Path>) -> Fails<Shelf> {
        Ok(Shelf::default())
    }
    pub fn list(&self) -> Fails<Vec<Kept>> {
        Ok(self.jobs.lock().map_err(gone)?.values().cloned().collect())
    }
    pub fn job(&self, id: i64) -> Fails<Option<Kept>> {
        Ok(self.jobs.lock().map_err(gone)?.get(&id).cloned())
    }
    pub fn create(&self, text: &str, _who: &str) -> Fails<i64> {
        let mut jobs = self.jobs.lock().map_err(gone)?;
        let id = jobs.len() as i64 + 1;
        jobs.insert(id, Kept { id, version: 1, text: text.into() });
        Ok(id)
    }
    pub fn save(&self, id: i64, _base: i64, text: &str, _who: &str) -> Fails<Saved> {
        let mut jobs = self.jobs.lock().map_err(gone)?;
        let kept = jobs.get_mut(&id).ok_or("gone")?;
        kept.version += 1;
        kept.text = text.into();
        Ok(Saved::Done)
    }
    pub fn progress(&self, id: i64) -> Fails<BTreeMap<String, String>> {
        let all = self.progress.lock().map_err(gone)?;
        Ok(all.iter().filter(|((job, _), _)| *job == id).map(|((_, key), value)| (key.clone(), value.clone())).collect())
    }
    pub fn set_progress(&self, id: i64, key: &str, value: &str, _who: &str) -> Fails<()> {
        self.progress.lock().map_err(gone)?.insert((id, key.into()), value.into());
        Ok(())
    }
    pub fn attach(&self, id: i64, name: &str, bytes: &[u8], _who: &str) -> Fails<()> {
        self.pictures.lock().map_err(gone)?.insert((id, name.into()), bytes.into());
        Ok(())
    }
    pub fn attachment(&self, id: i64, name: &str) -> Fails<Option<Vec<u8>>> {
        Ok(self.pictures.lock().map_err(gone)?.get(&(id, name.into())).cloned())
    }
    pub fn pair(&self, name: &str, token: &str) -> Fails<()> {
        self.devices.lock().map_err(gone)?.push((name.into(), token.into()));
        Ok(())
    }
    pub fn device(&self, token: &str) -> Fails<Option<(i64, String)>> {
        let all = self.devices.lock().map_err(gone)?;
        Ok(all.iter().enumerate().find(|(_, (_, known))| known == token).map(|(id, (name, _))| (id as i64, name.clone())))
    }
}
