//! ICC profiles for the demonstration's own pictures, made from published figures: ICC.1:2001
//! (version 2) matrix profiles with one tone curve.

/// Chromaticities (x, y) of red, green and blue.
type Primaries = [(f64, f64); 3];

/// IEC 61966-2-1 (sRGB).
const SRGB: Primaries = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)];
/// Wider than sRGB in green and cyan; the primaries of the encoding 'opRGB', IEC 61966-2-5.
const WIDE: Primaries = [(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)];
/// CIE D65.
const D65: (f64, f64) = (0.3127, 0.3290);
/// The white of the profile connection space, ICC.1 (D50).
const PCS_WHITE: [f64; 3] = [0.9642, 1.0, 0.8249];

/// A profile of sRGB.
pub(crate) fn srgb() -> Vec<u8> {
    let curve: Vec<u16> = (0..1024)
        .map(|i| {
            let v = f64::from(i) / 1023.0;
            let linear = if v <= 0.04045 {
                v / 12.92
            } else {
                ((v + 0.055) / 1.055).powf(2.4)
            };
            (linear * 65535.0).round() as u16
        })
        .collect();
    matrix("Demonstration sRGB", SRGB, &curve)
}

/// A wide-gamut profile with a gamma of 563/256.
pub(crate) fn wide() -> Vec<u8> {
    matrix("Demonstration wide RGB", WIDE, &[563])
}

/// Grey with a gamma of 2.2.
pub(crate) fn grey() -> Vec<u8> {
    let tags = vec![
        (*b"desc", description("Demonstration grey 2.2")),
        (*b"cprt", text("No copyright, use freely")),
        (*b"wtpt", xyz(PCS_WHITE)),
        (*b"kTRC", curve(&[563])),
    ];
    file(*b"GRAY", &tags)
}

fn matrix(name: &str, primaries: Primaries, tone: &[u16]) -> Vec<u8> {
    let columns = adapted(primaries);
    let tone = curve(tone);
    let tags = vec![
        (*b"desc", description(name)),
        (*b"cprt", text("No copyright, use freely")),
        (*b"wtpt", xyz(PCS_WHITE)),
        (*b"rXYZ", xyz(columns[0])),
        (*b"gXYZ", xyz(columns[1])),
        (*b"bXYZ", xyz(columns[2])),
        (*b"rTRC", tone.clone()),
        (*b"gTRC", tone.clone()),
        (*b"bTRC", tone),
    ];
    file(*b"RGB ", &tags)
}

/// XYZ of each primary, scaled so that they sum to white, then adapted from D65 to the connection
/// space by the linear Bradford transform (ICC.1:2010, annex E).
fn adapted(primaries: Primaries) -> [[f64; 3]; 3] {
    const BRADFORD: [[f64; 3]; 3] = [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ];
    let white = from_xy(D65);
    let raw = primaries.map(from_xy);
    let columns = [
        [raw[0][0], raw[1][0], raw[2][0]],
        [raw[0][1], raw[1][1], raw[2][1]],
        [raw[0][2], raw[1][2], raw[2][2]],
    ];
    let share = solve(columns, white);
    let (from, to) = (apply(BRADFORD, white), apply(BRADFORD, PCS_WHITE));
    let mut out = [[0.0; 3]; 3];
    for (index, primary) in raw.iter().enumerate() {
        let scaled = primary.map(|v| v * share[index]);
        let cone = apply(BRADFORD, scaled);
        let cone = [
            cone[0] * to[0] / from[0],
            cone[1] * to[1] / from[1],
            cone[2] * to[2] / from[2],
        ];
        out[index] = solve(BRADFORD, cone);
    }
    out
}

fn from_xy((x, y): (f64, f64)) -> [f64; 3] {
    [x / y, 1.0, (1.0 - x - y) / y]
}

fn apply(m: [[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// Solves m · x = v by Cramer's rule.
fn solve(m: [[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    let det = |m: [[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(m);
    [0, 1, 2].map(|column| {
        let mut replaced = m;
        for row in 0..3 {
            replaced[row][column] = v[row];
        }
        det(replaced) / whole
    })
}

fn fixed(value: f64) -> [u8; 4] {
    ((value * 65536.0).round() as i32).to_be_bytes()
}

fn xyz(value: [f64; 3]) -> Vec<u8> {
    let mut out = b"XYZ \0\0\0\0".to_vec();
    for part in value {
        out.extend(fixed(part));
    }
    out
}

/// One entry is a gamma in 1/256, more are samples.
fn curve(entries: &[u16]) -> Vec<u8> {
    let mut out = b"curv\0\0\0\0".to_vec();
    out.extend((entries.len() as u32).to_be_bytes());
    for entry in entries {
        out.extend(entry.to_be_bytes());
    }
    out
}

fn text(words: &str) -> Vec<u8> {
    let mut out = b"text\0\0\0\0".to_vec();
    out.extend(words.as_bytes());
    out.push(0);
    out
}

fn description(words: &str) -> Vec<u8> {
    let mut out = b"desc\0\0\0\0".to_vec();
    out.extend((words.len() as u32 + 1).to_be_bytes());
    out.extend(words.as_bytes());
    out.push(0);
    // No Unicode and no script description: both empty, the latter in its fixed 67 bytes.
    out.extend([0; 4 + 4 + 2 + 1 + 67]);
    out
}

fn file(space: [u8; 4], tags: &[([u8; 4], Vec<u8>)]) -> Vec<u8> {
    let mut table = (tags.len() as u32).to_be_bytes().to_vec();
    let mut data = Vec::new();
    let start = 128 + 4 + tags.len() * 12;
    for (name, body) in tags {
        table.extend(name);
        table.extend(((start + data.len()) as u32).to_be_bytes());
        table.extend((body.len() as u32).to_be_bytes());
        data.extend(body);
        while data.len() % 4 != 0 {
            data.push(0);
        }
    }
    let mut out = ((start + data.len()) as u32).to_be_bytes().to_vec();
    out.extend([0; 4]);
    out.extend([2, 0x10, 0, 0]);
    out.extend(b"mntr");
    out.extend(space);
    out.extend(b"XYZ ");
    for part in [2026u16, 1, 1, 0, 0, 0] {
        out.extend(part.to_be_bytes());
    }
    out.extend(b"acsp");
    out.resize(64, 0);
    out.extend([0; 4]);
    for part in PCS_WHITE {
        out.extend(fixed(part));
    }
    out.resize(128, 0);
    out.extend(table);
    out.extend(data);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_primaries_of_srgb_come_to_the_published_adapted_values() {
        // ICC 'sRGB v2 profiles' white paper, colorants rounded to four places.
        let expected = [
            [0.4361, 0.2225, 0.0139],
            [0.3851, 0.7169, 0.0971],
            [0.1431, 0.0606, 0.7141],
        ];
        let got = adapted(SRGB);
        for (got, expected) in got.iter().flatten().zip(expected.iter().flatten()) {
            assert!((got - expected).abs() < 4e-4, "{got} for {expected}");
        }
    }

    #[test]
    fn a_profile_says_its_own_length() {
        for profile in [srgb(), wide(), grey()] {
            let length = u32::from_be_bytes([profile[0], profile[1], profile[2], profile[3]]);
            assert_eq!(length as usize, profile.len());
            assert_eq!(&profile[36..40], b"acsp");
        }
    }
}
