//! Random sessions for benches, laws and the outside check; the same seed gives the same session everywhere.

use handrail_program::order::{NO_REGION, Problem};

/// A small generator of numbers that only look random (splitmix64).
pub struct Numbers(u64);

impl Numbers {
    pub fn new(seed: u64) -> Self {
        Numbers(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `end`.
    pub fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    pub fn cost(&mut self, from: u32, to: u32) -> u32 {
        from + self.below((to - from) as usize) as u32
    }
}

/// Where an item is done.
#[derive(Clone, Copy)]
struct Place {
    posture: usize,
    side: usize,
    device_on: bool,
    equipment: usize,
}

/// A home session: 3 to 8 places made of posture, side, device and equipment; a warm-up that comes before
/// all else; some pairs in a set order; four body regions. Costs in tenths of a second.
pub fn typical(seed: u64, n: usize) -> Problem {
    let mut numbers = Numbers::new(seed);
    let places = 3 + numbers.below(6);
    // Getting up costs more than getting down: the matrix is not symmetric.
    let posture: Vec<Vec<u32>> = (0..places)
        .map(|a| (0..places).map(|b| if a == b { 0 } else { numbers.cost(50, 300) }).collect())
        .collect();
    let of_place: Vec<(bool, usize)> =
        (0..places).map(|_| (numbers.below(2) == 0, numbers.below(3))).collect();
    let item: Vec<Place> = (0..n)
        .map(|_| {
            let posture = numbers.below(places);
            let (device_on, equipment) = of_place[posture];
            Place { posture, side: numbers.below(3), device_on, equipment }
        })
        .collect();
    let change = |a: &Place, b: &Place| {
        let mut cost = posture[a.posture][b.posture];
        cost += if a.side == b.side { 0 } else { 40 };
        cost += match (a.device_on, b.device_on) {
            (false, true) => 300,
            (true, false) => 200,
            _ => 0,
        };
        cost + if a.equipment == b.equipment { 0 } else { 100 }
    };
    let outset = Place { posture: 0, side: 2, device_on: true, equipment: 0 };
    let mut before: Vec<(usize, usize)> = (1..n).map(|i| (0, i)).collect();
    for _ in 0..3 {
        let (a, b) = (numbers.below(n), numbers.below(n));
        if a < b {
            before.push((a, b));
        }
    }
    let region =
        (0..n).map(|_| if numbers.below(8) == 0 { NO_REGION } else { numbers.below(4) as u8 }).collect();
    Problem {
        n,
        start: item.iter().map(|i| change(&outset, i)).collect(),
        end: item.iter().map(|i| change(i, &outset)).collect(),
        step: item.iter().map(|a| item.iter().map(|b| change(a, b)).collect()).collect(),
        before,
        region,
        same_region_penalty: 300,
    }
}

/// Costs without any structure, each drawn by itself; a few pairs in a set order.
pub fn random(seed: u64, n: usize) -> Problem {
    let mut numbers = Numbers::new(seed);
    let mut list = |len: usize| (0..len).map(|_| numbers.cost(0, 1000)).collect::<Vec<u32>>();
    let (start, end) = (list(n), list(n));
    let step = (0..n).map(|_| list(n)).collect();
    let mut before = Vec::new();
    for _ in 0..seed % 5 {
        let (a, b) = (numbers.below(n), numbers.below(n));
        if a < b {
            before.push((a, b));
        }
    }
    let region = (0..n).map(|_| numbers.below(4) as u8).collect();
    Problem { n, start, end, step, before, region, same_region_penalty: 100 }
}
