//! Colours, asked of colour-science (its sRGB, Lab, CIEDE2000 and the matrices of Machado, Oliveira & Fernandes
//! 2009 that it ships).

use fellmark_core::colour::{Srgb, Vision, acceptable_difference, contrast, difference};
use fellmark_referees::python;

/// Pairs of colours from all over the cube, dark and nearly equal ones among them, the same in every run: a
/// linear congruential generator (Knuth's constants, from memory).
fn pairs() -> Vec<[Srgb; 2]> {
    let mut state = 1_u64;
    let mut byte = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u8
    };
    let mut pair = |k: u32| {
        let one = [byte(), byte(), byte()];
        let other = match k % 3 {
            0 => [byte(), byte(), byte()],
            1 => one.map(|part| part.saturating_add(byte() % 8)),
            _ => one.map(|part| part / (2 + byte() % 8)),
        };
        [Srgb(one), Srgb(other)]
    };
    (0..3000).map(&mut pair).collect()
}

fn asked(script: &str) -> Vec<f64> {
    let bytes = |pair: &[Srgb; 2]| pair.iter().flat_map(|colour| colour.0).map(f64::from).collect();
    python(script, &pairs().iter().map(bytes).collect::<Vec<_>>())
}

#[track_caller]
fn same(what: &str, pair: [Srgb; 2], ours: f64, theirs: f64) {
    let [one, other] = pair;
    assert!((ours - theirs).abs() < 1e-9, "{what} of {one} and {other}: {ours}, the referee has {theirs}");
}

const READ: &str = r"
import sys, warnings
warnings.filterwarnings('ignore')
import numpy, colour
bytes = numpy.loadtxt(sys.stdin).reshape(-1, 2, 3)
light = colour.models.eotf_sRGB(bytes / 255)
xyz = light @ colour.RGB_COLOURSPACES['sRGB'].matrix_RGB_to_XYZ.T
";

#[test]
fn colour_science_finds_the_same_lab_and_differences() {
    // Its white is that of the chromaticities, ours that of the matrix, so that greys have no hue.
    let script = r"
white = colour.XYZ_to_xy(colour.RGB_COLOURSPACES['sRGB'].matrix_RGB_to_XYZ.sum(axis=1))
lab = colour.XYZ_to_Lab(xyz, white)
apart = [colour.difference.delta_E_CIE2000(lab[:, 0], lab[:, 1], textiles=t) for t in (False, True)]
for one, seen, accepted in zip(lab[:, 0], *apart):
    print(*one, seen, accepted)
";
    let theirs = asked(&format!("{READ}{script}"));
    assert_eq!(theirs.len(), 5 * pairs().len());
    for (pair, theirs) in pairs().into_iter().zip(theirs.chunks_exact(5)) {
        let [one, other] = pair.map(Srgb::lab);
        same("L*", pair, one.lightness, theirs[0]);
        same("a*", pair, one.a, theirs[1]);
        same("b*", pair, one.b, theirs[2]);
        same("difference", pair, difference(one, other).units(), theirs[3]);
        same("acceptable difference", pair, acceptable_difference(one, other).units(), theirs[4]);
    }
}

#[test]
fn colour_science_sees_the_same_with_other_eyes() {
    let script = r"
for one in light[:, 0]:
    for kind in ('Deuteranomaly', 'Protanomaly', 'Tritanomaly'):
        print(*numpy.clip(colour.CVD_MATRICES_MACHADO2010[kind][1.0] @ one, 0, 1))
";
    let theirs = asked(&format!("{READ}{script}"));
    assert_eq!(theirs.len(), 9 * pairs().len());
    let mut theirs = theirs.chunks_exact(3);
    for pair in pairs() {
        for vision in Vision::LACKING {
            let seen = vision.sees(pair[0].linear());
            for (ours, theirs) in
                [seen.red, seen.green, seen.blue].into_iter().zip(theirs.next().unwrap_or(&[]))
            {
                same(vision.name(), pair, ours, *theirs);
            }
        }
    }
}

#[test]
fn colour_science_finds_the_same_contrast() {
    // WCAG's ratio of the luminances that the referee has.
    let script = "
y = numpy.sort(xyz[:, :, 1]) + 0.05
print(*(y[:, 1] / y[:, 0]))
";
    let theirs = asked(&format!("{READ}{script}"));
    assert_eq!(theirs.len(), pairs().len());
    for (pair, theirs) in pairs().into_iter().zip(theirs) {
        same("contrast", pair, contrast(pair[0], pair[1]).ratio(), theirs);
    }
}
