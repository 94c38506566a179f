//! What hangs together, asked of networkx: strongly connected components of the arcs from the strand on top to
//! the one beneath, and the generations of their condensation.

use fellmark_core::grid::Grid;
use fellmark_core::hang::{Layers, Strands, layers, layers_of_piece};
use fellmark_core::side::Span;
use fellmark_referees::python;

/// One line a grid: rows, ends, the yarn of each strand (rows first), then the crossings row by row (1 over,
/// 0 under, 2 not woven). For each strand it prints the first strand of its component and the generation.
const SCRIPT: &str = r"
import sys
import networkx as nx

for line in [[int(word) for word in line.split()] for line in sys.stdin]:
    rows, ends = line[:2]
    yarns, cells = line[2:2 + rows + ends], line[2 + rows + ends:]
    graph = nx.DiGraph()
    graph.add_nodes_from(yarns)
    for at, cell in enumerate(cells):
        row, end = yarns[at // ends], yarns[rows + at % ends]
        if cell == 1:
            graph.add_edge(row, end)
        elif cell == 0:
            graph.add_edge(end, row)
    whole = nx.condensation(graph, scc=nx.strongly_connected_components(graph))
    of = whole.graph['mapping']
    first, generation = {}, {}
    for strand, yarn in enumerate(yarns):
        first.setdefault(of[yarn], strand)
    for number, bodies in enumerate(nx.topological_generations(whole)):
        for body in bodies:
            generation[body] = number
    for yarn in yarns:
        print(first[of[yarn]], generation[of[yarn]])
";

/// A source of chances (xorshift; from memory), the same at every run.
struct Chances(u64);

impl Chances {
    fn below(&mut self, limit: u32) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (((self.0 >> 32) * u64::from(limit)) >> 32) as u32
    }

    fn between(&mut self, least: u32, most: u32) -> u32 {
        least + self.below(most - least + 1)
    }
}

/// A cloth of some layers: strands of different depths cross as the depths say but for a few stitches, those
/// of one depth as it happens.
fn cloth(chances: &mut Chances, rows: u32, ends: u32, partial: bool) -> Grid {
    let depths = chances.between(1, 6);
    let stitches = chances.below(2) * chances.below(60);
    let of_ends: Vec<u32> = (0..ends).map(|_| chances.below(depths)).collect();
    let mut grid = Grid::new(ends);
    for _ in 0..rows {
        let of_row = chances.below(depths);
        let (a, b) = (chances.below(ends), chances.below(ends));
        let span = if partial { Span::new(a.min(b), a.max(b)) } else { Span::all(ends) };
        let mut row = grid.push_row(span.expect("a span")).expect("room for a row");
        row.fill(|end| {
            let of_end = of_ends[end as usize];
            let as_it_happens = of_row == of_end || chances.below(1000) < stitches;
            if as_it_happens { chances.below(2) == 1 } else { of_row < of_end }
        });
    }
    grid
}

fn question(grid: &Grid, yarns: &[u32]) -> Vec<f64> {
    let mut line = vec![f64::from(grid.rows()), f64::from(grid.ends())];
    line.extend(yarns.iter().copied().map(f64::from));
    for row in 0..grid.rows() {
        line.extend((0..grid.ends()).map(|end| match grid.over(row, end) {
            Some(over) => f64::from(u8::from(over)),
            None => 2.0,
        }));
    }
    line
}

/// The first strand of what holds together with it, and the level, of each strand: loose strands hold
/// together only with strands of the same yarn.
fn as_asked(layers: &Layers, rows: u32, yarns: &[u32]) -> Vec<f64> {
    let mut answers = vec![(f64::NAN, f64::NAN); yarns.len()];
    for layer in layers.as_slice() {
        let strands = || layer.rows.iter().copied().chain(layer.ends.iter().map(|end| rows + end));
        let first_of_yarn = |strand: u32| yarns.iter().position(|&yarn| yarn == yarns[strand as usize]);
        for strand in strands() {
            let first =
                if layer.bound { strands().next() } else { first_of_yarn(strand).map(|at| at as u32) };
            answers[strand as usize] = (f64::from(first.expect("a strand")), f64::from(layer.level));
        }
    }
    answers.into_iter().flat_map(|(first, level)| [first, level]).collect()
}

#[test]
fn networkx_finds_the_same_layers_in_the_same_order() {
    let mut chances = Chances(0x5eed_c107);
    let (mut questions, mut ours, mut names) = (Vec::new(), Vec::new(), Vec::new());
    for k in 0..400 {
        let most = [4, 9, 30, 140][k % 4];
        let (rows, ends) = (chances.between(1, most), chances.between(1, most));
        let partial = k % 8 >= 4;
        let grid = cloth(&mut chances, rows, ends, partial);
        let strands = rows + ends;
        let each_its_own: Vec<u32> = (0..strands).collect();
        let count = chances.between(1, strands);
        let shared: Vec<u32> = (0..strands).map(|_| chances.below(count)).collect();

        let (of_rows, of_ends) = shared.split_at(rows as usize);
        let of_yarns = layers_of_piece(&grid, Strands { of_rows, of_ends }).expect("a yarn for each strand");
        for (layers, yarns) in [(layers(&grid), each_its_own), (of_yarns, shared)] {
            questions.push(question(&grid, &yarns));
            ours.push(as_asked(&layers, rows, &yarns));
            names.push(format!("grid {k}, {rows} x {ends}, partial: {partial}, yarns {yarns:?}"));
        }
    }
    let together = ours.iter().filter(|answers| answers.chunks(2).all(|a| a == [0.0, 0.0])).count();
    assert!((100..700).contains(&together), "{together} of 800 hang together: too few or too many to tell");

    let theirs = python(SCRIPT, &questions);
    assert_eq!(theirs.len(), ours.iter().map(Vec::len).sum::<usize>());
    let mut theirs = &theirs[..];
    for (ours, name) in ours.iter().zip(&names) {
        let (of_grid, rest) = theirs.split_at(ours.len());
        assert_eq!(ours, of_grid, "{name}");
        theirs = rest;
    }
}
