//! The devices that are let in, and how one is sent away.

use axum::extract::State;
use axum::http::StatusCode;
use axum::{Extension, Form};
use jiff::Timestamp;
use maud::{Markup, html};
use record::{Device, DeviceId};
use serde::Deserialize;

use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::history::time;
use crate::web::state::App;

#[derive(Debug, Deserialize)]
pub struct Chosen {
    device: i64,
}

pub async fn show(State(app): State<App>, Extension(who): Extension<Who>) -> Answer {
    let devices = app.kept(|store| store.devices()).await?;
    let (gone, here): (Vec<Device>, Vec<Device>) = devices.into_iter().partition(|device| device.revoked.is_some());
    let body = html! {
        header.head {
            div.grow { h1 { "Devices" } p.sub { "who may open the notebook from the shop’s network" } }
            @if who == Who::ThisMachine { div.acts { a.act href="/pair" { "Let a device in" } } }
        }
        @if app.network_address().is_none() {
            p { "The notebook is open on this machine alone. Started with " code { "sparewright serve --shop-network" } " it can be read at the mill too, by each device that was let in here." }
        }
        @if here.is_empty() { p.soft { "No device is let in." } }
        ul.records { @for device in &here { (row(device, &who)) } }
        @if !gone.is_empty() {
            h2 { "Sent away" }
            ul.records { @for device in &gone { (row(device, &who)) } }
        }
    };
    Ok(shown(page(&Frame { title: "Devices", at: Tab::Devices, ..Frame::default() }, &body)))
}

fn row(device: &Device, who: &Who) -> Markup {
    let itself = matches!(who, Who::Device { id, .. } if *id == device.id);
    html! {
        li {
            div.grow {
                b { (device.name) } @if itself { span.soft { ", this device" } }
                p.soft {
                    "let in " (time(device.paired))
                    @match device.revoked { Some(at) => { ", sent away " (time(at)) } None => { ", here last " (time(device.seen)) } }
                }
            }
            @if device.revoked.is_none() && may_send_away(who, device.id) {
                form method="post" action="/devices/revoke" {
                    input type="hidden" name="device" value=(device.id.number());
                    button.act.quiet type="submit" aria-label={ "Send away " (device.name) } { "Send away" }
                }
            }
        }
    }
}

/// From this machine any device, from a device only itself: one that was stolen sends nobody away.
fn may_send_away(who: &Who, device: DeviceId) -> bool {
    match who {
        Who::ThisMachine => true,
        Who::Device { id, .. } => *id == device,
    }
}

pub async fn revoke(State(app): State<App>, Extension(who): Extension<Who>, Form(chosen): Form<Chosen>) -> Answer {
    let id = DeviceId::new(chosen.device);
    if !may_send_away(&who, id) {
        return Err(Refused::new(
            StatusCode::FORBIDDEN,
            "Other devices are sent away from the notebook's own machine.",
        ));
    }
    app.kept(move |store| store.revoke(id, Timestamp::now())).await?;
    Ok(see("/devices"))
}
