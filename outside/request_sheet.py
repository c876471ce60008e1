"""The sheet that a printer fills in, held against a reader and writer of workbooks that we did not write.

The sheet that `foredge ask` writes for the demonstration book is opened by openpyxl: words, values, number
formats, protection (every cell that is to be filled in unlocked, every other one locked, no password) and the
defined name of each cell must be as ARCHITECTURE and docs/asking-printers.md claim. It is filled in by openpyxl,
saved, and read back by foredge with the same values to the cent. Then it is spoiled, one thing at a time: columns
moved, cells merged, amounts as text, a formula, two currencies, another book's marks, an older specification, a
macro, a zip bomb. Each time foredge must name the very cell and keep nothing; with --agree it must keep the rest.
The same as text, parted by semicolon, comma and tab, in UTF-8 and Latin-1, written by Python's csv.

Needs FOREDGE (the binary) and DEMO (a finished demonstration book).
"""

import csv
import datetime
import hashlib
import io
import json
import os
import re
import shutil
import subprocess
import tempfile
import zipfile
from decimal import Decimal
from pathlib import Path

import openpyxl

from kit.said import end, say

FOREDGE, DEMO = os.environ["FOREDGE"], Path(os.environ["DEMO"])


def run(folder, *command):
    return subprocess.run([FOREDGE, "--book", str(folder), "--json", *map(str, command)], capture_output=True, text=True)


def answers(folder):
    return json.loads(run(folder, "prices", "answers").stdout)["answers"]


def places(workbook):
    """Defined names: name -> (sheet, cell)."""
    found = {}
    for name, defined in workbook.defined_names.items():
        [(sheet, cell)] = list(defined.destinations)
        found[name] = (sheet, cell.replace("$", ""))
    return found


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


TOTALS = [Decimal("6820.00"), Decimal("7882.50"), Decimal("8875.35")]


def fill(sheet, at):
    """As a printer would: numbers, words and days into the framed cells."""
    sheet[at["currency"]] = "EUR"
    for number, total in enumerate(TOTALS, 1):
        sheet[at[f"total_{number}"]] = float(total)
        sheet[at[f"freight_{number}"]] = 300 + number
    sheet[at["charge_1"]] = 640.1
    sheet[at["term"]] = "DAP"
    sheet[at["term_place"]] = "Port Ellery"
    sheet[at["lead_days"]] = 25
    sheet[at["valid_until"]] = datetime.date(2099, 1, 31)
    sheet[at["overs"]] = 0.05
    sheet[at["payment"]] = "half with the order"
    sheet[at["answered_on"]] = datetime.date(2026, 12, 1)


