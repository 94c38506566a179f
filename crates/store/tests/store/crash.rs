//! Crashes: nothing that was acknowledged is lost, whenever the program is killed or the power goes.

use crate::common::{MAT, TestWorld, done, mix, open, some_row, weave};
use fellmark_store::{Store, SystemWorld, WeavingId, write_tick_id};
use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::time::Duration;

#[test]
fn a_log_cut_anywhere_leaves_the_rows_in_order_and_every_acknowledged_one() {
    const ROWS: u32 = 40;
    let home = tempfile::tempdir().unwrap();
    let (piece, weaving) = {
        let store = open(home.path());
        let (opened, weaving) = weave(&store, MAT);
        (opened.piece, weaving)
    };
    // While the store is open all that is new stands in the log beside the file.
    let store = Store::open(home.path(), TestWorld::with_seed(2)).unwrap();
    let file = store.file().to_owned();
    let log = file.with_file_name("fellmark.db-wal");
    let mut acknowledged = Vec::new();
    for row in 0..ROWS {
        store.tick(weaving, vec![done(row, row, some_row(row))]).unwrap();
        acknowledged.push(fs::metadata(&log).unwrap().len());
    }
    let (file_bytes, log_bytes) = (fs::read(&file).unwrap(), fs::read(&log).unwrap());
    drop(store);

    let place = tempfile::tempdir().unwrap();
    let backups: Vec<_> = fs::read_dir(home.path().join("backups"))
        .unwrap()
        .map(|backup| backup.unwrap().file_name())
        .collect();
    let rows_of_cut = |length: usize| -> u32 {
        let folder = place.path().join(length.to_string());
        fs::create_dir_all(folder.join("backups")).unwrap();
        fs::write(folder.join("fellmark.db"), &file_bytes).unwrap();
        fs::write(folder.join("fellmark.db-wal"), &log_bytes[..length]).unwrap();
        // Today's backup is there, so that none is made a thousand times.
        backups.iter().for_each(|name| fs::write(folder.join("backups").join(name), "").unwrap());
        let store = Store::open(&folder, TestWorld::with_seed(3)).expect("it opens, and is in order");
        assert!(store.was_left_open());
        assert_eq!(store.head(piece).unwrap().text, MAT);
        let kept = store.weaving(weaving).unwrap();
        let rows: Vec<u32> = kept.log.rows().into_keys().collect();
        assert_eq!(rows, (0..rows.len() as u32).collect::<Vec<_>>(), "cut at {length}");
        assert!(kept.log.rows().iter().all(|(&row, &woven)| *woven == some_row(row)), "cut at {length}");
        drop(store);
        fs::remove_dir_all(&folder).unwrap();
        rows.len() as u32
    };
    let cuts: Vec<usize> = (0..log_bytes.len()).step_by(512).chain([log_bytes.len()]).collect();
    assert!(cuts.len() > 200, "only {} cuts", cuts.len());
    let part = |cuts: &[usize]| cuts.iter().map(|&length| rows_of_cut(length)).collect::<Vec<_>>();
    let part = &part;
    let counts: Vec<u32> = std::thread::scope(|scope| {
        let parts: Vec<_> =
            cuts.chunks(cuts.len().div_ceil(4)).map(|cuts| scope.spawn(move || part(cuts))).collect();
        parts.into_iter().flat_map(|part| part.join().unwrap()).collect()
    });
    assert!(counts.is_sorted(), "a longer log has no fewer rows");
    assert_eq!(counts.last(), Some(&ROWS), "the whole log has all rows");
    for (&length, &count) in cuts.iter().zip(&counts) {
        let sure = acknowledged.iter().filter(|&&end| end <= length as u64).count() as u32;
        assert!(count >= sure, "cut at {length}: {count} rows of {sure} acknowledged");
    }
    println!("{} cuts: all in order, no acknowledged row lost", cuts.len());
}

#[test]
fn a_program_killed_at_any_moment_loses_nothing_it_acknowledged() {
    let kills: u64 = std::env::var("FELLMARK_KILLS").map_or(200, |kills| kills.parse().expect("a number"));
    let home = tempfile::tempdir().unwrap();
    let (mut ticks, mut edits, mut unfinished) = (0, 0, 0);
    for kill in 0..kills {
        let mut ticker = Command::new(env!("CARGO_BIN_EXE_store-ticker"))
            .arg(home.path())
            .arg("work")
            .stdout(Stdio::piped())
            .spawn()
            .expect("the ticker starts");
        let mut lines = BufReader::new(ticker.stdout.take().unwrap()).lines();
        // From before its first word on; then somewhere within what it does next.
        let heard = mix(kill) % 12;
        let mut said: Vec<String> = lines.by_ref().take(heard as usize).map(|line| line.unwrap()).collect();
        std::thread::sleep(Duration::from_micros(
            mix(kill + 1_000_000) % if heard == 0 { 30_000 } else { 1_500 },
        ));
        ticker.kill().unwrap();
        ticker.wait().unwrap();
        // A line that was cut off was not heard by anybody; whole lines were.
        said.extend(lines.map_while(Result::ok).filter(|line| line.len() >= 37));

        let store = Store::open(home.path(), SystemWorld).expect("it opens, and is in order");
        let ids = |kind: &str| -> Vec<String> {
            let lines = said.iter().filter_map(|line| line.strip_prefix(kind));
            lines.filter(|id| id.len() == 32).map(str::to_owned).collect()
        };
        assert_eq!(ids("error "), Vec::<String>::new());
        if let Some(weaving) = ids("weaving ").first() {
            let weaving: WeavingId = weaving.parse().unwrap();
            let kept = store.weaving(weaving).expect("the weaving is there");
            let known: BTreeSet<String> = kept.log.iter().map(|(id, _)| write_tick_id(id)).collect();
            let acknowledged = ids("tick ");
            for id in &acknowledged {
                assert!(known.contains(id), "kill {kill}: tick {id} is lost");
            }
            let beyond = known.len() - acknowledged.len();
            assert!(beyond <= 1, "kill {kill}: {beyond} ticks that nobody heard of");
            let rows: Vec<u32> = kept.log.rows().into_keys().collect();
            assert_eq!(rows, (0..known.len() as u32).collect::<Vec<_>>(), "kill {kill}");
            ticks += acknowledged.len();
            unfinished += beyond;
        }
        for id in ids("edit ") {
            store.revision(id.parse().unwrap()).expect("the revision is there");
            edits += 1;
        }
    }
    println!(
        "{kills} kills: {ticks} ticks and {edits} edits acknowledged, 0 lost; {unfinished} more on the disk"
    );
    assert!(ticks as u64 > kills, "only {ticks} ticks were acknowledged");
    assert!(edits > 0);
}
