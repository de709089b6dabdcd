//! `private-postgres COMMAND...`: starts a private `PostgreSQL` server, runs the command with its
//! address in `CUELINE_TEST_POSTGRES`, stops the server, and ends with the command's exit code.

use anyhow::{Context, Result, bail};
use cueline_tests::databases::{PrivatePostgres, VARIABLE};
use std::process::{Command, ExitCode};

fn main() -> Result<ExitCode> {
    let mut words = std::env::args_os().skip(1);
    let Some(program) = words.next() else {
        bail!("say what to run: private-postgres COMMAND [ARGUMENT...]");
    };
    let server = PrivatePostgres::start()?;
    println!("private PostgreSQL at {}", server.url());
    let status = Command::new(&program)
        .args(words)
        .env(VARIABLE, server.url())
        .status()
        .with_context(|| format!("cannot run {}", program.display()))?;
    drop(server);
    // A command ended by a signal has no code; 1 says it did not succeed.
    let code = status
        .code()
        .and_then(|code| u8::try_from(code).ok())
        .unwrap_or(1);
    Ok(ExitCode::from(code))
}
