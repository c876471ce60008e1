#!/usr/bin/env python3
"""Dates, reckoned again with other means.

The calendar file is read by the icalendar package, and held against the line rules of RFC 5545 by code of
our own: CRLF at the end of each line and nowhere else, no line over 75 octets, no character cut in two by
a fold, one UID and one DTSTAMP to each entry, ends of whole days after the last one. What stands in it is
held against the same dates as JSON.

The histories of 100,000 lives of a calendar are held against numpy on chains, branches and rounds: means
of the beta distribution of PERT and of the lognormal by their closed forms, chances by their standard
errors, days at 50, 80 and 95 percent to a day.

Needs FOREDGE (the binary) and DEMO (a finished demonstration book).
"""
import datetime
import json
import math
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import icalendar
import numpy
from scipy import stats

from kit.said import end, say

FOREDGE = os.path.abspath(os.environ["FOREDGE"])
DEMO = Path(os.environ["DEMO"]).resolve()
HISTORIES = 100_000
# Lives that numpy runs: so many that its own error is small against that of the program.
LIVES = 2_000_000
dice = numpy.random.default_rng(1815)


def run(book, *arguments):
    done = subprocess.run([FOREDGE, "--book", str(book), *arguments], capture_output=True, text=True)
    if done.returncode not in (0, 1):
        sys.exit(f"{arguments}: {done.stderr}")
    return done.stdout


def dates(book):
    return json.loads(run(book, "--json", "dates"))


# The calendar file.

def lines_of(octets):
    """The lines, unfolded, after the rules of RFC 5545, 3.1; every breach is told."""
    bare = re.sub(rb"\r\n", b"", octets)
    say(b"\r" not in bare and b"\n" not in bare, "every line ends with CRLF, and none stands elsewhere")
    say(octets.endswith(b"\r\n"), "the last line ends too")
    raw = octets.split(b"\r\n")[:-1]
    longest = max(map(len, raw))
    say(longest <= 75, f"no line is longer than 75 octets: the longest has {longest}")
    say(any(line.startswith(b" ") for line in raw), "some line is folded, so that folding was tried")
    cut = 0
    for line in raw:
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            cut += 1
    say(cut == 0, "no character is cut in two by a fold")
    return re.sub(rb"\r\n[ \t]", b"", octets).decode("utf-8").split("\r\n")[:-1]


def calendar(folder):
    book = folder / "calendar"
    book.mkdir()
    text = (DEMO / "book.toml").read_text(encoding="utf-8")
    # A name that needs folding and escaping, in letters of two and three octets.
    name = "Prüfung der Bögen; bei Tageslicht, zu zweit \\\\ 校正刷りを二人で見る、そして署名する — nichts übersehen"
    step = f'\n[[step]]\nkey = "look-twice"\nname = "{name}"\nafter = ["proofs"]\nbefore = ["printed"]\ntakes = "2, 3, 9"\n'
    (book / "book.toml").write_text(text + step, encoding="utf-8")
    file = folder / "dates.ics"
    run(book, "dates", "calendar", str(file))
    told = dates(book)
    octets = file.read_bytes()
    lines = lines_of(octets)
    entries = "\n".join(lines).split("BEGIN:VEVENT")[1:]
    for field in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"):
        counts = {len(re.findall(rf"^{field}[;:]", entry, re.M)) for entry in entries}
        say(counts == {1}, f"each of {len(entries)} entries has one {field}")
    stamps = re.findall(r"^DTSTAMP:(.*)$", "\n".join(lines), re.M)
    say(all(re.fullmatch(r"\d{8}T\d{6}Z", stamp) for stamp in stamps), "DTSTAMP is a moment in UTC")

    read = icalendar.Calendar.from_ical(octets)
    say(read.get("VERSION") == "2.0" and bool(read.get("PRODID")), "icalendar reads VERSION and PRODID")
    events = {str(event["UID"]): event for event in read.walk("VEVENT")}
    say(len(events) == len(entries), f"icalendar finds {len(events)} entries, each with its own UID")
    broken = [error for event in events.values() for error in event.errors]
    say(not broken, f"icalendar finds no broken field: {broken}")
    by_key = {uid.split("@")[0]: event for uid, event in events.items()}
    wrong = []
    for step in told["steps"]:
        event = by_key.get(step["key"])
        if event is None:
            wrong.append(f"{step['key']} is missing")
            continue
        begins = datetime.date.fromisoformat(step["begins_50"])
        ends = datetime.date.fromisoformat(step["ends_50"]) + datetime.timedelta(days=1)
        found = (str(event["SUMMARY"]), event["DTSTART"].dt, event["DTEND"].dt)
        if found != (step["name"], begins, max(ends, begins + datetime.timedelta(days=1))):
            wrong.append(f"{step['key']}: {found}")
    say(not wrong, f"icalendar reads back names and days of all {len(told['steps'])} steps {wrong}")
    twice = str(by_key["look-twice"]["SUMMARY"]) if "look-twice" in by_key else ""
    say(twice == name.replace("\\\\", "\\"), f"what was folded and escaped comes back whole: {twice}")
    if told["launch"]:
        say(by_key["launch"]["DTSTART"].dt.isoformat() == told["launch"]["day"], "the launch stands on its day")
    return told


