//! *Keep as rules*: what would be written, and writing it.

use std::future::{Ready, ready};

use askama::Template;
use axum::extract::{Form, State as Of};
use axum::response::Response;

use super::answers::html;
use super::routes::{Fields, field, read_again};
use super::shared::{Shared, Shares, locked};
use crate::live::keep;
use crate::live::session::Command;

#[derive(Template)]
#[template(path = "keep.html", config = "src/live/askama.toml")]
struct Keep {
    kitchen: String,
    file: String,
    lines: Vec<(usize, String, String)>,
    fault: Option<String>,
    done: bool,
    stamp: u64,
}

/// What would be kept, or why not.
fn kept(shared: &Shared) -> Result<keep::Kept, String> {
    let session = locked(&shared.session).clone();
    if session.stale.is_some() {
        return Err("The files changed since they were read: read them again first.".to_owned());
    }
    let texts = shared.host.texts();
    if texts.is_empty() {
        return Err(
            "This is the built-in demo kitchen, which has no files; scant start DIR writes \
                    it out."
                .to_owned(),
        );
    }
    let kept = keep::lines(&texts, session.asking(), session.plain(), session.larder())?;
    let read = shared.host.read_with(&kept.file, &kept.text)?;
    if keep::same(&read, session.larder()) {
        Ok(kept)
    } else {
        Err(
            "With these lines the files would not say what is asked here; write them by hand."
                .to_owned(),
        )
    }
}

fn keep_page(shared: &Shared, kept: Result<keep::Kept, String>, done: bool) -> Response {
    let (file, lines, fault) = match kept {
        Ok(kept) => (kept.file, kept.lines, None),
        Err(fault) => (String::new(), Vec::new(), Some(fault)),
    };
    let page = Keep {
        kitchen: locked(&shared.session).plain().name.clone(),
        file,
        lines,
        fault,
        done,
        stamp: shared.host.stamp(),
    };
    html(page.render().unwrap_or_default())
}

pub(super) fn shown(Of(shared): Of<Shares>) -> Ready<Response> {
    let kept = kept(&shared);
    ready(keep_page(&shared, kept, false))
}

pub(super) fn written(Of(shared): Of<Shares>, Form(fields): Form<Fields>) -> Ready<Response> {
    let written = || {
        if field(&fields, "stamp").parse() != Ok(shared.host.stamp()) {
            return Err(
                "The files changed since these lines were shown; look at them again.".to_owned(),
            );
        }
        let kept = kept(&shared)?;
        shared.host.write(&kept.file, &kept.text)?;
        Ok(kept)
    };
    let kept = written();
    let done = kept.is_ok();
    if done {
        read_again(&shared);
        // What was asked is in the files now.
        shared.obey(Command::Back(0));
    }
    ready(keep_page(&shared, kept, done))
}
