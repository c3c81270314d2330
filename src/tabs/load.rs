//! Do the tabs bear the finishing pass? An estimate.
//!
//! The piece is taken as rigid and the frame as fixed. Each tab is a beam between them, as long as
//! the skirt is wide, both of its ends clamped: an end that moves by w and turns by t feels the
//! moments E I / L³ (6 L w + 4 L² t) at its own end and E I / L³ (6 L w + 2 L² t) at the other
//! (the clamped beam of any text on structures). The push acts anywhere on the outline, up or down
//! or sideways; the piece settles where the tabs' answers balance it. Strength and stiffness are
//! the wood's published ones, lowered by Hankinson's formula for the angle between tab and grain.
//!
//! Promised: the sum of the answers balances the push. Not promised: strength. A tab is short and
//! stout, so a slender beam's formula is rough; twisting stiffness and shear are left out, knots
//! and dull cutters too.

use crate::finding::{Code, Finding, Findings, Source};
use crate::outline::hull::hull;
use crate::params::{Species, TabLoad};
use crate::relief::Tab;
use crate::units::{Length, figures_apart, plain};
use glam::{DMat3, DVec2, DVec3};

/// The tabs are too weak for the finishing pass.
pub const TAB_WEAK: Code = Code {
    name: "tab-weak",
    explain: "By estimate a tab bears less than the shop's tabs.safety times tabs.push, or the \
        piece gives way by more than tabs.sag. It is a fault where a tab breaks under the push \
        itself, or the piece gives way by a centimetre. Make the tabs thicker (strength grows with the \
        square of the thickness), add one near the place given, or write place = \"auto\". The \
        estimate takes the piece as rigid and each tab as a beam clamped at the body and at the \
        frame, as long as the skirt is wide. The push acts at the worst place on the outline. \
        Strength and stiffness are those published for the species (Wood Handbook, FPL-GTR-282, \
        Table 5-3b), lowered by Hankinson's formula, because a tab mostly runs across the grain. \
        Published figures are averages of clear wood, the push is common practice without a \
        source, and shear and twist are left out.",
};

/// The tabs hold one end only.
pub const TABS_OFF_BALANCE: Code = Code {
    name: "tabs-off-balance",
    explain: "The tabs don't support the piece's centre of mass. A piece that hangs beside its \
        supports lets its free end dip and chatter when the second side is finished, and it tips \
        when one tab lets go. The supports are the tabs' feet, each as wide as the tab; the centre \
        of mass is that of the body before slots are cut. Move a tab to the lighter side or add \
        one. How strong the tabs are is another matter: see tab-weak.",
};

/// What pushes and what bears.
#[derive(Clone, Copy)]
pub struct Pushed<'a> {
    /// The outline in the design frame, in mm; the push acts on it.
    pub outline: &'a [DVec2],
    /// Length of a tab: the skirt's width.
    pub skirt: Length,
    /// The wood.
    pub wood: &'a Species,
    /// The grain at a place of the design: its angle from X, counter-clockwise, in radians.
    pub grain: &'a dyn Fn(DVec2) -> f64,
    /// What is asked of the tabs.
    pub load: TabLoad,
}

/// What one tab bears.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bears {
    /// Greatest stress over all places of the push, in MPa.
    pub stress_mpa: f64,
    /// Bending strength along the tab, in MPa.
    pub strength_mpa: f64,
}

impl Bears {
    /// How many times the push it bears.
    pub fn factor(&self) -> f64 {
        self.strength_mpa / self.stress_mpa.max(1e-9)
    }
}

/// What the tabs bear together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Borne {
    /// Of each tab.
    pub each: Vec<Bears>,
    /// How far the piece gives way where it is pushed, at the worst place.
    pub sag: Length,
    /// That place, in mm.
    pub sags_at: DVec2,
}

impl Borne {
    /// The weakest tab's factor; 0 without tabs.
    pub fn factor(&self) -> f64 {
        let least = self.each.iter().map(Bears::factor).fold(f64::INFINITY, f64::min);
        if least.is_finite() { least } else { 0.0 }
    }

    /// Whether it is enough.
    pub fn enough(&self, load: &TabLoad) -> bool {
        self.factor() >= load.safety && self.sag <= load.sag
    }
}

/// A piece that nothing stops from turning gives way by this much.
const LOOSE: Length = Length::mm(1000.0);

/// A piece that gives way by more than this is not held: the cutter digs in (no source).
const LOST: Length = Length::mm(10.0);

/// Places of the push.
const PUSHES: usize = 48;

/// Turns count by the way of a place so far from the middle, in mm, so that moves and turns are of
/// one size.
const ARM: f64 = 50.0;