# Histories. All steps of these calendars count every day.

class Chain:
    """Steps of one's own in place of all usual ones."""

    def __init__(self, folder, name, usual, steps, launch=None):
        book = folder / name
        book.mkdir()
        text = (DEMO / "book.toml").read_text(encoding="utf-8")
        # Wishes for dates are ours alone here.
        text = re.sub(r"(?ms)^\[dates\].*?(?=^\[)|^\[\[(step|closure|payment)\]\].*?(?=^\[|\Z)", "", text)
        for key in usual:
            text += f'\n[[step]]\nkey = "{key}"\nskip = true\n'
        for step in steps:
            text += "\n[[step]]\n" + "".join(f"{key} = {json.dumps(value)}\n" for key, value in step.items())
        self.book, self.text = book, text
        self.write(launch)

    def write(self, launch):
        dated = f'\n[dates]\nlaunch = "{launch}"\n' if launch else ""
        (self.book / "book.toml").write_text(self.text + dated, encoding="utf-8")

    def told(self, launch=None):
        self.write(launch)
        return dates(self.book)


def step(key, takes, after=(), **more):
    return {"key": key, "name": key, "of": "carrier", "takes": takes, "after": list(after), **more}


def beta(least, likely, most, lives=LIVES):
    """PERT's beta distribution: the shapes follow from the mean (a + 4 m + b) / 6."""
    span = most - least
    return least + span * dice.beta(1 + 4 * (likely - least) / span, 1 + 4 * (most - likely) / span, lives)


def lognormal(median, p95, lives=LIVES):
    return median * numpy.exp(math.log(p95 / median) / stats.norm.ppf(0.95) * dice.standard_normal(lives))


def held(name, chain, lengths):
    """Holds days and chances against lengths in days, counted from the day on which files are sent."""
    told = chain.told()
    sent = datetime.date.fromisoformat(told["send"])
    # The day in which the last hour lies.
    last = numpy.ceil(lengths - 1e-9).astype(int) - 1
    order = numpy.sort(last)
    for share in (50, 80, 95):
        wanted = sent + datetime.timedelta(days=int(order[math.ceil(share / 100 * len(order)) - 1]))
        found = datetime.date.fromisoformat(told[f"in_hand_{share}"])
        off = (found - wanted).days
        say(abs(off) <= 1, f"{name}: {share} percent by {found}, numpy by {wanted}")
    worst = 0.0
    for share in (0.2, 0.5, 0.8, 0.95):
        day = int(order[int(share * len(order))])
        launch = sent + datetime.timedelta(days=day)
        wanted = float((last <= day).mean())
        found = chain.told(launch)["launch"]["chance_share"]
        error = math.sqrt(wanted * (1 - wanted) * (1 / HISTORIES + 1 / LIVES)) + 1e-9
        worst = max(worst, abs(found - wanted) / error)
    say(worst < 4, f"{name}: chances of four launches within {worst:.1f} standard errors of numpy's")
    return told


