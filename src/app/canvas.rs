//! From millimetres on a setter to points on the screen: pan and zoom, without any widget.

use egui::{Pos2, Rect, Vec2};

/// Closest and farthest zoom, points per millimetre.
const ZOOM: std::ops::RangeInclusive<f32> = 0.2..=60.0;

/// What of the plan is in sight. y of the plan runs away from the door, so up on the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Plan point in the middle of the view, mm.
    pub centre_mm: [f64; 2],
    /// Points per millimetre.
    pub zoom: f32,
}

impl Default for Camera {
    fn default() -> Camera {
        Camera {
            centre_mm: [0.0, 0.0],
            zoom: 2.0,
        }
    }
}

impl Camera {
    /// The camera that shows a box of the plan whole.
    pub fn fitting(low: [f64; 2], high: [f64; 2], view: Rect) -> Camera {
        let size = [high[0] - low[0], high[1] - low[1]].map(|s| s.max(1.0) as f32);
        let zoom = (view.width() / size[0]).min(view.height() / size[1]) * 0.94;
        Camera {
            centre_mm: [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0],
            zoom: zoom.clamp(*ZOOM.start(), *ZOOM.end()),
        }
    }

    /// Screen point of a plan point.
    pub fn to_screen(&self, view: Rect, at_mm: [f64; 2]) -> Pos2 {
        let zoom = f64::from(self.zoom);
        let x = (at_mm[0] - self.centre_mm[0]) * zoom;
        let y = (at_mm[1] - self.centre_mm[1]) * zoom;
        view.center() + Vec2::new(x as f32, -y as f32)
    }

    /// Plan point of a screen point, mm.
    pub fn to_plan(&self, view: Rect, at: Pos2) -> [f64; 2] {
        let from = at - view.center();
        let zoom = f64::from(self.zoom);
        [
            self.centre_mm[0] + f64::from(from.x) / zoom,
            self.centre_mm[1] - f64::from(from.y) / zoom,
        ]
    }

    /// A screen movement as a plan movement, mm.
    pub fn delta_to_plan(&self, delta: Vec2) -> [f64; 2] {
        let zoom = f64::from(self.zoom);
        [f64::from(delta.x) / zoom, -f64::from(delta.y) / zoom]
    }

    /// Zooms about the middle of the view.
    pub fn zoom_by(&mut self, factor: f32) {
        self.zoom = (self.zoom * factor).clamp(*ZOOM.start(), *ZOOM.end());
    }

    /// Moves the view with the pointer.
    pub fn pan(&mut self, delta: Vec2) {
        let [dx, dy] = self.delta_to_plan(delta);
        self.centre_mm[0] -= dx;
        self.centre_mm[1] -= dy;
    }

    /// Zooms so that the plan point under `at` stays there.
    pub fn zoom_about(&mut self, view: Rect, at: Pos2, factor: f32) {
        let before = self.to_plan(view, at);
        self.zoom_by(factor);
        let after = self.to_plan(view, at);
        self.centre_mm[0] += before[0] - after[0];
        self.centre_mm[1] += before[1] - after[1];
    }
}

/// Distance between ruler marks, mm: the smallest of 1, 2, 5 × 10ⁿ that leaves room for a label.
pub fn ruler_step_mm(zoom: f32) -> f64 {
    const ROOM: f64 = 44.0;
    let least = ROOM / f64::from(zoom);
    let mut step = 1e-3;
    loop {
        for factor in [1.0, 2.0, 5.0] {
            if step * factor >= least {
                return step * factor;
            }
        }
        step *= 10.0;
        if step > 1e6 {
            return step;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Pos2, pos2, vec2};

    fn view() -> Rect {
        Rect::from_min_size(pos2(100.0, 50.0), vec2(800.0, 600.0))
    }

    #[test]
    fn there_and_back() {
        let camera = Camera {
            centre_mm: [12.0, -7.0],
            zoom: 3.0,
        };
        let screen = camera.to_screen(view(), [40.0, 20.0]);
        let back = camera.to_plan(view(), screen);
        assert!((back[0] - 40.0).abs() < 1e-3 && (back[1] - 20.0).abs() < 1e-3);
        // Away from the door is up.
        assert!(camera.to_screen(view(), [0.0, 10.0]).y < camera.to_screen(view(), [0.0, 0.0]).y);
    }

    #[test]
    fn zooming_keeps_the_point_under_the_pointer() {
        let mut camera = Camera::default();
        let at = pos2(333.0, 444.0);
        let before = camera.to_plan(view(), at);
        camera.zoom_about(view(), at, 2.5);
        let after = camera.to_plan(view(), at);
        assert!((before[0] - after[0]).abs() < 1e-6 && (before[1] - after[1]).abs() < 1e-6);
        assert_eq!(camera.zoom, 5.0);
        camera.zoom_about(view(), at, 1e9);
        assert_eq!(camera.zoom, 60.0);
    }

    #[test]
    fn fitting_shows_the_whole_box() {
        let camera = Camera::fitting([-100.0, -50.0], [100.0, 50.0], view());
        for corner in [[-100.0, -50.0], [100.0, 50.0]] {
            assert!(view().contains(camera.to_screen(view(), corner)));
        }
        let nothing: Pos2 = camera.to_screen(view(), [0.0, 0.0]);
        assert_eq!(nothing, view().center());
    }

    #[test]
    fn ruler_steps_are_round() {
        assert_eq!(ruler_step_mm(2.0), 50.0);
        assert_eq!(ruler_step_mm(5.0), 10.0);
        assert_eq!(ruler_step_mm(60.0), 1.0);
    }
}
