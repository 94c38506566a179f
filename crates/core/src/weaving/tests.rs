use super::*;
use crate::side::{Pass, Side, Span};
use proptest::prelude::*;

fn woven(weft: &str, from: Side, bits: u64) -> Woven {
    let span = Span::all(11).unwrap();
    Woven {
        weft: weft.into(),
        yarn: "reed".into(),
        strands: 1,
        from,
        opening: Opening::new(span, |end| bits >> end & 1 == 1),
        before: vec![Act::Begin { side: from }],
        after: vec![],
    }
}

fn fact() -> impl Strategy<Value = Fact> {
    prop_oneof![
        3 => (any::<bool>(), 0_u64..4).prop_map(|(left, bits)| {
            Fact::Done(woven("slate", if left { Side::Left } else { Side::Right }, bits))
        }),
        1 => Just(Fact::TakenBack),
    ]
}

/// Few rows, moments and ids, so that ticks meet: the same row, the same moment, even the same id.
fn ticks() -> impl Strategy<Value = Vec<(TickId, Tick)>> {
    let tick = (0_u8..12, 0_u32..4, 0_i64..6, fact());
    prop::collection::vec(tick, 0..14).prop_map(|ticks| {
        let tick = |(id, row, at, fact)| (TickId([id; 16]), Tick { row, at: Moment(at), fact });
        ticks.into_iter().map(tick).collect()
    })
}

fn log(ticks: &[(TickId, Tick)]) -> Log {
    let mut log = Log::new();
    for (id, tick) in ticks {
        log.add(*id, tick.clone());
    }
    log
}

fn joined(a: &Log, b: &Log) -> Log {
    let mut both = a.clone();
    both.join(b);
    both
}

proptest! {
    #[test]
    fn joining_logs_is_a_union(a in ticks(), b in ticks(), c in ticks()) {
        let [a, b, c] = [log(&a), log(&b), log(&c)];
        prop_assert_eq!(joined(&a, &b), joined(&b, &a));
        prop_assert_eq!(joined(&joined(&a, &b), &c), joined(&a, &joined(&b, &c)));
        prop_assert_eq!(joined(&a, &a), a.clone());
        prop_assert_eq!(joined(&joined(&a, &b), &b), joined(&a, &b));
    }

    #[test]
    fn the_order_in_which_ticks_come_makes_no_difference(
        (ticks, shuffled) in ticks().prop_flat_map(|ticks| (Just(ticks.clone()), Just(ticks).prop_shuffle()))
    ) {
        let [ticks, shuffled] = [log(&ticks), log(&shuffled)];
        prop_assert_eq!(&ticks, &shuffled);
        prop_assert_eq!(ticks.rows(), shuffled.rows());
    }

    #[test]
    fn without_taking_back_the_rows_done_are_the_union(a in ticks(), b in ticks()) {
        let done = |ticks: Vec<(TickId, Tick)>, device: u8| -> Vec<(TickId, Tick)> {
            let mut ticks = ticks;
            ticks.retain(|(_, tick)| tick.fact != Fact::TakenBack);
            ticks.iter_mut().for_each(|(id, _)| id.0[15] = device);
            ticks
        };
        let [a, b] = [log(&done(a, 100)), log(&done(b, 101))];
        let rows = |log: &Log| log.rows().into_keys().collect::<std::collections::BTreeSet<_>>();
        prop_assert_eq!(rows(&joined(&a, &b)), &rows(&a) | &rows(&b));
    }

    #[test]
    fn a_row_that_is_done_stays_as_it_was_woven(ticks in ticks(), more in ticks()) {
        let before = log(&ticks);
        let mut after = before.clone();
        for (k, (_, tick)) in more.into_iter().enumerate() {
            let at = after.moment(tick.row, tick.at);
            if tick.fact != Fact::TakenBack {
                after.add(TickId([100 + k as u8; 16]), Tick { at, ..tick });
            }
        }
        let rows = after.rows();
        for (row, woven) in before.rows() {
            prop_assert_eq!(rows.get(&row), Some(&woven));
        }
    }

    #[test]
    fn a_row_taken_back_is_not_done_and_may_be_woven_anew(ticks in ticks(), row in 0_u32..4, now in 0_i64..6) {
        let mut log = log(&ticks);
        let at = log.moment(row, Moment(now));
        log.add(TickId([200; 16]), Tick { row, at, fact: Fact::TakenBack });
        prop_assert!(!log.rows().contains_key(&row));
        let at = log.moment(row, Moment(now));
        log.add(TickId([201; 16]), Tick { row, at, fact: Fact::Done(woven("foam", Side::Left, 9)) });
        prop_assert_eq!(log.rows().remove(&row), Some(&woven("foam", Side::Left, 9)));
        // What is sent again, late, takes nothing back.
        let again = log.clone();
        log.join(&again);
        prop_assert_eq!(log, again);
    }
}

