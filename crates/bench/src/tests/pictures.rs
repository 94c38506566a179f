//! What is pictured of a piece, and what of it an edit changes.

use super::client::{self, text};
use super::running::{Browser, Running};
use crate::Limits;
use crate::kept::Turns;
use serde_json::{Value, json};
use std::io::Write;
use std::time::Duration;

/// A picture's pixels, from its file, and what is said with it.
fn picture(browser: &Browser<'_>, address: &str) -> (u32, u32, Vec<u8>, Value) {
    let answered = browser.ask(address);
    assert_eq!(answered.status, 200, "{address}");
    let about = serde_json::from_str(answered.header("x-picture").unwrap()).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(answered.body)).read_info().unwrap();
    let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut rgb).unwrap();
    (frame.width, frame.height, rgb, about)
}

#[test]
fn what_an_edit_changed_in_the_picture_makes_the_old_one_the_new_one() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let at = |more: &str| format!("/api/pieces/{id}/picture?width=460&bare=1{more}");
    let (wide, high, mut shown, about) = picture(&browser, &at(""));
    assert_eq!((about["all"].clone(), about["width"].clone()), (json!(true), json!(460)));

    let touch = json!({ "edit": "touch", "band": "rising-tide", "row": 95, "ends": [9, 9], "pass": "under" });
    let edit = json!({ "base": piece["head"], "edit": touch });
    let after = browser.post(&format!("/api/pieces/{id}/edit"), &edit, 200);
    let from = format!("&rev={}&from={}", text(&after, "head"), text(&piece, "head"));
    let (part_wide, _, parts, about) = picture(&browser, &at(&from));
    assert_eq!(about["all"], json!(false), "{about}");
    let parts_of = about["parts"].as_array().unwrap();
    let number = |value: &Value| value.as_u64().unwrap() as usize;
    let area: usize = parts_of.iter().map(|part| number(&part[2]) * number(&part[3])).sum();
    assert!(area * 4 < (wide * high) as usize, "a touch changes a small part: {about}");

    // Grown at the top by so many lines, then each part in its place.
    let grown = about["grown"].as_i64().unwrap();
    let line = wide as usize * 3;
    if grown > 0 {
        shown.splice(0..0, std::iter::repeat_n(0, grown as usize * line));
    } else {
        shown.drain(0..(-grown) as usize * line);
    }
    let mut top = 0;
    for part in parts_of {
        let [x, y, width, height] = [0, 1, 2, 3].map(|k| number(&part[k]));
        for row in 0..height {
            let from = (top + row) * part_wide as usize * 3;
            let to = (y + row) * line + x * 3;
            shown[to..to + width * 3].copy_from_slice(&parts[from..from + width * 3]);
        }
        top += height;
    }
    // Whole, from a server that has kept nothing of it.
    let other = Running::start(Limits::default());
    let browser = other.enter();
    let new = browser.post("/api/pieces", &json!({ "text": after["text"] }), 201);
    let (_, _, whole, _) =
        picture(&browser, &format!("/api/pieces/{}/picture?width=460&bare=1", text(&new, "id")));
    assert!(whole == shown, "the parts do not make the whole");
}

#[test]
fn a_picture_lies_on_the_ground_of_the_page_and_comes_small_to_whom_that_will_do() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let at = format!("/api/pieces/{id}/picture?width=460");
    let (_, _, day, _) = picture(&browser, &at);
    let (_, _, evening, _) = picture(&browser, &format!("{at}&ground=evening"));
    assert_eq!((&day[..3], &evening[..3]), (&[0xf6, 0xf3, 0xec][..], &[0x1e, 0x1d, 0x1a][..]));
    assert_eq!(browser.ask(&format!("{at}&ground=noon")).status, 400);

    let exact = browser.ask(&at);
    let small = browser.request("GET", &at).with("Accept", "image/jpeg, image/png").send(browser.at).unwrap();
    assert_eq!(
        (exact.header("content-type"), small.header("content-type")),
        (Some("image/png"), Some("image/jpeg"))
    );
    // The start of an image and of its segments (ITU-T T.81, B.1.1.3).
    assert_eq!(small.body[..3], [0xff, 0xd8, 0xff]);
    assert!(small.body.len() * 2 < exact.body.len(), "{} of {}", small.body.len(), exact.body.len());
    assert_eq!(small.header("x-picture"), exact.header("x-picture"));
}

