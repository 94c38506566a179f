//! Devices on the network: the door opened and shut, codes, who was let in, what each may do.

use crate::answer::{Answer, Nothing, Refusal, Sent};
use crate::bench::Bench;
use crate::clocks::Now;
use crate::events::Notice;
use crate::pairing::Tried;
use crate::session::new_token;
use crate::visitor::{Visitor, known};
use crate::{lock, network, qr};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use fellmark_store::{Device, DeviceId, Error, May, Missing, NewDevice, TokenHash, WeavingId};
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::net::SocketAddr;
use std::time::Duration;

/// For how long a device stays let in after it was last seen: from one piece to the next.
const LASTS: Duration = Duration::from_secs(30 * 24 * 60 * 60);

/// What a device may do, as it is written.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum MayWord {
    Follow,
    Edit,
}

impl From<May> for MayWord {
    fn from(may: May) -> MayWord {
        match may {
            May::Follow => MayWord::Follow,
            May::Edit => MayWord::Edit,
        }
    }
}

impl From<MayWord> for May {
    fn from(word: MayWord) -> May {
        match word {
            MayWord::Follow => May::Follow,
            MayWord::Edit => May::Edit,
        }
    }
}

/// Who asks, as the page is told.
#[derive(Debug, Serialize)]
pub(crate) struct MeJson {
    /// Whether it is a browser on the machine that the program runs on.
    here: bool,
    name: String,
    may: MayWord,
    /// Whether devices on the network reach this machine.
    open: bool,
}

pub(crate) async fn me(State(bench): State<Bench>, visitor: Visitor) -> Json<MeJson> {
    let open = bench.network.reaches().is_some();
    Json(MeJson { here: visitor.passage.is_none(), name: visitor.by, may: visitor.may.into(), open })
}

/// The door and the devices.
#[derive(Debug, Serialize)]
pub(crate) struct NetworkJson {
    open: bool,
    /// Where devices reach it, the best first.
    addresses: Vec<String>,
    code: Option<CodeJson>,
    /// Why the last code works no longer: used, late or guessed.
    over: Option<&'static str>,
    devices: Vec<DeviceJson>,
}

#[derive(Debug, Serialize)]
struct CodeJson {
    words: String,
    /// The address with the code in its fragment.
    link: String,
    may: MayWord,
    weaving: Option<String>,
    /// Milliseconds since 1970.
    ends: i64,
}

#[derive(Debug, Serialize)]
struct DeviceJson {
    id: String,
    name: String,
    may: MayWord,
    /// Milliseconds since 1970.
    since: i64,
    seen: i64,
    /// Whether it shows the page now.
    now: bool,
}

fn state(bench: &Bench) -> Answer<Json<NetworkJson>> {
    let reaches = bench.network.reaches();
    let pairing = lock(&bench.network.pairing);
    let now = Now::new();
    let code = pairing.code(now).zip(reaches.as_deref().and_then(<[_]>::first));
    let code = code.map(|(code, at)| CodeJson {
        words: code.words(),
        link: link(*at, &code.link()),
        may: code.may.into(),
        weaving: code.weaving.map(|weaving| weaving.to_string()),
        ends: code.ends().0,
    });
    let over = pairing.over(now).map(crate::pairing::Over::word);
    drop(pairing);
    let line = |device: Device| DeviceJson {
        now: bench.network.listens(device.id),
        id: device.id.to_string(),
        name: device.name,
        may: device.may.into(),
        since: device.made_at.0,
        seen: device.seen_at.0,
    };
    Ok(Json(NetworkJson {
        open: reaches.is_some(),
        addresses: reaches.unwrap_or_default().iter().map(|at| format!("http://{at}/")).collect(),
        code,
        over,
        devices: bench.store.devices(bench.clock())?.into_iter().map(line).collect(),
    }))
}

/// The address of the page on which a device is let in, with the code where it is sent to nobody by accident.
fn link(at: SocketAddr, code: &str) -> String {
    format!("http://{at}/#/let-in/{code}")
}

pub(crate) async fn look(State(bench): State<Bench>) -> Answer<Json<NetworkJson>> {
    bench.work(state).await
}

pub(crate) async fn open(
    State(bench): State<Bench>,
    Sent(Nothing {}): Sent<Nothing>,
) -> Answer<Json<NetworkJson>> {
    network::open(&bench)?;
    bench.notices.tell(Notice::Devices { devices: true });
    bench.work(state).await
}

