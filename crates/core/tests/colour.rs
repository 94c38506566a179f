//! Colour against published tables, and the laws that hold for every colour.

use fellmark_core::colour::{
    Contrast, INK, Lab, LineColour, Linear, PAPER, Srgb, Vision, acceptable_difference, contrast, difference,
    lightness_difference, readable_on,
};
use proptest::prelude::*;

fn lab(lightness: f64, a: f64, b: f64) -> Lab {
    Lab { lightness, a, b }
}

fn srgb(text: &str) -> Srgb {
    Srgb::parse(text).unwrap()
}

fn grey(byte: u8) -> Srgb {
    Srgb([byte; 3])
}

/// The 34 pairs of Sharma, Wu & Dalal, "The CIEDE2000 color-difference formula: implementation notes,
/// supplementary test data, and mathematical observations", *Color Res. Appl.* 30(1) 2005, 21-30, table 1.
#[test]
fn ciede2000_as_in_sharmas_34_pairs() {
    let (mut pairs, mut worst) = (0, 0.0_f64);
    for line in include_str!("data/ciede2000_sharma2005.csv").lines().skip(1) {
        let numbers: Vec<f64> = line.split(',').map(|number| number.parse().unwrap()).collect();
        let [pair, l, a, b, m, c, d, wanted] = numbers[..] else { panic!("{line}") };
        let (one, other) = (lab(l, a, b), lab(m, c, d));
        let found = difference(one, other).units();
        assert_eq!(found.to_bits(), difference(other, one).units().to_bits(), "pair {pair} turned");
        // The table has four decimals. Pair 14 stands on the border between two branches: it too has to give
        // the printed 4.8045, not the 4.7461 of the other branch.
        assert!((found - wanted).abs() < 1e-4, "pair {pair}: {found}, the table has {wanted}");
        worst = worst.max((found - wanted).abs());
        pairs += 1;
    }
    assert_eq!(pairs, 34);
    println!("CIEDE2000, 34 pairs: worst error {worst:.1e}");
    // Half of the last printed decimal, and what double precision may add.
    assert!(worst < 6e-5, "worst error {worst}");
}

/// From the tests of colour-science 0.4.7, `colour/difference/tests/test_delta_e.py`, textiles.
#[test]
fn ciede2000_for_textiles_forgives_lightness() {
    let one = lab(100.0, 21.572_103_57, 272.228_193_50);
    for (l, a, b, wanted) in [
        (50.0, 426.679_453_53, 72.395_908_35, 95.792_053_52),
        (50.0, 74.052_169_81, 276.453_181_93, 23.554_209_43),
        (50.0, 8.322_819_57, -73.582_977_16, 70.632_138_19),
    ] {
        let found = acceptable_difference(one, lab(l, a, b)).units();
        assert!((found - wanted).abs() < 1e-8, "{found}, the vector has {wanted}");
    }
    // Greys differ in lightness alone, which counts for half.
    let (dark, light) = (grey(60).lab(), grey(200).lab());
    let ratio = difference(dark, light).units() / acceptable_difference(dark, light).units();
    assert!((ratio - 2.0).abs() < 1e-6, "{ratio}");
}

/// Computed with colour-science 0.4.7 (its matrices are rounded to four decimals: hence 0.02).
#[test]
fn srgb_as_lab() {
    for (text, l, a, b) in [
        ("#ff0000", 53.2329, 80.1112, 67.2237),
        ("#00ff00", 87.737, -86.1829, 83.1878),
        ("#0000ff", 32.3026, 79.1981, -107.8504),
        ("#8b4513", 37.4669, 26.4478, 40.989),
        ("#808080", 53.585, 0.0, 0.0),
        ("#ffffff", 100.0, 0.0, 0.0),
        ("#000000", 0.0, 0.0, 0.0),
    ] {
        let found = srgb(text).lab();
        let off = [found.lightness - l, found.a - a, found.b - b];
        assert!(off.iter().all(|off| off.abs() < 0.02), "{text}: {found:?}");
    }
}

/// WCAG 2.2, "contrast ratio" and "relative luminance", computed from the definition; 8.59 and 2.15 for blue on
/// white and on red are printed in Manning, *Math for Web Design*.
#[test]
fn contrast_as_in_wcag() {
    for (one, other, ratio) in [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.5422),
        ("#777777", "#ffffff", 4.4781),
        ("#949494", "#ffffff", 3.0335),
        ("#959595", "#ffffff", 2.9953),
        ("#595959", "#ffffff", 7.0047),
        ("#5a5a5a", "#ffffff", 6.8969),
        ("#0000ff", "#ffffff", 8.5925),
        ("#0000ff", "#ff0000", 2.1489),
        ("#ff0000", "#ffffff", 3.9985),
        ("#808080", "#ffffff", 3.9494),
        ("#808080", "#000000", 5.3172),
    ] {
        let found = contrast(srgb(one), srgb(other)).ratio();
        assert!((found - ratio).abs() < 6e-5, "{one} on {other}: {found}, not {ratio}");
    }
    let passes = |text, least: Contrast| contrast(srgb(text), srgb("#ffffff")) >= least;
    assert!(passes("#767676", Contrast::TEXT) && !passes("#777777", Contrast::TEXT));
    assert!(passes("#949494", Contrast::LINE) && !passes("#959595", Contrast::LINE));
}

