//! A world that says the same every time, and plans to keep.

use fellmark_core::side::{Side, Span};
use fellmark_core::study::{Study, study};
use fellmark_core::weaving::{Counts, Fact, Moment, Opening, TickId, Woven};
use fellmark_store::{NewTick, NewWeaving, Opened, Store, WeavingId, World};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

/// 2026-03-01 08:00:00 UTC.
pub(crate) const MORNING: i64 = 1_772_352_000_000;
pub(crate) const DAY: i64 = 86_400_000;

/// A clock that goes a millisecond on whenever it is asked, and chance that is none.
#[derive(Clone)]
pub(crate) struct TestWorld {
    pub(crate) clock: Arc<AtomicI64>,
    drawn: Arc<AtomicU64>,
}

impl TestWorld {
    pub(crate) fn new() -> TestWorld {
        TestWorld::with_seed(1)
    }

    /// Another seed draws other ids, as another machine does.
    pub(crate) fn with_seed(seed: u64) -> TestWorld {
        TestWorld { clock: Arc::new(MORNING.into()), drawn: Arc::new((seed << 32).into()) }
    }

    pub(crate) fn set(&self, now: i64) {
        self.clock.store(now, Ordering::SeqCst);
    }

    pub(crate) fn later(&self, by: i64) {
        self.clock.fetch_add(by, Ordering::SeqCst);
    }
}

impl World for TestWorld {
    fn now(&mut self) -> Moment {
        Moment(self.clock.fetch_add(1, Ordering::SeqCst))
    }

    fn random(&mut self, bytes: &mut [u8]) {
        for byte in bytes {
            *byte = mix(self.drawn.fetch_add(1, Ordering::SeqCst)) as u8;
        }
    }
}

/// SplitMix64 (from memory): numbers that look like chance.
pub(crate) fn mix(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

pub(crate) fn open(folder: &Path) -> Store {
    Store::open(folder, TestWorld::new()).expect("the store opens")
}

pub(crate) const MAT: &str = include_str!("../../../../examples/tideline-mat.toml");

pub(crate) fn studied(text: &str) -> Study {
    study(&fellmark_note::read(text).expect("the text is a plan").plan).expect("the plan makes a piece")
}

/// A weaving of a text that is a plan.
pub(crate) fn weave(store: &Store, text: &str) -> (Opened, WeavingId) {
    let opened = store.open_text(text, "bench").unwrap();
    let counts = Counts::of(&studied(text).piece);
    (opened, weave_with(store, opened, counts))
}

pub(crate) fn weave_with(store: &Store, opened: Opened, counts: Counts) -> WeavingId {
    let revision = opened.revision;
    let new = NewWeaving { id: None, revision, counts, mirrored: false, by: "bench".into() };
    store.weave(new).unwrap().id
}

pub(crate) fn tick_id(number: u32) -> TickId {
    let mut id = [0; 16];
    id[..4].copy_from_slice(&number.to_be_bytes());
    TickId(id)
}

pub(crate) fn done(number: u32, row: u32, woven: Woven) -> NewTick {
    NewTick { id: tick_id(number), row, fact: Fact::Done(woven), at: None, by: "phone".into() }
}

pub(crate) fn taken_back(number: u32, row: u32) -> NewTick {
    NewTick { id: tick_id(number), row, fact: Fact::TakenBack, at: None, by: "phone".into() }
}

/// A row that stands for any row.
pub(crate) fn some_row(row: u32) -> Woven {
    Woven {
        weft: "slate".into(),
        yarn: "slate".into(),
        strands: 1,
        from: Side::Left,
        opening: Opening::new(Span::all(24).unwrap(), |end| (end + row) % 8 < 5),
        before: vec![],
        after: vec![],
    }
}

pub(crate) fn rows_done(store: &Store, weaving: WeavingId) -> Vec<u32> {
    store.weaving(weaving).unwrap().log.rows().into_keys().collect()
}
