//! A yarn or a band that is called otherwise.

use super::*;

/// A yarn's new name stands wherever the old one stood, however the tables are written.
#[test]
fn a_yarn_that_is_called_otherwise_is_so_wherever_it_is_named() {
    let plan = |yarns: &str, wefts: &str, name: &str, other: &str| {
        format!(
            "schema = 1\nname = \"Tide\"\n\n[loom]\nnotches = 40\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
             clear-height = \"22 cm\"\n\n{yarns}\n[warp]\nends = 24\norder = [\"2 reed\", \"1 {name}\"] # c1\n{wefts}\n\
             [band.hem]\nwefts = [\"{name}\", \"{other}\", \"reed\"] # c2\nopening = \"over 1, under 1\"\nrows = 6\n\n\
             [piece]\nbands = [\"hem\"]\n"
        )
    };
    let reed = "colour = \"#a88b4c\", size = \"8/2 cotton\"";
    let with = |name: &str| {
        let lines = format!(
            "[yarn.{name}] # c3\ncolour = \"#fff\"\nsize = \"300 tex\"\n\n[yarn.reed]\n{}\n",
            reed.replace(", ", "\n")
        );
        let inline = format!(
            "[yarn]\nreed = {{ {reed} }}\n{name} = {{ colour = \"#fff\", size = \"300 tex\" }} # c3\n"
        );
        let dotted = format!(
            "[yarn]\nreed = {{ {reed} }}\n{name}.colour = \"#fff\" # c3\n{name}.size = \"300 tex\"\n"
        );
        let table = format!(
            "\n[weft.{name}]\nfrom = \"right\" # c4\n\n[weft.second]\nyarn = \"{}\"\n",
            name.trim_matches('"')
        );
        [lines, inline, dotted].map(|yarns| (yarns, table.clone()))
    };
    // A name with a space is written in quotes; the needle with a name of its own keeps it.
    for (new, written) in [("heather", "heather"), ("marsh heather", "\"marsh heather\"")] {
        for ((old_yarns, old_wefts), (new_yarns, new_wefts)) in with("foam").into_iter().zip(with(written)) {
            let old = plan(&old_yarns, &old_wefts, "foam", "second");
            let becomes = plan(&new_yarns, &new_wefts, new, "second");
            let before = read(&old).unwrap().plan;
            let id = YarnId(before.yarns.iter().position(|yarn| yarn.name == "foam").unwrap());
            let edit = Edit::RenameYarn(id, new.to_owned());
            assert_eq!(apply(&old, &edit).unwrap(), becomes);
            assert_eq!(read(&becomes).unwrap().plan, edit.apply(&before).unwrap());
            let taken = apply(&old, &Edit::RenameYarn(id, "second".into())).unwrap_err();
            assert_eq!(taken.words().0, "The name second is taken.");
            // Where a sentence begins with them these would be one; its own name may become large.
            let taken = apply(&old, &Edit::RenameYarn(id, "Reed".into())).unwrap_err();
            assert_eq!(taken.words().0, "The name Reed is taken.");
            assert!(apply(&old, &Edit::RenameYarn(id, "Foam".into())).is_ok());
        }
    }
}

#[test]
fn a_yarn_that_gets_its_name_back_is_written_as_it_was() {
    let text = |yarns: &str, name: &str| {
        format!(
            "schema = 1\nname = 'Tide'\n\n[loom]\nnotches = 40\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
             clear-height = \"22 cm\"\n\n{yarns}\n[warp]\nends = 24\norder = ['2 reed', \"1 {name}\"]\n\n\
             [weft.\"{name}\"]\nfrom = \"right\"\n\n[weft.other]\nyarn = '{name}'\n\n\
             [band.hem]\nwefts = ['{name}', \"reed\"]\nweave = \"plain\"\nrows = 6\n\n\
             [piece]\nbands = [\"hem\"]\n"
        )
    };
    let reed = "[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"8/2 cotton\"\n";
    let headed =
        |name: &str| format!("{reed}[ yarn . {name} ] # c1\ncolour = '#fff'\nsize = \"300 tex\" # c2\n");
    let dotted = |name: &str, again: &str| {
        format!(
            "[yarn]\nreed = {{ colour = \"#a88b4c\", size = \"8/2 cotton\" }}\n\
             {name}.colour = '#fff' # c1\n{again} . size = \"300 tex\" # c2\n"
        )
    };
    let rename = |old: &str, new: &str, text: &str| {
        let id = read(text).unwrap().plan.yarns.iter().position(|yarn| yarn.name == old).unwrap();
        apply(text, &Edit::RenameYarn(YarnId(id), new.to_owned())).unwrap()
    };
    let cases = [
        (text(&headed("\"mud-lark\""), "mud-lark"), text(&headed("\"heather\""), "heather")),
        (text(&headed("'mud-lark'"), "mud-lark"), text(&headed("'heather'"), "heather")),
        (text(&headed("mud-lark"), "mud-lark"), text(&headed("heather"), "heather")),
        (
            text(&dotted("mud-lark", "\"mud-lark\""), "mud-lark"),
            text(&dotted("heather", "\"heather\""), "heather"),
        ),
        (
            text(&dotted("\"mud-l\\u0061rk\"", "'mud-lark'"), "mud-lark"),
            text(&dotted("\"heather\"", "'heather'"), "heather"),
        ),
    ];
    for (old, new) in cases {
        assert_eq!(rename("mud-lark", "heather", &old), new);
        let again = old.replace("\\u0061", "a");
        assert_eq!(rename("heather", "mud-lark", &new), again);
        // A name that needs quotes has them, and leaves those that were there without need.
        let spaced = rename("mud-lark", "marsh heather", &again);
        let back = rename("marsh heather", "mud-lark", &spaced);
        assert_eq!(read(&back).unwrap().plan, read(&again).unwrap().plan);
        let unquoted = |text: &str| text.replace(['"', '\''], "");
        assert_eq!(unquoted(&back), unquoted(&again));
    }
}

