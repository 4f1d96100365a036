//! Draws small random kitchens, as the texts of kitchen files.
//!
//! A seed always gives the same texts: the numbers come from splitmix64 (Steele, Lea and Flood,
//! Fast Splittable Pseudorandom Number Generators, OOPSLA 2014; constants from memory), which
//! is a few lines and needs no dependency that may change its stream.
//!
//! Quantities stand in coarse steps and packs are about as large as what a lunch needs, so that
//! exact fits, leftovers and one pack more or less all occur. Every feature of the model is
//! switched on with some probability of its own; which ones were is noted down. Nutrient figures
//! are random numbers of nobody's food.
//!
//! One thing is held back so that the brute force stays exact (see `brute`): a component that
//! keeps has at most one counted food to which the day matters, and no minutes per portion
//! where minutes are limited. [`Size::Shared`] draws the kitchens without this.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// A stream of random numbers.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number of `low..=high`.
    pub fn roll(&mut self, low: i64, high: i64) -> i64 {
        low + (self.next() % (high - low + 1) as u64) as i64
    }

    /// True in `percent` of a hundred cases.
    pub fn chance(&mut self, percent: i64) -> bool {
        self.roll(1, 100) <= percent
    }

    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.roll(0, from.len() as i64 - 1) as usize]
    }

    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            list.swap(last, self.roll(0, last as i64) as usize);
        }
    }
}

/// Every feature that may be noted.
pub const FEATURES: [&str; 68] = [
    "allowed days",
    "alternatives",
    "ban on a component",
    "ban on a family",
    "ban on a food",
    "ban on a recipe",
    "ban on a tag",
    "ban on an allergen",
    "ban on equipment",
    "batch minutes",
    "budget",
    "cap",
    "cap_by",
    "carry credit",
    "carry day",
    "component",
    "component gains or loses mass",
    "component in a component",
    "component keeps",
    "component of several foods",
    "component on two lines",
    "cook_on",
    "day preferences",
    "eaters by day",
    "end past the window",
    "family",
    "finisher",
    "food or component",
    "food price",
    "form_adjacent",
    "jar",
    "kitchen_minutes",
    "known iron",
    "loose",
    "minute price",
    "minutes",
    "minutes per portion",
    "nutrition",
    "nutrition per lunch",
    "nutrition per week",
    "opened stock",
    "pack options",
    "per_form",
    "per_protein",
    "pin of a food",
    "pin of a food on a day",
    "pin of a recipe",
    "pin of a recipe on a day",
    "portion factors",
    "repeats",
    "ripening",
    "sameness",
    "sameness_adjacent",
    "sealed stock",
    "several trips",
    "several units",
    "shops",
    "spoil weight",
    "staple",
    "strict order",
    "three trips",
    "trip price",
    "unknown iron",
    "watch price",
    "watched minutes",
    "with",
    "without",
    "yield",
];

/// How large a kitchen, and of what kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// One to three lunches, three to seven recipes: everything is tried in a moment.
    Small,
    /// Four or five lunches of three or four recipes.
    Long,
    /// Two lunches around a component whose foods both mind the day.
    Shared,
    /// A real week of five with this many recipes: beyond trying everything.
    Large(i64),
}

/// A random kitchen as written, entry by entry.
#[derive(Clone, Debug)]
pub struct Sketch {
    pub seed: u64,
    pub week: String,
    pub aims: String,
    /// Rule by rule, so that one can be dropped.
    pub rules: BTreeMap<&'static str, String>,
    pub stock: Vec<String>,
    pub foods: Vec<String>,
    pub components: Vec<String>,
    /// Name and entry.
    pub recipes: Vec<(String, String)>,
    pub features: BTreeSet<&'static str>,
}

impl Sketch {
    /// The kitchen files.
    pub fn texts(&self) -> Vec<(String, Vec<u8>)> {
        let list = |key: &str, entries: &[String]| {
            let mut text = String::new();
            if !entries.is_empty() {
                let _ = writeln!(text, "{key}:");
                for entry in entries {
                    let _ = writeln!(text, "  - {entry}");
                }
            }
            text
        };
        let mut first = String::from("kitchen: random\ncurrency: EUR\n");
        first += &self.week;
        first += &self.aims;
        if !self.rules.is_empty() {
            first += "rules:\n";
            for (key, value) in &self.rules {
                let _ = writeln!(first, "  {key}: {value}");
            }
        }
        let second = list("foods", &self.foods) + &list("stock", &self.stock);
        let recipes: Vec<String> = self
            .recipes
            .iter()
            .map(|(_, entry)| entry.clone())
            .collect();
        let third = list("components", &self.components) + &list("recipes", &recipes);
        [
            ("kitchen.yaml", first),
            ("pantry.yaml", second),
            ("recipes.yaml", third),
        ]
        .into_iter()
        .map(|(name, text)| (name.to_owned(), text.into_bytes()))
        .collect()
    }

