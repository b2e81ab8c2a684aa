//! Half-value layers: how thick a material halves the rate.
//!
//! One layer for a nuclide and a material is a model. A narrow beam is halved by less than a
//! broad one, and a beam that was filtered is harder to halve; a thin layer makes a shield look
//! better than it is. So the central figure is the thickest layer that the table has, broad-beam
//! values before narrow ones, and the thinner ones serve for the low side alone.

use super::{Nuclide, Spread};

/// What a shield is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Material {
    /// Lead.
    Lead,
    /// Steel, or iron.
    Steel,
    /// Concrete.
    Concrete,
    /// Tungsten.
    Tungsten,
    /// Depleted uranium.
    Uranium,
}

impl Material {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Lead,
        Self::Steel,
        Self::Concrete,
        Self::Tungsten,
        Self::Uranium,
    ];

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lead => "lead",
            Self::Steel => "steel",
            Self::Concrete => "concrete",
            Self::Tungsten => "tungsten",
            Self::Uranium => "depleted uranium",
        }
    }

    /// The material of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        let word = word.trim().to_lowercase();
        match word.as_str() {
            "iron" => Some(Self::Steel),
            "uranium" => Some(Self::Uranium),
            _ => Self::ALL.into_iter().find(|it| it.word() == word),
        }
    }
}

/// The half-value layer of a nuclide in a material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// The nuclide.
    pub nuclide: Nuclide,
    /// The material.
    pub material: Material,
    /// Thickness in millimetre: the low side of the dose has the thinnest layer, the central and
    /// the high side the thickest.
    pub millimetres: Spread,
    /// Which values it rests on.
    pub source: &'static str,
}

const BROAD: &str = "ASTM E94, and US T.O. 33B-1-1, Table 6-28; the thickest layer for central and \
    high";
const CONCRETE: &str =
    "ASTM E94 for the low side; NUREG/BR-0024 (second-hand) for central and high";
const SHEET: &str = "ASTM E94 for central and high; a public sheet of formulas, unverified, for \
    the low side";
const NARROW: &str = "no broad-beam table known: the computed narrow-beam layer is the low side, \
    1.42 times that (the most that broad and narrow differ where both are known) the rest; to be \
    confirmed";
const HARDER: &str = "no broad-beam table known: central and high take the layer of a harder \
    nuclide; to be confirmed";
const HARDER_THROUGHOUT: &str = "no table known: the layer of a harder nuclide throughout; to be \
    confirmed";

const fn layer(
    nuclide: Nuclide,
    material: Material,
    thin: f64,
    thick: f64,
    source: &'static str,
) -> Layer {
    Layer {
        nuclide,
        material,
        millimetres: Spread {
            low: thin,
            central: thick,
            high: thick,
        },
        source,
    }
}

use Material::{Concrete, Lead, Steel, Tungsten, Uranium};
use Nuclide::{Co60, Cs137, Ir192, Se75, Yb169};

/// Every layer that is known.
pub const LAYERS: &[Layer] = &[
    layer(Ir192, Lead, 5.5, 6.1, SHEET),
    layer(Ir192, Steel, 12.9, 13.0, BROAD),
    layer(Ir192, Concrete, 41.0, 44.45, CONCRETE),
    layer(Ir192, Tungsten, 2.869, 4.08, NARROW),
    layer(Ir192, Uranium, 2.168, 3.08, NARROW),
    layer(Co60, Lead, 12.0, 12.4, BROAD),
    layer(Co60, Steel, 20.6, 22.0, BROAD),
    layer(Co60, Concrete, 61.9, 66.3, BROAD),
    layer(Co60, Tungsten, 6.468, 9.19, NARROW),
    layer(Co60, Uranium, 5.779, 8.21, NARROW),
    layer(Cs137, Lead, 6.3, 6.51, BROAD),
    layer(Cs137, Steel, 16.0, 16.26, BROAD),
    layer(Cs137, Concrete, 48.0, 48.2, BROAD),
    layer(Se75, Lead, 2.216, 3.15, NARROW),
    layer(Se75, Steel, 7.984, 11.4, NARROW),
    layer(Se75, Tungsten, 1.551, 2.21, NARROW),
    layer(Se75, Uranium, 1.066, 1.52, NARROW),
    layer(Se75, Concrete, 30.0, 44.45, HARDER),
    layer(Yb169, Lead, 3.15, 3.15, HARDER_THROUGHOUT),
    layer(Yb169, Steel, 11.4, 11.4, HARDER_THROUGHOUT),
];

/// The layer of a nuclide in a material, where one is known.
pub fn layer_of(nuclide: Nuclide, material: Material) -> Option<&'static Layer> {
    LAYERS
        .iter()
        .find(|it| it.nuclide == nuclide && it.material == material)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thicker_layer_never_stands_for_the_low_side() {
        for it in LAYERS {
            assert!(
                it.millimetres.low <= it.millimetres.high,
                "{} {:?}",
                it.nuclide,
                it.material
            );
            assert_eq!(it.millimetres.central, it.millimetres.high);
        }
    }

    #[test]
    fn a_softer_nuclide_has_no_thicker_layer_than_a_harder_one() {
        for material in Material::ALL {
            let thick = |nuclide| layer_of(nuclide, material).map(|it| it.millimetres.high);
            let order = [thick(Yb169), thick(Se75), thick(Ir192), thick(Co60)];
            let known: Vec<f64> = order.into_iter().flatten().collect();
            assert!(known.is_sorted(), "{material:?}: {known:?}");
        }
    }

    #[test]
    fn materials_are_read_by_their_words() {
        for it in Material::ALL {
            assert_eq!(Material::from_word(it.word()), Some(it));
        }
        assert_eq!(Material::from_word(" Iron "), Some(Material::Steel));
        assert_eq!(Material::from_word("water"), None);
    }
}
