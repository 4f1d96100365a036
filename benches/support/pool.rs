//! The generator: family, size and seed in, kitchen files out. Same arguments, same bytes.

use std::fmt::Write as _;

/// What kind of pool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// One pack a food, no alternatives: pack rounding, cap, two nutrients, forms, opened life.
    Plain,
    /// Alternatives on half the lines, two pack options, windows, components, nutrients,
    /// minutes, sameness.
    Full,
    /// Full rules so tight that few weeks fit.
    Tight,
    /// Full rules that no week fits.
    Impossible,
    /// Many near-ties: few sizes, few prices.
    Flat,
}

impl Family {
    /// All families by name.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Plain, "plain"),
        (Self::Full, "full"),
        (Self::Tight, "tight"),
        (Self::Impossible, "impossible"),
        (Self::Flat, "flat"),
    ];

    /// Returns the family of this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| *n == name).map(|(f, _)| *f)
    }

    /// Returns its name.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(f, _)| *f == self)
            .expect("listed")
            .1
    }
}

/// A pool to generate.
#[derive(Clone, Copy, Debug)]
pub struct Pool {
    /// Kind.
    pub family: Family,
    /// Number of recipes.
    pub recipes: usize,
    /// Number of counted foods.
    pub foods: usize,
    /// Lunch days.
    pub days: usize,
    /// Seed.
    pub seed: u64,
}

/// Small counter-based generator (the finaliser of splitmix64, public domain).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Whole number in `low..=high`.
    fn range(&mut self, low: u64, high: u64) -> u64 {
        low + self.next() % (high - low + 1)
    }

    fn chance(&mut self, percent: u64) -> bool {
        self.range(1, 100) <= percent
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.range(0, from.len() as u64 - 1) as usize]
    }

    /// A food: low numbers are popular.
    fn food(&mut self, foods: usize) -> usize {
        let a = self.range(0, foods as u64 - 1);
        let b = self.range(0, foods as u64 - 1);
        a.min(b) as usize
    }
}

const FORMS: [&str; 7] = [
    "grain bowl",
    "noodle bowl",
    "wrap",
    "sandwich",
    "jarred salad",
    "flask soup",
    "flatbread",
];
const PROTEINS: [&str; 7] = [
    "tofu",
    "tempeh",
    "chickpeas",
    "lentils",
    "black beans",
    "white beans",
    "edamame",
];

impl Pool {
    /// Returns file names and texts.
    pub fn texts(&self) -> Vec<(String, String)> {
        let mut dice = Dice(self.seed.wrapping_mul(0x1234_5677) ^ self.recipes as u64);
        let full = self.family != Family::Plain;
        let components = if full { (self.foods / 8).max(2) } else { 0 };
        vec![
            ("foods.yaml".to_owned(), self.foods(&mut dice, full)),
            (
                "components.yaml".to_owned(),
                self.components(&mut dice, components),
            ),
            (
                "recipes.yaml".to_owned(),
                self.recipes(&mut dice, full, components),
            ),
            ("kitchen.yaml".to_owned(), self.kitchen(full)),
        ]
    }

    fn kitchen(&self, full: bool) -> String {
        let mut text = String::new();
        let days = self.days;
        let _ = writeln!(
            text,
            "kitchen: pool\ncurrency: EUR\nweek:\n  lunches: {days}\n  eaters: 3"
        );
        let flat = self.family == Family::Flat;
        let _ = writeln!(
            text,
            "aims:\n  spoil_weight: {}\n  food_price: {}\n  minute_price: {}",
            if flat { "0" } else { "0.5" },
            if flat { "1.00" } else { "0.40" },
            if full && !flat { "0.05" } else { "0" }
        );
        let cap = match self.family {
            Family::Tight => 5 + days * 9 / 5,
            Family::Impossible => 2 + days * 6 / 5,
            _ => 5 + days * 3,
        };
        let _ = writeln!(
            text,
            "rules:\n  cap: {cap}\n  per_form: 2\n  per_protein: 2"
        );
        if full {
            text += "  sameness: 0.8\n  sameness_adjacent: 0.6\n  minutes: { each_day: 45, Sunday: 120 }\n";
        }
        let (protein, energy) = match self.family {
            Family::Tight | Family::Impossible => (21, 420),
            _ => (14, 330),
        };
        let _ = writeln!(
            text,
            "  nutrition:\n    - {{ nutrient: protein, per: lunch, at_least: {protein}, source: made up for timing }}\n    - {{ nutrient: energy, per: lunch, at_least: {energy}, source: made up for timing }}"
        );
        if full {
            text += "    - { nutrient: fibre, per: week, at_least: 7, source: made up for timing }\n    - { nutrient: sodium, per: week, at_most: 1500, source: made up for timing }\n";
        }
        text
    }