    /// All texts, for a message.
    pub fn print(&self) -> String {
        self.texts()
            .into_iter()
            .fold(String::new(), |mut all, (name, text)| {
                let _ = writeln!(all, "# {name}\n{}", String::from_utf8_lossy(&text));
                all
            })
    }
}

/// What the drawing of recipes and rules needs to know of a food.
struct FoodNote {
    name: String,
    timeless: bool,
    in_stock: bool,
}

struct Drawing {
    dice: Dice,
    size: Size,
    days: i64,
    /// Minutes are limited.
    limited: bool,
    late_start: bool,
    /// Everything costs and weighs the same.
    ties: bool,
    /// No rules but what the number of recipes makes necessary.
    calm: bool,
    foods: Vec<FoodNote>,
    staples: Vec<String>,
    /// Name, and whether it stands inside another.
    components: Vec<(String, bool)>,
    families: BTreeSet<String>,
    tags: BTreeSet<String>,
    allergens: BTreeSet<String>,
    needs: BTreeSet<String>,
    sketch: Sketch,
}

/// Draws the kitchen of this seed.
pub fn draw(seed: u64, size: Size) -> Sketch {
    let mut dice = Dice::new(seed);
    let days = match size {
        Size::Small => *dice.pick(&[1, 2, 2, 2, 2, 2, 3, 3, 3, 3, 3, 3]),
        Size::Long => dice.roll(4, 5),
        Size::Shared => 2,
        Size::Large(_) => 5,
    };
    let mut drawing = Drawing {
        limited: dice.chance(25),
        late_start: days > 1 && size == Size::Small && dice.chance(6),
        ties: dice.chance(10),
        calm: dice.chance(18),
        dice,
        size,
        days,
        foods: Vec::new(),
        staples: Vec::new(),
        components: Vec::new(),
        families: BTreeSet::new(),
        tags: BTreeSet::new(),
        allergens: BTreeSet::new(),
        needs: BTreeSet::new(),
        sketch: Sketch {
            seed,
            week: String::new(),
            aims: String::new(),
            rules: BTreeMap::new(),
            stock: Vec::new(),
            foods: Vec::new(),
            components: Vec::new(),
            recipes: Vec::new(),
            features: BTreeSet::new(),
        },
    };
    drawing.week();
    drawing.pantry();
    drawing.stock();
    drawing.mixes();
    drawing.lunches();
    drawing.aims();
    drawing.rules();
    if !drawing.calm {
        drawing.bans_and_pins();
    }
    drawing.kitchen_time();
    drawing.shops();
    let Drawing {
        mut dice,
        mut sketch,
        ..
    } = drawing;
    // Names should not come in the order in which they were drawn.
    dice.shuffle(&mut sketch.foods);
    dice.shuffle(&mut sketch.components);
    dice.shuffle(&mut sketch.recipes);
    sketch
}

fn money(cents: i64) -> String {
    let sign = if cents < 0 { "-" } else { "" };
    format!("{sign}{}.{:02}", cents.abs() / 100, cents.abs() % 100)
}

fn letter(index: usize) -> String {
    // Past z: aa, ab...
    let a = |i: usize| char::from(b'a' + (i % 26) as u8);
    if index < 26 {
        a(index).to_string()
    } else {
        format!("{}{}", a(index / 26 - 1), a(index))
    }
}

impl Drawing {
    fn note(&mut self, feature: &'static str) {
        self.sketch.features.insert(feature);
    }

    /// Rolls for a feature, and notes it if it comes up.
    fn with(&mut self, percent: i64, feature: &'static str) -> bool {
        let on = self.dice.chance(percent);
        if on {
            self.note(feature);
        }
        on
    }

