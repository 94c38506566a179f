//! Every route of the table, asked in every way in which it must refuse.

use super::client::{self, At, Request};
use super::running::{Browser, Running, asking};
use crate::Limits;
use crate::guard::HEADERS;
use crate::routes::{Route, TABLE, Who};
use axum::http::Method;
use fellmark_store::{May, NewDevice, TokenHash};
use serde_json::{Value, json};
use std::io::Write;
use std::time::Duration;

/// Stands for an archive, which is no JSON.
const ZIP: &str = "zip";

/// A route with an address and a body that it takes.
struct Target {
    route: &'static Route,
    address: String,
    body: Value,
}

/// Who asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Caller {
    /// A browser on this machine.
    Here,
    /// A device that may edit.
    Editing,
    /// A device that may follow.
    Following,
}

const CALLERS: [Caller; 3] = [Caller::Here, Caller::Editing, Caller::Following];

impl Caller {
    fn let_in<'a>(self, here: &Browser<'a>) -> Browser<'a> {
        match self {
            Caller::Here => here.server.enter(),
            Caller::Editing => here.device("edit"),
            Caller::Following => here.device("follow"),
        }
    }

    /// Whether a route is for this caller.
    fn may(self, target: &Target) -> bool {
        match target.route.who {
            Who::Anyone | Who::MayFollow => true,
            Who::Entering | Who::OnlyHere => self == Caller::Here,
            Who::Pairing => self != Caller::Here,
            Who::MayEdit => self != Caller::Following,
        }
    }
}

impl Target {
    fn request(&self, browser: &Browser<'_>) -> Request {
        let request = browser.request(self.route.method.as_str(), &self.address);
        // A device that pairs anew comes in place of the one that it was.
        let request = if self.route.who == Who::Pairing { request.without("Cookie") } else { request };
        match &self.body {
            Value::Null => request,
            Value::String(zip) if zip == ZIP => {
                request.bytes("application/zip", browser.server.enter().ask("/api/archive").body)
            }
            body => request.json(body),
        }
    }

    fn changes(&self) -> bool {
        self.route.method != Method::GET
    }

    fn is_stream(&self) -> bool {
        self.route.path == "/api/events"
    }
}

/// Every route, with what it is asked here. A route that this doesn't know fails the tests.
fn targets(here: &Browser<'_>) -> Vec<Target> {
    let piece = here.example("tideline-mat");
    let weaving = here.post(&format!("/api/pieces/{piece}/weavings"), &json!({}), 201);
    let weaving = weaving["id"].as_str().unwrap().to_owned();
    let head = here.piece(&piece);
    let (base, text) = (&head["head"], &head["text"]);
    let lasts = Duration::from_secs(60);
    let device = NewDevice { name: "Tablet".into(), may: May::Follow, token: TokenHash::of(&[7; 32]), lasts };
    let device = here.server.bench.store.let_in(device).unwrap().id.to_string();
    here.open();
    let code = here.code("follow");
    let target = |route: &'static Route| {
        let id = match route.path.split('/').nth(2) {
            Some("weavings") => &weaving,
            Some("devices") => &device,
            _ => &piece,
        };
        let name = if route.path.contains("/starts/") { "plain" } else { "tideline-mat" };
        let address = route.path.replace("{id}", id).replace("{name}", name);
        let mut address = address.replace("{*path}", "index.html");
        if route.path.ends_with("/fell") {
            address.push_str("?rows=1&width=60");
        }
        if route.path.ends_with("/gaps") {
            address.push_str("?at=1");
        }
        let body = match route.path {
            _ if route.method == Method::GET => Value::Null,
            "/api/enter" => json!({ "token": here.server.secret }),
            "/api/pair" => json!({ "code": code }),
            "/api/pieces" => json!({ "start": "plain" }),
            "/api/pieces/{id}/edit" | "/api/pieces/{id}/preview" | "/api/pieces/{id}/preview/picture" => {
                json!({ "base": base, "edit": { "edit": "warp_ends", "ends": 24 } })
            }
            "/api/pieces/{id}/text" => json!({ "base": base, "text": text }),
            "/api/pieces/{id}/undo" | "/api/pieces/{id}/redo" => json!({ "base": base }),
            "/api/pieces/{id}/weavings" => json!({ "mirrored": true }),
            "/api/weavings/{id}/ticks" => {
                json!({ "ticks": [{ "id": "0".repeat(32), "row": 1, "done": true }] })
            }
            "/api/weavings/{id}/part" => json!({ "rev": base }),
            "/api/archive" => ZIP.into(),
            "/api/pieces/{id}/put-away" | "/api/pieces/{id}/bring-back" => json!({}),
            "/api/network/open" | "/api/network/shut" | "/api/devices/{id}/send-away" => json!({}),
            "/api/network/code" | "/api/devices/{id}/may" => json!({ "may": "edit" }),
            "/api/devices/{id}/name" => json!({ "name": "Tablet at the loom" }),
            path => panic!("{path} needs a body to be attacked with"),
        };
        Target { route, address, body }
    };
    TABLE.iter().map(target).collect()
}

