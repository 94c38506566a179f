//! What a row takes because it is not level.

use super::Lie;
use crate::quantity::Mm;

/// How much longer a row is than if it lay level. From place to place its path, half that of a gap, climbs
/// evenly, at right angles to all it does else.
pub(super) fn rise(lie: Lie<'_>, gap: impl Fn(u32) -> Mm) -> Mm {
    let climb = |pair: &[f32], level: f64| {
        let height = f64::from(pair[1]) - f64::from(pair[0]);
        (level * level + height * height).sqrt() - level
    };
    let pairs: Vec<&[f32]> = lie.heights().windows(2).collect();
    let gaps = (lie.span().first()..).zip(pairs.chunks(2));
    let all = gaps.map(|(end, halves)| {
        let level = gap(end).mm() / 2.0;
        halves.iter().map(|pair| climb(pair, level)).sum::<f64>()
    });
    Mm::new(all.sum())
}
