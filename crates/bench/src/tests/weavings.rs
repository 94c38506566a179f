//! What becomes of a weaving: it is begun, ticked by many hands, follows its piece, and is parted from it.

use super::client::{self, text};
use super::running::Running;
use crate::Limits;
use serde_json::{Value, json};

/// An id of a tick, another for each number.
pub(super) fn tick_id(k: u8) -> String {
    format!("{k:02x}").repeat(16)
}

#[test]
fn two_hands_tick_one_weaving() {
    let server = Running::start(Limits::default());
    let (here, there) = (server.enter(), server.enter());
    let id = here.example("tideline-mat");
    let weaving = here.post(&format!("/api/pieces/{id}/weavings"), &json!({ "mirrored": false }), 201);
    let at = format!("/api/weavings/{}", text(&weaving, "id"));
    let begun = there.get(&at);
    assert_eq!(begun["done"], json!([]));
    assert_eq!(begun["next_row"], 1);
    assert_eq!(begun["changed_below"], Value::Null);
    let rows = begun["rows"].as_array().unwrap();
    let needle = |state: &Value, weft: &str| {
        let all = state["needles"].as_array().unwrap();
        text(all.iter().find(|needle| needle["weft"] == weft).unwrap(), "side").to_owned()
    };
    assert_eq!(needle(&begun, text(&rows[0], "weft")), text(&rows[0], "from"));

    let tick = |k: u8, row: u32, done: bool| json!({ "ticks": [{ "id": tick_id(k), "row": row, "done": done }], "rev": begun["rev"] });
    let to = format!("{at}/ticks");
    let first = here.post(&to, &tick(1, 1, true), 200);
    assert_eq!((&first["done"], &first["next_row"]), (&json!([1]), &json!(2)));
    assert_eq!(needle(&first, text(&rows[1], "weft")), text(&rows[1], "from"));
    // The same again, the same row by another hand, and a row ahead.
    assert_eq!(here.post(&to, &tick(1, 1, true), 200), first);
    assert_eq!(there.post(&to, &tick(2, 1, true), 200), first);
    let ahead = there.post(&to, &tick(3, 3, true), 200);
    assert_eq!((&ahead["done"], &ahead["next_row"]), (&json!([1, 3]), &json!(2)));
    // Taken back, then an old tick comes once more: it stays taken back.
    let back = here.post(&to, &tick(4, 1, false), 200);
    assert_eq!((&back["done"], &back["next_row"]), (&json!([3]), &json!(1)));
    assert_eq!(there.post(&to, &tick(1, 1, true), 200), back);
    assert_eq!(there.post(&to, &tick(5, 1, true), 200)["done"], json!([1, 3]));
    let many: Vec<Value> =
        (10..20).map(|k: u8| json!({ "id": tick_id(k), "row": k - 8, "done": true, "at": 5 })).collect();
    let all = here.post(&to, &json!({ "ticks": many }), 200);
    assert_eq!(all["next_row"], 12);
    for bad in
        [tick(60, 0, true), tick(61, 4000, true), json!({ "ticks": [{ "id": "x", "row": 1, "done": true }] })]
    {
        let refused = here.post(&to, &bad, 422);
        assert!(!text(&refused, "message").is_empty());
    }
    let piece = there.piece(&id);
    assert_eq!(piece["weavings"][0]["done"], 11);
    assert_eq!(piece["weavings"][0]["rows"].as_u64().unwrap() as usize, rows.len());
}

