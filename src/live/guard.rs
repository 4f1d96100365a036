//! Who may ask: a page that this server gave out, in the browser it was opened in, and nobody else.
//!
//! Each check is a row here; the first that fails answers. Cookies know neither ports nor the
//! difference between sites of one host, so that the origin decides, and the cookie besides.

use std::time::Duration;

/// Most bytes of a body.
pub const MOST_BODY: usize = 16 * 1024;
/// Requests a second, and at once.
const RATE: u64 = 20;
const AT_ONCE: u64 = 60;

/// What a request says of itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked<'a> {
    /// The method.
    pub method: &'a str,
    /// The `Host` header.
    pub host: Option<&'a str>,
    /// The `Origin` header.
    pub origin: Option<&'a str>,
    /// The `Sec-Fetch-Site` header.
    pub site: Option<&'a str>,
    /// The `Cookie` header.
    pub cookie: Option<&'a str>,
    /// The `Content-Length` header, as a number.
    pub length: Option<u64>,
    /// The token of the address.
    pub token: Option<&'a str>,
}

/// Why a request is refused: the status, and a sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Another host: the name of this machine as somebody else has it.
    Host,
    /// Another page asks.
    Origin,
    /// No token, a wrong one, or one that was used.
    Token,
    /// Not a method of this server.
    Method,
    /// Too long.
    Size,
    /// Too many.
    Rate,
}

impl Refusal {
    /// The status of HTTP and what there is to say.
    pub fn told(self) -> (u16, &'static str) {
        match self {
            Self::Host => (403, "This address is not one of this kitchen."),
            Self::Origin => (403, "Only the kitchen's own page may ask."),
            Self::Token => (
                403,
                "This browser was not let in: the address that was printed opens the page once. \
                 Open it in the browser that has the page, or start scant live again.",
            ),
            Self::Method => (405, "Only GET and POST are answered."),
            Self::Size => (413, "That is too long."),
            Self::Rate => (429, "Too many at once: wait a second."),
        }
    }
}

/// What a request is held against.
#[derive(Debug)]
pub struct Guard {
    port: u16,
    cookie: String,
    secret: String,
    /// The token of the address, until it was used.
    token: Option<String>,
    left_milli: u64,
    since: Duration,
}

/// Whom a request lets in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pass {
    /// The browser has the cookie.
    Known,
    /// The token was right: the cookie to set.
    New(String),
}

impl Guard {
    /// A guard of a port, with a token for the address and a secret for the cookie.
    pub fn new(port: u16, token: String, secret: String) -> Self {
        Self {
            port,
            cookie: format!("scant-{port}"),
            secret,
            token: Some(token),
            left_milli: AT_ONCE * 1_000,
            since: Duration::ZERO,
        }
    }

    /// Lets a request that comes `now` pass, or says why not.
    ///
    /// # Errors
    /// The first check that fails.
    pub fn check(&mut self, asked: &Asked, now: Duration) -> Result<Pass, Refusal> {
        let hosts = [
            format!("127.0.0.1:{}", self.port),
            format!("localhost:{}", self.port),
        ];
        let host = asked.host.unwrap_or_default();
        if !hosts.iter().any(|own| own == host) {
            return Err(Refusal::Host);
        }
        let post = asked.method == "POST";
        if !post && asked.method != "GET" {
            return Err(Refusal::Method);
        }
        let own = format!("http://{host}");
        match asked.origin {
            Some(origin) if origin == own => {}
            None if !post => {}
            _ => return Err(Refusal::Origin),
        }
        match asked.site {
            None | Some("same-origin") => {}
            // Typed into the address bar, or opened by another program.
            Some("none") if !post => {}
            Some(_) => return Err(Refusal::Origin),
        }
        if asked.length.is_some_and(|length| length > MOST_BODY as u64) {
            return Err(Refusal::Size);
        }
        if !self.afford(now) {
            return Err(Refusal::Rate);
        }
        self.known(asked)
    }

    fn known(&mut self, asked: &Asked) -> Result<Pass, Refusal> {
        let given = asked.cookie.into_iter().flat_map(|all| all.split(';'));
        let mine = given
            .filter_map(|one| one.trim().split_once('='))
            .filter(|(name, _)| *name == self.cookie);
        let mut known = false;
        for (_, value) in mine {
            known |= same(value, &self.secret);
        }
        if known {
            return Ok(Pass::Known);
        }
        let right = match (&self.token, asked.token) {
            (Some(token), Some(given)) => same(given, token),
            _ => false,
        };
        if right && asked.method == "GET" {
            self.token = None;
            return Ok(Pass::New(format!(
                "{}={}; Path=/; HttpOnly; SameSite=Strict",
                self.cookie, self.secret
            )));
        }
        Err(Refusal::Token)
    }

    /// Whether one more request may be answered: so many at once, and so many a second after.
    fn afford(&mut self, now: Duration) -> bool {
        let passed = now.saturating_sub(self.since).as_millis();
        let gained = u64::try_from(passed)
            .unwrap_or(u64::MAX)
            .saturating_mul(RATE);
        self.left_milli = self.left_milli.saturating_add(gained).min(AT_ONCE * 1_000);
        self.since = now.max(self.since);
        let enough = self.left_milli >= 1_000;
        if enough {
            self.left_milli -= 1_000;
        }
        enough
    }
}

