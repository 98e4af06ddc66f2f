"""Optimum costs of random cutting problems by OR-Tools, as fixtures for offtake's own planner.

    python solve_with_ortools.py < problems.txt > optima.txt
    python solve_with_ortools.py --times 30 < problems.txt

The second form is for `cargo bench --bench cut_plans`: name, optimum (or `-`) and seconds of each.

A line is: name, kerf, kinds of stock, (length, cost, count or -1) for each, lengths, (length, count)
for each, shortest rest worth keeping, and its value per length as numerator and denominator (0 1:
none). Lengths are in 1/64 in, costs in hundredths. The line comes back with the optimum appended:
the exact one, times the denominator; problems not solved to proof in time are left out.

The model is an arc flow (Valerio de Carvalho, Annals of Operations Research 86, 1999), solved as a
mixed-integer program; it shares no idea but the arithmetic of the kerf with what it checks.
Made with ortools 9.15.6755 (its SCIP), Python 3.11.
"""

import sys
import time
from ortools.linear_solver import pywraplp


def parse(line):
    words = line.split()
    numbers = iter(map(int, words[1:]))
    take = lambda: next(numbers)
    kerf = take()
    stock = [(take(), take(), take()) for _ in range(take())]
    pieces = sorted(((take(), take()) for _ in range(take())), reverse=True)
    return words[0], kerf, stock, pieces, (take(), take(), take())


def optimum(kerf, stock, pieces, keep, seconds):
    least, numerator, denominator = keep
    longest = max(length for length, _, _ in stock) + kerf
    # Positions reached when pieces are laid longest first, and the arcs between them.
    arcs, reached = set(), {0}
    for item, (length, count) in enumerate(pieces):
        width = length + kerf
        for start in sorted(reached):
            for k in range(count):
                a, b = start + k * width, start + (k + 1) * width
                if b > longest:
                    break
                arcs.add((a, b, item))
                reached.add(b)
    solver = pywraplp.Solver.CreateSolver("SCIP")
    solver.SetTimeLimit(int(seconds * 1000))
    into = {node: [] for node in reached}
    out = {node: [] for node in reached}
    made = [[] for _ in pieces]
    for a, b, item in sorted(arcs):
        flow = solver.IntVar(0, pieces[item][1], "")
        out[a].append(flow)
        into[b].append(flow)
        made[item].append(flow)
    total = sum(count for _, count in pieces)
    cost = []
    for length, price, count in stock:
        ends = []
        for node in sorted(reached):
            if 0 < node <= length + kerf:
                rest = max(0, length - node)
                kept = rest if numerator and rest >= least else 0
                end = solver.IntVar(0, total if count < 0 else count, "")
                out[node].append(end)
                ends.append(end)
                cost.append(end * (price * denominator - kept * numerator))
        if count >= 0:
            solver.Add(sum(ends) <= count)
    for node in reached:
        if node:
            solver.Add(sum(into[node]) == sum(out[node]))
    for item, (_, count) in enumerate(pieces):
        solver.Add(sum(made[item]) == count)
    solver.Minimize(sum(cost))
    params = pywraplp.MPSolverParameters()
    params.SetDoubleParam(params.RELATIVE_MIP_GAP, 0.0)
    if solver.Solve(params) != pywraplp.Solver.OPTIMAL:
        return None
    return round(solver.Objective().Value())


def main():
    arguments = [word for word in sys.argv[1:] if word != "--times"]
    seconds = float(arguments[0]) if arguments else 60
    for line in sys.stdin:
        name, kerf, stock, pieces, keep = parse(line)
        begun = time.perf_counter()
        best = optimum(kerf, stock, pieces, keep, seconds)
        took = time.perf_counter() - begun
        if "--times" in sys.argv:
            print(name, "-" if best is None else best, f"{took:.6f}", flush=True)
        elif best is not None:
            print(line.strip(), best, flush=True)


if __name__ == "__main__":
    main()
