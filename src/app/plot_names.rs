//! Places for names on a plot: near what they name, and over nothing that is to be seen.

use super::theme::{EDGE, SPACE};
use egui::{Pos2, Rect, Vec2, pos2};

/// What it counts to cover another name: more than all else.
const NAME: usize = 1_000_000;

/// Where a name goes first.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Side {
    /// Inside a range, at the right edge of the plot.
    Right,
    /// Right of the middle of a stretch of the curve.
    Beside,
    /// At an upright line, on one of its sides and nowhere else.
    Line,
}

/// Places for names on the plot.
pub(super) struct Free<'a> {
    /// Where they may lie.
    pub area: Rect,
    /// Corners of the curve on the screen.
    pub corners: &'a [Pos2],
    /// Other lines there.
    pub lines: &'a [[Pos2; 2]],
    /// Places that are taken.
    pub taken: Vec<Rect>,
}

impl Free<'_> {
    /// The first place near something that covers nothing; none where there is none. Along the
    /// first line, then the next: a name stays near what it names. A mark that has no free place
    /// gets the one that covers least.
    pub fn place(&mut self, size: Vec2, near: Rect, side: Side) -> Option<Rect> {
        const STEP: f32 = 12.0;
        let lines = match side {
            Side::Right | Side::Beside => 8,
            // From the top down to its end.
            Side::Line => (self.area.height() / (size.y + EDGE)).clamp(1.0, 100.0) as usize,
        };
        let area = self.area;
        let right = (area.right() - size.x - SPACE).max(area.left());
        let low = (area.bottom() - size.y).max(area.top());
        let top = match side {
            Side::Right => near.top() + EDGE,
            Side::Beside => near.center().y - size.y / 2.0,
            Side::Line => near.top(),
        };
        let columns = match side {
            Side::Line => 2,
            Side::Right | Side::Beside => (area.width() / STEP).clamp(1.0, 1000.0) as usize,
        };
        let mut best: Option<(usize, Rect)> = None;
        for (line, column) in (0..lines).flat_map(|l| (0..columns).map(move |c| (l, c))) {
            let aside = |n: usize| n as f32 * STEP;
            let x = match side {
                Side::Right => right - aside(column),
                Side::Beside if column % 2 == 0 => near.center().x + SPACE + aside(column / 2),
                Side::Beside => near.center().x - SPACE - size.x - aside(column / 2),
                Side::Line if column == 0 => near.center().x + SPACE / 2.0,
                Side::Line => near.center().x - SPACE / 2.0 - size.x,
            };
            let y = (top + line as f32 * (size.y + EDGE)).clamp(area.top(), low);
            let at = Rect::from_min_size(pos2(x.clamp(area.left(), right), y), size);
            // One that had to be moved aside does not stand at its line any more.
            if side == Side::Line && (at.left() - x).abs() > SPACE {
                continue;
            }
            let covers = self.covers(at);
            if best.is_none_or(|(least, _)| covers < least) {
                best = Some((covers, at));
            }
            if covers == 0 {
                break;
            }
        }
        let (covers, at) = best?;
        // A mark without its name says nothing; a range has its hatching and its hint.
        if covers > 0 && (side != Side::Line || covers >= NAME) {
            return None;
        }
        self.taken.push(at);
        Some(at)
    }

    /// How much a rectangle would hide: names most, then points, then the line.
    fn covers(&self, at: Rect) -> usize {
        let names = self.taken.iter().filter(|t| t.intersects(at)).count();
        let wide = at.expand(SPACE);
        let points = self.corners.iter().filter(|p| wide.contains(**p)).count();
        let legs = self.corners.windows(2).filter(|leg| match leg {
            [a, b] => crosses(at.expand(SPACE / 2.0), *a, *b),
            _ => false,
        });
        let others = self.lines.iter();
        let others = others.filter(|[a, b]| crosses(at.expand(EDGE), *a, *b));
        names * NAME + points * 100 + legs.count() * 4 + others.count()
    }
}

