//! What finishing takes, and planning for it.

use fellmark_core::cloth::size::shrink::{after, before, of_yarn};
use fellmark_core::habits::{Habit, Habits};
use fellmark_core::plan::Finish;
use fellmark_core::quantity::{Estimate, Mm, QuantityError, parse_sides};
use fellmark_core::yarn::Kin;

#[track_caller]
fn near(is: Mm, expected: f64) {
    assert!((is.mm() - expected).abs() < 1e-9, "{is:?}, not {expected}");
}

fn inches(inches: f64) -> Mm {
    Mm::new(inches * 25.4)
}

#[test]
fn planning_divides_by_what_is_left() {
    // Common practice, as quoted: for 10 in finished at 20 % weave 12.5 in; 12 in would come out at 9.6 in.
    near(before(inches(10.0), 0.2).unwrap(), 12.5 * 25.4);
    near(after(inches(12.0), 0.2), 9.6 * 25.4);
    // A teaching page: from 10 in to 8 1/2 in is 15 %.
    near(after(inches(10.0), 0.15), 8.5 * 25.4);
    // 800 mm at 8 %: 869.57, and not 800 / 1.08 = 740.7, which is printed as 740.8 (a known bad number).
    near(before(Mm::new(800.0), 0.08).unwrap(), 800.0 / 0.92);
    // The known trap: finished times (1 + s) falls short.
    let trap = inches(10.0) * 1.2;
    assert!(after(trap, 0.2) < inches(10.0));
    assert_eq!(before(Mm::new(10.0), 1.0), None);
}

#[test]
fn one_undoes_the_other() {
    for share in [0.0, 0.01, 0.1, 0.5, 0.94] {
        near(after(before(Mm::new(137.0), share).unwrap(), share), 137.0);
    }
}

#[test]
fn steaming_and_pinning_take_a_part_of_what_washing_takes() {
    let habits = Habits::default();
    for kin in Kin::ALL {
        let [none, steamed, washed, pinned] =
            [Finish::AsItIs, Finish::Steamed, Finish::Washed, Finish::Pinned]
                .map(|finish| of_yarn(kin, finish, &habits));
        assert_eq!(none, [0.0, 0.0]);
        for (side, habit) in [(0, Habit::shrink_along(kin)), (1, Habit::shrink_across(kin))] {
            assert_eq!(washed[side], habits.ratio(habit));
            assert!(pinned[side] < steamed[side] && steamed[side] < washed[side], "{kin:?}");
        }
    }
}

#[test]
fn linen_springs_back_least_and_wool_most() {
    // Common practice, no source.
    let habits = Habits::default();
    let back = |kin| habits.ratio(Habit::spring_back(kin));
    for kin in Kin::ALL {
        assert!(back(Kin::Linen) <= back(kin) && back(kin) <= back(Kin::Wool), "{kin:?}");
    }
}

#[test]
fn the_habits_of_cloth_off_the_loom_are_known_as_such() {
    let off: Vec<Habit> = Habit::ALL.into_iter().filter(|habit| habit.is_off_the_loom()).collect();
    for kin in Kin::ALL {
        for habit in [Habit::spring_back(kin), Habit::shrink_along(kin), Habit::shrink_across(kin)] {
            assert!(off.contains(&habit), "{habit:?}");
        }
    }
    for habit in [Habit::Comb, Habit::DrawIn, Habit::Tie, Habit::Slack] {
        assert!(!off.contains(&habit), "{habit:?}");
    }
    for habit in Habit::ALL {
        let (spread, (least, most)) = (Habits::default().spread(habit), habit.bounds());
        assert!(least <= spread.low && spread.high <= most, "{habit:?} goes past its own bounds");
        assert!(spread.low <= spread.likely && spread.likely <= spread.high, "{habit:?}");
    }
}

#[test]
fn independent_spreads_add_by_their_squares() {
    // 3 and 4 make 5, the rule of Pythagoras; a habit that moves a figure one way only widens that side only.
    let mm = Mm::new;
    let pairs = [[mm(97.0), mm(103.0)], [mm(104.0), mm(96.0)], [mm(100.0), mm(112.0)]];
    let estimate = Estimate::varied(mm(100.0), pairs.into_iter(), Default::default());
    near(estimate.low, 95.0);
    near(estimate.high, 113.0);
    let nothing = Estimate::varied(mm(1.0), [[mm(-9.0), mm(1.0)]].into_iter(), Default::default());
    assert_eq!(nothing.low, Mm::ZERO);
}

#[test]
fn a_width_and_a_length_are_read_as_people_write_them() {
    let either = |text: &str| parse_sides(text).map(|(width, long)| (width.map(Mm::mm), long.map(Mm::mm)));
    let read = |text: &str| either(text).map(|(width, long)| (width.unwrap(), long.unwrap()));
    assert_eq!(read("11 cm x 14 cm"), Ok((110.0, 140.0)));
    assert_eq!(read("11 x 14 cm"), Ok((110.0, 140.0)));
    assert_eq!(read("11x14cm"), Ok((110.0, 140.0)));
    assert_eq!(read("35 mm × 1 1/4 in"), Ok((35.0, 31.75)));
    assert_eq!(read("4\" x 5½\""), Ok((101.6, 139.7)));
    assert_eq!(read("2,5 * 3 cm"), Ok((25.0, 30.0)));
    assert_eq!(read("11 cm"), Err(QuantityError::Empty));
    assert_eq!(read(""), Err(QuantityError::Empty));
    assert_eq!(read("11 x 14"), Err(QuantityError::NoUnit));
    assert_eq!(read("11 cm x 0 cm"), Err(QuantityError::Zero));
    assert_eq!(read("0 x 4 cm"), Err(QuantityError::Zero));
    assert_eq!(read("11 g x 14 cm"), Err(QuantityError::OtherKind { unit: "g".into() }));
    assert_eq!(read("11 cm by 14 cm"), Err(QuantityError::Trailing { rest: "by 14 cm".into() }));
    assert_eq!(read("11 cm x 14 cm x 2 cm"), Err(QuantityError::Trailing { rest: "x 2 cm".into() }));
    assert_eq!(read("11 cm x -3 cm"), Err(QuantityError::Negative));
    assert_eq!(read("9999999 x 1 km"), Err(QuantityError::TooLarge));
    // One of them alone says which it is.
    assert_eq!(either("11 cm wide"), Ok((Some(110.0), None)));
    assert_eq!(either("5½\" long"), Ok((None, Some(139.7))));
    assert_eq!(either("140mm long"), Ok((None, Some(140.0))));
    assert!(either("11 wide").is_err());
    assert_eq!(either("0 cm wide"), Err(QuantityError::Zero));
    assert_eq!(either("11 cm wide x 14 cm"), Err(QuantityError::Trailing { rest: "x 14 cm".into() }));
    assert_eq!(either("11 cm high"), Err(QuantityError::Trailing { rest: "high".into() }));
}
