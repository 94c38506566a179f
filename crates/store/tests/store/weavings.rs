use crate::common::{
    MAT, MORNING, TestWorld, done, open, rows_done, some_row, studied, taken_back, tick_id, weave, weave_with,
};
use fellmark_core::plan::Edit;
use fellmark_core::study::Study;
use fellmark_core::weaving::{Counts, Fact, Moment, What, Woven, differences, place};
use fellmark_store::{Begun, Change, Changed, Error, Missing, NewTick, NewWeaving, Store, Ticked, WeavingId};

fn row_of(study: &Study, row: u32) -> Woven {
    Woven::of(&study.piece, &study.walk, row).expect("the piece has that row")
}

/// Weaves the first rows of a piece.
fn weave_rows(store: &Store, weaving: WeavingId, study: &Study, rows: std::ops::Range<u32>) -> Vec<Ticked> {
    let ticks = rows.map(|row| done(row, row, row_of(study, row))).collect();
    store.tick(weaving, ticks).unwrap()
}

#[test]
fn a_weaving_keeps_what_it_was_begun_with() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (opened, weaving) = weave(&store, MAT);
    let kept = store.weaving(weaving).unwrap();
    assert_eq!((kept.info.piece, kept.plan.revision), (opened.piece, opened.revision));
    assert!(!kept.info.mirrored);
    let counts = Counts::of(&studied(MAT).piece);
    assert_eq!(kept.plan.counts, counts);
    assert_eq!(counts.ends, 24);
    assert_eq!(counts.places[0].rows, 4, "the hem of the mat has four rows");
    assert_eq!(counts.rows(), studied(MAT).piece.row_count());
    assert!(kept.earlier.is_empty() && kept.log.is_empty());

    let id: WeavingId = "0123456789abcdef0123456789abcdef".parse().unwrap();
    let new = NewWeaving {
        id: Some(id),
        revision: opened.revision,
        counts: counts.clone(),
        mirrored: true,
        by: "phone".into(),
    };
    assert_eq!(store.weave(new.clone()).unwrap(), Begun { id, new: true });
    assert_eq!(store.weave(new.clone()).unwrap(), Begun { id, new: false }, "asked again, it is begun once");
    // With nothing on the loom yet, the next is the one there is; with a row done, another.
    let next = NewWeaving { id: None, ..new.clone() };
    assert_eq!(store.weave(next.clone()).unwrap(), Begun { id, new: false });
    assert_eq!(store.weavings(opened.piece).unwrap().len(), 2);
    assert!(store.weaving(id).unwrap().info.mirrored);
    store.tick(id, vec![done(1, 0, some_row(0))]).unwrap();
    let too_many = Counts { ends: 5000, ..counts };
    let refused = store.weave(NewWeaving { counts: too_many, ..next.clone() });
    assert!(matches!(refused, Err(Error::OutOfBounds)));
    let ids: Vec<_> = std::thread::scope(|scope| {
        let asked: Vec<_> = (0..4).map(|_| scope.spawn(|| store.weave(next.clone()).unwrap())).collect();
        asked.into_iter().map(|begun| begun.join().unwrap()).collect()
    });
    assert_eq!(ids.iter().filter(|begun| begun.new).count(), 1, "four at once begin one");
    assert!(ids.iter().all(|begun| begun.id == ids[0].id && begun.id != id));
}

#[test]
fn a_second_tap_a_resend_and_two_devices_do_no_harm() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (_, weaving) = weave(&store, MAT);
    let tick = |tick: NewTick| store.tick(weaving, vec![tick]).unwrap()[0];
    let first = done(1, 0, some_row(0));
    assert_eq!(tick(first.clone()), Ticked { id: tick_id(1), row: 0, new: true, done: true });
    assert_eq!(tick(first), Ticked { id: tick_id(1), row: 0, new: false, done: true }, "sent again");
    assert!(tick(done(2, 0, some_row(0))).done, "a second tap, with an id of its own");
    assert_eq!(rows_done(&store, weaving), [0]);
    assert!(!tick(taken_back(3, 0)).done);
    assert!(rows_done(&store, weaving).is_empty());
    assert!(!tick(done(1, 0, some_row(0))).done, "sent again late, it takes nothing back");
    assert!(tick(done(4, 0, some_row(5))).done, "but it may be woven anew");
    assert_eq!(store.weaving(weaving).unwrap().log.rows()[&0], &some_row(5));
    let other = store.tick(weaving, vec![done(4, 1, some_row(5))]);
    assert!(matches!(other, Err(Error::IdTaken)));
}

