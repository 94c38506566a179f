//! Laws of a picture that is kept while its plan is edited: it is the picture that a new drawing makes, byte for
//! byte, and no more of it changes than what an edit moved.

mod support;

use fellmark_core::cloth::size::State;
use fellmark_core::quantity::Mm;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use fellmark_picture::relief::{Changes, Kept, Picture, Raster, Region, Scale, placement};
use proptest::prelude::*;
use support::pictured::made;
use support::{plan, studied};

/// A picture with what changed in it since an earlier one taken from there: as who holds the earlier one makes it of the parts.
fn pasted(earlier: &Raster, changes: &Changes, after: &Raster) -> Vec<u8> {
    let wide = after.width as usize * 3;
    let mut made = vec![0; after.rgb.len()];
    let keeps = earlier.rgb.len().min(made.len());
    let (to, from) = (made.len() - keeps, earlier.rgb.len() - keeps);
    made[to..].copy_from_slice(&earlier.rgb[from..]);
    for r in &changes.regions {
        for y in r.y..r.y + r.height {
            let from = y as usize * wide + r.x as usize * 3;
            let part = from..from + r.width as usize * 3;
            made[part.clone()].copy_from_slice(&after.rgb[part]);
        }
    }
    made
}

/// A plan of three bands with what edits change of it.
#[derive(Debug, Clone)]
struct Edited {
    rows: [u32; 3],
    weave: [&'static str; 3],
    weft: [&'static str; 3],
    ends: u32,
    strands: bool,
    /// How often each band has been renamed.
    names: [u32; 3],
    from_right: bool,
    /// A row of the middle band and an end that it passes the other way.
    touched: Option<(u32, u32)>,
    /// What lies below the first row.
    header: &'static str,
    /// The colour of foam, and how far its fibres stand out.
    foam: &'static str,
    halo: &'static str,
}

impl Edited {
    fn text(&self) -> String {
        let mut text = String::from(if self.strands { "[weft.foam]\ndoubled = true\n" } else { "" });
        if self.from_right {
            text.push_str("[weft.samphire]\nfrom = \"right\"\n");
        }
        for k in 0..3 {
            text.push_str(&format!(
                "[band.b{k}x{}]\nwefts = [\"{}\"]\nweave = \"{}\"\nrows = {}\n",
                self.names[k], self.weft[k], self.weave[k], self.rows[k]
            ));
            if let (1, Some((row, end))) =
                (k, self.touched.filter(|touched| touched.0 <= self.rows[1] && touched.1 <= self.ends))
            {
                text.push_str(&format!("touched = [\"row {row}: under {end}\"]\n"));
            }
        }
        let [a, b, c] = self.names;
        text.push_str(&format!("[piece]\nbands = [\"b0x{a}\", \"b1x{b}\", \"b2x{c}\"]\n"));
        text.push_str(self.header);
        let foam = format!("[yarn.foam]\nhalo = \"{}\"\ncolour = \"{}\"", self.halo, self.foam);
        plan(self.ends, &text).replace("[yarn.foam]\ncolour = \"#e3e9de\"", &foam)
    }
}

/// With another header of one length only what it is made of changes.
const HEADERS: [&str; 4] = [
    "",
    "[header]\nlength = \"1 cm\"\n",
    "[header]\nlength = \"1 cm\"\nyarn = \"foam\"\n",
    "[header]\nlength = \"1 cm\"\nyarn = \"slate\"\n",
];

fn weave() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec!["plain", "twill 2/2", "basket 2", "rib of 2 ends"])
}

fn weft() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec!["slate", "foam", "samphire", "reed"])
}

