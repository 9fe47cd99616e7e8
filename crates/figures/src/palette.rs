//! The colours: one quiet set, one accent. Meaning never rests on them alone.

/// What a part is made of. Each has one fill and one outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paint {
    /// Skin.
    Near,
    /// Skin of the far side.
    Far,
    /// The limb that works.
    Accent,
    /// Its shaded or far parts.
    AccentFar,
    /// Shirt.
    Cloth,
    /// Shirt sleeve of the far side.
    ClothFar,
    /// Shorts.
    Shorts,
    /// Shorts leg of the far side.
    ShortsFar,
    /// Toe nail.
    Nail,
    /// Hair.
    Hair,
    /// Furniture and tools.
    Prop,
    /// Upper faces of furniture.
    PropTop,
    /// Straps, hinges, grips.
    PropDark,
    /// Floor and wall.
    Room,
    /// Start pose.
    Ghost,
    /// Thin lines on the body: arch, mouth, eyes.
    Line,
}

/// Outline of the figure, arrows' edge, words.
pub const INK: &str = "#23313b";
/// Outline of furniture.
pub const PROP_INK: &str = "#857c6e";
/// Outline of the start pose.
pub const GHOST_INK: &str = "#5f6d79";
/// Arrow.
pub const ARROW: &str = "#0b4f54";
/// Limit and "not like this".
pub const STOP: &str = "#9c2a1c";
/// Paper.
pub const PAPER: &str = "#ffffff";

impl Paint {
    /// Every paint.
    pub const ALL: [Paint; 16] = [
        Paint::Near,
        Paint::Far,
        Paint::Accent,
        Paint::AccentFar,
        Paint::Cloth,
        Paint::ClothFar,
        Paint::Shorts,
        Paint::ShortsFar,
        Paint::Nail,
        Paint::Hair,
        Paint::Prop,
        Paint::PropTop,
        Paint::PropDark,
        Paint::Room,
        Paint::Ghost,
        Paint::Line,
    ];

    /// Class name.
    pub fn class(self) -> &'static str {
        match self {
            Paint::Near => "near",
            Paint::Far => "far",
            Paint::Accent => "accent",
            Paint::AccentFar => "accent_far",
            Paint::Cloth => "cloth",
            Paint::ClothFar => "cloth_far",
            Paint::Shorts => "shorts",
            Paint::ShortsFar => "shorts_far",
            Paint::Nail => "nail",
            Paint::Hair => "hair",
            Paint::Prop => "prop",
            Paint::PropTop => "prop_top",
            Paint::PropDark => "prop_dark",
            Paint::Room => "room",
            Paint::Ghost => "ghost",
            Paint::Line => "line",
        }
    }

    /// The eight classes that a page's player knows; finer shades fall back to them.
    pub fn basic(self) -> Paint {
        match self {
            Paint::ClothFar | Paint::Shorts | Paint::ShortsFar => Paint::Cloth,
            Paint::AccentFar => Paint::Accent,
            Paint::Nail => Paint::Near,
            Paint::PropTop | Paint::PropDark | Paint::Room => Paint::Prop,
            other => other,
        }
    }

    /// Fill colour.
    pub fn fill(self) -> &'static str {
        match self {
            Paint::Near => "#f3e0d1",
            Paint::Far => "#d3bca9",
            Paint::Accent => "#2f9c9b",
            Paint::AccentFar => "#217b7e",
            Paint::Cloth => "#eaeef1",
            Paint::ClothFar => "#c9d1d7",
            Paint::Shorts => "#b3bfc9",
            Paint::ShortsFar => "#95a3af",
            Paint::Nail => "#fdf5ef",
            Paint::Hair => "#55504d",
            Paint::Prop => "#d9d2c6",
            Paint::PropTop => "#ebe6dd",
            Paint::PropDark => "#8f8778",
            Paint::Room => "#f4f2ee",
            Paint::Ghost => "#f3f5f7",
            Paint::Line => INK,
        }
    }

    /// Outline colour.
    pub fn outline(self) -> &'static str {
        match self {
            Paint::Prop | Paint::PropTop | Paint::PropDark | Paint::Room => PROP_INK,
            Paint::Ghost => GHOST_INK,
            _ => INK,
        }
    }

    /// Outline width outside the fill, picture units. Lines are all fill.
    pub fn outline_width(self) -> f64 {
        match self {
            Paint::Line | Paint::Room => 0.0,
            Paint::Ghost => 1.1,
            Paint::Nail => 0.8,
            Paint::Prop | Paint::PropTop | Paint::PropDark => 1.1,
            _ => 1.5,
        }
    }
}

/// Contrast of two colours (WCAG 2.2, relative luminance and contrast ratio).
#[cfg(test)]
pub(crate) mod contrast {
    pub(crate) fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let c = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    pub(crate) fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

#[cfg(test)]
mod tests {
    use super::contrast::contrast;
    use super::*;

    /// WCAG 2.2, 1.4.11: graphics need 3:1 against what is next to them.
    #[test]
    fn outlines_marks_and_accent_stand_out_on_paper() {
        for ink in [INK, PROP_INK, GHOST_INK, ARROW, STOP, Paint::Accent.fill()] {
            assert!(contrast(ink, PAPER) >= 3.0, "{ink}: {}", contrast(ink, PAPER));
        }
        for paint in [Paint::Near, Paint::Far, Paint::Accent, Paint::Cloth, Paint::Shorts] {
            assert!(contrast(INK, paint.fill()) >= 3.0, "{paint:?}: {}", contrast(INK, paint.fill()));
        }
    }

    /// In a black-and-white print the working limb is still the darker one.
    #[test]
    fn the_accent_differs_in_grey() {
        assert!(contrast(Paint::Accent.fill(), Paint::Near.fill()) >= 2.4);
        assert!(contrast(Paint::Accent.fill(), Paint::Far.fill()) >= 1.5);
    }
}
