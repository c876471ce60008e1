use art::{ArtError, Format, Limits, Picture, Remark, Samples, decode, probe};
use colour::Profile;

use crate::making::*;

fn read(bytes: &[u8]) -> Picture {
    let picture = decode(bytes, &Limits::default()).unwrap();
    let header = probe(bytes, &Limits::default()).unwrap();
    assert_eq!(header.size, picture.size, "probe and decode agree");
    picture
}

fn refused(bytes: &[u8]) -> String {
    decode(bytes, &Limits::default()).unwrap_err().to_string()
}

#[test]
fn png_of_every_kind_is_read() {
    use png::{BitDepth, ColorType};
    let kind = |colour, depth| PngKind {
        colour,
        depth,
        palette: None,
        transparent: None,
    };
    let grey = png_of(
        4,
        1,
        &kind(ColorType::Grayscale, BitDepth::Two),
        &[0b00_01_10_11],
    );
    assert_eq!(read(&grey).samples, Samples::Grey8(vec![0, 85, 170, 255]));

    let wide = png_of(
        1,
        1,
        &kind(ColorType::Rgb, BitDepth::Sixteen),
        &[1, 2, 3, 4, 5, 6],
    );
    assert_eq!(
        read(&wide).samples,
        Samples::Rgb16(vec![0x0102, 0x0304, 0x0506])
    );

    let palette = PngKind {
        palette: Some(vec![10, 20, 30, 200, 100, 0]),
        transparent: Some(vec![0]),
        ..kind(ColorType::Indexed, BitDepth::One)
    };
    let picture = read(&png_of(2, 1, &palette, &[0b0100_0000]));
    assert_eq!(
        picture.samples,
        Samples::Rgb8(vec![255, 255, 255, 200, 100, 0])
    );
    assert_eq!(picture.remarks, [Remark::Flattened, Remark::ProfileAssumed]);

    let alpha = png_of(
        2,
        1,
        &kind(ColorType::GrayscaleAlpha, BitDepth::Eight),
        &[0, 51, 9, 255],
    );
    assert_eq!(read(&alpha).samples, Samples::Grey8(vec![204, 9]));
    assert_eq!(Format::of(&alpha), Some(Format::Png));
}

#[test]
fn opaque_alpha_is_not_called_flattened() {
    let kind = PngKind {
        colour: png::ColorType::Rgba,
        depth: png::BitDepth::Eight,
        palette: None,
        transparent: None,
    };
    let picture = read(&png_of(1, 1, &kind, &[1, 2, 3, 255]));
    assert_eq!(picture.samples, Samples::Rgb8(vec![1, 2, 3]));
    assert_eq!(picture.remarks, [Remark::ProfileAssumed]);
}

#[test]
fn profiles_are_honoured_or_said_to_be_unusable() {
    let plain = png_rgb8(1, 1, &[1, 2, 3]);
    let srgb = Profile::srgb();
    let with_profile = with_chunk(&plain, b"iCCP", &packed_profile(srgb.bytes()));
    let picture = read(&with_profile);
    assert_eq!(picture.profile.unwrap().bytes(), srgb.bytes());
    assert_eq!(picture.remarks, []);

    // A chunk that states sRGB without a profile says enough.
    assert_eq!(read(&with_chunk(&plain, b"sRGB", &[0])).remarks, []);

    let press = colour::PressCondition::built_in("coated").unwrap();
    let cmyk = with_chunk(&plain, b"iCCP", &packed_profile(press.profile.bytes()));
    let picture = read(&cmyk);
    assert!(picture.profile.is_none());
    let [Remark::ProfileUnusable(why)] = &picture.remarks[..] else {
        panic!("{:?}", picture.remarks);
    };
    assert!(
        why.ends_with("is for CMYK, but the picture is RGB"),
        "{why}"
    );

    for absurd in [
        b"".as_slice(),
        b"x\0\0",
        b"x\0\x07abc",
        &packed_profile(b""),
        &packed_profile(&[7; 200]),
    ] {
        let picture = read(&with_chunk(&plain, b"iCCP", absurd));
        assert!(matches!(picture.remarks[..], [Remark::ProfileUnusable(_)]));
    }
}

#[test]
fn a_profile_in_parts_is_put_together() {
    let data = jpeg(8, 8, jpeg_encoder::ColorType::Rgb, 90, &[128; 192]);
    let srgb = Profile::srgb();
    let (first, second) = srgb.bytes().split_at(200);
    let part = |number: u8, bytes: &[u8]| [b"ICC_PROFILE\0", &[number, 2][..], bytes].concat();
    // The second part stands before the first.
    let both = with_segment(
        &with_segment(&data, 0xe2, &part(1, first)),
        0xe2,
        &part(2, second),
    );
    assert_eq!(read(&both).profile.unwrap().bytes(), srgb.bytes());
    let half = with_segment(&data, 0xe2, &part(2, second));
    assert!(matches!(
        read(&half).remarks[..],
        [Remark::ProfileUnusable(_)]
    ));
}

