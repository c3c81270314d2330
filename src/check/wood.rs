//! Is the wood one to eat from?

use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Board, Harm, harm};

/// A wood that is known to be poisonous, or to bring on allergies.
pub const WOOD_HARMFUL: Code = Code {
    name: "wood-harmful",
    explain: "The board's wood stands in published lists of woods that harm people. \
        They have poisonous ones, such as yew, laburnum and oleander, and strong allergens, such as cocobolo, iroko and western red cedar. \
        A utensil of a poisonous wood must not touch food. \
        Of one that brings on allergies the dust is worst, for whoever carves it, and oils may go into \
        food that is hot, sour or fat. \
        Carve the piece from another wood, such as cherry, maple, beech or pear. \
        If you know that your board is another one of that name, say so under [accept]. \
        The lists are those of the Health and Safety Executive (Toxic woods, Woodworking Information \
        Sheet 30) and of B. M. Hausen (Woods Injurious to Human Health, 1981), quoted from memory. \
        They are not complete, the dust of every hardwood harms the lungs, and a wood that is not in them \
        isn't therefore safe.",
};

/// Says so when the board's wood is in the lists.
pub fn wood(board: &Board, out: &mut Findings) {
    let species = board.species.trim();
    let Some(harm) = harm(species) else { return };
    let (message, help) = match harm {
        Harm::Poison => (
            format!("{species} is a poisonous wood"),
            "It must not touch food. Carve the piece from another wood, such as cherry, maple or beech.",
        ),
        Harm::Allergy => (
            format!("{species} often brings on allergies of skin or lungs"),
            "Take another wood for what people eat from; keep its dust off skin and out of the lungs.",
        ),
    };
    out.push(Finding::caution(WOOD_HARMFUL, message, help).at(Source::Board, "board.species"));
}
