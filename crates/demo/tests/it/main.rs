//! The demonstration book as others see it.

use demo::{Encoding, Kind, Pixels, book, book_toml};

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
fn the_book_file_names_only_pieces_that_are_drawn() {
    let toml = book_toml();
    let names: Vec<&str> = book().pieces.iter().map(|piece| piece.name).collect();
    let mut named = 0;
    for line in toml.lines() {
        let Some((key, value)) = line.split_once('=') else {
            continue;
        };
        if ["art", "left", "right", "front", "back"].contains(&key.trim()) {
            let name = value.trim().trim_matches('"');
            assert!(names.contains(&name), "{name}");
            named += 1;
        }
    }
    assert!(named > 20, "{named}");
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