    fn week(&mut self) {
        let n = self.days;
        let mut text = format!("week:\n  lunches: {n}\n");
        if self.with(40, "carry day") {
            let _ = writeln!(text, "  carry_day: {}", n + self.dice.roll(1, 5));
        }
        let fractions = self.size != Size::Shared;
        match self.dice.roll(1, 10) {
            1..=3 => {
                let most = if self.size == Size::Shared { 2 } else { 3 };
                let _ = writeln!(text, "  eaters: {}", self.dice.roll(2, most));
            }
            4 | 5 if fractions => {
                self.note("portion factors");
                text += "  eaters: [1, 1.25]\n";
            }
            6 | 7 if fractions => {
                self.note("eaters by day");
                let day = self.dice.roll(1, n);
                let some = *self.dice.pick(&["1", "3", "[1, 1, 1.25]", "1.5"]);
                let _ = writeln!(text, "  eaters: {{each_day: 2, {day}: {some}}}");
            }
            _ => {}
        }
        if self.late_start {
            text += "  trips: [1]\n";
        } else if n > 1 && self.with(35, "several trips") {
            let second = self.dice.roll(1, n - 1);
            if n > 2 && second < n - 1 && self.with(90, "three trips") {
                let _ = writeln!(text, "  trips: [0, {second}, {}]", n - 1);
            } else {
                let _ = writeln!(text, "  trips: [0, {second}]");
            }
        }
        self.sketch.week = text;
    }

    /// Two or three shops in the place of one; with dice of their own, so that kitchens without
    /// stay what they are.
    fn shops(&mut self) {
        let mut dice = Dice::new(self.sketch.seed ^ 0x5150_0b5e);
        if self.late_start || !dice.chance(25) {
            return;
        }
        self.note("shops");
        let mut days = "[0]".to_owned();
        let mut week = String::new();
        for line in self.sketch.week.lines() {
            match line.trim().strip_prefix("trips: ") {
                Some(trips) => trips.clone_into(&mut days),
                None => {
                    let _ = writeln!(week, "{line}");
                }
            }
        }
        let _ = writeln!(week, "  shops:\n    - {{shop: quay, days: {days}}}");
        let mut names = vec!["quay"];
        // As many sets of trips as brute force can try.
        if dice.chance(30) && days.len() < 5 && self.size == Size::Small {
            names.push("mill");
        }
        names.push("farm");
        for name in &names[1..] {
            let day = dice.roll(0, self.days - 1);
            let price = match dice.roll(1, 3) {
                1 => String::new(),
                2 => ", trip_price: 0".to_owned(),
                _ => format!(", trip_price: {}", money(dice.roll(1, 150))),
            };
            let _ = writeln!(week, "    - {{shop: {name}, days: [{day}]{price}}}");
        }
        self.sketch.week = week;
        for food in &mut self.sketch.foods {
            let mut text = String::new();
            let mut parts = food.split(" price: ");
            text += parts.next().unwrap_or_default();
            for part in parts {
                let end = part.find([',', '}']).unwrap_or(part.len());
                let (price, rest) = part.split_at(end);
                let cents: i64 = price.replace('.', "").parse().expect("a price in cents");
                let mut at: Vec<String> = Vec::new();
                for (place, name) in names.iter().enumerate() {
                    let odds = if place == 0 { 75 } else { 45 };
                    if dice.chance(odds) {
                        let there = (cents * dice.roll(60, 140) / 100).max(1);
                        at.push(format!(
                            "{name}: {}",
                            money(if place == 0 { cents } else { there })
                        ));
                    }
                }
                let price = if at.is_empty() {
                    price.to_owned()
                } else {
                    format!("{{{}}}", at.join(", "))
                };
                let _ = write!(text, " price: {price}{rest}");
            }
            *food = text;
        }
    }

    fn pantry(&mut self) {
        let count = match self.size {
            Size::Large(recipes) => 12 + recipes / 3,
            Size::Shared => self.dice.roll(3, 4),
            _ => self.dice.roll(3, 8),
        };
        for index in 0..count {
            let name = format!("food {}", letter(index as usize));
            let mut kind = self.dice.roll(0, 9);
            if self.size == Size::Shared && index < 2 {
                kind = self.dice.roll(0, 6);
            }
            let timeless = kind == 9 && !self.late_start;
            let mut entry = format!("{{food: {name}, ");
            self.nutrients(&mut entry);
            if self.with(20, "family") {
                let family = format!("family {}", self.dice.roll(1, 2));
                let _ = write!(entry, "family: {family}, ");
                self.families.insert(family);
            }
            if self.dice.chance(15) {
                let tag = format!("tag {}", self.dice.roll(1, 2));
                let _ = write!(entry, "tags: [{tag}], ");
                self.tags.insert(tag);
            }
            if self.dice.chance(30) {
                entry += "allergens: [allergen 1], ";
                self.allergens.insert("allergen 1".to_owned());
            }
            if self.size != Size::Shared && self.with(10, "yield") {
                let share = *self.dice.pick(&["80 %", "66.667 %", "90 %"]);
                let _ = write!(entry, "yield: {share}, ");
            }
            let packs = self.packs(kind);
            let _ = write!(entry, "packs: [{}]}}", packs.join(", "));
            self.sketch.foods.push(entry);
            self.foods.push(FoodNote {
                name,
                timeless,
                in_stock: false,
            });
        }
        for index in 0..self.dice.roll(0, 2) {
            self.note("staple");
            let name = format!("staple {}", letter(index as usize));
            let mut entry = format!("{{food: {name}, staple: true, ");
            self.nutrients(&mut entry);
            let price = money(self.dice.roll(50, 900));
            let _ = write!(
                entry,
                "packs: [{{pack: bag, size: 300 g, price: {price}}}]}}"
            );
            self.sketch.foods.push(entry);
            self.staples.push(name);
        }
    }

