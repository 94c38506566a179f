//! Small pieces to begin with, built into the program.

use crate::answer::{Answer, Query, Refusal};
use crate::bench::Bench;
use crate::pictures::{self, Asked, SwatchAsked};
use crate::studies::{self, Known};
use crate::swatches::Of;
use axum::extract::{Path, State};
use axum::response::Response;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::to_mend;
use rust_embed::RustEmbed;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

#[derive(RustEmbed)]
#[folder = "../../examples"]
#[include = "*.toml"]
struct Files;

/// The examples by name, studied when one is asked for first.
#[derive(Debug, Default)]
pub(crate) struct Examples(OnceLock<BTreeMap<String, Arc<Known>>>);

/// An example as it is offered.
#[derive(Debug, Serialize)]
pub(crate) struct ExampleJson<'a> {
    /// The name by which it is asked for.
    name: &'a str,
    /// The piece's own name.
    title: &'a str,
    /// What it is, in a sentence.
    asked: String,
    /// How much of it must be mended: an example with flaws is there to show how that is done.
    to_mend: usize,
}

impl Examples {
    fn all(&self) -> &BTreeMap<String, Arc<Known>> {
        self.0.get_or_init(|| {
            let named = Files::iter()
                .filter_map(|file| Some((file.strip_suffix(".toml")?.to_owned(), Files::get(&file)?)));
            let read = named
                .filter_map(|(name, file)| Some((name, String::from_utf8(file.data.into_owned()).ok()?)));
            read.filter_map(|(name, text)| Some((name, studies::study(&text).ok()?))).collect()
        })
    }

    /// By name, those that are there to be mended last: a beginner begins with one that holds.
    pub(crate) fn list(&self, units: Units) -> impl Iterator<Item = ExampleJson<'_>> {
        let mut all: Vec<ExampleJson<'_>> = self
            .all()
            .iter()
            .map(|(name, known)| ExampleJson {
                name,
                title: &known.study.piece.name,
                asked: say::asked(&known.study.piece, units).to_string(),
                to_mend: to_mend(&known.study.findings).count(),
            })
            .collect();
        all.sort_by_key(|example| example.to_mend > 0);
        all.into_iter()
    }

    pub(crate) fn get(&self, name: &str) -> Answer<&Arc<Known>> {
        self.all().get(name).ok_or_else(|| Refusal::not_there("example"))
    }
}

pub(crate) async fn drawing(
    State(bench): State<Bench>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Response> {
    bench.work(move |bench| Ok(pictures::answer(bench.examples.get(&name)?, &asked))).await
}

pub(crate) async fn swatch(
    State(bench): State<Bench>,
    Path(name): Path<String>,
    Query(asked): Query<SwatchAsked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let known = Arc::clone(bench.examples.get(&name)?);
            Ok(pictures::small(bench, Of::Example(name), &known, &asked))
        })
        .await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_example_of_the_repository_is_offered() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .filter_map(|file| Some(file.unwrap().file_name().to_str()?.strip_suffix(".toml")?.to_owned()))
            .collect();
        files.sort();
        assert!(files.len() >= 6);
        let examples = Examples::default();
        let mut offered: Vec<&str> = examples.list(Units::Metric).map(|example| example.name).collect();
        // The one with flaws on purpose comes last.
        assert_eq!(offered.last(), Some(&"first-try"));
        assert!(
            examples
                .list(Units::Metric)
                .all(|example| (example.to_mend > 0) == (example.name == "first-try"))
        );
        offered.sort_unstable();
        assert_eq!(offered, files);
        assert!(examples.get("../Cargo").is_err());
    }
}
