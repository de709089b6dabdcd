//! Points of the body as JSON.

use super::header::document;
use super::people::{self, Person};
use super::{FARTHEST, Faults, MOST_FRAMES, Point, Samples, Series, push_time, quoted};
use crate::motion::{Joint, TraceLimits};
use crate::report::FieldError;
use serde::Deserialize;
use serde::de::{Deserializer, Error as _, SeqAccess, Visitor};
use std::collections::BTreeMap;
use std::fmt;

document! {
    /// The whole trace.
    Body { frames: Vec<Image>, results: Vec<Found> }
}

/// One frame of the own shape.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Image {
    #[serde(default)]
    t: Option<f64>,
    #[serde(default)]
    frame: Option<f64>,
    #[serde(default)]
    keypoints: Option<Flat>,
    #[serde(default)]
    people: Option<Vec<Flat>>,
}

/// One person found in one image, as COCO results have it; what else stands there is left alone.
#[derive(Deserialize)]
struct Found {
    image_id: u64,
    #[serde(default)]
    category_id: Option<u64>,
    keypoints: Flat,
}

/// COCO's number for a person.
const PERSON: u64 = 1;

/// 51 numbers: x, y and confidence of 17 points; none when nobody was found.
struct Flat(Option<Box<Person>>);

impl<'de> Deserialize<'de> for Flat {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Numbers;
        impl<'de> Visitor<'de> for Numbers {
            type Value = Flat;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("51 numbers, or none")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Flat, A::Error> {
                let mut numbers = Box::new([0.0_f64; 51]);
                let mut count = 0_usize;
                while let Some(number) = seq.next_element::<f64>()? {
                    if let Some(place) = numbers.get_mut(count) {
                        *place = number;
                    }
                    count += 1;
                }
                match count {
                    0 => Ok(Flat(None)),
                    51 => Ok(Flat(Some(numbers))),
                    other => Err(A::Error::invalid_length(other, &self)),
                }
            }
        }
        deserializer.deserialize_seq(Numbers)
    }
}

const ACCEPTED: &str = "JSON with fps and frames, each with t and keypoints (51 numbers), or with fps \
                        and results";

/// When, and who is in the image.
type Moment = (Option<f64>, Option<f64>, Vec<Person>);

/// Reads a trace of keypoints.
pub(super) fn read(
    field: &str,
    text: &str,
    limits: &TraceLimits,
) -> Result<Samples, Vec<FieldError>> {
    let mut faults = Faults::of(field);
    if text.trim_start().starts_with('[') {
        return Err(faults.only("a bare list", ACCEPTED));
    }
    let body: Body = serde_json::from_str(text)
        .map_err(|error| Faults::of(field).only(quoted(&error.to_string()), ACCEPTED))?;
    let mut header = body.header(&mut faults);
    header.pixels = header.pixels.or(Some(true));
    let moments: Vec<Moment> = match (body.frames, body.results) {
        (Some(frames), None) => frames.into_iter().zip(0..).map(of_frame).collect(),
        (None, Some(results)) => of_results(results),
        (Some(_), Some(_)) => return Err(faults.only("both frames and results", ACCEPTED)),
        (None, None) => return Err(faults.only("neither frames nor results", ACCEPTED)),
    };
    if moments.len() > MOST_FRAMES {
        let found = format!("{} frames", moments.len());
        return Err(faults.only(found, format!("at most {MOST_FRAMES} frames")));
    }
    let mut times = Vec::with_capacity(moments.len());
    for (number, (t, frame, crowd)) in moments.iter().enumerate() {
        match t.or_else(|| Some((*frame)? / header.fps?)) {
            Some(time) => push_time(&mut faults, &mut times, time, "frame", number),
            None => faults.add(format!("frame {number}: no time"), "t in seconds, or fps"),
        }
        let far = crowd.iter().flat_map(|person| person.iter());
        if let Some(far) = far.into_iter().find(|value| value.abs() > FARTHEST) {
            faults.add(
                format!("frame {number}: {far}"),
                format!("places from -{FARTHEST} to {FARTHEST}"),
            );
        }
        if faults.full() {
            break;
        }
    }
    faults.end(())?;
    let mut crowds: Vec<Vec<Person>> = moments.into_iter().map(|(_, _, crowd)| crowd).collect();
    let mut notes = Vec::new();
    notes.extend(people::settle_confidence(&mut crowds));
    let (chosen, lost) = people::follow_one(&crowds, limits);
    if lost as f64 > limits.missing_share * crowds.len() as f64 {
        return Err(Faults::of(field).only(
            format!("several people, and the one followed is lost in {lost} frames"),
            "one person, in the image all through",
        ));
    }
    if lost > 0 {
        notes.push(format!(
            "the person followed is lost among others in {lost} frames"
        ));
    }
    Ok(Samples {
        field: field.to_owned(),
        is_bar: false,
        header,
        scale: None,
        times,
        series: series(&chosen, limits),
        notes,
    })
}

fn of_frame((frame, number): (Image, u32)) -> Moment {
    let alone = frame.keypoints.into_iter();
    let people = alone.chain(frame.people.unwrap_or_default());
    (
        frame.t,
        frame.frame.or(Some(f64::from(number))),
        people
            .filter_map(|flat| flat.0.map(|person| *person))
            .collect(),
    )
}

/// People by image, in the order of the images' numbers.
fn of_results(results: Vec<Found>) -> Vec<Moment> {
    let mut images: BTreeMap<u64, Vec<Person>> = BTreeMap::new();
    for found in results {
        let people = images.entry(found.image_id).or_default();
        if found.category_id.is_none_or(|category| category == PERSON) {
            people.extend(found.keypoints.0.map(|person| *person));
        }
    }
    let first = images.keys().next().copied().unwrap_or_default();
    images
        .into_iter()
        .map(|(id, people)| (None, Some((id - first) as f64), people))
        .collect()
}

/// Each point through all frames.
fn series(chosen: &[Option<&Person>], limits: &TraceLimits) -> Vec<Series> {
    let mut all = Vec::new();
    for (at, joint) in Joint::ALL.into_iter().enumerate() {
        let mut one = Series {
            point: Point::Body(joint),
            x: Vec::with_capacity(chosen.len()),
            y: Vec::with_capacity(chosen.len()),
            trust: Vec::with_capacity(chosen.len()),
        };
        for person in chosen {
            let seen = person.map(|person| people::point(person, at));
            let seen = seen.filter(|[_, _, sure]| *sure >= limits.missing_below);
            let [x, y, sure] = seen.unwrap_or_default();
            one.x.push(x);
            one.y.push(y);
            one.trust.push(sure);
        }
        if one.trust.iter().any(|sure| *sure > 0.0) {
            all.push(one);
        }
    }
    all
}
