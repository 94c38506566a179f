//! The page's files.

use super::running::Running;
use crate::assets::Assets;
use crate::{Limits, Server, Settings, StartError};
use std::path::Path;

#[test]
fn a_file_that_is_known_is_not_sent_again() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let shell = browser.ask("/");
    assert_eq!(shell.header("content-type"), Some("text/html; charset=utf-8"));
    assert_eq!(shell.header("cache-control"), Some("no-cache"));
    let file = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web/index.html")).unwrap();
    assert_eq!(shell.body, file);
    let tag = shell.header("etag").unwrap().to_owned();
    for tags in [tag.clone(), format!("\"other\", W/{tag}")] {
        let again = browser.request("GET", "/assets/index.html").with("If-None-Match", tags);
        let again = again.send(server.port).unwrap();
        assert_eq!((again.status, again.body.len()), (304, 0));
    }
    for path in ["/assets/", "/assets/none.js", "/assets/../Cargo.toml", "/assets/%2e%2e/Cargo.toml"] {
        assert_eq!(browser.ask(path).status, 404, "{path}");
    }
    assert_eq!(browser.ask("/api/pieces").header("cache-control"), Some("no-store"));
}

#[test]
fn files_from_a_folder_are_read_anew_and_none_from_above_it() {
    let home = tempfile::tempdir().unwrap();
    let page = home.path().join("page");
    std::fs::create_dir(&page).unwrap();
    std::fs::write(home.path().join("secret.txt"), "tide").unwrap();
    let assets = Assets::Folder(page.clone());
    let text = |path: &str| assets.get(path).map(|file| String::from_utf8(file.data.into_owned()).unwrap());
    std::fs::write(page.join("index.html"), "one").unwrap();
    assert_eq!(text("index.html").as_deref(), Some("one"));
    std::fs::write(page.join("index.html"), "two").unwrap();
    assert_eq!(text("index.html").as_deref(), Some("two"));
    #[cfg(unix)]
    std::os::unix::fs::symlink(home.path().join("secret.txt"), page.join("link.txt")).unwrap();
    for path in
        ["../secret.txt", "./../secret.txt", "a/../../secret.txt", "link.txt", "", "/", "..", "a\\..\\b"]
    {
        assert_eq!(text(path), None, "{path}");
    }
    let absolute = home.path().join("secret.txt");
    assert_eq!(text(absolute.to_str().unwrap()), None);
}

#[test]
fn starting_says_what_is_in_the_way() {
    let home = tempfile::tempdir().unwrap();
    let settings = |data: &str, port| Settings {
        data: home.path().join(data),
        port,
        assets: None,
        network: None,
        limits: Limits::default(),
    };
    let first = Server::start(settings("one", Some(0))).unwrap();
    let again = Server::start(settings("one", Some(0))).unwrap_err();
    assert!(matches!(again, StartError::Store(_)), "{again}");
    assert!(again.to_string().contains("open already"), "{again}");
    let taken = Server::start(settings("two", Some(first.port()))).unwrap_err();
    assert!(taken.to_string().contains(&format!("Port {}", first.port())), "{taken}");
    let assets = Some(home.path().to_owned());
    let pageless = Server::start(Settings { assets, ..settings("three", Some(0)) }).unwrap_err();
    assert!(pageless.to_string().contains("index.html"), "{pageless}");
}