#[test]
fn taking_back_one_row_leaves_the_others() {
    let mut log = Log::new();
    for row in 0..3 {
        let fact = Fact::Done(woven("slate", Side::Left, u64::from(row)));
        log.add(TickId([row as u8; 16]), Tick { row, at: Moment(10), fact });
    }
    let at = log.moment(2, Moment(3));
    assert_eq!(at, Moment(11), "a clock that is behind still comes after the tick it takes back");
    log.add(TickId([9; 16]), Tick { row: 2, at, fact: Fact::TakenBack });
    assert_eq!(log.rows().into_keys().collect::<Vec<_>>(), [0, 1]);
}

#[test]
fn an_opening_knows_its_own_ends_only() {
    let span = Span::new(3, 12).unwrap();
    let opening = Opening::new(span, |end| end % 3 == 0);
    assert_eq!(opening.pass(2), None);
    assert_eq!(opening.pass(13), None);
    let over: Vec<u32> = (0..20).filter(|&end| opening.pass(end) == Some(Pass::Over)).collect();
    assert_eq!(over, [3, 6, 9, 12]);
    assert_eq!(opening.passes().count(), 10);
    assert_eq!(opening, Opening::new(span, |end| opening.pass(end) == Some(Pass::Over)));
    assert_ne!(opening, Opening::new(Span::new(3, 11).unwrap(), |end| end % 3 == 0));
}

/// A log of rows done one after the other, so many seconds apart; below 0 the row is taken back so long after it.
fn at_a_pace(seconds: &[i64]) -> Log {
    let mut log = Log::new();
    let mut at = 0;
    for (k, &seconds) in (0_u8..).zip(seconds) {
        at += seconds.abs() * 1000;
        let fact = if seconds < 0 { Fact::TakenBack } else { Fact::Done(woven("slate", Side::Left, 0)) };
        log.add(TickId([k; 16]), Tick { row: u32::from(k), at: Moment(at), fact });
    }
    log
}

#[test]
fn the_pace_is_that_of_the_row_in_the_middle_without_pauses() {
    let minutes = |seconds: &[i64]| pace(&at_a_pace(seconds)).map(|pace| pace.minutes(60));
    assert_eq!(minutes(&[0, 30, 30, 30]), None, "three rows say nothing");
    assert_eq!(minutes(&[0, 20, 30, 40, 50]), Some(40.0));
    // A pause of an hour, rows that are only ticked now, and one that was taken back are no rows of this pace.
    assert_eq!(minutes(&[0, 20, 3600, 30, 1, 1, 40, 50]), Some(40.0));
    assert_eq!(minutes(&[0, 20, 30, -400, 400, 40, 50]), Some(40.0));
    // What counts is how it goes now.
    let (slow, quick) = ([600; 30], [60; 25]);
    assert_eq!(minutes(&[&slow[..], &quick[..]].concat()), Some(60.0));
    assert_eq!(pace(&Log::new()), None);
}
