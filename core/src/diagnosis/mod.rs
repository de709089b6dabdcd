//! Belief network: evidence, posterior, earliest link, next question.
//!
//! [`diagnose`] goes this way: which causes are in play and how common they are here (`gates`),
//! what the findings say together (`evidence`), the noisy-OR network of both (`network`), the order
//! in which to sum it (`frontier`), the exact probability of every cause (`posterior`), which one
//! or two to work on (`choice`), why (`explain`), what means nothing here (`no_fault`), what to
//! ask next (`question`, by what each answer would change, `after`) and which one observation would turn it (`turning`).

mod after;
mod answers;
mod choice;
mod evidence;
mod explain;
mod foresee;
mod frontier;
mod gates;
mod joint;
mod network;
mod no_fault;
mod posterior;
mod question;
mod settings;
mod states;
#[cfg(test)]
mod tests;
mod turning;

pub use answers::{facts_with_answers, findings_from_answers, findings_from_ticks};
pub use joint::both_probable;

use crate::catalog::{Condition, ContextRule, LiftBook, Style};
use crate::report::SetReport;
pub(crate) use evidence::together;
use evidence::{Evidence, Gathered};
use foresee::Passes;
use frontier::Frontier;
use gates::{Facts, InPlay};
use network::Network;
use no_fault::Fine;
use posterior::{Posterior, Workspace};
use serde::{Deserialize, Serialize};
pub use settings::Settings;

/// How a finding was come by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// Read in the lifter's words.
    Words,
    /// Ticked on a form.
    Ticked,
    /// Measured on a trace.
    Measured,
    /// Answered to a question.
    Answered,
}

/// One thing known about one sign. A sign without a finding stays unknown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// Sign id.
    pub sign: String,
    /// Probability that the sign is there: 1 seen, 0 looked for and absent, between when soft.
    pub probability: f64,
    /// How it was come by.
    pub from: Origin,
}

/// How much one sign moved one belief.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Weight {
    /// Sign id.
    pub sign: String,
    /// Log-likelihood ratio: ln P(finding | cause) - ln P(finding | no cause), others as believed.
    pub weight: f64,
}

/// What is believed of one cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Belief {
    /// Cause id.
    pub cause: String,
    /// Posterior probability.
    pub probability: f64,
    /// Signs that raised it, strongest first.
    #[serde(rename = "for")]
    pub supports: Vec<Weight>,
    /// Signs that lowered it, strongest first.
    pub against: Vec<Weight>,
}

/// The next question and its choices.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NextQuestion {
    /// Question id.
    pub id: String,
    /// The question as asked.
    pub text: String,
    /// The choices' words.
    pub choices: Vec<String>,
}

/// The one observation that would change what is named first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TurningPoint {
    /// Sign id.
    pub sign: String,
    /// True when it would have to be there, false when it would have to be away.
    pub there: bool,
    /// Cause named first then; none when nothing would be named.
    pub first: Option<String>,
}

/// A reason for the coach to look.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Raised {
    /// Escalation id.
    pub id: String,
    /// Why, in words.
    pub why: String,
    /// What the coach needs to see, in the catalog's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub see: String,
}

/// The whole view of one set.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Diagnosis {
    /// Every cause in play, most probable first.
    pub beliefs: Vec<Belief>,
    /// Causes to work on, first thing to fix first; at most two.
    pub chosen: Vec<String>,
    /// The question whose answer would change the choice, if any.
    pub question: Option<NextQuestion>,
    /// The one observation that would change the first cause chosen, if there is one.
    pub turning_point: Option<TurningPoint>,
    /// Why the bot is not sure, in words; the coach gets it then.
    pub unsure: Option<String>,
    /// The first cause belongs to one style of the lift and nobody said which it was, so that the
    /// question comes before the answer.
    pub style_open: bool,
    /// No answer of the lifter could settle it: the reports contradict each other, the signs
    /// fit no fault of the catalog together, or the catalog does not apply.
    pub conflict: bool,
    /// Signs that mean nothing here (small asymmetry, style), with the kind words for it.
    pub no_fault: Vec<(String, String)>,
}

/// Diagnoses one set from what is known about its signs.
///
/// `findings` are all findings, whatever their origin and order; those of the report's answers and
/// ticked boxes come from [`findings_from_answers`] and [`findings_from_ticks`]. Facts settled by
/// the report's answers (`competes`, shoes) are taken from the report itself.
pub fn diagnose(
    book: &LiftBook,
    context: &[ContextRule],
    report: &SetReport,
    findings: &[Finding],
    settings: &Settings,
) -> Diagnosis {
    diagnose_as_told(book, context, report, findings, settings, Told::default())
}

/// What the lifter's words tell of the rules of context.
#[derive(Clone, Copy, Debug, Default)]
pub struct Told<'a> {
    /// Ids of the rules that they let hold.
    pub rules: &'a [String],
    /// The rule by which the post as a whole tells of no fault, and the chance that it does.
    pub fine: Option<(&'a str, f64)>,
}

