//! The model plan in `examples/` reads as what it says, key by key.

use fellmark_core::plan::{
    Band, Edges, EndsWanted, Extent, Plan, Purpose, Source, StackEntry, Touch, TouchedRows,
};
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::yarn::{Fibre, Size, Stock};
use fellmark_note::read;

const MODEL: &str = include_str!("data/model.toml");

fn model() -> Plan {
    read(MODEL).unwrap_or_else(|problem| panic!("{}", problem.render(MODEL, "tideline-mat.toml", false))).plan
}

fn band<'a>(plan: &'a Plan, name: &str) -> &'a Band {
    plan.bands.iter().find(|band| band.name == name).unwrap()
}

#[test]
fn the_frame_the_yarns_and_the_warp_are_as_written() {
    let plan = model();
    assert_eq!(plan.name, "Tideline mat");
    assert_eq!(plan.purpose, Purpose::Coaster);
    assert_eq!(plan.edges, Edges::Crossed);
    assert_eq!(plan.loom.notches, 40);
    assert_eq!(plan.loom.pitch.value.mm(), 6.0);
    assert_eq!(plan.loom.pitch.typed, "6 mm");
    assert_eq!(plan.loom.reach().mm(), 205.0);
    let yarns: Vec<&str> = plan.yarns.iter().map(|yarn| yarn.name.as_str()).collect();
    assert_eq!(yarns, ["reed", "foam", "slate"]);
    assert_eq!(plan.yarns[0].fibre, Fibre::Cotton);
    assert_eq!(plan.yarns[1].fibre, Fibre::Wool);
    // Seven wraps in a centimetre: each is 10/7 mm wide.
    assert!(
        matches!(plan.yarns[1].size.value, Size::Wraps(width) if (width.mm() - 10.0 / 7.0).abs() < 1e-12)
    );
    assert!(matches!(plan.yarns[1].have.as_ref().unwrap().value, Stock::Length(mm) if mm.metres() == 22.0));
    // 100 g in 210 m: 100 / 0.210 tex.
    assert!(matches!(plan.yarns[2].size.value, Size::Count(tex) if (tex.tex() - 476.190_476).abs() < 1e-3));
    assert_eq!(plan.warp.ends, EndsWanted::Count(24));
    assert_eq!(plan.warp.order.len(), 1);
}

#[test]
fn the_bands_and_the_stack_are_as_written() {
    let plan = model();
    let pools = band(&plan, "pools");
    let wefts: Vec<&str> =
        pools.wefts.as_ref().unwrap().iter().map(|weft| plan.wefts[weft.0].name.as_str()).collect();
    assert_eq!(wefts, ["slate", "foam"]);
    let foam = plan.wefts.iter().find(|weft| weft.name == "foam").unwrap();
    assert_eq!(foam.from, Side::Right);
    let Source::Weave(columns) = &pools.source else { panic!("pools has a weave") };
    assert!(columns.opposite && columns.is_opening_and_opposite());
    let second = Touch { at: TouchedRows::Row(2), ends: Span::new(1, 1).unwrap(), pass: Pass::Under };
    assert_eq!(pools.touched, [second]);
    let shoals = band(&plan, "shoals");
    assert!(shoals.exchanged);
    assert!(matches!(shoals.source, Source::Like(other) if plan.bands[other.0].name == "pools"));
    let tide = band(&plan, "rising-tide");
    let Source::Weave(diagonal) = &tide.source else { panic!("the tide has a weave") };
    assert_eq!((diagonal.step.right, diagonal.step.every_rows.get()), (1, 2));
    assert_eq!(tide.extent, Some(Extent::Fill));
    assert_eq!(plan.stack.len(), 4);
    assert!(matches!(&plan.stack[1], StackEntry::Group { times: 2, entries } if entries.len() == 2));
}

#[test]
fn keys_are_found_where_they_stand_and_absent_ones_at_their_table() {
    let places = read(MODEL).unwrap().places;
    let at = |path: &[&str]| {
        let path: Vec<String> = path.iter().map(|name| (*name).to_string()).collect();
        places.of(&path).map(|at| &MODEL[at])
    };
    assert_eq!(at(&["loom", "pitch"]), Some("\"6 mm\""));
    assert_eq!(at(&["band", "pools", "touched", "0"]), Some("\"row 3: under 2\""));
    assert_eq!(at(&["band", "pools", "start"]), Some("[band.pools]"));
    assert_eq!(at(&["piece", "bands", "1", "times"]), Some("2"));
    assert_eq!(at(&["habits"]), None);
    assert_eq!(at(&[]), None);
}
