//! Each size judged on the mesh by rays, areas and normals.

use super::*;
use crate::blocks::block::{overhangs, thinnest};
use crate::kernel::judge::judged;
use crate::mesh::{Mesh, audit};
use crate::params::{Bolt, BoltFit, BoltSize, HoldDown, Limits, Pin, TurnAxis, Work, Zero};
use std::f64::consts::{PI, TAU};

pub(crate) fn shop(squeeze: f64) -> Shop {
    Shop {
        name: "barn shop".to_owned(),
        unit: Unit::Millimetre,
        models: Unit::Millimetre,
        turn: TurnAxis::X,
        zero: Zero::Top,
        paper: crate::params::Paper::A4,
        cutters: Vec::new(),
        work: Work {
            rough: String::new(),
            finish: String::new(),
            slots: String::new(),
            pins: None,
            leave: Length::ZERO,
        },
        pin: Pin { diameter: Length::mm(6.0), play: Length::mm(0.1) },
        bolt: Bolt { size: BoltSize::M6, fit: BoltFit::Normal },
        hold_down: HoldDown {
            lip: Length::mm(9.0),
            lip_thickness: Length::mm(8.0),
            body: Length::mm(40.0),
            width: Length::mm(24.0),
            squeeze: Length::mm(squeeze),
        },
        printer_fit: Length::mm(0.2),
        limits: Limits {
            tine: Length::mm(5.0),
            wall: Length::mm(3.0),
            rim: Length::mm(1.5),
            spare: Length::mm(6.0),
            margin: Length::mm(5.0),
            overlap: Length::mm(0.5),
            check: crate::params::CheckLimits::default(),
        },
        bed: crate::params::Bed::usual(Length::mm(6.0)),
        notes: Vec::new(),
    }
}

fn made(shop: &Shop, height: f64) -> Result<HoldDownModel, Box<Finding>> {
    hold_down(shop, Length::mm(height), HoldForm::Stepped)
}

fn mesh(model: &HoldDownModel) -> &Mesh {
    &model.block.as_ref().expect("built").mesh
}

#[test]
fn an_inch_and_a_quarter_of_stock_gives_a_bearing_face_there_exactly() {
    let model = made(&shop(0.0), 31.75).expect("it fits");
    assert_eq!(mesh(&model).met_by(DVec2::new(4.3, 3.1)), [31.75, 39.75]);
    assert_eq!(mesh(&model).met_by(DVec2::new(-30.2, 3.1)), [0.0, 39.75], "the heel is on the bed");
    assert_eq!(model.bearing, Length::mm(31.75));
    let squeezed = made(&shop(0.3), 31.75).expect("it fits");
    assert_eq!(mesh(&squeezed).met_by(DVec2::new(4.3, 3.1))[0], 31.75 - 0.3);
}

#[test]
fn the_block_is_sound_and_has_the_volume_of_its_profile_less_what_is_cut_out() {
    let model = made(&shop(0.0), 31.75).expect("it fits");
    let found = audit(mesh(&model));
    assert!(found.sound());
    // ISO 273 medium for M6 is 6.6 mm; 0.2 mm for the printer: radius 3.4, and a square of that
    // side under the ridge. The mark: 5 strokes for a 3, 2 for a 1, 3 for a 7, 6 for a 9, and so on.
    let radius: f64 = 3.4;
    let marks: f64 = model
        .shape
        .sunk
        .iter()
        .map(|place| {
            let size = place.outline[2] - place.outline[0];
            size.x * size.y * place.depth.as_mm()
        })
        .sum();
    assert_eq!(model.mark, "31.8");
    assert_eq!(model.shape.sunk.len(), 5 + 2 + 1 + 7);
    assert!(marks > 10.0 && marks < 60.0, "{marks}");
    let area = 0.75 * PI * radius * radius + radius * radius;
    let exact = 24.0 * (40.0 * 39.75 + 9.0 * 8.0) - area * 39.75 - marks;
    let volume = found.volume_mm3;
    assert!(volume < exact && volume > exact - TAU * radius * 0.01 * 39.75, "{volume} {exact}");
}

#[test]
fn the_bolt_passes_and_its_washer_stays_on_the_block() {
    let model = made(&shop(0.0), 31.75).expect("it fits");
    let centre = model.hole.centre;
    let mut least = f64::INFINITY;
    for i in 0..360 {
        let way = DVec2::from_angle(TAU * f64::from(i) / 360.0);
        let r = (300..600)
            .map(|k| f64::from(k) / 100.0 + 1e-5)
            .find(|r| !mesh(&model).met_by(centre + way * *r).is_empty())
            .expect("plastic round the hole");
        least = least.min(r);
        // Under the ridge there is more room, elsewhere no more than the mesh's error.
        assert!(r <= 3.4 * 2.0_f64.sqrt() + 0.03 && (way.y > 0.7 || r <= 3.4 + 0.0201), "{r}");
    }
    assert!(least >= 3.4, "{least}");
    // ISO 7089: 12 mm for M6.
    assert!(centre.x + 6.0 <= 0.0 && centre.x - 6.0 >= -40.0);
    // Nearer to the lip's middle than to the heel, so that most of the pull goes to the lip.
    assert!(4.5 - centre.x < centre.x + 40.0);
    // The head and its washer stand over it: ISO 4017, 4 mm; ISO 7089, 1.6 mm.
    assert_eq!(model.over, Length::mm(39.75 + 5.6));
}

