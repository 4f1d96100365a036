//! Exit codes and what each promises.

use std::process::ExitCode;

use crate::explain::Verdict;

/// How a run ended, as the shell sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// 0: the week printed is proved best (or the command did what it was asked).
    Best,
    /// 1: proved that no week keeps the rules.
    Impossible,
    /// 2: usage or kitchen files at fault; the messages say what to write instead.
    Fault,
    /// 3: not proved: a week that may not be the best, or none found in time.
    Unproved,
    /// 4: our fault, never the kitchen's.
    Ours,
}

impl Exit {
    /// Returns the number handed to the shell.
    pub fn code(self) -> u8 {
        match self {
            Self::Best => 0,
            Self::Impossible => 1,
            Self::Fault => 2,
            Self::Unproved => 3,
            Self::Ours => 4,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        exit.code().into()
    }
}

impl From<Verdict> for Exit {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Best => Self::Best,
            Verdict::Good { .. } | Verdict::Judged | Verdict::OutOfTime { .. } => Self::Unproved,
            Verdict::Impossible => Self::Impossible,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_verdict_has_its_own_promise() {
        let code = |verdict: Verdict| Exit::from(verdict).code();
        assert_eq!(code(Verdict::Best), 0);
        assert_eq!(code(Verdict::Impossible), 1);
        assert_eq!(code(Verdict::Good { bound_nano: 0 }), 3);
        assert_eq!(code(Verdict::OutOfTime { bound_nano: 0 }), 3);
        assert_eq!([Exit::Fault.code(), Exit::Ours.code()], [2, 4]);
    }
}
