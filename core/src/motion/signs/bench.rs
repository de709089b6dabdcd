//! The bench press: touch, path, stop, legs, lockout. x towards the feet.

use super::super::Rep;
use super::super::evidence::joint_angle_error;
use super::scene::{Part, Scene, apart, bend, largest, mean, value};
use super::series::{Join, Ledger, Reading, Series, Shows};
use super::{bench_path, front, speed, tempo};
use std::ops::RangeInclusive;

/// Half the window for places, seconds.
const PLACE_S: f64 = 0.05;

/// How long before the touch its speed is taken, seconds.
const BEFORE_TOUCH_S: f64 = 0.05;

/// Around the lowest point a bounce is looked for, seconds before and after.
const BOUNCE_S: (f64, f64) = (0.05, 0.10);

/// All signs of the bench press that this motion can show.
pub(super) fn signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let hard = touch_speed(scene, ledger);
    tempo::descent(scene, ledger, "bp-slow-down", "bp-drop-fast", hard);
    bounce(scene, ledger);
    pause(scene, ledger);
    ledger.simple("bp-sinks", &sink(scene), limits.bench.sink_m, Shows::Above);
    let range = speed::full_range(scene);
    let top = range.map_or(f64::INFINITY, |range| limits.top_part * range);
    let stretch = |sign, from, to, start| speed::Stretch {
        sign,
        from,
        to,
        start,
    };
    speed::stalls(
        scene,
        ledger,
        &[
            stretch("bp-stall-chest", 0.0, limits.bench.low_m, true),
            stretch("bp-stall-mid", limits.bench.low_m, top, false),
            stretch("bp-stall-top", top, f64::INFINITY, false),
        ],
    );
    speed::fade(scene, ledger, "bp-speed-fade", limits.bench.light_speed);
    front::tilt(scene, ledger, "bp-uneven");
    if scene.side() {
        bench_path::signs(scene, ledger);
        body(scene, ledger);
        ledger.hidden("whether the bar touches the chest: its lowest point stands for the touch");
    } else {
        ledger.hidden(
            "the way of the bar forwards and back: that needs a camera square from the side",
        );
        ledger.hidden("legs, hips and elbows: that needs a camera square from the side");
    }
}

/// Speed of the bar shortly before it comes to rest on the chest. Soft from slow cameras.
fn touch_speed(scene: &Scene<'_>, ledger: &mut Ledger<'_>) -> Option<super::series::Verdict> {
    if !fast_camera(scene, ledger) {
        return None;
    }
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let touch = tempo::arrival(scene, &bar, rep)?;
        let speed = -bar.up(touch.saturating_sub(scene.samples(BEFORE_TOUCH_S)));
        let blur = blur(scene);
        Some(Reading {
            value: speed,
            noise: bar.speed_noise * blur,
            shared: scene.scale_part(speed),
            trust: bar.trust,
        })
    });
    let series = Series::habit(
        "touch-speed",
        "speed of the bar just before it touches",
        "m/s",
        per_rep,
    );
    ledger.weigh(&series, scene.limits.bench.touch_speed, Shows::Above)
}

/// Errors are doubled where the filter takes part of a short event away.
fn blur(scene: &Scene<'_>) -> f64 {
    if scene.motion.cutoff < scene.limits.bounce_cutoff {
        2.0
    } else {
        1.0
    }
}

/// The camera is fast enough for what happens within a tenth of a second.
fn fast_camera(scene: &Scene<'_>, ledger: &mut Ledger<'_>) -> bool {
    let fast = scene.motion.fps >= scene.limits.bounce_fps;
    if !fast {
        ledger.hidden("a bounce or a hard touch: that needs 60 frames a second");
    }
    fast
}

/// Largest upward acceleration around the lowest point, m/s².
fn bounce(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    if !fast_camera(scene, ledger) {
        return;
    }
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let from = rep.bottom.saturating_sub(scene.samples(BOUNCE_S.0)).max(1);
        let to = rep.bottom + scene.samples(BOUNCE_S.1);
        let gain = |at: usize| {
            let change = value(&bar.path.vy, at + 1) - value(&bar.path.vy, at.saturating_sub(1));
            change * scene.motion.fps / 2.0
        };
        let (_, most) = largest(from..=to, gain)?;
        let noise = bar.noise / scene.gain.place * scene.gain.acceleration;
        Some(Reading {
            value: most,
            noise: noise * blur(scene),
            shared: scene.scale_part(most),
            trust: bar.trust,
        })
    });
    let series = Series::habit(
        "turn-acceleration",
        "upward acceleration of the bar at the chest",
        "m/s²",
        per_rep,
    );
    let verdict = ledger.weigh(&series, scene.limits.bench.bounce, Shows::Above);
    let cap = if blur(scene) > 1.0 {
        scene.limits.stand_in_surest
    } else {
        1.0
    };
    ledger.sign("bp-bounce", Join::Either, &[verdict], cap);
}

