//! From the files of the catalog to the catalog, or to every fault in them at once.

use super::check::Check;
use super::document::{Block, Blocks, Document, Entry};
use super::words::Fnv;
use super::{
    AdviceRule, Catalog, CatalogFile, CatalogProblem, Cause, ContextRule, Correction, Escalation,
    FlagBook, Hazards, Learned, Lexicon, LiftBook, Manners, MeetRule, Question, Sign, SignWeights,
    SignWords, Summons, ViewRule, Weights,
};
use crate::motion::MotionLimits;
use crate::report::Lift;
use std::collections::BTreeMap;
use std::hash::Hasher as _;

/// The files of the catalog, in the order they are read; all of them have to be there, except
/// those of [`OPTIONAL_FILES`].
pub const FILES: [&str; 29] = [
    "squat-signs.toml",
    "squat-causes.toml",
    "squat-corrections.toml",
    "squat-questions.toml",
    "bench-signs.toml",
    "bench-causes.toml",
    "bench-corrections.toml",
    "bench-questions.toml",
    "deadlift-signs.toml",
    "deadlift-causes.toml",
    "deadlift-corrections.toml",
    "deadlift-questions.toml",
    "all-questions.toml",
    "context.toml",
    "escalations.toml",
    "filming.toml",
    "rules.toml",
    "flags.toml",
    "lexicon.toml",
    "body-words.toml",
    "weights.toml",
    "hazards.toml",
    "sign-words.toml",
    "sign-weights.toml",
    "post-weights.toml",
    "advice.toml",
    "motion.toml",
    "manners.toml",
    "wording.toml",
];

/// Files that are accepted but may be absent.
pub const OPTIONAL_FILES: [&str; 8] = [
    "rules.toml",
    "sign-words.toml",
    "sign-weights.toml",
    "post-weights.toml",
    "advice.toml",
    "motion.toml",
    "manners.toml",
    "wording.toml",
];

macro_rules! blocks {
    ($($type:ty, $name:literal, [$($key:literal),*];)*) => {
        $(impl Block for $type {
            const NAME: &'static str = $name;
            const REQUIRED: &'static [&'static str] = &[$($key),*];
        })*
    };
}

blocks! {
    Sign, "sign", ["id", "meaning", "plain", "stages", "by", "phrases"];
    Cause, "cause", ["id", "meaning", "plain", "stage", "prior", "kind", "shows"];
    Correction, "correction", ["cause", "do_not", "check"];
    Question, "question", ["id", "text"];
    ContextRule, "context", ["id", "when", "then"];
    Escalation, "escalation", ["id", "trigger", "reply", "coach_sees"];
    ViewRule, "view_rule", ["view", "shows"];
    MeetRule, "rule", ["id", "lift", "text"];
    AdviceRule, "advice", ["id", "why", "phrases"];
}

/// The four files of one lift.
#[derive(Default)]
pub(super) struct Shelf<'a> {
    pub(super) signs: Blocks<'a, Sign>,
    pub(super) causes: Blocks<'a, Cause>,
    pub(super) corrections: Blocks<'a, Correction>,
    pub(super) questions: Blocks<'a, Question>,
}

/// Every file read, nothing compared yet.
#[derive(Default)]
pub(super) struct Shelves<'a> {
    pub(super) lifts: BTreeMap<Lift, Shelf<'a>>,
    pub(super) questions: Blocks<'a, Question>,
    pub(super) context: Blocks<'a, ContextRule>,
    pub(super) escalations: Blocks<'a, Escalation>,
    filming: BTreeMap<Lift, String>,
    pub(super) view_rules: Blocks<'a, ViewRule>,
    pub(super) meet_rules: Blocks<'a, MeetRule>,
    meet_edition: String,
    pub(super) advice: Blocks<'a, AdviceRule>,
    flags: FlagBook,
    hazards: Hazards,
    lexicon: Lexicon,
    manners: Manners,
    sign_words: SignWords,
    sign_weights: SignWeights,
    weights: Weights,
    motion: Box<MotionLimits>,
}

