//! Every route, one line each.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{get, post};

use super::answer::Refused;
use super::devices::pair;
use super::state::App;
use super::{assets, guard, jobs, wire};

pub fn router(app: App) -> Router {
    Router::new()
        .route("/", get(jobs::index::index))
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
        .route("/pair", get(pair::show).post(pair::enter))
        .route("/assets/{edition}/{name}", get(assets::show))
        .fallback(async || Refused::missing("page"))
        // the guard has read the body already, up to its own bounds
        .layer(DefaultBodyLimit::disable())
        .layer(from_fn_with_state(app.clone(), guard::guard))
        .layer(from_fn(wire::pressed))
        .with_state(app)
}
