"""Times the search on random kitchens of odd shapes, many seeds of each, and a general solver beside it.

    cargo build --release
    .venv/bin/python benches/families.py [--seeds N] [--families few,more,trips,shops,choices,wide,pooled] [--highs SECONDS] [--scant BINARY]

For each family: median, 90th and 99th percentile and worst of the processor time of `scant week --brief`
(one thread, `--limit 20`), how many were proved, and the slowest seeds by name. With `--highs` the
program of each kitchen is given to HiGHS (PyPI highspy) in the same run, with so many seconds, and
the two optima are compared: another proved optimum ends the run with 1.

    few      8 recipes, 20 foods, 4 components, short lives, twin and large packs, hard fruit
    more     12 recipes, 23 foods, 5 components, the same rules
    trips    7 recipes, 16 foods, two packs a food (some of two units), two trips, units on hand,
             eaters that differ by day
    shops    20 recipes, 30 foods, 5 components, three shops with five trips among them
    choices  1 to 8 recipes of 4 to 60 lines with 2 to 30 choices each
    wide     one recipe of 60 lines with 30 choices each among 30 to 120 foods; packs of 50 to 200 g or 1 to 3 kg; prices
             by weight, log-uniform or all the same
    pooled   8 to 62 recipes of 6 to 14 lines with 6 to 10 choices each, five lunches

Names, packs, prices and quantities are made up; nutrients are rows of the food table.
"""

import argparse
import json
import os
import random
import resource
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
ROWS = "16057 11124 20044 16126 11282 11215 09037 11090 16087 11507 20035 11429 11352 11333 11457".split()
# Days sealed and days open.
LIVES = [(365, 3), (365, 30)]
LOOSE = 0.05


def food(dice, at, size, price, keeps, opened, more):
    text = f'  - food: food {at:02}\n    table: "{ROWS[at % len(ROWS)]}"\n    yield: 100 %\n    packs:\n'
    text += f"      - {{ pack: single, size: {size} g, price: {price / 100:.2f}, keeps: {keeps}, open_keeps: {opened} }}\n"
    return text + more


