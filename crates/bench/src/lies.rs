//! Where a piece lies in its picture, so that names, rulers and what there is to find can stand beside it.

use crate::studies::Known;
use fellmark_core::piece::Place;
use fellmark_core::quantity::Mm;
use fellmark_core::say::Units;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use fellmark_picture::relief::{self, Picture, Placement, Scale, TooLarge};
use serde::Serialize;

/// Pixels for a mm with which the picture is measured; what is said is in mm.
const FINE: f64 = 8.0;

/// Where a piece lies, in mm.
#[derive(Debug, Serialize)]
pub(crate) struct LiesJson {
    front: SideJson,
    back: SideJson,
    /// The mean height of each row over the foot of the first, on the loom.
    rows: Vec<f64>,
    /// Where the cloth ends.
    fell: f64,
    /// White round the frame in the picture.
    margin: f64,
    /// The ruler's numbers.
    ruler: Vec<MeasureJson>,
}

/// A picture on the loom from one side, in mm from its top left.
#[derive(Debug, Serialize)]
struct SideJson {
    width: f64,
    height: f64,
    /// The end that is the first seen from the front.
    first_end: f64,
    /// From one end to the next.
    end_to_end: f64,
    /// The foot of the first row.
    foot: f64,
    /// Of the picture for a mm of height.
    up: f64,
}

#[derive(Debug, Serialize)]
struct MeasureJson {
    at: f64,
    words: String,
}

/// `None` where the piece is too large to be pictured.
pub(crate) fn lies(known: &Known, units: Units) -> Option<LiesJson> {
    let study = &known.study;
    let front = side(study, Surface::Front).ok()?;
    let back = side(study, Surface::Back).ok()?;
    let rows = (0..study.piece.row_count()).map(|row| rounded(study.cloth.row(row).mean())).collect();
    let fell = study.cloth.length();
    // A ruler to the upper bar, as the drawing has it.
    let high = study.piece.loom.clear_height.value.mm().max(fell.mm());
    let ruler = fellmark_picture::ruler_numbers((0.0, high), units);
    let ruler = ruler.into_iter().map(|(at, words)| MeasureJson { at: rounded(at), words }).collect();
    Some(LiesJson { front, back, rows, fell: rounded(fell), margin: relief::MARGIN, ruler })
}

/// The height of the upper border of each place, as the page finds it between rows.
pub(crate) fn tops(study: &Study) -> Vec<f64> {
    let cloth = &study.cloth;
    let top = |place: &Place| {
        let above = place.row_range().end;
        let low = cloth.row(above - 1).mean();
        let border = if above < study.piece.row_count() {
            (low + cloth.row(above).mean()) * 0.5
        } else {
            cloth.length()
        };
        rounded(border)
    };
    study.piece.places.iter().map(top).collect()
}

fn side(study: &Study, surface: Surface) -> Result<SideJson, TooLarge> {
    let options = Picture { surface, scale: Scale::PerMm(FINE), ..Picture::default() };
    let Placement { width, height, per_mm, first_end, end_to_end, foot, up, .. } =
        relief::placement(study, &options)?;
    Ok(SideJson {
        width: f64::from(width) / per_mm,
        height: f64::from(height) / per_mm,
        first_end: first_end / per_mm,
        end_to_end: end_to_end / per_mm,
        foot: foot / per_mm,
        up: up / per_mm,
    })
}

fn rounded(at: Mm) -> f64 {
    (at.mm() * 100.0).round() / 100.0
}
