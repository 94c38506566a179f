//! Devices on the network: let in by a code, doing what they may, sent away, and the door shut.

use super::client::{self, At, Request};
use super::notices::Notices;
use super::running::{Browser, Running, asking};
use crate::addresses::Address;
use crate::clocks::Now;
use crate::network::open_at;
use crate::{Limits, lock};
use fellmark_store::{MOST_DEVICES, May, NewDevice, TokenHash};
use serde_json::{Value, json};
use std::io::Write;
use std::net::TcpStream;
use std::time::Duration;

const DAY: Duration = Duration::from_secs(24 * 60 * 60);

fn pair(at: At, code: &str) -> super::client::Answered {
    asking(at, "POST", "/api/pair").json(&json!({ "code": code })).send(at).unwrap()
}

/// A code that is not this one.
fn other(code: &str) -> String {
    code.chars().map(|sign| if sign == '7' { '8' } else { '7' }).take(6).collect()
}

fn devices(here: &Browser<'_>) -> Vec<Value> {
    here.get("/api/network")["devices"].as_array().unwrap().clone()
}

fn weaving(here: &Browser<'_>) -> String {
    let piece = here.example("tideline-mat");
    let weaving = here.post(&format!("/api/pieces/{piece}/weavings"), &json!({}), 201);
    weaving["id"].as_str().unwrap().to_owned()
}

fn tick(by: &Browser<'_>, weaving: &str, row: u32) -> u16 {
    let tick = json!({ "id": format!("{row:032x}"), "row": row, "done": true });
    by.send(&format!("/api/weavings/{weaving}/ticks"), &json!({ "ticks": [tick] })).status
}

#[test]
fn the_network_reaches_nothing_until_it_is_opened_here_and_nothing_after_it_is_shut() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let network = here.get("/api/network");
    assert_eq!((&network["open"], &network["addresses"]), (&json!(false), &json!([])));
    assert!(TcpStream::connect(("127.0.0.2", server.port)).is_err());
    here.post("/api/network/code", &json!({ "may": "edit" }), 409);
    let at = here.open();
    assert_eq!(at.0.port(), server.port, "the same port, where it is free");
    assert_eq!(here.open(), at, "opening it twice changes nothing");
    assert_eq!(asking(at, "GET", "/").send(at).unwrap().status, 200);
    let code = here.code("edit");
    assert_eq!(here.post("/api/network/shut", &json!({}), 200)["open"], false);
    assert!(TcpStream::connect(at.0).is_err());
    let at = here.open();
    assert_eq!(pair(at, &code).status, 410, "codes go with the door");
}

#[test]
fn a_code_lets_one_device_in_and_the_second_comes_too_late() {
    let server = Running::start(Limits { between_tries: Duration::ZERO, ..Limits::default() });
    let here = server.enter();
    let (weaving, at) = (weaving(&here), here.open());
    let offered = here.post("/api/network/code", &json!({ "may": "follow", "weaving": weaving }), 200);
    let code = offered["code"]["words"].as_str().unwrap();
    let link = offered["code"]["link"].as_str().unwrap();
    assert_eq!(link, format!("http://{}/#/let-in/{}", at.0, code.replace(' ', "")));
    let picture = here.ask("/api/network/code.svg");
    assert_eq!(picture.header("content-type"), Some("image/svg+xml"));
    assert!(picture.text().starts_with("<svg"));
    let phone = "Mozilla/5.0 (Linux; Android 10; K) Chrome/156.0.0.0 Mobile Safari/537.36";
    let request = asking(at, "POST", "/api/pair").json(&json!({ "code": code })).with("User-Agent", phone);
    let paired = request.send(at).unwrap();
    assert_eq!(paired.status, 200, "{}", paired.text());
    assert_eq!(paired.json()["weaving"], weaving.as_str(), "it shows the weaving it was asked in for");
    let late = pair(at, code);
    assert_eq!(late.status, 410);
    assert_eq!(late.json()["pair"], true, "a code would help");
    assert!(late.json()["help"].as_str().unwrap().contains("Ask for a new one"));
    let network = here.get("/api/network");
    assert_eq!((&network["code"], &network["over"]), (&Value::Null, &json!("used")));
    assert_eq!(here.ask("/api/network/code.svg").status, 404);
    assert_eq!(devices(&here)[0]["name"], "Android phone");
    assert_eq!(devices(&here)[0]["may"], "follow");
}

#[test]
fn codes_are_tried_slowly() {
    let server = Running::start(Limits { between_tries: DAY, ..Limits::default() });
    let here = server.enter();
    let (at, code) = (here.open(), here.code("edit"));
    assert_eq!(pair(at, &other(&code)).status, 401);
    assert_eq!(pair(at, &code).status, 429, "even the right one, from another device");
}

