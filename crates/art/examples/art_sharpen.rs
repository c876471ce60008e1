//! Sharpens a picture: `art_sharpen PICTURE OUT AMOUNT RADIUS_PX THRESHOLD HALO`.
//!
//! OUT holds R, G, B of 16 bits each, little end first, row by row; one JSON line tells the size and
//! the gain at an eighth and at a quarter of a cycle to the pixel.

use art::{Limits, Picture, Samples, Sharpen, decode, sharpen};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [picture, out, figures @ ..] = arguments.as_slice() else {
        panic!("art_sharpen PICTURE OUT AMOUNT RADIUS_PX THRESHOLD HALO");
    };
    let figures: Vec<f64> = figures
        .iter()
        .map(|figure| figure.parse().expect("the figures are numbers"))
        .collect();
    let &[amount, radius_px, threshold, halo] = figures.as_slice() else {
        panic!("four figures are wanted");
    };
    let how = Sharpen::new(amount, radius_px, threshold, halo).expect("the figures are in range");
    let bytes = std::fs::read(picture).expect("the picture can be read");
    let picture = decode(&bytes, &Limits::default()).expect("the picture can be decoded");
    let size = picture.size;
    let words: Vec<u16> = (0..size.count() as usize)
        .filter_map(|pixel| picture.samples.rgb8(pixel))
        .flatten()
        .map(|byte| u16::from(byte) * 257)
        .collect();
    let picture = Picture {
        samples: Samples::Rgb16(words),
        profile: None,
        ..picture
    };
    let Samples::Rgb16(words) = sharpen(picture, &how).samples else {
        panic!("sharpening keeps the kind of samples");
    };
    let bytes: Vec<u8> = words.iter().flat_map(|word| word.to_le_bytes()).collect();
    std::fs::write(out, bytes).expect("the result can be written");
    println!(
        "{}",
        serde_json::json!({
            "width": size.width, "height": size.height,
            "gain_at_8_px": how.gain(0.125), "gain_at_4_px": how.gain(0.25),
        })
    );
}
