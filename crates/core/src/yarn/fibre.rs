//! Fibres and what the trade's tables say of them.

use crate::quantity::{Mm, Tex};
use std::f64::consts::PI;

/// What a yarn is made of. How it is spun (worsted, woollen, filament) is another matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fibre {
    /// Cotton.
    Cotton,
    /// Flax.
    Linen,
    /// Hemp.
    Hemp,
    /// Ramie.
    Ramie,
    /// Jute.
    Jute,
    /// Sheep's wool.
    Wool,
    /// Mohair: the Angora goat's hair.
    Mohair,
    /// Alpaca.
    Alpaca,
    /// Cashmere.
    Cashmere,
    /// Silk, reeled or spun.
    Silk,
    /// Viscose and its kin from wood or bamboo pulp.
    Viscose,
    /// Acetate and triacetate.
    Acetate,
    /// Nylon 6 and 6.6.
    Nylon,
    /// Polyester.
    Polyester,
    /// Acrylic.
    Acrylic,
    /// Polypropylene.
    Polypropylene,
}

/// How much a yarn gives way where it crosses another. Which habit that sets, habits know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hardness {
    /// It flattens and spreads: knitting wool.
    Soft,
    /// Between the two: cotton.
    Medium,
    /// It keeps its round section: linen, cord.
    Hard,
}

/// Fibres that stretch, spring back and shrink alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kin {
    /// Flax, hemp, ramie, jute.
    Linen,
    /// Cotton and viscose.
    Cotton,
    /// Silk.
    Silk,
    /// Sheep's wool and other hair.
    Wool,
    /// Made fibres.
    Made,
}

impl Kin {
    /// All of them.
    pub const ALL: [Kin; 5] = [Kin::Linen, Kin::Cotton, Kin::Silk, Kin::Wool, Kin::Made];

    /// How much longer such a fibre gets before it breaks, as a part of its length (from memory, after Morton & Hearle,
    /// *Physical Properties of Textile Fibres*, on tensile properties: flax 3 %, cotton 7 %, silk 23 %, wool 40 %; made
    /// fibres from 15 % on).
    #[must_use]
    pub fn breaks_at(self) -> f64 {
        match self {
            Kin::Linen => 0.03,
            Kin::Cotton => 0.07,
            Kin::Silk => 0.23,
            Kin::Wool => 0.40,
            Kin::Made => 0.15,
        }
    }

    /// How much of a stretch of a few hundredths such a fibre takes back when it is let go: low, likely, high (from memory,
    /// after Morton & Hearle, *Physical Properties of Textile Fibres*, on elastic recovery from 2 and 5 %: flax 0.65 from 2 %,
    /// cotton 0.74 and 0.45, silk 0.92 and 0.7, wool 0.99 and 0.69, nylon all of it).
    #[must_use]
    pub fn takes_back(self) -> [f64; 3] {
        match self {
            Kin::Linen => [0.5, 0.65, 0.8],
            Kin::Cotton => [0.4, 0.6, 0.8],
            Kin::Silk => [0.6, 0.8, 1.0],
            Kin::Wool => [0.65, 0.85, 1.0],
            Kin::Made => [0.6, 0.9, 1.0],
        }
    }
}

/// What is known of one fibre.
struct Facts {
    /// The name first, then other names the trade has for it, all in small letters.
    names: &'static [&'static str],
    /// Fibre density in g/cm3 at 65 % relative humidity.
    density: f64,
    /// The share of a yarn's volume that is fibre.
    packing: f64,
    hardness: Hardness,
}

impl Fibre {
    /// All fibres.
    pub const ALL: [Fibre; 16] = [
        Fibre::Cotton,
        Fibre::Linen,
        Fibre::Hemp,
        Fibre::Ramie,
        Fibre::Jute,
        Fibre::Wool,
        Fibre::Mohair,
        Fibre::Alpaca,
        Fibre::Cashmere,
        Fibre::Silk,
        Fibre::Viscose,
        Fibre::Acetate,
        Fibre::Nylon,
        Fibre::Polyester,
        Fibre::Acrylic,
        Fibre::Polypropylene,
    ];

