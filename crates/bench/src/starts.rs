//! What a new piece may begin with: each in a few words, and as the small cloth that it makes.

use crate::answer::{Answer, Query, Refusal};
use crate::bench::Bench;
use crate::pictures::{self, SwatchAsked};
use crate::studies::{self, Known};
use crate::swatches::Of;
use axum::extract::{Path, State};
use axum::response::Response;
use fellmark_note::start::{self, Pattern, Start};
use serde::Serialize;
use std::sync::{Arc, OnceLock};

/// A start that is offered.
#[derive(Debug, Serialize)]
pub(crate) struct StartJson {
    name: &'static str,
    words: &'static str,
}

/// The starts with their usual choices, studied when one is looked at.
#[derive(Debug, Default)]
pub(crate) struct Starts([OnceLock<Option<Arc<Known>>>; Pattern::ALL.len()]);

impl Starts {
    fn get(&self, name: &str) -> Answer<(Pattern, Arc<Known>)> {
        let all = Pattern::ALL.into_iter().zip(&self.0);
        let found =
            all.into_iter().find(|(pattern, _)| pattern.word() == name).and_then(|(pattern, place)| {
                let known = place.get_or_init(|| {
                    let text = start::plan(&Start::usual(pattern)).ok()?;
                    studies::study(&text).ok()
                });
                Some((pattern, Arc::clone(known.as_ref()?)))
            });
        found.ok_or_else(|| Refusal::not_there("start"))
    }
}

/// All of them, in the order in which they are offered.
pub(crate) fn list() -> Vec<StartJson> {
    Pattern::ALL.map(|start| StartJson { name: start.word(), words: start.about() }).into()
}

pub(crate) async fn swatch(
    State(bench): State<Bench>,
    Path(name): Path<String>,
    Query(asked): Query<SwatchAsked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let (pattern, known) = bench.starts.get(&name)?;
            Ok(pictures::small(bench, Of::Start(pattern.word()), &known, &asked))
        })
        .await
}
