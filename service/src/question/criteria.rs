//! By what `comparison` compares liquids, in which order, and how a reason names it.

use super::ranking::Contender;
use crate::catalogue::Substance;
use crate::liquid::Liquid;
use crate::quantity::Estimate;
use crate::quantity::round::significant;
use brimline_openapi::Use;

/// Digits of a figure in a reason.
const DIGITS: u32 = 4;

/// A criterion: the field of a row, in words, how a reason names it, its unit.
pub struct By {
    /// Its id: the field of a row.
    pub id: &'static str,
    /// In words, with the side that is the less hazardous.
    pub text: &'static str,
    name: &'static str,
    unit: &'static str,
}

/// The worst status of its checks.
pub const OUTCOME: &str = "outcome";
/// The gravest hazard statement.
pub const HEALTH: &str = "health";
/// Whether its vapour can be lit.
pub const LIT: &str = "can_be_lit";
/// What is breathed over the limits.
pub const BREATHED: &str = "exposure_index";
/// Share of the lower flammable limit.
pub const SHARE: &str = "room_share";
/// Margin to the flash point.
pub const MARGIN: &str = "margin";
/// Whether it may be burnt.
pub const BURNABLE: &str = "burnable";
/// Heat release.
pub const HEAT: &str = "heat_release";
/// Flame height.
pub const HEIGHT: &str = "flame_height";
/// What flashes at lighting.
pub const FLASH: &str = "flash_at_lighting";
/// Soot.
pub const SOOT: &str = "soot";

const BY: [By; 11] = [
    By {
        id: OUTCOME,
        text: "the outcome of all its checks: within, near or over a limit",
        name: "outcome",
        unit: "",
    },
    By {
        id: HEALTH,
        text: "the gravest of its hazard statements: none of them, a suspected or lesser lasting harm (H341, H351, H361, H371, H373), poison or a proven lasting harm (H300, H301, H310, H311, H330, H331, H340, H350, H360, H370, H372)",
        name: "health",
        unit: "",
    },
    By {
        id: LIT,
        text: "whether its vapour can be lit at its temperature: it cannot before it can",
        name: "vapour that can be lit",
        unit: "",
    },
    By {
        id: BREATHED,
        text: "what the nearest person breathes over the exposure limits: less before more",
        name: "exposure index",
        unit: "",
    },
    By {
        id: SHARE,
        text: "share of the lower flammable limit, all of it as vapour in the room: less before more",
        name: "share of the lower flammable limit",
        unit: " %",
    },
    By {
        id: MARGIN,
        text: "margin of its temperature to its flash point: more before less, no flash point before any",
        name: "margin to the flash point",
        unit: " K",
    },
    By {
        id: BURNABLE,
        text: "whether it is a liquid that may be burnt at all: it may before it may not",
        name: "liquid that may be burnt",
        unit: "",
    },
    By { id: HEAT, text: "heat release: less before more", name: "heat release", unit: " kW" },
    By { id: HEIGHT, text: "height of its flame: less before more", name: "flame height", unit: " cm" },
    By {
        id: FLASH,
        text: "heat of the vapour that flashes when it is lit: less before more",
        name: "flash at lighting",
        unit: " kJ",
    },
    By { id: SOOT, text: "soot of its flame: less before more", name: "soot", unit: "" },
];

const IN_THE_AIR: [&str; 6] = [OUTCOME, HEALTH, LIT, BREATHED, SHARE, MARGIN];
const BURNT: [&str; 9] = [OUTCOME, HEALTH, BURNABLE, HEAT, HEIGHT, FLASH, SOOT, BREATHED, SHARE];

/// Words of soot, the least first; others count as the last.
const SOOTS: [&str; 5] = ["none", "little", "some", "sooty", "very sooty"];

/// Statements of a suspected or lesser lasting harm, then those of poison and of a proven one; more letters may follow.
const GRAVE: [&[&str]; 2] = [
    &["H341", "H351", "H361", "H371", "H373"],
    &["H300", "H301", "H310", "H311", "H330", "H331", "H340", "H350", "H360", "H370", "H372"],
];
/// In words, the least grave first.
pub const GRAVITY: [&str; 3] =
    ["no grave statement", "a suspected or lesser lasting harm", "poison or a proven lasting harm"];

/// The criterion of an id.
#[must_use]
pub fn by(id: &str) -> &'static By {
    BY.iter().find(|by| by.id == id).unwrap_or(&BY[0])
}

