//! `draw`: the piece in lines, or how its warp is wound.

use crate::args::DrawArgs;
use crate::asked_rows;
use crate::run::Opened;
use anyhow::Result;
use fellmark_core::side::Surface;
use fellmark_picture::Drawing;

/// The text of an SVG file.
pub(crate) fn svg(opened: &Opened, args: &DrawArgs) -> Result<String> {
    if args.warp {
        return Ok(fellmark_picture::winding(&opened.study, None, args.units.units()).unwrap_or_default());
    }
    let rows = args.rows.as_deref().map(|typed| asked_rows::range(opened, typed)).transpose()?;
    let drawing = Drawing {
        units: args.units.units(),
        surface: if args.back_up { Surface::Back } else { Surface::Front },
        frame: !args.no_frame,
        rows: rows.map(|rows| rows.start() - 1..*rows.end()),
    };
    Ok(fellmark_picture::drawing(&opened.study, &drawing))
}
