//! The code by which a device on the network is let in.
//!
//! Six signs of Crockford's base 32 are 30 bits: few enough to type on a phone, and with five tries on a code,
//! one in 200 million for who guesses. A code works once and for five minutes; all devices together may try once
//! a second, so that the five tries are used up no faster than a weaver can notice.

use crate::clocks::{Now, Until};
use fellmark_core::weaving::Moment;
use fellmark_store::{May, WeavingId};
use std::time::Duration;
use subtle::ConstantTimeEq;

/// Crockford's base 32: the signs that are read as others are missing.
const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const LENGTH: usize = 6;
/// Wrong tries after which a code is void.
const TRIES: u32 = 5;
type Signs = [u8; LENGTH];

/// A code that lets a device in.
#[derive(Debug, Clone)]
pub(crate) struct Code {
    signs: Signs,
    /// What the device may do.
    pub(crate) may: May,
    /// The weaving that it shows first.
    pub(crate) weaving: Option<WeavingId>,
    until: Until,
    left: u32,
}

impl Code {
    /// The code in two halves, as it is read and typed.
    pub(crate) fn words(&self) -> String {
        let word = self.link();
        let (first, second) = word.split_at(LENGTH / 2);
        format!("{first} {second}")
    }

    /// When it ends, by the system's clock.
    pub(crate) fn ends(&self) -> Moment {
        self.until.clock
    }

    /// The code as it stands in an address.
    pub(crate) fn link(&self) -> String {
        self.signs.iter().map(|&sign| char::from(sign)).collect()
    }
}

/// Why there is no code any more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Over {
    Used,
    Late,
    Guessed,
}

impl Over {
    /// Its name.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Over::Used => "used",
            Over::Late => "late",
            Over::Guessed => "guessed",
        }
    }
}

/// What came of a try.
#[derive(Debug)]
pub(crate) enum Tried {
    /// The code; it is used up now.
    Right(Code),
    /// It has more signs than a code, or fewer: that is no try.
    OtherLength,
    /// It is another; so many tries are left.
    Wrong(u32),
    /// There is no code, or no longer.
    Over,
    /// The last try was less than a second ago.
    TooSoon,
}

/// The code that is offered now, if there is one.
#[derive(Debug)]
pub(crate) struct Pairing {
    code: Option<Code>,
    over: Option<Over>,
    /// What lies between two tries.
    apart: Duration,
    next_try: Option<Until>,
}

impl Pairing {
    /// No code yet; between two tries lies so much.
    pub(crate) fn new(apart: Duration) -> Pairing {
        Pairing { code: None, over: None, apart, next_try: None }
    }

    /// Offers a new code, in place of the one before.
    pub(crate) fn offer(&mut self, may: May, weaving: Option<WeavingId>, lasts: Duration, now: Now) {
        self.over = None;
        self.code = Some(Code { signs: drawn(), may, weaving, until: now.and(lasts), left: TRIES });
    }

    /// Takes a code back that was right, where nobody could be let in by it after all: it works still, unless there
    /// is another by now.
    pub(crate) fn give_back(&mut self, code: Code) {
        if self.code.is_none() && self.over == Some(Over::Used) {
            self.over = None;
            self.code = Some(code);
        }
    }

    /// Takes the code back.
    pub(crate) fn forget(&mut self) {
        self.code = None;
        self.over = None;
    }

    /// The code that works now.
    pub(crate) fn code(&self, now: Now) -> Option<&Code> {
        self.code.as_ref().filter(|code| !code.until.is_over(now))
    }

    /// Why the last code works no longer.
    pub(crate) fn over(&self, now: Now) -> Option<Over> {
        match &self.code {
            Some(code) if code.until.is_over(now) => Some(Over::Late),
            _ => self.over,
        }
    }

