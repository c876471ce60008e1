#!/usr/bin/env python3
"""The reading of pictures, held against Pillow (libjpeg-turbo, libpng's zlib, libtiff, libwebp).

Pictures: the tests of Pillow 13.0.0 (MIT-CMU) and the PngSuite (Willem van Schaik) as carried by
pypng 0.20220715.0; both are fetched with pip as source packages into outside/.cache.
- What both read must have the same size and the same pixels, within what two JPEG or WebP
  decoders may differ by.
- What only one of the two reads must be in the list below, with the reason.
- Nothing may crash, hang or eat memory.
"""
import io
import json
import re
import resource
import subprocess
import sys
import tarfile
import tempfile
import warnings
from pathlib import Path

import numpy as np
from PIL import Image, ImageFile, ImageOps

from kit.examples import example

ROOT = Path(__file__).resolve().parent.parent
CACHE = ROOT / "outside" / ".cache"
ENDINGS = {".jpg", ".jpeg", ".png", ".apng", ".tif", ".tiff", ".webp", ".mpo"}
MOST_SECONDS = 5.0
MOST_MEMORY = 3 << 30

# What we refuse although Pillow reads it: the file's name (or any), part of our message.
REFUSED = [
    ("", "fax compression"),
    ("", "in L*a*b*"),
    ("", "signed samples"),
    ("", "32-bit samples"),
    ("", "floating-point samples"),
    ("", "JPEG of the old kind"),
    ("", "TIFFs with compression 34925"),
    ("", "WebP or JPEG XL inside"),
    # Pillow forgives an end that is missing when the pixels are there; a press should not.
    ("", "it is cut: its end is missing"),
    # Its coded data is corrupt: Pillow shows stripes of noise.
    ("hopper_bad_exif.jpg", "Bad Huffman Code"),
]
# What we read although Pillow refuses it, and why that is right.
ACCEPTED = {
    "chunk_no_fctl.png": "only the animation is broken, the still picture is whole",
    "png_decompression_dos.png": "the bomb is in a text, which we never unpack",
    "tiff_overflow_rows_per_strip.tif": "rows per strip beyond the picture mean one strip",
    "tiff_tiled_jpeg_oob_read.tif": "only the type of one tag is odd, the picture is whole",
    "unknown_compression_method.png": "only the profile cannot be unpacked, and that is remarked",
}
# What both read, but not alike, and why.
UNLIKE = {
    "12bit.cropped.tif": "Pillow leaves 12 bits as they are, we bring them to full range",
    "i_trns.png": "Pillow leaves the transparent grey of 16 bits out",
    "tbbn1g04.png": "Pillow leaves the transparent grey of 4 bits unscaled",
    "exif_imagemagick_orientation.png": "turned by a text chunk, not by EXIF",
    "xmp_tags_orientation.png": "turned by XMP, not by EXIF",
    "xmp_tags_orientation_exiftool.png": "turned by XMP, not by EXIF",
}


def fetch(package, version):
    archive = CACHE / f"{package}-{version}.tar.gz"
    if not archive.exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        subprocess.run(
            [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "--no-binary", package,
             "-d", str(CACHE), f"{package}=={version}"],
            check=True,
        )
    return archive


def collect(folder):
    """Writes the pictures of both packages into a folder."""
    files = []
    with tarfile.open(fetch("pillow", "13.0.0")) as tar:
        for member in tar:
            path = Path(member.name)
            if member.isfile() and "Tests" in path.parts and path.suffix.lower() in ENDINGS:
                target = folder / "pillow" / Path(*path.parts[2:])
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(tar.extractfile(member).read())
                files.append(target)
    with tarfile.open(fetch("pypng", "0.20220715.0")) as tar:
        source = next(m for m in tar if m.name.endswith("code/pngsuite.py"))
        text = tar.extractfile(source).read().decode()
    # The pictures stand there as hexadecimal text, each after its name.
    found = re.findall(r"'(\w+)': _dehex\(\s*b\"\"\"([0-9a-f\s]+)\"\"\"", text)
    names = {name: bytes.fromhex("".join(digits.split())) for name, digits in found}
    (folder / "pngsuite").mkdir()
    for name, data in names.items():
        target = folder / "pngsuite" / f"{name}.png"
        target.write_bytes(data)
        files.append(target)
    return sorted(files)


