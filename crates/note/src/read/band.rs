//! Bands: where their rows come from, how long they are, what is changed on them.

use super::Reading;
use super::whole::{BandSpot, Spots};
use crate::keys::Section;
use crate::near::quoted;
use crate::reader::{Table, Value};
use crate::{values, weaves, words};
use fellmark_core::plan::{
    Band, BandId, Extent, Part, Reading as RowReading, Source, Touch, WeftId, WrittenRow, bounds,
};
use fellmark_core::quantity::Typed;
use fellmark_core::side::Span;
use fellmark_core::weave::{Recipe, Weave};
use std::num::NonZeroU32;
use toml::de::DeValue;

/// The keys that make or change a weave.
const OF_WEAVES: [&str; 6] = ["weave", "opening", "opposite", "step", "turn-back", "turn-ends"];

impl<'a> Reading<'a> {
    pub(super) fn band(&mut self, table: &Table<'a>, spots: &mut Spots) -> Option<Band> {
        let source = self.source(table);
        let wefts = self.wefts_of(table);
        let extent = self.extent(table);
        let beat = self.reader.value(table, "beat");
        let beat = self.reader.meant(beat, values::beat);
        let start = self.reader.value(table, "start");
        let start = self.reader.count(start).and_then(NonZeroU32::new);
        let ends = self.ends_of(table);
        let reader = &mut self.reader;
        let [mirrored, over_for_under, exchanged] =
            ["mirrored", "over-for-under", "exchanged"].map(|key| reader.flag(table, key));
        let edges = reader.chosen(table, "edges");
        let read = match reader.choice(table, "read") {
            Some("as woven") => RowReading::AsWoven,
            _ => RowReading::FromTheLeft,
        };
        let at = |key| reader.value(table, key).map(|value| value.at());
        spots.bands.push(BandSpot { like: at("like"), exchanged: at("exchanged") });
        let touched = self.touched(table);
        let source = source?;
        let inherits = matches!(source, Source::Like(_));
        if wefts.is_none() && !inherits {
            let _ = self.reader.need(table, "wefts");
        }
        if extent.is_none() && matches!(source, Source::Weave(_) | Source::Parts(_)) {
            self.says_no_length(table);
        }
        Some(Band {
            name: table.name.to_string(),
            source,
            wefts,
            extent,
            beat,
            start,
            mirrored,
            over_for_under,
            exchanged,
            touched,
            ends,
            edges,
            read,
        })
    }

    fn says_no_length(&mut self, table: &Table<'a>) {
        let given = ["rows", "length"].iter().any(|key| self.reader.value(table, key).is_some());
        if !given && !table.has_stray_keys() {
            self.reader.fail(Some(table.at()), || {
                let message = format!("{} does not say how long it is.", table.heading());
                (message, "Add rows = 8, length = \"3 cm\" or length = \"fill\".".into())
            });
        }
    }

