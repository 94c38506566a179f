//! The server as the page meets it, over one kept connection: an edit of a piece of 40 x 200, from its first byte
//! sent to the answer's last byte read, against the same work called directly; a row ticked, against a bare commit
//! of one row in the same kind of file; and the start, to the first answer.

use fellmark_bench::{Limits, Server, Settings, StartError};
use fellmark_benches::{asked_for, plans};
use fellmark_core::say::Units;
use rusqlite::Connection;
use serde_json::{Value, json};
use std::error::Error;
use std::hint::black_box;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Pixels of the picture.
const PIXELS: f64 = 1.2e6;

type Done<T> = Result<T, Box<dyn Error>>;

/// A browser on one connection.
struct Browser {
    stream: BufReader<TcpStream>,
    port: u16,
    cookie: String,
    /// What was said with the last picture.
    about: Value,
}

impl Browser {
    fn ask(&mut self, method: &str, target: &str, body: &Value) -> Done<Value> {
        let bytes = self.bytes(method, target, body)?;
        Ok(if bytes.is_empty() { Value::Null } else { serde_json::from_slice(&bytes)? })
    }

    fn bytes(&mut self, method: &str, target: &str, body: &Value) -> Done<Vec<u8>> {
        let body = if body.is_null() { String::new() } else { body.to_string() };
        let request = format!(
            "{method} {target} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nCookie: {}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\n\r\n{body}",
            self.port,
            self.cookie,
            body.len()
        );
        self.stream.get_mut().write_all(request.as_bytes())?;
        let mut length = 0;
        let mut line = String::new();
        while self.stream.read_line(&mut line)? > 2 {
            let lower = line.to_ascii_lowercase();
            if let Some(value) = lower.strip_prefix("content-length:") {
                length = value.trim().parse()?;
            }
            if let Some(about) = lower.strip_prefix("x-picture:") {
                self.about = serde_json::from_str(about)?;
            }
            if let Some(cookie) = lower.strip_prefix("set-cookie:") {
                self.cookie = cookie.split(';').next().unwrap_or_default().trim().to_owned();
            }
            line.clear();
        }
        let mut bytes = vec![0; length];
        self.stream.read_exact(&mut bytes)?;
        Ok(bytes)
    }
}

fn open(data: &std::path::Path) -> Done<(Browser, fellmark_bench::Stopper, std::thread::JoinHandle<()>)> {
    let settings = Settings {
        data: data.to_owned(),
        port: Some(0),
        assets: None,
        limits: Limits::default(),
        network: None,
    };
    let server = Server::start(settings)?;
    let (port, stopper) = (server.port(), server.stopper());
    let entrance = server.entrance(None);
    let token = entrance.split_once('#').map_or("", |(_, token)| token).to_owned();
    let thread = std::thread::spawn(move || drop(server.run(|_| Ok::<(), StartError>(()))));
    let stream = TcpStream::connect(("127.0.0.1", port))?;
    stream.set_nodelay(true)?;
    let mut browser =
        Browser { stream: BufReader::new(stream), port, cookie: String::new(), about: Value::Null };
    browser.ask("POST", "/api/enter", &json!({ "token": token }))?;
    Ok((browser, stopper, thread))
}

