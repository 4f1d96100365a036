"""Asks whether general-purpose solvers find the same best week as the search.

The truth comes from outside the project: HiGHS (branch and cut), CBC (branch and cut) and
GLPK (its own modelling language and branch and bound) are independent of each other and of
every line here. They get the program as text and the search's answer as a number.

Usage: judge.py FOLDER [--seconds N] [--with highs,cbc,glpk] [--only PART_OF_A_NAME]

FOLDER holds manifest.json, a list of cases:
  name       what to call it
  mps        file with the program, free-format MPS
  data       file with the kitchen's data for the GNU MathProg model (optional)
  start      HiGHS solution file of the search's week (optional)
  outcome    "best", "impossible" or "unknown"
  objective  the search's objective as decimal text, in the program's unit
  off        how far that number may be off, if it has few digits (optional)
  splits     true if a lunch may draw on two batches: the program then shares a lunch out in
             fractions of a milligram, the search in whole ones

Agreement: the same outcome, and objectives less than TIGHT apart. Where lunches may be split the
program may be better by less than LOOSE, never worse by TIGHT. A solver that runs out of time
disagrees only if its bounds exclude the search's answer. Exit code 1 on any disagreement, 2
if nothing was decided.
"""

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import time

# Minor units. A wrong decision costs at least a weighing step, tenths of a minor unit; solvers
# work in binary fractions with tolerances of 1e-6 and less.
TIGHT = 1e-3
# A milligram of the dearest food is far below this, and few lunches are split.
LOOSE = 0.05


def program_in_highs(case, folder, seconds):
    """Returns HiGHS with the case's program read, or None if it cannot be read."""
    import highspy

    solver = highspy.Highs()
    solver.silent()
    for name, value in {
        "time_limit": float(seconds),
        "mip_rel_gap": 0.0,
        "mip_abs_gap": 1e-6,
        "mip_feasibility_tolerance": 1e-7,
        "primal_feasibility_tolerance": 1e-8,
        "threads": 1,
        "random_seed": 1,
    }.items():
        solver.setOptionValue(name, value)
    read = solver.readModel(os.path.join(folder, case["mps"]))
    return solver if read != highspy.HighsStatus.kError else None


def highs(case, folder, seconds):
    """Returns (outcome, objective, bound, note)."""
    import highspy

    def fresh():
        return program_in_highs(case, folder, seconds)

    solver = fresh()
    if solver is None:
        return "error", None, None, "cannot read the program"
    note = ""
    if case.get("start"):
        start = fresh()
        # Fixing everything at the search's week: the solver's own word that it is feasible.
        start.readSolution(os.path.join(folder, case["start"]), 0)
        values = list(start.getSolution().col_value)
        if not values:
            return "error", None, None, "cannot read the search's week"
        for column, value in enumerate(values):
            kind = start.getLp().integrality_[column] if start.getLp().integrality_ else None
            if kind == highspy.HighsVarType.kInteger:
                start.changeColBounds(column, round(value), round(value))
        if start.run() == highspy.HighsStatus.kError:
            return "error", None, None, "the solver failed on the search's week"
        if start.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return "error", None, None, "the search's week breaks the program"
        note = "week accepted"
    if solver.run() == highspy.HighsStatus.kError:
        return "error", None, None, "the solver failed"
    status = solver.getModelStatus()
    info = solver.getInfo()
    if status == highspy.HighsModelStatus.kOptimal:
        return "best", info.objective_function_value, None, note
    if status in (
        highspy.HighsModelStatus.kInfeasible,
        highspy.HighsModelStatus.kUnboundedOrInfeasible,
    ):
        return "impossible", None, None, note
    if status != highspy.HighsModelStatus.kTimeLimit:
        return "error", None, None, str(status)
    found = info.objective_function_value if info.primal_solution_status == 2 else None
    return "unknown", found, info.mip_dual_bound, note


