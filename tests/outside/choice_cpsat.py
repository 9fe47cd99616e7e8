"""Choice of exercises against OR-Tools CP-SAT.

    cargo run --release -p handrail-program --example choice_instances 1 20 80 typical > problems.json
    python tests/outside/choice_cpsat.py problems.json

Needs `ortools` (Python). Reads problems with Handrail's choices, values and times. All their numbers are short
decimals, so the whole problem is put in whole numbers without rounding. One model holds every number of exercises
at once (the share that is done by a table of the number) and the way between the places as a circuit. Compares the
values to 1e-6 and prints the medians of both times.
"""

import json
import math
import statistics
import sys
import time
from fractions import Fraction

from ortools.sat.python import cp_model

NEAR = 1e-6


def exact(number):
    """The decimal that a number was written as."""
    return Fraction(str(number))


def whole(numbers):
    """Numbers times their least common denominator, and that denominator."""
    fractions = [exact(it) for it in numbers]
    scale = math.lcm(1, *(it.denominator for it in fractions))
    return [int(it * scale) for it in fractions], scale


def limit(model, terms, most):
    """Sum of (variable, amount) at most `most`, in whole numbers."""
    amounts, scale = whole([amount for _, amount in terms])
    model.add(sum(it * amount for (it, _), amount in zip(terms, amounts)) <= math.floor(exact(most) * scale))


def cpsat(p):
    """Highest value, or None if CP-SAT does not prove one."""
    model = cp_model.CpModel()
    options, places = p["options"], range(len(p["place_cost"]))
    chosen = [model.new_bool_var(f"option {i}") for i in range(len(options))]
    for exercise in {it["exercise"] for it in options}:
        model.add_at_most_one(chosen[i] for i, it in enumerate(options) if it["exercise"] == exercise)
    number = [model.new_bool_var(f"{n} exercises") for n in range(p["most"] + 1)]
    model.add_exactly_one(number)
    model.add(sum(chosen) == sum(n * it for n, it in enumerate(number)))

    # The way: node 0 is start and end in one, node q + 1 is place q; a place without exercises is left out.
    arcs, moves = [], []
    for q in places:
        used = model.new_bool_var(f"place {q}")
        here = [chosen[i] for i, it in enumerate(options) if it["place"] == q]
        model.add_max_equality(used, here) if here else model.add(used == 0)
        arcs.append((q + 1, q + 1, ~used))
        steps = [(0, q + 1, p["start_cost"][q]), (q + 1, 0, p["end_cost"][q])]
        steps += [(q + 1, r + 1, p["place_cost"][q][r]) for r in places if r != q]
        for a, b, seconds in steps:
            step = model.new_bool_var(f"{a} to {b}")
            arcs.append((a, b, step))
            moves.append((step, seconds))
    arcs.append((0, 0, number[0]))
    model.add_circuit(arcs)

    limit(model, [(chosen[i], it["seconds"]) for i, it in enumerate(options)] + moves, p["seconds"])
    for c, most in enumerate(p["ceilings"]):
        limit(model, [(chosen[i], it["exposure"][c]) for i, it in enumerate(options)], most)

    # Terms of the training, as (variable, value of a unit): the filled stretches of each target, and bonuses.
    training, most_training = [], Fraction(0)
    for t, (weight, weekly) in enumerate(p["targets"]):
        done = [(chosen[i], amount) for i, it in enumerate(options) for to, amount in it["weekly"] if to == t]
        amounts, unit = whole([amount for _, amount in done])
        ends = [exact(up_to) * exact(weekly) * unit for up_to, _ in p["returns"]]
        finer = math.lcm(1, *(it.denominator for it in ends))
        filled, start = [], 0
        for end, (_, slope) in zip(ends, p["returns"]):
            length = int(end * finer) - start
            start += length
            stretch = model.new_int_var(0, length, f"target {t} to {start}")
            filled.append(stretch)
            value = exact(weight) * exact(slope) / (exact(weekly) * unit * finer)
            training.append((stretch, value))
            most_training += length * value
        model.add(sum(filled) <= sum(it * amount * finer for (it, _), amount in zip(done, amounts)))
    bonuses = [(chosen[i], exact(it["bonus"])) for i, it in enumerate(options) if it["bonus"] > 0]
    most_training += sum(value for _, value in bonuses)
    training += bonuses
    scale = math.lcm(1, *(value.denominator for _, value in training))
    trained = model.new_int_var(0, int(most_training * scale), "training")
    model.add(trained == sum(it * int(value * scale) for it, value in training))

    # The share is a constant once the number is known; slopes do not rise, so filling as written is the best.
    shares, hundred = whole(p["share"][1:p["most"] + 1])
    done = model.new_int_var(0, max(shares) * int(most_training * scale), "training done")
    model.add(done == 0).only_enforce_if(number[0])
    for n, share in enumerate(shares, 1):
        model.add(done <= share * trained).only_enforce_if(number[n])
    charge = [exact(p["move_charge"]) * exact(seconds) * scale * hundred for _, seconds in moves]
    finer = math.lcm(1, *(it.denominator for it in charge))
    model.maximize(done * finer - sum(step * int(it * finer) for (step, _), it in zip(moves, charge)))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 300
    if solver.solve(model) != cp_model.OPTIMAL:
        return None
    best = int(round(solver.objective_value))
    return float(Fraction(best, scale * hundred * finer))