/// A tab as a beam in one plane.
struct Beam {
    /// Move of its end along the plane's own direction, by the piece's three freedoms.
    shift: DVec3,
    /// Turn of its end.
    turn: DVec3,
    /// Move of its end along the tab, and the stiffness against it.
    pull: DVec3,
    pull_stiffness: f64,
    /// E I / L³.
    k: f64,
    length: f64,
}

impl Beam {
    fn stiffness(&self) -> DMat3 {
        let Beam { shift: a, turn: b, k, length: l, pull, pull_stiffness, .. } = *self;
        outer(a, a) * (12.0 * k)
            + (outer(a, b) + outer(b, a)) * (6.0 * l * k)
            + outer(b, b) * (4.0 * l * l * k)
            + outer(pull, pull) * pull_stiffness
    }

    /// Moments at the body's end and at the frame's, and the pull along it.
    fn answers(&self, moves: DVec3) -> [f64; 3] {
        let (w, t) = (self.shift.dot(moves), self.turn.dot(moves));
        let l = self.length;
        [
            self.k * (6.0 * l * w + 4.0 * l * l * t),
            self.k * (6.0 * l * w + 2.0 * l * l * t),
            self.pull_stiffness * self.pull.dot(moves),
        ]
    }
}

fn outer(a: DVec3, b: DVec3) -> DMat3 {
    DMat3::from_cols(a * b.x, a * b.y, a * b.z)
}

/// The inverse of what holds the piece; none when it is loose.
fn held(beams: &[Beam]) -> Option<DMat3> {
    let sum = beams.iter().fold(DMat3::ZERO, |sum, beam| sum + beam.stiffness());
    let size = (sum.x_axis.x + sum.y_axis.y + sum.z_axis.z) / 3.0;
    let firm = size > 0.0 && sum.determinant() > 1e-9 * size.powi(3);
    firm.then(|| sum.inverse())
}

