//! Labels that would lie over one another are moved apart, each as little as can be.

/// The places nearest to those wanted (in rising order) at which labels of one height do not overlap: the least
/// sum of squares, by pooling neighbours that touch.
pub(super) fn spread(wanted: &[f64], tall: f64) -> Vec<f64> {
    // Less what lies below each, the places must only never fall: a pool of labels stands at its mean.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (k, &place) in wanted.iter().enumerate() {
        let mut pool = (place - k as f64 * tall, 1);
        while let Some(&(sum, count)) = pools.last() {
            if sum / (count as f64) <= pool.0 / (pool.1 as f64) {
                break;
            }
            pools.pop();
            pool = (pool.0 + sum, pool.1 + count);
        }
        pools.push(pool);
    }
    let means = pools.iter().flat_map(|&(sum, count)| std::iter::repeat_n(sum / count as f64, count));
    means.enumerate().map(|(k, mean)| mean + k as f64 * tall).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_with_room_stay_and_crowded_ones_spread_round_their_middle() {
        assert_eq!(spread(&[0.0, 10.0, 30.0], 5.0), [0.0, 10.0, 30.0]);
        assert_eq!(spread(&[10.0, 10.0, 10.0], 4.0), [6.0, 10.0, 14.0]);
        assert_eq!(spread(&[0.0, 1.0, 20.0], 4.0), [-1.5, 2.5, 20.0]);
        assert!(spread(&[], 4.0).is_empty());
    }

    #[test]
    fn no_two_overlap() {
        let wanted: Vec<f64> = (0..40)
            .map(|k| f64::from(k * k % 97) / 3.0)
            .scan(0.0, |top, x| {
                *top = f64::max(*top, x);
                Some(*top)
            })
            .collect();
        let placed = spread(&wanted, 3.0);
        assert!(placed.windows(2).all(|pair| pair[1] - pair[0] >= 3.0 - 1e-9));
    }
}
