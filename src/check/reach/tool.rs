//! The end of a cutter as a form of revolution, and the same on a grid.

use crate::params::{Cutter, CutterForm};
use crate::units::Length;
use glam::{DVec3, IVec2, Vec2};

/// The end of a cutter: a disc whose edge is rounded.
///
/// A ball is rounded all the way, a flat cutter not at all, a bull-nosed one in part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tool {
    radius: f64,
    corner: f64,
}

impl Tool {
    /// A ball of that diameter.
    pub fn ball(diameter: Length) -> Tool {
        let radius = diameter.half().as_mm();
        Tool { radius, corner: radius }
    }

    /// A flat cutter of that diameter.
    pub fn flat(diameter: Length) -> Tool {
        Tool { radius: diameter.half().as_mm(), corner: 0.0 }
    }

    /// A bull-nosed cutter: flat, with its edge rounded to the radius of `corner`.
    pub fn bull(diameter: Length, corner: Length) -> Tool {
        let radius = diameter.half().as_mm();
        Tool { radius, corner: corner.as_mm().clamp(0.0, radius) }
    }

    /// The end of a cutter of the shop; nothing for a V, which does not finish skins.
    pub fn of(cutter: &Cutter) -> Option<Tool> {
        match cutter.form {
            CutterForm::Ball => Some(Tool::ball(cutter.diameter)),
            CutterForm::Flat => Some(Tool::flat(cutter.diameter)),
            CutterForm::Bull(corner) => Some(Tool::bull(cutter.diameter, corner)),
            CutterForm::Vee(_) => None,
        }
    }

    /// Half of the diameter.
    pub fn radius(&self) -> Length {
        Length::mm(self.radius)
    }

    /// Height over the tip at a distance from the axis, both in mm; nothing past the edge.
    pub fn height(&self, from_axis: f64) -> Option<f64> {
        // Rounding must not lose the cells that lie on the very edge.
        if from_axis > self.radius * (1.0 + 1e-12) {
            return None;
        }
        let out = (from_axis - (self.radius - self.corner)).clamp(0.0, self.corner);
        Some(self.corner - (self.corner * self.corner - out * out).max(0.0).sqrt())
    }

    /// Where the tip stands when the tool touches a place whose outward normal leans so, in mm. On
    /// a level place the axis is put over it.
    pub(super) fn tip_touching(&self, place: DVec3, normal: DVec3) -> DVec3 {
        let out = normal.truncate().normalize_or_zero() * (self.radius - self.corner);
        place + self.corner * (normal - DVec3::Z) + out.extend(0.0)
    }

    /// Most that standing on cells' middles only can leave in error on a slope, with a factor of
    /// two for what the slope's own estimate is off, in mm: a rounded edge moves along its arc by
    /// half a cell and its diagonal, a sharp one climbs the slope by as much.
    pub(super) fn false_cusp(&self, slope: f64, cell: f64) -> f64 {
        if !slope.is_finite() {
            return f64::INFINITY;
        }
        let sharp = std::f64::consts::SQRT_2 * slope * cell;
        if self.corner < cell {
            return sharp.max(cell * 0.05);
        }
        let arc = cell * cell * (1.0 + slope * slope).powf(1.5) / (2.0 * self.corner);
        if self.corner < self.radius { arc.max(sharp) } else { arc }
    }

    /// Where, from the axis, the tool touches a plane of that slope, in mm.
    fn touch(&self, slope: Vec2) -> Vec2 {
        let steep = slope.length();
        if steep < 1e-6 {
            return Vec2::ZERO;
        }
        let out = self.corner as f32 * steep / (1.0 + steep * steep).sqrt();
        slope / steep * (out + (self.radius - self.corner) as f32)
    }
}

/// A tool on a grid: how high it stands over its tip in each cell that it covers.
#[derive(Clone, Debug)]
pub(super) struct Kernel {
    tool: Tool,
    cell: f32,
    /// Cells from the middle to the edge, at most.
    pub(super) reach: usize,
    /// Heights over the tip, (2·reach + 1)² of them; infinite past the edge.
    heights: Vec<f32>,
    /// The farthest column that it covers in each row of offsets.
    widths: Vec<i32>,
    /// Most that it stands over its tip.
    deepest: f32,
}

