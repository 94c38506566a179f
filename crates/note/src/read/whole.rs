//! What can only be asked of the whole plan: whether anything contains itself, and whether it all stays
//! within bounds. Counts are multiplied before anything is expanded.

use super::At;
use crate::near::quoted;
use crate::reader::Reader;
use fellmark_core::plan::{Band, BandId, Extent, Plan, Sequence, SequenceId, Source, StackEntry, bounds};
use std::collections::BTreeSet;

/// The stack, the sequences and the bands with the places of what may be asked about them.
#[derive(Default)]
pub(super) struct Spots {
    pub(super) piece: Vec<Line>,
    pub(super) sequences: Vec<(String, Vec<Line>)>,
    /// One for each band.
    pub(super) bands: Vec<BandSpot>,
}

/// Where a band says two things that others must agree with.
pub(super) struct BandSpot {
    pub(super) like: Option<At>,
    pub(super) exchanged: Option<At>,
}

/// A line of the stack and where it stands.
pub(super) struct Line {
    pub(super) at: At,
    pub(super) what: What,
}

pub(super) enum What {
    Band(BandId),
    Sequence(SequenceId),
    Group { times: u32, times_at: At, lines: Vec<Line> },
}

/// How much a stretch of the stack comes to: rows at least, and groups within groups.
#[derive(Clone, Copy, Default)]
struct Measure {
    rows: u64,
    depth: usize,
}

impl Spots {
    pub(super) fn plan_stack(&self) -> Vec<StackEntry> {
        entries(&self.piece)
    }

    pub(super) fn plan_sequences(&self) -> Vec<Sequence> {
        let made =
            |(name, lines): &(String, Vec<Line>)| Sequence { name: name.clone(), entries: entries(lines) };
        self.sequences.iter().map(made).collect()
    }

    pub(super) fn check(&self, plan: &Plan, reader: &mut Reader<'_>) {
        let likes: Vec<Vec<usize>> = plan.bands.iter().map(|band| like(band).into_iter().collect()).collect();
        let band_order = below_first(&likes);
        let held: Vec<Vec<usize>> = self.sequences.iter().map(|(_, lines)| sequences_in(lines)).collect();
        let sequence_order = below_first(&held);
        if let Err(ring) = &band_order {
            self.band_ring(plan, ring, reader);
        }
        if let Err(ring) = &sequence_order {
            self.sequence_ring(ring, reader);
        }
        let (Ok(band_order), Ok(sequence_order)) = (band_order, sequence_order) else { return };
        if self.likenesses_are_few(plan, &band_order, reader) {
            self.exchanges_have_two_wefts(plan, &band_order, reader);
            self.rows_are_within_bounds(plan, &band_order, &sequence_order, reader);
        }
    }

    fn band_ring(&self, plan: &Plan, ring: &[usize], reader: &mut Reader<'_>) {
        let name = |band: &usize| plan.bands.get(*band).map_or("", |band| band.name.as_str());
        let Some((first, rest)) = ring.split_first() else { return };
        let at = self.bands.get(*first).and_then(|spot| spot.like.clone());
        reader.fail(at, || {
            let chain: Vec<&str> = rest.iter().chain([first]).map(name).collect();
            let chain = chain.join(", like ");
            let message = format!("The band {} is like itself: {}, like {chain}.", name(first), name(first));
            (message, "Write out one of these bands with a weave or rows of its own.".into())
        });
    }

    fn sequence_ring(&self, ring: &[usize], reader: &mut Reader<'_>) {
        let name = |sequence: &usize| self.sequences.get(*sequence).map_or("", |(name, _)| name.as_str());
        let [first, ..] = ring else { return };
        let next = ring.get(1).unwrap_or(first);
        let lines = self.sequences.get(*first).map_or(&[][..], |(_, lines)| lines);
        let at = line_of(lines, SequenceId(*next));
        reader.fail(at, || {
            let chain: Vec<&str> = ring.iter().rev().map(name).collect();
            let chain = chain.join(", in ");
            let message =
                format!("The sequence {} contains itself: {}, in {chain}.", name(first), name(first));
            (message, "Take one of them out of the other.".into())
        });
    }

