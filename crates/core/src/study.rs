//! Everything there is to know about a plan, worked out once: what the command line, the page and the sheet
//! all read.

use crate::cloth::size::{self, Size};
use crate::cloth::{self, Cloth};
use crate::habits::Habits;
use crate::need::{self, Need};
use crate::piece::{self, Piece, PieceError};
use crate::plan::{Plan, YarnId};
use crate::ruler;
use crate::sound::{self, Finding, Kind, asked, needlefuls, stock};
use crate::walk::{self, Walk};

/// A plan, studied.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// The maker's habits that were used.
    pub habits: Habits,
    /// The rows.
    pub piece: Piece,
    /// The needles, and where the cloth is measured.
    pub walk: Walk,
    /// How the rows lie on the loom.
    pub cloth: Cloth,
    /// The yarn.
    pub need: Need,
    /// How large it is on the loom, released and finished.
    pub size: Size,
    /// What the weaver should know, what matters most first.
    pub findings: Vec<Finding>,
}

/// Makes the piece, walks its needles, works out its yarn and what there is to find.
///
/// # Errors
/// What keeps the plan from becoming a piece.
pub fn study(plan: &Plan) -> Result<Study, PieceError> {
    let habits = Habits::of(plan);
    let piece = piece::make(plan, &habits)?;
    Ok(of_piece(piece, habits))
}

fn of_piece(piece: Piece, habits: Habits) -> Study {
    let size = size::size(&piece, &habits);
    of_sized(piece, habits, size)
}

fn of_sized(piece: Piece, habits: Habits, size: Size) -> Study {
    let mut walk = walk::walk(&piece, &habits);
    let cloth = cloth::lay(&piece, &habits);
    let need = need::need(&piece, &walk, &cloth, &habits);
    need::cut(&mut walk, &need);
    ruler::measure(&mut walk, &piece, &size, &habits);
    let findings = find(&piece, &habits, &walk, &cloth, &need, Some(&size));
    stock::tell(&mut walk, &need, &findings);
    Study { habits, piece, walk, cloth, need, size, findings }
}

/// What there is to find in a plan: as [`study`] has it, without what nobody asked for. Sizes with their spread take
/// longer than all the rest.
pub(crate) fn findings(plan: &Plan) -> Result<Vec<Finding>, PieceError> {
    let habits = Habits::of(plan);
    let piece = piece::make(plan, &habits)?;
    let walk = walk::walk(&piece, &habits);
    let cloth = cloth::lay(&piece, &habits);
    let need = need::need(&piece, &walk, &cloth, &habits);
    let needed = piece.wanted.is_some() || sound::fit::is_near(&piece, &cloth);
    let size = needed.then(|| size::size(&piece, &habits));
    Ok(find(&piece, &habits, &walk, &cloth, &need, size.as_ref()))
}

/// Whether a plan makes a piece of which every row lies within a needle's reach: what [`findings`] would say of that
/// alone.
pub(crate) fn is_within_reach(plan: &Plan) -> bool {
    let habits = Habits::of(plan);
    piece::make(plan, &habits).is_ok_and(|piece| {
        let cloth = cloth::lay(&piece, &habits);
        sound::fit::findings(&piece, &cloth).is_empty()
    })
}

/// Whether a plan makes a piece whose rows leave the warp as loose as its yarn needs: what [`findings`] would say of that
/// alone.
pub(crate) fn is_loose_enough(plan: &Plan) -> bool {
    let habits = Habits::of(plan);
    piece::make(plan, &habits).is_ok_and(|piece| sound::tight::findings(&piece, &habits).is_none())
}

/// Whether a plan makes a piece that fits within a needle's reach even at the upper end of its spread.
pub(crate) fn is_surely_within_reach(plan: &Plan) -> bool {
    let habits = Habits::of(plan);
    piece::make(plan, &habits).is_ok_and(|piece| {
        let cloth = cloth::lay(&piece, &habits);
        sound::fit::findings(&piece, &cloth).is_empty()
            && sound::fit::may_not(&piece, &cloth, &size::size(&piece, &habits)).is_none()
    })
}

/// Whether there is surely enough of a yarn for a plan: what [`findings`] would say of that alone.
pub(crate) fn is_enough(plan: &Plan, yarn: YarnId) -> bool {
    let habits = Habits::of(plan);
    piece::make(plan, &habits).is_ok_and(|piece| {
        let walk = walk::walk(&piece, &habits);
        let cloth = cloth::lay(&piece, &habits);
        let need = need::need(&piece, &walk, &cloth, &habits);
        need.yarns
            .iter()
            .filter(|need| need.yarn == yarn)
            .all(|need| need.have.is_none_or(|have| need.total.high <= have.low))
    })
}

fn find(
    piece: &Piece,
    habits: &Habits,
    walk: &Walk,
    cloth: &Cloth,
    need: &Need,
    size: Option<&Size>,
) -> Vec<Finding> {
    let mut findings = sound::findings(piece, walk, cloth, habits);
    findings.extend(size.and_then(|size| sound::fit::may_not(piece, cloth, size)));
    findings.extend(size.into_iter().flat_map(|size| asked::findings(piece, size)));
    findings.extend(stock::findings(piece, walk, cloth, need, habits));
    findings.extend(needlefuls::findings(piece, walk, cloth, need, habits));
    findings.sort_by_key(|finding| finding.severity);
    findings
}

impl Study {
    /// What there is to find about there being too little of a yarn.
    #[must_use]
    pub fn runs_out(&self, of: YarnId) -> Option<&Finding> {
        self.findings.iter().find(|found| matches!(found.kind, Kind::RunsOut { yarn, .. } if yarn == of))
    }

    /// The rows of the header, if it is woven: a cloth of its own below the piece, which is no part of it.
    #[must_use]
    pub fn header(&self) -> Option<Study> {
        let rows = self.piece.header.as_ref()?.rows()?;
        Some(of_sized(rows.clone(), self.habits.clone(), self.size))
    }

    /// The same for a weaver who has the back of the piece before her: it is as large.
    #[must_use]
    pub fn turned(&self) -> Study {
        of_sized(self.piece.turned(), self.habits.clone(), self.size)
    }

    /// The same of its back, for who looks at it: what the weaver led in front lies behind.
    #[must_use]
    pub fn from_back(&self) -> Study {
        of_sized(self.piece.from_back(), self.habits.clone(), self.size)
    }

    /// The same for a weaving that is mirrored: another cloth, walked by itself.
    #[must_use]
    pub fn mirrored(&self) -> Study {
        of_sized(self.piece.mirrored(), self.habits.clone(), self.size)
    }

    /// The same of what is on the loom when the first rows are woven; `None` where that is nothing.
    #[must_use]
    pub fn up_to(&self, rows: u32) -> Option<Study> {
        Some(of_piece(self.piece.up_to(rows)?, self.habits.clone()))
    }
}
