"""Runs the published problems (`fixtures/published`) through everything that can answer them.

    .venv/bin/pip install highspy           # and Debian's coinor-cbc; what is missing is left out, and said
    cargo build --release
    .venv/bin/python benches/published.py [--seconds N] [--only PART,PART] [--binary PATH] [--without highs,cbc,program]

One line a problem, as a table: what is known; the search (`scant week --brief`, the whole command, one thread); the program
in process (`--engine program`); HiGHS (PyPI highspy, one thread) and CBC on the file that `scant program --mps` writes.

Seconds are of processor time, of one run on one thread: what else the machine does hardly moves them. Each gets N of them
(10); then the search is sent SIGTERM, which asks for the best so far, and killed if it goes on for another N. Linux only.

What is proved must be what is known: otherwise the line says WRONG and the run ends with 1. A solver without proof is
not wrong unless its bound is above what is known.
"""

import argparse
import json
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
FOLDER = os.path.join(ROOT, "fixtures", "published")
NEAR = 1e-3


def problems():
    with open(os.path.join(FOLDER, "problems.tsv"), encoding="utf-8") as file:
        for row in file:
            if not row.startswith("#"):
                yield row.split("\t")[:3]


TICKS = os.sysconf("SC_CLK_TCK")


def used(pid):
    """Seconds of processor time of a process that runs."""
    with open(f"/proc/{pid}/stat", encoding="utf-8") as file:
        fields = file.read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def timed(command, seconds, whole=False):
    """What a command printed, whether it was stopped, and its seconds of processor time up to its word on standard
    error that something is proved, else (or if `whole`) to its end. It is asked to stop at `seconds`, and killed at twice that or long
    after by the clock."""
    with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as err:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        run = subprocess.Popen(command, stdout=out, stderr=err)
        begun = time.monotonic()
        asked = killed = False
        proved = None
        while run.poll() is None:
            time.sleep(0.02)
            now = used(run.pid) if run.poll() is None else 0
            if not whole and proved is None and os.fstat(err.fileno()).st_size and "\nproved " in "\n" + os.pread(err.fileno(), 1 << 20, 0).decode():
                proved = now
            if now >= seconds and not asked:
                asked = True
                run.send_signal(signal.SIGTERM)
            if now >= 2 * seconds or time.monotonic() - begun > 60 * seconds:
                killed = True
                run.kill()
                run.wait()
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        took = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        out.seek(0)
        err.seek(0)
        return out.read(), err.read(), asked, killed, proved or took


def scant(binary, name, seconds, more):
    """Outcome, value, bound, seconds."""
    command = [binary, "week", os.path.join(FOLDER, name), "--brief", "--threads", "1", "--format", "json", *more]
    out, err, asked, killed, took = timed(command, seconds)
    if killed:
        return "killed", None, None, took
    try:
        told = json.loads(out)
    except ValueError:
        if "finds no week" in err:
            return "impossible by its own word", None, None, took
        return ("no answer" if asked or "not done" in err else "failed: " + " ".join(err.split())[-80:]), None, None, took
    outcome, value = told["outcome"], told["objective"] and told["objective"]["total"]
    if more and outcome == "good" and not asked:
        outcome = "best by its own word"
    return outcome, value, told["bound"] if outcome != "impossible" else None, took


def prep(binary, name, seconds):
    command = [binary, "prep", os.path.join(FOLDER, name), "--threads", "1", "--format", "json"]
    out, _, _, killed, took = timed(command, seconds, whole=True)
    if killed:
        return "killed", None, None, took
    told = json.loads(out)
    return ("best" if told["proved"] else "good"), told["minutes"], told["bound"], took


def written(binary, name, folder):
    mps = os.path.join(folder, name + ".mps")
    run = subprocess.run([binary, "program", os.path.join(FOLDER, name), "--mps", mps], capture_output=True, check=False)
    return mps if run.returncode == 0 else None


def highs(mps, seconds):
    import highspy

    solver = highspy.Highs()
    solver.silent()
    for option, value in {"mip_rel_gap": 0.0, "mip_abs_gap": 1e-6, "threads": 1, "time_limit": 60.0 * seconds}.items():
        solver.setOptionValue(option, value)
    start = time.process_time()

    def watch(event):
        if time.process_time() - start > seconds:
            event.interrupt()

    for callback in (solver.cbMipInterrupt, solver.cbSimplexInterrupt):
        callback.subscribe(watch)
    solver.readModel(mps)
    solver.run()
    took = time.process_time() - start
    status, info = solver.getModelStatus(), solver.getInfo()
    if status == highspy.HighsModelStatus.kOptimal:
        return "best", info.objective_function_value, info.objective_function_value, took
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return "impossible", None, None, took
    found = info.objective_function_value if info.primal_solution_status == 2 else None
    return "good", found, info.mip_dual_bound, took


def cbc(mps, seconds):
    text, _, _, killed, took = timed(
        ["cbc", mps, "-ratio", "0", "-allow", "1e-6", "-timeMode", "cpu", "-sec", str(seconds), "-solve"], seconds + 2
    )
    if killed:
        return "killed", None, None, took
    value = re.search(r"^Objective value:\s+(\S+)", text, re.M)
    bound = re.search(r"^Lower bound:\s+(\S+)", text, re.M)
    if "Result - Optimal solution found" in text:
        return "best", float(value.group(1)), float(value.group(1)), took
    if "infeasible" in text and not value:
        return "impossible", None, None, took
    return "good", float(value.group(1)) if value else None, float(bound.group(1)) if bound else None, took


def judged(answer, measure, known):
    """A cell, and whether it is wrong."""
    outcome, value, bound, took = answer
    if outcome.startswith("best"):
        wrong = measure == "impossible" or abs(value - float(known)) > NEAR
        return f"{value:.10g}{' proved' if outcome == 'best' else ''}, {took:.2f} s", wrong
    if outcome.startswith("impossible"):
        return f"impossible, {took:.2f} s", measure != "impossible"
    if outcome in ("good", "out_of_time"):
        best = "no week" if value is None or abs(value) > 1e29 else f"{value:.10g}"
        least = "" if bound is None or abs(bound) > 1e29 else f", bound {bound:.10g}"
        wrong = measure != "impossible" and bound is not None and bound > float(known) + NEAR and bound < 1e29
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
    for name, measure, known in problems():
        if not any(part in name for part in args.only.split(",")):
            continue
        cells = []
        with tempfile.TemporaryDirectory() as folder:
            mps = written(args.binary, name, folder) if measure != "prep" and {"highs", "cbc"} & set(columns) else None
            for column in columns:
                if measure == "prep":
                    answer = prep(args.binary, name, args.seconds) if column == "search" else None
                elif column == "search":
                    answer = scant(args.binary, name, args.seconds, [])
                elif column == "program":
                    answer = scant(args.binary, name, args.seconds, ["--engine", "program"])
                elif mps is None:
                    answer = ("not written", None, None, 0)
                else:
                    answer = {"highs": highs, "cbc": cbc}[column](mps, args.seconds)
                if answer is None:
                    cells.append("")
                    continue
                cell, wrong = judged(answer, measure, known)
                if wrong:
                    wrongs.append(f"{name}: {column}")
                    cell = "WRONG: " + cell
                cells.append(cell)
        word = {"impossible": "impossible", "prep": f"{known} minutes"}.get(measure, known)
        print(f"| {name} | {word} | " + " | ".join(cells) + " |", flush=True)
    if wrongs:
        print("WRONG: " + ", ".join(wrongs))
    return 1 if wrongs else 0


if __name__ == "__main__":
    sys.exit(main())
