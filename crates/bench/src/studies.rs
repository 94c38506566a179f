//! What is known of the revisions that were asked for lately: each is read and studied once.

use crate::lock;
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use fellmark_core::plan::{Plan, Wanted};
use fellmark_core::say::Units;
use fellmark_core::side::Surface;
use fellmark_core::sound::to_mend;
use fellmark_core::study::Study;
use fellmark_note::Problem;
use fellmark_picture::Drawing;
use fellmark_report::{Fit, RemedyJson, Told};
use fellmark_store::RevisionId;
use serde::Serialize;
use std::collections::{BTreeMap, VecDeque};
use std::fmt;
use std::sync::{Arc, Mutex, OnceLock};

/// How many revisions are kept at hand.
const KEPT: usize = 12;
/// How many texts that may become revisions are kept.
const TRIED: usize = 3;
/// How many revisions' figures for the list are kept.
const FIGURES: usize = 20_000;

/// A revision, read and studied; what is asked for now and then is worked out when it is.
#[derive(Debug)]
pub(crate) struct Known {
    pub(crate) text: String,
    pub(crate) plan: Plan,
    pub(crate) study: Study,
    mirrored: OnceLock<Study>,
    told: PerUnits<Told>,
    remedies: OnceLock<Vec<Vec<RemedyJson>>>,
    fits: PerUnits<Fit>,
    front: PerUnits<Arc<str>>,
    back: PerUnits<Arc<str>>,
}

/// What is said in one way to measure and in the other, each when it is first asked for.
#[derive(Debug)]
struct PerUnits<T> {
    metric: OnceLock<T>,
    inch: OnceLock<T>,
}

impl<T> PerUnits<T> {
    const fn new() -> PerUnits<T> {
        PerUnits { metric: OnceLock::new(), inch: OnceLock::new() }
    }

    fn of(&self, units: Units) -> &OnceLock<T> {
        match units {
            Units::Metric => &self.metric,
            Units::Inch => &self.inch,
        }
    }
}

/// Why a text is no piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct ProblemJson {
    message: String,
    help: String,
    line: Option<usize>,
    column: Option<usize>,
}

impl ProblemJson {
    pub(crate) fn of(problem: Problem, text: &str) -> ProblemJson {
        let (line, column) = problem.line_column(text).unzip();
        ProblemJson { message: problem.message, help: problem.help, line, column }
    }

    /// The answer to who sent such a text.
    pub(crate) fn refuse(&self) -> Response {
        #[derive(Serialize)]
        struct Refused<'a> {
            message: &'a str,
            help: &'a str,
            problem: &'a ProblemJson,
        }
        let said = Refused { message: &self.message, help: &self.help, problem: self };
        (StatusCode::UNPROCESSABLE_ENTITY, Json(said)).into_response()
    }
}

impl fmt::Display for ProblemJson {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "Line {line}: ")?;
        }
        write!(f, "{} {}", self.message, self.help)
    }
}

/// What a text came to.
pub(crate) type Studied = Result<Arc<Known>, Arc<ProblemJson>>;

/// What the list says of a revision.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Figures {
    /// The name in its plan; missing where the text can't be read as a plan.
    pub(crate) name: Option<String>,
    /// Missing where the plan makes no piece.
    pub(crate) piece: Option<PieceFigures>,
}

/// A piece's figures for the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct PieceFigures {
    pub(crate) ends: u32,
    pub(crate) rows: u32,
    pub(crate) to_mend: usize,
}

/// The revisions at hand.
#[derive(Debug, Default)]
pub(crate) struct Studies {
    at_hand: Mutex<VecDeque<(RevisionId, Arc<OnceLock<Studied>>)>>,
    tried: Mutex<VecDeque<(String, Arc<OnceLock<Studied>>)>>,
    figures: Mutex<BTreeMap<RevisionId, Figures>>,
}

/// Reads and studies a text.
pub(crate) fn study(text: &str) -> Studied {
    match fellmark_note::study(text) {
        Ok((note, study)) => Ok(Arc::new(Known {
            text: text.to_owned(),
            plan: note.plan,
            study,
            mirrored: OnceLock::new(),
            told: PerUnits::new(),
            remedies: OnceLock::new(),
            fits: PerUnits::new(),
            front: PerUnits::new(),
            back: PerUnits::new(),
        })),
        Err(problem) => Err(Arc::new(ProblemJson::of(problem, text))),
    }
}

