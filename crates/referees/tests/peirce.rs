//! Peirce's geometry, asked of scipy: it solves both equations as they stand, for two unknowns at once, knowing
//! nothing of our closed form.

use fellmark_core::peirce::{Bend, bend, bend_of_crimp, jammed_spacing, path_at_change, weft_rise};
use fellmark_core::quantity::Mm;
use fellmark_referees::python;

const D: Mm = Mm::new(1.0);

/// Spacings and rises (as parts of D) over all that threads can do, down to nearly jammed ones.
fn geometries() -> Vec<(Mm, Bend)> {
    let mut all = Vec::new();
    for p in 3..60 {
        for h in 1..=20 {
            let (spacing, rise) = (Mm::new(f64::from(p) / 12.0), Mm::new(f64::from(h) / 20.0));
            all.extend(bend(spacing, rise, D).map(|bent| (spacing, bent)));
        }
    }
    assert!(all.len() > 900, "{}", all.len());
    all
}

#[test]
fn scipy_solves_for_the_rise_as_we_do() {
    let script = r"
import sys
from math import sin, cos, atan2
from scipy.optimize import root
for line in sys.stdin:
    p, h = map(float, line.split())
    def residuals(x):
        l, t = x
        return [(l - t) * cos(t) + sin(t) - p, (l - t) * sin(t) + 1 - cos(t) - h]
    start = [(p * p + h * h) ** 0.5 * 1.02, atan2(h, p)]
    found = root(residuals, start, method='hybr', tol=1e-13)
    assert max(map(abs, residuals(found.x))) < 1e-9, (p, h, found)
    print(found.x[0], found.x[1])
";
    let geometries = geometries();
    let input: Vec<_> = geometries.iter().map(|(p, bent)| vec![p.mm(), bent.rise.mm()]).collect();
    let theirs = python(script, &input);
    assert_eq!(theirs.len(), 2 * geometries.len());
    for ((p, bent), found) in geometries.iter().zip(theirs.chunks(2)) {
        assert!((bent.length.mm() - found[0]).abs() < 1e-8, "{p:?} {bent:?} {found:?}");
        assert!((bent.angle - found[1]).abs() < 1e-6, "{p:?} {bent:?} {found:?}");
    }
}

#[test]
fn scipy_solves_for_the_crimp_as_we_do() {
    let script = r"
import sys
from math import sin, cos, pi
from scipy.optimize import brentq
for line in sys.stdin:
    p, c = map(float, line.split())
    l = p * (1 + c)
    t = brentq(lambda t: (l - t) * cos(t) + sin(t) - p, 1e-9, min(l, pi / 2), xtol=1e-15)
    print(t, (l - t) * sin(t) + 1 - cos(t))
";
    let mut cases = Vec::new();
    for p in [0.9, 1.0, 1.1, 1.25, 1.6, 2.0, 3.0, 5.0] {
        for c in [0.0005, 0.005, 0.01, 0.03, 0.06, 0.1, 0.15, 0.2] {
            cases.extend(bend_of_crimp(Mm::new(p), c, D).map(|bent| (vec![p, c], bent)));
        }
    }
    assert!(cases.len() > 35, "{}", cases.len());
    let input: Vec<_> = cases.iter().map(|(row, _)| row.clone()).collect();
    for ((row, bent), found) in cases.iter().zip(python(script, &input).chunks(2)) {
        assert!((bent.angle - found[0]).abs() < 1e-9, "{row:?} {bent:?} {found:?}");
        assert!((bent.rise.mm() - found[1]).abs() < 1e-9, "{row:?} {bent:?} {found:?}");
    }
}

#[test]
fn scipy_shares_the_rise_of_a_jammed_cloth_as_we_do() {
    // With both threads on their arcs, p = D sin t and h = D (1 - cos t), and h1 + h2 = D. Beyond D the weft takes
    // all of the rise and its path is measured by quadrature along arc and line.
    let script = r"
import sys
from math import sin, cos, asin, pi, hypot
from scipy.optimize import brentq
from scipy.integrate import quad
for line in sys.stdin:
    p = float(line)
    if p < 1:
        t2 = brentq(lambda t: sin(t) - p, 0, pi / 2, xtol=1e-15)
        t1 = brentq(lambda t: (1 - cos(t)) + (1 - cos(t2)) - 1, 0, pi / 2, xtol=1e-15)
        print(1 - cos(t2), sin(t1), t2)
    else:
        # The axis from the crest of one arc (radius 1/2) to the crest of the next, half of it by symmetry.
        t = brentq(lambda t: (p - sin(t)) * sin(t) - (1 - (1 - cos(t))) * cos(t), 1e-6, pi / 2, xtol=1e-15)
        arc = quad(lambda a: hypot(cos(a) / 2, sin(a) / 2), 0, t)[0]
        line_length = hypot(p / 2 - sin(t) / 2, 1 / 2 - (1 - cos(t)) / 2)
        print(1, 0, 2 * (arc + line_length))
";
    let spacings: Vec<f64> = (1..60).map(|p| f64::from(p) / 20.0 + 0.001).collect();
    let input: Vec<_> = spacings.iter().map(|p| vec![*p]).collect();
    let theirs = python(script, &input);
    assert_eq!(theirs.len(), 3 * spacings.len());
    for (p, found) in spacings.iter().zip(theirs.chunks(3)) {
        let p = Mm::new(*p);
        let ours = [weft_rise(p, D).mm(), jammed_spacing(p, D).mm(), path_at_change(p, D).mm()];
        for (ours, theirs) in ours.iter().zip(found) {
            assert!((ours - theirs).abs() < 1e-8, "{p:?}: {ours}, scipy has {theirs}");
        }
    }
}
