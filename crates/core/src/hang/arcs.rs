//! Layers by following arcs from strand to strand, 64 at a time: for grids whose rows cover only some ends,
//! and for strands that are parts of one yarn.
//!
//! Two searches find what holds together (Kosaraju's way, from memory): one goes down through the cloth and
//! notes when it is done with each yarn, the other comes back up, beginning with what was done last. A search
//! only ever asks for the next strand that it has not met and passes over words in which none is left, so it
//! reads each word of the grid once at most, and once more for each strand that it meets.

use super::set::{Bits, Strand, StrandSet};
use super::{Layer, Layers};
use crate::grid::{Columns, Grid};
use crate::side::Pass;

/// The layers of a grid whose strands are yarns, numbered without gaps.
pub(super) fn layers(grid: &Grid, yarn_of: Vec<usize>) -> Layers {
    let cloth = Cloth { grid, columns: grid.columns(), yarns: Groups::new(yarn_of) };
    let bodies = cloth.bodies();
    let levels = cloth.levels(&bodies);
    cloth.in_words(&bodies, &levels)
}

/// Which way an arc is followed.
#[derive(Clone, Copy)]
enum Way {
    /// To the strands that this one lies over.
    Down,
    /// To the strands that lie over this one.
    Up,
}

/// How far the arcs of some strands have been looked through.
#[derive(Clone, Copy, Default)]
struct Scan {
    strand: usize,
    word: usize,
}

/// Strands in groups: as yarns, or as bodies of yarns that hold each other.
struct Groups {
    of: Vec<usize>,
    members: Vec<Strand>,
    starts: Vec<usize>,
}

impl Groups {
    /// Groups numbered without gaps, given for each strand.
    fn new(of: Vec<usize>) -> Groups {
        let count = of.iter().max().map_or(0, |last| last + 1);
        let mut starts = vec![0; count + 1];
        for &group in &of {
            starts[group + 1] += 1;
        }
        for group in 0..count {
            starts[group + 1] += starts[group];
        }
        let mut next = starts.clone();
        let mut members = vec![0; of.len()];
        for (strand, &group) in of.iter().enumerate() {
            members[next[group]] = strand;
            next[group] += 1;
        }
        Groups { of, members, starts }
    }

    fn count(&self) -> usize {
        self.starts.len() - 1
    }

    /// The strands of a group, ascending.
    fn members(&self, group: usize) -> &[Strand] {
        &self.members[self.starts[group]..self.starts[group + 1]]
    }

    fn group_of(&self, strand: Strand) -> usize {
        self.of[strand]
    }
}

struct Cloth<'a> {
    grid: &'a Grid,
    columns: Columns,
    yarns: Groups,
}

