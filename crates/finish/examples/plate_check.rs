//! Looks at a plate by hand, and lets other programs look at the same one.
//!
//! `plate_check SVG WIDTH_MM HEIGHT_MM FINEST_MM OUT.pgm` paints a drawing on pixels and prints what
//! is too fine; `plate_check MASK.pgm WIDTH_MM HEIGHT_MM FINEST_MM OUT.pgm` does so for a picture.
//! OUT.pgm is the plate, black where it is.

use std::process::ExitCode;
use std::time::Instant;

use finish::{Bounds, Drawing, Fit, Plate, Typefaces, judge};
use measure::{Length, PixelSize, Size};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [mask, width, height, finest, out] = arguments.as_slice() else {
        eprintln!("plate_check MASK.svg|MASK.pgm WIDTH_MM HEIGHT_MM FINEST_MM OUT.pgm");
        return ExitCode::from(2);
    };
    match look(mask, width, height, finest, out) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(2)
        }
    }
}

fn look(
    mask: &str,
    width: &str,
    height: &str,
    finest: &str,
    out: &str,
) -> Result<(), Box<dyn std::error::Error>> {
    let face = Size::from_mm(width.parse()?, height.parse()?);
    let finest = Length::from_mm(finest.parse()?);
    let bytes = std::fs::read(mask)?;
    let began = Instant::now();
    let plate = if mask.ends_with(".svg") {
        let drawing = Drawing::read(std::str::from_utf8(&bytes)?, &Typefaces::default())?;
        Plate::from_shapes(&drawing.shapes(face, Fit::Exact)?.0, face, finest)
    } else {
        let (size, lightness) = grey(&bytes).ok_or("expected a binary PGM of one byte a pixel")?;
        let (plate, remarks) = Plate::from_picture(lightness, size, face, Fit::Exact)?;
        println!("soft {:.4}", remarks.soft);
        plate
    };
    let painted = began.elapsed();
    let bounds = Bounds {
        line: finest,
        gap: finest,
        share: 1.0,
    };
    let judged = judge(&plate, &bounds);
    println!(
        "pixels {} {} per_mm {:.4} share {:.6} painted_s {:.3} judged_s {:.3}",
        plate.size().width,
        plate.size().height,
        plate.pixels_per_mm(),
        judged.share,
        painted.as_secs_f64(),
        (began.elapsed() - painted).as_secs_f64()
    );
    println!("count {}", judged.count);
    for fault in &judged.faults {
        println!(
            "{:?} {:.3} {:.3} {:.3} {:.3} width {:.3}",
            fault.kind,
            fault.place.x.mm(),
            fault.place.y.mm(),
            fault.place.width.mm(),
            fault.place.height.mm(),
            fault.width.mm()
        );
    }
    let mut picture =
        format!("P5\n{} {}\n255\n", plate.size().width, plate.size().height).into_bytes();
    picture.extend(plate.pixels().iter().map(|&pixel| 255 - 255 * pixel));
    std::fs::write(out, picture)?;
    Ok(())
}

/// The header of a PGM, and its bytes.
fn grey(bytes: &[u8]) -> Option<(PixelSize, &[u8])> {
    let header: Vec<&[u8]> = bytes.splitn(4, |byte| byte.is_ascii_whitespace()).collect();
    let [b"P5", width, height, rest] = header.as_slice() else {
        return None;
    };
    let number = |digits: &[u8]| std::str::from_utf8(digits).ok()?.parse().ok();
    let size = PixelSize {
        width: number(width)?,
        height: number(height)?,
    };
    Some((size, rest.strip_prefix(b"255\n")?))
}
