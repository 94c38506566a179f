//! What a row takes because it is not level.

use super::Lie;
use crate::quantity::Mm;

/// How much longer a row is than if it lay level. From place to place its path, half that of a gap, climbs
/// evenly, at right angles to all it does else.
pub(super) fn rise(lie: Lie<'_>, gap: impl Fn(u32) -> Mm) -> Mm {
    let mut all = 0.0;
    for (end, places) in (lie.span().first()..).zip(lie.heights().windows(3).step_by(2)) {
        let &[left, between, right] = places else { continue };
        if left == between && between == right {
            continue;
        }
        let level = gap(end).mm() / 2.0;
        for climb in [between - left, right - between].map(f64::from) {
            all += (level * level + climb * climb).sqrt() - level;
        }
    }
    Mm::new(all)
}
