//! Fibre densities and yarn diameters against published tables.

use fellmark_core::habits::Habits;
use fellmark_core::quantity::{Mm, Tex, Typed};
use fellmark_core::thread::Thread;
use fellmark_core::yarn::{Fibre, Hardness, Size, Srgb, System, Yarn, diameter};
use std::f64::consts::PI;

#[track_caller]
fn near(is: f64, expected: f64, tolerance: f64) {
    assert!((is - expected).abs() <= tolerance, "{is}, not {expected}");
}

fn cotton(count: f64) -> Tex {
    System::Cotton.tex(count)
}

/// Threads of this yarn that lie side by side on an inch.
fn per_inch(tex: Tex, specific_volume: f64) -> f64 {
    Mm::new(25.4) / diameter(tex, specific_volume)
}

/// The specific volume that a rule "threads per inch = k sqrt(yd/lb)" implies: d = 1 / (k sqrt(yd/lb)), and a yarn
/// of specific volume v has 4 v / (pi d^2) of length per mass.
fn volume_of_rule(k: f64) -> f64 {
    PI / 4.0 * 25.4 * 25.4 * 914.4 / (k * k * 453.592_37 * 1000.0)
}

#[test]
fn densities_are_those_of_morton_and_hearle() {
    // *Physical Properties of Textile Fibres*, section 5.3, table 5.1, at 65 % r.h.: density, specific volume.
    for (fibre, density, volume) in [
        (Fibre::Cotton, 1.52, 0.66),
        (Fibre::Viscose, 1.49, 0.67),
        (Fibre::Acetate, 1.32, 0.76),
        (Fibre::Wool, 1.31, 0.76),
        (Fibre::Silk, 1.34, 0.75),
        (Fibre::Nylon, 1.14, 0.88),
        (Fibre::Polyester, 1.39, 0.72),
        (Fibre::Acrylic, 1.19, 0.84),
    ] {
        near(fibre.density(), density, 0.0);
        near(1.0 / fibre.density(), volume, 0.006);
    }
    // Polypropylene stands in the same table as 0.91, with the volume 1.09 where 1 / 0.91 rounds to 1.10.
    near(Fibre::Polypropylene.density(), 0.91, 0.0);
    // From memory, as ranges: flax, hemp, ramie; jute; the hairs of goat and alpaca as wool.
    for fibre in [Fibre::Linen, Fibre::Hemp, Fibre::Ramie] {
        near(fibre.density(), 1.51, 0.03);
    }
    near(Fibre::Jute.density(), 1.47, 0.03);
    for fibre in [Fibre::Mohair, Fibre::Alpaca, Fibre::Cashmere] {
        near(fibre.density(), 1.315, 0.006);
    }
}

#[test]
fn the_constant_of_the_diameter_is_3_568_and_not_3_37() {
    // d_cm = 3.568248e-3 sqrt(T v), computed as sqrt(4e-5 / pi); a page's 3.37e-3 is a misprint of 3.57e-3.
    near(diameter(Tex::new(1.0), 1.0).cm(), 3.568_248_232_3e-3, 1e-13);
}

#[test]
fn published_forms_of_the_diameter_agree() {
    // Peirce: d = 1 / (28 sqrt(Ne)) inch, v = 1.1; exact 27.929.
    near(per_inch(cotton(1.0), 1.1), 27.929, 5e-4);
    // N. Balasubramanian, yarn and cloth notes: d = 34.14 sqrt(v / Ne) mil, also written 1000 / 29.3.
    near(1000.0 / per_inch(cotton(1.0), 1.0), 34.14, 0.002);
    near(per_inch(cotton(1.0), 1.0), 29.3, 0.01);
    // A lecture on fabric design: d_mm = sqrt(T) / 26.6 for a cotton yarn of 0.91 g/cm3; exact 26.734.
    near(1.0 / diameter(Tex::new(1.0), 1.0 / 0.91).mm(), 26.734, 5e-4);
    // Three rules for threads side by side per inch of yd/lb: 0.95 (J. T. Taylor, cotton), 0.90 (Ashenhurst,
    // worsted and cotton), 0.84 (Ashenhurst, woollen), as specific volumes.
    near(volume_of_rule(0.95), 1.13, 0.005);
    near(volume_of_rule(0.90), 1.26, 0.005);
    near(volume_of_rule(0.84), 1.45, 0.005);
}

