//! Block-tridiagonal matrices of a network: a dense block a level, and coupling between a level's
//! nodes and the setter zones of the next.

use crate::forecast::heat::network::Block;

/// The matrix.
#[derive(Clone, Debug)]
pub struct BlockMatrix {
    blocks: Vec<Block>,
    /// Block of each node.
    of: Vec<usize>,
    diag: Vec<Vec<f64>>,
    /// Rows of block s, columns of the setter zones of s + 1.
    up: Vec<Vec<f64>>,
    /// Rows of the setter zones of s + 1, columns of block s.
    down: Vec<Vec<f64>>,
}

impl BlockMatrix {
    /// Zeros.
    pub fn new(blocks: &[Block]) -> BlockMatrix {
        let mut of = Vec::new();
        let (mut diag, mut up, mut down) = (Vec::new(), Vec::new(), Vec::new());
        for (s, b) in blocks.iter().enumerate() {
            of.extend(std::iter::repeat_n(s, b.len));
            diag.push(vec![0.0; b.len * b.len]);
            let next = match blocks.get(s + 1) {
                Some(n) if b.joined => n.zones,
                _ => 0,
            };
            up.push(vec![0.0; b.len * next]);
            down.push(vec![0.0; b.len * next]);
        }
        BlockMatrix {
            blocks: blocks.to_vec(),
            of,
            diag,
            up,
            down,
        }
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.of.len()
    }

    /// Whether it has no rows.
    pub fn is_empty(&self) -> bool {
        self.of.is_empty()
    }

    /// Sets all to zero.
    pub fn clear(&mut self) {
        for v in self
            .diag
            .iter_mut()
            .chain(&mut self.up)
            .chain(&mut self.down)
        {
            v.fill(0.0);
        }
    }

    /// Adds to an entry; entries outside the structure are not stored.
    #[inline]
    pub fn add(&mut self, row: usize, col: usize, x: f64) {
        let (Some(&r), Some(&c)) = (self.of.get(row), self.of.get(col)) else {
            return;
        };
        let (br, bc) = (self.blocks[r], self.blocks[c]);
        if r == c {
            self.diag[r][(row - br.start) * br.len + col - br.start] += x;
        } else if c == r + 1 && br.joined && col >= bc.setters() {
            self.up[r][(row - br.start) * bc.zones + col - bc.setters()] += x;
        } else if r == c + 1 && bc.joined && row >= br.setters() {
            self.down[c][(row - br.setters()) * bc.len + col - bc.start] += x;
        }
    }

    /// Adds `k[i][j]·slope[j]` among the surfaces of a gap: `lower` nodes of one level, `upper`
    /// setter zones of the next (or of the first, with nothing below).
    pub fn add_gap(
        &mut self,
        lower: (usize, usize),
        upper: (usize, usize),
        k: &[f64],
        slope: &[f64],
    ) {
        let m = lower.1 + upper.1;
        let (ln, un) = (lower.1, upper.1);
        let add = |to: &mut [f64], k: &[f64], s: &[f64]| {
            for ((t, k), s) in to.iter_mut().zip(k).zip(s) {
                *t += k * s;
            }
        };
        if let (true, Some(&s)) = (ln > 0, self.of.get(lower.0)) {
            let b = self.blocks[s];
            let first = lower.0 - b.start;
            let w = self.up[s].len() / b.len;
            for i in 0..ln {
                let row = &k[i * m..(i + 1) * m];
                let at = (first + i) * b.len + first;
                add(&mut self.diag[s][at..at + ln], &row[..ln], &slope[..ln]);
                if un > 0 && w == un {
                    let at = (first + i) * w;
                    add(&mut self.up[s][at..at + w], &row[ln..], &slope[ln..]);
                }
            }
            for j in 0..un.min(w) {
                let row = &k[(ln + j) * m..(ln + j + 1) * m];
                let at = j * b.len + first;
                add(&mut self.down[s][at..at + ln], &row[..ln], &slope[..ln]);
            }
        }
        if let (true, Some(&s)) = (un > 0, self.of.get(upper.0)) {
            let b = self.blocks[s];
            let first = upper.0 - b.start;
            for j in 0..un {
                let row = &k[(ln + j) * m..(ln + j + 1) * m];
                let at = (first + j) * b.len + first;
                add(&mut self.diag[s][at..at + un], &row[ln..], &slope[ln..]);
            }
        }
    }

