//! STAND-IN, to be deleted when the rooms are joined: replace `super::standin::` and
//! `super::super::standin::` by `crate::` in `src/cli`.
#![allow(missing_docs, dead_code)]

pub(crate) mod params {
    use crate::finding::{Code, Finding, Findings, Source};
    use crate::params::*;
    use crate::units::{Angle, Length, Unit};
    use glam::DVec2;
    use std::ops::Range;

    /// Joined: `crate::finding::Spans`.
    pub(crate) struct Spans;
    impl Spans {
        pub(crate) fn get(&self, _key: &str) -> Option<Range<usize>> {
            None
        }
    }
    const CODE: Code = Code {
        name: "stand-in",
        explain: "The parsers are not in the tree yet, so this stands in for all that they can say.",
    };

    fn look(text: &str, source: Source, findings: &mut Findings) {
        for (at, _) in text.match_indices("WRONG") {
            findings.push(Finding::fault(CODE, "this is wrong", "Write it right.").at_span(
                source,
                "some.key",
                at..at + 5,
            ));
        }
    }
    pub(crate) fn parse_design(text: &str, findings: &mut Findings) -> Option<(Design, Spans)> {
        look(text, Source::Design, findings);
        let at = |at: f64, size: f64| Station { at, size: Length::mm(size) };
        Some((
            Design {
                name: "harvest fork".into(),
                kind: Kind::Fork,
                length: Length::mm(290.0),
                edge: Length::mm(2.0),
                head: Head::Bowl(Bowl {
                    length: Length::mm(95.0),
                    width: Length::mm(64.0),
                    depth: Length::mm(7.0),
                    wall: Length::mm(5.0),
                    rim: Length::mm(2.5),
                    fullness: 2.4,
                    widest: 0.55,
                }),
                handle: Handle {
                    end: Length::mm(12.0),
                    width: vec![at(0.0, 24.0), at(1.0, 14.0)],
                    thickness: vec![at(0.0, 9.0), at(1.0, 13.0)],
                    curve: vec![],
                    sway: vec![],
                    section: 2.2,
                },
                tines: Some(Tines {
                    count: 4,
                    slot: Slot {
                        width: Length::mm(6.5),
                        length: Length::mm(55.0),
                        taper: Angle::degrees(1.0),
                    },
                }),
                tabs: Tabs {
                    width: Length::mm(9.0),
                    thickness: Length::mm(5.0),
                    place: vec![TabPlace { side: Side::Left, at: 0.12 }],
                },
                give: vec![Give {
                    key: "handle.curve".into(),
                    least: Bound::Fraction(0.4),
                    most: Bound::Length(Length::mm(9.0)),
                    weight: 1.0,
                }],
            },
            Spans,
        ))
    }
    pub(crate) fn parse_board(text: &str, findings: &mut Findings) -> Option<(Board, Spans)> {
        look(text, Source::Board, findings);
        Some((
            Board {
                name: "pear 3".into(),
                species: "pear".into(),
                length: Length::mm(600.0),
                width: Length::mm(140.0),
                readings: vec![Reading {
                    at: DVec2::new(10.0, 20.0),
                    thickness: Length::inches(1.25),
                }],
                skim_top: Length::mm(0.5),
                skim_bottom: Length::ZERO,
                moisture_now: Some(9.5),
                moisture_use: None,
                grain: Angle::degrees(0.0),
                flaws: vec![Flaw {
                    kind: FlawKind::Knot,
                    shape: FlawShape::Circle {
                        centre: DVec2::new(300.0, 40.0),
                        radius: Length::mm(12.0),
                    },
                }],
            },
            Spans,
        ))
    }
    pub(crate) fn parse_shop(text: &str, findings: &mut Findings) -> Option<(Shop, Spans)> {
        look(text, Source::Shop, findings);
        Some((
            Shop {
                name: "village hall shop".into(),
                unit: Unit::Inch,
                turn: TurnAxis::X,
                zero: Zero::Bottom,
                cutters: vec![Cutter {
                    name: "ball 6".into(),
                    form: CutterForm::Ball,
                    diameter: Length::mm(6.0),
                    flute: Length::mm(38.0),
                    stick_out: Length::mm(50.0),
                    feed_mm_min: 1800.0,
                    speed_rpm: 18_000.0,
                    step_over: Length::mm(0.5),
                }],
                work: Work {
                    rough: "flat 8".into(),
                    finish: "ball 6".into(),
                    slots: "flat 6".into(),
                },
                pin: Pin { diameter: Length::mm(6.0), play: Length::mm(0.05) },
                bolt: Bolt { size: BoltSize::M6, fit: BoltFit::Normal },
                hold_down: HoldDown {
                    lip: Length::mm(12.0),
                    lip_thickness: Length::mm(8.0),
                    body: Length::mm(40.0),
                    width: Length::mm(30.0),
                    squeeze: Length::mm(0.2),
                },
                printer_fit: Length::mm(0.2),
                limits: Limits {
                    tine: Length::mm(5.0),
                    wall: Length::mm(3.0),
                    rim: Length::mm(2.0),
                    spare: Length::mm(6.0),
                    margin: Length::mm(10.0),
                    overlap: Length::mm(0.5),
                },
                notes: vec!["Extraction on before the spindle.".into()],
            },
            Spans,
        ))
    }
    pub(crate) fn template(source: Source) -> &'static str {
        match source {
            Source::Design => "# design\n",
            Source::Board => "# board\n",
            Source::Shop => "# shop\n",
        }
    }
    /// Joined: a public reader of one length, over `quantity::length_mm`.
    pub(crate) fn length(text: &str) -> Result<Length, String> {
        let number =
            text.trim().strip_suffix("mm").ok_or("write it with its unit, such as \"0.02 mm\"")?;
        number.trim().parse::<f64>().map(Length::mm).map_err(|e| e.to_string())
    }
}

