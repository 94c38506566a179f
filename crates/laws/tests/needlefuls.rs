//! How the needles are loaded.

use fellmark_core::habits::Habit;
use fellmark_core::need::{Join, Needleful, row_lengths};
use fellmark_core::plan::WeftId;
use fellmark_core::remedy::remedies;
use fellmark_core::side::Span;
use fellmark_core::sound::{Finding, Kind};
use fellmark_core::walk::Step;
use fellmark_laws::plans::{self, Tape};
use fellmark_laws::run::{Case, on_plans, on_texts};
use std::cell::Cell;

#[test]
fn every_row_is_woven_by_one_needleful_of_its_weft_in_order() {
    on_plans(51, 500, |case| {
        let piece = &case.study.piece;
        for weft in 0..piece.wefts.len() {
            let mine: Vec<&Needleful> = case
                .study
                .need
                .yarns
                .iter()
                .flat_map(|y| &y.needlefuls)
                .filter(|n| n.weft.0 == weft)
                .collect();
            let mut rows = (0..piece.row_count()).filter(|row| piece.row(*row).weft.0 == weft);
            for needleful in mine {
                if rows.next() != Some(needleful.from_row) {
                    return Err(format!("{needleful:?} begins elsewhere"));
                }
                let mut at = needleful.from_row;
                while at != needleful.to_row {
                    at = rows.next().filter(|row| *row <= needleful.to_row).ok_or("it ends elsewhere")?;
                }
            }
            if let Some(row) = rows.next() {
                return Err(format!("row {} has no needleful", row + 1));
            }
        }
        Ok(())
    });
}

#[test]
fn a_join_lies_clear_of_the_join_before_wherever_the_row_has_room() {
    let joins = Cell::new(0);
    on_plans(52, 500, |case| {
        let needlefuls = case.study.need.yarns.iter().flat_map(|yarn| &yarn.needlefuls);
        let mut all: Vec<Join> = needlefuls.filter_map(|needleful| needleful.join).collect();
        all.sort_by_key(|join| join.row);
        let mut before: Option<Span> = None;
        for join in all {
            let span = case.study.piece.crossings(join.row).span();
            if join.ends.common(span) != Some(join.ends) {
                return Err(format!("{join:?} lies beside its row"));
            }
            let clash = before.and_then(|before| before.common(join.ends));
            // Room for it beside the last one, a few ends in from the edges.
            let room = span.len() >= 5 * join.ends.len();
            if room && clash.is_some() {
                return Err(format!("{join:?} lies on {before:?}"));
            }
            joins.set(joins.get() + 1);
            before = Some(join.ends);
        }
        Ok(())
    });
    assert!(joins.get() > 100, "only {} joins", joins.get());
}

#[test]
fn what_is_cut_is_what_the_weft_takes() {
    let joined = Cell::new(0);
    on_plans(54, 400, |case| {
        for need in &case.study.need.yarns {
            let strands = |needleful: &Needleful| f64::from(case.study.piece.wefts[needleful.weft.0].strands);
            let cut: f64 = need.needlefuls.iter().map(|one| one.length.mm() * strands(one)).sum();
            let takes = need.weft.likely.mm();
            if (cut - takes).abs() > 1e-6 * (1.0 + takes) {
                return Err(format!("{cut} is cut, and {takes} taken"));
            }
            if need.needlefuls.iter().any(|one| one.length.mm() <= 0.0) {
                return Err(format!("nothing is cut: {:?}", need.needlefuls));
            }
            joined.set(joined.get() + need.needlefuls.iter().filter(|one| one.join.is_some()).count());
        }
        Ok(())
    });
    assert!(joined.get() > 100, "only {} are joined", joined.get());
}

/// A yarn that runs out or may is told of where its first needleful is cut, and where the one is cut that weaves the row.
#[test]
fn of_a_yarn_that_runs_out_the_last_needleful_is_told_where_it_is_cut() {
    let (apart, together) = (Cell::new(0), Cell::new(0));
    let little = |tape: &mut Tape<'_>| {
        let have = tape.one_of(&["60 cm", "1 m", "2 m", "4 m", "8 m"]);
        let size = "size = \"210 m per 100 g\"\n";
        plans::text(tape).replacen(size, &format!("{size}have = \"{have}\"\n"), 1)
    };
    on_texts(54, 500, little, |case| {
        let study = &case.study;
        for need in &study.need.yarns {
            let mut told: Vec<(u32, Option<u32>, bool, bool)> = Vec::new();
            for (number, walked) in (0..).zip(&study.walk.rows) {
                for (k, step) in walked.before.iter().enumerate() {
                    if let Step::Scarce { yarn, row, surely, last } = *step
                        && yarn == need.yarn
                    {
                        let cuts = |step: &Step| matches!(step, Step::Begin { .. } | Step::Join { .. });
                        if !walked.before[k + 1..].iter().any(cuts) {
                            return Err(format!("nothing is cut at row {}", number + 1));
                        }
                        told.push((number, row, surely, last));
                    }
                }
            }
            let finding = study.runs_out(need.yarn).map(|finding| &finding.kind);
            let Some(&Kind::RunsOut { row, short, .. }) = finding else {
                if !told.is_empty() {
                    return Err("of a yarn of which there is enough".into());
                }
                continue;
            };
            let surely = short.low.mm() > 0.0;
            let first = need.needlefuls.iter().map(|one| one.from_row).min();
            // A weft's needlefuls follow each other: each reaches up to the next one's first row.
            let weaves = |one: &&Needleful| {
                let weft = row.map(|row| study.piece.row(row).weft);
                let whose = need.needlefuls.iter().filter(|other| other.weft == one.weft);
                let next = whose.map(|other| other.from_row).find(|&from| from > one.from_row);
                weft == Some(one.weft)
                    && row.is_some_and(|row| one.from_row <= row && next.is_none_or(|next| row < next))
            };
            let last = need.needlefuls.iter().find(weaves).map(|one| one.from_row);
            let mut expected = Vec::new();
            if first != last {
                expected.extend(first.map(|at| (at, row, surely, false)));
            }
            expected.extend(last.map(|at| (at, row, surely, true)));
            expected.sort();
            told.sort();
            if told != expected {
                return Err(format!("{told:?}, not {expected:?}"));
            }
            let count = if expected.len() == 2 { &apart } else { &together };
            count.set(count.get() + expected.len());
        }
        Ok(())
    });
    assert!(apart.get() > 20 && together.get() > 20, "{} and {} told", apart.get(), together.get());
}