#[test]
fn wrong_codes_are_counted_and_end_the_code() {
    let server = Running::start(Limits { between_tries: Duration::ZERO, ..Limits::default() });
    let here = server.enter();
    let (at, code) = (here.open(), here.code("edit"));
    let wrong = pair(at, &other(&code));
    assert_eq!((wrong.status, wrong.header("set-cookie")), (401, None));
    assert!(wrong.json()["help"].as_str().unwrap().contains("4 more tries"));
    for left in ["3 more", "2 more", "One more"] {
        let wrong = pair(at, &other(&code));
        assert!(wrong.json()["help"].as_str().unwrap().contains(left), "{left}");
    }
    assert_eq!(pair(at, &other(&code)).status, 410);
    assert_eq!(pair(at, &code).status, 410, "the right one is void");
    assert_eq!(here.get("/api/network")["over"], "guessed");
    assert!(devices(&here).is_empty());
}

#[test]
fn an_expired_code_lets_nobody_in() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let at = here.open();
    // Offered before this machine slept for as long as a code lasts.
    let lasts = Duration::from_secs(300);
    let pairing = || lock(&server.bench.network.pairing);
    let now = Now::new();
    pairing().offer(May::Edit, None, lasts, now.slept_before(lasts));
    let code = pairing().code(now.slept_before(lasts)).unwrap().link();
    let late = pair(at, &code);
    assert_eq!((late.status, late.header("set-cookie")), (410, None));
    assert_eq!(here.get("/api/network")["over"], "late");
}

#[test]
fn a_code_that_let_nobody_in_works_when_there_is_room() {
    let server = Running::start(Limits { between_tries: Duration::ZERO, ..Limits::default() });
    let here = server.enter();
    let at = here.open();
    let store = &server.bench.store;
    for k in 0..MOST_DEVICES as u8 {
        let token = TokenHash::of(&[k; 32]);
        let new = NewDevice { name: format!("Phone {k}"), may: May::Follow, token, lasts: DAY };
        store.let_in(new).unwrap();
    }
    let code = here.code("edit");
    let refused = pair(at, &code);
    assert_eq!((refused.status, refused.header("set-cookie")), (409, None), "{}", refused.text());
    assert!(refused.json()["help"].as_str().unwrap().contains("off the list"));
    let first = devices(&here)[0]["id"].as_str().unwrap().to_owned();
    here.post(&format!("/api/devices/{first}/send-away"), &json!({}), 200);
    assert_eq!(pair(at, &code).status, 200, "the same code");
    assert_eq!(devices(&here).len(), MOST_DEVICES);
}

#[test]
fn where_an_address_goes_its_door_alone_is_shut() {
    let server = Running::start(Limits::default());
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().worker_threads(1).build().unwrap();
    let mask = "255.0.0.0".parse().unwrap();
    let [stays, goes] = ["127.0.0.2", "127.0.0.3"].map(|ip| Address { ip: ip.parse().unwrap(), mask });
    let opened = runtime.block_on(async { open_at(&server.bench, &[stays, goes]) });
    assert!(opened.ok().flatten().is_some());
    let network = &server.bench.network;
    let [first, second] = network.reaches().unwrap()[..] else { panic!("two addresses") };
    assert_eq!(asking(At(second), "GET", "/").send(At(second)).unwrap().status, 200);
    let mut held = client::connect(At(second));
    assert_eq!(network.stay_at(&[stays, goes]), None, "nothing has gone");
    assert_eq!(network.stay_at(&[stays]), Some(true));
    assert_eq!(client::read_to_end(&mut held), b"", "what came by it is ended");
    while TcpStream::connect(second).is_ok() {
        std::thread::yield_now();
    }
    assert_eq!(network.reaches().unwrap(), [first]);
    assert_eq!(asking(At(first), "GET", "/").send(At(first)).unwrap().status, 200);
    assert_eq!(network.stay_at(&[]), Some(false), "then there is none left");
    runtime.block_on(network.settled());
}

