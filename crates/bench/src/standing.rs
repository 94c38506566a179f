//! How far weavings are, for lists of them.

use crate::answer::Answer;
use crate::bench::Bench;
use crate::lock;
use crate::weavings::{NextJson, following};
use fellmark_core::say;
use fellmark_store::{Listed, RevisionId, WeavingId};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Mutex;

/// A weaving in a list.
#[derive(Debug, Serialize)]
pub(crate) struct WeavingLine {
    id: String,
    /// Milliseconds since 1970.
    started: i64,
    mirrored: bool,
    /// How far it is, in words.
    words: String,
    #[serde(flatten)]
    stands: StandsJson,
}

impl WeavingLine {
    /// When it was woven on last, if some of its rows are done and some are not.
    pub(crate) fn on_the_loom(&self) -> Option<i64> {
        (self.stands.done > 0 && self.stands.next.next_row.is_some()).then_some(self.stands.touched)
    }
}

/// How far a weaving is, for a list.
#[derive(Debug, Clone, Serialize)]
struct StandsJson {
    /// When it was woven on last, or begun.
    touched: i64,
    /// How many rows are done.
    done: usize,
    /// How many rows the weaving has, as it is now.
    rows: u32,
    #[serde(flatten)]
    next: NextJson,
}

/// What a weaving's place was worked out from: the head of its piece, and how far what is known of it goes.
type Stamp = (RevisionId, usize, usize);

/// How far the weavings are that were listed lately: each is looked at anew only when it or its piece has changed.
#[derive(Debug, Default)]
pub(crate) struct Stands(Mutex<BTreeMap<WeavingId, (Stamp, StandsJson)>>);

/// As many weavings' places are kept.
const STANDS: usize = 20_000;

/// Weavings of a piece that has this head, the one that was woven on last first.
pub(crate) fn lines(bench: &Bench, weavings: Vec<Listed>, head: RevisionId) -> Answer<Vec<WeavingLine>> {
    let line = |Listed { info, ticks, plans }| {
        let stands = stands(bench, info.id, (head, ticks, plans))?;
        Ok(WeavingLine {
            words: say::far(stands.next.next_row, stands.rows, info.mirrored),
            stands,
            id: info.id.to_string(),
            started: info.made_at.0,
            mirrored: info.mirrored,
        })
    };
    let mut lines: Vec<WeavingLine> = weavings.into_iter().map(line).collect::<Answer<_>>()?;
    lines.sort_by_key(|line| std::cmp::Reverse((line.stands.touched, line.started)));
    Ok(lines)
}

fn stands(bench: &Bench, id: WeavingId, stamp: Stamp) -> Answer<StandsJson> {
    if let Some((_, known)) = lock(&bench.stands.0).get(&id).filter(|(known, _)| *known == stamp) {
        return Ok(known.clone());
    }
    let weaving = bench.store.weaving(id)?;
    let head = bench.store.head(weaving.info.piece)?;
    let stamp = (head.revision.id, weaving.log.len(), weaving.earlier.len() + 1);
    let touched = weaving.log.iter().map(|(_, tick)| tick.at.0).fold(weaving.info.made_at.0, i64::max);
    let (done, counted) = (weaving.log.rows().len(), weaving.plan.counts.rows());
    let unread = NextJson::by_count(&weaving.log.rows(), counted);
    let stands = match following(bench, weaving, &head) {
        Ok(followed) => {
            let study = followed.study();
            let next = NextJson::of(&followed.weaving.log.rows(), study);
            StandsJson { touched, done, rows: study.piece.row_count(), next }
        }
        // Its plan can be read no longer: what is left is how it was counted when that was followed.
        Err(_) => StandsJson { touched, done, rows: counted, next: unread },
    };
    let mut all = lock(&bench.stands.0);
    if all.len() >= STANDS {
        all.clear();
    }
    all.insert(id, (stamp, stands.clone()));
    Ok(stands)
}
