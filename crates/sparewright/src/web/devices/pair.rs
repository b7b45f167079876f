//! `/pair`: on this machine the code and its picture; on a device the line to type it into.

use axum::Form;
use axum::extract::{Query, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use super::cookie;
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;

#[derive(Debug, Deserialize)]
pub struct Asked {
    #[serde(default)]
    code: String,
}

#[derive(Debug, Deserialize)]
pub struct Typed {
    code: String,
    name: String,
}

pub async fn show(State(app): State<App>, Query(asked): Query<Asked>, request: axum::extract::Request) -> Answer {
    let who = request.extensions().get::<Who>().cloned();
    let body = match (who, app.network_address()) {
        (Some(Who::ThisMachine), Some(address)) => invitation(&app, &address).await?,
        (Some(Who::ThisMachine), None) => html! {
            header.head { h1 { "Let a device in" } }
            p { "The notebook is open on this machine alone. Close it and start it with " code { "sparewright serve --shop-network" } " to let tablets and phones of the shop in." }
        },
        (Some(Who::Device { name, .. }), _) => html! {
            header.head { h1 { "Paired" } }
            p { "This device is paired as " b { (name) } ". " a href="/" { "To the records" } }
        },
        (None, _) => entry(&asked.code, None),
    };
    Ok(shown(page(&Frame { title: "Pairing", at: Tab::Devices, measure: "narrow", ..Frame::default() }, &body)))
}

pub async fn enter(State(app): State<App>, Form(typed): Form<Typed>) -> Answer {
    let name: String = typed.name.trim().chars().filter(|c| !c.is_control()).take(40).collect();
    let why = if name.is_empty() { Some("Give the device a name, so that it can be told from others.") } else { None };
    if let Some(why) = why {
        return Ok(again(why));
    }
    let Some(token) = app.pair(typed.code, name).await? else {
        return Ok(again(
            "This is not the code that is good now. Read it again on the notebook's machine: it changes after ten minutes, after five wrong ones and after each device.",
        ));
    };
    let cookie =
        HeaderValue::from_str(&cookie::set(&token)).map_err(|_| Refused::ours("The device could not be marked."))?;
    let mut response = see("/");
    response.headers_mut().insert(SET_COOKIE, cookie);
    Ok(response)
}

fn again(why: &str) -> Response {
    let body = entry("", Some(why));
    let page = page(&Frame { title: "Pairing", at: Tab::Devices, measure: "narrow", ..Frame::default() }, &body);
    (StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response()
}

fn entry(code: &str, why: Option<&str>) -> Markup {
    let code: String = code.chars().filter(char::is_ascii_digit).take(8).collect();
    html! {
        header.head { h1 { "Let this device in" } }
        p { "The code stands on the machine the notebook runs on, on its page " b { "Devices" } ", and where the program was started." }
        @if let Some(why) = why { p.refused role="alert" { (why) } }
        form method="post" action="/pair" {
            label for="code" { "Code" }
            input.num #code name="code" inputmode="numeric" autocomplete="one-time-code" value=(code) required;
            label for="name" { "What this device is called" }
            input #name name="name" placeholder="tablet at the mill" maxlength="40" required;
            button.act type="submit" { "Let it in" }
        }
    }
}

async fn invitation(app: &App, address: &str) -> Answer<Markup> {
    let code = app.code().await?;
    let place = format!("{address}pair?code={code}");
    Ok(html! {
        header.head { h1 { "Let a device in" } }
        p { "Point the camera of the tablet or phone at this, or open " b.num { (address) "pair" } " there and type the code." }
        p.code.num { (code[..4]) " " (code[4..]) }
        div.qr { (PreEscaped(picture(&place)?)) }
        p.soft { "One code lets in one device, within ten minutes. Anyone with the code can read and change every job." }
    })
}

/// The address as a picture for a camera, ISO/IEC 18004.
fn picture(text: &str) -> Answer<String> {
    let code = qrcode::QrCode::new(text.as_bytes()).map_err(|_| Refused::ours("The address cannot be drawn."))?;
    let width = code.width();
    let mut path = String::new();
    for (index, colour) in code.to_colors().into_iter().enumerate() {
        if colour == qrcode::Color::Dark {
            path.push_str(&format!("M{} {}h1v1h-1z", index % width + 4, index / width + 4));
        }
    }
    let side = width + 8;
    Ok(format!(
        "<svg viewBox=\"0 0 {side} {side}\" role=\"img\" aria-label=\"The address with the code, for a camera\"><rect width=\"{side}\" height=\"{side}\" fill=\"#fff\"/><path d=\"{path}\" fill=\"#000\"/></svg>"
    ))
}
