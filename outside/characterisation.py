#!/usr/bin/env python3
"""The strip, its reading and what is learned from it, held against characterisation sets.

Against: the CGATS sets of Debian's icc-profiles-free (originators FOGRA and ANSI CGATS), the table of
solids taken from them by hand, and CIEDE2000 of colour-science (PyPI, BSD-3).

1. Each set is read; paper, solids and overprints agree with the table.
2. A press is made of a set's own figures: smooth interpolation of its measured colours by SciPy, with
   known dot gain and saturation put on. Nothing of our profiles is in it. Our strip is "printed" and
   "measured" on it, and the correction is "printed" on it again. For a heavy press the mean ΔE00 over
   colours that the fit has not seen must fall by at least 60 percent; on a press that is right (the
   set as it is, with and without noise of an instrument) it must never rise.
3. The errors that we report are those of colour-science.
"""
import csv
import os
import subprocess
import sys
import tempfile
import warnings

import numpy
from scipy.interpolate import RBFInterpolator

from kit.examples import example

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from colour.difference import delta_E_CIE2000

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
SETS = "/usr/share/color/icc"
TABLE = os.path.join(ROOT, "crates/colour/tests/tables/solids_from_characterisation_sets.csv")
failed = False
checked = 0


def say(good, words):
    global failed
    failed |= not good
    print(f"{'ok' if good else 'FAILED'}: {words}")


PROGRAM = example("proof", "characterisation")


def ours(*arguments):
    run = subprocess.run([PROGRAM, *arguments], cwd=ROOT, capture_output=True, text=True)
    if run.returncode:
        sys.exit(f"{arguments}: {run.stderr}")
    return [line.split(" ", 1) for line in run.stdout.splitlines()]


def numbers(lines):
    return numpy.array([[float(word) for word in line.split()] for line in lines])


def rows(name):
    lines = ours("rows", os.path.join(SETS, f"{name}.ti3"))
    return numbers(" ".join(line) for line in lines)


def solids():
    """The table by set: inks and Lab of each patch."""
    found = {}
    with open(TABLE, encoding="utf-8") as file:
        next(file)
        for row in csv.DictReader(file):
            ink = tuple(float(row[c]) for c in "CMYK")
            lab = [float(row[c]) for c in ("L", "a", "b")]
            found.setdefault(row["set"].strip(), []).append((row["patch"], ink, lab))
    return found


def check_sets(tables):
    for name, patches in sorted(tables.items()):
        if not os.path.exists(os.path.join(SETS, f"{name}.ti3")):
            print(f"skipped: {name} is not in the package")
            continue
        global checked
        checked += 1
        data = rows(name)
        worst, seen = 0.0, 0
        for _, ink, lab in patches:
            near = numpy.abs(data[:, :4] - ink).max(axis=1)
            match = data[near < 0.01]
            if len(match):
                seen += 1
                worst = max(worst, numpy.abs(match[:, 4:] - lab).max(axis=1).min())
        say(seen == len(patches) and worst < 0.006,
            f"{name}: {len(data)} patches read, {seen} of {len(patches)} of the table found, "
            f"worst difference {worst:.3f}")


class Press:
    """A press made of a set's measured colours."""

    def __init__(self, name, gain, chroma):
        data = rows(name)
        ink, where = numpy.unique(data[:, :4], axis=0, return_index=True)
        self.lab = RBFInterpolator(ink / 100, data[where, 4:], kernel="cubic", degree=1)
        self.paper = data[data[:, :4].sum(axis=1) == 0][0, 4:]
        self.gain, self.chroma = numpy.array(gain) / 100, chroma

    def print(self, ink):
        tint = ink / 100
        tint = numpy.clip(tint + 4 * self.gain * tint * (1 - tint), 0, 1)
        lab = self.lab(tint)
        lab[:, 1:] = self.paper[1:] + (lab[:, 1:] - self.paper[1:]) * self.chroma
        return lab


