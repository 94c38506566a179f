//! Warp and weft share the crimp when the tension goes: the balance of bending energies, and Peirce's geometry
//! before and after it.
//!
//! Expected values follow from the balance itself, worked out here apart from the program (symmetry, limits, a search
//! over all shares), and from Peirce's equations as `references` prints them: *J. Text. Inst.* 28 (1937) T45, as read in
//! N. Balasubramanian's yarn and cloth notes, corrected.

use fellmark_core::cloth::size::cell::{Cell, Side};
use fellmark_core::math;
use fellmark_core::peirce::{bend, bend_of_crimp, most_rise, spacing_of};
use fellmark_core::quantity::Mm;
use proptest::prelude::*;

const D: Mm = Mm::new(1.0);

#[track_caller]
fn near(is: f64, expected: f64, tolerance: f64) {
    assert!((is - expected).abs() <= tolerance, "{is}, not {expected}");
}

fn on_loom(ends: f64, rows: f64) -> Cell {
    Cell::on_loom(Mm::new(ends), Mm::new(rows), D).expect("it has a geometry")
}

/// Peirce's two equations, with the angle that the crimp leads to.
fn obeys_peirce(side: Side, contact: Mm) {
    let (p, h, l, d) = (side.spacing.mm(), side.rise.mm(), side.length.mm(), contact.mm());
    let crimp = side.crimp().max(0.0);
    let angle = match bend_of_crimp(side.spacing, crimp, contact) {
        Some(bent) => bent.angle,
        // At the very jam the thread is all arc.
        None => l / d,
    };
    near((l - d * angle) * math::cos(angle) + d * math::sin(angle), p, 1e-6 * d);
    near((l - d * angle) * math::sin(angle) + d * (1.0 - math::cos(angle)), h, 2e-6 * d);
}

#[test]
fn the_spacing_of_a_thread_is_the_other_way_round_of_its_bend() {
    // The same rows as in `peirce`: references 4.1, computed from the equations in double precision.
    for (p, crimp, rise) in [
        (1.00, 0.01, 0.138_290),
        (1.00, 0.20, 0.586_335),
        (1.25, 0.09, 0.509_887),
        (1.50, 0.09, 0.619_097),
        (2.00, 0.04, 0.557_644),
        (2.00, 0.09, 0.836_823),
        (3.00, 0.04, 0.843_532),
    ] {
        let spacing = spacing_of(Mm::new(p * (1.0 + crimp)), Mm::new(rise), D).expect("it lies so");
        near(spacing.mm(), p, 2e-6);
    }
    // A thread of a third of pi D that is all arc: the jammed square cloth (GATE TF 2009, item 54; Balasubramanian).
    let third = Mm::new(std::f64::consts::FRAC_PI_3);
    near(most_rise(third, D).mm(), 0.5, 1e-12);
    near(spacing_of(third, Mm::new(0.5), D).unwrap().mm(), 0.866_025, 1e-6);
    assert_eq!(spacing_of(third, Mm::new(0.51), D), None);
    assert_eq!(spacing_of(Mm::ZERO, Mm::ZERO, D), None);
}

#[test]
fn equal_yarns_share_the_crimp_equally() {
    // By symmetry: the same length and rigidity in both sets.
    let half = bend(Mm::new(1.25), D / 2.0, D).expect("it lies so");
    let side = Side { spacing: Mm::new(1.25), rise: D / 2.0, length: half.length };
    let uneven = [0.1, 0.3, 0.5, 0.7, 0.9].map(|share| {
        let mut cell = Cell { warp: side, weft: side, contact: D };
        cell.warp.rise = D * share;
        cell.weft.rise = D * (1.0 - share);
        cell.released(0.0, Mm::ZERO, 3.0, 3.0)
    });
    for cell in uneven {
        near(cell.warp.rise.mm(), 0.5, 1e-12);
        assert_eq!(cell.warp, cell.weft);
        near(cell.warp.spacing.mm(), 1.25, 1e-9);
        // Square cloth at p/D = 1.25 has a crimp of 0.086477 (references 4.1, computed).
        near(cell.warp.crimp(), 0.086_477, 1e-6);
    }
}

