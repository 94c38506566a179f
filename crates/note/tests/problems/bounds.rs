//! Plans without end: what nests, repeats and multiplies has a bound, and a file and a frame have one too.

use super::*;

#[test]
fn groups_within_groups_have_a_bound() {
    let nested = |depth: usize| {
        let open = "{ times = 1, bands = [".repeat(depth);
        MODEL.replacen("  \"rising-tide\",", &format!("{open}\"rising-tide\"{},", "] }".repeat(depth)), 1)
    };
    assert!(read(&nested(8)).is_ok());
    assert_eq!(problem(&nested(9)).message, "Groups lie within groups here, more than 8 deep.");
    assert!(problem(&nested(60)).at.is_some());
    assert!(problem(&nested(500)).at.is_some());
}

#[test]
fn repeats_are_multiplied_before_anything_is_written_out() {
    let mut text = MODEL.replacen("[piece] ", "[sequence.s0]\nbands = [\"hem\"]\n[piece] ", 1);
    for level in 1..8 {
        let below = level - 1;
        let sequence =
            format!("[sequence.s{level}]\nbands = [{{ times = 20000, bands = [\"s{below}\"] }}]\n[piece] ");
        text = text.replacen("[piece] ", &sequence, 1);
    }
    assert!(problem(&text).message.starts_with("Here the piece comes to 80000 rows"));
}

#[test]
fn yarns_have_a_bound_and_what_is_unused_costs_nothing() {
    let yarns = |count: usize| {
        let more: String = (0..count)
            .map(|k| format!("[yarn.more{k}]\ncolour = \"#2d6f73\"\nsize = \"200 tex\"\nfibre = \"wool\"\n"))
            .collect();
        MODEL.replacen("[warp]", &format!("{more}[warp]"), 1)
    };
    let own = read(MODEL).unwrap().plan.yarns.len();
    assert!(read(&yarns(100 - own)).is_ok());
    let many = problem(&yarns(101 - own));
    assert_eq!(many.message, "Here are more than 100 yarns, the most that a plan has.");
    assert!(many.at.is_some());
}

#[test]
fn a_frame_has_nothing_too_small_to_be_seen() {
    let pitch = |typed: &str| {
        let at = MODEL.find("pitch").unwrap();
        let line = MODEL[at..].lines().next().unwrap();
        MODEL.replacen(line, &format!("pitch = \"{typed}\""), 1)
    };
    assert!(read(&pitch("0.1 mm")).is_ok());
    let tiny = problem(&pitch("0.0000000000001 mm"));
    assert_eq!(tiny.message, "\"0.0000000000001 mm\" is less than anything of a frame.");
    assert!(tiny.at.is_some());
}

#[test]
fn a_chain_of_likenesses_has_a_bound() {
    let chain = |links: usize| {
        let mut bands = String::from("[band.b0]\nlike = \"hem\"\n");
        for link in 1..links {
            bands += &format!("[band.b{link}]\nlike = \"b{}\"\n", link - 1);
        }
        MODEL.replacen("[piece] ", &format!("{bands}[piece] "), 1)
    };
    assert!(read(&chain(8)).is_ok());
    assert!(problem(&chain(9)).message.starts_with("This is the end of a chain"));
    assert!(problem(&chain(20_000)).message.starts_with("This is the end of a chain"));
}

fn parts(first: &str, second: &str) -> String {
    let parts = format!(
        "[[band.hem.part]]\n{first}weave = \"plain\"\n[[band.hem.part]]\n{second}weave = \"plain\"\n"
    );
    MODEL.replacen("weave = \"plain\"\n", "", 1).replacen("rows = 4\n", &format!("rows = 4\n{parts}"), 1)
}

#[test]
fn parts_lie_side_by_side() {
    assert!(read(&parts("ends = \"1 to 8\"\n", "")).is_ok());
    let overlap = problem(&parts("ends = \"1 to 8\"\n", "ends = \"8 to 20\"\n"));
    assert_eq!(overlap.message, "These ends belong to the part with ends \"1 to 8\" already.");
    assert_eq!(problem(&parts("", "")).message, "Two parts name no ends.");
    let beyond = problem(&parts("ends = \"1 to 8\"\n", "ends = \"9 to 30\"\n"));
    assert_eq!(beyond.message, "This goes to end 30, and the warp has 24 ends.");
}

#[test]
fn a_file_has_a_bound() {
    let text = format!("{MODEL}{}", "#".repeat(1 << 20));
    assert!(problem(&text).message.contains("1048576"));
}

#[test]
fn a_mark_of_byte_order_and_other_line_endings_read_as_well() {
    let plan = read(MODEL).unwrap().plan;
    assert_eq!(read(&format!("\u{feff}{MODEL}")).unwrap().plan, plan);
    assert_eq!(read(&MODEL.replace('\n', "\r\n")).unwrap().plan, plan);
}

#[test]
fn a_frame_is_no_longer_than_a_room() {
    check(&[
        [
            "pitch = \"6 mm\"",
            "pitch = \"4 km\"",
            "\"4 km\" is longer than any frame.",
            "Write what you measure on yours",
            "\"4 km\"",
        ],
        [
            "turn-to-turn = \"24 cm\"",
            "turn-to-turn = \"11 yd\"",
            "\"11 yd\" is longer than any frame.",
            "Write what you measure on yours",
            "\"11 yd\"",
        ],
    ]);
}