#[test]
fn the_list_says_of_a_weaving_what_the_weaving_says() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let weaving = browser.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let at = format!("/api/weavings/{}", text(&weaving, "id"));
    let same = |after: &str| {
        let there = browser.get(&at);
        let of_list = browser.get("/api/pieces")["pieces"][0]["weavings"][0].clone();
        assert_eq!(of_list, browser.piece(&id)["weavings"][0], "{after}");
        for key in ["next_row", "needles"] {
            assert_eq!(of_list[key], there[key], "{after}: {key}");
        }
        let next = there["next_row"].as_u64().unwrap();
        assert_eq!(of_list["words"], format!("row {next} of {}", of_list["rows"]), "{after}");
        let count = |key: &str| there[key].as_array().unwrap().len() as u64;
        assert_eq!(
            (&of_list["done"], &of_list["rows"]),
            (&json!(count("done")), &json!(count("rows"))),
            "{after}"
        );
    };
    same("begun");
    // A row ahead is done; the next to weave lies before it.
    let tick = |k: u8, row: u8| json!({ "id": tick_id(k), "row": row, "done": true });
    browser.post(&format!("{at}/ticks"), &json!({ "ticks": [tick(1, 1), tick(2, 50)] }), 200);
    same("two rows");
    assert_eq!(browser.piece(&id)["weavings"][0]["next_row"], 2);
    let back = json!({ "ticks": [{ "id": tick_id(3), "row": 50, "done": false }] });
    browser.post(&format!("{at}/ticks"), &back, 200);
    same("one taken back");
    // The piece gets shorter above the fell: the weaving is as long as the piece is now.
    let edit = |base: &Value, edit: Value| {
        browser.post(&format!("/api/pieces/{id}/edit"), &json!({ "base": base, "edit": edit }), 200)
    };
    let rows = |band: &str, rows: u32| json!({ "edit": "band_rows", "band": band, "rows": rows });
    let shorter = edit(&browser.piece(&id)["head"], rows("rising-tide", 60));
    same("shorter");
    // And below it otherwise: it stays as long as it was.
    browser.post(&format!("{at}/ticks"), &json!({ "ticks": [tick(4, 2), tick(5, 3), tick(6, 4)] }), 200);
    let before = browser.piece(&id)["weavings"][0]["rows"].clone();
    let below = edit(&shorter["head"], rows("hem", 2));
    same("below the fell");
    assert_eq!(below["weavings"][0]["rows"], before);
    browser.post(&format!("/api/pieces/{id}/undo"), &json!({ "base": below["head"] }), 200);
    same("undone");
}

#[test]
fn a_device_whose_clock_is_wrong_ticks_and_takes_back_as_any_other() {
    let server = Running::start(Limits::default());
    let (here, phone) = (server.enter(), server.enter());
    let id = here.example("tideline-mat");
    let weaving = here.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let to = format!("/api/weavings/{}/ticks", text(&weaving, "id"));
    let tick =
        |k: u8, row: u8, done: bool, at: i64| json!({ "id": tick_id(k), "row": row, "done": done, "at": at });
    let minute = 60_000;
    // A minute behind, an hour ahead, and clocks that say what no clock says.
    for (k, wrong) in (0_u8..).zip([-minute, 60 * minute, i64::MIN, i64::MAX]) {
        let row = k + 1;
        here.post(&to, &json!({ "ticks": [{ "id": tick_id(k), "row": row, "done": true }] }), 200);
        let now = server.bench.clock().0.saturating_add(wrong);
        let back = phone.post(&to, &json!({ "ticks": [tick(100 + k, row, false, now)], "now": now }), 200);
        assert_eq!(back["done"], json!([]), "{wrong}");
    }
    // What was kept on the phone came before what was done since: a tick of five minutes ago is taken back still.
    let now = server.bench.clock().0 - minute;
    here.post(&to, &json!({ "ticks": [tick(50, 9, true, 0), tick(51, 9, false, now)] }), 200);
    let kept = |k: u8, ago: i64| json!({ "ticks": [tick(k, 9, true, now - ago)], "now": now });
    assert_eq!(phone.post(&to, &kept(52, 5 * minute), 200)["done"], json!([]));
    assert_eq!(phone.post(&to, &kept(53, 0), 200)["done"], json!([9]));
    // Without its clock a moment is this computer's, as it was before.
    let unsaid = json!({ "ticks": [tick(54, 9, false, now - 5 * minute)] });
    assert_eq!(phone.post(&to, &unsaid, 200)["done"], json!([9]));
}

