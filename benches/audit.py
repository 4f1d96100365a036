#!/usr/bin/env python3
"""Holds what `scant foods` says, every keeping time and every line of advice against the published tables, by reading
of its own.

    python3 benches/audit.py FOLDER [--program target/release/scant] [--seed N] [--foods 60]

FOLDER holds the tables as CSV: sr28-foods.csv and sr28-measures.csv (USDA National Nutrient Database for Standard
Reference, Release 28), keeping.csv (FoodKeeper data, version 128), packs.csv. Nothing of the program is used but what
it prints and the texts of src/table. Prints a table of results and each finding; exits with 1 if there is one.
"""
import argparse
import csv
import random
import re
import subprocess
import sys
from decimal import ROUND_FLOOR, Decimal
from pathlib import Path

SOURCE = Path(__file__).parent.parent / "src" / "table"

# Words of the screen, and columns of the release.
NUTRIENTS = {
    "energy": "energy_kcal", "protein": "protein_g", "fat": "fat_g", "saturated fat": "saturated_g",
    "carbohydrate": "carbohydrate_g", "fibre": "fibre_g", "sugars": "sugars_g", "calcium": "calcium_mg",
    "iron": "iron_mg", "magnesium": "magnesium_mg", "potassium": "potassium_mg", "sodium": "sodium_mg",
    "zinc": "zinc_mg", "vitamin C": "vitamin_c_mg", "folate (DFE)": "folate_dfe_ug", "vitamin B12": "vitamin_b12_ug",
    "vitamin A (RAE)": "vitamin_a_rae_ug", "vitamin E": "vitamin_e_mg", "vitamin K": "vitamin_k_ug",
}
UNITS = {"energy": "kcal", "protein": "g", "fat": "g", "saturated fat": "g", "carbohydrate": "g", "fibre": "g", "sugars": "g",
         "folate (DFE)": "ug", "vitamin B12": "ug", "vitamin A (RAE)": "ug", "vitamin K": "ug"}
NOT_GIVEN = "not given"
MASSES = re.compile(r"^(oz|lb|g|kg|ounce|pound)\b", re.IGNORECASE)


def read(folder, name):
    with open(folder / name, newline="") as file:
        return list(csv.DictReader(file))


def shown(program, words):
    """The screen of a food: pairs of label and value, lines that go on joined."""
    run = subprocess.run([program, "foods", words], capture_output=True, text=True, check=False)
    if run.returncode != 0:
        return None
    pairs, width = [], None
    for line in run.stdout.splitlines():
        found = re.match(r"^(\S.*?)\s{2,}(\S.*)$", line)
        if found and (width is None or found.start(2) == width):
            width = width or found.start(2)
            pairs.append([found.group(1), found.group(2)])
        elif pairs and width and line[:width].strip() == "" and line.strip():
            pairs[-1][1] += " " + line.strip()
        elif line.startswith("In a kitchen file"):
            break
    return pairs


def nutrients(pairs, row):
    """Findings of the 19 figures."""
    said = {label.removesuffix(" per 100 g"): value for label, value in pairs if label.endswith(" per 100 g")}
    for label, column in NUTRIENTS.items():
        published, value = row[column], said.get(label)
        if value is None:
            yield f"{label}: no line"
        elif published == "":
            if value != NOT_GIVEN:
                yield f"{label}: {value}, and none is published"
        else:
            number, _, unit = value.partition(" ")
            if value == NOT_GIVEN or Decimal(number) != Decimal(published) or unit != UNITS.get(label, "mg"):
                yield f"{label}: {value}, published {published}"


