//! The colour of a depth of beer on a screen and in a laboratory.

use brewing::colour::spectrum::{Viewing, lab, srgb, tristimulus};
use gyle_tests::generate::Dice;
use quantity::typed::{Length, Srm};
use serde_json::json;

use crate::Case;

/// Every case of the area.
pub(crate) fn cases(dice: &mut Dice) -> Vec<Case> {
    (0..300)
        .map(|_| {
            // Even in the logarithm: pale beers are where the eye sees most.
            let colour = dice.between(f64::ln(1.0), f64::ln(60.0)).exp();
            let cm = dice.between(0.5, 10.0);
            let (viewing, kind) =
                *dice.pick(&[(Viewing::Screen, "screen"), (Viewing::Laboratory, "laboratory")]);
            let (srm, depth) = (Srm::from_srm(colour), Length::from_metres(cm / 100.0));
            let (found, sums, screen) =
                (lab(srm, depth, viewing), tristimulus(srm, depth, viewing), srgb(srm, depth));
            let gyle = json!({
                "lab": [found.lightness, found.a, found.b],
                "xyz": [sums.x, sums.y, sums.z],
                "srgb": screen.channels,
            });
            (kind, json!({ "srm": colour, "cm": cm }), gyle)
        })
        .collect()
}