def cbc(case, folder, seconds):
    """Runs the cbc command on the MPS file."""
    command = ["cbc", os.path.join(folder, case["mps"]), "-ratio", "0", "-allow", "1e-6",
               "-integerT", "1e-7", "-primalT", "1e-8", "-sec", str(seconds), "-solve"]
    text = subprocess.run(command, capture_output=True, text=True, timeout=seconds * 3 + 60).stdout
    value = re.search(r"^Objective value:\s+(\S+)", text, re.M)
    bound = re.search(r"^Lower bound:\s+(\S+)", text, re.M)
    if "Result - Optimal solution found" in text:
        return "best", float(value.group(1)), None, ""
    # Without whole columns it stops at the first relaxation and says so in other words.
    linear = re.search(r"^Optimal (?:- )?objective (?:value )?(\S+)", text, re.M)
    if linear and "Integer" not in text and not re.search(r"^Cbc0", text, re.M):
        return "best", float(linear.group(1)), None, ""
    if re.search(r"infeasible", text) and not value:
        return "impossible", None, None, ""
    return "unknown", None, float(bound.group(1)) if bound else None, ""


def glpk(case, folder, seconds):
    """Runs the glpsol command on the GNU MathProg model and the kitchen's data."""
    if not case.get("data"):
        return "skipped", None, None, ""
    model = os.path.join(os.path.dirname(__file__), "..", "..", "models", "week.mod")
    command = ["glpsol", "--model", model, "--data", os.path.join(folder, case["data"]),
               "--tmlim", str(seconds), "--cuts", "--mipgap", "0"]
    text = subprocess.run(command, capture_output=True, text=True, timeout=seconds * 3 + 60).stdout
    value = re.search(r"^objective (\S+)", text, re.M)
    if "INTEGER OPTIMAL SOLUTION FOUND" in text:
        return "best", float(value.group(1)), None, ""
    if re.search(r"HAS NO (PRIMAL|INTEGER|DUAL|FEASIBLE)|NO (PRIMAL|INTEGER) FEASIBLE", text):
        return "impossible", None, None, ""
    if "processing error" in text:
        return "error", None, None, text.strip().splitlines()[-2]
    return "unknown", None, None, ""


SOLVERS = {"highs": highs, "cbc": cbc, "glpk": glpk}


def verdict(case, outcome, objective, bound):
    """Returns 'agree', 'disagree', 'open' (undecided) or 'skipped'."""
    if outcome in ("skipped", "error"):
        return "disagree" if outcome == "error" else "skipped"
    known = case["outcome"]
    if known == "unknown":
        return "open"
    if outcome == "impossible" or known == "impossible":
        if outcome == known:
            return "agree"
        return "disagree" if "best" in (outcome, known) and outcome != "unknown" else "open"
    gain = float(case["objective"]) - (objective if objective is not None else float("inf"))
    tight = max(TIGHT, case.get("off", 0))
    allowed = LOOSE if case.get("splits") else tight
    if outcome == "best":
        return "agree" if -tight < gain < allowed else "disagree"
    if objective is not None and gain >= allowed:
        return "disagree"
    if bound is not None and bound > float(case["objective"]) + TIGHT:
        return "disagree"
    return "open"


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder")
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--with", dest="solvers", default="highs")
    parser.add_argument("--only", default="")
    options = parser.parse_args()
    with open(os.path.join(options.folder, "manifest.json"), encoding="utf-8") as file:
        cases = [case for case in json.load(file) if options.only in case["name"]]
    counts = {}
    for name in options.solvers.split(","):
        if name in ("cbc", "glpk") and not shutil.which({"glpk": "glpsol"}.get(name, name)):
            print(f"{name}: not installed, left out")
            continue
        for case in cases:
            begun = time.monotonic()
            try:
                answer = SOLVERS[name](case, options.folder, options.seconds)
            except subprocess.TimeoutExpired:
                answer = ("unknown", None, None, "did not stop in time")
            outcome, objective, bound, note = answer
            word = verdict(case, outcome, objective, bound)
            counts[word] = counts.get(word, 0) + 1
            shown = "-" if objective is None else f"{objective:.6f}"
            search = case.get("objective") or "-"
            print(f"{word:9} {name:6} {case['name']:42} {outcome:10} {shown:>16} "
                  f"known {case['outcome']:10} {search:>20} "
                  f"{time.monotonic() - begun:7.2f} s {note}", flush=True)
    print(", ".join(f"{word} {count}" for word, count in sorted(counts.items())))
    if counts.get("disagree"):
        sys.exit(1)
    if not counts.get("agree"):
        sys.exit(2)


if __name__ == "__main__":
    main()
