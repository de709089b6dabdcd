//! What would be named after an answer: foreseen from the sum at hand where that serves, else judged
//! anew.
//!
//! Answers that leave the same facts, rules and findings are judged once. A network that differs
//! from one judged before only in how common its causes and how likely its findings are is summed in
//! the same order.

use super::answers::{findings_of, record};
use super::foresee::{Passes, foresee};
use super::frontier::Frontier;
use super::gates::{self, Facts, InPlay};
use super::network::Network;
use super::posterior::Posterior;
use super::{Case, Finding, View, choice, evidence, no_fault};
use crate::catalog::{Choice, ContextRule, Question};
use crate::report::SetReport;

/// What matters of the view that an answer would give.
#[derive(Clone)]
pub(super) struct Then {
    pub(super) named: Vec<String>,
    /// Value of the plan that names these.
    pub(super) value: f64,
    /// Value of the plan of now, if the answer were this.
    pub(super) value_of_now: f64,
    pub(super) entropy: f64,
    pub(super) log_evidence: f64,
    /// The set would be outside this catalog.
    pub(super) outside: bool,
}

impl Then {
    fn of(
        now: &View<'_>,
        view: &View<'_>,
        found: &Posterior,
        choice: &choice::Choice,
        outside: bool,
    ) -> Self {
        let named: Vec<&str> = view.named_by(choice);
        Self {
            value: value(&view.in_play, found, &named),
            value_of_now: value(&view.in_play, found, &now.named()),
            entropy: found.entropy(),
            log_evidence: found.log_evidence,
            outside,
            named: named.into_iter().map(str::to_owned).collect(),
        }
    }
}

/// What was judged anew so far, and what serves again.
#[derive(Default)]
pub(super) struct Anew {
    judged: Vec<(Ground, Vec<Finding>, Then)>,
    /// Whether nothing is settled on this ground.
    nothing: Vec<(Ground, bool)>,
    orders: Vec<(Network, Frontier)>,
}

/// The facts that decide what is in play, and the rules that hold, each known by where it lies.
type Ground = (Facts, Vec<usize>);

fn ground(facts: Facts, rules: &[&ContextRule]) -> Ground {
    let places = rules.iter().map(|rule| std::ptr::from_ref(*rule).addr());
    (facts, places.collect())
}

/// The facts of the case with a choice as the answer, and the rules that hold then.
struct Settled<'a> {
    report: SetReport,
    facts: Facts,
    rules: Vec<&'a ContextRule>,
}

impl<'a> Settled<'a> {
    /// Nothing where the choice settles no fact.
    fn by(case: &Case<'a>, question: &Question, choice: &Choice) -> Option<Self> {
        if choice.context.is_empty() {
            return None;
        }
        let mut report: SetReport = case.facts.clone();
        report
            .answers
            .insert(question.id.clone(), choice.say.clone());
        record(choice, &mut report);
        Some(Self {
            facts: Facts::of(&report),
            rules: case.conditions.holding(&report),
            report,
        })
    }

    /// True when these facts change no prior and no weight of what is known here.
    fn nothing(&self, case: &Case<'_>, now: &View<'_>) -> bool {
        let before = Facts::of(&case.facts);
        let outside = |rules: &[&ContextRule]| {
            let mut all = rules.iter();
            all.any(|rule| rule.signs.is_empty() && rule.sign_weight <= 0.0)
        };
        if self.facts.hardness != before.hardness || outside(&self.rules) != outside(&case.rules) {
            return false;
        }
        let in_play = gates::in_play(case.book, &self.rules, self.facts);
        let prior = |(a, b): (&InPlay<'_>, &InPlay<'_>)| (a.prior - b.prior).abs() <= 0.0;
        if !same_causes(&in_play, &now.in_play) || !in_play.iter().zip(&now.in_play).all(prior) {
            return false;
        }
        let gathered = evidence::gather(case.book, &self.rules, self.facts, &case.findings);
        gathered.evidence == now.gathered.evidence
            && no_fault::judge(case.book, case.context, &gathered, case.fine.as_ref())
                == now.verdict
    }
}

/// True when the same causes are in play.
fn same_causes(one: &[InPlay<'_>], other: &[InPlay<'_>]) -> bool {
    let same = |(a, b): (&InPlay<'_>, &InPlay<'_>)| std::ptr::eq(a.cause, b.cause);
    one.len() == other.len() && one.iter().zip(other).all(same)
}

