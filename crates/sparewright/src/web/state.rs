//! What all handlers share: the store, the shop, who is let in, and jobs already worked out.

use std::collections::VecDeque;
use std::fmt;
use std::net::{IpAddr, UdpSocket};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::{Duration, Instant};

use axum::http::StatusCode;
use jiff::{SignedDuration, Timestamp};
use making::shop::Shop;
use record::{Backups, By, Edit, JobId, Keep, PAIRING_TRIES, Paired, Saved, Store};
use tokio::sync::{OnceCell, OwnedSemaphorePermit, Semaphore, SemaphorePermit};

use super::Options;
use super::answer::{Answer, Refused, aside};
use super::guard::Who;
use super::jobs::pictures::{Attached, Measured};
use crate::solve::Memory;
use crate::worked::{Worked, worked};

/// Shared by all handlers; a copy is the same thing.
#[derive(Clone)]
pub struct App(Arc<Inner>);

struct Inner {
    store: Store,
    /// The shop of the records, or the one it was opened with where they have none.
    shop: RwLock<Arc<Shop>>,
    given_shop: Shop,
    /// The pairing code that is shown, since when, and how often another was typed.
    offered: Mutex<Option<(String, Instant, u32)>>,
    port: u16,
    shop_network: bool,
    /// Latest last.
    worked: Mutex<VecDeque<AtHand>>,
    measured: Measured,
    /// Solving takes the whole of a core; answers must not wait for a dozen of them.
    solving: Semaphore,
    uploading: Arc<Semaphore>,
    /// Those who change a line take turns: each change is made on what the one before has written.
    editing: tokio::sync::Mutex<()>,
    /// Held by whoever makes jobs found again.
    indexing: Mutex<()>,
}

/// A job that is being worked out, or was.
struct AtHand {
    id: JobId,
    text: String,
    /// Whoever asks while it is being worked out waits for the same.
    done: Arc<OnceCell<Arc<Worked>>>,
    /// What was known before this text was worked out.
    before: Memory,
}

/// A job as it is kept now.
#[derive(Clone, Debug)]
pub struct Kept {
    pub id: JobId,
    pub version: u32,
    pub text: String,
}

/// A pairing code is good for so long, and shown while it is good for some time yet.
const GOOD_FOR: Duration = Duration::from_secs(10 * 60);
const SHOWN_FOR: Duration = Duration::from_secs(8 * 60);

/// Jobs worked out that are kept at hand: those open on the devices of a shop.
const AT_HAND: usize = 64;

impl AtHand {
    fn memory(&self) -> Memory {
        self.done.get().map_or_else(|| self.before.clone(), |worked| worked.memory.clone())
    }
}

impl fmt::Debug for App {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("App").field("port", &self.0.port).finish_non_exhaustive()
    }
}

impl App {
    pub(super) fn open(options: Options, port: u16) -> Result<App, String> {
        let store = match &options.store {
            Some(path) => Store::open(path),
            None => Store::in_memory(),
        };
        let store = store.map_err(|error| error.to_string())?;
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let app = App(Arc::new(Inner {
            store,
            shop: RwLock::new(Arc::new(options.shop.clone())),
            given_shop: options.shop,
            offered: Mutex::default(),
            port,
            shop_network: options.shop_network,
            worked: Mutex::default(),
            measured: Measured::default(),
            solving: Semaphore::new(cores),
            uploading: Arc::new(Semaphore::new(2)),
            editing: tokio::sync::Mutex::default(),
            indexing: Mutex::default(),
        }));
        app.reload_shop().map_err(|error| error.to_string())?;
        Ok(app)
    }

    pub fn shop(&self) -> Answer<Arc<Shop>> {
        Ok(self.shop_now())
    }

    fn shop_now(&self) -> Arc<Shop> {
        Arc::clone(&self.0.shop.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// Work on the store, off the threads that answer.
    pub async fn kept<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Store) -> record::Result<T> + Send + 'static,
    ) -> Answer<T> {
        let app = self.clone();
        aside(move || work(&app.0.store)).await?.map_err(Refused::from)
    }

    pub async fn job(&self, number: i64) -> Answer<Kept> {
        let id = JobId::new(number).ok_or(Refused::missing("job"))?;
        let kept = self.kept(move |store| store.job(id)).await?;
        Ok(Kept { id, version: kept.version, text: kept.text })
    }

