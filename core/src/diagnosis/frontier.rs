//! In what order a network is summed, so that few variables are open at a time.
//!
//! Every node, cause or sign, is a bit. It opens with its leak (a cause: its prior), is raised by
//! each link into it, and is settled when all of those are done. A settled node raises what it
//! feeds or shows and then closes: its evidence is weighed in and it is summed out. Only open
//! nodes take room, 2 to the power of their number. This is variable elimination (Dechter 1999,
//! from memory) on the noisy-OR split link by link (heterogeneous factors, Zhang and Poole 1996,
//! from memory). All terms are positive, so nothing cancels.
//!
//! A node can close once it, all its ancestors and all it feeds or shows have been opened, so the
//! order of opening decides everything. It is found greedily: close next what leaves fewest open.
//! Ties are drawn by a fixed sequence, and for a large network the draw is repeated and the
//! cheapest order kept; the same network always gets the same order.

use super::network::Network;

/// One step of the sum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Step {
    /// A node opens as the highest bit, there with this probability.
    Open(f64),
    /// The node at bit `from`, when there, brings the one at bit `to` about this often.
    Raise { from: u32, to: u32, strength: f64 },
    /// The node at this bit is weighed and summed out; bits above it move down.
    Close { node: usize, at: u32 },
}

/// The order of summing for one network.
#[derive(Clone, Debug, Default)]
pub(super) struct Frontier {
    /// The steps in order.
    pub(super) steps: Vec<Step>,
    /// Signs with no bit of their own: looked for and absent, so they only weigh on their causes.
    pub(super) folded: Vec<bool>,
    /// Most nodes open at once.
    pub(super) width: u32,
    /// Numbers touched in one pass, about.
    pub(super) work: u64,
    /// Nodes in the order they open.
    openings: Vec<usize>,
    /// Orders tried until this one was good enough.
    tried: u32,
}

/// A link of the network as the order sees it: `(from, to, strength)`, causes before signs.
type Link = (usize, usize, f64);

/// Most orders tried for one network.
const MOST_TRIES: u32 = 24;

/// Most orders tried for a sum done only once.
const FEW_TRIES: u32 = 6;

/// An order is good enough when one pass touches no more numbers than this for each try made.
const WORK_FOR_A_TRY: u64 = 16_384;

impl Frontier {
    /// Finds a good order for this network.
    pub(super) fn of(network: &Network) -> Self {
        Self::within(network, MOST_TRIES)
    }

    /// Finds an order for this network in few tries, for a sum done only once.
    pub(super) fn quick(network: &Network) -> Self {
        Self::within(network, FEW_TRIES)
    }

    /// True when [`Frontier::quick`] finds the same order.
    pub(super) const fn is_quick(&self) -> bool {
        self.tried < FEW_TRIES
    }

    /// The order for a network that differs in the priors of its causes only.
    pub(super) fn with_priors(&self, priors: &[f64]) -> Self {
        let mut other = self.clone();
        let opens = other.steps.iter_mut().filter_map(|step| match step {
            Step::Open(leak) => Some(leak),
            _ => None,
        });
        for (leak, node) in opens.zip(&self.openings) {
            if let Some(prior) = priors.get(*node) {
                *leak = *prior;
            }
        }
        other
    }

    fn within(network: &Network, tries: u32) -> Self {
        let folded = network.signs.iter().map(|sign| sign.if_present <= 0.0);
        let folded: Vec<bool> = folded.collect();
        let causes = network.priors.len();
        let leaks: Vec<f64> = network
            .priors
            .iter()
            .copied()
            .chain(network.signs.iter().map(|sign| sign.leak))
            .collect();
        let mut skipped = 0_u128;
        let mut links: Vec<Link> = network
            .feeds
            .iter()
            .map(|feed| (feed.from, feed.to, feed.strength))
            .collect();
        for (at, sign) in network.signs.iter().enumerate() {
            if folded[at] {
                skipped |= 1 << (causes + at);
            } else {
                links.extend(sign.shown_by.iter().map(|&(c, s)| (c, causes + at, s)));
            }
        }
        let needs = Needs::of(&links, leaks.len(), skipped);
        // Causes with fewer ancestors first: what leads into a node comes before what leads out.
        links.sort_by_key(|&(from, to, _)| (needs.ancestors[from].count_ones(), from, to));
        let (openings, tried) = needs.openings(tries);
        let mut frontier = Self {
            folded,
            tried,
            ..Self::default()
        };
        frontier.lay(&openings, &needs, &links, &leaks);
        frontier.openings = openings;
        frontier
    }