/// The stop on the chest: a sign only where a stop is meant.
fn pause(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let series = tempo::pause(scene);
    if scene.about.meant_to_pause == Some(true) {
        ledger.simple(
            "bp-no-pause",
            &series,
            scene.limits.bench.pause_s,
            Shows::Below,
        );
    } else {
        ledger.describe(&series);
    }
}

/// How far the bar sinks during the stop, metres; without a stop there is nothing to sink in.
fn sink(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let touch = tempo::arrival(scene, &bar, rep)?;
        if scene.seconds(touch, rep.go) < scene.limits.bench.pause_s {
            return None;
        }
        let first = mean(&bar.path.y, touch..=touch + scene.samples(PLACE_S));
        let (_, low) = largest(touch..=rep.go, |at| {
            -mean(&bar.path.y, scene.around(at, PLACE_S))
        })?;
        let noise = std::f64::consts::SQRT_2 * bar.noise;
        Some(Reading::plain(first + low, noise, bar.trust))
    });
    Series::habit("sink", "sinking of the bar during the stop", "m", per_rep)
}

/// Legs, hips and elbows.
fn body(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let kick = ledger.weigh(&leg_kick(scene), limits.bench.leg_kick_deg, Shows::Above);
    ledger.sign(
        "bp-legdrive-jolt",
        Join::Either,
        &[kick],
        limits.stand_in_surest,
    );
    ledger.simple(
        "bp-hips-lift",
        &hips_lift(scene),
        limits.bench.hips_lift_m,
        Shows::Above,
    );
    ledger.simple(
        "bp-lockout-soft",
        &lockout(scene),
        limits.bench.elbow_straight_deg,
        Shows::Below,
    );
}

/// Before the press, when the legs should be still.
fn before_press(scene: &Scene<'_>, rep: &Rep) -> RangeInclusive<usize> {
    let back = |seconds: f64| rep.go.saturating_sub(scene.samples(seconds));
    back(0.6)..=back(0.3)
}

/// How much the knee angle moves when the press starts, degrees.
fn leg_kick(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, knee, ankle) = (
            scene.near(Part::Hip, rep)?,
            scene.near(Part::Knee, rep)?,
            scene.near(Part::Ankle, rep)?,
        );
        let smooth = |window: RangeInclusive<usize>| {
            let angles: Vec<f64> = window.map(|at| bend(&hip, &knee, &ankle, at)).collect();
            mean(&angles, 0..=angles.len())
        };
        let before = smooth(before_press(scene, rep));
        let from = rep.go.saturating_sub(scene.samples(0.2));
        let to = rep.top.min(rep.go + scene.samples(0.5));
        let (_, kick) = largest(from..=to, |at| {
            (smooth(scene.around(at, 0.1)) - before).abs()
        })?;
        let (near, far) = (apart(&hip, &knee, rep.go), apart(&knee, &ankle, rep.go));
        let angle = bend(&hip, &knee, &ankle, rep.go).to_radians();
        let noise = joint_angle_error(near, far, angle, [hip.noise, knee.noise, ankle.noise]);
        Some(Reading::plain(
            kick,
            noise.to_degrees() * (1.0 / scene.averaging(0.2)).hypot(1.0 / scene.averaging(0.3)),
            hip.trust.min(knee.trust).min(ankle.trust),
        ))
    });
    Series::habit(
        "leg-kick",
        "movement of the knees when the press starts",
        "°",
        per_rep,
    )
}

/// How far the hips rise in the press, metres.
fn hips_lift(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let hip = scene.near(Part::Hip, rep)?;
        let before = mean(&hip.path.y, before_press(scene, rep));
        let (_, lift) = largest(rep.go..=rep.top, |at| {
            mean(&hip.path.y, scene.around(at, 0.1)) - before
        })?;
        let noise = (hip.noise / scene.averaging(0.2)).hypot(hip.noise / scene.averaging(0.3));
        Some(Reading::plain(lift, noise, hip.trust))
    });
    Series::habit("hips-lift", "rise of the hips in the press", "m", per_rep)
}

/// Elbow angle at the end of the press, degrees.
fn lockout(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        if rep.missed {
            return None;
        }
        let (shoulder, elbow, wrist) = (
            scene.near(Part::Shoulder, rep)?,
            scene.near(Part::Elbow, rep)?,
            scene.near(Part::Wrist, rep)?,
        );
        scene.widest(rep, [&shoulder, &elbow, &wrist])
    });
    Series::habit("elbow-at-top", "elbow angle at the end", "°", per_rep)
}
