//! What goes, and what goes with it.

use super::*;

/// A yarn that nothing is made of goes with its needles, however their tables are written; notes on lines of their
/// own stay.
#[test]
fn an_unused_yarn_goes_with_its_tables_and_nothing_else_does() {
    let plan = |yarns: &str, wefts: &str| {
        format!(
            "schema = 1\nname = \"Tide\"\n\n[loom]\nnotches = 40\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
             clear-height = \"22 cm\"\n\n{yarns}\n[warp]\nends = 24\norder = [\"24 reed\"]\n{wefts}\n\
             [band.hem]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = 4\n\n[piece]\nbands = [\"hem\"]\n"
        )
    };
    let reed = "[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"8/2 cotton\"\n";
    let foam = "\n[yarn.foam] # light\ncolour = \"#fff\" # c6\n# of the shore\nsize = \"7 wraps per cm\"\n";
    let needles = "\n[weft.foam]\nfrom = \"right\" # c7\n\n[weft.second-foam]\nyarn = \"foam\"\n\n[weft.reed]\nfrom = \"right\"\n";
    let kept = "\n[weft.reed]\nfrom = \"right\"\n";
    let inline = "[yarn]\nreed = { colour = \"#a88b4c\", size = \"8/2 cotton\" }\n";
    let cases = [
        (plan(&format!("{reed}{foam}"), needles), plan(&format!("{reed}# of the shore\n"), kept)),
        (
            plan(&format!("{inline}foam = {{ colour = \"#fff\", size = \"300 tex\" }}\n"), kept),
            plan(inline, kept),
        ),
        (
            plan(&format!("{inline}foam.colour = \"#fff\"\nfoam.size = \"300 tex\"\n"), kept),
            plan(inline, kept),
        ),
    ];
    for (old, new) in cases {
        for (old, new) in [(old.clone(), new.clone()), (old.replace('\n', "\r\n"), new.replace('\n', "\r\n"))]
        {
            let before = read(&old).unwrap().plan;
            let edit = Edit::RemoveYarn(YarnId(1));
            assert_eq!(apply(&old, &edit).unwrap(), new);
            assert_eq!(read(&new).unwrap().plan, edit.apply(&before).unwrap());
        }
    }
    // The last table of a text, which ends without a line's end.
    let last = |more: &str| format!("{}{more}", plan(reed, kept).trim_end());
    let with_last = last("\n\n[yarn.foam]\ncolour = \"#fff\"\nsize = \"300 tex\"");
    assert_eq!(apply(&with_last, &Edit::RemoveYarn(YarnId(1))).unwrap(), last(""));
    // What ends or bands are made of stays.
    let old = plan(&format!("{reed}{foam}"), needles);
    let refused = apply(&old, &Edit::RemoveYarn(YarnId(0))).unwrap_err();
    assert_eq!(refused.words().0, "reed can't go: it is in the warp and in hem.");
}

#[test]
fn a_band_gives_up_what_it_says_of_its_edges_its_start_and_its_beat() {
    let mat = include_str!("../../../../examples/tideline-mat.toml");
    let text = |keys: &str| mat.replacen("[band.hem]\n", &format!("[band.hem]\n{keys}"), 1);
    let hem = BandId(read(mat).unwrap().plan.bands.iter().position(|band| band.name == "hem").unwrap());
    for (old, edit, new) in [
        (text("# of the hem\nedges = \"taken\"\n"), Edit::BandEdges(hem, None), text("# of the hem\n")),
        (text("start = 2\n# beneath it\n"), Edit::BandStart(hem, None), text("# beneath it\n")),
        (text("beat = \"5 rows per cm\"\n"), Edit::BandBeat(hem, None), text("")),
        // Where nothing is said nothing goes.
        (text(""), Edit::BandEdges(hem, None), text("")),
        (text(""), Edit::BandStart(hem, None), text("")),
    ] {
        for (old, new) in [(old.clone(), new.clone()), (old.replace('\n', "\r\n"), new.replace('\n', "\r\n"))]
        {
            let before = read(&old).unwrap().plan;
            assert_eq!(apply(&old, &edit).unwrap(), new);
            assert_eq!(read(&new).unwrap().plan, edit.apply(&before).unwrap());
        }
        let set = match edit {
            Edit::BandEdges(band, _) => Edit::BandEdges(band, Some(Edges::Taken)),
            Edit::BandBeat(band, _) => {
                Edit::BandBeat(band, Some(Typed::new(Beat::parse("12 per in").unwrap(), "12 per in")))
            }
            _ => Edit::BandStart(hem, NonZeroU32::new(2)),
        };
        let there = apply(&new, &set).unwrap();
        assert_eq!(apply(&there, &edit).unwrap(), new, "set, and given up again");
    }
}

