//! Colours as they look to eyes that lack one kind of cone.

use super::Linear;
use super::light::{Matrix, times};

/// What kinds of cones an eye has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Vision {
    /// All three.
    Full,
    /// None for long waves: reds are dark, and red and green look alike.
    Protan,
    /// None for middle waves: red and green look alike.
    Deutan,
    /// None for short waves: blue and green, and yellow and violet, look alike. Rare.
    Tritan,
}

/// Machado, Oliveira & Fernandes, "A physiologically-based model for simulation of color vision deficiency",
/// *IEEE Trans. Vis. Comput. Graph.* 15(6) 2009, 1291-1298: the matrices of severity 1.0, from linear light to
/// linear light. Tritan vision is only approximate there.
const PROTAN: Matrix =
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]];
const DEUTAN: Matrix =
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]];
const TRITAN: Matrix =
    [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]];

impl Vision {
    /// The kinds that lack something, the most frequent first.
    pub const LACKING: [Vision; 3] = [Vision::Deutan, Vision::Protan, Vision::Tritan];

    /// Its stable name, for programs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Vision::Full => "full",
            Vision::Protan => "protan",
            Vision::Deutan => "deutan",
            Vision::Tritan => "tritan",
        }
    }

    /// The light that an eye with all cones would have to see to have the same impression, as near as a
    /// screen can show it.
    #[must_use]
    pub fn sees(self, light: Linear) -> Linear {
        let matrix = match self {
            Vision::Full => return light,
            Vision::Protan => PROTAN,
            Vision::Deutan => DEUTAN,
            Vision::Tritan => TRITAN,
        };
        let [red, green, blue] = times(&matrix, [light.red, light.green, light.blue]);
        Linear { red, green, blue }.clamped()
    }
}
