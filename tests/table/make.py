#!/usr/bin/env python3
"""Makes the tables under src/table from a folder of published figures and from names.tsv.

    python3 tests/table/make.py FOLDER

FOLDER holds the figures as CSV: sr28-foods.csv and sr28-measures.csv (USDA National Nutrient Database
for Standard Reference, Release 28), sr28-gone.csv, keeping.csv (FoodKeeper data, version 128), packs.csv
and storage-check.csv. What is ours (names, other names, which measure a cook means by `piece`, notes)
stands in names.tsv beside this script; src/table/keeping.tsv, kinds.tsv and allergens.tsv are by hand.
A measure of names.tsv that the release does not have is an error unless its note says `no source` or `told as`.
"""
import csv
import re
import sys
from decimal import Decimal
from pathlib import Path

HERE = Path(__file__).parent
TABLE = HERE.parent.parent / "src" / "table"

NUTRIENTS = [
    "energy_kcal", "protein_g", "fat_g", "saturated_g", "carbohydrate_g", "fibre_g", "sugars_g", "calcium_mg",
    "iron_mg", "magnesium_mg", "potassium_mg", "sodium_mg", "zinc_mg", "vitamin_c_mg", "folate_dfe_ug",
    "vitamin_b12_ug", "vitamin_a_rae_ug", "vitamin_e_mg", "vitamin_k_ug",
]

GROUPS = {
    "Vegetables and Vegetable Products": "vegetables",
    "Fruits and Fruit Juices": "fruit",
    "Finfish and Shellfish Products": "fish and seafood",
    "Dairy and Egg Products": "eggs and dairy",
    "Beef Products": "beef",
    "Legumes and Legume Products": "legumes",
    "Baked Products": "bread",
    "Cereal Grains and Pasta": "grains",
    "Poultry Products": "poultry",
    "Pork Products": "pork",
    "Nut and Seed Products": "nuts and seeds",
    "Soups, Sauces, and Gravies": "soups and sauces",
    "Sausages and Luncheon Meats": "sausages and cold meats",
    "Lamb, Veal, and Game Products": "lamb, veal and game",
    "Fats and Oils": "oils and fats",
    "Spices and Herbs": "spices",
    "Sweets": "sweeteners and sweets",
    "Beverages": "drinks",
    "Snacks": "snacks",
    "Breakfast Cereals": "breakfast cereals",
    "Meals, Entrees, and Side Dishes": "ready dishes",
}

# Words of the release and ours, first to last.
RENAMED = [
    (r"\(usda[^)]*\)", ""),
    (r", mature seeds, raw$", ", dry"),
    (r", mature seeds\b", ""),
    (r", cooked, boiled, drained\b", ", cooked"),
    (r", cooked, boiled\b", ", cooked"),
    (r", boiled, drained\b", ", boiled"),
    (r", drained solids\b", ", drained"),
    (r", solids and liquids?\b", ", with liquid"),
    (r", without (added )?salt( added)?\b", ", unsalted"),
    (r", no salt added\b", ", unsalted"),
    (r", with (added )?salt( added)?\b", ", salted"),
    (r", salt added\b", ", salted"),
    (r"\bseparable lean and fat\b", "lean and fat"),
    (r"\bseparable lean only\b", "lean only"),
    (r'(\d)"', r"\1 inch"),
    (r"\bmilkfat\b", "fat"),
    (r", unprepared\b", ""),
    (r"\bcommercially prepared\b", "bought"),
    (r"\b(home|homemade)[- ]prepared\b|\bhomemade\b|\bprepared from recipe\b", "home-made"),
    (r"\ball commercial varieties\b", "all kinds"),
    (r"\bfiber\b", "fibre"),
]
HEADS = r"^(spices|nuts|seeds|snacks|cereals ready-to-eat|cereals|beverages|alcoholic beverage|fish|crustaceans|" \
        r"mollusks|candies|game meat|leavening agents|sweeteners),? ?, "


