//! Yarn counts and typed quantities, asked of GNU units (Debian package `units`, its `definitions.units`, "yarn
//! linear density") and of pint (`default_en.txt`, context `textile`).

use fellmark_core::quantity::{Gram, Mm, Tex};
use fellmark_core::yarn::{Fibre, Hank, ParsedSize, Size, System};
use fellmark_referees::{python, units};

fn tex(text: &str) -> f64 {
    match Size::parse(text, None) {
        Ok(ParsedSize { size: Size::Count(tex), .. }) => tex.tex(),
        other => panic!("{text}: {other:?}"),
    }
}

#[track_caller]
fn same(what: &str, ours: f64, theirs: f64) {
    assert!((ours - theirs).abs() <= 1e-13 * theirs.abs(), "{what}: {ours}, the referee has {theirs}");
}

#[test]
fn gnu_units_counts_as_we_do() {
    for (system, unit) in [
        (System::Tex, "tex"),
        (System::Dtex, "drex"),
        (System::Denier, "denier"),
        (System::Metric, "metricyarncount"),
        (System::Cotton, "cottonyarncount"),
        (System::Worsted, "worstedyarncount"),
        (System::Lea, "linenyarncount"),
        (System::Run, "woolyarnrun"),
        // GNU units has no Yorkshire skein; its definition, 256 yards in a pound, is from a teaching page.
        (System::Skeins, "(256 yard/pound)"),
    ] {
        for count in [1.0, 2.0, 7.5, 15.0, 30.0, 120.0] {
            let theirs = units(&format!("{count} {unit}"), "tex");
            same(unit, system.tex(count).tex(), theirs);
            same(unit, system.count(Tex::new(theirs)), count);
        }
    }
}

#[test]
fn gnu_units_converts_the_sizes_of_labels_as_we_do() {
    for (ours, theirs) in [
        ("8/2 cotton", "4 cottonyarncount"),
        ("2/30 worsted", "15 worstedyarncount"),
        ("16/2 linen", "8 linenyarncount"),
        ("Nm 2/28", "14 metricyarncount"),
        ("70 den x 2", "140 denier"),
        ("210 m per 100 g", "100 g / 210 m"),
        ("400 m/200g", "200 g / 400 m"),
        ("3360 yd/lb", "3360 yard/pound"),
        ("100 yards per oz", "1 woolyarnrun"),
        ("1 3/4 oz = 137 yd", "1.75 oz / 137 yard"),
    ] {
        same(ours, tex(ours), units(theirs, "tex"));
    }
    let hank = Hank::parse("1 3/4 oz, 137 yd").map(|hank| hank.tex().tex());
    same("a hank", hank.unwrap_or(0.0), units("1.75 oz / 137 yard", "tex"));
    let Ok(ParsedSize { size: Size::Wraps(width), .. }) = Size::parse("18 wraps per inch", None) else {
        panic!("those are wraps");
    };
    same("a wrap", width.mm(), units("(1|18) inch", "mm"));
}

#[test]
fn gnu_units_reads_lengths_and_masses_as_we_do() {
    for (ours, theirs) in [
        ("2,5 cm", "2.5 cm"),
        ("2 1/4 in", "2.25 inch"),
        ("½\"", "0.5 inch"),
        ("7 ft", "7 ft"),
        ("22 yd", "22 yard"),
        ("1.6 km", "1.6 km"),
    ] {
        same(ours, Mm::parse(ours).map_or(0.0, Mm::mm), units(theirs, "mm"));
    }
    for (ours, theirs) in [("3/4 oz", "0.75 oz"), ("2 lb", "2 lb"), ("1.25 kg", "1.25 kg")] {
        same(ours, Gram::parse(ours).map_or(0.0, Gram::grams), units(theirs, "g"));
    }
    same("a kilometre", Mm::parse("1 km").map_or(0.0, Mm::inches), units("1 km", "inch"));
}

#[test]
fn gnu_units_finds_the_same_diameter() {
    // From the definition: a cylinder of this linear density and volume.
    for (tex, fibre) in [(147.6, Fibre::Cotton), (476.2, Fibre::Wool), (206.7, Fibre::Linen)] {
        let section = format!("sqrt((4/pi) {tex} tex {} cm^3/g)", fibre.specific_volume());
        let ours = fibre.diameter(Tex::new(tex)).mm();
        same(fibre.name(), ours, units(&section, "mm"));
    }
}

#[test]
fn pint_counts_as_we_do() {
    // pint has no worsted, linen, run or skein unit; those go through its yard and pound.
    let script = r"
import sys, pint
u = pint.UnitRegistry()
with u.context('textile'):
    for line in sys.stdin:
        count = float(line)
        for unit in [u.tex, u.dtex, u.denier, u.number_meter, u.number_english,
                     560 * u.yard / u.pound, 300 * u.yard / u.pound,
                     1600 * u.yard / u.pound, 256 * u.yard / u.pound]:
            print((count * unit).to('tex').magnitude)
";
    let counts = [1.0, 4.0, 15.0, 28.0, 133.0];
    let theirs = python(script, &counts.map(|count| vec![count]));
    let ours: Vec<(System, f64)> = counts
        .iter()
        .flat_map(|count| System::ALL.map(|system| (system, system.tex(*count).tex())))
        .collect();
    assert_eq!(ours.len(), theirs.len());
    for ((system, ours), theirs) in ours.into_iter().zip(theirs) {
        same(system.name(), ours, theirs);
    }
}
