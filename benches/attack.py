"""A campaign of hard use: kitchens, weeks, pages, plans, kills, signals and odd environments.

    cargo build --release
    python3 benches/attack.py [--seconds N | --cases N] [--seed S] [--parts kitchens,weeks,...]
    python3 benches/attack.py --self-test       # are planted faults seen?
    python3 benches/attack.py --again weeks:1:57    # one case by its name

Every case has a name, PART:SEED:NUMBER, and comes out the same whenever it is asked for again. A
case that breaks something is shrunk (lines and entries left out, then bytes, for as long as the same
thing breaks) and written to a folder of its own below `--out` with its command and what was said.
Exit code 0: nothing broke, 1: something did, 2: nothing was tried.

Parts:
  kitchens  kitchens of the fixtures changed by entries, by lines and by bytes: `check`, then `week`
            and the commands that write; documented exit codes, no panic, every fault names a line
            that exists and has a remedy, time and memory watched
  weeks     kitchens changed in what they mean; each week judged by attack_judge.py, which knows
            nothing of the program; the same answer by any number of threads
  pages     `import` of changed pages and folders: what it writes, `check` reads
  plans     `--after` with changed plans
  kills     SIGKILL at every system call of every way of writing (needs strace): old or new, whole,
            and the next run does as if nothing had been
  signals   SIGINT, SIGTERM, SIGHUP at random moments of every command; how long until the end
  odd       closed and full streams, folders without rights, missing variables, odd languages, huge
            argument lists, few files, small files, little memory
"""

import argparse
import base64
import copy
import hashlib
import json
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict

sys.dont_write_bytecode = True
import attack_judge as judge  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
FIXTURES = os.path.join(ROOT, "fixtures")
PARTS = ["kitchens", "weeks", "pages", "plans", "kills", "signals", "odd"]
# Documented in README; 4 is the program's own fault and never right.
CODES = {"check": {0, 2}, "import": {0, 2}, "start": {0, 2}, "shell": {0, 2}, "schema": {0, 2}, "foods": {0, 2}}
SEARCH = {0, 1, 2, 3}
MEMORY = 1 << 30            # Resident bytes no small kitchen may need.
ADDRESSES = 6 << 30         # Where a runaway is stopped.
REFUSE = 20.0               # Processor seconds within which anything is refused.


# ---------------------------------------------------------------- running

class Run:
    def __init__(self, code, out, err, seconds, cpu, memory, ended):
        self.code, self.out, self.err = code, out, err
        self.seconds, self.cpu, self.memory, self.ended = seconds, cpu, memory, ended

    @property
    def said(self):
        return self.err.decode("utf-8", "replace")


