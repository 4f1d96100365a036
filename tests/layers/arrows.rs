//! Which file of a crate uses which, as the paths in their code say: `crate::`, `super::`, `self::`,
//! files a file declares, names brought in by `use`. A name that a file hands on by `pub use` leads
//! to the file that defines it, so that a `mod.rs` that only declares and hands on uses nothing.

use std::collections::{BTreeMap, BTreeSet};

/// A module by the names on the way to it; the crate itself has none.
type Module = Vec<String>;

/// What a file says.
#[derive(Default)]
struct File {
    /// Files it declares.
    declares: BTreeSet<String>,
    /// Names brought in, with their paths.
    names: BTreeMap<String, Vec<String>>,
    /// Paths of which every name is brought in.
    all_of: Vec<Vec<String>>,
    /// Names it defines itself.
    defines: BTreeSet<String>,
    /// Paths it uses, in code and in `use` without `pub`.
    uses: Vec<Vec<String>>,
}

/// Where a path leads: to a module as such, or to something in its file.
enum Led {
    Module(Module),
    Into(Module),
}

/// Returns which file uses which others, by their paths in the crate's folder.
pub(crate) fn arrows(texts: &BTreeMap<String, String>) -> BTreeMap<String, BTreeSet<String>> {
    let mut files: BTreeMap<Module, File> = BTreeMap::new();
    let mut paths: BTreeMap<Module, String> = BTreeMap::new();
    let mut tests_only: Vec<Module> = Vec::new();
    for (path, text) in texts {
        let inside = path.strip_suffix(".rs").unwrap();
        let mut module: Module = inside.split('/').map(str::to_owned).collect();
        module.pop_if(|last| ["mod", "lib"].contains(&last.as_str()));
        let (file, tests) = read(text);
        tests_only.extend(tests.into_iter().map(|name| child(&module, &name)));
        paths.insert(module.clone(), path.clone());
        files.insert(module, file);
    }
    files.retain(|module, _| !tests_only.contains(module));
    let crate_of = Crate(files);
    let mut arrows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (module, file) in &crate_of.0 {
        for path in &file.uses {
            if let Some(Led::Into(used)) = crate_of.led(module, path, 0)
                && used != *module
            {
                let used = paths[&used].clone();
                arrows
                    .entry(paths[module].clone())
                    .or_default()
                    .insert(used);
            }
        }
    }
    arrows
}

/// Leaves the arrows of circles: what uses none of those left is taken away, and what none of those
/// left uses, until nothing is left, or circles are and what stands between them.
pub(crate) fn circles(
    mut left: BTreeMap<String, BTreeSet<String>>,
) -> BTreeMap<String, BTreeSet<String>> {
    loop {
        let using: BTreeSet<String> = left.keys().cloned().collect();
        let used: BTreeSet<String> = left.values().flatten().cloned().collect();
        let before = left.values().map(BTreeSet::len).sum::<usize>();
        left.retain(|file, _| used.contains(file));
        for used in left.values_mut() {
            used.retain(|file| using.contains(file));
        }
        left.retain(|_, used| !used.is_empty());
        if left.values().map(BTreeSet::len).sum::<usize>() == before {
            return left;
        }
    }
}

fn child(module: &[String], name: &str) -> Module {
    let mut all = module.to_vec();
    all.push(name.to_owned());
    all
}

/// The files of a crate by module.
struct Crate(BTreeMap<Module, File>);

impl Crate {
    /// Follows a path of a file; none where it leads out of the crate. Paths that lead in a circle of
    /// `use` end after so many.
    fn led(&self, from: &[String], path: &[String], depth: usize) -> Option<Led> {
        if depth > 20 {
            return None;
        }
        let mut here: Module = from.to_vec();
        let mut rest = path;
        match path[0].as_str() {
            "crate" => {
                here.clear();
                rest = &rest[1..];
            }
            "self" => rest = &rest[1..],
            "super" => {}
            first => {
                let file = &self.0[from];
                if !file.declares.contains(first) && !file.names.contains_key(first) {
                    return None;
                }
            }
        }
        while rest.first().is_some_and(|name| name == "super") {
            here.pop()?;
            rest = &rest[1..];
        }
        while let Some((name, behind)) = rest.split_first() {
            let file = self.0.get(&here)?;
            let down = child(&here, name);
            if file.declares.contains(name) && self.0.contains_key(&down) {
                here = down;
                rest = behind;
                continue;
            }
            return self.brought(&here, name, behind, depth);
        }
        Some(Led::Module(here))
    }