/// Whether a straight line meets a rectangle: what is left of it after each pair of sides.
fn crosses(rect: Rect, a: Pos2, b: Pos2) -> bool {
    let (mut from, mut to) = (0.0_f32, 1.0_f32);
    for axis in 0..2 {
        let (start, along) = (a[axis], b[axis] - a[axis]);
        let (low, high) = (rect.min[axis], rect.max[axis]);
        if along.abs() < 1e-6 {
            if !(low..=high).contains(&start) {
                return false;
            }
            continue;
        }
        let (enter, leave) = ((low - start) / along, (high - start) / along);
        from = from.max(enter.min(leave));
        to = to.min(enter.max(leave));
    }
    from <= to
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::vec2;

    #[test]
    fn names_keep_off_the_curve() {
        let area = Rect::from_min_size(Pos2::ZERO, vec2(400.0, 200.0));
        // A hold along the top line of the range, at its right end.
        let corners = [
            pos2(250.0, 55.0),
            pos2(380.0, 55.0),
            pos2(380.0, 100.0),
            pos2(390.0, 160.0),
        ];
        let mut free = Free {
            area,
            corners: &corners,
            lines: &[],
            taken: Vec::new(),
        };
        let near = Rect::from_min_max(pos2(0.0, 50.0), pos2(400.0, 70.0));
        let first = free.place(vec2(100.0, 14.0), near, Side::Right).unwrap();
        assert!(
            !crosses(first, corners[0], corners[1]) && first.right() < 250.0,
            "{first}"
        );
        // A name too wide to stand beside it, and what stands in the way on the left.
        let second = free.place(vec2(300.0, 14.0), near, Side::Right).unwrap();
        assert!(
            !first.intersects(second) && area.contains_rect(second),
            "{second}"
        );
        assert!(!crosses(second, corners[0], corners[1]), "{second}");
        let steep = Rect::from_min_max(pos2(380.0, 100.0), pos2(390.0, 160.0));
        let third = free.place(vec2(100.0, 14.0), steep, Side::Beside).unwrap();
        assert!(third.right() < 380.0 && third.right() > 300.0, "{third}");
        // Where there is no room at all nothing is covered.
        assert_eq!(free.place(vec2(390.0, 190.0), near, Side::Right), None);
    }

    #[test]
    fn a_mark_stands_at_its_own_line_or_nowhere() {
        let area = Rect::from_min_size(Pos2::ZERO, vec2(400.0, 200.0));
        let lines = [
            [pos2(300.0, 0.0), pos2(300.0, 200.0)],
            [pos2(320.0, 0.0), pos2(320.0, 200.0)],
        ];
        let mut free = Free {
            area,
            corners: &[],
            lines: &lines,
            taken: Vec::new(),
        };
        let size = vec2(90.0, 14.0);
        let at = |x: f32| Rect::from_min_size(pos2(x, 0.0), vec2(0.0, 14.0));
        // Between the lines there is no room: the first stands left of its line.
        let first = free.place(size, at(300.0), Side::Line).unwrap();
        assert!((first.right() - 300.0).abs() <= SPACE, "{first}");
        let second = free.place(size, at(320.0), Side::Line).unwrap();
        // Clamped by the edge it would leave its line; so it goes where it covers least.
        assert!((second.left() - 320.0).abs() <= SPACE || (second.right() - 320.0).abs() <= SPACE);
        assert!(!first.intersects(second));
    }

    #[test]
    fn lines_meet_rectangles() {
        let rect = Rect::from_min_max(pos2(10.0, 10.0), pos2(20.0, 20.0));
        assert!(crosses(rect, pos2(0.0, 0.0), pos2(30.0, 30.0)));
        assert!(crosses(rect, pos2(15.0, 0.0), pos2(15.0, 30.0)));
        assert!(crosses(rect, pos2(12.0, 12.0), pos2(13.0, 13.0)));
        assert!(!crosses(rect, pos2(0.0, 15.0), pos2(9.0, 15.0)));
        assert!(!crosses(rect, pos2(0.0, 21.0), pos2(30.0, 40.0)));
    }
}
