//! Where text goes: data to standard output, talk to standard error, colour only where it can be seen.

use crate::arguments::{ColorChoice, Common};
use crate::failure::Failure;
use ::schema::Colour;
use std::env;
use std::io::{self, ErrorKind, IsTerminal, Write};

/// The two streams of a run and how they are to be written.
#[derive(Clone, Copy, Debug)]
pub struct Terminal {
    /// Whether standard output takes JSON.
    pub json: bool,
    /// Whether standard output takes colour.
    pub data_coloured: bool,
    /// Whether standard error takes colour.
    pub talk_coloured: bool,
    /// Characters that a line of standard output should hold at most.
    pub width: usize,
}

/// Width of lines where nobody says how wide the terminal is.
const USUAL_WIDTH: usize = 120;
/// Narrowest width that tables are set for.
const LEAST_WIDTH: usize = 60;

impl Terminal {
    /// The streams as the flags and the environment want them.
    #[must_use]
    pub fn new(common: Common) -> Self {
        let wanted = |is_terminal: bool| match common.color {
            ColorChoice::Always => true,
            ColorChoice::Never => false,
            ColorChoice::Auto => is_terminal && !colour_is_declined(),
        };
        Self {
            json: common.json,
            data_coloured: wanted(io::stdout().is_terminal()) && !common.json,
            talk_coloured: wanted(io::stderr().is_terminal()),
            width: terminal_size::terminal_size()
                .map_or(USUAL_WIDTH, |(width, _)| usize::from(width.0))
                .max(LEAST_WIDTH),
        }
    }

    /// Colour of diagnostics on standard error.
    #[must_use]
    pub fn talk_colour(self) -> Colour {
        if self.talk_coloured { Colour::Terminal } else { Colour::Plain }
    }

    /// Writes data to standard output. A reader that has seen enough and closed the pipe is no error.
    ///
    /// # Errors
    /// [`Failure::Print`] where the data could not be written, such as on a full disk.
    pub fn data(&self, text: &str) -> Result<(), Failure> {
        self.raw_data(text.as_bytes())
    }

    /// Writes bytes to standard output, as [`Self::data`] does.
    ///
    /// # Errors
    /// As [`Self::data`].
    pub fn raw_data(&self, bytes: &[u8]) -> Result<(), Failure> {
        let mut stream = io::stdout().lock();
        match stream.write_all(bytes).and_then(|()| stream.flush()) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::Print { source: error }),
            _ => Ok(()),
        }
    }

    /// Writes a line of talk for people to standard error; programs that asked for JSON get none.
    pub fn remark(&self, text: &str) {
        if !self.json {
            self.talk(text);
        }
    }

    /// Writes a line of talk to standard error; nobody is told if even that fails.
    pub fn talk(&self, text: &str) {
        let _ = writeln!(io::stderr().lock(), "{text}");
    }
}

/// Whether the environment asks for no colour: NO_COLOR set to anything but nothing, or a dumb terminal.
fn colour_is_declined() -> bool {
    let set = |name| env::var_os(name).is_some_and(|value| !value.is_empty());
    set("NO_COLOR") || env::var_os("TERM").is_some_and(|value| value == "dumb")
}
