//! Takes requests in and gives pages out: the only part with a socket. One thread searches; requests
//! change what is asked and wait a little for the answer.

use std::collections::BTreeMap;
use std::net::TcpListener;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use std::{io, thread};

use askama::Template;
use axum::Router;
use axum::extract::{DefaultBodyLimit, Form, Query, Request, State as Of};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use tokio::sync::Notify;

use super::asking::{Change, Dial, Word, day_word};
use super::guard::{Asked, Guard, MOST_BODY, Pass, Refusal};
use super::session::{Command, Session, Task, What};
use super::{Host, found, keep, view};
use crate::engine::Progress;
use crate::larder::{Day, Larder};
use crate::report;
use crate::tradeoffs::{self, Ask, Section};

/// How long a request waits for the answer to what it asked: then it shows how far it is.
const PATIENCE: Duration = Duration::from_millis(600);
/// The same where the page has no script to ask again.
const PLAIN_PATIENCE: Duration = Duration::from_secs(3);
/// How long a page that asks for news waits for some.
const NEWS: Duration = Duration::from_millis(700);
/// Work that one of the other recipes of a day may take.
const OTHER_WORK: u64 = 8_000_000;
/// Most eaters that are tried.
const MOST_EATERS: i64 = 8;
/// How often the kitchen's files are looked at, at most.
const LOOK: Duration = Duration::from_secs(1);

/// The parts of the screen as they were given out last.
#[derive(Default)]
struct Screen {
    version: u64,
    /// Id, HTML, and the version it changed at.
    parts: Vec<(String, String, u64)>,
}

/// What requests and the search share.
struct Shared {
    host: Box<dyn Host>,
    guard: Mutex<Guard>,
    session: Mutex<Session>,
    screen: Mutex<Screen>,
    /// Something is to be searched.
    wake: Condvar,
    /// Something was found.
    bell: Notify,
    /// The present question, and the one that is to be stopped.
    newest: AtomicU64,
    stop: AtomicU64,
    /// What is worked out beside gives way to what was asked for.
    give_way: AtomicBool,
    /// What the files were when they were read, and when they were looked at.
    stamp: Mutex<(u64, Duration)>,
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

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
    let shared = Arc::new(Shared {
        guard: Mutex::new(guard),
        session: Mutex::new(Session::new(plain)),
        screen: Mutex::default(),
        wake: Condvar::new(),
        bell: Notify::new(),
        newest: AtomicU64::new(1),
        stop: AtomicU64::new(0),
        give_way: AtomicBool::new(false),
        stamp: Mutex::new((stamp, host.now())),
        host,
    });
    let worker = Arc::clone(&shared);
    thread::Builder::new()
        .name("search".to_owned())
        .spawn(move || work(&worker))?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        axum::serve(listener, app(shared)).await
    })
}

type Shares = Arc<Shared>;

fn app(shared: Shares) -> Router {
    Router::new()
        .route("/", get(page))
        .route("/now", get(now))
        .route("/sheet", get(sheet))
        .route("/keep", get(keep_shown).post(keep_written))
        .route("/dial", post(dial))
        .route("/word", post(word))
        .route("/lunch", post(lunch))
        .route("/step", post(step))
        .route("/stop", post(stop))
        .route("/again", post(again))
        .route(
            "/live.css",
            get(|| file("text/css", include_str!("page/live.css"))),
        )
        .route(
            "/live.js",
            get(|| file("text/javascript", include_str!("page/live.js"))),
        )
        .route(
            "/htmx.js",
            get(|| file("text/javascript", include_str!("page/htmx.min.js"))),
        )
        .fallback(|| async { refused(StatusCode::NOT_FOUND, "There is no such page.") })
        .layer(DefaultBodyLimit::max(MOST_BODY))
        .layer(middleware::from_fn_with_state(Arc::clone(&shared), guarded))
        .with_state(shared)
}

#[derive(Template)]
#[template(path = "refused.html", config = "src/live/askama.toml")]
struct Refused<'a> {
    why: &'a str,
}

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

fn refused(status: StatusCode, why: &str) -> Response {
    let page = Refused { why }.render().unwrap_or_default();
    (status, html(page)).into_response()
}

fn html(page: String) -> Response {
    ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], page).into_response()
}

async fn file(kind: &'static str, text: &'static str) -> Response {
    let kind = format!("{kind}; charset=utf-8");
    ([(header::CONTENT_TYPE, kind)], text).into_response()
}

/// What a page may load and where it may send: itself alone, and no script but ours.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src data:; \
    connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
/// The sheet has its style in it and no script at all.
const SHEET_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

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

fn see_other(to: &'static str) -> Response {
    (StatusCode::SEE_OTHER, [(header::LOCATION, to)]).into_response()
}

