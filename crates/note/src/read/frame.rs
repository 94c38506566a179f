//! The loom and the warp.

use super::Reading;
use crate::reader::Table;
use crate::values;
use crate::words;
use fellmark_core::loom::{Loom, StrandsAct};
use fellmark_core::plan::{ColourRun, EndsWanted, Header, Warp, WarpPath, YarnId, bounds};
use fellmark_core::quantity::{Mm, Typed};

impl<'a> Reading<'a> {
    pub(super) fn loom(&mut self, top: &Table<'a>) -> Option<Loom> {
        let reader = &mut self.reader;
        let table = reader.need(top, "loom").and_then(|value| reader.one(&value))?;
        let name = reader.value(&table, "name").and_then(|value| reader.words(&value));
        let notches = reader.need(&table, "notches");
        let notches = reader.count(notches);
        let pitch = self.need_length(&table, "pitch");
        let turn_to_turn = self.need_length(&table, "turn-to-turn");
        let clear_height = self.need_length(&table, "clear-height");
        let reader = &mut self.reader;
        let [out_of_reach, notch_width, notch_depth] =
            ["out-of-reach", "notch-width", "notch-depth"].map(|key| {
                reader.value(&table, key).and_then(|value| {
                    reader.meant(Some(value), |text| values::length(text).and_then(values::within_a_frame))
                })
            });
        let strands = reader.value(&table, "strands").and_then(|value| reader.count(Some(value)));
        let strands_act = reader.chosen(&table, "strands-act-as").unwrap_or(StrandsAct::AsOneEnd);
        let loom = Loom {
            name: name.map(|words| words.text.to_string()),
            notches: notches?,
            pitch: pitch?,
            turn_to_turn: turn_to_turn?,
            clear_height: clear_height?,
            out_of_reach,
            notch_width,
            notch_depth,
            strands: strands.unwrap_or(1),
            strands_act,
        };
        self.heights_agree(&table, &loom);
        Some(loom)
    }

    fn need_length(&mut self, table: &Table<'a>, key: &str) -> Option<Typed<Mm>> {
        let value = self.reader.need(table, key);
        self.reader.meant(value, |text| {
            values::some_length(text).and_then(values::within_a_frame).and_then(values::seen_on_a_frame)
        })
    }

    fn heights_agree(&mut self, table: &Table<'a>, loom: &Loom) {
        let (clear, turn) = (&loom.clear_height, &loom.turn_to_turn);
        let at = |key| self.reader.value(table, key).map(|value| value.at());
        let (clear_at, reach_at) = (at("clear-height"), at("out-of-reach"));
        if clear.value > turn.value {
            self.reader.fail(clear_at, || {
                let message = format!(
                    "The clear height of {} is more than the {} from turn to turn.",
                    clear.typed, turn.typed
                );
                (
                    message,
                    "An end is at least as long as what can be woven on it: measure both once more.".into(),
                )
            });
        }
        if let Some(out) = loom.out_of_reach.as_ref().filter(|out| out.value >= clear.value) {
            self.reader.fail(reach_at, || {
                let message =
                    format!("With {} out of reach nothing is left of the {}.", out.typed, clear.typed);
                (
                    message,
                    "Write how much at the top the needle can't reach; it is less than the clear height."
                        .into(),
                )
            });
        }
    }

    pub(super) fn warp(&mut self, top: &Table<'a>, loom: Option<&Loom>) -> Option<Warp> {
        let table = self.reader.need(top, "warp").and_then(|value| self.reader.one(&value))?;
        let ends = self.ends_wanted(&table, loom);
        let order = self.order(&table);
        let path = self.reader.chosen(&table, "path").unwrap_or(WarpPath::Zigzag);
        Some(Warp { ends: ends?, order: order?, path })
    }

