//! A table over four inks, read by interpolation over the simplex that a colour lies in.
//!
//! As in three dimensions: a cell is cut into 24 simplices along its diagonal, and a colour is
//! the mean of five nodes, weighted by how its four fractions rank.

/// A weight of one.
const ONE: i32 = 1 << 14;
/// A node's value for byte 255. Nodes may lie up to a whole range below zero or above full, so
/// that a colour which leaves the screen's range within a cell is cut off there and not bent.
const FULL: f32 = 255.0 * 64.0;
/// Bits of weight and of the steps in a byte.
const SHIFT: i32 = 14 + 6;

/// Up to four values at each node; the last ink varies fastest.
pub(crate) struct Grid4 {
    side: usize,
    nodes: Vec<[i16; 4]>,
    /// For each byte of ink: its cell and the fraction within, in 2^14ths.
    positions: Vec<(u16, u16)>,
}

impl Grid4 {
    /// From values for each node and channel, 1 for byte 255; `values` holds side⁴ of them.
    pub(crate) fn new(side: usize, values: &[[f32; 4]]) -> Self {
        assert!(
            (2..=64).contains(&side),
            "a side that steps of 32 bits can span"
        );
        assert_eq!(values.len(), side.pow(4), "one value for each node");
        let cells = side - 1;
        let positions = (0..256_usize)
            .map(|byte| {
                // The last node ends its cell rather than begin a new one: nothing is read
                // beyond the table.
                let at = (byte * cells * (ONE as usize) * 2 + 255) / 510;
                let cell = (at >> 14).min(cells - 1);
                (cell as u16, (at - (cell << 14)) as u16)
            })
            .collect();
        Self {
            side,
            nodes: values
                .iter()
                .map(|value| value.map(|channel| (channel.clamp(-1.0, 2.0) * FULL).round() as i16))
                .collect(),
            positions,
        }
    }

    /// Inks of the nodes in the order of `new`, each 0 to 1.
    pub(crate) fn places(side: usize) -> Vec<[f32; 4]> {
        let place = |index: usize| index as f32 / (side - 1) as f32;
        (0..side.pow(4))
            .map(|node| {
                [
                    place(node / side.pow(3)),
                    place(node / side.pow(2) % side),
                    place(node / side % side),
                    place(node % side),
                ]
            })
            .collect()
    }

    /// Four bytes of ink to four bytes.
    pub(crate) fn convert(&self, inks: [u8; 4]) -> [u8; 4] {
        let steps = [self.side.pow(3), self.side.pow(2), self.side, 1];
        let mut base = 0;
        let mut keys = [0_u64; 4];
        for ((key, step), byte) in keys.iter_mut().zip(steps).zip(inks) {
            let (cell, fraction) = self.positions[usize::from(byte)];
            base += usize::from(cell) * step;
            *key = u64::from(fraction) << 32 | step as u64;
        }
        sort_down(&mut keys);

        let mut at = base;
        let mut sums = [1 << (SHIFT - 1); 4];
        let mut before = ONE;
        for key in keys {
            let fraction = (key >> 32) as i32;
            self.add(&mut sums, at, before - fraction);
            before = fraction;
            at += (key & 0xffff_ffff) as usize;
        }
        self.add(&mut sums, at, before);
        sums.map(|sum| (sum >> SHIFT).clamp(0, 255) as u8)
    }

    /// Values (1 for byte 255) of inks between the steps of bytes, 0 to 1 each.
    pub(crate) fn unrounded(&self, inks: [f32; 4]) -> [f32; 4] {
        let steps = [self.side.pow(3), self.side.pow(2), self.side, 1];
        let cells = self.side - 1;
        let mut base = 0;
        let mut ranked = [(0.0_f32, 0); 4];
        for ((rank, step), ink) in ranked.iter_mut().zip(steps).zip(inks) {
            let at = ink.clamp(0.0, 1.0) * cells as f32;
            let cell = (at as usize).min(cells - 1);
            base += cell * step;
            *rank = (at - cell as f32, step);
        }
        ranked.sort_by(|one, other| other.0.total_cmp(&one.0));
        let mut at = base;
        let mut before = 1.0;
        let mut sums = [0.0; 4];
        let mut add = |at: usize, weight: f32| {
            for (sum, value) in sums.iter_mut().zip(self.nodes[at]) {
                *sum += weight * f32::from(value) / FULL;
            }
        };
        for (fraction, step) in ranked {
            add(at, before - fraction);
            before = fraction;
            at += step;
        }
        add(at, before);
        sums
    }

    fn add(&self, sums: &mut [i32; 4], at: usize, weight: i32) {
        for (sum, value) in sums.iter_mut().zip(self.nodes[at]) {
            *sum += weight * i32::from(value);
        }
    }
}

/// Largest first, by the five comparisons that sort four.
fn sort_down(keys: &mut [u64; 4]) {
    for (one, other) in [(0, 1), (2, 3), (0, 2), (1, 3), (1, 2)] {
        let (a, b) = (keys[one], keys[other]);
        keys[one] = a.max(b);
        keys[other] = a.min(b);
    }
}
