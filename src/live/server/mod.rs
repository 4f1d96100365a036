//! Takes requests in and gives pages out: the only part with a socket. One thread searches
//! (`search.rs`); requests change what is asked (`routes.rs`, `kept.rs`) and wait a little for the answer
//! (`shared.rs`).

mod answers;
mod kept;
mod routes;
mod search;
mod shared;

use std::net::TcpListener;
use std::sync::Arc;
use std::{io, thread};

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State as Of};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};

use super::Host;
use super::guard::{Asked, Guard, MOST_BODY, Pass, Refusal};
use crate::larder::Larder;
use answers::{refused, see_other};
use shared::{Shared, Shares, locked};

/// Serves a kitchen until the program ends.
///
/// # Errors
/// Those of the socket and of starting threads.
pub fn serve(
    listener: TcpListener,
    host: Box<dyn Host>,
    (plain, stamp): (Larder, u64),
    guard: Guard,
) -> io::Result<()> {
    listener.set_nonblocking(true)?;
    let shared = Arc::new(Shared::new(host, (plain, stamp), guard));
    let worker = Arc::clone(&shared);
    thread::Builder::new()
        .name("search".to_owned())
        .spawn(move || search::work(&worker))?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        axum::serve(listener, app(shared)).await
    })
}

fn app(shared: Shares) -> Router {
    Router::new()
        .route("/", get(routes::page))
        .route("/now", get(routes::now))
        .route("/sheet", get(routes::sheet))
        .route("/keep", get(kept::shown).post(kept::written))
        .route("/dial", post(routes::dial))
        .route("/word", post(routes::word))
        .route("/lunch", post(routes::lunch))
        .route("/step", post(routes::step))
        .route("/stop", post(routes::stop))
        .route("/again", post(routes::again))
        .route(
            "/live.css",
            get(async || file("text/css", include_str!("../page/live.css"))),
        )
        .route(
            "/live.js",
            get(async || file("text/javascript", include_str!("../page/live.js"))),
        )
        .route(
            "/htmx.js",
            get(async || file("text/javascript", include_str!("../page/htmx.min.js"))),
        )
        .fallback(|| async { refused(StatusCode::NOT_FOUND, "There is no such page.") })
        .layer(DefaultBodyLimit::max(MOST_BODY))
        .layer(middleware::from_fn_with_state(Arc::clone(&shared), guarded))
        .with_state(shared)
}

fn file(kind: &'static str, text: &'static str) -> Response {
    let kind = format!("{kind}; charset=utf-8");
    ([(header::CONTENT_TYPE, kind)], text).into_response()
}

/// What a page may load and where it may send: itself alone, and no script but ours.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src data:; \
    connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Lets a request pass that may, and tells browsers what the answer may do.
async fn guarded(Of(shared): Of<Shares>, request: Request, next: Next) -> Response {
    let pass = {
        let headers = request.headers();
        let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
        let query = request.uri().query().unwrap_or_default();
        let token = query
            .split('&')
            .find_map(|pair| pair.strip_prefix("token="));
        let length = text(header::CONTENT_LENGTH).map(|text| text.parse().unwrap_or(u64::MAX));
        let asked = Asked {
            method: request.method().as_str(),
            host: text(header::HOST),
            origin: text(header::ORIGIN),
            site: text(HeaderName::from_static("sec-fetch-site")),
            cookie: text(header::COOKIE),
            length,
            token,
        };
        let now = shared.host.now();
        locked(&shared.guard).check(&asked, now)
    };
    let mut answer = match pass {
        Ok(Pass::Known) => next.run(request).await,
        Ok(Pass::New(cookie)) => {
            let mut answer = see_other("/");
            if let Ok(cookie) = HeaderValue::from_str(&cookie) {
                answer.headers_mut().insert(header::SET_COOKIE, cookie);
            }
            answer
        }
        Err(refusal) => told(refusal),
    };
    let headers = answer.headers_mut();
    let set = [
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // Without a referrer browsers leave out the origin of plain forms too.
        (header::REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
    ];
    for (name, value) in set {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CONTENT_SECURITY_POLICY)
        .or_insert(HeaderValue::from_static(POLICY));
    answer
}

fn told(refusal: Refusal) -> Response {
    let (status, why) = refusal.told();
    refused(
        StatusCode::from_u16(status).unwrap_or(StatusCode::FORBIDDEN),
        why,
    )
}
