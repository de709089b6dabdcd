//! Imports run one way: bot to core, and within each crate down the rooms of its `lib.rs`.

use crate::source::{Source, root, sources};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// Rooms of the core in reading order: each may use those before it.
const CORE: [&str; 14] = [
    "quantity",
    "report",
    "catalog",
    "reading",
    "load",
    "body",
    "motion",
    "diagnosis",
    "triage",
    "plan",
    "assess",
    "outcome",
    "challenge",
    "picture",
];

/// Uses against the order, each with its reason.
const CORE_EXCEPTIONS: [(&str, &str); 1] = [
    // The catalog compiles the coach's phrases while it checks them, so that a bad phrase stops
    // the start with its line; what a compiled phrase is belongs to reading.
    ("catalog", "reading"),
];

/// Files whose hash tables are only ever asked for one key: their order never shows.
const LOOKED_UP_ONLY: [&str; 4] = [
    "catalog/spelling.rs",
    "catalog/words.rs",
    "reading/said.rs",
    "reading/signs.rs",
];

/// Rooms of the bot and what each may use of the others.
const BOT: [(&str, &[&str]); 23] = [
    ("lib", &[]),
    ("main", &["cli"]),
    ("escape", &[]),
    ("signing", &[]),
    ("token", &["record"]),
    ("markup", &[]),
    ("raster", &[]),
    ("clock", &[]),
    ("record", &[]),
    ("store", &["record", "clock", "escape", "signing"]),
    (
        "platform",
        &["record", "clock", "telemetry", "escape", "signing"],
    ),
    ("telemetry", &["signing", "store"]),
    ("wording", &["record", "escape"]),
    ("casework", &["record", "wording"]),
    ("settings", &["casework", "platform", "record", "signing"]),
    ("brain", &["casework", "settings", "wording"]),
    (
        "work",
        &[
            "brain",
            "casework",
            "clock",
            "platform",
            "raster",
            "record",
            "store",
            "telemetry",
            "token",
        ],
    ),
    (
        "reload",
        &["brain", "record", "settings", "store", "telemetry"],
    ),
    (
        "web",
        &[
            "brain",
            "casework",
            "clock",
            "escape",
            "markup",
            "record",
            "signing",
            "store",
            "telemetry",
            "token",
            "wording",
        ],
    ),
    (
        "practice",
        &["clock", "escape", "markup", "platform", "record", "signing"],
    ),
    (
        "app",
        &[
            "brain",
            "clock",
            "platform",
            "practice",
            "record",
            "reload",
            "settings",
            "signing",
            "store",
            "telemetry",
            "web",
            "work",
        ],
    ),
    (
        "demo",
        &[
            "app",
            "brain",
            "casework",
            "cli",
            "clock",
            "platform",
            "practice",
            "record",
            "store",
            "telemetry",
            "token",
        ],
    ),
    (
        "cli",
        &[
            "app",
            "brain",
            "casework",
            "clock",
            "demo",
            "record",
            "reload",
            "settings",
            "signing",
            "store",
            "telemetry",
            "wording",
        ],
    ),
];

/// Libraries that belong to certain rooms.
const LIBRARIES: [(&str, &[&str]); 6] = [
    ("sqlx", &["store"]),
    // `app` names the router it serves, and nothing else.
    ("axum", &["web", "practice", "app"]),
    ("reqwest", &["platform"]),
    ("maud", &["markup", "practice", "web"]),
    ("hyper", &["web"]),
    ("resvg", &["raster"]),
];

/// Names that follow `head` in a path, inside braces too: `crate::a::B` and `crate::{a::B, c}`.
fn named(text: &str, head: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for (at, _) in text.match_indices(head) {
        let before = text.get(..at).and_then(|head| head.chars().next_back());
        if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '$') {
            continue;
        }
        let rest = text.get(at + head.len()..).unwrap_or_default();
        if let Some(group) = rest.strip_prefix('{') {
            names.extend(heads(group));
        } else {
            names.extend(word(rest));
        }
    }
    names
}

/// The first name of each item of a group, up to the brace that closes it.
fn heads(group: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let (mut depth, mut item) = (0_i32, String::new());
    for c in group.chars() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                names.extend(word(item.trim()));
                item.clear();
            }
            _ if depth == 0 => item.push(c),
            _ => {}
        }
    }
    names.extend(word(item.trim()));
    names
}

fn word(text: &str) -> Option<String> {
    let name: String = text
        .chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect();
    (!name.is_empty()).then_some(name)
}

