#!/usr/bin/env python3
"""Places to keep clear and folds, as a printer finds them beside each sheet, read by others.

For every printed sheet of the three demonstration objects: MuPDF tells the lines of its press file, poppler
its words, pikepdf its boxes. A hatched bar must stand on both sides of the sheet along every place that
`foredge object` keeps clear, from edge to edge of the place; nothing that is stroked, and none of the words
beside the sheet, may reach into the bleed or off the paper; each place must be named with its millimetres;
and the small drawing must be to its scale, with every fold dashed where it belongs. A bar that is half a
millimetre off must be found missing, or this check would prove nothing.

Environment: FOREDGE, the program; DEMO, a finished demo book folder.
"""

import json
import os
import re
import subprocess
from pathlib import Path

import pikepdf

from kit.said import end, say

MM = 25.4 / 72
NEAR = 0.02
BAR = 2.5
FILES = {"soft cover": ("cover", 1), "case wrap": ("case", 1), "front endpaper": ("endpapers", 1),
         "back endpaper": ("endpapers", 2), "jacket": ("jacket", 1)}


def out(*command):
    return subprocess.run([str(part) for part in command], check=True, capture_output=True, text=True).stdout


def numbers(text):
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", text)]


def near(one, other):
    return all(abs(a - b) < NEAR for a, b in zip(one, other))


class Sheet:
    """A page in millimetres from the upper left corner of its trim: edges are left, top, right, foot."""

    def __init__(self, path, page):
        with pikepdf.open(path) as pdf:
            boxes = pdf.pages[page - 1]
            media, bleed, trim = ([float(x) * MM for x in boxes[key]] for key in ("/MediaBox", "/BleedBox", "/TrimBox"))
        at = lambda box: (box[0] - trim[0], trim[3] - box[3], box[2] - trim[0], trim[3] - box[1])
        self.paper, self.bleed, self.trim = at(media), at(bleed), at(trim)
        left, top = trim[0] - media[0], media[3] - trim[3]
        self.lines = []
        trace = out("mutool", "trace", path, page)
        for attributes, body in re.findall(r"<stroke_path ([^>]*)>(.*?)</stroke_path>", trace, re.S):
            a, b, c, d, e, f = numbers(re.search(r'transform="([^"]*)"', attributes)[1])
            points = [((a * x + c * y + e) * MM - left, (b * x + d * y + f) * MM - top)
                      for x, y in (map(float, pair) for pair in re.findall(r'x="([-\d.]+)" y="([-\d.]+)"', body))]
            across, down = zip(*points)
            self.lines.append(((min(across), min(down), max(across), max(down)), "<closepath" in body, " dash=" in attributes))
        self.words = []
        page_text = out("pdftotext", "-bbox", "-f", page, "-l", page, path, "-")
        for x0, y0, x1, y1, text in re.findall(
                r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>', page_text):
            x0, y0, x1, y1 = (float(one) * MM for one in (x0, y0, x1, y1))
            self.words.append(((x0 - left, y0 - top, x1 - left, y1 - top), text))

    def bars(self):
        """Closed frames as thick as a bar, outside the bleed."""
        found = []
        for box, closed, _ in self.lines:
            sides = box[2] - box[0], box[3] - box[1]
            if closed and any(abs(side - BAR) < NEAR for side in sides) and self.outside(box):
                found.append(box)
        return found

    def outside(self, box):
        left, top, right, foot = self.bleed
        return box[2] <= left or box[0] >= right or box[3] <= top or box[1] >= foot

    def on_paper(self, box):
        return all(box[i] >= self.paper[i] for i in (0, 1)) and all(box[i] <= self.paper[i] for i in (2, 3))


def sides(sheet, place):
    """On which sides of the sheet a bar stands along a place."""
    left, top, right, foot = place
    found = set()
    for box in sheet.bars():
        if foot - top >= right - left and near((box[0], box[2]), (left, right)) and abs(box[3] - box[1] - BAR) < NEAR:
            found.add("above" if box[3] < sheet.bleed[1] else "below")
        if foot - top < right - left and near((box[1], box[3]), (top, foot)) and abs(box[2] - box[0] - BAR) < NEAR:
            found.add("left" if box[2] < sheet.bleed[0] else "right")
    return found


def short(mm):
    return f"{mm:.1f}".removesuffix(".0")


def key(sheet, thing, text):
    """Whether the small drawing has its cut and its folds, to the scale that it says."""
    scale = int(re.search(r"Key to this sheet, 1 : (\d+)", text)[1])
    width, height = thing["width_mm"], thing["height_mm"]
    for box, closed, dashed in sheet.lines:
        if not closed or not near((box[2] - box[0], box[3] - box[1]), (width / scale, height / scale)):
            continue
        drawn = set()
        for line, _, broken in sheet.lines:
            if broken and box[1] - 9 < line[1] and line[3] < box[3] + 9:
                upright = line[2] - line[0] < NEAR
                drawn.add(("x" if upright else "y", round((line[0] - box[0] if upright else line[1] - box[1]) * scale, 1)))
        for fold in thing["folds"]:
            side, at = ("x", fold["x_mm"]) if "x_mm" in fold else ("y", fold["y_mm"])
            if not any(axis == side and abs(found - at) < NEAR * scale for axis, found in drawn):
                return False
        return True
    return False


def hold(book):
    done = subprocess.run([os.environ["FOREDGE"], "--json", "--book", str(book), "object"], capture_output=True, text=True)
    looked = 0
    for thing in json.loads(done.stdout)["sheets"]:
        stem, page = FILES.get(thing["name"], (None, 0))
        path = book / f"press/{stem}.pdf"
        if not path.exists():
            continue
        looked += 1
        sheet = Sheet(path, page)
        name = f"{book.name} {thing['name']}"
        places = []
        for place in thing["no_go"]:
            x, y = place["x_mm"], place["y_mm"]
            places.append(((x, y, x + place["width_mm"], y + place["height_mm"]), place["why"]))
        found = [len(sides(sheet, place)) for place, _ in places]
        say(places and all(count == 2 for count in found) and len(sheet.bars()) == 2 * len(places),
            f"{name}: two bars along each of {len(places)} places to keep clear, and no others")
        moved = [(box[0] + 0.5, box[1] + 0.5, box[2] + 0.5, box[3] + 0.5) for box, _ in places]
        say(not any(sides(sheet, place) for place in moved), f"{name}: half a millimetre beside, none is found")
        say(all(sheet.outside(box) and sheet.on_paper(box) for box, _, _ in sheet.lines),
            f"{name}: {len(sheet.lines)} lines, all outside the bleed and on the paper")
        below = [(box, text) for box, text in sheet.words if box[3] > sheet.bleed[3]]
        text = " ".join(text for _, text in below)
        say(below and all(box[1] > sheet.bleed[3] - NEAR and sheet.on_paper(box) for box, _ in below),
            f"{name}: {len(below)} words beside the sheet, all below the bleed and on the paper")
        unnamed = []
        for (left, top, right, foot), why in places:
            upright = foot - top >= right - left
            span = f"{short(left)}–{short(right)}" if upright else f"{short(top)}–{short(foot)}"
            if why not in text or span not in text:
                unnamed.append((why, span))
        say(not unnamed, f"{name}: every place is named with its millimetres {unnamed}")
        say(key(sheet, thing, text), f"{name}: the small drawing is to scale, with {len(thing['folds'])} folds")
    return looked


demo = Path(os.environ["DEMO"])
looked = sum(hold(demo / place) for place in ("", "other-bindings/case", "other-bindings/zine"))
say(looked == 6, f"{looked} sheets were looked at")
end()
