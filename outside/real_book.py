#!/usr/bin/env python3
"""A book made from real pictures, from the folder to the press, held against other programs.

Pictures: scikit-image 0.19.3 (BSD-3; each picture's licence in skimage/data/README). The book is
small, since the pictures are. `foredge new` proposes the order, `foredge press` makes the files;
`foredge check` and qpdf must find nothing that stops, and poppler's rendering of each page that
shows a picture must resemble that picture, decoded by Pillow. Needs FOREDGE.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
import pikepdf
from PIL import Image, ImageOps

from art_real import fetch

# 512 px and more, so that a small page holds them at 150 ppi.
PICTURES = ["astronaut.png", "camera.png", "coffee.png", "hubble_deep_field.jpg", "ihc.png", "motorcycle_left.png",
            "retina.jpg", "rocket.jpg", "moon.png", "grass.png", "gravel.png"]
failed = 0


def check(good, text):
    global failed
    failed += not good
    print(("ok   " if good else "FAIL ") + text)


def foredge(*words, allow=(0,)):
    run = subprocess.run([os.environ["FOREDGE"], *map(str, words)], capture_output=True, text=True, timeout=600)
    if run.returncode not in allow:
        sys.exit(f"foredge {' '.join(map(str, words))} ended with {run.returncode}:\n{run.stderr}")
    return run.stdout


def likeness(one, other):
    """Correlation of two greys. Poppler makes grey of the four inks without a profile, which bends the tones."""
    return float(numpy.corrcoef(numpy.asarray(one, float).ravel(), numpy.asarray(other, float).ravel())[0, 1])


def place_of_picture(page, height):
    """Where the page's one picture lies, in points from the top left, by the page's own operators."""
    matrices = [operands for operands, operator in pikepdf.parse_content_stream(page) if str(operator) == "cm"]
    (across, _, _, up, x, y), = [[float(value) for value in operands] for operands in matrices]
    return x, height - y - up, x + across, height - y


def main():
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        (scratch / "all").mkdir()
        fetch(scratch / "all")
        art = scratch / "art"
        art.mkdir()
        for name in PICTURES:
            (scratch / "all" / name).rename(art / name)
        book = scratch / "book"
        foredge("new", book, "--art", art, "--title", "Eleven found pictures", "--trim", "70x80mm")
        foredge("--book", book, "press", allow=(0, 1))
        pages = json.loads(foredge("--book", book, "--json", "pages", allow=(0, 1)))
        for name in ("interior.pdf", "cover.pdf"):
            file = book / "press" / name
            report = json.loads(foredge("--book", book, "--json", "check", file, allow=(0, 1)))
            stops = [f"{finding['code']} {finding['message']}" for finding in report["findings"]
                     if finding["severity"] == "stop"]
            check(not stops, f"{name}: foredge check finds nothing that stops {stops}")
            run = subprocess.run(["qpdf", "--check", file], capture_output=True, text=True)
            check(run.returncode == 0, f"{name}: qpdf finds nothing wrong {run.stderr}")
        subprocess.run(["pdftoppm", "-r", "288", "-png", "-gray", book / "press" / "interior.pdf", scratch / "page"],
                       check=True)
        shown = sorted(scratch.glob("page-*.png"))
        compared = 0
        with pikepdf.open(book / "press" / "interior.pdf") as pdf:
            for page in pages["pages"]:
                if page["treatment"] not in {"inset", "full page"}:
                    continue
                # Four dots a point, brought down to one: poppler itself does not average what it draws small.
                rendered = Image.open(shown[page["page"] - 1]).convert("L").reduce(4)
                left, top, right, bottom = place_of_picture(pdf.pages[page["page"] - 1], rendered.height)
                part = rendered.crop([round(left), round(top), round(right), round(bottom)])
                # Whole in an inset; on a full page cut around its middle to the page's shape.
                like = {
                    name: likeness(part, ImageOps.fit(Image.open(art / name).convert("L"), part.size, Image.LANCZOS))
                    for name in PICTURES
                }
                own = like.pop(page["pieces"][0])
                compared += 1
                check(own > 0.8 and own > max(like.values()) + 0.3,
                      f"page {page['page']} shows {page['pieces'][0]} in its place: likeness {own:.3f}, "
                      f"to any other at most {max(like.values()):.3f}")
        check(compared >= 5, f"{compared} pages compared")
    sys.exit(bool(failed))


if __name__ == "__main__":
    main()
