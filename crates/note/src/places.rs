//! Where each key of a plan stands in its text.

use fellmark_core::plan::KeyPath;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Where each key of a plan stands in its text, in bytes: the value of a key, the heading of a table, an
/// element of a list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Places {
    known: BTreeMap<KeyPath, Range<usize>>,
}

impl Places {
    pub(crate) fn new(tree: &DeTable<'_>) -> Places {
        let mut places = Places::default();
        let mut path = KeyPath::new();
        places.add_table(tree, &mut path);
        places
    }

    fn add_table(&mut self, table: &DeTable<'_>, path: &mut KeyPath) {
        for (key, value) in table {
            path.push(key.get_ref().to_string());
            self.add(value, path);
            path.pop();
        }
    }

    fn add(&mut self, value: &Spanned<DeValue<'_>>, path: &mut KeyPath) {
        self.known.insert(path.clone(), value.span());
        match value.get_ref() {
            DeValue::Table(table) => self.add_table(table, path),
            DeValue::Array(list) => {
                for (k, element) in list.iter().enumerate() {
                    path.push(k.to_string());
                    self.add(element, path);
                    path.pop();
                }
            }
            _ => {}
        }
    }

    /// Where a key stands, or the nearest table above it that is there; `None` if nothing above it is.
    #[must_use]
    pub fn of(&self, path: &KeyPath) -> Option<Range<usize>> {
        let lengths = (1..=path.len()).rev();
        lengths.filter_map(|length| path.get(..length)).find_map(|above| self.known.get(above)).cloned()
    }
}
