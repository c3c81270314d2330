//! The standing cautions, in plain words, and the shop's own notes.
//!
//! They name dangers and send the reader to those who know: the machine's manual, local rules and
//! qualified people. They are no instruction in the use of a machine.

use maud::{Markup, html};

/// A danger in two or three words, and what to mind.
const CAUTIONS: [(&str, &str); 9] = [
    (
        "First",
        "Your machine\u{2019}s manual and the safety rules of your place go before this sheet. If \
         you are not sure of a step, ask someone who is qualified on the machine.",
    ),
    (
        "Hold-downs",
        "They stand near the cutter\u{2019}s way. Look at each tool path in your path program with \
         the hold-downs, bolts and pins in it, and run it once above the wood, before you cut. \
         Keep every rapid move higher than the tallest of them.",
    ),
    (
        "Printed parts",
        "A printed hold-down can be weak between its layers, and it creeps when it is warm or left \
         tight. Look it over before each job, draw the bolt up by hand, and throw away one that \
         has a crack.",
    ),
    (
        "Small parts",
        "Near the end the piece hangs by its tabs alone. Keep your hands out until the spindle \
         stands still. Cut the tabs with a hand saw, with the piece held fast; never hold a small \
         piece by hand near a running cutter.",
    ),
    (
        "Eyes, ears, sleeves",
        "Wear eye and ear protection. No gloves, loose sleeves, rings or loose long hair near a \
         spindle that turns.",
    ),
    (
        "Dust",
        "Wood dust harms the lungs and nose, and hardwood dust is limited by law in many places. \
         Use extraction at the cutter, and a mask made for fine dust when you sand. Chips and dust \
         burn: no sparks, no smoking, and empty the bag when you are done.",
    ),
    (
        "While it runs",
        "Stay by the machine with the stop in reach. A smell of scorching means a dull cutter or \
         a feed that is too slow: stop.",
    ),
    (
        "Food",
        "Use sound wood of a kind that is known to be fit for food, without rot or filler. For \
         finish and glue take only what its maker declares fit for food contact, let it cure as \
         its label says, and follow the rules of your place if you sell. Some people are allergic \
         to some woods and to nut oils.",
    ),
    (
        "Strength",
        "Figures of strength on this sheet, where there are any, are estimates for straight, sound \
         grain. Wood varies; a knot or short grain can halve them.",
    ),
];

pub(super) fn section(notes: &[String]) -> Markup {
    html! {
        section {
            h2 { "Safety" }
            @if !notes.is_empty() {
                h3 { "Notes of this shop" }
                ul { @for note in notes { li { (note) } } }
                h3 { "Always" }
            }
            dl .cautions {
                @for (what, text) in CAUTIONS {
                    div { dt { (what) } dd { (text) } }
                }
            }
        }
    }
}
