//! Notices of change as they come to a window.

use super::client;
use super::running::Browser;
use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

/// A stream of notices.
pub(super) struct Notices(BufReader<TcpStream>);

impl Notices {
    pub(super) fn of(browser: &Browser<'_>) -> Notices {
        let mut stream = client::connect(browser.at);
        stream.write_all(&browser.request("GET", "/api/events").head()).unwrap();
        let mut notices = Notices(BufReader::new(stream));
        let head = notices.until(|line| line.is_empty());
        assert!(
            head.iter().any(|line| line.eq_ignore_ascii_case("content-type: text/event-stream")),
            "{head:?}"
        );
        notices.until(|line| line.starts_with("retry:"));
        notices
    }

    fn until(&mut self, last: impl Fn(&str) -> bool) -> Vec<String> {
        let mut lines = Vec::new();
        loop {
            let mut line = String::new();
            assert!(self.0.read_line(&mut line).unwrap() > 0, "the stream ended: {lines:?}");
            let line = line.trim_end().to_owned();
            let is_last = last(&line);
            lines.push(line);
            if is_last {
                return lines;
            }
        }
    }

    /// Waits until the stream ends, and gives the name of its last event, if that has one.
    pub(super) fn ended(&mut self) -> Option<String> {
        let mut all = String::new();
        self.0.read_to_string(&mut all).unwrap();
        let name = all.lines().filter_map(|line| line.strip_prefix("event:")).next_back();
        name.map(|name| name.trim().to_owned())
    }

    /// Waits until the stream ends, and gives what came of it.
    pub(super) fn rest(mut self) -> String {
        let mut all = String::new();
        self.0.read_to_string(&mut all).unwrap();
        all
    }

    pub(super) fn next(&mut self) -> Value {
        let lines = self.until(|line| line.starts_with("data:"));
        serde_json::from_str(lines.last().unwrap().strip_prefix("data:").unwrap()).unwrap()
    }
}