    /// Writes a changed text; what another device has changed meanwhile is not lost.
    pub async fn save(&self, base: &Kept, text: String, what: String, who: &Who) -> Answer<()> {
        let (id, version, who) = (base.id, base.version, who.name().to_string());
        let saved = self
            .kept(move |store| store.save(id, Edit { base: version, text: &text, what: &what }, By::now(&who)))
            .await?;
        match saved {
            Saved::Done { .. } | Saved::Merged { .. } => Ok(()),
            Saved::Conflict { .. } => Err(Refused::new(
                StatusCode::CONFLICT,
                "Another device has changed the same place meanwhile. Nothing of yours was written, nothing of theirs is lost: look at the job again and make your change anew.",
            )),
        }
    }

    /// What a job shows; worked out once for each text.
    pub async fn worked(&self, kept: &Kept) -> Answer<Arc<Worked>> {
        let (done, before) = self.at_hand(kept);
        let work = async || {
            let _turn = self.solving().await?;
            let (app, job) = (self.clone(), kept.clone());
            aside(move || {
                let pictures = Attached::new(&app.0.store, &app.0.measured, job.id);
                let today = jiff::ZonedDateTime::now().date();
                Arc::new(worked(&job.text, &app.shop_now(), &pictures, today, &before))
            })
            .await
        };
        done.get_or_try_init(work).await.cloned()
    }

    /// Where a job's text is worked out, and what is known from before.
    fn at_hand(&self, kept: &Kept) -> (Arc<OnceCell<Arc<Worked>>>, Memory) {
        let mut at_hand = self.0.worked.lock().unwrap_or_else(PoisonError::into_inner);
        let last = at_hand.iter().position(|last| last.id == kept.id).and_then(|index| at_hand.remove(index));
        let now = match last {
            Some(same) if same.text == kept.text => same,
            last => AtHand {
                id: kept.id,
                text: kept.text.clone(),
                done: Arc::default(),
                before: last.as_ref().map(AtHand::memory).unwrap_or_default(),
            },
        };
        let answer = (Arc::clone(&now.done), now.before.clone());
        at_hand.push_back(now);
        if at_hand.len() > AT_HAND {
            at_hand.pop_front();
        }
        answer
    }

    /// What was found out of a job when it was worked out last.
    pub fn memory(&self, job: JobId) -> Memory {
        let at_hand = self.0.worked.lock().unwrap_or_else(PoisonError::into_inner);
        at_hand.iter().find(|last| last.id == job).map(AtHand::memory).unwrap_or_default()
    }

    /// What a job looked like when it was worked out last; a picture may have changed since.
    pub fn forget(&self, job: JobId) {
        self.0.worked.lock().unwrap_or_else(PoisonError::into_inner).retain(|last| last.id != job);
    }

    pub fn with_pictures<T>(&self, job: JobId, work: impl FnOnce(&Attached<'_>) -> T) -> T {
        work(&Attached::new(&self.0.store, &self.0.measured, job))
    }

    /// A turn at work that takes a whole core.
    pub async fn solving(&self) -> Answer<SemaphorePermit<'_>> {
        self.0.solving.acquire().await.map_err(|_| Refused::ours("The notebook is closing."))
    }

    /// A turn at changing lines.
    pub async fn editing(&self) -> tokio::sync::MutexGuard<'_, ()> {
        self.0.editing.lock().await
    }

    pub async fn uploading(&self) -> Option<OwnedSemaphorePermit> {
        Arc::clone(&self.0.uploading).acquire_owned().await.ok()
    }

    /// The device that shows this token.
    pub async fn device(&self, token: Option<String>) -> Answer<Option<Who>> {
        let Some(token) = token.filter(|_| self.0.shop_network) else { return Ok(None) };
        let found = self.kept(move |store| store.device_of(&token, Timestamp::now())).await?;
        Ok(found.map(|device| Who::Device { id: device.id, name: device.name }))
    }

    /// The code that lets the next device in.
    pub async fn code(&self) -> Answer<String> {
        let app = self.clone();
        aside(move || app.code_now()).await?.map_err(Refused::from)
    }

    fn code_now(&self) -> record::Result<String> {
        let mut offered = self.0.offered.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((code, _, _)) =
            offered.as_ref().filter(|(_, made, tries)| made.elapsed() < SHOWN_FOR && *tries < PAIRING_TRIES)
        {
            return Ok(code.clone());
        }
        let code = self.0.store.offer_pairing(GOOD_FOR, Timestamp::now())?;
        *offered = Some((code.clone(), Instant::now(), 0));
        Ok(code)
    }

    /// Lets a device in: the token it is known by from now on, or none where the code is not the one that is good.
    pub async fn pair(&self, code: String, name: String) -> Answer<Option<String>> {
        let code: String = code.chars().filter(char::is_ascii_digit).collect();
        let paired = self.kept(move |store| store.pair(&code, &name, Timestamp::now())).await?;
        let mut offered = self.0.offered.lock().unwrap_or_else(PoisonError::into_inner);
        match paired {
            Paired::Done { token, .. } => {
                *offered = None;
                Ok(Some(token))
            }
            Paired::Refused => {
                if let Some((_, _, tries)) = offered.as_mut() {
                    *tries += 1;
                }
                Ok(None)
            }
        }
    }

    /// Where devices of the shop find the notebook: `http://192.0.2.7:7144/`.
    pub fn network_address(&self) -> Option<String> {
        self.0.shop_network.then(|| format!("http://{}:{}/", own_address(), self.0.port))
    }

    /// For the terminal.
    pub(super) fn invitation(&self) -> Option<String> {
        let address = self.network_address()?;
        let code = self.code_now().ok()?;
        Some(format!(
            "Devices of the shop open {address}pair and type the code {} {} (good for ten minutes; the page Devices shows the next).\n",
            &code[..4],
            &code[4..]
        ))
    }
}

