//! How far a weaving is.

use crate::weaving::Pace;

/// What so many rows take at a pace, no more exactly than it can be known. `None` where nothing is left.
#[must_use]
pub fn left(pace: Pace, rows: u32) -> Option<String> {
    if rows == 0 {
        return None;
    }
    let minutes = pace.minutes(rows);
    Some(if minutes < 1.5 {
        "about a minute left".to_owned()
    } else if minutes < 20.0 {
        format!("about {minutes:.0} min left")
    } else if minutes < 90.0 {
        format!("about {:.0} min left", (minutes / 5.0).round() * 5.0)
    } else {
        let halves = (minutes / 30.0).round() as u64;
        format!("about {}{} h left", halves / 2, if halves % 2 == 1 { "½" } else { "" })
    })
}

/// "row 5 of 60, mirrored", with the row that comes next; or that all of them are woven.
#[must_use]
pub fn far(next: Option<u32>, rows: u32, mirrored: bool) -> String {
    let stands = next.map_or_else(|| format!("woven, {rows} rows"), |next| format!("row {next} of {rows}"));
    if mirrored { format!("{stands}, mirrored") } else { stands }
}

#[cfg(test)]
mod tests {
    use super::{far, left};
    use crate::side::{Side, Span};
    use crate::weaving::{Fact, Log, Moment, Opening, Pace, Tick, TickId, Woven, pace};

    /// A row takes so many seconds.
    fn at(seconds: i64) -> Pace {
        let mut log = Log::new();
        for k in 0..6_u8 {
            let opening = Opening::new(Span::all(3).unwrap(), |_| true);
            let woven = Woven {
                weft: "foam".into(),
                yarn: "foam".into(),
                strands: 1,
                from: Side::Left,
                opening,
                before: vec![],
                after: vec![],
            };
            let tick =
                Tick { row: k.into(), at: Moment(i64::from(k) * seconds * 1000), fact: Fact::Done(woven) };
            log.add(TickId([k; 16]), tick);
        }
        pace(&log).unwrap()
    }

    #[test]
    fn what_is_left_is_said_no_more_exactly_than_it_is_known() {
        let told = |seconds, rows| left(at(seconds), rows).unwrap();
        assert_eq!(told(30, 2), "about a minute left");
        assert_eq!(told(60, 12), "about 12 min left");
        assert_eq!(told(60, 43), "about 45 min left");
        assert_eq!(told(60, 100), "about 1½ h left");
        assert_eq!(told(60, 110), "about 2 h left");
        assert_eq!(left(at(60), 0), None);
    }

    #[test]
    fn how_far_it_is_counts_to_the_row_that_comes_next() {
        assert_eq!(far(Some(5), 60, false), "row 5 of 60");
        assert_eq!(far(None, 60, true), "woven, 60 rows, mirrored");
    }
}