/// By the rule that a row is begun only with so many widths of yarn left: where a needleful as long as is comfortable has not
/// that much after a row, it is told, and a longer one is offered; where it has, each needleful weaves on.
#[test]
fn a_needleful_too_short_for_its_rows_is_told_and_a_longer_one_offered() {
    let (short, mended, long) = (Cell::new(0), Cell::new(0), Cell::new(0));
    let wide = |tape: &mut Tape<'_>| {
        let needleful = tape.one_of(&["20 cm", "30 cm", "45 cm", "60 cm"]);
        let text = plans::text(tape);
        let text = text.replacen("needleful = \"1.2 m\"\n", "", 1).replacen("needleful = \"50 cm\"\n", "", 1);
        let key = format!("needleful = \"{needleful}\"\n");
        match text.contains("[habits]\n") {
            true => text.replacen("[habits]\n", &format!("[habits]\n{key}"), 1),
            false => format!("{text}\n[habits]\n{key}"),
        }
    };
    on_texts(55, 300, wide, |case| {
        let study = &case.study;
        let (piece, habits) = (&study.piece, &study.habits);
        let [longest, rest] = [Habit::Needleful, Habit::NeedleRest].map(|habit| habits.length(habit).mm());
        let lengths = row_lengths(piece, &study.walk, &study.cloth, habits);
        for weft in (0..piece.wefts.len()).map(WeftId) {
            let rows = (0..piece.row_count()).filter(|&row| piece.row(row).weft == weft);
            // What the row takes, what is left of one and a half widths beyond another row, and the rest on the needle.
            let is_short = |row: &u32| {
                let width = piece.spacing().mm() * f64::from(piece.crossings(*row).span().len() - 1);
                lengths[*row as usize].sum().mm() + width * 0.5 + rest > longest
            };
            let goes_on = |row: &u32| {
                study
                    .walk
                    .stretches
                    .iter()
                    .any(|stretch| stretch.rows.contains(row) && stretch.rows.last() != Some(row))
            };
            let expected = rows.filter(goes_on).any(|row| is_short(&row));
            let about = |finding: &&Finding| matches!(finding.kind, Kind::ShortNeedleful { weft: w, .. } if w == weft);
            let found = study.findings.iter().find(about);
            if found.is_some() != expected {
                return Err(format!("{found:?}, and expected: {expected}"));
            }
            let Some(found) = found else {
                long.set(long.get() + 1);
                continue;
            };
            short.set(short.get() + 1);
            for edit in remedies(&case.plan, study, found) {
                let after = Case::of(fellmark_note::apply(&case.text, &edit).map_err(|e| format!("{e:?}"))?)?;
                if after.study.findings.iter().any(|now| now.kind.is_about_same(&found.kind)) {
                    return Err(format!("{edit:?} leaves it"));
                }
                mended.set(mended.get() + 1);
            }
        }
        Ok(())
    });
    assert!(short.get() > 30 && mended.get() > 15 && long.get() > 30, "{short:?}, {mended:?}, {long:?}");
}

#[test]
fn the_parts_of_a_need_make_its_total() {
    on_plans(53, 300, |case| {
        for need in &case.study.need.yarns {
            let p = &need.parts;
            let parts = [p.rows, p.rises, p.turns, p.carries, p.tails, p.joins, p.rests, p.slack];
            let sum: f64 = parts.iter().map(|part| part.likely.mm()).sum();
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * (1.0 + b.abs());
            if !close(sum, need.weft.likely.mm()) {
                return Err(format!("{sum} is not {}", need.weft.likely.mm()));
            }
            if !close(need.warp.likely.mm() + sum + need.header.likely.mm(), need.total.likely.mm()) {
                return Err(format!("{:?}", need.total));
            }
            for part in parts.iter().chain([&need.weft, &need.warp, &need.header, &need.total]) {
                if part.low > part.likely || part.likely > part.high {
                    return Err(format!("{part:?}"));
                }
            }
        }
        Ok(())
    });
}
