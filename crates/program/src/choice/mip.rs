//! The mixed-integer program of one number of exercises.
//!
//! Variables: an option is in or out; a place is used or not; the way goes from one place to another or not;
//! how far each stretch of each target's returns is filled. With the number of exercises fixed, the share that
//! is done is a constant and the value is linear. The way is an open path through the used places (degree
//! rows, and rings excluded two places at a time at once, longer ones when they turn up).

use std::collections::BTreeMap;

use microlp::{ComparisonOp, Error, OptimizationDirection, Problem, SolveOptions, Variable};

use super::ChoiceError;
use super::narrow::Left;
use super::price::Prices;

/// How far a row may be missed; rows are scaled to the order of 1.
const TOLERANCE: f64 = 1e-9;

/// What is asked of the solver.
#[derive(Debug, Clone, Default)]
pub(super) struct Question {
    /// Number of exercises.
    pub(super) n: usize,
    /// Least value, or minus infinity.
    pub(super) floor: f64,
    /// Sets that are not wanted.
    pub(super) not: Vec<Vec<usize>>,
    /// The set comes before this one, compared option by option.
    pub(super) before: Option<Vec<usize>>,
    /// Places that have formed a ring of their own, apart from the way.
    pub(super) rings: Vec<Vec<usize>>,
}

/// The solver's answer.
#[derive(Debug)]
pub(super) enum Found {
    /// The best set that answers the question, sorted.
    Set(Vec<usize>),
    /// Rings apart from the way; ask again with them.
    Rings(Vec<Vec<usize>>),
    /// No set answers the question.
    Nothing,
}

type Row = Vec<(Variable, f64)>;

/// Asks for a set of what is left of the options that answers the question.
pub(super) fn find(prices: &Prices<'_>, left: &Left, question: &Question) -> Result<Found, ChoiceError> {
    let options = &left.options;
    let exercises = by_key(options, |it| prices.option(it).exercise);
    let pins_left = (0..prices.pinned.len()).all(|it| !prices.pinned[it] || exercises.contains_key(&it));
    if exercises.len() < question.n || !pins_left {
        return Ok(Found::Nothing);
    }
    let model = Model::new(prices, left, question);
    let mut settings = SolveOptions::default();
    settings.tolerances.feasibility = TOLERANCE;
    match model.problem.solve_with(settings) {
        Ok(outcome) => {
            let solution = outcome
                .into_solution()
                .map_err(|_| ChoiceError::Solver { message: "it stopped before it had an answer".into() })?;
            let on = |variable: Variable| solution.var_value(variable) > 0.5;
            let rings = model.rings(&on);
            if !rings.is_empty() {
                return Ok(Found::Rings(rings));
            }
            Ok(Found::Set(model.options.iter().filter(|it| on(*it.1)).map(|it| *it.0).collect()))
        }
        Err(Error::Infeasible) => Ok(Found::Nothing),
        Err(error) => Err(ChoiceError::Solver { message: error.to_string() }),
    }
}

fn by_key(options: &[usize], key: impl Fn(usize) -> usize) -> BTreeMap<usize, Vec<usize>> {
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for &option in options {
        groups.entry(key(option)).or_default().push(option);
    }
    groups
}

/// Cliques of options that are not partners, so that each such pair is in one of them.
fn cliques(left: &Left) -> Vec<Vec<usize>> {
    let count = left.options.len();
    let mut apart = vec![vec![false; count]; count];
    for (i, partners) in left.partners.iter().enumerate() {
        for (j, option) in left.options.iter().enumerate() {
            apart[i][j] = i != j && partners.binary_search(option).is_err();
        }
    }
    let mut open = apart.clone();
    let mut cliques = Vec::new();
    for i in 0..count {
        while let Some(j) = (0..count).find(|&j| open[i][j]) {
            let mut clique = vec![i, j];
            // Those with most open pairs to the clique first.
            loop {
                let fits = (0..count).filter(|&k| clique.iter().all(|&it| apart[k][it]));
                let gain = |k: usize| clique.iter().filter(|&&it| open[k][it]).count();
                let Some(next) = fits.max_by_key(|&k| (gain(k), std::cmp::Reverse(k))) else { break };
                clique.push(next);
            }
            for &a in &clique {
                for &b in &clique {
                    open[a][b] = false;
                }
            }
            cliques.push(clique.into_iter().map(|it| left.options[it]).collect());
        }
    }
    cliques
}