def histories(folder, usual):
    # A chain: betas and lognormals one after the other.
    chain = Chain(folder, "chain", usual, [
        step("one", "20, 40, 90"), step("two", "15, 45", ["one"]), step("three", "10, 30, 35", ["two"]),
        step("four", "25", ["three"]),
    ])
    told = held("a chain", chain, beta(20, 40, 90) + lognormal(15, 45) + beta(10, 30, 35) + 25)
    sigma = math.log(3) / stats.norm.ppf(0.95)
    wanted = {"one": (20 + 160 + 90) / 6, "two": 15 * math.exp(sigma * sigma / 2), "three": (10 + 120 + 35) / 6, "four": 25}
    off = max(abs(step["expected_days"] - wanted[step["key"]]) for step in told["steps"])
    say(off < 1e-6, f"expected lengths are those of the closed forms, within {off:.1e} days")
    # The share of a step in the spread of a chain is its part of the variance.
    parts = {
        "one": (wanted["one"] - 20) * (90 - wanted["one"]) / 7,
        "two": 15 * 15 * math.exp(sigma * sigma) * math.expm1(sigma * sigma),
        "three": (wanted["three"] - 10) * (35 - wanted["three"]) / 7,
        "four": 0.0,
    }
    whole = sum(parts.values())
    # Four standard errors of a share of variance, for tails as heavy as the lognormal's.
    off = max(abs(step["spread_share"] - parts[step["key"]] / whole) for step in told["steps"])
    say(off < 0.02, f"shares in the spread are those of the variances, within {off:.4f}")

    # Two branches that meet: the end is the later one.
    branches = Chain(folder, "branches", usual, [
        step("begin", "5"), step("left", "20, 40, 80", ["begin"]), step("right", "35, 60", ["begin"]),
        step("meet", "3, 5, 9", ["left", "right"]),
    ])
    left, right = beta(20, 40, 80), lognormal(35, 60)
    told = held("two branches", branches, 5 + numpy.maximum(left, right) + beta(3, 5, 9))
    for key, wanted in (("left", float((left > right).mean())), ("right", float((right > left).mean()))):
        found = next(step["critical_share"] for step in told["steps"] if step["key"] == key)
        error = math.sqrt(wanted * (1 - wanted) / HISTORIES)
        say(abs(found - wanted) < 4 * error + 4 * math.sqrt(0.25 / LIVES), f"the end waits for the {key} branch in {found:.4f}, numpy {wanted:.4f}")

    # Further rounds: each with the same chance, three at most.
    chance = 0.35
    rounds = Chain(folder, "rounds", usual, [step("proof", "6, 8, 14", again="35%", again_takes="10, 16, 30")])
    length, counted, going = beta(6, 8, 14), numpy.zeros(LIVES), numpy.ones(LIVES, bool)
    for _ in range(3):
        going &= dice.random(LIVES) < chance
        length += numpy.where(going, beta(10, 16, 30), 0)
        counted += going
    told = held("rounds of corrections", rounds, length)
    wanted = chance + chance**2 + chance**3
    found = told["steps"][0]["rounds_mean"]
    error = math.sqrt(counted.var() / HISTORIES)
    say(abs(found - wanted) < 4 * error, f"{found:.4f} further rounds on average, {wanted:.4f} by the closed form, standard error {error:.4f}")

    # The same question has the same answer on one core and on several.
    answers = set()
    for threads in ("1", "2", "3"):
        os.environ["RAYON_NUM_THREADS"] = threads
        answers.add(json.dumps(branches.told()))
    del os.environ["RAYON_NUM_THREADS"]
    say(len(answers) == 1, "one, two and three cores give the same dates")


with tempfile.TemporaryDirectory() as scratch:
    folder = Path(scratch)
    told = calendar(folder)
    histories(folder, [step["key"] for step in told["steps"] if step["key"] != "look-twice"])

end()
