//! What may be typed of `add`, and of the entry that `foods` prints.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::console::Typed;

/// What is added.
#[derive(Args, Debug)]
pub struct AddArgs {
    /// A food or a recipe.
    #[command(subcommand)]
    pub what: Added,
}

/// What may be added.
#[derive(Debug, Subcommand)]
pub enum Added {
    /// Add a food of the built-in table: row, yield, keeping times with their sources, pack, price
    Food(AddFoodArgs),
    /// Add a recipe, its lines as a cook writes them
    Recipe(AddRecipeArgs),
    /// Add something cooked in batches, what goes in as a cook writes it
    Component(AddComponentArgs),
}

/// How a food is bought.
#[derive(Args, Debug)]
pub struct BoughtArgs {
    /// What the shelf says, with what is in it: "400 g tin", "3 x 400 g tins"
    #[arg(long, value_name = "PACK")]
    pub pack: Option<Typed>,
    /// How much is in a unit of it, where the pack does not say
    #[arg(long, value_name = "QUANTITY")]
    pub size: Option<Typed>,
    /// Price of the whole pack, in the kitchen's currency
    #[arg(long, value_name = "MONEY")]
    pub price: Option<Typed>,
    /// Shop that has it at that price, where the kitchen names shops; the usual one, if left out
    #[arg(long, value_name = "SHOP", requires = "price")]
    pub shop: Option<Typed>,
    /// It is sold by weight or piece: the pack is the weighing step
    #[arg(long)]
    pub loose: bool,
    /// It is assumed in the cupboard
    #[arg(long)]
    pub staple: bool,
}

/// A food to add.
#[derive(Args, Debug)]
pub struct AddFoodArgs {
    /// What the kitchen calls it
    #[arg(required = true)]
    pub name: Vec<Typed>,
    /// Row of the built-in table: its number or name
    #[arg(long, value_name = "ROW")]
    pub table: Option<Typed>,
    /// How it is bought.
    #[command(flatten)]
    pub bought: BoughtArgs,
    /// Kitchen file to add it to; the last file with foods in the folder you are in, if left out
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
}

/// A recipe to add.
#[derive(Args, Debug)]
pub struct AddRecipeArgs {
    /// What the kitchen calls it
    pub name: Typed,
    /// What goes in, each as a cook writes it: "1 tin chickpeas", "90 g brown rice or 80 g couscous"
    #[arg(required = true)]
    pub lines: Vec<Typed>,
    /// Bowl, wrap, soup...
    #[arg(long)]
    pub form: Typed,
    /// Main protein
    #[arg(long, value_name = "FOOD")]
    pub protein: Option<Typed>,
    /// Active minutes on the day, for the whole lunch
    #[arg(long, value_name = "MINUTES")]
    pub minutes: Option<Typed>,
    /// For how many portions the lines are
    #[arg(long, value_name = "N")]
    pub serves: Option<Typed>,
    /// Equipment it needs (repeatable)
    #[arg(long, value_name = "NAME")]
    pub needs: Vec<Typed>,
    /// Kitchen file to add it to; the last file with recipes in the folder you are in, if left out
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
}

/// Something cooked in batches.
#[derive(Args, Debug)]
pub struct AddComponentArgs {
    /// What the kitchen calls it
    pub name: Typed,
    /// What goes into a batch, each as a cook writes it: "400 g brown rice"
    #[arg(required = true)]
    pub lines: Vec<Typed>,
    /// How much a batch makes: "1.2 kg"
    #[arg(long, value_name = "QUANTITY")]
    pub makes: Typed,
    /// Days after cooking it may still be eaten; the published time, 3 days for most, if left out
    #[arg(long, value_name = "DAYS")]
    pub keeps: Option<Typed>,
    /// Active minutes of a batch
    #[arg(long, value_name = "MINUTES")]
    pub minutes: Option<Typed>,
    /// Minutes in which it goes on by itself
    #[arg(long, value_name = "MINUTES")]
    pub passive: Option<Typed>,
    /// Equipment it needs (repeatable)
    #[arg(long, value_name = "NAME")]
    pub needs: Vec<Typed>,
    /// Kitchen file to add it to; the last file with components in the folder you are in, if left out
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
}
