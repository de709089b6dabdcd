//! The deadlift: start, way of the bar, hips, finish, floor.

use super::super::Rep;
use super::super::evidence::segment_angle_error;
use super::scene::{Part, Scene, Seen, apart, bend, largest, lean, mean};
use super::series::{Join, Ledger, Pool, Reading, Series, Shows};
use super::{bar_path, front, lead, speed, tempo};

/// Half the window for places, seconds.
const PLACE_S: f64 = 0.05;

/// Share of the way up at which the bar passes the knee: .507 for the mean build of the body
/// tables (knee .285 of stature, plates of 0.45 m).
const AT_KNEE: f64 = 0.5;

/// How long before the start the hips are watched, seconds.
const BEFORE_S: f64 = 1.0;

/// All signs of the deadlift that this motion can show.
pub(super) fn signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
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
            stretch("dl-stall-floor", 0.0, limits.deadlift.low_m, true),
            stretch("dl-stall-knee", limits.deadlift.low_m, top, false),
            stretch("dl-stall-top", top, f64::INFINITY, false),
        ],
    );
    speed::dip(scene, ledger, "dl-bar-dips");
    speed::fade(scene, ledger, "dl-speed-fade", limits.deadlift.light_speed);
    ledger.simple(
        "dl-lower-dropped",
        &lowering(scene),
        limits.deadlift.dropped_speed,
        Shows::Above,
    );
    between_reps(scene, ledger);
    front::tilt(scene, ledger, "dl-bar-rotates");
    front::hip_shift(scene, ledger, "dl-hip-shift");
    front::knees(scene, ledger, None, "dl-knees-in");
    if scene.side() {
        start(scene, ledger);
        pull(scene, ledger);
        finish(scene, ledger);
    } else {
        ledger.hidden(
            "the way of the bar forwards and back: that needs a camera square from the side",
        );
        ledger.hidden("the start position, the hips and the lockout: that needs a camera square from the side");
    }
    ledger.hidden("the slack in the bar: that is heard, and too small for a camera");
}

/// Fastest speed down after the lockout, m/s.
fn lowering(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep).filter(|_| rep.end > rep.top)?;
        let (_, speed) = largest(rep.top..=rep.end, |at| -bar.up(at))?;
        Some(Reading {
            value: speed,
            noise: bar.speed_noise,
            shared: scene.scale_part(speed),
            trust: bar.trust,
        })
    });
    Series {
        id: "lowering-speed",
        plain: "fastest speed on the way down",
        unit: "m/s",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// The set-up lost between repetitions: the bar starts elsewhere, or does not stop where a dead
/// stop is meant.
fn between_reps(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let moved = ledger.weigh(
        &start_shift(scene),
        limits.deadlift.start_shift_m,
        Shows::Above,
    );
    let floor = floor_stop(scene);
    let bounced = if scene.about.meant_to_pause == Some(true) {
        ledger.weigh(&floor, limits.deadlift.floor_stop_s, Shows::Below)
    } else {
        ledger.describe(&floor);
        None
    };
    ledger.sign("dl-reps-shift", Join::Either, &[moved, bounced], 1.0);
}

/// How far from the first repetition's place the bar starts, metres; side view.
fn start_shift(scene: &Scene<'_>) -> Series {
    let mut first: Option<f64> = None;
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep).filter(|_| scene.side())?;
        let place = mean(&bar.path.x, scene.around(rep.bottom, PLACE_S));
        let Some(first) = first else {
            first = Some(place);
            return None;
        };
        let noise = std::f64::consts::SQRT_2 * bar.noise / scene.averaging(2.0 * PLACE_S);
        Some(Reading::plain((place - first).abs(), noise, bar.trust))
    });
    Series {
        id: "start-shift",
        plain: "start of the bar away from that of the first rep",
        unit: "m",
        pool: Pool::Event,
        per_rep,
        whole: None,
    }
}

