use std::sync::LazyLock;

use art::{ArtError, Limits, Picture, decode, probe};
use proptest::prelude::*;

use crate::making::*;

/// One whole file of each kind, small enough to be changed thousands of times.
static WHOLE: LazyLock<Vec<Vec<u8>>> = LazyLock::new(|| {
    let data = scene(24, 16, 3);
    let inks = scene(24, 16, 4);
    let rgb: &[(u16, &[u32])] = &[(258, &[8]), (262, &[2]), (277, &[3]), (274, &[6])];
    let with = |more: &[(u16, &[u32])], strip| tiff(24, 16, &[rgb, more].concat(), strip);
    let plain_jpeg = jpeg(24, 16, jpeg_encoder::ColorType::Rgb, 90, &data);
    let mut progressive = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut progressive, 80);
    encoder.set_progressive(true);
    encoder.set_restart_interval(2);
    encoder
        .encode(&data, 24, 16, jpeg_encoder::ColorType::Rgb)
        .unwrap();
    let srgb = colour::Profile::srgb();
    vec![
        with_segment(&plain_jpeg, 0xe1, &[b"Exif\0\0", &exif(6)[..]].concat()),
        with_segment(
            &plain_jpeg,
            0xe2,
            &[b"ICC_PROFILE\0\x01\x01", srgb.bytes()].concat(),
        ),
        progressive,
        jpeg(24, 16, jpeg_encoder::ColorType::CmykAsYcck, 90, &inks),
        with_chunk(&png_rgb8(24, 16, &data), b"eXIf", &exif(8)),
        with_chunk(
            &png_rgb8(24, 16, &data),
            b"iCCP",
            &packed_profile(srgb.bytes()),
        ),
        with(&[], data.clone()),
        with(&[(259, &[5]), (317, &[2])], lzw(&predicted(&data, 24, 3))),
        with(&[(259, &[8])], deflated(&data)),
        with(&[(259, &[7])], plain_jpeg.clone()),
        TiffKind {
            big_endian: true,
            width: 24,
            height: 16,
            tags: vec![
                (258, vec![8]),
                (262, vec![5]),
                (277, vec![4]),
                (322, vec![32]),
                (323, vec![16]),
            ],
            chunks: vec![vec![77; 32 * 16 * 4]],
            tiled: true,
            profile: Some(srgb.bytes()),
        }
        .bytes(),
        webp(24, 16, false, &data),
        webp(24, 16, true, &inks),
    ]
});

fn fits(picture: &Picture) {
    let wanted = picture.size.count() as usize * picture.samples.channels();
    assert_eq!(picture.samples.len(), wanted);
}

#[test]
fn the_files_that_are_changed_are_good_to_begin_with() {
    for (index, whole) in WHOLE.iter().enumerate() {
        match decode(whole, &Limits::default()) {
            Ok(picture) => fits(&picture),
            Err(error) => panic!("{index}: {error}"),
        }
    }
}

#[test]
fn every_cut_is_an_error_and_never_half_a_picture() {
    for (index, whole) in WHOLE.iter().enumerate() {
        // The last bytes of a TIFF are the empty link to a next directory.
        let spare = if whole.starts_with(b"II") || whole.starts_with(b"MM") {
            4
        } else {
            0
        };
        for length in 0..whole.len() - spare {
            let found = decode(&whole[..length], &Limits::default());
            assert!(
                found.is_err(),
                "file {index} cut to {length} of {}",
                whole.len()
            );
        }
    }
}

#[test]
fn a_jpeg_that_was_cut_and_closed_again_is_refused() {
    let data = scene(64, 64, 3);
    let kind = jpeg_encoder::ColorType::Rgb;
    let mut progressive = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut progressive, 90);
    encoder.set_progressive(true);
    encoder.encode(&data, 64, 64, kind).unwrap();
    let mut restarting = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut restarting, 90);
    encoder.set_restart_interval(3);
    encoder.encode(&data, 64, 64, kind).unwrap();
    for whole in [jpeg(64, 64, kind, 90, &data), progressive, restarting] {
        decode(&whole, &Limits::default()).unwrap();
        for part in 3..20 {
            let mut closed = whole[..whole.len() * part / 20].to_vec();
            closed.extend([0xff, 0xd9]);
            let error = decode(&closed, &Limits::default()).unwrap_err();
            assert!(matches!(error, ArtError::Damaged(_)), "{part}/20: {error}");
        }
    }
}