def plain(description):
    """The release's description in our words."""
    text = description.lower().replace(" ,", ",")
    text = re.sub(HEADS, "", text)
    text = re.sub(r"^syrups?, ", "syrup, ", text)
    for pattern, ours in RENAMED:
        text = re.sub(pattern, ours, text)
    text = text.replace(";", ",").replace("\t", " ")
    text = re.sub(r"\s*,[\s,]*", ", ", text)
    return re.sub(r"\s+", " ", text).strip(" ,")


ACCENTS = str.maketrans("áàâäéèêëíîïñóôöúûüç", "aaaaeeeeiiinooouuuc")


def singular(word):
    if word == "leaves":
        return "leaf"
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "shes", "ches")):
        return word[:-2]
    if word.endswith("ss") or len(word) < 4:
        return word
    return word[:-1] if word.endswith("s") else word


def key(text):
    """What two names share that the table cannot tell apart: see src/table/search.rs."""
    words = re.split(r"[\s,\-()]+", text.lower().translate(ACCENTS))
    return " ".join(sorted(singular(w) for w in words if w))


SPOON = {"tablespoon": "tbsp", "tablespoons": "tbsp", "teaspoon": "tsp", "teaspoons": "tsp", "quart": "qt",
         "pint": "pt", "gallon": "gal", "fluid ounce": "fl oz", "cups": "cup", "fruits": "piece", "fruit": "piece",
         "slices": "slice", "cakes": "cake", "sprigs": "sprig", "beans": "bean", "leaves": "leaf", "pieces": "piece",
         "eggs": "egg", "nuts": "nut", "kernels": "kernel", "pods": "pod", "ribs": "rib", "floz": "fl oz"}


def measure_name(text):
    """A measure of the release as a name a recipe can use, and what else it says."""
    text = text.strip().lower().replace('"', " inch").replace(";", ",").replace("=", " is ")
    note = None
    found = re.search(r"\(", text)
    if found:
        note = text[found.start():].strip()
        text = text[: found.start()]
    text, _, rest = text.partition(", excluding refuse")
    if rest or _:
        note = ("without refuse" + (" " + note if note else "")).strip()
    text = re.sub(r"[,\s]+", " ", text).strip()
    head = text.split(" ")[0]
    if text in SPOON:
        text = SPOON[text]
    elif head in SPOON:
        text = SPOON[head] + text[len(head):]
    if note:
        note = re.sub(r"^\(\s*(.*?)\s*\)$", r"\1", re.sub(r"\s+", " ", note))
        note = note.replace("(", "[").replace(")", "]")
    return text, note


MASS = re.compile(r"^(oz|lb|g|kg|ounce|pound)\b")


def decimal(text):
    """A figure of the release without zeros at its end."""
    if text == "":
        return ""
    value = format(Decimal(text).normalize(), "f")
    assert len(value.partition(".")[2]) <= 3, text
    return value


def figure(grams, amount):
    return decimal(grams) + ("" if Decimal(amount) == 1 else "/" + decimal(amount))


