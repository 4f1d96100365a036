//! Asks whether the live screen says what the command line says, keeps others out, and takes what
//! changes under it. The truth: `scant list` with the command that the screen shows, byte for byte;
//! the checks written in `live/guard.rs`, asked of the running server over a socket; Chromium and
//! axe-core (`browser/live.mjs`), left out with a note where they are missing unless `SCANT_JUDGES`
//! is `required`. `SCANT_LOOK=FOLDER` keeps pictures.

// What was left out is the test's report.
#![allow(clippy::print_stderr)]

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use scant::engine::{Limits, NearWeeks, Outcome};
use scant::larder::Larder;
use scant::live::asking::{Change, DIALS, Dial, Word, day_word};
use scant::live::found;
use scant::live::session::{Command as Ask, Session, State, What};
use scant::tradeoffs::walk;
use scant::{kitchen, report};

/// A method, headers and the status that answers them.
type Row<'a> = (&'a str, Vec<(&'a str, &'a str)>, u16);

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard")
}

fn larder(dir: &Path) -> Larder {
    kitchen::read_dir(dir).larder.unwrap()
}

/// A small kitchen of the demo's kind, in a folder of its own.
fn small() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let text = r#"kitchen: two boats
currency: USD
week:
  lunches: 2
  carry_day: 5
  eaters: 2   # two of us
foods:
  - food: rice
    table: "20036"
    packs: [{ pack: 500 g bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]
  - food: chickpeas
    table: "16359"
    packs: [{ pack: 250 g tin, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }]
  - food: carrots
    table: "11124"
    packs: [{ pack: 500 g bag, size: 500 g, price: 0.90, keeps: 20, open_keeps: 10 }]
recipes:
  - recipe: rice and chickpeas
    form: bowl
    minutes: 5
    lines: [{ food: rice, amount: 100 g }, { food: chickpeas, amount: 125 g }]
  - recipe: chickpeas and carrots
    form: salad
    minutes: 8
    lines: [{ food: chickpeas, amount: 120 g }, { food: carrots, amount: 80 g }]
  - recipe: rice and carrots
    form: bowl
    minutes: 6
    lines: [{ food: rice, amount: 90 g }, { food: carrots, amount: 100 g }]
rules:
  cap: 3     # no more
  repeats: 1
"#;
    fs::write(folder.path().join("kitchen.yaml"), text).unwrap();
    folder
}

fn never() -> bool {
    false
}

/// Answers the present question as the server does, unless it was answered at once.
fn answer(session: &mut Session) {
    if session.answered() {
        return;
    }
    let task = session.task().unwrap();
    let What::Week(near) = &task.what else {
        panic!("{:?}", task.what);
    };
    let found = found::find(&task.larder, near.as_deref(), 1, &never, &|_| {});
    assert!(session.settle(task.number, found.map_err(|fault| fault.to_string())));
}

/// What is worked out ahead.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ahead {
    All,
    List,
    Walk,
}

/// Does what makes the next answers come sooner, as the server does while nobody asks anything.
fn look_ahead(session: &mut Session, wanted: Ahead) {
    let limits = Limits {
        threads: 1,
        stop: &never,
        progress: None,
    };
    let all = wanted == Ahead::All;
    while let Some(task) = session.task() {
        let number = task.number;
        match &task.what {
            What::List(below) => {
                let list = || NearWeeks::list(&task.larder, *below, 100_000_000, &limits).unwrap();
                let near = (all || wanted == Ahead::List).then(list).flatten();
                session.listed(number, near);
            }
            What::Ahead(portions, larder) => {
                if all {
                    let found = found::find(larder, None, 1, &never, &|_| {}).unwrap();
                    session.ahead(number, *portions, &found);
                } else {
                    session.beside(number, |idle| idle.ahead.push(*portions));
                }
            }
            What::Edges(dial, begun, asked) => {
                let mut edges = begun.edges.clone();
                if all || wanted == Ahead::Walk && *dial == Dial::Foods {
                    let limit = dial.limit().unwrap();
                    let walk = walk(&task.larder, limit, 1, begun.clone(), &never).unwrap();
                    session.walked(task.readings, (*dial, asked), walk.clone());
                    edges = walk.edges;
                }
                session.beside(number, |idle| {
                    idle.edges.insert(*dial, edges);
                });
            }
            _ => break,
        }
    }
}

