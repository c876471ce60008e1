#!/usr/bin/env python3
"""The fused table, held against Little CMS on profiles that are not ours.

Against: Little CMS in unoptimised floats, on 200,000 random colours, for the built-in conditions and
for the CMYK profile that Debian's libgs-common installs (read in place; its licence keeps it out of
this repository). Mean, 99th percentile and worst ΔE00 must be no more than those of Little CMS's own
8-bit high-resolution tables.
"""
import json
import os
import subprocess
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
FOREIGN = "/usr/share/color/icc/ghostscript/default_cmyk.icc"

arguments = ["accuracy"]
if os.path.exists(FOREIGN):
    arguments.append(FOREIGN)
else:
    print(f"skipped: {FOREIGN} is not installed (Debian libgs-common)")
run = subprocess.run(
    ["cargo", "run", "-q", "-p", "colour", "--example", "bench_colour", "--", *arguments],
    cwd=ROOT, capture_output=True, text=True)
if run.returncode or run.stderr.strip().startswith(FOREIGN):
    sys.exit(run.stderr)
lines = [json.loads(line) for line in run.stdout.splitlines()]
failed = len(lines) < 3 * (3 + len(arguments) - 1)
for line in lines:
    good = line["ratio"] <= 1.0
    failed |= not good
    print(f"{'ok' if good else 'FAILED'}: {line['name']} {line['value']} ({line['against']})")
sys.exit(1 if failed else 0)
