//! A table over three channels, read by tetrahedral interpolation in whole numbers.
//!
//! A cell of the grid is cut into six tetrahedra along its grey diagonal; a colour is the mean of
//! four nodes, weighted by how its three fractions rank. Weights are whole numbers that sum to
//! [`ONE`], so the result lies between the nodes exactly, and every kernel gives the same bytes.

#[cfg(target_arch = "x86_64")]
mod avx2;
#[cfg(target_arch = "aarch64")]
mod neon;
mod scalar;
#[cfg(target_arch = "x86_64")]
mod sse2;

use std::sync::LazyLock;

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

    /// Colours of the nodes of one red step, in the order of `new`, each channel 0 to 1.
    pub(crate) fn places_of_red(side: Side, red: usize) -> Vec<[f32; 3]> {
        let n = side.nodes();
        (0..n * n)
            .map(|i| [side.place(red), side.place(i / n), side.place(i % n)])
            .collect()
    }

    /// Colours of all nodes in the order of `new`.
    pub(crate) fn places(side: Side) -> Vec<[f32; 3]> {
        (0..side.nodes())
            .flat_map(|red| Self::places_of_red(side, red))
            .collect()
    }

    /// Nodes of a side.
    pub(crate) fn side(&self) -> Side {
        self.side
    }

    /// Three bytes in, four bytes out for each whole pixel that both slices hold.
    pub(crate) fn convert8(&self, from: &[u8], to: &mut [u8]) {
        self.convert8_by(Kernel::best(), from, to);
    }

    /// Three 16-bit values in, four bytes out for each whole pixel that both slices hold.
    pub(crate) fn convert16(&self, from: &[u16], to: &mut [u8]) {
        self.convert16_by(Kernel::best(), from, to);
    }

    fn convert8_by(&self, kernel: Kernel, from: &[u8], to: &mut [u8]) {
        let pixels = (from.len() / 3).min(to.len() / 4);
        let (from, to) = (&from[..3 * pixels], &mut to[..4 * pixels]);
        match kernel {
            Kernel::Scalar => scalar::convert8(self, from, to),
            // SAFETY: A kernel is chosen only where the processor has its instructions.
            #[cfg(target_arch = "x86_64")]
            Kernel::Sse2 => unsafe { sse2::convert8(self, from, to) },
            // SAFETY: As above.
            #[cfg(target_arch = "x86_64")]
            Kernel::Avx2 => unsafe { avx2::convert8(self, from, to) },
            // SAFETY: As above.
            #[cfg(target_arch = "aarch64")]
            Kernel::Neon => unsafe { neon::convert8(self, from, to) },
        }
    }

    fn convert16_by(&self, kernel: Kernel, from: &[u16], to: &mut [u8]) {
        let pixels = (from.len() / 3).min(to.len() / 4);
        let (from, to) = (&from[..3 * pixels], &mut to[..4 * pixels]);
        match kernel {
            Kernel::Scalar => scalar::convert16(self, from, to),
            // SAFETY: A kernel is chosen only where the processor has its instructions.
            #[cfg(target_arch = "x86_64")]
            Kernel::Sse2 => unsafe { sse2::convert16(self, from, to) },
            // SAFETY: As above.
            #[cfg(target_arch = "x86_64")]
            Kernel::Avx2 => unsafe { avx2::convert16(self, from, to) },
            // SAFETY: As above.
            #[cfg(target_arch = "aarch64")]
            Kernel::Neon => unsafe { neon::convert16(self, from, to) },
        }
    }

    /// Four values of byte scale (0 to 255, with fractions) for channels of 0 to 65535.
    pub(crate) fn unrounded(&self, from: [u16; 3]) -> [f32; 4] {
        scalar::sums(self, from.map(u32::from))
            .map(|sum| (sum + BIAS * ONE) as f32 / (ONE as f32 * PER_BYTE))
    }
}

/// A way of computing; all give the same bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kernel {
    Scalar,
    #[cfg(target_arch = "x86_64")]
    Sse2,
    #[cfg(target_arch = "x86_64")]
    Avx2,
    #[cfg(target_arch = "aarch64")]
    Neon,
}