/// Numbers that look drawn (xorshift; G. Marsaglia, Xorshift RNGs, 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % below as u64) as usize
    }

    /// A lunch or a food of the week shown is left out.
    fn leave(&mut self, session: &Session) -> Ask {
        let week = session.last().unwrap().told.week.as_ref().unwrap();
        let name = if self.roll(2) == 0 {
            &week.lunches[self.roll(week.lunches.len())].recipe
        } else {
            &week.purchases[self.roll(week.purchases.len())].food
        };
        Ask::Change(Change::Word(name.clone(), Some(Word::Leave)))
    }

    fn command(&mut self, session: &Session) -> Ask {
        let plain = session.plain();
        let recipe = |dice: &mut Self| {
            // A lunch of the week shown more often than any other.
            let shown = session.last().and_then(|last| last.told.week.as_ref());
            match shown {
                Some(week) if dice.roll(3) > 0 => {
                    week.lunches[dice.roll(week.lunches.len())].recipe.clone()
                }
                _ => plain.recipes[dice.roll(plain.recipes.len())].name.clone(),
            }
        };
        let day = |dice: &mut Self| day_word(plain, (1 + dice.roll(plain.lunch_count())) as u8);
        Ask::Change(match self.roll(13) {
            0 => Change::Dial(Dial::Foods, Some(8 + self.roll(5) as i64)),
            1 => Change::Dial(Dial::Budget, Some(2_000 + 50 * self.roll(40) as i64)),
            2 => Change::Dial(
                Dial::Eaters,
                Some([1_000, 2_000, 2_500, 3_000][self.roll(4)]),
            ),
            3 => Change::Dial(Dial::PrepMinutes, Some(40 + 10 * self.roll(8) as i64)),
            4 => Change::Dial(Dial::DayMinutes, Some(12 + 4 * self.roll(8) as i64)),
            5 => Change::Dial(DIALS[self.roll(DIALS.len())], None),
            12 => Change::Dial(Dial::KitchenMinutes, Some(60 + 10 * self.roll(10) as i64)),
            6 => Change::Word(
                plain.foods[self.roll(plain.foods.len())].name.clone(),
                Some(Word::Leave),
            ),
            7 => Change::Word(recipe(self), Some(Word::Have(Some(day(self))))),
            8 => Change::Word(recipe(self), Some(Word::Have(None))),
            9 => Change::Word(recipe(self), Some(Word::Leave)),
            10 => return Ask::Undo,
            _ => return Ask::Back(0),
        })
    }
}

/// Two hundred sequences of one to four changes (fewer where the engine is not optimised), each begun
/// with the kitchen as it is; the answer to the last change of each against `scant list` with the
/// options shown, those before it asked and answered or overtaken, as the dice have it.
#[test]
fn the_command_shown_gives_the_same_week() {
    let dir = demo();
    let mut session = Session::new(larder(&dir));
    answer(&mut session);
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let (mut weeks, mut none) = (0, 0);
    let turns = if cfg!(debug_assertions) { 25 } else { 200 };
    for turn in 0..turns {
        session.obey(Ask::Back(0));
        let mut commands = Vec::new();
        for _ in 0..=dice.roll(4) {
            if dice.roll(2) == 0 {
                answer(&mut session);
                // As for a cook who waits a while before the next change.
                if dice.roll(3) == 0 {
                    let wanted = [Ahead::List, Ahead::List, Ahead::Walk, Ahead::All];
                    let wanted = wanted[dice.roll(4)];
                    look_ahead(&mut session, wanted);
                }
            }
            let command = dice.command(&session);
            session.obey(command.clone());
            commands.push(command);
        }
        answer(&mut session);
        let State::Answered { verdict, .. } = session.state() else {
            panic!("{turn}: {commands:?}");
        };
        let run = listed(&dir, &session);
        let said = String::from_utf8(run.stdout).unwrap();
        if session.is_present() {
            weeks += 1;
            let told = &session.last().unwrap().told;
            assert_eq!(run.status.code(), Some(0), "{turn}: {commands:?}");
            assert_eq!(said, report::list(told), "{turn}: {commands:?}");
        } else {
            none += 1;
            assert_eq!(
                run.status.code(),
                Some(1),
                "{turn}: {commands:?} {verdict:?}"
            );
        }
    }
    assert!(
        weeks > turns / 4 && none >= turns / 40,
        "{weeks} weeks, {none} without"
    );
}

/// Answers that come from what is kept, those known already, those out of a list of near weeks and those
/// whose lunches a walk down a limit has found, against a search of the same question that begins with nothing: the whole plan, what is done when,
/// and the sums.
#[test]
fn what_is_kept_answers_as_a_search_does() {
    let mut session = Session::new(larder(&demo()));
    let mut dice = Dice(0x2545_f491_4f6c_dd1d);
    let (mut known, mut listed, mut walked, mut none) = (0, 0, 0, 0);
    let turns = if cfg!(debug_assertions) { 15 } else { 50 };
    for turn in 0..turns {
        answer(&mut session);
        let (command, wanted) = match dice.roll(8) {
            0 => (Ask::Back(0), Ahead::List),
            1 | 2 => {
                let foods = 9 + dice.roll(4) as i64;
                let change = Change::Dial(Dial::Foods, Some(foods));
                (Ask::Change(change), Ahead::Walk)
            }
            3 | 4 if session.is_present() => (dice.leave(&session), Ahead::List),
            _ => (dice.command(&session), Ahead::List),
        };
        look_ahead(&mut session, wanted);
        session.obey(command.clone());
        let task = session.task();
        if session.answered() {
            known += 1;
        } else if let Some(What::Week(Some(near))) = task.map(|task| task.what) {
            match near.len() {
                1 => walked += 1,
                _ => listed += 1,
            }
        }
        answer(&mut session);
        let fresh = found::find(&session.larder().clone(), None, 1, &never, &|_| {}).unwrap();
        let State::Answered { verdict, .. } = session.state() else {
            panic!("{turn}: {command:?}");
        };
        assert_eq!(*verdict, fresh.told.verdict, "{turn}: {command:?}");
        let Some(solved) = &fresh.solved else {
            none += 1;
            continue;
        };
        let shown = session.last().unwrap();
        let week = shown.solved.as_ref().unwrap();
        assert_eq!(week.plan, solved.plan, "{turn}: {command:?}");
        assert_eq!(week.tally, solved.tally, "{turn}: {command:?}");
        let prep = |found: &found::Found| format!("{:?}", found.told.prep);
        assert_eq!(prep(shown), prep(&fresh), "{turn}: {command:?}");
    }
    assert!(
        known >= turns / 10 && listed >= turns / 10 && walked >= turns / 10,
        "{known} known, {listed} listed, {walked} walked, {none} without, of {turns}"
    );
}

