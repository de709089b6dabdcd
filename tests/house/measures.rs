//! House measures: how long functions and files are, how much is documented, how much is tested.
//! Printed as a report (`cargo test -p cueline-tests --test house -- --nocapture measures`); only
//! the hard limits fail.

use crate::source::{Source, sources};

/// Longest file, lines.
const FILE: usize = 500;
/// Longest function, lines from its signature to its closing brace.
const FUNCTION: usize = 80;

/// A function and how long it is.
struct Function {
    place: String,
    lines: usize,
}

/// Every function of a file. The formatter puts a function's closing brace under its first
/// letter, so the lines tell where it ends.
fn functions(path: &str, text: &str) -> Vec<Function> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (start, line) in lines.iter().enumerate() {
        let body = line.trim_start();
        let indent = line.len() - body.len();
        let Some(name) = function_name(body) else {
            continue;
        };
        let close = format!("{}}}", " ".repeat(indent));
        let end = lines.iter().skip(start).position(|line| *line == close);
        let one_line = body.ends_with('}') || body.ends_with(';');
        let count = if one_line {
            1
        } else {
            end.map_or(1, |end| end + 1)
        };
        found.push(Function {
            place: format!("{path}: {name}"),
            lines: count,
        });
    }
    found
}

/// The name a line begins a function with.
fn function_name(line: &str) -> Option<&str> {
    let mut words = line.split_whitespace();
    loop {
        match words.next()? {
            "fn" => {
                let name = words.next()?;
                return name.split(['(', '<']).next();
            }
            word if word == "async" || word == "const" || word.starts_with("pub") => {}
            _ => return None,
        }
    }
}

/// The value at this share of a sorted list.
fn at_share(sorted: &[usize], tenths: usize) -> usize {
    let place = (sorted.len() * tenths / 10).min(sorted.len().saturating_sub(1));
    sorted.get(place).copied().unwrap_or_default()
}

fn is_doc(line: &&str) -> bool {
    let line = line.trim_start();
    line.starts_with("///") || line.starts_with("//!")
}

fn is_code(line: &&str) -> bool {
    let line = line.trim_start();
    !line.is_empty() && !line.starts_with("//")
}

/// Documentation and code lines of what is no test.
fn docs_and_code(files: &[Source]) -> (usize, usize) {
    files.iter().fold((0, 0), |(docs, code), file| {
        let lines = || file.product().lines();
        (
            docs + lines().filter(is_doc).count(),
            code + lines().filter(is_code).count(),
        )
    })
}

/// Lines of tests in a crate's own source.
fn test_lines(files: &[Source]) -> usize {
    let all = |file: &Source| file.text.lines().filter(is_code).count();
    let product = |file: &Source| file.product().lines().filter(is_code).count();
    files.iter().map(|file| all(file) - product(file)).sum()
}

fn spread(what: &str, mut lengths: Vec<usize>) {
    lengths.sort_unstable();
    println!(
        "{what}: {} of them, median {}, 90th percentile {}, longest {}",
        lengths.len(),
        at_share(&lengths, 5),
        at_share(&lengths, 9),
        lengths.last().copied().unwrap_or_default()
    );
}

#[test]
fn measures_of_the_house_stay_within_the_hard_limits() {
    let mut too_long = Vec::new();
    let (mut code_lines, mut tests_beside) = (0, 0);
    for folder in ["core/src", "bot/src", "tests"] {
        let files = sources(folder);
        let lengths: Vec<usize> = files.iter().map(|file| file.text.lines().count()).collect();
        let all: Vec<Function> = files
            .iter()
            .flat_map(|file| functions(&format!("{folder}/{}", file.path), &file.text))
            .collect();
        for (file, lines) in files.iter().zip(&lengths) {
            if *lines > FILE {
                too_long.push(format!("{folder}/{}: {lines} lines", file.path));
            }
        }
        let long = all.iter().filter(|function| function.lines > FUNCTION);
        too_long
            .extend(long.map(|function| format!("{}: {} lines", function.place, function.lines)));
        println!("{folder}");
        spread("  files", lengths);
        spread(
            "  functions",
            all.iter().map(|function| function.lines).collect(),
        );
        let (docs, code) = docs_and_code(&files);
        if folder == "tests" {
            tests_beside += code;
        } else {
            let ratio = docs as f64 / code as f64;
            println!("  documentation: {docs} lines to {code} of code, {ratio:.2}");
            code_lines += code;
            tests_beside += test_lines(&files);
        }
    }
    let ratio = tests_beside as f64 / code_lines as f64;
    println!("tests: {tests_beside} lines to {code_lines} of code, {ratio:.2}");
    assert!(too_long.is_empty(), "over the hard limits: {too_long:#?}");
}

#[test]
fn a_function_is_measured_from_its_signature_to_its_brace() {
    let text = "impl A {\n    pub(crate) async fn b<T>(\n        c: T,\n    ) {\n        d();\n    }\n}\nfn e() {}\n";
    let found = functions("x.rs", text);
    let lines: Vec<(&str, usize)> = found
        .iter()
        .map(|function| (function.place.as_str(), function.lines))
        .collect();
    assert_eq!(lines, [("x.rs: b", 5), ("x.rs: e", 1)]);
}
