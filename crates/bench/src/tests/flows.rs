//! What a weaver does, from end to end.

use super::client::{self, Request};
use super::running::{Browser, Running};
use crate::Limits;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

pub(super) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_else(|| panic!("no {key} in {value}"))
}

fn tick_id(k: u8) -> String {
    format!("{k:02x}").repeat(16)
}

/// A stream of notices.
pub(super) struct Notices(BufReader<TcpStream>);

impl Notices {
    pub(super) fn of(browser: &Browser<'_>) -> Notices {
        let mut stream = client::connect(browser.at);
        stream.write_all(&browser.request("GET", "/api/events").head()).unwrap();
        let mut notices = Notices(BufReader::new(stream));
        let head = notices.until(|line| line.is_empty());
        assert!(
            head.iter().any(|line| line.eq_ignore_ascii_case("content-type: text/event-stream")),
            "{head:?}"
        );
        notices.until(|line| line.starts_with("retry:"));
        notices
    }

    fn until(&mut self, last: impl Fn(&str) -> bool) -> Vec<String> {
        let mut lines = Vec::new();
        loop {
            let mut line = String::new();
            assert!(self.0.read_line(&mut line).unwrap() > 0, "the stream ended: {lines:?}");
            let line = line.trim_end().to_owned();
            let is_last = last(&line);
            lines.push(line);
            if is_last {
                return lines;
            }
        }
    }

    /// Waits until the stream ends, and gives the name of its last event, if that has one.
    pub(super) fn ended(&mut self) -> Option<String> {
        let mut all = String::new();
        self.0.read_to_string(&mut all).unwrap();
        let name = all.lines().filter_map(|line| line.strip_prefix("event:")).next_back();
        name.map(|name| name.trim().to_owned())
    }

    /// Waits until the stream ends, and gives what came of it.
    fn rest(mut self) -> String {
        let mut all = String::new();
        self.0.read_to_string(&mut all).unwrap();
        all
    }

    pub(super) fn next(&mut self) -> Value {
        let lines = self.until(|line| line.starts_with("data:"));
        serde_json::from_str(lines.last().unwrap().strip_prefix("data:").unwrap()).unwrap()
    }
}

#[test]
fn the_secret_lets_in_and_nothing_else_does() {
    let server = Running::start(Limits::default());
    let enter = |body: &Value| {
        let request = server.request("POST", "/api/enter").json(body);
        request.send(server.port).unwrap()
    };
    for wrong in [json!({ "token": "marsh" }), json!({ "token": "" })] {
        let refused = enter(&wrong);
        assert_eq!(refused.status, 401);
        assert_eq!(refused.header("set-cookie"), None);
    }
    assert_eq!(enter(&json!({ "code": 7 })).status, 400);
    assert_eq!(enter(&json!({ "token": server.secret })).status, 204);
    let browser = server.enter();
    let list = browser.get("/api/pieces");
    assert_eq!(list["pieces"], json!([]));
    assert!(list["examples"].as_array().unwrap().len() >= 6);
    assert_eq!(list["starts"].as_array().unwrap().len(), 5);
}

#[test]
fn an_example_becomes_a_piece_once_until_it_is_changed() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    assert_eq!(browser.example("tideline-mat"), id);
    let piece = browser.piece(&id);
    assert_eq!(piece["check"]["plan"]["name"], "Tideline mat");
    assert_eq!(piece["can_undo"], false);
    assert_eq!(piece["yarns"][0]["name"], "reed");
    assert!(text(&piece["yarns"][0], "colour").starts_with('#'));
    assert!(text(&piece["yarns"][0]["need"], "words").starts_with("Reed: "));
    assert_eq!(piece["places"][0]["name"], "hem");
    assert_eq!(piece["places"][0]["first_row"], 1);
    assert_eq!(piece["places"][1]["of"], 2, "pools stand in two places");
    let edit = json!({ "base": piece["head"], "edit": { "edit": "band_rows", "band": "hem", "rows": 6 } });
    browser.post(&format!("/api/pieces/{id}/edit"), &edit, 200);
    assert_ne!(browser.example("tideline-mat"), id, "the changed one is the weaver's own");
    // But the text of the file is still known.
    let example = browser.post("/api/pieces", &json!({ "text": piece["text"] }), 201);
    assert!(!text(&example, "id").is_empty());
    let list = browser.get("/api/pieces");
    assert_eq!(list["pieces"].as_array().unwrap().len(), 2);
    let line = list["pieces"].as_array().unwrap().iter().find(|line| line["id"] == id.as_str()).unwrap();
    assert_eq!(line["name"], "Tideline mat");
    assert_eq!(line["ends"], 24);
}

