use jpeg_encoder::{ColorType, Encoder};

/// An RGB PNG; `pixel` gives the colour of each place.
pub fn png(width: u32, height: u32, pixel: impl Fn(u32, u32) -> [u8; 3]) -> Vec<u8> {
    let samples: Vec<u8> = places(width, height)
        .flat_map(|(x, y)| pixel(x, y))
        .collect();
    write_png(width, height, png::ColorType::Rgb, &samples)
}

/// A grey PNG.
pub fn grey_png(width: u32, height: u32, pixel: impl Fn(u32, u32) -> u8) -> Vec<u8> {
    let samples: Vec<u8> = places(width, height).map(|(x, y)| pixel(x, y)).collect();
    write_png(width, height, png::ColorType::Grayscale, &samples)
}

/// An RGB JPEG.
pub fn jpeg(width: u16, height: u16, pixel: impl Fn(u32, u32) -> [u8; 3]) -> Vec<u8> {
    let samples: Vec<u8> = places(width.into(), height.into())
        .flat_map(|(x, y)| pixel(x, y))
        .collect();
    let mut bytes = Vec::new();
    Encoder::new(&mut bytes, 95)
        .encode(&samples, width, height, ColorType::Rgb)
        .expect("a small picture is encoded");
    bytes
}

/// A PNG of one pixel whose header claims to be of another size.
pub fn png_that_claims(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = png(1, 1, |_, _| [0; 3]);
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let check = crc32(&bytes[12..29]).to_be_bytes();
    bytes[29..33].copy_from_slice(&check);
    bytes
}

fn places(width: u32, height: u32) -> impl Iterator<Item = (u32, u32)> {
    (0..height).flat_map(move |y| (0..width).map(move |x| (x, y)))
}

fn write_png(width: u32, height: u32, colour: png::ColorType, samples: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(colour);
    encoder.set_depth(png::BitDepth::Eight);
    encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(samples))
        .expect("a small picture is encoded");
    bytes
}

/// The check of a PNG chunk (CRC-32 of ISO 3309).
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ (0xEDB8_8320 & (crc & 1).wrapping_neg())
        })
    })
}