#[test]
fn of_two_devices_one_weaves_and_one_follows() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let weaving = weaving(&here);
    let (loomside, looker) = (here.device("edit"), here.device("follow"));
    assert_eq!(
        loomside.get("/api/me"),
        json!({ "here": false, "name": "Device", "may": "edit", "open": true })
    );
    assert_eq!(looker.get("/api/me")["may"], "follow");
    assert_eq!(
        here.get("/api/me"),
        json!({ "here": true, "name": "this computer", "may": "edit", "open": true })
    );
    let mut seen = Notices::of(&looker);
    assert_eq!(tick(&loomside, &weaving, 1), 200);
    let piece = looker.get(&format!("/api/weavings/{weaving}"))["piece"].clone();
    assert_eq!(seen.next(), json!({ "weaving": weaving, "piece": piece, "seq": 1 }));
    assert_eq!(looker.get(&format!("/api/weavings/{weaving}"))["done"], json!([1]));
    assert_eq!(tick(&looker, &weaving, 2), 403);
    let refused = looker.send("/api/pieces", &json!({ "start": "plain" }));
    assert_eq!(refused.status, 403);
    assert!(refused.json()["message"].as_str().unwrap().contains("may follow"));
    assert_eq!(looker.get(&format!("/api/weavings/{weaving}"))["done"], json!([1]));
    // Who did what stands in the history by its name.
    let id: fellmark_store::WeavingId = weaving.parse().unwrap();
    assert_eq!(server.bench.store.weaving(id).unwrap().log.iter().count(), 1);
    let piece = loomside.example("lichen-coaster");
    let history = server.bench.store.history(piece.parse().unwrap()).unwrap();
    assert_eq!(history[0].by, "Device");
}

#[test]
fn what_a_device_may_do_changes_at_once() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let (weaving, phone) = (weaving(&here), here.device("follow"));
    let id = devices(&here)[0]["id"].as_str().unwrap().to_owned();
    let mut stream = Notices::of(&phone);
    assert_eq!(tick(&phone, &weaving, 1), 403);
    here.post(&format!("/api/devices/{id}/may"), &json!({ "may": "edit" }), 200);
    assert!(stream.ended().is_none(), "its stream ends, and begins anew with its new right");
    assert_eq!(tick(&phone, &weaving, 1), 200);
    // A body that was on its way when the right was taken back is not taken.
    let request = phone.request("POST", &format!("/api/weavings/{weaving}/ticks"));
    let body = json!({ "ticks": [{ "id": "f".repeat(32), "row": 2, "done": true }] });
    let request = request.json(&body);
    let mut slow = request.begin(phone.at);
    here.post(&format!("/api/devices/{id}/may"), &json!({ "may": "follow" }), 200);
    let _ = slow.write_all(body.to_string().as_bytes());
    assert_eq!(client::answer(&mut slow).map(|answered| answered.status), Some(401));
    assert_eq!(here.get(&format!("/api/weavings/{weaving}"))["done"], json!([1]));
    assert_eq!(phone.get("/api/me")["may"], "follow");
    here.post(&format!("/api/devices/{}/may", "0".repeat(32)), &json!({ "may": "edit" }), 404);
    here.post("/api/devices/marsh/may", &json!({ "may": "edit" }), 404);
}

#[test]
fn a_device_is_called_as_its_owner_likes_and_stays_so_when_it_pairs_again() {
    let server = Running::start(Limits { between_tries: Duration::ZERO, ..Limits::default() });
    let here = server.enter();
    let (phone, tablet) = (here.device("edit"), here.device("follow"));
    let id = |may: &str| devices(&here).iter().find(|device| device["may"] == may).unwrap()["id"].clone();
    let (phone_id, tablet_id) = (id("edit"), id("follow"));
    let rename = |id: &serde_json::Value, name: &str, status: u16| {
        here.post(&format!("/api/devices/{}/name", id.as_str().unwrap()), &json!({ "name": name }), status)
    };
    let mut stream = Notices::of(&tablet);
    let list = rename(&phone_id, "  Phone at the   loom ", 200);
    let names: Vec<_> = list["devices"].as_array().unwrap().iter().map(|device| &device["name"]).collect();
    assert!(names.contains(&&json!("Phone at the loom")), "{names:?}");
    assert_eq!(stream.next(), json!({ "devices": true }), "its stream goes on");
    assert_eq!(phone.get("/api/me")["name"], "Phone at the loom", "and the device knows it at once");
    // What it changes from now on bears the name.
    let piece = phone.example("tideline-mat");
    let id: fellmark_store::PieceId = piece.parse().unwrap();
    assert_eq!(server.bench.store.history(id).unwrap()[0].by, "Phone at the loom");
    let refused = rename(&tablet_id, "Phone at the loom", 409);
    assert_eq!(refused["message"], "Another device is called Phone at the loom.");
    rename(&phone_id, "Phone at the loom", 200);
    for (name, status) in [(" ", 422), (&*"a".repeat(41), 422), ("\u{7}", 422)] {
        rename(&tablet_id, name, status);
    }
    rename(&json!("0".repeat(32)), "Nobody", 404);
    rename(&json!("marsh"), "Nobody", 404);
    let code = here.code("edit");
    let again = phone.request("POST", "/api/pair").json(&json!({ "code": code }));
    assert_eq!(again.send(phone.at).unwrap().status, 200);
    assert!(devices(&here).iter().any(|device| device["name"] == "Phone at the loom"));
}

