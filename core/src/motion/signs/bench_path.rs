//! The way of the bench bar along the body. x towards the feet.

use super::super::Rep;
use super::bar_path::x_at_height;
use super::scene::{Part, Scene, Seen, mean};
use super::series::{Join, Ledger, Pool, Reading, Series, Shows};

/// Half the window for places, seconds.
const PLACE_S: f64 = 0.05;

/// Shorter ways between touch and lockout than this say nothing of the way back, metres.
const LEAST_OFFSET_M: f64 = 0.04;

/// Place of the touch and of the lockout, metres.
fn touch_and_lockout(scene: &Scene<'_>, bar: &Seen<'_>, rep: &Rep) -> (f64, f64) {
    let x = |at: usize| mean(&bar.path.x, scene.around(at, PLACE_S));
    (x(rep.bottom), x(rep.top))
}

/// The way of the bar along the body.
pub(super) fn signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let offset = touch_offset(scene);
    let high = ledger.weigh(&offset, limits.bench.touch_near_m, Shows::Below);
    ledger.sign("bp-touch-high", Join::Either, &[high], 1.0);
    let low = offset.judge(limits.bench.touch_far_m, Shows::Above, limits);
    ledger.sign("bp-touch-low", Join::Either, &[low], 1.0);
    if let Some(spread) = touch_spread(scene) {
        ledger.simple(
            "bp-touch-varies",
            &spread,
            limits.bench.touch_spread_m,
            Shows::Above,
        );
    }
    let back = early_back(scene);
    let up = ledger.weigh(&back, limits.bench.up_first, Shows::Below);
    ledger.sign("bp-path-feet", Join::Either, &[up], 1.0);
    // Going back early is also how experts press, so it never counts for certain.
    let early = back.judge(limits.bench.back_first, Shows::Above, limits);
    ledger.sign(
        "bp-path-face-early",
        Join::Either,
        &[early],
        limits.stand_in_surest,
    );
    ledger.simple(
        "bp-start-drift",
        &start_off(scene),
        limits.bench.start_off_m,
        Shows::Above,
    );
}

/// How far the touch lies towards the feet of the lockout, metres.
fn touch_offset(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep).filter(|_| !rep.missed)?;
        let (touch, lockout) = touch_and_lockout(scene, &bar, rep);
        let noise = std::f64::consts::SQRT_2 * bar.noise / scene.averaging(2.0 * PLACE_S);
        Some(Reading {
            value: touch - lockout,
            noise: noise.hypot(scene.limits.rep_spread_m),
            shared: scene.scale_part(touch - lockout),
            trust: bar.trust,
        })
    });
    Series::habit(
        "touch-offset",
        "touch below the place of lockout, towards the feet",
        "m",
        per_rep,
    )
}

/// Standard deviation of the touch point over three repetitions or more, metres, less the noise.
fn touch_spread(scene: &Scene<'_>) -> Option<Series> {
    let places = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let noise = bar.noise / scene.averaging(2.0 * PLACE_S);
        let (touch, _) = touch_and_lockout(scene, &bar, rep);
        Some(Reading::plain(touch, noise, bar.trust))
    });
    let known: Vec<Reading> = places.iter().flatten().copied().collect();
    if known.len() < 3 {
        return None;
    }
    let count = known.len() as f64;
    let middle = known.iter().map(|one| one.value).sum::<f64>() / count;
    let squares: f64 = known.iter().map(|one| (one.value - middle).powi(2)).sum();
    let noise = known.iter().map(|one| one.noise * one.noise).sum::<f64>() / count;
    let spread = (squares / (count - 1.0) - noise).max(0.0).sqrt();
    // Error of a standard deviation of so few, at the limit.
    let limit = scene.limits.bench.touch_spread_m;
    let error = limit.hypot(noise.sqrt()) / (2.0 * (count - 1.0)).sqrt();
    let trust = known.iter().map(|one| one.trust).fold(1.0, f64::min);
    let off = |one: Reading| Reading {
        value: one.value - middle,
        ..one
    };
    Some(Series {
        id: "touch-spread",
        plain: "how much the touch point differs between reps",
        unit: "m",
        pool: Pool::Habit,
        per_rep: places.into_iter().map(|one| one.map(off)).collect(),
        whole: Some(Reading::plain(spread, error, trust)),
    })
}

/// Share of the way back towards the head done in the first third of the way up. A path along
/// `(h)^p` of the height gives `(1/3)^p`: .577 back first, .333 straight, .111 up first.
fn early_back(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep).filter(|_| !rep.missed)?;
        let (touch, lockout) = touch_and_lockout(scene, &bar, rep);
        let offset = touch - lockout;
        if offset < LEAST_OFFSET_M {
            return None;
        }
        let low = bar.y(rep.bottom);
        let level = low + (bar.y(rep.top) - low) / 3.0;
        let third = x_at_height(&bar, rep.bottom, rep.top, level)?;
        let early = (touch - third) / offset;
        let end = bar.noise / scene.averaging(2.0 * PLACE_S);
        // Touch, lockout and the third share their places with both lengths of the ratio.
        let noise = bar.noise.hypot((1.0 - early) * end).hypot(early * end) / offset;
        Some(Reading::plain(early, noise, bar.trust))
    });
    Series::habit(
        "early-back",
        "share of the way back to the shoulders done in the first third",
        "",
        per_rep,
    )
}

/// How far the bar is off the shoulder line before it is lowered, metres.
fn start_off(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar_beside_body(rep)?;
        let shoulder = scene.near(Part::Shoulder, rep)?;
        let off = mean(&bar.path.x, scene.around(rep.start, PLACE_S))
            - mean(&shoulder.path.x, scene.around(rep.start, PLACE_S));
        Some(Reading {
            value: off.abs(),
            noise: bar.noise.hypot(shoulder.noise),
            shared: bar
                .path
                .bias
                .hypot(shoulder.path.bias)
                .hypot(scene.parallax()),
            trust: bar.trust.min(shoulder.trust),
        })
    });
    Series::habit(
        "start-offset",
        "bar off the line of the shoulders before it is lowered",
        "m",
        per_rep,
    )
}
