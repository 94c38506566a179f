//! Who has been let in. The address that is printed when the server starts holds a secret in its fragment, which
//! browsers send nowhere; the page hands it over once and gets a cookie. Of both only hashes are kept, so that
//! looking one up needs no comparison in constant time.

use crate::answer::{Answer, Refusal, Sent};
use crate::bench::Bench;
use crate::clocks::{Now, Until};
use crate::lock;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use fellmark_store::TokenHash;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::collections::VecDeque;
use std::fmt::Write;
use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

/// How many browsers may be in at once; the one that came first goes when another comes.
const MOST: usize = 25;
/// How long a browser stays in.
const STAYS: Duration = Duration::from_secs(7 * 24 * 60 * 60);
/// How long browsers keep a cookie at most (RFC 6265bis: 400 days).
const LONGEST_COOKIE: Duration = Duration::from_secs(400 * 24 * 60 * 60);
/// How long the secret that a browser was started with may be used.
const AT_ONCE: Duration = Duration::from_secs(60);

type Hash = [u8; 32];

/// The secrets that let in, and the browsers that are in.
#[derive(Debug)]
pub(crate) struct Sessions {
    cookie: String,
    printed: Hash,
    once: Mutex<Option<(Hash, Until)>>,
    held: Mutex<VecDeque<(Hash, Until)>>,
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
        *lock(&self.once) = Some((hash(secret.as_bytes()), Now::new().and(AT_ONCE)));
    }

    /// Lets a browser in that knows a secret: the cookie to set.
    pub(crate) fn enter(&self, secret: &str) -> Option<HeaderValue> {
        let known = hash(secret.as_bytes());
        let printed = known == self.printed;
        let now = Now::new();
        let once = || lock(&self.once).take_if(|(hash, until)| *hash == known && !until.is_over(now));
        if !printed && once().is_none() {
            return None;
        }
        let session = new_secret();
        let mut held = lock(&self.held);
        held.retain(|(_, until)| !until.is_over(now));
        if held.len() >= MOST {
            held.pop_front();
        }
        held.push_back((hash(session.as_bytes()), now.and(STAYS)));
        let cookie = format!(
            "{}={session}; HttpOnly; SameSite=Strict; Path=/; Max-Age={}",
            self.cookie,
            STAYS.as_secs()
        );
        HeaderValue::try_from(cookie).ok()
    }

    /// Whether one of the cookies says that this browser is in.
    pub(crate) fn knows(&self, headers: &HeaderMap) -> bool {
        let now = Now::new();
        self.cookies(headers).map(|session| hash(session.as_bytes())).any(|session| {
            lock(&self.held).iter().any(|(hash, until)| *hash == session && !until.is_over(now))
        })
    }

    /// The cookies of ours that a request carries.
    fn cookies<'a>(&'a self, headers: &'a HeaderMap) -> impl Iterator<Item = &'a str> {
        let lines = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
        let cookies =
            lines.flat_map(|line| line.split(';')).filter_map(|cookie| cookie.trim().split_once('='));
        cookies.filter(|(name, _)| *name == self.cookie).map(|(_, value)| value)
    }

    /// Hashes of the tokens of devices that a request carries.
    pub(crate) fn tokens(&self, headers: &HeaderMap) -> Vec<TokenHash> {
        // Whoever sends many does not know one.
        self.cookies(headers).take(2).filter_map(unhex).map(|token| TokenHash::of(&token)).collect()
    }

    /// The cookie that a device keeps its token in. How long it is let in the store knows; the cookie is there
    /// for as long as browsers keep one.
    pub(crate) fn device_cookie(&self, token: &[u8; 32]) -> String {
        let seconds = LONGEST_COOKIE.as_secs();
        format!("{}={}; HttpOnly; SameSite=Strict; Path=/; Max-Age={seconds}", self.cookie, hex(token))
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
    hex(&new_token())
}

/// 32 random bytes.
///
/// # Panics
/// If the system has no source of chance.
pub(crate) fn new_token() -> [u8; 32] {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).expect("the system gives random bytes");
    bytes
}

fn unhex(text: &str) -> Option<[u8; 32]> {
    let digits = text.as_bytes();
    if digits.len() != 64 {
        return None;
    }
    let mut bytes = [0; 32];
    for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
        let digit = |of: u8| char::from(of).to_digit(16);
        let [high, low] = [digit(*pair.first()?)?, digit(*pair.last()?)?];
        *byte = u8::try_from(high * 16 + low).ok()?;
    }
    Some(bytes)
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
