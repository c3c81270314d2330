//! What a maker may look for, and what the tool has instead.

/// What there is in place of a thing that a design of this tool can't name.
pub(super) fn instead_of(name: &str, section: &str) -> Option<&'static str> {
    Some(match name.to_lowercase().as_str() {
        "crank" | "bend" | "arch" | "offset" | "drop" | "sheer" => {
            "Nearest to it is `handle.curve`, the height of the handle's middle line, and \
             `bowl.curve` or `blade.curve`, the head's."
        }
        "outline" | "shape" | "profile" | "contour" => {
            "Nearest to it are `utensil.plan`, a drawing of the whole, and `bowl.outline` or \
             `blade.outline`, the head's widths."
        }
        "hole" | "holes" | "hanging_hole" => "A hole or a slot is an `[[opening]]`.",
        "engraving" | "text" | "logo" => {
            "Draw it as outlines and let it in with `[[inlay]]`, or do it by hand at the end."
        }
        "neck" | "shoulder" => {
            "The neck is the station at 100 % of `handle.width`; it runs out into the head by \
             `shoulder` and `keel` of the head."
        }
        "shaft" | "stem" | "grip" | "shank" => "The handle is `handle`.",
        "hollow" | "scoop" | "cup" => "The hollow is `bowl`, its depth `bowl.depth`.",
        "prongs" | "teeth" | "forks" => "The tines are `tines`.",
        "shift" | "left" | "right" if section.contains(".outline") => {
            "Where the sides differ, `size` is left and right together; half of what left has more than \
             right is the `shift` of a station of `sway`, a list beside `outline`."
        }
        _ => return None,
    })
}
