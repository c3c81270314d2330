//! Woods that are known to harm people.

/// What a wood does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Harm {
    /// It is poisonous.
    Poison,
    /// It often brings on allergies of skin or lungs.
    Allergy,
}

/// Common names, lower case, by what is published of them: Health and Safety Executive, Toxic woods
/// (Woodworking Information Sheet 30); B. M. Hausen, Woods Injurious to Human Health (1981). From
/// memory, and of both lists only those that are told of as poisonous or as strong.
const HARMFUL: [(Harm, &[&str]); 2] = [
    (
        Harm::Poison,
        &[
            "yew",
            "laburnum",
            "oleander",
            "manchineel",
            "mansonia",
            "missanda",
            "tali",
            "poison walnut",
            "rengas",
            "robinia",
            "black locust",
        ],
    ),
    (
        Harm::Allergy,
        &[
            "cocobolo",
            "rosewood",
            "kingwood",
            "african blackwood",
            "iroko",
            "makore",
            "western red cedar",
            "obeche",
            "opepe",
            "wenge",
            "padauk",
            "padouk",
            "satinwood",
            "ebony",
            "teak",
            "ipe",
            "afrormosia",
            "guarea",
            "dahoma",
            "ramin",
        ],
    ),
];

/// What is published of the wood of that common name, in any case; with any words before or behind
/// it, as in `Indian rosewood`.
pub fn harm(species: &str) -> Option<Harm> {
    let words = |name: &str| -> Vec<String> {
        name.to_lowercase()
            .split(|letter: char| !letter.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let species = words(species);
    let named = |name: &&str| {
        let name = words(name);
        species.windows(name.len()).any(|part| part == name)
    };
    HARMFUL.iter().find(|(_, names)| names.iter().any(&named)).map(|(harm, _)| *harm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::species;

    #[test]
    fn a_wood_is_found_among_other_words_and_only_whole() {
        assert_eq!(harm("English Yew"), Some(Harm::Poison));
        assert_eq!(harm("rosewood, East Indian"), Some(Harm::Allergy));
        assert_eq!(harm("Poison-Walnut"), Some(Harm::Poison));
        for good in ["cherry", "black walnut", "red oak", "tea kettle", "", "blackwood"] {
            assert_eq!(harm(good), None, "{good}");
        }
    }

    #[test]
    fn no_wood_that_figures_are_kept_of_is_in_the_lists() {
        for names in HARMFUL.map(|(_, names)| names) {
            assert!(names.iter().all(|name| species(name).is_none() && harm(name).is_some()));
        }
    }
}
