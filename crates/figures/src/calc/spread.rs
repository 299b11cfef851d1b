//! How sure a figure is: the standard deviations of its inputs carried forward to first order.
//!
//! The derivative of a figure by an input is taken over the whole chain, by moving the input one standard
//! deviation either way; so whatever the chain does (solve, dilute, cap) is in it. This costs a few
//! computations of the chain an input and is done only when somebody asks.

use brewing::source::{Basis, Source};
use recipe::Given;
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::Calc;
use crate::figure::{Figure, Missing};
use crate::id::FigureId;

/// Where the standard deviations come from.
pub const INPUT_SPREADS: Source = Source::new(
    "usual measuring errors",
    "Standard deviations of brewers' measurements: volume 2 %, alpha 10 %, attenuation 3 points, mash \
     efficiency 3 points, cell count 20 %, thermometer 0.5 °C, pH 0.05; a range or tolerance written in the \
     file replaces them.",
    Basis::CommonPractice,
);

/// Something a figure is computed from, that may be off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Input {
    /// Batch volume.
    Batch,
    /// Mash efficiency.
    MashEfficiency,
    /// Evaporation.
    Evaporation,
    /// Attenuation of the yeast.
    Attenuation,
    /// Mass of a line of the grist.
    GristAmount(usize),
    /// Extract of a line of the grist.
    GristExtract(usize),
    /// Colour of a line of the grist.
    GristColour(usize),
    /// Mass of a hop line.
    HopAmount(usize),
    /// Alpha of a hop line.
    Alpha(usize),
    /// Cells of a yeast line.
    Cells(usize),
    /// Mash liquor volume.
    MashLiquor,
    /// Temperature that sets the residual CO2.
    WarmestBeer,
}

impl Input {
    /// The bit of its kind, whichever line it is of.
    pub(crate) const fn bit(self) -> u16 {
        1 << match self {
            Self::Batch => 0,
            Self::MashEfficiency => 1,
            Self::Evaporation => 2,
            Self::Attenuation => 3,
            Self::GristAmount(_) => 4,
            Self::GristExtract(_) => 5,
            Self::GristColour(_) => 6,
            Self::HopAmount(_) => 7,
            Self::Alpha(_) => 8,
            Self::Cells(_) => 9,
            Self::MashLiquor => 10,
            Self::WarmestBeer => 11,
        }
    }
}

const VOLUME: f64 = 0.02;
const ALPHA: f64 = 0.10;
const ATTENUATION: f64 = 0.03;
const EFFICIENCY: f64 = 0.03;
const CELLS: f64 = 0.20;
const THERMOMETER: f64 = 0.5;

fn written<T>(given: Option<&Given<T>>) -> Option<f64> {
    given.map(|given| given.spread).filter(|spread| *spread > 0.0)
}

