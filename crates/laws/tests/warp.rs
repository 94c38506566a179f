//! What is said of the warp is what is wound: lengths that are alike are said once, each with its places.

use fellmark_core::say::{self, Units};
use fellmark_core::warp::{self, Block};
use fellmark_laws::run::{Case, on_plans};

/// Places from 1 as they are said: "1 to 2, 5 to 6 and 9 to 10", or "1 to 2, 5 to 6 and so on every 4 ends, the last 21 to
/// 22".
fn places(words: &str) -> Result<Vec<(u32, u32)>, String> {
    let number = |word: &str| word.parse::<u32>().map_err(|_| format!("{word:?} is no number in {words}"));
    let range = |word: &str| match word.split_once(" to ") {
        Some((first, last)) => Ok((number(first)?, number(last)?)),
        None => Ok((number(word)?, number(word)?)),
    };
    let Some((named, rest)) = words.split_once(" and so on every ") else {
        return words.replace(" and ", ", ").split(", ").map(range).collect();
    };
    let (step, last) = rest.split_once(", the last ").ok_or(words)?;
    let step = number(step.split(' ').next().unwrap_or_default())?;
    let mut all: Vec<(u32, u32)> = named.split(", ").map(range).collect::<Result<_, String>>()?;
    let last = range(last)?;
    while let Some(&(first, end)) = all.last() {
        if first >= last.0 {
            break;
        }
        all.push((first + step, end + step));
    }
    if all.last() == Some(&last) { Ok(all) } else { Err(format!("{words} does not come out")) }
}

/// What a line about lengths says: the yarn, how many lengths, the ends of each, and its first and last notch.
type Line = (String, Vec<(u32, u32)>, Vec<(u32, u32)>);

/// A length: its yarn, its first and last end, and its first and last notch.
type Length = (String, (u32, u32), (u32, u32));

fn read(line: &str) -> Result<Option<Line>, String> {
    let Some((yarn, rest)) = line.split_once(": cut ") else { return Ok(None) };
    let Some((count, rest)) = rest.split_once(" lengths of ") else {
        // A single length: "11 m for 21 ends (ends 1 to 21); tie it at the near bar, notch 5, and at the far bar, notch 25".
        let (_, rest) = rest.split_once(" (end").ok_or(line)?;
        let (ends, rest) = rest.split_once(')').ok_or(line)?;
        let ends = ends.trim_start_matches('s').trim().split(',').next().unwrap_or_default();
        let notches: Vec<u32> = rest
            .split("notch ")
            .skip(1)
            .filter_map(|word| word.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok())
            .collect();
        let notches = (*notches.first().ok_or(line)?, *notches.last().ok_or(line)?);
        return Ok(Some((yarn.to_owned(), places(ends)?, vec![notches])));
    };
    let (_, rest) = rest.split_once(": end").ok_or(line)?;
    let (ends, rest) = rest.split_once(" (notch").ok_or(line)?;
    let (notches, _) = rest.split_once(')').ok_or(line)?;
    // Lengths that lie side by side have their places named once.
    let count: usize = count.parse().map_err(|_| line.to_owned())?;
    let each = |places: Vec<(u32, u32)>| match count.checked_rem(places.len()) {
        Some(0) => {
            let many = count / places.len();
            Ok(places.into_iter().flat_map(|place| std::iter::repeat_n(place, many)).collect::<Vec<_>>())
        }
        _ => Err(format!("{} places: {line}", places.len())),
    };
    let ends = each(places(ends.trim_start_matches('s').trim())?)?;
    Ok(Some((yarn.to_owned(), ends, each(places(notches.trim_start_matches("es").trim())?)?)))
}

fn last(block: &Block) -> u32 {
    block.ends().last().unwrap_or(block.first)
}

#[test]
fn whoever_follows_the_words_winds_every_length_where_it_belongs_and_none_is_said_twice() {
    let grouped = std::cell::Cell::new(0_usize);
    on_plans(71, 1000, |case| {
        let piece = &case.study.piece;
        let winding = warp::wind(piece, &case.study.habits);
        let lines = say::winding(&winding, piece, Units::Metric);
        let mut said: Vec<Length> = Vec::new();
        let mut ways = 0;
        for line in &lines {
            let Some((yarn, ends, notches)) = read(line)? else { continue };
            if ends.len() != notches.len() {
                return Err(format!("not as many notches as ends: {line}"));
            }
            grouped.set(grouped.get() + usize::from(ends.len() > 1));
            said.extend(ends.into_iter().zip(notches).map(|(ends, notches)| (yarn.clone(), ends, notches)));
            ways += 1;
        }
        said.sort();
        let notch = |end: u32| winding.first_notch + piece.ends[end as usize].notch + 1;
        let mut wound: Vec<_> = winding
            .blocks
            .iter()
            .map(|block| {
                let name = say_name(&piece.yarns[block.yarn.0].name);
                (name, (block.first + 1, last(block) + 1), (notch(block.first), notch(last(block))))
            })
            .collect();
        wound.sort();
        if said != wound {
            return Err(format!("{said:?}\n{wound:?}\n{}", lines.join("\n")));
        }
        if ways != winding.alike().len() {
            return Err(format!("{ways} lines for {} ways", winding.alike().len()));
        }
        Ok(())
    });
    assert!(grouped.get() > 30, "only {} lines stand for several lengths", grouped.get());
}

/// A yarn's name at the beginning of a sentence.
fn say_name(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[test]
fn two_colours_in_turn_take_two_lines() {
    let case = Case::written(include_str!("../../../examples/tideline-bookmark.toml"));
    let winding = warp::wind(&case.study.piece, &case.study.habits);
    assert_eq!(winding.blocks.len(), 11);
    let lines = say::winding(&winding, &case.study.piece, Units::Metric);
    let cut: Vec<&String> = lines.iter().filter(|line| line.contains(": cut ")).collect();
    assert_eq!(cut.len(), 2, "{lines:#?}");
    assert!(cut[0].starts_with("Reed: cut 6 lengths of 79 cm, each for 2 ends: "), "{}", cut[0]);
    assert!(cut[1].contains("ends 3 to 4, 7 to 8 and so on every 4 ends, the last 19 to 20"), "{}", cut[1]);
}

#[test]
fn the_steps_of_winding_say_what_its_lines_say() {
    on_plans(72, 1000, |Case { study, .. }| {
        let warp = fellmark_report::warp(study, Units::Metric);
        let sentence = |words: &str| {
            let mut letters = words.chars();
            letters.next().map(|first| first.to_uppercase().collect::<String>() + letters.as_str() + ".")
        };
        let said: Vec<String> = warp
            .steps
            .iter()
            .flat_map(|step| sentence(&step.words).into_iter().chain(step.more.iter().cloned()))
            .collect();
        let same = said.join(" ") == warp.words.join(" ");
        if same { Ok(()) } else { Err(format!("{said:?}\n{:?}", warp.words)) }
    });
}
