//! Drawings made of shapes into dots (PNG). The only place that knows the drawing library.
//!
//! Nothing is looked for outside: no fonts, no files, no addresses. The same drawing gives the same
//! bytes in one build.

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use thiserror::Error;

/// Longest side of a picture, dots.
const MOST_DOTS: u32 = 4_000;

/// Why there is no picture.
#[derive(Debug, Error)]
pub(crate) enum RasterFault {
    /// No drawing.
    #[error("the drawing cannot be read: {0}")]
    Drawing(String),
    /// Its size.
    #[error("the drawing is {wide} x {high} dots, accepted are 1 to {MOST_DOTS} a side")]
    Size {
        /// Width.
        wide: u32,
        /// Height.
        high: u32,
    },
    /// It could not be packed.
    #[error("the picture cannot be packed: {0}")]
    Packing(String),
}

/// A PNG file of a drawing, at the size the drawing says.
pub(crate) fn png(svg: &str) -> Result<Vec<u8>, RasterFault> {
    let tree = Tree::from_str(svg, &Options::default())
        .map_err(|error| RasterFault::Drawing(error.to_string()))?;
    let size = tree.size().to_int_size();
    let (wide, high) = (size.width(), size.height());
    let fault = || RasterFault::Size { wide, high };
    if wide > MOST_DOTS || high > MOST_DOTS {
        return Err(fault());
    }
    let mut dots = Pixmap::new(wide, high).ok_or_else(fault)?;
    resvg::render(&tree, Transform::identity(), &mut dots.as_mut());
    dots.encode_png()
        .map_err(|error| RasterFault::Packing(error.to_string()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use cueline_core::load::{Rounding, load_bar, usual_plates};
    use cueline_core::picture::of_set;
    use cueline_core::quantity::{Mass, MassUnit};

    fn bar(kg: f64) -> String {
        let load = Mass::new(kg, MassUnit::Kg);
        let bar = load_bar(load, &usual_plates(MassUnit::Kg), Rounding::Nearest).unwrap();
        of_set(Some(&bar), &[]).unwrap()
    }

    /// Height in dots of what stands at this column and is not paper.
    fn high_at(dots: &Pixmap, x: u32) -> usize {
        let paper = dots.pixel(0, 0).unwrap();
        (0..dots.height())
            .filter(|y| dots.pixel(x, *y).unwrap() != paper)
            .count()
    }

    #[test]
    fn a_bar_becomes_a_png_file_with_plates_of_the_right_size() {
        let png = png(&bar(70.0)).unwrap();
        // The first eight bytes of every PNG file (W3C PNG specification, section 5.2).
        assert_eq!(png[..8], *b"\x89PNG\r\n\x1a\n");
        let dots = Pixmap::decode_png(&png).unwrap();
        assert_eq!((dots.width(), dots.height()), (1200, 280));
        // One dot is 2 mm: a plate of 25 kg and 450 mm right beside the stop, 655 + 30 mm from the
        // middle at 1,200 mm, is 225 dots high; the shaft of 28 mm is 14.
        let plate = high_at(&dots, (1200 + 655 + 30 + 10) / 2);
        assert!((224..=227).contains(&plate), "{plate}");
        let shaft = high_at(&dots, 600);
        assert!((14..=16).contains(&shaft), "{shaft}");
    }

    #[test]
    fn the_same_drawing_gives_the_same_bytes_and_stays_small() {
        let svg = bar(250.0);
        let first = png(&svg).unwrap();
        assert_eq!(first, png(&svg).unwrap());
        assert!(first.len() < 40_000, "{}", first.len());
        assert_ne!(first, png(&bar(240.0)).unwrap());
    }

    #[test]
    fn what_is_no_drawing_or_too_large_is_refused() {
        assert!(matches!(png("<p>hello"), Err(RasterFault::Drawing(_))));
        let large = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9000\" height=\"10\"/>";
        let refused = png(large);
        assert!(
            matches!(refused, Err(RasterFault::Size { wide: 9000, .. })),
            "{refused:?}"
        );
    }
}