/// Text without comments: a path in a sentence is no import.
fn without_comments(text: &str) -> String {
    let lines = text.lines().map(|line| {
        let comment = line.find("//").filter(|at| !line[..*at].contains('"'));
        comment.map_or(line, |at| &line[..at])
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// What each room uses, by the file that does.
fn uses(files: &[Source]) -> BTreeMap<(String, String), String> {
    let mut uses = BTreeMap::new();
    for file in files {
        let text = without_comments(file.product());
        for name in named(&text, "crate::") {
            if name != file.room() && name.starts_with(|c: char| c.is_lowercase()) {
                uses.entry((file.room().to_owned(), name))
                    .or_insert_with(|| file.path.clone());
            }
        }
    }
    uses
}

#[test]
fn the_core_reads_from_front_to_back() {
    let files = sources("core/src");
    let place = |room: &str| CORE.iter().position(|known| *known == room);
    let mut wrong = Vec::new();
    for ((room, used), path) in uses(&files) {
        let exception = CORE_EXCEPTIONS.contains(&(room.as_str(), used.as_str()));
        match (place(&room), place(&used)) {
            (Some(room), Some(used)) if used < room || exception => {}
            _ => wrong.push(format!("core/src/{path}: {room} uses {used}")),
        }
    }
    assert!(wrong.is_empty(), "against the order {CORE:?}: {wrong:#?}");
}

#[test]
fn every_room_of_the_bot_uses_only_the_rooms_below_it() {
    let files = sources("bot/src");
    let rooms: BTreeMap<&str, &[&str]> = BOT.into_iter().collect();
    let mut wrong = Vec::new();
    for file in &files {
        if !rooms.contains_key(file.room()) {
            wrong.push(format!("bot/src/{}: a room not known here", file.path));
        }
    }
    for ((room, used), path) in uses(&files) {
        let allowed = rooms.get(room.as_str()).copied().unwrap_or_default();
        if !allowed.contains(&used.as_str()) {
            wrong.push(format!("bot/src/{path}: {room} uses {used}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_room_of_the_bot_reaches_itself_around_a_corner() {
    // The demo is one of the commands and uses what they share; that pair alone may be a circle.
    let rooms: BTreeMap<&str, &[&str]> = BOT.into_iter().collect();
    for start in rooms.keys().filter(|room| !["cli", "demo"].contains(*room)) {
        let mut open: Vec<&str> = rooms[start].to_vec();
        let mut seen = BTreeSet::new();
        while let Some(room) = open.pop() {
            assert_ne!(room, *start, "{start} reaches itself");
            if seen.insert(room) {
                open.extend(rooms.get(room).copied().unwrap_or_default());
            }
        }
    }
}

#[test]
fn libraries_stay_in_their_rooms() {
    let mut wrong = Vec::new();
    for file in sources("bot/src") {
        let text = without_comments(file.product());
        for (library, rooms) in LIBRARIES {
            let used = !named(&text, &format!("{library}::")).is_empty();
            if used && !rooms.contains(&file.room()) {
                wrong.push(format!("bot/src/{}: {library}", file.path));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_core_knows_nothing_of_the_bot_nor_of_the_world() {
    let forbidden = [
        "cueline_bot::",
        "std::fs",
        "std::net",
        "std::env",
        "std::process",
        "std::thread",
        "std::io",
        "std::time::SystemTime",
        "std::time::Instant",
        "tokio::",
        "tracing::",
        "rand::",
        "HashMap",
        "Timestamp::now",
        "Zoned::now",
        "println!",
        "eprintln!",
    ];
    let mut wrong = Vec::new();
    for file in sources("core/src") {
        let text = without_comments(file.product());
        for word in forbidden {
            let table = word == "HashMap" && LOOKED_UP_ONLY.contains(&file.path.as_str());
            if text.contains(word) && !table {
                wrong.push(format!("core/src/{}: {word}", file.path));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_core_depends_on_five_libraries() {
    let text = fs::read_to_string(root().join("core/Cargo.toml")).expect("core/Cargo.toml");
    let manifest: toml::Table = text.parse().expect("TOML");
    let dependencies = manifest["dependencies"].as_table().expect("a table");
    let names: Vec<&str> = dependencies.keys().map(String::as_str).collect();
    assert_eq!(names, ["jiff", "serde", "serde_json", "thiserror", "toml"]);
    for table in ["build-dependencies", "target"] {
        assert!(!manifest.contains_key(table), "{table}");
    }
}

#[test]
fn paths_are_found_however_they_are_written() {
    let text = "use crate::{a::B, c, d::{E, f::G}};\nlet x = crate::g::h();\nmycrate::no::way();";
    let names: Vec<String> = named(text, "crate::").into_iter().collect();
    assert_eq!(names, ["a", "c", "d", "g"]);
    assert_eq!(without_comments("a // crate::b\nc"), "a \nc");
}
