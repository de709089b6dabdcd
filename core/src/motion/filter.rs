//! Low-pass filter and derivatives.
//!
//! A second-order Butterworth filter is run forward and backward, so that nothing is delayed; its
//! corner is moved so that both passes together are -3 dB at the cut-off asked for, exactly in the
//! digital domain (pre-warped). Edges are continued by odd reflection and each pass starts from the
//! steady state of its first value, as `SciPy`'s `filtfilt` does by default.

use std::f64::consts::PI;

/// Samples that are reflected at each end: three times the filter's length.
const REFLECTED: usize = 9;

/// Highest corner, as a share of the sampling rate: above it the bilinear filter rings.
const HIGHEST: f64 = 0.45;

/// Of two passes that halve the power together, each has this much less at its own corner.
fn both_passes() -> f64 {
    (2.0_f64.sqrt() - 1.0).powf(0.25)
}

/// Corner of one pass, Hz, for both together to be -3 dB at `cutoff`.
pub(super) fn corner(fps: f64, cutoff: f64) -> f64 {
    let wanted = (PI * cutoff / fps).tan() / both_passes();
    (fps / PI * wanted.atan()).min(HIGHEST * fps)
}

/// One pass: `b` over the input, `a` (after its leading 1) over the output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pass {
    b: [f64; 3],
    a: [f64; 2],
}

impl Pass {
    /// Second-order Butterworth low-pass with its own corner at `corner` Hz (bilinear transform,
    /// closed form).
    pub(super) fn with_corner(fps: f64, corner: f64) -> Self {
        let k = (PI * corner / fps).tan();
        let root = 2.0_f64.sqrt() * k;
        let d = 1.0 + root + k * k;
        let b0 = k * k / d;
        Self {
            b: [b0, 2.0 * b0, b0],
            a: [2.0 * (k * k - 1.0) / d, (1.0 - root + k * k) / d],
        }
    }

    /// Inner state after endless ones.
    fn steady(&self) -> [f64; 2] {
        let [b0, _, b2] = self.b;
        // A low-pass lets a constant through as it is: output 1 for input 1.
        [1.0 - b0, b2 - self.a[1]]
    }

    fn run<'a>(&self, values: impl Iterator<Item = &'a mut f64>) {
        let ([b0, b1, b2], [a1, a2]) = (self.b, self.a);
        let mut state: Option<[f64; 2]> = None;
        for value in values {
            let x = *value;
            let [s0, s1] = state.unwrap_or_else(|| self.steady().map(|s| s * x));
            let y = b0 * x + s0;
            state = Some([b1 * x - a1 * y + s1, b2 * x - a2 * y]);
            *value = y;
        }
    }

    /// Forward and backward over `values`; none when they are too few to reflect.
    pub(super) fn both_ways(&self, values: &[f64]) -> Option<Vec<f64>> {
        let (first, last) = (*values.first()?, *values.last()?);
        let n = values.len();
        if n <= REFLECTED {
            return None;
        }
        let before = values.get(1..=REFLECTED)?.iter().rev();
        let after = values.get(n - 1 - REFLECTED..n - 1)?.iter().rev();
        let mut long: Vec<f64> = before.map(|value| 2.0 * first - value).collect();
        long.extend_from_slice(values);
        long.extend(after.map(|value| 2.0 * last - value));
        self.run(long.iter_mut());
        self.run(long.iter_mut().rev());
        long.truncate(n + REFLECTED);
        Some(long.split_off(REFLECTED))
    }
}

/// `values` at `fps` without what moves faster than `cutoff` Hz; none when there are nine or fewer.
pub(super) fn low_pass(values: &[f64], fps: f64, cutoff: f64) -> Option<Vec<f64>> {
    Pass::with_corner(fps, corner(fps, cutoff)).both_ways(values)
}

/// Central differences, one-sided at the ends (`numpy.gradient`), a second.
pub(super) fn slopes(values: &[f64], fps: f64) -> Vec<f64> {
    let n = values.len();
    let mut slopes = vec![0.0; n];
    if let ([first, second, ..], [.., before, last]) = (values, values) {
        for (slope, three) in slopes.iter_mut().skip(1).zip(values.windows(3)) {
            *slope = (three[2] - three[0]) * fps / 2.0;
        }
        slopes[0] = (second - first) * fps;
        slopes[n - 1] = (last - before) * fps;
    }
    slopes
}

/// How much of white noise of one unit is left in what the filter gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct NoiseGains {
    /// In a place, a factor.
    pub(super) place: f64,
    /// In a speed by central differences, 1/s.
    pub(super) speed: f64,
    /// In an acceleration, central differences of that speed, 1/s².
    pub(super) acceleration: f64,
    /// In what the filter took away, a factor.
    pub(super) residual: f64,
}

/// Steps of the sum over frequencies; the sum of a smooth periodic function converges at once.
const FREQUENCIES: u32 = 1024;

impl NoiseGains {
    /// Of the filter as the traces are filtered, by summing its response over all frequencies.
    pub(super) fn of(fps: f64, cutoff: f64) -> Self {
        let warped = (PI * corner(fps, cutoff) / fps).tan();
        let mut sums = [0.0; 4];
        for step in 0..FREQUENCIES {
            let angle = PI * (f64::from(step) + 0.5) / f64::from(FREQUENCIES);
            // Both passes of a Butterworth filter: the squared gain of one.
            let gain = 1.0 / (1.0 + ((angle / 2.0).tan() / warped).powi(4));
            let difference = (fps * angle.sin()).powi(2);
            let power = gain * gain;
            sums[0] += power;
            sums[1] += power * difference;
            sums[2] += power * difference * difference;
            sums[3] += (1.0 - gain).powi(2);
        }
        let [place, speed, acceleration, residual] =
            sums.map(|sum| (sum / f64::from(FREQUENCIES)).sqrt());
        Self {
            place,
            speed,
            acceleration,
            residual,
        }
    }
}
