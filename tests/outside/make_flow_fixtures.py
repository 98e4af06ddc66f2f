"""Writes tests/flow/data/*.json: friction factors, water, glycol and whole headers from outside.

Friction and tee factors by PyPI `fluids`, water by `CoolProp` (IAPWS-95, not the releases the
program uses), glycol by CoolProp's own evaluation, splits by `scipy.optimize.root` on a
formulation of its own: the total head of every leg of every tee, every branch flow and every
stretch is an unknown, and nothing is eliminated.

Run with the versions named in the files:  python tests/outside/make_flow_fixtures.py
"""

import json
import math
import pathlib
import random

import CoolProp
import fluids
import numpy
import scipy
from CoolProp.CoolProp import PropsSI
from fluids.fittings import (
    K_branch_converging_Crane,
    K_branch_diverging_Crane,
    K_run_converging_Crane,
    K_run_diverging_Crane,
)
from scipy.optimize import root

OUT = pathlib.Path(__file__).parent.parent / "flow" / "data"
G = 9.80665
ROUGHNESS = 5e-6 * 0.3048
MADE_BY = {
    "script": "tests/outside/make_flow_fixtures.py",
    "fluids": fluids.__version__,
    "scipy": scipy.__version__,
    "numpy": numpy.__version__,
    "CoolProp": CoolProp.__version__,
}


def write(name, rows):
    OUT.mkdir(parents=True, exist_ok=True)
    lines = ",\n".join("  " + json.dumps(row) for row in rows)
    text = f'{{"made_by": {json.dumps(MADE_BY)},\n"rows": [\n{lines}\n]}}\n'
    (OUT / name).write_text(text)


def friction_rows():
    for reynolds in [4001, 5e3, 1e4, 3e4, 1e5, 3e5, 1e6, 1e7, 1e8]:
        for rough in [0.0, 1e-6, 1e-5, 6e-5, 1e-4, 1e-3, 1e-2, 5e-2]:
            factor = fluids.friction.Colebrook(reynolds, rough, tol=0 if rough else None) if rough else \
                fluids.friction.friction_factor(reynolds, 0.0, Method="Colebrook")
            yield {"reynolds": reynolds, "roughness": rough, "factor": factor}


def tee_rows():
    run = 0.05
    for ratio in [0.3, 0.5, 0.6, 0.66, 0.8, 0.9, 1.0]:
        branch = run * ratio
        for share in [0.02, 0.2, 0.39, 0.45, 0.5, 0.7, 0.98]:
            q = (run, branch, 1 - share, share)
            yield {
                "diameter_ratio": ratio,
                "share": share,
                "dividing_branch": K_branch_diverging_Crane(*q),
                "dividing_run": K_run_diverging_Crane(*q),
                "combining_branch": K_branch_converging_Crane(*q),
                "combining_run": K_run_converging_Crane(*q),
            }


def water_rows():
    for celsius in [0.5, 4, 10, 20, 30, 40, 50, 60, 70, 82, 90, 99, 110, 120, 140, 160, 180, 199]:
        kelvin = celsius + 273.15
        for bar in [5.0, 20.0]:
            pascal = bar * 1e5 + 101325
            if pascal <= PropsSI("P", "T", kelvin, "Q", 0, "Water"):
                continue
            yield {
                "celsius": celsius,
                "gauge_bar": bar,
                "density": PropsSI("D", "T", kelvin, "P", pascal, "Water"),
                "viscosity": PropsSI("V", "T", kelvin, "P", pascal, "Water"),
                "boils_at_pascal": PropsSI("P", "T", kelvin, "Q", 0, "Water"),
            }


def glycol_rows():
    for glycol, name in [("propylene", "MPG"), ("ethylene", "MEG")]:
        for share in [0.1, 0.25, 0.3, 0.4, 0.5, 0.6]:
            fluid = f"INCOMP::{name}[{share}]"
            freezing = PropsSI("T_FREEZE", "T", 300, "P", 1e6, fluid)
            for celsius in [-25, -15, -5, 5, 20, 40, 60, 80, 99]:
                if celsius + 273.15 <= freezing + 0.1:
                    continue
                yield {
                    "glycol": glycol,
                    "share": share,
                    "celsius": celsius,
                    "density": PropsSI("D", "T", celsius + 273.15, "P", 1e6, fluid),
                    "viscosity": PropsSI("V", "T", celsius + 273.15, "P", 1e6, fluid),
                    "freezing_kelvin": freezing,
                }


# ---- whole headers ----------------------------------------------------------------------------

TUBES = {  # bore in metres of ASTM B88 type L: outside diameter less twice the wall, inches
    "b88-l-0.5": (0.625 - 2 * 0.040) * 0.0254,
    "b88-l-0.75": (0.875 - 2 * 0.045) * 0.0254,
    "b88-l-1": (1.125 - 2 * 0.050) * 0.0254,
    "b88-l-1.25": (1.375 - 2 * 0.055) * 0.0254,
    "b88-l-1.5": (1.625 - 2 * 0.060) * 0.0254,
    "b88-l-2": (2.125 - 2 * 0.070) * 0.0254,
    "b88-l-3": (3.125 - 2 * 0.090) * 0.0254,
}