#[test]
fn a_weaving_with_no_row_done_is_taken_again() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let begin = |mirrored: bool, status: u16| {
        let at = format!("/api/pieces/{id}/weavings");
        text(&browser.post(&at, &json!({ "mirrored": mirrored }), status), "id").to_owned()
    };
    let tick = |weaving: &str, id: char, done: bool| {
        let ticks = json!({ "ticks": [{ "id": id.to_string().repeat(32), "row": 1, "done": done }] });
        browser.post(&format!("/api/weavings/{weaving}/ticks"), &ticks, 200);
    };
    let first = begin(false, 201);
    assert_eq!(begin(false, 200), first);
    assert_ne!(begin(true, 201), first, "a mirrored one is another");
    tick(&first, 'a', true);
    let second = begin(false, 201);
    assert_ne!(second, first);
    tick(&second, 'b', true);
    tick(&second, 'c', false);
    assert_eq!(begin(false, 200), second, "taken back it has no row again");
    let list = browser.piece(&id)["weavings"].as_array().unwrap().clone();
    assert_eq!(list.len(), 3);
    assert!(list.windows(2).all(|pair| pair[0]["touched"].as_i64() >= pair[1]["touched"].as_i64()));
}

#[test]
fn a_weaving_follows_its_piece_above_the_fell_and_says_what_differs_below() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let weaving = browser.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let at = format!("/api/weavings/{}", text(&weaving, "id"));
    let done: Vec<Value> =
        (1..=4).map(|row: u8| json!({ "id": tick_id(row), "row": row, "done": true })).collect();
    browser.post(&format!("{at}/ticks"), &json!({ "ticks": done }), 200);
    let before = browser.get(&at);

    // The hem, which is woven, ends in row 4; pools come above.
    let rows = |base: &Value, band: &str, rows: u32| json!({ "base": base, "edit": { "edit": "band_rows", "band": band, "rows": rows } });
    let above = browser.post(&format!("/api/pieces/{id}/edit"), &rows(&piece["head"], "pools", 8), 200);
    let followed = browser.get(&at);
    assert_eq!(followed["rev"], above["head"]);
    assert_eq!(followed["changed_below"], Value::Null);
    assert_ne!(followed["bands"][1]["rows"], before["bands"][1]["rows"]);
    assert_eq!(followed["done"], json!([1, 2, 3, 4]));
    // A row that was woven from the rows shown before: it is kept as it was woven.
    let shown_before =
        json!({ "ticks": [{ "id": tick_id(5), "row": 5, "done": true }], "rev": before["rev"] });
    assert_eq!(browser.post(&format!("{at}/ticks"), &shown_before, 200)["next_row"], 6);

    // And one from the rows shown now: from here on the weaving has followed this revision.
    let shown = json!({ "ticks": [{ "id": tick_id(6), "row": 6, "done": true }], "rev": above["head"] });
    browser.post(&format!("{at}/ticks"), &shown, 200);

    let below = browser.post(&format!("/api/pieces/{id}/edit"), &rows(&above["head"], "hem", 2), 200);
    let kept = browser.get(&at);
    assert_eq!(kept["rev"], above["head"]);
    assert_eq!(kept["rows"], followed["rows"]);
    assert_eq!(kept["changed_below"]["rev"], below["head"]);
    let differing = kept["changed_below"]["rows"].as_array().unwrap();
    assert!(
        differing.iter().all(|row| (3..=6).contains(&row.as_u64().unwrap())) && !differing.is_empty(),
        "{differing:?}"
    );
    browser.post(&format!("/api/pieces/{id}/undo"), &json!({ "base": below["head"] }), 200);
    assert_eq!(browser.get(&at)["changed_below"], Value::Null);
    browser.post(&format!("/api/pieces/{id}/redo"), &json!({ "base": above["head"] }), 200);

    // One way on: what the piece has become is a piece of its own, and this one is again what is on the loom.
    let part = format!("{at}/part");
    browser.post(&part, &json!({ "rev": above["head"] }), 409);
    let before = browser.get("/api/pieces")["pieces"].as_array().unwrap().len();
    // Four presses at once make one piece, and the others are told that there is no more to part.
    let answers: Vec<client::Answered> = std::thread::scope(|scope| {
        let press = || browser.send(&part, &json!({ "rev": below["head"] }));
        let pressed: Vec<_> = (0..4).map(|_| scope.spawn(press)).collect();
        pressed.into_iter().map(|answer| answer.join().unwrap()).collect()
    });
    let mut statuses: Vec<u16> = answers.iter().map(|answer| answer.status).collect();
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 409, 409, 409]);
    assert_eq!(browser.get("/api/pieces")["pieces"].as_array().unwrap().len(), before + 1);
    let new = answers.iter().find(|answer| answer.status == 201).unwrap().json();
    assert_eq!(browser.piece(text(&new, "id"))["text"], below["text"]);
    assert_eq!(browser.piece(&id)["head"], above["head"]);
    assert_eq!(browser.get(&at)["changed_below"], Value::Null);
    browser.post(&part, &json!({ "rev": below["head"] }), 409);
}