/// How long the bar stands on the floor before each repetition but the first, seconds.
fn floor_stop(scene: &Scene<'_>) -> Series {
    let mut before: Option<usize> = None;
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let end = before.replace(rep.end)?;
        let blur = tempo::still_speed(scene, &bar) - scene.limits.still_speed;
        let noise = 0.05_f64.hypot(1.0 / scene.motion.fps) + blur;
        Some(Reading::plain(scene.seconds(end, rep.go), noise, bar.trust))
    });
    Series {
        id: "floor-stop",
        plain: "stop on the floor between reps",
        unit: "s",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// The position before the bar leaves.
fn start(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    ledger.simple(
        "dl-bar-far",
        &shin_gap(scene),
        limits.deadlift.shin_gap_m,
        Shows::Above,
    );
    ledger.simple(
        "dl-shoulders-behind",
        &shoulder_ahead(scene),
        limits.deadlift.shoulder_behind_m,
        Shows::Below,
    );
    ledger.simple(
        "dl-hips-drop-in",
        &hips_pop(scene),
        limits.deadlift.hips_pop_m,
        Shows::Above,
    );
    let height = hip_above_expected(scene)
        .and_then(|series| ledger.weigh(&series, limits.deadlift.hips_high_m, Shows::Above));
    let knees = knee_angle(scene, "knee-at-start", "knee angle at the start", |rep| {
        Some(rep.bottom)
    });
    let straight = ledger.weigh(&knees, limits.deadlift.start_knee_deg, Shows::Above);
    ledger.sign("dl-hips-high-start", Join::Alike, &[height, straight], 1.0);
}

/// Gap between bar and shin at the start, metres: from the bar's centre square to the line from
/// ankle to knee, less half a shin and half a bar.
fn shin_gap(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar_beside_body(rep)?;
        let (ankle, knee) = (scene.near(Part::Ankle, rep)?, scene.near(Part::Knee, rep)?);
        let at = rep.bottom;
        let (along_x, along_y) = (knee.x(at) - ankle.x(at), knee.y(at) - ankle.y(at));
        let (off_x, off_y) = (bar.x(at) - ankle.x(at), bar.y(at) - ankle.y(at));
        let length = along_x.hypot(along_y);
        let square = (off_x * along_y - off_y * along_x) / length;
        let steady = bar
            .path
            .bias
            .hypot(ankle.path.bias)
            .hypot(knee.path.bias / 2.0);
        Some(Reading {
            value: square - scene.limits.deadlift.shin_and_bar_m,
            noise: bar.noise.hypot(ankle.noise),
            shared: steady.hypot(scene.parallax()),
            trust: bar.trust.min(ankle.trust).min(knee.trust),
        })
    });
    Series {
        id: "shin-gap",
        plain: "gap between bar and shins at the start",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// Shoulder ahead of the bar at the start, metres.
fn shoulder_ahead(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar_beside_body(rep)?;
        let shoulder = scene.near(Part::Shoulder, rep)?;
        let window = scene.around(rep.bottom, PLACE_S);
        let value = mean(&shoulder.path.x, window.clone()) - mean(&bar.path.x, window);
        let steady = bar.path.bias.hypot(shoulder.path.bias);
        Some(Reading {
            value,
            noise: bar.noise.hypot(shoulder.noise),
            shared: steady.hypot(scene.parallax()),
            trust: bar.trust.min(shoulder.trust),
        })
    });
    Series {
        id: "shoulder-ahead",
        plain: "shoulders ahead of the bar at the start",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// How far the hips rise from their lowest place before the bar leaves, metres.
fn hips_pop(scene: &Scene<'_>) -> Series {
    let mut over = 0;
    let per_rep = scene.each(|rep| {
        let earliest = std::mem::replace(&mut over, rep.end);
        let hip = scene.near(Part::Hip, rep)?;
        let from = rep
            .bottom
            .saturating_sub(scene.samples(BEFORE_S))
            .max(earliest);
        if from >= rep.bottom {
            return None;
        }
        let height = |at: usize| mean(&hip.path.y, scene.around(at, PLACE_S));
        let (_, low) = largest(from..=rep.bottom, |at| -height(at))?;
        let noise = std::f64::consts::SQRT_2 * hip.noise;
        Some(Reading::plain(height(rep.bottom) + low, noise, hip.trust))
    });
    Series {
        id: "hips-pop",
        plain: "rise of the hips before the bar leaves",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// Hip at the start above what the build lets expect, metres.
fn hip_above_expected(scene: &Scene<'_>) -> Option<Series> {
    let (expected, spread) = scene.about.expected_hip_height_m?;
    let per_rep = scene.each(|rep| {
        let (hip, ankle) = (scene.near(Part::Hip, rep)?, scene.near(Part::Ankle, rep)?);
        let window = scene.around(rep.bottom, PLACE_S);
        let height = mean(&hip.path.y, window.clone()) - mean(&ankle.path.y, window);
        let steady = hip.path.bias.hypot(ankle.path.bias);
        Some(Reading {
            value: height - expected,
            noise: hip.noise.hypot(ankle.noise) / scene.averaging(2.0 * PLACE_S),
            shared: steady.hypot(spread).hypot(scene.scale_part(height)),
            trust: hip.trust.min(ankle.trust),
        })
    });
    Some(Series {
        id: "hip-height",
        plain: "hips at the start above what the build lets expect",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    })
}

/// Knee angle of each repetition at a sample of it, degrees.
fn knee_angle(
    scene: &Scene<'_>,
    id: &'static str,
    plain: &'static str,
    at: impl Fn(&Rep) -> Option<usize>,
) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, knee, ankle) = leg(scene, rep)?;
        scene.angle(&at(rep).map(|at| at..=at)?, [&hip, &knee, &ankle])
    });
    Series {
        id,
        plain,
        unit: "°",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

fn leg<'a>(scene: &Scene<'a>, rep: &Rep) -> Option<(Seen<'a>, Seen<'a>, Seen<'a>)> {
    Some((
        scene.near(Part::Hip, rep)?,
        scene.near(Part::Knee, rep)?,
        scene.near(Part::Ankle, rep)?,
    ))
}