def area(bore):
    return math.pi * bore * bore / 4


def velocity_head(flow, bore):
    return (flow / area(bore)) ** 2 / (2 * G)


def factor(reynolds, rough):
    if reynolds < 1e-9:
        return 0.0
    if reynolds < 2300:
        return 64 / reynolds
    if reynolds <= 4000:
        low = 64 / 2300
        high = fluids.friction.Colebrook(4000, rough)
        return low + (high - low) * (reynolds - 2300) / 1700
    return fluids.friction.Colebrook(reynolds, rough)


def friction(flow, bore, length, water):
    density, viscosity = water
    reynolds = abs(flow) / area(bore) * bore * density / viscosity
    loss = factor(reynolds, ROUGHNESS / bore) * length / bore * velocity_head(flow, bore)
    return math.copysign(loss, flow)


def dividing(run, branch, combined, leaving):
    """Head lost to the run's other leg and to the branch."""
    leaving = min(max(leaving, 1e-12), combined * (1 - 1e-12))
    q = (run, branch, combined - leaving, leaving)
    head = velocity_head(combined, run)
    return K_run_diverging_Crane(*q) * head, K_branch_diverging_Crane(*q) * head


def combining(run, branch, combined, joining):
    joining = min(max(joining, 1e-12), combined * (1 - 1e-12))
    q = (run, branch, combined - joining, joining)
    head = velocity_head(combined, run)
    return K_run_converging_Crane(*q) * head, K_branch_converging_Crane(*q) * head


def branch_loss(outlet, flow, water, returns):
    density, _ = water
    size = abs(flow)
    loss = friction(size, outlet["bore"], outlet["stub"], water) * (2 if returns else 1)
    loss += outlet["loss_factor"] * velocity_head(size, outlet["bore"])
    if outlet.get("kv"):
        pascal = density / 1000 * (size * 3600 / outlet["kv"]) ** 2 * 1e5
        loss += pascal / (density * G)
    elif outlet.get("drop"):
        loss += outlet["drop"][1] * (size / outlet["drop"][0]) ** 2
    elif not returns:
        loss += velocity_head(size, outlet["bore"])
    return math.copysign(loss, flow)


def solve(case):
    """Unknowns: branch flows, and per header the feed flow at the second end and the heads before,
    after and in the branch of every tee."""
    outlets, n = case["outlets"], len(case["outlets"])
    water = case["density"], case["viscosity"]
    returns = case["return"] is not None
    both = case["feed"] == "both_ends"
    lines = 2 if returns else 1
    head_given = case["drive"] == "head"
    scale = case["value"] if head_given else case["value_guess"]

    def header(residual, stations, run, length, out, heads, feeds, port_heads):
        """Heads of one header against its ports; `out` flows leave it. Flows run left to right."""
        at, along = 0.0, feeds[0]
        before = port_heads[0]
        for i in range(n):
            b, a, s = heads[3 * i], heads[3 * i + 1], heads[3 * i + 2]
            reach = stations[i] - at
            if before is not None:
                residual.append(before - friction(along, run, reach, water) - b)
            else:  # the dead end: nothing flows, the head is that of the first tee
                assert abs(along) < 1e-15
            rest = along - out[i]
            bore = outlets[i]["bore"]
            if out[i] >= 0:
                if along > 0 and rest >= 0:
                    run_loss, side = dividing(run, bore, along, out[i])
                    residual += [b - run_loss - a, b - side - s]
                elif along <= 0 and rest < 0:
                    run_loss, side = dividing(run, bore, -rest, out[i])
                    residual += [a - run_loss - b, a - side - s]
                else:  # meets in the branch
                    through, side = dividing(run, bore, out[i], out[i])
                    part = along / out[i]
                    common = b + through * (1 - part)
                    residual += [common - through * part - a, common - side - s]
            else:
                joining = -out[i]
                if along >= 0 and rest > 0:
                    run_loss, side = combining(run, bore, rest, joining)
                    residual += [b - run_loss - a, s - side - a]
                elif along < 0 and rest <= 0:
                    run_loss, side = combining(run, bore, -along, joining)
                    residual += [a - run_loss - b, s - side - b]
                else:  # parts from the branch
                    through, side = combining(run, bore, joining, joining)
                    part = rest / joining
                    common = b - through * part
                    residual += [common + through * (1 - part) - a, s - side - common]
            before, at, along = a, stations[i], rest
        if port_heads[1] is not None:
            residual.append(before - friction(along, run, length - at, water) - port_heads[1])

    stations = [o["station"] for o in outlets]
    per_line = 3 * n + (1 if both else 0)
    total_guess = case["value"] if not head_given else case["value_guess"]

    def unpack(x):
        flows = x[:n] * total_guess / n if not head_given else x[:n] * case["value_guess"] / n
        rest = x[n:]
        return flows, rest

    def equations(x):
        flows, rest = unpack(x)
        residual = []
        head = scale if head_given else rest[-1] * scale
        total = flows.sum()
        ends = {"first_end": (1, 0), "second_end": (0, 1), "both_ends": (1, 1)}
        feed = ends[case["feed"]]
        offset = 0
        supply_heads = rest[0 : 3 * n] * scale
        offset = 3 * n
        if both:
            second = rest[offset] * total_guess
            offset += 1
        else:
            second = total if feed[1] else 0.0
        header(residual, stations, case["run"], case["length"], flows, supply_heads,
               (total - second, second), tuple(head if f else None for f in feed))
        back_heads = None
        if returns:
            back_heads = rest[offset : offset + 3 * n] * scale
            offset += 3 * n
            draw = feed if case["return"] == "direct" else (feed[1], feed[0])
            if both:
                second_r = rest[offset] * total_guess
                offset += 1
            else:
                second_r = -total if draw[1] else 0.0
            header(residual, stations, case["return_bore"], case["length"], -flows, back_heads,
                   (-total - second_r, second_r), tuple(0.0 if d else None for d in draw))
        for i in range(n):
            low = back_heads[3 * i + 2] if returns else 0.0
            loss = branch_loss(outlets[i], flows[i], water, returns)
            residual.append(supply_heads[3 * i + 2] - loss - low)
        if not head_given:
            residual.append((total - case["value"]) / case["value"] * scale)
        return numpy.array(residual) / scale

    size = n + lines * per_line + (0 if head_given else 1)
    guess = numpy.concatenate([numpy.ones(n), numpy.full(lines * per_line + (0 if head_given else 1), 0.7)])
    assert guess.size == size
    answers = []
    for tries in range(8):
        start = guess * (1 + 0.05 * tries * numpy.cos(numpy.arange(size)))
        if both:  # share the feed between the ends in several ways
            start[4 * n] = 0.3 + 0.05 * tries
        found = root(equations, start, method="hybr", tol=1e-13, options={"maxfev": 40000})
        if numpy.abs(equations(found.x)).max() < 1e-8:
            answers.append(found.x)
    if not answers:
        return None
    if any(numpy.abs(x[:n] - answers[0][:n]).max() > 1e-6 for x in answers):
        # The published run factors are negative in part, so that a header fed from both ends may
        # have several balanced splits; such headers are not compared.
        print("several splits balance; drawn again")
        return None
    best = 0.0, answers[0]
    flows, rest = unpack(best[1])
    return list(flows), float(scale if head_given else rest[-1] * scale)


