//! What cloth is measured by: its mass, its thickness, and how much of it the yarn covers.

use super::Cloth;
use super::size::Size;
use crate::habits::Habits;
use crate::piece::Piece;
use crate::quantity::{GramsPerArea, Mm, Tex};
use crate::thread::Thread;

/// What a finished cloth measures, at its likeliest and on average.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Ends per cm.
    pub ends_per_cm: f64,
    /// Rows per cm, along an end.
    pub rows_per_cm: f64,
    /// From face to face, hairs left out.
    pub thickness: Mm,
    /// Cover factor of warp and weft ([`Threads::cover_factor`]).
    pub cover_factor: [f64; 2],
}

/// What a piece measures when it is finished; `None` where nothing is woven.
///
/// The thicker of both sets, where it goes from face to face, is what lies between the faces: `max(d1 + h1, d2 + h2)` with
/// Peirce's h.
#[must_use]
pub fn measures(piece: &Piece, cloth: &Cloth, size: &Size, habits: &Habits) -> Option<Measures> {
    let [_, _, finished] = size.stances;
    let rows_per_cm = cloth.rows_per_cm()? / finished.along;
    let rows = cloth.row_count();
    let mean_row = |of: &dyn Fn(u32) -> f64| (0..rows).map(of).sum::<f64>() / f64::from(rows);
    let mean_end = |of: &dyn Fn(usize) -> f64| {
        (0..piece.ends.len()).map(of).sum::<f64>() / piece.ends.len().max(1) as f64
    };
    let weft = Thread::by_parts(|part| Mm::new(mean_row(&|row| part(&cloth.thread(row)).mm())));
    let warp = Thread::by_parts(|part| Mm::new(mean_end(&|end| part(&cloth.end(end as u32)).mm())));
    let contact = warp.thick + weft.thick;
    let warp_rise = contact * finished.warp_rise;
    let tex_of_row = |row: u32| {
        let weft = piece.row(row).weft;
        habits.tex(piece.yarn_of(weft)).tex() * f64::from(piece.wefts[weft.0].strands)
    };
    let strands = f64::from(piece.loom.strands_per_end());
    let tex_of_end = |end: usize| habits.tex(&piece.yarns[piece.ends[end].yarn.0]).tex() * strands;
    let cover = |per_cm: f64, tex: f64| {
        Threads { spacing: Mm::new(10.0 / per_cm), tex: Tex::new(tex), crimp: 0.0 }.cover_factor()
    };
    let ends_per_cm = Mm::new(10.0) / finished.spacing;
    Some(Measures {
        ends_per_cm,
        rows_per_cm,
        thickness: (warp.thick + warp_rise).max(weft.thick + (contact - warp_rise)),
        cover_factor: [cover(ends_per_cm, mean_end(&tex_of_end)), cover(rows_per_cm, mean_row(&tex_of_row))],
    })
}

/// One of the two sets of threads in a cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threads {
    /// From one thread to the next.
    pub spacing: Mm,
    /// Of what yarn.
    pub tex: Tex,
    /// How much longer a thread is than the cloth, as a part of the cloth's length.
    pub crimp: f64,
}

impl Threads {
    /// Mass of these threads over the cloth's area: `0.1 n T (1 + c)` g/m2 with n threads per cm.
    #[must_use]
    pub fn mass_per_area(self) -> GramsPerArea {
        GramsPerArea::new(0.1 * self.per_cm() * self.tex.tex() * (1.0 + self.crimp))
    }

    /// Cover factor `n sqrt(T) / 10`, n threads per cm. Peirce's own, threads per inch over the root of the
    /// cotton count, is 1.0452 times as large.
    #[must_use]
    pub fn cover_factor(self) -> f64 {
        self.per_cm() * self.tex.tex().sqrt() / 10.0
    }

    fn per_cm(self) -> f64 {
        Mm::new(10.0) / self.spacing
    }
}