/// Clusters of three and more places that single linkage by the cheaper way between two places joins.
fn clusters(places: &[usize], cost: &[Vec<f64>]) -> Vec<Vec<usize>> {
    let near = |a: usize, b: usize| cost[a][b].min(cost[b][a]);
    let mut parts: Vec<Vec<usize>> = places.iter().map(|&it| vec![it]).collect();
    let mut out = Vec::new();
    while parts.len() > 1 {
        let gap = |i: usize, j: usize| {
            let pairs = parts[i].iter().flat_map(|&a| parts[j].iter().map(move |&b| (a, b)));
            pairs.map(|(a, b)| near(a, b)).fold(f64::INFINITY, f64::min)
        };
        let pairs = (0..parts.len()).flat_map(|i| (i + 1..parts.len()).map(move |j| (i, j)));
        let Some((i, j)) = pairs.min_by(|a, b| gap(a.0, a.1).total_cmp(&gap(b.0, b.1))) else { break };
        let joined = parts.swap_remove(j);
        parts[i].extend(joined);
        if parts[i].len() > 2 {
            out.push(parts[i].clone());
        }
    }
    out
}

struct Model {
    problem: Problem,
    /// Value of a set, as far as it is linear, over the scale.
    value: Row,
    /// Whether each option is in.
    options: BTreeMap<usize, Variable>,
    /// Whether each place is used.
    places: BTreeMap<usize, Variable>,
    /// Whether the way goes from one place to another.
    steps: BTreeMap<(usize, usize), Variable>,
    /// Whether the way starts, ends at a place.
    ends: [BTreeMap<usize, Variable>; 2],
}

impl Model {
    fn new(prices: &Prices<'_>, left: &Left, question: &Question) -> Self {
        let options = &left.options;
        let mut model = Model {
            problem: Problem::new(OptimizationDirection::Maximize),
            value: Row::new(),
            options: BTreeMap::new(),
            places: BTreeMap::new(),
            steps: BTreeMap::new(),
            ends: [BTreeMap::new(), BTreeMap::new()],
        };
        // Values of the order of 1 for the solver.
        let scale = prices.grain / super::price::GRAIN;
        let share = prices.share(question.n) / scale;
        for &option in options {
            let variable = model.binary(share * prices.option(option).bonus);
            model.options.insert(option, variable);
        }
        model.add_sets(prices, options, question);
        model.add_cliques(left);
        model.add_targets(prices, options, share);
        model.add_way(prices, options, scale);
        for ring in &question.rings {
            model.no_ring(ring);
        }
        model.add_limits(prices, options, question.n);
        if question.floor.is_finite() {
            let value = model.value.clone();
            model.row(value, ComparisonOp::Ge, question.floor / scale);
        }
        model
    }

    fn binary(&mut self, worth: f64) -> Variable {
        let variable = self.problem.add_binary_var(worth);
        if worth != 0.0 {
            self.value.push((variable, worth));
        }
        variable
    }

    fn row(&mut self, row: Row, op: ComparisonOp, limit: f64) {
        self.problem.add_constraint(row, op, limit);
    }

    fn sum(&self, options: impl IntoIterator<Item = usize>) -> Row {
        options.into_iter().filter_map(|it| self.options.get(&it)).map(|&it| (it, 1.0)).collect()
    }

    /// So many exercises, one dose of each, the pins in, and what the question says of sets.
    fn add_sets(&mut self, prices: &Prices<'_>, options: &[usize], question: &Question) {
        let n = question.n as f64;
        self.row(self.sum(options.iter().copied()), ComparisonOp::Eq, n);
        for (exercise, doses) in by_key(options, |it| prices.option(it).exercise) {
            if prices.pinned[exercise] {
                self.row(self.sum(doses), ComparisonOp::Eq, 1.0);
            }
        }
        for set in &question.not {
            self.row(self.sum(set.iter().copied()), ComparisonOp::Le, n - 1.0);
        }
        if let Some(set) = &question.before {
            self.add_before(options, set);
        }
    }

    /// Of options that cannot be in a program together at most one is in, clique by clique.
    fn add_cliques(&mut self, left: &Left) {
        for clique in cliques(left) {
            let row = self.sum(clique);
            self.row(row, ComparisonOp::Le, 1.0);
        }
    }

