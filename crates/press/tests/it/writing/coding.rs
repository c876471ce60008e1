use measure::PixelSize;
use press::{ImageCoding, ImageData, ImageSource};
use proptest::prelude::*;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::{read, small, write};

/// Undoes the row filters of PNG (W3C PNG, 9.2) after another library has inflated the stream.
fn unpack(data: &ImageData) -> Vec<u8> {
    let row = data.size.width as usize * 4;
    let packed = fdeflate_free_inflate(&data.bytes);
    assert_eq!(packed.len(), (row + 1) * data.size.height as usize);
    let mut out: Vec<u8> = Vec::new();
    for line in packed.chunks(row + 1) {
        let above = out.len().checked_sub(row);
        let start = out.len();
        for (x, byte) in line[1..].iter().enumerate() {
            let from = match line[0] {
                1 if x >= 4 => out[start + x - 4],
                2 => above.map_or(0, |above| out[above + x]),
                1 => 0,
                other => panic!("filter {other}"),
            };
            out.push(byte.wrapping_add(from));
        }
    }
    out
}

/// Inflates by way of `lopdf`, which brings another library than the one that deflated.
fn fdeflate_free_inflate(bytes: &[u8]) -> Vec<u8> {
    let mut dict = lopdf::Dictionary::new();
    dict.set("Filter", lopdf::Object::Name(b"FlateDecode".to_vec()));
    let stream = lopdf::Stream::new(dict, bytes.to_vec());
    stream.decompressed_content().unwrap()
}

fn size(width: u32, height: u32) -> PixelSize {
    PixelSize { width, height }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn lossless_gives_every_byte_back(
        (width, height, samples) in (1u32..40, 1u32..40).prop_flat_map(|(width, height)| {
            let bytes = (width * height * 4) as usize;
            let noise = prop::collection::vec(any::<u8>(), bytes);
            let flat = any::<u8>().prop_map(move |byte| vec![byte; bytes]);
            let stripes = (1usize..9).prop_map(move |step| {
                (0..bytes).map(|at| (at / step * 37) as u8).collect()
            });
            (Just(width), Just(height), prop_oneof![noise, flat, stripes])
        }),
    ) {
        let data = ImageData::encode(size(width, height), ImageCoding::Lossless, &samples);
        prop_assert_eq!(unpack(&data), samples);
    }
}

#[test]
fn flat_and_repeating_pictures_become_small() {
    let side = 256;
    let flat = vec![200; side * side * 4];
    let size = size(side as u32, side as u32);
    let flat = ImageData::encode(size, ImageCoding::Lossless, &flat);
    assert!(
        flat.bytes.len() < side * side * 4 / 100,
        "{}",
        flat.bytes.len()
    );
    // Columns that change at every sample: the row above foretells them, the left side does not.
    let columns: Vec<u8> = (0..side * side * 4)
        .map(|at| (((at % (side * 4)) * 7919) >> 3) as u8)
        .collect();
    let columns = ImageData::encode(size, ImageCoding::Lossless, &columns);
    assert!(
        columns.bytes.len() < side * side * 4 / 50,
        "{}",
        columns.bytes.len()
    );
}

#[test]
fn jpeg_comes_back_inverted_and_close() {
    let (width, height) = (64u32, 48u32);
    let samples: Vec<u8> = (0..height)
        .flat_map(|y| (0..width).flat_map(move |x| [x * 4, y * 5, 255 - x * 3, (x + y) * 2]))
        .map(|ink| ink as u8)
        .collect();
    let data = ImageData::encode(size(width, height), ImageCoding::Jpeg, &samples);
    // What a PDF reader does before it applies the Decode array: YCCK to CMYK (Adobe Technical
    // Note 5116, transform 2), which comes out inverted.
    let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::YCCK);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(&data.bytes[..]), options);
    let found: Vec<u8> = decoder
        .decode()
        .unwrap()
        .chunks(4)
        .flat_map(|ycck| {
            let [y, cb, cr, k] = [ycck[0], ycck[1], ycck[2], ycck[3]].map(f64::from);
            let red = y + 1.402 * (cr - 128.0);
            let green = y - 0.344_136 * (cb - 128.0) - 0.714_136 * (cr - 128.0);
            let blue = y + 1.772 * (cb - 128.0);
            [255.0 - red, 255.0 - green, 255.0 - blue, k].map(|v| v.round().clamp(0.0, 255.0) as u8)
        })
        .collect();
    assert_eq!(found.len(), samples.len());
    let most = samples
        .iter()
        .zip(&found)
        .map(|(sample, found)| sample.abs_diff(255 - found))
        .max();
    assert!(most <= Some(6), "off by {most:?} of 255");
    // The marker by which readers know that the four parts are YCCK.
    let adobe = data.bytes.windows(5).position(|w| w == b"Adobe").unwrap();
    assert_eq!(data.bytes[adobe + 11], 2);
    // Frame header: four parts, none subsampled (ITU-T T.81, B.2.2).
    let at = data
        .bytes
        .windows(2)
        .position(|w| w == [0xff, 0xc0])
        .unwrap();
    assert_eq!(data.bytes[at + 9], 4);
    for part in 0..4 {
        assert_eq!(data.bytes[at + 11 + part * 3], 0x11, "part {part}");
    }
}

#[test]
fn a_picture_too_long_for_jpeg_is_stored_lossless() {
    let long = size(70_000, 1);
    let data = ImageData::encode(long, ImageCoding::Jpeg, &vec![9; 280_000]);
    assert_eq!(data.coding, ImageCoding::Lossless);
    assert_eq!(unpack(&data), vec![9; 280_000]);
}

#[test]
fn a_reader_finds_the_samples_by_the_keys_of_the_dictionary() {
    let samples: Vec<u8> = (0..7 * 5 * 4).map(|n| (n * 31) as u8).collect();
    let data = ImageData::encode(size(7, 5), ImageCoding::Lossless, &samples);
    let mut page = small();
    let rect = measure::Rect::from_mm(0.0, 0.0, 10.0, 10.0);
    page.images = vec![(rect, ImageSource::Made(data))];
    let (pdf, _) = write(vec![page]).unwrap();
    let document = read(&pdf);
    let images: Vec<_> = document
        .objects
        .values()
        .filter_map(|object| object.as_stream().ok())
        .filter(|stream| {
            stream
                .dict
                .get(b"Subtype")
                .is_ok_and(|s| s.as_name().is_ok_and(|s| s == b"Image"))
        })
        .collect();
    assert_eq!(images.len(), 1);
    assert_eq!(images[0].decompressed_content().unwrap(), samples);
}