#[test]
fn who_ticks_onto_a_log_has_it_as_it_is_then() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (_, weaving) = weave(&store, MAT);
    let log = || store.weaving(weaving).unwrap().log;
    let (ticked, after) =
        store.tick_onto(weaving, vec![done(1, 0, some_row(0)), done(2, 1, some_row(1))], log()).unwrap();
    assert_eq!(ticked.len(), 2);
    assert_eq!(after, log());
    // Another device ticks after the log was read; what was sent before comes again.
    let read = log();
    store.tick(weaving, vec![done(3, 2, some_row(2)), taken_back(4, 0)]).unwrap();
    let (ticked, after) =
        store.tick_onto(weaving, vec![done(2, 1, some_row(1)), done(5, 3, some_row(3))], read).unwrap();
    assert_eq!(ticked.iter().map(|tick| tick.new).collect::<Vec<_>>(), [false, true]);
    assert_eq!(after, log());
    assert_eq!(after.rows().into_keys().collect::<Vec<_>>(), [1, 2, 3]);
    let refused = store.tick_onto(weaving, vec![done(5, 4, some_row(4))], log());
    assert!(matches!(refused, Err(Error::IdTaken)));
}

#[test]
fn ticks_kept_on_a_phone_join_those_of_the_bench() {
    let home = tempfile::tempdir().unwrap();
    let world = TestWorld::new();
    let store = Store::open(home.path(), world.clone()).unwrap();
    let (_, weaving) = weave(&store, MAT);
    world.set(MORNING + 3_600_000);
    store.tick(weaving, vec![done(1, 0, some_row(0)), done(2, 3, some_row(3))]).unwrap();
    // The phone ticked rows 1 to 3 meanwhile; its clock is ahead by a year for the last.
    let kept = |number, row, at| NewTick { at: Some(Moment(at)), ..done(number, row, some_row(7)) };
    let ticks = vec![
        kept(11, 1, MORNING + 10),
        kept(12, 2, MORNING + 20),
        kept(13, 3, MORNING + 30),
        kept(14, 4, MORNING + 366 * 86_400_000),
    ];
    store.tick(weaving, ticks.clone()).unwrap();
    store.tick(weaving, ticks).unwrap();
    assert_eq!(rows_done(&store, weaving), [0, 1, 2, 3, 4]);
    let log = store.weaving(weaving).unwrap().log;
    assert_eq!(log.rows()[&3], &some_row(7), "the phone wove it first");
    assert_eq!(log.len(), 6);
    store.tick(weaving, vec![taken_back(20, 4)]).unwrap();
    assert_eq!(rows_done(&store, weaving), [0, 1, 2, 3], "a clock that is ahead outlasts nothing");
}

#[test]
fn ticks_are_taken_in_all_together_or_not_at_all() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (_, weaving) = weave(&store, MAT);
    let refused = store.tick(weaving, vec![done(1, 0, some_row(0)), done(2, 20_000, some_row(0))]);
    assert!(matches!(refused, Err(Error::OutOfBounds)));
    assert!(rows_done(&store, weaving).is_empty());
    let nowhere: WeavingId = "ffffffffffffffffffffffffffffffff".parse().unwrap();
    let refused = store.tick(nowhere, vec![done(1, 0, some_row(0))]);
    assert!(matches!(refused, Err(Error::NotThere(Missing::Weaving))));
}

#[test]
fn a_woven_row_never_changes_whatever_becomes_of_the_plan() {
    let home = tempfile::tempdir().unwrap();
    let (weaving, rows, piece) = {
        let store = open(home.path());
        let (opened, weaving) = weave(&store, MAT);
        let study = studied(MAT);
        weave_rows(&store, weaving, &study, 0..7);
        let rows: Vec<Woven> = (0..7).map(|row| row_of(&study, row)).collect();
        (weaving, rows, opened.piece)
    };
    let store = Store::open(home.path(), TestWorld::with_seed(2)).unwrap();
    let now = |store: &Store| -> Vec<Woven> {
        store.weaving(weaving).unwrap().log.rows().into_values().cloned().collect()
    };
    assert_eq!(now(&store), rows);
    // The hem, which is woven, gets another length: the weaving goes on, its rows stay.
    let plan = fellmark_note::read(MAT).unwrap().plan;
    let hem = plan.bands.iter().position(|band| band.name == "hem").unwrap();
    let edit = Edit::BandRows(fellmark_core::plan::BandId(hem), 6);
    let text = fellmark_note::apply(MAT, &edit).unwrap();
    let head = store.head(piece).unwrap();
    let change = Change {
        id: None,
        base: head.revision.id,
        text: text.clone(),
        label: "{}".into(),
        by: "bench".into(),
    };
    let Changed::Saved(head) = store.edit(piece, change).unwrap() else { panic!("nobody else is here") };
    let study = studied(&text);
    {
        let log = store.weaving(weaving).unwrap().log;
        let differ = differences(&log.rows(), &study.piece, &study.walk);
        assert_eq!(differ.first().map(|d| d.row), Some(4), "the hem's first rows are the same: {differ:?}");
        assert!(differ.iter().all(|d| d.what != What::NoRow));
    }
    store.follow(weaving, head.revision.id, &Counts::of(&study.piece), "bench").unwrap();
    assert_eq!(now(&store), rows);
    let kept = store.weaving(weaving).unwrap();
    assert_eq!((kept.plan.revision, kept.earlier.len()), (head.revision.id, 1));
}