/// Compares secrets in a time that does not tell where they differ.
fn same(one: &str, other: &str) -> bool {
    let (one, other) = (one.as_bytes(), other.as_bytes());
    let differ = one.iter().zip(other).fold(0, |sum, (a, b)| sum | (a ^ b));
    std::hint::black_box(differ) == 0 && one.len() == other.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOST: &str = "127.0.0.1:4000";
    const OWN: &str = "http://127.0.0.1:4000";

    fn guard() -> Guard {
        Guard::new(4000, "once".to_owned(), "secret".to_owned())
    }

    fn get<'a>() -> Asked<'a> {
        Asked {
            method: "GET",
            host: Some(HOST),
            cookie: Some("other=1; scant-4000=secret"),
            site: Some("same-origin"),
            ..Asked::default()
        }
    }

    fn post<'a>() -> Asked<'a> {
        Asked {
            method: "POST",
            origin: Some(OWN),
            length: Some(100),
            ..get()
        }
    }

    fn of(asked: Asked) -> Result<Pass, Refusal> {
        guard().check(&asked, Duration::ZERO)
    }

    #[test]
    fn each_check_refuses_what_it_is_for() {
        let rows = [
            (get(), Ok(Pass::Known)),
            (post(), Ok(Pass::Known)),
            (
                Asked {
                    host: None,
                    ..get()
                },
                Err(Refusal::Host),
            ),
            (
                Asked {
                    host: Some("boat.example:4000"),
                    ..get()
                },
                Err(Refusal::Host),
            ),
            (
                Asked {
                    host: Some("127.0.0.1"),
                    ..get()
                },
                Err(Refusal::Host),
            ),
            (
                Asked {
                    host: Some("127.0.0.1:4001"),
                    ..post()
                },
                Err(Refusal::Host),
            ),
            (
                Asked {
                    host: Some("localhost:4000"),
                    ..post()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    origin: None,
                    ..post()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    origin: Some("null"),
                    ..post()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    origin: Some("http://127.0.0.1:4001"),
                    ..post()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    origin: Some("http://boat.example"),
                    ..get()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    site: Some("cross-site"),
                    ..get()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    site: Some("same-site"),
                    ..get()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    site: Some("none"),
                    ..get()
                },
                Ok(Pass::Known),
            ),
            (
                Asked {
                    site: Some("none"),
                    ..post()
                },
                Err(Refusal::Origin),
            ),
            (
                Asked {
                    method: "PUT",
                    ..post()
                },
                Err(Refusal::Method),
            ),
            (
                Asked {
                    method: "HEAD",
                    ..get()
                },
                Err(Refusal::Method),
            ),
            (
                Asked {
                    length: Some(16_385),
                    ..post()
                },
                Err(Refusal::Size),
            ),
            (
                Asked {
                    cookie: None,
                    ..get()
                },
                Err(Refusal::Token),
            ),
            (
                Asked {
                    cookie: Some("scant-4000=secrets"),
                    ..get()
                },
                Err(Refusal::Token),
            ),
            (
                Asked {
                    cookie: Some("scant-4001=secret"),
                    ..get()
                },
                Err(Refusal::Token),
            ),
            (
                Asked {
                    cookie: None,
                    token: Some("twice"),
                    ..get()
                },
                Err(Refusal::Token),
            ),
            (
                Asked {
                    cookie: None,
                    token: Some("once"),
                    ..post()
                },
                Err(Refusal::Token),
            ),
        ];
        for (asked, wanted) in rows {
            let said = format!("{asked:?}");
            assert_eq!(of(asked), wanted, "{said}");
        }
    }

    #[test]
    fn a_token_lets_in_once() {
        let mut guard = guard();
        let first = Asked {
            cookie: None,
            token: Some("once"),
            ..get()
        };
        let Ok(Pass::New(cookie)) = guard.check(&first, Duration::ZERO) else {
            panic!("not let in");
        };
        assert_eq!(
            cookie,
            "scant-4000=secret; Path=/; HttpOnly; SameSite=Strict"
        );
        assert_eq!(guard.check(&first, Duration::ZERO), Err(Refusal::Token));
        assert_eq!(guard.check(&get(), Duration::ZERO), Ok(Pass::Known));
    }

    #[test]
    fn so_many_at_once_and_so_many_a_second() {
        let mut guard = guard();
        let mut passed = |now: u64, tries: usize| {
            let now = Duration::from_millis(now);
            (0..tries)
                .filter(|_| guard.check(&get(), now).is_ok())
                .count()
        };
        assert_eq!(passed(0, 100), 60);
        assert_eq!(passed(1_000, 100), 20);
        assert_eq!(passed(1_050, 100), 1);
        // A clock that goes back gives nothing away.
        assert_eq!(passed(0, 100), 0);
        assert_eq!(passed(100_000, 100), 60);
    }
}
