//! Tone curves: from encoded samples to light and back.

use std::sync::{Arc, LazyLock};

use colour::{Profile, Space};

/// A rising curve from an encoded value to linear light, both 0 to 1, kept as a table of
/// 65,536 steps.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Curve {
    light: Arc<[f32]>,
}

const STEPS: usize = 65536;

static SRGB: LazyLock<Curve> = LazyLock::new(|| {
    Curve::from_function(|value| {
        // IEC 61966-2-1.
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    })
    .expect("the sRGB curve rises from 0 to 1")
});

static STRAIGHT: LazyLock<Curve> = LazyLock::new(|| {
    Curve::from_function(|value| value).expect("the straight line rises from 0 to 1")
});

impl Curve {
    /// The curve of sRGB.
    pub(crate) fn srgb() -> Self {
        SRGB.clone()
    }

    /// No curve: for inks.
    pub(crate) fn straight() -> Self {
        STRAIGHT.clone()
    }

    /// The curve of each channel of a picture with this profile.
    ///
    /// A profile with tone curves (ICC.1, `TRC` tags) gives its own. One without (built from
    /// tables), and none at all, is taken as having the curve of sRGB: an approximation, which
    /// only decides how strongly neighbours weigh in an average, never a colour as such.
    pub(crate) fn of_picture(profile: Option<&Profile>, channels: usize) -> Vec<Self> {
        let from_profile = profile.and_then(|profile| {
            let tags: &[&[u8; 4]] = match profile.space() {
                Space::Grey => &[b"kTRC"],
                Space::Rgb => &[b"rTRC", b"gTRC", b"bTRC"],
                Space::Cmyk => return None,
            };
            tags.iter()
                .map(|tag| Self::from_tag(find_tag(profile.bytes(), tag)?))
                .collect::<Option<Vec<_>>>()
        });
        match from_profile {
            Some(curves) if curves.len() == channels => curves,
            _ if channels == 4 => vec![Self::straight(); 4],
            _ => vec![Self::srgb(); channels],
        }
    }

    /// Linear light at each of the 65,536 encoded values.
    pub(crate) fn light(&self) -> &[f32] {
        &self.light
    }

    /// Encoded value (0 to 65535) for each of `count` steps of light; `light_of` tells the light
    /// of a step, rising.
    pub(crate) fn encode(&self, count: usize, light_of: impl Fn(usize) -> f64) -> Vec<u16> {
        let mut at = 0;
        (0..count)
            .map(|step| {
                let wanted = light_of(step);
                while at < STEPS - 1 && f64::from(self.light[at]) < wanted {
                    at += 1;
                }
                if at == 0 || f64::from(self.light[at]) <= wanted {
                    return at as u16;
                }
                // Between two entries: the nearer one.
                let below = wanted - f64::from(self.light[at - 1]);
                let above = f64::from(self.light[at]) - wanted;
                (if below < above { at - 1 } else { at }) as u16
            })
            .collect()
    }

    fn from_function(function: impl Fn(f64) -> f64) -> Option<Self> {
        let light: Arc<[f32]> = (0..STEPS)
            .map(|step| function(step as f64 / (STEPS - 1) as f64) as f32)
            .collect();
        let rises = light.windows(2).all(|two| two[0] <= two[1]);
        // Curves that do not span most of the range are no encoding of a picture.
        let spans = light[0].abs() < 0.1 && (light[STEPS - 1] - 1.0).abs() < 0.1;
        (rises && spans).then_some(Self { light })
    }

    /// Reads a curve of type `curv` or `para` (ICC.1:2022, 10.6 and 10.18).
    fn from_tag(data: &[u8]) -> Option<Self> {
        match data.get(..4)? {
            b"curv" => Self::from_curv(data),
            b"para" => Self::from_para(data),
            _ => None,
        }
    }

    fn from_curv(data: &[u8]) -> Option<Self> {
        let count = usize::try_from(word(data, 8)?).ok()?;
        match count {
            0 => Self::from_function(|value| value),
            1 => {
                let gamma = f64::from(half_word(data, 12)?) / 256.0;
                Self::from_function(|value| value.powf(gamma))
            }
            _ => {
                let table = data.get(12..count.checked_mul(2)?.checked_add(12)?)?;
                let entry = |index: usize| {
                    f64::from(u16::from_be_bytes([table[index * 2], table[index * 2 + 1]]))
                        / 65535.0
                };
                Self::from_function(|value| {
                    let place = value * (count - 1) as f64;
                    let below = (place as usize).min(count - 2);
                    let part = place - below as f64;
                    entry(below) * (1.0 - part) + entry(below + 1) * part
                })
            }
        }
    }

