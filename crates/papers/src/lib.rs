//! Room `papers`: plain data in, a finished PDF out.
//!
//! The caller gives every word (in any language of the Latin script), every picture (SVG with alternative text) and every
//! date. This room knows layout only: it holds no sentence, reads no clock, opens no file and uses no font of the
//! machine, so the same data gives the same bytes everywhere. What comes out is tagged PDF/UA-1.
//!
//! - [`handout`](handout_pdf): the sheet that a patient takes home. The page design is in `templates/*.typ`.
//! - `world`: the one place that knows Typst. Later papers (letters, reports) bring a data type and a template.

mod check;
mod compose;
mod handout;
mod loads;
mod world;

pub use check::PaperError;
pub use compose::compose;
pub use handout::{
    AngleRow, ChartDay, ChartRow, Exercise, Handout, Head, Labels, Limit, LimitRow, LoadRow, Loads,
    MomentRow, Move, NotThis, Overview, Paper, Phone, Picture, Print, SourceRow, Step, TherapistPage,
    TissueTable, WarningGroup, Warnings, WeekChart, handout_pdf, page_count,
};
