//! `sparewright serve`: the bench notebook in the browser.

use std::path::PathBuf;
use std::process::{Command, Stdio};

use super::{Outcome, Refusal, ShopChoice, say};
use crate::web;

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The port it listens on; 0 for any that is free
    #[arg(long, default_value_t = PORT)]
    port: u16,
    /// The file that all jobs are kept in; without it, one in the user's own data folder
    #[arg(long, value_name = "FILE")]
    store: Option<PathBuf>,
    /// Let tablets and phones of the shop in too, each with a pairing code
    #[arg(long)]
    shop_network: bool,
    /// Do not open the browser
    #[arg(long)]
    no_browser: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// Registered for nothing (IANA, service names and port numbers: 7144 to 7160 are unassigned, from memory).
const PORT: u16 = 7144;

pub fn run(arguments: &Arguments) -> Outcome {
    let store = arguments.store.clone().map_or_else(own_store, Ok)?;
    let options = web::Options {
        port: arguments.port,
        store: Some(store),
        shop_network: arguments.shop_network,
        shop: arguments.shop.open(std::env::current_dir().ok().as_deref())?,
    };
    let server = web::serve(options).map_err(Refusal)?;
    say(&server.greeting())?;
    if !arguments.no_browser {
        open_browser(&format!("http://{}/", server.address));
    }
    server.wait();
    Ok(())
}

/// `notebook.store` in the user's data folder.
fn own_store() -> Result<PathBuf, Refusal> {
    let variable = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let data = variable("XDG_DATA_HOME")
        .or_else(|| variable("APPDATA"))
        .or_else(|| variable("HOME").map(|home| home.join(".local/share")))
        .ok_or_else(|| {
            Refusal("There is no folder of your own to keep the notebook in: name a file with --store.".into())
        })?;
    let folder = data.join("sparewright");
    std::fs::create_dir_all(&folder).map_err(|error| {
        Refusal(format!("{} cannot be made: {error}. Name another file with --store.", folder.display()))
    })?;
    Ok(folder.join("notebook.store"))
}

/// If there is a browser; the address is printed anyway.
fn open_browser(address: &str) {
    let (opener, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    let quiet = Stdio::null;
    // without one nothing is lost
    let _ = Command::new(opener).args(before).arg(address).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn();
}
