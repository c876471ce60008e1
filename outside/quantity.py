#!/usr/bin/env python3
"""How many to print, reckoned again with other means.

Closed forms (mean, variance, quantiles, loss function, the quantity that balances too few against too
many) against scipy on random distributions; a conversion from three points and what a sold-out edition
teaches against scipy's beta distribution and numerical integration; the drawn demand against the exact
beta-binomial distribution and against a simulation of numpy's own; the sheet of quantities against a
reckoning that goes through every history, every month and every day one by one.

Needs EXAMPLES (built examples; built here when it is not set).
"""
import calendar
import datetime
import json
import os
import subprocess
import sys

import numpy
from scipy import integrate, optimize, stats

from kit.examples import example
from kit.said import end, say

dice = numpy.random.default_rng(1906)


TOOL = example("edition", "quantity")


def ask(questions, threads=None):
    environment = dict(os.environ, **({"RAYON_NUM_THREADS": str(threads)} if threads else {}))
    text = "\n".join(json.dumps(question) for question in questions)
    done = subprocess.run([TOOL], input=text, capture_output=True, text=True, env=environment)
    if done.returncode:
        sys.exit(done.stderr)
    return [json.loads(line) for line in done.stdout.splitlines()]


def off(found, wanted):
    return abs(found - wanted) / max(1.0, abs(wanted))


# Closed forms.

def any_demand(kind):
    if kind == "normal":
        of = [dice.uniform(50, 5000), dice.uniform(5, 900)]
        return of, stats.norm(*of)
    if kind == "lognormal":
        of = [dice.uniform(2, 8), dice.uniform(0.1, 1.2)]
        return of, stats.lognorm(of[1], scale=numpy.exp(of[0]))
    if kind == "poisson":
        of = [dice.uniform(0.5, 3000)]
        return of, stats.poisson(*of)
    if kind == "uniform":
        least = dice.uniform(0, 2000)
        of = [least, least + dice.uniform(1, 3000)]
        return of, stats.uniform(of[0], of[1] - of[0])
    if kind == "beta-binomial":
        of = [int(dice.integers(10, 6000)), dice.uniform(0.6, 8), dice.uniform(2, 300)]
        return of, stats.betabinom(*of)
    values = numpy.sort(dice.choice(3000, 9, replace=False)).astype(float)
    chances = dice.uniform(0.1, 1, 9)
    return ([float(x) for pair in zip(values, chances) for x in pair],
            stats.rv_discrete(values=(values, chances / chances.sum())))


def missing(kind, of, theirs, copies):
    """E (D - copies)+, as the integral of the chance that more are wanted, or as a sum."""
    if kind in ("normal", "lognormal", "uniform"):
        # To where nothing is left that could be seen.
        top, breaks = theirs.isf(1e-16), numpy.linspace(0, 1, 13)
        edges = copies + (max(top, copies) - copies) * breaks**3
        return sum(integrate.quad(theirs.sf, a, b, epsabs=1e-13, epsrel=1e-12)[0] for a, b in zip(edges, edges[1:]))
    if kind == "discrete":
        values, chances = numpy.array(of[::2]), numpy.array(of[1::2])
    else:
        most = of[0] if kind == "beta-binomial" else of[0] + 40 * numpy.sqrt(of[0]) + 100
        values = numpy.arange(0, int(most) + 1)
        chances = theirs.pmf(values)
    return float(numpy.sum(numpy.maximum(values - copies, 0) * chances) / chances.sum())


