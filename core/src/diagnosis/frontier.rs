//! In what order a network is summed, so that few variables are open at a time.
//!
//! Every node, cause or sign, is a bit. It opens with its leak (a cause: its prior), is raised by
//! each link into it, and is settled when all of those are done. A settled node raises what it
//! feeds or shows and then closes: its evidence is weighed in and it is summed out. Only open
//! nodes take room, 2 to the power of their number. The order closes next the node that leaves
//! fewest open: variable elimination with the min-size rule of Dechter 1999, from memory, on the
//! noisy-OR split link by link (heterogeneous factors, Zhang and Poole 1996, from memory). All
//! terms are positive, so nothing cancels.

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
}

/// A link of the network as the order sees it: `(from, to, strength)`, causes before signs.
type Link = (usize, usize, f64);

/// The state of the search for an order.
struct Search<'a> {
    links: &'a [Link],
    leaks: &'a [f64],
    /// For each node: itself, its neighbours below, and every ancestor that must be settled first.
    needs: Vec<u128>,
    /// Links not yet done.
    undone: Vec<bool>,
    /// Links not yet done into and out of each node.
    waiting_in: Vec<usize>,
    waiting_out: Vec<usize>,
    /// Open nodes in the order of their bits.
    open: Vec<usize>,
    is_open: u128,
    closed: u128,
    frontier: Frontier,
}

impl Frontier {
    /// Finds an order for this network.
    pub(super) fn of(network: &Network) -> Self {
        let causes = network.priors.len();
        let folded: Vec<bool> = network
            .signs
            .iter()
            .map(|sign| sign.if_present <= 0.0)
            .collect();
        let mut links: Vec<Link> = network
            .feeds
            .iter()
            .map(|feed| (feed.from, feed.to, feed.strength))
            .collect();
        let mut leaks = network.priors.clone();
        let mut closed = 0_u128;
        for (at, sign) in network.signs.iter().enumerate() {
            leaks.push(sign.leak);
            if folded[at] {
                closed |= 1 << (causes + at);
            } else {
                links.extend(sign.shown_by.iter().map(|&(c, s)| (c, causes + at, s)));
            }
        }
        let mut search = Search::new(&links, &leaks, causes, closed);
        search.frontier.folded = folded;
        search.run();
        search.frontier
    }
}

impl<'a> Search<'a> {
    fn new(links: &'a [Link], leaks: &'a [f64], causes: usize, closed: u128) -> Self {
        let nodes = leaks.len();
        let mut waiting_in = vec![0; nodes];
        let mut waiting_out = vec![0; nodes];
        let mut parents = vec![0_u128; nodes];
        let mut children = vec![0_u128; nodes];
        for &(from, to, _) in links {
            waiting_out[from] += 1;
            waiting_in[to] += 1;
            parents[to] |= 1 << from;
            children[from] |= 1 << to;
        }
        // Ancestors by repeated widening; at most as many rounds as the chain is long.
        let mut ancestors = parents;
        loop {
            let before = ancestors.clone();
            for all in &mut ancestors {
                *all |= bits(*all)
                    .filter(|&up| up < causes)
                    .fold(0, |more, up| more | before[up]);
            }
            if ancestors == before {
                break;
            }
        }
        let needs = (0..nodes)
            .map(|node| (1 << node) | ancestors[node] | children[node])
            .collect();
        Self {
            links,
            leaks,
            needs,
            undone: vec![true; links.len()],
            waiting_in,
            waiting_out,
            open: Vec::new(),
            is_open: 0,
            closed,
            frontier: Frontier::default(),
        }
    }

    fn run(&mut self) {
        while let Some(node) = self.cheapest() {
            let mut missing = self.needs[node] & !self.closed & !self.is_open;
            while missing != 0 && self.closed & (1 << node) == 0 {
                let next = self.next_to_open(missing);
                missing &= !(1 << next);
                self.open(next);
                self.raise();
                self.close_done();
            }
            // All that a node needs is open now, so its links are done and it has closed.
            debug_assert!(self.closed & (1 << node) != 0, "node {node} did not close");
        }
    }

    /// The node whose closing leaves fewest open; ties go to the one that opens fewest, then the first.
    fn cheapest(&self) -> Option<usize> {
        (0..self.leaks.len())
            .filter(|node| self.closed & (1 << node) == 0)
            .min_by_key(|&node| {
                let needed = self.needs[node] & !self.closed;
                (
                    (needed | self.is_open).count_ones(),
                    (needed & !self.is_open).count_ones(),
                )
            })
    }

    /// Of the missing nodes, the one with fewest links still waiting; causes before signs.
    fn next_to_open(&self, missing: u128) -> usize {
        bits(missing)
            .min_by_key(|&node| (self.waiting_in[node], node))
            .unwrap_or(0)
    }

    fn open(&mut self, node: usize) {
        self.open.push(node);
        self.is_open |= 1 << node;
        self.frontier.steps.push(Step::Open(self.leaks[node]));
        self.frontier.width = self.frontier.width.max(self.is_open.count_ones());
        self.frontier.work += self.size();
    }

    /// Does every link whose upper end is settled and whose lower end is open.
    fn raise(&mut self) {
        let mut again = true;
        while again {
            again = false;
            for at in 0..self.links.len() {
                let (from, to, strength) = self.links[at];
                if !self.undone[at] || self.waiting_in[from] > 0 {
                    continue;
                }
                let (Some(from_bit), Some(to_bit)) = (self.bit(from), self.bit(to)) else {
                    continue;
                };
                self.undone[at] = false;
                self.waiting_in[to] -= 1;
                self.waiting_out[from] -= 1;
                self.frontier.work += self.size() / 4;
                self.frontier.steps.push(Step::Raise {
                    from: from_bit,
                    to: to_bit,
                    strength,
                });
                again = true;
            }
        }
    }

    /// Closes every node with nothing left to wait for.
    fn close_done(&mut self) {
        let mut place = 0;
        while place < self.open.len() {
            let node = self.open[place];
            if self.waiting_in[node] > 0 || self.waiting_out[node] > 0 {
                place += 1;
                continue;
            }
            self.frontier.work += self.size();
            self.open.remove(place);
            self.is_open &= !(1 << node);
            self.closed |= 1 << node;
            let at = u32::try_from(place).unwrap_or(0);
            self.frontier.steps.push(Step::Close { node, at });
        }
    }

    fn bit(&self, node: usize) -> Option<u32> {
        let place = self.open.iter().position(|&open| open == node)?;
        u32::try_from(place).ok()
    }

    fn size(&self) -> u64 {
        1 << self.open.len().min(63)
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