    /// Multiplies row i by `scale[i]`, adds `diag[i]` on the diagonal.
    pub fn scale_rows(&mut self, scale: &[f64], diag: &[f64]) {
        for (s, b) in self.blocks.iter().enumerate() {
            for i in 0..b.len {
                let f = scale[b.start + i];
                let row = &mut self.diag[s][i * b.len..(i + 1) * b.len];
                row.iter_mut().for_each(|x| *x *= f);
                row[i] += diag[b.start + i];
                let w = self.up[s].len() / b.len;
                self.up[s][i * w..(i + 1) * w]
                    .iter_mut()
                    .for_each(|x| *x *= f);
            }
            if let Some(next) = self.blocks.get(s + 1) {
                for (z, row) in self.down[s].chunks_exact_mut(b.len).enumerate() {
                    let f = scale[next.setters() + z];
                    row.iter_mut().for_each(|x| *x *= f);
                }
            }
        }
    }

    /// y = M·x.
    pub fn multiply(&self, x: &[f64], y: &mut [f64]) {
        y.fill(0.0);
        for (s, b) in self.blocks.iter().enumerate() {
            for i in 0..b.len {
                let row = &self.diag[s][i * b.len..(i + 1) * b.len];
                y[b.start + i] += dot(row, &x[b.start..b.start + b.len]);
            }
            if self.up[s].is_empty() {
                continue;
            }
            let next = self.blocks[s + 1];
            for i in 0..b.len {
                let row = &self.up[s][i * next.zones..(i + 1) * next.zones];
                y[b.start + i] += dot(row, &x[next.setters()..next.setters() + next.zones]);
            }
            for z in 0..next.zones {
                let row = &self.down[s][z * b.len..(z + 1) * b.len];
                y[next.setters() + z] += dot(row, &x[b.start..b.start + b.len]);
            }
        }
    }
}

/// Scalar product in four running sums, so that it vectorises and still has one fixed order.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len().min(b.len());
    let (a4, a1) = a[..n].as_chunks::<4>();
    let (b4, b1) = b[..n].as_chunks::<4>();
    let mut sum = [0.0; 4];
    for (x, y) in a4.iter().zip(b4) {
        for i in 0..4 {
            sum[i] += x[i] * y[i];
        }
    }
    let rest: f64 = a1.iter().zip(b1).map(|(x, y)| x * y).sum();
    (sum[0] + sum[1]) + (sum[2] + sum[3]) + rest
}

/// Factors of `shift·I − M`. No pivoting: exchange makes M's off-diagonals non-negative and its
/// rows sum to less than nothing, so the shifted matrix is diagonally dominant.
#[derive(Clone, Debug)]
pub struct BlockFactors {
    m: BlockMatrix,
    /// Reciprocal pivots.
    inverse: Vec<f64>,
    /// The factors of the dense blocks by columns, for solving.
    columns: Vec<Vec<f64>>,
}

impl BlockFactors {
    /// Room for the factors of matrices of this structure.
    pub fn new(blocks: &[Block]) -> BlockFactors {
        let m = BlockMatrix::new(blocks);
        let n = m.len();
        BlockFactors {
            inverse: vec![0.0; n],
            columns: m.diag.clone(),
            m,
        }
    }