impl Cloth<'_> {
    /// The next arc from some strands to one that is in `to` and not in `except`.
    fn next(
        &self,
        from: &[Strand],
        scan: &mut Scan,
        way: Way,
        to: &StrandSet,
        except: Option<&StrandSet>,
    ) -> Option<Strand> {
        while let Some(&strand) = from.get(scan.strand) {
            let end = self.end(strand);
            fn across(set: &StrandSet, of_end: bool) -> &Bits {
                if of_end { &set.rows } else { &set.ends }
            }
            let (wanted, unwanted) =
                (across(to, end.is_some()), except.map(|set| across(set, end.is_some())));
            while let Some((at, wanted)) = wanted.next_word(scan.word) {
                let wanted = wanted & !unwanted.map_or(0, |set| set.word(at));
                let arcs = match (end, way) {
                    (Some(end), Way::Down) => self.columns.word(end, at, Pass::Under),
                    (Some(end), Way::Up) => self.columns.word(end, at, Pass::Over),
                    (None, Way::Down) => self.row_word(strand, at, Pass::Over),
                    (None, Way::Up) => self.row_word(strand, at, Pass::Under),
                };
                if arcs & wanted != 0 {
                    scan.word = at;
                    let found = at * u64::BITS as usize + (arcs & wanted).trailing_zeros() as usize;
                    return Some(if end.is_some() { found } else { self.first_end() + found });
                }
                scan.word = at + 1;
            }
            *scan = Scan { strand: scan.strand + 1, word: 0 };
        }
        None
    }

    fn row_word(&self, row: Strand, at: usize, pass: Pass) -> u64 {
        self.grid.row(row as u32).map_or(0, |row| row.word(at, pass))
    }

    fn first_end(&self) -> Strand {
        self.grid.rows() as usize
    }

    /// The end that a strand is; `None` if it is a row.
    fn end(&self, strand: Strand) -> Option<u32> {
        strand.checked_sub(self.first_end()).map(|end| end as u32)
    }

    fn none(&self) -> StrandSet {
        StrandSet::new(self.grid.rows(), self.grid.ends())
    }

    fn set_of(&self, strands: &[Strand]) -> StrandSet {
        let mut set = self.none();
        set.insert(strands);
        set
    }

    /// Yarns in the order in which a search is done with them: it follows arcs to yarns not met before from
    /// each of `starts` in turn. `done` hears of each yarn, with the start that led to it.
    fn search(&self, starts: impl Iterator<Item = usize>, way: Way, mut done: impl FnMut(usize, usize)) {
        let mut unmet = self.set_of(&self.yarns.members);
        let mut met = vec![false; self.yarns.count()];
        let mut path: Vec<(usize, Scan)> = Vec::new();
        for start in starts {
            let mut next = (!met[start]).then_some(start);
            loop {
                if let Some(yarn) = next {
                    met[yarn] = true;
                    unmet.remove(self.yarns.members(yarn));
                    path.push((yarn, Scan::default()));
                }
                let Some((yarn, scan)) = path.last_mut() else { break };
                let yarn = *yarn;
                let strand = self.next(self.yarns.members(yarn), scan, way, &unmet, None);
                next = strand.map(|strand| self.yarns.group_of(strand));
                if next.is_none() {
                    done(yarn, start);
                    path.pop();
                }
            }
        }
    }

    /// Yarns that hold each other: each can be reached from each.
    fn bodies(&self) -> Groups {
        let count = self.yarns.count();
        let mut order = Vec::with_capacity(count);
        self.search(0..count, Way::Down, |yarn, _| order.push(yarn));
        let mut body_of = vec![0; count];
        let mut bodies = 0;
        let mut last = None;
        self.search(order.into_iter().rev(), Way::Up, |yarn, start| {
            if last != Some(start) {
                last = Some(start);
                bodies += 1;
            }
            body_of[yarn] = bodies - 1;
        });
        Groups::new(self.yarns.of.iter().map(|&yarn| body_of[yarn]).collect())
    }

    /// The bodies of each level, from the front.
    ///
    /// A body waits for one that lies over it and still stands; when that one is gone it looks on from where
    /// it stopped.
    fn levels(&self, bodies: &Groups) -> Vec<Vec<usize>> {
        if bodies.count() == 1 {
            return vec![vec![0]];
        }
        let mut standing = self.set_of(&bodies.members);
        let mut scans = vec![Scan::default(); bodies.count()];
        let own: Vec<Option<StrandSet>> = (0..bodies.count())
            .map(|body| self.has_both(bodies, body).then(|| self.set_of(bodies.members(body))))
            .collect();
        let mut waiting = vec![Vec::new(); bodies.count()];
        let mut levels = Vec::new();
        let mut trying: Vec<usize> = (0..bodies.count()).collect();
        while !trying.is_empty() {
            let mut level = Vec::new();
            for body in trying.drain(..) {
                let (members, own) = (bodies.members(body), own[body].as_ref());
                match self.next(members, &mut scans[body], Way::Up, &standing, own) {
                    Some(over) => waiting[bodies.group_of(over)].push(body),
                    None => level.push(body),
                }
            }
            for &body in &level {
                standing.remove(bodies.members(body));
                trying.append(&mut waiting[body]);
            }
            levels.push(level);
        }
        levels
    }

    /// Whether a body has rows as well as ends: it holds itself.
    fn has_both(&self, bodies: &Groups, body: usize) -> bool {
        match bodies.members(body) {
            [first, .., last] => self.end(*first).is_none() && self.end(*last).is_some(),
            _ => false,
        }
    }

    fn in_words(&self, bodies: &Groups, levels: &[Vec<usize>]) -> Layers {
        let mut layers = Vec::new();
        for (level, of_level) in (0..).zip(levels) {
            let layer = |strands: &[Strand], bound| {
                let (rows, ends) = strands.split_at(strands.partition_point(|&s| self.end(s).is_none()));
                let rows = rows.iter().map(|&row| row as u32).collect();
                let ends = ends.iter().filter_map(|&strand| self.end(strand)).collect();
                Layer { level, ends, rows, bound }
            };
            let (bound, loose): (Vec<usize>, Vec<usize>) =
                of_level.iter().partition(|&&body| self.has_both(bodies, body));
            let first = layers.len();
            layers.extend(bound.into_iter().map(|body| layer(bodies.members(body), true)));
            layers[first..].sort_by(|a, b| a.ends.cmp(&b.ends));

            let strands = loose.iter().flat_map(|&body| bodies.members(body)).copied();
            let (loose_rows, loose_ends): (Vec<_>, Vec<_>) = strands.partition(|&s| self.end(s).is_none());
            for mut strands in [loose_ends, loose_rows].into_iter().filter(|strands| !strands.is_empty()) {
                strands.sort_unstable();
                layers.push(layer(&strands, false));
            }
        }
        Layers { layers }
    }
}