    fn nutrients(&mut self, entry: &mut String) {
        let energy = self.dice.roll(20, 400);
        let protein = self.dice.roll(0, 25);
        let _ = write!(entry, "nutrients: {{energy: {energy}, protein: {protein}");
        if self.with(60, "known iron") {
            let _ = write!(
                entry,
                ", iron: {}.{}",
                self.dice.roll(0, 5),
                self.dice.roll(0, 9)
            );
        } else {
            self.note("unknown iron");
        }
        *entry += "}, source: random figures, ";
    }

    fn packs(&mut self, kind: i64) -> Vec<String> {
        let rate = if self.ties {
            100
        } else {
            self.dice.roll(15, 250)
        };
        let step = if self.size == Size::Shared || self.ties {
            100
        } else {
            50
        };
        let options = match self.dice.roll(1, 10) {
            1..=6 => 1,
            7..=9 => 2,
            _ => 3,
        };
        // Long weeks open packs on more days: fewer ways of buying keep all of them triable.
        let options = if matches!(self.size, Size::Long | Size::Shared) {
            options.min(2)
        } else {
            options
        };
        if options > 1 {
            self.note("pack options");
        }
        (0..options)
            .map(|option| {
                let loose = kind == 8 || (kind == 9 && self.dice.chance(50));
                let size = if loose {
                    *self.dice.pick(&[10, 20, 50])
                } else if self.ties {
                    100
                } else {
                    step * self.dice.roll(2, 7)
                };
                let units = if !loose && self.with(15, "several units") {
                    self.dice.roll(2, 3)
                } else {
                    1
                };
                // Larger and later options are somewhat cheaper by weight, or not.
                let discount = if self.ties {
                    100
                } else {
                    100 - 8 * option * self.dice.roll(0, 3)
                };
                let price = money((size * units * rate * discount / 10_000).max(1));
                let mut pack = format!("{{pack: option {option}, size: {size} g, price: {price}");
                if units > 1 {
                    let _ = write!(pack, ", units: {units}");
                }
                if loose {
                    self.note("loose");
                    let keeps = if kind == 9 { 60 } else { self.dice.roll(2, 9) };
                    let _ = write!(pack, ", loose: true, keeps: {keeps}");
                } else {
                    self.life(kind, option, &mut pack);
                }
                pack + "}"
            })
            .collect()
    }

    /// Ready window, opened life, last day.
    fn life(&mut self, kind: i64, option: i64, pack: &mut String) {
        let open = self.dice.roll(0, 3);
        match kind {
            0..=2 => {
                let keeps = self.dice.roll(1, 7);
                let _ = write!(pack, ", keeps: {keeps}, open_keeps: {open}");
                if self.dice.chance(20) {
                    self.note("end past the window");
                    let _ = write!(pack, ", end: {}", keeps + self.dice.roll(1, 3));
                }
            }
            3..=5 => {
                self.note("jar");
                let _ = write!(pack, ", keeps: 60, open_keeps: {open}");
            }
            6 | 7 => {
                self.note("ripening");
                let first = self.dice.roll(0, 2);
                let last = first + self.dice.roll(0, 3);
                let stage = ["hard", "breaking", "ripe"][option as usize];
                let _ = write!(
                    pack,
                    ", stage: {stage}, ready: {first}..{last}, open_keeps: {open}"
                );
                if self.dice.chance(30) {
                    self.note("end past the window");
                    let _ = write!(pack, ", end: {}", last + self.dice.roll(0, 4));
                }
            }
            _ => {
                let _ = write!(pack, ", keeps: 60, open_keeps: 60");
            }
        }
    }

