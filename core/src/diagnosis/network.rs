//! The belief network in numbers: causes, the links between them, and the signs something is known of.
//!
//! Two layers of yes-or-no variables joined by noisy-OR (Pearl 1988, *Probabilistic Reasoning in
//! Intelligent Systems*, section 4.3; from memory). A sign stays away only if its leak and every
//! cause that is there all fail to show it:
//! `P(absent | causes) = (1 - leak) * product over causes that are there of (1 - strength)`.
//! A cause that others feed is there by the same rule, with its own prior as the leak and the
//! link's strength for each feeding cause that is there. So the network has no circles and every
//! number in it is a word of the catalog.

use super::evidence::Evidence;
use super::gates::InPlay;
use crate::catalog::LiftBook;

/// Most causes a network holds: far above any lift's book, and what keeps a posterior bounded.
pub(super) const MOST_CAUSES: usize = 48;

/// Most signs a network holds; beyond it the least telling findings are left out.
const MOST_SIGNS: usize = 64;

/// Probabilities of the catalog are kept this far from 0 and 1, so that no finding is impossible.
const FLOOR: f64 = 1e-4;

/// One "feeds" link between two causes, by place in the network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Feed {
    /// The cause that raises.
    pub(super) from: usize,
    /// The cause that is raised.
    pub(super) to: usize,
    /// How often the first brings the second about.
    pub(super) strength: f64,
}

/// One sign something is known of.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct SignNode {
    /// How often it is there with no fault behind it.
    pub(super) leak: f64,
    /// Causes that show it, with how often.
    pub(super) shown_by: Vec<(usize, f64)>,
    /// Likelihood of what was found if the sign is not there.
    pub(super) if_absent: f64,
    /// Likelihood of what was found if the sign is there.
    pub(super) if_present: f64,
}

impl SignNode {
    /// Nothing is known of this sign: it drops out.
    pub(super) const fn forget(&mut self) {
        self.if_absent = 1.0;
        self.if_present = 1.0;
    }
}

/// The network of one report.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Network {
    /// Prior of each cause, before what feeds it.
    pub(super) priors: Vec<f64>,
    /// Links between causes; they form no circle.
    pub(super) feeds: Vec<Feed>,
    /// Signs something is known of.
    pub(super) signs: Vec<SignNode>,
}

impl Network {
    /// The network of at most [`MOST_CAUSES`] causes in play and the evidence, signs in its order.
    pub(super) fn of(
        book: &LiftBook,
        in_play: &[InPlay<'_>],
        evidence: &[Evidence<'_>],
        link: f64,
    ) -> Self {
        let mut network = Self {
            priors: in_play.iter().map(|c| inside(c.prior)).collect(),
            feeds: feeds(in_play, inside(link)),
            ..Self::default()
        };
        let counted = evidence.iter().take(MOST_SIGNS);
        network.signs = counted.map(|item| node(book, in_play, item)).collect();
        network
    }

    /// The same for causes that are those of another network, with what that one knew: its evidence,
    /// sign for sign, and the network itself.
    pub(super) fn beside(
        book: &LiftBook,
        in_play: &[InPlay<'_>],
        evidence: &[Evidence<'_>],
        (known, before): (&[Evidence<'_>], &Self),
    ) -> Self {
        let sign = |item: &Evidence<'_>| {
            let mut nodes = known.iter().zip(&before.signs);
            match nodes.find(|(other, _)| other.sign == item.sign) {
                Some((_, node)) => SignNode {
                    if_absent: item.if_absent,
                    if_present: item.if_present,
                    ..node.clone()
                },
                None => node(book, in_play, item),
            }
        };
        Self {
            priors: in_play.iter().map(|c| inside(c.prior)).collect(),
            feeds: before.feeds.clone(),
            signs: evidence.iter().take(MOST_SIGNS).map(sign).collect(),
        }
    }

    /// True when the two differ at most in the priors of their causes and in how likely what was found
    /// is; a sign looked for and absent stays one.
    pub(super) fn alike(&self, other: &Self) -> bool {
        let sign = |(one, other): (&SignNode, &SignNode)| {
            (one.if_present <= 0.0) == (other.if_present <= 0.0)
                && one.leak.total_cmp(&other.leak).is_eq()
                && one.shown_by == other.shown_by
        };
        self.priors.len() == other.priors.len()
            && self.signs.len() == other.signs.len()
            && self.feeds == other.feeds
            && self.signs.iter().zip(&other.signs).all(sign)
    }

    /// True when `from` is `to` or feeds it, at once or through others.
    pub(super) fn reaches(&self, from: usize, to: usize) -> bool {
        let mut seen = vec![false; self.priors.len()];
        let mut open = vec![from];
        while let Some(node) = open.pop() {
            if node == to {
                return true;
            }
            if !std::mem::replace(&mut seen[node], true) {
                open.extend(self.feeds.iter().filter(|f| f.from == node).map(|f| f.to));
            }
        }
        false
    }
}

/// A sign of the evidence with the causes that show it.
fn node(book: &LiftBook, in_play: &[InPlay<'_>], item: &Evidence<'_>) -> SignNode {
    let shown_by = in_play.iter().enumerate().filter_map(|(at, c)| {
        let (_, strength) = c.cause.shows.iter().find(|(id, _)| *id == item.sign)?;
        Some((at, book.learned.strength(&c.cause.id, item.sign, *strength)))
    });
    let leak = book.sign(item.sign).map_or(FLOOR, |sign| sign.leak);
    SignNode {
        leak: inside(leak),
        shown_by: shown_by.collect(),
        if_absent: item.if_absent,
        if_present: item.if_present,
    }
}

/// The links between causes, each once; one that would close a circle is left out (a circle in the
/// catalog is a fault reported there; here the link written later gives way).
fn feeds(in_play: &[InPlay<'_>], strength: f64) -> Vec<Feed> {
    let causes = in_play.iter().enumerate();
    let mut places: Vec<(&str, usize)> = causes.map(|(at, c)| (&*c.cause.id, at)).collect();
    places.sort_unstable();
    let place = |id: &String| {
        let first = places.partition_point(|(other, _)| *other < id.as_str());
        let found = places.get(first).filter(|(other, _)| other == id);
        found.map(|(_, at)| *at)
    };
    // For each cause, itself and all that it feeds, at once or through others.
    let mut below: Vec<u64> = (0..in_play.len()).map(|at| 1 << at).collect();
    let mut feeds: Vec<Feed> = Vec::new();
    for (from, upstream) in in_play.iter().enumerate() {
        let mut fed = 0_u64;
        for to in upstream.cause.feeds.iter().filter_map(place) {
            let there = fed & 1 << to != 0;
            let circle = below[to] & 1 << from != 0;
            if there || circle {
                continue;
            }
            feeds.push(Feed { from, to, strength });
            fed |= 1 << to;
            let more = below[to];
            for all in &mut below {
                if *all & 1 << from != 0 {
                    *all |= more;
                }
            }
        }
    }
    feeds
}

/// A probability of the catalog kept inside 0 and 1.
fn inside(probability: f64) -> f64 {
    if probability.is_nan() {
        FLOOR
    } else {
        probability.clamp(FLOOR, 1.0 - FLOOR)
    }
}
