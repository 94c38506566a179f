//! Where one length of weft is joined to the next.

mod common;

use common::on_slate;

/// Four ends on which two lengths lie are a knob: on a narrow band too the next join finds a place beside the last (common practice,
/// no source).
#[test]
fn a_join_lies_beside_the_last_as_far_as_there_is_room() {
    for ends in [12, 14, 15, 16, 24] {
        let bands = "[band.b]\nwefts = [\"foam\"]\nweave = \"plain\"\nrows = 200\n[piece]\nbands = [\"b\"]\n";
        let need = on_slate(ends, bands).need;
        let joins: Vec<_> =
            need.yarns.iter().flat_map(|yarn| &yarn.needlefuls).filter_map(|one| one.join).collect();
        assert!(joins.len() > 3, "{ends}: {joins:?}");
        for pair in joins.windows(2) {
            // The first lies in the middle, which leaves no four ends beside it on the narrowest.
            let above = pair[0].ends.common(pair[1].ends).map_or(0, |ends| ends.len());
            assert!(above <= if ends < 16 { 2 } else { 0 }, "{ends}: {pair:?}");
        }
        assert!(
            joins.iter().all(|join| join.ends.first() > 1 && join.ends.last() + 2 < ends),
            "{ends}: {joins:?}"
        );
    }
}
