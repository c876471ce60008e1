//! The demonstration book as others see it.

use demo::{Binding, Encoding, Kind, Pixels, book};

/// Draws a piece a tenth of its size.
fn small(piece: &demo::Piece) -> (u32, u32, Pixels) {
    piece.draw_small(piece.width / 20)
}

#[test]
fn the_same_piece_comes_out_the_same_on_one_core_and_on_several() {
    let pool = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a few threads can be had")
    };
    for piece in book().pieces {
        let one = pool(1).install(|| small(&piece));
        let several = pool(3).install(|| small(&piece));
        assert!(one == several, "{} differs", piece.name);
    }
}

#[test]
fn every_piece_has_more_to_show_than_one_tone() {
    for piece in book().pieces {
        let (across, down, pixels) = small(&piece);
        let bytes: Vec<u8> = match pixels {
            Pixels::Rgb16(samples) => samples.iter().map(|sample| (sample >> 8) as u8).collect(),
            Pixels::Grey8(bytes)
            | Pixels::Rgb8(bytes)
            | Pixels::Rgba8(bytes)
            | Pixels::Cmyk8(bytes) => bytes,
        };
        let channels = bytes.len() / (across * down) as usize;
        assert_eq!(bytes.len(), (across * down) as usize * channels);
        let (low, high) = bytes
            .iter()
            .fold((255u8, 0u8), |(low, high), &v| (low.min(v), high.max(v)));
        assert!(high - low > 150, "{}: {low} to {high}", piece.name);
    }
}

#[test]
fn the_night_is_mostly_deep_shadow() {
    let night = book()
        .pieces
        .into_iter()
        .find(|piece| piece.kind == Kind::Dark)
        .expect("there is a night");
    let (_, _, Pixels::Rgb8(bytes)) = small(&night) else {
        panic!("the night is 8-bit RGB")
    };
    let dark = bytes
        .chunks_exact(3)
        .filter(|rgb| rgb.iter().all(|&v| v < 64))
        .count();
    assert!(dark * 3 > bytes.len() / 3 * 2, "{dark}");
}

#[test]
fn plants_are_clear_around_the_drawing() {
    for piece in book().pieces.iter().filter(|p| p.kind == Kind::Cutout) {
        let (_, _, Pixels::Rgba8(bytes)) = small(piece) else {
            panic!("{} has no cover channel", piece.name)
        };
        assert_eq!(bytes[3], 0, "{}: the corner is clear", piece.name);
        let drawn = bytes.chunks_exact(4).filter(|p| p[3] > 128).count();
        assert!(drawn * 50 > bytes.len() / 4, "{}: {drawn}", piece.name);
    }
}

#[test]
fn the_book_files_name_only_what_is_drawn() {
    let names: Vec<&str> = book().pieces.iter().map(|piece| piece.name).collect();
    for binding in Binding::ALL {
        let toml = binding.book_toml();
        let masks = binding.masks();
        let mut masks: Vec<&str> = masks.iter().map(|(path, _)| *path).collect();
        let mut named = 0;
        for line in toml.lines() {
            let Some((key, value)) = line.split_once('=') else {
                continue;
            };
            let name = value.split('"').nth(1).unwrap_or_default();
            if ["art", "left", "right", "front", "back"].contains(&key.trim()) && name.contains('.')
            {
                assert!(names.contains(&name), "{name}");
                named += 1;
            }
            if key.trim() == "mask" {
                assert!(masks.contains(&name), "{name}");
                masks.retain(|mask| *mask != name);
            }
        }
        assert!(named > 20, "{binding:?}: {named}");
        assert!(masks.is_empty(), "{binding:?}: nobody asks for {masks:?}");
    }
}

#[test]
fn masks_are_dark_on_light_and_nothing_between() {
    let masks = Binding::Soft.masks();
    let (path, file) = &masks[0];
    assert_eq!(*path, "masks/moon.png");
    let mut reader = png::Decoder::new(std::io::Cursor::new(file))
        .read_info()
        .expect("it is a PNG");
    let mut pixels = vec![0; reader.output_buffer_size().expect("it is small")];
    reader.next_frame(&mut pixels).expect("it is whole");
    let dark = pixels.iter().filter(|&&pixel| pixel == 0).count();
    let light = pixels.iter().filter(|&&pixel| pixel == 255).count();
    assert_eq!(dark + light, pixels.len());
    let share = dark as f64 / pixels.len() as f64;
    assert!((0.05..0.2).contains(&share), "{share}");
}

#[test]
fn small_files_carry_what_they_say() {
    for mut piece in book().pieces {
        (piece.width, piece.height) = (96, 96 * piece.height / piece.width);
        let (name, bytes) = piece.encode();
        let start: &[u8] = match piece.encoding {
            Encoding::Png => b"\x89PNG",
            Encoding::Jpeg { .. } => b"\xff\xd8\xff",
            Encoding::Tiff => b"II\x2a\x00",
            Encoding::WebP => b"RIFF",
        };
        assert!(bytes.starts_with(start), "{name}");
        let turned = matches!(
            piece.encoding,
            Encoding::Jpeg {
                on_its_side: true,
                ..
            }
        );
        let exif = bytes.windows(6).any(|w| w == b"Exif\0\0");
        assert_eq!(turned, exif, "{name}");
    }
}
