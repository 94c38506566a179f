//! A small program for the tests to kill: it keeps things in a store for as long as it may, and prints the id of
//! each as soon as it was acknowledged.
//!
//! ```text
//! store-ticker FOLDER open     only opens the folder
//! store-ticker FOLDER work     a weaving, then ticks, and now and then a change of its piece
//! ```
//! It prints a line `weaving ID`, `tick ID` or `edit ID` for each; when the store says no, a line `error WORDS`
//! and, if it is open, `kept N` with the number of ticks that can be read still, and ends with status 3.

use fellmark_core::side::{Side, Span};
use fellmark_core::weaving::{Act, Counts, Fact, Opening, PlaceRows, TickId, Woven};
use fellmark_store::{
    Change, Changed, Error, NewTick, NewWeaving, Store, SystemWorld, WeavingId, World, write_tick_id,
};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().collect();
    let [_, folder, what] = args.as_slice() else {
        eprintln!("store-ticker FOLDER open|work");
        return ExitCode::from(2);
    };
    let store = match Store::open(Path::new(folder), SystemWorld) {
        Ok(store) => store,
        Err(error) => {
            say(&format!("error {error}"));
            return ExitCode::from(3);
        }
    };
    if what == "open" {
        return ExitCode::SUCCESS;
    }
    let mut weaving = None;
    let Err(error) = work(&store, &mut weaving) else { return ExitCode::SUCCESS };
    say(&format!("error {error}"));
    if let Some(weaving) = weaving.and_then(|weaving| store.weaving(weaving).ok()) {
        say(&format!("kept {}", weaving.log.len()));
    }
    ExitCode::from(3)
}

fn say(line: &str) {
    let mut out = io::stdout().lock();
    // Whoever reads may be gone.
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

fn work(store: &Store, told: &mut Option<WeavingId>) -> Result<(), Error> {
    let opened = store.open_text("schema = 1\n# a marsh in winter\n", "ticker")?;
    let counts = Counts { ends: 24, places: vec![PlaceRows { band: "tide".into(), rows: 19_000 }] };
    let weaving = store
        .weave(NewWeaving {
            id: None,
            revision: opened.revision,
            counts,
            mirrored: false,
            by: "ticker".into(),
        })?
        .id;
    *told = Some(weaving);
    say(&format!("weaving {weaving}"));
    let mut base = store.head(opened.piece)?.revision.id;
    for row in 0..19_000 {
        let mut id = [0; 16];
        SystemWorld.random(&mut id);
        let tick =
            NewTick { id: TickId(id), row, fact: Fact::Done(woven(row)), at: None, by: "ticker".into() };
        for ticked in store.tick(weaving, vec![tick])? {
            say(&format!("tick {}", write_tick_id(ticked.id)));
        }
        if row % 5 == 4 {
            let text = format!("schema = 1\n# a marsh in winter, row {row} of {weaving}\n");
            let change = Change { id: None, base, text, label: "{}".into(), by: "ticker".into() };
            let (Changed::Saved(head) | Changed::Nothing(head)) = store.edit(opened.piece, change)? else {
                return Err(Error::Closed);
            };
            base = head.revision.id;
            say(&format!("edit {base}"));
        }
    }
    Ok(())
}

fn woven(row: u32) -> Woven {
    let span = Span::all(24).expect("24 ends are a span");
    Woven {
        weft: "slate".into(),
        yarn: "slate".into(),
        strands: 1,
        from: if row.is_multiple_of(2) { Side::Left } else { Side::Right },
        opening: Opening::new(span, |end| (end + row) % 8 < 5),
        before: vec![],
        after: vec![Act::Cut { side: Side::Left }],
    }
}
