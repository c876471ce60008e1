"""The three objects of the demonstration, each as the set of files that a printer gets.

qpdf, poppler and MuPDF open every file without a word; pikepdf counts pages, holds the boxes to what
the book file's figures come to in a reckoning of this script (spine, flaps, boards, turn-in), nests
them, finds the output intent, and the plates by the names of the finishings. A page count that changes
must move the spine and the mass by what leaves and paper come to, and make every sheet with a spine
stale with both its figures told.

Needs FOREDGE (the binary) and DEMO (finished demonstration books).
"""

import json
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import pikepdf

from kit.said import end, say

FOREDGE = os.environ["FOREDGE"]
DEMO = Path(os.environ["DEMO"])
MM = 72 / 25.4
BLEED = 3
LEAVES, LEAF = 20, 200 * 1.3 / 1000
WIDTH, HEIGHT = 250, 300


def run(book, *arguments, codes=(0,)):
    done = subprocess.run([FOREDGE, "--book", str(book), *arguments], capture_output=True, text=True)
    assert done.returncode in codes, done.stdout + done.stderr
    return done.stdout


def wanted():
    """Trim of every file of every book, width by height in mm, and how many pages it has."""
    block = LEAVES * LEAF
    soft = block + 2 * 300 * 1.1 / 1000
    # Two endpapers of four pages stand in the case: four leaves of 0.175 mm.
    case = block + 4 * 0.175 + 2 * 2.5
    board = WIDTH - 6 + 3
    inner = {"interior": (WIDTH, HEIGHT, 2 * LEAVES)}
    return {
        "": inner | {"cover": (2 * (WIDTH + 110) + soft, HEIGHT, 1)},
        "other-bindings/case": inner | {
            "case": (2 * (board + 8 + 15) + case, HEIGHT + 2 * 3 + 2 * 15, 1),
            "jacket": None,
            "endpapers": (2 * WIDTH, HEIGHT, 2),
        },
        "other-bindings/zine": inner | {"cover": (2 * WIDTH, HEIGHT, 1)},
    }


def jacket(book):
    """From its panels: what these measure is held by another script (object.py)."""
    sheets = json.loads(run(book, "--json", "object", codes=(0, 1)))["sheets"]
    sheet = next(sheet for sheet in sheets if sheet["name"] == "jacket")
    width = sum(panel["width_mm"] for panel in sheet["panels"])
    flaps = [panel["width_mm"] for panel in sheet["panels"] if "flap" in panel["name"]]
    say(flaps == [90, 90], f"the jacket's flaps are 90 mm as wished {flaps}")
    return width, sheet["height_mm"], 1


def opens(path, name):
    # Checking decodes every picture: too long for an interior, whose structure is looked at alone.
    whole = path.stat().st_size < 30e6
    done = subprocess.run(["qpdf", "--check" if whole else "--show-npages", str(path)], capture_output=True)
    say(done.returncode == 0, f"{name}: qpdf {'finds no error' if whole else 'opens it'}")
    with tempfile.TemporaryDirectory() as room:
        done = subprocess.run(["pdftoppm", "-r", "12", "-l", "2", "-png", "-overprint", str(path), f"{room}/page"],
                              capture_output=True)
    say(done.returncode == 0 and not done.stderr, f"{name}: poppler renders it without a word")
    done = subprocess.run(["mutool", "draw", "-q", "-F", "pam", "-r", "12", "-o", os.devnull, str(path), "1-2"],
                          capture_output=True, text=True)
    # A file of one page has no second: MuPDF takes the last instead.
    words = [line for line in done.stderr.splitlines() if "ICC support" not in line]
    say(done.returncode == 0 and not words, f"{name}: MuPDF renders it without a word {words[:2]}")