impl Calc<'_> {
    /// Every input with its standard deviation.
    #[must_use]
    pub fn inputs(&self) -> Vec<(Input, f64)> {
        let recipe = self.recipe;
        let mut all = Vec::with_capacity(16);
        if let Some(batch) = &recipe.batch {
            all.push((Input::Batch, written(Some(batch)).unwrap_or(batch.value * VOLUME)));
        }
        let house = |key| recipe.brewhouse.as_ref().and_then(|house| house.number(key));
        all.push((
            Input::MashEfficiency,
            written(house(Keyword::MashEfficiency).as_ref()).unwrap_or(EFFICIENCY),
        ));
        if let Some(spread) = written(house(Keyword::Evaporation).as_ref()) {
            all.push((Input::Evaporation, spread * 60.0));
        }
        let attenuation =
            self.part().pitch.lines.iter().find_map(|line| line.thing.number(Keyword::Attenuation));
        all.push((Input::Attenuation, written(attenuation.as_ref()).unwrap_or(ATTENUATION)));
        for (at, line) in recipe.grist.iter().enumerate() {
            if let recipe::Amount::Of(quant) = line.amount
                && quant.spread > 0.0
            {
                all.push((Input::GristAmount(at), quant.spread));
            }
            for (key, input) in
                [(Keyword::Extract, Input::GristExtract(at)), (Keyword::Colour, Input::GristColour(at))]
            {
                if let Some(spread) = written(line.thing.number(key).as_ref()) {
                    all.push((input, spread));
                }
            }
        }
        for (at, addition) in recipe.additions.iter().enumerate() {
            if addition.thing.kind() != Some(BlockKind::Hop) {
                continue;
            }
            if let recipe::Amount::Of(quant) = addition.amount
                && quant.spread > 0.0
            {
                all.push((Input::HopAmount(at), quant.spread));
            }
            if let Some(alpha) = addition.thing.number(Keyword::Alpha) {
                all.push((Input::Alpha(at), written(Some(&alpha)).unwrap_or(alpha.value.value * ALPHA)));
            }
        }
        for (at, line) in self.part().pitch.lines.iter().enumerate() {
            if let Ok(cells) = self.cells_of_line(at) {
                let spread = match line.amount {
                    recipe::Amount::Of(quant) if quant.spread > 0.0 => quant.spread,
                    _ => cells * CELLS.hypot(self.viability_spread(at)),
                };
                all.push((Input::Cells(at), spread));
            }
        }
        if let Ok(mash) = self.value(FigureId::MashLiquor) {
            all.push((Input::MashLiquor, mash * VOLUME));
        }
        all.push((Input::WarmestBeer, THERMOMETER));
        all
    }

    /// A figure with its explanation and its uncertainty.
    ///
    /// # Errors
    /// The reason it cannot be computed.
    pub fn explained(&self, id: FigureId) -> Result<Figure, Missing> {
        let mut figure = self.explain(id)?;
        figure.bounds = self
            .spread(id)
            .filter(|spread| *spread > 0.0)
            .map(|spread| (figure.value - spread, figure.value + spread));
        Ok(figure)
    }

    /// One standard deviation of a figure, where it can be computed.
    #[must_use]
    pub fn spread(&self, id: FigureId) -> Option<f64> {
        self.value(id).ok()?;
        if id == FigureId::MashPh {
            // The proton balance carries its own: the malts' are most of it.
            return self.mash_ph_spread();
        }
        let variance: f64 = self.halves(id).map(|(_, half)| half * half).sum();
        let spread = variance.sqrt();
        spread.is_finite().then_some(spread)
    }

    /// How far each input moves a figure that depends on it when it is off by one standard deviation.
    fn halves(&self, id: FigureId) -> impl Iterator<Item = (Input, f64)> {
        // What is not read on the way to the figure cannot move it, and need not be tried.
        let plain = self.value(id).ok();
        let reads = self.memo_reads[id as usize].get();
        let is_read = move |input: Input| reads & input.bit() != 0;
        let afresh = move |input, by| self.variant(Some((input, by)), None).value(id).ok();
        let inputs = self.inputs();
        debug_assert!(
            inputs.iter().all(|(input, by)| is_read(*input) || afresh(*input, *by) == plain),
            "{id:?} hangs on what it does not read"
        );
        inputs.into_iter().filter(move |(input, _)| is_read(*input)).filter_map(move |(input, by)| {
            let mut moved = self.moved(input, by);
            let up = moved.value(id).ok();
            moved.move_by(-by);
            let down = moved.value(id).ok();
            debug_assert_eq!(
                [up, down],
                [afresh(input, by), afresh(input, -by)],
                "{id:?} with {input:?} moved hangs on what was taken over"
            );
            Some((input, (up? - down?) / 2.0))
        })
    }

    /// The share of each input in the variance of a figure, largest first: what to measure better.
    #[must_use]
    pub fn spread_by_input(&self, id: FigureId) -> Vec<(Input, f64)> {
        let mut shares: Vec<(Input, f64)> = self
            .halves(id)
            .filter(|(_, half)| half.is_finite() && *half != 0.0)
            .map(|(input, half)| (input, half * half))
            .collect();
        let total: f64 = shares.iter().map(|(_, part)| part).sum();
        for (_, part) in &mut shares {
            *part /= total;
        }
        shares.sort_by(|a, b| b.1.total_cmp(&a.1));
        shares
    }
}
