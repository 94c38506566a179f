//! Runs: "over 3, under 2".

use crate::side::Pass;

/// A number of neighbouring ends that a weft passes in the same way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Over or under.
    pub pass: Pass,
    /// How many ends: at least one.
    pub ends: u32,
}

/// A row or an opening as runs, repeated across the ends: never empty, and neighbouring runs differ, except
/// that the last may pass like the first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Runs {
    runs: Vec<Run>,
    period: u32,
}

/// Why a text is no row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RunsError {
    /// There is nothing in it.
    Empty,
    /// This word stands where "over" or "under" should.
    NotAPass(String),
    /// This word stands where a number of ends should (1 or more).
    NotANumber(String),
    /// The runs add up to more ends than any piece may have.
    TooLong,
}

/// The most ends that any piece may have.
pub const MOST_ENDS: u32 = 4096;

impl Runs {
    /// Joins runs into a row; neighbours that pass alike become one.
    ///
    /// # Errors
    /// [`RunsError::Empty`] if there are none, [`RunsError::NotANumber`] if one has no ends and
    /// [`RunsError::TooLong`] if together they have more than 4096 ends.
    pub fn new(all: impl IntoIterator<Item = Run>) -> Result<Runs, RunsError> {
        let mut runs: Vec<Run> = Vec::new();
        let mut period = 0_u32;
        for run in all {
            if run.ends == 0 {
                return Err(RunsError::NotANumber("0".into()));
            }
            period = period.checked_add(run.ends).filter(|&p| p <= MOST_ENDS).ok_or(RunsError::TooLong)?;
            match runs.last_mut() {
                Some(last) if last.pass == run.pass => last.ends += run.ends,
                _ => runs.push(run),
            }
        }
        if runs.is_empty() { Err(RunsError::Empty) } else { Ok(Runs { runs, period }) }
    }

    /// Reads "over 3, under 2". Commas, "then" and "and" may stand between the runs.
    ///
    /// # Errors
    /// The first word that does not fit.
    pub fn parse(text: &str) -> Result<Runs, RunsError> {
        let mut runs = Vec::new();
        let mut words = text
            .split(|c: char| c.is_whitespace() || c == ',' || c == ';')
            .filter(|word| !word.is_empty() && !matches!(*word, "then" | "and"));
        while let Some(word) = words.next() {
            let pass = match word.to_ascii_lowercase().as_str() {
                "over" => Pass::Over,
                "under" => Pass::Under,
                _ => return Err(RunsError::NotAPass(word.into())),
            };
            let number = words.next().unwrap_or_default();
            let ends = number.parse().ok().filter(|&n| n >= 1);
            let ends = ends.ok_or_else(|| RunsError::NotANumber(number.into()))?;
            runs.push(Run { pass, ends });
        }
        Runs::new(runs)
    }

    /// The runs, from the left.
    #[must_use]
    pub fn runs(&self) -> &[Run] {
        &self.runs
    }

    /// How many ends they take before they begin again.
    #[must_use]
    pub fn period(&self) -> u32 {
        self.period
    }

    /// Whether they go over end `at` (from 0, less than the period).
    #[must_use]
    pub fn over(&self, at: u32) -> bool {
        let mut last = 0;
        for run in &self.runs {
            last += run.ends;
            if at < last {
                return run.pass.is_over();
            }
        }
        false
    }

    /// Over where these go under.
    #[must_use]
    pub fn opposite(&self) -> Runs {
        let runs = self.runs.iter().map(|r| Run { pass: r.pass.opposite(), ends: r.ends }).collect();
        Runs { runs, period: self.period }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_becomes_runs_and_neighbours_that_pass_alike_join() {
        let runs = Runs::parse("over 3, under 2, under 1").unwrap();
        assert_eq!(runs.period(), 6);
        assert_eq!(runs.runs().len(), 2);
        let over: Vec<bool> = (0..6).map(|e| runs.over(e)).collect();
        assert_eq!(over, [true, true, true, false, false, false]);
    }

    #[test]
    fn what_is_no_row_is_named() {
        assert_eq!(Runs::parse(" , "), Err(RunsError::Empty));
        assert_eq!(Runs::parse("over 2 behind 1"), Err(RunsError::NotAPass("behind".into())));
        assert_eq!(Runs::parse("over"), Err(RunsError::NotANumber(String::new())));
        assert_eq!(Runs::parse("over 0"), Err(RunsError::NotANumber("0".into())));
        assert_eq!(Runs::parse("over 4000, under 4000"), Err(RunsError::TooLong));
    }
}
