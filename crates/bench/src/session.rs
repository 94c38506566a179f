//! Who has been let in. The address that is printed when the server starts holds a secret in its fragment, which
//! browsers send nowhere; the page hands it over once and gets a cookie. Of both only hashes are kept, so that
//! looking one up needs no comparison in constant time.

use crate::answer::{Answer, Refusal, Sent};
use crate::bench::Bench;
use crate::lock;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::collections::VecDeque;
use std::fmt::Write;
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// How many browsers may be in at once; the one that came first goes when another comes.
const MOST: usize = 25;
/// How long a browser stays in.
const STAYS: Duration = Duration::from_secs(7 * 24 * 60 * 60);
/// How long the secret that a browser was started with may be used.
const AT_ONCE: Duration = Duration::from_secs(60);

type Hash = [u8; 32];

/// The secrets that let in, and the browsers that are in.
#[derive(Debug)]
pub(crate) struct Sessions {
    cookie: String,
    printed: Hash,
    once: Mutex<Option<(Hash, Instant)>>,
    held: Mutex<VecDeque<(Hash, Instant)>>,
}

impl Sessions {
    /// Nobody is in; the secret lets in. Cookies know no ports, so each folder of pieces has a cookie of its
    /// own name.
    pub(crate) fn new(folder: &Path, secret: &str) -> Sessions {
        let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
        let id = hex(&hash(folder.as_os_str().as_encoded_bytes())[..4]);
        Sessions {
            cookie: format!("fellmark-{id}"),
            printed: hash(secret.as_bytes()),
            once: Mutex::default(),
            held: Mutex::default(),
        }
    }

    /// A secret that lets in once and soon, for an address that others on this machine might see: programs
    /// that run are listed with their arguments.
    pub(crate) fn once(&self, secret: &str) {
        *lock(&self.once) = Some((hash(secret.as_bytes()), Instant::now() + AT_ONCE));
    }

    /// Lets a browser in that knows a secret: the cookie to set.
    pub(crate) fn enter(&self, secret: &str) -> Option<HeaderValue> {
        let known = hash(secret.as_bytes());
        let printed = known == self.printed;
        let once = || lock(&self.once).take_if(|(hash, until)| *hash == known && *until > Instant::now());
        if !printed && once().is_none() {
            return None;
        }
        let session = new_secret();
        let mut held = lock(&self.held);
        held.retain(|(_, until)| *until > Instant::now());
        if held.len() >= MOST {
            held.pop_front();
        }
        held.push_back((hash(session.as_bytes()), Instant::now() + STAYS));
        let cookie = format!(
            "{}={session}; HttpOnly; SameSite=Strict; Path=/; Max-Age={}",
            self.cookie,
            STAYS.as_secs()
        );
        HeaderValue::try_from(cookie).ok()
    }

    /// Whether one of the cookies says that this browser is in.
    fn knows(&self, headers: &HeaderMap) -> bool {
        let lines = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
        let cookies =
            lines.flat_map(|line| line.split(';')).filter_map(|cookie| cookie.trim().split_once('='));
        let mine = cookies.filter(|(name, _)| *name == self.cookie);
        let now = Instant::now();
        mine.map(|(_, session)| hash(session.as_bytes()))
            .any(|session| lock(&self.held).iter().any(|(hash, until)| *hash == session && *until > now))
    }
}

/// Lets only those pass that are in.
pub(crate) async fn needed(State(bench): State<Bench>, request: Request, next: Next) -> Response {
    if bench.sessions.knows(request.headers()) {
        next.run(request).await
    } else {
        Refusal::usual(StatusCode::UNAUTHORIZED).into_response()
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Enter {
    token: String,
}

/// Lets a browser in.
pub(crate) async fn enter(State(bench): State<Bench>, Sent(sent): Sent<Enter>) -> Answer<Response> {
    let cookie = bench.sessions.enter(&sent.token).ok_or_else(|| Refusal::usual(StatusCode::UNAUTHORIZED))?;
    Ok((StatusCode::NO_CONTENT, [(header::SET_COOKIE, cookie)]).into_response())
}

/// 32 random bytes as hexadecimal digits.
///
/// # Panics
/// If the system has no source of chance: without one nobody could be kept out.
pub(crate) fn new_secret() -> String {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).expect("the system gives random bytes");
    hex(&bytes)
}

pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

fn hash(bytes: &[u8]) -> Hash {
    Sha256::digest(bytes).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn carrying(cookie: &HeaderValue) -> HeaderMap {
        let (pair, _) = cookie.to_str().unwrap().split_once(';').unwrap();
        let line = format!("theme=dark; {pair}; other=1");
        HeaderMap::from_iter([(header::COOKIE, HeaderValue::try_from(line).unwrap())])
    }

    #[test]
    fn only_who_knows_a_secret_gets_in() {
        let sessions = Sessions::new(Path::new("/reed"), "marsh");
        assert!(sessions.enter("mud").is_none());
        let cookie = sessions.enter("marsh").unwrap();
        assert!(sessions.knows(&carrying(&cookie)));
        assert!(!sessions.knows(&HeaderMap::new()));
        let forged = HeaderValue::try_from(format!("{}={}; x", sessions.cookie, new_secret())).unwrap();
        assert!(!sessions.knows(&carrying(&forged)));
        let elsewhere = Sessions::new(Path::new("/foam"), "marsh");
        assert_ne!(sessions.cookie, elsewhere.cookie, "two folders, two cookies");
    }

    #[test]
    fn the_secret_for_a_started_browser_lets_in_once() {
        let sessions = Sessions::new(Path::new("/reed"), "marsh");
        sessions.once("tide");
        assert!(sessions.enter("mud").is_none(), "a wrong guess doesn't use it up");
        assert!(sessions.enter("tide").is_some());
        assert!(sessions.enter("tide").is_none());
        assert!(sessions.enter("marsh").is_some(), "the printed one stays");
        assert!(sessions.enter("marsh").is_some());
    }

    #[test]
    fn the_browser_that_came_first_goes_when_too_many_come() {
        let sessions = Sessions::new(Path::new("/reed"), "marsh");
        let cookies: Vec<HeaderValue> = (0..=MOST).map(|_| sessions.enter("marsh").unwrap()).collect();
        assert!(!sessions.knows(&carrying(&cookies[0])));
        assert!(cookies[1..].iter().all(|cookie| sessions.knows(&carrying(cookie))));
    }
}