def boxes(path, name, size):
    width, height, pages = size
    with pikepdf.open(path) as pdf:
        say(len(pdf.pages) == pages, f"{name}: {len(pdf.pages)} pages")
        off, nested = 0.0, True
        for page in pdf.pages:
            media, bleed, trim = ([float(x) for x in page[key]] for key in ("/MediaBox", "/BleedBox", "/TrimBox"))
            off = max(off, abs((trim[2] - trim[0]) / MM - width), abs((trim[3] - trim[1]) / MM - height))
            nested &= all(media[i] <= bleed[i] <= trim[i] for i in (0, 1))
            nested &= all(media[i] >= bleed[i] >= trim[i] for i in (2, 3))
            run_over = (trim[0] - bleed[0]) / MM
            nested &= abs(run_over - (0 if path.stem == "case" else BLEED)) < 0.01
        say(off < 0.02, f"{name}: trim {width:.2f} × {height:.2f} mm, off by {off:.4f} mm at the most")
        say(nested, f"{name}: boxes lie in each other, with the bleed of the book around the trim")
        intents = [str(intent.S) for intent in pdf.Root.OutputIntents]
        say(intents == ["/GTS_PDFX"], f"{name}: one output intent {intents}")
        return {
            str(item[1])[1:]
            for item in pdf.objects
            if isinstance(item, pikepdf.Array) and len(item) == 4 and item[0] == "/Separation" and item[1] != "/All"
        }


def books():
    for place, files in wanted().items():
        book = DEMO / place
        # The drawing lies beside the press files, and is none: it is for eyes.
        there = {path.stem for path in (book / "press").glob("*.pdf")} - {"proof"}
        say(there == set(files) | {"drawing"}, f"{place or 'soft'}: the files are {sorted(there)}")
        plates = set()
        for stem, size in files.items():
            path = book / f"press/{stem}.pdf"
            name = f"{place.split('/')[-1] or 'soft'} {path.name}"
            opens(path, name)
            plates |= boxes(path, name, size or jacket(book))
        text = (book / "book.toml").read_text()
        names = {re.search(r'^name\s*=\s*"(.*)"', part, re.M)[1] for part in text.split("[[finishing]]")[1:]}
        say(plates == names, f"{place or 'soft'}: a plate for each finishing {sorted(plates)}")
        checks = json.loads(run(book, "--json", "object", "finishings"))
        say(all(one["made"] and not one["too_fine"] for one in checks["finishings"]),
            f"{place or 'soft'}: every finishing holds")


def leaves_taken_out():
    """Eight pages fewer: a spread, two pages of text, two full pages and a pair."""
    for place, stems in [("", ["cover"]), ("other-bindings/case", ["case", "jacket"])]:
        with tempfile.TemporaryDirectory(dir=DEMO.parent) as room:
            book = Path(room) / "book"
            shutil.copytree(DEMO / place, book, symlinks=True,
                            ignore=shutil.ignore_patterns("art", "other-bindings", "cache"), copy_function=os.link)
            # What is written anew must not reach the demonstration through a link.
            for path in [book / "book.toml", *(book / ".foredge").glob("record.sqlite*")]:
                data = path.read_bytes()
                path.unlink()
                path.write_bytes(data)
            os.symlink((DEMO / "art").resolve(), book / "art")
            before = json.loads(run(book, "--json", "object", codes=(0, 1)))
            for entry in ["market-on-the-sand", "of-lamps", "lamp-keeper", "of-the-engine", "the-engine",
                          "sea-holly-and-eelgrass"]:
                run(book, "pages", "remove", entry, codes=(0, 1))
            after = json.loads(run(book, "--json", "object", codes=(0, 1)))
            gone = before["leaves"] - after["leaves"]
            say(gone == 4, f"{place or 'soft'}: {gone} leaves are taken out")
            moved = before["spine_mm"] - after["spine_mm"]
            say(abs(moved - gone * LEAF) < 0.005, f"the spine is thinner by {moved:.2f} mm")
            lighter = before["copy_g"] - after["copy_g"]
            text = gone * WIDTH * HEIGHT * 200 / 1e6
            say(text <= lighter < text + 3, f"a copy is lighter by {lighter:.1f} g, its leaves by {text:.1f} g")
            stages = {stage["name"]: stage for stage in json.loads(run(book, "--json", "status"))["stages"]}
            for stem in stems:
                because = stages[stem]["because"]
                figures = re.search(r"spine ([\d.]+) → ([\d.]+) mm", because)
                say(stages[stem]["state"] == "stale" and figures is not None
                    and abs(float(figures[1]) - float(figures[2]) - gone * LEAF) < 0.02,
                    f"{stem}.pdf is stale: {because}")


books()
leaves_taken_out()
end()
