"""Asks HiGHS what it makes of a week that the search found, in kitchens too large for HiGHS.

The truth comes from outside the project: HiGHS (branch and cut) reads the program as text, the
week as values of its columns, and shares no line with the search.

Usage: certify.py FOLDER [--seconds N]

FOLDER holds manifest.json, a list of cases:
  name       what to call it
  mps        file with the program, free-format MPS
  outcome    "best" or "impossible": what the search said
  objective  the search's objective as decimal text, in the program's unit
  start      HiGHS solution file of the search's week; asks for the certificate (optional)
  shut       first parts of column names; all such columns are held at 0, so that few recipes
             are left and HiGHS can finish (optional)
  splits     true if a lunch may draw on two batches: the program then shares a lunch out in
             fractions of a milligram, the search in whole ones

With `start`, three things must hold: every column held at the week's value, the program has a
solution and the week's objective; HiGHS says that it starts from the week; in N seconds it finds
nothing better, and its bound is not above the week. Without, HiGHS must finish and say what the
search said. Exit code 1 on any disagreement, 2 if a case without `start` was left undecided.
"""

import argparse
import json
import os
import re
import sys
import time

import highspy
from judge import LOOSE, TIGHT, program_in_highs

# Grams (and shares of a lunch): where a lunch draws on two batches, whole milligrams are off
# from fractions by at most one a line, and few lines stand in a sum.
MILLIGRAMS = 0.01

Status = highspy.HighsModelStatus


def solver_of(case, folder, seconds):
    """Returns HiGHS with the program read and, of `shut`, the columns held at 0."""
    solver = program_in_highs(case, folder, seconds)
    if solver is None:
        raise ValueError("cannot read the program")
    shut = tuple(case.get("shut", ()))
    if shut:
        for column, name in enumerate(solver.getLp().col_names_):
            if name.startswith(shut):
                solver.changeColBounds(column, 0.0, 0.0)
    return solver


def held(case, folder, seconds):
    """Returns the objective with every column held at the week's value, or None."""
    solver = solver_of(case, folder, seconds)
    solver.readSolution(os.path.join(folder, case["start"]), 0)
    values = list(solver.getSolution().col_value)
    whole = solver.getLp().integrality_
    off = MILLIGRAMS if case.get("splits") else 0.0
    for column, value in enumerate(values):
        if whole and whole[column] == highspy.HighsVarType.kInteger:
            solver.changeColBounds(column, round(value), round(value))
        else:
            solver.changeColBounds(column, max(0.0, value - off), value + off)
    solver.run()
    if not values or solver.getModelStatus() != Status.kOptimal:
        return None
    return solver.getInfo().objective_function_value


def certificate(case, folder, seconds):
    """Returns (faults, note) of a case with `start`."""
    known = float(case["objective"])
    allowed = LOOSE if case.get("splits") else TIGHT
    faults = []
    value = held(case, folder, seconds)
    if value is None or abs(value - known) >= allowed:
        faults.append(f"the week held fast gives {value}")
    log = os.path.join(folder, case["name"] + ".log")
    solver = solver_of(case, folder, seconds)
    solver.setOptionValue("output_flag", True)
    solver.setOptionValue("log_to_console", False)
    solver.setOptionValue("log_file", log)
    solver.readSolution(os.path.join(folder, case["start"]), 0)
    solver.run()
    info = solver.getInfo()
    with open(log, encoding="utf-8") as file:
        text = file.read()
    begun = re.search(r"MIP start solution is feasible\W+objective value is (\S+)", text)
    if begun is None:
        faults.append("it does not start from the week")
    elif abs(float(begun.group(1)) - known) >= max(allowed, abs(known) * 1e-6):
        faults.append(f"it starts from {begun.group(1)}")
    found, bound = info.objective_function_value, info.mip_dual_bound
    if found <= known - allowed:
        faults.append(f"it finds {found}")
    if found >= known + TIGHT:
        faults.append(f"it keeps only {found}")
    if bound > known + TIGHT:
        faults.append(f"its bound is {bound}")
    gap = 100 * (known - bound) / abs(known) if known else 0.0
    done = "finished" if solver.getModelStatus() == Status.kOptimal else "stopped"
    return faults, f"{done}, bound {bound:.3f}, gap {gap:.1f} %"


def answer(case, folder, seconds):
    """Returns (faults, note, whether decided) of a case without `start`."""
    solver = solver_of(case, folder, seconds)
    solver.run()
    status = solver.getModelStatus()
    if status == Status.kOptimal:
        value = solver.getInfo().objective_function_value
        if case["outcome"] != "best":
            return [f"it finds {value}"], "", True
        allowed = LOOSE if case.get("splits") else TIGHT
        gain = float(case["objective"]) - value
        agreed = -TIGHT < gain < allowed
        return [] if agreed else [f"its best is {value}"], "best", True
    if status in (Status.kInfeasible, Status.kUnboundedOrInfeasible):
        agreed = case["outcome"] == "impossible"
        return [] if agreed else ["it says impossible"], "impossible", True
    if status != Status.kTimeLimit:
        return [str(status)], "", True
    return [], "out of time", False


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder")
    parser.add_argument("--seconds", type=int, default=15)
    # What `ask` hands to every judge; there is one solver here.
    parser.add_argument("--with", dest="solvers", default="highs")
    parser.add_argument("--only", default="")
    options = parser.parse_args()
    with open(os.path.join(options.folder, "manifest.json"), encoding="utf-8") as file:
        cases = [case for case in json.load(file) if options.only in case["name"]]
    counts = {"agree": 0, "disagree": 0, "open": 0}
    for case in cases:
        begun = time.monotonic()
        decided = True
        if case.get("start"):
            faults, note = certificate(case, options.folder, options.seconds)
        else:
            faults, note, decided = answer(case, options.folder, options.seconds)
        word = "disagree" if faults else "agree" if decided else "open"
        counts[word] += 1
        print(f"{word:9} {case['name']:36} {case['outcome']:10} {case.get('objective') or '-':>18} "
              f"{time.monotonic() - begun:7.2f} s {note} {'; '.join(faults)}", flush=True)
    print(", ".join(f"{word} {count}" for word, count in counts.items()))
    if counts["disagree"]:
        sys.exit(1)
    if counts["open"]:
        sys.exit(2)


if __name__ == "__main__":
    main()