impl Pushed<'_> {
    /// What tabs bear.
    pub fn reckon(&self, tabs: &[Tab]) -> Borne {
        let middle = tabs.iter().map(|tab| tab.foot).sum::<DVec2>() / tabs.len().max(1) as f64;
        let length = self.skirt.as_mm();
        let sizes: Vec<[f64; 2]> =
            tabs.iter().map(|t| [t.width.as_mm(), (t.top - t.bottom).as_mm()]).collect();
        let beams = |upright: bool| -> Vec<Beam> {
            let beam = |(tab, [wide, thick]): (&Tab, &[f64; 2])| {
                let stiff = self.wood.stiffness_mpa_at(self.off_grain(tab));
                let second =
                    if upright { wide * thick.powi(3) / 12.0 } else { thick * wide.powi(3) / 12.0 };
                let r = tab.foot - middle;
                let (o, a) = (tab.out, tab.along());
                let (shift, turn) = if upright {
                    (DVec3::new(1.0, r.y / ARM, -r.x / ARM), DVec3::new(0.0, o.y, -o.x) / ARM)
                } else {
                    (DVec3::new(a.x, a.y, a.dot(r.perp()) / ARM), DVec3::Z / ARM)
                };
                Beam {
                    shift,
                    turn,
                    pull: DVec3::new(o.x, o.y, o.dot(r.perp()) / ARM),
                    pull_stiffness: if upright { 0.0 } else { stiff * wide * thick / length },
                    k: stiff * second / length.powi(3),
                    length,
                }
            };
            tabs.iter().zip(&sizes).map(beam).collect()
        };
        let (upright, level) = (beams(true), beams(false));
        let mut borne = Borne {
            each: tabs
                .iter()
                .map(|tab| Bears {
                    stress_mpa: 0.0,
                    strength_mpa: self.wood.strength_mpa_at(self.off_grain(tab)),
                })
                .collect(),
            ..Borne::default()
        };
        let (Some(bends), Some(slides)) = (held(&upright), held(&level)) else {
            borne.each.iter_mut().for_each(|bears| bears.strength_mpa = 0.0);
            borne.sag = LOOSE;
            return borne;
        };
        let push = self.load.push_n;
        let step = (self.outline.len() / PUSHES).max(1);
        for at in self.outline.iter().step_by(step) {
            let r = *at - middle;
            let way = DVec3::new(1.0, r.y / ARM, -r.x / ARM);
            let moves = bends * way * push;
            let sag = Length::mm(way.dot(moves));
            if sag > borne.sag {
                (borne.sag, borne.sags_at) = (sag, *at);
            }
            let along_x = slides * DVec3::new(1.0, 0.0, -r.y / ARM) * push;
            let along_y = slides * DVec3::new(0.0, 1.0, r.x / ARM) * push;
            for (index, bears) in borne.each.iter_mut().enumerate() {
                let [wide, thick] = sizes[index];
                let [m1, m2, _] = upright[index].answers(moves);
                let up = 6.0 * m1.abs().max(m2.abs()) / (wide * thick * thick);
                // The worst direction of a sideways push: both of its parts together.
                let (x, y) = (level[index].answers(along_x), level[index].answers(along_y));
                let [m1, m2, pull] = [0, 1, 2].map(|i: usize| x[i].hypot(y[i]));
                let side = 6.0 * m1.max(m2) / (thick * wide * wide) + pull / (wide * thick);
                bears.stress_mpa = bears.stress_mpa.max(up).max(side);
            }
        }
        borne
    }

    /// Angle between a tab and the grain.
    fn off_grain(&self, tab: &Tab) -> f64 {
        let grain = DVec2::from_angle((self.grain)(tab.foot));
        tab.out.dot(grain).abs().min(1.0).acos()
    }

    /// What there is to say of it.
    /// `thick_enough` finds the thickness at which tabs of this design would do.
    pub fn judge(
        &self,
        borne: &Borne,
        names: &[String],
        thick_enough: impl FnOnce() -> Option<Length>,
        out: &mut Findings,
    ) {
        let load = &self.load;
        if borne.enough(load) {
            return;
        }
        let weakest = (0..borne.each.len())
            .min_by(|a, b| borne.each[*a].factor().total_cmp(&borne.each[*b].factor()))
            .unwrap_or_default();
        let name = names.get(weakest).map_or("the tabs", String::as_str);
        let [factor, least] = figures_apart([borne.factor(), load.safety], 1);
        let mut says = format!(
            "by estimate {name}, bears {factor} times the push of {} N in {}; the shop's least is \
             {least} times",
            plain(load.push_n, 1),
            self.wood.names[0],
        );
        // A tab that breaks is told before one that gives way.
        if borne.sag > LOST || (borne.sag > load.sag && borne.factor() >= 1.0) {
            says = format!(
                "by estimate the piece gives way by {} when it is pushed {} mm from the handle's \
                 end with {} N; the shop's limit is {}",
                Length::mm((borne.sag.as_mm() * 1e3).ceil() / 1e3),
                plain(borne.sags_at.x, 0),
                plain(load.push_n, 1),
                load.sag
            );
        }
        let help = match thick_enough() {
            Some(thick) => {
                format!("Make tabs.thickness {thick}, or add a tab there, or push less.")
            }
            None => "Add a tab where it gives way, or let the tool place them: place = \"auto\"."
                .to_owned(),
        };
        let lost = borne.factor() < 1.0 || borne.sag > LOST;
        let finding = if lost {
            Finding::fault(TAB_WEAK, says, help)
        } else {
            Finding::caution(TAB_WEAK, says, help)
        };
        out.push(finding.at(Source::Design, "tabs.thickness"));
    }
}

/// The same tab of another thickness.
pub(super) fn as_thick(tab: &Tab, thickness: Length) -> Tab {
    let middle = (tab.top + tab.bottom).half();
    Tab { bottom: middle - thickness.half(), top: middle + thickness.half(), ..*tab }
}

