//! The stack: bands, sequences and groups, from the bottom up.

use super::Reading;
use super::whole::{Line, What};
use crate::keys::Section;
use crate::near::quoted;
use crate::reader::{Table, Value};
use fellmark_core::plan::{BandId, SequenceId};
use toml::de::DeValue;

impl<'a> Reading<'a> {
    /// The lines under `bands` of the piece, a sequence or a group.
    pub(super) fn stack_of(&mut self, table: &Table<'a>) -> Vec<Line> {
        let Some(value) = self.reader.need(table, "bands") else { return Vec::new() };
        let lines = self.reader.some(&value);
        lines.iter().filter_map(|line| self.line(line)).collect()
    }

    fn line(&mut self, line: &Value<'a>) -> Option<Line> {
        let at = line.at();
        let what = match line.tree.get_ref() {
            DeValue::String(_) => {
                let words = self.reader.words(line)?;
                match (self.bands.get(words.text), self.sequences.get(words.text)) {
                    (Some(band), _) => What::Band(BandId(*band)),
                    (None, Some(sequence)) => What::Sequence(SequenceId(*sequence)),
                    (None, None) => {
                        let Reading { reader, bands, sequences, .. } = self;
                        reader.fail(Some(at), || {
                            let known = bands.keys().chain(sequences.keys()).copied();
                            let message =
                                format!("{} is no band and no sequence of this plan.", quoted(words.text));
                            (message, super::write_or_add(words.text, known, "[band.NAME]"))
                        });
                        return None;
                    }
                }
            }
            DeValue::Table(tree) => {
                let table = self.reader.table(Section::Group, "", tree, at.clone());
                let times = self.reader.need(&table, "times");
                let times_at = times.map(|value| value.at());
                let times = self.reader.count(times);
                let lines = self.stack_of(&table);
                What::Group { times: times?, times_at: times_at?, lines }
            }
            _ => {
                let _ = self.reader.element(line);
                return None;
            }
        };
        Some(Line { at, what })
    }
}