def header_cases(count):
    chance = random.Random(20261125)
    made = 0
    while made < count:
        n = chance.randint(2, 9)
        run_id = chance.choice(["b88-l-1.25", "b88-l-1.5", "b88-l-2", "b88-l-3"])
        smaller = [t for t in TUBES if TUBES[t] < TUBES[run_id] * 0.95]
        branch_id = chance.choice(smaller[:4])
        pitch = chance.choice([0.1, 0.15, 0.3, 0.6])
        celsius = chance.choice([8.0, 25.0, 60.0, 82.0])
        density = PropsSI("D", "T", celsius + 273.15, "Q", 0, "Water")
        viscosity = PropsSI("V", "T", celsius + 273.15, "Q", 0, "Water")
        kind = chance.choice(["open", "kv", "drop"])
        back = chance.choice([None, None, "direct", "reverse"]) if kind != "open" else None
        feed = chance.choice(["first_end", "second_end"] + (["both_ends"] if back != "reverse" else []))
        outlets = []
        for i in range(n):
            outlet = {
                "station": 0.1 + pitch * i,
                "bore": TUBES[branch_id],
                "stub": chance.choice([0.08, 0.5, 3.0]),
                "loss_factor": chance.choice([0.0, 0.0, 2.5]),
            }
            if kind == "kv":
                outlet["kv"] = round(area(TUBES[branch_id]) * chance.uniform(4e3, 2e4), 3)
            if kind == "drop":
                outlet["drop"] = (round(area(TUBES[branch_id]) * chance.uniform(0.5, 2), 6), chance.choice([0.5, 2.0]))
            outlets.append(outlet)
        run = TUBES[run_id]
        case = {
            "run": run, "run_id": run_id, "branch_id": branch_id,
            "length": 0.2 + pitch * (n - 1), "outlets": outlets,
            "celsius": celsius, "density": density, "viscosity": viscosity,
            "feed": feed, "return": back, "return_bore": run,
        }
        if chance.random() < 0.6:
            case |= {"drive": "head", "value": chance.choice([0.3, 1.0, 3.0]),
                     "value_guess": area(run) * 0.8}
        else:
            case |= {"drive": "flow", "value": round(area(run) * chance.choice([0.3, 0.8, 1.5]), 7),
                     "value_guess": 0.5}
        found = solve(case)
        if found is None:
            print("no outside solution; drawn again")
            continue
        flows, head = found
        made += 1
        yield case | {"flows": flows, "head": head}


if __name__ == "__main__":
    write("friction.json", friction_rows())
    write("tees.json", tee_rows())
    write("water.json", water_rows())
    write("glycol.json", glycol_rows())
    write("headers.json", header_cases(60))
