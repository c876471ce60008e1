#!/usr/bin/env python3
# A printer's template as a PDF, drawn in the ways in which such files are drawn (strokes, thin bars,
# tinted panels, marks outside the trim, boxes alone, turned pages, layers, forms, other units, several
# pages, safe zones and tables around), written here line by line and laid over the sheet: each figure
# that is read is held against the millimetres it was drawn with. What cannot be told must be said to
# be doubtful or not to be there, never be wrong.
import json
import os
import shutil
import subprocess
import sys
import tempfile

failed = 0
MM = 72 / 25.4


def hold(what, good, found):
    global failed
    failed += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: {found}")


def run(*arguments, refused=False):
    done = subprocess.run([os.environ["FOREDGE"], "--json", "--book", book, *arguments], capture_output=True, text=True)
    if (done.returncode == 2) != refused:
        sys.exit(f"{arguments}: {done.returncode} {done.stdout} {done.stderr}")
    return json.loads(done.stdout)


def pdf(pages):
    """A file of pages, each (keys of its dictionary, content, more objects by their name)."""
    objects = [b"<< /Type /Catalog /Pages 2 0 R >>", b""]
    kids = []
    for keys, content, more in pages:
        numbers = {}
        for name, body in more.items():
            objects.append(body)
            numbers[name] = len(objects)
        content = content.encode()
        objects.append(b"<< /Length %d >>\nstream\n%s\nendstream" % (len(content), content))
        keys = keys.format(**{name: f"{number} 0 R" for name, number in numbers.items()})
        objects.append(f"<< /Type /Page /Parent 2 0 R /Contents {len(objects)} 0 R {keys} >>".encode())
        kids.append(f"{len(objects)} 0 R")
    objects[1] = f"<< /Type /Pages /Kids [{' '.join(kids)}] /Count {len(kids)} >>".encode()
    out = bytearray(b"%PDF-1.6\n")
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer << /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start)
    return bytes(out)


folder = tempfile.mkdtemp()
book = os.path.join(folder, "book")
shutil.copytree(os.environ["DEMO"], book, symlinks=True, ignore=shutil.ignore_patterns("press", ".foredge", "proofs", "other-bindings"))
listed = {one["name"]: one["ours_mm"] for one in run("object", "template", "cover")["figures"]}
BLEED = 5.0
drawn = dict(listed)
drawn |= {"bleed": BLEED, "spine": listed["spine"] + 0.7, "front flap": listed["front flap"] - 4, "back flap": listed["back flap"] - 4}
panels = ["back flap", "back", "spine", "front", "front flap"]
drawn["width"] = sum(drawn[name] for name in panels)
width, height = drawn["width"], drawn["height"]
LEFT, FOOT = 41.0, 33.0
PAGE = (width + 2 * LEFT, height + 2 * FOOT)
edges = [0.0]
for name in panels:
    edges.append(edges[-1] + drawn[name])


def boxes(box=True, unit=1.0, origin=(0.0, 0.0)):
    def array(x0, y0, x1, y1):
        x, y = origin
        return "[" + " ".join(f"{value / unit:.4f}" for value in ((x0 + x) * MM, (y0 + y) * MM, (x1 + x) * MM, (y1 + y) * MM)) + "]"

    keys = f"/MediaBox {array(0, 0, *PAGE)}"
    if box:
        keys += f" /TrimBox {array(LEFT, FOOT, LEFT + width, FOOT + height)}"
        keys += f" /BleedBox {array(LEFT - BLEED, FOOT - BLEED, LEFT + width + BLEED, FOOT + height + BLEED)}"
    return keys


def stroke(x0, y0, x1, y1):
    return f"{(LEFT + x0) * MM:.4f} {(FOOT + y0) * MM:.4f} m {(LEFT + x1) * MM:.4f} {(FOOT + y1) * MM:.4f} l S"


def area(x, y, w, h, how="f"):
    return f"{(LEFT + x) * MM:.4f} {(FOOT + y) * MM:.4f} {w * MM:.4f} {h * MM:.4f} re {how}"


def folds(line, over=0.0):
    return [line(x, -over, x, height + over) for x in edges[1:-1]]


def upright_bar(x0, y0, x1, y1):
    thin = 0.25
    return area(x0 - thin / 2, y0, thin, y1 - y0) if x0 == x1 else area(x0, y0 - thin / 2, x1 - x0, thin)


def frame(line):
    return [line(0, 0, width, 0), line(0, height, width, height), line(0, 0, 0, height), line(width, 0, width, height)]


strokes = "0.3 w 0 0 1 RG " + " ".join(frame(stroke) + folds(stroke, 8.0))
outline = "0.3 w " + area(0, 0, width, height, "S") + " " + " ".join(folds(stroke))
dashes = "0.4 w [6 3] 0 d " + " ".join(folds(stroke)) + " [] 0 d " + area(0, 0, width, height, "S")
bars = "1 0 1 rg " + " ".join(frame(upright_bar) + folds(upright_bar))
tints = " ".join(f"0.{index + 3} 0.8 0.9 rg " + area(edges[index], 0, drawn[name], height) for index, name in enumerate(panels))
marks = "0.25 w " + " ".join(
    [stroke(x, -12, x, -4) + " " + stroke(x, height + 4, x, height + 12) for x in edges]
    + [stroke(-12, y, -4, y) + " " + stroke(width + 4, y, width + 12, y) for y in (0, height)]
)
# Zones in which words are safe, the place of the bar code, and a table beside the sheet.
zones = "0.5 G 0.2 w " + " ".join(area(edges[i] + 5, 5, drawn[name] - 10, height - 10, "S") for i, name in enumerate(panels) if name != "spine")
zones += " " + area(edges[1] + 190, 12, 40, 30, "S") + " "
table = " ".join(stroke(-30 + 8 * column, height + 16, -30 + 8 * column, height + 30) for column in range(12))
table += " " + " ".join(stroke(-30, height + 16 + 3.5 * row, 58, height + 16 + 3.5 * row) for row in range(5))
middles = "0.2 w [2 2] 0 d " + stroke((edges[2] + edges[3]) / 2, 0, (edges[2] + edges[3]) / 2, height) + " [] 0 d "


