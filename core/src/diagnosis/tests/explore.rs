use super::books::{CATALOG, book};
use crate::diagnosis::*;
use crate::report::{Lift, SetReport};

struct Lcg(u64);
impl Lcg {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn vignette(lift: Lift, rng: &mut Lcg, two: bool) -> Option<(String, Option<String>, Vec<String>)> {
    let b = book(lift);
    let c = &b.causes[(rng.next() * b.causes.len() as f64) as usize];
    let mut signs: Vec<String> = vec![];
    let pick = |c: &crate::catalog::Cause, n: usize, signs: &mut Vec<String>, rng: &mut Lcg| {
        let mut tries = 0;
        let mut got = 0;
        while got < n && tries < 60 {
            tries += 1;
            let (id, s) = &c.shows[(rng.next() * c.shows.len() as f64) as usize];
            if b.sign(id).unwrap().pain || b.sign(id).unwrap().rule_only {
                continue;
            }
            if !signs.contains(id) && rng.next() < s.probability() {
                signs.push(id.clone());
                got += 1;
            }
        }
    };
    let d = if two {
        let fed: Vec<_> = c
            .feeds
            .iter()
            .filter_map(|f| b.cause(f))
            .filter(|d| d.link > c.link)
            .collect();
        if fed.is_empty() {
            return None;
        }
        Some(fed[(rng.next() * fed.len() as f64) as usize])
    } else {
        None
    };
    pick(c, if two { 2 } else { 3 }, &mut signs, rng);
    if let Some(d) = d {
        pick(d, 2, &mut signs, rng);
    }
    Some((c.id.clone(), d.map(|d| d.id.clone()), signs))
}

#[test]
#[ignore]
fn explore() {
    let mut conf = std::collections::BTreeMap::<(String, String), usize>::new();
    for link in [0.05, 0.1] {
        for margin in [1.0, 1.25] {
            let s = Settings {
                link,
                margin,
                most_questions: 0,
                ..Settings::default()
            };
            let mut line = format!("link {link} margin {margin}: ");
            for two in [false, true] {
                let mut rng = Lcg(7);
                let (mut n, mut ok, mut top3, mut unsure, mut okd) = (0, 0, 0, 0, 0);
                while n < 900 {
                    let lift = Lift::ALL[n % 3];
                    let Some((c, d, signs)) = vignette(lift, &mut rng, two) else {
                        continue;
                    };
                    n += 1;
                    let mut report = SetReport {
                        lift: Some(lift),
                        ..SetReport::default()
                    };
                    report.effort = Some(crate::quantity::Effort::Rpe(
                        crate::quantity::Span::exactly(if c.contains("overload") {
                            9.5
                        } else {
                            7.5
                        }),
                    ));
                    if c.contains("handoff") {
                        report.setting.hand_off = Some(true);
                    }
                    if lift == Lift::Deadlift {
                        report.variant.stance = Some(if c.contains("sumo") {
                            crate::report::Stance::Sumo
                        } else {
                            crate::report::Stance::Conventional
                        });
                    }
                    let f: Vec<Finding> = signs
                        .iter()
                        .map(|s| Finding {
                            sign: s.clone(),
                            probability: 1.0,
                            from: Origin::Ticked,
                        })
                        .collect();
                    let r = diagnose(book(lift), &CATALOG.context, &report, &f, &s);
                    if r.chosen.is_empty() {
                        unsure += 1;
                    }
                    if link == 0.05 && margin == 0.5 && !two && r.chosen.first() != Some(&c) {
                        *conf
                            .entry((c.clone(), r.chosen.first().cloned().unwrap_or_default()))
                            .or_default() += 1;
                    }
                    if r.chosen.first() == Some(&c) {
                        ok += 1;
                    } else if d.is_some() && r.chosen.first() == d.as_ref() {
                        okd += 1;
                    }
                    if r.beliefs.iter().take(3).any(|b| b.cause == c) {
                        top3 += 1;
                    }
                }
                line += &format!(
                    "  two={two} first {:.1}% (downstream {:.1}) top3 {:.1}% none {:.1}%",
                    ok as f64 / 9.0,
                    okd as f64 / 9.0,
                    top3 as f64 / 9.0,
                    unsure as f64 / 9.0
                );
            }
            println!("{line}");
        }
    }
    let mut v: Vec<_> = conf.into_iter().collect();
    v.sort_by_key(|x| std::cmp::Reverse(x.1));
    for x in v.iter().take(45) {
        println!("{x:?}");
    }
}