def measures(pairs, row, listed):
    """Findings of measures and yield."""
    grams = {}
    for label, value in pairs:
        found = re.match(r"^(\d+(?:\.\d+)?) g\b", value)
        if found and not label.endswith("per 100 g") and label != "usual pack":
            grams[label] = (Decimal(found.group(1)), value)
    # Rounded down to whole milligrams.
    published = {(Decimal(m["grams"]) / Decimal(m["amount"])).quantize(Decimal("0.001"), ROUND_FLOOR) for m in listed}
    for label, (mass, value) in grams.items():
        near = any(abs(mass - one) <= Decimal("0.05") for one in published)
        if not near and "no source" not in value and "told as" not in value:
            yield f"measure {label}: {value}, not published"
    for m in listed:
        one = Decimal(m["grams"]) / Decimal(m["amount"])
        if not MASSES.match(m["measure"]) and not any(abs(mass - one) <= Decimal("0.05") for mass, _ in grams.values()):
            yield f"measure {m['amount']} {m['measure']} of {m['grams']} g is not shown"
    said = next((value for label, value in pairs if label == "yield"), "")
    share = 100 - Decimal(row["refuse_pct"] or 0)
    if Decimal(said.split(" ")[0] or 0) != share:
        yield f"yield {said}, published refuse {row['refuse_pct']}"


def times(pairs, keeping, group):
    """Findings of keeping times on a screen: a FoodKeeper product of that name and place with that figure."""
    places = {"on a shelf": "pantry", "in a refrigerator": "refrigerator", "in a freezer": "freezer"}
    for label, value in pairs:
        if not label.startswith("keeps") or "FoodKeeper" not in value:
            continue
        place = next(table for words, table in places.items() if label.endswith(words))
        days, product = re.match(r"^(\d+) days? \((.*), FoodKeeper data, 2018\)$", value).groups()
        fits = [r for r in keeping if r["place"] == place and r["max_days"] and int(float(r["max_days"])) == int(days)]
        # What a kind is like (`such as ...`) is left out on the screen.
        kinds = [(r["product"], re.sub(r" \(such as.*$", "", r["subtitle"])) for r in fits]
        names = {", ".join(x for x in kind if x).lower() for kind in kinds} | {name.lower() for name, _ in kinds}
        if product.lower() not in names:
            yield f"{label}: {value}"
        # "without meat" is no figure for meat.
        meat = any(words in group for words in ("Beef", "Pork", "Lamb", "Poultry", "Finfish"))
        if meat and "without meat" in product:
            yield f"{label}: {value}: of another food"


def all_times(keeping):
    """Findings of src/table/keeper.tsv, line by line."""
    states = {"bought": "from purchase", "opened": "after opening", "thawed": "after thawing", "unsaid": "start not stated"}
    held, product = [], None
    for line in (SOURCE / "keeper.tsv").read_text().splitlines():
        if line.startswith("#"):
            continue
        cells = line.split("\t")
        if line.startswith("= "):
            product = cells[0][2:]
        else:
            held.append((product, cells[0], states[cells[1]], cells[2], cells[3]))
    published = [(r["product_id"], r["place"], r["state"], r["min_days"], r["max_days"]) for r in keeping]
    for place, (ours, theirs) in enumerate(zip(held, published)):
        if ours != theirs:
            yield f"keeping time {place + 1}: {ours}, published {theirs}"
    if len(held) != len(published):
        yield f"{len(held)} keeping times, published {len(published)}"


def advice():
    """Each line of advice with its source, and which have none."""
    text = (SOURCE / "advice.rs").read_text()
    text = text[text.index("pub const ADVICE"):text.index("impl Topic")]
    joined = re.sub(r'\\\n\s*', "", text)
    for block in joined.split("Advice {")[1:]:
        fields = dict(re.findall(r'(title|source|line): "((?:[^"\\]|\\.)*)"', block))
        yield fields.get("title", "?"), fields.get("source", ""), fields.get("line", "")