    /// Tries what was typed.
    pub(crate) fn attempt(&mut self, typed: &str, now: Now) -> Tried {
        // A slip of the finger is no guess: what has not as many signs can be no code.
        if !has_its_length(typed) {
            return if self.code(now).is_none() { Tried::Over } else { Tried::OtherLength };
        }
        // By either clock: a clock that was set back must keep nobody waiting for a day.
        if self.next_try.is_some_and(|next| !next.is_over(now)) {
            return Tried::TooSoon;
        }
        self.next_try = Some(now.and(self.apart));
        if self.code(now).is_none() {
            return Tried::Over;
        }
        let Some(mut code) = self.code.take() else { return Tried::Over };
        let same = read(typed).is_some_and(|signs| bool::from(signs.ct_eq(&code.signs)));
        if same {
            self.over = Some(Over::Used);
            return Tried::Right(code);
        }
        code.left = code.left.saturating_sub(1);
        if code.left == 0 {
            self.over = Some(Over::Guessed);
            return Tried::Over;
        }
        let left = code.left;
        self.code = Some(code);
        Tried::Wrong(left)
    }
}

/// # Panics
/// If the system has no source of chance: without one nobody could be kept out.
fn drawn() -> Signs {
    let mut bytes = [0; LENGTH];
    getrandom::fill(&mut bytes).expect("the system gives random bytes");
    // 256 is 8 times 32: each sign is as likely as another.
    bytes.map(|byte| SIGNS[usize::from(byte % 32)])
}

/// Whether as many signs were typed as a code has.
fn has_its_length(typed: &str) -> bool {
    typed.chars().filter(|sign| !matches!(sign, ' ' | '-')).take(LENGTH + 1).count() == LENGTH
}

