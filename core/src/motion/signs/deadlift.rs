//! The deadlift: start, way of the bar, hips, finish, floor.

use super::super::Rep;
use super::super::evidence::segment_angle_error;
use super::scene::{Part, Scene, Seen, apart, bend, largest, lean, mean};
use super::series::{Join, Ledger, Reading, Series, Shows};
use super::{bar_path, deadlift_start, front, lead, speed, tempo};

/// Half the window for places, seconds.
const PLACE_S: f64 = 0.05;

/// Share of the way up at which the bar passes the knee: .507 for the mean build of the body
/// tables (knee .285 of stature, plates of 0.45 m).
const AT_KNEE: f64 = 0.5;

/// Share of the way up over which hips and shoulders are compared.
const OFF_FLOOR: f64 = 0.2;

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
        deadlift_start::signs(scene, ledger);
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
    Series::habit(
        "lowering-speed",
        "fastest speed on the way down",
        "m/s",
        per_rep,
    )
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
    Series::event(
        "start-shift",
        "start of the bar away from that of the first rep",
        "m",
        per_rep,
    )
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
    Series::habit("floor-stop", "stop on the floor between reps", "s", per_rep)
}

/// Knee angle of each repetition at a sample of it, degrees.
pub(super) fn knee_angle(
    scene: &Scene<'_>,
    id: &'static str,
    plain: &'static str,
    at: impl Fn(&Rep) -> Option<usize>,
) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, knee, ankle) = leg(scene, rep)?;
        scene.angle(&at(rep).map(|at| at..=at)?, [&hip, &knee, &ankle])
    });
    Series::habit(id, plain, "°", per_rep)
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

/// Off the floor. Over the whole way to the knee the hips cannot rise much more than the shoulders:
/// a mean build would have straight legs by then. What counts is whether they do so at first.
fn off_the_floor(scene: &Scene<'_>, rep: &Rep) -> Option<lead::Span> {
    Some(lead::Span {
        from: rep.bottom,
        to: at_share(scene, rep, OFF_FLOOR)?,
    })
}

/// The way up.
fn pull(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let hips = ledger.weigh(
        &lead::hips_lead(scene, |rep, _| off_the_floor(scene, rep)),
        limits.deadlift.hips_lead,
        Shows::Above,
    );
    let chest = ledger.weigh(
        &lead::lean_gain(scene, |rep, _| off_the_floor(scene, rep)),
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
    Series::event(
        "stop-above-knee",
        "stop of the bar on the thighs",
        "s",
        per_rep,
    )
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
    Series::event(
        "knees-bend-again",
        "bending of the knees with the bar above them",
        "°",
        per_rep,
    )
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
        Series::habit(id, plain, "°", per_rep)
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
    Series::habit(
        "lean-back",
        "lean of the trunk backwards at the end",
        "°",
        per_rep,
    )
}
