#!/usr/bin/env python3
# What is measured by hand, held against other hands: a printer's template drawn in PostScript and
# written by Ghostscript (then rewritten by qpdf and by MuPDF), each line read back in millimetres; the
# errors of a book on the shelf against random measuring in Python (Guide to the expression of
# uncertainty in measurement: bounds are flat, so each is bound / sqrt(3)); a dummy's lessons against
# leaves x caliper reckoned here.
import json
import os
import random
import shutil
import statistics
import subprocess
import sys
import tempfile

failed = 0


def hold(what, good, found):
    global failed
    failed += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: {found}")


def near(what, found, expected, within):
    hold(what, abs(found - expected) <= within, f"{found:.4f} against {expected:.4f}")


def run(*arguments, refused=False):
    done = subprocess.run([os.environ["FOREDGE"], "--json", "--book", book, *arguments], capture_output=True, text=True)
    if (done.returncode == 2) != refused:
        sys.exit(f"{arguments}: {done.returncode} {done.stdout} {done.stderr}")
    return json.loads(done.stdout)


folder = tempfile.mkdtemp()
book = os.path.join(folder, "book")
shutil.copytree(os.environ["DEMO"], book, symlinks=True, ignore=shutil.ignore_patterns("press", ".foredge", "proofs", "other-bindings"))
run("set", "binding.kind", "sewn case")

# A template: boards, spine and hinges as another bindery would have them, every fold and edge drawn.
listed = {one["name"]: one["ours_mm"] for one in run("object", "template", "case")["figures"]}
board, hinge, turn_in = listed["front"] + 1.5, listed["front hinge"] + 1.25, listed["turn-in"] + 2.0
spine, height = listed["spine"] + 0.8, listed["board height"] + 2.0
drawn = {
    "turn-in": turn_in, "board height": height, "front": board, "back": board, "front hinge": hinge,
    "back hinge": hinge, "spine": spine, "width": 2 * (turn_in + board + hinge) + spine, "height": height + 2 * turn_in,
}
left, foot = 37.3, 29.1
page = (drawn["width"] + 2 * left, drawn["height"] + 2 * foot)
uprights = [0.0]
for step in (turn_in, board, hinge, spine, hinge, board, turn_in):
    uprights.append(uprights[-1] + step)
levels = [0.0, turn_in, turn_in + height, 2 * turn_in + height]
mm = 72 / 25.4


def postscript(box, turn):
    out = ["%!PS", f"<< /PageSize [{page[0] * mm:.4f} {page[1] * mm:.4f}] >> setpagedevice"]
    marks = []
    if box:
        trim = [left, foot, left + drawn["width"], foot + drawn["height"]]
        marks.append("/TrimBox [" + " ".join(f"{edge * mm:.4f}" for edge in trim) + "]")
    if turn:
        marks.append("/Rotate 90")
    if marks:
        out.append("[ " + " ".join(marks) + " /PAGE pdfmark")
    out.append("0.3 setlinewidth 0 0.8 0 0 setcmykcolor")
    for x in uprights:
        dashes = "[6 4] 0" if 0 < x < uprights[-1] else "[] 0"
        out.append(f"{dashes} setdash {(left + x) * mm:.4f} 0 moveto 0 {page[1] * mm:.4f} rlineto stroke")
    for y in levels:
        out.append(f"[] 0 setdash 0 {(foot + y) * mm:.4f} moveto {page[0] * mm:.4f} 0 rlineto stroke")
    out.append("/Helvetica findfont 9 scalefont setfont 40 40 moveto (case wrap, 2.5 mm board) show showpage")
    return "\n".join(out)


def tool(*arguments):
    done = subprocess.run(arguments, capture_output=True, text=True)
    if done.returncode not in (0, 3):
        sys.exit(f"{arguments}: {done.stdout} {done.stderr}")


def written(name, box, turn=False):
    source, target = os.path.join(folder, f"{name}.ps"), os.path.join(folder, f"{name}.pdf")
    with open(source, "w") as file:
        file.write(postscript(box, turn))
    tool("gs", "-q", "-dBATCH", "-dNOPAUSE", "-dAutoRotatePages=/None", "-sDEVICE=pdfwrite", f"-sOutputFile={target}", source)
    return target


def read_back(name, file):
    read = run("object", "template", "case", "--file", file)
    found = {one["figure"]: one["theirs_mm"] for one in read.get("differences", [])}
    worst = max(abs(found.get(figure, 1e9) - length) for figure, length in drawn.items())
    hold(f"template {name}: {len(drawn)} figures, worst off", worst <= 0.02, f"{worst:.4f} mm")
    return read