    fn stock(&mut self) {
        if !self.dice.chance(35) {
            return;
        }
        for _ in 0..self.dice.roll(1, 2) {
            let at = self.dice.roll(0, self.foods.len() as i64 - 1) as usize;
            self.foods[at].in_stock = true;
            let amount = 10 * self.dice.roll(2, 25);
            let until = self.dice.roll(0, self.days + 5);
            let mut entry = format!(
                "{{food: {}, amount: {amount} g, good_until: {until}",
                self.foods[at].name
            );
            if self.with(50, "opened stock") {
                entry += ", opened: true";
            } else {
                self.note("sealed stock");
                if self.dice.chance(60) {
                    let _ = write!(entry, ", open_keeps: {}", self.dice.roll(0, 3));
                }
                if self.dice.chance(25) {
                    let _ = write!(entry, ", end: {}", until + self.dice.roll(0, 3));
                }
            }
            if self.dice.chance(20) {
                let _ = write!(entry, ", ready_from: {}", self.dice.roll(0, until));
            }
            self.sketch.stock.push(entry + "}");
        }
    }

    /// Components.
    fn mixes(&mut self) {
        let count = match self.size {
            Size::Large(_) => 4,
            Size::Shared => 1,
            Size::Long => i64::from(self.dice.chance(50)),
            Size::Small => *self.dice.pick(&[0, 0, 1, 1, 1, 2, 2]),
        };
        // The food to which the day matters, of each component so far.
        let mut minding: Vec<BTreeSet<usize>> = Vec::new();
        for index in 0..count as usize {
            let name = format!("mix {}", letter(index));
            let keeps = if self.size == Size::Shared {
                self.dice.roll(1, 2)
            } else {
                self.dice.roll(0, 3)
            };
            let mut foods: BTreeSet<usize> = BTreeSet::new();
            let mut parts = Vec::new();
            let minds = |drawing: &Self, at: usize| {
                !drawing.foods[at].timeless || drawing.foods[at].in_stock
            };
            let first = self.dice.roll(0, self.foods.len() as i64 - 1) as usize;
            if self.size == Size::Shared {
                foods.extend([0, 1]);
            } else {
                foods.insert(first);
                for at in 0..self.foods.len() {
                    let fits =
                        keeps == 0 || !minds(self, at) || matches!(self.size, Size::Large(_));
                    if fits && self.dice.chance(if keeps == 0 { 15 } else { 60 }) {
                        foods.insert(at);
                    }
                }
            }
            let mut mine: BTreeSet<usize> = foods
                .iter()
                .copied()
                .filter(|&at| minds(self, at))
                .collect();
            if foods.len() > 1 {
                self.note("component of several foods");
            }
            let mut weight = 0;
            for &at in &foods {
                let mg = if keeps == 0 {
                    10 * self.dice.roll(3, 12)
                } else {
                    100
                };
                weight += mg;
                parts.push(format!("{{food: {}, amount: {mg} g}}", self.foods[at].name));
            }
            if index > 0 && self.dice.chance(80) {
                let union: BTreeSet<usize> = mine.union(&minding[0]).copied().collect();
                if keeps == 0 || union.len() <= 1 || matches!(self.size, Size::Large(_)) {
                    self.note("component in a component");
                    parts.push(format!(
                        "{{component: {}, amount: 100 g}}",
                        self.components[0].0
                    ));
                    self.components[0].1 = true;
                    mine = union;
                    weight += 100;
                }
            }
            if !self.staples.is_empty() && self.dice.chance(40) && self.size != Size::Shared {
                let staple = self.dice.pick(&self.staples).clone();
                parts.push(format!("{{food: {staple}, amount: 10 g}}"));
                weight += 10;
            }
            // Grain takes up water, a sauce boils down. What keeps stays at simple ratios, so
            // that whole milligrams of the food are whole milligrams of the mix.
            let makes = match (self.size, keeps) {
                (Size::Shared, _) => 200,
                (_, 0) => {
                    let makes = (weight * self.dice.roll(60, 260) / 100).max(10);
                    if makes != weight {
                        self.note("component gains or loses mass");
                    }
                    makes
                }
                _ => *self.dice.pick(&[100, 200]),
            };
            let mut entry = format!(
                "{{component: {name}, makes: {makes} g, from: [{}], keeps: {keeps}",
                parts.join(", ")
            );
            if keeps > 0 {
                self.note("component keeps");
            }
            if self.dice.chance(60) {
                self.note("batch minutes");
                let _ = write!(entry, ", minutes: {}", self.dice.roll(1, 15));
            }
            let free = keeps == 0
                || !self.limited
                || self.size == Size::Shared
                || matches!(self.size, Size::Large(_));
            if free && self.dice.chance(40) {
                self.note("minutes per portion");
                let _ = write!(
                    entry,
                    ", portion: 20 g, minutes_per_portion: {}",
                    self.dice.roll(1, 2)
                );
            }
            if self.dice.chance(20) {
                entry += ", needs: [oven]";
                self.needs.insert("oven".to_owned());
            }
            if self.dice.chance(15) {
                entry += ", tags: [tag 1]";
                self.tags.insert("tag 1".to_owned());
            }
            self.sketch.components.push(entry + "}");
            self.components.push((name, false));
            minding.push(mine);
        }
    }

