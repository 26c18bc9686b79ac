//! Finding what is what in two loads whose numbers have nothing to do with each other.
//!
//! All of it is symmetric: what is paired does not depend on which of the two is named first, nor
//! on the order of things whose order means nothing.

use std::collections::BTreeMap;

/// Places in the first and in the second that are one thing.
pub(super) type Pairs = Vec<(usize, usize)>;

/// Pairs by the first key that fits, key after key. `keys` gives each thing's, the most exact
/// first; among things of one key those of the smaller first key are taken together.
pub(super) fn by_keys<const N: usize>(was: &[[String; N]], is: &[[String; N]]) -> Pairs {
    let mut free = [vec![true; was.len()], vec![true; is.len()]];
    let mut out = Pairs::new();
    for level in 0..N {
        let group = |all: &[[String; N]], free: &[bool]| {
            let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
            for (i, keys) in all.iter().enumerate().filter(|(i, _)| free[*i]) {
                groups.entry(keys[level].clone()).or_default().push(i);
            }
            for group in groups.values_mut() {
                group.sort_by(|a, b| all[*a][0].cmp(&all[*b][0]));
            }
            groups
        };
        let others = group(is, &free[1]);
        for (key, mine) in group(was, &free[0]) {
            let theirs = others.get(&key).into_iter().flatten();
            for (a, b) in mine.into_iter().zip(theirs) {
                free[0][a] = false;
                free[1][*b] = false;
                out.push((a, *b));
            }
        }
    }
    out.sort_unstable();
    out
}

/// What no pair holds, of `n` things.
pub(super) fn alone(n: usize, taken: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut free = vec![true; n];
    for i in taken {
        free[i] = false;
    }
    (0..n).filter(|i| free[*i]).collect()
}

/// Pairs the nearest first. `cost` is none for what cannot be one thing.
pub(super) fn nearest<T>(
    was: &[T],
    is: &[T],
    mark: impl Fn(&T) -> &str,
    cost: impl Fn(&T, &T) -> Option<f64>,
) -> Pairs {
    let sorted = |all: &[T]| {
        let mut order: Vec<usize> = (0..all.len()).collect();
        order.sort_by(|a, b| mark(&all[*a]).cmp(mark(&all[*b])));
        order
    };
    let (mine, theirs) = (sorted(was), sorted(is));
    let marks = |all: &[T], order: &[usize]| -> Vec<String> {
        order.iter().map(|i| mark(&all[*i]).to_owned()).collect()
    };
    let swap = marks(was, &mine) > marks(is, &theirs);
    let mut all = Vec::new();
    for (i, a) in mine.iter().enumerate() {
        for (j, b) in theirs.iter().enumerate() {
            if let Some(cost) = cost(&was[*a], &is[*b]) {
                all.push((cost, if swap { (j, i) } else { (i, j) }, *a, *b));
            }
        }
    }
    all.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    let mut free = [vec![true; was.len()], vec![true; is.len()]];
    let mut out = Pairs::new();
    for (_, _, a, b) in all {
        if free[0][a] && free[1][b] {
            free[0][a] = false;
            free[1][b] = false;
            out.push((a, b));
        }
    }
    out.sort_unstable();
    out
}

/// Pairs two sequences in their order: something put in or taken out costs 1, one in the place of
/// another `cost`, which lies between 0 and 2.
pub(super) fn in_order<T>(
    was: &[T],
    is: &[T],
    mark: impl Fn(&T) -> &str,
    cost: impl Fn(&T, &T) -> f64,
) -> Pairs {
    let marks = |all: &[T]| -> Vec<String> { all.iter().map(|t| mark(t).to_owned()).collect() };
    if marks(was) > marks(is) {
        let turned = aligned(is, was, |a, b| cost(b, a));
        return turned.into_iter().map(|(a, b)| (b, a)).collect();
    }
    aligned(was, is, cost)
}

fn aligned<T>(was: &[T], is: &[T], cost: impl Fn(&T, &T) -> f64) -> Pairs {
    let width = is.len() + 1;
    // Cheapest way from (i, j) to the end.
    let mut table = vec![0.0; (was.len() + 1) * width];
    let at = |i: usize, j: usize| i * width + j;
    let costs: Vec<f64> = was
        .iter()
        .flat_map(|a| is.iter().map(|b| cost(a, b)).collect::<Vec<f64>>())
        .collect();
    let both = |i: usize, j: usize| costs[i * is.len() + j];
    for i in (0..=was.len()).rev() {
        for j in (0..=is.len()).rev() {
            table[at(i, j)] = match (i < was.len(), j < is.len()) {
                (false, false) => 0.0,
                (true, false) => 1.0 + table[at(i + 1, j)],
                (false, true) => 1.0 + table[at(i, j + 1)],
                (true, true) => f64::min(
                    both(i, j) + table[at(i + 1, j + 1)],
                    1.0 + f64::min(table[at(i + 1, j)], table[at(i, j + 1)]),
                ),
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut out = Pairs::new();
    while i < was.len() && j < is.len() {
        if table[at(i, j)] == both(i, j) + table[at(i + 1, j + 1)] {
            out.push((i, j));
            i += 1;
            j += 1;
        } else if table[at(i, j)] == 1.0 + table[at(i + 1, j)] {
            i += 1;
        } else {
            j += 1;
        }
    }
    out
}

/// Numbers for things that are one, or alike to the last, on both sides.
pub(super) fn classes(was: &[String], is: &[String], pairs: &Pairs) -> [Vec<usize>; 2] {
    let mut known: BTreeMap<&str, usize> = BTreeMap::new();
    let first: Vec<usize> = was
        .iter()
        .map(|mark| {
            let next = known.len();
            *known.entry(mark).or_insert(next)
        })
        .collect();
    let mut next = known.len();
    let partner: BTreeMap<usize, usize> = pairs.iter().map(|(a, b)| (*b, *a)).collect();
    let mut fresh: BTreeMap<&str, usize> = BTreeMap::new();
    let second = is
        .iter()
        .enumerate()
        .map(|(i, mark)| {
            if let Some(same) = known.get(mark.as_str()) {
                return *same;
            }
            if let Some(a) = partner.get(&i) {
                fresh.insert(mark, first[*a]);
                return first[*a];
            }
            *fresh.entry(mark).or_insert_with(|| {
                next += 1;
                next - 1
            })
        })
        .collect();
    [first, second]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        text.chars().map(String::from).collect()
    }

    #[test]
    fn what_is_put_in_is_seen_as_put_in() {
        let cost = |a: &String, b: &String| if a == b { 0.0 } else { 1.5 };
        let (was, is) = (words("abcd"), words("abxcd"));
        let pairs = in_order(&was, &is, |s| s, cost);
        assert_eq!(pairs, [(0, 0), (1, 1), (2, 3), (3, 4)]);
        let back = in_order(&is, &was, |s| s, cost);
        let turned: Pairs = back.into_iter().map(|(a, b)| (b, a)).collect();
        assert_eq!(turned, pairs);
    }

    #[test]
    fn the_nearest_go_together_whichever_is_named_first() {
        let was = [("a", 0.0), ("b", 10.0)];
        let is = [("c", 9.0), ("d", 1.0), ("e", 50.0)];
        let cost = |a: &(&str, f64), b: &(&str, f64)| Some((a.1 - b.1).abs());
        assert_eq!(nearest(&was, &is, |t| t.0, cost), [(0, 1), (1, 0)]);
        assert_eq!(nearest(&is, &was, |t| t.0, cost), [(0, 1), (1, 0)]);
    }
}
