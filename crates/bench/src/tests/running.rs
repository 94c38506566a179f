//! A server that runs while a test does, and a browser that was let in.

use super::client::{Answered, At, Request};
use crate::bench::Bench;
use crate::{Limits, Server, Settings, StartError, Stopper};
use serde_json::{Value, json};
use std::net::{IpAddr, Ipv4Addr};
use std::path::Path;
use std::thread::JoinHandle;
use std::time::Duration;

/// Stands for an address of this machine on its network, of which a test machine may have none. (All of 127/8 is
/// loopback on Linux, but to the server this is an address like any other.)
const NETWORK: IpAddr = IpAddr::V4(Ipv4Addr::new(127, 0, 0, 2));

pub(super) struct Running {
    pub(super) port: u16,
    pub(super) bench: Bench,
    pub(super) secret: String,
    stopper: Stopper,
    thread: Option<JoinHandle<()>>,
    _data: tempfile::TempDir,
}

impl Running {
    pub(super) fn start(limits: Limits) -> Running {
        Running::start_with(limits, |_| {})
    }

    /// Starts it in a folder that was made ready.
    pub(super) fn start_with(limits: Limits, ready: impl FnOnce(&Path)) -> Running {
        let data = tempfile::tempdir().unwrap();
        std::fs::create_dir(data.path().join("pieces")).unwrap();
        ready(&data.path().join("pieces"));
        let settings = Settings {
            data: data.path().join("pieces"),
            port: Some(0),
            assets: None,
            network: Some(NETWORK),
            limits,
        };
        let server = Server::start(settings).unwrap();
        let (port, bench, stopper) = (server.port(), server.bench.clone(), server.stopper());
        let secret = server.entrance(None).split_once('#').unwrap().1.to_owned();
        let thread = Some(std::thread::spawn(move || server.run(|_| Ok::<(), StartError>(())).unwrap()));
        Running { port, bench, secret, stopper, thread, _data: data }
    }

    pub(super) fn stop(&mut self) {
        self.stopper.stop();
        if let Some(thread) = self.thread.take() {
            thread.join().unwrap();
        }
    }

    /// Where its browsers on this computer reach it.
    pub(super) fn here(&self) -> At {
        self.port.into()
    }

    /// A request as a browser on this computer sends it from the page.
    pub(super) fn request(&self, method: &str, target: &str) -> Request {
        asking(self.here(), method, target)
    }

    /// Lets a browser in.
    pub(super) fn enter(&self) -> Browser<'_> {
        let entered =
            self.request("POST", "/api/enter").json(&json!({ "token": self.secret })).send(self.port);
        let entered = entered.unwrap();
        assert_eq!(entered.status, 204, "{}", entered.text());
        Browser { server: self, at: self.here(), cookie: cookie(&entered) }
    }
}

/// A request as a browser sends it from the page at this address.
pub(super) fn asking(at: At, method: &str, target: &str) -> Request {
    let request = Request::new(method, target).with("Host", at.0).with("Connection", "close");
    // Over plain http browsers say where a request comes from on loopback alone; elsewhere they give the origin
    // of what is no GET.
    match (at.0.ip() == Ipv4Addr::LOCALHOST, method) {
        (true, _) => request.with("Sec-Fetch-Site", "same-origin"),
        (false, "GET" | "HEAD") => request,
        (false, _) => request.with("Origin", format!("http://{}", at.0)),
    }
}

/// The cookie that was set, as it is sent back.
fn cookie(answered: &Answered) -> String {
    let cookie = answered.header("set-cookie").unwrap();
    for word in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    cookie.split(';').next().unwrap().to_owned()
}

impl Drop for Running {
    fn drop(&mut self) {
        self.stop();
    }
}

/// A browser that was let in.
pub(super) struct Browser<'a> {
    pub(super) server: &'a Running,
    pub(super) at: At,
    pub(super) cookie: String,
}

impl<'a> Browser<'a> {
    pub(super) fn request(&self, method: &str, target: &str) -> Request {
        asking(self.at, method, target).with("Cookie", &self.cookie)
    }

    pub(super) fn ask(&self, target: &str) -> Answered {
        self.request("GET", target).send(self.at).unwrap()
    }

    pub(super) fn get(&self, target: &str) -> Value {
        let answered = self.ask(target);
        assert_eq!(answered.status, 200, "{target}: {}", answered.text());
        answered.json()
    }

    pub(super) fn send(&self, target: &str, body: &Value) -> Answered {
        self.request("POST", target).json(body).send(self.at).unwrap()
    }

    /// Sends, and expects this status.
    pub(super) fn post(&self, target: &str, body: &Value, status: u16) -> Value {
        let answered = self.send(target, body);
        assert_eq!(answered.status, status, "{target}: {}", answered.text());
        answered.json()
    }

    /// A piece made from an example.
    pub(super) fn example(&self, name: &str) -> String {
        let made = self.post("/api/pieces", &json!({ "example": name }), 201);
        made["id"].as_str().unwrap().to_owned()
    }

    pub(super) fn piece(&self, id: &str) -> Value {
        self.get(&format!("/api/pieces/{id}"))
    }

    /// Opens the network, and says where devices reach the server.
    pub(super) fn open(&self) -> At {
        let network = self.post("/api/network/open", &json!({}), 200);
        let address = network["addresses"][0].as_str().unwrap();
        At(address.trim_start_matches("http://").trim_end_matches('/').parse().unwrap())
    }

    /// A new code, as it is typed.
    pub(super) fn code(&self, may: &str) -> String {
        let network = self.post("/api/network/code", &json!({ "may": may }), 200);
        network["code"]["words"].as_str().unwrap().to_owned()
    }

    /// Lets a device in by a code, from the network.
    pub(super) fn device(&self, may: &str) -> Browser<'a> {
        let (at, code) = (self.open(), self.code(may));
        let paired = loop {
            let paired = asking(at, "POST", "/api/pair").json(&json!({ "code": code })).send(at).unwrap();
            if paired.status != 429 {
                break paired;
            }
            std::thread::sleep(Duration::from_millis(100));
        };
        assert_eq!(paired.status, 200, "{}", paired.text());
        Browser { server: self.server, at, cookie: cookie(&paired) }
    }
}
