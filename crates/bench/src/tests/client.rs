//! A client that sends just what it is told, and what it gets back.

use serde_json::Value;
use std::io::{ErrorKind, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::time::Duration;

/// An answer.
#[derive(Debug)]
pub(super) struct Answered {
    pub(super) status: u16,
    head: String,
    pub(super) body: Vec<u8>,
}

impl Answered {
    /// A header's value.
    pub(super) fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(':'));
        lines.filter(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value.trim()).next()
    }

    pub(super) fn text(&self) -> &str {
        std::str::from_utf8(&self.body).unwrap()
    }

    pub(super) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }
}

/// Where a request goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct At(pub(super) SocketAddr);

impl From<u16> for At {
    /// Loopback.
    fn from(port: u16) -> At {
        At((Ipv4Addr::LOCALHOST, port).into())
    }
}

pub(super) fn connect(at: impl Into<At>) -> TcpStream {
    let stream = TcpStream::connect(at.into().0).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    stream
}

/// Sends these bytes and reads the answer to its end. `None` if the connection is closed without one.
pub(super) fn raw(at: impl Into<At>, request: &[u8]) -> Option<Answered> {
    let mut stream = connect(at);
    // The server may answer, and close, before it has read everything.
    let _ = stream.write_all(request);
    answer(&mut stream)
}

/// Waits until the connection is ended, by a word or a reset: one that is held for ever is told as that.
pub(super) fn read_to_end(stream: &mut TcpStream) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut part = [0; 1 << 14];
    loop {
        match stream.read(&mut part) {
            Ok(0) => return bytes,
            Ok(count) => bytes.extend_from_slice(&part[..count]),
            Err(error) => {
                let held = matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut);
                assert!(!held, "nothing comes, and no end: {:?}", String::from_utf8_lossy(&bytes));
                return bytes;
            }
        }
    }
}

/// Reads an answer to the end of the connection.
pub(super) fn answer(stream: &mut TcpStream) -> Option<Answered> {
    let bytes = read_to_end(stream);
    let end = bytes.windows(4).position(|window| window == b"\r\n\r\n")?;
    let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
    let status = head.split(' ').nth(1)?.parse().unwrap();
    let mut answered = Answered { status, head, body: bytes[end + 4..].to_vec() };
    if answered.header("transfer-encoding") == Some("chunked") {
        answered.body = joined(&answered.body);
    }
    Some(answered)
}

fn joined(mut chunks: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(line) = chunks.windows(2).position(|window| window == b"\r\n") {
        let size = usize::from_str_radix(std::str::from_utf8(&chunks[..line]).unwrap(), 16).unwrap();
        body.extend_from_slice(&chunks[line + 2..line + 2 + size]);
        chunks = &chunks[line + 2 + size + 2..];
        if size == 0 {
            break;
        }
    }
    body
}

/// A request, built line by line.
#[derive(Debug, Clone)]
pub(super) struct Request {
    line: String,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

impl Request {
    pub(super) fn new(method: &str, target: &str) -> Request {
        Request { line: format!("{method} {target} HTTP/1.1"), headers: Vec::new(), body: Vec::new() }
    }

    #[must_use]
    pub(super) fn with(mut self, name: &str, value: impl ToString) -> Request {
        self.headers.push((name.to_owned(), value.to_string()));
        self
    }

    /// Without any header of this name.
    #[must_use]
    pub(super) fn without(mut self, name: &str) -> Request {
        self.headers.retain(|(known, _)| !known.eq_ignore_ascii_case(name));
        self
    }

    #[must_use]
    pub(super) fn json(self, body: &Value) -> Request {
        self.bytes("application/json", body.to_string().into_bytes())
    }

    #[must_use]
    pub(super) fn bytes(self, kind: &str, bytes: Vec<u8>) -> Request {
        let mut request = self.with("Content-Type", kind).with("Content-Length", bytes.len());
        request.body = bytes;
        request
    }

    /// The bytes up to the body.
    pub(super) fn head(&self) -> Vec<u8> {
        let headers: String =
            self.headers.iter().map(|(name, value)| format!("{name}: {value}\r\n")).collect();
        format!("{}\r\n{headers}\r\n", self.line).into_bytes()
    }

    /// Sends its head and waits until it is in hand: what asks for that is told to go on with its body (RFC 9110,
    /// 10.1.1).
    pub(super) fn begin(&self, at: impl Into<At>) -> TcpStream {
        let mut stream = connect(at);
        let request = self.clone().with("Expect", "100-continue");
        stream.write_all(&request.head()).unwrap();
        let go_on = b"HTTP/1.1 100 Continue\r\n\r\n";
        let mut told = vec![0; go_on.len()];
        stream.read_exact(&mut told).unwrap();
        assert_eq!(told, go_on, "{}", String::from_utf8_lossy(&told));
        stream
    }

    pub(super) fn send(&self, at: impl Into<At>) -> Option<Answered> {
        raw(at, &[self.head(), self.body.clone()].concat())
    }
}

/// The text at a key of what was answered.
pub(super) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_else(|| panic!("no {key} in {value}"))
}