/// What was typed, as signs: in either case, apart or not, and with the signs that are taken for others.
fn read(typed: &str) -> Option<Signs> {
    if typed.len() > 4 * LENGTH {
        return None;
    }
    let signs = typed.bytes().filter(|byte| !matches!(byte, b' ' | b'-')).map(|byte| {
        let sign = match byte.to_ascii_uppercase() {
            b'O' => b'0',
            b'I' | b'L' => b'1',
            sign => sign,
        };
        SIGNS.contains(&sign).then_some(sign)
    });
    signs.collect::<Option<Vec<u8>>>()?.try_into().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const MINUTES: Duration = Duration::from_secs(300);
    const APART: Duration = Duration::from_secs(1);

    fn offered(now: Now) -> (Pairing, String) {
        let mut pairing = Pairing::new(APART);
        pairing.offer(May::Follow, None, MINUTES, now);
        let code = pairing.code(now).unwrap().link();
        (pairing, code)
    }

    /// A code that is not this one.
    fn other(code: &str) -> String {
        code.chars().map(|sign| if sign == '7' { '8' } else { '7' }).collect()
    }

    #[test]
    fn a_code_works_once_however_it_is_typed() {
        let now = Now::new();
        for typed in [
            |code: &str| code.to_owned(),
            |code: &str| {
                let (first, second) = code.split_at(3);
                format!(" {}-{second} ", first.to_lowercase().replace('0', "o").replace('1', "l"))
            },
        ] {
            let (mut pairing, code) = offered(now);
            let Tried::Right(found) = pairing.attempt(&typed(&code), now) else { panic!("{code}") };
            assert_eq!((found.may, found.ends()), (May::Follow, now.and(MINUTES).clock));
            assert_eq!(pairing.over(now), Some(Over::Used));
            assert!(matches!(pairing.attempt(&code, now.later(APART)), Tried::Over));
        }
    }

    #[test]
    fn a_code_ends_after_its_time_by_either_clock() {
        let now = Now::new();
        for later in [Now::later, Now::slept, Now::awake] {
            let (mut pairing, code) = offered(now);
            let just = later(now, MINUTES - Duration::from_millis(1));
            assert!(pairing.code(just).is_some());
            assert_eq!(pairing.over(just), None);
            let end = later(now, MINUTES);
            assert!(matches!(pairing.attempt(&code, end), Tried::Over));
            assert_eq!(pairing.over(end), Some(Over::Late));
            assert!(pairing.code(end).is_none());
        }
    }

    #[test]
    fn a_code_that_let_nobody_in_works_still_unless_there_is_another() {
        let now = Now::new();
        let (mut pairing, code) = offered(now);
        let Tried::Right(back) = pairing.attempt(&code, now) else { panic!("{code}") };
        let again = back.clone();
        pairing.give_back(back);
        assert_eq!(pairing.over(now), None);
        assert!(matches!(pairing.attempt(&code, now.later(APART)), Tried::Right(_)));
        pairing.offer(May::Edit, None, MINUTES, now);
        pairing.give_back(again.clone());
        assert_ne!(pairing.code(now).map(Code::link), Some(code));
        pairing.forget();
        pairing.give_back(again);
        assert!(pairing.code(now).is_none(), "the door was shut meanwhile");
    }

    #[test]
    fn after_five_wrong_tries_the_right_code_is_void_too() {
        let mut now = Now::new();
        let (mut pairing, code) = offered(now);
        for left in (1..TRIES).rev() {
            assert!(matches!(pairing.attempt(&other(&code), now), Tried::Wrong(found) if found == left));
            now = now.later(APART);
        }
        assert!(matches!(pairing.attempt(&other(&code), now), Tried::Over), "the fifth is the last");
        assert_eq!(pairing.over(now), Some(Over::Guessed));
        assert!(matches!(pairing.attempt(&code, now.later(APART)), Tried::Over));
    }

    #[test]
    fn nobody_may_try_twice_in_a_second_and_waiting_costs_no_try() {
        let now = Now::new();
        let (mut pairing, code) = offered(now);
        assert!(matches!(pairing.attempt(&other(&code), now), Tried::Wrong(4)));
        for millis in [0, 500, 999] {
            let soon = now.later(Duration::from_millis(millis));
            assert!(matches!(pairing.attempt(&code, soon), Tried::TooSoon), "even the right one");
        }
        assert!(matches!(pairing.attempt(&code, now.later(APART)), Tried::Right(_)));
    }

    #[test]
    fn what_has_not_as_many_signs_as_a_code_is_no_try_and_need_not_be_waited_for() {
        let now = Now::new();
        let (mut pairing, code) = offered(now);
        for typed in ["", "7", " 7 - 7 ", "77777", "7777777", &"7".repeat(4000)] {
            for _ in 0..=TRIES {
                assert!(matches!(pairing.attempt(typed, now), Tried::OtherLength), "{typed:?}");
            }
        }
        let late = now.later(MINUTES);
        assert!(matches!(pairing.attempt("7", late), Tried::Over));
        assert!(matches!(pairing.attempt(&code, now), Tried::Right(_)));
    }

    #[test]
    fn a_new_code_takes_the_place_of_the_one_before() {
        let now = Now::new();
        let (mut pairing, code) = offered(now);
        pairing.offer(May::Edit, None, MINUTES, now);
        assert!(matches!(pairing.attempt(&code, now), Tried::Wrong(_)));
        pairing.forget();
        assert!(pairing.code(now).is_none() && pairing.over(now).is_none());
    }

    #[test]
    fn codes_use_every_sign_at_every_place() {
        // The chance that one of 192 is missing after 2,000 draws is below 1 in 10^24.
        let mut seen = [const { BTreeSet::new() }; LENGTH];
        for _ in 0..2_000 {
            for (place, sign) in drawn().into_iter().enumerate() {
                seen[place].insert(sign);
            }
        }
        assert!(seen.iter().all(|signs| signs.len() == SIGNS.len()));
    }

    #[test]
    fn what_is_no_code_is_none() {
        for typed in ["", "7Q2M4", "7Q2M4K9", "7Q2M4U", "7Q2M4ä", &"7".repeat(900), "ééééé "] {
            assert!(read(typed).is_none(), "{typed}");
        }
        assert_eq!(read("iLo 000"), Some(*b"110000"));
    }
}
