//! The sources of the core, file by file.

use std::fs;
use std::path::{Path, PathBuf};

/// A source file.
pub(crate) struct Source {
    /// Where it is within `src`.
    pub(crate) path: PathBuf,
    /// Its code without tests and comments.
    pub(crate) code: String,
}

impl Source {
    /// The modules that lead to it, its room first; nothing for the crate's own.
    pub(crate) fn modules(&self) -> Vec<String> {
        let path = self.path.with_extension("");
        let names = path.iter().map(|name| name.to_str().unwrap().to_owned());
        names.filter(|name| !matches!(name.as_str(), "mod" | "lib")).collect()
    }

    /// The room it stands in: a module of the crate. `None` for the crate's own file.
    pub(crate) fn room(&self) -> Option<String> {
        self.modules().into_iter().next()
    }
}

/// All sources of the core but those of its tests.
pub(crate) fn sources() -> Vec<Source> {
    fn collect(folder: &Path, into: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                collect(&path, into);
            } else if path.extension().is_some_and(|ext| ext == "rs") {
                into.push(path);
            }
        }
    }
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    collect(&src, &mut paths);
    paths.retain(|path| !path.ends_with("tests.rs"));
    assert!(paths.len() > 30, "the sources were not found");
    let source = |path: PathBuf| {
        let code = code(&fs::read_to_string(&path).unwrap());
        Source { path: path.strip_prefix(&src).unwrap().to_owned(), code }
    };
    paths.into_iter().map(source).collect()
}

/// A file's code without its tests, which stand last in it, and without comments.
fn code(text: &str) -> String {
    let (code, tests) = text.split_once("#[cfg(test)]").unwrap_or((text, ""));
    let after = tests.lines().skip(2).filter(|line| !line.is_empty() && !line.starts_with(' '));
    let tests_alone = after.clone().all(|line| line == "}");
    assert!(tests_alone, "code after the tests: {:?}", after.collect::<Vec<_>>());
    code.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}
