//! What the panels are told is what the edits take.

use super::running::Running;
use crate::Limits;
use serde_json::{Value, json};

fn edited(browser: &super::running::Browser<'_>, id: &str, edit: &Value) -> Value {
    let head = browser.piece(id)["head"].clone();
    browser.post(&format!("/api/pieces/{id}/edit"), &json!({ "base": head, "edit": edit }), 200)
}

fn names(piece: &Value) -> Vec<&str> {
    piece["places"].as_array().unwrap().iter().map(|place| place["name"].as_str().unwrap()).collect()
}

/// The lowest line that is called so, within repeats as well.
fn lowest<'a>(lines: &'a Value, words: &str) -> Option<&'a Value> {
    lines
        .as_array()?
        .iter()
        .find_map(|line| if line["words"] == words { Some(line) } else { lowest(&line["entries"], words) })
}

#[test]
fn a_line_is_moved_step_by_step_through_a_repeat_and_back() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let mut piece = browser.piece(&id);
    let start = names(&piece).join(" ");
    let mut steps = vec![start];
    // Up until it lies beside the other one at the top.
    while !names(&piece).ends_with(&["hem", "hem"]) {
        let line = lowest(&piece["parts"]["stack"], "hem").unwrap();
        let edit = json!({ "edit": "stack_move", "from": line["at"], "to": line["up"] });
        piece = edited(&browser, &id, &edit);
        steps.push(names(&piece).join(" "));
    }
    assert_eq!(
        steps,
        [
            "hem pools shoals pools shoals rising-tide hem",
            "hem pools shoals hem pools shoals rising-tide hem",
            "pools hem shoals pools hem shoals rising-tide hem",
            "pools shoals hem pools shoals hem rising-tide hem",
            "pools shoals pools shoals hem rising-tide hem",
            "pools shoals pools shoals rising-tide hem hem",
        ]
    );
    // And down the same way.
    for before in steps.iter().rev().skip(1) {
        let line = lowest(&piece["parts"]["stack"], "hem").unwrap();
        let edit = json!({ "edit": "stack_move", "from": line["at"], "to": line["down"] });
        piece = edited(&browser, &id, &edit);
        assert_eq!(&names(&piece).join(" "), before);
    }
}

#[test]
fn a_fill_is_never_led_into_a_repeat() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let piece = browser.piece(&browser.example("tideline-mat"));
    let fill = lowest(&piece["parts"]["stack"], "rising-tide").unwrap();
    assert_eq!(fill["down"], json!([2]), "past the repeat in one step");
}

#[test]
fn each_place_is_told_by_the_line_it_stands_for() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    for example in ["tideline-mat", "kelp-headband", "lichen-coaster", "marsh-light-panel"] {
        let piece = browser.piece(&browser.example(example));
        let mut told = vec![None; names(&piece).len()];
        fill(&piece["parts"]["stack"], &mut told);
        let told: Vec<&str> = told.into_iter().map(|name| name.expect("each place has its line")).collect();
        assert_eq!(told, names(&piece), "{example}");
    }
}

fn fill<'a>(lines: &'a Value, told: &mut [Option<&'a str>]) {
    for line in lines.as_array().unwrap() {
        if line["kind"] == "band" {
            for place in line["places"].as_array().unwrap() {
                told[place.as_u64().unwrap() as usize - 1] = line["words"].as_str();
            }
        }
        fill(&line["entries"], told);
    }
}

#[test]
fn every_choice_can_be_taken() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let piece = browser.piece(&id);
    let choices = browser.get("/api/choices");
    let preview = |edit: &Value| {
        let sent = json!({ "base": piece["head"], "edit": edit });
        browser.post(&format!("/api/pieces/{id}/preview"), &sent, 200)
    };
    for one in choices["uses"].as_array().unwrap() {
        preview(&json!({ "edit": "use", "use": one["word"] }));
    }
    for one in choices["weaves"].as_array().unwrap() {
        let mut edit = one["weave"].clone();
        edit["edit"] = "band_weave".into();
        edit["band"] = "pools".into();
        preview(&edit);
    }
    for fibre in choices["fibres"].as_array().unwrap() {
        preview(&json!({ "edit": "yarn_size", "yarn": "foam", "size": "5 wraps per cm", "fibre": fibre }));
    }
    for one in choices["colours"].as_array().unwrap() {
        preview(&json!({ "edit": "yarn_colour", "yarn": "foam", "colour": one["colour"] }));
    }
    for one in piece["parts"]["sizes"].as_array().unwrap() {
        for offer in one["instead"].as_array().unwrap() {
            let name = one["name"].as_str().unwrap();
            assert!(!offer["words"].as_str().unwrap().starts_with(name), "{name} in its own place: {offer}");
            preview(&offer["edit"]);
        }
    }
    // What a band is told to be woven as is what it is woven as.
    for band in piece["parts"]["bands"].as_array().unwrap().iter().filter(|band| !band["weave"].is_null()) {
        let mut edit = band["weave"].clone();
        edit["edit"] = "band_weave".into();
        edit["band"] = band["name"].clone();
        assert_eq!(preview(&edit)["places"], piece["places"], "{band}");
        // A flag that makes sense can be set, and one that does not is not offered.
        for (key, flag) in
            [("exchanged", "exchanged"), ("mirrored", "mirrored"), ("over_for_under", "over-for-under")]
        {
            if !band[key].is_null() {
                preview(&json!({ "edit": "toggle", "band": band["name"], "flag": flag }));
            }
        }
    }
    let flags = |name: &str| {
        let bands = piece["parts"]["bands"].as_array().unwrap();
        let band = bands.iter().find(|band| band["name"] == name).unwrap().clone();
        (band["exchanged"].clone(), band["over_for_under"].clone())
    };
    assert_eq!(flags("hem"), (Value::Null, json!(false)), "one weft");
    assert_eq!(flags("shoals"), (json!(true), Value::Null), "two wefts, exchanged");
}