    /// Where the rows come from: one of a weave, written rows, parts and another band.
    fn source(&mut self, table: &Table<'a>) -> Option<Source> {
        let rows = self.reader.value(table, "rows").filter(Value::is_list);
        let named = |key| self.reader.value(table, key).map(|value| (key, value));
        let weave = named("weave").or(named("opening"));
        let mut sources: Vec<(&str, Value<'a>)> = weave.into_iter().collect();
        sources.extend(rows.map(|rows| ("rows", rows)));
        sources.extend(named("part"));
        sources.extend(named("like"));
        sources.sort_by_key(|(_, value)| value.at().start);
        match sources.as_slice() {
            [] => {
                self.no_source(table);
                None
            }
            [(first, _), (second, value), ..] => {
                self.reader.fail(Some(value.at()), || {
                    let message =
                        format!("`{first}` and `{second}` both say how {} is woven.", table.heading());
                    (message, "Keep one of them.".into())
                });
                None
            }
            [(key, value)] => {
                if !matches!(*key, "weave" | "opening") {
                    self.only_of_weaves(table, key);
                }
                match *key {
                    "rows" => self.written(value).map(Source::Written),
                    "part" => self.parts(value).map(Source::Parts),
                    "like" => self.like(value).map(Source::Like),
                    _ => self.weave(table).map(Source::Weave),
                }
            }
        }
    }

    fn no_source(&mut self, table: &Table<'a>) {
        if table.has_stray_keys() {
            return;
        }
        let stray = OF_WEAVES.iter().find_map(|key| self.reader.value(table, key));
        match stray {
            Some(value) => self.reader.fail(Some(value.at()), || {
                let message = format!("`{}` stands without a weave or an opening.", value.key.name);
                (message, "Add weave = \"plain\" or opening = \"over 5, under 3\" above it.".into())
            }),
            None => self.reader.fail(Some(table.at()), || {
                let message = format!("{} does not say how it is woven.", table.heading());
                let ways = "weave = \"plain\", opening = \"over 5, under 3\", a list of rows, parts, or like = and \
                            another band";
                (message, format!("Add one of these: {ways}."))
            }),
        }
    }

    /// Keys that change a weave have nothing to change in a band that has none.
    fn only_of_weaves(&mut self, table: &Table<'a>, source: &str) {
        for key in OF_WEAVES {
            if let Some(value) = self.reader.value(table, key) {
                self.reader.fail(Some(value.at()), || {
                    let message =
                        format!("`{key}` changes a weave, and this band's rows come from `{source}`.");
                    (message, format!("Take out `{key}` or `{source}`."))
                });
            }
        }
    }

    fn like(&mut self, value: &Value<'a>) -> Option<BandId> {
        let words = self.reader.words(value)?;
        let bands = std::mem::take(&mut self.bands);
        let band = self.name(&bands, &words, "band", "[band.NAME]");
        self.bands = bands;
        band.map(BandId)
    }

    fn wefts_of(&mut self, table: &Table<'a>) -> Option<Vec<WeftId>> {
        let value = self.reader.value(table, "wefts")?;
        let mut wefts = Vec::new();
        for element in self.reader.some(&value) {
            if let Some(words) = self.reader.element(&element) {
                wefts.extend(self.weft(words.text, words.at()));
            }
        }
        Some(wefts)
    }

    /// The weave of a band or a part: a name's expansion, with the other keys in the place of its own.
    fn weave(&mut self, table: &Table<'a>) -> Option<Weave> {
        let reader = &mut self.reader;
        let (weave, opening) = (reader.value(table, "weave"), reader.value(table, "opening"));
        let named = reader.meant(weave, weaves::weave);
        let runs = reader.meant(opening, words::runs);
        let [typed_step, back, ends] = ["step", "turn-back", "turn-ends"].map(|key| reader.value(table, key));
        let step = reader.meant(typed_step, words::step);
        let turn_back = reader.meant(back, words::turn_back);
        let turn_ends = reader.meant(ends, words::turn_ends);
        let opposite = reader.flag(table, "opposite");
        if (weave.is_some() && named.is_none()) || (opening.is_some() && runs.is_none()) {
            return None;
        }
        let name = weave.and_then(|value| value.tree.get_ref().as_str()).zip(named);
        let name = name.map(|(typed, value)| Typed::new(value, typed));
        Recipe { name, opening: runs, opposite, step, turn_rows: turn_back, turn_ends }.weave()
    }

    /// Rows written out.
    fn written(&mut self, value: &Value<'a>) -> Option<Vec<WrittenRow>> {
        let elements = self.reader.some(value);
        if elements.len() > bounds::ROWS as usize {
            self.reader.fail(Some(value.at()), || {
                let message =
                    format!("{} rows are written; a piece has {} at most.", elements.len(), bounds::ROWS);
                (message, "Write them once and repeat the band.".into())
            });
            return None;
        }
        let mut rows = Vec::with_capacity(elements.len());
        for element in elements {
            rows.extend(self.written_row(&element));
        }
        Some(rows)
    }

    fn written_row(&mut self, element: &Value<'a>) -> Option<WrittenRow> {
        if let DeValue::Table(tree) = element.tree.get_ref() {
            let table = self.reader.table(Section::Row, "", tree, element.at());
            let row = self.reader.need(&table, "row");
            let runs = self.reader.meant(row, words::runs);
            let ends = self.ends_of(&table);
            return Some(WrittenRow { runs: runs?, ends });
        }
        if !element.tree.get_ref().is_str() {
            self.reader.fail(Some(element.at()), || {
                let message = "`rows` holds something else than a row.".into();
                let how = "\"over 5, under 3\" or { row = \"over 5, under 3\", ends = \"3 to 20\" }";
                (message, format!("Write each row as {how}."))
            });
            return None;
        }
        let runs = self.reader.meant(Some(*element), words::runs)?;
        Some(WrittenRow { runs, ends: None })
    }

    /// Different weaves over different ends.
    fn parts(&mut self, value: &Value<'a>) -> Option<Vec<Part>> {
        let mut parts = Vec::new();
        let mut taken: Vec<(Option<Span>, String)> = Vec::new();
        for element in self.reader.some(value) {
            let DeValue::Table(tree) = element.tree.get_ref() else {
                self.reader.wrong(value);
                return None;
            };
            let table = self.reader.table(Section::Part, "", tree, element.at());
            let ends = self.ends_of(&table);
            let told = self.reader.value(&table, "ends");
            if told.is_none() || ends.is_some() {
                if !self.lies_apart(&table, ends, &taken) {
                    return None;
                }
                let typed = told.and_then(|value| self.reader.words(&value));
                taken.push((ends, typed.map(|words| words.text.to_string()).unwrap_or_default()));
            }
            if OF_WEAVES[..2].iter().all(|key| self.reader.value(&table, key).is_none()) {
                self.no_source_of_part(&table);
            }
            let weave = self.weave(&table);
            parts.extend(weave.map(|weave| Part { ends, weave }));
        }
        Some(parts)
    }

    fn no_source_of_part(&mut self, table: &Table<'a>) {
        if !table.has_stray_keys() {
            self.reader.fail(Some(table.at()), || {
                let message = "This part does not say how it is woven.".into();
                (message, "Add weave = \"plain\" or opening = \"over 5, under 3\".".into())
            });
        }
    }

    /// Whether a part has its ends for itself.
    fn lies_apart(
        &mut self,
        table: &Table<'a>,
        ends: Option<Span>,
        taken: &[(Option<Span>, String)],
    ) -> bool {
        let other = taken.iter().find(|(other, _)| match (ends, other) {
            (Some(here), Some(there)) => here.common(*there).is_some(),
            (None, None) => true,
            _ => false,
        });
        let Some((other, typed)) = other else { return true };
        let at = self.reader.value(table, "ends").map_or_else(|| table.at(), |value| value.at());
        self.reader.fail(Some(at), || match other {
            Some(_) => {
                let message = format!("These ends belong to the part with ends {} already.", quoted(typed));
                (message, "Let the parts lie side by side, each over its own ends.".into())
            }
            None => {
                let message = "Two parts name no ends.".into();
                (message, "Write `ends` in one of them; the other takes what is left over.".into())
            }
        });
        false
    }

    /// A range of ends, which lies on the warp if the warp says how many ends it has.
    fn ends_of(&mut self, table: &Table<'a>) -> Option<Span> {
        let value = self.reader.value(table, "ends")?;
        let span = self.reader.meant(Some(value), words::ends)?;
        if let Some(ends) = self.ends.filter(|ends| span.last() >= *ends) {
            self.reader.fail(Some(value.at()), || {
                let message = format!("This goes to end {}, and the warp has {ends} ends.", span.last() + 1);
                (message, format!("Write ends from 1 to {ends}."))
            });
        }
        Some(span)
    }

    fn extent(&mut self, table: &Table<'a>) -> Option<Extent> {
        let rows = self.reader.value(table, "rows").filter(|value| !value.is_list());
        let length = self.reader.value(table, "length");
        if let (Some(rows), Some(length)) = (rows, length) {
            let later = if rows.at().start > length.at().start { rows } else { length };
            self.reader.fail(Some(later.at()), || {
                let message = format!("`rows` and `length` both say how long {} is.", table.heading());
                (message, "Keep one of them.".into())
            });
            return None;
        }
        if let Some(rows) = rows {
            return self.reader.count(Some(rows)).map(Extent::Rows);
        }
        self.reader.meant(length, |text| match words::rows(text) {
            _ if text.trim() == "fill" => Ok(Extent::Fill),
            Some(rows) => rows.map(Extent::Rows),
            None => values::some_length(text).map(Extent::Length).map_err(|mut misread| {
                misread.help =
                    "Write a length such as \"3 cm\", a number of rows such as \"12 rows\", or \"fill\" for \
                                what the other bands leave."
                        .into();
                misread
            }),
        })
    }

    fn touched(&mut self, table: &Table<'a>) -> Vec<Touch> {
        let Some(value) = self.reader.value(table, "touched") else { return Vec::new() };
        let mut touched = Vec::new();
        for element in self.reader.list(&value) {
            if self.reader.element(&element).is_some() {
                touched.extend(self.reader.meant(Some(element), words::touch));
            }
        }
        touched
    }
}