impl Kernel {
    pub(super) fn new(tool: Tool, cell: Length) -> Kernel {
        let cell = cell.as_mm();
        let reach = (tool.radius / cell * (1.0 + 1e-12)).floor() as i32;
        let mut heights = Vec::new();
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let away = f64::from(dx * dx + dy * dy).sqrt() * cell;
                heights.push(tool.height(away).map_or(f32::INFINITY, |height| height as f32));
            }
        }
        let width = |row: &[f32]| row.iter().filter(|z| z.is_finite()).count() as i32 / 2;
        let widths = heights.chunks_exact(2 * reach as usize + 1).map(width).collect();
        let finite = heights.iter().copied().filter(|z| z.is_finite());
        let deepest = finite.fold(0.0, f32::max);
        Kernel { tool, cell: cell as f32, reach: reach as usize, heights, widths, deepest }
    }

    /// Height over the tip at an offset in cells; infinite past the edge.
    pub(super) fn height(&self, offset: IVec2) -> f32 {
        let reach = self.reach as i32;
        if offset.abs().max_element() > reach {
            return f32::INFINITY;
        }
        self.heights[((offset.y + reach) * (2 * reach + 1) + offset.x + reach) as usize]
    }

    /// Heights over the tip in one row of offsets, from one column to another; infinite past the
    /// edge.
    pub(super) fn row(&self, dy: i32, from: i32, to: i32) -> &[f32] {
        let reach = self.reach as i32;
        let row = (dy + reach) * (2 * reach + 1) + reach;
        self.heights.get((row + from) as usize..=(row + to) as usize).unwrap_or(&[])
    }

    /// The farthest column that it covers in a row of offsets.
    pub(super) fn width(&self, dy: i32) -> i32 {
        self.widths[(dy + self.reach as i32) as usize]
    }

    /// Most that it stands over its tip, in mm.
    pub(super) fn deepest(&self) -> f32 {
        self.deepest
    }

    /// Radius of a ball, in mm; none for another tool.
    pub(super) fn ball(&self) -> Option<f32> {
        (self.tool.corner >= self.tool.radius).then_some(self.tool.radius as f32)
    }

    /// Distance of the cells, in mm.
    pub(super) fn cell(&self) -> f32 {
        self.cell
    }

    /// The cell in which the tool touches a plane of that slope (rise per cell).
    pub(super) fn touch(&self, slope: Vec2) -> IVec2 {
        let at = self.tool.touch(slope / self.cell) / self.cell;
        let near = at.round().as_ivec2();
        if self.height(near).is_finite() { near } else { at.as_ivec2() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_is_a_half_sphere_and_a_flat_end_is_flat() {
        let ball = Tool::ball(Length::mm(6.0));
        assert_eq!(ball.height(0.0), Some(0.0));
        assert_eq!(ball.height(3.0), Some(3.0));
        // 3-4-5 at a fifth of the size: sqrt(9 - 1.8²) = 2.4.
        assert!((ball.height(1.8).unwrap_or(9.0) - 0.6).abs() < 1e-12);
        assert_eq!(ball.height(3.1), None);
        let flat = Tool::flat(Length::mm(6.0));
        assert_eq!((flat.height(2.9), flat.height(3.1)), (Some(0.0), None));
        let bull = Tool::bull(Length::mm(6.0), Length::mm(1.0));
        assert_eq!((bull.height(2.0), bull.height(3.0)), (Some(0.0), Some(1.0)));
    }

    #[test]
    fn the_touching_cell_is_always_under_the_tool() {
        for tool in [
            Tool::ball(Length::mm(3.175)),
            Tool::flat(Length::mm(3.175)),
            Tool::bull(Length::mm(6.0), Length::mm(1.0)),
        ] {
            let kernel = Kernel::new(tool, Length::mm(0.25));
            for step in 0..360 {
                let angle = (step as f32).to_radians();
                for steep in [0.0, 0.01, 0.3, 1.0, 50.0] {
                    let slope = Vec2::from_angle(angle) * steep;
                    assert!(kernel.height(kernel.touch(slope)).is_finite());
                }
            }
        }
    }
}