/// The criteria of a use, the one that decides first in front.
#[must_use]
pub const fn criteria(used: Use) -> &'static [&'static str] {
    match used {
        Use::Burnt => &BURNT,
        Use::Open | Use::Heated => &IN_THE_AIR,
    }
}

/// The gravest hazard statement of all parts, as a place of [`GRAVITY`]; none where a part that burns has no statements.
#[must_use]
pub fn gravity(liquid: &Liquid) -> Option<usize> {
    let mut gravest = 0;
    for part in liquid.substances() {
        let statements = part.file.hazard.as_ref().map_or(&[][..], |hazard| hazard.statements.as_slice());
        if without_statements(part) {
            return None;
        }
        for (place, codes) in GRAVE.iter().enumerate() {
            let grave = statements.iter().any(|found| codes.iter().any(|code| found.starts_with(code)));
            gravest = if grave { gravest.max(place + 1) } else { gravest };
        }
    }
    Some(gravest)
}

/// The hazard statements of a substance that name poison or a lasting harm, suspected ones among them.
#[must_use]
pub fn grave_statements(substance: &Substance) -> Vec<&str> {
    let statements = substance.file.hazard.as_ref().map_or(&[][..], |hazard| hazard.statements.as_slice());
    let grave = |found: &&str| GRAVE.iter().any(|codes| codes.iter().any(|code| found.starts_with(code)));
    statements.iter().map(String::as_str).filter(grave).collect()
}

/// Whether no hazard statements are stored of a substance that may burn.
#[must_use]
pub fn without_statements(substance: &Substance) -> bool {
    let stored = substance.file.hazard.as_ref().is_some_and(|hazard| !hazard.statements.is_empty());
    !stored && substance.not_flammable.is_none()
}

/// Soot in a word, and its place; of a mixture the worst part that burns.
#[must_use]
pub fn soot(liquid: &Liquid) -> Option<(&'static str, usize)> {
    let burning = liquid.substances().filter(|part| part.not_flammable.is_none());
    let each: Option<Vec<(&'static str, usize)>> = burning
        .map(|part| {
            let word = part.file.hazard.as_ref()?.soot_tendency.as_deref()?;
            Some((word, SOOTS.iter().position(|known| *known == word).unwrap_or(SOOTS.len())))
        })
        .collect();
    each?.into_iter().max_by_key(|(_, place)| *place)
}

/// Why some stand behind others by a criterion.
#[must_use]
pub fn reason(id: &str, place: usize, before: &[&Contender], these: &[&Contender]) -> String {
    let figures = |all: &[&Contender]| -> Vec<Estimate<f64>> {
        all.iter().filter_map(|one| one.figures.get(place).copied()).collect()
    };
    // The worst of those before, the best of these.
    let worst = figures(before).iter().map(|figure| figure.high).fold(f64::NEG_INFINITY, f64::max);
    let best = figures(these).iter().map(|figure| figure.low).fold(f64::INFINITY, f64::min);
    let By { name, unit, .. } = by(id);
    let number = |figure: f64| format!("{}{unit}", significant(figure, DIGITS));
    let words = |all: &'static [&'static str], figure: f64| {
        let known = all.iter().zip(0_u32..).find(|(_, at)| f64::from(*at) >= figure);
        known.map_or("smoke of its own", |(word, _)| *word)
    };
    const OUTCOMES: [&str; 3] = ["within the limits", "near a limit", "over a limit"];
    match id {
        OUTCOME => format!("Here: {}; before: {}.", words(&OUTCOMES, best), words(&OUTCOMES, worst)),
        HEALTH => format!("Here: {}; before: {}.", words(&GRAVITY, best), words(&GRAVITY, worst)),
        SOOT => format!("Soot here: {}; before: {}.", words(&SOOTS, best), words(&SOOTS, worst)),
        LIT => "Here the vapour can be lit, before it cannot.".to_owned(),
        BURNABLE => "Here it is no liquid that may be burnt, before it is.".to_owned(),
        MARGIN if worst == f64::NEG_INFINITY => {
            format!("The {name} is at most {} here, before there is no flash point.", number(-best))
        }
        MARGIN => {
            format!("The {name} is at most {} here, at least {} before.", number(-best), number(-worst))
        }
        _ => format!("The {name} is at least {} here, at most {} before.", number(best), number(worst)),
    }
}
