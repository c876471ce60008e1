//! Shadings. Those along a line and between two circles are evaluated for each cell; of the others
//! the inkiest colour is taken all over.

use super::document::Document;
use super::filter;
use super::function::Function;
use super::ink::{Colour, Estimate, Inks};
use super::object::{Dict, Obj};
use super::raster::Point;
use super::space::Space;

/// Colours along a shading.
const STEPS: usize = 256;
/// Largest mesh.
const LARGEST_MESH: usize = 32 << 20;
/// Most colours of a mesh that are looked at.
const MOST_COLOURS: usize = 200_000;

/// A shading.
pub(super) struct Shading {
    pub(super) space: Space,
    kind: Kind,
    /// Colours along the parameter, for the first two kinds; the inkiest one for the third.
    colours: Vec<Colour>,
    extend: [bool; 2],
    functions_run: bool,
}

enum Kind {
    Along { from: Point, to: Point },
    Circles { one: [f64; 3], two: [f64; 3] },
    Flat,
}

impl Shading {
    pub(super) fn read(
        document: &Document<'_>,
        value: &Obj,
        resources: &Dict,
        inks: &mut Inks,
        estimate: &Estimate,
    ) -> Option<Self> {
        let value = document.resolve(value);
        let dict = value.dict()?;
        let space = Space::read(document, &document.get(dict, "ColorSpace"), resources, inks)?;
        let functions = match dict.raw("Function") {
            Some(function) => Function::read_list(document, function)?,
            None => Vec::new(),
        };
        let extend = match document.get(dict, "Extend").array() {
            Some([one, two]) => [one, two].map(|value| value.bool() == Some(true)),
            _ => [false; 2],
        };
        let coords = document.get_numbers(dict, "Coords").unwrap_or_default();
        let number = document.get(dict, "ShadingType").int()?;
        let kind = match (number, coords.as_slice()) {
            (2, &[a, b, c, d]) => Kind::Along {
                from: [a, b],
                to: [c, d],
            },
            (3, &[a, b, c, d, e, f]) => Kind::Circles {
                one: [a, b, c],
                two: [d, e, f],
            },
            (2 | 3, _) => return None,
            _ => Kind::Flat,
        };
        let [low, high] = match document.get_numbers(dict, "Domain").as_deref() {
            Some(&[low, high, ..]) => [low, high],
            _ => [0.0, 1.0],
        };
        let along: Vec<f64> = (0..STEPS)
            .map(|step| low + (high - low) * step as f64 / (STEPS - 1) as f64)
            .collect();
        let colours: Vec<Colour> = match (&kind, functions.is_empty(), number) {
            (Kind::Flat, true, 4..=7) => mesh_colours(document, &value, number, &space, estimate)?,
            (_, true, _) => return None,
            // Over an area, both parameters run.
            (Kind::Flat, false, 1) => along
                .iter()
                .step_by(16)
                .flat_map(|&x| along.iter().step_by(16).map(move |&y| [x, y]))
                .map(|at| space.shaded(&functions, &at, estimate))
                .collect(),
            _ => along
                .iter()
                .map(|&at| space.shaded(&functions, &[at], estimate))
                .collect(),
        };
        let colours = match kind {
            Kind::Flat => vec![colours.into_iter().max_by_key(Colour::total)?],
            _ => colours,
        };
        Some(Self {
            space,
            kind,
            colours,
            extend,
            functions_run: functions.iter().all(Function::is_run),
        })
    }

    /// Whether each cell gets its own colour.
    pub(super) fn is_exact(&self) -> bool {
        !matches!(self.kind, Kind::Flat) && self.functions_run
    }

    /// The colour at a place in the shading's own units; `None` where it paints nothing.
    pub(super) fn at(&self, at: Point) -> Option<Colour> {
        let share = match &self.kind {
            Kind::Flat => return self.colours.first().cloned(),
            Kind::Along { from, to } => {
                let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
                let length = dx * dx + dy * dy;
                if length < 1e-12 {
                    return None;
                }
                self.extended(((at[0] - from[0]) * dx + (at[1] - from[1]) * dy) / length)?
            }
            Kind::Circles { one, two } => self.between(*one, *two, at)?,
        };
        let index = (share * (STEPS - 1) as f64).round() as usize;
        self.colours.get(index).cloned()
    }