def value_of(p):
    """Value of Handrail's choice, and what it breaks, reckoned from the choice alone."""
    options = [p["options"][i] for i in p["chosen"]]
    found = []
    if len({it["exercise"] for it in options}) < len(options) or len(options) > p["most"]:
        found.append("an exercise twice, or too many")
    places = [it["place"] for it in options]
    way = [q for k, q in enumerate(places) if k == 0 or places[k - 1] != q]
    moves = sum(exact(p["place_cost"][a][b]) for a, b in zip(way, way[1:]))
    if way:
        moves += exact(p["start_cost"][way[0]]) + exact(p["end_cost"][way[-1]])
    if moves + sum(exact(it["seconds"]) for it in options) > exact(p["seconds"]):
        found.append("too long")
    for c, most in enumerate(p["ceilings"]):
        if sum(exact(it["exposure"][c]) for it in options) > exact(most):
            found.append(f"over ceiling {c}")
    training = sum((exact(it["bonus"]) for it in options), Fraction(0))
    for t, (weight, weekly) in enumerate(p["targets"]):
        part = sum(exact(amount) for it in options for to, amount in it["weekly"] if to == t) / exact(weekly)
        start = Fraction(0)
        for up_to, slope in p["returns"]:
            training += exact(weight) * exact(slope) * max(min(part, exact(up_to)) - start, 0)
            start = exact(up_to)
    share = exact(p["share"][len(options)]) if options else 0
    return float(share * training - exact(p["move_charge"]) * moves), found


def faults(p, highest):
    value, found = value_of(p)
    if not math.isclose(value, p["value"], rel_tol=NEAR, abs_tol=NEAR):
        found.append(f"the choice is worth {value}, not {p['value']}")
    if highest is None:
        found.append("CP-SAT has no answer")
    elif not math.isclose(highest, p["value"], rel_tol=NEAR, abs_tol=NEAR):
        found.append(f"CP-SAT has {highest}, Handrail {p['value']}")
    return found


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with open(sys.argv[1], encoding="utf-8") as file:
        problems = json.load(file)
    passed = failed = 0
    theirs, gaps = [], []
    for number, p in enumerate(problems):
        begin = time.perf_counter()
        highest = cpsat(p)
        theirs.append((time.perf_counter() - begin) * 1e6)
        wrong = faults(p, highest)
        if highest is not None:
            gaps.append(abs(highest - p["value"]) / max(abs(highest), 1))
        for fault in wrong:
            print(f"problem {number}: {fault}")
        failed += bool(wrong)
        passed += not wrong
    ours = statistics.median(p["micros"] for p in problems)
    other = statistics.median(theirs)
    print(f"median: Handrail {ours / 1e3:.2f} ms (worst {max(p['micros'] for p in problems) / 1e3:.1f}), "
          f"CP-SAT {other / 1e3:.0f} ms, ratio {other / ours:.0f}; largest difference {max(gaps, default=0):.1e}")
    print(f"{passed} passed, {failed} failed")
    sys.exit(failed > 0)


if __name__ == "__main__":
    main()
