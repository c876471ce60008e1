"""Bar codes, held against an encoder and readers that we did not write.

Modules of EAN-13 and its five-digit add-on: ours (example `bar_code` of the book) against
python-barcode, for a thousand numbers and a hundred add-ons drawn with a seed. Numbers with a wrong
check digit must be refused. On every press sheet of the demonstration books that carries a code, two
readers, zbar and rxing (example `read_bar_code` of the testkit), must read the number, and the add-on
where there is one, from what poppler and MuPDF render at several resolutions (of the back alone at high
ones), from the black plate of Ghostscript's `tiffsep`, and zbar from the sheet turned (rxing looks along
rows and columns only). The same from small covers at magnifications from 80 to 200 percent, bare, and with
add-on and bar width reduction.

Needs FOREDGE (the binary), DEMO (finished demonstration books) and EXAMPLES (built examples; built here
if unset).
"""

import os
import random
import re
import subprocess
import tempfile
from pathlib import Path

import barcode
from PIL import Image

from kit.examples import example
from kit.said import end, say

Image.MAX_IMAGE_PIXELS = None


def theirs(code):
    """Modules by python-barcode, guards as bars."""
    return code.build()[0].replace("G", "1").strip()


def modules():
    dice = random.Random(979)
    tool = example("book", "bar_code")
    numbers = [f"{dice.choice(['978', '979'])}{dice.randrange(10**9):09}" for _ in range(1000)]
    codes = [barcode.EAN13(number) for number in numbers]
    whole = [code.get_fullcode() for code in codes]
    ours = subprocess.run([tool, *whole], capture_output=True, text=True, check=True).stdout.split("\n")
    same = sum(theirs(code) == line for code, line in zip(codes, ours))
    say(same == 1000 and all(len(line) == 95 for line in ours[:1000]),
        f"modules of EAN-13 are python-barcode's: {same} of 1000 numbers")

    wrong = []
    for number in whole[:200]:
        digit = dice.randrange(3, 13)
        other = (int(number[digit]) + dice.randrange(1, 10)) % 10
        wrong.append(number[:digit] + str(other) + number[digit + 1:])
    refused = sum(subprocess.run([tool, number], capture_output=True).returncode == 2 for number in wrong)
    say(refused == 200, f"one wrong digit is refused: {refused} of 200 numbers")

    add_ons = [f"{dice.randrange(10**5):05}" for _ in range(100)]
    lines = subprocess.run([tool, *(f"{whole[0]}+{add_on}" for add_on in add_ons)],
                           capture_output=True, text=True, check=True).stdout.split("\n")
    same = sum(add_on_by_picture(line.split()[1]) == add_on for add_on, line in zip(add_ons, lines))
    say(same == 100, f"zbar reads five-digit add-ons painted from our modules: {same} of 100")


def add_on_by_picture(bars):
    """What zbar reads in modules painted 6 pixels wide beside a fixed EAN-13 of python-barcode."""
    main = theirs(barcode.EAN13("978030640615"))
    line = "0" * 12 + main + "0" * 9 + bars + "0" * 8
    picture = Image.new("L", (len(line), 1), 255)
    picture.putdata([0 if bar == "1" else 255 for bar in line])
    with tempfile.NamedTemporaryFile(suffix=".png") as file:
        picture.resize((len(line) * 6, 240), Image.NEAREST).save(file.name)
        return next((digits for kind, digits in read(file.name) if kind.startswith("EAN-5")), None)


def by_rxing(path):
    """Number and add-on as rxing reads them; None for what it does not find."""
    if str(path).endswith(".tif"):
        Image.open(path).convert("L").save(f"{path}.png")
        path = f"{path}.png"
    done = subprocess.run([RXING, str(path)], capture_output=True, text=True, check=True)
    number, _, add_on = done.stdout.strip().partition(" ")
    return {"EAN-13": None if number == "–" else number, "EAN-5": add_on or None}


def both(path, wanted, price, where):
    """Both readers must find the number, and the add-on where there is one and no other where there is none."""
    for reader, found in [("zbar", dict(read(path))), ("rxing", by_rxing(path))]:
        digits = [found.get("EAN-13"), found.get("EAN-5")]
        say(digits == [wanted, price], f"{where}: {reader} reads {' and '.join(filter(None, digits)) or 'nothing'}")


def read(path):
    done = subprocess.run(["zbarimg", "-q", "-Sean5.enable", str(path)], capture_output=True, text=True)
    return [tuple(line.split(":", 1)) for line in done.stdout.split() if ":" in line]


