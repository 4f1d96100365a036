"""Runs the published problems (`fixtures/published`) through everything that can answer them.

    .venv/bin/pip install highspy           # and Debian's coinor-cbc; what is missing is left out, and said
    cargo build --release
    .venv/bin/python benches/published.py [--seconds N] [--only PART] [--binary PATH] [--without highs,cbc,program]

One line a problem, as a table: what is known; the search (`scant week --brief`, the whole command, two threads); the program
in process (`--engine program`); HiGHS (PyPI highspy, two threads) and CBC on the file that `scant program --mps` writes.
Each gets N seconds (10). Times are of one run, wall clock, and hold for whatever else the machine was doing.

What is proved must be what is known: otherwise the line says WRONG and the run ends with 1. A solver without proof is
not wrong unless its bound is above what is known.
"""

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
FOLDER = os.path.join(ROOT, "fixtures", "published")
THREADS = 2
NEAR = 1e-3


def problems():
    with open(os.path.join(FOLDER, "problems.tsv"), encoding="utf-8") as file:
        for row in file:
            if not row.startswith("#"):
                name, measure, known, ask, problem, source, *_ = row.rstrip("\n").split("\t")
                yield name, measure, known, ask, problem, source


def timed(command, seconds):
    start = time.monotonic()
    try:
        run = subprocess.run(command, capture_output=True, text=True, check=False, timeout=seconds + 120)
    except subprocess.TimeoutExpired:
        return None, time.monotonic() - start
    return run, time.monotonic() - start


def value_of(told, measure):
    if measure == "foods":
        return told.get("foods")
    return told["objective"]["total"] if told.get("objective") else None


def scant(binary, name, measure, seconds, more):
    """Outcome, value, bound, seconds."""
    command = [binary, "week", os.path.join(FOLDER, name), "--brief", "--threads", str(THREADS), "--limit", str(seconds),
               "--format", "json", *more]
    run, took = timed(command, seconds)
    if run is None:
        return "no end", None, None, took
    try:
        told = json.loads(run.stdout)
    except ValueError:
        return ("out of time" if "not done" in run.stderr else "failed: " + run.stderr.strip()[-80:]), None, None, took
    bound = told.get("bound")
    return told["outcome"], value_of(told, measure), bound, took


def prep(binary, name, seconds):
    run, took = timed([binary, "prep", os.path.join(FOLDER, name), "--limit", str(seconds), "--format", "json"], seconds)
    told = json.loads(run.stdout)
    length, bound = told["prep"]["minutes"], told["prep"]["bound"]
    return ("best" if length == bound else "good"), length, bound, took


def written(binary, name, folder):
    mps = os.path.join(folder, name + ".mps")
    run, _ = timed([binary, "program", os.path.join(FOLDER, name), "--mps", mps], 120)
    return mps if run is not None and run.returncode == 0 else None


def highs(mps, seconds):
    import highspy

    solver = highspy.Highs()
    solver.silent()
    for option, value in {"time_limit": float(seconds), "mip_rel_gap": 0.0, "mip_abs_gap": 1e-6, "threads": THREADS}.items():
        solver.setOptionValue(option, value)
    start = time.monotonic()
    solver.readModel(mps)
    solver.run()
    took = time.monotonic() - start
    status, info = solver.getModelStatus(), solver.getInfo()
    if status == highspy.HighsModelStatus.kOptimal:
        return "best", info.objective_function_value, info.objective_function_value, took
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return "impossible", None, None, took
    found = info.objective_function_value if info.primal_solution_status == 2 else None
    return "good", found, info.mip_dual_bound, took


def cbc(mps, seconds):
    run, took = timed(["cbc", mps, "-ratio", "0", "-allow", "1e-6", "-threads", str(THREADS), "-sec", str(seconds), "-solve"],
                      seconds)
    if run is None:
        return "no end", None, None, took
    text = run.stdout
    value = re.search(r"^Objective value:\s+(\S+)", text, re.M)
    bound = re.search(r"^Lower bound:\s+(\S+)", text, re.M)
    if "Result - Optimal solution found" in text:
        return "best", float(value.group(1)), float(value.group(1)), took
    if "infeasible" in text and not value:
        return "impossible", None, None, took
    return "good", float(value.group(1)) if value else None, float(bound.group(1)) if bound else None, took


def judged(answer, measure, known, scaled):
    """A cell, and whether it is wrong. `scaled`: what one of `known` counts in the answer's unit."""
    outcome, value, bound, took = answer
    if outcome == "best":
        wrong = measure == "impossible" or abs(value / scaled - float(known)) > NEAR
        return f"{value / scaled:g} proved, {took:.2f} s", wrong
    if outcome == "impossible":
        return f"impossible, {took:.2f} s", measure != "impossible"
    if outcome in ("good", "out of time"):
        best = "none" if value is None or abs(value) > 1e29 else f"{value / scaled:g}"
        least = "" if bound is None or abs(bound) > 1e29 else f", bound {bound / scaled:g}"
        wrong = measure != "impossible" and bound is not None and bound / scaled > float(known) + NEAR and bound < 1e29
        return f"{best} so far{least}, {took:.0f} s", wrong
    return f"{outcome}, {took:.0f} s", outcome.startswith("failed")


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--seconds", type=int, default=10)
    ask.add_argument("--only", default="")
    ask.add_argument("--without", default="")
    ask.add_argument("--binary", default=os.path.join(ROOT, "target/release/scant"))
    args = ask.parse_args()
    columns = ["search", "program", "highs", "cbc"]
    without = set(filter(None, args.without.split(",")))
    if not shutil.which("cbc"):
        without.add("cbc")
    try:
        import highspy  # noqa: F401
    except ImportError:
        without.add("highs")
    columns = [column for column in columns if column not in without]
    titles = {"search": "search", "program": "program in process", "highs": "HiGHS", "cbc": "CBC"}
    print("| problem | known | " + " | ".join(titles[column] for column in columns) + " |")
    print("| --- | --- | " + " | ".join("---" for _ in columns) + " |")
    wrongs = []
    for name, measure, known, kind, _, _ in problems():
        if args.only not in name:
            continue
        cells = []
        with tempfile.TemporaryDirectory() as folder:
            mps = written(args.binary, name, folder) if kind != "prep" and {"highs", "cbc"} & set(columns) else None
            for column in columns:
                if kind == "prep":
                    answer = prep(args.binary, name, args.seconds) if column == "search" else None
                elif column == "search":
                    answer = scant(args.binary, name, measure, args.seconds, [])
                elif column == "program":
                    answer = scant(args.binary, name, measure, args.seconds, ["--engine", "program"])
                elif mps is None:
                    answer = ("not written", None, None, 0)
                else:
                    answer = {"highs": highs, "cbc": cbc}[column](mps, args.seconds)
                if answer is None:
                    cells.append("")
                    continue
                cell, wrong = judged(answer, measure, known, 1)
                if wrong:
                    wrongs.append(f"{name}: {column}")
                    cell = "WRONG: " + cell
                cells.append(cell)
        word = {"impossible": "impossible"}.get(measure, f"{known} {measure}" if measure != "objective" else known)
        word = f"{known} minutes" if measure == "prep" else word
        print(f"| {name} | {word} | " + " | ".join(cells) + " |", flush=True)
    if wrongs:
        print("WRONG: " + ", ".join(wrongs))
    return 1 if wrongs else 0


if __name__ == "__main__":
    sys.exit(main())