def closed_forms():
    shares = [0.02, 0.2, 0.5, 0.77, 0.97]
    for kind in ["normal", "lognormal", "poisson", "uniform", "beta-binomial", "discrete"]:
        asked = []
        for _ in range(25):
            of, theirs = any_demand(kind)
            copies = [float(x) for x in dice.uniform(0.3, 1.8, 4) * theirs.mean()]
            under, over = (float(x) for x in dice.uniform(0.5, 40, 2))
            asked.append((of, theirs, {"ask": "demand", "kind": kind, "of": of, "shares": shares, "copies": copies,
                                       "under": under, "over": over}))
        worst, best = 0.0, True
        for (of, theirs, question), found in zip(asked, ask([question for *_, question in asked])):
            worst = max(worst, off(found["mean"], theirs.mean()), off(found["variance"], theirs.var()))
            worst = max([worst] + [off(ours, theirs.ppf(share)) for ours, share in zip(found["quantiles"], shares)])
            for copies, short, left in zip(question["copies"], found["missing"], found["left"]):
                wanted = missing(kind, of, theirs, copies)
                worst = max(worst, off(short, wanted), off(left, copies - theirs.mean() + wanted))
            under, over = question["under"], question["over"]
            cost = lambda q: under * missing(kind, of, theirs, q) + over * (q - theirs.mean() + missing(kind, of, theirs, q))
            worst = max(worst, off(found["cost"], cost(found["best"])))
            # No quantity near it costs less.
            step = max(1.0, 0.01 * theirs.mean())
            best &= all(cost(found["best"] + d) >= found["cost"] - 1e-7 * found["cost"] for d in (-step, -0.5, 0.5, step))
        say(worst < 2e-8, f"{kind}: 25 distributions agree with scipy, worst {worst:.1e} (relative)")
        say(best, f"{kind}: nothing near the balanced quantity costs less")


# What share of people buys.

def conversions():
    asked, wanted = [], []
    for _ in range(40):
        likely = dice.uniform(0.001, 0.05)
        low, high = likely * dice.uniform(0.1, 0.9), likely * dice.uniform(1.2, 4)
        shape = lambda s: stats.beta(1 + s * likely, 1 + s * (1 - likely))
        width = lambda s: shape(s).ppf(0.95) - shape(s).ppf(0.05) - (high - low)
        asked.append({"ask": "points", "low": low, "likely": likely, "high": high})
        wanted.append(shape(numpy.exp(optimize.brentq(lambda x: width(numpy.exp(x)), numpy.log(1e-3), numpy.log(1e7)))))
    worst = 0.0
    for found, theirs in zip(ask(asked), wanted):
        for key, share in (("p05", 0.05), ("p50", 0.5), ("p95", 0.95)):
            worst = max(worst, abs(found[key] / theirs.ppf(share) - 1))
    say(worst < 1e-5, f"40 conversions from three points are scipy's, worst {worst:.1e} (relative)")

    asked, wanted = [], []
    for _ in range(30):
        alpha, beta = dice.uniform(0.8, 12), dice.uniform(40, 900)
        people, elapsed = int(dice.integers(500, 9000)), dice.uniform(0.3, 1)
        sold = int(max(1, people * elapsed * stats.beta(alpha, beta).ppf(dice.uniform(0.1, 0.85))))
        out = bool(dice.integers(2))
        asked.append({"ask": "learned", "alpha": alpha, "beta": beta, "people": people, "sold": sold,
                      "elapsed": elapsed, "sold_out": out})
        tried, prior = people * elapsed, stats.beta(alpha, beta)
        # With so many who had their time, p shares of them want at least `sold`; or want just so many.
        seen = (lambda p: stats.beta(sold, tried - sold + 1).cdf(p)) if out else (
            lambda p: numpy.exp(sold * (numpy.log(p) - numpy.log(sold / tried))
                                + (tried - sold) * (numpy.log1p(-p) - numpy.log1p(-sold / tried))))
        grid = (numpy.arange(400_000) + 0.5) / 400_000
        weights = prior.pdf(grid) * seen(grid)
        mean = numpy.sum(weights * grid) / weights.sum()
        wanted.append((mean, numpy.sqrt(numpy.sum(weights * (grid - mean) ** 2) / weights.sum())))
    off_mean = off_wide = 0.0
    for found, (mean, wide) in zip(ask(asked), wanted):
        theirs = stats.beta(found["alpha"], found["beta"])
        off_mean = max(off_mean, abs(theirs.mean() / mean - 1))
        off_wide = max(off_wide, abs(theirs.std() / wide - 1))
    say(off_mean < 2e-3 and off_wide < 1e-2,
        f"what 30 seasons teach, sold out or not, is Bayes' rule by summing: mean off by {off_mean:.1e}, "
        f"deviation by {off_wide:.1e}")