    /// Lays out the steps for nodes opened in this order.
    fn lay(&mut self, openings: &[usize], needs: &Needs, links: &[Link], leaks: &[f64]) {
        // Each link with what has to be open for it: both its ends and all that settles the upper one.
        let wants = |&(from, to, _): &Link| needs.ancestors[from] | 1 << from | 1 << to;
        let mut undone: Vec<(u128, Link)> = links.iter().map(|link| (wants(link), *link)).collect();
        let mut opened = needs.skipped;
        let mut open: Vec<usize> = Vec::new();
        let mut bit = vec![0_u32; leaks.len()];
        for &node in openings {
            opened |= 1 << node;
            bit[node] = u32::try_from(open.len()).unwrap_or(u32::MAX);
            open.push(node);
            self.steps.push(Step::Open(leaks[node]));
            let size = 1_u64 << open.len().min(60);
            self.width = self.width.max(bit[node] + 1);
            self.work = self.work.saturating_add(2 * size);
            undone.retain(|&(wanted, (from, to, strength))| {
                if wanted & !opened != 0 {
                    return true;
                }
                self.work = self.work.saturating_add(size / 4);
                let (from, to) = (bit[from], bit[to]);
                self.steps.push(Step::Raise { from, to, strength });
                false
            });
            let mut place = 0;
            while place < open.len() {
                let node = open[place];
                if needs.of[node] & !opened == 0 {
                    open.remove(place);
                    open[place..].iter().for_each(|&above| bit[above] -= 1);
                    let at = bit[node];
                    self.steps.push(Step::Close { node, at });
                } else {
                    place += 1;
                }
            }
        }
    }
}

/// What must have been opened before each node can close.
struct Needs {
    /// For each node: itself, its ancestors, and what it feeds or shows.
    of: Vec<u128>,
    ancestors: Vec<u128>,
    /// Folded signs, which never open.
    skipped: u128,
}

impl Needs {
    fn of(links: &[Link], nodes: usize, skipped: u128) -> Self {
        let mut ancestors = vec![0_u128; nodes];
        let mut children = vec![0_u128; nodes];
        for &(from, to, _) in links {
            ancestors[to] |= 1 << from;
            children[from] |= 1 << to;
        }
        // Ancestors by repeated widening; at most as many rounds as the chain is long.
        loop {
            let before = ancestors.clone();
            for all in &mut ancestors {
                *all |= bits(*all).fold(0, |more, up| more | before[up]);
            }
            if ancestors == before {
                break;
            }
        }
        let of = (0..nodes).map(|node| (1 << node) | ancestors[node] | children[node]);
        Self {
            of: of.collect(),
            ancestors,
            skipped,
        }
    }

    /// The order of opening with the least work among those tried, and how many were.
    fn openings(&self, tries: u32) -> (Vec<usize>, u32) {
        let (mut best, mut least) = self.greedy(0);
        for draw in 1..tries {
            if least <= WORK_FOR_A_TRY * u64::from(draw) {
                return (best, draw);
            }
            let (openings, work) = self.greedy(draw);
            if work < least {
                (best, least) = (openings, work);
            }
        }
        (best, tries)
    }

    /// One greedy order and about how many numbers it touches.
    ///
    /// Even draws weigh how many stay open after a closing, odd ones how many are open at its peak.
    fn greedy(&self, draw: u32) -> (Vec<usize>, u64) {
        let mut noise = draw.wrapping_mul(0x9E37_79B9);
        let mut openings = Vec::with_capacity(self.of.len());
        let mut opened = self.skipped;
        let mut left: Vec<usize> = (0..self.of.len())
            .filter(|node| self.skipped & (1 << node) == 0)
            .collect();
        let mut work = 0_u64;
        let mut open = 0_u32;
        while !left.is_empty() {
            let missing = |node: usize| self.of[node] & !opened;
            let target = left.iter().copied().min_by_key(|&node| {
                let wanted = missing(node);
                let closes = if draw > 0 && draw.is_multiple_of(2) {
                    left.iter()
                        .filter(|&&other| missing(other) & !wanted == 0)
                        .count()
                } else {
                    1
                };
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let left_open = wanted.count_ones() + 64 - u32::try_from(closes).unwrap_or(64);
                (left_open, if draw == 0 { 0 } else { noise >> 16 })
            });
            let Some(target) = target else { break };
            // Few ancestors first, so that what is opened can settle and close soon.
            let mut wanted: Vec<usize> = bits(missing(target)).collect();
            wanted.sort_by_key(|&node| (self.ancestors[node].count_ones(), node));
            for node in wanted {
                openings.push(node);
                opened |= 1 << node;
                open += 1;
                work = work.saturating_add(8_u64 << open.min(60));
                left.retain(|&other| {
                    let closes = self.of[other] & !opened == 0;
                    open -= u32::from(closes);
                    !closes
                });
            }
        }
        (openings, work)
    }
}

/// The places of the bits that are set, lowest first.
fn bits(mut set: u128) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let lowest = usize::try_from(set.trailing_zeros()).ok()?;
        (set != 0).then(|| {
            set &= set - 1;
            lowest
        })
    })
}