plain = written("boxed", box=True)
first = read_back("by Ghostscript, with a trim box", plain)
read_back("by Ghostscript, lines alone", written("bare", box=False))
packed, cleaned = os.path.join(folder, "packed.pdf"), os.path.join(folder, "cleaned.pdf")
tool("qpdf", "--object-streams=generate", plain, packed)
read_back("rewritten by qpdf into object streams", packed)
tool("mutool", "clean", "-d", plain, cleaned)
read_back("rewritten by MuPDF without compression", cleaned)
believed = {one["figure"]: one["believe"] for one in first["differences"]}
hold("typical figures give way to the printer's", {believed[one] for one in ("turn-in", "front hinge", "back hinge", "board height", "front")} == {"the printer"}, believed)
run("object", "template", "--accept", str(first["number"]))
again = run("object", "template", "case", "--file", plain)
left_over = [one["figure"] for one in again["differences"] if abs(one["by_mm"]) > 0.1 and one["figure"] not in ("spine", "width")]
hold("once accepted, only the spine is left to differ", not left_over, left_over)
# The printer's own tool for the size of a page.
pages = subprocess.run(["pdfinfo", "-box", plain], capture_output=True, text=True).stdout
trim = next(line for line in pages.splitlines() if line.startswith("TrimBox")).split()[1:]
near("width by poppler's trim box", (float(trim[2]) - float(trim[0])) / mm, next(one["theirs_mm"] for one in first["differences"] if one["figure"] == "width"), 0.02)
for name, bytes_ in (("empty", b""), ("text", b"no template"), ("cut", open(plain, "rb").read()[:700])):
    broken = os.path.join(folder, f"{name}.pdf")
    with open(broken, "wb") as file:
        file.write(bytes_)
    error = run("object", "template", "case", "--file", broken, refused=True)["error"]
    hold(f"a template that is {name} is refused with a sentence", bool(error["problem"]) and bool(error["hint"]), error["problem"])

# A book on the shelf, measured a hundred thousand times with tools that are off at random.
random.seed(20261125)
told = run("object", "shelf", "--kind", "sewn case", "--width", "245mm", "--height", "290mm", "--block", "24.5mm", "--pages", "288", "--mass", "1890 g", "--weighed", "boards=310 g", "--weighed", "covering=55 g", "--weighed", "endpapers=42 g", "--weighed", "spine strip=25 g", "--weighed", "bands=1 g")
parts, leaves = 433.0, 144
weights, bulks = [], []
off = lambda bound: random.uniform(-bound, bound)
for _ in range(100_000):
    mass = 1890 + off(1) - parts + sum(off(1) for _ in range(5))
    width, height, block = 245 + off(0.5), 290 + off(0.5), 24.5 + off(0.5)
    weights.append(mass * 1e6 / (leaves * width * height))
    bulks.append(block * 1000 / leaves / weights[-1])
near("weight of the paper", told["grammage_g_per_m2"]["value"], (1890 - parts) * 1e6 / (leaves * 245 * 290), 1e-6)
near("bulk of the paper", told["bulk_cm3_per_g"]["value"], 24.5 * 245 * 290 / ((1890 - parts) * 1000), 1e-6)
for name, key, values in (("weight", "grammage_g_per_m2", weights), ("bulk", "bulk_cm3_per_g", bulks)):
    drawn_off = 2 * statistics.pstdev(values)
    near(f"error of the {name}, drawn against carried on", told[key]["likely_off"] / drawn_off, 1.0, 0.02)
    hold(f"no {name} drawn beyond the bounds", told[key]["lowest"] <= min(values) and max(values) <= told[key]["highest"], told[key])

# A dummy: its leaf of 0.1425 mm and its boards of 3 mm must move the spine of any number of pages.
thing = run("object")
endpaper = next(one for one in next(part for part in thing["parts"] if part["name"] == "endpapers")["figures"] if one["name"] == "Thickness of the endpapers")["value_mm"]
pages, leaf, thick = 240, 0.1425, 3.0
block = pages / 2 * leaf
run("object", "dummy", "--pages", str(pages), "--block", f"{block:.4f}mm", "--spine", f"{block + 2 * thick + 4 * endpaper:.4f}mm", "--gauge", "0.05mm")
done = run("object", "dummy", "--accept", "1")
after = run("object")
near("the spine of the book after the dummy", after["spine_mm"], after["leaves"] * leaf + 2 * thick + 4 * endpaper, 0.01)
hold("the dummy is the source", "dummy 1" in open(os.path.join(book, "book.toml")).read(), done["done"])
run("undo")
near("and undo takes it back", run("object")["spine_mm"], thing["spine_mm"], 1e-9)
shutil.rmtree(folder)
sys.exit(failed > 0)