def turned(content, degrees):
    """The page lies turned in the file, and its key turns it back for whoever looks."""
    w, h = (value * MM for value in PAGE)
    matrix, media = {
        90: (f"0 1 -1 0 {h:.4f} 0", (h, w)),
        180: (f"-1 0 0 -1 {w:.4f} {h:.4f}", (w, h)),
        270: (f"0 -1 1 0 0 {w:.4f}", (h, w)),
    }[degrees]
    return f"/MediaBox [0 0 {media[0]:.4f} {media[1]:.4f}] /Rotate {degrees}", f"q {matrix} cm {content} Q", {}


note = "BT ET 0.5 w " + stroke(10, 10, 90, 10) + " " + stroke(10, 10, 10, 60)
form = f"<< /Type /XObject /Subtype /Form /BBox [0 0 {PAGE[0] * MM:.4f} {PAGE[1] * MM:.4f}] /Matrix [0.5 0 0 0.5 0 0] /Length {len(strokes)} >>\nstream\n{strokes}\nendstream".encode()
layouts = {
    "strokes that run into the bleed": ([(boxes(), strokes, {})], 1),
    "a stroked frame, no boxes": ([(boxes(False), outline, {})], 1),
    "dashed folds": ([(boxes(), dashes, {})], 1),
    "thin bars instead of lines, no boxes": ([(boxes(False), bars, {})], 1),
    "tinted panels": ([(boxes(False), tints, {})], 1),
    "marks outside the trim, with boxes": ([(boxes(), marks, {})], 1),
    "boxes alone": ([(boxes(), "", {})], 1),
    "turned by 90 degrees": ([turned(strokes, 90)], 1),
    "turned by 180 degrees": ([turned(outline, 180)], 1),
    "turned by 270 degrees": ([turned(strokes, 270)], 1),
    "other units, and a page that does not begin at nothing": ([(boxes(True, 2.0, (50.0, 20.0)) + " /UserUnit 2", f"0.5 0 0 0.5 {50 * MM / 2:.4f} {20 * MM / 2:.4f} cm {strokes}", {})], 1),
    "in a form at half size": ([(boxes() + " /Resources << /XObject << /Fm {form} >> >>", "2 0 0 2 0 0 cm /Fm Do", {"form": form})], 1),
    "on a layer that is switched off": ([(boxes() + " /Resources << /Properties << /L {layer} >> >>", f"/OC /L BDC {strokes} EMC", {"layer": b"<< /Type /OCG /Name (guides) >>"})], 1),
    "with safe zones, a bar code's place and a table": ([(boxes(), strokes + " " + zones + table, {})], 1),
    "with the middle of the spine": ([(boxes(), strokes + " " + middles, {})], 1),
    "the third of three pages": ([(boxes(False), note, {}), ("/MediaBox [0 0 300 300]", "", {}), (boxes(), strokes, {})], 3),
}
keep = os.environ.get("KEEP")
for name, (pages, number) in layouts.items():
    file = os.path.join(folder, name.split(",")[0].replace(" ", "-") + ".pdf")
    open(file, "wb").write(pdf(pages))
    if keep:
        shutil.copy(file, keep)
    # Nobody says which page counts: that which fits is found.
    read = run("object", "template", "cover", "--file", file)
    hold(f"{name}: the page that fits", (read["page"], read["pages"]) == (number, len(pages)), f"{read['page']} of {read['pages']}, others {read['other_pages']}")
    found = {one["figure"]: one for one in read["differences"]}
    wrong, sure = [], 0
    for figure, one in found.items():
        near = abs(one["theirs_mm"] - drawn[figure]) <= 0.05
        sure += near and one["doubt"] is None
        if not near and one["doubt"] is None:
            wrong.append(f"{figure} {one['theirs_mm']:.2f} instead of {drawn[figure]:.2f}")
    wanted = 3 if "boxes alone" in name else len(drawn) - (0 if "/TrimBox" in pages[number - 1][0] else 1)
    if "middle of the spine" in name:
        wanted -= 1
    hold(f"{name}: {sure} figures", not wrong and sure >= wanted, "; ".join(wrong) or f"all within 0.05 mm; not seen: {', '.join(read['unseen']) or 'none'}; doubtful: {', '.join(f for f, one in found.items() if one['doubt']) or 'none'}")

# Said, it is the page that was said, though another would fit.
two = os.path.join(folder, "two.pdf")
open(two, "wb").write(pdf([(boxes(), strokes, {}), (boxes(False), outline, {})]))
first, second = run("object", "template", "cover", "--file", two), run("object", "template", "cover", "--file", two, "--page", "2")
hold("a page that is said is taken", (first["page"], first["other_pages"], second["page"], second["other_pages"]) == (1, [2], 2, [1]), f"{first['page']}, then {second['page']}")
several = os.path.join(folder, "the-third-of-three-pages.pdf")
error = run("object", "template", "cover", "--file", several, "--page", "4", refused=True)["error"]
hold("a page that is not there is refused with a sentence", "3 pages" in error["problem"], error["problem"])
shutil.rmtree(folder)
sys.exit(failed > 0)
