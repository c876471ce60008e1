//! PDF functions: sampled, exponential and stitched. The small stack language of type 4 is not run;
//! such a function counts as its inkiest value, 1 everywhere.

use super::document::Document;
use super::filter;
use super::object::Obj;

/// Deepest nesting of stitched functions.
const DEEPEST: u32 = 6;
/// Most samples of a table.
const LARGEST_TABLE: usize = 1 << 20;
/// Most inputs of a table.
const MOST_INPUTS: usize = 4;
/// Most outputs.
const MOST_OUTPUTS: usize = 32;

/// A function of a few numbers.
#[derive(Debug, Clone)]
pub(super) struct Function {
    domain: Vec<[f64; 2]>,
    range: Vec<[f64; 2]>,
    kind: Kind,
}

#[derive(Debug, Clone)]
enum Kind {
    Sampled {
        size: Vec<usize>,
        encode: Vec<[f64; 2]>,
        /// As values, decoded.
        table: Vec<f32>,
        outputs: usize,
    },
    Power {
        from: Vec<f64>,
        to: Vec<f64>,
        exponent: f64,
    },
    Stitched {
        parts: Vec<Function>,
        bounds: Vec<f64>,
        encode: Vec<[f64; 2]>,
    },
    NotRun,
}

impl Function {
    pub(super) fn read(document: &Document<'_>, value: &Obj) -> Option<Self> {
        Self::read_within(document, value, DEEPEST)
    }

    /// One function, or an array of them.
    pub(super) fn read_list(document: &Document<'_>, value: &Obj) -> Option<Vec<Self>> {
        match document.resolve(value) {
            Obj::Null => None,
            Obj::Array(items) => items
                .iter()
                .take(MOST_OUTPUTS)
                .map(|item| Self::read(document, item))
                .collect(),
            one => Some(vec![Self::read(document, &one)?]),
        }
    }

    fn read_within(document: &Document<'_>, value: &Obj, depth: u32) -> Option<Self> {
        let depth = depth.checked_sub(1)?;
        let value = document.resolve(value);
        let dict = value.dict()?;
        let pairs = |key: &str| -> Vec<[f64; 2]> {
            document
                .get_numbers(dict, key)
                .unwrap_or_default()
                .chunks_exact(2)
                .map(|pair| [pair[0], pair[1]])
                .collect()
        };
        let domain = pairs("Domain");
        let range = pairs("Range");
        if domain.is_empty() || range.len() > MOST_OUTPUTS {
            return None;
        }
        let kind = match document.get(dict, "FunctionType").int()? {
            0 => {
                let size: Vec<usize> = document
                    .get_numbers(dict, "Size")?
                    .iter()
                    .map(|&size| size.clamp(1.0, 1e6) as usize)
                    .collect();
                let outputs = range.len();
                if size.len() != domain.len() || size.len() > MOST_INPUTS || outputs == 0 {
                    return None;
                }
                let count = size
                    .iter()
                    .try_fold(outputs, |count, &size| count.checked_mul(size))
                    .filter(|&count| count <= LARGEST_TABLE)?;
                let bits = document.get(dict, "BitsPerSample").int()?.clamp(1, 32) as usize;
                let data =
                    filter::decode(document, value.stream()?, (count * bits).div_ceil(8)).bytes;
                let decode = match pairs("Decode") {
                    decode if decode.len() == outputs => decode,
                    _ => range.clone(),
                };
                let encode = match pairs("Encode") {
                    encode if encode.len() == size.len() => encode,
                    _ => size.iter().map(|&size| [0.0, (size - 1) as f64]).collect(),
                };
                let most = ((1_u64 << bits) - 1) as f64;
                let table = (0..count)
                    .map(|index| {
                        let [low, high] = decode[index % outputs];
                        (low + (high - low) * bits_at(&data, index * bits, bits) as f64 / most)
                            as f32
                    })
                    .collect();
                Kind::Sampled {
                    size,
                    encode,
                    table,
                    outputs,
                }
            }
            2 => {
                let from = document
                    .get_numbers(dict, "C0")
                    .unwrap_or_else(|| vec![0.0]);
                let to = document
                    .get_numbers(dict, "C1")
                    .unwrap_or_else(|| vec![1.0]);
                if from.len() > MOST_OUTPUTS {
                    return None;
                }
                Kind::Power {
                    from,
                    to,
                    exponent: document.get(dict, "N").num().unwrap_or(1.0),
                }
            }
            3 => {
                let parts: Vec<Self> = document
                    .get_array(dict, "Functions")
                    .iter()
                    .take(256)
                    .map(|part| Self::read_within(document, part, depth))
                    .collect::<Option<_>>()?;
                let bounds = document.get_numbers(dict, "Bounds").unwrap_or_default();
                let encode = pairs("Encode");
                if parts.is_empty()
                    || bounds.len() + 1 != parts.len()
                    || encode.len() != parts.len()
                {
                    return None;
                }
                Kind::Stitched {
                    parts,
                    bounds,
                    encode,
                }
            }
            4 => Kind::NotRun,
            _ => return None,
        };
        Some(Self {
            domain,
            range,
            kind,
        })
    }

