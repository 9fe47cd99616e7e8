//! The clinic's name and the numbers to call, as they stand on every sheet and page.

use handrail_episode::Clinic;
use handrail_store::{StoreError, Tx, settings};
use serde::{Deserialize, Serialize};

/// Name of the setting.
const NAME: &str = "clinic";

/// Name and numbers of the clinic.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Numbers {
    /// Name.
    pub name: String,
    /// Phone in opening hours.
    pub phone: String,
    /// Phone at other times.
    pub out_of_hours: String,
    /// Emergency number of the country.
    pub emergency: String,
}

impl Numbers {
    /// Whether a sheet can be made with them: a sheet without a number to call is not handed out.
    pub fn is_whole(&self) -> bool {
        [&self.name, &self.phone, &self.out_of_hours, &self.emergency].iter().all(|it| !it.trim().is_empty())
    }

    /// As the fact of an episode.
    pub fn fact(&self, therapist: &str) -> Clinic {
        Clinic {
            name: self.name.clone(),
            therapist: therapist.into(),
            phone: self.phone.clone(),
            out_of_hours: self.out_of_hours.clone(),
            emergency: self.emergency.clone(),
        }
    }
}

/// Reads them; `None` when nobody has filled them in.
///
/// # Errors
/// Database errors.
pub fn read(tx: &mut dyn Tx) -> Result<Option<Numbers>, StoreError> {
    settings::get_json(tx, NAME)
}

/// Writes them.
///
/// # Errors
/// Database errors.
pub fn write(tx: &mut dyn Tx, numbers: &Numbers) -> Result<(), StoreError> {
    settings::put_json(tx, NAME, numbers)
}
