//! The core reaches for nothing outside.

use super::sources::sources;

#[test]
fn core_reaches_for_nothing_outside() {
    for source in sources() {
        for word in
            ["std::fs", "std::io", "std::env", "std::time", "std::net", "std::thread", "HashMap", "HashSet"]
        {
            assert!(!source.code.contains(word), "{} reaches outside: {word}", source.path.display());
        }
    }
}
