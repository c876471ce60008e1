#!/usr/bin/env python3
"""Plates of finishings in our press files, held against readers that we did not write.

Ghostscript's `tiffsep` makes one file a plate; it must find one for each finishing and the four inks,
each finishing where this script draws it from the same figures (Pillow), and the four inks byte for
byte as they are without the finishings (taken out by pikepdf). Bars of the bar code stand on the black
plate alone, and zbar reads the number there. qpdf, poppler and MuPDF open the file; pikepdf holds that
each name has one alternate and one tint transform. Our own check says of each plate how far it
reaches; Ghostscript's plate must agree. At the end the overprint is switched off: Ghostscript must show
the ink gone, and our check must find it. In the demo's sheets poppler, which then shows no overprinting,
must leave everything beside the plates as it is without them: what a plate takes away is cut out of it.

Environment: EXAMPLES, a folder with the built examples `press_fixture` and `check_file` (built here if
unset); DEMO, a finished demo book folder (sheets with finishings are looked at too).
"""

import glob
import json
import os
import subprocess
import tempfile
import urllib.parse
from pathlib import Path

import numpy as np
import pikepdf
from PIL import Image, ImageDraw
from scipy import ndimage

from kit.examples import example
from kit.said import end, say

ROOT = Path(__file__).resolve().parent.parent
INKS = ["Cyan", "Magenta", "Yellow", "Black"]
FOIL, VARNISH, BLIND = "title foil", "Glanzlack Möwe 漆", "black plate"
# The sheet of the fixture: trim, bleed, paper beyond the bleed on the left and at the top, folds.
WIDTH, HEIGHT, BLEED, MARGIN = 300, 150, 3, 9
FOLDS = [50, 143, 157, 250]