fn status(at: At, request: &Request) -> u16 {
    let answered = request.send(at).expect("an answer");
    for (name, value) in HEADERS {
        assert_eq!(answered.header(name.as_str()), Some(value.to_str().unwrap()), "{request:?}");
    }
    assert_eq!(answered.header("access-control-allow-origin"), None);
    if answered.status >= 400 {
        let said = answered.json();
        let message = said["message"].as_str().unwrap();
        assert!(message.ends_with('.') || message.ends_with('?'), "{message}");
    }
    answered.status
}

/// All callers ask all routes in one way. The stream of notices, which has no end, is asked for its head alone.
fn each(change: impl Fn(&Target, Request, At) -> Request, expected: impl Fn(&Target, Caller) -> Option<u16>) {
    for caller in CALLERS {
        let server = Running::start(Limits::default());
        let here = server.enter();
        let browser = caller.let_in(&here);
        for target in targets(&here) {
            let Some(expected) = expected(&target, caller) else { continue };
            let request = change(&target, target.request(&browser), browser.at);
            if target.is_stream() && expected == 200 {
                continue;
            }
            let mut got = status(browser.at, &request);
            while got == 429 && target.route.who == Who::Pairing {
                std::thread::sleep(Duration::from_millis(100));
                got = status(browser.at, &request);
            }
            assert_eq!(got, expected, "{caller:?} {} {}: {request:?}", target.route.method, target.address);
        }
    }
}

/// What a route answers to its own page.
fn usual(target: &Target, caller: Caller) -> u16 {
    match target.route.path {
        _ if !caller.may(target) => 403,
        "/api/enter" => 204,
        // This weaving's piece has not been changed below its fell.
        "/api/weavings/{id}/part" => 409,
        "/api/pieces" | "/api/pieces/{id}/weavings" if target.changes() => 201,
        _ => 200,
    }
}

fn is_api(target: &Target) -> bool {
    target.route.path.starts_with("/api/")
}

#[test]
fn its_own_page_is_answered_what_it_may_ask() {
    each(|_, request, _| request, |target, caller| Some(usual(target, caller)));
}

#[test]
fn who_was_not_let_in_is_told_nothing() {
    let expected = |target: &Target, caller: Caller| {
        let asks = matches!(target.route.who, Who::MayFollow | Who::MayEdit | Who::OnlyHere);
        // What a device may never do it is not asked its name for.
        let never = caller != Caller::Here && target.route.who == Who::OnlyHere;
        Some(if asks && !never { 401 } else { usual(target, caller) })
    };
    each(|_, request, _| request.without("Cookie"), expected);
    let forged = |_: &Target, request: Request, _: At| {
        let cookie = format!("fellmark-00000000={0}; fellmark={0}; x", "0".repeat(64));
        request.without("Cookie").with("Cookie", cookie)
    };
    each(forged, expected);
}

#[test]
fn what_opens_one_door_does_not_open_the_other() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let device = here.device("edit");
    let (name, _) = here.cookie.split_once('=').unwrap();
    assert_eq!(device.cookie.split_once('=').unwrap().0, name, "they have one name, and yet:");
    let swapped = [(here.at, &device.cookie), (device.at, &here.cookie)];
    for target in targets(&here).iter().filter(|target| target.route.who != Who::Anyone) {
        for (at, cookie) in swapped {
            let browser = Browser { server: &server, at, cookie: cookie.clone() };
            let entering = matches!(target.route.who, Who::Entering | Who::Pairing);
            let got = status(at, &target.request(&browser));
            assert!(entering || matches!(got, 401 | 403), "{got} {}", target.address);
        }
    }
    // Not even the secret that lets a browser in here.
    let secret = json!({ "token": server.secret });
    let entered = asking(device.at, "POST", "/api/enter").json(&secret).send(device.at).unwrap();
    assert_eq!((entered.status, entered.header("set-cookie")), (403, None));
}

