//! Reads pictures and says what was found: one JSON line a file.
//!
//! `art_probe [--pixels DIR] FILE…`; with `--pixels` the samples are written to `DIR/N.raw` (N
//! counts the files from 0; 16-bit samples little-endian), so that another reader can compare.

use std::path::PathBuf;
use std::time::Instant;

use art::{Limits, Samples, decode, probe};

fn main() {
    let mut pixels = None;
    let mut files = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        if argument == "--pixels" {
            pixels = arguments.next().map(PathBuf::from);
        } else {
            files.push(argument);
        }
    }
    for (index, file) in files.iter().enumerate() {
        let bytes = match std::fs::read(file) {
            Ok(bytes) => bytes,
            Err(error) => {
                println!(
                    "{}",
                    serde_json::json!({"file": file, "error": error.to_string()})
                );
                continue;
            }
        };
        let start = Instant::now();
        let header = probe(&bytes, &Limits::default());
        let probe_ms = start.elapsed().as_secs_f64() * 1e3;
        let start = Instant::now();
        let picture = decode(&bytes, &Limits::default());
        let decode_ms = start.elapsed().as_secs_f64() * 1e3;
        let mut line = serde_json::json!({
            "file": file, "probe_ms": probe_ms, "decode_ms": decode_ms,
        });
        match header {
            Ok(header) => {
                line["probed"] = serde_json::json!([header.size.width, header.size.height]);
                line["format"] = format!("{:?}", header.format).into();
            }
            Err(error) => line["probe_error"] = error.to_string().into(),
        }
        match picture {
            Ok(picture) => {
                let (kind, raw) = match &picture.samples {
                    Samples::Grey8(samples) => ("grey8", samples.clone()),
                    Samples::Grey16(samples) => ("grey16", little(samples)),
                    Samples::Rgb8(samples) => ("rgb8", samples.clone()),
                    Samples::Rgb16(samples) => ("rgb16", little(samples)),
                    Samples::Cmyk8(samples) => ("cmyk8", samples.clone()),
                };
                line["size"] = serde_json::json!([picture.size.width, picture.size.height]);
                line["kind"] = kind.into();
                line["remarks"] = picture
                    .remarks
                    .iter()
                    .map(|remark| format!("{remark:?}"))
                    .collect::<Vec<_>>()
                    .into();
                line["profile"] = picture
                    .profile
                    .as_ref()
                    .map(|profile| profile.description().to_owned())
                    .into();
                if let Some(folder) = &pixels {
                    let path = folder.join(format!("{index}.raw"));
                    std::fs::write(&path, raw).expect("the folder for pixels can be written to");
                    line["pixels"] = path.display().to_string().into();
                }
            }
            Err(error) => line["error"] = error.to_string().into(),
        }
        println!("{line}");
    }
}

fn little(samples: &[u16]) -> Vec<u8> {
    samples
        .iter()
        .flat_map(|sample| sample.to_le_bytes())
        .collect()
}