pub(crate) async fn shut(
    State(bench): State<Bench>,
    Sent(Nothing {}): Sent<Nothing>,
) -> Answer<Json<NetworkJson>> {
    network::shut(&bench).await;
    bench.work(state).await
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CodeWanted {
    may: MayWord,
    /// The weaving that the device shows first.
    #[serde(default)]
    weaving: Option<String>,
}

/// Offers a code, in place of the one before.
pub(crate) async fn code(
    State(bench): State<Bench>,
    Sent(wanted): Sent<CodeWanted>,
) -> Answer<Json<NetworkJson>> {
    let weaving: Option<WeavingId> = match wanted.weaving.as_deref().map(str::parse) {
        Some(Err(_)) => return Err(Refusal::not_there("weaving")),
        found => found.and_then(Result::ok),
    };
    if bench.network.reaches().is_none() {
        return Err(Refusal::new(
            StatusCode::CONFLICT,
            "No device reaches this computer now.",
            "Open it to the network first.",
        ));
    }
    bench
        .work(move |bench| {
            if let Some(weaving) = weaving {
                bench.store.weaving(weaving)?;
            }
            let lasts = bench.network.code_lasts();
            lock(&bench.network.pairing).offer(wanted.may.into(), weaving, lasts, Now::new());
            state(bench)
        })
        .await
}

/// The code as a picture for a phone's camera.
pub(crate) async fn code_picture(State(bench): State<Bench>) -> Answer<Response> {
    let at = bench.network.reaches().and_then(|reaches| reaches.first().copied());
    let code = lock(&bench.network.pairing).code(Now::new()).map(crate::pairing::Code::link);
    let drawing = at.zip(code).and_then(|(at, code)| qr::svg(&link(at, &code)));
    let drawing = drawing
        .ok_or_else(|| Refusal::new(StatusCode::NOT_FOUND, "There is no code now.", "Ask for one."))?;
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], drawing).into_response())
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pair {
    code: String,
}

/// Lets a device in that knows the code. A device that is let in already comes in anew, so that it stands in the
/// list once.
pub(crate) async fn pair(
    State(bench): State<Bench>,
    headers: HeaderMap,
    Sent(sent): Sent<Pair>,
) -> Answer<Response> {
    let tried = lock(&bench.network.pairing).attempt(&sent.code, Now::new());
    let code = match tried {
        Tried::Right(code) => code,
        Tried::OtherLength => return Err(other_length()),
        Tried::Wrong(left) => return Err(wrong(left)),
        Tried::Over => {
            bench.notices.tell(Notice::Devices { devices: true });
            return Err(over());
        }
        Tried::TooSoon => return Err(too_soon()),
    };
    let tokens = bench.sessions.tokens(&headers);
    let kind = headers.get(header::USER_AGENT).and_then(|agent| agent.to_str().ok()).map_or("Device", kind);
    let weaving = code.weaving;
    let cookie = bench
        .work(move |bench| {
            let let_in = let_in(bench, &tokens, kind, code.may);
            if let_in.is_err() {
                lock(&bench.network.pairing).give_back(code);
            }
            bench.notices.tell(Notice::Devices { devices: true });
            let_in
        })
        .await?;
    let weaving = weaving.map(|weaving| weaving.to_string());
    Ok(([(header::SET_COOKIE, cookie)], Json(json!({ "weaving": weaving }))).into_response())
}

fn other_length() -> Refusal {
    let help = "Look at it again on the computer, and type all of it.";
    Refusal::new(StatusCode::UNAUTHORIZED, "A code has six signs.", help).with_code()
}

fn wrong(left: u32) -> Refusal {
    let tries = if left == 1 { "One more try".to_owned() } else { format!("{left} more tries") };
    Refusal::new(
        StatusCode::UNAUTHORIZED,
        "That is another code than the one on the computer.",
        format!("Look at it again. {tries}, then a new code is needed."),
    )
    .with_code()
}

fn over() -> Refusal {
    Refusal::new(
        StatusCode::GONE,
        "There is no code to let a device in now.",
        "A code works once, for a few minutes, and five tries. Ask for a new one on the computer, under “Weave \
         from your phone”.",
    )
    .with_code()
}

fn too_soon() -> Refusal {
    Refusal::new(StatusCode::TOO_MANY_REQUESTS, "That was very soon.", "Wait a second, then try again.")
        .with_code()
}

/// Lets a device in, in place of the one that has one of these tokens; gives its cookie.
fn let_in(bench: &Bench, tokens: &[TokenHash], kind: &str, may: May) -> Answer<String> {
    let token = new_token();
    let new = |name| NewDevice { name, may, token: TokenHash::of(&token), lasts: LASTS };
    match known(bench, tokens)? {
        Some((_, before)) => {
            // Whoever comes anew is called as before. In this order: see where a device is let through.
            bench.store.replace(before.id, new(before.name))?;
            bench.network.end_passage(before.id);
        }
        None => drop(bench.store.let_in(new(free_name(kind, &bench.store.devices(bench.clock())?)))?),
    }
    Ok(bench.sessions.device_cookie(&token))
}