with tempfile.TemporaryDirectory() as scratch:
    folder = copy(scratch, "book")
    printer = re.search(r'^key = "(.+)"', (folder / "book.toml").read_text().split("[[printer]]", 1)[1], re.M)[1]
    asked = json.loads(run(folder, "ask", printer, "--dated", "2026-11-25").stdout)["requests"][0]
    [written] = [folder / file for file in asked["files"] if file.endswith(".xlsx")]
    say(written.is_file(), f"asking writes {written.name} beside {len(asked['files']) - 1} others")

    # As written.
    with zipfile.ZipFile(written) as archive:
        dates = {entry.date_time[:3] for entry in archive.infolist()}
    workbook = openpyxl.load_workbook(written)
    named = places(workbook)
    at = {name: cell for name, (sheet, cell) in named.items() if sheet == "Prices"}
    sheet = workbook["Prices"]
    say(workbook.sheetnames == ["Prices", "The book"] and len(at) == len(named), f"{len(named)} names, all on Prices")
    say(str(workbook.properties.created)[:10] == "2026-11-25" and dates == {(1980, 1, 1)},
        "it bears the day of the request and no other")
    say(sheet[at["reference"]].value == asked["reference"] and sheet[at["specification"]].value == asked["digest"],
        "reference and mark of the specification are those of the request")
    say(sheet[at["asked_on"]].value == datetime.datetime(2026, 11, 25), "the day is a day, not words")
    quantities = [sheet[at[f"quantity_{number}"]].value for number in (1, 2, 3)]
    say(quantities == asked["quantities"], f"quantities {quantities}")
    open_names = {name for name in at if not re.fullmatch(r"reference|specification|asked_on|quantity_[123]|charge_\d+_for", name)}
    spare = {name for name in at if re.fullmatch(r"charge_\d+_for", name) and sheet[at[name]].value is None}
    expected = {at[name] for name in open_names | spare}
    unlocked = {cell.coordinate for row in sheet.iter_rows() for cell in row if not cell.protection.locked}
    say(unlocked == expected, f"{len(unlocked)} cells are unlocked, and they are those to fill in: {unlocked ^ expected}")
    for page in workbook:
        say(page.protection.sheet and page.protection.password is None, f"{page.title} is protected, without a password")
    say(all(cell.protection.locked for row in workbook["The book"].iter_rows() for cell in row), "the book is locked whole")
    formats = {name: sheet[at[name]].number_format for name in ("total_1", "each_1", "freight_1", "charge_1", "valid_until", "overs", "quantity_1")}
    say(formats == {"total_1": "#,##0.00", "each_1": "#,##0.0000", "freight_1": "#,##0.00", "charge_1": "#,##0.00",
                    "valid_until": "yyyy-mm-dd", "overs": "0.0%", "quantity_1": "0"}, f"formats: {formats}")
    say(not sheet.merged_cells.ranges and not workbook.vba_archive, "no merged cells, no macro")
    told = {row[0].value: row[1].value for row in workbook["The book"].iter_rows(min_row=2)}
    e_mail = written.with_suffix(".txt").read_text()
    flat = re.sub(r"\s+", " ", e_mail)
    lines = [(what, said) for what, said in told.items() if what and said]
    lost = [what for what, said in lines if re.sub(r"\s+", " ", said) not in flat]
    say(len(lines) > 12 and not lost, f"{len(lines)} lines of the specification, as in the e-mail; lost: {lost}")
    say("sheet that comes with this letter" in flat, "the letter speaks of the sheet")

    def variant(name, change=lambda sheet, workbook: None, after=lambda path: None, filled=True):
        path = Path(scratch) / f"{name}.xlsx"
        copied = openpyxl.load_workbook(written)
        if filled:
            fill(copied["Prices"], at)
        change(copied["Prices"], copied)
        copied.save(path)
        after(path)
        return path

    # Filled in.
    good = variant("filled")
    read = run(folder, "prices", "read", good, "--on", "2026-12-02")
    answer = json.loads(read.stdout) if read.returncode == 0 else {}
    say(read.returncode == 0, f"a sheet filled in by openpyxl is read without a doubt: {read.stdout[:300] if read.returncode else ''}{read.stderr[:300]}")
    if answer:
        totals = [Decimal(price["total"]) for price in answer["prices"]]
        freight = [Decimal(one["cost"]) for one in answer["freight"]]
        charges = [(one["what"], Decimal(one["cost"])) for one in answer["one_offs"]]
        first = sheet[at["charge_1_for"]].value
        say(totals == TOTALS and freight == [Decimal(301), Decimal(302), Decimal(303)], f"to the cent: {totals}, freight {freight}")
        say(charges == [(first[0].lower() + first[1:], Decimal("640.10"))], f"charged once: {charges}")
        say((answer["currency"], answer["term"], answer["term_place"], answer["lead_working_days"], answer["valid_until"],
             answer["dated"], Decimal(answer["overs_share"]), answer["payment"], answer["printer"], answer["request"])
            == ("EUR", "DAP", "Port Ellery", 25, "2099-01-31", "2026-12-01", Decimal("0.05"), "half with the order", printer, 1),
            "currency, term, place, time, days, overs, payment, printer and request")
        kept = folder / answer["file"]["kept"]
        say(kept.read_bytes() == good.read_bytes(), f"the original is kept whole, sha256 {hashlib.sha256(kept.read_bytes()).hexdigest()[:12]}")

    def spoiled(what, path, cells, taken=True, code=1):
        """Names every cell, keeps nothing; with --agree, keeps the rest."""
        before = (answers(folder), sorted(folder.rglob(".foredge/kept/**/*")))
        read = run(folder, "prices", "read", path)
        after = (answers(folder), sorted(folder.rglob(".foredge/kept/**/*")))
        doubts = json.loads(read.stdout).get("doubts", []) if read.stdout.strip() else []
        named = [doubt["place"] for doubt in doubts]
        say(read.returncode == code and before == after and all(cell in named for cell in cells),
            f"{what}: {named or read.stderr.strip().splitlines()[:1]}, nothing kept")
        if code != 1:
            say("Traceback" not in read.stderr and "panicked" not in read.stderr, f"{what}: refused in words: {read.stderr.strip()[:160]}")
            return
        agreed = run(folder, "prices", "read", path, "--agree")
        say(agreed.returncode == (0 if taken else 2), f"{what}: {'kept' if taken else 'not kept'} with --agree {agreed.stderr.strip()[:120]}")
        if agreed.returncode == 0:
            run(folder, "prices", "forget", json.loads(agreed.stdout)["number"])
            return json.loads(agreed.stdout)

    def cell(name):
        return f"cell {at[name]}"

    def put(name, value):
        return lambda sheet, workbook: sheet.__setitem__(at[name], value)

    def right(name):
        letter, row = re.fullmatch(r"([A-Z]+)(\d+)", at[name]).groups()
        return f"cell {chr(ord(letter) + 1)}{row}"

    moved = spoiled("a column put in", variant("moved", lambda sheet, workbook: sheet.insert_cols(2)),
                    [right("currency"), right("total_1"), right("total_3"), right("charge_1"), right("term")])
    say(moved is not None and [Decimal(price["total"]) for price in moved["prices"]] == TOTALS, "a column put in: the same prices, by the words beside them")

    def swap(sheet, workbook):
        for row in ("quantity", "total", "freight"):
            a, b = at[f"{row}_1"], at[f"{row}_3"]
            sheet[a].value, sheet[b].value = sheet[b].value, sheet[a].value
    swapped = run(folder, "prices", "read", variant("swapped", swap))
    say(swapped.returncode == 0 and [Decimal(price["total"]) for price in json.loads(swapped.stdout)["prices"]] == TOTALS,
        "columns that change places keep their quantities")

    spoiled("cells merged", variant("merged", lambda sheet, workbook: sheet.merge_cells(f"{at['total_1']}:{at['total_3']}")), [cell("total_1")])
    spoiled("1.234,50", variant("comma", put("total_1", "6.820,50")), [cell("total_1")])
    spoiled("approx. 9", variant("approx", put("total_2", "approx. 9")), [cell("total_2")])
    spoiled("9.240", variant("ambiguous", put("total_3", "9.240")), [cell("total_3")])
    spoiled("a formula", variant("formula", put("total_3", f"={at['total_1']}*1.3")), [cell("total_3")])
    spoiled("two currencies in words", variant("two", put("total_2", "USD 7882.50")), [cell("total_2")])

    def dollars(sheet, workbook):
        sheet[at["freight_2"]].number_format = '[$USD] #,##0.00'
    spoiled("two currencies by a format", variant("format", dollars), [cell("freight_2")])
    spoiled("no quantity above", variant("empty", put("quantity_2", None)), [cell("total_2")])

    def other(sheet, workbook):
        sheet[at["reference"]] = "R7-lamp-000000"
        sheet[at["specification"]] = "0" * 12
    spoiled("another book", variant("other", other), [cell("reference")], taken=False)

    def macro(path):
        with zipfile.ZipFile(path, "a") as archive:
            archive.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0 Sub Auto_Open")
        path.rename(path.with_suffix(".xlsm"))
    variant("macro", after=macro)
    spoiled("a macro", Path(scratch) / "macro.xlsm", ["the file"])

    def bomb(path):
        with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("xl/media/picture.bin", b"\0" * (400 << 20))
    packed = variant("bomb", after=bomb)
    say(packed.stat().st_size < 1 << 20, f"a bomb of {packed.stat().st_size >> 10} KiB that unpacks to 400 MiB")
    spoiled("a zip bomb", packed, [], code=2)

    def liar(path):
        """The page itself is a bomb, and the archive says that it is small."""
        parts = {}
        with zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        name = "xl/worksheets/sheet1.xml"
        parts[name] = parts[name].replace(b"</sheetData>", b" " * (64 << 20) + b"</sheetData>")
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for part, content in parts.items():
                archive.writestr(part, content)
        size = len(parts[name]).to_bytes(4, "little")
        path.write_bytes(packed.getvalue().replace(size, (20_000).to_bytes(4, "little")))
    spoiled("a page that lies about its size", variant("liar", after=liar), [], code=2)
    broken = Path(scratch) / "broken.xlsx"
    broken.write_bytes(good.read_bytes()[:4000])
    spoiled("a file cut short", broken, [], code=2)

    # As text.
    def rows(values):
        page = openpyxl.load_workbook(good)["Prices"]
        for row in page.iter_rows():
            line = []
            for one in row:
                value = one.value
                if isinstance(value, datetime.datetime):
                    value = value.date().isoformat()
                elif isinstance(value, float) and one.number_format == "0.0%":
                    value = f"{value * 100:.1f}%"
                elif isinstance(value, float):
                    value = values(value)
                line.append("" if value is None else value)
            yield line

    def german(value):
        return f"{value:,.2f}".replace(",", " ").replace(".", ",").replace(" ", ".")

    def english(value):
        return f"{value:.2f}"

    for sign, words, encoding in ((";", german, "latin-1"), (",", english, "utf-8-sig"), ("\t", german, "utf-8")):
        path = Path(scratch) / f"table-{ord(sign)}.csv"
        text = io.StringIO()
        csv.writer(text, delimiter=sign).writerows(rows(words))
        path.write_bytes(text.getvalue().replace("“", '"').replace("”", '"').encode(encoding))
        read = run(folder, "prices", "read", path)
        totals = [Decimal(price["total"]) for price in json.loads(read.stdout).get("prices", [])] if read.stdout else []
        say(read.returncode == 0 and totals == TOTALS, f"text parted by {sign!r} in {encoding}: {totals} {read.stderr.strip()[:200]}{read.stdout[:300] if read.returncode else ''}")

    # An older specification.
    changed = run(folder, "set", "stock.text.grammage", "170 g/m2")
    if changed.returncode == 0:
        spoiled("an older specification", good, [cell("specification")])
    else:
        say(False, f"the book can be changed: {changed.stderr.strip()}")

end()
