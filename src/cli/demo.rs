//! The demo kitchen, built into the program: the files of `fixtures/boatyard`.

macro_rules! embed {
    ($name:literal) => {
        (
            $name,
            include_str!(concat!("../../fixtures/boatyard/", $name)),
        )
    };
}

/// A kitchen of a few entries, to begin one's own with: the file of `fixtures/bare`.
pub(super) const BARE: &[(&str, &str)] = &[(
    "kitchen.yaml",
    include_str!("../../fixtures/bare/kitchen.yaml"),
)];

/// Name and text of every file, in name order.
pub(super) const FILES: &[(&str, &str)] = &[
    embed!("components-1-cooked.yaml"),
    embed!("components-2-dressings.yaml"),
    embed!("components-3-soups.yaml"),
    embed!("foods-1-proteins.yaml"),
    embed!("foods-2-grains.yaml"),
    embed!("foods-3-vegetables.yaml"),
    embed!("foods-4-fruit.yaml"),
    embed!("foods-5-jars.yaml"),
    embed!("foods-6-staples.yaml"),
    embed!("kitchen.yaml"),
    embed!("recipes-1-grain-bowls.yaml"),
    embed!("recipes-2-noodle-bowls.yaml"),
    embed!("recipes-3-wraps.yaml"),
    embed!("recipes-4-sandwiches.yaml"),
    embed!("recipes-5-jarred-salads.yaml"),
    embed!("recipes-6-soups.yaml"),
    embed!("recipes-7-stuffed-flatbreads.yaml"),
];

/// Returns the files as they are read.
pub(super) fn texts() -> Vec<(String, Vec<u8>)> {
    let files = FILES.iter();
    files
        .map(|&(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::FILES;

    #[test]
    fn every_file_of_the_demo_folder_is_built_in() {
        let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/boatyard");
        let mut names: Vec<String> = std::fs::read_dir(dir)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| {
                path.extension()
                    .is_some_and(|end| end == "yaml" || end == "yml")
            })
            .map(|path| path.file_name().unwrap().to_str().unwrap().to_owned())
            .collect();
        names.sort();
        let built_in: Vec<&str> = FILES.iter().map(|file| file.0).collect();
        assert_eq!(built_in, names);
    }
}
