//! `cueline`: the service's command line.

use std::process::ExitCode;

fn main() -> ExitCode {
    cueline_bot::cli::run()
}
