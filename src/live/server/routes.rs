//! What is asked for by address and by form.

use std::collections::BTreeMap;
use std::future::{Ready, ready};
use std::sync::atomic::Ordering;
use std::time::Duration;

use axum::extract::{Form, Query, State as Of};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::answers::{html, refused, see_other};
use super::shared::{Shared, Shares, locked};
use crate::larder::Day;
use crate::live::asking::{Change, Dial, Word, day_word};
use crate::live::session::{Command, Session};
use crate::live::view::{Part, With};
use crate::live::{found, view};
use crate::report;

/// How long a request waits for the answer to what it asked: then it shows how far it is.
const PATIENCE: Duration = Duration::from_millis(600);
/// The same where the page has no script to ask again.
const PLAIN_PATIENCE: Duration = Duration::from_secs(3);
/// How long a page that asks for news waits for some.
const NEWS: Duration = Duration::from_millis(700);
/// Parts that changed since the page asked, with the version they are of.
fn parts(shared: &Shared, headers: &HeaderMap) -> Response {
    let seen = headers
        .get("x-seen")
        .and_then(|value| value.to_str().ok()?.parse().ok());
    let seen: u64 = seen.unwrap_or(0);
    let screen = shared.look();
    let version = HeaderValue::from(screen.version);
    // A version that was never given out is of another start: it gets all there is.
    let from = if seen > screen.version { 0 } else { seen };
    let text = news(&screen.parts, from);
    drop(screen);
    let mut answer = if text.is_empty() {
        StatusCode::NO_CONTENT.into_response()
    } else {
        html(text)
    };
    answer.headers_mut().insert("x-version", version);
    answer
}

/// The parts that changed since a version, and of a list that is given whole nothing twice.
fn news(parts: &[(Part, u64)], from: u64) -> String {
    let news = || parts.iter().filter(|part| part.1 > from);
    let whole = news().any(|part| matches!(part.0.with, With::Reading(_)));
    let once = news().filter(|part| !(whole && part.0.with == With::Listed));
    once.map(|part| part.0.html.as_str()).collect()
}

/// The answer to a form: parts for a page that swaps them, else the page anew.
async fn after(shared: &Shared, headers: &HeaderMap, number: u64) -> Response {
    if headers.contains_key("hx-request") {
        shared.answered(number, PATIENCE).await;
        return parts(shared, headers);
    }
    shared.answered(number, PLAIN_PATIENCE).await;
    see_other("/")
}

pub(super) type Fields = BTreeMap<String, String>;

/// The sheet has its style in it, and one script, told by its hash.
const SHEET_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; \
    script-src 'sha256-DBy9Z8Nm+CgbaOhxTuP/wrxF4ImMLc/Paoy/MCa9ggA='; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

pub(super) async fn page(Of(shared): Of<Shares>, Query(query): Query<Fields>) -> Response {
    let number = locked(&shared.session).number();
    shared.answered(number, PATIENCE).await;
    let find: String = query
        .get("find")
        .map_or("", String::as_str)
        .chars()
        .take(80)
        .collect();
    let screen = shared.look();
    let parts: Vec<&Part> = screen.parts.iter().map(|part| &part.0).collect();
    let session = locked(&shared.session);
    html(view::page(&session, &parts, screen.version, &find))
}

pub(super) async fn now(Of(shared): Of<Shares>, headers: HeaderMap) -> Response {
    let proving = !locked(&shared.session).answered();
    if proving {
        let number = locked(&shared.session).number();
        shared.answered(number, NEWS).await;
    }
    parts(&shared, &headers)
}

pub(super) fn sheet(Of(shared): Of<Shares>) -> Ready<Response> {
    ready(printed(&shared))
}

/// The week on paper, as last answered.
fn printed(shared: &Shared) -> Response {
    let last = locked(&shared.session).last().cloned();
    let Some(last) = last else {
        return refused(StatusCode::NOT_FOUND, "There is no week to print.");
    };
    let end = shared.host.now().saturating_add(shared.host.limit());
    let stop = || shared.host.now() >= end;
    let told = match found::on_paper(&last, &stop) {
        Ok(told) => told,
        Err(fault) => return refused(StatusCode::INTERNAL_SERVER_ERROR, &fault.to_string()),
    };
    let mut answer = html(report::sheet(&told, None));
    let policy = HeaderValue::from_static(SHEET_POLICY);
    answer
        .headers_mut()
        .insert(header::CONTENT_SECURITY_POLICY, policy);
    answer
}

/// A form, or why it is refused.
pub(super) fn field<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.get(name).map_or("", String::as_str)
}

pub(super) async fn dial(
    Of(shared): Of<Shares>,
    headers: HeaderMap,
    Form(fields): Form<Fields>,
) -> Response {
    let Some(dial) = Dial::of(field(&fields, "dial")) else {
        return refused(StatusCode::BAD_REQUEST, "There is no such limit.");
    };
    let plain = locked(&shared.session).plain().clone();
    let typed = field(&fields, "value").trim();
    let slid = field(&fields, "slid");
    // Of the field and the slider the one that moved counts.
    let by_slider = fields.contains_key("slid") && typed == field(&fields, "was");
    let text = match (by_slider, slid == field(&fields, "slid_was")) {
        (true, true) => None,
        (true, false) => Some(slid),
        (false, _) => Some(typed),
    };
    let value = match text {
        _ if fields.contains_key("back") => Some(Ok(None)),
        None => None,
        Some("") => Some(Ok(None)),
        Some(text) => Some(dial.read(text, &plain).map(Some)),
    };
    let number = match value {
        Some(Ok(value)) => shared.obey(Command::Change(Change::Dial(dial, value))),
        Some(Err(fault)) => {
            let mut session = locked(&shared.session);
            session.notice = vec![fault];
            session.number()
        }
        None => locked(&shared.session).number(),
    };
    after(&shared, &headers, number).await
}

