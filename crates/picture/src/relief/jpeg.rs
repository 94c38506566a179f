//! A raster as a JPEG file: a fraction of a PNG's size, close enough to be looked at.

use super::Raster;
use jpeg_encoder::{ColorType, Encoder, EncodingError, PixelDensity, PixelDensityUnit, SamplingFactor};

/// Yarns are told apart by their colours, so these are kept at every pixel; grain hides what else is lost.
const QUALITY: u8 = 85;

/// The bytes of a JPEG file (ITU-T T.81, JFIF) whose resolution is that of the cloth. `None` for a raster that isn't as
/// large as it says, or has no pixel or more than 65535 of them across or down.
#[must_use]
pub fn jpeg(raster: &Raster) -> Option<Vec<u8>> {
    encode(raster).ok()
}

fn encode(raster: &Raster) -> Result<Vec<u8>, EncodingError> {
    let none = EncodingError::ZeroImageDimensions { width: 0, height: 0 };
    let (Ok(width), Ok(height)) = (u16::try_from(raster.width), u16::try_from(raster.height)) else {
        return Err(none);
    };
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    let per_cm = (raster.per_mm * 10.0).round().clamp(1.0, f64::from(u16::MAX)) as u16;
    encoder.set_density(PixelDensity { density: (per_cm, per_cm), unit: PixelDensityUnit::Centimeters });
    encoder.encode(&raster.rgb, width, height, ColorType::Rgb)?;
    Ok(bytes)
}