/// [`diagnose`], with what the lifter's words tell of the rules of context.
pub fn diagnose_as_told(
    book: &LiftBook,
    context: &[ContextRule],
    report: &SetReport,
    findings: &[Finding],
    settings: &Settings,
    told: Told<'_>,
) -> Diagnosis {
    let mut case = Case::of(book, context, report, findings, settings, told);
    let view = case.view(Frontier::of);
    let unsure = view.unsure(&mut case.room);
    let beliefs = view.beliefs(&mut case.room);
    let mut passes = Passes::of(&view);
    let question = question::next(&mut case, &view, &mut passes);
    let strongest = view.strongest(&beliefs);
    let turning_point = turning::point(&mut case, &view, &strongest, &mut passes);
    Diagnosis {
        beliefs,
        chosen: view.named().iter().map(|id| (*id).to_owned()).collect(),
        question,
        turning_point,
        style_open: view.style_open(&case.facts),
        conflict: unsure.as_ref().is_some_and(|(_, conflict)| *conflict),
        unsure: unsure.map(|(why, _)| why),
        no_fault: view.verdict.words,
    }
}

/// The context rules with their conditions read once.
struct Conditions<'a> {
    rules: Vec<(&'a ContextRule, Vec<Condition>)>,
    /// Ids of the rules that the lifter's words let hold.
    told: &'a [String],
}

impl<'a> Conditions<'a> {
    /// Rules without conditions need a human eye and are left out, as are unreadable ones.
    fn of(context: &'a [ContextRule], told: &'a [String]) -> Self {
        let read = |rule: &'a ContextRule| {
            let conditions = rule.conditions.iter().map(|text| Condition::parse(text));
            let conditions: Vec<Condition> = conditions.collect::<Result<_, _>>().ok()?;
            let testable = !conditions.is_empty()
                || !rule.absent.is_empty()
                || !rule.said.is_empty()
                || rule.alone;
            testable.then_some((rule, conditions))
        };
        Self {
            rules: context.iter().filter_map(read).collect(),
            told,
        }
    }

    /// The rules that hold for these facts, in the order of the catalog.
    fn holding(&self, facts: &SetReport) -> Vec<&'a ContextRule> {
        let here = |rule: &ContextRule| rule.lift.is_none() || rule.lift == facts.lift;
        let told = |rule: &ContextRule| rule.said.is_empty() || self.told.contains(&rule.id);
        self.rules
            .iter()
            .filter(|(rule, conditions)| {
                let mut all = conditions.iter();
                here(rule)
                    && told(rule)
                    && all.all(|condition| condition.holds(facts) == Some(true))
            })
            .map(|(rule, _)| *rule)
            .collect()
    }
}

/// Everything a judgement starts from.
struct Case<'a> {
    book: &'a LiftBook,
    context: &'a [ContextRule],
    conditions: Conditions<'a>,
    /// The rules of `context` that hold for `facts`.
    rules: Vec<&'a ContextRule>,
    /// The rule by which the post as a whole tells of no fault.
    fine: Option<Fine<'a>>,
    facts: SetReport,
    findings: Vec<Finding>,
    settings: &'a Settings,
    room: Workspace,
}

/// One judgement of a case.
struct View<'a> {
    in_play: Vec<InPlay<'a>>,
    gathered: Gathered<'a>,
    network: Network,
    order: Frontier,
    posterior: Posterior,
    choice: choice::Choice,
    verdict: no_fault::Verdict,
}

impl<'a> Case<'a> {
    /// All that is known of one set.
    fn of(
        book: &'a LiftBook,
        context: &'a [ContextRule],
        report: &SetReport,
        findings: &[Finding],
        settings: &'a Settings,
        told: Told<'a>,
    ) -> Self {
        let facts = facts_with_answers(book, report);
        let conditions = Conditions::of(context, told.rules);
        let fine = told
            .fine
            .and_then(|fine| Fine::of(context, &facts, findings, fine, settings));
        Self {
            book,
            context,
            rules: conditions.holding(&facts),
            conditions,
            fine,
            facts,
            findings: findings.to_vec(),
            settings,
            room: Workspace::default(),
        }
    }

