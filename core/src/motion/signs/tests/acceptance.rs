//! How often a sign of a stated size is found, and how often a clean set is left alone, with the
//! noise of a usual camera: 10 mm on points of the body, 3 mm on the bar, one frame in ten lost.
//! The table is printed (`cargo test -p cueline-core --lib acceptance -- --nocapture`).
//!
//! Faults and limits come from the same hand, and the sets are made: the figures say that the
//! measuring is sound, not how it fares with real lifters.

use super::super::super::Camera;
use super::super::super::tests::generator::Set;
use super::film::Film;
use super::{About, measure_about, sign};
use crate::report::Lift;

/// Sets of each kind.
const SETS: u64 = 120;

/// One sign, clean and faulty.
struct Trial {
    sign: &'static str,
    fault: &'static str,
    clean: Set,
    faulty: Set,
    film: Film,
    /// Least sensitivity and specificity.
    least: (f64, f64),
}

/// Interval of a share with 95 % confidence (E. B. Wilson 1927).
pub(super) fn wilson(hits: u64, of: u64) -> (f64, f64) {
    let (n, z) = (of as f64, 1.959_963_984_540_054);
    let share = hits as f64 / n;
    let middle = share + z * z / (2.0 * n);
    let half = z * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    let all = 1.0 + z * z / n;
    ((middle - half) / all, (middle + half) / all)
}

/// In how many sets the sign is more probable than not, and in how many it was measured.
fn called(set: &Set, trial: &Trial) -> (u64, u64) {
    let about = About {
        meant_to_pause: Some(true),
        ..About::default()
    };
    let mut counts = (0, 0);
    for seed in 0..SETS {
        let film = Film {
            seed: 1000 + seed,
            ..trial.film
        };
        let found = measure_about(set, &film, &about);
        if let Some(one) = sign(&found, trial.sign) {
            counts.1 += 1;
            counts.0 += u64::from(one.probability > 0.5);
        }
    }
    counts
}