/// How far inside the supports a place is, in mm; negative outside. The supports are the hull of
/// the tabs' feet.
pub fn inside_supports(tabs: &[Tab], at: DVec2) -> f64 {
    let feet: Vec<DVec2> = tabs.iter().flat_map(Tab::sides).collect();
    let hull = hull(&feet);
    let count = hull.len();
    (0..count)
        .filter_map(|i| {
            let (a, b) = (hull[i], hull[(i + 1) % count]);
            Some((b - a).try_normalize()?.perp_dot(at - a))
        })
        .fold(f64::INFINITY, f64::min)
        .min(if count < 3 { -1.0 } else { f64::INFINITY })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::heard;
    use crate::params::species;

    fn tab(x: f64, left: bool, thick: f64) -> Tab {
        let up = if left { 1.0 } else { -1.0 };
        Tab {
            foot: DVec2::new(x, 10.0 * up),
            out: DVec2::new(0.0, up),
            width: Length::mm(9.0),
            bottom: Length::mm(-0.5 * thick),
            top: Length::mm(0.5 * thick),
        }
    }

    fn pushed<'a>(outline: &'a [DVec2], grain: &'a dyn Fn(DVec2) -> f64) -> Pushed<'a> {
        Pushed {
            outline,
            skirt: Length::mm(4.0),
            wood: species("cherry").expect("known"),
            grain,
            load: TabLoad { push_n: 12.0, safety: 3.0, sag: Length::mm(0.05) },
        }
    }

    #[test]
    fn pushed_in_the_middle_of_four_each_tab_is_a_clamped_beam_with_a_quarter() {
        // By symmetry the piece sinks without turning: M = F/4 · L / 2 at each end, and
        // w = F/4 · L³ / (12 E I).
        let tabs = [(0.0, true), (0.0, false), (80.0, true), (80.0, false)]
            .map(|(x, left)| tab(x, left, 5.0));
        let along = |_: DVec2| std::f64::consts::FRAC_PI_2;
        let at = [DVec2::new(40.0, 0.0)];
        let borne = pushed(&at, &along).reckon(&tabs);
        let up: f64 = 6.0 * (12.0 / 4.0 * 4.0 / 2.0) / (9.0 * 25.0);
        // Sideways along X: the tabs bend in the plan, I = 5 · 9³ / 12, and none is pulled.
        // Along Y they are only pulled, and far stiffer: 3 N on 45 mm². Together at most:
        let side = 6.0 * (3.0 * 4.0 / 2.0) / (5.0 * 81.0) + 3.0 / 45.0;
        for bears in &borne.each {
            assert!((bears.stress_mpa - up.max(side)).abs() < 1e-9, "{}", bears.stress_mpa);
            assert!((bears.strength_mpa - 84.806).abs() < 1e-9, "along the grain");
        }
        let second = 9.0 * 125.0 / 12.0;
        let sag = 3.0 * 64.0 / (12.0 * 10_273.0 * second);
        assert!((borne.sag.as_mm() - sag).abs() < 1e-12);
    }

    #[test]
    fn across_the_grain_a_tab_is_a_twenty_fifth_as_strong() {
        let tabs = [(0.0, true), (0.0, false), (80.0, true), (80.0, false)]
            .map(|(x, left)| tab(x, left, 5.0));
        let across = |_: DVec2| 0.0;
        let at = [DVec2::new(40.0, 0.0)];
        let borne = pushed(&at, &across).reckon(&tabs);
        assert!((borne.each[0].strength_mpa - 84.806 / 25.0).abs() < 1e-9);
    }

    #[test]
    fn the_answers_balance_a_push_beside_the_tabs() {
        // Three tabs that have nothing in common; shear of each beam from its two end moments.
        let mut tabs = vec![tab(0.0, true, 5.0), tab(60.0, false, 4.0), tab(90.0, true, 3.0)];
        tabs[2].out = DVec2::new(0.6, 0.8);
        let across = |_: DVec2| 0.2;
        let at = [DVec2::new(130.0, -20.0)];
        let pushed = pushed(&at, &across);
        let borne = pushed.reckon(&tabs);
        assert!(borne.factor() > 0.0 && borne.sag > Length::ZERO);
        // Twice the thickness: a quarter of the stress or less, an eighth of the sag.
        let thick: Vec<Tab> = tabs.iter().map(|t| as_thick(t, (t.top - t.bottom) * 2.0)).collect();
        let stout = pushed.reckon(&thick);
        assert!((borne.sag.as_mm() / stout.sag.as_mm() - 8.0).abs() < 1e-6);
        assert!(stout.factor() >= 2.0 * borne.factor());
        // A tab under the push takes nearly all of it.
        tabs.push(Tab { foot: at[0], ..tab(130.0, false, 5.0) });
        assert!(pushed.reckon(&tabs).sag.as_mm() < 0.3 * borne.sag.as_mm());
    }

    #[test]
    fn two_tabs_face_to_face_leave_the_piece_loose() {
        let tabs = [tab(50.0, true, 5.0), tab(50.0, false, 5.0)];
        let across = |_: DVec2| 0.0;
        let at = [DVec2::new(130.0, 0.0)];
        let pushed = pushed(&at, &across);
        let borne = pushed.reckon(&tabs);
        assert_eq!((borne.factor(), borne.sag), (0.0, LOOSE));
        let names = ["tab 1".to_owned(), "tab 2".to_owned()];
        let (_, said) = heard(|out| pushed.judge(&borne, &names, || None, out));
        assert_eq!(said.iter().map(|f| f.code).collect::<Vec<_>>(), [TAB_WEAK]);
        assert_eq!(pushed.reckon(&[]).factor(), 0.0);
    }

    #[test]
    fn the_middle_of_three_tabs_is_inside_and_a_place_past_them_is_not() {
        let tabs = [tab(0.0, true, 5.0), tab(60.0, false, 4.0), tab(120.0, true, 3.0)];
        assert!(inside_supports(&tabs, DVec2::new(60.0, 3.0)) > 3.0);
        assert!(inside_supports(&tabs, DVec2::new(60.0, -12.0)) < 0.0);
        assert!(inside_supports(&tabs[..1], DVec2::new(0.0, 10.0)) < 0.0);
    }
}