# Foods that were once named or weighed wrong: a row, what its screen must say, in so many words.
NAMED = [
    ("chickpeas drained, 253 of 448 g", "16358", ["448 g, 253 g of it drained"]),
    ("kidney beans drained, 266 of 436 g", "16145", ["436 g, 266 g of it drained"]),
    ("potatoes, peeled and in the skin", "11352", ["81.3 %", "a cook who keeps the skin gives a yield"]),
    ("broccoli, trimmed 61 %, florets 45.5 %", "11090", ["61 %", "45.5 %"]),
    ("spinach of a bunch, 72 %", "11457", ["72 %", "340 g"]),
    ("baby spinach, all of it", "11457-washed", ["100 %"]),
    ("cauliflower 39 % beside 83.3 %", "11135", ["39 %", "83.3 %"]),
    ("coarse salt, 3 g a teaspoon", "02047-coarse", ["3 g"]),
    ("coarse sea and rock salt, 4.8 g", "02047-sea", ["4.8 g"]),
    ("red peppers of a jar, 1369 mg of sodium", "11916", ["1369 mg"]),
]
# And what it must not say.
NEVER = [("baby spinach is no bunch", "11457-washed", "bunch"), ("coarse salt has no cup of fine salt", "02047-coarse", "292 g")]


def named(program):
    """Findings of the foods above."""
    for what, number, wanted in NAMED:
        pairs = shown(program, number) or []
        text = " ".join(value for _, value in pairs)
        lacking = [words for words in wanted if words not in text]
        yield what, [f"{number} does not say {words}" for words in lacking]
    for what, number, unwanted in NEVER:
        told = [f"{label} {value}" for label, value in shown(program, number) or [] if label != "note"]
        yield what, [f"{number} says {line}" for line in told if unwanted in line]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--program", default="target/release/scant")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(1 << 32))
    parser.add_argument("--foods", type=int, default=60)
    asked = parser.parse_args()
    foods = read(asked.folder, "sr28-foods.csv")
    listed = {}
    for row in read(asked.folder, "sr28-measures.csv"):
        listed.setdefault(row["ndb_no"], []).append(row)
    keeping = read(asked.folder, "keeping.csv")
    chosen = random.Random(asked.seed).sample(foods, asked.foods)
    figures, masses, lives = [], [], []
    counts = [0, 0, 0]
    for row in chosen:
        number = row["ndb_no"]
        pairs = shown(asked.program, number)
        if pairs is None:
            figures.append(f"{number}: not shown")
            continue
        own = listed.get(number, [])
        counts[0] += len(NUTRIENTS)
        counts[1] += len(own) + 1
        counts[2] += sum(label.startswith("keeps") for label, _ in pairs)
        figures += [f"{number} {row['description']}: {x}" for x in nutrients(pairs, row)]
        masses += [f"{number} {row['description']}: {x}" for x in measures(pairs, row, own)]
        lives += [f"{number} {row['description']}: {x}" for x in times(pairs, keeping, row['group'])]
    every = list(all_times(keeping))
    lines = list(advice())
    sourceless = [f"{title}: no source" for title, source, _ in lines if not source]
    wrong_names = list(named(asked.program))
    print(f"seed {asked.seed}, {asked.foods} foods\n")
    print("| what | held against | checks | wrong |\n| --- | --- | --- | --- |")
    print(f"| nutrients | sr28-foods.csv | {counts[0]} | {len(figures)} |")
    print(f"| measures and yields | sr28-measures.csv | {counts[1]} | {len(masses)} |")
    print(f"| keeping times on these screens | keeping.csv | {counts[2]} | {len(lives)} |")
    print(f"| keeping times, all | keeping.csv | {len(keeping)} | {len(every)} |")
    print(f"| lines of advice | each has a source | {len(lines)} | {len(sourceless)} |")
    bad = [x for _, told in wrong_names for x in told]
    print(f"| foods once wrong | what the screen must say | {len(wrong_names)} | {len(bad)} |\n")
    print("| advice | source |\n| --- | --- |")
    for title, source, _ in lines:
        print(f"| {title} | {source} |")
    findings = figures + masses + lives + every + sourceless + bad
    for finding in findings:
        print(f"WRONG: {finding}")
    sys.exit(1 if findings else 0)


if __name__ == "__main__":
    main()
