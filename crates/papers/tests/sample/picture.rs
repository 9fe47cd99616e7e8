//! Stand-in pictures: a person on a bed, seen from the side, drawn as rounded limbs with many points.

use std::fmt::Write as _;

/// Width and height of the drawing in its own units.
const SIZE: (f64, f64) = (300.0, 200.0);

struct Pen {
    svg: String,
}

impl Pen {
    fn limb(&mut self, (x0, y0, r0): (f64, f64, f64), (x1, y1, r1): (f64, f64, f64), fill: &str) {
        let turn = (y1 - y0).atan2(x1 - x0);
        let mut path = String::new();
        for n in 0..=48 {
            let (x, y, r, a) = if n <= 24 {
                (x1, y1, r1, turn - 90f64.to_radians() + f64::from(n) * 7.5f64.to_radians())
            } else {
                (x0, y0, r0, turn + 90f64.to_radians() + f64::from(n - 24) * 7.5f64.to_radians())
            };
            let letter = if n == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{letter}{:.2} {:.2} ", x + r * a.cos(), y + r * a.sin());
        }
        let _ =
            write!(self.svg, "<path d=\"{path}Z\" fill=\"{fill}\" stroke=\"#16191c\" stroke-width=\"1.6\"/>");
    }
}

/// The leg lifted by `hip` degrees, the foot turned by `ankle` degrees from upright; with an arrow if it moves.
pub fn leg(hip: f64, ankle: f64, arrow: bool) -> String {
    let (w, h) = SIZE;
    let mut pen = Pen { svg: format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\">") };
    let ghost = if arrow { 0.0 } else { hip };
    let _ = write!(
        pen.svg,
        "<rect x=\"4\" y=\"150\" width=\"292\" height=\"14\" rx=\"4\" fill=\"#dfe3e5\" stroke=\"#7b858a\"/>\
         <path d=\"M20 164V196M280 164V196\" stroke=\"#7b858a\" stroke-width=\"5\"/>"
    );
    let hip_at = (120.0, 134.0);
    for (angle, ankle, fill, foot) in [
        (0.0, 0.0, "#c9cfd2", "#c9cfd2"),
        (ghost, ankle, "#e9edef", "#e9edef"),
        (hip, ankle, "#5b7f95", "#3f5f74"),
    ] {
        let (s, c) = f64::to_radians(-angle).sin_cos();
        let knee = (hip_at.0 + 70.0 * c, hip_at.1 + 70.0 * s);
        let heel = (knee.0 + 68.0 * c, knee.1 + 68.0 * s);
        let (fs, fc) = f64::to_radians(-angle - 90.0 + ankle).sin_cos();
        let toe = (heel.0 + 30.0 * fc, heel.1 + 30.0 * fs);
        pen.limb((hip_at.0, hip_at.1, 17.0), (knee.0, knee.1, 12.0), fill);
        pen.limb((knee.0, knee.1, 12.0), (heel.0, heel.1, 7.5), fill);
        pen.limb((heel.0, heel.1, 8.5), (toe.0, toe.1, 5.0), foot);
    }
    pen.limb((58.0, 132.0, 15.0), (120.0, 134.0, 18.0), "#f4f6f7");
    pen.limb((66.0, 138.0, 7.0), (118.0, 146.0, 5.0), "#f4f6f7");
    pen.limb((30.0, 126.0, 14.0), (32.0, 125.0, 14.0), "#f4f6f7");
    if arrow {
        let _ = write!(
            pen.svg,
            "<path d=\"M284 130C292 110 290 84 276 62\" fill=\"none\" stroke=\"#16191c\" stroke-width=\"4\"/>\
             <path d=\"M270 74L275 58L290 68Z\" fill=\"#16191c\"/>\
             <text x=\"226\" y=\"30\" font-size=\"20\" font-family=\"Atkinson Hyperlegible\">{hip:.0}°</text>"
        );
    }
    pen.svg.push_str("</svg>");
    pen.svg
}