#[test]
fn all_orientations_are_applied_in_each_format() {
    // Two pixels wide: a dark and a light one.
    let (dark, light) = ([0_u8; 3], [255_u8; 3]);
    let row = [dark, light].concat();
    let plain_png = png_rgb8(2, 1, &row);
    let wide_row: Vec<u8> = [dark.repeat(8), light.repeat(8)].concat();
    let plain_jpeg = jpeg(16, 8, jpeg_encoder::ColorType::Rgb, 95, &wide_row.repeat(8));
    // For each orientation: upright size is turned, and the dark pixel comes first.
    let expected = [
        (false, true),
        (false, false),
        (false, false),
        (false, true),
        (true, true),
        (true, true),
        (true, false),
        (true, false),
    ];
    for (orientation, (turned, dark_first)) in (1..=8_u16).zip(expected) {
        let files = [
            with_chunk(&plain_png, b"eXIf", &exif(orientation)),
            with_segment(
                &plain_jpeg,
                0xe1,
                &[b"Exif\0\0", &exif(orientation)[..]].concat(),
            ),
            tiff(
                2,
                1,
                &[
                    (258, &[8]),
                    (262, &[2]),
                    (277, &[3]),
                    (274, &[u32::from(orientation)]),
                ],
                row.clone(),
            ),
        ];
        for file in files {
            let picture = read(&file);
            assert_eq!(
                picture.size.width < picture.size.height,
                turned,
                "{orientation}"
            );
            assert_eq!(picture.remarks.contains(&Remark::Turned), orientation != 1);
            let Samples::Rgb8(samples) = picture.samples else {
                panic!("RGB stays RGB");
            };
            assert_eq!(samples[0] < 128, dark_first, "{orientation}");
        }
    }
}

