//! A raster as a PNG file, with its true size.

use super::Raster;
use png::{BitDepth, ColorType, Compression, Encoder, Filter, PixelDimensions, SrgbRenderingIntent, Unit};

/// The bytes of a PNG file (RGB, 8 bits, sRGB) whose resolution is that of the cloth: shown or printed in its own
/// size, it is as large as the piece. Empty only for a raster that isn't as large as it says.
#[must_use]
pub fn png(raster: &Raster) -> Vec<u8> {
    encode(raster, Compression::Balanced, Filter::Adaptive).unwrap_or_default()
}

/// The same picture in a larger file that is made in a fraction of the time.
#[must_use]
pub fn png_quickly(raster: &Raster) -> Vec<u8> {
    encode(raster, Compression::Fastest, Filter::Paeth).unwrap_or_default()
}

fn encode(raster: &Raster, compression: Compression, filter: Filter) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, raster.width, raster.height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(compression);
    encoder.set_filter(filter);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    let per_metre = (raster.per_mm * 1000.0).round().clamp(1.0, f64::from(u32::MAX)) as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&raster.rgb)?;
    writer.finish()?;
    Ok(bytes)
}
