//! Colour: how a yarn's sRGB bytes become light and what the eye makes of it, how far apart two colours look,
//! also to eyes that see some colours alike, and whether lines on a yarn are drawn in ink or left as paper.
//!
//! Colours are kept as bytes and worked out on the way.

mod contrast;
mod difference;
mod light;
mod likeness;
mod srgb;
mod vision;

pub use contrast::{Contrast, INK, LineColour, PAPER, contrast, readable_on};
pub use difference::{Difference, acceptable_difference, difference, lightness_difference};
pub use light::{Lab, Linear, Xyz};
pub use likeness::{Likeness, likeness};
pub use srgb::{ColourError, Srgb};
pub use vision::Vision;
