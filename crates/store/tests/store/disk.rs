//! Disks that are full, folders that may not be written, folders that are taken: each says so, and nothing that
//! was acknowledged is lost.

#![cfg(unix)]

use crate::common::open;
use fellmark_store::{Error, Store, SystemWorld, WeavingId};
use std::fs::{self, Permissions};
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output};

const TICKER: &str = env!("CARGO_BIN_EXE_store-ticker");

fn said(output: &Output) -> Vec<String> {
    String::from_utf8_lossy(&output.stdout).lines().map(str::to_owned).collect()
}

fn ids<'a>(said: &'a [String], kind: &str) -> Vec<&'a str> {
    said.iter().filter_map(|line| line.strip_prefix(kind)).collect()
}

#[test]
fn a_full_disk_is_said_and_what_was_acknowledged_is_there() {
    let home = tempfile::tempdir().unwrap();
    // No file may grow past so many blocks: to the program that is a disk with no more room.
    let limited = "trap '' XFSZ; ulimit -f 2000; exec \"$0\" \"$@\"";
    let output =
        Command::new("sh").args(["-c", limited, TICKER]).arg(home.path()).arg("work").output().unwrap();
    let said = said(&output);
    assert_eq!(output.status.code(), Some(3), "{said:?}");
    let [error] = ids(&said, "error ")[..] else { panic!("{said:?}") };
    assert!(
        error.contains("fellmark.db") && error.contains("isn't saved") && error.contains("disk"),
        "{error}"
    );
    let ticks = ids(&said, "tick ");
    assert!(ticks.len() > 10, "{said:?}");
    assert_eq!(ids(&said, "kept "), [ticks.len().to_string()], "it can be read still");

    let store = Store::open(home.path(), SystemWorld).unwrap();
    let weaving: WeavingId = ids(&said, "weaving ")[0].parse().unwrap();
    let kept = store.weaving(weaving).unwrap();
    let known: Vec<String> = kept.log.iter().map(|(id, _)| fellmark_store::write_tick_id(id)).collect();
    assert_eq!(known.len(), ticks.len());
    assert!(ticks.iter().all(|&id| known.iter().any(|known| known == id)));
    for id in ids(&said, "edit ") {
        store.revision(id.parse().unwrap()).unwrap();
    }
    store.open_text("# with room again, it goes on", "bench").unwrap();
}

/// Runs the ticker as somebody whom permissions hold, also where the tests run as root.
fn ticker_of_nobody(program: &Path, folder: &Path, what: &str) -> Output {
    let mut command = Command::new(program);
    command.arg(folder).arg(what);
    if am_root(folder) {
        command.uid(65_534).gid(65_534);
    }
    command.output().expect("the ticker runs")
}

fn am_root(made_by_me: &Path) -> bool {
    fs::metadata(made_by_me.parent().unwrap()).unwrap().uid() == 0
}

fn hand_over(path: &Path, mode: u32) {
    if am_root(path) {
        chown(path, Some(65_534), Some(65_534)).unwrap();
    }
    fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
}

#[test]
fn a_folder_that_may_not_be_written_is_said() {
    let home = tempfile::tempdir().unwrap();
    fs::set_permissions(home.path(), Permissions::from_mode(0o755)).unwrap();
    let program = home.path().join("ticker");
    fs::copy(TICKER, &program).unwrap();
    fs::set_permissions(&program, Permissions::from_mode(0o755)).unwrap();

    let new = home.path().join("new");
    fs::create_dir(&new).unwrap();
    hand_over(&new, 0o500);
    let kept = home.path().join("kept");
    {
        let store = open(&kept);
        store.open_text("pools", "bench").unwrap();
    }
    let files: Vec<_> = fs::read_dir(&kept).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.iter().for_each(|file| hand_over(file, if file.is_dir() { 0o500 } else { 0o400 }));
    hand_over(&kept, 0o500);
    let before = fs::read(kept.join("fellmark.db")).unwrap();
    for folder in [&new, &kept] {
        let output = ticker_of_nobody(&program, folder, "work");
        let said = said(&output);
        assert_eq!(output.status.code(), Some(3), "{said:?}");
        let [error] = &said[..] else { panic!("{said:?}") };
        assert!(error.contains("may not be written") && error.contains(folder.to_str().unwrap()), "{error}");
        assert!(error.contains("belong to you"), "{error}");
    }
    assert_eq!(fs::read(kept.join("fellmark.db")).unwrap(), before);
    // So that the folder can be removed.
    hand_over(&new, 0o700);
    hand_over(&kept, 0o700);
}

#[test]
fn a_second_program_is_told_that_the_first_is_there() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    assert!(
        matches!(Store::open(home.path(), SystemWorld), Err(Error::InUse { folder }) if folder == home.path())
    );
    let second = || Command::new(TICKER).arg(home.path()).arg("open").output().unwrap();
    let output = second();
    assert_eq!(output.status.code(), Some(3));
    let said = said(&output);
    assert!(said[0].contains("open already") && said[0].contains(home.path().to_str().unwrap()), "{said:?}");
    store.open_text("pools", "bench").unwrap();
    drop(store);
    assert_eq!(second().status.code(), Some(0), "when the first is closed the second may");
}

#[test]
fn everything_kept_is_private() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("one").join("two");
    let store = open(&folder);
    store.open_text("pools", "bench").unwrap();
    store.wait_for_backup();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&folder), 0o700);
    let mut seen = 0;
    for at in [folder.clone(), folder.join("backups")] {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            assert_eq!(mode(&path), if path.is_dir() { 0o700 } else { 0o600 }, "{}", path.display());
            seen += 1;
        }
    }
    assert!(seen >= 5, "the file, its log, its index, the lock, a backup");
    drop(store);
    fs::set_permissions(&folder, Permissions::from_mode(0o755)).unwrap();
    fs::set_permissions(folder.join("fellmark.db"), Permissions::from_mode(0o644)).unwrap();
    drop(open(&folder));
    assert_eq!((mode(&folder), mode(&folder.join("fellmark.db"))), (0o700, 0o600), "and made so again");
    let shared = home.path().join("shared");
    fs::create_dir(&shared).unwrap();
    fs::write(shared.join("letter.txt"), "").unwrap();
    fs::set_permissions(&shared, Permissions::from_mode(0o755)).unwrap();
    drop(open(&shared));
    assert_eq!(mode(&shared), 0o755, "a folder that others use keeps its ways");
    assert_eq!(mode(&shared.join("fellmark.db")), 0o600);
}
