"""An independent judge of a week: reads a kitchen and a plan, knows nothing of the program.

    python3 benches/attack_judge.py KITCHEN_FOLDER PLAN.json

The rules are those of models/week.md and models/kitchen-files.md, worked out again in Python's
whole numbers and fractions from the kitchen's files, the published food table in src/table and the
plan as `scant week --format json` printed it. A plan does not say what was drawn from which pack
on which day: the judge asks whether any drawing exists that agrees with what it says of each pack.
It does not ask whether a week is the best.

Only the part of YAML is read that the project's own kitchens use. A kitchen that it cannot read is
never judged, and said (`Unread`).
"""

import json
import os
import re
import sys
from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

HERE = os.path.dirname(os.path.abspath(__file__))
TABLE = os.path.join(os.path.dirname(HERE), "src", "table", "foods.tsv")
NANO = 10**9

NUTRIENTS = ("energy protein fat saturated carbohydrate fibre sugars calcium iron magnesium potassium "
             "sodium zinc vitamin_c folate vitamin_b12 vitamin_a vitamin_e vitamin_k").split()
# Minor units: digits of ISO 4217 that are not 2, of the currencies tried here.
DIGITS = {"JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0, "KWD": 3, "BHD": 3, "TND": 3, "JOD": 3}
WEEKDAYS = "sunday monday tuesday wednesday thursday friday saturday".split()
# NIST Handbook 44, Appendix C: grams and millilitres, exact.
OZ = Fraction("28.349523125")
CUP = Fraction("236.5882365")
MASS = {"mg": Fraction(1, 1000), "g": Fraction(1), "kg": Fraction(1000), "oz": OZ, "lb": 16 * OZ}
VOLUME = {"ml": Fraction(1), "l": Fraction(1000), "tsp": CUP / 48, "tbsp": CUP / 16, "fl oz": CUP / 8,
          "cup": CUP, "pt": 2 * CUP, "qt": 4 * CUP, "gal": 16 * CUP}
LONG = {"milligram": "mg", "gram": "g", "gr": "g", "gm": "g", "ounce": "oz", "pound": "lb", "lbs": "lb",
        "kilogram": "kg", "kilo": "kg", "kgs": "kg", "millilitre": "ml", "milliliter": "ml",
        "litre": "l", "liter": "l", "teaspoon": "tsp", "tsps": "tsp", "tablespoon": "tbsp",
        "tbsps": "tbsp", "floz": "fl oz", "fluid ounce": "fl oz", "cups": "cup", "pint": "pt",
        "pts": "pt", "quart": "qt", "qts": "qt", "gallon": "gal", "gals": "gal"}
VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
          "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


class Unread(Exception):
    """What this judge cannot read; no word about the kitchen's soundness."""


# ---------------------------------------------------------------- YAML, as far as it is needed

class Reader:
    """Reads block and flow mappings, lists, plain and quoted texts, comments."""

    def __init__(self, text):
        self.lines = []
        for number, raw in enumerate(text.split("\n"), 1):
            if "\t" in raw or "\r" in raw:
                raise Unread(f"line {number}: a tab or carriage return")
            self.lines.append(raw)
        self.at = 0

    def peek(self):
        """The next line that says something: (indent, text), or None."""
        while self.at < len(self.lines):
            text = self.lines[self.at].rstrip()
            body = text.lstrip(" ")
            if body and not body.startswith("#"):
                if body[0] in "&*!|>%@`?" or body.startswith("---") or body.startswith("..."):
                    raise Unread(f"line {self.at + 1}: {body[:20]!r}")
                return len(text) - len(body), body
            self.at += 1
        return None

    def whole(self):
        found = self.peek()
        if found is None:
            return {}
        value = self.block(found[0])
        if self.peek() is not None:
            raise Unread(f"line {self.at + 1}: indentation")
        return value

    def block(self, indent):
        _, body = self.peek()
        if body == "-" or body.startswith("- "):
            return self.items(indent)
        return self.mapping(indent)

    def items(self, indent):
        found = []
        while (here := self.peek()) and here[0] == indent and (here[1] == "-" or here[1].startswith("- ")):
            rest = here[1][1:]
            inner = rest.lstrip(" ")
            if not inner or inner.startswith("#"):
                self.at += 1
                found.append(self.below(indent))
                continue
            deeper = indent + 1 + len(rest) - len(inner)
            if inner.startswith("- ") or self.key(inner):
                self.lines[self.at] = " " * deeper + inner
                found.append(self.block(deeper))
            else:
                found.append(self.value(inner, indent))
        return found

    def mapping(self, indent):
        found = {}
        while (here := self.peek()) and here[0] == indent:
            key = self.key(here[1])
            if not key:
                raise Unread(f"line {self.at + 1}: no key")
            name, rest = key
            if name in found:
                raise Unread(f"line {self.at + 1}: `{name}` twice")
            if not rest or rest.startswith("#"):
                self.at += 1
                found[name] = self.below(indent, True)
            else:
                found[name] = self.value(rest, indent)
        return found

    def below(self, indent, lists=False):
        here = self.peek()
        if here and (here[0] > indent or (lists and here[0] == indent and here[1].startswith("- "))):
            return self.block(here[0])
        return ""

    @staticmethod
    def key(body):
        """(`key`, rest of the line) if the line begins with one."""
        if body[0] in "{[":
            return None
        if body[0] in "\"'":
            end = Reader.quoted(body, 0)[1]
            rest = body[end:]
            if rest.startswith(":") and (len(rest) == 1 or rest[1] == " "):
                return Reader.quoted(body, 0)[0], rest[1:].strip()
            return None
        match = re.match(r"([^#]*?)\s*:(?: +|$)", body)
        if not match or " #" in match.group(1):
            return None
        return match.group(1), body[match.end():].strip()

    @staticmethod
    def quoted(text, at):
        mark, out, at = text[at], [], at + 1
        while at < len(text):
            char = text[at]
            if char == mark:
                if mark == "'" and text[at + 1:at + 2] == "'":
                    out.append("'")
                    at += 2
                    continue
                return "".join(out), at + 1
            if mark == '"' and char == "\\":
                code = text[at + 1:at + 2]
                if code == "u":
                    out.append(chr(int(text[at + 2:at + 6], 16)))
                    at += 6
                    continue
                if code not in '"\\/n':
                    raise Unread(f"escape {code!r}")
                out.append({"n": "\n"}.get(code, code))
                at += 2
                continue
            out.append(char)
            at += 1
        raise Unread("an open quote")

    def value(self, rest, indent):
        """A value that begins on this line; goes on over deeper lines."""
        if rest[0] in "&*!|>%@`":
            raise Unread(f"line {self.at + 1}: {rest[:20]!r}")
        text = rest
        self.at += 1
        if rest[0] in "{[":
            while not self.balanced(text):
                if self.at >= len(self.lines):
                    raise Unread("an open bracket")
                text += "\n" + self.lines[self.at].strip()
                self.at += 1
            value, end = self.flow(text, 0)
            if text[end:].strip() and not text[end:].strip().startswith("#"):
                raise Unread(f"line {self.at}: something after a bracket")
            return value
        if rest[0] in "\"'":
            value, end = self.quoted(rest, 0)
            if rest[end:].strip() and not rest[end:].strip().startswith("#"):
                raise Unread(f"line {self.at}: something after a quote")
            return value
        text = re.split(r"\s#", rest)[0].strip()
        while (here := self.peek()) and here[0] > indent and not self.key(here[1]):
            if re.search(r"\s#", rest):
                raise Unread("a comment inside a text")
            text += " " + here[1]
            self.at += 1
        if ": " in text or text.endswith(":"):
            raise Unread(f"line {self.at}: a colon inside a text")
        return text

    @staticmethod
    def balanced(text):
        depth, at = 0, 0
        while at < len(text):
            char = text[at]
            if char in "\"'" and text[at - 1] in " ,[{:\n":
                try:
                    at = Reader.quoted(text, at)[1]
                except Unread:
                    return False
                continue
            if char == "#" and text[at - 1] in " \n":
                at = text.find("\n", at)
                if at < 0:
                    return False
                continue
            depth += (char in "{[") - (char in "}]")
            if depth == 0:
                return True
            at += 1
        return False

    def skip(self, text, at):
        while at < len(text):
            if text[at] in " \n":
                at += 1
            elif text[at] == "#" and text[at - 1] in " \n":
                end = text.find("\n", at)
                at = len(text) if end < 0 else end
            else:
                return at
        raise Unread("an open bracket")

    def flow(self, text, at):
        at = self.skip(text, at)
        char = text[at]
        if char == "[":
            found, at = [], self.skip(text, at + 1)
            while text[at] != "]":
                value, at = self.flow(text, at)
                found.append(value)
                at = self.skip(text, at)
                if text[at] == ",":
                    at = self.skip(text, at + 1)
                elif text[at] != "]":
                    raise Unread("a list")
            return found, at + 1
        if char == "{":
            found, at = {}, self.skip(text, at + 1)
            while text[at] != "}":
                key, at = self.word(text, at, True)
                at = self.skip(text, at)
                if text[at] != ":" or not isinstance(key, str) or key in found:
                    raise Unread("a mapping")
                found[key], at = self.flow(text, at + 1)
                at = self.skip(text, at)
                if text[at] == ",":
                    at = self.skip(text, at + 1)
                elif text[at] != "}":
                    raise Unread("a mapping")
            return found, at + 1
        return self.word(text, at, False)

    def word(self, text, at, key):
        if text[at] in "\"'":
            return self.quoted(text, at)
        if text[at] in "&*!|>%@`,:]}":
            raise Unread(f"{text[at]!r} where a text is wanted")
        start = at
        while at < len(text) and text[at] not in ",[]{}":
            if text[at] == ":" and (at + 1 == len(text) or text[at + 1] in " \n,]}"):
                break
            if text[at] == "#" and text[at - 1] in " \n":
                break
            at += 1
        if not key and at < len(text) and text[at] == ":":
            raise Unread("a colon inside a text")
        return " ".join(text[start:at].split()), at


def read_yaml(text):
    return Reader(text).whole()


SAFE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_ .,'%/()+¼½¾⅓⅔-]*\Z")


def scalar(text, flow=True):
    if SAFE.match(text) and not text.endswith(" ") and not (flow and "," in text):
        return text
    return json.dumps(text, ensure_ascii=False)


def write_yaml(value, indent=0):
    """The same tree as plain block YAML."""
    pad = " " * indent
    if isinstance(value, str):
        return pad + scalar(value) + "\n"
    if not value:
        return pad + ("[]" if isinstance(value, list) else "{}") + "\n"
    out = []
    if isinstance(value, list):
        for item in value:
            text = write_yaml(item, indent + 2)
            out.append(pad + "- " + text[indent + 2:])
    else:
        for key, item in value.items():
            if isinstance(item, str) or not item:
                out.append(f"{pad}{scalar(key)}: {write_yaml(item).strip()}\n")
            else:
                out.append(f"{pad}{scalar(key)}:\n{write_yaml(item, indent + 2)}")
    return "".join(out)


def merge(trees):
    """The files of a folder, in name order, as one kitchen."""
    whole = {}
    for tree in trees:
        if not isinstance(tree, dict):
            raise Unread("a file that is no mapping")
        for key, value in tree.items():
            if key in ("foods", "components", "recipes", "stock"):
                whole.setdefault(key, []).extend(value or [])
            elif key in whole:
                raise Unread(f"`{key}` twice")
            else:
                whole[key] = value
    return whole


def read_folder(folder):
    names = sorted(name for name in os.listdir(folder) if name.endswith((".yaml", ".yml")))
    trees = []
    for name in names:
        with open(os.path.join(folder, name), encoding="utf-8", newline="") as file:
            trees.append(read_yaml(file.read()))
    return merge(trees)


# ---------------------------------------------------------------- the kitchen's meaning

def same(name):
    return " ".join(name.split()).lower()


def milli(text):
    value = Fraction(Decimal(text)) * 1000
    if value.denominator != 1:
        raise Unread(f"{text}: more than three decimals")
    return int(value)


def half_up(value):
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def number(text):
    """A cook's number in front of a quantity, and the measure behind it."""
    for mark, plain in VULGAR.items():
        text = text.replace(mark, f" {plain} ")
    match = re.match(r"\s*(?:(\d+(?:\.\d+)?)\s+)?(\d+)\s*/\s*(\d+)\s*(.*)\Z", text)
    if match and "." not in (match.group(1) or ""):
        value = Fraction(match.group(1) or 0) + Fraction(int(match.group(2)), int(match.group(3)))
        return value, match.group(4).strip()
    match = re.match(r"\s*(\d+(?:\.\d+)?)\s*([^\d/].*)\Z", text)
    if not match:
        raise Unread(f"quantity {text!r}")
    return Fraction(match.group(1)), match.group(2).strip()


def stem(word):
    word = word.lower()
    if len(word) <= 3:
        return word
    if word.endswith("s") and not word.endswith(("ss", "us")):
        word = word[:-1]
    if word.endswith("ie"):
        return word[:-2] + "y"
    if word.endswith(("she", "che", "xe", "sse", "ze", "oe")):
        return word[:-1]
    if word.endswith(("ve", "fe")):
        return word[:-2] + "f"
    return word


def measure_key(text):
    return " ".join(stem(word) for word in re.split(r"[\s,]+", text) if word)


def unit_of(text):
    word = " ".join(text.split()).lower()
    word = LONG.get(word) or LONG.get(word.rstrip("s")) or word
    return word if word in MASS or word in VOLUME else None


class Measures:
    def __init__(self):
        self.list = []
        self.pack = None

    def add(self, name, mg, own):
        key, unit = measure_key(name), unit_of(name)
        unit = unit if unit in VOLUME else None
        self.list = [m for m in self.list if m[0] != key and (unit is None or m[1] != unit)]
        self.list.append((key, unit, mg, own))

    def mg(self, text, packs=True):
        count, measure = number(text)
        unit = unit_of(measure)
        if unit in MASS:
            return int(count * MASS[unit] * 1000)
        for key, volume, mg, _ in self.list:
            if key == measure_key(measure) or (unit and volume == unit):
                return int(count * mg)
        if unit:
            volumes = [m for m in self.list if m[1]]
            if not volumes:
                raise Unread(f"a volume of what has none: {text}")
            base = max(volumes, key=lambda m: (m[3], VOLUME[m[1]]))
            return int(count * VOLUME[unit] * base[2] / VOLUME[base[1]])
        if packs and self.pack and measure_key(measure) in ("pack", "unit"):
            unit_mg, units = self.pack
            return int(count * unit_mg * (units if measure_key(measure) == "pack" else 1))
        raise Unread(f"measure {text!r}")


_table = {}


def table():
    if not _table:
        with open(TABLE, encoding="utf-8") as file:
            for line in file:
                cells = line.rstrip("\n").split("\t")
                if line.startswith(("#", "=")) or len(cells) < 4 + len(NUTRIENTS) + 2:
                    continue
                measures = []
                for text in filter(None, cells[4 + len(NUTRIENTS)].split(";")):
                    name, rest = text.split("=", 1)
                    grams, _, count = rest.split(" (")[0].partition("/")
                    measures.append((name, int(Fraction(Decimal(grams)) * 1000 / Fraction(Decimal(count or "1")))))
                row = {
                    "nutrients": [milli(cell) if cell else None for cell in cells[4:4 + len(NUTRIENTS)]],
                    "yield": milli(cells[3]), "measures": measures,
                }
                for name in [cells[0], cells[1], *filter(None, cells[2].split(";"))]:
                    _table[same(name)] = row
    return _table


def held(entry):
    """The steps of an entry: passive minutes, if it says, and whether something is held."""
    steps = [step if isinstance(step, dict) else {} for step in entry.get("steps") or []]
    says = any("needs" in step for step in steps)
    return [(int(step["passive"]) if "passive" in step else None,
             bool(step.get("needs") if says else entry.get("needs"))) for step in steps]


def watched(steps, passive, needs):
    """Passive minutes of a batch at which the cook stays: those of steps that hold something. What no step says
    goes behind the last that says nothing, else behind the last."""
    if not steps:
        return passive if needs else 0
    minutes = [said or 0 for said, _ in steps]
    silent = [at for at, (said, _) in enumerate(steps) if said is None]
    minutes[silent[-1] if silent else -1] += max(0, passive - sum(minutes))
    return sum(one for one, (_, holds) in zip(minutes, steps) if holds)


class Kitchen:
    """A kitchen's files as whole numbers: milligrams, minor units, 1e-9 minutes."""

    def __init__(self, tree):
        self.tree = tree
        try:
            self.read(tree)
        except (KeyError, ValueError, TypeError, AttributeError, ArithmeticError, IndexError) as error:
            raise Unread(f"{type(error).__name__}: {error}") from error

    def money(self, text):
        value = Fraction(Decimal(text.replace("−", "-"))) * 10**self.digits
        if value.denominator != 1:
            raise Unread(f"money {text!r}")
        return int(value)

    def day(self, text):
        if text.isdigit():
            return int(text)
        at = WEEKDAYS.index(text.strip().lower())
        return (at - self.prep_day) % 7

    def read(self, tree):
        known = {"kitchen", "currency", "week", "equipment", "stock", "aims", "rules", "foods", "components", "recipes"}
        if set(tree) - known:
            raise Unread(f"unknown keys {set(tree) - known}")
        self.digits = DIGITS.get(tree["currency"], 2)
        week = tree.get("week") or {}
        self.lunches = int(week.get("lunches", "5"))
        self.prep_day = WEEKDAYS.index(week.get("prep_day", "Sunday").lower())
        self.carry = int(week.get("carry_day", str(self.lunches + 3)))
        self.shops = [same(shop["shop"]) for shop in week.get("shops") or []]
        self.trips = self.trips_of(week)
        self.eaters = self.by_day(week.get("eaters", "1"), self.factor)
        self.foods, self.components, self.recipes = {}, {}, {}
        for entry in tree.get("foods") or []:
            self.food(entry)
        self.weigh_components(tree.get("components") or [])
        for entry in tree.get("recipes") or []:
            self.recipe(entry)
        self.stock = [self.on_hand(entry) for entry in tree.get("stock") or []]
        self.aims(tree.get("aims") or {})
        self.rules(tree.get("rules") or {})

    def trips_of(self, week):
        """Shopping trips as (day, shop, price of going or None): the usual shop's first, the rest by day and shop."""
        if not self.shops:
            return [(self.day(day), None, None) for day in week.get("trips", ["0"])]
        trips = [(self.day(day), place, self.money(shop["trip_price"]) if "trip_price" in shop else None)
                 for place, shop in enumerate(week["shops"]) for day in shop.get("days", ["0"])]
        trips[1:] = sorted(trips[1:], key=lambda trip: trip[:2])
        return [(day, self.shops[place], price) for day, place, price in trips]

    def factor(self, value):
        if isinstance(value, list):
            return sum(milli(part) for part in value)
        return milli(value)

    def by_day(self, value, read, first=1):
        days = range(first, self.lunches + 1)
        if not isinstance(value, dict):
            return {day: read(value) for day in days}
        each = read(value["each_day"]) if "each_day" in value else None
        found = {day: each for day in days}
        for key, item in value.items():
            if key != "each_day":
                found[self.day(key)] = read(item)
        return found

    def food(self, entry):
        row = table()[same(entry["table"])] if "table" in entry else None
        nutrients = list(row["nutrients"]) if row else [None] * len(NUTRIENTS)
        for key, value in (entry.get("nutrients") or {}).items():
            nutrients[NUTRIENTS.index(key)] = milli(value)
        share = row["yield"] if row else 100_000
        if "yield" in entry:
            share = milli(entry["yield"].replace("%", "").strip())
        measures = Measures()
        for name, mg in (row["measures"] if row else []):
            measures.add(name, mg, False)
        for name, value in (entry.get("measures") or {}).items():
            measures.add(name, Measures().mg(value), True)
        food = {
            "name": " ".join(entry["food"].split()), "staple": entry.get("staple") == "true", "nutrients": nutrients,
            "family": same(entry["family"]) if entry.get("family") else None,
            "tags": {same(tag) for tag in entry.get("tags") or []},
            "allergens": {same(word) for word in entry.get("allergens") or []},
            "measures": measures, "packs": {}, "credits": {},
        }
        for pack in entry["packs"]:
            self.pack(food, pack, share)
        for group, quantity in (entry.get("credits") or {}).items():
            food["credits"][same(group)] = -(-100_000 * 10**6 // measures.mg(quantity))
        first = next(iter(food["packs"].values()))
        food["value"] = min(pack["value"] for pack in food["packs"].values())
        food["first"] = first
        self.foods[same(food["name"])] = food

    def pack(self, food, entry, share):
        count, measure = number(entry["size"])
        if unit_of(measure) in MASS:
            bought = int(count * MASS[unit_of(measure)] * 1000)
            edible = bought * share // 100_000
        else:
            edible = food["measures"].mg(entry["size"], packs=False)
            bought = -(-edible * 100_000 // share)
        units = int(entry.get("units", "1"))
        label = " ".join(entry.get("pack", entry["size"]).split())
        if not food["packs"]:
            food["measures"].pack = (edible, units)
        # The same pack at another shop has another price and no other difference.
        usual = self.shops[0] if self.shops else None
        prices = entry["price"] if isinstance(entry["price"], dict) else {usual: entry["price"]}
        prices = {shop and same(shop): price for shop, price in prices.items()}
        for shop in self.shops or [None]:
            if shop in prices:
                food["packs"][same(label), shop] = self.terms(food, entry, bought, edible, units, self.money(prices[shop]))

    def terms(self, food, entry, bought, edible, units, price):
        pack = {"bought": bought, "mg": edible, "units": units, "price": price,
                "value": half_up(Fraction(price * NANO, edible * units)), "stage": entry.get("stage")}
        if not food["staple"]:
            if "ready" in entry:
                low, high = (int(part) for part in entry["ready"].split(".."))
            else:
                low, high = 0, int(entry["keeps"])
            loose = entry.get("loose") == "true"
            opens = int(entry["open_keeps"]) if "open_keeps" in entry else None
            if "end" in entry:
                end = int(entry["end"])
            else:
                end = high + (opens or 0) if "ready" in entry else high
            if opens is None:
                opens = end - low if loose else 0
            pack.update(low=low, high=high, end=end, opens=opens, loose=loose)
        return pack

    def weigh_components(self, entries):
        written = {same(entry["component"]): entry for entry in entries}
        measures = {}
        for name, entry in written.items():
            measures[name] = Measures()
            for word, value in (entry.get("measures") or {}).items():
                measures[name].add(word, Measures().mg(value), True)
        rates = {}

        def weigh(name, deep=0):
            if name in self.components:
                return self.components[name]
            if deep > 40:
                raise Unread("components too deep")
            entry = written[name]
            own = measures[name]
            makes = own.mg(entry["makes"])
            foods, inside, seen = defaultdict(int), [], set()
            fixed = Fraction(Decimal(entry.get("minutes", "0")))
            passive = int(entry.get("passive_minutes", "0"))
            rate = 0
            if "portion" in entry:
                each = int(Fraction(Decimal(entry["minutes_per_portion"])) * NANO)
                rate = each * NANO // own.mg(entry["portion"])
            tags = {same(tag) for tag in entry.get("tags") or []}
            needs = {same(tool) for tool in entry.get("needs") or []}
            steps, own_steps = [], held(entry)
            for item in entry["from"]:
                if "food" in item:
                    key = same(item["food"])
                    foods[key] += self.foods[key]["measures"].mg(item["amount"])
                    continue
                key = same(item["component"])
                inner = weigh(key, deep + 1)
                mg = measures[key].mg(item["amount"])
                for food, part in inner["foods"].items():
                    foods[food] += mg * part // inner["makes"]
                rate += mg * rates[key] // makes
                # Twice in one batch is made once; inside another one it is made for that.
                if key not in seen:
                    seen.add(key)
                    inside += [key, *inner["inside"]]
                    fixed += inner["fixed"]
                    passive += inner["passive"]
                    steps += inner["steps"]
                    tags |= inner["tags"]
                    needs |= inner["needs"]
            rates[name] = rate
            self.components[name] = {
                "name": " ".join(entry["component"].split()), "makes": makes, "keeps": int(entry["keeps"]),
                "foods": dict(foods), "fixed": fixed, "passive": passive,
                "rate": (rate + NANO // 2) // NANO, "tags": tags, "needs": needs, "inside": set(inside),
                "measures": own, "steps": steps + own_steps, "watched": watched(steps + own_steps, passive, needs),
            }
            return self.components[name]

        for name in written:
            weigh(name)

    def taken(self, item):
        if "food" in item:
            key = same(item["food"])
            return {"food": key, "mg": self.foods[key]["measures"].mg(item["amount"])}
        key = same(item["component"])
        return {"component": key, "mg": self.components[key]["measures"].mg(item["amount"])}

    def recipe(self, entry):
        lines = []
        for line in entry["lines"]:
            if line.get("optional") != "true":
                lines.append([self.taken(item) for item in line.get("one_of") or [line]])
        days = None
        if "days" in entry:
            # A weekday that is not in this week is passed over.
            days = {self.day(day) for day in entry["days"]}
        self.recipes[same(entry["recipe"])] = {
            "name": " ".join(entry["recipe"].split()), "form": same(entry["form"]), "lines": lines, "days": days,
            "protein": same(entry["protein"]) if entry.get("protein") else None,
            "minutes": Fraction(Decimal(entry.get("minutes", "0"))),
            "tags": {same(tag) for tag in entry.get("tags") or []},
            "needs": {same(tool) for tool in entry.get("needs") or []},
        }

    def on_hand(self, entry):
        food = self.foods[same(entry["food"])]
        good = int(entry["good_until"])
        opened = entry.get("opened") == "true"
        return {
            "food": same(entry["food"]), "label": same(entry.get("label", entry["food"])),
            "mg": food["measures"].mg(entry["amount"]), "opened": opened, "high": good,
            "low": int(entry.get("ready_from", "0")), "end": int(entry.get("end", str(good))),
            "opens": int(entry.get("open_keeps", food["first"]["opens"])), "value": food["first"]["value"],
        }

    def aims(self, aims):
        self.order = [same(aim) for aim in aims.get("order") or []]
        self.spoil_weight = milli(aims.get("spoil_weight", "1"))
        self.carry_credit = milli(aims.get("carry_credit", "0"))
        for key in ("food_price", "minute_price", "watch_price", "trip_price"):
            setattr(self, key, self.money(aims.get(key, "0")))
        self.preferences = []
        for item in aims.get("day_preferences") or []:
            kind = "form" if "form" in item else "recipe"
            days = {self.day(day) for day in item["days"]}
            self.preferences.append((kind, same(item[kind]), days, self.money(item["price"])))

    def rules(self, rules):
        known = ("cap cap_by budget minutes kitchen_minutes cook_on nutrition credits energy_share standards repeats per_form form_adjacent "
                 "per_protein sameness sameness_adjacent without with").split()
        if set(rules) - set(known):
            raise Unread("unknown rules")
        self.cap = int(rules["cap"]) if "cap" in rules else None
        self.by_families = rules.get("cap_by") == "families"
        self.budget = self.money(rules["budget"]) if "budget" in rules else None
        self.minute_limits = self.by_day(rules["minutes"], lambda text: Fraction(Decimal(text)), 0) \
            if "minutes" in rules else {}
        self.kitchen_limits = self.by_day(rules["kitchen_minutes"], lambda text: Fraction(Decimal(text)), 0) \
            if "kitchen_minutes" in rules else {}
        self.cook_on = {self.day(day) for day in rules["cook_on"] or []} if "cook_on" in rules else None
        self.repeats = int(rules.get("repeats", "1"))
        for key in ("per_form", "per_protein"):
            setattr(self, key, int(rules[key]) if key in rules else None)
        for key in ("sameness", "sameness_adjacent"):
            setattr(self, key, milli(rules[key]) if key in rules else None)
        apart = self.per_form is not None
        self.form_apart = rules["form_adjacent"] != "true" if "form_adjacent" in rules else apart
        self.without = [same(name) for name in rules.get("without") or []]
        self.with_ = []
        for item in rules.get("with") or []:
            if isinstance(item, str):
                item = {"name": item}
            self.with_.append((same(item["name"]), self.day(item["day"]) if "day" in item else None))
        # (what, figures in thousandths times hundred grams, per, least, most)
        self.limits = []
        for rule in rules.get("nutrition") or []:
            self.limits.append((rule["nutrient"], rule["per"], *self.ends(rule)))
        self.groups = []
        for rule in rules.get("credits") or []:
            self.groups.append((same(rule["group"]), rule["per"], *self.ends(rule)))
        self.shares = [(rule["nutrient"], rule["per"], int(rule["below"].replace("%", "")))
                       for rule in rules.get("energy_share") or []]
        for standard in rules.get("standards") or []:
            self.standard(standard)

    @staticmethod
    def ends(rule):
        return tuple(milli(rule[key]) if key in rule else None for key in ("at_least", "at_most"))

    def standard(self, name):
        # 7 CFR 210.10(c) Table 1 and (f), grades 9 to 12, as models/kitchen-files.md gives them.
        if name not in ("school lunch 9-12 until June 2027", "school lunch 9-12 from July 2027"):
            raise Unread(f"standard {name!r}")
        self.limits.append(("energy", "week", 750_000, 850_000))
        self.limits.append(("sodium", "week", None, 1_280_000 if "until" in name else 1_080_000))
        self.shares.append(("saturated", "week", 10))
        for group, day, week, most in (
            ("fruit", 1000, 5000, None), ("vegetables", 1000, 5000, None), ("fluid milk", 1000, 5000, None),
            ("dark green vegetables", None, 500, None), ("red and orange vegetables", None, 1250, None),
            ("beans, peas and lentils", None, 500, None), ("starchy vegetables", None, 500, None),
            ("other vegetables", None, 750, None), ("grains", 2000, 10_000, 12_000),
            ("meat alternates", 2000, 10_000, 12_000),
        ):
            if day:
                self.groups.append((group, "lunch", day, None))
            self.groups.append((group, "week", week, most))

    def foods_in(self, taken, mg):
        """Foods of so much of a food or component."""
        if "food" in taken:
            return {taken["food"]: mg}
        component = self.components[taken["component"]]
        return {food: mg * part // component["makes"] for food, part in component["foods"].items()}

    def vector(self, recipe):
        """Counted foods of a recipe at its first alternatives."""
        found = defaultdict(int)
        for line in recipe["lines"]:
            for food, mg in self.foods_in(line[0], line[0]["mg"]).items():
                if not self.foods[food]["staple"]:
                    found[food] += mg
        return found

    def alike(self, one, other, limit):
        """Whether the cosine of two recipes is above so many thousandths."""
        a, b = self.vector(one), self.vector(other)
        dot = sum(mg * b.get(food, 0) for food, mg in a.items())
        squares = sum(mg * mg for mg in a.values()) * sum(mg * mg for mg in b.values())
        return squares > 0 and dot * dot * 10**6 > limit * limit * squares


# ---------------------------------------------------------------- the judge

def nano(value):
    """A figure of the plan as 1e-9 of its unit."""
    return int(Decimal(str(value)) * NANO)


class Judge:
    def __init__(self, kitchen, plan):
        self.kitchen, self.plan, self.findings = kitchen, plan, []

    def say(self, code, text):
        self.findings.append(f"{code}: {text}")

    def want(self, code, told, truth, what):
        if told != truth:
            self.say(code, f"{what}: told {told}, is {truth}")

    def judge(self):
        plan = self.plan
        if plan["objective"] is None:
            return self.findings
        self.want("week", plan["currency"]["digits"], self.kitchen.digits, "digits of the currency")
        self.week()
        self.lunches()
        self.batches()
        self.uses()
        self.purchases()
        self.packs()
        self.staples()
        self.minutes()
        self.nutrition()
        self.variety()
        self.wishes()
        self.objective()
        return self.findings

    def week(self):
        kitchen, week = self.kitchen, self.plan["week"]
        self.want("week", [day["day"] for day in week["days"]], list(range(1, kitchen.lunches + 1)), "lunch days")
        for day in week["days"]:
            self.want("week", milli(str(day["eaters"])), kitchen.eaters[day["day"]], f"eaters of day {day['day']}")
            name = WEEKDAYS[(kitchen.prep_day + day["day"]) % 7].capitalize()
            name = "next " * (day["day"] // 7) + name
            self.want("week", day["name"], name, "name of the day")
        self.want("week", week["trips"], [day for day, _, _ in kitchen.trips], "trips")
        shops = [shop and same(shop) for shop in week["shops"]] if kitchen.shops else [None] * len(kitchen.trips)
        self.want("week", shops, [shop for _, shop, _ in kitchen.trips], "shops of the trips")
        self.want("week", week["carry_day"], kitchen.carry, "carry day")

    def lunches(self):
        kitchen = self.kitchen
        self.served = []
        self.demand = defaultdict(list)     # (component, day) -> milligrams of each line
        self.direct = defaultdict(int)      # (food, day) -> milligrams of lines
        self.portion = []                   # foods of a portion, by day
        lunches = self.plan["lunches"]
        self.want("lunches", [lunch["day"] for lunch in lunches], list(range(1, kitchen.lunches + 1)), "days served")
        for lunch in lunches:
            day = lunch["day"]
            recipe = kitchen.recipes.get(same(lunch["recipe"]))
            if recipe is None:
                self.say("lunches", f"no recipe {lunch['recipe']!r}")
                continue
            self.served.append((day, recipe))
            self.want("lunches", same(lunch["form"]), recipe["form"], f"form of day {day}")
            self.want("lunches", lunch["protein"] and same(lunch["protein"]), recipe["protein"], f"protein of day {day}")
            self.want("minutes", nano(lunch["minutes"]), recipe["minutes"] * NANO, f"minutes of the lunch of day {day}")
            if recipe["days"] is not None and day not in recipe["days"]:
                self.say("lunches", f"{recipe['name']} is not served on day {day}")
            self.lines(day, recipe, lunch)

    def lines(self, day, recipe, lunch):
        kitchen = self.kitchen
        portion, allergens = defaultdict(int), set()
        self.portion.append(portion)
        if len(lunch["lines"]) != len(recipe["lines"]):
            self.say("lines", f"day {day} fills {len(lunch['lines'])} of {len(recipe['lines'])} lines")
        for line, choices in zip(lunch["lines"], recipe["lines"]):
            kind = "food" if line["food"] else "component"
            names = [(choice.get("food"), choice.get("component")) for choice in choices]
            told = (same(line["food"]) if line["food"] else None, same(line["component"]) if line["component"] else None)
            if told not in names:
                self.say("lines", f"day {day} takes {line[kind]!r}, which no line of {recipe['name']} offers")
                continue
            choice = choices[names.index(told)]
            everyone = choice["mg"] * kitchen.eaters[day] // 1000
            self.want("lines", line["portion_mg"], choice["mg"], f"day {day}, portion of {line[kind]}")
            self.want("lines", line["all_mg"], everyone, f"day {day}, {line[kind]} for all")
            for food, mg in kitchen.foods_in(choice, choice["mg"]).items():
                portion[food] += mg
                allergens |= kitchen.foods[food]["allergens"]
            if "component" in choice:
                allergens |= {word for food in kitchen.components[choice["component"]]["foods"]
                              for word in kitchen.foods[food]["allergens"]}
                self.demand[choice["component"], day].append(everyone)
            else:
                self.direct[choice["food"], day] += everyone
        self.want("allergens", {same(word) for word in lunch["allergens"]}, allergens, f"day {day}")

    def batches(self):
        kitchen = self.kitchen
        given = defaultdict(int)
        self.batch_minutes = defaultdict(int)
        self.watched = defaultdict(int)     # day -> passive minutes at which the cook stays
        self.cooked = defaultdict(int)      # (food, day) -> milligrams into batches
        self.through = defaultdict(set)     # (food, day) -> lunch days those batches serve
        needed = defaultdict(lambda: defaultdict(int))
        split = defaultdict(int)
        for batch in self.plan["batches"]:
            name, day = same(batch["component"]), batch["day"]
            component = kitchen.components[name]
            if not 0 <= day <= kitchen.lunches:
                self.say("batches", f"{name} is cooked on day {day}")
            self.want("batches", batch["makes_mg"], sum(part["mg"] for part in batch["serves"]), f"{name} of day {day} makes")
            self.want("batches", batch["keeps_until"], day + component["keeps"], f"{name} of day {day} keeps until")
            minutes = component["fixed"] * NANO + component["rate"] * batch["makes_mg"]
            self.want("minutes", nano(batch["minutes"]), minutes, f"{name} of day {day}")
            self.want("batches", batch["passive_minutes"], component["passive"], f"passive minutes of {name}")
            self.batch_minutes[day] += minutes
            self.watched[day] += component["watched"] * NANO
            if kitchen.cook_on is not None and day not in kitchen.cook_on:
                self.say("batches", f"{name} is cooked on day {day}, which is none for cooking")
            for part in batch["serves"]:
                if not day <= part["day"] <= day + component["keeps"]:
                    self.say("batches", f"{name} of day {day} is eaten on day {part['day']}")
                if part["mg"] <= 0:
                    self.say("batches", f"{name} of day {day} serves nothing")
                given[name, part["day"]] += part["mg"]
                split[name, part["day"]] += 1
            told = {same(item["food"]): item["mg"] for item in batch["foods"]}
            for food, mg in told.items():
                self.cooked[food, day] += mg
                needed[name][food] += mg
                self.through[food, day] |= {part["day"] for part in batch["serves"]}
            self.one_batch(name, component, batch, told)
        for key in set(self.demand) | set(given):
            self.want("batches", given[key], sum(self.demand[key]), f"{key[0]} for day {key[1]}")
        # What went into all batches of a component is what its lines take, floors line by line.
        for name in {key[0] for key in self.demand}:
            component = kitchen.components[name]
            for food, part in component["foods"].items():
                truth = sum(mg * part // component["makes"] for key, lines in self.demand.items()
                            if key[0] == name for mg in lines)
                self.want("batches", needed[name].get(food, 0), truth, f"{food} in all {name}")
        self.split = split

    def one_batch(self, name, component, batch, told):
        """Foods of one batch: exact but for a milligram for each line that draws on two."""
        lines = sum(len(self.demand[name, part["day"]]) for part in batch["serves"])
        for food, part in component["foods"].items():
            exact = Fraction(batch["makes_mg"] * part, component["makes"])
            if abs(told.get(food, 0) - exact) > lines + 1:
                self.say("batches", f"{food} in {name} of day {batch['day']}: told {told.get(food, 0)}, is {float(exact):.0f}")
        for food in set(told) - set(component["foods"]):
            self.say("batches", f"{food} in {name}")

    def uses(self):
        self.used = defaultdict(int)
        self.fed = defaultdict(set)         # food -> lunch days
        for (food, day), mg in self.direct.items():
            self.used[food, day] += mg
            self.fed[food].add(day)
        for (food, day), mg in self.cooked.items():
            self.used[food, day] += mg
            if mg:
                self.fed[food] |= self.through[food, day]

    def purchases(self):
        kitchen = self.kitchen
        self.lots = defaultdict(int)        # (food, label, shop, day bought) -> units
        bill, foods = 0, set()
        self.later = set()
        for buy in self.plan["purchases"]:
            food = kitchen.foods[same(buy["food"])]
            shop = buy["shop"] and same(buy["shop"])
            pack = food["packs"].get((same(buy["pack"]), shop))
            what = f"{buy['food']} in {buy['pack']}"
            if pack is None or food["staple"]:
                self.say("purchases", f"no such pack: {what}")
                continue
            self.want("prices", buy["each"], pack["price"], f"{what}, each")
            self.want("prices", buy["price"], pack["price"] * buy["count"], f"{what}, in all")
            if buy["count"] < 1:
                self.say("purchases", f"{what}: {buy['count']}")
            self.want("purchases", buy["edible_mg"], buy["count"] * pack["units"] * pack["mg"], f"{what}, edible")
            self.want("purchases", buy["as_purchased_mg"], buy["count"] * pack["units"] * pack["bought"], f"{what}, as purchased")
            day, at, _ = kitchen.trips[buy["trip"]]
            self.want("purchases", (buy["bought_on"], shop), (day, at), f"{what}, day and shop")
            if shop in kitchen.without:
                self.say("bans", f"{what} at {shop}")
            self.want("purchases", buy["stage"], pack["stage"], f"{what}, stage")
            self.want("purchases", buy["loose"], pack["loose"], f"{what}, loose")
            if not set(buy["serves"]) or set(buy["serves"]) - self.fed[same(buy["food"])]:
                self.say("purchases", f"{what} feeds {buy['serves']}, {buy['food']} {self.fed[same(buy['food'])]}")
            self.lots[same(buy["food"]), same(buy["pack"]), shop, buy["bought_on"]] += buy["count"] * pack["units"]
            bill += pack["price"] * buy["count"]
            foods.add(same(buy["food"]))
            if buy["trip"] > 0:
                self.later.add(buy["trip"])
        families = {kitchen.foods[food]["family"] or ("", food) for food in foods}
        self.bill, self.bought = bill, foods
        self.want("bill", self.plan["bill"], bill, "bill")
        self.want("foods", self.plan["foods"], len(foods), "counted foods")
        self.want("foods", self.plan["families"], len(families), "families")
        counted = len(families) if kitchen.by_families else len(foods)
        if kitchen.cap is not None and counted > kitchen.cap:
            self.say("cap", f"{counted} of {kitchen.cap}")
        if kitchen.budget is not None and bill > kitchen.budget:
            self.say("budget", f"{bill} of {kitchen.budget}")
        for rule in self.plan["rules"]:
            if rule["rule"] == "cap":
                self.want("cap", rule["reached"], counted, "what the cap's line says")

    def packs(self):
        """Every unit is somewhere, was opened in its window, and the drawing can be done."""
        kitchen = self.kitchen
        units = defaultdict(int)
        rows = defaultdict(list)
        stock = list(kitchen.stock)
        self.spoiled = self.kept = self.spoiled_price = self.kept_price = 0
        masses = defaultdict(int)
        for row in self.plan["leftovers"]:
            food, label = same(row["food"]), same(row["pack"])
            what = f"{row['food']}, {row['pack']}"
            opened = row["opened_on"]
            if row["on_hand"]:
                unit = self.stock_unit(stock, food, label, row)
                if unit is None:
                    self.say("stock", f"no such unit on hand: {what}")
                    continue
                start, terms = 0, unit
                self.want("stock", row["units"], 1, f"{what}, units")
            else:
                start, shop = row["bought_on"], row["shop"] and same(row["shop"])
                terms = kitchen.foods[food]["packs"][label, shop]
                units[food, label, shop, start] += row["units"]
            self.want("packs", row["bought_mg"], row["units"] * terms["mg"], f"{what}, held")
            self.want("packs", row["left_mg"], row["bought_mg"] - row["used_mg"], f"{what}, left")
            if not 0 <= row["used_mg"] <= row["bought_mg"]:
                self.say("packs", f"{what}: {row['used_mg']} used of {row['bought_mg']}")
            good = self.good(row, start, terms, opened, what)
            if opened is not None:
                rows[food].append((opened, good, row["units"], row["used_mg"], what))
            elif row["used_mg"]:
                self.say("packs", f"{what}: drawn from, not opened")
            self.want("values", nano(row["value"]), row["left_mg"] * terms["value"], f"{what}, worth of what is left")
            kept = good >= kitchen.carry
            fate = "used_up" if row["left_mg"] == 0 else "kept" if kept else "spoiled"
            self.want("fates", re.sub(r"[ -]", "_", row["fate"]), fate, f"{what}, good until {good}")
            value = row["left_mg"] * terms["value"]
            weight = kitchen.carry_credit if kept else kitchen.spoil_weight
            price = row["left_mg"] * half_up(Fraction(terms["value"] * weight, 1000))
            masses["bought_mg"] += row["bought_mg"]
            masses["used_mg"] += row["used_mg"]
            if kept:
                masses["kept_mg"] += row["left_mg"]
                self.kept += value
                self.kept_price += price
            else:
                masses["spoiled_mg"] += row["left_mg"]
                self.spoiled += value
                self.spoiled_price += price
        for unit in stock:
            self.say("stock", f"{unit['label']} is told nowhere")
        for lot in set(units) | set(self.lots):
            self.want("units", units[lot], self.lots[lot], f"units of {lot}")
        totals = self.plan["leftover_totals"]
        for key, mg in masses.items():
            self.want("packs", totals[key], mg, key)
        self.want("values", nano(totals["kept_value"]), self.kept, "what is kept is worth")
        self.want("values", nano(totals["spoiled_value"]), self.spoiled, "what spoils is worth")
        handed = defaultdict(int)
        for unit in self.plan["kept"]:
            handed[same(unit["food"])] += unit["units"] * unit["left_mg"]
            if unit["good_until"] < kitchen.carry:
                self.say("kept", f"{unit['food']} is handed on and good until {unit['good_until']}")
        if self.plan.get("finishers") is None:
            self.want("kept", sum(handed.values()), masses["kept_mg"], "milligrams handed on")
        for food in {key[0] for key in self.used} | set(rows):
            if not kitchen.foods[food]["staple"]:
                self.drawing(food, rows[food])

    @staticmethod
    def stock_unit(stock, food, label, row):
        for unit in stock:
            if (unit["food"], unit["label"], unit["mg"]) == (food, label, row["bought_mg"]):
                opened = row["opened_on"]
                good = unit["high"] if opened is None or unit["opened"] else min(opened + unit["opens"], unit["end"])
                if good == row["good_until"]:
                    stock.remove(unit)
                    return unit
        return None

    def good(self, row, start, terms, opened, what):
        if opened is None or terms.get("opened"):
            good = start + terms["high"]
        else:
            good = min(opened + terms["opens"], start + terms["end"])
        if opened is not None and not start + terms["low"] <= opened <= start + terms["high"]:
            self.say("windows", f"{what}: opened on day {opened}, outside {start + terms['low']}..{start + terms['high']}")
        self.want("windows", row["good_until"], good, f"{what}, good until")
        return good

    def drawing(self, food, rows):
        """Earliest last day first: exact, as a milligram is like any other within a row."""
        left = []
        for opened, good, units, used, what in rows:
            if used < units:
                self.say("packs", f"{what}: {units} opened for {used} mg")
            left.append([good, opened, units, used, what])
        left.sort()
        for day in range(0, self.kitchen.lunches + 1):
            need = self.used.get((food, day), 0)
            for row in left:
                if row[1] == day:
                    take = min(row[2], row[3])
                    need -= take
                    row[3] -= take
            for row in left:
                if row[1] <= day <= row[0] and need > 0:
                    take = min(need, row[3])
                    need -= take
                    row[3] -= take
            if need != 0:
                self.say("draws", f"{food} on day {day}: {need} mg too few from what is open and good")
        for good, opened, _, used, what in left:
            if used:
                self.say("draws", f"{what} opened on day {opened}: {used} mg used on no day up to {good}")

    def staples(self):
        kitchen = self.kitchen
        self.staple_cost = 0
        told = {same(item["food"]): item for item in self.plan["staples"]}
        used = defaultdict(int)
        for (food, _), mg in self.used.items():
            if kitchen.foods[food]["staple"]:
                used[food] += mg
        for food in set(told) | {food for food, mg in used.items() if mg}:
            if food not in told:
                self.say("staples", f"{food} is not told")
                continue
            cost = used[food] * kitchen.foods[food]["value"]
            self.want("staples", told[food]["mg"], used[food], food)
            self.want("staples", nano(told[food]["cost"]), cost, f"{food}, cost")
            self.want("staples", set(told[food]["serves"]), self.fed[food], f"{food}, lunches")
        self.staple_cost = sum(mg * kitchen.foods[food]["value"] for food, mg in used.items())

    def minutes(self):
        kitchen = self.kitchen
        lunches = {day: recipe["minutes"] * NANO for day, recipe in self.served}
        told = {item["day"]: item for item in self.plan["minutes"]}
        self.active = 0
        for day in range(0, kitchen.lunches + 1):
            minutes = lunches.get(day, 0) + self.batch_minutes[day]
            self.active += minutes
            limit = kitchen.minute_limits.get(day)
            if limit is not None and minutes > limit * NANO:
                self.say("minutes", f"day {day}: {float(minutes / NANO)} of {limit}")
            if day in told:
                self.want("minutes", nano(told[day]["minutes"]), minutes, f"day {day}")
                shown = told[day]["limit"]
                self.want("minutes", shown if shown is None else Fraction(Decimal(str(shown))), limit, f"limit of day {day}")
            elif minutes:
                self.say("minutes", f"day {day} is not told")
            self.in_kitchen(day, minutes + self.watched[day])

    def in_kitchen(self, day, minutes):
        kitchen = self.kitchen
        limit = kitchen.kitchen_limits.get(day)
        if limit is not None and minutes > limit * NANO:
            self.say("kitchen minutes", f"day {day}: {float(minutes / NANO)} of {limit}")
        told = {item["day"]: item for item in self.plan.get("kitchen_minutes", [])}
        asked = kitchen.kitchen_limits or kitchen.watch_price or kitchen.cook_on is not None
        if day in told:
            self.want("kitchen minutes", nano(told[day]["minutes"]), minutes, f"day {day}")
            shown = told[day]["limit"]
            self.want("kitchen minutes", shown if shown is None else Fraction(Decimal(str(shown))), limit, f"limit of day {day}")
        elif asked and (minutes or limit is not None):
            self.say("kitchen minutes", f"day {day} is not told")

    def nutrition(self):
        kitchen, days = self.kitchen, len(self.portion)
        sums = []
        for portion in self.portion:
            sums.append([sum(mg * (kitchen.foods[food]["nutrients"][at] or 0) for food, mg in portion.items())
                         for at in range(len(NUTRIENTS))])
        for at, key in enumerate(NUTRIENTS):
            told = self.plan["nutrition"][key]
            lunches = [milli(str(value)) for value in told["lunches"]]
            self.want("nutrition", lunches, [lunch[at] // 100_000 for lunch in sums], key)
            self.want("nutrition", milli(str(told["mean"])), sum(lunch[at] for lunch in sums) // 100_000 // max(days, 1), f"mean {key}")
            unknown = [any(kitchen.foods[food]["nutrients"][at] is None for food in portion) for portion in self.portion]
            # Shares rounded down to nothing are named or not: no claim on the plate hangs on them.
            if told["incomplete"] != unknown:
                named = [any(mg and kitchen.foods[food]["nutrients"][at] is None for food, mg in portion.items())
                         for portion in self.portion]
                self.want("nutrition", told["incomplete"], named, f"{key}, incomplete")
        for key, per, least, most in kitchen.limits:
            values = [lunch[NUTRIENTS.index(key)] for lunch in sums]
            if per == "week":
                self.between("nutrition", key, sum(values), days, least, most)
            else:
                for day, value in enumerate(values, 1):
                    self.between("nutrition", f"{key} of day {day}", value, 1, least, most)
        for group, per, least, most in kitchen.groups:
            values = [sum(mg * kitchen.foods[food]["credits"].get(group, 0) for food, mg in portion.items())
                      for portion in self.portion]
            for value in [sum(values)] if per == "week" else values:
                self.between("credits", group, value, 1000, least, most)
        for key, per, below in kitchen.shares:
            at, calories = NUTRIENTS.index(key), 9 if key in ("fat", "saturated") else 4
            energy = [lunch[NUTRIENTS.index("energy")] for lunch in sums]
            share = [lunch[at] * calories * 100 for lunch in sums]
            pairs = [(sum(share), sum(energy))] if per == "week" else zip(share, energy)
            for part, whole in pairs:
                if part >= whole * below:
                    self.say("energy share", f"{key} gives {part / max(whole, 1):.3f} %, {below} asked")

    def between(self, code, what, value, count, least, most):
        if least is not None and value < least * 100_000 * count:
            self.say(code, f"{what}: {value / 1e8 / count} below {least / 1000}")
        if most is not None and value > most * 100_000 * count:
            self.say(code, f"{what}: {value / 1e8 / count} above {most / 1000}")

    def variety(self):
        kitchen, served = self.kitchen, [recipe for _, recipe in self.served]
        for kind, limit in (("form", kitchen.per_form), ("protein", kitchen.per_protein)):
            for word in {recipe[kind] for recipe in served} - {None}:
                count = sum(recipe[kind] == word for recipe in served)
                if limit is not None and count > limit:
                    self.say("variety", f"{word}: {count} of {limit}")
        for recipe in served:
            count = sum(other is recipe for other in served)
            if count > kitchen.repeats:
                self.say("variety", f"{recipe['name']} comes {count} times of {kitchen.repeats}")
        for at, one in enumerate(served):
            if at and kitchen.form_apart and served[at - 1]["form"] == one["form"]:
                self.say("variety", f"{one['form']} on days {at} and {at + 1}")
            for to, other in enumerate(served[:at]):
                if other is one:
                    continue
                if kitchen.sameness is not None and kitchen.alike(one, other, kitchen.sameness):
                    self.say("variety", f"{one['name']} and {other['name']} are too much alike")
                near = kitchen.sameness_adjacent
                if near is not None and to == at - 1 and kitchen.alike(one, other, near):
                    self.say("variety", f"{one['name']} beside {other['name']} is too much alike")

    def wishes(self):
        kitchen = self.kitchen
        has = []                            # all names a lunch answers to, and its foods
        for (_, recipe), lunch in zip(self.served, self.plan["lunches"]):
            names = {same(recipe["name"])} | recipe["tags"] | recipe["needs"]
            foods = set()
            for line in lunch["lines"]:
                if line["component"]:
                    component = kitchen.components[same(line["component"])]
                    names |= {same(line["component"])} | component["tags"] | component["needs"] | component["inside"]
                    foods |= set(component["foods"])
                else:
                    foods.add(same(line["food"]))
            for name in foods:
                food = kitchen.foods[name]
                names |= {name, food["family"]} | food["tags"] | food["allergens"]
            has.append((names, foods | {same(recipe["name"])}))
        for ban in kitchen.without:
            for day, (names, _) in enumerate(has, 1):
                if ban in names:
                    self.say("bans", f"{ban} on day {day}")
        for pin, day in kitchen.with_:
            days = range(1, len(has) + 1) if day is None else [day]
            if not any(pin in has[on - 1][1] for on in days if 0 < on <= len(has)):
                self.say("pins", f"{pin} is missing")

    def objective(self):
        kitchen, told = self.kitchen, self.plan["objective"]
        preferences = 0
        for day, recipe in self.served:
            for kind, whom, days, price in kitchen.preferences:
                if day in days and (recipe["form"] if kind == "form" else same(recipe["name"])) == whom:
                    preferences += price
        truth = {
            "packs": self.bill * NANO, "staples": self.staple_cost, "spoiled": self.spoiled_price,
            "foods": kitchen.food_price * len(self.bought) * NANO, "minutes": kitchen.minute_price * self.active,
            "trips": NANO * sum(kitchen.trip_price if price is None else price
                                for _, _, price in map(kitchen.trips.__getitem__, self.later)), "preferences": preferences * NANO,
            "carry": -self.kept_price,
        }
        if kitchen.watch_price:
            truth["watched"] = kitchen.watch_price * sum(self.watched.values())
        for key, value in truth.items():
            self.want("objective", nano(told[key]), value, key)
        self.want("objective", nano(told["total"]), sum(truth.values()), "total")
        reached = {"foods": len(self.bought) * NANO, "cost": self.bill * NANO + self.staple_cost,
                   "spoiled": self.spoiled, "minutes": self.active}
        self.want("objective", [aim["aim"] for aim in self.plan["aims"]], list(kitchen.order), "order of aims")
        for aim in self.plan["aims"]:
            self.want("objective", nano(aim["reached"]), reached[aim["aim"]], f"aim {aim['aim']}")
        if self.plan["outcome"] == "best":
            self.want("bound", self.plan["bound"], told["total"], "bound of a best week")
        elif self.plan["bound"] is not None and nano(self.plan["bound"]) > nano(told["total"]):
            self.say("bound", f"{self.plan['bound']} above {told['total']}")


def read_plan(text):
    return json.loads(text, parse_float=Decimal)


def judge(kitchen, plan):
    """All that is wrong with a week, one text each; `Unread` if the kitchen cannot be read."""
    return Judge(kitchen, plan).judge()


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__.splitlines()[2].strip())
    with open(sys.argv[2], encoding="utf-8") as file:
        findings = judge(Kitchen(read_folder(sys.argv[1])), read_plan(file.read()))
    print("\n".join(findings) or "nothing wrong")
    sys.exit(1 if findings else 0)


if __name__ == "__main__":
    main()
