//! The addresses, and what is answered at each.

use super::bench::{Bench, held, refused};
use super::desk::{AskedEdit, Not};
use super::drawings;
use super::frame::frame;
use super::guard::{self, Guard, LONGEST};
use super::made::{Made, Stage};
use super::pack::{self, Wanted};
use super::{clock::Clock, page, words};
use crate::finding::Source;
use crate::params;
use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, Request, State};
use axum::http::{HeaderValue, StatusCode, Uri, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Duration;

/// How long a page waits for news before it asks again.
const LONGEST_WAIT: Duration = Duration::from_secs(25);

/// What every answer has at hand.
#[derive(Clone)]
struct Here {
    bench: Arc<Bench>,
    guard: Guard,
}

/// All addresses of the page.
pub fn router(bench: Arc<Bench>, guard: Guard) -> Router {
    let here = Here { bench, guard };
    Router::new()
        .route("/{word}/", get(|| async { page::index() }))
        .route(
            "/{word}/page/{name}",
            get(|Path((_, name)): Path<(String, String)>| async move { page::part(&name) }),
        )
        .route("/{word}/form", get(form))
        .route("/{word}/news", get(news))
        .route("/{word}/made/{stage}", get(made))
        .route("/{word}/drawing/{name}/{piece}", get(drawing))
        .route("/{word}/sheet", get(sheet))
        .route("/{word}/edit", post(edit))
        .route("/{word}/step", post(step))
        .route("/{word}/save", post(save))
        .route("/{word}/choose", post(choose))
        .route("/{word}/packet", post(packet))
        .fallback(|| async { (StatusCode::NOT_FOUND, words::NOT_HERE) })
        .layer(DefaultBodyLimit::max(LONGEST))
        .layer(from_fn_with_state(here.clone(), guarded))
        .with_state(here)
}

/// Lets in what may come in, and puts on each answer what it must carry.
async fn guarded(State(here): State<Here>, request: Request, next: Next) -> Response {
    let mut response = match here.guard.look(request.method(), request.uri(), request.headers()) {
        Ok(()) => next.run(request).await,
        Err(turned) => turned.into_response(),
    };
    guard::headers(response.headers_mut());
    response
}

fn answer(status: StatusCode, value: &Value) -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (status, kind, value.to_string()).into_response()
}

/// What a message says.
fn message<T: DeserializeOwned>(body: &Bytes) -> Result<T, Box<Response>> {
    serde_json::from_slice(body).map_err(|_| {
        let says = json!({ "not": "read", "says": words::NOT_READ });
        Box::new(answer(StatusCode::BAD_REQUEST, &says))
    })
}

/// Does something that takes a while, away from the threads that answer.
async fn away<T: Send + 'static>(act: impl FnOnce() -> T + Send + 'static) -> Result<T, Response> {
    let broke = json!({ "not": "worked out", "says": words::BROKE });
    tokio::task::spawn_blocking(act)
        .await
        .map_err(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &broke))
}

async fn form() -> Response {
    let all = [Source::Design, Source::Board, Source::Shop].map(params::form);
    answer(StatusCode::OK, &json!(all))
}

/// Waits until there is more than a page has seen.
async fn news(State(here): State<Here>, uri: Uri) -> Response {
    let seen: u64 = uri
        .query()
        .and_then(|query| query.strip_prefix("seen="))
        .and_then(|number| number.parse().ok())
        .unwrap_or(0);
    let mut news = here.bench.news();
    let waited = tokio::time::timeout(LONGEST_WAIT, news.wait_for(|number| *number != seen));
    match waited.await.map(|told| told.is_ok()) {
        Ok(true) => answer(StatusCode::OK, &here.bench.state()),
        _ => StatusCode::NO_CONTENT.into_response(),
    }
}

/// A stage of the newest revision.
async fn made(State(here): State<Here>, Path((_, stage)): Path<(String, String)>) -> Response {
    let Some(stage) = Stage::of(&stage) else { return StatusCode::NOT_FOUND.into_response() };
    match away(move || framed(&here.bench, stage, None)).await {
        Ok(response) | Err(response) => response,
    }
}

/// A stage as a message; nothing if it became older meanwhile.
fn framed(bench: &Bench, stage: Stage, only: Option<usize>) -> Response {
    let Some(made) = bench.make(stage, only) else {
        return StatusCode::NO_CONTENT.into_response();
    };
    let mut clock = Clock::start();
    let bytes = frame(&made, bench.good().as_deref(), bench.state());
    clock.part("send");
    let parts = made.times.iter().copied().chain(clock.parts());
    let timing: Vec<String> = parts.map(|(part, ms)| format!("{part};dur={ms:.2}")).collect();
    let mut response = bytes.into_response();
    if let Ok(timing) = HeaderValue::from_str(&timing.join(", ")) {
        response.headers_mut().insert("server-timing", timing);
    }
    response
}

