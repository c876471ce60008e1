use crate::{Length, Size};

/// The size that a standard's name stands for, upright unless `landscape` follows it: `A4`,
/// `b5 portrait`, `SRA3 landscape`. `None` for any other text.
///
/// Sources: ISO 216 (A and B), ISO 269 (C), ISO 217 (RA and SRA). The sizes of ISO 216 and 269
/// halve the longer side and round down to the millimetre, so only the largest of each series is
/// written here. RA and SRA do not halve to the millimetre and are listed.
pub(crate) fn named_size(text: &str) -> Option<Size> {
    let lower = text.trim().to_ascii_lowercase();
    let mut words = lower.split_ascii_whitespace();
    let (width, height) = upright(words.next()?)?;
    let (width, height) = match words.next() {
        None | Some("portrait" | "upright") => (width, height),
        Some("landscape") => (height, width),
        Some(_) => return None,
    };
    words.next().is_none().then(|| Size {
        width: Length::from_mm(f64::from(width)),
        height: Length::from_mm(f64::from(height)),
    })
}

/// Width and height in whole millimetres, the shorter side first.
fn upright(name: &str) -> Option<(u32, u32)> {
    const UNTRIMMED: [(&str, u32, u32); 10] = [
        ("ra0", 860, 1220),
        ("ra1", 610, 860),
        ("ra2", 430, 610),
        ("ra3", 305, 430),
        ("ra4", 215, 305),
        ("sra0", 900, 1280),
        ("sra1", 640, 900),
        ("sra2", 450, 640),
        ("sra3", 320, 450),
        ("sra4", 225, 320),
    ];
    if let Some(&(_, width, height)) = UNTRIMMED.iter().find(|(known, ..)| *known == name) {
        return Some((width, height));
    }
    let series = name.chars().next()?;
    let (mut width, mut height) = match series {
        'a' => (841, 1189),
        'b' => (1000, 1414),
        'c' => (917, 1297),
        _ => return None,
    };
    let halvings = match &name[series.len_utf8()..] {
        "10" => 10,
        digit if digit.len() == 1 => digit.parse::<u32>().ok()?,
        _ => return None,
    };
    for _ in 0..halvings {
        (width, height) = (height / 2, width);
    }
    Some((width, height))
}