fn trials() -> Vec<Trial> {
    let squat = Set::of(Lift::Squat, 30.0);
    let bench = Set::of(Lift::Bench, 60.0);
    let pull = Set::of(Lift::Deadlift, 30.0);
    let front = Film {
        camera: Camera::FrontOrRear,
        ..Film::USUAL
    };
    let trial = |sign, fault, clean, faulty, film| Trial {
        sign,
        fault,
        clean,
        faulty,
        film,
        least: (0.95, 0.95),
    };
    let usual = Film::USUAL;
    let long = |set: Set| Set { reps: 6, ..set };
    vec![
        trial(
            "sq-hips-shoot",
            "20° of extra lean",
            squat,
            Set {
                shoot_deg: 20.0,
                ..squat
            },
            usual,
        ),
        trial(
            "sq-depth-short",
            "thighs 8° above level",
            Set {
                high_deg: -8.0,
                ..squat
            },
            Set {
                high_deg: 8.0,
                ..squat
            },
            usual,
        ),
        Trial {
            // What the ankle shows of a heel is close to the noise.
            least: (0.85, 0.9),
            ..trial(
                "sq-heels-rise",
                "20 mm",
                squat,
                Set {
                    heel_m: 0.02,
                    ..squat
                },
                usual,
            )
        },
        trial(
            "sq-bar-forward",
            "8° of lean on the way up",
            squat,
            Set {
                drift: 8.0,
                ..squat
            },
            Film {
                bar: false,
                ..usual
            },
        ),
        trial(
            "sq-slow-down",
            "5 s",
            squat,
            Set {
                down_s: 5.0,
                ..squat
            },
            usual,
        ),
        trial(
            "sq-drop-fast",
            "0.7 s",
            squat,
            Set {
                down_s: 0.7,
                pause_s: 0.0,
                ..squat
            },
            usual,
        ),
        trial(
            "sq-stall-mid",
            "speed in two humps",
            squat,
            Set {
                sticking: true,
                ..squat
            },
            usual,
        ),
        trial(
            "sq-speed-fade",
            "last rep half as fast",
            long(squat),
            Set {
                slowing: 0.2,
                ..long(squat)
            },
            usual,
        ),
        trial(
            "sq-knees-in-up",
            "4 cm each",
            squat,
            Set {
                knees_in_m: 0.04,
                ..squat
            },
            front,
        ),
        trial(
            "sq-bar-twists",
            "right end 0.10 s late",
            squat,
            Set {
                right_late_s: 0.1,
                ..squat
            },
            front,
        ),
        trial(
            "bp-uneven",
            "right end 0.10 s late",
            bench,
            Set {
                right_late_s: 0.1,
                ..bench
            },
            front,
        ),
        trial(
            "bp-path-feet",
            "up first",
            bench,
            Set { path: 2.0, ..bench },
            usual,
        ),
        trial(
            "bp-path-face-early",
            "back first",
            bench,
            Set { path: 0.5, ..bench },
            usual,
        ),
        trial(
            "bp-touch-low",
            "24 cm from lockout",
            bench,
            Set {
                touch: [0.24, 0.45],
                ..bench
            },
            usual,
        ),
        trial(
            "bp-touch-high",
            "over the shoulder",
            bench,
            Set {
                touch: [0.0, 0.45],
                ..bench
            },
            usual,
        ),
        trial(
            "bp-sinks",
            "25 mm",
            bench,
            Set {
                sink_m: 0.025,
                ..bench
            },
            usual,
        ),
        trial(
            "bp-no-pause",
            "no stop",
            bench,
            Set {
                pause_s: 0.0,
                ..bench
            },
            usual,
        ),
        trial(
            "bp-hips-lift",
            "5 cm",
            bench,
            Set {
                hips_m: 0.05,
                ..bench
            },
            usual,
        ),
        trial(
            "bp-stall-mid",
            "speed in two humps",
            bench,
            Set {
                sticking: true,
                ..bench
            },
            usual,
        ),
        trial(
            "bp-speed-fade",
            "last rep half as fast",
            long(bench),
            Set {
                slowing: 0.2,
                ..long(bench)
            },
            usual,
        ),
        trial(
            "bp-slow-down",
            "5 s",
            bench,
            Set {
                down_s: 5.0,
                ..bench
            },
            usual,
        ),
        trial(
            "dl-hips-shoot",
            "30° of thigh ahead",
            pull,
            Set {
                shoot_deg: 30.0,
                ..pull
            },
            usual,
        ),
        trial(
            "dl-bar-drifts",
            "5 cm",
            pull,
            Set {
                drift: 0.05,
                ..pull
            },
            usual,
        ),
        trial(
            "dl-hitch",
            "0.3 s on the thighs",
            pull,
            Set {
                hitch_s: 0.3,
                ..pull
            },
            usual,
        ),
        trial(
            "dl-shoulders-forward-end",
            "25° short",
            pull,
            Set {
                soft_deg: 25.0,
                ..pull
            },
            usual,
        ),
        trial(
            "dl-stall-knee",
            "speed in two humps",
            pull,
            Set {
                sticking: true,
                ..pull
            },
            usual,
        ),
        trial(
            "dl-speed-fade",
            "last rep half as fast",
            long(pull),
            Set {
                slowing: 0.2,
                ..long(pull)
            },
            usual,
        ),
        trial(
            "dl-bar-rotates",
            "right end 0.10 s late",
            pull,
            Set {
                right_late_s: 0.1,
                ..pull
            },
            front,
        ),
    ]
}

#[test]
fn faults_of_stated_size_are_found_and_clean_sets_left_alone() {
    let mut short = Vec::new();
    println!(
        "{:26} {:26} {:>6} {:15} {:>6} {:15}",
        "sign", "fault", "sens", "95 %", "spec", "95 %"
    );
    for trial in trials() {
        let (hits, seen) = called(&trial.faulty, &trial);
        let (wrong, clean) = called(&trial.clean, &trial);
        let shares = (
            hits as f64 / seen.max(1) as f64,
            1.0 - wrong as f64 / clean.max(1) as f64,
        );
        let (low, high) = wilson(hits, seen.max(1));
        let (from, to) = wilson(clean - wrong, clean.max(1));
        println!(
            "{:26} {:26} {:6.3} [{low:.3}, {high:.3}] {:6.3} [{from:.3}, {to:.3}]  of {seen} and {clean}",
            trial.sign, trial.fault, shares.0, shares.1
        );
        if seen < SETS || clean < SETS || shares.0 < trial.least.0 || shares.1 < trial.least.1 {
            short.push((trial.sign, shares, seen, clean));
        }
    }
    assert!(short.is_empty(), "short of what was promised: {short:?}");
}