#[test]
fn the_place_follows_from_the_rows_done_and_the_piece() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (_, weaving) = weave(&store, MAT);
    let study = studied(MAT);
    let count = study.piece.row_count();
    let place_now = || place(&store.weaving(weaving).unwrap().log.rows(), &study.piece);
    assert_eq!((place_now().next, place_now().done), (Some(0), 0));
    weave_rows(&store, weaving, &study, 0..3);
    weave_rows(&store, weaving, &study, 4..6);
    let now = place_now();
    assert_eq!((now.next, now.done, now.ahead), (Some(3), 5, vec![4, 5]), "row 4 is still on its way");
    let log = store.weaving(weaving).unwrap().log;
    assert_eq!(differences(&log.rows(), &study.piece, &study.walk), []);
    weave_rows(&store, weaving, &study, 0..count);
    assert_eq!((place_now().next, place_now().done), (None, count));
    store.tick(weaving, vec![done(9000, count, some_row(1))]).unwrap();
    let now = place_now();
    assert_eq!((now.done, now.beyond), (count, vec![count]));
    let log = store.weaving(weaving).unwrap().log;
    let differ = differences(&log.rows(), &study.piece, &study.walk);
    assert_eq!(differ.iter().map(|d| (d.row, d.what)).collect::<Vec<_>>(), [(count, What::NoRow)]);
}

#[test]
fn what_differs_below_the_fell_is_named() {
    let study = studied(MAT);
    let with = |change: fn(&mut Woven)| {
        let mut row = row_of(&study, 5);
        change(&mut row);
        let tick = fellmark_core::weaving::Tick { row: 5, at: Moment(0), fact: Fact::Done(row) };
        let mut log = fellmark_core::weaving::Log::new();
        log.add(tick_id(1), tick);
        differences(&log.rows(), &study.piece, &study.walk).into_iter().map(|d| d.what).collect::<Vec<_>>()
    };
    use fellmark_core::side::{Pass, Span};
    use fellmark_core::weaving::Opening;
    assert_eq!(with(|_| {}), []);
    assert_eq!(with(|row| row.weft = "mud-lark".into()), [What::Weft]);
    assert_eq!(with(|row| row.yarn = "mud-lark".into()), [What::Weft]);
    assert_eq!(with(|row| row.strands = 2), [What::Weft]);
    assert_eq!(with(|row| row.from = row.from.other()), [What::Side]);
    let narrower = |row: &mut Woven| {
        let passes = row.opening.clone();
        row.opening = Opening::new(Span::new(0, 22).unwrap(), |end| passes.pass(end) == Some(Pass::Over));
    };
    assert_eq!(with(narrower), [What::Span]);
    let touched = |row: &mut Woven| {
        let passes = row.opening.clone();
        row.opening =
            Opening::new(passes.span(), |end| (passes.pass(end) == Some(Pass::Over)) != (end == 23));
    };
    assert_eq!(with(touched), [What::Opening]);
    assert_eq!(
        with(|row| row.after.push(fellmark_core::weaving::Act::Cut { side: row.from })),
        [What::Steps]
    );
}

#[test]
fn a_weaving_follows_its_own_piece_alone() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let opened = store.open_text("pools", "bench").unwrap();
    let other = store.open_text("shoals", "bench").unwrap();
    let weaving = weave_with(&store, opened, Counts { ends: 3, places: vec![] });
    let refused = store.follow(weaving, other.revision, &Counts { ends: 3, places: vec![] }, "bench");
    assert!(matches!(refused, Err(Error::NotThere(Missing::Revision))));
}
