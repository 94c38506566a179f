//! An address as a QR code.

use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write;

/// Light modules at each side: what a reader needs to find the code (ISO/IEC 18004: four modules).
const QUIET: usize = 4;

/// The code as SVG, dark on light in any light, a module being one unit; `None` if the text is too long for one.
pub(crate) fn svg(text: &str) -> Option<String> {
    // M mends about 15 % of the code: a screen is clean, but a phone is held at an angle.
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let width = code.width();
    let side = width + 2 * QUIET;
    let mut path = String::new();
    for (y, line) in code.to_colors().chunks(width).enumerate() {
        let mut x = 0;
        for run in line.chunk_by(|a, b| a == b) {
            if run.first() == Some(&Color::Dark) {
                let _ = write!(path, "M{} {}h{}v1h-{}z", x + QUIET, y + QUIET, run.len(), run.len());
            }
            x += run.len();
        }
    }
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" shape-rendering=\"crispEdges\">\
         <path fill=\"#fff\" d=\"M0 0h{side}v{side}h-{side}z\"/><path d=\"{path}\"/></svg>\n"
    ))
}

#[cfg(test)]
mod tests {
    use super::{QUIET, svg};
    use resvg::{tiny_skia, usvg};

    /// Reads the drawing as a phone would: drawn as pixels by one outside program, read by another.
    fn read(drawing: &str, scale: f32) -> String {
        let tree = usvg::Tree::from_str(drawing, &usvg::Options::default()).unwrap();
        let side = (tree.size().width() * scale) as u32;
        let mut pixels = tiny_skia::Pixmap::new(side, side).unwrap();
        resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixels.as_mut());
        let grey = |x: usize, y: usize| pixels.pixel(x as u32, y as u32).unwrap().red();
        for k in 0..side as usize {
            for quiet in 0..(QUIET as f32 * scale) as usize {
                assert_eq!((grey(k, quiet), grey(quiet, k)), (255, 255), "the margin is light");
            }
        }
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side as usize, side as usize, grey);
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1);
        let (_, text) = grids[0].decode().unwrap();
        text
    }

    #[test]
    fn an_outside_reader_reads_what_was_written() {
        for text in [
            "http://192.168.178.23:7417/#/let-in/7Q2M4K",
            "http://10.0.0.2:65535/#/let-in/000000",
            "http://[fd00:1234:5678:9abc:def0:1234:5678:9abc]:65535/#/let-in/ZZZZZZ",
            "7",
            &"reed ".repeat(60),
        ] {
            let drawing = svg(text).unwrap();
            for scale in [3.0, 4.0, 7.0] {
                assert_eq!(read(&drawing, scale), text);
            }
        }
        assert!(svg(&"reed ".repeat(2000)).is_none());
    }
}