#[test]
fn a_stiff_warp_stays_straight_and_a_stiff_weft_too() {
    let loom = on_loom(1.5, 1.5);
    assert_eq!((loom.warp.rise, loom.weft.rise), (Mm::ZERO, D), "the warp is straight on the loom");
    let stiff_warp = loom.released(0.0, Mm::ZERO, 1e9, 1.0);
    near(stiff_warp.warp.rise.mm(), 0.0, 1e-6);
    near(stiff_warp.warp.crimp(), 0.0, 1e-6);
    near(stiff_warp.weft.spacing.mm(), 1.5, 1e-6);
    // The other way round the weft lies straight: the cloth is as wide as the weft is long.
    let stiff_weft = on_loom(1.5, 3.0).released(0.0, Mm::ZERO, 1.0, 1e9);
    near(stiff_weft.weft.crimp(), 0.0, 1e-6);
    near(stiff_weft.weft.spacing.mm(), loom.weft.length.mm(), 1e-6);
    near(stiff_weft.warp.rise.mm(), 1.0, 1e-6);
    assert!(stiff_weft.warp.spacing < Mm::new(3.0), "what the weft gives up the warp takes");
}

#[test]
fn no_geometry_is_no_cell() {
    for (ends, rows, contact) in [(0.0, 1.0, 1.0), (1.0, 0.0, 1.0), (1.0, 1.0, 0.0), (f64::NAN, 1.0, 1.0)] {
        assert_eq!(Cell::on_loom(Mm::new(ends), Mm::new(rows), Mm::new(contact)), None);
    }
}

proptest! {
    #[test]
    fn every_thread_keeps_its_length_and_lies_as_peirce_has_it(
        ends in 0.3..4.0, rows in 0.1..4.0, spring in 0.0..0.3, stiffer in -4.0..4.0,
    ) {
        let loom = on_loom(ends, rows);
        obeys_peirce(loom.warp, loom.contact);
        obeys_peirce(loom.weft, loom.contact);
        prop_assert_eq!((loom.weft.spacing.mm(), loom.warp.spacing.mm()), (ends, rows));
        prop_assert!(loom.contact <= D);
        let free = loom.released(spring, Mm::ZERO, math::exp(stiffer), 1.0);
        obeys_peirce(free.warp, free.contact);
        obeys_peirce(free.weft, free.contact);
        prop_assert!((free.warp.length.mm() - loom.warp.length.mm() * (1.0 - spring)).abs() < 1e-12);
        prop_assert_eq!(free.weft.length, loom.weft.length);
        let rises = (free.warp.rise + free.weft.rise).mm();
        prop_assert!((rises - free.contact.mm()).abs() < 1e-9, "{} {}", rises, free.contact.mm());
    }

    /// No other share of the contact that both threads can take holds less energy.
    #[test]
    fn the_energy_is_the_least_there_is(
        ends in 0.5..4.0, rows in 0.2..4.0, spring in 0.0..0.2, stiffer in -3.0..3.0,
    ) {
        let rigidity = math::exp(stiffer);
        let free = on_loom(ends, rows).released(spring, Mm::ZERO, rigidity, 1.0);
        let least = free.energy(rigidity, 1.0);
        let d = free.contact;
        for k in 0..=200 {
            let rise = d * (f64::from(k) / 200.0);
            if rise > most_rise(free.warp.length, d) || d - rise > most_rise(free.weft.length, d) {
                continue;
            }
            let mut other = free;
            other.warp.rise = rise;
            other.weft.rise = d - rise;
            prop_assert!(other.energy(rigidity, 1.0) >= least * (1.0 - 1e-9));
        }
    }

    /// The more the warp springs back, the shorter is the cloth.
    #[test]
    fn length_falls_with_spring_back(
        ends in 0.5..4.0, rows in 0.2..4.0, spring in 0.0..0.2, more in 0.001..0.1, stiffer in -3.0..3.0,
    ) {
        let loom = on_loom(ends, rows);
        let length = |spring| loom.released(spring, Mm::ZERO, math::exp(stiffer), 1.0).warp.spacing;
        prop_assert!(length(spring + more) < length(spring));
    }

    /// The stiffer the warp is, the longer and the narrower is the cloth.
    #[test]
    fn a_stiffer_warp_lies_straighter(
        ends in 0.5..4.0, rows in 0.2..4.0, stiffer in -3.0..3.0, more in 0.01..2.0,
    ) {
        let loom = on_loom(ends, rows);
        let (a, b) = (math::exp(stiffer), math::exp(stiffer + more));
        let (limp, stiff) = (loom.released(0.01, Mm::ZERO, a, 1.0), loom.released(0.01, Mm::ZERO, b, 1.0));
        prop_assert!(stiff.warp.rise <= limp.warp.rise);
        prop_assert!(stiff.warp.spacing >= limp.warp.spacing * (1.0 - 1e-12));
        prop_assert!(stiff.weft.spacing <= limp.weft.spacing * (1.0 + 1e-12));
    }

    /// Rows that touch follow the warp as it springs back, and come no closer; those that lie apart come together, at most
    /// till they touch.
    #[test]
    fn rows_that_touch_come_no_closer_by_sharing_crimp(
        ends in 1.05..4.0, rows in 0.3..3.0, touch in 0.2..1.5, spring in 0.0..0.1, stiffer in -4.0..4.0,
    ) {
        let loom = on_loom(ends, rows);
        let free = loom.released(spring, Mm::new(touch), math::exp(stiffer), 1.0);
        let closest = rows.min(touch) * (1.0 - spring);
        prop_assert!(free.warp.spacing.mm() >= closest * (1.0 - 1e-9), "{} {}", free.warp.spacing.mm(), closest);
        obeys_peirce(free.warp, free.contact);
        obeys_peirce(free.weft, free.contact);
        // The warp was straight: what touched on the loom is as wide as it was there.
        if rows <= touch {
            prop_assert!(free.weft.spacing.mm() <= ends * (1.0 + 1e-6), "{}", free.weft.spacing.mm());
        }
        // Where nothing touches the balance is that of the energies alone.
        let alone = loom.released(spring, Mm::ZERO, math::exp(stiffer), 1.0);
        prop_assert!(alone.warp.spacing.mm() < closest || free == alone);
    }
}

