#!/usr/bin/env python3
"""Sharpening for paper, held against scipy 1.17.1 (Gaussian, least and greatest of nine), colour-science 0.4.7
(curve of sRGB, L*) and Pillow 13.0.0 (its own unsharp mask), on real pictures that scikit-image 0.19.3 ships
(each picture's licence in skimage/data/README).

- Every pixel is what the stated rule gives when scipy and colour-science compute it.
- What is added goes the way of Pillow's unsharp mask of the same radius (correlation over 0.95: that one works on
  encoded grey, and lets colours end where ours stop).
- The ratio of the spectra of sharpened and plain noise is the gain that is stated, within 3 percent.
"""
import json
import math
import subprocess
import sys
import tempfile
import warnings
import zipfile
from pathlib import Path

warnings.filterwarnings("ignore", module="colour")  # It misses libraries that nothing here needs.

import colour
import numpy as np
from PIL import Image, ImageFilter
from scipy import ndimage

from kit.examples import example

ROOT = Path(__file__).resolve().parent.parent
CACHE = ROOT / "outside" / ".cache"
WHEEL = "scikit_image-0.19.3-cp39-cp39-manylinux_2_17_x86_64.manylinux2014_x86_64.whl"
PICTURES = ["astronaut.png", "coffee.png", "chelsea.png", "camera.png"]
failed = 0


def check(good, text):
    global failed
    failed += not good
    print(("ok   " if good else "FAIL ") + text)


def fetch(folder):
    if not (CACHE / WHEEL).exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        subprocess.run(
            [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "--only-binary=:all:",
             "--python-version", "3.9", "--platform", "manylinux2014_x86_64", "--platform",
             "manylinux_2_17_x86_64", "-d", str(CACHE), "scikit-image==0.19.3"], check=True)
    with zipfile.ZipFile(CACHE / WHEEL) as wheel:
        for name in PICTURES:
            path = folder / name
            path.write_bytes(wheel.read(f"skimage/data/{name}"))
            yield path


def ours(path, folder, figures):
    out = folder / "out.raw"
    told = subprocess.run([example("art", "art_sharpen"), str(path), str(out), *map(str, figures)],
                          capture_output=True, text=True, check=True, timeout=600)
    told = json.loads(told.stdout)
    pixels = np.fromfile(out, dtype="<u2").reshape(told["height"], told["width"], 3)
    return pixels.astype(float) / 65535, told


def luma(rgb):
    """Encoded, weights of BT.709."""
    return rgb @ np.array([0.2126, 0.7152, 0.0722])


def lightness(encoded):
    return colour.colorimetry.lightness_CIE1976(colour.models.eotf_sRGB(encoded) * 100)


def by_rule(rgb, amount, radius, threshold, halo):
    """The rule of the documentation, in other hands."""
    at = lightness(luma(rgb))
    mean = ndimage.gaussian_filter(at, radius, mode="nearest", truncate=math.ceil(3 * radius) / radius)
    detail = at - mean
    added = amount * detail * np.divide(detail**2, detail**2 + threshold**2,
                                        out=np.zeros_like(detail), where=detail != 0)
    low = ndimage.minimum_filter(at, 3, mode="nearest") - halo
    high = ndimage.maximum_filter(at, 3, mode="nearest") + halo
    wanted = np.clip(np.clip(at + added, low, high), 0, 100)
    light = colour.colorimetry.luminance_CIE1976(wanted) / 100
    # Near black the encoding's straight part answers for what the curve cannot.
    factor = colour.models.eotf_inverse_sRGB(light) / np.maximum(luma(rgb), 1e-9)
    factor = np.minimum(factor, 1 / np.maximum(rgb.max(axis=2), 1e-9))
    return np.where(luma(rgb)[..., None] > 0, rgb * factor[..., None], rgb)


def main():
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        for path in fetch(folder):
            image = Image.open(path).convert("RGB")
            rgb = np.asarray(image).astype(float) / 255
            for figures in ((1.25, 0.61, 1.0, 4.0), (2.6, 1.0, 1.0, 6.0), (1.0, 3.0, 0.0, 100.0)):
                found, _ = ours(path, folder, figures)
                expected = by_rule(rgb, *figures)
                # In the darkest darks a step of the tables is many parts of a colour.
                off = np.abs(found - expected) * 255
                check(off.max() < 0.25 and off.mean() < 0.005,
                      f"{path.stem} {figures}: off by {off.mean():.4f} of 255 on average, {off.max():.3f} at most")
            found, _ = ours(path, folder, (1.0, 2.0, 0.0, 100.0))
            # The radius of Pillow's mask is its Gaussian's deviation; it works on encoded grey.
            grey = Image.fromarray(np.round(luma(rgb) * 255).astype(np.uint8))
            theirs = np.asarray(grey.filter(ImageFilter.UnsharpMask(radius=2, percent=100, threshold=0))).astype(float)
            before = np.asarray(grey).astype(float)
            mine = luma(found) * 255 - luma(rgb) * 255
            # Where either is cut at black or white there is nothing to compare.
            inner = (theirs > 2) & (theirs < 253) & (rgb.max(axis=2) < 0.95) & (before > 25)
            alike = np.corrcoef(mine[inner], (theirs - before)[inner])[0, 1]
            size = mine[inner].std() / (theirs - before)[inner].std()
            check(alike > 0.95 and 0.8 < size < 1.25,
                  f"{path.stem}: goes with Pillow's unsharp mask, correlation {alike:.3f}, {size:.2f} times as strong")
        # A quiet picture of noise has every frequency, none of which is cut.
        noise = ndimage.gaussian_filter(np.random.default_rng(5).normal(size=(512, 512)), 0.5)
        noise = 128 + 14 * noise / noise.std()
        Image.fromarray(np.clip(np.round(noise), 0, 255).astype(np.uint8)).save(folder / "noise.png")
        figures = (1.5, 1.0, 0.0, 100.0)
        found, told = ours(folder / "noise.png", folder, figures)
        plain = lightness(np.asarray(Image.open(folder / "noise.png")).astype(float) / 255)
        window = np.hanning(512)
        # Across alone: rows are averaged, so that what differs down the picture is taken out.
        rows = [np.abs(np.fft.fft(values.mean(axis=0) * window)) ** 2 for values in (lightness(luma(found)) - 50, plain - 50)]
        for cycles, stated in ((0.125, told["gain_at_8_px"]), (0.25, told["gain_at_4_px"])):
            band = slice(int(512 * cycles) - 8, int(512 * cycles) + 9)
            gain = math.sqrt(rows[0][band].sum() / rows[1][band].sum())
            check(abs(gain / stated - 1) < 0.03, f"gain at {cycles} cycles to the pixel: {gain:.3f}, stated {stated:.3f}")
    sys.exit(1 if failed else 0)


main()
