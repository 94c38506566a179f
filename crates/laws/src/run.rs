//! Runs a law over many plans, always the same ones.

use crate::plans::{self, Tape};
use fellmark_core::plan::Plan;
use fellmark_core::study::{Study, study};
use proptest::collection::vec;
use proptest::num::u16::ANY;
use proptest::test_runner::{Config, RngSeed, TestCaseError, TestRunner};
use std::cell::Cell;

/// A plan that reads and makes a piece.
#[derive(Debug)]
pub struct Case {
    /// Its text.
    pub text: String,
    /// What is read from it.
    pub plan: Plan,
    /// What comes of it.
    pub study: Study,
}

impl Case {
    /// Reads a text and studies the plan.
    ///
    /// # Errors
    /// Says why the text does not read or makes no piece.
    pub fn of(text: String) -> Result<Case, String> {
        let note = fellmark_note::read(&text).map_err(|problem| format!("{problem:?}"))?;
        let study = study(&note.plan).map_err(|error| format!("{error:?}"))?;
        Ok(Case { text, plan: note.plan, study })
    }

    /// The same for a plan that a test writes itself.
    ///
    /// # Panics
    /// If it does not read or makes no piece.
    #[must_use]
    pub fn written(text: &str) -> Case {
        match Case::of(text.to_owned()) {
            Ok(case) => case,
            Err(problem) => panic!("{problem}\n{text}"),
        }
    }
}

/// Holds a law on as many random plans; the same seed gives the same plans.
///
/// # Panics
/// With the smallest plan found on which the law fails, or if fewer than four plans in five make a piece.
pub fn on_plans(seed: u64, cases: u32, law: impl Fn(&Case) -> Result<(), String>) {
    on_texts(seed, cases, plans::text, law);
}

/// The same on plans of another make.
///
/// # Panics
/// As [`on_plans`].
pub fn on_texts(
    seed: u64,
    cases: u32,
    make: impl Fn(&mut Tape<'_>) -> String,
    law: impl Fn(&Case) -> Result<(), String>,
) {
    let config = Config {
        cases,
        rng_seed: RngSeed::Fixed(seed),
        failure_persistence: None,
        max_shrink_iters: 4000,
        ..Config::default()
    };
    let (made, refused) = (Cell::new(0_u32), Cell::new(0_u32));
    let outcome = TestRunner::new(config).run(&vec(ANY, 20..320), |values| {
        let text = make(&mut Tape::new(&values));
        match Case::of(text) {
            Ok(case) => {
                made.set(made.get() + 1);
                law(&case).map_err(|broken| TestCaseError::fail(format!("{broken}\n---\n{}", case.text)))
            }
            Err(_) => {
                refused.set(refused.get() + 1);
                Ok(())
            }
        }
    });
    if let Err(proptest::test_runner::TestError::Fail(reason, _)) = outcome {
        panic!("{}", reason.message());
    }
    let (made, refused) = (made.get(), refused.get());
    assert!(made >= 4 * refused, "only {made} of {} plans made a piece", made + refused);
}
