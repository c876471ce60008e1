//! The plain kernel: the definition of what the fast ones must give.

use super::{Grid3, ONE, ROUND, SHIFT};

pub(super) fn convert8(grid: &Grid3, from: &[u8], to: &mut [u8]) {
    for (rgb, out) in from.chunks_exact(3).zip(to.chunks_exact_mut(4)) {
        let pixel = [rgb[0], rgb[1], rgb[2]].map(|byte| u32::from(byte) * 257);
        out.copy_from_slice(&bytes(grid, pixel));
    }
}

pub(super) fn convert16(grid: &Grid3, from: &[u16], to: &mut [u8]) {
    for (rgb, out) in from.chunks_exact(3).zip(to.chunks_exact_mut(4)) {
        let pixel = [rgb[0], rgb[1], rgb[2]].map(u32::from);
        out.copy_from_slice(&bytes(grid, pixel));
    }
}

fn bytes(grid: &Grid3, pixel: [u32; 3]) -> [u8; 4] {
    sums(grid, pixel).map(|sum| ((sum + ROUND) >> SHIFT) as u8)
}

/// Weighted sums of the four biased nodes; `pixel` runs 0 to 65535.
pub(super) fn sums(grid: &Grid3, pixel: [u32; 3]) -> [i32; 4] {
    let log2 = grid.side.log2();
    let n = grid.side.nodes() as u32;
    let [r, g, b] = pixel.map(|value| position(value, log2));
    let base = (r >> 14) * n * n + (g >> 14) * n + (b >> 14);
    let keys = [key(r, n * n), key(g, n), key(b, 1)];

    // Largest, middle and smallest fraction. Where two are equal the weight between them is
    // zero, so their order changes nothing.
    let (upper, lower) = (keys[0].max(keys[1]), keys[0].min(keys[1]));
    let most = upper.max(keys[2]);
    let middle = lower.max(upper.min(keys[2]));
    let least = lower.min(keys[2]);
    let [w1, w2, w3] = [most, middle, least].map(|key| (key >> 15) as i32);

    let first = base as usize;
    let second = first + (most & 0x7fff) as usize;
    let fourth = first + (n * n + n + 1) as usize;
    let third = fourth - (least & 0x7fff) as usize;
    let nodes = [first, second, third, fourth].map(|at| grid.nodes[at]);
    let weights = [ONE - w1, w1 - w2, w2 - w3, w3];
    let mut sums = [0; 4];
    for (node, weight) in nodes.iter().zip(weights) {
        for (sum, &value) in sums.iter_mut().zip(node) {
            *sum += weight * i32::from(value);
        }
    }
    sums
}

/// Where a value of 0 to 65535 lies on a side, in 2^14ths of a cell: `value · cells · 2^14 / 65535`
/// rounded, without a division.
pub(super) fn position(value: u32, log2: u32) -> u32 {
    (value << (log2 - 2)) + ((value + (1 << (17 - log2))) >> (18 - log2))
}

/// The fraction within the cell above, the step to the next node along the axis below, so that
/// sorting the one takes the other along.
fn key(position: u32, step: u32) -> u32 {
    (position & 0x3fff) << 15 | step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_the_rounded_quotient_and_meet_both_ends() {
        for log2 in 5..=7 {
            let whole = f64::from(1_u32 << (log2 + 14));
            for value in 0..=65535 {
                let exact = f64::from(value) * whole / 65535.0;
                let found = f64::from(position(value, log2));
                assert!(
                    (exact - found).abs() <= 0.500_01,
                    "{log2} {value}: {exact} {found}"
                );
            }
            assert_eq!(position(65535, log2), 1 << (log2 + 14));
        }
    }
}
