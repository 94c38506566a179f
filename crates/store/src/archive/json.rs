//! The JSON of an archive. Rows and ends count from 1, as people count them.

use crate::pieces::{Revision, RevisionInfo};
use crate::weavings::{WeavingInfo, WeavingPlan};
use fellmark_core::plan::bounds;
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::weaving::{Act, Counts, Fact, Moment, Opening, PlaceRows, Tick, Woven};
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct About {
    pub format: u32,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HistoryJson {
    pub piece: String,
    pub made_at: i64,
    /// Since when it is put away from the list; null where it stands in it. Format 1 doesn't have it.
    #[serde(default)]
    pub put_away_at: Option<i64>,
    pub head: String,
    pub revisions: Vec<RevisionJson>,
    pub moves: Vec<MoveJson>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RevisionJson {
    pub id: String,
    pub parent: Option<String>,
    pub redo: Option<String>,
    /// The file that holds its text, from the piece's folder.
    pub text: String,
    pub label: String,
    pub by: String,
    pub at: i64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MoveJson {
    pub id: String,
    pub kind: String,
    pub revision: String,
    pub by: String,
    pub at: i64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WeavingJson {
    pub weaving: String,
    pub piece: String,
    pub mirrored: bool,
    /// Minutes for a row, which archives had once: they follow from the ticks.
    #[serde(default, skip_serializing, rename = "pace_minutes")]
    _pace: IgnoredAny,
    pub by: String,
    pub made_at: i64,
    pub plans: Vec<PlanJson>,
    pub ticks: Vec<TickJson>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlanJson {
    pub id: String,
    pub revision: String,
    pub ends: u32,
    pub places: Vec<PlaceJson>,
    pub by: String,
    pub at: i64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlaceJson {
    pub band: String,
    pub rows: u32,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TickJson {
    pub id: String,
    pub row: u32,
    /// The row as it was woven; null: it was taken back.
    pub woven: Option<WovenJson>,
    pub by: String,
    pub at: i64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WovenJson {
    pub weft: String,
    pub yarn: String,
    pub strands: u32,
    pub from: SideJson,
    /// First and last.
    pub ends: [u32; 2],
    /// One figure for each end from the left: 1 over, 0 under.
    pub over: String,
    pub before: Vec<ActJson>,
    pub after: Vec<ActJson>,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum SideJson {
    Left,
    Right,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum ActJson {
    Begin { side: SideJson },
    Cross { over: bool, other: String, side: SideJson },
    Carry { side: SideJson, past: u32 },
    Cut { side: SideJson },
}

impl RevisionJson {
    pub(super) fn of(revision: &Revision, redo: Option<String>, file: String) -> RevisionJson {
        let RevisionInfo { id, parent, label, by, at, .. } = &revision.info;
        RevisionJson {
            id: id.to_string(),
            parent: parent.map(|parent| parent.to_string()),
            redo,
            text: file,
            label: label.clone(),
            by: by.clone(),
            at: at.0,
        }
    }
}

impl WeavingJson {
    pub(super) fn of(info: &WeavingInfo) -> WeavingJson {
        WeavingJson {
            weaving: info.id.to_string(),
            piece: info.piece.to_string(),
            mirrored: info.mirrored,
            _pace: IgnoredAny,
            by: info.by.clone(),
            made_at: info.made_at.0,
            plans: Vec::new(),
            ticks: Vec::new(),
        }
    }
}

impl PlanJson {
    pub(super) fn of(id: String, plan: &WeavingPlan) -> PlanJson {
        let places = plan.counts.places.iter();
        PlanJson {
            id,
            revision: plan.revision.to_string(),
            ends: plan.counts.ends,
            places: places.map(|place| PlaceJson { band: place.band.clone(), rows: place.rows }).collect(),
            by: plan.by.clone(),
            at: plan.at.0,
        }
    }

    pub(super) fn counts(&self) -> Counts {
        let places = self.places.iter();
        Counts {
            ends: self.ends,
            places: places.map(|place| PlaceRows { band: place.band.clone(), rows: place.rows }).collect(),
        }
    }
}

impl TickJson {
    pub(super) fn of(id: String, tick: &Tick, by: String) -> TickJson {
        let woven = match &tick.fact {
            Fact::Done(woven) => Some(WovenJson::of(woven)),
            Fact::TakenBack => None,
        };
        TickJson { id, row: tick.row.saturating_add(1), woven, by, at: tick.at.0 }
    }

    /// The tick; `None` if its row or ends are past any piece's or its figures don't fit them.
    pub(super) fn tick(&self) -> Option<Tick> {
        let row = self.row.checked_sub(1).filter(|&row| row < bounds::ROWS)?;
        let fact = match &self.woven {
            None => Fact::TakenBack,
            Some(woven) => Fact::Done(woven.woven()?),
        };
        Some(Tick { row, at: Moment(self.at), fact })
    }
}

impl WovenJson {
    fn of(woven: &Woven) -> WovenJson {
        let span = woven.opening.span();
        WovenJson {
            weft: woven.weft.clone(),
            yarn: woven.yarn.clone(),
            strands: woven.strands,
            from: woven.from.into(),
            ends: [span.first().saturating_add(1), span.last().saturating_add(1)],
            over: woven.opening.passes().map(|pass| if pass.is_over() { '1' } else { '0' }).collect(),
            before: woven.before.iter().map(ActJson::of).collect(),
            after: woven.after.iter().map(ActJson::of).collect(),
        }
    }

    fn woven(&self) -> Option<Woven> {
        let [first, last] = self.ends;
        let span = Span::new(first.checked_sub(1)?, last.checked_sub(1)?)?;
        let figures = self.over.as_bytes();
        if last > bounds::ENDS
            || figures.len() != span.len() as usize
            || figures.iter().any(|figure| !matches!(figure, b'0' | b'1'))
        {
            return None;
        }
        let over = |end: u32| figures.get((end - span.first()) as usize) == Some(&b'1');
        Some(Woven {
            weft: self.weft.clone(),
            yarn: self.yarn.clone(),
            strands: self.strands,
            from: self.from.into(),
            opening: Opening::new(span, over),
            before: self.before.iter().map(ActJson::act).collect(),
            after: self.after.iter().map(ActJson::act).collect(),
        })
    }
}

impl From<Side> for SideJson {
    fn from(side: Side) -> SideJson {
        match side {
            Side::Left => SideJson::Left,
            Side::Right => SideJson::Right,
        }
    }
}

impl From<SideJson> for Side {
    fn from(side: SideJson) -> Side {
        match side {
            SideJson::Left => Side::Left,
            SideJson::Right => Side::Right,
        }
    }
}

impl ActJson {
    fn of(act: &Act) -> ActJson {
        match act {
            Act::Begin { side } => ActJson::Begin { side: (*side).into() },
            Act::Cross { pass, other, side } => {
                ActJson::Cross { over: pass.is_over(), other: other.clone(), side: (*side).into() }
            }
            Act::Carry { side, past } => ActJson::Carry { side: (*side).into(), past: *past },
            Act::Cut { side } => ActJson::Cut { side: (*side).into() },
        }
    }

    fn act(&self) -> Act {
        match self {
            ActJson::Begin { side } => Act::Begin { side: (*side).into() },
            ActJson::Cross { over, other, side } => {
                Act::Cross { pass: Pass::from_bit(*over), other: other.clone(), side: (*side).into() }
            }
            ActJson::Carry { side, past } => Act::Carry { side: (*side).into(), past: *past },
            ActJson::Cut { side } => Act::Cut { side: (*side).into() },
        }
    }
}
