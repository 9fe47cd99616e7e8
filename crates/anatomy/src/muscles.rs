//! Muscles and muscle groups as far as exercises train them and surgeons forbid them.

use serde::{Deserialize, Serialize};

use crate::joints::Joint;

macro_rules! muscles {
    ($($name:ident $id:literal [$($joint:ident $motion:literal),*];)*) => {
        /// A muscle or a group that is trained or protected as one.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema)]
        #[serde(rename_all = "snake_case")]
        #[allow(missing_docs)]
        pub enum Muscle { $($name),* }

        impl Muscle {
            /// All muscles.
            pub const ALL: &'static [Muscle] = &[$(Muscle::$name),*];
            /// Name used in files and JSON.
            pub fn id(self) -> &'static str { match self { $(Muscle::$name => $id),* } }
            /// Joint motions it makes when it shortens (textbook anatomy; main actions only).
            pub fn actions(self) -> &'static [(Joint, &'static str)] {
                match self { $(Muscle::$name => &[$((Joint::$joint, $motion)),*]),* }
            }
        }
    };
}

muscles! {
    Quadriceps "quadriceps" [Knee "extension"];
    RectusFemoris "rectus_femoris" [Knee "extension", Hip "flexion"];
    Hamstrings "hamstrings" [Knee "flexion", Hip "extension"];
    Iliopsoas "iliopsoas" [Hip "flexion"];
    GluteusMaximus "gluteus_maximus" [Hip "extension", Hip "external_rotation"];
    GluteusMedius "gluteus_medius" [Hip "abduction"];
    HipAdductors "hip_adductors" [Hip "adduction"];
    HipExternalRotators "hip_external_rotators" [Hip "external_rotation"];
    HipInternalRotators "hip_internal_rotators" [Hip "internal_rotation"];
    Gastrocnemius "gastrocnemius" [Ankle "plantarflexion", Knee "flexion"];
    Soleus "soleus" [Ankle "plantarflexion"];
    TibialisAnterior "tibialis_anterior" [Ankle "dorsiflexion", Ankle "inversion"];
    TibialisPosterior "tibialis_posterior" [Ankle "inversion", Ankle "plantarflexion"];
    Peroneals "peroneals" [Ankle "eversion", Ankle "plantarflexion"];
    LongToeExtensors "long_toe_extensors" [LesserToes "extension", GreatToe "extension", Ankle "dorsiflexion"];
    LongToeFlexors "long_toe_flexors" [LesserToes "curl", GreatToe "flexion", Ankle "plantarflexion"];
    FootIntrinsics "foot_intrinsics" [Arch "lift", GreatToe "abduction", LesserToes "spread"];
    Abdominals "abdominals" [Trunk "flexion"];
    BackExtensors "back_extensors" [Trunk "extension"];
    Trapezius "trapezius" [ShoulderGirdle "elevation", ShoulderGirdle "retraction"];
    Rhomboids "rhomboids" [ShoulderGirdle "retraction"];
    SerratusAnterior "serratus_anterior" [ShoulderGirdle "protraction"];
    Deltoid "deltoid" [Shoulder "abduction", Shoulder "flexion"];
    Supraspinatus "supraspinatus" [Shoulder "abduction"];
    Infraspinatus "infraspinatus" [Shoulder "external_rotation"];
    Subscapularis "subscapularis" [Shoulder "internal_rotation"];
    PectoralisMajor "pectoralis_major" [Shoulder "adduction", Shoulder "internal_rotation"];
    LatissimusDorsi "latissimus_dorsi" [Shoulder "extension", Shoulder "internal_rotation"];
    Biceps "biceps" [Elbow "flexion", Forearm "supination"];
    Triceps "triceps" [Elbow "extension"];
    ForearmRotators "forearm_rotators" [Forearm "supination", Forearm "pronation"];
    WristFlexors "wrist_flexors" [Wrist "flexion"];
    WristExtensors "wrist_extensors" [Wrist "extension"];
    Grip "grip" [Fingers "flexion", Thumb "flexion"];
}

/// Members of a group name that restrictions may use; a single muscle's own name is a group of one.
pub fn muscle_group(name: &str) -> Option<Vec<Muscle>> {
    use Muscle::*;
    let group: &[Muscle] = match name {
        "calf" => &[Gastrocnemius, Soleus],
        "rotator_cuff" => &[Supraspinatus, Infraspinatus, Subscapularis],
        "quadriceps_group" => &[Quadriceps, RectusFemoris],
        "shoulder_muscles" => {
            &[Deltoid, Supraspinatus, Infraspinatus, Subscapularis, PectoralisMajor, LatissimusDorsi]
        }
        other => {
            return Muscle::ALL.iter().find(|it| it.id() == other).map(|&it| vec![it]);
        }
    };
    Some(group.to_vec())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joints::clinical_motion;

    #[test]
    fn every_action_is_a_motion_of_that_joint() {
        for muscle in Muscle::ALL {
            for &(joint, motion) in muscle.actions() {
                assert!(clinical_motion(joint, motion).is_some(), "{} {joint:?} {motion}", muscle.id());
            }
        }
    }

    #[test]
    fn groups_resolve_and_unknown_names_do_not() {
        assert_eq!(muscle_group("calf").unwrap().len(), 2);
        assert_eq!(muscle_group("soleus").unwrap(), vec![Muscle::Soleus]);
        assert!(muscle_group("heart").is_none());
    }
}
