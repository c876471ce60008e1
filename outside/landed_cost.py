#!/usr/bin/env python3
"""What a copy costs in the artist's hands, reckoned again with Python's decimal.

Published worked examples: the customs of New Zealand, "Examples of how to calculate Customs Charges" (goods
1,000, insurance and freight 100, duty 5 % of the goods, tax 15 %: 50.00 and 172.50; without duty 165.00),
released under the Official Information Act, fyi.org.nz request 657; and the one that Australia's customs
gave (USD 1,274 and USD 118.30 at 0.91 USD for 1 AUD, duty 5 % of the goods, tax 10 %: 70.00 and 160.00),
read second hand on clubcobra.com. Then random answers, quantities, terms, rates in either direction and
currencies of no, two and three decimals, to the smallest unit. Last the demonstration book with answers of
its three printers, from `foredge --json prices` and the text of its book file alone.

Needs FOREDGE, DEMO and EXAMPLES.
"""
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import tomllib
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, getcontext
from pathlib import Path

from kit.said import end, say

FOREDGE, DEMO = os.environ["FOREDGE"], Path(os.environ["DEMO"])
TOOL = os.path.join(os.environ["EXAMPLES"], "prices")
getcontext().prec = 60
dice = random.Random(657)
PLACES = {"EUR": 2, "USD": 2, "GBP": 2, "AUD": 2, "NZD": 2, "JPY": 0, "KWD": 3}
# Who pays freight, and who insures or bears the risk to the end, by the table of Incoterms 2020.
FREIGHT_IN = {"CPT", "CIP", "DAP", "DPU", "DDP"}
NOT_OURS_TO_INSURE = {"CIF", "CIP", "DAP", "DPU", "DDP"}


def rounded(sum_, currency):
    return sum_.quantize(Decimal(1).scaleb(-PLACES[currency]), ROUND_HALF_UP)


def exchanged(sum_, source, to, rates):
    if source == to:
        return sum_
    for (one, other), rate in rates.items():
        if (one, other) == (source, to):
            return rounded(sum_ * rate, to)
        if (other, one) == (source, to):
            return rounded(sum_ / rate, to)
    raise KeyError((source, to))


def on_curve(points, copies):
    """Quoted, or on the straight line through the two nearest; one price alone is bounded and halved."""
    points = sorted(points)
    for known, cost in points:
        if known == copies:
            return cost
    if len(points) == 1:
        return None
    for (a, first), (b, second) in zip(points, points[1:]):
        if copies < b:
            break
    return max(Decimal(0), first + (second - first) * (copies - a) / (b - a))


def in_hand(case):
    """Print, one-offs, freight, insurance, duty, tax, broker, bank; each rounded where it arises."""
    currency, to, rates = case["currency"], case["to"], case["rates"]
    turn = lambda sum_, source=currency: exchanged(sum_, source, to, rates)
    said = on_curve(case["totals"], case["copies"])
    parts = {"print": turn(rounded(said, currency))}
    goods = parts["print"]
    for what, cost in case["one_offs"]:
        parts[what] = turn(cost)
        goods += parts[what]
    freight = Decimal(0)
    if case["freight"] is not None:
        freight = turn(rounded(on_curve(case["freight"], case["copies"]), currency))
    elif case.get("own"):
        fixed, each, source = case["own"]
        freight = turn(fixed + rounded(each * case["copies"], source), source)
    parts["freight"] = freight
    share = Decimal(0) if case["term"] in NOT_OURS_TO_INSURE else case["insurance"]
    parts["insurance"] = rounded((goods + freight) * share, to)
    arrived = goods + freight + parts["insurance"]
    customs = {} if case["home"] or case["term"] == "DDP" else case["import"]
    dutiable = goods if customs.get("duty_on") == "goods" else arrived
    parts["duty"] = rounded(dutiable * customs.get("duty", 0), to)
    parts["tax on import"] = rounded((arrived + parts["duty"]) * customs.get("tax", 0), to)
    if "broker" in customs:
        parts["customs broker"] = turn(*customs["broker"])
    if case["bank"] and (not case["home"] or currency != to):
        parts["bank fee"] = turn(*case["bank"])
    bad = (case["copies"] * case["spoilage"]).to_integral_value(ROUND_CEILING)
    return parts, sum(parts.values()), case["copies"] - int(bad)