impl Studies {
    /// A revision, whose text is this. Who asks while another works it out waits for that.
    pub(crate) fn of(&self, revision: RevisionId, text: &str) -> Studied {
        self.place(revision).get_or_init(|| study(text)).clone()
    }

    /// A text that may become a revision: a hand that draws a border asks for its words and for its picture, and when it
    /// lets go, for the change itself.
    pub(crate) fn tried(&self, text: &str) -> Studied {
        let place = {
            let mut tried = lock(&self.tried);
            let found = tried.iter().find(|(known, _)| known == text).map(|(_, place)| Arc::clone(place));
            found.unwrap_or_else(|| {
                let place = Arc::default();
                tried.push_front((text.to_owned(), Arc::clone(&place)));
                tried.truncate(TRIED);
                place
            })
        };
        place.get_or_init(|| study(text)).clone()
    }

    /// A revision that was studied before it was saved.
    pub(crate) fn keep(&self, revision: RevisionId, known: &Arc<Known>) {
        let _ = self.place(revision).set(Ok(Arc::clone(known)));
    }

    fn place(&self, revision: RevisionId) -> Arc<OnceLock<Studied>> {
        let mut at_hand = lock(&self.at_hand);
        let found = at_hand.iter().position(|(known, _)| *known == revision);
        let place = found.and_then(|k| at_hand.remove(k)).map_or_else(Arc::default, |(_, place)| place);
        at_hand.push_front((revision, Arc::clone(&place)));
        at_hand.truncate(KEPT);
        place
    }

    /// What the list says of a revision, worked out once.
    pub(crate) fn figures(&self, revision: RevisionId, text: impl FnOnce() -> Option<String>) -> Figures {
        if let Some(figures) = lock(&self.figures).get(&revision) {
            return figures.clone();
        }
        let Some(figures) = self.at_hand(revision).or_else(|| text().map(|text| of_text(&text))) else {
            return Figures::default();
        };
        let mut all = lock(&self.figures);
        if all.len() >= FIGURES {
            all.clear();
        }
        all.insert(revision, figures.clone());
        figures
    }

    /// The figures of a revision that is studied already. It takes no place from those that are worked on.
    fn at_hand(&self, revision: RevisionId) -> Option<Figures> {
        let at_hand = lock(&self.at_hand);
        let (_, place) = at_hand.iter().find(|(known, _)| *known == revision)?;
        place.get()?.as_ref().ok().map(|known| known.figures())
    }
}

fn of_text(text: &str) -> Figures {
    match study(text) {
        Ok(known) => known.figures(),
        // A plan that makes no piece has a name still.
        Err(_) => Figures { name: fellmark_note::read(text).ok().map(|note| note.plan.name), piece: None },
    }
}

impl Known {
    pub(crate) fn figures(&self) -> Figures {
        let Study { piece, findings, .. } = &self.study;
        let figures = PieceFigures {
            ends: piece.end_count(),
            rows: piece.row_count(),
            to_mend: to_mend(findings).count(),
        };
        Figures { name: Some(self.plan.name.clone()), piece: Some(figures) }
    }

    pub(crate) fn told(&self, units: Units) -> &Told {
        self.told.of(units).get_or_init(|| fellmark_report::told(&self.study, units))
    }

    /// What takes each finding away.
    pub(crate) fn remedies(&self) -> &[Vec<RemedyJson>] {
        self.remedies.get_or_init(|| fellmark_report::remedies(&self.plan, &self.study))
    }

    /// What would bring it near the finished size that its plan asks for: no choices where it asks for none.
    pub(crate) fn fit(&self, units: Units) -> &Fit {
        let wanted = self.plan.finished.as_ref().map_or_else(Wanted::default, |size| size.value);
        self.fits.of(units).get_or_init(|| fellmark_report::fit(&self.plan, &self.study, wanted, units))
    }

    /// The study, or that of the mirrored piece.
    pub(crate) fn woven(&self, mirrored: bool) -> &Study {
        if mirrored { self.mirrored.get_or_init(|| self.study.mirrored()) } else { &self.study }
    }

    pub(crate) fn drawing(&self, units: Units, surface: Surface) -> Arc<str> {
        let drawings = match surface {
            Surface::Front => &self.front,
            Surface::Back => &self.back,
        };
        let draw = || {
            let options = Drawing { units, surface, ..Drawing::default() };
            fellmark_picture::drawing(&self.study, &options).into()
        };
        Arc::clone(drawings.of(units).get_or_init(draw))
    }
}