/// `scant list` with what a session asks.
fn listed(dir: &Path, session: &Session) -> std::process::Output {
    let options = session.asking().options(session.plain()).into_iter();
    let options = options.flat_map(|(option, value)| [option.to_owned(), value]);
    Command::new(env!("CARGO_BIN_EXE_scant"))
        .arg("list")
        .arg(dir)
        .args(options)
        .output()
        .unwrap()
}

/// An answer to an older question changes nothing, whenever it comes.
#[test]
fn a_late_answer_is_dropped() {
    let folder = small();
    let mut session = Session::new(larder(folder.path()));
    answer(&mut session);
    let first = session.last().unwrap().told.clone();
    session.obey(Ask::Change(Change::Dial(Dial::Eaters, Some(1_000))));
    let (old, old_larder) = (session.number(), session.larder().clone());
    session.obey(Ask::Change(Change::Dial(Dial::Eaters, Some(3_000))));
    let late = found::find(&old_larder, None, 1, &never, &|_| {}).unwrap();
    assert!(!session.settle(old, Ok(late.clone())));
    assert!(!session.answered());
    answer(&mut session);
    let now = session.last().unwrap().told.clone();
    assert!(!session.settle(old, Ok(late)));
    assert_ne!(report::list(&now), report::list(&first));
    assert_eq!(
        report::list(&now),
        report::list(&session.last().unwrap().told)
    );
    // What was found ahead for another question is not kept either: asked, it is searched for.
    session.obey(Ask::Change(Change::Dial(Dial::Eaters, Some(2_500))));
    session.obey(Ask::Change(Change::Dial(Dial::Eaters, Some(4_000))));
    assert!(!session.answered());
    answer(&mut session);
    // What was answered once is there at once, and is the same.
    session.obey(Ask::Change(Change::Dial(Dial::Eaters, Some(3_000))));
    assert!(session.answered());
    assert_eq!(
        report::list(&now),
        report::list(&session.last().unwrap().told)
    );
    // What was worked out for another question is not kept either.
    session.beside(old, |idle| idle.frees = Some(vec!["rice".to_owned()]));
    assert!(session.idle.frees.is_none());
}

#[test]
fn steps_are_undone_and_made_again() {
    let folder = small();
    let mut session = Session::new(larder(folder.path()));
    session.obey(Ask::Change(Change::Dial(Dial::Budget, Some(900))));
    session.obey(Ask::Change(Change::Dial(Dial::Budget, Some(700))));
    session.obey(Ask::Change(Change::Word(
        "rice".to_owned(),
        Some(Word::Leave),
    )));
    let said: Vec<&str> = session
        .steps()
        .0
        .iter()
        .map(|step| step.said.as_str())
        .collect();
    assert_eq!(
        said[1..],
        [
            "budget no limit to 9.00",
            "budget 9.00 to 7.00",
            "rice left out"
        ]
    );
    let line = |session: &Session| session.asking().command(None, session.plain());
    assert_eq!(line(&session), "scant week --budget 7.00 --without rice");
    session.obey(Ask::Undo);
    session.obey(Ask::Undo);
    assert_eq!(line(&session), "scant week --budget 9.00");
    session.obey(Ask::Redo);
    assert_eq!(line(&session), "scant week --budget 7.00");
    session.obey(Ask::Change(Change::Word(
        "rice and carrots".to_owned(),
        Some(Word::Have(Some("Monday".to_owned()))),
    )));
    assert_eq!(
        line(&session),
        "scant week --budget 7.00 --with 'rice and carrots on Monday'"
    );
    assert!(!session.obey(Ask::Redo), "another way was taken");
    session.obey(Ask::Back(0));
    assert_eq!(line(&session), "scant week");
    // A name that a shell would read is quoted.
    let asking = session
        .asking()
        .with(&Change::Word("it's $HOME".to_owned(), Some(Word::Leave)));
    assert_eq!(
        asking.command(Some("my boat"), session.plain()),
        "scant week 'my boat' --without 'it'\\''s $HOME'"
    );
}

