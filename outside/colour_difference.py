#!/usr/bin/env python3
"""CIEDE2000, held against colour-science (PyPI, BSD-3) on 20,000 random pairs, near and far.

Pairs whose hues are within a hair of opposite are left out: there the formula itself jumps, and the
last bit of an arc tangent decides.
"""
import os
import subprocess
import sys

import numpy
from colour.difference import delta_E_CIE2000

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

random = numpy.random.default_rng(20050101)
one = random.uniform([0, -100, -100], [100, 100, 100], (20000, 3))
other = random.uniform([0, -100, -100], [100, 100, 100], (20000, 3))
other[:10000] = one[:10000] + random.normal(0, 2, (10000, 3))
hue = lambda lab: numpy.degrees(numpy.arctan2(lab[:, 2], lab[:, 1]))
apart = numpy.abs((hue(one) - hue(other)) % 360 - 180)
keep = apart > 15  # The formula turns a*, so that opposite is not quite 180 degrees here.
one, other = one[keep], other[keep]

pairs = "\n".join(" ".join(f"{v:.17g}" for v in pair) for pair in numpy.hstack([one, other]))
run = subprocess.run(
    ["cargo", "run", "-q", "-p", "colour", "--example", "colour_difference"],
    cwd=ROOT, input=pairs, capture_output=True, text=True)
if run.returncode:
    sys.exit(run.stderr)
ours = numpy.array([float(line) for line in run.stdout.split()])
theirs = delta_E_CIE2000(one, other)
worst = numpy.max(numpy.abs(ours - theirs)) if len(ours) == len(theirs) else numpy.inf
good = len(ours) > 15000 and worst < 1e-6
print(f"{'ok' if good else 'FAILED'}: {len(ours)} pairs, worst disagreement {worst:.2e} ΔE00")
sys.exit(0 if good else 1)