    /// Judges the case as it stands, summing in the order that `order_of` finds.
    fn view(&mut self, order_of: fn(&Network) -> Frontier) -> View<'a> {
        let (book, link) = (self.book, self.settings.link);
        self.judged(|in_play, evidence| {
            let network = Network::of(book, in_play, evidence, link);
            let order = order_of(&network);
            (network, order)
        })
    }

    /// Judges the case as it stands, with network and order of summing as `laid` gives them.
    fn judged(
        &mut self,
        mut laid: impl FnMut(&[InPlay<'a>], &[Evidence<'a>]) -> (Network, Frontier),
    ) -> View<'a> {
        let rules = &self.rules;
        let facts = Facts::of(&self.facts);
        let mut gathered = evidence::gather(self.book, rules, facts, &self.findings);
        let in_play = gates::in_play(self.book, rules, facts);
        let (network, order) = loop {
            let evidence = &gathered.evidence;
            let (network, order) = laid(&in_play, evidence);
            if order.width <= posterior::MOST_WIDTH || evidence.is_empty() {
                break (network, order);
            }
            let most = evidence.len() - 1;
            evidence::keep_most_telling(&mut gathered.evidence, most);
        };
        let posterior = posterior::posterior(&network, &order, &mut self.room);
        let verdict = no_fault::judge(self.book, self.context, &gathered, self.fine.as_ref());
        let choice = if verdict.nothing_else {
            choice::Choice::default()
        } else {
            let hardness = facts.hardness;
            choice::choose(
                &in_play,
                &network,
                &posterior,
                &gathered.seen(),
                hardness,
                self.settings,
            )
        };
        View {
            in_play,
            gathered,
            network,
            order,
            posterior,
            choice,
            verdict,
        }
    }
}

impl View<'_> {
    /// Ids of the causes chosen.
    fn named(&self) -> Vec<&str> {
        self.named_by(&self.choice)
    }

    /// Ids of the causes that a choice among those in play names.
    fn named_by(&self, choice: &choice::Choice) -> Vec<&str> {
        let id = |at: &usize| Some(&*self.in_play.get(*at)?.cause.id);
        choice.chosen.iter().filter_map(id).collect()
    }

    /// Why the bot is not sure, and whether no answer could settle it.
    fn unsure(&self, room: &mut Workspace) -> Option<(String, bool)> {
        if let Some(why) = &self.verdict.does_not_apply {
            return Some((why.clone(), true));
        }
        let gain = explain::gain_together(
            &self.network,
            &self.order,
            &self.posterior,
            &self.gathered,
            room,
        )
        .filter(|_| !self.explained());
        explain::unsure(
            &self.in_play,
            &self.posterior,
            &self.gathered,
            self.choice.flat,
            gain,
        )
    }

    /// True when what is named shows at least half of what is there.
    fn explained(&self) -> bool {
        let seen = self.gathered.seen().signs;
        let shown = |sign: &&&str| {
            self.choice.chosen.iter().any(|at| {
                let mut shows = self.in_play[*at].cause.shows.iter();
                shows.any(|(id, _)| id == **sign)
            })
        };
        2 * seen.iter().filter(shown).count() >= seen.len()
    }

    /// True when the first cause chosen belongs to one style of the lift, nobody said which style
    /// it was, and no sign of that style alone tells it.
    fn style_open(&self, facts: &SetReport) -> bool {
        let Some(first) = self.choice.chosen.first().map(|at| self.in_play[*at].cause) else {
            return false;
        };
        let tells = |sign: &str| {
            let shows = |c: &&InPlay<'_>| c.cause.shows.iter().any(|(id, _)| id == sign);
            let mut by = self.in_play.iter().filter(shows);
            by.all(|c| c.cause.style == first.style)
        };
        let other = first.style == Some(Style::Sumo);
        other
            && facts.variant.stance.is_none()
            && !self.gathered.seen().signs.iter().any(|s| tells(s))
    }

    /// Places of the causes that show something that is there.
    fn suspects(&self) -> Vec<usize> {
        let seen = self.gathered.seen();
        let suspect = |at: &usize| {
            let mut shows = self.in_play[*at].cause.shows.iter();
            shows.any(|(id, _)| seen.has(id))
        };
        (0..self.in_play.len()).filter(suspect).collect()
    }

    /// Signs that raised the first cause chosen, strongest first.
    fn strongest(&self, beliefs: &[Belief]) -> Vec<String> {
        let first = self.named().first().copied();
        let belief = beliefs
            .iter()
            .find(|belief| Some(belief.cause.as_str()) == first);
        belief
            .map(|belief| belief.supports.iter().map(|w| w.sign.clone()).collect())
            .unwrap_or_default()
    }

    /// Every cause in play with its evidence, most probable first.
    fn beliefs(&self, room: &mut Workspace) -> Vec<Belief> {
        let weights = explain::weights(&self.network, &self.order, &self.posterior, room);
        let mut order: Vec<usize> = (0..weights.len()).collect();
        order.sort_by(|&a, &b| {
            let probable = &self.posterior.causes;
            probable[b].total_cmp(&probable[a]).then(a.cmp(&b))
        });
        order
            .into_iter()
            .map(|at| {
                let (supports, against) = explain::told(&weights[at], &self.gathered);
                Belief {
                    cause: self.in_play[at].cause.id.clone(),
                    probability: self.posterior.causes[at],
                    supports,
                    against,
                }
            })
            .collect()
    }
}
