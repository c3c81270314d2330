//! The job sheet, `sheet.html`: what it says of a job, its pictures, and its page.

mod base64;
mod model;
pub mod page;
mod shots;
mod whole;
mod words;

pub use base64::picture_source;
pub use model::{map_picture, reach_steps};
pub use page::{FileLine, PagePicture};
pub use whole::{Sheet, Title};

use crate::job::Job;
use rayon::prelude::*;

/// The pictures of each piece, which take longest to make.
pub fn pictures(job: &Job) -> Vec<Vec<PagePicture>> {
    job.mounted().par_iter().with_max_len(1).map(shots::of).collect()
}

/// The page for one piece or for a set: one title block, the pieces, the board with all that lies on
/// it, one order of work, and a page for each setup. None for a job that is not mounted.
pub fn html(sheet: &Sheet<'_>, pictures: Vec<Vec<PagePicture>>) -> Option<String> {
    Some(page::page(&model::of(sheet, pictures)?))
}

#[cfg(test)]
mod tests;