#[test]
fn huge_claims_are_refused_before_any_room_is_made() {
    let data = png_rgb8(1, 1, &[0; 3]);
    let mut huge = data[..16].to_vec();
    huge.extend(100_000_u32.to_be_bytes().repeat(2));
    huge.extend(&data[24..]);
    let expected = "the picture claims 100000 × 100000 pixels, more than the 400 million pixels \
                    that are accepted";
    assert_eq!(
        probe(&huge, &Limits::default()).unwrap_err().to_string(),
        expected
    );
    assert_eq!(
        decode(&huge, &Limits::default()).unwrap_err().to_string(),
        expected
    );

    let tiff = tiff(100_000, 100_000, &[(258, &[8]), (262, &[1])], vec![0; 10]);
    assert_eq!(
        probe(&tiff, &Limits::default()).unwrap_err().to_string(),
        expected
    );

    let mut jpeg = jpeg(8, 8, jpeg_encoder::ColorType::Luma, 90, &[0; 64]);
    let frame = jpeg.windows(2).position(|two| two == [0xff, 0xc0]).unwrap();
    jpeg[frame + 5..frame + 9].copy_from_slice(&[0xff, 0xff, 0xff, 0xff]);
    let error = decode(&jpeg, &Limits::default()).unwrap_err();
    assert!(matches!(error, ArtError::TooLarge { .. }), "{error}");
    // Below the limit, but far more than so few bytes can hold.
    jpeg[frame + 5..frame + 9].copy_from_slice(&[0x40, 0, 0x40, 0]);
    let error = decode(&jpeg, &Limits::default()).unwrap_err();
    assert!(error.to_string().contains("cannot hold them"), "{error}");
}

#[test]
fn pictures_without_area_are_refused() {
    let data = png_rgb8(1, 1, &[0; 3]);
    let mut empty = data[..16].to_vec();
    empty.extend([0; 4]);
    empty.extend(&data[20..]);
    assert_eq!(
        probe(&empty, &Limits::default()).unwrap_err().to_string(),
        "the picture is damaged: its size is 0 × 1 pixels"
    );
    assert!(
        decode(
            &tiff(0, 5, &[(258, &[8]), (262, &[1])], vec![0]),
            &Limits::default()
        )
        .is_err()
    );
}

#[test]
fn bombs_and_lying_tiffs_are_refused() {
    let read = |tags: &[(u16, &[u32])], strip| {
        let base: &[(u16, &[u32])] = &[(258, &[8]), (262, &[1])];
        decode(
            &tiff(20_000, 20_000, &[base, tags].concat(), strip),
            &Limits::default(),
        )
    };
    assert!(read(&[], vec![0; 100]).is_err());
    assert!(read(&[(259, &[8])], deflated(&[0; 100_000])).is_err());
    assert!(read(&[(259, &[5])], lzw(&[0; 100_000])).is_err());
    assert!(read(&[(277, &[65535])], vec![0; 100]).is_err());
    // A directory that points at itself, as its own next: only the first is ever read.
    let mut looped = tiff(1, 1, &[(258, &[8]), (262, &[1])], vec![7]);
    let end = looped.len();
    let first = u32::from_le_bytes(looped[4..8].try_into().unwrap());
    looped[end - 4..].copy_from_slice(&first.to_le_bytes());
    assert!(decode(&looped, &Limits::default()).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, ..ProptestConfig::default() })]

    #[test]
    fn no_change_of_bytes_makes_a_panic(
        index in 0..13_usize,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        cut in prop::option::of(any::<prop::sample::Index>()),
        extreme in any::<bool>(),
    ) {
        let mut bytes = WHOLE[index].clone();
        for (place, value) in changes {
            let at = place.index(bytes.len());
            bytes[at] = if extreme { if value < 128 { 0 } else { 0xff } } else { value };
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        // Small limits keep the test quick; what is beyond them must still be an error.
        let limits = Limits { pixels: 4_000_000 };
        let header = probe(&bytes, &limits);
        if let Ok(picture) = decode(&bytes, &limits) {
            fits(&picture);
            prop_assert_eq!(header.map(|header| header.size), Ok(picture.size));
        }
    }

    #[test]
    fn no_noise_after_a_signature_makes_a_panic(
        start in prop::sample::select(vec![
            b"\xff\xd8\xff".to_vec(), b"\x89PNG\r\n\x1a\n".to_vec(), b"II\x2a\0\x08\0\0\0".to_vec(),
            b"MM\0\x2b\0\x08\0\0".to_vec(), b"RIFF\x40\0\0\0WEBPVP8 ".to_vec(), b"RIFF\x40\0\0\0WEBPVP8X".to_vec(),
        ]),
        rest in prop::collection::vec(any::<u8>(), 0..300),
    ) {
        let bytes = [start, rest].concat();
        let limits = Limits { pixels: 4_000_000 };
        let _ = probe(&bytes, &limits);
        let _ = decode(&bytes, &limits);
    }
}