/// A change, and the coarse picture of what it comes to.
async fn edit(State(here): State<Here>, body: Bytes) -> Response {
    let asked: AskedEdit = match message(&body) {
        Ok(asked) => asked,
        Err(response) => return *response,
    };
    let done = away(move || {
        let bench = &here.bench;
        if let Err(not) = bench.with_desk(|desk, _| desk.edit(&asked)) {
            return denied(bench, &not);
        }
        framed(bench, Stage::Coarse, alone(bench, asked.file))
    });
    match done.await {
        Ok(response) | Err(response) => response,
    }
}

/// The design that a change is about, where there are others that it leaves alone.
fn alone(bench: &Bench, file: usize) -> Option<usize> {
    let files = bench.shelf.files();
    let several = files.iter().filter(|file| file.source == Source::Design).count() > 1;
    let design = files.get(file).is_some_and(|file| file.source == Source::Design);
    (several && design).then_some(file)
}

fn denied(bench: &Bench, not: &Not) -> Response {
    let mut says = refused(not);
    says["state"] = bench.state();
    answer(StatusCode::CONFLICT, &says)
}

/// One step back or forth.
#[derive(Deserialize)]
struct Stepping {
    page: String,
    back: bool,
}

async fn step(State(here): State<Here>, body: Bytes) -> Response {
    let Stepping { page, back } = match message(&body) {
        Ok(asked) => asked,
        Err(response) => return *response,
    };
    here.bench.with_desk(|desk, _| desk.step(&page, back));
    answer(StatusCode::OK, &here.bench.state())
}

async fn save(State(here): State<Here>, body: Bytes) -> Response {
    if let Err(response) = message::<Value>(&body) {
        return *response;
    }
    let done = away(move || match here.bench.save() {
        Ok(()) => answer(StatusCode::OK, &here.bench.state()),
        Err(not) => denied(&here.bench, &not),
    });
    match done.await {
        Ok(response) | Err(response) => response,
    }
}

/// Which of two texts of a file is kept.
#[derive(Deserialize)]
struct Choice {
    file: usize,
    disk: bool,
    /// The number of the clash that the page showed.
    shown: u64,
}

async fn choose(State(here): State<Here>, body: Bytes) -> Response {
    let Choice { file, disk, shown } = match message(&body) {
        Ok(choice) => choice,
        Err(response) => return *response,
    };
    match here.bench.with_desk(|desk, _| desk.choose(file, disk, shown)) {
        Ok(()) => answer(StatusCode::OK, &here.bench.state()),
        Err(not) => denied(&here.bench, &not),
    }
}

async fn drawing(
    State(here): State<Here>,
    Path((_, name, piece)): Path<(String, String, usize)>,
) -> Response {
    let Some(stage) = drawings::needs(&name) else {
        return (StatusCode::NOT_FOUND, words::NOT_HERE).into_response();
    };
    let drawn = away(move || {
        let made: Option<Arc<Made>> = here.bench.make(stage, None);
        made.and_then(|made| drawings::svg(made.job.as_ref()?, &name, piece))
    });
    match drawn.await {
        Ok(Some(svg)) => ([(header::CONTENT_TYPE, "image/svg+xml")], svg).into_response(),
        // While the files have faults there is none.
        Ok(None) => StatusCode::NO_CONTENT.into_response(),
        Err(response) => response,
    }
}

async fn packet(State(here): State<Here>, body: Bytes) -> Response {
    let wanted: Wanted = match message(&body) {
        Ok(wanted) => wanted,
        Err(response) => return *response,
    };
    if !pack::begin(&here.bench) {
        return answer(StatusCode::CONFLICT, &json!({ "not": "possible", "says": words::BUSY }));
    }
    let bench = here.bench.clone();
    match away(move || pack::pack(&bench, &wanted)).await {
        Ok(()) => answer(StatusCode::OK, &here.bench.state()),
        Err(response) => {
            pack::broke(&here.bench);
            response
        }
    }
}

/// The job sheet of the last packet, as it was written.
async fn sheet(State(here): State<Here>) -> Response {
    let kept = held(&here.bench.packing).sheet();
    match kept {
        Some(sheet) => {
            let kind = (header::CONTENT_TYPE, "text/html; charset=utf-8");
            ([kind, (header::CONTENT_SECURITY_POLICY, guard::SHEET)], sheet).into_response()
        }
        None => (StatusCode::NOT_FOUND, words::NO_SHEET).into_response(),
    }
}
