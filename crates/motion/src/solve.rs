//! Solving a motion on a body: key poses, contacts held, samples over time.
//!
//! Every pose is the one nearest to the author's reference (interpolated between key poses) that satisfies
//! the contacts and targets: Gauss-Newton on the equality constraints with least weighted change. For a foot
//! flat on the floor the ankle angle therefore follows from the knee and the chair.

use std::collections::BTreeMap;

use handrail_anatomy::tree::{ALL_SEGMENTS, SegmentKind, Twists};
use handrail_anatomy::{
    Body, Coord, Dof, Drive, Joint, Kinematics, Landmark, Limb, N_COORDS, N_SEGMENTS, Pose, SegmentId, Side,
};
use nalgebra::Vector3;

use crate::compile::{Contact, Core, Motion, Role};
use crate::dynamics::External;
use crate::forces::Outside;
use crate::posture::Surface;
use crate::repetition::{
    ContactTrack, Contraction, MuscleTrack, PropPlace, Repetition, Room, Sample, Span, SpanKind,
};
use crate::spec::{Along, Bears, Hold};

/// Heights in the patient's home, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Home {
    /// Chair seat.
    pub seat_height: f64,
    /// Bed surface.
    pub bed_height: f64,
    /// Table top.
    pub table_height: f64,
    /// Step.
    pub step_height: f64,
}

impl Home {
    /// A home where nothing was measured: chair at the person's own popliteal height (US Army 2012 survey,
    /// 0.24 of stature) plus 2 cm for shoes (own), bed and table at usual furniture heights (own).
    pub fn usual(stature: f64) -> Home {
        Home { seat_height: 0.24 * stature + 0.02, bed_height: 0.50, table_height: 0.74, step_height: 0.15 }
    }
}

/// Values of turnable parameters by name; missing ones take their usual value.
pub type Parameters = BTreeMap<String, f64>;

/// Why a motion cannot be solved on this body.
#[derive(Clone, Debug, PartialEq)]
pub enum SolveError {
    /// A contact or target cannot be reached.
    Unreachable {
        /// Key pose.
        key: usize,
        /// Which contact, in words of the file.
        contact: String,
        /// What is missing, m.
        by: f64,
    },
    /// The pose found is not one a body can take.
    Implausible {
        /// Coordinate.
        coordinate: String,
        /// Its value, degrees.
        deg: f64,
    },
}

impl std::fmt::Display for SolveError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SolveError::Unreachable { key, contact, by } => {
                write!(f, "key pose {key}: {contact} cannot be reached; {:.1} cm are missing", by * 100.0)
            }
            SolveError::Implausible { coordinate, deg } => {
                write!(f, "{coordinate} would be {deg:.0} degrees, which a body cannot do")
            }
        }
    }
}

impl std::error::Error for SolveError {}

const MAX_ROWS: usize = 32;
const MAX_FREE: usize = 32;
/// How finely a repetition is sampled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detail {
    /// At least 60 instants: for results.
    Full,
    /// At least 240 instants: to check results a second time.
    Fine,
    /// At least 12 instants: for searches and tolerance bands, whose result is then solved fully.
    Coarse,
}

impl Detail {
    /// Instants spread over the moves, and the least number in one move.
    fn samples(self) -> (f64, f64) {
        match self {
            Detail::Full => (60.0, 6.0),
            Detail::Fine => (240.0, 24.0),
            Detail::Coarse => (12.0, 4.0),
        }
    }
}

/// Weight of a change when the nearest pose is sought: a metre of root shift counts like so many square
/// radians, a knee gives less readily than a hip or an ankle (own choice, so that standing legs stay quiet).
fn stiffness(coord: Coord) -> f64 {
    match coord.limb() {
        None if coord.is_position() => 8.0,
        Some((_, Dof::KneeFlexion)) => 8.0,
        _ => 1.0,
    }
}

/// A point on a segment.
#[derive(Clone, Copy, Debug)]
struct Point {
    segment: SegmentId,
    local: Vector3<f64>,
}

/// One scalar equation.
#[derive(Clone, Copy, Debug)]
enum Row {
    /// axis . point = value
    Place(Point, Vector3<f64>),
    /// axis . (a - b) = value
    Relative(Point, Point, Vector3<f64>),
    /// |a - b| = value
    Distance(Point, Point),
    /// The sole's plane touches the ball whose centre has forward place = value.
    OnBall { sole: Point, up: f64, out: f64, radius: f64 },
    /// axis . (centre of mass - mean of the supports) = value
    Balance(Vector3<f64>),
}

/// Equations with a value for each key pose (`NaN` where a key does not give one).
struct Rows {
    rows: Vec<Row>,
    values: Vec<Vec<f64>>,
    names: Vec<String>,
}

impl Rows {
    fn push(&mut self, row: Row, values: Vec<f64>, name: impl Into<String>) {
        self.rows.push(row);
        self.values.push(values);
        self.names.push(name.into());
    }
}

struct Solver<'a> {
    core: &'a Core,
    motion: &'a Motion,
    body: &'a Body,
    side: Side,
    room: Room,
    names: BTreeMap<String, f64>,
    free: Vec<Coord>,
    free_index: [u8; N_COORDS],
    is_free: [bool; N_COORDS],
    mask: u64,
    kinematics: Kinematics,
}

/// Solves one repetition.
///
/// # Errors
/// A contact that this body cannot reach in this home, or a pose that no body can take.
pub fn solve(
    motion: &Motion,
    core: &Core,
    body: &Body,
    home: &Home,
    side: Side,
    parameters: &Parameters,
) -> Result<Repetition, SolveError> {
    solve_in(motion, core, body, home, side, parameters, Detail::Full)
}