/// The library's own mesh of the same solid has its chords on the other side of the walls.
#[test]
fn the_solid_lies_between_its_two_meshes() {
    let block = made(&shop(0.0), 31.75).expect("it fits").block.expect("built");
    let (inner, outer) = (audit(&block.mesh).volume_mm3, block.solid.judged(0.01));
    let exact = block.solid.volume_mm3();
    assert!(outer.closed && inner < exact && exact < outer.volume_mm3);
    assert!(outer.volume_mm3 - inner < 2.0 * TAU * 3.4 * 0.01 * 39.75);
}

/// Every member of the family: form, head, bolt, slot, ribs.
#[test]
fn every_member_is_sound_and_prints_without_supports() {
    let mut count = 0;
    for form in [HoldForm::Stepped, HoldForm::Low] {
        for head in [BoltHead::Flat, BoltHead::Washer, BoltHead::Hex] {
            for size in BoltSize::ALL {
                for (slide, rib) in [(0.0, None), (9.0, Some(Length::mm(3.0)))] {
                    let mut shop = shop(0.2);
                    shop.bolt.size = size;
                    shop.hold_down.body = Length::mm(80.0);
                    shop.hold_down.width = Length::mm(60.0);
                    shop.bed.clamp.head = head;
                    shop.bed.clamp.slide = Length::mm(slide);
                    shop.bed.clamp.rib = rib;
                    let model = hold_down(&shop, Length::mm(30.0), form).expect("it fits");
                    let what = format!("{form:?} {head:?} {size:?} {slide}");
                    let found = audit(mesh(&model));
                    assert!(found.sound(), "{what}");
                    let second = judged(&mesh(&model).points, &mesh(&model).triangles);
                    assert!(second.closed, "{what}");
                    assert!((second.volume_mm3 - found.volume_mm3).abs() < 1e-6, "{what}");
                    assert_eq!(overhangs(mesh(&model)), 0.0, "{what}");
                    // So that no file of 32-bit floats loses one.
                    assert!(thinnest(mesh(&model)) > 1e-3, "{what}: {}", thinnest(mesh(&model)));
                    let under = if form == HoldForm::Low { 20.0 } else { 30.0 };
                    let lip = mesh(&model).met_by(DVec2::new(4.3, 3.1));
                    assert!((lip[0] - (under - 0.2)).abs() < 1e-9, "{what}: {lip:?}");
                    assert_eq!(model.mark, "30", "{what}");
                    let hollow = model.shape.sunk.iter().any(|place| place.depth.as_mm() > 10.0);
                    assert_eq!(hollow, rib.is_some(), "{what}");
                    count += 1;
                }
            }
        }
    }
    assert_eq!(count, 2 * 3 * 7 * 2);
}

#[test]
fn a_pocket_takes_the_washer_and_the_head_sits_flush() {
    let mut shop = shop(0.0);
    shop.hold_down.width = Length::mm(28.0);
    shop.bed.clamp.head = BoltHead::Washer;
    let model = made(&shop, 31.75).expect("it fits");
    assert_eq!(model.over, model.height);
    // Beside the hole, within the washer: the pocket's floor, a washer and a head down.
    let at = model.hole.centre - DVec2::Y * 5.9;
    assert!((mesh(&model).met_by(at)[1] - (39.75 - 5.6)).abs() < 1e-9);
    assert_eq!(mesh(&model).met_by(model.hole.centre - DVec2::Y * 6.2)[1], 39.75);
    assert!(mesh(&model).met_by(model.hole.centre).is_empty());
}

#[test]
fn a_block_without_room_for_its_bolt_is_a_fault() {
    let mut narrow = shop(0.0);
    narrow.hold_down.width = Length::mm(12.0);
    assert_eq!(made(&narrow, 20.0).unwrap_err().code, BOLT_HOLE_TOO_NEAR);
    let mut squeezed = shop(0.0);
    squeezed.hold_down.squeeze = Length::mm(20.0);
    assert!(made(&squeezed, 20.0).is_err());
    let mut odd = shop(0.0);
    odd.hold_down.body = Length::mm(f64::NAN);
    assert!(made(&odd, 20.0).is_err());
}