/// Balanced cloth of one yarn of 1.1284 mm (110 m of cotton in 100 g), pressed to 0.75 of it where it crosses, ends 1.94 mm apart
/// and rows 2 mm: D = 1.6926. Worked out by bisection apart from the program:
///
/// ```text
/// weft   1.6926 asin(1.6926/1.94) + sqrt(1.94^2 - 1.6926^2)  = 2.742568 mm;  warp 2 mm, straight
/// shared h1 = D / (1 + (l2/l1)^3)                            = 0.472980 mm
/// alone  the weft keeps D - h1 = 1.219620 mm and lies 2.414773 mm wide: a quarter wider than it was
/// filled the contact grows until the weft is all arc, D' cos(l2/D') = h1: 2.049819 mm, of 2.2568 lying free
///        the weft lies D' sin(l2/D') = 1.994505 mm wide, and the warp 1.937265 mm long
/// ```
#[test]
fn a_weft_that_lay_bent_hardly_straightens_off_the_loom() {
    let loom = Cell::on_loom(Mm::new(1.94), Mm::new(2.0), Mm::new(1.6926)).expect("it lies so");
    near(loom.weft.length.mm(), 2.742_568, 1e-6);
    let alone = loom.released(0.0, Mm::ZERO, 1.0, 1.0);
    near(alone.warp.rise.mm(), 0.472_980, 1e-6);
    near(alone.weft.spacing.mm(), 2.414_773, 1e-5);
    let filled = alone.filled_out(loom, Mm::new(2.2568));
    near(filled.contact.mm(), 2.049_819, 1e-5);
    near(filled.weft.spacing.mm(), 1.994_505, 1e-5);
    near(filled.warp.spacing.mm(), 1.937_265, 1e-5);
    obeys_peirce(filled.warp, filled.contact);
    // Yarns that have nothing to fill out share the crimp as they are.
    assert_eq!(alone.filled_out(loom, Mm::new(1.6926)), alone);
}

proptest! {
    /// Yarns that fill out keep their lengths, and the weft lies no wider than it would alone, nor the warp longer.
    #[test]
    fn filling_out_gains_nothing(
        ends in 0.5..4.0, rows in 0.2..4.0, spring in 0.0..0.1, stiffer in -3.0..3.0, full in 0.5..2.0,
    ) {
        let loom = on_loom(ends, rows);
        let alone = loom.released(spring, Mm::ZERO, math::exp(stiffer), 1.0);
        let filled = alone.filled_out(loom, Mm::new(full));
        prop_assert_eq!((filled.warp.length, filled.weft.length), (alone.warp.length, alone.weft.length));
        prop_assert!(filled.contact >= alone.contact && filled.contact <= alone.contact.max(Mm::new(full)));
        prop_assert!(filled.weft.spacing <= alone.weft.spacing * (1.0 + 1e-9));
        prop_assert!(filled.warp.spacing <= alone.warp.spacing * (1.0 + 1e-9));
        obeys_peirce(filled.warp, filled.contact);
        obeys_peirce(filled.weft, filled.contact);
        prop_assert!((filled.warp.rise + filled.weft.rise - filled.contact).mm().abs() < 1e-9);
    }
}
