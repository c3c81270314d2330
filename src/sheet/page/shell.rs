//! What pages of this family have in common: the document round a body, and its title block.

use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("style.css");

/// The document round a body.
pub fn document(title: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    }
    .into_string()
}

/// The title block: what the page is, what it is about, and facts, each with its name before it.
pub fn title_block(what: &str, about: &str, facts: &[(&str, String)]) -> Markup {
    html! {
        header {
            p .over { (what) }
            h1 { (about) }
            dl .facts {
                @for (name, value) in facts { div { dt { (name) } dd { (value) } } }
            }
        }
    }
}