#[test]
fn rows_that_the_piece_has_otherwise_are_taken_out_from_the_top() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let weaving = browser.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let at = format!("/api/weavings/{}", text(&weaving, "id"));
    let tick = |k: u8, row: u8, done: bool| json!({ "id": tick_id(k), "row": row, "done": done });
    let woven: Vec<Value> = (1..=8).map(|row| tick(row, row, true)).collect();
    browser.post(&format!("{at}/ticks"), &json!({ "ticks": woven }), 200);
    let base = browser.piece(&id)["head"].clone();
    let edit = json!({ "base": base, "edit": { "edit": "band_rows", "band": "hem", "rows": 6 } });
    let below = browser.post(&format!("/api/pieces/{id}/edit"), &edit, 200);
    let changed = browser.get(&at)["changed_below"].clone();
    let rows = changed["rows"].as_array().unwrap();
    let lowest = rows.iter().map(|row| row.as_u64().unwrap()).min().unwrap();
    assert_eq!(lowest, 5, "the hem's two more rows come after row 4");
    assert_eq!(changed["unpick"], json!([8, 7, 6, 5]));
    assert_eq!(changed["take_out"], "take out rows 8 to 5, and weave on as the piece is now");
    let out: Vec<Value> = (5..=8).rev().map(|row| tick(row + 100, row, false)).collect();
    assert_eq!(browser.post(&format!("{at}/ticks"), &json!({ "ticks": out }), 200)["next_row"], 5);
    let now = browser.get(&at);
    assert_eq!((&now["changed_below"], &now["rev"]), (&Value::Null, &below["head"]));
    assert_eq!(now["done"], json!([1, 2, 3, 4]));
}

#[test]
fn a_mirrored_weaving_is_woven_the_other_way_round() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let begin = |mirrored: bool| {
        let weaving =
            browser.post(&format!("/api/pieces/{id}/weavings"), &json!({ "mirrored": mirrored }), 201);
        browser.get(&format!("/api/weavings/{}", text(&weaving, "id")))
    };
    let (plain, mirrored) = (begin(false), begin(true));
    assert_eq!(mirrored["mirrored"], true);
    let rows = plain["rows"].as_array().unwrap().iter().zip(mirrored["rows"].as_array().unwrap());
    for (plain, mirrored) in rows {
        let there: String = text(plain, "crossings").chars().rev().collect();
        assert_eq!(there, text(mirrored, "crossings"));
        assert_ne!(plain["from"], mirrored["from"]);
        assert_eq!(plain["words"], mirrored["words"], "the needle meets the same ends");
    }
}

#[test]
fn what_comes_after_the_last_row_names_every_tail_and_the_finish() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let weaving = |mirrored: bool| {
        let weaving =
            browser.post(&format!("/api/pieces/{id}/weavings"), &json!({ "mirrored": mirrored }), 201);
        browser.get(&format!("/api/weavings/{}", text(&weaving, "id")))
    };
    let (plain, mirrored) = (weaving(false), weaving(true));
    // As the steps of the rows have it: each beginning and each cut leaves a tail at its side.
    for weaving in [&plain, &mirrored] {
        let said = weaving["off_the_loom"][0].as_str().unwrap();
        for row in weaving["rows"].as_array().unwrap() {
            for step in ["before", "after"]
                .iter()
                .flat_map(|when| row[*when].as_array().unwrap())
                .filter(|step| ["begin", "cut"].contains(&step["do"].as_str().unwrap()))
            {
                let words = format!("at the {} of row {}", text(step, "side"), row["number"]);
                assert!(said.contains(&words), "{said}: {words}");
            }
        }
    }
    assert_eq!(
        plain["off_the_loom"],
        json!([
            "Knot or darn in the tails: slate at the right of row 1 and at the left of row 130; foam at the right \
             of row 6 and at the left of row 125.",
            "Trim the ends that stick out at its 12 joins, close to the cloth.",
            "While it is still on the frame, secure the last row with a stitch round every two or three ends: the \
             2.7 cm of warp above it is too short to knot.",
            "Take it off the frame. At the near bar, lift its loops off the notches and untie its knots: the loops, \
             1 cm long, hold the first row once the rows are eased out into them, and the ends are knotted or darned \
             in. At the far bar, lift its loops off the notches: 2.7 cm of warp is a fringe there, or is cut shorter.",
            "Steam it, or press it damp. Then it will be about 9 x 13 cm.",
            "Keep it away from flames, and don't trust it with what is hot enough to burn. Follow your local rules, \
             and ask people who are qualified."
        ])
    );
    // Tails at the same side are told together.
    let bands = browser.example("sandpiper-earrings");
    let weaving = browser.post(&format!("/api/pieces/{bands}/weavings"), &json!({}), 201);
    let weaving = browser.get(&format!("/api/weavings/{}", text(&weaving, "id")));
    let said = weaving["off_the_loom"][0].as_str().unwrap();
    assert!(
        said.contains("foam at the left of rows 1, 6, 42 and 47; sea-lavender at the left of row 7"),
        "{said}"
    );
}

