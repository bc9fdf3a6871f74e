//! The command line: everything it does is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    hoistnote::cli::run(std::env::args_os())
}