    /// A set of the same size comes before `set` if, for some k, it holds the first k - 1 options of `set`
    /// and another one between these and the k-th.
    fn add_before(&mut self, options: &[usize], set: &[usize]) {
        let mut some = Row::new();
        for (k, &next) in set.iter().enumerate() {
            let after = k.checked_sub(1).map(|it| set[it]);
            let between = |it: &usize| *it < next && after.is_none_or(|after| *it > after);
            let mut row = self.sum(options.iter().copied().filter(between));
            let missing = set[..k].iter().any(|it| !self.options.contains_key(it));
            if row.is_empty() || missing {
                continue;
            }
            let here = self.binary(0.0);
            row.push((here, -1.0));
            self.row(row, ComparisonOp::Ge, 0.0);
            for held in &set[..k] {
                let row = vec![(self.options[held], 1.0), (here, -1.0)];
                self.row(row, ComparisonOp::Ge, 0.0);
            }
            some.push((here, 1.0));
        }
        if some.is_empty() {
            // Nothing can come before: a row that cannot hold.
            self.row(self.sum(options.iter().copied()), ComparisonOp::Le, -1.0);
        } else {
            self.row(some, ComparisonOp::Eq, 1.0);
        }
    }

    /// The stretches of a target's returns are filled by what the options do for it.
    fn add_targets(&mut self, prices: &Prices<'_>, options: &[usize], share: f64) {
        for (number, target) in prices.problem.targets.iter().enumerate() {
            let doers: Vec<(Variable, f64)> = options
                .iter()
                .filter_map(|it| {
                    let part = prices.parts(*it).iter().find(|it| it.0 == number)?;
                    Some((self.options[it], part.1))
                })
                .collect();
            if doers.is_empty() || target.weight == 0.0 {
                continue;
            }
            let (mut filled, mut worth, mut from) = (Row::new(), Row::new(), 0.0);
            for stretch in &prices.problem.returns {
                let value = share * target.weight * stretch.slope;
                let variable = self.problem.add_var(value, (0.0, stretch.up_to - from));
                self.value.push((variable, value));
                filled.push((variable, 1.0));
                worth.push((variable, stretch.slope));
                from = stretch.up_to;
            }
            filled.extend(doers.iter().map(|it| (it.0, -it.1)));
            self.row(filled, ComparisonOp::Le, 0.0);
            // Together the options are worth at most what each is worth alone: true of every set, and a
            // much tighter bound on fractions of options.
            worth.extend(doers.iter().map(|it| (it.0, -prices.returns(it.1))));
            self.row(worth, ComparisonOp::Le, 0.0);
        }
    }

    /// An open path through the places that the options need.
    fn add_way(&mut self, prices: &Prices<'_>, options: &[usize], scale: f64) {
        let problem = prices.problem;
        let charge = problem.move_charge / scale;
        let groups = by_key(options, |it| prices.option(it).place);
        for &place in groups.keys() {
            let used = self.binary(0.0);
            self.places.insert(place, used);
        }
        for &from in groups.keys() {
            for (end, cost) in [&problem.start_cost, &problem.end_cost].into_iter().enumerate() {
                let variable = self.binary(-charge * cost.get(from).copied().unwrap_or(0.0));
                self.ends[end].insert(from, variable);
            }
            for &to in groups.keys().filter(|it| **it != from) {
                let variable = self.binary(-charge * problem.place_cost[from][to]);
                self.steps.insert((from, to), variable);
            }
        }
        for (&place, here) in &groups {
            let used = (self.places[&place], -1.0);
            for doses in by_key(here, |it| prices.option(it).exercise).into_values() {
                let mut row = self.sum(doses);
                row.push(used);
                self.row(row, ComparisonOp::Le, 0.0);
            }
            let mut row = self.sum(here.iter().copied());
            row.push(used);
            self.row(row, ComparisonOp::Ge, 0.0);
            for (end, at) in [(0, |it: &(usize, usize)| it.1), (1, |it: &(usize, usize)| it.0)]
                as [(usize, fn(&(usize, usize)) -> usize); 2]
            {
                let mut row: Row =
                    self.steps.iter().filter(|it| at(it.0) == place).map(|it| (*it.1, 1.0)).collect();
                row.extend([(self.ends[end][&place], 1.0), used]);
                self.row(row, ComparisonOp::Eq, 0.0);
            }
        }
        for end in 0..2 {
            let row = self.ends[end].values().map(|&it| (it, 1.0)).collect();
            self.row(row, ComparisonOp::Eq, 1.0);
        }
        for &from in groups.keys() {
            for &to in groups.keys().filter(|it| **it > from) {
                self.no_ring(&[from, to]);
            }
        }
        // A ring pays where its places are near each other and far from the way: most of them lie in a
        // cluster of near places.
        let places: Vec<usize> = groups.keys().copied().collect();
        for cluster in clusters(&places, &problem.place_cost) {
            self.no_ring(&cluster);
        }
    }