impl Shared {
    /// Renders what there is, and notes what differs from what was given out before.
    fn look(&self) -> MutexGuard<'_, Screen> {
        self.look_at_files();
        let parts = view::parts(&locked(&self.session), self.host.folder().as_deref());
        let mut screen = locked(&self.screen);
        let next = screen.version + 1;
        let mut changed = screen.parts.is_empty();
        let mut known = std::mem::take(&mut screen.parts).into_iter();
        for (id, html) in parts {
            let since = match known.next() {
                Some((_, old, since)) if old == html => since,
                _ => {
                    changed = true;
                    next
                }
            };
            screen.parts.push((id, html, since));
        }
        if changed {
            screen.version = next;
        }
        screen
    }

    /// Says so where the kitchen's files are not what they were.
    fn look_at_files(&self) {
        let now = self.host.now();
        let mut stamp = locked(&self.stamp);
        if now.saturating_sub(stamp.1) < LOOK {
            return;
        }
        stamp.1 = now;
        if self.host.stamp() != stamp.0 {
            let why = "the kitchen's files changed: what is shown is of the files before";
            locked(&self.session).stale = Some(why.to_owned());
        }
    }

    /// Obeys a command and sees to it that it is searched.
    fn obey(&self, command: Command) -> u64 {
        let stop = matches!(command, Command::Stop);
        let others = matches!(command, Command::Others(_));
        let mut session = locked(&self.session);
        session.obey(command);
        let number = session.number();
        self.newest.store(number, Ordering::Release);
        if stop {
            self.stop.store(number, Ordering::Release);
        }
        if others {
            self.give_way.store(true, Ordering::Release);
        }
        drop(session);
        self.wake.notify_all();
        number
    }

    /// Waits until a question is answered or old, but no longer than that.
    async fn answered(&self, number: u64, patience: Duration) {
        self.until(patience, || {
            let session = locked(&self.session);
            session.number() != number || session.answered()
        })
        .await;
    }

    async fn until(&self, patience: Duration, done: impl Fn() -> bool) {
        let wait = async {
            loop {
                let mut rung = std::pin::pin!(self.bell.notified());
                // What rings from here on is heard, whenever it is waited for.
                rung.as_mut().enable();
                if done() {
                    return;
                }
                rung.await;
            }
        };
        // Time being up is no fault.
        let _ = tokio::time::timeout(patience, wait).await;
    }
}

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
    let news = screen.parts.iter().filter(|part| part.2 > from);
    let text: String = news.map(|part| part.1.as_str()).collect();
    drop(screen);
    let mut answer = if text.is_empty() {
        StatusCode::NO_CONTENT.into_response()
    } else {
        html(text)
    };
    answer.headers_mut().insert("x-version", version);
    answer
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

type Fields = BTreeMap<String, String>;

async fn page(Of(shared): Of<Shares>, Query(query): Query<Fields>) -> Response {
    let number = locked(&shared.session).number();
    shared.answered(number, PATIENCE).await;
    let find: String = query
        .get("find")
        .map_or("", String::as_str)
        .chars()
        .take(80)
        .collect();
    let screen = shared.look();
    let all: Vec<view::Part> = screen
        .parts
        .iter()
        .map(|part| (part.0.clone(), part.1.clone()))
        .collect();
    let version = screen.version;
    drop(screen);
    html(view::page(&locked(&shared.session), &all, version, &find))
}

async fn now(Of(shared): Of<Shares>, headers: HeaderMap) -> Response {
    let proving = !locked(&shared.session).answered();
    if proving {
        let number = locked(&shared.session).number();
        shared.answered(number, NEWS).await;
    }
    parts(&shared, &headers)
}

async fn sheet(Of(shared): Of<Shares>) -> Response {
    let last = locked(&shared.session).last().cloned();
    let Some(last) = last else {
        return refused(StatusCode::NOT_FOUND, "There is no week to print.");
    };
    let mut answer = html(report::sheet(&last.told, None));
    let policy = HeaderValue::from_static(SHEET_POLICY);
    answer
        .headers_mut()
        .insert(header::CONTENT_SECURITY_POLICY, policy);
    answer
}

/// A form, or why it is refused.
fn field<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.get(name).map_or("", String::as_str)
}