    /// Each likeness is followed for every row, so there is a bound on how many follow each other.
    fn likenesses_are_few(&self, plan: &Plan, order: &[usize], reader: &mut Reader<'_>) -> bool {
        let mut deep = vec![0_usize; plan.bands.len()];
        let mut few = true;
        for &band in order {
            let Some(other) = plan.bands.get(band).and_then(like) else { continue };
            let depth = deep.get(other).map_or(1, |depth| depth + 1);
            if depth > bounds::NESTING {
                few = false;
                reader.fail(self.bands.get(band).and_then(|spot| spot.like.clone()), || {
                    let message = format!(
                        "This is the end of a chain of more than {} bands, each like the next.",
                        bounds::NESTING
                    );
                    (message, "Let it be like one of the first bands of the chain.".into())
                });
            }
            if let Some(slot) = deep.get_mut(band) {
                *slot = depth;
            }
        }
        few
    }

    fn exchanges_have_two_wefts(&self, plan: &Plan, order: &[usize], reader: &mut Reader<'_>) {
        let mut counts = vec![0_usize; plan.bands.len()];
        for &k in order {
            let (Some(band), Some(spot)) = (plan.bands.get(k), self.bands.get(k)) else { continue };
            let count = match (&band.wefts, like(band)) {
                (Some(own), _) => own.iter().collect::<BTreeSet<_>>().len(),
                (None, other) => other.and_then(|other| counts.get(other)).copied().unwrap_or(0),
            };
            if let Some(slot) = counts.get_mut(k) {
                *slot = count;
            }
            if band.exchanged && count != 2 {
                reader.fail(spot.exchanged.clone(), || {
                    let have = if count == 1 { "one weft".to_string() } else { format!("{count} wefts") };
                    let message = format!("Two wefts change places, and {} has {have}.", quoted(&band.name));
                    let help = if count == 1 {
                        "Give the band two wefts, or write over-for-under = true instead."
                    } else {
                        "Give the band two wefts, or write its wefts in the order you want."
                    };
                    (message, help.into())
                });
            }
        }
    }

    fn rows_are_within_bounds(
        &self,
        plan: &Plan,
        band_order: &[usize],
        sequence_order: &[usize],
        reader: &mut Reader<'_>,
    ) {
        let mut rows = vec![1_u64; plan.bands.len()];
        for &band in band_order {
            let Some(here) = plan.bands.get(band) else { continue };
            let below = like(here).and_then(|other| rows.get(other).copied());
            if let Some(slot) = rows.get_mut(band) {
                *slot = rows_of(here, below);
            }
        }
        let mut measures = vec![Measure::default(); self.sequences.len()];
        for &sequence in sequence_order {
            let lines = self.sequences.get(sequence).map_or(&[][..], |(_, lines)| lines);
            let measure = measure(lines, &rows, &measures, reader);
            if let Some(slot) = measures.get_mut(sequence) {
                *slot = measure;
            }
        }
        measure(&self.piece, &rows, &measures, reader);
    }
}

/// The rows that a band is known to have: one at least where a length is still to be counted.
fn rows_of(band: &Band, below: Option<u64>) -> u64 {
    match (&band.extent, &band.source) {
        (Some(Extent::Rows(rows)), _) => u64::from(*rows),
        (Some(Extent::Length(_) | Extent::Fill), _) => 1,
        (None, Source::Written(rows)) => rows.len() as u64,
        (None, Source::Like(_)) => below.unwrap_or(1),
        (None, _) => 1,
    }
}

fn like(band: &Band) -> Option<usize> {
    match band.source {
        Source::Like(other) => Some(other.0),
        _ => None,
    }
}

fn entries(lines: &[Line]) -> Vec<StackEntry> {
    let entry = |line: &Line| match &line.what {
        What::Band(band) => StackEntry::Band(*band),
        What::Sequence(sequence) => StackEntry::Sequence(*sequence),
        What::Group { times, lines, .. } => StackEntry::Group { times: *times, entries: entries(lines) },
    };
    lines.iter().map(entry).collect()
}