/// Jobs that a page waits for to be found again; the rest is done beside it.
const WAITED_FOR: usize = 8;

impl App {
    /// The shop as the records have it now; what was worked out for another is forgotten.
    pub(super) fn reload_shop(&self) -> record::Result<()> {
        let kept = self.0.store.shop()?.and_then(|kept| crate::shop::read(&kept.text).0);
        let shop = Arc::new(kept.unwrap_or_else(|| self.0.given_shop.clone()));
        *self.0.shop.write().unwrap_or_else(PoisonError::into_inner) = shop;
        self.0.worked.lock().unwrap_or_else(PoisonError::into_inner).clear();
        Ok(())
    }

    /// Jobs that were changed lately are found by what they are now.
    pub async fn fresh(&self) -> Answer<()> {
        let waiting = self.kept(|store| store.unindexed(WAITED_FOR + 1)).await?;
        for id in waiting.iter().take(WAITED_FOR) {
            let kept = self.job(id.number()).await?;
            let worked = self.worked(&kept).await?;
            self.kept(move |store| store.index(kept.id, kept.version, &worked.facts)).await?;
        }
        if waiting.len() > WAITED_FOR {
            self.freshen();
        }
        Ok(())
    }

    /// The same for all that wait, beside everything else.
    pub fn freshen(&self) {
        let app = self.clone();
        tokio::task::spawn_blocking(move || {
            // one that is at it does the rest too
            let Ok(_turn) = app.0.indexing.try_lock() else { return };
            let shop = app.shop_now();
            let facts =
                |id, text: &str| crate::records::facts(text, &shop, &Attached::new(&app.0.store, &app.0.measured, id));
            // what could not be done now is tried again when the next page asks
            let _ = crate::records::refresh(&app.0.store, facts);
        });
    }

    /// Where the backups are; none for records that are in memory only.
    pub fn backups(&self) -> Option<Backups> {
        self.0.store.path().map(Backups::beside)
    }

    /// Does what is done without being asked for as long as the notebook is open: a backup each day.
    pub(super) async fn tend(self) {
        // another version of the program may find jobs by other facts
        self.freshen();
        let Some(backups) = self.backups() else { return };
        loop {
            // not while it is being opened, and never in the way of a page
            tokio::time::sleep(BACKUP_LOOKED_FOR).await;
            let backups = backups.clone();
            let made = self.kept(move |store| {
                let now = Timestamp::now();
                let newest = backups.list()?.into_iter().find(|backup| !backup.before_restoring);
                let due = newest.is_none_or(|newest| now.duration_since(newest.at) >= BACKUP_EVERY);
                if due && !store.jobs()?.is_empty() {
                    backups.make(store, now, Keep::default())?;
                }
                Ok(())
            });
            // a full disk today may have room tomorrow; the page Backups shows what there is
            let _ = made.await;
        }
    }
}

const BACKUP_LOOKED_FOR: Duration = Duration::from_secs(600);
const BACKUP_EVERY: SignedDuration = SignedDuration::from_hours(20);

/// This machine's address in the shop's network. Nothing is sent: a socket that only points outward tells from where it would.
fn own_address() -> IpAddr {
    let pointed = UdpSocket::bind(("0.0.0.0", 0)).and_then(|socket| {
        // TEST-NET-1, RFC 5737: nobody's
        socket.connect(("192.0.2.1", 9))?;
        socket.local_addr()
    });
    pointed.map_or(IpAddr::from([127, 0, 0, 1]), |address| address.ip())
}