    /// Something a line may take.
    fn take(&mut self) -> String {
        let shared = self.size == Size::Shared;
        let amount = if shared || self.ties {
            40 * self.dice.roll(1, 2)
        } else {
            10 * self.dice.roll(3, 13)
        };
        let likes_mixes = if shared { 60 } else { 30 };
        if !self.components.is_empty() && self.dice.chance(likes_mixes) {
            self.note("component");
            let name = self.dice.pick(&self.components).0.clone();
            return format!("component: {name}, amount: {amount} g");
        }
        if !self.staples.is_empty() && self.dice.chance(12) {
            let name = self.dice.pick(&self.staples).clone();
            return format!("food: {name}, amount: {} g", self.dice.roll(1, 20));
        }
        let at = self.dice.roll(0, self.foods.len() as i64 - 1) as usize;
        format!("food: {}, amount: {amount} g", self.foods[at].name)
    }

    fn lunches(&mut self) {
        let count = match self.size {
            Size::Small if self.days < 3 => self.dice.roll(3, 7),
            Size::Small => self.dice.roll(3, 5),
            Size::Long | Size::Shared => self.dice.roll(3, 4),
            Size::Large(recipes) => recipes,
        };
        let most_choices = match self.size {
            Size::Small => 3,
            Size::Long | Size::Shared => 1,
            Size::Large(recipes) => recipes,
        };
        let mut choices = 0;
        for index in 0..count as usize {
            let name = format!("lunch {}", letter(index));
            let form = self.dice.roll(1, 3);
            let mut entry = format!("{{recipe: {name}, form: form {form}");
            if self.dice.chance(70) {
                let _ = write!(entry, ", protein: protein {}", self.dice.roll(1, 2));
            }
            if self.dice.chance(15) {
                entry += ", tags: [tag 2]";
                self.tags.insert("tag 2".to_owned());
            }
            if self.dice.chance(12) {
                entry += ", needs: [oven]";
                self.needs.insert("oven".to_owned());
            }
            if self.with(12, "allowed days") {
                let mut days: Vec<i64> = (1..=self.days).collect();
                self.dice.shuffle(&mut days);
                days.truncate((self.days - 1).max(1) as usize);
                days.sort_unstable();
                let _ = write!(entry, ", days: {days:?}");
            }
            if self.dice.chance(70) {
                let _ = write!(entry, ", minutes: {}", self.dice.roll(2, 20));
            }
            let mut lines = Vec::new();
            for _ in 0..self.dice.roll(1, 3) {
                let first = self.take();
                let second = self.take();
                let thing = |taken: &str| taken.split(',').next().map(str::to_owned);
                // One thing may not stand twice among the alternatives of a line.
                let other = thing(&first) != thing(&second);
                if other && choices < most_choices && self.with(25, "alternatives") {
                    choices += 1;
                    if first.starts_with("component") != second.starts_with("component") {
                        self.note("food or component");
                    }
                    lines.push(format!("{{one_of: [{{{first}}}, {{{second}}}]}}"));
                } else {
                    if lines.iter().any(|l: &String| {
                        first.starts_with("component")
                            && l[1..].split(',').next() == first.split(',').next()
                    }) {
                        self.note("component on two lines");
                    }
                    lines.push(format!("{{{first}}}"));
                }
            }
            if self.with(8, "finisher") {
                lines.push(format!("{{{}, optional: true, appeal: 5}}", self.take()));
            }
            let _ = write!(entry, ", lines: [{}]}}", lines.join(", "));
            self.sketch.recipes.push((name, entry));
        }
    }

