//! `sparewright serve`: the bench notebook in the browser.

use std::path::PathBuf;
use std::process::{Command, Stdio};

use super::records::{place, take_over};
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

/// Of our own choice; `--port` gives another where something else has it.
const PORT: u16 = 7144;

pub fn run(arguments: &Arguments) -> Outcome {
    let store = place(arguments.store.as_deref())?;
    take_over(&store, &arguments.shop)?;
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
