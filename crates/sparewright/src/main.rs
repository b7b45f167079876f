//! The one executable.

use std::process::ExitCode;

fn main() -> ExitCode {
    sparewright::cli::run()
}
