#!/usr/bin/env python3
"""The dimensioned drawing as PDF, held against the SVG of the same book and against its figures.

For each binding of the demonstration: poppler reads the words of the PDF and Python's XML parser those of
the SVG, and both must say the same, each as often as the other; every measure of a sheet by `foredge
object` stands on its page. MuPDF tells the lines of each page, which must lie as those of the SVG do: the
cut as large as the sheet, the folds where they belong, at true size. At the end poppler draws each page,
and there is ink all along the cut.

Environment: FOREDGE, the program; DEMO, a finished demo book folder.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml
from collections import Counter
from pathlib import Path

import numpy as np
from PIL import Image

from kit.said import end, say

POINT = 25.4 / 72
NEAR = 0.03
# What only the one long sheet of the SVG says.
ONLY_IN_SVG = [r"sheets at true size,"]
# What only a page of the PDF says: its own heading, its number, the list of pages, the ruler for the eye.
ONLY_IN_PDF = [
    r"Page \d+ of \d+, true size if printed at 100 percent\.",
    r"Pages: 1 section and figures[^.]*\.",
    r"\b\d+ mm on paper\b",
]


def out(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def foredge(book, *arguments):
    done = subprocess.run([os.environ["FOREDGE"], "--json", "--book", str(book), *map(str, arguments)],
                          capture_output=True, text=True)
    if done.returncode == 2:
        sys.exit(f"{arguments}: {done.stdout} {done.stderr}")
    return json.loads(done.stdout)


def plain(text):
    return " ".join(text.split())


def short(mm):
    """A measure as the drawing writes it: to the tenth, without an empty one."""
    return f"{mm:.1f}".removesuffix(".0")


def numbers(text):
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", text)]


class Drawn:
    """Words and lines of one drawing, in millimetres from the upper left corner."""

    def __init__(self):
        self.words = []
        # Points, and whether it is broken into dashes.
        self.lines = []


def svg(path):
    drawn = Drawn()
    for element in xml.parse(path).getroot().iter():
        name = element.tag.rsplit("}", 1)[-1]
        if name == "text":
            drawn.words.append(plain("".join(element.itertext())))
        elif name == "path" and element.get("stroke", "none") != "none":
            flat = numbers(element.get("d"))
            points = list(zip(flat[::2], flat[1::2]))
            drawn.lines.append((points, element.get("stroke-dasharray") is not None))
    return drawn


def pdf_page(path, page):
    drawn = Drawn()
    drawn.words = out("pdftotext", "-raw", "-f", str(page), "-l", str(page), str(path), "-").splitlines()
    trace = out("mutool", "trace", str(path), str(page))
    for attributes, body in re.findall(r"<stroke_path ([^>]*)>(.*?)</stroke_path>", trace, re.S):
        a, b, c, d, e, f = numbers(re.search(r'transform="([^"]*)"', attributes)[1])
        points = [((a * x + c * y + e) * POINT, (b * x + d * y + f) * POINT)
                  for x, y in (map(float, pair) for pair in re.findall(r'x="([-\d.]+)" y="([-\d.]+)"', body))]
        drawn.lines.append((points, " dash=" in attributes))
    return drawn


def box(points):
    across, down = [x for x, _ in points], [y for _, y in points]
    return min(across), min(down), max(across), max(down)


def cuts(drawn, width, height):
    """Corners of the solid outlines of that size."""
    found = []
    for points, dashed in drawn.lines:
        left, top, right, bottom = box(points)
        if not dashed and abs(right - left - width) < NEAR and abs(bottom - top - height) < NEAR and len(points) > 3:
            found.append((left, top))
    return found


def folds(drawn, corner, width, height):
    """Broken lines from edge to edge of a sheet: upright ones by how far in, level ones by how far down."""
    found = set()
    for points, dashed in drawn.lines:
        left, top, right, bottom = (at - corner[index % 2] for index, at in enumerate(box(points)))
        # They run a little over the cut, so that they are seen to go through.
        over = 0.1 * max(width, height)
        if not dashed or left < -over or top < -over or right > width + over or bottom > height + over:
            continue
        if right - left < NEAR and top < NEAR and bottom > height - NEAR:
            found.add(("x", round(left, 1)))
        elif bottom - top < NEAR and left < NEAR and right > width - NEAR:
            found.add(("y", round(top, 1)))
    return found


def tokens(lines, furniture=()):
    text = plain(" ".join(lines))
    for pattern in furniture:
        text = re.sub(pattern, " ", text)
    return Counter(text.split())


def inked(grey, corner, width, height, per_mm):
    """The least share of an edge of the cut along which there is ink within a pixel and a half."""
    left, top = corner
    dark = grey < 140
    row = lambda y, reach=2: dark[max(0, round(y * per_mm) - reach): round(y * per_mm) + reach + 1].any(axis=0)
    column = lambda x, reach=2: dark[:, max(0, round(x * per_mm) - reach): round(x * per_mm) + reach + 1].any(axis=1)
    span = lambda start, size: slice(round(start * per_mm) + 2, round((start + size) * per_mm) - 2)
    return min([row(y)[span(left, width)].mean() for y in (top, top + height)]
               + [column(x)[span(top, height)].mean() for x in (left, left + width)])


def hold(book, folder):
    thing = foredge(book, "object")
    label = book.name
    svg_file, pdf_file = folder / f"{label}.svg", folder / f"{label}.pdf"
    foredge(book, "object", "drawing", svg_file)
    pages = foredge(book, "object", "drawing", pdf_file)["pages"]
    sizes = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", out("pdfinfo", "-l", "-1", str(pdf_file)))
    off = max(abs(float(found) * POINT - page[side]) for page, size in zip(pages, sizes)
              for side, found in zip(("width_mm", "height_mm"), size))
    say(len(sizes) == len(pages) == 1 + len(thing["sheets"]) and off < 0.01,
        f"{label}: {len(sizes)} pages as large as is said, within {off:.4f} mm")

    one, each = svg(svg_file), [pdf_page(pdf_file, page + 1) for page in range(len(pages))]
    # What every page says again is counted once.
    again = set(each[0].words).intersection(*(page.words for page in each[1:]))
    lines = list(each[0].words)
    for page in each[1:]:
        lines += [line for line in page.words if line not in again]
    title = one.words[0]
    heads = [rf"{re.escape(title)}: (?:{'|'.join(re.escape(sheet['name']) for sheet in thing['sheets'])})"]
    sheets = [sheet["name"].capitalize() for sheet in thing["sheets"]]
    left = tokens([word for word in one.words if word not in sheets], ONLY_IN_SVG)
    right = tokens(lines, ONLY_IN_PDF + heads)
    missing, more = left - right, right - left
    if os.environ.get("SHOW"):
        print(sorted(missing.items()), sorted(more.items()))
    figures = sum(count for word, count in left.items() if re.search(r"\d", word))
    say(not missing and not more and figures > 10,
        f"{label}: SVG and PDF say the same {sum(left.values())} words, {figures} of them figures; "
        f"only in the SVG {dict(missing)}, only in the PDF {dict(more)}")

    for sheet, page in zip(thing["sheets"], each[1:]):
        name, width, height = f"{label}, {sheet['name']}", sheet["width_mm"], sheet["height_mm"]
        said = plain(" ".join(page.words))
        wanted = [f"{short(width)} mm cut", f"{short(height)} mm cut"]
        lacking = [figure for figure in wanted if figure not in said]
        lacking += [short(panel["width_mm"]) for panel in sheet["panels"]
                    if not re.search(rf"(?<![\d.]){re.escape(short(panel['width_mm']))}(?![\d.])", said)]
        say(not lacking, f"{name}: its page says how large it is cut and every panel's width {lacking}")
        ours, theirs = cuts(page, width, height), cuts(one, width, height)
        say(len(ours) == 1 and theirs, f"{name}: MuPDF finds the cut once on its page, at true size, {width} × {height} mm")
        if len(ours) != 1 or not theirs:
            continue
        wished = {("x", round(fold["x_mm"], 1)) if "x_mm" in fold else ("y", round(fold["y_mm"], 1)) for fold in sheet["folds"]}
        on_page = folds(page, ours[0], width, height)
        in_svg = [folds(one, corner, width, height) for corner in theirs]
        say(on_page == wished and wished in in_svg,
            f"{name}: its {len(wished)} folds lie where they should, on the page and in the SVG {sorted(on_page ^ wished)}")
        number = thing["sheets"].index(sheet) + 2
        per_mm = 4
        subprocess.run(["pdftoppm", "-gray", "-r", str(25.4 * per_mm), "-f", str(number), "-l", str(number),
                        "-singlefile", str(pdf_file), str(folder / "page")], check=True)
        grey = np.asarray(Image.open(folder / "page.pgm"))
        least = inked(grey, ours[0], width, height, per_mm)
        beside = inked(grey, (ours[0][0] + 1.3, ours[0][1] + 1.3), width, height, per_mm)
        say(least > 0.97 and beside < 0.9,
            f"{name}: poppler draws ink along {least:.1%} of the cut, and 1.3 mm beside it along {beside:.1%} at the least")


def main():
    demo = Path(os.environ["DEMO"])
    books = [demo, *sorted((demo / "other-bindings").iterdir())]
    say(len(books) == 3, f"the demonstration has three bindings: {[book.name for book in books]}")
    with tempfile.TemporaryDirectory() as folder:
        for book in books:
            hold(book, Path(folder))
    end()


main()
