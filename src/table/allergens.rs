//! Allergens a food has by its kind: the fourteen that labels in the European Union name
//! (Regulation (EU) No 1169/2011, Annex II) and the nine of the United States (Food Allergen
//! Labeling and Consumer Protection Act of 2004; FASTER Act of 2021). Both lists from memory.
//!
//! Offered, never assumed: a kitchen's own `allergens` alone count. What a maker adds, and traces
//! ("may contain"), stand on the label and nowhere else.

use std::sync::LazyLock;

use super::parse;
use super::wording::Told;

/// An allergen of one of the lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Allergen {
    /// Cereals with gluten: wheat, rye, barley, oats and their kin.
    Gluten,
    /// Wheat, which the United States name by itself.
    Wheat,
    /// Crustaceans.
    Crustaceans,
    /// Eggs.
    Eggs,
    /// Fish.
    Fish,
    /// Peanuts.
    Peanuts,
    /// Soybeans.
    Soy,
    /// Milk.
    Milk,
    /// Tree nuts.
    TreeNuts,
    /// Celery.
    Celery,
    /// Mustard.
    Mustard,
    /// Sesame.
    Sesame,
    /// Sulphur dioxide and sulphites, above 10 mg a kilogram.
    Sulphites,
    /// Lupin.
    Lupin,
    /// Molluscs.
    Molluscs,
}

use Allergen::{
    Celery, Crustaceans, Eggs, Fish, Gluten, Lupin, Milk, Molluscs, Mustard, Peanuts, Sesame, Soy,
    Sulphites, TreeNuts, Wheat,
};

impl Allergen {
    /// All of both lists.
    pub const ALL: [Self; 15] = [
        Gluten,
        Wheat,
        Crustaceans,
        Eggs,
        Fish,
        Peanuts,
        Soy,
        Milk,
        TreeNuts,
        Celery,
        Mustard,
        Sesame,
        Sulphites,
        Lupin,
        Molluscs,
    ];

    /// Returns the word a kitchen file writes.
    pub fn word(self) -> &'static str {
        match self {
            Gluten => "gluten",
            Wheat => "wheat",
            Crustaceans => "crustaceans",
            Eggs => "eggs",
            Fish => "fish",
            Peanuts => "peanuts",
            Soy => "soy",
            Milk => "milk",
            TreeNuts => "tree nuts",
            Celery => "celery",
            Mustard => "mustard",
            Sesame => "sesame",
            Sulphites => "sulphites",
            Lupin => "lupin",
            Molluscs => "molluscs",
        }
    }

    /// Returns whether labels in the European Union name it.
    pub fn in_eu(self) -> bool {
        self != Wheat
    }

    /// Returns whether labels in the United States name it.
    pub fn in_us(self) -> bool {
        matches!(
            self,
            Wheat | Crustaceans | Eggs | Fish | Peanuts | Soy | Milk | TreeNuts | Sesame
        )
    }
}

