//! Answers to requests: pages, refusals, another address.

use askama::Template;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "refused.html", config = "src/live/askama.toml")]
struct Refused<'a> {
    why: &'a str,
}

pub(super) fn refused(status: StatusCode, why: &str) -> Response {
    let page = Refused { why }.render().unwrap_or_default();
    (status, html(page)).into_response()
}

pub(super) fn html(page: String) -> Response {
    ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], page).into_response()
}

pub(super) fn see_other(to: &'static str) -> Response {
    (StatusCode::SEE_OTHER, [(header::LOCATION, to)]).into_response()
}