def separations(path, page, ppi):
    """Ghostscript's plates, 0 none to 255 solid, by name."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            ["gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffsep", f"-dFirstPage={page}",
             f"-dLastPage={page}", f"-r{ppi}", "-dTextAlphaBits=1", "-dGraphicsAlphaBits=1",
             f"-sOutputFile={folder}/s%d.tif", str(path)],
            check=True, capture_output=True,
        )
        plates = {}
        for file in glob.glob(f"{folder}/*(*).tif"):
            name = file[file.rindex("s1(") + 3 : -len(").tif")]
            # Ghostscript writes what no file name may hold as %XX.
            name = urllib.parse.unquote(name)
            plates[name] = 255 - np.asarray(Image.open(file).convert("L")).astype(int)
        return plates


def spaces(pdf):
    """Every Separation of a file: name to its alternates and tint transforms, as text."""
    found = {}
    for item in pdf.objects:
        if isinstance(item, pikepdf.Array) and len(item) == 4 and item[0] == "/Separation":
            transform = item[3]
            look = (str(item[2]), sorted((key, str(value)) for key, value in transform.items()))
            found.setdefault(str(item[1])[1:], []).append(look)
    return found


def without_finishings(source, target):
    """A copy whose finishings print nothing: their name becomes None."""
    with pikepdf.open(source) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Array) and len(item) == 4 and item[0] == "/Separation":
                if item[1] != "/All":
                    item[1] = pikepdf.Name("/None")
        pdf.save(target)


def same(plates, bare):
    return all(np.array_equal(plates[ink], bare[ink]) for ink in INKS)


def edges(shape, dots):
    """Dots within one of the edge of a drawn plate, where two renderers may differ."""
    around = np.ones((3, 3), bool)
    return ndimage.binary_dilation(shape, around) & ~ndimage.binary_erosion(shape, around)


def main():
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        subprocess.run([example("press", "press_fixture"), str(folder)], check=True)
        sheet = folder / "sheet.pdf"
        opens(sheet, folder)
        named_once(sheet)
        on_plates(sheet, folder)
        second_page(sheet)
        checked(sheet, folder)
        demo(folder)
    end()


def opens(sheet, folder):
    done = subprocess.run(["qpdf", "--check", str(sheet)], capture_output=True)
    say(done.returncode == 0, "qpdf finds no error in the sheet")
    done = subprocess.run(["pdftoppm", "-r", "30", "-png", "-overprint", str(sheet), str(folder / "p")],
                          capture_output=True, text=True)
    say(done.returncode == 0 and not done.stderr, f"poppler renders it without a word {done.stderr}")
    done = subprocess.run(["mutool", "draw", "-q", "-F", "pam", "-r", "30", "-o", os.devnull, str(sheet)],
                          capture_output=True, text=True)
    words = [line for line in done.stderr.splitlines() if "ICC support" not in line]
    say(done.returncode == 0 and not words, f"MuPDF renders it without a word {words}")


def named_once(sheet):
    with pikepdf.open(sheet) as pdf:
        found = spaces(pdf)
    say(set(found) == {FOIL, VARNISH, BLIND, "All"}, f"pikepdf reads the names {sorted(found)}")
    say(all(len(set(map(str, looks))) == 1 for looks in found.values()),
        "each has one alternate and one tint transform")
    say(all(alternate == "/DeviceCMYK" for looks in found.values() for alternate, _ in looks),
        "the alternate of each is DeviceCMYK")


def on_plates(sheet, folder):
    ppi = 254
    dots = ppi / 25.4
    plates = separations(sheet, 1, ppi)
    say(set(plates) == {*INKS, FOIL, VARNISH, BLIND}, f"tiffsep makes one file a plate: {sorted(plates)}")
    without_finishings(sheet, folder / "bare.pdf")
    bare = separations(folder / "bare.pdf", 1, ppi)
    say(set(bare) == set(INKS), "and only the four inks once the finishings are taken out")
    say(same(plates, bare), "the four inks are the same dot for dot with the finishings and without")

    def at(mm):
        return (mm + MARGIN + BLEED) * dots

    height, width = plates["Cyan"].shape
    rows, columns = np.mgrid[0:height, 0:width]
    inside = ((rows > at(-BLEED) - 1) & (rows < at(HEIGHT + BLEED) + 1)
              & (columns > at(-BLEED) - 1) & (columns < at(WIDTH + BLEED) + 1))
    under = plates[FOIL][inside] == 255
    inked = sum(plates[ink] for ink in INKS)[inside]
    say((inked[under] > 0).all(), f"there is ink under all {under.sum()} dots of the foil")

    foil = Image.new("1", (width, height))
    draw = ImageDraw.Draw(foil)

    def square(x, y, side, fill=1):
        x, y = 162 + x, 20 + y
        draw.rectangle([at(x), at(y), at(x + side) - 1, at(y + side) - 1], fill=fill)

    square(5, 5, 20), square(10, 10, 10, 0)
    square(30, 5, 12), square(36, 11, 12), square(36, 11, 6, 0)
    square(5, 30, 24), square(11, 36, 12, 0), square(15, 40, 4)
    draw.pieslice([at(162 + 70), at(20 + 35), at(162 + 90), at(20 + 55)], 90, 270, fill=1)
    agrees(plates[FOIL] * inside, np.asarray(foil), "the foil lies where it is drawn", dots)

    blind = Image.new("1", (width, height))
    ImageDraw.Draw(blind).rectangle([at(290), at(60), at(303) - 1, at(70) - 1], fill=1)
    agrees(plates[BLIND] * inside, np.asarray(blind), "what runs over ends at the bleed", dots)

    # The mask's own dots are looked up for the middle of each dot of the plate.
    across, down = map(int, (folder / "mask.txt").read_text().split())
    mask = np.fromfile(folder / "mask.raw", np.uint8).reshape(down, across) == 1
    x = ((columns + 0.5) / dots - MARGIN - BLEED - 170) / 60 * across
    y = ((rows + 0.5) / dots - MARGIN - BLEED - 90) / 40 * down
    there = (x >= 0) & (x < across) & (y >= 0) & (y < down)
    drawn = np.zeros((height, width), bool)
    drawn[there] = mask[y[there].astype(int), x[there].astype(int)]
    agrees(plates[VARNISH] * inside, drawn, "the varnish lies as its mask of pixels says", dots)

    marks = {name: (plate * ~inside) > 0 for name, plate in plates.items()}
    ticks = marks[FOIL]
    say(all(np.array_equal(marks[name], ticks) for name in plates if name != "Black"),
        "ticks beyond the bleed are the same on every plate")
    say((marks["Black"] & ticks).sum() == ticks.sum() and marks["Black"].sum() > ticks.sum(),
        "on the black plate too, where the lines that name the sheet are")
    above = ticks[: int(at(-BLEED)) - 2]
    found = [(column + 0.5) / dots - MARGIN - BLEED for column in np.flatnonzero(above.sum(axis=0) > 8)]
    wanted = [0, *FOLDS, WIDTH]
    say(all(min(abs(x - one) for x in found) < 0.15 for one in wanted)
        and all(min(abs(x - one) for one in wanted) < 0.15 for x in found),
        f"the upright ones stand at the trim and at the folds: {wanted} mm")

    code = slice(int(at(110)), int(at(110 + 25.5))), slice(int(at(95)), int(at(95 + 37)))
    say(all(plates[name][code].max() == 0 for name in plates if name != "Black"),
        "under the bar code there is black alone")
    black = plates["Black"][code]
    say(set(np.unique(black)) == {0, 255}, "and that is solid or not there")
    Image.fromarray((255 - np.pad(black, 60)).astype(np.uint8)).resize(
        (4 * (black.shape[1] + 120), 4 * (black.shape[0] + 120)), Image.NEAREST).save(folder / "code.png")
    read = subprocess.run(["zbarimg", "-q", "--raw", str(folder / "code.png")], capture_output=True, text=True)
    say(read.stdout.split() == ["9780306406157"], f"zbar reads it on the black plate: {read.stdout.strip()}")


def agrees(found, drawn, what, dots):
    solid = set(np.unique(found)) <= {0, 255}
    off = (found == 255) != drawn
    beyond = off & ~edges(drawn, dots)
    say(solid and not beyond.any() and drawn.any(),
        f"{what}: {drawn.sum()} dots, {off.sum()} differ, {beyond.sum()} of them beyond the edges")


def second_page(sheet):
    plates = separations(sheet, 2, 100)
    say(FOIL in plates and plates[FOIL].max() == 255, "the second page puts its foil on the plate of the same name")


def report(path, *arguments):
    done = subprocess.run([example("press", "check_file"), str(path), *arguments], capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def checked(sheet, folder):
    names = [argument for name in (FOIL, VARNISH, BLIND) for argument in ("--plate", name)]
    found = report(sheet, *names)
    bad = [finding["code"] for finding in found["findings"] if finding["severity"] == "stop"]
    say(not bad, f"our check finds nothing that must stop the sheet {bad}")
    plates = separations(sheet, 1, 508)
    cell = 508 // 100
    for plate in found["per_page"][0]["plates"]:
        # Ghostscript's plate without the ticks: what is more than 12 mm from the paper's edge, and cells
        # as ours are, from the bleed's corner.
        dots = 508 / 25.4
        inner = plates[plate["name"]][int(MARGIN * dots) : int((MARGIN + 2 * BLEED + HEIGHT) * dots),
                                      int(MARGIN * dots) : int((MARGIN + 2 * BLEED + WIDTH) * dots)] > 0
        area = inner.sum() / dots**2
        # A cell is 5.08 dots wide: whatever is touched lies within a cell and a dot of the plate.
        reach = ndimage.binary_dilation(inner, np.ones((2 * cell + 3, 2 * cell + 3), bool)).sum() / dots**2
        rows, columns = np.flatnonzero(inner.any(axis=1)), np.flatnonzero(inner.any(axis=0))
        box = [columns[0] / dots - BLEED, rows[0] / dots - BLEED,
               (columns[-1] + 1) / dots - BLEED, (rows[-1] + 1) / dots - BLEED]
        off = max(abs(one - other) for one, other in zip(box, plate["extent_mm"]))
        say(area * 0.995 <= plate["touched_mm2"] <= reach and off < 0.3,
            f"our check says {plate['name']} touches {plate['touched_mm2']:.0f} mm²: Ghostscript's plate "
            f"covers {area:.0f}, with a cell around it {reach:.0f}; its box is off by {off:.2f} mm")
        say(not plate["knocks_out"], f"and that {plate['name']} overprints")
    # Overprint off: the plates then take the ink away, and both must see it.
    broken = folder / "broken.pdf"
    with pikepdf.open(sheet) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and "/OPM" in item:
                item["/OP"] = False
                item["/op"] = False
        pdf.save(broken)
    without_finishings(broken, folder / "bare.pdf")
    say(not same(separations(broken, 1, 100), separations(folder / "bare.pdf", 1, 100)),
        "with overprint switched off Ghostscript shows ink taken away under the plates")
    codes = [finding["code"] for finding in report(broken, *names)["findings"]]
    say("check-plate-knocks-out" in codes, "and our check finds plates that knock out")
    say("check-spot-knocks-out" in [finding["code"] for finding in report(broken)["findings"]],
        "and says so of a file whose finishings it does not know")
    codes = [finding["code"] for finding in report(sheet, "--plate", "another foil")["findings"]]
    say("check-plate-missing" in codes and "check-plate-unknown" in codes,
        "a plate that is missing and one that nobody asked for are found")


def demo(folder):
    for path in sorted(Path(os.environ.get("DEMO", "/nowhere")).rglob("press/*.pdf")):
        with pikepdf.open(path) as pdf:
            found = spaces(pdf)
            pages = len(pdf.pages)
        names = set(found) - {"All"}
        if not names or pages > 4:
            continue
        name = f"{path.parent.parent.name}/{path.name}"
        say(all(len(set(map(str, looks))) == 1 for looks in found.values()),
            f"{name}: each plate has one alternate and tint transform: {sorted(names)}")
        plates = separations(path, 1, 72)
        say(set(plates) == {*INKS, *names}, f"{name}: tiffsep makes one file a finishing: {sorted(set(plates) - set(INKS))}")
        without_finishings(path, folder / "bare.pdf")
        say(same(plates, separations(folder / "bare.pdf", 1, 72)), f"{name}: the ink under them is intact")
        shown, bare = (without_overprint(file, folder) for file in (path, folder / "bare.pdf"))
        differs = (abs(shown - bare) > 8).any(axis=2)
        finished = np.maximum.reduce([plates[one] for one in names]) > 0
        rows, columns = (min(sides) for sides in zip(differs.shape, finished.shape))
        around = ndimage.binary_dilation(finished, np.ones((5, 5), bool))[:rows, :columns]
        beside = differs[:rows, :columns] & ~around
        say(differs.any() and not beside.any(),
            f"{name}: poppler without overprinting shows the plates, and no white beside them "
            f"({differs.sum()} dots changed, {beside.sum()} of them beside)")


def without_overprint(path, folder):
    """A page as programs show it that do not simulate overprinting."""
    subprocess.run(["pdftoppm", "-r", "72", "-png", "-singlefile", "-aa", "no", "-aaVector", "no", str(path),
                    str(folder / "shown")], check=True, capture_output=True)
    return np.asarray(Image.open(folder / "shown.png").convert("RGB")).astype(int)


main()