    fn aims(&mut self) {
        let mut text = String::new();
        if self.with(25, "strict order") {
            let mut all = ["foods", "cost", "spoiled", "minutes"];
            self.dice.shuffle(&mut all);
            let some = self.dice.roll(1, 4) as usize;
            let _ = writeln!(text, "  order: [{}]", all[..some].join(", "));
        }
        if self.with(45, "spoil weight") {
            let weight = *self.dice.pick(&["0", "0.5", "0.333", "1.5", "2"]);
            let _ = writeln!(text, "  spoil_weight: {weight}");
        }
        if self.with(30, "food price") {
            let _ = writeln!(text, "  food_price: {}", money(self.dice.roll(5, 150)));
        }
        if self.with(30, "minute price") {
            let _ = writeln!(text, "  minute_price: {}", money(self.dice.roll(1, 20)));
        }
        if self.with(45, "trip price") {
            let _ = writeln!(text, "  trip_price: {}", money(self.dice.roll(5, 200)));
        }
        if self.with(20, "carry credit") {
            let credit = *self.dice.pick(&["0.25", "0.5", "0.9"]);
            let _ = writeln!(text, "  carry_credit: {credit}");
        }
        if self.with(20, "day preferences") {
            let mut all = Vec::new();
            for _ in 0..self.dice.roll(1, 2) {
                let whom = if self.dice.chance(50) {
                    let (name, _) = self.dice.pick(&self.sketch.recipes).clone();
                    format!("recipe: {name}")
                } else {
                    // A form that exists.
                    let (_, entry) = self.dice.pick(&self.sketch.recipes).clone();
                    let at = entry.find("form: ").expect("every recipe has a form");
                    format!("form: {}", &entry[at + 6..at + 12])
                };
                let day = self.dice.roll(1, self.days);
                let price = money(self.dice.roll(-150, 150));
                all.push(format!("{{{whom}, days: [{day}], price: {price}}}"));
            }
            let _ = writeln!(text, "  day_preferences: [{}]", all.join(", "));
        }
        if !text.is_empty() {
            self.sketch.aims = format!("aims:\n{text}");
        }
    }

    fn rule(&mut self, key: &'static str, value: impl ToString) {
        self.note(key);
        self.sketch.rules.insert(key, value.to_string());
    }

    fn rules(&mut self) {
        let n = self.days;
        let many = self.sketch.recipes.len() as i64;
        if many < n || self.dice.chance(30) {
            self.rule("repeats", 2);
        }
        if self.calm {
            return;
        }
        if self.dice.chance(18) {
            let most = self.dice.roll(1, self.foods.len() as i64);
            self.rule("cap", most.max(n));
            if self.dice.chance(40) {
                self.rule("cap_by", "families");
            }
        }
        if self.dice.chance(15) {
            let most = money(n * self.dice.roll(150, 700));
            self.rule("budget", most);
        }
        if self.limited {
            let most = self.dice.roll(12, 40);
            if self.dice.chance(30) {
                let day = self.dice.roll(0, n);
                let other = self.dice.roll(5, 60);
                self.rule("minutes", format!("{{each_day: {most}, {day}: {other}}}"));
            } else {
                self.rule("minutes", most);
            }
        }
        if self.dice.chance(30) {
            let mut all = Vec::new();
            for _ in 0..self.dice.roll(1, 2) {
                let per = *self.dice.pick(&["lunch", "week"]);
                self.note(if per == "lunch" {
                    "nutrition per lunch"
                } else {
                    "nutrition per week"
                });
                let nutrient = *self.dice.pick(&["energy", "protein", "iron"]);
                let middle = match nutrient {
                    "energy" => self.dice.roll(150, 500),
                    "protein" => self.dice.roll(8, 30),
                    _ => self.dice.roll(2, 6),
                };
                let limit = if self.dice.chance(60) {
                    format!("at_least: {}", middle / 2)
                } else {
                    format!("at_most: {}", middle + middle / 2)
                };
                all.push(format!(
                    "{{nutrient: {nutrient}, per: {per}, {limit}, source: random}}"
                ));
            }
            self.rule("nutrition", format!("[{}]", all.join(", ")));
        }
        if self.dice.chance(25) {
            let most = self.dice.roll(1, 2).max((n + 2) / 3);
            self.rule("per_form", most);
            if self.dice.chance(50) {
                self.rule("form_adjacent", true);
            }
        } else if self.dice.chance(10) {
            self.rule("form_adjacent", false);
        }
        if self.dice.chance(20) {
            let most = self.dice.roll(1, 2).max(n / 2);
            self.rule("per_protein", most);
        }
        if self.dice.chance(15) {
            let most = *self.dice.pick(&["0.5", "0.75", "0.9"]);
            self.rule("sameness", most);
        }
        if self.dice.chance(15) {
            let most = *self.dice.pick(&["0.2", "0.5", "0.8"]);
            self.rule("sameness_adjacent", most);
        }
    }

