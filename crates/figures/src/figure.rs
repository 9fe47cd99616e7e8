//! The human figure as hulls of balls in space: what is skin, cloth and hair, and how thick it is.
//!
//! Numbers are fractions of stature in segment frames (x forward, y up, z outward from the body's middle). They
//! follow the surfaces of [`handrail_anatomy::body::shape`], so a heel that rests on the floor is drawn on the
//! floor. Four balls at most make a part; a page's player draws the same parts.

use handrail_anatomy::body::shape;
use handrail_anatomy::{Body, Kinematics, SegmentId, Sex, Side, tree::SegmentKind as K};
use nalgebra::Vector3;

/// How finely hands and feet are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Detail {
    /// Five toes with nails and the line of the arch.
    pub toes: bool,
    /// Four fingers.
    pub fingers: bool,
}

/// What a part is, before side and accent give it a colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stuff {
    /// Skin.
    Skin,
    /// Skin of the foot.
    Foot,
    /// Skin of the hand.
    Hand,
    /// Toe nail.
    Nail,
    /// Skin that lies in shade (outer border of the foot seen from inside).
    Shade,
    /// Shirt.
    Shirt,
    /// Shirt over a shoulder blade.
    Blade,
    /// Shorts.
    Shorts,
    /// Hair.
    Hair,
    /// Thin dark line.
    Line,
    /// Boot, brace, sling.
    Worn,
    /// Their straps and hinges.
    Strap,
}

/// A ball in the world, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ball {
    /// Centre.
    pub at: Vector3<f64>,
    /// Radius.
    pub radius: f64,
}

/// The convex hull of one to four balls.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// Balls.
    pub balls: Vec<Ball>,
    /// What it is.
    pub stuff: Stuff,
    /// True for an eye, ear, nail or fold on the side turned from the viewer.
    pub hidden: bool,
}

/// A group of parts that share an outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sheet {
    /// Neck.
    Neck,
    /// Trunk of the shirt.
    Shirt,
    /// Shoulder blade under the shirt.
    Blade(Side),
    /// Shorts around the pelvis.
    Pelvis,
    /// Hair at the back of the head.
    Hair,
    /// Skull behind the face.
    Skull,
    /// Face and nose.
    Face,
    /// Eyes and mouth.
    Features,
    /// Ear.
    Ear(Side),
    /// Upper arm, skin.
    UpperArm(Side),
    /// Sleeve.
    Sleeve(Side),
    /// Forearm and palm.
    Forearm(Side),
    /// Fingers.
    Fingers(Side),
    /// Thumb.
    Thumb(Side),
    /// Fold between sleeve and chest.
    Fold(Side),
    /// Sling of the arm.
    Sling(Side),
    /// Thigh to foot.
    Leg(Side),
    /// Shorts leg.
    ShortsLeg(Side),
    /// Outer border of the foot.
    Border(Side),
    /// One toe, 0 is the great toe.
    Toe(Side, u8),
    /// The toe's nail.
    Nail(Side, u8),
    /// Arch line.
    ArchLine(Side),
    /// Brace or boot.
    Brace(Side),
    /// Its straps.
    Straps(Side),
}

/// Things worn on a limb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Worn {
    /// Walking boot.
    Boot(Side),
    /// Hinged knee brace.
    KneeBrace(Side),
    /// Sling; the arm's place comes from the pose.
    Sling(Side),
    /// Cuff weight at the ankle.
    AnkleCuff(Side),
    /// Elastic bandage or splint at the wrist.
    WristSplint(Side),
}

/// All parts of one pose by sheet, in the order in which they were laid.
pub type Parts = std::collections::BTreeMap<Sheet, Vec<Solid>>;

struct Builder<'a> {
    body: &'a Body,
    kinematics: &'a Kinematics,
    toward: Vector3<f64>,
    parts: Parts,
}

/// Builds the figure. `toward` (to the viewer) decides only whether eyes, ears and nails can be seen.
pub fn build(
    body: &Body,
    kinematics: &Kinematics,
    worn: &[Worn],
    detail: Detail,
    toward: Vector3<f64>,
) -> Parts {
    let mut b = Builder { body, kinematics, toward, parts: Parts::new() };
    b.trunk();
    b.head();
    for side in Side::BOTH {
        b.leg(side, detail.toes);
        b.arm(side, detail.fingers);
    }
    for item in worn {
        b.worn(*item);
    }
    b.parts
}

type Local = (K, [f64; 3], f64);