#[test]
fn what_is_left_is_told_at_the_pace_of_the_rows_ticked_last_on_whatever_device() {
    let server = Running::start(Limits::default());
    let (here, phone) = (server.enter(), server.enter());
    let id = here.example("tideline-mat");
    let weaving = here.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let at = format!("/api/weavings/{}", text(&weaving, "id"));
    assert_eq!(here.get(&at)["left"], Value::Null);
    // A row a minute, kept on the phone meanwhile.
    let now = server.bench.clock().0;
    let tick = |row: u8| json!({ "id": tick_id(row), "row": row, "done": true, "at": now - 600_000 + i64::from(row) * 60_000 });
    let sent = |rows: std::ops::RangeInclusive<u8>| json!({ "now": now, "ticks": rows.map(tick).collect::<Vec<_>>() });
    let to = format!("{at}/ticks");
    assert_eq!(here.post(&to, &sent(1..=4), 200)["left"], Value::Null, "three rows say nothing");
    // 125 rows are left: two hours and five minutes, said to the half hour.
    assert_eq!(phone.post(&to, &sent(5..=5), 200)["left"], "about 2 h left");
    assert_eq!(here.get(&at)["left"], "about 2 h left");
}

#[test]
fn each_thing_that_is_done_with_the_warp_is_drawn() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("marsh-light-panel");
    let begun = |mirrored: bool| {
        let weaving =
            browser.post(&format!("/api/pieces/{id}/weavings"), &json!({ "mirrored": mirrored }), 201);
        format!("/api/weavings/{}", text(&weaving, "id"))
    };
    let (at, other_way) = (begun(false), begun(true));
    let tasks = browser.get(&at)["winding"].as_array().unwrap().len();
    let drawn = |to: &str, task: usize| browser.ask(&format!("{to}/winding.svg?task={task}"));
    for task in 0..tasks {
        let drawing = drawn(&at, task);
        assert_eq!(drawing.header("content-type"), Some("image/svg+xml"));
        let piece = format!("/api/pieces/{id}");
        assert_eq!(drawing.text(), drawn(&piece, task).text());
    }
    assert_eq!(drawn(&at, tasks).status, 404);
    // Of one yarn the warp is wound alike from either side, but for the knots where it has an odd number of ends.
    assert_eq!(drawn(&other_way, tasks - 1).status, 200);
}

#[test]
fn letters_on_a_yarn_are_those_that_are_read_on_it() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let weaving = browser.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let weaving = browser.get(&format!("/api/weavings/{}", text(&weaving, "id")));
    let letters = |name: &str| {
        let all = weaving["wefts"].as_array().unwrap();
        text(all.iter().find(|weft| weft["name"] == name).unwrap(), "letters").to_owned()
    };
    // Slate is dark and foam is light (#2d6f73 and #e3e9de).
    assert_eq!((letters("slate"), letters("foam")), ("paper".to_owned(), "ink".to_owned()));
    for winding in weaving["winding"].as_array().unwrap() {
        assert_eq!(winding["letters"].is_null(), winding["colour"].is_null());
    }
}
