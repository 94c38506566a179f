//! What may be chosen where a piece is changed, in words.

use crate::edit::{WeaveJson, meaning};
use fellmark_core::loom::StrandsAct;
use fellmark_core::plan::{Edges, Finish, Purpose, WarpPath, bounds};
use fellmark_core::say;
use fellmark_core::side::Surface;
use fellmark_core::weave::{Recipe, Runs, Weave};
use fellmark_core::yarn::Fibre;
use fellmark_note::{Choice, typed};
use serde::Serialize;

/// All of it.
#[derive(Debug, Clone, Serialize)]
pub struct Choices {
    /// What a piece may be for.
    pub uses: Vec<WordJson>,
    /// Which side may be meant to be seen.
    pub shows: Vec<WordJson>,
    /// What may be done with a cloth off the loom.
    pub finishes: Vec<WordJson>,
    /// How a warp may be wound.
    pub paths: Vec<WordJson>,
    /// What may happen at the edge ends.
    pub edges: Vec<WordJson>,
    /// Keys of the frame, as edits name them, each with what it means.
    pub loom: Vec<KeyJson>,
    /// What the strands of one notch may be, as `strands_act_as`.
    pub strands_act_as: Vec<WordJson>,
    /// An opening, a step and a beat, as they may be typed.
    pub typed: TypedJson,
    /// Weaves to take as they are.
    pub weaves: Vec<OfferedJson>,
    /// What a yarn may be made of.
    pub fibres: Vec<&'static str>,
    /// Colours of the studio's own yarns.
    pub colours: Vec<ColourJson>,
    /// The most rows that a piece may have.
    pub most_rows: u32,
}

/// Examples of what may be typed.
#[derive(Debug, Clone, Serialize)]
pub struct TypedJson {
    /// The first row of a weave.
    pub opening: &'static str,
    /// How it moves.
    pub step: &'static str,
    /// How closely rows are beaten.
    pub beat: &'static str,
}

/// A word of a plan, and what it means.
#[derive(Debug, Clone, Serialize)]
pub struct WordJson {
    /// As a plan writes it.
    pub word: String,
    /// As people say it.
    pub words: String,
}

/// A key of a plan.
#[derive(Debug, Clone, Serialize)]
pub struct KeyJson {
    /// As an edit names it.
    pub word: String,
    /// What it is called.
    pub called: String,
    /// What it means.
    pub words: String,
}

/// A weave that may be taken.
#[derive(Debug, Clone, Serialize)]
pub struct OfferedJson {
    /// What it is called.
    pub name: &'static str,
    /// What it is, in words.
    pub words: String,
    /// Its keys.
    pub weave: WeaveJson,
    /// Some of its rows from the bottom up, each as `o` (over) and `u` (under) from the left.
    pub rows: Vec<String>,
}

/// A colour with a name.
#[derive(Debug, Clone, Serialize)]
pub struct ColourJson {
    /// Its name.
    pub name: &'static str,
    /// Such as `#2d6f73`.
    pub colour: &'static str,
}

/// Rows and ends of a weave that are shown.
const SHOWN: (u32, u32) = (8, 12);

/// For two wefts: a name, an opening and how it moves after each pair of rows.
const PAIRED: [(&str, &str, Option<&str>); 2] =
    [("columns", "over 3, under 3", None), ("diagonal", "over 4, under 2", Some("1 right every pair"))];

/// What may be chosen.
#[must_use]
pub fn choices() -> Choices {
    let mut uses: Vec<Purpose> = Vec::new();
    for &purpose in Purpose::VALUES {
        if !uses.contains(&purpose) {
            uses.push(purpose);
        }
    }
    let word = |purpose: &Purpose| WordJson {
        word: purpose.word().to_owned(),
        words: say::purpose(*purpose).to_owned(),
    };
    let named = typed::WEAVES.into_iter().filter_map(|name| {
        let recipe = Recipe { name: Some(typed::weave(name).ok()?), ..Recipe::default() };
        offered(name, &recipe)
    });
    let paired = PAIRED.into_iter().filter_map(|(name, opening, step)| {
        let recipe = Recipe {
            opening: Some(Runs::parse(opening).ok()?),
            opposite: true,
            step: step.map(typed::step).transpose().ok()?,
            ..Recipe::default()
        };
        offered(name, &recipe)
    });
    let surface = |surface: &Surface| WordJson {
        word: surface.word().to_owned(),
        words: say::good_side(*surface).to_owned(),
    };
    let finish =
        |finish: &Finish| WordJson { word: finish.word().to_owned(), words: say::finish(*finish).to_owned() };
    let path =
        |path: &WarpPath| WordJson { word: path.word().to_owned(), words: say::path(*path).to_owned() };
    let at_edges =
        |edges: &Edges| WordJson { word: edges.word().to_owned(), words: say::edges(*edges).to_owned() };
    let strands =
        |act: &StrandsAct| WordJson { word: act.word().to_owned(), words: say::strands_act(*act).to_owned() };
    let loom = typed::loom_keys().map(|(key, words)| KeyJson {
        word: key.replace('-', "_"),
        called: key.replace('-', " "),
        words,
    });
    Choices {
        paths: WarpPath::VALUES.iter().map(path).collect(),
        edges: Edges::VALUES.iter().map(at_edges).collect(),
        loom: loom.collect(),
        strands_act_as: StrandsAct::VALUES.iter().map(strands).collect(),
        typed: TypedJson { opening: typed::OPENING, step: typed::STEP, beat: typed::BEAT },
        shows: Surface::VALUES.iter().map(surface).collect(),
        finishes: Finish::VALUES.iter().map(finish).collect(),
        uses: uses.iter().map(word).collect(),
        weaves: named.chain(paired).collect(),
        fibres: Fibre::ALL.iter().map(|fibre| fibre.name()).collect(),
        colours: fellmark_note::start::COLOURS.map(|(name, colour)| ColourJson { name, colour }).to_vec(),
        most_rows: bounds::ROWS,
    }
}

fn offered(name: &'static str, recipe: &Recipe) -> Option<OfferedJson> {
    let weave = recipe.weave()?;
    Some(OfferedJson {
        name,
        words: say::weave(&weave),
        weave: meaning::recipe_json(recipe),
        rows: shown(&weave),
    })
}

fn shown(weave: &Weave) -> Vec<String> {
    let (rows, ends) = SHOWN;
    let row = |row| (0..ends).map(|end| if weave.over(row, end) { 'o' } else { 'u' }).collect();
    (0..rows).map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use fellmark_core::say::Units;

    #[test]
    fn all_that_is_offered_can_be_taken() {
        let choices = choices();
        assert_eq!(choices.weaves.len(), typed::WEAVES.len() + PAIRED.len());
        let rows = &choices.weaves[0].rows;
        assert_eq!((rows[0].as_str(), rows[1].as_str()), ("ouououououou", "uouououououo"), "plain weave");
        assert!(typed::runs(choices.typed.opening).is_ok() && typed::step(choices.typed.step).is_ok());
        assert!(typed::beat(choices.typed.beat).is_ok());
        assert!(choices.loom.iter().any(|key| key.word == "turn_to_turn"
            && key.called == "turn to turn"
            && key.words.ends_with("from turn to turn.")));
        for units in [Units::Metric, Units::Inch] {
            for size in say::size_examples(units) {
                assert!(typed::size(size, None).is_ok(), "{size}");
            }
            for size in say::finished_examples(units) {
                assert!(typed::wanted(size).is_ok(), "{size}");
            }
        }
        assert!(
            choices.uses.iter().any(|word| word.word == "jewellery" && word.words == "piece of jewellery")
        );
    }
}