impl Builder<'_> {
    fn ball(&self, side: Side, (kind, [x, y, z], radius): Local) -> Ball {
        let h = self.body.stature();
        let local = Vector3::new(x, y, z * side.outward()) * h;
        Ball { at: self.kinematics.point(SegmentId::of(kind, side), &local), radius: radius * h }
    }

    fn part(&mut self, sheet: Sheet, stuff: Stuff, side: Side, balls: &[Local]) {
        debug_assert!((1..=4).contains(&balls.len()));
        let balls = balls.iter().map(|&b| self.ball(side, b)).collect();
        self.parts.entry(sheet).or_default().push(Solid { balls, stuff, hidden: false });
    }

    /// A part that shows only while a segment's direction points to the viewer.
    fn facing(
        &mut self,
        sheet: Sheet,
        stuff: Stuff,
        side: Side,
        (kind, [x, y, z], least): Local,
        balls: &[Local],
    ) {
        let normal = self.kinematics.rotation[SegmentId::of(kind, side).index()]
            * Vector3::new(x, y, z * side.outward()).normalize();
        let hidden = normal.dot(&self.toward) < least;
        self.part(sheet, stuff, side, balls);
        self.hide_last(sheet, hidden);
    }

    fn hide_last(&mut self, sheet: Sheet, hidden: bool) {
        if let Some(solid) = self.parts.get_mut(&sheet).and_then(|solids| solids.last_mut()) {
            solid.hidden = hidden;
        }
    }

    fn trunk(&mut self) {
        let right = Side::Right;
        self.part(
            Sheet::Neck,
            Stuff::Skin,
            right,
            &[
                (K::Thorax, [-0.010, 0.118, 0.0], 0.036),
                (K::Thorax, [-0.006, 0.152, 0.0], 0.0295),
                (K::Head, [-0.008, 0.050, 0.0], 0.0285),
            ],
        );
        // Waist, ribs and breast: two balls on each side, as deep as the trunk is.
        self.part(
            Sheet::Shirt,
            Stuff::Shirt,
            right,
            &[
                (K::Pelvis, [-0.006, 0.048, -0.029], 0.0490),
                (K::Pelvis, [-0.006, 0.048, 0.029], 0.0490),
                (K::Thorax, [0.000, 0.015, -0.034], 0.0525),
                (K::Thorax, [0.000, 0.015, 0.034], 0.0525),
            ],
        );
        self.part(
            Sheet::Shirt,
            Stuff::Shirt,
            right,
            &[
                (K::Thorax, [0.000, 0.015, -0.034], 0.0525),
                (K::Thorax, [0.000, 0.015, 0.034], 0.0525),
                (K::Thorax, [0.002, 0.078, -0.044], 0.0560),
                (K::Thorax, [0.002, 0.078, 0.044], 0.0560),
            ],
        );
        let joint = self.body.joint_offset(SegmentId::of(K::UpperArm, right)) / self.body.stature();
        for side in Side::BOTH {
            let shoulder = (K::Girdle, [joint.x, joint.y - 0.003, joint.z - 0.002], 0.0285);
            self.part(
                Sheet::Shirt,
                Stuff::Shirt,
                side,
                &[
                    (K::Thorax, [-0.006, 0.111, 0.0], 0.036),
                    (K::Thorax, [0.002, 0.078, 0.044], 0.0560),
                    shoulder,
                ],
            );
            // Slope from neck to shoulder.
            self.part(
                Sheet::Shirt,
                Stuff::Shirt,
                side,
                &[
                    (K::Thorax, [-0.010, 0.1390, 0.022], 0.0200),
                    (K::Girdle, [joint.x, joint.y + 0.002, joint.z - 0.016], 0.0265),
                    (K::Thorax, [-0.006, 0.110, 0.030], 0.0400),
                ],
            );
        }
        for side in Side::BOTH {
            // Inner border, tip and outer corner of the blade; its place on the back follows the girdle.
            self.facing(
                Sheet::Blade(side),
                Stuff::Blade,
                side,
                (K::Girdle, [-1.0, 0.0, 0.25], 0.3),
                &[
                    (K::Girdle, [-0.070, -0.014, 0.024], 0.008),
                    (K::Girdle, [-0.070, -0.078, 0.036], 0.008),
                    (K::Girdle, [-0.062, -0.014, 0.064], 0.009),
                ],
            );
        }
        // Small balls before and behind give the waistband square corners.
        for x in [-0.036, 0.028] {
            self.part(
                Sheet::Pelvis,
                Stuff::Shorts,
                right,
                &[
                    (K::Pelvis, [x, 0.054, -0.055], 0.0190),
                    (K::Pelvis, [x, 0.054, 0.055], 0.0190),
                    (K::Pelvis, [-0.003, 0.004, -0.040], 0.0550),
                    (K::Pelvis, [-0.003, 0.004, 0.040], 0.0550),
                ],
            );
        }
        self.part(
            Sheet::Pelvis,
            Stuff::Shorts,
            right,
            &[(K::Pelvis, [-0.003, 0.000, -0.040], 0.0555), (K::Pelvis, [-0.003, 0.000, 0.040], 0.0555)],
        );
        let band = [[-0.036, -0.055], [-0.036, 0.055], [0.028, -0.055], [0.028, 0.055]];
        self.part(
            Sheet::Pelvis,
            Stuff::Shorts,
            right,
            &band.map(|[x, z]| (K::Pelvis, [x, 0.054, z], 0.0190)),
        );
    }

    fn head(&mut self) {
        let side = Side::Right;
        let female = self.body.person.sex == Sex::Female;
        let nape = if female { [-0.034, 0.074, 0.0] } else { [-0.036, 0.086, 0.0] };
        self.part(
            Sheet::Hair,
            Stuff::Hair,
            side,
            &[
                (K::Head, [-0.013, 0.110, 0.0], 0.0475),
                (K::Head, [0.014, 0.121, 0.0], 0.0375),
                (K::Head, nape, 0.023),
            ],
        );
        if female {
            self.part(
                Sheet::Hair,
                Stuff::Hair,
                side,
                &[(K::Head, [-0.058, 0.100, 0.0], 0.0185), (K::Head, [-0.064, 0.090, 0.0], 0.017)],
            );
        }
        self.part(
            Sheet::Skull,
            Stuff::Skin,
            side,
            &[(K::Head, [-0.008, 0.098, 0.0], 0.042), (K::Head, [-0.006, 0.062, 0.0], 0.030)],
        );
        self.part(
            Sheet::Face,
            Stuff::Skin,
            side,
            &[
                (K::Head, [0.0200, 0.090, 0.0], 0.0380),
                (K::Head, [0.022, 0.054, 0.0150], 0.0215),
                (K::Head, [0.022, 0.054, -0.0150], 0.0215),
                (K::Head, [0.0375, 0.0345, 0.0], 0.0165),
            ],
        );
        self.part(
            Sheet::Face,
            Stuff::Skin,
            side,
            &[
                (K::Head, [0.053, 0.088, 0.0], 0.0042),
                (K::Head, [0.0655, 0.0655, 0.0], 0.0052),
                (K::Head, [0.054, 0.0605, 0.0], 0.0045),
            ],
        );
        for ear in Side::BOTH {
            self.facing(
                Sheet::Ear(ear),
                Stuff::Skin,
                ear,
                (K::Head, [0.05, 0.0, 1.0], 0.30),
                &[(K::Head, [-0.008, 0.0845, 0.0405], 0.0082), (K::Head, [-0.0055, 0.0735, 0.0395], 0.0058)],
            );
            self.facing(
                Sheet::Features,
                Stuff::Line,
                ear,
                (K::Head, [1.0, 0.0, 0.55], 0.30),
                &[(K::Head, [0.053, 0.0805, 0.0160], 0.0034)],
            );
            // Brow.
            self.facing(
                Sheet::Features,
                Stuff::Line,
                ear,
                (K::Head, [1.0, 0.0, 0.55], 0.30),
                &[(K::Head, [0.053, 0.0940, 0.0105], 0.0011), (K::Head, [0.050, 0.0935, 0.0215], 0.0011)],
            );
        }
        self.facing(
            Sheet::Features,
            Stuff::Line,
            side,
            (K::Head, [1.0, 0.0, 0.0], 0.10),
            &[
                (K::Head, [0.0525, 0.0455, -0.009], 0.0015),
                (K::Head, [0.0545, 0.0440, 0.000], 0.0015),
                (K::Head, [0.0525, 0.0455, 0.009], 0.0015),
            ],
        );
        self.facing(
            Sheet::Features,
            Stuff::Line,
            side,
            (K::Head, [1.0, 0.0, 0.0], 0.62),
            &[(K::Head, [0.064, 0.0600, -0.0045], 0.0012), (K::Head, [0.064, 0.0600, 0.0045], 0.0012)],
        );
    }

    fn leg(&mut self, side: Side, toes: bool) {
        let p = self.body.proportions;
        let (thigh, shank) = (p.thigh, p.shank);
        let leg = Sheet::Leg(side);
        self.part(
            leg,
            Stuff::Skin,
            side,
            &[
                (K::Thigh, [0.001, -thigh * 0.42, 0.001], 0.0445),
                (K::Thigh, [0.002, -thigh * 0.72, 0.0], 0.0385),
                (K::Thigh, [0.002, -thigh * 0.98, 0.0], 0.0305),
            ],
        );
        // The knee cap keeps the bent knee from looking like a hinge.
        self.part(
            leg,
            Stuff::Skin,
            side,
            &[
                (K::Thigh, [0.004, -thigh * 0.93, 0.0], 0.030),
                (K::Shank, [0.003, -shank * 0.02, 0.0], 0.0295),
                (K::Shank, [0.001, -shank * 0.12, 0.0], 0.0285),
            ],
        );
        self.part(
            leg,
            Stuff::Skin,
            side,
            &[
                (K::Shank, [0.000, -shank * 0.08, 0.0], 0.0290),
                (K::Shank, [-0.006, -shank * 0.29, 0.001], 0.0325),
                (K::Shank, [-0.003, -shank * 0.60, 0.0], 0.0245),
            ],
        );
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Shank, [-0.003, -shank * 0.58, 0.0], 0.0248),
                (K::Shank, [-0.0150, -shank * 0.93, 0.0], 0.0105),
                (K::Shank, [0.0020, -shank * 0.90, 0.0], 0.0160),
                (K::Shank, [0.0000, -shank, 0.0], 0.0175),
            ],
        );
        self.part(
            Sheet::ShortsLeg(side),
            Stuff::Shorts,
            side,
            &[
                (K::Thigh, [-0.002, -0.002, -0.001], 0.0540),
                (K::Thigh, [0.000, -thigh * 0.30, 0.001], 0.0500),
                (K::Thigh, [0.001, -thigh * 0.56, 0.002], 0.0475),
            ],
        );
        self.foot(side, toes);
    }

    fn foot(&mut self, side: Side, toes: bool) {
        let p = self.body.proportions;
        let (leg, k) = (Sheet::Leg(side), p.foot / 0.152);
        let sole = p.ankle_height;
        let heel = p.foot * shape::HEEL_SHARE;
        let fore_x = p.foot * 0.165;
        let fore_y = p.ankle_height * 0.48;
        let ball_x = p.foot * (shape::BALL_SHARE - shape::HEEL_SHARE) - fore_x;
        // Heel: a low ball at the back and the tendon above it.
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Hindfoot, [-heel + 0.0175, -sole + 0.0175, 0.0], 0.0175),
                (K::Hindfoot, [-heel + 0.030, -sole + 0.0170, 0.0], 0.0170),
                (K::Shank, [-0.0150, -p.shank * 0.96, 0.0], 0.0105),
                (K::Hindfoot, [-0.002, -0.002, 0.0], 0.0180),
            ],
        );
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Hindfoot, [-heel + 0.034, -sole + 0.0180, 0.0], 0.0180),
                (K::Hindfoot, [0.000, 0.000, 0.0], 0.0185),
                (K::Forefoot, [0.002, 0.0010, -0.004], 0.0155),
            ],
        );
        // Ankle bones.
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Shank, [0.002, -p.shank + 0.002, -0.0085], 0.0105),
                (K::Shank, [-0.003, -p.shank - 0.002, 0.0090], 0.0105),
            ],
        );
        // Instep down to the inner and the outer ball.
        let inner = (K::Forefoot, [ball_x - 0.002, -fore_y + 0.0115, -0.0145 * k], 0.0115);
        let outer = (K::Forefoot, [ball_x - p.foot * 0.09, -fore_y + 0.0092, 0.0165 * k], 0.0092);
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Hindfoot, [0.002, -0.003, 0.0], 0.0180),
                (K::Forefoot, [0.006, -0.0015, -0.006], 0.0150),
                inner,
            ],
        );
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Forefoot, [0.002, -0.0020, 0.001], 0.0150),
                inner,
                outer,
                (K::Forefoot, [ball_x + 0.001, -fore_y + 0.0110, 0.0], 0.0105),
            ],
        );
        // The outer border bears on the floor; seen from inside it lies in the shade of the arch.
        let border = if toes { Sheet::Border(side) } else { leg };
        let stuff = if toes { Stuff::Shade } else { Stuff::Foot };
        self.part(
            border,
            stuff,
            side,
            &[
                (K::Hindfoot, [-heel + 0.040, -sole + 0.0150, 0.004], 0.0145),
                (K::Hindfoot, [0.012, -sole + 0.0130, 0.0135 * k], 0.0105),
                outer,
            ],
        );
        if toes {
            self.toes(side);
            self.arch_line(side);
            self.ankle_bones(side);
        } else {
            self.toe_box(side);
        }
    }

    /// Toes at small scale: the great toe and a wedge for the others.
    fn toe_box(&mut self, side: Side) {
        let p = self.body.proportions;
        let h = self.body.stature();
        let great = self.body.toe_length(K::GreatToe) / h;
        let leg = Sheet::Leg(side);
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::GreatToe, [-0.006, -0.0005, 0.0], 0.0098),
                (K::GreatToe, [great - 0.002, -0.0005, 0.001], 0.0074),
            ],
        );
        let outer = (K::Forefoot, [p.foot * 0.225, -p.ankle_height * 0.48 + 0.0092, 0.0165], 0.0090);
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                (K::Toe2, [-0.008, 0.000, 0.0], 0.0090),
                (K::Tip2, [self.body.toe_length(K::Toe2) / h * 0.44, -0.001, 0.0], 0.0062),
                (K::Tip4, [self.body.toe_length(K::Toe4) / h * 0.40, -0.001, 0.0], 0.0062),
                outer,
            ],
        );
        self.part(
            leg,
            Stuff::Foot,
            side,
            &[
                outer,
                (K::Tip4, [0.004, -0.001, 0.0], 0.0062),
                (K::Tip5, [self.body.toe_length(K::Toe5) / h * 0.36, -0.001, 0.0], 0.0060),
            ],
        );
    }

    fn toes(&mut self, side: Side) {
        let h = self.body.stature();
        let great = self.body.toe_length(K::GreatToe) / h;
        let share = |toe, part: f64| self.body.toe_length(toe) / h * part;
        // The toes are free from about a third of their first bone on: up to there they belong to the foot.
        let webs: [[Local; 3]; 2] = [
            [
                (K::GreatToe, [-0.002, -0.0005, 0.0], 0.0095),
                (K::GreatToe, [great * 0.20, -0.0003, 0.0], 0.0078),
                (K::Toe2, [share(K::Toe2, 0.16), 0.0, 0.0], 0.0056),
            ],
            [
                (K::Toe2, [share(K::Toe2, 0.16), 0.0, 0.0], 0.0056),
                (K::Toe3, [share(K::Toe3, 0.18), 0.0, 0.0], 0.0054),
                (K::Toe5, [share(K::Toe5, 0.18), 0.0, 0.0], 0.0052),
            ],
        ];
        for web in &webs {
            self.part(Sheet::Leg(side), Stuff::Foot, side, web);
        }
        let toe = Sheet::Toe(side, 0);
        self.part(
            toe,
            Stuff::Foot,
            side,
            &[
                (K::GreatToe, [great * 0.24, -0.0003, 0.0], 0.0076),
                (K::GreatToe, [great * 0.42, 0.0000, 0.0], 0.0070),
                (K::GreatToe, [great * 0.62, 0.0000, 0.0005], 0.0074),
            ],
        );
        self.part(
            toe,
            Stuff::Foot,
            side,
            &[
                (K::GreatToe, [great * 0.50, 0.0000, 0.0], 0.0071),
                (K::GreatToe, [great * 0.68, -0.0004, 0.0010], 0.0080),
                (K::GreatToe, [great - 0.0005, -0.0010, 0.0012], 0.0070),
            ],
        );
        self.facing(
            Sheet::Nail(side, 0),
            Stuff::Nail,
            side,
            (K::GreatToe, [0.35, 1.0, 0.0], 0.25),
            &[
                (K::GreatToe, [great * 0.72, 0.0062, -0.0012], 0.0021),
                (K::GreatToe, [great * 0.72, 0.0062, 0.0032], 0.0021),
                (K::GreatToe, [great * 0.98, 0.0046, -0.0010], 0.0024),
                (K::GreatToe, [great * 0.98, 0.0046, 0.0030], 0.0024),
            ],
        );
        let lesser = [
            (1, K::Toe2, K::Tip2, 0.0052),
            (2, K::Toe3, K::Tip3, 0.0049),
            (3, K::Toe4, K::Tip4, 0.0047),
            (4, K::Toe5, K::Tip5, 0.0046),
        ];
        for (number, base, tip, r) in lesser {
            let length = self.body.toe_length(base) / h;
            let toe = Sheet::Toe(side, number);
            self.part(
                toe,
                Stuff::Foot,
                side,
                &[
                    (base, [length * 0.24, 0.0004, 0.0], r),
                    (base, [length * 0.36, 0.0006, 0.0], r * 0.93),
                    (tip, [0.0, 0.0008, 0.0], r),
                ],
            );
            self.part(
                toe,
                Stuff::Foot,
                side,
                &[
                    (tip, [0.0, 0.0008, 0.0], r),
                    (tip, [length * 0.36, -0.0006, 0.0], r * 1.06),
                    (tip, [length * 0.48, -0.0008, 0.0], r * 0.98),
                ],
            );
            self.facing(
                Sheet::Nail(side, number),
                Stuff::Nail,
                side,
                (tip, [0.35, 1.0, 0.0], 0.25),
                &[
                    (tip, [length * 0.36, r * 0.82, -0.0011], 0.0016),
                    (tip, [length * 0.36, r * 0.82, 0.0011], 0.0016),
                    (tip, [length * 0.50, r * 0.58, 0.0], 0.0020),
                ],
            );
        }
    }

    /// The inner edge of the sole from heel to ball, as the eye draws it.
    fn arch_line(&mut self, side: Side) {
        let p = self.body.proportions;
        let heel = p.foot * shape::HEEL_SHARE;
        let sole = p.ankle_height;
        let fore_y = sole * 0.48;
        let ball_x = p.foot * (shape::BALL_SHARE - shape::HEEL_SHARE) - p.foot * 0.165;
        let start = self.ball(side, (K::Hindfoot, [-heel + 0.036, -sole + 0.0035, -0.0135], 0.0009));
        let low = self.ball(side, (K::Hindfoot, [0.010, -sole + 0.0155, -0.0165], 0.0011));
        let high = self.ball(side, (K::Forefoot, [0.006, -fore_y + 0.0150, -0.0175], 0.0011));
        let end = self.ball(side, (K::Forefoot, [ball_x - 0.004, -fore_y + 0.0050, -0.0215], 0.0011));
        const STEPS: usize = 5;
        let curve: Vec<Ball> = (0..=STEPS)
            .map(|i| {
                let t = i as f64 / STEPS as f64;
                let u = 1.0 - t;
                let at = start.at * (u * u * u)
                    + low.at * (3.0 * u * u * t)
                    + high.at * (3.0 * u * t * t)
                    + end.at * (t * t * t);
                Ball { at, radius: start.radius }
            })
            .collect();
        let inner = self.kinematics.rotation[SegmentId::of(K::Hindfoot, side).index()]
            * Vector3::new(0.0, 0.0, -side.outward());
        let hidden = inner.dot(&self.toward) < 0.42;
        let sheet = self.parts.entry(Sheet::ArchLine(side)).or_default();
        for pair in curve.windows(2) {
            sheet.push(Solid { balls: pair.to_vec(), stuff: Stuff::Line, hidden });
        }
    }

    /// Lower edge of the ankle bones.
    fn ankle_bones(&mut self, side: Side) {
        let shank = self.body.proportions.shank;
        for (out, x, y) in [(0.0190, -0.003, -0.001), (-0.0185, 0.002, 0.003)] {
            const STEPS: i32 = 4;
            let at = |step: i32| {
                let angle = (205.0 + 130.0 * f64::from(step) / f64::from(STEPS)).to_radians();
                let (sin, cos) = libm::sincos(angle);
                (K::Shank, [x + 0.0085 * cos, -shank + y + 0.0095 * sin, out], 0.0006)
            };
            for step in 0..STEPS {
                let balls = [at(step), at(step + 1)];
                self.facing(
                    Sheet::ArchLine(side),
                    Stuff::Line,
                    side,
                    (K::Shank, [0.0, 0.0, out], 0.6),
                    &balls,
                );
            }
        }
    }

    fn arm(&mut self, side: Side, fingers: bool) {
        let p = self.body.proportions;
        let (upper, fore) = (p.upper_arm, p.forearm);
        self.part(
            Sheet::UpperArm(side),
            Stuff::Skin,
            side,
            &[
                (K::UpperArm, [0.000, -upper * 0.30, 0.0], 0.0275),
                (K::UpperArm, [0.002, -upper * 0.55, 0.0], 0.0265),
                (K::UpperArm, [0.000, -upper * 0.97, 0.0], 0.0205),
            ],
        );
        self.part(
            Sheet::Sleeve(side),
            Stuff::Shirt,
            side,
            &[
                (K::UpperArm, [0.000, -0.004, 0.0], 0.0285),
                (K::UpperArm, [0.001, -upper * 0.26, 0.0], 0.0310),
                (K::UpperArm, [0.001, -upper * 0.50, 0.0], 0.0305),
            ],
        );
        let chest = self.kinematics.rotation[SegmentId::axial(K::Thorax).index()].column(0).dot(&self.toward);
        let down = |kind| self.kinematics.rotation[SegmentId::of(kind, side).index()].column(1).into_owned();
        let hangs = down(K::UpperArm).dot(&down(K::Thorax)) > 0.75;
        self.part(
            Sheet::Fold(side),
            Stuff::Line,
            side,
            &[
                (K::UpperArm, [0.000, -upper * 0.22, -0.0300], 0.0020),
                (K::UpperArm, [0.000, -upper * 0.50, -0.0303], 0.0026),
            ],
        );
        self.hide_last(Sheet::Fold(side), chest.abs() < 0.5 || !hangs);
        let forearm = Sheet::Forearm(side);
        self.part(
            forearm,
            Stuff::Skin,
            side,
            &[
                (K::UpperArm, [0.000, -upper * 0.95, 0.0], 0.0205),
                (K::Forearm, [0.000, 0.000, 0.0], 0.0205),
                (K::Forearm, [0.001, -fore * 0.25, 0.0], 0.0225),
                (K::Forearm, [0.000, -fore * 0.60, 0.0], 0.0185),
            ],
        );
        self.part(
            forearm,
            Stuff::Skin,
            side,
            &[
                (K::Forearm, [0.000, -fore * 0.55, 0.0], 0.0190),
                (K::Forearm, [0.000, -fore * 0.94, 0.0], 0.0138),
                (K::Hand, [0.000, -0.004, 0.0], 0.0128),
            ],
        );
        self.hand(side, fingers);
    }

    fn hand(&mut self, side: Side, fine: bool) {
        let p = self.body.proportions;
        let palm = p.hand * shape::PALM_SHARE;
        let rest = p.hand - palm;
        let k = p.hand / 0.108;
        // In the hand's frame the palm faces forward (x) and the thumb outward (z).
        self.part(
            Sheet::Forearm(side),
            Stuff::Hand,
            side,
            &[
                (K::Hand, [0.000, -0.006, -0.003], 0.0115),
                (K::Hand, [0.000, -0.006, 0.004], 0.0115),
                (K::Hand, [0.001, -palm * 0.92, -0.0150 * k], 0.0085),
                (K::Hand, [0.001, -palm * 0.94, 0.0145 * k], 0.0085),
            ],
        );
        // Ball of the thumb.
        self.part(
            Sheet::Forearm(side),
            Stuff::Hand,
            side,
            &[(K::Hand, [0.002, -0.010, 0.007], 0.0105), (K::Thumb, [0.002, 0.000, 0.000], 0.0100)],
        );
        let fingers = Sheet::Fingers(side);
        let thumb = [
            (K::Thumb, [0.002, 0.002, 0.001], 0.0088),
            (K::Thumb, [0.002, -0.017 * k, 0.007], 0.0072),
            (K::Thumb, [0.002, -0.033 * k, 0.011], 0.0062),
        ];
        self.part(Sheet::Thumb(side), Stuff::Hand, side, &thumb);
        if !fine {
            self.part(
                fingers,
                Stuff::Hand,
                side,
                &[
                    (K::Fingers, [0.000, 0.004, -0.0150 * k], 0.0080),
                    (K::Fingers, [0.000, 0.004, 0.0145 * k], 0.0080),
                    (K::Fingertips, [0.000, 0.000, -0.0120 * k], 0.0072),
                    (K::Fingertips, [0.000, 0.000, 0.0130 * k], 0.0072),
                ],
            );
            self.part(
                fingers,
                Stuff::Hand,
                side,
                &[
                    (K::Fingertips, [0.000, 0.000, -0.0120 * k], 0.0072),
                    (K::Fingertips, [0.000, 0.000, 0.0130 * k], 0.0072),
                    (K::Fingertips, [0.000, -rest * 0.36, -0.0070 * k], 0.0062),
                    (K::Fingertips, [0.000, -rest * 0.42, 0.0060 * k], 0.0064),
                ],
            );
            return;
        }
        // Index, middle, ring and little finger: place across, length share, radius.
        for (across, length, r) in
            [(0.0165, 0.93, 0.0049), (0.0058, 1.0, 0.0050), (-0.0050, 0.95, 0.0048), (-0.0150, 0.76, 0.0044)]
        {
            let z = across * k;
            let short = rest * (1.0 - length);
            self.part(
                fingers,
                Stuff::Hand,
                side,
                &[
                    (K::Fingers, [0.000, 0.004, z], r + 0.0002),
                    (K::Fingers, [0.000, -rest * 0.55 + short * 0.55, z * 0.98], r),
                ],
            );
            self.part(
                fingers,
                Stuff::Hand,
                side,
                &[
                    (K::Fingers, [0.000, -rest * 0.55 + short * 0.55, z * 0.98], r),
                    (K::Fingertips, [0.000, short * 0.5 - rest * 0.16, z * 0.95], r * 0.95),
                    (K::Fingertips, [0.000, short - rest * 0.42, z * 0.92], r * 0.86),
                ],
            );
        }
    }

    fn worn(&mut self, item: Worn) {
        let p = self.body.proportions;
        match item {
            Worn::Boot(side) => {
                let sole = p.ankle_height;
                let heel = p.foot * shape::HEEL_SHARE;
                let toe = p.foot * (1.0 - shape::HEEL_SHARE) + 0.004;
                let (boot, straps) = (Sheet::Brace(side), Sheet::Straps(side));
                self.part(
                    boot,
                    Stuff::Worn,
                    side,
                    &[
                        (K::Shank, [-0.004, -p.shank * 0.42, 0.0], 0.036),
                        (K::Hindfoot, [-0.002, 0.010, 0.0], 0.028),
                        (K::Hindfoot, [-heel + 0.020, -sole + 0.024, 0.0], 0.027),
                    ],
                );
                self.part(
                    boot,
                    Stuff::Worn,
                    side,
                    &[
                        (K::Hindfoot, [-heel + 0.020, -sole + 0.020, 0.0], 0.026),
                        (K::Hindfoot, [0.004, 0.002, 0.0], 0.029),
                        (K::Hindfoot, [toe - 0.030, -sole + 0.020, 0.0], 0.024),
                    ],
                );
                self.part(
                    straps,
                    Stuff::Strap,
                    side,
                    &[
                        (K::Hindfoot, [-heel + 0.002, -sole - 0.001, 0.0], 0.0075),
                        (K::Hindfoot, [toe - 0.026, -sole - 0.001, 0.0], 0.0075),
                        (K::Hindfoot, [toe - 0.006, -sole + 0.006, 0.0], 0.004),
                    ],
                );
                for at in [0.50, 0.72] {
                    self.part(
                        straps,
                        Stuff::Strap,
                        side,
                        &[
                            (K::Shank, [0.026, -p.shank * at, 0.016], 0.0055),
                            (K::Shank, [-0.026, -p.shank * (at - 0.01), 0.016], 0.0055),
                            (K::Shank, [0.026, -p.shank * at, -0.016], 0.0055),
                            (K::Shank, [-0.026, -p.shank * (at - 0.01), -0.016], 0.0055),
                        ],
                    );
                }
                self.part(
                    straps,
                    Stuff::Strap,
                    side,
                    &[
                        (K::Hindfoot, [0.034, -0.004, 0.016], 0.0055),
                        (K::Hindfoot, [0.026, -0.026, 0.024], 0.0055),
                        (K::Hindfoot, [0.034, -0.004, -0.016], 0.0055),
                        (K::Hindfoot, [0.026, -0.026, -0.024], 0.0055),
                    ],
                );
            }
            Worn::KneeBrace(side) => {
                let (brace, straps) = (Sheet::Brace(side), Sheet::Straps(side));
                self.part(
                    brace,
                    Stuff::Worn,
                    side,
                    &[
                        (K::Thigh, [0.001, -p.thigh * 0.62, 0.0], 0.0445),
                        (K::Thigh, [0.001, -p.thigh * 0.74, 0.0], 0.0410),
                    ],
                );
                self.part(
                    brace,
                    Stuff::Worn,
                    side,
                    &[
                        (K::Shank, [-0.005, -p.shank * 0.28, 0.0], 0.0355),
                        (K::Shank, [-0.004, -p.shank * 0.42, 0.0], 0.0330),
                    ],
                );
                for z in [0.036, -0.036] {
                    self.part(
                        straps,
                        Stuff::Strap,
                        side,
                        &[(K::Thigh, [0.001, -p.thigh * 0.58, z], 0.0055), (K::Shank, [0.0, 0.0, z], 0.0075)],
                    );
                    self.part(
                        straps,
                        Stuff::Strap,
                        side,
                        &[(K::Shank, [0.0, 0.0, z], 0.0095), (K::Shank, [0.0, -0.001, z], 0.0095)],
                    );
                    self.part(
                        straps,
                        Stuff::Strap,
                        side,
                        &[
                            (K::Shank, [0.0, 0.0, z], 0.0075),
                            (K::Shank, [-0.003, -p.shank * 0.44, z * 0.9], 0.0055),
                        ],
                    );
                }
            }
            Worn::Sling(side) => {
                let sling = Sheet::Sling(side);
                self.part(
                    sling,
                    Stuff::Worn,
                    side,
                    &[
                        (K::UpperArm, [-0.004, -p.upper_arm * 0.93, 0.0], 0.0265),
                        (K::Forearm, [0.0, 0.0, 0.0], 0.0265),
                        (K::Forearm, [0.0, -p.forearm * 0.5, 0.0], 0.0260),
                        (K::Hand, [0.0, -0.010, 0.0], 0.0200),
                    ],
                );
                // Strap from the wrist over the other shoulder.
                let wrist = self.ball(side, (K::Forearm, [0.0, -p.forearm * 0.85, 0.0], 0.006));
                let other = self.ball(side.other(), (K::Thorax, [0.012, 0.158, 0.040], 0.006));
                let chest = self.ball(side, (K::Thorax, [0.058, 0.085, 0.0], 0.006));
                let straps = self.parts.entry(Sheet::Sling(side)).or_default();
                straps.insert(0, Solid { balls: vec![wrist, chest], stuff: Stuff::Strap, hidden: false });
                straps.insert(0, Solid { balls: vec![chest, other], stuff: Stuff::Strap, hidden: false });
            }
            Worn::AnkleCuff(side) => self.part(
                Sheet::Brace(side),
                Stuff::Strap,
                side,
                &[
                    (K::Shank, [-0.001, -p.shank * 0.78, 0.0], 0.0275),
                    (K::Shank, [0.000, -p.shank * 0.88, 0.0], 0.0250),
                ],
            ),
            Worn::WristSplint(side) => self.part(
                Sheet::Brace(side),
                Stuff::Worn,
                side,
                &[
                    (K::Forearm, [0.0, -p.forearm * 0.62, 0.0], 0.0215),
                    (K::Forearm, [0.0, -p.forearm * 0.98, 0.0], 0.0170),
                ],
            ),
        }
    }
}