/// Where a limit matters, against every value of it, solved one by one.
#[test]
fn edges_are_where_the_week_changes() {
    use scant::tradeoffs::{Limit, edges, set_limit, taken_of};
    let folder = small();
    let larder = larder(folder.path());
    for (limit, top) in [
        (Limit::Foods, 5),
        (Limit::Bill, 1_200),
        (Limit::DayMinutes, 12),
        (Limit::PrepMinutes, 3),
        (Limit::KitchenMinutes, 12),
    ] {
        let found = edges(&larder, limit, 1, &never).unwrap();
        let mut changes = Vec::new();
        let mut before = None;
        let mut least = None;
        for most in (0..=top).rev() {
            let changed = larder
                .changed(|new| set_limit(new, limit, Some(most)))
                .unwrap();
            let limits = scant::engine::Limits {
                threads: 1,
                stop: &never,
                progress: None,
            };
            let (outcome, _) = scant::engine::solve(&changed, &limits).unwrap();
            match &outcome {
                Outcome::Best(week) => {
                    least = Some(most);
                    let taken = taken_of(&changed, limit, week);
                    let told = format!("{:?}", week.plan);
                    if before
                        .as_ref()
                        .is_none_or(|(_, old): &(i64, String)| *old != told)
                    {
                        changes.push(taken);
                    }
                    before = Some((taken, told));
                }
                Outcome::Impossible => {}
                _ => panic!("unsettled"),
            }
        }
        assert!(found.all, "{limit:?}");
        assert_eq!(found.least, least, "{limit:?}");
        assert_eq!(found.changes, changes, "{limit:?}");
    }
}

/// A server of one test; it ends with it.
struct Server {
    child: Child,
    port: u16,
    token: String,
    cookie: String,
}