    /// Factors; false when a pivot is too small or not finite.
    pub fn factor(&mut self, matrix: &BlockMatrix, shift: f64) -> bool {
        for (to, from) in [
            (&mut self.m.diag, &matrix.diag),
            (&mut self.m.up, &matrix.up),
            (&mut self.m.down, &matrix.down),
        ] {
            for (t, f) in to.iter_mut().zip(from) {
                for (a, b) in t.iter_mut().zip(f) {
                    *a = -b;
                }
            }
        }
        for s in 0..self.m.blocks.len() {
            let b = self.m.blocks[s];
            let n = b.len;
            for i in 0..n {
                self.m.diag[s][i * n + i] += shift;
            }
            if s > 0 {
                self.take_out_below(s);
            }
            // Row-wise elimination in place, unit lower factors stored.
            let d = &mut self.m.diag[s];
            let w = self.m.up[s].len() / n;
            let u = &mut self.m.up[s];
            for c in 0..n {
                let pivot = d[c * n + c];
                if !(pivot.abs() > 1e-280 && pivot.is_finite()) {
                    return false;
                }
                let inv = 1.0 / pivot;
                self.inverse[b.start + c] = inv;
                let (top, rest) = d.split_at_mut((c + 1) * n);
                let prow = &top[c * n + c + 1..(c + 1) * n];
                let (utop, urest) = u.split_at_mut((c + 1) * w);
                let uprow = &utop[c * w..];
                for (r, row) in rest.chunks_exact_mut(n).enumerate() {
                    let l = row[c] * inv;
                    if l == 0.0 {
                        continue;
                    }
                    row[c] = l;
                    for (x, p) in row[c + 1..].iter_mut().zip(prow) {
                        *x -= l * p;
                    }
                    for (x, p) in urest[r * w..(r + 1) * w].iter_mut().zip(uprow) {
                        *x -= l * p;
                    }
                }
            }
            for (i, row) in d.chunks_exact(n).enumerate() {
                for (j, x) in row.iter().enumerate() {
                    self.columns[s][j * n + i] = *x;
                }
            }
            // `up` now holds L⁻¹·up; `down` becomes down·U⁻¹.
            if w > 0 {
                let down = &mut self.m.down[s];
                for row in down.chunks_exact_mut(n) {
                    for c in 0..n {
                        let x = row[c] * self.inverse[b.start + c];
                        row[c] = x;
                        if x != 0.0 {
                            for (r, p) in
                                row[c + 1..].iter_mut().zip(&d[c * n + c + 1..(c + 1) * n])
                            {
                                *r -= x * p;
                            }
                        }
                    }
                }
            }
        }
        true
    }

    /// Takes the block below out of the setter rows of block s.
    fn take_out_below(&mut self, s: usize) {
        let below = self.m.blocks[s - 1];
        let b = self.m.blocks[s];
        if self.m.up[s - 1].is_empty() {
            return;
        }
        let z = b.zones;
        let first = b.len - z;
        for r in 0..z {
            let row = &self.m.down[s - 1][r * below.len..(r + 1) * below.len];
            let to = &mut self.m.diag[s][(first + r) * b.len + first..(first + r + 1) * b.len];
            for (l, urow) in row.iter().zip(self.m.up[s - 1].chunks_exact(z)) {
                for (t, u) in to.iter_mut().zip(urow) {
                    *t -= l * u;
                }
            }
        }
    }

    /// Solves in place.
    pub fn solve(&self, x: &mut [f64]) {
        let blocks = &self.m.blocks;
        for (s, b) in blocks.iter().enumerate() {
            let n = b.len;
            // Column by column: that vectorises without another order of sums.
            let here = &mut x[b.start..b.start + n];
            for (i, column) in self.columns[s].chunks_exact(n).enumerate() {
                let (done, rest) = here.split_at_mut(i + 1);
                let xi = done[i];
                for (r, l) in rest.iter_mut().zip(&column[i + 1..]) {
                    *r -= l * xi;
                }
            }
            if !self.m.up[s].is_empty() {
                let next = blocks[s + 1];
                let (low, high) = x.split_at_mut(next.setters());
                for (z, row) in self.m.down[s].chunks_exact(n).enumerate() {
                    high[z] -= dot(row, &low[b.start..b.start + n]);
                }
            }
        }
        for (s, b) in blocks.iter().enumerate().rev() {
            let n = b.len;
            if !self.m.up[s].is_empty() {
                let next = blocks[s + 1];
                let (low, high) = x.split_at_mut(next.setters());
                for (i, row) in self.m.up[s].chunks_exact(next.zones).enumerate() {
                    low[b.start + i] -= dot(row, &high[..next.zones]);
                }
            }
            let here = &mut x[b.start..b.start + n];
            for (i, column) in self.columns[s].chunks_exact(n).enumerate().rev() {
                let (rest, tail) = here.split_at_mut(i);
                let xi = tail[0] * self.inverse[b.start + i];
                tail[0] = xi;
                for (r, u) in rest.iter_mut().zip(column) {
                    *r -= u * xi;
                }
            }
        }
    }
}
