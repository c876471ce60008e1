"""The loop with the printed proof, walked on the demonstration book and held against other hands.

- Proof pages: read without error by qpdf; boxes nested as pikepdf sees them; the mark read back by
  zbar from what poppler and mupdf draw; the ink of every patch as Ghostscript's plates show it
  against what the strip says it prints.
- Error of each patch (DE00) and its mean: computed again by colour-science.
- Measure, see the error, accept, press, measure again: the error falls by at least 60 percent, once
  with an instrument on the practice press, once by a simulated flatbed scan of the rendered proof
  page, turned, blurred and noisy, of a scanner that is not told what it is.
- Nothing changes in the book until accepted, and undo gives the very bytes back.

Needs FOREDGE (the binary), EXAMPLES (the built examples) and DEMO (a finished demo book folder).
"""

import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

import colour
import numpy
import pikepdf
import PIL.Image

from kit.said import end, say

PIL.Image.MAX_IMAGE_PIXELS = None
FOREDGE = os.environ["FOREDGE"]
EXAMPLES = pathlib.Path(os.environ["EXAMPLES"])
DEMO = pathlib.Path(os.environ["DEMO"])
PPI = 300
PAGES = [4, 9, 10]
FALLS_BY = 0.60


def foredge(book, *arguments, code=0):
    ran = subprocess.run(
        [FOREDGE, "--book", str(book), "--json", *map(str, arguments)],
        capture_output=True,
        text=True,
    )
    if ran.returncode != code:
        say(False, f"foredge {' '.join(map(str, arguments))}: exit {ran.returncode}\n{ran.stdout}{ran.stderr}")
        sys.exit(1)
    return json.loads(ran.stdout)


def run(*arguments):
    return subprocess.run(list(map(str, arguments)), capture_output=True, text=True)


def linked(source, target):
    """A copy that shares the large files: Foredge replaces files and never writes into them."""
    def link(one, other):
        shutil.copy2(one, other) if "record.sqlite" in one or one.endswith(".toml") else os.link(one, other)
    try:
        shutil.copytree(source, target, copy_function=link)
    except (OSError, shutil.Error):
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(source, target)


def same_errors(reading, who):
    """Errors of the patches, by colour-science."""
    own = numpy.array([patch["de00"] for patch in reading["patches"]])
    intended = numpy.array([patch["intended_lab"] for patch in reading["patches"]])
    measured = numpy.array([patch["measured_lab"] for patch in reading["patches"]])
    other = colour.difference.delta_E_CIE2000(intended, measured)
    # Lab is given to the hundredth.
    apart = float(numpy.abs(own - other).max())
    say(apart < 0.03, f"{who}: DE00 of {len(own)} patches as colour-science has them, within {apart:.3f}")
    art = [patch["kind"].endswith("of the art") for patch in reading["patches"]]
    mean = float(other[art].mean())
    say(abs(mean - reading["colours"]["mean_de00"]) < 0.02, f"{who}: mean of the book's own colours {mean:.2f}")


def proof_pages(book, work):
    """The proof file, by qpdf, pikepdf, zbar and Ghostscript."""
    made = foredge(book, "proof", "make", "--pages", ",".join(map(str, PAGES)))
    pdf = book / made["file"]
    say(made["pages"] == PAGES and not made["findings"], f"proof of pages {made['pages']}, strip {made['strip']}: own check finds nothing")
    checked = run("qpdf", "--check", pdf)
    say(checked.returncode == 0, "qpdf reads the proof file without error")
    with pikepdf.open(pdf) as opened:
        nested = all(
            box[0][0] <= box[1][0] < box[2][0] and box[0][1] < box[1][1] < box[2][1]
            and box[0][2] >= box[1][2] > box[2][2] and box[0][3] > box[1][3] > box[2][3]
            for box in (
                [[float(value) for value in page[name]] for name in ("/MediaBox", "/BleedBox", "/TrimBox")]
                for page in opened.pages
            )
        )
        say(nested, "media, bleed and trim box of every proof page are nested")
        boxes = [[float(value) for value in opened.pages[0][name]] for name in ("/MediaBox", "/BleedBox", "/TrimBox")]
    for index, page in enumerate(PAGES, 1):
        wanted = f"FOREDGE/1/{page}/{made['mark'].upper()}/{made['strip']}"
        run("pdftoppm", "-r", 150, "-f", index, "-l", index, "-singlefile", "-png", pdf, work / "poppler")
        run("mutool", "draw", "-r", 150, "-o", work / "mupdf.png", pdf, index)
        for name in ("poppler", "mupdf"):
            found = run("zbarimg", "-q", "--raw", work / f"{name}.png").stdout.strip()
            say(found == wanted, f"page {page}: zbar reads {found or 'nothing'} from what {name} draws")
        words = run("pdftotext", "-f", index, "-l", index, pdf, "-").stdout
        named = f"proof of page {page}" in words and f"strip {made['strip']} – file {made['mark']}" in words
        say(named, f"page {page}: words beside it name page, file and version")
    return pdf, boxes


def plates(pdf, work):
    """The first proof page as Ghostscript's plates, ink 0 to 255."""
    target = work / "plates.tif"
    ran = run("gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiff32nc", f"-r{PPI}", "-dFirstPage=1", "-dLastPage=1", f"-sOutputFile={target}", pdf)
    if ran.returncode:
        say(False, f"Ghostscript: {ran.stdout}{ran.stderr}")
        sys.exit(1)
    return numpy.asarray(PIL.Image.open(target))


def strip_place(strip, boxes):
    """Where the strip lies on the sheet, in mm from its upper left corner: under the bleed, centred."""
    mm = 25.4 / 72
    media, bleed, trim = boxes
    left = (trim[0] + trim[2]) / 2 * mm - strip["width_mm"] / 2
    top = (media[3] - bleed[1]) * mm + 8
    return left, top