#[test]
fn what_an_edit_would_make_is_pictured_and_nothing_that_is_kept_changes() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let at = format!("/api/pieces/{id}/picture?width=460");
    let (_, _, before, _) = picture(&browser, &at);
    let length = json!({ "edit": "length", "band": "pools", "rows": 12 });
    let sent = json!({ "base": piece["head"], "edit": length });
    let ask = |sent: &Value| {
        let address = format!("/api/pieces/{id}/preview/picture?width=460");
        browser.request("POST", &address).json(sent).send(browser.at).unwrap()
    };
    // More of them than pictures are kept.
    for _ in 0..4 {
        assert_eq!(ask(&sent).status, 200);
    }
    let foreseen = ask(&sent);
    let about: Value = serde_json::from_str(foreseen.header("x-picture").unwrap()).unwrap();
    assert_eq!((&about["all"], &about["width"]), (&json!(true), &json!(460)));
    assert_eq!(browser.piece(&id)["head"], piece["head"], "nothing is saved");
    // What was shown is still known: of what an edit then changes only that is sent, as if nothing had been asked.
    let edited = browser.post(&format!("/api/pieces/{id}/edit"), &sent, 200);
    let (_, _, _, parts) = picture(&browser, &format!("{at}&from={}", text(&piece, "head")));
    assert!(parts["grown"].is_i64());
    // And it is what was foreseen, to the pixel.
    let (_, _, after, _) = picture(&browser, &at);
    assert!(after != before);
    let mut reader = png::Decoder::new(std::io::Cursor::new(foreseen.body)).read_info().unwrap();
    let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut rgb).unwrap();
    assert!(rgb == after, "what was foreseen is not what came");
    // What can't be is refused in words.
    let none = json!({ "base": edited["head"], "edit": { "edit": "length", "band": "eelgrass", "rows": 2 } });
    assert_eq!(ask(&none).status, 422);
    assert_eq!(ask(&json!({ "base": edited["head"] })).status, 400);
}

#[test]
fn small_pictures_for_the_list_leave_the_one_that_is_worked_on() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let at = format!("/api/pieces/{id}/picture?width=460");
    picture(&browser, &at);
    for example in browser.get("/api/pieces")["examples"].as_array().unwrap() {
        let name = text(example, "name");
        let small = browser.ask(&format!("/api/examples/{name}/swatch"));
        assert_eq!((small.status, small.header("content-type")), (200, Some("image/jpeg")), "{name}");
        let other = browser.example(name);
        let mine = browser.ask(&format!("/api/pieces/{other}/swatch"));
        assert!(mine.body == small.body, "the piece looks as its example does: {name}");
        let about: Value = serde_json::from_str(mine.header("x-picture").unwrap()).unwrap();
        assert_eq!(about["per_mm"], json!(3.5));
    }
    // It was kept all the while: what a touch changes comes as a part.
    let touch = json!({ "edit": "touch", "band": "rising-tide", "row": 95, "ends": [9, 9], "pass": "under" });
    browser.post(&format!("/api/pieces/{id}/edit"), &json!({ "base": piece["head"], "edit": touch }), 200);
    let (_, _, _, about) = picture(&browser, &format!("{at}&from={}", text(&piece, "head")));
    assert_eq!(about["all"], json!(false));
    let evening = browser.ask(&format!("/api/pieces/{id}/swatch?ground=evening"));
    let day = browser.ask(&format!("/api/pieces/{id}/swatch"));
    assert!(evening.body != day.body);
    assert_eq!(browser.ask("/api/examples/eelgrass/swatch").status, 404);
    for start in browser.get("/api/pieces")["starts"].as_array().unwrap() {
        let name = text(start, "name");
        let small = browser.ask(&format!("/api/starts/{name}/swatch"));
        assert_eq!((small.status, small.header("content-type")), (200, Some("image/jpeg")), "{name}");
        let piece = browser.post("/api/pieces", &json!({ "start": name }), 201);
        let mine = browser.ask(&format!("/api/pieces/{}/swatch", text(&piece, "id")));
        assert!(mine.body == small.body, "the piece looks as its start does: {name}");
    }
    assert_eq!(browser.ask("/api/starts/eelgrass/swatch").status, 404);
}