    /// Within a set of places the way has fewer steps than it uses places.
    fn no_ring(&mut self, ring: &[usize]) {
        let steps: Row = self
            .steps
            .iter()
            .filter(|it| ring.contains(&it.0.0) && ring.contains(&it.0.1))
            .map(|it| (*it.1, 1.0))
            .collect();
        for last in ring {
            let mut row = steps.clone();
            let others = ring.iter().filter(|it| *it != last);
            row.extend(others.filter_map(|it| self.places.get(it)).map(|&it| (it, -1.0)));
            self.row(row, ComparisonOp::Le, 0.0);
        }
    }

    /// Minutes and ceilings.
    fn add_limits(&mut self, prices: &Prices<'_>, options: &[usize], n: usize) {
        let problem = prices.problem;
        if problem.seconds.is_finite() {
            let part = 1.0 / problem.seconds.max(1.0);
            let mut row: Row = options
                .iter()
                .map(|it| (self.options[it], part * prices.option(*it).seconds_per_day))
                .collect();
            row.extend(self.steps.iter().map(|(it, step)| (*step, part * problem.place_cost[it.0][it.1])));
            for (end, cost) in [&problem.start_cost, &problem.end_cost].into_iter().enumerate() {
                let at = |place: &usize| part * cost.get(*place).copied().unwrap_or(0.0);
                row.extend(self.ends[end].iter().map(|(place, it)| (*it, at(place))));
            }
            row.retain(|it| it.1 > 0.0);
            self.row(row, ComparisonOp::Le, part * problem.seconds);
            self.add_large(options, n, |it| part * prices.option(it).seconds_per_day);
        }
        for (number, &ceiling) in problem.ceilings.iter().enumerate() {
            if ceiling.is_finite() && ceiling > 0.0 {
                let exposure = |it: usize| prices.option(it).exposure[number] / ceiling;
                let mut row: Row = options.iter().map(|&it| (self.options[&it], exposure(it))).collect();
                row.retain(|it| it.1 > 0.0);
                self.row(row, ComparisonOp::Le, 1.0);
                self.add_large(options, n, exposure);
            }
        }
    }

    /// At most two options use more than a third of a limit, at most three more than a quarter, and so on.
    fn add_large(&mut self, options: &[usize], n: usize, part: impl Fn(usize) -> f64) {
        for most in 2..n {
            let large = 1.0 / (most as f64 + 1.0) + 1e-6;
            let row = self.sum(options.iter().copied().filter(|&it| part(it) > large));
            if row.len() > most {
                self.row(row, ComparisonOp::Le, most as f64);
            }
        }
    }

    /// Rings of places apart from the way.
    fn rings(&self, on: &impl Fn(Variable) -> bool) -> Vec<Vec<usize>> {
        let next = |place: usize| self.steps.iter().find(|it| it.0.0 == place && on(*it.1)).map(|it| it.0.1);
        let mut left: Vec<usize> = self.places.iter().filter(|it| on(*it.1)).map(|it| *it.0).collect();
        let mut at = self.ends[0].iter().find(|it| on(*it.1)).map(|it| *it.0);
        while let Some(place) = at {
            left.retain(|it| *it != place);
            at = next(place);
        }
        let mut rings = Vec::new();
        while let Some(&first) = left.first() {
            let mut ring = vec![first];
            while let Some(place) = ring.last().and_then(|&it| next(it)).filter(|it| !ring.contains(it)) {
                ring.push(place);
            }
            left.retain(|it| !ring.contains(it));
            rings.push(ring);
        }
        rings
    }
}
