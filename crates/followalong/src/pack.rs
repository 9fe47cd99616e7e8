//! Clips in short form: frames that a straight line between their neighbours gives are left out, and the numbers
//! are written as differences, one to four characters each.

use serde::Serialize;

use crate::session::{Clip, Frame, Paint};

/// The form of a clip that the page's script reads (`openClip` in `assets/figure.js`).
#[derive(Debug, Serialize)]
pub struct PackedClip<'a> {
    view_box: [f32; 4],
    back_svg: &'a str,
    front_svg: &'a str,
    alt: &'a str,
    /// Layer, paint, number of circles.
    parts: Vec<(u8, Paint, u8)>,
    times: Vec<f32>,
    /// Layers at each frame; absent when every frame has the parts' own.
    #[serde(skip_serializing_if = "Option::is_none")]
    orders: Option<Vec<Option<&'a [u8]>>>,
    code: String,
}

/// Largest error of a left-out frame, in tenths of a view-box unit: too small to be seen on a phone.
const TOLERANCE: f32 = 2.0;

/// Writes zigzag numbers, five bits a character; the sixth bit says that more follow.
fn write_number(out: &mut String, value: i32) {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    let mut rest = ((value << 1) ^ (value >> 31)) as u32;
    loop {
        let low = (rest & 31) as usize;
        rest >>= 5;
        out.push(char::from(DIGITS[if rest == 0 { low } else { low | 32 }]));
        if rest == 0 {
            return;
        }
    }
}

/// Whether the line from `a` to `b` gives every frame between them.
fn line_gives(a: &Frame, b: &Frame, between: &[Frame]) -> bool {
    between.iter().all(|frame| {
        let share = (frame.t - a.t) / (b.t - a.t);
        frame.order == a.order
            && frame.v.iter().zip(&a.v).zip(&b.v).all(|((v, from), to)| {
                let (from, to) = (f32::from(*from), f32::from(*to));
                (from + share * (to - from) - f32::from(*v)).abs() <= TOLERANCE
            })
    })
}

/// Indices of the frames to keep.
fn kept_frames(frames: &[Frame]) -> Vec<usize> {
    let mut kept = Vec::new();
    let mut at = 0;
    while at < frames.len() {
        kept.push(at);
        let mut next = at + 1;
        while next + 1 < frames.len() && line_gives(&frames[at], &frames[next + 1], &frames[at + 1..=next]) {
            next += 1;
        }
        at = next;
    }
    kept
}

/// The short form of a clip.
pub fn pack(clip: &Clip) -> PackedClip<'_> {
    let kept: Vec<&Frame> = kept_frames(&clip.frames).into_iter().map(|k| &clip.frames[k]).collect();
    let mut code = String::new();
    for (k, frame) in kept.iter().enumerate() {
        for (i, value) in frame.v.iter().enumerate() {
            let before = if k == 0 { 0 } else { i32::from(kept[k - 1].v[i]) };
            write_number(&mut code, i32::from(*value) - before);
        }
    }
    let orders: Vec<Option<&[u8]>> = kept.iter().map(|frame| frame.order.as_deref()).collect();
    PackedClip {
        view_box: clip.view_box,
        back_svg: &clip.back_svg,
        front_svg: &clip.front_svg,
        alt: &clip.alt,
        parts: clip.parts.iter().map(|part| (part.layer, part.paint, part.circles)).collect(),
        // Milliseconds are finer than any frame rate and keep the text short.
        times: kept.iter().map(|frame| (frame.t * 1000.0).round() / 1000.0).collect(),
        orders: orders.iter().any(Option::is_some).then_some(orders),
        code,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(t: f32, v: &[i16]) -> Frame {
        Frame { t, order: None, v: v.to_vec() }
    }

    #[test]
    fn numbers_are_zigzag_with_five_bits_a_character() {
        let mut out = String::new();
        for value in [0, -1, 1, -16, 15, 16, -3000] {
            write_number(&mut out, value);
        }
        // 0, 1, 2, 31, 30 in one character; 32 = 0 + 1*32; 5999 = 15 + 27*32 + 5*1024
        assert_eq!(out, "ABCfegBv7F");
    }

    #[test]
    fn frames_on_a_line_are_left_out_and_turns_are_kept() {
        let frames: Vec<Frame> = (0..=20)
            .map(|k| {
                let x = if k <= 10 { 50 * k } else { 500 };
                frame(f32::from(k) * 0.1, &[x, 0, 80])
            })
            .collect();
        assert_eq!(kept_frames(&frames), [0, 10, 20]);
    }

    #[test]
    fn a_change_of_layers_is_kept() {
        let mut frames: Vec<Frame> = (0..5).map(|k| frame(k as f32, &[0, 0, 80])).collect();
        frames[2].order = Some(vec![3]);
        frames[3].order = Some(vec![3]);
        assert_eq!(kept_frames(&frames), [0, 2, 4]);
    }

    #[test]
    fn a_still_picture_has_no_frames() {
        let clip = Clip {
            view_box: [0.0, 0.0, 10.0, 10.0],
            back_svg: "<circle r=\"2\"/>".into(),
            front_svg: String::new(),
            parts: vec![],
            frames: vec![],
            alt: "a dot".into(),
        };
        assert!(pack(&clip).times.is_empty());
    }
}
