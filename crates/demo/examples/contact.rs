//! Draws the demonstration's pieces small, on one contact sheet: `contact OUT.png [NAME] [WIDTH]`.
//! With a name, only that piece, at the given width.

use std::error::Error;
use std::fs::File;
use std::io::BufWriter;
use std::time::Instant;

use demo::{Pixels, book};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let out = arguments.next().ok_or("contact OUT.png [NAME] [WIDTH]")?;
    let only = arguments.next();
    let width = arguments.next().map_or(Ok(1400), |text| text.parse())?;
    let pieces = book().pieces;
    if let Some(only) = only {
        let piece = pieces
            .iter()
            .find(|piece| piece.name.starts_with(&only))
            .ok_or("no such piece")?;
        let started = Instant::now();
        let (across, down, pixels) = piece.draw_small(width);
        eprintln!(
            "{} {across} × {down}: {:.2} s",
            piece.name,
            started.elapsed().as_secs_f32()
        );
        return save(&out, across, down, &shown(&pixels));
    }
    // Rows of a fixed height, filled from left to right.
    let (tall, gap, page) = (300u32, 12u32, 1800u32);
    let mut placed = Vec::new();
    let (mut x, mut y) = (gap, gap);
    for piece in &pieces {
        let wide = (f64::from(tall) * f64::from(piece.width) / f64::from(piece.height)) as u32;
        if x + wide + gap > page {
            (x, y) = (gap, y + tall + gap);
        }
        placed.push((x, y, wide));
        x += wide + gap;
    }
    let down = y + tall + gap;
    let mut sheet = vec![128u8; (page * down * 3) as usize];
    for (piece, (x, y, wide)) in pieces.iter().zip(placed) {
        // Drawn at three times the size and averaged, as the eye does from afar.
        let (across, rows, pixels) = piece.draw_small(wide * 3);
        let rgb = shown(&pixels);
        for row in 0..tall.min(rows / 3) {
            for column in 0..wide {
                for channel in 0..3 {
                    let mut sum = 0u32;
                    for (dx, dy) in (0..9).map(|i| (i % 3, i / 3)) {
                        let at = ((row * 3 + dy) * across + column * 3 + dx) * 3 + channel;
                        sum += u32::from(rgb[at as usize]);
                    }
                    let at = (((y + row) * page + x + column) * 3 + channel) as usize;
                    sheet[at] = (sum / 9) as u8;
                }
            }
        }
    }
    save(&out, page, down, &sheet)
}

/// As a screen shows it, roughly: transparency on white, CMYK by simple subtraction.
fn shown(pixels: &Pixels) -> Vec<u8> {
    match pixels {
        Pixels::Grey8(bytes) => bytes.iter().flat_map(|&v| [v, v, v]).collect(),
        Pixels::Rgb8(bytes) => bytes.clone(),
        Pixels::Rgb16(samples) => samples.iter().map(|&v| (v >> 8) as u8).collect(),
        Pixels::Rgba8(bytes) => bytes
            .chunks_exact(4)
            .flat_map(|p| {
                let over = |v: u8| {
                    let cover = u32::from(p[3]);
                    ((u32::from(v) * cover + 255 * (255 - cover)) / 255) as u8
                };
                [over(p[0]), over(p[1]), over(p[2])]
            })
            .collect(),
        Pixels::Cmyk8(bytes) => bytes
            .chunks_exact(4)
            .flat_map(|p| {
                let left = |ink: u8| (u32::from(255 - ink) * u32::from(255 - p[3]) / 255) as u8;
                [left(p[0]), left(p[1]), left(p[2])]
            })
            .collect(),
    }
}

fn save(path: &str, across: u32, down: u32, rgb: &[u8]) -> Result<(), Box<dyn Error>> {
    let mut encoder = png::Encoder::new(BufWriter::new(File::create(path)?), across, down);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header()?.write_image_data(rgb)?;
    Ok(())
}