/// When the bar has made a share of its way up.
fn at_share(scene: &Scene<'_>, rep: &Rep, share: f64) -> Option<usize> {
    let bar = scene.bar(rep)?;
    let low = bar.y(rep.bottom);
    let full = speed::full_range(scene)?;
    (rep.go..=rep.top).find(|at| bar.y(*at) - low >= share * full)
}

/// From the floor to the knee.
fn to_the_knee(scene: &Scene<'_>, rep: &Rep) -> Option<lead::Span> {
    Some(lead::Span {
        from: rep.bottom,
        to: at_share(scene, rep, AT_KNEE)?,
    })
}

/// The way up.
fn pull(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let hips = ledger.weigh(
        &lead::hips_lead(scene, |rep, _| to_the_knee(scene, rep)),
        limits.deadlift.hips_lead,
        Shows::Above,
    );
    let chest = ledger.weigh(
        &lead::lean_gain(scene, |rep, _| to_the_knee(scene, rep)),
        limits.deadlift.lean_gain_deg,
        Shows::Above,
    );
    ledger.sign("dl-hips-shoot", Join::Alike, &[hips, chest], 1.0);
    ledger.simple(
        "dl-bar-drifts",
        &bar_path::drift(scene, "bar-drift", |rep| (rep.go, rep.top)),
        limits.deadlift.drift_m,
        Shows::Above,
    );
    let early = knee_angle(
        scene,
        "knee-below-knee",
        "knee angle shortly before the bar is at the knees",
        |rep| at_share(scene, rep, 0.8 * AT_KNEE),
    );
    ledger.simple(
        "dl-legs-locked-early",
        &early,
        limits.deadlift.early_knee_deg,
        Shows::Above,
    );
    let stop = ledger.weigh(
        &stop_above_knee(scene),
        limits.deadlift.hitch_s,
        Shows::Above,
    );
    let again = ledger.weigh(
        &knees_bend_again(scene),
        limits.deadlift.hitch_deg,
        Shows::Above,
    );
    ledger.sign("dl-hitch", Join::Both, &[stop, again], 1.0);
}

