//! A tick acknowledged on the disk, against a bare commit of one row of as many bytes in the same kind of file:
//! what the disk alone takes. Both are done in turn, so that a busy disk slows both.

use fellmark_benches::asked_for;
use fellmark_core::side::{Side, Span};
use fellmark_core::weaving::{Counts, Fact, Opening, TickId, Woven};
use fellmark_store::{NewTick, NewWeaving, Store, SystemWorld, World};
use rusqlite::Connection;
use std::error::Error;
use std::time::{Duration, Instant};

fn main() -> Result<(), Box<dyn Error>> {
    let turns = if asked_for() { 3_000 } else { 10 };
    let home = tempfile::tempdir()?;
    let store = Store::open(&home.path().join("store"), SystemWorld)?;
    let opened = store.open_text("schema = 1\n", "bench")?;
    let weaving = store
        .weave(NewWeaving {
            id: None,
            revision: opened.revision,
            counts: Counts { ends: 24, places: vec![] },
            mirrored: false,
            by: "bench".into(),
        })?
        .id;
    let bare = Connection::open(home.path().join("bare.db"))?;
    bare.pragma_update(None, "journal_mode", "WAL")?;
    bare.pragma_update(None, "synchronous", "FULL")?;
    bare.execute_batch("CREATE TABLE row (id INTEGER PRIMARY KEY, woven BLOB) STRICT")?;

    let (mut ticks, mut commits) = (Vec::new(), Vec::new());
    for row in 0..turns {
        let mut id = [0; 16];
        SystemWorld.random(&mut id);
        let tick =
            NewTick { id: TickId(id), row, fact: Fact::Done(woven(row)), at: None, by: "phone".into() };
        let start = Instant::now();
        store.tick(weaving, vec![tick])?;
        ticks.push(start.elapsed());
        let start = Instant::now();
        bare.prepare_cached("INSERT INTO row (woven) VALUES (?1)")?.execute([[7_u8; 60]])?;
        commits.push(start.elapsed());
    }
    println!("{turns} rows, in turn; times in milliseconds");
    println!("{:>24} {:>8} {:>8} {:>8}", "", "p50", "p99", "most");
    for (name, times) in [("a tick acknowledged", &mut ticks), ("a bare commit", &mut commits)] {
        times.sort_unstable();
        println!("{name:>24} {:>8.3} {:>8.3} {:>8.3}", at(times, 0.5), at(times, 0.99), at(times, 1.0));
    }
    println!(
        "{:>24} {:>8.2} {:>8.2}",
        "ratio",
        at(&ticks, 0.5) / at(&commits, 0.5),
        at(&ticks, 0.99) / at(&commits, 0.99)
    );
    Ok(())
}

fn at(sorted: &[Duration], part: f64) -> f64 {
    let last = sorted.len().saturating_sub(1);
    sorted.get((last as f64 * part) as usize).map_or(f64::NAN, |time| time.as_secs_f64() * 1e3)
}

fn woven(row: u32) -> Woven {
    let span = Span::all(24).expect("24 ends are a span");
    Woven {
        weft: "slate".into(),
        yarn: "slate".into(),
        strands: 1,
        from: Side::Left,
        opening: Opening::new(span, |end| (end + row) % 8 < 5),
        before: vec![],
        after: vec![],
    }
}
