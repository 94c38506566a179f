//! What a weaver does, from end to end.

use super::client::{self, Request, text};
use super::notices::Notices;
use super::running::Running;
use super::weavings::tick_id;
use crate::Limits;
use serde_json::{Value, json};
use std::io::Write;
use std::net::TcpStream;

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
fn what_is_on_the_loom_comes_before_what_is_not_begun() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let woven = browser.example("tideline-mat");
    let weaving = browser.post(&format!("/api/pieces/{woven}/weavings"), &json!({}), 201);
    let begun = browser.example("lichen-coaster");
    browser.post(&format!("/api/pieces/{begun}/weavings"), &json!({}), 201);
    let last = browser.example("tideline-bookmark");
    let order = || {
        let list = browser.get("/api/pieces");
        list["pieces"].as_array().unwrap().iter().map(|line| text(line, "id").to_owned()).collect::<Vec<_>>()
    };
    // With no row done it is only what was touched before the others.
    assert_eq!(order(), [&last, &begun, &woven].map(String::clone));
    let tick = json!({ "ticks": [{ "id": tick_id(1), "row": 1, "done": true }] });
    browser.post(&format!("/api/weavings/{}/ticks", text(&weaving, "id")), &tick, 200);
    assert_eq!(order(), [&woven, &last, &begun].map(String::clone));
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