    fn from_para(data: &[u8]) -> Option<Self> {
        let kind = half_word(data, 8)?;
        let number = |index: usize| {
            word(data, 12 + index * 4).map(|bits| f64::from(bits.cast_signed()) / 65536.0)
        };
        let count = *[1, 3, 4, 5, 7].get(usize::from(kind))?;
        let values: Vec<f64> = (0..count).map(number).collect::<Option<_>>()?;
        let [g, a, b, c, d, e, f] = match *values.as_slice() {
            [g] => [g, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [g, a, b] => [g, a, b, 0.0, -b / a, 0.0, 0.0],
            [g, a, b, c] => [g, a, b, 0.0, -b / a, c, c],
            [g, a, b, c, d] => [g, a, b, c, d, 0.0, 0.0],
            [g, a, b, c, d, e, f] => [g, a, b, c, d, e, f],
            _ => return None,
        };
        Self::from_function(|value| {
            if value >= d {
                (a * value + b).max(0.0).powf(g) + e
            } else {
                c * value + f
            }
        })
    }
}

/// The data of a tag of a profile.
fn find_tag<'a>(profile: &'a [u8], signature: &[u8; 4]) -> Option<&'a [u8]> {
    let count = word(profile, 128)?.min(1000) as usize;
    (0..count).find_map(|index| {
        let at = 132 + index * 12;
        if profile.get(at..at + 4)? != signature {
            return None;
        }
        let offset = word(profile, at + 4)? as usize;
        let length = word(profile, at + 8)? as usize;
        profile.get(offset..offset.checked_add(length)?)
    })
}

fn word(bytes: &[u8], at: usize) -> Option<u32> {
    let four = bytes.get(at..at + 4)?;
    Some(u32::from_be_bytes([four[0], four[1], four[2], four[3]]))
}

fn half_word(bytes: &[u8], at: usize) -> Option<u16> {
    let two = bytes.get(at..at + 2)?;
    Some(u16::from_be_bytes([two[0], two[1]]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(curve: &Curve, other: &Curve, tolerance: f32) {
        for (one, two) in curve.light.iter().zip(other.light.iter()) {
            assert!((one - two).abs() <= tolerance, "{one} {two}");
        }
    }

    #[test]
    fn profiles_curves_are_read() {
        // sRGB as a parametric curve of type 3 (IEC 61966-2-1).
        let mut para = b"para\0\0\0\0\0\x03\0\0".to_vec();
        for value in [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045] {
            para.extend(((value * 65536.0_f64).round() as i32).to_be_bytes());
        }
        close(&Curve::from_tag(&para).unwrap(), &Curve::srgb(), 2e-5);
        let gamma = Curve::from_tag(b"curv\0\0\0\0\0\0\0\x01\x02\x33").unwrap();
        assert!((gamma.light[32768] - 0.5_f32.powf(2.199)).abs() < 1e-4);
        let table = Curve::from_tag(b"curv\0\0\0\0\0\0\0\x03\0\0\x40\0\xff\xff").unwrap();
        assert!((table.light[32768] - 0.25).abs() < 1e-4);
        close(
            &Curve::from_tag(b"curv\0\0\0\0\0\0\0\0").unwrap(),
            &Curve::straight(),
            0.0,
        );
    }

    #[test]
    fn absurd_curves_are_not_used() {
        for data in [
            b"".as_slice(),
            b"curv",
            b"curv\0\0\0\0\xff\xff\xff\xff",
            b"curv\0\0\0\0\0\0\0\x02\xff\xff\0\0",
            b"para\0\0\0\0\0\x09\0\0",
            b"para\0\0\0\0\0\x01\0\0\0\0\0\0\0\0\0\0\0\0\0\0",
        ] {
            assert_eq!(Curve::from_tag(data), None);
        }
    }

    #[test]
    fn encoding_undoes_light() {
        let curve = Curve::srgb();
        let back = curve.encode(STEPS, |step| f64::from(curve.light[step]));
        for (step, value) in back.iter().enumerate() {
            assert_eq!(step, usize::from(*value));
        }
    }
}
