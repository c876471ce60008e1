#!/usr/bin/env python3
"""The cost curve, reckoned again by numpy and scipy.

Fits by least squares and their 95 % intervals on random prices against numpy.polyfit and
scipy.stats.linregress with Student's quantile by scipy.stats.t; the first set of F. J. Anscombe, "Graphs in
Statistical Analysis", The American Statistician 27 (1973), whose line is 3.0001 ± 1.1247 and
0.5001 ± 0.1179 (standard errors); the high-low problem of textbooks of accounting (5,000 units cost 60,000
and 15,000 units cost 100,000, thus 4 a unit and 40,000 fixed); costs between and beyond quoted quantities
against numpy.interp and the two rules that bound them; where one of two answers becomes the cheaper,
against the break-even by division.

Needs EXAMPLES (built examples; built here when it is not set).
"""
import json
import subprocess
import sys
from fractions import Fraction

import numpy
from scipy import stats

from kit.examples import example
from kit.said import end, say

dice = numpy.random.default_rng(1973)


TOOL = example("price", "prices")


def ask(questions):
    text = "\n".join(json.dumps(question) for question in questions)
    done = subprocess.run([TOOL], input=text, capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stderr)
    return [json.loads(line) for line in done.stdout.splitlines()]


def curve(points, at=()):
    said = [[int(copies), f"{cost / 100:.2f}"] for copies, cost in points]
    return {"ask": "curve", "points": said, "at": [int(copies) for copies in at]}


def answers(count, least):
    """Random price lists in cents: a fixed and a running part, and something off the line."""
    for _ in range(count):
        number = int(dice.integers(least, 15))
        copies = numpy.sort(dice.choice(numpy.arange(50, 5000), number, replace=False))
        costs = dice.integers(20_000, 300_000) + copies * dice.integers(200, 2_000)
        costs = costs + dice.normal(0, 20_000, number)
        yield list(zip(copies.tolist(), numpy.maximum(costs, 100).round().astype(int).tolist()))


def fits():
    lists = list(answers(400, 2))
    worst_line = worst_interval = 0.0
    open_ones = right = 0
    for points, found in zip(lists, ask([curve(points) for points in lists])):
        x = numpy.array([copies for copies, _ in points], float)
        y = numpy.array([cost for _, cost in points], float) / 100
        running, fixed = numpy.polyfit(x, y, 1)
        worst_line = max(worst_line, abs(float(found["fixed"]) - fixed),
                         abs(float(found["running"]) - running) * x.max())
        if len(points) == 2:
            open_ones += 1
            right += found["within"] is None
            continue
        line = stats.linregress(x, y)
        times = stats.t.ppf(0.975, len(points) - 2)
        errors = (line.intercept_stderr, line.stderr)
        # The fixed part's interval is shown in whole cents.
        for mine, error, half in zip(found["within"], errors, (0.00501, 1e-9)):
            wanted = times * error
            excess = abs(float(mine) - wanted) - half
            worst_interval = max(worst_interval, excess / max(wanted, 0.01))
    say(worst_line < 0.011, f"400 fits: line within {worst_line:.4f} of numpy's, over the whole span")
    say(worst_interval < 1e-5, f"their 95 % intervals within a rounding and {worst_interval:.1e} of scipy's")
    say(open_ones > 5 and right == open_ones, f"{open_ones} lists of two prices: no interval is claimed")


def published():
    x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5]
    y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68]
    # In ten thousandths, so that a cent hides nothing.
    found = ask([curve([(a, round(b * 1_000_000)) for a, b in zip(x, y)])])[0]
    times = stats.t.ppf(0.975, 9)
    figures = [float(found["fixed"]) / 10_000, float(found["within"][0]) / 10_000 / times,
               float(found["running"]) / 10_000, float(found["within"][1]) / 10_000 / times]
    for figure, wanted in zip(figures, (3.0001, 1.1247, 0.5001, 0.1179)):
        say(abs(figure - wanted) < 0.00006, f"Anscombe's first set: {figure:.5f} for {wanted}")
    found = ask([curve([(5_000, 6_000_000), (15_000, 10_000_000)])])[0]
    say(found["running"] == "4" and found["fixed"] == "40000.00" and found["within"] is None,
        f"high-low problem: {found['running']} a unit, {found['fixed']} fixed, no interval from two points")


def between():
    lists = list(answers(200, 2))
    at = [sorted(set(dice.integers(1, 9000, 20).tolist()) | {points[0][0]}) for points in lists]
    worst, bounds, quoted = 0.0, 0, True
    for points, copies, found in zip(lists, at, ask([curve(p, a) for p, a in zip(lists, at)])):
        x, y = zip(*points)
        for n, (cost, low, high) in zip(copies, found["at"]):
            cost, low, high = (Fraction(part) * 100 for part in (cost, low, high))
            bounds += not low <= cost <= high
            if n in x:
                quoted &= cost == y[x.index(n)] == low == high
            elif x[0] < n < x[-1]:
                worst = max(worst, abs(float(cost) - numpy.interp(n, x, y)))
    say(bounds == 0, "no cost outside its bounds")
    say(quoted, "a quoted quantity costs what was quoted")
    say(worst <= 0.51, f"between quoted quantities within {worst:.3f} of a cent of numpy.interp")


def even():
    """The first of two costs `price` a copy, the second `fixed` and `each`."""
    cases = [(20_000, 400, 250), (48_000, 75, 45), (48_000, 95, 45), (18_000, 100, 20)]
    cases += [(int(dice.integers(500, 40_000)), int(each + dice.integers(5, 300)), int(each))
              for each in dice.integers(1, 300, 100)]
    cases = [case for case in cases if 11 < case[0] / (case[1] - case[2]) < 4_900]
    ends = (10, 5_000)

    def answer(name, cost):
        fields = [["printer", name], ["currency", "EUR"], ["term", "DAP"]]
        return fields + [[f"total {n}", str(cost(n))] for n in ends]

    questions = [{"ask": "ranges", "at": list(ends), "answers": [
        answer("one", lambda n, price=price: price * n),
        answer("two", lambda n, fixed=fixed, each=each: fixed + each * n)]}
        for fixed, price, each in cases]
    right = 0
    for (fixed, price, each), found in zip(cases, ask(questions)):
        last = Fraction(fixed, price - each).__floor__()
        right += found == [[10, last, 0], [last + 1, 5_000, 1]]
    say(right == len(cases), f"{right} of {len(cases)} break-evens to the copy, four of them from textbooks")


fits()
published()
between()
even()
end()
