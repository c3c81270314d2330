//! A picture of a piece, alone or on its tabs.

use super::{LetIn, Sitter, View, Wood, shaded_svg};
use crate::inlay::Inlaid;
use crate::job::Piece;
use crate::mesh::{self, Mesh, Post};
use crate::params::Shop;
use crate::relief::skirt_width;
use crate::units::Length;
use glam::DVec2;
use std::borrow::Cow;

/// Chords of the slots in a picture: less than a pixel shows.
const CHORD: Length = Length::mm(0.01);

/// What a picture shows of a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shown {
    /// The piece when it is finished, slots cut.
    #[default]
    Finished,
    /// The same on its tabs, as it leaves the machine. Without a board there are none.
    OnTabs,
}

/// A picture of a piece. If the slots can't be cut through the mesh, or the tabs not joined to it,
/// it is shown without them.
#[derive(Clone, Copy, Debug)]
pub struct Picture<'a> {
    /// The piece.
    pub piece: &'a Piece,
    /// The shop that it is made in.
    pub shop: &'a Shop,
    /// What is shown of it.
    pub shown: Shown,
    /// From where.
    pub view: View,
    /// Width and height, in pixels.
    pub size: (u32, u32),
    /// Of what wood it is.
    pub wood: Wood,
}

impl Picture<'_> {
    /// As PNG.
    pub fn png(&self) -> Vec<u8> {
        let mesh = self.mesh();
        let sitter = Sitter::new(&mesh).with(inlaid(self.piece));
        sitter.shaded(&self.view, self.size, self.wood)
    }

    /// As SVG, in areas of equal tone and named after the design.
    pub fn svg(&self) -> String {
        shaded_svg(&self.mesh(), &self.view, self.size, self.wood, &self.piece.design.name)
    }

    /// The piece as it is shown.
    fn mesh(&self) -> Cow<'_, Mesh> {
        /// From the outline into the body, whose edge is upright there, and to the skirt's end.
        const INTO: f64 = 1.0;
        let finished = finished(self.piece);
        let (Shown::OnTabs, Some(carved)) = (self.shown, &self.piece.carved) else {
            return finished;
        };
        let Some(ball) = self.shop.cutter(&self.shop.work.finish) else { return finished };
        let skirt = skirt_width(ball.diameter).as_mm();
        let post = |(tab, _): &(crate::relief::Tab, _)| {
            let [from, to] = tab.sides();
            let (inward, outward) = (tab.out * -INTO, tab.out * skirt);
            Post {
                outline: vec![from + inward, from + outward, to + outward, to + inward],
                span: [tab.bottom.as_mm(), tab.top.as_mm()],
            }
        };
        let posts: Vec<Post> = carved.tabs.iter().map(post).collect();
        mesh::with_posts(&finished, &posts).map_or(finished, Cow::Owned)
    }
}

/// The wood of what is let in. What is poured has the colour of none.
pub fn wood_let_in(inlay: &Inlaid) -> Wood {
    inlay.plug.as_ref().map_or(Wood::Plastic, |plug| Wood::of(&plug.board.species))
}

/// What is let into a piece's faces, as it is when it is cleaned up.
pub fn inlaid(piece: &Piece) -> Vec<LetIn> {
    let inlays = piece.carved.iter().flat_map(|carved| &carved.inlays);
    let one = |inlay: &Inlaid| {
        let corner = inlay.art.first().and_then(|path| path.vertices.first());
        let middle = piece.body.parting(corner.map_or(DVec2::ZERO, |corner| corner.point));
        LetIn::new(&inlay.art, inlay.face, middle, wood_let_in(inlay))
    };
    inlays.map(one).collect()
}

/// A piece with its slots cut; without them if they can't be cut through its mesh.
pub fn finished(piece: &Piece) -> Cow<'_, Mesh> {
    if let Some(carved) = &piece.carved {
        return Cow::Borrowed(&carved.finished);
    }
    let cuts = piece.outlines.cuts();
    let slots: Vec<_> = cuts.iter().map(|slot| slot.to_polyline(CHORD)).collect();
    if slots.is_empty() {
        return Cow::Borrowed(&piece.mesh.mesh);
    }
    mesh::cut_through(&piece.mesh, &slots).map_or(Cow::Borrowed(&piece.mesh.mesh), Cow::Owned)
}
