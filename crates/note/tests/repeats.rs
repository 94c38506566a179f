//! Numbers of ends that suit a repeat: what is told of them is so.

mod common;

use common::on_slate;
use fellmark_core::sound::Kind;
use fellmark_core::study::Study;

fn twill(ends: u32, edges: &str) -> Study {
    on_slate(
        ends,
        &format!(
            r#"
[piece]
bands = ["slope"]
[band.slope]
wefts = ["slate"]
weave = "twill 2/2"
{edges}
rows = 8
"#
        ),
    )
}

/// Numbers that make whole repeats, and that make both edges alike.
fn suit(study: &Study) -> (Vec<u32>, Vec<u32>) {
    let found = study.findings.iter().find_map(|finding| match &finding.kind {
        Kind::RepeatsUneven { even, alike, .. } => Some((even.clone(), alike.clone())),
        _ => None,
    });
    found.unwrap_or_default()
}

#[test]
fn edges_are_alike_on_the_numbers_that_are_told_so_and_never_where_they_are_taken() {
    let (even, alike) = suit(&twill(15, ""));
    assert_eq!(even, [12, 16]);
    assert!(!alike.is_empty());
    for ends in alike {
        let first = twill(ends, "");
        let row = first.piece.crossings(0);
        let groups: Vec<_> = row.runs(fellmark_core::side::Side::Left).collect();
        let (a, b) = (groups.first().unwrap(), groups.last().unwrap());
        assert_eq!((a.pass, a.ends), (b.pass, b.ends), "on {ends} ends");
    }
    // Over the first end and under the last: no number makes these alike.
    let (even, alike) = suit(&twill(15, "edges = \"taken\""));
    assert_eq!((even, alike), (vec![12, 16], vec![]));
}

/// Groups that meet where the repeat comes round are one group: 3, 5, 2, 5, 2, 5, 3 begins and ends with 3 on 25 ends, and on
/// 28 with 3 and 6.
#[test]
fn groups_that_meet_where_a_repeat_comes_round_are_one() {
    let columns = |ends: u32| {
        on_slate(
            ends,
            r#"
[piece]
bands = ["columns"]
[band.columns]
wefts = ["slate"]
opening = "over 3, under 5, over 2, under 5, over 2, under 5, over 3"
opposite = true
rows = 8
"#,
        )
    };
    let (even, alike) = suit(&columns(27));
    assert_eq!(even, [25]);
    assert!(alike.contains(&25) && !alike.contains(&28), "{alike:?}");
    assert_eq!(suit(&columns(25)), (vec![], vec![]));
}