fn main() -> Done<()> {
    let turns: u32 = if asked_for() { 300 } else { 3 };
    let home = tempfile::tempdir()?;
    let mut starts = Vec::new();
    for k in 0..turns.min(30) {
        let start = Instant::now();
        let (_, stopper, thread) = open(&home.path().join(format!("start-{k}")))?;
        starts.push(start.elapsed());
        stopper.stop();
        let _ = thread.join();
    }

    let (mut browser, stopper, thread) = open(&home.path().join("store"))?;
    let text = plans::diagonal(40, 200);
    let made = browser.ask("POST", "/api/pieces", &json!({ "text": text }))?;
    let piece = made["id"].as_str().ok_or("no piece")?.to_owned();
    let mut head = browser.ask("GET", &format!("/api/pieces/{piece}"), &Value::Null)?["head"].clone();
    let (mut edits, mut direct) = (Vec::new(), Vec::new());
    for turn in 0..turns {
        let edit = json!({ "edit": "band_rows", "band": "tide", "rows": 190 + turn * 7 % 23 });
        let start = Instant::now();
        let after = browser.ask(
            "POST",
            &format!("/api/pieces/{piece}/edit"),
            &json!({ "base": head, "edit": edit }),
        )?;
        edits.push(start.elapsed());
        head = after["head"].clone();
        let text = after["text"].as_str().ok_or("no text")?;
        let start = Instant::now();
        let (note, study) = fellmark_note::study(text).map_err(|problem| problem.message)?;
        let told = fellmark_report::told(&study, Units::Metric);
        let yarn = fellmark_report::yarn(&study, Units::Metric);
        black_box((&note, serde_json::to_vec(&told)?, serde_json::to_vec(&yarn)?));
        direct.push(start.elapsed());
    }

    // A crossing touched, then what of a picture of 1.2 million pixels is otherwise: as the page asks for it.
    let (mut pictures, mut alone, mut remedies) = (Vec::new(), Vec::new(), Vec::new());
    let mut sizes = 0;
    let picture = |browser: &mut Browser, width: f64, rev: &Value, from: &str| {
        let rev = rev.as_str().unwrap_or_default();
        let target = format!("/api/pieces/{piece}/picture?width={width}&rev={rev}{from}");
        browser.bytes("GET", &target, &Value::Null)
    };
    picture(&mut browser, 1000.0, &head, "")?;
    let high = browser.about["height"].as_f64().ok_or("no height")? / 1000.0;
    let width = (PIXELS / high).sqrt().round();
    let whole = picture(&mut browser, width, &head, "")?.len();
    for turn in 0..turns * 2 {
        let (row, end) = (1 + turn * 7 % 180, 1 + turn * 11 % 38);
        let pass = if turn % 2 == 0 { "over" } else { "under" };
        let edit =
            json!({ "edit": "touch", "band": "tide", "row": row, "ends": [end, end + 1], "pass": pass });
        let was = head.as_str().unwrap_or_default().to_owned();
        let start = Instant::now();
        let after = browser.ask(
            "POST",
            &format!("/api/pieces/{piece}/edit"),
            &json!({ "base": head, "edit": edit }),
        )?;
        if head == after["head"] {
            // It lay so already.
            continue;
        }
        head = after["head"].clone();
        let touched = Instant::now();
        sizes += picture(&mut browser, width, &head, &format!("&from={was}"))?.len();
        pictures.push(start.elapsed());
        alone.push(touched.elapsed());
        let seen = Instant::now();
        let target = format!("/api/pieces/{piece}/remedies?rev={}", head.as_str().unwrap_or_default());
        black_box(browser.bytes("GET", &target, &Value::Null)?);
        remedies.push(seen.elapsed());
        // Taken back, so that touches don't pile up.
        let was = head.as_str().unwrap_or_default().to_owned();
        head = browser.ask("POST", &format!("/api/pieces/{piece}/undo"), &json!({ "base": head }))?["head"]
            .clone();
        picture(&mut browser, width, &head, &format!("&from={was}"))?;
    }

    let bare = Connection::open(home.path().join("bare.db"))?;
    bare.pragma_update(None, "journal_mode", "WAL")?;
    bare.pragma_update(None, "synchronous", "FULL")?;
    bare.execute_batch("CREATE TABLE row (id INTEGER PRIMARY KEY, woven BLOB) STRICT")?;
    let (mut ticks, mut commits) = (Vec::new(), Vec::new());
    for round in 0..turns.div_ceil(190) * 5 {
        let made = browser.ask("POST", &format!("/api/pieces/{piece}/weavings"), &json!({}))?;
        let weaving = made["id"].as_str().ok_or("no weaving")?.to_owned();
        for row in 1..=190_u32.min(turns) {
            let id = format!("{round:016x}{row:016x}");
            let tick = json!({ "ticks": [{ "id": id, "row": row, "done": true }] });
            let start = Instant::now();
            let state = browser.ask("POST", &format!("/api/weavings/{weaving}/ticks"), &tick)?;
            ticks.push(start.elapsed());
            if state["next_row"] != row + 1 {
                return Err(format!("row {row} is not done: {state}").into());
            }
            let start = Instant::now();
            bare.prepare_cached("INSERT INTO row (woven) VALUES (?1)")?.execute([[7_u8; 60]])?;
            commits.push(start.elapsed());
        }
    }
    stopper.stop();
    let _ = thread.join();

    println!("times in milliseconds");
    println!("{:>36} {:>6} {:>8} {:>8} {:>8}", "", "times", "p50", "p99", "most");
    for (name, times) in [
        ("start to the first answer", &mut starts),
        ("an edit of 40 x 200 answered", &mut edits),
        ("the same called directly", &mut direct),
        ("a touch, to its picture's last byte", &mut pictures),
        ("of that, the picture alone", &mut alone),
        ("then what takes its findings away", &mut remedies),
        ("a row ticked and acknowledged", &mut ticks),
        ("a bare commit", &mut commits),
    ] {
        times.sort_unstable();
        let of = |part| at(times, part);
        println!("{name:>36} {:>6} {:>8.3} {:>8.3} {:>8.3}", times.len(), of(0.5), of(0.99), of(1.0));
    }
    println!(
        "a picture of {width} x {:.0} px is {} kB; of it a touch sends {} kB in the mean",
        width * high,
        whole / 1000,
        sizes / pictures.len().max(1) / 1000
    );
    println!(
        "a tick over a bare commit: {:.2} (p50), {:.2} (p99); an edit over the direct call: {:.2} (p50)",
        at(&ticks, 0.5) / at(&commits, 0.5),
        at(&ticks, 0.99) / at(&commits, 0.99),
        at(&edits, 0.5) / at(&direct, 0.5),
    );
    Ok(())
}

fn at(sorted: &[Duration], part: f64) -> f64 {
    let last = sorted.len().saturating_sub(1);
    sorted.get((last as f64 * part) as usize).map_or(f64::NAN, |time| time.as_secs_f64() * 1e3)
}
