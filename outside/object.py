#!/usr/bin/env python3
# The object of the demonstration book in four bindings, held against a reckoning of its own in
# Python (same published formulas, no shared code), and its drawing against Python's XML parser.
# Formulas: leaves x caliper (ISO 534); spine and case as in crates/book/tests/tables.
import json
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml

failed = 0


def hold(what, found, expected, within=0.002):
    global failed
    good = abs(found - expected) <= within
    failed += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: {found:.3f} against {expected:.3f}")


def run(*arguments):
    done = subprocess.run([os.environ["FOREDGE"], "--json", "--book", book, *arguments], capture_output=True, text=True)
    if done.returncode == 2:
        sys.exit(f"{arguments}: {done.stdout} {done.stderr}")
    return json.loads(done.stdout)


def figure(thing, part, name, unit="value_mm"):
    figures = next(one for one in thing["parts"] if one["name"] == part)["figures"]
    return next(one for one in figures if one["name"] == name)[unit]


def sheet(thing, name):
    return next(one for one in thing["sheets"] if one["name"] == name)


folder = tempfile.mkdtemp()
book = os.path.join(folder, "book")
shutil.copytree(os.environ["DEMO"], book, symlinks=True, ignore=shutil.ignore_patterns("press", ".foredge", "proofs"))
for kind, more in [
    ("sewn soft", [("flaps.width", "80mm"), ("band.wanted", "true")]),
    ("sewn case", [("jacket.flap", "90mm"), ("slipcase.wanted", "true"), ("case.ribbons", "1")]),
    ("sewn case", [("case.back", "round"), ("case.rise", "3mm")]),
    ("wire-stitched", [("flaps.wanted", "false")]),
]:
    for key, value in [("binding.kind", kind), *more]:
        run("set", key, value)
    thing = run("object")
    label = f"{kind}{' round' if ('case.back', 'round') in more else ''}"
    block = thing["leaves"] * thing["caliper_mm"]
    hold(f"{label}: block", thing["block_mm"], block)
    width, height = (figure(thing, "text", "Page", unit) for unit in ("width_mm", "height_mm"))
    text = thing["leaves"] * width * height * figure(thing, "text", "Paper", "grammage_g_per_m2") / 1e6
    masses = {part["name"]: part["mass_g"] for part in thing["parts"]}
    hold(f"{label}: text weighs", masses["text"], text)
    hold(f"{label}: parts sum to the copy", sum(masses.values()), thing["copy_g"])
    if kind == "sewn case":
        board = figure(thing, "boards", "Board")
        chord = block + 4 * figure(thing, "endpapers", "Thickness of the endpapers") + 2 * board
        spine = chord
        if "round" in label:
            rise = figure(thing, "spine strip", "Rise of the back")
            radius = (chord * chord / 4 + rise * rise) / (2 * rise)
            spine = 2 * radius * math.asin(chord / 2 / radius)
        hold(f"{label}: spine", thing["spine_mm"], spine)
        square, hinge, turn = figure(thing, "boards", "Square"), figure(thing, "covering", "Hinge"), figure(thing, "covering", "Turn-in")
        wide = width + square - figure(thing, "boards", "Setback of the boards")
        wrap = sheet(thing, "case wrap")
        hold(f"{label}: case wrap wide", wrap["width_mm"], 2 * (wide + hinge + turn) + spine)
        hold(f"{label}: case wrap high", wrap["height_mm"], height + 2 * (square + turn))
        density = figure(thing, "boards", "Density of the board", "density_g_per_cm3")
        hold(f"{label}: boards weigh", masses["boards"], 2 * wide * (height + 2 * square) * board * density / 1000)
    elif kind == "sewn soft":
        spine = block + 2 * figure(thing, "cover", "Thickness of one cover sheet")
        hold(f"{label}: spine", thing["spine_mm"], spine)
        hold(f"{label}: cover with flaps wide", sheet(thing, "soft cover")["width_mm"], 2 * width + spine + 160)
    else:
        hold(f"{label}: cover wide", sheet(thing, "soft cover")["width_mm"], 2 * width)
    for one in thing["sheets"]:
        area = sum(panel["width_mm"] * panel["height_mm"] for panel in one["panels"])
        hold(f"{label}: panels of the {one['name']} tile it, mm2", area, one["width_mm"] * one["height_mm"], 0.01)
    path = os.path.join(folder, f"{label}.svg")
    made = run("object", "drawing", path)
    root = xml.parse(path).getroot()
    hold(f"{label}: the drawing is at true size, wide", float(root.get("width").removesuffix("mm")), made["pages"][0]["width_mm"], 0.01)
    x, y, w, h = map(float, root.get("viewBox").split())
    beyond = 0
    for element in root.iter("{http://www.w3.org/2000/svg}path"):
        numbers = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", element.get("d"))]
        beyond += sum(not (0 <= a <= w and 0 <= b <= h) for a, b in zip(numbers[::2], numbers[1::2]))
    hold(f"{label}: points of the drawing beyond its edge", beyond, 0, 0)
shutil.rmtree(folder)
sys.exit(1 if failed else 0)