async fn dial(Of(shared): Of<Shares>, headers: HeaderMap, Form(fields): Form<Fields>) -> Response {
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

async fn word(Of(shared): Of<Shares>, headers: HeaderMap, Form(fields): Form<Fields>) -> Response {
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

async fn lunch(Of(shared): Of<Shares>, headers: HeaderMap, Form(fields): Form<Fields>) -> Response {
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

async fn step(Of(shared): Of<Shares>, headers: HeaderMap, Form(fields): Form<Fields>) -> Response {
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

async fn stop(Of(shared): Of<Shares>, headers: HeaderMap) -> Response {
    let number = shared.obey(Command::Stop);
    after(&shared, &headers, number).await
}

async fn again(Of(shared): Of<Shares>, headers: HeaderMap) -> Response {
    let number = read_again(&shared);
    after(&shared, &headers, number).await
}

fn read_again(shared: &Shared) -> u64 {
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

async fn keep_shown(Of(shared): Of<Shares>) -> Response {
    let kept = kept(&shared);
    keep_page(&shared, kept, false)
}

async fn keep_written(Of(shared): Of<Shares>, Form(fields): Form<Fields>) -> Response {
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
    keep_page(&shared, kept, done)
}

/// Searches whatever is to be searched, for ever.
fn work(shared: &Shared) {
    loop {
        let task = {
            let mut session = locked(&shared.session);
            loop {
                if let Some(task) = session.task() {
                    break task;
                }
                session = shared
                    .wake
                    .wait(session)
                    .unwrap_or_else(PoisonError::into_inner);
            }
        };
        let number = task.number;
        let done = catch_unwind(AssertUnwindSafe(|| run(shared, &task)));
        let fault = match done {
            Ok(Ok(())) => None,
            Ok(Err(fault)) => Some(fault.to_string()),
            Err(_) => Some("the search ended at once; see the terminal".to_owned()),
        };
        if let Some(fault) = fault {
            let mut session = locked(&shared.session);
            session.fail(number, fault);
        }
        shared.bell.notify_waiters();
    }
}

fn run(shared: &Shared, task: &Task) -> Result<(), crate::engine::EngineFault> {
    let Task {
        number,
        what,
        larder,
    } = task;
    let number = *number;
    let threads = shared.host.threads();
    let end = shared.host.now().saturating_add(shared.host.limit());
    let old = || shared.newest.load(Ordering::Acquire) != number || shared.host.now() >= end;
    let put = |put: &mut dyn FnMut(&mut super::session::Idle)| {
        locked(&shared.session).beside(number, |idle| put(idle));
    };
    if !matches!(what, What::Week | What::Others(..)) {
        shared.give_way.store(false, Ordering::Release);
        // It may have been asked for in between.
        let asked = locked(&shared.session).task();
        if matches!(asked, Some(Task { what: What::Others(..), .. })) {
            return Ok(());
        }
    }
    let beside = || old() || shared.give_way.load(Ordering::Acquire);
    match what {
        What::Week => {
            let stop = || old() || shared.stop.load(Ordering::Acquire) == number;
            let progress = |progress: &Progress| {
                let mut session = locked(&shared.session);
                session.progress(number, progress.best_nano, progress.bound_nano);
            };
            let found = found::find(larder, threads, &stop, &progress)?;
            locked(&shared.session).settle(number, Ok(found));
        }
        What::Others(day, last) => {
            let still = || {
                let session = locked(&shared.session);
                session
                    .idle
                    .others
                    .as_ref()
                    .is_some_and(|others| others.day == *day)
            };
            if let Some(week) = &last.solved {
                let mut tell = |name: String, case: tradeoffs::Case| {
                    put(&mut |idle| {
                        if let Some(others) =
                            idle.others.as_mut().filter(|others| others.day == *day)
                        {
                            others.cases.push((name.clone(), case.clone()));
                        }
                    });
                };
                let stop = || old() || !still();
                let most = (threads, OTHER_WORK);
                tradeoffs::instead(&last.larder, week, *day, most, &stop, &mut tell)?;
            }
            put(&mut |idle| {
                if let Some(others) = idle.others.as_mut().filter(|others| others.day == *day) {
                    others.done = true;
                }
            });
        }
        What::Edges(dial) => {
            let Some(limit) = dial.limit() else {
                return Ok(());
            };
            let edges = tradeoffs::edges(larder, limit, threads, &beside)?;
            if !shared.give_way.load(Ordering::Acquire) {
                put(&mut |idle| {
                    idle.edges.insert(*dial, edges.clone());
                });
            }
        }
        What::Eaters => {
            let mut all = Vec::new();
            for portions in 1..=MOST_EATERS {
                let fill = |new: &mut crate::larder::Contents| {
                    new.week.eaters_milli.fill(portions * crate::larder::MILLI);
                };
                let Ok(changed) = larder.changed(fill) else {
                    break;
                };
                let found = found::lunches(&changed, threads, &beside)?;
                let Some(lunches) = found else {
                    break;
                };
                all.push((portions, lunches));
            }
            if !shared.give_way.load(Ordering::Acquire) {
                put(&mut |idle| idle.eaters = Some(all.clone()));
            }
        }
        What::Costs => {
            let plain = locked(&shared.session).plain().clone();
            let ask = Ask {
                sections: &[Section::Foods],
                others: 0,
                margin_minor: None,
                threads,
                stop: &beside,
                progress: None,
            };
            let told = tradeoffs::tradeoffs(larder, &plain, &ask)?;
            if !shared.give_way.load(Ordering::Acquire) {
                let rows = told.foods.unwrap_or_default().into_iter();
                let costs: BTreeMap<String, tradeoffs::Case> =
                    rows.map(|row| (row.food, row.without)).collect();
                put(&mut |idle| idle.costs = Some(costs.clone()));
            }
        }
        What::Frees(all) => {
            let mut free = Vec::new();
            for (name, changed) in all {
                if let Some(Some(_)) = found::lunches(changed, threads, &old)? {
                    free.push(name.clone());
                }
            }
            put(&mut |idle| idle.frees = Some(free.clone()));
        }
        What::Clash => {
            let plain = locked(&shared.session).plain().clone();
            let clash = tradeoffs::conflict(larder, &plain, threads, &old)?;
            put(&mut |idle| idle.clash = Some(clash.clone()));
        }
    }
    Ok(())
}