#[test]
fn the_piece_itself_is_changed_as_it_is_offered() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let choices = browser.get("/api/choices");
    for (kind, offered) in [("finish", "finishes"), ("shows", "shows"), ("use", "uses")] {
        for one in choices[offered].as_array().unwrap() {
            let piece = edited(&browser, &id, &json!({ "edit": kind, kind: one["word"] }));
            assert_eq!(piece["parts"][kind], one["word"]);
        }
    }
    for one in choices["paths"].as_array().unwrap() {
        let piece = edited(&browser, &id, &json!({ "edit": "warp_path", "path": one["word"] }));
        assert_eq!(piece["parts"]["warp"]["path"], one["word"]);
    }
    for one in choices["edges"].as_array().unwrap() {
        let piece = edited(&browser, &id, &json!({ "edit": "piece_edges", "edges": one["word"] }));
        assert_eq!(piece["parts"]["edges"], one["word"]);
    }
    // What a key of the frame means is told of each that an edit takes.
    for key in browser.piece(&id)["parts"]["loom"].as_object().unwrap().keys() {
        assert!(choices["loom"].as_array().unwrap().iter().any(|one| one["word"] == **key), "{key}");
    }
    let float = |length: Value| json!({ "edit": "longest_float", "length": length });
    let piece = edited(&browser, &id, &float(json!("9 mm")));
    assert_eq!(piece["parts"]["longest_float"], "9 mm");
    let piece = edited(&browser, &id, &float(Value::Null));
    assert_eq!(piece["parts"]["longest_float"], Value::Null);
    let floats = piece["parts"]["floats"].as_str().unwrap();
    assert!(floats.contains("For a mat up to 1.5 cm is usual."), "{floats}");
}

#[test]
fn each_choice_of_a_size_is_one_edit_that_gives_what_it_says() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let fit = |units: &str| browser.get(&format!("/api/pieces/{id}/fit{units}"));
    let nothing = fit("");
    assert_eq!((&nothing["choices"], &nothing["said"]), (&json!([]), &json!([])), "no size is asked for");
    let size = json!({ "edit": "finished", "size": "11 cm x 12 cm" });
    let piece = edited(&browser, &id, &size);
    assert_eq!(piece["parts"]["finished"], "11 cm x 12 cm");
    let offered = fit("");
    let said = &offered["said"][0];
    assert_eq!(said, "Wanted, finished (steamed): 11 x 12 cm. As the plan is, about 9 x 13 cm.");
    assert!(fit("?units=inch")["said"][0].as_str().unwrap().contains(" in"));
    for choice in offered["choices"].as_array().unwrap() {
        let edit = json!({ "edit": "together", "edits": choice["edits"] });
        let sent = json!({ "base": piece["head"], "edit": edit });
        let became = browser.post(&format!("/api/pieces/{id}/preview"), &sent, 200);
        assert_eq!(became["check"]["plan"]["ends"], choice["ends"]);
        assert_eq!(became["check"]["plan"]["rows"], choice["rows"]);
    }
    let first = &offered["choices"][0];
    edited(&browser, &id, &json!({ "edit": "together", "edits": first["edits"] }));
    let now = fit("");
    assert_eq!(now["choices"][0]["edits"], json!([]), "what was taken is as near as it gets: {now}");
}

