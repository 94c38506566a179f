//! `fellmark open` as people run it: the real program, its address, and its end.
#![cfg(unix)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

struct Open {
    child: Child,
    port: u16,
    secret: String,
    piece: Option<String>,
    said: String,
}

fn fellmark(args: &[&str], data: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fellmark"));
    command.args(args).env("XDG_DATA_HOME", data).stdin(Stdio::null()).stdout(Stdio::piped());
    command.stderr(Stdio::piped());
    command
}

fn open(args: &[&str], data: &Path) -> Open {
    let mut child = fellmark(args, data).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let mut said = String::new();
    let address = loop {
        let line = lines.next().expect("an address");
        said.push_str(&line);
        said.push('\n');
        if let Some(address) = line.trim().strip_prefix("http://127.0.0.1:") {
            break address.to_owned();
        }
    };
    said.extend(lines.by_ref().take(2).map(|line| line + "\n"));
    let (port, way) = address.split_once("/#").unwrap();
    let (secret, piece) = way.split_once("/piece/").map_or((way, None), |(s, p)| (s, Some(p.to_owned())));
    Open { port: port.parse().unwrap(), secret: secret.to_owned(), piece, said, child }
}

impl Open {
    fn send(&self, request: &str) -> BufReader<TcpStream> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        let (line, rest) = request.split_once('\n').unwrap();
        let request = format!("{line} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n{rest}", self.port);
        stream.write_all(request.as_bytes()).unwrap();
        BufReader::new(stream)
    }

    fn enter(&self) -> String {
        let body = format!("{{\"token\":\"{}\"}}", self.secret);
        let head = format!("Content-Type: application/json\r\nContent-Length: {}\r\n", body.len());
        let answer = self.send(&format!("POST /api/enter\n{head}Connection: close\r\n\r\n{body}"));
        let lines: Vec<String> = answer.lines().map(Result::unwrap).collect();
        assert!(lines[0].contains("204"), "{lines:?}");
        let cookie = lines.iter().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap();
        cookie.split(';').next().unwrap().to_owned()
    }

    fn get(&self, cookie: &str, target: &str) -> String {
        let mut answer = String::new();
        let request = format!("GET {target}\nCookie: {cookie}\r\nConnection: close\r\n\r\n");
        self.send(&request).read_to_string(&mut answer).unwrap();
        answer
    }

    /// Asks the program to end, and waits until it has.
    fn end(&mut self, signal: &str) {
        let pid = self.child.id().to_string();
        assert!(Command::new("kill").args([signal, &pid]).status().unwrap().success());
        let status = self.child.wait().unwrap();
        assert!(status.success(), "{status}");
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

#[test]
fn it_ends_when_asked_although_a_page_listens() {
    let home = tempfile::tempdir().unwrap();
    for signal in ["-TERM", "-INT", "-HUP"] {
        let mut fellmark = open(&["open", "--no-browser"], home.path());
        let cookie = fellmark.enter();
        let mut stream = fellmark.send(&format!("GET /api/events\nCookie: {cookie}\r\n\r\n"));
        let mut line = String::new();
        stream.read_line(&mut line).unwrap();
        assert!(line.contains("200"), "{line}");
        fellmark.end(signal);
        // It was brought to its end (RFC 9112, 7.1: the last chunk has no length), not waited for and cut at last.
        stream.read_to_string(&mut line).unwrap();
        assert!(line.ends_with("0\r\n\r\n"), "{line:?}");
    }
}

#[test]
fn it_ends_well_as_soon_as_its_address_is_told() {
    let home = tempfile::tempdir().unwrap();
    for _ in 0..10 {
        open(&["open", "--no-browser"], home.path()).end("-TERM");
    }
}

#[test]
fn a_plan_is_brought_in_once_and_stays() {
    let home = tempfile::tempdir().unwrap();
    let data = home.path().join("kept here");
    let plan = example("tideline-mat.toml");
    let args = ["open", "--no-browser", "--data", data.to_str().unwrap(), plan.to_str().unwrap()];
    let mut first = open(&args, home.path());
    assert!(first.said.contains(data.to_str().unwrap()), "{}", first.said);
    let piece = first.piece.clone().unwrap();
    assert!(first.get(&first.enter(), &format!("/api/pieces/{piece}")).contains("Tideline mat"));
    // Two of them on the same pieces would not know of each other.
    let second = fellmark(&args, home.path()).output().unwrap();
    assert_eq!(second.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&second.stderr).contains("open already"));
    first.end("-TERM");
    let again = open(&args, home.path());
    assert_eq!(again.piece.as_ref(), Some(&piece));
    assert_ne!(again.secret, first.secret);
    let known = again.get(&again.enter(), "/api/pieces");
    assert_eq!(known.matches("\"head\"").count(), 1, "{known}");
    let mode = std::fs::metadata(&data).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o700);
}

#[test]
fn that_no_backup_can_be_made_is_told_at_the_start() {
    let home = tempfile::tempdir().unwrap();
    let data = home.path().join("kept here");
    std::fs::create_dir(&data).unwrap();
    // A file stands where the folder of backups should be.
    std::fs::write(data.join("backups"), "").unwrap();
    let plan = example("tideline-mat.toml");
    let args = ["open", "--no-browser", "--data", data.to_str().unwrap(), plan.to_str().unwrap()];
    let mut open = open(&args, home.path());
    let mut told = String::new();
    BufReader::new(open.child.stderr.take().unwrap()).read_line(&mut told).unwrap();
    assert!(told.contains("no backup of today") && told.contains("backups"), "{told}");
    open.end("-TERM");
}

#[test]
fn a_text_that_is_no_plan_is_told_and_nothing_is_opened() {
    let home = tempfile::tempdir().unwrap();
    let plan = home.path().join("bad.toml");
    std::fs::write(&plan, "schema = 1\nname = 3\n").unwrap();
    let said = fellmark(&["open", "--no-browser", plan.to_str().unwrap()], home.path()).output().unwrap();
    assert_eq!(said.status.code(), Some(2));
    let words = String::from_utf8(said.stderr).unwrap();
    assert!(words.contains("bad.toml:2:8"), "{words}");
    assert!(!home.path().join("fellmark").exists());
}

// Elsewhere a browser is found without looking for it on the path.
#[cfg(target_os = "linux")]
#[test]
fn without_a_command_it_opens() {
    let home = tempfile::tempdir().unwrap();
    // No browser to be found: it says so, and goes on.
    let mut command = fellmark(&[], home.path());
    let mut child = command.env("PATH", home.path()).env_remove("BROWSER").spawn().unwrap();
    let mut line = String::new();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    out.read_line(&mut line).unwrap();
    assert_eq!(line, "Fellmark is open at\n");
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(home.path().join("fellmark").is_dir(), "where the system keeps a user's data");
}
