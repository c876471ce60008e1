//! A table over three channels, read by tetrahedral interpolation in whole numbers.
//!
//! A cell of the grid is cut into six tetrahedra along its grey diagonal; a colour is the mean of
//! four nodes, weighted by how its three fractions rank. Weights are whole numbers that sum to
//! [`ONE`], so the result lies between the nodes exactly, and every kernel gives the same bytes.

mod scalar;

/// A weight of one.
const ONE: i32 = 1 << 14;
/// Steps of a node's value in one byte step.
const PER_BYTE: f32 = 256.0;
/// A node's value for byte 255.
pub(crate) const FULL: u16 = 255 * 256;
/// What is taken off a node's value so that it fits a signed 16-bit number.
const BIAS: i32 = 1 << 15;
/// Takes the weighted sum of four biased nodes to a byte, rounding half up: adds the bias back,
/// half a byte step, and then shifts by [`SHIFT`].
const ROUND: i32 = BIAS * ONE + (1 << (SHIFT - 1));
/// Bits of weight and of the steps in a byte.
const SHIFT: i32 = 14 + 8;

/// How many nodes a side has; always a power of two and one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// 33 nodes.
    Nodes33,
    /// 65 nodes.
    Nodes65,
    /// 129 nodes.
    Nodes129,
}

impl Side {
    /// Base 2 logarithm of the cells of a side.
    const fn log2(self) -> u32 {
        match self {
            Self::Nodes33 => 5,
            Self::Nodes65 => 6,
            Self::Nodes129 => 7,
        }
    }

    /// Nodes of a side.
    pub(crate) const fn nodes(self) -> usize {
        (1 << self.log2()) + 1
    }

    /// Where node `index` of a side lies, 0 to 1.
    pub(crate) fn place(self, index: usize) -> f32 {
        index as f32 / (self.nodes() - 1) as f32
    }
}

/// Up to four values at each node; the last channel of input varies fastest.
pub(crate) struct Grid3 {
    side: Side,
    /// Values less [`BIAS`]. Behind the last node stand as many empty ones as a step along all
    /// three axes is long: the cells of the far faces have weight zero there, but are read.
    nodes: Vec<[i16; 4]>,
}

impl Grid3 {
    /// From one value of 0 to [`FULL`] for each node and channel; `values` holds side³ of them.
    pub(crate) fn new(side: Side, values: &[[u16; 4]]) -> Self {
        let n = side.nodes();
        assert_eq!(values.len(), n * n * n, "one value for each node");
        let mut nodes = Vec::with_capacity(values.len() + n * n + n + 2);
        nodes.extend(
            values
                .iter()
                .map(|value| value.map(|channel| (i32::from(channel.min(FULL)) - BIAS) as i16)),
        );
        nodes.resize(values.len() + n * n + n + 2, [0; 4]);
        Self { side, nodes }
    }

    /// Colours of the nodes in the order of `new`, each channel 0 to 1.
    pub(crate) fn places(side: Side) -> Vec<[f32; 3]> {
        let n = side.nodes();
        let mut places = Vec::with_capacity(n * n * n);
        for r in 0..n {
            for g in 0..n {
                for b in 0..n {
                    places.push([side.place(r), side.place(g), side.place(b)]);
                }
            }
        }
        places
    }

    /// Nodes of a side.
    pub(crate) fn side(&self) -> Side {
        self.side
    }

    /// Three bytes in, four bytes out for each whole pixel that both slices hold.
    pub(crate) fn convert8(&self, from: &[u8], to: &mut [u8]) {
        scalar::convert8(self, from, to);
    }

    /// Three 16-bit values in, four bytes out for each whole pixel that both slices hold.
    pub(crate) fn convert16(&self, from: &[u16], to: &mut [u8]) {
        scalar::convert16(self, from, to);
    }

    /// Four values of byte scale (0 to 255, with fractions) for channels of 0 to 65535.
    pub(crate) fn exact(&self, from: [u16; 3]) -> [f32; 4] {
        scalar::sums(self, from.map(u32::from))
            .map(|sum| (sum + BIAS * ONE) as f32 / (ONE as f32 * PER_BYTE))
    }
}

/// A value from 0 (no ink) to 1 (solid) as a node's value.
pub(crate) fn quantise(value: f32) -> u16 {
    (value.clamp(0.0, 1.0) * f32::from(FULL)).round() as u16
}