impl Catalog {
    /// Reads and checks the catalog as a whole.
    ///
    /// Takes the text of every file of [`FILES`] in any order. Either the catalog is whole, or
    /// every fault in it comes back, each with its file and line, in the order of [`FILES`].
    pub fn parse(files: &[CatalogFile<'_>]) -> Result<Self, Vec<CatalogProblem>> {
        let mut problems = Vec::new();
        let mut shelves = Shelves::default();
        check_names(files, &mut problems);
        for file in files {
            shelves.read(file, &mut problems);
        }
        let named = |name: &str| files.iter().find(|file| file.name == name).copied();
        if let Some((lexicon, body)) = named("lexicon.toml").zip(named("body-words.toml")) {
            let read = Lexicon::parse(lexicon, body);
            keep(&mut shelves.lexicon, read, &mut problems);
        }
        if let Some(posts) = named("post-weights.toml")
            && let Err(found) = shelves.sign_weights.add_posts(posts)
        {
            problems.extend(found);
        }
        Check::new(&shelves, &mut problems).all();
        let mut catalog = shelves.into_catalog();
        // With a broken book of signs this would only repeat what is reported already.
        if problems.is_empty() {
            problems.extend(strangers(&mut catalog, files));
        }
        if problems.is_empty() {
            catalog.edition = edition(files);
            crate::reading::prepare(&catalog);
            Ok(catalog)
        } else {
            problems.sort_by_key(|problem| (place(&problem.file), problem.line));
            problems.dedup();
            Err(problems)
        }
    }
}

/// Names in the tables of words and weights that nothing of the catalog has.
fn strangers(catalog: &mut Catalog, files: &[CatalogFile<'_>]) -> Vec<CatalogProblem> {
    let mut problems = Vec::new();
    for file in files {
        problems.extend(match file.name {
            "sign-words.toml" => catalog.sign_words.strangers(&catalog.lifts, file),
            "sign-weights.toml" => catalog.sign_weights.strangers(&catalog.lifts, file),
            "post-weights.toml" => {
                let posts = &catalog.sign_weights.posts;
                posts.strangers(&catalog.context, file)
            }
            "weights.toml" => strange_groups(catalog, file),
            _ => Vec::new(),
        });
    }
    problems
}

/// Groups that have weights and are none of the lexicon's.
fn strange_groups(catalog: &mut Catalog, file: &CatalogFile<'_>) -> Vec<CatalogProblem> {
    let strangers = catalog.weights.find_groups(&catalog.lexicon);
    let problem = |group: String| CatalogProblem {
        file: file.name.to_owned(),
        line: file
            .text
            .lines()
            .position(|line| line.contains(&group))
            .map_or(1, |at| at + 1),
        what: format!("{group} has a weight and is no group of lexicon.toml"),
        accepted: "a group of lexicon.toml, or making the weights anew".to_owned(),
    };
    strangers.into_iter().map(problem).collect()
}

/// The file's place in [`FILES`]; unknown files come last.
fn place(name: &str) -> usize {
    FILES
        .iter()
        .position(|file| *file == name)
        .unwrap_or(FILES.len())
}

/// One mark for all texts, whatever order they are given in.
fn edition(files: &[CatalogFile<'_>]) -> String {
    let mut hasher = Fnv::default();
    for file in FILES
        .iter()
        .filter_map(|name| files.iter().find(|file| file.name == *name))
    {
        for text in [file.name, file.text] {
            hasher.write(text.as_bytes());
            // No text holds this byte, so that none runs into the next.
            hasher.write_u8(0xff);
        }
    }
    format!("{:016x}", hasher.finish())
}

/// Refuses unknown, repeated and missing files.
fn check_names(files: &[CatalogFile<'_>], problems: &mut Vec<CatalogProblem>) {
    let mut problem = |file: &str, what: &str, accepted: String| {
        problems.push(CatalogProblem {
            file: file.to_owned(),
            line: 1,
            what: what.to_owned(),
            accepted,
        });
    };
    for (index, file) in files.iter().enumerate() {
        if !FILES.contains(&file.name) {
            problem(
                file.name,
                "not a file of the catalog",
                format!("one of {}", FILES.join(", ")),
            );
        }
        if files
            .iter()
            .take(index)
            .any(|other| other.name == file.name)
        {
            problem(file.name, "given twice", "each file once".to_owned());
        }
    }
    for name in FILES {
        if !OPTIONAL_FILES.contains(&name) && !files.iter().any(|file| file.name == name) {
            problem(
                name,
                "the file is missing",
                "all files of the catalog, even if one has only comments".to_owned(),
            );
        }
    }
}

impl<'a> Shelves<'a> {
    /// Reads one file to its place.
    fn read(&mut self, file: &CatalogFile<'a>, problems: &mut Vec<CatalogProblem>) {
        match file.name {
            "all-questions.toml" => {
                self.questions = Document::open(file, problems).blocks(problems);
            }
            "advice.toml" => self.advice = Document::open(file, problems).blocks(problems),
            "context.toml" => self.context = Document::open(file, problems).blocks(problems),
            "escalations.toml" => {
                self.escalations = Document::open(file, problems).blocks(problems);
            }
            "filming.toml" => self.read_filming(file, problems),
            "rules.toml" => self.read_rules(file, problems),
            "flags.toml" => keep(&mut self.flags, FlagBook::parse(*file), problems),
            "motion.toml" => keep(
                &mut self.motion,
                MotionLimits::parse(*file).map(Box::new),
                problems,
            ),
            "hazards.toml" => keep(&mut self.hazards, Hazards::parse(*file), problems),
            // Read when all are there: lexicon and body words may hold groups of each other, and
            // posts go with the words of the weights of signs.
            "lexicon.toml" | "body-words.toml" | "post-weights.toml" => {}
            "manners.toml" => keep(&mut self.manners, Manners::parse(*file), problems),
            "weights.toml" => keep(&mut self.weights, Weights::parse(*file), problems),
            "sign-weights.toml" => {
                keep(&mut self.sign_weights, SignWeights::parse(*file), problems);
            }
            "sign-words.toml" => keep(&mut self.sign_words, SignWords::parse(*file), problems),
            // The texts of replies belong to the service, which checks them against its own.
            name if OPTIONAL_FILES.contains(&name) => {
                let _ = Document::open(file, problems);
            }
            name => {
                let found = Lift::ALL.into_iter().find_map(|lift| {
                    let rest = name.strip_prefix(lift.word())?.strip_prefix('-')?;
                    Some((lift, rest))
                });
                if let Some((lift, rest)) = found {
                    let shelf = self.lifts.entry(lift).or_default();
                    shelf.read(rest, file, problems);
                }
            }
        }
    }

    fn read_filming(&mut self, file: &CatalogFile<'a>, problems: &mut Vec<CatalogProblem>) {
        let mut document = Document::open(file, problems);
        for lift in Lift::ALL {
            if let Some(text) = document.take_text(lift.word(), problems) {
                self.filming.insert(lift, text);
            }
        }
        self.view_rules = document.take_blocks(problems);
        document.refuse_rest(&["squat, bench, deadlift, [[view_rule]]"], problems);
    }

    fn read_rules(&mut self, file: &CatalogFile<'a>, problems: &mut Vec<CatalogProblem>) {
        let mut document = Document::open(file, problems);
        if let Some(text) = document.take_text("edition", problems) {
            self.meet_edition = text;
        }
        self.meet_rules = document.take_blocks(problems);
        document.refuse_rest(&["edition, [[rule]]"], problems);
    }

    fn into_catalog(self) -> Catalog {
        let shared = values(self.questions);
        let mut filming = self.filming;
        let lifts = self
            .lifts
            .into_iter()
            .map(|(lift, shelf)| {
                let mut causes = values(shelf.causes);
                causes.sort_by_key(|cause| cause.link.unwrap_or(u32::MAX));
                let mut questions = values(shelf.questions);
                questions.extend(shared.iter().cloned());
                let book = LiftBook {
                    signs: values(shelf.signs),
                    causes,
                    corrections: values(shelf.corrections),
                    questions,
                    filming: filming.remove(&lift).unwrap_or_default(),
                    learned: Learned::default(),
                };
                (lift, book)
            })
            .collect();
        let escalations = values(self.escalations);
        let context = values(self.context);

        Catalog {
            lifts,
            // What cannot be read is a problem told by the check.
            summons: Summons::of(
                escalations
                    .iter()
                    .map(|e: &Escalation| (e.id.as_str(), e.words.as_slice())),
                |_, _, _| {},
            ),
            rules_said: Summons::of(
                context
                    .iter()
                    .map(|rule: &ContextRule| (rule.id.as_str(), rule.said.as_slice())),
                |_, _, _| {},
            ),
            context,
            escalations,
            view_rules: values(self.view_rules),
            meet_rules: values(self.meet_rules),
            meet_edition: self.meet_edition,
            advice: values(self.advice),
            flags: self.flags,
            hazards: self.hazards,
            lexicon: self.lexicon,
            manners: self.manners,
            sign_words: self.sign_words,
            sign_weights: self.sign_weights,
            weights: self.weights,
            motion: self.motion,
            ..Catalog::default()
        }
    }
}

impl<'a> Shelf<'a> {
    fn read(&mut self, rest: &str, file: &CatalogFile<'a>, problems: &mut Vec<CatalogProblem>) {
        match rest {
            "signs.toml" => self.signs = Document::open(file, problems).blocks(problems),
            "causes.toml" => self.causes = Document::open(file, problems).blocks(problems),
            "corrections.toml" => {
                self.corrections = Document::open(file, problems).blocks(problems);
            }
            "questions.toml" => self.questions = Document::open(file, problems).blocks(problems),
            _ => {}
        }
    }
}

/// Keeps a book that could be read, or its problems.
fn keep<T>(
    place: &mut T,
    read: Result<T, Vec<CatalogProblem>>,
    problems: &mut Vec<CatalogProblem>,
) {
    match read {
        Ok(book) => *place = book,
        Err(more) => problems.extend(more),
    }
}

/// The blocks without their lines.
fn values<T>(blocks: Blocks<'_, T>) -> Vec<T> {
    blocks
        .entries
        .into_iter()
        .map(|Entry { value, .. }| value)
        .collect()
}
