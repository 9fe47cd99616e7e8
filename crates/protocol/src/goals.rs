//! What a phase wants trained. Exercises carry the same tags in `trains`.

use serde::{Deserialize, Serialize};

macro_rules! goals {
    ($($name:ident $id:literal;)*) => {
        /// One training goal.
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
        )]
        #[allow(missing_docs)]
        pub enum Goal { $(#[serde(rename = $id)] $name),* }

        impl Goal {
            /// Every goal, from the foot upwards.
            pub const ALL: &'static [Goal] = &[$(Goal::$name),*];
            /// Name used in files and JSON.
            pub fn id(self) -> &'static str { match self { $(Goal::$name => $id),* } }
        }
    };
}

goals! {
    ToeControl "toe_control";
    FootIntrinsics "foot_intrinsics";
    AnkleRange "ankle_range";
    AnkleStrength "ankle_strength";
    CalfStrength "calf_strength";
    KneeExtensionRange "knee_extension_range";
    KneeFlexionRange "knee_flexion_range";
    Quadriceps "quadriceps";
    Hamstrings "hamstrings";
    HipAbductors "hip_abductors";
    HipRotators "hip_rotators";
    HipExtensors "hip_extensors";
    HipFlexors "hip_flexors";
    HipAdductors "hip_adductors";
    Trunk "trunk";
    Balance "balance";
    Gait "gait";
    RunningPreparation "running_preparation";
    ShoulderRangePassive "shoulder_range_passive";
    ShoulderRangeAssisted "shoulder_range_assisted";
    ShoulderRangeActive "shoulder_range_active";
    Scapula "scapula";
    RotatorCuffStrength "rotator_cuff_strength";
    Deltoid "deltoid";
    ElbowWristHand "elbow_wrist_hand";
    Grip "grip";
    Posture "posture";
    FunctionalPushPull "functional_push_pull";
    Overhead "overhead";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_and_ids_are_the_same_words() {
        for &goal in Goal::ALL {
            assert_eq!(serde_json::to_value(goal).unwrap(), goal.id());
        }
        assert_eq!(Goal::ALL.len(), 29);
    }
}