#[test]
fn a_device_that_is_sent_away_is_out_at_once_and_told_kindly() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let (phone, tablet) = (here.device("edit"), here.device("follow"));
    let list = devices(&here);
    assert_eq!(list.len(), 2);
    let id = list.iter().find(|device| device["may"] == "edit").unwrap()["id"].as_str().unwrap();
    let (mut stream, mut others) = (Notices::of(&phone), Notices::of(&tablet));
    here.post(&format!("/api/devices/{id}/send-away"), &json!({}), 200);
    assert!(stream.ended().is_none(), "it is not told that the door was shut");
    let refused = phone.ask("/api/pieces");
    assert_eq!(refused.status, 401);
    let said = refused.json();
    assert_eq!((&said["message"], &said["pair"]), (&json!("This device is no longer let in."), &json!(true)));
    assert_eq!(devices(&here).len(), 1);
    assert_eq!(others.next(), json!({ "devices": true }), "the other one stays");
    assert_eq!(tablet.ask("/api/pieces").status, 200);
}

#[test]
fn shutting_ends_every_connection_and_says_so_to_who_listens() {
    let server = Running::start(Limits { head: DAY, body: DAY, ..Limits::default() });
    let here = server.enter();
    let phone = here.device("edit");
    let mut stream = Notices::of(&phone);
    // Connections that are idle, half asked, and that never read.
    let idle = client::connect(phone.at);
    let mut half = client::connect(phone.at);
    half.write_all(b"GET / HTT").unwrap();
    assert_eq!(devices(&here)[0]["now"], true);
    let mut at_home = Notices::of(&here);
    here.post("/api/network/shut", &json!({}), 200);
    assert_eq!(stream.ended().as_deref(), Some("shut"));
    // Ended, not left to themselves until they would be given up.
    for mut open in [idle, half] {
        assert_eq!(client::read_to_end(&mut open), b"");
    }
    assert!(TcpStream::connect(phone.at.0).is_err());
    assert_eq!(at_home.next(), json!({ "devices": true }), "this computer's own page goes on");
    assert_eq!(devices(&here).len(), 1, "the device stays known");
    assert_eq!(devices(&here)[0]["now"], false);
    assert_eq!(here.open(), phone.at);
    assert_eq!(phone.ask("/api/pieces").status, 200, "and comes in again without a code");
}

#[test]
fn a_device_that_pairs_again_stands_in_the_list_once() {
    let server = Running::start(Limits { between_tries: Duration::ZERO, ..Limits::default() });
    let here = server.enter();
    let phone = here.device("follow");
    let code = here.code("edit");
    let request = phone.request("POST", "/api/pair").json(&json!({ "code": code }));
    assert_eq!(request.send(phone.at).unwrap().status, 200);
    let list = devices(&here);
    assert_eq!((list.len(), &list[0]["may"], &list[0]["name"]), (1, &json!("edit"), &json!("Device")));
    assert_eq!(phone.ask("/api/me").status, 401, "its first token is void");
}

#[test]
fn devices_can_not_take_the_places_of_this_computer() {
    let server = Running::start(Limits { connections: 4, ..Limits::default() });
    let here = server.enter();
    let at = here.open();
    let held: Vec<TcpStream> = (0..8).map(|_| client::connect(at)).collect();
    assert_eq!(here.ask("/api/pieces").status, 200);
    drop(held);
}

#[test]
fn one_device_can_not_take_the_places_of_the_others() {
    let server = Running::start(Limits { connections: 8, ..Limits::default() });
    let phone = server.enter().device("edit");
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let held: Vec<_> = runtime.block_on(async {
        let mut held = Vec::new();
        for _ in 0..20 {
            // Another address than the phone's.
            let socket = tokio::net::TcpSocket::new_v4().unwrap();
            socket.bind("127.0.0.3:0".parse().unwrap()).unwrap();
            held.push(socket.connect(phone.at.0).await.unwrap());
        }
        held
    });
    for _ in 0..4 {
        assert_eq!(phone.ask("/api/pieces").status, 200, "places that are given back are free");
    }
    drop(held);
}

#[test]
fn another_page_can_not_try_codes_through_a_phones_browser() {
    let server = Running::start(Limits::default());
    let here = server.enter();
    let (at, code) = (here.open(), here.code("edit"));
    let body = json!({ "code": code });
    let request =
        Request::new("POST", "/api/pair").with("Host", at.0).with("Connection", "close").json(&body);
    for origin in ["http://evil.example", "null", "http://127.0.0.2:1"] {
        assert_eq!(request.clone().with("Origin", origin).send(at).unwrap().status, 403);
    }
    assert_eq!(pair(at, &code).status, 200, "and they cost no try");
}
