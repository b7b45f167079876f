//! Every route, one line each.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{get, post};

use super::answer::Refused;
use super::devices::pair;
use super::state::App;
use super::{api, assets, backups, devices, guard, history, jobs, keys, machine, records, scans, shop, wire};

pub fn router(app: App) -> Router {
    Router::new()
        .route("/", get(records::find::find))
        .route("/demo", post(jobs::create::demo))
        .route("/jobs", post(jobs::create::create))
        .route("/jobs/{id}", get(jobs::show::show))
        .route("/jobs/{id}/echo", post(jobs::echo::show))
        .route("/jobs/{id}/lines", post(jobs::lines::add))
        .route("/jobs/{id}/lines/change", post(jobs::lines::change))
        .route("/jobs/{id}/features", post(jobs::features::add))
        .route("/jobs/{id}/features/fill", post(jobs::features::fill))
        .route("/jobs/{id}/features/remove", post(jobs::features::remove))
        .route("/jobs/{id}/head", post(jobs::head::fill))
        .route("/jobs/{id}/text", get(jobs::text::show).post(jobs::text::save))
        .route("/jobs/{id}/pack.pdf", get(jobs::files::pack))
        .route("/jobs/{id}/quote.pdf", get(jobs::files::quote))
        .route("/jobs/{id}/template.svg", get(jobs::files::template))
        .route("/jobs/{id}/result.json", get(jobs::files::result))
        .route("/jobs/{id}/job.toml", get(jobs::files::text))
        .route("/jobs/{id}/machine", get(machine::operation::first))
        .route("/jobs/{id}/machine/{place}", get(machine::operation::show).post(machine::operation::done))
        .route("/jobs/{id}/spaces", get(machine::spaces::show).post(machine::spaces::step))
        .route("/jobs/{id}/pictures", get(scans::list::list))
        .route("/jobs/{id}/pictures/{name}", get(scans::show::show))
        .route("/jobs/{id}/pictures/{name}/file", get(scans::put::get))
        .route("/jobs/{id}/pictures/{name}/overlay.svg", get(scans::overlay::show))
        .route("/jobs/{id}/pictures/{name}/take", post(scans::take::take))
        .route("/keys", get(keys::show))
        .route("/api/openapi.json", get(api::document))
        .route("/api/jobs", get(api::list).post(api::add))
        .route("/api/jobs/{id}", get(api::get).put(api::save))
        .route("/api/jobs/{id}/result", get(api::result))
        .route("/api/jobs/{id}/pack", get(api::pack))
        .route("/api/jobs/{id}/marks", get(machine::place::list).put(machine::place::step))
        .route("/api/jobs/{id}/pictures/{name}", axum::routing::put(scans::put::put))
        .route("/api/solve", post(api::solve))
        .route("/api/readings", post(api::understand))
        .route("/api/kinds", get(api::kinds))
        .route("/pair", get(pair::show).post(pair::enter))
        .route("/jobs/{id}/copy", post(records::keep::copy))
        .route("/jobs/{id}/remove", post(records::keep::remove))
        .route("/jobs/{id}/job.zip", get(records::take_out::job))
        .route("/jobs/{id}/history", get(history::list::of_job))
        .route("/jobs/{id}/history/{version}", get(history::state::of_job).post(history::bring_back::of_job))
        .route("/records.zip", get(records::take_out::everything))
        .route("/import", get(records::bring_in::show).post(records::bring_in::bring_in))
        .route("/backups", get(backups::list::show).post(backups::make::make))
        .route("/backups/{name}/restore", post(backups::restore::restore))
        .route("/shop", get(shop::show::show))
        .route("/shop/row", post(shop::row::keep))
        .route("/shop/text", get(shop::text::show).post(shop::text::keep))
        .route("/shop/shop.toml", get(shop::text::file))
        .route("/shop/history", get(history::list::of_shop))
        .route("/shop/history/{version}", get(history::state::of_shop).post(history::bring_back::of_shop))
        .route("/devices", get(devices::list::show))
        .route("/devices/revoke", post(devices::list::revoke))
        .route("/assets/{edition}/{name}", get(assets::show))
        .fallback(async || Refused::missing("page"))
        // the guard has read the body already, up to its own bounds
        .layer(DefaultBodyLimit::disable())
        .layer(from_fn_with_state(app.clone(), guard::guard))
        .layer(from_fn(wire::pressed))
        .with_state(app)
}