/// A band's new name stands wherever the old one stood, however its table is written.
#[test]
fn a_band_that_is_called_otherwise_is_so_wherever_it_is_named() {
    let plan = |band: &str, name: &str| {
        format!(
            "schema = 1\nname = \"pools\"\n\n[loom]\nnotches = 40\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
             clear-height = \"22 cm\"\n\n[yarn.pools] # a yarn may be called so too\ncolour = \"#fff\"\nsize = \"300 tex\"\n\n\
             [warp]\nends = 24\norder = [\"1 pools\"]\n\n{band}\n[sequence.tide]\nbands = [\"hem\", '{name}'] # c1\n\n\
             [piece]\nbands = [\n  \"hem\",\n  \"{name}\", # c2\n  # c3\n  {{ times = 2, bands = [\"{name}\", \"tide\", \
             {{ times = 2, bands = [\"{name}\"] }}] }},\n]\n"
        )
    };
    let lines = |name: &str, quoted: &str| {
        format!(
            "[[ band . {name} . part ]] # c4\nends = \"1 to 9\"\nweave = \"plain\"\n\n[band.{name}] # c5\nwefts = [\"pools\"]\n\
             rows = 6\n\n[[band.{quoted}.part]]\nweave = \"twill 2/2\"\n\n[band.hem]\nlike = \"{}\" # c6\n",
            name.trim_matches('"')
        )
    };
    let inline = |name: &str, _: &str| {
        format!(
            "[band]\n{name} = {{ wefts = [\"pools\"], weave = \"plain\", rows = 6 }} # c5\nhem = {{ like = \"{}\" }}\n",
            name.trim_matches('"')
        )
    };
    let dotted = |name: &str, quoted: &str| {
        format!(
            "[band]\n{name}.wefts = [\"pools\"]\n{quoted} . weave = \"plain\" # c4\n{name}.rows = 6\nhem.like = \"{}\"\n",
            name.trim_matches('"')
        )
    };
    let ways: [fn(&str, &str) -> String; 3] = [lines, inline, dotted];
    for way in ways {
        for (new, written) in [("shoals", "shoals"), ("deep pools", "\"deep pools\"")] {
            let old = plan(&way("pools", "\"pools\""), "pools");
            let quoted = format!("\"{new}\"");
            let becomes = plan(&way(written, &quoted), new);
            let before = read(&old).unwrap_or_else(|problem| panic!("{problem:?}\n{old}")).plan;
            let id = before.bands.iter().position(|band| band.name == "pools").map(BandId).unwrap();
            let edit = Edit::RenameBand(id, new.to_owned());
            assert_eq!(apply(&old, &edit).unwrap(), becomes);
            assert_eq!(read(&becomes).unwrap().plan, edit.apply(&before).unwrap());
            // Bands and sequences stand in the same lists. What it is called already, it may be called.
            for taken in ["hem", "tide", "Hem"] {
                let problem = apply(&old, &Edit::RenameBand(id, taken.into())).unwrap_err();
                assert_eq!(problem.words().0, format!("The name {taken} is taken."));
            }
            assert_eq!(apply(&old, &Edit::RenameBand(id, "pools".into())).unwrap(), old);
            assert!(apply(&old, &Edit::RenameBand(id, "Pools".into())).is_ok());
            assert!(apply(&old, &Edit::RenameBand(id, "  ".into())).is_err());
        }
    }
}

#[test]
fn a_text_between_single_quotes_keeps_them() {
    let mat = include_str!("../../../../examples/tideline-mat.toml");
    let name = read(mat).unwrap().plan.name;
    let single = mat.replacen(&format!("\"{name}\""), &format!("'{name}'"), 1);
    assert_ne!(single, mat);
    let called = |name: &str, text: &str| apply(text, &Edit::Set(Set::Name(name.into()))).unwrap();
    let other = called("The \"other\" mat", &single);
    assert!(other.contains("'The \"other\" mat'\n"), "{other}");
    assert_eq!(called(&name, &other), single);
    assert!(called("The gull's mat", &single).contains("\"The gull's mat\"\n"));
}
