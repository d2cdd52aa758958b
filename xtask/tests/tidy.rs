//! What no compiler checks: file heads, file sizes, sources, the order of modules, no word of any machine.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Longest file of code; longer ones are split by topic.
const MOST_LINES: usize = 700;
/// Modules whose public functions compute numbers that somebody signs for.
const MODULES_WITH_SOURCES: &[&str] = &[
    "accuracy",
    "assembly",
    "deviation",
    "tolerance",
    "bearing",
    "bearing_loads",
    "contact",
    "dynamics",
    "film",
    "hertz",
    "iso286",
    "kinematics",
    "line_contact",
    "losses",
    "mass",
    "phase",
    "pin",
    "profile",
    "shape",
    "strength",
    "viscosity",
    "web",
];
/// Lines of a function's body from which on it counts as a formula and not as a look-up.
const LEAST_FORMULA_LINES: usize = 3;
/// The order in which modules of the core may use each other: each only those before it.
const ORDER: &[&str] = &[
    "units",
    "watch",
    "registry",
    "iso286",
    "finding",
    "results",
    "model",
    "viscosity",
    "hertz",
    "line_contact",
    "film",
    "materials",
    "thermal",
    "profile",
    "phase",
    "part",
    "kinematics",
    "pin",
    "bearing",
    "elastic",
    "deviation",
    "contact",
    "shape",
    "fit",
    "loads",
    "web",
    "mass",
    "losses",
    "dynamics",
    "bearing_loads",
    "strength",
    "tolerance",
    "assembly",
    "accuracy",
    "requirement",
    "assess",
];

struct SourceFile {
    /// Path from the root of the repository, with `/` between the parts.
    path: String,
    text: String,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_owned()
}

/// All files of the repository with one of the endings, built and hidden folders left out.
fn files(endings: &[&str]) -> Vec<SourceFile> {
    let mut found = Vec::new();
    collect(&root(), endings, &mut found);
    found.sort_by(|a: &SourceFile, b| a.path.cmp(&b.path));
    found
}

fn collect(directory: &Path, endings: &[&str], found: &mut Vec<SourceFile>) {
    for entry in fs::read_dir(directory).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if !name.starts_with('.') && !["target", "out", "node_modules"].contains(&name.as_str()) {
                collect(&path, endings, found);
            }
        } else if endings.iter().any(|ending| name.ends_with(ending)) {
            let relative = path.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/");
            // Faulty example files need not be UTF-8.
            let text = String::from_utf8_lossy(&fs::read(&path).unwrap()).into_owned();
            found.push(SourceFile { path: relative, text });
        }
    }
}

fn assert_none(what: &str, offenders: &[String]) {
    assert!(offenders.is_empty(), "{what}:\n{}", offenders.join("\n"));
}

#[test]
fn identity_every_file_of_code_begins_with_what_it_is() {
    let offenders = files(&[".rs"]).into_iter().filter(|file| !file.text.starts_with("//! "));
    assert_none("no sentence at the head of", &offenders.map(|file| file.path).collect::<Vec<_>>());
}

#[test]
fn identity_no_file_of_code_is_too_long() {
    let long = files(&[".rs"]).into_iter().filter(|file| file.text.lines().count() > MOST_LINES);
    assert_none("too long", &long.map(|file| file.path).collect::<Vec<_>>());
}

/// Keys of `sources.toml`.
fn source_keys() -> BTreeSet<String> {
    reducer::registry::sources().iter().map(|source| source.key.clone()).collect()
}

/// Every word that stands in a text as `` `[word]` ``.
fn cited_keys(text: &str) -> BTreeSet<String> {
    let pieces = text.split("`[").skip(1).filter_map(|piece| piece.split_once("]`"));
    let is_key = |key: &&str| {
        let mut characters = key.chars();
        characters.next().is_some_and(|first| first.is_ascii_lowercase())
            && characters.all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
            && key.chars().any(|c| c.is_ascii_digit())
    };
    pieces.map(|(key, _)| key).filter(is_key).map(str::to_owned).collect()
}

#[test]
fn identity_every_cited_source_exists() {
    let known = source_keys();
    let mut offenders = Vec::new();
    for file in files(&[".rs", ".md", ".toml"]) {
        let unknown = cited_keys(&file.text).into_iter().filter(|key| !known.contains(key));
        offenders.extend(unknown.map(|key| format!("{}: [{key}]", file.path)));
    }
    assert_none("cited but not in sources.toml", &offenders);
}

#[test]
fn identity_every_source_is_cited_somewhere() {
    let texts = files(&[".rs", ".md", ".toml"]);
    let generated = ["sources.toml", "docs/formulas.md", "VALIDATION.md"];
    let cited = |key: &String| {
        let mut places = texts.iter().filter(|file| !generated.contains(&file.path.as_str()));
        places
            .any(|file| file.text.contains(&format!("[{key}]")) || file.text.contains(&format!("\"{key}\"")))
    };
    let unused: Vec<String> = source_keys().into_iter().filter(|key| !cited(key)).collect();
    assert_none("in sources.toml but nowhere cited", &unused);
}