#[test]
fn only_its_own_name_is_answered() {
    for host in [
        "evil.example:PORT",
        "127.0.0.1.evil.example:PORT",
        "127.0.0.1",
        "127.0.0.2",
        "127.0.0.1:1",
        "192.168.0.9:PORT",
        "",
    ] {
        each(
            |_, request, At(at)| {
                request.without("Host").with("Host", host.replace("PORT", &at.port().to_string()))
            },
            |_, _| Some(421),
        );
    }
    each(|_, request, _| request.without("Host"), |_, _| Some(421));
    each(|_, request, _| request.with("Host", "evil.example"), |_, _| Some(421));
    each(|_, request, At(at)| request.with("Host", at), |_, _| Some(421));
}

#[test]
fn the_network_has_no_name_of_loopback() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let device = here.device("edit");
    let (At(on_loopback), At(on_network)) = (here.at, device.at);
    for target in targets(&here) {
        // (That loopback answers to no address of a network is asked of `door`: here it is one of 127/8.)
        for host in [
            on_loopback.to_string(),
            format!("127.0.0.1:{}", on_network.port()),
            format!("localhost:{}", on_network.port()),
        ] {
            let request = target.request(&device).without("Host").with("Host", &host);
            assert_eq!(status(device.at, &request), 421, "{host} {}", target.address);
        }
    }
}

#[test]
fn a_target_that_names_another_host_is_refused() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let all = targets(&here);
    for browser in [&here, &here.device("edit")] {
        for target in &all {
            let address = format!("http://evil.example{}", target.address);
            let request = browser.request(target.route.method.as_str(), &address);
            assert_eq!(status(browser.at, &request), 421, "{address}");
        }
    }
}

#[test]
fn other_pages_are_refused() {
    for site in ["cross-site", "same-site"] {
        each(
            |_, request, _| request.without("Sec-Fetch-Site").with("Sec-Fetch-Site", site),
            |target, caller| Some(if is_api(target) { 403 } else { usual(target, caller) }),
        );
    }
    for origin in ["null", "http://evil.example", "http://127.0.0.1:1", "https://127.0.0.1"] {
        each(
            |_, request, _| request.without("Sec-Fetch-Site").without("Origin").with("Origin", origin),
            |target, caller| Some(if target.changes() { 403 } else { usual(target, caller) }),
        );
    }
}

#[test]
fn no_more_is_read_than_a_route_takes() {
    let too_large = |target: &Target, request: Request, _: At| {
        request.without("Content-Length").with("Content-Length", target.route.most + 1)
    };
    each(too_large, |_, _| Some(413));
    // The same without saying so beforehand.
    let server = Running::start(Limits::default());
    let here = server.enter();
    let (device, all) = (here.device("edit"), targets(&here));
    let asked =
        [Caller::Here, Caller::Editing].into_iter().flat_map(|caller| all.iter().map(move |t| (caller, t)));
    for (caller, target) in asked.filter(|(caller, target)| target.changes() && caller.may(target)) {
        let browser = if caller == Caller::Here { &here } else { &device };
        let request = target.request(browser).without("Content-Length").with("Transfer-Encoding", "chunked");
        let mut bytes = request.head();
        for _ in 0..=(target.route.most >> 16) {
            bytes.extend(b"10000\r\n");
            bytes.extend([b' '; 1 << 16]);
            bytes.extend(b"\r\n");
        }
        bytes.extend(b"0\r\n\r\n");
        let answered = client::raw(browser.at, &bytes);
        assert_eq!(answered.map(|answered| answered.status), Some(413), "{caller:?} {}", target.address);
    }
}

#[test]
fn other_methods_are_refused() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    for target in targets(&browser) {
        let known = |method: &str| TABLE.iter().any(|r| r.path == target.route.path && r.method == method);
        for method in ["GET", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"] {
            if !known(method) {
                let request = browser.request(method, &target.address);
                let expected = if target.route.who == Who::Pairing { 403 } else { 405 };
                assert_eq!(status(browser.at, &request), expected, "{method} {}", target.address);
            }
        }
    }
    assert_eq!(status(browser.at, &browser.request("GET", "/api/nothing")), 404);
}

