#!/usr/bin/env python3
"""The judgement of art, held against real pictures that scikit-image 0.19.3 ships (BSD-3; each
picture's licence in skimage/data/README), and against Pillow's enlarging and JPEG at known factors.

- Effective resolution: pixels over inches of the frame, reckoned here.
- Enlargement: originals are not called enlarged; every 2x enlargement of a textured one is.
- JPEG blocking: originals and quality 90 are clean; quality 15 is seen, whatever the cut and also
  saved again as PNG.
- Near-duplicates: copies by another program are found, the stereo pair is found, and no two
  distinct pictures are.
"""
import io
import json
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

from PIL import Image, ImageEnhance

from kit.examples import example

ROOT = Path(__file__).resolve().parent.parent
CACHE = ROOT / "outside" / ".cache"
WHEEL = "scikit_image-0.19.3-cp39-cp39-manylinux_2_17_x86_64.manylinux2014_x86_64.whl"
PICTURES = ["astronaut.png", "brick.png", "camera.png", "chelsea.png", "coffee.png", "coins.png", "grass.png",
            "gravel.png", "hubble_deep_field.jpg", "ihc.png", "motorcycle_left.png", "motorcycle_right.png",
            "retina.jpg", "rocket.jpg", "moon.png", "page.png", "text.png", "cell.png", "color.png", "logo.png",
            "horse.png"]
TEXTURED = ["astronaut", "camera", "chelsea", "coffee", "coins", "grass", "gravel", "ihc", "motorcycle_left"]
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
    originals = {}
    with zipfile.ZipFile(CACHE / WHEEL) as wheel:
        for name in PICTURES:
            path = folder / name
            path.write_bytes(wheel.read(f"skimage/data/{name}"))
            originals[path.stem] = path
    return originals


def judge(paths, mm):
    out = subprocess.run([example("art", "art_judge"), "--mm", *map(str, mm), *map(str, paths)],
                         capture_output=True, text=True, check=True, timeout=600)
    *lines, pairs = [json.loads(line) for line in out.stdout.splitlines()]
    return {Path(line["file"]).name: line for line in lines}, pairs["near_duplicates"]


def codes(line):
    return [finding["code"] for finding in line["findings"]]


def main():
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        originals = fetch(folder)
        lines, pairs = judge(originals.values(), (100, 60))

        for stem in ("chelsea", "coffee", "astronaut", "motorcycle_left"):
            width, height = Image.open(originals[stem]).size
            expected = min(width / (100 / 25.4), height / (60 / 25.4))
            found = lines[originals[stem].name]
            check(abs(found["ppi"] - expected) < 0.01, f"{stem}: {found['ppi']:.1f} ppi at 100 x 60 mm")
            level = "art-resolution-low" if expected < 150 else "art-resolution-below-good" if expected < 250 else None
            check((level in codes(found)) if level else not any("resolution" in c for c in codes(found)),
                  f"{stem}: said as {level}")

        wrong = [name for name, line in lines.items() if "art-enlarged" in codes(line)]
        check(not wrong, f"{len(lines)} originals, called enlarged: {wrong}")
        wrong = [name for name, line in lines.items() if "art-jpeg-blocking" in codes(line)]
        check(not wrong, f"{len(lines)} originals, called blocky: {wrong}")
        check(len(pairs) == 1 and "motorcycle_left" in pairs[0]["message"] and "motorcycle_right" in pairs[0]["message"],
              f"only the stereo pair is alike: {[pair['measured'] for pair in pairs]}")

        enlarged = []
        for stem in TEXTURED:
            image = Image.open(originals[stem]).convert("RGB")
            for name, method in (("nearest", 0), ("bilinear", 2), ("bicubic", 3)):
                path = folder / f"{stem}-2x-{name}.png"
                image.resize((image.width * 2, image.height * 2), method).save(path)
                enlarged.append(path)
        lines, _ = judge(enlarged, (100, 100))
        for path in enlarged:
            check("art-enlarged" in codes(lines[path.name]), f"{path.stem} is seen")
        extra = []
        for stem in TEXTURED:
            image = Image.open(originals[stem]).convert("RGB")
            for name, factor, method in (("bicubic-1.5x", 1.5, 3), ("bicubic-3x", 3, 3), ("lanczos-2x", 2, 1)):
                path = folder / f"{stem}-{name}.png"
                image.resize((int(image.width * factor), int(image.height * factor)), method).save(path)
                extra.append(path)
            path = folder / f"{stem}-bicubic-2x.jpg"
            image.resize((image.width * 2, image.height * 2), 3).save(path, quality=85)
            extra.append(path)
        lines, _ = judge(extra, (100, 100))
        seen = {path.stem: [c for c in codes(lines[path.name]) if c in ("art-enlarged", "art-soft")] for path in extra}
        missed = [stem for stem, found in seen.items() if not found]
        check(len(missed) <= len(extra) // 4, f"other ways of enlarging: {len(extra) - len(missed)} of {len(extra)} "
              f"seen, missed {missed}")

        blocky, clean = [], []
        for stem, path in originals.items():
            image = Image.open(path).convert("RGB")
            for quality, into in ((90, clean), (15, blocky)):
                store = io.BytesIO()
                image.save(store, "JPEG", quality=quality)
                again = folder / f"{stem}-q{quality}.png"
                Image.open(store).convert("RGB").crop((3, 5, *image.size)).save(again)
                into.append(again)
        lines, _ = judge(blocky + clean, (100, 100))
        missed = [path.stem for path in blocky if "art-jpeg-blocking" not in codes(lines[path.name])]
        check(len(missed) <= 2, f"quality 15, cut and saved as PNG: {len(blocky) - len(missed)} of {len(blocky)} "
              f"seen, missed {missed}")
        wrong = [path.stem for path in clean if "art-jpeg-blocking" in codes(lines[path.name])]
        check(not wrong, f"quality 90: called blocky {wrong}")

        copies = {}
        for stem in ("chelsea", "coffee", "astronaut", "grass", "text", "retina", "logo"):
            image = Image.open(originals[stem]).convert("RGB")
            width, height = image.size
            store = io.BytesIO()
            image.save(store, "JPEG", quality=50)
            for name, copy in {
                "half": image.resize((width // 2, height // 2)),
                "larger": image.resize((width * 3 // 2, height * 3 // 2), 3),
                "jpeg": Image.open(store).convert("RGB"),
                "brighter": ImageEnhance.Brightness(image).enhance(1.1),
                "paler": ImageEnhance.Contrast(image).enhance(0.85),
            }.items():
                path = folder / f"{stem}-copy-{name}.png"
                copy.save(path)
                copies[path] = originals[stem]
        for path, original in copies.items():
            _, pairs = judge([original, path], (100, 100))
            if not (len(pairs) == 1 and pairs[0]["severity"] == "warn"):
                check(False, f"{path.stem} is not found: {[pair['measured'] for pair in pairs]}")
        check(True, f"{len(copies)} copies by Pillow compared")
    print("FAILED" if failed else "passed", f"({failed} failures)")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
