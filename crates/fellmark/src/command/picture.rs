//! `picture`: the piece as it will look.

use crate::args::{PictureArgs, StateArg};
use crate::asked_rows;
use crate::run::Opened;
use anyhow::{Result, anyhow};
use fellmark_core::cloth::size::State;
use fellmark_core::side::Surface;
use fellmark_core::yarn::Srgb;
use fellmark_picture::relief::{self, PAPER, Picture, Scale};

/// The bytes of a PNG file.
pub(crate) fn png(opened: &Opened, args: &PictureArgs) -> Result<Vec<u8>> {
    if args.loom && args.state != StateArg::OnLoom {
        return Err(anyhow!(
            "Off the loom there is no frame to show: leave out --loom, or ask for --state on-loom."
        ));
    }
    let rows = args.rows.as_deref().map(|typed| asked_rows::range(opened, typed)).transpose()?;
    let options = Picture {
        surface: if args.back_up { Surface::Back } else { Surface::Front },
        state: match args.state {
            StateArg::OnLoom => State::OnLoom,
            StateArg::Released => State::Released,
            StateArg::Finished => State::Finished,
        },
        scale: args.dpi.map_or(Scale::Width(args.width), |dots| Scale::Dpi(f64::from(dots))),
        frame: !args.cloth,
        rows: rows.map(|rows| rows.start() - 1..*rows.end()),
        ground: args.ground.as_deref().map_or(Ok(PAPER), ground)?,
        ..Picture::default()
    };
    let raster = relief::picture(&opened.study, &options).map_err(|large| {
        let size = format!("{:.0} x {:.0}", large.width, large.height);
        anyhow!(
            "The picture would be {size} pixels large: that is too many. Give a smaller --width or --dpi."
        )
    })?;
    Ok(relief::png(&raster))
}

/// A colour as it is typed.
fn ground(text: &str) -> Result<Srgb> {
    Srgb::parse(text).map_err(|_| {
        anyhow!(
            "\"{text}\" is no colour. Write red, green and blue as hexadecimal numbers: --ground \"#ffffff\"."
        )
    })
}
