//! Overlap measured on circles that fill the outlines, eight at a time.

const LANES: usize = 8;

/// Circles laid out for eight at a time.
#[derive(Clone, Default)]
pub struct Circles {
    x: Vec<[f32; LANES]>,
    y: Vec<[f32; LANES]>,
    r: Vec<[f32; LANES]>,
}

impl Circles {
    pub fn load(&mut self, circles: impl Iterator<Item = [f32; 3]>) {
        self.x.clear();
        self.y.clear();
        self.r.clear();
        for (k, c) in circles.enumerate() {
            if k % LANES == 0 {
                self.x.push([1e9; LANES]);
                self.y.push([1e9; LANES]);
                self.r.push([0.0; LANES]);
            }
            let at = k / LANES;
            self.x[at][k % LANES] = c[0];
            self.y[at][k % LANES] = c[1];
            self.r[at][k % LANES] = c[2];
        }
    }
}

/// How deep two sets of circles lie in each other, weighed by the smaller of each pair; apart, it
/// falls off slowly so that there is always a way down.
/// Given up once it is over `cap`.
pub fn depth(a: &[[f32; 3]], b: &Circles, soft: f32, cap: f32) -> f32 {
    let mut sum = [0.0f32; LANES];
    for (row, c) in a.iter().enumerate() {
        // The large ones come first: it is soon over, or late.
        if row & (row + 1) == 0 && sum.iter().sum::<f32>() > cap {
            break;
        }
        for k in 0..b.x.len() {
            let (x, y, r) = (&b.x[k], &b.y[k], &b.r[k]);
            for l in 0..LANES {
                let (dx, dy) = (x[l] - c[0], y[l] - c[1]);
                let deep = r[l] + c[2] - (dx * dx + dy * dy).sqrt();
                let far = soft * soft / (2.0 * soft - less(deep, soft));
                let f = if deep >= soft { deep } else { far };
                sum[l] += f * less(r[l], c[2]);
            }
        }
    }
    sum.iter().sum()
}

/// The lesser of two that are numbers. [`f32::min`] asks whether they are, and then the lanes are
/// not reckoned at a time.
#[inline]
fn less(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}
