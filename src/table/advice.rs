//! Advice that protects: facts of food safety, each with where it was published, and the words by
//! which foods are told that it is for. Which of it a week needs is worked out by `explain`.
//!
//! Facts are restated in words of our own. Where a source was not at hand its line says so.

use std::sync::LazyLock;

use super::parse;
use super::wording::Told;

/// What advice is about, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// Dry red kidney beans: a lectin that slow cooking leaves.
    KidneyBeans,
    /// Sprouts.
    Sprouts,
    /// Fresh garlic or herbs in oil.
    OilWithGarlic,
    /// Hot food in a flask.
    HotFlask,
    /// Cooked rice, pasta, grains and pulses.
    CookedStarch,
    /// Anything else cooked ahead.
    Cooling,
    /// Fruit that is cut.
    CutFruit,
    /// A lunch carried cold.
    ColdBox,
}

/// A line of advice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Advice {
    /// What it is about.
    pub topic: Topic,
    /// In a few words, for a heading.
    pub title: &'static str,
    /// What to do, at most a line or two of a screen.
    pub short: &'static str,
    /// What to do, and why.
    pub line: &'static str,
    /// Where it was published.
    pub source: &'static str,
}

/// All advice, the gravest first.
pub const ADVICE: [Advice; 8] = [
    Advice {
        topic: Topic::KidneyBeans,
        title: "dry kidney beans",
        short: "soak 5 hours, then boil 30 minutes in fresh water before anything slow",
        line: "Soak dry kidney beans 5 hours or longer, pour the water away, boil them 30 minutes in \
               fresh water before anything slow: a slow cooker does not get hot enough for their \
               poison. Tinned ones are boiled already.",
        source: "US Food and Drug Administration, Bad Bug Book: phytohaemagglutinin (from memory)",
    },
    Advice {
        topic: Topic::Sprouts,
        title: "sprouts",
        short: "cook until steaming hot",
        line: "Cook sprouts until they steam: germs grow inside the seed, where no washing reaches. \
               Raw ones are not for the old, the young, the pregnant and the ill.",
        source: "FoodSafety.gov and US Food and Drug Administration: sprouts (from memory)",
    },
    Advice {
        topic: Topic::OilWithGarlic,
        title: "garlic or herbs in oil",
        short: "in the refrigerator at once, 4 days at most",
        line: "Fresh garlic or herbs in oil: into the refrigerator at once, 4 days at most, or freeze \
               it. Botulism grows in oil at room temperature, and neither smells nor tastes.",
        source: "Centers for Disease Control and Prevention: home-preserved foods and botulism \
                 (from memory)",
    },
    Advice {
        topic: Topic::HotFlask,
        title: "hot food in a flask",
        short: "heat to 74 °C (165 °F), fill at 60 °C (140 °F) or above, flask rinsed with boiling water",
        line: "Carried hot: heat it through to 74 °C (165 °F), stand boiling water in the flask for a \
               few minutes and pour it out, fill at 60 °C (140 °F) or above, keep it shut until lunch. \
               What has cooled below that is not kept.",
        source: "74 °C: University of Illinois Extension, Leftovers; flask and 60 °C: USDA Food Safety \
                 and Inspection Service, bag lunches (from memory)",
    },
    Advice {
        topic: Topic::CookedStarch,
        title: "cooked rice, pasta, grains, beans",
        short: "cool open and shallow, in the refrigerator within the hour",
        line: "Cool it open and spread out shallow, 20 to 30 minutes, before a lid goes on (minutes: \
               common practice, no source); into the refrigerator within the hour. What grows in \
               lukewarm grains, pasta and beans survives heating. Of rice the United Kingdom's advice \
               is to eat it within a day.",
        source: "Food Standards Agency and NHS (United Kingdom): rice (from memory); 3 to 4 days: \
                 University of Illinois Extension, Leftovers",
    },
    Advice {
        topic: Topic::Cooling,
        title: "what is cooked ahead",
        short: "cool open and shallow before a lid goes on, in the refrigerator within two hours",
        line: "Cool it open in shallow dishes, 20 to 30 minutes, before a lid goes on (minutes: common \
               practice, no source); from 57 to 21 °C (135 to 70 °F) within two hours, to 5 °C (41 °F) \
               within four more.",
        source: "FDA Food Code 3-501.14 (from memory); two hours: University of Illinois Extension, \
                 Leftovers",
    },
    Advice {
        topic: Topic::CutFruit,
        title: "fruit",
        short: "wash before it is cut, the rind too",
        line: "Wash fruit under running water before it is cut, also where the rind is not eaten: the \
               knife carries in what sits on it.",
        source: "US Food and Drug Administration: cleaning fruits and vegetables (from memory)",
    },
    Advice {
        topic: Topic::ColdBox,
        title: "carried cold",
        short: "two cold packs in the box, or one and a frozen drink",
        line: "Carried cold: two cold sources in an insulated box (two frozen packs, or one and a frozen \
               drink), above and below the food, unless it waits in a refrigerator.",
        source: "USDA Food Safety and Inspection Service, bag lunches (from memory)",
    },
];

