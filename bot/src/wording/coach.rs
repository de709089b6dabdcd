//! What the coach reads in chat: the queue and one case on one page.

use super::{Words, escape, figures};
use crate::record::{CaseFile, DeadLetter, Entry, EntryKind, QueueLine, Recipient, Urgency};
use cueline_core::catalog::{Catalog, LiftBook};
use cueline_core::outcome::Verdict;
use cueline_core::quantity::Mass;
use cueline_core::report::Lift;
use jiff::Timestamp;

/// Lines of the queue shown at once.
const MOST_LINES: usize = 15;
/// Lines counted; what is loaded beyond them only says that there are more.
const MOST_COUNTED: usize = 50;
/// Entries of the history shown on a card.
const MOST_ENTRIES: usize = 6;

/// The queue with what could not be delivered.
pub fn queue_text(
    words: &Words,
    queue: &[QueueLine],
    dead: &[DeadLetter],
    now: Timestamp,
) -> String {
    let mut lines = Vec::new();
    if queue.is_empty() {
        lines.push(words.say("coach.empty", &[]));
    } else {
        let count = if queue.len() > MOST_COUNTED {
            format!("more than {MOST_COUNTED}")
        } else {
            queue.len().to_string()
        };
        lines.push(words.say("coach.queue", &[("count", &count)]));
    }
    lines.extend(
        queue
            .iter()
            .take(MOST_LINES)
            .map(|line| queue_line(words, line, now)),
    );
    if !dead.is_empty() {
        let count = dead.len().to_string();
        lines.push(words.say("coach.dead", &[("count", &count)]));
        for letter in dead.iter().take(5) {
            let to = match &letter.message.to {
                Recipient::RoomId(room) => format!("room {room}"),
                Recipient::PersonId(person) => format!("person {person}"),
            };
            let error = escape(&letter.last_error);
            lines.push(words.say("coach.dead_line", &[("to", &to), ("error", &error)]));
        }
    }
    lines.join("\n")
}

/// One line of the queue.
fn queue_line(words: &Words, line: &QueueLine, now: Timestamp) -> String {
    let item = &line.item;
    let whys: Vec<String> = item
        .reasons
        .iter()
        .map(|reason| escape(&reason.why))
        .collect();
    let promised = item.promised.map_or_else(String::new, |at| {
        if at < now {
            " · **overdue**".to_owned()
        } else {
            format!(" · promised in {}", waiting(now, at))
        }
    });
    let taken = match (&item.taken_by, item.taken_until) {
        (Some(by), Some(until)) if until > now => format!(" · with {}", escape(&by.person_id)),
        _ => String::new(),
    };
    words.say(
        "coach.line",
        &[
            ("number", &line.case.number.to_string()),
            ("urgency", urgency(item.urgency)),
            ("name", &escape(&line.lifter_name)),
            ("lift", line.case.lift.map_or("set", Lift::name)),
            ("waits", &waiting(item.since, now)),
            ("promised", &promised),
            ("taken", &taken),
            ("why", &whys.join("; ")),
        ],
    )
}

/// An urgency in words.
const fn urgency(urgency: Urgency) -> &'static str {
    match urgency {
        Urgency::Emergency => "**EMERGENCY WORDS**",
        Urgency::Clinician => "**stopped**",
        Urgency::Eye => "needs your eye",
        Urgency::Asked => "asked for you",
    }
}

/// A span of time in its largest sensible unit.
pub fn waiting(from: Timestamp, to: Timestamp) -> String {
    let minutes = to.duration_since(from).as_mins().max(0);
    match minutes {
        0..=1 => "a minute".to_owned(),
        2..=119 => format!("{minutes} minutes"),
        120..=2879 => format!("{} hours", minutes / 60),
        _ => format!("{} days", minutes / 1440),
    }
}

/// One case on one page; `desk` says whether the coaches have one in the browser.
pub fn case_card(
    words: &Words,
    catalog: &Catalog,
    file: &CaseFile,
    desk: bool,
    now: Timestamp,
) -> String {
    let case = &file.case;
    let name = file.lifter.as_ref().map_or_else(
        || case.person.person_id.clone(),
        |lifter| lifter.display_name.clone(),
    );
    let mut lines = vec![format!(
        "**Case {}** · {} · {} · {} · opened {} ago",
        case.number,
        escape(&name),
        case.lift.map_or("set", Lift::name),
        case.state.word(),
        waiting(case.opened_at, now),
    )];
    if let Some(item) = &file.queue_item {
        let whys: Vec<String> = item
            .reasons
            .iter()
            .map(|reason| escape(&reason.why))
            .collect();
        lines.push(format!("**Waits because:** {}", whys.join("; ")));
    }
    if let Some(round) = case.body.rounds.last() {
        lines.push(format!("**Set:** {}", figures::set(&round.report)));
        if let Some((kg, low, high)) = round.estimate_kg {
            let unit = round
                .report
                .load
                .map_or(cueline_core::quantity::MassUnit::Kg, |load| load.unit);
            let shown = |kg: f64| Mass::new(Mass::from_kg(kg, unit).value.round(), unit).both();
            lines.push(format!(
                "**Best single about** {}, between {} and {}",
                shown(kg),
                shown(low),
                shown(high)
            ));
        }
        if let Some(book) = case.lift.and_then(|lift| catalog.lifts.get(&lift)) {
            lines.extend(view(book, round));
            lines.extend(verdict(words, book, file));
        }
    }
    lines.extend(progress(catalog, file));
    lines.extend(files(words, file, desk));
    lines.push("**What was said:**".to_owned());
    let skip = file.entries.len().saturating_sub(MOST_ENTRIES);
    lines.extend(file.entries.iter().skip(skip).map(entry));
    lines.join("\n")
}