#[test]
fn slow_clients_are_sent_away() {
    let (head, body) = (Duration::from_millis(300), Duration::from_millis(300));
    let server = Running::start(Limits { head, body, ..Limits::default() });
    let here = server.enter();
    let (device, all) = (here.device("edit"), targets(&here));
    let asked =
        [Caller::Here, Caller::Editing].into_iter().flat_map(|caller| all.iter().map(move |t| (caller, t)));
    std::thread::scope(|scope| {
        for (caller, target) in asked {
            let browser = if caller == Caller::Here { &here } else { &device };
            let head = target.request(browser).head();
            let port = browser.at;
            // Half a head.
            let half = head[..head.len() / 2].to_vec();
            scope.spawn(move || {
                // Whoever holds it would be told of by the client, which waits much longer.
                let _ = client::raw(port, &half);
            });
            if !target.changes() || !caller.may(target) {
                continue;
            }
            // A body that comes a byte at a time.
            let request = target.request(browser).without("Content-Length").with("Content-Length", 1000);
            let head = request.head();
            let address = target.address.clone();
            scope.spawn(move || {
                let mut stream = client::connect(port);
                stream.write_all(&head).unwrap();
                for _ in 0..12 {
                    std::thread::sleep(Duration::from_millis(50));
                    if stream.write_all(b" ").is_err() {
                        break;
                    }
                }
                let answered = client::answer(&mut stream);
                assert!(answered.is_none_or(|answered| answered.status == 408), "{address}");
            });
        }
        // No byte at all, and a connection that is kept without asking again.
        for (first, at) in
            ["", "GET / HTTP/1.1\r\nHost: HOST\r\n\r\n"].iter().flat_map(|&f| [(f, here.at), (f, device.at)])
        {
            let first = first.replace("HOST", &at.0.to_string());
            let mut stream = client::connect(at);
            scope.spawn(move || {
                stream.write_all(first.as_bytes()).unwrap();
                client::read_to_end(&mut stream);
            });
        }
    });
}

#[test]
fn nothing_changes_by_looking() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let targets = targets(&browser);
    let all = || {
        let store = &server.bench.store;
        let pieces = store.pieces().unwrap();
        let each = pieces.iter().map(|piece| {
            let weavings = store.weavings(piece.id).unwrap();
            let logs: Vec<_> = weavings.iter().map(|w| store.weaving(w.info.id).unwrap()).collect();
            let (moves, history) = (store.moves(piece.id).unwrap(), store.history(piece.id).unwrap());
            format!("{moves:?} {history:?} {logs:?}")
        });
        let devices = store.devices(server.bench.clock()).unwrap();
        let network = &server.bench.network;
        (each.collect::<Vec<_>>(), format!("{pieces:?} {:?} {devices:?} {network:?}", server.bench.sessions))
    };
    let before = all();
    for target in targets.iter().filter(|target| !target.changes() && !target.is_stream()) {
        for method in ["GET", "HEAD"] {
            let answered = browser.request(method, &target.address).send(server.port).unwrap();
            assert_eq!(answered.status, 200, "{method} {}", target.address);
            assert_eq!(answered.body.is_empty(), method == "HEAD", "{method} {}", target.address);
        }
    }
    assert_eq!(all(), before);
}

#[test]
fn the_table_has_each_route_once_and_nothing_of_the_weavers_for_anyone() {
    for (k, route) in TABLE.iter().enumerate() {
        let again = TABLE.iter().skip(k + 1).any(|r| r.path == route.path && r.method == route.method);
        assert!(!again, "{} {} twice", route.method, route.path);
        let open = ["/", "/favicon.ico", "/assets/{*path}"];
        assert_eq!(route.who == Who::Anyone, open.contains(&route.path), "{}", route.path);
        assert_eq!(route.who == Who::Entering, route.path == "/api/enter");
        assert_eq!(route.who == Who::Pairing, route.path == "/api/pair");
        let of_the_door = ["/api/network", "/api/devices"].iter().any(|start| route.path.starts_with(start));
        assert_eq!(route.who == Who::OnlyHere, of_the_door, "{}", route.path);
        if matches!(route.who, Who::MayFollow) {
            assert_eq!(route.method, Method::GET, "{}: who follows changes nothing", route.path);
        }
        assert!(route.method == Method::GET || route.method == Method::POST);
        assert!(route.most <= 64 << 20);
    }
}