# The drawn demand.

def plain(audiences, **more):
    return dict({"audiences": audiences, "channels": [{"share": 1, "pledged": 0, "brings": 30, "pays_after": 0}],
                 "season": [0.3], "tail": 12, "together": 0, "storage": 0, "leftover": 0, "too_many": 100, "seed": 5}, **more)


def audience(people, alpha, beta):
    return {"people": people, "alpha": alpha, "beta": beta}


def draws():
    for people, alpha, beta in [(40, 2, 30), (900, 1.5, 120), (8000, 4, 260), (60000, 6, 1500), (300, 0.7, 3)]:
        found = numpy.array(ask([dict(plain([audience(people, alpha, beta)]), ask="draws")])[0])
        theirs = stats.betabinom(people, alpha, beta)
        edges = numpy.unique([theirs.ppf(share) for share in numpy.linspace(0, 1, 41)[1:-1]])
        counts = numpy.histogram(found, numpy.concatenate([[-1], edges + 0.5, [people + 1]]))[0]
        chances = numpy.diff(numpy.concatenate([[0], theirs.cdf(edges), [1]]))
        p = stats.chisquare(counts, chances * len(found)).pvalue
        say(len(found) == 16384 and p > 1e-3,
            f"{people} people: {len(found)} histories fall as the beta-binomial distribution says, p = {p:.3f}")
    three = [audience(8000, 3, 200), audience(52000, 2, 450), audience(1800, 4, 110)]
    for together in (0.0, 0.3, 1.0):
        found = numpy.array(ask([dict(plain(three, together=together), ask="draws")])[0])
        many = 200_000
        luck, wanted = dice.standard_normal(many), numpy.zeros(many)
        for one in three:
            z = numpy.sqrt(together) * luck + numpy.sqrt(1 - together) * dice.standard_normal(many)
            share = stats.beta(one["alpha"], one["beta"]).ppf(stats.norm.cdf(z))
            wanted += dice.binomial(one["people"], share)
        p = stats.ks_2samp(found, wanted).pvalue
        say(p > 1e-3, f"three audiences, {together} together: as numpy draws them, p = {p:.3f}")
    same = [ask([dict(plain(three, together=0.3), ask="draws")], threads)[0] for threads in (1, 3)]
    say(same[0] == same[1], "the same seed gives the same histories on one thread and on three")


# The sheet.

def later(day, months):
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    return day.replace(year=year, month=month, day=min(day.day, calendar.monthrange(year, month)[1]))


def come(asked, months):
    """Share of the demand that has come after so many months."""
    shares, stands = list(asked["season"]), sum(asked["season"])
    if stands < 1 - 1e-9:
        shares += [(1 - stands) / asked["tail"]] * asked["tail"]
    whole = int(months)
    return min(1.0, sum(shares[:whole]) + (shares[whole] * (months - whole) if whole < len(shares) else 0))


def lasts(asked):
    return len(asked["season"]) + (asked["tail"] if sum(asked["season"]) < 1 - 1e-9 else 0)


def by_hand(asked, cost, wanted):
    """Profit of every history, and what lies in the room after so many months."""
    free, pledges = cost["good"], 0.0
    for channel in asked["channels"]:
        met = min(channel["pledged"], free)
        free, pledges = free - met, pledges + met * channel["brings"]
    brings = sum(channel["share"] * channel["brings"] for channel in asked["channels"])
    left = lambda months: free - numpy.minimum(wanted * come(asked, months), free)
    stored = sum(left(month) for month in range(lasts(asked))) * asked["volume"] * asked["storage"]
    end = left(lasts(asked))
    profit = pledges + brings * (free - end) + asked["leftover"] * end - stored - cost["total"]
    return free, pledges, left, profit


