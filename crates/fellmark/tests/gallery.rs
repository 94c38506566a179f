//! The pictures of docs/gallery.md are those that the program makes. `BLESS=1` makes them anew.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// Each picture: the example, its file's name beyond that, and what is asked for.
const GALLERY: [(&str, &str, &[&str]); 7] = [
    ("tideline-mat", "", &["--width", "300"]),
    ("tideline-bookmark", "", &["--rows", "1..24", "--width", "300"]),
    ("lichen-coaster", "", &["--width", "300"]),
    ("lichen-coaster", "-finished", &["--state", "finished", "--width", "300"]),
    ("kelp-headband", "", &["--rows", "1..50", "--width", "300"]),
    ("marsh-light-panel", "", &["--loom", "--width", "240"]),
    ("sandpiper-earrings", "", &["--width", "300"]),
];

fn picture(example: &str, args: &[&str]) -> Vec<u8> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let plan = root.join("examples").join(example).with_extension("toml");
    let output =
        Command::new(env!("CARGO_BIN_EXE_fellmark")).arg("picture").arg(plan).args(args).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

#[test]
fn the_gallery_shows_what_the_program_makes() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let page = fs::read_to_string(folder.join("gallery.md")).unwrap();
    for (example, beyond, args) in GALLERY {
        let made = picture(example, args);
        let name = format!("{example}{beyond}");
        // The signature of a PNG (W3C, Portable Network Graphics, section 5.2) and its width.
        assert_eq!(made[..8], [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a]);
        let width: u32 = args[args.len() - 1].parse().unwrap();
        assert_eq!(made[16..20], width.to_be_bytes(), "{name}");
        let file = folder.join("gallery").join(&name).with_extension("png");
        if std::env::var_os("BLESS").is_some() {
            fs::write(&file, &made).unwrap();
        }
        assert!(fs::read(&file).unwrap() == made, "{name} looks otherwise now: look at it, then BLESS=1");
        assert!(page.contains(&format!("gallery/{name}.png")), "{name} is not on the page");
    }
}

/// Pixels across and down (section 11.2.2 of the same).
fn size(png: &[u8]) -> (u32, u32) {
    let number = |at: usize| u32::from_be_bytes([png[at], png[at + 1], png[at + 2], png[at + 3]]);
    (number(16), number(20))
}

#[test]
fn a_picture_shows_each_of_the_three_states_in_true_size() {
    let ask = |state: &str| picture("lichen-coaster", &["--dpi", "254", "--state", state]);
    let [loom, released, finished] = ["on-loom", "released", "finished"].map(ask);
    // The default is the first of them, with its frame.
    assert_eq!(loom, picture("lichen-coaster", &["--dpi", "254"]));
    let cloth = picture("lichen-coaster", &["--dpi", "254", "--cloth"]);
    assert!(size(&loom).0 > size(&cloth).0);
    // Steamed it loses width, a few mm at 10 pixels each; its tails are darned in, of which each side had at most 9 mm and a
    // margin in steps of 5 mm. Its warp is cut to a fringe.
    assert!(size(&released).0 > size(&finished).0 && size(&finished).0 > size(&released).0 - 40 - 2 * 140);
    assert!(size(&finished).1 < size(&released).1);
    // Off the loom there is no frame.
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let plan = root.join("examples/lichen-coaster.toml");
    let refused = Command::new(env!("CARGO_BIN_EXE_fellmark"))
        .arg("picture")
        .arg(plan)
        .args(["--state", "released", "--loom"])
        .output()
        .unwrap();
    assert_ne!(refused.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("leave out --loom"));
}

#[test]
fn a_pictures_back_and_true_size_are_other_pictures() {
    let front = picture("sandpiper-earrings", &["--width", "200"]);
    assert_ne!(picture("sandpiper-earrings", &["--width", "200", "--back-up"]), front);
    let true_size = picture("sandpiper-earrings", &["--dpi", "100"]);
    // The physical size of a pixel (section 11.3.5.3 of the same): 100 dots per inch are 3937 per metre.
    let at = true_size.windows(4).position(|chunk| chunk == b"pHYs").unwrap() + 4;
    assert_eq!(true_size[at..at + 4], 3937_u32.to_be_bytes());
    assert_eq!(true_size[at + 8], 1, "in metres");
}