def rendered(path, page, ppi, tool, folder):
    picture = Path(folder) / f"{tool}-{ppi}.png"
    if tool == "poppler":
        command = ["pdftoppm", "-r", str(ppi), "-f", str(page), "-l", str(page), "-gray", "-png", "-singlefile",
                   str(path), str(picture.with_suffix(""))]
    elif tool == "MuPDF":
        command = ["mutool", "draw", "-q", "-r", str(ppi), "-c", "gray", "-o", str(picture), str(path), str(page)]
    else:
        command = ["gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffsep", f"-dFirstPage={page}",
                   f"-dLastPage={page}", f"-r{ppi}", f"-sOutputFile={folder}/plate.tif", str(path)]
    subprocess.run(command, check=True, capture_output=True)
    return picture if tool != "Ghostscript's black plate" else Path(folder) / "plate(Black).tif"


def back_of(picture):
    """The lower half of the back, where the code stands."""
    sheet = Image.open(picture)
    back = Path(picture).with_name("back.png")
    sheet.crop((0, sheet.height // 2, sheet.width * 55 // 100, sheet.height)).save(back)
    return back


def demo():
    books = sorted(Path(os.environ["DEMO"]).rglob("book.toml"))
    say(len(books) == 3, f"there are three books: {len(books)}")
    for book in books:
        text = book.read_text()
        isbn = re.search(r'^isbn\s*=\s*"([\d -]+)"', text, re.M)
        price = re.search(r'^price\s*=\s*"(\d+)"', text, re.M)
        folder = book.parent
        sheets = [name for name in ("jacket", "cover", "case") if (folder / f"press/{name}.pdf").is_file()]
        wanted = re.sub(r"\D", "", isbn[1]) if isbn else None
        if wanted is None:
            with tempfile.TemporaryDirectory() as room:
                found = [read(rendered(folder / f"press/{name}.pdf", 1, 150, "poppler", room)) for name in sheets]
            say(not any(found), f"{folder.name}: a book without a number carries no code {found}")
            continue
        path = folder / f"press/{sheets[0]}.pdf"
        with tempfile.TemporaryDirectory() as room:
            for tool, ppi in [("poppler", 150), ("poppler", 300), ("poppler", 600), ("MuPDF", 200), ("MuPDF", 400),
                              ("Ghostscript's black plate", 300)]:
                picture = rendered(path, 1, ppi, tool, room)
                if ppi > 300:
                    # zbar misses codes of any size in very wide pictures: here, over 10 000 pixels.
                    picture = back_of(picture)
                where = f"{folder.name}, {path.name} by {tool} at {ppi} ppi"
                if ppi >= 200:
                    both(picture, wanted, price and price[1], where)
                else:
                    # Two pixels to a module are enough for the number and not for the add-on.
                    for reader, found in [("zbar", dict(read(picture))), ("rxing", by_rxing(picture))]:
                        say(found.get("EAN-13") == wanted, f"{where}: {reader} reads {found.get('EAN-13')}")
                if (tool, ppi) == ("poppler", 300):
                    turned = Path(room) / "turned.png"
                    Image.open(picture).rotate(97, expand=True, fillcolor=255).save(turned)
                    found = dict(read(turned))
                    say(found.get("EAN-13") == wanted, "and from the sheet turned by 97 degrees")


SMALL = """
[book]
title = "A Cover for its Bars"
isbn = "978-0-306-40615-7"
[format]
trim = "160x200mm"
[binding]
kind = "glued soft"
signature = 8
[stock.text]
grammage = "150 g/m2"
[cover]
ground = "60 20 0 30"
[barcode]
place = "foot right"
"""


def magnifications():
    with tempfile.TemporaryDirectory() as room:
        for percent in [80, 85, 92.5, 100, 120, 150, 200]:
            for price, reduction in [(None, 0), ("52495", 0.03)]:
                book = Path(room) / f"{percent}-{price}"
                book.mkdir()
                lines = [SMALL, f'magnification = "{percent}%"', f'width_reduction = "{reduction}mm"']
                lines += [f'price = "{price}"'] if price else []
                lines += [f'[[page]]\nname = "b{at}"\ntreatment = "blank"' for at in range(16)]
                (book / "book.toml").write_text("\n".join(lines))
                done = subprocess.run([os.environ["FOREDGE"], "--book", str(book), "press"], capture_output=True, text=True)
                if done.returncode:
                    say(False, f"a cover with its code at {percent} %: {done.stdout} {done.stderr}")
                    continue
                tools = [("poppler", 300), ("MuPDF", 400)]
                if percent in (80, 200) and price:
                    # The plate has no soft edges: 300 pixels to the inch are 3.3 to a module of 85
                    # percent, of which rxing makes nothing.
                    tools.append(("Ghostscript's black plate", 600))
                for tool, ppi in tools:
                    picture = back_of(rendered(book / "press/cover.pdf", 1, ppi, tool, room))
                    both(picture, "9780306406157", price, f"{percent} %, bars less {reduction} mm, {tool} at {ppi} ppi")


RXING = example("testkit", "read_bar_code")
modules()
magnifications()
demo()
end()