/// The bot's ranked view with its evidence.
fn view(book: &LiftBook, round: &crate::record::Round) -> Vec<String> {
    let mut lines = Vec::new();
    let signs = |ids: &[String]| {
        ids.iter()
            .filter_map(|id| book.sign(id))
            .map(|sign| sign.meaning.clone())
            .collect::<Vec<_>>()
            .join("; ")
    };
    if !round.present.is_empty() {
        lines.push(format!("**Signs:** {}", signs(&round.present)));
    }
    if !round.absent.is_empty() {
        lines.push(format!("**Not there:** {}", signs(&round.absent)));
    }
    if !round.beliefs.is_empty() {
        let view = beliefs(book, &round.beliefs);
        lines.push(format!("**Bot's view:** {view}"));
    }
    lines
}

/// The three likeliest causes with their probabilities.
pub fn beliefs(book: &LiftBook, ranked: &[(String, f64)]) -> String {
    let told: Vec<String> = ranked
        .iter()
        .take(3)
        .filter_map(|(id, p)| Some(format!("{} ({:.0} %)", book.cause(id)?.meaning, p * 100.0)))
        .collect();
    told.join("; ")
}

/// Causes by name and id, numbered in their order.
pub fn cause_list(book: &LiftBook, causes: &[String]) -> String {
    let name = |id: &String| match book.cause(id) {
        Some(cause) => format!("{} (`{id}`)", cause.meaning),
        // Gone from the catalog since.
        None => format!("`{id}`"),
    };
    let told: Vec<String> = (1..)
        .zip(causes)
        .map(|(place, id)| format!("{place}. {}", name(id)))
        .collect();
    told.join("; ")
}

/// What a verdict says is behind the set.
pub fn verdict_causes(words: &Words, book: &LiftBook, causes: &[String]) -> String {
    if causes.is_empty() {
        words.say("coach.verdict_no_fault", &[])
    } else {
        cause_list(book, causes)
    }
}

/// The coach's verdict, with a word when it is not about the set shown.
fn verdict(words: &Words, book: &LiftBook, file: &CaseFile) -> Option<String> {
    let verdict = file.verdict.as_ref()?;
    let shown = file.case.body.rounds.last();
    let earlier = if shown.is_some_and(|round| round.event_id == verdict.event_id) {
        String::new()
    } else {
        words.say("coach.verdict_earlier", &[])
    };
    Some(words.say(
        "coach.verdict_shown",
        &[
            ("who", &escape(&verdict.by.person_id)),
            ("earlier", &earlier),
            (
                "causes",
                &verdict_causes(words, book, &verdict.judged.causes),
            ),
        ],
    ))
}

/// Corrections given so far and what they did.
fn progress(catalog: &Catalog, file: &CaseFile) -> Option<String> {
    let case = &file.case;
    let book = case.lift.and_then(|lift| catalog.lifts.get(&lift));
    let name = |id: &str| {
        let cause = book.and_then(|book| book.cause(id));
        // Gone from the catalog since.
        cause.map_or_else(|| format!("`{id}`"), |cause| cause.meaning.clone())
    };
    let given: Vec<String> = case
        .body
        .given
        .iter()
        .map(|given| format!("{} ({})", name(&given.cause), outcome(given.outcome)))
        .collect();
    (!given.is_empty()).then(|| format!("**Given so far:** {}", given.join(", ")))
}

/// What became of a correction, in words.
const fn outcome(outcome: Option<Verdict>) -> &'static str {
    match outcome {
        None => "running",
        Some(Verdict::Gone) => "gone",
        Some(Verdict::Better) => "better",
        Some(Verdict::Same) => "the same",
        Some(Verdict::Worse) => "worse",
        Some(Verdict::CannotTell) => "cannot tell",
    }
}

/// Pictures and traces kept with the case, which no chat shows: where to see them.
fn files(words: &Words, file: &CaseFile, desk: bool) -> Option<String> {
    if file.files.is_empty() {
        return None;
    }
    let pictures = file.files.iter().filter(|kept| kept.is_picture()).count();
    let traces = file.files.len() - pictures;
    let key = if desk {
        "coach.files_at_desk"
    } else {
        "coach.files_no_desk"
    };
    let values = [
        ("pictures", &*pictures.to_string()),
        ("traces", &*traces.to_string()),
    ];
    Some(words.say(key, &values))
}

/// One entry of the history.
fn entry(entry: &Entry) -> String {
    let who = match entry.kind {
        EntryKind::Lifter => "lifter",
        EntryKind::Reply => "Cueline",
        EntryKind::Coach => "coach",
        EntryKind::Reminder => "reminder",
        EntryKind::Change => "change",
    };
    let text: String = entry.text.chars().take(280).collect();
    // Our own texts carry markup we wrote; a lifter's words never may.
    let text = if entry.kind == EntryKind::Lifter {
        escape(&text)
    } else {
        text.replace("**", "")
    };
    format!("- {who}: {}", text.replace('\n', " / "))
}