/// Patterns as in `kinds.tsv`; whether the kind always has it, or is often made with it.
const KINDS: [(&str, &[Allergen], bool); 39] = [
    (
        "wheat/bulgur/couscous/semolina/seitan/spelt/farro/durum/kamut/freekeh/einkorn/emmer",
        &[Gluten, Wheat],
        true,
    ),
    (
        "bread/pita/pitta/naan/chapati/roti/bagel/baguette/ciabatta/focaccia/crouton/breadcrumb/panko/\
         croissant/flatbread/bun/muffin/pretzel/cracker/phyllo/biscuit -corn -cornbread -rice -fruit \
         -sweetbread -breadfruit",
        &[Gluten, Wheat],
        true,
    ),
    ("tortilla/wrap flour", &[Gluten, Wheat], true),
    (
        "flour all/purpose/white/bread/cake/self/plain -corn -rice -potato -soy -chickpea -oat -rye \
         -barley -buckwheat -sorghum -peanut -sesame -sunflower -cottonseed -carob -amaranth -millet \
         -arrowroot",
        &[Gluten, Wheat],
        true,
    ),
    (
        "pasta/spaghetti/macaroni/penne/fusilli/linguine/lasagna/orzo/noodle/somen/udon/ramen/chow -rice \
         -corn -bean -mung -soba -squash -sauce",
        &[Gluten, Wheat],
        true,
    ),
    ("rye/barley/malt/malted/triticale", &[Gluten], true),
    ("oat/oats/oatmeal/granola/muesli", &[Gluten], true),
    ("beer/ale/stout", &[Gluten], true),
    ("soba", &[Gluten, Wheat], false),
    ("soy/soya/shoyu sauce -tamari", &[Gluten, Wheat], true),
    ("tamari", &[Gluten, Wheat], false),
    ("hoisin/teriyaki", &[Soy, Gluten, Wheat], true),
    ("miso/natto", &[Gluten], false),
    (
        "soy/soya/soybean/tofu/tempeh/edamame/miso/tamari/natto/soymilk/okara/shoyu/yuba",
        &[Soy],
        true,
    ),
    ("worcestershire", &[Fish], true),
    ("worcestershire", &[Gluten], false),
    (
        "shrimp/prawn/crab/lobster/crayfish/krill/crustacean/langoustine",
        &[Crustaceans],
        true,
    ),
    (
        "clam/mussel/oyster/scallop/squid/octopus/cuttlefish/abalone/whelk/snail/mollusk/mollusc/conch \
         -mushroom -plant",
        &[Molluscs],
        true,
    ),
    (
        "fish/salmon/tuna/cod/haddock/halibut/herring/mackerel/trout/sardine/anchovy/tilapia/bass/\
         snapper/perch/pike/flounder/sole/pollock/catfish/carp/eel/swordfish/roe/caviar/surimi/sturgeon/\
         whitefish/sablefish/bluefish/shark/monkfish/whiting/roughy/rockfish/pompano/mahimahi/lingcod/flatfish/grouper/smelt/mullet/shad/turbot -crayfish",
        &[Fish],
        true,
    ),
    ("egg -plant", &[Eggs], true),
    ("mayonnaise/mayo -vegan -tofu", &[Eggs], true),
    ("mayonnaise/mayo", &[Mustard], false),
    ("peanut/groundnut", &[Peanuts], true),
    (
        "milk/cream -almond -coconut -rice -soy -soya -oat -cashew -tartar -vegan -bean -nut -corn",
        &[Milk],
        true,
    ),
    (
        "buttermilk/cheese/yogurt/yoghurt/kefir/whey/casein/ghee/ricotta/mozzarella/feta/parmesan/\
         cheddar/brie/quark/custard/lactose -soy -soya -almond -coconut -cashew -vegan",
        &[Milk],
        true,
    ),
    (
        "butter -peanut -almond -cashew -nut -sesame -sunflower -bean -beans -apple -lettuce -cocoa \
         -hazelnut -seed -pistachio -soynut -lima",
        &[Milk],
        true,
    ),
    ("eggnog", &[Eggs, Milk], true),
    (
        "almond/hazelnut/walnut/cashew/pecan/pistachio/macadamia/filbert/praline/marzipan",
        &[TreeNuts],
        true,
    ),
    ("brazil/mixed nut/brazilnut", &[TreeNuts], true),
    ("pesto", &[TreeNuts, Milk], false),
    ("celery/celeriac", &[Celery], true),
    ("stock/broth/bouillon/soup/gravy", &[Celery], false),
    ("mustard", &[Mustard], true),
    ("curry/salad powder/dressing", &[Mustard], false),
    ("sesame/tahini/halva/hummus/houmous", &[Sesame], true),
    (
        "dried/raisin/sultana/prune apricot/mango/apple/pear/peach/pineapple/papaya/fig/fruit/banana/\
         cherry/raisin/sultana/prune/potato/cranberry",
        &[Sulphites],
        false,
    ),
    ("wine/cider -vinegar", &[Sulphites], false),
    ("vinegar wine/balsamic", &[Sulphites], false),
    ("lupin/lupine/lupini", &[Lupin], true),
];

static TOLD: LazyLock<Told<(&'static [Allergen], bool)>> = LazyLock::new(|| {
    let entries = KINDS.iter().map(|&(text, all, sure)| (text, (all, sure)));
    let told = Told::new(entries.collect());
    parse::whole(
        "table of allergens",
        told.ok_or_else(parse::BadLine::nowhere),
    )
});

/// Returns what a food called so has by its kind, and what it is often made with; each in the
/// order of the list.
pub fn by_kind(text: &str) -> (Vec<Allergen>, Vec<Allergen>) {
    let (mut has, mut may) = (Vec::new(), Vec::new());
    for (all, sure) in TOLD.all(text) {
        let list = if *sure { &mut has } else { &mut may };
        list.extend_from_slice(all);
    }
    for list in [&mut has, &mut may] {
        list.sort_unstable();
        list.dedup();
    }
    may.retain(|allergen| !has.contains(allergen));
    (has, may)
}

/// Returns what is offered of a food called so, in words; `None` if its kind tells of none.
pub fn offered(text: &str) -> Option<String> {
    let (has, may) = by_kind(text);
    let named = |list: &[Allergen]| {
        let words: Vec<String> = list
            .iter()
            .map(|&allergen| match (allergen.in_eu(), allergen.in_us()) {
                (true, true) => format!("{} (EU, US)", allergen.word()),
                (true, false) => format!("{} (EU)", allergen.word()),
                _ => format!("{} (US)", allergen.word()),
            })
            .collect();
        words.join(", ")
    };
    match (has.is_empty(), may.is_empty()) {
        (true, true) => None,
        (false, true) => Some(named(&has)),
        (true, false) => Some(format!("often made with {}", named(&may))),
        (false, false) => Some(format!("{}; often made with {}", named(&has), named(&may))),
    }
}