def limits():
    # A shell starts what is in the background with SIGINT ignored, and what is ignored stays so.
    for name in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(name, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESSES, ADDRESSES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def run(command, folder, seconds=120.0, **more):
    """Runs a command to its end, or ends it after so many seconds: many, as others work too."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        options = {"stdin": subprocess.DEVNULL, "stdout": out, "stderr": err, "preexec_fn": limits, **more}
        begun = time.monotonic()
        child = subprocess.Popen(command, cwd=folder, **options)
        ended = True
        while True:
            pid, status, used = os.wait4(child.pid, os.WNOHANG)
            if pid:
                break
            if time.monotonic() - begun > seconds and ended:
                ended = False
                child.kill()
            time.sleep(0.002)
        child.returncode = os.waitstatus_to_exitcode(status)
        took = time.monotonic() - begun
        read = []
        for file in (out, err):
            file.seek(0)
            read.append(file.read(64 << 20))
        return Run(child.returncode, *read, took, used.ru_utime + used.ru_stime, used.ru_maxrss << 10, ended)


def examine(ran, command, files=None, limit=None):
    """What any run must keep: codes, no panic, an end, little memory, lines that exist."""
    found, word = [], command[1] if len(command) > 1 else ""
    shown = " ".join(command[1:3])
    if not ran.ended:
        found.append(f"no end: {shown} after {ran.seconds:.0f} s")
        return found
    if re.search(rb"panicked|our fault|RUST_BACKTRACE|overflow", ran.err.replace(b"4 our fault.", b"")) or ran.code == 4:
        found.append(f"panic: {shown}: {ran.said[:300]}")
    if ran.code not in CODES.get(word, SEARCH):
        found.append(f"exit code: {shown}: {ran.code}: {ran.said[-300:]}")
    if ran.memory > MEMORY:
        found.append(f"memory: {shown}: {ran.memory >> 20} MiB")
    if limit is None and ran.code == 2 and ran.cpu > REFUSE:
        found.append(f"slow: {shown}: {ran.cpu:.1f} s to refuse")
    if limit is not None and ran.seconds > limit + 15:
        found.append(f"late: {shown}: {ran.seconds:.1f} s with --limit {limit}")
    text = ran.said + (ran.out.decode("utf-8", "replace") if word != "week" else "")
    odd = re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e]", text)
    if odd and word in ("check", "week", "import"):
        found.append(f"raw character: {shown}: {odd.group()!r} in {text[max(0, odd.start() - 60):odd.end() + 20]!r}")
    if files is not None:
        found += faults(text, files)
    return found


def faults(text, files):
    """Every fault names a file and line that exist; every message has a remedy."""
    found = []
    for name, line in re.findall(r"^ *,-\[([^\n]*?):(\d+):\d+\]", text, re.M):
        inside = [path for path in files if path.endswith(name)]
        if not inside:
            found.append(f"names a file that is not there: {name}")
        elif int(line) > max(len(re.split(rb"\r\n|\n|\r|\xc2\x85|\xe2\x80[\xa8\xa9]", files[path])) for path in inside) + 1:
            found.append(f"names a line that is not there: {name}:{line}")
    for message in re.split(r"(?m)^  x ", text)[1:]:
        if "help:" not in message:
            found.append(f"no remedy: {message[:200]}")
    return found


def processor(pid):
    """Processor seconds a child has used so far; none once it is gone."""
    try:
        with open(f"/proc/{pid}/stat", encoding="ascii", errors="replace") as file:
            cells = file.read().rsplit(")", 1)[1].split()
    except FileNotFoundError:
        return 0.0
    return (int(cells[11]) + int(cells[12])) / os.sysconf("SC_CLK_TCK")


def remedies(ran):
    """Every fault told in a line of its own says behind a semicolon what to do."""
    told = re.findall(r"(?m)^fault: .*$", ran.said)
    if ran.code == 2 and not told and "Usage:" not in ran.said:
        return [f"no reason: {ran.said[:300]}"]
    return [f"no remedy: {line[:300]}" for line in told if "; " not in line]


class Place:
    """A folder with files in it, gone afterwards."""

    def __init__(self, files):
        self.files = files

    def __enter__(self):
        self.path = tempfile.mkdtemp(prefix="attack-")
        for name, data in self.files.items():
            path = os.path.join(self.path, name)
            os.makedirs(os.path.dirname(path), exist_ok=True)
            with open(path, "wb") as file:
                file.write(data)
        return self.path

    def __exit__(self, *_):
        shutil.rmtree(self.path, ignore_errors=True)


def everything(folder):
    found = {}
    for base, folders, files in os.walk(folder):
        for name in folders:
            found[os.path.relpath(os.path.join(base, name), folder)] = None
        for name in files:
            with open(os.path.join(base, name), "rb") as file:
                found[os.path.relpath(os.path.join(base, name), folder)] = file.read()
    return found


# ---------------------------------------------------------------- kitchens to begin with

def folder_files(folder):
    found = {}
    for name in sorted(os.listdir(folder)):
        with open(os.path.join(folder, name), "rb") as file:
            found["kitchen/" + name] = file.read()
    return found


class Sources:
    """The fixtures' kitchens as files and as trees."""

    def __init__(self):
        stored = sorted(os.listdir(os.path.join(FIXTURES, "stored")))
        self.folders = [os.path.join(FIXTURES, "stored", name) for name in stored]
        self.folders += [os.path.join(FIXTURES, name) for name in ("boatyard", "school-visit")]
        self.broken = [os.path.join(base, "") for base, _, files in os.walk(os.path.join(FIXTURES, "broken"))
                       if any(name.endswith((".yaml", ".yml")) for name in files)]
        self.trees = [judge.read_folder(folder) for folder in self.folders]
        self.words = sorted({word for tree in self.trees for word in names_of(tree)})


def names_of(tree):
    for kind in ("food", "component", "recipe"):
        for entry in tree.get(kind + "s") or []:
            if isinstance(entry, dict) and isinstance(entry.get(kind), str):
                yield entry[kind]


# ---------------------------------------------------------------- changes without sense

NUMBERS = ["0", "1", "-1", "2", "3", "0.001", "0.0005", "1e9", "999999999999", "1000000000000", "9223372036854775807",
           "9223372036854775808", "-9223372036854775808", "1/0", "1/3", "0/5", "100000", "100001", "1.5", "00012", "NaN", ".inf", "3650", "3651"]
UNITS = ["g", "kg", "mg", "cup", "tbsp", "tsp", "piece", "pack", "unit", "oz", "lb", "ml", "l", "slices", "", "GRAMS", "furlong"]
WORDS = ["true", "false", "~", "null", "Sunday", "monday", "foods", "week", "lunch", "0..3", "3..0", "61 %", "1000 kg", "1 mg",
         "ſ", "ı", "İ", "\u00e9", "e\u0301", "e" + "\u0301" * 40, "日本", "\U0001f955", "\u202eabc", "\u200b", "\ufeff", "\x1b[2J", "\x07",
         "a" * 300, "a" * 301, "a" * 5001, "'", '"', "#", ": ", "- ", "&a", "*a", "!x", "{", "}", "[", "]", "|", ">", "%", "@", "`", "\\u0000", "\u2028", "\u0085", "\r"]


def number_for(rng):
    if rng.random() < 0.6:
        return rng.choice(NUMBERS)
    return str(rng.choice([rng.randint(0, 20), rng.randint(0, 10**rng.randint(1, 13)), round(rng.uniform(0, 100), rng.randint(0, 7))]))


def junk(rng):
    kind = rng.randrange(4)
    if kind == 0:
        return number_for(rng)
    if kind == 1:
        return f"{number_for(rng)} {rng.choice(UNITS)}"
    if kind == 2:
        return rng.choice(WORDS)
    return "".join(chr(rng.choice([rng.randint(32, 126), rng.randint(160, 0x2fff), rng.randint(0, 0x1ffff)]))
                   for _ in range(rng.randint(1, 8))).encode("utf-8", "replace").decode()


def spots(tree, path=()):
    """All places of a tree: (container, key)."""
    items = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in list(items):
        yield tree, key
        yield from spots(value, path + (key,))


def wild(rng, tree, words):
    """Changes a tree in some place, whatever that does to its sense."""
    for _ in range(rng.choice([1, 1, 1, 2, 3, 6])):
        places = list(spots(tree))
        if not places:
            return
        holder, key = rng.choice(places)
        kind = rng.randrange(11)
        if kind == 0:
            del holder[key]
        elif kind == 1 and isinstance(holder, list):
            for _ in range(rng.choice([1, 1, 2, 40])):
                holder.insert(key, copy.deepcopy(holder[key]))
        elif kind == 1:
            holder[key + rng.choice(["s", "_", "2", " "])] = copy.deepcopy(holder[key])
        elif kind == 2:
            other, there = rng.choice(places)
            holder[key], other[there] = copy.deepcopy(other[there]), copy.deepcopy(holder[key])
        elif kind == 3:
            holder[key] = junk(rng)
        elif kind == 4 and isinstance(holder[key], str):
            text = holder[key]
            match = re.search(r"\d+(\.\d+)?", text)
            holder[key] = text[:match.start()] + number_for(rng) + text[match.end():] if match else junk(rng)
        elif kind == 5 and isinstance(holder[key], str):
            match = re.match(r"([\d./ ]+)\w+", holder[key])
            holder[key] = (match.group(1) + " " if match else holder[key] + " ") + rng.choice(UNITS)
        elif kind == 6 and isinstance(holder, dict):
            holder[rng.choice([junk(rng), key.upper(), rng.choice(words)])] = holder.pop(key)
        elif kind == 7:
            value = holder[key]
            for _ in range(rng.choice([1, 1, 2, 31, 200])):
                value = [value] if rng.random() < 0.5 else {"x": value}
            holder[key] = value
        elif kind == 8:
            holder[key] = rng.choice(words)
        elif kind == 9 and isinstance(holder[key], str) and holder[key]:
            at = rng.randrange(len(holder[key]) + 1)
            holder[key] = holder[key][:at] + rng.choice(WORDS) + holder[key][at:]
        elif isinstance(holder[key], str):
            holder[key] = rng.choice([holder[key].upper(), holder[key] + " ", "  " + holder[key], holder[key] * 2, ""])
        else:
            holder[key] = rng.choice([{}, [], "", holder[key]])


def by_lines(rng, data, other):
    lines = data.split(b"\n")
    for _ in range(rng.choice([1, 1, 2, 4, 10])):
        at = rng.randrange(len(lines))
        kind = rng.randrange(9)
        if kind == 0 and len(lines) > 1:
            del lines[at:at + rng.choice([1, 1, 2, 5])]
            lines = lines or [b""]
        elif kind == 1:
            lines[at:at] = [lines[at]] * rng.choice([1, 1, 3, 200])
        elif kind == 2:
            to = rng.randrange(len(lines))
            lines[at], lines[to] = lines[to], lines[at]
        elif kind == 3:
            lines[at] = b" " * rng.choice([1, 2, 4, 60]) + lines[at]
        elif kind == 4:
            lines[at] = lines[at].lstrip(b" ") if rng.random() < 0.5 else lines[at][1:]
        elif kind == 5:
            lines[at] = re.sub(rb"\d+(\.\d+)?", lambda _: number_for(rng).encode(), lines[at], count=1)
        elif kind == 6:
            before, colon, _ = lines[at].partition(b":")
            lines[at] = before + colon + b" " + junk(rng).encode("utf-8", "replace")
        elif kind == 7:
            lines.insert(at, rng.choice(other.split(b"\n")))
        else:
            cut = rng.randrange(len(lines[at]) + 1)
            lines[at] = lines[at][:cut] + rng.choice([b"[", b"]", b"{", b"}", b",", b":", b"- ", b"#", b'"', b"'", b"\t", b"&a ", b"*a", b"!!str ", b"<<: "]) + lines[at][cut:]
    return b"\n".join(lines)


def by_bytes(rng, data):
    data = bytearray(data)
    for _ in range(rng.choice([1, 1, 2, 5, 20, 100])):
        at = rng.randrange(len(data) + 1)
        kind = rng.randrange(6)
        if kind == 0 and data:
            data[min(at, len(data) - 1)] = rng.randrange(256)
        elif kind == 1:
            del data[at:at + rng.choice([1, 1, 4, 50])]
        elif kind == 2:
            data[at:at] = bytes(rng.randrange(256) for _ in range(rng.choice([1, 1, 3])))
        elif kind == 3:
            data[at:at] = rng.choice([b"\xff\xfe", b"\xef\xbb\xbf", b"\x00", b"\xc0\x80", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\r\n", b"\x1b]52;c;YQ==\x07", b"\xe2\x80\xae"])
        elif kind == 4:
            piece = bytes(data[at:at + rng.randint(1, 200)])
            data[at:at] = piece * rng.choice([1, 1, 3])
        else:
            del data[at:]
    return bytes(data)


# ---------------------------------------------------------------- changes with sense

def some(rng, entries):
    return rng.choice(entries) if entries else None


def scaled(rng, text, low=0.2, high=4.0):
    """A quantity or price, changed; of prices by shop each."""
    if isinstance(text, dict):
        return {shop: scaled(rng, price, low, high) for shop, price in text.items()}
    match = re.match(r"(\d+(?:\.\d+)?)( .*)?\Z", text)
    if not match:
        return text
    value = float(match.group(1)) * rng.uniform(low, high)
    digits = 0 if "." not in match.group(1) and value >= 5 else 2
    return f"{max(value, 10**-digits):.{digits}f}{match.group(2) or ''}"


def amounts(tree):
    for recipe in tree.get("recipes") or []:
        for line in recipe["lines"]:
            yield from (line.get("one_of") or [line])
    for component in tree.get("components") or []:
        yield from component["from"]


def counted(tree):
    return [food for food in tree["foods"] if food.get("staple") != "true"]


def change(rng, tree):
    """Changes what a kitchen means, so that it mostly stays sound."""
    rules, aims, week = (tree.setdefault(key, {}) for key in ("rules", "aims", "week"))
    rules, aims, week = (tree[key] if isinstance(tree[key], dict) else tree.update({key: {}}) or tree[key] for key in ("rules", "aims", "week"))
    packs = [pack for food in counted(tree) for pack in food["packs"]]
    components, recipes = tree.get("components") or [], tree["recipes"]
    lunches = int(week.get("lunches", "5"))
    kind = rng.randrange(30)
    # What makes a week impossible is asked for less often.
    while kind in (8, 12, 13, 14, 15, 17, 18, 19) and rng.random() < 0.6:
        kind = rng.randrange(30)
    if kind == 0:
        pack = some(rng, packs)
        price = lambda: f"{rng.choice([0.01, 0.05, rng.uniform(0.1, 9), rng.uniform(5, 90)]):.2f}"
        shops = [shop["shop"] for shop in week.get("shops") or []]
        sold = rng.sample(shops, rng.randint(1, len(shops))) if shops and rng.random() < 0.8 else None
        pack["price"] = {shop: price() for shop in shops if shop in sold} if sold else price()
    elif kind == 1:
        pack = some(rng, packs)
        pack["size"] = scaled(rng, pack["size"])
    elif kind == 2:
        pack = some(rng, packs)
        if "keeps" in pack:
            pack["keeps"] = str(rng.choice([0, 1, 2, 3, 4, 5, 7, 9]))
            pack.pop("end", None)
            if rng.random() < 0.3:
                pack["end"] = str(int(pack["keeps"]) + rng.randint(0, 3))
        else:
            low = rng.randint(0, 3)
            pack["ready"] = f"{low}..{low + rng.randint(0, 5)}"
            pack.pop("end", None)
    elif kind == 3:
        pack = some(rng, packs)
        if pack.get("loose") != "true":
            pack["open_keeps"] = str(rng.choice([0, 0, 1, 1, 2, 3, 5]))
    elif kind == 4:
        some(rng, packs)["units"] = str(rng.choice([1, 2, 3, 4, 6]))
    elif kind == 5:
        food = some(rng, counted(tree))
        pack = copy.deepcopy(some(rng, food["packs"]))
        pack["pack"] = pack["pack"] + " again"
        pack["price"], pack["size"] = scaled(rng, pack["price"], 0.3, 2), scaled(rng, pack["size"], 0.3, 2)
        if len(food["packs"]) < 4 and all(other["pack"] != pack["pack"] for other in food["packs"]):
            food["packs"].append(pack)
    elif kind in (6, 7):
        item = some(rng, list(amounts(tree)))
        item["amount"] = scaled(rng, item["amount"], 0.3, 2.5)
    elif kind == 8:
        some(rng, list(amounts(tree)))["amount"] = rng.choice(["1/3 pack", "1/2 unit", "1 pack", "33.333 g", "1 mg", "100.001 g", "2 oz", "1/4 lb"])
    elif kind == 9:
        week["eaters"] = rng.choice(["1", "2", "4", "1.25", "0.5", "7", "0.333", ["1", "1", "1.25"], ["0.5", "0.75"],
                                     {"each_day": "2", "Wednesday": "3"}, {"each_day": ["1", "0.5"], "Friday": "0.001"}])
    elif kind == 10:
        lunches = rng.choice([1, 2, 3, 4, 5, 5, 6])
        week["lunches"] = str(lunches)
        week["carry_day"] = str(lunches + rng.choice([1, 2, 3, 3, 6, 20]))
    elif kind == 11:
        days = [str(day) for day in sorted(rng.sample(range(lunches), min(lunches, rng.choice([1, 1, 2, 3]))))]
        if "shops" in week:
            shop = some(rng, week["shops"])
            shop["days"] = days
            if rng.random() < 0.5:
                shop["trip_price"] = rng.choice(["0", "0.30", "1.50"])
        else:
            week["trips"] = days
        aims["trip_price"] = rng.choice(["0", "0.50", "2.00"])
    elif kind == 12:
        rules["cap"] = str(rng.choice([4, 6, 8, 9, 10, 11, 12, 15]))
        rules["cap_by"] = rng.choice(["foods", "families"])
    elif kind == 13:
        rules["budget"] = f"{rng.uniform(4, 40):.2f}"
    elif kind == 14:
        rules["minutes"] = rng.choice([str(rng.randint(10, 60)), {"each_day": str(rng.randint(8, 40)), "Sunday": str(rng.randint(20, 120))}])
    elif kind == 15:
        rules["per_form"] = str(rng.randint(1, 3))
        rules["form_adjacent"] = rng.choice(["true", "false"])
    elif kind == 16:
        rules[rng.choice(["per_protein", "repeats"])] = str(rng.randint(1, 3))
    elif kind == 17:
        rules[rng.choice(["sameness", "sameness_adjacent"])] = f"{rng.uniform(0.2, 1):.{rng.randint(1, 3)}f}"
    elif kind == 18:
        rule = {"nutrient": rng.choice(["protein", "fibre", "iron", "calcium", "vitamin_c"]), "per": rng.choice(["lunch", "week"]),
                "at_least": f"{rng.choice([1, 3, 5, 8, 12]) * rng.uniform(0.5, 1.5):.3f}", "source": "invented for this test"}
        if rng.random() < 0.4:
            rule = {"nutrient": rng.choice(["energy", "sodium", "fat"]), "per": rng.choice(["lunch", "week"]),
                    "at_most": f"{rng.uniform(20, 1200):.1f}", "source": "invented for this test"}
        rules.setdefault("nutrition", []).append(rule)
    elif kind == 19:
        rules[rng.choice(["without", "with"])] = [rng.choice(list(names_of(tree)))]
    elif kind == 20:
        food = some(rng, counted(tree))
        high = rng.choice([0, 1, 2, 3, 4, 6, 9, 30])
        unit = {"food": food["food"], "label": f"find {rng.randint(1, 99)}", "amount": f"{rng.randint(20, 600)} g", "good_until": str(high)}
        if rng.random() < 0.5:
            unit["opened"] = "true"
        elif rng.random() < 0.5:
            unit["open_keeps"] = str(rng.randint(0, 3))
            unit["ready_from"] = str(rng.randint(0, high))
            unit["end"] = str(high + rng.randint(0, 3))
        tree.setdefault("stock", []).append(unit)
    elif kind == 21:
        component = some(rng, components)
        if component:
            component["keeps"] = str(rng.choice([0, 0, 1, 2, 3, 4]))
    elif kind == 22:
        component = some(rng, components)
        if component:
            component["makes"] = scaled(rng, component["makes"], 0.3, 3)
            component["minutes"] = str(rng.choice([0, 1, 3.5, 8, 20]))
            if rng.random() < 0.5:
                component["portion"], component["minutes_per_portion"] = "130 g", rng.choice(["1", "0.333", "2.5"])
    elif kind == 23 and len(components) > 1:
        outer, inner = rng.sample(components, 2)
        outer["from"].append({"component": inner["component"], "amount": f"{rng.randint(10, 200)} g"})
    elif kind == 24:
        recipe = some(rng, recipes)
        line, item = some(rng, recipe["lines"]), some(rng, list(amounts(tree)))
        choices = line.get("one_of") or [line]
        if line.get("optional") != "true" and all((c.get("food"), c.get("component")) != (item.get("food"), item.get("component")) for c in choices):
            item = {key: value for key, value in item.items() if key in ("food", "component", "amount")}
            if item != {} and len(choices) < 5:
                both = [{key: value for key, value in c.items()} for c in choices] + [item]
                line.clear()
                line["one_of"] = both
    elif kind == 25:
        recipe = some(rng, recipes)
        recipe["days"] = [str(day) for day in rng.sample(range(1, lunches + 1), rng.randint(1, lunches))]
        recipe["minutes"] = str(rng.choice([0, 2, 5.5, 12, 30]))
    elif kind == 26:
        aims[rng.choice(["food_price", "minute_price"])] = f"{rng.uniform(0, 1):.2f}"
        aims["spoil_weight"] = f"{rng.choice([0, 0.5, 1, 2.125, 10])}"
        aims["carry_credit"] = f"{rng.choice([0, 0.3, 0.999])}"
    elif kind == 27:
        aims["order"] = rng.sample(["foods", "cost", "spoiled", "minutes"], rng.randint(1, 4))
    elif kind == 28:
        recipe = some(rng, recipes)
        whom = rng.choice([{"form": recipe["form"]}, {"recipe": recipe["recipe"]}])
        aims.setdefault("day_preferences", []).append({**whom, "days": [str(rng.randint(1, lunches))], "price": f"{rng.uniform(-2, 2):.2f}"})
    else:
        food = some(rng, tree["foods"])
        food["yield"] = f"{rng.choice([50, 61.5, 99.999, 100])} %"
        if rng.random() < 0.3:
            food["family"] = rng.choice(["roots", "Roots", "leaves"])


def fewer(rng, tree, keep):
    """Leaves so many recipes, and only what they need."""
    recipes = tree["recipes"]
    if len(recipes) > keep:
        tree["recipes"] = rng.sample(recipes, keep)
    wanted = set()
    components = {judge.same(c["component"]): c for c in tree.get("components") or []}

    def want(item):
        key = judge.same(item.get("food") or item.get("component"))
        if key in wanted:
            return
        wanted.add(key)
        for part in components[key]["from"] if "component" in item else []:
            want(part)

    for recipe in tree["recipes"]:
        for line in recipe["lines"]:
            for item in line.get("one_of") or [line]:
                want(item)
    tree["foods"] = [food for food in tree["foods"] if judge.same(food["food"]) in wanted]
    if components:
        tree["components"] = [c for name, c in components.items() if name in wanted]
    stock = [unit for unit in tree.get("stock") or [] if judge.same(unit["food"]) in wanted]
    tree.pop("stock", None)
    if stock:
        tree["stock"] = stock


# ---------------------------------------------------------------- parts

class Case:
    """Files, and a trial of them that returns what broke: a list of texts, kind first."""

    def __init__(self, files, trial, command):
        self.files, self.trial, self.command = files, trial, command


class Campaign:
    def __init__(self, options):
        self.scant = options.scant
        self.sources = Sources()
        self.counts = defaultdict(Counter)
        self.waits = defaultdict(list)
        self.plan = None

    def case(self, name):
        part, seed, number = name.split(":")
        return getattr(self, part)(random.Random(f"{part}:{seed}:{number}"), int(number))

    # -- kitchens

    def kitchens(self, rng, _):
        sources = self.sources
        kind = rng.random()
        if kind < 0.5:
            tree = copy.deepcopy(rng.choice(sources.trees))
            if rng.random() < 0.7:
                fewer(rng, tree, rng.randint(1, 8))
            if rng.random() < 0.3:
                change(rng, tree)
            else:
                wild(rng, tree, sources.words)
            try:
                files = {"kitchen/kitchen.yaml": judge.write_yaml(tree).encode("utf-8", "replace")}
            except RecursionError:
                files = {"kitchen/kitchen.yaml": b""}
        else:
            folder = rng.choice(sources.folders * 3 + sources.broken)
            files = folder_files(folder)
            name, other = rng.choice(list(files)), rng.choice(list(files))
            files[name] = by_bytes(rng, files[name]) if kind < 0.75 else by_lines(rng, files[name], files[other])
        extra = rng.choice([None] * 6 + [
            ["prep", "kitchen"], ["list", "kitchen", "--csv", "a.csv", "--left-csv", "b.csv"], ["sheet", "kitchen", "--out", "a.html"],
            ["calendar", "kitchen", "--monday", "2031-03-03", "--out", "a.ics"], ["recipes", "kitchen", "--json-ld", "a.json"],
            ["program", "kitchen", "--mps", "a.mps"], ["tradeoffs", "kitchen"], ["weeks", "2", "kitchen"], ["week", "kitchen", "--finish", "free"]])

        def trial(files):
            with Place(files) as folder:
                check = [self.scant, "check", "kitchen"]
                ran = run(check, folder)
                found = examine(ran, check, files)
                if ran.code != 0:
                    return found
                self.counts["kitchens"]["still sound"] += 1
                limit = 3
                command = [self.scant, *(extra or ["week", "kitchen", "--brief", "--format", "json"])]
                if command[1] != "program":
                    command += ["--limit", str(limit)]
                week = run(command, folder, seconds=limit + 40)
                found += examine(week, command, None, limit)
                if week.code == 2:
                    found.append(f"check says sound, {command[1]} refuses: {week.said[:300]}")
                if week.code in (0, 1, 3) and command[1] == "week" and not extra:
                    found += self.judged(files, week, "kitchens")
                if week.code == 0:
                    found += self.written(folder)
                left = [name for name in everything(folder) if ".scant-" in name]
                return found + [f"left behind: {name}" for name in left]

        return Case(files, trial, ["check", "kitchen", "then", *(extra or ["week"])])

    def written(self, folder):
        """Papers that were written are what their format asks, as far as can be seen here."""
        found = []
        for name, data in everything(folder).items():
            if name == "a.ics":
                for line in data.split(b"\r\n"):
                    if len(line) > 75:
                        found.append(f"calendar: a line of {len(line)} octets")
                    if re.search(rb"[\x00-\x08\x0a-\x1f\x7f]", line):
                        found.append(f"calendar: a control character in {line!r}")
            elif name == "a.json":
                json.loads(data)
                if b"<" in data:
                    found.append("json-ld: a raw <")
            elif name == "a.html" and re.search(rb"[\x00-\x08\x0b-\x1f]", data):
                found.append("page: a control character")
            elif name == "a.html":
                # One script of its own, which the page itself lets run by its hash, and no other.
                for script in re.findall(rb"<script[^>]*>(.*?)</script", data, re.S):
                    digest = base64.b64encode(hashlib.sha256(script).digest())
                    if b"'sha256-" + digest + b"'" not in data:
                        found.append("page: a script that is not the page's own")
                if len(re.findall(rb"<script", data)) > 1:
                    found.append("page: more than one script")
        return found

    def judged(self, files, ran, part):
        """What the judge says of a week; nothing where it cannot read the kitchen."""
        if ran.code == 3 and not ran.out and "no answer" in ran.said:
            # Ended by its own guard. On a busy machine that says nothing, so processor time decides.
            self.counts[part]["ended without an answer"] += 1
            return [f"deaf: {ran.cpu:.1f} s of work and no answer"] if ran.cpu > 10 else []
        try:
            plan = judge.read_plan(ran.out.decode())
        except ValueError as error:
            return [f"no JSON: {error}"]
        if plan.get("objective") is None:
            self.counts[part]["no week"] += 1
            return []
        try:
            trees = [judge.read_yaml(data.decode()) for name, data in sorted(files.items()) if name.startswith("kitchen/")]
            kitchen = judge.Kitchen(judge.merge(trees))
        except (judge.Unread, UnicodeDecodeError, RecursionError) as error:
            self.counts[part]["not read by the judge"] += 1
            self.counts["why not read"][str(error)[:60]] += 1
            return []
        self.counts[part]["judged"] += 1
        try:
            return ["judge: " + text for text in judge.judge(kitchen, plan)]
        except (KeyError, IndexError, TypeError) as error:
            return [f"judge: {type(error).__name__} {error}"]

    # -- weeks

    def weeks(self, rng, _):
        tree = copy.deepcopy(rng.choice(self.sources.trees))
        if len(tree["recipes"]) > 12 or rng.random() < 0.5:
            fewer(rng, tree, rng.randint(5, 12))
        for _ in range(rng.choice([1, 2, 3, 5, 8, 12])):
            change(rng, tree)
        if rng.random() < 0.15:
            tree["currency"] = rng.choice(["EUR", "KWD", "GBP"])
        files = {"kitchen/kitchen.yaml": judge.write_yaml(tree).encode()}
        again = rng.random() < 0.12

        def trial(files):
            with Place(files) as folder:
                limit = 6
                command = [self.scant, "week", "kitchen", "--brief", "--format", "json", "--limit", str(limit)]
                ran = run(command, folder, seconds=limit + 40)
                found = examine(ran, command, files, limit)
                self.counts["weeks"][f"exit {ran.code}"] += 1
                if ran.code not in (0, 1, 3):
                    return found
                found += self.judged(files, ran, "weeks")
                # What an impossible week could do instead is cut off by the limit.
                if again and ran.code == 0:
                    other = run([*command, "--threads", "1"], folder, seconds=limit + 40)
                    if other.code == 0:
                        self.counts["weeks"]["asked again with one thread"] += 1
                        one, two = (re.sub(rb'"effort":\s*\{[^}]*\}', b"", out) for out in (ran.out, other.out))
                        if one != two:
                            found.append("threads: another answer with one thread")
                return found

        return Case(files, trial, ["week", "kitchen", "--brief", "--format", "json", "--limit", "6"])

    # -- pages

    PAGE = {"@context": "https://schema.org", "@graph": [{"@type": "WebPage", "name": "x"}, {
        "@type": ["Recipe"], "name": "Slipway lentils", "description": "A bowl.", "recipeYield": ["4", "4 servings"],
        "recipeCategory": "soup", "recipeIngredient": ["1 cup red lentils", "1 1/2 tbsp olive oil", "200 g carrots, grated", "salt", "½ tsp cumin"],
        "prepTime": "PT10M", "totalTime": "PT40M", "keywords": "soup, red", "suitableForDiet": "https://schema.org/VeganDiet",
        "recipeInstructions": [{"@type": "HowToSection", "name": "Pot", "itemListElement": [{"@type": "HowToStep", "text": "Simmer 20 minutes."}]}, "Serve."]}]}
    AMOUNTS = ["1 cup", "1/0 cup", "99999999999999999999 g", "1-2 tbsp", "1 (14 oz) tin", "0 g", "½", "1½ 1/2", "a pinch of", "1 lb 2 oz", "１２ g", "-3 g", "1e9 kg", "1 ⅔ cups"]

    def pages(self, rng, _):
        if rng.random() < 0.2:
            return self.central(rng)
        tree = copy.deepcopy(self.PAGE)
        recipe = tree["@graph"][1]
        for _ in range(rng.choice([0, 1, 2, 5])):
            lines = recipe["recipeIngredient"]
            lines[rng.randrange(len(lines))] = f"{rng.choice(self.AMOUNTS)} {rng.choice(self.sources.words + WORDS)}"
        if rng.random() < 0.3:
            recipe["name"] = rng.choice(WORDS)
        if rng.random() < 0.3:
            tree["@graph"].append(copy.deepcopy(recipe))
        if rng.random() < 0.6:
            wild(rng, tree, list(recipe) + ["Recipe", "HowToStep", "PT999999999H", "P1Y"])
        text = json.dumps(tree, ensure_ascii=rng.random() < 0.5)
        if rng.random() < 0.3:
            text = re.sub(r'"(?=[,\]}])', lambda m: rng.choice(['"', '"', '"', "\\ud800\"", "\\u0000\"", "\\u202e\""]), text)
        data = text.encode("utf-8", "surrogatepass")
        if rng.random() < 0.6:
            head = rng.choice([b'<script type="application/ld+json">', b"<SCRIPT type='application/ld+json' x>", b'<script type="application/ld+json"><!--'])
            data = b"<!doctype html><html><head>" + head + data + b"</script></head><body>" + rng.choice([b"", b"<script>x</script>", b"<p" * 50]) + b"</body></html>"
        if rng.random() < 0.4:
            data = by_bytes(rng, data)
        files = {"page": data}

        def trial(files):
            with Place(files) as folder:
                command = [self.scant, "import", "page", "--out", "new.yaml"]
                ran = run(command, folder)
                found = examine(ran, command)
                path = os.path.join(folder, "new.yaml")
                if ran.code == 2:
                    found += remedies(ran)
                    if os.path.exists(path):
                        found.append("half written: refused, and a file is there")
                if ran.code != 0:
                    return found
                self.counts["pages"]["read"] += 1
                with open(path, "rb") as file:
                    return found + self.read_back(file.read())

        return Case(files, trial, ["import", "page", "--out", "new.yaml"])

    # What an imported recipe may leave to the cook.
    LEFT = re.compile(r"has no recipes|has no lines|no line|lines` is|`form`|at least one|nothing says what a volume|is not a measure of|stands twice|once|is taken already|"
                      r"more than 1000 kg|less than a milligram|`lines`|no value|is empty|pack", re.I)

    def read_back(self, text):
        """A kitchen with every food the recipes name: `check` finds nothing but what was left to the cook."""
        names = {json.loads(quoted) for quoted in re.findall(r'^      - \{ food: ("(?:[^"\\]|\\.)*")', text.decode(), re.M)}
        foods = {}
        for name in names:
            foods.setdefault(judge.same(name), name)
        table = judge.table()
        entries = []
        for key, name in foods.items():
            row = json.dumps(key) if key in table else '"20036"'
            entries.append(f"  - food: {json.dumps(name)}\n    table: {row}\n    measures: {{ cup: 150 g, piece: 100 g }}\n"
                           "    packs: [{ pack: bag, size: 500 g, price: 1.00, keeps: 9, open_keeps: 9 }]\n")
        kitchen = "currency: USD\nfoods:\n" + ("".join(entries) or '  - { food: x, table: "20036", packs: [{ pack: bag, size: 500 g, price: 1.00, keeps: 9, open_keeps: 9 }] }\n')
        with Place({"k/new.yaml": text, "k/own.yaml": kitchen.encode()}) as folder:
            command = [self.scant, "check", "k"]
            ran = run(command, folder)
            found = examine(ran, command, {"k/new.yaml": text, "k/own.yaml": kitchen.encode()})
            for message in re.split(r"(?m)^  x ", ran.said + ran.out.decode("utf-8", "replace"))[1:]:
                title = message.split(",-[")[0].split("help:")[0]
                if "own.yaml" in message or not self.LEFT.search(title):
                    found.append(f"import wrote what check refuses: {message[:300]}")
            self.counts["pages"]["read back"] += 1
            return found

    def central(self, rng):
        folder = os.path.join(ROOT, "tests", "data", "central")
        files = {}
        for name in sorted(os.listdir(folder)):
            with open(os.path.join(folder, name), "rb") as file:
                files["dump/" + name] = file.read()
        for _ in range(rng.choice([1, 1, 2])):
            name = rng.choice(list(files))
            kind = rng.random()
            if kind < 0.4:
                files[name] = by_bytes(rng, files[name])
            elif kind < 0.8:
                cells = re.split(rb'(?<=")(,|\n)(?=")', files[name])
                for _ in range(rng.choice([1, 2, 5])):
                    cells[rng.randrange(len(cells))] = b'"' + junk(rng).replace('"', '""').encode("utf-8", "replace") + b'"'
                files[name] = b"".join(cells)
            elif len(files) > 1:
                del files[name]
        words = rng.choice(["11124", "16359", "carrots", "chickpeas", "a", "99999999999999999999", junk(rng).replace("\0", "") or "x"])

        def trial(files):
            with Place(files) as folder:
                os.makedirs(os.path.join(folder, "dump"), exist_ok=True)
                command = [self.scant, "import", "dump", "--food", words, "--out", "new.yaml"]
                ran = run(command, folder)
                found = examine(ran, command)
                found += remedies(ran)
                self.counts["pages"]["folders"] += 1
                return found

        return Case(files, trial, ["import", "dump", "--food", words, "--out", "new.yaml"])

    # -- plans

    SMALL = b"""kitchen: two lunches
currency: USD
week: { lunches: 2, carry_day: 5 }
foods:
  - food: rice
    table: "20036"
    packs: [{ pack: 500 g bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]
  - food: chickpeas
    table: "16359"
    packs: [{ pack: 250 g tin, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }]
  - food: avocado
    table: "09037"
    packs: [{ pack: hard, size: 200 g, price: 1.10, stage: hard, ready: 2..6, open_keeps: 1 }]
recipes:
  - recipe: rice and chickpeas
    form: bowl
    lines: [{ food: rice, amount: 100 g }, { food: chickpeas, amount: 125 g }, { food: avocado, amount: 20 g, optional: true }]
  - recipe: chickpeas alone
    form: salad
    days: [2]
    lines: [{ food: chickpeas, amount: 375 g }, { food: avocado, amount: 90 g }]
rules: { repeats: 2 }
"""

    def plans(self, rng, _):
        if self.plan is None:
            with Place({"kitchen/kitchen.yaml": self.SMALL}) as folder:
                self.plan = run([self.scant, "week", "kitchen", "--format", "json"], folder).out
        kind = rng.random()
        if kind < 0.6:
            tree = json.loads(self.plan)
            if rng.random() < 0.7:
                tree = {key: tree[key] for key in ("outcome", "kitchen", "currency", "week", "lunches", "kept", "before")}
            wild(rng, tree, ["rice", "chickpeas", "best", "impossible", "EUR"])
            data = json.dumps(tree)
            data = re.sub(r'"(-?\d+(\.\d+)?(e\d+)?)"', lambda m: m.group(1) if rng.random() < 0.9 else m.group(0), data).encode("utf-8", "replace")
        else:
            data = by_bytes(rng, self.plan) if kind < 0.85 else by_lines(rng, self.plan, self.plan)
        files = {"kitchen/kitchen.yaml": self.SMALL, "plan.json": data}
        more = rng.choice([[], [], ["--rest", str(rng.choice([0, 1, 52, 53]))], ["--days-on", str(rng.choice([0, 1, 7, 3650]))], ["--again", "1.00@2"]])

        def trial(files):
            with Place(files) as folder:
                command = [self.scant, "week", "kitchen", "--after", "plan.json", "--brief", "--format", "json", "--limit", "5", *more]
                ran = run(command, folder)
                found = examine(ran, command, files, 5)
                self.counts["plans"][f"exit {ran.code}"] += 1
                if ran.code in (0, 1, 3):
                    found += self.after(files, ran, more)
                return found

        return Case(files, trial, ["week", "kitchen", "--after", "plan.json", "--brief", "--format", "json", *more])

    def after(self, files, ran, more):
        """The week judged with what the plan hands on as its stock, where the plan can be read."""
        if ran.code == 3 and not ran.out and "no answer" in ran.said:
            return []
        plan = judge.read_plan(ran.out.decode())
        if plan.get("objective") is None or more:
            return []
        try:
            former = json.loads(files["plan.json"])
            kitchen = judge.Kitchen(judge.read_yaml(files["kitchen/kitchen.yaml"].decode()))
            kitchen.stock = []
            step = former["week"]["carry_day"] - 1
            for unit in former["kept"]:
                if unit["good_until"] < step:
                    return []
                for _ in range(unit["units"]):
                    kitchen.stock.append({
                        "food": judge.same(unit["food"]), "label": judge.same(unit["label"]), "mg": unit["left_mg"], "opened": unit["opened"],
                        "low": max(unit["ready_from"] - step, 0), "high": unit["good_until"] - step, "end": unit["end"] - step,
                        "opens": unit["open_keeps"] if unit["open_keeps"] is not None else 0, "value": unit["unit_value_nano"]})
        except (ValueError, LookupError, TypeError, AttributeError, judge.Unread):
            # A plan is read more kindly than here: `3` for a label, say.
            self.counts["plans"]["not read by the judge"] += 1
            return []
        self.counts["plans"]["judged"] += 1
        return ["judge: " + text for text in judge.judge(kitchen, plan)]

    # -- kills

    OLD = b"what was there before"
    WAYS = {
        "two new files": (["list", "kitchen", "--csv", "a", "--left-csv", "b"], {}),
        "two files replaced": (["list", "kitchen", "--csv", "a", "--left-csv", "b"], {"a": OLD, "b": OLD}),
        "recipes": (["recipes", "kitchen", "--json-ld", "a"], {"a": OLD}),
        "calendar": (["calendar", "kitchen", "--monday", "2031-03-03", "--out", "a"], {"a": OLD}),
        "page": (["sheet", "kitchen", "--out", "a"], {"a": OLD}),
        "programs": (["program", "kitchen", "--lp", "a", "--mps", "b", "--data", "d", "--certify", "c"], {"c": OLD}),
        "a row's plans": (["weeks", "2", "kitchen", "--plans", "plans"], {"plans/week-2.json": OLD}),
        "import": (["import", "page", "--out", "a"], {}),
        "man pages": (["shell", "--manuals", "man"], {"man/scant.1": OLD}),
        "start": (["start", "mine"], {}),
    }
    CALLS = ("?open,?openat,?mkdir,?mkdirat,?write,?pwrite64,?fsync,?fdatasync,?fchmod,?chmod,?fchmodat,?fchown,?rename,?renameat,"
             "?renameat2,?link,?linkat,?unlink,?unlinkat,?rmdir,?ftruncate,?close")

    def way(self, name):
        command, before = self.WAYS[name]
        page = json.dumps(self.PAGE).encode()
        return [self.scant, *command], {"kitchen/kitchen.yaml": self.SMALL, "page": page, "neighbour": b"mine", **before}

    @staticmethod
    def whole(before, wanted, after):
        """Old or new, nothing else, but for what was in the making."""
        found = []
        for name, data in after.items():
            making = any(part.startswith(".scant-") and part.endswith(".part") for part in name.split("/"))
            if making:
                continue
            fine = (name in before and before[name] == data) or (name in wanted and wanted[name] == data)
            if not fine:
                found.append(f"torn: {name}")
        return found + [f"gone: {name}" for name in before if name not in after]

    def next_run(self, command, folder, wanted, before):
        """The next run does what a run does that nothing came before."""
        ran = run(command, folder)
        found = examine(ran, command)
        if ran.code != 0 and not (ran.code == 2 and command[1] in ("import", "start")):
            found.append(f"next run: {ran.code}: {ran.said[:200]}")
        after = everything(folder)
        found += [f"next run: {text}" for text in self.whole(before, wanted, after)]
        for name, data in wanted.items():
            if after.get(name) != data:
                found.append(f"next run: {name} is not what it should be")
        return found

    def kills(self, rng, number):
        names = list(self.WAYS)
        name = names[number % len(names)]
        command, files = self.way(name)

        def trial(files):
            with Place(files) as folder:
                before = everything(folder)
                log = os.path.join(tempfile.gettempdir(), f"attack-{os.getpid()}.log")
                trace = ["strace", "-f", "-qq", "-y", "-s", "200", "-o", log, "-e", f"trace={self.CALLS}"]
                ran = run([*trace, *command], folder)
                wanted = everything(folder)
                if ran.code != 0 or wanted == before:
                    return [f"kills: {name} does not write: {ran.code} {ran.said[:200]}"]
            with open(log, encoding="utf-8", errors="replace") as file:
                lines = file.read().splitlines()
            os.unlink(log)
            first, seen, calls = lines[0].split()[0], Counter(), []
            for line in lines:
                match = re.match(r"(\d+)\s+(\w+)\(", line)
                if match and match.group(1) == first:
                    seen[match.group(2)] += 1
                    if ".scant-" in line or match.group(2) == "fsync" or folder in line:
                        calls.append((match.group(2), seen[match.group(2)]))
            found = []
            step = 7 if name == "man pages" else 3 if name == "start" else 1
            offset = rng.randrange(step)
            for call, when in calls[offset::step]:
                with Place(files) as folder:
                    run([*trace[:-2], "-e", f"trace={call}", "-e", f"inject={call}:signal=KILL:when={when}", *command], folder)
                    after = everything(folder)
                    told = [f"{text} ({name}, SIGKILL at {call} {when})" for text in self.whole(before, wanted, after)]
                    self.counts["kills"]["kills"] += 1
                    self.counts["kills"]["left in the making"] += any(".scant-" in path for path in after)
                    told += [f"{text} ({name}, after SIGKILL at {call} {when})" for text in self.next_run(command, folder, wanted, before)]
                    found += told
            if os.path.exists(log):
                os.unlink(log)
            return found

        return Case(files, trial, command[1:])

    # -- signals

    def signals(self, rng, number):
        big = number % 4 == 3
        if big:
            files = folder_files(os.path.join(FIXTURES, "boatyard"))
        else:
            tree = copy.deepcopy(self.sources.trees[-2])
            fewer(rng, tree, rng.randint(8, 40))
            for _ in range(rng.randint(0, 5)):
                change(rng, tree)
            tree["rules"]["cap"] = "30"
            tree["week"]["lunches"] = str(rng.choice([5, 6, 7]))
            tree["week"].pop("carry_day", None)
            files = {"kitchen/kitchen.yaml": judge.write_yaml(tree).encode()}
        files["page"] = json.dumps({"@graph": [self.PAGE["@graph"][1]] * 3000}).encode()
        word, command = rng.choice([
            ("week", ["week", "kitchen"]), ("week", ["week", "kitchen", "--order", "foods,spoiled,cost"]), ("tradeoffs", ["tradeoffs", "kitchen"]),
            ("prep", ["prep", "kitchen"]), ("weeks", ["weeks", "4", "kitchen"]), ("program", ["program", "kitchen", "--mps", "a.mps", "--certify", "b"]),
            ("engine", ["week", "kitchen", "--engine", "program"]), ("sheet", ["sheet", "kitchen", "--tradeoffs", "60", "--out", "a.html"]),
            ("import", ["import", "page", "--out", "new.yaml"]), ("finish", ["week", "kitchen", "--finish", "2"])])
        first = rng.choice([signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
        moment = rng.choice([0.05, 0.1, 0.3, 1.0, 3.0]) * rng.random() + 0.03
        second = rng.choice([None, None, 0.13])

        def trial(files):
            with Place(files) as folder, tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
                child = subprocess.Popen([self.scant, *command], cwd=folder, stdin=subprocess.DEVNULL, stdout=out, stderr=err, preexec_fn=limits)
                time.sleep(moment)
                if child.poll() is not None:
                    self.counts["signals"]["over before"] += 1
                    return []
                begun, worked = time.monotonic(), processor(child.pid)
                child.send_signal(first)
                what = word
                if second is not None:
                    time.sleep(second)
                    begun, worked = time.monotonic(), processor(child.pid)
                    if child.poll() is None:
                        child.send_signal(first)
                        what = "second signal"
                while True:
                    pid, status, used = os.wait4(child.pid, os.WNOHANG) if child.returncode is None else (child.pid, None, None)
                    if pid:
                        break
                    if time.monotonic() - begun > 60:
                        child.kill()
                        child.wait()
                        return [f"deaf: {' '.join(command)}: {first.name} after {moment:.2f} s, second {second}"]
                    time.sleep(0.002)
                took, busy = time.monotonic() - begun, 0.0
                if used is not None:
                    child.returncode = os.waitstatus_to_exitcode(status)
                    busy = used.ru_utime + used.ru_stime - worked
                self.waits[what].append((took, busy))
                self.counts["signals"]["sent"] += 1
                err.seek(0)
                said = err.read().decode("utf-8", "replace")
                found = []
                if "panicked" in said or child.returncode == 4:
                    found.append(f"panic: {said[:300]}")
                if child.returncode < 0 and child.returncode != -first:
                    found.append(f"exit code: {child.returncode} after {first.name}")
                # Processor time: the machine may have others to serve.
                if busy > (0.5 if what == "second signal" else 5):
                    found.append(f"deaf: {' '.join(command)}: worked {busy:.1f} s on, {took:.1f} s by the clock, {first.name} at {moment:.2f} s, second {second}")
                return found + [f"left behind: {name}" for name in everything(folder) if ".scant-" in name]

        return Case(files, trial, command)

    # -- odd environments

    def odd(self, rng, number):
        files = {"kitchen/kitchen.yaml": self.SMALL, "page": json.dumps(self.PAGE).encode()}
        commands = [["week", "kitchen"], ["check", "kitchen"], ["--help"], ["week", "--help"], ["prep", "kitchen"], ["list", "kitchen", "--csv", "a"],
                    ["sheet", "kitchen", "--out", "a"], ["recipes", "kitchen"], ["tradeoffs", "kitchen", "--only", "reuse"], ["import", "page"],
                    ["schema", "week"], ["foods", "rice"], ["shell", "--completions", "bash"], ["start", "mine"], ["weeks", "2", "kitchen"],
                    ["program", "kitchen", "--lp", "a"], ["calendar", "kitchen", "--monday", "2031-03-03", "--out", "a"], []]
        command = [self.scant, *commands[number % len(commands)]]
        oddities = ["no stdin", "no stdout", "no stderr", "no streams", "full stdout", "full stderr", "closed pipe", "read-only folder", "bare", "odd language",
                    "few files", "small files", "long arguments", "many arguments", "odd arguments", "narrow", "little memory", "no threads", "gone folder",
                    "big numbers", "link loop", "fifo"]
        oddity = oddities[(number // len(commands) + number) % len(oddities)]

        def trial(files):
            with Place(files) as folder:
                return self.oddly(rng, oddity, list(command), folder)

        return Case(files, trial, [oddity, *command[1:]])

    def oddly(self, rng, oddity, command, folder):
        more = {}
        wrong_usage = {2}

        def closing(*streams):
            def close():
                limits()
                for stream in streams:
                    os.close(stream)
            return close

        def limited(which, value):
            def limit():
                limits()
                resource.setrlimit(which, (value, value))
            return limit

        allowed = set(CODES.get(command[1] if len(command) > 1 else "", SEARCH)) | wrong_usage
        full = None
        if oddity == "no stdin":
            more["preexec_fn"] = closing(0)
        elif oddity == "no stdout":
            more["preexec_fn"] = closing(1)
        elif oddity == "no stderr":
            more["preexec_fn"] = closing(2)
        elif oddity == "no streams":
            more["preexec_fn"] = closing(0, 1, 2)
        elif oddity in ("full stdout", "full stderr"):
            full = open("/dev/full", "wb")
            more["stdout" if oddity == "full stdout" else "stderr"] = full
        elif oddity == "closed pipe":
            reader, writer = os.pipe()
            os.close(reader)
            full = os.fdopen(writer, "wb")
            more["stdout"] = full
        elif oddity == "read-only folder":
            os.chmod(folder, 0o555)
        elif oddity == "bare":
            more["env"] = {}
        elif oddity == "odd language":
            more["env"] = {"LANG": rng.choice(["tr_TR.UTF-8", "C", "xx", "ja_JP.eucJP"]), "LC_ALL": "tr_TR", "COLUMNS": rng.choice(["0", "-1", "1", "99999999999"]), "TERM": rng.choice(["dumb", "", "x" * 5000]), "NO_COLOR": "1", "CLICOLOR_FORCE": "1", "RUST_BACKTRACE": "full", "TZ": "Pacific/Kiritimati"}
        elif oddity == "few files":
            more["preexec_fn"] = limited(resource.RLIMIT_NOFILE, rng.choice([3, 4, 5, 6, 10]))
            allowed |= {2, 127}
        elif oddity == "small files":
            more["preexec_fn"] = limited(resource.RLIMIT_FSIZE, rng.choice([0, 1, 100, 3000]))
            allowed |= {2, -signal.SIGXFSZ}
        elif oddity == "long arguments":
            command += ["--without", "x" * 130000]
        elif oddity == "many arguments":
            command += ["--without", "rice"] * rng.choice([10, 1000, 9000])
        elif oddity == "odd arguments":
            command = [os.fsencode(part) for part in command] + [rng.choice([b"\xff\xfe", b"\x1b[2J", b"--\xff", "\u202e".encode(), b"", b"-", b"--limit=1e18", b"--limit=nan", b"--limit=-1", b"--limit=1e999", b"--threads=99999999999999999999", b"--threads=65535", b"--cap=-1", b"--budget=1e5", b"--eaters=0", b"--with=@", b"--with=rice@@@", b"--after=/dev/zero", b"--after=/dev/tty", b"--after=.", b"--format=\xff"])]
        elif oddity == "narrow":
            more["env"] = {**os.environ, "COLUMNS": "1", "LINES": "1"}
        elif oddity == "little memory":
            more["preexec_fn"] = limited(resource.RLIMIT_AS, rng.choice([300, 500, 900]) << 20)
            allowed |= {-signal.SIGABRT, 127}
        elif oddity == "no threads":
            if os.geteuid() != 0:
                more["preexec_fn"] = limited(resource.RLIMIT_NPROC, 1)
        elif oddity == "gone folder":
            inner = os.path.join(folder, "gone")
            os.mkdir(inner)

            def gone():
                limits()
                os.rmdir(inner)
            more["preexec_fn"] = gone
            folder = inner
        elif oddity == "big numbers":
            command += rng.choice([["--limit", "1e18"], ["--limit", "0"], ["--limit", "0.0000001"], ["--eaters", "1000"], ["--cap", "99999999"], ["--budget", "99999999999999999999"], ["--threads", "100000"]])
        elif oddity == "link loop":
            os.symlink("kitchen", os.path.join(folder, "kitchen", "round.yaml"))
            os.symlink("two.yaml", os.path.join(folder, "kitchen", "two.yaml"))
        elif oddity == "fifo":
            os.mkfifo(os.path.join(folder, "kitchen", "pipe.yaml"))
        try:
            ran = run(command, folder, **more)
        finally:
            if full:
                try:
                    full.close()
                except OSError:
                    pass
            if oddity == "read-only folder":
                os.chmod(folder, 0o755)
        found = []
        shown = f"{oddity}: {[part if isinstance(part, str) else part.decode('utf-8', 'backslashreplace') for part in command[1:4]]}"
        if not ran.ended:
            found.append(f"no end: {shown}")
        elif ran.code not in allowed:
            found.append(f"exit code: {shown}: {ran.code}: {ran.said[-300:]}")
        if re.search(rb"panicked|our fault", ran.err.replace(b"4 our fault.", b"")):
            found.append(f"panic: {shown}: {ran.said[:300]}")
        if oddity == "full stdout" and ran.code not in (2,) and command[1:2] not in (["list"], ["sheet"], ["program"], ["calendar"], ["start"]):
            found.append(f"full: {shown}: exit {ran.code}, nothing could be printed")
        self.counts["odd"][oddity] += 1
        if os.path.isdir(folder):
            found += [f"left behind: {name}" for name in everything_plain(folder) if ".scant-" in name]
        return found


def everything_plain(folder):
    return [os.path.join(base, name) for base, _, files in os.walk(folder) for name in files]


# ---------------------------------------------------------------- shrinking

def kinds(found):
    return {text.split(":")[0] for text in found}


def shrink(case, found, seconds=90.0):
    """Leaves out files, then lines, then bytes, for as long as one of the same kinds breaks."""
    wanted, until = kinds(found), time.monotonic() + seconds
    best = dict(case.files)

    def breaks(files):
        try:
            return bool(kinds(case.trial(files)) & wanted)
        except Exception:
            return False

    for name in list(best):
        fewer_files = {key: data for key, data in best.items() if key != name}
        if fewer_files and time.monotonic() < until and breaks(fewer_files):
            best = fewer_files
    for apart in (b"\n", None):
        for name in list(best):
            data = best[name]
            if apart is None and len(data) > 4000:
                continue
            parts = data.split(apart) if apart else [data[at:at + 1] for at in range(len(data))]
            size = max(len(parts) // 2, 1)
            while size and time.monotonic() < until:
                at, cut = 0, False
                while at < len(parts) and time.monotonic() < until:
                    rest = parts[:at] + parts[at + size:]
                    if breaks({**best, name: (apart or b"").join(rest)}):
                        parts, cut = rest, True
                    else:
                        at += size
                size = size if cut and size == 1 else size // 2
            best[name] = (apart or b"").join(parts)
    return best


def keep(out, name, case, files, found):
    folder = os.path.join(out, name.replace(":", "-"))
    shutil.rmtree(folder, ignore_errors=True)
    for kind, those in (("shrunk", files), ("whole", case.files)):
        for path, data in those.items():
            path = os.path.join(folder, kind, path)
            os.makedirs(os.path.dirname(path), exist_ok=True)
            with open(path, "wb") as file:
                file.write(data)
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(folder, "command.txt"), "w", encoding="utf-8", errors="backslashreplace") as file:
        file.write(f"case {name}\nscant {' '.join(map(str, case.command))[:2000]}\n\n" + "\n".join(found) + "\n")
    return folder


# ---------------------------------------------------------------- planted faults

def planted(campaign):
    """Faults planted one by one: (name, seen)."""
    results = []
    def sound_week(name):
        folder = os.path.join(FIXTURES, "stored", name)
        house = judge.Kitchen(judge.read_folder(folder))
        told = run([campaign.scant, "week", folder, "--brief", "--format", "json"], ROOT).out.decode()
        faults = judge.judge(house, judge.read_plan(told))
        results.append((f"a sound week of {name} is found sound", not faults))
        if faults:
            print("\n".join(faults))
        return house, told

    house_of_all, house_of_shops = sound_week("everything"), sound_week("three-shops")

    def plant(name, code, edit, edit_kitchen=None, week=None):
        kitchen, out = week or house_of_all
        plan, house = judge.read_plan(out), kitchen
        if edit_kitchen:
            house = copy.deepcopy(kitchen)
            edit_kitchen(house, plan)
        edit(plan)
        found = judge.judge(house, plan)
        results.append((name, any(text.startswith(code + ":") for text in found)))

    def kept_too_long(plan):
        # A tin's last day moved on, and the row's day of opening back before its keeping.
        row = next(row for row in plan["leftovers"] if row["opened_on"] is not None and row["used_mg"] > 0 and not row["on_hand"] and row["good_until"] <= row["opened_on"] + 4)
        row["opened_on"] -= 1
        row["good_until"] -= 1

    def drawn_late(plan):
        rows = [row for row in plan["leftovers"] if row["opened_on"] is not None and row["used_mg"] > 1]
        rows[0]["used_mg"] -= 1
        rows[0]["left_mg"] += 1

    def batch_small(plan):
        batch = plan["batches"][0]
        batch["makes_mg"] -= 1000
        batch["serves"][0]["mg"] -= 1000

    def batch_late(plan):
        batch = max(plan["batches"], key=lambda batch: batch["serves"][-1]["day"] - batch["day"])
        batch["day"] = max(batch["day"] - 5, 0) if batch["serves"][-1]["day"] > house_of_all[0].components[judge.same(batch["component"])]["keeps"] else batch["serves"][0]["day"] + 1

    def no_limit(house, plan):
        house.cap = plan["foods"] - 1

    def budget(house, plan):
        house.budget = plan["bill"] - 1

    def floor(house, plan):
        least = min(plan["nutrition"]["iron"]["lunches"])
        house.limits.append(("iron", "lunch", int(least * 1000) + 1, None))

    def minute_limit(house, plan):
        busiest = max(plan["minutes"], key=lambda item: item["minutes"])
        house.minute_limits[busiest["day"]] = judge.Fraction(busiest["minutes"]) - judge.Fraction(1, 1000)

    def same(house, plan):
        house.sameness = 1
        house.sameness_adjacent = 1

    def edit(path, step):
        def change_it(plan):
            holder = plan
            for key in path[:-1]:
                holder = holder[key]
            holder[path[-1]] += step
        return change_it

    nothing = lambda plan: None
    def elsewhere(plan):
        """The first thing bought on the second trip is said to be from the usual shop."""
        next(buy for buy in plan["purchases"] if buy["trip"] == 1)["shop"] = plan["week"]["shops"][0]

    plant("a price", "prices", edit(["purchases", 0, "each"], 1))
    plant("a bill", "bill", edit(["bill"], 1))
    plant("a count of packs", "units", edit(["purchases", 0, "count"], 1))
    plant("a count of units", "units", edit(["leftovers", 0, "units"], 1))
    plant("a unit drawn from too long", "draws", kept_too_long)
    plant("a milligram not drawn", "draws", drawn_late)
    plant("a ripe window", "windows", lambda plan: next(row for row in plan["leftovers"] if row["opened_on"] is not None).update(opened_on=99))
    plant("a batch too small", "batches", batch_small)
    plant("a batch kept too long", "batches", batch_late)
    plant("a food of a batch", "batches", edit(["batches", 0, "foods", 0, "mg"], -1))
    plant("a minute", "minutes", edit(["minutes", 1, "minutes"], 1))
    plant("a batch's minute", "minutes", edit(["batches", 0, "minutes"], 1))
    plant("a nutrient sum", "nutrition", lambda plan: plan["nutrition"]["iron"]["lunches"].__setitem__(0, plan["nutrition"]["iron"]["lunches"][0] + judge.Decimal("0.001")))
    plant("a portion", "lines", edit(["lunches", 0, "lines", 0, "portion_mg"], 1))
    plant("a staple's cost", "staples", edit(["staples", 0, "cost"], judge.Decimal("0.000000001")))
    def ban(house, plan):
        house.without.append(house.shops[1])

    plant("another shop", "purchases", elsewhere, week=house_of_shops)
    plant("another shop's price", "prices", elsewhere, week=house_of_shops)
    plant("a banned shop", "bans", nothing, ban, house_of_shops)
    plant("a price of going", "objective", edit(["objective", "trips"], 1), week=house_of_shops)
    plant("a pack left at another shop", "units", lambda plan: next(row for row in plan["leftovers"] if row["shop"] == "mill shop" and row["pack"] == "1 kg bag").update(shop="quay shop"), week=house_of_shops)
    plant("an objective", "objective", edit(["objective", "total"], judge.Decimal("0.000000001")))
    plant("a bound", "bound", edit(["bound"], -1))
    plant("a lunch twice", "variety", lambda plan: plan["lunches"].__setitem__(1, {**plan["lunches"][0], "day": 2}))
    plant("a lunch missing", "lunches", lambda plan: plan["lunches"].pop())
    plant("an allergen", "allergens", lambda plan: next(lunch for lunch in plan["lunches"] if lunch["allergens"])["allergens"].pop())
    plant("what becomes of a pack", "fates", lambda plan: next(row for row in plan["leftovers"] if row["left_mg"]).update(fate="used up"))
    plant("what is handed on", "kept", edit(["kept", 0, "left_mg"], 1))
    plant("a cap broken", "cap", nothing, no_limit)
    plant("a budget broken", "budget", nothing, budget)
    plant("a floor broken", "nutrition", nothing, floor)
    plant("a day's minutes broken", "minutes", nothing, minute_limit)
    plant("two lunches alike", "variety", nothing, same)
    plant("a ban broken", "bans", nothing, lambda house, plan: house.without.append(judge.same(plan["purchases"][0]["food"])))
    plant("a pin missing", "pins", nothing, lambda house, plan: house.with_.append(("no such lunch", None)))

    # Each way of writing: a truncated file, a file gone, one left over that a next run trips over.
    for name in campaign.WAYS:
        command, files = campaign.way(name)
        with Place(files) as place:
            before = everything(place)
            run(command, place)
            wanted = everything(place)
        written = [path for path, data in wanted.items() if data is not None and before.get(path) != data]
        if not written:
            results.append((f"{name}: writes", False))
            continue
        for torn, edited in (("truncated", {written[0]: wanted[written[0]][:-1]}), ("emptied", {written[0]: b""}), ("left over", {"a.tmp": b"x"})):
            results.append((f"{name}: {torn}", bool(campaign.whole(before, wanted, {**wanted, **edited}))))
        gone = {path: data for path, data in before.items() if path != "neighbour"}
        results.append((f"{name}: gone", bool(campaign.whole(before, wanted, gone))))
        # A left-over of another kind in the way: a folder where the file should come.
        with Place({key: data for key, data in files.items() if key != written[0]}) as place:
            os.makedirs(os.path.join(place, written[0], "x"))
            results.append((f"{name}: in the way", bool(campaign.next_run(command, place, wanted, before))))

    # Runs that misbehave: a stand-in for the program.
    def stand_in(name, code, script, seconds=120.0):
        with Place({"kitchen/kitchen.yaml": b"a: b\n"}) as place:
            path = os.path.join(place, "stand-in")
            with open(path, "w", encoding="utf-8") as file:
                file.write(f"#!{sys.executable}\nimport sys, os, time\n{script}\n")
            os.chmod(path, 0o755)
            command = [path, "check", "kitchen"]
            found = examine(run(command, place, seconds), command, {"kitchen/kitchen.yaml": b"a: b\n"})
            results.append((name, any(text.startswith(code) for text in found)))

    stand_in("a panic", "panic", "print(\"thread 'main' panicked at src\", file=sys.stderr); sys.exit(101)")
    stand_in("an exit code", "exit code", "sys.exit(3)")
    stand_in("our fault", "panic", "sys.exit(4)")
    stand_in("no end", "no end", "time.sleep(60)", 3.0)
    stand_in("memory", "memory", "x = bytearray(1200 << 20); x[::4096] = b'1' * len(x[::4096])")
    stand_in("a line that is not there", "names a line", "print('  x bad\\n  ,-[kitchen.yaml:9:1]\\n  help: x'); sys.exit(2)")
    stand_in("a file that is not there", "names a file", "print('  x bad\\n  ,-[other.yaml:1:1]\\n  help: x'); sys.exit(2)")
    stand_in("no remedy", "no remedy", "print('  x bad\\n  ,-[kitchen.yaml:1:1]'); sys.exit(2)")
    stand_in("an escape", "raw character", "print('\\x1b[2J'); sys.exit(2)")
    return results


# ---------------------------------------------------------------- the campaign

def shares(values):
    values = sorted(values)
    pick = lambda share: values[min(int(len(values) * share), len(values) - 1)]
    return f"median {pick(0.5):.3f} s, nine of ten {pick(0.9):.3f} s, most {values[-1]:.3f} s of {len(values)}"


def strace_works():
    try:
        return subprocess.run(["strace", "-qq", "-e", "trace=none", "true"], capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--scant", default=os.path.join(ROOT, "target", "release", "scant"))
    parser.add_argument("--parts", default=",".join(PARTS))
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--cases", type=int, help="cases of each part")
    parser.add_argument("--seed", default=None)
    parser.add_argument("--out", default=os.path.join(tempfile.gettempdir(), "attack-found"))
    parser.add_argument("--again", help="one case by its name")
    parser.add_argument("--most", type=int, default=20, help="cases shrunk of each kind and part")
    parser.add_argument("--self-test", action="store_true")
    options = parser.parse_args()
    options.scant = os.path.abspath(options.scant)
    if not os.access(options.scant, os.X_OK):
        sys.exit(f"no program at {options.scant}: build it, or say where it is with --scant")
    sys.setrecursionlimit(5000)
    # Asked to end it says what was tried so far; a shell starts jobs deaf to SIGINT.
    for name in (signal.SIGINT, signal.SIGTERM):
        signal.signal(name, signal.default_int_handler)
    campaign = Campaign(options)
    if options.self_test:
        results = planted(campaign)
        missed = [name for name, seen in results if not seen]
        print(f"{len(results)} planted faults, {len(missed)} not seen" + "".join(f"\n  not seen: {name}" for name in missed))
        sys.exit(1 if missed else 0)
    if options.again:
        case = campaign.case(options.again)
        found = case.trial(case.files)
        print("\n".join(found) or "nothing broke")
        if found:
            print(keep(options.out, options.again, case, shrink(case, found), found))
        sys.exit(1 if found else 0)

    seed = options.seed or str(int.from_bytes(os.urandom(4), "big"))
    parts = [part for part in options.parts.split(",") if part]
    for part in parts:
        if part not in PARTS:
            sys.exit(f"no part {part!r}: {', '.join(PARTS)}")
    if "kills" in parts and not strace_works():
        print("kills: left out, strace is not there or may not trace (Debian: apt-get install strace)")
        parts.remove("kills")
    print(f"seed {seed}", flush=True)
    begun, broken, tried, told = time.monotonic(), 0, Counter(), Counter()
    seconds = options.seconds if options.seconds or options.cases else 600.0
    # Kills take long each: a share of the time, not of the cases.
    spent, number = Counter(), Counter()
    weights = {"kitchens": 3, "weeks": 4, "pages": 1.5, "plans": 1, "kills": 1, "signals": 1, "odd": 0.7}
    while True:
        left = [part for part in parts if options.cases is None or tried[part] < options.cases]
        if not left or (seconds is not None and time.monotonic() - begun > seconds):
            break
        part = min(left, key=lambda part: spent[part] / weights[part])
        start = time.monotonic()
        name = f"{part}:{seed}:{number[part]}"
        number[part] += 1
        case = campaign.case(name)
        try:
            found = case.trial(case.files)
        except KeyboardInterrupt:
            break
        except Exception as error:  # The campaign's own fault must not end it unheard.
            found = [f"campaign: {type(error).__name__}: {error}"]
        tried[part] += 1
        spent[part] += time.monotonic() - start
        if found:
            broken += 1
            print(f"\n{name}\n  " + "\n  ".join(text[:400] for text in found[:5]), flush=True)
            fresh = [kind for kind in kinds(found) if told[part, kind] < options.most]
            for kind in kinds(found):
                told[part, kind] += 1
            if fresh:
                shrinkable = part not in ("kills", "signals", "odd")
                files = shrink(case, found) if shrinkable else case.files
                print(f"  shrunk: {keep(options.out, name, case, files, found)}", flush=True)

    print(f"\nseed {seed}, {time.monotonic() - begun:.0f} s, {options.scant}")
    for part in parts:
        counts = ", ".join(f"{what} {count}" for what, count in sorted(campaign.counts[part].items()))
        bad = sum(count for (where, _), count in told.items() if where == part)
        print(f"{part:9} {tried[part]:6} cases {spent[part]:7.0f} s {bad:4} broke  {counts}")
    for what, waits in sorted(campaign.waits.items()):
        print(f"  {what}: ended after {shares([took for took, _ in waits])}; of processor time {shares([busy for _, busy in waits])}")
    for why, count in campaign.counts["why not read"].most_common(8):
        print(f"  not read by the judge, {count}: {why}")
    if not sum(tried.values()):
        sys.exit(2)
    sys.exit(1 if broken else 0)


if __name__ == "__main__":
    main()