pub(super) async fn word(
    Of(shared): Of<Shares>,
    headers: HeaderMap,
    Form(fields): Form<Fields>,
) -> Response {
    let word = match field(&fields, "word") {
        "free" => None,
        "have" => Some(Word::Have(None)),
        "leave" => Some(Word::Leave),
        _ => return refused(StatusCode::BAD_REQUEST, "There is no such word."),
    };
    let name = field(&fields, "name").to_owned();
    if !named(&locked(&shared.session), &name) {
        return refused(
            StatusCode::BAD_REQUEST,
            "The kitchen has no such food or recipe.",
        );
    }
    let number = shared.obey(Command::Change(Change::Word(name, word)));
    after(&shared, &headers, number).await
}

/// Whether the kitchen has a food or recipe of that very name.
fn named(session: &Session, name: &str) -> bool {
    let plain = session.plain();
    let foods = plain.foods.iter().map(|food| &food.name);
    let recipes = plain.recipes.iter().map(|recipe| &recipe.name);
    foods.chain(recipes).any(|known| known == name)
}

pub(super) async fn lunch(
    Of(shared): Of<Shares>,
    headers: HeaderMap,
    Form(fields): Form<Fields>,
) -> Response {
    let name = field(&fields, "name").to_owned();
    let command = {
        let session = locked(&shared.session);
        let lunches = session.plain().week.lunches;
        let day = field(&fields, "day").parse::<Day>().ok();
        let day = day.filter(|day| (1..=lunches).contains(day));
        let (Some(day), true) = (day, named(&session, &name)) else {
            return refused(StatusCode::BAD_REQUEST, "There is no such lunch.");
        };
        let now = session.asking().words.get(&name);
        let here = Word::Have(Some(day_word(session.plain(), day)));
        let pressed = |word: Word| (now != Some(&word)).then_some(word);
        match field(&fields, "do") {
            "here" => Command::Change(Change::Word(name, pressed(here))),
            "move" => Command::Change(Change::Word(name, Some(here))),
            "any" => Command::Change(Change::Word(name, pressed(Word::Have(None)))),
            "not" => Command::Change(Change::Word(name, Some(Word::Leave))),
            "others" => Command::Others(day),
            _ => return refused(StatusCode::BAD_REQUEST, "There is nothing like that to do."),
        }
    };
    let asks_others = matches!(command, Command::Others(_));
    let number = shared.obey(command);
    if asks_others {
        let patience = if headers.contains_key("hx-request") {
            PATIENCE
        } else {
            PLAIN_PATIENCE
        };
        let done = || {
            let session = locked(&shared.session);
            session.number() != number
                || session
                    .idle
                    .others
                    .as_ref()
                    .is_none_or(|others| others.done)
        };
        shared.until(patience, done).await;
    }
    after(&shared, &headers, number).await
}

pub(super) async fn step(
    Of(shared): Of<Shares>,
    headers: HeaderMap,
    Form(fields): Form<Fields>,
) -> Response {
    let command = match field(&fields, "to") {
        "undo" => Command::Undo,
        "redo" => Command::Redo,
        at => match at.parse() {
            Ok(at) => Command::Back(at),
            Err(_) => return refused(StatusCode::BAD_REQUEST, "There is no such step."),
        },
    };
    let number = shared.obey(command);
    after(&shared, &headers, number).await
}

pub(super) async fn stop(Of(shared): Of<Shares>, headers: HeaderMap) -> Response {
    let number = shared.obey(Command::Stop);
    after(&shared, &headers, number).await
}

pub(super) async fn again(Of(shared): Of<Shares>, headers: HeaderMap) -> Response {
    let number = read_again(&shared);
    after(&shared, &headers, number).await
}

pub(super) fn read_again(shared: &Shared) -> u64 {
    let stamp = shared.host.stamp();
    let read = shared.host.read();
    if read.is_ok() {
        *locked(&shared.stamp) = (stamp, shared.host.now());
    }
    let mut session = locked(&shared.session);
    match read {
        Ok(plain) => session.read_again(plain),
        Err(fault) => session.notice = fault.lines().map(str::to_owned).collect(),
    }
    let number = session.number();
    shared.newest.store(number, Ordering::Release);
    drop(session);
    shared.wake.notify_all();
    number
}

#[cfg(test)]
mod tests {
    use super::SHEET_POLICY;

    /// The script that the server lets the sheet run is the one that the sheet names.
    #[test]
    fn the_sheet_may_run_its_own_script() {
        let page = include_str!("../../report/sheet/templates/sheet.html");
        let script = SHEET_POLICY
            .split("; ")
            .find(|part| part.starts_with("script-src "));
        assert!(page.contains(script.unwrap()));
    }
}