def broken_copies(folder, files):
    """Cuts of whole files: every one must be refused."""
    made = []
    (folder / "cut").mkdir()
    for name in ["hopper.jpg", "pil_sample_cmyk.jpg", "hopper.png", "hopper.webp",
                 "tiff_strip_raw.tif", "tiff_strip_cmyk_jpeg.tif", "hopper_lzw.tif", "basi6a08.png"]:
        source = next((f for f in files if f.name == name), None)
        assert source is not None, name
        whole = source.read_bytes()
        # The second half of that one is its profile and its directory.
        parts = (0.1, 0.2, 0.4) if name == "tiff_strip_cmyk_jpeg.tif" else (0.3, 0.6, 0.9)
        for part in parts:
            target = folder / "cut" / f"{source.stem}_{int(part * 100)}{source.suffix}"
            target.write_bytes(whole[: int(len(whole) * part)])
            made.append(target)
    # JPEGs that were cut and then closed again with an end marker, as rescue programs do.
    hopper = Image.open(next(f for f in files if f.name == "hopper.png")).convert("RGB").resize((512, 512))
    kinds = {
        "baseline": {}, "progressive": {"progressive": True}, "full": {"subsampling": 0},
        "restarts": {"restart_marker_rows": 1},
    }
    for kind, options in kinds.items():
        for mode in ("RGB", "L", "CMYK"):
            store = io.BytesIO()
            hopper.convert(mode).save(store, "JPEG", quality=90, **options)
            for part in (0.3, 0.6, 0.9, 0.98):
                target = folder / "cut" / f"closed_{kind}_{mode}_{int(part * 100)}.jpg"
                target.write_bytes(store.getvalue()[: int(store.tell() * part)] + b"\xff\xd9")
                made.append(target)
    return made


def ours(files, folder):
    limit = lambda: resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    out = subprocess.run(
        [example("art", "art_probe"), "--pixels", str(folder), *map(str, files)],
        capture_output=True, text=True, preexec_fn=limit, timeout=600,
    )
    if out.returncode != 0:
        print(f"FAIL art_probe ended with {out.returncode}: {out.stderr[-500:]}")
        sys.exit(1)
    lines = [json.loads(line) for line in out.stdout.splitlines()]
    assert len(lines) == len(files)
    return lines


def theirs(path):
    """Pillow's first frame, upright, on white: (array, sixteen bits?)."""
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        image = Image.open(path)
        image.load()
        icc = image.info.get("icc_profile")
        try:
            turned = ImageOps.exif_transpose(image)
        except Exception:
            turned = image  # absurd EXIF asks for nothing
        image = turned or image
        if image.mode in ("I;16", "I;16B", "I;16L", "I;16N") or (
            image.mode == "I" and path.suffix.lower() in (".png", ".tif", ".tiff")
        ):
            return np.asarray(image).astype(np.int64), True, icc
        if image.mode == "CMYK":
            return np.asarray(image).astype(np.int64), False, icc
        if image.mode == "1":
            image = image.convert("L")
        if image.mode == "P":
            image = image.convert("RGBA" if "transparency" in image.info else "RGB")
        elif "transparency" in image.info and image.mode in ("L", "RGB"):
            image = image.convert("RGBA")
        if image.mode in ("LA", "La", "PA", "RGBa"):
            image = image.convert("RGBA")
        if image.mode == "RGBX":
            image = image.convert("RGB")
        if image.mode == "YCbCr":
            image = image.convert("RGB")
        values = np.asarray(image).astype(np.float64)
        if image.mode == "RGBA":
            opacity = values[..., 3:] / 255
            values = values[..., :3] * opacity + 255 * (1 - opacity)
            return np.round(values), False, icc
        if image.mode in ("L", "RGB"):
            return values, False, icc
        raise ValueError(f"mode {image.mode} is not compared")