    /// Follows a name of a file that is no file it declares.
    fn brought(&self, here: &[String], name: &str, behind: &[String], depth: usize) -> Option<Led> {
        let file = &self.0[here];
        if let Some(path) = file.names.get(name).filter(|path| path[0] != name) {
            return match self.led(here, path, depth + 1)? {
                Led::Module(module) if !behind.is_empty() => {
                    let path = [&["self".to_owned()], behind].concat();
                    self.led(&module, &path, depth + 1)
                }
                led => Some(led),
            };
        }
        if !file.defines.contains(name) {
            for path in &file.all_of {
                if let Some(Led::Module(module)) = self.led(here, path, depth + 1)
                    && self.0[&module].defines.contains(name)
                {
                    return Some(Led::Into(module));
                }
            }
        }
        Some(Led::Into(here.to_vec()))
    }
}

/// Reads a file without its tests; also the files it declares for tests alone.
fn read(text: &str) -> (File, Vec<String>) {
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let words = words(text);
    let word = |at: usize| words.get(at).map_or("", String::as_str);
    let mut file = File::default();
    let mut tests = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let before = at.checked_sub(1).map_or("", word);
        if word(at) == "use" {
            let handed_on = ["pub", ")"].contains(&before);
            at = tree(&words, at + 1, &[], handed_on, &mut file);
        } else if word(at) == "mod" && word(at + 2) == ";" {
            let name = word(at + 1).to_owned();
            let attributes = words[..at].iter().rev().take_while(|word| *word != ";");
            if attributes.take(20).any(|word| word == "cfg") {
                tests.push(name);
            } else {
                file.declares.insert(name);
            }
            at += 3;
        } else if is_name(word(at)) && word(at + 1) == "::" && before != "::" {
            let mut path = vec![word(at).to_owned()];
            at += 1;
            while word(at) == "::" && is_name(word(at + 1)) {
                path.push(word(at + 1).to_owned());
                at += 2;
            }
            file.uses.push(path);
        } else {
            let defining = ["fn", "struct", "enum", "trait", "type", "const", "static"];
            if defining.contains(&word(at)) && is_name(word(at + 1)) {
                file.defines.insert(word(at + 1).to_owned());
            }
            at += 1;
        }
    }
    (file, tests)
}

/// Reads a tree of `use` and returns where it ends.
fn tree(
    words: &[String],
    mut at: usize,
    above: &[String],
    handed_on: bool,
    file: &mut File,
) -> usize {
    let mut path = above.to_vec();
    loop {
        match words[at].as_str() {
            "{" => {
                at += 1;
                while words[at] != "}" {
                    at = tree(words, at, &path, handed_on, file);
                    at += usize::from(words[at] == ",");
                }
                return at + 1;
            }
            "*" => {
                file.all_of.push(path);
                return at + 1;
            }
            // Of a tree: what stands above it.
            "self" if !path.is_empty() => {}
            name => path.push(name.to_owned()),
        }
        at += 1;
        if words[at] != "::" {
            break;
        }
        at += 1;
    }
    let mut name = path.last().unwrap().clone();
    if words[at] == "as" {
        name.clone_from(&words[at + 1]);
        at += 2;
    }
    if !handed_on {
        file.uses.push(path.clone());
    }
    file.names.insert(name, path);
    at
}

fn is_name(word: &str) -> bool {
    word.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// Names, `::` and single signs of code; comments, texts, characters and lifetimes are left out.
fn words(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let named = |c: char| c.is_alphanumeric() || c == '_';
        let name = &rest[..rest.find(|c| !named(c)).unwrap_or(rest.len())];
        let length = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if first == '"' {
            text_length(rest)
        } else if ["r", "br"].contains(&name) && rest[name.len()..].starts_with(['"', '#']) {
            let marks = rest[name.len()..].find('"').unwrap();
            let end = format!("\"{}", "#".repeat(marks));
            let inside = name.len() + marks + 1;
            inside + rest[inside..].find(&end).unwrap() + end.len()
        } else if first == '\'' {
            let mut inside = rest[1..].chars();
            match (inside.next(), inside.next()) {
                (Some('\\'), Some(escaped)) => {
                    let inside = 2 + escaped.len_utf8();
                    inside + rest[inside..].find('\'').unwrap() + 1
                }
                (Some(one), Some('\'')) => 2 + one.len_utf8(),
                _ => 1 + rest[1..].find(|c| !named(c)).unwrap_or(0),
            }
        } else if !name.is_empty() {
            words.push(name.to_owned());
            name.len()
        } else if rest.starts_with("::") {
            words.push("::".to_owned());
            2
        } else {
            if !first.is_whitespace() {
                words.push(first.to_string());
            }
            first.len_utf8()
        };
        rest = &rest[length..];
    }
    words
}

/// The length of the text in quotes that code begins with.
fn text_length(code: &str) -> usize {
    let mut escaped = false;
    for (at, c) in code.char_indices().skip(1) {
        match c {
            '"' if !escaped => return at + 1,
            _ => escaped = c == '\\' && !escaped,
        }
    }
    code.len()
}
