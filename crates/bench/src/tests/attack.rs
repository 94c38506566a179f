//! Every route of the table, asked in every way in which it must refuse.

use super::client::{self, Request};
use super::running::{Browser, Running};
use crate::Limits;
use crate::guard::HEADERS;
use crate::routes::{Route, TABLE, Who};
use axum::http::Method;
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::time::{Duration, Instant};

/// Stands for an archive, which is no JSON.
const ZIP: &str = "zip";

/// A route with an address and a body that it takes.
struct Target {
    route: &'static Route,
    address: String,
    body: Value,
}

impl Target {
    fn request(&self, browser: &Browser<'_>) -> Request {
        let request = browser.request(self.route.method.as_str(), &self.address);
        match &self.body {
            Value::Null => request,
            Value::String(zip) if zip == ZIP => {
                request.bytes("application/zip", browser.ask("/api/archive").body)
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
fn targets(browser: &Browser<'_>) -> Vec<Target> {
    let piece = browser.example("tideline-mat");
    let weaving = browser.post(&format!("/api/pieces/{piece}/weavings"), &json!({}), 201);
    let weaving = weaving["id"].as_str().unwrap().to_owned();
    let head = browser.piece(&piece);
    let (base, text) = (&head["head"], &head["text"]);
    let target = |route: &'static Route| {
        let id = if route.path.starts_with("/api/weavings/") { &weaving } else { &piece };
        let address = route.path.replace("{id}", id).replace("{name}", "tideline-mat");
        let mut address = address.replace("{*path}", "index.html");
        if route.path.ends_with("/fell.png") {
            address.push_str("?rows=1&width=60");
        }
        let body = match route.path {
            _ if route.method == Method::GET => Value::Null,
            "/api/enter" => json!({ "token": browser.server.secret }),
            "/api/pieces" => json!({ "start": "plain" }),
            "/api/pieces/{id}/edit" | "/api/pieces/{id}/preview" => {
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
            path => panic!("{path} needs a body to be attacked with"),
        };
        Target { route, address, body }
    };
    TABLE.iter().map(target).collect()
}

fn status(server: &Running, request: &Request) -> u16 {
    let answered = request.send(server.port).expect("an answer");
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

/// Asks all routes in one way. The stream of notices, which has no end, is asked for its head alone.
fn each(change: impl Fn(&Target, Request) -> Request, expected: impl Fn(&Target) -> Option<u16>) {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    for target in targets(&browser) {
        let Some(expected) = expected(&target) else { continue };
        let request = change(&target, target.request(&browser));
        if target.is_stream() && expected == 200 {
            continue;
        }
        let got = status(&server, &request);
        assert_eq!(got, expected, "{} {}: {request:?}", target.route.method, target.address);
    }
}

/// What a route answers to its own page.
fn usual(target: &Target) -> u16 {
    match target.route.path {
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
fn its_own_page_is_answered() {
    each(|_, request| request, |target| Some(usual(target)));
}

#[test]
fn who_was_not_let_in_is_told_nothing() {
    let expected = |target: &Target| Some(if target.route.who == Who::LetIn { 401 } else { usual(target) });
    each(|_, request| request.without("Cookie"), expected);
    let forged = |_: &Target, request: Request| {
        let cookie = format!("fellmark-00000000={0}; fellmark={0}; x", "0".repeat(64));
        request.without("Cookie").with("Cookie", cookie)
    };
    each(forged, expected);
}

#[test]
fn only_its_own_name_is_answered() {
    for host in [
        "evil.example:PORT",
        "127.0.0.1.evil.example:PORT",
        "127.0.0.1",
        "127.0.0.1:1",
        "192.168.0.9:PORT",
        "",
    ] {
        each(
            |_, request| {
                let own = format!("{request:?}");
                let port = own.split("127.0.0.1:").nth(1).unwrap().split('"').next().unwrap();
                request.without("Host").with("Host", host.replace("PORT", port))
            },
            |_| Some(421),
        );
    }
    each(|_, request| request.without("Host"), |_| Some(421));
    each(|_, request| request.with("Host", "evil.example"), |_| Some(421));
    each(
        |_, request| {
            let own = format!("{request:?}");
            let own = own.split("127.0.0.1:").nth(1).unwrap().split('"').next().unwrap().to_owned();
            request.with("Host", format!("127.0.0.1:{own}"))
        },
        |_| Some(421),
    );
}

#[test]
fn a_target_that_names_another_host_is_refused() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    for target in targets(&browser) {
        let address = format!("http://evil.example{}", target.address);
        let request = browser.request(target.route.method.as_str(), &address);
        assert_eq!(status(&server, &request), 421, "{address}");
    }
}

#[test]
fn other_pages_are_refused() {
    for site in ["cross-site", "same-site"] {
        each(
            |_, request| request.without("Sec-Fetch-Site").with("Sec-Fetch-Site", site),
            |target| Some(if is_api(target) { 403 } else { usual(target) }),
        );
    }
    for origin in ["null", "http://evil.example", "http://127.0.0.1:1", "https://127.0.0.1"] {
        each(
            |_, request| request.without("Sec-Fetch-Site").with("Origin", origin),
            |target| Some(if target.changes() { 403 } else { usual(target) }),
        );
    }
}

#[test]
fn no_more_is_read_than_a_route_takes() {
    let too_large = |target: &Target, request: Request| {
        request.without("Content-Length").with("Content-Length", target.route.most + 1)
    };
    each(too_large, |_| Some(413));
    // The same without saying so beforehand.
    let server = Running::start(Limits::default());
    let browser = server.enter();
    for target in targets(&browser).iter().filter(|target| target.changes()) {
        let request = target.request(&browser).without("Content-Length").with("Transfer-Encoding", "chunked");
        let mut bytes = request.head();
        for _ in 0..=(target.route.most >> 16) {
            bytes.extend(b"10000\r\n");
            bytes.extend([b' '; 1 << 16]);
            bytes.extend(b"\r\n");
        }
        bytes.extend(b"0\r\n\r\n");
        let answered = client::raw(server.port, &bytes);
        assert_eq!(answered.map(|answered| answered.status), Some(413), "{}", target.address);
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
                assert_eq!(status(&server, &request), 405, "{method} {}", target.address);
            }
        }
    }
    assert_eq!(status(&server, &browser.request("GET", "/api/nothing")), 404);
}

#[test]
fn slow_clients_are_sent_away() {
    let limits =
        Limits { head: Duration::from_millis(300), body: Duration::from_millis(300), connections: 64 };
    let server = Running::start(limits);
    let browser = server.enter();
    std::thread::scope(|scope| {
        for target in targets(&browser) {
            let head = target.request(&browser).head();
            let port = server.port;
            // Half a head.
            let half = head[..head.len() / 2].to_vec();
            scope.spawn(move || {
                let begun = Instant::now();
                let _ = client::raw(port, &half);
                assert!(begun.elapsed() < Duration::from_secs(5), "a half head is held");
            });
            if !target.changes() {
                continue;
            }
            // A body that comes a byte at a time.
            let address = target.address.clone();
            scope.spawn(move || {
                let begun = Instant::now();
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
                assert!(begun.elapsed() < Duration::from_secs(5), "a slow body is held: {address}");
            });
        }
        // No byte at all, and a connection that is kept without asking again.
        for first in [&b""[..], b"GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n"] {
            let first = String::from_utf8_lossy(first).replace("PORT", &server.port.to_string());
            let mut stream = client::connect(server.port);
            scope.spawn(move || {
                let begun = Instant::now();
                stream.write_all(first.as_bytes()).unwrap();
                let _ = stream.read_to_end(&mut Vec::new());
                assert!(begun.elapsed() < Duration::from_secs(5), "an idle connection is held");
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
            let logs: Vec<_> = weavings.iter().map(|w| store.weaving(w.id).unwrap()).collect();
            let (moves, history) = (store.moves(piece.id).unwrap(), store.history(piece.id).unwrap());
            format!("{moves:?} {history:?} {logs:?}")
        });
        (each.collect::<Vec<_>>(), format!("{pieces:?} {:?}", server.bench.sessions))
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
        let open = ["/", "/favicon.ico", "/assets/{*path}", "/api/enter"];
        assert_eq!(route.who == Who::Anyone, open.contains(&route.path), "{}", route.path);
        assert!(route.method == Method::GET || route.method == Method::POST);
        assert!(route.most <= 64 << 20);
    }
}
