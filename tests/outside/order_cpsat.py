"""Session order against OR-Tools CP-SAT.

    cargo run --release -p handrail-program --example order_instances 1 50 20 typical > instances.json
    python tests/outside/order_cpsat.py instances.json

Needs `ortools` (Python). Reads instances with Handrail's costs, orders and times; solves each anew as a circuit
with positions for precedence; compares the costs and prints the medians of both times.
"""

import json
import statistics
import sys
import time

from ortools.sat.python import cp_model


def step_cost(p, a, b):
    clash = p["region"][a] == p["region"][b] and p["region"][a] != p["no_region"]
    return p["step"][a][b] + (p["same_region_penalty"] if clash else 0)


def cpsat(p):
    """Least cost, or None if CP-SAT does not prove one."""
    n = p["n"]
    model = cp_model.CpModel()
    position = [model.new_int_var(0, n - 1, f"position {i}") for i in range(n)]
    arcs, costs = [], []

    def arc(u, v, cost):
        used = model.new_bool_var(f"{u} to {v}")
        arcs.append((u, v, used))
        costs.append(cost * used)
        return used

    # Node 0 is start and end in one; node i + 1 is item i.
    for a in range(n):
        model.add(position[a] == 0).only_enforce_if(arc(0, a + 1, p["start"][a]))
        model.add(position[a] == n - 1).only_enforce_if(arc(a + 1, 0, p["end"][a]))
        for b in range(n):
            if a != b:
                used = arc(a + 1, b + 1, step_cost(p, a, b))
                model.add(position[b] == position[a] + 1).only_enforce_if(used)
    model.add_circuit(arcs)
    for a, b in p["before"]:
        model.add(position[a] < position[b])
    model.minimize(sum(costs))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 120
    if solver.solve(model) != cp_model.OPTIMAL:
        return None
    return round(solver.objective_value)


def faults(p, least):
    order = p["order"]
    if sorted(order) != list(range(p["n"])):
        return ["not an order of all items"]
    found = []
    cost = p["start"][order[0]] + sum(step_cost(p, a, b) for a, b in zip(order, order[1:])) + p["end"][order[-1]]
    if cost != p["cost"]:
        found.append(f"the order costs {cost}, not {p['cost']}")
    found += [f"{a} is not before {b}" for a, b in p["before"] if order.index(a) >= order.index(b)]
    if least != p["cost"]:
        found.append(f"CP-SAT has {least}, Handrail {p['cost']}")
    return found


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with open(sys.argv[1], encoding="utf-8") as file:
        problems = json.load(file)
    passed = failed = 0
    theirs = []
    for number, p in enumerate(problems):
        begin = time.perf_counter()
        least = cpsat(p)
        theirs.append((time.perf_counter() - begin) * 1e6)
        wrong = faults(p, least)
        for fault in wrong:
            print(f"instance {number}: {fault}")
        failed += bool(wrong)
        passed += not wrong
    ours = statistics.median(p["micros"] for p in problems)
    other = statistics.median(theirs)
    print(f"median: Handrail {ours / 1e3:.2f} ms, CP-SAT {other / 1e3:.1f} ms, ratio {other / ours:.0f}")
    print(f"{passed} passed, {failed} failed")
    sys.exit(failed > 0)


if __name__ == "__main__":
    main()