#[test]
fn a_piece_is_put_away_with_all_it_has_and_comes_back() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let weaving = browser.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let tick = json!({ "ticks": [{ "id": tick_id(1), "row": 1, "done": true }] });
    let weaving = format!("/api/weavings/{}", text(&weaving, "id"));
    browser.post(&format!("{weaving}/ticks"), &tick, 200);
    let before = browser.piece(&id);
    assert_eq!(before["put_away"], false);
    let mut notices = Notices::of(&browser);
    let put_away = |id: &str| browser.post(&format!("/api/pieces/{id}/put-away"), &json!({}), 200);
    let list = put_away(&id);
    assert_eq!((&list["pieces"], &list["put_away"][0]["id"]), (&json!([]), &json!(id)));
    assert_eq!(list["put_away"][0]["weavings"][0]["done"], 1);
    assert_eq!(list, browser.get("/api/pieces"));
    let notice = notices.next();
    assert_eq!((&notice["piece"], &notice["put_away"]), (&json!(id), &json!(true)));
    // Whoever has its address goes on with it.
    let away = browser.piece(&id);
    assert_eq!((&away["put_away"], &away["text"]), (&json!(true), &before["text"]));
    assert_eq!(browser.get(&weaving)["done"], json!([1]));
    let archive = browser.ask("/api/archive").body;
    let list = browser.post(&format!("/api/pieces/{id}/bring-back"), &json!({}), 200);
    assert_eq!(notices.next()["put_away"], false);
    assert_eq!((&list["put_away"], &list["pieces"][0]["id"]), (&json!([]), &json!(id)));
    assert_eq!(browser.piece(&id), before);
    // Its text brought in again, or its example begun with, brings it back as well.
    for body in [json!({ "text": before["text"] }), json!({ "example": "tideline-mat" })] {
        put_away(&id);
        assert_eq!(browser.post("/api/pieces", &body, 201)["id"], id.as_str());
        assert_eq!(browser.piece(&id)["put_away"], false);
    }
    // In the archive it is put away, and so it comes to another computer.
    let other = Running::start(Limits::default());
    let there = other.enter();
    let sent = there.request("POST", "/api/archive").bytes("application/zip", archive);
    assert_eq!(sent.send(there.at).unwrap().status, 200);
    assert_eq!(there.get("/api/pieces")["put_away"][0]["weavings"][0]["done"], 1);
    for way in ["put-away", "bring-back"] {
        browser.post(&format!("/api/pieces/{}/{way}", "0".repeat(32)), &json!({}), 404);
        browser.post(&format!("/api/pieces/{id}/{way}"), &json!({ "for": "good" }), 400);
    }
}

