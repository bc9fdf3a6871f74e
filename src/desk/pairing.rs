//! Owns the one-time codes with which a phone is let in: shown on the desk, typed on the phone, good once and for a few minutes.

use std::io;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// A code is good for so long.
const GOOD_FOR: Duration = Duration::from_secs(5 * 60);
/// After so many wrong ones no code is good any more.
const WRONG: u8 = 5;

/// The code that is good now, if one is.
#[derive(Debug, Default)]
pub struct Pairing {
    now: Mutex<Option<Code>>,
}

#[derive(Debug)]
struct Code {
    digits: String,
    until: Instant,
    wrong: u8,
}

impl Pairing {
    /// Makes a code; the one before is good no longer.
    ///
    /// # Errors
    /// There is no randomness.
    pub fn code(&self) -> io::Result<String> {
        let mut bytes = [0_u8; 8];
        getrandom::fill(&mut bytes).map_err(|e| io::Error::other(e.to_string()))?;
        let digits = format!("{:06}", u64::from_le_bytes(bytes) % 1_000_000);
        *self.lock() = Some(Code { digits: digits.clone(), until: Instant::now() + GOOD_FOR, wrong: 0 });
        Ok(digits)
    }

    /// Whether a code is the one that is good now; it is used up by that.
    pub fn opens(&self, typed: &str) -> bool {
        let mut now = self.lock();
        let Some(code) = now.as_mut().filter(|c| Instant::now() < c.until) else {
            *now = None;
            return false;
        };
        if typed == code.digits {
            *now = None;
            return true;
        }
        code.wrong += 1;
        if code.wrong >= WRONG {
            *now = None;
        }
        false
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Option<Code>> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_opens_once() -> io::Result<()> {
        let pairing = Pairing::default();
        assert!(!pairing.opens(""));
        let old = pairing.code()?;
        let code = pairing.code()?;
        assert!(code.len() == 6 && code.bytes().all(|b| b.is_ascii_digit()), "{code}");
        assert!(old == code || !pairing.opens(&old));
        assert!(pairing.opens(&code));
        assert!(!pairing.opens(&code), "used up");
        let code = pairing.code()?;
        (0..WRONG).for_each(|_| assert!(!pairing.opens("guess")));
        assert!(!pairing.opens(&code), "after {WRONG} wrong ones");
        Ok(())
    }
}
