//! The header: what is put in below the first row to spread the warp and give the first rows something to lie on, and
//! comes out again when the piece is woven. It begins at the near bar, so what can be woven above it is so much less.

use super::{Piece, PieceError, make};
use crate::habits::Habits;
use crate::loom::Loom;
use crate::plan::{Band, BandId, Edges, EndsWanted, Extent, Plan, Source, StackEntry, Warp, Weft, WeftId};
use crate::quantity::{Mm, Typed};
use crate::side::{Pass, Side};
use crate::weave::NamedWeave;

/// What spreads the warp below the first row.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    /// From the near bar to the foot of the first row.
    pub length: Typed<Mm>,
    /// What it is.
    pub kind: HeaderKind,
}

/// What a header is.
#[derive(Debug, Clone, PartialEq)]
pub enum HeaderKind {
    /// A strip of card, over one end and under the next.
    Card {
        /// Whether it goes over the first end.
        over_first: bool,
    },
    /// Rows of waste yarn: plain, as many as come nearest to its length.
    Rows(Box<Piece>),
}

impl Header {
    /// Its rows, if it is woven.
    #[must_use]
    pub fn rows(&self) -> Option<&Piece> {
        match &self.kind {
            HeaderKind::Card { .. } => None,
            HeaderKind::Rows(rows) => Some(rows),
        }
    }

    /// The same on a warp of so many ends of which left and right have changed places, and every crossing has become what
    /// `pass` makes of it; `rows` does that to a piece.
    pub(super) fn reversed(
        &self,
        ends: u32,
        rows: fn(&Piece) -> Piece,
        pass: impl Fn(Pass) -> Pass,
    ) -> Header {
        let kind = match &self.kind {
            HeaderKind::Card { over_first } => {
                let last = Pass::from_bit(*over_first == (ends % 2 == 1));
                HeaderKind::Card { over_first: pass(last).is_over() }
            }
            HeaderKind::Rows(known) => HeaderKind::Rows(Box::new(rows(known))),
        };
        Header { length: self.length.clone(), kind }
    }
}

/// The header that a plan asks for, on a warp of so many ends.
pub(super) fn of(plan: &Plan, habits: &Habits, ends: u32) -> Result<Option<Header>, PieceError> {
    let Some(header) = &plan.header else { return Ok(None) };
    let woven = header.yarn.map(|yarn| {
        let name = &plan.yarns[yarn.0].name;
        let weft = Weft { name: name.clone(), yarn, from: Side::Left, doubled: false, table: None };
        let weave = NamedWeave::Plain.expand().expect("plain weave repeats over two ends");
        let plain = Band {
            wefts: Some(vec![WeftId(0)]),
            extent: Some(Extent::Length(header.length.clone())),
            ..Band::new("header", Source::Weave(weave))
        };
        let rows = Plan {
            edges: Edges::Crossed,
            finished: None,
            header: None,
            warp: Warp { ends: EndsWanted::Count(ends), ..plan.warp.clone() },
            wefts: vec![weft],
            bands: vec![plain],
            sequences: Vec::new(),
            stack: vec![StackEntry::Band(BandId(0))],
            ..plan.clone()
        };
        let at = |error: PieceError| PieceError { at: vec!["header".into(), "length".into()], ..error };
        make(&rows, habits).map(Box::new).map_err(at)
    });
    let kind = woven.transpose()?.map_or(HeaderKind::Card { over_first: true }, HeaderKind::Rows);
    Ok(Some(Header { length: header.length.clone(), kind }))
}

/// How high rows may come on a frame above a header of this length.
pub(super) fn reach(loom: &Loom, header: Mm) -> Mm {
    loom.reach() - header
}

impl Piece {
    /// How high rows may come: what a needle reaches above the header.
    #[must_use]
    pub fn reach(&self) -> Mm {
        reach(&self.loom, self.foot())
    }

    /// How far the far bar lies above that.
    #[must_use]
    pub fn beyond_reach(&self) -> Mm {
        self.loom.clear_height.value - self.loom.reach()
    }

    /// How far the near bar lies below the foot of the first row.
    #[must_use]
    pub fn foot(&self) -> Mm {
        self.header.as_ref().map_or(Mm::ZERO, |header| header.length.value)
    }
}