def measures(number, hand, listed, complaints, named):
    """Measures by hand first, then what the release has besides. Of a row that nobody named a plain cup is the
    only cup there is, however it is filled; where there are several a cook says which."""
    have = {Decimal(r["grams"]) / Decimal(r["amount"]) for r in listed}
    out, taken, cups = [], {}, []
    for cell in [c for c in hand.split(";") if c]:
        name, _, rest = cell.partition("=")
        fig, _, note = rest.partition(" (")
        grams, _, count = fig.partition("/")
        each = Decimal(grams) / Decimal(count or 1)
        if each not in have and "no source" not in note and "told as" not in note:
            complaints.append(f"{number}: {cell} is not in the release: {[(r['amount'], r['measure'], r['grams']) for r in listed]}")
        out.append(cell)
        taken[name] = each
    for r in listed:
        name, note = measure_name(r["measure"])
        each = Decimal(r["grams"]) / Decimal(r["amount"])
        if each <= 0 or MASS.match(name) or not name or not name[0].isalpha():
            continue
        if name in taken and taken[name] != each and note:
            name, note = f"{name} {re.sub(r'[^a-z0-9/.% -]', '', note)}".strip(), None
        if name in taken:
            if taken[name] == each:
                continue
            name = next(f"{name} {word}" for word in ("other", "third", "fourth", "fifth", "sixth") if f"{name} {word}" not in taken)
        if name.startswith("cup "):
            cups.append((name, r))
        taken[name] = each
        out.append(f"{name}={figure(r['grams'], r['amount'])}" + (f" ({note})" if note else ""))
    if "cup" not in taken and len(cups) == 1 and not named:
        name, r = cups[0]
        out.append(f"cup={figure(r['grams'], r['amount'])} (as {name})")
    # One volume a word, the plain ones first.
    units = ["tsp", "tbsp", "fl oz", "cup", "pt", "qt"]
    out.sort(key=lambda c: 0 if c.split("=")[0] in units else 1)
    return ";".join(out)


def read(path):
    with open(path, newline="") as file:
        return list(csv.DictReader(file))


def foods(folder):
    rows = {r["ndb_no"]: r for r in read(folder / "sr28-foods.csv")}
    listed = {}
    for r in read(folder / "sr28-measures.csv"):
        listed.setdefault(r["ndb_no"], []).append(r)
    complaints, groups, keys, done = [], {}, {}, set()

    def line(number, name, aliases, share, hand, note, named=True):
        base = number.split("-")[0]
        row = rows.get(base)
        if row is None:
            complaints.append(f"{number} is not in the release")
            return None
        done.add(base)
        refuse = row["refuse_pct"]
        share = share or decimal(str(100 - Decimal(refuse or 0)))
        for text in [name, *[a for a in aliases.split(";") if a]]:
            other = keys.setdefault(key(text), number)
            if other != number:
                complaints.append(f"{number} and {other} are both called {text}")
        cells = [number, name, aliases, share] + [decimal(row[n]) for n in NUTRIENTS]
        # A row bought or measured another way has no measures but ours: no bunch of washed leaves, no cup of fine
        # salt for coarse.
        told = measures(number, hand, listed.get(base, []), complaints, named).split(";")
        ours = [cell.partition("=")[0] for cell in hand.split(";")]
        if number != base:
            told = [cell for cell in told if cell.partition("=")[0] in ours]
        cells += [";".join(told), note]
        return "\t".join(cells)

    group = None
    for text in (HERE / "names.tsv").read_text().splitlines():
        if text.startswith("#") or not text:
            continue
        if text.startswith("= "):
            group = text[2:]
            groups.setdefault(group, [])
            continue
        made = line(*text.split("\t"))
        if made:
            groups[group].append(made)
    by_hand = sum(len(g) for g in groups.values())
    hand_groups = list(groups)
    rest = {}
    for number, row in rows.items():
        if number in done:
            continue
        name, note = plain(row["description"]), ""
        if key(name) in keys:
            name = row["description"].lower().replace('"', " inch")
        if key(name) in keys:
            complaints.append(f"{number}: no name of its own: {name}")
        if "raw" not in name and not row["refuse_pct"]:
            note = "refuse not given in the source; taken as none"
        if row["note"]:
            note = row["note"]
        made = line(number, name, "", "", "", note, named=False)
        rest.setdefault(GROUPS[row["group"]], []).append((name, made))
    if complaints:
        sys.exit("\n".join(complaints))
    head = [
        "# Foods of the United States Department of Agriculture National Nutrient Database for Standard Reference,",
        "# Release 28 (2015), renamed; figures per 100 g of the edible portion; empty means the source has no value.",
        "# Made by tests/table/make.py: what is ours stands in tests/table/names.tsv. After `== ` come the rows that",
        "# nobody named by hand.",
        "# number\tname\taliases\tyield %\t" + "\t".join(NUTRIENTS) + "\tmeasures (grams, or grams/count)\tnote",
    ]
    text = head[:]
    for group in hand_groups:
        text += ["= " + group, *groups[group]]
    for group in sorted(rest):
        text += ["== " + group, *[made for _, made in sorted(rest[group])]]
    (TABLE / "foods.tsv").write_text("\n".join(text) + "\n")
    print(f"{by_hand} rows named by hand, {sum(len(r) for r in rest.values())} others")