#[derive(Debug, Clone, Copy)]
enum Edit {
    Rows(usize, u32),
    Weave(usize, &'static str),
    Weft(usize, &'static str),
    Ends(u32),
    Doubled(bool),
    Renamed(usize),
    FromRight(bool),
    Touched(u32, u32),
    Header(&'static str),
    Dyed(&'static str),
    Brushed(&'static str),
}

impl Edit {
    fn apply(self, to: &mut Edited) {
        match self {
            Edit::Rows(k, rows) => to.rows[k] = rows,
            Edit::Weave(k, weave) => to.weave[k] = weave,
            Edit::Weft(k, weft) => to.weft[k] = weft,
            Edit::Ends(ends) => to.ends = ends,
            Edit::Doubled(on) => to.strands = on,
            Edit::Renamed(k) => to.names[k] += 1,
            Edit::FromRight(on) => to.from_right = on,
            Edit::Touched(row, end) => to.touched = Some((row, end)),
            Edit::Header(header) => to.header = header,
            Edit::Dyed(colour) => to.foam = colour,
            Edit::Brushed(halo) => to.halo = halo,
        }
    }
}

fn edit() -> impl Strategy<Value = Edit> {
    prop_oneof![
        3 => (0_usize..3, 1_u32..24).prop_map(|(k, n)| Edit::Rows(k, n)),
        3 => (0_usize..3, weave()).prop_map(|(k, weave)| Edit::Weave(k, weave)),
        3 => (0_usize..3, weft()).prop_map(|(k, weft)| Edit::Weft(k, weft)),
        1 => (10_u32..14).prop_map(Edit::Ends),
        1 => any::<bool>().prop_map(Edit::Doubled),
        3 => (0_usize..3).prop_map(Edit::Renamed),
        3 => any::<bool>().prop_map(Edit::FromRight),
        2 => prop::sample::select(vec!["#e3e9de", "#403a50"]).prop_map(Edit::Dyed),
        2 => prop::sample::select(vec!["0 mm", "1 mm", "4 mm"]).prop_map(Edit::Brushed),
        2 => prop::sample::select(HEADERS.to_vec()).prop_map(Edit::Header),
        6 => (1_u32..12, 1_u32..13).prop_map(|(row, end)| Edit::Touched(row, end)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn after_any_edits_a_kept_picture_is_the_new_one_byte_for_byte(
        edits in prop::collection::vec(edit(), 1..6),
        frame in any::<bool>(),
        back in any::<bool>(),
        off in any::<bool>(),
        per_mm in prop::sample::select(vec![3.0, 9.0, 15.0]),
    ) {
        let mut plan = Edited {
            rows: [6, 12, 6],
            weave: ["plain", "twill 2/2", "plain"],
            weft: ["slate", "samphire", "slate"],
            ends: 12,
            strands: false,
            names: [0; 3],
            from_right: false,
            touched: None,
            header: "",
            foam: "#e3e9de",
            halo: "1 mm",
        };
        let options = Picture {
            frame,
            surface: if back { Surface::Back } else { Surface::Front },
            state: if off { State::Finished } else { State::OnLoom },
            scale: Scale::PerMm(per_mm),
            ..Picture::default()
        };
        let mut kept = Kept::new(&studied(&plan.text()), &options).unwrap();
        let first = kept.raster().clone();
        let mut since_first: Option<Changes> = None;
        for edit in edits {
            edit.apply(&mut plan);
            let before = kept.raster().clone();
            let study = studied(&plan.text());
            let changes = kept.renew(&study).unwrap();
            let after = made(&study, &options);
            prop_assert!(*kept.raster() == after, "not the same as a new drawing");
            prop_assert_eq!(changes.grown, i64::from(after.height) - i64::from(before.height));
            // Whoever holds the first picture makes the last of it with what all steps come to.
            let all = since_first.map_or(changes.clone(), |known| known.then(&changes, kept.raster()));
            prop_assert!(all.all || pasted(&first, &all, kept.raster()) == after.rgb);
            since_first = Some(all);
            if changes.all {
                continue;
            }
            // Where no region is nothing differs; and each region is as small as it can be.
            let differs = |x: u32, y: u32| {
                let old = i64::from(y) - changes.grown;
                let at = |y: usize| (y * after.width as usize + x as usize) * 3;
                let new = &after.rgb[at(y as usize)..][..3];
                usize::try_from(old).ok().filter(|&y| y < before.height as usize).map(|y| before.rgb[at(y)..][..3] != *new)
            };
            let mut told = after.clone();
            let wide = after.width as usize * 3;
            let kept_lines = before.height.min(after.height) as usize * wide;
            let start = after.rgb.len() - kept_lines;
            for r in &changes.regions {
                for y in r.y..r.y + r.height {
                    let from = y as usize * wide + r.x as usize * 3;
                    let old = from as i64 - changes.grown * wide as i64;
                    for (k, byte) in told.rgb[from..from + r.width as usize * 3].iter_mut().enumerate() {
                        let at = usize::try_from(old + k as i64).ok();
                        *byte = at.and_then(|at| before.rgb.get(at)).copied().unwrap_or(*byte);
                    }
                }
            }
            let same = told.rgb[start..] == before.rgb[before.rgb.len() - kept_lines..];
            prop_assert!(same, "something changed untold");
            for r in &changes.regions {
                let any = |xs: std::ops::Range<u32>, ys: std::ops::Range<u32>| {
                    ys.flat_map(|y| xs.clone().map(move |x| (x, y))).any(|(x, y)| differs(x, y) != Some(false))
                };
                let (right, low) = (r.x + r.width, r.y + r.height);
                prop_assert!(any(r.x..r.x + 1, r.y..low) && any(right - 1..right, r.y..low));
                prop_assert!(any(r.x..right, r.y..r.y + 1) && any(r.x..right, low - 1..low));
            }
        }
    }
}

/// Three bands of equal yarn: the wefts of the middle one are its own.
fn bands(middle: &str) -> String {
    plan(
        24,
        &format!(
            r#"
[weft.pool]
yarn = "{middle}"
[band.hem]
wefts = ["slate"]
weave = "plain"
rows = 40
[band.pools]
wefts = ["pool"]
weave = "plain"
rows = 10
[piece]
bands = ["hem", "pools", "hem"]
"#
        ),
    )
}

#[test]
fn an_edit_in_a_band_that_moves_no_other_changes_no_pixel_elsewhere() {
    let (before, after) = (studied(&bands("slate")), studied(&bands("samphire")));
    let heights = |study: &Study| {
        (0..study.piece.row_count()).map(|row| study.cloth.row(row).mean()).collect::<Vec<Mm>>()
    };
    assert_eq!(heights(&before), heights(&after), "no row moves");
    let options = Picture { scale: Scale::PerMm(8.0), ..Picture::default() };
    let mut kept = Kept::new(&before, &options).unwrap();
    let changes = kept.renew(&after).unwrap();
    assert!(!changes.all && changes.grown == 0 && !changes.regions.is_empty());
    assert!(*kept.raster() == made(&after, &options));
    // From a tail's length below its first row to one above its last, with what they shade.
    let at = placement(&after, &options).unwrap();
    let place = &after.piece.places[1].row_range();
    let low = at.pixel(Mm::ZERO, after.cloth.row(place.start).mean() - Mm::new(10.0)).1;
    let high = at.pixel(Mm::ZERO, after.cloth.row(place.end - 1).mean() + Mm::new(10.0)).1;
    for region in &changes.regions {
        assert!(
            f64::from(region.y) > high && f64::from(region.y + region.height) < low,
            "{region:?} {high} {low}"
        );
    }
    // The same again changes nothing.
    assert!(kept.renew(&after).unwrap().regions.is_empty());
}

#[test]
fn a_single_crossing_is_drawn_again_wherever_it_is() {
    // So wide that some pieces of the picture hold no edge: there nothing but the crossing itself tells.
    let mut text = bands("slate").replace("rows = 40", "rows = 2");
    let options = Picture { frame: false, scale: Scale::PerMm(20.0), ..Picture::default() };
    let mut kept = Kept::new(&studied(&text), &options).unwrap();
    let touched =
        |text: &str, end: u32| text.replace("rows = 10", &format!("rows = 10\ntouched = [\"row 5: {end}\"]"));
    for end in 2..24 {
        let over = if end % 2 == 0 { "under" } else { "over" };
        let mut edited =
            touched(&text, end).replace(&format!("row 5: {end}"), &format!("row 5: {over} {end}"));
        if edited == text || studied(&edited).piece == studied(&text).piece {
            edited = edited.replace(over, if over == "under" { "over" } else { "under" });
        }
        let study = studied(&edited);
        let changes = kept.renew(&study).unwrap();
        assert!(*kept.raster() == made(&study, &options), "end {end}");
        assert!(!changes.all && !changes.regions.is_empty());
    }
    // Another name gives the band's yarn another grain from edge to edge.
    text = text.replace("pools", "shoals");
    let study = studied(&text);
    kept.renew(&study).unwrap();
    assert!(*kept.raster() == made(&study, &options));
}

#[test]
fn a_picture_that_would_be_too_large_leaves_the_kept_one_as_it_was() {
    let small = studied(&bands("slate"));
    let options = Picture { scale: Scale::PerMm(40.0), frame: false, ..Picture::default() };
    let mut kept = Kept::new(&small, &options).unwrap();
    let before = kept.clone();
    let long = studied(
        &bands("slate")
            .replace("rows = 40", "rows = 900")
            .replace("turn-to-turn = \"22 cm\"", "turn-to-turn = \"400 cm\"")
            .replace("clear-height = \"20 cm\"", "clear-height = \"399 cm\""),
    );
    assert!(kept.renew(&long).is_err());
    assert!(kept == before);
}

/// A part of a picture is that part of it, wherever its own border lies: also where rows of a header lie on it and none above.
#[test]
fn a_woven_header_looks_the_same_whatever_lies_on_the_canvas_with_it() {
    let header = "[band.ground]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 20\n[piece]\nbands = [\"ground\"]\n\
                  [header]\nlength = \"1 cm\"\nyarn = \"foam\"\n";
    let study = studied(&plan(12, header));
    let options = Picture { scale: Scale::PerMm(15.0), ..Picture::default() };
    let whole = made(&study, &options);
    let line = whole.width as usize * 3;
    for height in [60, 128, 200, 300, 500] {
        for y in (0..whole.height - height).step_by(97) {
            let region = Some(Region { x: 0, y, width: whole.width, height });
            let part = made(&study, &Picture { region, ..options.clone() });
            let from = y as usize * line;
            assert!(part.rgb == whole.rgb[from..from + part.rgb.len()], "{height} lines from line {y}");
        }
    }
}
