//! Sums over the states of the open nodes, one number a state: bit `at` of its place tells whether the
//! node there is there.
//!
//! The states without a node and those with it lie in rows of 2 to the power of `at`, one after the
//! other. Rows of up to four numbers, most of all, are walked with their length known beforehand.

/// Weighs the node at bit `at`, absent and there, and sums it out.
pub(super) fn close(state: &[f64], at: u32, weight: [f64; 2], out: &mut Vec<f64>) {
    out.clear();
    match at {
        0 => close_rows::<1>(state, weight, out),
        1 => close_rows::<2>(state, weight, out),
        2 => close_rows::<4>(state, weight, out),
        _ => {
            let half = 1_usize << at;
            for block in state.chunks_exact(2 * half) {
                let (low, high) = block.split_at(half);
                let both = low.iter().zip(high);
                out.extend(both.map(|(a, b)| weight[0] * a + weight[1] * b));
            }
        }
    }
}

fn close_rows<const N: usize>(state: &[f64], weight: [f64; 2], out: &mut Vec<f64>) {
    for [low, high] in state.as_chunks::<N>().0.as_chunks::<2>().0 {
        let mut sums = [0.0; N];
        for (sum, (a, b)) in sums.iter_mut().zip(low.iter().zip(high)) {
            *sum = weight[0] * a + weight[1] * b;
        }
        out.extend(sums);
    }
}

/// The way back: opens the node at bit `at` that was summed out, weighed absent and there.
pub(super) fn reopen(state: &[f64], at: u32, weight: [f64; 2], out: &mut Vec<f64>) {
    out.clear();
    match at {
        0 => reopen_rows::<1>(state, weight, out),
        1 => reopen_rows::<2>(state, weight, out),
        2 => reopen_rows::<4>(state, weight, out),
        _ => {
            for block in state.chunks_exact(1 << at) {
                out.extend(block.iter().map(|x| weight[0] * x));
                out.extend(block.iter().map(|x| weight[1] * x));
            }
        }
    }
}

fn reopen_rows<const N: usize>(state: &[f64], weight: [f64; 2], out: &mut Vec<f64>) {
    for row in state.as_chunks::<N>().0 {
        out.extend(row.map(|x| weight[0] * x));
        out.extend(row.map(|x| weight[1] * x));
    }
}

/// Sums of forward times backward with the node at bit `at` absent and there, unweighted.
pub(super) fn meet(before: &[f64], after: &[f64], at: u32) -> [f64; 2] {
    match at {
        0 => meet_rows::<1>(before, after),
        1 => meet_rows::<2>(before, after),
        2 => meet_rows::<4>(before, after),
        _ => {
            let half = 1_usize << at;
            let mut sums = [0.0; 2];
            for (block, rest) in before.chunks_exact(2 * half).zip(after.chunks_exact(half)) {
                let (low, high) = block.split_at(half);
                add_met(low, high, rest, &mut sums);
            }
            sums
        }
    }
}

fn meet_rows<const N: usize>(before: &[f64], after: &[f64]) -> [f64; 2] {
    let mut sums = [0.0; 2];
    let blocks = before.as_chunks::<N>().0.as_chunks::<2>().0;
    for ([low, high], rest) in blocks.iter().zip(after.as_chunks::<N>().0) {
        add_met(low, high, rest, &mut sums);
    }
    sums
}

fn add_met(low: &[f64], high: &[f64], rest: &[f64], sums: &mut [f64; 2]) {
    for ((a, b), r) in low.iter().zip(high).zip(rest) {
        sums[0] += a * r;
        sums[1] += b * r;
    }
}

/// Walks the pairs of states that differ in bit `to` only, absent and there, where bit `from` is set.
pub(super) fn pairs(state: &mut [f64], from: u32, to: u32, change: impl Fn(&mut f64, &mut f64)) {
    match from.min(to) {
        0 => pairs_rows::<1>(state, from, to, change),
        1 => pairs_rows::<2>(state, from, to, change),
        2 => pairs_rows::<4>(state, from, to, change),
        _ => pairs_long(state, from, to, change),
    }
}

/// The same where the lower of the two bits has rows of this length.
fn pairs_rows<const N: usize>(
    state: &mut [f64],
    from: u32,
    to: u32,
    change: impl Fn(&mut f64, &mut f64),
) {
    let high = 1_usize << from.max(to);
    for block in state.chunks_exact_mut(2 * high) {
        let (first, second) = block.split_at_mut(high);
        let second = second.as_chunks_mut::<N>().0.as_chunks_mut::<2>().0;
        if from > to {
            for [absent, there] in second {
                absent.iter_mut().zip(there).for_each(|(a, t)| change(a, t));
            }
        } else {
            let first = first.as_chunks_mut::<N>().0.as_chunks_mut::<2>().0;
            for ([_, absent], [_, there]) in first.iter_mut().zip(second) {
                absent.iter_mut().zip(there).for_each(|(a, t)| change(a, t));
            }
        }
    }
}

fn pairs_long(state: &mut [f64], from: u32, to: u32, change: impl Fn(&mut f64, &mut f64)) {
    let (low, high) = (1_usize << from.min(to), 1_usize << from.max(to));
    for block in state.chunks_exact_mut(2 * high) {
        let (first, second) = block.split_at_mut(high);
        if from > to {
            for part in second.chunks_exact_mut(2 * low) {
                let (absent, there) = part.split_at_mut(low);
                absent.iter_mut().zip(there).for_each(|(a, t)| change(a, t));
            }
        } else {
            let parts = first.chunks_exact_mut(2 * low);
            for (absent, there) in parts.zip(second.chunks_exact_mut(2 * low)) {
                absent[low..]
                    .iter_mut()
                    .zip(&mut there[low..])
                    .for_each(|(a, t)| change(a, t));
            }
        }
    }
}