#[test]
fn worked_diameters_of_cotton() {
    // Taylor, *Cotton Weaving and Designing* (1909), "Relative diameters of yarns", 0.95 rule: he prints 156 for
    // 32s (exact 155.75), 213 and 106 1/2 for 60s and 15s.
    let taylor = |count| per_inch(cotton(count), volume_of_rule(0.95));
    near(taylor(32.0), 155.75, 0.005);
    near(taylor(60.0), 213.27, 0.005);
    near(taylor(15.0), 106.64, 0.005);
    near(taylor(60.0) / taylor(15.0), 2.0, 1e-12);
    // Taylor: 156 at 32s is sqrt(38025) = 195 at 50s.
    near(156.0 * taylor(50.0) / taylor(32.0), 195.0, 1e-9);
    // A note of 2011 citing Ashenhurst's 0.90: 165 for 40s (exact 164.97).
    near(per_inch(cotton(40.0), volume_of_rule(0.90)), 164.97, 0.005);
    // The same note calls 184 the plain maximum of 50s; it is the diameters per inch.
    near(per_inch(cotton(50.0), volume_of_rule(0.90)), 184.44, 0.05);
    // GATE examination in textiles, 2007, item 85: 36 Ne by Peirce is 1/168 in = 0.0151190 cm.
    near(Fibre::Cotton.diameter(cotton(36.0)).cm(), 0.015_119_0, 5e-5);
    // GATE 2008, items 71 and 72: 30 and 15 tex, density 1.54, d_cm = 4.44e-3 sqrt(T / density), a packing of
    // 0.6459.
    let gate = |tex| diameter(Tex::new(tex), 1.0 / (0.6459 * 1.54)).cm();
    near(gate(30.0), 0.019_596_7, 1e-6);
    near(gate(15.0), 0.013_857_0, 1e-6);
}

#[test]
fn worked_diameters_of_other_counts() {
    // 8/2 cotton, 3360 yd/lb, 0.90 rule: 52 on a teaching page (52.169). 2/30 worsted and 1000 yd/lb: computed.
    let ashenhurst = |tex| per_inch(tex, volume_of_rule(0.90));
    near(ashenhurst(cotton(4.0)), 52.169, 5e-4);
    near(ashenhurst(System::Worsted.tex(15.0)), 82.486, 5e-4);
    near(ashenhurst(cotton(1000.0 / 840.0)), 28.460, 5e-4);
}

#[test]
fn the_default_packings_are_within_what_engineers_guess() {
    // From memory: woollen 0.40 to 0.50, worsted 0.55 to 0.60, brushed mohair 0.25 to 0.35, linen 0.60 to 0.65,
    // silk 0.65 to 0.80. Cotton is Peirce's 1.1 cm3/g.
    near(Fibre::Cotton.specific_volume(), 1.1, 1e-12);
    near(Fibre::Wool.packing(), 0.50, 0.101);
    near(Fibre::Mohair.packing(), 0.30, 0.051);
    near(Fibre::Linen.packing(), 0.625, 0.026);
    near(Fibre::Silk.packing(), 0.725, 0.076);
    for fibre in Fibre::ALL {
        assert!((0.25..0.8).contains(&fibre.packing()), "{}", fibre.name());
    }
    assert_eq!(Fibre::Wool.hardness(), Hardness::Soft);
    assert_eq!(Fibre::Cotton.hardness(), Hardness::Medium);
    assert_eq!(Fibre::Linen.hardness(), Hardness::Hard);
}

/// A yarn that nobody has laid round a ruler.
fn labelled(fibre: Fibre, tex: Tex) -> Yarn {
    Yarn {
        name: "mud-lark".to_owned(),
        colour: Srgb([90, 80, 70]),
        size: Typed::new(Size::Count(tex), ""),
        wraps: None,
        measured: None,
        halo: None,
        fibre,
        price: None,
        have: None,
    }
}

