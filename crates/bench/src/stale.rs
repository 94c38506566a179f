//! An edit that was made on a revision that is no longer the head: it may be made on the head all the same if
//! nothing that it is about has changed since.

use fellmark_core::plan::{BandId, Edit, Plan, Set, Source, WeftId, YarnId};

/// Whether what `edit` (of `base`) is about is the same in `head`.
pub(crate) fn untouched(edit: &Edit, base: &Plan, head: &Plan) -> bool {
    match *edit {
        Edit::WarpEnds(_) => base.warp.ends == head.warp.ends,
        Edit::WeftFrom(weft, _) | Edit::WeftDoubled(weft, _) | Edit::RemoveWeft(weft) => {
            weft_is_same(weft, base, head)
        }
        Edit::PieceEdges(_) => base.edges == head.edges,
        Edit::BandEdges(band, _)
        | Edit::BandStart(band, _)
        | Edit::BandBeat(band, _)
        | Edit::BandRows(band, _)
        | Edit::RenameBand(band, _)
        | Edit::Touch(band, _)
        | Edit::BandStep(band, _) => band_is_same(band, base, head),
        // Where a border lies, which place is meant and which line of the stack depend on the whole stack.
        Edit::Length(band, _) | Edit::Part(band, _) | Edit::WriteOut(band) => {
            band_is_same(band, base, head) && stack_is_same(base, head)
        }
        Edit::Stack(..) => stack_is_same(base, head),
        // Whether a name is still free is seen when the edit is made.
        Edit::NewYarn(_) => true,
        Edit::NewWeft(_, yarn) | Edit::RenameYarn(yarn, _) | Edit::RemoveYarn(yarn) => {
            yarn_is_same(yarn, base, head)
        }
        Edit::Set(ref set) => key_is_same(set, base, head),
        Edit::Together(ref edits) => edits.iter().all(|edit| untouched(edit, base, head)),
    }
}

fn key_is_same(set: &Set, base: &Plan, head: &Plan) -> bool {
    match *set {
        Set::Name(_) => base.name == head.name,
        Set::Use(_) => base.purpose == head.purpose,
        Set::Shows(_) => base.shows == head.shows,
        Set::Finish(_) => base.finish == head.finish,
        Set::Finished(_) => base.finished == head.finished,
        Set::LongestFloat(_) => base.longest_float == head.longest_float,
        Set::Needleful(_) => base.habits == head.habits,
        Set::Loom(_) => base.loom == head.loom,
        Set::Header(ref header) => {
            let yarn = header.as_ref().and_then(|header| header.yarn);
            base.header == head.header && yarn.is_none_or(|yarn| yarn_is_same(yarn, base, head))
        }
        Set::WarpWidth(_) | Set::WarpOrder(_) | Set::WarpPath(_) => base.warp == head.warp,
        Set::YarnColour(yarn, _) | Set::YarnSize(yarn, ..) | Set::YarnKnown(yarn, _) => {
            yarn_is_same(yarn, base, head)
        }
        Set::WeftYarn(weft, yarn) => weft_is_same(weft, base, head) && yarn_is_same(yarn, base, head),
        Set::BandWefts(band, _) | Set::BandWeave(band, _) | Set::BandFlag(band, ..) => {
            band_is_same(band, base, head)
        }
    }
}

fn yarn_is_same(yarn: YarnId, base: &Plan, head: &Plan) -> bool {
    matches!((base.yarns.get(yarn.0), head.yarns.get(yarn.0)), (Some(was), Some(is)) if was == is)
}

fn stack_is_same(base: &Plan, head: &Plan) -> bool {
    let names = |plan: &Plan| -> Vec<String> { plan.bands.iter().map(|band| band.name.clone()).collect() };
    base.stack == head.stack && base.sequences == head.sequences && names(base) == names(head)
}

fn weft_is_same(weft: WeftId, base: &Plan, head: &Plan) -> bool {
    let Some(was) = base.wefts.get(weft.0) else { return false };
    head.wefts.iter().any(|is| {
        is.name == was.name && is.from == was.from && is.doubled == was.doubled && {
            base.yarns.get(was.yarn.0).map(|yarn| &yarn.name)
                == head.yarns.get(is.yarn.0).map(|yarn| &yarn.name)
        }
    })
}

/// Bands name wefts and other bands by their numbers, so those must stand where they stood; and a band like
/// another is only what it was if that one is.
fn band_is_same(band: BandId, base: &Plan, head: &Plan) -> bool {
    fn names(plan: &Plan) -> impl Iterator<Item = &str> {
        let wefts = plan.wefts.iter().map(|weft| weft.name.as_str());
        wefts.chain([""]).chain(plan.bands.iter().map(|band| band.name.as_str()))
    }
    if !names(base).eq(names(head)) {
        return false;
    }
    let mut band = band;
    // A reader lets no band be like itself, so this ends; the count makes sure.
    for _ in 0..=base.bands.len() {
        let (Some(was), Some(is)) = (base.bands.get(band.0), head.bands.get(band.0)) else { return false };
        match (was == is, &was.source) {
            (false, _) => return false,
            (true, Source::Like(other)) => band = *other,
            (true, _) => return true,
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::num::NonZeroU32;

    fn plan(text: &str) -> Plan {
        fellmark_note::read(text).unwrap().plan
    }

    /// The mat, with one line of it changed.
    fn mat(was: &str, is: &str) -> Plan {
        let examples = crate::examples::Examples::default();
        let text = examples.get("tideline-mat").unwrap().text.clone();
        assert!(text.contains(was), "{was}");
        plan(&text.replacen(was, is, 1))
    }

    fn band(plan: &Plan, name: &str) -> BandId {
        BandId(plan.bands.iter().position(|band| band.name == name).unwrap())
    }

    #[test]
    fn only_what_the_edit_is_about_matters() {
        let base = mat("rows = 4", "rows = 4");
        let start = |name| Edit::BandStart(band(&base, name), Some(NonZeroU32::MIN));
        let taller_hem = mat("rows = 4", "rows = 6");
        assert!(untouched(&start("pools"), &base, &taller_hem));
        assert!(!untouched(&start("hem"), &base, &taller_hem));
        assert!(!untouched(&Edit::Together(vec![start("pools"), start("hem")]), &base, &taller_hem));
        let taller_pools = mat("rows = 6", "rows = 8");
        assert!(!untouched(&start("shoals"), &base, &taller_pools), "shoals are like pools");
        assert!(untouched(&start("rising-tide"), &base, &taller_pools));
        let more_ends = mat("ends = 24", "ends = 25");
        assert!(!untouched(&Edit::WarpEnds(26), &base, &more_ends));
        assert!(untouched(&Edit::WarpEnds(26), &base, &taller_pools));
        let from_left = mat("[weft.slate]\nfrom = \"right\"", "[weft.slate]\nfrom = \"left\"");
        for (name, same) in [("foam", true), ("slate", false)] {
            let weft = WeftId(base.wefts.iter().position(|weft| weft.name == name).unwrap());
            assert_eq!(untouched(&Edit::WeftDoubled(weft, true), &base, &from_left), same, "{name}");
        }
        let renamed =
            mat("[band.hem]", "[band.edge]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 2\n[band.hem]");
        assert!(!untouched(&start("pools"), &base, &renamed), "another band came in");
    }
}
