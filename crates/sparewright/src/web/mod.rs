//! The bench notebook: the same program in a browser, on the shop's own machine.
//!
//! [`serve`] opens the store and listens; [`router`] has every route; [`guard`] stands before all of them; [`frame`] is the page
//! that all pages are set in. A handler is one file, `<resource>/<action>.rs`. What costs time is worked out once for each text
//! of a job, off the threads that answer.

mod answer;
pub mod api;
mod assets;
mod backups;
mod blocks;
mod devices;
pub mod frame;
mod guard;
mod history;
pub(crate) mod jobs;
mod keys;
mod listen;
mod machine;
mod records;
mod refusals;
mod router;
mod scans;
mod shop;
mod state;
mod wire;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;

use making::shop::Shop;

pub use answer::{Answer, Refused};
pub use state::App;

/// How the notebook is served.
#[derive(Debug)]
pub struct Options {
    /// 0 for any that is free.
    pub port: u16,
    /// The file everything is kept in; none keeps it in memory only.
    pub store: Option<PathBuf>,
    /// Listen for tablets and phones of the shop too, each let in by a pairing code.
    pub shop_network: bool,
    pub shop: Shop,
}

/// A server that runs until it is dropped or its runtime ends.
#[derive(Debug)]
pub struct Server {
    runtime: tokio::runtime::Runtime,
    app: App,
    /// Where this machine's own browser finds it.
    pub address: SocketAddr,
}

/// Threads that answer; the work itself runs on others.
const ANSWERING: usize = 2;

/// Opens the store and listens. Fails with a sentence that says what to do.
pub fn serve(options: Options) -> Result<Server, String> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(ANSWERING)
        .max_blocking_threads(16)
        .enable_all()
        .build()
        .map_err(|error| format!("No threads could be started: {error}."))?;
    let outside = if options.shop_network { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let wanted = SocketAddr::new(IpAddr::V4(outside), options.port);
    let listener = runtime.block_on(tokio::net::TcpListener::bind(wanted)).map_err(|error| {
        format!(
            "The notebook cannot listen on port {}: {error}. Is it open already? Else choose another with --port.",
            options.port
        )
    })?;
    let port = listener.local_addr().map_err(|error| format!("The port is not known: {error}."))?.port();
    let app = App::open(options, port)?;
    runtime.spawn(app.clone().tend());
    runtime.spawn(listen::accept(listener, router::router(app.clone())));
    Ok(Server { runtime, app, address: SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), port) })
}

impl Server {
    /// Serves until the process is asked to end.
    pub fn wait(self) {
        self.runtime.block_on(async {
            // without signals to wait for, it is served until the process is killed
            if tokio::signal::ctrl_c().await.is_err() {
                std::future::pending::<()>().await;
            }
        });
        self.runtime.shutdown_timeout(std::time::Duration::from_secs(2));
    }

    /// What is told on the terminal: where it is open, and how devices are let in.
    pub fn greeting(&self) -> String {
        let mut out = format!("The notebook is open at http://{}/ (Ctrl+C closes it)\n", self.address);
        if let Some(pairing) = self.app.invitation() {
            out.push_str(&pairing);
        }
        out
    }
}
