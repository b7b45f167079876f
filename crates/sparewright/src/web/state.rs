//! What all handlers share: the store, the shop, who is let in, and jobs already worked out.

use std::collections::VecDeque;
use std::fmt;
use std::net::{IpAddr, UdpSocket};
use std::sync::{Arc, Mutex};

use making::shop::Shop;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::Options;
use super::answer::{Answer, Refused, aside};
use super::devices::pairing::Pairing;
use super::guard::Who;
use super::jobs::pictures::{Attached, Measured};
use super::shelf::{Kept, Saved, Shelf};
use crate::worked::{Worked, worked};

/// Shared by all handlers; a copy is the same thing.
#[derive(Clone)]
pub struct App(Arc<Inner>);

struct Inner {
    shelf: Shelf,
    shop: Shop,
    pairing: Pairing,
    port: u16,
    shop_network: bool,
    /// Latest last.
    worked: Mutex<VecDeque<(String, i64, Arc<Worked>)>>,
    measured: Measured,
    /// Solving takes the whole of a core; answers must not wait for a dozen of them.
    solving: Semaphore,
    uploading: Arc<Semaphore>,
}

/// Jobs worked out that are kept at hand: those open on the devices of a shop.
const AT_HAND: usize = 64;

impl fmt::Debug for App {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("App").field("port", &self.0.port).finish_non_exhaustive()
    }
}

impl App {
    pub(super) fn open(options: Options, port: u16) -> Result<App, String> {
        let shelf = Shelf::open(options.store.as_deref())?;
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        Ok(App(Arc::new(Inner {
            shelf,
            shop: options.shop,
            pairing: Pairing::default(),
            port,
            shop_network: options.shop_network,
            worked: Mutex::default(),
            measured: Measured::default(),
            solving: Semaphore::new(cores),
            uploading: Arc::new(Semaphore::new(2)),
        })))
    }

    pub fn shop(&self) -> Answer<Shop> {
        Ok(self.0.shop.clone())
    }

    pub fn pairing(&self) -> &Pairing {
        &self.0.pairing
    }

    /// Work on the store, off the threads that answer.
    pub async fn kept<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Shelf) -> Result<T, String> + Send + 'static,
    ) -> Answer<T> {
        let app = self.clone();
        aside(move || work(&app.0.shelf)).await?.map_err(Refused::ours)
    }

    pub async fn job(&self, id: i64) -> Answer<Kept> {
        self.kept(move |shelf| shelf.job(id)).await?.ok_or(Refused::missing("job"))
    }

    /// Writes a changed text; what another device has changed meanwhile is not lost.
    pub async fn save(&self, base: &Kept, text: String, who: &Who) -> Answer<()> {
        let (id, version, who) = (base.id, base.version, who.name().to_string());
        match self.kept(move |shelf| shelf.save(id, version, &text, &who)).await? {
            Saved::Done | Saved::Merged => Ok(()),
            Saved::Conflict(why) => Err(Refused::new(axum::http::StatusCode::CONFLICT, why)),
        }
    }

    /// What a job shows; worked out once for each text.
    pub async fn worked(&self, kept: &Kept) -> Answer<Arc<Worked>> {
        if let Some(done) = self.at_hand(kept) {
            return Ok(done);
        }
        let turn = self.0.solving.acquire().await.map_err(|_| Refused::ours("The notebook is closing."))?;
        // another request may have done it while this one waited
        if let Some(done) = self.at_hand(kept) {
            return Ok(done);
        }
        let (app, job) = (self.clone(), kept.clone());
        let done = aside(move || {
            let pictures = Attached::new(&app.0.shelf, &app.0.measured, job.id);
            Arc::new(worked(&job.text, &app.0.shop, &pictures, jiff::Zoned::now().date()))
        })
        .await?;
        drop(turn);
        if let Ok(mut at_hand) = self.0.worked.lock() {
            at_hand.retain(|(_, id, _)| *id != kept.id);
            at_hand.push_back((kept.text.clone(), kept.id, Arc::clone(&done)));
            if at_hand.len() > AT_HAND {
                at_hand.pop_front();
            }
        }
        Ok(done)
    }

    fn at_hand(&self, kept: &Kept) -> Option<Arc<Worked>> {
        let at_hand = self.0.worked.lock().ok()?;
        at_hand.iter().find(|(text, id, _)| *id == kept.id && *text == kept.text).map(|(_, _, done)| Arc::clone(done))
    }

    /// What a job looked like when it was worked out last; a picture may have changed since.
    pub fn forget(&self, job: i64) {
        if let Ok(mut at_hand) = self.0.worked.lock() {
            at_hand.retain(|(_, id, _)| *id != job);
        }
    }

    pub fn shelf_and_pictures<T>(&self, job: i64, work: impl FnOnce(&Attached<'_>) -> T) -> T {
        work(&Attached::new(&self.0.shelf, &self.0.measured, job))
    }

    pub async fn uploading(&self) -> Option<OwnedSemaphorePermit> {
        Arc::clone(&self.0.uploading).acquire_owned().await.ok()
    }

    /// The device that shows this token.
    pub async fn device(&self, token: Option<String>) -> Answer<Option<Who>> {
        let Some(token) = token.filter(|_| self.0.shop_network) else { return Ok(None) };
        let found = self.kept(move |shelf| shelf.device(&token)).await?;
        Ok(found.map(|(id, name)| Who::Device { id, name }))
    }

    /// Lets a device in; the token it is known by from now on.
    pub async fn pair(&self, name: String) -> Answer<String> {
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes).map_err(|_| Refused::ours("No secret could be made for the device."))?;
        let token: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
        let given = token.clone();
        self.kept(move |shelf| shelf.pair(&name, &given)).await?;
        Ok(token)
    }

    /// Where devices of the shop find the notebook: `http://192.0.2.7:7144/`.
    pub fn network_address(&self) -> Option<String> {
        self.0.shop_network.then(|| format!("http://{}:{}/", own_address(), self.0.port))
    }

    /// For the terminal.
    pub(super) fn invitation(&self) -> Option<String> {
        let address = self.network_address()?;
        let code = self.0.pairing.code()?;
        Some(format!(
            "Devices of the shop open {address}pair and type the code {} {} (good for ten minutes; the page Devices shows the next).\n",
            &code[..4],
            &code[4..]
        ))
    }
}

/// This machine's address in the shop's network. Nothing is sent: a socket that only points outward tells from where it would.
fn own_address() -> IpAddr {
    let pointed = UdpSocket::bind(("0.0.0.0", 0)).and_then(|socket| {
        // TEST-NET-1, RFC 5737: nobody's
        socket.connect(("192.0.2.1", 9))?;
        socket.local_addr()
    });
    pointed.map_or(IpAddr::from([127, 0, 0, 1]), |address| address.ip())
}
