#!/usr/bin/env python3
"""Each library that the binary is built from must carry a licence that `deny.toml` allows.

Held against: the licence fields of the packages themselves, as cargo reads them.
"""

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
allowed = set(tomllib.loads((ROOT / "deny.toml").read_text())["licenses"]["allow"])


def fits(expression):
    """An SPDX expression: every AND part needs one OR part that is allowed."""
    expression = expression.replace("/", " OR ").replace("(", " ( ").replace(")", " ) ")
    words = [
        word if word in {"AND", "OR", "(", ")"} else str(word in allowed)
        for word in re.findall(r"\(|\)|AND|OR|[\w.+-]+(?: WITH [\w.+-]+)?", expression)
    ]
    text = " ".join(words).replace("AND", "and").replace("OR", "or")
    if not re.fullmatch(r"(?:True|False|and|or|\(|\)|\s)+", text):
        return False
    return eval(text)  # only True, False, and, or and brackets are left


for expression, expected in [("MIT OR GPL-3.0", True), ("MIT AND GPL-3.0", False), ("AGPL-3.0", False),
                             ("(MIT OR Apache-2.0) AND Unicode-3.0", True), ("MIT/Apache-2.0", True)]:
    assert fits(expression) == expected, expression

metadata = json.loads(subprocess.run(
    ["cargo", "metadata", "--format-version", "1", "--locked"], cwd=ROOT, check=True, capture_output=True).stdout)
bad = [
    f"{package['name']} {package['version']}: {package['license'] or 'no licence named'}"
    for package in metadata["packages"]
    if not fits(package["license"] or "")
]
print(f"{len(metadata['packages'])} packages read, {len(bad)} with a licence that is not allowed")
print("\n".join(bad))
sys.exit(bool(bad))
