//! What a ruler tells while weaving: how wide and how high the cloth should be by now, and what must be open up to the far
//! bar for all that is still to come.
//!
//! A cloth that is drawn in, or whose rows pack closer than was reckoned, says so only to a ruler, and what is woven stays
//! as it is. So it is measured every few centimetres, as long as enough is still to be woven for another way of laying the
//! weft in to tell. Just after a plain row is the best place: there each end is held on both faces and the edges lie where
//! they will stay. Common practice, no source.

use crate::cloth::size::Size;
use crate::habits::Habits;
use crate::piece::{Piece, PlaceId, Resolved};
use crate::plan::WeftId;
use crate::quantity::{Estimate, Mm};
use crate::side::{Side, Span};
use crate::walk::{Room, Step, Walk};

/// How far above the foot the first measuring lies best: by then the edges show how the weft is laid in, and little is to be
/// woven again.
const FIRST: Mm = Mm::new(15.0);
/// How far above the last measuring the next one lies best.
const APART: Mm = Mm::new(40.0);
/// How far from there a better place is looked for, as a part of that.
const AROUND: f64 = 0.25;
/// What must be left to weave.
const TO_COME: Mm = Mm::new(20.0);

/// So far below its upper end a band that has to leave room for what follows is measured against the far bar, or further where
/// the piece may come out taller by more than this: near enough for what is left of it to be sure, and with rows left to
/// give. Common practice, no source.
const BELOW_ITS_END: Mm = Mm::new(20.0);
/// What is less is rounding.
const HAIR: Mm = Mm::new(1e-3);

/// Adds the measuring to what is done before rows.
pub fn measure(walk: &mut Walk, piece: &Piece, size: &Size, habits: &Habits) {
    let fell = Fell::new(piece, size, habits);
    // Each comes first: the needle's own steps belong to the row.
    if let Some((row, room)) = fell.room(piece)
        && let Some(row) = walk.rows.get_mut(row as usize)
    {
        row.before.insert(0, Step::Room(room));
    }
    for number in measured_before(piece) {
        if let Some(row) = walk.rows.get_mut(number as usize) {
            let height = fell.spread(fell.after(number));
            let reach = Some(piece.reach()).filter(|&reach| height.high > reach + HAIR);
            row.before.insert(0, Step::Measure { width: size.on_loom.width, height, reach });
        }
    }
}

/// How high the fell comes, row by row.
struct Fell {
    /// After how many rows it stands at what height, above the foot of the first.
    heights: Vec<Mm>,
    /// All of the piece, as its size has it.
    whole: Estimate<Mm>,
}

impl Fell {
    fn new(piece: &Piece, size: &Size, habits: &Habits) -> Fell {
        let half: Vec<Mm> =
            (0..piece.wefts.len()).map(|weft| piece.thread(WeftId(weft), habits).along / 2.0).collect();
        let tops = piece.rows.iter().map(|row| row.height + half[row.weft.0]);
        let heights = tops.scan(Mm::ZERO, |fell, top| {
            *fell = fell.max(top);
            Some(*fell)
        });
        Fell { heights: [Mm::ZERO].into_iter().chain(heights).collect(), whole: size.on_loom.length }
    }

    /// When so many rows are woven.
    fn after(&self, rows: u32) -> Mm {
        self.heights.get(rows as usize).or(self.heights.last()).copied().unwrap_or(Mm::ZERO)
    }

    /// A part of the height, which is as uncertain as the whole: it is the same habits that make both.
    fn spread(&self, part: Mm) -> Estimate<Mm> {
        let share = if self.whole.likely > Mm::ZERO { part / self.whole.likely } else { 0.0 };
        Estimate { likely: part, ..self.whole.map(|whole| whole * share) }
    }

    /// The place whose number of rows says whether what follows has room, if any does: the one that fills what is left, or
    /// the tallest where all together may be too tall.
    fn gives(&self, piece: &Piece) -> Option<PlaceId> {
        let fills = |place: &PlaceId| {
            let place = &piece.places[place.0];
            let fill =
                |resolved: &Resolved| matches!(resolved, Resolved::Fill { band, .. } if *band == place.band);
            piece.resolved.iter().any(fill)
        };
        let places = || (0..piece.places.len()).map(PlaceId);
        places().find(fills).or_else(|| {
            let most = piece.reach() + HAIR;
            let may_not_fit = self.whole.likely <= most && self.whole.high > most;
            let tall = |place: PlaceId| {
                let rows = piece.places[place.0].row_range();
                ((self.after(rows.end) - self.after(rows.start)) / HAIR).round() as u64
            };
            // A band that stands in several places would give in all of them.
            let once = places().filter(|place| may_not_fit && piece.places[place.0].nth.1 == 1);
            // Of two that are as tall the upper one, where more is known.
            once.max_by_key(|place| tall(*place))
        })
    }

