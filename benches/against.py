"""Times the search against two general solvers, in one run, on the same pools.

    .venv/bin/pip install highspy ortools
    cargo bench --no-run && cargo build --release
    .venv/bin/python benches/against.py [--seconds N] [--pools FAMILY:RECIPES:FOODS:DAYS:SEED,...]

For each pool the turns alternate: the search (`scant week --brief`, the whole command), HiGHS (PyPI
highspy) on the program that `scant program --mps` writes, and CP-SAT (PyPI ortools) on the same
file. Two threads each. The search is run three times and its median taken; the others once. A
solver that runs out of its limit gives a lower bound of the ratio, and the gap it had left.

Two proven optima that differ by more than a thousandth of a minor unit end the run with 1
(by more than 0.05 where a lunch may be divided over two batches: the program then shares in
fractions of a milligram, the search in whole ones). CP-SAT rounds what is not whole: its optimum
is compared within the slack it reports, and only mentioned.
"""

import argparse
import glob
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
THREADS = 2
USUAL = "plain:50:80:5:1,plain:150:80:5:1,full:12:40:5:1,full:20:40:5:1,full:50:80:5:1,full:150:80:5:1"
LOOSE = 0.05


def newest(pattern):
    found = [path for path in glob.glob(pattern) if os.access(path, os.X_OK) and "." not in os.path.basename(path)]
    if not found:
        sys.exit(f"nothing built at {pattern}: see the head of this file")
    return max(found, key=os.path.getmtime)


def search(binary, folder):
    times = []
    for _ in range(3):
        start = time.monotonic()
        run = subprocess.run(
            [binary, "week", folder, "--brief", "--threads", str(THREADS), "--format", "json"],
            capture_output=True,
            check=False,
        )
        times.append(time.monotonic() - start)
    told = json.loads(run.stdout)
    total = told["objective"]["total"] if told.get("objective") else None
    return told["outcome"], total, statistics.median(times)


def highs(mps, seconds):
    """Returns outcome, objective, bound and seconds."""
    import highspy

    solver = highspy.Highs()
    solver.silent()
    for name, value in {
        "time_limit": float(seconds),
        "mip_rel_gap": 0.0,
        "mip_abs_gap": 1e-6,
        "threads": THREADS,
    }.items():
        solver.setOptionValue(name, value)
    solver.readModel(mps)
    start = time.monotonic()
    solver.run()
    took = time.monotonic() - start
    status = solver.getModelStatus()
    info = solver.getInfo()
    if status == highspy.HighsModelStatus.kOptimal:
        return "best", info.objective_function_value, info.mip_dual_bound, took
    if status == highspy.HighsModelStatus.kInfeasible:
        return "impossible", None, None, took
    return "out of time", info.objective_function_value, info.mip_dual_bound, took


def sat(mps, seconds):
    """Returns outcome, objective, bound and seconds."""
    from ortools.linear_solver.python import model_builder

    model = model_builder.Model()
    if not model.import_from_mps_file(mps):
        return "cannot read it", None, None, 0.0
    solver = model_builder.Solver("sat")
    solver.set_time_limit_in_seconds(seconds)
    solver.set_solver_specific_parameters(f"num_workers:{THREADS}")
    start = time.monotonic()
    status = solver.solve(model)
    took = time.monotonic() - start
    words = {
        model_builder.SolveStatus.OPTIMAL: "best",
        model_builder.SolveStatus.INFEASIBLE: "impossible",
    }
    outcome = words.get(status, "out of time")
    if outcome == "impossible" or status not in (
        model_builder.SolveStatus.OPTIMAL,
        model_builder.SolveStatus.FEASIBLE,
    ):
        return outcome, None, None, took
    return outcome, solver.objective_value, solver.best_objective_bound, took


def told(name, outcome, value, bound, took, ours):
    ratio = took / ours
    if outcome in ("best", "impossible"):
        return f"{name} {took:.2f} s, {ratio:,.0f} times"
    if value is None or bound is None or value > 1e29:
        return f"{name} {outcome} at {took:.0f} s, no week yet, over {ratio:,.0f} times"
    return f"{name} {outcome} at {took:.0f} s, gap {value - bound:.2f} minor units, over {ratio:,.0f} times"


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--seconds", type=int, default=300)
    ask.add_argument("--pools", default=USUAL)
    ask.add_argument("--without-sat", action="store_true")
    args = ask.parse_args()
    binary = os.path.join(ROOT, "target/release/scant")
    pools = newest(os.path.join(ROOT, "target/release/deps/pools-*"))
    wrong = 0
    for pool in args.pools.split(","):
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run([pools, "write", *pool.split(":"), folder], check=True)
            mps = os.path.join(folder, "week.mps")
            outcome, ours, took = search(binary, folder)
            subprocess.run([binary, "program", folder, "--mps", mps], check=True, capture_output=True)
            line = [f"{pool}: search {outcome} {took:.3f} s"]
            their, value, bound, seconds = highs(mps, args.seconds)
            line.append(told("HiGHS", their, value, bound, seconds, took))
            if their in ("best", "impossible") and outcome in ("best", "impossible"):
                slack = 1e-3 if pool.startswith("plain") else LOOSE
                if their != outcome or (their == "best" and abs(value - ours) > slack):
                    wrong += 1
                    line.append(f"DISAGREES: {their} {value} against {ours}")
            elif bound is not None and ours is not None and bound > ours + 1e-3:
                wrong += 1
                line.append(f"DISAGREES: bound {bound} above {ours}")
            if not args.without_sat:
                their, value, bound, seconds = sat(mps, args.seconds)
                line.append(told("CP-SAT", their, value, bound, seconds, took))
                if value is not None and their == "best" and abs(value - ours) > LOOSE:
                    line.append(f"CP-SAT, rounding, says {value:.3f} against {ours:.3f}")
            print("\n  ".join(line), flush=True)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
