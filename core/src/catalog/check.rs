//! The catalog as a whole: every reference resolves, nothing is orphaned, every figure is in range.

use super::condition::Condition;
use super::document::{Blocks, Entry};
use super::nearest::nearest;
use super::parse::{Shelf, Shelves};
use super::{CatalogProblem, Choice, ContextRule, Question, Summons, chain, summons};
use crate::quantity::Span;
use crate::report::Lift;
use std::collections::{BTreeMap, BTreeSet};

/// Where ids of one kind are known.
pub(super) struct Known<'a> {
    ids: BTreeSet<&'a str>,
    whole: bool,
    file: String,
}

impl<'a> Known<'a> {
    /// The ids of one file, named in messages as `file`.
    pub(super) fn new<T>(blocks: &'a Blocks<'_, T>, file: impl Into<String>) -> Self {
        Self {
            ids: blocks.ids.iter().map(String::as_str).collect(),
            whole: blocks.whole,
            file: file.into(),
        }
    }

    fn join(mut self, other: &Known<'a>) -> Self {
        self.ids.extend(&other.ids);
        self.whole &= other.whole;
        self
    }

    /// Refuses an id nobody knows, naming the nearest; silent when its file was lost.
    pub(super) fn refuse<T>(
        &self,
        kind: &str,
        id: &str,
        entry: &Entry<'_, T>,
        problems: &mut Vec<CatalogProblem>,
    ) {
        if self.ids.contains(id) || !self.whole {
            return;
        }
        let near = nearest(id, self.ids.iter().copied())
            .map_or_else(String::new, |near| format!("; nearest is `{near}`"));
        problems.push(entry.problem(
            id,
            format!("unknown {kind} `{id}`"),
            format!("an id of {}{near}", self.file),
        ));
    }
}

/// The check of everything that was read.
pub(super) struct Check<'s, 'a, 'p> {
    pub(super) shelves: &'s Shelves<'a>,
    pub(super) problems: &'p mut Vec<CatalogProblem>,
}

impl<'s, 'a, 'p> Check<'s, 'a, 'p> {
    pub(super) fn new(shelves: &'s Shelves<'a>, problems: &'p mut Vec<CatalogProblem>) -> Self {
        Self { shelves, problems }
    }

    /// Checks every lift, then what all lifts share.
    pub(super) fn all(&mut self) {
        for (lift, shelf) in &self.shelves.lifts {
            self.signs(*lift, shelf);
            chain::check(*lift, shelf, self.problems);
            for cause in &shelf.causes.entries {
                self.fragments(cause, &[("plain", &cause.value.plain)]);
            }
            self.corrections(*lift, shelf);
            let signs = Known::new(
                &shelf.signs,
                format!("{lift}-signs.toml", lift = lift.word()),
            );
            self.questions(&format!("q-{}-", lift.prefix()), &shelf.questions, &signs);
        }
        let signs = self.all_signs();
        let questions = &self.shelves.questions;
        self.questions("q-all-", questions, &signs);
        self.context(&signs);
        self.escalations();
        self.meet_rules(&signs);
        self.advice();
        for rule in &self.shelves.view_rules.entries {
            self.words(
                rule,
                &[("view", &rule.value.view), ("shows", &rule.value.shows)],
            );
        }
    }