/// What would be named if this choice were the answer; nothing when it says nothing.
pub(super) fn answered(
    case: &mut Case<'_>,
    now: &View<'_>,
    question: &Question,
    choice: &Choice,
    passes: &mut Passes,
) -> Option<Then> {
    if choice.present.is_empty() && choice.absent.is_empty() && choice.context.is_empty() {
        return None;
    }
    let findings: Vec<Finding> = findings_of(choice).collect();
    let settled = Settled::by(case, question, choice);
    let nothing = |settled: &Settled<'_>| passes.anew.nothing(case, now, settled);
    if settled.as_ref().is_none_or(nothing) {
        if findings.is_empty() {
            return None;
        }
        if let Some(found) = foresee(case, now, &findings, passes) {
            let outside = found.verdict.does_not_apply.is_some();
            return Some(Then::of(now, now, &found.posterior, &found.choice, outside));
        }
    }
    Some(passes.anew.judged(case, now, settled, findings))
}

impl Anew {
    /// True when nothing is settled by these facts.
    fn nothing(&mut self, case: &Case<'_>, now: &View<'_>, settled: &Settled<'_>) -> bool {
        let ground = ground(settled.facts, &settled.rules);
        if let Some((_, known)) = self.nothing.iter().find(|(other, _)| *other == ground) {
            return *known;
        }
        let nothing = settled.nothing(case, now);
        self.nothing.push((ground, nothing));
        nothing
    }

    /// The whole case judged with this as the answer.
    fn judged<'a>(
        &mut self,
        case: &mut Case<'a>,
        now: &View<'_>,
        settled: Option<Settled<'a>>,
        findings: Vec<Finding>,
    ) -> Then {
        let ground = match &settled {
            Some(settled) => ground(settled.facts, &settled.rules),
            None => ground(Facts::of(&case.facts), &case.rules),
        };
        let mut judged = self.judged.iter();
        if let Some((.., then)) = judged.find(|(on, by, _)| *on == ground && *by == findings) {
            return then.clone();
        }
        let before = case.findings.len();
        case.findings.extend(findings.iter().cloned());
        let otherwise = settled.map(|settled| {
            (
                std::mem::replace(&mut case.facts, settled.report),
                std::mem::replace(&mut case.rules, settled.rules),
            )
        });
        let view = self.view(case, now);
        case.findings.truncate(before);
        if let Some((facts, rules)) = otherwise {
            case.facts = facts;
            case.rules = rules;
        }
        let outside = view.verdict.does_not_apply.is_some();
        let then = Then::of(now, &view, &view.posterior, &view.choice, outside);
        self.judged.push((ground, findings, then.clone()));
        then
    }

    /// Judges the case as it stands, with what serves again of what was judged before.
    fn view<'a>(&mut self, case: &mut Case<'a>, now: &View<'_>) -> View<'a> {
        if self.orders.is_empty() && now.order.is_quick() {
            self.orders.push((now.network.clone(), now.order.clone()));
        }
        let (book, link) = (case.book, case.settings.link);
        case.judged(|in_play, evidence| {
            let network = if same_causes(in_play, &now.in_play) {
                let known = &now.gathered.evidence;
                Network::beside(book, in_play, evidence, (known, &now.network))
            } else {
                Network::of(book, in_play, evidence, link)
            };
            let order = self.order(&network);
            (network, order)
        })
    }

    /// The order that [`Frontier::quick`] finds.
    fn order(&mut self, network: &Network) -> Frontier {
        let mut known = self.orders.iter();
        if let Some((_, order)) = known.find(|(other, _)| other.alike(network)) {
            return order.with_priors(&network.priors);
        }
        let order = Frontier::quick(network);
        self.orders.push((network.clone(), order.clone()));
        order
    }
}

/// The chance that the first change meets a cause that is there, and half that of the second.
fn value(in_play: &[InPlay<'_>], found: &Posterior, named: &[&str]) -> f64 {
    let chance = |id: &str| {
        let at = in_play.iter().position(|c| c.cause.id == id);
        at.and_then(|at| found.causes.get(at))
            .copied()
            .unwrap_or(0.0)
    };
    let weights = std::iter::once(1.0).chain(std::iter::repeat(0.5));
    named
        .iter()
        .zip(weights)
        .map(|(id, weight)| weight * chance(id))
        .sum()
}