    /// Time in the kitchen. Dice of its own: all else of a seed stays as it is.
    fn kitchen_time(&mut self) {
        let mut dice = Dice::new(self.sketch.seed ^ 0x7469_6d65);
        for entry in &mut self.sketch.components {
            if dice.chance(50) {
                let passive = dice.roll(1, 40);
                let held = entry.contains("needs");
                // Steps that hold something, that hold nothing, and none at all.
                let steps = match dice.roll(0, 3) {
                    0 if held => format!(
                        ", steps: [{{do: warm, passive: {}, needs: [oven]}}, {{do: cool}}]",
                        passive / 2
                    ),
                    1 if held => {
                        ", steps: [{do: cool, passive: 1}, {do: warm, needs: [oven]}]".to_owned()
                    }
                    _ => String::new(),
                };
                entry.truncate(entry.len() - 1);
                let _ = write!(entry, ", passive_minutes: {passive}{steps}}}");
                if held {
                    self.sketch.features.insert("watched minutes");
                }
            }
        }
        if dice.chance(30) {
            self.note("watch price");
            if self.sketch.aims.is_empty() {
                self.sketch.aims.push_str("aims:\n");
            }
            let price = money(dice.roll(1, 20));
            let _ = writeln!(self.sketch.aims, "  watch_price: {price}");
        }
        if self.calm {
            return;
        }
        let n = self.days;
        if dice.chance(20) {
            let mut days: Vec<i64> = (0..=n).filter(|_| dice.chance(60)).collect();
            if days.is_empty() {
                days.push(0);
            }
            self.rule("cook_on", format!("{days:?}"));
        }
        // As of `minutes`: none beside minutes a portion that could be divided freely.
        let portions = |entry: &String| entry.contains("minutes_per_portion");
        let free = self.limited
            || matches!(self.size, Size::Shared | Size::Large(_))
            || !self.sketch.components.iter().any(portions);
        if free && dice.chance(30) {
            let most = dice.roll(12, 60);
            if dice.chance(40) {
                let (day, other) = (dice.roll(0, n), dice.roll(5, 80));
                self.rule(
                    "kitchen_minutes",
                    format!("{{each_day: {most}, {day}: {other}}}"),
                );
            } else {
                self.rule("kitchen_minutes", most);
            }
        }
    }

    fn bans_and_pins(&mut self) {
        if self.dice.chance(45) {
            let outer: Vec<&String> = self
                .components
                .iter()
                .filter(|c| !c.1)
                .map(|c| &c.0)
                .collect();
            let mut names: Vec<(&'static str, String)> = vec![
                ("ban on a food", self.dice.pick(&self.foods).name.clone()),
                (
                    "ban on a recipe",
                    self.dice.pick(&self.sketch.recipes).0.clone(),
                ),
            ];
            if !outer.is_empty() {
                names.push(("ban on a component", (*self.dice.pick(&outer)).clone()));
            }
            for (what, words) in [
                ("ban on a family", &self.families),
                ("ban on a tag", &self.tags),
                ("ban on an allergen", &self.allergens),
                ("ban on equipment", &self.needs),
            ] {
                names.extend(words.first().map(|word| (what, word.clone())));
            }
            let (what, first) = self.dice.pick(&names).clone();
            self.note(what);
            let mut all = vec![first];
            if self.dice.chance(40) {
                let (what, second) = self.dice.pick(&names).clone();
                if second != all[0] {
                    self.note(what);
                    all.push(second);
                }
            }
            self.rule("without", format!("[{}]", all.join(", ")));
        }
        if self.dice.chance(62) {
            let banned = self
                .sketch
                .rules
                .get("without")
                .cloned()
                .unwrap_or_default();
            let recipe = self.dice.chance(50);
            let name = if recipe {
                self.dice.pick(&self.sketch.recipes).0.clone()
            } else {
                self.dice.pick(&self.foods).name.clone()
            };
            // The reader refuses to want what is banned, by name or as one of a group.
            let group = ["family", "tag", "allergen", "oven"];
            if banned.contains(&name) || group.iter().any(|g| banned.contains(g)) {
                return;
            }
            let day = self.dice.roll(1, self.days);
            // A recipe that may not be served on that day cannot be asked for on it.
            let picky = self
                .sketch
                .recipes
                .iter()
                .any(|(n, e)| *n == name && e.contains("days:"));
            let on_a_day = self.dice.chance(50) && !picky;
            self.note(match (recipe, on_a_day) {
                (true, true) => "pin of a recipe on a day",
                (true, false) => "pin of a recipe",
                (false, true) => "pin of a food on a day",
                (false, false) => "pin of a food",
            });
            let pin = if on_a_day {
                format!("{{name: {name}, day: {day}}}")
            } else {
                name
            };
            self.rule("with", format!("[{pin}]"));
        }
    }
}
