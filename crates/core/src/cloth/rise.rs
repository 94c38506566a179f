//! What a row takes because it is not level.

use super::Lie;
use crate::quantity::Mm;

/// How much longer a row is than if it lay level. From place to place its path, half that of a gap, climbs
/// evenly, at right angles to all it does else.
pub(super) fn rise(lie: Lie<'_>, gap: impl Fn(u32) -> Mm) -> Mm {
    let mut all = 0.0;
    for (number, pair) in (0_u32..).zip(lie.heights().windows(2)) {
        let &[from, to] = pair else { continue };
        let climb = f64::from(to) - f64::from(from);
        if climb != 0.0 {
            let level = gap(lie.span().first() + number / 2).mm() / 2.0;
            all += (level * level + climb * climb).sqrt() - level;
        }
    }
    Mm::new(all)
}