def question(case):
    fields = [["printer", "delta"], ["currency", case["currency"]], ["term", case["term"]]]
    fields += [[f"total {n}", str(cost)] for n, cost in case["totals"]]
    fields += [[f"one-off {what}", str(cost)] for what, cost in case["one_offs"]]
    if case["freight"] is not None:
        fields += [[f"freight {n}", str(cost)] for n, cost in case["freight"]]
    money = lambda pair: f"{pair[1]} {pair[0]}"
    landing = {
        "currency": case["to"], "insurance": str(case["insurance"]), "spoilage": str(case["spoilage"]),
        "bank_fee": money(case["bank"]) if case["bank"] else None,
        "rates": [[one, other, str(rate)] for (one, other), rate in case["rates"].items()],
    }
    if case["import"]:
        landing["import"] = {key: str(value) for key, value in case["import"].items() if key != "broker"}
        if "broker" in case["import"]:
            landing["import"]["broker"] = money(case["import"]["broker"])
    if case.get("own"):
        fixed, each, source = case["own"]
        landing["freight"] = {"term": case["term"], "fixed": f"{source} {fixed}", "each": f"{source} {each}"}
    return {"ask": "landed", "answer": fields, "copies": case["copies"], "home": case["home"],
            "landing": landing}


def ask(cases):
    text = "\n".join(json.dumps(question(case)) for case in cases)
    done = subprocess.run([TOOL], input=text, capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stderr)
    return [json.loads(line) for line in done.stdout.splitlines()]


PLAIN = {"currency": "NZD", "to": "NZD", "rates": {}, "copies": 1, "one_offs": [], "term": "FOB",
         "insurance": Decimal(0), "spoilage": Decimal(0), "home": False, "bank": None}


def published():
    part = Decimal
    zealand = dict(PLAIN, totals=[(1, part("1000.00"))], freight=[(1, part("100.00"))])
    cases = [
        dict(zealand, **{"import": {"duty": part("0.05"), "duty_on": "goods", "tax": part("0.15")}}),
        dict(zealand, **{"import": {"duty": part("0"), "duty_on": "goods", "tax": part("0.15")}}),
        dict(PLAIN, currency="USD", to="AUD", rates={("AUD", "USD"): part("0.91")},
             totals=[(1, part("1274.00"))], freight=[(1, part("118.30"))],
             **{"import": {"duty": part("0.05"), "duty_on": "goods", "tax": part("0.10")}}),
    ]
    wanted = [("New Zealand, with duty", "50.00", "172.50"), ("New Zealand, without", "0.00", "165.00"),
              ("Australia, at a rate the other way round", "70.00", "160.00")]
    for (name, duty, tax), found in zip(wanted, ask(cases)):
        parts = dict(found["parts"])
        say(parts["duty"] == duty and parts["tax on import"] == tax,
            f"{name}: duty {parts['duty']}, tax {parts['tax on import']}")


def share(most):
    return Decimal(dice.randrange(most)) / 1000


def some_case():
    currency, to = dice.choice(list(PLACES)), dice.choice(["EUR", "JPY", "KWD"])
    source = dice.choice([currency, to])
    amount = lambda most, unit=currency: Decimal(dice.randrange(most)).scaleb(-PLACES[unit])
    quantities = sorted(dice.sample(range(20, 3000), dice.randrange(2, 5)))
    pair = dice.choice([(currency, to), (to, currency)])
    rates = {} if currency == to else {pair: Decimal(dice.randrange(1, 10**10)).scaleb(-dice.randrange(3, 9))}
    term = dice.choice(["EXW", "FCA", "FOB", "CIF", "CPT", "DAP", "DDP"])
    case = {
        "currency": currency, "to": to, "rates": rates, "term": term, "home": dice.random() < 0.3,
        "totals": [(n, amount(10**7) + 1) for n in quantities],
        "one_offs": [(f"charge {i}", amount(10**5)) for i in range(dice.randrange(3))],
        "freight": [(n, amount(10**6)) for n in dice.sample(quantities, 2)] if dice.random() < 0.6 else None,
        "copies": dice.choice([*quantities, dice.randrange(20, 3500)]),
        "insurance": share(20), "spoilage": share(50),
        "bank": (amount(5000, source), source) if dice.random() < 0.7 else None,
        "import": {},
    }
    if case["freight"] is None and term not in FREIGHT_IN:
        case["own"] = (amount(10**5, source), Decimal(dice.randrange(10**4)).scaleb(-4), source)
    if dice.random() < 0.8:
        case["import"] = {"duty": share(200), "tax": share(250), "broker": (amount(10**5, source), source),
                          "duty_on": dice.choice(["goods", "goods and way"])}
    return case


