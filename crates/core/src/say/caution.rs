//! The usual caution, where what a piece is for touches one. It reminds, and never says that a piece is safe. (Common practice,
//! no source.)

use crate::plan::Purpose;

/// A caution in two sentences; `None` where the purpose touches none.
#[must_use]
pub fn caution(purpose: Purpose) -> Option<&'static str> {
    Some(match purpose {
        Purpose::Jewellery => {
            "Metal parts may hold nickel, and beads, rings and other small parts choke small children. Follow your local \
             rules, and ask people who are qualified."
        }
        Purpose::Garment => {
            "Loops and cords don't belong near a child's neck, and some wools and dyes irritate the skin. Follow your local \
             rules, and ask people who are qualified."
        }
        Purpose::Hanging => {
            "Keep it away from flames, and hang it so that its loops and cords are out of a small child's reach. Follow your \
             local rules, and ask people who are qualified."
        }
        Purpose::Coaster | Purpose::Mat => {
            "Keep it away from flames, and don't trust it with what is hot enough to burn. Follow your local rules, and ask \
             people who are qualified."
        }
        Purpose::Sample | Purpose::Bookmark => return None,
    })
}
