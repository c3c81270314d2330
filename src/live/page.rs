//! The page itself: its text, its look and its scripts, all in the program.

use super::words;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

const INDEX: &str = include_str!("page/index.html");

/// Its parts: name, kind and content.
const PARTS: &[(&str, &str, &str)] = &[
    ("page.css", "text/css; charset=utf-8", include_str!("page/page.css")),
    ("page.js", SCRIPT, include_str!("page/page.js")),
    ("field.js", SCRIPT, include_str!("page/field.js")),
    ("board.js", SCRIPT, include_str!("page/board.js")),
    ("form.js", SCRIPT, include_str!("page/form.js")),
    ("figure.js", SCRIPT, include_str!("page/figure.js")),
    ("lines.js", SCRIPT, include_str!("page/lines.js")),
    ("notes.js", SCRIPT, include_str!("page/notes.js")),
    ("picture.js", SCRIPT, include_str!("page/picture.js")),
    ("talk.js", SCRIPT, include_str!("page/talk.js")),
    ("made.js", SCRIPT, include_str!("page/made.js")),
    ("mark.svg", "image/svg+xml", include_str!("page/mark.svg")),
];

const SCRIPT: &str = "text/javascript; charset=utf-8";

pub(super) fn index() -> Response {
    ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], INDEX).into_response()
}

pub(super) fn part(name: &str) -> Response {
    match PARTS.iter().find(|(part, ..)| *part == name) {
        Some((_, kind, content)) => ([(header::CONTENT_TYPE, *kind)], *content).into_response(),
        None => (StatusCode::NOT_FOUND, words::NOT_HERE).into_response(),
    }
}