def cell(text):
    """Text without what parts our cells."""
    return re.sub(r"\s+", " ", text or "").strip()


def gone(folder):
    text = ["# Foods of Release 26 that Release 28 no longer has, and the nearest row. Made by tests/table/make.py.",
            "# number\tname\tnearest row\twhat to know"]
    for r in read(folder / "sr28-gone.csv"):
        text.append("\t".join([r["ndb_no_sr26"], plain(r["description_sr26"]), r["nearest_ndb_no_sr28"], cell(r["note"])]))
    (TABLE / "gone.tsv").write_text("\n".join(text) + "\n")


STATES = {"from purchase": "bought", "after opening": "opened", "after thawing": "thawed", "start not stated": "unsaid"}


def keeper(folder):
    """One product a block: a line `= id  product  what kind  category`, then one line a figure."""
    text = ["# Keeping times of the FoodKeeper data, version 128 (2018): USDA Food Safety and Inspection Service with Cornell",
            "# University and the Food Marketing Institute. Made by tests/table/make.py.",
            "# = product id\tproduct\twhich kind\tcategory",
            "# place\tstate (bought: from purchase; opened; thawed; unsaid: the source names no start)\tleast days\tmost days\t"
            "as the source says it\ttip\tdoubt"]
    last = None
    for r in read(folder / "keeping.csv"):
        if r["product_id"] != last:
            last = r["product_id"]
            text.append("\t".join(["= " + last, cell(r["product"]).lower(), cell(r["subtitle"]).lower(), cell(r["category"]).lower()]))
        doubt = "" if r["check"] in ("two copies agree", "tip only") else cell(r["check"])
        text.append("\t".join([r["place"], STATES[r["state"]], r["min_days"], r["max_days"], cell(r["words"]), cell(r["tip"]), doubt]))
    (TABLE / "keeper.tsv").write_text("\n".join(text) + "\n")


PACK_SOURCES = [("USDA National Nutrient Database", "R"), ("USDA Food Buying Guide", "F"), ("Maine Administrative Code", "M"),
                ("Extension newspaper column", "E"), ("common practice", "C")]


def packs(folder):
    text = ["# Usual packs and what is left of them when drained. Made by tests/table/make.py.",
            "# source R: household measures of Release 28; F: USDA Food Buying Guide, Section 1; M: Maine Administrative Code",
            "# 01-001 ch. 336; E: an extension newspaper column of 2009; C: common practice, read in no source.",
            "# food\tnumbers\tkind\tpack\tUS size\tgrams\twhat the grams are\tdrained g\tdrained %\tsource\tnote"]
    for r in read(folder / "packs.csv"):
        letter = next(letter for start, letter in PACK_SOURCES if r["source"].startswith(start))
        basis = {"net contents": "net", "drained solids": "drained"}[r["grams_basis"]]
        text.append("\t".join([plain(r["food"]), r["ndb_no"], r["kind"], cell(r["pack"]).replace('"', " inch"), cell(r["us_size"]),
                               cell(r["grams"]), basis, cell(r["drained_g"]), cell(r["drained_share_pct"]), letter, cell(r["note"])]))
    (TABLE / "packs.tsv").write_text("\n".join(text) + "\n")


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    foods(folder)
    gone(folder)
    keeper(folder)
    packs(folder)