impl Server {
    fn start(dir: Option<&Path>, more: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_scant"))
            .arg("live")
            .args(dir)
            .args(more)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let rest = line.trim().strip_prefix("http://127.0.0.1:").unwrap();
        let (port, token) = rest.split_once("/?token=").unwrap();
        let mut server = Self {
            child,
            port: port.parse().unwrap(),
            token: token.to_owned(),
            cookie: String::new(),
        };
        assert_eq!(server.token.len(), 32);
        let path = format!("/?token={}", server.token);
        let first = server.raw("GET", &path, &[("Host", server.host().as_str())], "");
        assert_eq!(first.status, 303, "{}", first.text);
        let set = first.header("set-cookie");
        assert!(
            set.ends_with("; Path=/; HttpOnly; SameSite=Strict"),
            "{set}"
        );
        let cookie = set.split(';').next().unwrap();
        cookie.clone_into(&mut server.cookie);
        server
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// Sends a request as it is.
    fn raw(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        let mut text = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        for (name, value) in headers {
            for part in [*name, ": ", *value, "\r\n"] {
                text.push_str(part);
            }
        }
        text.push_str("\r\n");
        text.push_str(body);
        stream.write_all(text.as_bytes()).unwrap();
        let mut said = Vec::new();
        // A body that is not read ends the connection early: what was said before counts.
        let _ = stream.read_to_end(&mut said);
        Answer::read(&String::from_utf8_lossy(&said))
    }

    /// Sends a request as the page does.
    fn own(&self, method: &str, path: &str, body: &str) -> Answer {
        self.own_seen(method, path, body, "0")
    }

    /// The same of a page that has seen a version.
    fn own_seen(&self, method: &str, path: &str, body: &str, seen: &str) -> Answer {
        let (host, length) = (self.host(), body.len().to_string());
        let origin = format!("http://{host}");
        let mut headers = vec![
            ("Host", host.as_str()),
            ("Cookie", self.cookie.as_str()),
            ("HX-Request", "true"),
            ("X-Seen", seen),
            ("Sec-Fetch-Site", "same-origin"),
        ];
        if method == "POST" {
            headers.push(("Origin", origin.as_str()));
            headers.push(("Content-Type", "application/x-www-form-urlencoded"));
            headers.push(("Content-Length", length.as_str()));
        }
        self.raw(method, path, &headers, body)
    }

    /// The page once its question is answered.
    fn settled(&self) -> String {
        let start = Instant::now();
        loop {
            let page = self.own("GET", "/", "").text;
            if !page.contains("class=\"top proving\"") {
                return page;
            }
            assert!(start.elapsed() < Duration::from_secs(120), "{page}");
            std::thread::sleep(Duration::from_millis(100));
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

struct Answer {
    status: u16,
    head: String,
    text: String,
}

impl Answer {
    fn read(said: &str) -> Self {
        let (head, text) = said.split_once("\r\n\r\n").unwrap_or((said, ""));
        let status = head
            .split(' ')
            .nth(1)
            .and_then(|code| code.parse().ok())
            .unwrap_or(0);
        Self {
            status,
            head: head.to_owned(),
            text: text.to_owned(),
        }
    }

    fn header(&self, name: &str) -> String {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(": "));
        let found = lines.find(|(key, _)| key.eq_ignore_ascii_case(name));
        found.map_or(String::new(), |(_, value)| value.to_owned())
    }
}

#[test]
fn others_are_kept_out() {
    let folder = small();
    let server = Server::start(Some(folder.path()), &[]);
    let (host, cookie) = (server.host(), server.cookie.clone());
    let origin = format!("http://{host}");
    let (host, cookie, origin) = (host.as_str(), cookie.as_str(), origin.as_str());
    let good = [("Host", host), ("Cookie", cookie)];
    assert_eq!(server.raw("GET", "/", &good, "").status, 200);
    // The token was used.
    let again = format!("/?token={}", server.token);
    assert_eq!(server.raw("GET", &again, &[("Host", host)], "").status, 403);
    let rows: [Row; 9] = [
        ("GET", vec![("Host", host)], 403),
        ("GET", vec![("Host", host), ("Cookie", "scant=1")], 403),
        (
            "GET",
            vec![("Host", "boat.example"), ("Cookie", cookie)],
            403,
        ),
        (
            "GET",
            vec![
                ("Host", host),
                ("Cookie", cookie),
                ("Sec-Fetch-Site", "cross-site"),
            ],
            403,
        ),
        (
            "GET",
            vec![
                ("Host", host),
                ("Cookie", cookie),
                ("Origin", "http://boat.example"),
            ],
            403,
        ),
        ("POST", vec![("Host", host), ("Cookie", cookie)], 403),
        (
            "POST",
            vec![("Host", host), ("Cookie", cookie), ("Origin", "null")],
            403,
        ),
        (
            "DELETE",
            vec![("Host", host), ("Cookie", cookie), ("Origin", origin)],
            405,
        ),
        (
            "POST",
            vec![
                ("Host", host),
                ("Cookie", cookie),
                ("Origin", origin),
                ("Content-Length", "20000"),
            ],
            413,
        ),
    ];
    for (method, headers, status) in rows {
        let answer = server.raw(method, "/dial", &headers, "");
        let path = if method == "GET" {
            server.raw("GET", "/", &headers, "")
        } else {
            answer
        };
        assert_eq!(path.status, status, "{method} {headers:?}");
        assert!(!path.text.contains("two boats"));
    }
    // A body without a length that says less than it is.
    let long = format!("1{}", "0".repeat(20_000));
    let chunked = [
        ("Host", host),
        ("Cookie", cookie),
        ("Origin", origin),
        ("Content-Type", "application/x-www-form-urlencoded"),
        ("Transfer-Encoding", "chunked"),
    ];
    let body = format!("{:x}\r\n{long}\r\n0\r\n\r\n", long.len());
    assert_eq!(server.raw("POST", "/dial", &chunked, &body).status, 413);
    // What is asked for and is not there.
    for (path, body, status) in [
        ("/dial", "dial=moon&value=3", 400),
        ("/word", "name=moon&word=leave", 400),
        ("/word", "name=rice&word=eat", 400),
        ("/lunch", "name=rice+and+carrots&day=9&do=here", 400),
        ("/step", "to=-1", 400),
        ("/nothing", "", 404),
    ] {
        assert_eq!(
            server.own("POST", path, body).status,
            status,
            "{path} {body}"
        );
    }
    let page = server.own("GET", "/", "");
    let policy = page.header("content-security-policy");
    assert!(
        policy.starts_with("default-src 'none'; script-src 'self'"),
        "{policy}"
    );
    assert!(!policy.contains("unsafe"));
    assert_eq!(page.header("cache-control"), "no-store");
    assert_eq!(page.header("x-frame-options"), "DENY");
    assert_eq!(server.own("GET", "/sheet", "").status, 200);
}

#[test]
fn a_form_changes_the_week_and_parts_come_once() {
    let folder = small();
    let server = Server::start(Some(folder.path()), &["--threads", "1"]);
    let page = server.settled();
    assert!(page.contains("Proved"), "{page}");
    let answer = server.own("POST", "/word", "name=rice&word=leave");
    assert_eq!(answer.status, 200);
    let page = server.settled();
    assert!(page.contains("--without rice"), "{page}");
    // Only one other week is left without rice: none, of two different lunches.
    assert!(page.contains("Impossible"), "{page}");
    assert!(page.contains("The last week that was found"));
    server.own("POST", "/step", "to=undo");
    let page = server.settled();
    assert!(page.contains("Proved") && !page.contains("--without rice"));
    // A bad number is told and changes nothing.
    let answer = server.own("POST", "/dial", "dial=budget&value=many");
    assert!(
        answer.text.contains("write a number with at most 2 digits"),
        "{}",
        answer.text
    );
    // Without script the same form leads back to the page.
    let (host, length) = (server.host(), "dial=foods&value=3".len().to_string());
    let origin = format!("http://{host}");
    let headers = [
        ("Host", host.as_str()),
        ("Cookie", server.cookie.as_str()),
        ("Origin", origin.as_str()),
        ("Content-Type", "application/x-www-form-urlencoded"),
        ("Content-Length", length.as_str()),
    ];
    let plain = server.raw("POST", "/dial", &headers, "dial=foods&value=3");
    assert_eq!(
        (plain.status, plain.header("location")),
        (303, "/".to_owned())
    );
    assert!(server.settled().contains("--cap 3"));
}

/// An answer has the rows of the foods that differ and no other; a page that has seen nothing, or
/// the foods of other files, gets the list whole and no row twice.
#[test]
fn of_the_foods_only_those_that_differ_are_sent() {
    let folder = small();
    let file = folder.path().join("kitchen.yaml");
    let server = Server::start(Some(folder.path()), &["--threads", "1"]);
    server.settled();
    // Until nothing more is worked out beside.
    let mut seen = server.own("GET", "/now", "").header("x-version");
    let start = Instant::now();
    loop {
        std::thread::sleep(Duration::from_millis(300));
        let now = server
            .own_seen("GET", "/now", "", &seen)
            .header("x-version");
        if now == seen || start.elapsed() > Duration::from_secs(60) {
            break;
        }
        seen = now;
    }
    let rows = |text: &str| -> Vec<usize> {
        let count = |id: usize| text.matches(&format!("<form id=\"food-{id}\"")).count();
        (0..4).map(count).collect()
    };
    let all = server.own_seen("GET", "/now", "", "0").text;
    assert_eq!(
        (rows(&all), all.matches("id=\"foods\"").count()),
        (vec![1, 1, 1, 0], 1)
    );
    // Carrots are in the best week or not; nothing is said of chickpeas, which every week has.
    let answer = server.own_seen("POST", "/word", "name=chickpeas&word=have", &seen);
    assert_eq!(rows(&answer.text), [0, 1, 0, 0], "{}", answer.text);
    assert!(!answer.text.contains("id=\"foods\""), "{}", answer.text);
    // One food more in the files.
    let text = fs::read_to_string(&file).unwrap();
    let more = "  - food: barley\n    table: \"20005\"\n    packs: [{ pack: bag, size: 500 g, price: 1.10, keeps: 300, open_keeps: 300 }]\nrecipes:";
    fs::write(&file, text.replace("recipes:", more)).unwrap();
    let seen = answer.header("x-version");
    let answer = server.own_seen("POST", "/again", "", &seen);
    assert_eq!(rows(&answer.text), [1, 1, 1, 1], "{}", answer.text);
    assert_eq!(answer.text.matches("id=\"foods\"").count(), 1);
}

#[test]
fn rules_are_kept_whole_or_not_at_all() {
    let folder = small();
    let file = folder.path().join("kitchen.yaml");
    let server = Server::start(Some(folder.path()), &["--threads", "1"]);
    server.settled();
    let before = fs::read_to_string(&file).unwrap();
    assert!(
        server
            .own("GET", "/keep", "")
            .text
            .contains("Nothing was asked")
    );
    server.own("POST", "/dial", "dial=foods&value=2");
    server.own("POST", "/dial", "dial=eaters&value=1.5");
    server.own("POST", "/dial", "dial=kitchen&value=40");
    server.own("POST", "/lunch", "name=rice+and+carrots&day=2&do=here");
    server.settled();
    let shown = server.own("GET", "/keep", "").text;
    for line in [
        "cap: 2     # no more",
        "eaters: 1.5   # two of us",
        "kitchen_minutes: { Sunday: 40, Monday: 40, Tuesday: 40 }",
        "with: [",
    ] {
        assert!(shown.contains(line), "{line} {shown}");
    }
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        before,
        "nothing is written by looking"
    );
    let stamp = shown
        .split("name=\"stamp\" value=\"")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    // Files that changed since are not written over.
    assert!(
        server
            .own("POST", "/keep", "stamp=1")
            .text
            .contains("Nothing is written")
    );
    assert_eq!(fs::read_to_string(&file).unwrap(), before);
    let done = server.own("POST", "/keep", &format!("stamp={stamp}")).text;
    assert!(done.contains("<b>Written</b>"), "{done}");
    let after = fs::read_to_string(&file).unwrap();
    let wanted = before
        .replace(
            "cap: 3     # no more\n  repeats: 1\n",
            "cap: 2     # no more\n  repeats: 1\n  kitchen_minutes: { Sunday: 40, Monday: 40, Tuesday: 40 }\n  with: [{ name: \"rice and carrots\", day: \"Tuesday\" }]\n",
        )
        .replace("eaters: 2   #", "eaters: 1.5   #");
    assert_eq!(after, wanted);
    let page = server.settled();
    assert!(
        page.contains(">scant week") && !page.contains("--cap"),
        "{page}"
    );
}

#[test]
fn files_that_change_underneath_are_told() {
    let folder = small();
    let file = folder.path().join("kitchen.yaml");
    let server = Server::start(Some(folder.path()), &["--threads", "1"]);
    server.settled();
    let text = fs::read_to_string(&file).unwrap();
    std::thread::sleep(Duration::from_millis(1_100));
    fs::write(&file, text.replace("price: 1.20", "price: 1.70")).unwrap();
    std::thread::sleep(Duration::from_millis(1_100));
    let page = server.settled();
    assert!(page.contains("class=\"top stale\""), "{page}");
    server.own("POST", "/again", "");
    assert!(!server.settled().contains("class=\"top stale\""));
    // Files that cannot be read are told, and the week stays.
    fs::write(&file, "recipes: [").unwrap();
    std::thread::sleep(Duration::from_millis(1_100));
    assert!(server.settled().contains("class=\"top stale\""));
    let told = server.own("POST", "/again", "").text;
    assert!(told.contains("kitchen.yaml"), "{told}");
    assert!(server.settled().contains("class=\"top stale\""));
}

/// Five changes while a search runs that ends in no test's time (a covering problem of Fulkerson,
/// Nemhauser and Trotter, 1974, as a kitchen), from five pages at once, the last of them one whose
/// answer is quick: it alone is answered, and the searches before it were ended for it.
#[test]
fn of_five_changes_while_a_search_runs_the_last_is_answered() {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published/steiner-45-few");
    let server = Server::start(Some(&dir), &["--limit", "600"]);
    assert!(server.own("GET", "/", "").text.contains("top proving"));
    std::thread::scope(|scope| {
        for (turn, budget) in ["45", "44", "43", "42", "1"].into_iter().enumerate() {
            let server = &server;
            scope.spawn(move || {
                std::thread::sleep(Duration::from_millis(500 * turn as u64));
                let body = format!("dial=budget&value={budget}.00");
                assert_eq!(server.own("POST", "/dial", &body).status, 200);
            });
        }
    });
    let page = server.settled();
    assert!(page.contains("--budget 1.00"), "{page}");
    // Fewer points than 45 lines need: foods cost one each.
    assert!(page.contains("proved: no week keeps all of this"), "{page}");
    assert!(page.contains("No week was found so far."), "{page}");
    for said in ["no limit to 45.00", "45.00 to 44.00", "42.00 to 1.00"] {
        assert!(page.contains(&format!("budget {said}")), "{said}: {page}");
    }
    // Stopped, a question that is not answered keeps what was found, and says that nothing is proved.
    server.own("POST", "/step", "to=0");
    std::thread::sleep(Duration::from_secs(2));
    server.own("POST", "/stop", "");
    let page = server.settled();
    assert!(
        page.contains("Not proved") || page.contains("No answer"),
        "{page}"
    );
}

/// A server that is killed and started again: a new address, and the old cookie opens nothing.
#[test]
fn a_server_started_again_knows_no_page_of_before() {
    let folder = small();
    let mut first = Server::start(Some(folder.path()), &[]);
    first.own("POST", "/dial", "dial=eaters&value=1");
    first.child.kill().unwrap();
    first.child.wait().unwrap();
    assert!(TcpStream::connect(("127.0.0.1", first.port)).is_err());
    let second = Server::start(Some(folder.path()), &[]);
    let host = second.host();
    for cookie in [
        first.cookie.clone(),
        first
            .cookie
            .replace(&first.port.to_string(), &second.port.to_string()),
    ] {
        let headers = [("Host", host.as_str()), ("Cookie", cookie.as_str())];
        assert_eq!(second.raw("GET", "/", &headers, "").status, 403);
    }
    // Nothing of what was asked before is kept.
    assert!(!second.settled().contains("--eaters"));
}

/// What the browser saw; `None` where one of the judges is missing.
fn looked_at(kitchen: &str, name: &str) -> Option<serde_json::Value> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let modules = std::env::var("SCANT_NODE").map_or(root.join(".node"), PathBuf::from);
    let chromium = std::env::var("SCANT_CHROMIUM").unwrap_or("/usr/bin/chromium".to_owned());
    let node = Command::new("node").arg("--version").output();
    let there = node.is_ok_and(|run| run.status.success())
        && modules.join("node_modules/playwright-core").exists()
        && Path::new(&chromium).exists();
    if !there {
        let required = std::env::var("SCANT_JUDGES").is_ok_and(|word| word == "required");
        assert!(!required, "no browser or none of its packages is installed");
        eprintln!("no browser installed: {name} not looked at (tests/run installs it)");
        return None;
    }
    let mut look = Command::new("node");
    look.arg(root.join("tests/browser/live.mjs"));
    look.arg(modules)
        .arg(env!("CARGO_BIN_EXE_scant"))
        .arg(kitchen);
    if let Some(folder) = std::env::var_os("SCANT_LOOK") {
        let folder = Path::new(&folder).join(name);
        fs::create_dir_all(&folder).unwrap();
        look.arg(folder);
    }
    let run = look.env("SCANT_CHROMIUM", chromium).output().unwrap();
    let fault = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{name}: {fault}");
    Some(serde_json::from_slice(&run.stdout).unwrap())
}

#[test]
fn the_screen_of_the_demo_is_used_by_mouse_and_keyboard() {
    let Some(found) = looked_at("-", "live-demo") else {
        return;
    };
    assert!(found["error"].is_null(), "{found:#}");
    for what in ["outside", "console"] {
        let all = found[what].as_array().unwrap();
        let ours: Vec<_> = all
            .iter()
            .filter(|said| !said.as_str().unwrap().contains("ERR_CONNECTION_REFUSED"))
            .filter(|said| !said.as_str().unwrap().contains("htmx:sendError"))
            .filter(|said| !said.as_str().unwrap().contains("htmx:afterRequest"))
            .collect();
        assert!(ours.is_empty(), "{what}: {ours:#?}");
    }
    for view in found["views"].as_array().unwrap() {
        assert!(
            view["violations"].as_array().unwrap().is_empty(),
            "{view:#}"
        );
        assert_eq!(view["wide"], 0, "{view:#}");
        assert!(view["twice"].as_array().unwrap().is_empty(), "{view:#}");
    }
    let steps = &found["steps"];
    let said = |step: &str, part: &str| steps[step][part].as_str().unwrap_or_default().to_owned();
    assert_eq!(
        steps["address"], "/",
        "the token does not stay in the address"
    );
    assert!(said("first", "top").contains("Proved"));
    assert_eq!(said("foods", "line"), "scant week --cap 12");
    assert_eq!(said("slider", "line"), "scant week --cap 11");
    assert_eq!(said("slider", "focus"), "slide-foods");
    assert!(
        steps["spoken"].as_str().unwrap().starts_with("Proved. "),
        "{}",
        steps["spoken"]
    );
    assert_eq!(said("undone", "line"), "scant week");
    assert_eq!(said("undone", "focus"), "undo");
    assert_eq!(steps["redone"], "scant week --cap 12");
    assert!(said("not", "line").contains("--without "));
    assert_eq!(said("not", "focus"), "not-1");
    assert!(said("keep", "line").contains(" on Tuesday'"));
    assert_eq!(said("keep", "focus"), "keep-2");
    assert!(steps["move"].as_str().unwrap().contains(" on Monday'"));
    assert!(steps["took"].as_str().unwrap().contains(" on Tuesday'"));
    for list in [
        "costs_listed",
        "left_listed",
        "undone_listed",
        "back_listed",
    ] {
        let (here, fresh) = (&steps[list]["here"], &steps[list]["fresh"]);
        assert!(here.as_array().unwrap().len() > 50);
        assert_eq!(here, fresh, "{list}");
    }
    let rows = steps["costs_listed"]["here"].to_string();
    assert!(rows.contains("leaving it out costs "), "{rows}");
    assert!(said("impossible", "top").contains("Impossible"));
    assert!(said("impossible", "dial").contains("Nearest that works"));
    assert_eq!(said("impossible", "week"), "The last week that was found");
    assert!(said("near", "top").contains("Proved"));
    assert_eq!(steps["tabs"]["one"], steps["tabs"]["other"]);
    assert!(
        steps["small"].as_array().unwrap().is_empty(),
        "{:#}",
        steps["small"]
    );
    assert!(steps["gone"].as_str().unwrap().contains("Stale"));
    assert!(steps["again"].as_str().unwrap().contains("Proved"));
    // Without script the form leads back to the page, which is readable without sticking out.
    assert_eq!(said("plain", "line"), "scant week --cap 12");
    assert_eq!(steps["plain"]["wide"], 0);
    assert_eq!(
        said("plain", "word"),
        "scant week --cap 12 --without 'firm tofu'"
    );
    // What scrolls by itself is reached by keys.
    let scrolls = steps["scrolls"].as_array().unwrap();
    assert!(scrolls.is_empty(), "{scrolls:#?}");
}

/// Names that try to break out, on every part of the screen and in every answer.
#[test]
fn hostile_names_stand_on_the_screen_as_they_are_written() {
    let folder = hostile();
    let Some(found) = looked_at(folder.path().to_str().unwrap(), "live-hostile") else {
        return;
    };
    assert!(found["error"].is_null(), "{found:#}");
    for what in ["outside", "console", "dialogs"] {
        let all = found[what].as_array().unwrap();
        assert!(all.is_empty(), "{what}: {all:#?}");
    }
    for view in found["views"].as_array().unwrap() {
        let violations = view["violations"].as_array().unwrap();
        assert!(violations.is_empty(), "{view:#}");
        assert_eq!(view["wide"], 0, "{view:#}");
        assert!(view["twice"].as_array().unwrap().is_empty(), "{view:#}");
    }
    let foods: Vec<&str> = found["foods"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(serde_json::Value::as_str)
        .collect();
    for name in [MARKUP, HEBREW, EMOJI] {
        assert!(foods.contains(&name), "{name}: {foods:?}");
    }
    // The command names the food as a shell reads it: asked again, it is the same question.
    let line = found["line"].as_str().unwrap();
    assert!(line.contains("--without"), "{line}");
    let words = Command::new("sh")
        .arg("-c")
        .arg(line.replacen("scant week", "printf '%s\n'", 1))
        .output()
        .unwrap();
    let words = String::from_utf8(words.stdout).unwrap();
    assert!(words.lines().any(|word| word == MARKUP), "{words}");
}

const MARKUP: &str = r#"</section><script>alert("rice & 'beans'")</script><!--"#;
const HEBREW: &str = "חומוס \"טרי\" (3 x 250 גרם)";
const EMOJI: &str = "🥕👩🏽‍🍳 {{ pot }} \\ 100 %";

/// Two lunches of foods and recipes whose names are hostile.
fn hostile() -> tempfile::TempDir {
    let quoted = |text: &str| serde_json::to_string(text).unwrap();
    let text = format!(
        "kitchen: {markup}
currency: USD
week: {{ lunches: 2, carry_day: 5, eaters: 2 }}
foods:
  - {{ food: {markup}, table: \"20036\", allergens: [{long}], packs: [{{ pack: {long}, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }}] }}
  - {{ food: {hebrew}, table: \"16359\", packs: [{{ pack: {emoji}, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }}] }}
  - {{ food: {emoji}, table: \"11124\", packs: [{{ pack: bag, size: 500 g, price: 0.90, keeps: 20, open_keeps: 10 }}] }}
recipes:
  - {{ recipe: {long}, form: {markup}, minutes: 5, lines: [{{ one_of: [{{ food: {markup}, amount: 100 g }}, {{ food: {emoji}, amount: 80 g }}] }}] }}
  - {{ recipe: {hebrew}, form: bowl, minutes: 8, lines: [{{ food: {hebrew}, amount: 120 g }}] }}
  - {{ recipe: {markup}, form: bowl, minutes: 8, lines: [{{ food: {emoji}, amount: 120 g }}] }}
rules: {{ repeats: 2 }}
",
        markup = quoted(MARKUP),
        hebrew = quoted(HEBREW),
        emoji = quoted(EMOJI),
        long = quoted(&"w".repeat(300)),
    );
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kitchen.yaml"), text).unwrap();
    folder
}
