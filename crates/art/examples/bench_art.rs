//! How fast reading, resampling and judging are, on one core, against the libraries alone: one
//! JSON line a figure (`name`, `value`, `unit`, `against`, `ratio`). Each is the best of five.

use std::hint::black_box;
use std::time::Instant;

use art::{
    Limits, Picture, Samples, Sharpen, Softening, Strength, Surface, Use, Window, decode, judge,
    probe, resample, sharpen, shrink,
};
use colour::{InkLimit, Intent, PressCondition, Profile, Reach, Recipe, Separation};
use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use measure::{PixelSize, Resolution};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;

const FROM: PixelSize = PixelSize {
    width: 6000,
    height: 4000,
};
const TO: PixelSize = PixelSize {
    width: 4243,
    height: 2829,
};

fn main() {
    let picture = Picture {
        size: FROM,
        samples: Samples::Rgb8(scene()),
        profile: None,
        remarks: Vec::new(),
    };
    let Samples::Rgb8(bytes) = &picture.samples else {
        return;
    };

    let ours = best(|| resample(&picture, Window::whole(FROM), TO));
    let plain8 = best(|| alone(bytes, PixelType::U8x3));
    let wide: Vec<u16> = bytes.iter().map(|&byte| u16::from(byte) * 257).collect();
    let plain16 = best(|| alone(bytemuck::cast_slice(&wide), PixelType::U16x3));
    drop(wide);
    let seconds = "s, 24 to 12 megapixels of RGB8, Lanczos 3 in linear light";
    line(
        "resample",
        ours,
        seconds,
        "fast_image_resize U16x3 without linear light",
        ours / plain16,
    );
    line(
        "resample",
        ours,
        seconds,
        "fast_image_resize U8x3 without linear light",
        ours / plain8,
    );
    // As it goes to the press: the resampled picture, at 300 ppi on uncoated paper.
    let final_pixels = resample(&picture, Window::whole(FROM), TO);
    let softening = Softening {
        surface: Surface::Uncoated,
        ruling_lpi: None,
        resolution: Resolution::from_ppi(300.0).expect("300 lies within 1 to 10,000"),
    };
    let how = Sharpen::for_paper(softening, Strength::Modest).expect("300 ppi can be sharpened");
    let copying = best(|| final_pixels.clone());
    let sharpening = best(|| sharpen(final_pixels.clone(), &how)) - copying;
    line(
        "sharpen",
        sharpening,
        "s, 12 megapixels of RGB16, all cores",
        "resample, one core",
        sharpening / ours,
    );
    let small = best(|| shrink(&picture, 1200));
    line(
        "shrink",
        small,
        "s, 24 megapixels to 1200 pixels",
        "resample",
        small / ours,
    );

    let mut jpeg = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut jpeg, 92);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    encoder
        .encode(bytes, 6000, 4000, jpeg_encoder::ColorType::Rgb)
        .expect("the scene is as large as it says");
    let ours = best(|| decode(&jpeg, &Limits::default()));
    let alone = best(|| JpegDecoder::new(ZCursor::new(&jpeg)).decode());
    line(
        "decode-jpeg",
        ours,
        "s, 24 megapixels 4:4:4",
        "zune-jpeg alone",
        ours / alone,
    );
    let header = best(|| probe(&jpeg, &Limits::default()));
    line("probe-jpeg", header * 1e6, "µs", "decode", header / ours);

    let recipe = Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in("coated").expect("the condition is built in"),
        intent: Intent::Relative,
        ink_limit: InkLimit::from_percent(300.0).expect("300 percent is a limit"),
        compensation: colour::Compensation::NONE,
        departure: None,
    };
    let separation = Separation::build(&recipe).expect("the condition is built in");
    let reach = Reach::build(&recipe, &separation).expect("the condition is built in");
    let usage = Use {
        piece: "scene",
        on_paper: None,
        accept_low_resolution: false,
    };
    let judging = best(|| judge(&picture, &reach, &usage));
    line(
        "judge",
        judging,
        "s, 24 megapixels",
        "decode",
        judging / ours,
    );
}

fn line(name: &str, value: f64, unit: &str, against: &str, ratio: f64) {
    println!(
        "{}",
        serde_json::json!({
            "name": name, "value": value, "unit": unit, "against": against, "ratio": ratio,
        })
    );
}

fn best<T>(mut work: impl FnMut() -> T) -> f64 {
    (0..5)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

fn alone(bytes: &[u8], kind: PixelType) -> Image<'static> {
    let source =
        ImageRef::new(FROM.width, FROM.height, bytes, kind).expect("the buffer fits its size");
    let mut target = Image::new(TO.width, TO.height, kind);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3));
    Resizer::new()
        .resize(&source, &mut target, &options)
        .expect("both have the same kind of pixel");
    target
}

/// Waves with some grain.
fn scene() -> Vec<u8> {
    let mut state = 1_u32;
    let mut bytes = Vec::with_capacity(FROM.count() as usize * 3);
    for y in 0..FROM.height {
        for x in 0..FROM.width {
            let wave = (x as f32 / 90.0).sin() * (y as f32 / 70.0).cos();
            for channel in 0..3 {
                state ^= state << 13;
                state ^= state >> 17;
                state ^= state << 5;
                let grain = (state & 31) as f32;
                bytes.push((110.0 + 80.0 * wave + 20.0 * channel as f32 + grain) as u8);
            }
        }
    }
    bytes
}