#[test]
fn jpegs_of_every_colour_model_are_read() {
    use jpeg_encoder::ColorType;
    let near = |found: &[u8], expected: &[u8]| {
        assert_eq!(found.len(), expected.len());
        for (one, two) in found.iter().zip(expected) {
            assert!(one.abs_diff(*two) <= 6, "{one} {two}");
        }
    };
    let grey = [90_u8; 64];
    match read(&jpeg(8, 8, ColorType::Luma, 95, &grey)).samples {
        Samples::Grey8(found) => near(&found, &grey),
        other => panic!("{other:?}"),
    }
    let rgb = [200, 40, 90].repeat(64);
    match read(&jpeg(8, 8, ColorType::Rgb, 95, &rgb)).samples {
        Samples::Rgb8(found) => near(&found, &rgb),
        other => panic!("{other:?}"),
    }
    // Inks: this encoder inverts and marks as Adobe does.
    let cmyk = [200, 40, 90, 20].repeat(64);
    for kind in [ColorType::Cmyk, ColorType::CmykAsYcck] {
        let picture = read(&jpeg(8, 8, kind, 95, &cmyk));
        assert_eq!(picture.remarks, [Remark::CmykAssumed]);
        match picture.samples {
            Samples::Cmyk8(found) => near(&found, &cmyk),
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn webp_is_read_with_and_without_alpha() {
    let picture = read(&webp(1, 2, false, &[9, 8, 7, 6, 5, 4]));
    assert_eq!(picture.samples, Samples::Rgb8(vec![9, 8, 7, 6, 5, 4]));
    let picture = read(&webp(1, 1, true, &[200, 0, 100, 51]));
    assert_eq!(picture.samples, Samples::Rgb8(vec![244, 204, 224]));
}

const RGB: &[(u16, &[u32])] = &[(258, &[8]), (262, &[2]), (277, &[3])];

#[test]
fn tiff_compressions_and_predictor_give_the_same_pixels() {
    let data = scene(20, 10, 3);
    let with = |more: &[(u16, &[u32])], strip: Vec<u8>| {
        read(&tiff(20, 10, &[RGB, more].concat(), strip)).samples
    };
    let expected = Samples::Rgb8(data.clone());
    assert_eq!(with(&[], data.clone()), expected);
    assert_eq!(with(&[(259, &[5])], lzw(&data)), expected);
    assert_eq!(with(&[(259, &[8])], deflated(&data)), expected);
    let differences = predicted(&data, 20, 3);
    assert_eq!(
        with(&[(259, &[5]), (317, &[2])], lzw(&differences)),
        expected
    );
    assert_eq!(
        with(&[(259, &[32946]), (317, &[2])], deflated(&differences)),
        expected
    );
    // PackBits: 0x7f and 128 bytes as they are.
    let packed: Vec<u8> = data
        .chunks(100)
        .flat_map(|part| [&[part.len() as u8 - 1][..], part].concat())
        .collect();
    assert_eq!(with(&[(259, &[32773])], packed), expected);
}

#[test]
fn an_extra_channel_under_the_predictor_is_left_out_rightly() {
    // RGB with a selection saved as a fourth, unspecified channel.
    let data = scene(20, 10, 4);
    let tags: &[(u16, &[u32])] = &[
        (258, &[8]),
        (262, &[2]),
        (277, &[4]),
        (338, &[0]),
        (259, &[5]),
        (317, &[2]),
    ];
    let picture = read(&tiff(20, 10, tags, lzw(&predicted(&data, 20, 4))));
    let expected: Vec<u8> = data
        .chunks_exact(4)
        .flat_map(|pixel| pixel[..3].to_vec())
        .collect();
    assert_eq!(picture.samples, Samples::Rgb8(expected));
    assert_eq!(picture.remarks, [Remark::ProfileAssumed]);
}

#[test]
fn tiles_and_planes_are_put_in_place() {
    let data = scene(20, 18, 3);
    let mut tiles = Vec::new();
    for (top, left) in [(0, 0), (0, 16), (16, 0), (16, 16)] {
        let mut tile = vec![0; 16 * 16 * 3];
        for y in 0..16.min(18 - top) {
            for x in 0..16.min(20 - left) {
                let from = ((top + y) * 20 + left + x) * 3;
                tile[(y * 16 + x) * 3..][..3].copy_from_slice(&data[from..from + 3]);
            }
        }
        tiles.push(lzw(&tile));
    }
    let mut kind = TiffKind {
        big_endian: true,
        width: 20,
        height: 18,
        tags: vec![
            (258, vec![8, 8, 8]),
            (262, vec![2]),
            (277, vec![3]),
            (259, vec![5]),
            (322, vec![16]),
            (323, vec![16]),
        ],
        chunks: tiles,
        tiled: true,
        profile: None,
    };
    assert_eq!(read(&kind.bytes()).samples, Samples::Rgb8(data.clone()));

    kind.tags = vec![
        (258, vec![8]),
        (262, vec![2]),
        (277, vec![3]),
        (284, vec![2]),
        (278, vec![10]),
    ];
    kind.tiled = false;
    kind.chunks = (0..3)
        .flat_map(|channel| {
            let plane: Vec<u8> = data.iter().skip(channel).step_by(3).copied().collect();
            let (top, bottom) = plane.split_at(200);
            [top.to_vec(), bottom.to_vec()]
        })
        .collect();
    assert_eq!(read(&kind.bytes()).samples, Samples::Rgb8(data));
}

#[test]
fn tiff_kinds_of_colour_are_read() {
    let min_is_white = tiff(4, 1, &[(258, &[8]), (262, &[0])], vec![0, 1, 254, 255]);
    assert_eq!(
        read(&min_is_white).samples,
        Samples::Grey8(vec![255, 254, 1, 0])
    );

    let bits = tiff(
        3,
        2,
        &[(258, &[1]), (262, &[1])],
        vec![0b1010_0000, 0b0100_0000],
    );
    assert_eq!(
        read(&bits).samples,
        Samples::Grey8(vec![255, 0, 255, 0, 255, 0])
    );

    let map: Vec<u32> = [[0, 65535], [65535, 0], [257, 514]].concat();
    let palette = tiff(
        2,
        1,
        &[(258, &[1]), (262, &[3]), (320, &map)],
        vec![0b0100_0000],
    );
    assert_eq!(
        read(&palette).samples,
        Samples::Rgb8(vec![0, 255, 1, 255, 0, 2])
    );

    // 16 bits: little-endian words.
    let words = tiff(
        2,
        1,
        &[(258, &[16]), (262, &[1])],
        vec![0x34, 0x12, 0xff, 0xff],
    );
    assert_eq!(read(&words).samples, Samples::Grey16(vec![0x1234, 0xffff]));

    let associated: &[(u16, &[u32])] = &[(258, &[8]), (262, &[2]), (277, &[4]), (338, &[1])];
    let picture = read(&tiff(1, 1, associated, vec![40, 0, 20, 51]));
    assert_eq!(picture.samples, Samples::Rgb8(vec![244, 204, 224]));
    assert!(picture.remarks.contains(&Remark::Flattened));

    let cmyk: &[(u16, &[u32])] = &[(258, &[16]), (262, &[5]), (277, &[4])];
    let picture = read(&tiff(1, 1, cmyk, vec![0, 0, 0xff, 0xff, 0, 0x80, 1, 0]));
    assert_eq!(picture.samples, Samples::Cmyk8(vec![0, 255, 128, 0]));
    assert_eq!(picture.remarks, [Remark::CmykAssumed, Remark::Reduced]);
}

#[test]
fn what_is_not_read_is_named() {
    let float: &[(u16, &[u32])] = &[(258, &[32]), (262, &[1]), (339, &[3])];
    assert_eq!(
        refused(&tiff(1, 1, float, vec![0; 4])),
        "floating-point samples are not read"
    );
    let fax: &[(u16, &[u32])] = &[(262, &[0]), (259, &[4])];
    assert_eq!(
        refused(&tiff(8, 1, fax, vec![0; 4])),
        "TIFFs with fax compression are not read"
    );
    assert_eq!(
        decode(b"GIF89a", &Limits::default()).unwrap_err(),
        ArtError::UnknownFormat
    );
    assert_eq!(
        decode(b"", &Limits::default()).unwrap_err(),
        ArtError::UnknownFormat
    );
}
