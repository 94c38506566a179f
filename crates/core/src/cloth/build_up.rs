//! Where the fell rises faster than elsewhere.

use crate::quantity::Mm;
use crate::side::Span;

/// How far the fell stands above its mean at one moment of weaving, over the ends of the row laid last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hump {
    /// The row after which it does.
    pub row: u32,
    /// The ends at which it does: neighbours that stand out by more than half as much as the highest of them.
    pub ends: Span,
    /// How far the highest end stands above the mean.
    pub above: Mm,
    /// How far the highest end stands above the lowest.
    pub range: Mm,
    /// The mean height of the fell by then.
    pub woven: Mm,
}

impl Hump {
    /// How far it would stand above the mean after 5 cm, if it grew as evenly as the cloth.
    #[must_use]
    pub fn in_five_cm(self) -> Mm {
        if self.woven > Mm::ZERO { self.above * (Mm::new(50.0) / self.woven) } else { Mm::ZERO }
    }
}

/// Watches the fell as rows are added.
#[derive(Debug, Default)]
pub(super) struct Watch {
    worst: Option<Hump>,
}

impl Watch {
    /// Takes in the fell after a row, at every end that the row covers.
    pub(super) fn row(&mut self, row: u32, span: Span, fell: impl Iterator<Item = f32> + Clone) {
        let (mut sum, mut highest) = (0.0, f32::NEG_INFINITY);
        for height in fell.clone() {
            sum += f64::from(height);
            highest = highest.max(height);
        }
        let mean = sum / f64::from(span.len());
        let above = f64::from(highest) - mean;
        if self.worst.is_some_and(|worst| worst.above.mm() >= above) || above <= 0.0 {
            return;
        }
        let lowest = fell.clone().fold(f32::INFINITY, f32::min);
        self.worst = Some(Hump {
            row,
            ends: stands_out(span, fell, highest, mean + above / 2.0),
            above: Mm::new(above),
            range: Mm::new(f64::from(highest - lowest)),
            woven: Mm::new(mean),
        });
    }

    /// The worst of all.
    pub(super) fn hump(self) -> Option<Hump> {
        self.worst
    }
}

/// The neighbours that lie above `from`, of the first that lie highest.
fn stands_out(span: Span, fell: impl Iterator<Item = f32>, highest: f32, from: f64) -> Span {
    let mut run: Option<Span> = None;
    let mut has_highest = false;
    for (end, height) in span.ends().zip(fell) {
        if f64::from(height) > from {
            run = Span::new(run.map_or(end, Span::first), end);
            has_highest |= height == highest;
        } else if has_highest {
            break;
        } else {
            run = None;
        }
    }
    run.unwrap_or(span)
}