    /// The room that is needed, and before which row that is asked.
    fn room(&self, piece: &Piece) -> Option<(u32, Room)> {
        let at = self.gives(piece)?;
        let place = &piece.places[at.0];
        let rows = place.row_range();
        let (top, all) = (self.after(rows.end), self.after(piece.row_count()));
        let several = place.wefts.iter().any(|weft| Some(weft) != place.wefts.first());
        let turn = if several { place.wefts.len() as u32 } else { 1 };
        let below = BELOW_ITS_END.max(self.whole.high - self.whole.likely);
        let is_near = |row: &u32| (row - rows.start).is_multiple_of(turn) && top - self.after(*row) <= below;
        // Before the first row there is nothing to measure from.
        let row = rows.clone().filter(|&row| row > 0).find(is_near)?;
        let beyond = piece.beyond_reach();
        let with = |estimate: Estimate<Mm>| estimate.map(|height| height + beyond);
        Some((
            row,
            Room {
                place: at,
                to_come: rows.end - row,
                needed: with(self.spread(all - self.after(row))),
                left: with(self.spread(all - top)),
                turn,
                turn_height: (top - self.after(rows.start)) * (f64::from(turn) / f64::from(place.rows)),
            },
        ))
    }
}

/// Another number of rows of the place that has to leave room, and how much must be open for them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// So many rows of that place.
    pub rows: u32,
    /// For so much open up to the far bar, at the least.
    pub open: Mm,
}

/// More turns of the wefts than these, fewer or more, make too long a list.
const MOST_TURNS: u32 = 16;

/// The numbers of rows there are to choose from, with what may be open: fewest first. None that were woven are among those
/// that are taken away, and one turn of the wefts stays, so that the last row that is woven goes on as it was told.
#[must_use]
pub fn choices(room: &Room, piece: &Piece) -> Vec<Choice> {
    let Some(place) = piece.places.get(room.place.0) else { return Vec::new() };
    let fewer = (room.to_come / room.turn).saturating_sub(1).min(MOST_TURNS);
    let choice = |turns: u32| Choice {
        rows: place.rows + turns * room.turn - fewer * room.turn,
        open: room.needed.likely + room.turn_height * (f64::from(turns) - f64::from(fewer)),
    };
    (0..=fewer + MOST_TURNS).map(choice).filter(|choice| choice.rows > 0).collect()
}

/// The rows, from 0, before which the width is measured. Only what the rows themselves say counts, so that a piece
/// is measured at the same places from the back and in a mirror.
#[must_use]
pub fn measured_before(piece: &Piece) -> Vec<u32> {
    let whole = (0..piece.row_count()).map(|row| piece.crossings(row).span()).reduce(Span::hull);
    let Some(whole) = whole.filter(|whole| whole.len() > 1) else { return Vec::new() };
    let mut fell = Mm::ZERO;
    // Places at which the last row lies over the whole width, each with its height and whether that row is plain.
    let mut places = Vec::new();
    for (row, this) in (0_u32..).zip(&piece.rows) {
        fell = fell.max(this.height);
        let crossings = piece.crossings(row);
        if crossings.span() == whole {
            places.push((row, fell, crossings.runs(Side::Left).all(|run| run.ends == 1)));
        }
    }
    places.retain(|&(_, height, _)| height + TO_COME <= fell);
    let mut measured = Vec::new();
    let (mut last, mut on) = (Mm::ZERO, FIRST);
    let mut rest = places.as_slice();
    loop {
        let low = rest.partition_point(|&(_, height, _)| height < last + on * (1.0 - AROUND));
        let high = rest.partition_point(|&(_, height, _)| height <= last + on * (1.0 + AROUND));
        let off = |height: Mm| (height - (last + on)).mm().abs();
        let best = rest
            .get(low..high)
            .unwrap_or_default()
            .iter()
            .min_by(|(_, a, plain), (_, b, other)| other.cmp(plain).then(off(*a).total_cmp(&off(*b))));
        let Some(&(row, height, _)) = best.or_else(|| rest.get(low)) else { break };
        measured.push(row + 1);
        (last, on) = (height, APART);
        rest = &rest[low..];
    }
    measured
}
