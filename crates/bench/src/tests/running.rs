//! A server that runs while a test does, and a browser that was let in.

use super::client::{Answered, Request};
use crate::bench::Bench;
use crate::{Limits, Server, Settings, Stopper};
use serde_json::{Value, json};
use std::thread::JoinHandle;

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
        let data = tempfile::tempdir().unwrap();
        let settings = Settings { data: data.path().join("pieces"), port: Some(0), assets: None, limits };
        let server = Server::start(settings).unwrap();
        let (port, bench, stopper) = (server.port(), server.bench.clone(), server.stopper());
        let secret = server.entrance(None).split_once('#').unwrap().1.to_owned();
        let thread = Some(std::thread::spawn(move || server.run().unwrap()));
        Running { port, bench, secret, stopper, thread, _data: data }
    }

    pub(super) fn stop(&mut self) {
        self.stopper.stop();
        if let Some(thread) = self.thread.take() {
            thread.join().unwrap();
        }
    }

    /// A request as a browser on this computer sends it from the page.
    pub(super) fn request(&self, method: &str, target: &str) -> Request {
        Request::new(method, target)
            .with("Host", format!("127.0.0.1:{}", self.port))
            .with("Connection", "close")
            .with("Sec-Fetch-Site", "same-origin")
    }

    /// Lets a browser in.
    pub(super) fn enter(&self) -> Browser<'_> {
        let entered =
            self.request("POST", "/api/enter").json(&json!({ "token": self.secret })).send(self.port);
        let entered = entered.unwrap();
        assert_eq!(entered.status, 204, "{}", entered.text());
        let cookie = entered.header("set-cookie").unwrap();
        for word in ["HttpOnly", "SameSite=Strict", "Path=/"] {
            assert!(cookie.contains(word), "{cookie}");
        }
        Browser { server: self, cookie: cookie.split(';').next().unwrap().to_owned() }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.stop();
    }
}

pub(super) struct Browser<'a> {
    pub(super) server: &'a Running,
    pub(super) cookie: String,
}

impl Browser<'_> {
    pub(super) fn request(&self, method: &str, target: &str) -> Request {
        self.server.request(method, target).with("Cookie", &self.cookie)
    }

    pub(super) fn ask(&self, target: &str) -> Answered {
        self.request("GET", target).send(self.server.port).unwrap()
    }

    pub(super) fn get(&self, target: &str) -> Value {
        let answered = self.ask(target);
        assert_eq!(answered.status, 200, "{target}: {}", answered.text());
        answered.json()
    }

    pub(super) fn send(&self, target: &str, body: &Value) -> Answered {
        self.request("POST", target).json(body).send(self.server.port).unwrap()
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
}
