//! What the sheet, its drawings and the templates say: one table of messages, to be translated in
//! one place. `{name}` stands for a word or a figure that is filled in. What the sheet shows of
//! other rooms stands in their own tables of the same form: `work/words.rs` (the order of
//! work), `export/words.rs` (what each file is for), `mesh/words.rs` (sizes).

mod checks;
mod page;
mod work;

pub(super) use checks::*;
pub(super) use page::*;
pub(super) use work::*;

pub(super) use crate::finding::fill;