    /// What is put in below the first row.
    pub(super) fn header(&mut self, top: &Table<'a>, loom: Option<&Loom>) -> Option<Header> {
        let value = self.reader.value(top, "header")?;
        let table = self.reader.one(&value)?;
        let length_at = self.reader.value(&table, "length").map(|value| value.at());
        let length = self.need_length(&table, "length");
        let yarn = match self.reader.value(&table, "yarn") {
            Some(value) => {
                let words = self.reader.words(&value)?;
                let yarns = std::mem::take(&mut self.yarns);
                let yarn = self.name(&yarns, &words, "yarn", "[yarn.NAME]");
                self.yarns = yarns;
                Some(YarnId(yarn?))
            }
            None => None,
        };
        let length = length?;
        // Of a loom whose heights disagree that is told, and nothing of what stands on it.
        let reach = loom.map(Loom::reach).filter(|&reach| reach > Mm::ZERO);
        if let Some((loom, _)) = loom.zip(reach).filter(|&(_, reach)| length.value >= reach) {
            self.reader.fail(length_at, || {
                let message =
                    format!("Above a header of {} nothing can be woven on this loom.", length.typed);
                let clear = format!("{} of clear height", loom.clear_height.typed);
                let there = match &loom.out_of_reach {
                    None => clear,
                    Some(out) => format!("{clear}, of which {} is out of reach", out.typed),
                };
                (message, format!("Write a shorter length: there is {there}."))
            });
        }
        Some(Header { length, yarn })
    }

    fn ends_wanted(&mut self, table: &Table<'a>, loom: Option<&Loom>) -> Option<EndsWanted> {
        let (ends, width) = (self.reader.value(table, "ends"), self.reader.value(table, "width"));
        match (ends, width) {
            (Some(ends), Some(width)) => {
                let later = if ends.at().start > width.at().start { ends } else { width };
                self.reader.fail(Some(later.at()), || {
                    let message = "[warp] says both `ends` and `width`.".into();
                    (message, "Keep one of them: the other follows from the pitch of the loom.".into())
                });
                None
            }
            (None, None) => {
                if !table.has_stray_keys() {
                    self.reader.fail(Some(table.at()), || {
                        let message = "[warp] says neither how many ends it has nor how wide it is.".into();
                        (message, "Add ends = 24, or width = \"14 cm\".".into())
                    });
                }
                None
            }
            (Some(ends), None) => {
                let count = self.reader.count(Some(ends))?;
                if let Some(loom) = loom.filter(|loom| count > loom.most_ends()) {
                    self.reader.fail(Some(ends.at()), || too_many_ends(count, loom));
                }
                self.ends = Some(count);
                Some(EndsWanted::Count(count))
            }
            (None, Some(width)) => {
                let wanted = self.reader.meant(Some(width), values::some_length)?;
                let ends = loom.map(|loom| wanted.value / loom.end_spacing());
                if ends.is_some_and(|ends| ends > f64::from(bounds::ENDS)) {
                    self.reader.fail(Some(width.at()), || {
                        let message = format!("{} takes more than {} ends.", wanted.typed, bounds::ENDS);
                        (message, "Write a narrower width.".into())
                    });
                }
                Some(EndsWanted::Width(wanted))
            }
        }
    }

    fn order(&mut self, table: &Table<'a>) -> Option<Vec<ColourRun>> {
        let value = self.reader.need(table, "order")?;
        let mut order = Vec::new();
        for element in self.reader.some(&value) {
            let Some(words) = self.reader.element(&element) else { continue };
            match words::ends_of(words.text) {
                Ok((ends, name)) => {
                    let named = words.within(name);
                    let yarns = std::mem::take(&mut self.yarns);
                    let yarn = self.name(&yarns, &named, "yarn", "[yarn.NAME]");
                    self.yarns = yarns;
                    order.extend(yarn.map(|yarn| ColourRun { ends, yarn: YarnId(yarn) }));
                }
                Err(misread) => self.reader.misread(&words, misread),
            }
        }
        Some(order)
    }
}

fn too_many_ends(ends: u32, loom: &Loom) -> (String, String) {
    let most = loom.most_ends();
    let notches = loom.notches;
    let each = match loom.ends_per_notch() {
        1 => "one end in each".to_string(),
        several => format!("{several} ends in each"),
    };
    let message =
        format!("{ends} ends are too many for this loom: it takes {most} ({notches} notches, {each}).");
    (message, format!("Write ends = {most} or fewer."))
}
