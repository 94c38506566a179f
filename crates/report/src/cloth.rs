//! The cloth as `check` tells it.

use crate::common::rounded;
use fellmark_core::cloth::Cover;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use serde::Serialize;

/// How the rows lie on the loom.
#[derive(Debug, Clone, Serialize)]
pub struct ClothJson {
    /// The woven length: the mean of the fell.
    pub length_mm: f64,
    /// Its highest point.
    pub highest_mm: f64,
    /// Rows per cm along an end, on average.
    pub rows_per_cm: Option<f64>,
    /// The last row within reach, together with all below it.
    pub last_combable: Option<u32>,
    /// What the front shows.
    pub front: CoverJson,
    /// What the back shows.
    pub back: CoverJson,
}

/// What a face shows, in shares that add up to 1.
#[derive(Debug, Clone, Serialize)]
pub struct CoverJson {
    /// Each yarn as weft.
    pub weft: Vec<ShareJson>,
    /// Each yarn as warp, bare of weft.
    pub warp: Vec<ShareJson>,
    /// Gaps that one sees through.
    pub open: f64,
    /// How much of bare warp and gaps lies under hairs of a weft of which the plan says how far they stand out.
    pub veiled: f64,
}

/// How much a yarn shows.
#[derive(Debug, Clone, Serialize)]
pub struct ShareJson {
    /// The yarn.
    pub yarn: String,
    /// Its share of the face.
    pub share: f64,
}

impl ClothJson {
    pub(crate) fn of(study: &Study) -> ClothJson {
        let cloth = &study.cloth;
        ClothJson {
            length_mm: rounded(cloth.length().mm()),
            highest_mm: rounded(cloth.highest().mm()),
            rows_per_cm: cloth.rows_per_cm().map(rounded),
            last_combable: cloth.last_combable().map(|row| row + 1),
            front: CoverJson::of(study, Surface::Front),
            back: CoverJson::of(study, Surface::Back),
        }
    }
}

impl CoverJson {
    fn of(study: &Study, surface: Surface) -> CoverJson {
        let Cover { weft, warp, open, veiled } = study.cloth.cover(&study.piece, surface);
        let named = |shares: &[f64]| {
            let yarns = study.piece.yarns.iter().zip(shares);
            yarns
                .filter(|&(_, &share)| share > 0.0)
                .map(|(yarn, &share)| ShareJson { yarn: yarn.name.clone(), share: rounded(share) })
                .collect()
        };
        CoverJson { weft: named(&weft), warp: named(&warp), open: rounded(open), veiled: rounded(veiled) }
    }
}
