//! Yarns, and the wefts that carry them.

use super::{At, Reading};
use crate::near::{as_key, quoted};
use crate::reader::{Table, Words};
use crate::values;
use fellmark_core::plan::{Weft, WeftId, YarnId};
use fellmark_core::quantity::Typed;
use fellmark_core::side::Side;
use fellmark_core::yarn::{Fibre, Yarn};
use std::collections::BTreeMap;

/// The wefts named so far. Those of bands come first, in the order in which bands name them: so a table
/// `[weft.NAME]` written later for a weft changes no other weft's place.
#[derive(Default)]
pub(super) struct Wefts<'a> {
    tables: BTreeMap<&'a str, (usize, Table<'a>)>,
    found: Vec<Weft>,
    known: BTreeMap<&'a str, Option<WeftId>>,
}

impl<'a> Wefts<'a> {
    pub(super) fn new(tables: &[Table<'a>]) -> Wefts<'a> {
        let numbered = tables.iter().enumerate().map(|(k, table)| (table.name, (k, *table)));
        Wefts { tables: numbered.collect(), ..Wefts::default() }
    }

    pub(super) fn take(&mut self) -> Vec<Weft> {
        std::mem::take(&mut self.found)
    }
}

impl<'a> Reading<'a> {
    pub(super) fn yarn(&mut self, table: &Table<'a>) -> Option<Yarn> {
        let reader = &mut self.reader;
        let colour = reader.need(table, "colour");
        let colour = reader.meant(colour, values::colour);
        let fibre = reader.value(table, "fibre");
        let fibre = reader.meant(fibre, values::fibre);
        let size = reader.need(table, "size");
        let size = reader.meant(size, |text| values::size(text, fibre).map(|size| Typed::new(size, text)));
        let wraps = reader.value(table, "wraps");
        let wraps = reader.meant(wraps, values::wraps);
        let measured = reader.value(table, "measured");
        let measured = reader.meant(measured, values::hank);
        let halo = reader.value(table, "halo");
        let halo = reader.meant(halo, values::halo);
        let price = reader.value(table, "price");
        let price = reader.meant(price, values::price);
        let have = reader.value(table, "have");
        let have = reader.meant(have, values::stock);
        let (colour, size) = (colour?, size?);
        Some(Yarn {
            name: table.name.to_string(),
            colour,
            fibre: fibre.or(size.value.implies).unwrap_or(Fibre::Cotton),
            size: Typed::new(size.value.size, size.typed),
            wraps,
            measured,
            halo,
            price,
            have,
        })
    }

    /// The weft of a name: one with a table, else the yarn of that name started from the left.
    pub(super) fn weft(&mut self, name: &'a str, at: At) -> Option<WeftId> {
        if let Some(known) = self.wefts.known.get(name) {
            return *known;
        }
        let weft = match self.wefts.tables.get(name).copied() {
            Some((number, table)) => self.weft_of(&table).map(|weft| Weft { table: Some(number), ..weft }),
            None => self.yarns.get(name).map(|yarn| plain_weft(name, YarnId(*yarn))),
        };
        if weft.is_none() && !self.wefts.tables.contains_key(name) {
            let Reading { reader, yarns, wefts, .. } = self;
            reader.fail(Some(at), || {
                let known = yarns.keys().chain(wefts.tables.keys()).copied();
                let message = format!("{} is no yarn and no weft of this plan.", quoted(name));
                (message, super::write_or_add(name, known, "[yarn.NAME]"))
            });
            // The next band that names it says it again: the first in the file is told.
            return None;
        }
        let id = weft.map(|weft| {
            self.wefts.found.push(weft);
            WeftId(self.wefts.found.len() - 1)
        });
        self.wefts.known.insert(name, id);
        id
    }

    fn weft_of(&mut self, table: &Table<'a>) -> Option<Weft> {
        let from = self.reader.chosen(table, "from").unwrap_or(Side::Left);
        let doubled = self.reader.flag(table, "doubled");
        let named = self.reader.value(table, "yarn");
        let yarn = match named {
            Some(value) => {
                let words: Words<'a> = self.reader.words(&value)?;
                let yarns = std::mem::take(&mut self.yarns);
                let yarn = self.name(&yarns, &words, "yarn", "[yarn.NAME]");
                self.yarns = yarns;
                yarn?
            }
            None => match self.yarns.get(table.name) {
                Some(yarn) => *yarn,
                None => {
                    if !table.has_stray_keys() {
                        let Reading { reader, yarns, .. } = self;
                        reader.fail(Some(table.at()), || {
                            let message = format!("{} has no yarn.", table.heading());
                            let known = crate::near::either(yarns.keys().map(|name| &**name).take(12));
                            let add = format!("Add yarn = and one of {known}");
                            (message, format!("{add}, or a table [yarn.{}].", as_key(table.name)))
                        });
                    }
                    return None;
                }
            },
        };
        Some(Weft { from, doubled, ..plain_weft(table.name, YarnId(yarn)) })
    }
}

fn plain_weft(name: &str, yarn: YarnId) -> Weft {
    Weft { name: name.to_string(), yarn, from: Side::Left, doubled: false, table: None }
}
