//! What came with a file of all pieces, in words.

use fellmark_core::say;
use fellmark_store::{Brought, Came, PieceInfo};

/// So many pieces are named; more are counted.
const NAMED: usize = 4;

/// A sentence for each thing there is to say.
pub(crate) fn said(
    brought: &Brought,
    pieces: &[PieceInfo],
    name_of: &dyn Fn(&PieceInfo) -> Option<String>,
) -> Vec<String> {
    let info = |came: &Came| pieces.iter().find(|piece| piece.id == came.piece);
    let name =
        |came: &Came| info(came).and_then(name_of).unwrap_or_else(|| "A plan that can’t be read".to_owned());
    let named = |all: &[Came]| match all.len() {
        0..=NAMED => {
            let names: Vec<String> = all.iter().map(name).collect();
            say::list(&names)
        }
        many => counted(many, "piece"),
    };
    let of = |may: &dyn Fn(&Came) -> bool| -> Vec<Came> {
        brought.each.iter().copied().filter(|came| may(came)).collect()
    };
    let mut all = Vec::new();
    let new = of(&|came| came.is_new);
    if !new.is_empty() {
        let rows: usize = new.iter().map(|came| came.rows).sum();
        let done = if rows > 0 { format!(", with {} done", counted(rows, "row")) } else { String::new() };
        all.push(format!("{} came{done}.", named(&new)));
    }
    let more = of(&|came| !came.is_new && came.revisions + came.weavings + came.rows > 0);
    if more.len() <= NAMED {
        for came in &more {
            let stays = if came.revisions > 0 && !came.moved_on { "; it stays as it is here" } else { "" };
            all.push(format!("{} of {} came{stays}.", parts(std::slice::from_ref(came)), name(came)));
        }
    } else {
        all.push(format!("{} of {} came.", parts(&more), named(&more)));
    }
    if all.is_empty() {
        all.push("Nothing in this file is new here.".to_owned());
    }
    let away = of(&|came| info(came).is_some_and(|piece| piece.put_away_at.is_some()));
    if !away.is_empty() {
        let (are, they) = if away.len() == 1 { ("is", "it stands") } else { ("are", "they stand") };
        all.push(format!(
            "{} {are} here, put away: {they} at the end of the page of all pieces.",
            named(&away)
        ));
    }
    all
}

/// "5 rows, 1 weaving and 2 changes".
fn parts(all: &[Came]) -> String {
    let sum = |of: fn(&Came) -> usize| all.iter().map(of).sum();
    let counts = [
        (sum(|came| came.rows), "row"),
        (sum(|came| came.weavings), "weaving"),
        (sum(|came| came.revisions), "change"),
    ];
    let told: Vec<String> =
        counts.iter().filter(|(count, _)| *count > 0).map(|&(count, what)| counted(count, what)).collect();
    say::list(&told)
}

fn counted(count: usize, what: &str) -> String {
    say::counted(count as u32, what, &format!("{what}s"))
}