#[test]
fn a_remedy_is_taken_and_taken_back() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("first-try");
    let before = browser.piece(&id);
    let findings = before["check"]["findings"].as_array().unwrap();
    // What takes them away is asked for by itself; of a revision it is what it was.
    let of_head = browser.get(&format!("/api/pieces/{id}/remedies"));
    let offered = of_head["findings"].as_array().unwrap();
    assert_eq!(offered.len(), findings.len());
    let (finding, remedies) =
        findings.iter().zip(offered).find(|(_, remedies)| !remedies.as_array().unwrap().is_empty()).unwrap();
    let remedy = &remedies[0]["edit"];
    let edit = json!({ "base": before["head"], "edit": remedy });
    // Shown first: what it would come to, and nothing is saved.
    let shown = browser.post(&format!("/api/pieces/{id}/preview"), &edit, 200);
    assert_eq!(browser.piece(&id), before);
    let mut after = browser.post(&format!("/api/pieces/{id}/edit"), &edit, 200);
    let said = after.as_object_mut().unwrap().remove("said").unwrap();
    assert!(said.as_str().unwrap().starts_with("went over the first end"), "{said}");
    assert_eq!((&shown["said"], &shown["check"]), (&said, &after["check"]));
    assert_eq!((&shown["places"], &shown["yarns"]), (&after["places"], &after["yarns"]));
    assert_ne!(after["head"], before["head"]);
    assert_eq!(after["can_undo"], true);
    assert_eq!(after["can_redo"], false);
    let same = |f: &Value| f["kind"] == finding["kind"] && f["place"] == finding["place"];
    assert!(!after["check"]["findings"].as_array().unwrap().iter().any(same), "the finding is still there");
    assert_eq!(browser.piece(&id), after);
    let was = before["head"].as_str().unwrap();
    assert_eq!(browser.get(&format!("/api/pieces/{id}/remedies?rev={was}")), of_head);
    assert_ne!(browser.get(&format!("/api/pieces/{id}/remedies")), of_head);

    let back = browser.post(&format!("/api/pieces/{id}/undo"), &json!({ "base": after["head"] }), 200);
    assert_eq!((&back["text"], &back["check"]), (&before["text"], &before["check"]));
    assert_eq!((&back["can_undo"], &back["can_redo"]), (&json!(false), &json!(true)));
    // A second tap, made on what was there before, undoes nothing more and says so.
    let twice = browser.post(&format!("/api/pieces/{id}/undo"), &json!({ "base": after["head"] }), 409);
    assert_eq!(twice["head"], back["head"]);
    let redone = browser.post(&format!("/api/pieces/{id}/redo"), &json!({ "base": back["head"] }), 200);
    assert_eq!(redone, after);
}

#[test]
fn a_stale_edit_is_made_again_where_nothing_it_is_about_changed() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let to = format!("/api/pieces/{id}/edit");
    let base = browser.piece(&id)["head"].clone();
    let rows = |band: &str, rows: u32| json!({ "base": base, "edit": { "edit": "band_rows", "band": band, "rows": rows } });
    let first = browser.post(&to, &rows("hem", 6), 200);
    let second = browser.post(&to, &rows("pools", 8), 200);
    assert_ne!(second["head"], first["head"]);
    assert!(text(&second, "text").contains("rows = 6") && text(&second, "text").contains("rows = 8"));
    let third = browser.post(&to, &rows("hem", 2), 409);
    assert_eq!(third["head"], second["head"]);
    assert_eq!(third["text"], second["text"]);
    assert!(text(&third, "message").contains("meanwhile"));
    let written = json!({ "base": base, "text": third["text"].as_str().unwrap().replace("24", "25") });
    browser.post(&format!("/api/pieces/{id}/text"), &written, 409);
    assert_eq!(browser.piece(&id)["head"], second["head"], "nothing was saved");
}

#[test]
fn what_is_no_plan_is_told_with_its_place_and_not_saved() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let bad = text(&piece, "text").replace("pitch = \"4 mm\"", "pitch = \"4 mn\"");
    let refused =
        browser.post(&format!("/api/pieces/{id}/text"), &json!({ "base": piece["head"], "text": bad }), 422);
    let line = 1 + bad.lines().position(|line| line.starts_with("pitch")).unwrap();
    assert_eq!(refused["problem"]["line"], line);
    assert!(!text(&refused["problem"], "help").is_empty());
    let refused = browser.post("/api/pieces", &json!({ "text": "schema = 1\nwarp = 3\n" }), 422);
    assert!(refused["problem"]["line"].is_number());
    let edit = json!({ "base": piece["head"], "edit": { "edit": "warp_ends", "ends": 4000 } });
    let refused = browser.post(&format!("/api/pieces/{id}/edit"), &edit, 422);
    assert!(!text(&refused, "message").is_empty());
    let edit = json!({ "base": piece["head"], "edit": { "edit": "band_rows", "band": "reeds", "rows": 4 } });
    browser.post(&format!("/api/pieces/{id}/edit"), &edit, 422);
    for body in [json!({}), json!({ "example": "none" }), json!({ "example": "tideline-mat", "text": "" })] {
        assert!(browser.send("/api/pieces", &body).status >= 400);
    }
    assert_eq!(browser.piece(&id), piece);
    for gone in ["/api/pieces/7", "/api/weavings/7", &format!("/api/pieces/{}", "0".repeat(32))] {
        assert_eq!(browser.ask(gone).status, 404, "{gone}");
    }
}

