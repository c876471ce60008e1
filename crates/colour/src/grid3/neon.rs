//! Four pixels at a time with NEON, which every 64-bit ARM has. Bytes are those of the plain
//! kernel.

use std::arch::aarch64::{
    uint32x4_t, vaddq_s32, vaddq_u32, vandq_u32, vcombine_s16, vdupq_n_s32, vdupq_n_u32, vld1_s16,
    vld1q_u32, vmaxq_u32, vminq_u32, vmlal_n_s16, vmlaq_n_u32, vmovn_s32, vmull_n_s16, vorrq_u32,
    vqmovun_s16, vshlq_n_u32, vshlq_u32, vshrq_n_s32, vshrq_n_u32, vst1_u8, vst1q_u32, vsubq_u32,
};

use super::{Grid3, ONE, ROUND, SHIFT, scalar};

/// Pixels of a round.
const PIXELS: usize = 4;

/// Both slices hold the same number of whole pixels.
#[target_feature(enable = "neon")]
pub(super) fn convert8(grid: &Grid3, from: &[u8], to: &mut [u8]) {
    let (from, from_rest) = from.as_chunks::<{ 3 * PIXELS }>();
    let (to, to_rest) = to.as_chunks_mut::<{ 4 * PIXELS }>();
    for (rgb, out) in from.iter().zip(to) {
        let lane = |at: usize| u32::from(rgb[at]) * 257;
        convert(grid, [split(0, lane), split(1, lane), split(2, lane)], out);
    }
    scalar::convert8(grid, from_rest, to_rest);
}

/// Both slices hold the same number of whole pixels.
#[target_feature(enable = "neon")]
pub(super) fn convert16(grid: &Grid3, from: &[u16], to: &mut [u8]) {
    let (from, from_rest) = from.as_chunks::<{ 3 * PIXELS }>();
    let (to, to_rest) = to.as_chunks_mut::<{ 4 * PIXELS }>();
    for (rgb, out) in from.iter().zip(to) {
        let lane = |at: usize| u32::from(rgb[at]);
        convert(grid, [split(0, lane), split(1, lane), split(2, lane)], out);
    }
    scalar::convert16(grid, from_rest, to_rest);
}

#[target_feature(enable = "neon")]
#[inline]
fn split(channel: usize, lane: impl Fn(usize) -> u32) -> uint32x4_t {
    let lanes = [
        lane(channel),
        lane(channel + 3),
        lane(channel + 6),
        lane(channel + 9),
    ];
    // SAFETY: Four lanes of four.
    unsafe { vld1q_u32(lanes.as_ptr()) }
}

/// One round; `pixels` holds 32-bit lanes of 0 to 65535.
#[target_feature(enable = "neon")]
#[inline]
fn convert(grid: &Grid3, pixels: [uint32x4_t; 3], out: &mut [u8; 4 * PIXELS]) {
    let n = grid.side.nodes() as u32;
    let whole_step = n * n + n + 1;
    let [r, g, b] = positions(grid.side.log2() as i32, pixels);

    let first = vmlaq_n_u32(
        vmlaq_n_u32(vshrq_n_u32::<14>(b), vshrq_n_u32::<14>(r), n * n),
        vshrq_n_u32::<14>(g),
        n,
    );

    let keys = [key(r, n * n), key(g, n), key(b, 1)];
    let upper = vmaxq_u32(keys[0], keys[1]);
    let lower = vminq_u32(keys[0], keys[1]);
    let most = vmaxq_u32(upper, keys[2]);
    let middle = vmaxq_u32(lower, vminq_u32(upper, keys[2]));
    let least = vminq_u32(lower, keys[2]);

    let step = vdupq_n_u32(0x7fff);
    let second = vaddq_u32(first, vandq_u32(most, step));
    let fourth = vaddq_u32(first, vdupq_n_u32(whole_step));
    let third = vsubq_u32(fourth, vandq_u32(least, step));

    let w1 = vshrq_n_u32::<15>(most);
    let w2 = vshrq_n_u32::<15>(middle);
    let w3 = vshrq_n_u32::<15>(least);
    let weights = [
        vsubq_u32(vdupq_n_u32(ONE as u32), w1),
        vsubq_u32(w1, w2),
        vsubq_u32(w2, w3),
        w3,
    ];

    let at = [first, second, third, fourth].map(|lane| lanes(lane));
    let weights = weights.map(|lane| lanes(lane));
    let pixel = |i: usize| {
        // SAFETY: As in the AVX2 kernel; the grid is padded by a step along all axes.
        let node = |which: usize| unsafe {
            vld1_s16(grid.nodes.as_ptr().add(at[which][i] as usize).cast())
        };
        let weight = |which: usize| weights[which][i] as i16;
        let mut sum = vmull_n_s16(node(0), weight(0));
        sum = vmlal_n_s16(sum, node(1), weight(1));
        sum = vmlal_n_s16(sum, node(2), weight(2));
        sum = vmlal_n_s16(sum, node(3), weight(3));
        vmovn_s32(vshrq_n_s32::<SHIFT>(vaddq_s32(sum, vdupq_n_s32(ROUND))))
    };
    let (lower, upper) = out.split_at_mut(8);
    // SAFETY: Twice 8 bytes of 16.
    unsafe {
        vst1_u8(
            lower.as_mut_ptr(),
            vqmovun_s16(vcombine_s16(pixel(0), pixel(1))),
        );
        vst1_u8(
            upper.as_mut_ptr(),
            vqmovun_s16(vcombine_s16(pixel(2), pixel(3))),
        );
    }
}

#[target_feature(enable = "neon")]
#[inline]
fn lanes(of: uint32x4_t) -> [u32; PIXELS] {
    let mut lanes = [0; PIXELS];
    // SAFETY: Four lanes of four.
    unsafe { vst1q_u32(lanes.as_mut_ptr(), of) };
    lanes
}

/// As [`scalar::position`].
#[target_feature(enable = "neon")]
#[inline]
fn positions(log2: i32, pixels: [uint32x4_t; 3]) -> [uint32x4_t; 3] {
    // A shift to the left by a negative number is one to the right.
    let up = vdupq_n_s32(log2 - 2);
    let down = vdupq_n_s32(log2 - 18);
    let half = vdupq_n_u32(1 << (17 - log2));
    pixels.map(|value| {
        vaddq_u32(
            vshlq_u32(value, up),
            vshlq_u32(vaddq_u32(value, half), down),
        )
    })
}

/// Fraction above, step below, as in the plain kernel.
#[target_feature(enable = "neon")]
#[inline]
fn key(position: uint32x4_t, step: u32) -> uint32x4_t {
    vorrq_u32(
        vandq_u32(vshlq_n_u32::<15>(position), vdupq_n_u32(0x3fff << 15)),
        vdupq_n_u32(step),
    )
}
