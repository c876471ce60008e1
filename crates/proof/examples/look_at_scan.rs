//! Shows how well strips are read from scans: `look_at_scan FOLDER` simulates scans of all kinds,
//! prints what was read against the truth, and writes each scan with the found patches drawn over
//! it. `look_at_scan PICTURE` prints the marks that a real scan shows.

use std::path::Path;
use std::time::Instant;

use art::{Picture, Samples};
use colour::delta_e_2000;
use proof::scan::{self, ColourFrom, ScanReading, Wanted};

#[path = "../tests/it/scan_simulated.rs"]
mod scan_simulated;

use scan_simulated::{Scene, bench};

type Failure = Box<dyn std::error::Error>;

fn main() -> Result<(), Failure> {
    let path = std::env::args()
        .nth(1)
        .ok_or("usage: look_at_scan FOLDER-OR-PICTURE")?;
    let path = Path::new(&path);
    if path.is_file() {
        let picture = art::decode(&std::fs::read(path)?, &art::Limits::default())?;
        for mark in scan::marks(&picture)? {
            println!("{}", mark.text());
        }
        return Ok(());
    }
    std::fs::create_dir_all(path)?;
    let bench = bench();
    let usual = Scene::usual(&bench.layout);
    let tilted = Scene {
        glass: (236.0, 62.0),
        sheet: (236.0, 62.0),
        at: (15.0, 18.0),
        ..usual.clone()
    };
    let scenes = [
        ("plain sRGB, no fault", Scene::plain(&bench.layout)),
        ("usual flatbed", usual.clone()),
        (
            "tilt +3",
            Scene {
                turn: 3.0,
                ..tilted.clone()
            },
        ),
        (
            "tilt -3",
            Scene {
                turn: -3.0,
                ..tilted.clone()
            },
        ),
        (
            "turn 180",
            Scene {
                turn: 180.0,
                ..usual.clone()
            },
        ),
        (
            "perspective 3 %",
            Scene {
                perspective: 0.03,
                ..tilted
            },
        ),
        (
            "exponent 0.8",
            Scene {
                exponent: [0.8; 3],
                ..usual.clone()
            },
        ),
        (
            "exponent 1.25",
            Scene {
                exponent: [1.25; 3],
                ..usual.clone()
            },
        ),
        (
            "mixing 10 %",
            Scene {
                mixing: 0.1,
                ..usual.clone()
            },
        ),
        (
            "strong cast",
            Scene {
                cast: [0.8, 1.0, 0.7],
                ..usual.clone()
            },
        ),
        (
            "JPEG 60",
            Scene {
                jpeg: Some(60),
                ..usual.clone()
            },
        ),
        (
            "noise 6",
            Scene {
                noise: 6.0,
                ..usual.clone()
            },
        ),
        (
            "blur 0.12 mm",
            Scene {
                blur: 0.12,
                ..usual.clone()
            },
        ),
        (
            "150 ppi",
            Scene {
                ppi: 150.0,
                ..usual.clone()
            },
        ),
        (
            "600 ppi",
            Scene {
                ppi: 600.0,
                ..usual.clone()
            },
        ),
        (
            "dust",
            Scene {
                dust: 80,
                ..usual.clone()
            },
        ),
        ("A4", Scene::a4(&bench.layout)),
    ];
    println!("scan, press: ΔE00 mean, most (stated) | patches missing | turned, ppi | seconds, MP");
    for (name, scene) in scenes {
        for (press, truth) in [("right", &bench.right), ("heavy", &bench.heavy)] {
            let picture = scene.scan(&bench.strip, &bench.layout, &bench.mark, truth);
            let wanted = Wanted {
                strip: &bench.strip,
                layout: &bench.layout,
                mark: &bench.mark,
            };
            let start = Instant::now();
            let read = scan::read(&picture, wanted, None);
            let seconds = start.elapsed().as_secs_f64();
            let reading = match read {
                Ok(reading) => reading,
                Err(why) => {
                    println!("{name}, {press}: {why}");
                    continue;
                }
            };
            let errors: Vec<f64> = reading
                .seen
                .iter()
                .map(|&(at, lab, _)| delta_e_2000(lab, truth[at]))
                .collect();
            let stated = match reading.colour {
                ColourFrom::Characterised { error, .. } => error,
                ColourFrom::Profile { agreement, .. } => agreement,
            };
            println!(
                "{name}, {press}: {:.2}, {:.2} ({stated:.2}) | {} | {:.2}°, {:.1} | {seconds:.2}, {:.1}",
                errors.iter().sum::<f64>() / errors.len() as f64,
                errors.iter().fold(0.0_f64, |most, &error| most.max(error)),
                reading.missing.len(),
                reading.turned,
                reading.ppi,
                picture.size.count() as f64 / 1e6,
            );
            if press == "right" {
                let file = format!("{}.jpg", name.replace([' ', '%', ','], "-"));
                draw(&picture, &reading, &path.join(file))?;
            }
        }
    }
    Ok(())
}

/// Writes the scan with the patches' outlines over it: green where read, red where missing.
fn draw(picture: &Picture, reading: &ScanReading, file: &Path) -> Result<(), Failure> {
    let Samples::Rgb8(bytes) = &picture.samples else {
        return Err("expected RGB of 8 bit".into());
    };
    let (width, height) = (picture.size.width as usize, picture.size.height as usize);
    let mut drawn = bytes.clone();
    for (at, outline) in reading.outlines.iter().enumerate() {
        let colour = if reading.missing.contains(&at) {
            [230, 0, 0]
        } else {
            [0, 200, 0]
        };
        for (from, to) in (0..4).map(|side| (outline[side], outline[(side + 1) % 4])) {
            for step in 0..=600 {
                let share = f64::from(step) / 600.0;
                let [x, y] = [0, 1].map(|i| from[i] + (to[i] - from[i]) * share);
                if x >= 0.0 && y >= 0.0 && (x as usize) < width && (y as usize) < height {
                    let pixel = (y as usize * width + x as usize) * 3;
                    drawn[pixel..pixel + 3].copy_from_slice(&colour);
                }
            }
        }
    }
    let mut jpeg = Vec::new();
    jpeg_encoder::Encoder::new(&mut jpeg, 90).encode(
        &drawn,
        width as u16,
        height as u16,
        jpeg_encoder::ColorType::Rgb,
    )?;
    std::fs::write(file, jpeg)?;
    Ok(())
}