#[test]
fn another_text_is_saved_and_comes_out_as_a_file() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let better = text(&piece, "text").replace("Tideline mat", "Ebb mat");
    let saved = browser.post(
        &format!("/api/pieces/{id}/text"),
        &json!({ "base": piece["head"], "text": better }),
        200,
    );
    assert_eq!(saved["check"]["plan"]["name"], "Ebb mat");
    let file = browser.ask(&format!("/api/pieces/{id}/plan.toml"));
    assert_eq!(file.text(), better);
    assert_eq!(file.header("content-disposition"), Some("attachment; filename=\"ebb-mat.toml\""));
    let front = browser.ask(&format!("/api/pieces/{id}/drawing.svg"));
    assert_eq!(front.header("content-type"), Some("image/svg+xml"));
    let back = browser.ask(&format!("/api/pieces/{id}/drawing.svg?back=1&units=inch"));
    assert_ne!(front.text(), back.text());
    let earlier = browser.ask(&format!("/api/pieces/{id}/drawing.svg?rev={}", text(&piece, "head")));
    assert!(earlier.text().contains("<title>Tideline mat</title>"));
    assert!(front.text().contains("<title>Ebb mat</title>"));
    let inches = browser.get(&format!("/api/pieces/{id}?units=inch"));
    assert_ne!(inches["check"]["follows"], saved["check"]["follows"]);
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
fn that_there_is_no_backup_stands_in_the_list() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    browser.example("tideline-mat");
    server.bench.store.wait_for_backup();
    assert_eq!(browser.get("/api/pieces")["no_backup"], Value::Null);
    // A file stands where the folder of backups should be.
    let server =
        Running::start_with(Limits::default(), |data| std::fs::write(data.join("backups"), "").unwrap());
    let browser = server.enter();
    browser.example("tideline-mat");
    server.bench.store.wait_for_backup();
    let told = browser.get("/api/pieces")["no_backup"].clone();
    assert!(text(&told, "message").contains("no backup of today"), "{told}");
    assert!(text(&told, "help").contains("start Fellmark again"), "{told}");
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
            "Take it off the frame: lift its loops off the notches one by one, or cut them at the bars and knot \
             them, so that the first and the last row stay where they are.",
            "Steam it, or press it damp. Then it will be about 9 x 13 cm."
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
fn changes_are_told_to_whoever_listens() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let mut notices = Notices::of(&browser);
    let base = browser.piece(&id)["head"].clone();
    let edit = json!({ "base": base, "edit": { "edit": "band_rows", "band": "hem", "rows": 6 } });
    let after = browser.post(&format!("/api/pieces/{id}/edit"), &edit, 200);
    assert_eq!(notices.next(), json!({ "piece": id, "rev": after["head"] }));
    let weaving = browser.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    assert_eq!(notices.next(), json!({ "weaving": weaving["id"], "piece": id, "seq": 0 }));
    let ticks = json!({ "ticks": [{ "id": tick_id(1), "row": 1, "done": true }] });
    browser.post(&format!("/api/weavings/{}/ticks", text(&weaving, "id")), &ticks, 200);
    assert_eq!(notices.next(), json!({ "weaving": weaving["id"], "piece": id, "seq": 1 }));
}