def purse(asked, cost, wanted):
    """How the purse stands in the evening of each day, gone through one by one: the emptiest, the first day, and
    the first day after the last evening below nothing."""
    free, pledges, left, _ = by_hand(asked, cost, numpy.array([wanted]))
    day = datetime.date.fromisoformat
    moves = {}
    add = lambda when, sum: moves.__setitem__(when, moves.get(when, 0.0) + sum)
    hand = day(asked["in_hand"])
    add(day(asked["order"]), pledges)
    rest = cost["total"]
    for paid in asked["paid"]:
        add(day(paid["day"]), -paid["share"] * cost["to_printer"])
        rest -= paid["share"] * cost["to_printer"]
    add(hand, -rest)
    for month in range(lasts(asked)):
        begins, there = later(hand, month), left(month)[0]
        add(begins, -there * asked["volume"] * asked["storage"])
        for channel in asked["channels"]:
            when = begins + datetime.timedelta(15 + channel["pays_after"])
            add(when, (there - left(month + 1)[0]) * channel["share"] * channel["brings"])
    stands, low = 0.0, None
    at, last = min(moves), max(moves)
    while at <= last:
        stands += moves.get(at, 0.0)
        if moves.get(at, 0.0) and (low is None or stands < low[1] - 1e-9):
            low = (at.isoformat(), stands)
        at += datetime.timedelta(1)
    return low