    /// Densities without a remark: W. E. Morton & J. W. S. Hearle, *Physical Properties of Textile Fibres*,
    /// table 5.1, at 65 % r.h. Those from memory: no table was at hand.
    ///
    /// Packing factors are engineering defaults with no source, for the spinning that a hand weaver meets
    /// most; cotton alone is Peirce's, whose yarn takes 1.1 cm3/g (F. T. Peirce, *J. Text. Inst.* 28 (1937)
    /// T45). Wraps on a ruler beat them.
    fn facts(self) -> Facts {
        use Hardness::{Hard, Medium, Soft};
        let facts = |names, density, packing, hardness| Facts { names, density, packing, hardness };
        match self {
            Fibre::Cotton => {
                facts(&["cotton", "mercerised cotton", "mercerized cotton"], 1.52, PEIRCE, Medium)
            }
            // Flax, hemp and ramie from memory: 1.48 to 1.54.
            Fibre::Linen => facts(&["linen", "flax"], 1.50, 0.62, Hard),
            Fibre::Hemp => facts(&["hemp"], 1.50, 0.60, Hard),
            Fibre::Ramie => facts(&["ramie"], 1.50, 0.62, Hard),
            // From memory: 1.44 to 1.50.
            Fibre::Jute => facts(&["jute"], 1.47, 0.55, Hard),
            Fibre::Wool => {
                facts(&["wool", "merino", "merino wool", "lambswool", "woollen", "woolen"], 1.31, 0.45, Soft)
            }
            // Mohair, alpaca and cashmere from memory: 1.31 to 1.32, as wool.
            Fibre::Mohair => facts(&["mohair"], 1.31, 0.30, Soft),
            Fibre::Alpaca => facts(&["alpaca"], 1.31, 0.45, Soft),
            Fibre::Cashmere => facts(&["cashmere"], 1.31, 0.40, Soft),
            Fibre::Silk => facts(&["silk", "spun silk", "reeled silk"], 1.34, 0.65, Medium),
            Fibre::Viscose => facts(&["viscose", "rayon", "bamboo", "modal"], 1.49, 0.60, Medium),
            Fibre::Acetate => facts(&["acetate", "triacetate"], 1.32, 0.60, Medium),
            Fibre::Nylon => facts(&["nylon", "polyamide"], 1.14, 0.60, Hard),
            Fibre::Polyester => facts(&["polyester"], 1.39, 0.60, Hard),
            Fibre::Acrylic => facts(&["acrylic"], 1.19, 0.40, Soft),
            Fibre::Polypropylene => facts(&["polypropylene"], 0.91, 0.60, Hard),
        }
    }

    /// The fibre of this name, in whatever case.
    #[must_use]
    pub fn parse(name: &str) -> Option<Fibre> {
        let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
        let name = words.join(" ");
        Fibre::ALL.into_iter().find(|fibre| fibre.facts().names.contains(&name.as_str()))
    }

    /// Its name in the trade, in small letters.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.facts().names.first().copied().unwrap_or("")
    }

    /// Density of the fibre itself at 65 % relative humidity, in g/cm3.
    #[must_use]
    pub fn density(self) -> f64 {
        self.facts().density
    }

    /// The share of a yarn's volume that is fibre, unless something better is known.
    #[must_use]
    pub fn packing(self) -> f64 {
        self.facts().packing
    }

    /// How much its yarns give way where they cross, unless something better is known.
    #[must_use]
    pub fn hardness(self) -> Hardness {
        self.facts().hardness
    }

    /// The fibres that stretch and shrink as it does.
    #[must_use]
    pub fn kin(self) -> Kin {
        match self {
            Fibre::Linen | Fibre::Hemp | Fibre::Ramie | Fibre::Jute => Kin::Linen,
            Fibre::Cotton | Fibre::Viscose => Kin::Cotton,
            Fibre::Silk => Kin::Silk,
            Fibre::Wool | Fibre::Mohair | Fibre::Alpaca | Fibre::Cashmere => Kin::Wool,
            Fibre::Acetate | Fibre::Nylon | Fibre::Polyester | Fibre::Acrylic | Fibre::Polypropylene => {
                Kin::Made
            }
        }
    }

    /// Volume of a gram of yarn of this fibre, in cm3/g.
    #[must_use]
    pub fn specific_volume(self) -> f64 {
        1.0 / (self.packing() * self.density())
    }

    /// Diameter of a yarn of this fibre and linear density, lying free.
    #[must_use]
    pub fn diameter(self, tex: Tex) -> Mm {
        diameter(tex, self.specific_volume())
    }

    /// The linear density that a yarn of this fibre and diameter has; the inverse of
    /// [`diameter`](Fibre::diameter).
    #[must_use]
    pub fn tex_of(self, diameter: Mm) -> Tex {
        Tex::new(diameter.mm() * diameter.mm() / (4e-3 / PI * self.specific_volume()))
    }
}

/// Packing at which a cotton yarn takes 1.1 cm3/g.
const PEIRCE: f64 = 1.0 / (1.1 * 1.52);

/// Diameter of a round yarn of a linear density and a specific volume in cm3/g: a millimetre of it weighs
/// tex / 10^6 g and so fills tex * v / 10^3 mm3, whence `d = 0.03568248 sqrt(tex v)`.
#[must_use]
pub fn diameter(tex: Tex, specific_volume: f64) -> Mm {
    Mm::new((4e-3 / PI * tex.tex() * specific_volume).sqrt())
}
