//! What the sheet, its drawings and the templates say: one table of messages, to be translated in
//! one place. `{name}` stands for a word or a figure that is filled in.

/// A message with its gaps filled. A gap that has no value stays as it is.
pub(super) fn fill(message: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::new();
    let mut rest = message;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let value = after.split_once('}').and_then(|(name, left)| {
            values.iter().find(|(known, _)| *known == name).map(|(_, value)| (*value, left))
        });
        match value {
            Some((value, left)) => {
                out.push_str(value);
                rest = left;
            }
            None => {
                out.push('{');
                rest = after;
            }
        }
    }
    out.push_str(rest);
    out
}

// The dimensioned drawing.
pub(super) const VIEWS_NAME: &str =
    "Dimensioned drawing: plan from above, and section along the middle line";
pub(super) const SECTIONS_NAME: &str = "Cross-sections, seen towards the tip, with their sizes";
pub(super) const PROFILE_CAPTION: &str = "Section along the middle line, before slots are cut; the dashed line is where the two sides meet";
pub(super) const PROJECTION: &str = "Third-angle projection. Not to scale: read the figures.";
pub(super) const SECTION_HANDLE: &str = "handle at {at} %";
pub(super) const SECTION_HEAD: &str = "widest place";

// The board and the setups, drawn.
pub(super) const LAYOUT_NAME: &str =
    "The board from above with the piece on it, its flaws, its readings and its grain";
pub(super) const SETUP_NAME: &str =
    "Setup {count}, {face} up: the board on the bed, seen from where you stand";
pub(super) const BOARD_FRONT: &str = "front edge, Y = 0; the left end is X = 0; readings in mm";
pub(super) const YOU_STAND_HERE: &str = "you stand on this side";
pub(super) const GRAIN: &str = "grain";
pub(super) const LEGEND_SEEN: &str = "board, outline, pin holes (P)";
pub(super) const LEGEND_SETUP: &str = "board, outline, pins P, hold-downs H";
pub(super) const LEGEND_TABS: &str = "tabs, beside the piece (grey)";
pub(super) const LEGEND_LIMIT: &str = "limit, finishing cutter's centre";
pub(super) const LEGEND_SLOTS: &str = "slots, cut last (fork only)";
pub(super) const LEGEND_FLAWS: &str = "knot, check or wane";
pub(super) const LEGEND_READINGS: &str = "caliper reading, mm";

// Setups.
pub(super) const LIES_TOP: &str =
    "The board lies with its top up, its length along X, its front edge towards you.";
pub(super) const TURN_X: &str = "Turn the board about X, its length: its back edge comes to the front, its ends stay where \
     they are.";
pub(super) const TURN_Y: &str = "Turn the board about Y, its width: its right end comes to the left, its edges stay where \
     they are.";
pub(super) const ENTER_X: &str = "left end of the stock as it lies";
pub(super) const ENTER_Y: &str = "front edge of the stock as it lies";
pub(super) const ENTER_Z_TOP: &str = "upper face of the stock as it lies";
pub(super) const ENTER_Z_BED: &str = "the bed, under the stock";
pub(super) const STOCK_TOP: &str = "Upper face, Z";
pub(super) const STOCK_BOTTOM: &str = "Bed, Z";
pub(super) const DEEPEST: &str = "Deepest cut, Z";
pub(super) const PIN_PLACE: &str = "pin, {hole} hole";
pub(super) const HOLD_DOWN_PLACE: &str = "hold-down, {edge} edge";
pub(super) const MOUNT_PINS_TOP: &str = "Fasten the board. Drill the two pin holes, {hole} across, through the board into the bed \
     (or into the waste board on it), and put the pins in.";
pub(super) const MOUNT_PINS_BOTTOM: &str =
    "Lower the board over both pins. It goes on one way only; it must lie flat without force.";
pub(super) const MOUNT_HOLD_DOWNS: &str = "Set {count} hold-downs at H1 to H{count}, their lips on the board, and draw the bolts up by \
     hand until the lips bear.";
pub(super) const BEFORE_LIMIT: &str = "With the spindle off and the cutter above the stock, move round the limit by hand: nothing \
     is in its way.";
pub(super) const BEFORE_HEIGHT: &str = "Every rapid move is higher than the hold-downs: their top is {height} above the bed, plus \
     the bolt's head.";
pub(super) const BEFORE_ZERO: &str =
    "Zero is where the picture has it: drive to X0 Y0 well above the stock and look.";
pub(super) const BEFORE_FILES: &str =
    "All files are from the folder {face}; none is from the other side.";
pub(super) const BEFORE_TURN: &str =
    "The top is finished: after this setup only the tabs hold the piece.";
pub(super) const BEFORE_LOOK: &str =
    "The path program shows the path inside the limit, with hold-downs and pins in the picture.";
pub(super) const MIND_SETUP: &str = "Stay by the machine with the stop in reach. Its manual, the rules of your place and advice \
     from someone qualified on it go before this sheet.";

// The work.
pub(super) const WORK_ROUGH: &str = "roughing";
pub(super) const WORK_FINISH: &str = "finishing";
pub(super) const WORK_SLOTS: &str = "slots";

// The drill chart, and how well the sides meet.
pub(super) const DRILL_BOARD: &str = "board, through";
pub(super) const DRILL_BED_TOP: &str = "bed, setup 1";
pub(super) const DRILL_BED_BOTTOM: &str = "bed, setup 2";
pub(super) const REGISTER: &str = "At the parting line the two sides may miss each other by {worst} at worst, {likely} likely (root of the \
     sum of squares). Where it comes from, at each pin:";
pub(super) const KEYED: &str = "All {count} ways to put the board on its pins were tried. The nearest of the wrong ones, {way}, \
     misses by {misses}.";

// Finishing.
pub(super) const FINISH_SAND: &str = "Sand with P100, P150 and P220 in that order (common practice, no source; by ISO 6344 their \
     grains are 162, 100 and 68 \u{b5}m). Wet the wood to raise its grain, let it dry, and sand \
     with P220 again.";
pub(super) const FINISH_WHERE: &str = "Most is left to do where the ball cannot reach: in the corner under the rim, at the roots \
     of slots, along the edge where the two sides meet, and on the tabs' stubs.";
pub(super) const FINISH_OIL: &str = "For things that touch food take only a finish whose maker declares it fit for that, and let \
     it cure as its label says. White mineral oil is one that does not dry; in the USA 21 CFR \
     178.3620(a) and 172.878 say of what purity it must be. Let oil soak in for a day before it \
     is wiped off (common practice, no source).";
pub(super) const FINISH_RULES: &str = "If you sell it: in the European Union, Regulation (EC) No 1935/2004 holds for all that \
     touches food, wood included; elsewhere other rules do. Some people are allergic to some \
     woods and to nut oils.";
pub(super) const FINISH_DUST: &str = "Hardwood dust is limited in the air at work: in the European Union to 2 mg/m\u{b3} over \
     eight hours (Directive (EU) 2017/2398). Your place may ask for less.";

// The templates.
pub(super) const TEMPLATE_PAGE: &str =
    "{design}: template at true size, page {page} of {pages}. Join pages at the crosses.";
pub(super) const TEMPLATE_BAR: &str = "Measure the bar. Print at 100 %.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_filled_once_and_values_are_not_read_again() {
        assert_eq!(fill("{a} and {b}", &[("a", "{b}"), ("b", "x")]), "{b} and x");
        assert_eq!(fill("{a {b} {", &[("b", "x")]), "{a x {");
    }
}