    fn foods(&self, dice: &mut Dice, full: bool) -> String {
        // Foods with some protein and energy, so that floors can be met.
        let rows: Vec<&scant::table::Row> = scant::table::rows()
            .iter()
            .filter(|row| {
                let energy = row.nutrients_milli[0].unwrap_or(0);
                (20_000..=600_000).contains(&energy)
            })
            .collect();
        let mut text = String::from("foods:\n");
        for food in 0..self.foods {
            let row = dice.pick(&rows);
            let _ = writeln!(
                text,
                "  - food: food {food:03}\n    table: \"{}\"\n    yield: 100 %\n    packs:",
                row.number
            );
            let flat = self.family == Family::Flat;
            let size = if flat {
                dice.range(1, 3) * 200
            } else {
                dice.range(6, 40) * 25
            };
            let price = if flat {
                dice.range(2, 5) * 50
            } else {
                size * dice.range(20, 120) / 100 + dice.range(20, 90)
            };
            let (keeps, open) = match dice.range(0, 3) {
                0 => (365, 3),
                1 => (dice.range(6, 9), dice.range(2, 4)),
                2 => (365, 30),
                _ => (dice.range(6, 12), dice.range(3, 6)),
            };
            let _ = writeln!(
                text,
                "      - {{ pack: {size} g, size: {size} g, price: {}.{:02}, keeps: {keeps}, open_keeps: {open} }}",
                price / 100,
                price % 100
            );
            if full && dice.chance(60) {
                let _ = match dice.range(0, 3) {
                    0 => {
                        let big = price * 17 / 10;
                        writeln!(
                            text,
                            "      - {{ pack: twin, size: {size} g, units: 2, price: {}.{:02}, keeps: {keeps}, open_keeps: {open} }}",
                            big / 100,
                            big % 100
                        )
                    }
                    1 => {
                        let step = price * 130 * 10 / size / 100 + 1;
                        writeln!(
                            text,
                            "      - {{ pack: loose, size: 10 g, price: {}.{:02}, keeps: {}, loose: true }}",
                            step / 100,
                            step % 100,
                            keeps.min(7)
                        )
                    }
                    2 => {
                        let more = price * 16 / 10;
                        writeln!(
                            text,
                            "      - {{ pack: large, size: {} g, price: {}.{:02}, keeps: {keeps}, open_keeps: {open} }}",
                            size * 2,
                            more / 100,
                            more % 100
                        )
                    }
                    _ => {
                        let riper = price * 11 / 10;
                        writeln!(
                            text,
                            "      - {{ pack: hard, stage: hard, size: {size} g, price: {}.{:02}, ready: 3..6, open_keeps: 1 }}",
                            riper / 100,
                            riper % 100
                        )
                    }
                };
            }
        }
        text
    }

    fn components(&self, dice: &mut Dice, count: usize) -> String {
        let mut text = String::from(if count == 0 {
            "components: []\n"
        } else {
            "components:\n"
        });
        for component in 0..count {
            let _ = writeln!(
                text,
                "  - component: component {component:02}\n    makes: {} g\n    keeps: 3\n    minutes: {}\n    portion: 100 g\n    minutes_per_portion: {}\n    from:",
                dice.range(4, 10) * 100,
                dice.range(3, 15),
                dice.range(0, 2)
            );
            let mut used = Vec::new();
            for _ in 0..dice.range(1, 3) {
                let food = dice.food(self.foods);
                if !used.contains(&food) {
                    used.push(food);
                    let _ = writeln!(
                        text,
                        "      - {{ food: food {food:03}, amount: {} g }}",
                        dice.range(1, 6) * 50
                    );
                }
            }
        }
        text
    }

    fn recipes(&self, dice: &mut Dice, full: bool, components: usize) -> String {
        let mut text = String::from("recipes:\n");
        let flat = self.family == Family::Flat;
        for recipe in 0..self.recipes {
            let _ = writeln!(
                text,
                "  - recipe: recipe {recipe:05}\n    form: {}\n    protein: {}\n    minutes: {}\n    lines:",
                dice.pick(&FORMS),
                dice.pick(&PROTEINS),
                dice.range(5, 25)
            );
            let mut used = Vec::new();
            let lines = dice.range(4, 7);
            for line in 0..lines {
                let food = dice.food(self.foods);
                if used.contains(&food) {
                    continue;
                }
                used.push(food);
                let amount = if flat {
                    dice.range(1, 3) * 50
                } else {
                    dice.range(3, 15) * 10
                };
                let component = components > 0 && line == 0 && dice.chance(60);
                if component {
                    let _ = writeln!(
                        text,
                        "      - {{ component: component {:02}, amount: {amount} g }}",
                        dice.range(0, components as u64 - 1)
                    );
                } else if full && dice.chance(50) {
                    let mut entries =
                        vec![format!("{{ food: food {food:03}, amount: {amount} g }}")];
                    for _ in 0..dice.range(1, 2) {
                        let other = dice.food(self.foods);
                        let more = if flat { amount } else { dice.range(3, 15) * 10 };
                        if !used.contains(&other) {
                            used.push(other);
                            entries.push(format!("{{ food: food {other:03}, amount: {more} g }}"));
                        }
                    }
                    let _ = if entries.len() > 1 {
                        writeln!(text, "      - one_of: [ {} ]", entries.join(", "))
                    } else {
                        writeln!(text, "      - {}", entries[0])
                    };
                } else {
                    let _ = writeln!(
                        text,
                        "      - {{ food: food {food:03}, amount: {amount} g }}"
                    );
                }
            }
        }
        text
    }
}