def agree(found, parts, total, good):
    theirs = {}
    for what, sum_ in found["parts"]:
        theirs[what] = theirs.get(what, Decimal(0)) + Decimal(sum_)
    named = {what: sum_ for what, sum_ in parts.items() if sum_ or what in theirs}
    return (theirs == {what: theirs[what] if what not in named else named[what] for what in theirs}
            and all(what in theirs for what, sum_ in named.items() if sum_)
            and Decimal(found["total"]) == total and found["good"] == good)


def at_random():
    cases = [some_case() for _ in range(1500)]
    right, first = 0, None
    for case, found in zip(cases, ask(cases)):
        if "problem" in found:
            first = first or (case, found)
            continue
        mine = in_hand(case)
        if agree(found, *mine):
            right += 1
        elif first is None:
            first = (case, found, mine)
    say(right == len(cases), f"{right} of {len(cases)} random answers, every part to the smallest unit")
    if first:
        print("      ", first)


ANSWERS = [
    ["printer=quay", "currency=EUR", "each 550=12.4", "each 800=9.8525", "total 1050=9240",
     "one-off printing plates=640", "freight=included", "term=DAP Port Ellery", "lead=25", "overs=5%"],
    ["printer=delta", "currency=USD", "each 550=8.12", "each 800=6.545", "each 1050=5.93",
     "one-off printing plates=420", "term=FOB Vessamar", "lead=30", "overs=5%"],
]


def number(text):
    text = str(text).strip()
    return Decimal(text[:-1].strip()) / 100 if text.endswith("%") else Decimal(text)


def money(text):
    code, amount = sorted(text.split(), key=lambda word: not word.isalpha())
    return Decimal(amount), code


def demonstration():
    source = next((path.parent for path in sorted(DEMO.rglob("book.toml"))
                   if "[landing]" in path.read_text() and "[[import]]" in path.read_text()), None)
    if source is None:
        say(False, f"no book with a footing in {DEMO}")
        return
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "book"
        shutil.copytree(source, folder, ignore=shutil.ignore_patterns("press", ".foredge", "asking"))
        for answer in ANSWERS:
            done = subprocess.run([FOREDGE, "--book", folder, "prices", "enter", *answer, "--on", "2026-12-01"],
                                  capture_output=True, text=True)
            if done.returncode:
                say(False, f"prices enter: {done.stdout}{done.stderr}")
                return
        done = subprocess.run([FOREDGE, "--book", folder, "--json", "prices", "--at", "550,700,800,1050"],
                              capture_output=True, text=True)
        told = json.loads(done.stdout)
        book = tomllib.loads((folder / "book.toml").read_text())
    landing = book["landing"]
    homes = {"quay": True, "delta": False}
    imports = {entry["printer"]: entry for entry in book.get("import", [])}
    freights = {(entry["printer"], entry["term"]): entry for entry in book.get("freight", [])}
    right = total_count = 0
    for answer in told["answers"]:
        entry = imports.get(answer["printer"], {})
        customs = {key: number(entry[key]) for key in ("duty", "tax") if key in entry}
        customs.update({"duty_on": entry.get("duty_on")})
        if "broker" in entry:
            customs["broker"] = money(entry["broker"])
        own = freights.get((answer["printer"], answer["term"]))
        case = {
            "currency": answer["currency"], "to": landing["currency"], "term": answer["term"],
            "rates": {(rate["from"], rate["to"]): number(rate["rate"]) for rate in book.get("rate", [])},
            "totals": [(price["copies"], Decimal(price["total"])) for price in answer["prices"]],
            "one_offs": [(one["what"], Decimal(one["cost"])) for one in answer["one_offs"]],
            "freight": None, "home": homes[answer["printer"]], "import": customs,
            "insurance": number(landing["insurance"]), "spoilage": number(landing["spoilage"]),
            "bank": money(landing["bank_fee"]) if "bank_fee" in landing else None,
        }
        if own and answer["freight"] == "not said":
            fixed, source = money(own["fixed"]) if "fixed" in own else (Decimal(0), money(own["each"])[1])
            each = money(own["each"])[0] if "each" in own else Decimal(0)
            case["own"] = (fixed, each, source)
        for landed in answer["landed"]:
            parts, total, good = in_hand(dict(case, copies=landed["copies"]))
            found = {"parts": [[part["what"], part["in_hand"]] for part in landed["parts"]],
                     "total": landed["total"], "good": landed["good_copies"]}
            each = (total / good).quantize(Decimal("0.000000001"), ROUND_HALF_UP)
            total_count += 1
            if agree(found, parts, total, good) and Decimal(landed["each"]) == each:
                right += 1
            else:
                print("      ", answer["printer"], found, parts, total, good, landed["each"], each)
    say(right == total_count >= 8, f"demonstration book: {right} of {total_count} sums to the cent")


published()
at_random()
demonstration()
end()