fn wrapped(fibre: Fibre, width: Mm) -> Yarn {
    Yarn { size: Typed::new(Size::Wraps(width), ""), ..labelled(fibre, Tex::new(1.0)) }
}

/// 8/2 cotton has 52.17 diameters to the inch by Ashenhurst's rule (3360 yd/lb, 0.90: a teaching page), and a sett by wraps
/// over 0.7 is about Ashenhurst's (another teaching page: 10 wraps, 5 ends, 7 at the most). So it has about 36.5 wraps to the
/// inch; what its label makes of its thickness and its wraps of its weight has them in its spread.
#[test]
fn a_label_and_a_ruler_say_the_same_of_a_cotton() {
    let habits = Habits::default();
    let count = cotton(4.0);
    let diameters = 0.90 * f64::sqrt(3360.0);
    near(diameters, 52.169, 1e-3);
    let wrap = Mm::new(25.4 / (diameters * 0.7));
    let guessed = habits.tex_between(&wrapped(Fibre::Cotton, wrap));
    assert!(guessed.low < count && count < guessed.high, "{guessed:?}");
    near(guessed.likely / count, 1.0, 0.2);
    let thick = habits.diameter_between(&labelled(Fibre::Cotton, count));
    assert!(thick.low < wrap && wrap < thick.high, "{thick:?}");
    near(thick.likely / wrap, 1.0, 0.1);
    // Taken for the thread itself, as close as cotton packs, a wrap would weigh twice as much.
    assert!(Fibre::Cotton.tex_of(wrap).tex() > 2.0 * count.tex());
}

/// The same of firm wools by Ashenhurst's coefficients (worsted 0.90, woollen 0.84: teaching pages) over 0.7, and of knitting
/// wool of 210 m in 100 g at 11 to 15 wraps to the inch (from memory: how the knitting trade sorts such yarns).
#[test]
fn what_a_label_says_of_a_wool_spans_firm_and_lofty_ones() {
    let habits = Habits::default();
    let tex = Tex::new(1e5 / 210.0);
    let thick = habits.diameter_between(&labelled(Fibre::Wool, tex));
    let yards_in_a_pound = 496_054.647_856_518 / tex.tex();
    for coefficient in [0.90, 0.84] {
        let wrap = Mm::new(25.4 / (coefficient * yards_in_a_pound.sqrt() * 0.7));
        assert!(thick.low < wrap && wrap < thick.high, "{coefficient}: {wrap:?} in {thick:?}");
    }
    let knitting = Mm::new(25.4 / 13.0);
    assert!(thick.likely < knitting && knitting < thick.high, "{knitting:?} in {thick:?}");
}

/// Plain setts that are published for 20/2 yarns, in ends to the inch (an article of a weavers' guild, 2020): linen 24 to 30,
/// spun silk (5000 yd/lb) 24 to 28, worsted 20 to 30, cotton 30 to 48. None is as close as Peirce's jam of the same yarn in warp
/// and weft, 0.866 of the contact; and the closest of each comes within half of it.
#[test]
fn setts_that_are_woven_stay_below_the_jam() {
    let habits = Habits::default();
    for (fibre, tex, loosest, closest) in [
        (Fibre::Linen, System::Lea.tex(10.0), 24.0, 30.0),
        (Fibre::Silk, Tex::new(496_054.647_856_518 / 5000.0), 24.0, 28.0),
        (Fibre::Wool, System::Worsted.tex(10.0), 20.0, 30.0),
        (Fibre::Cotton, System::Cotton.tex(10.0), 30.0, 48.0),
    ] {
        let thread = Thread::of(&labelled(fibre, tex), 1, &habits);
        let contact = thread.thick * 2.0;
        let jam = 25.4 / (contact.mm() * f64::sqrt(0.75));
        // Linen's own jam, 29.8, is as good as the closest sett.
        assert!(closest < jam * 1.01, "{}: {closest} of {jam}", fibre.name());
        assert!(loosest < jam && closest > jam / 2.0, "{}: {loosest}", fibre.name());
    }
}
