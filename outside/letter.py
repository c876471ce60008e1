"""The letter that asks a printer for prices, held against readers of PDF that we did not write.

Letters of the demonstration books, one of them on American paper and one with forty finishings, a printer's
name in Chinese and words that look like markup: qpdf must find them clean, poppler must find every typeface
embedded and subset, the sheet of the right size, every word within the sheet's margins, the pages numbered
to the last, and in reading order every line of the e-mail beside the letter and every fact that stands in
`book.toml` (read by Python's tomllib): title, author, printer, places, packing, payment and plates.

Needs FOREDGE (the binary) and DEMO (finished demonstration books).
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from xml.etree import ElementTree

from kit.said import end, say

FOREDGE, DEMO = os.environ["FOREDGE"], Path(os.environ["DEMO"])


def run(*command):
    return subprocess.run([str(part) for part in command], capture_output=True, text=True)


def bare(words):
    """Words without what a typesetter changes: spaces, curled quotes, places to break in."""
    words = words.replace("“", '"').replace("”", '"').replace("’", "'").replace("‘", "'")
    return re.sub(r"[\s\u200b\u00ad]", "", words)


def ask(folder, printer):
    made = run(FOREDGE, "--book", folder, "ask", printer, "--dated", "2026-11-25")
    if made.returncode != 0:
        say(False, f"{printer}: foredge ask gave {made.returncode}: {made.stderr.strip()}")
        sys.exit(1)
    return next((folder / "asking").glob(f"*-{printer}.pdf"))


def look(name, pdf, size, facts, embedded=None):
    checked = run("qpdf", "--check", pdf)
    say(checked.returncode == 0, f"{name}: qpdf finds nothing to say of it")
    fonts = run("pdffonts", pdf).stdout.splitlines()[2:]
    whole = [line for line in fonts if re.search(r"\s(yes)\s+(yes)\s+(yes)\s+\d+\s+\d+$", line)]
    say(fonts and len(whole) == len(fonts),
        f"{name}: {len(whole)} of {len(fonts)} typefaces embedded, cut down, and copied as text")
    info = run("pdfinfo", pdf).stdout
    pages = int(re.search(r"^Pages:\s+(\d+)", info, re.M)[1])
    found = tuple(float(x) for x in re.search(r"^Page size:\s+([\d.]+) x ([\d.]+)", info, re.M).groups())
    say(max(abs(a - b) for a, b in zip(found, size)) < 0.01, f"{name}: sheet of {found[0]} x {found[1]} pt")

    with tempfile.TemporaryDirectory() as scratch:
        boxes = Path(scratch) / "boxes.html"
        run("pdftotext", "-bbox", pdf, boxes)
        document = re.sub(r"<!DOCTYPE[^>]*>", "", boxes.read_text())
        tree = ElementTree.fromstring(document)
    ends = "{http://www.w3.org/1999/xhtml}"
    words = list(tree.iter(ends + "word"))
    # 20 mm at the sides, 12 mm at head and foot: what an office printer surely reaches.
    outside = [word.text for word in words if float(word.get("xMin")) < 56 or float(word.get("xMax")) > size[0] - 56
               or float(word.get("yMin")) < 34 or float(word.get("yMax")) > size[1] - 34]
    say(words and not outside, f"{name}: {len(words)} words on {pages} pages, outside the margins: {outside[:5]}")

    raw = run("pdftotext", "-raw", pdf, "-").stdout.split("\f")[:-1]
    numbered = all(f"{n} of {pages}" in text for n, text in enumerate(raw, 1))
    say(len(raw) == pages and numbered, f"{name}: every page says which of how many it is")

    copied = bare("".join(raw))
    lacking = [fact for fact in facts if bare(fact) not in copied]
    say(not lacking, f"{name}: {len(facts) - len(lacking)} of {len(facts)} facts of book.toml, lacking: {lacking}")

    # The e-mail says the same in the same order, but for what is drawn and not said, and for the address
    # that it ends with. Feet of pages stand between the parts of a paragraph, so they are taken out.
    reference = re.search(r"^Reference +(\S+)$", pdf.with_suffix(".txt").read_text(), re.M)[1]
    feet = "|".join(f"{n}of{pages}" for n in range(1, pages + 1))
    body = re.sub(rf"{re.escape(reference)}·\d+\w+\d{{4}}({feet})", "", copied)
    e_mail = pdf.with_suffix(".txt").read_text().split("\n\n", 1)[1].strip()
    paragraphs = re.split(r"\n{2,}", e_mail)
    paragraphs[-1] = paragraphs[-1].splitlines()[0]
    at, said, lost = 0, 0, []
    for paragraph in paragraphs:
        lines = [line for line in paragraph.splitlines() if not set(line) <= {"-"}]
        if "____" in paragraph:
            continue
        place = body.find(bare("".join(lines)), at)
        if place < 0:
            lost.append(lines[0])
        else:
            at, said = place, said + 1
    say(said > 12 and not lost, f"{name}: {said} paragraphs of the e-mail in the letter, in order; lost: {lost[:3]}")
    return raw


def facts_of(book, printer):
    facts = [book["book"]["title"], book["book"].get("author", "")]
    asked = book["ask"]
    facts += [asked[key] for key in ("packing", "payment") if key in asked]
    facts += asked.get("proofs", []) + asked.get("from", "").strip().splitlines()
    facts += [place["place"] for place in book.get("delivery", [])]
    entry = next(entry for entry in book["printer"] if entry["key"] == printer)
    facts += [entry["name"], entry.get("place", ""), entry.get("email", "")]
    facts += [finishing["name"] for finishing in book.get("finishing", [])]
    return [fact for fact in facts if fact]


A4, LETTER = (595.276, 841.89), (612.0, 792.0)


def copy(scratch, name):
    folder = Path(scratch) / name
    folder.mkdir()
    for part in ("book.toml", "art", "masks"):
        source = DEMO / part
        if source.is_dir():
            shutil.copytree(source, folder / part)
        elif source.exists():
            shutil.copy(source, folder / part)
    return folder


with tempfile.TemporaryDirectory() as scratch:
    folder = copy(scratch, "plain")
    book = tomllib.loads((folder / "book.toml").read_text())
    for entry in book["printer"]:
        key = entry["key"]
        look(key, ask(folder, key), A4, facts_of(book, key))

    folder = copy(scratch, "hard")
    text = (folder / "book.toml").read_text()
    for number in range(40):
        text += (f'\n[[finishing]]\nname = "plate {number} of a long night"\nprocess = "foil"\non = "cover"\n'
                 f'panel = "front"\nmask = "masks/moon.png"\ncolour = "gold"\n')
    text += ('\n[[printer]]\nkey = "hard"\nname = "#strong[海岸印刷所] *Press* $x$ \\\\ _of_ the very long name, '
             'which goes on and on until it has passed the end of its line and then some more"\n'
             'place = "Ufer <b>weit</b>"\ncountry = "US"\nlanguage = "zh"\n')
    (folder / "book.toml").write_text(text)
    book = tomllib.loads(text)
    book["printer"][-1]["name"] = book["printer"][-1]["name"].replace("海岸印刷所", "▯▯▯▯▯")
    pdf = ask(folder, "hard")
    e_mail = pdf.with_suffix(".txt")
    said = e_mail.read_text()
    say("海岸印刷所" in said, "hard: the e-mail has the signs that no typeface of the letter has")
    e_mail.chmod(0o644)
    e_mail.write_text(re.sub("[海岸印刷所]", "▯", said))
    raw = look("hard", pdf, LETTER, facts_of(book, "hard"))
    say("▯ stands for a sign" in " ".join(raw[-1].split()), "hard: the letter says what its open boxes mean")

end()