    /// Whether it is evaluated truly.
    pub(super) fn is_run(&self) -> bool {
        match &self.kind {
            Kind::NotRun => false,
            Kind::Stitched { parts, .. } => parts.iter().all(Self::is_run),
            _ => true,
        }
    }

    /// The values at a place.
    pub(super) fn at(&self, inputs: &[f64]) -> Vec<f64> {
        let inputs: Vec<f64> = self
            .domain
            .iter()
            .enumerate()
            .map(|(index, &range)| limit(inputs.get(index).copied().unwrap_or(0.0), range))
            .collect();
        let mut out = match &self.kind {
            Kind::Sampled {
                size,
                encode,
                table,
                outputs,
            } => self.sampled(&inputs, size, encode, table, *outputs),
            Kind::Power { from, to, exponent } => {
                let power = inputs[0].powf(*exponent);
                let power = if power.is_finite() { power } else { 0.0 };
                from.iter()
                    .zip(to)
                    .map(|(from, to)| from + power * (to - from))
                    .collect()
            }
            Kind::Stitched {
                parts,
                bounds,
                encode,
            } => {
                let x = inputs[0];
                let part = bounds.iter().take_while(|&&bound| x >= bound).count();
                let low = if part == 0 {
                    self.domain[0][0]
                } else {
                    bounds[part - 1]
                };
                let high = bounds.get(part).copied().unwrap_or(self.domain[0][1]);
                let share = if high > low {
                    (x - low) / (high - low)
                } else {
                    0.0
                };
                let [from, to] = encode[part];
                parts[part].at(&[from + share * (to - from)])
            }
            Kind::NotRun => vec![1.0; self.range.len()],
        };
        for (value, &range) in out.iter_mut().zip(&self.range) {
            *value = limit(*value, range);
        }
        out
    }

    /// Linear between the samples, in every dimension.
    fn sampled(
        &self,
        inputs: &[f64],
        size: &[usize],
        encode: &[[f64; 2]],
        table: &[f32],
        outputs: usize,
    ) -> Vec<f64> {
        let places: Vec<(usize, f64)> = inputs
            .iter()
            .enumerate()
            .map(|(index, &x)| {
                let [low, high] = self.domain[index];
                let share = if high > low {
                    (x - low) / (high - low)
                } else {
                    0.0
                };
                let [from, to] = encode[index];
                let at = (from + share * (to - from)).clamp(0.0, (size[index] - 1) as f64);
                let whole = (at as usize).min(size[index].saturating_sub(2));
                (whole, at - whole as f64)
            })
            .collect();
        let mut out = vec![0.0; outputs];
        for corner in 0..1_usize << places.len() {
            let (mut weight, mut index, mut stride) = (1.0, 0, 1);
            for (dimension, &(whole, rest)) in places.iter().enumerate() {
                let upper = corner >> dimension & 1;
                weight *= if upper == 1 { rest } else { 1.0 - rest };
                index += (whole + upper).min(size[dimension] - 1) * stride;
                stride *= size[dimension];
            }
            if weight > 0.0 {
                for (output, value) in out.iter_mut().enumerate() {
                    *value += weight * f64::from(table[index * outputs + output]);
                }
            }
        }
        out
    }
}

fn limit(value: f64, [low, high]: [f64; 2]) -> f64 {
    // Not `clamp`, which panics where the file has them the wrong way round.
    value.min(high).max(low)
}

fn bits_at(data: &[u8], at: usize, count: usize) -> u64 {
    (at..at + count).fold(0, |value, bit| {
        let byte = data.get(bit / 8).copied().unwrap_or(0);
        value << 1 | u64::from(byte >> (7 - bit % 8) & 1)
    })
}