/// Solves one repetition in a given detail.
///
/// # Errors
/// As [`solve`].
pub fn solve_in(
    motion: &Motion,
    core: &Core,
    body: &Body,
    home: &Home,
    side: Side,
    parameters: &Parameters,
    detail: Detail,
) -> Result<Repetition, SolveError> {
    Solver::new(motion, core, body, home, side, parameters).solve(detail, &mut |_| {})
}

/// What inverse dynamics is given at one instant: the loads are made of its answer.
#[derive(Clone, Copy, Debug)]
pub struct Instant<'a> {
    /// Sample.
    pub sample: usize,
    /// Velocity and acceleration of all coordinates; `None` where the body rests.
    pub rates: Option<(&'a Pose, &'a Pose)>,
    /// Weights, bands and contact forces.
    pub externals: &'a [External],
}

/// Solves one repetition and shows what inverse dynamics is given at each of its instants, for another engine
/// to compute the same.
///
/// # Errors
/// As [`solve`].
pub fn solve_watched(
    motion: &Motion,
    body: &Body,
    home: &Home,
    side: Side,
    parameters: &Parameters,
    detail: Detail,
    watch: &mut dyn FnMut(Instant<'_>),
) -> Result<Repetition, SolveError> {
    Solver::new(motion, &motion.core, body, home, side, parameters).solve(detail, watch)
}

/// An instant between two key poses.
struct Stamp {
    time: f64,
    from: usize,
    to: usize,
    /// Share of the way.
    share: f64,
    /// Share of the time of the move, and its seconds.
    at: f64,
    seconds: f64,
    /// Seconds from the sample before.
    step: f64,
}

impl Stamp {
    fn ball(&self, core: &Core, names: &BTreeMap<String, f64>) -> f64 {
        let (a, b) = (core.keys[self.from].ball.value(names), core.keys[self.to].ball.value(names));
        a + (b - a) * self.share
    }
}

/// A solved motion: its key poses, and the pose of every instant.
struct Path {
    stamps: Vec<Stamp>,
    keys: Vec<Pose>,
    poses: Vec<Pose>,
}

/// Smooth step with no speed and acceleration at both ends (minimum jerk, Flash & Hogan 1985).
pub fn minimum_jerk(u: f64) -> f64 {
    u * u * u * (10.0 + u * (6.0 * u - 15.0))
}

/// First and second derivative of the smooth step over its share of time.
fn minimum_jerk_rates(u: f64) -> (f64, f64) {
    (30.0 * u * u * (1.0 - u) * (1.0 - u), 60.0 * u * (1.0 - u) * (1.0 - 2.0 * u))
}

fn timeline(core: &Core, detail: Detail) -> (Vec<Span>, Vec<Stamp>, Vec<usize>) {
    let n = core.keys.len();
    let (moving_samples, least) = detail.samples();
    let mut spans = Vec::new();
    let mut now = 0.0;
    let push = |spans: &mut Vec<Span>, kind, key: usize, verb: &str, seconds: f64, now: &mut f64| {
        if seconds > 0.0 {
            spans.push(Span { kind, key, verb: verb.to_string(), start: *now, end: *now + seconds });
            *now += seconds;
        }
    };
    push(&mut spans, SpanKind::Hold, 0, "", core.keys[0].hold, &mut now);
    for key in (1..n).chain(std::iter::once(0)) {
        if n > 1 {
            push(&mut spans, SpanKind::Move, key, &core.keys[key].verb, core.keys[key].seconds, &mut now);
        }
        if key != 0 {
            push(&mut spans, SpanKind::Hold, key, "", core.keys[key].hold, &mut now);
        }
    }
    if spans.is_empty() {
        // A single key without a hold: its seconds are held.
        push(&mut spans, SpanKind::Hold, 0, "", core.keys[0].seconds, &mut now);
    }
    let moving: f64 = spans.iter().filter(|it| it.kind == SpanKind::Move).map(|it| it.end - it.start).sum();
    let holding: f64 = spans.iter().map(|it| it.end - it.start).sum::<f64>() - moving;
    let mut stamps = vec![Stamp { time: 0.0, from: 0, to: 0, share: 0.0, at: 0.0, seconds: 0.0, step: 0.0 }];
    let mut key_samples = vec![0; n];
    let mut at = 0;
    for span in &spans {
        let seconds = span.end - span.start;
        let count = match span.kind {
            SpanKind::Move => (moving_samples * seconds / moving).ceil().max(least) as usize,
            SpanKind::Hold if moving > 0.0 => 2,
            SpanKind::Hold => (moving_samples * seconds / holding).ceil() as usize,
        };
        for step in 1..=count {
            let u = step as f64 / count as f64;
            let share = if span.kind == SpanKind::Move { minimum_jerk(u) } else { 1.0 };
            stamps.push(Stamp {
                time: span.start + u * seconds,
                from: at,
                to: span.key,
                share,
                at: u,
                seconds,
                step: seconds / count as f64,
            });
        }
        if span.kind == SpanKind::Move {
            at = span.key;
            if span.key != 0 {
                key_samples[span.key] = stamps.len() - 1;
            }
        }
    }
    (spans, stamps, key_samples)
}

impl<'a> Solver<'a> {
    fn new(
        motion: &'a Motion,
        core: &'a Core,
        body: &'a Body,
        home: &Home,
        side: Side,
        parameters: &Parameters,
    ) -> Solver<'a> {
        let mut names = BTreeMap::new();
        for name in crate::compile::LENGTH_NAMES {
            if let Some(length) = body.length(name) {
                names.insert(name.to_string(), length);
            }
        }
        for (name, value) in [
            ("seat_height", home.seat_height),
            ("bed_height", home.bed_height),
            ("table_height", home.table_height),
            ("step_height", home.step_height),
        ] {
            names.insert(name.to_string(), value);
        }
        for parameter in &motion.parameters {
            let value = parameters.get(&parameter.name).copied().unwrap_or(parameter.usual);
            names.insert(parameter.name.clone(), value);
        }
        let room = Room {
            seat: home.seat_height,
            bed: home.bed_height,
            table: home.table_height,
            step: home.step_height,
            wall: motion.posture.wall.as_ref().map(|it| it.value(&names)),
        };
        let free: Vec<Coord> = core.solve.iter().map(|it| it.resolve(side).0).collect();
        let mut free_index = [u8::MAX; N_COORDS];
        for (index, coord) in free.iter().enumerate() {
            free_index[coord.0] = index as u8;
        }
        let mut solver = Solver {
            core,
            motion,
            body,
            side,
            room,
            names,
            free,
            free_index,
            is_free: free_index.map(|it| it != u8::MAX),
            mask: 0,
            kinematics: Kinematics::default(),
        };
        solver.mask = solver.needed_segments();
        solver
    }

    fn solve(mut self, detail: Detail, watch: &mut dyn FnMut(Instant<'_>)) -> Result<Repetition, SolveError> {
        let ball_start = self.ball_start();
        let mut rows = self.start_rows(ball_start);
        let n_keys = self.core.keys.len();

        let mut poses = Vec::with_capacity(n_keys);
        let start = self.reference(0);
        poses.push(self.solve_key(0, start, &rows)?);
        self.add_held_rows(&mut rows, &poses[0]);
        for key in 1..n_keys {
            let reference = self.reference(key);
            poses.push(self.solve_key(key, reference, &rows)?);
        }
        self.fill_missing(&mut rows, &poses);
        self.check_plausible(&poses)?;

        let (spans, stamps, key_samples) = timeline(self.core, detail);
        let mut solved = Vec::with_capacity(stamps.len());
        let mut deviation = None;
        for stamp in &stamps {
            solved.push(self.pose_at(stamp, &poses, &rows, &mut deviation));
        }
        let path = Path { stamps, keys: poses, poses: solved };
        Ok(self.finish(&path, spans, key_samples, ball_start, detail, watch))
    }

    fn point(&self, limb: Limb, landmark: Landmark) -> Point {
        let (segment, local) = landmark.local(self.body, limb.side(self.side));
        Point { segment, local }
    }

    fn needed_segments(&self) -> u64 {
        let mut mask = self
            .point(self.motion.posture.anchor.0.limb, self.motion.posture.anchor.0.point)
            .segment
            .chain_mask();
        for contact in &self.core.contacts {
            for &landmark in &contact.points {
                mask |= self.point(contact.limb, landmark).segment.chain_mask();
            }
            if let Some((limb, landmark)) = contact.with {
                mask |= self.point(limb, landmark).segment.chain_mask();
            }
        }
        for target in &self.core.targets {
            for (limb, landmark) in std::iter::once(target.point).chain(target.from) {
                mask |= self.point(limb, landmark).segment.chain_mask();
            }
        }
        if self.core.balance {
            mask |= mass_mask();
        }
        if let Some((_, (limb, landmark))) = self.core.ball {
            mask |= self.point(limb, landmark).segment.chain_mask();
        }
        mask
    }

    fn world(&self, point: &Point) -> Vector3<f64> {
        self.kinematics.point(point.segment, &point.local)
    }

    /// Height (or forward place of the wall) of a surface.
    fn surface(&self, surface: Surface) -> f64 {
        match surface {
            Surface::Floor | Surface::Ball => 0.0,
            Surface::Seat => self.room.seat,
            Surface::Bed => self.room.bed,
            Surface::Table => self.room.table,
            Surface::Step => self.room.step,
            Surface::Wall => self.room.wall.unwrap_or(0.6 * self.body.stature()),
        }
    }

    fn normal(surface: Surface) -> Vector3<f64> {
        if surface == Surface::Wall { Vector3::x() } else { Vector3::y() }
    }

    fn axis(&self, along: Along) -> Vector3<f64> {
        match along {
            Along::Forward => Vector3::x(),
            Along::Up => Vector3::y(),
            Along::Outward => Vector3::z() * self.side.outward(),
        }
    }

    /// Reference pose of a key: written angles, the anchor on its surface.
    fn reference(&mut self, key: usize) -> Pose {
        let mut pose = Pose::default();
        let root = self.motion.posture.root;
        let mirror = self.side.outward();
        pose[Coord::ROOT_TURN] = (root.turn * mirror).to_radians();
        pose[Coord::ROOT_LIST] = (root.list * mirror).to_radians();
        pose[Coord::ROOT_TILT] = root.tilt.to_radians();
        let mut shift = Vector3::zeros();
        for (reference, quantity) in &self.core.keys[key].angles {
            let (coord, sign) = reference.resolve(self.side);
            let value = quantity.value(&self.names) * sign;
            if coord.is_position() {
                shift[coord.0] = value;
            } else {
                pose[coord] = value.to_radians();
            }
        }
        let (anchor, surface) = &self.motion.posture.anchor;
        let point = self.point(anchor.limb, anchor.point);
        self.kinematics.update(self.body, &pose, self.mask, Twists::Skip);
        let place = self.world(&point);
        let mut goal = Vector3::new(0.0, self.surface(*surface), 0.0);
        // A paired anchor (seat bone, trochanter, foot) keeps its distance from the middle.
        let (segment, _) = anchor.point.local(self.body, anchor.limb.side(self.side));
        let sided = segment.side().is_some() || matches!(anchor.point, Landmark::Seat | Landmark::HipOuter);
        if sided && self.motion.posture.root.list == 0.0 {
            goal.z = place.z;
        }
        let root_at = goal - place + shift;
        pose[Coord::ROOT_X] = root_at.x;
        pose[Coord::ROOT_Y] = root_at.y;
        pose[Coord::ROOT_Z] = root_at.z;
        pose
    }

    fn ball_start(&mut self) -> Option<Vector3<f64>> {
        let (radius, (limb, landmark)) = self.core.ball?;
        let pose = self.reference(0);
        let point = self.point(limb, landmark);
        self.kinematics.update(self.body, &pose, self.mask, Twists::Skip);
        let under = self.world(&point);
        // The first heel target says where the foot starts; without one the reference pose does.
        let heel = self.core.targets.iter().zip(&self.core.keys[0].targets).find_map(|(target, value)| {
            let wanted = target.point.0 == limb && target.along == Along::Forward && target.from.is_none();
            value.as_ref().filter(|_| wanted).map(|it| (target.point, it.value(&self.names)))
        });
        let forward = match heel {
            Some((heel, at)) => {
                let heel = self.point(heel.0, heel.1);
                at + (under - self.world(&heel)).x
            }
            None => under.x,
        };
        Some(Vector3::new(forward, radius, under.z))
    }

    /// Equations that hold in every key pose, the start included.
    fn start_rows(&mut self, ball_start: Option<Vector3<f64>>) -> Rows {
        let mut rows = Rows { rows: Vec::new(), values: Vec::new(), names: Vec::new() };
        let n = self.core.keys.len();
        for contact in &self.core.contacts {
            let Some(surface) = contact.on.filter(|_| contact.hold != Hold::Rests) else { continue };
            if surface == Surface::Ball {
                self.push_ball(&mut rows, contact, ball_start);
                continue;
            }
            for &landmark in &contact.points {
                let point = self.point(contact.limb, landmark);
                let row = Row::Place(point, Self::normal(surface));
                let name = format!("{} {} on the {}", limb_word(contact.limb), contact.name, surface.id());
                rows.push(row, vec![self.surface(surface); n], name);
            }
        }
        for (index, target) in self.core.targets.iter().enumerate() {
            let values = self
                .core
                .keys
                .iter()
                .map(|key| key.targets[index].as_ref().map_or(f64::NAN, |it| it.value(&self.names)))
                .collect();
            let point = self.point(target.point.0, target.point.1);
            let axis = self.axis(target.along);
            let row = match target.from {
                Some((limb, landmark)) => Row::Relative(point, self.point(limb, landmark), axis),
                None => Row::Place(point, axis),
            };
            rows.push(row, values, format!("place of {} {}", limb_word(target.point.0), target.point.1.id()));
        }
        if self.core.balance {
            rows.push(Row::Balance(Vector3::x()), vec![0.0; n], "balance forward");
            rows.push(Row::Balance(Vector3::z()), vec![0.0; n], "balance sideways");
        }
        rows
    }

    fn push_ball(&self, rows: &mut Rows, contact: &Contact, start: Option<Vector3<f64>>) {
        let (Some(start), Some((radius, _))) = (start, self.core.ball) else { return };
        let values = self.core.keys.iter().map(|key| start.x + key.ball.value(&self.names)).collect();
        let sole = self.point(contact.limb, contact.points[0]);
        let row = Row::OnBall { sole, up: radius, out: start.z, radius };
        rows.push(row, values, format!("{} {} on the ball", limb_word(contact.limb), contact.name));
    }

    /// Equations that keep what the start pose fixed.
    fn add_held_rows(&mut self, rows: &mut Rows, start: &Pose) {
        self.kinematics.update(self.body, start, self.mask, Twists::Skip);
        let n = self.core.keys.len();
        for contact in &self.core.contacts {
            let name = format!("{} {} held", limb_word(contact.limb), contact.name);
            match (contact.hold, contact.with) {
                (Hold::Stays, None) => self.stay(rows, contact, n, &name),
                (Hold::Distance, Some((limb, landmark))) => {
                    let (a, b) = (self.point(contact.limb, contact.points[0]), self.point(limb, landmark));
                    let length = (self.world(&a) - self.world(&b)).norm();
                    rows.push(Row::Distance(a, b), vec![length; n], name);
                }
                (Hold::Together, Some((limb, landmark))) => {
                    let (a, b) = (self.point(contact.limb, contact.points[0]), self.point(limb, landmark));
                    let gap = self.world(&a) - self.world(&b);
                    for axis in [Vector3::x(), Vector3::y(), Vector3::z()] {
                        rows.push(Row::Relative(a, b, axis), vec![axis.dot(&gap); n], name.clone());
                    }
                }
                _ => {}
            }
        }
    }

    /// A point stays in the two directions its surface does not fix; a sole also keeps its heading.
    fn stay(&self, rows: &mut Rows, contact: &Contact, n: usize, name: &str) {
        let normal = contact.on.map(Self::normal);
        for (index, &landmark) in contact.points.iter().enumerate() {
            let point = self.point(contact.limb, landmark);
            let at = self.world(&point);
            for axis in [Vector3::x(), Vector3::y(), Vector3::z()] {
                // Of a sole's second point only the sideways place is new, of the third nothing.
                let redundant = index == 1 && axis != Vector3::z() || index > 1;
                if normal == Some(axis) || redundant {
                    continue;
                }
                rows.push(Row::Place(point, axis), vec![axis.dot(&at); n], name);
            }
        }
    }

    fn solve_key(&mut self, key: usize, reference: Pose, rows: &Rows) -> Result<Pose, SolveError> {
        let mut pose = reference;
        let values: Vec<f64> = rows.values.iter().map(|it| it[key]).collect();
        self.project(&mut pose, &reference, rows, &values, 60);
        let (worst, by) = self.residual(&pose, rows, &values);
        if by > 1e-3 {
            return Err(SolveError::Unreachable { key, contact: rows.names[worst].clone(), by });
        }
        Ok(pose)
    }

    /// Gives targets that a key leaves open the value they have in its solved pose.
    fn fill_missing(&mut self, rows: &mut Rows, poses: &[Pose]) {
        for key in 0..poses.len() {
            if rows.values.iter().all(|it| !it[key].is_nan()) {
                continue;
            }
            self.kinematics.update(self.body, &poses[key], self.mask, Twists::Skip);
            for index in 0..rows.rows.len() {
                if rows.values[index][key].is_nan() {
                    rows.values[index][key] = self.read(&rows.rows[index]);
                }
            }
        }
    }

    fn read(&self, row: &Row) -> f64 {
        match row {
            Row::Place(point, axis) => axis.dot(&self.world(point)),
            Row::Relative(a, b, axis) => axis.dot(&(self.world(a) - self.world(b))),
            Row::Distance(a, b) => (self.world(a) - self.world(b)).norm(),
            Row::OnBall { .. } => f64::NAN,
            Row::Balance(axis) => axis.dot(&self.off_balance()),
        }
    }

    fn residual(&mut self, pose: &Pose, rows: &Rows, values: &[f64]) -> (usize, f64) {
        self.kinematics.update(self.body, pose, self.mask, Twists::Skip);
        let mut worst = (0, 0.0);
        for (index, row) in rows.rows.iter().enumerate() {
            if values[index].is_nan() {
                continue;
            }
            let error = match row {
                Row::OnBall { sole, up, out, radius } => {
                    self.ball_gap(sole, &Vector3::new(values[index], *up, *out), *radius).abs()
                }
                other => (self.read(other) - values[index]).abs(),
            };
            if error > worst.1 {
                worst = (index, error);
            }
        }
        worst
    }

    /// Distance of the ball's surface from the sole's plane (positive: a gap).
    fn ball_gap(&self, sole: &Point, centre: &Vector3<f64>, radius: f64) -> f64 {
        let up = self.kinematics.rotation[sole.segment.index()].column(1).into_owned();
        up.dot(&(self.world(sole) - centre)) - radius
    }

    /// Moves the free coordinates so that all equations hold, as near to the reference as possible.
    fn project(&mut self, pose: &mut Pose, reference: &Pose, rows: &Rows, values: &[f64], most: usize) {
        let n = self.free.len();
        if n == 0 || rows.rows.is_empty() {
            return;
        }
        let mut jacobian = [[0.0; MAX_FREE]; MAX_ROWS];
        let mut gap = [0.0; MAX_ROWS];
        for _ in 0..most {
            self.kinematics.update(self.body, pose, self.mask, Twists::Of(&self.is_free));
            let m = self.linearise(rows, values, &mut jacobian, &mut gap);
            let worst = gap[..m].iter().fold(0.0f64, |a, b| a.max(b.abs()));
            let step = self.least_change(pose, reference, &jacobian, &gap, m);
            let largest = step[..n].iter().fold(0.0f64, |a, b| a.max(b.abs()));
            let scale = if largest > 0.4 { 0.4 / largest } else { 1.0 };
            for (coord, delta) in self.free.iter().zip(&step) {
                pose[*coord] += delta * scale;
            }
            if worst < 1e-9 && largest < 1e-7 || worst < 1e-4 && largest < 3e-4 {
                break;
            }
        }
    }

    /// Fills the Jacobian and the residuals of the rows that have a value; returns their number.
    fn linearise(
        &self,
        rows: &Rows,
        values: &[f64],
        jacobian: &mut [[f64; MAX_FREE]; MAX_ROWS],
        gap: &mut [f64; MAX_ROWS],
    ) -> usize {
        let mut m = 0;
        for (row, &value) in rows.rows.iter().zip(values) {
            if value.is_nan() || m == MAX_ROWS {
                continue;
            }
            jacobian[m][..self.free.len()].fill(0.0);
            match row {
                Row::Place(point, axis) => {
                    gap[m] = axis.dot(&self.world(point)) - value;
                    self.add_gradient(&mut jacobian[m], point, axis, 1.0);
                }
                Row::Relative(a, b, axis) => {
                    gap[m] = axis.dot(&(self.world(a) - self.world(b))) - value;
                    self.add_gradient(&mut jacobian[m], a, axis, 1.0);
                    self.add_gradient(&mut jacobian[m], b, axis, -1.0);
                }
                Row::Distance(a, b) => {
                    let apart = self.world(a) - self.world(b);
                    let length = apart.norm();
                    gap[m] = length - value;
                    let axis = if length > 1e-9 { apart / length } else { Vector3::x() };
                    self.add_gradient(&mut jacobian[m], a, &axis, 1.0);
                    self.add_gradient(&mut jacobian[m], b, &axis, -1.0);
                }
                Row::OnBall { sole, up, out, radius } => {
                    let centre = Vector3::new(value, *up, *out);
                    gap[m] = self.ball_gap(sole, &centre, *radius);
                    self.add_ball_gradient(&mut jacobian[m], sole, &centre);
                }
                Row::Balance(axis) => {
                    gap[m] = axis.dot(&self.off_balance()) - value;
                    self.add_balance_gradient(&mut jacobian[m], axis);
                }
            }
            m += 1;
        }
        m
    }

    fn add_gradient(&self, row: &mut [f64; MAX_FREE], point: &Point, axis: &Vector3<f64>, sign: f64) {
        let at = self.world(point);
        let chain = point.segment.chain_mask();
        for c in 0..3 {
            let index = self.free_index[c];
            if index != u8::MAX {
                row[index as usize] += sign * axis[c];
            }
        }
        for twist in &self.kinematics.twists {
            let index = self.free_index[twist.coord.0];
            if index != u8::MAX && chain & (1 << twist.segment.index()) != 0 {
                row[index as usize] += sign * axis.dot(&twist.axis.cross(&(at - twist.origin)));
            }
        }
    }

    fn add_ball_gradient(&self, row: &mut [f64; MAX_FREE], sole: &Point, centre: &Vector3<f64>) {
        let up = self.kinematics.rotation[sole.segment.index()].column(1).into_owned();
        self.add_gradient(row, sole, &up, 1.0);
        let arm = self.world(sole) - centre;
        let chain = sole.segment.chain_mask();
        for twist in &self.kinematics.twists {
            let index = self.free_index[twist.coord.0];
            if index != u8::MAX && chain & (1 << twist.segment.index()) != 0 {
                row[index as usize] += twist.axis.cross(&up).dot(&arm);
            }
        }
    }

    /// Points that bear the body.
    fn supports(&self) -> impl Iterator<Item = Point> + '_ {
        self.core
            .contacts
            .iter()
            .filter(|it| it.bears == Bears::Body)
            .flat_map(|it| it.points.iter().map(|&landmark| self.point(it.limb, landmark)))
    }

    /// From the middle of the supports to the centre of mass.
    fn off_balance(&self) -> Vector3<f64> {
        let (mut sum, mut count) = (Vector3::zeros(), 0.0);
        for point in self.supports() {
            sum += self.world(&point);
            count += 1.0;
        }
        self.body.centre_of_mass(&self.kinematics) - sum / f64::max(count, 1.0)
    }

    fn add_balance_gradient(&self, row: &mut [f64; MAX_FREE], axis: &Vector3<f64>) {
        // Mass and mass moment of everything from a segment outwards, gathered from the ends to the root.
        let mut mass = [0.0; N_SEGMENTS];
        let mut moment = [Vector3::zeros(); N_SEGMENTS];
        for segment in (0..N_SEGMENTS as u8).rev().map(SegmentId) {
            let (i, part) = (segment.index(), self.body.segment_mass(segment));
            if part.mass > 0.0 {
                mass[i] += part.mass;
                moment[i] += self.kinematics.point(segment, &part.com) * part.mass;
            }
            if let Some(parent) = segment.parent() {
                let (m, p) = (mass[i], moment[i]);
                mass[parent.index()] += m;
                moment[parent.index()] += p;
            }
        }
        let total = self.body.mass();
        for twist in &self.kinematics.twists {
            let i = twist.segment.index();
            let lever = (moment[i] - twist.origin * mass[i]) / total;
            row[self.free_index[twist.coord.0] as usize] += axis.dot(&twist.axis.cross(&lever));
        }
        for c in 0..3 {
            if self.is_free[c] {
                row[self.free_index[c] as usize] += axis[c];
            }
        }
        let count = self.supports().count().max(1) as f64;
        for point in self.supports() {
            self.add_gradient(row, &point, axis, -1.0 / count);
        }
    }

    /// Step that meets the linearised equations with the least weighted distance from the reference:
    /// d - W^-1 J^T (J W^-1 J^T + e)^-1 (gap + J d), d = reference - pose.
    fn least_change(
        &self,
        pose: &Pose,
        reference: &Pose,
        jacobian: &[[f64; MAX_FREE]; MAX_ROWS],
        gap: &[f64; MAX_ROWS],
        m: usize,
    ) -> [f64; MAX_FREE] {
        let n = self.free.len();
        let mut d = [0.0; MAX_FREE];
        let mut inverse_weight = [0.0; MAX_FREE];
        for (i, coord) in self.free.iter().enumerate() {
            d[i] = reference[*coord] - pose[*coord];
            inverse_weight[i] = 1.0 / stiffness(*coord);
        }
        let mut a = [[0.0; MAX_ROWS]; MAX_ROWS];
        let mut b = [0.0; MAX_ROWS];
        for r in 0..m {
            b[r] = gap[r] + (0..n).map(|i| jacobian[r][i] * d[i]).sum::<f64>();
            for c in 0..=r {
                a[r][c] = (0..n).map(|i| jacobian[r][i] * inverse_weight[i] * jacobian[c][i]).sum::<f64>();
            }
            // Doubled equations (two soles and a root) stay solvable.
            a[r][r] += 1e-9;
        }
        solve_cholesky(&mut a, &mut b, m);
        let mut step = [0.0; MAX_FREE];
        for i in 0..n {
            step[i] = d[i] - inverse_weight[i] * (0..m).map(|r| jacobian[r][i] * b[r]).sum::<f64>();
        }
        step
    }

    fn check_plausible(&self, poses: &[Pose]) -> Result<(), SolveError> {
        for pose in poses {
            for coord in &self.free {
                let Some((side, dof)) = coord.limb() else { continue };
                let (low, high) = dof.plausible();
                let deg = pose.deg(side, dof);
                if deg < low - 1e-6 || deg > high + 1e-6 {
                    let coordinate = format!("{} {}", side.word(), dof.id());
                    return Err(SolveError::Implausible { coordinate, deg });
                }
            }
        }
        Ok(())
    }

    fn pose_at(
        &mut self,
        stamp: &Stamp,
        poses: &[Pose],
        rows: &Rows,
        deviation: &mut Option<[f64; MAX_FREE]>,
    ) -> Pose {
        let (from, to) = (&poses[stamp.from], &poses[stamp.to]);
        if stamp.share >= 1.0 || stamp.from == stamp.to {
            *deviation = None;
            return *to;
        }
        let mut reference = *from;
        for (value, end) in reference.0.iter_mut().zip(&to.0) {
            *value += (end - *value) * stamp.share;
        }
        if self.free.is_empty() || rows.rows.is_empty() {
            return reference;
        }
        let mut values = [0.0; MAX_ROWS];
        for ((slot, row), kind) in values.iter_mut().zip(&rows.values).zip(&rows.rows) {
            let way = row[stamp.to] - row[stamp.from];
            // A place that changes says where the key poses are, not the way between them: there the joints
            // run smoothly. A body lifted by a smooth step would straighten a nearly straight knee in a jerk.
            let between = way.abs() < 1e-12 || matches!(kind, Row::OnBall { .. });
            *slot = if between { row[stamp.from] + way * stamp.share } else { f64::NAN };
        }
        // Begin where the instant before was off the reference: mostly one or two steps are left.
        let mut pose = reference;
        if let Some(deviation) = deviation.as_ref() {
            for (coord, off) in self.free.iter().zip(deviation) {
                pose[*coord] += off;
            }
        }
        let n = rows.values.len().min(MAX_ROWS);
        self.project(&mut pose, &reference, rows, &values[..n], 12);
        let mut off = [0.0; MAX_FREE];
        for (slot, coord) in off.iter_mut().zip(&self.free) {
            *slot = pose[*coord] - reference[*coord];
        }
        *deviation = Some(off);
        pose
    }

    fn finish(
        self,
        path: &Path,
        spans: Vec<Span>,
        key_samples: Vec<usize>,
        ball_start: Option<Vector3<f64>>,
        detail: Detail,
        watch: &mut dyn FnMut(Instant<'_>),
    ) -> Repetition {
        let mut contacts = self.contact_tracks(path.stamps.len());
        let resistance = self.motion.resistance.as_ref();
        let kg = resistance.and_then(|it| it.kg.as_ref()).map(|kg| kg.value(&self.names));
        let mut outside =
            Outside::new(self.motion, self.body, self.side, &contacts, &self.room, &path.keys, kg);
        let mut samples = Vec::with_capacity(path.stamps.len());
        let mut joints = Vec::with_capacity(path.stamps.len());
        let (mut velocity, mut acceleration) = (Pose::default(), Pose::default());
        for (index, stamp) in path.stamps.iter().enumerate() {
            let moving =
                detail != Detail::Coarse && self.rates(index, path, &mut velocity, &mut acceleration);
            let rates = moving.then_some((&velocity, &acceleration));
            let (mut sample, carried) = outside.instant(stamp.time, &path.poses[index], rates, &mut contacts);
            watch(Instant { sample: index, rates, externals: outside.externals() });
            sample.ball = ball_start.map(|it| it + Vector3::x() * stamp.ball(self.core, &self.names));
            samples.push(sample);
            joints.push(carried);
        }
        let drives = self.drives(&samples);
        let muscles = self.muscles(&samples, &spans);
        Repetition {
            side: self.side,
            samples,
            spans,
            contacts,
            key_samples,
            muscles,
            room: self.room,
            resistance_kg: resistance.map(|_| kg.unwrap_or(0.0)),
            body_weight: resistance.is_some_and(|it| it.kind == "body_weight"),
            ball_radius: self.core.ball.map(|it| it.0),
            drives,
            joints,
            band_stiffness: outside.stiffness(),
            resistance_is_known: outside.resistance_is_known(self.motion),
        }
    }

    fn contact_tracks(&self, samples: usize) -> Vec<ContactTrack> {
        self.core
            .contacts
            .iter()
            .flat_map(|contact| {
                let side = contact.limb.side(self.side);
                contact.points.iter().map(move |&landmark| ContactTrack {
                    side,
                    landmark,
                    on: contact.on,
                    hold: contact.hold,
                    bears: contact.bears,
                    place: Vec::with_capacity(samples),
                    force: Vec::with_capacity(samples),
                })
            })
            .collect()
    }

    /// Velocity and acceleration at a sample; false where the body rests. Of the motion between two key poses
    /// the interpolated part is differentiated exactly (minimum jerk), what the contacts add by least-squares
    /// parabolas over five samples (Savitzky-Golay).
    fn rates(&self, index: usize, path: &Path, velocity: &mut Pose, acceleration: &mut Pose) -> bool {
        let stamp = &path.stamps[index];
        if stamp.from == stamp.to || stamp.share <= 0.0 || stamp.share >= 1.0 {
            return false;
        }
        let (from, to) = (&path.keys[stamp.from], &path.keys[stamp.to]);
        let (first, second) = minimum_jerk_rates(stamp.at);
        let (first, second) = (first / stamp.seconds, second / (stamp.seconds * stamp.seconds));
        for i in 0..N_COORDS {
            let way = to.0[i] - from.0[i];
            velocity.0[i] = way * first;
            acceleration.0[i] = way * second;
        }
        // Away from the reference only inside this move; key poses and holds lie on it.
        let off = |shift: isize, coord: Coord| {
            let Some(other) = index.checked_add_signed(shift).and_then(|it| path.stamps.get(it)) else {
                return 0.0;
            };
            if other.from != stamp.from || other.to != stamp.to {
                return 0.0;
            }
            let pose = &path.poses[index.wrapping_add_signed(shift)];
            pose[coord] - (from[coord] + (to[coord] - from[coord]) * other.share)
        };
        let step = stamp.step;
        for &coord in &self.free {
            let [a, b, c, d, e] = [-2, -1, 0, 1, 2].map(|shift| off(shift, coord));
            velocity[coord] += (2.0 * (e - a) + d - b) / (10.0 * step);
            acceleration[coord] += (2.0 * (a + e) - b - d - 2.0 * c) / (7.0 * step * step);
        }
        true
    }

    /// How each joint is driven: written exceptions; else the exercise's drive for joints that move; else
    /// isometric where a named muscle of the working side acts without motion.
    fn drives(&self, samples: &[Sample]) -> Vec<(Side, Joint, Drive)> {
        let mut out = Vec::new();
        for side in Side::BOTH {
            let limb = if side == self.side { Limb::Working } else { Limb::Other };
            for joint in Joint::ALL {
                if let Some(&drive) = self.motion.drives.get(&(limb, joint)) {
                    out.push((side, joint, drive));
                } else if moves(samples, side, joint) {
                    out.push((side, joint, self.motion.drive));
                } else if limb == Limb::Working
                    && self.motion.drive != Drive::Passive
                    && self.tensed_at(joint, samples)
                {
                    out.push((side, joint, Drive::Isometric));
                }
            }
        }
        out
    }

    /// A named muscle is tensed at this joint without moving any of its joints. A muscle that moves another of
    /// its joints (toe extensors past a resting ankle) only steadies this one.
    fn tensed_at(&self, joint: Joint, samples: &[Sample]) -> bool {
        self.motion.muscles.iter().any(|(muscle, _)| {
            let actions = muscle.actions();
            actions.iter().any(|(it, _)| *it == joint)
                && !actions.iter().any(|(it, _)| moves(samples, self.side, *it))
        })
    }

    fn muscles(&self, samples: &[Sample], spans: &[Span]) -> Vec<MuscleTrack> {
        let still = spans.iter().all(|it| it.kind == SpanKind::Hold);
        self.motion
            .muscles
            .iter()
            .map(|&(muscle, role)| {
                let role_share = match role {
                    Role::Prime => 1.0,
                    Role::Helping => 0.6,
                    Role::Holding => 0.3,
                };
                let drive_share = match self.motion.drive {
                    Drive::Passive => 0.0,
                    Drive::Assisted => 0.5,
                    Drive::Isometric | Drive::Active | Drive::Resisted => 1.0,
                };
                let contraction: Vec<Contraction> = (0..samples.len())
                    .map(|i| if still { Contraction::Holding } else { self.contraction(muscle, samples, i) })
                    .collect();
                MuscleTrack {
                    muscle,
                    role,
                    effort: vec![role_share * drive_share; samples.len()],
                    contraction,
                }
            })
            .collect()
    }

    fn contraction(&self, muscle: handrail_anatomy::Muscle, samples: &[Sample], i: usize) -> Contraction {
        let (a, b) = (&samples[i.saturating_sub(1)], &samples[(i + 1).min(samples.len() - 1)]);
        let seconds = (b.time - a.time).max(1e-9);
        let mut speed = 0.0;
        for &(joint, motion) in muscle.actions() {
            if let Some(motion) = handrail_anatomy::clinical_motion(joint, motion) {
                speed += (motion.read(&b.pose, self.side) - motion.read(&a.pose, self.side)) / seconds;
            }
        }
        match speed {
            speed if speed > 2.0 => Contraction::Shortening,
            speed if speed < -2.0 => Contraction::Lengthening,
            _ => Contraction::Holding,
        }
    }
}

/// Joint of this side runs through more than this many degrees: it moves.
pub const MOVES_DEG: f64 = 1.5;

fn moves(samples: &[Sample], side: Side, joint: Joint) -> bool {
    let coords: Vec<Coord> = if joint.is_axial() {
        let first = if joint == Joint::Trunk { Coord::TRUNK_FLEXION } else { Coord::NECK_FLEXION };
        (first.0..first.0 + 3).map(Coord).collect()
    } else {
        Dof::ALL.iter().filter(|it| it.joint() == joint).map(|&it| Coord::of(side, it)).collect()
    };
    coords.iter().any(|&coord| {
        let (low, high) = samples.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| {
            (low.min(it.pose[coord]), high.max(it.pose[coord]))
        });
        (high - low).to_degrees() > MOVES_DEG
    })
}