#[test]
fn it_stops_although_somebody_listens() {
    let mut server = Running::start(Limits::default());
    let stream = {
        let browser = server.enter();
        browser.example("tideline-mat");
        Notices::of(&browser)
    };
    server.stop();
    // It was brought to its end (RFC 9112, 7.1: the last chunk has no length), not waited for and cut at last.
    let rest = stream.rest();
    assert!(rest.ends_with("0\r\n\r\n"), "{rest:?}");
    let refused = std::net::TcpStream::connect(("127.0.0.1", server.port));
    assert!(refused.is_err(), "nobody listens any more");
}

#[test]
fn a_request_that_is_under_way_is_answered_before_it_stops() {
    let mut server = Running::start(Limits::default());
    let request = {
        let browser = server.enter();
        let request: Request = browser.request("POST", "/api/pieces");
        request.json(&json!({ "example": "tideline-mat" }))
    };
    let mut stream = request.begin(server.port);
    let port = server.port;
    let stopping = std::thread::spawn(move || {
        server.stop();
        server
    });
    // It is stopping when nobody is let in any more.
    while TcpStream::connect(("127.0.0.1", port)).is_ok() {
        std::thread::yield_now();
    }
    stream.write_all(json!({ "example": "tideline-mat" }).to_string().as_bytes()).unwrap();
    assert_eq!(client::answer(&mut stream).map(|answered| answered.status), Some(201));
    drop(stopping.join().unwrap());
}

#[test]
fn all_pieces_go_to_another_computer_and_coming_twice_changes_nothing() {
    let (here, there) = (Running::start(Limits::default()), Running::start(Limits::default()));
    let (here, there) = (here.enter(), there.enter());
    let id = here.example("tideline-mat");
    here.post(&format!("/api/pieces/{id}/weavings"), &json!({}), 201);
    let archive = here.ask("/api/archive");
    assert_eq!(archive.header("content-type"), Some("application/zip"));
    let bring = |archive: &client::Answered| {
        let request = there.request("POST", "/api/archive").bytes("application/zip", archive.body.clone());
        request.send(there.server.port).unwrap()
    };
    assert_eq!(
        bring(&archive).json(),
        json!({
            "pieces": 1, "revisions": 1, "weavings": 1, "ticks": 0, "moved_on": 0, "said": ["Tideline mat came."],
        })
    );
    assert_eq!(there.piece(&id), here.piece(&id));
    assert_eq!(bring(&archive).json()["said"], json!(["Nothing in this file is new here."]));
    // Rows that are done here go there, also where the piece is put away, and that is said.
    there.post(&format!("/api/pieces/{id}/put-away"), &json!({}), 200);
    let weaving = here.piece(&id)["weavings"][0]["id"].as_str().unwrap().to_owned();
    let ticks: Vec<Value> = (1..=5)
        .map(|row| json!({ "id": format!("{row:032x}"), "row": row, "done": true, "at": 0 }))
        .collect();
    here.post(&format!("/api/weavings/{weaving}/ticks"), &json!({ "ticks": ticks }), 200);
    let more = here.ask("/api/archive");
    let away = "Tideline mat is here, put away: it stands at the end of the page of all pieces.";
    assert_eq!(bring(&more).json()["said"], json!(["5 rows of Tideline mat came.", away]));
    assert_eq!(bring(&more).json()["said"], json!(["Nothing in this file is new here.", away]));
    let request = there.request("POST", "/api/archive").bytes("application/zip", b"tide".to_vec());
    let refused = request.send(there.server.port).unwrap();
    assert_eq!(refused.status, 422, "{}", refused.text());
    assert!(refused.text().contains("it is no zip file, or it is not whole"), "{}", refused.text());
}

#[test]
fn a_file_that_is_no_plan_is_told_as_what_it_is() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    for (text, message) in [
        ("PK\u{3}\u{4}\u{fffd}\0", "This file is no plan but a zip file."),
        ("\u{fffd}PNG\r\n", "This file is no plan: it is not written as text."),
        ("a\0b", "This file is no plan: it is not written as text."),
    ] {
        let refused = browser.post("/api/pieces", &json!({ "text": text }), 422);
        assert_eq!(refused["message"], message);
    }
}
