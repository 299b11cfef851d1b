//! Figures of single lines, for hints and for `lines` in the output.

use quantity::Dimension;
use recipe::{Amount, Joins};
use syntax::vocabulary::BlockKind;

use crate::calc::Calc;
use crate::figure::{Ion, LineFigure, LineValue};
use crate::show::Show;

impl Calc<'_> {
    /// Every figure of a line that can be computed, in the order of the recipe.
    #[must_use]
    pub fn lines(&self) -> Vec<LineValue> {
        let mut all = Vec::new();
        self.grist_lines(&mut all);
        self.hop_figures(&mut all);
        self.water_lines(&mut all);
        self.mash_lines(&mut all);
        self.yeast_lines(&mut all);
        self.package_figures(&mut all);
        all.sort_by_key(|line| line.place);
        all
    }

    fn grist_lines(&self, all: &mut Vec<LineValue>) {
        let Ok(wort) = self.wort() else { return };
        let colour: Vec<f64> =
            (0..self.recipe.grist.len()).map(|at| self.colour_weight(at).unwrap_or(0.0)).collect();
        let whole: f64 = colour.iter().sum();
        for (at, (line, part)) in self.recipe.grist.iter().zip(&wort.parts).enumerate() {
            if self.is_of_another_part(line) {
                continue;
            }
            let mut push = |figure, value: f64, show| {
                if value.is_finite() {
                    all.push(LineValue { place: line.place, figure, value, show });
                }
            };
            if !matches!(line.amount, Amount::Of(_)) {
                push(LineFigure::SolvedAmount, part.mass, Show::Mass);
            }
            if wort.weight > 0.0 {
                push(LineFigure::Share, part.mass / wort.weight * 100.0, Show::Percent);
            }
            push(LineFigure::Extract, part.extract, Show::Mass);
            if whole > 0.0 && !matches!(line.joins, Joins::Fermenter(_)) {
                push(LineFigure::Colour, colour[at] / whole * 100.0, Show::Percent);
            }
        }
    }

    fn hop_figures(&self, all: &mut Vec<LineValue>) {
        let Ok(lines) = self.hop_lines() else { return };
        for line in lines {
            let mut push = |figure, value: f64, show| {
                if value.is_finite() {
                    all.push(LineValue { place: line.place, figure, value, show });
                }
            };
            if !matches!(self.recipe.additions[line.addition].amount, Amount::Of(_)) {
                push(LineFigure::SolvedAmount, line.mass * 1000.0, Show::Grams);
            }
            push(LineFigure::Ibu, line.ibu, Show::Ibu);
            push(LineFigure::AlphaMass, line.mass * line.alpha * 1000.0, Show::Grams);
        }
    }

    fn water_lines(&self, all: &mut Vec<LineValue>) {
        use brewing::water::Ion as Dissolved;
        let Ok(parts) = self.water_parts() else { return };
        for part in parts {
            for (ion, more) in &part.ions {
                let named = match ion {
                    Dissolved::Calcium => Ion::Calcium,
                    Dissolved::Magnesium => Ion::Magnesium,
                    Dissolved::Sodium => Ion::Sodium,
                    Dissolved::Chloride => Ion::Chloride,
                    Dissolved::Sulfate => Ion::Sulfate,
                    Dissolved::Bicarbonate => Ion::Bicarbonate,
                    Dissolved::Potassium | Dissolved::Nitrate => continue,
                };
                if more.is_finite() {
                    all.push(LineValue {
                        place: part.place,
                        figure: LineFigure::Ion(named),
                        value: *more,
                        show: Show::Ion,
                    });
                }
            }
        }
        for (at, addition) in self.recipe.liquor.additions.iter().enumerate() {
            if matches!(addition.amount, Amount::Solved)
                && let Some(millilitres) = self.solved_acid_millilitres(at)
            {
                all.push(LineValue {
                    place: addition.place,
                    figure: LineFigure::SolvedAmount,
                    value: millilitres,
                    show: Show::Millilitres,
                });
            }
        }
    }

    fn mash_lines(&self, all: &mut Vec<LineValue>) {
        let Ok(steps) = self.mash_steps() else { return };
        for step in steps {
            let mut push = |figure, value: Option<f64>, show| {
                if let Some(value) = value.filter(|value| value.is_finite()) {
                    all.push(LineValue { place: step.place, figure, value, show });
                }
            };
            push(LineFigure::StepTemperature, step.temperature, Show::Temperature);
            push(LineFigure::StepVolume, step.volume, Show::Volume);
            push(LineFigure::RampTime, step.ramp, Show::Minutes);
            push(LineFigure::RestEnd, step.cools_to, Show::Temperature);
        }
    }

    fn yeast_lines(&self, all: &mut Vec<LineValue>) {
        for (at, line) in self.part().pitch.lines.iter().enumerate() {
            let counted = matches!(line.amount, Amount::Of(quant) if quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Cells));
            if line.thing.kind() == Some(BlockKind::Yeast)
                && !counted
                && let Ok(cells) = self.cells_of_line(at)
            {
                all.push(LineValue {
                    place: line.place,
                    figure: LineFigure::Cells,
                    value: cells,
                    show: Show::Cells,
                });
            }
        }
    }

    fn package_figures(&self, all: &mut Vec<LineValue>) {
        for line in self.package_lines() {
            let mut push = |figure, value: Option<f64>, show| {
                if let Some(value) = value.filter(|value| value.is_finite()) {
                    all.push(LineValue { place: line.place, figure, value, show });
                }
            };
            push(LineFigure::PrimingSugar, line.sugar, Show::Grams);
            push(LineFigure::KegPressure, line.pressure, Show::Pressure);
        }
    }
}