def pixels(line):
    kind = line["kind"]
    width, height = line["size"]
    values = np.fromfile(line["pixels"], dtype="<u2" if kind.endswith("16") else "u1")
    channels = {"grey": 1, "rgb": 3, "cmyk": 4}[kind.rstrip("0123456789")]
    shape = (height, width) if channels == 1 else (height, width, channels)
    return values.reshape(shape).astype(np.float64), kind.endswith("16")


def compare(path, line):
    """None if both agree, else a sentence."""
    expected, wide, _icc = theirs(path)
    found, found_wide = pixels(line)
    if found_wide and not wide:
        found = np.floor(found / 256)  # Pillow keeps the high byte
    if wide and not found_wide:
        return "Pillow sees 16 bits, we see 8"
    if expected.ndim == 3 and found.ndim == 2:
        found = np.repeat(found[..., None], 3, axis=2)
    if expected.size < 3 * 64 and expected.shape[-1] == 3:
        # Libraries interpolate the chroma of the tiniest pictures differently: lightness only.
        weights = np.array([0.299, 0.587, 0.114])
        expected, found = expected @ weights / 2, found @ weights / 2
    if expected.shape != found.shape:
        return f"shape {found.shape} against {expected.shape}"
    lossy = path.suffix.lower() in (".jpg", ".jpeg", ".webp", ".mpo") or "jpeg" in path.name
    difference = np.abs(expected - found)
    mean, worst = difference.mean(), difference.max()
    most_mean, most_worst = (0.8, 48) if lossy else (0.3, 1)
    if "Flattened" in line["remarks"] and found_wide:
        most_mean, most_worst = (0.6, 2)  # Pillow flattened 8 of the 16 bits
    if mean > most_mean or worst > most_worst:
        return f"pixels differ by {mean:.3f} on average, {worst:.0f} at most"
    return None


def main():
    failed = 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        files = collect(folder)
        cuts = broken_copies(folder, files)
        lines = ours(files + cuts, folder)
        slow = [line for line in lines if line.get("decode_ms", 0) > MOST_SECONDS * 1000]
        for line in slow:
            print(f"FAIL {line['file']} took {line['decode_ms']:.0f} ms")
        failed += len(slow)
        same = both_refuse = listed = uncompared = 0
        for path, line in zip(files, lines):
            name = path.relative_to(folder)
            error = line.get("error")
            if not error and line.get("probed") != line["size"]:
                print(f"FAIL {name}: probe says {line.get('probed')}, decode {line['size']}")
                failed += 1
            try:
                if error:
                    theirs(path)
                else:
                    problem = compare(path, line)
            except Exception as reason:  # Pillow refuses in many ways
                if error:
                    both_refuse += 1
                elif "is not compared" in str(reason):
                    uncompared += 1
                    print(f"skip {name}: {reason}")
                elif name.name in ACCEPTED:
                    listed += 1
                else:
                    print(f"FAIL {name}: we read it, Pillow says {reason!r}")
                    failed += 1
                continue
            if error:
                if any(part in name.name and why in error for part, why in REFUSED):
                    listed += 1
                else:
                    print(f"FAIL {name}: Pillow reads it, we say {error}")
                    failed += 1
            elif problem and name.name in UNLIKE:
                listed += 1
            elif problem:
                print(f"FAIL {name}: {problem} {line['remarks']}")
                failed += 1
            else:
                same += 1
        for path, line in zip(cuts, lines[len(files):]):
            if "error" not in line:
                print(f"FAIL {path.name}: a cut file was read as if it were whole")
                failed += 1
        slowest = max(line.get("decode_ms", 0) for line in lines)
        probe = max(line.get("probe_ms", 0) for line in lines)
        print(f"ok   {same} pictures alike, {both_refuse} refused by both, {listed} listed differences, "
              f"{uncompared} not compared; {len(cuts)} cuts; slowest decode {slowest:.0f} ms, "
              f"slowest probe {probe:.1f} ms")
    print("FAILED" if failed else "passed", f"({failed} failures)")
    sys.exit(1 if failed else 0)


main()