def printed_as_said(strip, ink, boxes):
    left, top = strip_place(strip, boxes)
    worst = 0.0
    for patch in strip["patches"]:
        x, y = left + patch["left_mm"], top + patch["top_mm"]
        inner = patch["side_mm"] / 4
        rows, columns = (
            slice(*(round((at + inset) / 25.4 * PPI) for inset in (inner, patch["side_mm"] - inner)))
            for at in (y, x)
        )
        found = ink[rows, columns].reshape(-1, 4).mean(axis=0) / 2.55
        worst = max(worst, float(numpy.abs(found - patch["ink_percent"]).max()))
    say(worst < 0.5, f"every patch holds the ink that it says, on Ghostscript's plates: within {worst:.2f} percent")


def scanned(strip, ink, boxes, work, degrees, name):
    """The strip cut out of the plates, printed on the practice press and scanned."""
    left, top = strip_place(strip, boxes)
    rows = slice(round((top - 3) / 25.4 * PPI), round((top + strip["height_mm"] + 1) / 25.4 * PPI))
    columns = slice(max(0, round((left - 3) / 25.4 * PPI)), round((left + strip["width_mm"] + 3) / 25.4 * PPI))
    cut = work / "strip.tif"
    PIL.Image.fromarray(ink[rows, columns], "CMYK").save(cut)
    scan = work / f"{name}.tif"
    ran = run(EXAMPLES / "practice_scan", cut, scan, degrees)
    if ran.returncode:
        say(False, f"practice_scan: {ran.stderr}")
        sys.exit(1)
    return scan


def fell(who, before, after):
    one, other = before["colours"]["mean_de00"], after["colours"]["mean_de00"]
    share = 1 - other / one
    say(share >= FALLS_BY, f"{who}: mean DE00 of the book's own colours {one:.2f} -> {other:.2f} (foretold {before['foretold']['mean_de00']:.2f}), {share:.0%} less")


def instrument(book, work):
    text = (book / "book.toml").read_bytes()
    first = foredge(book, "proof", "read", book / foredge(book, "proof", "practise")["file"])
    same_errors(first, "before")
    say(first["verdict"] == "enough" and first["read_patches"] >= 40, f"{first['read_patches']} patches, {first['verdict']} to say: {' '.join(first['lesson'])}")
    say((book / "book.toml").read_bytes() == text, "reading a proof changes nothing in the book")
    done = foredge(book, "proof", "accept", first["proof"])
    say(any("interior.pdf" in one and "proof" in one for one in done["stale"]), f"accepting makes stale: {'; '.join(done['stale'])}")
    pressed = foredge(book, "press")
    say(pressed["rendered"] > 10, f"press files made again: {pressed['rendered']} sheets rendered")
    second = foredge(book, "proof", "read", book / foredge(book, "proof", "practise")["file"])
    same_errors(second, "after")
    fell("instrument", first, second)
    intended = [[patch["intended_lab"] for patch in reading["patches"] if patch["kind"] == "colour of the art"] for reading in (first, second)]
    moved = float(colour.difference.delta_E_CIE2000(*map(numpy.array, intended)).max())
    say(moved < 0.3, f"both are held against the same intention: within {moved:.2f} DE00")
    return first, second


def scan_loop(book, work, measured):
    pdf, boxes = proof_pages(book, work)
    strip = foredge(book, "proof", "strip")
    ink = plates(pdf, work)
    printed_as_said(strip, ink, boxes)
    first = foredge(book, "proof", "read", scanned(strip, ink, boxes, work, 183.2, "turned"))
    say(first["from"] == "scan" and len(first["missing"]) == 0, f"a scan turned by 183 degrees is read: {first['read_patches']} patches, mark {first['mark']}")
    print("      " + " ".join(first["remarks"]))
    by_name = {patch["name"]: patch["measured_lab"] for patch in measured["patches"]}
    pairs = [(by_name[patch["name"]], patch["measured_lab"]) for patch in first["patches"]]
    apart = colour.difference.delta_E_CIE2000(*(numpy.array(side) for side in zip(*pairs)))
    say(float(apart.mean()) < 2.5, f"scan against instrument on the same press: mean {apart.mean():.2f}, worst {apart.max():.2f} DE00")
    same_errors(first, "scan before")
    foredge(book, "proof", "accept", first["proof"])
    pdf, boxes = proof_pages(book, work)
    strip = foredge(book, "proof", "strip")
    ink = plates(pdf, work)
    second = foredge(book, "proof", "read", scanned(strip, ink, boxes, work, 92.5, "again"))
    fell("scan", first, second)
    # Half of the strip off the glass is told, not guessed.
    half = ink[:, : ink.shape[1] * 11 // 20]
    cut = foredge(book, "proof", "read", scanned(strip, half, boxes, work, 0.4, "half"))
    say(
        cut["verdict"] == "not enough to say" and len(cut["missing"]) + cut["read_patches"] == len(strip["patches"]),
        f"half a strip: {cut['read_patches']} patches read, {len(cut['missing'])} named as missing, {cut['verdict']}: {cut['why']}",
    )
    foredge(book, "proof", "accept", cut["proof"], code=2)


with tempfile.TemporaryDirectory(dir=DEMO.parent) as folder:
    work = pathlib.Path(folder)
    book = work / "book"
    linked(DEMO, book)
    foredge(book, "proof", "forget")
    foredge(book, "press")
    text = (book / "book.toml").read_bytes()
    measured, _ = instrument(book, work)
    foredge(book, "undo")
    say((book / "book.toml").read_bytes() == text, "undo gives the very bytes of the book file back")
    scan_loop(book, work, measured)
end()