def other(kind, size, price, keeps, opened):
    size, units, price = [
        (size, 2, price * 17 // 10),
        (size * 2, 1, price * 16 // 10),
        (max(25, size // 2 // 25 * 25), 2, price * 11 // 10),
    ][kind]
    return f"      - {{ pack: other, size: {size} g, units: {units}, price: {price / 100:.2f}, keeps: {keeps}, open_keeps: {opened} }}\n"


def foods(dice, count, always):
    text = "foods:\n"
    for at in range(count):
        size = dice.randint(6, 40) * 25
        price = size * dice.randint(20, 120) // 100 + dice.randint(20, 90)
        keeps, opened = dice.choice(
            LIVES + [(dice.randint(4, 12), dice.randint(1, 6)), (dice.randint(3, 5), dice.randint(1, 3))]
        )
        kind = dice.randint(0, 2 if always else 5)
        more = ""
        if kind < 3:
            more = other(kind, size, price, keeps, opened)
        elif kind == 3:
            more = f"      - {{ pack: hard, stage: hard, size: {size} g, price: {price * 11 / 1000:.2f}, ready: 3..6, open_keeps: 1 }}\n"
        text += food(dice, at, size, price, keeps, opened, more)
    return text


def components(dice, count, foods):
    text = "components:\n"
    for at in range(count):
        text += f"  - component: batch {at}\n    makes: {dice.randint(4, 10) * 100} g\n    keeps: {dice.randint(2, 4)}\n"
        text += f"    minutes: {dice.randint(3, 15)}\n    portion: 100 g\n    minutes_per_portion: 1\n    from:\n"
        for one in dice.sample(range(foods), dice.randint(1, 3)):
            text += f"      - {{ food: food {one:02}, amount: {dice.randint(1, 6) * 50} g }}\n"
    return text


def recipes(dice, count, foods, components, choices):
    text = "recipes:\n"
    amount = lambda: f"{dice.randint(3, 15) * 10} g"
    for at in range(count):
        text += f"  - recipe: recipe {at}\n    form: {dice.choice(['grain bowl', 'wrap', 'soup', 'salad'])}\n"
        text += f"    protein: {dice.choice(['tofu', 'beans', 'lentils'])}\n    minutes: {dice.randint(5, 25)}\n    lines:\n"
        for one in dice.sample(range(components), dice.choice([0, 1, 1, 2])):
            text += f"      - {{ component: batch {one}, amount: {amount()} }}\n"
        for one in dice.sample(range(foods), dice.randint(4, 6)):
            if dice.random() < choices:
                second = dice.choice([two for two in range(foods) if two != one])
                text += f"      - one_of: [ {{ food: food {one:02}, amount: {amount()} }}, {{ food: food {second:02}, amount: {amount()} }} ]\n"
            else:
                text += f"      - {{ food: food {one:02}, amount: {amount()} }}\n"
    return text


def head(week, rules):
    aims = "aims:\n  spoil_weight: 0.5\n  food_price: 0.40\n  minute_price: 0.05\n"
    return f"kitchen: odd shapes\ncurrency: EUR\nweek:\n{week}{aims}rules:\n{rules}"


def few(dice, recipe_count=8, food_count=20, component_count=4):
    rules = f"  cap: {dice.randint(12, 20)}\n  per_form: 2\n  per_protein: 3\n  minutes: {{ each_day: 45, Sunday: 120 }}\n  nutrition:\n"
    for nutrient, per, least in [("energy", "lunch", 150), ("fibre", "week", 3)]:
        rules += f"    - {{ nutrient: {nutrient}, per: {per}, at_least: {least}, source: made up for timing }}\n"
    return {
        "kitchen": head(f"  lunches: 5\n  eaters: {dice.randint(2, 4)}\n", rules),
        "foods": foods(dice, food_count, False),
        "components": components(dice, component_count, food_count),
        "recipes": recipes(dice, recipe_count, food_count, component_count, 0.3),
    }


def more(dice):
    return few(dice, 12, 23, 5)


def trips(dice):
    week = f"  lunches: 5\n  eaters: {{ each_day: {dice.randint(2, 4)}, Wednesday: {dice.randint(1, 6)}, Friday: {dice.randint(1, 6)} }}\n  trips: [0, 3]\n"
    stock = "stock:\n"
    for at in dice.sample(range(16), 3):
        stock += f"  - {{ food: food {at:02}, amount: {dice.randint(2, 20) * 25} g, good_until: {dice.randint(2, 9)}, open_keeps: {dice.randint(1, 4)} }}\n"
    rules = "  repeats: 2\n  per_form: 3\n"
    return {
        "kitchen": head(week, rules).replace("aims:\n", "aims:\n  trip_price: 1.00\n"),
        "foods": foods(dice, 16, True),
        "components": components(dice, 3, 16),
        "recipes": recipes(dice, 7, 16, 3, 0),
        "stock": stock,
    }


def shops(dice):
    """Three shops with five trips among them; most packs are had at two of them."""
    kitchen = few(dice, 20, 30, 5)
    names = ["quay", "mill", "farm"]
    week = "".join(
        f"    - {{ shop: {name}, days: {days}, trip_price: {price} }}\n"
        for name, days, price in zip(names, ["[0, 3]", "[0]", "[0, 2]"], ["1.00", "0.50", "0.80"])
    )
    kitchen["kitchen"] = kitchen["kitchen"].replace("week:\n", f"week:\n  shops:\n{week}")
    lines = []
    for line in kitchen["foods"].split("\n"):
        before, price, rest = line.partition(" price: ")
        if price:
            cents, comma, rest = rest.partition(",")
            had = [name for name in names if dice.random() < 0.6] or names[:1]
            each = ", ".join(f"{name}: {max(0.01, float(cents) * dice.randint(60, 140) / 100):.2f}" for name in had)
            line = f"{before} price: {{ {each} }}{comma}{rest}"
        lines.append(line)
    kitchen["foods"] = "\n".join(lines)
    return kitchen


def open_recipes(dice, count, lines, each, food_count):
    """Recipes all of whose lines have choices."""
    text = "recipes:\n"
    for at in range(count):
        text += f"  - recipe: recipe {at}\n    form: form {at}\n    minutes: 5\n    lines:\n"
        for _ in range(lines):
            taken = dice.sample(range(food_count), each)
            entries = ", ".join(f"{{ food: food {one:02}, amount: {dice.randint(2, 6) * 10} g }}" for one in taken)
            text += f"      - one_of: [ {entries} ]\n"
    return text


def choices(dice):
    count, lines, each = dice.randint(1, 8), dice.choice([4, 8, 14, 60]), dice.choice([2, 3, 6, 30])
    food_count = max(40, each)
    text = open_recipes(dice, count, lines, each, food_count)
    return {
        "kitchen": head(f"  lunches: {min(5, count)}\n  eaters: 2\n", "  per_form: 2\n"),
        "foods": foods(dice, food_count, False),
        "recipes": text,
    }


def lasting(dice, count, large, prices):
    """Foods of one pack each that last the week."""
    text = "foods:\n"
    for at in range(count):
        size = dice.randint(20, 60) * 50 if large else dice.randint(2, 8) * 25
        price = {
            "by weight": size * dice.randint(20, 120) // 100 + dice.randint(20, 90),
            "log-uniform": round(20 * 2 ** dice.uniform(0, 7)),
            "the same": 300,
        }[prices]
        text += food(dice, at, size, price, 365, 30, "")
    return text


def wide(dice):
    food_count, large = dice.choice([30, 40, 80, 120]), dice.choice([False, True])
    prices = dice.choice(["by weight", "log-uniform", "the same"])
    return {
        "kitchen": head("  lunches: 1\n  eaters: 2\n", "  per_form: 2\n"),
        "foods": lasting(dice, food_count, large, prices),
        "recipes": open_recipes(dice, 1, 60, 30, food_count),
    }


def pooled(dice):
    count, lines, each = dice.choice([(62, 6, 6), (20, 8, 6), (8, 14, 10)])
    return {
        "kitchen": head("  lunches: 5\n  eaters: 2\n", "  per_form: 2\n"),
        "foods": lasting(dice, 40, dice.choice([False, True]), dice.choice(["by weight", "log-uniform"])),
        "recipes": open_recipes(dice, count, lines, each, 40),
    }


FAMILIES = {"few": few, "more": more, "trips": trips, "shops": shops, "choices": choices, "wide": wide, "pooled": pooled}


# Too large for a general solver.
OPEN = {"choices", "wide", "pooled"}


def search(binary, folder):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    run = subprocess.run(
        [binary, "week", folder, "--brief", "--threads", "1", "--limit", "20", "--format", "json"],
        capture_output=True,
        check=False,
        timeout=120,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    took = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    if not run.stdout:
        sys.exit(f"{folder}: {run.stderr.decode()}")
    told = json.loads(run.stdout)
    total = told["objective"]["total"] if told.get("objective") else None
    return told["outcome"], total, took


def highs(binary, folder, seconds):
    import highspy

    mps = os.path.join(folder, "week.mps")
    subprocess.run([binary, "program", folder, "--mps", mps], capture_output=True, check=True)
    solver = highspy.Highs()
    solver.silent()
    for name, value in {"time_limit": seconds, "mip_rel_gap": 0.0, "mip_abs_gap": 1e-6, "threads": 1}.items():
        solver.setOptionValue(name, value)
    solver.readModel(mps)
    before = resource.getrusage(resource.RUSAGE_SELF)
    solver.run()
    after = resource.getrusage(resource.RUSAGE_SELF)
    took = after.ru_utime - before.ru_utime
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kOptimal:
        return "best", solver.getInfo().objective_function_value, took
    if status == highspy.HighsModelStatus.kInfeasible:
        return "impossible", None, took
    return "out of time", None, took


def spread(times):
    times = sorted(times)
    at = lambda part: times[min(len(times) - 1, int(part * len(times)))]
    return f"median {at(0.5):.2f} s, 90th {at(0.9):.2f}, 99th {at(0.99):.2f}, worst {times[-1]:.2f}"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--seeds", type=int, default=200)
    parser.add_argument("--families", default=",".join(FAMILIES))
    parser.add_argument("--highs", type=float, default=0.0)
    parser.add_argument("--scant", default=os.path.join(ROOT, "target/release/scant"))
    given = parser.parse_args()
    wrong = 0
    for family in given.families.split(","):
        ours, theirs, words, ratios = [], [], {}, []
        for seed in range(given.seeds):
            with tempfile.TemporaryDirectory() as folder:
                for name, text in FAMILIES[family](random.Random(f"{family} {seed}")).items():
                    with open(os.path.join(folder, name + ".yaml"), "w", encoding="utf-8") as file:
                        file.write(text)
                outcome, total, took = search(given.scant, folder)
                ours.append((took, seed))
                words[outcome] = words.get(outcome, 0) + 1
                if given.highs and family not in OPEN:
                    word, value, their = highs(given.scant, folder, given.highs)
                    theirs.append(their)
                    ratios.append(their / took)
                    both = {outcome, word} <= {"best", "impossible"}
                    if both and (outcome != word or total is not None and abs(value - total) > LOOSE):
                        wrong += 1
                        print(f"{family} {seed}: the search says {outcome} {total}, HiGHS {word} {value}")
        slowest = ", ".join(f"{seed}: {took:.1f} s" for took, seed in sorted(ours)[-3:])
        print(f"{family:<8} {given.seeds} kitchens: {spread([took for took, _ in ours])}; {words}; slowest {slowest}")
        if theirs:
            print(f"{'':<8} HiGHS: {spread(theirs)}; {sorted(ratios)[len(ratios) // 2]:.1f} times in the median")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
