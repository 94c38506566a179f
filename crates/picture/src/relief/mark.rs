//! Marks: a number for all that a piece of the picture is made from. Equal marks, equal pixels: so only what an
//! edit changed is drawn again.

use super::bands::{bends, yields};
use super::header::Header;
use super::lay::{Laid, RowShape};
use super::look::Look;
use super::ramp::{Ramp, STEPS};
use super::scene::{Scene, Strand};
use super::tile::Canvas;

/// Mixes numbers: each step can be undone, so that one number changed always changes the mark.
pub(super) struct Mark(u64);

impl Mark {
    fn new(seed: u64) -> Mark {
        Mark(seed ^ 0x2545_f491_4f6c_dd1d)
    }

    #[inline]
    fn add(&mut self, number: u64) {
        let mixed = (self.0 ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = (mixed ^ (mixed >> 32)).wrapping_mul(0xd6e8_feb8_6659_fd93);
    }

    #[inline]
    fn pair(&mut self, a: f32, b: f32) {
        self.add(u64::from(a.to_bits()) | u64::from(b.to_bits()) << 32);
    }

    fn all(&mut self, values: &[f32]) {
        self.add(values.len() as u64);
        for pair in values.chunks(2) {
            self.pair(pair[0], pair.get(1).copied().unwrap_or(0.0));
        }
    }

    fn strand(&mut self, scene: &Scene<'_>, strand: &Strand) {
        let Strand { yarn, strands, free, thick, side, spread } = *strand;
        self.add(scene.yarn_marks[yarn]);
        self.add(strands.into());
        self.all(&[free, thick, side, spread]);
    }

    fn ramp(&mut self, ramp: &Ramp) {
        // A ramp is smooth: a few of its colours tell it from any other.
        (0..STEPS).step_by(16).for_each(|step| self.add(u64::from(ramp.step(step))));
    }
}

/// The mark of a yarn, so many px thick: a piece without it is not drawn again when it is dyed or brushed.
pub(super) fn of_yarn(look: &Look, ramp: &Ramp, diameter: f32) -> u64 {
    let mut mark = Mark::new(2);
    let Look { plies, lead, groove, streak, vary, slub, wrap, gloss, hairs, hair, hair_shows, hair_stiff } =
        *look;
    mark.add(u64::from(plies));
    mark.all(&[lead, groove, streak, vary, slub, wrap, gloss, hairs, hair, hair_shows, hair_stiff, diameter]);
    mark.ramp(ramp);
    mark.0
}

/// The mark of what every piece of a picture hangs on.
pub(super) fn of_scene(scene: &Scene<'_>) -> u64 {
    let mut mark = Mark::new(1);
    let view = &scene.view;
    mark.add(view.scale.to_bits());
    mark.add(u64::from(view.fine));
    mark.all(&[view.x(0.0), view.y(0.0), scene.unit, scene.paper]);
    mark.ramp(&scene.ramps[scene.paper_ramp()]);
    mark.0
}

/// The mark of what lies on a canvas, which begins at a pixel and is so large.
pub(super) fn of_piece(
    scene: &Scene<'_>,
    of_scene: u64,
    laid: &Laid,
    below: Option<(&Scene<'_>, &Laid)>,
    canvas: &Canvas,
) -> u64 {
    let mut mark = Mark::new(of_scene);
    let [x, y] = [canvas.x0, canvas.y0].map(|at| u64::from(at.cast_unsigned()));
    mark.add(x | y << 32);
    mark.add(canvas.width as u64 | (canvas.height as u64) << 32);
    // How far hairs reach in from beyond it.
    mark.add(canvas.beyond as u64);
    if let Some(wood) = scene.wood.as_ref().filter(|wood| wood.touches(canvas)) {
        mark.all(&wood.measures());
    }
    let yields = yields(scene, below);
    // Lines of ends are known a little beyond the canvas.
    let low = (canvas.y0 - canvas.beyond as i32) as f32;
    let high = low + (canvas.height + 2 * canvas.beyond) as f32;
    for end in 0..scene.cloth().end_count() {
        let (strand, way) = (scene.end(end), scene.way(end));
        let reach = strand.side + canvas.beyond as f32;
        if !way.touches(canvas.x0 as f32 - reach, canvas.x0 as f32 + canvas.width as f32 + reach) {
            continue;
        }
        mark.strand(scene, &strand);
        mark.add(u64::from(scene.end_seed(end)));
        mark.all(&way.measures(low, high));
        if yields {
            bends(scene, laid, below, end).iter().for_each(|&(y, z)| mark.pair(y, z));
        }
    }
    if let Some(Header::Card(card)) = &scene.header
        && canvas.touches(card.bounds)
    {
        mark.all(&card.bounds);
        mark.add(u64::from(card.over_first));
        for end in [0, scene.cloth().end_count().saturating_sub(1)] {
            mark.all(&scene.way(end).measures(card.bounds[1], card.bounds[3]));
        }
    }
    if let Some((header, laid)) = below {
        rows(&mut mark, header, laid, canvas);
    }
    rows(&mut mark, scene, laid, canvas);
    mark.0
}

/// The rows, turns and tails that bear on a canvas.
fn rows(mark: &mut Mark, scene: &Scene<'_>, laid: &Laid, canvas: &Canvas) {
    for shape in &laid.rows {
        row(mark, scene, laid, canvas, shape);
    }
    // Hairs reach in from beyond.
    let beyond = canvas.beyond as f32;
    let near = |[left, low, right, high]: [f32; 4]| {
        canvas.touches([left - beyond, low - beyond, right + beyond, high + beyond])
    };
    for tube in scene.tubes.iter().filter(|tube| near(tube.bounds)) {
        mark.add(scene.yarn_marks[tube.yarn]);
        mark.add(u64::from(tube.joins.0) | u64::from(tube.joins.1) << 1 | u64::from(tube.folds) << 2);
        mark.all(&[tube.grain.seed, tube.grain.along, tube.grain.pace, tube.grain.vary.0, tube.grain.vary.1]);
        mark.add(tube.part.0 as u64);
        mark.add(tube.part.1 as u64);
        if let Some((seed, along)) = tube.grain.into {
            mark.pair(seed, along);
        }
        for point in &tube.points {
            mark.pair(point.x, point.y);
            mark.pair(point.z, point.half);
        }
    }
}

/// The part of a row that bears on a canvas.
fn row(mark: &mut Mark, scene: &Scene<'_>, laid: &Laid, canvas: &Canvas, shape: &RowShape) {
    let nodes = &laid.nodes[shape.nodes.clone()];
    let (low, high) = (
        canvas.x0 as f32 - canvas.beyond as f32,
        (canvas.x0 + canvas.width as i32) as f32 + canvas.beyond as f32,
    );
    // From place to place it bends as the places beside it say: three more on either side.
    let place = |x: f32| ((x - shape.first) / shape.step).floor().clamp(-8.0, 1e6) as i32 + 1;
    let from = (place(low) - 3).clamp(0, nodes.len() as i32) as usize;
    let to = (place(high) + 4).clamp(0, nodes.len() as i32) as usize;
    if from >= to {
        return;
    }
    mark.strand(scene, &scene.wefts[shape.weft]);
    mark.all(&[shape.first, shape.step, shape.stubs[0].long, shape.stubs[1].long]);
    mark.add(u64::from(shape.seed) | u64::from(shape.start.to_bits()) << 32);
    mark.add(from as u64 | (to as u64) << 24 | u64::from(to == nodes.len()) << 48);
    for node in &nodes[from..to] {
        mark.pair(node.y, node.up);
        mark.pair(node.down, node.z);
        mark.all(&[node.thick]);
    }
}