#[test]
fn the_map_says_what_lies_where() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let map = browser.get(&format!("/api/pieces/{id}/map"));
    let rows = map["rows"].as_array().unwrap();
    let check = browser.piece(&id)["check"].clone();
    assert_eq!(json!(rows.len()), check["plan"]["rows"]);
    assert_eq!(rows[4]["band"], "pools");
    assert_eq!(rows[4]["band_row"], 1);
    for (k, end) in map["ends"].as_array().unwrap().iter().enumerate() {
        let lies = end["lies"].as_array().unwrap();
        assert_eq!(lies.len(), rows.len(), "every row covers every end");
        // What is found first from the top of a row that passes over is that row.
        for (row, height) in lies.iter().map(|lie| (lie[0].as_u64().unwrap(), lie[1].as_i64().unwrap())) {
            if text(&rows[row as usize - 1], "crossings").as_bytes()[k] == b'o' {
                let mut found = end["found"].as_array().unwrap().iter();
                let here = found.rfind(|found| found[0].as_i64().unwrap() <= height).unwrap();
                assert_eq!(here[1].as_u64().unwrap(), row, "end {}", k + 1);
            }
        }
    }
}

#[test]
fn screens_that_differ_a_little_have_one_picture_between_them() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("kelp-headband");
    for width in 401..=412 {
        let (wide, ..) = picture(&browser, &format!("/api/pieces/{id}/picture?width={width}"));
        assert_eq!(wide, 460);
    }
    assert_eq!(server.bench.kept.count(), 1, "drawn once");
    let (wide, ..) = picture(&browser, &format!("/api/pieces/{id}/picture?width=50"));
    assert_eq!((wide, server.bench.kept.count()), (100, 2));
}

/// Waits until something is so.
fn until(what: &str, so: impl Fn() -> bool) {
    for _ in 0..2000 {
        if so() {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("{what}");
}

#[test]
fn what_nobody_waits_for_any_more_is_not_drawn() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("kelp-headband");
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    let turns = &server.bench.turns;
    let held = runtime.block_on(async { [turns.wait(false).await, turns.wait(false).await] });
    // Both turns are taken: whoever asks waits.
    let target = format!("/api/pieces/{id}/picture?width=300");
    let mut waiting = client::connect(browser.at);
    waiting.write_all(&browser.request("GET", &target).head()).unwrap();
    until("it waits for its turn", || turns.asked() == 3);
    drop(waiting);
    until("it has given its place up", || turns.asked() == 2);
    drop(held);
    let (wide, ..) = picture(&browser, &format!("/api/pieces/{id}/picture?width=200"));
    assert_eq!((wide, server.bench.kept.count()), (200, 1), "only what was waited for is drawn");
}

#[test]
fn devices_of_the_network_leave_a_turn_for_this_computer() {
    let turns = Turns::default();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
    runtime.block_on(async {
        let device = turns.wait(true).await;
        let second = tokio::time::timeout(Duration::from_millis(1), turns.wait(true)).await;
        assert!(second.is_err(), "the next device waits");
        let here = tokio::time::timeout(Duration::from_secs(20), turns.wait(false)).await;
        assert!(here.is_ok(), "a turn is left here");
        let third = tokio::time::timeout(Duration::from_millis(1), turns.wait(false)).await;
        assert!(third.is_err(), "two draw at once, and no more");
        drop((device, here));
        assert!(turns.wait(true).await.is_some());
    });
}
