//! How a run ends, as scripts and continuous integration see it.

use std::process::ExitCode;

/// The five ways a run ends; the numbers are part of the interface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Every check that was made holds; what has no limit or is not assessed is counted, and does not fail.
    AllHold,
    /// A check fails; output files are written all the same, and say so.
    CheckFails,
    /// The drive file or the command is wrong; nothing was written.
    InputWrong,
    /// It could not be computed or written.
    NotDone,
    /// The user interrupted the run.
    Interrupted,
}

impl Exit {
    /// The exit code.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::AllHold => 0,
            Self::CheckFails => 1,
            Self::InputWrong => 2,
            Self::NotDone => 3,
            Self::Interrupted => 130,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

/// The list of exit codes as `--help` shows it.
pub const HELP: &str = "Exit codes:
  0    every check holds (what has no limit or is not assessed is counted and does not fail)
  1    a check fails; files are written all the same and say so
  2    the drive file or the command is wrong; nothing is written
  3    it could not be computed or written
  130  interrupted; nothing half written";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_codes_stand_in_the_help() {
        for exit in [Exit::AllHold, Exit::CheckFails, Exit::InputWrong, Exit::NotDone, Exit::Interrupted] {
            let line =
                HELP.lines().filter(|line| line.trim_start().starts_with(&format!("{} ", exit.code())));
            assert_eq!(line.count(), 1, "{exit:?}");
        }
    }

    #[test]
    fn locked_codes_never_change() {
        let codes = [Exit::AllHold, Exit::CheckFails, Exit::InputWrong, Exit::NotDone, Exit::Interrupted];
        assert_eq!(codes.map(Exit::code), [0, 1, 2, 3, 130]);
    }
}