fn sequences_in(lines: &[Line]) -> Vec<usize> {
    let mut found = Vec::new();
    for line in lines {
        match &line.what {
            What::Band(_) => {}
            What::Sequence(sequence) => found.push(sequence.0),
            What::Group { lines, .. } => found.extend(sequences_in(lines)),
        }
    }
    found
}

fn line_of(lines: &[Line], sequence: SequenceId) -> Option<At> {
    lines.iter().find_map(|line| match &line.what {
        What::Band(_) => None,
        What::Sequence(here) => (*here == sequence).then(|| line.at.clone()),
        What::Group { lines, .. } => line_of(lines, sequence),
    })
}

fn measure(lines: &[Line], bands: &[u64], sequences: &[Measure], reader: &mut Reader<'_>) -> Measure {
    let most = u64::from(bounds::ROWS);
    let mut total = Measure::default();
    for line in lines {
        let (here, at) = match &line.what {
            What::Band(band) => {
                let rows = bands.get(band.0).copied().unwrap_or(1);
                (Measure { rows, depth: 0 }, &line.at)
            }
            What::Sequence(sequence) => {
                let inner = sequences.get(sequence.0).copied().unwrap_or_default();
                (Measure { depth: inner.depth + 1, ..inner }, &line.at)
            }
            What::Group { times, times_at, lines } => {
                let inner = measure(lines, bands, sequences, reader);
                let rows = inner.rows.saturating_mul(u64::from(*times));
                (Measure { rows, depth: inner.depth + 1 }, times_at)
            }
        };
        if here.depth > bounds::NESTING {
            reader.fail(Some(line.at.clone()), || {
                let message = format!("Groups lie within groups here, more than {} deep.", bounds::NESTING);
                (message, "Write the piece with fewer groups inside each other.".into())
            });
        }
        total.rows = total.rows.saturating_add(here.rows);
        if total.rows > most {
            reader.fail(Some(at.clone()), || {
                let message = format!("Here the piece comes to {} rows; {most} is the most.", total.rows);
                (message, "Repeat less, or weave fewer rows in each band.".into())
            });
            // What follows is told from here on, not counted up on top of it.
            total.rows = 0;
        }
        total.depth = total.depth.max(here.depth);
    }
    total
}

/// An order in which everything comes after what it points at, or a ring in which everything points at the
/// next. It takes no deeper stack for a longer chain.
fn below_first(points_at: &[Vec<usize>]) -> Result<Vec<usize>, Vec<usize>> {
    #[derive(Clone, Copy, PartialEq)]
    enum Seen {
        Not,
        OnTheWay,
        Done,
    }
    let mut seen = vec![Seen::Not; points_at.len()];
    let mut order = Vec::with_capacity(points_at.len());
    for root in 0..points_at.len() {
        if seen[root] != Seen::Not {
            continue;
        }
        seen[root] = Seen::OnTheWay;
        let mut way = vec![(root, 0)];
        while let Some((here, next)) = way.last_mut() {
            match points_at[*here].get(*next).copied() {
                Some(below) => {
                    *next += 1;
                    match seen[below] {
                        Seen::Not => {
                            seen[below] = Seen::OnTheWay;
                            way.push((below, 0));
                        }
                        Seen::OnTheWay => {
                            let ring = way.iter().map(|(node, _)| *node);
                            return Err(ring.skip_while(|node| *node != below).collect());
                        }
                        Seen::Done => {}
                    }
                }
                None => {
                    seen[*here] = Seen::Done;
                    order.push(*here);
                    way.pop();
                }
            }
        }
    }
    Ok(order)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_pointed_at_comes_first_and_a_ring_is_found() {
        assert_eq!(below_first(&[vec![1], vec![2], vec![]]), Ok(vec![2, 1, 0]));
        assert_eq!(below_first(&[vec![1], vec![2, 3], vec![1], vec![]]), Err(vec![1, 2]));
        assert_eq!(below_first(&[vec![0]]), Err(vec![0]));
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_takes_no_deep_stack() {
        let chain: Vec<Vec<usize>> =
            (0..100_000).map(|k| if k < 99_999 { vec![k + 1] } else { vec![] }).collect();
        assert_eq!(below_first(&chain).map(|order| order.len()), Ok(100_000));
    }
}