#[test]
fn a_header_comes_changes_and_goes_and_its_yarn_stays_with_it() {
    let old = "schema = 1\nname = \"T\"\n[loom]\nnotches = 9\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
               clear-height = \"22 cm\"\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"8/2 cotton\"\n\
               [yarn.foam]\ncolour = \"#e3e9de\"\nsize = \"7 wraps per cm\"\n\
               [warp]\nends = 5 # all\norder = [\"5 reed\"]\n\n# the cloth\n[band.hem]\nwefts = [\"reed\"]\n\
               weave = \"plain\"\nrows = 4\n[piece]\nbands = [\"hem\"]\n";
    let length = |text| typed::some_length(text).unwrap();
    let put = |text: &str, header| apply(text, &Edit::Set(Set::Header(header))).unwrap();
    let card = put(old, Some(Header { length: length("2 cm"), yarn: None }));
    let table = "order = [\"5 reed\"]\n\n[header]\nlength = \"2 cm\"\n\n# the cloth\n";
    assert!(card.contains(table), "{card}");
    let woven = put(&card, Some(Header { length: length("3/4 in"), yarn: Some(YarnId(1)) }));
    assert!(woven.contains("[header]\nlength = \"3/4 in\"\nyarn = \"foam\"\n"), "{woven}");
    // The yarn is used now, and keeps its place under another name.
    let used = apply(&woven, &Edit::RemoveYarn(YarnId(1))).unwrap_err();
    assert_eq!(used.words().0, "foam can't go: it is in the header.");
    let called = apply(&woven, &Edit::RenameYarn(YarnId(1), "spray".into())).unwrap();
    assert!(called.contains("yarn = \"spray\""), "{called}");
    assert_eq!(put(&woven, Some(Header { length: length("2 cm"), yarn: None })), card);
    assert_eq!(put(&card, None), old);
    assert_eq!(put(old, None), old);
    // Two tables less: a yarn in front of the header's goes, and the header's is the same one.
    let other = woven.replace("wefts = [\"reed\"]", "wefts = [\"foam\"]").replace("5 reed", "5 foam");
    let left = apply(&other, &Edit::RemoveYarn(YarnId(0))).unwrap();
    let plan = read(&left).unwrap().plan;
    assert_eq!(plan.yarns[plan.header.unwrap().yarn.unwrap().0].name, "foam");
}

#[test]
fn a_needle_that_no_band_names_goes_by_itself() {
    let mat = include_str!("../../../../examples/tideline-mat.toml");
    let plan = read(mat).unwrap().plan;
    let foam = YarnId(plan.yarns.iter().position(|yarn| yarn.name == "foam").unwrap());
    let two = apply(mat, &Edit::NewWeft("second foam".into(), foam)).unwrap();
    let with = read(&two).unwrap().plan;
    let at = |name: &str| WeftId(with.wefts.iter().position(|weft| weft.name == name).unwrap());
    let without = apply(&two, &Edit::RemoveWeft(at("second foam"))).unwrap();
    assert_eq!(without.trim_end(), mat.trim_end());
    assert_eq!(read(&without).unwrap().plan, plan);
    let refused = apply(&two, &Edit::RemoveWeft(at("foam"))).unwrap_err();
    assert_eq!(refused.words().0, "The needle foam can't go: it is in pools and rising-tide.");
    assert!(apply(&two, &Edit::RemoveWeft(WeftId(9))).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(800))]

    #[test]
    fn the_text_becomes_what_the_plan_becomes_and_nothing_else_changes(
        layout in layout(),
        edits in proptest::collection::vec(edit(), 1..6),
    ) {
        let mut old = text(&layout);
        for edit in &edits {
            let note = read(&old);
            prop_assert!(note.is_ok(), "{}", note.unwrap_err().render(&old, "plan", false));
            let note = note.unwrap();
            let Ok(becomes) = edit.apply(&note.plan) else {
                // A band without a weave of its own has no step, and a touch lies within its band.
                prop_assert!(matches!(edit, Edit::BandStep(..) | Edit::Touch(..)), "{edit:?}");
                prop_assert!(apply(&old, edit).is_err());
                continue;
            };
            let new = match apply(&old, edit) {
                Ok(new) => new,
                Err(error) => {
                    // Only more ends than the loom takes are refused.
                    prop_assert!(matches!(error, ApplyError::Unfit(_)), "{error:?}");
                    prop_assert!(matches!(edit, Edit::WarpEnds(41)), "{edit:?}: {error:?}\n{old}");
                    continue;
                }
            };
            let after = read(&new).map_err(|problem| problem.render(&new, "plan", false));
            prop_assert_eq!(after.map(|note| note.plan), Ok(becomes), "{}\n---\n{}", &old, &new);
            if !matches!(edit, Edit::Touch(..)) {
                prop_assert_eq!(comments(&old), comments(&new), "{}\n---\n{}", &old, &new);
            } else {
                // A touch that is taken back goes with its line, and with the note behind it.
                prop_assert!(comments(&new).iter().all(|note| comments(&old).contains(note)));
            }
            only_the_edited_key_changed(&old, &note, edit, &new)?;
            prop_assert_eq!(by_library(&old, &note.plan, edit), content(&new, edit, &note.plan), "{}\n---\n{}", &old, &new);
            if layout.crlf {
                prop_assert_eq!(new.matches('\n').count(), new.matches("\r\n").count());
            } else {
                prop_assert!(!new.contains('\r'));
            }
            prop_assert_eq!(old.ends_with('\n'), new.ends_with('\n'));
            prop_assert_eq!(old.starts_with('\u{feff}'), new.starts_with('\u{feff}'));
            old = new;
        }
    }

    #[test]
    fn an_edit_taken_back_gives_the_same_bytes(layout in layout(), rows in 1..40_u32) {
        let old = text(&layout);
        if layout.extent == 0 || layout.extent == 2 {
            let there = if layout.extent == 0 { 8 } else { 12 };
            let new = apply(&old, &Edit::BandRows(BandId(0), rows)).unwrap();
            prop_assert_eq!(apply(&new, &Edit::BandRows(BandId(0), there)), Ok(old));
        }
    }
}
