//! The command line: what each word does and what the process exits with.
//!
//! Exit codes everywhere: 0 done, 2 bad input or configuration (the message on standard error
//! names the field or line), 1 anything else.

mod access_log;
mod assess;
mod calibration;
mod keeping;
mod load;
mod read;
mod serve;
mod works;

pub(crate) use serve::{Signals, failure, runtime};

use crate::brain;
use crate::demo;
use crate::signing::Secret;
use clap::{Parser, Subcommand};
use cueline_core::catalog::CatalogProblem;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Reviews of squats, bench presses and deadlifts in chat, for a coach and the lifters who ask.
#[derive(Debug, Parser)]
#[command(name = "cueline", version)]
struct Arguments {
    /// Folder with cueline.toml and catalog/; what it lacks is as built in.
    #[arg(long, global = true, env = "CUELINE_CONFIG", value_name = "FOLDER")]
    config: Option<PathBuf>,
    #[command(subcommand)]
    command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
enum Command {
    /// Run the service.
    Serve,
    /// Run the service on this machine with an invented community, and play its fortnight.
    Demo {
        /// End after the play instead of leaving the practice room open.
        #[arg(long)]
        exit: bool,
        /// Port to listen on; 0 for any that is free.
        #[arg(long, default_value_t = 8765)]
        port: u16,
    },
    /// Check settings and catalog; says every fault with file, line and what is accepted.
    Check,
    /// Read a text on standard input: fields, signs, red flags, open questions, as JSON.
    Read {
        /// One text a line.
        #[arg(long)]
        lines: bool,
        /// JSON, one object a text (always so; accepted for clearness).
        #[arg(long)]
        json: bool,
    },
    /// Assess a set report (JSON, or JSON Lines) and print the reply.
    Assess {
        /// File, or - for standard input.
        #[arg(default_value = "-")]
        file: String,
        /// The whole assessment as JSON instead of the reply's text.
        #[arg(long)]
        json: bool,
        /// The day to count from (YYYY-MM-DD); today when absent.
        #[arg(long)]
        today: Option<jiff::civil::Date>,
        /// Writes a picture of the set (SVG): the loaded bar, and where something was seen. One
        /// report only, and none of a stop.
        #[arg(long, value_name = "OUT.svg")]
        picture: Option<PathBuf>,
    },
    /// Best single, loads, plates, bands, warm-up and goals worked out.
    #[command(subcommand)]
    Load(Box<load::LoadCommand>),
    /// Who saw and did what at the coach's desk, newest first.
    AccessLog {
        /// Of this case only.
        #[arg(long, value_name = "NUMBER")]
        case: Option<i64>,
        /// Most lines.
        #[arg(long, default_value_t = 100)]
        lines: u32,
    },
    /// Hold the bot's beliefs against the coaches' verdicts in the database.
    Calibration {
        /// JSON instead of tables.
        #[arg(long)]
        json: bool,
    },
    /// Which corrections worked, and how soon, from every case in the database.
    Works {
        /// CSV instead of words.
        #[arg(long)]
        csv: bool,
        /// A lift or a cause; everything when absent. Does not narrow the CSV.
        #[arg(conflicts_with = "csv")]
        of: Vec<String>,
    },
    /// Print a new signing secret for a chat platform.
    Secret,
    /// Print everything kept of one lifter, as JSON.
    Export {
        /// The platform's source, as in its `[[platform]]` block.
        #[arg(long)]
        source: String,
        /// The platform's id of the lifter.
        #[arg(long)]
        person: String,
    },
    /// Copy the database while the service runs, and check the copy.
    Backup {
        /// The copy; never one that is there already.
        copy: PathBuf,
    },
    /// Put a copy back into the empty place that the settings name.
    Restore {
        /// The copy.
        copy: PathBuf,
        /// Newest list of forgotten lifters: what stands beside a later copy, or what `suppressed`
        /// prints. They are forgotten again.
        #[arg(long, value_name = "LIST")]
        suppressed: Option<PathBuf>,
    },
    /// Print the list of forgotten lifters (ids that name nobody), or take one over.
    Suppressed {
        /// Forget everybody on this list.
        #[arg(long, value_name = "LIST")]
        apply: Option<PathBuf>,
    },
}

/// Why a command ended badly.
#[derive(Debug)]
pub(crate) enum Failure {
    /// Bad input or configuration: exit code 2.
    Input(Vec<String>),
    /// Anything else: exit code 1.
    Other(String),
}

impl Failure {
    /// One fault of the input.
    pub(crate) fn input(message: impl Into<String>) -> Self {
        Self::Input(vec![message.into()])
    }
}

impl From<Vec<CatalogProblem>> for Failure {
    fn from(problems: Vec<CatalogProblem>) -> Self {
        Self::Input(problems.iter().map(ToString::to_string).collect())
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        Self::Other(error.to_string())
    }
}

/// Runs the command that was given.
pub fn run() -> ExitCode {
    let arguments = Arguments::parse();
    let config = config(arguments.config.as_deref());
    let config = config.as_deref();
    let outcome = match arguments.command {
        Command::Serve => serve::run(config),
        Command::Demo { exit, port } => demo::run(config, port, exit),
        Command::Check => check(config),
        Command::Read { lines, json: _ } => read::run(config, lines),
        Command::Assess {
            file,
            json,
            today,
            picture,
        } => assess::run(config, &file, json, today, picture.as_deref()),
        Command::Load(command) => load::run(config, *command),
        Command::AccessLog { case, lines } => access_log::run(config, case, lines),
        Command::Calibration { json } => calibration::run(config, json),
        Command::Works { csv, of } => works::run(config, csv, &of.join(" ")),
        Command::Secret => secret(),
        Command::Export { source, person } => keeping::export(config, &source, &person),
        Command::Backup { copy } => keeping::back_up(config, &copy),
        Command::Restore { copy, suppressed } => {
            keeping::put_back(config, &copy, suppressed.as_deref())
        }
        Command::Suppressed { apply } => keeping::suppressed(config, apply.as_deref()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure::Input(messages)) => {
            complain(&messages);
            ExitCode::from(2)
        }
        Err(Failure::Other(message)) => {
            complain(&[message]);
            ExitCode::FAILURE
        }
    }
}

/// The config folder: the one named, else `config` here when it holds a `cueline.toml`.
fn config(named: Option<&Path>) -> Option<PathBuf> {
    named.map(Path::to_path_buf).or_else(|| {
        let here = PathBuf::from("config");
        here.join(crate::settings::FILE).exists().then_some(here)
    })
}

/// Says what went wrong on standard error. A closed standard error leaves nobody to tell.
fn complain(messages: &[String]) {
    let mut out = std::io::stderr().lock();
    for message in messages {
        let _ = writeln!(out, "cueline: {message}");
    }
}

/// Checks settings and catalog.
fn check(config: Option<&Path>) -> Result<(), Failure> {
    if let Some(folder) = config.filter(|folder| !folder.is_dir()) {
        let found = folder.display();
        return Err(Failure::input(format!(
            "--config: found {found}, accepted is a folder"
        )));
    }
    let (settings, brain) = brain::load(config)?;
    let faults: Vec<String> = settings
        .platform
        .iter()
        .filter_map(|platform| platform.open().err())
        .collect();
    if !faults.is_empty() {
        return Err(Failure::Input(faults));
    }
    let lifts = &brain.catalog.lifts;
    let count =
        |of: fn(&cueline_core::catalog::LiftBook) -> usize| lifts.values().map(of).sum::<usize>();
    let mut out = std::io::stdout().lock();
    writeln!(
        out,
        "Settings and catalog are in order: {} lifts, {} signs, {} causes, {} questions, {} flags, {} platforms.",
        lifts.len(),
        count(|book| book.signs.len()),
        count(|book| book.causes.len()),
        count(|book| book.questions.len()),
        brain.catalog.flags.flags.len(),
        settings.platform.len(),
    )?;
    Ok(())
}

/// Prints a new secret.
fn secret() -> Result<(), Failure> {
    let secret = Secret::generate().map_err(|error| Failure::Other(error.to_string()))?;
    writeln!(std::io::stdout(), "{}", secret.reveal())?;
    Ok(())
}
