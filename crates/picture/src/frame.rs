//! The frame: two bars with all their notches, two posts.

use crate::cloth::Cloth;
use crate::ink;
use crate::path::{Paper, Path};
use crate::svg::Svg;
use fellmark_core::plan::bounds;
use fellmark_core::warp::Winding;

/// How wide a post is, and how wide the wood beside the outermost notch.
const POST: f64 = 7.0;
/// How round the outer corners are.
const ROUND: f64 = 2.0;

/// The frame, measured from the first end and from the foot of row 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// Ends in one notch.
    per_notch: u32,
    pitch: f64,
    /// The middle of the first of the notches that are used.
    first_notch_at: f64,
    /// Notches left of that one and from it to the right.
    left: u32,
    right: u32,
    /// The inner edges of the posts.
    inner: (f64, f64),
    /// The bars' inner edges: the near one lies a header below the foot of row 1.
    near: f64,
    far: f64,
    /// From a bar's inner edge to the ground of its notches, where the warp turns.
    to_turn: f64,
    depth: f64,
    width: f64,
}

impl Frame {
    /// The frame of a piece, with this much room beside the first and the last end.
    pub(crate) fn new(cloth: &Cloth, winding: &Winding, room: (f64, f64)) -> Frame {
        let loom = &cloth.study.piece.loom;
        let (pitch, spacing) = (loom.pitch.value.mm(), cloth.study.piece.spacing().mm());
        let per_notch = loom.ends_per_notch().max(1);
        // A bar longer than any warp is drawn no longer than that.
        let left = winding.first_notch.min(bounds::ENDS);
        let right = winding.notches.saturating_sub(winding.first_notch).clamp(1, bounds::ENDS);
        let first_notch_at = f64::from(per_notch - 1) * spacing / 2.0;
        let last_end = f64::from(cloth.study.piece.end_count().saturating_sub(1)) * spacing;
        let beside = pitch.min(POST);
        let outer_notches =
            (first_notch_at - f64::from(left) * pitch, first_notch_at + f64::from(right - 1) * pitch);
        let clear = loom.clear_height.value.mm();
        let near = -cloth.study.piece.foot().mm();
        let to_turn = ((loom.turn_to_turn.value.mm() - clear) / 2.0).max(1.5);
        Frame {
            per_notch,
            pitch,
            first_notch_at,
            left,
            right,
            inner: (
                (outer_notches.0 - beside).min(-room.0),
                (outer_notches.1 + beside).max(last_end + room.1),
            ),
            near,
            far: near + clear,
            to_turn,
            depth: loom.notch_depth.as_ref().map_or(3.0, |depth| depth.value.mm().max(1.0)),
            width: loom
                .notch_width
                .as_ref()
                .map_or(pitch * 0.3, |width| width.value.mm())
                .clamp(pitch * 0.1, pitch * 0.7),
        }
    }

    /// The same frame so many mm farther to the right.
    pub(crate) fn moved(self, by: f64) -> Frame {
        Frame {
            first_notch_at: self.first_notch_at + by,
            inner: (self.inner.0 + by, self.inner.1 + by),
            ..self
        }
    }

    /// Its outer edges across.
    pub(crate) fn across(&self) -> (f64, f64) {
        (self.inner.0 - POST, self.inner.1 + POST)
    }

    /// Its outer edges up and down.
    pub(crate) fn down(&self) -> (f64, f64) {
        (self.outer(false), self.outer(true))
    }

    /// The outer edge of a bar.
    pub(crate) fn outer(&self, far: bool) -> f64 {
        self.turn(far) + if far { self.depth } else { -self.depth }
    }

    /// The ground of a bar's notches.
    pub(crate) fn turn(&self, far: bool) -> f64 {
        if far { self.far + self.to_turn } else { self.near - self.to_turn }
    }

    /// The inner edge of a bar.
    pub(crate) fn inner(&self, far: bool) -> f64 {
        if far { self.far } else { self.near }
    }

    /// Where an end lies in its notch; ends of one notch lie side by side.
    pub(crate) fn in_notch(&self, cloth: &Cloth, end: u32, notch: u32) -> f64 {
        let middle = self.first_notch_at + f64::from(notch) * self.pitch;
        let nth = f64::from(end % self.per_notch) - f64::from(self.per_notch - 1) / 2.0;
        let width = cloth.study.piece.ends.get(end as usize).map_or(0.0, |e| cloth.warps[e.yarn.0].free);
        middle + nth * width.min(self.pitch / f64::from(self.per_notch))
    }

    /// The inner edges of the posts.
    pub(crate) fn opening(&self) -> (f64, f64) {
        self.inner
    }

    /// The notches: where the middle of the first one is, from one to the next, how many, and how wide.
    pub(crate) fn notches(&self) -> (f64, f64, u32, f64) {
        let first = self.first_notch_at - f64::from(self.left) * self.pitch;
        (first, self.pitch, self.left + self.right, self.width)
    }

    /// Draws it.
    pub(crate) fn draw(&self, svg: &mut Svg, paper: &Paper) {
        let mut path = Path::new(paper);
        let (left, right) = self.across();
        let (near, far) = self.down();
        path.move_to(left, near + ROUND).line_to(left, far - ROUND);
        path.corner((left, far - ROUND), (left, far), (left + ROUND, far));
        for k in 0..self.left + self.right {
            self.notch(&mut path, true, k, 1.0);
        }
        path.line_to(right - ROUND, far);
        path.corner((right - ROUND, far), (right, far), (right, far - ROUND));
        path.line_to(right, near + ROUND);
        path.corner((right, near + ROUND), (right, near), (right - ROUND, near));
        for k in (0..self.left + self.right).rev() {
            self.notch(&mut path, false, k, -1.0);
        }
        path.line_to(left + ROUND, near);
        path.corner((left + ROUND, near), (left, near), (left, near + ROUND)).close();
        let (l, r, b, t) = (self.inner.0, self.inner.1, self.near, self.far);
        path.move_to(l, b).line_to(l, t).line_to(r, t).line_to(r, b).close();
        svg.element("path")
            .set("class", "frame")
            .set("fill", ink::WOOD)
            .set("fill-rule", "evenodd")
            .set("stroke", ink::GRAIN)
            .length("stroke-width", 0.2)
            .set("stroke-linejoin", "round")
            .set("d", path.data())
            .end();
    }

    /// A notch in the outer edge of a bar; `out` is the direction out of the wood there. Along the far bar the
    /// line goes to the right, along the near bar to the left.
    fn notch(&self, path: &mut Path, far: bool, k: u32, out: f64) {
        let middle = self.first_notch_at + (f64::from(k) - f64::from(self.left)) * self.pitch;
        let half = out * self.width / 2.0;
        let (edge, floor) = (self.outer(far), self.turn(far));
        let round = (self.width / 2.0).min(self.depth);
        let wall = floor + out * round;
        let flat = half - out * round;
        path.line_to(middle - half, edge).line_to(middle - half, wall);
        path.corner((middle - half, wall), (middle - half, floor), (middle - flat, floor));
        path.line_to(middle + flat, floor);
        path.corner((middle + flat, floor), (middle + half, floor), (middle + half, wall));
        path.line_to(middle + half, edge);
    }
}