/// The module of the core that a file belongs to.
fn core_module(path: &str) -> Option<&str> {
    let inner = path.strip_prefix("crates/reducer/src/")?;
    let first = inner.split('/').next()?;
    Some(first.strip_suffix(".rs").unwrap_or(first)).filter(|module| *module != "lib")
}

/// The modules that the code of a file names after `crate::`, comments left out.
fn used_modules(text: &str) -> BTreeSet<String> {
    let code: String = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let mut used = BTreeSet::new();
    for rest in code.split("crate::").skip(1) {
        let names = match rest.strip_prefix('{') {
            Some(list) => list.split('}').next().unwrap_or("").split(',').collect(),
            None => vec![rest],
        };
        let first_word = |name: &str| -> String {
            name.trim().chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect()
        };
        used.extend(names.into_iter().map(first_word));
    }
    used
}

#[test]
fn identity_modules_of_the_core_only_use_earlier_ones() {
    let rank: BTreeMap<&str, usize> =
        ORDER.iter().enumerate().map(|(index, module)| (*module, index)).collect();
    let mut offenders = Vec::new();
    for file in files(&[".rs"]) {
        let Some(module) = core_module(&file.path) else { continue };
        let Some(own) = rank.get(module) else {
            offenders.push(format!("{module} has no place in the order"));
            continue;
        };
        for used in used_modules(&file.text) {
            if rank.get(used.as_str()).is_some_and(|place| place > own) {
                offenders.push(format!("{}: {module} uses {used}", file.path));
            }
        }
    }
    assert_none("arrows that point backwards", &offenders);
}

#[test]
fn identity_the_order_of_the_core_is_documented() {
    let text = fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap();
    let words: Vec<&str> = text.split_whitespace().collect();
    let order = ORDER.join(", ");
    assert!(words.join(" ").contains(&order), "ARCHITECTURE.md should name the order: {order}");
}

#[test]
fn identity_functions_that_compute_say_where_the_formula_is_from() {
    let mut offenders = Vec::new();
    for file in files(&[".rs"]) {
        if !core_module(&file.path).is_some_and(|module| MODULES_WITH_SOURCES.contains(&module)) {
            continue;
        }
        let code = file.text.split("#[cfg(test)]").next().unwrap_or("");
        let has_source = |text: &str| {
            text.contains("Source") || text.contains("Derivation") || text.contains("[derivation")
        };
        let module_doc: String = code.lines().take_while(|line| line.starts_with("//!")).collect();
        let mut doc = String::new();
        for line in code.lines().map(str::trim_start) {
            if line.starts_with("///") {
                doc.push_str(line);
            } else if line.starts_with("pub fn ") && line.contains('(') {
                if code_gives_number(code, line) && !has_source(&doc) && !has_source(&module_doc) {
                    offenders.push(format!("{}: {}", file.path, line));
                }
                doc.clear();
            } else if !line.starts_with("#[") {
                doc.clear();
            }
        }
    }
    assert_none("no Source or Derivation line", &offenders);
}

/// Whether the function that begins with a line computes a number: it returns one and is no one-liner.
fn code_gives_number(code: &str, first_line: &str) -> bool {
    let start = code.find(first_line).unwrap();
    let signature = code[start..].split('{').next().unwrap_or("");
    let returns_number = signature.split("->").nth(1).is_some_and(|returned| returned.contains("f64"));
    let indent = code[..start].rsplit('\n').next().unwrap_or("").len();
    let end = format!("\n{}}}", " ".repeat(indent));
    let body = code[start + signature.len()..].split(&end).next().unwrap_or("");
    returns_number && body.lines().count() > LEAST_FORMULA_LINES
}

#[test]
fn identity_nothing_speaks_of_a_machine() {
    let marks = ["/home/", "/root/", "/work/", "/tmp/", "localhost:", "C:\\\\"];
    let mut offenders = Vec::new();
    for file in files(&[".rs", ".md", ".toml", ".py", ".json", ".yml"]) {
        if file.path == "xtask/tests/tidy.rs" {
            continue;
        }
        // The server's own name for the machine it runs on belongs to what it checks.
        let is_server = file.path.starts_with("crates/server/");
        let is_bad = |line: &str| {
            marks.iter().any(|mark| line.contains(mark) && !(is_server && *mark == "localhost:"))
        };
        let lines = file.text.lines().enumerate().filter(|(_, line)| is_bad(line));
        offenders.extend(lines.map(|(index, line)| format!("{}:{}: {line}", file.path, index + 1)));
    }
    assert_none("paths of a machine", &offenders);
}