/// The segments that have mass, with their ancestors: the digits have none.
pub(crate) fn mass_mask() -> u64 {
    let digits = [
        SegmentKind::Fingers,
        SegmentKind::Fingertips,
        SegmentKind::Thumb,
        SegmentKind::Forefoot,
        SegmentKind::GreatToe,
        SegmentKind::Toe2,
        SegmentKind::Toe3,
        SegmentKind::Toe4,
        SegmentKind::Toe5,
        SegmentKind::Tip2,
        SegmentKind::Tip3,
        SegmentKind::Tip4,
        SegmentKind::Tip5,
    ];
    let mut mask = ALL_SEGMENTS;
    for kind in digits {
        for side in Side::BOTH {
            mask &= !(1u64 << SegmentId::of(kind, side).index());
        }
    }
    mask
}

fn limb_word(limb: Limb) -> &'static str {
    match limb {
        Limb::Working => "working",
        Limb::Other => "other",
    }
}

/// Solves `a x = b` in place for a symmetric positive matrix given by its lower half.
#[expect(clippy::needless_range_loop, reason = "the textbook's indices read best")]
fn solve_cholesky(a: &mut [[f64; MAX_ROWS]; MAX_ROWS], b: &mut [f64; MAX_ROWS], m: usize) {
    for j in 0..m {
        for k in 0..j {
            let factor = a[j][k];
            for i in j..m {
                a[i][j] -= a[i][k] * factor;
            }
        }
        let pivot = libm::sqrt(a[j][j].max(1e-14));
        for row in a.iter_mut().take(m).skip(j) {
            row[j] /= pivot;
        }
    }
    for i in 0..m {
        for k in 0..i {
            b[i] -= a[i][k] * b[k];
        }
        b[i] /= a[i][i];
    }
    for i in (0..m).rev() {
        for k in i + 1..m {
            b[i] -= a[k][i] * b[k];
        }
        b[i] /= a[i][i];
    }
}

/// Places of the drawn things at a sample.
pub fn prop_places(motion: &Motion, body: &Body, kinematics: &Kinematics, side: Side) -> Vec<PropPlace> {
    motion
        .props
        .iter()
        .map(|prop| PropPlace {
            kind: prop.kind.clone(),
            at: prop.at.point.place(body, kinematics, prop.at.limb.side(side)),
            to: prop.to.as_ref().map(|it| it.point.place(body, kinematics, it.limb.side(side))),
        })
        .collect()
}