pub(crate) mod job {
    use crate::finding::{Code, Findings};
    use crate::params::{Board, Design, Shop};
    use crate::units::Length;
    pub(crate) struct Order {
        pub(crate) design: Design,
        pub(crate) board: Board,
        pub(crate) shop: Shop,
        pub(crate) tolerance: Length,
    }
    pub(crate) struct Job(pub(super) (Design, Board, Shop, Length));
    pub(crate) struct Outcome {
        pub(crate) findings: Findings,
        pub(crate) job: Option<Job>,
    }
    pub(crate) fn plan(order: &Order) -> Outcome {
        Outcome {
            findings: Findings::new(),
            job: Some(Job((
                order.design.clone(),
                order.board.clone(),
                order.shop.clone(),
                order.tolerance,
            ))),
        }
    }
    /// Every code of the rooms below: params, fit, check, workholding.
    pub(crate) fn codes() -> Vec<Code> {
        Vec::new()
    }
}

pub(crate) mod export {
    use super::job::Job;
    use crate::export::packet::*;
    use crate::export::{Artefact, ExportError, stl, threemf};
    use crate::mesh::Mesh;
    use crate::units::{Angle, Length};
    fn art(name: &str, bytes: Vec<u8>) -> Artefact {
        Artefact {
            name: name.into(),
            role: "the body, unslotted",
            unit: "mm",
            frame: "design",
            bytes,
        }
    }
    pub(crate) fn packet(job: &Job) -> Result<Vec<Artefact>, ExportError> {
        only(job, &["body.stl".into(), "body.3mf".into(), "top/relief.stl".into()])
    }
    /// These files of the packet alone, and their list.
    pub(crate) fn only(job: &Job, names: &[String]) -> Result<Vec<Artefact>, ExportError> {
        let mesh = Mesh {
            points: vec![glam::DVec3::ZERO, glam::DVec3::X, glam::DVec3::Y, glam::DVec3::Z],
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
        };
        let mut out = Vec::new();
        for name in names {
            out.push(art(
                name,
                match name.as_str() {
                    "body.stl" | "top/relief.stl" => stl::stl(&mesh)?,
                    "body.3mf" => threemf::threemf(&mesh, &job.0.0.name)?,
                    _ => {
                        return Err(ExportError::NoSuchFile {
                            name: name.clone(),
                            known: vec!["body.stl".into()],
                        });
                    }
                },
            ));
        }
        let info = PacketInfo {
            design: job.0.0.clone(),
            board: job.0.1.clone(),
            shop: job.0.2.clone(),
            measured: Measured {
                length: Length::mm(290.0001234),
                width: Length::mm(64.0),
                height: Length::mm(21.3),
                bowl_depth: Some(Length::mm(6.999)),
                body_volume_mm3: 61_234.567_89,
                tine_width_least: Some(Length::mm(9.1)),
                ..Measured::default()
            },
            mesh: MeshInfo {
                tolerance: Length::mm(0.02),
                error_max: Length::mm(0.018_761),
                triangles: 30_000,
                angle_least: Angle::degrees(14.2),
            },
            stock: Stock {
                usable: Length::mm(31.25),
                height: Length::mm(31.25),
                spare: Length::mm(-0.0),
            },

            changes: vec![],
            findings: vec![],
        };
        out.push(list(&info, &out)?);
        Ok(out)
    }
}
