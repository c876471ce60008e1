//! Prints the plates of a proof on the heavy practice press and scans the sheet, without paper:
//! `practice_scan PLATES.tif SCAN.tif DEGREES`.
//!
//! The plates are a CMYK picture made by any renderer. The scanner is one of many: its primaries are
//! not those of sRGB, its curve is its own, it blurs a little and is noisy; the sheet lies turned.

use std::error::Error;
use std::path::Path;

use art::{Limits, Samples};
use colour::{Lab, PressCondition};
use proof::PracticePress;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, plates, scan, degrees] = &arguments[..] else {
        return Err("usage: practice_scan PLATES.tif SCAN.tif DEGREES".into());
    };
    let degrees: f64 = degrees.parse()?;
    let plates = art::decode(&std::fs::read(plates)?, &Limits::default())?;
    let (width, height) = (plates.size.width as usize, plates.size.height as usize);
    let Samples::Cmyk8(inks) = &plates.samples else {
        return Err("expected a CMYK picture of 8 bits".into());
    };

    let press = PressCondition::built_in("coated").ok_or("no such condition")?;
    let heavy = PracticePress {
        noise: 0.0,
        ..PracticePress::HEAVY
    };
    let seen = seen(inks, &heavy, &press)?;
    let (turned, size) = turned(&seen, (width, height), degrees);
    let noisy: Vec<u8> = turned
        .iter()
        .zip(Noise(7))
        .map(|(value, noise)| (255.0 * value.clamp(0.0, 1.0) + 1.5 * noise).round() as u8)
        .collect();
    write_tiff(Path::new(scan), &noisy, size)?;
    Ok(())
}

/// What the scanner's three channels see of each pixel, 0 to 1.
fn seen(
    inks: &[u8],
    press: &PracticePress,
    condition: &PressCondition,
) -> Result<Vec<[f32; 3]>, Box<dyn Error>> {
    let pixels: Vec<[u8; 4]> = inks
        .chunks_exact(4)
        .map(|ink| [ink[0], ink[1], ink[2], ink[3]])
        .collect();
    let mut distinct = pixels.clone();
    distinct.sort_unstable();
    distinct.dedup();
    let colours = press.print(condition, &distinct)?;
    let channels: Vec<[f32; 3]> = colours.into_iter().map(channels).collect();
    Ok(pixels
        .iter()
        .map(|ink| match distinct.binary_search(ink) {
            Ok(at) => channels[at],
            Err(_) => [1.0; 3],
        })
        .collect())
}

/// A scanner with broad filters and a curve of its own, made up for this purpose.
fn channels(lab: Lab) -> [f32; 3] {
    let y = (lab.l + 16.0) / 116.0;
    let inverse = |t: f64| {
        if t > 6.0 / 29.0 {
            t.powi(3)
        } else {
            (t - 4.0 / 29.0) * 108.0 / 841.0
        }
    };
    // CIE 15, white D50.
    let xyz = [
        0.9642 * inverse(y + lab.a / 500.0),
        inverse(y),
        0.8249 * inverse(y - lab.b / 200.0),
    ];
    let filters = [
        [1.55, -0.42, -0.08],
        [-0.55, 1.46, 0.09],
        [0.06, -0.16, 1.27],
    ];
    filters.map(|row: [f64; 3]| {
        let light: f64 = row.iter().zip(xyz).map(|(part, value)| part * value).sum();
        // Glare of the lid, then a curve near that of sRGB.
        let light = 0.004 + 0.93 * light.clamp(0.0, 1.0);
        light.powf(1.0 / 2.1) as f32
    })
}

/// The sheet turned on a scanner's glass, seen through a small blur; white around it.
fn turned(
    sheet: &[[f32; 3]],
    (width, height): (usize, usize),
    degrees: f64,
) -> (Vec<f32>, (usize, usize)) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let side =
        |along: f64, across: f64| (along * cos.abs() + across * sin.abs()).ceil() as usize + 40;
    let size = (
        side(width as f64, height as f64),
        side(height as f64, width as f64),
    );
    let at = |x: f64, y: f64, channel: usize| {
        let (left, top) = (x.floor(), y.floor());
        let pixel = |x: f64, y: f64| {
            let inside = x >= 0.0 && y >= 0.0 && x < width as f64 && y < height as f64;
            if inside {
                sheet[y as usize * width + x as usize][channel]
            } else {
                0.93
            }
        };
        let (right, down) = ((x - left) as f32, (y - top) as f32);
        let above = pixel(left, top) * (1.0 - right) + pixel(left + 1.0, top) * right;
        let below = pixel(left, top + 1.0) * (1.0 - right) + pixel(left + 1.0, top + 1.0) * right;
        above * (1.0 - down) + below * down
    };
    let mut out = Vec::with_capacity(size.0 * size.1 * 3);
    for row in 0..size.1 {
        for column in 0..size.0 {
            let x = column as f64 - size.0 as f64 / 2.0;
            let y = row as f64 - size.1 as f64 / 2.0;
            let from = (
                cos * x + sin * y + width as f64 / 2.0,
                cos * y - sin * x + height as f64 / 2.0,
            );
            for channel in 0..3 {
                let blurred: f32 = [(-0.4, 0.0), (0.4, 0.0), (0.0, -0.4), (0.0, 0.4)]
                    .iter()
                    .map(|(dx, dy)| at(from.0 + dx, from.1 + dy, channel))
                    .sum();
                out.push(blurred / 4.0);
            }
        }
    }
    (out, size)
}

/// Normal noise of standard deviation 1, about: the sum of twelve even numbers.
struct Noise(u64);

impl Iterator for Noise {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        let mut sum = -6.0;
        for _ in 0..12 {
            // A linear congruential generator with Knuth's constants of MMIX.
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            sum += (self.0 >> 40) as f32 / (1_u64 << 24) as f32;
        }
        Some(sum)
    }
}

/// Baseline TIFF 6.0: one strip of RGB bytes, little end first.
fn write_tiff(path: &Path, rgb: &[u8], (width, height): (usize, usize)) -> std::io::Result<()> {
    let mut file = b"II\x2a\0".to_vec();
    let data_at = 8 + 6_u32;
    let directory_at = data_at + rgb.len() as u32 + rgb.len() as u32 % 2;
    file.extend(directory_at.to_le_bytes());
    for bits in [8_u16; 3] {
        file.extend(bits.to_le_bytes());
    }
    file.extend(rgb);
    file.resize(directory_at as usize, 0);
    let entries: [(u16, u16, u32, u32); 9] = [
        (256, 4, 1, width as u32),
        (257, 4, 1, height as u32),
        (258, 3, 3, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 2),
        (273, 4, 1, data_at),
        (277, 3, 1, 3),
        (278, 4, 1, height as u32),
        (279, 4, 1, rgb.len() as u32),
    ];
    file.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        file.extend(tag.to_le_bytes());
        file.extend(kind.to_le_bytes());
        file.extend(count.to_le_bytes());
        file.extend(value.to_le_bytes());
    }
    file.extend(0_u32.to_le_bytes());
    std::fs::write(path, file)
}
