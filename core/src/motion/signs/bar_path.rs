//! Where the bar goes, forwards and back.

use super::super::Rep;
use super::scene::{Scene, Seen, largest, mean, value};
use super::series::{Join, Ledger, Reading, Series, Shows};

/// Window of rest at the beginning of a movement over which its place is taken, seconds.
const REST_S: f64 = 0.1;

/// Longest and shortest look at the bar before it is lowered, seconds.
const SWAY_S: (f64, f64) = (1.0, 0.4);

/// What a movement's end still takes after it was called over, seconds.
const SETTLE_S: f64 = 0.15;

/// Place of the bar at the beginning of a movement, metres.
fn start_x(scene: &Scene<'_>, bar: &Seen<'_>, rep: &Rep) -> f64 {
    let window = rep.start.saturating_sub(scene.samples(REST_S))..=rep.start;
    mean(&bar.path.x, window)
}

/// How far forward of its start the bar goes within a part of the repetition, metres.
pub(super) fn drift(
    scene: &Scene<'_>,
    id: &'static str,
    part: impl Fn(&Rep) -> (usize, usize),
) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.real_bar(rep).filter(|_| scene.side())?;
        let start = start_x(scene, &bar, rep);
        let (from, to) = part(rep);
        // Averaged, or the largest would pick the noise.
        let place = |at: usize| mean(&bar.path.x, scene.around(at, REST_S));
        let (_, drift) = largest(from..=to, |at| place(at) - start)?;
        Some(Reading {
            value: drift,
            noise: bar.noise
                * (1.0 / scene.averaging(REST_S)).hypot(1.0 / scene.averaging(2.0 * REST_S)),
            shared: scene.scale_part(drift),
            trust: bar.trust,
        })
    });
    Series::habit(
        id,
        "way of the bar forward of where it started",
        "m",
        per_rep,
    )
}

/// Heights, as shares of the way, at which up and down are compared.
const LEVELS: [f64; 7] = [0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8];

/// How far forward the bar goes up against where it came down, at equal heights, metres. Holds for
/// the shoulder in its place too: what build and lean add is in both.
fn shift(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep).filter(|_| scene.side())?;
        let low = bar.y(rep.bottom);
        let high = bar.y(rep.start).min(bar.y(rep.top));
        let mut sum = 0.0;
        for share in LEVELS {
            let level = low + share * (high - low);
            let down = (rep.start..=rep.bottom).find(|at| bar.y(*at) <= level)?;
            let up = (rep.go..=rep.top).find(|at| bar.y(*at) >= level)?;
            sum += bar.x(up) - bar.x(down);
        }
        let time = scene.seconds(rep.go, rep.top);
        let noise = std::f64::consts::SQRT_2 * bar.noise / scene.averaging(time / 2.0);
        Some(Reading::plain(sum / LEVELS.len() as f64, noise, bar.trust))
    });
    Series::habit(
        "forward-shift",
        "bar further forward going up than coming down",
        "m",
        per_rep,
    )
}

/// Bar forward in the squat. Only its change within the repetition can be measured: by perspective
/// the end of the bar seems 3 to 6 cm off the foot.
pub(super) fn squat_forward(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    if !scene.side() {
        ledger.hidden(
            "the way of the bar forwards and back: that needs a camera square from the side",
        );
        return;
    }
    let whole = |rep: &Rep| (rep.start, rep.top);
    let far = ledger.weigh(
        &drift(scene, "bar-drift", whole),
        limits.squat.drift_m,
        Shows::Above,
    );
    let shifted = ledger.weigh(&shift(scene), limits.squat.shift_m, Shows::Above);
    ledger.sign("sq-bar-forward", Join::Either, &[far, shifted], 1.0);
    ledger
        .hidden("where the bar is over the foot to the centimetre: only how it moves within a rep");
}

/// Swinging of the bar in the last second before it is lowered: standard deviation about a straight
/// line, in both directions, less what the noise makes of it, metres.
pub(super) fn sway(scene: &Scene<'_>, ledger: &mut Ledger<'_>, sign: &'static str) {
    let mut before = 0_usize;
    let per_rep = scene.each(|rep| {
        let earliest = if before == 0 {
            0
        } else {
            before.saturating_add(scene.samples(SETTLE_S))
        };
        before = rep.top;
        let bar = scene.bar(rep)?;
        let from = earliest.max(rep.start.saturating_sub(scene.samples(SWAY_S.0)));
        if from >= rep.start || scene.seconds(from, rep.start) < SWAY_S.1 {
            return None;
        }
        let up = about_line(&bar.path.y, from, rep.start)?;
        let along = if scene.side() {
            about_line(&bar.path.x, from, rep.start)?
        } else {
            0.0
        };
        let axes = if scene.side() { 2.0 } else { 1.0 };
        let noise = axes * bar.noise * bar.noise;
        let swing = (up + along - noise).max(0.0);
        let limit = scene.limits.squat.sway_m;
        // Error of a variance from that many independent samples, brought to its root at the limit.
        let count = scene.averaging(scene.seconds(from, rep.start)).powi(2) * axes;
        let error = (limit * limit + noise) * (2.0 / count).sqrt() / (2.0 * limit);
        Some(Reading::plain(swing.sqrt(), error, bar.trust))
    });
    let series = Series::habit(
        "start-sway",
        "swinging of the bar before you start down",
        "m",
        per_rep,
    );
    ledger.simple(sign, &series, scene.limits.squat.sway_m, Shows::Above);
}

/// Variance about the line of least squares over a window.
fn about_line(values: &[f64], from: usize, to: usize) -> Option<f64> {
    let part = values.get(from..=to)?;
    let count = part.len() as f64;
    let middle = (count - 1.0) / 2.0;
    let mean = part.iter().sum::<f64>() / count;
    let off = |at: usize| at as f64 - middle;
    let spread: f64 = (0..part.len()).map(|at| off(at).powi(2)).sum();
    let along: f64 = part
        .iter()
        .enumerate()
        .map(|(at, y)| off(at) * (y - mean))
        .sum();
    let slope = if spread > 0.0 { along / spread } else { 0.0 };
    let rest = part
        .iter()
        .enumerate()
        .map(|(at, y)| (y - mean - slope * off(at)).powi(2));
    Some(rest.sum::<f64>() / count)
}

/// Place of the bar where it first passes a height on the way up, metres, between samples.
pub(super) fn x_at_height(bar: &Seen<'_>, from: usize, to: usize, level: f64) -> Option<f64> {
    let at = super::tempo::passes(bar, from, to, level, true)?;
    let low = at.floor();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a sample of the path"
    )]
    let first = low as usize;
    let part = at - low;
    let one = value(&bar.path.x, first);
    if part <= 0.0 {
        return Some(one);
    }
    Some(one + part * (value(&bar.path.x, first + 1) - one))
}