impl Topic {
    /// Returns its line.
    pub fn advice(self) -> &'static Advice {
        // The table stands in the order of the topics.
        &ADVICE[self as usize]
    }
}

/// A sort of food that advice is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sort {
    /// Kidney beans that are not known to be cooked already.
    DryKidneyBeans,
    /// Sprouts that are eaten, not those of Brussels.
    Sprouts,
    /// Oil.
    Oil,
    /// Garlic and herbs, fresh.
    GarlicOrHerb,
    /// Rice, pasta, grains and pulses.
    Starch,
    /// Fresh fruit that is cut.
    Fruit,
    /// A form, a name or a tag of a lunch that is carried hot.
    Hot,
}

/// Patterns as in `kinds.tsv`.
const SORTS: [(&str, Sort); 10] = [
    (
        "kidney/cannellini -tin -can -canned -tinned -jar -carton -pouch -cooked -drained -lamb -beef \
         -pork -veal -refried",
        Sort::DryKidneyBeans,
    ),
    ("sprout -brussels -tin -can -canned", Sort::Sprouts),
    ("oil -tin -tuna -sardine", Sort::Oil),
    (
        "garlic/parsley/basil/cilantro/coriander/mint/dill/chive/rosemary/thyme/oregano/sage/tarragon/\
         chervil/herb -dried -dry -powder -ground -seed -granulated -oil -tea",
        Sort::GarlicOrHerb,
    ),
    (
        "rice -vinegar -milk -drink -flour -paper -cake -cracker -syrup -wine -oil -bran",
        Sort::Starch,
    ),
    (
        "pasta/noodle/spaghetti/macaroni/penne/fusilli/orzo/soba/udon/couscous/bulgur/quinoa/barley/\
         spelt/farro/millet/buckwheat/freekeh -flour -sauce -bread",
        Sort::Starch,
    ),
    (
        "bean/chickpea/lentil -sprout -green -string -runner -french -snap -wax -coffee -cocoa -vanilla \
         -flour -sauce -paste -curd -jelly",
        Sort::Starch,
    ),
    ("pea split/dried/dry", Sort::Starch),
    (
        "avocado/mango/melon/watermelon/cantaloupe/honeydew/papaya/pineapple/kiwi/kiwifruit/orange/lemon/\
         lime/grapefruit/apple/pear/peach/nectarine/plum/apricot/pomegranate -juice -dried -tin -can \
         -canned -tinned -frozen -jam -jelly -oil -sauce -vinegar -cider -prickly -extract -butter \
         -chutney -leaf -zest",
        Sort::Fruit,
    ),
    ("flask/hot/soup/stew -cold -chilled -sauce", Sort::Hot),
];

static TOLD: LazyLock<Told<Sort>> = LazyLock::new(|| {
    let told = Told::new(SORTS.to_vec());
    parse::whole("table of sorts", told.ok_or_else(parse::BadLine::nowhere))
});

/// Returns whether a text (a food's name, its row's, its pack's) tells of this sort.
pub fn is_of(text: &str, sort: Sort) -> bool {
    TOLD.all(text).any(|found| *found == sort)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_topic_has_its_line() {
        for advice in &ADVICE {
            assert_eq!(advice.topic.advice(), advice);
            assert!(!advice.source.is_empty());
        }
    }

    #[test]
    fn foods_are_of_the_sorts_they_are_called() {
        for (text, sorts) in [
            (
                "kidney beans 500 g bag",
                vec![Sort::DryKidneyBeans, Sort::Starch],
            ),
            (
                "red kidney beans, dried",
                vec![Sort::DryKidneyBeans, Sort::Starch],
            ),
            ("kidney beans 400 g tin", vec![Sort::Starch]),
            ("mung bean sprouts", vec![Sort::Sprouts]),
            ("Brussels sprouts", vec![]),
            ("green beans", vec![]),
            ("olive oil", vec![Sort::Oil]),
            ("garlic", vec![Sort::GarlicOrHerb]),
            ("garlic powder", vec![]),
            ("dried thyme", vec![]),
            ("rice vinegar", vec![]),
            ("brown rice", vec![Sort::Starch]),
            ("lemon juice", vec![]),
            ("avocado single hard", vec![Sort::Fruit]),
            ("soup in a flask", vec![Sort::Hot]),
            ("hot sauce", vec![]),
        ] {
            let all = [
                Sort::DryKidneyBeans,
                Sort::Sprouts,
                Sort::Oil,
                Sort::GarlicOrHerb,
                Sort::Starch,
                Sort::Fruit,
                Sort::Hot,
            ];
            let found: Vec<Sort> = all.into_iter().filter(|s| is_of(text, *s)).collect();
            assert_eq!(found, sorts, "{text}");
        }
    }
}
