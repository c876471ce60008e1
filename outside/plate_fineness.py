#!/usr/bin/env python3
"""Finishing plates, held against scikit-image and an independent SVG renderer.

- What is nowhere narrower than a disc: our opening decides which places are too fine; scikit-image's
  erosion and dilation by the disc of the same pixels, with the same rule for corners, finds the same
  places on the same pixels.
- SVG masks: the plate that we paint covers what MuPDF paints, but for the pixels of the edges.
"""
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy import ndimage
from skimage.morphology import dilation, disk, erosion, mirror_footprint, pad_footprint

from kit.examples import example

ROOT = Path(__file__).resolve().parent.parent
failed = 0


def check(good, text):
    global failed
    failed += not good
    print(("ok   " if good else "FAIL ") + text)


def pgm(path):
    _, size, _, data = Path(path).read_bytes().split(b"\n", 3)
    width, height = map(int, size.split())
    return np.frombuffer(data, np.uint8).reshape(height, width)


def ours(mask, width, height, finest, out):
    done = subprocess.run([PLATE, str(mask), str(width), str(height), str(finest), str(out)],
                          capture_output=True, text=True)
    if done.returncode:
        return done.stderr.strip(), []
    lines = done.stdout.splitlines()
    count = next(int(line.split()[1]) for line in lines if line.startswith("count"))
    faults = [line.split() for line in lines if line.startswith(("Line", "Gap"))]
    return count, faults


def theirs(plate, finest_px):
    """The same rule, written with other tools: opening, what is left over, how far it reaches."""
    across = int(finest_px)
    # An even disc is an odd one whose every pixel covers four.
    disc = disk((across - 1) // 2).astype(bool)
    if across % 2 == 0:
        disc = pad_footprint(ndimage.binary_dilation(np.pad(disc, ((1, 0), (1, 0))), np.ones((2, 2))), pad_end=False)
    half = (across - 1) // 2
    reach = half + -(-half // 5) + 1
    places = []
    for kind, part in (("Line", plate), ("Gap", ~plate)):
        # Beyond the edge there is neither plate nor ground.
        opened = dilation(erosion(part, disc, mode="ignore"), mirror_footprint(disc), mode="ignore")
        left, count = ndimage.label(part & ~opened, np.ones((3, 3)))
        far = ndimage.distance_transform_edt(~opened) if opened.any() else np.full(part.shape, 1e9)
        for index in range(1, count + 1):
            here = left == index
            if far[here].max() > reach:
                rows, columns = np.nonzero(here)
                places.append((kind, columns.min(), rows.min(), columns.max() + 1, rows.max() + 1))
    return places


def random_plate(rng, side=400):
    """Blobs, bars and needles of every width, as one drawing."""
    plate = np.zeros((side, side), bool)
    y, x = np.mgrid[:side, :side]
    for _ in range(rng.integers(4, 14)):
        cx, cy = rng.uniform(40, side - 40, 2)
        angle = rng.uniform(0, np.pi)
        along = (x - cx) * np.cos(angle) + (y - cy) * np.sin(angle)
        across = -(x - cx) * np.sin(angle) + (y - cy) * np.cos(angle)
        length, width = rng.uniform(20, 150), rng.choice([2, 4, 6, 8, 10, 14, 20, 40])
        kind = rng.integers(3)
        if kind == 0:
            plate |= (abs(along) < length) & (abs(across) < width / 2)
        elif kind == 1:
            plate |= (along / length) ** 2 + (across / width) ** 2 < 1
        else:
            plate &= ~((abs(along) < length) & (abs(across) < width / 4))
    return plate


PLATE = example("finish", "plate_check")
with tempfile.TemporaryDirectory() as folder:
    folder = Path(folder)
    rng = np.random.default_rng(20261125)
    same = places = 0
    plates = 40
    for index in range(plates):
        plate = random_plate(rng)
        side = plate.shape[0]
        mask = folder / "mask.pgm"
        mask.write_bytes(b"P5\n%d %d\n255\n" % (side, side) + np.where(plate, 0, 255).astype(np.uint8).tobytes())
        finest = int(rng.choice([2, 7, 8, 9, 12, 15]))
        # Ten pixels to the millimetre.
        count, faults = ours(mask, side / 10, side / 10, finest / 10, folder / "plate.pgm")
        mine = sorted((kind, *(round(float(v) * 10) for v in (x, y, float(x) + float(w), float(y) + float(h))))
                      for kind, x, y, w, h, *_ in faults)
        other = sorted((kind, *map(int, place)) for kind, *place in theirs(plate, finest))
        places += len(other)
        same += mine == other
        if mine != other:
            print("     differs:", index, finest, [p for p in mine if p not in other], [p for p in other if p not in mine])
    check(same == plates and places > 100,
          f"too fine places: {same} of {plates} plates alike with scikit-image, {places} places in all")

    drawings = {
        "curves": '<path d="M20 80C20 10 80 10 80 80S140 150 140 80Q160 20 180 80L180 95H20Z"/>',
        "strokes": '<g fill="none" stroke="black" stroke-width="6">'
                   '<path d="M20 20L100 80L180 20"/><circle cx="100" cy="50" r="20" stroke-width="3"/></g>',
        "holes": '<path fill-rule="evenodd" d="M10 10H190V90H10Z M30 30H170V70H30Z"/><rect x="90" y="5" width="8" height="90"/>'
                 '<circle cx="150" cy="20" r="8" fill="#fff"/>',
        "turned copies": '<defs><path id="leaf" d="M0 0C10 -8 22 -8 32 0C22 8 10 8 0 0Z"/></defs>'
                         + "".join(f'<use href="#leaf" transform="translate(100 50) rotate({a}) translate(8 0)"/>' for a in range(0, 360, 40)),
    }
    for name, body in drawings.items():
        drawing = folder / "drawing.svg"
        drawing.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" '
                           f'viewBox="0 0 200 100"><rect width="200" height="100" fill="white"/>{body}</svg>')
        count, _ = ours(drawing, 200, 100, 4, folder / "plate.pgm")
        if isinstance(count, str):
            check(False, f"{name}: {count}")
            continue
        plate = pgm(folder / "plate.pgm") < 128
        subprocess.run(["mutool", "draw", "-q", "-c", "gray", "-w", str(plate.shape[1]), "-h", str(plate.shape[0]), "-f",
                        "-o", str(folder / "other.pgm"), str(drawing)], check=True, capture_output=True)
        other = pgm(folder / "other.pgm")
        if other.shape != plate.shape:
            check(False, f"{name}: MuPDF painted {other.shape}, we {plate.shape}")
            continue
        other = other < 128
        edge = ndimage.binary_dilation(other, iterations=3) & ~ndimage.binary_erosion(other, iterations=3)
        off = (plate != other) & ~edge
        check(not off.any() and plate.any(),
              f"{name}: {plate.mean():.1%} covered, MuPDF {other.mean():.1%}, {int((plate != other).sum())} pixels of edges differ, "
              f"{int(off.sum())} others")
sys.exit(failed > 0)