/// Longest stop above the knee and short of the top, seconds.
fn stop_above_knee(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let from = at_share(scene, rep, AT_KNEE)?;
        let still = tempo::still_speed(scene, &bar);
        let ceiling = bar.y(rep.bottom) + 0.95 * (bar.y(rep.top) - bar.y(rep.bottom));
        let (mut run, mut longest) = (0_usize, 0_usize);
        for at in from..=rep.top {
            let stands = bar.up(at).abs() < still && bar.y(at) < ceiling;
            run = if stands { run + 1 } else { 0 };
            longest = longest.max(run);
        }
        let noise = (2.0 / scene.motion.fps).max(0.04);
        Some(Reading::plain(
            longest as f64 / scene.motion.fps,
            noise,
            bar.trust,
        ))
    });
    Series {
        id: "stop-above-knee",
        plain: "stop of the bar on the thighs",
        unit: "s",
        pool: Pool::Event,
        per_rep,
        whole: None,
    }
}

/// How far the knees bend again once the bar is above them, degrees.
fn knees_bend_again(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, knee, ankle) = leg(scene, rep)?;
        let from = at_share(scene, rep, AT_KNEE)?;
        let (mut straightest, mut most) = (0.0_f64, 0.0_f64);
        for at in from..=rep.top {
            let around = scene.around(at, PLACE_S);
            let angles: Vec<f64> = around.map(|at| bend(&hip, &knee, &ankle, at)).collect();
            let angle = mean(&angles, 0..=angles.len());
            straightest = straightest.max(angle);
            most = most.max(straightest - angle);
        }
        let one = scene.angle(&(from..=from), [&hip, &knee, &ankle])?;
        let noise = std::f64::consts::SQRT_2 * one.noise / scene.averaging(2.0 * PLACE_S);
        Some(Reading::plain(most, noise, one.trust))
    });
    Series {
        id: "knees-bend-again",
        plain: "bending of the knees with the bar above them",
        unit: "°",
        pool: Pool::Event,
        per_rep,
        whole: None,
    }
}

/// The lockout.
fn finish(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let at_top = |id, plain, parts: [Part; 3]| {
        let per_rep = scene.each(|rep| {
            if rep.missed {
                return None;
            }
            let [one, middle, other] = parts.map(|part| scene.near(part, rep));
            scene.widest(rep, [&one?, &middle?, &other?])
        });
        Series {
            id,
            plain,
            unit: "°",
            pool: Pool::Habit,
            per_rep,
            whole: None,
        }
    };
    let knees = at_top(
        "knee-at-top",
        "knee angle at the end",
        [Part::Hip, Part::Knee, Part::Ankle],
    );
    ledger.simple(
        "dl-knees-soft-end",
        &knees,
        limits.deadlift.lockout_deg,
        Shows::Below,
    );
    let hips = at_top(
        "hip-at-top",
        "hip angle at the end",
        [Part::Shoulder, Part::Hip, Part::Knee],
    );
    ledger.simple(
        "dl-shoulders-forward-end",
        &hips,
        limits.deadlift.lockout_deg,
        Shows::Below,
    );
    ledger.simple(
        "dl-lean-back",
        &lean_back(scene),
        limits.deadlift.lean_back_deg,
        Shows::Above,
    );
}

/// Trunk behind the vertical at the end, degrees.
fn lean_back(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, shoulder) = lead::trunk(scene, rep).filter(|_| !rep.missed)?;
        let back = -lean(&hip, &shoulder, rep.top);
        let length = apart(&hip, &shoulder, rep.top);
        let of = |one: f64, other: f64| segment_angle_error(one, other, length).to_degrees();
        Some(Reading {
            value: back,
            noise: of(hip.noise, shoulder.noise),
            shared: of(hip.path.bias, shoulder.path.bias),
            trust: hip.trust.min(shoulder.trust),
        })
    });
    Series {
        id: "lean-back",
        plain: "lean of the trunk backwards at the end",
        unit: "°",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}
