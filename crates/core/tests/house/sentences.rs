//! Sentences stand in `say` alone.

use super::sources::sources;

/// The texts between quotation marks of a line.
fn literals(line: &str) -> impl Iterator<Item = &str> {
    line.split('"').skip(1).step_by(2)
}

#[test]
fn sentences_stand_in_say_alone() {
    for source in sources() {
        if source.room().as_deref() == Some("say") {
            continue;
        }
        for line in source.code.lines() {
            // What a broken invariant says, and why a lint is off, nobody who weaves reads.
            if ["expect(", "panic!(", "assert", "reason =", "unreachable!("]
                .iter()
                .any(|word| line.contains(word))
            {
                continue;
            }
            for literal in literals(line) {
                let words =
                    literal.split(' ').filter(|word| word.chars().all(char::is_alphabetic) && word.len() > 1);
                assert!(words.count() < 3, "{}: a sentence outside say: {literal:?}", source.path.display());
            }
        }
    }
}
