//! JPEG, decoded as one.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::{LARGEST_WHOLE, Trouble};
use crate::check::document::Document;
use crate::check::filter;
use crate::check::object::{Obj, Stream};

/// Samples, width and height, components.
type Jpeg = (Vec<u8>, (usize, usize), usize);

/// Decodes a JPEG; its samples are as the file has them, YCCK turned into CMYK.
pub(super) fn jpeg(document: &Document<'_>, stream: &Stream) -> Result<Jpeg, Trouble> {
    let filters = filter::filters(document, &stream.dict);
    let mut own = Vec::new();
    let data = if filters.len() == 1 {
        document.raw_data(stream)
    } else {
        filter::open(document, stream, LARGEST_WHOLE).read_all(&mut own, LARGEST_WHOLE);
        &own
    };
    let transform = filters
        .last()
        .and_then(|(_, parameters)| parameters.raw("ColorTransform").and_then(Obj::int));
    // The decoder is not ours: should it ever panic, that is a broken picture and no more.
    catch_unwind(AssertUnwindSafe(|| decode_jpeg(data, transform))).unwrap_or(Err(Trouble::Broken))
}

fn decode_jpeg(data: &[u8], transform: Option<i64>) -> Result<Jpeg, Trouble> {
    use zune_jpeg::JpegDecoder;
    use zune_jpeg::zune_core::bytestream::ZCursor;
    use zune_jpeg::zune_core::colorspace::ColorSpace;
    use zune_jpeg::zune_core::options::DecoderOptions;

    let options = DecoderOptions::default()
        .set_max_width(65_535)
        .set_max_height(65_535);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(data), options);
    decoder.decode_headers().map_err(|_| Trouble::Broken)?;
    let (width, height) = decoder.dimensions().ok_or(Trouble::Broken)?;
    let found = decoder.input_colorspace().ok_or(Trouble::Broken)?;
    let (out, components) = match found {
        ColorSpace::Luma | ColorSpace::LumaA => (ColorSpace::Luma, 1),
        ColorSpace::YCbCr if transform == Some(0) => (ColorSpace::YCbCr, 3),
        ColorSpace::CMYK => (ColorSpace::CMYK, 4),
        ColorSpace::YCCK => (ColorSpace::YCCK, 4),
        _ => (ColorSpace::RGB, 3),
    };
    if width
        .checked_mul(height)
        .and_then(|count| count.checked_mul(components))
        .is_none_or(|bytes| bytes > LARGEST_WHOLE)
    {
        return Err(Trouble::TooLarge);
    }
    decoder.set_options(options.jpeg_set_out_colorspace(out));
    let mut bytes = decoder.decode().map_err(|_| Trouble::Broken)?;
    if out == ColorSpace::YCCK {
        for sample in bytes.chunks_exact_mut(4) {
            from_ycck(sample);
        }
    }
    if bytes.len() != width * height * components {
        return Err(Trouble::Broken);
    }
    Ok((bytes, (width, height), components))
}

/// Y, Cb, Cr to the complement of R, G, B (ITU-T T.871); K stays.
fn from_ycck(sample: &mut [u8]) {
    let y = i32::from(sample[0]) << 16;
    let cb = i32::from(sample[1]) - 128;
    let cr = i32::from(sample[2]) - 128;
    let half = 1 << 15;
    let out = |value: i32| 255 - ((value + half) >> 16).clamp(0, 255) as u8;
    sample[0] = out(y + 91_881 * cr);
    sample[1] = out(y - 22_554 * cb - 46_802 * cr);
    sample[2] = out(y + 116_130 * cb);
}