    /// Every sign of every lift; whole only when all three books are.
    fn all_signs(&self) -> Known<'s> {
        self.known_of_all(|shelf, lift| {
            Known::new(&shelf.signs, format!("{}-signs.toml", lift.word()))
        })
    }

    fn known_of_all(&self, one: impl Fn(&'s Shelf<'a>, Lift) -> Known<'s>) -> Known<'s> {
        let none = Known {
            ids: BTreeSet::new(),
            whole: self.shelves.lifts.len() == Lift::ALL.len(),
            file: "the three lifts' files".into(),
        };
        self.shelves
            .lifts
            .iter()
            .fold(none, |all, (lift, shelf)| all.join(&one(shelf, *lift)))
    }

    fn signs(&mut self, lift: Lift, shelf: &Shelf<'_>) {
        let prefix = format!("{}-", lift.prefix());
        self.ids(&shelf.signs, &prefix, |sign| &sign.id);
        let mut phrases: BTreeMap<String, &str> = BTreeMap::new();
        for entry in &shelf.signs.entries {
            let sign = &entry.value;
            self.words(entry, &[("meaning", &sign.meaning), ("plain", &sign.plain)]);
            self.fragments(entry, &[("plain", &sign.plain)]);
            if sign.stages.is_empty() || sign.by.is_empty() {
                self.say(
                    entry,
                    "stages =",
                    "no stage, or nobody to notice it",
                    "at least one of each",
                );
            }
            if !(sign.leak > 0.0 && sign.leak < 1.0) {
                self.say(
                    entry,
                    "leak =",
                    format!("leak {}", sign.leak),
                    "above 0 and below 1",
                );
            }
            for phrase in &sign.phrases {
                if let Some(other) = phrases.insert(phrase.trim().to_lowercase(), &sign.id) {
                    let what = format!("the phrase \"{phrase}\" also stands under `{other}`");
                    self.say(entry, phrase, what, "each phrase once in a lift");
                }
            }
            self.orphan_sign(entry, shelf);
        }
    }

    /// A sign no cause shows helps nobody, unless it is a pain, a rule or a matter of context.
    fn orphan_sign(&mut self, entry: &Entry<'_, super::Sign>, shelf: &Shelf<'_>) {
        let sign = &entry.value;
        let shown = |id: &str| {
            let mut shows = shelf.causes.entries.iter().flat_map(|c| &c.value.shows);
            shows.any(|(sign, _)| sign == id)
        };
        let in_context = |id: &String| {
            let mut rules = self.shelves.context.entries.iter();
            rules.any(|rule| rule.value.signs.contains(id))
        };
        let allowed = sign.pain || sign.rule_only || in_context(&sign.id);
        if shelf.causes.whole && !allowed && !shown(&sign.id) {
            let what = format!("no cause shows `{}`", sign.id);
            let accepted =
                "a sign that a cause shows, or one with pain or rule_only, or one of context.toml";
            self.say(entry, &sign.id, what, accepted);
        }
    }

    fn questions(&mut self, prefix: &str, blocks: &Blocks<'_, Question>, signs: &Known<'_>) {
        self.ids(blocks, prefix, |question| &question.id);
        for entry in &blocks.entries {
            let question = &entry.value;
            self.words(entry, &[("text", &question.text)]);
            let count = question.choices.len();
            if question.free && count > 0 || !question.free && !(2..=5).contains(&count) {
                let what = format!("`{}` has {count} choices", question.id);
                let accepted = "two to five choices, or none with free = true";
                self.say(entry, &question.id, what, accepted);
            }
            let burden = Some(Span::exactly(question.burden));
            self.within(entry, "burden", burden, 1.0, 3.0);
            for condition in &question.when {
                if let Err(error) = Condition::parse(condition) {
                    let what = format!("`{condition}`: found {}", error.found);
                    self.say(entry, condition, what, &error.accepted);
                }
            }
            let mut said = BTreeSet::new();
            for choice in &question.choices {
                if choice.say.trim().is_empty() || !said.insert(choice.say.to_lowercase()) {
                    let what = format!("the choice \"{}\" is empty or stands twice", choice.say);
                    self.say(entry, &choice.say, what, "each choice once, in words");
                }
                self.choice(entry, choice, signs);
            }
        }
    }

    fn choice(&mut self, entry: &Entry<'_, Question>, choice: &Choice, signs: &Known<'_>) {
        for sign in choice.present.iter().chain(&choice.absent) {
            signs.refuse("sign", sign, entry, self.problems);
        }
        if let Some(both) = choice
            .present
            .iter()
            .find(|sign| choice.absent.contains(sign))
        {
            let what = format!("\"{}\" says `{both}` is there and is not", choice.say);
            self.say(entry, both, what, "present or absent, not both");
        }
        for fact in &choice.context {
            match Condition::parse(fact) {
                Ok(condition) if condition.is_fact() => {}
                Ok(_) => self.say(entry, fact, format!("found `{fact}`"), "a fact with ="),
                Err(error) => {
                    let what = format!("found {}", error.found);
                    self.say(entry, fact, what, error.accepted);
                }
            }
        }
        if let Some(id) = &choice.escalation {
            let known = Known::new(&self.shelves.escalations, "escalations.toml");
            known.refuse("escalation", id, entry, self.problems);
        }
    }

    fn context(&mut self, all_signs: &Known<'_>) {
        let all_causes = self.known_of_all(|shelf, lift| {
            Known::new(&shelf.causes, format!("{}-causes.toml", lift.word()))
        });
        let blocks = &self.shelves.context;
        self.ids(blocks, "ctx-", |rule| &rule.id);
        for entry in &blocks.entries {
            let rule = &entry.value;
            self.words(entry, &[("when", &rule.when), ("then", &rule.then)]);
            for sign in &rule.signs {
                all_signs.refuse("sign", sign, entry, self.problems);
            }
            for cause in &rule.causes {
                all_causes.refuse("cause", cause, entry, self.problems);
            }
            self.other_lift(entry);
            for text in &rule.conditions {
                if let Err(error) = Condition::parse(text) {
                    let what = format!("found {}", error.found);
                    self.say(entry, text, what, error.accepted);
                }
            }
            let weight = Some(Span::exactly(rule.sign_weight));
            self.within(entry, "sign_weight", weight, 0.0, 1.0);
            let steps = Some(Span::exactly(f64::from(rule.prior_steps)));
            self.within(entry, "prior_steps", steps, -3.0, 3.0);
        }
    }

    /// A rule of one lift that names a sign or cause of another never works.
    fn other_lift(&mut self, entry: &Entry<'_, ContextRule>) {
        let rule = &entry.value;
        let Some(lift) = rule.lift else { return };
        let prefix = lift.prefix();
        let wrong_sign = rule.signs.iter().filter(|id| !id.starts_with(prefix));
        let cause = format!("c-{prefix}-");
        let wrong_cause = rule.causes.iter().filter(|id| !id.starts_with(&cause));
        for id in wrong_sign.chain(wrong_cause) {
            let what = format!("`{id}` is not of the {lift}");
            self.say(entry, id, what, format!("ids of the {lift}, or no lift"));
        }
    }

    fn meet_rules(&mut self, all_signs: &Known<'_>) {
        let blocks = &self.shelves.meet_rules;
        self.ids(blocks, "rule-", |rule| &rule.id);
        for entry in &blocks.entries {
            let rule = &entry.value;
            self.words(entry, &[("text", &rule.text)]);
            self.fragments(entry, &[("text", &rule.text)]);
            for sign in &rule.signs {
                all_signs.refuse("sign", sign, entry, self.problems);
                if !sign.starts_with(rule.lift.prefix()) {
                    let what = format!("`{sign}` is not of the {}", rule.lift);
                    self.say(entry, sign, what, format!("signs of the {}", rule.lift));
                }
            }
            for text in rule.facts.iter().chain(&rule.not_when) {
                if let Err(error) = Condition::parse(text) {
                    let what = format!("found {}", error.found);
                    self.say(entry, text, what, error.accepted);
                }
            }
        }
    }

    fn escalations(&mut self) {
        let blocks = &self.shelves.escalations;
        self.ids(blocks, "esc-", |rule| &rule.id);
        for entry in &blocks.entries {
            let rule = &entry.value;
            let texts = [
                ("trigger", &rule.trigger),
                ("reply", &rule.reply),
                ("coach_sees", &rule.coach_sees),
            ];
            self.words(entry, &texts);
        }
        let read = blocks.entries.iter().map(|entry| &entry.value);
        let read = read.map(|rule| (rule.id.as_str(), rule.words.as_slice()));
        Summons::of(read, |id, text, what| {
            let entry = blocks.entries.iter().find(|entry| entry.value.id == id);
            let line = entry.map_or(1, |entry| entry.line_of(text));
            let problem = summons::problem("escalations.toml", line, text, &what);
            self.problems.push(problem);
        });
        let blocks = &self.shelves.context;
        let read = blocks.entries.iter().map(|entry| &entry.value);
        let read = read.map(|rule| (rule.id.as_str(), rule.said.as_slice()));
        Summons::of(read, |id, text, what| {
            let entry = blocks.entries.iter().find(|entry| entry.value.id == id);
            let line = entry.map_or(1, |entry| entry.line_of(text));
            let problem = summons::problem("context.toml", line, text, &what);
            self.problems.push(problem);
        });
    }

    /// Ids that start wrongly or stand twice.
    fn ids<T>(&mut self, blocks: &Blocks<'_, T>, prefix: &str, id_of: fn(&T) -> &String) {
        unique_ids(blocks, prefix, id_of, self.problems);
    }

    /// Texts that must not be empty.
    pub(super) fn words<T>(&mut self, entry: &Entry<'_, T>, texts: &[(&str, &String)]) {
        for (key, text) in texts {
            if text.trim().is_empty() {
                self.say(
                    entry,
                    &format!("{key} ="),
                    format!("`{key}` is empty"),
                    "words",
                );
            }
        }
    }

    /// Texts that stand inside a sentence of the reply: no full stop, and no words said twice.
    pub(super) fn fragments<T>(&mut self, entry: &Entry<'_, T>, texts: &[(&str, &String)]) {
        for (key, text) in texts {
            if text.ends_with('.') || text.to_lowercase().starts_with("do not ") {
                let what = format!("`{key}` is a whole sentence");
                let accepted = "part of a sentence: no full stop, no \"Do not\" in front";
                self.say(entry, &format!("{key} ="), what, accepted);
            }
        }
    }

    pub(super) fn within<T>(
        &mut self,
        entry: &Entry<'_, T>,
        name: &str,
        span: Option<Span>,
        low: f64,
        high: f64,
    ) {
        self.within_at(entry, &format!("{name} ="), name, span, (low, high));
    }

    pub(super) fn within_at<T>(
        &mut self,
        entry: &Entry<'_, T>,
        mark: &str,
        name: &str,
        span: Option<Span>,
        (low, high): (f64, f64),
    ) {
        let Some(span) = span else { return };
        let bad = [span.low, span.high]
            .into_iter()
            .find(|v| !(low..=high).contains(v));
        if let Some(found) = bad {
            let what = format!("{name}: found {found}");
            self.say(entry, mark, what, format!("{low} to {high}"));
        }
    }

    pub(super) fn say<T>(
        &mut self,
        entry: &Entry<'_, T>,
        mark: &str,
        what: impl Into<String>,
        accepted: impl Into<String>,
    ) {
        self.problems.push(entry.problem(mark, what, accepted));
    }
}

/// Refuses ids that do not start with `prefix` or stand twice in the file.
pub(super) fn unique_ids<T>(
    blocks: &Blocks<'_, T>,
    prefix: &str,
    id_of: fn(&T) -> &String,
    problems: &mut Vec<CatalogProblem>,
) {
    let mut seen = BTreeMap::new();
    for entry in &blocks.entries {
        let id = id_of(&entry.value);
        if id.strip_prefix(prefix).is_none_or(str::is_empty) {
            let accepted = format!("an id that starts with `{prefix}`");
            problems.push(entry.problem(id, format!("id `{id}`"), accepted));
        }
        if let Some(line) = seen.insert(id, entry.line) {
            let what = format!("`{id}` already stands on line {line}");
            problems.push(entry.problem(id, what, "each id once"));
        }
    }
}