def sheet():
    costs = [{"copies": n, "good": n - n // 60, "total": 3900 + 8 * n, "to_printer": 3500 + 7 * n}
             for n in sorted({*range(100, 2600, 100), 464})]
    asked = plain(
        [audience(8000, 3, 200), audience(52000, 2, 450), audience(1800, 4, 110)], ask="sheet", together=0.3,
        channels=[{"share": 0.5, "pledged": 0, "brings": 35.0, "pays_after": 7},
                  {"share": 0.3, "pledged": 0, "brings": 20.5, "pays_after": 60},
                  {"share": 0.2, "pledged": 140, "brings": 31.0, "pays_after": 14}],
        season=[0.35, 0.15, 0.08], tail=18, storage=18.0, leftover=5.0, too_many=200, volume=0.0014, costs=costs,
        order="2027-01-11", in_hand="2027-04-30", sold_out_by="2027-12-15",
        paid=[{"day": "2027-01-11", "share": 0.5}, {"day": "2027-03-20", "share": 0.5}],
        offers=[{"share": 0.5, "on": None, "advance": 0, "reach": 1, "copies": None},
                {"share": 0.1, "on": 44.0, "advance": 1500, "reach": 2.5, "copies": 3000}])
    found = ask([asked])[0]
    wanted = numpy.array(found["draws"])
    means, profits, worst, cash, chances, spreads = [], [], 0.0, True, 0.0, True
    # From the 30th of April to the 15th of December: seven months and half of one.
    until = 8 - 15 / 30
    for cost, row in zip(costs, found["rows"]):
        free, _, left, profit = by_hand(asked, cost, wanted)
        means.append(profit.mean())
        profits.append(profit)
        worst = max(worst, off(row["profit"][0], profit.mean()))
        for months, (copies, room) in zip((6, 12, 24), row["stock"]):
            worst = max(worst, off(copies, left(months).mean()), off(room, left(months).mean() * asked["volume"]))
        worst = max(worst, off(row["missed"], numpy.maximum(wanted - free, 0).mean()))
        worst = max(worst, abs(row["too_many"] - (left(12) > 200 + 1e-9).mean()))
        worst = max(worst, abs(row["sold_out"] - (wanted >= free).mean()))
        worst = max(worst, abs(row["sold_out_by"] - (wanted * come(asked, until) >= free).mean()))
        chances = max(chances, abs(row["loss"] - (profit < 0).mean()))
        for value, share in zip(row["profit"][1:], (0.05, 0.5, 0.95)):
            spreads &= numpy.quantile(profit, share - 0.004) - 1e-6 <= value <= numpy.quantile(profit, share + 0.004) + 1e-6
        ordered = numpy.sort(wanted)
        for pace, low in zip((0.05, 0.5, 0.95), row["cash"]):
            wants = purse(asked, cost, ordered[int(pace * len(ordered))])
            cash &= low[0] == wants[0] and abs(low[1] - wants[1]) < 1e-6
        expected = profit.std() / numpy.sqrt(len(profit))
        spreads &= abs(row["error"] / expected - 1) < 0.05 if expected > 1 else True
    say(worst < 1e-9, f"{len(costs)} quantities: means, chances and stock are those of going through all histories, "
                      f"worst {worst:.1e} (relative)")
    say(chances < 1 / 512 + 1e-9, f"chances of a loss are those of all histories within their 512 samples, worst {chances:.4f}")
    say(spreads, "spreads and standard errors of the profit are those of all histories, within their sample")
    say(cash, "the purse is emptiest on the day and with the sum that going day by day finds, at three paces")

    best = int(numpy.argmax(means))
    say(costs[best]["copies"] == found["best"], f"the best quantity is {found['best']}")
    near = [cost["copies"] for cost, mean in zip(costs, means) if mean >= max(means) - found["within"]]
    say([near[0], near[-1]] == found["hardly"], f"between {near[0]} and {near[-1]} it hardly matters")
    rule = next(place for place, cost in enumerate(costs) if cost["copies"] == found["rule"]["copies"])
    gap = profits[best] - profits[rule]
    say(found["rule"]["copies"] == 464 and off(found["rule"]["regret"], gap.mean()) < 1e-9
        and abs(found["rule"]["error"] / (gap.std() / numpy.sqrt(len(gap))) - 1) < 0.05,
        f"the rule of thumb ({found['rule']['copies']}) gives up {gap.mean():.0f}")

    own = profits[best]
    for offer, held in zip(asked["offers"], found["offers"]):
        reached = (wanted + 140) * offer["reach"]
        if offer["on"] is None:
            takes = offer["share"] * numpy.maximum(own, 0)
        else:
            takes = offer["share"] * offer["on"] * numpy.minimum(reached, offer["copies"])
        takes = numpy.maximum(takes, offer["advance"])
        say(off(held["mean"], takes.mean()) < 5e-3 and abs(held["better"] - (takes > own).mean()) < 1 / 512 + 1e-3
            and off(held["own"], own.mean()) < 5e-3,
            f"an offer brings {held['mean']:.0f} instead of {held['own']:.0f}, more in {held['better']:.3f} of all histories")

    # Another seed, another generator, the exact binomial: the mean within its stated error.
    many, luck, other = 400_000, dice.standard_normal(400_000), numpy.zeros(400_000)
    for one in asked["audiences"]:
        z = numpy.sqrt(0.3) * luck + numpy.sqrt(0.7) * dice.standard_normal(many)
        other += dice.binomial(one["people"], stats.beta(one["alpha"], one["beta"]).ppf(stats.norm.cdf(z)))
    off_by = 0.0
    for cost, row in zip(costs, found["rows"]):
        again = by_hand(asked, cost, other)[3]
        error = numpy.hypot(row["error"], again.std() / numpy.sqrt(many))
        off_by = max(off_by, abs(row["profit"][0] - again.mean()) / max(error, 0.01))
    say(off_by < 4, f"expected profits agree with another simulation within their stated errors, worst {off_by:.1f} errors")


closed_forms()
conversions()
draws()
sheet()
end()