#[test]
fn a_band_that_is_often_touched_is_offered_written_out() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let band = |piece: &Value, name: &str| -> Value {
        let bands = piece["parts"]["bands"].as_array().unwrap();
        bands.iter().find(|band| band["name"] == name).unwrap().clone()
    };
    let mut piece = browser.piece(&id);
    assert_eq!(band(&piece, "hem")["much_touched"], false);
    // No two of them are neighbours, so that each stands by itself.
    for k in 0..12 {
        assert_eq!(band(&piece, "hem")["much_touched"], false, "{k} touches");
        let (row, end) = (1 + k % 4, 2 + 4 * (k / 4) + k % 2);
        let touch =
            |pass| json!({ "edit": "touch", "band": "hem", "row": row, "ends": [end, end], "pass": pass });
        let before = piece["text"].clone();
        piece = edited(&browser, &id, &touch("over"));
        if piece["text"] == before {
            piece = edited(&browser, &id, &touch("under"));
        }
    }
    let hem = band(&piece, "hem");
    assert_eq!(hem["much_touched"], true, "{hem}");
    let means = hem["write_out"].as_str().unwrap();
    assert!(means.starts_with("12 changes by hand lie over its weave. Written out, "), "{means}");
    let (places, asked) = (piece["places"].clone(), piece["check"]["follows"].clone());
    let piece = edited(&browser, &id, &json!({ "edit": "write_out", "band": "hem" }));
    let hem = band(&piece, "hem");
    assert_eq!((&hem["much_touched"], &hem["write_out"]), (&json!(false), &Value::Null));
    assert_eq!((&piece["places"], &piece["check"]["follows"]), (&places, &asked), "it is woven as it was");
}

#[test]
fn a_needle_is_told_and_becomes_what_it_is_made() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let needle = |piece: &Value, name: &str| -> (Value, Value) {
        let all = piece["parts"]["needles"].as_array().unwrap();
        let one = all.iter().find(|needle| needle["name"] == name).unwrap();
        (one["doubled"].clone(), one["from"].clone())
    };
    let piece = browser.piece(&id);
    assert_eq!(needle(&piece, "slate"), (json!(false), json!("right")));
    assert_eq!(needle(&piece, "reed"), (Value::Null, Value::Null), "a yarn that is no weft has no needle");
    edited(&browser, &id, &json!({ "edit": "weft_doubled", "weft": "slate", "doubled": true }));
    let piece = edited(&browser, &id, &json!({ "edit": "weft_from", "weft": "slate", "from": "left" }));
    assert_eq!(needle(&piece, "slate"), (json!(true), json!("left")));
    assert_eq!(needle(&piece, "foam"), (json!(false), json!("right")), "the other stays as it is");
}

#[test]
fn a_yarn_that_comes_in_is_offered_in_every_place_and_goes_while_it_has_none() {
    let server = Running::start(Limits::default());
    let browser = server.enter();
    let id = browser.example("tideline-mat");
    let new = json!({ "edit": "yarn_new", "yarn": "samphire", "colour": "#6f8f3f", "size": "132 m per 100 g", "fibre": "wool" });
    let piece = edited(&browser, &id, &new);
    let samphire = |piece: &Value| -> Value {
        let all = piece["parts"]["sizes"].as_array().unwrap();
        all.iter().find(|yarn| yarn["name"] == "samphire").cloned().unwrap_or_default()
    };
    let told = samphire(&piece);
    assert_eq!((&told["used"], &told["unused"]), (&json!("Nothing is made of it yet."), &json!(true)));
    let words: Vec<&str> =
        told["instead"].as_array().unwrap().iter().map(|one| one["words"].as_str().unwrap()).collect();
    assert_eq!(
        words,
        [
            "reed in the warp",
            "slate in hem",
            "slate in pools",
            "foam in pools",
            "slate in shoals",
            "foam in shoals",
            "foam in rising-tide",
            "slate in rising-tide",
        ]
    );
    let piece = edited(&browser, &id, &told["instead"][2]["edit"]);
    let told = samphire(&piece);
    assert_eq!((&told["used"], &told["unused"]), (&json!("It is in pools and shoals."), &json!(false)));
    let remove = json!({ "base": piece["head"], "edit": { "edit": "yarn_remove", "yarn": "samphire" } });
    let refused = browser.post(&format!("/api/pieces/{id}/edit"), &remove, 422);
    assert_eq!(refused["message"], "samphire can't go: it is in pools and shoals.");
    let back = json!({ "edit": "band_wefts", "band": "pools", "wefts": ["slate", "foam"] });
    edited(&browser, &id, &back);
    let piece = edited(&browser, &id, &json!({ "edit": "yarn_remove", "yarn": "samphire" }));
    assert_eq!((samphire(&piece), &piece["said"]), (Value::Null, &json!("took samphire out of the plan")));
}
