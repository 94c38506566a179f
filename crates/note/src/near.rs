//! Names that were perhaps meant, and lists of names in a sentence.

/// The known names that are nearest to what was typed, if a slip or two lie between: at most three.
pub(crate) fn near<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let typed = typed.to_lowercase();
    let length = typed.chars().count();
    // Very long words are no slips of the finger, and comparing them would take long.
    if length > 64 {
        return Vec::new();
    }
    let mut found: Vec<(usize, &str)> = Vec::new();
    for name in known.into_iter().filter(|name| name.chars().count() <= 64) {
        let lower = name.to_lowercase();
        let distance = match strsim::osa_distance(&typed, &lower) {
            far if far > 1 && length >= 3 && lower.starts_with(&typed) => 1,
            distance => distance,
        };
        let slips = match length {
            0..=3 => 1,
            4..=7 => 2,
            _ => 3,
        };
        if distance <= slips && !found.iter().any(|(_, other)| *other == name) {
            found.push((distance, name));
        }
    }
    let nearest = found.iter().map(|(distance, _)| *distance).min();
    found
        .into_iter()
        .filter(|(distance, _)| Some(*distance) == nearest)
        .take(3)
        .map(|(_, name)| name)
        .collect()
}

/// "a, b or c".
pub(crate) fn either<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    match names.as_slice() {
        [] => String::new(),
        [only] => (*only).to_string(),
        [first @ .., end] => format!("{} or {end}", first.join(", ")),
    }
}

/// A name as it is written after a dot in a heading: between quotes where it needs them.
pub(crate) fn as_key(name: &str) -> String {
    if needs_no_quotes(name) { name.to_string() } else { toml_text(name) }
}

/// A name in the place of another, `old`, which was written so: quotes stay, but for those that only stood there
/// because the other needed them.
pub(crate) fn as_key_like(written: &str, old: &str, name: &str) -> String {
    if needs_no_quotes(name) && written == as_key(old) {
        return name.to_string();
    }
    quoted_like(written, &toml_text(name))
}

fn needs_no_quotes(name: &str) -> bool {
    !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_')
}

/// A value in the place of another that was written so. A text stands between single quotes where the other one did
/// and it can: they hold all but themselves and what no line holds.
pub(crate) fn quoted_like(written: &str, value: &str) -> String {
    let single = written.starts_with('\'') && !written.starts_with("'''");
    let inner = value.strip_prefix('"').and_then(|value| value.strip_suffix('"'));
    let Some(inner) = inner.filter(|_| single) else { return value.to_string() };
    let mut text = String::from("'");
    let mut chars = inner.chars();
    while let Some(c) = chars.next() {
        match c {
            '\'' => return value.to_string(),
            '\\' => match chars.next() {
                Some(escaped @ ('"' | '\\')) => text.push(escaped),
                _ => return value.to_string(),
            },
            c => text.push(c),
        }
    }
    text.push('\'');
    text
}

/// A text between quotes, for a sentence: a long one is cut short.
pub(crate) fn quoted(text: &str) -> String {
    let shown: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(61).collect();
    match shown.char_indices().nth(60) {
        Some((at, _)) => format!("\"{} ...\"", shown.get(..at).unwrap_or_default()),
        None => format!("\"{shown}\""),
    }
}

/// A text between quotes, as it is written in a plan file.
pub(crate) fn toml_text(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_finger_find_the_name() {
        let yarns = ["reed", "samphire", "foam", "slate"];
        assert_eq!(near("slat", yarns), ["slate"]);
        assert_eq!(near("foma", yarns), ["foam"]);
        assert_eq!(near("Samphyre", yarns), ["samphire"]);
        assert!(near("granite", yarns).is_empty());
        assert_eq!(near("sam", yarns), ["samphire"]);
    }

    #[test]
    fn names_make_a_list() {
        assert_eq!(either(["a"]), "a");
        assert_eq!(either(["a", "b", "c"]), "a, b or c");
    }

    #[test]
    fn a_name_with_a_space_stands_between_quotes() {
        assert_eq!(as_key("sea-lavender"), "sea-lavender");
        assert_eq!(as_key("mud lark"), "\"mud lark\"");
        assert_eq!(toml_text("a\"b\\\n"), "\"a\\\"b\\\\\\u000A\"");
    }

    #[test]
    fn a_name_in_the_place_of_another_keeps_quotes_that_were_not_needed() {
        assert_eq!(as_key_like("reed", "reed", "foam"), "foam");
        assert_eq!(as_key_like("reed", "reed", "sea foam"), "\"sea foam\"");
        assert_eq!(as_key_like("\"sea foam\"", "sea foam", "reed"), "reed");
        assert_eq!(as_key_like("\"reed\"", "reed", "foam"), "\"foam\"");
        assert_eq!(as_key_like("'reed'", "reed", "sea foam"), "'sea foam'");
        assert_eq!(as_key_like("'sea foam'", "sea foam", "reed"), "'reed'");
    }

    #[test]
    fn a_text_keeps_single_quotes_where_they_can_hold_it() {
        assert_eq!(quoted_like("'reed'", "\"foam\""), "'foam'");
        assert_eq!(quoted_like("\"reed\"", "\"foam\""), "\"foam\"");
        assert_eq!(quoted_like("'reed'", &toml_text("a \"b\" \\ c")), "'a \"b\" \\ c'");
        assert_eq!(quoted_like("'reed'", "\"it's\""), "\"it's\"");
        assert_eq!(quoted_like("'reed'", &toml_text("a\nb")), toml_text("a\nb"));
        assert_eq!(quoted_like("'''reed'''", "\"foam\""), "\"foam\"");
        assert_eq!(quoted_like("'reed'", "12"), "12");
    }
}