#[test]
fn ink_on_light_yarn_and_paper_on_dark_yarn() {
    assert_eq!(readable_on(srgb("#e3e9de")), LineColour::Ink);
    assert_eq!(readable_on(srgb("#a88b4c")), LineColour::Ink);
    assert_eq!(readable_on(srgb("#2d6f73")), LineColour::Paper);
    assert_eq!(readable_on(srgb("#6d5846")), LineColour::Paper);
    assert_eq!((LineColour::Ink.srgb(), LineColour::Paper.srgb()), (INK, PAPER));
}

#[test]
fn lines_stand_out_on_every_grey_and_letters_on_paper() {
    assert!(contrast(INK, PAPER) >= Contrast::TEXT);
    for byte in 0..=u8::MAX {
        assert!(contrast(grey(byte), readable_on(grey(byte)).srgb()) >= Contrast::LINE, "{byte}");
    }
}

#[test]
fn lighter_greys_are_lighter() {
    for byte in 1..=u8::MAX {
        let (darker, lighter) = (grey(byte - 1).lab(), grey(byte).lab());
        assert!(lighter.lightness > darker.lightness, "{byte}");
        assert!(lightness_difference(darker, lighter) > 0.0);
    }
}

/// Equal bytes on any machine: the bits of differences over colours spread through the cube, summed up by
/// FNV-1a (constants from memory). The platform's own functions would change them.
#[test]
fn colours_come_out_alike_on_every_machine() {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    let steps: Vec<u8> = (0..=u8::MAX).step_by(17).collect();
    let mut last = grey(0).lab();
    for &red in &steps {
        for &green in &steps {
            for &blue in &steps {
                let light = Srgb([red, green, blue]).linear();
                let seen = Vision::LACKING.map(|vision| vision.sees(light).xyz().lab().a);
                let here = light.xyz().lab();
                let numbers = [difference(last, here).units(), here.lightness, here.a, here.b];
                for number in numbers.into_iter().chain(seen) {
                    for byte in number.to_bits().to_le_bytes() {
                        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
                    }
                }
                last = here;
            }
        }
    }
    assert_eq!(hash, 0xc4a2_59eb_af53_aa29, "{hash:#x}");
}

fn any_colour() -> impl Strategy<Value = Srgb> {
    any::<[u8; 3]>().prop_map(Srgb)
}

proptest! {
    #[test]
    fn bytes_become_light_and_bytes_again(colour in any_colour()) {
        prop_assert_eq!(colour.linear().srgb(), colour);
        let through = colour.lab().xyz().linear();
        prop_assert_eq!(through.srgb(), colour);
    }

    #[test]
    fn a_difference_is_nothing_to_itself_and_the_same_both_ways(one in any_colour(), other in any_colour()) {
        let (a, b) = (one.lab(), other.lab());
        prop_assert_eq!(difference(a, a).units(), 0.0);
        prop_assert_eq!(acceptable_difference(a, a).units(), 0.0);
        prop_assert_eq!(difference(a, b), difference(b, a));
        prop_assert_eq!(difference(a, b).units() > 0.0, one != other);
        prop_assert!(acceptable_difference(a, b) <= difference(a, b));
        prop_assert_eq!(lightness_difference(a, b), lightness_difference(b, a));
        prop_assert_eq!(contrast(one, other), contrast(other, one));
        prop_assert!((1.0..=21.0 + 1e-9).contains(&contrast(one, other).ratio()));
    }

    #[test]
    fn more_light_is_never_darker(colour in any_colour(), which in 0_usize..3) {
        let mut more = colour;
        more.0[which] = more.0[which].saturating_add(1);
        prop_assert!(more.lab().lightness >= colour.lab().lightness);
    }

    /// The simulation keeps greys, as the rows of each of its matrices add up to 1 (all its decimals are six).
    #[test]
    fn every_eye_sees_greys_as_they_are(byte: u8) {
        let light = grey(byte).linear();
        for vision in Vision::LACKING {
            let seen = vision.sees(light);
            for (seen, is) in [(seen.red, light.red), (seen.green, light.green), (seen.blue, light.blue)] {
                prop_assert!((seen - is).abs() < 2e-6, "{:?}: {} {}", vision, seen, is);
            }
        }
    }

    #[test]
    fn what_an_eye_sees_a_screen_can_show(colour in any_colour()) {
        for vision in Vision::LACKING {
            let seen = vision.sees(colour.linear());
            prop_assert_eq!(seen, seen.clamped());
        }
        prop_assert_eq!(Vision::Full.sees(colour.linear()), colour.linear());
    }

    #[test]
    fn lines_stand_out_on_every_colour(colour in any_colour()) {
        prop_assert!(contrast(colour, readable_on(colour).srgb()) >= Contrast::LINE);
    }

    #[test]
    fn no_light_is_too_strange_for_bytes(red: f64, green: f64, blue: f64) {
        let _ = Linear { red, green, blue }.srgb();
    }
}