    fn extended(&self, share: f64) -> Option<f64> {
        if share < 0.0 {
            return self.extend[0].then_some(0.0);
        }
        if share > 1.0 {
            return self.extend[1].then_some(1.0);
        }
        share.is_finite().then_some(share)
    }

    /// The last circle through a place: the largest s with |p − c(s)| = r(s) and r(s) ≥ 0
    /// (ISO 32000-1, 8.7.4.5.4).
    fn between(
        &self,
        [x0, y0, r0]: [f64; 3],
        [x1, y1, r1]: [f64; 3],
        [x, y]: Point,
    ) -> Option<f64> {
        let (dx, dy, dr) = (x1 - x0, y1 - y0, r1 - r0);
        let (px, py) = (x - x0, y - y0);
        let a = dx * dx + dy * dy - dr * dr;
        let b = px * dx + py * dy + r0 * dr;
        let c = px * px + py * py - r0 * r0;
        let roots = if a.abs() < 1e-9 {
            [c / (2.0 * b), f64::NAN]
        } else {
            let root = (b * b - a * c).sqrt();
            let (one, two) = ((b + root) / a, (b - root) / a);
            [one.max(two), one.min(two)]
        };
        roots.into_iter().find_map(|s| {
            (s.is_finite() && r0 + s * dr >= 0.0)
                .then(|| self.extended(s))
                .flatten()
        })
    }
}

/// Colours at the corners of a mesh.
fn mesh_colours(
    document: &Document<'_>,
    value: &Obj,
    number: i64,
    space: &Space,
    estimate: &Estimate,
) -> Option<Vec<Colour>> {
    let stream = value.stream()?;
    let dict = &stream.dict;
    let bits = |key: &str| {
        document
            .get(dict, key)
            .int()
            .map(|bits| bits.clamp(0, 32) as usize)
    };
    let (coordinate, component) = (bits("BitsPerCoordinate")?, bits("BitsPerComponent")?);
    let flag = if number == 5 { 0 } else { bits("BitsPerFlag")? };
    let decode = document.get_numbers(dict, "Decode")?;
    let ranges: Vec<[f64; 2]> = decode
        .get(4..)?
        .chunks_exact(2)
        .map(|pair| [pair[0], pair[1]])
        .collect();
    let data = filter::decode(document, stream, LARGEST_MESH).bytes;
    let mut at = 0_usize;
    let mut take = |count: usize| -> Option<u64> {
        let mut value = 0_u64;
        for _ in 0..count {
            let byte = *data.get(at / 8)?;
            value = value << 1 | u64::from(byte >> (7 - at % 8) & 1);
            at += 1;
        }
        Some(value)
    };
    let most = ((1_u64 << component.max(1)) - 1) as f64;
    let mut colours = Vec::new();
    'mesh: while colours.len() < MOST_COLOURS {
        let Some(edge) = take(flag) else { break };
        // A patch that joins another brings fewer points and colours of its own.
        let (points, corners) = match (number, edge & 3) {
            (4 | 5, _) => (1, 1),
            (6, 0) => (12, 4),
            (6, _) => (8, 2),
            (_, 0) => (16, 4),
            _ => (12, 2),
        };
        for _ in 0..points * 2 {
            if take(coordinate).is_none() {
                break 'mesh;
            }
        }
        for _ in 0..corners {
            let mut values = Vec::new();
            for [low, high] in &ranges {
                let Some(code) = take(component) else {
                    break 'mesh;
                };
                values.push(low + (high - low) * code as f64 / most);
            }
            colours.push(space.colour(&values, estimate));
        }
        if flag + coordinate + component == 0 {
            break;
        }
        // Each corner of a plain mesh, and each patch, begins on a whole byte.
        let rest = (flag + points * 2 * coordinate + corners * ranges.len() * component) % 8;
        if rest > 0 {
            take(8 - rest);
        }
    }
    (!colours.is_empty()).then_some(colours)
}