def measurement(names, inks, labs):
    lines = ["CGATS.17", 'ORIGINATOR "a simulated press"', "NUMBER_OF_FIELDS 8", "BEGIN_DATA_FORMAT",
             "SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B", "END_DATA_FORMAT",
             f"NUMBER_OF_SETS {len(names)}", "BEGIN_DATA"]
    for name, ink, lab in zip(names, inks, labs):
        lines.append(" ".join([name] + [f"{value:.4f}" for value in [*ink, *lab]]))
    return "\n".join([*lines, "END_DATA", ""])


def check_press(condition, name, title, gain, chroma, noise, seed):
    press = Press(name, gain, chroma)
    lines = ours("strip", condition)
    patches = [line[1].split() for line in lines if line[0] != "unseen"]
    names = [patch[0] for patch in patches]
    strip = numbers(" ".join(patch[1:]) for patch in patches)
    unseen = numbers(line[1].split(" ", 1)[1] for line in lines if line[0] == "unseen")
    random = numpy.random.default_rng(seed)
    labs = press.print(strip[:, :4])
    labs += random.normal(0, noise, labs.shape)

    with tempfile.NamedTemporaryFile("w", suffix=".txt") as file:
        file.write(measurement(names, strip[:, :4], labs))
        file.flush()
        told = ours("learn", condition, file.name)
    verdict = [line[1] for line in told if line[0] == "verdict"][0]

    # Our figures against colour-science, on what the file says.
    errors = {line[1].split()[0]: float(line[1].split()[1]) for line in told if line[0] == "error"}
    theirs = delta_E_CIE2000(strip[:, 4:], numpy.round(labs, 4))
    worst = max(abs(errors[patch] - value) for patch, value in zip(names, theirs))
    art = numpy.array([line[0] == "art" for line in lines if line[0] != "unseen"])
    good = worst < 2e-3 and len(errors) == len(names)
    if verdict == "enough":
        mean, percentile, most = numbers([line[1] for line in told if line[0] == "before"])[0]
        sorted_art = numpy.sort(theirs[art])
        rank = int(numpy.ceil(len(sorted_art) * 0.95)) - 1
        good &= abs(mean - sorted_art.mean()) < 2e-3
        good &= abs(percentile - sorted_art[rank]) < 2e-3 and abs(most - sorted_art[-1]) < 2e-3
    say(good, f"{name}, {title}: errors of {len(errors)} patches agree with colour-science "
              f"within {worst:.1e}")

    before = delta_E_CIE2000(unseen[:, 4:], press.print(unseen[:, :4])).mean()
    if verdict == "enough":
        corrected = numbers(line[1] for line in told if line[0] == "corrected")
        after = delta_E_CIE2000(unseen[:, 4:], press.print(corrected)).mean()
        promised = numbers([line[1] for line in told if line[0] == "after"])[0][0]
        words = f"unseen mean ΔE00 {before:.2f} to {after:.2f} ({100 * (1 - after / before):.0f} % " \
                f"less), promised {promised:.2f}"
    else:
        after = before
        words = f"unseen mean ΔE00 {before:.2f}, nothing proposed: {verdict}"
    heavy = any(gain) or chroma != 1
    say(after <= 0.4 * before if heavy else after <= before, f"{name}, {title}: {words}")


check_sets(solids())
say(checked == 9, f"{checked} of the package's 9 sets were read")
for condition, name in [("coated", "FOGRA39L"), ("coated-americas", "TR006"), ("uncoated", "FOGRA29L")]:
    for title, gain, chroma, noise in [
        ("heavy, 6 % gain", [6, 6, 6, 6], 1.08, 0.3),
        ("heavy, 6 to 10 % gain", [8, 7, 6, 10], 1.08, 0.3),
        ("heavy, 10 % gain", [10, 10, 10, 10], 1.08, 0.3),
        ("right", [0, 0, 0, 0], 1.0, 0.0),
        ("right, noisy instrument", [0, 0, 0, 0], 1.0, 0.6),
    ]:
        check_press(condition, name, title, gain, chroma, noise, 20)
sys.exit(1 if failed else 0)