impl Kernel {
    /// All that this processor can run, the fastest last.
    fn all() -> Vec<Self> {
        let mut kernels = vec![Self::Scalar];
        #[cfg(target_arch = "x86_64")]
        {
            if is_x86_feature_detected!("sse2") {
                kernels.push(Self::Sse2);
            }
            if is_x86_feature_detected!("avx2") {
                kernels.push(Self::Avx2);
            }
        }
        #[cfg(target_arch = "aarch64")]
        if std::arch::is_aarch64_feature_detected!("neon") {
            kernels.push(Self::Neon);
        }
        kernels
    }

    fn best() -> Self {
        static BEST: LazyLock<Kernel> =
            LazyLock::new(|| Kernel::all().pop().unwrap_or(Kernel::Scalar));
        *BEST
    }
}

/// A value from 0 (no ink) to 1 (solid) as a node's value.
pub(crate) fn quantise(value: f32) -> u16 {
    (value.clamp(0.0, 1.0) * f32::from(FULL)).round() as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A grid of noise, the hardest to agree on.
    fn noise(side: Side) -> Grid3 {
        let count = side.nodes().pow(3);
        let mut state = 0x2545_f491_4f6c_dd1d_u64;
        let mut next = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 40) as u16 % (FULL + 1)
        };
        let mut values: Vec<[u16; 4]> = (0..count)
            .map(|_| [next(), next(), next(), next()])
            .collect();
        values[0] = [0, FULL, 0, FULL];
        values[count - 1] = [FULL; 4];
        Grid3::new(side, &values)
    }

    static GRIDS: LazyLock<[Grid3; 3]> = LazyLock::new(|| {
        [
            noise(Side::Nodes33),
            noise(Side::Nodes65),
            noise(Side::Nodes129),
        ]
    });

    proptest! {
        #[test]
        fn every_kernel_gives_the_plain_kernels_bytes(
            bytes in proptest::collection::vec(
                prop_oneof![any::<u8>(), Just(0), Just(255)], 0..200),
            wide in proptest::collection::vec(
                prop_oneof![any::<u16>(), Just(0), Just(65535)], 0..200),
            room in 0..300_usize,
        ) {
            for grid in GRIDS.iter() {
                let mut plain8 = vec![7; room];
                let mut plain16 = vec![7; room];
                grid.convert8_by(Kernel::Scalar, &bytes, &mut plain8);
                grid.convert16_by(Kernel::Scalar, &wide, &mut plain16);
                for kernel in Kernel::all() {
                    let mut fast = vec![7; room];
                    grid.convert8_by(kernel, &bytes, &mut fast);
                    prop_assert_eq!(&fast, &plain8, "{:?}", kernel);
                    let mut fast = vec![7; room];
                    grid.convert16_by(kernel, &wide, &mut fast);
                    prop_assert_eq!(&fast, &plain16, "{:?}", kernel);
                }
            }
        }
    }

    #[test]
    fn every_byte_of_every_channel_agrees() {
        let mut rgb = Vec::new();
        for byte in 0..=255 {
            rgb.extend([byte, 0, 255, 255, byte, 0, 0, 255, byte, byte, byte, byte]);
        }
        for grid in GRIDS.iter() {
            let mut plain = vec![0; rgb.len() / 3 * 4];
            grid.convert8_by(Kernel::Scalar, &rgb, &mut plain);
            for kernel in Kernel::all() {
                let mut fast = vec![0; plain.len()];
                grid.convert8_by(kernel, &rgb, &mut fast);
                assert!(fast == plain, "{kernel:?}");
            }
        }
    }

    #[test]
    fn a_node_gives_its_own_value() {
        let grid = &GRIDS[0];
        let mut out = [0; 8];
        grid.convert8(&[0, 0, 0, 255, 255, 255], &mut out);
        assert_eq!(out, [0, 255, 0, 255, 255, 255, 255, 255]);
    }
}
