//! Counts the reader's inner steps in tests, so that linear time can be checked without a clock.

#[cfg(test)]
std::thread_local! {
    static STEPS: std::cell::Cell<usize> = const { std::cell::Cell::new(0) };
}

/// Notes inner steps; nothing outside tests.
#[inline]
#[cfg_attr(
    not(test),
    expect(clippy::missing_const_for_fn, reason = "it counts in tests")
)]
pub(super) fn steps(count: usize) {
    #[cfg(test)]
    STEPS.set(STEPS.get() + count);
    #[cfg(not(test))]
    let _ = count;
}

/// The steps since this was last asked, on this thread.
#[cfg(test)]
pub(super) fn taken() -> usize {
    STEPS.replace(0)
}
