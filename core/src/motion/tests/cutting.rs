//! Sets cut into repetitions, as a coach would count them.

use super::generator::Set;
use super::lens::{Lens, metres};
use super::{cut, followed, near, trace};
use crate::motion::{Motion, Rep};
use crate::report::{Lift, Trace};

/// How a set was filmed.
#[derive(Clone, Copy, Debug)]
enum Film {
    Bar,
    Body,
    Both,
    Metres,
}

const FILMS: [Film; 4] = [Film::Bar, Film::Body, Film::Both, Film::Metres];

fn traces(set: &Set, lens: &Lens, film: Film) -> Vec<Trace> {
    let bar = || trace("bar-track", "csv", lens.bar_track(set, false));
    let body = || trace("keypoints", "json", lens.keypoints(set));
    match film {
        Film::Bar => vec![bar()],
        Film::Body => vec![body()],
        Film::Both => vec![bar(), body()],
        Film::Metres => vec![trace("bar-track", "csv", metres(set))],
    }
}

fn lens_at(jitter_m: f64, lost: f64) -> Lens {
    Lens {
        jitter_m,
        lost,
        ..Lens::SIDE
    }
}

fn seconds(motion: &Motion, from: usize, to: usize) -> f64 {
    (to as f64 - from as f64) / motion.fps
}

/// From when to when the bar of the formula moves at `speed` m/s or more within a stretch, s.
fn fast(set: &Set, speed: f64, from: f64, to: f64) -> [f64; 2] {
    let poses = set.poses();
    let pairs = poses
        .windows(2)
        .filter(|pair| pair[0].t >= from && pair[1].t <= to);
    let fast = pairs.filter(|pair| (pair[1].bar[1] - pair[0].bar[1]).abs() * set.fps >= speed);
    let fast: Vec<f64> = fast.map(|pair| pair[1].t).collect();
    [fast[0], fast[fast.len() - 1]]
}

#[track_caller]
fn filmed(set: &Set, lens: &Lens, film: Film) -> (Motion, Vec<Rep>) {
    let motion = followed(set.lift, &traces(set, lens, film));
    let reps = cut(&motion);
    (motion, reps)
}

#[test]
fn three_clean_reps_are_three_reps_however_they_were_filmed() {
    for lift in Lift::ALL {
        for fps in [30.0, 60.0] {
            for film in FILMS {
                for lens in [lens_at(0.0, 0.0), lens_at(0.005, 0.1), lens_at(0.01, 0.1)] {
                    let set = Set::of(lift, fps);
                    let (motion, reps) = filmed(&set, &lens, film);
                    let what = format!("{lift:?} {fps} {film:?} {} m", lens.jitter_m);
                    assert_eq!(reps.len(), 3, "{what}: {reps:#?}");
                    let (plan, _) = set.plan();
                    for (rep, [begins, up]) in reps.iter().zip(plan) {
                        assert!(!rep.missed && rep.measured, "{what}: {rep:?}");
                        let up_at = match lift {
                            Lift::Deadlift => begins,
                            _ => begins + set.down_s + set.pause_s,
                        };
                        let [begins, _] = fast(&set, 0.05, begins, up_at + up);
                        let [goes, _] = fast(&set, 0.05, up_at, up_at + up);
                        let [_, ends] = fast(&set, 0.03, up_at, up_at + up);
                        // A tenth of a second later or earlier for each 2.5 mm of jitter.
                        let slack = 0.06 + 40.0 * lens.jitter_m;
                        // Shoulders and wrists do not move just as the bar does.
                        let other = matches!(film, Film::Body);
                        let slack = if other { slack + 0.1 } else { slack };
                        near(&what, seconds(&motion, 0, rep.start), begins, slack);
                        near(&what, seconds(&motion, 0, rep.go), goes, slack);
                        near(&what, seconds(&motion, 0, rep.top), ends, slack);
                        let order = [rep.start, rep.bottom, rep.top, rep.end];
                        if lift == Lift::Deadlift {
                            assert!(rep.bottom < rep.go && rep.go < rep.top && rep.top < rep.end);
                        } else {
                            assert!(order.is_sorted() && rep.bottom <= rep.go, "{what}: {rep:?}");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn walking_out_and_racking_are_no_reps() {
    for lift in [Lift::Squat, Lift::Bench] {
        for count in [1, 3, 8] {
            for film in FILMS {
                let set = Set {
                    reps: count,
                    racked: true,
                    slowing: 0.05,
                    ..Set::of(lift, 30.0)
                };
                let (_, reps) = filmed(&set, &lens_at(0.005, 0.0), film);
                assert_eq!(reps.len(), count, "{lift:?} {film:?}: {reps:#?}");
                assert!(reps.iter().all(|rep| !rep.missed && rep.measured));
            }
        }
    }
}

#[test]
fn a_rep_that_comes_back_is_a_missed_one() {
    for lift in Lift::ALL {
        for count in [1, 3] {
            for film in FILMS {
                let set = Set {
                    reps: count,
                    missed: true,
                    ..Set::of(lift, 60.0)
                };
                let (motion, reps) = filmed(&set, &lens_at(0.005, 0.0), film);
                let missed: Vec<bool> = reps.iter().map(|rep| rep.missed).collect();
                let mut expected = vec![false; count];
                expected[count - 1] = true;
                assert_eq!(missed, expected, "{lift:?} {film:?}: {reps:#?}");
                // It turned back where the formula's bar did.
                let rep = reps.last().unwrap();
                let (plan, _) = set.plan();
                let from = plan[count - 1][0] + if lift == Lift::Deadlift { 0.0 } else { 1.5 };
                let heights = set.poses().into_iter().filter(|pose| pose.t > from);
                let heights: Vec<f64> = heights.map(|pose| pose.bar[1]).collect();
                let low = heights.iter().copied().fold(f64::MAX, f64::min);
                let high = heights.iter().copied().fold(f64::MIN, f64::max);
                near("rise", rep.range, high - low, 0.05 * (high - low) + 0.01);
                assert!(seconds(&motion, rep.top, rep.end) > 0.3, "{rep:?}");
            }
        }
    }
}
