//! What works as a plot: curves of the share whose sign is still there.

use super::{names, percent, tables};
use cueline_core::catalog::Catalog;
use cueline_core::outcome::survival::Curve;
use cueline_core::outcome::works::{By, Line};
use std::fmt::Write as _;

/// Curves in one plot.
const MOST_CURVES: usize = 6;
/// Code points in one line of the legend: what fits beside its sample in most fonts.
pub(super) const MOST_LABEL: usize = 72;
/// Height of that line.
const LABEL_LINE: f64 = 18.0;
/// Curves are told apart by their dashes, not by colour.
const DASHES: [&str; MOST_CURVES] = ["", "8 4", "2 3", "10 3 2 3", "5 5", "1 5"];

/// A plot of the share whose sign is still there over the days, one step curve a line of the table
/// (the most given first, at most six), as a picture of its own with words for who cannot see it.
pub fn works_svg(catalog: &Catalog, lines: &[Line]) -> String {
    let (left, top, wide, high) = (50.0, 20.0, 520.0, 240.0);
    let shown: Vec<&Line> = lines.iter().take(MOST_CURVES).collect();
    let days = shown
        .iter()
        .map(|line| line.curve.last_day)
        .fold(1.0_f64, f64::max);
    // Up to a multiple of four, so that the four parts of the axis end on whole days.
    let days = (days / 4.0).ceil() * 4.0;
    let x = |day: f64| left + wide * day / days;
    let y = |still: f64| top + high * (1.0 - still);
    let legend = top + high + 50.0;
    let labels: Vec<Vec<String>> = shown
        .iter()
        .map(|line| {
            let (cause, sign) = names(catalog, line);
            let label = format!("{cause}; {sign}{} ({})", own(line), line.given);
            tables::wrapped(&label, MOST_LABEL)
        })
        .collect();
    let whole = legend + LABEL_LINE * labels.iter().map(Vec::len).sum::<usize>() as f64;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 600 {whole:.0}\" role=\"img\" \
         aria-labelledby=\"works-title works-desc\"><title id=\"works-title\">Share of lifters whose \
         sign is still there, by days since the correction</title><desc id=\"works-desc\">"
    );
    for line in &shown {
        let (cause, sign) = names(catalog, line);
        let still = percent(line.curve.still(days));
        let _ = write!(
            out,
            "{}; {}{}: {} given, {} gone, {still} still there at the end. ",
            xml(&cause),
            xml(&sign),
            own(line),
            line.given,
            line.gone
        );
    }
    let _ = write!(
        out,
        "</desc><g font-family=\"sans-serif\" font-size=\"12\" fill=\"currentColor\">\
         <path d=\"M{left} {top}V{:.1}H{:.1}\" fill=\"none\" stroke=\"currentColor\"/>",
        top + high,
        left + wide
    );
    for part in 0..=4 {
        let share = f64::from(part) / 4.0;
        let _ = write!(
            out,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{:.0}</text>",
            left - 6.0,
            y(share) + 4.0,
            percent(share),
            x(days * share),
            top + high + 16.0,
            days * share
        );
    }
    let _ = write!(
        out,
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">days</text>",
        left + wide / 2.0,
        top + high + 34.0
    );
    for (line, dash) in shown.iter().zip(DASHES) {
        let path = steps(&line.curve, x, y);
        let _ = write!(
            out,
            "<path d=\"{path}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"2\" \
             stroke-dasharray=\"{dash}\"/>"
        );
    }
    out.push_str(&legend_of(&labels, left, legend));
    out.push_str("</g></svg>");
    out
}

/// Said of a curve of the coach's own words.
const fn own(line: &Line) -> &'static str {
    match line.key.by {
        By::Catalog => "",
        By::Coach => " (the coach's own words)",
    }
}

/// Samples of the lines with what they stand for, from `top` on.
fn legend_of(labels: &[Vec<String>], left: f64, top: f64) -> String {
    let (mut out, mut below) = (String::new(), top);
    for (label, dash) in labels.iter().zip(DASHES) {
        let _ = write!(
            out,
            "<path d=\"M{left} {below:.1}h30\" fill=\"none\" stroke=\"currentColor\" \
             stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>"
        );
        for text in label {
            let (x, y) = (left + 38.0, below + 4.0);
            let _ = write!(out, "<text x=\"{x:.1}\" y=\"{y:.1}\">{}</text>", xml(text));
            below += LABEL_LINE;
        }
    }
    out
}

/// A step curve as a path.
fn steps(curve: &Curve, x: impl Fn(f64) -> f64, y: impl Fn(f64) -> f64) -> String {
    let mut path = format!("M{:.1} {:.1}", x(0.0), y(1.0));
    for step in &curve.steps {
        let _ = write!(path, "H{:.1}V{:.1}", x(step.days), y(step.still));
    }
    let _ = write!(path, "H{:.1}", x(curve.last_day));
    path
}

/// Text inside an XML document.
fn xml(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