/// What kind of device a browser says it runs on: a name to know it by in the list.
fn kind(agent: &str) -> &'static str {
    let says = |word: &str| agent.contains(word);
    match () {
        () if says("iPad") => "iPad",
        () if says("iPhone") => "iPhone",
        () if says("Android") && says("Mobile") => "Android phone",
        () if says("Android") => "Android tablet",
        () if says("Macintosh") => "Mac",
        () if says("Windows") => "Windows computer",
        () if says("CrOS") => "Chromebook",
        () if says("Linux") => "Linux computer",
        () => "Device",
    }
}

fn free_name(kind: &str, taken: &[Device]) -> String {
    let numbered = (2..).map(|k| format!("{kind} {k}"));
    let mut names = std::iter::once(kind.to_owned()).chain(numbered);
    names.find(|name| taken.iter().all(|device| device.name != *name)).unwrap_or_default()
}

fn device_id(text: &str) -> Answer<DeviceId> {
    text.parse().map_err(|_| Refusal::from(Error::NotThere(Missing::Device)))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct MaySent {
    may: MayWord,
}

/// Lets a device do more or less, from now on.
pub(crate) async fn allow(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Sent(sent): Sent<MaySent>,
) -> Answer<Json<NetworkJson>> {
    let id = device_id(&id)?;
    bench
        .work(move |bench| {
            bench.store.set_may(id, sent.may.into())?;
            bench.network.end_passage(id);
            bench.notices.tell(Notice::Devices { devices: true });
            state(bench)
        })
        .await
}

/// Letters of a device's name: as many as stand in one line of the list.
const NAME: usize = 40;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct NameSent {
    name: String,
}

/// Calls a device otherwise, from now on.
pub(crate) async fn rename(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Sent(sent): Sent<NameSent>,
) -> Answer<Json<NetworkJson>> {
    let id = device_id(&id)?;
    let name = device_name(&sent.name)?;
    bench
        .work(move |bench| {
            bench.store.rename_device(id, &name)?;
            bench.notices.tell(Notice::Devices { devices: true });
            state(bench)
        })
        .await
}

/// A name as it is kept: in one line, with single spaces, neither empty nor longer than the list takes.
fn device_name(typed: &str) -> Answer<String> {
    let refuse = |message: &str, help: String| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, help);
    let name = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    if name.is_empty() {
        return Err(refuse("A device needs a name.", "Type one, such as “Phone at the loom”.".to_owned()));
    }
    if name.chars().count() > NAME {
        return Err(refuse("That name is too long for the list.", format!("Use {NAME} letters at most.")));
    }
    if name.chars().any(char::is_control) {
        return Err(refuse("A name is made of letters, digits and signs.", "Type it anew.".to_owned()));
    }
    Ok(name)
}

/// Sends a device away, now.
pub(crate) async fn send_away(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Sent(Nothing {}): Sent<Nothing>,
) -> Answer<Json<NetworkJson>> {
    let id = device_id(&id)?;
    bench
        .work(move |bench| {
            // In this order: see where a device is let through.
            bench.store.send_away(id)?;
            bench.network.end_passage(id);
            bench.notices.tell(Notice::Devices { devices: true });
            state(bench)
        })
        .await
}

#[cfg(test)]
mod tests {
    use super::{device_name, kind};

    #[test]
    fn a_name_is_kept_in_one_line_and_must_be_one() {
        assert_eq!(device_name("  Phone \n at the\tloom ").unwrap(), "Phone at the loom");
        assert_eq!(device_name(&"ä".repeat(40)).unwrap().chars().count(), 40);
        for typed in ["", " \n", &"a".repeat(41), "bell\u{7}"] {
            device_name(typed).unwrap_err();
        }
    }

    #[test]
    fn a_device_is_named_by_what_it_is() {
        // From memory of what browsers send.
        for (agent, name) in [
            ("Mozilla/5.0 (iPhone; CPU iPhone OS 26_0 like Mac OS X) AppleWebKit/605.1.15", "iPhone"),
            (
                "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 Chrome/156.0.0.0 Mobile Safari/537.36",
                "Android phone",
            ),
            (
                "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 Chrome/156.0.0.0 Safari/537.36",
                "Android tablet",
            ),
            ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15", "Mac"),
            ("Mozilla/5.0 (X11; Linux x86_64; rv:150.0) Gecko/20100101 Firefox/150.0", "Linux computer"),
            ("", "Device"),
        ] {
            assert_eq!(kind(agent), name, "{agent}");
        }
    }
}
